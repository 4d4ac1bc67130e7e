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
use crate::recheck::parts::rewritten;
use crate::recheck::{Proof, Sign, Step};

/// A sum whose beginning is a sum of the same terms, in the goal or in a hypothesis: split there,
/// and its parts put in its place.
pub(super) fn by_difference(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let mut own = Vec::new();
    runs(left, &mut own);
    runs(right, &mut own);
    let mut all = own.clone();
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut |part| runs(part, &mut all));
    }
    own.iter().find_map(|long| {
        all.iter().find_map(|short| {
            let (_, parts) = split(problem, long, short, fuel)?;
            by_parts(problem, (long, short, parts), level, fuel)
        })
    })
}

/// The goal from its form with the parts of the sum.
fn by_parts(
    problem: &Problem,
    (long, short, parts): (&Expr, &Expr, Expr),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let equation = Condition::Holds(long.clone(), Relation::Equal, parts);
    let hypothesis = problem.hypotheses.len();
    let changed = rewritten(
        &problem.assuming(equation.clone(), Origin::Earlier),
        hypothesis,
    )?;
    let (left, relation, right) = simplest(problem, &changed.goal, fuel)?;
    let far = problem.with_goal(Goal::Holds(left.clone(), relation, right.clone()));
    let claim = Condition::Holds(left, relation, right);
    let supposing = problem.assuming(claim.clone(), Origin::Earlier);
    let (steps, _) = split(&supposing, long, short, fuel)?;
    let later = supposing
        .assuming(equation.clone(), Origin::Earlier)
        .with_goal(changed.goal);
    let mut part = fuel.attempt(6_000);
    let last = leaf_without_sums(&later, &mut part);
    fuel.refund(&part);
    let rest = Proof::Through {
        claim: equation,
        first: Box::new(Proof::Direct(steps)),
        rest: Box::new(Proof::Rewrite {
            hypothesis: hypothesis + 1,
            rest: Box::new(Proof::Direct(last?)),
        }),
    };
    Some(Proof::Through {
        claim,
        first: Box::new(search(&far, level, fuel)?),
        rest: Box::new(rest),
    })
}

/// A goal in its simplest form: as a difference where sums cancel between its sides.
fn simplest(problem: &Problem, goal: &Goal, fuel: &Fuel<'_>) -> Option<(Expr, Relation, Expr)> {
    let Goal::Holds(left, relation, right) = goal else {
        return None;
    };
    let context = &situation(problem, fuel).context;
    let form = |side: &Expr| Some(context.normal(side)?.to_expr());
    let (left, right) = (form(left)?, form(right)?);
    let gap = form(&left.minus(&right))?;
    let fewer = runs_of(&gap).len() < runs_of(&left.minus(&right)).len();
    Some(if fewer {
        (gap, *relation, Expr::integer(0))
    } else {
        (left, *relation, right)
    })
}

fn runs_of(expr: &Expr) -> Vec<Expr> {
    let mut all = Vec::new();
    runs(expr, &mut all);
    all
}

/// The steps that split a sum behind the end of a shorter one, and its parts.
fn split(
    problem: &Problem,
    long: &Expr,
    short: &Expr,
    fuel: &mut Fuel<'_>,
) -> Option<(Vec<Step>, Expr)> {
    let (run, other) = (Run::of(long)?, Run::of(short)?);
    let at = other.to?;
    let same = run.product == other.product
        && run.from == other.from
        && *run.body == other.at(&Expr::variable(run.index));
    same.then_some(())?;
    let mut work = Work::of(problem, fuel);
    let mut needed = Vec::new();
    if let Some(to) = run.to {
        let apart = work.poly(&to.minus(at))?;
        // The normal form writes single terms out.
        apart.as_constant().is_none().then_some(())?;
        needed.push(apart);
    }
    needed.push(work.poly(&at.plus(&Expr::integer(1)).minus(run.from))?);
    let mut part = fuel.attempt(2_000);
    let shown = needed
        .iter()
        .all(|own| establish(&mut work, own, Sign::NonNegative, 3, &mut part));
    fuel.refund(&part);
    shown.then_some(())?;
    let begin = run.between(run.from.clone(), Some(at.clone()));
    let rest = run.between(at.plus(&Expr::integer(1)), run.to.cloned());
    if run.to.is_none() {
        // What comes later converges more plainly: 1/k² ≤ 1/(k − 1) − 1/k needs k ≥ 2.
        let mut part = fuel.attempt(12_000);
        if !define(&mut work, &rest, &mut part) {
            define(&mut work, long, &mut part);
        }
        define(&mut work, &begin, &mut part);
        fuel.refund(&part);
    }
    work.take(Step::Split(long.clone(), at.clone()))
        .then_some(())?;
    define(&mut work, &run.joined(&begin, &rest), fuel).then_some(())?;
    Some((work.steps, run.joined(&begin, &rest)))
}
