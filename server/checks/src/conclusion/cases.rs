//! Limits value by value and case by case, where no bound serves all points at once.

use super::{Apart, Said, separated, unless_protected};
use crate::engine::{Engine, Judgement, elsewhere};
use crate::scope::Setting;
use crate::wording;
use kernel::{Condition, Expr, Goal, Kind, Node, Origin, Problem, Relation, Symbol, proving, show};

/// A single value of a point or parameter at which a term stays away from 0: an end of its
/// domain, 0 or ±1. "x^n → 0 for 0 ≤ x ≤ 1" fails at x = 1 only. `local`: a statement on the way,
/// for which the text may mean what it says of the points in another place.
pub(super) fn at_a_corner(
    engine: &Engine<'_>,
    setting: &Setting,
    problem: &Problem,
    local: bool,
) -> Option<Apart> {
    let Goal::TendsToZero { points, .. } = &problem.goal else {
        return None;
    };
    let left_out = |name: &Symbol, value: &Expr| {
        // What the text says of the name here goes before what it says in another place.
        let governed = setting.hypotheses.iter().any(|(hypothesis, from)| {
            from.is_some() && hypothesis.condition.variables().iter().eq([name])
        });
        local && !governed && elsewhere::leaves_out(engine.argument, name, value)
    };
    let free = free_numbers(setting, problem);
    let single = free.iter().find_map(|name| {
        corners(problem, name)
            .into_iter()
            .filter(|value| !left_out(name, value))
            .find_map(|value| stays_away_at(engine, problem, &[(name.clone(), value)]))
    });
    // "a x²/(x² + q n)" for all a, q > 0: one choice of its parameters is enough.
    let parameters: Vec<Symbol> = free
        .into_iter()
        .filter(|name| !points.contains(name))
        .collect();
    single.or_else(|| {
        (parameters.len() > 1).then_some(())?;
        PARAMETERS.iter().find_map(|first| {
            let places: Vec<(Symbol, Expr)> = parameters
                .iter()
                .cloned()
                .zip(first.iter().cycle().map(|value| Expr::integer(*value)))
                .collect();
            let open = places.iter().all(|(name, value)| !left_out(name, value));
            open.then(|| stays_away_at(engine, problem, &places))?
        })
    })
}

/// Values that are tried for several parameters at once.
const PARAMETERS: [[i64; 3]; 3] = [[1, 1, 1], [1, 2, 3], [3, 2, 1]];

/// Real names of a problem that stand for any number: neither its index, nor picked, nor tied to
/// others by an equation.
fn free_numbers(setting: &Setting, problem: &Problem) -> Vec<Symbol> {
    let Goal::TendsToZero { index, .. } = &problem.goal else {
        return Vec::new();
    };
    problem
        .variables
        .iter()
        // A number that is picked is one number, whatever else the hypotheses would allow.
        .filter(|variable| {
            variable.kind == Kind::Real
                && variable.name != *index
                && !setting.chosen.contains_key(&variable.name)
        })
        // q = 1 − x takes the values that x allows.
        .filter(|variable| {
            !problem.hypotheses.iter().any(|hypothesis| {
                matches!(
                    &hypothesis.condition,
                    Condition::Holds(_, Relation::Equal, _)
                ) && hypothesis.condition.variables().contains(&variable.name)
            })
        })
        .map(|variable| variable.name.clone())
        .collect()
}

/// How a term stays away from 0 where names have certain values.
fn stays_away_at(
    engine: &Engine<'_>,
    problem: &Problem,
    values: &[(Symbol, Expr)],
) -> Option<Apart> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    let at = |side: &Expr| {
        values.iter().fold(side.clone(), |side, (name, value)| {
            side.substitute(name, value)
        })
    };
    let given = |name: &Symbol| values.iter().any(|(own, _)| own == name);
    let mut there = problem.with_goal(Goal::TendsToZero {
        term: at(term),
        index: index.clone(),
        points: points
            .iter()
            .filter(|point| !given(point))
            .cloned()
            .collect(),
    });
    there.variables.retain(|other| !given(&other.name));
    for hypothesis in &mut there.hypotheses {
        hypothesis.condition = hypothesis.condition.map(&mut |side| at(side));
    }
    let separation = engine
        .can_be_met(&there)
        .then(|| proving::stays_away(&there, &mut engine.fuel()))??;
    let places: Vec<String> = values
        .iter()
        .map(|(name, value)| format!("{name} = {}", show::plain(value)))
        .collect();
    Some(Apart {
        why: wording::at_place(&places.join(", "), &wording::no_cure(&separation)),
        fixed: values.iter().map(|(name, _)| name.clone()).collect(),
    })
}

/// The numbers with which hypotheses compare a name alone, and 0, 1, −1.
fn corners(problem: &Problem, name: &Symbol) -> Vec<Expr> {
    let mut found: Vec<Expr> = [0, 1, -1].map(Expr::integer).to_vec();
    for hypothesis in &problem.hypotheses {
        if let Condition::Holds(left, _, right) = &hypothesis.condition {
            for (side, other) in [(left, right), (right, left)] {
                if side.as_variable() == Some(name)
                    && other.as_number().is_some()
                    && !found.contains(other)
                {
                    found.push(other.clone());
                }
            }
        }
    }
    found
}

/// A limit that is given by cases, case by case: proved if every case is and the cases leave
/// nothing out, refuted if one case is.
pub(super) fn case_by_case(
    engine: &Engine<'_>,
    setting: &Setting,
    problem: &Problem,
    said: &Said<'_>,
    reading: &str,
) -> Option<Judgement> {
    let cases = cases(problem)?;
    let apart = cases.iter().find_map(|case| {
        let separation = proving::stays_away(&case.exact, &mut engine.fuel())?;
        let place = show::condition(&case.condition);
        Some(Apart {
            why: wording::in_case(&place, &wording::no_cure(&separation)),
            fixed: case.condition.variables(),
        })
    });
    if let Some(apart) = apart {
        return Some(separated(setting, problem, said, apart, reading.to_owned()));
    }
    let Goal::TendsToZero { term, .. } = &problem.goal else {
        return None;
    };
    let complete = problem.with_goal(Goal::Defined(term.clone()));
    let all = cases.iter().all(|case| engine.proves(&case.wider)) && engine.proves(&complete);
    let words = "in each case there is a bound that tends to 0".to_owned();
    all.then(|| {
        if said.negated {
            unless_protected(setting, problem, words, reading.to_owned())
        } else {
            Judgement::proved(words, reading.to_owned())
        }
    })
}

/// One case of a limit that is given by cases.
struct Case {
    /// Where it holds, as written.
    condition: Condition,
    /// The question for exactly its points: not those of the cases before it.
    exact: Problem,
    /// The question under its own condition alone: asks more, so enough for a proof.
    wider: Problem,
}

/// The cases of a term that is given by cases of its points.
fn cases(problem: &Problem) -> Option<Vec<Case>> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    let mut found: Option<Expr> = None;
    term.visit(&mut |part| {
        if matches!(part.node(), Node::Piecewise(_)) {
            found.get_or_insert(part.clone());
        }
    });
    let whole = found?;
    let Node::Piecewise(branches) = whole.node() else {
        return None;
    };
    if branches
        .iter()
        .any(|(condition, _)| condition.variables().contains(index))
    {
        return None;
    }
    let mut before: Vec<Condition> = Vec::new();
    let mut all = Vec::new();
    for (condition, value) in branches {
        let goal = Goal::TendsToZero {
            term: term.replace(&whole, value),
            index: index.clone(),
            points: points.clone(),
        };
        let wider = parts_of(condition)
            .into_iter()
            .fold(problem.with_goal(goal), |problem, part| {
                problem.assuming(part, Origin::Domain)
            });
        let exact = before.iter().fold(wider.clone(), |problem, earlier| {
            problem.assuming(opposite(earlier), Origin::Domain)
        });
        all.push(Case {
            condition: condition.clone(),
            exact,
            wider,
        });
        before.push(condition.clone());
    }
    Some(all)
}

fn parts_of(condition: &Condition) -> Vec<Condition> {
    match condition {
        Condition::And(parts) => parts.iter().flat_map(parts_of).collect(),
        other => vec![other.clone()],
    }
}

fn opposite(condition: &Condition) -> Condition {
    match condition {
        Condition::Holds(left, relation, right) => {
            Condition::Holds(left.clone(), relation.negated(), right.clone())
        }
        other => Condition::Not(Box::new(other.clone())),
    }
}
