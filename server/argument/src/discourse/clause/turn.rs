//! Phrases that turn a sentence: then, so, since, we want, but, and.

use super::*;

impl Walk<'_> {
    /// then, we have: what was announced is over, the claim begins.
    pub(super) fn assert(&mut self, at: usize) {
        if self.above.take().is_some() {
            if self.since_base == 0 && matches!(self.base, Mode::Reason | Mode::Reject | Mode::Aim)
            {
                return;
            }
        } else if self.since_base == 0
            && matches!(
                self.base,
                Mode::Reason | Mode::Reject | Mode::Aim | Mode::Assume | Mode::Contradiction
            )
        {
            return;
        }
        if self.words_before(at) == 0 {
            self.reading.carries_on |= self.tokens[at].word() == Some("then");
        }
        // "Instead of maximising we may write": what is done instead is not left open.
        if self.opens_sentence(at) && matches!(self.tokens[0].word(), Some("instead" | "rather")) {
            self.doubt = None;
            self.group().doubt = None;
        }
        // "there is N such that for all n ≥ N we have …": what N is picked for comes now.
        if self.base == Mode::Exists && self.since_base > 0 && !self.picked_since() {
            return;
        }
        if self.base == Mode::Reject {
            return;
        }
        if self.base != Mode::Claim {
            self.new_reach(at);
        }
        self.set(Mode::Claim);
    }

    pub(super) fn weak(&mut self, at: usize) {
        if matches!(self.above, Some(Mode::Range | Mode::Condition)) {
            // "for all n ≥ N is …": the claim begins, unless the range's own name follows.
            let described = self.above == Some(Mode::Condition) && self.ends_in_name();
            if self.since_above() && !self.in_brackets() && !described {
                self.above = None;
            }
        }
        if self.words_before(at) == 0 {
            let word = self.tokens[at].word();
            self.reading.carries_on |=
                matches!(word, Some("moreover" | "furthermore" | "also" | "indeed"));
        }
    }

    /// "if n is even": the statement before is a name of which the words go on to speak.
    fn ends_in_name(&self) -> bool {
        self.words_since == 0
            && self.last_statement.is_some_and(|last| {
                self.tokens[self.reading.utterances[last].token]
                    .statement()
                    .is_some_and(|token| match &token.statement.kind {
                        StatementKind::Term(term) => shape::bare_names(term).is_some(),
                        _ => false,
                    })
            })
    }

    pub(super) fn in_brackets(&self) -> bool {
        !self.brackets.is_empty()
    }

    /// Whether the range on top has its statement already.
    pub(super) fn since_above(&self) -> bool {
        self.last_statement
            .is_some_and(|last| Some(self.reading.utterances[last].mode) == self.above)
    }

    pub(super) fn therefore(&mut self, at: usize, behind: usize) {
        let word = self.tokens[at].word();
        if word == Some("so")
            && self.tokens.get(at + 1).and_then(Token::word) == Some("that")
            && matches!(self.base, Mode::Choose | Mode::Exists | Mode::Let)
            && !self.picked_something()
        {
            return;
        }
        if self.words_before(at) == 0 {
            self.reading.carries_on = true;
        }
        self.above = None;
        self.new_reach(at);
        if !(self.base == Mode::Aim && self.since_base > 0 || self.base == Mode::Reject) {
            self.set(Mode::Claim);
        }
        self.therefore = true;
        self.group().therefore = true;
        for (family, word) in [
            (Family::Uniform, "uniformly"),
            (Family::Converge, "convergence"),
        ] {
            if has(self.tokens, at, behind, word) && family == Family::Uniform {
                self.group().uniform = Some(at);
            }
        }
    }

    pub(super) fn restate(&mut self, at: usize) {
        if self.words_before(at) == 0 {
            self.reading.carries_on = true;
        }
        if self.words_since == 0 && matches!(self.tokens[at].word(), Some("says" | "means")) {
            self.implied(Connective::Implies, at);
            return;
        }
        match self.mode() {
            Mode::Range | Mode::Condition => {
                self.above = Some(Mode::Claim);
            }
            Mode::Claim if self.last_statement.is_some() => self.new_group(at),
            Mode::Choose | Mode::Exists | Mode::Let if self.picked_something() => {
                self.new_group(at);
                self.set(Mode::Claim);
            }
            _ => {}
        }
        self.therefore = true;
    }

    pub(super) fn reason(&mut self, at: usize) {
        if self.base == Mode::Aim && self.since_base == 0 {
            return;
        }
        self.new_group(at);
        self.above = None;
        let rejected = self.base == Mode::Reject;
        if !rejected {
            self.set(Mode::Reason);
        }
    }

    pub(super) fn as_word(&mut self, at: usize, behind: usize) {
        let Some(next) = self.tokens.get(behind) else {
            return;
        };
        if let Some(statement) = next.statement() {
            if is_motion(&statement.statement) {
                self.above = Some(Mode::Motion);
            } else {
                self.reason(at);
            }
            return;
        }
        let idle = [
            "well", "above", "before", "in", "follows", "soon", "long", "large", "small",
            "required", "wanted", "claimed", "a", "an", "usual", "desired", "was", "needed", "n",
            "for", "possible", "stated", "we", "close", "already", "to", "far", "much",
        ];
        match next.word() {
            Some(word) if idle.contains(&word) => {}
            Some(_) if self.next_statement(behind).is_some() => self.reason(at),
            _ => {}
        }
    }

    pub(super) fn by(&mut self, at: usize, behind: usize) {
        if self.base != Mode::Claim {
            return;
        }
        let relation_ahead = self.next_statement(behind).is_some_and(|(statement, _)| {
            matches!(statement.statement.kind, StatementKind::Chain { .. })
                && !(statement.opens_row && statement.display)
        });
        let assertion_between = self.tokens[behind..]
            .iter()
            .take_while(|token| token.word().is_some())
            .any(|token| {
                ["we", "have", "get", "obtain", "follows", "that", "is"]
                    .contains(&token.word().unwrap_or_default())
            });
        // "By the lemma A": A is the claim, unless another one stands before or behind.
        let other = self.claim_before()
            || self.next_statement(behind).is_some_and(|(_, place)| {
                self.tokens[place + 1..]
                    .iter()
                    .filter_map(Token::statement)
                    .any(|later| {
                        matches!(later.statement.kind, StatementKind::Chain { .. })
                            && !is_range_shape(&later.statement, self.names)
                    })
            });
        if relation_ahead && !assertion_between && other {
            self.reason(at);
        }
    }

    pub(super) fn aim(&mut self, at: usize, verb: Family) {
        if self.base == Mode::Reject {
            return;
        }
        if self.words_before(at) == 0 && verb == Family::Suffices {
            self.reading.carries_on = true;
        }
        self.new_reach(at);
        self.set(Mode::Aim);
        self.verb = Some(verb);
    }

    /// "A must hold for all n": a demand, unless it was drawn from something.
    pub(super) fn demand_before(&mut self) {
        let utterances = &mut self.reading.utterances;
        let drawn = self.therefore
            || utterances
                .iter()
                .any(|utterance| utterance.therefore || utterance.mode == Mode::Reason);
        if drawn || self.contradiction {
            return;
        }
        let reach = self.reach;
        for utterance in utterances.iter_mut().rev() {
            if utterance.reach != reach {
                break;
            }
            if utterance.mode == Mode::Claim {
                utterance.mode = Mode::Aim;
            }
        }
    }

    pub(super) fn reject_before(&mut self, at: usize) {
        if self.words_before(at) == 0 {
            self.group().answer = Some(false);
            return;
        }
        let group = self.reading.groups.len() - 1;
        let mut found = false;
        for utterance in self.reading.utterances.iter_mut().rev() {
            if utterance.group != group {
                break;
            }
            if utterance.mode == Mode::Claim {
                utterance.mode = Mode::Reject;
                found = true;
            }
        }
        if !found {
            self.doubt = Some("it is said to be false");
            self.group().negated = true;
        }
    }

    pub(super) fn and(&mut self, at: usize, behind: usize) {
        self.joined = true;
        self.place = false;
        let Some(next) = self.tokens.get(behind) else {
            return;
        };
        match &next.kind {
            TokenKind::Word { text, .. }
                if [
                    "this",
                    "that",
                    "it",
                    "so",
                    "hence",
                    "therefore",
                    "the",
                    "we",
                    "thus",
                ]
                .contains(&text.as_str())
                    && self.base == Mode::Claim
                    && self.above.is_none()
                    && self.last_statement.is_some() =>
            {
                // "… ≤ M_k, and the bound is trivial for x = 0": what is said of this case is not
                // said of the estimate.
                if self.case_follows(behind) {
                    self.new_reach(at);
                } else {
                    self.new_group(at);
                }
            }
            // "contains no x and tends to 0": what is negated before is not negated behind.
            TokenKind::Word { .. }
                if self.above.is_none()
                    && self.base == Mode::Claim
                    && matches!(
                        phrase(&self.tokens[behind..]),
                        Some((Family::Tends | Family::Converge | Family::Compare(_), _))
                    ) =>
            {
                self.new_group(at);
            }
            TokenKind::Word { text, .. }
                if ["all", "every", "any", "each"].contains(&text.as_str())
                    && self.range_before() =>
            {
                self.above = Some(Mode::Range);
            }
            TokenKind::Statement(statement) => {
                if self.next_case(behind) {
                    self.above = None;
                    self.new_reach(at);
                    return;
                }
                let plain = self.above.is_none() && self.base == Mode::Claim;
                if plain && self.last_statement.is_some() && !is_set_term(&statement.statement) {
                    self.new_group(at);
                }
                if matches!(self.above, Some(Mode::Range | Mode::Condition))
                    && !is_range_shape(&statement.statement, self.names)
                    && self.above == Some(Mode::Range)
                    && !self.in_property()
                    && matches!(statement.statement.kind, StatementKind::Chain { .. })
                {
                    self.above = None;
                }
            }
            _ => {}
        }
    }
}
