//! Whether words about convergence speak of the notion and claim none.

use crate::discourse::token::Token;

/// "For the uniform convergence we must …", "a proof of uniform convergence": a topic, no claim.
/// Words with which a clause speaks of what convergence does, not of a convergence.
pub(super) fn is_of_the_notion(token: &Token) -> bool {
    matches!(
        token.word(),
        Some(
            "enough"
                | "sufficient"
                | "insufficient"
                | "necessary"
                | "interchange"
                | "swap"
                | "preserves"
                | "notion"
                | "concept"
                | "limits"
                | "inherited"
                | "possible"
                | "candidate"
        )
    )
}

pub(super) fn is_topic(tokens: &[Token]) -> bool {
    // "A uniform limit of continuous functions is continuous": about all of them.
    let general = tokens.windows(4).any(|four| {
        matches!(four[0].word(), Some("a" | "any" | "every" | "each"))
            && four[1..3]
                .iter()
                .any(|token| matches!(token.word(), Some("limit" | "limits")))
            && four[2..].iter().any(|token| token.word() == Some("of"))
    });
    // "Only this f can be the uniform limit": what is possible, not what is.
    let has = |words: &[&str]| {
        tokens
            .iter()
            .any(|token| token.word().is_some_and(|word| words.contains(&word)))
    };
    let possible = has(&["can", "could", "may", "might"]) && has(&["limit", "only"]);
    // "Uniform convergence is not enough to interchange …": about the notion.
    if general || possible || tokens.iter().any(is_of_the_notion) {
        return true;
    }
    let Some(noun) = tokens
        .iter()
        .position(|token| token.word() == Some("convergence"))
    else {
        return false;
    };
    // "Convergence means that …"
    let defined = tokens[noun + 1..]
        .iter()
        .filter_map(Token::word)
        .take(4)
        .any(|word| {
            [
                "means",
                "says",
                "signifies",
                "requires",
                "asks",
                "demands",
                "states",
                "expresses",
            ]
            .contains(&word)
        });
    if defined {
        return true;
    }
    // "Boundedness plus uniform convergence gives …", "uniform convergence implies …".
    let used = tokens.iter().any(|token| token.word() == Some("plus"))
        || tokens[noun + 1..]
            .iter()
            .find_map(Token::word)
            .is_some_and(|word| {
                [
                    "gives",
                    "implies",
                    "yields",
                    "ensures",
                    "guarantees",
                    "allows",
                    "preserves",
                    "lets",
                ]
                .contains(&word)
            });
    if used {
        return true;
    }
    let head = tokens[..noun].iter().rev().find(|token| {
        !matches!(
            token.word(),
            Some("the" | "uniform" | "pointwise" | "this" | "that" | "our" | "its" | "any")
        )
    });
    let introduced = head.is_some_and(|head| {
        matches!(
            head.word(),
            Some(
                "for"
                    | "of"
                    | "about"
                    | "on"
                    | "regarding"
                    | "concerning"
                    | "to"
                    | "against"
                    | "toward"
                    | "towards"
                    | "study"
                    | "discuss"
                    | "examine"
                    | "investigate"
            )
        )
    });
    introduced
        && !tokens[noun..]
            .iter()
            .any(|token| matches!(token.word(), Some("is" | "holds" | "follows" | "fails")))
}
