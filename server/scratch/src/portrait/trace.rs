//! A curve as few enough points: more where it bends, an end where it leaves the picture.

use super::Dot;
use super::parts::Part;
use crate::limits;

/// What is seen.
#[derive(Clone, Copy)]
pub(super) struct Frame {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) top: f64,
}

/// A part of a curve.
pub(super) struct Traced {
    /// Its connected lines.
    pub(super) lines: Vec<Vec<Dot>>,
    /// Values that stand apart between steps.
    pub(super) single: Vec<Dot>,
    /// Whether it leaves the frame at the top.
    pub(super) cut: bool,
}

/// The curve of a part at an index, which passes through `marks`; `None` if it moves too quickly
/// to be drawn honestly.
pub(super) fn trace(part: &mut Part, n: f64, frame: Frame, marks: &[f64]) -> Option<Traced> {
    let points = points(part, n, frame, marks)?;
    let step = limits::STEP * frame.top;
    let mut lines = Vec::new();
    let mut line: Vec<Dot> = Vec::new();
    let mut cut = false;
    let mut before: Option<Dot> = None;
    for dot in points {
        let crossing = before.and_then(|last| crossing(last, dot, frame.top));
        let jump = part.jumps && before.is_some_and(|last| is_jump(last, dot, frame, step));
        if !dot[1].is_finite() || jump {
            lines.push(std::mem::take(&mut line));
        }
        if let Some(crossing) = crossing.filter(|_| !jump) {
            line.push(crossing);
            if frame.top < dot[1] {
                lines.push(std::mem::take(&mut line));
            }
        }
        if dot[1] <= frame.top {
            line.push(dot);
        } else {
            cut = true;
        }
        before = dot[1].is_finite().then_some(dot);
    }
    lines.push(line);
    let alone = lines.iter().filter(|line| part.jumps && line.len() == 1);
    let single = alone.map(|line| line[0]).collect();
    lines.retain(|line| 1 < line.len());
    let slack = limits::FLAT * frame.top;
    let lines = lines.iter().map(|line| thinned(line, slack)).collect();
    Some(Traced { lines, single, cut })
}

/// Where the way from one point to the next crosses the top.
fn crossing(last: Dot, next: Dot, top: f64) -> Option<Dot> {
    let crosses = (last[1] <= top) != (next[1] <= top);
    let part = (top - last[1]) / (next[1] - last[1]);
    (crosses && part.is_finite()).then(|| [last[0] + part * (next[0] - last[0]), top])
}

/// A difference that is left between neighbours that were brought together as far as it goes.
fn is_jump(last: Dot, next: Dot, frame: Frame, step: f64) -> bool {
    let finest = f64::from(limits::STRETCHES << limits::HALVINGS);
    let close = 4.0 * (frame.to - frame.from) / finest;
    step < (next[1] - last[1]).abs() && next[0] - last[0] <= close
}

/// Points in ascending order.
fn points(part: &mut Part, n: f64, frame: Frame, marks: &[f64]) -> Option<Vec<Dot>> {
    let (low, high) = (part.low.max(frame.from), part.high.min(frame.to));
    let width = high - low;
    // An open end is come near to, and not reached.
    let near = |end: f64, closed: bool, inward: f64| {
        if closed {
            end
        } else {
            end + inward * width * limits::NEAR
        }
    };
    let low = near(low, part.closed[0] || part.low < frame.from, 1.0);
    let high = near(high, part.closed[1] || frame.to < part.high, -1.0);
    let mut places: Vec<f64> = (0..=limits::STRETCHES)
        .map(|number| {
            let part = f64::from(number) / f64::from(limits::STRETCHES);
            low + (high - low) * part
        })
        .collect();
    places.extend(marks.iter().filter(|own| low < **own && **own < high));
    places.sort_by(f64::total_cmp);
    places.dedup();
    let values = part.error.all(n, &places);
    let mut points: Vec<Dot> = places
        .into_iter()
        .zip(values)
        .map(|(x, y)| [x, y])
        .collect();
    let slack = limits::BEND * frame.top;
    for halving in 0..limits::HALVINGS {
        let mut between = Vec::new();
        for pair in points.windows(2) {
            // Not the middle: a wave that fits the stretches would look like a line there.
            let share = if halving % 2 == 0 { 0.46 } else { 0.53 };
            let place = pair[0][0] + share * (pair[1][0] - pair[0][0]);
            between.push((place, share));
        }
        let asked: Vec<f64> = between.iter().map(|own| own.0).collect();
        let values = part.error.all(n, &asked);
        let mut finer = Vec::with_capacity(2 * points.len());
        let mut bent = false;
        for (position, ((place, share), value)) in between.into_iter().zip(values).enumerate() {
            let (left, right) = (points[position], points[position + 1]);
            finer.push(left);
            let chord = left[1] + share * (right[1] - left[1]);
            let beyond = frame.top < left[1] && frame.top < right[1] && frame.top < value;
            let off = (value - chord).abs();
            let bends = !beyond && (off.is_nan() || slack < off);
            if halving == 0 || bends {
                finer.push([place, value]);
                bent |= bends;
            }
        }
        finer.extend(points.last());
        points = finer;
        if limits::CURVE_POINTS < points.len() {
            return None;
        }
        if !bent && 0 < halving {
            break;
        }
    }
    Some(points)
}

/// The line without points that lie on it anyway.
fn thinned(line: &[Dot], slack: f64) -> Vec<Dot> {
    let mut kept: Vec<Dot> = Vec::new();
    let mut skipped: Vec<Dot> = Vec::new();
    for &dot in line {
        let Some(&start) = kept.last() else {
            kept.push(dot);
            continue;
        };
        let on = |own: &Dot| {
            let share = (own[0] - start[0]) / (dot[0] - start[0]);
            (start[1] + share * (dot[1] - start[1]) - own[1]).abs() <= slack
        };
        if !skipped.iter().all(on) {
            kept.extend(skipped.pop());
            skipped.clear();
        }
        skipped.push(dot);
    }
    kept.extend(skipped.pop());
    kept
}
