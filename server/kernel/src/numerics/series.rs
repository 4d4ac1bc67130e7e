//! Bounds of infinite sums whose terms are products of powers, geometric factors, polynomials of
//! the index and factorials.
//!
//! The first terms are added one by one. The rest is bounded by comparison: with a geometric
//! series where the quotient of neighbouring terms stays below 1, with Σ k^−p where the terms
//! are polynomial, or by Leibniz' test. Everything else stays unknown.

use super::enclose::{Ball, Definedness, Evaluator};
use super::interval::Interval;
use super::scalar::Scalar;
use crate::expr::{Expr, Function, Node, Symbol};
use crate::limits;
use dashu::base::Signed;
use dashu::rational::RBig;
use std::cmp::Ordering;

/// The shape of a term t(k): constant · ratio^k · Π polynomial(k)^power · Π (slope k + shift)!^power.
struct Shape<S> {
    ratio: Ball<S>,
    /// Coefficients (constant first) and exponent.
    polynomials: Vec<(Vec<RBig>, RBig)>,
    /// Slope, shift, exponent.
    factorials: Vec<(u32, RBig, RBig)>,
}

/// Σ body for index ≥ from.
pub(super) fn series<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    index: &Symbol,
    from: &Expr,
    body: &Expr,
) -> Ball<S> {
    let start = evaluator.ball(from);
    let Some(first) = start.exact.clone().filter(RBig::is_int) else {
        return Ball::unknown().provided(start.definedness);
    };
    if !body.mentions(index) {
        let term = evaluator.ball(body);
        return if term.exact.as_ref().is_some_and(RBig::is_zero) {
            term
        } else {
            Ball::unknown()
        };
    }
    let mut shape = Shape {
        ratio: evaluator.exactly(RBig::ONE),
        polynomials: Vec::new(),
        factorials: Vec::new(),
    };
    if read_shape(evaluator, index, body, &RBig::ONE, &mut shape).is_none() {
        return Ball::unknown();
    }
    add_up(evaluator, index, first, body, &shape)
        .unwrap_or_else(Ball::unknown)
        .provided(start.definedness)
}

/// Reads `body ^ exponent` into the shape.
fn read_shape<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    index: &Symbol,
    body: &Expr,
    exponent: &RBig,
    shape: &mut Shape<S>,
) -> Option<()> {
    if !body.mentions(index) {
        return Some(());
    }
    if let Some(coefficients) = polynomial(evaluator, body, index) {
        shape.polynomials.push((coefficients, exponent.clone()));
        return Some(());
    }
    match body.node() {
        // 1/(k − 1) − 1/k over one denominator.
        Node::Add(_) => {
            let (above, below) = fraction(evaluator, body, index)?;
            shape.polynomials.push((above, exponent.clone()));
            shape.polynomials.push((below, -exponent.clone()));
            Some(())
        }
        Node::Mul(factors) => factors
            .iter()
            .try_for_each(|factor| read_shape(evaluator, index, factor, exponent, shape)),
        Node::Neg(inner) if exponent.is_int() => {
            read_shape(evaluator, index, inner, exponent, shape)
        }
        Node::Div(numerator, denominator) => {
            read_shape(evaluator, index, numerator, exponent, shape)?;
            read_shape(evaluator, index, denominator, &-exponent.clone(), shape)
        }
        Node::Root(degree, inner) => {
            let exponent = exponent / RBig::from(*degree);
            read_shape(evaluator, index, inner, &exponent, shape)
        }
        Node::Pow(base, power) if !power.mentions(index) => {
            let power = evaluator.ball(power).exact?;
            read_shape(evaluator, index, base, &(power * exponent), shape)
        }
        Node::Pow(base, power) if !base.mentions(index) => {
            let slope = linear(evaluator, power, index)?.1;
            let base = evaluator.ball(base);
            geometric(evaluator, base, &(slope * exponent), shape)
        }
        Node::Call(Function::Exp, power) => {
            let slope = linear(evaluator, power, index)?.1;
            let e = evaluator.ball(&Expr::integer(1).call(Function::Exp));
            geometric(evaluator, e, &(slope * exponent), shape)
        }
        Node::Call(Function::Factorial, argument) => {
            let (shift, slope) = linear(evaluator, argument, index)?;
            if !slope.is_int() || !shift.is_int() || !exponent.is_int() {
                return None;
            }
            let slope = u32::try_from(slope.numerator().clone()).ok()?;
            if slope == 0 || slope > 4 {
                return None;
            }
            shape.factorials.push((slope, shift, exponent.clone()));
            Some(())
        }
        _ => None,
    }
}

/// Multiplies the shape's ratio by base ^ exponent.
fn geometric<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    base: Ball<S>,
    exponent: &RBig,
    shape: &mut Shape<S>,
) -> Option<()> {
    if base.definedness != Definedness::Defined {
        return None;
    }
    let factor = if exponent.is_int() {
        let exact = base.exact.as_ref().and_then(|value| {
            if value.is_zero() {
                return None;
            }
            super::power::short_power(value, exponent.numerator(), evaluator.exact_bits)
        });
        match exact {
            Some(exact) => evaluator.exactly(exact),
            None if base.interval.contains_zero() && exponent.is_negative() => return None,
            None => Ball::of(
                base.interval
                    .integer_power(exponent.numerator(), evaluator.context),
                Definedness::Defined,
            ),
        }
    } else if base.interval.is_positive() {
        let exponent = Interval::ratio(exponent, evaluator.context);
        Ball::of(
            base.interval.real_power(&exponent, evaluator.context),
            Definedness::Defined,
        )
    } else {
        return None;
    };
    shape.ratio = evaluator.multiply(shape.ratio.clone(), factor);
    Some(())
}

/// The coefficients of a polynomial of the index, constant first, all rational and known.
fn polynomial<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    expr: &Expr,
    index: &Symbol,
) -> Option<Vec<RBig>> {
    if expr.as_variable() == Some(index) {
        return Some(vec![RBig::ZERO, RBig::ONE]);
    }
    if !expr.mentions(index) {
        let value = evaluator.ball(expr);
        return (value.definedness == Definedness::Defined)
            .then_some(value.exact)
            .flatten()
            .map(|value| vec![value]);
    }
    match expr.node() {
        Node::Add(items) => {
            let mut total = Vec::new();
            for item in items {
                let item = polynomial(evaluator, item, index)?;
                total = add_polynomials(&total, &item);
            }
            Some(total)
        }
        Node::Mul(items) => {
            let mut total = vec![RBig::ONE];
            for item in items {
                let item = polynomial(evaluator, item, index)?;
                total = multiply_polynomials(&total, &item)?;
            }
            Some(total)
        }
        Node::Neg(inner) => Some(
            polynomial(evaluator, inner, index)?
                .into_iter()
                .map(|c| -c)
                .collect(),
        ),
        Node::Div(numerator, denominator) if !denominator.mentions(index) => {
            let divisor = evaluator.ball(denominator).exact.filter(|d| !d.is_zero())?;
            Some(
                polynomial(evaluator, numerator, index)?
                    .into_iter()
                    .map(|c| c / &divisor)
                    .collect(),
            )
        }
        Node::Pow(base, exponent) => {
            let k = exponent.as_number().filter(RBig::is_int)?;
            let k = u32::try_from(k.numerator().clone())
                .ok()
                .filter(|k| *k <= 16)?;
            let base = polynomial(evaluator, base, index)?;
            (0..k).try_fold(vec![RBig::ONE], |power, _| {
                multiply_polynomials(&power, &base)
            })
        }
        _ => None,
    }
}

/// A sum of fractions of polynomials of the index as one fraction: numerator and denominator.
fn fraction<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    expr: &Expr,
    index: &Symbol,
) -> Option<(Vec<RBig>, Vec<RBig>)> {
    if let Some(whole) = polynomial(evaluator, expr, index) {
        return Some((whole, vec![RBig::ONE]));
    }
    match expr.node() {
        Node::Add(items) => {
            let mut total = (vec![RBig::ZERO], vec![RBig::ONE]);
            for item in items {
                let (above, below) = fraction(evaluator, item, index)?;
                let left = multiply_polynomials(&total.0, &below)?;
                let right = multiply_polynomials(&above, &total.1)?;
                total = (
                    add_polynomials(&left, &right),
                    multiply_polynomials(&total.1, &below)?,
                );
            }
            Some(total)
        }
        Node::Mul(items) => {
            let mut total = (vec![RBig::ONE], vec![RBig::ONE]);
            for item in items {
                let (above, below) = fraction(evaluator, item, index)?;
                total = (
                    multiply_polynomials(&total.0, &above)?,
                    multiply_polynomials(&total.1, &below)?,
                );
            }
            Some(total)
        }
        Node::Neg(inner) => {
            let (above, below) = fraction(evaluator, inner, index)?;
            Some((above.into_iter().map(|c| -c).collect(), below))
        }
        Node::Div(numerator, denominator) => {
            let (above, under) = fraction(evaluator, numerator, index)?;
            let (over, below) = fraction(evaluator, denominator, index)?;
            Some((
                multiply_polynomials(&above, &below)?,
                multiply_polynomials(&under, &over)?,
            ))
        }
        _ => None,
    }
}

fn add_polynomials(a: &[RBig], b: &[RBig]) -> Vec<RBig> {
    (0..a.len().max(b.len()))
        .map(|i| a.get(i).cloned().unwrap_or(RBig::ZERO) + b.get(i).cloned().unwrap_or(RBig::ZERO))
        .collect()
}

fn multiply_polynomials(a: &[RBig], b: &[RBig]) -> Option<Vec<RBig>> {
    if a.len() + b.len() > 40 {
        return None;
    }
    let mut product = vec![RBig::ZERO; (a.len() + b.len()).saturating_sub(1)];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            product[i + j] += x * y;
        }
    }
    Some(product)
}

/// Constant and slope of an expression linear in the index; the constant may be irrational, then
/// it is given as 0 (only slopes of exponents matter).
fn linear<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    expr: &Expr,
    index: &Symbol,
) -> Option<(RBig, RBig)> {
    let mut coefficients = polynomial(evaluator, expr, index)?;
    while coefficients.len() > 2 && coefficients.last().is_some_and(RBig::is_zero) {
        coefficients.pop();
    }
    match coefficients.as_slice() {
        [constant, slope] => Some((constant.clone(), slope.clone())),
        _ => None,
    }
}

/// The degree of a polynomial and its quotient by k^degree for all k ≥ `from`, shifted by `step`:
/// polynomial(k + step) / k^degree, as polynomial in s = 1/k on [0, 1/from].
fn scaled<S: Scalar>(
    coefficients: &[RBig],
    step: u32,
    from: &RBig,
    context: S::Context,
) -> Interval<S> {
    let inverse = Interval::new(
        S::zero(),
        Interval::ratio(&(RBig::ONE / from), context).high,
    );
    let shifted = shift(coefficients, step);
    // Σ c_i s^(d−i): Horner with the constant coefficient innermost.
    let mut total = Interval::point(S::zero());
    for coefficient in &shifted {
        total = total
            .mul(&inverse, context)
            .add(&Interval::ratio(coefficient, context), context);
    }
    total
}

/// Coefficients of polynomial(k + step).
fn shift(coefficients: &[RBig], step: u32) -> Vec<RBig> {
    let mut shifted = coefficients.to_vec();
    for _ in 0..step {
        for start in 0..shifted.len() {
            for i in (start..shifted.len().saturating_sub(1)).rev() {
                let next = shifted[i + 1].clone();
                shifted[i] += next;
            }
        }
    }
    shifted
}

fn degree(coefficients: &[RBig]) -> usize {
    coefficients.iter().rposition(|c| !c.is_zero()).unwrap_or(0)
}

/// interval ^ exponent for an interval > 0.
fn positive_power<S: Scalar>(
    base: &Interval<S>,
    exponent: &RBig,
    context: S::Context,
) -> Option<Interval<S>> {
    if !base.is_positive() {
        return None;
    }
    Some(if exponent.is_int() {
        base.integer_power(exponent.numerator(), context)
    } else {
        base.real_power(&Interval::ratio(exponent, context), context)
    })
}

/// |t(k+1) / t(k)| and its sign for all k ≥ `from`.
fn quotient<S: Scalar>(shape: &Shape<S>, from: &RBig, context: S::Context) -> Option<Interval<S>> {
    let mut ratio = shape.ratio.interval.clone();
    for (coefficients, exponent) in &shape.polynomials {
        let trimmed = &coefficients[..=degree(coefficients)];
        let next = scaled::<S>(trimmed, 1, from, context);
        let here = scaled::<S>(trimmed, 0, from, context);
        if here.contains_zero() || next.contains_zero() {
            return None;
        }
        let step = next.div(&here, context);
        ratio = ratio.mul(&positive_power(&step, exponent, context)?, context);
    }
    for (slope, shift, exponent) in &shape.factorials {
        for j in 1..=*slope {
            let least = RBig::from(*slope) * from + shift + RBig::from(j);
            let low = Interval::<S>::ratio(&least, context).low;
            let factor = Interval::new(low, S::infinity(true));
            ratio = ratio.mul(&positive_power(&factor, exponent, context)?, context);
        }
    }
    Some(ratio)
}

fn add_up<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    index: &Symbol,
    first: RBig,
    body: &Expr,
    shape: &Shape<S>,
) -> Option<Ball<S>> {
    let context = evaluator.context;
    let pure = shape.polynomials.is_empty() && shape.factorials.is_empty();
    let mut total = evaluator.exactly(RBig::ZERO);
    let mut k = first;
    // Terms that are left for other sums too; the rest is bounded from wherever it begins.
    let most = u32::try_from(evaluator.terms_left / 2)
        .unwrap_or(u32::MAX)
        .min(limits::SERIES_TERMS);
    for count in 0..=most {
        let term = term_at(evaluator, index, &k, body)?;
        let positive = !k.is_zero() && !k.is_negative();
        // Ready to close: geometric at once, others when the rest is small or effort is spent.
        if pure {
            return geometric_rest(evaluator, &total, &term, shape);
        }
        let late = count == most;
        if positive && (late || count % 16 == 15) {
            let rest = tail(evaluator, &term, &k, shape);
            if let Some(rest) = rest
                && (late || is_negligible(&rest, &total.interval, context))
            {
                let definedness = total.definedness;
                return Some(Ball::of(total.interval.add(&rest, context), definedness));
            }
        }
        total = evaluator.add(total, term);
        k += RBig::ONE;
    }
    None
}

fn term_at<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    index: &Symbol,
    k: &RBig,
    body: &Expr,
) -> Option<Ball<S>> {
    evaluator.terms_left = evaluator.terms_left.checked_sub(1)?;
    evaluator.bound.push((index.clone(), k.clone()));
    let term = evaluator.ball(body);
    evaluator.bound.pop();
    (term.definedness == Definedness::Defined).then_some(term)
}

/// Whether the width of `rest` is below 2^−60 of the total.
fn is_negligible<S: Scalar>(rest: &Interval<S>, total: &Interval<S>, context: S::Context) -> bool {
    let width = rest.subtract(rest, context).high;
    let scale = Interval::ratio(&(RBig::ONE / RBig::from(1u64 << 60)), context);
    let size = total.abs().mul(&scale, context);
    width.order(&size.low) == Ordering::Less
}

/// Σ of a purely geometric series: t / (1 − r).
fn geometric_rest<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    total: &Ball<S>,
    term: &Ball<S>,
    shape: &Shape<S>,
) -> Option<Ball<S>> {
    let one = S::small(1);
    if shape.ratio.interval.abs().high.order(&one) != Ordering::Less {
        return None;
    }
    let rest = match (&term.exact, &shape.ratio.exact) {
        (Some(term), Some(ratio)) => evaluator.exactly(term / (RBig::ONE - ratio)),
        _ => {
            let gap = Interval::point(one).subtract(&shape.ratio.interval, evaluator.context);
            Ball::of(
                term.interval.div(&gap, evaluator.context),
                Definedness::Defined,
            )
        }
    };
    Some(evaluator.add(total.clone(), rest))
}

/// Σ t(j) for j ≥ k, given t(k).
fn tail<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    term: &Ball<S>,
    k: &RBig,
    shape: &Shape<S>,
) -> Option<Interval<S>> {
    let context = evaluator.context;
    let one = Interval::point(S::small(1));
    if let Some(ratio) = quotient(shape, k, context)
        && ratio.abs().high.order(&S::small(1)) == Ordering::Less
    {
        let bound = one.div(
            &one.subtract(&Interval::point(ratio.abs().high), context),
            context,
        );
        // 1 + r + r r' + …: the part after 1 is between ±q/(1 − q), or ≥ 0 for r ≥ 0.
        let after = bound.subtract(&one, context).high;
        let low = if ratio.low.sign() == Ordering::Less {
            after.negated()
        } else {
            S::zero()
        };
        let factor = one.add(&Interval::new(low, after), context);
        return Some(term.interval.mul(&factor, context));
    }
    if !shape.factorials.is_empty() {
        return None;
    }
    let power = shape
        .polynomials
        .iter()
        .fold(RBig::ZERO, |sum, (coefficients, exponent)| {
            sum - RBig::from(degree(coefficients)) * exponent
        });
    match &shape.ratio.exact {
        Some(ratio) if ratio.is_one() && power > RBig::ONE => {
            power_tail(term, k, &power, shape, context)
        }
        Some(ratio) if *ratio == RBig::NEG_ONE && power.is_positive() && decreases(shape) => {
            // Leibniz: the rest lies between 0 and its first term.
            Some(term.interval.hull(&Interval::point(S::zero())))
        }
        _ => None,
    }
}

/// Whether the polynomial part is surely decreasing for k > 0.
fn decreases<S>(shape: &Shape<S>) -> bool {
    shape.polynomials.iter().all(|(coefficients, exponent)| {
        coefficients.iter().all(|c| !c.is_negative()) && !exponent.is_positive()
    })
}

/// The rest of a series of terms k^−p m(k): Σ j^−p lies between ∫ + k^−p/2 and ∫ from k − 1/2
/// (trapezoids and midpoints of a convex function).
fn power_tail<S: Scalar>(
    term: &Ball<S>,
    k: &RBig,
    power: &RBig,
    shape: &Shape<S>,
    context: S::Context,
) -> Option<Interval<S>> {
    let mut all = Interval::point(S::small(1));
    let mut here = Interval::point(S::small(1));
    for (coefficients, exponent) in &shape.polynomials {
        let trimmed = &coefficients[..=degree(coefficients)];
        let lead = trimmed.last()?;
        let sign = |interval: Interval<S>| {
            if lead.is_negative() {
                interval.negated()
            } else {
                interval
            }
        };
        let over = sign(scaled::<S>(trimmed, 0, k, context));
        let at = trimmed
            .iter()
            .rev()
            .fold(RBig::ZERO, |value, c| value * k + c);
        let size = k.pow(isize::try_from(degree(trimmed)).ok()?);
        let at = sign(Interval::ratio(&(at / size), context));
        all = all.mul(&positive_power(&over, exponent, context)?, context);
        here = here.mul(&positive_power(&at, exponent, context)?, context);
    }
    let less_one = power - RBig::ONE;
    let integral = |from: &RBig| {
        let from = Interval::<S>::ratio(from, context);
        positive_power(&from, &-less_one.clone(), context)
            .map(|value| value.div(&Interval::ratio(&less_one, context), context))
    };
    let at_k = Interval::<S>::ratio(k, context);
    let half = RBig::ONE / RBig::from(2);
    let first = positive_power(&at_k, &-power.clone(), context)?;
    let low = integral(k)?
        .add(
            &first.mul(&Interval::ratio(&half, context), context),
            context,
        )
        .low;
    let high = integral(&(k - half))?.high;
    let sum = Interval::new(low, high);
    let factor = all
        .div(&here, context)
        .mul(&sum, context)
        .div(&first, context);
    Some(term.interval.mul(&factor, context))
}
