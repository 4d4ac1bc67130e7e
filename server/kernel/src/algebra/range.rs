//! Ranges of values with rational ends, each end included or not.

use super::signed::Signed;
use dashu::rational::RBig;

/// An end and whether it is excluded.
pub(crate) type End = (RBig, bool);

/// All values between two ends; `None` is unbounded.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Range {
    /// The lower end.
    pub low: Option<End>,
    /// The upper end.
    pub high: Option<End>,
}

impl Range {
    /// One value.
    #[must_use]
    pub fn point(value: &RBig) -> Self {
        Self {
            low: Some((value.clone(), false)),
            high: Some((value.clone(), false)),
        }
    }

    /// All values ≥ low, or > low if strict.
    #[must_use]
    pub fn above(low: RBig, strict: bool) -> Self {
        Self {
            low: Some((low, strict)),
            high: None,
        }
    }

    /// Between two ends, both included unless `strict`.
    #[must_use]
    pub fn between(low: RBig, high: RBig, strict: bool) -> Self {
        Self {
            low: Some((low, strict)),
            high: Some((high, strict)),
        }
    }

    /// The values in both.
    #[must_use]
    pub fn meet(&self, other: &Self) -> Self {
        Self {
            low: tighter(&self.low, &other.low, |a, b| a > b),
            high: tighter(&self.high, &other.high, |a, b| a < b),
        }
    }

    /// Whether no value lies inside.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        match (&self.low, &self.high) {
            (Some((low, open)), Some((high, closed))) => {
                low > high || (low == high && (*open || *closed))
            }
            _ => false,
        }
    }

    /// Whether all values are ≥ 0.
    #[must_use]
    pub fn is_nonnegative(&self) -> bool {
        self.low.as_ref().is_some_and(|(low, _)| !low.is_negative())
    }

    /// Whether all values are > 0.
    #[must_use]
    pub fn is_positive(&self) -> bool {
        self.low
            .as_ref()
            .is_some_and(|(low, strict)| low.is_positive() || (low.is_zero() && *strict))
    }

    /// The values −v.
    #[must_use]
    pub fn negative(&self) -> Self {
        let turned = |end: &Option<End>| end.as_ref().map(|(value, strict)| (-value, *strict));
        Self {
            low: turned(&self.high),
            high: turned(&self.low),
        }
    }

    /// The sums.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let sum = |a: &Option<End>, b: &Option<End>| match (a, b) {
            (Some((a, s)), Some((b, t))) => Some((a + b, *s || *t)),
            _ => None,
        };
        Self {
            low: sum(&self.low, &other.low),
            high: sum(&self.high, &other.high),
        }
    }

    /// The products.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        let zero = Self::point(&RBig::ZERO);
        if *self == zero || *other == zero {
            return zero;
        }
        if self.is_nonnegative() && other.is_nonnegative() {
            return self.times_nonnegative(other);
        }
        let (mine, theirs) = (self.negative(), other.negative());
        if mine.is_nonnegative() && theirs.is_nonnegative() {
            return mine.times_nonnegative(&theirs);
        }
        if mine.is_nonnegative() && other.is_nonnegative() {
            return mine.times_nonnegative(other).negative();
        }
        if self.is_nonnegative() && theirs.is_nonnegative() {
            return self.times_nonnegative(&theirs).negative();
        }
        let ends = [&self.low, &self.high].into_iter().flatten();
        let others: Vec<&End> = [&other.low, &other.high].into_iter().flatten().collect();
        let products: Vec<RBig> = ends
            .flat_map(|(a, _)| others.iter().map(move |(b, _)| a * b))
            .collect();
        if products.len() < 4 {
            return Self::default();
        }
        Self {
            low: products.iter().min().map(|value| (value.clone(), false)),
            high: products.iter().max().map(|value| (value.clone(), false)),
        }
    }

    /// A product is at its lower bound 0 only where a factor is 0: strict only if no factor
    /// can be; at a lower bound > 0 one strict factor suffices.
    fn times_nonnegative(&self, other: &Self) -> Self {
        let low = match (&self.low, &other.low) {
            (Some((a, s)), Some((b, t))) => {
                let product = a * b;
                let strict = if product.is_zero() {
                    self.is_positive() && other.is_positive()
                } else {
                    *s || *t
                };
                Some((product, strict))
            }
            _ => None,
        };
        let high = match (&self.high, &other.high) {
            (Some((a, s)), Some((b, t))) => Some((a * b, *s && *t)),
            _ => None,
        };
        Self { low, high }
    }

    /// The powers.
    #[must_use]
    pub fn power(&self, exponent: u32) -> Self {
        let mut product = Self::point(&RBig::ONE);
        for _ in 0..exponent {
            product = product.times(self);
        }
        if exponent.is_multiple_of(2) && !product.is_nonnegative() {
            product = product.meet(&Self::above(RBig::ZERO, false));
        }
        product
    }
}

fn tighter(a: &Option<End>, b: &Option<End>, better: impl Fn(&RBig, &RBig) -> bool) -> Option<End> {
    match (a, b) {
        (None, other) | (other, None) => other.clone(),
        (Some((x, s)), Some((y, t))) => Some(if x == y {
            (x.clone(), *s || *t)
        } else if better(x, y) {
            (x.clone(), *s)
        } else {
            (y.clone(), *t)
        }),
    }
}
