//! Double-precision end points: exact where the result is a double, else at most one unit in the
//! last place outward. The elementary functions come correctly rounded from core-math.

use super::scalar::{Scalar, Toward};
use dashu::base::Approximation;
use dashu::integer::IBig;
use dashu::rational::RBig;
use std::cmp::Ordering;

/// Moves a correctly rounded result one unit outward.
#[inline]
fn outward(value: f64, toward: Toward) -> f64 {
    match toward {
        Toward::Low => value.next_down(),
        Toward::High => value.next_up(),
    }
}

/// Moves `value` outward unless `error`, the exact result minus `value` (up to sign-preserving
/// rounding), says that it is on the right side already.
#[inline]
fn corrected(value: f64, error: f64, toward: Toward) -> f64 {
    match toward {
        Toward::Low if error >= 0.0 => value,
        Toward::High if error <= 0.0 => value,
        _ => outward(value, toward),
    }
}

/// An overflow is +∞ as an upper bound and the largest double as a lower bound.
#[inline]
fn finite_side(value: f64, toward: Toward) -> f64 {
    if value == f64::INFINITY && toward == Toward::Low {
        f64::MAX
    } else if value == f64::NEG_INFINITY && toward == Toward::High {
        f64::MIN
    } else {
        value
    }
}

/// The exact error of a + b (Knuth's two-sum), valid while nothing overflows.
#[inline]
fn sum_error(a: f64, b: f64, sum: f64) -> f64 {
    let b_part = sum - a;
    let a_part = sum - b_part;
    (a - a_part) + (b - b_part)
}

/// Results below this may have lost their exact error to underflow.
const SAFE_PRODUCT: f64 = 1e-280;

/// A function's value one unit outward, kept inside [low, high] where the function's range ends
/// there.
#[inline]
fn within(value: f64, toward: Toward, low: f64, high: f64) -> f64 {
    outward(value, toward).max(low).min(high)
}

impl Scalar for f64 {
    type Context = ();

    fn infinity(positive: bool) -> Self {
        if positive {
            f64::INFINITY
        } else {
            f64::NEG_INFINITY
        }
    }

    fn zero() -> Self {
        0.0
    }

    fn small(value: i32) -> Self {
        f64::from(value)
    }

    fn ratio(value: &RBig, toward: Toward, (): ()) -> Self {
        match value.to_f64() {
            Approximation::Exact(double) => double,
            Approximation::Inexact(double, _) => outward(finite_side(double, toward), toward),
        }
    }

    fn exact(&self) -> Option<RBig> {
        RBig::try_from(*self).ok()
    }

    fn order(&self, other: &Self) -> Ordering {
        self.partial_cmp(other).unwrap_or(Ordering::Equal)
    }

    fn is_infinite(&self) -> bool {
        f64::is_infinite(*self)
    }

    fn negated(&self) -> Self {
        -self
    }

    fn add(&self, other: &Self, toward: Toward, (): ()) -> Self {
        let sum = self + other;
        if f64::is_nan(sum) {
            // ∞ − ∞: nothing is known.
            return Self::infinity(toward == Toward::High);
        }
        if f64::is_infinite(*self) || f64::is_infinite(*other) {
            return sum;
        }
        if f64::is_infinite(sum) {
            return finite_side(sum, toward);
        }
        corrected(sum, sum_error(*self, *other, sum), toward)
    }

    fn mul(&self, other: &Self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 || *other == 0.0 {
            return 0.0;
        }
        let product = self * other;
        if f64::is_infinite(*self) || f64::is_infinite(*other) {
            return product;
        }
        if f64::is_infinite(product) {
            return finite_side(product, toward);
        }
        if product.abs() < SAFE_PRODUCT {
            return outward(product, toward);
        }
        corrected(product, self.mul_add(*other, -product), toward)
    }

    fn div(&self, other: &Self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 || f64::is_infinite(*other) {
            return 0.0;
        }
        let quotient = self / other;
        if f64::is_infinite(*self) {
            return quotient;
        }
        if f64::is_infinite(quotient) {
            return finite_side(quotient, toward);
        }
        if quotient.abs() < SAFE_PRODUCT || self.abs() < SAFE_PRODUCT {
            return outward(quotient, toward);
        }
        // self − quotient · other, divided by other, has the sign of the error.
        let remainder = -quotient.mul_add(*other, -self);
        let error = if *other < 0.0 { -remainder } else { remainder };
        corrected(quotient, error, toward)
    }

    fn root(&self, degree: u32, toward: Toward, (): ()) -> Self {
        if *self == 0.0 || f64::is_infinite(*self) {
            return *self;
        }
        match degree {
            2 => {
                let root = self.sqrt();
                if *self < SAFE_PRODUCT {
                    return outward(root, toward).max(0.0);
                }
                corrected(root, -root.mul_add(root, -self), toward)
            }
            3 => outward(core_math::cbrt(*self), toward).max(0.0),
            _ => {
                // The exponent 1/degree is itself rounded: bound it on the side that serves.
                let wanted = if (*self >= 1.0) == (toward == Toward::High) {
                    Toward::High
                } else {
                    Toward::Low
                };
                let exponent = 1.0f64.div(&f64::from(degree), wanted, ());
                outward(core_math::pow(*self, exponent), toward).max(0.0)
            }
        }
    }

    fn integer_power(&self, exponent: &IBig, toward: Toward, (): ()) -> Self {
        if *self == 0.0 || *self == 1.0 {
            return *self;
        }
        let Approximation::Exact(exact) = exponent.to_f64() else {
            // Beyond 2^53 only the trivial bounds are worth having.
            return match (toward, *self < 1.0) {
                (Toward::Low, true) => 0.0,
                (Toward::High, true) => *self,
                (Toward::Low, false) => *self,
                (Toward::High, false) => f64::INFINITY,
            };
        };
        if f64::is_infinite(*self) {
            return *self;
        }
        if exact == 1.0 {
            return *self;
        }
        if exact == 2.0 {
            return self.mul(self, toward, ());
        }
        let power = core_math::pow(*self, exact);
        outward(finite_side(power, toward), toward).max(0.0)
    }

    fn exp(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 {
            return 1.0;
        }
        if *self == f64::NEG_INFINITY {
            return 0.0;
        }
        if *self == f64::INFINITY {
            return f64::INFINITY;
        }
        outward(finite_side(core_math::exp(*self), toward), toward).max(0.0)
    }

    fn log(&self, toward: Toward, (): ()) -> Self {
        if *self <= 0.0 {
            return f64::NEG_INFINITY;
        }
        if *self == 1.0 {
            return 0.0;
        }
        if *self == f64::INFINITY {
            return f64::INFINITY;
        }
        outward(core_math::log(*self), toward)
    }

    fn sin(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 {
            return 0.0;
        }
        if f64::is_infinite(*self) {
            return if toward == Toward::Low { -1.0 } else { 1.0 };
        }
        within(core_math::sin(*self), toward, -1.0, 1.0)
    }

    fn cos(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 {
            return 1.0;
        }
        if f64::is_infinite(*self) {
            return if toward == Toward::Low { -1.0 } else { 1.0 };
        }
        within(core_math::cos(*self), toward, -1.0, 1.0)
    }

    fn atan(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 {
            return 0.0;
        }
        outward(core_math::atan(*self), toward)
    }

    fn asin(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 {
            return 0.0;
        }
        outward(core_math::asin(self.clamp(-1.0, 1.0)), toward)
    }

    fn sinh(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 || f64::is_infinite(*self) {
            return *self;
        }
        outward(finite_side(core_math::sinh(*self), toward), toward)
    }

    fn tanh(&self, toward: Toward, (): ()) -> Self {
        if *self == 0.0 {
            return 0.0;
        }
        within(core_math::tanh(*self), toward, -1.0, 1.0)
    }

    fn pi(toward: Toward, (): ()) -> Self {
        // The double nearest to π lies below it.
        match toward {
            Toward::Low => std::f64::consts::PI,
            Toward::High => std::f64::consts::PI.next_up(),
        }
    }

    fn floor(&self) -> Option<IBig> {
        if f64::is_infinite(*self) {
            return None;
        }
        IBig::try_from(f64::floor(*self)).ok()
    }
}
