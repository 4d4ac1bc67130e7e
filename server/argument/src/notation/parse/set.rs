//! Set braces and case distinctions.

use super::meant::is_indexed;
use super::{Parser, unread};
use crate::notation::lex::Tok;
use crate::notation::syntax::{Segment, Separator, Statement, StatementKind, Term, TermKind};

impl Parser {
    /// `\{…\}`: a list of elements, a set builder, a sequence.
    pub(super) fn set(&mut self, close: usize) -> Term {
        let start = self.start();
        let (parts, _) = self.inside(close, |parser| {
            parser.in_set = true;
            parser.set_parts()
        });
        match parts {
            SetParts::Listed(items) => {
                let single = items.len() == 1;
                match items.into_iter().next() {
                    Some(only) if single && is_indexed(&only) => self.made(
                        TermKind::Sequence {
                            term: Box::new(only),
                            index: None,
                        },
                        start,
                    ),
                    Some(only) if single => self.made(TermKind::SetOf(vec![only]), start),
                    None => self.made(TermKind::SetOf(Vec::new()), start),
                    Some(_) => unread("this set is not understood", self.since(start)),
                }
            }
            SetParts::Several(items) => self.made(TermKind::SetOf(items), start),
            SetParts::Built(element, conditions) => self.made(
                TermKind::SetBuilder {
                    element: Box::new(element),
                    conditions,
                },
                start,
            ),
            SetParts::Unread(reason) => unread(reason, self.since(start)),
        }
    }

    fn set_parts(&mut self) -> SetParts {
        if self.position == self.end {
            return SetParts::Listed(Vec::new());
        }
        let holds_statement = self
            .position
            .checked_sub(1)
            .is_some_and(|open| self.shape.holds_statement[open]);
        let colon = (self.position..self.end)
            .take(256)
            .any(|at| matches!(self.tokens[at].kind, Tok::Colon | Tok::SuchThat));
        if !holds_statement && !colon {
            let list = self.listed_terms();
            if self.position != self.end {
                return SetParts::Unread("what stands in this set is not understood");
            }
            return match list.kind {
                TermKind::List(items) => SetParts::Several(items),
                _ => SetParts::Listed(vec![list]),
            };
        }
        let mut segments = Vec::new();
        self.segments(&mut segments);
        built_set(segments)
    }

    /// The rows of a case distinction.
    pub(super) fn cases(&mut self, close: usize) -> Term {
        let start = self.start();
        let (rows, _) = self.inside(close, |parser| {
            let end = parser.end;
            let mut rows = Vec::new();
            while parser.position < end {
                let row_end = parser.find(parser.position, end, &Tok::Row);
                if row_end > parser.position {
                    let row = parser.case(row_end);
                    rows.push(row);
                }
                parser.position = row_end + 1;
                parser.end = end;
            }
            parser.position = end;
            rows
        });
        self.made(TermKind::Cases(rows), start)
    }

    /// The first `wanted` at this level, or `end`.
    fn find(&self, from: usize, end: usize, wanted: &Tok) -> usize {
        let mut at = from;
        while at < end {
            if self.tokens[at].kind == *wanted {
                return at;
            }
            at = self.closing(at).unwrap_or(at) + 1;
        }
        end
    }

    fn case(&mut self, row_end: usize) -> (Term, Vec<Segment>) {
        let start = self.start();
        let value_end = self.find(self.position, row_end, &Tok::Align);
        self.end = value_end;
        let value = if self.starts_term() {
            self.term()
        } else {
            unread("this case has no value", self.since(start))
        };
        let mut condition = Vec::new();
        self.segments(&mut condition);
        self.end = row_end;
        self.position = (value_end + 1).min(row_end).max(self.position);
        self.segments(&mut condition);
        let begins = condition
            .iter()
            .position(|segment| !matches!(segment, Segment::Separator { .. }))
            .unwrap_or(condition.len());
        condition.drain(..begins);
        (value, condition)
    }
}

/// What stands between set braces.
enum SetParts {
    Listed(Vec<Term>),
    Several(Vec<Term>),
    Built(Term, Vec<Statement>),
    Unread(&'static str),
}

/// `x ∈ D : condition, condition`, from the parts between the braces.
fn built_set(segments: Vec<Segment>) -> SetParts {
    let mut element = None;
    let mut conditions = Vec::new();
    for segment in segments {
        match segment {
            Segment::Statement(statement) => {
                if element.is_some() {
                    conditions.push(statement);
                    continue;
                }
                match statement.kind {
                    StatementKind::Term(term) => element = Some(term),
                    StatementKind::Chain {
                        first: Some(first),
                        links,
                    } => {
                        element = Some(first.clone());
                        conditions.push(Statement {
                            kind: StatementKind::Chain {
                                first: Some(first),
                                links,
                            },
                            range: statement.range,
                        });
                    }
                    _ => return SetParts::Unread("the element of this set is not understood"),
                }
            }
            Segment::Separator {
                kind: Separator::Row | Separator::Period,
                ..
            } => return SetParts::Unread("what stands in this set is not understood"),
            Segment::Separator { .. } => {}
            Segment::Words { text, .. } => {
                let harmless = matches!(
                    text.to_lowercase().as_str(),
                    "such that" | "and" | "with" | "s.t." | "where" | "for" | "for some"
                );
                if !harmless {
                    return SetParts::Unread("the words in this set are not understood");
                }
                if text == "for some" {
                    return SetParts::Unread("a set given by \"for some\" is not read");
                }
            }
        }
    }
    match element {
        Some(element) => SetParts::Built(element, conditions),
        None => SetParts::Unread("the element of this set is missing"),
    }
}
