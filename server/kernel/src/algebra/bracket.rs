//! Rational enclosures of constant expressions, by series with bounded remainders.

use super::range::Range;
use super::signed::{Signed, magnitude, whole};
use crate::expr::{Constant, Expr, Function, Node};
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;

/// Ends are rounded outward to multiples of 2^−BITS.
const BITS: usize = 96;
/// Terms of a series; enough for arguments of size ≤ 1/2.
const TERMS: i64 = 48;
/// The largest prime that is split off a number.
const PRIME_LIMIT: u32 = 1000;

type Interval = (RBig, RBig);

/// value = Π p^e for a positive value; a cofactor without small primes stays whole.
pub(crate) fn prime_powers(value: &RBig) -> Vec<(RBig, i64)> {
    let mut all = Vec::new();
    for (number, sign) in [
        (value.numerator().clone(), 1),
        (IBig::from(value.denominator().clone()), -1),
    ] {
        let mut rest = magnitude(&RBig::from(number)).numerator().clone();
        let mut prime = 2_u32;
        while prime <= PRIME_LIMIT && IBig::from(prime) * IBig::from(prime) <= rest {
            let mut power = 0;
            while (&rest % IBig::from(prime)).is_zero() {
                rest /= IBig::from(prime);
                power += sign;
            }
            if power != 0 {
                all.push((RBig::from(prime), power));
            }
            prime += 1;
        }
        if rest > IBig::ONE {
            let rest = RBig::from(rest);
            match all.iter_mut().find(|(own, _)| *own == rest) {
                Some(own) => own.1 += sign,
                None => all.push((rest, sign)),
            }
        }
    }
    all
}

/// An enclosure of an expression without variables; `None` where it is not seen to be defined.
pub(crate) fn enclose(expr: &Expr) -> Option<Range> {
    let (low, high) = interval(expr)?;
    if low == high {
        return Some(Range::point(&low));
    }
    Some(Range::between(low, high, false))
}

fn interval(expr: &Expr) -> Option<Interval> {
    let value = match expr.node() {
        Node::Number(value) => return Some((value.clone(), value.clone())),
        Node::Constant(Constant::E) => exponential(&RBig::ONE)?,
        Node::Constant(Constant::Pi) => pi(),
        Node::Add(items) => {
            let mut sum = (RBig::ZERO, RBig::ZERO);
            for item in items {
                let (low, high) = interval(item)?;
                sum = (sum.0 + low, sum.1 + high);
            }
            sum
        }
        Node::Mul(items) => {
            let mut product = (RBig::ONE, RBig::ONE);
            for item in items {
                product = times(&product, &interval(item)?);
            }
            product
        }
        Node::Neg(inner) => {
            let (low, high) = interval(inner)?;
            (-high, -low)
        }
        Node::Div(a, b) => times(&interval(a)?, &inverse(&interval(b)?)?),
        Node::Pow(base, exponent) => power(&interval(base)?, exponent)?,
        Node::Root(degree, inner) => {
            let (low, high) = interval(inner)?;
            (root(*degree, &low)?.0, root(*degree, &high)?.1)
        }
        Node::Call(function, inner) => call(*function, &interval(inner)?)?,
        _ => return None,
    };
    Some(rounded(&value))
}

fn call(function: Function, (low, high): &Interval) -> Option<Interval> {
    match function {
        Function::Exp => Some((exponential(low)?.0, exponential(high)?.1)),
        Function::Log => Some((logarithm(low)?.0, logarithm(high)?.1)),
        Function::Atan => Some((arcus(low).0, arcus(high).1)),
        Function::Sin => circular(low, high, 1),
        Function::Cos => circular(low, high, 0),
        Function::Abs if !low.is_negative() => Some((low.clone(), high.clone())),
        Function::Abs if high.is_negative() => Some((-high.clone(), -low.clone())),
        _ => None,
    }
}

fn rounded((low, high): &Interval) -> Interval {
    let scale = RBig::from(UBig::ONE << BITS);
    (
        RBig::from((low * &scale).floor()) / &scale,
        RBig::from((high * &scale).ceil()) / &scale,
    )
}

fn times(a: &Interval, b: &Interval) -> Interval {
    let all = [&a.0 * &b.0, &a.0 * &b.1, &a.1 * &b.0, &a.1 * &b.1];
    let mut low = all[0].clone();
    let mut high = all[0].clone();
    for value in all {
        if value < low {
            low = value;
        } else if value > high {
            high = value;
        }
    }
    (low, high)
}

fn inverse((low, high): &Interval) -> Option<Interval> {
    (low.is_positive() || high.is_negative()).then(|| (RBig::ONE / high, RBig::ONE / low))
}

fn power(base: &Interval, exponent: &Expr) -> Option<Interval> {
    if let Some(value) = exponent.as_number().as_ref().and_then(whole) {
        if value.unsigned_abs() > 256 {
            return None;
        }
        let mut product = (RBig::ONE, RBig::ONE);
        for _ in 0..value.unsigned_abs() {
            product = rounded(&times(&product, base));
        }
        return if value < 0 {
            inverse(&product)
        } else {
            Some(product)
        };
    }
    let log = call(Function::Log, base)?;
    call(Function::Exp, &rounded(&times(&log, &interval(exponent)?)))
}

/// Roots of a higher degree are taken through the logarithm.
const EXACT_DEGREE: u32 = 64;

fn root(degree: u32, value: &RBig) -> Option<Interval> {
    if value.is_negative() {
        if degree.is_multiple_of(2) {
            return None;
        }
        let (low, high) = root(degree, &-value.clone())?;
        return Some((-high, -low));
    }
    if degree > EXACT_DEGREE && !value.is_zero() {
        let log = call(Function::Log, &(value.clone(), value.clone()))?;
        let share = (
            RBig::ONE / RBig::from(degree),
            RBig::ONE / RBig::from(degree),
        );
        return call(Function::Exp, &rounded(&times(&log, &share)));
    }
    let bits = BITS * degree as usize;
    let scaled = (value * RBig::from(UBig::ONE << bits)).floor();
    let scaled = UBig::try_from(scaled).ok()?;
    let floor = scaled.nth_root(degree as usize);
    let scale = RBig::from(UBig::ONE << BITS);
    let low = RBig::from(floor.clone()) / &scale;
    let exact = low.pow(isize::try_from(degree).ok()?) == *value;
    let high = RBig::from(floor + UBig::ONE) / &scale;
    Some(if exact {
        (low.clone(), low)
    } else {
        (low, high)
    })
}

/// e^x: Taylor's polynomial at x / 2^m with |x / 2^m| ≤ 1/2, remainder below twice the next
/// term, then m squarings.
fn exponential(x: &RBig) -> Option<Interval> {
    if magnitude(x) > RBig::from(64) {
        return None;
    }
    let mut halvings = 0;
    let mut small = x.clone();
    while magnitude(&small) > RBig::ONE / RBig::from(2) {
        small /= RBig::from(2);
        halvings += 1;
    }
    let (mut term, mut sum) = (RBig::ONE, RBig::ZERO);
    let small = rounded(&(small.clone(), small));
    let middle = small.0.clone();
    for i in 1..TERMS {
        sum += &term;
        term = rounded_term(&(term * &middle / RBig::from(i)));
    }
    // Each term was rounded by at most 2^−BITS; the argument by at most as much.
    let slack = RBig::from(2 * TERMS + 8) / RBig::from(UBig::ONE << BITS);
    let mut value = (&sum - &slack, sum + slack);
    for _ in 0..halvings {
        value = rounded(&times(&value, &value));
    }
    Some(value)
}

fn rounded_term(term: &RBig) -> RBig {
    let scale = RBig::from(UBig::ONE << BITS);
    RBig::from((term * &scale).floor()) / scale
}

/// log y = k log 2 + 2 artanh((m − 1)/(m + 1)) with y = m 2^k, 2/3 ≤ m ≤ 4/3.
fn logarithm(y: &RBig) -> Option<Interval> {
    if !y.is_positive() {
        return None;
    }
    let (mut m, mut k) = (y.clone(), 0_i64);
    while m > RBig::from(4) / RBig::from(3) {
        m /= RBig::from(2);
        k += 1;
        if k > 4096 {
            return None;
        }
    }
    while m < RBig::from(2) / RBig::from(3) {
        m *= RBig::from(2);
        k -= 1;
        if k < -4096 {
            return None;
        }
    }
    let part = artanh(&((&m - RBig::ONE) / (m + RBig::ONE)));
    let two = artanh(&(RBig::ONE / RBig::from(3)));
    let scaled = times(&two, &(RBig::from(k), RBig::from(k)));
    let double = RBig::from(2);
    Some(((part.0 + scaled.0) * &double, (part.1 + scaled.1) * &double))
}

/// artanh z for |z| ≤ 1/3; the remainder is below twice the first term left out.
fn artanh(z: &RBig) -> Interval {
    odd_series(z, false)
}

/// z + s z³/3 + z⁵/5 + …, s = 1 or −1 (alternating), |z| ≤ 1/3 (or ≤ 1/2 if alternating).
fn odd_series(z: &RBig, alternating: bool) -> Interval {
    let square = z * z;
    let (mut power, mut sum) = (z.clone(), RBig::ZERO);
    for i in 0..TERMS {
        let term = &power / RBig::from(2 * i + 1);
        if alternating && i % 2 == 1 {
            sum -= rounded_term(&term);
        } else {
            sum += rounded_term(&term);
        }
        power *= &square;
        power = rounded_term(&power);
    }
    // Rounding: at most 2^−BITS in each power (shrinking afterwards) and in each term.
    let slack = magnitude(&power) * RBig::from(2)
        + RBig::from(4 * TERMS + 8) / RBig::from(UBig::ONE << BITS);
    (&sum - &slack, sum + slack)
}

fn pi() -> Interval {
    let fifth = odd_series(&(RBig::ONE / RBig::from(5)), true);
    let other = odd_series(&(RBig::ONE / RBig::from(239)), true);
    let (a, b) = (RBig::from(16), RBig::from(4));
    (&a * fifth.0 - &b * other.1, a * fifth.1 - b * other.0)
}

fn arcus(x: &RBig) -> Interval {
    if x.is_negative() {
        let (low, high) = arcus(&-x.clone());
        return (-high, -low);
    }
    let quarter = |part: i64| {
        let (low, high) = pi();
        (low / RBig::from(part), high / RBig::from(part))
    };
    if *x > RBig::ONE {
        let (right, inner) = (quarter(2), arcus(&(RBig::ONE / x)));
        return (right.0 - inner.1, right.1 - inner.0);
    }
    if *x > RBig::ONE / RBig::from(3) {
        let (half, inner) = (
            quarter(4),
            odd_series(&((x - RBig::ONE) / (x + RBig::ONE)), true),
        );
        return (half.0 + inner.0, half.1 + inner.1);
    }
    odd_series(x, true)
}

/// sin (first = 1) or cos (first = 0) by Taylor's series at the middle, widened by the
/// half-width, since both functions have slopes of size ≤ 1.
fn circular(low: &RBig, high: &RBig, first: i64) -> Option<Interval> {
    let two = RBig::from(2);
    let middle = (low + high) / &two;
    if magnitude(&middle) > RBig::from(12) {
        return None;
    }
    let middle = rounded_term(&middle);
    let half = (high - low) / two + RBig::ONE / RBig::from(UBig::ONE << BITS);
    let mut term = if first == 1 {
        middle.clone()
    } else {
        RBig::ONE
    };
    let mut sum = RBig::ZERO;
    let square = &middle * &middle;
    let mut place = first;
    for _ in 0..TERMS {
        sum += &term;
        place += 2;
        term = rounded_term(&(-term * &square / RBig::from(place * (place - 1))));
    }
    // The series alternates with falling terms at the end (place > 12), so the first term left
    // out bounds the remainder. A rounding error grows by less than e^12 < 2^18 altogether.
    let grown = RBig::from(TERMS << 20) / RBig::from(UBig::ONE << BITS);
    let slack = half + magnitude(&term) + grown;
    Some((&sum - &slack, sum + slack))
}
