//! Partial sums up to different ends: the longer one is the shorter one and a block.

use super::bounding::runs;
use super::define::define;
use super::establish::establish;
use super::memory::situation;
use super::solve::{leaf_without_sums, solve as search};
use super::work::Work;
use crate::expr::{Condition, Expr, Relation, Run};
use crate::fuel::Fuel;
use crate::goal::{Goal, Origin, Problem};
use crate::recheck::{Proof, Sign, Step};

/// A sum whose beginning is a sum of the same terms, in the goal or in a hypothesis: split there.
pub(super) fn by_difference(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let mut own = Vec::new();
    runs(left, &mut own);
    runs(right, &mut own);
    let mut all = own.clone();
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut |part| runs(part, &mut all));
    }
    let gap = left.minus(right);
    own.iter().find_map(|long| {
        all.iter().find_map(|short| {
            let (_, parts) = split(problem, long, short, fuel)?;
            let claim = Condition::Holds(long.clone(), Relation::Equal, parts.clone());
            let value = situation(problem, fuel)
                .context
                .normal(&gap.replace(long, &parts))?
                .to_expr();
            let zero = Expr::integer(0);
            let second = Condition::Holds(value.clone(), *relation, zero.clone());
            let far = problem.with_goal(Goal::Holds(value, *relation, zero));
            let supposing = problem.assuming(second.clone(), Origin::Earlier);
            let (steps, _) = split(&supposing, long, short, fuel)?;
            let later = supposing.assuming(claim.clone(), Origin::Earlier);
            let mut part = fuel.attempt(6_000);
            let last = leaf_without_sums(&later, &mut part);
            fuel.refund(&part);
            let rest = Proof::Through {
                claim,
                first: Box::new(Proof::Direct(steps)),
                rest: Box::new(Proof::Direct(last?)),
            };
            Some(Proof::Through {
                claim: second,
                first: Box::new(search(&far, level, fuel)?),
                rest: Box::new(rest),
            })
        })
    })
}

/// The steps that split a sum behind the end of a shorter one, and its parts.
fn split(
    problem: &Problem,
    long: &Expr,
    short: &Expr,
    fuel: &mut Fuel<'_>,
) -> Option<(Vec<Step>, Expr)> {
    let (run, other) = (Run::of(long)?, Run::of(short)?);
    let (to, at) = (run.to?, other.to?);
    let same = run.product == other.product
        && run.from == other.from
        && *run.body == other.at(&Expr::variable(run.index));
    let mut work = Work::of(problem, fuel);
    let apart = work.poly(&to.minus(at))?;
    // The normal form writes single terms out.
    (same && apart.as_constant().is_none()).then_some(())?;
    let filled = work.poly(&at.plus(&Expr::integer(1)).minus(run.from))?;
    let mut part = fuel.attempt(2_000);
    let shown = establish(&mut work, &apart, Sign::NonNegative, 3, &mut part)
        && establish(&mut work, &filled, Sign::NonNegative, 3, &mut part);
    fuel.refund(&part);
    (shown && work.take(Step::Split(long.clone(), at.clone()))).then_some(())?;
    let begin = run.between(run.from.clone(), Some(at.clone()));
    let rest = run.between(at.plus(&Expr::integer(1)), Some(to.clone()));
    define(&mut work, &run.joined(&begin, &rest), fuel).then_some(())?;
    Some((work.steps, run.joined(&begin, &rest)))
}
