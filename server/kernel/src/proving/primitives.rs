//! Exact primitives of terms: G with G(k) − G(k + 1) = t(k), for polynomials times powers and for
//! fractions that come apart.

use super::guesses::nice;
use super::sample;
use super::work::Work;
use crate::expr::{Expr, Function, Node, Relation, Symbol};
use crate::recheck::{Poly, parts};
use dashu::rational::RBig;

/// Highest degree of a polynomial before a power.
const DEGREE: usize = 4;
/// Greatest distance of the two factors of a denominator.
const DISTANCE: i64 = 6;

/// Exact primitives of the term of a sum.
pub(super) fn exact(
    work: &Work,
    index: &Symbol,
    limits: (&Expr, Option<&Expr>),
    body: &Expr,
) -> Vec<Expr> {
    let mut all = polynomial_times_power(work, index, limits, body);
    all.extend(partial_fractions(work, index, limits, body));
    all.extend(circular(work, index, limits, body));
    all
}

/// p(k) q^k = r(k) q^k − r(k + 1) q^(k + 1) with a polynomial r of the same degree.
fn polynomial_times_power(
    work: &Work,
    index: &Symbol,
    limits: (&Expr, Option<&Expr>),
    body: &Expr,
) -> Vec<Expr> {
    let Some((inner, own)) = parts::inside(&work.context, index, limits, &[body]) else {
        return Vec::new();
    };
    let mut bases: Vec<Expr> = Vec::new();
    body.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && exponent.mentions(index)
            && !base.mentions(index)
            && !bases.contains(base)
        {
            bases.push(base.clone());
        }
    });
    let (k, one) = (Expr::variable(index), Expr::integer(1));
    let ratios = bases.iter().flat_map(|base| {
        let inverse = one.over(base);
        [
            (base.clone(), base.power(&k), one.over(&base.power(&k))),
            (inverse, one.over(&base.power(&k)), base.power(&k)),
        ]
    });
    ratios
        .filter_map(|(ratio, power, against)| {
            let rest = body.times(&against).substitute(index, &own);
            let rest = inner.normal(&rest)?.as_poly()?.clone();
            let coefficients = rest.coefficients_in(&own);
            let free = coefficients.iter().all(|own_part| {
                let name = own.as_variable();
                let mut atoms = own_part.atoms().into_iter();
                atoms.all(|atom| name.is_none_or(|name| !atom.mentions(name)))
            });
            (free && (2..=DEGREE).contains(&coefficients.len()))
                .then(|| solved(&coefficients, &ratio, &k).times(&power))
        })
        .collect()
}

/// |t(k)| ≤ q^k = q^k/(1 − q) − q^(k + 1)/(1 − q) for the numerals q < 1 whose powers
/// stand there, and that bound the size of a base.
pub(super) fn geometric(
    work: &Work,
    index: &Symbol,
    body: &Expr,
    finite: bool,
) -> Vec<(Expr, Relation)> {
    let (k, one) = (Expr::variable(index), Expr::integer(1));
    let mut all: Vec<(Expr, Relation)> = Vec::new();
    body.visit(&mut |part| {
        let Node::Pow(base, exponent) = part.node() else {
            return;
        };
        // A base of unknown sign is at most its size.
        let sized = || {
            let own = base.as_variable().filter(|own| *own != index)?;
            let range = work.context.range_of_atom(&Expr::variable(own).abs());
            let both = || {
                let range = work.context.range_of_atom(base);
                let (low, high) = (-range.low?.0, range.high?.0);
                Some(low.max(high))
            };
            let high = range.high.map(|(high, _)| high).or_else(both);
            high.filter(|high| *high < RBig::ONE)
        };
        let value = base.as_number().or_else(sized);
        let Some(value) = value.filter(|_| exponent.mentions(index)) else {
            return;
        };
        if value <= RBig::ZERO || value.is_one() {
            return;
        }
        if base.as_number().is_none() {
            // The powers of the greatest size.
            let most = Expr::number(value.clone()).power(&k);
            let bound = most.over(&Expr::number(RBig::ONE - &value));
            all.push((bound.clone(), Relation::GreaterEqual));
            if finite {
                all.push((bound.negative(), Relation::LessEqual));
            }
        }
        let (ratio, power) = if value < RBig::ONE {
            (value, base.power(&k))
        } else {
            (RBig::ONE / value, one.over(&base.power(&k)))
        };
        let bound = power.over(&Expr::number(RBig::ONE - ratio));
        let bound = match factor(work, index, &body.over(&power)) {
            Some(factor) => factor.times(&bound),
            None => bound,
        };
        all.push((bound.clone(), Relation::GreaterEqual));
        if finite {
            all.push((bound.negative(), Relation::LessEqual));
        }
    });
    all
}

/// A number above the size of a quotient of terms, if that is more than 1.
fn factor(work: &Work, index: &Symbol, quotient: &Expr) -> Option<Expr> {
    let mut largest = 1.0_f64;
    for at in work.points.iter() {
        for k in [1.0, 2.0, 3.0, 7.0, 12.0] {
            let mut at = at.clone();
            at.insert(index.clone(), k);
            largest = largest.max(sample::value(quotient, &at).abs());
        }
    }
    let more = 1.000_001 < largest;
    more.then(|| nice(largest).map(Expr::number))?
}

/// Terms t(k) = (−1)^k a(k) with a falling to what is not negative: (t + a)/2 and (t − a)/2 change by
/// at least and at most t, since (a(k) − a(k + 1))(1 ∓ (−1)^k) is not negative.
pub(super) fn alternating(index: &Symbol, body: &Expr) -> Vec<(Expr, Relation)> {
    let mut sign = None;
    body.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && base.as_number() == Some(RBig::NEG_ONE)
            && exponent.mentions(index)
        {
            sign = Some(part.clone());
        }
    });
    let Some(sign) = sign else {
        return Vec::new();
    };
    let (size, half) = (body.times(&sign), Expr::ratio(1, 2));
    vec![
        (half.times(&body.plus(&size)), Relation::GreaterEqual),
        (half.times(&body.minus(&size)), Relation::LessEqual),
    ]
}

/// 1/(k + a) below the area under 1/t from k + a − 1 and from k + a − 1/2 on, and above that of
/// trapezoids and of what comes after.
pub(super) fn logarithmic(
    work: &Work,
    index: &Symbol,
    limits: (&Expr, Option<&Expr>),
    body: &Expr,
) -> Vec<(Expr, Relation)> {
    let reciprocal = || {
        let (inner, own) = parts::inside(&work.context, index, limits, &[body])?;
        let form = inner.normal(&body.substitute(index, &own))?;
        let top = form.numerator().as_constant()?;
        let mut factors = form.denominator().iter();
        let (Some((factor, 1)), None) = (factors.next(), factors.next()) else {
            return None;
        };
        let coefficients = factor.coefficients_in(&own);
        let [shift, slope] = coefficients.as_slice() else {
            return None;
        };
        let slope = slope.as_constant()?;
        let name = own.as_variable()?;
        let free = shift.atoms().iter().all(|atom| !atom.mentions(name));
        (free && top > RBig::ZERO).then(|| {
            let shift = shift.scaled(&(RBig::ONE / &slope)).to_expr();
            (top / slope, Expr::variable(index).plus(&shift))
        })
    };
    let Some((c, place)) = reciprocal() else {
        return Vec::new();
    };
    let (c, one, half) = (Expr::number(c), Expr::integer(1), Expr::ratio(1, 2));
    let area = |from: &Expr| c.times(&from.call(Function::Log)).negative();
    let before = place.minus(&one);
    let trapezoid = area(&before).minus(&c.times(&half).over(&before));
    vec![
        (area(&before), Relation::GreaterEqual),
        (area(&place.minus(&half)), Relation::GreaterEqual),
        (area(&place), Relation::LessEqual),
        (trapezoid, Relation::LessEqual),
    ]
}

/// k^(−e) below the area (k − 1)^(1 − e)/(e − 1) under t^(−e) from k − 1 on.
pub(super) fn power_area(index: &Symbol, body: &Expr) -> Vec<(Expr, Relation)> {
    let (k, one) = (Expr::variable(index), Expr::integer(1));
    let mut exponents: Vec<Expr> = Vec::new();
    body.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && *base == k
            && !exponent.variables().is_empty()
            && !exponent.mentions(index)
        {
            exponents.push(exponent.clone());
        }
    });
    exponents
        .into_iter()
        .map(|exponent| {
            let before = k.minus(&one).power(&one.minus(&exponent));
            (before.over(&exponent.minus(&one)), Relation::GreaterEqual)
        })
        .collect()
}

/// 2 sin(h/2) sin u = cos(u − h/2) − cos(u + h/2) for an angle u that grows by h, cos u likewise.
fn circular(
    work: &Work,
    index: &Symbol,
    limits: (&Expr, Option<&Expr>),
    body: &Expr,
) -> Option<Expr> {
    let (inner, own) = parts::inside(&work.context, index, limits, &[body])?;
    let form = inner.normal(&body.substitute(index, &own))?;
    let (monomial, factor) = form.as_poly()?.single()?;
    let name = own.as_variable()?;
    let moving = |(atom, _): &&(Expr, u32)| atom.mentions(name);
    let mut all = monomial.factors().iter().filter(moving);
    let (Some((atom, 1)), None) = (all.next(), all.next()) else {
        return None;
    };
    let Node::Call(function, angle) = atom.node() else {
        return None;
    };
    let coefficients = inner.normal(angle)?.as_poly()?.coefficients_in(&own);
    let [rest, step] = coefficients.as_slice() else {
        return None;
    };
    let still = |part: &Poly| part.atoms().iter().all(|atom| !atom.mentions(name));
    (still(rest) && still(step)).then_some(())?;
    let half = step.scaled(&(RBig::ONE / RBig::from(2))).to_expr();
    let before = angle.substitute(name, &Expr::variable(index)).minus(&half);
    let turned = match function {
        Function::Sin => before.call(Function::Cos),
        Function::Cos => before.call(Function::Sin).negative(),
        _ => return None,
    };
    let beside = Poly::monomial(monomial.clone())
        .divided(&Poly::atom(atom.clone()))?
        .scaled(factor)
        .to_expr();
    let below = Expr::integer(2).times(&half.call(Function::Sin));
    Some(beside.times(&turned).over(&below))
}

/// r with r(k) − q r(k + 1) = p(k): (1 − q) r_j = p_j + q Σ_{i>j} C(i, j) r_i.
fn solved(coefficients: &[Poly], ratio: &Expr, k: &Expr) -> Expr {
    let below = Expr::integer(1).minus(ratio);
    let mut found: Vec<Expr> = Vec::new();
    for (j, own) in coefficients.iter().enumerate().rev() {
        // `found` holds r_d, …, r_(j+1).
        let degree = coefficients.len() - 1;
        let carried = found.iter().enumerate().map(|(place, r)| {
            let i = degree - place;
            let times = binomial(i, j);
            Expr::product_of(vec![Expr::number(times), ratio.clone(), r.clone()])
        });
        let mut terms = vec![own.to_expr()];
        terms.extend(carried);
        found.push(Expr::sum_of(terms).over(&below));
    }
    let terms = found.iter().rev().enumerate().map(|(j, r)| match j {
        0 => r.clone(),
        1 => r.times(k),
        _ => r.times(&k.power(&Expr::integer(i64::try_from(j).unwrap_or(0)))),
    });
    Expr::sum_of(terms.collect())
}

fn binomial(above: usize, below: usize) -> RBig {
    (0..below).fold(RBig::ONE, |product, step| {
        product * RBig::from(above - step) / RBig::from(step + 1)
    })
}

/// c/((k + a)(k + b)) with b − a = d: c/d times the sum of 1/(k + a + i) for i below d.
fn partial_fractions(
    work: &Work,
    index: &Symbol,
    limits: (&Expr, Option<&Expr>),
    body: &Expr,
) -> Option<Expr> {
    let (inner, own) = parts::inside(&work.context, index, limits, &[body])?;
    let form = inner.normal(&body.substitute(index, &own))?;
    let top = form.numerator().as_constant()?;
    let mut scale = RBig::ONE;
    let mut shifts = Vec::new();
    for (factor, power) in form.denominator() {
        let coefficients = factor.univariate(&own)?;
        let [shift, slope] = coefficients.as_slice() else {
            return None;
        };
        if *power != 1 || slope.is_zero() {
            return None;
        }
        scale *= slope;
        shifts.push(shift / slope);
    }
    shifts.sort();
    let [low, high] = shifts.as_slice() else {
        return None;
    };
    let distance = i64::try_from((high - low).numerator().clone()).ok()?;
    if RBig::from(distance) != high - low || !(2..=DISTANCE).contains(&distance) {
        return None;
    }
    let k = Expr::variable(index);
    let parts = (0..distance).map(|step| {
        let shift = Expr::number(low + RBig::from(step));
        Expr::integer(1).over(&k.plus(&shift))
    });
    let factor = top / scale / RBig::from(distance);
    Some(Expr::number(factor).times(&Expr::sum_of(parts.collect())))
}
