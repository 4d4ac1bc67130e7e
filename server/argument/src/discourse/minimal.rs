//! What words beside a condition add to it: "let m be the least integer with m ≥ 2x/δ", "any N ≥ 1
//! larger than that".

use super::entry::Context;
use super::outline::Content;
use super::token::{Mark, Token};
use super::utterance::Utterance;
use kernel::{Condition, Expr, Kind, Node, Relation};

/// How many words may stand between "least" and the condition.
const BETWEEN: usize = 6;

/// Adds what "the least integer with" says of the one integer that a binding introduces: m ≥ E
/// comes with m < max(E, 1) + 1 and m > E with m ≤ max(E, 0) + 1, as no smaller number from 1 on
/// satisfies it too.
pub(super) fn with_least(
    context: &Context<'_>,
    utterance: &Utterance,
    mut content: Content,
) -> Content {
    if let Content::Binding(binding) = &mut content
        && let [bound] = binding.bound.as_slice()
        && bound.kind == Kind::Integer
        && says_least(context, utterance)
        && let Some(more) = binding.conditions.iter().find_map(|condition| {
            let Condition::Holds(left, relation, right) = condition else {
                return None;
            };
            let own = left.as_variable() == Some(&bound.name) && right.as_number().is_none();
            let (upper, floor) = match relation {
                Relation::GreaterEqual => (Relation::Less, 1),
                Relation::Greater => (Relation::LessEqual, 0),
                _ => return None,
            };
            let floor: Expr = Node::Max(vec![right.clone(), Expr::integer(floor)]).into();
            let end = floor.plus(&Expr::integer(1));
            own.then(|| Condition::Holds(left.clone(), upper, end))
        })
    {
        binding.conditions.push(more);
    }
    content
}

/// What is said in words of the size of what a binding introduces is not read: "any N ≥ 1 larger
/// than the right-hand side".
pub(super) fn with_size_in_words(
    context: &Context<'_>,
    utterance: &Utterance,
    content: Content,
) -> Content {
    let behind = context
        .tokens
        .get(utterance.token + 1..)
        .unwrap_or_default();
    let words: Vec<&str> = behind.iter().map_while(Token::word).collect();
    let sized = matches!(
        words.as_slice(),
        [
            "larger" | "greater" | "bigger" | "smaller" | "less",
            "than",
            _,
            ..
        ]
    );
    let ends = behind
        .get(words.len())
        .is_none_or(|token| token.statement().is_none());
    match content {
        Content::Binding(binding) if sized && ends && !binding.bound.is_empty() => {
            Content::Unread {
                reason: "how large it is, is said in words".to_owned(),
                names: binding.bound.into_iter().map(|bound| bound.name).collect(),
            }
        }
        other => other,
    }
}

/// Whether the words right before an utterance say "the least integer with", and nothing else is
/// asked of it: the least odd number, or the least one for which something holds, may be larger.
fn says_least(context: &Context<'_>, utterance: &Utterance) -> bool {
    let words: Vec<&str> = context.tokens[..utterance.token.min(context.tokens.len())]
        .iter()
        .rev()
        .map_while(Token::word)
        .take(BETWEEN)
        .collect();
    let plain = |word: &&str| {
        matches!(
            *word,
            "integer" | "number" | "index" | "natural" | "positive" | "with" | "such" | "that"
        )
    };
    let least = words
        .iter()
        .position(|word| matches!(*word, "least" | "smallest"))
        .is_some_and(|at| {
            at > 0 && words.get(at + 1) != Some(&"at") && words[..at].iter().all(plain)
        });
    let ends = context.tokens.get(utterance.token + 1).is_none_or(|token| {
        token.is(Mark::Period) || token.is(Mark::InnerPeriod) || token.is(Mark::Semicolon)
    });
    least && ends
}
