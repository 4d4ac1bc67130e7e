//! Polynomials as they are read: positive terms on one side, negative ones on the other.

use crate::algebra::{Poly, Signed};
use crate::expr::{Expr, Node, Relation};
use crate::recheck::Sign;
use crate::show::plain;
use dashu::rational::RBig;

/// Longer identities are not shown; nobody checks them by hand.
pub(super) const LONGEST: usize = 150;

/// Integers beyond are left as fractions.
const LONG_NUMBER: RBig = RBig::from_parts_const(dashu::base::Sign::Positive, 10_000, 1);

/// p R 0 with the negative terms on the other side, by integers where possible.
pub(super) fn compared(poly: &Poly, relation: Relation) -> String {
    let (content, primitive) = poly.primitive();
    // Integers are easier to read, unless they are long.
    let long = primitive
        .terms()
        .any(|(_, value)| LONG_NUMBER < crate::algebra::magnitude(value));
    let scale = match (long, poly.terms().next_back()) {
        (true, Some((_, lead))) => crate::algebra::magnitude(lead),
        _ => crate::algebra::magnitude(&content),
    };
    let poly = if scale.is_zero() {
        poly.clone()
    } else {
        poly.scaled(&(RBig::ONE / scale))
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
    let side = |poly: &Poly| written(&poly.to_expr());
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

/// An expression as it is read: square roots that are multiplied stand under one root.
pub(super) fn written(expr: &Expr) -> String {
    plain(&tidied(expr))
}

fn tidied(expr: &Expr) -> Expr {
    let expr = expr.map_children(&mut tidied);
    if let Node::Div(above, below) = expr.node()
        && let Some(value) = above.as_number()
        && !value.is_int()
    {
        let part = |own| Expr::number(RBig::from(own));
        let below = part(value.denominator().clone().into()).times(below);
        return part(value.numerator().clone()).over(&below);
    }
    let Node::Mul(items) = expr.node() else {
        return expr;
    };
    let radicand = |item: &Expr| match item.node() {
        Node::Root(2, inner) => Some(inner.clone()),
        _ => None,
    };
    let below: Vec<Expr> = items.iter().filter_map(radicand).collect();
    if below.len() < 2 {
        return expr;
    }
    let mut others: Vec<Expr> = items
        .iter()
        .filter(|item| radicand(item).is_none())
        .cloned()
        .collect();
    let number = below
        .iter()
        .filter_map(Expr::as_number)
        .fold(RBig::ONE, |product, own| product * own);
    let mut factors: Vec<Expr> = below
        .into_iter()
        .filter(|own| own.as_number().is_none())
        .collect();
    if !number.is_one() {
        factors.insert(0, Expr::number(number));
    }
    others.push(Expr::product_of(factors).sqrt());
    Expr::product_of(others)
}

/// An expression as a factor of a product.
pub(super) fn factor(expr: &Expr) -> String {
    let text = written(expr);
    match expr.node() {
        Node::Add(_) | Node::Neg(_) => format!("({text})"),
        _ => text,
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
