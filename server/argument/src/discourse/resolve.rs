//! Names that are used before they are defined: "show that f_n → f" with f found later.

use super::entry::Reader;
use super::outline::{Assertion, Content, Definition, ErrorTerm};
use kernel::{Condition, Expr, Node, Symbol};

impl Reader<'_> {
    /// Puts in the values of functions that were unknown where they were used.
    pub(super) fn resolve(&mut self) {
        let known: Vec<Definition> = self
            .lexicon
            .definitions
            .iter()
            .filter(|definition| definition.subscripts == 0 && !definition.parameters.is_empty())
            .filter(|definition| {
                // A name that is defined twice does not tell which one was meant.
                self.lexicon
                    .definitions
                    .iter()
                    .filter(|other| other.name == definition.name && other.subscripts == 0)
                    .count()
                    == 1
            })
            .cloned()
            .collect();
        if known.is_empty() {
            return;
        }
        for proto in &mut self.protos {
            if let Content::Assertion(assertion) = &mut proto.entry.content {
                resolve_assertion(assertion, &known);
            }
        }
        for aim in &mut self.aims {
            if let Some(assertion) = &mut aim.assertion {
                resolve_assertion(assertion, &known);
            }
        }
        if let Some(limit) = &mut self.lexicon.limit {
            *limit = resolved(limit, &known);
        }
    }
}

fn resolve_assertion(assertion: &mut Assertion, known: &[Definition]) {
    let change = |expr: &mut Expr| *expr = resolved(expr, known);
    match assertion {
        Assertion::Relation { left, right, .. } => {
            change(left);
            change(right);
        }
        Assertion::All(conditions) => resolve_conditions(conditions, known),
        Assertion::Convergence { error, .. } | Assertion::Series { terms: error, .. } => {
            resolve_error(error, known);
        }
        Assertion::Limit { term, value, .. } => {
            change(term);
            value.number_mut().into_iter().for_each(change);
        }
        Assertion::Implication { from, to, .. } => {
            resolve_conditions(from, known);
            resolve_conditions(to, known);
        }
        Assertion::Extremum {
            term,
            value,
            conditions,
            ..
        } => {
            change(term);
            change(value);
            resolve_conditions(conditions, known);
        }
    }
}

fn resolve_conditions(conditions: &mut [Condition], known: &[Definition]) {
    for condition in conditions {
        *condition = condition.map(&mut |side| resolved(side, known));
    }
}

fn resolve_error(error: &mut ErrorTerm, known: &[Definition]) {
    error.error = resolved(&error.error, known);
    error.term = resolved(&error.term, known);
    error.limit = resolved(&error.limit, known);
    resolve_conditions(&mut error.conditions, known);
}

/// The expression with every application of a known function unfolded.
fn resolved(expr: &Expr, known: &[Definition]) -> Expr {
    if expr.unknown_functions().is_empty() {
        return expr.clone();
    }
    let inner = expr.map_children(&mut |child| resolved(child, known));
    let Node::Apply(name, arguments) = inner.node() else {
        return inner;
    };
    let definition = known.iter().find(|definition| {
        definition.name == *name && definition.parameters.len() == arguments.len()
    });
    match definition {
        Some(definition) => unfold(definition, arguments),
        None => inner,
    }
}

/// The value with arguments for parameters, all at once.
fn unfold(definition: &Definition, arguments: &[Expr]) -> Expr {
    let fresh: Vec<Symbol> = (0..arguments.len())
        .map(|index| Symbol::new(&format!("\u{2}{index}")))
        .collect();
    let mut value = definition.value.clone();
    for (parameter, fresh) in definition.parameters.iter().zip(&fresh) {
        value = value.substitute(parameter, &Expr::variable(fresh));
    }
    for (fresh, argument) in fresh.iter().zip(arguments) {
        value = value.substitute(fresh, argument);
    }
    value
}
