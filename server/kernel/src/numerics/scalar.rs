//! End points of intervals: one interface with directed rounding for doubles and for big floats.

use dashu::integer::IBig;
use dashu::rational::RBig;
use std::cmp::Ordering;
use std::fmt::Debug;

/// The side to which a result is rounded.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Toward {
    /// Not above the exact value.
    Low,
    /// Not below the exact value.
    High,
}

impl Toward {
    /// The other side.
    #[must_use]
    pub(super) fn opposite(self) -> Self {
        match self {
            Self::Low => Self::High,
            Self::High => Self::Low,
        }
    }
}

/// An extended real number of a floating format with directed rounding.
///
/// Every operation that takes a [`Toward`] returns a bound of the exact result on that side, for
/// every finite argument in the function's domain. Infinite arguments are admitted where the
/// function has a limit there.
pub(super) trait Scalar: Clone + Debug {
    /// What an operation needs to know of the format: the precision of big floats.
    type Context: Copy;

    /// −∞ or +∞.
    fn infinity(positive: bool) -> Self;
    /// 0.
    fn zero() -> Self;
    /// An integer of moderate size, exact.
    fn small(value: i32) -> Self;
    /// A bound of a rational number.
    fn ratio(value: &RBig, toward: Toward, context: Self::Context) -> Self;
    /// The exact value, `None` if infinite.
    fn exact(&self) -> Option<RBig>;
    /// How two values compare.
    fn order(&self, other: &Self) -> Ordering;
    /// Whether the value is −∞ or +∞.
    fn is_infinite(&self) -> bool;
    /// −self, exact.
    fn negated(&self) -> Self;
    /// self + other; not called with opposite infinities.
    fn add(&self, other: &Self, toward: Toward, context: Self::Context) -> Self;
    /// self · other, where 0 · ∞ = 0.
    fn mul(&self, other: &Self, toward: Toward, context: Self::Context) -> Self;
    /// self / other, other ≠ 0, not both infinite.
    fn div(&self, other: &Self, toward: Toward, context: Self::Context) -> Self;
    /// The `degree`-th root of self ≥ 0.
    fn root(&self, degree: u32, toward: Toward, context: Self::Context) -> Self;
    /// self ^ exponent for self ≥ 0, exponent ≥ 1.
    fn integer_power(&self, exponent: &IBig, toward: Toward, context: Self::Context) -> Self;
    /// e ^ self.
    fn exp(&self, toward: Toward, context: Self::Context) -> Self;
    /// log self for self > 0 (−∞ at 0).
    fn log(&self, toward: Toward, context: Self::Context) -> Self;
    /// sin self; [−1, 1] bounds where the argument is too large.
    fn sin(&self, toward: Toward, context: Self::Context) -> Self;
    /// cos self; [−1, 1] bounds where the argument is too large.
    fn cos(&self, toward: Toward, context: Self::Context) -> Self;
    /// atan self.
    fn atan(&self, toward: Toward, context: Self::Context) -> Self;
    /// asin self for |self| ≤ 1.
    fn asin(&self, toward: Toward, context: Self::Context) -> Self;
    /// sinh self.
    fn sinh(&self, toward: Toward, context: Self::Context) -> Self;
    /// tanh self.
    fn tanh(&self, toward: Toward, context: Self::Context) -> Self;
    /// π.
    fn pi(toward: Toward, context: Self::Context) -> Self;
    /// The greatest integer ≤ self, `None` if infinite or too large to be worth having.
    fn floor(&self) -> Option<IBig>;

    /// How self compares with 0.
    fn sign(&self) -> Ordering {
        self.order(&Self::zero())
    }

    /// The lesser of two.
    fn lesser(&self, other: &Self) -> Self {
        if self.order(other) == Ordering::Greater {
            other.clone()
        } else {
            self.clone()
        }
    }

    /// The greater of two.
    fn greater(&self, other: &Self) -> Self {
        if self.order(other) == Ordering::Less {
            other.clone()
        } else {
            self.clone()
        }
    }
}
