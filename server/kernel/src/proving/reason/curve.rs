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
    if let Some(squares) = quartic(&dense, atom, sign == Sign::Positive) {
        return format!("{own} = {squares} {relation} 0");
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
            "{own} {relation} 0{domain}, since its zeros do not lie there (solve the quadratic \
             equation)"
        );
    }
    format!(
        "{own} {relation} 0{domain}, since it has no change of sign there (Sturm's chain counts its \
         zeros)"
    )
}

/// x⁴ + b x³ + … as (x² + (b/2) x + t)² + α (x + β)² + γ with α > 0 and γ ≥ 0, or γ > 0, for the
/// first simple t that allows it.
fn quartic(dense: &[RBig], atom: &Expr, strict: bool) -> Option<String> {
    let [e, d, c, b, a] = dense else {
        return None;
    };
    a.is_one().then_some(())?;
    let two = RBig::from(2);
    let number = |value: &RBig| written(&Expr::number(value.clone()));
    let poly = |terms: [&RBig; 3]| {
        let x = Poly::atom(atom.clone());
        let powers = [Poly::one(), x.clone(), x.power(2)];
        let sum = powers.iter().zip(terms);
        let sum = sum.fold(Poly::zero(), |sum, (own, value)| {
            sum.plus_scaled(value, own)
        });
        written(&sum.to_expr())
    };
    (-16..=16)
        .map(|quarters| RBig::from(quarters) / RBig::from(4))
        .find_map(|t| {
            let half = b / &two;
            // The rest is α x² + μ x + ν.
            let alpha = c - &half * &half - &two * &t;
            let (mu, nu) = (d - &two * &half * &t, e - &t * &t);
            alpha.is_positive().then_some(())?;
            let beta = &mu / (&two * &alpha);
            let gamma = nu - &alpha * &beta * &beta;
            (gamma.is_positive() || gamma.is_zero() && !strict).then_some(())?;
            let square = poly([&beta, &RBig::ONE, &RBig::ZERO]);
            let scale = if alpha.is_one() {
                String::new()
            } else {
                format!("{}·", number(&alpha))
            };
            let rest = if gamma.is_zero() {
                String::new()
            } else {
                format!(" + {}", number(&gamma))
            };
            Some(format!(
                "({})² + {scale}({square})²{rest}",
                poly([&t, &half, &RBig::ONE])
            ))
        })
}
