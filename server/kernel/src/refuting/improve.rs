//! Pattern search: from the best points of the batches downhill, one coordinate at a time.

use super::model::Model;
use super::random::Random;
use super::witness::{evaluate, settle};
use super::{Score, score};
use crate::goal::Kind;
use crate::numerics::tape::{LANES, Lane};

/// Rounds of moves.
pub(super) const ROUNDS: usize = 14;
/// Moves that are tried from every point in a round.
pub(super) const MOVES: usize = 16;

/// A point with its slack; smaller is nearer to a violation.
#[derive(Clone, Debug)]
pub(super) struct Near {
    pub(super) values: Vec<f64>,
    pub(super) slack: f64,
    /// Size of the next moves.
    pub(super) step: f64,
}

/// One round: every point tries its moves and keeps the best; returns points that look like
/// violations.
pub(super) fn round(
    model: &mut Model,
    points: &mut [Near],
    random: &mut Random,
    values: &mut [Lane],
) -> Vec<Vec<f64>> {
    let mut suspects = Vec::new();
    for group in points.chunks_mut(LANES / MOVES) {
        for (position, near) in group.iter().enumerate() {
            for offset in 0..MOVES {
                let moved = moved(model, near, offset, random);
                for (slot, value) in moved.into_iter().enumerate() {
                    values[slot][position * MOVES + offset] = value;
                }
            }
        }
        for lane in group.len() * MOVES..LANES {
            for (slot, lanes) in values.iter_mut().enumerate() {
                lanes[lane] = group.first().map_or(f64::NAN, |near| near.values[slot]);
            }
        }
        settle(model, values);
        evaluate(model, values);
        for (position, near) in group.iter_mut().enumerate() {
            let mut improved = false;
            for offset in 0..MOVES {
                let lane = position * MOVES + offset;
                match score(model, lane) {
                    Score::Violated(_) => {
                        suspects.push(values.iter().map(|lanes| lanes[lane]).collect());
                    }
                    Score::Holds(slack) if slack < near.slack => {
                        near.slack = slack;
                        near.values = values.iter().map(|lanes| lanes[lane]).collect();
                        improved = true;
                    }
                    _ => {}
                }
            }
            near.step = if improved {
                (near.step * 1.5).min(2.0)
            } else {
                near.step * 0.4
            };
        }
    }
    suspects
}

/// A neighbour of a point.
fn moved(model: &Model, near: &Near, offset: usize, random: &mut Random) -> Vec<f64> {
    let mut values = near.values.clone();
    let free: Vec<usize> = (0..model.slots.len())
        .filter(|slot| model.slots[*slot].tied.is_none())
        .collect();
    let Some(slot) = random.pick(&free) else {
        return values;
    };
    // Every second pair of moves changes two coordinates together.
    let both = offset >= MOVES / 2;
    change(model, &mut values, slot, near.step, random);
    if both && let Some(other) = random.pick(&free) {
        change(model, &mut values, other, near.step, random);
    }
    values
}

fn change(model: &Model, values: &mut [f64], slot: usize, step: f64, random: &mut Random) {
    let description = &model.slots[slot];
    let value = values[slot];
    let size = step * random.between(0.2, 1.0) * random.sign();
    let (low, high) = (description.least(), description.most());
    let new = if description.kind == Kind::Integer {
        let jump = (value.abs() * size).round();
        value + if jump == 0.0 { random.sign() } else { jump }
    } else {
        // Relative to the nearest anchor: 0 or an end of the domain.
        let anchor = [0.0, low, high]
            .into_iter()
            .filter(|anchor| anchor.is_finite())
            .min_by(|a, b| (value - a).abs().total_cmp(&(value - b).abs()))
            .unwrap_or(0.0);
        let distance = value - anchor;
        if distance == 0.0 {
            value + size * 0.01
        } else {
            anchor + distance * (1.0 + size)
        }
    };
    values[slot] = new.max(low).min(high);
}
