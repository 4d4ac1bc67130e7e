//! A name in words: where it comes from and on what it may depend.

use super::documents::Current;
use super::reading::Present;
use crate::aided::Named;
use crate::report::escape::one_line;
use crate::report::words;
use argument::Origin;
use checks::ClaimReport;
use kernel::Symbol;
use source::Span;
use source::text::position::LineIndex;

/// The name as its reader knows it: f_n where an index runs.
pub(crate) fn shown(named: &Named) -> String {
    let name = named.naming.name.as_str();
    if named.naming.indexed {
        format!("{name}_n")
    } else {
        name.to_owned()
    }
}

/// `chosen in line 7, may depend on ε`.
pub(crate) fn origin(present: &Present, named: &Named) -> String {
    let naming = &named.naming;
    let line = naming.places.get(naming.introduced).map_or(1, |place| {
        LineIndex::new(&present.text).report(place.span.start).line
    });
    match naming.origin {
        Origin::Chosen => format!("chosen in line {line}{}", dependence(&naming.may_depend)),
        Origin::Existing => format!("exists by line {line}{}", dependence(&naming.may_depend)),
        Origin::Arbitrary => format!("any value, fixed in line {line}"),
        Origin::Ranging => format!("any value that line {line} allows"),
        Origin::Inside => format!("bound inside of its formula in line {line}"),
        Origin::Defined => format!("defined in line {line}"),
        Origin::Given => format!("given, first in line {line}"),
    }
}

fn dependence(names: &[Symbol]) -> String {
    let names: Vec<&str> = names.iter().map(Symbol::as_str).collect();
    match names.as_slice() {
        [] => String::new(),
        [first @ .., last] if !first.is_empty() => {
            format!(", may depend on {} and {last}", first.join(", "))
        }
        _ => format!(", may depend on {}", names.concat()),
    }
}

/// What is told of a name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Line {
    /// Words.
    Words(String),
    /// A formula as typed.
    Formula(String),
}

/// What is told of the name at a byte: where it comes from, the formula that fixes it, and what
/// the latest review found out about that; a threshold that serves is among it.
pub(crate) fn lines(present: &Present, current: &Current, offset: usize) -> Option<Vec<Line>> {
    let (named, place) = present.name_at(offset)?;
    let naming = &named.naming;
    let mut told = vec![Line::Words(format!(
        "{}: {}.",
        shown(named),
        origin(present, named)
    ))];
    let introduced = naming.places.get(naming.introduced)?.span;
    let fixing = matches!(
        naming.origin,
        Origin::Chosen | Origin::Existing | Origin::Defined
    );
    let there = introduction(present, introduced).filter(|span| fixing && !span.contains(place));
    if let Some(text) = there.and_then(|span| present.text.get(span.range())) {
        told.push(Line::Formula(one_line(text)));
    }
    if let Some((index, claim)) = choice(current, introduced) {
        let verdict = claim.verdict.filter(|_| !claim.span.contains(place));
        if let Some(verdict) = verdict {
            told.push(Line::Words(format!(
                "This choice: {}.",
                words::verdict(verdict)
            )));
        }
        let findings = &current.reviewed.review.findings;
        let own = findings
            .iter()
            .filter(|finding| finding.claim == Some(index));
        told.extend(own.map(|finding| Line::Words(one_line(&finding.message))));
    }
    Some(told)
}

/// The formula that brings a name in.
fn introduction(present: &Present, place: Span) -> Option<Span> {
    let entries = present.reading.entries.iter();
    entries
        .map(|entry| entry.span)
        .filter(|span| span.contains(place))
        .max_by_key(|span| span.len())
}

/// The claim of the latest review by which the name at a place was chosen.
fn choice(current: &Current, place: Span) -> Option<(usize, &ClaimReport)> {
    let claims = current.reviewed.review.claims.iter().enumerate();
    claims
        .filter(|(_, claim)| claim.role.is_some_and(|role| role.word() == "choice"))
        .find(|(_, claim)| {
            let span = current.drift.newer(claim.span);
            span.is_some_and(|span| span.contains(place))
        })
}
