//! Facts of the textbooks: the kernel contradicts none of them and decides most.
#![allow(
    clippy::print_stdout,
    reason = "a test prints its table for whoever asks for it"
)]

use kernel::proving::stays_away;
use kernel::{Budget, Fuel, Verdict, decide};
use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;
use tests::draft::in_parallel;
use tests::facts::{Fact, Source, read};

/// The share of facts that must be decided.
const DECIDED_SHARE: f64 = 0.95;
/// The share of relations among them that must be decided.
const RELATIONS_DECIDED_SHARE: f64 = 0.95;
const LEAST_FACTS: usize = 45;

fn facts() -> Vec<Fact> {
    read(include_str!("../facts/facts.json")).expect("the file is well formed")
}

#[test]
fn every_fact_is_well_formed_and_says_where_it_comes_from() {
    let facts = facts();
    assert!(LEAST_FACTS <= facts.len());
    let names: BTreeSet<&String> = facts.iter().map(|fact| &fact.name).collect();
    assert_eq!(names.len(), facts.len(), "a name occurs twice");
    for fact in &facts {
        assert!(fact.problem().is_some(), "{} is not understood", fact.name);
        assert!(
            !fact.statement.trim().is_empty(),
            "{} says nothing",
            fact.name
        );
        let sourced = match &fact.source {
            Source::Place {
                author,
                title,
                edition,
                number,
            } => [author, title, edition, number]
                .iter()
                .all(|part| !part.trim().is_empty()),
            Source::Note { note } => note == "common practice" || note.starts_with("from memory: "),
        };
        assert!(sourced, "{} has no source", fact.name);
    }
}

#[test]
fn no_fact_is_contradicted_and_most_are_decided() {
    let facts = facts();
    let verdicts = in_parallel(&facts, |fact| {
        let problem = fact.problem().expect("the test above says so");
        let stop = AtomicBool::new(false);
        let verdict = decide(&problem, &Budget::STANDARD, &stop);
        // Limits are refuted by a sequence of points at which the term stays away from 0.
        let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
        (
            verdict,
            fact.is_limit() && stays_away(&problem, &mut fuel).is_some(),
        )
    });
    let mut contradicted = Vec::new();
    // Decided and all: of relations, of limits.
    let mut counts = [[0_usize; 2]; 2];
    for (fact, (verdict, separated)) in facts.iter().zip(&verdicts) {
        let count = &mut counts[usize::from(fact.is_limit())];
        count[1] += 1;
        let (proved, refuted) = (verdict.is_proved(), verdict.is_refuted() || *separated);
        count[0] += usize::from(proved || refuted);
        if fact.truth && refuted || !fact.truth && proved {
            contradicted.push(fact.name.clone());
        } else if let (Verdict::Unsettled(obstacle), false) = (verdict, separated) {
            println!("unsettled: {} ({}): {obstacle:?}", fact.name, fact.truth);
        }
    }
    println!(
        "relations: {} of {}; limits: {} of {}",
        counts[0][0], counts[0][1], counts[1][0], counts[1][1]
    );
    assert!(contradicted.is_empty(), "contradicted: {contradicted:?}");
    let share = |part: usize, whole: usize| part as f64 / whole as f64;
    assert!(RELATIONS_DECIDED_SHARE <= share(counts[0][0], counts[0][1]));
    let all = share(counts[0][0] + counts[1][0], counts[0][1] + counts[1][1]);
    assert!(DECIDED_SHARE <= all, "decided: {all}");
}
