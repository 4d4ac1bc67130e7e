//! Definedness: what a defined expression tells, and when an expression is known to be defined.

use super::facts::{Context, Sign};
use super::{Poly, Signed, sums};
use crate::calculus::differentiate;
use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use crate::goal::Problem;
use dashu::rational::RBig;

impl Context {
    /// The situation of a problem: its variables and hypotheses, polynomial ones first, because
    /// they give the signs that the others need, those with absolute values and the like last.
    #[must_use]
    pub fn of(problem: &Problem) -> Self {
        let mut context = Self::default();
        for variable in &problem.variables {
            context.declare(variable.clone());
        }
        for round in 0..3 {
            for hypothesis in &problem.hypotheses {
                if round_of(&hypothesis.condition) == round {
                    context.assume(&hypothesis.condition);
                }
            }
        }
        context
    }

    /// Takes a true condition in; of a disjunction nothing.
    pub(crate) fn assume(&mut self, condition: &Condition) {
        match condition {
            Condition::Holds(left, relation, right) => {
                self.learn_defined(left);
                self.learn_defined(right);
                let (gap, sign) = Sign::of_relation(left, *relation, right);
                if let Some(form) = self.normal(&gap) {
                    let poly = self.signed_numerator(&form);
                    self.record(&poly, sign);
                }
            }
            Condition::And(items) => {
                for item in items {
                    self.assume(item);
                }
            }
            Condition::Or(_) => {}
            Condition::Not(inner) => match inner.as_ref() {
                Condition::Holds(left, relation, right) => self.assume(&Condition::Holds(
                    left.clone(),
                    relation.negated(),
                    right.clone(),
                )),
                Condition::Or(items) => {
                    for item in items {
                        self.assume(&Condition::Not(Box::new(item.clone())));
                    }
                }
                Condition::Not(item) => self.assume(item),
                Condition::And(_) | Condition::Integer(_) => {}
            },
            Condition::Integer(value) => {
                self.learn_defined(value);
                if self.integrality(value) == Some(false) {
                    self.contradicted();
                }
                self.integers.push(value.clone());
                if let Some(form) = self.normal(value) {
                    self.integers.push(form.to_expr());
                }
            }
        }
    }

    /// Facts that follow from the expression being defined.
    fn learn_defined(&mut self, expr: &Expr) {
        match expr.node() {
            // Bodies speak of a bound index or of a neighbourhood, not of this point.
            Node::Sum { to: None, .. } => return self.converges(expr),
            Node::Sum { .. }
            | Node::Product { .. }
            | Node::Derivative { .. }
            | Node::Piecewise(_) => return,
            _ => {}
        }
        for child in expr.children() {
            self.learn_defined(child);
        }
        for (value, sign) in demands(expr) {
            self.learn(&value, sign);
        }
    }

    fn learn(&mut self, expr: &Expr, sign: Sign) {
        if sign == Sign::NonZero {
            // A product that is not 0 has no factor that is 0.
            if let Node::Mul(items) = expr.node() {
                for item in items.clone() {
                    self.learn(&item, sign);
                }
            }
            if let Node::Pow(base, exponent) = expr.node()
                && exponent.as_number().is_some_and(|k| k > RBig::ZERO)
            {
                self.learn(&base.clone(), sign);
            }
        }
        if let Some(form) = self.normal(expr) {
            let poly = if sign == Sign::NonZero {
                form.numerator().clone()
            } else {
                self.signed_numerator(&form)
            };
            if poly.as_constant().is_none() {
                self.record(&poly, sign);
            }
        }
    }

    /// Whether the expression is known to be defined.
    #[must_use]
    pub fn is_defined(&self, expr: &Expr) -> bool {
        match expr.node() {
            Node::Piecewise(branches) => return self.is_piecewise_defined(branches),
            Node::Derivative { variable, body } => {
                return self.is_defined(body)
                    && self.is_smooth(body, variable)
                    && differentiate(body, variable).is_some_and(|slope| self.is_defined(&slope));
            }
            Node::Sum {
                index,
                from,
                to,
                body,
            } => return sums::is_defined(self, index, from, to.as_ref(), body),
            Node::Product {
                index,
                from,
                to,
                body,
            } => return sums::is_defined(self, index, from, Some(to), body),
            _ => {}
        }
        let has = |value: &Expr, sign| self.sign_of_expr(value).has(sign);
        expr.children().iter().all(|child| self.is_defined(child))
            && demands(expr).iter().all(|(value, sign)| has(value, *sign))
            && match expr.node() {
                Node::Root(degree, _) => 2 <= *degree,
                Node::Call(Function::Tan, inner) => has(&inner.call(Function::Cos), Sign::NonZero),
                Node::Call(Function::Factorial, inner) => self.is_integer(inner),
                Node::Min(items) | Node::Max(items) => !items.is_empty(),
                Node::Pow(base, _) if *base.node() == Node::Constant(Constant::E) => true,
                Node::Pow(base, exponent) if self.is_integer(exponent) => {
                    has(exponent, Sign::NonNegative) || has(base, Sign::NonZero)
                }
                Node::Pow(base, exponent) => {
                    has(base, Sign::Positive)
                        || (has(base, Sign::NonNegative) && has(exponent, Sign::Positive))
                }
                _ => true,
            }
    }

    /// Whether a defined expression of these operations is defined around the point as well,
    /// where its derivative by the rules is defined. The derivatives of all other operations
    /// have their exceptional points as poles; of powers only those of a positive base, or with
    /// an integer exponent, are taken.
    fn is_smooth(&self, expr: &Expr, variable: &Symbol) -> bool {
        if !expr.mentions(variable) {
            return true;
        }
        let own = match expr.node() {
            Node::Sum { .. }
            | Node::Product { .. }
            | Node::Min(_)
            | Node::Max(_)
            | Node::Apply(..)
            | Node::Piecewise(_) => false,
            Node::Pow(base, exponent) => {
                self.is_integer(exponent) || self.sign_of_expr(base).has(Sign::Positive)
            }
            _ => true,
        };
        let children = expr.children();
        own && children.iter().all(|own| self.is_smooth(own, variable))
    }

    /// Defined if a branch is known to be chosen and defined, or if every branch that may be
    /// chosen is defined and the last is unconditional.
    fn is_piecewise_defined(&self, branches: &[(Condition, Expr)]) -> bool {
        for (condition, value) in branches {
            match self.judge(condition) {
                Some(true) => return self.is_defined(value),
                Some(false) => {}
                None => return false,
            }
        }
        false
    }

    /// Whether a relation between two expressions is known, both of them being defined.
    #[must_use]
    pub fn holds(&self, left: &Expr, relation: Relation, right: &Expr) -> bool {
        self.is_defined(left)
            && self.is_defined(right)
            && self
                .normal(&left.minus(right))
                .is_some_and(|form| self.sign_of_fraction(&form).stands(relation))
    }

    /// Adds facts about expressions: all of them, or none if one has no normal form.
    pub(crate) fn record_all(&mut self, values: &[(Expr, Sign)]) -> Option<()> {
        let polys: Vec<(Poly, Sign)> = values
            .iter()
            .map(|(value, sign)| Some((self.signed_numerator(&self.normal(value)?), *sign)))
            .collect::<Option<_>>()?;
        for (poly, sign) in &polys {
            self.record(poly, *sign);
        }
        Some(())
    }
}

/// 0 for polynomials in variables, 2 where a value depends on signs (absolute values, minima),
/// 1 for all others.
fn round_of(condition: &Condition) -> usize {
    let mut round = 0;
    condition.visit(&mut |expr| {
        let own = match expr.node() {
            Node::Number(_)
            | Node::Constant(_)
            | Node::Variable(_)
            | Node::Add(_)
            | Node::Mul(_)
            | Node::Neg(_) => 0,
            Node::Pow(_, exponent) => {
                usize::from(exponent.as_number().is_none_or(|k| k < RBig::ZERO))
            }
            Node::Div(_, divisor) => usize::from(divisor.as_number().is_none()),
            Node::Call(Function::Abs | Function::Sign, _)
            | Node::Min(_)
            | Node::Max(_)
            | Node::Piecewise(_) => 2,
            _ => 1,
        };
        round = round.max(own);
    });
    round
}

/// The signs that operands must have for an operation to be defined, so far as they are signs of
/// operands whatever the others are.
fn demands(expr: &Expr) -> Vec<(Expr, Sign)> {
    let (operand, sign) = match expr.node() {
        Node::Div(_, divisor) => (divisor, Sign::NonZero),
        Node::Root(degree, inner) if degree % 2 == 0 => (inner, Sign::NonNegative),
        Node::Call(Function::Log, inner) => (inner, Sign::Positive),
        Node::Call(Function::Factorial, inner) => (inner, Sign::NonNegative),
        Node::Call(Function::Asin | Function::Acos, inner) => {
            let one = Expr::integer(1);
            let ends = [one.minus(inner), inner.plus(&one)];
            return ends.map(|value| (value, Sign::NonNegative)).to_vec();
        }
        Node::Pow(base, exponent) => match exponent.as_number() {
            Some(value) if value.is_int() && value.is_negative() => (base, Sign::NonZero),
            Some(value) if value.is_negative() => (base, Sign::Positive),
            Some(value) if !value.is_int() => (base, Sign::NonNegative),
            _ => return Vec::new(),
        },
        _ => return Vec::new(),
    };
    vec![(operand.clone(), sign)]
}
