//! Worked facts of the textbooks, with their sources, as kernel problems.

use crate::obligations::{condition, expression};
use kernel::{Condition, Goal, Hypothesis, Kind, Origin, Problem, Symbol, Variable};
use serde::Deserialize;

/// A fact of analysis.
#[derive(Clone, Debug, Deserialize)]
pub struct Fact {
    /// Its name in our list.
    pub name: String,
    /// What it says.
    pub statement: String,
    /// Where it stands.
    pub source: Source,
    /// Whether it is true.
    pub truth: bool,
    variables: Vec<Named>,
    hypotheses: Vec<String>,
    holds: Option<Link>,
    tends_to_zero: Option<Limit>,
}

/// Where a fact stands: a book's place, or a note that says what is known of its origin.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged)]
pub enum Source {
    /// A numbered place.
    Place {
        /// Authors.
        author: String,
        /// Title of the book.
        title: String,
        /// Its edition.
        edition: String,
        /// The number there.
        number: String,
    },
    /// `common practice`, or `from memory: author, title`.
    Note {
        /// The note.
        note: String,
    },
}

#[derive(Clone, Debug, Deserialize)]
struct Named {
    name: String,
    kind: String,
}

#[derive(Clone, Debug, Deserialize)]
struct Link {
    left: String,
    relation: String,
    right: String,
}

#[derive(Clone, Debug, Deserialize)]
struct Limit {
    term: String,
    index: String,
    points: Vec<String>,
}

/// The facts of `tests/facts/facts.json`.
///
/// # Errors
/// What is wrong with the file.
pub fn read(text: &str) -> Result<Vec<Fact>, String> {
    serde_json::from_str(text).map_err(|error| error.to_string())
}

impl Fact {
    /// Whether it speaks of a limit.
    #[must_use]
    pub fn is_limit(&self) -> bool {
        self.tends_to_zero.is_some()
    }

    /// The fact as a question to the kernel; `None` if it is not well formed.
    #[must_use]
    pub fn problem(&self) -> Option<Problem> {
        let goal = match (&self.holds, &self.tends_to_zero) {
            (Some(link), None) => {
                let text = format!("{} {} {}", link.left, link.relation, link.right);
                let Condition::Holds(left, relation, right) = condition(&text)? else {
                    return None;
                };
                Goal::Holds(left, relation, right)
            }
            (None, Some(limit)) => Goal::TendsToZero {
                term: expression(&limit.term)?,
                index: Symbol::new(&limit.index),
                points: limit.points.iter().map(|name| Symbol::new(name)).collect(),
            },
            _ => return None,
        };
        let variable = |named: &Named| Variable {
            name: Symbol::new(&named.name),
            kind: if named.kind == "integer" {
                Kind::Integer
            } else {
                Kind::Real
            },
        };
        let hypothesis = |text: &String| {
            let condition = condition(text)?;
            Some(Hypothesis {
                condition,
                origin: Origin::Domain,
            })
        };
        Some(Problem {
            variables: self.variables.iter().map(variable).collect(),
            hypotheses: self
                .hypotheses
                .iter()
                .map(hypothesis)
                .collect::<Option<_>>()?,
            goal,
        })
    }
}
