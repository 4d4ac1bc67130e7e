//! The target `notation`: see [`laws::notation`].
#![no_main]

use fuzz::laws;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| laws::notation(text));
