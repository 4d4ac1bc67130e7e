//! The trusted part: the only maker of evidence. It verifies proofs and counterexamples that are
//! given to it as data, with exact arithmetic and outward-rounded intervals; it never searches.

mod analysis;
mod confirm;
mod judge;
mod lemma;
mod limit;
mod proof;
mod series;
mod step;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

pub(crate) use crate::algebra::Signed;
pub use crate::algebra::{Context, Fraction, Known, Monomial, Poly, Range};
use crate::expr::{Condition, Expr, Symbol};
use crate::goal::Problem;
use crate::verdict::{Point, SideValue};

pub use confirm::{confirm, satisfies};
pub use lemma::Lemma;
pub use proof::{Majorant, Proof, Shape, Sign, Step, Term, Witness};

/// A re-verified proof of a problem.
#[derive(Clone, Debug)]
pub struct Certificate {
    problem: Problem,
    proof: Proof,
}

impl Certificate {
    /// The problem that is proved.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    /// The proof that was verified.
    #[must_use]
    pub fn proof(&self) -> &Proof {
        &self.proof
    }
}

/// A confirmed point at which a claim fails: all hypotheses hold there and the claim is false or
/// undefined, beyond rounding.
#[derive(Clone, Debug)]
pub struct Counterexample {
    point: Point,
    left: SideValue,
    right: SideValue,
    failed: Condition,
}

impl Counterexample {
    /// The values of the variables, in the order of the problem's variables.
    #[must_use]
    pub fn point(&self) -> &Point {
        &self.point
    }

    /// The left side there.
    #[must_use]
    pub fn left(&self) -> &SideValue {
        &self.left
    }

    /// The right side there.
    #[must_use]
    pub fn right(&self) -> &SideValue {
        &self.right
    }

    /// The statement that fails there.
    #[must_use]
    pub fn failed(&self) -> &Condition {
        &self.failed
    }

    /// Whether a side is undefined there.
    #[must_use]
    pub fn is_undefined(&self) -> bool {
        self.left == SideValue::Undefined || self.right == SideValue::Undefined
    }
}

/// The problems to which proofs reduce, for the search.
pub(crate) mod parts {
    pub(crate) use super::analysis::{bounds, concave_parts, difference, monotone_parts};
    pub(crate) use super::judge::{along, closes, induction_step, replaced, rewritten, with_value};
    pub(crate) use super::limit::{
        has_case, majorant_bound, majorant_parts, separation_parts, size,
    };
    pub(crate) use super::series::vanishing;
    pub(crate) use crate::algebra::sums::inside;
    pub(crate) use crate::calculus::differentiate;
}

/// A certified distance from 0 of a term that would have to tend to 0: for infinitely many
/// values of the index there are points at which its absolute value is at least a fixed bound.
#[derive(Clone, Debug)]
pub struct Separation {
    problem: Problem,
    witness: Witness,
}

impl Separation {
    /// The problem, a `TendsToZero`, whose claim fails.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    /// The point for each value of the index.
    #[must_use]
    pub fn values(&self) -> &[(Symbol, Expr)] {
        &self.witness.values
    }

    /// The bound, free of the index and of the points.
    #[must_use]
    pub fn bound(&self) -> &Expr {
        &self.witness.bound
    }

    /// The whole witness.
    #[must_use]
    pub fn witness(&self) -> &Witness {
        &self.witness
    }
}

/// Verifies a proof; a certificate if every step holds.
#[must_use]
pub fn verify(problem: &Problem, proof: Proof) -> Option<Certificate> {
    judge::check(problem, &proof, judge::DEPTH).then(|| Certificate {
        problem: problem.clone(),
        proof,
    })
}

/// Verifies a distance from 0 for a `TendsToZero` problem.
#[must_use]
pub fn separate(problem: &Problem, witness: Witness) -> Option<Separation> {
    let parts = limit::separation_parts(problem, &witness)?;
    let shown = parts.len() == witness.proofs.len()
        && limit::has_case(problem, &witness.parameters)
        && parts
            .iter()
            .zip(&witness.proofs)
            .all(|(part, proof)| judge::check(part, proof, judge::DEPTH));
    shown.then(|| Separation {
        problem: problem.clone(),
        witness,
    })
}
