//! What is left of a series after its first terms: |f − Σ| is compared with a known bound of the
//! remainder, and that bound with what is claimed.

use super::define::define;
use super::sample;
use super::series::series_bases;
use super::solve::{leaf_without_sums, solve as search};
use super::sums::{closed_form, first_sum, ratios};
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation, Run};
use crate::fuel::Fuel;
use crate::goal::{Goal, Origin, Problem};
use crate::recheck::{Proof, Sign, Step};

/// Searches a bound of the absolute value on the smaller side through a remainder.
pub(super) fn solve(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(size, relation @ (Relation::Less | Relation::LessEqual), claimed) =
        &problem.goal
    else {
        return None;
    };
    let Node::Call(Function::Abs, inner) = size.node() else {
        return None;
    };
    let sum = first_sum(inner)?;
    if let Some((claim, steps)) = positive_divisor(problem, inner, fuel) {
        let case = problem.assuming(claim.clone(), Origin::Earlier);
        return Some(Proof::Through {
            claim,
            first: Box::new(Proof::Direct(steps)),
            rest: Box::new(search(&case, level + 1, fuel)?),
        });
    }
    bounds(problem, inner, &sum, fuel)
        .into_iter()
        .find_map(|bound| {
            let first = Condition::Holds(size.clone(), Relation::LessEqual, bound.clone());
            let second = Condition::Holds(bound.clone(), *relation, claimed.clone());
            let near = problem.with_goal(Goal::Holds(
                size.clone(),
                Relation::LessEqual,
                bound.clone(),
            ));
            let between = problem.assuming(first.clone(), Origin::Earlier);
            let far = between.with_goal(Goal::Holds(bound, *relation, claimed.clone()));
            if near == *problem
                || !sample::is_plausible(&near, fuel)
                || !sample::is_plausible(&far, fuel)
            {
                return None;
            }
            let later = between.assuming(second.clone(), Origin::Earlier);
            let mut part = fuel.attempt(16_000);
            let rest = leaf_without_sums(&later, &mut part);
            fuel.refund(&part);
            let rest = Proof::Direct(rest?);
            let mut part = fuel.part(fuel.left() / 2);
            let far = search(&far, level, &mut part);
            fuel.refund(&part);
            let far = far?;
            let near = search(&near, level, fuel);
            Some(Proof::Through {
                claim: first,
                first: Box::new(near?),
                rest: Box::new(Proof::Through {
                    claim: second,
                    first: Box::new(far),
                    rest: Box::new(rest),
                }),
            })
        })
}

/// A divisor whose sign is seen only after some steps: what is said of a quotient by it is easier to
/// use once it is known.
fn positive_divisor(
    problem: &Problem,
    inner: &Expr,
    fuel: &mut Fuel<'_>,
) -> Option<(Condition, Vec<Step>)> {
    let mut divisors = Vec::new();
    inner.visit(&mut |part| {
        if let Node::Div(_, divisor) = part.node() {
            divisors.push(divisor.clone());
        }
    });
    let zero = Expr::integer(0);
    divisors.into_iter().find_map(|divisor| {
        let mut work = Work::of(problem, fuel);
        let unknown = |work: &Work| !work.context.sign_of_expr(&divisor).has(Sign::Positive);
        let closed = divisor
            .variables()
            .iter()
            .all(|name| problem.variable(name).is_some());
        if !closed || !unknown(&work) || !define(&mut work, inner, fuel) {
            return None;
        }
        let claim = Condition::Holds(divisor.clone(), Relation::Greater, zero.clone());
        (!unknown(&work)).then_some((claim, work.steps))
    })
}

/// Bounds of the remainder: of a geometric sum in closed form, and of the usual series.
fn bounds(problem: &Problem, inner: &Expr, sum: &Expr, fuel: &mut Fuel<'_>) -> Vec<Expr> {
    let mut work = Work::of(problem, fuel);
    let endless = Run::of(sum).is_some_and(|run| run.to.is_none());
    if endless && ratios(&work, sum).is_empty() {
        return Vec::new();
    }
    define(&mut work, inner, fuel);
    if let Some(closed) = closed_form(&work, sum) {
        let size = inner.replace(sum, &closed).abs();
        let form = work.context.normal(&size);
        return form.into_iter().map(|form| form.to_expr()).collect();
    }
    let Node::Sum {
        index,
        to: Some(to),
        body,
        ..
    } = sum.node()
    else {
        return Vec::new();
    };
    let (one, two) = (Expr::integer(1), Expr::integer(2));
    let next = to.plus(&one);
    let odd = two.times(to).plus(&Expr::integer(3));
    let even = two.times(&next);
    let power = |u: &Expr, degree: &Expr| u.abs().power(degree);
    let over = |above: Expr, degree: &Expr| above.over(&degree.call(Function::Factorial));
    series_bases(index, body)
        .iter()
        .flat_map(|u| {
            let most = Expr::from(Node::Max(vec![u.clone(), Expr::integer(0)]));
            [
                over(power(u, &next).times(&most.call(Function::Exp)), &next),
                over(power(u, &odd), &odd),
                over(power(u, &even), &even),
                power(u, &next).over(&next),
                power(u, &next).over(&next.times(&one.minus(u))),
                power(u, &odd).over(&odd),
            ]
        })
        .collect()
}
