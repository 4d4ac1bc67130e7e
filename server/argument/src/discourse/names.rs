//! Which names of an argument are indices, points, tolerances, thresholds: told by how they are
//! used, and by habit of letters where use does not tell.

use super::shape::{self, Part};
use super::token::Token;
use crate::notation::syntax::{Name, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Relation, Symbol};
use std::collections::{BTreeMap, BTreeSet};

/// The kinds of name, by their spelling.
#[derive(Clone, Debug, Default)]
pub(super) struct Names {
    indices: BTreeSet<String>,
    points: BTreeSet<String>,
    thresholds: BTreeSet<String>,
    /// The arguments with which indexed functions are written first: f_n(x).
    arguments: BTreeMap<String, Vec<String>>,
    /// Names that are written with an index somewhere: f_n.
    indexed: BTreeSet<String>,
    /// Letters that are written before a point in brackets somewhere: f(x).
    applied: BTreeSet<String>,
}

/// What a name is used for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Use {
    /// n, m, k
    Index,
    /// x
    Point,
    /// ε
    Tolerance,
    /// N, n₀, δ
    Threshold,
    /// a, b, f, M
    Other,
}

impl Names {
    /// What the name is used for.
    pub(super) fn usage(&self, name: &Name) -> Use {
        let spelling = shape::spelling(name);
        if is_tolerance(&name.base) {
            return Use::Tolerance;
        }
        if self.thresholds.contains(&spelling) {
            return Use::Threshold;
        }
        if name.subscript.is_none() && self.indices.contains(&spelling) {
            return Use::Index;
        }
        if self.points.contains(&spelling) {
            return Use::Point;
        }
        let marked = name.subscript.is_some();
        let indexed = name
            .subscript
            .as_deref()
            .and_then(shape::bare_name)
            .is_some_and(|index| index.subscript.is_none() && self.usage(index) == Use::Index);
        if indexed {
            return Use::Other;
        }
        match name.base.as_str() {
            "N" | "δ" => Use::Threshold,
            "n" | "k" | "m" | "K" if marked => Use::Threshold,
            "n" | "m" | "k" => Use::Index,
            "x" | "y" | "z" | "t" if !marked => Use::Point,
            _ => Use::Other,
        }
    }

    /// What the name of a symbol is used for.
    pub(super) fn usage_of(&self, symbol: &Symbol) -> Use {
        let (base, index) = match symbol.as_str().split_once('_') {
            Some((base, index)) => (base, Some(index)),
            None => (symbol.as_str(), None),
        };
        self.usage(&Name {
            base: base.to_owned(),
            subscript: index.map(|index| {
                Box::new(Term {
                    kind: TermKind::Number(index.to_owned()),
                    range: 0..0,
                })
            }),
            superscript: None,
            primes: 0,
        })
    }

    /// Whether the name is a member of a sequence: `a_n`, `x_{n+1}`.
    pub(super) fn is_member(&self, name: &Name) -> bool {
        name.subscript.as_deref().is_some_and(|subscript| {
            shape::names_in(subscript)
                .iter()
                .any(|index| index.subscript.is_none() && self.usage(index) == Use::Index)
        })
    }

    /// The arguments with which an indexed function is written elsewhere.
    pub(super) fn arguments(&self, base: &str) -> &[String] {
        self.arguments.get(base).map_or(&[], Vec::as_slice)
    }

    /// Whether a letter is written with an index somewhere: f beside f_n.
    pub(super) fn is_indexed(&self, base: &str) -> bool {
        self.indexed.contains(base)
    }

    /// Whether a letter is written before a point in brackets somewhere: f(x).
    pub(super) fn is_applied(&self, base: &str) -> bool {
        self.applied.contains(base)
    }

    /// Learns from the statements of a sentence.
    pub(super) fn learn(&mut self, tokens: &[Token]) {
        for token in tokens {
            if let Some(statement) = token.statement() {
                self.statement(&statement.statement);
            }
        }
    }

    /// Learns thresholds, once indices are known.
    pub(super) fn learn_thresholds(&mut self, tokens: &[Token]) {
        for token in tokens {
            let Some(statement) = token.statement() else {
                continue;
            };
            let StatementKind::Chain {
                first: Some(first),
                links,
            } = &statement.statement.kind
            else {
                continue;
            };
            let mut left = first;
            for link in links {
                let Some(right) = &link.right else { break };
                if let Sign::Relation(relation) = link.sign {
                    let (index, bound) = match relation {
                        Relation::Greater | Relation::GreaterEqual => (left, right),
                        Relation::Less | Relation::LessEqual => (right, left),
                        _ => {
                            left = right;
                            continue;
                        }
                    };
                    if let (Some(index), Some(bound)) =
                        (shape::bare_name(index), shape::bare_name(bound))
                        && self.usage(index) == Use::Index
                        && matches!(self.usage(bound), Use::Other | Use::Threshold)
                        && bound.base.chars().next().is_some_and(|letter| {
                            letter.is_uppercase() || bound.subscript.is_some() || letter > 'z'
                        })
                    {
                        self.thresholds.insert(shape::spelling(bound));
                    }
                }
                left = right;
            }
        }
    }

    fn statement(&mut self, statement: &Statement) {
        shape::visit_statement(statement, &mut |part| self.part(part));
    }

    fn part(&mut self, part: Part<'_>) {
        match part {
            Part::Statement(statement) => {
                // The variable of a limit or supremum.
                if let Some(restriction) = shape::restriction(statement) {
                    for name in restriction.names {
                        match restriction.sign {
                            Sign::TendsTo
                                if restriction.other.is_some_and(|other| {
                                    matches!(other.kind, TermKind::Infinity)
                                }) =>
                            {
                                self.index(name);
                            }
                            Sign::In => self.point(name),
                            _ => {}
                        }
                    }
                }
                self.statement(statement);
            }
            Part::Term(term) => self.term(term),
        }
    }

    fn term(&mut self, term: &Term) {
        // y_{j+1}: j counts the members.
        if let TermKind::Name(name) = &term.kind
            && let Some(TermKind::Sum(parts)) =
                name.subscript.as_deref().map(|subscript| &subscript.kind)
            && let [(false, first), (_, second)] = parts.as_slice()
            && let Some(index) = shape::bare_name(first)
            && matches!(second.kind, TermKind::Number(_))
        {
            self.index(index);
        }
        if let TermKind::Name(name) = &term.kind
            && self.is_member(name)
        {
            self.indexed.insert(name.base.clone());
        }
        if let Some((function, arguments)) = shape::application(term)
            && function.base.chars().count() == 1
        {
            if function.subscript.is_none()
                && arguments.iter().all(|argument| {
                    shape::bare_name(argument).is_some_and(|name| self.usage(name) == Use::Point)
                })
            {
                self.applied.insert(function.base.clone());
            }
            if let Some(index) = function.subscript.as_deref().and_then(shape::bare_name) {
                self.index(index);
                let mut written = Vec::new();
                for argument in arguments {
                    if let Some(point) = shape::bare_name(argument) {
                        written.push(shape::spelling(point));
                        self.point(point);
                    }
                }
                self.arguments
                    .entry(function.base.clone())
                    .or_insert(written);
            }
        } else if let TermKind::Sequence { term, .. } = &term.kind
            && let Some(name) = shape::head_name(term)
            && let Some(index) = name.subscript.as_deref().and_then(shape::bare_name)
        {
            self.index(index);
        }
        shape::visit_term(term, &mut |part| self.part(part));
    }

    fn index(&mut self, name: &Name) {
        let letters = ["n", "m", "k", "j", "l", "i", "p", "q", "r", "ν", "ℓ"];
        if name.subscript.is_none() && letters.contains(&name.base.as_str()) {
            self.indices.insert(shape::spelling(name));
        }
    }

    fn point(&mut self, name: &Name) {
        let spelling = shape::spelling(name);
        let plain = match name.subscript.as_deref() {
            None => true,
            Some(subscript) => matches!(subscript.kind, TermKind::Number(_)),
        };
        if plain
            && !self.indices.contains(&spelling)
            && name.base != "n"
            && !is_tolerance(&name.base)
        {
            self.points.insert(spelling);
        }
    }
}

/// Whether the letter is ε in any spelling.
pub(super) fn is_tolerance(base: &str) -> bool {
    ["ε", "ϵ", "ɛ", "eps", "epsilon"].contains(&base)
}
