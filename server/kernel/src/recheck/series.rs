//! Derivations about finite and infinite sums: telescoping, comparing terms, splitting them off,
//! geometric ones.

use super::judge::{DEPTH, at_least, check};
use super::proof::{Proof, Sign, Step};
use crate::algebra::Context;
use crate::algebra::sums::inside;
use crate::expr::{Condition, Expr, Relation, Run, Symbol};
use crate::goal::{Goal, Kind, Origin, Problem, Variable};
use dashu::rational::RBig;

fn next(value: &Expr) -> Expr {
    match value.as_number() {
        Some(value) => Expr::number(value + RBig::ONE),
        None => value.plus(&Expr::integer(1)),
    }
}

fn is_strict(relation: Relation) -> bool {
    matches!(relation, Relation::Less | Relation::Greater)
}

/// The claim that a primitive tends to 0 for each value of the parameters in it, under what is known
/// of them as polynomials, which are defined everywhere.
pub(crate) fn vanishing(context: &Context, index: &Symbol, primitive: &Expr) -> Option<Problem> {
    let mut names = primitive.variables();
    names.remove(index);
    (primitive.unknown_functions().is_empty() && !context.speaks_of(index)).then_some(())?;
    let mut variables = vec![Variable {
        name: index.clone(),
        kind: Kind::Integer,
    }];
    variables.extend(context.declared(&names)?);
    let mut problem = Problem {
        variables,
        hypotheses: Vec::new(),
        goal: Goal::TendsToZero {
            term: primitive.clone(),
            index: index.clone(),
            points: Vec::new(),
        },
    }
    .assuming(
        at_least(&Expr::variable(index), &Expr::integer(1)),
        Origin::Domain,
    );
    let known = |atom: &Expr| atom.as_variable().is_some_and(|own| names.contains(own));
    for (poly, sign) in context.facts() {
        if poly.as_constant().is_none() && poly.atoms().iter().all(known) {
            let claim = Condition::Holds(poly.to_expr(), sign.relation(), Expr::integer(0));
            problem = problem.assuming(claim, Origin::Domain);
        }
    }
    Some(problem)
}

impl Context {
    /// An integer that is defined.
    fn is_limit(&self, value: &Expr) -> bool {
        self.is_whole(value) && self.is_defined(value)
    }

    /// The situation of one term, and its index, after the steps.
    fn within(&self, run: &Run, judged: &[&Expr], steps: &[Step]) -> Option<(Self, Expr)> {
        self.is_limit(run.from).then_some(())?;
        let (mut inner, own) = inside(self, run.index, (run.from, run.to), judged)?;
        inner.steps(steps)?;
        Some((inner, own))
    }

    /// Whether there are terms, at least none; for a strict relation at least one.
    fn counts(&self, run: &Run, to: &Expr, relation: Relation) -> bool {
        let count = self.sign_of_expr(&next(to).minus(run.from));
        self.is_limit(to)
            && relation != Relation::NotEqual
            && count.at_least
            && (count.differs || !is_strict(relation))
    }

    /// For a sum G(k) − G(k + 1) R t(k) for all k in the range gives G(from) − G(to + 1) R Σ t(k);
    /// for a product G(k + 1) R t(k) G(k), with t ≥ 0 unless R is =, gives
    /// G(to + 1) R G(from) Π t(k). For a series with G ≥ 0 and G(k) − G(k + 1) ≥ |t(k)|: it
    /// converges, with a sum of size ≤ G(from).
    pub(super) fn telescope(
        &mut self,
        expr: &Expr,
        primitive: &Expr,
        relation: Relation,
        steps: &[Step],
    ) -> Option<()> {
        use Relation::{Equal, Greater, GreaterEqual};
        let run = Run::of(expr)?;
        let (inner, own) = self.within(&run, &[run.body, primitive], steps)?;
        let at = |place: &Expr| primitive.substitute(run.index, place);
        let term = run.body.substitute(run.index, &own);
        let (here, after) = (at(&own), at(&next(&own)));
        let (gap, part) = if run.product {
            let fits = relation == Equal || inner.sign_of_expr(&term).at_least;
            (fits || inner.is_absurd()).then_some(())?;
            (after, term.times(&here))
        } else {
            (here.minus(&after), term.clone())
        };
        (inner.is_absurd() || inner.holds(&gap, relation, &part)).then_some(())?;
        if let Some(to) = run.to {
            self.counts(&run, to, relation).then_some(())?;
            let (start, end) = (at(run.from), at(&next(to)));
            let (left, right) = if run.product {
                (end, start.times(expr))
            } else {
                (start.minus(&end), expr.clone())
            };
            return self.record_all(&[Sign::of_relation(&left, relation, &right)]);
        }
        let zero = Expr::integer(0);
        let positive = inner.holds(&term, GreaterEqual, &zero);
        let fits = matches!(relation, GreaterEqual | Equal | Greater)
            && inner.holds(&here, GreaterEqual, &zero)
            && (positive || inner.holds(&gap, GreaterEqual, &term.negative()));
        fits.then_some(())?;
        let above = at(run.from);
        let least = if positive {
            expr.clone()
        } else {
            above.plus(expr)
        };
        let sign = if relation == Greater {
            Sign::Positive
        } else {
            Sign::NonNegative
        };
        self.record_all(&[(above.minus(expr), sign), (least, Sign::NonNegative)])?;
        self.converges(expr);
        Some(())
    }

    /// Primitives G and H that tend to 0, H(k) − H(k + 1) ≤ t(k) ≤ G(k) − G(k + 1), give
    /// H(from) ≤ Σ from..∞ t(k) ≤ G(from): what comes after a term lies between them there, so that
    /// the series converges.
    pub(super) fn squeeze(
        &mut self,
        expr: &Expr,
        (lower, upper): (&Expr, &Expr),
        (steps, vanish): (&[Step], &[Proof]),
    ) -> Option<()> {
        let run = Run::sum(expr).filter(|run| run.to.is_none())?;
        let (inner, own) = self.within(&run, &[run.body, lower, upper], steps)?;
        let term = run.body.substitute(run.index, &own);
        let gap = |primitive: &Expr| {
            let at = |place: &Expr| primitive.substitute(run.index, place);
            at(&own).minus(&at(&next(&own)))
        };
        let shown = inner.holds(&gap(lower), Relation::LessEqual, &term)
            && inner.holds(&gap(upper), Relation::GreaterEqual, &term);
        let [low, high] = vanish else { return None };
        let null = |primitive: &Expr, proof: &Proof| {
            vanishing(self, run.index, primitive).is_some_and(|claim| check(&claim, proof, DEPTH))
        };
        (shown && null(lower, low) && null(upper, high)).then_some(())?;
        let at = |primitive: &Expr| primitive.substitute(run.index, run.from);
        self.record_all(&[
            (expr.minus(&at(lower)), Sign::NonNegative),
            (at(upper).minus(expr), Sign::NonNegative),
        ])?;
        self.converges(expr);
        Some(())
    }

    /// G(k) − G(k + 1) = t(k) and G → 0 give Σ from..∞ t(k) = G(from); with ≤ in place of = they
    /// give ≥, and < gives >, if the series is known to converge.
    pub(super) fn exhaust(
        &mut self,
        expr: &Expr,
        primitive: &Expr,
        relation: Relation,
        (steps, proof): (&[Step], &Proof),
    ) -> Option<()> {
        use Relation::{Equal, Less, LessEqual};
        let run = Run::sum(expr).filter(|run| run.to.is_none())?;
        let converges = self.is_convergent(expr);
        let fits = relation == Equal || matches!(relation, LessEqual | Less) && converges;
        fits.then_some(())?;
        let (inner, own) = self.within(&run, &[run.body, primitive], steps)?;
        let at = |place: &Expr| primitive.substitute(run.index, place);
        let gap = at(&own).minus(&at(&next(&own)));
        let term = run.body.substitute(run.index, &own);
        inner.holds(&gap, relation, &term).then_some(())?;
        check(&vanishing(self, run.index, primitive)?, proof, DEPTH).then_some(())?;
        let whole = at(run.from);
        self.record_all(&[Sign::of_relation(expr, relation.flipped(), &whole)])?;
        if !converges {
            self.converges(expr);
        }
        Some(())
    }

    /// s(k) R t(k) for all k in the range gives Σ s(k) R Σ t(k), of series if both converge. With
    /// s(k) ≥ −t(k) beside ≤ also Σ s(k) ≥ −Σ t(k), and the left series converges as the right one.
    pub(super) fn termwise(
        &mut self,
        expr: &Expr,
        other: &Expr,
        relation: Relation,
        steps: &[Step],
    ) -> Option<()> {
        use Relation::{Equal, GreaterEqual, Less, LessEqual, NotEqual};
        let (run, against) = (Run::sum(expr)?, Run::sum(other)?);
        let ends = match (run.to, against.to) {
            (Some(to), Some(end)) => {
                let count = self.sign_of_expr(&next(to).minus(run.from));
                self.is_limit(to)
                    && (!is_strict(relation) || count.has(Sign::Positive))
                    && self.holds(to, Equal, end)
            }
            (None, None) => self.is_convergent(other),
            _ => false,
        };
        let fits = relation != NotEqual && self.holds(run.from, Equal, against.from);
        (ends && fits).then_some(())?;
        let (inner, own) = self.within(&run, &[run.body, against.body], steps)?;
        let (here, there) = (run.at(&own), against.at(&own));
        let shown =
            |relation, bound: &Expr| inner.is_absurd() || inner.holds(&here, relation, bound);
        shown(relation, &there).then_some(())?;
        let mut facts = vec![Sign::of_relation(expr, relation, other)];
        let above = matches!(relation, Less | LessEqual);
        let sized = above && shown(GreaterEqual, &there.negative());
        if sized {
            facts.push(Sign::of_relation(expr, GreaterEqual, &other.negative()));
        }
        let news = run.to.is_none() && !self.is_convergent(expr);
        (!news || sized || relation == Equal).then_some(())?;
        self.record_all(&facts)?;
        if news {
            self.converges(expr);
        }
        Some(())
    }

    /// Σ from..to t(k) = t(from) + Σ from+1..to t(k) for from ≤ to; without `to` if the rest
    /// converges. Products likewise.
    pub(super) fn peel(&mut self, expr: &Expr) -> Option<()> {
        let run = Run::of(expr)?;
        let first = run.body.substitute(run.index, run.from);
        let rest = run.between(next(run.from), run.to.cloned());
        let fits = match run.to {
            Some(to) => self.is_limit(to) && self.sign_of_expr(&to.minus(run.from)).at_least,
            None => self.is_convergent(&rest) && self.is_defined(&first),
        };
        (fits && self.is_limit(run.from)).then_some(())?;
        self.record_all(&[(expr.minus(&run.joined(&first, &rest)), Sign::Zero)])?;
        if run.to.is_none() {
            self.converges(expr);
        }
        Some(())
    }

    /// Σ from..to t(k) = Σ from..at t(k) + Σ at+1..to t(k) for from − 1 ≤ at ≤ to; products likewise.
    /// Without `to` if the series or its rest converges: then both do.
    pub(super) fn split(&mut self, expr: &Expr, at: &Expr) -> Option<()> {
        let run = Run::of(expr)?;
        let first = run.between(run.from.clone(), Some(at.clone()));
        let rest = run.between(next(at), run.to.cloned());
        let ends = match run.to {
            Some(to) => self.is_limit(to) && self.sign_of_expr(&to.minus(at)).at_least,
            None => {
                (self.is_convergent(expr) || self.is_convergent(&rest)) && self.is_defined(&first)
            }
        };
        let fits = ends
            && [run.from, at].iter().all(|own| self.is_limit(own))
            && self.sign_of_expr(&next(at).minus(run.from)).at_least;
        fits.then_some(())?;
        self.record_all(&[(expr.minus(&run.joined(&first, &rest)), Sign::Zero)])?;
        if run.to.is_none() {
            self.converges(expr);
            self.converges(&rest);
        }
        Some(())
    }

    /// t(k + 1) = q t(k) gives (1 − q) Σ t(k) = t(from) − t(to + 1), and for a series with |q| < 1
    /// the same without the last term.
    pub(super) fn geometric(&mut self, expr: &Expr, ratio: &Expr) -> Option<()> {
        let sum = Run::sum(expr)?;
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
    fn is_geometric(&self, sum: &Run, ratio: &Expr) -> Option<bool> {
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
