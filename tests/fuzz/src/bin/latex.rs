//! The target `latex`: see [`laws::latex`].
#![no_main]

use fuzz::laws;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| laws::latex(text));
