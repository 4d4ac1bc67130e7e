//! Big floats with directed rounding: m · 2^e with an integer mantissa of bounded length.

use super::elementary_big as series;
use super::scalar::{Scalar, Toward};
use dashu::base::{BitTest, Sign, Signed, UnsignedAbs};
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;
use std::cmp::Ordering;

/// Magnitudes beyond 2^±this are bounded by 0 or ∞: keeps every number short.
pub(super) const EXPONENT_LIMIT: i64 = 200_000;

/// A big float: −∞, a dyadic number, or +∞.
#[derive(Clone, Debug)]
pub(super) struct Big(Value);

#[derive(Clone, Debug)]
enum Value {
    Infinite {
        positive: bool,
    },
    /// mantissa · 2^exponent
    Finite(IBig, i64),
}

/// mantissa / 2^shift rounded to an integer on the given side.
pub(super) fn shift_right(mantissa: &IBig, shift: usize, toward: Toward) -> IBig {
    let magnitude: UBig = mantissa.unsigned_abs();
    let low = &magnitude >> shift;
    let inexact = (&low << shift) != magnitude;
    let negative = mantissa.is_negative();
    let away = inexact && (negative == (toward == Toward::Low));
    let rounded = if away { low + UBig::ONE } else { low };
    IBig::from_parts(
        if negative {
            Sign::Negative
        } else {
            Sign::Positive
        },
        rounded,
    )
}

impl Big {
    /// mantissa · 2^exponent rounded to `bits` bits.
    pub(super) fn rounded(mantissa: IBig, exponent: i64, toward: Toward, bits: u32) -> Self {
        let length = mantissa.bit_len();
        let (mantissa, exponent) = if length > bits as usize {
            let shift = length - bits as usize;
            let shifted = shift_right(&mantissa, shift, toward);
            (
                shifted,
                exponent + i64::try_from(shift).unwrap_or(i64::MAX / 2),
            )
        } else {
            (mantissa, exponent)
        };
        Self::limited(mantissa, exponent, toward)
    }

    /// Replaces magnitudes beyond the limit by a bound on the same side.
    fn limited(mantissa: IBig, exponent: i64, toward: Toward) -> Self {
        if mantissa.is_zero() {
            return Self(Value::Finite(IBig::ZERO, 0));
        }
        let top = exponent + i64::try_from(mantissa.bit_len()).unwrap_or(i64::MAX / 2);
        let negative = mantissa.is_negative();
        let unit = if negative { IBig::NEG_ONE } else { IBig::ONE };
        let outward = negative == (toward == Toward::Low);
        if top > EXPONENT_LIMIT {
            return if outward {
                Self(Value::Infinite {
                    positive: !negative,
                })
            } else {
                Self(Value::Finite(unit, EXPONENT_LIMIT - 1))
            };
        }
        if top < -EXPONENT_LIMIT {
            return if outward {
                Self(Value::Finite(unit, -EXPONENT_LIMIT))
            } else {
                Self(Value::Finite(IBig::ZERO, 0))
            };
        }
        Self(Value::Finite(mantissa, exponent))
    }

    /// The mantissa and exponent, `None` if infinite.
    pub(super) fn parts(&self) -> Option<(&IBig, i64)> {
        match &self.0 {
            Value::Finite(mantissa, exponent) => Some((mantissa, *exponent)),
            Value::Infinite { .. } => None,
        }
    }

    /// The exponent e with 2^(e−1) ≤ |self| < 2^e; `None` for 0 and ∞.
    pub(super) fn top(&self) -> Option<i64> {
        let (mantissa, exponent) = self.parts()?;
        if mantissa.is_zero() {
            None
        } else {
            Some(exponent + i64::try_from(mantissa.bit_len()).ok()?)
        }
    }

    fn is_positive_infinity(&self) -> bool {
        matches!(self.0, Value::Infinite { positive: true })
    }

    /// A quotient of integers, times 2^exponent.
    fn quotient(
        numerator: &IBig,
        denominator: &IBig,
        exponent: i64,
        toward: Toward,
        bits: u32,
    ) -> Self {
        let wanted = bits as usize + 2 + denominator.bit_len();
        let shift = wanted.saturating_sub(numerator.bit_len());
        let negative = numerator.is_negative() != denominator.is_negative();
        let scaled: UBig = numerator.unsigned_abs() << shift;
        let divisor = denominator.unsigned_abs();
        let low = &scaled / &divisor;
        let inexact = &low * &divisor != scaled;
        let away = inexact && (negative == (toward == Toward::Low));
        let magnitude = if away { low + UBig::ONE } else { low };
        let sign = if negative {
            Sign::Negative
        } else {
            Sign::Positive
        };
        let exponent = exponent - i64::try_from(shift).unwrap_or(0);
        Self::rounded(IBig::from_parts(sign, magnitude), exponent, toward, bits)
    }
}

impl Scalar for Big {
    type Context = u32;

    fn infinity(positive: bool) -> Self {
        Self(Value::Infinite { positive })
    }

    fn zero() -> Self {
        Self(Value::Finite(IBig::ZERO, 0))
    }

    fn small(value: i32) -> Self {
        Self(Value::Finite(IBig::from(value), 0))
    }

    fn ratio(value: &RBig, toward: Toward, bits: u32) -> Self {
        if value.is_int() {
            return Self::rounded(value.numerator().clone(), 0, toward, bits);
        }
        let denominator = value.denominator().as_ibig();
        Self::quotient(value.numerator(), denominator, 0, toward, bits)
    }

    fn exact(&self) -> Option<RBig> {
        let (mantissa, exponent) = self.parts()?;
        let shift = usize::try_from(exponent.unsigned_abs()).ok()?;
        Some(if exponent >= 0 {
            RBig::from(mantissa << shift)
        } else {
            RBig::from_parts(mantissa.clone(), UBig::ONE << shift)
        })
    }

    fn order(&self, other: &Self) -> Ordering {
        match (&self.0, &other.0) {
            (Value::Infinite { positive: a }, Value::Infinite { positive: b }) => a.cmp(b),
            (Value::Infinite { positive }, _) => {
                if *positive {
                    Ordering::Greater
                } else {
                    Ordering::Less
                }
            }
            (_, Value::Infinite { .. }) => other.order(self).reverse(),
            (Value::Finite(a, e), Value::Finite(b, f)) => {
                let signs = a.signum().cmp(&b.signum());
                if signs != Ordering::Equal || a.is_zero() {
                    return signs;
                }
                let by_top = self.top().cmp(&other.top());
                if by_top != Ordering::Equal {
                    return if a.is_negative() {
                        by_top.reverse()
                    } else {
                        by_top
                    };
                }
                let shift = usize::try_from((e - f).unsigned_abs()).unwrap_or(0);
                if e >= f {
                    (a << shift).cmp(b)
                } else {
                    a.cmp(&(b << shift))
                }
            }
        }
    }

    fn is_infinite(&self) -> bool {
        matches!(self.0, Value::Infinite { .. })
    }

    fn negated(&self) -> Self {
        match &self.0 {
            Value::Infinite { positive } => Self(Value::Infinite {
                positive: !positive,
            }),
            Value::Finite(mantissa, exponent) => Self(Value::Finite(-mantissa, *exponent)),
        }
    }

    fn add(&self, other: &Self, toward: Toward, bits: u32) -> Self {
        let (Some((a, e)), Some((b, f))) = (self.parts(), other.parts()) else {
            return if self.is_infinite() && other.is_infinite() && self.order(other).is_ne() {
                // ∞ − ∞: nothing is known.
                Self::infinity(toward == Toward::High)
            } else if self.is_infinite() {
                self.clone()
            } else {
                other.clone()
            };
        };
        if a.is_zero() {
            return Self::rounded(b.clone(), f, toward, bits);
        }
        if b.is_zero() {
            return Self::rounded(a.clone(), e, toward, bits);
        }
        let (large, small) = if self.top() >= other.top() {
            (self, other)
        } else {
            (other, self)
        };
        let gap = large.top().unwrap_or(0) - small.top().unwrap_or(0);
        let (Some((a, e)), Some((b, f))) = (large.parts(), small.parts()) else {
            return large.clone();
        };
        if gap > i64::from(bits) + 8 + i64::try_from(a.bit_len()).unwrap_or(0) {
            // The small term only matters for its sign: nudge a far longer mantissa by one unit.
            let extra = bits as usize + 4;
            let nudge = if b.is_negative() {
                IBig::NEG_ONE
            } else {
                IBig::ONE
            };
            let scaled = (a << extra) + nudge;
            return Self::rounded(scaled, e - i64::try_from(extra).unwrap_or(0), toward, bits);
        }
        let low = e.min(f);
        let shift = |exponent: i64| usize::try_from(exponent - low).unwrap_or(0);
        Self::rounded((a << shift(e)) + (b << shift(f)), low, toward, bits)
    }

    fn mul(&self, other: &Self, toward: Toward, bits: u32) -> Self {
        match (self.parts(), other.parts()) {
            (Some((a, e)), Some((b, f))) => Self::rounded(a * b, e + f, toward, bits),
            _ => {
                let sign = |x: &Self| match x.sign() {
                    Ordering::Less => -1,
                    Ordering::Equal => 0,
                    Ordering::Greater => 1,
                };
                match sign(self) * sign(other) {
                    0 => Self::zero(),
                    s => Self::infinity(s > 0),
                }
            }
        }
    }

    fn div(&self, other: &Self, toward: Toward, bits: u32) -> Self {
        let Some((b, f)) = other.parts() else {
            return Self::zero();
        };
        let Some((a, e)) = self.parts() else {
            return Self::infinity(self.is_positive_infinity() != b.is_negative());
        };
        if a.is_zero() || b.is_zero() {
            return Self::zero();
        }
        Self::quotient(a, b, e - f, toward, bits)
    }

    fn root(&self, degree: u32, toward: Toward, bits: u32) -> Self {
        let Some((mantissa, exponent)) = self.parts() else {
            return self.clone();
        };
        if mantissa.is_zero() || mantissa.is_negative() {
            return Self::zero();
        }
        let k = i64::from(degree);
        let wanted = (i64::from(bits) + 4) * k;
        let length = i64::try_from(mantissa.bit_len()).unwrap_or(0);
        let mut shift = (wanted - length).max(0);
        shift += (exponent - shift).rem_euclid(k);
        let scaled: UBig = mantissa.unsigned_abs() << usize::try_from(shift).unwrap_or(0);
        let low = scaled.nth_root(degree as usize);
        let inexact = low.pow(degree as usize) != scaled;
        let magnitude = if inexact && toward == Toward::High {
            low + UBig::ONE
        } else {
            low
        };
        Self::rounded(IBig::from(magnitude), (exponent - shift) / k, toward, bits)
    }

    fn integer_power(&self, exponent: &IBig, toward: Toward, bits: u32) -> Self {
        // Rounding on one side at every step keeps the bound, as all factors are ≥ 0; the extra
        // bits keep it tight.
        let wide = bits + 8 + u32::try_from(exponent.bit_len()).unwrap_or(u32::MAX / 4);
        let Ok(mut left) = u128::try_from(exponent.clone()) else {
            return match (toward, self.order(&Self::small(1)) == Ordering::Less) {
                (Toward::Low, true) => Self::zero(),
                (Toward::High, false) => Self::infinity(true),
                _ => self.clone(),
            };
        };
        let mut result = Self::small(1);
        let mut square = self.clone();
        loop {
            if left & 1 == 1 {
                result = result.mul(&square, toward, wide);
            }
            left >>= 1;
            if left == 0 {
                break;
            }
            square = square.mul(&square, toward, wide);
        }
        match result.parts() {
            Some((mantissa, e)) => Self::rounded(mantissa.clone(), e, toward, bits),
            None => result,
        }
    }

    fn exp(&self, toward: Toward, bits: u32) -> Self {
        series::exp(self, toward, bits)
    }

    fn log(&self, toward: Toward, bits: u32) -> Self {
        series::log(self, toward, bits)
    }

    fn sin(&self, toward: Toward, bits: u32) -> Self {
        series::sin(self, false, toward, bits)
    }

    fn cos(&self, toward: Toward, bits: u32) -> Self {
        series::sin(self, true, toward, bits)
    }

    fn atan(&self, toward: Toward, bits: u32) -> Self {
        series::atan(self, toward, bits)
    }

    fn asin(&self, toward: Toward, bits: u32) -> Self {
        series::asin(self, toward, bits)
    }

    fn sinh(&self, toward: Toward, bits: u32) -> Self {
        series::sinh(self, toward, bits)
    }

    fn tanh(&self, toward: Toward, bits: u32) -> Self {
        series::tanh(self, toward, bits)
    }

    fn pi(toward: Toward, bits: u32) -> Self {
        series::pi(toward, bits)
    }

    fn floor(&self) -> Option<IBig> {
        let (mantissa, exponent) = self.parts()?;
        if exponent > 4096 {
            return None;
        }
        let shift = usize::try_from(exponent.unsigned_abs()).ok()?;
        Some(if exponent >= 0 {
            mantissa << shift
        } else {
            shift_right(mantissa, shift, Toward::Low)
        })
    }
}
