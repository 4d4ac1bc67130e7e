//! Stored evidence must be judged as it was when it was written, and no corruption of it may
//! count as evidence for anything false.
#![allow(
    clippy::print_stdout,
    reason = "a test prints its table for whoever asks for it"
)]

use kernel::proving::{prove, stays_away};
use kernel::recheck::verify;
use kernel::record::{Evidence, Form, Record};
use kernel::refuting::{Outcome, refute};
use kernel::{
    Budget, Condition, Expr, Fuel, Goal, Hypothesis, Kind, Origin, Problem, Relation, Variable,
    Verdict, decide,
};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;
use tests::claims::{self, Claim, scaled};
use tests::corruption::{corruptions, replaced, visit};
use tests::fixtures::REWRITE;

/// Keywords that the stored evidence must contain: every kind of proof, of step and of shape.
const KINDS: [&str; 33] = [
    "direct",
    "cases",
    "either",
    "replace",
    "through",
    "values",
    "parity",
    "induction",
    "monotone",
    "concave",
    "majorant",
    "known",
    "combine",
    "divide",
    "compare",
    "whole",
    "lemma",
    "roots",
    "bracket",
    "instance",
    "refute",
    "telescope",
    "peel",
    "geometric",
    "power",
    "logarithm",
    "term",
    "bound",
    "witness",
    "problem",
    "proof",
    "counterexample",
    "separation",
];

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("certificates")
}

fn claims() -> Vec<Claim> {
    claims::read(include_str!("../data/claims.txt")).expect("all claims are understood")
}

/// The evidence that the engines find for a claim now.
fn found(problem: &Problem) -> Option<Record> {
    let stop = AtomicBool::new(false);
    let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
    if let Goal::TendsToZero { .. } = problem.goal {
        if let Some(proof) = prove(problem, &mut fuel) {
            return Some(Record::Proof(problem.clone(), proof));
        }
        let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
        return Some(Record::of_separation(&stays_away(problem, &mut fuel)?));
    }
    match decide(problem, &Budget::STANDARD, &stop) {
        Verdict::Proved(certificate) => Some(Record::of_certificate(&certificate)),
        Verdict::Refuted(counterexample) => {
            Some(Record::of_counterexample(problem, &counterexample))
        }
        Verdict::Unsettled(_) => None,
    }
}

/// The stored records by name. With `MAJORANT_REWRITE` set, those that are missing are written;
/// stored ones are never changed, since later versions must still accept them.
fn corpus() -> BTreeMap<String, Record> {
    let mut all = BTreeMap::new();
    let mut missing = Vec::new();
    for claim in claims() {
        let path = folder().join(format!("{}.txt", claim.name));
        if let Ok(text) = std::fs::read_to_string(&path) {
            let record =
                Record::read(&text).unwrap_or_else(|fault| panic!("{}: {fault:?}", claim.name));
            assert_eq!(record.write(), text, "{} is not written so", claim.name);
            assert_eq!(record.problem(), &claim.problem, "{}", claim.name);
            all.insert(claim.name, record);
            continue;
        }
        missing.push(claim.name.clone());
        if std::env::var_os(REWRITE).is_some() {
            match found(&claim.problem) {
                Some(record) => std::fs::write(&path, record.write()).expect("written"),
                None => println!("no evidence for {}", claim.name),
            }
        }
    }
    assert!(missing.is_empty(), "no stored evidence for {missing:?}");
    all
}

#[test]
fn stored_evidence_is_accepted() {
    let all = corpus();
    let mut words = BTreeSet::new();
    for (name, record) in &all {
        visit(&record.form(), &mut Vec::new(), &mut |_, part| {
            if let Form::Word(word) = part {
                words.insert(word.clone());
            }
        });
        let evidence = record.clone().judge();
        let fits = match record {
            Record::Proof(..) => matches!(evidence, Some(Evidence::Proved(_))),
            Record::Point(..) => matches!(evidence, Some(Evidence::Refuted(_))),
            Record::Witness(..) => matches!(evidence, Some(Evidence::Separated(_))),
        };
        assert!(fits, "{name} is no longer accepted");
    }
    let absent: Vec<_> = KINDS
        .iter()
        .filter(|kind| !words.contains(**kind))
        .collect();
    assert!(absent.is_empty(), "no stored evidence uses {absent:?}");
}
