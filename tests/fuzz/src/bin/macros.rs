//! The target `macros`: see [`laws::macros`].
#![no_main]

use fuzz::laws;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| laws::macros(text));
