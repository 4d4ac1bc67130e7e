//! Terms: set operations, sums, products with their slashes, factors side by side.

use super::meant::as_set;
use super::{Parser, brackets, unread};
use crate::limits::IN_A_ROW;
use crate::notation::lex::Tok;
use crate::notation::syntax::{Term, TermKind};

impl Parser {
    /// Whether a term may start at the cursor, sign included.
    pub(super) fn starts_term(&self) -> bool {
        self.starts_term_at(self.position)
    }

    pub(super) fn starts_term_at(&self, index: usize) -> bool {
        match self.at(index) {
            Some(Tok::Plus | Tok::Minus | Tok::PlusMinus) => true,
            Some(_) => self.starts_operand_at(index) && !self.is_statement_group(index),
            None => false,
        }
    }

    fn starts_operand(&self) -> bool {
        self.starts_operand_at(self.position)
    }

    fn starts_operand_at(&self, index: usize) -> bool {
        match self.at(index) {
            Some(Tok::Open(_) | Tok::Left(_)) => true,
            Some(Tok::Close(_)) => self.closing(index).is_some(),
            // A bar where an operand is expected opens, and is unread if nothing closes it.
            Some(Tok::Bar | Tok::MidBar | Tok::DoubleBar) => true,
            Some(kind) => brackets::starts_value(kind),
            None => false,
        }
    }

    /// A term with set operations.
    pub(super) fn term(&mut self) -> Term {
        let start = self.start();
        let mut left = self.sum();
        let mut count = 0;
        while let Some(Tok::SetOperation(operator)) = self.peek() {
            let operator = *operator;
            self.position += 1;
            count += 1;
            if count > IN_A_ROW {
                self.position = self.end;
                return unread("too many set operations in a row", self.since(start));
            }
            let right = if self.starts_term() {
                self.sum()
            } else {
                self.missing("something is missing behind this sign")
            };
            left = Term {
                kind: TermKind::SetOperation {
                    operator,
                    left: Box::new(as_set(left)),
                    right: Box::new(as_set(right)),
                },
                range: self.since(start),
            };
        }
        left
    }

    /// A set behind a quantifier's ∈: one factor, with set operations.
    pub(super) fn set_operand(&mut self) -> Term {
        let start = self.start();
        let mut left = as_set(self.factor());
        let mut count = 0;
        while let Some(Tok::SetOperation(operator)) = self.peek()
            && count < IN_A_ROW
        {
            let operator = *operator;
            self.position += 1;
            count += 1;
            let right = self.operand_or_missing(Self::factor);
            left = Term {
                kind: TermKind::SetOperation {
                    operator,
                    left: Box::new(left),
                    right: Box::new(as_set(right)),
                },
                range: self.since(start),
            };
        }
        left
    }

    /// An operand without a sign.
    fn operand_or_missing(&mut self, read: fn(&mut Self) -> Term) -> Term {
        if self.starts_operand() && !self.is_statement_group(self.position) {
            read(self)
        } else {
            self.missing("something is missing behind this sign")
        }
    }

    /// Terms with `+`, `−`, `±`.
    pub(super) fn sum(&mut self) -> Term {
        let start = self.start();
        let mut terms: Vec<(bool, Term)> = Vec::new();
        let mut turns = 0;
        if !matches!(self.peek(), Some(Tok::Plus | Tok::Minus | Tok::PlusMinus)) {
            terms.push((false, self.product()));
        }
        loop {
            match self.peek() {
                Some(Tok::Plus) => self.signed(&mut terms, false),
                Some(Tok::Minus) => self.signed(&mut terms, true),
                Some(Tok::PlusMinus) if turns < IN_A_ROW => {
                    turns += 1;
                    self.position += 1;
                    let right = self.signed_factor(Self::product);
                    let left = (!terms.is_empty())
                        .then(|| Box::new(self.collected(std::mem::take(&mut terms), start)));
                    let kind = TermKind::PlusMinus(left, Box::new(right));
                    let range = self.since(start);
                    terms.push((false, Term { kind, range }));
                }
                _ => break,
            }
        }
        self.collected(terms, start)
    }

    fn signed(&mut self, terms: &mut Vec<(bool, Term)>, mut negative: bool) {
        self.position += 1;
        // `+ -3` and `- -3`: signs that follow each other.
        while let Some(sign @ (Tok::Plus | Tok::Minus)) = self.peek() {
            negative ^= *sign == Tok::Minus;
            self.position += 1;
        }
        let term = self.operand_or_missing(Self::product);
        terms.push((negative, term));
    }

    fn collected(&self, mut terms: Vec<(bool, Term)>, start: usize) -> Term {
        let range = self.since(start);
        if terms.len() != 1 {
            return if terms.is_empty() {
                unread("a term is missing here", range)
            } else {
                Term {
                    kind: TermKind::Sum(terms),
                    range,
                }
            };
        }
        match terms.pop() {
            Some((true, term)) => Term {
                kind: TermKind::Negative(Box::new(term)),
                range,
            },
            // A leading plus keeps its place in the range.
            Some((false, term)) => Term { range, ..term },
            None => unread("a term is missing here", range),
        }
    }

    /// Factors with `·` and `/`, left to right.
    pub(super) fn product(&mut self) -> Term {
        let start = self.start();
        let mut whole = self.juxtaposed();
        let mut open_product = false;
        let mut slashes = 0;
        loop {
            match self.peek() {
                Some(Tok::Times) => {
                    self.position += 1;
                    let right = self.signed_factor(Self::juxtaposed);
                    let range = self.since(start);
                    whole = match whole.kind {
                        TermKind::Product(mut factors) if open_product => {
                            factors.push(right);
                            Term {
                                kind: TermKind::Product(factors),
                                range,
                            }
                        }
                        _ => Term {
                            kind: TermKind::Product(vec![whole, right]),
                            range,
                        },
                    };
                    open_product = true;
                }
                Some(Tok::Slash) => {
                    slashes += 1;
                    self.position += 1;
                    if slashes > IN_A_ROW {
                        self.position = self.end;
                        return unread("too many slashes in a row", self.since(start));
                    }
                    let denominator = self.signed_factor(Self::factor);
                    let trailing = self.further_factors();
                    whole = Term {
                        kind: TermKind::Slash {
                            numerator: Box::new(whole),
                            denominator: Box::new(denominator),
                            trailing,
                        },
                        range: self.since(start),
                    };
                    open_product = false;
                }
                _ => return whole,
            }
        }
    }

    /// A factor behind `·` or `/`, which may carry a minus sign.
    pub(super) fn signed_factor(&mut self, read: fn(&mut Self) -> Term) -> Term {
        let start = self.start();
        match self.peek() {
            Some(Tok::Minus) => {
                self.position += 1;
                let inner = self.operand_or_missing(read);
                Term {
                    kind: TermKind::Negative(Box::new(inner)),
                    range: self.since(start),
                }
            }
            Some(Tok::Plus) => {
                self.position += 1;
                self.operand_or_missing(read)
            }
            _ => self.operand_or_missing(read),
        }
    }

    /// Factors side by side.
    pub(super) fn juxtaposed(&mut self) -> Term {
        let start = self.start();
        let begins_with_bar = self.is_bar(self.position);
        let first = if self.starts_operand() {
            self.factor()
        } else {
            return unread("a term is missing here", self.since(start));
        };
        let mut rest = Vec::new();
        let mut unclear = false;
        while self.continues_product() {
            let before = self.position;
            // `|a|b|c|` pairs its bars in two ways; `|a||c|` does not.
            unclear |=
                begins_with_bar && self.is_bar(before) && !self.is_bar(before.saturating_sub(1));
            rest.push(self.factor());
            if self.position == before {
                break;
            }
        }
        if rest.is_empty() {
            return first;
        }
        if unclear {
            return unread("which of these bars belong together?", self.since(start));
        }
        rest.insert(0, first);
        Term {
            kind: TermKind::Juxtaposed(rest),
            range: self.since(start),
        }
    }

    fn is_bar(&self, index: usize) -> bool {
        matches!(self.at(index), Some(Tok::Bar | Tok::MidBar))
    }

    /// The factors that follow without a sign.
    fn further_factors(&mut self) -> Vec<Term> {
        let mut factors = Vec::new();
        while self.continues_product() {
            let before = self.position;
            factors.push(self.factor());
            if self.position == before {
                break;
            }
        }
        factors
    }

    /// Whether another factor stands at the cursor without a sign, after an operand.
    pub(super) fn continues_product(&self) -> bool {
        let Some(kind) = self.peek() else {
            return false;
        };
        match kind {
            Tok::Bar | Tok::MidBar => {
                self.open_bars == 0
                    && !self.in_bound
                    && self.shape.bars_after[self.position] % 2 == 1
                    && !(self.in_set && *kind == Tok::MidBar)
            }
            Tok::DoubleBar => {
                self.open_norms == 0
                    && !self.in_bound
                    && self.shape.norms_after[self.position] % 2 == 1
            }
            Tok::Open('|' | '‖') | Tok::Left('|' | '‖') => !self.in_bound,
            Tok::Letter(letter) if self.in_integral && letter == "d" => !self.is_differential(),
            _ => self.starts_operand() && !self.is_statement_group(self.position),
        }
    }

    /// `dx` behind an integrand.
    pub(super) fn is_differential(&self) -> bool {
        matches!(self.peek(), Some(Tok::Letter(letter)) if letter == "d")
            && matches!(self.at(self.position + 1), Some(Tok::Letter(_)))
    }
}
