//! An invented run for the tests of the reports.

use crate::collect::{Draft, Served, Skipped};
use crate::run::{ReviewedDraft, Run};
use checks::{
    ArgumentReport, Check, ClaimReport, Finding, Related, Replacement, Review, Severity, Shown,
    Tally, VerdictWord,
};
use source::{Companions, Format, Span};

/// A check for tests.
pub(crate) static BOUND: Check = Check {
    name: "bound-fails",
    summary: "A bound of the error term does not hold.",
    severity: Severity::Error,
    page: "# bound-fails",
};

/// The check of what was not understood, for tests.
pub(crate) static NOT_READ: Check = Check {
    name: "not-read",
    summary: "A formula was not understood.",
    severity: Severity::Hint,
    page: "# not-read",
};

/// The text of the example.
pub(crate) const TEXT: &str = "\
# Sheet 1

**Exercise 1.** Show that $f_n(x) = \\frac{x}{n+x}$ tends to 0 uniformly on $[0, 1]$.

Let ε > 0 😀 and choose $N > 1/ε$. Then $|f_n(x)| \\le \\frac{1}{2n} < ε$ for all $n > N$, \
and also $\\oops{x}$, and $x^n \\le 1$.

**Exercise 2.** Show that $\\frac1n \\to 0$.

We have $0 < \\frac1n \\le \\frac1n$.
";

/// The span of the first occurrence of `part` in the example.
pub(crate) fn at(part: &str) -> Span {
    let start = TEXT.find(part).unwrap_or_default();
    Span::new(start, start + part.len())
}

fn claim(part: &str, verdict: Option<VerdictWord>, argument: usize) -> ClaimReport {
    ClaimReport {
        span: at(part),
        reading: Some(format!("for all integers n ≥ 1: {part}")),
        role: None,
        verdict,
        evidence: None,
        counterexample: None,
        argument,
    }
}

fn arguments() -> Vec<ArgumentReport> {
    vec![
        ArgumentReport {
            title: Some("Exercise 1".into()),
            aim: Some("fₙ → 0 uniformly on [0, 1]".into()),
            span: at("**Exercise 1.**").to(at("$x^n \\le 1$.")),
            tally: Tally {
                proved: 1,
                refuted: 1,
                unsettled: 1,
                unread: 1,
            },
            established: Some(false),
            first_finding: Some(0),
        },
        ArgumentReport {
            title: Some("Exercise 2".into()),
            aim: None,
            span: at("**Exercise 2.**").to(at("\\le \\frac1n$.")),
            tally: Tally {
                proved: 2,
                ..Tally::default()
            },
            established: Some(true),
            first_finding: None,
        },
    ]
}

fn findings() -> Vec<Finding> {
    let shown = Shown {
        values: vec![("n".into(), "1".into()), ("x".into(), "1".into())],
        left: "1/2".into(),
        right: "≈ 0.49".into(),
    };
    let fails = Finding {
        check: &BOUND,
        severity: Severity::Error,
        span: at("|f_n(x)| \\le \\frac{1}{2n}"),
        message: "The bound |fₙ(x)| ≤ 1/(2n) fails. A bound without x (a majorant) is 1/n.".into(),
        counterexample: Some(shown),
        related: vec![Related {
            span: at("$N > 1/ε$"),
            message: "N was chosen here".into(),
        }],
        replacement: Some(Replacement {
            span: at("\\frac{1}{2n}"),
            text: "\\frac{1}{n}".into(),
        }),
        argument: 0,
        claim: Some(1),
    };
    let unread = Finding {
        check: &NOT_READ,
        severity: Severity::Hint,
        span: at("$\\oops{x}$"),
        message: "This formula was not understood: the macro \\oops is not defined here.".into(),
        counterexample: None,
        related: Vec::new(),
        replacement: None,
        argument: 0,
        claim: Some(2),
    };
    vec![fails, unread]
}

/// The review of the example.
pub(crate) fn review() -> Review {
    let mut refuted = claim("|f_n(x)| \\le \\frac{1}{2n}", Some(VerdictWord::Refuted), 0);
    refuted.evidence = Some("false at n = 1, x = 1".into());
    refuted.counterexample = findings()[0].counterexample.clone();
    let mut unread = claim("$\\oops{x}$", Some(VerdictWord::Unread), 0);
    unread.reading = None;
    unread.evidence = Some("the macro \\oops is not defined here".into());
    let mut unsettled = claim("x^n \\le 1", Some(VerdictWord::Unsettled), 0);
    unsettled.evidence = Some("24,000 values were tried and none fails; no proof was found".into());
    Review {
        arguments: arguments(),
        claims: vec![
            claim("N > 1/ε", Some(VerdictWord::Proved), 0),
            refuted,
            unread,
            unsettled,
            claim("0 < \\frac1n", Some(VerdictWord::Proved), 1),
            claim("\\le \\frac1n", Some(VerdictWord::Proved), 1),
        ],
        findings: findings(),
    }
}

/// The run of the example.
pub(crate) fn run() -> Run {
    let draft = |path: &str, text: &str| Draft {
        path: path.into(),
        text: text.into(),
        format: Format::Markdown,
        companions: Companions::new(),
        course: std::sync::Arc::default(),
    };
    Run {
        drafts: vec![
            ReviewedDraft {
                draft: draft("sheets/one.md", TEXT),
                review: review(),
                unmatched: Vec::new(),
            },
            ReviewedDraft {
                draft: draft("sheets/README.md", "Nothing here."),
                review: Review::default(),
                unmatched: Vec::new(),
            },
        ],
        skipped: vec![Skipped {
            path: "gone.md".into(),
            reason: "no such file or folder".into(),
        }],
        served: vec![Served {
            path: "sheets/macros.tex".into(),
            includer: "sheets/main.tex".into(),
        }],
        others: Vec::new(),
        shard: None,
    }
}
