//! Unknowns that leave the goal: functions replaced by what bounds them, variables of the hypotheses
//! alone, coefficients of a sign each.

use super::establish::{establish, fact_term, place};
use super::linear;
use super::work::Work;
use crate::expr::{Expr, Function, Node};
use crate::fuel::Fuel;
use crate::recheck::{Lemma, Monomial, Poly, Sign, Signed, Step, Term};
use dashu::rational::RBig;
use std::collections::BTreeSet;

/// Bounds of one function that are tried at most.
const BOUNDS: usize = 12;
/// Coefficients whose signs are looked for.
const COEFFICIENTS: usize = 4;
/// Terms of what is left, at most.
const TERMS: usize = 24;
/// Facts that the elimination of one variable adds at most.
const NEWS: usize = 8;
/// Terms of a fact from which a variable is eliminated.
const SHORT: usize = 8;

/// Whether an atom is a function of something, which known inequalities bound.
fn is_function(atom: &Expr) -> bool {
    match atom.node() {
        Node::Call(function, inner) => {
            !inner.variables().is_empty() && !matches!(function, Function::Floor | Function::Ceil)
        }
        Node::Pow(_, exponent) => !exponent.variables().is_empty(),
        Node::Sum { .. } => true,
        _ => false,
    }
}

/// What a fact about an atom leaves of the goal: |C| (A t + B) = ±A (C t + D) + rest.
struct Bound {
    fact: usize,
    /// ±A; of any sign if the fact is an equation.
    factor: Poly,
    is_equation: bool,
    /// |C|
    divisor: Poly,
    rest: Poly,
    /// The sign that the rest must have.
    sign: Sign,
}

/// A function in which the target is linear, replaced by each of its bounds. What is left must
/// follow at once if `quick`.
pub(super) fn by_bound(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    (depth, quick): (usize, bool),
    fuel: &mut Fuel<'_>,
) -> bool {
    if depth <= 1 || target.count() > TERMS {
        return false;
    }
    for atom in target.atoms().into_iter().filter(is_function) {
        if target.degree_in(&atom) != 1 {
            continue;
        }
        if !quick {
            sign_coefficients(work, &atom, fuel);
        }
        let mut found = bounds(work, target, &atom, sign);
        found.sort_by_key(|own| (!own.is_equation, own.rest.count()));
        for bound in found.into_iter().take(BOUNDS) {
            if !fuel.take(4) {
                return false;
            }
            let rest = &bound.rest;
            let follows = rest.is_zero()
                || work.knows(rest, bound.sign)
                || if quick {
                    linear::refute(work, rest, bound.sign, 1, fuel)
                } else {
                    establish(work, rest, bound.sign, depth - 1, fuel)
                };
            if follows && combined(work, target, sign, &bound) && work.knows(target, sign) {
                return true;
            }
        }
    }
    false
}

/// Looks for the signs of what stands before an atom in the facts.
fn sign_coefficients(work: &mut Work, atom: &Expr, fuel: &mut Fuel<'_>) {
    let facts = work.context.facts().iter();
    let unknown: BTreeSet<Poly> = facts
        .filter(|(poly, _)| poly.degree_in(atom) == 1 && poly.count() <= SHORT)
        .filter_map(|(poly, _)| poly.coefficients_in(atom).pop())
        .filter(|own| {
            let known = work.context.sign_of(own);
            !(known.differs && (known.at_least || known.at_most))
        })
        .collect();
    for own in unknown.into_iter().take(COEFFICIENTS) {
        let mut part = fuel.attempt(1_000);
        for side in [&own, &own.negative()] {
            if work.allows(side, Sign::Positive) {
                let _ = linear::refute(work, side, Sign::Positive, 1, &mut part)
                    || linear::refute(work, side, Sign::Positive, 2, &mut part);
            }
        }
        fuel.refund(&part);
    }
}

/// The facts that bound an atom on the side on which the target needs it.
fn bounds(work: &Work, target: &Poly, atom: &Expr, sign: Sign) -> Vec<Bound> {
    let coefficients = target.coefficients_in(atom);
    let [b, a] = coefficients.as_slice() else {
        return Vec::new();
    };
    let context = &work.context;
    let own = context.sign_of(a);
    let facts = context.facts().iter().enumerate();
    facts
        .filter_map(|(fact, (poly, known))| {
            if *known == Sign::NonZero || poly.degree_in(atom) != 1 {
                return None;
            }
            let coefficients = poly.coefficients_in(atom);
            let [d, c] = coefficients.as_slice() else {
                return None;
            };
            let is_equation = *known == Sign::Zero;
            let turn = context.sign_of(c);
            let fits = is_equation && (turn.at_least || turn.at_most)
                || own.at_least && turn.at_least
                || own.at_most && turn.at_most;
            if !turn.differs || !fits {
                return None;
            }
            let (divisor, factor) = if turn.at_least {
                (c.clone(), a.clone())
            } else {
                (c.negative(), a.negative())
            };
            let rest = context.reduced(&divisor.times(b).minus(&factor.times(d)));
            let strict = *known == Sign::Positive && own.differs;
            let sign = if strict { Sign::NonNegative } else { sign };
            let short = rest.count() <= TERMS && (!rest.is_zero() || sign == Sign::NonNegative);
            (short && work.allows(&rest, sign)).then_some(Bound {
                fact,
                factor,
                is_equation,
                divisor,
                rest,
                sign,
            })
        })
        .collect()
}

/// The opposite of the target, times |C|, with the fact and the rest gives a contradiction.
fn combined(work: &mut Work, target: &Poly, sign: Sign, bound: &Bound) -> bool {
    let one = |facts: Vec<usize>| Some(fact_term(facts));
    let scaled = |work: &mut Work, factor: &Poly, sign: Sign, facts: Vec<usize>| {
        if let Some(coefficient) = factor.as_constant() {
            return Some(Term {
                coefficient,
                ..fact_term(facts)
            });
        }
        let mut all = vec![place(work, factor, sign)?];
        all.extend(facts);
        one(all)
    };
    let (mut terms, mut multiples) = (Vec::new(), Vec::new());
    if bound.is_equation {
        multiples.push((bound.fact, bound.factor.to_expr()));
    } else {
        terms.push(scaled(
            work,
            &bound.factor,
            Sign::NonNegative,
            vec![bound.fact],
        ));
    }
    if !bound.rest.is_zero() {
        terms.push(place(work, &bound.rest, bound.sign).and_then(|rest| one(vec![rest])));
    }
    // The checker adds the opposite as the next fact, once all others stand.
    let outer = scaled(work, &bound.divisor, Sign::Positive, Vec::new());
    let supposed = work.len();
    terms.push(outer.map(|mut term| {
        term.facts.push(supposed);
        term
    }));
    let Some(terms) = terms.into_iter().collect::<Option<Vec<_>>>() else {
        return false;
    };
    let steps = vec![Step::Combine(terms, multiples)];
    work.take(Step::Refute(target.to_expr(), sign, steps))
}

/// √v divides a target whose monomials all have √v or v: 3 v − √v L = √v (3 √v − L).
pub(super) fn by_root_factor(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    for root in target.atoms() {
        let Node::Root(2, inner) = root.node() else {
            continue;
        };
        let own = Poly::atom(root.clone());
        let strict = work.context.sign_of(&own).has(Sign::Positive);
        let divided = |(monomial, value): (&Monomial, &RBig)| {
            let term = Poly::monomial(monomial.clone()).scaled(value);
            if monomial.exponent(&root) > 0 {
                return term.divided(&own);
            }
            let rest = term.divided(&Poly::atom(inner.clone()))?;
            Some(rest.times(&own))
        };
        let parts: Option<Vec<Poly>> = target.terms().map(divided).collect();
        let Some(parts) = parts.filter(|_| strict && target.count() > 1) else {
            continue;
        };
        let quotient = parts.iter().fold(Poly::zero(), |sum, part| sum.plus(part));
        let mut part = fuel.part(fuel.left() / 4);
        let done = establish(work, &quotient, sign, depth - 1, &mut part);
        fuel.refund(&part);
        if !done {
            return false;
        }
        let places = [
            place(work, &own, Sign::Positive),
            place(work, &quotient, sign),
        ];
        let [Some(first), Some(second)] = places else {
            return false;
        };
        let product = fact_term(vec![first, second]);
        return work.take(Step::Combine(vec![product], Vec::new())) && work.knows(target, sign);
    }
    false
}

/// The square of the difference of two atoms divides a target, as (x − y)² where it touches 0 at
/// x = y.
pub(super) fn by_double_zero(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    let atoms: Vec<Expr> = target.atoms().into_iter().take(4).collect();
    if depth <= 1 || sign != Sign::NonNegative || target.degree() < 4 {
        return false;
    }
    for (place_of, first) in atoms.iter().enumerate() {
        for second in &atoms[place_of + 1..] {
            let gap = Poly::atom(first.clone()).minus(&Poly::atom(second.clone()));
            let Some(quotient) = target.divided(&gap.times(&gap)) else {
                continue;
            };
            if !establish(work, &quotient, sign, depth - 1, fuel) {
                return false;
            }
            let Some(own) = place(work, &quotient, sign) else {
                return false;
            };
            let term = Term {
                squares: vec![gap.to_expr()],
                ..fact_term(vec![own])
            };
            return work.take(Step::Combine(vec![term], Vec::new())) && work.knows(target, sign);
        }
    }
    false
}

/// A target of which every coefficient of a size |u| has the sign itself.
pub(super) fn by_coefficients(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    if depth <= 1 || sign != Sign::NonNegative || target.count() > TERMS {
        return false;
    }
    let sizes = target.atoms().into_iter();
    for atom in sizes.filter(|atom| matches!(atom.node(), Node::Call(Function::Abs, _))) {
        let own = Poly::atom(atom.clone());
        let coefficients = target.coefficients_in(&atom);
        let parts = coefficients.iter().filter(|part| !part.is_zero());
        if parts.clone().count() < 2
            || !work.context.sign_of(&own).at_least
            || !parts.clone().all(|part| work.allows(part, sign))
        {
            continue;
        }
        let trial = &mut work.clone();
        let shown = parts
            .clone()
            .all(|part| trial.knows(part, sign) || establish(trial, part, sign, depth - 1, fuel));
        if !shown {
            continue;
        }
        let mut terms = Vec::new();
        for (power, part) in coefficients.iter().enumerate() {
            if part.is_zero() {
                continue;
            }
            let whole = own.power(u32::try_from(power).unwrap_or(u32::MAX));
            let places = [&whole, part]
                .into_iter()
                .filter(|own| own.as_constant().is_none())
                .map(|own| place(trial, own, Sign::NonNegative))
                .collect::<Option<Vec<_>>>();
            let Some(facts) = places else { break };
            terms.push(Term {
                coefficient: part.as_constant().unwrap_or(RBig::ONE),
                ..fact_term(facts)
            });
        }
        if trial.take(Step::Combine(terms, Vec::new())) && trial.knows(target, sign) {
            *work = trial.clone();
            return true;
        }
    }
    false
}

/// Facts in which a variable that the goal does not speak of stands on both sides, as N in n > N
/// and N ε > 1, without it: n ε > 1.
///
/// With `rounded` the same for what is rounded, as ⌈2/ε²⌉.
pub(super) fn variables(work: &mut Work, target: &Poly, rounded: bool, fuel: &mut Fuel<'_>) {
    let mut spoken: BTreeSet<Expr> = BTreeSet::new();
    for atom in target.atoms() {
        atom.visit(&mut |part| {
            spoken.insert(part.clone());
        });
    }
    let mut outside: BTreeSet<Expr> = BTreeSet::new();
    for atom in work
        .context
        .facts()
        .iter()
        .flat_map(|(poly, _)| poly.atoms())
    {
        atom.visit(&mut |part| {
            let wanted = if rounded {
                matches!(part.node(), Node::Call(Function::Floor | Function::Ceil, _))
            } else {
                part.as_variable().is_some()
            };
            if wanted && !spoken.contains(part) {
                outside.insert(part.clone());
            }
        });
    }
    for own in &outside {
        let bound = match own.node() {
            Node::Call(Function::Floor, u) => Some((Lemma::FloorBound, u)),
            Node::Call(Function::Ceil, u) => Some((Lemma::CeilBound, u)),
            _ => None,
        };
        if let Some((lemma, u)) = bound {
            work.take(Step::Lemma(lemma, vec![u.clone()]));
        }
        let within = |atom: &Expr| {
            let mut found = false;
            atom.visit(&mut |part| found |= part == own);
            found
        };
        let sides = |above: bool| -> Vec<(usize, Poly)> {
            let facts = work.context.facts().iter().enumerate();
            facts
                .filter_map(|(fact, (poly, sign))| {
                    let signed = matches!(sign, Sign::NonNegative | Sign::Positive);
                    if !signed || poly.count() > SHORT || poly.degree_in(own) != 1 {
                        return None;
                    }
                    let factor = poly.coefficients_in(own).pop()?;
                    let known = work.context.sign_of(&factor);
                    let fits = poly.atoms().iter().all(|atom| atom == own || !within(atom))
                        && if above { known.at_least } else { known.at_most };
                    let size = if above { factor } else { factor.negative() };
                    fits.then_some((fact, size))
                })
                .collect()
        };
        let (lower, upper) = (sides(true), sides(false));
        let mut news = 0;
        for (low, factor) in &lower {
            for (high, other) in &upper {
                if news == NEWS || !fuel.take(4) {
                    return;
                }
                let mut side = |fact: usize, size: &Poly| match size.as_constant() {
                    Some(value) => Some(Term {
                        coefficient: value,
                        ..fact_term(vec![fact])
                    }),
                    None => {
                        let size = place(work, size, Sign::NonNegative)?;
                        Some(fact_term(vec![fact, size]))
                    }
                };
                let terms = [side(*low, other), side(*high, factor)];
                if let [Some(first), Some(second)] = terms {
                    work.take(Step::Combine(vec![first, second], Vec::new()));
                    news += 1;
                }
            }
        }
    }
}

/// The sine and the cosine of one angle in a target that is linear or quadratic in them.
struct Angle {
    sine: Expr,
    cosine: Expr,
}

fn angles(target: &Poly) -> Vec<Angle> {
    let atoms = target.atoms();
    let cosines = atoms.into_iter().filter_map(|cosine| match cosine.node() {
        Node::Call(Function::Cos, inner) => Some(Angle {
            sine: inner.call(Function::Sin),
            cosine: cosine.clone(),
        }),
        _ => None,
    });
    cosines.collect()
}

/// C + A sin u + B cos u by C² ≥ (A sin u + B cos u)², and α + β sin² u + γ sin u cos u by
/// completing the square: 4 α times it is (2 α cos u + γ sin u)² + (4 α (α + β) − γ²) sin² u.
pub(super) fn by_circle(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    depth > 1
        && angles(target).iter().any(|angle| {
            linear_in(work, target, sign, angle, depth, fuel)
                || quadratic_in(work, target, sign, angle, depth, fuel)
        })
}

fn linear_in(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    angle: &Angle,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    let coefficients = target.coefficients_in(&angle.cosine);
    let [rest, _] = coefficients.as_slice() else {
        return false;
    };
    let Some(larger) = rest.coefficients_in(&angle.sine).first().cloned() else {
        return false;
    };
    if target.degree_in(&angle.sine) != 1 || !work.context.sign_of(&larger).at_least {
        return false;
    }
    let smaller = larger.minus(target);
    let gap = larger.times(&larger).minus(&smaller.times(&smaller));
    let gap = work.context.reduced(&gap);
    let step = Step::Compare {
        larger: larger.to_expr(),
        smaller: smaller.to_expr(),
        power: 2,
    };
    let trial = &mut work.clone();
    let done = trial.allows(&gap, sign)
        && (gap.is_zero() || establish(trial, &gap, sign, depth - 1, fuel))
        && trial.take(step)
        && trial.knows(target, sign);
    if done {
        *work = trial.clone();
    }
    done
}

fn quadratic_in(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    angle: &Angle,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    let [sine, cosine] = [&angle.sine, &angle.cosine].map(|own| Poly::atom(own.clone()));
    let coefficients = target.coefficients_in(&angle.cosine);
    let [rest, mixed] = coefficients.as_slice() else {
        return false;
    };
    let (plain, crossed) = (
        rest.coefficients_in(&angle.sine),
        mixed.coefficients_in(&angle.sine),
    );
    let ([alpha, none, beta], [zero, gamma]) = (plain.as_slice(), crossed.as_slice()) else {
        return false;
    };
    if !none.is_zero() || !zero.is_zero() || !work.context.sign_of(alpha).has(Sign::Positive) {
        return false;
    }
    let two = RBig::from(2);
    let square = alpha.times(&cosine).scaled(&two).plus(&gamma.times(&sine));
    let left = alpha
        .times(&alpha.plus(beta))
        .scaled(&RBig::from(4))
        .minus(&gamma.times(gamma));
    let mut terms = vec![Term {
        squares: vec![square.to_expr()],
        ..fact_term(Vec::new())
    }];
    let trial = &mut work.clone();
    if !left.is_zero() {
        let squared = Term {
            squares: vec![angle.sine.clone()],
            ..fact_term(Vec::new())
        };
        match left.as_constant() {
            Some(value) if value.is_negative() => return false,
            Some(coefficient) => terms.push(Term {
                coefficient,
                ..squared
            }),
            None => {
                if !establish(trial, &left, Sign::NonNegative, depth - 1, fuel) {
                    return false;
                }
                let Some(own) = place(trial, &left, Sign::NonNegative) else {
                    return false;
                };
                terms.push(Term {
                    facts: vec![own],
                    ..squared
                });
            }
        }
    }
    let done = trial.take(Step::Combine(terms, Vec::new()))
        && (alpha.as_constant().is_some()
            || trial.take(Step::Divide(trial.len() - 1, alpha.to_expr())))
        && trial.knows(target, sign);
    if done {
        *work = trial.clone();
    }
    done
}
