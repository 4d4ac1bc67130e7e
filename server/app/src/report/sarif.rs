//! The report for code hosts: SARIF 2.1.0.

use super::words;
use crate::run::{ReviewedDraft, Run};
use checks::catalogue::CHECKS;
use checks::{Finding, Severity};
use serde_json::{Value, json};
use source::Span;
use source::text::position::LineIndex;

/// Where the published schema of this format stands.
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The report as text, with a newline at its end.
///
/// # Errors
/// If a value cannot be written as JSON, which no value here does.
pub(crate) fn render(run: &Run) -> Result<String, serde_json::Error> {
    let mut results = Vec::new();
    for reviewed in &run.drafts {
        let lines = LineIndex::new(&reviewed.draft.text);
        let findings = reviewed.review.findings.iter();
        results.extend(findings.map(|finding| result(reviewed, &lines, finding)));
    }
    let notifications: Vec<Value> = run
        .skipped
        .iter()
        .map(|skipped| {
            json!({
                "level": "error",
                "message": {"text": skipped.reason},
                "locations": [{"physicalLocation": {"artifactLocation": artifact(&skipped.path)}}],
            })
        })
        .collect();
    let log = json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": {"driver": {
                "name": "majorant",
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules(),
            }},
            "columnKind": "unicodeCodePoints",
            "invocations": [{
                "executionSuccessful": run.skipped.is_empty(),
                "toolExecutionNotifications": notifications,
            }],
            "results": results,
        }],
    });
    let mut text = serde_json::to_string_pretty(&log)?;
    text.push('\n');
    Ok(text)
}

fn rules() -> Vec<Value> {
    CHECKS
        .iter()
        .map(|check| {
            json!({
                "id": check.name,
                "shortDescription": {"text": check.summary},
                "help": {"text": check.page, "markdown": check.page},
                "defaultConfiguration": {"level": level(check.severity)},
            })
        })
        .collect()
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Information | Severity::Hint => "note",
    }
}

fn result(reviewed: &ReviewedDraft, lines: &LineIndex<'_>, finding: &Finding) -> Value {
    let path = &reviewed.draft.path;
    let mut result = json!({
        "ruleId": finding.check.name,
        "level": level(finding.severity),
        "message": {"text": words::whole(finding)},
        "locations": [location(path, lines, finding.span)],
        "properties": {"severity": finding.severity.word()},
    });
    if let Some(index) = CHECKS.iter().position(|check| *check == finding.check) {
        result["ruleIndex"] = json!(index);
    }
    let argument = reviewed.review.arguments.get(finding.argument);
    if let Some(title) = argument.and_then(|argument| argument.title.as_deref()) {
        result["locations"][0]["logicalLocations"] = json!([{"name": title}]);
    }
    if !finding.related.is_empty() {
        let related = finding.related.iter().enumerate().map(|(id, related)| {
            let mut place = location(path, lines, related.span);
            place["id"] = json!(id);
            place["message"] = json!({"text": related.message});
            place
        });
        result["relatedLocations"] = related.collect();
    }
    if let Some(replacement) = &finding.replacement {
        result["fixes"] = json!([{
            "description": {"text": "This would mend it."},
            "artifactChanges": [{
                "artifactLocation": artifact(path),
                "replacements": [{
                    "deletedRegion": region(lines, replacement.span),
                    "insertedContent": {"text": replacement.text},
                }],
            }],
        }]);
    }
    result
}

fn location(path: &str, lines: &LineIndex<'_>, span: Span) -> Value {
    json!({"physicalLocation": {
        "artifactLocation": artifact(path),
        "region": region(lines, span),
    }})
}

fn region(lines: &LineIndex<'_>, span: Span) -> Value {
    let (start, end) = (lines.report(span.start), lines.report(span.end));
    json!({
        "startLine": start.line,
        "startColumn": start.column,
        "endLine": end.line,
        "endColumn": end.column,
    })
}

fn artifact(path: &str) -> Value {
    json!({"uri": uri(path)})
}

/// The path as a reference by RFC 3986: relative if the path is, below `file:` if it is not.
fn uri(path: &str) -> String {
    let path = path.trim_start_matches("./");
    let mut uri = String::new();
    if path.starts_with('/') {
        uri.push_str("file://");
    }
    for &byte in path.as_bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            uri.push(char::from(byte));
        } else {
            uri.push_str(&format!("%{byte:02X}"));
        }
    }
    uri
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::report::example;

    #[test]
    fn the_example_holds_what_it_must() {
        let log: Value = serde_json::from_str(&render(&example::run()).unwrap()).unwrap();
        let run = &log["runs"][0];
        assert_eq!(log["version"], "2.1.0");
        assert_eq!(run["tool"]["driver"]["rules"][0]["id"], CHECKS[0].name);
        let results = run["results"].as_array().unwrap();
        assert_eq!(results.len(), 2);
        let place = &results[0]["locations"][0]["physicalLocation"];
        assert_eq!(place["artifactLocation"]["uri"], "sheets/one.md");
        assert_eq!(place["region"]["startLine"], 5);
        assert_eq!(place["region"]["startColumn"], 41);
        assert_eq!(
            results[0]["relatedLocations"][0]["message"]["text"],
            "N was chosen here"
        );
        let change = &results[0]["fixes"][0]["artifactChanges"][0]["replacements"][0];
        assert_eq!(change["insertedContent"]["text"], "\\frac{1}{n}");
        assert_eq!(run["invocations"][0]["executionSuccessful"], false);
    }

    #[test]
    fn paths_are_references() {
        assert_eq!(uri("./a b/ε:1?.md"), "a%20b/%CE%B5%3A1%3F.md");
        assert_eq!(uri("/x/y.tex"), "file:///x/y.tex");
        assert_eq!(uri("../up.md"), "../up.md");
    }
}
