//! One draft, reviewed: an immutable snapshot of its arguments, claims and findings.

use crate::check::Severity;
use crate::engine::{Judgement, shown};
use crate::finding::{Finding, Shown};
use crate::judge::Told;
use crate::readings;
use argument::{Argument, Content, Convention, Entry, Role};
use kernel::Budget;
use source::{Companions, Format, Span};
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a review may vary. Equal settings give equal reviews.
#[derive(Clone, PartialEq, Debug)]
pub struct Settings {
    /// Effort for each claim.
    pub budget: Budget,
    /// What the course agrees upon.
    pub convention: Convention,
    /// Severities in place of the usual ones, by the check's name; `None` switches a check off.
    pub severities: BTreeMap<&'static str, Option<Severity>>,
}

impl Settings {
    /// The severity of a finding in this course; `None` if its check is switched off.
    fn severity(&self, told: &Told) -> Option<Severity> {
        let set = self.severities.get(told.check.name);
        set.copied().unwrap_or(Some(told.severity))
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            budget: Budget::STANDARD,
            convention: Convention::default(),
            severities: BTreeMap::new(),
        }
    }
}

/// A draft's review.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Review {
    /// The arguments in order.
    pub arguments: Vec<ArgumentReport>,
    /// Every formula and every claim in words, in order.
    pub claims: Vec<ClaimReport>,
    /// Argument by argument by position, within one in a grader's order.
    pub findings: Vec<Finding>,
}

/// One argument's result.
#[derive(Clone, PartialEq, Debug)]
pub struct ArgumentReport {
    /// Its title, `None` without markers.
    pub title: Option<String>,
    /// What is to be shown, in one line.
    pub aim: Option<String>,
    /// Where it stands.
    pub span: Span,
    /// How its claims ended.
    pub tally: Tally,
    /// Whether the text reached its aim; `None` if not decided.
    pub established: Option<bool>,
    /// The first mistake as a grader would tell it (position in [`Review::findings`]).
    pub first_finding: Option<usize>,
}

/// Counts of claims by verdict.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    /// Proved claims.
    pub proved: usize,
    /// Refuted claims.
    pub refuted: usize,
    /// Unsettled claims.
    pub unsettled: usize,
    /// Formulas that were not understood.
    pub unread: usize,
}

/// The verdict of a claim, as a word.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum VerdictWord {
    /// A certificate was re-checked.
    Proved,
    /// A counterexample was confirmed beyond rounding.
    Refuted,
    /// Neither.
    Unsettled,
    /// Not understood.
    Unread,
}

impl VerdictWord {
    /// The word of the JSON contract.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Proved => "proved",
            Self::Refuted => "refuted",
            Self::Unsettled => "unsettled",
            Self::Unread => "unread",
        }
    }
}

/// One formula's, or one claim's, result.
#[derive(Clone, PartialEq, Debug)]
pub struct ClaimReport {
    /// Where it stands.
    pub span: Span,
    /// How it was understood, in words and Unicode mathematics; `None` if unread.
    pub reading: Option<String>,
    /// Its role; `None` if unread and unknown.
    pub role: Option<Role>,
    /// Its verdict; `None` if it is no claim.
    pub verdict: Option<VerdictWord>,
    /// Why, in one line: the reason in words, the numbers, or what stood in the way.
    pub evidence: Option<String>,
    /// The numbers, if refuted.
    pub counterexample: Option<Shown>,
    /// The argument that it belongs to.
    pub argument: usize,
}

/// Reviews a draft. `None` if the work was called off by `stop` (then nothing is known).
#[must_use]
pub fn review(
    draft: &str,
    format: Format,
    companions: &Companions,
    settings: &Settings,
    stop: &AtomicBool,
) -> Option<Review> {
    review_only(draft, format, companions, settings, &|_| true, stop)
}

/// Reviews those arguments of a draft that are asked for; the others are read, because what they
/// define may be in force there, and have no entry in the review. `None` as for [`review`].
#[must_use]
pub fn review_only(
    draft: &str,
    format: Format,
    companions: &Companions,
    settings: &Settings,
    wanted: &dyn Fn(&Argument) -> bool,
    stop: &AtomicBool,
) -> Option<Review> {
    let document = source::read(draft, format, companions);
    let usual = argument::read(draft, &document, &settings.convention);
    let mut review = Review::default();
    let asked = |(_, argument): &(usize, &Argument)| wanted(argument);
    for (number, argument) in usual.arguments.iter().enumerate().filter(asked) {
        let reading = readings::choose(draft, &document, argument, number, settings, stop);
        if stop.load(Ordering::Relaxed) {
            return None;
        }
        append(draft, &mut review, number, reading, settings);
    }
    Some(review)
}

/// Adds one argument's result, its findings in a grader's order.
fn append(
    draft: &str,
    review: &mut Review,
    number: usize,
    reading: readings::Reading,
    settings: &Settings,
) {
    let readings::Reading {
        argument,
        mut judged,
        hints,
    } = reading;
    let first_claim = review.claims.len();
    let first_finding = review.findings.len();
    let mut tally = Tally::default();
    for (position, entry) in argument.entries.iter().enumerate() {
        let claim = claim(
            draft,
            &argument,
            entry,
            judged.judgements[position].as_ref(),
            number,
        );
        match claim.verdict {
            Some(VerdictWord::Proved) => tally.proved += 1,
            Some(VerdictWord::Refuted) => tally.refuted += 1,
            Some(VerdictWord::Unsettled) => tally.unsettled += 1,
            Some(VerdictWord::Unread) => tally.unread += 1,
            None => {}
        }
        review.claims.push(claim);
    }
    judged.findings.extend(hints);
    judged.findings.retain_mut(|told| {
        let severity = settings.severity(told);
        told.severity = severity.unwrap_or(told.severity);
        severity.is_some()
    });
    judged.findings.sort_by_key(|told| {
        (
            told.severity,
            told.span.start,
            told.span.end,
            told.check.name,
        )
    });
    for told in judged.findings {
        review.findings.push(Finding {
            check: told.check,
            severity: told.severity,
            span: told.span,
            message: told.message,
            counterexample: told.counterexample,
            related: told.related,
            replacement: told.replacement,
            argument: number,
            claim: told.entry.map(|entry| first_claim + entry),
        });
    }
    review.arguments.push(ArgumentReport {
        title: argument.title.clone(),
        aim: argument.aim.as_ref().map(|aim| aim.text.clone()),
        span: argument.span,
        tally,
        established: judged.established,
        first_finding: review.findings[first_finding..]
            .iter()
            .position(|finding| finding.severity <= Severity::Warning)
            .map(|position| first_finding + position),
    });
}

fn claim(
    draft: &str,
    argument: &Argument,
    entry: &Entry,
    judgement: Option<&Judgement>,
    number: usize,
) -> ClaimReport {
    let mut report = ClaimReport {
        span: entry.span,
        reading: None,
        role: entry.role,
        verdict: None,
        evidence: None,
        counterexample: None,
        argument: number,
    };
    match (&entry.content, judgement) {
        (Content::Unread { reason, .. }, _) => {
            report.verdict = Some(VerdictWord::Unread);
            report.evidence = Some(reason.clone());
        }
        (_, Some(judgement)) => {
            report.verdict = Some(judgement.verdict);
            report.evidence = Some(judgement.evidence.clone());
            report.reading = Some(if judgement.reading.is_empty() {
                readings::of_entry(draft, argument, entry)
            } else {
                judgement.reading.clone()
            });
            if judgement.is_refuted() {
                report.counterexample = judgement.counterexample.as_ref().map(shown);
            }
        }
        (_, None) => report.reading = Some(readings::of_entry(draft, argument, entry)),
    }
    report
}
