//! Punctuation, rows and brackets: what ends, what goes on.

use super::*;

impl Walk<'_> {
    pub(super) fn mark(&mut self, mark: Mark, at: usize) {
        match mark {
            Mark::Comma => self.comma(at),
            Mark::Gap => {
                if self.above == Some(Mode::Range) && self.since_above() {
                    self.above = None;
                }
            }
            Mark::Semicolon
            | Mark::Period
            | Mark::InnerPeriod
            | Mark::Question
            | Mark::Exclamation => {
                self.above = None;
                let question = mark == Mark::Question;
                if question {
                    self.question();
                }
                self.new_reach(at);
                let wish = self.base == Mode::Aim && mark == Mark::Semicolon;
                // "Suppose that (i) A; (ii) B": every item is supposed.
                let item = mark == Mark::Semicolon
                    && self
                        .tokens
                        .get(at + 1)
                        .is_some_and(|next| next.is(Mark::Border))
                    && self
                        .reading
                        .utterances
                        .first()
                        .is_some_and(|first| first.base == Mode::Assume);
                // "Case 1. x ≤ 1.": the point behind the number.
                let numbered = self.case && self.since_base == 0 && mark == Mark::Period;
                if item {
                    self.set(Mode::Assume);
                } else if !(wish || numbered || self.base == Mode::Reject) {
                    self.set(Mode::Claim);
                }
            }
            Mark::Colon => self.colon(at),
            Mark::Dash => self.above = None,
            Mark::Open => {
                self.brackets.push(Outside {
                    base: self.base,
                    above: self.above,
                    verb: self.verb,
                });
            }
            Mark::Close => {
                if let Some(outside) = self.brackets.pop() {
                    self.base = outside.base;
                    self.above = outside.above;
                    self.verb = outside.verb;
                }
            }
            Mark::Row | Mark::DisplayEnd | Mark::Border => self.row(at, mark),
            Mark::Tombstone => {}
        }
    }

    pub(super) fn comma(&mut self, at: usize) {
        if self.tokens.get(at + 1).and_then(Token::word) == Some("which")
            && self.base == Mode::Claim
            && self.above.is_none()
        {
            self.new_group(at);
        }
        self.doubt = None;
        self.spoken = None;
        self.place = false;
        let next = self.tokens[at + 1..]
            .iter()
            .position(|token| !matches!(token.word(), Some("and")) && !token.is(Mark::Gap))
            .map(|offset| &self.tokens[at + 1 + offset]);
        let next_statement = next.and_then(Token::statement);
        let directly = self
            .tokens
            .get(at + 1)
            .is_some_and(|next| next.statement().is_some());
        if directly && self.next_case(at + 1) {
            self.above = None;
            self.new_reach(at);
            return;
        }
        match self.above {
            Some(Mode::Range | Mode::Condition) if self.since_above() => {
                let listed =
                    self.above == Some(Mode::Condition) && directly && self.then_follows(at + 1);
                let goes_on = listed
                    || next_statement.is_some_and(|next| self.range_goes_on(&next.statement));
                let more = next
                    .and_then(Token::word)
                    .is_some_and(|word| ["all", "every", "any", "each"].contains(&word));
                if !goes_on && !more {
                    self.above = None;
                    if self.base == Mode::Reason && self.since_base > 0 {
                        self.new_group(at);
                        self.set(Mode::Claim);
                    }
                }
                return;
            }
            Some(Mode::Domain | Mode::Motion | Mode::Claim) => self.above = None,
            _ => {}
        }
        match self.base {
            Mode::Reason | Mode::Where if self.since_base > 0 => {
                let and_follows = self.tokens.get(at + 1).and_then(Token::word) == Some("and");
                let pronoun = next.and_then(Token::word).is_some();
                if !and_follows || pronoun && self.base == Mode::Reason {
                    self.new_group(at);
                    self.set(Mode::Claim);
                }
            }
            Mode::Let | Mode::Define | Mode::Assume | Mode::Contradiction
                if self.since_base > 0 =>
            {
                let goes_on = next_statement.is_some_and(|next| {
                    shape::restriction(&next.statement).is_some()
                        || matches!(
                            next.statement.kind,
                            StatementKind::Mapping { .. }
                                | StatementKind::MapsTo { .. }
                                | StatementKind::Term(_)
                        )
                        || defines_application(&next.statement)
                        || self.is_near(&next.statement)
                });
                if !goes_on && next_statement.is_some() {
                    self.new_group(at);
                    self.set(Mode::Claim);
                }
            }
            _ => {}
        }
    }

    /// "If A, B, then C": B is supposed like A.
    fn then_follows(&self, from: usize) -> bool {
        self.tokens[from..]
            .iter()
            .take_while(|token| {
                token.statement().is_some()
                    || token.is(Mark::Comma)
                    || matches!(token.word(), Some("and" | "then"))
            })
            .any(|token| token.word() == Some("then"))
    }

    /// "Let x ∈ ℝ, 0 < |x − 2| < δ": what is bounded by a δ that was chosen is supposed.
    fn is_near(&self, statement: &Statement) -> bool {
        let links = shape::links(statement);
        let ordered = links.iter().all(|link| {
            matches!(
                link.sign,
                Sign::Relation(Relation::Less | Relation::LessEqual)
            )
        });
        let bound = links
            .last()
            .and_then(|link| link.right.as_ref())
            .and_then(shape::bare_name);
        ordered && bound.is_some_and(|name| self.names.usage(name) == Use::Threshold)
    }

    /// Whether the statement continues a list of ranges: it restricts an index or a point that
    /// the range does not speak of yet.
    pub(super) fn range_goes_on(&self, statement: &Statement) -> bool {
        if !is_strict_range(statement, self.names) {
            return false;
        }
        let Some(restriction) = shape::restriction(statement) else {
            return false;
        };
        let said: Vec<String> = self
            .reading
            .utterances
            .iter()
            .rev()
            .take_while(|utterance| Some(utterance.mode) == self.above)
            .filter_map(|utterance| self.tokens[utterance.token].statement())
            .filter_map(|token| shape::restriction(&token.statement))
            .flat_map(|restriction| {
                restriction
                    .names
                    .into_iter()
                    .map(shape::spelling)
                    .collect::<Vec<_>>()
            })
            .collect();
        restriction
            .names
            .iter()
            .all(|name| !said.contains(&shape::spelling(name)))
    }

    pub(super) fn colon(&mut self, at: usize) {
        if self.above.take().is_some() {
            // "we may assume m > n (for m = n: …)": what stands in brackets is not assumed.
            if self.in_brackets() && self.base == Mode::Assume {
                self.base = Mode::Claim;
            }
            return;
        }
        match self.base {
            Mode::Aim if self.since_base == 0 => {}
            Mode::Reject => {}
            Mode::Choose | Mode::Exists if self.since_base > 0 && !self.picked_something() => {}
            Mode::Let | Mode::Assume | Mode::Contradiction if self.since_base == 0 => {}
            _ => {
                self.new_reach(at);
                self.set(Mode::Claim);
            }
        }
    }

    pub(super) fn row(&mut self, at: usize, mark: Mark) {
        let next = self.tokens[at + 1..]
            .iter()
            .find(|token| !matches!(token.kind, TokenKind::Mark(_)));
        let carried = next
            .and_then(Token::statement)
            .is_some_and(|next| shape::opens_with_relation(&next.statement));
        if self.above.is_some() && self.since_above() {
            self.above = None;
        }
        if carried {
            if self.base == Mode::Reason {
                self.new_group(at);
                self.set(Mode::Claim);
            }
            return;
        }
        if mark == Mark::Row && next.is_some_and(|next| next.statement().is_some()) {
            self.new_group(at);
            if matches!(
                self.base,
                Mode::Reason | Mode::Where | Mode::Let | Mode::Choose
            ) && self.since_base > 0
            {
                self.set(Mode::Claim);
            }
        }
        if mark != Mark::Row && self.base == Mode::Reason && self.since_base > 0 {
            self.new_group(at);
            self.set(Mode::Claim);
        }
    }

    pub(super) fn question(&mut self) {
        // "Can you see why A, and B?" asserts nothing; "A, so is B?" asserts A.
        let asks = self
            .tokens
            .iter()
            .find_map(Token::word)
            .is_some_and(|word| {
                [
                    "can", "could", "why", "how", "what", "which", "is", "are", "does", "do",
                    "where", "who", "when", "would", "should", "must",
                ]
                .contains(&word)
            });
        for utterance in &mut self.reading.utterances {
            if utterance.mode == Mode::Claim && (asks || utterance.reach == self.reach) {
                utterance.mode = Mode::Aim;
            }
        }
        for group in &mut self.reading.groups {
            if matches!(group.mode, None | Some(Mode::Claim)) {
                group.mode = Some(Mode::Aim);
            }
        }
    }
}
