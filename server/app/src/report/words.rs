//! Verdicts and counts in plain words, for the text report and the editor.

use checks::{ArgumentReport, Finding, Review, Severity, Shown, Tally, VerdictWord};

/// `1 claim`, `3 claims`.
pub(crate) fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Claims that were checked: proved, refuted or unsettled.
pub(crate) fn checked(tally: Tally) -> usize {
    tally.proved + tally.refuted + tally.unsettled
}

/// A tally as a sentence without its full stop.
pub(crate) fn tally(tally: Tally) -> String {
    let claims = checked(tally);
    let mut parts = Vec::new();
    if 0 < tally.proved {
        parts.push(counted(tally.proved, "holds", "hold"));
    }
    if 0 < tally.refuted {
        parts.push(counted(tally.refuted, "is false", "are false"));
    }
    if 0 < tally.unsettled {
        parts.push(format!("{} not decided", tally.unsettled));
    }
    let mut sentence = match claims {
        0 => "no claim was checked".to_owned(),
        _ => format!(
            "{}: {}",
            counted(claims, "claim", "claims"),
            parts.join(", ")
        ),
    };
    if 0 < tally.unread {
        let unread = counted(tally.unread, "formula", "formulas");
        sentence.push_str(&format!("; {unread} not understood"));
    }
    sentence
}

/// Whether the text reached its aim, as a sentence; nothing where that was not decided or
/// nothing was to be shown.
pub(crate) fn established(argument: &ArgumentReport) -> Option<&'static str> {
    match argument.established {
        Some(true) => Some("What was to be shown is shown."),
        Some(false) => Some("What was to be shown is not shown yet."),
        None => argument
            .aim
            .is_some()
            .then_some("Whether this shows what was to be shown was not decided."),
    }
}

/// The same in one word, for a table; nothing where nothing was to be shown.
pub(crate) fn shown(argument: &ArgumentReport) -> &'static str {
    match argument.established {
        Some(true) => "yes",
        Some(false) => "no",
        None if argument.aim.is_some() => "?",
        None => "",
    }
}

/// The sentence on an argument that is right from end to end.
pub(crate) fn all_hold(tally: Tally) -> String {
    let all = match tally.proved {
        1 => "Its one claim holds".to_owned(),
        2 => "Both claims hold".to_owned(),
        proved => format!("All {proved} claims hold"),
    };
    format!("{all}, and what was to be shown is shown.")
}

/// Whether an argument is right from end to end, with nothing left open and nothing to mend.
pub(crate) fn all_is_well(review: &Review, index: usize) -> bool {
    let Some(argument) = review.arguments.get(index) else {
        return false;
    };
    let tally = argument.tally;
    let faults = review.findings.iter().any(|finding| {
        finding.argument == index && matches!(finding.severity, Severity::Error | Severity::Warning)
    });
    argument.established == Some(true)
        && 0 < tally.proved
        && tally.refuted + tally.unsettled + tally.unread == 0
        && !faults
}

/// A verdict as a student reads it.
pub(crate) fn verdict(verdict: VerdictWord) -> &'static str {
    match verdict {
        VerdictWord::Proved => "true",
        VerdictWord::Refuted => "false",
        VerdictWord::Unsettled => "not decided",
        VerdictWord::Unread => "not understood",
    }
}

/// A counterexample in two parts: the point, and the sides there.
pub(crate) fn sides(shown: &Shown) -> (String, String) {
    let values: Vec<String> = shown
        .values
        .iter()
        .map(|(name, value)| format!("{name} = {value}"))
        .collect();
    let side = |name: &str, value: &str| match value {
        "undefined" => format!("the {name} side is undefined"),
        _ => match value.strip_prefix("≈ ") {
            Some(number) => format!("the {name} side is about {number}"),
            None => format!("the {name} side is {value}"),
        },
    };
    let both = format!(
        "{} and {}",
        side("left", &shown.left),
        side("right", &shown.right)
    );
    (values.join(", "), both)
}

/// The counterexample as one sentence.
pub(crate) fn counterexample(shown: &Shown) -> String {
    let (point, both) = sides(shown);
    if point.is_empty() {
        return format!("Here {both}.");
    }
    format!("At {point} {both}.")
}

/// Whether a message already tells the counterexample's numbers.
pub(crate) fn tells(message: &str, shown: &Shown) -> bool {
    let bare = |value: &'_ str| value.strip_prefix("≈ ").unwrap_or(value).to_owned();
    let told = |value: &str| {
        let value = bare(value);
        message.match_indices(&value).any(|(at, _)| {
            let follows = message[at + value.len()..].chars().next();
            let before = message[..at].chars().next_back();
            !follows.is_some_and(char::is_alphanumeric)
                && !before.is_some_and(char::is_alphanumeric)
        })
    };
    shown
        .values
        .iter()
        .all(|(name, value)| message.contains(&format!("{name} = {value}")))
        && told(&shown.left)
        && told(&shown.right)
}

/// A finding's message with its numbers, each told once.
pub(crate) fn whole(finding: &Finding) -> String {
    match &finding.counterexample {
        Some(shown) if !tells(&finding.message, shown) => {
            format!("{} {}", finding.message.trim_end(), counterexample(shown))
        }
        _ => finding.message.clone(),
    }
}

/// A message's first sentence, and the rest.
pub(crate) fn head_and_rest(message: &str) -> (&str, &str) {
    let message = message.trim();
    if let Some((head, rest)) = message.split_once('\n') {
        return (head.trim_end(), rest.trim_start());
    }
    let sentence_end = message.match_indices(". ").find(|(at, _)| {
        let follows = message[at + 2..].chars().next();
        let before = message[..*at].chars().next_back();
        follows.is_some_and(|letter| letter.is_uppercase())
            && before.is_some_and(|letter| !letter.is_uppercase())
    });
    match sentence_end {
        Some((at, _)) => (&message[..=at], message[at + 2..].trim_start()),
        None => (message, ""),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn tallies() {
        let mut counts = Tally {
            proved: 7,
            refuted: 1,
            unsettled: 2,
            unread: 1,
        };
        assert_eq!(
            tally(counts),
            "10 claims: 7 hold, 1 is false, 2 not decided; 1 formula not understood"
        );
        counts = Tally::default();
        assert_eq!(tally(counts), "no claim was checked");
        counts.proved = 1;
        assert_eq!(tally(counts), "1 claim: 1 holds");
    }

    #[test]
    fn numbers_are_told_once() {
        let shown = Shown {
            values: vec![("n".into(), "5".into()), ("x".into(), "1/2".into())],
            left: "2/9".into(),
            right: "≈ 0.2".into(),
        };
        assert!(tells(
            "False: at n = 5, x = 1/2: left = 2/9, right = 0.2.",
            &shown
        ));
        assert!(!tells("False at n = 5, x = 1/2.", &shown));
        assert_eq!(
            counterexample(&shown),
            "At n = 5, x = 1/2 the left side is 2/9 and the right side is about 0.2."
        );
    }

    #[test]
    fn messages_are_cut_at_their_first_sentence() {
        let (head, rest) = head_and_rest("This is false. At n = 5 it fails.");
        assert_eq!((head, rest), ("This is false.", "At n = 5 it fails."));
        assert_eq!(head_and_rest("One\nTwo\nThree"), ("One", "Two\nThree"));
        assert_eq!(head_and_rest("About 0.5 only"), ("About 0.5 only", ""));
        assert_eq!(head_and_rest(""), ("", ""));
    }
}
