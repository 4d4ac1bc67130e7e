//! The report for programs: one JSON object, to the letter of the contract.

use crate::merge::Positions;
use crate::run::{ReviewedDraft, Run};
use checks::{ArgumentReport, ClaimReport, Finding, Related, Replacement, Shown, Tally};
use serde::ser::{Serialize, SerializeMap, Serializer};
use source::Span;
use source::text::position::LineIndex;

/// The contract's number: raised only if a key goes or changes its meaning.
const FORMAT: u32 = 1;

/// The report as text, with a newline at its end.
///
/// # Errors
/// If a value cannot be written as JSON, which no value here does.
pub(crate) fn render(run: &Run) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(&report(run))?;
    text.push('\n');
    Ok(text)
}

#[derive(serde::Serialize)]
struct Report<'run> {
    format: u32,
    program: Program,
    drafts: Vec<DraftEntry<'run>>,
    totals: TotalsEntry,
    skipped: Vec<SkippedEntry<'run>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shard: Option<&'run Positions>,
}

#[derive(serde::Serialize)]
struct Program {
    name: &'static str,
    version: &'static str,
}

#[derive(serde::Serialize)]
struct DraftEntry<'run> {
    path: &'run str,
    arguments: Vec<ArgumentEntry<'run>>,
    claims: Vec<ClaimEntry<'run>>,
    findings: Vec<FindingEntry<'run>>,
}

#[derive(serde::Serialize)]
struct Place {
    line: usize,
    column: usize,
}

#[derive(serde::Serialize)]
struct ArgumentEntry<'run> {
    title: Option<&'run str>,
    aim: Option<&'run str>,
    start: Place,
    end: Place,
    tally: TallyEntry,
    established: Option<bool>,
    first_finding: Option<usize>,
    /// Whether it answers an exercise of the sheet; null without a sheet.
    on_sheet: Option<bool>,
}

#[derive(serde::Serialize)]
struct TallyEntry {
    proved: usize,
    refuted: usize,
    unsettled: usize,
    unread: usize,
}

#[derive(serde::Serialize)]
struct ClaimEntry<'run> {
    start: Place,
    end: Place,
    text: &'run str,
    reading: Option<&'run str>,
    role: Option<&'static str>,
    verdict: Option<&'static str>,
    evidence: Option<&'run str>,
    argument: usize,
}

#[derive(serde::Serialize)]
struct FindingEntry<'run> {
    check: &'static str,
    severity: &'static str,
    start: Place,
    end: Place,
    message: &'run str,
    counterexample: Option<ShownEntry<'run>>,
    related: Vec<RelatedEntry<'run>>,
    replacement: Option<ReplacementEntry<'run>>,
    argument: usize,
    claim: Option<usize>,
}

#[derive(serde::Serialize)]
struct ShownEntry<'run> {
    values: Values<'run>,
    left: &'run str,
    right: &'run str,
}

/// Names and values as an object whose keys keep the draft's order.
struct Values<'run>(&'run [(String, String)]);

impl Serialize for Values<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (name, value) in self.0 {
            map.serialize_entry(name, value)?;
        }
        map.end()
    }
}

#[derive(serde::Serialize)]
struct RelatedEntry<'run> {
    start: Place,
    end: Place,
    message: &'run str,
}

#[derive(serde::Serialize)]
struct ReplacementEntry<'run> {
    text: &'run str,
    start: Place,
    end: Place,
}

#[derive(serde::Serialize)]
struct TotalsEntry {
    drafts: usize,
    proved: usize,
    refuted: usize,
    unsettled: usize,
    unread: usize,
    errors: usize,
    warnings: usize,
}

#[derive(serde::Serialize)]
struct SkippedEntry<'run> {
    path: &'run str,
    reason: &'run str,
}

fn report(run: &Run) -> Report<'_> {
    let totals = run.totals();
    Report {
        format: FORMAT,
        program: Program {
            name: "majorant",
            version: env!("CARGO_PKG_VERSION"),
        },
        drafts: run.drafts.iter().map(draft).collect(),
        totals: TotalsEntry {
            drafts: totals.drafts,
            proved: totals.tally.proved,
            refuted: totals.tally.refuted,
            unsettled: totals.tally.unsettled,
            unread: totals.tally.unread,
            errors: totals.errors,
            warnings: totals.warnings,
        },
        skipped: run
            .skipped
            .iter()
            .map(|skipped| SkippedEntry {
                path: &skipped.path,
                reason: &skipped.reason,
            })
            .collect(),
        shard: run.shard.as_ref(),
    }
}

fn draft(reviewed: &ReviewedDraft) -> DraftEntry<'_> {
    let text = reviewed.draft.text.as_str();
    let lines = LineIndex::new(text);
    let review = &reviewed.review;
    DraftEntry {
        path: &reviewed.draft.path,
        arguments: review
            .arguments
            .iter()
            .enumerate()
            .map(|(number, one)| argument(one, on_sheet(reviewed, number), &lines))
            .collect(),
        claims: review
            .claims
            .iter()
            .map(|one| claim(one, text, &lines))
            .collect(),
        findings: review
            .findings
            .iter()
            .map(|one| finding(one, &lines))
            .collect(),
    }
}

fn places(span: Span, lines: &LineIndex<'_>) -> (Place, Place) {
    let place = |offset| {
        let position = lines.report(offset);
        Place {
            line: position.line,
            column: position.column,
        }
    };
    (place(span.start), place(span.end))
}

/// Whether an argument answers an exercise of the sheet, if there is a sheet.
fn on_sheet(reviewed: &ReviewedDraft, argument: usize) -> Option<bool> {
    let listed = !reviewed.draft.course.exercises.is_empty();
    listed.then(|| !reviewed.unmatched.contains(&argument))
}

fn argument<'run>(
    report: &'run ArgumentReport,
    on_sheet: Option<bool>,
    lines: &LineIndex<'_>,
) -> ArgumentEntry<'run> {
    let (start, end) = places(report.span, lines);
    let Tally {
        proved,
        refuted,
        unsettled,
        unread,
    } = report.tally;
    ArgumentEntry {
        title: report.title.as_deref(),
        aim: report.aim.as_deref(),
        start,
        end,
        tally: TallyEntry {
            proved,
            refuted,
            unsettled,
            unread,
        },
        established: report.established,
        first_finding: report.first_finding,
        on_sheet,
    }
}

fn claim<'run>(
    report: &'run ClaimReport,
    text: &'run str,
    lines: &LineIndex<'_>,
) -> ClaimEntry<'run> {
    let (start, end) = places(report.span, lines);
    ClaimEntry {
        start,
        end,
        text: text.get(report.span.range()).unwrap_or_default(),
        reading: report.reading.as_deref(),
        role: report.role.map(|role| role.word()),
        verdict: report.verdict.map(|verdict| verdict.word()),
        evidence: report.evidence.as_deref(),
        argument: report.argument,
    }
}

fn finding<'run>(finding: &'run Finding, lines: &LineIndex<'_>) -> FindingEntry<'run> {
    let (start, end) = places(finding.span, lines);
    FindingEntry {
        check: finding.check.name,
        severity: finding.severity.word(),
        start,
        end,
        message: &finding.message,
        counterexample: finding.counterexample.as_ref().map(shown),
        related: finding
            .related
            .iter()
            .map(|one| related(one, lines))
            .collect(),
        replacement: finding
            .replacement
            .as_ref()
            .map(|one| replacement(one, lines)),
        argument: finding.argument,
        claim: finding.claim,
    }
}

fn shown(shown: &Shown) -> ShownEntry<'_> {
    ShownEntry {
        values: Values(&shown.values),
        left: &shown.left,
        right: &shown.right,
    }
}

fn related<'run>(related: &'run Related, lines: &LineIndex<'_>) -> RelatedEntry<'run> {
    let (start, end) = places(related.span, lines);
    RelatedEntry {
        start,
        end,
        message: &related.message,
    }
}

fn replacement<'run>(
    replacement: &'run Replacement,
    lines: &LineIndex<'_>,
) -> ReplacementEntry<'run> {
    let (start, end) = places(replacement.span, lines);
    ReplacementEntry {
        text: &replacement.text,
        start,
        end,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
