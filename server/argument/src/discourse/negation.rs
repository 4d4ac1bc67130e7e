//! Sentences that spell out a statement by its quantifiers, and those that say of such a sentence
//! what its negation is.

use super::entry::{Context, Reader};
use super::formal::{bound_names, is_zero, quantifier};
use super::names::Use;
use super::outline::{Quantified, Spelled};
use super::shape;
use super::token::{Mark, Token, TokenKind};
use super::utterance::Utterance;
use crate::notation::elaborate::symbol;
use crate::notation::syntax::{Connective, Quantifier, Sign, Statement};
use kernel::Relation;

/// Whether the quantifier before two formulas goes on over the words between them: "an ε > 0 and an
/// index N".
fn lists(words: &[&str]) -> bool {
    let Some((first, rest)) = words.split_first() else {
        return true;
    };
    *first == "and"
        && rest.iter().all(|word| {
            matches!(
                *word,
                "a" | "an" | "some" | "index" | "number" | "natural" | "integer" | "point"
            )
        })
}

/// Words that give what was announced before them.
const GIVING: [&str; 10] = [
    "gives", "reads", "is", "get", "becomes", "means", "namely", "obtain", "yields", "show",
];

/// Words behind which what is promised begins.
const PROMISING: [&str; 9] = [
    "that",
    "have",
    "has",
    "with",
    "holds",
    "satisfying",
    "satisfies",
    "satisfy",
    "where",
];

impl Reader<'_> {
    /// Notes what the sentence spells out by quantifiers.
    pub(super) fn note_spelled(&mut self, context: &Context<'_>) {
        if context.borrowed == 0
            && let Some(spelled) = self.spelled(context)
        {
            self.spelled.push(spelled);
        }
        let words: Vec<&str> = context.tokens.iter().filter_map(Token::word).collect();
        self.denial_announced |=
            words.iter().any(|word| is_denial(word)) || supposes_failure(&words);
    }

    /// The statement that a sentence spells out; `None` where a word of it is not understood.
    fn spelled(&self, context: &Context<'_>) -> Option<Spelled> {
        let mut quantified: Vec<Quantified> = Vec::new();
        let mut promised: Vec<(String, Relation, String)> = Vec::new();
        let mut last: Option<Quantifier> = None;
        let mut implies = false;
        let mut before = 0;
        let mut start = None;
        for utterance in &context.reading.utterances {
            let between = context
                .tokens
                .get(before..utterance.token.max(before))
                .unwrap_or_default();
            let opening = std::mem::replace(&mut before, utterance.token + 1);
            let statement = context.statement(utterance)?;
            let words: Vec<&str> = between.iter().filter_map(Token::word).collect();
            let said = quantifier(&words);
            let follows = words == ["implies"]
                || between
                    .iter()
                    .any(|token| matches!(token.kind, TokenKind::Arrow(Connective::Implies)));
            let promising = said.is_none()
                && (between.iter().any(|token| token.is(Mark::Colon))
                    || words.iter().any(|word| PROMISING.contains(word)));
            if said.is_some() {
                last = said;
                start.get_or_insert(opening);
            } else if promising {
                last = None;
            } else if start.is_some() && !follows && !lists(&words) {
                return None;
            }
            implies |= follows && !promised.is_empty();
            if let (Some(quantifier), Some(names)) =
                (last.filter(|_| !follows), bound_names(statement))
            {
                for name in names {
                    if self.lexicon.names.is_member(name) {
                        return None;
                    }
                    let usage = self.lexicon.names.usage(name);
                    quantified.push(Quantified {
                        name: symbol(name),
                        quantifier,
                        tolerance: usage == Use::Tolerance,
                        chosen: usage == Use::Threshold,
                    });
                }
            } else if start.is_some() {
                promised.push(self.comparison(context, utterance, statement)?);
            }
        }
        let mut names: Vec<&str> = quantified.iter().map(|name| name.name.as_str()).collect();
        names.sort_unstable();
        let once = names.windows(2).all(|pair| pair[0] != pair[1]);
        let start = start.filter(|_| quantified.len() > 1 && once && !promised.is_empty())?;
        let first = context
            .tokens
            .get(start..)?
            .iter()
            .position(|token| token.statement().is_some())?;
        let ahead: Vec<&str> = context.tokens[..start + first]
            .iter()
            .filter_map(Token::word)
            .collect();
        Some(Spelled {
            span: context.span,
            quantified,
            promised,
            implies,
            denies: self.denial_announced
                && (ahead.len() <= 3 || ahead.iter().any(|word| GIVING.contains(word)))
                || ahead.iter().any(|word| is_denial(word))
                || ahead.contains(&"not")
                    && ahead.iter().any(|word| {
                        matches!(
                            *word,
                            "means" | "exactly" | "iff" | "signifies" | "says" | "precisely"
                        )
                    }),
        })
    }

    /// A single comparison as it is written.
    fn comparison(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &Statement,
    ) -> Option<(String, Relation, String)> {
        let first = shape::first_term(statement)?;
        // 0 < |x − a| < δ is one comparison.
        let (left, link) = match shape::links(statement) {
            [link] => (first, link),
            [zero, link] if is_zero(first) => (zero.right.as_ref()?, link),
            _ => return None,
        };
        let Sign::Relation(relation) = link.sign else {
            return None;
        };
        let written = |range: &std::ops::Range<usize>| {
            let span = self.place(context, utterance, range);
            let typed = self.draft.get(span.range()).unwrap_or_default();
            typed.split_whitespace().collect::<String>()
        };
        Some((
            written(&left.range),
            relation,
            written(&link.right.as_ref()?.range),
        ))
    }
}

/// "Suppose (x_n) does not converge to L": what is spelled out behind it is how that fails.
fn supposes_failure(words: &[&str]) -> bool {
    let supposes = words
        .iter()
        .any(|word| matches!(*word, "suppose" | "assume" | "contradiction" | "were"));
    let denied = words.iter().position(|word| {
        matches!(
            *word,
            "not" | "doesn't" | "didn't" | "isn't" | "fails" | "no"
        )
    });
    let notion = |word: &&str| {
        word.starts_with("converge")
            || matches!(
                *word,
                "continuous" | "uniformly" | "uniform" | "cauchy" | "tend"
            )
    };
    let named = denied.is_some_and(|denied| words[denied..].iter().take(5).any(notion));
    supposes && (named || words.contains(&"diverges") || words.contains(&"diverged"))
}

fn is_denial(word: &str) -> bool {
    matches!(
        word,
        "negation" | "negate" | "negated" | "negating" | "opposite" | "contrary"
    )
}
