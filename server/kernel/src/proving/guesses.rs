//! Guesses of majorants from rough values of the term.

use super::limits::{Term, parameter_values};
use super::sample::{self, Values};
use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Run, Symbol};
use crate::recheck::{Shape, parts};
use dashu::rational::RBig;

/// Majorants in the order in which they are tried.
pub(super) fn guesses(term: &Term<'_>) -> Vec<(Expr, Shape, i64)> {
    let mut all = Vec::new();
    if term.term.as_number() == Some(RBig::ZERO) {
        all.push((Expr::integer(1), Shape::Zero, 1));
    }
    let parameters = parameter_values(term);
    let Some(first) = parameters.first() else {
        return all;
    };
    all.extend(halving(term, first));
    let indices = [16.0, 32.0, 64.0, 128.0, 256.0, 1024.0, 4096.0];
    // Multiples of π are rounded, so that sin(n π) is not quite 0.
    let mut noise = 0.0;
    term.term.visit(&mut |part| {
        if *part.node() == Node::Constant(Constant::Pi) {
            noise = 1e-11;
        }
    });
    let seen = |value: f64| if value < noise { 0.0 } else { value };
    let values: Vec<Option<f64>> = indices
        .iter()
        .map(|n| term.supremum(*n, first).map(seen))
        .collect();
    let known: Vec<(f64, f64)> = indices
        .iter()
        .zip(&values)
        .filter_map(|(n, value)| value.map(|value| (*n, value)))
        .collect();
    if known.len() < 3 {
        // Nothing is seen of a series but its terms: only its bounds may help.
        all.extend(supposed(term));
        all.extend(tails(term, first));
        all.extend(geometric(term));
        for (c, p) in [
            (1, RBig::ONE),
            (2, RBig::ONE),
            (1, RBig::from(2)),
            (2, RBig::ONE / RBig::from(2)),
        ] {
            all.push((Expr::integer(c), Shape::Power(p), 1));
        }
        return all;
    }
    if known.iter().all(|(_, value)| *value == 0.0) {
        all.push((Expr::integer(1), Shape::Zero, 1));
    }
    all.extend(geometric(term));
    let Some((&(n, late), &(m, early))) = known.last().zip(known.first()) else {
        return all;
    };
    if late <= 0.0 || early <= 0.0 {
        // Too small to be seen: any power will do.
        all.extend(power_guesses(term, first, 2.0, &known));
        all.extend(power_guesses(term, first, 1.0, &known));
        return all;
    }
    let rate =
        -(core_math::log(late) - core_math::log(early)) / (core_math::log(n) - core_math::log(m));
    for wanted in [3.0, 2.0, 1.5, 1.0, 2.0 / 3.0, 0.5, 1.0 / 3.0, 0.25] {
        if wanted < rate + 0.03 {
            all.extend(power_guesses(term, first, wanted, &known));
        }
        if all.len() >= 12 {
            break;
        }
    }
    if (0.02..0.3).contains(&rate) || all.is_empty() && rate > 0.02 {
        let size = known
            .iter()
            .map(|(n, value)| value * core_math::log(*n))
            .fold(0.0, f64::max);
        if let Some(c) = nice(size) {
            all.push((Expr::number(c), Shape::Logarithm(RBig::ONE), 2));
        }
    }
    all
}

/// What the hypotheses say of unknown functions, as it is at the index 1: M/n where |f(x)| ≤ M, or
/// where |f(x)| ≤ M/n.
fn supposed(term: &Term<'_>) -> Vec<(Expr, Shape, i64)> {
    let one = Expr::integer(1);
    let mut all = Vec::new();
    for own in &term.problem.hypotheses {
        let Condition::Holds(left, relation, right) = &own.condition else {
            continue;
        };
        let (smaller, greater) = match relation {
            Relation::Less | Relation::LessEqual => (left, right),
            Relation::Greater | Relation::GreaterEqual => (right, left),
            _ => continue,
        };
        let c = greater.substitute(term.index, &one);
        let said = !smaller.unknown_functions().is_empty() && c.unknown_functions().is_empty();
        if !said || term.points.iter().any(|point| c.mentions(point)) {
            continue;
        }
        for p in [RBig::ONE, RBig::from(2), RBig::ONE / RBig::from(2)] {
            all.push((c.clone(), Shape::Power(p), 1));
        }
    }
    all
}

/// Majorants of what comes behind the index in a series: of Σ c q^k or Σ c/k^p, as the terms look.
fn tails(term: &Term<'_>, first: &Values) -> Vec<(Expr, Shape, i64)> {
    let mut series = Vec::new();
    term.term.visit(&mut |part| {
        if Run::sum(part).is_some_and(|run| run.to.is_none()) && !series.contains(part) {
            series.push(part.clone());
        }
    });
    series
        .iter()
        .filter_map(Run::sum)
        .flat_map(|run| {
            let body = Term {
                term: run.body,
                index: run.index,
                ..*term
            };
            tail(&body, first)
        })
        .collect()
}

/// The same for one series with these terms.
fn tail(body: &Term<'_>, first: &Values) -> Vec<(Expr, Shape, i64)> {
    // Waves hide single terms, but not eight of them.
    let largest = |start: i32, weight: &dyn Fn(f64) -> f64| {
        (start..start + 8)
            .map(f64::from)
            .filter_map(|k| Some(body.supremum(k, first)? * weight(k)))
            .fold(0.0, f64::max)
    };
    let [near, far, farther] = [16, 32, 64].map(|start| largest(start, &|_| 1.0));
    if farther <= 0.0 {
        return Vec::new();
    }
    let (fall, later) = (core_math::log2(near / far), core_math::log2(far / farther));
    let scale = |weight: &dyn Fn(f64) -> f64| largest(1, weight).max(largest(16, weight));
    let one = RBig::ONE;
    let (c, shape) = if later > 1.5 * fall.max(0.3) {
        let ratios = [
            (1, 5),
            (1, 4),
            (1, 3),
            (1, 2),
            (2, 3),
            (3, 4),
            (4, 5),
            (9, 10),
        ];
        // Factorials outgrow every power: half is simple.
        let rate = if later > 2.2 * fall { 1.0 } else { fall / 16.0 };
        let wanted = core_math::exp2(-rate) * 0.999;
        let Some((a, b)) = ratios
            .into_iter()
            .find(|(a, b)| wanted <= f64::from(*a) / f64::from(*b))
        else {
            return Vec::new();
        };
        let q = f64::from(a) / f64::from(b);
        let c = scale(&|k| core_math::pow(q, -k)) * q / (1.0 - q);
        (c, Shape::Geometric(0, Expr::ratio(a.into(), b.into())))
    } else {
        let halves = (later * 2.0 + 0.2).floor();
        let p = halves / 2.0;
        let Some(exponent) = RBig::try_from(p).ok().filter(|own| *own > one) else {
            return Vec::new();
        };
        let c = scale(&|k| core_math::pow(k, p)) / (p - 1.0);
        (c, Shape::Power(exponent - one))
    };
    let sized = [c, 2.0 * c].into_iter().filter_map(nice);
    sized.map(|c| (Expr::number(c), shape.clone(), 1)).collect()
}

/// c · n^(−p) with c from the numbers, and a power law in each parameter.
fn power_guesses(
    term: &Term<'_>,
    first: &Values,
    p: f64,
    known: &[(f64, f64)],
) -> Vec<(Expr, Shape, i64)> {
    let exponent = match RBig::try_from(p) {
        Ok(exact) if exact.denominator() <= &dashu::integer::UBig::from(4_u8) => exact,
        _ if p < 0.5 => RBig::ONE / RBig::from(3),
        _ => RBig::from(2) / RBig::from(3),
    };
    let shape = Shape::Power(exponent);
    let size = known
        .iter()
        .map(|(n, value)| value * core_math::pow(*n, p))
        .fold(0.0, f64::max);
    let begin = [1.0, 2.0, 3.0, 5.0].map(|n| Some(term.supremum(n, first)? * core_math::pow(n, p)));
    let early = begin.into_iter().flatten().fold(size, f64::max);
    // The first terms need not be defined.
    let start = if begin.contains(&None) { 10 } else { 1 };
    let mut all = Vec::new();
    let parameters = term.parameters();
    if parameters.is_empty() {
        let mut seen = Vec::new();
        for (size, start) in [(early, 1), (size, 10), (early * 2.0, 1), (size * 2.0, 10)] {
            if let Some(c) = nice(size)
                && !seen.contains(&(c.clone(), start))
            {
                seen.push((c.clone(), start));
                all.push((Expr::number(c), shape.clone(), start));
            }
        }
        return all;
    }
    let law = parameter_law(term, first, &parameters);
    let unit = sample::value(&law, first);
    if !unit.is_finite() || unit == 0.0 {
        return all;
    }
    for factor in [1.0, 2.0] {
        if let Some(c) = nice(early / unit * factor) {
            let c = Expr::number(c);
            let one = Expr::integer(1);
            let scaled = |law: &Expr| {
                if c.as_number() == Some(RBig::ONE) {
                    law.clone()
                } else if law.as_number() == Some(RBig::ONE) {
                    c.clone()
                } else {
                    c.times(law)
                }
            };
            all.push((scaled(&law), shape.clone(), start));
            all.push((scaled(&one.plus(&law)), shape.clone(), start));
        }
    }
    for law in first_values(term) {
        all.push((law, shape.clone(), start));
    }
    for name in &parameters {
        let own = Expr::variable(name);
        if first.get(name).is_some_and(|value| *value > 0.0) {
            let law = own.plus(&Expr::integer(1).over(&own));
            all.push((law, shape.clone(), start));
        }
    }
    all
}

/// |term| at the index 1, the points at their greatest: e^a − 1 for e^(x/n) − 1 on [0, a].
fn first_values(term: &Term<'_>) -> Vec<Expr> {
    let put = |expr: &Expr, name: &Symbol, value: &Expr| expr.substitute(name, value);
    let mut all = vec![put(term.term, term.index, &Expr::integer(1))];
    for name in term.points {
        let ends = point_ends(term, name);
        all = all
            .iter()
            .flat_map(|own| ends.iter().map(move |end| put(own, name, end)))
            .take(4)
            .collect();
    }
    all.iter()
        .filter(|own| !own.variables().is_empty())
        .map(|own| match own.node() {
            Node::Call(Function::Abs, inner) => inner.clone(),
            _ => own.clone(),
        })
        .collect()
}

/// The upper bounds of a point, also of its size.
fn point_ends(term: &Term<'_>, name: &Symbol) -> Vec<Expr> {
    let (_, _, upper) = parts::bounds(term.problem, name);
    let mut ends: Vec<Expr> = upper.into_iter().map(|(end, _)| end).collect();
    let size = Expr::variable(name).abs();
    for hypothesis in &term.problem.hypotheses {
        if let Condition::Holds(left, Relation::Less | Relation::LessEqual, right) =
            &hypothesis.condition
            && *left == size
        {
            ends.push(right.clone());
        }
    }
    ends.retain(|end| !term.points.iter().any(|point| end.mentions(point)));
    ends
}

/// c/2^n where a factorial outgrows powers: from some index on each term is at most half the one
/// before it.
fn halving(term: &Term<'_>, first: &Values) -> Vec<(Expr, Shape, i64)> {
    let mut factorial = false;
    term.term.visit(&mut |part| {
        factorial |=
            matches!(part.node(), Node::Call(Function::Factorial, n) if n.mentions(term.index));
    });
    if !factorial || !term.parameters().is_empty() {
        return Vec::new();
    }
    let starts = [2_i32, 4, 6, 9, 14, 20, 30, 40];
    let halves = |start: &i32| {
        (0..40).all(|step| {
            let at = |n: i32| term.supremum(f64::from(n), first);
            match (at(start + step), at(start + step + 1)) {
                (Some(here), Some(next)) => next <= 0.500_001 * here,
                _ => true,
            }
        })
    };
    let Some(start) = starts.into_iter().find(halves) else {
        return Vec::new();
    };
    let scale = core_math::pow(2.0, f64::from(start));
    let size = term
        .supremum(f64::from(start), first)
        .map(|value| value * scale);
    let Some(c) = size.and_then(nice) else {
        return Vec::new();
    };
    let shape = Shape::Geometric(0, Expr::ratio(1, 2));
    vec![(Expr::number(c), shape, i64::from(start))]
}

/// Π |a|^i with exponents fitted at the index 64, one parameter at a time.
fn parameter_law(term: &Term<'_>, first: &Values, parameters: &[Symbol]) -> Expr {
    let mut factors = Vec::new();
    for name in parameters {
        let Some(own) = first.get(name) else { continue };
        let base = term.supremum(64.0, first);
        let mut moved = first.clone();
        let other = own * 4.0;
        moved.insert(name.clone(), other);
        let far = term.supremum(64.0, &moved);
        let (Some(base), Some(far)) = (base, far) else {
            continue;
        };
        if base <= 0.0 || far <= 0.0 {
            continue;
        }
        let rate = (core_math::log(far) - core_math::log(base)) / core_math::log(4.0);
        let halves = (rate * 2.0).round();
        if halves == 0.0 || !halves.is_finite() || halves.abs() > 12.0 {
            continue;
        }
        let Ok(halves) = RBig::try_from(halves / 2.0) else {
            continue;
        };
        let positive = *own > 0.0
            && sample::points(term.problem, 30)
                .iter()
                .all(|at| at.get(name).is_none_or(|value| *value >= 0.0));
        let variable = Expr::variable(name);
        let base = if positive { variable } else { variable.abs() };
        factors.push(if halves.is_one() {
            base
        } else {
            base.power(&Expr::number(halves))
        });
    }
    Expr::product_of(factors)
}

/// A small round number above the value.
pub(super) fn nice(value: f64) -> Option<RBig> {
    if !value.is_finite() || value > 1e9 {
        return None;
    }
    if value <= 0.0 {
        return Some(RBig::ONE);
    }
    let wanted = value * 1.000_000_1;
    let ladder = [
        0.01, 0.02, 0.05, 0.1, 0.125, 0.2, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0,
        12.0, 16.0, 20.0, 30.0, 50.0, 100.0,
    ];
    // A value that is itself round, up to the grid's error, is taken as it is.
    let exact = ladder
        .iter()
        .find(|step| **step >= value * 0.999_999 && **step <= wanted * 1.001);
    let step = exact.or_else(|| ladder.iter().find(|step| **step >= wanted));
    let number = match step {
        Some(step) => *step,
        None => wanted.ceil(),
    };
    let hundredths = RBig::try_from((number * 1000.0).round()).ok()?;
    Some(hundredths / RBig::from(1000))
}

/// n^k q^n with q an upper bound of the size of a base, or the base itself.
fn geometric(term: &Term<'_>) -> Vec<(Expr, Shape, i64)> {
    let mut bases: Vec<Expr> = Vec::new();
    let mut powers = false;
    let mut highest = 0;
    let mut indices = vec![term.index.clone()];
    term.term.visit(&mut |part| {
        if Run::sum(part).is_some_and(|run| run.to.is_none()) {
            indices.extend(part.bound_name().cloned());
        }
    });
    term.term.visit(&mut |part| {
        let (base, exponent) = match part.node() {
            Node::Pow(base, exponent) => (base.clone(), exponent.clone()),
            Node::Call(Function::Exp, u) => (Expr::from(Node::Constant(Constant::E)), u.clone()),
            _ => return,
        };
        if !indices.iter().any(|index| exponent.mentions(index)) {
            let whole = exponent
                .as_number()
                .and_then(|k| u32::try_from(k.numerator().clone()).ok());
            if let Some(k) = whole.filter(|k| *k <= 8 && base.as_variable() == Some(term.index)) {
                highest = highest.max(k);
            }
            return;
        }
        powers = true;
        if let Some(name) = base.as_variable() {
            let (_, lower, upper) = parts::bounds(term.problem, name);
            if !term.points.contains(name) {
                bases.push(base.clone());
                bases.push(base.abs());
            }
            bases.push(Expr::integer(1).over(&base));
            for (bound, _) in upper.iter().chain(&lower) {
                bases.push(bound.clone());
                bases.push(bound.negative());
            }
        } else {
            bases.push(base.clone());
            bases.push(Expr::integer(1).over(&base));
        }
    });
    if !powers {
        return Vec::new();
    }
    bases.extend(term.parameters().iter().map(Expr::variable));
    let free = |expr: &Expr| {
        !expr.mentions(term.index) && !term.points.iter().any(|point| expr.mentions(point))
    };
    let mut all = Vec::new();
    for q in bases.into_iter().filter(free) {
        let sized = sample::points(term.problem, 20).iter().all(|at| {
            let value = sample::value(&q, at);
            value.is_nan() || (0.0..1.0).contains(&value)
        });
        if !sized
            || all
                .iter()
                .any(|(_, shape, _)| matches!(shape, Shape::Geometric(0, own) if *own == q))
        {
            continue;
        }
        for k in 0..=highest.max(2) {
            all.push((Expr::integer(1), Shape::Geometric(k, q.clone()), 1));
        }
        all.push((Expr::integer(2), Shape::Geometric(0, q.clone()), 1));
        all.push((
            Expr::integer(1).over(&Expr::integer(1).minus(&q)),
            Shape::Geometric(0, q),
            1,
        ));
    }
    all
}
