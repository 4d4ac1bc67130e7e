//! What every argument of a draft is about, whether it has a proof or not.

use super::{
    Draft, Part, Subject, about, aims, is_answered, place, seen, statement, subject, task, words,
};
use crate::seek::{End, Interval};
use argument::{Argument, Assertion, Content, Entry, Role};
use kernel::{Condition, Expr};
use source::Span;

/// An argument about a sequence, and where the draft speaks of its error term.
#[derive(Clone, PartialEq, Debug)]
pub struct Studied {
    /// The sequence.
    pub subject: Subject,
    /// The formulas that define it, that name the error term, or that say what it tends to.
    pub spans: Vec<Span>,
}

/// What each argument of the draft is about, in their order; `None` where that is no sequence, or
/// it is not understood.
#[must_use]
pub fn subjects(draft: Draft<'_>) -> Vec<Option<Studied>> {
    let (document, outline) = draft.read();
    let of = |argument: &Argument| {
        let named = argument.error.clone().map(|error| {
            let limit = Some(error.limit.clone());
            (error, limit)
        });
        let known = named.or_else(|| {
            aims(argument)
                .into_iter()
                .find_map(|own| seen(own, argument))
        });
        let subject = match known {
            Some((error, limit)) => about(&error, limit, argument),
            // A second reading of the whole draft is spent on exercises alone.
            None if is_answered(draft, &document, argument, Part::Both) => return None,
            None => {
                task(argument, &words(statement(draft, argument)))?;
                let own = place(draft, &document, &outline, argument);
                subject(draft, argument, own.at, &own.indent)
            }
        };
        let subject = subject.ok().filter(|own| !exceeds(own, argument))?;
        let spans = argument
            .entries
            .iter()
            .filter(|entry| speaks_of(entry, argument, &subject))
            .map(|entry| entry.span)
            .collect();
        Some(Studied { subject, spans })
    };
    outline.arguments.iter().map(of).collect()
}

/// Whether the domain of the error term is larger than the one that was given for its point: a
/// remark beside the proof speaks of more, and which of both is meant cannot be told.
fn exceeds(subject: &Subject, argument: &Argument) -> bool {
    let family = &subject.family;
    let own = &family.domain;
    argument
        .givens
        .iter()
        .filter(|given| given.span.is_some() && Some(&given.name) == family.point.as_ref())
        .filter_map(|given| {
            let conditions: Vec<&Condition> = given.conditions.iter().collect();
            Interval::of(&conditions, &given.name, &family.index)
        })
        .any(|given| {
            let beyond = |own: &Option<End>, given: &Option<End>, upper: bool| match (own, given) {
                (None, Some(_)) => true,
                (Some(own), Some(given)) => {
                    let ends = own.value.as_number().zip(given.value.as_number());
                    ends.is_some_and(|(own, given)| if upper { given < own } else { own < given })
                }
                (_, None) => false,
            };
            beyond(&own.low, &given.low, false) || beyond(&own.high, &given.high, true)
        })
}

fn speaks_of(entry: &Entry, argument: &Argument, subject: &Subject) -> bool {
    let term = &subject.family.term;
    match &entry.content {
        Content::Definition(position) => argument
            .definitions
            .get(*position)
            .is_some_and(|definition| definition.value == *term),
        Content::Assertion(Assertion::Convergence { error, .. }) => error.term == *term,
        Content::Assertion(Assertion::Limit { term: own, .. }) => {
            own == term && entry.role != Some(Role::Assumption)
        }
        Content::Assertion(Assertion::Relation { left, right, .. }) => {
            subject.limit.as_ref().is_some_and(|limit| {
                let mut errors = vec![term.minus(limit).abs()];
                if *limit == Expr::integer(0) {
                    errors.extend([term.abs(), term.clone()]);
                }
                errors.contains(left) || errors.contains(right)
            })
        }
        _ => false,
    }
}
