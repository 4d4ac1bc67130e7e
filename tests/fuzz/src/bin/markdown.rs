//! The target `markdown`: see [`laws::markdown`].
#![no_main]

use fuzz::laws;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| laws::markdown(text));
