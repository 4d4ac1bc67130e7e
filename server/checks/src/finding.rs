//! What the author is told.

use crate::check::{Check, Severity};
use source::Span;

/// A finding.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// The check that it belongs to.
    pub check: &'static Check,
    /// How much it matters here.
    pub severity: Severity,
    /// Where the fault stands.
    pub span: Span,
    /// Three parts, as far as known: what is wrong (one sentence, with the formula), the
    /// numbers, what would make it right. Plain text, Unicode mathematics, no markup.
    pub message: String,
    /// Numbers on which it fails.
    pub counterexample: Option<Shown>,
    /// Other places that belong to it.
    pub related: Vec<Related>,
    /// A text that would mend it; proved before it is offered.
    pub replacement: Option<Replacement>,
    /// The argument (position in [`crate::Review::arguments`]).
    pub argument: usize,
    /// The claim (position in [`crate::Review::claims`]).
    pub claim: Option<usize>,
}

/// A counterexample as it is shown (DESIGN 9, grammar of `values`).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shown {
    /// Name and exact value, in the order in which the draft binds the names.
    pub values: Vec<(String, String)>,
    /// The left side there: exact, `≈ 0.123`, or `undefined`.
    pub left: String,
    /// The right side there.
    pub right: String,
}

/// A place that belongs to a finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Related {
    /// Where.
    pub span: Span,
    /// What is there.
    pub message: String,
}

/// A text that would mend the fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Replacement {
    /// What it replaces.
    pub span: Span,
    /// By what, in the draft's own notation.
    pub text: String,
}
