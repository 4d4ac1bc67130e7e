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
    let side = |poly: &Poly| {
        let value = poly.as_constant().as_ref().and_then(decimal);
        value.unwrap_or_else(|| written(&poly.to_expr()))
    };
    format!("{} {} {}", side(&above), relation.sign(), side(&below))
}

/// The exact decimal of a number that stands for a bound of a constant, like 1098611/1000000.
fn decimal(value: &RBig) -> Option<String> {
    let million = value * RBig::from(1_000_000);
    let bound = million.is_int() && RBig::from(100) < RBig::from(value.denominator().clone());
    if !bound || value.is_negative() {
        return None;
    }
    let digits = format!("{:0>7}", million.numerator().to_string());
    let (before, after) = digits.split_at(digits.len() - 6);
    Some(format!("{before}.{}", after.trim_end_matches('0')))
}

/// What a fact says.
pub(super) fn fact(poly: &Poly, sign: Sign) -> String {
    compared(poly, sign.relation())
}

/// An expression as it is read: square roots that are multiplied stand under one root.
pub(super) fn written(expr: &Expr) -> String {
    plain(&tidied(expr))
}

/// −u written as u, if the expression is such a negative.
fn turned(expr: &Expr) -> Option<Expr> {
    match expr.node() {
        Node::Neg(inner) => Some(inner.clone()),
        Node::Number(value) if value.is_negative() => Some(Expr::number(-value.clone())),
        Node::Div(above, below) => Some(turned(above)?.over(below)),
        Node::Mul(items) => {
            let (first, rest) = items.split_first()?;
            let first = turned(first)?;
            let one = first.as_number().is_some_and(|value| value.is_one());
            let first = Some(first).filter(|_| !one);
            Some(Expr::product_of(
                first.into_iter().chain(rest.to_vec()).collect(),
            ))
        }
        _ => None,
    }
}

/// A quotient without a sign, a fraction or a negative power inside.
fn quotient(above: &Expr, below: &Expr) -> Option<Expr> {
    if let Some(above) = turned(above) {
        return Some(tidied(&above.over(below)).negative());
    }
    if let Node::Pow(base, exponent) = below.node()
        && let Some(power) = turned(exponent).and_then(|power| power.as_number())
    {
        let half = power == RBig::ONE / RBig::from(2);
        let factor = if half {
            base.sqrt()
        } else {
            base.power(&Expr::number(power))
        };
        return Some(above.times(&factor));
    }
    if let Node::Div(above, inner) = above.node() {
        return Some(above.over(&inner.times(below)));
    }
    let value = above.as_number().filter(|value| !value.is_int())?;
    let part = |own| Expr::number(RBig::from(own));
    let below = part(value.denominator().clone().into()).times(below);
    Some(part(value.numerator().clone()).over(&below))
}

fn tidied(expr: &Expr) -> Expr {
    let expr = expr.map_children(&mut tidied);
    match expr.node() {
        Node::Div(above, below) => {
            if let Some(other) = quotient(above, below) {
                return other;
            }
        }
        Node::Neg(inner) => {
            if let Some(inner) = turned(inner) {
                return inner;
            }
        }
        // A sum begins with a positive term if it has one: 1 − x, not −x + 1.
        Node::Add(items) if turned(&items[0]).is_some() => {
            if let Some(place) = items.iter().position(|item| turned(item).is_none()) {
                let mut items = items.clone();
                let first = items.remove(place);
                items.insert(0, first);
                return Expr::sum_of(items);
            }
        }
        Node::Mul(items) if 1 < items.len() => {
            if !matches!(items[0].node(), Node::Number(_))
                && let Some(own) = turned(&expr)
            {
                return own.negative();
            }
            if items[0].as_number() == Some(RBig::NEG_ONE) {
                return Expr::product_of(items[1..].to_vec()).negative();
            }
            // n·(1/x) is n/x.
            if let Some(Node::Div(above, below)) = items.last().map(Expr::node)
                && above.as_number().is_some_and(|value| value.is_one())
            {
                let items = items[..items.len() - 1].to_vec();
                return tidied(&Expr::product_of(items).over(below));
            }
        }
        _ => {}
    }
    without_fraction(&with_one_root(&expr))
}

/// (1/2)·x is x/2.
fn without_fraction(expr: &Expr) -> Expr {
    if let Node::Mul(items) = expr.node()
        && let [first, rest @ ..] = items.as_slice()
        && let Some(value) = first.as_number()
        && !value.is_int()
        && value.is_positive()
    {
        let mut above = rest.to_vec();
        if !value.numerator().is_one() {
            above.insert(0, Expr::number(RBig::from(value.numerator().clone())));
        }
        let below = Expr::number(RBig::from(value.denominator().clone()));
        return Expr::product_of(above).over(&below);
    }
    expr.clone()
}

/// Square roots that are multiplied stand under one root.
fn with_one_root(expr: &Expr) -> Expr {
    let Node::Mul(items) = expr.node() else {
        return expr.clone();
    };
    let radicand = |item: &Expr| match item.node() {
        Node::Root(2, inner) => Some(inner.clone()),
        _ => None,
    };
    let below: Vec<Expr> = items.iter().filter_map(radicand).collect();
    if below.len() < 2 {
        return expr.clone();
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
