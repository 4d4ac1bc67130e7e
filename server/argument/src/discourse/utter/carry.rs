//! What a relation without a left side goes on from: whether the words before it leave that open.

use super::link::*;
use super::*;

/// What "the … is ≤" may say of the end of the chain before.
const ENDS_OF_CHAINS: [&str; 18] = [
    "last",
    "latter",
    "right",
    "right-hand",
    "rhs",
    "expression",
    "quantity",
    "whole",
    "error",
    "difference",
    "distance",
    "bound",
    "majorant",
    "result",
    "estimate",
    "following",
    "same",
    "desired",
];

impl Reader<'_> {
    /// "for r = (1 + x)/2, which is < 1": the end of the formula right before it, where the chain at
    /// hand is another one; `None` if nothing is related so, or to that chain.
    pub(super) fn related(
        &mut self,
        context: &Context<'_>,
        position: usize,
    ) -> Option<Option<Carry>> {
        let here = context.reading.utterances.get(position)?;
        let related = context.words_before(here.token).any(|word| word == "which");
        // "… ≤ 2/n since n² ≥ n, which is at most 2/N": behind a reason the chain goes on.
        let before = context.reading.utterances[..position]
            .iter()
            .rfind(|before| before.mode != Mode::Reason);
        if !related || before.is_some_and(|own| context.formula(own) == self.carry_formula) {
            return None;
        }
        let end = before.and_then(|before| {
            let statement = context.statement(before)?;
            let links = shape::links(statement);
            let equal = links
                .iter()
                .all(|link| matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal)));
            let term = links.last().and_then(|link| link.right.as_ref())?;
            equal.then(|| self.operand(context, before, term))
        });
        Some(end.map(|operand| {
            self.next_chain += 1;
            Carry {
                operand,
                chain: (self.next_chain - 1, 0),
            }
        }))
    }

    /// Whether a term is what the relation behind it compares: "after N terms it is < 1/N" speaks
    /// of something else.
    pub(super) fn stands_alone(
        &self,
        context: &Context<'_>,
        before: usize,
        position: usize,
    ) -> bool {
        let (Some(term), Some(relation)) = (
            context.reading.utterances.get(before),
            context.reading.utterances.get(position),
        ) else {
            return true;
        };
        let tokens = &context.tokens[(term.token + 1).min(relation.token)..relation.token];
        let between = tokens.iter().filter_map(Token::word);
        // "falls in n, → 0": the comma ends what "in" begins.
        let set_off = tokens.iter().any(|token| token.is(Mark::Comma));
        let verbs = [
            "is",
            "are",
            "was",
            "be",
            "then",
            "also",
            "still",
            "always",
            "thus",
            "hence",
            "clearly",
            "therefore",
            "obviously",
            "itself",
            "again",
            "even",
            "only",
            "now",
            "here",
            "at",
            "most",
        ];
        let only_verbs = between.clone().all(|word| verbs.contains(&word));
        only_verbs && !((set_off || between.count() > 0) && behind_of(context, before))
    }

    /// Whether the words between an utterance and a later token name a part of a term.
    pub(super) fn of_a_part(&self, context: &Context<'_>, before: usize, token: usize) -> bool {
        let from = context
            .reading
            .utterances
            .get(before)
            .map_or(0, |utterance| utterance.token + 1);
        context.tokens[from.min(token)..token.min(context.tokens.len())]
            .iter()
            .filter_map(Token::word)
            .any(is_part_of_a_term)
    }

    /// Whether what stands on the left is said in words that need not mean the chain before: "this
    /// is ≤ …" behind other formulas than that chain, ranges aside; "A ≤ B, so this is ≤ …"; "the
    /// bracket is ≥ …". Then what it means is not guessed.
    pub(super) fn means_something_earlier(&self, context: &Context<'_>, position: usize) -> bool {
        let Some(utterance) = context.reading.utterances.get(position) else {
            return false;
        };
        let words: Vec<&str> = context.words_before(utterance.token).collect();
        // "p summands, each ≤ 1/n²": each of them, not the end of the chain.
        if matches!(
            words.first(),
            Some(&("each" | "every" | "both" | "all" | "either"))
        ) {
            return true;
        }
        let pronoun = words.iter().any(|word| matches!(*word, "this" | "it"));
        let drawn = utterance.spoken.is_none()
            && words
                .iter()
                .any(|word| matches!(*word, "so" | "hence" | "thus" | "therefore"));
        // Backwards: the noun stands right before its article.
        let noun = words
            .iter()
            .position(|word| matches!(*word, "the" | "its" | "each" | "both" | "every"))
            .and_then(|article| article.checked_sub(1))
            .map(|noun| words[noun]);
        // "denom. ≥ 2|x|", "numerator is ≤ 1": without an article.
        let bare = words
            .iter()
            .filter(|word| {
                !matches!(
                    **word,
                    "is" | "are" | "therefore" | "thus" | "hence" | "then" | "also" | "so"
                )
            })
            .take(2)
            .any(|word| PARTS_OF_TERMS.contains(word));
        bare || noun.is_some_and(|noun| !ENDS_OF_CHAINS.contains(&noun))
            || pronoun && (drawn || self.carry_formula != self.last_formula)
    }
}
