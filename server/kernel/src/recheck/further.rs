//! Further known inequalities: the strict forms, sums of angles, powers and factorials of integers.

use super::lemma::{Instance, Lemma};
use super::proof::Sign;
use crate::expr::{Constant, Expr, Function, Node};

/// The conditions and conclusions of a lemma at these arguments; `None` if it is none of these.
pub(super) fn instance(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    match arguments {
        [u] => strict(lemma, u).or_else(|| factorial(lemma, u)),
        [u, v] => angles(lemma, u, v).or_else(|| strict_power(lemma, u, v)),
        [a, b, c] => triple(lemma, a, b, c),
        _ => None,
    }
}

/// The tangents touch at one point only.
fn strict(lemma: Lemma, u: &Expr) -> Option<Instance> {
    let (one, two, all) = (Expr::integer(1), Expr::integer(2), Instance::default());
    let call = |function| u.call(function);
    let square = u.times(u);
    let positive = |value: Expr| (value, Sign::Positive);
    let given: Vec<(Expr, Sign)> = match lemma {
        Lemma::ExpStrict => {
            let gap = call(Function::Exp).minus(&one).minus(u);
            return Some(
                all.need(u.clone(), Sign::NonZero)
                    .result(gap, Sign::Positive),
            );
        }
        Lemma::LogStrict => {
            let log = call(Function::Log);
            let below = u.minus(&one);
            return Some(
                all.need(u.clone(), Sign::Positive)
                    .need(below.clone(), Sign::NonZero)
                    .result(below.minus(&log), Sign::Positive)
                    .result(u.times(&log).minus(&below), Sign::Positive),
            );
        }
        Lemma::SineStrict => {
            let sine = call(Function::Sin);
            let cube = square.times(u).over(&Expr::integer(6));
            vec![
                positive(u.minus(&sine)),
                positive(u.plus(&sine)),
                positive(sine.minus(u).plus(&cube)),
                positive(call(Function::Cos).minus(&one).plus(&square.over(&two))),
            ]
        }
        Lemma::AtanStrict => {
            let atan = call(Function::Atan);
            let half = Expr::from(Node::Constant(Constant::Pi)).over(&two);
            vec![
                positive(atan.clone()),
                positive(u.minus(&atan)),
                positive(one.plus(&square).times(&atan).minus(u)),
                positive(one.minus(&u.times(&half.minus(&atan)))),
            ]
        }
        _ => return None,
    };
    let all = all.need(u.clone(), Sign::Positive);
    Some(
        given
            .into_iter()
            .fold(all, |all, (value, sign)| all.result(value, sign)),
    )
}

fn factorial(lemma: Lemma, n: &Expr) -> Option<Instance> {
    let all = Instance::default().whole(n);
    let value = n.call(Function::Factorial);
    let less = |by: i64| n.minus(&Expr::integer(by));
    match lemma {
        // Of the factors 1, 2, …, n all but the first are at most n.
        Lemma::FactorialBelowPower => {
            let gap = n.power(&less(1)).minus(&value);
            Some(
                all.need(less(1), Sign::NonNegative)
                    .result(gap, Sign::NonNegative),
            )
        }
        // All but the first two are at most n.
        Lemma::FactorialBelowHalf => {
            let bound = Expr::integer(2).times(&n.power(&less(2)));
            let gap = bound.minus(&value);
            Some(
                all.need(less(2), Sign::NonNegative)
                    .result(gap, Sign::NonNegative),
            )
        }
        _ => None,
    }
}

fn angles(lemma: Lemma, u: &Expr, v: &Expr) -> Option<Instance> {
    let all = Instance::default();
    let (sine, cosine) = (Function::Sin, Function::Cos);
    match lemma {
        Lemma::AngleSum => {
            let sum = u.plus(v);
            let of = |f, g| u.call(f).times(&v.call(g));
            let first = of(sine, cosine).plus(&of(cosine, sine));
            let second = of(cosine, cosine).minus(&of(sine, sine));
            Some(
                all.result(sum.call(sine).minus(&first), Sign::Zero)
                    .result(sum.call(cosine).minus(&second), Sign::Zero),
            )
        }
        // |sin((n + 1) v)| ≤ |sin(n v)| + |sin v|
        Lemma::SineMultiple => {
            let (single, multiple) = (v.call(sine), u.times(v).call(sine));
            let scaled = u.times(&single);
            let gap = scaled.times(&scaled).minus(&multiple.times(&multiple));
            Some(
                all.whole(u)
                    .need(u.clone(), Sign::NonNegative)
                    .result(gap, Sign::NonNegative),
            )
        }
        _ => None,
    }
}

fn strict_power(lemma: Lemma, b: &Expr, n: &Expr) -> Option<Instance> {
    let (one, two) = (Expr::integer(1), Expr::integer(2));
    let above = b.minus(&one);
    let gap = b.power(n).minus(&one).minus(&n.times(&above));
    (lemma == Lemma::BernoulliStrict).then(|| {
        Instance::default()
            .whole(n)
            .need(n.minus(&two), Sign::NonNegative)
            .need(b.clone(), Sign::NonNegative)
            .need(above, Sign::NonZero)
            .result(gap, Sign::Positive)
    })
}

fn triple(lemma: Lemma, a: &Expr, b: &Expr, c: &Expr) -> Option<Instance> {
    let (one, all) = (Expr::integer(1), Instance::default());
    match lemma {
        // a^c ≤ a^b; 0⁰ = 1 spoils nothing, since the greater exponent is on the lesser side.
        Lemma::WholeExponentFalls => Some(
            all.whole(b)
                .whole(c)
                .need(b.clone(), Sign::NonNegative)
                .need(c.minus(b), Sign::NonNegative)
                .need(a.clone(), Sign::NonNegative)
                .need(one.minus(a), Sign::NonNegative)
                .result(a.power(b).minus(&a.power(c)), Sign::NonNegative),
        ),
        // b < a^c
        Lemma::RootStrictOrder => Some(
            all.whole(c)
                .need(c.minus(&one), Sign::NonNegative)
                .need(a.clone(), Sign::NonNegative)
                .need(b.clone(), Sign::NonNegative)
                .need(a.power(c).minus(b), Sign::Positive)
                .result(a.minus(&b.power(&one.over(c))), Sign::Positive),
        ),
        _ => None,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
