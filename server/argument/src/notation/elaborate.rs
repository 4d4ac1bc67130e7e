//! Syntax into kernel expressions, under what names mean at a place.

mod application;
mod call;
mod composite;
mod domain;
mod dots;
mod exact;
mod governed;
mod integral;
mod patterns;
mod relation;
mod value;
mod vocabulary;

use super::convention::Convention;
use super::syntax::{Statement, Term, TermKind};
use super::walk;
use kernel::{Condition, Expr, Kind, Symbol};
use std::ops::Range;

pub(crate) use domain::infinite;
pub use governed::{ExtremumParts, LimitParts, extremum_parts, limit_parts, toward};
pub use patterns::{patterns, patterns_in};
pub use relation::{LinkContent, LinkMeaning};
pub(crate) use value::foreign;
pub use vocabulary::{Meaning, Vocabulary, symbol};

/// Why a term or statement has no expression.
#[derive(Clone, PartialEq, Debug)]
pub struct Unreadable {
    /// In words that help the author.
    pub reason: String,
    /// The names that occur in the term or statement, in order of first occurrence.
    pub names: Vec<Symbol>,
    /// The part that could not be read: bytes of the formula's text.
    pub range: Range<usize>,
}

/// A term's value as a kernel expression: definitions unfolded, ambiguous spellings read by
/// `convention`.
///
/// # Errors
/// Terms that are no number (sets, sequences, limits, suprema), that were not parsed, or whose
/// names do not take the arguments given.
pub fn term(
    term: &Term,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Result<Expr, Unreadable> {
    let elaborator = Elaborator::new(vocabulary, convention);
    elaborator
        .value(term)
        .map_err(|failure| failure.within(term))
}

/// The conditions under which `element` belongs to the set that `set` writes. ℕ starts at 1.
///
/// # Errors
/// Terms that are no set, sets that conditions cannot express (ℚ), names of unknown sets.
pub fn domain(
    set: &Term,
    element: &Expr,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Result<Vec<Condition>, Unreadable> {
    let elaborator = Elaborator::new(vocabulary, convention);
    elaborator
        .membership(set, element)
        .map_err(|failure| failure.within(set))
}

/// Which numbers the elements of a written set are, as far as its spelling tells.
#[must_use]
pub fn domain_kind(set: &Term) -> Option<Kind> {
    domain::kind(set)
}

/// The links of a chain, each with its meaning; other statements give their conditions as one.
///
/// `carried` is the left operand where the chain begins with a relation and goes on from an
/// earlier formula or row.
#[must_use]
pub fn relations(
    statement: &Statement,
    carried: Option<&Expr>,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Vec<LinkMeaning> {
    Elaborator::new(vocabulary, convention).links(statement, carried)
}

/// A statement as conditions that hold together: chains with memberships and lists, "and", "or".
///
/// # Errors
/// Quantifiers, arrows, bare terms, and everything that [`term`] and [`domain`] refuse.
pub fn conditions(
    statement: &Statement,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Result<Vec<Condition>, Unreadable> {
    Elaborator::new(vocabulary, convention)
        .statement_conditions(statement)
        .map_err(|failure| failure.within_statement(statement))
}

/// The names in a term, by their canonical symbols, in order of first occurrence.
#[must_use]
pub fn names(term: &Term) -> Vec<Symbol> {
    let mut found = Found::default();
    walk::terms(term, &mut |inner| found.note(inner));
    found.spoken_of()
}

/// The names in a statement, by their canonical symbols, in order of first occurrence.
#[must_use]
pub fn statement_names(statement: &Statement) -> Vec<Symbol> {
    let mut found = Found::default();
    walk::statement_terms(statement, &mut |inner| found.note(inner));
    found.spoken_of()
}

/// Names with how often they occur, and how often of these in an index only.
#[derive(Default)]
struct Found {
    names: Vec<(Symbol, usize)>,
    indices: Vec<Symbol>,
}

impl Found {
    /// A name counts as itself and, with an index, as its base too (`f` of `f_n`).
    fn note(&mut self, term: &Term) {
        let TermKind::Name(name) = &term.kind else {
            return;
        };
        let own = symbol(name);
        let base = Symbol::new(&name.base);
        let also = (base != own).then_some(base);
        for symbol in std::iter::once(own).chain(also) {
            match self.names.iter_mut().find(|(known, _)| *known == symbol) {
                Some((_, count)) => *count += 1,
                None => self.names.push((symbol, 1)),
            }
        }
        if let Some(subscript) = &name.subscript {
            walk::terms(subscript, &mut |inner| {
                if let TermKind::Name(index) = &inner.kind {
                    self.indices.push(symbol(index));
                }
            });
        }
    }

    /// In order, without what stands in indices only: "a = lim a_n" says nothing of n.
    fn spoken_of(self) -> Vec<Symbol> {
        let Self { names, indices } = self;
        names
            .into_iter()
            .filter(|(name, count)| *count > indices.iter().filter(|index| *index == name).count())
            .map(|(name, _)| name)
            .collect()
    }
}

/// Why a part has no expression, before the names around it are collected.
#[derive(Clone, PartialEq, Debug)]
struct Failure {
    reason: String,
    range: Range<usize>,
}

impl Failure {
    fn at(term: &Term, reason: impl Into<String>) -> Self {
        Self {
            reason: reason.into(),
            range: term.range.clone(),
        }
    }

    fn within(self, term: &Term) -> Unreadable {
        Unreadable {
            reason: self.reason,
            names: names(term),
            range: self.range,
        }
    }

    fn within_statement(self, statement: &Statement) -> Unreadable {
        Unreadable {
            reason: self.reason,
            names: statement_names(statement),
            range: self.range,
        }
    }
}

/// Which sign ± takes in the reading at hand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum PlusMinus {
    Refused,
    Plus,
    Minus,
}

#[derive(Clone, Copy)]
struct Elaborator<'a> {
    vocabulary: &'a Vocabulary,
    convention: &'a Convention,
    plus_minus: PlusMinus,
}

impl<'a> Elaborator<'a> {
    fn new(vocabulary: &'a Vocabulary, convention: &'a Convention) -> Self {
        Self {
            vocabulary,
            convention,
            plus_minus: PlusMinus::Refused,
        }
    }

    /// The same reading with other names in scope.
    fn under<'b>(&self, vocabulary: &'b Vocabulary) -> Elaborator<'b>
    where
        'a: 'b,
    {
        Elaborator {
            vocabulary,
            convention: self.convention,
            plus_minus: self.plus_minus,
        }
    }
}

#[cfg(test)]
mod tests;
