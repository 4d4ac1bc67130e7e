//! What every review keeps, whatever the draft (invariants I5, I8, I9 and the tallies).

use crate::verify::{describe, faults_of_shown};
use checks::{Review, Severity, Tally, VerdictWord};
use source::Span;

/// Checks whose error needs no numbers: a conflict of scope, or an order of reasoning.
const WITHOUT_NUMBERS: [&str; 12] = [
    "threshold-depends-on-point",
    "delta-depends-on-point",
    "quantifiers-out-of-order",
    "negation-wrong",
    "point-not-quantified",
    "symbol-not-introduced",
    "argument-runs-backwards",
    "conclusion-not-reached",
    // A derivative, a zero or a limit may be refuted by the true one instead of by a point.
    "limit-wrong",
    "witness-fails",
    "majorant-not-summable",
    "no-such-threshold",
];

/// Everything in which a review breaks a rule that holds for all reviews, in words.
#[must_use]
pub fn faults(text: &str, review: &Review) -> Vec<String> {
    let mut faults = Vec::new();
    faults_of_spans(text, review, &mut faults);
    faults_of_claims(review, &mut faults);
    faults_of_findings(text, review, &mut faults);
    faults_of_arguments(review, &mut faults);
    faults
}

fn lies_in(text: &str, span: Span) -> bool {
    text.get(span.start..span.end).is_some()
}

fn faults_of_spans(text: &str, review: &Review, faults: &mut Vec<String>) {
    let claims = review.claims.iter().map(|claim| claim.span);
    let arguments = review.arguments.iter().map(|argument| argument.span);
    let findings = review.findings.iter().flat_map(|finding| {
        let related = finding.related.iter().map(|related| related.span);
        let replaced = finding
            .replacement
            .iter()
            .map(|replacement| replacement.span);
        std::iter::once(finding.span).chain(related).chain(replaced)
    });
    for span in claims.chain(arguments).chain(findings) {
        if !lies_in(text, span) {
            faults.push(format!(
                "{span:?} does not lie on character borders of the draft"
            ));
        }
    }
}

fn faults_of_claims(review: &Review, faults: &mut Vec<String>) {
    for claim in &review.claims {
        if review.arguments.get(claim.argument).is_none() {
            faults.push(format!(
                "a claim at {:?} belongs to no argument",
                claim.span
            ));
        }
        let unread = claim.verdict == Some(VerdictWord::Unread);
        if unread && (claim.reading.is_some() || claim.evidence.is_none()) {
            faults.push(format!(
                "unread at {:?}, with a reading or without its reason",
                claim.span
            ));
        }
        if claim.verdict == Some(VerdictWord::Refuted) && claim.evidence.is_none() {
            faults.push(format!("refuted at {:?} without evidence", claim.span));
        }
        if claim.counterexample.is_some() && claim.verdict != Some(VerdictWord::Refuted) {
            faults.push(format!(
                "numbers at {:?} for a claim that is not refuted",
                claim.span
            ));
        }
        for fault in claim.counterexample.iter().flat_map(faults_of_shown) {
            faults.push(format!("claim at {:?}: {fault}", claim.span));
        }
    }
}

fn faults_of_findings(text: &str, review: &Review, faults: &mut Vec<String>) {
    for finding in &review.findings {
        let here = describe(text, finding);
        if review.arguments.get(finding.argument).is_none() {
            faults.push(format!("belongs to no argument: {here}"));
        }
        if finding
            .claim
            .is_some_and(|claim| review.claims.get(claim).is_none())
        {
            faults.push(format!("belongs to a claim that is none: {here}"));
        }
        if finding.message.trim().is_empty() || finding.message.contains("unwrap") {
            faults.push(format!("has no message: {here}"));
        }
        let refuting =
            finding.severity == Severity::Error && !WITHOUT_NUMBERS.contains(&finding.check.name);
        // A statement about a limit is refuted by a sequence of points, told in words.
        let claim = finding.claim.and_then(|claim| review.claims.get(claim));
        let told = claim.is_some_and(|claim| {
            claim.verdict == Some(VerdictWord::Refuted) && claim.evidence.is_some()
        });
        let shown = finding.counterexample.is_some() || !finding.related.is_empty() || told;
        if refuting && !shown {
            faults.push(format!("an error without evidence: {here}"));
        }
        for fault in finding.counterexample.iter().flat_map(faults_of_shown) {
            faults.push(format!("{fault}: {here}"));
        }
    }
    let order: Vec<usize> = review
        .findings
        .iter()
        .map(|finding| finding.argument)
        .collect();
    if !order.is_sorted() {
        faults.push("findings do not stand argument by argument".to_owned());
    }
}

fn faults_of_arguments(review: &Review, faults: &mut Vec<String>) {
    for (place, argument) in review.arguments.iter().enumerate() {
        let mut counted = Tally::default();
        for claim in review.claims.iter().filter(|claim| claim.argument == place) {
            match claim.verdict {
                Some(VerdictWord::Proved) => counted.proved += 1,
                Some(VerdictWord::Refuted) => counted.refuted += 1,
                Some(VerdictWord::Unsettled) => counted.unsettled += 1,
                Some(VerdictWord::Unread) => counted.unread += 1,
                None => {}
            }
        }
        if counted != argument.tally {
            faults.push(format!(
                "argument {place}: counted {counted:?}, told {:?}",
                argument.tally
            ));
        }
        let own = |severity: Severity| {
            review
                .findings
                .iter()
                .any(|finding| finding.argument == place && finding.severity == severity)
        };
        let expected = [Severity::Error, Severity::Warning]
            .into_iter()
            .find(|s| own(*s));
        let first = argument
            .first_finding
            .and_then(|at| review.findings.get(at));
        let fits = match (expected, first) {
            (None, None) => argument.first_finding.is_none(),
            (Some(severity), Some(first)) => first.severity == severity && first.argument == place,
            _ => false,
        };
        if !fits {
            faults.push(format!("argument {place}: its first finding is {first:?}"));
        }
    }
}
