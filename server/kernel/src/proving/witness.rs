//! Witnesses that a term does not tend to 0: points that move with the index.

use super::limits::{Term, parameter_values};
use super::sample::{self, Values};
use super::solve::solve;
use crate::expr::{Constant, Expr, Function, Node, Symbol};
use crate::fuel::Fuel;
use crate::goal::Problem;
use crate::recheck::{Separation, Witness, parts, separate};
use dashu::rational::RBig;

/// A distance from 0 below this is not looked for.
const FAINT: f64 = 1e-4;

/// Where a term is followed along.
#[derive(Clone)]
struct Candidate {
    /// Values of the points.
    values: Vec<(Symbol, Expr)>,
    stride: i64,
    offset: i64,
    /// The first m.
    start: i64,
    /// The least |term| seen.
    low: f64,
}

/// So many values of m later a candidate may begin: a term may pass 0 on its way.
const LATER: [i64; 5] = [0, 18, 298, 9_998, 999_998];

/// So many parameter values are tried as a case that meets the hypotheses.
const CASES: usize = 12;

/// Searches a witness along which the term stays away from 0.
pub(super) fn stays(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Separation> {
    let term = Term::of(problem)?;
    let parameters = parameter_values(&term);
    let first = parameters.first()?;
    let case = parameters
        .iter()
        .take(CASES)
        .filter_map(exact)
        .find(|case| parts::has_case(problem, case))?;
    let start = first_index(&term);
    let alternating = term.points.is_empty() && oscillates(term.term);
    let mut found: Vec<Candidate> = Vec::new();
    for values in witnesses(&term) {
        for (stride, offset) in [(1, 0), (2, 0), (2, 1)] {
            let candidate = |later: &i64| {
                let start = start + later;
                let (low, steady) = lowest(&term, &values, first, (stride, offset), start)?;
                let candidate = Candidate {
                    values: values.clone(),
                    stride,
                    offset,
                    start,
                    low,
                };
                Some((candidate, steady))
            };
            // A term that passes 0 is followed from where it has done so.
            let all: Vec<_> = LATER.iter().filter_map(candidate).collect();
            let steady = all.iter().position(|(_, steady)| *steady).unwrap_or(0);
            if let Some((candidate, _)) = all.into_iter().nth(steady) {
                found.push(candidate);
                // Along a part of the indices an oscillating term may be simpler.
                if !alternating {
                    break;
                }
            }
        }
        if found.len() >= 8 {
            break;
        }
    }
    found.sort_by_key(|own| (own.stride, simplicity(&own.values)));
    for candidate in found {
        let Candidate {
            values,
            stride,
            offset,
            start,
            low,
        } = candidate;
        for share in [1.0, 0.5, 0.1] {
            let Some(bound) = below(low * share) else {
                continue;
            };
            let mut part = fuel.part(fuel.left() / 4);
            let shown = separated(
                problem,
                &Witness {
                    parameters: case.clone(),
                    values: values.clone(),
                    bound: Expr::number(bound),
                    stride,
                    offset,
                    start,
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

/// The first index of a witness: what is said of the index holds from there on.
fn first_index(term: &Term<'_>) -> i64 {
    let (_, lower, _) = parts::bounds(term.problem, term.index);
    lower
        .iter()
        .filter_map(|(bound, _)| i64::try_from(bound.as_number()?.ceil()).ok())
        .fold(2, |start, bound| start.max(bound.saturating_add(1)))
}

/// The values as numbers.
fn exact(values: &Values) -> Option<Vec<(Symbol, Expr)>> {
    values
        .iter()
        .map(|(name, value)| Some((name.clone(), Expr::number(RBig::try_from(*value).ok()?))))
        .collect()
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
    // Where a power xⁿ occurs, the points at which it keeps its value are the simplest to judge.
    let mut forms = vec![Expr::integer(0)];
    let levels = [Expr::ratio(1, 2), Expr::ratio(1, 4)];
    forms.extend(levels.iter().map(|base| base.power(&one.over(&n))));
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
    let pi = Expr::from(Node::Constant(Constant::Pi));
    forms.push(pi.over(&Expr::integer(2).times(&n)));
    if oscillates(term.term) {
        let mut turns = crests(&n);
        turns.append(&mut forms);
        forms = turns;
    }
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

/// Whether a sine, cosine or tangent of a point occurs.
fn oscillates(term: &Expr) -> bool {
    let mut found = false;
    term.visit(&mut |part| {
        found |= matches!(
            part.node(),
            Node::Call(Function::Sin | Function::Cos | Function::Tan, of)
                if !of.variables().is_empty()
        );
    });
    found
}

/// Where a sine or cosine is 0 or ±1 again and again, and the reciprocals of these places.
fn crests(n: &Expr) -> Vec<Expr> {
    let pi = Expr::from(Node::Constant(Constant::Pi));
    let one = Expr::integer(1);
    let mut all = Vec::new();
    for quarters in [0, 1, 2, 3] {
        let turn = Expr::integer(2).times(n).times(&pi);
        let place = if quarters == 0 {
            turn
        } else {
            turn.plus(&Expr::ratio(quarters, 2).times(&pi))
        };
        all.push(place.clone());
        all.push(one.over(&place));
    }
    all
}

/// The least |term| seen along the witness for large indices, if it stays away from 0, and whether
/// the term keeps its sign.
fn lowest(
    term: &Term<'_>,
    values: &[(Symbol, Expr)],
    parameters: &Values,
    (stride, offset): (i64, i64),
    start: i64,
) -> Option<(f64, bool)> {
    let mut low = f64::INFINITY;
    let mut first = None;
    let (mut above, mut below) = (false, false);
    let shift = f64::from(i32::try_from(start.saturating_sub(2)).ok()?);
    for step in [2.0, 3.0, 4.0, 7.0, 15.0, 50.0, 200.0, 1000.0, 10_000.0] {
        let m = step + shift;
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
        let signed = sample::value(term.term, &at);
        let value = signed.abs();
        above |= signed > 0.0;
        below |= signed < 0.0;
        if !value.is_finite() || value < FAINT {
            return None;
        }
        first.get_or_insert(value);
        low = low.min(value);
        if m >= 1000.0 && value < 0.02 * first.unwrap_or(1.0).min(1.0) {
            return None;
        }
    }
    (low > FAINT).then_some((low, !(above && below)))
}

/// A round number at or below the value.
fn below(value: f64) -> Option<RBig> {
    let wanted = value * 1.000_000_01;
    let ladder = [
        100.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.4, 0.3, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01, 0.001, 1e-4,
    ];
    let step = ladder.iter().find(|step| **step <= wanted)?;
    Some(RBig::try_from((step * 10_000.0).round()).ok()? / RBig::from(10_000))
}
