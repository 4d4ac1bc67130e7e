//! Sums and products: short ones written out, the situation of one term, definedness.

use super::facts::Context;
use super::normal::{Fraction, atom};
use super::{Poly, Range, whole};
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
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
        let (index, from, to, body) = match expr.node() {
            Node::Sum {
                index,
                from,
                to,
                body,
            } => (index, from, to.as_ref(), body),
            Node::Product {
                index,
                from,
                to,
                body,
            } => (index, from, Some(to), body),
            _ => return None,
        };
        let summed = matches!(expr.node(), Node::Sum { .. });
        let between = |from: Expr, to: Option<Expr>| -> Expr {
            let (index, body) = (index.clone(), body.clone());
            match to {
                Some(to) if !summed => Node::Product {
                    index,
                    from,
                    to,
                    body,
                }
                .into(),
                to => Node::Sum {
                    index,
                    from,
                    to,
                    body,
                }
                .into(),
            }
        };
        let at = |place: &Expr| body.substitute(index, place);
        let (low, first) = self.limit(from);
        let (high, last) = to.map(|to| self.limit(to)).unzip();
        let filled = to.is_none_or(|to| self.sign_of_expr(&to.minus(&low)).at_least);
        if let (Some(to), Some(Some(before)), true) = (&high, last, filled) {
            let rest = between(low.clone(), Some(before));
            let joined = if summed {
                rest.plus(&at(to))
            } else {
                rest.times(&at(to))
            };
            if let Some(form) = self.normal(&joined) {
                return Some(form);
            }
        }
        if let Some(before) = first.filter(|_| summed)
            && self.limit(&before).1.is_some()
            && to.is_none_or(|to| self.sign_of_expr(&to.minus(&before)).at_least)
        {
            let rest = between(before.clone(), high.clone());
            if let Some(form) = self.normal(&rest.minus(&at(&before))) {
                return Some(form);
            }
        }
        Some(atom(between(low, high)))
    }

    /// A finite sum or product of terms that are not negative; an empty product is 1.
    pub(super) fn range_of_terms(&self, atom: &Expr) -> Range {
        let (index, from, to, body, product) = match atom.node() {
            Node::Sum {
                index,
                from,
                to: Some(to),
                body,
            } => (index, from, to, body, false),
            Node::Product {
                index,
                from,
                to,
                body,
            } => (index, from, to, body, true),
            _ => return Range::default(),
        };
        let Some((inner, own)) = inside(self, index, (from, Some(to)), &[body]) else {
            return Range::default();
        };
        let term = inner.sign_of_expr(&body.substitute(index, &own));
        if term.at_least {
            Range::above(RBig::ZERO, product && term.differs)
        } else {
            Range::default()
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
    if !context.is_integer(from) || !context.is_defined(from) {
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
    if !context.is_integer(to) || !context.is_defined(to) {
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
