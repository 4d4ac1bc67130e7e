//! Proofs of whole problems: cases, substitution, induction, monotonicity, majorants.

use super::analysis::{concave, monotone};
use super::facts::Context;
use super::limit::majorised;
use super::proof::{Proof, Sign};
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Origin, Problem, Variable};
use std::cmp::Ordering;

/// How deep proofs may be nested.
pub(super) const DEPTH: usize = 24;

/// Whether the proof proves the problem.
pub(super) fn check(problem: &Problem, proof: &Proof, depth: usize) -> bool {
    judge(problem, proof, depth).is_some()
}

pub(super) fn judge(problem: &Problem, proof: &Proof, depth: usize) -> Option<()> {
    let depth = depth.checked_sub(1)?;
    match proof {
        Proof::Direct(steps) => {
            let mut context = Context::of(problem);
            context.steps(steps)?;
            closes(&context, &problem.goal).then_some(())
        }
        Proof::Cases {
            on,
            against,
            defined,
            branches,
        } => {
            let both = on.plus(against);
            judge(&problem.with_goal(Goal::Defined(both)), defined, depth)?;
            let covered = [Ordering::Less, Ordering::Equal, Ordering::Greater]
                .iter()
                .all(|sign| branches.iter().any(|(relation, _)| relation.admits(*sign)));
            covered.then_some(())?;
            branches.iter().try_for_each(|(relation, proof)| {
                let case = Condition::Holds(on.clone(), *relation, against.clone());
                judge(&problem.assuming(case, Origin::Assumption), proof, depth)
            })
        }
        Proof::Either {
            hypothesis,
            branches,
        } => {
            let members = disjunction(&problem.hypotheses.get(*hypothesis)?.condition)?;
            (members.len() == branches.len()).then_some(())?;
            members
                .iter()
                .zip(branches)
                .try_for_each(|(member, proof)| {
                    let mut case = problem.clone();
                    case.hypotheses.get_mut(*hypothesis)?.condition = member.clone();
                    judge(&case, proof, depth)
                })
        }
        Proof::Replace {
            hypothesis,
            variable,
            rest,
        } => judge(&replaced(problem, *hypothesis, variable)?, rest, depth),
        Proof::Through { claim, first, rest } => {
            let Condition::Holds(left, relation, right) = claim else {
                return None;
            };
            let goal = Goal::Holds(left.clone(), *relation, right.clone());
            judge(&problem.with_goal(goal), first, depth)?;
            judge(
                &problem.assuming(claim.clone(), Origin::Earlier),
                rest,
                depth,
            )
        }
        Proof::Values {
            variable,
            from,
            single,
            tail,
        } => {
            starts_at(problem, variable, *from)?;
            for (offset, proof) in single.iter().enumerate() {
                let value = from.checked_add(i64::try_from(offset).ok()?)?;
                let case = with_value(problem, variable, &Expr::integer(value))?;
                judge(&case, proof, depth)?;
            }
            let later = from.checked_add(i64::try_from(single.len()).ok()?)?;
            let case = at_least(&Expr::variable(variable), &Expr::integer(later));
            judge(&problem.assuming(case, Origin::Domain), tail, depth)
        }
        Proof::Parity {
            variable,
            half,
            even,
            odd,
        } => parity(problem, (variable, half), (even, odd), depth),
        Proof::Induction {
            variable,
            from,
            base,
            step,
        } => induction(problem, variable, *from, (base, step), depth),
        Proof::Monotone { .. } => monotone(problem, proof, depth),
        Proof::Concave { .. } => concave(problem, proof, depth),
        Proof::Majorant(majorant) => majorised(problem, majorant, depth),
    }
}

/// An integer is 2 m or 2 m + 1.
fn parity(
    problem: &Problem,
    (variable, half): (&Symbol, &Symbol),
    (even, odd): (&Proof, &Proof),
    depth: usize,
) -> Option<()> {
    let whole = problem.variable(variable)?.kind == Kind::Integer;
    (whole && !mentions(problem, half)).then_some(())?;
    let double = Expr::integer(2).times(&Expr::variable(half));
    let mut case = problem.clone();
    case.variables.push(Variable {
        name: half.clone(),
        kind: Kind::Integer,
    });
    judge(&along(&case, variable, half, &double)?, even, depth)?;
    let odd_value = double.plus(&Expr::integer(1));
    judge(&along(&case, variable, half, &odd_value)?, odd, depth)
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

/// The members of a disjunction; a negated conjunction is one.
pub(crate) fn disjunction(condition: &Condition) -> Option<Vec<Condition>> {
    match condition {
        Condition::Or(items) => Some(items.clone()),
        Condition::Not(inner) => match inner.as_ref() {
            Condition::And(items) => Some(
                items
                    .iter()
                    .map(|item| Condition::Not(Box::new(item.clone())))
                    .collect(),
            ),
            Condition::Not(item) => disjunction(item),
            _ => None,
        },
        _ => None,
    }
}

pub(super) fn at_least(left: &Expr, right: &Expr) -> Condition {
    Condition::Holds(left.clone(), Relation::GreaterEqual, right.clone())
}

fn goal_mentions(goal: &Goal, name: &Symbol) -> bool {
    match goal {
        Goal::Holds(left, _, right) => left.mentions(name) || right.mentions(name),
        Goal::Defined(expr) => expr.mentions(name),
        Goal::TendsToZero {
            term,
            index,
            points,
        } => term.mentions(name) || index == name || points.contains(name),
    }
}

pub(super) fn mentions(problem: &Problem, name: &Symbol) -> bool {
    problem.variable(name).is_some()
        || goal_mentions(&problem.goal, name)
        || problem
            .hypotheses
            .iter()
            .any(|own| own.condition.variables().contains(name))
}

/// Whether an expression differentiates, so that values may not be put in.
fn differentiates(expr: &Expr) -> bool {
    let mut found = false;
    expr.visit(&mut |part| found |= matches!(part.node(), Node::Derivative { .. }));
    found
}

/// The expression with all values put in at once; none if it differentiates.
pub(super) fn instantiated(expr: &Expr, values: &[(Symbol, Expr)]) -> Option<Expr> {
    if differentiates(expr) {
        return None;
    }
    // Stand-ins keep what is put in for one name from being replaced as another.
    let mut mark = String::from("\u{1}");
    while expr
        .variables()
        .iter()
        .any(|own| own.as_str().starts_with(&mark))
        || values.iter().any(|(_, value)| {
            value
                .variables()
                .iter()
                .any(|own| own.as_str().starts_with(&mark))
        })
    {
        mark.push('\u{1}');
    }
    let fresh = |place: usize| Symbol::new(&format!("{mark}{place}"));
    let mut result = expr.clone();
    for (place, (name, _)) in values.iter().enumerate() {
        result = result.substitute(name, &Expr::variable(&fresh(place)));
    }
    for (place, (_, value)) in values.iter().enumerate() {
        result = result.substitute(&fresh(place), value);
    }
    Some(result)
}

/// The problem with a value put in for a variable, which disappears.
pub(crate) fn with_value(problem: &Problem, variable: &Symbol, value: &Expr) -> Option<Problem> {
    let pair = [(variable.clone(), value.clone())];
    let put = |expr: &Expr| {
        if expr.mentions(variable) {
            instantiated(expr, &pair)
        } else {
            Some(expr.clone())
        }
    };
    let mut fits = true;
    let mut case = problem.clone();
    case.variables.retain(|own| own.name != *variable);
    for hypothesis in &mut case.hypotheses {
        hypothesis.condition = hypothesis.condition.map(&mut |expr| {
            put(expr).unwrap_or_else(|| {
                fits = false;
                expr.clone()
            })
        });
    }
    case.goal = match &problem.goal {
        Goal::Holds(left, relation, right) => Goal::Holds(put(left)?, *relation, put(right)?),
        Goal::Defined(expr) => Goal::Defined(put(expr)?),
        Goal::TendsToZero {
            term,
            index,
            points,
        } => {
            if index == variable || points.contains(variable) {
                return None;
            }
            if value.mentions(index) || points.iter().any(|point| value.mentions(point)) {
                return None;
            }
            Goal::TendsToZero {
                term: put(term)?,
                index: index.clone(),
                points: points.clone(),
            }
        }
    };
    (fits && !value.mentions(variable)).then_some(case)
}

/// Carries the equation `variable = value` out; the equation stays as `value = value`, which
/// keeps that the value is defined.
pub(crate) fn replaced(problem: &Problem, hypothesis: usize, variable: &Symbol) -> Option<Problem> {
    let own = problem.hypotheses.get(hypothesis)?;
    let Condition::Holds(left, Relation::Equal, right) = &own.condition else {
        return None;
    };
    let value = if left.as_variable() == Some(variable) {
        right
    } else if right.as_variable() == Some(variable) {
        left
    } else {
        return None;
    };
    let whole = problem.variable(variable)?.kind == Kind::Integer;
    let mut case = with_value(problem, variable, value)?;
    if whole {
        case = case.assuming(Condition::Integer(value.clone()), Origin::Domain);
    }
    Some(case)
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
        instantiated(left, &next)?,
        *relation,
        instantiated(right, &next)?,
    );
    let known = Condition::Holds(left.clone(), *relation, right.clone());
    Some(
        unbound(problem, variable)
            .assuming(at_least(&own, &Expr::integer(from)), Origin::Domain)
            .assuming(known, Origin::Earlier)
            .with_goal(goal),
    )
}

fn induction(
    problem: &Problem,
    variable: &Symbol,
    from: i64,
    (base, step): (&Proof, &Proof),
    depth: usize,
) -> Option<()> {
    starts_at(problem, variable, from)?;
    let next = induction_step(problem, variable, from)?;
    let first = with_value(&unbound(problem, variable), variable, &Expr::integer(from))?;
    judge(&first, base, depth)?;
    judge(&next, step, depth)
}

pub(super) fn compared(value: Expr, relation: Relation) -> Goal {
    Goal::Holds(value, relation, Expr::integer(0))
}
