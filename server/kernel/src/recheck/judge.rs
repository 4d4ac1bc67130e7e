//! Proofs of whole problems: each kind of proof reduces its problem to others.

use super::analysis::{concave_parts, monotone_parts};
use super::limit::majorant_parts;
use super::proof::{Proof, Sign};
use crate::algebra::Context;
use crate::expr::{Condition, Expr, Relation, Symbol};
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use std::cmp::Ordering;

/// How deep proofs may be nested.
pub(super) const DEPTH: usize = 24;

/// Whether the proof proves the problem.
pub(super) fn check(problem: &Problem, proof: &Proof, depth: usize) -> bool {
    let Some(depth) = depth.checked_sub(1) else {
        return false;
    };
    if let Proof::Direct(steps) = proof {
        let mut context = Context::of(problem);
        return context.steps(steps).is_some() && closes(&context, &problem.goal);
    }
    reduced(problem, proof)
        .is_some_and(|parts| parts.iter().all(|(part, proof)| check(part, proof, depth)))
}

/// Problems, each with its proof.
type Parts<'p> = Vec<(Problem, &'p Proof)>;

fn paired(parts: Vec<Problem>, proofs: Vec<&Proof>) -> Option<Parts<'_>> {
    (parts.len() == proofs.len()).then(|| parts.into_iter().zip(proofs).collect())
}

/// The problems that together give this one; `None` if the proof does not fit the problem.
fn reduced<'p>(problem: &Problem, proof: &'p Proof) -> Option<Parts<'p>> {
    match proof {
        Proof::Direct(_) => None,
        Proof::Cases {
            on,
            against,
            defined,
            branches,
        } => {
            // On both sides defined numbers, of which one of <, =, > holds.
            let covered = [Ordering::Less, Ordering::Equal, Ordering::Greater]
                .iter()
                .all(|sign| branches.iter().any(|(relation, _)| relation.admits(*sign)));
            covered.then_some(())?;
            let sides = problem.with_goal(Goal::Defined(on.plus(against)));
            let case = |(relation, proof): &'p (Relation, Proof)| {
                let case = Condition::Holds(on.clone(), *relation, against.clone());
                (problem.assuming(case, Origin::Assumption), proof)
            };
            let cases = branches.iter().map(case);
            Some(
                [(sides, defined.as_ref())]
                    .into_iter()
                    .chain(cases)
                    .collect(),
            )
        }
        Proof::Either {
            hypothesis,
            branches,
        } => {
            let members = problem
                .hypotheses
                .get(*hypothesis)?
                .condition
                .alternatives()?;
            let case = |member: Condition| {
                let mut case = problem.clone();
                case.hypotheses[*hypothesis].condition = member;
                case
            };
            let cases = members.into_iter().map(case).collect();
            paired(cases, branches.iter().collect())
        }
        Proof::Replace {
            hypothesis,
            variable,
            rest,
        } => Some(vec![(replaced(problem, *hypothesis, variable)?, rest)]),
        Proof::Rewrite { hypothesis, rest } => Some(vec![(rewritten(problem, *hypothesis)?, rest)]),
        Proof::Through { claim, first, rest } => {
            let Condition::Holds(left, relation, right) = claim else {
                return None;
            };
            let goal = Goal::Holds(left.clone(), *relation, right.clone());
            Some(vec![
                (problem.with_goal(goal), first),
                (problem.assuming(claim.clone(), Origin::Earlier), rest),
            ])
        }
        Proof::Values { .. } | Proof::Parity { .. } | Proof::Induction { .. } => {
            over_integers(problem, proof)
        }
        Proof::Monotone {
            variable,
            rising,
            end,
            defined,
            smooth,
            slope,
            strict_slope,
            start,
        } => {
            let parts = monotone_parts(problem, variable, *rising, end, *strict_slope)?;
            paired(parts.into(), vec![defined, smooth, slope, start])
        }
        Proof::Concave {
            variable,
            left,
            right,
            defined,
            smooth,
            bend,
            strict_bend,
            ends,
        } => {
            let parts = concave_parts(problem, variable, left, right, *strict_bend)?;
            let (low, high) = ends.as_ref();
            paired(parts.into(), vec![defined, smooth, bend, low, high])
        }
        Proof::Majorant(own) => {
            let parts = majorant_parts(problem, &own.coefficient, &own.shape, own.start)?;
            let proofs = [own.bound.as_ref()].into_iter().chain(&own.conditions);
            paired(parts, proofs.collect())
        }
    }
}

/// The same for the kinds of proof that go through the integers.
fn over_integers<'p>(problem: &Problem, proof: &'p Proof) -> Option<Parts<'p>> {
    match proof {
        Proof::Values {
            variable,
            from,
            single,
            tail,
        } => {
            starts_at(problem, variable, *from)?;
            let later = from.checked_add(i64::try_from(single.len()).ok()?)?;
            let mut cases = (*from..later)
                .map(|value| with_value(problem, variable, &Expr::integer(value)))
                .collect::<Option<Vec<_>>>()?;
            let late = at_least(&Expr::variable(variable), &Expr::integer(later));
            cases.push(problem.assuming(late, Origin::Domain));
            paired(cases, single.iter().chain([tail.as_ref()]).collect())
        }
        Proof::Parity {
            variable,
            half,
            even,
            odd,
        } => {
            let whole = problem.variable(variable)?.kind == Kind::Integer;
            (whole && !mentions(problem, half)).then_some(())?;
            let even_value = Expr::integer(2).times(&Expr::variable(half));
            let odd_value = even_value.plus(&Expr::integer(1));
            let mut case = problem.clone();
            case.variables.push(Variable {
                name: half.clone(),
                kind: Kind::Integer,
            });
            Some(vec![
                (along(&case, variable, half, &even_value)?, even),
                (along(&case, variable, half, &odd_value)?, odd),
            ])
        }
        Proof::Induction {
            variable,
            from,
            base,
            step,
        } => {
            starts_at(problem, variable, *from)?;
            let first = unbound(problem, variable);
            Some(vec![
                (with_value(&first, variable, &Expr::integer(*from))?, base),
                (induction_step(problem, variable, *from)?, step),
            ])
        }
        _ => None,
    }
}

/// The problem with the value 2 `half` or 2 `half` + 1 put in for an integer. A term tends to 0
/// exactly if it does along the even and along the odd indices, which grow with their halves.
pub(crate) fn along(
    problem: &Problem,
    variable: &Symbol,
    half: &Symbol,
    value: &Expr,
) -> Option<Problem> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return with_value(problem, variable, value);
    };
    if index != variable {
        return with_value(problem, variable, value);
    }
    if points.contains(variable) {
        return None;
    }
    let bare = problem.with_goal(Goal::Defined(term.clone()));
    let case = with_value(&bare, variable, value)?;
    let Goal::Defined(term) = case.goal.clone() else {
        return None;
    };
    Some(case.with_goal(Goal::TendsToZero {
        term,
        index: half.clone(),
        points: points.clone(),
    }))
}

/// Whether the goal is among what is known, or the facts contradict each other.
pub(crate) fn closes(context: &Context, goal: &Goal) -> bool {
    context.is_absurd()
        || match goal {
            Goal::Holds(left, relation, right) => context.holds(left, *relation, right),
            Goal::Defined(expr) => context.is_defined(expr),
            Goal::TendsToZero { .. } => false,
        }
}

pub(super) fn at_least(left: &Expr, right: &Expr) -> Condition {
    Condition::Holds(left.clone(), Relation::GreaterEqual, right.clone())
}

/// Whether a name occurs in the problem, free or bound by its goal.
pub(super) fn mentions(problem: &Problem, name: &Symbol) -> bool {
    let claims = match &problem.goal {
        Goal::Holds(left, _, right) => left.mentions(name) || right.mentions(name),
        Goal::Defined(expr) => expr.mentions(name),
        Goal::TendsToZero {
            term,
            index,
            points,
        } => term.mentions(name) || index == name || points.contains(name),
    };
    let assumes = |own: &Hypothesis| own.condition.variables().contains(name);
    claims || problem.variable(name).is_some() || problem.hypotheses.iter().any(assumes)
}

/// The problem with a value put in for a variable, which disappears.
pub(crate) fn with_value(problem: &Problem, variable: &Symbol, value: &Expr) -> Option<Problem> {
    let pair = [(variable.clone(), value.clone())];
    let mut put = |expr: &Expr| expr.instantiated(&pair);
    (!value.mentions(variable)).then_some(())?;
    let mut case = problem.clone();
    case.variables.retain(|own| own.name != *variable);
    for hypothesis in &mut case.hypotheses {
        hypothesis.condition = hypothesis.condition.try_map(&mut put)?;
    }
    case.goal = match &problem.goal {
        Goal::Holds(left, relation, right) => Goal::Holds(put(left)?, *relation, put(right)?),
        Goal::Defined(expr) => Goal::Defined(put(expr)?),
        Goal::TendsToZero {
            term,
            index,
            points,
        } => {
            let moves = |name: &Symbol| name == index || points.contains(name);
            (!moves(variable) && !value.variables().iter().any(moves)).then_some(())?;
            Goal::TendsToZero {
                term: put(term)?,
                index: index.clone(),
                points: points.clone(),
            }
        }
    };
    Some(case)
}

/// Carries the equation `variable = value` out; the equation stays as `value = value`, which
/// keeps that the value is defined.
pub(crate) fn replaced(problem: &Problem, hypothesis: usize, variable: &Symbol) -> Option<Problem> {
    let own = problem.hypotheses.get(hypothesis)?;
    let Condition::Holds(left, Relation::Equal, right) = &own.condition else {
        return None;
    };
    let value = match (left.as_variable(), right.as_variable()) {
        (Some(own), _) if own == variable => right,
        (_, Some(own)) if own == variable => left,
        _ => return None,
    };
    let whole = problem.variable(variable)?.kind == Kind::Integer;
    let mut case = with_value(problem, variable, value)?;
    if whole {
        case = case.assuming(Condition::Integer(value.clone()), Origin::Domain);
    }
    Some(case)
}

/// The goal with the right side of an equation wherever its left side stands; `None` where a sum
/// or product binds a name of it.
pub(crate) fn rewritten(problem: &Problem, hypothesis: usize) -> Option<Problem> {
    let own = problem.hypotheses.get(hypothesis)?;
    let (Condition::Holds(part, Relation::Equal, value), Goal::Holds(left, relation, right)) =
        (&own.condition, &problem.goal)
    else {
        return None;
    };
    let mut captured = false;
    for side in [left, right] {
        side.visit(&mut |inner| {
            captured |= inner
                .bound_name()
                .is_some_and(|name| part.mentions(name) || value.mentions(name));
        });
    }
    let put = |side: &Expr| side.replace(part, value);
    (!captured).then(|| problem.with_goal(Goal::Holds(put(left), *relation, put(right))))
}

/// The integer variable is bounded below by `from`.
fn starts_at(problem: &Problem, variable: &Symbol, from: i64) -> Option<()> {
    let whole = problem.variable(variable)?.kind == Kind::Integer;
    let gap = Expr::variable(variable).minus(&Expr::integer(from.checked_sub(1)?));
    let bounded = Context::of(problem).sign_of_expr(&gap).has(Sign::Positive);
    (whole && bounded).then_some(())
}

/// The problem without what is assumed of the variable.
fn unbound(problem: &Problem, variable: &Symbol) -> Problem {
    let mut free = problem.clone();
    free.hypotheses
        .retain(|item| !item.condition.variables().contains(variable));
    free
}

/// The claim at `variable + 1`, from the claim at `variable`.
pub(crate) fn induction_step(problem: &Problem, variable: &Symbol, from: i64) -> Option<Problem> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let own = Expr::variable(variable);
    let next = [(variable.clone(), own.plus(&Expr::integer(1)))];
    let goal = Goal::Holds(
        left.instantiated(&next)?,
        *relation,
        right.instantiated(&next)?,
    );
    let known = Condition::Holds(left.clone(), *relation, right.clone());
    Some(
        unbound(problem, variable)
            .assuming(at_least(&own, &Expr::integer(from)), Origin::Domain)
            .assuming(known, Origin::Earlier)
            .with_goal(goal),
    )
}

pub(super) fn compared(value: Expr, relation: Relation) -> Goal {
    Goal::Holds(value, relation, Expr::integer(0))
}
