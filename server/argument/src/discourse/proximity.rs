//! Distances told in words, "x is less than d away from a", "within d of a", as the comparisons
//! that they mean.

use super::token::{DraftFormula, StatementToken, Token, TokenKind};
use crate::notation::parse::parse;
use crate::notation::syntax::{Segment, StatementKind, TermKind};
use source::{Mapped, Span};

/// A step of a phrase.
enum Step {
    /// One of these words.
    Word(&'static [&'static str]),
    /// Any of these words, or none.
    Maybe(&'static [&'static str]),
    /// A term, kept under this letter.
    Term(char),
    /// A comparison in words, kept.
    Comparison,
}

use Step::{Comparison, Maybe, Term, Word};

const BE: Step = Word(&[
    "is", "are", "be", "lies", "lie", "stays", "stay", "remains", "remain", "being", "lying",
]);
const SURELY: Step = Maybe(&["always", "still", "strictly", "then", "itself", "now"]);
const FROM: Step = Word(&["from", "of", "to"]);

/// What a phrase compares with a distance, or between what it says that something lies.
enum Meaning {
    /// The distance of x and a, with the comparison that the phrase holds, else <.
    Distance,
    /// |x| against d.
    Size,
    /// a < x < b
    Between,
}

const PHRASES: [(&[Step], Meaning); 10] = [
    (
        &[
            Term('x'),
            Word(&["has", "have", "having"]),
            Maybe(&["an"]),
            Word(&["absolute", "modulus"]),
            Maybe(&["value"]),
            Comparison,
            Term('d'),
        ],
        Meaning::Size,
    ),
    (
        &[
            Term('x'),
            BE,
            SURELY,
            Word(&["within"]),
            Maybe(&["a", "distance", "of"]),
            Term('d'),
            FROM,
            Term('a'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            BE,
            SURELY,
            Comparison,
            Term('d'),
            Word(&["away"]),
            FROM,
            Term('a'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            Word(&["has", "have", "having"]),
            Maybe(&["a"]),
            Word(&["distance"]),
            Comparison,
            Term('d'),
            FROM,
            Term('a'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            Word(&["has", "have", "having"]),
            Maybe(&["a"]),
            Word(&["distance"]),
            FROM,
            Term('a'),
            Comparison,
            Term('d'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            Word(&["differs", "differ", "differing"]),
            FROM,
            Term('a'),
            Word(&["by"]),
            Comparison,
            Term('d'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Word(&["the"]),
            Word(&["distance"]),
            Word(&["of", "between", "from"]),
            Term('x'),
            Word(&["and", "from", "to"]),
            Term('a'),
            BE,
            SURELY,
            Comparison,
            Term('d'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            BE,
            Word(&["closer", "nearer"]),
            Word(&["than"]),
            Term('d'),
            FROM,
            Term('a'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            BE,
            Word(&["closer", "nearer"]),
            FROM,
            Term('a'),
            Word(&["than"]),
            Term('d'),
        ],
        Meaning::Distance,
    ),
    (
        &[
            Term('x'),
            BE,
            SURELY,
            Word(&["between"]),
            Term('a'),
            Word(&["and"]),
            Term('b'),
        ],
        Meaning::Between,
    ),
];

/// Words that make a condition of what follows.
const SUPPOSING: [&str; 10] = [
    "if", "when", "whenever", "suppose", "assume", "let", "for", "where", "with", "once",
];

/// Comparisons in words, the longer before those that begin alike.
const COMPARISONS: [(&[&str], &str); 12] = [
    (&["strictly", "less", "than"], "<"),
    (&["less", "than"], "<"),
    (&["smaller", "than"], "<"),
    (&["at", "most"], "\\le "),
    (&["no", "more", "than"], "\\le "),
    (&["not", "more", "than"], "\\le "),
    (&["at", "least"], "\\ge "),
    (&["no", "less", "than"], "\\ge "),
    (&["not", "less", "than"], "\\ge "),
    (&["more", "than"], ">"),
    (&["greater", "than"], ">"),
    (&["larger", "than"], ">"),
];

/// Puts a comparison in place of every phrase that tells one.
pub(super) fn said_distances(tokens: &mut Vec<Token>, formulas: &mut Vec<DraftFormula>) {
    let mut at = 0;
    while at < tokens.len() {
        let supposed = tokens[..at]
            .iter()
            .rev()
            .map_while(Token::word)
            .any(|word| SUPPOSING.contains(&word));
        if let Some((length, text)) = phrase(&tokens[at..], supposed, formulas) {
            replace(tokens, at, length, &text, formulas);
        }
        at += 1;
    }
}

/// How many tokens the phrase takes that stands first, and what it says in signs.
fn phrase(tokens: &[Token], supposed: bool, formulas: &[DraftFormula]) -> Option<(usize, String)> {
    PHRASES
        .iter()
        .find_map(|(steps, meaning)| matched(tokens, (steps, meaning), supposed, formulas))
}

fn matched(
    tokens: &[Token],
    (steps, meaning): (&[Step], &Meaning),
    supposed: bool,
    formulas: &[DraftFormula],
) -> Option<(usize, String)> {
    let mut at = 0;
    let mut found: Vec<(char, String)> = Vec::new();
    let mut sign = "<";
    for step in steps {
        match step {
            Word(words) => {
                let word = tokens.get(at)?.word()?;
                words.contains(&word).then_some(())?;
                at += 1;
            }
            Maybe(words) => {
                while tokens
                    .get(at)
                    .and_then(Token::word)
                    .is_some_and(|word| words.contains(&word))
                {
                    at += 1;
                }
            }
            Term(letter) => {
                found.push((*letter, text_of(tokens.get(at)?, formulas)?));
                at += 1;
            }
            Comparison => {
                let (words, told) = COMPARISONS.iter().find(|(words, _)| {
                    words.iter().enumerate().all(|(place, word)| {
                        tokens.get(at + place).and_then(Token::word) == Some(*word)
                    })
                })?;
                sign = told;
                at += words.len();
            }
        }
    }
    let part = |letter: char| {
        found
            .iter()
            .find(|(own, _)| *own == letter)
            .map(|(_, text)| text.as_str())
    };
    let text = match meaning {
        Meaning::Distance => {
            let (x, a, d) = (part('x')?, part('a')?, part('d')?);
            format!("|{x} - ({a})| {sign} {d}")
        }
        Meaning::Size => format!("|{}| {sign} {}", part('x')?, part('d')?),
        Meaning::Between => {
            // What is supposed is meant inside; what is claimed may touch the ends.
            let sign = if supposed { "<" } else { "\\le " };
            format!("{} {sign} {} {sign} {}", part('a')?, part('x')?, part('b')?)
        }
    };
    Some((at, text))
}

/// The source of a term that is no set and no list, or a numeral of the prose.
fn text_of(token: &Token, formulas: &[DraftFormula]) -> Option<String> {
    let numeral = token
        .word()
        .filter(|word| word.chars().all(|digit| digit.is_ascii_digit()));
    if let Some(numeral) = numeral {
        return Some(numeral.to_owned());
    }
    let token = token.statement()?;
    let StatementKind::Term(term) = &token.statement.kind else {
        return None;
    };
    let plain = !matches!(
        term.kind,
        TermKind::List(_) | TermKind::Unread(_) | TermKind::Infinity
    );
    let text = formulas
        .get(token.formula)?
        .content
        .text()
        .get(term.range.clone())?;
    plain.then(|| text.to_owned())
}

fn replace(
    tokens: &mut Vec<Token>,
    at: usize,
    length: usize,
    text: &str,
    formulas: &mut Vec<DraftFormula>,
) {
    let span = tokens[at..at + length]
        .iter()
        .map(|token| token.span)
        .reduce(Span::to)
        .unwrap_or_default();
    let parsed = parse(text);
    let [Segment::Statement(statement)] = parsed.segments.as_slice() else {
        return;
    };
    let mut content = Mapped::new();
    content.push_replacement(text, span);
    let style = tokens[at].style;
    tokens[at] = Token {
        kind: TokenKind::Statement(Box::new(StatementToken {
            formula: formulas.len(),
            statement: statement.clone(),
            opens_row: false,
            display: false,
            bracketed: false,
        })),
        span,
        style,
        inner: None,
    };
    tokens.drain(at + 1..at + length);
    formulas.push(DraftFormula {
        content,
        parsed,
        span,
        unknown_macros: Vec::new(),
        struck: style.struck,
    });
}
