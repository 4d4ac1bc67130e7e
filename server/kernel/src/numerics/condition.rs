//! Truth of conditions: of one point, or of all points of a box.

use super::enclose::{Ball, Definedness, Evaluator, Truth};
use super::scalar::Scalar;
use crate::expr::{Condition, Expr, Relation};
use crate::goal::is_integer;
use dashu::rational::RBig;
use std::cmp::Ordering;

impl<S: Scalar> Evaluator<'_, S> {
    /// Whether a condition holds.
    pub(super) fn truth(&mut self, condition: &Condition) -> Truth {
        match condition {
            Condition::Holds(left, relation, right) => {
                let (a, b) = (self.ball(left), self.ball(right));
                if a.definedness.and(b.definedness) == Definedness::Undefined {
                    return Truth::Undefined;
                }
                if a.definedness.and(b.definedness) == Definedness::Unknown {
                    return Truth::Unknown;
                }
                self.related(left, &a, *relation, right, &b)
            }
            Condition::And(items) => self.all(items, Truth::True),
            Condition::Or(items) => self.all(items, Truth::False),
            Condition::Not(inner) => negated(self.truth(inner)),
            Condition::Integer(value) => self.integral(value),
        }
    }

    fn related(
        &self,
        left: &Expr,
        a: &Ball<S>,
        relation: Relation,
        right: &Expr,
        b: &Ball<S>,
    ) -> Truth {
        let ordering = match (&a.exact, &b.exact) {
            (Some(x), Some(y)) => Some(x.cmp(y)),
            _ => a.interval.compare(&b.interval),
        };
        if let Some(ordering) = ordering {
            return Truth::of(relation.admits(ordering));
        }
        if self.is_exactly_zero(&left.minus(right)) {
            return Truth::of(relation.admits(Ordering::Equal));
        }
        // Overlapping only at a border is enough for ≤ and ≥.
        let at_most = a.interval.high.order(&b.interval.low) != Ordering::Greater;
        let at_least = a.interval.low.order(&b.interval.high) != Ordering::Less;
        match relation {
            Relation::LessEqual if at_most => Truth::True,
            Relation::GreaterEqual if at_least => Truth::True,
            Relation::Less if at_least => Truth::False,
            Relation::Greater if at_most => Truth::False,
            _ => Truth::Unknown,
        }
    }

    /// And (`neutral` = true) or Or (`neutral` = false).
    fn all(&mut self, items: &[Condition], neutral: Truth) -> Truth {
        let mut result = neutral;
        let mut undefined = false;
        let mut decided = false;
        for item in items {
            match self.truth(item) {
                Truth::Undefined => undefined = true,
                Truth::Unknown => {
                    if !decided {
                        result = Truth::Unknown;
                    }
                }
                truth if truth == neutral => {}
                truth => {
                    result = truth;
                    decided = true;
                }
            }
        }
        if undefined { Truth::Undefined } else { result }
    }

    fn integral(&mut self, value: &Expr) -> Truth {
        let inner = self.ball(value);
        match inner.definedness {
            Definedness::Undefined => return Truth::Undefined,
            Definedness::Unknown => return Truth::Unknown,
            Definedness::Defined => {}
        }
        if let Some(exact) = &inner.exact {
            return Truth::of(exact.is_int());
        }
        if is_integer(value, &|name| self.integer_variable(name)) {
            return Truth::True;
        }
        match (inner.interval.low.floor(), inner.interval.high.floor()) {
            (Some(a), Some(b))
                if a == b && inner.interval.low.exact() != Some(RBig::from(a.clone())) =>
            {
                Truth::False
            }
            _ => Truth::Unknown,
        }
    }
}

fn negated(truth: Truth) -> Truth {
    match truth {
        Truth::True => Truth::False,
        Truth::False => Truth::True,
        other => other,
    }
}
