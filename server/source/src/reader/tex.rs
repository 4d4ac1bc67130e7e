//! Small lexical parsers of TeX source, shared by all readers.

use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_till, take_while1};
use nom::character::complete::{anychar, char, space0};
use nom::combinator::{opt, recognize};
use nom::sequence::{delimited, preceded};
use nom::{IResult, error::Error};
use std::ops::Range;

type Parsed<'text, T> = IResult<&'text str, T, Error<&'text str>>;

/// A control sequence: the name after the backslash, letters or one sign.
fn control_sequence(input: &str) -> Parsed<'_, &str> {
    preceded(
        char('\\'),
        alt((
            take_while1(|c: char| c.is_ascii_alphabetic()),
            recognize(anychar),
        )),
    )
    .parse(input)
}

/// The control sequence that starts at `at`: its name and one past its end.
pub(crate) fn command_at(text: &str, at: usize) -> Option<(&str, usize)> {
    let (rest, name) = control_sequence(text.get(at..)?).ok()?;
    Some((name, text.len() - rest.len()))
}

fn environment_mark(input: &str) -> Parsed<'_, (&str, &str)> {
    (
        alt((tag("\\begin"), tag("\\end"))),
        preceded(
            space0,
            delimited(
                char('{'),
                take_till(|c| matches!(c, '{' | '}' | '\n' | '\\' | '$')),
                char('}'),
            ),
        ),
    )
        .parse(input)
}

/// `\begin{name}` or `\end{name}`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Mark<'text> {
    pub(crate) begins: bool,
    /// As written, without its star.
    pub(crate) name: &'text str,
    /// One past the closing brace.
    pub(crate) end: usize,
}

/// The environment mark that starts at `at`.
pub(crate) fn mark_at(text: &str, at: usize) -> Option<Mark<'_>> {
    let (rest, (word, name)) = environment_mark(text.get(at..)?).ok()?;
    Some(Mark {
        begins: word == "\\begin",
        name: name.trim().trim_end_matches('*'),
        end: text.len() - rest.len(),
    })
}

fn verbatim_word(input: &str) -> Parsed<'_, (&str, Option<char>, char)> {
    (tag("\\verb"), opt(char('*')), anychar).parse(input)
}

/// One past the end of `\verb|…|` at `at`, and the range of its inside.
pub(crate) fn verb_at(text: &str, at: usize) -> Option<(Range<usize>, usize)> {
    let (rest, (_, _, fence)) = verbatim_word(text.get(at..)?).ok()?;
    if fence.is_alphanumeric() || fence.is_whitespace() {
        return None;
    }
    let start = text.len() - rest.len();
    let length = rest.find([fence, '\n'])?;
    if rest[length..].starts_with('\n') {
        return None;
    }
    Some((start..start + length, start + length + fence.len_utf8()))
}

/// Skips white space, but no blank line.
pub(crate) fn skip_space(text: &str, at: usize) -> usize {
    let bytes = text.as_bytes();
    let mut next = at;
    let mut newline_seen = false;
    while let Some(&byte) = bytes.get(next) {
        match byte {
            b' ' | b'\t' | b'\r' => {}
            b'\n' if !newline_seen => newline_seen = true,
            b'\n' => return at,
            _ => return next,
        }
        next += 1;
    }
    next
}

/// Whether the newline at `at` is followed by a blank line (or by the end of the text).
pub(crate) fn blank_line_follows(text: &str, at: usize) -> bool {
    text.as_bytes()[at..]
        .iter()
        .skip(1)
        .find(|byte| !matches!(byte, b' ' | b'\t' | b'\r'))
        .is_none_or(|&byte| byte == b'\n')
}

/// The longest argument that [`group_at`] and [`bracket_at`] look through, in bytes; it keeps
/// thousands of unclosed braces from being searched to the end of the draft each.
pub(crate) const ARGUMENT_BYTES: usize = 2048;

/// The inside of a braced group that opens at `at` and ends before the next blank line.
pub(crate) fn group_at(text: &str, at: usize) -> Option<Range<usize>> {
    if text.as_bytes().get(at) != Some(&b'{') {
        return None;
    }
    close_of(text, at + 1, b'}').map(|end| at + 1..end)
}

/// The inside of an optional argument that opens at `at`.
pub(crate) fn bracket_at(text: &str, at: usize) -> Option<Range<usize>> {
    if text.as_bytes().get(at) != Some(&b'[') {
        return None;
    }
    close_of(text, at + 1, b']').map(|end| at + 1..end)
}

fn close_of(text: &str, start: usize, closer: u8) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut depth = 0_usize;
    let mut at = start;
    while at < bytes.len() && at < start + ARGUMENT_BYTES {
        match bytes[at] {
            byte if depth == 0 && byte == closer => return Some(at),
            b'\\' => at += 1,
            b'{' => depth += 1,
            b'}' if depth == 0 => return None,
            b'}' => depth -= 1,
            b'\n' if blank_line_follows(text, at) => return None,
            _ => {}
        }
        at += 1;
    }
    None
}

/// Pairs of braces in a text, by place of the opening one. Unmatched braces have none.
pub(crate) fn brace_pairs(text: &str) -> Vec<(usize, usize)> {
    let bytes = text.as_bytes();
    let mut open = Vec::new();
    let mut pairs = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        match bytes[at] {
            b'\\' => at += 1,
            b'{' => open.push(at),
            b'}' => {
                if let Some(start) = open.pop() {
                    pairs.push((start, at));
                }
            }
            _ => {}
        }
        at += 1;
    }
    pairs.sort_unstable();
    pairs
}

/// Whether the text ends in a control word, so that a letter behind it would join its name.
pub(crate) fn ends_in_control_word(text: &str) -> bool {
    let letters = text
        .bytes()
        .rev()
        .take_while(u8::is_ascii_alphabetic)
        .count();
    let head = &text.as_bytes()[..text.len() - letters];
    let slashes = head.iter().rev().take_while(|&&byte| byte == b'\\').count();
    0 < letters && slashes % 2 == 1
}
