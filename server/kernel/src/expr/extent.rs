//! How long an expression is to write down.

use super::{Expr, Node};
use dashu::base::BitTest;

/// Bits of a numeral that count as one node.
const BITS: usize = 64;

impl Expr {
    /// Whether the expression has more than `limit` nodes, shared ones counted as often as they
    /// occur, and long numerals by their length. It looks no further than that.
    #[must_use]
    pub fn exceeds(&self, limit: usize) -> bool {
        let mut waiting = vec![self];
        let mut count = 0;
        while let Some(next) = waiting.pop() {
            count += 1;
            if let Node::Number(value) = next.node() {
                let bits = value.numerator().bit_len() + value.denominator().bit_len();
                count += bits / BITS;
            }
            if count > limit {
                return true;
            }
            waiting.extend(next.children());
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_and_long_numerals_count() {
        let x = Expr::named("x");
        assert!(!x.exceeds(1));
        assert!(x.plus(&x).exceeds(2));
        let long = Expr::big(dashu::integer::IBig::ONE << 6_400);
        assert!(long.exceeds(100));
        assert!(!long.exceeds(102));
    }
}
