//! Sums and products: short ones written out, the situation of one term, definedness.

use super::facts::Context;
use super::whole;
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
use crate::goal::{Kind, Variable};

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
    inside(context, index, (from, Some(to)), &[body]).is_some_and(|(inner, own)| {
        inner.is_absurd() || inner.is_defined(&body.substitute(index, &own))
    })
}
