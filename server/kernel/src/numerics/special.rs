//! Special values: rational values of functions and roots, factorials and their bounds.

use super::interval::Interval;
use super::scalar::Scalar;
use crate::expr::Function;
use dashu::base::Signed;
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;
use std::cmp::Ordering;

/// The exact value of a function at a rational argument, where it is rational.
pub(super) fn exact_call(function: Function, u: &RBig) -> Option<RBig> {
    match function {
        Function::Abs => Some(if u.is_negative() {
            -u.clone()
        } else {
            u.clone()
        }),
        Function::Floor => Some(RBig::from(u.floor())),
        Function::Ceil => Some(RBig::from(u.ceil())),
        Function::Sign => Some(if u.is_zero() { RBig::ZERO } else { u.signum() }),
        Function::Log | Function::Acos if u.is_one() => Some(RBig::ZERO),
        _ if !u.is_zero() => None,
        Function::Sin
        | Function::Tan
        | Function::Atan
        | Function::Asin
        | Function::Sinh
        | Function::Tanh => Some(RBig::ZERO),
        Function::Exp | Function::Cos | Function::Cosh | Function::Factorial => Some(RBig::ONE),
        Function::Log | Function::Acos => None,
    }
}

/// The `degree`-th root of a rational number, if it is rational.
pub(super) fn rational_root(value: &RBig, degree: u32) -> Option<RBig> {
    let negative = value.is_negative();
    if negative && degree.is_multiple_of(2) {
        return None;
    }
    let root = |number: &UBig| {
        let root = number.nth_root(degree as usize);
        (root.pow(degree as usize) == *number).then_some(root)
    };
    let (_, numerator) = value.numerator().clone().into_parts();
    let numerator = IBig::from(root(&numerator)?);
    let denominator = root(value.denominator())?;
    let magnitude = RBig::from_parts(numerator, denominator);
    Some(if negative { -magnitude } else { magnitude })
}

/// n!
pub(super) fn factorial(n: u32) -> IBig {
    (2..=n).fold(IBig::ONE, |product, k| product * IBig::from(k))
}

/// Bounds of n! for real n ≥ 0 by Robbins (1955), for n ≥ 1:
/// √(2πn) (n/e)^n e^(1/(12n+1)) < n! < √(2πn) (n/e)^n e^(1/(12n)).
pub(super) fn stirling<S: Scalar>(n: &Interval<S>, context: S::Context) -> Interval<S> {
    let one = S::small(1);
    if n.low.order(&one) == Ordering::Less {
        let above = stirling(&n.at_least(&one), context);
        return Interval::new(one, above.high);
    }
    // Increasing in n: each end by itself.
    let end = |value: &S, shift: i32| {
        let n = Interval::point(value.clone());
        if value.is_infinite() {
            return Interval::point(S::infinity(true));
        }
        let two = Interval::point(S::small(2));
        let log = n.log(context);
        let half = Interval::point(S::small(1)).div(&two, context);
        let circle = two
            .mul(&Interval::pi(context), context)
            .mul(&n, context)
            .log(context);
        let correction = Interval::point(S::small(1)).div(
            &n.mul(&Interval::point(S::small(12)), context)
                .add(&Interval::point(S::small(shift)), context),
            context,
        );
        n.mul(&log, context)
            .subtract(&n, context)
            .add(&circle.mul(&half, context), context)
            .add(&correction, context)
            .exp(context)
    };
    Interval::new(end(&n.low, 1).low, end(&n.high, 0).high)
}
