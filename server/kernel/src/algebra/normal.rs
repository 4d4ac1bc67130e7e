//! The normal form of an expression: a fraction of polynomials over atoms.
//!
//! Each rewriting is valid under what is known at that point; a rewriting whose condition is not
//! known leaves an opaque atom. A divisor that is not known to differ from 0 gives no form at all.

use super::Poly;
use super::facts::Context;
use crate::calculus::differentiate;
use crate::expr::{Expr, Node};
use dashu::rational::RBig;
use std::collections::BTreeMap;

/// The largest literal power that is expanded.
const POWER_LIMIT: u64 = 64;
/// The largest power of one factor in a product.
const PRODUCT_LIMIT: u64 = 256;
/// The largest product of term counts that is expanded.
const TERM_LIMIT: usize = 60_000;

/// A fraction; the denominator's factors are primitive and known to differ from 0.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fraction {
    pub(super) numerator: Poly,
    pub(super) denominator: BTreeMap<Poly, u32>,
}

/// A product c · Π f^e of primitive polynomials that are no monomials, or single atoms.
#[derive(Clone, Debug)]
pub(super) struct Factors {
    pub(super) coefficient: RBig,
    pub(super) factors: BTreeMap<Poly, i64>,
}

impl Factors {
    pub(super) fn constant(value: RBig) -> Self {
        Self {
            coefficient: value,
            factors: BTreeMap::new(),
        }
    }

    pub(super) fn add(&mut self, factor: Poly, power: i64) {
        let own = self.factors.entry(factor.clone()).or_insert(0);
        *own = own.saturating_add(power);
        if *own == 0 {
            self.factors.remove(&factor);
        }
    }

    pub(super) fn times(mut self, other: Self) -> Self {
        self.coefficient *= other.coefficient;
        for (factor, power) in other.factors {
            self.add(factor, power);
        }
        self
    }
}

impl Fraction {
    /// A polynomial.
    #[must_use]
    pub fn poly(numerator: Poly) -> Self {
        Self {
            numerator,
            denominator: BTreeMap::new(),
        }
    }

    pub(super) fn number(value: RBig) -> Self {
        Self::poly(Poly::constant(value))
    }

    /// The numerator.
    #[must_use]
    pub fn numerator(&self) -> &Poly {
        &self.numerator
    }

    /// The factors of the denominator with their exponents.
    #[must_use]
    pub fn denominator(&self) -> &BTreeMap<Poly, u32> {
        &self.denominator
    }

    /// The polynomial if the denominator is 1.
    #[must_use]
    pub fn as_poly(&self) -> Option<&Poly> {
        self.denominator.is_empty().then_some(&self.numerator)
    }

    /// The fraction as an expression.
    #[must_use]
    pub fn to_expr(&self) -> Expr {
        let numerator = self.numerator.to_expr();
        if self.denominator.is_empty() {
            return numerator;
        }
        let factors = self.denominator.iter().map(|(factor, power)| {
            let factor = factor.to_expr();
            if *power == 1 {
                factor
            } else {
                factor.power(&Expr::integer(i64::from(*power)))
            }
        });
        numerator.over(&Expr::product_of(factors.collect()))
    }
}

impl Context {
    /// The normal form, or `None` if a divisor is not known to differ from 0 or the form is too
    /// large.
    #[must_use]
    pub fn normal(&self, expr: &Expr) -> Option<Fraction> {
        match expr.node() {
            Node::Number(value) => Some(Fraction::number(value.clone())),
            Node::Constant(_) | Node::Variable(_) => Some(Fraction::poly(Poly::atom(expr.clone()))),
            _ => self.remembered(expr, || self.compute_normal(expr)),
        }
    }

    fn compute_normal(&self, expr: &Expr) -> Option<Fraction> {
        match expr.node() {
            Node::Number(_) | Node::Constant(_) | Node::Variable(_) => None,
            Node::Add(terms) => self.sum(terms.iter().map(|term| self.normal(term))),
            Node::Neg(inner) => {
                let inner = self.normal(inner)?;
                Some(Fraction {
                    numerator: inner.numerator.negative(),
                    ..inner
                })
            }
            Node::Call(function, inner) => self.call(*function, inner),
            Node::Min(items) => self.extreme(items, false),
            Node::Max(items) => self.extreme(items, true),
            Node::Apply(name, items) => {
                let items = items
                    .iter()
                    .map(|item| Some(self.normal(item)?.to_expr()))
                    .collect::<Option<Vec<_>>>()?;
                Some(atom(Node::Apply(name.clone(), items).into()))
            }
            Node::Derivative { variable, body } if self.is_defined(expr) => {
                self.normal(&differentiate(body, variable)?)
            }
            Node::Derivative { .. } => None,
            Node::Piecewise(branches) => self.piecewise(branches),
            Node::Sum {
                index,
                from,
                to: Some(to),
                body,
            } => match super::sums::listed(index, from, to, body) {
                Some(terms) => self.sum(terms.iter().map(|term| self.normal(term))),
                None => self.summation(expr),
            },
            Node::Product {
                index,
                from,
                to,
                body,
            } => match super::sums::listed(index, from, to, body) {
                Some(terms) => self.normal(&Expr::product_of(terms)),
                None => self.summation(expr),
            },
            Node::Sum { .. } => self.summation(expr),
            Node::Mul(_) | Node::Div(..) | Node::Pow(..) | Node::Root(..) => {
                let factors = self.factors(expr)?;
                self.product(&factors)
            }
        }
    }

    pub(super) fn sum(&self, terms: impl Iterator<Item = Option<Fraction>>) -> Option<Fraction> {
        let terms: Vec<Fraction> = terms.collect::<Option<_>>()?;
        let mut denominator: BTreeMap<Poly, u32> = BTreeMap::new();
        for term in &terms {
            for (factor, power) in &term.denominator {
                let own = denominator.entry(factor.clone()).or_insert(0);
                *own = (*own).max(*power);
            }
        }
        let mut numerator = Poly::zero();
        for term in terms {
            let mut part = term.numerator;
            for (factor, power) in &denominator {
                let missing = power - term.denominator.get(factor).copied().unwrap_or(0);
                for _ in 0..missing {
                    part = self.product_of(&part, factor)?;
                }
            }
            numerator = numerator.plus(&part);
        }
        Some(self.cancelled(numerator, denominator))
    }

    pub(super) fn product_of(&self, left: &Poly, right: &Poly) -> Option<Poly> {
        (left.count() * right.count() <= TERM_LIMIT).then(|| self.reduced(&left.times(right)))
    }

    pub(super) fn cancelled(
        &self,
        numerator: Poly,
        mut denominator: BTreeMap<Poly, u32>,
    ) -> Fraction {
        let mut numerator = self.reduced(&numerator);
        if numerator.is_zero() {
            denominator.clear();
        }
        for (factor, power) in &mut denominator {
            while *power > 0 {
                let Some(quotient) = numerator.divided(factor) else {
                    break;
                };
                numerator = quotient;
                *power -= 1;
            }
        }
        denominator.retain(|_, power| *power > 0);
        Fraction {
            numerator,
            denominator,
        }
    }

    pub(super) fn product(&self, factors: &Factors) -> Option<Fraction> {
        let mut numerator = Poly::constant(factors.coefficient.clone());
        let mut denominator = BTreeMap::new();
        for (factor, power) in &factors.factors {
            if power.unsigned_abs() > PRODUCT_LIMIT {
                return None;
            }
            if *power < 0 {
                if !self.sign_of(factor).differs {
                    return None;
                }
                denominator.insert(factor.clone(), u32::try_from(-*power).ok()?);
            } else {
                for _ in 0..*power {
                    numerator = self.product_of(&numerator, factor)?;
                }
            }
        }
        Some(self.cancelled(numerator, denominator))
    }

    /// The multiplicative form.
    pub(super) fn factors(&self, expr: &Expr) -> Option<Factors> {
        match expr.node() {
            Node::Mul(items) => items
                .iter()
                .try_fold(Factors::constant(RBig::ONE), |product, item| {
                    Some(product.times(self.factors(item)?))
                }),
            Node::Neg(inner) => {
                let mut factors = self.factors(inner)?;
                factors.coefficient = -factors.coefficient;
                Some(factors)
            }
            Node::Div(numerator, denominator) => {
                let inverse = self.raised(&self.factors(denominator)?, -1)?;
                Some(self.factors(numerator)?.times(inverse))
            }
            Node::Pow(base, exponent) => self.pow(base, exponent),
            Node::Root(degree, inner) => self.root(*degree, &self.factors(inner)?),
            _ => Some(self.fraction_factors(&self.normal(expr)?)),
        }
    }

    pub(super) fn fraction_factors(&self, fraction: &Fraction) -> Factors {
        let mut factors = poly_factors(&fraction.numerator);
        for (factor, power) in &fraction.denominator {
            factors.add(factor.clone(), -i64::from(*power));
        }
        factors
    }

    /// An integer power; negative ones only if all factors are known to differ from 0.
    pub(super) fn raised(&self, factors: &Factors, power: i64) -> Option<Factors> {
        if power.unsigned_abs() > POWER_LIMIT {
            return None;
        }
        if power < 0 {
            let defined = !factors.coefficient.is_zero()
                && factors
                    .factors
                    .iter()
                    .all(|(factor, own)| *own < 0 || self.sign_of(factor).differs);
            if !defined {
                return None;
            }
        }
        let mut all = Factors::constant(factors.coefficient.pow(isize::try_from(power).ok()?));
        for (factor, own) in &factors.factors {
            all.add(factor.clone(), own.checked_mul(power)?);
        }
        Some(all)
    }
}

pub(super) fn atom(expr: Expr) -> Fraction {
    Fraction::poly(Poly::atom(expr))
}

pub(super) fn atom_factors(expr: Expr) -> Factors {
    Factors {
        coefficient: RBig::ONE,
        factors: BTreeMap::from([(Poly::atom(expr), 1)]),
    }
}

pub(super) fn poly_factors(poly: &Poly) -> Factors {
    let (content, monomial, rest) = poly.split();
    let mut factors = Factors::constant(content);
    for (own, power) in monomial.factors() {
        factors.add(Poly::atom(own.clone()), i64::from(*power));
    }
    if rest.as_constant().is_none() {
        factors.add(rest, 1);
    }
    factors
}
