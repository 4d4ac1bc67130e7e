//! From a double-precision suspicion to an exact point: rounding to the simplest numbers that
//! still serve.

use super::model::{Model, Slot, needs};
use super::sample::{run, tie};
use crate::expr::{Constant, Expr, Function, Node, Symbol};
use crate::goal::{Kind, Problem};
use crate::numerics::tape::{LANES, Lane};
use crate::numerics::{Assignment, Precision, Value, enclose, exact};
use crate::verdict::Point;
use dashu::base::{BitTest, Signed};
use dashu::integer::IBig;
use dashu::rational::RBig;

/// Relative tolerances of rounding, coarse first.
pub(super) const TOLERANCES: [f64; 9] = [0.3, 0.1, 0.03, 0.01, 1e-3, 1e-5, 1e-8, 1e-11, 0.0];

/// Kinds of constants in closed form that are tried when a tie is suspected.
const CLOSED_FORMS: usize = 4;

/// Largest denominator tried when a tie is suspected.
const TIE_DENOMINATOR: i64 = 64;

/// Values of all slots before ties are evaluated, numbers or constants in closed form; `None` for
/// tied slots.
pub(super) type Draft = Vec<Option<Expr>>;

/// The simplest rational within a relative tolerance; integers for integer slots.
pub(super) fn rounded(value: f64, kind: Kind, tolerance: f64) -> Option<RBig> {
    let exact = RBig::try_from(value).ok()?;
    if kind == Kind::Integer {
        return Some(RBig::from(rounded_integer(&exact, tolerance)));
    }
    if exact.is_zero() || tolerance == 0.0 {
        return Some(exact);
    }
    let width = RBig::try_from(value.abs() * tolerance).ok()?;
    if width.is_zero() {
        return Some(exact);
    }
    Some(RBig::simplest_in(&exact - &width, &exact + &width))
}

/// The integer with the fewest significant digits within a relative tolerance.
fn rounded_integer(value: &RBig, tolerance: f64) -> IBig {
    let whole = value.round();
    let Ok(allowed) = RBig::try_from(whole.to_f64().value().abs() * tolerance) else {
        return whole;
    };
    let mut unit = RBig::from(10).pow(15);
    while unit > RBig::ONE {
        let candidate = (RBig::from(whole.clone()) / &unit).round() * unit.numerator();
        let off = RBig::from(&candidate - &whole);
        let off = if off.is_negative() { -off } else { off };
        if !candidate.is_zero() && off <= allowed {
            return candidate;
        }
        unit /= RBig::from(10);
    }
    whole
}

/// A constant near which the value lies: sides that only touch often touch at q π, √q, e^q or
/// log q with a small fraction q.
fn closed_form(value: f64, waves: bool) -> Vec<Expr> {
    let fraction = |value: f64| {
        small_fraction(value, Kind::Real)
            .or_else(|| long_fraction(value))
            .map(Expr::number)
    };
    let pi = Expr::from(Node::Constant(Constant::Pi));
    let turns = fraction(value / std::f64::consts::PI).filter(|_| waves);
    let root = fraction(value * value).map(|square| {
        let root = square.sqrt();
        if value < 0.0 { root.negative() } else { root }
    });
    let power = (value > 0.0)
        .then(|| fraction(core_math::log(value)))
        .flatten()
        .map(|exponent| exponent.call(Function::Exp));
    let logarithm = (value.abs() < 40.0)
        .then(|| fraction(core_math::exp(value)))
        .flatten()
        .map(|of| of.call(Function::Log));
    let turns = turns.map(|turns| turns.times(&pi));
    [turns, root, power, logarithm]
        .into_iter()
        .flatten()
        .collect()
}

/// A fraction with a larger denominator, where the value is all but equal to it.
fn long_fraction(value: f64) -> Option<RBig> {
    let exact = RBig::try_from(value).ok()?;
    let width = RBig::try_from(value.abs() * 1e-11).ok()?;
    if width.is_zero() {
        return None;
    }
    let near = RBig::simplest_in(&exact - &width, &exact + &width);
    (near.denominator().bit_len() <= 14).then_some(near)
}

/// The nearest fraction with a small denominator, where it is very near.
fn small_fraction(value: f64, kind: Kind) -> Option<RBig> {
    if kind == Kind::Integer {
        return RBig::try_from(value.round()).ok();
    }
    for denominator in 1..=TIE_DENOMINATOR {
        let numerator = value * denominator as f64;
        let near = numerator.round();
        if (numerator - near).abs() <= 1e-5 * numerator.abs().max(1e-9) && near.abs() < 1e15 {
            let near = IBig::try_from(near).ok()?;
            return Some(RBig::from(near) / RBig::from(denominator));
        }
    }
    None
}

/// All roundings of a point, coarse first, without repetition.
pub(super) fn drafts(model: &Model, values: &[f64], tie_suspected: bool) -> Vec<Draft> {
    let mut found: Vec<Draft> = Vec::new();
    let mut add = |draft: Option<Draft>| {
        if let Some(draft) = draft
            && !found.contains(&draft)
        {
            found.push(draft);
        }
    };
    let round_all = |round: &dyn Fn(f64, &Slot) -> Option<RBig>| -> Option<Draft> {
        model
            .slots
            .iter()
            .zip(values)
            .map(|(slot, value)| match slot.tied {
                Some(_) => Some(None),
                None => round(*value, slot).map(|own| Some(Expr::number(own))),
            })
            .collect()
    };
    if tie_suspected {
        add(round_all(&|value, slot| small_fraction(value, slot.kind)));
        for place in 0..CLOSED_FORMS {
            let exact = |value: f64, slot: &Slot| {
                let plain = || small_fraction(value, slot.kind).map(Expr::number);
                if slot.kind == Kind::Integer {
                    return plain();
                }
                let mut forms = closed_form(value, model.waves).into_iter();
                forms.nth(place).or_else(plain)
            };
            let draft = model.slots.iter().zip(values).map(|(slot, value)| {
                let free = slot.tied.is_none();
                if free {
                    exact(*value, slot).map(Some)
                } else {
                    Some(None)
                }
            });
            add(draft.collect());
        }
    }
    for tolerance in TOLERANCES {
        add(round_all(&|value, slot| {
            rounded(value, slot.kind, tolerance)
        }));
        // Thresholds and indices stay, the rest is rounded: a coarse n spoils a sharp range.
        add(round_all(&|value, slot| {
            let tolerance = if slot.kind == Kind::Integer {
                0.0
            } else {
                tolerance
            };
            rounded(value, slot.kind, tolerance)
        }));
    }
    found
}

/// The double nearest to a constant, or near it.
fn rough(value: &Expr) -> f64 {
    if let Some(number) = value.as_number() {
        return number.to_f64().value();
    }
    let (low, high) = enclose(value, &Assignment::new(), Precision::Bits(128)).doubles();
    low + (high - low) / 2.0
}

/// Writes drafts into lanes and evaluates ties; unused lanes repeat the first draft.
pub(super) fn load(model: &mut Model, drafts: &[Draft], values: &mut [Lane]) {
    for (slot, lane) in values.iter_mut().enumerate() {
        for (position, value) in lane.iter_mut().enumerate() {
            let draft = drafts.get(position).or(drafts.first());
            *value = draft
                .and_then(|draft| draft[slot].as_ref())
                .map_or(f64::NAN, rough);
        }
    }
    settle(model, values);
}

/// Evaluates all tied slots, in an order that serves.
pub(super) fn settle(model: &mut Model, values: &mut [Lane]) {
    for slot in tied_order(model) {
        tie(model, slot, values);
    }
}

/// Tied slots, each after those it needs.
fn tied_order(model: &Model) -> Vec<usize> {
    let mut order = Vec::new();
    let tied: Vec<usize> = (0..model.slots.len())
        .filter(|slot| model.slots[*slot].tied.is_some())
        .collect();
    while order.len() < tied.len() {
        let next = tied.iter().copied().find(|slot| {
            !order.contains(slot)
                && model.slots[*slot].tied.as_ref().is_some_and(|expr| {
                    needs(&model.slots, expr)
                        .iter()
                        .all(|other| model.slots[*other].tied.is_none() || order.contains(other))
                })
        });
        match next {
            Some(slot) => order.push(slot),
            None => return order,
        }
    }
    order
}

/// Evaluates hypotheses and goal at all lanes.
pub(super) fn evaluate(model: &mut Model, values: &[Lane]) {
    run(&mut model.main, values, &[1.0; LANES]);
}

/// The exact point of a draft: ties carried out, applications of unknown functions tabulated
/// with equal values at equal arguments.
pub(super) fn point(problem: &Problem, model: &Model, draft: &Draft) -> Option<Point> {
    let mut assignment = Assignment::new();
    let mut variables: Point = Vec::new();
    let mut table: Point = Vec::new();
    let mut left: Vec<usize> = (0..model.slots.len()).collect();
    while !left.is_empty() {
        let ready = |slot: &usize| {
            let open = |expr: &Expr| {
                needs(&model.slots, expr)
                    .iter()
                    .any(|other| other != slot && left.contains(other))
            };
            let description = &model.slots[*slot];
            !description.tied.as_ref().is_some_and(open) && !open(&description.what)
        };
        let slot = left.iter().copied().find(ready)?;
        left.retain(|other| *other != slot);
        let description = &model.slots[slot];
        let value = match (&description.tied, &draft[slot]) {
            (Some(expr), _) => tied_value(expr, &assignment, &variables)?,
            (None, Some(value)) => value.clone(),
            (None, None) => return None,
        };
        match description.what.node() {
            Node::Variable(name) => {
                assignment.set(name, description.kind, known(&value));
                variables.push((description.what.clone(), value));
            }
            Node::Apply(function, arguments) => {
                tabulate(function, arguments, value, &mut assignment, &mut table)?;
            }
            _ => return None,
        }
    }
    let place = |what: &Expr| {
        problem
            .variables
            .iter()
            .position(|variable| Some(&variable.name) == what.as_variable())
    };
    variables.sort_by_key(|(what, _)| place(what));
    variables.extend(table);
    Some(variables)
}

fn known(value: &Expr) -> Value {
    match value.as_number() {
        Some(number) => Value::Exact(number),
        None => Value::Closed(value.clone()),
    }
}

/// The exact value of an expression at exact values.
fn tied_value(expr: &Expr, assignment: &Assignment, variables: &Point) -> Option<Expr> {
    if let Some(value) = exact(expr, assignment) {
        if let Some(number) = value.as_rational() {
            return Some(Expr::number(number));
        }
        if value.is_small() {
            return value.to_expr();
        }
    }
    if !expr.unknown_functions().is_empty() {
        return None;
    }
    let closed = variables.iter().fold(expr.clone(), |expr, (what, value)| {
        match what.as_variable() {
            Some(name) => expr.substitute(name, value),
            None => expr,
        }
    });
    closed.variables().is_empty().then_some(closed)
}

fn tabulate(
    function: &Symbol,
    arguments: &[Expr],
    value: Expr,
    assignment: &mut Assignment,
    table: &mut Point,
) -> Option<()> {
    let at = arguments
        .iter()
        .map(|argument| exact(argument, assignment)?.as_rational())
        .collect::<Option<Vec<RBig>>>()?;
    if assignment.application(function, &at).is_some() {
        return Some(());
    }
    let shown = at.iter().cloned().map(Expr::number).collect();
    table.push((Node::Apply(function.clone(), shown).into(), value.clone()));
    assignment.set_application(function, at, known(&value));
    Some(())
}

/// How complicated a number is to read.
pub(super) fn complexity(value: &RBig) -> usize {
    let (numerator, denominator) = (value.numerator(), value.denominator());
    let negative = usize::from(numerator.is_negative());
    // Among short numbers the lesser is the simpler, of long ones the one with more zeros.
    let length = numerator.bit_len();
    let length = if length > 14 {
        let easy = 3 * decimal_zeros(numerator).min(length / 4);
        14 + (length - easy) / 2
    } else {
        length
    };
    2 * length + 4 * denominator.bit_len() + negative
}

/// How complicated the simplest number near a double is to read, by short continued fractions
/// where those do.
pub(super) fn roughness(value: f64, kind: Kind) -> usize {
    let size = value.abs();
    let bits = |whole: f64| (64 - (whole as u64).leading_zeros()) as usize;
    let (mut before, mut last) = ((0.0, 1.0), (1.0, 0.0));
    let mut rest = size;
    // Numerators and denominators at least double in every other round.
    for _ in 0..32 {
        let whole = rest.floor();
        let next = (whole * last.0 + before.0, whole * last.1 + before.1);
        (before, last) = (last, next);
        let (numerator, denominator): (f64, f64) = last;
        if numerator.max(denominator) >= SHORT {
            break;
        }
        if (numerator / denominator - size).abs() <= 1e-9 * size {
            return 2 * bits(numerator) + 4 * bits(denominator) + usize::from(value < 0.0);
        }
        rest = 1.0 / (rest - whole);
    }
    rounded(value, kind, 1e-9).map_or(usize::MAX / 64, |near| complexity(&near))
}

/// Numbers below this have at most 14 bits, which [`complexity`] counts as they are.
const SHORT: f64 = 16_384.0;

/// Trailing decimal zeros, which are easy to read.
fn decimal_zeros(value: &IBig) -> usize {
    let ten = IBig::from(10);
    let mut value = value.clone();
    let mut zeros = 0;
    while !value.is_zero() && (&value % &ten).is_zero() {
        value /= &ten;
        zeros += 1;
    }
    zeros
}

/// Numbers that are simpler than `current`, simplest first.
pub(super) fn simpler(current: &RBig, kind: Kind) -> Vec<RBig> {
    let limit = complexity(current);
    let mut found: Vec<RBig> = Vec::new();
    let denominators: &[i64] = if kind == Kind::Integer {
        &[1]
    } else {
        &[1, 2, 3, 4, 5, 10, 100]
    };
    for denominator in denominators {
        for numerator in -12i64..=24 {
            // Fractions that an earlier denominator gave.
            let shorter = |other: &i64| numerator * other % denominator == 0;
            let value = RBig::from(numerator) / RBig::from(*denominator);
            if complexity(&value) < limit
                && !denominators
                    .iter()
                    .take_while(|d| *d != denominator)
                    .any(shorter)
            {
                found.push(value);
            }
        }
    }
    // Smaller integers of the same order.
    if kind == Kind::Integer {
        for part in [2, 4, 5, 6, 8, 10, 12, 14] {
            let value = RBig::from((current * RBig::from(part) / RBig::from(16)).round());
            if complexity(&value) < limit && !found.contains(&value) {
                found.push(value);
            }
        }
    }
    // The simplest numbers near the number itself, on both sides and on either.
    let exact = current.to_f64().value();
    for halvings in 1..=24 {
        let tolerance = core_math::exp2(-f64::from(halvings));
        let Ok(width) = RBig::try_from(exact.abs() * tolerance) else {
            continue;
        };
        let mut near = vec![rounded(exact, kind, tolerance)];
        if kind == Kind::Real && !width.is_zero() {
            near.push(Some(RBig::simplest_in(current.clone(), current + &width)));
            near.push(Some(RBig::simplest_in(current - &width, current.clone())));
        }
        for value in near.into_iter().flatten() {
            if complexity(&value) < limit && !found.contains(&value) {
                found.push(value);
            }
        }
    }
    found.sort_by_cached_key(complexity);
    found
}
