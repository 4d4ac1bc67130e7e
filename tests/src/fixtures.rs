//! Fixtures: drafts whose own comments say what their review must find.

use crate::draft::{Draft, drafts_below, project, reviewed};
use crate::expectation::{Expected, in_comments, line_of, without_comments};
use crate::invariants;
use crate::rewrite::rewritten;
use crate::verify::{Unlisted, departures, describe, slice};
use checks::{Finding, Review};
use std::fs;

/// The environment variable that has the expectations of findings rewritten.
pub const REWRITE: &str = "MAJORANT_REWRITE";

/// All fixtures.
#[must_use]
pub fn fixtures() -> Vec<Draft> {
    drafts_below(&project().join("tests/fixtures"))
}

/// In what the review of a fixture departs from its comments; with [`REWRITE`] set, the file is
/// rewritten where it departs, and still counts as departing, so that somebody looks at it.
#[must_use]
pub fn judge(fixture: &Draft) -> Vec<String> {
    let expectations = match in_comments(&fixture.text, fixture.format) {
        Ok(expectations) => expectations,
        Err(problem) => return vec![problem],
    };
    let review = reviewed(&fixture.text, fixture.format);
    let mut problems = departures(&fixture.text, &review, &expectations, Unlisted::Fail);
    problems.extend(invariants::faults(&fixture.text, &review));
    problems.extend(faults_of_name(&fixture.name, &expectations));
    let rewrite = std::env::var(REWRITE).is_ok_and(|value| value == "1");
    if rewrite && !problems.is_empty() {
        match rewritten(&fixture.text, fixture.format, &review) {
            Ok(text) if text != fixture.text => {
                fs::write(&fixture.path, text)
                    .unwrap_or_else(|error| panic!("{}: {error}", fixture.path.display()));
                problems.push("rewritten: review the difference".to_owned());
            }
            Ok(_) => {}
            Err(problem) => problems.push(problem),
        }
    }
    problems
}

/// A fixture in a check's folder keeps what its name promises: `fires-*` lists a finding of that
/// check, `silent-*` lists none of it.
fn faults_of_name(name: &str, expectations: &[crate::expectation::Expectation]) -> Option<String> {
    let (folder, file) = name.split_once('/')?;
    let lists = expectations.iter().any(|expectation| {
        matches!(&expectation.what, Expected::Finding { check, .. } if check == folder)
    });
    if file.starts_with("fires-") && !lists {
        return Some(format!("fires, but lists no {folder}"));
    }
    if file.starts_with("silent-") && lists {
        return Some(format!("is silent, but lists {folder}"));
    }
    None
}

/// In what the findings change, beside their lines, when all expectations are deleted.
#[must_use]
pub fn change_without_comments(fixture: &Draft) -> Vec<String> {
    let bare = without_comments(&fixture.text, fixture.format);
    let with = shape(&fixture.text, &reviewed(&fixture.text, fixture.format));
    let without = shape(&bare, &reviewed(&bare, fixture.format));
    if with == without {
        return Vec::new();
    }
    let only = |some: &[String], others: &[String], whose: &str| -> Vec<String> {
        let missing = some.iter().filter(|line| !others.contains(line));
        missing
            .map(|line| format!("only {whose} comments: {line}"))
            .collect()
    };
    let mut changes = only(&with, &without, "with");
    changes.extend(only(&without, &with, "without"));
    if changes.is_empty() {
        changes.push("findings change their order".to_owned());
    }
    changes
}

/// Findings without their lines: what is said, and at which text and column.
fn shape(text: &str, review: &Review) -> Vec<String> {
    let one = |finding: &Finding| {
        let line_start = text[..finding.span.start]
            .rfind('\n')
            .map_or(0, |at| at + 1);
        let column = text[line_start..finding.span.start].chars().count();
        let line = format!("line {}: ", line_of(text, finding.span.start));
        let said = describe(text, finding);
        let related: Vec<&str> = finding
            .related
            .iter()
            .map(|related| slice(text, related.span))
            .collect();
        let said = said.strip_prefix(&line).unwrap_or(&said).to_owned();
        format!(
            "{said} (column {column}, {:?}, {related:?})",
            finding.counterexample
        )
    };
    review.findings.iter().map(one).collect()
}

/// A message that lists the departures of many drafts.
#[must_use]
pub fn report(results: &[(String, Vec<String>)]) -> String {
    let failed: Vec<_> = results
        .iter()
        .filter(|(_, problems)| !problems.is_empty())
        .collect();
    let mut message = format!("{} of {} drafts depart:\n", failed.len(), results.len());
    for (name, problems) in failed {
        message.push_str(&format!("{name}\n"));
        for problem in problems {
            message.push_str(&format!("    {problem}\n"));
        }
    }
    message
}
