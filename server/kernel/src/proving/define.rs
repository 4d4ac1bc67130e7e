//! Definedness of expressions: derives what each operation needs, innermost first.

use super::establish::{DEPTH, establish, fact_term, place};
use super::sums::{Wanted, close_sum};
use super::work::Work;
use crate::expr::{Condition, Constant, Expr, Function, Node};
use crate::fuel::Fuel;
use crate::recheck::{Sign, Step, parts};
use dashu::rational::RBig;

/// Derives that an expression is defined.
pub(super) fn define(work: &mut Work, expr: &Expr, fuel: &mut Fuel<'_>) -> bool {
    if work.context.is_absurd() || work.context.is_defined(expr) {
        return true;
    }
    match expr.node() {
        Node::Piecewise(branches) => {
            for (condition, value) in branches {
                if let Condition::Holds(left, _, right) = condition
                    && !(define(work, left, fuel) && define(work, right, fuel))
                {
                    return false;
                }
                match work.context.judge(condition) {
                    Some(true) => return define(work, value, fuel),
                    Some(false) => {}
                    None => return false,
                }
            }
            return false;
        }
        Node::Derivative { variable, body } => {
            if !define(work, body, fuel) {
                return false;
            }
            let Some(slope) = parts::differentiate(body, variable) else {
                return false;
            };
            let mut bases = Vec::new();
            body.visit(&mut |part| {
                if let Node::Pow(base, exponent) = part.node()
                    && !work.context.is_integer(exponent)
                {
                    bases.push(base.clone());
                }
            });
            for base in bases {
                need(work, &base, Sign::Positive, fuel);
            }
            return define(work, &slope, fuel) && work.context.is_defined(expr);
        }
        Node::Sum { .. } | Node::Product { .. } => {
            close_sum(work, expr, Wanted::Defined, fuel);
            return work.context.is_defined(expr);
        }
        _ => {}
    }
    for child in expr.children() {
        if !define(work, child, fuel) {
            return false;
        }
    }
    operation(work, expr, fuel);
    work.context.is_defined(expr)
}

fn operation(work: &mut Work, expr: &Expr, fuel: &mut Fuel<'_>) {
    match expr.node() {
        Node::Div(_, divisor) => {
            need(work, divisor, Sign::NonZero, fuel);
        }
        Node::Root(degree, inner) if degree % 2 == 0 => {
            need(work, inner, Sign::NonNegative, fuel);
        }
        Node::Call(Function::Log, inner) => {
            need(work, inner, Sign::Positive, fuel);
        }
        Node::Call(Function::Asin | Function::Acos, inner) => {
            need(
                work,
                &Expr::integer(1).minus(inner),
                Sign::NonNegative,
                fuel,
            );
            need(
                work,
                &inner.plus(&Expr::integer(1)),
                Sign::NonNegative,
                fuel,
            );
        }
        Node::Call(Function::Tan, inner) => {
            need(work, &inner.call(Function::Cos), Sign::NonZero, fuel);
        }
        Node::Call(Function::Factorial, inner) => {
            need(work, inner, Sign::NonNegative, fuel);
        }
        Node::Pow(base, exponent) if *base.node() != Node::Constant(Constant::E) => {
            if work.context.is_integer(exponent) {
                let whole = exponent.as_number();
                if whole.is_some_and(|k| k < RBig::ZERO)
                    || !need(work, exponent, Sign::NonNegative, fuel)
                {
                    need(work, base, Sign::NonZero, fuel);
                }
            } else if !need(work, base, Sign::Positive, fuel)
                && need(work, base, Sign::NonNegative, fuel)
            {
                need(work, exponent, Sign::Positive, fuel);
            }
        }
        _ => {}
    }
}

fn need(work: &mut Work, value: &Expr, sign: Sign, fuel: &mut Fuel<'_>) -> bool {
    let Some(poly) = work.poly(value) else {
        return false;
    };
    if sign == Sign::NonZero && by_size(work, value)
        || establish(work, &poly, sign, DEPTH - 1, fuel)
    {
        return true;
    }
    // Lemmas about the functions inside may tell the sign.
    let mut trial = work.clone();
    super::lemmas::instantiate(&mut trial, &[value], fuel);
    if trial.len() == work.len() {
        return false;
    }
    let Some(poly) = trial.poly(value) else {
        return false;
    };
    let done = establish(&mut trial, &poly, sign, DEPTH - 1, fuel);
    if done {
        *work = trial;
    }
    done
}

/// |u| > 0 gives u² > 0, and u ≠ 0 with it.
fn by_size(work: &mut Work, value: &Expr) -> bool {
    let Some(size) = work.poly(&value.abs()) else {
        return false;
    };
    let Some(place) = place(work, &size, Sign::Positive) else {
        return false;
    };
    let square = fact_term(vec![place, place]);
    work.take(Step::Combine(vec![square], Vec::new()))
        && work.context.sign_of_expr(value).has(Sign::NonZero)
}

/// Adds p ≥ 1 for integers p > 0, n ≥ N + 1 for n > N among them.
pub(super) fn strengthen(work: &mut Work) {
    for place in 0..work.len() {
        if work.context.facts()[place].1 == Sign::Positive {
            work.take(Step::Whole(place));
        }
    }
}

/// Adds the signs of atoms that hold by the nature of their functions, such as √u ≥ 0.
pub(super) fn intrinsic(work: &mut Work, target: &crate::recheck::Poly) {
    let mut atoms = target.atoms();
    for (poly, _) in work.context.facts() {
        atoms.extend(poly.atoms());
    }
    for atom in atoms {
        if atom.as_variable().is_some() {
            continue;
        }
        let own = work
            .context
            .sign_of(&crate::recheck::Poly::atom(atom.clone()));
        let sign = match (own.at_least, own.differs) {
            (true, true) => Sign::Positive,
            (true, false) => Sign::NonNegative,
            _ => continue,
        };
        let poly = crate::recheck::Poly::atom(atom.clone());
        let there = work
            .context
            .facts()
            .iter()
            .any(|(own, known)| *own == poly && (*known == sign || *known == Sign::Positive));
        if !there {
            work.take(Step::Known(atom, sign));
        }
    }
    // Whole products of such atoms, as they occur in facts, save the combinations a degree.
    let products: std::collections::BTreeSet<crate::recheck::Monomial> = work
        .context
        .facts()
        .iter()
        .flat_map(|(poly, _)| poly.terms().map(|(monomial, _)| monomial.clone()))
        .filter(|monomial| {
            monomial.factors().len() > 1
                && monomial
                    .factors()
                    .iter()
                    .any(|(atom, _)| atom.as_variable().is_none())
        })
        .take(24)
        .collect();
    for monomial in products {
        let poly = crate::recheck::Poly::monomial(monomial);
        let own = work.context.sign_of(&poly);
        let sign = match (own.at_least, own.differs) {
            (true, true) => Sign::Positive,
            (true, false) => Sign::NonNegative,
            _ => continue,
        };
        work.take(Step::Known(poly.to_expr(), sign));
    }
}
