//! A review as it is kept: the same values, with checks, roles and verdicts by their words.

use crate::aided::Aided;
use argument::Role;
use checks::catalogue::find;
use checks::{
    ArgumentReport, ClaimReport, Finding, Related, Replacement, Review, Severity, Shown, Tally,
    VerdictWord,
};
use serde::{Deserialize, Serialize};
use source::Span;
use std::ops::Range;

/// A review with what belongs to it.
#[derive(Serialize, Deserialize)]
pub(super) struct Stored {
    arguments: Vec<StoredArgument>,
    claims: Vec<StoredClaim>,
    findings: Vec<StoredFinding>,
    unmatched: Vec<usize>,
}

#[derive(Serialize, Deserialize)]
struct StoredArgument {
    title: Option<String>,
    aim: Option<String>,
    span: Range<usize>,
    tally: [usize; 4],
    established: Option<bool>,
    first_finding: Option<usize>,
}

#[derive(Serialize, Deserialize)]
struct StoredClaim {
    span: Range<usize>,
    reading: Option<String>,
    role: Option<String>,
    verdict: Option<String>,
    evidence: Option<String>,
    counterexample: Option<StoredShown>,
    argument: usize,
}

#[derive(Serialize, Deserialize)]
struct StoredFinding {
    check: String,
    severity: String,
    span: Range<usize>,
    message: String,
    counterexample: Option<StoredShown>,
    related: Vec<(Range<usize>, String)>,
    replacement: Option<(Range<usize>, String)>,
    argument: usize,
    claim: Option<usize>,
}

#[derive(Serialize, Deserialize)]
struct StoredShown {
    values: Vec<(String, String)>,
    left: String,
    right: String,
}

impl Stored {
    /// What is kept of a review.
    pub(super) fn of(aided: &Aided) -> Self {
        let review = &aided.review;
        Self {
            arguments: review.arguments.iter().map(argument).collect(),
            claims: review.claims.iter().map(claim).collect(),
            findings: review.findings.iter().map(finding).collect(),
            unmatched: aided.unmatched.clone(),
        }
    }

    /// The review again; nothing if a word in it is not known.
    pub(super) fn into_aided(self) -> Option<Aided> {
        let claims = self.claims.into_iter().map(StoredClaim::into_report);
        let findings = self.findings.into_iter().map(StoredFinding::into_finding);
        Some(Aided {
            review: Review {
                arguments: self
                    .arguments
                    .into_iter()
                    .map(StoredArgument::into_report)
                    .collect(),
                claims: claims.collect::<Option<_>>()?,
                findings: findings.collect::<Option<_>>()?,
            },
            unmatched: self.unmatched,
        })
    }
}

fn span(range: Range<usize>) -> Span {
    Span::new(range.start, range.end)
}

fn argument(report: &ArgumentReport) -> StoredArgument {
    let Tally {
        proved,
        refuted,
        unsettled,
        unread,
    } = report.tally;
    StoredArgument {
        title: report.title.clone(),
        aim: report.aim.clone(),
        span: report.span.range(),
        tally: [proved, refuted, unsettled, unread],
        established: report.established,
        first_finding: report.first_finding,
    }
}

impl StoredArgument {
    fn into_report(self) -> ArgumentReport {
        let [proved, refuted, unsettled, unread] = self.tally;
        ArgumentReport {
            title: self.title,
            aim: self.aim,
            span: span(self.span),
            tally: Tally {
                proved,
                refuted,
                unsettled,
                unread,
            },
            established: self.established,
            first_finding: self.first_finding,
        }
    }
}

fn claim(report: &ClaimReport) -> StoredClaim {
    StoredClaim {
        span: report.span.range(),
        reading: report.reading.clone(),
        role: report.role.map(|role| role.word().to_owned()),
        verdict: report.verdict.map(|verdict| verdict.word().to_owned()),
        evidence: report.evidence.clone(),
        counterexample: report.counterexample.as_ref().map(shown),
        argument: report.argument,
    }
}

impl StoredClaim {
    fn into_report(self) -> Option<ClaimReport> {
        Some(ClaimReport {
            span: span(self.span),
            reading: self.reading,
            role: known(self.role, &Role::ALL, Role::word)?,
            verdict: known(self.verdict, &VERDICTS, VerdictWord::word)?,
            evidence: self.evidence,
            counterexample: self.counterexample.map(StoredShown::into_shown),
            argument: self.argument,
        })
    }
}

fn finding(finding: &Finding) -> StoredFinding {
    StoredFinding {
        check: finding.check.name.to_owned(),
        severity: finding.severity.word().to_owned(),
        span: finding.span.range(),
        message: finding.message.clone(),
        counterexample: finding.counterexample.as_ref().map(shown),
        related: finding
            .related
            .iter()
            .map(|related| (related.span.range(), related.message.clone()))
            .collect(),
        replacement: finding
            .replacement
            .as_ref()
            .map(|replacement| (replacement.span.range(), replacement.text.clone())),
        argument: finding.argument,
        claim: finding.claim,
    }
}

impl StoredFinding {
    fn into_finding(self) -> Option<Finding> {
        Some(Finding {
            check: find(&self.check)?,
            severity: known(Some(self.severity), &SEVERITIES, Severity::word)??,
            span: span(self.span),
            message: self.message,
            counterexample: self.counterexample.map(StoredShown::into_shown),
            related: self
                .related
                .into_iter()
                .map(|(range, message)| Related {
                    span: span(range),
                    message,
                })
                .collect(),
            replacement: self.replacement.map(|(range, text)| Replacement {
                span: span(range),
                text,
            }),
            argument: self.argument,
            claim: self.claim,
        })
    }
}

fn shown(shown: &Shown) -> StoredShown {
    StoredShown {
        values: shown.values.clone(),
        left: shown.left.clone(),
        right: shown.right.clone(),
    }
}

impl StoredShown {
    fn into_shown(self) -> Shown {
        Shown {
            values: self.values,
            left: self.left,
            right: self.right,
        }
    }
}

const VERDICTS: [VerdictWord; 4] = [
    VerdictWord::Proved,
    VerdictWord::Refuted,
    VerdictWord::Unsettled,
    VerdictWord::Unread,
];

const SEVERITIES: [Severity; 4] = [
    Severity::Error,
    Severity::Warning,
    Severity::Information,
    Severity::Hint,
];

/// The value of that word, if one was written; nothing if the word is not known.
fn known<T: Copy>(
    written: Option<String>,
    values: &[T],
    word: impl Fn(T) -> &'static str,
) -> Option<Option<T>> {
    match written {
        None => Some(None),
        Some(written) => values
            .iter()
            .copied()
            .find(|&value| word(value) == written)
            .map(Some),
    }
}
