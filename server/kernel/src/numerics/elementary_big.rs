//! Elementary functions of big floats, by fixed-point series with a proved error bound.
//!
//! All series run in fixed point with W fractional bits, W = precision + 64 + the bits lost to a
//! small result. A fixed-point multiplication or division errs by at most one unit 2^−W. The
//! number of steps of each series is below 2^12 for every precision up to 2^12 bits, argument
//! halvings and squarings multiply errors by less than 2^14, and reductions by a multiple k of
//! log 2 or π/2 are carried out with enough further bits that they add less than 2^8 units. The
//! sum stays below 2^33 units, so moving the result outward by 2^40 units gives a bound, and the
//! result keeps at least 24 bits more than the precision asked for.

use super::big::{Big, EXPONENT_LIMIT, shift_right};
use super::scalar::{Scalar, Toward};
use dashu::base::{Signed, UnsignedAbs};
use dashu::integer::{IBig, UBig};
use std::cmp::Ordering;
use std::sync::OnceLock;

/// Bits of the safety margin in units of the fixed point.
const MARGIN: usize = 40;

/// Arguments beyond 2^this give no information on sine and cosine.
const TRIGONOMETRIC_LIMIT: i64 = 4096;

/// A fixed-point number: value · 2^−width.
fn fixed(value: &Big, width: usize) -> IBig {
    let Some((mantissa, exponent)) = value.parts() else {
        return IBig::ZERO;
    };
    let shift = exponent + as_signed(width);
    let amount = usize::try_from(shift.unsigned_abs()).unwrap_or(0);
    if shift >= 0 {
        mantissa << amount
    } else {
        shift_right(mantissa, amount, Toward::Low)
    }
}

fn as_signed(width: usize) -> i64 {
    i64::try_from(width).unwrap_or(i64::MAX / 4)
}

/// The product of two fixed-point numbers, at most one unit off.
fn times(a: &IBig, b: &IBig, width: usize) -> IBig {
    shift_right(&(a * b), width, Toward::Low)
}

fn one(width: usize) -> IBig {
    IBig::ONE << width
}

/// A fixed-point result moved outward and rounded.
fn bound(value: &IBig, width: usize, scale: i64, toward: Toward, bits: u32) -> Big {
    let margin = IBig::ONE << MARGIN;
    let moved = match toward {
        Toward::Low => value - margin,
        Toward::High => value + margin,
    };
    Big::rounded(moved, scale - as_signed(width), toward, bits)
}

/// Fractional bits for a result of about the size of `value`.
fn width_for(value: &Big, bits: u32) -> usize {
    let lost = usize::try_from(-value.top().unwrap_or(0)).unwrap_or(0);
    bits as usize + 64 + lost.min(4096)
}

/// atanh(1/q) or atan(1/q) in fixed point, at most as many units off as it has terms.
fn inverse_arc(q: u32, hyperbolic: bool, width: usize) -> IBig {
    let square = IBig::from(q) * IBig::from(q);
    let mut power = one(width) / IBig::from(q);
    let mut total = power.clone();
    let mut k = 1u32;
    loop {
        power /= &square;
        if power.is_zero() {
            return total;
        }
        let term = &power / IBig::from(2 * k + 1);
        if hyperbolic || k.is_multiple_of(2) {
            total += term;
        } else {
            total -= term;
        }
        k += 1;
    }
}

/// Width up to which π is computed once: sines of many terms ask for it again and again.
const KEPT_WIDTH: usize = 1_024;

/// π in fixed point, rounded down.
fn pi_fixed(width: usize) -> IBig {
    static KEPT: OnceLock<IBig> = OnceLock::new();
    if width > KEPT_WIDTH {
        return pi_computed(width);
    }
    let kept = KEPT.get_or_init(|| pi_computed(KEPT_WIDTH));
    shift_right(kept, KEPT_WIDTH - width, Toward::Low)
}

/// π in fixed point (Machin: π/4 = 4 atan 1/5 − atan 1/239).
fn pi_computed(width: usize) -> IBig {
    let wide = width + 16;
    let quarter = inverse_arc(5, false, wide) * IBig::from(4) - inverse_arc(239, false, wide);
    shift_right(&(quarter * IBig::from(4)), 16, Toward::Low)
}

/// log 2 = 2 atanh(1/3) in fixed point.
fn log2_fixed(width: usize) -> IBig {
    let wide = width + 16;
    shift_right(
        &(inverse_arc(3, true, wide) * IBig::from(2)),
        16,
        Toward::Low,
    )
}

pub(super) fn pi(toward: Toward, bits: u32) -> Big {
    let width = bits as usize + 64;
    bound(&pi_fixed(width), width, 0, toward, bits)
}

pub(super) fn exp(x: &Big, toward: Toward, bits: u32) -> Big {
    let Some(top) = x.top() else {
        return match x.parts() {
            Some(_) => Big::small(1),
            None if x.sign() == Ordering::Greater => Big::infinity(true),
            None => Big::zero(),
        };
    };
    if top > 18 {
        // |x| ≥ 2^18 > log 2^EXPONENT_LIMIT: the result is out of range.
        let large = x.sign() == Ordering::Greater;
        let edge = Big::rounded(IBig::ONE, EXPONENT_LIMIT - 1, Toward::Low, bits);
        let tiny = Big::rounded(IBig::ONE, -EXPONENT_LIMIT, Toward::High, bits);
        return match (large, toward) {
            (true, Toward::Low) => edge,
            (true, Toward::High) => Big::infinity(true),
            (false, Toward::Low) => Big::zero(),
            (false, Toward::High) => tiny,
        };
    }
    let width = bits as usize + 64;
    let wide = width + 24;
    let argument = fixed(x, wide);
    let log2 = log2_fixed(wide);
    let k = floor_divide(&argument, &log2);
    let rest = shift_right(&(argument - &k * &log2), 24, Toward::Low);
    // e^rest = (e^(rest / 2^8))^(2^8)
    let reduced = shift_right(&rest, 8, Toward::Low);
    let mut term = one(width);
    let mut total = term.clone();
    let mut n = 1u32;
    while !term.is_zero() {
        term = times(&term, &reduced, width) / IBig::from(n);
        total += &term;
        n += 1;
    }
    for _ in 0..8 {
        total = times(&total, &total, width);
    }
    let scale = i64::try_from(k).unwrap_or(0);
    bound(&total, width, scale, toward, bits)
}

fn floor_divide(a: &IBig, b: &IBig) -> IBig {
    let quotient = a / b;
    if (&quotient * b) != *a && (a.is_negative() != b.is_negative()) {
        quotient - IBig::ONE
    } else {
        quotient
    }
}

pub(super) fn log(x: &Big, toward: Toward, bits: u32) -> Big {
    if x.sign() != Ordering::Greater {
        return Big::infinity(false);
    }
    let (Some((mantissa, exponent)), Some(top)) = (x.parts(), x.top()) else {
        return Big::infinity(true);
    };
    let one_exactly = x.order(&Big::small(1)) == Ordering::Equal;
    if one_exactly {
        return Big::zero();
    }
    // x = m 2^k with m in [3/4, 3/2), so that k = 0 near 1 and nothing cancels.
    let halved = Big::rounded(mantissa.clone(), exponent - top, Toward::Low, u32::MAX);
    let three_quarters = Big::rounded(IBig::from(3), -2, Toward::Low, bits);
    let (m, k) = if halved.order(&three_quarters) == Ordering::Less {
        (
            Big::rounded(mantissa.clone(), exponent - top + 1, Toward::Low, u32::MAX),
            top - 1,
        )
    } else {
        (halved, top)
    };
    let distance = m.add(&Big::small(-1), Toward::Low, u32::MAX / 2);
    let width = if k == 0 {
        width_for(&distance, bits)
    } else {
        bits as usize + 64
    };
    let near = fixed(&distance, width);
    let z = (&near << width) / (&near + one(width) * IBig::from(2));
    let square = times(&z, &z, width);
    let mut power = z.clone();
    let mut total = z;
    let mut n = 3u32;
    loop {
        power = times(&power, &square, width);
        let term = &power / IBig::from(n);
        // Rounding towards −∞ never reaches 0 from below.
        if term.is_zero() || term == IBig::NEG_ONE {
            break;
        }
        total += term;
        n += 2;
    }
    let mut value = total * IBig::from(2);
    if k != 0 {
        let wide = width + 24;
        value += shift_right(&(log2_fixed(wide) * IBig::from(k)), 24, Toward::Low);
    }
    bound(&value, width, 0, toward, bits)
}

/// sin x, or cos x.
pub(super) fn sin(x: &Big, cosine: bool, toward: Toward, bits: u32) -> Big {
    let Some(top) = x.top() else {
        let at_zero = x.parts().is_some();
        return match (at_zero, cosine, toward) {
            (true, true, _) => Big::small(1),
            (true, false, _) => Big::zero(),
            (false, _, Toward::Low) => Big::small(-1),
            (false, _, Toward::High) => Big::small(1),
        };
    };
    if top > TRIGONOMETRIC_LIMIT {
        return Big::small(if toward == Toward::Low { -1 } else { 1 });
    }
    let width = if cosine {
        bits as usize + 64
    } else {
        width_for(x, bits)
    };
    let extra = usize::try_from(top).unwrap_or(0) + 16;
    let wide = width + extra;
    let argument = fixed(x, wide);
    let half_pi = shift_right(&pi_fixed(wide + 1), 2, Toward::Low);
    let k = floor_divide(
        &(&argument * IBig::from(2) + &half_pi),
        &(&half_pi * IBig::from(2)),
    );
    let rest = shift_right(&(argument - &k * &half_pi), extra, Toward::Low);
    let quadrant = i64::try_from(&k % IBig::from(4)).unwrap_or(0).rem_euclid(4) + i64::from(cosine);
    let square = times(&rest, &rest, width);
    let along_sine = quadrant % 2 == 0;
    let mut term = if along_sine { rest } else { one(width) };
    let mut total = term.clone();
    let mut n = if along_sine { 2u32 } else { 1 };
    loop {
        term = -(times(&term, &square, width) / IBig::from(n * (n + 1)));
        if (&term).unsigned_abs() <= UBig::ONE {
            break;
        }
        total += &term;
        n += 2;
    }
    if quadrant % 4 >= 2 {
        total = -total;
    }
    let value = bound(&total, width, 0, toward, bits);
    value.lesser(&Big::small(1)).greater(&Big::small(-1))
}

pub(super) fn atan(x: &Big, toward: Toward, bits: u32) -> Big {
    if x.is_infinite() {
        let half = half_pi(
            if x.sign() == Ordering::Greater {
                toward
            } else {
                toward.opposite()
            },
            bits,
        );
        return if x.sign() == Ordering::Greater {
            half
        } else {
            half.negated()
        };
    }
    match x.sign() {
        Ordering::Equal => return Big::zero(),
        Ordering::Less => return atan(&x.negated(), toward.opposite(), bits).negated(),
        Ordering::Greater => {}
    }
    if x.order(&Big::small(1)) == Ordering::Greater {
        // atan x = π/2 − atan(1/x)
        let inverse = Big::small(1).div(x, toward.opposite(), bits + 32);
        let rest = atan(&inverse, toward.opposite(), bits + 16);
        return half_pi(toward, bits + 16).add(&rest.negated(), toward, bits);
    }
    let width = width_for(x, bits);
    let mut value = fixed(x, width);
    // Three halvings: atan x = 2 atan(x / (1 + √(1 + x²))).
    for _ in 0..3 {
        let square = times(&value, &value, width);
        let radicand: UBig = ((one(width) + square) << width).unsigned_abs();
        let root = IBig::from(radicand.nth_root(2));
        value = (&value << width) / (one(width) + root);
    }
    let square = times(&value, &value, width);
    let mut power = value.clone();
    let mut total = value;
    let mut n = 3u32;
    loop {
        power = -times(&power, &square, width);
        let term = &power / IBig::from(n);
        if (&term).unsigned_abs() <= UBig::ONE {
            break;
        }
        total += term;
        n += 2;
    }
    bound(&(total << 3usize), width, 0, toward, bits)
}

fn half_pi(toward: Toward, bits: u32) -> Big {
    pi(toward, bits + 8).mul(&Big::rounded(IBig::ONE, -1, toward, bits), toward, bits)
}

pub(super) fn asin(x: &Big, toward: Toward, bits: u32) -> Big {
    match x.sign() {
        Ordering::Equal => return Big::zero(),
        Ordering::Less => return asin(&x.negated(), toward.opposite(), bits).negated(),
        Ordering::Greater => {}
    }
    if x.order(&Big::small(1)) != Ordering::Less {
        return half_pi(toward, bits);
    }
    // asin x = atan(x / √((1 − x)(1 + x))), increasing in every rounding made towards `toward`.
    let wide = bits + 32;
    let back = toward.opposite();
    let below = Big::small(1).add(&x.negated(), back, wide);
    let above = Big::small(1).add(x, back, wide);
    let root = below.mul(&above, back, wide).root(2, back, wide);
    if root.sign() == Ordering::Equal {
        return half_pi(toward, bits);
    }
    atan(&x.div(&root, toward, wide), toward, bits)
}

pub(super) fn sinh(x: &Big, toward: Toward, bits: u32) -> Big {
    match x.sign() {
        Ordering::Equal => return Big::zero(),
        Ordering::Less => return sinh(&x.negated(), toward.opposite(), bits).negated(),
        Ordering::Greater => {}
    }
    if x.is_infinite() {
        return x.clone();
    }
    // (e^x − e^−x) / 2 with the bits that cancellation costs.
    let lost = u32::try_from(-x.top().unwrap_or(0)).unwrap_or(0).min(4096);
    let wide = bits + lost + 16;
    let rise = x.exp(toward, wide);
    let fall = x.negated().exp(toward.opposite(), wide);
    let half = Big::rounded(IBig::ONE, -1, toward, bits);
    let difference = rise.add(&fall.negated(), toward, wide);
    difference.greater(&Big::zero()).mul(&half, toward, bits)
}

pub(super) fn tanh(x: &Big, toward: Toward, bits: u32) -> Big {
    match x.sign() {
        Ordering::Equal => return Big::zero(),
        Ordering::Less => return tanh(&x.negated(), toward.opposite(), bits).negated(),
        Ordering::Greater => {}
    }
    // 1 − 2/(e^2x + 1), increasing in e^2x.
    let lost = u32::try_from(-x.top().unwrap_or(0)).unwrap_or(0).min(4096);
    let wide = bits + lost + 16;
    let doubled = x.add(x, toward, wide);
    let power = doubled.exp(toward, wide).add(&Big::small(1), toward, wide);
    let part = Big::small(2).div(&power, toward.opposite(), wide);
    Big::small(1)
        .add(&part.negated(), toward, bits)
        .lesser(&Big::small(1))
        .greater(&Big::zero())
}
