//! Strict signs of rational numbers. (The library's own trait counts 0 as positive.)

use dashu::base::Sign;
use dashu::rational::RBig;

/// The strict sign of a number.
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
