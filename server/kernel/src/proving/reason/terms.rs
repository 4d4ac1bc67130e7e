//! Polynomials as they are read: positive terms on one side, negative ones on the other.

use crate::algebra::{Poly, Signed};
use crate::expr::{Expr, Relation};
use crate::recheck::Sign;
use crate::show::plain;
use dashu::rational::RBig;

/// Longer identities are not shown; nobody checks them by hand.
pub(super) const LONGEST: usize = 150;

/// p R 0 with the negative terms on the other side, by integers where possible.
pub(super) fn compared(poly: &Poly, relation: Relation) -> String {
    let (content, primitive) = poly.primitive();
    let poly = if content.is_negative() {
        primitive.negative()
    } else {
        primitive
    };
    let (mut above, mut below) = (Poly::zero(), Poly::zero());
    for (monomial, value) in poly.terms() {
        let term = Poly::monomial(monomial.clone()).scaled(value);
        if value.is_negative() {
            below = below.minus(&term);
        } else {
            above = above.plus(&term);
        }
    }
    let side = |poly: &Poly| plain(&poly.to_expr());
    format!("{} {} {}", side(&above), relation.sign(), side(&below))
}

/// What a fact says.
pub(super) fn fact(poly: &Poly, sign: Sign) -> String {
    compared(poly, relation_of(sign))
}

fn relation_of(sign: Sign) -> Relation {
    match sign {
        Sign::Zero => Relation::Equal,
        Sign::NonNegative => Relation::GreaterEqual,
        Sign::Positive => Relation::Greater,
        Sign::NonZero => Relation::NotEqual,
    }
}

/// An expression as a factor of a product.
pub(super) fn factor(expr: &Expr) -> String {
    let text = plain(expr);
    if text.contains(" + ") || text.contains(" − ") || text.starts_with('−') {
        format!("({text})")
    } else {
        text
    }
}

/// c · rest, without a 1.
pub(super) fn times(coefficient: &RBig, rest: &str) -> String {
    if rest.is_empty() {
        return plain(&Expr::number(coefficient.clone()));
    }
    if coefficient.is_one() {
        return rest.to_owned();
    }
    format!("{}·{rest}", factor(&Expr::number(coefficient.clone())))
}

/// A list in words.
pub(super) fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
