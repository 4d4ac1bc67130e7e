//! Names that are used before they are defined: "show that f_n → f" with f found later.

use super::entry::Reader;
use super::outline::{Assertion, Content, Definition, ErrorTerm};
use kernel::{Condition, Expr, Node, Symbol};
use std::collections::BTreeSet;

impl Reader<'_> {
    /// Puts in the values of functions that were unknown where they were used.
    pub(super) fn resolve(&mut self) {
        let known: Vec<Definition> = self
            .lexicon
            .definitions
            .iter()
            .filter(|definition| definition.subscripts == 0 && !definition.parameters.is_empty())
            .filter(|definition| !self.is_general(&definition.name))
            .filter(|definition| {
                self.lexicon
                    .defines(&definition.name, definition.subscripts)
            })
            // "Let g: ℝ → ℝ be continuous. … Take g(x) = x²": before, g was any such function.
            .filter(|definition| {
                !self
                    .lexicon
                    .is_general(&definition.name, definition.span, self.draft)
            })
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
        let limits = self.limit_functions();
        let known: Vec<Known> = known
            .into_iter()
            .map(|definition| Known {
                indexed: self.lexicon.names.is_indexed(definition.name.as_str()),
                limit: limits.contains(&definition.name),
                definition,
            })
            .collect();
        for proto in &mut self.protos {
            let place = proto.entry.span;
            // What a later paragraph takes a name for says nothing of it here, but the limit of
            // a sequence may be found at any place.
            let near: Vec<Known> = known
                .iter()
                .filter(|known| {
                    let between = place.end..known.definition.span.start;
                    let between = self.draft.get(between).unwrap_or_default();
                    known.limit || !between.contains("\n\n")
                })
                .cloned()
                .collect();
            if let Content::Assertion(assertion) = &mut proto.entry.content {
                resolve_assertion(assertion, &near);
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

    /// The functions that stand as limits of sequences.
    fn limit_functions(&self) -> BTreeSet<Symbol> {
        let said = self
            .protos
            .iter()
            .filter_map(|proto| match &proto.entry.content {
                Content::Assertion(assertion) => Some(assertion),
                _ => None,
            });
        let aimed = self.aims.iter().filter_map(|aim| aim.assertion.as_ref());
        said.chain(aimed)
            .filter_map(|assertion| match assertion {
                Assertion::Convergence { error, .. } => Some(&error.limit),
                Assertion::Limit { value, .. } => value.number(),
                _ => None,
            })
            .chain(&self.lexicon.limit)
            .flat_map(Expr::unknown_functions)
            .collect()
    }
}

/// A function whose value is known where it was used before.
#[derive(Clone)]
struct Known {
    definition: Definition,
    /// It is the limit of a sequence.
    limit: bool,
    /// The letter is written with an index too.
    indexed: bool,
}

/// Whether an argument may be an index that was written below the name.
fn is_index(argument: &Expr) -> bool {
    argument
        .variables()
        .iter()
        .any(|name| matches!(name.as_str().chars().next(), Some('n' | 'm' | 'k' | 'j')))
}

fn resolve_assertion(assertion: &mut Assertion, known: &[Known]) {
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
        Assertion::Calculus(said) => {
            for subject in &mut said.subjects {
                subject.function = resolved(&subject.function, known);
            }
            said.slope.change(&mut |expr| resolved(expr, known));
            resolve_conditions(&mut said.conditions, known);
        }
    }
}

fn resolve_conditions(conditions: &mut [Condition], known: &[Known]) {
    for condition in conditions {
        *condition = condition.map(&mut |side| resolved(side, known));
    }
}

fn resolve_error(error: &mut ErrorTerm, known: &[Known]) {
    error.error = resolved(&error.error, known);
    error.term = resolved(&error.term, known);
    error.limit = resolved(&error.limit, known);
    resolve_conditions(&mut error.conditions, known);
}

/// The expression with every application of a known function unfolded.
fn resolved(expr: &Expr, known: &[Known]) -> Expr {
    if expr.unknown_functions().is_empty() {
        return expr.clone();
    }
    let inner = expr.map_children(&mut |child| resolved(child, known));
    let Node::Apply(name, arguments) = inner.node() else {
        return inner;
    };
    let found = known.iter().find(|known| {
        known.definition.name == *name && known.definition.parameters.len() == arguments.len()
    });
    match found {
        // f_n beside f(x) = x is a member of a sequence, not the value of f at n.
        Some(known) if known.indexed && arguments.iter().all(is_index) => inner,
        Some(known) => unfold(&known.definition, arguments),
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
