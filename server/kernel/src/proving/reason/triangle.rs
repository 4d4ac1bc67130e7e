//! The triangle inequality, where it gives a claim from bounds of other absolute values.

use super::terms::written;
use crate::expr::{Expr, Function, Node, Relation};
use crate::goal::{Goal, Problem};
use crate::recheck::Context;

/// At most so many bounds are combined; 3^n sums are tried.
const BOUNDS: usize = 4;

fn size(expr: &Expr) -> Option<&Expr> {
    match expr.node() {
        Node::Call(Function::Abs, inner) => Some(inner),
        _ => None,
    }
}

/// |X| ≤ |Y| + |Z| + …, where X is a sum of ±Y, ±Z, …, whose bounds add up to the claimed one.
pub(super) fn inequality(problem: &Problem) -> Option<String> {
    reverse(problem).or_else(|| sum(problem))
}

/// ||X| − |Y|| ≤ |Z| with Z = ±(X ± Y).
fn reverse(problem: &Problem) -> Option<String> {
    let Goal::Holds(left, Relation::LessEqual, right) = &problem.goal else {
        return None;
    };
    let (Node::Add(items), gap) = (size(left)?.node(), size(right)?) else {
        return None;
    };
    let [first, second] = items.as_slice() else {
        return None;
    };
    let (x, y) = match second.node() {
        Node::Neg(second) => (size(first)?, size(second)?),
        _ => return None,
    };
    let context = Context::of(problem);
    let is_zero = |expr: Expr| Some(context.normal(&expr)?.numerator().is_zero());
    let fits = is_zero(gap.minus(x).plus(y))?
        || is_zero(gap.plus(x).minus(y))?
        || is_zero(gap.minus(x).minus(y))?
        || is_zero(gap.plus(x).plus(y))?;
    let (x, y, gap) = (written(&x.abs()), written(&y.abs()), written(right));
    fits.then(|| format!("triangle inequality, twice: {x} ≤ {gap} + {y} and {y} ≤ {gap} + {x}"))
}

fn sum(problem: &Problem) -> Option<String> {
    let Goal::Holds(left, Relation::Less | Relation::LessEqual, right) = &problem.goal else {
        return None;
    };
    let whole = size(left)?;
    let bounds: Vec<(&Expr, Relation, &Expr)> = problem
        .hypotheses
        .iter()
        .filter_map(|own| match &own.condition {
            crate::expr::Condition::Holds(a, relation, b)
                if matches!(relation, Relation::Less | Relation::LessEqual) =>
            {
                Some((size(a)?, *relation, b))
            }
            _ => None,
        })
        .take(BOUNDS)
        .collect();
    let context = Context::of(problem);
    let signs = 3_usize.pow(u32::try_from(bounds.len()).ok()?);
    (1..signs).find_map(|code| {
        let mut rest = whole.clone();
        let (mut parts, mut limits) = (Vec::new(), Vec::new());
        let mut strict = false;
        for (place, (part, relation, bound)) in bounds.iter().enumerate() {
            let digit = code / 3_usize.pow(u32::try_from(place).ok()?) % 3;
            if digit == 0 {
                continue;
            }
            rest = if digit == 1 {
                rest.minus(part)
            } else {
                rest.plus(part)
            };
            parts.push(part.abs());
            limits.push((*bound).clone());
            strict |= *relation == Relation::Less;
        }
        let sums = parts.len() > 1 && context.normal(&rest)?.numerator().is_zero();
        let total = Expr::sum_of(limits);
        let fits = sums && context.sign_of_expr(&right.minus(&total)).at_least;
        fits.then(|| {
            let sign = if strict { "<" } else { "≤" };
            format!(
                "triangle inequality: {} ≤ {} {sign} {}",
                written(left),
                written(&Expr::sum_of(parts)),
                written(&total)
            )
        })
    })
}
