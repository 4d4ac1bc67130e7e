//! Both engines on every generated claim: none decided wrongly, none by both, and as many decided as
//! before.
#![allow(
    clippy::print_stdout,
    reason = "a test prints its table for whoever asks for it"
)]

use kernel::proving::{prove, stays_away};
use kernel::recheck::verify;
use kernel::refuting::{Outcome, refute};
use kernel::{Budget, Fuel, Goal};
use std::collections::BTreeMap;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};
use tests::families::{Item, all};

/// Every which item the plain test run takes.
const SAMPLE: usize = 17;
/// The shares of true items proved and of false items refuted, over all topics.
const PROVED_SHARE: f64 = 0.5;
const REFUTED_SHARE: f64 = 0.5;
/// The same in each single topic.
const PROVED_IN_TOPIC: f64 = 0.0;
const REFUTED_IN_TOPIC: f64 = 0.0;
/// An item that takes longer is named.
const SLOW: Duration = Duration::from_secs(2);

#[derive(Default)]
struct Tally {
    proved: usize,
    true_ones: usize,
    refuted: usize,
    false_ones: usize,
    wrong: usize,
}

impl Tally {
    fn count(&mut self, item: &Item, proved: bool, refuted: bool) {
        if item.truth {
            self.true_ones += 1;
            self.proved += usize::from(proved);
        } else {
            self.false_ones += 1;
            self.refuted += usize::from(refuted);
        }
        self.wrong += usize::from(item.truth && refuted || !item.truth && proved);
    }

    fn add(&mut self, other: &Self) {
        self.proved += other.proved;
        self.true_ones += other.true_ones;
        self.refuted += other.refuted;
        self.false_ones += other.false_ones;
        self.wrong += other.wrong;
    }

    fn row(&self, topic: &str) -> String {
        format!(
            "{topic:14} {:5} {:6} {:6} {:7} {:6}",
            self.true_ones, self.proved, self.false_ones, self.refuted, self.wrong
        )
    }
}

fn is_proved(item: &Item, stop: &AtomicBool) -> bool {
    // A proof of a false claim would come of a flaw, and not of patience.
    let steps = Budget::STANDARD.proof_steps;
    let steps = if item.truth { steps } else { steps / 8 };
    let mut fuel = Fuel::new(steps, stop);
    prove(&item.problem, &mut fuel)
        .and_then(|proof| verify(&item.problem, proof))
        .is_some()
}

fn is_refuted(item: &Item, stop: &AtomicBool) -> bool {
    let Budget {
        evaluations,
        confirmations,
        proof_steps,
    } = Budget::STANDARD;
    if matches!(item.problem.goal, Goal::TendsToZero { .. }) {
        return stays_away(&item.problem, &mut Fuel::new(proof_steps, stop)).is_some();
    }
    let outcome = refute(&item.problem, evaluations, confirmations, stop);
    matches!(outcome, Outcome::Found(_))
}

fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 {
        1.0
    } else {
        part as f64 / whole as f64
    }
}

fn run(items: impl Iterator<Item = Item>) -> (BTreeMap<&'static str, Tally>, Tally) {
    let stop = AtomicBool::new(false);
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    let mut topics: BTreeMap<&'static str, Tally> = BTreeMap::new();
    let mut times: Vec<Duration> = Vec::new();
    for item in items.filter(|item| item.topic.contains(&only)) {
        let start = Instant::now();
        let proved = is_proved(&item, &stop);
        let between = start.elapsed();
        let refuted = is_refuted(&item, &stop);
        let whole = start.elapsed();
        times.push(whole);
        if whole > SLOW {
            println!(
                "slow: {whole:.1?}, proof {between:.1?}: {}: {}",
                item.topic, item.text
            );
        }
        let what = match (item.truth, proved, refuted) {
            (true, _, true) | (false, true, _) => "WRONG",
            (true, false, _) => "not proved",
            (false, _, false) => "not refuted",
            _ => "",
        };
        if !what.is_empty() {
            println!("{what}: {}: {}", item.topic, item.text);
        }
        topics
            .entry(item.topic)
            .or_default()
            .count(&item, proved, refuted);
    }
    times.sort_unstable();
    if let Some(slowest) = times.last() {
        println!(
            "{} items, both engines: median {:.1?}, p95 {:.1?}, most {slowest:.1?}",
            times.len(),
            times[times.len() / 2],
            times[times.len() * 95 / 100]
        );
    }
    println!("topic           true proved  false refuted  wrong");
    let mut whole = Tally::default();
    for (topic, tally) in &topics {
        println!("{}", tally.row(topic));
        whole.add(tally);
    }
    println!("{}", whole.row("all"));
    assert_eq!(whole.wrong, 0, "wrong verdicts");
    (topics, whole)
}

#[test]
fn a_sample_of_the_families_is_decided() {
    let (_, whole) = run(all().into_iter().step_by(SAMPLE));
    assert!(share(whole.proved, whole.true_ones) >= PROVED_SHARE);
    assert!(share(whole.refuted, whole.false_ones) >= REFUTED_SHARE);
}

/// Takes minutes; `.ci/run` runs it.
#[test]
#[ignore = "takes minutes"]
fn all_families_are_decided() {
    let items = all();
    assert!(items.len() >= 2_000, "{} items", items.len());
    let (topics, whole) = run(items.into_iter());
    for (topic, tally) in &topics {
        let proved = share(tally.proved, tally.true_ones);
        let refuted = share(tally.refuted, tally.false_ones);
        assert!(proved >= PROVED_IN_TOPIC, "{topic}: {proved} proved");
        assert!(refuted >= REFUTED_IN_TOPIC, "{topic}: {refuted} refuted");
    }
    assert!(share(whole.proved, whole.true_ones) >= PROVED_SHARE);
    assert!(share(whole.refuted, whole.false_ones) >= REFUTED_SHARE);
}
