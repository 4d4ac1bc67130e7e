//! Primitives that may bound a sum or a product: for a sum G(k) − G(k + 1) compares with the term,
//! for a product G(k + 1)/G(k) with the factor.

use super::define::define;
use super::primitives;
use super::sample;
use super::sums;
use super::work::Work;
use crate::expr::{Expr, Function, Node, Relation, Run, Symbol};
use crate::fuel::Fuel;
use crate::recheck::{Fraction, Poly, parts};
use dashu::rational::RBig;
use std::collections::BTreeSet;

/// Steps by which the place of a power law is moved.
const MOVES: [(i64, i64); 4] = [(0, 1), (-1, 2), (-1, 1), (1, 2)];
/// Greatest exponent of a power law, in halves.
const HALVES: f64 = 8.0;

/// Primitives of a sum's term and how their change relates to it, from where the sum begins.
pub(super) fn of_sum(work: &Work, run: &Run, fuel: &mut Fuel<'_>) -> Vec<(Expr, Relation)> {
    let (index, body) = (run.index, run.body);
    let limits = (run.from, run.to);
    let exact = primitives::exact(work, index, limits, body);
    let mut all: Vec<(Expr, Relation)> = exact
        .into_iter()
        .map(|own| (own, Relation::Equal))
        .collect();
    let whole = run.between(run.from.clone(), run.to.cloned());
    for ratio in sums::ratios(work, &whole) {
        let rest = Expr::integer(1).minus(&ratio);
        all.push((body.over(&rest), Relation::Equal));
    }
    all.extend(by_ratio(work, run, fuel));
    all.extend(primitives::logarithmic(work, index, limits, body));
    all.extend(primitives::power_area(index, body));
    all.extend(primitives::geometric(work, index, body, run.to.is_some()));
    all.extend(primitives::alternating(index, body));
    all.extend(sums::primitives(index, run.from, run.to, body));
    all.extend(moved(work, run));
    all.extend(powers_apart(run));
    all.extend(at_ends(work, run));
    all
}

/// The terms fall at least by a ratio r: t(k)/(1 − r) with r the quotient of two terms as it is at
/// the first of them, or far out.
fn by_ratio(work: &Work, run: &Run, fuel: &mut Fuel<'_>) -> Vec<(Expr, Relation)> {
    let one = Expr::integer(1);
    let mut quotient = || {
        let limits = (run.from, run.to);
        let (context, own) = parts::inside(&work.context, run.index, limits, &[run.body])?;
        let mut inner = Work::new(context);
        let quotient = run.at(&own.plus(&one)).over(&run.at(&own));
        let mut part = fuel.attempt(800);
        define(&mut inner, &quotient, &mut part);
        fuel.refund(&part);
        let form = inner.context.normal(&quotient)?;
        let limit = own.as_variable().and_then(|name| far_out(&form, name));
        Some((form.to_expr(), limit, own))
    };
    let Some((quotient, limit, own)) = quotient() else {
        return Vec::new();
    };
    let Some(name) = own.as_variable() else {
        return Vec::new();
    };
    if !quotient.mentions(name) {
        let bound = run.body.over(&one.minus(&quotient));
        return vec![(bound, Relation::Equal)];
    }
    let first = quotient.substitute(name, run.from);
    let ratios = limit.into_iter().chain([first]);
    ratios
        .flat_map(|ratio| {
            let rest = one.minus(&ratio);
            let rest = work
                .context
                .normal(&rest)
                .map_or(rest, |form| form.to_expr());
            let unit = rest.as_number().is_some_and(|value| value.is_one());
            let bound = if unit {
                run.body.clone()
            } else {
                run.body.over(&rest)
            };
            [
                (bound.clone(), Relation::GreaterEqual),
                (bound, Relation::LessEqual),
            ]
        })
        .collect()
}

/// What a quotient of polynomials in k, or in one power b^k, tends to.
fn far_out(form: &Fraction, name: &Symbol) -> Option<Expr> {
    let above = form.numerator().clone();
    let mut below = Poly::one();
    for (factor, power) in form.denominator() {
        below = below.times(&factor.power(*power));
    }
    let atoms: BTreeSet<Expr> = above
        .atoms()
        .into_iter()
        .chain(below.atoms())
        .filter(|atom| atom.mentions(name))
        .collect();
    let power = atoms
        .iter()
        .find(|atom| matches!(atom.node(), Node::Pow(..)));
    let leading = power.or_else(|| atoms.iter().next())?;
    let last = |poly: &Poly| {
        let all = poly.coefficients_in(leading);
        let lead = all.last()?.clone();
        Some((all.len(), lead))
    };
    let ((degree, above), (other, below)) = (last(&above)?, last(&below)?);
    let free = |poly: &Poly| poly.atoms().iter().all(|atom| !atom.mentions(name));
    if degree < other {
        return Some(Expr::integer(0));
    }
    (degree == other && free(&above) && free(&below))
        .then(|| above.to_expr().over(&below.to_expr()))
}

/// The primitives of terms in k + s alone, with k + s in the place of k.
fn moved(work: &Work, run: &Run) -> Vec<(Expr, Relation)> {
    let mut places: BTreeSet<Expr> = BTreeSet::new();
    run.body.visit(&mut |part| {
        if let Node::Add(items) = part.node()
            && items
                .iter()
                .any(|item| item.as_variable() == Some(run.index))
        {
            places.insert(part.clone());
        }
    });
    let k = Expr::variable(run.index);
    places
        .into_iter()
        .filter_map(|place| {
            let shift = work.context.normal(&place.minus(&k))?.to_expr();
            if shift.mentions(run.index) || shift.variables().is_empty() {
                return None;
            }
            let simple = run.body.replace(&place, &k);
            let names = shift.variables();
            if simple.variables().iter().any(|own| names.contains(own)) {
                return None;
            }
            let from = run.from.plus(&shift);
            let to = run.to.map(|to| to.plus(&shift));
            let all = sums::primitives(run.index, &from, to.as_ref(), &simple);
            let back = move |(own, relation): (Expr, Relation)| {
                (own.substitute(run.index, &place), relation)
            };
            Some(all.into_iter().map(back).collect::<Vec<_>>())
        })
        .flatten()
        .collect()
}

/// A falling power in the term at most as it is at first, the rest by its own primitives.
fn powers_apart(run: &Run) -> Vec<(Expr, Relation)> {
    let mut powers: BTreeSet<Expr> = BTreeSet::new();
    run.body.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && exponent.mentions(run.index)
            && !base.variables().is_empty()
            && !base.mentions(run.index)
        {
            powers.insert(part.clone());
        }
    });
    let one = Expr::integer(1);
    powers
        .into_iter()
        .filter(|_| run.from.as_number().is_none())
        .flat_map(|power| {
            let rest = run.body.replace(&power, &one);
            let first = power.substitute(run.index, run.from);
            let all = sums::primitives(run.index, run.from, run.to, &rest).into_iter();
            all.filter(|(_, relation)| *relation == Relation::GreaterEqual)
                .map(move |(own, relation)| (first.times(&own), relation))
        })
        .collect()
}

/// Terms of which the index is replaced below fraction bars and roots by the ends of the sum, where
/// the rest is a polynomial in the index.
fn at_ends(work: &Work, run: &Run) -> Vec<(Expr, Relation)> {
    let Some(to) = run.to else {
        return Vec::new();
    };
    let ends = [run.from, to];
    ends.into_iter()
        .filter_map(|end| {
            let fixed = fixed_below(run.body, run.index, end);
            (fixed != *run.body).then_some(fixed)
        })
        .flat_map(|fixed| {
            let limits = (run.from, run.to);
            let mut all = primitives::exact(work, run.index, limits, &fixed);
            all.extend(of_polynomial(work, run, &fixed));
            all
        })
        .flat_map(|own| {
            [
                (own.clone(), Relation::GreaterEqual),
                (own, Relation::LessEqual),
            ]
        })
        .collect()
}

/// A primitive of a polynomial in the index of degree at most 2, over what is free of it.
fn of_polynomial(work: &Work, run: &Run, term: &Expr) -> Option<Expr> {
    let (k, one) = (Expr::variable(run.index), Expr::integer(1));
    let form = work.context.normal(term)?;
    let coefficients = form.numerator().coefficients_in(&k);
    let free = |poly: &Poly| poly.atoms().iter().all(|atom| !atom.mentions(run.index));
    let fits = coefficients.len() <= 3
        && coefficients.iter().all(free)
        && form.denominator().iter().all(|(factor, _)| free(factor));
    fits.then_some(())?;
    let before = k.minus(&one);
    let square = k.times(&before).over(&Expr::integer(2));
    let middle = Expr::integer(2).times(&k).minus(&one);
    let cube = Expr::product_of(vec![k.clone(), before, middle]).over(&Expr::integer(6));
    let terms = coefficients.iter().zip([k, square, cube]);
    let whole = Expr::sum_of(
        terms
            .map(|(own, power)| own.to_expr().times(&power))
            .collect(),
    );
    let below = form.denominator().iter().flat_map(|(factor, power)| {
        std::iter::repeat_n(factor.to_expr(), usize::try_from(*power).unwrap_or(0))
    });
    Some(
        below
            .fold(whole, |whole, factor| whole.over(&factor))
            .negative(),
    )
}

/// The index replaced in denominators and under roots.
fn fixed_below(expr: &Expr, index: &Symbol, value: &Expr) -> Expr {
    match expr.node() {
        Node::Div(above, below) => {
            fixed_below(above, index, value).over(&below.substitute(index, value))
        }
        Node::Root(degree, inner) => Node::Root(*degree, inner.substitute(index, value)).into(),
        _ => expr.map_children(&mut |child| fixed_below(child, index, value)),
    }
}

/// Primitives of a product, 1 where it begins.
pub(super) fn of_product(work: &Work, run: &Run, fuel: &mut Fuel<'_>) -> Vec<(Expr, Relation)> {
    let mut all = Vec::new();
    let limits = (run.from, run.to);
    let Some((inner, own)) = parts::inside(&work.context, run.index, limits, &[run.body]) else {
        return all;
    };
    let Some(name) = own.as_variable().cloned() else {
        return all;
    };
    let k = Expr::variable(run.index);
    let one = Expr::integer(1);
    if let Some(exact) = quotient_of_shifts(&inner, &run.at(&own), &own) {
        all.push((exact.substitute(&name, &k), Relation::Equal));
    }
    if let Some(change) = inner.normal(&run.at(&own).minus(&one)) {
        let change = change.to_expr().substitute(&name, &k);
        all.extend(by_sums(work, run, &change, fuel));
    }
    all.extend(power_laws(run));
    let first = |own: &Expr| own.substitute(run.index, run.from);
    all.into_iter()
        .map(|(own, relation)| {
            let start = first(&own);
            let form = work
                .context
                .normal(&start)
                .map_or(start.clone(), |form| form.to_expr());
            let unit = form.as_number().is_some_and(|value| value.is_one());
            (if unit { own } else { own.over(&start) }, relation)
        })
        .collect()
}

/// Π (1 + a) ≤ e^Σ a; Π (1 + a) ≥ 1 + Σ a for terms a of one sign.
fn by_sums(work: &Work, run: &Run, change: &Expr, fuel: &mut Fuel<'_>) -> Vec<(Expr, Relation)> {
    let one = Expr::integer(1);
    let mut all = Vec::new();
    for (part, falls) in [(change.clone(), false), (change.negative(), true)] {
        let part = work
            .context
            .normal(&part)
            .map_or(part, |form| form.to_expr());
        let sum = Run {
            body: &part,
            product: false,
            ..*run
        };
        let whole = sum.between(run.from.clone(), run.to.cloned());
        let fitting = of_sum(work, &sum, fuel)
            .into_iter()
            .filter(|(own, relation)| sums::fits(work, &whole, own, *relation));
        for (own, relation) in fitting {
            let own = if falls { own.negative() } else { own };
            let start = own.substitute(run.index, run.from);
            let above =
                relation == Relation::Equal || (relation == Relation::GreaterEqual) != falls;
            let below = relation == Relation::Equal || (relation == Relation::LessEqual) != falls;
            if above {
                let value = start.minus(&own).call(Function::Exp);
                all.push((value, Relation::GreaterEqual));
            }
            if below {
                all.push((one.plus(&start).minus(&own), Relation::LessEqual));
            }
        }
    }
    all
}

/// (k + s)^p for a factor that is about 1 + p/k.
fn power_laws(run: &Run) -> Vec<(Expr, Relation)> {
    let at = |k: f64| {
        let value = sample::value(run.body, &[(run.index.clone(), k)].into());
        (value - 1.0) * k * 2.0
    };
    let (near, far) = (at(1e4), at(1e6));
    let halves = far.round();
    let settled = (near - far).abs() < 1e-2 && (far - halves).abs() < 1e-3;
    let Ok(power) =
        i64::try_from(RBig::try_from(halves).map_or(dashu::integer::IBig::ZERO, |own| own.floor()))
    else {
        return Vec::new();
    };
    if !settled || power == 0 || HALVES < halves.abs() {
        return Vec::new();
    }
    let k = Expr::variable(run.index);
    MOVES
        .iter()
        .flat_map(|(above, below)| {
            let place = k.plus(&Expr::ratio(*above, *below));
            let size = power.abs();
            let base = if size % 2 == 0 { place } else { place.sqrt() };
            let exponent = if size % 2 == 0 { size / 2 } else { size };
            let raised = match exponent {
                1 => base,
                _ => base.power(&Expr::integer(exponent)),
            };
            let value = if power < 0 {
                Expr::integer(1).over(&raised)
            } else {
                raised
            };
            [
                (value.clone(), Relation::GreaterEqual),
                (value, Relation::LessEqual),
            ]
        })
        .collect()
}

/// A factor that is a quotient of products of linear factors k + a, whose shifts pair off to
/// integers: Π (k + b)/(k + a) with b − a = d is a quotient of d factors.
fn quotient_of_shifts(inner: &crate::recheck::Context, factor: &Expr, own: &Expr) -> Option<Expr> {
    let form = inner.normal(factor)?;
    let (mut above, scale) = linear_factors(form.numerator(), own)?;
    let mut below = Vec::new();
    let mut lower = RBig::ONE;
    for (part, power) in form.denominator() {
        let (shifts, lead) = linear_factors(part, own)?;
        for _ in 0..*power {
            below.extend(shifts.iter().cloned());
            lower *= &lead;
        }
    }
    (scale == lower && above.len() == below.len()).then_some(())?;
    let one = Expr::integer(1);
    let mut value = one.clone();
    for a in below {
        let place = above.iter().position(|b| (b - &a).is_int())?;
        let b = above.remove(place);
        let gap = i64::try_from((&b - &a).numerator().clone()).ok()?;
        (gap.abs() <= 4).then_some(())?;
        let low = if gap < 0 { &b } else { &a };
        for step in 0..gap.abs() {
            let shifted = own.plus(&Expr::number(low + RBig::from(step)));
            value = if gap < 0 {
                value.over(&shifted)
            } else {
                value.times(&shifted)
            };
        }
    }
    Some(value)
}

/// The shifts a of the linear factors k + a of a polynomial in k, and its leading coefficient.
fn linear_factors(poly: &Poly, own: &Expr) -> Option<(Vec<RBig>, RBig)> {
    let mut rest = poly.univariate(own)?;
    let lead = rest.last()?.clone();
    let mut shifts = Vec::new();
    while rest.len() > 1 {
        let root = rational_root(&rest)?;
        shifts.push(-&root);
        // Synthetic division.
        let mut carried = RBig::ZERO;
        let mut quotient = Vec::new();
        for coefficient in rest.iter().rev() {
            carried = carried * &root + coefficient;
            quotient.push(carried.clone());
        }
        quotient.pop();
        quotient.reverse();
        rest = quotient;
    }
    Some((shifts, lead))
}

/// A root among small fractions.
fn rational_root(coefficients: &[RBig]) -> Option<RBig> {
    let candidates = (0..=12_i64).flat_map(|top| {
        [1_i64, 2, 3]
            .into_iter()
            .flat_map(move |bottom| [top, -top].map(|top| RBig::from(top) / RBig::from(bottom)))
    });
    candidates.into_iter().find(|root| {
        let value = coefficients
            .iter()
            .rev()
            .fold(RBig::ZERO, |sum, own| sum * root + own);
        value.is_zero()
    })
}
