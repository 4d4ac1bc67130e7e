//! Named functions, extremes and pieces in normal form.

use super::facts::{Context, Sign};
use super::normal::{Factors, Fraction, atom, atom_factors, poly_factors};
use super::{Poly, Signed, bracket, magnitude, whole};
use crate::expr::{Condition, Constant, Expr, Function, Node};
use dashu::rational::RBig;

impl Context {
    pub(super) fn call(&self, function: Function, inner: &Expr) -> Option<Fraction> {
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
            Function::Sin | Function::Tan | Function::Atan | Function::Asin | Function::Cos => {
                self.circular(function, &argument)
            }
            Function::Sinh | Function::Cosh | Function::Tanh => {
                self.normal(&hyperbolic(function, inner))
            }
            Function::Acos => {
                let quarter = Expr::from(Node::Constant(Constant::Pi)).over(&Expr::integer(2));
                self.normal(&quarter.minus(&inner.call(Function::Asin)))
            }
            Function::Abs => {
                let factors = self.fraction_factors(&argument);
                let mut all = Factors::constant(magnitude(&factors.coefficient));
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
                    Some(value) if argument.denominator.is_empty() => Some(Fraction::number(
                        RBig::from(if function == Function::Floor {
                            value.floor()
                        } else {
                            value.ceil()
                        }),
                    )),
                    _ => plain(&argument),
                }
            }
            Function::Factorial => self.factorial(&argument),
        }
    }

    /// |p| by the known sign of p, else an atom.
    pub(super) fn absolute(&self, poly: &Poly) -> Option<Poly> {
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
    pub(super) fn whole_power<'p>(&self, poly: &'p Poly) -> Option<(&'p Expr, &'p Expr)> {
        let Node::Pow(base, exponent) = poly.as_atom()?.node() else {
            return None;
        };
        let defined = self.sign_of_expr(exponent).at_least || self.sign_of_expr(base).differs;
        (self.is_integer(exponent) && defined).then_some((base, exponent))
    }

    /// exp(Σ c m) = Π exp(m/q)^p with c = p/q.
    pub(super) fn exponential(&self, argument: &Fraction) -> Option<Fraction> {
        let mut all = Factors::constant(RBig::ONE);
        for (monomial, value) in argument.numerator.terms() {
            let top = i64::try_from(value.numerator().clone()).ok()?;
            let bottom = RBig::from_parts(1.into(), value.denominator().clone());
            let unit = Poly::monomial(monomial.clone()).scaled(&bottom);
            let unit = self.cancelled(unit, argument.denominator.clone());
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
    pub(super) fn logarithm(&self, inner: &Expr) -> Option<Fraction> {
        let factors = self.oriented(&self.factors(inner)?);
        if !factors.coefficient.is_positive() {
            return None;
        }
        let mut terms = Vec::new();
        for (prime, power) in bracket::prime_powers(&factors.coefficient) {
            let log = Expr::number(prime).call(Function::Log);
            terms.push(Fraction::poly(Poly::atom(log).scaled(&RBig::from(power))));
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
                Some(Node::Pow(base, exponent)) if self.sign_of_expr(base).has(Sign::Positive) => {
                    let log = self.logarithm(base)?.to_expr();
                    self.normal(&exponent.times(&log))?
                }
                _ => atom(factor.to_expr().call(Function::Log)),
            };
            terms.push(self.scaled(&value, &RBig::from(*power)));
        }
        self.sum(terms.into_iter().map(Some))
    }

    pub(super) fn scaled(&self, fraction: &Fraction, factor: &RBig) -> Fraction {
        Fraction {
            numerator: fraction.numerator.scaled(factor),
            denominator: fraction.denominator.clone(),
        }
    }

    pub(super) fn circular(&self, function: Function, argument: &Fraction) -> Option<Fraction> {
        if let Some(value) = self.special_value(function, argument) {
            return Some(value);
        }
        if let Some(value) = self.shifted_by_half_turns(function, argument) {
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

    /// sin(u + k π) = (−1)^k sin u for an integer k, cos likewise, and tan(u + k π) = tan u.
    fn shifted_by_half_turns(&self, function: Function, argument: &Fraction) -> Option<Fraction> {
        if !matches!(function, Function::Sin | Function::Cos | Function::Tan) {
            return None;
        }
        let pi = Expr::from(Node::Constant(Constant::Pi));
        let (mut turns, mut rest) = (Poly::zero(), Poly::zero());
        for (monomial, value) in argument.as_poly()?.terms() {
            let term = Poly::monomial(monomial.clone()).scaled(value);
            let turn = value.is_int()
                && term.degree_in(&pi) == 1
                && monomial
                    .factors()
                    .iter()
                    .all(|(own, _)| *own == pi || self.is_integer(own));
            if turn {
                turns = turns.plus(&term);
            } else {
                rest = rest.plus(&term);
            }
        }
        if turns.is_zero() || rest.is_zero() {
            return None;
        }
        let count = turns.divided(&Poly::atom(pi))?.to_expr();
        let value = self.circular(function, &Fraction::poly(rest))?;
        if function == Function::Tan {
            return Some(value);
        }
        let sign = self.normal(&Expr::integer(-1).power(&count))?;
        self.normal(&sign.to_expr().times(&value.to_expr()))
    }

    /// Values at multiples of π/2, at n π, and at ±1.
    pub(super) fn special_value(
        &self,
        function: Function,
        argument: &Fraction,
    ) -> Option<Fraction> {
        let poly = argument.as_poly()?;
        let pi = Expr::from(Node::Constant(Constant::Pi));
        if let Some(value) = poly.as_constant() {
            let size = magnitude(&value);
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
            let Some(halves) = whole(&(&value * RBig::from(2))) else {
                return sharp_value(function, &value);
            };
            let quarters = halves.rem_euclid(4);
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
    pub(super) fn factorial(&self, argument: &Fraction) -> Option<Fraction> {
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
                    value.is_int() && monomial.factors().iter().all(|(a, _)| self.is_integer(a))
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

    pub(super) fn extreme(&self, items: &[Expr], greatest: bool) -> Option<Fraction> {
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

    pub(super) fn piecewise(&self, branches: &[(Condition, Expr)]) -> Option<Fraction> {
        for (place, (condition, value)) in branches.iter().enumerate() {
            match self.judge(condition) {
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
    pub(crate) fn judge(&self, condition: &Condition) -> Option<bool> {
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
                let all: Vec<_> = items.iter().map(|item| self.judge(item)).collect();
                if all.contains(&Some(false)) && !all.contains(&None) {
                    return Some(false);
                }
                all.iter().all(|own| *own == Some(true)).then_some(true)
            }
            Condition::Or(items) => {
                let all: Vec<_> = items.iter().map(|item| self.judge(item)).collect();
                if all.contains(&Some(true)) {
                    return Some(true);
                }
                all.iter().all(|own| *own == Some(false)).then_some(false)
            }
            Condition::Not(inner) => self.judge(inner).map(|own| !own),
            Condition::Integer(value) => {
                if !self.is_defined(value) {
                    None
                } else if self.is_integer(value) {
                    Some(true)
                } else {
                    self.integrality(value)
                }
            }
        }
    }

    /// Whether a polynomial in integers with integer coefficients, but for its constant term, is
    /// an integer: exactly if that term is one.
    pub(super) fn integrality(&self, value: &Expr) -> Option<bool> {
        let form = self.normal(value)?;
        let mut whole = true;
        for (monomial, coefficient) in form.as_poly()?.terms() {
            if monomial.factors().is_empty() {
                whole = coefficient.is_int();
            } else if !coefficient.is_int()
                || !monomial
                    .factors()
                    .iter()
                    .all(|(own, _)| self.is_integer(own))
            {
                return None;
            }
        }
        Some(whole)
    }
}

/// sin and cos at π/6, π/4, π/3.
fn sharp_value(function: Function, share: &RBig) -> Option<Fraction> {
    let twelfths = whole(&(share * RBig::from(12)))?;
    let (sine, cosine) = match twelfths {
        2 => (1, 3),
        3 => (2, 2),
        4 => (3, 1),
        _ => return None,
    };
    let half = RBig::ONE / RBig::from(2);
    let value = |square: i64| {
        let root = match square {
            1 => Poly::one(),
            _ => Poly::atom(Node::Root(2, Expr::integer(square)).into()),
        };
        Some(Fraction::poly(root.scaled(&half)))
    };
    match function {
        Function::Sin => value(sine),
        Function::Cos => value(cosine),
        _ => None,
    }
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
