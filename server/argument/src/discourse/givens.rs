//! Names that need no words in an argument: from the exercise, by habit, or unknown.

use super::entry::Reader;
use super::names::Use;
use super::outline::{Content, Given, Role};
use super::scope;
use kernel::{Condition, Expr, Kind, Node, Relation, Symbol};
use std::collections::BTreeSet;

impl Reader<'_> {
    /// Names that need no words: from the exercise, by habit, or unknown (then with the reason
    /// that protects what depends on them).
    pub(super) fn givens(&self) -> Vec<Given> {
        let mut free: BTreeSet<Symbol> = BTreeSet::new();
        let mut open: BTreeSet<Symbol> = BTreeSet::new();
        for proto in &self.protos {
            let names = scope::names_of(&proto.entry.content);
            let unread = matches!(proto.entry.content, Content::Unread { .. });
            if proto.entry.role.is_some_and(Role::is_claim) && !unread {
                let bound: BTreeSet<Symbol> = proto
                    .entry
                    .scope
                    .iter()
                    .filter_map(
                        |position| match &self.protos.get(*position)?.entry.content {
                            Content::Binding(binding) => Some(
                                binding
                                    .bound
                                    .iter()
                                    .map(|bound| bound.name.clone())
                                    .collect::<Vec<_>>(),
                            ),
                            _ => None,
                        },
                    )
                    .flatten()
                    .collect();
                let own: BTreeSet<Symbol> = match &proto.entry.content {
                    Content::Binding(binding) => binding
                        .bound
                        .iter()
                        .map(|bound| bound.name.clone())
                        .collect(),
                    _ => BTreeSet::new(),
                };
                open.extend(
                    names
                        .iter()
                        .filter(|name| !bound.contains(*name) && !own.contains(*name))
                        .cloned(),
                );
            }
            if !unread {
                free.extend(names);
            }
        }
        if let Some(error) = self.lexicon.current_error(false) {
            free.insert(error.index.clone());
            free.extend(error.points.iter().cloned());
            free.extend(error.error.variables());
        }
        let mut waiting: Vec<Symbol> = free.into_iter().collect();
        let mut done: BTreeSet<Symbol> = BTreeSet::new();
        let mut givens = Vec::new();
        while let Some(name) = waiting.pop() {
            if !done.insert(name.clone()) {
                continue;
            }
            let Some(given) = self.given(&name, open.contains(&name)) else {
                continue;
            };
            waiting.extend(given.conditions.iter().flat_map(Condition::variables));
            givens.push(given);
        }
        givens.sort_by(|a, b| a.name.cmp(&b.name));
        givens
    }

    fn given(&self, name: &Symbol, open: bool) -> Option<Given> {
        let usage = self.lexicon.names.usage_of(name);
        let kind = self.lexicon.vocabulary.kind(name).unwrap_or(match usage {
            Use::Index => Kind::Integer,
            _ => Kind::Real,
        });
        if usage == Use::Threshold && !self.lexicon.domains.contains_key(name) {
            return None;
        }
        if let Some(mut given) = self.lexicon.given(name, kind) {
            // Where ℕ begins with 0, what the text says of an index is all that holds.
            let told = self.lexicon.convention.zero_is_natural && !given.conditions.is_empty();
            if usage == Use::Index && given.kind == Kind::Integer && !told {
                let one = super::utter::at_least_one(name);
                if !given.conditions.contains(&one) {
                    given.conditions.insert(0, one);
                }
            }
            return Some(given);
        }
        let by_convention = |conditions| {
            Some(Given {
                name: name.clone(),
                kind,
                conditions,
                span: None,
                unread: None,
            })
        };
        let running = self.lexicon.family.as_ref().map(|family| &family.index);
        match usage {
            // The k of a sum, said alone: "k goes from 1 to n" stands in words or nowhere.
            Use::Index if open && running != Some(name) && self.is_index_of_sum(name) => {
                Some(Given {
                    name: name.clone(),
                    kind,
                    conditions: vec![super::utter::at_least_one(name)],
                    span: None,
                    unread: Some(format!(
                        "{name} is the index of a sum, and nothing says through which values it runs here"
                    )),
                })
            }
            Use::Index => by_convention(vec![super::utter::at_least_one(name)]),
            Use::Tolerance => by_convention(vec![Condition::Holds(
                Expr::variable(name),
                Relation::Greater,
                Expr::integer(0),
            )]),
            _ if open => Some(Given {
                name: name.clone(),
                kind,
                conditions: Vec::new(),
                span: None,
                unread: Some(format!("nothing says which values {name} takes")),
            }),
            _ => None,
        }
    }

    /// Whether a definition sums over the name.
    fn is_index_of_sum(&self, name: &Symbol) -> bool {
        self.lexicon.definitions.iter().any(|definition| {
            let mut found = false;
            definition.value.visit(&mut |part| {
                // The index of a series runs on without end.
                found |= match part.node() {
                    Node::Sum { index, to, .. } => index == name && to.is_some(),
                    Node::Product { index, .. } => index == name,
                    _ => false,
                };
            });
            found
        })
    }
}
