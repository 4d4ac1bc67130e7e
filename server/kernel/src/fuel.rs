//! Effort in steps, never in time: budgets that make verdicts the same on every machine.

use crate::proving::Memory;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering};

/// How much work a decision may cost, in counts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Budget {
    /// Points at which the refuter evaluates the problem.
    pub evaluations: u64,
    /// Candidate points that are confirmed by intervals.
    pub confirmations: u64,
    /// Steps of the prover: one is about one polynomial operation or simplex pivot.
    pub proof_steps: u64,
}

impl Budget {
    /// The budget of a review.
    pub const STANDARD: Self = Self {
        evaluations: 24_000,
        confirmations: 120,
        proof_steps: 125_000,
    };

    /// A small budget for hints that come while somebody types.
    pub const QUICK: Self = Self {
        evaluations: 4_000,
        confirmations: 40,
        proof_steps: 6_000,
    };

    /// Whether this allows nothing that the other one does not.
    #[must_use]
    pub fn is_within(&self, other: &Self) -> bool {
        self.evaluations <= other.evaluations
            && self.confirmations <= other.confirmations
            && self.proof_steps <= other.proof_steps
    }
}

/// Fuel that is left, and the flag that calls work off.
#[derive(Debug)]
pub struct Fuel<'a> {
    left: u64,
    hasty: bool,
    stop: &'a AtomicBool,
    /// What the search remembers; shared by all parts.
    memory: Rc<RefCell<Memory>>,
}

impl<'a> Fuel<'a> {
    /// `steps` steps; `stop` calls the work off.
    #[must_use]
    pub fn new(steps: u64, stop: &'a AtomicBool) -> Self {
        Self {
            left: steps,
            hasty: false,
            stop,
            memory: Rc::default(),
        }
    }

    /// Takes `steps` steps; false if there are not that many left or the work was called off.
    #[must_use]
    pub fn take(&mut self, steps: u64) -> bool {
        if self.left < steps || self.is_stopped() {
            self.left = 0;
            return false;
        }
        self.left -= steps;
        true
    }

    /// Steps that are left.
    #[must_use]
    pub fn left(&self) -> u64 {
        self.left
    }

    /// Whether the work was called off. A caller that sees this discards its result.
    #[must_use]
    pub fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// A part of this fuel, at most `steps`, as a budget of its own under the same flag; give
    /// what is left back with [`Fuel::refund`].
    #[must_use]
    pub fn part(&mut self, steps: u64) -> Fuel<'a> {
        let granted = steps.min(self.left);
        self.left -= granted;
        Fuel {
            left: granted,
            hasty: self.hasty,
            stop: self.stop,
            memory: Rc::clone(&self.memory),
        }
    }

    /// A part for one attempt among many; a hasty search gives an attempt an eighth of it.
    #[must_use]
    pub fn attempt(&mut self, steps: u64) -> Fuel<'a> {
        self.part(if self.hasty { steps / 8 } else { steps })
    }

    /// A part, at most `steps`, for a first search that leaves every attempt early.
    #[must_use]
    pub fn hasty(&mut self, steps: u64) -> Fuel<'a> {
        Fuel {
            hasty: true,
            ..self.part(steps)
        }
    }

    /// Whether attempts are left early.
    pub(crate) fn is_hasty(&self) -> bool {
        self.hasty
    }

    /// What the search remembers of its work so far.
    pub(crate) fn memory(&self) -> &RefCell<Memory> {
        &self.memory
    }

    /// Takes back what a part left over.
    pub fn refund(&mut self, part: &Fuel<'_>) {
        self.left += part.left;
    }
}
