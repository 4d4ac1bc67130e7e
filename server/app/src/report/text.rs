//! The report for people: every argument with its tally, every finding in its place.

mod class;

use super::escape::{one_line, visible, visible_lines};
use super::paint::{Ink, Paint};
use super::snippet::{Look, snippet};
use super::words;
use super::wrap::{hang, shorten, width, wrap};
use crate::limits;
use crate::run::{ReviewedDraft, Run, count};
use checks::{ClaimReport, Finding, Severity, VerdictWord};
use source::Span;
use source::text::position::LineIndex;

/// Spaces before everything that belongs to an argument.
const INDENT: usize = 3;

/// Columns of a quotation from the draft.
const CLAIM_COLUMNS: usize = 56;

/// How the report is to look.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Style {
    /// Colours.
    pub(crate) paint: Paint,
    /// Columns of a line.
    pub(crate) columns: usize,
    /// Every finding in its place, however many drafts there are.
    pub(crate) details: bool,
    /// The drafts of a first folder are one script.
    pub(crate) by_folder: bool,
}

/// The report as text, with a newline at its end.
pub(crate) fn render(run: &Run, style: Style) -> String {
    let mut out = Page {
        lines: Vec::new(),
        style,
    };
    let drafts: Vec<&ReviewedDraft> = run.drafts.iter().filter(|one| has_arguments(one)).collect();
    let many = is_class(run);
    if many {
        out.class(run, style.by_folder);
    }
    if style.details || !many {
        for reviewed in &drafts {
            out.draft(reviewed);
        }
    }
    out.summary(run);
    out.lines.join("\n") + "\n"
}

struct Page {
    lines: Vec<String>,
    style: Style,
}

/// A draft while it is reported.
struct Scene<'run> {
    path: String,
    text: &'run str,
    lines: LineIndex<'run>,
    reviewed: &'run ReviewedDraft,
}

impl Scene<'_> {
    fn line(&self, offset: usize) -> usize {
        self.lines.report(offset).line
    }

    fn quote(&self, span: Span) -> String {
        one_line(self.text.get(span.range()).unwrap_or_default())
    }
}

impl Page {
    fn push(&mut self, text: String) {
        if !text.is_empty() {
            self.lines.push(text);
        }
    }

    fn gap(&mut self) {
        if self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(String::new());
        }
    }

    fn ink(&self, ink: Ink, text: &str) -> String {
        self.style.paint.ink(ink, text)
    }

    fn draft(&mut self, reviewed: &ReviewedDraft) {
        let scene = Scene {
            path: visible(&reviewed.draft.path).into_owned(),
            text: &reviewed.draft.text,
            lines: LineIndex::new(&reviewed.draft.text),
            reviewed,
        };
        self.gap();
        let rule = "─".repeat(
            self.style
                .columns
                .saturating_sub(width(&scene.path) + 4)
                .max(3),
        );
        let path = self.ink(Ink::Title, &scene.path);
        let head = format!(
            "{} {path} {}",
            self.ink(Ink::Faint, "──"),
            self.ink(Ink::Faint, &rule)
        );
        self.lines.push(head);
        for index in 0..reviewed.review.arguments.len() {
            self.argument(&scene, index);
        }
    }

    fn argument(&mut self, scene: &Scene<'_>, index: usize) {
        let review = &scene.reviewed.review;
        let Some(argument) = review.arguments.get(index) else {
            return;
        };
        self.gap();
        let line = scene.line(argument.span.start);
        let title = argument.title.as_deref().map_or_else(
            || format!("Line {line}"),
            |title| format!("{} (line {line})", one_line(title)),
        );
        let aim = argument.aim.as_deref().map(one_line);
        let head = aim.map_or_else(|| title.clone(), |aim| format!("{title}: {aim}"));
        for (number, row) in hang(&head, self.style.columns, 0, INDENT)
            .lines()
            .enumerate()
        {
            // The title alone is heavy, the aim is read as a sentence.
            let heavy = (number == 0).then(|| row.strip_prefix(&title)).flatten();
            let row = heavy.map_or_else(
                || row.to_owned(),
                |rest| format!("{}{rest}", self.ink(Ink::Title, &title)),
            );
            self.push(row);
        }
        self.verdict_of(scene, index);
        let findings: Vec<(usize, &Finding)> = review
            .findings
            .iter()
            .enumerate()
            .filter(|(_, finding)| finding.argument == index && !listed_as_unread(finding))
            .collect();
        let first = argument.first_finding.filter(|_| 1 < findings.len());
        for (position, finding) in findings {
            self.gap();
            self.finding(scene, finding, first == Some(position));
        }
        self.open_claims(scene, index);
    }

    fn verdict_of(&mut self, scene: &Scene<'_>, index: usize) {
        let review = &scene.reviewed.review;
        let Some(argument) = review.arguments.get(index) else {
            return;
        };
        if words::all_is_well(review, index) {
            let line = self.ink(Ink::Good, &words::all_hold(argument.tally));
            self.push(format!("{:INDENT$}{line}", ""));
            return;
        }
        let mut sentence = capital(&words::tally(argument.tally));
        sentence.push('.');
        self.push(wrap(&sentence, self.style.columns, INDENT));
        if let Some(established) = words::established(argument) {
            self.push(wrap(established, self.style.columns, INDENT));
        }
    }

    fn finding(&mut self, scene: &Scene<'_>, finding: &Finding, first: bool) {
        let columns = self.style.columns;
        let message = visible_lines(&finding.message);
        let (head, rest) = words::head_and_rest(&message);
        let severity = finding.severity.word();
        let label = if first {
            format!("{severity} (the first mistake)")
        } else {
            severity.to_owned()
        };
        let whole = format!("{label}: {head}");
        for (number, row) in hang(&whole, columns, INDENT, INDENT + 2)
            .lines()
            .enumerate()
        {
            let row = if number == 0 {
                let inked = self.ink(Ink::Severity(finding.severity), &label);
                row.replacen(&label, &inked, 1)
            } else {
                row.to_owned()
            };
            self.push(row);
        }
        let start = scene.lines.report(finding.span.start);
        let place = format!(
            "{}:{}:{}  {}",
            scene.path, start.line, start.column, finding.check.name
        );
        let place = self.ink(Ink::Faint, &place);
        self.push(format!("{:1$}{place}", "", INDENT + 2));
        let look = Look {
            paint: self.style.paint,
            ink: Ink::Severity(finding.severity),
            columns,
            indent: INDENT + 2,
        };
        for row in snippet(scene.text, &scene.lines, finding.span, &look) {
            self.push(row);
        }
        self.finding_details(scene, finding, rest);
    }

    fn finding_details(&mut self, scene: &Scene<'_>, finding: &Finding, rest: &str) {
        let columns = self.style.columns;
        let margin = INDENT + 2;
        let untold = |shown: &&checks::Shown| !words::tells(&finding.message, shown);
        if let Some(shown) = finding.counterexample.as_ref().filter(untold) {
            let sentence = visible(&words::counterexample(shown)).into_owned();
            self.push(wrap(&sentence, columns, margin));
        }
        self.push(wrap(rest, columns, margin));
        for related in &finding.related {
            let line = scene.line(related.span.start);
            let quote = shorten(&scene.quote(related.span), CLAIM_COLUMNS);
            let said = format!("Line {line}, {quote}: {}", one_line(&related.message));
            self.push(hang(&said, columns, margin, margin + 2));
        }
        if let Some(replacement) = &finding.replacement {
            let new = one_line(&replacement.text);
            let old = shorten(&scene.quote(replacement.span), CLAIM_COLUMNS);
            let said = if old.is_empty() {
                format!("This would mend it: insert {new}")
            } else if replacement.span == finding.span {
                // The carets show already what is replaced.
                format!("This would mend it: {new}")
            } else {
                format!("This would mend it: write {new} in place of {old}")
            };
            self.push(hang(&said, columns, margin, margin + 2));
        }
    }

    /// What was not decided and what was not understood, at the end of an argument.
    fn open_claims(&mut self, scene: &Scene<'_>, index: usize) {
        self.claims(scene, index, VerdictWord::Unsettled, "Not decided");
        self.claims(
            scene,
            index,
            VerdictWord::Unread,
            "Not understood, so not checked",
        );
    }

    fn claims(&mut self, scene: &Scene<'_>, index: usize, verdict: VerdictWord, head: &str) {
        let claims: Vec<&ClaimReport> = scene
            .reviewed
            .review
            .claims
            .iter()
            .filter(|claim| claim.argument == index && claim.verdict == Some(verdict))
            .collect();
        if claims.is_empty() {
            return;
        }
        self.gap();
        self.push(format!("{:INDENT$}{head} ({}):", "", claims.len()));
        for claim in claims {
            self.open_claim(scene, claim);
        }
    }

    /// One line if it fits, else the reason below the claim.
    fn open_claim(&mut self, scene: &Scene<'_>, claim: &ClaimReport) {
        let columns = self.style.columns;
        let quote = shorten(&scene.quote(claim.span), CLAIM_COLUMNS);
        let line = scene.line(claim.span.start);
        let lead = format!("{:1$}line {line}  {quote}", "", INDENT + 2);
        let evidence = claim.evidence.as_deref().map(one_line).unwrap_or_default();
        // The heading says already what the verdict is.
        let verdict = claim.verdict.map_or("", words::verdict);
        let reason = evidence
            .strip_prefix(verdict)
            .and_then(|rest| rest.strip_prefix(": "))
            .unwrap_or(&evidence);
        if width(&lead) + 2 + width(reason) <= columns || reason.is_empty() {
            let joined = format!("{lead}  {reason}");
            self.push(joined.trim_end().to_owned());
        } else {
            self.push(lead);
            self.push(wrap(reason, columns, INDENT + 4));
        }
    }

    /// Answers that the sheet does not know.
    fn unmatched(&mut self, run: &Run) {
        for reviewed in &run.drafts {
            for &argument in &reviewed.unmatched {
                let said = off_the_sheet(reviewed, argument);
                self.push(hang(&visible(&said), self.style.columns, 0, INDENT));
            }
        }
    }

    fn summary(&mut self, run: &Run) {
        let columns = self.style.columns;
        let totals = run.totals();
        if totals.drafts == 0 {
            return;
        }
        self.gap();
        let rule = self.ink(Ink::Faint, &"─".repeat(columns));
        self.lines.push(rule);
        for reviewed in run.drafts.iter().filter(|one| !has_arguments(one)) {
            let said = format!("{} holds no argument.", reviewed.draft.path);
            self.push(hang(&visible(&said), columns, 0, INDENT));
        }
        for served in &run.served {
            let said = format!(
                "{} is included by {} and was read for its macros only.",
                served.path, served.includer
            );
            self.push(hang(&visible(&said), columns, 0, INDENT));
        }
        if !run.others.is_empty() {
            let said = format!("Of other kinds, and not read: {}.", run.others.join(", "));
            self.push(hang(&visible(&said), columns, 0, INDENT));
        }
        self.unmatched(run);
        let counts = format!(
            "{}, {}. {}.",
            words::counted(totals.drafts, "draft", "drafts"),
            words::counted(totals.arguments, "argument", "arguments"),
            capital(&words::tally(totals.tally)),
        );
        self.push(wrap(&counts, columns, 0));
        let faulty = run
            .drafts
            .iter()
            .filter(|one| {
                0 < count(&one.review, Severity::Error) + count(&one.review, Severity::Warning)
            })
            .count();
        let faults = if totals.errors + totals.warnings == 0 {
            "No errors, no warnings.".to_owned()
        } else {
            format!(
                "{} and {} in {}.",
                words::counted(totals.errors, "error", "errors"),
                words::counted(totals.warnings, "warning", "warnings"),
                words::counted(faulty, "draft", "drafts")
            )
        };
        self.push(wrap(&faults, columns, 0));
        if !run.skipped.is_empty() {
            let skipped = words::counted(run.skipped.len(), "path was", "paths were");
            self.push(format!("{skipped} not reviewed (see the messages)."));
        }
        if !self.style.details && is_class(run) {
            self.push("--details shows every finding in its place.".to_owned());
        }
        let advice = "This is advice from a program. Where it bears on a mark, a person decides.";
        self.push(wrap(advice, columns, 0));
    }
}

/// What is said of an answer that the sheet does not know.
fn off_the_sheet(reviewed: &ReviewedDraft, argument: usize) -> String {
    let report = reviewed.review.arguments.get(argument);
    let title = report.and_then(|report| report.title.as_deref());
    format!(
        "{}: {} answers no exercise of {}.",
        reviewed.draft.path,
        title.map_or_else(|| "what is not titled".to_owned(), one_line),
        reviewed.draft.course.file,
    )
}

/// Whether the drafts are so many that a table tells more than their details.
fn is_class(run: &Run) -> bool {
    let drafts = run.drafts.iter().filter(|one| has_arguments(one));
    limits::FEW_DRAFTS < drafts.count()
}

fn has_arguments(reviewed: &ReviewedDraft) -> bool {
    !reviewed.review.arguments.is_empty()
}

/// Findings about unread formulas stand in the list at the argument's end instead.
pub(super) fn listed_as_unread(finding: &Finding) -> bool {
    finding.check.name == "not-read" && finding.claim.is_some()
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
