//! The supremum of the error term over the domain as a formula in n, attained or approached.

use super::error::ErrorShape;
use super::expand::{Limit, limit};
use super::family::{Asker, Family, Interval};
use super::numeric::{self, Sampler};
use super::{simplify, solve};
use crate::limits;
use kernel::calculus::differentiate;
use kernel::{Condition, Constant, Expr, Goal, Kind, Node, Origin, Relation, Symbol, Variable};

/// Where the supremum is reached.
#[derive(Clone, PartialEq, Debug)]
pub enum Place {
    /// It is the value at this point.
    At(Expr),
    /// It is not a value; values come as near as one likes toward the lower or the upper end.
    Toward {
        /// Whether that is the upper end.
        upper: bool,
    },
}

/// A supremum, proved.
#[derive(Clone, PartialEq, Debug)]
pub struct Supremum {
    /// sup e_n as a formula in n.
    pub value: Expr,
    /// From which index on it holds.
    pub from: i64,
    /// Where.
    pub place: Place,
    /// The derivative of the error term by the point, if the place is a zero of it inside.
    pub derivative: Option<Expr>,
}

/// Finds the supremum and proves it: an upper bound that is attained or approached.
#[must_use]
pub fn supremum(family: &Family, shape: &ErrorShape, asker: Asker<'_>) -> Option<Supremum> {
    let point = family.point.as_ref()?;
    let half = family.on(shape.half.clone());
    let error = if shape.signed {
        shape.smooth.clone()
    } else {
        shape.smooth.abs()
    };
    let points = numeric::grid(family, &half.domain)?;
    let mut sampler = Sampler::new(family, &error)?;
    let peaks: Vec<(f64, numeric::Peak)> = limits::INDICES
        .iter()
        .filter_map(|n| Some((*n, numeric::peak(&mut sampler, *n, &points)?)))
        .collect();
    if peaks.len() < limits::INDICES.len() {
        return None;
    }
    let inner = inner_places(&half, shape, &peaks);
    let context = half.context(family.first);
    let mut tried = Vec::new();
    for place in ends(&half.domain).into_iter().chain(inner) {
        if tried.contains(&place) || !reaches(&half, &place, &mut sampler, &peaks) {
            continue;
        }
        let value = error.substitute(point, &place);
        let value = simplify::at_numbers(&context, &value);
        let value = if shape.signed {
            simplify::short(&context, &value)
        } else {
            simplify::size(&context, &value)
        };
        for start in limits::STARTS {
            if start < family.first {
                continue;
            }
            let inside = half.domain.conditions(&place);
            let proved = asker.all_hold(&half, start, &inside)
                && asker.holds(&half, start, &error, Relation::LessEqual, &value)
                && asker.holds(
                    &half,
                    start,
                    &error.substitute(point, &place),
                    Relation::Equal,
                    &value,
                );
            if proved {
                let derivative = inner_derivative(&half, shape, point, &place);
                return Some(Supremum {
                    value,
                    from: start,
                    place: Place::At(place),
                    derivative,
                });
            }
        }
        tried.push(place);
    }
    approached(&half, &error, &peaks, asker)
}

/// Closed ends.
fn ends(domain: &Interval) -> Vec<Expr> {
    [&domain.low, &domain.high]
        .into_iter()
        .flatten()
        .filter(|end| end.closed)
        .map(|end| end.value.clone())
        .collect()
}

/// The derivative by the point, in a short form, if `place` is no end of the interval.
fn inner_derivative(
    half: &Family,
    shape: &ErrorShape,
    point: &Symbol,
    place: &Expr,
) -> Option<Expr> {
    if !shape.signed || ends(&half.domain).contains(place) {
        return None;
    }
    let inside = half.on(half.domain.interior());
    let derivative = differentiate(&shape.smooth, point)?;
    let short = simplify::short(&inside.context(half.first), &derivative);
    (simplify::length(&short) <= limits::SHOWN_NODES).then_some(short)
}

/// Whether the error term at the place is the greatest value, in doubles.
fn reaches(
    half: &Family,
    place: &Expr,
    sampler: &mut Sampler,
    peaks: &[(f64, numeric::Peak)],
) -> bool {
    let Some(mut where_) = Sampler::new(half, place) else {
        return false;
    };
    let Some(domain) = numeric::grid(half, &half.domain) else {
        return false;
    };
    let (low, high) = (domain[0], domain[domain.len() - 1]);
    peaks.iter().all(|(n, peak)| {
        let at = where_.at(*n, 0.0);
        let slack = 1e-9 * at.abs();
        let value = sampler.at(*n, at);
        low - slack <= at
            && at <= high + slack
            && peak.value - value <= limits::AGREEMENT * peak.value.abs()
    })
}

/// Zeros of the derivative, and places that fit c·n^p, or an end moved by that.
fn inner_places(half: &Family, shape: &ErrorShape, peaks: &[(f64, numeric::Peak)]) -> Vec<Expr> {
    let Some(point) = &half.point else {
        return Vec::new();
    };
    let inside = half.on(half.domain.interior());
    let context = inside.context(half.first);
    let mut places = Vec::new();
    if let Some(derivative) = differentiate(&shape.smooth, point) {
        places = solve::zeros(&context, &derivative, point);
    }
    places.extend(fitted(half, peaks));
    let pi: Expr = Node::Constant(Constant::Pi).into();
    let two = Expr::integer(2);
    let n = half.n();
    for value in [
        Expr::integer(0),
        pi.over(&two),
        pi.over(&two.times(&n)),
        pi.over(&n),
        Expr::integer(1).over(&n),
        n.clone(),
        n.times(&pi).over(&two),
        n.times(&pi),
    ] {
        places.push(value.clone());
        places.push(value.negative());
    }
    places.retain(|place| !place.mentions(point));
    places
}

/// c·n^p from the places of the greatest values, with a c that is simple.
fn fitted(half: &Family, peaks: &[(f64, numeric::Peak)]) -> Vec<Expr> {
    let (Some((n, first)), Some((m, second))) = (peaks.get(1), peaks.get(4)) else {
        return Vec::new();
    };
    if !first.inner || !second.inner {
        return Vec::new();
    }
    let mut offsets = vec![(0.0, Expr::integer(0))];
    for end in [&half.domain.low, &half.domain.high].into_iter().flatten() {
        if let Some(value) = numeric::constant(half, &end.value) {
            offsets.push((value, end.value.clone()));
        }
    }
    let mut found = Vec::new();
    for (offset, name) in offsets {
        let (near, far) = (first.place - offset, second.place - offset);
        if near == 0.0 || far / near <= 0.0 {
            continue;
        }
        let power = (far / near).ln() / (m / n).ln();
        // Places are known to half the digits of values.
        let Some((above, below)) = numeric::fraction((power * 1e4).round() / 1e4) else {
            continue;
        };
        if 6 < below {
            continue;
        }
        #[allow(clippy::cast_precision_loss)]
        let factor = near / n.powf(above as f64 / below as f64);
        let growth = power_of(&half.n(), above, below);
        for factor in nice(factor) {
            let shift = simplify::polished(&factor.times(&growth));
            found.push(simplify::polished(&name.plus(&shift)));
        }
    }
    found
}

/// n^(above/below), as a fraction or a root where that is shorter.
pub(crate) fn power_of(n: &Expr, above: i64, below: i64) -> Expr {
    let size = match (above.abs(), below) {
        (0, _) => return Expr::integer(1),
        (1, 1) => n.clone(),
        (power, 1) => n.power(&Expr::integer(power)),
        (power, degree) => {
            let inner = if power == 1 {
                n.clone()
            } else {
                n.power(&Expr::integer(power))
            };
            Node::Root(u32::try_from(degree).unwrap_or(2), inner).into()
        }
    };
    if above < 0 {
        Expr::integer(1).over(&size)
    } else {
        size
    }
}

/// Numbers that are simple and near: fractions, their square and cube roots, multiples of π.
fn nice(value: f64) -> Vec<Expr> {
    let size = value.abs();
    let coarse =
        |value: f64| numeric::fraction((value * 1e5).round() / 1e5).filter(|own| own.1 <= 16);
    let mut found = Vec::new();
    let ratio = |(above, below)| Expr::ratio(above, below);
    found.extend(coarse(size).map(ratio));
    found.extend(coarse(size * size).map(|own| ratio(own).sqrt()));
    found.extend(coarse(size.powi(3)).map(|own| Node::Root(3, ratio(own)).into()));
    let pi: Expr = Node::Constant(Constant::Pi).into();
    found.extend(coarse(size / std::f64::consts::PI).map(|own| ratio(own).times(&pi)));
    if value < 0.0 {
        found = found.iter().map(Expr::negative).collect();
    }
    found
}

/// The supremum as the limit toward an end that does not belong to the domain.
fn approached(
    half: &Family,
    error: &Expr,
    peaks: &[(f64, numeric::Peak)],
    asker: Asker<'_>,
) -> Option<Supremum> {
    for upper in [true, false] {
        let Some((way, variable)) = way(half, upper) else {
            continue;
        };
        let point = half.point.as_ref()?;
        let along = simplify::one_exponent(&error.substitute(point, &way));
        let moved = Family {
            point: Some(variable.clone()),
            domain: Interval {
                low: Some(super::family::End {
                    value: Expr::integer(1),
                    closed: false,
                }),
                high: None,
            },
            ..half.clone()
        };
        let Limit::Value(value) = limit(&moved, &along, &variable, asker) else {
            continue;
        };
        let context = half.context(half.first);
        let value = simplify::size(&context, &simplify::at_numbers(&context, &value));
        let Some(mut sampler) = Sampler::new(half, &value) else {
            continue;
        };
        let fits = peaks.iter().all(|(n, peak)| {
            let own = sampler.at(*n, 0.0);
            (own - peak.value).abs() <= 1e-4 * own.abs()
        });
        if !fits {
            continue;
        }
        for start in limits::STARTS {
            if start < half.first
                || !asker.holds(half, start, error, Relation::LessEqual, &value)
                || !tends(&moved, start, &value.minus(&along), &variable, asker)
            {
                continue;
            }
            return Some(Supremum {
                value,
                from: start,
                place: Place::Toward { upper },
                derivative: None,
            });
        }
    }
    None
}

/// The point as a function of something that grows, on its way to an open end.
fn way(half: &Family, upper: bool) -> Option<(Expr, Symbol)> {
    let variable = Symbol::new("t");
    let t = Expr::variable(&variable);
    let (end, other) = if upper {
        (&half.domain.high, &half.domain.low)
    } else {
        (&half.domain.low, &half.domain.high)
    };
    let sign = |value: &Expr| {
        if upper {
            value.negative()
        } else {
            value.clone()
        }
    };
    match end {
        Some(end) if end.closed => None,
        Some(end) => {
            // Near enough to the end to stay on the right side of the other one.
            let width = match other {
                Some(other) => {
                    let gap = end.value.minus(&other.value);
                    simplify::short(&half.context(half.first), &gap.abs())
                }
                None => Expr::integer(1),
            };
            Some((end.value.plus(&sign(&width.over(&t))), variable))
        }
        None => {
            let start = other
                .as_ref()
                .map_or(Expr::integer(0), |own| own.value.clone());
            Some((start.plus(&sign(&t).negative()), variable))
        }
    }
}

/// Whether a term tends to 0 as t → ∞ for each index.
fn tends(moved: &Family, start: i64, gap: &Expr, variable: &Symbol, asker: Asker<'_>) -> bool {
    let goal = Goal::TendsToZero {
        term: gap.clone(),
        index: variable.clone(),
        points: Vec::new(),
    };
    let mut problem = moved.problem(start, goal);
    // What grows comes last: the index is a parameter here.
    problem.variables.retain(|own| own.name != *variable);
    problem.variables.push(Variable {
        name: variable.clone(),
        kind: Kind::Real,
    });
    let beyond = Condition::Holds(
        Expr::variable(variable),
        Relation::GreaterEqual,
        Expr::integer(2),
    );
    asker.proves(&problem.assuming(beyond, Origin::Domain))
}
