//! A draft as it is read: with what the sheet says of its exercises, and with what its author put
//! into comments for us; every result points into the draft as typed.

mod edit;
mod note;
mod reading;
mod sheet;

use crate::settings::Course;
use checks::{Review, Severity, Tally, VerdictWord};
use edit::Edited;
pub(crate) use reading::{Named, Reading, read};
use scratch::exercise::Studied;
use source::{Companions, Format, Span};
use std::borrow::Cow;
use std::sync::atomic::AtomicBool;

/// A review, and what the sheet does not know of.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Aided {
    /// What the engine says.
    pub(crate) review: Review,
    /// Arguments that answer no exercise of the sheet (positions in the review), if it lists any.
    pub(crate) unmatched: Vec<usize>,
}

/// Reviews a draft of a course. `None` if the work was called off by `stop`.
pub(crate) fn review(
    draft: &str,
    format: Format,
    companions: &Companions,
    course: &Course,
    stop: &AtomicBool,
) -> Option<Aided> {
    let companions = &*with_macros(companions, course);
    let notes = note::find(draft, format);
    let noted = Edited::new(draft, notes.edits);
    let edits = sheet::edits(&noted.text, format, companions, course);
    let stated = Edited::new(&noted.text, edits);
    let mut review = checks::review(&stated.text, format, companions, &course.settings, stop)?;
    if !stated.is_plain() {
        put_back(&mut review, &stated, true);
    }
    if !noted.is_plain() {
        put_back(&mut review, &noted, false);
    }
    note::complain(&mut review, &notes.complaints, &course.settings);
    let unmatched = sheet::unmatched(&review, course);
    Some(Aided { review, unmatched })
}

/// What each argument of a draft is about, in the order of its review; `None` where that is no
/// sequence.
pub(crate) fn subjects(
    draft: &str,
    format: Format,
    companions: &Companions,
    course: &Course,
) -> Vec<Option<Studied>> {
    let companions = &*with_macros(companions, course);
    let noted = Edited::new(draft, note::find(draft, format).edits);
    let stated = Edited::new(
        &noted.text,
        sheet::edits(&noted.text, format, companions, course),
    );
    let mut all = scratch::exercise::subjects(scratch::exercise::Draft {
        text: &stated.text,
        format,
        companions,
        convention: &course.settings.convention,
    });
    for one in all.iter_mut().flatten() {
        let back = |span: &Span| stated.back(*span).and_then(|span| noted.back(span));
        one.spans = one.spans.iter().filter_map(back).collect();
    }
    all
}

/// A draft's companions, with the usual macros of its course.
pub(crate) fn with_macros<'a>(companions: &'a Companions, course: &Course) -> Cow<'a, Companions> {
    if course.macros.is_empty() {
        return Cow::Borrowed(companions);
    }
    let mut all = companions.clone();
    all.insert(source::COURSE.to_owned(), course.macros.clone());
    Cow::Owned(all)
}

/// Passages that comments of the author reject.
pub(crate) fn rejected(draft: &str, format: Format) -> Vec<Span> {
    note::find(draft, format).rejected
}

/// Makes a review of the edited text one of the text before. What is said of the edits themselves
/// has no place there: claims go, findings stand where the edit is, unless the sheet is to blame.
fn put_back(review: &mut Review, edited: &Edited, of_sheet: bool) {
    for argument in &mut review.arguments {
        argument.span = edited.place(argument.span);
        argument.tally = Tally::default();
    }
    let mut kept: Vec<Option<usize>> = Vec::with_capacity(review.claims.len());
    let mut next = 0;
    review.claims.retain_mut(|claim| {
        let span = edited.back(claim.span);
        claim.span = span.unwrap_or(claim.span);
        kept.push(span.map(|_| next));
        next += usize::from(span.is_some());
        span.is_some()
    });
    for claim in &review.claims {
        if let Some(argument) = review.arguments.get_mut(claim.argument) {
            let tally = &mut argument.tally;
            match claim.verdict {
                Some(VerdictWord::Proved) => tally.proved += 1,
                Some(VerdictWord::Refuted) => tally.refuted += 1,
                Some(VerdictWord::Unsettled) => tally.unsettled += 1,
                Some(VerdictWord::Unread) => tally.unread += 1,
                None => {}
            }
        }
    }
    review.findings.retain(|finding| {
        // How the sheet is read is told once, of the settings, and not in every script.
        !of_sheet || finding.severity < Severity::Hint || edited.back(finding.span).is_some()
    });
    for finding in &mut review.findings {
        finding.span = edited.place(finding.span);
        finding.claim = finding
            .claim
            .and_then(|claim| kept.get(claim).copied().flatten());
        for related in &mut finding.related {
            related.span = edited.place(related.span);
        }
        finding.replacement = finding.replacement.take().and_then(|mut replacement| {
            replacement.span = edited.back(replacement.span)?;
            Some(replacement)
        });
    }
    settle(review);
}

/// Findings argument by argument in a grader's order, and the first mistake of each.
fn settle(review: &mut Review) {
    review
        .findings
        .sort_by_key(|finding| (finding.argument, finding.severity));
    for (number, argument) in review.arguments.iter_mut().enumerate() {
        argument.first_finding = review.findings.iter().position(|finding| {
            finding.argument == number && finding.severity <= Severity::Warning
        });
    }
}

/// A span of one place.
fn nowhere(at: usize) -> Span {
    Span::new(at, at)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
