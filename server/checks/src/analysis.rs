//! One draft, reviewed: an immutable snapshot of its arguments, claims and findings.

use crate::finding::{Finding, Shown};
use argument::Role;
use kernel::Budget;
use source::{Companions, Format, Span};
use std::sync::atomic::AtomicBool;

/// What a review may vary. Equal settings give equal reviews.
#[derive(Clone, PartialEq, Debug)]
pub struct Settings {
    /// Effort for each claim.
    pub budget: Budget,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            budget: Budget::STANDARD,
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
    let document = source::read(draft, format, companions);
    let _ = (document, settings, stop);
    Some(Review::default())
}
