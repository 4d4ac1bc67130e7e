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
use kernel::{Budget, Condition, Expr, Fuel, Goal, Problem, Relation, Verdict, decide};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;
use tests::claims::{self, Claim, scaled};
use tests::corruption::{Dice, corruptions, parts, replaced, visit};
use tests::fixtures::REWRITE;

/// Keywords that the stored evidence must contain: every kind of proof, of step and of shape.
const KINDS: [&str; 38] = [
    "direct",
    "cases",
    "either",
    "replace",
    "rewrite",
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
    "exhaust",
    "squeeze",
    "termwise",
    "split",
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

/// The place in a form of what the record says about its problem.
const SAID: [usize; 2] = [2, 2];
/// So many corruptions of one record are judged, of longer ones every second, third and so on, and
/// against so many false claims; all of them with this variable set (that takes an hour).
const JUDGED: usize = 90;
const AGAINST: usize = 3;
const THOROUGH: &str = "MAJORANT_THOROUGH";

fn lemmas(all: &BTreeMap<String, Record>) -> Vec<String> {
    let mut words = BTreeSet::new();
    for record in all.values() {
        visit(&record.form(), &mut Vec::new(), &mut |_, part| {
            if let Some(("lemma", [Form::Word(word), _])) = part.parts() {
                words.insert(word.clone());
            }
        });
    }
    words.into_iter().collect()
}

fn is_refuted(problem: &Problem, evaluations: u64) -> bool {
    let stop = AtomicBool::new(false);
    matches!(refute(problem, evaluations, 60, &stop), Outcome::Found(_))
}

fn is_proved(problem: &Problem) -> bool {
    let stop = AtomicBool::new(false);
    let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
    prove(problem, &mut fuel).is_some_and(|proof| verify(problem, proof).is_some())
}

/// Whether the opposite of what the evidence says can be shown.
fn is_wrong(evidence: &Evidence) -> bool {
    let stop = AtomicBool::new(false);
    match evidence {
        Evidence::Proved(certificate) => match certificate.problem().goal {
            Goal::TendsToZero { .. } => {
                let mut fuel = Fuel::new(10_000, &stop);
                stays_away(certificate.problem(), &mut fuel).is_some()
            }
            _ => is_refuted(certificate.problem(), 4_000),
        },
        Evidence::Refuted(counterexample) => counterexample.point().is_empty(),
        Evidence::Separated(separation) => is_proved(separation.problem()),
    }
}

/// Claims next to a true one that are surely false: a counterexample of each is confirmed.
fn false_neighbours(problem: &Problem) -> Vec<Problem> {
    let mut all: Vec<Problem> = [999, 1001]
        .iter()
        .filter_map(|share| scaled(problem, &Expr::ratio(*share, 1000)))
        .collect();
    if let Goal::Holds(left, relation, right) = &problem.goal {
        let gap = Expr::ratio(1, 1000);
        let relations = [
            Relation::Less,
            Relation::Greater,
            Relation::Equal,
            relation.negated(),
        ];
        let sides = [
            (left.plus(&gap), right.clone()),
            (left.minus(&gap), right.clone()),
        ];
        all.extend(
            relations.map(|own| problem.with_goal(Goal::Holds(left.clone(), own, right.clone()))),
        );
        all.extend(
            sides.map(|(left, right)| problem.with_goal(Goal::Holds(left, *relation, right))),
        );
    }
    for place in 0..problem.hypotheses.len() {
        let mut fewer = problem.clone();
        fewer.hypotheses.remove(place);
        all.push(fewer);
        let mut wider = problem.clone();
        if let Condition::Holds(left, relation, right) = &problem.hypotheses[place].condition {
            let own = Condition::Holds(left.clone(), relation.weakened(), right.clone());
            wider.hypotheses[place].condition = own;
            all.push(wider);
        }
    }
    all.retain(|own| own != problem && is_refuted(own, 2_600));
    all
}

/// Every number, index, relation, flag, name, inequality and part of the stored evidence changed
/// in turn. What is still accepted must be true: another proof of the same claim, or a proof of a
/// claim of which no counterexample is found; and never one of a claim that is known to be false.
#[test]
fn corrupted_evidence_shows_nothing_false() {
    let all = corpus();
    let lemmas = lemmas(&all);
    let thorough = std::env::var_os(THOROUGH).is_some();
    let (most, against) = if thorough {
        (usize::MAX, usize::MAX)
    } else {
        (JUDGED, AGAINST)
    };
    let (mut judged, mut same, mut other, mut false_ones) = (0, 0, 0, 0);
    for (name, record) in &all {
        let form = record.form();
        let neighbours: Vec<Form> = match record {
            Record::Proof(problem, proof) => false_neighbours(problem)
                .into_iter()
                .take(against)
                .map(|problem| Record::Proof(problem, proof.clone()).form())
                .collect(),
            _ => Vec::new(),
        };
        for neighbour in &neighbours {
            let evidence = Record::of_form(neighbour).and_then(Record::judge);
            assert!(
                evidence.is_none(),
                "{name} proves a false neighbour: {neighbour}"
            );
        }
        let changes = corruptions(&form, &lemmas);
        for change in changes.iter().step_by(changes.len() / most + 1) {
            let changed = change.of(&form);
            judged += 1;
            if change.lies_in(&SAID) {
                for neighbour in &neighbours {
                    false_ones += 1;
                    let changed = change.of(neighbour);
                    let evidence = Record::of_form(&changed).and_then(Record::judge);
                    assert!(
                        evidence.is_none(),
                        "{name}: a false claim is accepted: {changed}"
                    );
                }
            }
            let Some(own) = Record::of_form(&changed) else {
                continue;
            };
            let anew = own.problem() != record.problem();
            let Some(evidence) = own.judge() else {
                continue;
            };
            if anew {
                other += 1;
                assert!(
                    !is_wrong(&evidence),
                    "{name}: accepted and wrong: {changed}"
                );
            } else {
                same += 1;
            }
        }
    }
    println!(
        "{judged} corruptions of {} records: {same} prove the same claim, {other} another true \
         one; {false_ones} judged against false claims: none accepted",
        all.len()
    );
}

/// Evidence put together from parts of other evidence.
#[test]
fn spliced_evidence_shows_nothing_false() {
    let all = corpus();
    let pieces: Vec<(Vec<usize>, Form)> = all
        .values()
        .flat_map(|record| parts(&record.form()))
        .collect();
    let kind = |form: &Form| match form {
        Form::Word(word) => u8::from(word.starts_with(|c: char| c.is_ascii_digit() || c == '-')),
        Form::Name(_) => 2,
        Form::List(_) => 3,
    };
    let mut dice = Dice::new(7);
    let records: Vec<&Record> = all.values().collect();
    let (mut read, mut accepted) = (0, 0);
    for _ in 0..6_000 {
        let mut form = records[dice.throw(records.len())].form();
        for _ in 0..=dice.throw(3) {
            let places = parts(&form);
            let (path, part) = &places[dice.throw(places.len())];
            let fits = |other: &Form| match (part.parts(), other.parts()) {
                (Some((a, _)), Some((b, _))) => a == b || kind(part) < 3,
                (None, None) => true,
                _ => false,
            };
            let found = (0..60)
                .map(|_| &pieces[dice.throw(pieces.len())].1)
                .find(|other| kind(other) == kind(part) && fits(other));
            if let Some(piece) = found {
                form = replaced(&form, path, piece);
            }
        }
        let Some(record) = Record::of_form(&form) else {
            continue;
        };
        read += 1;
        if let Some(evidence) = record.judge() {
            accepted += 1;
            assert!(!is_wrong(&evidence), "accepted and wrong: {form}");
        }
    }
    println!("{read} records put together, {accepted} accepted, none wrong");
    assert!(read > 1_000);
}

/// Sharp constants made smaller by a thousandth: a counterexample exists, so no proof may.
#[test]
fn scaled_constants_have_no_certificate() {
    let obligations = tests::obligations::read(include_str!("../data/obligations.json"))
        .expect("all entries are understood")
        .into_iter()
        .filter(|obligation| obligation.truth)
        .map(|obligation| (obligation.id, obligation.problem));
    let claims = claims()
        .into_iter()
        .map(|claim| (claim.name, claim.problem));
    let (mut sharp, mut all) = (0, 0);
    for (name, problem) in obligations.chain(claims) {
        for share in [999, 1001] {
            let Some(tight) = scaled(&problem, &Expr::ratio(share, 1000)) else {
                continue;
            };
            all += 1;
            if is_refuted(&tight, 12_000) {
                sharp += 1;
                assert!(!is_proved(&tight), "{name} is proved with {share}/1000");
            }
        }
    }
    println!("{sharp} of {all} scaled claims are false: none proved");
    assert!(sharp > 60, "{sharp}");
}
