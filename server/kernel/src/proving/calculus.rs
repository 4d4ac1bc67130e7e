//! One real variable: monotone and concave differences, substitutions, logarithms, induction.

use super::chain::{by_angle_sum, by_middle, without_factor, without_summand};
use super::define::define;
use super::logarithm::{
    by_exponential_order, by_root_order, logarithm_first, through_logarithm, through_numerator,
};
use super::reduction::{first_apart, one_variable, whole};
use super::sample;
use super::solve::{compare, solve as search};
use super::sums::by_closed_form;
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Origin, Problem};
use crate::recheck::{Poly, Proof, parts};
use dashu::rational::RBig;

/// Searches a proof by calculus.
pub(super) fn solve(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let level = level.checked_sub(1)?;
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    if matches!(relation, Relation::Equal | Relation::NotEqual) {
        return None;
    }
    let mut gap_variables = left.variables();
    gap_variables.extend(right.variables());
    let names: Vec<Symbol> = problem
        .variables
        .iter()
        .map(|variable| variable.name.clone())
        .filter(|name| gap_variables.contains(name))
        .collect();
    let real = |name: &&Symbol| problem.variable(name).is_some_and(|v| v.kind == Kind::Real);
    type Tactic<'t> = &'t dyn Fn(&mut Fuel<'_>) -> Option<Proof>;
    // Each tactic with its share of the fuel in twelfths.
    let tactics: [(u64, Tactic<'_>); 16] = [
        (6, &|fuel| by_closed_form(problem, level, fuel)),
        (8, &|fuel| by_root_order(problem, level, fuel)),
        (4, &|fuel| by_exponential_order(problem, level, fuel)),
        (4, &|fuel| by_angle_sum(problem, level, fuel)),
        (3, &|fuel| {
            let alone = names
                .first()
                .filter(|name| names.len() == 1 && !real(name))?;
            first_apart(problem, alone, level, fuel)
        }),
        (4, &|fuel| without_summand(problem, level, fuel)),
        (4, &|fuel| by_middle(problem, level, fuel)),
        (6, &|fuel| without_factor(problem, level, fuel)),
        (10, &|fuel| logarithm_first(problem, &names, level, fuel)),
        (6, &|fuel| through_logarithm(problem, level, fuel)),
        (4, &|fuel| one_variable(problem, &names, level, fuel)),
        (8, &|fuel| {
            let mut own = names.iter().filter(real);
            own.find_map(|name| along(problem, name, level, fuel))
        }),
        (4, &|fuel| through_numerator(problem, level, fuel)),
        (6, &|fuel| {
            let mut own = names.iter().filter(|name| !real(name));
            own.find_map(|name| whole(problem, name, names.len(), level, fuel))
        }),
        (6, &|fuel| at_boundary(problem, &names, level, fuel)),
        (12, &|fuel| {
            let mut own = names.iter().filter(real);
            own.find_map(|name| by_sign(problem, name, level, fuel))
        }),
    ];
    for (share, tactic) in tactics {
        let mut part = fuel.part(fuel.left() * share / 12);
        let found = tactic(&mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    None
}

/// The numerals at which the domain of a variable ends and that belong to it.
pub(super) fn closed_ends(problem: &Problem, name: &Symbol) -> Vec<Expr> {
    let (_, lower, upper) = parts::bounds(problem, name);
    let all: Vec<_> = lower.into_iter().chain(upper).collect();
    all.iter()
        .filter(|(bound, _)| bound.as_number().is_some())
        .filter(|(bound, _)| !all.iter().any(|(other, open)| other == bound && *open))
        .map(|(bound, _)| bound.clone())
        .collect()
}

pub(super) fn is_transcendental(expr: &Expr) -> bool {
    let mut found = false;
    expr.visit(&mut |part| {
        found |= match part.node() {
            Node::Call(function, _) => !matches!(
                function,
                Function::Abs | Function::Floor | Function::Ceil | Function::Sign
            ),
            Node::Pow(_, exponent) => exponent.as_number().is_none(),
            _ => false,
        };
    });
    found
}

/// Searches the goal through an intermediate claim from which one situation closes it.
pub(super) fn through(
    problem: &Problem,
    claim: (Expr, Relation, Expr),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (left, relation, right) = claim;
    let goal = Goal::Holds(left.clone(), relation, right.clone());
    let case = problem.with_goal(goal);
    if !sample::is_plausible(&case, fuel) {
        return None;
    }
    let condition = Condition::Holds(left, relation, right);
    let later = problem.assuming(condition.clone(), Origin::Earlier);
    let mut part = fuel.attempt(8_000);
    let rest = super::solve::leaf(&later, &mut part);
    fuel.refund(&part);
    let rest = rest?;
    let first = search(&case, level, fuel)?;
    Some(Proof::Through {
        claim: condition,
        first: Box::new(first),
        rest: Box::new(Proof::Direct(rest)),
    })
}

/// Monotone from an end, concave, or split at a critical point.
fn along(problem: &Problem, name: &Symbol, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    let slope = parts::differentiate(&gap, name)?;
    let (_, lower, upper) = parts::bounds(problem, name);
    let points = sample::points(problem, 40);
    let values: Vec<f64> = points
        .iter()
        .map(|at| sample::value(&slope, at))
        .filter(|value| value.is_finite())
        .collect();
    let rises = values.iter().all(|value| *value >= -1e-9);
    let falls = values.iter().all(|value| *value <= 1e-9);
    // Near an end at which the slope vanishes it is small.
    let clear = values.iter().filter(|value| value.abs() > 1e-12).count();
    let strictly = 2 * clear > values.len() && values.iter().all(|value| *value != 0.0);
    for (rising, fits, bounds) in [(true, rises, &lower), (false, falls, &upper)] {
        if !fits {
            continue;
        }
        for (end, open) in bounds {
            let strict_slope = strict && *open && strictly;
            let mut kinds = vec![strict_slope];
            if strict_slope && clear < values.len() {
                kinds.push(false);
            }
            for strict_slope in kinds {
                let found = monotone(problem, name, rising, end, strict_slope, level, fuel);
                if found.is_some() {
                    return found;
                }
            }
        }
    }
    // The last bounds stem from the cases at hand.
    for (left, open) in lower.iter().rev().take(2) {
        for (right, closed) in upper.iter().rev().take(2) {
            let strict_bend = strict && *open && *closed;
            let found = concave(problem, name, (left, right), strict_bend, level, fuel);
            if found.is_some() {
                return found;
            }
        }
    }
    if rises || falls {
        return None;
    }
    for point in critical(problem, name, &slope, fuel) {
        let both = [Relation::GreaterEqual, Relation::LessEqual];
        let own = Expr::variable(name);
        let already = lower.iter().chain(&upper).any(|(bound, _)| *bound == point);
        if already {
            continue;
        }
        if let Some(proof) = compare(problem, &own, &point, &both, level, fuel) {
            return Some(proof);
        }
    }
    let at = touching(problem, name, &gap, (&lower, &upper))
        .or_else(|| turning(problem, name, &slope, (&lower, &upper)))?;
    let both = [Relation::GreaterEqual, Relation::LessEqual];
    compare(problem, &Expr::variable(name), &at, &both, level, fuel)
}

/// An end of a range, and whether it is open.
type Bound = (Expr, bool);

/// A simple point of a fixed interval so that the gap is monotone from one end up to it and
/// concave from there on, as where it vanishes at both ends.
fn turning(
    problem: &Problem,
    name: &Symbol,
    slope: &Expr,
    (lower, upper): (&[Bound], &[Bound]),
) -> Option<Expr> {
    if problem.variables.len() > 1 {
        return None;
    }
    let rough = |(end, _): &Bound| Some(sample::value(end, &sample::Values::new()));
    let low = lower
        .iter()
        .filter_map(rough)
        .fold(f64::NEG_INFINITY, f64::max);
    let high = upper.iter().filter_map(rough).fold(f64::INFINITY, f64::min);
    let bend = parts::differentiate(slope, name)?;
    let width = high - low;
    if !width.is_finite() || width <= 0.0 {
        return None;
    }
    // Places with short names.
    let mut unit = 1.0;
    while unit > width / 64.0 {
        unit /= 2.0;
    }
    let step = width / f64::from(u32::try_from(GRID).ok()?);
    let exact = |part: i64| {
        let value = low + step * f64::from(i32::try_from(part).ok()?);
        RBig::try_from((value / unit).round() * unit).ok()
    };
    let place = |part: i64| match part {
        0 => low,
        GRID => high,
        _ => exact(part).map_or(f64::NAN, |value| value.to_f64().value()),
    };
    let values = |of: &Expr| -> Vec<f64> {
        let at = |part: i64| [(name.clone(), place(part))].into();
        (0..=GRID)
            .map(|part| sample::value(of, &at(part)))
            .collect()
    };
    let (slopes, bends) = (values(slope), values(&bend));
    let fits = |part: &i64| {
        let part = usize::try_from(*part).unwrap_or(0);
        let concave = |bends: &[f64]| bends.iter().all(|bend| *bend <= 0.0);
        slopes[1..=part].iter().all(|slope| *slope > 0.0) && concave(&bends[part..])
            || slopes[part..]
                .iter()
                .rev()
                .skip(1)
                .all(|slope| *slope < 0.0)
                && concave(&bends[..=part])
    };
    // Halves before quarters before the rest.
    let mut parts: Vec<i64> = (1..GRID).collect();
    parts.sort_by_key(|part| std::cmp::Reverse(part.trailing_zeros()));
    let part = parts.into_iter().find(fits)?;
    exact(part).map(Expr::number)
}

/// The middle of a fixed interval, if the gap touches 0 there.
fn touching(
    problem: &Problem,
    name: &Symbol,
    gap: &Expr,
    (lower, upper): (&[Bound], &[Bound]),
) -> Option<Expr> {
    let ((low, _), (high, _)) = (lower.last()?, upper.last()?);
    let middle = low.plus(high).over(&Expr::integer(2));
    let fixed = problem.variables.len() == 1 && middle.variables().is_empty();
    let at = [(name.clone(), sample::value(&middle, &sample::Values::new()))].into();
    let touches = fixed && sample::value(gap, &at).abs() < 1e-12;
    let middle = Work::new(crate::recheck::Context::of(problem))
        .context
        .normal(&middle)?;
    touches.then(|| middle.to_expr())
}

/// Parts into which an interval is cut where a turning point is looked for.
const GRID: i64 = 16;

fn monotone(
    problem: &Problem,
    name: &Symbol,
    rising: bool,
    end: &Expr,
    strict_slope: bool,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let [closed, smooth, slope, start] =
        parts::monotone_parts(problem, name, rising, end, strict_slope)?;
    if !sample::is_plausible(&start, fuel) || !sample::is_plausible(&slope, fuel) {
        return None;
    }
    let defined = search(&closed, 1, fuel)?;
    let smooth = search(&smooth, 1, fuel)?;
    let start = search(&start, level, fuel)?;
    let slope = search(&slope, level, fuel)?;
    Some(Proof::Monotone {
        variable: name.clone(),
        rising,
        end: end.clone(),
        defined: Box::new(defined),
        smooth: Box::new(smooth),
        slope: Box::new(slope),
        strict_slope,
        start: Box::new(start),
    })
}

fn concave(
    problem: &Problem,
    name: &Symbol,
    (left, right): (&Expr, &Expr),
    strict_bend: bool,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let [closed, smooth, bend, first, last] =
        parts::concave_parts(problem, name, left, right, strict_bend)?;
    if ![&bend, &first, &last]
        .into_iter()
        .all(|own| sample::is_plausible(own, fuel))
    {
        return None;
    }
    Some(Proof::Concave {
        variable: name.clone(),
        left: left.clone(),
        right: right.clone(),
        defined: Box::new(search(&closed, 1, fuel)?),
        smooth: Box::new(search(&smooth, 1, fuel)?),
        ends: Box::new((search(&first, level, fuel)?, search(&last, level, fuel)?)),
        bend: Box::new(search(&bend, level, fuel)?),
        strict_bend,
    })
}

/// Zeros of the slope in closed form: roots of factors that are linear, or pure squares.
fn critical(problem: &Problem, name: &Symbol, slope: &Expr, fuel: &mut Fuel<'_>) -> Vec<Expr> {
    let mut work = Work::of(problem, fuel);
    if !define(&mut work, slope, fuel) {
        return Vec::new();
    }
    let Some(poly) = work.poly(slope) else {
        return Vec::new();
    };
    let (_, monomial, rest) = poly.split();
    let own = Expr::variable(name);
    let mut zeros = Vec::new();
    if monomial.exponent(&own) > 0 {
        zeros.push(Expr::integer(0));
    }
    let free = |part: &Poly| !part.atoms().iter().any(|atom| atom.mentions(name));
    let coefficients = rest.coefficients_in(&own);
    zeros.extend(match coefficients.as_slice() {
        [b, a] if free(a) && free(b) => vec![b.negative().to_expr().over(&a.to_expr())],
        [c, b, a] if free(a) && free(b) && free(c) && b.is_zero() => {
            vec![c.negative().to_expr().over(&a.to_expr()).sqrt()]
        }
        [c, b, a] if free(a) && free(b) && free(c) => {
            let root = b
                .times(b)
                .minus(&a.times(c).scaled(&RBig::from(4)))
                .to_expr()
                .sqrt();
            let double = a.scaled(&RBig::from(2)).to_expr();
            let minus = b.negative().to_expr();
            vec![
                minus.plus(&root).over(&double),
                minus.minus(&root).over(&double),
            ]
        }
        _ => Vec::new(),
    });
    zeros
}

/// An end point at which the logarithm or a factor is not positive is split off.
fn at_boundary(
    problem: &Problem,
    names: &[Symbol],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (gap, _) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) {
        return None;
    }
    for name in names {
        if problem.variable(name)?.kind != Kind::Real {
            continue;
        }
        let own = Expr::variable(name);
        for bound in &closed_ends(problem, name) {
            let slope = parts::differentiate(&gap, name);
            let singular = slope.is_none_or(|slope| {
                let at_end = slope.substitute(name, bound);
                sample::points(problem, 3)
                    .iter()
                    .any(|at| !sample::value(&at_end, at).is_finite())
            });
            if !singular {
                continue;
            }
            let all = [Relation::Equal, Relation::Greater, Relation::Less];
            return compare(problem, &own, bound, &all, level, fuel);
        }
    }
    None
}

/// Cases by the sign of a real variable that is unbounded.
fn by_sign(problem: &Problem, name: &Symbol, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (_, lower, upper) = parts::bounds(problem, name);
    let own = Expr::variable(name);
    let known = Work::of(problem, fuel).context.sign_of_expr(&own);
    if known.at_least || known.at_most || !(lower.is_empty() || upper.is_empty()) {
        return None;
    }
    // What known inequalities say of 1/x leaves 0 out.
    let both = [Relation::GreaterEqual, Relation::LessEqual];
    let all = [Relation::Greater, Relation::Equal, Relation::Less];
    let mut part = fuel.part(fuel.left() / 2);
    let found = compare(problem, &own, &Expr::integer(0), &both, level, &mut part);
    fuel.refund(&part);
    found.or_else(|| compare(problem, &own, &Expr::integer(0), &all, level, fuel))
}
