//! Proofs of whole problems: cases, substitution, induction, monotonicity, majorants.

use super::facts::Context;
use super::proof::{Majorant, Proof, Shape, Sign};
use super::slope::is_continuous;
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Origin, Problem, Variable};
use dashu::rational::RBig;
use std::cmp::Ordering;

/// How deep proofs may be nested.
pub(super) const DEPTH: usize = 24;

/// Whether the proof proves the problem.
pub(super) fn check(problem: &Problem, proof: &Proof, depth: usize) -> bool {
    judge(problem, proof, depth).is_some()
}

fn judge(problem: &Problem, proof: &Proof, depth: usize) -> Option<()> {
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
            members.iter().zip(branches).try_for_each(|(member, proof)| {
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
        } => {
            let whole = problem.variable(variable)?.kind == Kind::Integer;
            (whole && !mentions(problem, half)).then_some(())?;
            let double = Expr::integer(2).times(&Expr::variable(half));
            let mut case = problem.clone();
            case.variables.push(Variable {
                name: half.clone(),
                kind: Kind::Integer,
            });
            judge(&with_value(&case, variable, &double)?, even, depth)?;
            let odd_value = double.plus(&Expr::integer(1));
            judge(&with_value(&case, variable, &odd_value)?, odd, depth)
        }
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

fn closes(context: &Context, goal: &Goal) -> bool {
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

fn at_least(left: &Expr, right: &Expr) -> Condition {
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

fn mentions(problem: &Problem, name: &Symbol) -> bool {
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
    let fresh = |place: usize| Symbol::new(&format!("\u{1}{place}"));
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
pub(crate) fn replaced(
    problem: &Problem,
    hypothesis: usize,
    variable: &Symbol,
) -> Option<Problem> {
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
    let gap = Expr::variable(variable).minus(&Expr::integer(from - 1));
    let bounded = Context::of(problem).sign_of_expr(&gap).has(Sign::Positive);
    (whole && bounded).then_some(())
}

fn induction(
    problem: &Problem,
    variable: &Symbol,
    from: i64,
    (base, step): (&Proof, &Proof),
    depth: usize,
) -> Option<()> {
    starts_at(problem, variable, from)?;
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let own = Expr::variable(variable);
    let mut free = problem.clone();
    free.hypotheses
        .retain(|item| !item.condition.variables().contains(variable));
    judge(
        &with_value(&free, variable, &Expr::integer(from))?,
        base,
        depth,
    )?;
    let next = [(variable.clone(), own.plus(&Expr::integer(1)))];
    let goal = Goal::Holds(
        instantiated(left, &next)?,
        *relation,
        instantiated(right, &next)?,
    );
    let case = free
        .assuming(at_least(&own, &Expr::integer(from)), Origin::Domain)
        .assuming(
            Condition::Holds(left.clone(), *relation, right.clone()),
            Origin::Earlier,
        )
        .with_goal(goal);
    judge(&case, step, depth)
}

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

fn compared(value: Expr, relation: Relation) -> Goal {
    Goal::Holds(value, relation, Expr::integer(0))
}

fn bounded(problem: Problem, variable: &Expr, bounds: &[Bound], below: bool, how: Strictness) -> Problem {
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
    let (near, far) = if rising { (lower, upper) } else { (upper, lower) };
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

fn monotone(problem: &Problem, proof: &Proof, depth: usize) -> Option<()> {
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
    let low = lower.iter().find(|(bound, _)| bound == left_end)?.clone();
    let high = upper.iter().find(|(bound, _)| bound == right_end)?.clone();
    let between = |how| {
        let problem = bounded(free.clone(), &own, std::slice::from_ref(&low), true, how);
        bounded(problem, &own, std::slice::from_ref(&high), false, how)
    };
    let (first, _) = super::slope::differentiate(&gap, variable)?;
    let (second, _) = super::slope::differentiate(&first, variable)?;
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
        between(Strictness::Open).with_goal(compared(second, Relation::LessEqual)),
        at(left_end)?,
        at(right_end)?,
    ])
}

fn concave(problem: &Problem, proof: &Proof, depth: usize) -> Option<()> {
    let Proof::Concave {
        variable,
        left,
        right,
        defined,
        smooth,
        bend,
        ends,
    } = proof
    else {
        return None;
    };
    let parts = concave_parts(problem, variable, left, right)?;
    judge(&parts[0], defined, depth)?;
    judge(&parts[1], smooth, depth)?;
    judge(&parts[2], bend, depth)?;
    judge(&parts[3], &ends.0, depth)?;
    judge(&parts[4], &ends.1, depth)
}

/// coefficient · null sequence at the index, written as a quotient where that is usual.
pub(crate) fn majorant_bound(coefficient: &Expr, shape: &Shape, index: &Symbol) -> Expr {
    let n = Expr::variable(index);
    let one = coefficient.as_number() == Some(RBig::ONE);
    let scaled = |value: Expr| if one { value } else { coefficient.times(&value) };
    match shape {
        Shape::Zero => Expr::integer(0),
        Shape::Power(p) => below(coefficient, &n, p),
        Shape::Logarithm(p) => below(coefficient, &n.call(Function::Log), p),
        Shape::Geometric(0, q) => scaled(q.power(&n)),
        Shape::Geometric(1, q) => scaled(n.times(&q.power(&n))),
        Shape::Geometric(k, q) => scaled(
            n.power(&Expr::integer(i64::from(*k)))
                .times(&q.power(&n)),
        ),
    }
}

/// coefficient / base^p
fn below(coefficient: &Expr, base: &Expr, p: &RBig) -> Expr {
    let power = if p.is_one() {
        base.clone()
    } else if *p == RBig::ONE / RBig::from(2) {
        base.sqrt()
    } else {
        base.power(&Expr::number(p.clone()))
    };
    match coefficient.as_number() {
        Some(value) if !value.denominator().is_one() => {
            let bottom = Expr::number(RBig::from(value.denominator().clone()));
            Expr::number(RBig::from(value.numerator().clone())).over(&bottom.times(&power))
        }
        _ => coefficient.over(&power),
    }
}

/// The problems to which a majorant reduces: the bound first, then the conditions.
pub(crate) fn majorant_parts(
    problem: &Problem,
    coefficient: &Expr,
    shape: &Shape,
    start: i64,
) -> Option<Vec<Problem>> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    let fixed = |expr: &Expr| {
        !expr.mentions(index) && !points.iter().any(|point| expr.mentions(point))
    };
    fixed(coefficient).then_some(())?;
    let mut conditions = vec![Goal::Defined(coefficient.clone())];
    match shape {
        Shape::Zero => {}
        Shape::Power(p) | Shape::Logarithm(p) => (*p > RBig::ZERO).then_some(())?,
        Shape::Geometric(_, q) => {
            fixed(q).then_some(())?;
            conditions.push(compared(q.clone(), Relation::GreaterEqual));
            conditions.push(Goal::Holds(q.clone(), Relation::Less, Expr::integer(1)));
        }
    }
    let late = problem.assuming(
        at_least(&Expr::variable(index), &Expr::integer(start)),
        Origin::Range,
    );
    let bound = majorant_bound(coefficient, shape, index);
    let mut parts = vec![late.with_goal(Goal::Holds(term.abs(), Relation::LessEqual, bound))];
    parts.extend(conditions.into_iter().map(|goal| problem.with_goal(goal)));
    Some(parts)
}

fn majorised(problem: &Problem, majorant: &Majorant, depth: usize) -> Option<()> {
    let parts = majorant_parts(
        problem,
        &majorant.coefficient,
        &majorant.shape,
        majorant.start,
    )?;
    let (bound, conditions) = parts.split_first()?;
    (conditions.len() == majorant.conditions.len()).then_some(())?;
    judge(bound, &majorant.bound, depth)?;
    conditions
        .iter()
        .zip(&majorant.conditions)
        .try_for_each(|(part, proof)| judge(part, proof, depth))
}

/// The problems that show |term| ≥ bound > 0 at the witness: bound, sign, domain.
pub(crate) fn separation_parts(
    problem: &Problem,
    separation: &super::Witness,
) -> Option<Vec<Problem>> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    let fixed = |expr: &Expr| {
        !expr.mentions(index) && !points.iter().any(|point| expr.mentions(point))
    };
    let complete = fixed(&separation.bound)
        && points.len() == separation.values.len()
        && points.iter().zip(&separation.values).all(|(point, (own, value))| {
            point == own && !points.iter().any(|other| value.mentions(other))
        });
    complete.then_some(())?;
    let run = Symbol::new(&format!("{index}′"));
    (!mentions(problem, &run) && separation.stride >= 1).then_some(())?;
    // The index runs through stride · m + offset, m ≥ start.
    let value = Expr::integer(separation.stride)
        .times(&Expr::variable(&run))
        .plus(&Expr::integer(separation.offset));
    let value = if (separation.stride, separation.offset) == (1, 0) {
        Expr::variable(&run)
    } else {
        value
    };
    let mut pairs: Vec<(Symbol, Expr)> = separation.values.clone();
    for (_, own) in &mut pairs {
        *own = instantiated(own, &[(index.clone(), value.clone())])?;
    }
    pairs.push((index.clone(), value));
    let put = |expr: &Expr| instantiated(expr, &pairs);
    let mut base = problem.clone();
    base.variables
        .retain(|own| own.name != *index && !points.contains(&own.name));
    base.variables.push(Variable {
        name: run.clone(),
        kind: Kind::Integer,
    });
    base.hypotheses.clear();
    let mut shown = Vec::new();
    for hypothesis in &problem.hypotheses {
        let mut parts = vec![hypothesis.condition.clone()];
        while let Some(part) = parts.pop() {
            match part {
                Condition::And(items) => parts.extend(items),
                part if part.variables().iter().all(|name| {
                    name != index && !points.contains(name)
                }) =>
                {
                    base = base.assuming(part, hypothesis.origin);
                }
                Condition::Holds(left, relation, right) => {
                    shown.push(Goal::Holds(put(&left)?, relation, put(&right)?));
                }
                _ => return None,
            }
        }
    }
    let base = base.assuming(
        at_least(&Expr::variable(&run), &Expr::integer(separation.start)),
        Origin::Range,
    );
    let mut goals = vec![
        Goal::Holds(
            put(term)?.abs(),
            Relation::GreaterEqual,
            separation.bound.clone(),
        ),
        compared(separation.bound.clone(), Relation::Greater),
    ];
    goals.extend(shown);
    Some(goals.into_iter().map(|goal| base.with_goal(goal)).collect())
}
