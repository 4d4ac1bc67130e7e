//! The target `sentences`: see [`laws::sentences`].
#![no_main]

use fuzz::laws;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| laws::sentences(text));
