//! Chains of relations, their lists, and mappings.

use super::Parser;
use super::meant::{as_sequence, as_set, before_sign, is_name_like, names_a_set, standing_alone};
use super::statement::stray_reason;
use crate::limits::LISTED_NAMES;
use crate::notation::lex::Tok;
use crate::notation::syntax::{Link, Sign, Statement, StatementKind, Term, TermKind};
use kernel::Relation;

impl Parser {
    /// A chain of relations, a mapping, or a lone term.
    pub(super) fn chain(&mut self) -> Statement {
        let start = self.start();
        let first = match self.peek() {
            Some(Tok::Sign(_) | Tok::MapsTo) => None,
            _ => {
                let term = self.listed_or_term();
                Some(self.with_strays(term, start))
            }
        };
        if let Some(name) = &first
            && let Some(statement) = self.mapping(name, start)
        {
            return statement;
        }
        if self.peek() == Some(&Tok::MapsTo)
            && let Some(argument) = first
        {
            return self.maps_to(None, argument, start);
        }
        let mut links: Vec<Link> = Vec::new();
        while let Some(Tok::Sign(sign)) = self.peek() {
            let sign = *sign;
            let sign_range = self.tokens[self.position].range.clone();
            self.position += 1;
            let right = self.starts_term().then(|| {
                let start = self.start();
                let term = self.right_operand(sign, &first, links.is_empty());
                self.with_strays(term, start)
            });
            let moving = links.is_empty() && first.as_ref().is_some_and(is_bare_letter);
            let (sign, right) = approach(sign, right, moving);
            let sign = if moving {
                ranging(sign, right.as_ref())
            } else {
                sign
            };
            let ends = right.is_none();
            links.push(Link {
                sign,
                sign_range,
                right,
            });
            if ends {
                break;
            }
        }
        let kind = match (first, links.is_empty()) {
            (Some(term), true) => StatementKind::Term(standing_alone(term)),
            (None, true) => {
                StatementKind::Unread("an arrow stands here without its sides".to_owned())
            }
            (first, false) => StatementKind::Chain {
                first: first.map(|term| before_sign(term, &links)),
                links,
            },
        };
        Statement {
            range: self.since(start),
            kind,
        }
    }

    /// Closing brackets and bars behind a term that nothing opens: nobody knows how far they
    /// were meant to reach, so that the term is unread.
    fn with_strays(&mut self, term: Term, start: usize) -> Term {
        if self.unsure_decimal(&term) {
            self.position += 2;
            return super::unread(
                "is this comma a decimal comma? Write 0.5 or 0{,}5",
                self.since(start),
            );
        }
        let Some(reason) = self.stray_closing() else {
            return term;
        };
        while self.stray_closing().is_some() {
            self.position += 1;
        }
        super::unread(reason, self.since(start))
    }

    /// `0,5` without a space, outside of brackets.
    fn unsure_decimal(&self, term: &Term) -> bool {
        matches!(term.kind, TermKind::Number(_))
            && self.peek() == Some(&Tok::Comma)
            && !self.spaced()
            && matches!(self.at(self.position + 1), Some(Tok::Number(_)))
            && !self.tokens[self.position + 1].spaced
    }

    fn stray_closing(&self) -> Option<String> {
        let kind = self.peek()?;
        let stray = match kind {
            Tok::Close(_) | Tok::Right(_) | Tok::BraceClose => {
                self.closing(self.position).is_none()
            }
            Tok::Bar | Tok::MidBar => {
                self.open_bars == 0 && !self.in_set && !self.in_bound && !self.says_such_that()
            }
            Tok::DoubleBar => self.open_norms == 0,
            _ => false,
        };
        stray.then(|| stray_reason(kind))
    }

    /// A term, or names with commas before a relation: `x, y ∈ D`.
    fn listed_or_term(&mut self) -> Term {
        let start = self.start();
        let Some(count) = self.listed_names(self.position) else {
            return self.term();
        };
        let mut items = vec![self.term()];
        while items.len() < count && self.take(&Tok::Comma) {
            items.push(self.term());
        }
        Term {
            kind: TermKind::List(items),
            range: self.since(start),
        }
    }

    /// How many names stand here with commas between them, before a relation or a mapping.
    fn listed_names(&self, from: usize) -> Option<usize> {
        let mut at = self.name_end(from)?;
        let mut count = 1;
        while self.at(at) == Some(&Tok::Comma) && count < LISTED_NAMES {
            let mut next = at + 1;
            if matches!(self.at(next), Some(Tok::Dots)) {
                next += 1;
            } else {
                next = self.name_end(next)?;
            }
            at = next;
            count += 1;
        }
        let follows = match self.at(at) {
            Some(Tok::Sign(_)) => true,
            Some(Tok::Colon) => self.is_mapping(at),
            _ => false,
        };
        (count > 1 && follows).then_some(count)
    }

    /// One past a name with its marks and at most one bracket (`f_n(x)`).
    pub(super) fn name_end(&self, from: usize) -> Option<usize> {
        let mut at = match self.at(from)? {
            Tok::Letter(_) | Tok::Pi => from + 1,
            Tok::Decoration(_) => self.closing(from + 1).unwrap_or(from + 1) + 1,
            _ => return None,
        };
        for _ in 0..4 {
            match self.at(at) {
                Some(Tok::Under | Tok::Caret) => {
                    at = self.closing(at + 1).unwrap_or(at + 1) + 1;
                }
                Some(Tok::Prime(_)) => at += 1,
                Some(Tok::Open('(') | Tok::Left('(')) if !self.is_statement_group(at) => {
                    return self.closing(at).map(|close| close + 1);
                }
                _ => break,
            }
        }
        (at <= self.end).then_some(at)
    }

    /// The operand behind `sign`, with lists where they are meant: `n = 1, 2, …`,
    /// `0 < a, b < 1`.
    fn right_operand(&mut self, sign: Sign, first: &Option<Term>, first_link: bool) -> Term {
        let start = self.start();
        let term = if self.in_bound && matches!(sign, Sign::In | Sign::NotIn | Sign::Subset) {
            self.set_operand()
        } else {
            self.term()
        };
        let dotted =
            matches!(sign, Sign::Relation(Relation::Equal) | Sign::In) && self.dots_follow();
        let between = first_link && self.names_between(sign, first, &term);
        if dotted || between {
            let mut items = vec![term];
            while self.peek() == Some(&Tok::Comma) && self.starts_term_at(self.position + 1) {
                let before = self.position;
                self.position += 1;
                if dotted && !self.is_simple_item() {
                    self.position = before;
                    break;
                }
                items.push(self.term());
            }
            return Term {
                kind: TermKind::List(items),
                range: self.since(start),
            };
        }
        match sign {
            Sign::In | Sign::NotIn | Sign::Subset => as_set(term),
            Sign::Relation(Relation::Equal) | Sign::Defines
                if first.as_ref().is_some_and(names_a_set) =>
            {
                as_set(term)
            }
            Sign::TendsTo | Sign::TendsUniformlyTo | Sign::TendsDownTo | Sign::TendsUpTo => {
                as_sequence(term)
            }
            _ => term,
        }
    }

    fn is_simple_item(&self) -> bool {
        matches!(
            self.peek(),
            Some(Tok::Number(_) | Tok::Letter(_) | Tok::Dots | Tok::Minus)
        )
    }

    /// Whether the list goes on with a few simple items and then dots: `, 2, 3, …`.
    fn dots_follow(&self) -> bool {
        if self.peek() != Some(&Tok::Comma) {
            return false;
        }
        for at in self.position + 1..self.position + LISTED_NAMES {
            match self.at(at) {
                Some(Tok::Dots) => return true,
                Some(Tok::Number(_) | Tok::Letter(_) | Tok::Comma | Tok::Minus | Tok::Plus) => {}
                _ => return false,
            }
        }
        false
    }

    /// `0 < a, b < 1`: a numeral, names, the same direction again, a numeral.
    fn names_between(&self, sign: Sign, first: &Option<Term>, right: &Term) -> bool {
        let numeral = first
            .as_ref()
            .is_some_and(|term| matches!(term.kind, TermKind::Number(_)));
        if !numeral || !matches!(right.kind, TermKind::Name(_)) || self.peek() != Some(&Tok::Comma)
        {
            return false;
        }
        let Sign::Relation(direction) = sign else {
            return false;
        };
        let mut at = self.position;
        for _ in 0..LISTED_NAMES {
            if self.at(at) != Some(&Tok::Comma) {
                break;
            }
            match self.name_end(at + 1) {
                Some(next) => at = next,
                None => return false,
            }
        }
        matches!(self.at(at), Some(Tok::Sign(Sign::Relation(next))) if next.weakened() == direction.weakened())
            && matches!(self.at(at + 1), Some(Tok::Number(_)))
    }

    /// `f : A → B`, `f : x ↦ x²`, with the name already read.
    fn mapping(&mut self, name: &Term, start: usize) -> Option<Statement> {
        if self.peek() != Some(&Tok::Colon)
            || !is_name_like(name)
            || !self.is_mapping(self.position)
        {
            return None;
        }
        self.position += 1;
        let from = self.term();
        if self.peek() == Some(&Tok::MapsTo) {
            return Some(self.maps_to(Some(name.clone()), from, start));
        }
        self.position += 1;
        let to = if self.starts_term() {
            as_set(self.term())
        } else {
            self.missing("the set of values is missing")
        };
        Some(Statement {
            range: self.since(start),
            kind: StatementKind::Mapping {
                name: name.clone(),
                from: as_set(from),
                to,
            },
        })
    }

    /// Whether what follows the colon at `colon` is `A → B` or `x ↦ …`.
    fn is_mapping(&self, colon: usize) -> bool {
        let set_like = match self.at(colon + 1) {
            Some(
                Tok::NumberSet(_) | Tok::Open(_) | Tok::Left(_) | Tok::Close(_) | Tok::BraceOpen,
            ) => true,
            Some(Tok::Letter(name)) => name.chars().next().is_some_and(char::is_uppercase),
            _ => false,
        };
        let mut at = colon + 1;
        while let Some(kind) = self.at(at) {
            match kind {
                Tok::MapsTo => return true,
                Tok::Sign(Sign::TendsTo) => return set_like && at > colon + 1,
                Tok::Sign(_)
                | Tok::Colon
                | Tok::Comma
                | Tok::Words(_)
                | Tok::Connective(_)
                | Tok::Quantifier(_)
                | Tok::Row => return false,
                _ => at = self.closing(at).unwrap_or(at) + 1,
            }
        }
        false
    }

    fn maps_to(&mut self, name: Option<Term>, argument: Term, start: usize) -> Statement {
        self.position += 1;
        let value = if self.starts_term() {
            self.term()
        } else {
            self.missing("the value is missing")
        };
        Statement {
            range: self.since(start),
            kind: StatementKind::MapsTo {
                name,
                argument,
                value,
            },
        }
    }
}

/// A name without marks, as what moves in a limit.
fn is_bare_letter(term: &Term) -> bool {
    matches!(&term.kind, TermKind::Name(name)
        if name.subscript.is_none() && name.superscript.is_none() && name.primes == 0)
}

/// `n = 1, 2, …` says of which numbers n is any: it is the same as `n ∈ {1, 2, …}`.
fn ranging(sign: Sign, right: Option<&Term>) -> Sign {
    let dotted = right.is_some_and(|term| match &term.kind {
        TermKind::List(items) => items.iter().any(|item| matches!(item.kind, TermKind::Dots)),
        _ => false,
    });
    match sign {
        Sign::Relation(Relation::Equal) if dotted => Sign::In,
        other => other,
    }
}

/// ↓ and ↑ are →; where a bare name moves they tell the side from which it does.
pub(super) fn approach(sign: Sign, right: Option<Term>, moving: bool) -> (Sign, Option<Term>) {
    let above = match sign {
        Sign::TendsDownTo => true,
        Sign::TendsUpTo => false,
        other => return (other, right),
    };
    let endless = |term: &Term| match &term.kind {
        TermKind::Infinity => true,
        TermKind::Negative(inner) => matches!(inner.kind, TermKind::Infinity),
        _ => false,
    };
    let right = right.map(|term| {
        if moving && !endless(&term) && !matches!(term.kind, TermKind::OneSided(..)) {
            let range = term.range.clone();
            let kind = TermKind::OneSided(Box::new(term), above);
            Term { kind, range }
        } else {
            term
        }
    });
    (Sign::TendsTo, right)
}
