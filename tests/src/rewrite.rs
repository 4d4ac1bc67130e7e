//! Rewrites the expectations of findings in a draft to what its review says.

use crate::anchor::{collapse, occurrences};
use crate::expectation::{Expectation, Expected, in_comments, remove};
use checks::{Finding, Review};
use source::{Format, Span};

/// The draft with its `expect finding` comments replaced by the review's findings; conditions of
/// comments about the same check stay, expectations of verdicts stay. `review` is the review of
/// `text` as it stands.
///
/// # Errors
/// As [`in_comments`].
pub fn rewritten(text: &str, format: Format, review: &Review) -> Result<String, String> {
    let old = in_comments(text, format)?;
    let mut insertions: Vec<(usize, String)> = Vec::new();
    for finding in &review.findings {
        let block = block_around(text, finding.span, &old);
        insertions.push((block.end, comment(text, finding, block, format, &old)));
    }
    insertions.sort_by_key(|(place, _)| *place);
    let mut output = String::new();
    let mut at = 0;
    let removed: Vec<Span> = old
        .iter()
        .filter(|e| is_finding(e))
        .map(|e| e.comment)
        .collect();
    // Marks stand in for what is removed, so that places stay valid until all is in.
    for (place, line) in insertions {
        output.push_str(&blanked(text, at, place, &removed));
        if !output.is_empty() && !output.ends_with('\n') {
            output.push('\n');
        }
        output.push_str(&line);
        output.push('\n');
        at = place;
    }
    output.push_str(&blanked(text, at, text.len(), &removed));
    Ok(output)
}

fn is_finding(expectation: &Expectation) -> bool {
    matches!(expectation.what, Expected::Finding { .. })
}

fn blanked(text: &str, from: usize, to: usize, removed: &[Span]) -> String {
    let inside: Vec<Span> = removed
        .iter()
        .filter(|span| from <= span.start && span.end <= to)
        .map(|span| Span::new(span.start - from, span.end - from))
        .collect();
    remove(&text[from..to], &inside)
}

/// The run of lines around a span, bounded by empty lines and by lines with expectations.
fn block_around(text: &str, span: Span, old: &[Expectation]) -> Span {
    let mut block = Span::default();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let here = Span::new(start, start + line.len());
        let comment = old
            .iter()
            .any(|e| e.comment.start < here.end && here.start < e.comment.end);
        if line.trim().is_empty() || comment {
            if span.end <= block.end {
                break;
            }
            block = Span::new(here.end, here.end);
        } else {
            block.end = here.end;
        }
        start = here.end;
    }
    // A finding that spans several runs is anchored in its last one.
    block
}

fn comment(
    text: &str,
    finding: &Finding,
    block: Span,
    format: Format,
    old: &[Expectation],
) -> String {
    let start = finding.span.start.max(block.start);
    let quoted = Span::new(start, finding.span.end.min(block.end));
    let quote = collapse(text.get(quoted.range()).unwrap_or_default());
    let all = occurrences(text, block, &quote);
    let number = all
        .iter()
        .position(|place| quoted.contains(*place))
        .map_or(1, |at| at + 1);
    let mut body = format!(
        "expect finding {} {} at \"{}\"",
        finding.severity.word(),
        finding.check.name,
        escaped(&quote, format)
    );
    if 1 < all.len() {
        body.push_str(&format!(" #{number}"));
    }
    let condition = old.iter().find_map(|expectation| match &expectation.what {
        Expected::Finding {
            check, condition, ..
        } if check == finding.check.name && same_place(text, expectation, finding) => {
            condition.clone()
        }
        _ => None,
    });
    if let Some(condition) = condition {
        body.push_str(&format!(" where {condition}"));
    }
    match format {
        Format::Markdown => format!("<!-- {body} -->"),
        Format::Latex => format!("% {body}"),
    }
}

fn same_place(text: &str, expectation: &Expectation, finding: &Finding) -> bool {
    occurrences(text, expectation.block, &expectation.quote)
        .iter()
        .any(|place| place.start < finding.span.end && finding.span.start < place.end)
}

fn escaped(quote: &str, format: Format) -> String {
    let quote = quote.replace('"', "\\\"");
    match format {
        Format::Markdown => quote.replace("--", "\\-\\-"),
        Format::Latex => quote,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use checks::{Check, Severity};

    static CHECK: Check = Check {
        name: "step-fails",
        summary: "",
        severity: Severity::Error,
        page: "",
    };

    #[test]
    fn findings_replace_what_was_expected_and_keep_its_condition() {
        let text = "Now $a < b$.\n<!-- expect proved at \"a\" -->\n\
                    <!-- expect finding hint step-fails at \"b\" where n = 1 -->\n\nEnd $c$.\n";
        let at = text.find("a < b").expect("it stands there");
        let finding = Finding {
            check: &CHECK,
            severity: Severity::Error,
            span: Span::new(at, at + 5),
            message: String::new(),
            counterexample: None,
            related: Vec::new(),
            replacement: None,
            argument: 0,
            claim: None,
        };
        let review = Review {
            findings: vec![finding],
            ..Review::default()
        };
        let new = rewritten(text, Format::Markdown, &review).expect("well formed");
        let expected = "Now $a < b$.\n\
                        <!-- expect finding error step-fails at \"a < b\" where n = 1 -->\n\
                        <!-- expect proved at \"a\" -->\n\nEnd $c$.\n";
        assert_eq!(new, expected);
    }
}
