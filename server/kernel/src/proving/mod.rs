//! The prover's search: it proposes proofs as data, [`crate::recheck`] judges them.

mod bounding;
mod bounds;
mod calculus;
mod candidates;
mod chain;
mod contradiction;
mod define;
mod difference;
mod eliminate;
mod establish;
mod guesses;
mod lemmas;
mod limits;
mod linear;
mod logarithm;
mod memory;
mod pairs;
mod parity;
mod primitives;
mod prune;
pub mod reason;
mod reduction;
mod remainder;
mod rough;
mod sample;
mod series;
mod simplex;
mod solve;
mod sums;
mod telescoping;
mod triangle;
mod witness;
mod work;

pub(crate) use memory::Memory;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
pub(crate) mod tests;

use crate::expr::{Expr, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Problem};
use crate::recheck::{Certificate, Proof, Separation, verify};

/// Searches a proof of the problem within the fuel. The answer is a proposal.
#[must_use]
pub fn prove(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    match &problem.goal {
        Goal::TendsToZero { .. } => tends_to_zero(problem, fuel),
        _ => {
            // Most proofs are short once the right path is taken, so that all paths are looked
            // into before one is searched to its end.
            let mut first = fuel.hasty(fuel.left() / 4);
            let found = solve::solve(problem, solve::LEVEL, &mut first);
            fuel.refund(&first);
            found
                .or_else(|| parity::solve(problem, fuel))
                .or_else(|| solve::solve(problem, solve::LEVEL, fuel))
        }
    }
}

/// Searches a majorant, free of the points, that tends to 0: a proof of a `TendsToZero` problem.
#[must_use]
pub fn tends_to_zero(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    if !limits::is_well_posed(problem) {
        return None;
    }
    let share = if parity::matters(problem) { 2 } else { 1 };
    let mut part = fuel.part(fuel.left() / share);
    let found = limits::tends(problem, &mut part);
    fuel.refund(&part);
    found.or_else(|| parity::solve(problem, fuel))
}

/// Searches a certified witness that the term of a `TendsToZero` problem does not tend to 0:
/// points that may move with the index, at which |term| stays above a fixed bound.
#[must_use]
pub fn stays_away(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Separation> {
    if !limits::is_well_posed(problem) {
        return None;
    }
    witness::stays(problem, fuel)
}

/// A certified majorant of a `TendsToZero` problem's term, in the index and the parameters.
#[must_use]
pub fn majorant(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<(Expr, Certificate)> {
    if !limits::is_well_posed(problem) {
        return None;
    }
    limits::majorant(problem, fuel)
}

/// A value that the index must exceed for |term| < `tolerance`, from a certified majorant: for
/// c n^(−p) it is (c/ε)^(1/p). The caller proves the threshold itself before offering it.
#[must_use]
pub fn threshold(problem: &Problem, tolerance: &Symbol, fuel: &mut Fuel<'_>) -> Option<Expr> {
    if !limits::is_well_posed(problem) {
        return None;
    }
    limits::threshold(problem, tolerance, fuel)
}

/// A certificate that the hypotheses alone contradict each other: of 0 > 0 under them. A caller
/// withholds "proved" then.
#[must_use]
pub fn contradictory(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Certificate> {
    let zero = Expr::integer(0);
    let absurd = problem.with_goal(Goal::Holds(zero.clone(), Relation::Greater, zero));
    let proof = contradiction::absurd(&absurd, solve::LEVEL, fuel)?;
    verify(&absurd, proof)
}
