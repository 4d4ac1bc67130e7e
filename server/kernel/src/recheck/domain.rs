//! Definedness: what a defined expression tells, and when an expression is known to be defined.

use super::facts::Context;
use super::proof::Sign;
use crate::algebra::{Poly, Signed, whole};
use crate::expr::{Condition, Constant, Expr, Function, Node, Relation};
use crate::goal::Problem;
use dashu::rational::RBig;

impl Context {
    /// The situation of a problem: its variables and hypotheses, polynomial ones first, because
    /// they give the signs that the others need, those with absolute values and the like last.
    #[must_use]
    pub fn of(problem: &Problem) -> Self {
        let mut context = Self::default();
        context.variables.clone_from(&problem.variables);
        for round in 0..3 {
            for hypothesis in &problem.hypotheses {
                if round_of(&hypothesis.condition) == round {
                    context.assume(&hypothesis.condition);
                }
            }
        }
        context
    }

    /// Takes a true condition in. Disjunctions are left to [`super::Proof::Either`].
    pub(super) fn assume(&mut self, condition: &Condition) {
        match condition {
            Condition::Holds(left, relation, right) => {
                self.learn_defined(left);
                self.learn_defined(right);
                self.assume_relation(left, *relation, right);
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

    fn assume_relation(&mut self, left: &Expr, relation: Relation, right: &Expr) {
        let (greater, smaller) = match relation {
            Relation::Less | Relation::LessEqual => (right, left),
            _ => (left, right),
        };
        let Some(form) = self.normal(&greater.minus(smaller)) else {
            return;
        };
        let sign = match relation {
            Relation::Less | Relation::Greater => Sign::Positive,
            Relation::LessEqual | Relation::GreaterEqual => Sign::NonNegative,
            Relation::Equal => Sign::Zero,
            Relation::NotEqual => Sign::NonZero,
        };
        let poly = self.signed_numerator(&form);
        self.record(&poly, sign);
    }

    /// Facts that follow from the expression being defined.
    fn learn_defined(&mut self, expr: &Expr) {
        match expr.node() {
            // Bodies speak of a bound index or of a neighbourhood, not of this point.
            Node::Sum { .. } | Node::Product { .. } | Node::Derivative { .. } => return,
            Node::Piecewise(_) => return,
            _ => {}
        }
        for child in expr.children() {
            self.learn_defined(child);
        }
        match expr.node() {
            Node::Div(_, divisor) => self.learn(divisor, Sign::NonZero),
            Node::Root(degree, inner) if degree % 2 == 0 => self.learn(inner, Sign::NonNegative),
            Node::Call(Function::Log, inner) => self.learn(inner, Sign::Positive),
            Node::Call(Function::Factorial, inner) => self.learn(inner, Sign::NonNegative),
            Node::Call(Function::Asin | Function::Acos, inner) => {
                self.learn(&Expr::integer(1).minus(inner), Sign::NonNegative);
                self.learn(&inner.plus(&Expr::integer(1)), Sign::NonNegative);
            }
            Node::Pow(base, exponent) => match exponent.as_number() {
                Some(value) if whole(&value).is_some_and(|k| k < 0) => {
                    self.learn(base, Sign::NonZero);
                }
                Some(value) if value.is_int() => {}
                Some(value) if value.is_negative() => self.learn(base, Sign::Positive),
                Some(_) => self.learn(base, Sign::NonNegative),
                None => {}
            },
            _ => {}
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
                    && super::slope::differentiate(body, variable).is_some_and(|(_, all)| {
                        all.iter()
                            .all(|(value, sign)| self.sign_of_expr(value).has(*sign))
                    });
            }
            Node::Sum {
                index,
                from,
                to,
                body,
            } => return super::series::is_defined(self, index, from, to.as_ref(), body),
            Node::Product {
                index,
                from,
                to,
                body,
            } => return super::series::is_defined(self, index, from, Some(to), body),
            _ => {}
        }
        expr.children().iter().all(|child| self.is_defined(child))
            && self.is_operation_defined(expr)
    }

    fn is_operation_defined(&self, expr: &Expr) -> bool {
        let has = |value: &Expr, sign| self.sign_of_expr(value).has(sign);
        match expr.node() {
            Node::Div(_, divisor) => has(divisor, Sign::NonZero),
            Node::Root(degree, inner) => {
                *degree >= 2 && (degree % 2 == 1 || has(inner, Sign::NonNegative))
            }
            Node::Call(Function::Log, inner) => has(inner, Sign::Positive),
            Node::Call(Function::Asin | Function::Acos, inner) => {
                has(&Expr::integer(1).minus(inner), Sign::NonNegative)
                    && has(&inner.plus(&Expr::integer(1)), Sign::NonNegative)
            }
            Node::Call(Function::Tan, inner) => has(&inner.call(Function::Cos), Sign::NonZero),
            Node::Call(Function::Factorial, inner) => {
                self.is_integer(inner) && has(inner, Sign::NonNegative)
            }
            Node::Min(items) | Node::Max(items) => !items.is_empty(),
            Node::Pow(base, exponent) => {
                if *base.node() == Node::Constant(Constant::E) {
                    return true;
                }
                if self.is_integer(exponent) {
                    return has(exponent, Sign::NonNegative) || has(base, Sign::NonZero);
                }
                has(base, Sign::Positive)
                    || (has(base, Sign::NonNegative) && has(exponent, Sign::Positive))
            }
            _ => true,
        }
    }

    /// Defined if a branch is known to be chosen and defined, or if every branch that may be
    /// chosen is defined and the last is unconditional.
    fn is_piecewise_defined(&self, branches: &[(Condition, Expr)]) -> bool {
        for (condition, value) in branches {
            match self.judged(condition) {
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
    pub(super) fn record_all(&mut self, values: &[(Expr, Sign)]) -> Option<()> {
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
