//! Makes a formula of a delimited stretch of source.

use super::block::{Delimiter, MathPiece, Notice, NoticeKind};
use super::commands::is_known_math_command;
use super::expand::expand;
use super::macros::Macros;
use super::strip::comment_end;
use super::tex::{command_at, mark_at};
use crate::limits;
use crate::text::mapped::Mapped;
use crate::text::span::Span;

/// A formula from its source as typed: comments cut out, macros expanded. `None` if nothing is
/// left, as when it only defines macros.
pub(crate) fn from_source(
    source: Mapped,
    span: Span,
    delimiter: Delimiter,
    macros: &mut Macros<'_>,
    notices: &mut Vec<Notice>,
) -> Option<MathPiece> {
    let content = expand(without_comments(source), macros, notices);
    from_expanded(content, span, delimiter, notices)
}

/// A formula from source that is expanded already.
pub(crate) fn from_expanded(
    content: Mapped,
    span: Span,
    delimiter: Delimiter,
    notices: &mut Vec<Notice>,
) -> Option<MathPiece> {
    if content.text().trim().is_empty() {
        return None;
    }
    if limits::FORMULA_DEPTH < brace_depth(content.text()) {
        notices.push(Notice {
            kind: NoticeKind::LimitExceeded("depth of braces in a formula"),
            span,
        });
    }
    Some(MathPiece {
        unknown_macros: unknown_macros(&content),
        content,
        span,
        delimiter,
        struck: false,
    })
}

/// Commands in a formula that nobody defines, with their places.
pub(crate) fn unknown_macros(content: &Mapped) -> Vec<(String, Span)> {
    let text = content.text();
    let mut unknown = Vec::new();
    let mut at = 0;
    while let Some(found) = text[at..].find('\\') {
        let start = at + found;
        let Some((name, end)) = command_at(text, start) else {
            break;
        };
        if !is_known_math_command(name) {
            unknown.push((name.to_owned(), content.span(start..end)));
        }
        at = mark_at(text, start).map_or(end, |mark| mark.end);
    }
    unknown
}

fn brace_depth(text: &str) -> usize {
    let mut depth = 0_usize;
    let mut deepest = 0;
    let mut escaped = false;
    for byte in text.bytes() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'{' => depth += 1,
            b'}' => depth = depth.saturating_sub(1),
            _ => {}
        }
        deepest = deepest.max(depth);
    }
    deepest
}

/// The source without TeX comments; `\%` stays.
fn without_comments(source: Mapped) -> Mapped {
    let text = source.text();
    if !text.contains('%') {
        return source;
    }
    let mut output = Mapped::new();
    let mut kept = 0;
    let mut at = 0;
    while let Some(&byte) = text.as_bytes().get(at) {
        match byte {
            b'\\' => at = command_at(text, at).map_or(text.len(), |(_, end)| end),
            b'%' => {
                output.push_mapped(&source, kept..at);
                at = comment_end(text, at);
                kept = at;
            }
            _ => at += 1,
        }
    }
    output.push_mapped(&source, kept..text.len());
    output
}
