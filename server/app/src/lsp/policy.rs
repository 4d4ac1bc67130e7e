//! What is published while somebody writes: a draft that is no proof stays silent.

use checks::{ArgumentReport, Finding, Review, VerdictWord};
use source::Span;

/// Something to publish.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Notice {
    /// The finding at that place of the review.
    Finding(usize),
    /// An argument whose aim was recognised, of which nothing could be checked: an empty editor
    /// would look like praise.
    NothingChecked {
        /// Where its aim stands.
        span: Span,
        /// How many formulas were not understood.
        unread: usize,
        /// Why the first of them was not.
        reason: String,
    },
}

/// The name of the check for what was not understood.
pub(crate) const NOT_READ: &str = "not-read";

/// What of a review is published. Nothing of an argument in which neither an aim nor a
/// conclusion was recognised (a README, another chapter); not-read only beside a claim that was
/// checked, else one notice at the aim.
pub(crate) fn notices(review: &Review) -> Vec<Notice> {
    let mut notices = Vec::new();
    for (index, argument) in review.arguments.iter().enumerate() {
        if !is_recognised(review, index, argument) {
            continue;
        }
        let tally = argument.tally;
        let checked = 0 < tally.proved + tally.refuted + tally.unsettled;
        let published = |finding: &Finding| {
            finding.argument == index && (checked || finding.check.name != NOT_READ)
        };
        let findings = review.findings.iter().enumerate();
        notices.extend(
            findings
                .filter(|(_, finding)| published(finding))
                .map(|(position, _)| Notice::Finding(position)),
        );
        if !checked {
            notices.extend(nothing_checked(review, index, argument));
        }
    }
    notices
}

/// Whether an aim or a conclusion of the argument was recognised.
pub(crate) fn is_recognised(review: &Review, index: usize, argument: &ArgumentReport) -> bool {
    argument.aim.is_some()
        || review.claims.iter().any(|claim| {
            claim.argument == index
                && claim.role.is_some_and(|role| role.word() == "conclusion")
                && !matches!(claim.verdict, None | Some(VerdictWord::Unread))
        })
}

fn nothing_checked(review: &Review, index: usize, argument: &ArgumentReport) -> Option<Notice> {
    let own = || review.claims.iter().filter(|claim| claim.argument == index);
    let unread: Vec<_> = own()
        .filter(|claim| claim.verdict == Some(VerdictWord::Unread))
        .collect();
    let first = unread.first()?;
    let aim = own().find(|claim| claim.role.is_some_and(|role| role.word() == "aim"));
    Some(Notice::NothingChecked {
        span: aim.map_or(argument.span, |claim| claim.span),
        unread: unread.len(),
        reason: first.evidence.clone().unwrap_or_default(),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::report::example;
    use checks::Tally;

    #[test]
    fn findings_of_recognised_arguments_are_published() {
        let review = example::review();
        assert_eq!(notices(&review), [Notice::Finding(0), Notice::Finding(1)]);
    }

    #[test]
    fn an_argument_without_aim_or_conclusion_is_silent() {
        let mut review = example::review();
        review.arguments[0].aim = None;
        assert_eq!(notices(&review), []);
    }

    #[test]
    fn nothing_checked_is_told_once_at_the_aim() {
        let mut review = example::review();
        review.arguments[0].tally = Tally {
            unread: 1,
            ..Tally::default()
        };
        review.findings.remove(0);
        let expected = Notice::NothingChecked {
            span: review.arguments[0].span,
            unread: 1,
            reason: "the macro \\oops is not defined here".to_owned(),
        };
        assert_eq!(notices(&review), [expected]);
    }
}
