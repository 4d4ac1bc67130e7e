//! What one search remembers: situations that were entered and goals that could not be shown.

use super::sample::{self, Values};
use crate::fuel::Fuel;
use crate::goal::{Hypothesis, Problem, Variable};
use crate::recheck::Context;
use std::collections::HashMap;
use std::rc::Rc;
use std::sync::Arc;

/// Situations that are kept; then all are forgotten, so that a long search stays small.
const SITUATIONS: usize = 400;
/// The same for goals.
const GOALS: usize = 4_000;
/// Points at which a goal is looked at before it is searched.
const POINTS: usize = 60;
/// Points that sub-goals are looked at.
const FEWER_POINTS: usize = 24;

/// What holds under the hypotheses of a problem.
#[derive(Debug)]
pub(super) struct Situation {
    pub(super) context: Context,
    /// Points that satisfy the hypotheses.
    pub(super) points: Vec<Values>,
    /// The first of them.
    pub(super) fewer: Arc<Vec<Values>>,
}

type Hypotheses = (Vec<Variable>, Vec<Hypothesis>);

/// Situations and failures; neither decides anything but what is searched again.
#[derive(Debug, Default)]
pub(crate) struct Memory {
    situations: HashMap<Hypotheses, Rc<Situation>>,
    failures: HashMap<Problem, Vec<Effort>>,
}

/// With how much effort a goal could not be shown.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    level: usize,
    fuel: u64,
    hasty: bool,
}

impl Effort {
    /// The effort that a search may begin.
    pub(super) fn of(level: usize, fuel: &Fuel<'_>) -> Self {
        Self {
            level,
            fuel: fuel.left(),
            hasty: fuel.is_hasty(),
        }
    }

    /// Whether this effort covers another.
    fn covers(self, other: Self) -> bool {
        self.level >= other.level && self.fuel >= other.fuel && self.hasty <= other.hasty
    }
}

/// The situation of a problem, computed once in a search.
pub(super) fn situation(problem: &Problem, fuel: &Fuel<'_>) -> Rc<Situation> {
    let key = (problem.variables.clone(), problem.hypotheses.clone());
    if let Some(known) = fuel.memory().borrow().situations.get(&key) {
        return Rc::clone(known);
    }
    let points = sample::points(problem, POINTS);
    let situation = Rc::new(Situation {
        context: Context::of(problem),
        fewer: Arc::new(points.iter().take(FEWER_POINTS).cloned().collect()),
        points,
    });
    let memory = &mut fuel.memory().borrow_mut().situations;
    if memory.len() >= SITUATIONS {
        memory.clear();
    }
    memory.insert(key, Rc::clone(&situation));
    situation
}

/// Whether the goal was searched in vain with at least this effort.
pub(super) fn is_hopeless(problem: &Problem, effort: Effort, fuel: &Fuel<'_>) -> bool {
    let memory = fuel.memory().borrow();
    let known = memory.failures.get(problem);
    known.is_some_and(|known| known.iter().any(|own| own.covers(effort)))
}

/// Remembers that the goal was searched in vain.
pub(super) fn note_failure(problem: &Problem, effort: Effort, fuel: &Fuel<'_>) {
    let memory = &mut fuel.memory().borrow_mut().failures;
    if memory.len() >= GOALS {
        memory.clear();
    }
    let known = memory.entry(problem.clone()).or_default();
    known.retain(|own| !effort.covers(*own));
    known.push(effort);
}
