//! Comments of a draft that speak to us: `majorant: read …`, `majorant: reject`, `majorant: end`.

use super::edit::Edit;
use checks::catalogue::NOT_READ;
use checks::{Finding, Review, Settings};
use source::{Format, Span};
use std::ops::Range;

/// What the comments of a draft ask for.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub(super) edits: Vec<Edit>,
    /// What was rejected, with the comments around it.
    pub(super) rejected: Vec<Span>,
    /// Comments that were not understood, and why.
    pub(super) complaints: Vec<(Span, String)>,
}

/// The name by which a comment speaks to us.
const NAME: &str = "majorant:";

/// The comments of a draft that speak to us.
pub(super) fn find(text: &str, format: Format) -> Notes {
    let mut notes = Notes::default();
    if !text.contains(NAME) {
        return notes;
    }
    let comments = match format {
        Format::Markdown => in_markdown(text),
        Format::Latex => in_latex(text),
    };
    let mut rejected: Option<Range<usize>> = None;
    for (range, said) in comments {
        let (word, rest) = said
            .split_once(char::is_whitespace)
            .map_or((said, ""), |(word, rest)| (word, rest.trim()));
        let fault = match (word, &rejected) {
            ("end", Some(from)) => {
                notes.rejected.push(Span::new(from.start, range.end));
                notes.edits.push(Edit {
                    range: from.start..range.end,
                    text: " ".to_owned(),
                });
                rejected = None;
                None
            }
            // What is rejected may say anything.
            (_, Some(_)) => None,
            ("end", None) => Some("nothing is rejected above it".to_owned()),
            ("reject", None) => {
                rejected = Some(range.clone());
                None
            }
            ("read", None) if !rest.is_empty() => {
                notes.edits.push(Edit {
                    range: range.clone(),
                    text: sentence(rest),
                });
                None
            }
            ("read", None) => Some("it says nothing to read".to_owned()),
            _ => Some(format!("{word:?} is none of read, reject and end")),
        };
        if let Some(fault) = fault {
            notes
                .complaints
                .push((Span::new(range.start, range.end), fault));
        }
    }
    if let Some(from) = rejected {
        let fault = "no comment \"majorant: end\" follows, so that nothing is rejected";
        notes
            .complaints
            .push((Span::new(from.start, from.end), fault.to_owned()));
    }
    notes
}

fn sentence(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.ends_with(['.', '!', '?']) {
        text
    } else {
        format!("{text}.")
    }
}

/// HTML comments outside of fenced code, with what they say to us.
fn in_markdown(text: &str) -> Vec<(Range<usize>, &str)> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(start) = text[at..].find("<!--").map(|offset| at + offset) {
        let Some(end) = text[start..].find("-->").map(|offset| start + offset) else {
            break;
        };
        at = end + 3;
        if in_fence(&text[..start]) {
            continue;
        }
        if let Some(said) = text[start + 4..end].trim().strip_prefix(NAME) {
            found.push((start..at, said.trim()));
        }
    }
    found
}

/// Whether the text ends inside of fenced code.
fn in_fence(text: &str) -> bool {
    let mut open: Option<char> = None;
    for line in text.lines() {
        let line = line.trim_start();
        for mark in ['`', '~'] {
            if line.chars().take_while(|&letter| letter == mark).count() >= 3 {
                match open {
                    Some(begun) if begun == mark => open = None,
                    None => open = Some(mark),
                    Some(_) => {}
                }
            }
        }
    }
    open.is_some()
}

/// Comments behind `%`, with what they say to us.
fn in_latex(text: &str) -> Vec<(Range<usize>, &str)> {
    let mut found = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let content = line.trim_end_matches(['\n', '\r']);
        let mark = content.char_indices().find(|(place, letter)| {
            let slashes = content[..*place]
                .chars()
                .rev()
                .take_while(|&before| before == '\\')
                .count();
            *letter == '%' && slashes % 2 == 0
        });
        if let Some((mark, _)) = mark {
            let comment = content[mark..].trim_start_matches('%').trim();
            if let Some(said) = comment.strip_prefix(NAME) {
                found.push((at + mark..at + content.len(), said.trim()));
            }
        }
        at += line.len();
    }
    found
}

/// Tells the author of comments that were not understood.
pub(super) fn complain(review: &mut Review, complaints: &[(Span, String)], settings: &Settings) {
    let severity = settings.severities.get(NOT_READ.name).copied();
    let Some(severity) = severity.unwrap_or(Some(NOT_READ.severity)) else {
        return;
    };
    for (span, fault) in complaints {
        let before = review
            .arguments
            .iter()
            .rposition(|argument| argument.span.start <= span.start);
        if review.arguments.is_empty() {
            continue;
        }
        review.findings.push(Finding {
            check: &NOT_READ,
            severity,
            span: *span,
            message: format!("This comment was not understood: {fault}."),
            counterexample: None,
            related: Vec::new(),
            replacement: None,
            argument: before.unwrap_or(0),
            claim: None,
        });
    }
    if !complaints.is_empty() {
        super::settle(review);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str, format: Format) -> (Vec<String>, Vec<String>) {
        let notes = find(text, format);
        let edits = notes.edits.into_iter();
        let edits = edits.map(|edit| format!("{:?} -> {:?}", &text[edit.range], edit.text));
        let complaints = notes.complaints.into_iter().map(|(_, fault)| fault);
        (edits.collect(), complaints.collect())
    }

    #[test]
    fn comments_are_found_in_both_languages() {
        let (edits, complaints) = told(
            "a <!-- majorant: read Let $x \\in [0, 1]$ --> b\n<!-- majorant: reject -->\nc\n\
             <!-- majorant: reads --> <!-- majorant: end -->\n```\n<!-- majorant: x -->\n```\n\
             <!-- other -->",
            Format::Markdown,
        );
        assert_eq!(
            edits,
            [
                "\"<!-- majorant: read Let $x \\\\in [0, 1]$ -->\" -> \"Let $x \\\\in [0, 1]$.\"",
                "\"<!-- majorant: reject -->\\nc\\n<!-- majorant: reads --> <!-- majorant: end -->\" \
                 -> \" \"",
            ]
        );
        assert_eq!(complaints, [""; 0]);
        let (edits, complaints) = told(
            "5\\% of it % majorant: read Let $p > 0$.\r\n%% majorant: end\n% majorant: rejct\n\
             % majorant: reject\n",
            Format::Latex,
        );
        assert_eq!(
            edits,
            ["\"% majorant: read Let $p > 0$.\" -> \"Let $p > 0$.\""]
        );
        assert_eq!(complaints.len(), 3, "{complaints:?}");
    }
}
