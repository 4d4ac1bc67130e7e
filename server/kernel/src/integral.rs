//! Definite integrals by antiderivatives: found by the rules of a first course, and given only if
//! differentiation leads back to the integrand.

mod antiderivative;

use crate::calculus::{differentiate, is_continuous_in};
use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Budget;
use crate::goal::{Goal, Kind, Origin, Problem, Variable};
use dashu::rational::RBig;
use std::sync::atomic::AtomicBool;

/// Effort for each of the two questions that make sure of an antiderivative.
const BUDGET: Budget = Budget {
    evaluations: 0,
    confirmations: 0,
    proof_steps: 20_000,
};

/// The integral of `body` by `variable` over `ends`, in closed form; none if no antiderivative was
/// found, or none that is known to serve.
///
/// An antiderivative F serves if it is proved, for all values of the other names that satisfy what is
/// known of them, that F is defined on the closed interval between the ends, and that
/// its derivative is the integrand inside. F is built of operations that are continuous where they
/// are defined, so that the fundamental theorem of calculus gives F(b) − F(a), also where the
/// integrand has no value at an end (an improper integral that converges).
#[must_use]
pub fn definite(
    body: &Expr,
    variable: &Symbol,
    ends: (&Expr, &Expr),
    others: &[Variable],
    known: &[Condition],
) -> Option<Expr> {
    let (first, last) = values_at_ends(body, variable, ends, (others, known))?;
    Some(difference(&last, &first))
}

/// The integral of `body` by `variable` from `from` to ∞, in closed form: the limit of F(R) − F(a)
/// as R → ∞, with an antiderivative F that serves on [a, R] for all R > a; none if no limit of
/// F(R) was proved.
#[must_use]
pub fn improper(
    body: &Expr,
    variable: &Symbol,
    from: &Expr,
    others: &[Variable],
    known: &[Condition],
) -> Option<Expr> {
    let end = Symbol::new("\u{1}r");
    let running = Expr::variable(&end);
    let mut others = others.to_vec();
    others.push(Variable {
        name: end.clone(),
        kind: Kind::Real,
    });
    let mut known = known.to_vec();
    known.push(Condition::Holds(
        running.clone(),
        Relation::Greater,
        from.clone(),
    ));
    let within = (others.as_slice(), known.as_slice());
    let (first, last) = values_at_ends(body, variable, (from, &running), within)?;
    let limit = limits_of(&last, &end).into_iter().find(|limit| {
        let goal = Goal::TendsToZero {
            term: last.minus(limit).abs(),
            index: end.clone(),
            points: Vec::new(),
        };
        proved(&under(&others, &known, goal))
    })?;
    Some(difference(&limit, &first))
}

/// What F(R) may tend to: 0, or its value with π/2 for every arctangent of R.
fn limits_of(value: &Expr, end: &Symbol) -> Vec<Expr> {
    let quarter: Expr = Expr::from(Node::Constant(Constant::Pi)).over(&Expr::integer(2));
    let settled = with_quarter(value, end, &quarter);
    let mut found = vec![Expr::integer(0)];
    if !settled.mentions(end) && settled != *value {
        found.push(settled);
    }
    found
}

fn with_quarter(expr: &Expr, end: &Symbol, quarter: &Expr) -> Expr {
    match expr.node() {
        Node::Call(Function::Atan, inner) if inner.mentions(end) => quarter.clone(),
        _ => expr.map_children(&mut |child| with_quarter(child, end, quarter)),
    }
}

fn difference(last: &Expr, first: &Expr) -> Expr {
    match (first.as_number(), last.as_number()) {
        (Some(nothing), _) if nothing.is_zero() => last.clone(),
        (_, Some(nothing)) if nothing.is_zero() => opposite(first),
        _ => last.minus(first),
    }
}

/// −expr, with a sign that stands in front or below taken away, and a negative power as a fraction.
fn opposite(expr: &Expr) -> Expr {
    match expr.node() {
        Node::Neg(inner) => inner.clone(),
        Node::Div(above, below) => match below.as_number() {
            Some(below) if below == RBig::NEG_ONE => upright(above),
            Some(below) if below < RBig::ZERO => upright(above).over(&Expr::number(-below)),
            _ => expr.negative(),
        },
        _ => expr.negative(),
    }
}

/// b^(−p) as 1/b^p.
fn upright(expr: &Expr) -> Expr {
    let Node::Pow(base, exponent) = expr.node() else {
        return expr.clone();
    };
    match exponent.as_number() {
        Some(value) if value == RBig::NEG_ONE => Expr::integer(1).over(base),
        Some(value) if value < RBig::ZERO => {
            Expr::integer(1).over(&base.power(&Expr::number(-value)))
        }
        _ => expr.clone(),
    }
}

/// The values of a serving antiderivative at both ends.
fn values_at_ends(
    body: &Expr,
    variable: &Symbol,
    ends: (&Expr, &Expr),
    (others, known): (&[Variable], &[Condition]),
) -> Option<(Expr, Expr)> {
    let (from, to) = ends;
    let own = Symbol::new("\u{1}t");
    let point = Expr::variable(&own);
    let body = body.substitute(variable, &point);
    if body.mentions(variable) || from.mentions(&own) || to.mentions(&own) {
        return None;
    }
    antiderivative::candidates(&body, &own)
        .into_iter()
        .find(|found| serves(found, &body, &own, ends, (others, known)))
        .map(|found| {
            let positive = |expr: &Expr| {
                let goal = Goal::Holds(expr.clone(), Relation::Greater, Expr::integer(0));
                proved(&under(others, known, goal))
            };
            let at = |end: &Expr| folded(&found.substitute(&own, end), &positive);
            (at(from), at(to))
        })
}

fn under(variables: &[Variable], known: &[Condition], goal: Goal) -> Problem {
    let problem = Problem {
        variables: variables.to_vec(),
        hypotheses: Vec::new(),
        goal,
    };
    known.iter().fold(problem, |problem, condition| {
        problem.assuming(condition.clone(), Origin::Domain)
    })
}

fn proved(problem: &Problem) -> bool {
    crate::decide(problem, &BUDGET, &AtomicBool::new(false)).is_proved()
}

/// The value at an end with what is plain carried out: powers of 0 and 1, products with 0.
fn folded(expr: &Expr, positive: &dyn Fn(&Expr) -> bool) -> Expr {
    let expr = expr.map_children(&mut |child| folded(child, positive));
    let is = |expr: &Expr, value: i64| expr.as_number() == Some(RBig::from(value));
    match expr.node() {
        Node::Pow(base, _) if is(base, 1) => Expr::integer(1),
        Node::Pow(base, exponent) if is(base, 0) && positive(exponent) => Expr::integer(0),
        Node::Mul(items) if items.iter().any(|item| is(item, 0)) && items.iter().all(is_plain) => {
            Expr::integer(0)
        }
        Node::Add(items) => {
            let (numbers, mut rest): (Vec<&Expr>, Vec<&Expr>) =
                items.iter().partition(|item| item.as_number().is_some());
            let sum = numbers
                .into_iter()
                .filter_map(Expr::as_number)
                .fold(RBig::ZERO, |sum, number| sum + number);
            let sum = Expr::number(sum);
            if rest.is_empty() || !is(&sum, 0) {
                rest.push(&sum);
            }
            Expr::sum_of(rest.into_iter().cloned().collect())
        }
        Node::Neg(inner) => match inner.as_number() {
            Some(number) => Expr::number(-number),
            None => expr,
        },
        Node::Div(above, below) if is(above, 0) && positive(below) => Expr::integer(0),
        Node::Call(Function::Exp, argument) if is(argument, 0) => Expr::integer(1),
        Node::Call(Function::Log, argument) if is(argument, 1) => Expr::integer(0),
        _ => expr,
    }
}

/// Whether an expression has a value for all values of its names.
fn is_plain(expr: &Expr) -> bool {
    let own = match expr.node() {
        Node::Number(_) | Node::Constant(_) | Node::Variable(_) => true,
        Node::Add(_) | Node::Mul(_) | Node::Neg(_) => true,
        Node::Call(function, _) => matches!(
            function,
            Function::Exp | Function::Sin | Function::Cos | Function::Atan
        ),
        _ => false,
    };
    own && expr.children().into_iter().all(is_plain)
}

fn serves(
    found: &Expr,
    body: &Expr,
    own: &Symbol,
    (from, to): (&Expr, &Expr),
    (others, known): (&[Variable], &[Condition]),
) -> bool {
    let Some(slope) = differentiate(found, own) else {
        return false;
    };
    if !is_continuous_in(found, own) {
        return false;
    }
    let mut variables = others.to_vec();
    variables.push(Variable {
        name: own.clone(),
        kind: Kind::Real,
    });
    let problem = under(&variables, known, Goal::Defined(found.clone()));
    let point = Expr::variable(own);
    let between = |low: &Expr, high: &Expr, relation: Relation| {
        Condition::And(vec![
            Condition::Holds(low.clone(), relation, point.clone()),
            Condition::Holds(point.clone(), relation, high.clone()),
        ])
    };
    let within = |relation| match (from.as_number(), to.as_number()) {
        (Some(low), Some(high)) if low <= high => between(from, to, relation),
        _ => Condition::Or(vec![
            between(from, to, relation),
            between(to, from, relation),
        ]),
    };
    let closed = problem.assuming(within(Relation::LessEqual), Origin::Domain);
    let open = problem
        .assuming(within(Relation::Less), Origin::Domain)
        .with_goal(Goal::Holds(slope, Relation::Equal, body.clone()));
    proved(&closed) && proved(&open)
}

#[cfg(test)]
mod tests;
