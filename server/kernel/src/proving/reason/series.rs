//! Sums in a teacher's words: telescoping, equal bounds of all terms, geometric ones.

use super::terms::written;
use crate::algebra::Signed;
use crate::expr::{Expr, Node, Relation};
use crate::recheck::{Context, parts};

/// Primitives are shown with the constant in −SHIFT ‥ SHIFT that makes them shortest.
const SHIFT: i64 = 3;

fn simplified(context: &Context, value: &Expr) -> Expr {
    let form = context.normal(value).map(|form| form.to_expr());
    form.filter(|form| written(form).chars().count() <= written(value).chars().count())
        .unwrap_or_else(|| value.clone())
}

/// first − second, without a zero.
fn gap(first: &Expr, second: &Expr) -> String {
    let is_zero = |own: &Expr| own.as_number().is_some_and(|value| value.is_zero());
    match (is_zero(first), is_zero(second)) {
        (_, true) => written(first),
        (true, false) => written(&second.negative()),
        _ => written(&first.minus(second)),
    }
}

/// The term as a difference, and what remains of the sum of the differences.
pub(super) fn telescoped(
    context: &Context,
    sum: &Expr,
    primitive: &Expr,
    relation: Relation,
) -> Option<String> {
    let Node::Sum {
        index,
        from,
        to,
        body,
    } = sum.node()
    else {
        return multiplied(context, sum, primitive, relation);
    };
    if primitive.as_number().is_some() {
        return None;
    }
    let one = Expr::integer(1);
    let limits = (from, to.as_ref());
    let (inner, own) = parts::inside(context, index, limits, &[body, primitive])?;
    let name = own.as_variable()?.clone();
    let sign = relation.flipped().sign();
    let back = |value: &Expr| value.substitute(&name, &Expr::variable(index));
    let put = |place: &Expr| primitive.substitute(index, place);
    let words = match (to, relation) {
        (None, _) | (_, Relation::GreaterEqual) => "at most",
        (_, Relation::Equal) => "equal to",
        _ => "at least",
    };
    let step = simplified(&inner, &put(&own).minus(&put(&own.plus(&one))));
    if let Some(to) = to
        && !step.mentions(&name)
    {
        let count = simplified(context, &to.minus(from).plus(&one));
        let (count, bound) = (written(&count), written(&step));
        return Some(format!(
            "each of the {count} terms {} is {words} {bound}",
            written(body)
        ));
    }
    // An unknown constant cancels, so the shortest form is shown; 0 first.
    let shifts = (0..=SHIFT).flat_map(|own| [own, -own]);
    let shift = shifts.min_by_key(|shift| {
        let value = simplified(&inner, &put(&own).plus(&Expr::integer(*shift)));
        (written(&value).chars().count(), shift.abs())
    })?;
    let at = |context: &Context, place: &Expr| {
        simplified(context, &put(place).plus(&Expr::integer(shift)))
    };
    let (here, after) = (at(&inner, &own), at(&inner, &own.plus(&one)));
    // −A − (−B) is B − A.
    let turned = inner.normal(&here).is_some_and(|form| {
        let lead = form.numerator().terms().next_back();
        lead.is_some_and(|(_, value)| value.is_negative())
    });
    let difference = |first: Expr, second: Expr, context: &Context| {
        if turned {
            let flip = |own: &Expr| simplified(context, &own.negative());
            gap(&flip(&second), &flip(&first))
        } else {
            gap(&first, &second)
        }
    };
    let step = difference(back(&here), back(&after), &inner);
    let whole = match to {
        Some(to) => difference(at(context, from), at(context, &to.plus(&one)), context),
        None => written(&simplified(context, &put(from))),
    };
    Some(format!(
        "{} {sign} {step}, so the sum telescopes and is {words} {whole}",
        written(body)
    ))
}

/// The factor of a product as a quotient, and what remains of the product of the quotients.
fn multiplied(
    context: &Context,
    product: &Expr,
    primitive: &Expr,
    relation: Relation,
) -> Option<String> {
    let Node::Product {
        index,
        from,
        to,
        body,
    } = product.node()
    else {
        return None;
    };
    let next = |place: &Expr| place.plus(&Expr::integer(1));
    let at = |place: &Expr| simplified(context, &primitive.substitute(index, place));
    let quotient = |first: &Expr, second: &Expr| {
        let one = second.as_number().is_some_and(|value| value.is_one());
        let whole = if one {
            first.clone()
        } else {
            first.over(second)
        };
        written(&whole)
    };
    let own = Expr::variable(index);
    let words = match relation {
        Relation::Equal => "equal to",
        Relation::Greater | Relation::GreaterEqual => "at most",
        _ => "at least",
    };
    Some(format!(
        "{} {} {}, so the product telescopes and is {words} {}",
        written(body),
        relation.flipped().sign(),
        quotient(&at(&next(&own)), &at(&own)),
        quotient(&at(&next(to)), &at(from)),
    ))
}

/// A series between the first values of two primitives that tend to 0.
pub(super) fn squeezed(
    context: &Context,
    sum: &Expr,
    lower: &Expr,
    upper: &Expr,
) -> Option<String> {
    let Node::Sum { index, from, .. } = sum.node() else {
        return None;
    };
    let at = |primitive: &Expr| written(&simplified(context, &primitive.substitute(index, from)));
    Some(format!(
        "the terms alternate and their sizes fall to 0, so the series lies between {} and {}",
        at(lower),
        at(upper)
    ))
}

/// (1 − q) Σ t(k), of which the first term and the one after the last are left.
pub(super) fn geometric(context: &Context, sum: &Expr, ratio: &Expr) -> Option<String> {
    let Node::Sum {
        index,
        from,
        to,
        body,
    } = sum.node()
    else {
        return None;
    };
    let one = Expr::integer(1);
    let at = |place: &Expr| simplified(context, &body.substitute(index, place));
    let left = match to {
        Some(to) => gap(&at(from), &at(&to.plus(&one))),
        None => written(&at(from)),
    };
    let product = written(&one.minus(ratio).times(sum));
    Some(format!(
        "the sum is geometric with ratio {}: {product} = {left}",
        written(ratio)
    ))
}
