//! Powers and roots in normal form, and the reduction of powers of atoms.

use super::facts::{Context, Sign};
use super::normal::{Factors, Fraction, atom_factors, poly_factors};
use super::{Poly, Signed, bracket, magnitude, whole};
use crate::expr::{Constant, Expr, Function, Node};
use dashu::rational::RBig;

impl Context {
    /// The same product with every factor that is known to be ≤ 0 turned.
    pub(super) fn oriented(&self, factors: &Factors) -> Factors {
        let mut all = Factors::constant(factors.coefficient.clone());
        for (factor, power) in &factors.factors {
            let own = self.sign_of(factor);
            if own.at_most && !own.at_least {
                if power % 2 != 0 {
                    all.coefficient = -all.coefficient;
                }
                all.add(factor.negative(), *power);
            } else {
                all.add(factor.clone(), *power);
            }
        }
        all
    }

    /// Π f^(e/k): what is known not to be negative leaves the root, the rest stays below one.
    pub(super) fn root(&self, degree: u32, inner: &Factors) -> Option<Factors> {
        let k = i64::from(degree);
        if k < 2 {
            return None;
        }
        let even = k % 2 == 0;
        let inner = &if even {
            self.oriented(inner)
        } else {
            inner.clone()
        };
        let mut rest = Poly::one();
        let mut all = Factors::constant(RBig::ONE);
        for (factor, power) in &inner.factors {
            let (whole, left) = (power.div_euclid(k), power.rem_euclid(k));
            if even && whole % 2 != 0 {
                let size = self.absolute(factor)?;
                all = all.times(self.raised(&poly_factors(&size), whole)?);
            } else {
                all = all.times(self.raised(&poly_factors(factor), whole)?);
            }
            if left == 0 {
                continue;
            }
            if !even || self.sign_of(factor).at_least {
                all.add(
                    Poly::atom(Node::Root(degree, factor.to_expr()).into()),
                    left,
                );
            } else {
                rest = self.product_of(&rest, &factor.power(u32::try_from(left).ok()?))?;
            }
        }
        let (sign, size) = (
            inner.coefficient.is_negative(),
            magnitude(&inner.coefficient),
        );
        all = all.times(constant_root(degree, &size)?);
        if sign && even {
            rest = rest.negative();
        } else if sign {
            all.coefficient = -all.coefficient;
        }
        if rest != Poly::one() {
            all.add(Poly::atom(Node::Root(degree, rest.to_expr()).into()), 1);
        }
        if inner.coefficient.is_zero() {
            return Some(Factors::constant(RBig::ZERO));
        }
        Some(all)
    }

    pub(super) fn pow(&self, base: &Expr, exponent: &Expr) -> Option<Factors> {
        if *base.node() == Node::Constant(Constant::E) {
            return Some(self.fraction_factors(&self.call(Function::Exp, exponent)?));
        }
        let power = self.normal(exponent)?;
        let factors = self.factors(base)?;
        if factors.coefficient.is_zero() && self.sign_of_fraction(&power).has(Sign::Positive) {
            return Some(factors);
        }
        if let Some(value) = power.as_poly().and_then(Poly::as_constant) {
            if let Some(whole) = whole(&value) {
                return self.raised(&factors, whole);
            }
            let degree = u32::try_from(value.denominator().clone()).ok()?;
            let top = i64::try_from(value.numerator().clone()).ok()?;
            let own = self.sign_of_expr(base);
            if own.has(Sign::Positive) || (own.at_least && top > 0) {
                return self.raised(&self.root(degree, &factors)?, top);
            }
        } else if let Some(all) = self.symbolic_power(&factors, &power) {
            return Some(all);
        }
        let form = self.product(&factors)?.to_expr();
        Some(atom_factors(form.power(&power.to_expr())))
    }

    /// Π f^x distributed over factors and over the terms of x. Valid for positive factors; else
    /// for integer terms that are ≥ 0 with coefficients ≥ 0, or factors ≠ 0.
    pub(super) fn symbolic_power(&self, factors: &Factors, power: &Fraction) -> Option<Factors> {
        let turned = self.oriented(factors);
        let positive = turned.coefficient.is_positive()
            && turned
                .factors
                .keys()
                .all(|factor| self.sign_of(factor).has(Sign::Positive));
        if !positive && !self.whole_terms(factors, power) {
            return None;
        }
        let factors = if positive { &turned } else { factors };
        let mut all = Factors::constant(RBig::ONE);
        for (monomial, value) in power.numerator.terms() {
            if monomial.factors().is_empty() && power.denominator.is_empty() {
                if let Some(whole) = whole(value) {
                    let form = self.product(factors)?;
                    all = all.times(self.raised(&self.fraction_factors(&form), whole)?);
                } else {
                    let degree = u32::try_from(value.denominator().clone()).ok()?;
                    let top = i64::try_from(value.numerator().clone()).ok()?;
                    all = all.times(self.raised(&self.root(degree, factors)?, top)?);
                }
                continue;
            }
            let top = i64::try_from(value.numerator().clone()).ok()?;
            let bottom = RBig::from_parts(1.into(), value.denominator().clone());
            let unit = Poly::monomial(monomial.clone()).scaled(&bottom);
            let unit = self.cancelled(unit, power.denominator.clone());
            all = all.times(self.raised(&self.unit_power(factors, &unit)?, top)?);
        }
        Some(all)
    }

    pub(super) fn whole_terms(&self, factors: &Factors, power: &Fraction) -> bool {
        let Some(terms) = power.as_poly() else {
            return false;
        };
        let differs = !factors.coefficient.is_zero()
            && factors
                .factors
                .keys()
                .all(|factor| self.sign_of(factor).differs);
        let whole = terms.terms().all(|(monomial, value)| {
            value.is_int() && monomial.factors().iter().all(|(a, _)| self.is_integer(a))
        });
        let nonnegative = || {
            terms.terms().all(|(monomial, value)| {
                !value.is_negative() && self.sign_of(&Poly::monomial(monomial.clone())).at_least
            })
        };
        whole && (differs || nonnegative())
    }

    /// Π f^unit for one term of an exponent.
    pub(super) fn unit_power(&self, factors: &Factors, unit: &Fraction) -> Option<Factors> {
        let exponent = unit.to_expr();
        let mut all = Factors::constant(RBig::ONE);
        let size = magnitude(&factors.coefficient);
        if factors.coefficient.is_negative() {
            all.add(Poly::atom(Expr::integer(-1).power(&exponent)), 1);
        }
        if size < RBig::ONE && !size.is_zero() {
            let inverse = Expr::number(RBig::ONE / size);
            all.add(Poly::atom(inverse.power(&exponent)), -1);
        } else if !size.is_one() {
            all.add(Poly::atom(Expr::number(size).power(&exponent)), 1);
        }
        for (factor, power) in &factors.factors {
            let inner = factor.as_atom().map(Expr::node);
            let part = match inner {
                Some(Node::Call(Function::Exp, of)) => {
                    let product = Expr::product_of(vec![of.clone(), exponent.clone()]);
                    self.fraction_factors(&self.call(Function::Exp, &product)?)
                }
                Some(Node::Constant(Constant::E)) => {
                    self.fraction_factors(&self.call(Function::Exp, &exponent)?)
                }
                Some(Node::Pow(base, of)) if self.sign_of_expr(base).has(Sign::Positive) => {
                    let product = Expr::product_of(vec![of.clone(), exponent.clone()]);
                    self.factors(&base.power(&product))?
                }
                _ => atom_factors(factor.to_expr().power(&exponent)),
            };
            all = all.times(self.raised(&part, *power)?);
        }
        Some(all)
    }

    /// Replaces powers of atoms that have a simpler value: s^k of a root, |u|², ((−1)^n)², cos².
    pub(crate) fn reduced(&self, poly: &Poly) -> Poly {
        let mut poly = poly.clone();
        'again: loop {
            for atom in poly.atoms() {
                let degree = poly.degree_in(&atom);
                let Some((power, value)) = self.power_value(&atom, degree) else {
                    continue;
                };
                let mut sum = Poly::zero();
                for (own, coefficient) in poly.coefficients_in(&atom).iter().enumerate() {
                    let own = u32::try_from(own).unwrap_or(u32::MAX);
                    let part = Poly::atom(atom.clone()).power(own % power);
                    let rest = value.power(own / power);
                    sum = sum.plus(&coefficient.times(&part).times(&rest));
                }
                poly = sum;
                continue 'again;
            }
            return poly;
        }
    }

    pub(super) fn power_value(&self, atom: &Expr, degree: u32) -> Option<(u32, Poly)> {
        if degree < 2 {
            return None;
        }
        match atom.node() {
            Node::Root(k, inner) if degree >= *k => {
                let inner = self.normal(inner)?.as_poly()?.clone();
                (k % 2 == 1 || self.sign_of(&inner).at_least).then_some((*k, inner))
            }
            Node::Call(Function::Abs, inner) => Some((2, self.normal(inner)?.as_poly()?.power(2))),
            Node::Call(Function::Cos, inner) => {
                let sine = Poly::atom(inner.call(Function::Sin));
                Some((2, Poly::one().minus(&sine.power(2))))
            }
            Node::Pow(base, exponent)
                if base.as_number() == Some(RBig::NEG_ONE) && self.is_integer(exponent) =>
            {
                Some((2, Poly::one()))
            }
            _ => None,
        }
    }
}

fn constant_root(degree: u32, value: &RBig) -> Option<Factors> {
    let k = i64::from(degree);
    let mut all = Factors::constant(RBig::ONE);
    for (prime, power) in bracket::prime_powers(value) {
        let (whole, left) = (power.div_euclid(k), power.rem_euclid(k));
        all.coefficient *= prime.pow(isize::try_from(whole).ok()?);
        if left > 0 {
            let root = Node::Root(degree, Expr::number(prime)).into();
            all.add(Poly::atom(root), left);
        }
    }
    Some(all)
}
