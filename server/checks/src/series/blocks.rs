//! Series that do not converge uniformly because blocks of terms stay large: for every n there is
//! a point at which the n terms behind the n-th are each at least c/n.

use super::from;
use crate::engine::Engine;
use kernel::numerics::{self, Assignment, Precision, Value};
use kernel::{Condition, Expr, Goal, Kind, Origin, Problem, Relation, Symbol, Variable, show};
use std::collections::BTreeSet;

/// The first block that is looked at.
const FIRST: i64 = 2;

/// Blocks at which a bound is guessed.
const LOOKED_AT: [i64; 3] = [4, 64, 1024];

/// The largest m for which a bound 1/(m n) is tried.
const FAINTEST: f64 = 200.0;

/// Why Σ f_k(x) does not converge uniformly in the one point of the problem: points x_n at which
/// f_k(x_n) ≥ 1/(m n) for all n < k ≤ 2n, so that these terms sum to at least 1/m (Cauchy's
/// criterion; common practice). `term` is f_k(x) with its sign.
pub(super) fn stay_large(engine: &Engine<'_>, problem: &Problem, term: &Expr) -> Option<String> {
    let Goal::TendsToZero { index, points, .. } = &problem.goal else {
        return None;
    };
    let [point] = points.as_slice() else {
        return None;
    };
    let names: Vec<&Symbol> = problem.variables.iter().map(|own| &own.name).collect();
    if names.iter().any(|name| *name != index && *name != point) {
        return None;
    }
    let block = ["n", "m", "N"]
        .map(Symbol::new)
        .into_iter()
        .find(|name| !names.contains(&name))?;
    places(problem, point, &block)
        .into_iter()
        .find_map(|place| at_points(engine, (problem, term), (index, point), &block, &place))
}

/// Points x_n: near the numbers that bound the domain and near 0, and far away.
fn places(problem: &Problem, point: &Symbol, block: &Symbol) -> Vec<Expr> {
    let n = Expr::variable(block);
    let one = Expr::integer(1);
    let mut ends: BTreeSet<Expr> = BTreeSet::from([Expr::integer(0)]);
    for hypothesis in &problem.hypotheses {
        if let Condition::Holds(left, _, right) = &hypothesis.condition
            && hypothesis.condition.variables().iter().eq([point])
        {
            let constant = [left, right]
                .into_iter()
                .filter(|side| side.variables().is_empty());
            ends.extend(constant.cloned());
        }
    }
    let small = [
        one.over(&n),
        one.over(&n.power(&Expr::integer(2))),
        one.over(&n.sqrt()),
    ];
    let mut found = Vec::new();
    for end in &ends {
        for step in &small {
            if *end == Expr::integer(0) {
                found.extend([step.clone(), step.negative()]);
            } else {
                found.extend([end.plus(step), end.minus(step)]);
            }
        }
    }
    found.extend([n.clone(), n.power(&Expr::integer(2)), n.sqrt()]);
    found
}

fn at_points(
    engine: &Engine<'_>,
    (problem, term): (&Problem, &Expr),
    (index, point): (&Symbol, &Symbol),
    block: &Symbol,
    place: &Expr,
) -> Option<String> {
    let there = term.substitute(point, place);
    let (share, upward) = share(&there, index, block)?;
    let blocks = blocks(problem, (index, point), block);
    let belongs = problem
        .hypotheses
        .iter()
        .filter(|hypothesis| hypothesis.condition.variables().contains(point))
        .all(
            |hypothesis| match hypothesis.condition.substitute(point, place) {
                Condition::Holds(left, relation, right) => {
                    engine.proves(&blocks.with_goal(Goal::Holds(left, relation, right)))
                }
                _ => false,
            },
        );
    belongs.then_some(())?;
    let n = Expr::variable(block);
    let sized = if upward { there } else { there.negative() };
    let bound = Expr::integer(1).over(&Expr::integer(share).times(&n));
    let large = blocks.with_goal(Goal::Holds(sized, Relation::GreaterEqual, bound.clone()));
    engine.quickly(|| engine.proves(&large)).then(|| {
        let size = if upward { "is at least" } else { "is negative, and its size at least" };
        format!(
            "At {point} = {} each of the terms with {block} < {index} ≤ 2{block} {size} {}, so these {block} terms together make at least {} in size, for every {block} ≥ {FIRST}. By Cauchy's criterion the convergence is not uniform.",
            show::plain(place),
            show::plain(&bound),
            show::plain(&Expr::integer(1).over(&Expr::integer(share))),
        )
    })
}

/// n ≥ FIRST and n < k ≤ 2n, with what is known of other names.
fn blocks(problem: &Problem, (index, point): (&Symbol, &Symbol), block: &Symbol) -> Problem {
    let mut blocks = problem.clone();
    blocks.variables.retain(|own| own.name != *point);
    blocks
        .hypotheses
        .retain(|own| !own.condition.variables().contains(point));
    blocks.variables.push(Variable {
        name: block.clone(),
        kind: Kind::Integer,
    });
    let (k, n) = (Expr::variable(index), Expr::variable(block));
    let twice = Expr::integer(2).times(&n);
    from(&blocks, block, FIRST)
        .assuming(
            Condition::Holds(k.clone(), Relation::Greater, n),
            Origin::Range,
        )
        .assuming(
            Condition::Holds(k, Relation::LessEqual, twice),
            Origin::Range,
        )
}

/// The smallest m for which 1/(m n) seems to bound the terms of the blocks, and whether they are
/// positive.
fn share(term: &Expr, index: &Symbol, block: &Symbol) -> Option<(i64, bool)> {
    let value = |n: i64, k: i64| {
        let whole = |value: i64| Value::Closed(Expr::integer(value));
        let at = Assignment::new().with(block, Kind::Integer, whole(n)).with(
            index,
            Kind::Integer,
            whole(k),
        );
        let (low, high) = numerics::enclose(term, &at, Precision::Double).doubles();
        let value = low.midpoint(high) * f64::from(i32::try_from(n).ok()?);
        value.is_finite().then_some(value)
    };
    let mut least = f64::INFINITY;
    let mut signs: BTreeSet<bool> = BTreeSet::new();
    for n in LOOKED_AT.into_iter().chain([FIRST]) {
        for k in [n + 1, n + n / 2, 2 * n] {
            let value = value(n, k)?;
            least = least.min(value.abs());
            signs.insert(value > 0.0);
        }
    }
    let share = (1.0 / least - 1e-9).ceil();
    let one_sign = signs.len() == 1 && share.is_finite() && share <= FAINTEST;
    #[expect(clippy::cast_possible_truncation, reason = "between 1 and FAINTEST")]
    let share = share.max(1.0) as i64;
    one_sign.then_some((share, signs.contains(&true)))
}
