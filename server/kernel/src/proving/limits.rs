//! Limits of error terms: majorants that tend to 0, and witnesses that stay away from 0.

use super::guesses::guesses;
use super::sample::{self, Values};
use super::solve::{LEVEL, solve};
use crate::expr::{Condition, Expr, Function, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Origin, Problem};
use crate::recheck::{Certificate, Context, Majorant, Proof, Shape, parts, verify};
use dashu::integer::UBig;
use dashu::rational::RBig;

/// The parts of a `TendsToZero` goal.
pub(super) struct Term<'p> {
    pub(super) problem: &'p Problem,
    pub(super) term: &'p Expr,
    pub(super) index: &'p Symbol,
    pub(super) points: &'p [Symbol],
}

impl<'p> Term<'p> {
    pub(super) fn of(problem: &'p Problem) -> Option<Self> {
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
    pub(super) fn parameters(&self) -> Vec<Symbol> {
        self.problem
            .variables
            .iter()
            .map(|variable| variable.name.clone())
            .filter(|name| name != self.index && !self.points.contains(name))
            .collect()
    }

    pub(super) fn allowed(&self, at: &Values) -> bool {
        self.problem
            .hypotheses
            .iter()
            .all(|own| sample::holds(&own.condition, at) != Some(false))
    }

    /// The largest |term| found over the points, for one index and fixed parameters.
    pub(super) fn supremum(&self, n: f64, parameters: &Values) -> Option<f64> {
        if !self.term.unknown_functions().is_empty() {
            return None;
        }
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

/// For how many parameters at once cases by their signs are tried.
const PARAMETERS: usize = 2;

/// Searches a majorant for a `TendsToZero` problem, if need be one for each sign of a parameter.
pub(super) fn tends(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    tends_in_cases(problem, PARAMETERS, fuel)
}

/// The same with cases for at most so many parameters: each parameter makes three of each case,
/// and the sampling in each is not paid for by fuel.
fn tends_in_cases(problem: &Problem, parameters: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    // What is kept is for the cases of a parameter.
    let alone = Term::of(problem)?.parameters().is_empty();
    let share = if alone { 4 } else { 3 };
    let mut part = fuel.part(fuel.left() / 4 * share);
    let found = by_majorant(problem, &mut part);
    fuel.refund(&part);
    found.or_else(|| by_parameter(problem, parameters, fuel))
}

fn by_majorant(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let term = Term::of(problem)?;
    let mut all = guesses(&term);
    // A guess that is generous is soon proved: all are looked into before one is insisted on.
    for hasty in [true, false] {
        if !hasty {
            let sample = parameter_values(&term).into_iter().next();
            all.sort_by_cached_key(|own| reluctance(&term, sample.as_ref(), own));
        }
        for (coefficient, shape, start) in &all {
            let mut part = if hasty {
                fuel.hasty(fuel.left() / 14)
            } else {
                fuel.part(fuel.left() / 2)
            };
            let found = prove_majorant(problem, coefficient, shape, *start, &mut part);
            fuel.refund(&part);
            if found.is_some() {
                return found;
            }
        }
    }
    None
}

/// How unlikely it is that a majorant can be shown: simple shapes first, and those that leave some
/// room, though not too much.
fn reluctance(
    term: &Term<'_>,
    sample: Option<&Values>,
    (coefficient, shape, start): &(Expr, Shape, i64),
) -> (bool, u8, i64) {
    let simple = match shape {
        Shape::Power(p) | Shape::Logarithm(p) => *p.denominator() <= UBig::from(2_u8),
        Shape::Zero | Shape::Geometric(..) => true,
    };
    let index = 64.0;
    let mut room = f64::NAN;
    if let Some(mut at) = sample.cloned()
        && let Some(size) = term.supremum(index, &at)
    {
        at.insert(term.index.clone(), index);
        let bound = parts::majorant_bound(coefficient, shape, term.index);
        room = sample::value(&bound, &at) / size;
    }
    let tightness = if (1.5..=5.0).contains(&room) {
        0
    } else if room <= 20.0 {
        1
    } else {
        2
    };
    (!simple, tightness, *start)
}

/// Pointwise limits are often of another kind at 0 or at an end: cases by how one parameter compares.
fn by_parameter(problem: &Problem, parameters: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let left = parameters.checked_sub(1)?;
    let term = Term::of(problem)?;
    for (name, value) in borders(&term) {
        let own = Expr::variable(&name);
        let apart = own.minus(&value);
        if Context::of(problem).sign_of_expr(&apart).differs {
            continue;
        }
        let branches = [Relation::Less, Relation::Equal, Relation::Greater]
            .into_iter()
            .map(|relation| {
                let case = Condition::Holds(own.clone(), relation, value.clone());
                let case = problem.assuming(case, Origin::Assumption);
                let proof = if Context::of(&case).is_absurd() {
                    Proof::Direct(Vec::new())
                } else if relation == Relation::Equal {
                    let hypothesis = problem.hypotheses.len();
                    let there = parts::replaced(&case, hypothesis, &name)?;
                    Proof::Replace {
                        hypothesis,
                        variable: name.clone(),
                        rest: Box::new(tends_in_cases(&there, left, fuel)?),
                    }
                } else {
                    tends_in_cases(&case, left, fuel)?
                };
                Some((relation, proof))
            })
            .collect::<Option<Vec<_>>>();
        if let Some(branches) = branches {
            return Some(Proof::Cases {
                on: own,
                against: value,
                defined: Box::new(Proof::Direct(Vec::new())),
                branches,
            });
        }
    }
    None
}

/// Values of parameters at which a pointwise limit may be of another kind: 0, and the ends of their
/// ranges.
fn borders(term: &Term<'_>) -> Vec<(Symbol, Expr)> {
    let mut all = Vec::new();
    for name in term.parameters() {
        let (_, lower, upper) = parts::bounds(term.problem, &name);
        let ends = lower.into_iter().chain(upper).map(|(end, _)| end);
        let real = |name| {
            term.problem
                .variable(name)
                .is_some_and(|own| own.kind == Kind::Real)
        };
        let ends =
            ends.filter(|end| real(&name) && end.as_number().is_some_and(|value| !value.is_zero()));
        let values = [Expr::integer(0)].into_iter().chain(ends);
        all.extend(values.map(|value| (name.clone(), value)));
    }
    all
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
    if !sample::is_plausible(bound, fuel) {
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

/// Parameter values that the hypotheses allow, the first near 1.
pub(super) fn parameter_values(term: &Term<'_>) -> Vec<Values> {
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

/// Whether what is said of the index leaves arbitrarily large ones: it bounds the index below,
/// ties it to points, or keeps to a subsequence.
#[must_use]
pub(super) fn is_well_posed(problem: &Problem) -> bool {
    let Some(term) = Term::of(problem) else {
        return false;
    };
    problem.variable(term.index).is_some()
        && problem.hypotheses.iter().all(|own| {
            let names = own.condition.variables();
            !names.contains(term.index)
                || term.points.iter().any(|point| names.contains(point))
                || is_lower_bound(&own.condition, term.index)
                || names.len() == 1 && holds_again_and_again(&own.condition, term.index)
        })
}

fn is_lower_bound(condition: &Condition, index: &Symbol) -> bool {
    let Condition::Holds(left, relation, right) = condition else {
        return false;
    };
    left.as_variable() == Some(index)
        && matches!(relation, Relation::Greater | Relation::GreaterEqual)
        || right.as_variable() == Some(index)
            && matches!(relation, Relation::Less | Relation::LessEqual)
}

/// Whether a condition on the index alone holds near each of some large values.
fn holds_again_and_again(condition: &Condition, index: &Symbol) -> bool {
    [1e4, 1e6, 1e9].iter().all(|far| {
        [0.0, 1.0, 2.0, 3.0].iter().any(|step| {
            let at = Values::from([(index.clone(), far + step)]);
            sample::holds(condition, &at) == Some(true)
        })
    })
}
