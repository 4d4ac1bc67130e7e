//! Where an argument exchanges a limit and an integral, and over what the integral runs.

use super::building::{Frame, Placed};
use super::manner;
use super::outline::Zone;
use super::token::Token;
use source::Span;

/// Whether the integral that is exchanged with a limit runs over an unbounded interval: the one
/// that is written there, else the only kind of integral that the text writes.
pub(super) fn runs_endlessly(frame: &Frame) -> bool {
    let of = |placed: &Placed| {
        let statements = placed.sentence.tokens.iter().filter_map(Token::statement);
        statements
            .filter_map(|token| manner::integrates(&token.statement))
            .collect::<Vec<bool>>()
    };
    let place = frame
        .sentences
        .iter()
        .position(|placed| manner::exchanges(&placed.sentence.tokens));
    let there: Vec<bool> = place
        .map(|place| {
            frame.sentences[place..]
                .iter()
                .take(2)
                .flat_map(of)
                .collect()
        })
        .unwrap_or_default();
    if !there.is_empty() {
        return there.contains(&true);
    }
    let all: Vec<bool> = frame.sentences.iter().flat_map(of).collect();
    !all.is_empty() && all.iter().all(|endless| *endless)
}

/// The sentences of a frame's proof that exchange a limit and an integral, and whether they say by
/// what.
pub(super) fn exchanges(frame: &Frame) -> Vec<(Span, bool)> {
    frame
        .sentences
        .iter()
        .filter(|placed| placed.zone == Zone::Proof && manner::exchanges(&placed.sentence.tokens))
        .map(|placed| {
            let sentence = &placed.sentence;
            (sentence.span(), manner::refers(&sentence.tokens))
        })
        .collect()
}
