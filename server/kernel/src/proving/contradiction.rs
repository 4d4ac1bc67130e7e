//! Contradictions of the hypotheses.

use super::establish::establish;
use super::sample;
use super::solve::solve;
use super::work::Work;
use crate::fuel::Fuel;
use crate::goal::Problem;
use crate::recheck::{Proof, Sign};

/// Searches a contradiction of the hypotheses; the goal is 0 > 0.
pub(super) fn absurd(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    // A point that satisfies all hypotheses, known in every side, settles it.
    let consistent = sample::points(problem, 3).iter().any(|at| {
        problem
            .hypotheses
            .iter()
            .all(|own| sample::holds(&own.condition, at) == Some(true))
    });
    if consistent {
        return None;
    }
    let mut part = fuel.part(fuel.left() / 2);
    let found = solve(problem, level, &mut part);
    fuel.refund(&part);
    found.or_else(|| opposed(problem, fuel))
}

/// Derives the opposite of a strict fact from the others.
fn opposed(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let mut work = Work::of(problem, fuel);
    for place in 0..work.len() {
        let (poly, sign) = work.context.facts()[place].clone();
        if sign != Sign::Positive {
            continue;
        }
        let mut part = fuel.part(5_000);
        let _ = establish(&mut work, &poly.negative(), Sign::NonNegative, 3, &mut part);
        fuel.refund(&part);
        if work.context.is_absurd() {
            return Some(Proof::Direct(work.steps));
        }
    }
    None
}
