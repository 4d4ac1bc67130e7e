//! How fast drafts are read, in megabytes a second: plain prose and dense mathematics, blocks alone
//! and with their sentences. The ratios of one run depend little on the machine.
//!
//! `cargo bench -p tests --bench reading`.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]
#![allow(missing_docs, reason = "a bench has no callers")]

use argument::Convention;
use source::{Companions, Format};
use std::hint::black_box;
use std::time::Instant;

/// A paragraph with hardly a formula.
const PROSE: &str = "The graphs move to the right and become flatter on their way, and whoever \
    looks at one place only sees them come to rest there. It does not follow that they come to \
    rest everywhere at the same time, since the bump is never gone and only stands elsewhere. \
    So one asks how high the bump is, and whether its height tends to $0$.\n\n";

/// A paragraph with hardly a word.
const MATHEMATICS: &str = "Let $\\varepsilon > 0$. Choose $N > \\frac{4}{\\varepsilon^2}$. Then\n\
    $$\\left|\\frac{x}{1+nx^2}\\right| \\le \\frac{1}{2\\sqrt{n}} \\le \\frac{1}{2\\sqrt{N}} < \
    \\varepsilon \\qquad (n \\ge N,\\ x \\in \\mathbb{R}).$$\n\
    $|\\sqrt{x^2+\\tfrac1n} - |x|| = \\frac{1/n}{\\sqrt{x^2+1/n}+|x|} \\le \\frac{1}{\\sqrt n}$.\n\n";

/// Exercises with one paragraph each.
fn draft(paragraph: &str, exercises: usize) -> String {
    (1..=exercises)
        .map(|number| format!("## Exercise {number}\n\n{paragraph}"))
        .collect()
}

/// Megabytes a second: the best of several rounds.
fn rate(text: &str, read: impl Fn(&str)) -> f64 {
    let rounds = (0..7).map(|_| {
        let begun = Instant::now();
        read(text);
        begun.elapsed().as_secs_f64()
    });
    let megabytes = f64::from(u32::try_from(text.len()).unwrap_or(u32::MAX)) / 1e6;
    megabytes / rounds.fold(f64::INFINITY, f64::min)
}

fn blocks(text: &str) {
    black_box(source::read(text, Format::Markdown, &Companions::new()));
}

fn sentences(text: &str) {
    let document = source::read(text, Format::Markdown, &Companions::new());
    black_box(argument::read(text, &document, &Convention::default()));
}

fn main() {
    println!("                      MB/s   of twice as much   of prose");
    for (name, read) in [("blocks", blocks as fn(&str)), ("sentences", sentences)] {
        let mut prose = None;
        for (kind, paragraph) in [("prose", PROSE), ("mathematics", MATHEMATICS)] {
            let own = rate(&draft(paragraph, 40), read);
            let twice = rate(&draft(paragraph, 80), read);
            let first = *prose.get_or_insert(own);
            println!(
                "{name:10} {kind:12} {own:6.2} {:12.2} {:14.2}",
                own / twice,
                own / first
            );
        }
    }
}
