//! Chains through a middle term: a majorant between the two sides, summands that only help.

use super::calculus::{is_transcendental, through};
use super::guesses::nice;
use super::memory::situation;
use super::sample::{self, Values};
use super::solve::{LEVEL, leaf};
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Problem};
use crate::recheck::{Context, Proof, Sign, Signed, parts};
use dashu::rational::RBig;

/// Claims that are tried at most.
const CLAIMS: usize = 8;

/// The smaller and the greater side.
fn sides(problem: &Problem) -> Option<(Expr, Expr)> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    match relation {
        Relation::Less | Relation::LessEqual => Some((left.clone(), right.clone())),
        Relation::Greater | Relation::GreaterEqual => Some((right.clone(), left.clone())),
        Relation::Equal | Relation::NotEqual => None,
    }
}

/// What is tried before the cases of an absolute value, a minimum or a maximum.
pub(super) fn before_cases(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    if bounds_power(&problem.goal) {
        let mut part = fuel.attempt(3_000);
        let steps = leaf(problem, &mut part);
        fuel.refund(&part);
        if let Some(steps) = steps {
            return Some(Proof::Direct(steps));
        }
    }
    if let Some(found) = by_size(problem, level - 1, fuel) {
        return Some(found);
    }
    if LEVEL <= level + 1
        && let Some(found) = super::reduction::power_as_unknown(problem, level - 1, fuel)
    {
        return Some(found);
    }
    if level == LEVEL {
        let mut part = fuel.part(fuel.left() / 4 * 3);
        let found = super::remainder::solve(problem, level - 1, &mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    if !fuel.is_hasty() && level == LEVEL {
        let mut part = fuel.part(fuel.left() / 4);
        let found = super::triangle::solve(problem, level, &mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    let mut part = fuel.part(fuel.left() / 6);
    let found = transcendental_middle(problem, level, &mut part);
    fuel.refund(&part);
    found
}

/// Whether the size of a power bⁿ is compared: |bⁿ| = |b|ⁿ needs no cases of the sign of b.
fn bounds_power(goal: &Goal) -> bool {
    let Goal::Holds(left, _, right) = goal else {
        return false;
    };
    let mut found = false;
    for side in [left, right] {
        side.visit(&mut |part| {
            if let Node::Call(Function::Abs, inner) = part.node() {
                inner.visit(&mut |own| {
                    found |= matches!(own.node(), Node::Pow(base, exponent)
                        if !exponent.variables().is_empty() && !base.variables().is_empty());
                });
            }
        });
    }
    found
}

/// A middle term before the cases, where a function is compared with a tolerance: in each single
/// case it is as hard.
fn transcendental_middle(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (gap, _) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) || level < LEVEL - 2 {
        return None;
    }
    by_middle(problem, level - 1, fuel)
}

/// A side that depends on other variables than the goal's smaller side, as ε does: bounds the
/// smaller side by c n^(−p), or by a multiple of what a hypothesis bounds.
pub(super) fn by_middle(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (smaller, greater) = sides(problem)?;
    let own = smaller.variables();
    if own.is_empty() || greater.variables().iter().any(|name| own.contains(name)) {
        return None;
    }
    let (mut units, mut claims): (Vec<Expr>, Vec<Expr>) = (Vec::new(), Vec::new());
    for hypothesis in &problem.hypotheses {
        let Condition::Holds(a, relation, b) = &hypothesis.condition else {
            continue;
        };
        let unit = match relation {
            Relation::Less | Relation::LessEqual => a,
            Relation::Greater | Relation::GreaterEqual => b,
            _ => continue,
        };
        let names = unit.variables();
        let compound = unit.as_variable().is_none() && !names.is_empty();
        if compound && names.is_subset(&own) && *unit != smaller {
            // The multiple that just reaches the greater side.
            let limit = if unit == a { b } else { a };
            let ratio = situation(problem, fuel)
                .context
                .normal(&greater.over(limit));
            let ratio = ratio.and_then(|own| own.as_poly()?.as_constant());
            claims.extend(ratio.map(|own| Expr::number(own).times(unit)));
            units.push(unit.clone());
        }
    }
    let index = |name: &&Symbol| {
        problem
            .variable(name)
            .is_some_and(|v| v.kind == Kind::Integer)
    };
    for name in own.iter().filter(index) {
        let n = Expr::variable(name);
        if Work::of(problem, fuel)
            .context
            .sign_of_expr(&n)
            .has(Sign::Positive)
        {
            let one = Expr::integer(1);
            units.extend([n.clone(), n.sqrt(), n.times(&n)].map(|power| one.over(&power)));
        }
    }
    // Of an unknown function points say nothing that holds elsewhere.
    if !units.is_empty() && smaller.unknown_functions().is_empty() {
        let points = sample::points(problem, 120);
        for unit in units {
            for claim in multiples(&smaller, &unit, &points) {
                if !claims.contains(&claim) {
                    claims.push(claim);
                }
            }
        }
    }
    claims.into_iter().take(CLAIMS).find_map(|bound| {
        let claim = (smaller.clone(), Relation::LessEqual, bound);
        through(problem, claim, level, fuel)
    })
}

/// |E| ≥ b by E ≥ b or by −E ≥ b, where E keeps its sign.
fn by_size(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (smaller, greater) = sides(problem)?;
    let Goal::Holds(_, relation, _) = &problem.goal else {
        return None;
    };
    let Node::Call(Function::Abs, inner) = greater.node() else {
        return None;
    };
    let strict = matches!(relation, Relation::Less | Relation::Greater);
    let relation = if strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    [inner.clone(), inner.negative()]
        .into_iter()
        .find_map(|side| {
            let mut part = fuel.part(fuel.left() / 2);
            let claim = (side, relation, smaller.clone());
            let found = through(problem, claim, level, &mut part);
            fuel.refund(&part);
            found
        })
}

/// The unit times round numbers above the greatest quotient seen.
fn multiples(smaller: &Expr, unit: &Expr, points: &[Values]) -> Vec<Expr> {
    let mut most: f64 = 0.0;
    for at in points {
        let quotient = sample::value(smaller, at) / sample::value(unit, at);
        if quotient.is_finite() {
            most = most.max(quotient);
        }
    }
    let mut found: Vec<Expr> = Vec::new();
    for factor in [0.98, 1.0, 1.3] {
        let Some(c) = nice(most * factor).filter(|_| most > 0.0 && most < 1e3) else {
            continue;
        };
        let scaled = Expr::number(c).times(unit);
        if !found.contains(&scaled) {
            found.push(scaled);
        }
    }
    found
}

/// The claim without a factor that only loosens it, as 2 in S ≤ 2 B where S ≤ B.
pub(super) fn without_factor(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let above = match relation {
        Relation::Less | Relation::LessEqual => true,
        Relation::Greater | Relation::GreaterEqual => false,
        _ => return None,
    };
    let mut factors = Vec::new();
    numerals(right, false, &mut factors);
    let known = situation(problem, fuel);
    let context = &known.context;
    factors
        .into_iter()
        .filter(|c| c.is_positive() && !c.is_one() && (*c > RBig::ONE) == above)
        .find_map(|c| {
            let bound = Expr::number(RBig::ONE / c).times(right);
            let bound = context.normal(&bound)?.to_expr();
            let claim = (left.clone(), relation.weakened(), bound);
            through(problem, claim, level, fuel)
        })
}

/// The numerals among the factors of an expression.
fn numerals(expr: &Expr, inverse: bool, found: &mut Vec<RBig>) {
    if let Some(value) = expr.as_number().filter(|value| !value.is_zero()) {
        found.push(if inverse { RBig::ONE / value } else { value });
        return;
    }
    match expr.node() {
        Node::Mul(items) => items.iter().for_each(|item| numerals(item, inverse, found)),
        Node::Div(a, b) => match (a.as_number(), b.as_number()) {
            (Some(a), Some(b)) if !b.is_zero() && !a.is_zero() => {
                found.push(if inverse { b / a } else { a / b });
            }
            _ => {
                numerals(a, inverse, found);
                numerals(b, !inverse, found);
            }
        },
        _ => {}
    }
}

/// The sines and cosines of sums of two written out.
fn opened(expr: &Expr) -> Expr {
    let (sine, cosine) = (Function::Sin, Function::Cos);
    if let Node::Call(function, u) = expr.node()
        && [sine, cosine].contains(function)
        && let Node::Add(items) = u.node()
        && let [u, v] = items.as_slice()
    {
        let of = |f, g| u.call(f).times(&v.call(g));
        return if *function == sine {
            of(sine, cosine).plus(&of(cosine, sine))
        } else {
            of(cosine, cosine).minus(&of(sine, sine))
        };
    }
    expr.map_children(&mut opened)
}

/// The claim with the sine or cosine of a sum written out.
pub(super) fn by_angle_sum(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let claim = (opened(left), *relation, opened(right));
    if (&claim.0, &claim.2) == (left, right) {
        return None;
    }
    through(problem, claim, level, fuel)
}

/// Leaves out a summand of known sign that is not needed.
pub(super) fn without_summand(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    let known = situation(problem, fuel);
    let context = &known.context;
    let mut terms = Vec::new();
    summands(&gap, false, context, &mut terms);
    if !(3..=6).contains(&terms.len()) {
        return None;
    }
    for (place, term) in terms.iter().enumerate() {
        let own = context.sign_of_expr(term);
        if !own.at_least || term.variables().is_empty() {
            continue;
        }
        let rest = Expr::sum_of(
            terms
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != place)
                .map(|(_, term)| term.clone())
                .collect(),
        );
        let relation = if strict && !own.differs {
            Relation::Greater
        } else {
            Relation::GreaterEqual
        };
        let claim = (rest, relation, Expr::integer(0));
        if let Some(proof) = through(problem, claim, level, fuel) {
            return Some(proof);
        }
    }
    None
}

/// The summands, absolute values of known sign opened.
fn summands(expr: &Expr, negative: bool, context: &Context, all: &mut Vec<Expr>) {
    match expr.node() {
        Node::Add(items) => {
            for item in items {
                summands(item, negative, context, all);
            }
        }
        Node::Neg(inner) => summands(inner, !negative, context, all),
        Node::Call(Function::Abs, inner) => {
            let own = context.sign_of_expr(inner);
            if own.at_least {
                summands(inner, negative, context, all);
            } else if own.at_most {
                summands(inner, !negative, context, all);
            } else {
                all.push(if negative {
                    expr.negative()
                } else {
                    expr.clone()
                });
            }
        }
        _ if expr.as_number().is_some_and(|value| value.is_zero()) => {}
        _ => all.push(if negative {
            expr.negative()
        } else {
            expr.clone()
        }),
    }
}
