//! Running a tape on a batch of points.

use super::{First, LANES, Lane, Operation, Register, Repeat, Second, Tape, Test, Tree};
use crate::expr::{Function, Relation};

/// Terms of a sum that one lane adds up; longer sums are left unknown, series extrapolated.
pub(super) const TERMS: usize = 192;

/// Relative errors of doubles below this are no evidence of anything.
const NOISE: f64 = 1e-12;

/// The register file of one tape.
#[derive(Clone, Debug)]
pub struct Batch {
    registers: Vec<Lane>,
    /// Batches of the bodies of sums, in the order of their operations.
    inner: Vec<Batch>,
    /// Where the inputs stand among the registers.
    inputs: Vec<Register>,
}

impl Batch {
    /// Room for one batch of a tape.
    #[must_use]
    pub fn new(tape: &Tape) -> Self {
        let inner = tape
            .operations
            .iter()
            .filter_map(|operation| match operation {
                Operation::Repeat(repeat) => Some(Self::new(&repeat.body)),
                _ => None,
            })
            .collect();
        let mut registers = vec![[0.0; LANES]; tape.operations.len()];
        let mut inputs = vec![0; tape.inputs.len()];
        for (place, operation) in tape.operations.iter().enumerate() {
            match operation {
                Operation::Constant(value) => registers[place] = [*value; LANES],
                Operation::Input(input) => inputs[*input] = place,
                _ => {}
            }
        }
        Self {
            registers,
            inner,
            inputs,
        }
    }

    /// The values of an input at all points, to be set before a run.
    pub fn input(&mut self, position: usize) -> &mut Lane {
        &mut self.registers[self.inputs[position]]
    }

    /// The value of a register at all points.
    #[must_use]
    pub fn value(&self, register: Register) -> &Lane {
        &self.registers[register]
    }

    /// Evaluates the tape at all points.
    pub fn run(&mut self, tape: &Tape) {
        let mut repeats = 0;
        for (position, operation) in tape.operations.iter().enumerate() {
            let (before, rest) = self.registers.split_at_mut(position);
            let Some(target) = rest.first_mut() else {
                return;
            };
            match operation {
                Operation::Constant(_) | Operation::Input(_) | Operation::Done => {}
                Operation::Repeat(repeat) => {
                    add_up(repeat, before, &mut self.inner[repeats], target);
                    repeats += 1;
                }
                other => apply(other, before, target),
            }
        }
    }

    /// How far a compiled condition is from failing at one point: > 0 holds, < 0 fails, relative
    /// to the size of the terms; NaN where undefined.
    #[must_use]
    pub fn slack(&self, tree: &Tree, lane: usize) -> f64 {
        match tree {
            Tree::Test(test) => self.test(test, lane),
            Tree::And(items) => items.iter().fold(f64::INFINITY, |least, item| {
                nan_least(least, self.slack(item, lane))
            }),
            Tree::Or(items) => items.iter().fold(f64::NEG_INFINITY, |greatest, item| {
                let slack = self.slack(item, lane);
                if greatest.is_nan() || slack.is_nan() {
                    f64::NAN
                } else {
                    greatest.max(slack)
                }
            }),
            Tree::Not(inner) => -self.slack(inner, lane),
            Tree::Integer(register) => {
                let value = self.registers[*register][lane];
                if value.is_nan() {
                    f64::NAN
                } else {
                    let off = (value - value.round()).abs();
                    if off <= NOISE * value.abs().max(1.0) {
                        1.0
                    } else {
                        -1.0
                    }
                }
            }
        }
    }

    /// The slack of one relation. Where doubles cannot tell, a tie is a small multiple of the
    /// noise on the failing side for strict relations and 0 for others.
    #[must_use]
    pub fn test(&self, test: &Test, lane: usize) -> f64 {
        let (left, right) = (
            self.registers[test.left][lane],
            self.registers[test.right][lane],
        );
        let size = self.registers[test.magnitude][lane];
        let difference = right - left;
        if difference == 0.0 {
            return match test.relation {
                Relation::Less | Relation::Greater | Relation::NotEqual => -f64::MIN_POSITIVE,
                _ => 0.0,
            };
        }
        let relative = if size > 0.0 && size.is_finite() {
            difference / size
        } else {
            difference
        };
        match test.relation {
            Relation::Less | Relation::LessEqual => relative,
            Relation::Greater | Relation::GreaterEqual => -relative,
            Relation::Equal => {
                if relative.is_nan() {
                    f64::NAN
                } else if relative.abs() <= NOISE {
                    0.0
                } else {
                    -relative.abs()
                }
            }
            Relation::NotEqual => relative.abs(),
        }
    }
}

fn nan_least(a: f64, b: f64) -> f64 {
    if a.is_nan() || b.is_nan() {
        f64::NAN
    } else {
        a.min(b)
    }
}

fn unary(a: &Lane, target: &mut Lane, f: impl Fn(f64) -> f64) {
    for lane in 0..LANES {
        target[lane] = f(a[lane]);
    }
}

fn binary(a: &Lane, b: &Lane, target: &mut Lane, f: impl Fn(f64, f64) -> f64) {
    for lane in 0..LANES {
        target[lane] = f(a[lane], b[lane]);
    }
}

fn apply(operation: &Operation, before: &[Lane], target: &mut Lane) {
    let at = |register: &Register| &before[*register];
    match operation {
        Operation::Constant(_) | Operation::Input(_) | Operation::Repeat(_) | Operation::Done => {}
        Operation::Fused(first, second, [a, b, c]) => {
            fused(*first, *second, [at(a), at(b), at(c)], target);
        }
        Operation::Add(a, b) => binary(at(a), at(b), target, |a, b| a + b),
        Operation::Subtract(a, b) => binary(at(a), at(b), target, |a, b| a - b),
        Operation::Multiply(a, b) => binary(at(a), at(b), target, |a, b| a * b),
        Operation::Divide(a, b) => binary(at(a), at(b), target, quotient),
        Operation::Negate(a) => unary(at(a), target, |a| -a),
        Operation::Power(a, k) => small_power(at(a), *k, target),
        Operation::GeneralPower(a, b, integer) => {
            let integer = *integer;
            binary(at(a), at(b), target, |a, b| general_power(a, b, integer));
        }
        Operation::Root(degree, a) => root(*degree, at(a), target),
        Operation::Call(function, a) => call(*function, at(a), target),
        Operation::LogOnePlus(a) => unary(at(a), target, |a| {
            if a > -1.0 {
                core_math::log1p(a)
            } else {
                f64::NAN
            }
        }),
        Operation::ExpMinusOne(a) => unary(at(a), target, core_math::expm1),
        Operation::OneMinusCosine(a) => unary(at(a), target, |a| {
            let half = core_math::sin(a / 2.0);
            2.0 * half * half
        }),
        Operation::Least(a, b) => binary(at(a), at(b), target, nan_least),
        Operation::Greatest(a, b) => binary(at(a), at(b), target, |a, b| {
            if a.is_nan() || b.is_nan() {
                f64::NAN
            } else {
                a.max(b)
            }
        }),
        Operation::Compare(a, relation, b) => {
            binary(at(a), at(b), target, |a, b| match a.partial_cmp(&b) {
                Some(ordering) => f64::from(u8::from(relation.admits(ordering))),
                None => f64::NAN,
            })
        }
        Operation::Complement(a) => unary(at(a), target, |a| 1.0 - a),
        Operation::IsInteger(a) => unary(at(a), target, |a| {
            if a.is_nan() {
                a
            } else {
                f64::from(u8::from(a == a.round()))
            }
        }),
        Operation::Select(condition, a, b) => {
            let condition = at(condition);
            for (lane, out) in target.iter_mut().enumerate() {
                *out = if condition[lane] == 1.0 {
                    before[*a][lane]
                } else if condition[lane] == 0.0 {
                    before[*b][lane]
                } else {
                    f64::NAN
                };
            }
        }
        Operation::Guard(a, b) => {
            binary(
                at(a),
                at(b),
                target,
                |a, b| {
                    if b.is_nan() { f64::NAN } else { a }
                },
            )
        }
    }
}

/// a / b, undefined for b = 0.
pub(super) fn quotient(a: f64, b: f64) -> f64 {
    if b == 0.0 { f64::NAN } else { a / b }
}

/// (a ∘ b) ∘ c lane by lane; each pair of operations has a loop of its own.
fn fused(first: First, second: Second, operands: [&Lane; 3], target: &mut Lane) {
    match first {
        First::Add => outer(second, operands, target, |a, b| a + b),
        First::Subtract => outer(second, operands, target, |a, b| a - b),
        First::Multiply => outer(second, operands, target, |a, b| a * b),
    }
}

fn outer(
    second: Second,
    operands: [&Lane; 3],
    target: &mut Lane,
    inner: impl Fn(f64, f64) -> f64 + Copy,
) {
    match second {
        Second::Add => ternary(operands, target, |a, b, c| inner(a, b) + c),
        Second::Minus => ternary(operands, target, |a, b, c| inner(a, b) - c),
        Second::From => ternary(operands, target, |a, b, c| c - inner(a, b)),
        Second::Multiply => ternary(operands, target, |a, b, c| inner(a, b) * c),
        Second::Over => ternary(operands, target, |a, b, c| quotient(inner(a, b), c)),
        Second::Under => ternary(operands, target, |a, b, c| quotient(c, inner(a, b))),
    }
}

fn ternary([a, b, c]: [&Lane; 3], target: &mut Lane, f: impl Fn(f64, f64, f64) -> f64) {
    for lane in 0..LANES {
        target[lane] = f(a[lane], b[lane], c[lane]);
    }
}

fn small_power(base: &Lane, exponent: i32, target: &mut Lane) {
    match exponent {
        0 => unary(base, target, |a| if a.is_nan() { a } else { 1.0 }),
        1 => *target = *base,
        2 => unary(base, target, |a| a * a),
        3 => unary(base, target, |a| a * a * a),
        4 => unary(base, target, |a| (a * a) * (a * a)),
        k if k > 0 => unary(base, target, |a| repeated(a, k.unsigned_abs())),
        k => unary(base, target, |a| {
            if a == 0.0 {
                f64::NAN
            } else {
                1.0 / repeated(a, k.unsigned_abs())
            }
        }),
    }
}

fn repeated(base: f64, exponent: u32) -> f64 {
    let mut result = 1.0;
    let mut square = base;
    let mut left = exponent;
    while left > 0 {
        if left & 1 == 1 {
            result *= square;
        }
        square *= square;
        left >>= 1;
    }
    result
}

fn general_power(base: f64, exponent: f64, integer: bool) -> f64 {
    if base == 0.0 {
        return if exponent > 0.0 {
            0.0
        } else if exponent == 0.0 && integer {
            1.0
        } else {
            f64::NAN
        };
    }
    core_math::pow(base, exponent)
}

fn root(degree: u32, radicand: &Lane, target: &mut Lane) {
    match degree {
        2 => unary(radicand, target, f64::sqrt),
        3 => unary(radicand, target, core_math::cbrt),
        k => {
            let exponent = 1.0 / f64::from(k);
            let odd = !k.is_multiple_of(2);
            unary(radicand, target, |a| {
                if a < 0.0 && odd {
                    -core_math::pow(-a, exponent)
                } else if a < 0.0 {
                    f64::NAN
                } else {
                    core_math::pow(a, exponent)
                }
            });
        }
    }
}

fn call(function: Function, argument: &Lane, target: &mut Lane) {
    match function {
        Function::Exp => unary(argument, target, core_math::exp),
        Function::Log => unary(argument, target, |a| {
            if a > 0.0 { core_math::log(a) } else { f64::NAN }
        }),
        Function::Sin => unary(argument, target, core_math::sin),
        Function::Cos => unary(argument, target, core_math::cos),
        Function::Tan => unary(argument, target, tangent),
        Function::Atan => unary(argument, target, core_math::atan),
        Function::Asin => unary(argument, target, core_math::asin),
        Function::Acos => unary(argument, target, core_math::acos),
        Function::Sinh => unary(argument, target, core_math::sinh),
        Function::Cosh => unary(argument, target, core_math::cosh),
        Function::Tanh => unary(argument, target, core_math::tanh),
        Function::Abs => unary(argument, target, f64::abs),
        Function::Floor => unary(argument, target, f64::floor),
        Function::Ceil => unary(argument, target, f64::ceil),
        Function::Sign => unary(argument, target, |a| {
            if a > 0.0 {
                1.0
            } else if a < 0.0 {
                -1.0
            } else {
                a
            }
        }),
        Function::Factorial => unary(argument, target, |a| {
            if a < 0.0 || a != a.round() {
                f64::NAN
            } else if a > 170.0 {
                f64::INFINITY
            } else {
                core_math::tgamma(a + 1.0)
            }
        }),
    }
}

/// Σ or Π lane by lane: all lanes step together, each through its own range.
fn add_up(repeat: &Repeat, before: &[Lane], inner: &mut Batch, target: &mut Lane) {
    let neutral = if repeat.product { 1.0 } else { 0.0 };
    let from = before[repeat.from];
    let mut left = [0.0; LANES];
    for lane in 0..LANES {
        left[lane] = match repeat.to {
            Some(to) => (before[to][lane] - from[lane] + 1.0).max(0.0),
            None => f64::INFINITY,
        };
        let start = from[lane];
        target[lane] = if start.is_nan() || left[lane].is_nan() {
            f64::NAN
        } else {
            neutral
        };
        let too_long = repeat.to.is_some() && left[lane] > TERMS as f64;
        if too_long || start.abs() > 1e15 {
            target[lane] = f64::INFINITY;
            left[lane] = 0.0;
        }
    }
    for (input, register) in &repeat.captured {
        *inner.input(*input) = before[*register];
    }
    let longest = left.iter().fold(0.0f64, |most, count| most.max(*count));
    let steps = if longest.is_finite() {
        longest as usize
    } else {
        TERMS
    };
    let mut samples = [[0.0; LANES]; 4];
    for step in 0..steps.min(TERMS) {
        let index = inner.input(repeat.index);
        for lane in 0..LANES {
            index[lane] = from[lane] + step as f64;
        }
        inner.run(&repeat.body);
        let term = inner.value(repeat.result);
        for lane in 0..LANES {
            if (step as f64) < left[lane] {
                if repeat.product {
                    target[lane] *= term[lane];
                } else {
                    target[lane] += term[lane];
                }
            }
        }
        for (sample, at) in samples.iter_mut().zip(SAMPLES) {
            if step == at {
                *sample = *term;
            }
        }
    }
    if repeat.to.is_none() {
        for lane in 0..LANES {
            let at = samples.map(|sample| sample[lane]);
            target[lane] += rest(at, from[lane]);
        }
    }
}

/// The steps at which terms are kept to extrapolate a series.
const SAMPLES: [usize; 4] = [TERMS / 2 - 1, TERMS / 2, TERMS - 2, TERMS - 1];

/// What a series adds after its last term, guessed from four terms: power law or geometric.
fn rest(terms: [f64; 4], from: f64) -> f64 {
    let [a, b, c, d] = terms;
    if d == 0.0 || d.is_nan() {
        return 0.0;
    }
    let (early, late) = (1.0 - b / a, 1.0 - d / c);
    if late <= 0.0 || late > 1.0 || early.is_nan() {
        // Alternating or growing: half the next term, or nothing.
        return if late > 1.0 { -d / 2.0 } else { f64::INFINITY };
    }
    let half = TERMS as f64 / 2.0 + from;
    let full = TERMS as f64 + from;
    let power_law = (early * half - late * full).abs() < 0.2 * late * full;
    if power_law {
        let p = late * (full - 1.0);
        if p <= 1.0 + 1e-6 {
            return f64::INFINITY;
        }
        return d * (full - 0.5) / (p - 1.0);
    }
    d * (1.0 - late) / late
}

/// The tangent; at the double next to a pole it counts as undefined.
fn tangent(u: f64) -> f64 {
    let value = core_math::tan(u);
    if value.abs() > 1e15 { f64::NAN } else { value }
}
