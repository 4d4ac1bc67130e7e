//! Hundreds of claims with truth confirmed by other programs: both engines against all of them.
//!
//! `tests/oracles/generate.py` writes the claims; the gate of the project runs it and then this
//! test with `MAJORANT_CLAIMS` naming the file. Without that it fails, it never skips.
#![allow(
    clippy::print_stdout,
    reason = "a test prints its table for whoever asks for it"
)]

use kernel::proving::prove;
use kernel::recheck::verify;
use kernel::refuting::{Outcome, refute};
use kernel::{Budget, Fuel};
use std::collections::BTreeMap;
use std::fs;
use std::sync::atomic::AtomicBool;
use tests::draft::in_parallel;
use tests::obligations::{Obligation, read};

/// How many claims there must be at least.
const LEAST_CLAIMS: usize = 400;
/// The share of false claims that must be refuted.
const REFUTED_SHARE: f64 = 0.98;
/// The share of true claims that must be proved.
const PROVED_SHARE: f64 = 0.95;

/// What the two engines, each on its own, say about a claim.
#[derive(Clone, Copy, Default)]
struct Answers {
    proved: bool,
    refuted: bool,
}

fn ask(claim: &Obligation) -> Answers {
    let stop = AtomicBool::new(false);
    let budget = Budget::STANDARD;
    let outcome = refute(
        &claim.problem,
        budget.evaluations,
        budget.confirmations,
        &stop,
    );
    let mut fuel = Fuel::new(budget.proof_steps, &stop);
    let proof = prove(&claim.problem, &mut fuel);
    Answers {
        proved: proof
            .and_then(|proof| verify(&claim.problem, proof))
            .is_some(),
        refuted: matches!(outcome, Outcome::Found(_)),
    }
}

#[test]
#[ignore = "needs the claims that tests/oracles/generate.py writes; .ci/run does both"]
fn both_engines_agree_with_the_oracles() {
    let path = std::env::var("MAJORANT_CLAIMS").expect("MAJORANT_CLAIMS names the file of claims");
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    let claims = read(&text).expect("all claims are understood");
    assert!(LEAST_CLAIMS <= claims.len(), "only {} claims", claims.len());
    let answers = in_parallel(&claims, ask);
    let mut wrong = Vec::new();
    // Per family: proved, true ones, refuted, false ones.
    let mut families: BTreeMap<&str, [usize; 4]> = BTreeMap::new();
    for (claim, answer) in claims.iter().zip(&answers) {
        let family = claim.topic.split('-').next().unwrap_or_default();
        let counts = families.entry(family).or_default();
        counts[0] += usize::from(claim.truth && answer.proved);
        counts[1] += usize::from(claim.truth);
        counts[2] += usize::from(!claim.truth && answer.refuted);
        counts[3] += usize::from(!claim.truth);
        if claim.truth && answer.refuted || !claim.truth && answer.proved {
            wrong.push(format!("{} ({}) is {}", claim.id, claim.topic, claim.truth));
        } else if !(answer.proved || answer.refuted) {
            println!("unsettled: {} ({}, {})", claim.id, claim.topic, claim.truth);
        }
    }
    let mut all = [0; 4];
    for (family, counts) in &families {
        println!(
            "{family:12} proved {:>3} of {:>3}, refuted {:>3} of {:>3}",
            counts[0], counts[1], counts[2], counts[3]
        );
        for (sum, count) in all.iter_mut().zip(counts) {
            *sum += count;
        }
    }
    println!(
        "all          proved {:>3} of {:>3}, refuted {:>3} of {:>3}",
        all[0], all[1], all[2], all[3]
    );
    assert!(wrong.is_empty(), "wrong verdicts:\n{}", wrong.join("\n"));
    let share = |part: usize, whole: usize| part as f64 / whole as f64;
    assert!(
        REFUTED_SHARE <= share(all[2], all[3]),
        "too few are refuted"
    );
    assert!(PROVED_SHARE <= share(all[0], all[1]), "too few are proved");
}
