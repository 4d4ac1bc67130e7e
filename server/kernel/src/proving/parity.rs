//! Cases by parity: an integer is 2 m or 2 m + 1.

use super::prove;
use crate::expr::{Condition, Constant, Expr, Function, Node, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Problem};
use crate::recheck::{Context, Proof, parts};
use dashu::rational::RBig;
use std::collections::BTreeSet;

/// Searches a proof by the parity of an integer on which the problem depends through it: where
/// hypotheses or cases say that it is even or odd, or a sign alternates with it.
pub(super) fn solve(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let variable = of_parity(problem)?;
    let half = fresh(problem);
    let mut case = problem.clone();
    case.variables.push(crate::goal::Variable {
        name: half.clone(),
        kind: Kind::Integer,
    });
    let double = Expr::integer(2).times(&Expr::variable(&half));
    let mut branch = |value: &Expr, share: u64| {
        let case = parts::along(&case, &variable, &half, value)?;
        if Context::of(&case).is_absurd() {
            return Some(Box::new(Proof::Direct(Vec::new())));
        }
        let mut part = fuel.part(fuel.left() / share);
        let found = prove(&case, &mut part);
        fuel.refund(&part);
        found.map(Box::new)
    };
    let even = branch(&double, 2)?;
    let odd = branch(&double.plus(&Expr::integer(1)), 1)?;
    Some(Proof::Parity {
        variable: variable.clone(),
        half: half.clone(),
        even,
        odd,
    })
}

/// Whether the problem depends on an integer through its parity.
pub(super) fn matters(problem: &Problem) -> bool {
    of_parity(problem).is_some()
}

/// The integer whose parity matters.
fn of_parity(problem: &Problem) -> Option<Symbol> {
    let mut told: BTreeSet<Symbol> = BTreeSet::new();
    // What is decided for all integers needs no cases.
    let bare = Problem {
        hypotheses: Vec::new(),
        ..problem.clone()
    };
    let context = Context::of(&bare);
    for hypothesis in &problem.hypotheses {
        halves(&context, &hypothesis.condition, &mut told);
    }
    let limit = matches!(problem.goal, Goal::TendsToZero { .. });
    for side in sides(&problem.goal) {
        side.visit(&mut |part| match part.node() {
            Node::Piecewise(branches) => {
                for (condition, _) in branches {
                    halves(&context, condition, &mut told);
                }
            }
            Node::Pow(base, exponent) if base.as_number() == Some(RBig::NEG_ONE) && limit => {
                alternating(&context, part, exponent, None, &mut told);
            }
            Node::Call(Function::Sin | Function::Cos, of) if limit => {
                let pi = Node::Constant(Constant::Pi).into();
                alternating(&context, part, of, Some(&pi), &mut told);
            }
            _ => {}
        });
    }
    problem
        .variables
        .iter()
        .filter(|own| own.kind == Kind::Integer && told.contains(&own.name))
        .map(|own| own.name.clone())
        .find(|name| match &problem.goal {
            Goal::TendsToZero { index, points, .. } => index == name && !points.contains(name),
            _ => true,
        })
}

/// The names on which (−1)^k or sin(k π) depends after it was simplified, where k is a polynomial
/// in them that becomes whole when they are halved often enough.
fn alternating(
    context: &Context,
    part: &Expr,
    inside: &Expr,
    unit: Option<&Expr>,
    told: &mut BTreeSet<Symbol>,
) {
    let names = inside.variables();
    let settled = context
        .normal(part)
        .is_some_and(|form| form.to_expr().variables().is_disjoint(&names));
    let Some(form) = context.normal(inside).filter(|_| !settled) else {
        return;
    };
    let Some(poly) = form.as_poly() else { return };
    let regular = poly.terms().all(|(monomial, value)| {
        let turns = monomial
            .factors()
            .iter()
            .filter(|(own, _)| Some(own) == unit)
            .count();
        let whole = monomial
            .factors()
            .iter()
            .all(|(own, _)| Some(own) == unit || context.is_integer(own));
        let below = [1_u8, 2, 4, 8]
            .iter()
            .any(|k| *value.denominator() == dashu::integer::UBig::from(*k));
        whole && below && (unit.is_none() || turns == 1)
    });
    if regular {
        told.extend(names);
    }
}

fn sides(goal: &Goal) -> Vec<&Expr> {
    match goal {
        Goal::Holds(left, _, right) => vec![left, right],
        Goal::Defined(own) => vec![own],
        Goal::TendsToZero { term, .. } => vec![term],
    }
}

/// The names of which the condition says that a multiple of 1/2 of them is an integer.
fn halves(context: &Context, condition: &Condition, told: &mut BTreeSet<Symbol>) {
    match condition {
        Condition::Integer(value) => {
            if context.judge(condition).is_none()
                && let Node::Div(_, below) = value.node()
                && below
                    .as_number()
                    .is_some_and(|k| k == RBig::from(2) || k == RBig::from(4))
            {
                told.extend(value.variables());
            }
        }
        Condition::And(items) | Condition::Or(items) => {
            for item in items {
                halves(context, item, told);
            }
        }
        Condition::Not(inner) => halves(context, inner, told),
        Condition::Holds(..) => {}
    }
}

/// A letter for the half that nothing else uses.
fn fresh(problem: &Problem) -> Symbol {
    let mut used: BTreeSet<Symbol> = problem
        .variables
        .iter()
        .map(|own| own.name.clone())
        .collect();
    used.extend(
        sides(&problem.goal)
            .iter()
            .flat_map(|side| side.variables()),
    );
    used.extend(
        problem
            .hypotheses
            .iter()
            .flat_map(|own| own.condition.variables()),
    );
    let letters = ["m", "k", "j", "l"].map(Symbol::new);
    let numbered = (1..).map(|count| Symbol::new(&format!("m_{count}")));
    letters
        .into_iter()
        .chain(numbered)
        .find(|name| !used.contains(name))
        .unwrap_or_else(|| Symbol::new("m′"))
}
