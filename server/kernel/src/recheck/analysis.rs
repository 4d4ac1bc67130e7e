//! Proofs by monotonicity and concavity in one real variable.

use super::judge::{compared, instantiated, judge};
use super::proof::Proof;
use super::slope::is_continuous;
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Origin, Problem};

/// A bound of a variable and whether it is strict.
type Bound = (Expr, bool);

/// The hypotheses without a variable, and its lower and upper bounds. Other hypotheses about the
/// variable are left out, which makes the statement stronger.
pub(crate) fn bounds(problem: &Problem, variable: &Symbol) -> (Problem, Vec<Bound>, Vec<Bound>) {
    let mut free = problem.clone();
    free.hypotheses.clear();
    let (mut lower, mut upper) = (Vec::new(), Vec::new());
    for hypothesis in &problem.hypotheses {
        let mut parts = vec![hypothesis.condition.clone()];
        while let Some(part) = parts.pop() {
            match part {
                Condition::And(items) => parts.extend(items),
                part if !part.variables().contains(variable) => {
                    free = free.assuming(part, hypothesis.origin);
                }
                Condition::Holds(left, relation, right) => {
                    let (bound, relation) = if left.as_variable() == Some(variable) {
                        (right, relation)
                    } else if right.as_variable() == Some(variable) {
                        (left, relation.flipped())
                    } else {
                        continue;
                    };
                    if bound.mentions(variable) {
                        continue;
                    }
                    match relation {
                        Relation::Greater => lower.push((bound, true)),
                        Relation::GreaterEqual => lower.push((bound, false)),
                        Relation::Less => upper.push((bound, true)),
                        Relation::LessEqual => upper.push((bound, false)),
                        _ => {}
                    }
                }
                _ => {}
            }
        }
    }
    (free, lower, upper)
}

/// left R right as `difference ≥ 0` or `> 0`.
pub(crate) fn difference(goal: &Goal) -> Option<(Expr, bool)> {
    let Goal::Holds(left, relation, right) = goal else {
        return None;
    };
    match relation {
        Relation::Greater => Some((left.minus(right), true)),
        Relation::GreaterEqual => Some((left.minus(right), false)),
        Relation::Less => Some((right.minus(left), true)),
        Relation::LessEqual => Some((right.minus(left), false)),
        _ => None,
    }
}

fn bounded(
    problem: Problem,
    variable: &Expr,
    bounds: &[Bound],
    below: bool,
    how: Strictness,
) -> Problem {
    bounds.iter().fold(problem, |problem, (bound, strict)| {
        let strict = how == Strictness::Open || (how == Strictness::Own && *strict);
        let relation = match (below, strict) {
            (true, true) => Relation::Greater,
            (true, false) => Relation::GreaterEqual,
            (false, true) => Relation::Less,
            (false, false) => Relation::LessEqual,
        };
        problem.assuming(
            Condition::Holds(variable.clone(), relation, bound.clone()),
            Origin::Domain,
        )
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Strictness {
    Open,
    Closed,
    Own,
}

/// The problems to which a monotone difference reduces: defined, smooth, slope, start.
pub(crate) fn monotone_parts(
    problem: &Problem,
    variable: &Symbol,
    rising: bool,
    end: &Expr,
    strict_slope: bool,
) -> Option<[Problem; 4]> {
    (problem.variable(variable)?.kind == Kind::Real).then_some(())?;
    let (gap, strict) = difference(&problem.goal)?;
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    is_continuous(left, variable).then_some(())?;
    is_continuous(right, variable).then_some(())?;
    let (free, lower, upper) = bounds(problem, variable);
    let own = Expr::variable(variable);
    let (near, far) = if rising {
        (lower, upper)
    } else {
        (upper, lower)
    };
    // A strict bound at the end is preferred: it makes the point differ from the end.
    let near = near
        .iter()
        .find(|(bound, open)| bound == end && *open)
        .or_else(|| near.iter().find(|(bound, _)| bound == end))?
        .clone();
    let ends = [near.clone()];
    let closed = bounded(free.clone(), &own, &ends, rising, Strictness::Closed);
    let closed = bounded(closed, &own, &far, !rising, Strictness::Own);
    let open = bounded(free.clone(), &own, &ends, rising, Strictness::Open);
    let open = bounded(open, &own, &far, !rising, Strictness::Open);
    let (slope, _) = super::slope::differentiate(&gap, variable)?;
    let relation = match (rising, strict_slope) {
        (true, true) => Relation::Greater,
        (true, false) => Relation::GreaterEqual,
        (false, true) => Relation::Less,
        (false, false) => Relation::LessEqual,
    };
    let start_strict = strict && !(strict_slope && near.1);
    let at_end = instantiated(&gap, &[(variable.clone(), end.clone())])?;
    let start = far.iter().fold(free, |problem, (bound, far_strict)| {
        let relation = match (rising, *far_strict || near.1) {
            (true, true) => Relation::Less,
            (true, false) => Relation::LessEqual,
            (false, true) => Relation::Greater,
            (false, false) => Relation::GreaterEqual,
        };
        problem.assuming(
            Condition::Holds(end.clone(), relation, bound.clone()),
            Origin::Domain,
        )
    });
    let floor = if start_strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    Some([
        closed.with_goal(Goal::Defined(left.plus(right))),
        open.with_goal(Goal::Defined(derivative(variable, &gap))),
        open.with_goal(compared(slope, relation)),
        start.with_goal(compared(at_end, floor)),
    ])
}

pub(super) fn monotone(problem: &Problem, proof: &Proof, depth: usize) -> Option<()> {
    let Proof::Monotone {
        variable,
        rising,
        end,
        defined,
        smooth,
        slope,
        strict_slope,
        start,
    } = proof
    else {
        return None;
    };
    let parts = monotone_parts(problem, variable, *rising, end, *strict_slope)?;
    judge(&parts[0], defined, depth)?;
    judge(&parts[1], smooth, depth)?;
    judge(&parts[2], slope, depth)?;
    judge(&parts[3], start, depth)
}

fn derivative(variable: &Symbol, body: &Expr) -> Expr {
    Node::Derivative {
        variable: variable.clone(),
        body: body.clone(),
    }
    .into()
}

/// The problems to which a concave difference reduces: defined, smooth, bend, left and right end.
pub(crate) fn concave_parts(
    problem: &Problem,
    variable: &Symbol,
    left_end: &Expr,
    right_end: &Expr,
    strict_bend: bool,
) -> Option<[Problem; 5]> {
    (problem.variable(variable)?.kind == Kind::Real).then_some(())?;
    let (gap, strict) = difference(&problem.goal)?;
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    is_continuous(left, variable).then_some(())?;
    is_continuous(right, variable).then_some(())?;
    let (free, lower, upper) = bounds(problem, variable);
    let own = Expr::variable(variable);
    let chosen = |all: &[Bound], end: &Expr| {
        let open = all.iter().find(|(bound, open)| bound == end && *open);
        open.or_else(|| all.iter().find(|(bound, _)| bound == end))
            .cloned()
    };
    let low = chosen(&lower, left_end)?;
    let high = chosen(&upper, right_end)?;
    // A strictly concave function is above its smaller end value inside.
    let strict = strict && !(strict_bend && low.1 && high.1);
    let between = |how| {
        let problem = bounded(free.clone(), &own, std::slice::from_ref(&low), true, how);
        bounded(problem, &own, std::slice::from_ref(&high), false, how)
    };
    let (first, _) = super::slope::differentiate(&gap, variable)?;
    let (second, _) = super::slope::differentiate(&first, variable)?;
    let bend = if strict_bend {
        Relation::Less
    } else {
        Relation::LessEqual
    };
    let twice = derivative(variable, &derivative(variable, &gap));
    let relation = if strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    let ends = free.assuming(
        Condition::Holds(left_end.clone(), Relation::LessEqual, right_end.clone()),
        Origin::Domain,
    );
    let at = |end: &Expr| {
        let value = instantiated(&gap, &[(variable.clone(), end.clone())])?;
        Some(ends.with_goal(compared(value, relation)))
    };
    Some([
        between(Strictness::Closed).with_goal(Goal::Defined(left.plus(right))),
        between(Strictness::Open).with_goal(Goal::Defined(twice)),
        between(Strictness::Open).with_goal(compared(second, bend)),
        at(left_end)?,
        at(right_end)?,
    ])
}

pub(super) fn concave(problem: &Problem, proof: &Proof, depth: usize) -> Option<()> {
    let Proof::Concave {
        variable,
        left,
        right,
        defined,
        smooth,
        bend,
        strict_bend,
        ends,
    } = proof
    else {
        return None;
    };
    let parts = concave_parts(problem, variable, left, right, *strict_bend)?;
    judge(&parts[0], defined, depth)?;
    judge(&parts[1], smooth, depth)?;
    judge(&parts[2], bend, depth)?;
    judge(&parts[3], &ends.0, depth)?;
    judge(&parts[4], &ends.1, depth)
}
