//! Sentences of scratch work by calculus: what they say, and which say nothing.

use super::argument;
use crate::discourse::outline::{Assertion, Content, Slope};

const HEAD: &str = "# Exercise\n\nLet $f_n(x) = \\frac{nx}{1+n^2x^2}$ for $x \\in [0, \\infty)$ and \
                    $n \\ge 1$.\n\n## Solution\n\n";

/// The kinds of what a solution says by calculus, in order.
fn told(solution: &str) -> Vec<&'static str> {
    argument(&format!("{HEAD}{solution}\n"))
        .entries
        .iter()
        .filter_map(|entry| match &entry.content {
            Content::Assertion(Assertion::Calculus(said)) => Some(match &said.slope {
                Slope::Derivative { .. } => "derivative",
                Slope::Zeros { only: true, .. } => "all zeros",
                Slope::Zeros { .. } => "zeros",
                Slope::Sign { .. } => "sign",
                Slope::Extremum { local: true, .. } => "local extremum",
                Slope::Extremum { .. } => "extremum",
            }),
            _ => None,
        })
        .collect()
}

#[test]
fn sentences_of_calculus_are_read() {
    for (solution, expected) in [
        (
            "The derivative of $f_n$ is $\\frac{n-n^3x^2}{(1+n^2x^2)^2}$.",
            vec!["derivative"],
        ),
        (
            "Differentiating gives $\\frac{n-n^3x^2}{(1+n^2x^2)^2}$, which vanishes at $x = 1/n$.",
            vec!["derivative", "zeros"],
        ),
        ("So $f_n'(x) = 0$ iff $x = 1/n$.", vec!["all zeros"]),
        (
            "Setting $f_n'(x) = 0$ gives $x = \\pm 1/n$.",
            vec!["all zeros"],
        ),
        ("The only critical point is $x = 1/n$.", vec!["all zeros"]),
        (
            "Thus $f_n$ is increasing on $(0, 1/n)$ and decreasing on $(1/n, \\infty)$.",
            vec!["sign", "sign"],
        ),
        (
            "The derivative is positive before $1/n$, negative after.",
            vec!["sign", "sign"],
        ),
        (
            "So the maximum is attained at $x = 1/n$ and equals $1/2$.",
            vec!["extremum"],
        ),
        (
            "There is a local maximum at $x = 1/n$.",
            vec!["local extremum"],
        ),
        (
            "The maximum of $f_n$ is $f_n(1/n) = 1/2$.",
            vec!["extremum"],
        ),
    ] {
        assert_eq!(told(solution), expected, "in {solution}");
    }
}

#[test]
fn what_is_supposed_denied_asked_or_said_of_others_is_not_read() {
    for solution in [
        "If $f_n$ had its maximum at $x = 2$, it would be small.",
        "The derivative is not $n$, and $f_n$ does not attain its maximum at $x = 2$.",
        "Does $f_n$ attain its maximum at $x = 2$?",
        "The numerator vanishes at $x = 5$.",
        "The quotient has its maximum at $x = 5$.",
        "For $x > 0$ we find that its derivative is $x$.",
        "A student wrote that the derivative of $f_n$ is $n$.",
    ] {
        assert!(told(solution).is_empty(), "in {solution}");
    }
}
