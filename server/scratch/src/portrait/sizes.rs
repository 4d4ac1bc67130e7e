//! The supremum along the index, and the power of it that fits.

use super::parts::Part;
use super::{Dot, Known};
use crate::limits;
use crate::seek::Family;
use crate::seek::numeric::fraction;

/// The supremum of the error term against the index, for logarithmic axes; all values are
/// positive.
#[derive(Clone, PartialEq, Debug)]
pub struct Sizes {
    /// (n, sup e_n); of a sequence of numbers (n, e_n). Empty if the supremum is not known.
    pub suprema: Vec<Dot>,
    /// (n, M_n) of a proved bound.
    pub bounds: Vec<Dot>,
    /// The power of n that fits the suprema, else the bounds.
    pub power: Option<Power>,
    /// Whether the power is that of the suprema.
    pub sharp: bool,
}

/// c·n^p, fitted to numbers.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Power {
    /// c.
    pub factor: f64,
    /// p.
    pub exponent: f64,
    /// p as a simple fraction, if it is near to one.
    pub fraction: Option<(i64, i64)>,
}

impl Power {
    /// Its value.
    #[must_use]
    pub fn at(&self, n: f64) -> f64 {
        self.factor * n.powf(self.exponent)
    }
}

/// The sizes; `None` if they are not known at enough indices, or one of them is 0.
pub(super) fn sizes(family: &Family, parts: &mut [Part], mut known: Known) -> Option<Sizes> {
    let start = known.from?;
    let mut suprema = Vec::new();
    let mut bounds = Vec::new();
    for index in limits::SIZES.into_iter().filter(|own| start <= *own) {
        #[allow(clippy::cast_precision_loss)]
        let n = index as f64;
        if family.point.is_none() {
            suprema.push([n, parts.first_mut()?.error.at(n, 0.0)]);
        } else if known.suprema {
            let heights = parts.iter_mut().map(|part| part.height_at(n));
            suprema.push([n, heights.flatten().fold(0.0, f64::max)]);
        }
        bounds.extend(known.bound.as_mut().map(|own| [n, own.at(n, 0.0)]));
    }
    let suprema = positive(suprema)?;
    let bounds = positive(bounds)?;
    let sharp = !suprema.is_empty();
    let fitted = if sharp { &suprema } else { &bounds };
    if fitted.len() < limits::FEWEST_SIZES {
        return None;
    }
    Some(Sizes {
        power: power(fitted),
        sharp,
        suprema,
        bounds,
    })
}

/// The values up to where they become too small; `None` if one before is 0 or no number.
fn positive(mut dots: Vec<Dot>) -> Option<Vec<Dot>> {
    let small = dots.iter().position(|own| own[1].abs() < limits::LEAST);
    if let Some(small) = small {
        // A value that only happens to be 0 is followed by larger ones.
        let after = dots[small..].iter().all(|own| own[1].abs() < limits::LEAST);
        if !after {
            return None;
        }
        dots.truncate(small);
    }
    dots.iter()
        .all(|own| own[1].is_finite() && 0.0 < own[1])
        .then_some(dots)
}

/// The power that fits the last values, if it fits well.
fn power(dots: &[Dot]) -> Option<Power> {
    // Lower terms have faded there as far as they do.
    let later = &dots[dots.len() - dots.len() / 3..];
    if later.len() < limits::FEWEST_SIZES {
        return None;
    }
    let logs: Vec<Dot> = later.iter().map(|own| own.map(f64::ln)).collect();
    #[allow(clippy::cast_precision_loss)]
    let count = logs.len() as f64;
    let mean = |side: usize| logs.iter().map(|own| own[side]).sum::<f64>() / count;
    let (x, y) = (mean(0), mean(1));
    let above: f64 = logs.iter().map(|own| (own[0] - x) * (own[1] - y)).sum();
    let below: f64 = logs.iter().map(|own| (own[0] - x).powi(2)).sum();
    let exponent = above / below;
    let off = |own: &Dot| (y + exponent * (own[0] - x) - own[1]).abs();
    let fits = logs.iter().all(|own| off(own) <= limits::MISFIT);
    if !fits || !exponent.is_finite() {
        return None;
    }
    let near = (exponent * 12.0).round() / 12.0;
    let fraction =
        fraction(near).filter(|own| own.1 <= 4 && (near - exponent).abs() <= limits::NEAR_FRACTION);
    #[allow(clippy::cast_precision_loss)]
    let exponent = fraction.map_or(exponent, |(above, below)| above as f64 / below as f64);
    Some(Power {
        factor: (y - exponent * x).exp(),
        exponent,
        fraction,
    })
}
