//! Numbers that guide the search: values in doubles, and the greatest value over an interval.
//! Nothing here is shown before the kernel has proved what it suggests.

use super::family::{Family, Interval};
use crate::limits;
use kernel::numerics::tape::{Batch, Compiler, Tape};
use kernel::{Condition, Expr, Symbol};

/// An expression of index and point, with fixed values for its parameters.
#[derive(Clone)]
pub(crate) struct Sampler {
    tape: Tape,
    batch: Batch,
    result: usize,
    /// Which tape inputs are the index and the point.
    index: Option<usize>,
    point: Option<usize>,
}

/// Values for parameters that the conditions usually admit: any will do, since only guesses
/// depend on them.
const PARAMETERS: [f64; 6] = [0.731, 1.37, 2.23, 0.377, 5.1, -0.6];

impl Sampler {
    /// Compiles an expression; `None` if it speaks of unknown functions.
    pub(crate) fn new(family: &Family, expr: &Expr) -> Option<Self> {
        let index = family.index.clone();
        let integer = move |name: &Symbol| *name == index;
        let mut compiler = Compiler::new(&integer);
        let result = compiler.expression(expr);
        let tape = compiler.finish();
        let mut batch = Batch::new(&tape);
        let parameters = family.parameters();
        let values = parameter_values(family);
        let (mut index, mut point) = (None, None);
        for (position, input) in tape.inputs().to_vec().iter().enumerate() {
            let name = input.as_variable()?;
            if *name == family.index {
                index = Some(position);
            } else if Some(name) == family.point.as_ref() {
                point = Some(position);
            } else {
                let place = parameters.iter().position(|own| own == name)?;
                batch.input(position).fill(values[place]);
            }
        }
        Some(Self {
            tape,
            batch,
            result,
            index,
            point,
        })
    }

    /// The value at one index and point.
    pub(crate) fn at(&mut self, n: f64, x: f64) -> f64 {
        self.all(n, &[x])[0]
    }

    /// The values at one index and many points.
    pub(crate) fn all(&mut self, n: f64, points: &[f64]) -> Vec<f64> {
        if let Some(index) = self.index {
            self.batch.input(index).fill(n);
        }
        let mut values = Vec::with_capacity(points.len());
        let lanes = self.batch.value(self.result).len();
        for part in points.chunks(lanes) {
            if let Some(point) = self.point {
                self.batch.input(point)[..part.len()].copy_from_slice(part);
            }
            self.batch.run(&self.tape);
            values.extend_from_slice(&self.batch.value(self.result)[..part.len()]);
        }
        values
    }
}

/// Values of the parameters that satisfy what restricts them, as far as a few tries find them.
fn parameter_values(family: &Family) -> Vec<f64> {
    let names = family.parameters();
    let choices = PARAMETERS
        .len()
        .pow(u32::try_from(names.len().min(3)).unwrap_or(3));
    let chosen = |number: usize| -> Vec<f64> {
        let mut rest = number;
        (0..names.len())
            .map(|place| {
                let own = PARAMETERS[(rest + place) % PARAMETERS.len()];
                rest /= PARAMETERS.len();
                own
            })
            .collect()
    };
    if names.is_empty() {
        return Vec::new();
    }
    (0..choices)
        .map(chosen)
        .find(|values| {
            family
                .conditions
                .iter()
                .all(|own| admits(own, &names, values))
        })
        .unwrap_or_else(|| chosen(0))
}

/// Whether a relation between parameters holds at values of them.
pub(crate) fn admits(condition: &Condition, names: &[Symbol], values: &[f64]) -> bool {
    let Condition::Holds(left, relation, right) = condition else {
        return true;
    };
    let integer = |_: &Symbol| false;
    let value = |expr: &Expr| {
        let mut compiler = Compiler::new(&integer);
        let result = compiler.expression(expr);
        let tape = compiler.finish();
        let mut batch = Batch::new(&tape);
        for (position, input) in tape.inputs().to_vec().iter().enumerate() {
            let place = names
                .iter()
                .position(|own| Some(own) == input.as_variable());
            if let Some(place) = place {
                batch.input(position).fill(values[place]);
            }
        }
        batch.run(&tape);
        batch.value(result)[0]
    };
    let ordering = value(left).partial_cmp(&value(right));
    ordering.is_some_and(|ordering| relation.admits(ordering))
}

/// The value of an expression that is free of index and point.
pub(crate) fn constant(family: &Family, expr: &Expr) -> Option<f64> {
    let value = Sampler::new(family, expr)?.at(1.0, 0.0);
    value.is_finite().then_some(value)
}

/// Points that stand for an interval, in ascending order: dense near both ends and at all scales.
pub(crate) fn grid(family: &Family, domain: &Interval) -> Option<Vec<f64>> {
    let end = |end: &Option<super::family::End>| match end {
        Some(own) => constant(family, &own.value).map(Some),
        None => Some(None),
    };
    let (low, high) = (end(&domain.low)?, end(&domain.high)?);
    let scales = |count: i32| (-count..=count).map(|k| 10f64.powf(f64::from(k) / 16.0));
    let mut points = Vec::new();
    match (low, high) {
        (Some(low), Some(high)) => {
            let width = high - low;
            if width < 0.0 {
                return None;
            }
            points.extend((0..=512).map(|k| low + width * f64::from(k) / 512.0));
            for halvings in 4..160 {
                let part = width * 2f64.powf(-f64::from(halvings) / 4.0);
                points.extend([low + part, high - part]);
            }
        }
        (Some(low), None) => {
            points.push(low);
            points.extend(scales(140).map(|part| low + part));
        }
        (None, Some(high)) => {
            points.push(high);
            points.extend(scales(140).map(|part| high - part));
        }
        (None, None) => {
            points.push(0.0);
            points.extend(scales(140).flat_map(|part| [part, -part]));
        }
    }
    let open = |end: &Option<super::family::End>| end.as_ref().is_some_and(|own| !own.closed);
    points.retain(|point| {
        !(open(&domain.low) && Some(*point) == low || open(&domain.high) && Some(*point) == high)
    });
    points.sort_by(f64::total_cmp);
    points.dedup();
    Some(points)
}

/// Where a sampled function is greatest.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Peak {
    /// The point.
    pub(crate) place: f64,
    /// The value there.
    pub(crate) value: f64,
    /// Whether it lies inside the grid, not on its border.
    pub(crate) inner: bool,
}

/// The greatest value over points in ascending order, refined between its neighbours. Of equal
/// values the one whose place is nearest to 0 counts.
pub(crate) fn peak(sampler: &mut Sampler, n: f64, points: &[f64]) -> Option<Peak> {
    let values = sampler.all(n, points);
    let greatest = values
        .iter()
        .copied()
        .filter(|value| value.is_finite())
        .fold(f64::NEG_INFINITY, f64::max);
    let near = greatest - 1e-4 * greatest.abs();
    let mut best: Option<Peak> = None;
    for (position, value) in values.iter().enumerate() {
        let before = position.checked_sub(1).map(|own| values[own]);
        let after = values.get(position + 1).copied();
        let local = [before, after]
            .into_iter()
            .flatten()
            .all(|other| other.is_nan() || other <= *value);
        if !value.is_finite() || *value < near || !local {
            continue;
        }
        let inner = 0 < position && position + 1 < points.len();
        let found = if inner {
            let (place, value) = section(
                sampler,
                n,
                points[position - 1],
                points[position + 1],
                *value,
            );
            Peak {
                place: if value > values[position] {
                    place
                } else {
                    points[position]
                },
                value: value.max(values[position]),
                inner,
            }
        } else {
            Peak {
                place: points[position],
                value: *value,
                inner,
            }
        };
        let better = best.is_none_or(|own| {
            let gain = found.value - own.value;
            gain > 1e-9 * own.value.abs()
                || gain.abs() <= 1e-9 * own.value.abs() && found.place.abs() < own.place.abs()
        });
        if better {
            best = Some(found);
        }
    }
    best
}

/// Golden section search for a greatest value.
fn section(sampler: &mut Sampler, n: f64, low: f64, high: f64, known: f64) -> (f64, f64) {
    let ratio = (f64::sqrt(5.0) - 1.0) / 2.0;
    let (mut low, mut high) = (low, high);
    let mut best = (low, known);
    for _ in 0..limits::SECTION_STEPS {
        let (left, right) = (high - ratio * (high - low), low + ratio * (high - low));
        let values = sampler.all(n, &[left, right]);
        let (place, value) = if values[0] < values[1] {
            low = left;
            (right, values[1])
        } else {
            high = right;
            (left, values[0])
        };
        if best.1 < value {
            best = (place, value);
        }
    }
    best
}

/// The simplest fraction near a number: a continued fraction that ends early; `None` if no
/// denominator up to 60 fits.
pub(crate) fn fraction(value: f64) -> Option<(i64, i64)> {
    if !value.is_finite() || 1e6 < value.abs() {
        return None;
    }
    (1..=60i64).find_map(|denominator| {
        #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
        let (scaled, nearest) = {
            let scaled = value * denominator as f64;
            (scaled, scaled.round() as i64)
        };
        #[allow(clippy::cast_precision_loss)]
        let close = (scaled - nearest as f64).abs() <= 2e-7 * scaled.abs().max(1e-3);
        close.then_some((nearest, denominator))
    })
}
