//! Prints drafts with scratch work and proofs put in, and on standard error what was not written.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use checks::Settings;
use source::{Companions, Format};
use std::sync::atomic::AtomicBool;

fn main() {
    for path in std::env::args().skip(1) {
        let Ok(text) = std::fs::read_to_string(&path) else {
            continue;
        };
        let format = if path.ends_with(".tex") {
            Format::Latex
        } else {
            Format::Markdown
        };
        let stop = AtomicBool::new(false);
        let settings = Settings::default();
        let Some(written) = scratch::write(&text, format, &Companions::new(), &settings, &stop)
        else {
            continue;
        };
        println!("{}", written.text);
        for outcome in &written.outcomes {
            eprintln!("{:?}: {:?}", outcome.title, outcome.trouble);
        }
    }
}
