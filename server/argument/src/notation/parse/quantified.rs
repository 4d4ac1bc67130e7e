//! Quantifiers with what they bind and what they govern.

use super::Parser;
use super::statement::unread_statement;
use crate::limits::{LISTED_NAMES, NESTING};
use crate::notation::lex::Tok;
use crate::notation::syntax::{Quantifier, Sign, Statement, StatementKind};

impl Parser {
    pub(super) fn quantified(&mut self, quantifier: Quantifier, trailing: bool) -> Statement {
        let start = self.start();
        self.position += 1;
        self.take(&Tok::Bang);
        let mut bound = vec![self.bound()];
        while bound.len() < LISTED_NAMES && self.continues_bound(trailing) {
            self.position += 1;
            bound.push(self.bound());
        }
        let before_body = self.position;
        self.skip_to_body();
        let body = if self.starts_statement() && self.depth < NESTING {
            Some(Box::new(self.statement()))
        } else if self.is_statement_group(self.position) && self.depth < NESTING {
            self.connected_part().map(Box::new)
        } else {
            self.position = before_body;
            None
        };
        Statement {
            range: self.since(start),
            kind: StatementKind::Quantified {
                quantifier,
                bound,
                body,
            },
        }
    }

    fn bound(&mut self) -> Statement {
        let outer = std::mem::replace(&mut self.in_bound, true);
        let found = if self.starts_term() {
            self.chain()
        } else {
            unread_statement(
                "a name is missing behind the quantifier",
                self.last_end()..self.last_end(),
            )
        };
        self.in_bound = outer;
        found
    }

    /// Whether a comma at the cursor leads to a further bound name: `x ∈ D` before another
    /// separator, or, behind the statement that is quantified, any condition on a name.
    fn continues_bound(&self, trailing: bool) -> bool {
        if self.peek() != Some(&Tok::Comma) {
            return false;
        }
        let Some(name_end) = self.name_end(self.position + 1) else {
            return false;
        };
        match self.at(name_end) {
            Some(Tok::Sign(Sign::In)) => trailing || self.separator_follows(name_end + 1),
            Some(Tok::Sign(Sign::Relation(_))) => trailing,
            _ => false,
        }
    }

    fn separator_follows(&self, from: usize) -> bool {
        let mut at = from;
        for _ in 0..LISTED_NAMES {
            match self.at(at) {
                Some(Tok::Comma | Tok::Colon | Tok::SuchThat | Tok::Quantifier(_)) => return true,
                Some(Tok::Sign(_) | Tok::Connective(_)) | None => return false,
                _ => at = self.closing(at).unwrap_or(at) + 1,
            }
        }
        false
    }

    /// Passes commas, colons and "such that" between a quantifier and what it governs.
    fn skip_to_body(&mut self) {
        while let Some(kind) = self.peek() {
            let passes = match kind {
                Tok::Comma | Tok::Colon | Tok::SuchThat | Tok::Gap => true,
                Tok::MidBar => self.shape.bars_after[self.position].is_multiple_of(2),
                Tok::Bar => self.says_such_that(),
                Tok::Words(words) => matches!(
                    words.to_lowercase().as_str(),
                    "such that"
                        | "such"
                        | "that"
                        | "so that"
                        | "s.t."
                        | "st"
                        | "s. t."
                        | "we have"
                        | "it holds that"
                        | "it holds"
                        | "holds"
                        | ", we have"
                        | ", such that"
                ),
                _ => false,
            };
            if !passes {
                break;
            }
            self.position += 1;
        }
    }
}
