//! Sums and products: short ones written out, the situation of one term, definedness.

use super::facts::Context;
use super::normal::{Fraction, atom};
use super::{Poly, Range, whole};
use crate::expr::{Condition, Expr, Node, Relation, Run, Symbol};
use crate::goal::{Kind, Variable};
use dashu::rational::RBig;

/// Sums of at most so many terms are written out.
const LISTED: i64 = 24;

/// The terms of a sum between literal limits.
pub(crate) fn listed(index: &Symbol, from: &Expr, to: &Expr, body: &Expr) -> Option<Vec<Expr>> {
    let (from, to) = (whole(&from.as_number()?)?, whole(&to.as_number()?)?);
    if to.checked_sub(from)? >= LISTED {
        return None;
    }
    Some(
        (from..=to)
            .map(|k| body.substitute(index, &Expr::integer(k)))
            .collect(),
    )
}

impl Context {
    /// A sum or product with its limits in normal form; steps beyond n in an upper limit n + c, and
    /// before n + 1 in a lower one, are written out: Σ up to n + 1 is Σ up to n and the last term.
    pub(super) fn summation(&self, expr: &Expr) -> Option<Fraction> {
        let run = Run::of(expr)?;
        let (from, to, summed) = (run.from, run.to, !run.product);
        let (low, first) = self.limit(from);
        let (high, last) = to.map(|to| self.limit(to)).unzip();
        let filled = to.is_none_or(|to| self.sign_of_expr(&to.minus(&low)).at_least);
        if let (Some(to), Some(Some(before)), true) = (&high, last, filled) {
            let rest = run.between(low.clone(), Some(before));
            if let Some(form) = self.normal(&run.joined(&rest, &run.at(to))) {
                return Some(form);
            }
        }
        if let Some(before) = first.filter(|_| summed)
            && self.limit(&before).1.is_some()
            && to.is_none_or(|to| self.sign_of_expr(&to.minus(&before)).at_least)
        {
            let rest = run.between(before.clone(), high.clone());
            if let Some(form) = self.normal(&rest.minus(&run.at(&before))) {
                return Some(form);
            }
        }
        Some(atom(run.between(low, high)))
    }

    /// A finite sum of terms, or a product of factors, that are not negative; a product of factors
    /// that are at most 1, or at least 1, is so too. An empty product is 1.
    pub(super) fn range_of_terms(&self, atom: &Expr) -> Range {
        let Some(run) = Run::of(atom).filter(|run| run.to.is_some()) else {
            return Range::default();
        };
        let Some((inner, own)) = inside(self, run.index, (run.from, run.to), &[run.body]) else {
            return Range::default();
        };
        let term = run.at(&own);
        let sign = inner.sign_of_expr(&term);
        if !sign.at_least {
            return Range::default();
        }
        let range = Range::above(RBig::ZERO, run.product && sign.differs);
        if !run.product {
            return range;
        }
        // Factors on one side of 1.
        let one = Expr::integer(1);
        let below = inner.sign_of_expr(&one.minus(&term));
        if below.at_least {
            range.meet(&Range::above(RBig::NEG_ONE, false).negative())
        } else if below.at_most {
            Range::above(RBig::ONE, false)
        } else {
            range
        }
    }

    /// A limit in normal form, and the integer before it if it is n + c with c ≥ 1.
    fn limit(&self, value: &Expr) -> (Expr, Option<Expr>) {
        let Some(form) = self.normal(value) else {
            return (value.clone(), None);
        };
        let own = form.to_expr();
        let Some(poly) = form.as_poly().filter(|_| self.is_integer(&own)) else {
            return (own, None);
        };
        let shift = poly
            .terms()
            .find(|(monomial, _)| monomial.factors().is_empty())
            .and_then(|(_, value)| whole(value));
        let moved = poly.as_constant().is_none()
            && shift.is_some_and(|shift| (1..=LISTED).contains(&shift));
        let before = moved.then(|| poly.minus(&Poly::one()).to_expr());
        (own, before)
    }
}

/// The situation of one term: the index is an integer between the limits. Its name is new to the
/// facts and to the expressions that are judged there: what holds at the name then holds at every
/// index, and nothing that was supposed of a value can speak of it.
pub(crate) fn inside(
    context: &Context,
    index: &Symbol,
    (from, to): (&Expr, Option<&Expr>),
    judged: &[&Expr],
) -> Option<(Context, Expr)> {
    let mut name = Symbol::new(&format!("{index}′"));
    while context.speaks_of(&name)
        || from.mentions(&name)
        || to.is_some_and(|to| to.mentions(&name))
        || judged.iter().any(|expr| expr.mentions(&name))
    {
        name = Symbol::new(&format!("{name}′"));
    }
    let own = Expr::variable(&name);
    let mut inner = context.clone();
    inner.declare(Variable {
        name,
        kind: Kind::Integer,
    });
    inner.assume(&Condition::Holds(
        own.clone(),
        Relation::GreaterEqual,
        from.clone(),
    ));
    if let Some(to) = to {
        inner.assume(&Condition::Holds(
            own.clone(),
            Relation::LessEqual,
            to.clone(),
        ));
    }
    // `from ≥ low` and `index ≥ from` give the index its own bound.
    if let Some((low, _)) = inner.range_of(inner.normal(from)?.as_poly()?).low {
        inner.assume(&Condition::Holds(
            own.clone(),
            Relation::GreaterEqual,
            Expr::number(low),
        ));
    }
    Some((inner, own))
}

/// Whether a sum is known to be defined: integer limits, defined terms; a series must be
/// geometric with a ratio of size < 1, or known by a closed form.
pub(crate) fn is_defined(
    context: &Context,
    index: &Symbol,
    from: &Expr,
    to: Option<&Expr>,
    body: &Expr,
) -> bool {
    if !context.is_whole(from) || !context.is_defined(from) {
        return false;
    }
    let Some(to) = to else {
        let sum: Expr = Node::Sum {
            index: index.clone(),
            from: from.clone(),
            to: None,
            body: body.clone(),
        }
        .into();
        return context.is_convergent(&sum);
    };
    if !context.is_whole(to) || !context.is_defined(to) {
        return false;
    }
    if let Some(terms) = listed(index, from, to, body) {
        return terms.iter().all(|term| context.is_defined(term));
    }
    let zero = Expr::integer(0);
    let own = |from: &Expr, to: &Expr, place: &dyn Fn(&Expr) -> Expr| {
        inside(context, index, (from, Some(to)), &[body]).is_some_and(|(inner, own)| {
            inner.is_absurd() || inner.is_defined(&body.substitute(index, &place(&own)))
        })
    };
    // Counted from the first term, (k − 1) x + 1 is seen to be positive.
    own(from, to, &Expr::clone) || own(&zero, &to.minus(from), &|step| from.plus(step))
}
