//! The triangle inequality: an expression taken apart along the differences that are known to be
//! small, x y − a b = (x − a) y + a (y − b), and bounded summand by summand.

use super::define::define;
use super::establish::{fact_term, place};
use super::sample;
use super::solve::{leaf, solve as search};
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation};
use crate::fuel::Fuel;
use crate::goal::{Goal, Origin, Problem};
use crate::recheck::{Lemma, Monomial, Poly, Proof, Sign, Signed, Step, Term};
use dashu::rational::RBig;

/// Differences that are looked at.
const DIFFERENCES: usize = 6;
/// Summands that are bounded.
const SUMMANDS: usize = 12;

/// x − a, small, with the unknown x that a stands in for.
#[derive(Clone)]
struct Difference {
    value: Poly,
    moving: Expr,
    base: Poly,
}

/// A product of factors, each bounded in size by what stands beside it.
struct Summand {
    coefficient: RBig,
    factors: Vec<(Poly, Poly)>,
}

/// How an expression is taken apart.
#[derive(Clone, Copy)]
struct Manner {
    /// Whether the first unknown of a difference moves, or the second.
    first: bool,
    /// Whether differences are taken in the order in which they occur.
    forward: bool,
    /// Whether a moving unknown is bounded by |a| + |x − a|.
    around: bool,
}

/// Bounds the absolute value on the smaller side by a sum of products of sizes.
pub(super) fn solve(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(smaller, relation @ (Relation::Less | Relation::LessEqual), greater) =
        &problem.goal
    else {
        return None;
    };
    let Node::Call(Function::Abs, inner) = smaller.node() else {
        return None;
    };
    let mut work = Work::of(problem, fuel);
    if !define(&mut work, smaller, fuel) {
        return None;
    }
    let form = work.context.normal(inner)?;
    let (target, below) = (form.numerator().clone(), divisor(&work, smaller, inner)?);
    let pairs = differences(problem, &work);
    let limit = greater.times(&below);
    let mut all: Vec<(Bounded, Problem)> = Vec::new();
    for place in 0..8 {
        let manner = Manner {
            first: place % 2 == 0,
            forward: place / 2 % 2 == 0,
            around: place / 4 == 0,
        };
        let Some(summands) = taken_apart(&work, &target, &pairs, manner) else {
            continue;
        };
        let bound = total(&work, &summands).to_expr();
        let goal = Goal::Holds(bound.clone(), *relation, limit.clone());
        let case = problem.with_goal(goal);
        let known = all.iter().any(|(own, _)| own.bound == bound);
        if !known && fuel.take(20) && sample::is_plausible(&case, fuel) {
            let limit = limit.clone();
            let own = Bounded {
                summands,
                bound,
                limit,
            };
            all.push((own, case));
        }
    }
    let target = target.to_expr();
    // One situation may do for one of them; only then is one insisted on.
    for searched in [false, true] {
        for (own, case) in &all {
            let mut part = fuel.part(fuel.left() / 3);
            let second = if searched {
                search(case, level.checked_sub(2)?, &mut part)
            } else {
                leaf(case, &mut part).map(Proof::Direct)
            };
            fuel.refund(&part);
            let found = second.and_then(|own_proof| {
                assembled(problem, *relation, (&target, own), own_proof, fuel)
            });
            if found.is_some() {
                return found;
            }
        }
    }
    None
}

/// The size of the denominator.
fn divisor(work: &Work, whole: &Expr, inner: &Expr) -> Option<Expr> {
    let own = work.context.normal(inner)?;
    let size = work.context.normal(whole)?;
    let factors = size
        .denominator()
        .iter()
        .map(|(factor, power)| match power {
            1 => factor.to_expr(),
            _ => factor.to_expr().power(&Expr::integer(i64::from(*power))),
        });
    (size.denominator().len() == own.denominator().len())
        .then(|| Expr::product_of(factors.collect()))
}

/// The arguments of absolute values on the greater side and in hypotheses that are differences.
fn differences(problem: &Problem, work: &Work) -> Vec<Poly> {
    let mut all: Vec<Poly> = Vec::new();
    let mut see = |expr: &Expr| {
        if let Node::Call(Function::Abs, inner) = expr.node()
            && let Some(poly) = work.poly(inner)
            && (2..=4).contains(&poly.count())
            && all.len() < DIFFERENCES
            && !all.contains(&poly)
            && !all.contains(&poly.negative())
        {
            all.push(poly);
        }
    };
    if let Goal::Holds(_, _, greater) = &problem.goal {
        greater.visit(&mut see);
    }
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut see);
    }
    all
}

/// The unknown of a difference that is replaced, and what replaces it.
fn directed(value: &Poly, first: bool) -> Option<Difference> {
    let linear = |(monomial, factor): (&Monomial, &RBig)| match monomial.factors() {
        [(atom, 1)] if factor.is_one() || -factor == RBig::ONE => {
            Some((atom.clone(), factor.clone()))
        }
        _ => None,
    };
    let mut unknowns: Vec<(Expr, RBig)> = value.terms().filter_map(linear).collect();
    if !first {
        unknowns.reverse();
    }
    let (moving, factor) = unknowns.into_iter().next()?;
    let rest = value.minus(&Poly::atom(moving.clone()).scaled(&factor));
    let base = if factor.is_one() {
        rest.negative()
    } else {
        rest
    };
    let alone = base.degree_in(&moving) == 0;
    alone.then(|| Difference {
        value: value.clone(),
        moving,
        base,
    })
}

/// The summands of the target, each with bounds of its factors.
fn taken_apart(work: &Work, target: &Poly, pairs: &[Poly], manner: Manner) -> Option<Vec<Summand>> {
    let mut all: Vec<Difference> = pairs
        .iter()
        .filter_map(|own| directed(own, manner.first))
        .collect();
    if !manner.forward {
        all.reverse();
    }
    let mut summands = Vec::new();
    let mut left = target.clone();
    for own in &all {
        let next = left.substitute(&own.moving, &own.base);
        let gap = left.minus(&next);
        if gap.is_zero() {
            continue;
        }
        let quotient = gap.divided(&own.value)?;
        let size = size_of(work, &own.value);
        for (monomial, factor) in quotient.terms() {
            let mut factors = vec![(own.value.clone(), size.clone())];
            factors.extend(bounded(work, monomial, &all, manner));
            summands.push(Summand {
                coefficient: factor.clone(),
                factors,
            });
        }
        left = next;
    }
    for (monomial, factor) in left.terms() {
        summands.push(Summand {
            coefficient: factor.clone(),
            factors: bounded(work, monomial, &all, manner),
        });
    }
    (2..=SUMMANDS).contains(&summands.len()).then_some(summands)
}

/// |p|, in normal form.
fn size_of(work: &Work, poly: &Poly) -> Poly {
    let size = poly.to_expr().abs();
    work.poly(&size).unwrap_or_else(|| Poly::atom(size.clone()))
}

/// The atoms of a monomial with their bounds: a number, |a| + |x − a|, or their size.
fn bounded(
    work: &Work,
    monomial: &Monomial,
    all: &[Difference],
    manner: Manner,
) -> Vec<(Poly, Poly)> {
    let mut factors = Vec::new();
    for (atom, power) in monomial.factors() {
        let own = Poly::atom(atom.clone());
        let range = work.context.range_of_atom(atom);
        let ends = [
            range.low.map(|(low, _)| -low),
            range.high.map(|(high, _)| high),
        ];
        let around = all
            .iter()
            .find(|difference| manner.around && difference.moving == *atom);
        let size = match (ends, around) {
            ([Some(low), Some(high)], _) => Poly::constant(if low < high { high } else { low }),
            (_, Some(difference)) => {
                size_of(work, &difference.base).plus(&size_of(work, &difference.value))
            }
            _ => size_of(work, &own),
        };
        for _ in 0..*power {
            factors.push((own.clone(), size.clone()));
        }
    }
    factors
}

/// Σ |c| Π sizes
fn total(work: &Work, summands: &[Summand]) -> Poly {
    let sum = summands.iter().fold(Poly::zero(), |sum, own| {
        let sizes = own.factors.iter().map(|(_, size)| size);
        let product = sizes.fold(Poly::one(), |product, size| product.times(size));
        sum.plus(&product.scaled(&magnitude(&own.coefficient)))
    });
    work.context.reduced(&sum)
}

fn magnitude(value: &RBig) -> RBig {
    if value.is_negative() {
        -value
    } else {
        value.clone()
    }
}

/// A bound that is smaller than what the goal allows.
struct Bounded {
    summands: Vec<Summand>,
    bound: Expr,
    limit: Expr,
}

/// bound R limit, |target| ≤ bound, and with them the goal.
fn assembled(
    problem: &Problem,
    relation: Relation,
    (target, own): (&Expr, &Bounded),
    second: Proof,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let zero = Expr::integer(0);
    let claim = Condition::Holds(own.bound.clone(), relation, own.limit.clone());
    let between = problem.assuming(claim.clone(), Origin::Earlier);
    let sides = (target.abs(), Relation::LessEqual, own.bound.clone());
    let goal = between.with_goal(Goal::Holds(sides.0.clone(), sides.1, sides.2.clone()));
    let branches = [Relation::GreaterEqual, Relation::LessEqual]
        .into_iter()
        .map(|sign| {
            let side = Condition::Holds(target.clone(), sign, zero.clone());
            let case = goal.assuming(side, Origin::Assumption);
            let mut work = Work::of(&case, fuel);
            summed(&mut work, &own.summands, sign == Relation::GreaterEqual)?;
            let closed = work.context.holds(&sides.0, sides.1, &sides.2);
            (closed || work.context.is_absurd()).then_some((sign, Proof::Direct(work.steps)))
        })
        .collect::<Option<Vec<_>>>()?;
    let inner = Condition::Holds(sides.0, sides.1, sides.2);
    let later = between.assuming(inner.clone(), Origin::Earlier);
    let mut part = fuel.attempt(8_000);
    let last = leaf(&later, &mut part);
    fuel.refund(&part);
    Some(Proof::Through {
        claim,
        first: Box::new(second),
        rest: Box::new(Proof::Through {
            claim: inner,
            first: Box::new(Proof::Cases {
                on: target.clone(),
                against: zero,
                defined: Box::new(Proof::Direct(Vec::new())),
                branches,
            }),
            rest: Box::new(Proof::Direct(last?)),
        }),
    })
}

/// Derives Σ |c| Π sizes − Σ c Π factors ≥ 0, or the same with + for −.
fn summed(work: &mut Work, summands: &[Summand], above: bool) -> Option<()> {
    let mut terms = Vec::new();
    for own in summands {
        let (fact, _) = product(work, &own.factors, above != own.coefficient.is_negative())?;
        let Some(fact) = fact else { continue };
        terms.push(Term {
            coefficient: magnitude(&own.coefficient),
            ..fact_term(vec![fact])
        });
    }
    work.take(Step::Combine(terms, Vec::new())).then_some(())
}

/// The place of Π sizes − Π factors ≥ 0, or with + for −; none if it is 0. And Π sizes.
fn product(
    work: &mut Work,
    factors: &[(Poly, Poly)],
    minus: bool,
) -> Option<(Option<usize>, Poly)> {
    let Some(((value, size), rest)) = factors.split_last() else {
        // 1 − 1, or 1 + 1
        return if minus {
            Some((None, Poly::one()))
        } else {
            let two = Poly::constant(RBig::from(2));
            Some((place(work, &two, Sign::NonNegative), Poly::one()))
        };
    };
    if rest.is_empty() {
        return Some((single(work, value, size, minus)?, size.clone()));
    }
    // 2 (U V − u v) = (U − u)(V + v) + (U + u)(V − v), 2 (U V + u v) with the signs of v turned
    let mut terms = Vec::new();
    let mut whole = size.clone();
    for turned in [true, false] {
        let (left, sizes) = product(work, rest, turned)?;
        let right = single(work, value, size, turned != minus)?;
        whole = sizes.times(size);
        if let (Some(left), Some(right)) = (left, right) {
            terms.push(Term {
                coefficient: RBig::ONE / RBig::from(2),
                ..fact_term(vec![left, right])
            });
        }
    }
    if terms.is_empty() {
        return Some((None, whole));
    }
    work.take(Step::Combine(terms, Vec::new()))
        .then(|| (Some(work.len() - 1), whole))
}

/// The place of size − value ≥ 0 or size + value ≥ 0; none if it is 0.
fn single(work: &mut Work, value: &Poly, size: &Poly, minus: bool) -> Option<Option<usize>> {
    let gap = if minus {
        size.minus(value)
    } else {
        size.plus(value)
    };
    let gap = work.context.reduced(&gap);
    if gap.is_zero() {
        return Some(None);
    }
    if let Some(found) = place(work, &gap, Sign::NonNegative) {
        return Some(Some(found));
    }
    let mut sizes: Vec<Expr> = Vec::new();
    for atom in size.atoms() {
        if let Node::Call(Function::Abs, inner) = atom.node() {
            sizes.push(inner.clone());
        }
    }
    let before = work.len();
    for inner in sizes {
        work.take(Step::Lemma(Lemma::AbsoluteValue, vec![inner]));
    }
    if let Some(found) = place(work, &gap, Sign::NonNegative) {
        return Some(Some(found));
    }
    // |a| + |x − a| ± x is the sum of two of these.
    for first in before..work.len() {
        for second in first + 1..work.len() {
            let facts = work.context.facts();
            if facts[first].0.plus(&facts[second].0) == gap {
                let terms = vec![fact_term(vec![first]), fact_term(vec![second])];
                let done = work.take(Step::Combine(terms, Vec::new()));
                return done.then(|| Some(work.len() - 1));
            }
        }
    }
    None
}
