//! A review held against the expectations of its draft.

use crate::anchor::{collapse, inner, occurrences, sentence};
use crate::exact::{self, Term};
use crate::expectation::{Expectation, Expected, line_of};
use checks::{ClaimReport, Finding, Review, Severity, Shown};
use source::Span;
use std::collections::BTreeMap;

/// Which findings must be listed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unlisted {
    /// All of them, hints included.
    Fail,
    /// Errors and warnings only.
    FailIfSerious,
}

/// Everything in which the review departs from what is expected, in words; empty if nothing.
#[must_use]
pub fn departures(
    text: &str,
    review: &Review,
    expectations: &[Expectation],
    unlisted: Unlisted,
) -> Vec<String> {
    let mut departures = Vec::new();
    let mut listed = vec![false; review.findings.len()];
    for expectation in expectations {
        let result = match &expectation.what {
            Expected::Verdict(word) => verdict_departure(text, review, expectation, word),
            Expected::Finding {
                severity,
                check,
                condition,
            } => {
                let wanted = Wanted {
                    severity,
                    check,
                    condition: condition.as_deref(),
                };
                find(text, review, expectation, &wanted, &mut listed)
            }
        };
        if let Err(problem) = result {
            departures.push(format!(
                "expectation in line {}: {problem}",
                expectation.line
            ));
        }
    }
    for (finding, _) in review
        .findings
        .iter()
        .zip(&listed)
        .filter(|(_, listed)| !**listed)
    {
        let serious = matches!(finding.severity, Severity::Error | Severity::Warning);
        if serious || unlisted == Unlisted::Fail {
            departures.push(format!("not listed: {}", describe(text, finding)));
        }
    }
    departures
}

/// One finding in one line: place, severity, check, the text at it, the message.
#[must_use]
pub fn describe(text: &str, finding: &Finding) -> String {
    format!(
        "line {}: {} {} at \"{}\": {}",
        line_of(text, finding.span.start),
        finding.severity.word(),
        finding.check.name,
        collapse(slice(text, finding.span)),
        finding.message
    )
}

/// The text of a span; nothing where the span lies outside the text.
#[must_use]
pub fn slice(text: &str, span: Span) -> &str {
    text.get(span.range()).unwrap_or_default()
}

fn places(text: &str, expectation: &Expectation) -> Result<Vec<Span>, String> {
    let all = occurrences(text, expectation.block, &expectation.quote);
    let quote = &expectation.quote;
    match expectation.occurrence {
        _ if all.is_empty() => Err(format!("\"{quote}\" does not stand in the block before")),
        None => Ok(all),
        Some(number) => match all.get(number - 1) {
            Some(place) => Ok(vec![*place]),
            None => Err(format!("\"{quote}\" stands there {} times only", all.len())),
        },
    }
}

fn verdict_departure(
    text: &str,
    review: &Review,
    expectation: &Expectation,
    word: &str,
) -> Result<(), String> {
    let places: Vec<Span> = places(text, expectation)?
        .into_iter()
        .map(|place| inner(text, place))
        .collect();
    let here: Vec<&ClaimReport> = review
        .claims
        .iter()
        .filter(|claim| places.contains(&inner_of_claim(text, claim)))
        .collect();
    let verdicts: Vec<&str> = here
        .iter()
        .map(|claim| claim.verdict.map_or("no claim", checks::VerdictWord::word))
        .collect();
    let quote = &expectation.quote;
    if verdicts.is_empty() {
        let near: Vec<String> = review
            .claims
            .iter()
            .filter(|claim| claim.verdict.is_some())
            .filter(|claim| places.iter().any(|place| overlap(claim.span, *place)))
            .map(|claim| format!("\"{}\"", collapse(slice(text, claim.span))))
            .collect();
        return Err(format!(
            "no claim is \"{quote}\"; near it: [{}]",
            near.join(", ")
        ));
    }
    // Without a number the first claim of that text is meant.
    let first = verdicts
        .iter()
        .find(|verdict| **verdict != "no claim")
        .unwrap_or(&verdicts[0]);
    let found = if verdicts.contains(&word) && expectation.occurrence.is_some() {
        word
    } else {
        first
    };
    if found == word {
        return Ok(());
    }
    let evidence: Vec<&str> = here
        .iter()
        .filter_map(|claim| claim.evidence.as_deref())
        .collect();
    Err(format!(
        "\"{quote}\" is {found}, not {word} ({})",
        evidence.join("; ")
    ))
}

fn inner_of_claim(text: &str, claim: &ClaimReport) -> Span {
    if text.get(claim.span.range()).is_some() {
        inner(text, claim.span)
    } else {
        claim.span
    }
}

fn overlap(a: Span, b: Span) -> bool {
    a.start < b.end && b.start < a.end
}

struct Wanted<'text> {
    severity: &'text str,
    check: &'text str,
    condition: Option<&'text str>,
}

fn find(
    text: &str,
    review: &Review,
    expectation: &Expectation,
    wanted: &Wanted<'_>,
    listed: &mut [bool],
) -> Result<(), String> {
    let places = places(text, expectation)?;
    let fits = |finding: &Finding| {
        places.iter().any(|place| {
            finding.span.contains(inner(text, *place))
                && finding.span.len() <= sentence(text, *place).len()
        })
    };
    let found = review.findings.iter().enumerate().find(|(place, finding)| {
        !listed[*place]
            && finding.check.name == wanted.check
            && finding.severity.word() == wanted.severity
            && fits(finding)
    });
    let Some((place, finding)) = found else {
        let others: Vec<String> = review
            .findings
            .iter()
            .filter(|finding| finding.check.name == wanted.check || fits(finding))
            .map(|finding| describe(text, finding))
            .collect();
        return Err(format!(
            "no finding {} {} at \"{}\"; others: [{}]",
            wanted.severity,
            wanted.check,
            expectation.quote,
            others.join(", ")
        ));
    };
    listed[place] = true;
    let Some(condition) = wanted.condition else {
        return Ok(());
    };
    let Some(shown) = &finding.counterexample else {
        return Err(format!("{} shows no numbers", describe(text, finding)));
    };
    match satisfies(shown, condition) {
        Ok(true) => Ok(()),
        Ok(false) => Err(format!("`{condition}` does not hold at {shown:?}")),
        Err(problem) => Err(format!("`{condition}` at {shown:?}: {problem}")),
    }
}

/// Whether a condition holds at a counterexample, in exact arithmetic. The sides may be named
/// `left` and `right`; `ε` and `δ` may be spelled `eps` and `delta`.
///
/// # Errors
/// A value outside the grammar, or a condition that cannot be evaluated.
pub fn satisfies(shown: &Shown, condition: &str) -> Result<bool, String> {
    let mut names: BTreeMap<String, Term> = BTreeMap::new();
    let sides = [("left", &shown.left), ("right", &shown.right)];
    for (name, side) in sides {
        if side == "undefined" {
            continue;
        }
        names.insert(
            name.to_owned(),
            exact::parse(side.trim_start_matches("≈ "))?,
        );
    }
    for (name, value) in &shown.values {
        let name: String = name.chars().filter(|c| !c.is_whitespace()).collect();
        let value = exact::parse(value)?;
        match name.as_str() {
            "ε" | "ϵ" => names.insert("eps".to_owned(), value.clone()),
            "δ" => names.insert("delta".to_owned(), value.clone()),
            _ => None,
        };
        names.insert(name, value);
    }
    exact::holds(condition, &names)
}

/// What is wrong with the numbers that are shown: values must be exact, sides exact, or a decimal
/// after `≈ `, or `undefined`.
#[must_use]
pub fn faults_of_shown(shown: &Shown) -> Vec<String> {
    let mut faults = Vec::new();
    let mut value = |name: &str, text: &str| match exact::parse(text) {
        Ok(term) if !exact::is_value(&term) => {
            faults.push(format!("{name} = `{text}` is no number"))
        }
        Ok(term) => {
            if let Err(problem) = exact::enclose(&term, 96, &BTreeMap::new()) {
                faults.push(format!("{name} = `{text}`: {problem}"));
            }
        }
        Err(problem) => faults.push(format!("{name}: {problem}")),
    };
    for (name, text) in &shown.values {
        if text.contains('.') {
            value(name, "a decimal");
        }
        value(name, text);
    }
    for (name, text) in [("left", &shown.left), ("right", &shown.right)] {
        match text.strip_prefix("≈ ") {
            Some(decimal) => value(name, &decimal.replace(" · ", " * ")),
            None if text == "undefined" => {}
            None => value(name, text),
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(values: &[(&str, &str)], left: &str, right: &str) -> Shown {
        let values = values
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
            .collect();
        Shown {
            values,
            left: left.to_owned(),
            right: right.to_owned(),
        }
    }

    #[test]
    fn conditions_see_values_and_sides() {
        let point = shown(
            &[("ε", "1/3"), ("n", "5"), ("f(1/2)", "2")],
            "≈ 0.25",
            "sqrt(2)/8",
        );
        assert_eq!(
            satisfies(&point, "eps = 1/3 and ε = 1/3 and left > right"),
            Ok(true)
        );
        assert_eq!(satisfies(&point, "f(1/2) = 3"), Ok(false));
        assert!(faults_of_shown(&point).is_empty());
    }

    #[test]
    fn inexact_values_are_faults() {
        for (value, side) in [
            ("0.5", "1"),
            ("1/2", "0.25 or so"),
            ("x", "1"),
            ("1/2", "1/0"),
        ] {
            assert!(
                !faults_of_shown(&shown(&[("x", value)], side, "1")).is_empty(),
                "{value}"
            );
        }
        assert!(faults_of_shown(&shown(&[("x", "-1/2")], "undefined", "pi^2/6")).is_empty());
    }
}
