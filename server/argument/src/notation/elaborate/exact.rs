//! Compares expressions at sample points in exact arithmetic, to recognise patterns of notation.
//!
//! It only proposes how dots are to be filled in; what is then claimed is decided by the kernel.

use kernel::{Constant, Expr, Function, Node, Symbol};
use std::hash::{DefaultHasher, Hash, Hasher};

/// How many points are tried.
const POINTS: u64 = 3;

/// Largest exponent that is multiplied out.
const EXPONENT: i128 = 16;

/// Whether two expressions agree at all sample points. Operations without exact values (sin,
/// unknown functions) count as unknown functions of the exact values of their operands.
pub(super) fn same(left: &Expr, right: &Expr) -> bool {
    left == right
        || (0..POINTS).all(|point| {
            let first = value(left, point);
            first.is_some() && first == value(right, point)
        })
}

/// A fraction in lowest terms with positive denominator.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Ratio {
    top: i128,
    bottom: i128,
}

impl Ratio {
    fn new(top: i128, bottom: i128) -> Option<Self> {
        if bottom == 0 {
            return None;
        }
        let divisor = greatest_divisor(top.checked_abs()?, bottom.checked_abs()?).max(1);
        let sign = bottom.signum();
        Some(Self {
            top: (top / divisor).checked_mul(sign)?,
            bottom: (bottom / divisor).checked_mul(sign)?,
        })
    }

    fn plus(self, other: Self) -> Option<Self> {
        let left = self.top.checked_mul(other.bottom)?;
        let right = other.top.checked_mul(self.bottom)?;
        Self::new(
            left.checked_add(right)?,
            self.bottom.checked_mul(other.bottom)?,
        )
    }

    fn times(self, other: Self) -> Option<Self> {
        Self::new(
            self.top.checked_mul(other.top)?,
            self.bottom.checked_mul(other.bottom)?,
        )
    }

    fn inverse(self) -> Option<Self> {
        Self::new(self.bottom, self.top)
    }

    fn power(self, exponent: i128) -> Option<Self> {
        let base = if exponent < 0 { self.inverse()? } else { self };
        let mut result = Self::new(1, 1)?;
        for _ in 0..exponent.checked_abs()? {
            result = result.times(base)?;
        }
        Some(result)
    }

    fn whole(self) -> Option<i128> {
        (self.bottom == 1).then_some(self.top)
    }
}

fn greatest_divisor(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

fn value(expr: &Expr, point: u64) -> Option<Ratio> {
    match expr.node() {
        Node::Number(number) => Ratio::new(
            number.numerator().clone().try_into().ok()?,
            number.denominator().clone().try_into().ok()?,
        ),
        Node::Variable(name) => sample(name, point),
        Node::Constant(Constant::Pi) => sample(&Symbol::new("π"), point),
        Node::Constant(Constant::E) => sample(&Symbol::new("e"), point),
        Node::Add(terms) => terms
            .iter()
            .try_fold(Ratio::new(0, 1)?, |sum, term| sum.plus(value(term, point)?)),
        Node::Mul(factors) => factors
            .iter()
            .try_fold(Ratio::new(1, 1)?, |product, factor| {
                product.times(value(factor, point)?)
            }),
        Node::Neg(inner) => value(inner, point)?.times(Ratio::new(-1, 1)?),
        Node::Div(top, bottom) => value(top, point)?.times(value(bottom, point)?.inverse()?),
        Node::Pow(base, exponent) => {
            let (base, exponent) = (value(base, point)?, value(exponent, point)?);
            match exponent.whole() {
                Some(0) => Ratio::new(1, 1),
                Some(whole) if whole.abs() <= EXPONENT => base.power(whole),
                _ => opaque(&(b'^', base, exponent), point),
            }
        }
        Node::Call(Function::Abs, inner) => {
            let inner = value(inner, point)?;
            Ratio::new(inner.top.checked_abs()?, inner.bottom)
        }
        Node::Call(Function::Factorial, inner) => {
            let whole = value(inner, point)?
                .whole()
                .filter(|whole| (0..=20).contains(whole));
            match whole {
                Some(whole) => Ratio::new((1..=whole).product(), 1),
                None => opaque(&("!", value(inner, point)?), point),
            }
        }
        Node::Call(function, inner) => opaque(&(function, value(inner, point)?), point),
        Node::Root(degree, inner) => opaque(&(degree, value(inner, point)?), point),
        Node::Apply(name, items) => {
            let items = items
                .iter()
                .map(|item| value(item, point))
                .collect::<Option<Vec<_>>>()?;
            opaque(&(name.as_str(), items), point)
        }
        _ => None,
    }
}

/// A value for a name at a sample point: a small fraction that other names do not share.
fn sample(name: &Symbol, point: u64) -> Option<Ratio> {
    opaque(&("name", name.as_str()), point)
}

fn opaque(key: &impl Hash, point: u64) -> Option<Ratio> {
    let mut hasher = DefaultHasher::new();
    key.hash(&mut hasher);
    point.hash(&mut hasher);
    let hash = hasher.finish();
    Ratio::new(i128::from(hash % 89 + 3), i128::from(hash / 89 % 7 + 1))
}
