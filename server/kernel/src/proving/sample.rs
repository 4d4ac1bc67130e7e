//! Rough values in floating point, to steer the search away from false statements.

use super::memory::situation;
use crate::expr::{Condition, Constant, Expr, Function, Node, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Problem};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Terms of a sum that are added at most; a longer one is not known.
const LISTED: f64 = 60.0;

/// At how many points a goal with sums is tried.
const TRIED_WITH_SUMS: usize = 6;

/// Values of variables.
pub(super) type Values = BTreeMap<Symbol, f64>;

/// A rough value; NaN where undefined or unknown.
pub(super) fn value(expr: &Expr, at: &Values) -> f64 {
    let of = |inner: &Expr| value(inner, at);
    match expr.node() {
        Node::Number(number) => number.to_f64_fast(),
        Node::Constant(Constant::Pi) => std::f64::consts::PI,
        Node::Constant(Constant::E) => std::f64::consts::E,
        Node::Variable(name) => at.get(name).copied().unwrap_or(f64::NAN),
        Node::Add(items) => items.iter().map(of).sum(),
        Node::Mul(items) => items.iter().map(of).product(),
        Node::Neg(inner) => -of(inner),
        Node::Div(a, b) => {
            let divisor = of(b);
            if divisor == 0.0 {
                f64::NAN
            } else {
                of(a) / divisor
            }
        }
        Node::Pow(a, b) => power(of(a), of(b)),
        Node::Root(degree, inner) => {
            let inner = of(inner);
            let size = core_math::pow(inner.abs(), 1.0 / f64::from(*degree));
            if inner >= 0.0 {
                size
            } else if degree % 2 == 1 {
                -size
            } else {
                f64::NAN
            }
        }
        Node::Call(function, inner) => call(*function, of(inner)),
        Node::Min(items) => items.iter().map(of).fold(f64::INFINITY, f64::min),
        Node::Max(items) => items.iter().map(of).fold(f64::NEG_INFINITY, f64::max),
        Node::Sum {
            index,
            from,
            to,
            body,
        } => {
            // A series cut short would be a wrong value.
            let to = to.as_ref().map_or(f64::NAN, of);
            listed(index, (of(from), to), at, |inner| value(body, inner))
                .map_or(f64::NAN, |all| total(&all))
        }
        Node::Product {
            index,
            from,
            to,
            body,
        } => listed(index, (of(from), of(to)), at, |inner| value(body, inner))
            .map_or(f64::NAN, |all| all.iter().product()),
        Node::Piecewise(branches) => branches
            .iter()
            .find(|(condition, _)| holds(condition, at) == Some(true))
            .map_or(f64::NAN, |(_, own)| of(own)),
        Node::Apply(name, arguments) => unknown(name, arguments, at),
        Node::Derivative { .. } => f64::NAN,
    }
}

/// Under this name, which no variable has, a point keeps what the unknown functions are there.
static FUNCTIONS: LazyLock<Symbol> = LazyLock::new(|| Symbol::new(""));

/// The value of an unknown function: any number, but the same one for the same arguments, up to
/// their rounding.
fn unknown(name: &Symbol, arguments: &[Expr], at: &Values) -> f64 {
    let Some(functions) = at.get(&*FUNCTIONS) else {
        return f64::NAN;
    };
    let mut state = functions.to_bits();
    let mut mix = |bits: u64| {
        state = (state ^ bits).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        state ^= state >> 29;
    };
    name.as_str().bytes().for_each(|own| mix(u64::from(own)));
    for argument in arguments {
        let own = value(argument, at);
        if own.is_nan() {
            return own;
        }
        // −0 is 0.
        mix(u64::from((own as f32 + 0.0).to_bits()));
    }
    REALS[(state >> 32) as usize % REALS.len()]
}

/// Whether hypotheses speak of unknown functions, and of derivatives of them.
fn said_of_functions(problem: &Problem) -> (bool, bool) {
    let (mut values, mut slopes) = (false, false);
    for own in &problem.hypotheses {
        own.condition.visit(&mut |part| match part.node() {
            Node::Apply(..) => values = true,
            Node::Derivative { body, .. } => slopes |= !body.unknown_functions().is_empty(),
            _ => {}
        });
    }
    (values, slopes)
}

/// A sum; NaN where so much cancels that its digits are noise.
fn total(terms: &[f64]) -> f64 {
    let sum: f64 = terms.iter().sum();
    let size: f64 = terms.iter().map(|term| term.abs()).sum();
    if sum != 0.0 && sum.abs() < 1e-6 * size {
        f64::NAN
    } else {
        sum
    }
}

fn power(base: f64, exponent: f64) -> f64 {
    if exponent == 0.0 {
        return 1.0;
    }
    if base == 0.0 && exponent < 0.0 {
        return f64::NAN;
    }
    core_math::pow(base, exponent)
}

fn call(function: Function, u: f64) -> f64 {
    match function {
        Function::Exp => core_math::exp(u),
        Function::Log if u > 0.0 => core_math::log(u),
        Function::Log => f64::NAN,
        Function::Sin => core_math::sin(u),
        Function::Cos => core_math::cos(u),
        Function::Tan => core_math::tan(u),
        Function::Atan => core_math::atan(u),
        Function::Asin => core_math::asin(u),
        Function::Acos => core_math::acos(u),
        Function::Sinh => core_math::sinh(u),
        Function::Cosh => core_math::cosh(u),
        Function::Tanh => core_math::tanh(u),
        Function::Abs => u.abs(),
        Function::Floor => u.floor(),
        Function::Ceil => u.ceil(),
        Function::Sign if u == 0.0 => 0.0,
        Function::Sign => u.signum(),
        Function::Factorial if (0.0..171.0).contains(&u) && u.fract() == 0.0 => {
            let mut product = 1.0;
            let mut k = 2.0;
            while k <= u {
                product *= k;
                k += 1.0;
            }
            product
        }
        Function::Factorial => f64::NAN,
    }
}

fn listed(
    index: &Symbol,
    (from, to): (f64, f64),
    at: &Values,
    term: impl Fn(&Values) -> f64,
) -> Option<Vec<f64>> {
    if !from.is_finite() || !to.is_finite() || to - from > LISTED {
        return None;
    }
    let mut inner = at.clone();
    let mut all = Vec::new();
    let mut k = from;
    while k <= to {
        inner.insert(index.clone(), k);
        all.push(term(&inner));
        k += 1.0;
    }
    Some(all)
}

/// Whether a condition holds, roughly; `None` if a side is not known.
pub(super) fn holds(condition: &Condition, at: &Values) -> Option<bool> {
    match condition {
        Condition::Holds(left, relation, right) => {
            let (left, right) = (value(left, at), value(right, at));
            Some(relation.admits(left.partial_cmp(&right)?))
        }
        Condition::And(items) => items
            .iter()
            .try_fold(true, |all, item| Some(all && holds(item, at)?)),
        Condition::Or(items) => items
            .iter()
            .try_fold(false, |any, item| Some(any || holds(item, at)?)),
        Condition::Not(inner) => holds(inner, at).map(|own| !own),
        Condition::Integer(own) => {
            let own = value(own, at);
            (!own.is_nan()).then(|| own.fract() == 0.0)
        }
    }
}

const REALS: [f64; 24] = [
    0.0, 1.0, -1.0, 0.5, 2.0, 0.1, 3.0, -0.5, 10.0, 0.01, -2.0, 0.9, 1.1, 100.0, 0.25, 0.75, 1e-4,
    -10.0, 1000.0, 1.5, 5.0, 0.99, 0.3, -0.1,
];
const INTEGERS: [f64; 12] = [
    1.0, 2.0, 3.0, 5.0, 10.0, 4.0, 7.0, 20.0, 100.0, 50.0, 1000.0, 0.0,
];

/// Points that satisfy the hypotheses, spread over small and large values.
pub(super) fn points(problem: &Problem, wanted: usize) -> Vec<Values> {
    let mut all = Vec::new();
    let mut state: u64 = 0x9E37_79B9_7F4A_7C15;
    let mut draw = |count: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state % (count as u64)).unwrap_or(0)
    };
    let ends: Vec<Ends> = problem
        .variables
        .iter()
        .map(|variable| {
            let (_, lower, upper) = crate::recheck::parts::bounds(problem, &variable.name);
            let only = |all: Vec<(Expr, bool)>| all.into_iter().map(|(end, _)| end).collect();
            (only(lower), only(upper))
        })
        .collect();
    // Functions are any where nothing is said of a slope. Where they are tied down, a point must be
    // known to fit; what is left of the points leaves them unknown.
    let (tied, smooth) = said_of_functions(problem);
    let rounds: &[(bool, usize)] = match (tied, smooth) {
        (_, true) => &[(false, 30)],
        (true, false) => &[(true, 10), (false, 30)],
        (false, false) => &[(true, 30)],
    };
    for (known, trials) in rounds {
        for trial in 0..wanted * trials {
            if all.len() >= wanted {
                break;
            }
            let mut at = Values::new();
            if *known {
                at.insert(FUNCTIONS.clone(), trial as f64);
            }
            for (variable, ends) in problem.variables.iter().zip(&ends) {
                let own = if variable.kind == Kind::Integer {
                    INTEGERS[draw(INTEGERS.len())]
                } else {
                    let base = REALS[draw(REALS.len())];
                    // An end point of a bound, or near it, is worth a try.
                    bound_near(ends, &at, draw(6), base)
                };
                at.insert(variable.name.clone(), own);
            }
            let fine = problem.hypotheses.iter().all(|own| {
                let holds = holds(&own.condition, &at);
                holds.unwrap_or(!(*known && tied))
            });
            if fine {
                all.push(at);
            }
        }
    }
    all
}

/// The lower and upper bounds of a variable.
type Ends = (Vec<Expr>, Vec<Expr>);

fn bound_near((lower, upper): &Ends, at: &Values, choice: usize, base: f64) -> f64 {
    if choice > 2 {
        return base;
    }
    let low = lower
        .iter()
        .map(|bound| value(bound, at))
        .fold(f64::NEG_INFINITY, f64::max);
    let high = upper
        .iter()
        .map(|bound| value(bound, at))
        .fold(f64::INFINITY, f64::min);
    match (low.is_finite(), high.is_finite()) {
        (true, true) => low + (high - low) * (base.abs() / (1.0 + base.abs())),
        (true, false) => low + base.abs(),
        (false, true) => high - base.abs(),
        (false, false) => base,
    }
}

/// Whether no sampled point clearly contradicts the problem's goal.
pub(super) fn is_plausible(problem: &Problem, fuel: &Fuel<'_>) -> bool {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return true;
    };
    // Sums are added term by term, which no step is charged for.
    let mut summed = false;
    for side in [left, right] {
        side.visit(&mut |part| {
            summed |= matches!(part.node(), Node::Sum { .. } | Node::Product { .. });
        });
    }
    let tried = if summed { TRIED_WITH_SUMS } else { usize::MAX };
    let situation = situation(problem, fuel);
    situation.points.iter().take(tried).all(|at| {
        let (left, right) = (value(left, at), value(right, at));
        let gap = left - right;
        let scale = left.abs() + right.abs() + 1e-300;
        if !gap.is_finite() || gap.abs() <= 1e-9 * scale || gap.abs() < 1e-11 {
            return true;
        }
        gap.partial_cmp(&0.0)
            .is_none_or(|ordering| relation.admits(ordering))
    })
}
