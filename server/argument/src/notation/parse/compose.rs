//! Compositions as nested applications: `g ∘ f_n` is `g(f_n)`, `(g ∘ f_n)(x)` is `g(f_n(x))`.

use super::brackets::{self, NO_PARTNER};
use crate::limits::COMPOSITIONS;
use crate::notation::lex::{Tok, Token};

/// Writes every ∘ as an application. One without a name on either side is not read, and neither
/// are more than anybody writes.
pub(super) fn compositions(mut tokens: Vec<Token>) -> Vec<Token> {
    let is_sign = |token: &Token| token.kind == Tok::Compose;
    if tokens.iter().filter(|token| is_sign(token)).count() <= COMPOSITIONS {
        // From the right, so that f ∘ g ∘ h nests.
        while let Some((at, end)) = (0..tokens.len())
            .rev()
            .filter(|at| is_sign(&tokens[*at]))
            .find_map(|at| Some((at, named(&tokens, at)?)))
        {
            nest(&mut tokens, at, end);
        }
    }
    for token in tokens.iter_mut().filter(|token| is_sign(token)) {
        token.kind = Tok::Unreadable("it is not read what is composed here");
    }
    tokens
}

/// The end of the name right of the sign, if a name stands on both sides.
fn named(tokens: &[Token], at: usize) -> Option<usize> {
    let shape = brackets::shape(tokens);
    let left = at.checked_sub(1).map(|left| &tokens[left].kind)?;
    let names_left = matches!(
        left,
        Tok::Letter(_) | Tok::Prime(_) | Tok::Number(_) | Tok::BraceClose
    );
    let letter = matches!(tokens.get(at + 1)?.kind, Tok::Letter(_));
    (names_left && letter).then_some(())?;
    let mut end = at + 2;
    while let Some(Tok::Under | Tok::Caret | Tok::Prime(_)) = tokens.get(end).map(|own| &own.kind) {
        if matches!(tokens[end].kind, Tok::Prime(_)) {
            end += 1;
            continue;
        }
        end = match shape.partner.get(end + 1).copied() {
            Some(NO_PARTNER) => end + 2,
            Some(close) if end < close => close + 1,
            _ => return None,
        };
    }
    Some(end.min(tokens.len()))
}

fn nest(tokens: &mut Vec<Token>, at: usize, end: usize) {
    let shape = brackets::shape(tokens);
    let partner = |place: usize| {
        shape
            .partner
            .get(place)
            .copied()
            .filter(|close| *close != NO_PARTNER && place < *close)
    };
    let opens = |place: usize| {
        tokens
            .get(place)
            .is_some_and(|token| token.kind == Tok::Open('('))
    };
    // Already nested or plain arguments right of it belong to the inner function.
    let mut close = end;
    if opens(end)
        && let Some(last) = partner(end)
    {
        close = last + 1;
    }
    // "(g ∘ f)(x)": the arguments behind the brackets go inside.
    let around = (0..at)
        .rev()
        .find(|place| tokens[*place].kind == Tok::Open('(') && partner(*place) == Some(close));
    let arguments = around.and_then(|_| {
        let from = close + 1;
        opens(from).then(|| partner(from).map(|to| (from, to + 1)))?
    });
    let sign = tokens[at].clone();
    let mark = |kind: Tok| Token {
        kind,
        ..sign.clone()
    };
    let mut written: Vec<Token> = Vec::with_capacity(tokens.len() + 2);
    let first = around.filter(|_| arguments.is_some());
    written.extend(
        tokens[..at]
            .iter()
            .enumerate()
            .filter(|(place, _)| Some(*place) != first)
            .map(|(_, token)| token.clone()),
    );
    written.push(mark(Tok::Open('(')));
    written.extend_from_slice(&tokens[at + 1..close]);
    let behind = match arguments {
        Some((from, to)) => {
            written.extend_from_slice(&tokens[from..to]);
            to
        }
        None => close,
    };
    let mut last = mark(Tok::Close(')'));
    let end = tokens[behind - 1].range.end;
    last.range = end..end;
    written.push(last);
    written.extend_from_slice(&tokens[behind..]);
    *tokens = written;
}
