//! What each family of phrases does to the walk.

use super::*;

impl Walk<'_> {
    /// Carries out the phrase of `length` tokens at `at`.
    pub(super) fn family(&mut self, family: Family, at: usize, length: usize) {
        let behind = at + length;
        match family {
            Family::Let => self.begin_let(at, behind),
            Family::Choose => self.begin_choice(at, behind),
            Family::Exists => self.begin_existence(at),
            Family::ForAll | Family::For => self.range(family, at, behind),
            Family::If => self.condition(at),
            Family::HoldsIf => self.holds_if(at),
            Family::At => self.place_or_range(behind),
            Family::SuchThat => self.such_that(at, behind),
            Family::Where => self.begin_where(at),
            Family::On => self.on(behind),
            Family::Large => self.large_word(),
            Family::IntegerWord | Family::RealWord => {
                self.number_word(family == Family::IntegerWord, at)
            }
            Family::Place => self.place = true,
            // "let N denote any number …"
            Family::Define if self.base == Mode::Let && self.since_base > 0 => {}
            Family::Define => {
                self.new_group(at);
                self.set(Mode::Define);
            }
            Family::GivenBy => {
                if self.base == Mode::Claim {
                    self.set(Mode::Define);
                }
            }
            _ => self.turn(family, at, behind),
        }
    }

    /// "a convergent sequence": the word stands before a noun.
    fn describes_a_sequence(&self, behind: usize) -> bool {
        self.tokens
            .get(behind)
            .and_then(Token::word)
            .is_some_and(|word| {
                [
                    "sequence",
                    "sequences",
                    "series",
                    "subsequence",
                    "subsequences",
                ]
                .contains(&word)
            })
    }

    /// "Here is the estimate", "The key is the bound": the verb behind its subject asks nothing.
    fn states_with_a_verb(&self, at: usize) -> bool {
        let subject = at
            .checked_sub(1)
            .and_then(|before| self.tokens[before].word());
        matches!(self.tokens[at].word(), Some("is" | "does" | "do"))
            && self.base != Mode::Aim
            && subject.is_some()
            && !self.tokens.iter().any(|token| token.is(Mark::Question))
    }

    /// Phrases that turn a sentence: reasons, aims, suppositions, consequences.
    fn turn(&mut self, family: Family, at: usize, behind: usize) {
        match family {
            Family::Assert => self.assert(at),
            Family::Weak => self.weak(at),
            Family::But => {
                self.new_reach(at);
                if matches!(self.base, Mode::Reject | Mode::Reason | Mode::Aim) {
                    self.set(Mode::Claim);
                }
                self.above = None;
            }
            Family::Therefore => self.therefore(at, behind),
            Family::Restate => self.restate(at),
            Family::Reason => self.reason(at),
            Family::As => self.as_word(at, behind),
            Family::By => self.by(at, behind),
            Family::Aim | Family::Suffices => self.aim(at, family),
            Family::AimBefore => self.demand_before(),
            // "The values do not."
            Family::Ask if self.tokens.get(behind).and_then(Token::word) == Some("not") => {}
            Family::Ask if self.states_with_a_verb(at) => self.weak(at),
            Family::ToGet | Family::Ask => {
                if self.opens_sentence(at) || self.base == Mode::Aim {
                    self.aim(at, family);
                }
            }
            Family::Assume => {
                self.new_reach(at);
                let contradicted = self.contradiction;
                self.set(if contradicted {
                    Mode::Contradiction
                } else {
                    Mode::Assume
                });
            }
            Family::Contradiction => self.suppose_the_contrary(),
            Family::Discharge => self.reading.discharges = true,
            Family::Reject => {
                self.new_reach(at);
                self.set(Mode::Reject);
            }
            Family::RejectBefore => self.reject_before(at),
            Family::Otherwise => self.doubt = Some("the condition is told by “otherwise”"),
            Family::Case => {
                if !self.reading.cases_done && self.case_opens(behind) {
                    self.new_reach(at);
                    self.set(Mode::Assume);
                    self.case = true;
                } else if self.counts_a_case(at) {
                    self.meant_case = true;
                }
            }
            Family::CasesDone => self.reading.cases_done = true,
            Family::And => self.and(at, behind),
            Family::Or => {
                if self.mode() == Mode::Claim {
                    self.doubt = Some("it is joined by “or”");
                }
            }
            _ => self.say(family, at, behind),
        }
    }

    /// Whether what stands behind "case" makes it a new one: its condition, a label, a colon. "The
    /// first case applied to −x" only speaks of one.
    fn case_opens(&self, behind: usize) -> bool {
        let at = |position: usize| self.tokens.get(position);
        let ends = |position: usize| {
            at(position).is_none_or(|token| {
                token.statement().is_some()
                    || matches!(token.kind, TokenKind::Mark(mark) if mark != Mark::Close)
            })
        };
        let Some(next) = at(behind) else {
            return false;
        };
        match (&next.kind, next.word()) {
            (
                TokenKind::Statement(_) | TokenKind::Mark(Mark::Colon | Mark::Dash | Mark::Open),
                _,
            ) => true,
            (_, Some("where" | "when" | "that" | "of" | "in" | "if" | "for" | "distinction")) => {
                at(behind + 1).is_some_and(|then| then.statement().is_some())
            }
            (_, Some(label)) => is_label(label) && ends(behind + 1),
            _ => false,
        }
    }

    /// "In the first case …, in the second …": of cases that stand elsewhere.
    fn counts_a_case(&self, at: usize) -> bool {
        let mut before = self.tokens[..at].iter().rev().map_while(Token::word);
        let counted = before.next().is_some_and(|word| {
            [
                "first",
                "second",
                "third",
                "fourth",
                "last",
                "other",
                "former",
                "latter",
                "remaining",
            ]
            .contains(&word)
        });
        counted && before.take(2).any(|word| word == "in")
    }

    /// Phrases that say something: relations, convergence, negations, answers.
    fn say(&mut self, family: Family, at: usize, behind: usize) {
        match family {
            Family::Compare(relation) => self.compare(Spoken::Relation(relation), at),
            Family::CompareZero(relation) => self.compare_zero(relation),
            Family::Tends => self.tends(at, behind),
            Family::LimitIs => {
                // "the distance to the limit is …" names no limit.
                let before = at
                    .checked_sub(1)
                    .and_then(|before| self.tokens[before].word());
                self.limit_is = (!matches!(before, Some("to" | "from" | "of"))).then_some(behind);
            }
            Family::WillDo => self.will_do(),
            Family::Equivalent => self.implied(Connective::Equivalent, at),
            Family::Implies => self.implied(Connective::Implies, at),
            Family::Uniform => self.uniform(at, behind),
            Family::Pointwise => self.group().pointwise = true,
            // "A convergent sequence is bounded" tells no limit.
            Family::Converge if self.describes_a_sequence(behind) => {}
            Family::Converge => self.group().converges = Some(at),
            Family::Diverge => self.group().diverges = Some(at),
            Family::Increasing => self.group().monotone = Some((true, at)),
            Family::Decreasing => self.group().monotone = Some((false, at)),
            Family::Not => {
                // "… → 1, no single q < 1 is above them": what stands before is not denied.
                let apart = at
                    .checked_sub(1)
                    .is_some_and(|before| self.tokens[before].is(Mark::Comma));
                // "b_n → 0, not decreasing": so here, but "f_n → 0, not uniformly" denies a part of it.
                let of_it = self
                    .tokens
                    .get(at + 1)
                    .and_then(Token::word)
                    .is_some_and(|word| word.starts_with("uniform") || word.starts_with("converg"));
                let other = self.tokens[at].word() == Some("no") || !of_it;
                if apart && other && self.group().tends {
                    self.new_group(at);
                }
                let denies = matches!(
                    self.tokens.get(at + 1).and_then(Token::word),
                    Some("uniform" | "pointwise" | "convergence")
                );
                // "N has no x in it ⇒ uniform convergence": what is denied is no convergence.
                let of_a_name = self.tokens[at].word() == Some("no")
                    && self
                        .next_statement(at + 1)
                        .filter(|(_, place)| *place == at + 1)
                        .and_then(|(next, _)| shape::first_term(&next.statement))
                        .and_then(shape::bare_name)
                        .is_some_and(|name| self.names.usage(name) == Use::Point);
                if of_a_name {
                    self.doubt = Some("it is negated in words");
                } else if self.words_before(at) == 0
                    && self.tokens[at].word() == Some("no")
                    && !denies
                {
                    self.group().answer = Some(false);
                } else {
                    self.group().negated = true;
                    self.doubt = Some("it is negated in words");
                }
            }
            Family::Yes if self.words_before(at) == 0 => self.group().answer = Some(true),
            Family::Doubt => {
                self.doubt = Some("the words around it leave open whether it is asserted");
                self.group().doubt = self.doubt;
                // "since A would need more care": said of the statement before.
                if let Some(last) = self.last_statement
                    && self.words_since == 0
                {
                    self.reading.utterances[last].doubt = self.doubt;
                }
            }
            // All other families were carried out before.
            _ => {}
        }
    }

    /// "There are p such terms": how many there are is said, and not that p exists.
    fn counts_things(&self, at: usize) -> bool {
        let Some(number) = (at..self.tokens.len())
            .take(4)
            .find(|place| self.tokens[*place].statement().is_some())
        else {
            return false;
        };
        let mut behind = self.tokens[number + 1..].iter().map_while(Token::word);
        let (first, second) = (behind.next(), behind.next());
        let things = |word: &str| {
            matches!(
                word,
                "terms"
                    | "summands"
                    | "factors"
                    | "members"
                    | "points"
                    | "intervals"
                    | "pieces"
                    | "indices"
                    | "numbers"
                    | "steps"
            )
        };
        first.is_some_and(|word| things(word) || word == "such" && second.is_some_and(things))
    }

    fn begin_choice(&mut self, at: usize, behind: usize) {
        let wished = self.base == Mode::Aim
            && self.since_base == 0
            && self.verb != Some(Family::Suffices)
            && !self.opens_sentence_after_to_get(at);
        // "A tempting idea is to take δ = …"
        let rejected = self.base == Mode::Reject && self.since_base == 0;
        if !wished
            && !rejected
            && !self.is_noun(at)
            && !self.operates(behind)
            && self.picks(at, behind)
        {
            self.new_reach(at);
            self.set(Mode::Choose);
            self.verb = Some(Family::Choose);
        }
    }

    /// "Taking n-th roots", "take logarithms": something is done to a relation, nothing is picked.
    fn operates(&self, behind: usize) -> bool {
        const OPERATIONS: [&str; 21] = [
            "root",
            "roots",
            "log",
            "logs",
            "logarithm",
            "logarithms",
            "limit",
            "limits",
            "square",
            "squares",
            "reciprocal",
            "reciprocals",
            "derivative",
            "derivatives",
            "supremum",
            "suprema",
            "sup",
            "maximum",
            "absolute",
            "powers",
            "norms",
        ];
        self.tokens[behind.min(self.tokens.len())..]
            .iter()
            .take(4)
            .filter_map(Token::word)
            .any(|word| OPERATIONS.contains(&word))
    }

    /// "the given set", "a closed set": what could be a verb is a noun.
    fn is_noun(&self, at: usize) -> bool {
        let before = at
            .checked_sub(1)
            .and_then(|before| self.tokens[before].word());
        let named = [
            "the",
            "a",
            "this",
            "that",
            "each",
            "every",
            "any",
            "given",
            "following",
            "same",
            "whole",
            "closed",
            "open",
            "compact",
            "bounded",
            "unbounded",
            "finite",
            "infinite",
        ];
        self.tokens[at].word() == Some("set")
            && before.is_some_and(|before| named.contains(&before))
    }

    fn begin_existence(&mut self, at: usize) {
        let within = matches!(
            self.base,
            Mode::Aim | Mode::Assume | Mode::Contradiction | Mode::Reject
        );
        if self.counts_things(at) {
            return;
        }
        if within && self.since_base == 0 || self.above == Some(Mode::Condition) {
            self.verb = Some(Family::Exists);
            if self.base == Mode::Aim && self.above == Some(Mode::Range) {
                self.above = None;
            }
        } else if !(self.base == Mode::Aim && self.verb == Some(Family::Exists)) {
            self.new_reach(at);
            self.set(Mode::Exists);
            self.verb = Some(Family::Exists);
        }
    }

    fn holds_if(&mut self, at: usize) {
        if self.words_before(at) == 0 {
            self.reading.carries_on = true;
            self.aim(at, Family::HoldsIf);
        } else if self.base != Mode::Aim {
            self.above = Some(Mode::Condition);
        }
    }

    fn begin_where(&mut self, at: usize) {
        self.above = None;
        if matches!(
            self.base,
            Mode::Claim | Mode::Reason | Mode::Aim | Mode::Let | Mode::Define
        ) {
            self.new_group(at);
            let aim = self.base == Mode::Aim;
            self.set(Mode::Where);
            if aim {
                self.verb = Some(Family::Aim);
            }
        }
    }

    fn suppose_the_contrary(&mut self) {
        self.contradiction = true;
        if self.base != Mode::Assume {
            return;
        }
        self.base = Mode::Contradiction;
        self.group().mode = Some(Mode::Contradiction);
        for utterance in &mut self.reading.utterances {
            if utterance.mode == Mode::Assume {
                utterance.mode = Mode::Contradiction;
            }
        }
    }

    fn tends(&mut self, at: usize, behind: usize) {
        let said = |word: &str| has(self.tokens, at, behind, word);
        let uniform = said("uniformly") || said("unif");
        let (pointwise, negated) = (said("pointwise") || said("ptwise"), said("not"));
        let group = self.group();
        group.tends = true;
        if uniform {
            group.uniform = Some(at);
            group.adverb = true;
        }
        group.pointwise |= pointwise;
        group.negated |= negated;
        self.compare(Spoken::Tends, at);
    }

    fn uniform(&mut self, at: usize, behind: usize) {
        let next = self.tokens.get(behind).and_then(Token::word);
        let other = [
            "continuous",
            "continuity",
            "bound",
            "bounded",
            "estimate",
            "means",
            "norm",
            "in",
        ];
        if !next.is_some_and(|next| other.contains(&next)) {
            let adverb = self.tokens[at].word() != Some("uniform");
            let group = self.group();
            group.uniform = Some(at);
            group.adverb |= adverb;
        }
    }
}

/// Labels of cases: numerals, letters.
fn is_label(word: &str) -> bool {
    let numeral = word
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, 'i' | 'v' | 'x'));
    numeral || word.chars().count() == 1 || ["one", "two", "three", "four"].contains(&word)
}
