//! Limits of error terms: majorants that tend to 0, and witnesses that stay away from 0.

use super::sample::{self, Values};
use super::solve::{LEVEL, solve};
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Problem};
use crate::recheck::{
    Certificate, Majorant, Proof, Separation, Shape, Witness, parts, separate, verify,
};
use dashu::rational::RBig;

/// The parts of a `TendsToZero` goal.
struct Term<'p> {
    problem: &'p Problem,
    term: &'p Expr,
    index: &'p Symbol,
    points: &'p [Symbol],
}

impl<'p> Term<'p> {
    fn of(problem: &'p Problem) -> Option<Self> {
        let Goal::TendsToZero {
            term,
            index,
            points,
        } = &problem.goal
        else {
            return None;
        };
        Some(Self {
            problem,
            term,
            index,
            points,
        })
    }

    /// The variables that are neither index nor points.
    fn parameters(&self) -> Vec<Symbol> {
        self.problem
            .variables
            .iter()
            .map(|variable| variable.name.clone())
            .filter(|name| name != self.index && !self.points.contains(name))
            .collect()
    }

    fn allowed(&self, at: &Values) -> bool {
        self.problem
            .hypotheses
            .iter()
            .all(|own| sample::holds(&own.condition, at) != Some(false))
    }

    /// The largest |term| found over the points, for one index and fixed parameters.
    fn supremum(&self, n: f64, parameters: &Values) -> Option<f64> {
        let mut best: Option<f64> = None;
        let mut at = parameters.clone();
        at.insert(self.index.clone(), n);
        let grids: Vec<Vec<f64>> = self
            .points
            .iter()
            .map(|name| grid(self.problem, name, &at, n))
            .collect();
        let total: usize = grids.iter().map(Vec::len).product::<usize>().max(1);
        let stride = total / 4000 + 1;
        let mut place = 0;
        while place < total {
            let mut rest = place;
            for (name, own) in self.points.iter().zip(&grids) {
                at.insert(name.clone(), own[rest % own.len()]);
                rest /= own.len();
            }
            if self.allowed(&at) {
                let value = sample::value(self.term, &at).abs();
                if value.is_finite() {
                    best = Some(best.map_or(value, |best: f64| best.max(value)));
                }
            }
            place += stride;
        }
        best
    }
}

/// Values of a point variable: its bounds, a logarithmic grid, and values that move with n.
fn grid(problem: &Problem, name: &Symbol, at: &Values, n: f64) -> Vec<f64> {
    let (_, lower, upper) = parts::bounds(problem, name);
    let ends: Vec<f64> = lower
        .iter()
        .chain(&upper)
        .map(|(bound, _)| sample::value(bound, at))
        .filter(|value| value.is_finite())
        .collect();
    let mut all = ends.clone();
    for end in &ends {
        for share in [1e-6, 1e-3, 0.1] {
            all.extend([end + share, end - share]);
        }
        for factor in [0.2, 0.5, 1.0, 2.0, 5.0] {
            all.extend([end + factor / n, end - factor / n]);
        }
    }
    for power in -6..=6 {
        for factor in [1.0, 2.0, 5.0] {
            let size = factor * core_math::pow(10.0, f64::from(power));
            all.extend([size, -size]);
        }
    }
    for power in [1.0, -1.0, 0.5, -0.5, 2.0, -2.0] {
        for factor in [0.1, 0.3, 0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 10.0] {
            let size = factor * core_math::pow(n, power);
            all.extend([size, -size]);
        }
    }
    for base in [0.1, 0.5, 0.9] {
        all.push(core_math::pow(base, 1.0 / n));
    }
    all.push(0.0);
    all
}

/// Searches a majorant for a `TendsToZero` problem.
pub(super) fn tends(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let term = Term::of(problem)?;
    for (coefficient, shape, start) in guesses(&term) {
        let mut part = fuel.part(fuel.left() / 3);
        let found = prove_majorant(problem, &coefficient, &shape, start, &mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    None
}

fn prove_majorant(
    problem: &Problem,
    coefficient: &Expr,
    shape: &Shape,
    start: i64,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let goals = parts::majorant_parts(problem, coefficient, shape, start)?;
    let (bound, conditions) = goals.split_first()?;
    if !sample::is_plausible(bound) {
        return None;
    }
    let conditions = conditions
        .iter()
        .map(|goal| solve(goal, 3, fuel))
        .collect::<Option<Vec<_>>>()?;
    let bound = solve(bound, LEVEL, fuel)?;
    Some(Proof::Majorant(Box::new(Majorant {
        coefficient: coefficient.clone(),
        shape: shape.clone(),
        start,
        bound: Box::new(bound),
        conditions,
    })))
}

/// Majorants in the order in which they are tried.
fn guesses(term: &Term<'_>) -> Vec<(Expr, Shape, i64)> {
    let mut all = Vec::new();
    if term.term.as_number() == Some(RBig::ZERO) {
        all.push((Expr::integer(1), Shape::Zero, 1));
    }
    let parameters = parameter_values(term);
    let Some(first) = parameters.first() else {
        return all;
    };
    let indices = [16.0, 32.0, 64.0, 128.0, 256.0, 1024.0, 4096.0];
    let values: Vec<Option<f64>> = indices
        .iter()
        .map(|n| term.supremum(*n, first))
        .collect();
    let known: Vec<(f64, f64)> = indices
        .iter()
        .zip(&values)
        .filter_map(|(n, value)| value.map(|value| (*n, value)))
        .collect();
    if known.len() < 3 {
        return all;
    }
    if known.iter().all(|(_, value)| *value == 0.0) {
        all.push((Expr::integer(1), Shape::Zero, 1));
    }
    all.extend(geometric(term, &known));
    let Some((&(n, late), &(m, early))) = known.last().zip(known.first()) else {
        return all;
    };
    if late <= 0.0 || early <= 0.0 {
        // Too small to be seen: any power will do.
        all.extend(power_guesses(term, first, 2.0, &known));
        all.extend(power_guesses(term, first, 1.0, &known));
        return all;
    }
    let rate = -(core_math::log(late) - core_math::log(early))
        / (core_math::log(n) - core_math::log(m));
    for wanted in [3.0, 2.0, 1.5, 1.0, 2.0 / 3.0, 0.5, 1.0 / 3.0, 0.25] {
        if wanted < rate + 0.03 {
            all.extend(power_guesses(term, first, wanted, &known));
        }
        if all.len() >= 12 {
            break;
        }
    }
    if (0.02..0.3).contains(&rate) || all.is_empty() && rate > 0.02 {
        let size = known
            .iter()
            .map(|(n, value)| value * core_math::log(*n))
            .fold(0.0, f64::max);
        if let Some(c) = nice(size) {
            all.push((Expr::number(c), Shape::Logarithm(RBig::ONE), 2));
        }
    }
    all
}

/// Parameter values that the hypotheses allow, the first near 1.
fn parameter_values(term: &Term<'_>) -> Vec<Values> {
    let names = term.parameters();
    let mut all: Vec<Values> = Vec::new();
    for at in sample::points(term.problem, 80) {
        let own: Values = names
            .iter()
            .filter_map(|name| Some((name.clone(), *at.get(name)?)))
            .collect();
        if !all.contains(&own) {
            all.push(own);
        }
    }
    let size = |values: &Values| -> f64 {
        values
            .values()
            .map(|value| {
                if *value == 0.0 {
                    9.0
                } else {
                    core_math::log(value.abs()).abs()
                }
            })
            .sum()
    };
    all.sort_by(|a, b| size(a).total_cmp(&size(b)));
    if all.is_empty() && names.is_empty() {
        all.push(Values::new());
    }
    all
}

/// c · n^(−p) with c from the numbers, and a power law in each parameter.
fn power_guesses(
    term: &Term<'_>,
    first: &Values,
    p: f64,
    known: &[(f64, f64)],
) -> Vec<(Expr, Shape, i64)> {
    let exponent = match RBig::try_from(p) {
        Ok(exact) if exact.denominator() <= &dashu::integer::UBig::from(4_u8) => exact,
        _ if p < 0.5 => RBig::ONE / RBig::from(3),
        _ => RBig::from(2) / RBig::from(3),
    };
    let shape = Shape::Power(exponent);
    let size = known
        .iter()
        .map(|(n, value)| value * core_math::pow(*n, p))
        .fold(0.0, f64::max);
    let early = [1.0, 2.0, 3.0, 5.0]
        .iter()
        .filter_map(|n| Some(term.supremum(*n, first)? * core_math::pow(*n, p)))
        .fold(size, f64::max);
    let mut all = Vec::new();
    let parameters = term.parameters();
    if parameters.is_empty() {
        let mut seen = Vec::new();
        for (size, start) in [(early, 1), (size, 10), (early * 2.0, 1), (size * 2.0, 10)] {
            if let Some(c) = nice(size) {
                if !seen.contains(&(c.clone(), start)) {
                    seen.push((c.clone(), start));
                    all.push((Expr::number(c), shape.clone(), start));
                }
            }
        }
        return all;
    }
    let law = parameter_law(term, first, &parameters);
    let unit = sample::value(&law, first);
    if !unit.is_finite() || unit == 0.0 {
        return all;
    }
    for factor in [1.0, 2.0] {
        if let Some(c) = nice(early / unit * factor) {
            let c = Expr::number(c);
            let one = Expr::integer(1);
            let scaled = |law: &Expr| {
                if c.as_number() == Some(RBig::ONE) {
                    law.clone()
                } else if law.as_number() == Some(RBig::ONE) {
                    c.clone()
                } else {
                    c.times(law)
                }
            };
            all.push((scaled(&law), shape.clone(), 1));
            all.push((scaled(&one.plus(&law)), shape.clone(), 1));
        }
    }
    all
}

/// Π |a|^i with exponents fitted at the index 64, one parameter at a time.
fn parameter_law(term: &Term<'_>, first: &Values, parameters: &[Symbol]) -> Expr {
    let mut factors = Vec::new();
    for name in parameters {
        let Some(own) = first.get(name) else { continue };
        let base = term.supremum(64.0, first);
        let mut moved = first.clone();
        let other = own * 4.0;
        moved.insert(name.clone(), other);
        let far = term.supremum(64.0, &moved);
        let (Some(base), Some(far)) = (base, far) else {
            continue;
        };
        if base <= 0.0 || far <= 0.0 {
            continue;
        }
        let rate = (core_math::log(far) - core_math::log(base)) / core_math::log(4.0);
        let halves = (rate * 2.0).round();
        if halves == 0.0 || !halves.is_finite() || halves.abs() > 12.0 {
            continue;
        }
        let Ok(halves) = RBig::try_from(halves / 2.0) else {
            continue;
        };
        let positive = *own > 0.0
            && sample::points(term.problem, 30)
                .iter()
                .all(|at| at.get(name).is_none_or(|value| *value >= 0.0));
        let variable = Expr::variable(name);
        let base = if positive { variable } else { variable.abs() };
        factors.push(if halves.is_one() {
            base
        } else {
            base.power(&Expr::number(halves))
        });
    }
    Expr::product_of(factors)
}

/// A small round number above the value.
fn nice(value: f64) -> Option<RBig> {
    if !value.is_finite() || value > 1e9 {
        return None;
    }
    if value <= 0.0 {
        return Some(RBig::ONE);
    }
    let wanted = value * 1.000_000_1;
    let ladder = [
        0.01, 0.02, 0.05, 0.1, 0.125, 0.2, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0,
        10.0, 12.0, 16.0, 20.0, 30.0, 50.0, 100.0,
    ];
    // A value that is itself round, up to the grid's error, is taken as it is.
    let exact = ladder.iter().find(|step| **step >= value * 0.999_999 && **step <= wanted * 1.001);
    let step = exact.or_else(|| ladder.iter().find(|step| **step >= wanted));
    let number = match step {
        Some(step) => *step,
        None => wanted.ceil(),
    };
    let hundredths = RBig::try_from((number * 1000.0).round()).ok()?;
    Some(hundredths / RBig::from(1000))
}

/// n^k q^n with q an upper bound of the size of a base, or the base itself.
fn geometric(term: &Term<'_>, known: &[(f64, f64)]) -> Vec<(Expr, Shape, i64)> {
    let falls = known.windows(2).all(|pair| pair[1].1 <= pair[0].1);
    if !falls {
        return Vec::new();
    }
    let mut bases: Vec<Expr> = Vec::new();
    let mut powers = false;
    term.term.visit(&mut |part| {
        let (base, exponent) = match part.node() {
            Node::Pow(base, exponent) => (base.clone(), exponent.clone()),
            Node::Call(Function::Exp, u) => {
                (Expr::from(Node::Constant(crate::expr::Constant::E)), u.clone())
            }
            _ => return,
        };
        if !exponent.mentions(term.index) {
            return;
        }
        powers = true;
        if let Some(name) = base.as_variable() {
            let (_, lower, upper) = parts::bounds(term.problem, name);
            if !term.points.contains(name) {
                bases.push(base.clone());
                bases.push(base.abs());
            }
            for (bound, _) in upper.iter().chain(&lower) {
                bases.push(bound.clone());
                bases.push(bound.negative());
            }
        } else {
            bases.push(base.clone());
            bases.push(Expr::integer(1).over(&base));
        }
    });
    if !powers {
        return Vec::new();
    }
    bases.extend(term.parameters().iter().map(Expr::variable));
    let free = |expr: &Expr| {
        !expr.mentions(term.index) && !term.points.iter().any(|point| expr.mentions(point))
    };
    let mut all = Vec::new();
    for q in bases.into_iter().filter(free) {
        let sized = sample::points(term.problem, 20).iter().all(|at| {
            let value = sample::value(&q, at);
            value.is_nan() || (0.0..1.0).contains(&value)
        });
        if !sized || all.iter().any(|(_, shape, _)| matches!(shape, Shape::Geometric(0, own) if *own == q)) {
            continue;
        }
        for k in 0..=2 {
            all.push((Expr::integer(1), Shape::Geometric(k, q.clone()), 1));
        }
        all.push((Expr::integer(2), Shape::Geometric(0, q.clone()), 1));
        all.push((
            Expr::integer(1).over(&Expr::integer(1).minus(&q)),
            Shape::Geometric(0, q),
            1,
        ));
    }
    all
}

/// The certified majorant of a `TendsToZero` problem: its bound in index and parameters.
pub(super) fn majorant(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<(Expr, Certificate)> {
    let proof = tends(problem, fuel)?;
    let certificate = verify(problem, proof)?;
    let bound = bound_of(&certificate)?;
    Some((bound, certificate))
}

fn bound_of(certificate: &Certificate) -> Option<Expr> {
    let Proof::Majorant(own) = certificate.proof() else {
        return None;
    };
    let Goal::TendsToZero { index, .. } = &certificate.problem().goal else {
        return None;
    };
    Some(parts::majorant_bound(&own.coefficient, &own.shape, index))
}

/// A threshold for the index from a certified majorant c n^(−p): (c/ε)^(1/p).
pub(super) fn threshold(
    problem: &Problem,
    tolerance: &Symbol,
    fuel: &mut Fuel<'_>,
) -> Option<Expr> {
    let (_, certificate) = majorant(problem, fuel)?;
    let Proof::Majorant(own) = certificate.proof() else {
        return None;
    };
    let epsilon = Expr::variable(tolerance);
    let quotient = own.coefficient.over(&epsilon);
    match &own.shape {
        Shape::Power(p) => {
            let inverse = RBig::ONE / p;
            Some(if inverse.is_one() {
                quotient
            } else {
                quotient.power(&Expr::number(inverse))
            })
        }
        Shape::Geometric(0, q) => {
            let logs = quotient
                .call(Function::Log)
                .over(&q.call(Function::Log).negative());
            Some(logs)
        }
        Shape::Geometric(..) => None,
        Shape::Logarithm(p) => {
            let inverse = Expr::number(RBig::ONE / p);
            Some(quotient.power(&inverse).call(Function::Exp))
        }
        Shape::Zero => Some(Expr::integer(1)),
    }
}

/// Searches a witness along which the term stays away from 0.
pub(super) fn stays(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Separation> {
    let term = Term::of(problem)?;
    let parameters = parameter_values(&term);
    let first = parameters.first()?;
    let mut found: Vec<(Vec<(Symbol, Expr)>, i64, i64, f64)> = Vec::new();
    for values in witnesses(&term) {
        for (stride, offset) in [(1, 0), (2, 0), (2, 1)] {
            if let Some(low) = lowest(&term, &values, first, stride, offset) {
                found.push((values.clone(), stride, offset, low));
                break;
            }
        }
        if found.len() >= 8 {
            break;
        }
    }
    found.sort_by(|a, b| (a.1, simplicity(&a.0)).cmp(&(b.1, simplicity(&b.0))));
    for (values, stride, offset, low) in found {
        for share in [1.0, 0.5, 0.1] {
            let Some(bound) = below(low * share) else {
                continue;
            };
            let mut part = fuel.part(fuel.left() / 4);
            let shown = separated(
                problem,
                &Witness {
                    values: values.clone(),
                    bound: Expr::number(bound),
                    stride,
                    offset,
                    start: 2,
                    proofs: Vec::new(),
                },
                &mut part,
            );
            fuel.refund(&part);
            if shown.is_some() {
                return shown;
            }
        }
    }
    None
}

fn simplicity(values: &[(Symbol, Expr)]) -> usize {
    values
        .iter()
        .map(|(_, value)| {
            let mut size = 0;
            value.visit(&mut |_| size += 1);
            size
        })
        .sum()
}

fn separated(problem: &Problem, witness: &Witness, fuel: &mut Fuel<'_>) -> Option<Separation> {
    let goals = parts::separation_parts(problem, witness)?;
    let proofs = goals
        .iter()
        .rev()
        .map(|goal| solve(goal, 6, fuel))
        .collect::<Option<Vec<_>>>()?;
    let witness = Witness {
        proofs: proofs.into_iter().rev().collect(),
        ..witness.clone()
    };
    separate(problem, witness)
}

/// Moving points that are tried, for each point variable.
fn witnesses(term: &Term<'_>) -> Vec<Vec<(Symbol, Expr)>> {
    let n = Expr::variable(term.index);
    let one = Expr::integer(1);
    let mut forms = Vec::new();
    for (a, b) in [(1, 1), (2, 1), (1, 2), (3, 1), (-1, 1), (1, 3), (3, 2)] {
        let c = Expr::ratio(a, b);
        let scaled = |part: &Expr| {
            if (a, b) == (1, 1) {
                part.clone()
            } else {
                c.times(part)
            }
        };
        forms.push(scaled(&one.over(&n)));
        forms.push(scaled(&n));
        forms.push(scaled(&one.over(&n.sqrt())));
        forms.push(scaled(&n.sqrt()));
        forms.push(scaled(&one.over(&n.power(&Expr::integer(2)))));
        forms.push(scaled(&n.power(&Expr::integer(2))));
        forms.push(one.minus(&scaled(&one.over(&n))));
        forms.push(one.plus(&scaled(&one.over(&n))));
        forms.push(one.minus(&scaled(&one.over(&n.plus(&one)))));
        forms.push(c.clone());
    }
    for base in [Expr::ratio(1, 2), Expr::ratio(1, 4)] {
        forms.push(base.power(&one.over(&n)));
    }
    let pi = Expr::from(Node::Constant(crate::expr::Constant::Pi));
    forms.push(pi.over(&Expr::integer(2).times(&n)));
    forms.push(Expr::integer(0));
    let mut all: Vec<Vec<(Symbol, Expr)>> = vec![Vec::new()];
    for name in term.points {
        let (_, lower, upper) = parts::bounds(term.problem, name);
        let mut own = forms.clone();
        for (bound, _) in lower.iter().chain(&upper) {
            if term.points.iter().any(|point| bound.mentions(point)) {
                continue;
            }
            own.push(bound.clone());
            own.push(bound.plus(&one.over(&n)));
            own.push(bound.minus(&one.over(&n)));
        }
        all = all
            .iter()
            .flat_map(|prefix| {
                own.iter().map(move |value| {
                    let mut next = prefix.clone();
                    next.push((name.clone(), value.clone()));
                    next
                })
            })
            .take(6000)
            .collect();
    }
    all
}

/// The least |term| seen along the witness for large indices, if it stays away from 0.
fn lowest(
    term: &Term<'_>,
    values: &[(Symbol, Expr)],
    parameters: &Values,
    stride: i64,
    offset: i64,
) -> Option<f64> {
    let mut low = f64::INFINITY;
    let mut first = None;
    for m in [2.0, 3.0, 4.0, 7.0, 15.0, 50.0, 200.0, 1000.0, 10_000.0] {
        let n = m * f64::from(i32::try_from(stride).ok()?) + f64::from(i32::try_from(offset).ok()?);
        let mut at = parameters.clone();
        at.insert(term.index.clone(), n);
        for (name, value) in values {
            let own = sample::value(value, &at);
            if !own.is_finite() {
                return None;
            }
            at.insert(name.clone(), own);
        }
        if !term.allowed(&at) {
            return None;
        }
        let value = sample::value(term.term, &at).abs();
        if !value.is_finite() || value < 1e-3 {
            return None;
        }
        first.get_or_insert(value);
        low = low.min(value);
        if m >= 1000.0 && value < 0.02 * first.unwrap_or(1.0).min(1.0) {
            return None;
        }
    }
    (low > 1e-3).then_some(low)
}

/// A round number at or below the value.
fn below(value: f64) -> Option<RBig> {
    let wanted = value * 1.000_000_01;
    let ladder = [
        100.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.4, 0.3, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01, 0.001,
    ];
    let step = ladder.iter().find(|step| **step <= wanted)?;
    Some(RBig::try_from((step * 1000.0).round()).ok()? / RBig::from(1000))
}

/// Whether hypotheses mention the index other than as a lower bound.
#[must_use]
pub(super) fn is_well_posed(problem: &Problem) -> bool {
    let Some(term) = Term::of(problem) else {
        return false;
    };
    let whole = problem
        .variable(term.index)
        .is_some_and(|own| own.kind == Kind::Integer || own.kind == Kind::Real);
    whole
        && problem.hypotheses.iter().all(|own| match &own.condition {
            Condition::Holds(left, relation, right) => {
                let about = left.mentions(term.index) || right.mentions(term.index);
                !about
                    || (left.as_variable() == Some(term.index)
                        && matches!(relation, Relation::Greater | Relation::GreaterEqual))
                    || (right.as_variable() == Some(term.index)
                        && matches!(relation, Relation::Less | Relation::LessEqual))
            }
            other => !other.variables().contains(term.index),
        })
}
