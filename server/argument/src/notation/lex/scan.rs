//! The smallest pieces of a formula's text: numerals, commands, delimiters, literal arguments.

use super::{Tok, commands};
use crate::limits::LITERAL_ARGUMENT;
use crate::notation::syntax::Sign;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while, take_while1};
use nom::character::complete::{alpha1, anychar, char, digit1};
use nom::combinator::{map, opt, recognize, verify};
use nom::sequence::{delimited, pair, preceded};
use nom::{IResult, Parser};

pub(super) fn space(rest: &str) -> IResult<&str, &str> {
    take_while1(char::is_whitespace).parse(rest)
}

/// A backslash with its letters, or with one other character.
pub(super) fn command(rest: &str) -> IResult<&str, &str> {
    preceded(char('\\'), alt((alpha1, recognize(anychar)))).parse(rest)
}

pub(super) fn word_run(rest: &str) -> IResult<&str, &str> {
    alpha1.parse(rest)
}

pub(super) fn script_run(plain: fn(char) -> Option<char>, rest: &str) -> IResult<&str, &str> {
    take_while1(move |c| plain(c).is_some()).parse(rest)
}

/// HTML entities that editors leave in formulas.
pub(super) fn entity(rest: &str) -> IResult<&str, Tok> {
    use kernel::Relation::{Greater, GreaterEqual, Less, LessEqual};
    let relation = |relation| move |_| Tok::Sign(Sign::Relation(relation));
    alt((
        map(tag("&lt;"), relation(Less)),
        map(tag("&gt;"), relation(Greater)),
        map(tag("&le;"), relation(LessEqual)),
        map(tag("&ge;"), relation(GreaterEqual)),
        map(tag("&amp;"), |_| Tok::Align),
        map(tag("&nbsp;"), |_| Tok::Gap),
    ))
    .parse(rest)
}

/// A numeral: digits, a decimal point, a decimal comma where it is certain, thousands after a
/// thin space.
pub(super) fn number(rest: &str) -> IResult<&str, Tok> {
    alt((
        map(preceded(char('.'), digit1), |digits: &str| {
            Tok::Number(format!("0.{digits}"))
        }),
        braced_decimal,
        unsure_comma,
        grouped,
        map(
            recognize(pair(digit1, opt(preceded(char('.'), digit1)))),
            |text: &str| Tok::Number(text.to_owned()),
        ),
    ))
    .parse(rest)
}

/// `0{,}5`: braces take the list's space from the comma, so that it is a decimal one.
fn braced_decimal(rest: &str) -> IResult<&str, Tok> {
    map(
        (digit1, delimited(char('{'), char(','), char('}')), digit1),
        |(whole, _, part)| Tok::Number(format!("{whole}.{part}")),
    )
    .parse(rest)
}

/// `0,001` has a decimal comma, for no list holds `001`; `10,000` may be ten or ten thousand.
fn unsure_comma(rest: &str) -> IResult<&str, Tok> {
    map(
        (
            digit1,
            char(','),
            verify(digit1, |part: &str| part.len() > 1 && part.starts_with('0')),
        ),
        |(whole, _, part): (&str, char, &str)| {
            if whole == "0" {
                Tok::Number(format!("0.{part}"))
            } else {
                Tok::Unreadable("is this comma a decimal comma or does it separate thousands?")
            }
        },
    )
    .parse(rest)
}

/// `10\,000`
fn grouped(rest: &str) -> IResult<&str, Tok> {
    let (mut left, first) = verify(digit1, |digits: &str| digits.len() <= 3).parse(rest)?;
    let mut digits = first.to_owned();
    let mut groups = 0;
    while let Ok((after, group)) = thousands(left) {
        digits.push_str(group);
        left = after;
        groups += 1;
    }
    if groups == 0 {
        return Err(nom::Err::Error(nom::error::Error::new(
            rest,
            nom::error::ErrorKind::Digit,
        )));
    }
    Ok((left, Tok::Number(digits)))
}

fn thousands(rest: &str) -> IResult<&str, &str> {
    preceded(
        alt((tag("\\,"), tag("\u{2009}"), tag("\u{202f}"))),
        verify(digit1, |digits: &str| digits.len() == 3),
    )
    .parse(rest)
}

/// The delimiter after `\left` and its kin, as one character; bars `|`, `‖`, none `.`.
pub(super) fn delimiter(rest: &str) -> IResult<&str, char> {
    let (rest, _) = take_while(char::is_whitespace).parse(rest)?;
    let named = |name: &'static str, c: char| map(tag(name), move |_: &str| c);
    alt((
        alt((
            named("\\lbrace", '{'),
            named("\\rbrace", '}'),
            named("\\lbrack", '['),
            named("\\rbrack", ']'),
            named("\\{", '{'),
            named("\\}", '}'),
            named("\\lvert", '|'),
            named("\\rvert", '|'),
            named("\\vert", '|'),
            named("\\mid", '|'),
        )),
        alt((
            named("\\lVert", '‖'),
            named("\\rVert", '‖'),
            named("\\Vert", '‖'),
            named("\\|", '‖'),
            named("\\lfloor", '⌊'),
            named("\\rfloor", '⌋'),
            named("\\lceil", '⌈'),
            named("\\rceil", '⌉'),
            named("\\langle", '⟨'),
            named("\\rangle", '⟩'),
        )),
        verify(anychar, |c| "()[]|‖⌊⌋⌈⌉⟨⟩./".contains(*c)),
    ))
    .parse(rest)
}

/// `\bigl` opens, `\bigr` closes.
pub(super) fn big_side(name: &str) -> Option<bool> {
    let stem = name
        .strip_prefix("bigg")
        .or_else(|| name.strip_prefix("Bigg"))
        .or_else(|| name.strip_prefix("big"))
        .or_else(|| name.strip_prefix("Big"))?;
    match stem {
        "l" => Some(true),
        "r" => Some(false),
        _ => None,
    }
}

/// A short literal argument in braces: what follows, and the content.
pub(super) fn literal(rest: &str) -> Option<(&str, &str)> {
    let inside = rest.trim_start().strip_prefix('{')?;
    let mut depth = 0usize;
    for (at, c) in inside.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => return Some((&inside[at + 1..], &inside[..at])),
            '}' => depth -= 1,
            _ if at > LITERAL_ARGUMENT => return None,
            _ => {}
        }
    }
    None
}

/// A single character as argument: `\mathbb R`.
pub(super) fn single(rest: &str) -> Option<(&str, &str)> {
    let trimmed = rest.trim_start();
    let c = trimmed.chars().next().filter(|c| c.is_alphanumeric())?;
    let (content, after) = trimmed.split_at(c.len_utf8());
    Some((after, content))
}

/// The length of the text before the brace that closes an already opened group; all of it if
/// none does.
pub(super) fn balanced_length(inside: &str) -> usize {
    let mut depth = 0usize;
    let mut escaped = false;
    for (at, c) in inside.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '{' => depth += 1,
            '}' if depth == 0 => return at,
            '}' => depth -= 1,
            _ => {}
        }
    }
    inside.len()
}

/// Words without commands, braces and repeated white space.
pub(super) fn tidy_words(content: &str) -> String {
    let mut plain_text = String::new();
    let mut rest = content;
    while let Some(c) = rest.chars().next() {
        if let Ok((left, name)) = command(rest) {
            if !name.chars().all(char::is_alphabetic) {
                plain_text.push(' ');
            } else if let Some(Tok::Letter(letter)) = commands::token(name) {
                plain_text.push_str(&letter);
            } else {
                plain_text.push(' ');
            }
            rest = left;
            continue;
        }
        match c {
            '{' | '}' => {}
            '~' => plain_text.push(' '),
            other => plain_text.push(other),
        }
        rest = &rest[c.len_utf8()..];
    }
    plain_text.split_whitespace().collect::<Vec<_>>().join(" ")
}
