//! Why a polynomial in one unknown keeps its sign on an interval.

use super::terms::written;
use crate::algebra::{End, Poly, Signed};
use crate::expr::Expr;
use crate::recheck::Sign;
use dashu::rational::RBig;

/// The sign of a polynomial over an interval, by the simplest argument that shows it: signs of
/// coefficients, completing the square, else the count of its zeros.
pub(super) fn of_roots(
    poly: &Poly,
    atom: &Expr,
    (low, high): (Option<&End>, Option<&End>),
    sign: Sign,
) -> String {
    let relation = if sign == Sign::Positive { ">" } else { "≥" };
    let (own, name) = (written(&poly.to_expr()), written(atom));
    let Some(dense) = poly.univariate(atom) else {
        return format!("{own} {relation} 0");
    };
    let number = |value: &RBig| written(&Expr::number(value.clone()));
    if let Some((low, _)) = low {
        let shift = Poly::atom(Expr::named("t")).plus(&Poly::constant(low.clone()));
        let moved = poly.substitute(atom, &shift);
        if moved.terms().all(|(_, value)| !value.is_negative()) {
            let after = written(&moved.to_expr());
            return if low.is_zero() {
                format!("{own} {relation} 0, since {name} ≥ 0 and no coefficient is negative")
            } else {
                format!(
                    "with {name} = {} + t, t ≥ 0: {own} = {after} {relation} 0",
                    number(low)
                )
            };
        }
    }
    if let [c, b, a] = dense.as_slice()
        && a.is_positive()
    {
        let two = RBig::from(2);
        let half = b / (&two * a);
        let rest = c - b * b / (RBig::from(4) * a);
        if !rest.is_negative() {
            let centre = Poly::atom(atom.clone()).plus(&Poly::constant(half));
            let square = format!("({})²", written(&centre.to_expr()));
            let square = if a.is_one() {
                square
            } else {
                format!("{}·{square}", number(a))
            };
            let rest = if rest.is_zero() {
                String::new()
            } else {
                format!(" + {}", number(&rest))
            };
            return format!("{own} = {square}{rest} {relation} 0");
        }
    }
    let domain = match (low, high) {
        (Some((low, _)), Some((high, _))) => {
            format!(" for {} ≤ {name} ≤ {}", number(low), number(high))
        }
        (Some((low, _)), None) => format!(" for {name} ≥ {}", number(low)),
        (None, Some((high, _))) => format!(" for {name} ≤ {}", number(high)),
        (None, None) => String::new(),
    };
    if dense.len() == 3 {
        return format!(
            "{own} {relation} 0{domain}: its zeros do not lie inside (solve the quadratic \
             equation)"
        );
    }
    format!(
        "{own} {relation} 0{domain}: it changes its sign nowhere (count its zeros by Sturm's chain)"
    )
}
