//! Cases that are told by their conditions alone: "(i) q = 0. Then …", "(ii) q = 1. Then …".

use super::{Placed, Sentence};
use crate::discourse::outline::Zone;
use crate::discourse::shape;
use crate::discourse::token::{Mark, Token, TokenKind};
use crate::notation::syntax::{Sign, Statement, TermKind};

/// Words between the conditions of a case.
const JOINING: [&str; 4] = ["and", "or", "but", "case"];

/// Puts the word "case" before the conditions that head several paragraphs about one name.
pub(super) fn name_cases(sentences: &mut [Placed]) {
    let heads: Vec<(usize, String, bool)> = (0..sentences.len())
        .filter_map(|place| {
            let (name, stopped) = head(sentences.get(place)?, sentences.get(place + 1))?;
            Some((place, name, stopped))
        })
        .collect();
    for (place, name, _) in &heads {
        let alike = || heads.iter().filter(|(_, other, _)| other == name);
        // Behind a colon alone "x = 0: …" is a place that needs no word.
        if alike().count() < 2 || !alike().any(|(_, _, stopped)| *stopped) {
            continue;
        }
        let tokens = &mut sentences[*place].sentence.tokens;
        let Some(first) = tokens.first() else {
            continue;
        };
        let word = first.behind_word("case");
        tokens.insert(0, word);
    }
}

/// The one name that a statement restricts: "x ≤ a", "0 < |q| < 1".
fn restricted_name(statement: &Statement) -> Option<String> {
    if let Some(restriction) = shape::restriction(statement) {
        return match restriction.names.as_slice() {
            [name] => Some(shape::spelling(name)),
            _ => None,
        };
    }
    let links = shape::links(statement);
    let ordered = !links.is_empty()
        && links
            .iter()
            .all(|link| matches!(link.sign, Sign::Relation(_)));
    let mut operands = shape::first_term(statement)
        .into_iter()
        .chain(links.iter().filter_map(|link| link.right.as_ref()));
    let plain = operands.all(|term| match &term.kind {
        TermKind::Bars(inside) => shape::bare_name(inside).is_some(),
        TermKind::Negative(inside) => matches!(inside.kind, TermKind::Number(_)),
        TermKind::Number(_) => true,
        _ => shape::bare_name(term).is_some(),
    });
    let mut names = shape::names_of(statement).into_iter().map(shape::spelling);
    let first = names.next()?;
    (ordered && plain && names.all(|name| name == first)).then_some(first)
}

/// Splits sentences where a line begins with the condition of a case: "x = 0: …" below "x = 1: …".
pub(in crate::discourse) fn case_lines(draft: &str, sentences: Vec<Sentence>) -> Vec<Sentence> {
    let mut found = Vec::with_capacity(sentences.len());
    for mut sentence in sentences {
        while let Some(at) =
            (1..sentence.tokens.len()).find(|at| begins_case_line(draft, &sentence.tokens, *at))
        {
            let rest = sentence.tokens.split_off(at);
            let next = Sentence {
                tokens: rest,
                opens_block: true,
                ..sentence
            };
            found.push(std::mem::replace(&mut sentence, next));
        }
        found.push(sentence);
    }
    found
}

/// Whether a line of the draft begins at a token with a condition and a colon.
fn begins_case_line(draft: &str, tokens: &[Token], at: usize) -> bool {
    let (before, token) = (&tokens[at - 1], &tokens[at]);
    let condition = |token: &Token| {
        token
            .statement()
            .is_some_and(|own| restricted_name(&own.statement).is_some())
    };
    let own_line = draft
        .get(before.span.end..token.span.start)
        .is_some_and(|between| between.contains('\n'));
    let ends = before.statement().is_some()
        || matches!(
            before.kind,
            TokenKind::Mark(Mark::Colon | Mark::Semicolon | Mark::Period | Mark::Close)
        );
    own_line
        && ends
        && condition(token)
        && tokens.get(at + 1).is_some_and(|next| next.is(Mark::Colon))
}

/// The name that a sentence at the head of a paragraph restricts and says nothing else of, and
/// whether a full stop ends it; the next sentence goes on in the same paragraph.
fn head(placed: &Placed, next: Option<&Placed>) -> Option<(String, bool)> {
    let tokens = &placed.sentence.tokens;
    let proves = placed.zone != Zone::Statement && placed.opens_paragraph;
    let border = tokens
        .iter()
        .position(|token| matches!(token.kind, TokenKind::Mark(Mark::Colon | Mark::Period)))?;
    let stopped = tokens[border].is(Mark::Period);
    let goes_on = if stopped {
        border + 1 == tokens.len()
            && next.is_some_and(|next| {
                next.sentence.block == placed.sentence.block && !next.opens_paragraph
            })
    } else {
        border + 1 < tokens.len()
    };
    if !(proves && goes_on) {
        return None;
    }
    let mut restricted: Option<String> = None;
    for token in &tokens[..border] {
        match &token.kind {
            TokenKind::Statement(statement) => {
                let name = restricted_name(&statement.statement)?;
                if restricted.get_or_insert_with(|| name.clone()) != &name {
                    return None;
                }
            }
            TokenKind::Word { text, .. } if JOINING.contains(&text.as_str()) => {}
            TokenKind::Mark(Mark::Comma) => {}
            _ => return None,
        }
    }
    // "Case x = 0." says it already.
    let told = tokens.first().and_then(Token::word) == Some("case");
    restricted.filter(|_| !told).map(|name| (name, stopped))
}
