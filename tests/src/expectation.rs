//! What a draft's comments, or the list beside the samples, expect of its review.

use source::{Format, Span};

/// One expectation.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Expectation {
    /// What is expected.
    pub what: Expected,
    /// The quoted text, as written, escapes resolved.
    pub quote: String,
    /// Which occurrence is meant, from 1; `None` if only one is.
    pub occurrence: Option<usize>,
    /// Where quote and occurrence count.
    pub block: Span,
    /// The comment that says so (empty for lists).
    pub comment: Span,
    /// The line on which it is written, from 1.
    pub line: usize,
}

/// What is expected at the quote.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Expected {
    /// A claim with this verdict.
    Verdict(String),
    /// A finding.
    Finding {
        /// Its severity's word.
        severity: String,
        /// Its check's name.
        check: String,
        /// What its counterexample satisfies.
        condition: Option<String>,
    },
}

const VERDICTS: [&str; 4] = ["proved", "refuted", "unsettled", "unread"];
const SEVERITIES: [&str; 4] = ["error", "warning", "information", "hint"];

/// The expectations in a draft's own comments.
///
/// # Errors
/// A comment that begins with `expect` and is not understood: the line and what is wrong.
pub fn in_comments(text: &str, format: Format) -> Result<Vec<Expectation>, String> {
    let comments = comments(text, format);
    let mut found = Vec::new();
    for (place, (span, body)) in comments.iter().enumerate() {
        let line = line_of(text, span.start);
        let (what, quote, occurrence) =
            parse(body).map_err(|problem| format!("line {line}: {problem}"))?;
        let before: Vec<Span> = comments[..place].iter().map(|(span, _)| *span).collect();
        let block = block_before(text, span.start, &before);
        found.push(Expectation {
            what,
            quote,
            occurrence,
            block,
            comment: *span,
            line,
        });
    }
    Ok(found)
}

/// The text without its expectation comments; a line that held nothing else goes with them.
#[must_use]
pub fn without_comments(text: &str, format: Format) -> String {
    let spans: Vec<Span> = comments(text, format)
        .iter()
        .map(|(span, _)| *span)
        .collect();
    remove(text, &spans)
}

/// The text without those spans; a line of which nothing is left goes with them.
#[must_use]
pub fn remove(text: &str, spans: &[Span]) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let end = start + line.len();
        let mut rest = String::new();
        let mut at = start;
        let mut touched = false;
        for span in spans
            .iter()
            .filter(|span| span.start < end && start < span.end)
        {
            rest.push_str(&text[at..span.start.max(at)]);
            at = span.end.min(end);
            touched = true;
        }
        rest.push_str(&text[at..end]);
        if !(touched && rest.trim().is_empty()) {
            kept.push_str(&rest);
        }
        start = end;
    }
    kept
}

/// A list of expectations for drafts that stay clean of comments.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Listed {
    /// The draft's path, relative to the folder of the samples.
    pub path: String,
    /// Its expectations; their blocks are left empty: they count within the whole file.
    pub expectations: Vec<Expectation>,
}

/// Reads such a list: `# PATH` starts a draft, `expect …` lines follow. Lines that begin with
/// `//` are remarks.
///
/// # Errors
/// The line that is not understood.
pub fn in_list(list: &str) -> Result<Vec<Listed>, String> {
    let mut drafts: Vec<Listed> = Vec::new();
    for (place, line) in list.lines().enumerate() {
        let (number, line) = (place + 1, line.trim());
        if line.is_empty() || line.starts_with("//") {
            continue;
        }
        if let Some(path) = line.strip_prefix("# ") {
            let path = path.trim().to_owned();
            drafts.push(Listed {
                path,
                expectations: Vec::new(),
            });
            continue;
        }
        let draft = drafts
            .last_mut()
            .ok_or_else(|| format!("line {number}: no draft was named before"))?;
        let (what, quote, occurrence) =
            parse(line).map_err(|problem| format!("line {number}: {problem}"))?;
        draft.expectations.push(Expectation {
            what,
            quote,
            occurrence,
            block: Span::default(),
            comment: Span::default(),
            line: number,
        });
    }
    Ok(drafts)
}

/// `expect VERDICT at "QUOTE" [#K]` or `expect finding SEVERITY CHECK at "QUOTE" [#K] [where …]`.
fn parse(body: &str) -> Result<(Expected, String, Option<usize>), String> {
    let mut rest = body.strip_prefix("expect").unwrap_or(body).trim_start();
    let first = word(&mut rest);
    let what = if first == "finding" {
        let (severity, check) = (word(&mut rest).to_owned(), word(&mut rest).to_owned());
        if !SEVERITIES.contains(&severity.as_str()) {
            return Err(format!("`{severity}` is no severity"));
        }
        Expected::Finding {
            severity,
            check,
            condition: None,
        }
    } else if VERDICTS.contains(&first) {
        Expected::Verdict(first.to_owned())
    } else {
        return Err(format!("`{first}` is neither a verdict nor `finding`"));
    };
    if word(&mut rest) != "at" {
        return Err("`at \"…\"` is missing".to_owned());
    }
    let quote = quoted(&mut rest)?;
    let mut occurrence = None;
    if let Some(after) = rest.trim_start().strip_prefix('#') {
        rest = after;
        let number = word(&mut rest);
        let number: usize = number
            .parse()
            .map_err(|_| format!("`#{number}` is no number"))?;
        if number == 0 {
            return Err("`#K` counts from 1".to_owned());
        }
        occurrence = Some(number);
    }
    rest = rest.trim();
    if rest.is_empty() {
        return Ok((what, quote, occurrence));
    }
    match (what, rest.strip_prefix("where ")) {
        (
            Expected::Finding {
                severity, check, ..
            },
            Some(condition),
        ) => {
            let condition = Some(condition.trim().to_owned());
            Ok((
                Expected::Finding {
                    severity,
                    check,
                    condition,
                },
                quote,
                occurrence,
            ))
        }
        _ => Err(format!("`{rest}` is left over")),
    }
}

fn word<'text>(rest: &mut &'text str) -> &'text str {
    let text = rest.trim_start();
    let end = text.find(char::is_whitespace).unwrap_or(text.len());
    let (word, after) = text.split_at(end);
    *rest = after.trim_start();
    word
}

fn quoted(rest: &mut &str) -> Result<String, String> {
    let Some(text) = rest.trim_start().strip_prefix('"') else {
        return Err("the quote is missing".to_owned());
    };
    let mut quote = String::new();
    let mut characters = text.char_indices().peekable();
    while let Some((at, character)) = characters.next() {
        match character {
            '\\' if characters
                .peek()
                .is_some_and(|(_, next)| "\"-".contains(*next)) =>
            {
                quote.extend(characters.next().map(|(_, next)| next));
            }
            '"' => {
                *rest = &text[at + 1..];
                return Ok(quote);
            }
            other => quote.push(other),
        }
    }
    Err("the quote is never closed".to_owned())
}

/// The expectation comments with their bodies, in order.
fn comments(text: &str, format: Format) -> Vec<(Span, String)> {
    let mut found = Vec::new();
    match format {
        Format::Markdown => {
            let mut at = 0;
            while let Some(open) = text[at..].find("<!--").map(|place| at + place) {
                let inside = open + 4;
                let Some(length) = text[inside..].find("-->") else {
                    break;
                };
                let end = inside + length + 3;
                let body = text[inside..inside + length].trim();
                if body.starts_with("expect ") {
                    found.push((Span::new(open, end), body.to_owned()));
                }
                at = end;
            }
        }
        Format::Latex => {
            let mut start = 0;
            for line in text.split_inclusive('\n') {
                if let Some(place) = comment_sign(line) {
                    let body = line[place + 1..].trim();
                    if body.starts_with("expect ") {
                        let end = start + line.trim_end_matches(['\r', '\n']).len();
                        found.push((Span::new(start + place, end), body.to_owned()));
                    }
                }
                start += line.len();
            }
        }
    }
    found
}

/// The first `%` of a line of LaTeX that is not escaped.
fn comment_sign(line: &str) -> Option<usize> {
    let mut escaped = false;
    for (place, character) in line.char_indices() {
        match character {
            '%' if !escaped => return Some(place),
            '\\' => escaped = !escaped,
            _ => escaped = false,
        }
    }
    None
}

/// The run of lines before a comment that ends at an empty line or at an earlier comment.
fn block_before(text: &str, comment: usize, earlier: &[Span]) -> Span {
    // For each line whether it is empty but for comments, and whether it holds one.
    let mut lines: Vec<(Span, bool, bool)> = Vec::new();
    let mut start = 0;
    for line in text[..comment].split_inclusive('\n') {
        let span = Span::new(start, start + line.len());
        let inside = shifted(earlier, span);
        let empty = line.trim().is_empty() || remove(line, &inside).trim().is_empty();
        lines.push((span, empty, !inside.is_empty()));
        start = span.end;
    }
    while lines.last().is_some_and(|(_, empty, _)| *empty) {
        lines.pop();
    }
    let Some((last, before)) = lines.split_last() else {
        return Span::default();
    };
    let border = before
        .iter()
        .rposition(|(_, empty, comment)| *empty || *comment);
    let first = before
        .get(border.map_or(0, |place| place + 1))
        .unwrap_or(last);
    first.0.to(last.0)
}

fn shifted(spans: &[Span], window: Span) -> Vec<Span> {
    spans
        .iter()
        .filter(|span| span.start < window.end && window.start < span.end)
        .map(|span| {
            let start = span.start.max(window.start) - window.start;
            Span::new(start, span.end.min(window.end) - window.start)
        })
        .collect()
}

/// The line of a byte, from 1.
#[must_use]
pub fn line_of(text: &str, offset: usize) -> usize {
    text[..offset.min(text.len())].matches('\n').count() + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_speaks_of_the_block_before_it() {
        let text = "First $a$.\n\nThen\n$$ a < b $$\n<!-- expect proved at \"a < b\" -->\n\
                    <!-- expect finding error step-fails at \"a\" #2 where n = 5 and x > 1/3 -->\n\
                    After $c$.\n<!-- expect unread at \"say \\\"c\\\" \\-\\->\" -->\n";
        let found = in_comments(text, Format::Markdown).expect("well formed");
        assert_eq!(found.len(), 3);
        assert_eq!(&text[found[0].block.range()], "Then\n$$ a < b $$\n");
        assert_eq!(found[1].block, found[0].block);
        assert_eq!(found[1].occurrence, Some(2));
        let condition = Some("n = 5 and x > 1/3".to_owned());
        assert_eq!(
            found[1].what,
            Expected::Finding {
                severity: "error".into(),
                check: "step-fails".into(),
                condition
            }
        );
        assert_eq!(&text[found[2].block.range()], "After $c$.\n");
        assert_eq!(found[2].quote, "say \"c\" -->");
        let bare = "First $a$.\n\nThen\n$$ a < b $$\nAfter $c$.\n";
        assert_eq!(without_comments(text, Format::Markdown), bare);
    }

    #[test]
    fn latex_comments_are_found_behind_an_unescaped_percent_sign() {
        let text = "5 \\% of $a$ % expect proved at \"a\"\n% expected nothing\nb\n";
        let found = in_comments(text, Format::Latex).expect("well formed");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].quote, "a");
        assert_eq!(&text[found[0].block.range()], "5 \\% of $a$ ");
        let bare = "5 \\% of $a$ \n% expected nothing\nb\n";
        assert_eq!(without_comments(text, Format::Latex), bare);
    }

    #[test]
    fn what_is_not_understood_is_an_error() {
        for body in [
            "expect finding grave step-fails at \"a\"",
            "expect true at \"a\"",
            "expect proved at a",
            "expect proved \"a\"",
            "expect proved at \"a\" where n = 1",
            "expect proved at \"a",
            "expect proved at \"a\" #0",
        ] {
            let text = format!("a\n<!-- {body} -->\n");
            assert!(in_comments(&text, Format::Markdown).is_err(), "{body}");
        }
    }
}
