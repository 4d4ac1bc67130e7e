//! Exact values in a normal form, to prove that two values are equal.
//!
//! A value is a quotient of sums of rational multiples of monomials; a monomial is a product of
//! powers of atoms: primes under roots, π, exponentials, logarithms of primes, and opaque function
//! values. Every rewriting is an identity between real numbers, so equal normal forms are equal
//! values. Different normal forms prove nothing: whether values differ is for intervals to say.

use super::assignment::Assignment;
use super::exact_eval;
use crate::expr::{Constant, Expr, Function, Node, Symbol};
use dashu::base::{BitTest, Signed};
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;
use std::collections::BTreeMap;

/// Longest coefficient, in bits.
pub(super) const COEFFICIENT_BITS: usize = 4096;
/// Most terms of a sum.
const TERMS: usize = 48;

/// A real number that is no rational multiple of a simpler one as far as this form knows.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Atom {
    /// A prime (or unfactored integer > 1); exponents in (0, 1).
    Prime(UBig),
    /// π; any exponent.
    Pi,
    /// e^monomial; any exponent.
    Exp(Monomial),
    /// The logarithm of a prime (or unfactored integer > 1); natural exponents.
    Log(UBig),
    /// The k-th root of a value ≥ 0; natural exponents below k.
    Root(u32, Box<Exact>),
    /// A function at a value; natural exponents.
    Call(Function, Box<Exact>),
}

impl Atom {
    /// Whether the atom is > 0, so that rational powers of it obey the laws of powers.
    fn is_positive(&self) -> bool {
        matches!(
            self,
            Self::Prime(_) | Self::Pi | Self::Exp(_) | Self::Log(_)
        )
    }

    /// Whether any exponent may be kept in the monomial.
    fn is_unit(&self) -> bool {
        matches!(self, Self::Prime(_) | Self::Pi | Self::Exp(_))
    }
}

/// A product of powers of atoms.
pub(super) type Monomial = BTreeMap<Atom, RBig>;

/// A sum of rational multiples of monomials; no zero coefficients.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Sum(pub(super) BTreeMap<Monomial, RBig>);

/// An exact real number, as a quotient of two sums whose denominator is not 0.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Exact {
    pub(super) numerator: Sum,
    pub(super) denominator: Sum,
}

/// The exact value of an expression at exact values of its variables, where the normal form can
/// express it. The expression is then defined.
#[must_use]
pub fn evaluate(expr: &Expr, assignment: &Assignment) -> Option<Exact> {
    exact_eval::Exactly::new(assignment, &[]).value(expr)
}

/// The same below bound indices.
pub(super) fn evaluate_within(
    expr: &Expr,
    assignment: &Assignment,
    bound: &[(Symbol, RBig)],
) -> Option<Exact> {
    exact_eval::Exactly::new(assignment, bound).value(expr)
}

fn is_short(value: &RBig) -> bool {
    value.numerator().bit_len() + value.denominator().bit_len() <= COEFFICIENT_BITS
}

impl Sum {
    fn zero() -> Self {
        Self(BTreeMap::new())
    }

    pub(super) fn monomial(monomial: Monomial, coefficient: RBig) -> Self {
        let mut terms = BTreeMap::new();
        if !coefficient.is_zero() {
            terms.insert(monomial, coefficient);
        }
        Self(terms)
    }

    fn rational(value: RBig) -> Self {
        Self::monomial(Monomial::new(), value)
    }

    fn is_one(&self) -> bool {
        self.as_rational().is_some_and(|value| value.is_one())
    }

    fn as_rational(&self) -> Option<RBig> {
        match self.single() {
            _ if self.0.is_empty() => Some(RBig::ZERO),
            Some((monomial, coefficient)) if monomial.is_empty() => Some(coefficient.clone()),
            _ => None,
        }
    }

    /// The only term.
    pub(super) fn single(&self) -> Option<(&Monomial, &RBig)> {
        if self.0.len() == 1 {
            self.0.iter().next()
        } else {
            None
        }
    }

    fn add(&self, other: &Self) -> Option<Self> {
        let mut terms = self.0.clone();
        for (monomial, coefficient) in &other.0 {
            let sum = terms.remove(monomial).unwrap_or(RBig::ZERO) + coefficient;
            if !is_short(&sum) {
                return None;
            }
            if !sum.is_zero() {
                terms.insert(monomial.clone(), sum);
            }
        }
        (terms.len() <= TERMS).then_some(Self(terms))
    }

    pub(super) fn scaled(&self, factor: &RBig) -> Self {
        if factor.is_zero() {
            return Self::zero();
        }
        Self(
            self.0
                .iter()
                .map(|(monomial, coefficient)| (monomial.clone(), coefficient * factor))
                .collect(),
        )
    }

    fn mul(&self, other: &Self) -> Option<Self> {
        let mut total = Self::zero();
        for (a, x) in &self.0 {
            for (b, y) in &other.0 {
                total = total.add(&multiply_monomials(a, b, &(x * y))?)?;
            }
        }
        Some(total)
    }
}

/// coefficient · a · b, with every atom's exponent brought back into its range.
fn multiply_monomials(a: &Monomial, b: &Monomial, coefficient: &RBig) -> Option<Sum> {
    if !is_short(coefficient) {
        return None;
    }
    let mut product = a.clone();
    let mut factor = coefficient.clone();
    let mut opened: Option<Sum> = None;
    for (atom, exponent) in b {
        let sum = product.remove(atom).unwrap_or(RBig::ZERO) + exponent;
        if sum.is_zero() {
            continue;
        }
        match atom {
            Atom::Prime(prime) => {
                let (whole, part) = split(&sum);
                factor *= integer_factor(prime, &whole)?;
                if !part.is_zero() {
                    product.insert(atom.clone(), part);
                }
            }
            Atom::Root(degree, radicand) if sum >= RBig::from(*degree) => {
                let rest = sum - RBig::from(*degree);
                if !rest.is_zero() {
                    product.insert(atom.clone(), rest);
                }
                if !radicand.denominator.is_one() {
                    return None;
                }
                opened = Some(match opened {
                    None => radicand.numerator.clone(),
                    Some(before) => before.mul(&radicand.numerator)?,
                });
            }
            _ => {
                product.insert(atom.clone(), sum);
            }
        }
    }
    let term = Sum::monomial(product, factor);
    match opened {
        None => Some(term),
        Some(radicand) => term.mul(&radicand),
    }
}

/// Integer part and the rest in [0, 1).
fn split(value: &RBig) -> (IBig, RBig) {
    let whole = value.floor();
    let part = value - RBig::from(whole.clone());
    (whole, part)
}

fn integer_factor(prime: &UBig, exponent: &IBig) -> Option<RBig> {
    super::power::short_power(&RBig::from(prime.clone()), exponent, COEFFICIENT_BITS)
}

impl Exact {
    /// A rational number.
    #[must_use]
    pub fn rational(value: RBig) -> Self {
        Self::whole(Sum::rational(value))
    }

    pub(super) fn whole(numerator: Sum) -> Self {
        Self {
            numerator,
            denominator: Sum::rational(RBig::ONE),
        }
    }

    pub(super) fn atom(atom: Atom, exponent: RBig) -> Self {
        Self::whole(Sum::monomial(Monomial::from([(atom, exponent)]), RBig::ONE))
    }

    /// Whether the value is 0 (`false`: not known to be).
    #[must_use]
    pub fn is_zero(&self) -> bool {
        self.numerator.0.is_empty()
    }

    /// The value, if it is rational and known to be.
    #[must_use]
    pub fn as_rational(&self) -> Option<RBig> {
        if self.is_zero() {
            return Some(RBig::ZERO);
        }
        if let (Some(over), Some(under)) =
            (self.numerator.as_rational(), self.denominator.as_rational())
        {
            return Some(over / under);
        }
        // Proportional sums.
        let (monomial, over) = self.numerator.0.iter().next()?;
        let ratio = over / self.denominator.0.get(monomial)?;
        (self.denominator.scaled(&ratio) == self.numerator).then_some(ratio)
    }

    /// The sum that the value is, if its denominator is 1.
    pub(super) fn as_sum(&self) -> Option<&Sum> {
        self.denominator.is_one().then_some(&self.numerator)
    }

    pub(super) fn add(&self, other: &Self) -> Option<Self> {
        if self.denominator == other.denominator {
            return Some(Self {
                numerator: self.numerator.add(&other.numerator)?,
                denominator: self.denominator.clone(),
            });
        }
        Some(Self {
            numerator: self
                .numerator
                .mul(&other.denominator)?
                .add(&other.numerator.mul(&self.denominator)?)?,
            denominator: self.denominator.mul(&other.denominator)?,
        })
    }

    pub(super) fn negated(&self) -> Self {
        self.scaled(&RBig::NEG_ONE)
    }

    pub(super) fn scaled(&self, factor: &RBig) -> Self {
        Self {
            numerator: self.numerator.scaled(factor),
            denominator: self.denominator.clone(),
        }
    }

    pub(super) fn mul(&self, other: &Self) -> Option<Self> {
        Self {
            numerator: self.numerator.mul(&other.numerator)?,
            denominator: self.denominator.mul(&other.denominator)?,
        }
        .reduced()
    }

    /// self / other, where the caller knows that `other` is not 0.
    pub(super) fn div(&self, other: &Self) -> Option<Self> {
        Self {
            numerator: self.numerator.mul(&other.denominator)?,
            denominator: self.denominator.mul(&other.numerator)?,
        }
        .reduced()
    }

    /// Moves a denominator of one term into the numerator as far as its atoms allow.
    fn reduced(self) -> Option<Self> {
        let Some((monomial, coefficient)) = self.denominator.single() else {
            return match self.as_rational() {
                Some(value) => Some(Self::rational(value)),
                None => Some(self),
            };
        };
        let mut inverse = Monomial::new();
        let mut kept = Monomial::new();
        for (atom, exponent) in monomial {
            if atom.is_unit() {
                inverse.insert(atom.clone(), -exponent.clone());
            } else {
                kept.insert(atom.clone(), exponent.clone());
            }
        }
        let factor = normal_inverse(&inverse, &(RBig::ONE / coefficient))?;
        Some(Self {
            numerator: self.numerator.mul(&factor)?,
            denominator: Sum::monomial(kept, RBig::ONE),
        })
    }

    /// Whether the value is surely not 0: one term of atoms that are positive.
    pub(super) fn is_surely_nonzero(&self) -> bool {
        self.numerator
            .single()
            .is_some_and(|(monomial, _)| monomial.keys().all(Atom::is_positive))
    }

    /// self ^ exponent for a rational exponent, where self is one term of positive atoms.
    pub(super) fn monomial_power(&self, exponent: &RBig) -> Option<Self> {
        let (monomial, coefficient) = self.as_sum()?.single()?;
        if coefficient.is_negative() || !monomial.keys().all(Atom::is_unit) {
            return None;
        }
        let mut total = rational_power(coefficient, exponent)?;
        for (atom, power) in monomial {
            let raised = Monomial::from([(atom.clone(), power * exponent)]);
            total = total.mul(&normal_inverse(&raised, &RBig::ONE)?)?;
        }
        Some(Self::whole(total))
    }

    /// The value as an expression of roots, π, e and functions.
    #[must_use]
    pub fn to_expr(&self) -> Option<Expr> {
        let over = sum_expr(&self.numerator)?;
        if self.denominator.is_one() {
            return Some(over);
        }
        Some(over.over(&sum_expr(&self.denominator)?))
    }

    /// Whether the value is short enough to be shown exactly.
    #[must_use]
    pub fn is_small(&self) -> bool {
        let short = |sum: &Sum, terms: usize| {
            sum.0.len() <= terms
                && sum.0.iter().all(|(monomial, coefficient)| {
                    coefficient.numerator().bit_len() <= 40
                        && coefficient.denominator().bit_len() <= 40
                        && monomial.iter().all(|(atom, exponent)| {
                            exponent.denominator().bit_len() <= 3
                                && exponent.numerator().bit_len() <= 20
                                && match atom {
                                    Atom::Prime(prime) => prime.bit_len() <= 40,
                                    Atom::Pi => true,
                                    Atom::Exp(inner) => inner.is_empty(),
                                    _ => false,
                                }
                        })
                })
        };
        short(&self.numerator, 2) && short(&self.denominator, 2)
    }
}

/// A monomial of positive atoms with any exponents, brought to normal form.
fn normal_inverse(monomial: &Monomial, coefficient: &RBig) -> Option<Sum> {
    multiply_monomials(&Monomial::new(), monomial, coefficient)
}

/// value ^ exponent for a rational value > 0, as rational times roots of primes.
pub(super) fn rational_power(value: &RBig, exponent: &RBig) -> Option<Sum> {
    if !value.is_positive() || value.is_zero() {
        return None;
    }
    let (_, numerator) = value.numerator().clone().into_parts();
    let mut raised = Monomial::new();
    for (number, sign) in [(&numerator, 1), (value.denominator(), -1)] {
        for (prime, power) in factored(number)? {
            raised.insert(
                Atom::Prime(prime),
                exponent * RBig::from(i64::from(power) * sign),
            );
        }
    }
    normal_inverse(&raised, &RBig::ONE)
}

/// A factorisation into small primes and at most one cofactor, a perfect power taken apart.
pub(super) fn factored(number: &UBig) -> Option<Vec<(UBig, u32)>> {
    if number.bit_len() > COEFFICIENT_BITS {
        return None;
    }
    let mut rest = number.clone();
    let mut factors = Vec::new();
    let mut candidate = 2u32;
    while candidate < 1000 && !rest.is_one() {
        let prime = UBig::from(candidate);
        let mut power = 0;
        while (&rest % &prime).is_zero() {
            rest /= &prime;
            power += 1;
        }
        if power > 0 {
            factors.push((prime, power));
        }
        candidate += if candidate == 2 { 1 } else { 2 };
    }
    if rest.is_one() {
        return Some(factors);
    }
    for degree in [6u32, 5, 4, 3, 2] {
        let root = rest.nth_root(degree as usize);
        if root.pow(degree as usize) == rest {
            factors.push((root, degree));
            return Some(factors);
        }
    }
    factors.push((rest, 1));
    Some(factors)
}

fn sum_expr(sum: &Sum) -> Option<Expr> {
    if sum.0.is_empty() {
        return Some(Expr::integer(0));
    }
    let mut terms = Vec::new();
    for (monomial, coefficient) in &sum.0 {
        terms.push(term_expr(monomial, coefficient)?);
    }
    Some(Expr::sum_of(terms))
}

/// numerator · factors / denominator, the way a person writes it.
fn term_expr(monomial: &Monomial, coefficient: &RBig) -> Option<Expr> {
    let mut radicand = UBig::ONE;
    let mut above = Vec::new();
    let mut below = Vec::new();
    for (atom, exponent) in monomial {
        let half = *exponent == RBig::ONE / RBig::from(2);
        if let (Atom::Prime(prime), true) = (atom, half) {
            radicand *= prime;
            continue;
        }
        let (size, side) = if exponent.is_negative() {
            (-exponent.clone(), &mut below)
        } else {
            (exponent.clone(), &mut above)
        };
        side.push(atom_expr(atom, &size)?);
    }
    if !radicand.is_one() {
        above.insert(0, Expr::big(IBig::from(radicand)).sqrt());
    }
    let negative = coefficient.is_negative();
    let (_, numerator) = coefficient.numerator().clone().into_parts();
    if !numerator.is_one() || above.is_empty() {
        above.insert(0, Expr::big(IBig::from(numerator)));
    }
    if !coefficient.denominator().is_one() {
        below.insert(0, Expr::big(IBig::from(coefficient.denominator().clone())));
    }
    let only_rational = monomial.is_empty();
    if only_rational {
        return Some(Expr::number(coefficient.clone()));
    }
    let value = if below.is_empty() {
        Expr::product_of(above)
    } else {
        Expr::product_of(above).over(&Expr::product_of(below))
    };
    Some(if negative { value.negative() } else { value })
}

fn atom_expr(atom: &Atom, exponent: &RBig) -> Option<Expr> {
    let base = match atom {
        Atom::Prime(prime) => Expr::big(IBig::from(prime.clone())),
        Atom::Pi => Node::Constant(Constant::Pi).into(),
        Atom::Exp(inner) if inner.is_empty() => Node::Constant(Constant::E).into(),
        Atom::Exp(inner) => {
            return term_expr(inner, exponent).map(|power| power.call(Function::Exp));
        }
        Atom::Log(prime) => Expr::big(IBig::from(prime.clone())).call(Function::Log),
        Atom::Root(degree, inner) => Node::Root(*degree, inner.to_expr()?).into(),
        Atom::Call(function, inner) => inner.to_expr()?.call(*function),
    };
    let root_of_one = exponent.numerator().is_one() && !exponent.is_int();
    Some(if exponent.is_one() {
        base
    } else if root_of_one {
        let degree = u32::try_from(exponent.denominator().clone()).ok()?;
        Node::Root(degree, base).into()
    } else {
        base.power(&Expr::number(exponent.clone()))
    })
}
