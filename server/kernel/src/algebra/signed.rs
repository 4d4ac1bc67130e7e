//! Small questions to a rational number: its strict sign, its size, the integer that it is.

use dashu::base::{Abs, Sign};
use dashu::rational::RBig;

/// The strict sign of a number. (The library's own trait counts 0 as positive.)
pub(crate) trait Signed {
    /// > 0
    fn is_positive(&self) -> bool;
    /// < 0
    fn is_negative(&self) -> bool;
}

impl Signed for RBig {
    fn is_positive(&self) -> bool {
        !self.is_zero() && self.sign() == Sign::Positive
    }

    fn is_negative(&self) -> bool {
        !self.is_zero() && self.sign() == Sign::Negative
    }
}

/// |value|
pub(crate) fn magnitude(value: &RBig) -> RBig {
    value.clone().abs()
}

/// The integer that a number is, if it is small.
pub(crate) fn whole(value: &RBig) -> Option<i64> {
    if value.is_int() {
        i64::try_from(value.numerator().clone()).ok()
    } else {
        None
    }
}
