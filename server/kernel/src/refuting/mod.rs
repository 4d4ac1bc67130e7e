//! The refuter's search: it proposes points at which a claim fails, [`crate::recheck`] judges
//! them. It alone may lead to "refuted".
//!
//! Points are sampled in batches on the tape, promising ones are rounded to simple exact values,
//! confirmed, and simplified as far as they still confirm.

mod improve;
mod model;
mod random;
mod sample;
mod solve;
#[cfg(test)]
mod tests;
mod witness;

use crate::expr::Expr;
use crate::goal::{Kind, Problem};
use crate::limits;
use crate::numerics::second_opinion::{Opinion, second_opinion};
use crate::numerics::tape::{LANES, Lane};
use crate::recheck::{Counterexample, confirm, satisfies};
use crate::verdict::Point;
use dashu::rational::RBig;
use improve::Near;
use model::{Model, Target};
use random::Random;
use sample::Reach;
use std::sync::atomic::{AtomicBool, Ordering};
use witness::{Draft, complexity, drafts, evaluate, load, point, simpler};

/// Relative slack below which doubles say nothing.
const NOISE: f64 = 1e-11;
/// A hypothesis may miss by this much on the tape; confirmation decides.
const LENIENCE: f64 = 1e-12;
/// The seed of every search.
const SEED: u64 = 0x6d61_6a6f_7261_6e74;

/// What a search found.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// A confirmed counterexample.
    Found(Box<Counterexample>),
    /// Nothing; how many trial points satisfied all hypotheses.
    NotFound {
        /// Trial points that satisfied all hypotheses and showed no violation.
        trials: u64,
    },
    /// A counterexample was confirmed, but an independent evaluation gives other values.
    SecondOpinionDisagrees,
}

/// What the tape says of one point.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Score {
    /// A hypothesis fails or is undefined, or nothing is known.
    Excluded,
    /// The goal holds with this relative slack.
    Holds(f64),
    /// The goal seems to fail, by this relative amount.
    Violated(f64),
    /// The goal holds or fails within rounding errors.
    Tie,
    /// A side of the goal seems undefined.
    Undefined,
}

/// Reads the tape's verdict on one lane.
fn score(model: &Model, lane: usize) -> Score {
    let batch = &model.main.batch;
    for hypothesis in &model.hypotheses {
        let slack = batch.slack(hypothesis, lane);
        if slack.is_nan() || slack < -LENIENCE || slack == -f64::MIN_POSITIVE {
            return Score::Excluded;
        }
    }
    match &model.target {
        Target::Defined(register) => {
            let value = batch.value(*register)[lane];
            if value.is_nan() {
                Score::Undefined
            } else {
                Score::Holds(1.0)
            }
        }
        Target::Relation(tree, left, right) => {
            let (a, b) = (batch.value(*left)[lane], batch.value(*right)[lane]);
            if a.is_nan() || b.is_nan() {
                return Score::Undefined;
            }
            let slack = batch.slack(tree, lane);
            if a.is_infinite() || b.is_infinite() || slack.is_nan() {
                Score::Excluded
            } else if slack < -NOISE {
                Score::Violated(-slack)
            } else if slack > NOISE || slack >= 0.0 && !model.strict {
                Score::Holds(slack)
            } else {
                Score::Tie
            }
        }
    }
}

/// Searches a counterexample with at most `evaluations` trial points and `confirmations`
/// attempts at confirmation. If `stop` is raised the search ends early and the caller must
/// discard the result.
#[must_use]
pub fn refute(
    problem: &Problem,
    evaluations: u64,
    confirmations: u64,
    stop: &AtomicBool,
) -> Outcome {
    match Search::new(problem, confirmations) {
        Some(mut search) => search.run(evaluations, stop).unwrap_or(Outcome::NotFound {
            trials: search.trials,
        }),
        None => Outcome::NotFound { trials: 0 },
    }
}

/// The counterexample that a given point is, if it is confirmed and no independent evaluation
/// gives other values.
#[must_use]
pub fn at(problem: &Problem, point: &Point) -> Option<Counterexample> {
    confirm(problem, point).filter(|found| !matches!(second_opinion(found), Opinion::Disagrees))
}

/// A point that satisfies all hypotheses beyond doubt: they do not contradict each other.
#[must_use]
pub fn satisfiable_point(problem: &Problem) -> Option<Point> {
    let mut search = Search::new(problem, limits::SATISFIABLE_ATTEMPTS)?;
    for batch in 0..limits::SATISFIABLE_BATCHES {
        search.sample(batch);
        let mut admitted: Vec<usize> = (0..LANES)
            .filter(|lane| score(&search.model, *lane) != Score::Excluded)
            .collect();
        admitted.truncate(4);
        for lane in admitted {
            let values: Vec<f64> = search.values.iter().map(|lanes| lanes[lane]).collect();
            for draft in drafts(&search.model, &values, true) {
                search.confirmations = search.confirmations.checked_sub(1)?;
                if let Some(point) = point(problem, &search.model, &draft)
                    && satisfies(problem, &point)
                {
                    return Some(point);
                }
            }
        }
    }
    None
}

/// A search that can be continued with further evaluations.
#[derive(Debug)]
pub(crate) struct Search<'a> {
    problem: &'a Problem,
    model: Model,
    random: Random,
    values: Vec<Lane>,
    batches: u64,
    evaluations: u64,
    confirmations: u64,
    tie_tests: u64,
    undefined_tests: u64,
    improved: bool,
    near: Vec<Near>,
    /// Trial points that satisfied all hypotheses.
    pub(crate) trials: u64,
    disagreed: bool,
}

impl<'a> Search<'a> {
    /// A fresh search; `None` for goals that points cannot refute.
    pub(crate) fn new(problem: &'a Problem, confirmations: u64) -> Option<Self> {
        let model = Model::new(problem)?;
        let slots = model.slots.len();
        let strict = model.strict;
        Some(Self {
            problem,
            model,
            random: Random::new(SEED),
            values: vec![[0.0; LANES]; slots],
            batches: 0,
            evaluations: 0,
            confirmations,
            tie_tests: if strict {
                limits::TIE_TESTS
            } else {
                limits::DOUBTFUL_TESTS
            },
            undefined_tests: limits::UNDEFINED_TESTS,
            improved: false,
            near: Vec::new(),
            trials: 0,
            disagreed: false,
        })
    }

    /// Goes on for `evaluations` trial points; an outcome if one is reached.
    pub(crate) fn run(&mut self, evaluations: u64, stop: &AtomicBool) -> Option<Outcome> {
        let end = self.evaluations + evaluations;
        while self.evaluations < end && !stop.load(Ordering::Relaxed) {
            if self.confirmations == 0 {
                break;
            }
            let found = if self.evaluations >= limits::PATTERN_SEARCH_AFTER && !self.improved {
                self.improved = true;
                self.improve(stop)
            } else {
                self.batch()
            };
            if let Some(counterexample) = found {
                return Some(self.finish(counterexample));
            }
            if self.disagreed {
                return Some(Outcome::SecondOpinionDisagrees);
            }
            if self.model.slots.is_empty() {
                // Nothing to vary: one evaluation says it all.
                break;
            }
        }
        None
    }

    fn finish(&self, counterexample: Counterexample) -> Outcome {
        match second_opinion(&counterexample) {
            Opinion::Disagrees => Outcome::SecondOpinionDisagrees,
            Opinion::Agrees | Opinion::None => Outcome::Found(Box::new(counterexample)),
        }
    }

    /// Fills the lanes with one batch of points and evaluates them.
    fn sample(&mut self, batch: u64) {
        let reach = if batch < 2 {
            Reach::Simple
        } else if batch * (LANES as u64) < limits::WIDE_AFTER && batch % 4 != 3 {
            Reach::Usual
        } else {
            Reach::Wide
        };
        let plan = sample::plan(&self.model, &mut self.random);
        sample::fill(
            &mut self.model,
            &plan,
            reach,
            &mut self.random,
            &mut self.values,
        );
        evaluate(&mut self.model, &self.values);
        self.evaluations += LANES as u64 * self.charge();
    }

    /// How many usual evaluations one evaluation of this problem is worth: sums cost more.
    fn charge(&self) -> u64 {
        let weight = self.model.main.tape.weight() as u64;
        (1 + weight / limits::USUAL_WEIGHT).min(limits::HIGHEST_CHARGE)
    }

    fn batch(&mut self) -> Option<Counterexample> {
        let batch = self.batches;
        self.batches += 1;
        self.sample(batch);
        let mut violated = Vec::new();
        let mut ties = Vec::new();
        let mut undefined = Vec::new();
        for lane in 0..LANES {
            let verdict = score(&self.model, lane);
            let values = || {
                self.values
                    .iter()
                    .map(|lanes| lanes[lane])
                    .collect::<Vec<f64>>()
            };
            match verdict {
                Score::Excluded => continue,
                Score::Violated(amount) => violated.push((amount, values())),
                Score::Tie => ties.push(values()),
                Score::Undefined => undefined.push(values()),
                Score::Holds(slack) => {
                    let values = values();
                    self.remember(values, slack);
                }
            }
            self.trials += 1;
        }
        // The simplest of a few counterexamples: the effort is small and a reader is grateful.
        let mut best: Option<Counterexample> = None;
        for values in choose(&self.model, violated) {
            if let Some(found) = self.examine(&values, Score::Violated(1.0))
                && best
                    .as_ref()
                    .is_none_or(|best| length(&found) < length(best))
            {
                best = Some(found);
            }
        }
        if best.is_some() {
            return best;
        }
        for (kind, mut points, most) in [(Score::Undefined, undefined, 2), (Score::Tie, ties, 4)] {
            points.sort_by_cached_key(|values| roughness(&self.model, values));
            points.dedup();
            points.truncate(most);
            for values in points {
                if let Some(found) = self.examine(&values, kind) {
                    return Some(found);
                }
            }
        }
        None
    }

    /// Keeps the points nearest to a violation for the pattern search.
    fn remember(&mut self, values: Vec<f64>, slack: f64) {
        if self.improved
            || self.near.len() >= limits::NEAR_POINTS
                && self.near.last().is_some_and(|last| last.slack <= slack)
        {
            return;
        }
        let place = self.near.partition_point(|near| near.slack <= slack);
        let near = Near {
            values,
            slack,
            step: 0.5,
        };
        self.near.insert(place, near);
        self.near.truncate(limits::NEAR_POINTS);
    }

    fn improve(&mut self, stop: &AtomicBool) -> Option<Counterexample> {
        let mut points = std::mem::take(&mut self.near);
        for _ in 0..improve::ROUNDS {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let suspects = improve::round(
                &mut self.model,
                &mut points,
                &mut self.random,
                &mut self.values,
            );
            self.evaluations += (points.len() * improve::MOVES) as u64 * self.charge();
            for values in suspects.into_iter().take(2) {
                if let Some(found) = self.examine(&values, Score::Violated(1.0)) {
                    return Some(found);
                }
            }
        }
        // What came to rest on a tie is worth an exact test.
        points.retain(|near| near.slack < 1e-7);
        points.sort_by_cached_key(|near| self.magnitude(&near.values));
        for near in points.into_iter().take(6) {
            if let Some(found) = self.examine(&near.values, Score::Tie) {
                return Some(found);
            }
        }
        None
    }

    /// How large the integers of a point are: ties at small ones are the easiest to decide.
    fn magnitude(&self, values: &[f64]) -> u64 {
        let slots = self.model.slots.iter().zip(values);
        let whole = slots.filter(|(slot, _)| slot.kind == Kind::Integer);
        whole
            .map(|(_, value)| value.abs() as u64)
            .fold(0, u64::saturating_add)
    }

    /// Rounds a suspicious point and confirms the simplest rounding that serves.
    fn examine(&mut self, values: &[f64], kind: Score) -> Option<Counterexample> {
        let tie = kind == Score::Tie;
        let exact = tie || kind == Score::Undefined;
        let drafts = drafts(&self.model, values, exact);
        let serving = self.screen(&drafts);
        let order = if tie {
            serving
        } else {
            // A clear violation of a rounding before a doubtful one.
            let (clear, doubtful): (Vec<_>, Vec<_>) = serving
                .into_iter()
                .partition(|(_, score)| *score != Score::Tie);
            clear.into_iter().chain(doubtful).collect()
        };
        let most = if tie {
            limits::ATTEMPTS_PER_TIE
        } else {
            limits::ATTEMPTS_PER_POINT
        };
        for (number, score) in order.into_iter().take(most) {
            if let Some(found) = self.confirm(&drafts[number], score) {
                return Some(self.simplify(drafts[number].clone(), found));
            }
        }
        None
    }

    /// The drafts at which the tape suspects a failure, in order.
    fn screen(&mut self, drafts: &[Draft]) -> Vec<(usize, Score)> {
        if drafts.is_empty() {
            return Vec::new();
        }
        let mut values = std::mem::take(&mut self.values);
        load(&mut self.model, drafts, &mut values);
        evaluate(&mut self.model, &values);
        self.values = values;
        (0..drafts.len().min(LANES))
            .map(|lane| (lane, score(&self.model, lane)))
            .filter(|(_, score)| match score {
                Score::Violated(_) | Score::Undefined | Score::Tie => true,
                Score::Holds(_) | Score::Excluded => false,
            })
            .collect()
    }

    /// Asks for confirmation; suspected ties and undefined values have budgets of their own, as
    /// most of them come to nothing.
    fn confirm(&mut self, draft: &Draft, score: Score) -> Option<Counterexample> {
        let budget = match score {
            Score::Tie => &mut self.tie_tests,
            Score::Undefined => &mut self.undefined_tests,
            _ => &mut self.confirmations,
        };
        let cost = if self.model.endless {
            limits::ENDLESS_COST
        } else {
            1
        };
        *budget = budget.checked_sub(cost)?;
        confirm(self.problem, &point(self.problem, &self.model, draft)?)
    }

    /// Replaces coordinates by simpler ones as long as the point still confirms.
    fn simplify(&mut self, mut draft: Draft, mut found: Counterexample) -> Counterexample {
        let mut attempts = limits::SIMPLIFICATIONS;
        let here = self
            .screen(std::slice::from_ref(&draft))
            .first()
            .map(|(_, score)| *score);
        // A violation that is seen at a glance, or at least not much smaller than this one.
        let visible = limits::VISIBLE_VIOLATION.min(amount(here) / 4.0);
        for _ in 0..3 {
            let before = draft.clone();
            for slot in 0..draft.len() {
                for candidate in self.clear_candidates(&draft, slot, visible, &found) {
                    if attempts == 0 {
                        return found;
                    }
                    attempts -= 1;
                    let better = point(self.problem, &self.model, &candidate)
                        .and_then(|point| confirm(self.problem, &point));
                    if let Some(better) = better {
                        found = better;
                        draft = candidate;
                        break;
                    }
                }
            }
            if draft == before {
                break;
            }
        }
        found
    }

    /// The draft with a simpler value of one slot, where the tape still sees a clear failure;
    /// the three simplest.
    fn clear_candidates(
        &mut self,
        draft: &Draft,
        slot: usize,
        visible: f64,
        found: &Counterexample,
    ) -> Vec<Draft> {
        let Some(current) = draft[slot].as_ref().and_then(Expr::as_number) else {
            return Vec::new();
        };
        let candidates: Vec<Draft> = simpler(&current, self.model.slots[slot].kind)
            .into_iter()
            .map(|value| replaced(draft, slot, value))
            .collect();
        let mut clear = Vec::new();
        for chunk in candidates.chunks(LANES) {
            for (number, score) in self.screen(chunk) {
                let serves = match score {
                    Score::Violated(amount) => amount >= visible,
                    Score::Undefined => found.is_undefined(),
                    Score::Tie => self.model.strict,
                    Score::Holds(_) | Score::Excluded => false,
                };
                if serves {
                    clear.push(chunk[number].clone());
                }
                if clear.len() == 3 {
                    return clear;
                }
            }
        }
        clear
    }
}

/// How long the values of a counterexample are to read.
fn length(counterexample: &Counterexample) -> usize {
    let value = |value: &Expr| value.as_number().map_or(64, |number| complexity(&number));
    counterexample
        .point()
        .iter()
        .map(|(_, shown)| value(shown))
        .sum()
}

/// The relative size of the violation that the tape sees at a draft; 0 if it is no clear one.
fn amount(score: Option<Score>) -> f64 {
    match score {
        Some(Score::Violated(amount)) => amount,
        _ => 0.0,
    }
}

fn replaced(draft: &Draft, slot: usize, value: RBig) -> Draft {
    let mut changed = draft.clone();
    changed[slot] = Some(Expr::number(value));
    changed
}

/// The simplest and the clearest of the suspicious points.
fn choose(model: &Model, mut violated: Vec<(f64, Vec<f64>)>) -> Vec<Vec<f64>> {
    // Violations near the noise come last.
    violated.sort_by_cached_key(|item| (item.0 < 1e-9, roughness(model, &item.1)));
    let mut chosen: Vec<Vec<f64>> = violated
        .iter()
        .take(3)
        .map(|(_, values)| values.clone())
        .collect();
    violated.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, values) in violated.into_iter().take(3) {
        if !chosen.contains(&values) {
            chosen.push(values);
        }
    }
    chosen
}

/// How complicated a point's free coordinates are.
fn roughness(model: &Model, values: &[f64]) -> usize {
    model
        .slots
        .iter()
        .zip(values)
        .filter(|(slot, _)| slot.tied.is_none())
        .map(|(slot, value)| witness::roughness(*value, slot.kind))
        .sum()
}
