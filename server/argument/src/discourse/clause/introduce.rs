//! Phrases that introduce: let, choose, for all, if, such that, on.

use super::super::said_shape::{is_comparison, is_vicinity};
use super::*;

impl Walk<'_> {
    pub(super) fn begin_let(&mut self, at: usize, behind: usize) {
        let word = self.tokens[at].word().unwrap_or_default();
        let inside_let = matches!(
            self.base,
            Mode::Let | Mode::Choose | Mode::Assume | Mode::Aim | Mode::Exists
        );
        if ["be", "is", "are", "hold", "keep"].contains(&word) {
            // "where ε > 0 is given", "ε > 0 be arbitrary": said of the statement before.
            if let Some(last) = self.last_statement
                && self.words_since == 0
                && !inside_let
            {
                let utterance = &mut self.reading.utterances[last];
                if matches!(utterance.mode, Mode::Claim | Mode::Where) {
                    utterance.mode = Mode::Let;
                }
                return;
            }
            // "To be allowed to …" introduces nothing.
            let wish = at
                .checked_sub(1)
                .and_then(|before| self.tokens[before].word())
                == Some("to");
            // "Keep away from x = 1/2."
            let off = self
                .tokens
                .get(behind)
                .and_then(Token::word)
                .is_some_and(|next| matches!(next, "away" | "clear" | "off" | "out"));
            if off {
                return;
            }
            let opens = !wish && !self.has_statement_between(0, at) && self.words_before(at) <= 1;
            if word == "be" && opens && !inside_let || word == "keep" || word == "hold" && opens {
                self.set(Mode::Let);
                self.verb = Some(Family::Let);
            }
            return;
        }
        let article = at
            .checked_sub(1)
            .and_then(|before| self.tokens[before].word());
        if word == "given" && matches!(article, Some("the" | "a" | "each" | "every" | "this")) {
            // "on the given set"
            return;
        }
        if word == "given"
            && inside_let
            && !self.tokens[at..behind]
                .iter()
                .any(|token| token.word() == Some("any"))
        {
            // "Let ε > 0 be given"
            let announced = self.next_statement(behind).is_some();
            if !announced || self.since_base == 0 {
                return;
            }
        }
        self.new_reach(at);
        self.set(Mode::Let);
        self.verb = Some(Family::Let);
    }

    /// Whether something to be picked is near: "taking reciprocals" picks nothing.
    pub(super) fn picks(&self, at: usize, behind: usize) -> bool {
        let gerund = self.tokens[at]
            .word()
            .is_some_and(|word| word.ends_with("ing"));
        let limit = if gerund { 2 } else { 7 };
        self.next_statement(behind)
            .is_some_and(|(_, place)| place - behind <= limit)
    }

    pub(super) fn opens_sentence_after_to_get(&self, at: usize) -> bool {
        self.verb == Some(Family::ToGet) && self.has_statement_between(0, at)
    }

    pub(super) fn range(&mut self, family: Family, at: usize, behind: usize) {
        self.same = self.tokens[at..]
            .iter()
            .map_while(Token::word)
            .any(|word| matches!(word, "this" | "these" | "those" | "such" | "that"));
        let Some((statement, place)) = self.next_statement(behind) else {
            if family == Family::ForAll {
                self.above = Some(Mode::Range);
            }
            return;
        };
        // "f_n(x) → 1 for x → ∞"
        if place == behind && is_motion(&statement.statement) {
            self.above = Some(Mode::Motion);
            return;
        }
        let near = place - behind <= 3;
        let shaped = is_range_shape(&statement.statement, self.names);
        if near && !shaped && place == behind && is_vicinity(&statement.statement) {
            self.condition(at);
        } else if near && (family == Family::ForAll || shaped) {
            self.above = Some(Mode::Range);
        } else if family == Family::For
            && place == behind
            && self.opens_sentence(at)
            && self.base == Mode::Claim
            && matches!(statement.statement.kind, StatementKind::Chain { .. })
        {
            // "For u + v = 0 both sides vanish."
            self.condition(at);
        } else if family == Family::For
            && place == behind
            && self.last_statement.is_some()
            && self.base == Mode::Claim
            && matches!(statement.statement.kind, StatementKind::Chain { .. })
        {
            self.reason(at);
        }
    }

    pub(super) fn condition(&mut self, at: usize) {
        if self.above.is_none()
            && self.since_base == 0
            && self.base == Mode::Aim
            && self.verb == Some(Family::Suffices)
        {
            return;
        }
        if self.opens_sentence(at) && self.base == Mode::Aim {
            return;
        }
        self.above = Some(Mode::Condition);
    }

    pub(super) fn place_or_range(&mut self, behind: usize) {
        if let Some((statement, place)) = self.next_statement(behind)
            && place == behind
            && matches!(statement.statement.kind, StatementKind::Chain { .. })
            && is_range_shape(&statement.statement, self.names)
        {
            if self.place {
                return;
            }
            self.above = Some(Mode::Range);
        }
    }

    pub(super) fn on(&mut self, behind: usize) {
        if let Some((statement, place)) = self.next_statement(behind)
            && place == behind
            && let StatementKind::Term(term) = &statement.statement.kind
            && is_domain(term)
        {
            self.above = Some(Mode::Domain);
        } else if let Some((statement, place)) = self.next_statement(behind)
            && place == behind
            && is_membership_or_order(&statement.statement)
        {
            self.above = Some(Mode::Range);
        }
    }

    pub(super) fn such_that(&mut self, at: usize, behind: usize) {
        if self.above == Some(Mode::Range) && !self.in_brackets() {
            // "for all n with n ≥ N" restricts; "for all n ≥ N with …" too.
            self.property = Some(self.reading.utterances.len());
            return;
        }
        match self.base {
            Mode::Claim | Mode::Reason | Mode::Aim => {
                let word = self.tokens[at].word();
                if word == Some("satisfies") {
                    return;
                }
                // "With |x − 1| < 1 we have x > 0": supposed for the sentence.
                if word == Some("with")
                    && self.opens_sentence(at)
                    && self.base == Mode::Claim
                    && let Some((statement, place)) = self.next_statement(behind)
                    && place == behind
                    && is_comparison(&statement.statement)
                {
                    self.condition(at);
                    return;
                }
                // "With a = x² this gives": at the head of a sentence it names.
                let aim = self.base == Mode::Aim;
                if let Some((statement, _)) = self.next_statement(behind)
                    && let Some(restriction) = shape::restriction(&statement.statement)
                    && (!aim
                        || matches!(
                            restriction.sign,
                            Sign::Defines | Sign::Relation(Relation::Equal)
                        ))
                {
                    self.new_group(at);
                    self.set(Mode::Where);
                    if aim {
                        self.verb = Some(Family::Aim);
                    }
                }
            }
            _ => self.above = None,
        }
    }

    /// Whether the property of a range ("with …") has not been left since.
    pub(super) fn in_property(&self) -> bool {
        self.property.is_some_and(|from| {
            let since = &self.reading.utterances[from..];
            since.is_empty()
                || self.joined && since.iter().all(|utterance| utterance.mode == Mode::Range)
        })
    }

    pub(super) fn range_before(&self) -> bool {
        self.above == Some(Mode::Range)
            || self.last_statement.is_some_and(|last| {
                matches!(
                    self.reading.utterances[last].mode,
                    Mode::Range | Mode::Condition
                )
            })
    }

    pub(super) fn large_word(&mut self) {
        if let Some(last) = self.last_statement
            && self.words_since <= 1
            && matches!(
                self.reading.utterances[last].mode,
                Mode::Range | Mode::Condition | Mode::Choose | Mode::Let | Mode::Exists
            )
        {
            self.reading.utterances[last].large = true;
        } else {
            self.large = true;
        }
    }

    pub(super) fn number_word(&mut self, integer: bool, at: usize) {
        if let Some(last) = self.last_statement
            && self.words_since <= 4
            && matches!(
                self.reading.utterances[last].mode,
                Mode::Choose | Mode::Let | Mode::Exists | Mode::Range
            )
            && at > self.reading.utterances[last].token + 1
            && self.tokens[self.reading.utterances[last].token + 1..at]
                .iter()
                .all(|token| {
                    matches!(
                        token.word(),
                        Some(
                            "be" | "is"
                                | "are"
                                | "an"
                                | "a"
                                | "of"
                                | "any"
                                | "some"
                                | "positive"
                                | "the"
                        )
                    )
                })
        {
            self.reading.utterances[last].integer = Some(integer);
            // "Let p ≥ 1 and n ≥ 1 be integers."
            let plural = self.tokens[at]
                .word()
                .is_some_and(|word| word.ends_with('s') && word != "is");
            if plural {
                self.all_are(last, integer);
            }
        } else {
            self.integer = Some(integer);
        }
    }

    /// The plural behind a list tells the kind of all its members.
    fn all_are(&mut self, last: usize, integer: bool) {
        let mode = self.reading.utterances[last].mode;
        for position in (0..last).rev() {
            let (own, next) = (
                self.reading.utterances[position].token,
                self.reading.utterances[position + 1].token,
            );
            let listed = self.reading.utterances[position].mode == mode
                && self.tokens[own + 1..next]
                    .iter()
                    .all(|token| token.is(Mark::Comma) || token.word() == Some("and"));
            if !listed {
                break;
            }
            self.reading.utterances[position].integer = Some(integer);
        }
    }

    /// Whether anything was said since of what exists.
    pub(super) fn picked_since(&self) -> bool {
        self.reading.utterances.iter().any(|utterance| {
            utterance.reach == self.reach
                && utterance.mode == self.base
                && self.tokens[utterance.token]
                    .statement()
                    .is_some_and(|token| {
                        matches!(token.statement.kind, StatementKind::Chain { .. })
                            && !is_membership(&token.statement)
                    })
        })
    }

    /// Whether the clause that picks has a condition already.
    pub(super) fn picked_something(&self) -> bool {
        self.last_statement.is_some_and(|last| {
            let utterance = &self.reading.utterances[last];
            utterance.mode == self.base
                && self.tokens[utterance.token]
                    .statement()
                    .is_some_and(|token| {
                        matches!(token.statement.kind, StatementKind::Chain { .. })
                            && !is_membership(&token.statement)
                    })
        })
    }
}
