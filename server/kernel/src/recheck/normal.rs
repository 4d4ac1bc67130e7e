//! The normal form of an expression: a fraction of polynomials over atoms.
//!
//! Each rewriting is valid under what is known at that point; a rewriting whose condition is not
//! known leaves an opaque atom. A divisor that is not known to differ from 0 gives no form at all.

use super::facts::Context;
use super::poly::Poly;
use super::proof::Sign;
use crate::expr::{Condition, Constant, Expr, Function, Node};
use super::signed::Signed;
use dashu::rational::RBig;
use std::collections::BTreeMap;

/// The largest literal power that is expanded.
const POWER_LIMIT: i64 = 64;
/// The largest product of term counts that is expanded.
const TERM_LIMIT: usize = 60_000;

/// A fraction; the denominator's factors are primitive and known to differ from 0.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fraction {
    numerator: Poly,
    denominator: BTreeMap<Poly, u32>,
}

/// A product c · Π f^e of primitive polynomials that are no monomials, or single atoms.
#[derive(Clone, Debug)]
pub(super) struct Factors {
    pub(super) coefficient: RBig,
    pub(super) factors: BTreeMap<Poly, i64>,
}

impl Factors {
    fn constant(value: RBig) -> Self {
        Self {
            coefficient: value,
            factors: BTreeMap::new(),
        }
    }

    fn add(&mut self, factor: Poly, power: i64) {
        let own = self.factors.entry(factor.clone()).or_insert(0);
        *own += power;
        if *own == 0 {
            self.factors.remove(&factor);
        }
    }

    fn times(mut self, other: Self) -> Self {
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

    fn number(value: RBig) -> Self {
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
            Node::Constant(_) | Node::Variable(_) => {
                Some(Fraction::poly(Poly::atom(expr.clone())))
            }
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
            Node::Derivative { variable, body } => {
                let (slope, conditions) = super::slope::differentiate(body, variable)?;
                let smooth = conditions
                    .iter()
                    .all(|(value, sign)| self.sign_of_expr(value).has(*sign));
                if smooth { self.normal(&slope) } else { None }
            }
            Node::Piecewise(branches) => self.piecewise(branches),
            Node::Sum {
                index,
                from,
                to: Some(to),
                body,
            } => match super::series::listed(index, from, to, body) {
                Some(terms) => self.sum(terms.iter().map(|term| self.normal(term))),
                None => Some(atom(expr.clone())),
            },
            Node::Product {
                index,
                from,
                to,
                body,
            } => match super::series::listed(index, from, to, body) {
                Some(terms) => self.normal(&Expr::product_of(terms)),
                None => Some(atom(expr.clone())),
            },
            Node::Sum { .. } => Some(atom(expr.clone())),
            Node::Mul(_) | Node::Div(..) | Node::Pow(..) | Node::Root(..) => {
                let factors = self.factors(expr)?;
                self.product(&factors)
            }
        }
    }

    fn sum(&self, terms: impl Iterator<Item = Option<Fraction>>) -> Option<Fraction> {
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

    fn product_of(&self, left: &Poly, right: &Poly) -> Option<Poly> {
        (left.len() * right.len() <= TERM_LIMIT).then(|| self.reduced(&left.times(right)))
    }

    fn cancelled(&self, numerator: Poly, mut denominator: BTreeMap<Poly, u32>) -> Fraction {
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

    fn product(&self, factors: &Factors) -> Option<Fraction> {
        let mut numerator = Poly::constant(factors.coefficient.clone());
        let mut denominator = BTreeMap::new();
        for (factor, power) in &factors.factors {
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

    fn fraction_factors(&self, fraction: &Fraction) -> Factors {
        let mut factors = poly_factors(&fraction.numerator);
        for (factor, power) in &fraction.denominator {
            factors.add(factor.clone(), -i64::from(*power));
        }
        factors
    }

    /// An integer power; negative ones only if all factors are known to differ from 0.
    fn raised(&self, factors: &Factors, power: i64) -> Option<Factors> {
        if power.abs() > POWER_LIMIT {
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

    /// The same product with every factor that is known to be ≤ 0 turned.
    fn oriented(&self, factors: &Factors) -> Factors {
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
    fn root(&self, degree: u32, inner: &Factors) -> Option<Factors> {
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
                all.add(Poly::atom(Node::Root(degree, factor.to_expr()).into()), left);
            } else {
                rest = self.product_of(&rest, &factor.power(u32::try_from(left).ok()?))?;
            }
        }
        let (sign, size) = (
            inner.coefficient.is_negative(),
            super::bracket::magnitude(&inner.coefficient),
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

    fn pow(&self, base: &Expr, exponent: &Expr) -> Option<Factors> {
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
    fn symbolic_power(
        &self,
        factors: &Factors,
        power: &Fraction,
    ) -> Option<Factors> {
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
            let unit = Fraction {
                numerator: Poly::monomial(monomial.clone()),
                denominator: power.denominator.clone(),
            };
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
            let unit = Fraction {
                numerator: unit.numerator.scaled(&bottom),
                ..unit
            };
            all = all.times(self.raised(&self.unit_power(factors, &unit)?, top)?);
        }
        Some(all)
    }

    fn whole_terms(&self, factors: &Factors, power: &Fraction) -> bool {
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
                !value.is_negative()
                    && self
                        .sign_of(&Poly::monomial(monomial.clone()))
                        .at_least
            })
        };
        whole && (differs || nonnegative())
    }

    /// Π f^unit for one term of an exponent.
    fn unit_power(&self, factors: &Factors, unit: &Fraction) -> Option<Factors> {
        let exponent = unit.to_expr();
        let mut all = Factors::constant(RBig::ONE);
        let size = super::bracket::magnitude(&factors.coefficient);
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

    fn call(&self, function: Function, inner: &Expr) -> Option<Fraction> {
        let argument = self.normal(inner)?;
        let plain = |argument: &Fraction| Some(atom(argument.to_expr().call(function)));
        if argument.numerator.is_zero() {
            match function {
                Function::Exp | Function::Cos | Function::Cosh | Function::Factorial => {
                    return Some(Fraction::number(RBig::ONE));
                }
                Function::Log | Function::Acos => {}
                _ => return Some(Fraction::number(RBig::ZERO)),
            }
        }
        match function {
            Function::Exp => self.exponential(&argument),
            Function::Log => match self.logarithm(inner) {
                Some(form) => Some(form),
                None => plain(&argument),
            },
            Function::Sin
            | Function::Tan
            | Function::Atan
            | Function::Asin
            | Function::Cos => self.circular(function, &argument),
            Function::Sinh | Function::Cosh | Function::Tanh => {
                self.normal(&hyperbolic(function, inner))
            }
            Function::Acos => {
                let quarter = Expr::from(Node::Constant(Constant::Pi)).over(&Expr::integer(2));
                self.normal(&quarter.minus(&inner.call(Function::Asin)))
            }
            Function::Abs => {
                let factors = self.fraction_factors(&argument);
                let mut all = Factors::constant(super::bracket::magnitude(&factors.coefficient));
                for (factor, power) in &factors.factors {
                    let size = if power % 2 == 0 {
                        factor.clone()
                    } else {
                        self.absolute(factor)?
                    };
                    all = all.times(self.raised(&poly_factors(&size), *power)?);
                }
                self.product(&all)
            }
            Function::Sign => {
                let own = self.sign_of_fraction(&argument);
                match (own.has(Sign::Positive), own.at_most && own.differs) {
                    (true, _) => Some(Fraction::number(RBig::ONE)),
                    (_, true) => Some(Fraction::number(RBig::NEG_ONE)),
                    _ => plain(&argument),
                }
            }
            Function::Floor | Function::Ceil => {
                if self.is_integer(inner) {
                    return Some(argument);
                }
                match argument.numerator.as_constant() {
                    Some(value) if argument.denominator.is_empty() => {
                        Some(Fraction::number(RBig::from(
                            if function == Function::Floor {
                                value.floor()
                            } else {
                                value.ceil()
                            },
                        )))
                    }
                    _ => plain(&argument),
                }
            }
            Function::Factorial => self.factorial(&argument),
        }
    }

    /// |p| by the known sign of p, else an atom.
    fn absolute(&self, poly: &Poly) -> Option<Poly> {
        let own = self.sign_of(poly);
        if own.at_least {
            Some(poly.clone())
        } else if own.at_most {
            Some(poly.negative())
        } else if let Some((base, exponent)) = self.whole_power(poly) {
            let size = self.normal(&base.abs().power(exponent))?;
            size.as_poly().cloned()
        } else {
            Some(Poly::atom(poly.to_expr().abs()))
        }
    }

    /// The base and exponent of a power atom with an integer exponent that is defined.
    fn whole_power<'p>(&self, poly: &'p Poly) -> Option<(&'p Expr, &'p Expr)> {
        let Node::Pow(base, exponent) = poly.as_atom()?.node() else {
            return None;
        };
        let defined =
            self.sign_of_expr(exponent).at_least || self.sign_of_expr(base).differs;
        (self.is_integer(exponent) && defined).then_some((base, exponent))
    }

    /// exp(Σ c m) = Π exp(m/q)^p with c = p/q.
    fn exponential(&self, argument: &Fraction) -> Option<Fraction> {
        let mut all = Factors::constant(RBig::ONE);
        for (monomial, value) in argument.numerator.terms() {
            let top = i64::try_from(value.numerator().clone()).ok()?;
            let bottom = RBig::from_parts(1.into(), value.denominator().clone());
            let unit = Fraction {
                numerator: Poly::monomial(monomial.clone()).scaled(&bottom),
                denominator: argument.denominator.clone(),
            };
            let log = match monomial.factors() {
                [(own, 1)] if unit.denominator.is_empty() && bottom.is_one() => Some(own),
                _ => None,
            };
            let part = match (unit.as_poly().and_then(Poly::as_constant), log) {
                (Some(value), _) if value.is_one() => Expr::from(Node::Constant(Constant::E)),
                (_, Some(own)) => match own.node() {
                    Node::Call(Function::Log, of) if self.sign_of_expr(of).has(Sign::Positive) => {
                        of.clone()
                    }
                    _ => unit.to_expr().call(Function::Exp),
                },
                _ => unit.to_expr().call(Function::Exp),
            };
            let factors = match part.node() {
                Node::Call(..) | Node::Constant(_) => atom_factors(part),
                _ => self.factors(&part)?,
            };
            all = all.times(self.raised(&factors, top)?);
        }
        self.product(&all)
    }

    /// log of a product of positive factors.
    fn logarithm(&self, inner: &Expr) -> Option<Fraction> {
        let factors = self.oriented(&self.factors(inner)?);
        if !factors.coefficient.is_positive() {
            return None;
        }
        let mut terms = Vec::new();
        for (prime, power) in super::bracket::prime_powers(&factors.coefficient) {
            let log = Expr::number(prime).call(Function::Log);
            terms.push(Fraction::poly(
                Poly::atom(log).scaled(&RBig::from(power)),
            ));
        }
        for (factor, power) in &factors.factors {
            if !self.sign_of(factor).has(Sign::Positive) {
                return None;
            }
            let value = match factor.as_atom().map(Expr::node) {
                Some(Node::Constant(Constant::E)) => Fraction::number(RBig::ONE),
                Some(Node::Call(Function::Exp, of)) => self.normal(of)?,
                Some(Node::Root(degree, of)) if self.sign_of_expr(of).has(Sign::Positive) => {
                    let share = RBig::ONE / RBig::from(*degree);
                    self.scaled(&self.logarithm(of)?, &share)
                }
                Some(Node::Pow(base, exponent))
                    if self.sign_of_expr(base).has(Sign::Positive) =>
                {
                    let log = self.logarithm(base)?.to_expr();
                    self.normal(&exponent.times(&log))?
                }
                _ => atom(factor.to_expr().call(Function::Log)),
            };
            terms.push(self.scaled(&value, &RBig::from(*power)));
        }
        self.sum(terms.into_iter().map(Some))
    }

    fn scaled(&self, fraction: &Fraction, factor: &RBig) -> Fraction {
        Fraction {
            numerator: fraction.numerator.scaled(factor),
            denominator: fraction.denominator.clone(),
        }
    }

    fn circular(&self, function: Function, argument: &Fraction) -> Option<Fraction> {
        if let Some(value) = self.special_value(function, argument) {
            return Some(value);
        }
        let turned = argument
            .numerator
            .terms()
            .next_back()
            .is_some_and(|(_, value)| value.is_negative());
        if !turned {
            return Some(atom(argument.to_expr().call(function)));
        }
        let positive = self.scaled(argument, &RBig::NEG_ONE);
        let value = atom(positive.to_expr().call(function));
        Some(if function == Function::Cos {
            value
        } else {
            self.scaled(&value, &RBig::NEG_ONE)
        })
    }

    /// Values at multiples of π/2, at n π, and at ±1.
    fn special_value(&self, function: Function, argument: &Fraction) -> Option<Fraction> {
        let poly = argument.as_poly()?;
        let pi = Expr::from(Node::Constant(Constant::Pi));
        if let Some(value) = poly.as_constant() {
            let size = super::bracket::magnitude(&value);
            let share = match function {
                Function::Atan if size.is_one() => RBig::ONE / RBig::from(4),
                Function::Asin if size.is_one() => RBig::ONE / RBig::from(2),
                _ => return None,
            };
            return Some(Fraction::poly(Poly::atom(pi).scaled(&(share * value))));
        }
        let multiple = poly.divided(&Poly::atom(pi.clone()))?;
        if multiple.degree_in(&pi) > 0 {
            return None;
        }
        if let Some(value) = multiple.as_constant() {
            let quarters = whole(&(value * RBig::from(2)))?.rem_euclid(4);
            let sine = [0, 1, 0, -1];
            let place = usize::try_from(quarters).ok()?;
            return match function {
                Function::Sin => Some(Fraction::number(RBig::from(sine[place]))),
                Function::Cos => Some(Fraction::number(RBig::from(sine[(place + 1) % 4]))),
                Function::Tan if place % 2 == 0 => Some(Fraction::number(RBig::ZERO)),
                _ => None,
            };
        }
        let count = multiple.to_expr();
        let integer = multiple.terms().all(|(monomial, value)| {
            value.is_int() && monomial.factors().iter().all(|(a, _)| self.is_integer(a))
        });
        match function {
            Function::Sin | Function::Tan if integer => Some(Fraction::number(RBig::ZERO)),
            Function::Cos if integer => self.normal(&Expr::integer(-1).power(&count)),
            _ => None,
        }
    }

    /// (m + c)! = m! (m + 1) … (m + c) for an integer m ≥ 0.
    fn factorial(&self, argument: &Fraction) -> Option<Fraction> {
        let plain = || Some(atom(argument.to_expr().call(Function::Factorial)));
        let Some(poly) = argument.as_poly() else {
            return plain();
        };
        let shift = poly
            .terms()
            .next()
            .filter(|(monomial, _)| monomial.factors().is_empty())
            .and_then(|(_, value)| whole(value))
            .unwrap_or(0);
        if !(1..=20).contains(&shift) {
            return plain();
        }
        let base = poly.minus(&Poly::constant(RBig::from(shift)));
        let valid = base.is_zero()
            || (self.sign_of(&base).at_least
                && base.terms().all(|(monomial, value)| {
                    value.is_int()
                        && monomial.factors().iter().all(|(a, _)| self.is_integer(a))
                }));
        if !valid {
            return plain();
        }
        let mut product = if base.is_zero() {
            Poly::one()
        } else {
            Poly::atom(base.to_expr().call(Function::Factorial))
        };
        for i in 1..=shift {
            let next = base.plus(&Poly::constant(RBig::from(i)));
            product = self.product_of(&product, &next)?;
        }
        Some(Fraction::poly(product))
    }

    fn extreme(&self, items: &[Expr], greatest: bool) -> Option<Fraction> {
        let forms: Vec<Expr> = items
            .iter()
            .map(|item| Some(self.normal(item)?.to_expr()))
            .collect::<Option<_>>()?;
        let mut kept: Vec<Expr> = Vec::new();
        for form in forms {
            let beats = |a: &Expr, b: &Expr| {
                let own = self.sign_of_expr(&a.minus(b));
                if greatest { own.at_least } else { own.at_most }
            };
            if kept.iter().any(|other| beats(other, &form)) {
                continue;
            }
            kept.retain(|other| !beats(&form, other));
            kept.push(form);
        }
        kept.sort();
        match kept.as_slice() {
            [] => None,
            [only] => self.normal(only),
            _ if greatest => Some(atom(Node::Max(kept).into())),
            _ => Some(atom(Node::Min(kept).into())),
        }
    }

    fn piecewise(&self, branches: &[(Condition, Expr)]) -> Option<Fraction> {
        for (place, (condition, value)) in branches.iter().enumerate() {
            match self.judged(condition) {
                Some(true) => return self.normal(value),
                Some(false) => {}
                None => {
                    let rest = branches[place..].to_vec();
                    return Some(atom(Node::Piecewise(rest).into()));
                }
            }
        }
        None
    }

    /// Whether a condition is known to hold or to fail.
    pub(super) fn judged(&self, condition: &Condition) -> Option<bool> {
        match condition {
            Condition::Holds(left, relation, right) => {
                if !self.is_defined(left) || !self.is_defined(right) {
                    return None;
                }
                let own = self.sign_of_expr(&left.minus(right));
                if own.stands(*relation) {
                    Some(true)
                } else if own.stands(relation.negated()) {
                    Some(false)
                } else {
                    None
                }
            }
            Condition::And(items) => {
                let all: Vec<_> = items.iter().map(|item| self.judged(item)).collect();
                if all.contains(&Some(false)) && !all.contains(&None) {
                    return Some(false);
                }
                all.iter().all(|own| *own == Some(true)).then_some(true)
            }
            Condition::Or(items) => {
                let all: Vec<_> = items.iter().map(|item| self.judged(item)).collect();
                if all.contains(&Some(true)) {
                    return Some(true);
                }
                all.iter().all(|own| *own == Some(false)).then_some(false)
            }
            Condition::Not(inner) => self.judged(inner).map(|own| !own),
            Condition::Integer(value) => {
                (self.is_integer(value) && self.is_defined(value)).then_some(true)
            }
        }
    }

    /// Replaces powers of atoms that have a simpler value: s^k of a root, |u|², ((−1)^n)², cos².
    pub(super) fn reduced(&self, poly: &Poly) -> Poly {
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

    fn power_value(&self, atom: &Expr, degree: u32) -> Option<(u32, Poly)> {
        if degree < 2 {
            return None;
        }
        match atom.node() {
            Node::Root(k, inner) if degree >= *k => {
                let inner = self.normal(inner)?.as_poly()?.clone();
                (k % 2 == 1 || self.sign_of(&inner).at_least).then_some((*k, inner))
            }
            Node::Call(Function::Abs, inner) => {
                Some((2, self.normal(inner)?.as_poly()?.power(2)))
            }
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

fn atom(expr: Expr) -> Fraction {
    Fraction::poly(Poly::atom(expr))
}

fn atom_factors(expr: Expr) -> Factors {
    Factors {
        coefficient: RBig::ONE,
        factors: BTreeMap::from([(Poly::atom(expr), 1)]),
    }
}

fn poly_factors(poly: &Poly) -> Factors {
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

fn constant_root(degree: u32, value: &RBig) -> Option<Factors> {
    let k = i64::from(degree);
    let mut all = Factors::constant(RBig::ONE);
    for (prime, power) in super::bracket::prime_powers(value) {
        let (whole, left) = (power.div_euclid(k), power.rem_euclid(k));
        all.coefficient *= prime.pow(isize::try_from(whole).ok()?);
        if left > 0 {
            let root = Node::Root(degree, Expr::number(prime)).into();
            all.add(Poly::atom(root), left);
        }
    }
    Some(all)
}

fn hyperbolic(function: Function, inner: &Expr) -> Expr {
    let (up, down) = (
        inner.call(Function::Exp),
        inner.negative().call(Function::Exp),
    );
    let two = Expr::integer(2);
    match function {
        Function::Sinh => up.minus(&down).over(&two),
        Function::Cosh => up.plus(&down).over(&two),
        _ => up.minus(&down).over(&up.plus(&down)),
    }
}

/// The integer that a number is, if it is small.
pub(super) fn whole(value: &RBig) -> Option<i64> {
    if value.is_int() {
        i64::try_from(value.numerator().clone()).ok()
    } else {
        None
    }
}
