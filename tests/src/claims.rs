//! Claims as single lines, `n:int x:[0,1] | n >= 2 |- x^n <= 1`, as kernel problems.

use crate::obligations::{condition, expression, interval};
use kernel::{
    Condition, Expr, Goal, Hypothesis, Kind, Origin, Problem, Relation, Symbol, Variable,
};

/// A claim and its name.
#[derive(Clone, Debug)]
pub struct Claim {
    /// Its name, which is also that of its files.
    pub name: String,
    /// The claim.
    pub problem: Problem,
}

/// The claims of a text: lines `NAME: CLAIM`, with `#` before remarks. An error names the line
/// that was not understood.
pub fn read(text: &str) -> Result<Vec<Claim>, String> {
    text.lines()
        .filter(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .map(|line| {
            let claim = line.split_once(": ").and_then(|(name, text)| {
                Some(Claim {
                    name: name.to_owned(),
                    problem: problem(text)?,
                })
            });
            claim.ok_or_else(|| format!("not understood: {line}"))
        })
        .collect()
}

/// The problem of a line `variables | hypotheses |- goal`.
#[must_use]
pub fn problem(text: &str) -> Option<Problem> {
    let (before, goal) = text.split_once("|-")?;
    let (names, assumed) = before.split_once('|').unwrap_or((before, ""));
    let (mut variables, mut hypotheses) = (Vec::new(), Vec::new());
    for own in names.split_whitespace() {
        let (name, range) = own.split_once(':').unwrap_or((own, "(-oo,oo)"));
        let whole = range == "int";
        let range = if whole { "[1,oo)" } else { range };
        hypotheses.extend(interval(&Expr::named(name), range)?);
        variables.push(Variable {
            name: Symbol::new(name),
            kind: if whole { Kind::Integer } else { Kind::Real },
        });
    }
    for text in assumed.split(';').filter(|text| !text.trim().is_empty()) {
        let members: Option<Vec<_>> = text.split(" or ").map(condition).collect();
        let condition = match members?.as_slice() {
            [only] => only.clone(),
            several => Condition::Or(several.to_vec()),
        };
        hypotheses.push(Hypothesis {
            condition,
            origin: Origin::Assumption,
        });
    }
    Some(Problem {
        variables,
        hypotheses,
        goal: claimed(goal)?,
    })
}

fn claimed(text: &str) -> Option<Goal> {
    if let Some((term, points)) = text.split_once("-> 0") {
        let points = points.trim().strip_prefix("over").unwrap_or_default();
        return Some(Goal::TendsToZero {
            term: expression(term)?,
            index: Symbol::new("n"),
            points: points.split_whitespace().map(Symbol::new).collect(),
        });
    }
    match condition(text)? {
        Condition::Holds(left, relation, right) => Some(Goal::Holds(left, relation, right)),
        _ => None,
    }
}

/// The claim of a problem with one side multiplied.
#[must_use]
pub fn scaled(problem: &Problem, factor: &Expr) -> Option<Problem> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let goal = match relation {
        Relation::Less | Relation::LessEqual => {
            Goal::Holds(left.clone(), *relation, right.times(factor))
        }
        Relation::Greater | Relation::GreaterEqual => {
            Goal::Holds(left.times(factor), *relation, right.clone())
        }
        Relation::Equal | Relation::NotEqual => return None,
    };
    Some(problem.with_goal(goal))
}
