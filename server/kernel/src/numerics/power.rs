//! Powers: repeated multiplication for integer exponents, exp(v log u) for real ones.

use super::enclose::{Ball, Definedness, Evaluator};
use super::interval::Interval;
use super::scalar::Scalar;
use super::special::rational_root;
use crate::expr::{Constant, Expr, Node};
use crate::goal::is_integer;
use dashu::base::{BitTest, Signed};
use dashu::integer::IBig;
use dashu::rational::RBig;
use std::cmp::Ordering;

/// u^v. Where authors differ (a negative base under an exponent that happens to be an integer, or
/// a fraction with an odd denominator) definedness stays unknown, so that nothing is concluded.
pub(super) fn power<S: Scalar>(
    evaluator: &mut Evaluator<'_, S>,
    base: &Expr,
    exponent: &Expr,
) -> Ball<S> {
    let v = evaluator.ball(exponent);
    let integer = evaluator.integer_exponent(exponent);
    if matches!(base.node(), Node::Constant(Constant::E)) {
        if v.exact.as_ref().is_some_and(RBig::is_zero) {
            return evaluator.exactly(RBig::ONE).provided(v.definedness);
        }
        return Ball::of(v.interval.exp(evaluator.context), v.definedness);
    }
    let u = evaluator.ball(base);
    let definedness = u.definedness.and(v.definedness);
    let zero =
        u.interval.is_zero() || u.interval.contains_zero() && evaluator.is_exactly_zero(base);
    let value = match &v.exact {
        Some(value) if value.is_int() && integer => {
            integer_power(evaluator, &u, zero, value.numerator())
        }
        Some(value) => rational_power(evaluator, &u, zero, value),
        // Only by its form: √2 has no variables either.
        None if is_integer(exponent, &|name| evaluator.integer_variable(name)) => {
            unknown_integer_power(evaluator, &u, &v)
        }
        None => real_power(evaluator, &u, zero, &v),
    };
    value.provided(definedness)
}

fn integer_power<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    u: &Ball<S>,
    zero: bool,
    exponent: &IBig,
) -> Ball<S> {
    if exponent.is_zero() {
        return evaluator.exactly(RBig::ONE);
    }
    if zero {
        return if exponent.is_negative() {
            Ball::undefined()
        } else {
            evaluator.exactly(RBig::ZERO)
        };
    }
    if let Some(value) = &u.exact
        && let Some(exact) = short_power(value, exponent, evaluator.exact_bits)
    {
        return evaluator.exactly(exact);
    }
    let domain = if exponent.is_negative() && u.interval.contains_zero() {
        Definedness::Unknown
    } else {
        Definedness::Defined
    };
    Ball::of(
        u.interval.integer_power(exponent, evaluator.context),
        domain,
    )
}

/// value ^ exponent, unless it would be longer than `bits`. `value` is not 0.
pub(super) fn short_power(value: &RBig, exponent: &IBig, bits: usize) -> Option<RBig> {
    if value.is_one() {
        return Some(RBig::ONE);
    }
    if *value == RBig::NEG_ONE {
        return Some(if exponent.bit(0) {
            RBig::NEG_ONE
        } else {
            RBig::ONE
        });
    }
    let k = isize::try_from(exponent.clone()).ok()?;
    let length = value
        .numerator()
        .bit_len()
        .max(value.denominator().bit_len());
    if length.checked_mul(k.unsigned_abs())? > bits {
        return None;
    }
    Some(value.pow(k))
}

/// An exponent that is a known rational number but no integer by its form.
fn rational_power<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    u: &Ball<S>,
    zero: bool,
    exponent: &RBig,
) -> Ball<S> {
    let context = evaluator.context;
    if zero {
        return if exponent.is_zero() {
            Ball::of(Interval::point(S::small(1)), Definedness::Unknown)
        } else if exponent.is_negative() {
            Ball::undefined()
        } else {
            evaluator.exactly(RBig::ZERO)
        };
    }
    if exponent.is_int() {
        let value = integer_power(evaluator, u, false, exponent.numerator());
        return if u.interval.is_positive() {
            value
        } else {
            value.provided(Definedness::Unknown)
        };
    }
    let odd = exponent.denominator().bit(0);
    if u.interval.is_negative() {
        return if odd {
            Ball::unknown()
        } else {
            Ball::undefined()
        };
    }
    let domain = if u.interval.is_positive()
        || u.interval.low.sign() == Ordering::Equal && exponent.is_positive()
    {
        Definedness::Defined
    } else {
        Definedness::Unknown
    };
    if domain == Definedness::Unknown && odd && u.interval.low.sign() == Ordering::Less {
        return Ball::unknown();
    }
    let degree = u32::try_from(exponent.denominator().clone())
        .ok()
        .filter(|degree| *degree <= 64);
    let Some(degree) = degree else {
        let v = Interval::ratio(exponent, context);
        return Ball::of(u.interval.real_power(&v, context), domain);
    };
    if let Some(root) = u
        .exact
        .as_ref()
        .and_then(|value| rational_root(value, degree))
        && let Some(exact) = short_power(&root, exponent.numerator(), evaluator.exact_bits)
    {
        return evaluator.exactly(exact).provided(domain);
    }
    let root = u.interval.at_least(&S::zero()).root(degree, context);
    Ball::of(root.integer_power(exponent.numerator(), context), domain)
}

/// An integer exponent of which only bounds are known.
fn unknown_integer_power<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    u: &Ball<S>,
    v: &Ball<S>,
) -> Ball<S> {
    let context = evaluator.context;
    if u.interval.is_positive() {
        return Ball::of(
            u.interval.real_power(&v.interval, context),
            Definedness::Defined,
        );
    }
    if v.interval.low.sign() == Ordering::Less {
        return Ball::unknown();
    }
    let one = Interval::point(S::small(1));
    let size = u.interval.abs().real_power(&v.interval, context);
    let size = size.hull(&one).hull(&Interval::point(S::zero()));
    let value = if u.interval.low.sign() == Ordering::Less {
        size.hull(&size.negated())
    } else {
        size
    };
    Ball::of(value, Definedness::Defined)
}

fn real_power<S: Scalar>(
    evaluator: &Evaluator<'_, S>,
    u: &Ball<S>,
    zero: bool,
    v: &Ball<S>,
) -> Ball<S> {
    if zero {
        return if v.interval.is_positive() {
            evaluator.exactly(RBig::ZERO)
        } else if v.interval.is_negative() {
            Ball::undefined()
        } else {
            Ball::unknown()
        };
    }
    let domain = if u.interval.is_positive()
        || u.interval.low.sign() == Ordering::Equal && v.interval.is_positive()
    {
        Definedness::Defined
    } else if u.interval.low.sign() == Ordering::Less {
        return Ball::unknown();
    } else {
        Definedness::Unknown
    };
    Ball::of(
        u.interval.real_power(&v.interval, evaluator.context),
        domain,
    )
}
