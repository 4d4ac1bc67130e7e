//! Numeric bounds that reach a variable through others, as |x| < δ ≤ 1: conditions of known
//! inequalities are judged by them.

use super::establish::place;
use super::work::Work;
use crate::fuel::Fuel;
use crate::recheck::{Poly, Sign, Signed, Step, Term};
use dashu::rational::RBig;

/// Summands of a fact that is looked at.
const TERMS: usize = 4;
/// How far bounds are handed on.
const ROUNDS: usize = 2;
/// Steps that one fact costs.
const COST: u64 = 2;

/// Adds the bounds of variables that linear facts give with the bounds of the other variables.
pub(super) fn propagate(work: &mut Work, fuel: &mut Fuel<'_>) {
    for _ in 0..ROUNDS {
        let before = work.len();
        for fact in 0..before {
            let (poly, sign) = work.context.facts()[fact].clone();
            let linear = poly.degree() == 1 && poly.atoms().len() > 1 && poly.count() <= TERMS;
            if !linear || !matches!(sign, Sign::NonNegative | Sign::Positive) || !fuel.take(COST) {
                continue;
            }
            for atom in poly.atoms() {
                if atom.as_variable().is_some() {
                    bound(work, fact, &poly, &atom);
                }
            }
        }
        if work.len() == before {
            return;
        }
    }
}

/// A bound of one variable of a linear fact, the others at the ends that weaken it.
fn bound(work: &mut Work, fact: usize, poly: &Poly, own: &crate::expr::Expr) {
    let (mut sum, mut ends) = (poly.clone(), Vec::new());
    for (monomial, value) in poly.terms() {
        let [(atom, 1)] = monomial.factors() else {
            continue;
        };
        if atom == own {
            continue;
        }
        let range = work.context.range_of_atom(atom);
        // value · atom ≤ value · end
        let end = if value.is_negative() {
            range.low
        } else {
            range.high
        };
        let Some((end, _)) = end else { return };
        let gap = Poly::constant(end).minus(&Poly::atom(atom.clone()));
        let gap = if value.is_negative() {
            gap.negative()
        } else {
            gap
        };
        let size = if value.is_negative() {
            -value
        } else {
            value.clone()
        };
        sum = sum.plus_scaled(&size, &gap);
        ends.push((gap, size));
    }
    if work.knows(&sum, Sign::NonNegative) {
        return;
    }
    let mut terms = vec![term(RBig::ONE, fact)];
    for (gap, size) in ends {
        let Some(place) = place(work, &gap, Sign::NonNegative) else {
            return;
        };
        terms.push(term(size, place));
    }
    work.take(Step::Combine(terms, Vec::new()));
}

fn term(coefficient: RBig, fact: usize) -> Term {
    Term {
        coefficient,
        facts: vec![fact],
        squares: Vec::new(),
    }
}
