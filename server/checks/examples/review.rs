//! Prints a draft's review in plain lines: for reading what the engine says.
#![allow(clippy::print_stdout)]

use checks::{Settings, review};
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
        println!("##### {path}");
        let Some(review) = review(
            &text,
            format,
            &Companions::new(),
            &Settings::default(),
            &AtomicBool::new(false),
        ) else {
            continue;
        };
        let line = |at: usize| text[..at].matches('\n').count() + 1;
        let quote = |span: source::Span| {
            text[span.range()]
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
        };
        for (number, argument) in review.arguments.iter().enumerate() {
            println!(
                "=== {:?} {:?} {:?} established {:?}",
                argument.title, argument.aim, argument.tally, argument.established
            );
            for claim in review
                .claims
                .iter()
                .filter(|claim| claim.argument == number)
            {
                if let Some(verdict) = claim.verdict
                    && (verdict.word() != "proved" || std::env::var_os("ALL").is_some())
                {
                    println!(
                        "  {:4} {:9} {:10} `{}` {} <<{}>>",
                        line(claim.span.start),
                        verdict.word(),
                        claim.role.map_or("?", |role| role.word()),
                        quote(claim.span),
                        claim.evidence.clone().unwrap_or_default(),
                        claim.reading.clone().unwrap_or_default()
                    );
                }
            }
            for finding in review
                .findings
                .iter()
                .filter(|finding| finding.argument == number)
            {
                println!(
                    "  ## {} {} line {} `{}`\n     {}",
                    finding.severity.word(),
                    finding.check.name,
                    line(finding.span.start),
                    quote(finding.span),
                    finding.message
                );
            }
        }
    }
}
