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
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use tests::families::{Item, all};

/// Every which item the plain test run takes.
const SAMPLE: usize = 17;
/// The shares of true items proved and of false items refuted, over all topics.
const PROVED_SHARE: f64 = 0.96;
const REFUTED_SHARE: f64 = 0.99;
/// The same in each single topic.
const PROVED_IN_TOPIC: f64 = 0.9;
const REFUTED_IN_TOPIC: f64 = 0.95;
/// Topics that are not there yet, with the share of false items refuted there, which is all that is
/// asked; they do not count in the share over all.
const UNDER_WAY: [(&str, f64); 1] = [("approach", 0.97)];
/// An item that takes longer is named.
const SLOW: Duration = Duration::from_secs(2);

/// What the engines made of an item.
struct Outcomes {
    proved: bool,
    refuted: bool,
    time: Duration,
}

#[derive(Default)]
struct Tally {
    proved: usize,
    true_ones: usize,
    refuted: usize,
    false_ones: usize,
    wrong: usize,
}

impl Tally {
    fn count(&mut self, item: &Item, outcomes: &Outcomes) {
        if item.truth {
            self.true_ones += 1;
            self.proved += usize::from(outcomes.proved);
        } else {
            self.false_ones += 1;
            self.refuted += usize::from(outcomes.refuted);
        }
        let wrong = item.truth && outcomes.refuted || !item.truth && outcomes.proved;
        self.wrong += usize::from(wrong);
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

    fn proved_share(&self) -> f64 {
        share(self.proved, self.true_ones)
    }

    fn refuted_share(&self) -> f64 {
        share(self.refuted, self.false_ones)
    }
}

fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 {
        1.0
    } else {
        part as f64 / whole as f64
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
        let steps = if item.truth {
            proof_steps / 8
        } else {
            proof_steps
        };
        return stays_away(&item.problem, &mut Fuel::new(steps, stop)).is_some();
    }
    let outcome = refute(&item.problem, evaluations, confirmations, stop);
    matches!(outcome, Outcome::Found(_))
}

fn judge(item: &Item, stop: &AtomicBool) -> Outcomes {
    let start = Instant::now();
    let proved = is_proved(item, stop);
    let refuted = is_refuted(item, stop);
    let time = start.elapsed();
    let what = match (item.truth, proved, refuted) {
        (true, _, true) | (false, true, _) => "WRONG",
        (true, false, _) => "not proved",
        (false, _, false) => "not refuted",
        _ if time > SLOW => "slow",
        _ => "",
    };
    if !what.is_empty() {
        println!("{what}: {}: {} ({time:.1?})", item.topic, item.text);
    }
    Outcomes {
        proved,
        refuted,
        time,
    }
}

/// Puts every item to both engines, on all cores; `MAJORANT_ONLY` keeps the topics that contain it.
fn run(mut items: Vec<Item>) -> (BTreeMap<&'static str, Tally>, Tally) {
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    items.retain(|item| item.topic.contains(&only));
    let stop = AtomicBool::new(false);
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        while let Some(item) = items.get(next.fetch_add(1, Ordering::Relaxed)) {
            done.push((item, judge(item, &stop)));
        }
        done
    };
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let judged: Vec<(&Item, Outcomes)> = std::thread::scope(|scope| {
        let running: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        running
            .into_iter()
            .flat_map(|thread| thread.join().expect("no engine panics"))
            .collect()
    });
    let mut topics: BTreeMap<&'static str, Tally> = BTreeMap::new();
    for (item, outcomes) in &judged {
        topics.entry(item.topic).or_default().count(item, outcomes);
    }
    let mut times: Vec<Duration> = judged.iter().map(|(_, outcomes)| outcomes.time).collect();
    times.sort_unstable();
    let at = |percent: usize| times.get(times.len() * percent / 100).copied();
    println!(
        "{} items, both engines on each: median {:.1?}, p95 {:.1?}, most {:.1?}",
        times.len(),
        at(50).unwrap_or_default(),
        at(95).unwrap_or_default(),
        times.last().copied().unwrap_or_default()
    );
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
    let (_, whole) = run(all().into_iter().step_by(SAMPLE).collect());
    assert!(whole.proved_share() >= PROVED_IN_TOPIC, "proved");
    assert!(whole.refuted_share() >= REFUTED_IN_TOPIC, "refuted");
}

/// Takes minutes; `.ci/run` runs it.
#[test]
#[ignore = "takes minutes"]
fn all_families_are_decided() {
    let items = all();
    assert!(items.len() >= 2_000, "{} items", items.len());
    let (topics, _) = run(items);
    let mut counted = Tally::default();
    for (topic, tally) in &topics {
        let (proved, refuted) = (tally.proved_share(), tally.refuted_share());
        assert!(proved >= PROVED_IN_TOPIC, "{topic}: {proved} proved");
        let under_way = UNDER_WAY.iter().find(|(name, _)| name == topic);
        let wanted = under_way.map_or(REFUTED_IN_TOPIC, |(_, reached)| *reached);
        assert!(refuted >= wanted, "{topic}: {refuted} refuted");
        if under_way.is_none() {
            counted.add(tally);
        }
    }
    assert!(counted.proved_share() >= PROVED_SHARE, "proved");
    assert!(counted.refuted_share() >= REFUTED_SHARE, "refuted");
}
