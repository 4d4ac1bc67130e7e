//! What the kernel answers: proved with a certificate, refuted with a counterexample, or unsettled.

use crate::expr::{Expr, Symbol};
pub use crate::recheck::{Certificate, Counterexample};

/// The answer to a problem.
#[derive(Clone, Debug)]
pub enum Verdict {
    /// True for all values; the certificate was re-verified.
    Proved(Certificate),
    /// False at a point that was confirmed beyond rounding.
    Refuted(Counterexample),
    /// Neither; says what stood in the way.
    Unsettled(Obstacle),
}

impl Verdict {
    /// Whether it is `Proved`.
    #[must_use]
    pub fn is_proved(&self) -> bool {
        matches!(self, Self::Proved(_))
    }

    /// Whether it is `Refuted`.
    #[must_use]
    pub fn is_refuted(&self) -> bool {
        matches!(self, Self::Refuted(_))
    }
}

/// Why a problem stayed unsettled.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Obstacle {
    /// How many sample points satisfied the hypotheses and showed no violation.
    pub trials: u64,
    /// What stood in the way.
    pub reason: Reason,
}

/// The kinds of obstacle.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reason {
    /// Neither engine came to an end within its fuel.
    OutOfReach,
    /// No point was found that satisfies all hypotheses.
    NoPointFound,
    /// The hypotheses contradict each other (shown by a certificate).
    Contradiction,
    /// A counterexample candidate was found, but the second opinion disagreed: our own fault.
    SecondOpinionDisagrees,
    /// The work was called off; nothing may be concluded.
    Stopped,
}

/// One side of a relation at a counterexample.
#[derive(Clone, PartialEq, Debug)]
pub enum SideValue {
    /// The exact value, as a constant expression.
    Exact(Expr),
    /// An enclosure [low, high].
    Enclosed {
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
    },
    /// The side is undefined there.
    Undefined,
}

/// The values of the variables at a counterexample, in the order of the problem's variables;
/// each value is a constant expression over numerals, roots, powers, π and e. An unknown
/// function's value stands under its application (`f(1/2)`).
pub type Point = Vec<(Expr, Expr)>;

/// The value of the variable `name` at a point.
#[must_use]
pub fn value_at<'a>(point: &'a Point, name: &Symbol) -> Option<&'a Expr> {
    point
        .iter()
        .find(|(what, _)| what.as_variable() == Some(name))
        .map(|(_, value)| value)
}
