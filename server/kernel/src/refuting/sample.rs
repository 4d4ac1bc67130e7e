//! Sampling: where counterexamples of analysis are found.

use super::model::{Model, Program, Slot, is_factor, needs};
use super::random::Random;
use crate::goal::Kind;
use crate::numerics::tape::{LANES, Lane};

/// How one batch gives values to the slots: an order, and a boundary where one is used.
#[derive(Clone, Debug, Default)]
pub(super) struct Plan {
    /// Slots in order, each with the boundary that it is put on.
    pub(super) steps: Vec<(usize, Option<usize>)>,
}

/// How far the samples reach.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Reach {
    /// Small integers and fractions only.
    Simple,
    /// The usual mixture.
    Usual,
    /// Logarithmic grids to 10^12 and 10^−12.
    Wide,
}

/// A random matching of hypotheses with different slots, and an order that it admits.
pub(super) fn plan(model: &Model, random: &mut Random) -> Plan {
    let count = model.slots.len();
    let mut chosen: Vec<Option<usize>> = vec![None; count];
    let mut taken = Vec::new();
    let mut order: Vec<usize> = (0..model.boundaries.len()).collect();
    shuffle(&mut order, random);
    for boundary in order {
        let description = &model.boundaries[boundary];
        if chosen[description.slot].is_some()
            || taken.contains(&description.hypothesis)
            || random.chance(1, 5)
        {
            continue;
        }
        chosen[description.slot] = Some(boundary);
        if arrange(model, &chosen, random).is_some() {
            taken.push(description.hypothesis);
        } else {
            chosen[description.slot] = None;
        }
    }
    let steps = arrange(model, &chosen, random).unwrap_or_default();
    Plan { steps }
}

/// An order in which every slot comes after the slots that it needs; `None` for a circle.
fn arrange(
    model: &Model,
    chosen: &[Option<usize>],
    random: &mut Random,
) -> Option<Vec<(usize, Option<usize>)>> {
    let count = model.slots.len();
    let needed: Vec<Vec<usize>> = (0..count)
        .map(|slot| match (&model.slots[slot].tied, chosen[slot]) {
            (Some(expr), _) => needs(&model.slots, expr),
            (None, Some(boundary)) => model.boundaries[boundary].needs.clone(),
            (None, None) => Vec::new(),
        })
        .collect();
    let mut steps = Vec::with_capacity(count);
    let mut done = vec![false; count];
    let mut order: Vec<usize> = (0..count).collect();
    shuffle(&mut order, random);
    while steps.len() < count {
        let next = order
            .iter()
            .copied()
            .find(|slot| !done[*slot] && needed[*slot].iter().all(|other| done[*other]))?;
        done[next] = true;
        steps.push((next, chosen[next]));
    }
    Some(steps)
}

fn shuffle(items: &mut [usize], random: &mut Random) {
    for end in (1..items.len()).rev() {
        items.swap(end, random.below(end + 1));
    }
}

/// Fills one batch of points by a plan.
pub(super) fn fill(
    model: &mut Model,
    plan: &Plan,
    reach: Reach,
    random: &mut Random,
    values: &mut [Lane],
) {
    for (position, (slot, boundary)) in plan.steps.iter().enumerate() {
        let before: Vec<usize> = plan.steps[..position]
            .iter()
            .map(|(slot, _)| *slot)
            .collect();
        if model.slots[*slot].tied.is_some() {
            tie(model, *slot, values);
            continue;
        }
        let mut others = vec![0.0; before.len()];
        let mut chosen = [0.0; LANES];
        for (lane, value) in chosen.iter_mut().enumerate() {
            for (other, slot) in others.iter_mut().zip(&before) {
                *other = values[*slot][lane];
            }
            *value = free(&model.slots[*slot], reach, model.waves, &others, random);
        }
        values[*slot] = chosen;
        if let Some(boundary) = boundary {
            on_boundary(model, *boundary, reach, random, values);
        }
    }
}

/// Gives a tied slot the value of its expression.
pub(super) fn tie(model: &mut Model, slot: usize, values: &mut [Lane]) {
    let Some(program) = model.ties.get_mut(slot).and_then(Option::as_mut) else {
        return;
    };
    run(program, values, &[1.0; LANES]);
    values[slot] = *program.batch.value(program.result);
}

/// Runs a program on slot values.
pub(super) fn run(program: &mut Program, values: &[Lane], factor: &Lane) {
    for (input, source) in program.sources.iter().enumerate() {
        let lane = match source {
            Some(slot) => values[*slot],
            None if is_factor(&program.tape.inputs()[input]) => *factor,
            None => [f64::NAN; LANES],
        };
        *program.batch.input(input) = lane;
    }
    program.batch.run(&program.tape);
}

/// Replaces most of a slot's values by values on or near a boundary.
fn on_boundary(
    model: &mut Model,
    boundary: usize,
    reach: Reach,
    random: &mut Random,
    values: &mut [Lane],
) {
    let slot = model.boundaries[boundary].slot;
    let integer = model.slots[slot].kind == Kind::Integer;
    let mut factor = [1.0; LANES];
    for factor in &mut factor {
        *factor = miss(reach, integer, random);
    }
    let program = &mut model.boundaries[boundary].program;
    run(program, values, &factor);
    let result = *program.batch.value(program.result);
    let (least, most) = (model.slots[slot].least(), model.slots[slot].most());
    for lane in 0..LANES {
        let value = result[lane];
        if !value.is_finite() || random.chance(1, 8) {
            continue;
        }
        let value = if integer {
            round_integer(value, random)
        } else {
            value
        };
        if value >= least && value <= most {
            values[slot][lane] = value;
        } else if integer && value < least && least.is_finite() {
            values[slot][lane] = least.ceil() + random.below(2) as f64;
        }
    }
}

/// By which factor a boundary is missed.
fn miss(reach: Reach, integer: bool, random: &mut Random) -> f64 {
    if integer {
        return match random.below(8) {
            0 => random.between(1.0, 4.0),
            1 => random.between(0.3, 1.0),
            _ => 1.0,
        };
    }
    let digits = if reach == Reach::Wide { 12 } else { 6 };
    let tiny = core_math::exp10(-(1.0 + random.below(digits) as f64));
    match random.below(10) {
        0..=2 => 1.0,
        3 | 4 => 1.0 - tiny,
        5 => 1.0 + tiny,
        6 => random
            .pick(&[0.5, 0.9, 0.75, 0.25, 0.99, 0.8])
            .unwrap_or(0.5),
        7 => random.unit(),
        8 => random.sign() * random.unit(),
        _ => 1.0 + core_math::exp10(random.between(-2.0, 2.0)),
    }
}

/// The integers next to a boundary: ⌊b⌋ + 1 is the least above, ⌈b⌉ − 1 the greatest below.
fn round_integer(value: f64, random: &mut Random) -> f64 {
    // A boundary that is an integer but for rounding counts as that integer.
    let near = value.round();
    let value = if (value - near).abs() <= 1e-9 * near.abs().max(1.0) {
        near
    } else {
        value
    };
    match random.below(8) {
        0..=2 => value.floor() + 1.0,
        3 | 4 => value.ceil(),
        5 => value.floor(),
        6 => value.ceil() - 1.0,
        _ => value.floor() + 2.0,
    }
}

/// A value of a slot that no hypothesis but its bounds restricts.
fn free(slot: &Slot, reach: Reach, waves: bool, others: &[f64], random: &mut Random) -> f64 {
    for _ in 0..4 {
        let value = match slot.kind {
            Kind::Integer => free_integer(slot, reach, others, random),
            Kind::Real => free_real(slot, reach, waves, others, random),
        };
        if inside(slot, value) {
            return value;
        }
    }
    fallback(slot, random)
}

fn inside(slot: &Slot, value: f64) -> bool {
    let low = slot.low.as_ref().is_none_or(|bound| {
        if bound.strict {
            value > bound.value
        } else {
            value >= bound.value
        }
    });
    let high = slot.high.as_ref().is_none_or(|bound| {
        if bound.strict {
            value < bound.value
        } else {
            value <= bound.value
        }
    });
    low && high && value.is_finite()
}

fn fallback(slot: &Slot, random: &mut Random) -> f64 {
    let (low, high) = (slot.least(), slot.most());
    let value = match (low.is_finite(), high.is_finite()) {
        (true, true) => random.between(low, high),
        (true, false) => low + random.between(0.0, 8.0),
        (false, true) => high - random.between(0.0, 8.0),
        (false, false) => random.between(-8.0, 8.0),
    };
    if slot.kind == Kind::Real {
        return value;
    }
    if low.is_finite() {
        value.ceil()
    } else {
        value.floor()
    }
}

fn free_integer(slot: &Slot, reach: Reach, others: &[f64], random: &mut Random) -> f64 {
    let low = slot.least();
    let start = if low.is_finite() { low.ceil() } else { -4.0 };
    let decades = if reach == Reach::Wide { 12.0 } else { 6.0 };
    if reach == Reach::Simple {
        return start + random.below(8) as f64;
    }
    match random.below(12) {
        0..=2 => start + random.below(12) as f64,
        3 | 4 => {
            // k m²: makes roots of n, and of multiples of n, rational.
            let (k, m) = (1 + random.below(12), 1 + random.below(16));
            (k * m * m) as f64
        }
        5 | 6 => core_math::exp10(random.between(0.0, decades)).floor(),
        7 => start + random.below(200) as f64,
        8 => start,
        9 => start + core_math::exp10(random.between(0.0, decades)).floor(),
        10 if !others.is_empty() => scaled(others, random).round(),
        _ => -(random.below(10) as f64),
    }
}

/// Numerators and denominators of fractions that a person would try.
const DENOMINATORS: [f64; 9] = [1.0, 1.0, 2.0, 3.0, 4.0, 5.0, 8.0, 10.0, 16.0];

fn nice(random: &mut Random) -> f64 {
    let numerator = random.below(13) as f64 - 4.0;
    numerator / random.pick(&DENOMINATORS).unwrap_or(1.0)
}

fn free_real(slot: &Slot, reach: Reach, waves: bool, others: &[f64], random: &mut Random) -> f64 {
    let (low, high) = (slot.least(), slot.most());
    let anchored = |offset: f64, random: &mut Random| match (low.is_finite(), high.is_finite()) {
        (true, true) if random.chance(1, 2) => high - offset,
        (true, _) => low + offset,
        (false, true) => high - offset,
        (false, false) => offset * random.sign(),
    };
    if reach == Reach::Simple {
        return bounded_nice(low, high, random);
    }
    let (tiny, huge) = if reach == Reach::Wide {
        (-12.0, 12.0)
    } else {
        (-6.0, 5.0)
    };
    match random.below(14) {
        0 | 1 => bounded_nice(low, high, random),
        2 => nice(random),
        3 | 4 => anchored(core_math::exp10(random.between(tiny, huge)), random),
        5 => anchored(core_math::exp10(random.between(-3.0, 1.0)), random),
        6 => end_point(low, high, random),
        7 => {
            let from = if low.is_finite() {
                low
            } else {
                high.min(5.0) - 10.0
            };
            let to = if high.is_finite() { high } else { from + 10.0 };
            random.between(from, to)
        }
        8..=10 if !others.is_empty() => {
            let value = scaled(others, random);
            match random.below(9) {
                0 => 1.0 - value,
                1 => 1.0 + value,
                // Beside another point: differences against their limits.
                8 => {
                    let near = core_math::exp10(random.between(tiny / 2.0, 0.0));
                    random.pick(others).unwrap_or(0.0) + near * random.sign()
                }
                2 => anchored(value.abs(), random),
                3 => -value,
                _ => value,
            }
        }
        11 if waves => {
            let turns = random.below(25) as f64 - 12.0;
            let angle = turns * std::f64::consts::PI
                / random.pick(&[2.0, 3.0, 4.0, 6.0, 12.0]).unwrap_or(2.0);
            match random.pick(others) {
                Some(other) if other != 0.0 && random.chance(1, 2) => {
                    if random.chance(1, 2) {
                        angle / other
                    } else {
                        angle * other
                    }
                }
                _ => angle,
            }
        }
        12 if low.is_finite() && high.is_finite() => {
            low + (high - low) * random.below(17) as f64 / 16.0
        }
        _ => core_math::exp10(random.between(tiny / 2.0, huge / 2.0)) * random.sign(),
    }
}

fn bounded_nice(low: f64, high: f64, random: &mut Random) -> f64 {
    let value = nice(random);
    match (low.is_finite(), high.is_finite()) {
        (true, true) if value < low || value > high => {
            let part = (value.abs() / 5.0).min(1.0);
            low + (high - low) * part
        }
        (true, false) if value < low => low + value.abs(),
        (false, true) if value > high => high - value.abs(),
        _ => value,
    }
}

fn end_point(low: f64, high: f64, random: &mut Random) -> f64 {
    match (low.is_finite(), high.is_finite()) {
        (true, true) => {
            if random.chance(1, 2) {
                low
            } else {
                high
            }
        }
        (true, false) => low,
        (false, true) => high,
        (false, false) => 0.0,
    }
}

/// c · y^p for another slot's value y: maxima of n-dependent families lie there.
fn scaled(others: &[f64], random: &mut Random) -> f64 {
    let Some(other) = random.pick(others) else {
        return 1.0;
    };
    let power = random
        .pick(&[-1.0, -1.0, -0.5, -0.5, -2.0, 0.5, 1.0, 1.0, 2.0, -1.0 / 3.0])
        .unwrap_or(-1.0);
    let coefficient = match random.below(4) {
        0 => 1.0,
        1 => nice(random).abs(),
        _ => core_math::exp10(random.between(-1.0, 1.0)),
    };
    let sign = if other < 0.0 { -1.0 } else { 1.0 };
    sign * coefficient * core_math::pow(other.abs(), power)
}
