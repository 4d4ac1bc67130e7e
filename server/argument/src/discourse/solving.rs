//! Aims that are supposed and solved for a threshold: arguments that run backwards.

use super::entry::Reader;
use super::names::is_tolerance;
use super::outline::{Assertion, Content, Entry, ErrorTerm, Role, Run, Zone};
use super::scope;
use kernel::{Condition, Expr, Function, Node, Relation, Symbol};

impl Reader<'_> {
    /// "|a_n| < ε, so 1/n < ε, so n > 1/ε": the first is supposed, whether the text says so or
    /// not, and serves until something is chosen. Gives whether a role changed.
    pub(super) fn suppose_aims(&mut self, error: Option<&ErrorTerm>) -> bool {
        let entries: Vec<&Entry> = self.protos.iter().map(|proto| &proto.entry).collect();
        let mut supposed: Vec<usize> = Vec::new();
        let mut over = 0;
        for (position, entry) in entries.iter().enumerate() {
            // What follows within the same run is drawn from its first line.
            if position >= over
                && supposes(entry, &entries, error)
                && let Some((to, _)) = solved(&entries, position)
            {
                supposed.push(position);
                over = to + 1;
            }
        }
        for position in &supposed {
            let proto = &mut self.protos[*position];
            proto.entry.role = Some(Role::Assumption);
            proto.wished = true;
        }
        !supposed.is_empty()
    }

    /// Finds the scope of every entry.
    pub(super) fn find_scopes(&mut self) {
        let scopes = scope::scopes(&self.protos, &self.sentences);
        for (proto, scope) in self.protos.iter_mut().zip(scopes) {
            proto.entry.scope = scope;
        }
    }
}

/// The stretches of a proof that run from its aim to a threshold, in order.
pub(super) fn runs(entries: &[Entry], error: Option<&ErrorTerm>) -> Vec<Run> {
    let all: Vec<&Entry> = entries.iter().collect();
    let mut found: Vec<Run> = Vec::new();
    for (position, entry) in all.iter().enumerate() {
        let within = found.last().is_some_and(|run| position <= run.to);
        if entry.zone != Zone::Proof || within {
            continue;
        }
        let aim = match (&entry.content, entry.role) {
            (
                Content::Assertion(Assertion::Implication {
                    from, both: false, ..
                }),
                Some(Role::Step),
            ) => from.last().cloned(),
            (_, Some(Role::Assumption | Role::Condition)) => relation(entry),
            _ => None,
        };
        if let Some(aim) = aim.filter(|aim| is_wish(aim, error))
            && let Some((to, condition)) = solved(&all, position)
        {
            found.push(Run {
                from: position,
                to,
                aim,
                condition,
            });
        }
    }
    found
}

/// Whether a claim states the aim where nothing was chosen that could make it true.
fn supposes(entry: &Entry, entries: &[&Entry], error: Option<&ErrorTerm>) -> bool {
    let claimed = match entry.role {
        Some(Role::Assumption) => true,
        Some(Role::Step | Role::Reason) => {
            entry.chain.is_none_or(|(_, link)| link == 0)
                && !entry.scope.iter().any(|position| {
                    matches!(
                        entries[*position].role,
                        Some(Role::Choice | Role::Range | Role::Condition | Role::Assumption)
                    )
                })
        }
        _ => false,
    };
    entry.zone == Zone::Proof
        && claimed
        && entry.guard.is_none()
        && relation(entry).is_some_and(|wish| is_wish(&wish, error))
}

/// The last comparison of the index (or of the distance to the place) with the tolerance alone,
/// before something is chosen.
fn solved(entries: &[&Entry], from: usize) -> Option<(usize, Condition)> {
    let mut found = None;
    for (position, entry) in entries.iter().enumerate().skip(from) {
        let goes_on = matches!(
            entry.role,
            Some(Role::Step | Role::Aim | Role::Reason | Role::Mention | Role::Let) | None
        );
        if entry.zone != Zone::Proof || position > from && !goes_on {
            break;
        }
        let said = match &entry.content {
            Content::Assertion(Assertion::Implication { to, .. }) => to.last().cloned(),
            _ if position > from => relation(entry),
            _ => None,
        };
        if let Some(said) = said.filter(isolates) {
            found = Some((position, said));
        }
    }
    found
}

/// The relation that an entry states, as an assertion or as a restriction of a name.
fn relation(entry: &Entry) -> Option<Condition> {
    match &entry.content {
        Content::Assertion(Assertion::Relation {
            left,
            relation,
            right,
        }) => Some(Condition::Holds(left.clone(), *relation, right.clone())),
        Content::Binding(binding) => match binding.conditions.as_slice() {
            [.., last] => Some(last.clone()),
            [] => None,
        },
        _ => None,
    }
}

fn is_tolerance_name(name: &Symbol) -> bool {
    is_tolerance(name.as_str())
}

/// Whether a condition says that the error is below the tolerance.
fn is_wish(condition: &Condition, error: Option<&ErrorTerm>) -> bool {
    let Condition::Holds(left, Relation::Less | Relation::LessEqual, right) = condition else {
        return false;
    };
    let names = left.variables();
    right.as_variable().is_some_and(is_tolerance_name)
        && !names.is_empty()
        && !names.iter().any(is_tolerance_name)
        && match error {
            Some(error) => left.mentions(&error.index),
            None => {
                matches!(left.node(), Node::Call(Function::Abs, _))
                    || names
                        .iter()
                        .any(|name| matches!(name.as_str(), "n" | "m" | "k"))
            }
        }
}

/// Whether a condition compares a name, or the distance of a name to a place, with what depends
/// on the tolerance and not on that name.
fn isolates(condition: &Condition) -> bool {
    let Condition::Holds(left, relation, right) = condition else {
        return false;
    };
    let alone = |side: &Expr| -> Option<Symbol> {
        if let Some(name) = side.as_variable() {
            return Some(name.clone());
        }
        let Node::Call(Function::Abs, inside) = side.node() else {
            return None;
        };
        let mut names = inside.variables();
        let only = names.pop_first()?;
        let distance = matches!(inside.node(), Node::Add(_)) || inside.as_variable().is_some();
        (names.is_empty() && distance).then_some(only)
    };
    *relation != Relation::Equal
        && [(left, right), (right, left)]
            .into_iter()
            .any(|(side, other)| {
                alone(side).is_some_and(|name| {
                    !is_tolerance_name(&name)
                        && !other.mentions(&name)
                        && other.variables().iter().any(is_tolerance_name)
                })
            })
}
