//! Sums and products over an integer index, seen as one kind of expression.

use super::{Expr, Node, Symbol};

/// Σ or Π body for the index from `from` to `to`.
pub(crate) struct Run<'e> {
    pub(crate) index: &'e Symbol,
    pub(crate) from: &'e Expr,
    /// None for a series.
    pub(crate) to: Option<&'e Expr>,
    pub(crate) body: &'e Expr,
    pub(crate) product: bool,
}

impl<'e> Run<'e> {
    /// The sum or product that an expression is.
    pub(crate) fn of(expr: &'e Expr) -> Option<Self> {
        let (index, from, to, body, product) = match expr.node() {
            Node::Sum {
                index,
                from,
                to,
                body,
            } => (index, from, to.as_ref(), body, false),
            Node::Product {
                index,
                from,
                to,
                body,
            } => (index, from, Some(to), body, true),
            _ => return None,
        };
        Some(Self {
            index,
            from,
            to,
            body,
            product,
        })
    }

    /// The sum that an expression is.
    pub(crate) fn sum(expr: &'e Expr) -> Option<Self> {
        Self::of(expr).filter(|own| !own.product)
    }

    /// The term at a place.
    pub(crate) fn at(&self, place: &Expr) -> Expr {
        self.body.substitute(self.index, place)
    }

    /// The sum or product of the same terms between other limits.
    pub(crate) fn between(&self, from: Expr, to: Option<Expr>) -> Expr {
        let (index, body) = (self.index.clone(), self.body.clone());
        match to {
            Some(to) if self.product => Node::Product {
                index,
                from,
                to,
                body,
            },
            to => Node::Sum {
                index,
                from,
                to,
                body,
            },
        }
        .into()
    }

    /// Two parts put together.
    pub(crate) fn joined(&self, first: &Expr, rest: &Expr) -> Expr {
        if self.product {
            first.times(rest)
        } else {
            first.plus(rest)
        }
    }
}
