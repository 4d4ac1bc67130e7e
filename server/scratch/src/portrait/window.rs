//! What of a domain is seen, and at which indices.

use super::parts::Part;
use super::trace::{Frame, trace};
use super::{Curve, Dot, Greatest, Known, Scene};
use crate::limits;
use crate::seek::Place;
use kernel::Symbol;

/// The curves over what is seen of the domain.
///
/// # Errors
/// Why there is nothing to see, in words.
pub(super) fn scene(
    point: &Symbol,
    parts: &mut [Part],
    mut known: Known,
) -> Result<Scene, &'static str> {
    let start = known.from.unwrap_or(limits::FIRST_DRAWN);
    let ends = [parts[0].low, parts[parts.len() - 1].high];
    let mut chosen = None;
    for set in limits::INDICES_DRAWN {
        let indices: Vec<i64> = std::iter::once(start)
            .chain(set.into_iter().filter(|own| start < *own))
            .collect();
        let window = window(ends, &indices, parts, &mut known);
        let near = is_readable(window, ends, &indices, parts, &mut known);
        chosen = Some((indices, window));
        if near {
            break;
        }
    }
    let (indices, window) = chosen.ok_or("no index is left")?;
    let top = top(window, &indices, parts, &mut known)
        .ok_or("its values are 0 or too large wherever they were looked at")?;
    let frame = Frame {
        from: window[0],
        to: window[1],
        top,
    };
    let curves: Vec<Curve> = indices
        .iter()
        .filter_map(|&index| curve(index, frame, parts, &mut known))
        .collect();
    // One curve alone shows nothing of what happens as the index grows.
    if curves.len() < 2 {
        return Err("it moves too quickly to be drawn");
    }
    Ok(Scene {
        point: point.as_str().to_owned(),
        from: frame.from,
        to: frame.to,
        beyond: [ends[0] < frame.from, frame.to < ends[1]],
        top,
        curves,
    })
}

#[allow(clippy::cast_precision_loss)]
fn real(index: i64) -> f64 {
    index as f64
}

/// The points to be seen at an index: places of suprema, and the witness.
fn places(index: i64, parts: &mut [Part], known: &mut Known) -> Vec<f64> {
    let n = real(index);
    let mut all: Vec<f64> = parts
        .iter_mut()
        .filter_map(|part| part.place.as_mut())
        .map(|own| own.at(n, 0.0))
        .collect();
    all.extend(known.witness.as_mut().map(|own| own.at(n, 0.0)));
    all.retain(|own| own.is_finite());
    all
}

/// From where distances are measured: an end of the domain, or 0.
fn anchor(ends: [f64; 2]) -> f64 {
    ends.into_iter().find(|end| end.is_finite()).unwrap_or(0.0)
}

fn window(ends: [f64; 2], indices: &[i64], parts: &mut [Part], known: &mut Known) -> [f64; 2] {
    if ends.iter().all(|end| end.is_finite()) {
        return ends;
    }
    let anchor = anchor(ends);
    let mut reach = 0.0_f64;
    let mut settles: Vec<f64> = Vec::new();
    for &index in indices {
        for place in places(index, parts, known) {
            reach = reach.max((place - anchor).abs());
        }
        settles.extend(settled(index, ends, parts));
    }
    let widest = settles.iter().copied().fold(0.0, f64::max);
    let narrowest = settles.iter().copied().fold(f64::INFINITY, f64::min);
    let width = if 0.0 < reach {
        widest.clamp(1.5 * reach, 4.0 * reach)
    } else if 0.0 < widest {
        widest.min(limits::SPREAD * narrowest)
    } else {
        limits::WIDTH
    };
    let width = round_up(width);
    match (ends[0].is_finite(), ends[1].is_finite()) {
        (true, _) => [ends[0], ends[0] + width],
        (_, true) => [ends[1] - width, ends[1]],
        _ => [-width, width],
    }
}

/// How far from the anchor the error term is nearly what it stays far out; `None` if it does not
/// settle.
fn settled(index: i64, ends: [f64; 2], parts: &mut [Part]) -> Option<f64> {
    let n = real(index);
    let anchor = anchor(ends);
    let sign = if ends[1].is_finite() { -1.0 } else { 1.0 };
    let scales: Vec<f64> = (-24..=24).map(|k| 10f64.powf(f64::from(k) / 8.0)).collect();
    let far = if sign < 0.0 {
        parts.first_mut()?
    } else {
        parts.last_mut()?
    };
    let places: Vec<f64> = scales.iter().map(|scale| anchor + sign * scale).collect();
    let values = far.error.all(n, &places);
    let last = *values.last()?;
    let most = values.iter().copied().fold(0.0, f64::max);
    let away = |value: &f64| {
        let off = (value - last).abs();
        off.is_nan() || 0.1 * most < off
    };
    let position = values.iter().rposition(away)? + 1;
    // Nearly the whole way: it has not settled there.
    (position + 8 < scales.len()).then(|| scales[position])
}

/// The next of 1, 1.5, 2, 3, … 8, 10 times a power of ten.
fn round_up(width: f64) -> f64 {
    let power = 10f64.powf(width.log10().floor());
    let steps = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    let step = steps.into_iter().find(|step| width <= step * power * 1.001);
    step.unwrap_or(10.0) * power
}

/// Whether no place that is marked lies so near to an end that it cannot be told from it.
fn is_readable(
    window: [f64; 2],
    ends: [f64; 2],
    indices: &[i64],
    parts: &mut [Part],
    known: &mut Known,
) -> bool {
    let least = (window[1] - window[0]) * limits::APART;
    indices.iter().all(|&index| {
        places(index, parts, known).into_iter().all(|place| {
            let middle = if ends.iter().any(|end| end.is_finite()) {
                f64::NAN
            } else {
                0.0
            };
            [window[0], window[1], middle].into_iter().all(|end| {
                let apart = (place - end).abs();
                end.is_nan() || apart == 0.0 || least <= apart
            })
        })
    })
}

/// The greatest value that is seen: all values and bounds, as far as they are of one size; where
/// nothing is known of the supremum, twice what the witnesses show.
fn top(window: [f64; 2], indices: &[i64], parts: &mut [Part], known: &mut Known) -> Option<f64> {
    let mut seen = 0.0_f64;
    let mut bound = 0.0_f64;
    let mut shown = 0.0_f64;
    for &index in indices {
        let n = real(index);
        bound = bound.max(known.bound.as_mut().map_or(0.0, |own| own.at(n, 0.0)));
        let witness = known.witness.as_mut().map(|own| own.at(n, 0.0));
        for part in parts.iter_mut() {
            seen = seen.max(part.height_at(n).unwrap_or(0.0));
            let (low, high) = (part.low.max(window[0]), part.high.min(window[1]));
            let places: Vec<f64> = (0..=limits::STRETCHES)
                .map(|number| low + (high - low) * f64::from(number) / f64::from(limits::STRETCHES))
                .collect();
            for value in part.error.all(n, &places) {
                if value.is_finite() {
                    seen = seen.max(value);
                }
            }
            let inside = witness.filter(|own| part.low <= *own && *own <= part.high);
            let value = inside.map(|own| part.error.at(n, own));
            shown = shown.max(value.unwrap_or(0.0));
        }
    }
    let most = if known.suprema || known.bound.is_some() {
        seen.max(bound.min(limits::LOOSE * seen))
    } else {
        seen.min(limits::ABOVE_WITNESS * shown)
    };
    (most.is_finite() && limits::LEAST < most).then_some(most * limits::HEADROOM)
}

fn curve(index: i64, frame: Frame, parts: &mut [Part], known: &mut Known) -> Option<Curve> {
    let n = real(index);
    let marks = places(index, parts, known);
    let mut curve = Curve {
        index,
        lines: Vec::new(),
        single: Vec::new(),
        greatest: None,
        supremum: None,
        bound: known.bound.as_mut().map(|own| own.at(n, 0.0)),
        witness: None,
        cut: false,
    };
    let witness = known.witness.as_mut().map(|own| own.at(n, 0.0));
    let mut most: Option<(f64, Option<Greatest>)> = None;
    for part in parts.iter_mut() {
        if part.high < frame.from || frame.to < part.low {
            continue;
        }
        let height = part.height_at(n);
        if part.is_single() {
            curve.single.push([part.low, height?]);
        } else {
            let traced = trace(part, n, frame, &marks)?;
            curve.lines.extend(traced.lines);
            curve.single.extend(traced.single);
            curve.cut |= traced.cut;
            if let Some(height) = height
                && most.is_none_or(|(own, _)| own < height)
            {
                most = Some((height, greatest(part, n, height, frame)));
            }
        }
        let inside = |own: &f64| {
            let [low, high] = part.closed;
            (part.low < *own || low && part.low == *own)
                && (*own < part.high || high && part.high == *own)
                && (frame.from..=frame.to).contains(own)
        };
        if let Some(place) = witness.filter(inside) {
            let value = part.error.at(n, place);
            curve.witness = (value <= frame.top).then_some([place, value]);
        }
    }
    if known.suprema {
        for [_, value] in &curve.single {
            if most.is_none_or(|(own, _)| own < *value) {
                most = Some((*value, None));
            }
        }
        curve.supremum = most.map(|own| own.0);
        curve.greatest = most.and_then(|own| own.1);
    }
    Some(curve)
}

/// Where the supremum is marked, if that is seen.
fn greatest(part: &mut Part, n: f64, height: f64, frame: Frame) -> Option<Greatest> {
    let upper = match part.supremum.as_ref()?.place {
        Place::At(_) => None,
        Place::Toward { upper } => Some(upper),
    };
    let place = match upper {
        None => part.place.as_mut()?.at(n, 0.0),
        Some(true) => part.high,
        Some(false) => part.low,
    };
    let dot: Dot = [place, height];
    let seen = (frame.from..=frame.to).contains(&place) && height <= frame.top;
    seen.then_some(Greatest {
        dot,
        attained: upper.is_none(),
    })
}
