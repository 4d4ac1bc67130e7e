//! The sign of a polynomial in one unknown over an interval, by counting its roots exactly.

use super::range::End;
use super::signed::{Signed, magnitude};
use dashu::rational::RBig;

type Dense = Vec<RBig>;

/// The largest degree that is judged.
const DEGREE_LIMIT: usize = 24;

/// Whether the polynomial is > 0 (`strict`), or ≥ 0, on the whole interval.
pub(crate) fn is_positive(
    coefficients: &[RBig],
    low: Option<&End>,
    high: Option<&End>,
    strict: bool,
) -> bool {
    let mut poly = coefficients.to_vec();
    trim(&mut poly);
    if poly.len() > DEGREE_LIMIT + 1 {
        return false;
    }
    if poly.len() <= 1 {
        return poly.first().map_or(!strict, |c| c.is_positive());
    }
    if let (Some((low, open)), Some((high, closed))) = (low, high) {
        if low > high || (low == high && (*open || *closed)) {
            return true;
        }
        if low == high {
            let value = evaluate(&poly, low);
            return value.is_positive() || (!strict && value.is_zero());
        }
    }
    // Non-negative inside: no root of odd multiplicity inside, and a positive sample.
    let square_free = if strict {
        quotient(&poly, &gcd(&poly, &derivative(&poly)))
    } else {
        odd_part(&poly)
    };
    if count_inside(&square_free, low, high) > 0 {
        return false;
    }
    let Some(sample) = sample_inside(&poly, low, high) else {
        return false;
    };
    if !evaluate(&poly, &sample).is_positive() {
        return false;
    }
    // With strictness the included ends are looked at too; else continuity covers them.
    let end_fine = |end: Option<&End>| {
        end.is_none_or(|(value, open)| *open || evaluate(&poly, value).is_positive())
    };
    !strict || (end_fine(low) && end_fine(high))
}

fn trim(poly: &mut Dense) {
    while poly.last().is_some_and(RBig::is_zero) {
        poly.pop();
    }
}

fn evaluate(poly: &[RBig], at: &RBig) -> RBig {
    poly.iter()
        .rev()
        .fold(RBig::ZERO, |value, coefficient| value * at + coefficient)
}

fn derivative(poly: &[RBig]) -> Dense {
    poly.iter()
        .enumerate()
        .skip(1)
        .map(|(power, value)| value * RBig::from(power))
        .collect()
}

fn divide(numerator: &[RBig], divisor: &[RBig]) -> (Dense, Dense) {
    let mut rest = numerator.to_vec();
    trim(&mut rest);
    let Some(lead) = divisor.last() else {
        return (Vec::new(), rest);
    };
    let mut quotient = vec![RBig::ZERO; rest.len().saturating_sub(divisor.len()) + 1];
    while rest.len() >= divisor.len() {
        let shift = rest.len() - divisor.len();
        let Some(top) = rest.last() else { break };
        let factor = top / lead;
        for (place, value) in divisor.iter().enumerate() {
            rest[place + shift] -= &factor * value;
        }
        rest.pop();
        quotient[shift] = factor;
        trim(&mut rest);
    }
    trim(&mut quotient);
    (quotient, rest)
}

fn quotient(numerator: &[RBig], divisor: &[RBig]) -> Dense {
    divide(numerator, divisor).0
}

fn monic(mut poly: Dense) -> Dense {
    if let Some(lead) = poly.last().cloned() {
        for value in &mut poly {
            *value /= &lead;
        }
    }
    poly
}

fn gcd(a: &[RBig], b: &[RBig]) -> Dense {
    let (mut a, mut b) = (a.to_vec(), b.to_vec());
    trim(&mut a);
    trim(&mut b);
    while !b.is_empty() {
        let rest = divide(&a, &b).1;
        a = b;
        b = monic(rest);
    }
    monic(a)
}

/// The product of the distinct factors of odd multiplicity, by repeated square-free division.
fn odd_part(poly: &[RBig]) -> Dense {
    let mut odd = vec![RBig::ONE];
    let mut repeated = gcd(poly, &derivative(poly));
    let mut distinct = quotient(poly, &repeated);
    let mut multiplicity = 1;
    while distinct.len() > 1 {
        let further = gcd(&distinct, &repeated);
        let exact = quotient(&distinct, &further);
        if multiplicity % 2 == 1 {
            odd = product(&odd, &exact);
        }
        repeated = quotient(&repeated, &further);
        distinct = further;
        multiplicity += 1;
    }
    odd
}

fn product(a: &[RBig], b: &[RBig]) -> Dense {
    let mut all = vec![RBig::ZERO; (a.len() + b.len()).saturating_sub(1)];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            all[i + j] += x * y;
        }
    }
    all
}

/// The number of roots of a square-free polynomial strictly between the ends, by Sturm's chain.
fn count_inside(poly: &[RBig], low: Option<&End>, high: Option<&End>) -> usize {
    let mut poly = poly.to_vec();
    // Roots at the ends are divided out; the theorem wants none there.
    for (end, _) in [low, high].into_iter().flatten() {
        while poly.len() > 1 && evaluate(&poly, end).is_zero() {
            poly = quotient(&poly, &[-end.clone(), RBig::ONE]);
        }
    }
    if poly.len() <= 1 {
        return 0;
    }
    let mut chain = vec![poly.clone(), derivative(&poly)];
    while let [.., a, b] = chain.as_slice() {
        let mut rest = divide(a, b).1;
        if rest.is_empty() {
            break;
        }
        for value in &mut rest {
            *value = -&*value;
        }
        let size = rest.last().cloned().unwrap_or(RBig::ONE);
        let size = magnitude(&size);
        for value in &mut rest {
            *value /= &size;
        }
        chain.push(rest);
    }
    let changes = |signs: Vec<RBig>| {
        let signs: Vec<bool> = signs
            .iter()
            .filter(|value| !value.is_zero())
            .map(RBig::is_positive)
            .collect();
        signs.windows(2).filter(|pair| pair[0] != pair[1]).count()
    };
    let at = |end: Option<&End>, infinity_negative: bool| match end {
        Some((value, _)) => changes(chain.iter().map(|p| evaluate(p, value)).collect()),
        None => changes(
            chain
                .iter()
                .map(|p| {
                    let lead = p.last().cloned().unwrap_or_default();
                    if infinity_negative && p.len() % 2 == 0 {
                        -lead
                    } else {
                        lead
                    }
                })
                .collect(),
        ),
    };
    at(low, true).saturating_sub(at(high, false))
}

/// A point strictly inside at which the polynomial does not vanish.
fn sample_inside(poly: &[RBig], low: Option<&End>, high: Option<&End>) -> Option<RBig> {
    let tries = i64::try_from(poly.len()).ok()? + 1;
    (1..=tries)
        .map(|i| {
            let share = RBig::from(i) / RBig::from(tries + 1);
            match (low, high) {
                (Some((a, _)), Some((b, _))) => a + (b - a) * share,
                (Some((a, _)), None) => a + RBig::from(i),
                (None, Some((b, _))) => b - RBig::from(i),
                (None, None) => RBig::from(i),
            }
        })
        .find(|point| !evaluate(poly, point).is_zero())
}
