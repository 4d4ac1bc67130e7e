//! The error term |f_n(x) − f(x)|, written as shortly as signs allow.

use super::family::{Asker, Family, Interval};
use super::simplify;
use kernel::{Expr, Function, Node, Relation};

/// An error term in the forms in which it is needed.
#[derive(Clone, PartialEq, Debug)]
pub struct ErrorShape {
    /// f_n(x) − f(x) as it stands.
    pub difference: Expr,
    /// |f_n(x) − f(x)| without the bars, or with as few as possible; equal to it on the domain.
    pub shown: Expr,
    /// Without bars, on `half`.
    pub smooth: Expr,
    /// Where the supremum is looked for: the domain, or its right half if the error term is even.
    pub half: Interval,
    /// Whether only the right half is looked at.
    pub even: bool,
    /// Whether `smooth` has one sign there, so that it is the error term itself.
    pub signed: bool,
}

/// Forms the error term for a limit that has one formula.
#[must_use]
pub fn error(family: &Family, limit: &Expr, asker: Asker<'_>) -> ErrorShape {
    let difference = simplify::polished(&family.term.minus(limit));
    let context = family.context(family.first);
    let mut shown = simplify::size(&context, &difference);
    if !resolved(family, &shown) {
        shown = with_proved_sign(family, &difference, asker).unwrap_or(shown);
    }
    let equal = asker.holds(
        family,
        family.first,
        &difference.abs(),
        Relation::Equal,
        &shown,
    );
    if !equal {
        shown = simplify::polished(&difference.abs());
    }
    let mut shape = ErrorShape {
        smooth: shown.clone(),
        half: family.domain.clone(),
        even: false,
        signed: resolved(family, &shown),
        difference,
        shown,
    };
    let Some(x) = family.x() else {
        return shape;
    };
    let barred = format!("{:?}", shape.shown).contains('|');
    if shape.shown.mentions(&family.index)
        && shape
            .shown
            .variables()
            .iter()
            .any(|own| Some(own) == family.point.as_ref())
        && family.domain.is_symmetric()
        && is_even(family, &shape.shown, &x)
    {
        shape.half = family.domain.right_half();
        shape.even = true;
    }
    if barred {
        let half = family.on(shape.half.clone());
        let context = half.context(family.first);
        let smooth = simplify::size(&context, &shape.difference);
        if resolved(family, &smooth) {
            (shape.smooth, shape.signed) = (smooth, true);
        } else if shape.signed {
            shape.smooth = simplify::short(&context, &shape.shown);
        } else if let Some(smooth) = with_proved_sign(&half, &shape.difference, asker) {
            (shape.smooth, shape.signed) = (smooth, true);
        } else {
            shape.smooth = simplify::short(&context, &shape.difference);
        }
    }
    shape
}

/// The difference or its negative, whichever the kernel proves to be nonnegative.
fn with_proved_sign(family: &Family, difference: &Expr, asker: Asker<'_>) -> Option<Expr> {
    let zero = Expr::integer(0);
    let context = family.context(family.first);
    for (relation, value) in [
        (Relation::GreaterEqual, difference.clone()),
        (Relation::LessEqual, difference.negative()),
    ] {
        if asker.holds(family, family.first, difference, relation, &zero) {
            return Some(simplify::short(&context, &value));
        }
    }
    None
}

/// Whether no bars are left but those around the point itself.
fn resolved(family: &Family, shape: &Expr) -> bool {
    let mut free = true;
    shape.visit(&mut |part| {
        if let Node::Call(Function::Abs, inner) = part.node() {
            free &= inner.as_variable().is_some() && inner.as_variable() == family.point.as_ref();
        }
    });
    free
}

fn is_even(family: &Family, shown: &Expr, x: &Expr) -> bool {
    let Some(point) = &family.point else {
        return false;
    };
    let mirrored = shown.substitute(point, &x.negative());
    let context = family.context(family.first);
    let gap = simplify::size(&context, &mirrored).minus(&simplify::size(&context, shown));
    context.sign_of_expr(&gap).stands(Relation::Equal)
}
