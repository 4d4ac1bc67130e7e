//! One question, one answer: the refuter first, then the prover, each answer re-verified.

use crate::fuel::{Budget, Fuel};
use crate::goal::{Goal, Problem};
use crate::limits;
use crate::proving::prove;
use crate::recheck::verify;
use crate::refuting::{Outcome, Search};
use crate::verdict::{Obstacle, Reason, Verdict};
use std::sync::atomic::{AtomicBool, Ordering};

/// Decides a problem within a budget. The same problem and budget give the same verdict on every
/// machine; if `stop` was raised meanwhile the verdict is `Unsettled` with [`Reason::Stopped`]
/// and nothing may be concluded from it.
///
/// The refuter has the first word with a part of its evaluations (most false claims fall there,
/// and a counterexample costs less than a failed proof), then the prover, then the rest of the
/// refuter's evaluations. A problem whose hypotheses contradict each other is proved like any
/// other; callers that must not conclude from a contradiction ask
/// [`crate::refuting::satisfiable_point`].
#[must_use]
pub fn decide(problem: &Problem, budget: &Budget, stop: &AtomicBool) -> Verdict {
    let mut search = Search::new(problem, budget.confirmations);
    let first = budget.evaluations.min(limits::FIRST_EVALUATIONS);
    let mut trials = 0;
    if let Some(search) = &mut search {
        if let Some(verdict) = look(search, first, stop) {
            return verdict;
        }
        trials = search.trials;
    }
    let mut fuel = Fuel::new(budget.proof_steps, stop);
    if let Some(certificate) = prove(problem, &mut fuel).and_then(|proof| verify(problem, proof)) {
        if stop.load(Ordering::Relaxed) {
            return unsettled(trials, Reason::Stopped);
        }
        debug_assert!(
            refuted_nowhere(search.as_mut(), stop),
            "both engines succeeded on {problem:?}"
        );
        return Verdict::Proved(certificate);
    }
    if let Some(search) = &mut search {
        let rest = budget.evaluations - first;
        if let Some(verdict) = look(search, rest, stop) {
            return verdict;
        }
        trials = search.trials;
    }
    let searched = matches!(problem.goal, Goal::Holds(..) | Goal::Defined(_));
    let reason = if stop.load(Ordering::Relaxed) {
        Reason::Stopped
    } else if searched && trials == 0 && search.is_some() {
        Reason::NoPointFound
    } else {
        Reason::OutOfReach
    };
    unsettled(trials, reason)
}

fn unsettled(trials: u64, reason: Reason) -> Verdict {
    Verdict::Unsettled(Obstacle { trials, reason })
}

/// Lets the refuter look on; a verdict if it comes to one.
fn look(search: &mut Search<'_>, evaluations: u64, stop: &AtomicBool) -> Option<Verdict> {
    let outcome = search.run(evaluations, stop);
    if stop.load(Ordering::Relaxed) {
        return Some(unsettled(search.trials, Reason::Stopped));
    }
    match outcome? {
        Outcome::Found(counterexample) => Some(Verdict::Refuted(*counterexample)),
        Outcome::SecondOpinionDisagrees => {
            Some(unsettled(search.trials, Reason::SecondOpinionDisagrees))
        }
        Outcome::NotFound { .. } => None,
    }
}

/// Whether a short further search finds nothing against a proved claim: the two engines never
/// may contradict each other.
fn refuted_nowhere(search: Option<&mut Search<'_>>, stop: &AtomicBool) -> bool {
    search.is_none_or(|search| {
        !matches!(
            search.run(limits::FIRST_EVALUATIONS, stop),
            Some(Outcome::Found(_))
        )
    })
}
