//! Sparse polynomials with exact rational coefficients over atoms, an atom being any expression.

use super::signed::{Signed, magnitude};
use crate::expr::Expr;
use dashu::base::{Gcd, UnsignedAbs};
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A product of atoms with exponents ≥ 1, atoms in ascending order; ordered by total degree, then
/// lexicographically, which is compatible with multiplication.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Monomial(Vec<(Expr, u32)>);

impl Monomial {
    /// The atoms and their exponents.
    #[must_use]
    pub fn factors(&self) -> &[(Expr, u32)] {
        &self.0
    }

    /// The sum of the exponents.
    #[must_use]
    pub fn degree(&self) -> u32 {
        self.0.iter().map(|(_, power)| power).sum()
    }

    /// The exponent of an atom.
    #[must_use]
    pub fn exponent(&self, atom: &Expr) -> u32 {
        self.0
            .iter()
            .find(|(own, _)| own == atom)
            .map_or(0, |(_, power)| *power)
    }

    /// The monomial whose square it is.
    #[must_use]
    pub fn root(&self) -> Option<Self> {
        self.0
            .iter()
            .map(|(atom, power)| (power % 2 == 0).then(|| (atom.clone(), power / 2)))
            .collect::<Option<Vec<_>>>()
            .map(Self)
    }

    fn times(&self, other: &Self) -> Self {
        let mut all = Vec::with_capacity(self.0.len() + other.0.len());
        let (mut left, mut right) = (self.0.iter().peekable(), other.0.iter().peekable());
        while let (Some(a), Some(b)) = (left.peek(), right.peek()) {
            match a.0.cmp(&b.0) {
                Ordering::Less => all.extend(left.next().cloned()),
                Ordering::Greater => all.extend(right.next().cloned()),
                Ordering::Equal => {
                    all.push((a.0.clone(), a.1 + b.1));
                    left.next();
                    right.next();
                }
            }
        }
        all.extend(left.cloned());
        all.extend(right.cloned());
        Self(all)
    }

    fn over(&self, other: &Self) -> Option<Self> {
        let mut all = self.0.clone();
        for (atom, power) in &other.0 {
            let own = all.iter_mut().find(|(own, _)| own == atom)?;
            own.1 = own.1.checked_sub(*power)?;
        }
        all.retain(|(_, power)| *power > 0);
        Some(Self(all))
    }

    fn without(&self, atom: &Expr) -> Self {
        Self(
            self.0
                .iter()
                .filter(|(own, _)| own != atom)
                .cloned()
                .collect(),
        )
    }

    fn common(&self, other: &Self) -> Self {
        Self(
            self.0
                .iter()
                .map(|(atom, power)| (atom.clone(), (*power).min(other.exponent(atom))))
                .filter(|(_, power)| *power > 0)
                .collect(),
        )
    }
}

impl PartialOrd for Monomial {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Monomial {
    fn cmp(&self, other: &Self) -> Ordering {
        self.degree().cmp(&other.degree()).then_with(|| {
            for ((a, p), (b, q)) in self.0.iter().zip(&other.0) {
                match a.cmp(b) {
                    Ordering::Less => return Ordering::Greater,
                    Ordering::Greater => return Ordering::Less,
                    Ordering::Equal if p != q => return p.cmp(q),
                    Ordering::Equal => {}
                }
            }
            self.0.len().cmp(&other.0.len())
        })
    }
}

/// The terms of a polynomial.
type Terms = BTreeMap<Monomial, RBig>;

/// A polynomial: monomials with coefficients other than 0. A clone shares the terms, since facts
/// are copied with every situation that is tried.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Poly(Arc<Terms>);

impl Poly {
    /// The polynomial 0.
    #[must_use]
    pub fn zero() -> Self {
        Self::default()
    }

    /// A constant.
    #[must_use]
    pub fn constant(value: RBig) -> Self {
        let mut terms = Terms::new();
        add_term(&mut terms, Monomial::default(), value);
        Self::of(terms)
    }

    fn of(terms: Terms) -> Self {
        Self(Arc::new(terms))
    }

    /// The polynomial 1.
    #[must_use]
    pub fn one() -> Self {
        Self::constant(RBig::ONE)
    }

    /// An atom.
    #[must_use]
    pub fn atom(atom: Expr) -> Self {
        Self::of(Terms::from([(Monomial(vec![(atom, 1)]), RBig::ONE)]))
    }

    /// One monomial.
    #[must_use]
    pub fn monomial(monomial: Monomial) -> Self {
        Self::of(Terms::from([(monomial, RBig::ONE)]))
    }

    /// The terms in ascending order.
    pub fn terms(&self) -> impl DoubleEndedIterator<Item = (&Monomial, &RBig)> {
        self.0.iter()
    }

    /// How many terms there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Whether it is 0.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        self.0.is_empty()
    }

    /// Its value if it is a constant.
    #[must_use]
    pub fn as_constant(&self) -> Option<RBig> {
        match self.0.len() {
            0 => Some(RBig::ZERO),
            1 => self.0.get(&Monomial::default()).cloned(),
            _ => None,
        }
    }

    /// The atom that it is.
    #[must_use]
    pub fn as_atom(&self) -> Option<&Expr> {
        match self.single()? {
            (monomial, value) if value.is_one() => match monomial.0.as_slice() {
                [(atom, 1)] => Some(atom),
                _ => None,
            },
            _ => None,
        }
    }

    /// Its only term.
    #[must_use]
    pub fn single(&self) -> Option<(&Monomial, &RBig)> {
        if self.0.len() == 1 {
            self.0.iter().next()
        } else {
            None
        }
    }

    /// The total degree.
    #[must_use]
    pub fn degree(&self) -> u32 {
        self.0.keys().next_back().map_or(0, Monomial::degree)
    }

    /// The degree in an atom.
    #[must_use]
    pub fn degree_in(&self, atom: &Expr) -> u32 {
        self.0.keys().map(|m| m.exponent(atom)).max().unwrap_or(0)
    }

    /// All atoms, in ascending order.
    #[must_use]
    pub fn atoms(&self) -> BTreeSet<Expr> {
        self.0
            .keys()
            .flat_map(|m| m.0.iter().map(|(atom, _)| atom.clone()))
            .collect()
    }

    /// self + factor · other
    #[must_use]
    pub fn plus_scaled(&self, factor: &RBig, other: &Self) -> Self {
        if other.is_zero() {
            return self.clone();
        }
        let mut sum = Terms::clone(&self.0);
        for (monomial, value) in other.terms() {
            add_term(&mut sum, monomial.clone(), factor * value);
        }
        Self::of(sum)
    }

    /// self + other
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        self.plus_scaled(&RBig::ONE, other)
    }

    /// self − other
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        self.plus_scaled(&RBig::NEG_ONE, other)
    }

    /// factor · self
    #[must_use]
    pub fn scaled(&self, factor: &RBig) -> Self {
        Self::zero().plus_scaled(factor, self)
    }

    /// −self
    #[must_use]
    pub fn negative(&self) -> Self {
        self.scaled(&RBig::NEG_ONE)
    }

    /// self · other
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        let mut product = Terms::new();
        for (left, a) in self.terms() {
            for (right, b) in other.terms() {
                add_term(&mut product, left.times(right), a * b);
            }
        }
        Self::of(product)
    }

    /// self ^ exponent
    #[must_use]
    pub fn power(&self, exponent: u32) -> Self {
        (0..exponent).fold(Self::one(), |product, _| product.times(self))
    }

    /// The quotient if `divisor` divides without remainder.
    #[must_use]
    pub fn divided(&self, divisor: &Self) -> Option<Self> {
        let (lead, value) = divisor.0.iter().next_back()?;
        let mut rest = Terms::clone(&self.0);
        let mut quotient = Terms::new();
        while let Some((top, own)) = rest.last_key_value() {
            let monomial = top.over(lead)?;
            let factor = own / value;
            for (other, own) in divisor.terms() {
                add_term(&mut rest, monomial.times(other), -(&factor * own));
            }
            add_term(&mut quotient, monomial, factor);
        }
        Some(Self::of(quotient))
    }

    /// Splits p = content · monomial · primitive: the primitive part has coprime integer
    /// coefficients, a positive leading one, and no atom in all of its terms.
    #[must_use]
    pub fn split(&self) -> (RBig, Monomial, Self) {
        let (content, whole) = self.primitive();
        let mut all = self.terms().map(|(monomial, _)| monomial);
        let mut common = all.next().cloned().unwrap_or_default();
        for monomial in all {
            if common.0.is_empty() {
                break;
            }
            common = common.common(monomial);
        }
        if common.0.is_empty() {
            return (content, common, whole);
        }
        let rest = whole
            .terms()
            .filter_map(|(monomial, value)| Some((monomial.over(&common)?, value.clone())))
            .collect();
        (content, common, Self::of(rest))
    }

    /// Writes p = content · q with q of coprime integer coefficients, the leading one positive.
    #[must_use]
    pub fn primitive(&self) -> (RBig, Self) {
        let content = self.content();
        if content.is_zero() {
            return (content, Self::one());
        }
        let whole = if content.is_one() {
            self.clone()
        } else {
            self.scaled(&(RBig::ONE / &content))
        };
        (content, whole)
    }

    /// The greatest number that leaves integer coefficients, with the sign of the leading one.
    fn content(&self) -> RBig {
        let Some((_, lead)) = self.0.iter().next_back() else {
            return RBig::ZERO;
        };
        let (mut numerator, mut denominator) = (UBig::ZERO, UBig::ONE);
        for (_, value) in self.terms() {
            if !numerator.is_one() {
                numerator = numerator.gcd(&value.numerator().unsigned_abs());
            }
            if !value.denominator().is_one() {
                let shared = (&denominator).gcd(value.denominator());
                denominator = &denominator / shared * value.denominator();
            }
        }
        let content = RBig::from_parts(IBig::from(numerator), denominator);
        if lead.is_negative() {
            -content
        } else {
            content
        }
    }

    /// The positive multiple with coprime integer coefficients.
    #[must_use]
    pub fn integral(&self) -> Self {
        let (content, primitive) = self.primitive();
        if content.is_negative() {
            primitive.negative()
        } else {
            primitive
        }
    }

    /// The coefficients of the powers 0, 1, … of an atom.
    #[must_use]
    pub fn coefficients_in(&self, atom: &Expr) -> Vec<Self> {
        let mut all = vec![Terms::new(); self.degree_in(atom) as usize + 1];
        for (monomial, value) in self.terms() {
            let place = monomial.exponent(atom) as usize;
            add_term(&mut all[place], monomial.without(atom), value.clone());
        }
        all.into_iter().map(Self::of).collect()
    }

    /// Replaces an atom by a polynomial.
    #[must_use]
    pub fn substitute(&self, atom: &Expr, value: &Self) -> Self {
        let mut power = Self::one();
        let mut sum = Self::zero();
        for coefficient in self.coefficients_in(atom) {
            sum = sum.plus(&coefficient.times(&power));
            power = power.times(value);
        }
        sum
    }

    /// The dense coefficients if no other atom occurs than the given one.
    #[must_use]
    pub fn univariate(&self, atom: &Expr) -> Option<Vec<RBig>> {
        self.coefficients_in(atom)
            .iter()
            .map(Self::as_constant)
            .collect()
    }

    /// The polynomial as an expression; of one atom that atom itself.
    #[must_use]
    pub fn to_expr(&self) -> Expr {
        let terms = self.0.iter().rev().map(|(monomial, value)| {
            let size = magnitude(value);
            let mut factors = Vec::new();
            if !size.is_one() || monomial.0.is_empty() {
                factors.push(Expr::number(size));
            }
            for (atom, power) in &monomial.0 {
                factors.push(if *power == 1 {
                    atom.clone()
                } else {
                    atom.power(&Expr::integer(i64::from(*power)))
                });
            }
            let product = Expr::product_of(factors);
            if value.is_negative() {
                product.negative()
            } else {
                product
            }
        });
        Expr::sum_of(terms.collect())
    }
}

fn add_term(terms: &mut Terms, monomial: Monomial, value: RBig) {
    if value.is_zero() {
        return;
    }
    match terms.entry(monomial) {
        std::collections::btree_map::Entry::Vacant(entry) => {
            entry.insert(value);
        }
        std::collections::btree_map::Entry::Occupied(mut entry) => {
            *entry.get_mut() += value;
            if entry.get().is_zero() {
                entry.remove();
            }
        }
    }
}
