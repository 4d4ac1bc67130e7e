//! Derivations about finite and infinite sums: telescoping, comparing terms, splitting them off,
//! geometric ones.

use super::judge::{DEPTH, at_least, check};
use super::proof::{Proof, Sign, Step};
use crate::algebra::Context;
use crate::algebra::sums::inside;
use crate::expr::{Expr, Node, Relation, Symbol};
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};

/// Σ body for the index from `from` to `to`.
struct Sum<'e> {
    index: &'e Symbol,
    from: &'e Expr,
    to: Option<&'e Expr>,
    body: &'e Expr,
}

impl<'e> Sum<'e> {
    fn of(expr: &'e Expr) -> Option<Self> {
        match expr.node() {
            Node::Sum {
                index,
                from,
                to,
                body,
            } => Some(Self {
                index,
                from,
                to: to.as_ref(),
                body,
            }),
            _ => None,
        }
    }
}

fn next(value: &Expr) -> Expr {
    value.plus(&Expr::integer(1))
}

/// The claim that a primitive tends to 0; `None` if it depends on more than the index.
pub(crate) fn vanishing(index: &Symbol, primitive: &Expr) -> Option<Problem> {
    let alone = primitive.variables().iter().all(|name| name == index);
    (alone && primitive.unknown_functions().is_empty()).then(|| Problem {
        variables: vec![Variable {
            name: index.clone(),
            kind: Kind::Integer,
        }],
        hypotheses: vec![Hypothesis {
            condition: at_least(&Expr::variable(index), &Expr::integer(1)),
            origin: Origin::Domain,
        }],
        goal: Goal::TendsToZero {
            term: primitive.clone(),
            index: index.clone(),
            points: Vec::new(),
        },
    })
}

impl Context {
    /// An integer that is defined.
    fn is_limit(&self, value: &Expr) -> bool {
        self.is_integer(value) && self.is_defined(value)
    }

    /// The situation of one term, in which the steps show G(k) − G(k + 1) R t(k), and k.
    fn linked(
        &self,
        sum: &Sum,
        primitive: &Expr,
        relation: Relation,
        steps: &[Step],
    ) -> Option<(Self, Expr)> {
        self.is_limit(sum.from).then_some(())?;
        let limits = (sum.from, sum.to);
        let (mut inner, own) = inside(self, sum.index, limits, &[sum.body, primitive])?;
        inner.steps(steps)?;
        let at = |place: &Expr| primitive.substitute(sum.index, place);
        let gap = at(&own).minus(&at(&next(&own)));
        let term = sum.body.substitute(sum.index, &own);
        let shown = inner.is_absurd() || inner.holds(&gap, relation, &term);
        shown.then_some((inner, own))
    }

    /// G(k) − G(k + 1) R t(k) for all k in the range gives G(from) − G(to + 1) R Σ t(k). For a
    /// series with t ≥ 0 and G ≥ 0: it converges, with a sum ≤ G(from).
    pub(super) fn telescope(
        &mut self,
        expr: &Expr,
        primitive: &Expr,
        relation: Relation,
        steps: &[Step],
    ) -> Option<()> {
        use Relation::{Equal, GreaterEqual, LessEqual};
        let sum = Sum::of(expr)?;
        let (inner, own) = self.linked(&sum, primitive, relation, steps)?;
        let at = |place: &Expr| primitive.substitute(sum.index, place);
        if let Some(to) = sum.to {
            let count = next(&to.minus(sum.from));
            let fits = self.is_limit(to)
                && self.sign_of_expr(&count).at_least
                && matches!(relation, Equal | GreaterEqual | LessEqual);
            fits.then_some(())?;
            let whole = at(sum.from).minus(&at(&next(to)));
            return self.record_all(&[Sign::of_relation(&whole, relation, expr)]);
        }
        let zero = Expr::integer(0);
        let fits = matches!(relation, GreaterEqual | Equal)
            && inner.holds(&sum.body.substitute(sum.index, &own), GreaterEqual, &zero)
            && inner.holds(&at(&own), GreaterEqual, &zero);
        fits.then_some(())?;
        self.record_all(&[
            (at(sum.from).minus(expr), Sign::NonNegative),
            (expr.clone(), Sign::NonNegative),
        ])?;
        self.converges(expr);
        Some(())
    }

    /// G(k) − G(k + 1) = t(k) and G → 0 give Σ from..∞ t(k) = G(from); with ≤ in place of = they
    /// give ≥, if the series is known to converge.
    pub(super) fn exhaust(
        &mut self,
        expr: &Expr,
        primitive: &Expr,
        relation: Relation,
        (steps, proof): (&[Step], &Proof),
    ) -> Option<()> {
        let sum = Sum::of(expr).filter(|sum| sum.to.is_none())?;
        let converges = self.is_convergent(expr);
        let fits = relation == Relation::Equal || relation == Relation::LessEqual && converges;
        fits.then_some(())?;
        self.linked(&sum, primitive, relation, steps)?;
        check(&vanishing(sum.index, primitive)?, proof, DEPTH).then_some(())?;
        let whole = primitive.substitute(sum.index, sum.from);
        self.record_all(&[Sign::of_relation(expr, relation.flipped(), &whole)])?;
        if !converges {
            self.converges(expr);
        }
        Some(())
    }

    /// s(k) R t(k) for all k in the range gives Σ s(k) R Σ t(k).
    pub(super) fn termwise(
        &mut self,
        expr: &Expr,
        other: &Expr,
        relation: Relation,
        steps: &[Step],
    ) -> Option<()> {
        use Relation::{Equal, GreaterEqual, LessEqual};
        let (sum, against) = (Sum::of(expr)?, Sum::of(other)?);
        let (to, end) = (sum.to?, against.to?);
        let fits = self.is_limit(sum.from)
            && self.is_limit(to)
            && matches!(relation, Equal | GreaterEqual | LessEqual)
            && self.holds(sum.from, Equal, against.from)
            && self.holds(to, Equal, end);
        fits.then_some(())?;
        let limits = (sum.from, sum.to);
        let (mut inner, own) = inside(self, sum.index, limits, &[sum.body, against.body])?;
        inner.steps(steps)?;
        let here = sum.body.substitute(sum.index, &own);
        let there = against.body.substitute(against.index, &own);
        (inner.is_absurd() || inner.holds(&here, relation, &there)).then_some(())?;
        self.record_all(&[Sign::of_relation(expr, relation, other)])
    }

    /// Σ from..to t(k) = t(from) + Σ from+1..to t(k) for from ≤ to.
    pub(super) fn peel(&mut self, expr: &Expr) -> Option<()> {
        let sum = Sum::of(expr)?;
        let to = sum.to?;
        let fits = self.is_limit(sum.from)
            && self.is_limit(to)
            && self.sign_of_expr(&to.minus(sum.from)).at_least;
        fits.then_some(())?;
        let from = match sum.from.as_number() {
            Some(value) => Expr::number(value + dashu::rational::RBig::ONE),
            None => next(sum.from),
        };
        let rest: Expr = Node::Sum {
            index: sum.index.clone(),
            from,
            to: Some(to.clone()),
            body: sum.body.clone(),
        }
        .into();
        let first = sum.body.substitute(sum.index, sum.from);
        self.record_all(&[(expr.minus(&first).minus(&rest), Sign::Zero)])
    }

    /// t(k + 1) = q t(k) gives (1 − q) Σ t(k) = t(from) − t(to + 1), and for a series with |q| < 1
    /// the same without the last term.
    pub(super) fn geometric(&mut self, expr: &Expr, ratio: &Expr) -> Option<()> {
        let sum = Sum::of(expr)?;
        let fits = self.is_limit(sum.from) && self.is_geometric(&sum, ratio)?;
        fits.then_some(())?;
        let at = |place: &Expr| sum.body.substitute(sum.index, place);
        let one = Expr::integer(1);
        let positive = |value: &Expr| self.sign_of_expr(value).has(Sign::Positive);
        let (fits, value) = match sum.to {
            Some(to) => (
                self.is_limit(to) && self.sign_of_expr(&next(to).minus(sum.from)).at_least,
                at(sum.from).minus(&at(&next(to))),
            ),
            None => (
                positive(&one.minus(ratio)) && positive(&one.plus(ratio)),
                at(sum.from),
            ),
        };
        fits.then_some(())?;
        let total = one.minus(ratio).times(expr);
        self.record_all(&[(total.minus(&value), Sign::Zero)])?;
        if sum.to.is_none() {
            self.converges(expr);
        }
        Some(())
    }

    /// Whether t(k + 1) = q t(k) at a fresh index, with q free of the index.
    fn is_geometric(&self, sum: &Sum, ratio: &Expr) -> Option<bool> {
        (!ratio.mentions(sum.index)).then_some(())?;
        let limits = (sum.from, None);
        let (inner, own) = inside(self, sum.index, limits, &[sum.body, ratio])?;
        let here = sum.body.substitute(sum.index, &own);
        let after = sum.body.substitute(sum.index, &next(&own));
        Some(inner.holds(&after, Relation::Equal, &ratio.times(&here)))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
