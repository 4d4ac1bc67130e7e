//! Removes from LaTeX source what is never read: comments, and environments that hold code.

use super::commands::is_skipped_environment;
use super::tex::{blank_line_follows, mark_at, verb_at};
use crate::text::mapped::Mapped;

/// The source without comments, verbatim text and other environments that hold no prose.
pub(crate) fn strip(source: &Mapped) -> Mapped {
    let text = source.text();
    let bytes = text.as_bytes();
    let mut output = Mapped::new();
    let mut kept = 0;
    let mut at = 0;
    // Names of which no closing mark follows: each is searched for at most once in vain.
    let mut unclosed: Vec<&str> = Vec::new();
    while at < bytes.len() {
        match bytes[at] {
            b'%' => {
                output.push_mapped(source, kept..at);
                at = comment_end(text, at);
                kept = at;
            }
            b'\\' => {
                if let Some((_, end)) = verb_at(text, at) {
                    at = end;
                    continue;
                }
                match mark_at(text, at) {
                    Some(mark) if mark.begins && is_skipped_environment(mark.name) => {
                        let skipped = !unclosed.contains(&mark.name);
                        let end = skipped
                            .then(|| closing(text, mark.end, mark.name))
                            .flatten();
                        if let Some(end) = end {
                            output.push_mapped(source, kept..at);
                            at = end;
                            kept = end;
                        } else {
                            unclosed.push(mark.name);
                            at = mark.end;
                        }
                    }
                    Some(mark) => at = mark.end,
                    None => {
                        let next = text[at + 1..].chars().next();
                        at += 1 + next.map_or(0, char::len_utf8);
                    }
                }
            }
            _ => at += 1,
        }
    }
    output.push_mapped(source, kept..bytes.len());
    output
}

/// One past the end of `\end{name}` after `start`.
fn closing(text: &str, start: usize, name: &str) -> Option<usize> {
    text[start..].match_indices("\\end").find_map(|(found, _)| {
        let mark = mark_at(text, start + found)?;
        (mark.name == name).then_some(mark.end)
    })
}

/// One past a comment at `at`: with its line end and the next line's indent, as TeX reads, but a
/// blank line after it stays one.
pub(crate) fn comment_end(text: &str, at: usize) -> usize {
    let bytes = text.as_bytes();
    let Some(length) = text[at..].find('\n') else {
        return bytes.len();
    };
    let line_end = at + length;
    if blank_line_follows(text, line_end) {
        let line_start = text[..at].rfind('\n').map_or(0, |found| found + 1);
        let alone = text[line_start..at].trim().is_empty();
        // A comment that stands alone vanishes with its line; the blank line after it remains.
        return if alone { line_end + 1 } else { line_end };
    }
    let mut next = line_end + 1;
    while next < bytes.len() && matches!(bytes[next], b' ' | b'\t') {
        next += 1;
    }
    next
}
