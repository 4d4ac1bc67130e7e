//! What is known of the variables (and unknown functions) when an expression is evaluated.

use crate::expr::{Expr, Symbol};
use crate::goal::Kind;
use dashu::rational::RBig;
use std::collections::BTreeMap;

/// What is known of one quantity.
#[derive(Clone, PartialEq, Debug)]
pub enum Value {
    /// Its exact rational value.
    Exact(RBig),
    /// Its exact value, as an expression without variables.
    Closed(Expr),
    /// Bounds; `None` is −∞ below and +∞ above.
    Between(Option<RBig>, Option<RBig>),
}

/// Values of variables, and of unknown functions at exact arguments.
#[derive(Clone, Default, Debug)]
pub struct Assignment {
    variables: BTreeMap<Symbol, (Kind, Value)>,
    applications: Vec<(Symbol, Vec<RBig>, Value)>,
}

impl Assignment {
    /// No values at all: for expressions without variables.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Sets the value of a variable.
    pub fn set(&mut self, name: &Symbol, kind: Kind, value: Value) {
        self.variables.insert(name.clone(), (kind, value));
    }

    /// The same with one value more.
    #[must_use]
    pub fn with(mut self, name: &Symbol, kind: Kind, value: Value) -> Self {
        self.set(name, kind, value);
        self
    }

    /// Sets the value of an unknown function at exact arguments.
    pub fn set_application(&mut self, function: &Symbol, arguments: Vec<RBig>, value: Value) {
        self.applications.push((function.clone(), arguments, value));
    }

    /// The value of a variable.
    #[must_use]
    pub fn value(&self, name: &Symbol) -> Option<&Value> {
        self.variables.get(name).map(|(_, value)| value)
    }

    /// Whether the variable is known to run through integers.
    #[must_use]
    pub fn is_integer(&self, name: &Symbol) -> bool {
        self.variables
            .get(name)
            .is_some_and(|(kind, _)| *kind == Kind::Integer)
    }

    /// The value of an unknown function at exact arguments.
    #[must_use]
    pub fn application(&self, function: &Symbol, arguments: &[RBig]) -> Option<&Value> {
        self.applications
            .iter()
            .find(|(name, at, _)| name == function && at == arguments)
            .map(|(_, _, value)| value)
    }
}
