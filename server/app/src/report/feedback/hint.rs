//! One hint for each kind of mistake: a way to look at it, never the solution.

use checks::Check;

/// The hints by the check's name.
const HINTS: [(&str, &str); 22] = [
    (
        "threshold-depends-on-point",
        "Look for a bound of the distance in which the point no longer occurs, and choose the threshold from that.",
    ),
    (
        "delta-depends-on-point",
        "Look for a bound in which only the distance of the two points occurs, and choose δ from that.",
    ),
    (
        "quantifiers-out-of-order",
        "Say in words which quantity may depend on which, and let the order of the quantifiers follow.",
    ),
    (
        "negation-wrong",
        "Turn each quantifier into the other one, from left to right, and deny only the comparison at the end.",
    ),
    (
        "threshold-too-small",
        "Put the smallest n that you allow into your last bound, and compare it with ε.",
    ),
    (
        "no-such-threshold",
        "Find out first whether what you want to be small tends to 0 at all.",
    ),
    (
        "undefined-value",
        "Ask of each denominator, root and logarithm for which values it makes sense, and treat the others on their own.",
    ),
    (
        "bound-fails",
        "Ask where on the domain the left side is largest, and compare both sides there.",
    ),
    (
        "step-reversed",
        "Ask for each change in this step whether it makes the expression larger or smaller: a smaller denominator, for instance, makes a positive fraction larger.",
    ),
    (
        "step-fails",
        "Compute both sides with the numbers above, and look for the rule that you used in between.",
    ),
    (
        "derivative-wrong",
        "Write down the outer and the inner function, or the two factors, and differentiate them one by one.",
    ),
    (
        "critical-point-wrong",
        "Put your point into the derivative, and see whether it is zero there and nowhere else in the domain.",
    ),
    (
        "sign-chart-wrong",
        "Take one point in each interval, and compute the sign of the derivative there.",
    ),
    (
        "extremum-wrong",
        "Compare the value at your point with the values at the ends of the domain and at one point between.",
    ),
    (
        "limit-wrong",
        "Compute a few members for large n, and look for the term that grows fastest.",
    ),
    (
        "witness-fails",
        "Check for each of your points that it belongs to the domain.",
    ),
    (
        "majorant-not-summable",
        "Compare the sum of your bounds with a series that you know.",
    ),
    (
        "conclusion-false",
        "Look for points that move with n and keep the distance from becoming small.",
    ),
    (
        "argument-runs-backwards",
        "These lines are good scratch work: find out which of them can be read from the last to the first.",
    ),
    (
        "conclusion-not-reached",
        "Say which earlier line gives this, for all points and all large n at once.",
    ),
    (
        "sign-not-known",
        "Try the step with a negative value of what you multiply or divide by.",
    ),
    (
        "symbol-not-introduced",
        "Say where this quantity comes from before you use it, and on what it may depend.",
    ),
];

/// For a check that has no hint of its own.
const USUAL: &str =
    "Try small numbers in this place, and compare what you wrote with what you get.";

/// The hint for a check.
pub(super) fn of(check: &Check) -> &'static str {
    let own = HINTS.iter().find(|(name, _)| *name == check.name);
    own.map_or(USUAL, |(_, hint)| hint)
}

/// Whether a sentence of a message tells why something is wrong, and not what would be right.
pub(super) fn is_evidence(sentence: &str) -> bool {
    [
        "For arbitrarily large",
        "In the case",
        "There is no limit",
        "The text gives no bound",
    ]
    .iter()
    .any(|start| sentence.starts_with(start))
}

#[cfg(test)]
mod tests {
    use super::*;
    use checks::Severity;
    use checks::catalogue::{CHECKS, find};

    #[test]
    fn every_serious_check_has_its_hint() {
        for (name, _) in HINTS {
            assert!(find(name).is_some(), "there is no check {name}");
        }
        let without: Vec<&str> = CHECKS
            .iter()
            .filter(|check| check.severity <= Severity::Warning)
            .filter(|check| !HINTS.iter().any(|(name, _)| *name == check.name))
            .map(|check| check.name)
            .collect();
        assert_eq!(without, [""; 0]);
    }
}
