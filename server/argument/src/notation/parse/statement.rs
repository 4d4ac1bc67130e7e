//! Statements: chains of relations, quantifiers, connectives, mappings, and what separates them.

use super::{Parser, brackets};
use crate::limits::{IN_A_ROW, NESTING};
use crate::notation::lex::Tok;
use crate::notation::syntax::{Connective, Segment, Separator, Statement, StatementKind};
use std::ops::Range;

impl Parser {
    /// Everything up to the end of the group.
    pub(super) fn segments(&mut self, out: &mut Vec<Segment>) {
        while self.position < self.end {
            let before = self.position;
            self.segment(out);
            if self.position == before {
                self.skip_unread(out);
            }
        }
    }

    fn segment(&mut self, out: &mut Vec<Segment>) {
        let range = self.tokens[self.position].range.clone();
        let after_statement = matches!(out.last(), Some(Segment::Statement(_)));
        if let Some(kind) = self.separator(after_statement) {
            self.position += 1;
            out.push(Segment::Separator { kind, range });
            return;
        }
        match self.peek() {
            Some(Tok::Words(_)) => self.words(out),
            Some(Tok::Align) => self.position += 1,
            _ if self.is_statement_group(self.position) => self.statement_group(out),
            _ if self.starts_statement() => {
                let trailing = follows_statement(out);
                let statement = self.statement_in(trailing);
                out.push(Segment::Statement(statement));
            }
            _ => {}
        }
    }

    /// The separator at the cursor.
    fn separator(&self, after_statement: bool) -> Option<Separator> {
        Some(match self.peek()? {
            Tok::Comma => Separator::Comma,
            Tok::Semicolon => Separator::Semicolon,
            Tok::Colon | Tok::SuchThat => Separator::Colon,
            Tok::Period => Separator::Period,
            Tok::Gap => Separator::Gap,
            Tok::Row => Separator::Row,
            Tok::Bar | Tok::MidBar if after_statement && self.says_such_that() => Separator::Colon,
            _ => return None,
        })
    }

    /// A bar that has no partner and stands before a statement: "such that".
    pub(super) fn says_such_that(&self) -> bool {
        let partnerless = self.shape.bars_after[self.position].is_multiple_of(2);
        let followed = self.at(self.position + 1).is_some_and(|kind| {
            brackets::starts_value(kind) || matches!(kind, Tok::Bar | Tok::Quantifier(_))
        });
        self.open_bars == 0 && partnerless && followed
    }

    /// Words side by side become one piece.
    fn words(&mut self, out: &mut Vec<Segment>) {
        let start = self.start();
        let mut text = String::new();
        while let Some(Tok::Words(words)) = self.peek() {
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(words);
            self.position += 1;
        }
        out.push(Segment::Words {
            text,
            range: self.since(start),
        });
    }

    /// A bracket that holds a statement, a remark: its parts stand as if without the bracket.
    fn statement_group(&mut self, out: &mut Vec<Segment>) {
        let Some(close) = self.closing(self.position) else {
            return;
        };
        if self.depth >= NESTING {
            self.too_deep(out);
            return;
        }
        let start = self.start();
        let trailing = follows_statement(out);
        self.depth += 1;
        let (mut inner, _) = self.inside(close, |parser| {
            let mut inner = Vec::new();
            if trailing && let Some(Tok::Quantifier(_)) = parser.peek() {
                let statement = parser.statement_in(true);
                inner.push(Segment::Statement(statement));
            }
            parser.segments(&mut inner);
            inner
        });
        self.depth -= 1;
        if let [Segment::Statement(_)] = inner.as_slice()
            && let Some(Segment::Statement(mut only)) = inner.pop()
        {
            only.range = self.since(start);
            let whole = self.connect(Some(only), start);
            out.push(Segment::Statement(whole));
            return;
        }
        out.append(&mut inner);
    }

    fn too_deep(&mut self, out: &mut Vec<Segment>) {
        let start = self.start();
        self.position = self
            .closing(self.position)
            .map_or(self.end, |close| close + 1);
        let range = self.since(start);
        out.push(Segment::Statement(unread_statement(
            "this part is nested too deeply to be read",
            range,
        )));
    }

    /// A token that begins nothing; neighbours of that kind become one unread part.
    fn skip_unread(&mut self, out: &mut Vec<Segment>) {
        let range = self.tokens[self.position].range.clone();
        let reason = stray_reason(&self.tokens[self.position].kind);
        self.position += 1;
        if let Some(Segment::Statement(last)) = out.last_mut()
            && let StatementKind::Unread(known) = &last.kind
            && *known == reason
        {
            last.range.end = range.end;
            return;
        }
        out.push(Segment::Statement(unread_statement(reason, range)));
    }

    /// Whether the group at `index` is a bracket with a statement inside, not a term.
    pub(super) fn is_statement_group(&self, index: usize) -> bool {
        matches!(
            self.at(index),
            Some(Tok::Open('(' | '[') | Tok::Left('(' | '[' | '.') | Tok::BraceOpen)
        ) && self.shape.holds_statement[index]
            && self.closing(index).is_some()
    }

    pub(super) fn starts_statement(&self) -> bool {
        self.starts_term()
            || matches!(
                self.peek(),
                Some(Tok::Sign(_) | Tok::Connective(_) | Tok::Quantifier(_) | Tok::MapsTo)
            )
    }

    /// One statement with its connectives.
    pub(super) fn statement(&mut self) -> Statement {
        self.statement_in(false)
    }

    /// `trailing`: it follows the statement that it quantifies.
    fn statement_in(&mut self, trailing: bool) -> Statement {
        let start = self.start();
        if self.depth >= NESTING {
            self.position = self.end;
            return unread_statement(
                "this part is nested too deeply to be read",
                self.since(start),
            );
        }
        self.depth += 1;
        let first = match self.peek() {
            Some(Tok::Connective(_)) => None,
            _ => Some(self.simple(trailing)),
        };
        let whole = self.connect(first, start);
        self.depth -= 1;
        whole
    }

    /// Adds the connectives and statements that follow `first`.
    fn connect(&mut self, first: Option<Statement>, start: usize) -> Statement {
        let mut parts = vec![first];
        let mut signs: Vec<(Connective, Range<usize>)> = Vec::new();
        while signs.len() < IN_A_ROW
            && let Some(connective) = self.connective()
        {
            let range = self.tokens[self.position].range.clone();
            self.position += 1;
            signs.push((connective, range));
            parts.push(self.connected_part());
        }
        let range = self.since(start);
        joined(parts, &signs, range)
    }

    fn connective(&self) -> Option<Connective> {
        match self.peek()? {
            Tok::Connective(connective) => Some(*connective),
            Tok::Words(words) => {
                let connective = match words.as_str() {
                    "and" => Connective::And,
                    "or" => Connective::Or,
                    _ => return None,
                };
                let follows = match self.at(self.position + 1)? {
                    Tok::Sign(_) | Tok::Quantifier(_) | Tok::Bar => true,
                    Tok::Open(_) | Tok::Left(_) | Tok::Minus => true,
                    other => brackets::starts_value(other),
                };
                follows.then_some(connective)
            }
            _ => None,
        }
    }

    pub(super) fn connected_part(&mut self) -> Option<Statement> {
        if self.depth >= NESTING {
            return None;
        }
        if self.is_statement_group(self.position) {
            let close = self.closing(self.position)?;
            let start = self.start();
            self.depth += 1;
            let (inner, complete) = self.inside(close, |parser| parser.only_statements());
            self.depth -= 1;
            let range = self.since(start);
            return Some(match (inner, complete) {
                (Some(statement), true) => Statement { range, ..statement },
                _ => unread_statement("the remark in this bracket is not understood", range),
            });
        }
        match self.peek() {
            Some(Tok::Connective(_)) | None => None,
            _ if self.starts_statement() => Some(self.simple(false)),
            _ => None,
        }
    }

    /// Statements with commas between them, joined by "and".
    fn only_statements(&mut self) -> Option<Statement> {
        let start = self.start();
        let mut parts = Vec::new();
        let mut signs = Vec::new();
        while self.starts_statement() && parts.len() < IN_A_ROW {
            parts.push(Some(self.statement()));
            let range = if self.position < self.end {
                self.tokens[self.position].range.clone()
            } else {
                break;
            };
            if !self.take(&Tok::Comma) {
                break;
            }
            signs.push((Connective::And, range));
        }
        if parts.is_empty() || parts.len() != signs.len() + 1 {
            return None;
        }
        Some(joined(parts, &signs, self.since(start)))
    }

    /// A statement without connectives.
    fn simple(&mut self, trailing: bool) -> Statement {
        if let Some(Tok::Quantifier(quantifier)) = self.peek() {
            return self.quantified(*quantifier, trailing);
        }
        self.chain()
    }
}

/// Builds the tree of connectives: ⇒ and its kin bind least, then "or", then "and".
fn joined(
    mut parts: Vec<Option<Statement>>,
    signs: &[(Connective, Range<usize>)],
    range: Range<usize>,
) -> Statement {
    let weakest = signs
        .iter()
        .position(|(sign, _)| !matches!(sign, Connective::And | Connective::Or))
        .or_else(|| signs.iter().position(|(sign, _)| *sign == Connective::Or))
        .or(if signs.is_empty() { None } else { Some(0) });
    let Some(at) = weakest else {
        return parts
            .pop()
            .flatten()
            .unwrap_or_else(|| unread_statement("a statement is missing here", range));
    };
    let (connective, connective_range) = signs[at].clone();
    let right_parts = parts.split_off(at + 1);
    let left_range = range.start..connective_range.start.max(range.start);
    let right_range = connective_range.end.min(range.end)..range.end;
    let left = part(parts, &signs[..at], left_range);
    let right = part(right_parts, &signs[at + 1..], right_range);
    Statement {
        kind: StatementKind::Connected {
            left,
            connective,
            connective_range,
            right,
        },
        range,
    }
}

fn part(
    mut parts: Vec<Option<Statement>>,
    signs: &[(Connective, Range<usize>)],
    range: Range<usize>,
) -> Option<Box<Statement>> {
    if signs.is_empty() {
        return parts.pop().flatten().map(Box::new);
    }
    Some(Box::new(joined(parts, signs, range)))
}

fn follows_statement(out: &[Segment]) -> bool {
    out.iter()
        .rev()
        .find(|segment| !matches!(segment, Segment::Separator { .. } | Segment::Words { .. }))
        .is_some_and(|segment| match segment {
            Segment::Statement(statement) => !matches!(
                statement.kind,
                StatementKind::Quantified { .. } | StatementKind::Unread(_)
            ),
            _ => false,
        })
}

pub(super) fn unread_statement(reason: impl Into<String>, range: Range<usize>) -> Statement {
    Statement {
        kind: StatementKind::Unread(reason.into()),
        range,
    }
}

pub(super) fn stray_reason(kind: &Tok) -> String {
    match kind {
        Tok::Close(_) | Tok::Right(_) | Tok::BraceClose => {
            "this closing bracket has no opening one".to_owned()
        }
        Tok::Bar | Tok::MidBar | Tok::DoubleBar => "this bar has no partner".to_owned(),
        Tok::Caret => "a power without a base".to_owned(),
        Tok::Under => "an index without a name".to_owned(),
        Tok::Slash | Tok::Times | Tok::Bang | Tok::SetOperation(_) => {
            "this sign lacks its left side".to_owned()
        }
        Tok::Prime(_) => "a prime without a function".to_owned(),
        Tok::Over | Tok::Choose => "a fraction bar without braces around it".to_owned(),
        _ => "this sign stands where none is expected".to_owned(),
    }
}
