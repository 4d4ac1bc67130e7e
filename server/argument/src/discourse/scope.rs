//! What is in force where: bindings with their lifetime, ranges, choices, assumptions.

use super::entry::{Proto, SentenceFacts};
use super::outline::{Assertion, Content, Role, Slope, Toward, Zone};
use kernel::{Condition, Symbol};

/// The entries in force at every entry, as positions.
///
/// One walk through the entries; what a later binding replaced, or a later sentence ended, is
/// left behind, so that long arguments cost no more per entry than short ones.
pub(super) fn scopes(protos: &[Proto], sentences: &[SentenceFacts]) -> Vec<Vec<usize>> {
    let late = first_choices(protos);
    let mut alive: Vec<usize> = Vec::new();
    let mut found = Vec::with_capacity(protos.len());
    let mut sentence = 0;
    let mut sentence_end = 0;
    for (at, here) in protos.iter().enumerate() {
        if sentence_end <= at {
            let of_sentence = |proto: &&Proto| proto.sentence == here.sentence;
            sentence_end = at + protos[at..].iter().take_while(of_sentence).count();
        }
        while sentence < here.sentence {
            sentence += 1;
            if let Some(facts) = sentences.get(sentence) {
                alive.retain(|other| {
                    !is_range(&protos[*other]) || lasts_into(&protos[*other], facts)
                });
            }
        }
        let later = late
            .iter()
            .copied()
            .filter(|choice| sentence_end <= *choice);
        let mut in_force: Vec<usize> = alive
            .iter()
            .copied()
            .chain(at + 1..sentence_end)
            .chain(later)
            .filter(|other| applies(protos, sentences, at, *other))
            .collect();
        drop_other_cases(protos, at, &mut in_force);
        drop_rebound(protos, at, &mut in_force);
        drop_own_names(protos, here, &mut in_force);
        found.push(in_force);
        if governs(here) {
            replace(protos, at, &mut alive);
            alive.push(at);
        }
    }
    found
}

/// Whether the entry can be in force anywhere.
fn governs(proto: &Proto) -> bool {
    let idle = matches!(
        proto.entry.content,
        Content::Mention | Content::Motion { .. } | Content::Definition(_)
    );
    !idle
        && matches!(
            proto.entry.role,
            Some(
                Role::Let
                    | Role::Definition
                    | Role::Choice
                    | Role::Assumption
                    | Role::Rejected
                    | Role::Range
                    | Role::Condition
            )
        )
}

/// Leaves behind the lets and choices of which the entry at `at` binds every name anew.
fn replace(protos: &[Proto], at: usize, alive: &mut Vec<usize>) {
    let here = &protos[at];
    if !matches!(here.entry.role, Some(Role::Let | Role::Choice)) {
        return;
    }
    let names = bound_names(here);
    alive.retain(|other| {
        let there = &protos[*other];
        let replaceable = matches!(there.entry.role, Some(Role::Let | Role::Choice))
            && there.entry.zone == here.entry.zone
            && there.sentence < here.sentence;
        let before = bound_names(there);
        !(replaceable && !before.is_empty() && before.iter().all(|name| names.contains(name)))
    });
}

/// For every zone and name the first choice of it, if nothing before introduces the name.
fn first_choices(protos: &[Proto]) -> Vec<usize> {
    let mut seen: Vec<(Zone, Symbol)> = Vec::new();
    let mut found = Vec::new();
    for (position, proto) in protos.iter().enumerate() {
        if !matches!(proto.entry.role, Some(Role::Choice | Role::Let)) || fixes_number(proto) {
            continue;
        }
        for name in &proto.speaks_of {
            let key = (proto.entry.zone, name.clone());
            if !seen.contains(&key) {
                seen.push(key);
                if proto.entry.role == Some(Role::Choice) {
                    found.push(position);
                }
            }
        }
    }
    found.dedup();
    found
}

/// "so with ε = 1/2 it fails": an instance, which says nothing of what stands before it.
fn fixes_number(proto: &Proto) -> bool {
    matches!(&proto.entry.content, Content::Binding(binding)
    if !binding.conditions.is_empty()
        && binding.conditions.iter().all(|condition| matches!(
            condition,
            kernel::Condition::Holds(left, kernel::Relation::Equal, right)
                if left.as_variable().is_some() && right.variables().is_empty()
        )))
}

fn is_let(proto: &Proto) -> bool {
    proto.entry.role == Some(Role::Let)
}

fn is_range(proto: &Proto) -> bool {
    matches!(proto.entry.role, Some(Role::Range | Role::Condition))
}

/// Whether a range goes on into a later sentence: carried on (so, hence) in the same paragraph,
/// or, where it stood at the head of its sentence, anywhere in that paragraph or carried on.
fn lasts_into(there: &Proto, facts: &SentenceFacts) -> bool {
    let condition =
        there.entry.role == Some(Role::Condition) || there.conditional || sets_equal(there);
    let leading = !there.backward && !condition;
    !facts.restarts
        && (facts.carries_on && !facts.opens_paragraph
            || leading && (!facts.opens_paragraph || facts.carries_on))
}

/// Whether the entry `other` governs the entry `at`, rebinding aside.
fn applies(protos: &[Proto], sentences: &[SentenceFacts], at: usize, other: usize) -> bool {
    let (here, there) = (&protos[at], &protos[other]);
    let zone = |proto: &Proto| proto.entry.zone;
    if matches!(
        there.entry.content,
        Content::Mention | Content::Motion { .. } | Content::Definition(_)
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
            other < at
                || same_sentence && there.reach >= here.reach && names_shared(here, there)
                || at < other
                    && !unread
                    && names_shared(here, there)
                    && only_choice(protos, there, at)
        }
        Role::Assumption => {
            let chosen = || {
                protos[other..=at]
                    .iter()
                    .any(|proto| proto.entry.role == Some(Role::Choice))
            };
            other < at
                && !(there.wished && chosen())
                && (same_sentence || !case_over(protos, sentences, there, here))
        }
        Role::Rejected => {
            is_supposition(there) && other < at && !discharged(sentences, there, here)
        }
        Role::Range | Role::Condition => range_applies(protos, sentences, at, other),
        _ => false,
    }
}

/// Whether nothing before `at` introduces what the choice picks: "… < ε for n ≥ N. Here we
/// choose N > 1/ε" picks what was used before.
fn only_choice(protos: &[Proto], there: &Proto, at: usize) -> bool {
    let before = protos[..at].iter().any(|proto| {
        proto.entry.zone == there.entry.zone
            && matches!(
                proto.entry.role,
                Some(Role::Choice | Role::Let | Role::Range | Role::Condition)
            )
            && there
                .speaks_of
                .iter()
                .any(|name| proto.speaks_of.contains(name))
    });
    !before && there.entry.zone == protos[at].entry.zone
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
    // "For n = 1 …, and if a_n ≤ 2, then …": the case is over where the next condition stands.
    if sets_equal(there)
        && other < at
        && protos[other + 1..at].iter().any(|between| {
            (is_range(between) || between.entry.role == Some(Role::Assumption))
                && !sets_equal(between)
                && names_shared(between, there)
        })
    {
        return false;
    }
    if here.sentence == there.sentence {
        if there.backward {
            // "N_2 with … for all n ≥ N_2, x ∈ A, and let N = max{N_1, N_2}": picked once for all.
            if other < at && here.entry.role == Some(Role::Choice) {
                return false;
            }
            // "A ≤ 5|x|, because |x|³ ≤ |x| for |x| < 1": said of the reason.
            let reason = protos[..other]
                .iter()
                .rposition(|proto| {
                    proto.sentence == there.sentence
                        && matches!(
                            proto.entry.role,
                            Some(Role::Step | Role::Reason | Role::Conclusion)
                        )
                })
                .filter(|last| protos[*last].entry.role == Some(Role::Reason));
            return there.reach <= here.reach && reason.is_none_or(|reason| reason <= at);
        }
        // A range serves what follows it in the sentence, and its own stretch.
        return other < at && there.reach <= here.reach
            || here.reach == there.reach && !is_binding(here) && other < at;
    }
    if other > at
        || there.local
        || !sentences
            .get(there.sentence)
            .is_some_and(|facts| facts.claims)
    {
        return false;
    }
    sentences
        .get(there.sentence + 1..=here.sentence)
        .is_some_and(|between| between.iter().all(|facts| lasts_into(there, facts)))
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

/// "For x ≠ 0 we have A, which holds for x = 0 too": of cases that exclude each other one governs a
/// claim: the latest at whose head it stands, else the first one behind it.
fn drop_other_cases(protos: &[Proto], at: usize, in_force: &mut Vec<usize>) {
    let is_case = |position: usize| is_range(&protos[position]) || is_let(&protos[position]);
    let goes_before = |own: usize, other: usize| match (own < at, other < at) {
        (true, true) => other < own && is_range(&protos[own]) && !protos[own].backward,
        (true, false) => heads(protos, own, at),
        (false, true) => protos[other].backward,
        (false, false) => own < other,
    };
    let cases: Vec<usize> = in_force
        .iter()
        .copied()
        .filter(|own| is_case(*own))
        .collect();
    in_force.retain(|other| {
        let replaced = |own: &usize| {
            goes_before(*own, *other) && exclude_each_other(&protos[*own], &protos[*other])
        };
        !(is_case(*other) && cases.iter().any(replaced))
    });
}

/// Whether the first claim behind a case, in the claim's sentence, is the one at `at`: "for x > 0 we
/// have A, and B if x ≤ 0" says B of its own case.
fn heads(protos: &[Proto], case: usize, at: usize) -> bool {
    let here = &protos[at];
    !protos[case].backward
        && protos[case + 1..at].iter().all(|between| {
            between.sentence != here.sentence
                || !between.entry.role.is_some_and(Role::is_claim)
                || between
                    .entry
                    .chain
                    .is_some_and(|(chain, _)| here.entry.chain.is_some_and(|(own, _)| own == chain))
        })
}

/// Whether two entries compare the same things so that both cannot hold: `x = 0`, `x ≠ 0`.
fn exclude_each_other(one: &Proto, other: &Proto) -> bool {
    use std::cmp::Ordering::{Equal, Greater, Less};
    let disjoint = |relation: kernel::Relation, own: kernel::Relation| {
        [Less, Equal, Greater]
            .into_iter()
            .all(|ordering| !(relation.admits(ordering) && own.admits(ordering)))
    };
    conditions_of(&one.entry.content).iter().any(|condition| {
        let Condition::Holds(left, relation, right) = condition else {
            return false;
        };
        conditions_of(&other.entry.content)
            .iter()
            .any(|own| match own {
                Condition::Holds(a, own, b) if (a, b) == (left, right) => disjoint(*relation, *own),
                Condition::Holds(a, own, b) if (b, a) == (left, right) => {
                    disjoint(*relation, own.flipped())
                }
                _ => false,
            })
    })
}

/// What a binding or a condition restricts.
fn conditions_of(content: &Content) -> &[Condition] {
    match content {
        Content::Binding(binding) => &binding.conditions,
        Content::Assertion(Assertion::All(conditions)) => conditions,
        _ => &[],
    }
}

/// Keeps of several bindings of a name only the latest.
fn drop_rebound(protos: &[Proto], at: usize, in_force: &mut Vec<usize>) {
    let all = in_force.clone();
    in_force.retain(|other| {
        let there = &protos[*other];
        let names = bound_names(there);
        if names.is_empty() {
            // A restriction of a name that was bound anew since speaks of the old one.
            return !all.iter().any(|later| {
                is_later(protos, at, *later, *other)
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
            is_later(protos, at, *later, *other)
                && names
                    .iter()
                    .all(|name| bound_names(&protos[*later]).contains(name))
        })
    });
}

/// Whether `later` binds after `other`: by the text, but a range behind the claim binds last.
fn is_later(protos: &[Proto], at: usize, later: usize, other: usize) -> bool {
    if later == other {
        return false;
    }
    let here = &protos[at];
    let order = |position: usize| {
        let proto = &protos[position];
        // Of the ranges behind a claim the first one is its own.
        let behind = proto.backward && proto.sentence == here.sentence && position > at;
        if behind {
            (true, usize::MAX - position)
        } else {
            (false, position)
        }
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
    let pointwise = matches!(&here.entry.content, Content::Assertion(Assertion::Convergence { error, .. } | Assertion::Series { terms: error, .. }) if !error.uniform);
    let own: Vec<Symbol> = match &here.entry.content {
        Content::Assertion(
            Assertion::Convergence { error, .. } | Assertion::Series { terms: error, .. },
        ) => {
            let mut names = error.points.clone();
            names.push(error.index.clone());
            names
        }
        // What is said of a real variable alone is its domain.
        Content::Assertion(Assertion::Limit {
            variable,
            toward: Toward::Infinity,
            ..
        }) => vec![variable.clone()],
        Content::Assertion(Assertion::Extremum { points, .. }) => points.clone(),
        // A claim about a function is one about its whole domain, wherever its variable was fixed.
        Content::Assertion(Assertion::Calculus(said))
            if !matches!(said.slope, Slope::Derivative { .. }) =>
        {
            vec![said.point.clone()]
        }
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
        !about_own || assumed || fixed || keeps_to_a_subsequence(&there.entry.content)
    });
}

/// "for even n": a limit is then one along these indices.
fn keeps_to_a_subsequence(content: &Content) -> bool {
    let divides = |condition: &Condition| matches!(condition, Condition::Integer(value) if value.as_variable().is_none());
    conditions_of(content).iter().any(divides)
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
                found.extend(value.number().into_iter().flat_map(kernel::Expr::variables));
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
            Assertion::Calculus(said) => {
                found.extend(said.names());
                found.remove(&said.point);
            }
            Assertion::Convergence { error, .. } | Assertion::Series { terms: error, .. } => {
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
        Content::Definition(_) | Content::Mention | Content::Motion { .. } => {}
    }
    found.into_iter().collect()
}
