//! Whether a run of tokens without words can only be mathematics. In doubt it is not.

use super::last_word;
use super::tokens::{Kind, Token};
use std::ops::Range;

/// Whether a trimmed run can only be mathematics.
pub(super) fn is_mathematics(text: &str, tokens: &[Token], range: Range<usize>) -> bool {
    let part = &tokens[range.clone()];
    let has = |kind: Kind| part.iter().any(|token| token.kind == kind);
    let letters = part
        .iter()
        .any(|token| matches!(token.kind, Kind::Letter | Kind::Product | Kind::Sign));
    let operand = part.iter().any(|token| token.is_operand());
    if is_hyphenated_pair(text, part) {
        return false;
    }
    if part
        .iter()
        .any(|token| token.strong && token.kind != Kind::Number)
    {
        return operand || has(Kind::Relation);
    }
    let valued = part
        .iter()
        .any(|token| token.is_operand() && token.kind != Kind::Function);
    if has(Kind::Relation) && valued {
        let begins = part[0].kind == Kind::Relation && part[0].text(text) == "=";
        return letters || !begins;
    }
    if letters && (bars_pair(part) || applies(text, part) || function_of(part)) {
        return true;
    }
    if is_interval(text, tokens, range.clone()) || is_fraction(text, tokens, range) {
        return true;
    }
    letters && operates(text, part)
}

/// `ε-δ`, `x-y` as words in front of a noun.
fn is_hyphenated_pair(text: &str, part: &[Token]) -> bool {
    let hyphens = part
        .iter()
        .all(|token| token.kind == Kind::Letter || matches!(token.text(text), "-" | "–"));
    hyphens && part.iter().any(|token| token.kind == Kind::Operator)
}

/// `|x|` with something inside, the bars close to it: those of a table stand apart.
fn bars_pair(part: &[Token]) -> bool {
    let bars: Vec<usize> = (0..part.len())
        .filter(|&at| part[at].kind == Kind::Bar)
        .collect();
    let [first, second, ..] = bars[..] else {
        return false;
    };
    bars.len().is_multiple_of(2)
        && first + 1 < second
        && !part[first + 1].is_space()
        && !part[second - 1].is_space()
        && part[first..second].iter().any(|token| token.is_operand())
}

/// `f(x)`: a letter with an argument in which there is a letter.
fn applies(text: &str, part: &[Token]) -> bool {
    part.windows(4).any(|window| {
        let name = window[0].text(text);
        let attached = window[0].kind == Kind::Letter && window[1].kind == Kind::Open;
        attached
            && name != "a"
            && matches!(window[2].kind, Kind::Letter | Kind::Product | Kind::Number)
            && (window[3].kind == Kind::Close
                || matches!(window[3].kind, Kind::Operator | Kind::Comma | Kind::Letter))
            && match window[2].kind {
                Kind::Number if window[1].text(text) == "[" => window[3].kind == Kind::Comma,
                Kind::Number => matches!(name, "f" | "g" | "h" | "F" | "G"),
                _ => true,
            }
    })
}

/// `sin x`, `exp(-x)`
fn function_of(part: &[Token]) -> bool {
    let solid: Vec<&Token> = part.iter().filter(|token| !token.is_space()).collect();
    solid.windows(2).any(|window| {
        window[0].kind == Kind::Function
            && matches!(
                window[1].kind,
                Kind::Letter | Kind::Open | Kind::Product | Kind::Bar
            )
    })
}

/// `[0, 1]`, `(0, ∞)`, `[a, b)`. A pair in round brackets is one only behind a word such as "on";
/// whole numbers in square brackets behind "see" are references.
fn is_interval(text: &str, tokens: &[Token], range: Range<usize>) -> bool {
    let part = &tokens[range.clone()];
    let [first, inside @ .., last] = part else {
        return false;
    };
    let commas = part
        .iter()
        .filter(|token| token.kind == Kind::Comma)
        .count();
    let simple = inside.iter().all(|token| {
        token.is_operand() || token.is_space() || matches!(token.kind, Kind::Comma | Kind::Operator)
    });
    if first.kind != Kind::Open || last.kind != Kind::Close || commas != 1 || !simple {
        return false;
    }
    let before = tokens[..range.start]
        .iter()
        .rev()
        .find(|token| !token.is_space())
        .map(|token| last_word(token.text(text)).to_lowercase())
        .unwrap_or_default();
    let places = matches!(
        before.as_str(),
        "on" | "in"
            | "over"
            | "interval"
            | "intervals"
            | "domain"
            | "and"
            | "to"
            | "auf"
            | "intervall"
            | "or"
            | "from"
            | "by"
    );
    if first.text(text) == "(" && last.text(text).starts_with(')') {
        return places && before != "by" && before != "from";
    }
    !matches!(
        before.as_str(),
        "see" | "cf" | "ref" | "by" | "from" | "references"
    )
}

/// `greater than 5/4`: a fraction of numerals behind a word that compares or measures.
fn is_fraction(text: &str, tokens: &[Token], range: Range<usize>) -> bool {
    let [numerator, slash, denominator] = &tokens[range.clone()] else {
        return false;
    };
    let kinds = [numerator.kind, slash.kind, denominator.kind];
    let before = tokens[..range.start]
        .iter()
        .rev()
        .find(|token| !token.is_space())
        .filter(|token| token.kind == Kind::Word)
        .map(|token| last_word(token.text(text)).to_lowercase())
        .unwrap_or_default();
    let behind = tokens.get(range.end).map(|token| token.text(text));
    kinds == [Kind::Number, Kind::Operator, Kind::Number]
        && slash.text(text) == "/"
        && behind != Some("/")
        && matches!(
            before.as_str(),
            "than"
                | "least"
                | "most"
                | "to"
                | "by"
                | "equals"
                | "exceeds"
                | "below"
                | "above"
                | "between"
                | "value"
                | "distance"
                | "factor"
                | "constant"
                | "number"
                | "numbers"
                | "is"
        )
}

/// An operator between values of which one is a letter: `n + 1`, `x/n`, `2*n`.
fn operates(text: &str, part: &[Token]) -> bool {
    let written = part
        .iter()
        .map(|token| token.text(text))
        .collect::<String>();
    if matches!(
        written.to_lowercase().as_str(),
        "n/a" | "w/o" | "s/he" | "i/o" | "c/o" | "a/b" | "y/n"
    ) {
        return false;
    }
    part.iter().enumerate().any(|(at, token)| {
        if token.kind != Kind::Operator || at == 0 || at + 1 == part.len() {
            return false;
        }
        let spaced = part[at - 1].is_space() || part[at + 1].is_space();
        let left = part[..at].iter().rev().find(|token| !token.is_space());
        let right = part[at + 1..].iter().find(|token| !token.is_space());
        let valued = |side: Option<&Token>, bracket: Kind| {
            side.is_some_and(|side| side.is_operand() || side.kind == bracket)
        };
        let values = valued(left, Kind::Close) && valued(right, Kind::Open);
        let hyphen = matches!(token.text(text), "-" | "–");
        let lower = [left, right]
            .into_iter()
            .flatten()
            .any(|side| side.text(text).starts_with(|c: char| c.is_lowercase()));
        values && (!hyphen || spaced && lower) && token.text(text) != "~"
    })
}
