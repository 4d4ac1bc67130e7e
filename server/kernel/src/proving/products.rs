//! Sums and products through a bound of them: Π (1 + a(k)) lies below e^Σ a(k), and for a(k) ≤ 0 above
//! 1 + Σ a(k); a sum is bounded by a primitive, as by its count times its first or last term.

use super::define::define;
use super::establish::establish;
use super::reduction::along_limits;
use super::sample;
use super::solve::{leaf_without_sums, solve as search};
use super::sums::{closed_form, fits, primitives, telescope};
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation};
use crate::fuel::Fuel;
use crate::goal::{Goal, Origin, Problem};
use crate::recheck::{Proof, Sign, Step, parts};

/// A bound, how the sum or product compares with it, and the primitive that it comes of.
type Bound = (Relation, Expr, Option<Expr>);

/// Bounds that are tried at most.
const BOUNDS: usize = 4;

/// Sums and products up to an integer: by induction, a product also through a bound of it.
pub(super) fn up_to(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let mut part = fuel.part(fuel.left() / 2);
    let found =
        along_limits(problem, level, &mut part).or_else(|| by_product(problem, level, &mut part));
    fuel.refund(&part);
    found
}

/// Searches the goal through a bound of its first product, which is shown by induction.
fn by_product(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let product = first(problem, |part| matches!(part.node(), Node::Product { .. }))?;
    let all = product_bounds(problem, &product, fuel);
    through_bound(problem, &product, all, level, fuel)
}

/// Searches the goal through a bound of its first finite sum.
pub(super) fn by_sum(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let sum = first(problem, |part| {
        matches!(part.node(), Node::Sum { to: Some(_), .. })
    })?;
    let all = sum_bounds(problem, &sum, fuel);
    through_bound(problem, &sum, all, level, fuel)
}

/// The first part of the goal that fits.
fn first(problem: &Problem, fits: impl Fn(&Expr) -> bool) -> Option<Expr> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let mut found = None;
    for side in [left, right] {
        side.visit(&mut |part| {
            if found.is_none() && fits(part) {
                found = Some(part.clone());
            }
        });
    }
    found
}

fn through_bound(
    problem: &Problem,
    whole: &Expr,
    bounds: Vec<Bound>,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    // Whether a greater product is what the goal needs.
    let points = sample::points(problem, 6);
    let raised = gap.replace(whole, &whole.plus(&Expr::ratio(1, 100)));
    let wanted = points.iter().find_map(|at| {
        let [here, there] = [&gap, &raised].map(|expr| sample::value(expr, at));
        (here.is_finite() && there.is_finite() && here != there).then_some(here < there)
    })?;
    let wanted = if wanted {
        Relation::GreaterEqual
    } else {
        Relation::LessEqual
    };
    let zero = Expr::integer(0);
    let relation = if strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    let mut all = bounds.into_iter().filter(|(own, ..)| *own == wanted);
    all.find_map(|(own, bound, primitive)| {
        let claim = Condition::Holds(whole.clone(), own, bound.clone());
        let near = problem.with_goal(Goal::Holds(whole.clone(), own, bound.clone()));
        let between = problem.assuming(claim.clone(), Origin::Earlier);
        let rest = gap.replace(whole, &bound);
        let far = between.with_goal(Goal::Holds(rest.clone(), relation, zero.clone()));
        if near.goal == problem.goal
            || !sample::is_plausible(&near, fuel)
            || !sample::is_plausible(&far, fuel)
        {
            return None;
        }
        let second = Condition::Holds(rest, relation, zero.clone());
        let later = between.assuming(second.clone(), Origin::Earlier);
        let mut part = fuel.attempt(6_000);
        let last = leaf_without_sums(&later, &mut part);
        fuel.refund(&part);
        let last = Proof::Direct(last?);
        let mut part = fuel.part(fuel.left() / 4 * 3);
        let first = match &primitive {
            Some(primitive) => {
                telescoped(&near, whole, primitive, own, &mut part).map(Proof::Direct)
            }
            None => along_limits(&near, level, &mut part),
        };
        fuel.refund(&part);
        let first = Box::new(first?);
        let mut part = fuel.part(fuel.left() / 2);
        let far = search(&far, level, &mut part);
        fuel.refund(&part);
        Some(Proof::Through {
            claim,
            first,
            rest: Box::new(Proof::Through {
                claim: second,
                first: Box::new(far?),
                rest: Box::new(last),
            }),
        })
    })
}

/// The bound of a sum that a primitive gives.
fn telescoped(
    near: &Problem,
    sum: &Expr,
    primitive: &Expr,
    relation: Relation,
    fuel: &mut Fuel<'_>,
) -> Option<Vec<Step>> {
    let Goal::Holds(left, _, right) = &near.goal else {
        return None;
    };
    let Node::Sum {
        from, to: Some(to), ..
    } = sum.node()
    else {
        return None;
    };
    let mut work = Work::of(near, fuel);
    let count = work.poly(&to.minus(from).plus(&Expr::integer(1)))?;
    let shown = establish(&mut work, &count, Sign::NonNegative, 2, fuel)
        && define(&mut work, left, fuel)
        && define(&mut work, right, fuel)
        && telescope(&mut work, sum, primitive, relation.flipped(), fuel);
    (shown && parts::closes(&work.context, &near.goal)).then_some(work.steps)
}

/// What primitives say of a finite sum.
fn sum_bounds(problem: &Problem, sum: &Expr, fuel: &Fuel<'_>) -> Vec<Bound> {
    let Node::Sum {
        index,
        from,
        to: Some(to),
        body,
    } = sum.node()
    else {
        return Vec::new();
    };
    let work = Work::of(problem, fuel);
    let next = to.plus(&Expr::integer(1));
    let mut all: Vec<Bound> = Vec::new();
    for (primitive, relation) in primitives(index, from, Some(to), body) {
        if relation == Relation::Equal || !fits(&work, sum, &primitive, relation) {
            continue;
        }
        let [start, end] = [from, &next].map(|place| primitive.substitute(index, place));
        let bound = start.minus(&end);
        let bound = work
            .context
            .normal(&bound)
            .map_or(bound, |form| form.to_expr());
        let relation = relation.flipped();
        if !all.iter().any(|own| own.0 == relation && own.1 == bound) {
            all.push((relation, bound, Some(primitive)));
        }
    }
    all
}

/// What is known to lie above or below the product.
fn product_bounds(problem: &Problem, product: &Expr, fuel: &Fuel<'_>) -> Vec<Bound> {
    let Node::Product {
        index,
        from,
        to,
        body,
    } = product.node()
    else {
        return Vec::new();
    };
    let work = Work::of(problem, fuel);
    let one = Expr::integer(1);
    let limits = (from, Some(to));
    let Some((inner, own)) = parts::inside(&work.context, index, limits, &[body]) else {
        return Vec::new();
    };
    let Some(own) = own.as_variable().cloned() else {
        return Vec::new();
    };
    let at = body.substitute(index, &Expr::variable(&own));
    let Some(change) = inner.normal(&at.minus(&one)) else {
        return Vec::new();
    };
    let change = change.to_expr().substitute(&own, &Expr::variable(index));
    let mut all = Vec::new();
    for (falls, part) in [(false, change.clone()), (true, change.negative())] {
        let sum: Expr = Node::Sum {
            index: index.clone(),
            from: from.clone(),
            to: Some(to.clone()),
            body: part.clone(),
        }
        .into();
        let rising = |own: &(Expr, Relation)| own.1 == Relation::GreaterEqual;
        let telescoped = primitives(index, from, Some(to), &part)
            .into_iter()
            .filter(rising)
            .filter(|(own, relation)| fits(&work, &sum, own, *relation))
            .map(|(own, _)| {
                let end = own.substitute(index, &to.plus(&one));
                own.substitute(index, from).minus(&end)
            });
        let sums = closed_form(&work, &sum).into_iter().chain(telescoped);
        let simple = |sum: Expr| work.context.normal(&sum).map(|form| form.to_expr());
        all.extend(sums.filter_map(simple).take(BOUNDS).map(|sum| {
            if falls {
                (Relation::GreaterEqual, one.minus(&sum), None)
            } else {
                (Relation::LessEqual, sum.call(Function::Exp), None)
            }
        }));
    }
    all
}
