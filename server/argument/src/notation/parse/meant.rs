//! What a bracket means where the place tells: intervals, sequences.

use crate::notation::syntax::{Link, Name, Sign, Term, TermKind};

/// A term that is a whole statement: `(0, 1)` is an interval there, `(f_n)` a sequence.
pub(super) fn standing_alone(term: Term) -> Term {
    as_sequence(as_set(term))
}

/// The left side of a chain: a sequence as a whole before → and ∈, an interval before ⊂.
pub(super) fn before_sign(term: Term, links: &[Link]) -> Term {
    match links.first().map(|link| link.sign) {
        Some(Sign::TendsTo | Sign::TendsUniformlyTo | Sign::In) => as_sequence(term),
        Some(Sign::Subset) => as_set(term),
        _ => term,
    }
}

/// `(a, b)` as an open interval, also inside set operations.
pub(super) fn as_set(term: Term) -> Term {
    let Term { kind, range } = term;
    let kind = match kind {
        TermKind::Group(inner) => match inner.kind {
            TermKind::List(mut items) if items.len() == 2 => {
                let high = items.pop();
                let low = items.pop();
                match (low, high) {
                    (Some(low), Some(high)) => TermKind::Interval {
                        low: Box::new(low),
                        low_closed: false,
                        high: Box::new(high),
                        high_closed: false,
                    },
                    _ => TermKind::Unread("an interval lacks an end".to_owned()),
                }
            }
            TermKind::SetOperation { .. } => TermKind::Group(Box::new(as_set(*inner))),
            _ => TermKind::Group(inner),
        },
        TermKind::SetOperation {
            operator,
            left,
            right,
        } => TermKind::SetOperation {
            operator,
            left: Box::new(as_set(*left)),
            right: Box::new(as_set(*right)),
        },
        other => other,
    };
    Term { kind, range }
}

/// `(f_n)` as a sequence.
pub(super) fn as_sequence(term: Term) -> Term {
    let Term { kind, range } = term;
    let kind = match kind {
        TermKind::Group(inner) if is_indexed(&inner) => TermKind::Sequence {
            term: inner,
            index: None,
        },
        other => other,
    };
    Term { kind, range }
}

/// Whether a term is a name with an index, with or without arguments.
pub(super) fn is_indexed(term: &Term) -> bool {
    match &term.kind {
        TermKind::Name(Name {
            subscript: Some(index),
            ..
        }) => !matches!(index.kind, TermKind::Number(_)),
        TermKind::Juxtaposed(factors) => {
            factors.len() == 2
                && is_indexed(&factors[0])
                && matches!(factors[1].kind, TermKind::Group(_))
        }
        _ => false,
    }
}

pub(super) fn is_name_like(term: &Term) -> bool {
    match &term.kind {
        TermKind::Name(_) => true,
        TermKind::List(items) => items.iter().all(is_name_like),
        TermKind::Group(inner) | TermKind::Sequence { term: inner, .. } => is_name_like(inner),
        TermKind::SetOf(items) => items.len() == 1 && items.iter().all(is_name_like),
        _ => false,
    }
}

/// A capital name that is set equal to `(a, b)` names a set.
pub(super) fn names_a_set(term: &Term) -> bool {
    matches!(&term.kind, TermKind::Name(name)
        if name.base.chars().next().is_some_and(char::is_uppercase))
}
