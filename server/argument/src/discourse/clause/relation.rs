//! Relations and implications told in words: is at most, implies, will do.

use super::super::said_shape::{is_comparison, works_out};
use super::*;
use crate::discourse::token::is_of_list;

impl Walk<'_> {
    pub(super) fn compare(&mut self, spoken: Spoken, at: usize) {
        // "The right side … tends to 0", "this bound … goes to 0": the end of the chain before.
        let subjects = [
            "right",
            "right-hand",
            "bound",
            "majorant",
            "last",
            "this",
            "which",
            "it",
        ];
        let before: Vec<&str> = self.tokens[..at]
            .iter()
            .rev()
            .take_while(|token| !matches!(token.kind, TokenKind::Mark(_)))
            .filter_map(Token::word)
            .collect();
        // "the last quantity is less than ε"
        let ends = ["right-hand", "rhs", "last", "final", "latter"];
        let named_end = self.words_since > 0
            && before.iter().take(4).any(|word| ends.contains(word))
            && before.iter().take(4).any(|word| *word == "the");
        let about_bound = named_end
            || spoken == Spoken::Tends && before.iter().any(|word| subjects.contains(word));
        // "f_n(x) = … (n ≥ 1) converges to 0": a remark in between is not what converges.
        let mut last = self.last_statement;
        while let Some(place) = last
            && self.reading.utterances[place].aside
            && !self.in_brackets()
        {
            last = place.checked_sub(1);
        }
        let left = match last {
            _ if self.pronoun_before(at) && at > 0 && self.subjects.is_empty() => Left::Carried,
            Some(_) if about_bound && self.words_since > 0 => Left::Carried,
            None if named_end => Left::Carried,
            Some(last)
                if self.words_since <= 2
                    && !self.joined
                    && !self.is_place_of_other(last)
                    && !self.names_other(last, at) =>
            {
                if self.is_part_of_what_is_meant(last) {
                    Left::Words
                } else {
                    Left::Utterance(last)
                }
            }
            _ if !self.subjects.is_empty() => {
                Left::Utterance(self.subjects[self.subjects.len() - 1])
            }
            _ if self.pronoun_before(at) => Left::Carried,
            _ => Left::Words,
        };
        let left = match left {
            Left::Carried if self.relates_to_a_noun(at) => Left::Words,
            other => other,
        };
        if matches!(self.above, Some(Mode::Range | Mode::Condition))
            && self.since_above()
            && left == Left::Carried
        {
            self.above = None;
        }
        self.spoken = Some((spoken, left));
    }

    /// "Since x ≥ 1/16, both roots are at least 1/4": what is compared is named in words behind a
    /// mark.
    fn names_other(&self, last: usize, at: usize) -> bool {
        let from = self.reading.utterances[last].token + 1;
        let between = &self.tokens[from.min(at)..at];
        let parted = between
            .iter()
            .any(|token| token.is(Mark::Comma) || token.is(Mark::Semicolon));
        parted
            && between.iter().filter_map(Token::word).any(|word| {
                matches!(
                    word,
                    "both" | "each" | "every" | "all" | "the" | "its" | "their"
                )
            })
    }

    /// "The sum of x and y is …", "one of the numbers a, b is …": the terms are named, and something
    /// else is compared.
    fn is_part_of_what_is_meant(&self, last: usize) -> bool {
        const THEMSELVES: [&str; 20] = [
            "value",
            "values",
            "term",
            "terms",
            "quantity",
            "quantities",
            "expression",
            "expressions",
            "sequence",
            "sequences",
            "function",
            "functions",
            "choice",
            "all",
            "each",
            "any",
            "every",
            "element",
            "elements",
            "both",
        ];
        const SOME: [&str; 6] = ["one", "either", "neither", "some", "none", "most"];
        let mut before = self.tokens[..self.reading.utterances[last].token]
            .iter()
            .rev()
            .skip_while(|token| {
                token.statement().is_some()
                    || token.is(Mark::Comma)
                    || token.word().is_some_and(|word| {
                        [
                            "and", "or", "the", "numbers", "two", "three", "terms", "factors",
                        ]
                        .contains(&word)
                    })
            })
            .map_while(Token::word);
        match before.next() {
            Some("of") => {
                let noun = before.next();
                let attribute = before.next();
                let itself = noun.is_some_and(|noun| THEMSELVES.contains(&noun))
                    && attribute != Some("absolute");
                noun.is_some() && !itself
            }
            Some(word) => SOME.contains(&word),
            None => false,
        }
    }

    /// "A denominator that is at least 1": the noun right before is compared, and no chain is.
    fn relates_to_a_noun(&self, at: usize) -> bool {
        let mut before = self.tokens[..at]
            .iter()
            .rev()
            .map_while(Token::word)
            .skip_while(|word| ["is", "are", "itself", "then", "also", "always"].contains(word));
        matches!(before.next(), Some("that" | "which"))
            && before
                .next()
                .is_some_and(super::super::utter::link::is_part_of_a_term)
    }

    /// Whether the utterance is a range or a reason that interrupts the clause.
    pub(super) fn is_place_of_other(&self, last: usize) -> bool {
        let utterance = &self.reading.utterances[last];
        // "The supremum over x is at least 1."
        let over = utterance
            .token
            .checked_sub(1)
            .and_then(|before| self.tokens[before].word())
            == Some("over");
        over || utterance.backward || matches!(utterance.mode, Mode::Domain | Mode::Motion)
    }

    pub(super) fn pronoun_before(&self, at: usize) -> bool {
        let pronouns = ["this", "which", "that", "it", "latter"];
        self.tokens[..at]
            .iter()
            .rev()
            .take(2)
            .take_while(|token| token.word().is_some())
            .any(|token| token.word().is_some_and(|word| pronouns.contains(&word)))
            || at == 0
    }

    pub(super) fn compare_zero(&mut self, relation: Relation) {
        if let Some(last) = self.last_statement
            && self.words_since <= 1
        {
            let is_term = |token: usize| {
                matches!(
                    self.tokens[token]
                        .statement()
                        .map(|token| &token.statement.kind),
                    Some(StatementKind::Term(_))
                )
            };
            let utterances = &self.reading.utterances;
            let end = utterances[last].token;
            let mut listed = Vec::new();
            if is_term(end) {
                listed.push(last);
                // "x and y are positive": each of them.
                let plural = self.tokens.get(end + 1).and_then(Token::word) == Some("are");
                let mut begin = end;
                for before in (0..last).rev().take_while(|_| plural) {
                    let other = &utterances[before];
                    let joined = self.tokens[other.token + 1..begin].iter().all(is_of_list)
                        && other.mode == utterances[last].mode
                        && is_term(other.token);
                    if !joined {
                        break;
                    }
                    begin = other.token;
                    listed.push(before);
                }
            }
            for own in listed {
                self.reading.utterances[own].zero = Some(relation);
            }
        }
        self.doubt = None;
    }

    pub(super) fn will_do(&mut self) {
        let Some(last) = self.last_statement else {
            return;
        };
        if self.words_since > 2 {
            return;
        }
        let utterance = &mut self.reading.utterances[last];
        let Some(token) = self.tokens[utterance.token].statement() else {
            return;
        };
        let picks = shape::restriction(&token.statement).is_some_and(|restriction| {
            restriction
                .names
                .iter()
                .any(|name| matches!(self.names.usage(name), Use::Threshold | Use::Index))
        });
        // "Any N > 1/ε will do."
        let any = utterance.mode == Mode::Range
            && utterance.token == 1
            && matches!(self.tokens[0].word(), Some("any" | "every" | "each"));
        if picks
            && (any
                || matches!(
                    utterance.mode,
                    Mode::Claim | Mode::Where | Mode::Let | Mode::Aim
                ))
        {
            let index = shape::restriction(&token.statement).is_some_and(|restriction| {
                restriction
                    .names
                    .iter()
                    .any(|name| self.names.usage(name) == Use::Index)
            });
            utterance.mode = if index { Mode::Aim } else { Mode::Choose };
            utterance.verb = Some(Family::WillDo);
        }
    }

    /// ⇒, ⇐, ⇔ in symbols.
    pub(super) fn arrow(&mut self, connective: Connective, at: usize) {
        self.implied_from(connective, at, self.last_statement);
    }

    /// implies, iff in words: of the statement just before, else of what was said.
    pub(super) fn implied(&mut self, connective: Connective, at: usize) {
        // What stands in brackets of the prose leads to nothing outside of them.
        let before = self.last_statement.filter(|last| {
            self.words_since <= 1
                && (!self.reading.utterances[*last].aside || !self.brackets.is_empty())
        });
        self.implied_from(connective, at, before);
    }

    /// "x q^n → 0 ⇒ f(x) = 0", "h(y_n) = sin(2πn) = 0 ⇒ …": a limit that was claimed, or a value that
    /// was worked out, leads on.
    fn worked_out(&self, last: usize) -> bool {
        let utterance = &self.reading.utterances[last];
        utterance.mode == Mode::Claim
            && self.tokens[utterance.token]
                .statement()
                .is_some_and(|token| {
                    links_tend(&token.statement) && !is_motion(&token.statement)
                        || works_out(&token.statement)
                })
    }

    pub(super) fn implied_from(
        &mut self,
        connective: Connective,
        at: usize,
        before: Option<usize>,
    ) {
        let before = before.filter(|last| {
            !self.reading.utterances[*last].backward
                || matches!(
                    self.reading.utterances[*last].mode,
                    Mode::Range | Mode::Condition
                )
        });
        let concluding = self
            .next_statement(at + 1)
            .is_some_and(|(next, _)| links_tend(&next.statement) && !is_motion(&next.statement));
        let afresh = at
            .checked_sub(1)
            .is_some_and(|before| self.tokens[before].is(Mark::Border));
        let names = self.names_behind(at);
        // "x > 0 ⇒ f_n(x) → 0" says for which x it does.
        if connective == Connective::Implies && concluding && !afresh {
            let ranged = before.is_some_and(|last| self.make_ranges(last));
            if ranged {
                self.above = None;
                return;
            }
        }
        let leads_on =
            concluding || afresh || names || before.is_some_and(|last| self.worked_out(last));
        let before = before.filter(|_| !(connective == Connective::Implies && leads_on));
        let Some(last) = before else {
            if connective == Connective::Implies {
                self.therefore(at, at);
            } else if self.words_before(at) == 0 {
                self.reading.carries_on = true;
                self.link = None;
                if self.base == Mode::Claim {
                    self.doubt = Some("what it is equivalent to stands elsewhere");
                }
            }
            return;
        };
        // "Multiplying by 1 + x² gives …": what stands before it states nothing.
        let names_only = self.tokens[self.reading.utterances[last].token]
            .statement()
            .is_some_and(|token| matches!(token.statement.kind, StatementKind::Term(_)));
        if names_only && connective == Connective::Implies {
            self.therefore(at, at);
            return;
        }
        let ranges = connective == Connective::Implies && self.make_ranges(last);
        self.above = None;
        self.doubt = None;
        if ranges {
            if matches!(self.base, Mode::Where) {
                self.set(Mode::Claim);
            }
            return;
        }
        if matches!(
            self.reading.utterances[last].mode,
            Mode::Range | Mode::Condition
        ) {
            if connective == Connective::Implies {
                self.base = if self.base == Mode::Let {
                    Mode::Claim
                } else {
                    self.base
                };
                return;
            }
            self.doubt = Some("its side of the equivalence was not found");
            return;
        }
        if matches!(
            self.base,
            Mode::Let | Mode::Choose | Mode::Define | Mode::Exists
        ) {
            // "∃ η > 0 ∀ s, t: |s − t| < η ⇒ …": what implies is supposed.
            let supposed = matches!(
                self.reading.utterances[last].mode,
                Mode::Claim | Mode::Exists | Mode::Choose
            ) && connective == Connective::Implies
                && self.tokens[self.reading.utterances[last].token]
                    .statement()
                    .is_some_and(|token| is_comparison(&token.statement));
            if supposed {
                self.reading.utterances[last].mode = Mode::Condition;
                self.reading.utterances[last].backward = false;
            }
            self.new_group(at);
            self.set(Mode::Claim);
            self.therefore = true;
            return;
        }
        if connective == Connective::Implies && self.is_supposed_for_all(last) {
            self.reading.utterances[last].link = None;
        }
        self.link = Some((connective, last));
    }

    /// "ε > 0 ⇒ N := ⌈1/ε⌉" picks N for that ε: whether what follows names something.
    fn names_behind(&self, at: usize) -> bool {
        self.next_statement(at + 1)
            .and_then(|(next, _)| shape::links(&next.statement).first())
            .is_some_and(|link| link.sign == Sign::Defines)
    }

    /// "A ⇒ ∀x, y: B ⇒ C" is A ⇒ (B ⇒ C): whether an utterance is such a B, which is supposed.
    fn is_supposed_for_all(&self, last: usize) -> bool {
        let utterances = &self.reading.utterances;
        utterances[last].link.is_some()
            && last.checked_sub(1).is_some_and(|before| {
                utterances[before].mode == Mode::Range
                    && self.tokens[utterances[before].token + 1..utterances[last].token]
                        .iter()
                        .all(|token| token.is(Mark::Colon))
            })
    }

    /// Turns the restrictions that end with utterance `last` into ranges: `n > N, x ∈ D ⇒ …`.
    pub(super) fn make_ranges(&mut self, last: usize) -> bool {
        let mut found = false;
        for position in (0..=last).rev() {
            let utterance = &self.reading.utterances[position];
            let plain = matches!(
                utterance.mode,
                Mode::Claim | Mode::Reason | Mode::Where | Mode::Aim
            ) && utterance.link.is_none();
            if utterance.mode == Mode::Range
                && utterance.reach == self.reading.utterances[last].reach
            {
                self.reading.utterances[position].backward = false;
                found = true;
                continue;
            }
            let shaped = self.tokens[utterance.token]
                .statement()
                .is_some_and(|token| is_strict_range(&token.statement, self.names));
            if !plain || !shaped || utterance.reach != self.reading.utterances[last].reach {
                break;
            }
            self.reading.utterances[position].mode = Mode::Range;
            self.reading.utterances[position].backward = false;
            found = true;
        }
        found
    }
}
