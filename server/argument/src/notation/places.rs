//! Where names are written in a formula, and which operator inside of it binds them.

use super::elaborate::symbol;
use super::lex::{self, Tok};
use super::syntax::{Name, Segment, Statement, StatementKind, Term, TermKind};
use super::walk::{Part, each_part};
use kernel::Symbol;
use std::ops::Range;

/// What may stand between a name's letter and what it is marked with.
const MARKS: [&str; 8] = ["{", "(", "_", "^", "'", "′", "\\prime", " "];

/// A name in its place. Ranges are bytes of the formula's text.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Place {
    /// The name.
    pub(crate) name: Name,
    /// The letter without index and primes.
    pub(crate) base: Range<usize>,
    /// With them.
    pub(crate) whole: Range<usize>,
    /// The sum, limit, supremum, set, integral or map that binds it.
    pub(crate) binder: Option<Range<usize>>,
}

/// The names of a formula's parts, and what could not be read there and may hold more.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Places {
    /// In the order of the syntax.
    pub(crate) places: Vec<Place>,
    /// Parts that were not understood.
    pub(crate) unread: Vec<Range<usize>>,
}

/// The names of a statement; `text` is its formula's.
pub(crate) fn of_statement(text: &str, statement: &Statement) -> Places {
    let mut walk = Walk::new(text);
    walk.statement(statement);
    walk.found
}

/// The names of a part of a formula.
pub(crate) fn of_segment(text: &str, segment: &Segment) -> Places {
    let mut walk = Walk::new(text);
    walk.segment(segment);
    walk.found
}

struct Walk<'t> {
    text: &'t str,
    found: Places,
    /// Names that operators around bind, the innermost last.
    bound: Vec<(Symbol, Range<usize>)>,
}

impl<'t> Walk<'t> {
    fn new(text: &'t str) -> Self {
        Self {
            text,
            found: Places::default(),
            bound: Vec::new(),
        }
    }

    fn segment(&mut self, segment: &Segment) {
        if let Segment::Statement(statement) = segment {
            self.statement(statement);
        }
    }

    fn statement(&mut self, statement: &Statement) {
        match &statement.kind {
            StatementKind::Term(term) => self.term(term),
            StatementKind::Chain { first, links } => {
                let rights = links.iter().filter_map(|link| link.right.as_ref());
                for term in first.iter().chain(rights) {
                    self.term(term);
                }
            }
            StatementKind::Quantified {
                bound,
                body: Some(body),
                ..
            } => {
                let names = named(bound);
                self.under(names, &statement.range, |walk| {
                    for inner in bound {
                        walk.statement(inner);
                    }
                    walk.statement(body);
                });
            }
            // What is said of the names stands outside.
            StatementKind::Quantified { bound, .. } => {
                for inner in bound {
                    self.statement(inner);
                }
            }
            StatementKind::Connected { left, right, .. } => {
                for side in [left, right].into_iter().flatten() {
                    self.statement(side);
                }
            }
            StatementKind::Mapping { name, from, to } => {
                for inner in [name, from, to] {
                    self.term(inner);
                }
            }
            StatementKind::MapsTo {
                name,
                argument,
                value,
            } => {
                if let Some(name) = name {
                    self.term(name);
                }
                self.under(bare(argument), &statement.range, |walk| {
                    walk.term(argument);
                    walk.term(value);
                });
            }
            StatementKind::Unread(_) => self.found.unread.push(statement.range.clone()),
        }
    }

    fn term(&mut self, term: &Term) {
        match &term.kind {
            TermKind::Name(name) => self.name(name, &term.range),
            TermKind::Unread(_) | TermKind::Foreign(_) => {
                self.found.unread.push(term.range.clone());
            }
            TermKind::Series {
                below: Some(below),
                above,
                body,
                ..
            } => {
                if let Some(above) = above {
                    self.term(above);
                }
                self.under(named(std::slice::from_ref(below)), &term.range, |walk| {
                    walk.statement(below);
                    walk.term(body);
                });
            }
            TermKind::Over {
                below,
                body: Some(body),
                ..
            } => self.under(named(below), &term.range, |walk| {
                for inner in below {
                    walk.statement(inner);
                }
                walk.term(body);
            }),
            TermKind::SetBuilder {
                element,
                conditions,
            } => {
                let mut names = bare(element);
                if names.is_empty() {
                    names = named(conditions);
                }
                self.under(names, &term.range, |walk| {
                    walk.term(element);
                    for inner in conditions {
                        walk.statement(inner);
                    }
                });
            }
            TermKind::Sequence {
                term: general,
                index: Some(index),
            } => self.under(named(std::slice::from_ref(index)), &term.range, |walk| {
                walk.term(general);
                walk.statement(index);
            }),
            TermKind::Integral {
                from,
                to,
                body,
                variable,
            } => {
                for inner in [from, to].into_iter().flatten() {
                    self.term(inner);
                }
                let own = single(variable);
                self.under(vec![&own], &term.range, |walk| {
                    walk.term(body);
                    walk.differential(&own, body.range.end..term.range.end, &term.range);
                });
            }
            TermKind::Derivative { variable, body, .. } => {
                if let Some(body) = body {
                    self.term(body);
                }
                self.differential(&single(variable), term.range.clone(), &term.range);
            }
            _ => each_part(term, &mut |part| match part {
                Part::Term(inner) => self.term(inner),
                Part::Statement(inner) => self.statement(inner),
                Part::Segment(inner) => self.segment(inner),
            }),
        }
    }

    /// Does something while an operator binds names.
    fn under(&mut self, names: Vec<&Name>, binder: &Range<usize>, inside: impl FnOnce(&mut Self)) {
        let before = self.bound.len();
        let own = names.into_iter().map(|name| (symbol(name), binder.clone()));
        self.bound.extend(own);
        inside(self);
        self.bound.truncate(before);
    }

    fn name(&mut self, name: &Name, range: &Range<usize>) {
        let whole = self.bare_range(range);
        self.push(name, self.base(name, &whole), whole);
        for mark in [&name.subscript, &name.superscript].into_iter().flatten() {
            // "max" of f_max is no name of its own.
            if !matches!(&mark.kind, TermKind::Name(name) if is_word(name)) {
                self.term(mark);
            }
        }
    }

    fn push(&mut self, name: &Name, base: Range<usize>, whole: Range<usize>) {
        let own = symbol(name);
        let binder = self.bound.iter().rev().find(|(bound, _)| *bound == own);
        self.found.places.push(Place {
            name: name.clone(),
            base,
            whole,
            binder: binder.map(|(_, binder)| binder.clone()),
        });
    }

    /// Without braces around it.
    fn bare_range(&self, range: &Range<usize>) -> Range<usize> {
        let mut range = range.clone();
        while let Some(text) = self.text.get(range.clone())
            && let Some(inner) = text
                .strip_prefix('{')
                .and_then(|rest| rest.strip_suffix('}'))
            && !inner.trim().is_empty()
        {
            let start = range.start + 1 + (inner.len() - inner.trim_start().len());
            range = start..start + inner.trim().len();
        }
        range
    }

    /// The letter of a name: what stands before the first of its marks.
    fn base(&self, name: &Name, whole: &Range<usize>) -> Range<usize> {
        let marks = [&name.subscript, &name.superscript].into_iter().flatten();
        let mut end = marks
            .map(|mark| mark.range.start)
            .min()
            .unwrap_or(whole.end)
            .clamp(whole.start, whole.end);
        while (end < whole.end || 0 < name.primes)
            && let Some(text) = self.text.get(whole.start..end)
            && let Some(rest) = MARKS.iter().find_map(|mark| text.strip_suffix(mark))
            && !rest.is_empty()
        {
            end = whole.start + rest.len();
        }
        whole.start..end
    }

    /// The variable of `dx` in a stretch of the formula.
    fn differential(&mut self, variable: &Name, within: Range<usize>, operator: &Range<usize>) {
        if variable.base.is_empty() {
            return;
        }
        let Some(text) = self.text.get(within.clone()) else {
            return;
        };
        let tokens = lex::lex(text);
        let found = tokens.windows(2).rev().find_map(|pair| {
            let differs = matches!(&pair[0].kind, Tok::Letter(letter) if letter == "d");
            let own = matches!(&pair[1].kind, Tok::Letter(letter) if *letter == variable.base);
            (differs && own).then(|| pair[1].range.clone())
        });
        match found {
            Some(range) => {
                let place = within.start + range.start..within.start + range.end;
                self.push(variable, place.clone(), place);
            }
            // It is written in some way, so that nothing may be said of all its places.
            None => self.found.unread.push(operator.clone()),
        }
    }
}

fn single(base: &str) -> Name {
    Name {
        base: base.to_owned(),
        subscript: None,
        superscript: None,
        primes: 0,
    }
}

fn is_word(name: &Name) -> bool {
    1 < name
        .base
        .chars()
        .filter(|letter| letter.is_alphabetic())
        .count()
}

/// The names of which statements below an operator speak first.
fn named(below: &[Statement]) -> Vec<&Name> {
    below
        .iter()
        .flat_map(|statement| match &statement.kind {
            StatementKind::Term(term) => bare(term),
            StatementKind::Chain { first, links } => {
                let own = first.as_ref().map(bare).unwrap_or_default();
                let right = links.first().and_then(|link| link.right.as_ref());
                match (own.is_empty(), right) {
                    (true, Some(right)) => bare(right),
                    _ => own,
                }
            }
            _ => Vec::new(),
        })
        .collect()
}

/// The names that a term is.
fn bare(term: &Term) -> Vec<&Name> {
    match &term.kind {
        TermKind::Name(name) => vec![name],
        TermKind::Group(inner) | TermKind::Bars(inner) => bare(inner),
        TermKind::List(items) => items.iter().flat_map(bare).collect(),
        _ => Vec::new(),
    }
}
