//! Whether a range stands before or behind what it governs.

use super::*;

impl Walk<'_> {
    /// Whether the statement stands behind a comma or a gap that follows a claim.
    pub(super) fn follows_claim(&self, at: usize) -> bool {
        let mark = self.tokens[..at]
            .iter()
            .rev()
            .take_while(|token| matches!(token.kind, TokenKind::Mark(_)));
        let parted = mark
            .clone()
            .any(|token| token.is(Mark::Comma) || token.is(Mark::Gap) || token.is(Mark::Open));
        let crossed = mark
            .clone()
            .any(|token| token.is(Mark::Row) || token.is(Mark::Border));
        parted && !crossed && self.words_since == 0 && self.claim_before()
    }

    /// "then x ∈ A", "we have x ∈ A": claimed, whatever it restricts.
    pub(super) fn follows_assertion(&self, at: usize) -> bool {
        let mut before = self.tokens[..at].iter().rev();
        before
            .next()
            .and_then(Token::word)
            .is_some_and(|word| matches!(word, "then" | "have" | "has" | "also" | "again"))
    }

    pub(super) fn claim_before(&self) -> bool {
        self.reading.utterances.iter().any(|utterance| {
            utterance.reach == self.reach
                && matches!(
                    utterance.mode,
                    Mode::Claim
                        | Mode::Define
                        | Mode::Reason
                        | Mode::Aim
                        | Mode::Choose
                        | Mode::Exists
                        | Mode::Let
                        | Mode::Where
                        | Mode::Reject
                )
                && self.tokens[utterance.token]
                    .statement()
                    .is_some_and(|token| {
                        !matches!(token.statement.kind, StatementKind::Term(_))
                            || utterance.spoken.is_some()
                    })
        }) || self.groups_claim()
    }

    pub(super) fn groups_claim(&self) -> bool {
        self.reading.groups.last().is_some_and(|group| {
            group.converges.is_some() || group.uniform.is_some() && group.mode != Some(Mode::Range)
        })
    }

    /// Whether a claim follows the range at `at` before its stretch ends.
    pub(super) fn claim_follows(&self, at: usize) -> bool {
        let mut separated = false;
        for token in &self.tokens[at + 1..] {
            match &token.kind {
                TokenKind::Mark(
                    Mark::Semicolon | Mark::Period | Mark::InnerPeriod | Mark::Close,
                ) => return false,
                TokenKind::Mark(Mark::Comma | Mark::Colon | Mark::Border) => separated = true,
                TokenKind::Mark(_) => {}
                TokenKind::Word { text, .. } => match text.as_str() {
                    "so" | "hence" | "thus" | "therefore" | "since" | "because" | "where"
                    | "which" | "as" | "if" => return false,
                    "we" | "have" | "is" | "then" | "one" | "it" | "the" | "this" | "likewise"
                    | "similarly" | "even" | "analogously" | "again" | "only" => {
                        separated = true;
                    }
                    _ => {}
                },
                TokenKind::Arrow(_) => separated = true,
                TokenKind::Statement(statement) => {
                    let chain = matches!(statement.statement.kind, StatementKind::Chain { .. });
                    if chain && !is_range_shape(&statement.statement, self.names) {
                        // Between two claims a range belongs to the one behind it only if words
                        // or marks part it from the one before.
                        return separated && self.parted_before(at);
                    }
                }
            }
        }
        false
    }

    /// "…, and for m = n there is nothing to show", "…, and for x = 0 the left side is 0": the words
    /// behind a range say what holds there.
    pub(super) fn is_said_of_apart(&self, at: usize) -> bool {
        let behind = &self.tokens[at + 1..];
        let trivial = behind.iter().map_while(Token::word).take(6).any(|word| {
            matches!(
                word,
                "nothing" | "trivial" | "trivially" | "clear" | "obvious" | "symmetric" | "similar"
            )
        });
        let comma = usize::from(behind.first().is_some_and(|token| token.is(Mark::Comma)));
        let subject = behind.get(comma).and_then(Token::word).is_some_and(|word| {
            matches!(
                word,
                "the" | "both" | "it" | "this" | "that" | "there" | "everything" | "one" | "we"
            )
        });
        trivial || subject && (self.in_brackets() || self.joins_clause(at) && !self.lists_names(at))
    }

    /// "… for all n ≥ N and for all x ∈ D": whether a range goes on from one of other names.
    fn lists_names(&self, at: usize) -> bool {
        let names = |token: &StatementToken| {
            shape::restriction(&token.statement).map(|restriction| {
                let names = restriction.names.iter().map(|name| shape::spelling(name));
                names.collect::<Vec<_>>()
            })
        };
        let own = self.tokens[at].statement().and_then(names);
        let before = self.tokens[..at].iter().rev().find_map(Token::statement);
        let ranged = before.filter(|token| is_range_shape(&token.statement, self.names));
        match (own, ranged.and_then(names)) {
            (Some(own), Some(before)) => !own.iter().any(|name| before.contains(name)),
            _ => false,
        }
    }

    /// "…, and for x = 0": whether the words before a range begin a clause of its own.
    fn joins_clause(&self, at: usize) -> bool {
        self.tokens[..at]
            .iter()
            .rev()
            .map_while(Token::word)
            .any(|word| matches!(word, "and" | "while" | "whereas" | "but"))
    }

    /// Whether a clause in words speaks of one value only: "the bound is trivial for x = 0".
    pub(super) fn case_follows(&self, behind: usize) -> bool {
        self.next_statement(behind).is_some_and(|(token, _)| {
            shape::restriction(&token.statement).is_some_and(|restriction| {
                restriction.sign == Sign::Relation(Relation::Equal)
                    && restriction
                        .names
                        .iter()
                        .all(|name| matches!(self.names.usage(name), Use::Index | Use::Point))
            })
        })
    }

    /// Whether a statement is a remark on the claim before it: in brackets of its own, or in the
    /// last cell of a row whose claim is said.
    pub(super) fn is_remark(&self, token: &StatementToken, at: usize) -> bool {
        if shape::opens_with_relation(&token.statement) || !self.claim_before() {
            return false;
        }
        let before = at.checked_sub(1).map(|before| &self.tokens[before]);
        let cell = token.display
            && before.is_some_and(|before| before.is(Mark::Border))
            && self
                .tokens
                .get(at + 1)
                .is_none_or(|next| next.is(Mark::Row) || next.is(Mark::DisplayEnd));
        let apart = before.is_some_and(|before| {
            before.is(Mark::Border) || before.is(Mark::Comma) || before.statement().is_some()
        });
        cell || token.bracketed && apart && is_strict_range(&token.statement, self.names)
    }

    /// Whether the statement at `at` is a further case behind "… for x < 1": a value or limit
    /// with a place of its own.
    pub(super) fn next_case(&self, at: usize) -> bool {
        let placed = self
            .last_statement
            .is_some_and(|last| self.reading.utterances[last].backward);
        let Some(token) = self.tokens.get(at).and_then(Token::statement) else {
            return false;
        };
        let statement = &token.statement;
        let member = shape::links(statement)
            .first()
            .is_some_and(|link| link.sign == Sign::Relation(Relation::Equal))
            && shape::first_term(statement)
                .and_then(shape::bare_name)
                .is_some_and(|name| self.names.is_member(name));
        if !placed || !(defines_application(statement) || links_tend(statement) || member) {
            return false;
        }
        let arguments = shape::first_term(statement)
            .and_then(shape::application)
            .map(|(_, arguments)| arguments);
        let at_number = arguments.is_some_and(|arguments| {
            arguments
                .iter()
                .all(|argument| shape::names_in(argument).is_empty())
        });
        at_number
            || self.tokens[at + 1..]
                .iter()
                .take_while(|token| token.word().is_some())
                .enumerate()
                .any(|(offset, _)| {
                    matches!(
                        phrase(&self.tokens[at + 1 + offset..]),
                        Some((Family::For | Family::ForAll | Family::If | Family::On, _))
                    )
                })
    }

    pub(super) fn parted_before(&self, at: usize) -> bool {
        let mut tokens = self.tokens[..at].iter().rev();
        // "…, and for |x| ≥ 2 we have": behind a display "and" begins a clause of its own.
        if self.joins_clause(at) {
            return true;
        }
        // Back over the words of the range itself to what stands before them.
        tokens
            .find(|token| {
                !matches!(
                    token.word(),
                    Some(
                        "for"
                            | "all"
                            | "every"
                            | "any"
                            | "each"
                            | "if"
                            | "whenever"
                            | "when"
                            | "on"
                            | "and"
                            | "integers"
                            | "numbers"
                            | "natural"
                            | "real"
                            | "at"
                            | "given"
                            | "fixed"
                    )
                )
            })
            .is_none_or(|token| {
                !matches!(token.kind, TokenKind::Statement(_)) && !token.is(Mark::DisplayEnd)
            })
    }
}
