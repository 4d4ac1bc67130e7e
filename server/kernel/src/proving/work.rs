//! A situation under work: the checker's context and the steps that led to it.

use super::memory::situation;
use super::sample::Values;
use crate::expr::Expr;
use crate::fuel::Fuel;
use crate::goal::Problem;
use crate::recheck::{Context, Poly, Sign, Step};
use std::sync::Arc;

/// A context with the steps taken since it was opened.
#[derive(Clone)]
pub(super) struct Work {
    pub(super) context: Context,
    pub(super) steps: Vec<Step>,
    /// Points of the situation at which sub-goals are tried first; none says nothing.
    pub(super) points: Arc<Vec<Values>>,
}

impl Work {
    pub(super) fn new(context: Context) -> Self {
        Self {
            context,
            steps: Vec::new(),
            points: Arc::default(),
        }
    }

    /// The situation of a problem, with sampled points.
    pub(super) fn of(problem: &Problem, fuel: &Fuel<'_>) -> Self {
        let situation = situation(problem, fuel);
        Self {
            points: Arc::clone(&situation.fewer),
            ..Self::new(situation.context.clone())
        }
    }

    /// Takes a step if it follows.
    pub(super) fn take(&mut self, step: Step) -> bool {
        let done = self.context.step(&step).is_some();
        if done {
            self.steps.push(step);
        }
        done
    }

    /// The number of facts.
    pub(super) fn len(&self) -> usize {
        self.context.facts().len()
    }

    /// Whether a sign of a polynomial is known.
    pub(super) fn knows(&self, poly: &Poly, sign: Sign) -> bool {
        self.context.is_absurd() || self.context.sign_of(poly).has(sign)
    }

    /// The polynomial that has the sign of an expression.
    pub(super) fn poly(&self, expr: &Expr) -> Option<Poly> {
        let form = self.context.normal(expr)?;
        Some(self.context.signed_numerator(&form))
    }
}
