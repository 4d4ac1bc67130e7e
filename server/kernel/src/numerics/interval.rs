//! Closed intervals with outward rounding over either number format.

use super::scalar::{Scalar, Toward};
use Toward::{High, Low};
use dashu::base::{BitTest, Signed};
use dashu::integer::IBig;
use dashu::rational::RBig;
use std::cmp::Ordering;

/// The reals between two bounds, which may be infinite; never empty.
#[derive(Clone, Debug)]
pub(super) struct Interval<S> {
    /// Lower bound.
    pub(super) low: S,
    /// Upper bound.
    pub(super) high: S,
}

impl<S: Scalar> Interval<S> {
    /// All reals between the bounds.
    pub(super) fn new(low: S, high: S) -> Self {
        Self { low, high }
    }

    /// One number of the format.
    pub(super) fn point(value: S) -> Self {
        Self::new(value.clone(), value)
    }

    /// All reals.
    pub(super) fn whole() -> Self {
        Self::new(S::infinity(false), S::infinity(true))
    }

    /// The least interval of the format around a rational number.
    pub(super) fn ratio(value: &RBig, context: S::Context) -> Self {
        Self::new(
            S::ratio(value, Low, context),
            S::ratio(value, High, context),
        )
    }

    /// π.
    pub(super) fn pi(context: S::Context) -> Self {
        Self::new(S::pi(Low, context), S::pi(High, context))
    }

    /// Whether 0 lies inside or on the border.
    pub(super) fn contains_zero(&self) -> bool {
        self.low.sign() != Ordering::Greater && self.high.sign() != Ordering::Less
    }

    /// Whether it is exactly the number 0.
    pub(super) fn is_zero(&self) -> bool {
        self.low.sign() == Ordering::Equal && self.high.sign() == Ordering::Equal
    }

    /// Whether all its numbers are > 0.
    pub(super) fn is_positive(&self) -> bool {
        self.low.sign() == Ordering::Greater
    }

    /// Whether all its numbers are < 0.
    pub(super) fn is_negative(&self) -> bool {
        self.high.sign() == Ordering::Less
    }

    /// The least interval around both.
    pub(super) fn hull(&self, other: &Self) -> Self {
        Self::new(self.low.lesser(&other.low), self.high.greater(&other.high))
    }

    /// The part that is ≥ `bound`, which must exist.
    pub(super) fn at_least(&self, bound: &S) -> Self {
        Self::new(self.low.greater(bound), self.high.greater(bound))
    }

    /// The part that is ≤ `bound`, which must exist.
    pub(super) fn at_most(&self, bound: &S) -> Self {
        Self::new(self.low.lesser(bound), self.high.lesser(bound))
    }

    /// −self
    pub(super) fn negated(&self) -> Self {
        Self::new(self.high.negated(), self.low.negated())
    }

    /// self + other
    pub(super) fn add(&self, other: &Self, context: S::Context) -> Self {
        Self::new(
            self.low.add(&other.low, Low, context),
            self.high.add(&other.high, High, context),
        )
    }

    /// self − other
    pub(super) fn subtract(&self, other: &Self, context: S::Context) -> Self {
        self.add(&other.negated(), context)
    }

    /// self · other
    pub(super) fn mul(&self, other: &Self, context: S::Context) -> Self {
        let ends = [
            (&self.low, &other.low),
            (&self.low, &other.high),
            (&self.high, &other.low),
            (&self.high, &other.high),
        ];
        let side = |toward: Toward| ends.map(|(a, b)| a.mul(b, toward, context));
        let low = side(Low);
        let high = side(High);
        Self::new(
            low[0].lesser(&low[1]).lesser(&low[2].lesser(&low[3])),
            high[0]
                .greater(&high[1])
                .greater(&high[2].greater(&high[3])),
        )
    }

    /// 1 / self on the part that is not 0 (all reals if that part has two sides).
    pub(super) fn inverse(&self, context: S::Context) -> Self {
        let one = S::small(1);
        let (below, above) = (self.low.sign(), self.high.sign());
        if below == Ordering::Less && above == Ordering::Greater || self.is_zero() {
            return Self::whole();
        }
        // A bound that is 0 is approached, its inverse is infinite.
        let low = if above == Ordering::Equal {
            S::infinity(false)
        } else {
            one.div(&self.high, Low, context)
        };
        let high = if below == Ordering::Equal {
            S::infinity(true)
        } else {
            one.div(&self.low, High, context)
        };
        Self::new(low, high)
    }

    /// self / other on the part of `other` that is not 0.
    pub(super) fn div(&self, other: &Self, context: S::Context) -> Self {
        if other.contains_zero() || other.low.is_infinite() || other.high.is_infinite() {
            return self.mul(&other.inverse(context), context);
        }
        let ends = [
            (&self.low, &other.low),
            (&self.low, &other.high),
            (&self.high, &other.low),
            (&self.high, &other.high),
        ];
        let side = |toward: Toward| ends.map(|(a, b)| a.div(b, toward, context));
        let low = side(Low);
        let high = side(High);
        Self::new(
            low[0].lesser(&low[1]).lesser(&low[2].lesser(&low[3])),
            high[0]
                .greater(&high[1])
                .greater(&high[2].greater(&high[3])),
        )
    }

    /// |self|
    pub(super) fn abs(&self) -> Self {
        if self.is_negative() {
            return self.negated();
        }
        if self.low.sign() != Ordering::Less {
            return self.clone();
        }
        Self::new(S::zero(), self.high.greater(&self.low.negated()))
    }

    /// The `degree`-th root on the part where it is defined.
    pub(super) fn root(&self, degree: u32, context: S::Context) -> Self {
        let end = |value: &S, toward: Toward| {
            if value.sign() == Ordering::Less {
                if degree.is_multiple_of(2) {
                    S::zero()
                } else {
                    value
                        .negated()
                        .root(degree, toward.opposite(), context)
                        .negated()
                }
            } else {
                value.root(degree, toward, context)
            }
        };
        Self::new(end(&self.low, Low), end(&self.high, High))
    }

    /// self ^ exponent for an integer exponent, on the part where it is defined.
    pub(super) fn integer_power(&self, exponent: &IBig, context: S::Context) -> Self {
        if exponent.is_zero() {
            return Self::point(S::small(1));
        }
        if exponent.is_negative() {
            return self.integer_power(&-exponent, context).inverse(context);
        }
        let magnitude = self.abs();
        let power = Self::new(
            magnitude.low.integer_power(exponent, Low, context),
            magnitude.high.integer_power(exponent, High, context),
        );
        let odd = exponent.bit(0);
        if !odd || self.low.sign() != Ordering::Less {
            return power;
        }
        if self.high.sign() != Ordering::Greater {
            return power.negated();
        }
        // Both signs and an odd exponent: increasing.
        Self::new(
            self.low
                .negated()
                .integer_power(exponent, High, context)
                .negated(),
            self.high.integer_power(exponent, High, context),
        )
    }

    /// self ^ exponent = e^(exponent · log self) on the part where self > 0.
    pub(super) fn real_power(&self, exponent: &Self, context: S::Context) -> Self {
        let base = self.at_least(&S::zero());
        exponent.mul(&base.log(context), context).exp(context)
    }

    /// e ^ self
    pub(super) fn exp(&self, context: S::Context) -> Self {
        Self::new(self.low.exp(Low, context), self.high.exp(High, context))
    }

    /// log on the part that is > 0.
    pub(super) fn log(&self, context: S::Context) -> Self {
        Self::new(self.low.log(Low, context), self.high.log(High, context))
    }

    /// sin self
    pub(super) fn sin(&self, context: S::Context) -> Self {
        self.wave(false, context)
    }

    /// cos self
    pub(super) fn cos(&self, context: S::Context) -> Self {
        self.wave(true, context)
    }

    /// Sine or cosine: the end points, and ±1 for every extremum that may lie inside.
    fn wave(&self, cosine: bool, context: S::Context) -> Self {
        let band = Self::new(S::small(-1), S::small(1));
        let (Some(first), Some(last)) = (
            half_periods(&self.low, cosine, context, false),
            half_periods(&self.high, cosine, context, true),
        ) else {
            return band;
        };
        if &last - &first > IBig::from(2) {
            return band;
        }
        let value = |x: &S, toward| {
            if cosine {
                x.cos(toward, context)
            } else {
                x.sin(toward, context)
            }
        };
        let mut low = value(&self.low, Low).lesser(&value(&self.high, Low));
        let mut high = value(&self.low, High).greater(&value(&self.high, High));
        // Border k between half periods k − 1 and k: of cosine at kπ (a maximum for even k), of
        // sine at (k − 1/2)π (a minimum for even k).
        let mut k = first + IBig::ONE;
        while k <= last {
            if k.bit(0) == cosine {
                low = S::small(-1);
            } else {
                high = S::small(1);
            }
            k += IBig::ONE;
        }
        Self::new(low, high)
    }

    /// tan on the part where it is defined; `None` if a pole may lie inside.
    pub(super) fn tan(&self, context: S::Context) -> Option<Self> {
        let first = half_periods(&self.low, false, context, false)?;
        let last = half_periods(&self.high, false, context, true)?;
        if first != last {
            return None;
        }
        let at = |x: &S| {
            let x = Self::point(x.clone());
            x.sin(context).div(&x.cos(context), context)
        };
        Some(Self::new(at(&self.low).low, at(&self.high).high))
    }

    /// atan self
    pub(super) fn atan(&self, context: S::Context) -> Self {
        Self::new(self.low.atan(Low, context), self.high.atan(High, context))
    }

    /// asin on the part in [−1, 1].
    pub(super) fn asin(&self, context: S::Context) -> Self {
        let part = self.at_least(&S::small(-1)).at_most(&S::small(1));
        Self::new(part.low.asin(Low, context), part.high.asin(High, context))
    }

    /// acos on the part in [−1, 1].
    pub(super) fn acos(&self, context: S::Context) -> Self {
        let half = Self::ratio(&(RBig::ONE / RBig::from(2)), context);
        Self::pi(context)
            .mul(&half, context)
            .subtract(&self.asin(context), context)
            .at_least(&S::zero())
    }

    /// sinh self
    pub(super) fn sinh(&self, context: S::Context) -> Self {
        Self::new(self.low.sinh(Low, context), self.high.sinh(High, context))
    }

    /// cosh self
    pub(super) fn cosh(&self, context: S::Context) -> Self {
        // Increasing in |u|: each end by itself.
        let magnitude = self.abs();
        let end = |u: &S, toward: Toward| {
            let sum =
                u.exp(toward, context)
                    .add(&u.negated().exp(toward, context), toward, context);
            Self::point(sum)
        };
        let half = Self::ratio(&(RBig::ONE / RBig::from(2)), context);
        Self::new(
            end(&magnitude.low, Low).low,
            end(&magnitude.high, High).high,
        )
        .mul(&half, context)
        .at_least(&S::small(1))
    }

    /// tanh self
    pub(super) fn tanh(&self, context: S::Context) -> Self {
        Self::new(self.low.tanh(Low, context), self.high.tanh(High, context))
    }

    /// ⌊self⌋
    pub(super) fn floor(&self, context: S::Context) -> Self {
        let end = |value: &S, toward| match value.floor() {
            Some(integer) => S::ratio(&RBig::from(integer), toward, context),
            None => value.clone(),
        };
        Self::new(end(&self.low, Low), end(&self.high, High))
    }

    /// ⌈self⌉
    pub(super) fn ceil(&self, context: S::Context) -> Self {
        self.negated().floor(context).negated()
    }

    /// The lesser of two values.
    pub(super) fn min(&self, other: &Self) -> Self {
        Self::new(self.low.lesser(&other.low), self.high.lesser(&other.high))
    }

    /// The greater of two values.
    pub(super) fn max(&self, other: &Self) -> Self {
        Self::new(self.low.greater(&other.low), self.high.greater(&other.high))
    }

    /// How every number of `self` compares with every number of `other`, where they all do alike.
    pub(super) fn compare(&self, other: &Self) -> Option<Ordering> {
        if self.high.order(&other.low) == Ordering::Less {
            Some(Ordering::Less)
        } else if self.low.order(&other.high) == Ordering::Greater {
            Some(Ordering::Greater)
        } else if self.low.order(&self.high) == Ordering::Equal
            && other.low.order(&other.high) == Ordering::Equal
            && self.low.order(&other.low) == Ordering::Equal
            && !self.low.is_infinite()
        {
            Some(Ordering::Equal)
        } else {
            None
        }
    }
}

/// The number of the half period (between extrema of sine or cosine) in which `x` lies, rounded
/// down or up where it is not certain.
fn half_periods<S: Scalar>(x: &S, cosine: bool, context: S::Context, upper: bool) -> Option<IBig> {
    let turns = Interval::point(x.clone()).div(&Interval::pi(context), context);
    let turns = if cosine {
        turns
    } else {
        let half = Interval::ratio(&(RBig::ONE / RBig::from(2)), context);
        turns.add(&half, context)
    };
    if upper {
        turns.high.floor()
    } else {
        turns.low.floor()
    }
}
