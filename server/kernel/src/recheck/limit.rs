//! Proofs about limits: majorants that tend to 0, witnesses that stay away from it.

use super::judge::{at_least, compared, mentions};
use super::proof::{Shape, Witness};
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Origin, Problem, Variable};
use dashu::rational::RBig;

/// coefficient · null sequence at the index, written as a quotient where that is usual.
pub(crate) fn majorant_bound(coefficient: &Expr, shape: &Shape, index: &Symbol) -> Expr {
    let n = Expr::variable(index);
    let one = coefficient.as_number() == Some(RBig::ONE);
    let scaled = |value: Expr| {
        if one {
            value
        } else {
            coefficient.times(&value)
        }
    };
    match shape {
        Shape::Zero => Expr::integer(0),
        Shape::Power(p) => below(coefficient, &n, p),
        Shape::Logarithm(p) => below(coefficient, &n.call(Function::Log), p),
        Shape::Geometric(0, q) => scaled(q.power(&n)),
        Shape::Geometric(1, q) => scaled(n.times(&q.power(&n))),
        Shape::Geometric(k, q) => {
            scaled(n.power(&Expr::integer(i64::from(*k))).times(&q.power(&n)))
        }
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
    let fixed =
        |expr: &Expr| !expr.mentions(index) && !points.iter().any(|point| expr.mentions(point));
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
    let mut parts = vec![late.with_goal(Goal::Holds(size(term), Relation::LessEqual, bound))];
    parts.extend(conditions.into_iter().map(|goal| problem.with_goal(goal)));
    Some(parts)
}

/// |term|, which an absolute value is already.
pub(crate) fn size(term: &Expr) -> Expr {
    match term.node() {
        Node::Call(Function::Abs, _) => term.clone(),
        _ => term.abs(),
    }
}

/// The problem with its hypotheses about index and points taken out, and those.
fn parted(problem: &Problem) -> Option<(Problem, Vec<Condition>)> {
    let Goal::TendsToZero { index, points, .. } = &problem.goal else {
        return None;
    };
    let moves = |name: &Symbol| name == index || points.contains(name);
    let mut fixed = problem.clone();
    fixed.variables.retain(|own| !moves(&own.name));
    fixed.hypotheses.clear();
    let mut moving = Vec::new();
    for hypothesis in &problem.hypotheses {
        for part in hypothesis.condition.conjuncts() {
            if part.variables().iter().any(moves) {
                moving.push(part);
            } else {
                fixed = fixed.assuming(part, hypothesis.origin);
            }
        }
    }
    Some((fixed, moving))
}

/// Whether the witness's parameters satisfy all hypotheses that speak of nothing else: where
/// they contradict each other, the term tends to 0 for want of a case.
pub(crate) fn has_case(problem: &Problem, parameters: &[(Symbol, Expr)]) -> bool {
    let point = parameters
        .iter()
        .map(|(name, value)| (Expr::variable(name), value.clone()))
        .collect();
    parted(problem).is_some_and(|(fixed, _)| super::satisfies(&fixed, &point))
}

/// The problems that show |term| ≥ bound > 0 at the witness: bound, sign, domain.
pub(crate) fn separation_parts(problem: &Problem, separation: &Witness) -> Option<Vec<Problem>> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    let (mut base, moving) = parted(problem)?;
    // Neither the index nor the points may move the bound, nor a name that nobody declared.
    let fixed = |name: &Symbol| base.variable(name).is_some();
    let complete = separation.bound.variables().iter().all(fixed)
        && points.len() == separation.values.len()
        && points
            .iter()
            .zip(&separation.values)
            .all(|(point, (own, value))| {
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
        *own = own.instantiated(&[(index.clone(), value.clone())])?;
    }
    pairs.push((index.clone(), value));
    let put = |expr: &Expr| expr.instantiated(&pairs);
    base.variables.push(Variable {
        name: run.clone(),
        kind: Kind::Integer,
    });
    // A variable that takes integers only has integer values at the witness.
    let fits = |(name, value): &(Symbol, Expr)| {
        let own = problem.variable(name);
        own.is_none_or(|own| own.kind == Kind::Real) || base.is_integer(value)
    };
    pairs.iter().all(fits).then_some(())?;
    let base = base.assuming(
        at_least(&Expr::variable(&run), &Expr::integer(separation.start)),
        Origin::Range,
    );
    let mut goals = vec![
        Goal::Holds(
            size(&put(term)?),
            Relation::GreaterEqual,
            separation.bound.clone(),
        ),
        compared(separation.bound.clone(), Relation::Greater),
    ];
    for condition in moving {
        let Condition::Holds(left, relation, right) = condition else {
            return None;
        };
        goals.push(Goal::Holds(put(&left)?, relation, put(&right)?));
    }
    Some(goals.into_iter().map(|goal| base.with_goal(goal)).collect())
}
