//! What is in force where: bindings with their lifetime, ranges, choices, assumptions.

use super::entry::{Proto, SentenceFacts};
use super::outline::{Assertion, Content, Role, Zone};
use kernel::Symbol;

/// The entries in force at every entry, as positions.
pub(super) fn scopes(protos: &[Proto], sentences: &[SentenceFacts]) -> Vec<Vec<usize>> {
    (0..protos.len())
        .map(|at| scope(protos, sentences, at))
        .collect()
}

fn scope(protos: &[Proto], sentences: &[SentenceFacts], at: usize) -> Vec<usize> {
    let here = &protos[at];
    let mut in_force: Vec<usize> = (0..protos.len())
        .filter(|other| *other != at && applies(protos, sentences, at, *other))
        .collect();
    drop_rebound(protos, here, &mut in_force);
    drop_own_names(protos, here, &mut in_force);
    in_force
}

/// Whether the entry `other` governs the entry `at`, rebinding aside.
fn applies(protos: &[Proto], sentences: &[SentenceFacts], at: usize, other: usize) -> bool {
    let (here, there) = (&protos[at], &protos[other]);
    let zone = |proto: &Proto| proto.entry.zone;
    if matches!(
        there.entry.content,
        Content::Mention | Content::Definition(_)
    ) {
        return false;
    }
    let unread = matches!(there.entry.content, Content::Unread { .. });
    let Some(role) = there.entry.role else {
        return false;
    };
    let same_sentence = here.sentence == there.sentence;
    if zone(there) == Zone::Statement && !same_sentence {
        // What the exercise says is given by name; what of it was not read protects.
        return unread && matches!(role, Role::Let | Role::Assumption | Role::Definition);
    }
    if zone(there) == Zone::Scratch && zone(here) == Zone::Proof {
        return role == Role::Choice && !unread && !chosen_again(protos, there);
    }
    if zone(there) == Zone::Proof && zone(here) == Zone::Scratch && !same_sentence {
        return false;
    }
    match role {
        Role::Let => same_sentence || other < at,
        Role::Definition => unread && (same_sentence || other < at),
        Role::Choice => {
            same_sentence && there.reach >= here.reach && names_shared(here, there) || other < at
        }
        Role::Assumption => {
            other < at && (same_sentence || !case_over(protos, sentences, there, here))
        }
        Role::Rejected => {
            is_supposition(there) && other < at && !discharged(sentences, there, here)
        }
        Role::Range | Role::Condition => range_applies(protos, sentences, at, other),
        _ => false,
    }
}

fn names_shared(here: &Proto, there: &Proto) -> bool {
    let names = names_of(&here.entry.content);
    there.speaks_of.iter().any(|name| names.contains(name))
}

/// A contradiction assumption, not a claim that was quoted to be refuted.
fn is_supposition(there: &Proto) -> bool {
    !there.local
}

fn discharged(sentences: &[SentenceFacts], there: &Proto, here: &Proto) -> bool {
    sentences.iter().enumerate().any(|(position, facts)| {
        facts.discharges && there.sentence <= position && position < here.sentence
    })
}

fn case_over(protos: &[Proto], sentences: &[SentenceFacts], there: &Proto, here: &Proto) -> bool {
    if !there.case {
        return false;
    }
    let next_case = protos.iter().any(|proto| {
        proto.case && proto.sentence > there.sentence && proto.sentence <= here.sentence
    });
    let done = sentences.iter().enumerate().any(|(position, facts)| {
        facts.cases_done && there.sentence < position && position <= here.sentence
    });
    let closing = sentences
        .get(here.sentence)
        .is_some_and(|facts| facts.opens_paragraph)
        && here.entry.role == Some(Role::Conclusion);
    next_case || done || closing
}

/// Whether another choice of the same name stands in the proof.
fn chosen_again(protos: &[Proto], there: &Proto) -> bool {
    protos.iter().any(|proto| {
        proto.entry.zone == Zone::Proof
            && proto.entry.role == Some(Role::Choice)
            && proto
                .speaks_of
                .iter()
                .any(|name| there.speaks_of.contains(name))
    })
}

fn range_applies(protos: &[Proto], sentences: &[SentenceFacts], at: usize, other: usize) -> bool {
    let (here, there) = (&protos[at], &protos[other]);
    if here.sentence == there.sentence {
        if there.backward {
            return there.reach <= here.reach;
        }
        // A range serves what follows it in the sentence, and its own stretch.
        return other < at && there.reach <= here.reach
            || here.reach == there.reach && !is_binding(here) && other < at;
    }
    if other > at || there.local || !claims_something(protos, there.sentence) {
        return false;
    }
    let condition =
        there.entry.role == Some(Role::Condition) || there.conditional || sets_equal(there);
    // Carried on: every sentence since must carry on (so, hence), or, for a range at the head of
    // its sentence, stand in the same paragraph.
    (there.sentence + 1..=here.sentence).all(|position| {
        sentences.get(position).is_some_and(|facts| {
            !facts.restarts
                && (facts.carries_on && !facts.opens_paragraph
                    || !there.backward && !condition && !facts.opens_paragraph
                    || facts.carries_on && !there.backward && !condition)
        })
    })
}

/// Whether the sentence asserts something: "if 1/n < ε we are done" does not, and binds nothing.
fn claims_something(protos: &[Proto], sentence: usize) -> bool {
    protos.iter().any(|proto| {
        proto.sentence == sentence
            && matches!(
                proto.entry.role,
                Some(Role::Step | Role::Reason | Role::Conclusion)
            )
    })
}

/// "for n = 1", "at x = 0": a case, not a range that lasts.
fn sets_equal(proto: &Proto) -> bool {
    matches!(&proto.entry.content, Content::Binding(binding) if binding.conditions.iter().any(|condition| {
        matches!(condition, kernel::Condition::Holds(_, kernel::Relation::Equal, _))
    }))
}

fn is_binding(proto: &Proto) -> bool {
    matches!(proto.entry.content, Content::Binding(_))
}

/// Keeps of several bindings of a name only the latest.
fn drop_rebound(protos: &[Proto], here: &Proto, in_force: &mut Vec<usize>) {
    let all = in_force.clone();
    in_force.retain(|other| {
        let there = &protos[*other];
        let names = bound_names(there);
        if names.is_empty() {
            // A restriction of a name that was bound anew since speaks of the old one.
            return !all.iter().any(|later| {
                is_later(protos, here, *later, *other)
                    && !there.speaks_of.is_empty()
                    && there.entry.role != Some(Role::Assumption)
                    && there.entry.role != Some(Role::Choice)
                    && there
                        .speaks_of
                        .iter()
                        .all(|name| bound_names(&protos[*later]).contains(name))
            });
        }
        !all.iter().any(|later| {
            is_later(protos, here, *later, *other)
                && names
                    .iter()
                    .all(|name| bound_names(&protos[*later]).contains(name))
        })
    });
}

/// Whether `later` binds after `other`: by the text, but a range behind the claim binds last.
fn is_later(protos: &[Proto], here: &Proto, later: usize, other: usize) -> bool {
    if later == other {
        return false;
    }
    let order = |position: usize| {
        let proto = &protos[position];
        let behind = proto.backward && proto.sentence == here.sentence;
        (behind, position)
    };
    order(later) > order(other)
}

fn bound_names(proto: &Proto) -> Vec<Symbol> {
    match &proto.entry.content {
        Content::Binding(binding) => binding
            .bound
            .iter()
            .map(|bound| bound.name.clone())
            .collect(),
        Content::Unread { .. } if !proto.speaks_of.is_empty() => proto.speaks_of.clone(),
        _ => Vec::new(),
    }
}

/// A statement about all points and indices is not under bindings of its own names.
fn drop_own_names(protos: &[Proto], here: &Proto, in_force: &mut Vec<usize>) {
    let pointwise = matches!(&here.entry.content, Content::Assertion(Assertion::Convergence { error, .. }) if !error.uniform);
    let own: Vec<Symbol> = match &here.entry.content {
        Content::Assertion(Assertion::Convergence { error, .. }) => {
            let mut names = error.points.clone();
            names.push(error.index.clone());
            names
        }
        Content::Assertion(Assertion::Limit { variable, .. }) => vec![variable.clone()],
        Content::Assertion(Assertion::Extremum { points, .. }) => points.clone(),
        _ => return,
    };
    in_force.retain(|other| {
        let there = &protos[*other];
        let about_own =
            !there.speaks_of.is_empty() && there.speaks_of.iter().all(|name| own.contains(name));
        let assumed = there.entry.role == Some(Role::Assumption) && there.case;
        // "Fix x > 0. Then f_n(x) → 0": pointwise, the fixed point stays fixed.
        let fixed = pointwise
            && (there.entry.role == Some(Role::Let) || there.sentence == here.sentence)
            && !index_only(there, &own);
        !about_own || assumed || fixed
    });
}

/// Whether the entry speaks of the index alone, which stands last among the names.
fn index_only(there: &Proto, own: &[Symbol]) -> bool {
    own.last()
        .is_some_and(|index| there.speaks_of.iter().all(|name| name == index))
}

/// The names that a content speaks of.
pub(super) fn names_of(content: &Content) -> Vec<Symbol> {
    let mut found = std::collections::BTreeSet::new();
    match content {
        Content::Assertion(assertion) => match assertion {
            Assertion::Relation { left, right, .. } => {
                found.extend(left.variables());
                found.extend(right.variables());
            }
            Assertion::All(conditions) => {
                found.extend(conditions.iter().flat_map(kernel::Condition::variables))
            }
            Assertion::Implication { from, to, .. } => {
                found.extend(from.iter().chain(to).flat_map(kernel::Condition::variables));
            }
            Assertion::Limit {
                term,
                variable,
                value,
                ..
            } => {
                found.extend(term.variables());
                found.extend(value.iter().flat_map(kernel::Expr::variables));
                found.remove(variable);
            }
            Assertion::Extremum {
                term,
                value,
                points,
                conditions,
                ..
            } => {
                found.extend(term.variables());
                found.extend(value.variables());
                found.extend(conditions.iter().flat_map(kernel::Condition::variables));
                for point in points {
                    found.remove(point);
                }
            }
            Assertion::Convergence { error, .. } => {
                found.extend(error.error.variables());
                found.extend(
                    error
                        .conditions
                        .iter()
                        .flat_map(kernel::Condition::variables),
                );
                found.remove(&error.index);
                for point in &error.points {
                    found.remove(point);
                }
            }
        },
        Content::Binding(binding) => {
            found.extend(binding.bound.iter().map(|bound| bound.name.clone()));
            found.extend(
                binding
                    .conditions
                    .iter()
                    .flat_map(kernel::Condition::variables),
            );
        }
        Content::Unread { names, .. } => found.extend(names.iter().cloned()),
        Content::Definition(_) | Content::Mention => {}
    }
    found.into_iter().collect()
}
