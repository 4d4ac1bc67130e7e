//! Indices as a variable plus a whole number: `n`, `n + 2`, `k − 1`, `3`.

use super::{Expr, Node, Symbol};
use dashu::rational::RBig;

impl Expr {
    /// The variable and the whole number of which this is the sum; no variable for a whole
    /// number alone. `None` for any other form.
    #[must_use]
    pub fn as_shift(&self) -> Option<(Option<Symbol>, i64)> {
        match self.node() {
            Node::Number(value) => Some((None, whole(value)?)),
            Node::Variable(name) => Some((Some(name.clone()), 0)),
            Node::Neg(inner) => match inner.as_shift()? {
                (None, value) => Some((None, value.checked_neg()?)),
                _ => None,
            },
            Node::Add(items) => {
                let (mut name, mut sum) = (None, 0_i64);
                for item in items {
                    let (own, value) = item.as_shift()?;
                    if name.is_some() && own.is_some() {
                        return None;
                    }
                    name = name.or(own);
                    sum = sum.checked_add(value)?;
                }
                Some((name, sum))
            }
            _ => None,
        }
    }

    /// The sum of a variable and a whole number, in its shortest form.
    #[must_use]
    pub fn shifted(name: &Symbol, by: i64) -> Self {
        let own = Self::variable(name);
        match by {
            0 => own,
            1.. => own.plus(&Self::integer(by)),
            _ => own.minus(&Self::integer(by.saturating_neg())),
        }
    }
}

fn whole(value: &RBig) -> Option<i64> {
    value
        .is_int()
        .then(|| i64::try_from(value.numerator()).ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_of_one_variable_and_numerals_are_shifts() {
        let n = Symbol::new("n");
        for by in [-3, 0, 1, 7] {
            assert_eq!(
                Expr::shifted(&n, by).as_shift(),
                Some((Some(n.clone()), by))
            );
        }
        let later = Expr::shifted(&n, 1).minus(&Expr::integer(2));
        assert_eq!(later.as_shift(), Some((Some(n.clone()), -1)));
        assert_eq!(Expr::integer(-4).as_shift(), Some((None, -4)));
        let own = Expr::variable(&n);
        for other in [
            own.plus(&own),
            own.times(&Expr::integer(2)),
            Expr::ratio(1, 2),
            own.negative(),
        ] {
            assert_eq!(other.as_shift(), None);
        }
    }
}
