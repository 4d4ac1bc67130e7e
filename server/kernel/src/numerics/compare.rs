//! Comparison of values beyond rounding: doubles first, then big floats, ties by normal form.

use super::assignment::Assignment;
use super::big::Big;
use super::enclose::{Ball, Definedness, Evaluator, Truth};
use super::exact_eval;
use super::scalar::{Scalar, Toward};
use crate::expr::{Condition, Expr, Relation};
use crate::limits;
use dashu::rational::RBig;
use std::cmp::Ordering;

/// How precise an enclosure is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Precision {
    /// Doubles: a microsecond per evaluation.
    Double,
    /// Big floats of that many bits, with ties decided by normal forms.
    Bits(u32),
}

/// The precisions that [`truth`] and [`compare`] try in turn.
pub const LADDER: [Precision; 4] = [
    Precision::Double,
    Precision::Bits(128),
    Precision::Bits(256),
    Precision::Bits(512),
];

/// Where the value of an expression lies.
#[derive(Clone, PartialEq, Debug)]
pub struct Enclosure {
    /// Whether the expression is defined.
    pub definedness: Definedness,
    /// Lower bound of the value (if it is defined), `None` for −∞.
    pub low: Option<RBig>,
    /// Upper bound of the value (if it is defined), `None` for +∞.
    pub high: Option<RBig>,
    /// The value itself (if it is defined), where it is rational, short and known.
    pub exact: Option<RBig>,
}

impl Enclosure {
    /// The bounds as doubles, rounded outward.
    #[must_use]
    pub fn doubles(&self) -> (f64, f64) {
        let side = |bound: &Option<RBig>, toward: Toward| match bound {
            Some(value) => <f64 as Scalar>::ratio(value, toward, ()),
            None => <f64 as Scalar>::infinity(toward == Toward::High),
        };
        (side(&self.low, Toward::Low), side(&self.high, Toward::High))
    }

    fn of<S: Scalar>(ball: Ball<S>) -> Self {
        Self {
            definedness: ball.definedness,
            low: ball.interval.low.exact(),
            high: ball.interval.high.exact(),
            exact: ball.exact,
        }
    }
}

/// Encloses the value of an expression, for all values of its variables that the assignment
/// admits. Variables without a value run through all reals.
#[must_use]
pub fn enclose(expr: &Expr, assignment: &Assignment, precision: Precision) -> Enclosure {
    match precision {
        Precision::Double => Enclosure::of(double(assignment).ball(expr)),
        Precision::Bits(bits) => Enclosure::of(big(assignment, bits).ball(expr)),
    }
}

fn double(assignment: &Assignment) -> Evaluator<'_, f64> {
    Evaluator::new(assignment, (), limits::QUICK_EXACT_BITS, false)
}

fn big(assignment: &Assignment, bits: u32) -> Evaluator<'_, Big> {
    Evaluator::new(assignment, bits, limits::EXACT_BITS, true)
}

/// Whether a condition holds for all values that the assignment admits, at one precision.
#[must_use]
pub fn truth_at(condition: &Condition, assignment: &Assignment, precision: Precision) -> Truth {
    match precision {
        Precision::Double => double(assignment).truth(condition),
        Precision::Bits(bits) => big(assignment, bits).truth(condition),
    }
}

/// Whether a condition holds for all values that the assignment admits.
#[must_use]
pub fn truth(condition: &Condition, assignment: &Assignment) -> Truth {
    LADDER
        .iter()
        .map(|precision| truth_at(condition, assignment, *precision))
        .find(|truth| *truth != Truth::Unknown)
        .unwrap_or(Truth::Unknown)
}

/// How two values compare; `None` if they are not surely defined or it cannot be told.
#[must_use]
pub fn compare(left: &Expr, right: &Expr, assignment: &Assignment) -> Option<Ordering> {
    let holds = |relation| {
        truth(
            &Condition::Holds(left.clone(), relation, right.clone()),
            assignment,
        )
    };
    match holds(Relation::Less) {
        Truth::True => Some(Ordering::Less),
        Truth::False => match holds(Relation::Greater) {
            Truth::True => Some(Ordering::Greater),
            Truth::False => Some(Ordering::Equal),
            _ => None,
        },
        _ => None,
    }
}

/// Whether an expression is defined for all values that the assignment admits.
#[must_use]
pub fn definedness(expr: &Expr, assignment: &Assignment) -> Definedness {
    LADDER
        .iter()
        .map(|precision| enclose(expr, assignment, *precision).definedness)
        .find(|found| *found != Definedness::Unknown)
        .unwrap_or(Definedness::Unknown)
}

/// Whether two expressions are equal at exact values, by their normal form (`false`: not known).
#[must_use]
pub fn equal(left: &Expr, right: &Expr, assignment: &Assignment) -> bool {
    exact_eval::equal(left, right, assignment)
}
