//! Which places of a draft speak of the same thing under the same name: from where a name is
//! introduced to where another binding of it begins.

mod join;

pub(super) use join::namings;

use super::building::Frame;
use super::entry::Reader;
use super::names::{Names, Use};
use super::outline::{Content, Introduction, Role, Zone};
use super::token::DraftFormula;
use crate::notation::elaborate::symbol;
use crate::notation::places::{self, Place, Places};
use crate::notation::syntax::{Name, TermKind};
use kernel::{Condition, Symbol};
use source::Span;
use std::ops::Range;

/// A name with all places that speak of the same thing under it.
#[derive(Clone, PartialEq, Debug)]
pub struct Naming {
    /// The name as it is read: `N`, `ε`, `N_1`; of f_n the letter `f`.
    pub name: Symbol,
    /// Written with an index that runs: f of f_n, which is another name than f.
    pub indexed: bool,
    /// How it comes in.
    pub origin: Origin,
    /// Its places in the order of the text.
    pub places: Vec<Mention>,
    /// Which of them introduces it.
    pub introduced: usize,
    /// Names in what is said where it is introduced.
    pub rests_on: Vec<Symbol>,
    /// Names that were fixed before it was picked, on which it may depend.
    pub may_depend: Vec<Symbol>,
    /// What it is used for.
    pub usage: Use,
}

impl Naming {
    /// Whether it is an index, a point or a parameter: it may be bound anew in many sentences, and
    /// is the same letter for the same thing in all of its argument.
    #[must_use]
    pub fn runs(&self) -> bool {
        !matches!(self.usage, Use::Tolerance | Use::Threshold)
    }
}

/// A place of a name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Mention {
    /// The name there, without the index if that runs; else what was typed for it.
    pub span: Span,
    /// Whether the name and nothing else was typed there: not so inside of a macro's definition.
    pub exact: bool,
}

/// How a name comes in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Origin {
    /// Any value: let, given, fix.
    Arbitrary,
    /// Any value, for the claims beside it: for all.
    Ranging,
    /// The writer picks it.
    Chosen,
    /// Picked by existence.
    Existing,
    /// A sum, limit, set, integral or supremum has it to itself.
    Inside,
    /// A function, sequence or quantity that is defined.
    Defined,
    /// From the exercise, or by habit.
    Given,
}

/// A name as far as its spelling goes.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Key {
    name: String,
    indexed: bool,
}

/// What holds places together; positions are those of one argument.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Home {
    /// A place: formula, range of the whole name.
    Place(usize, usize, usize),
    /// An entry that introduces the name.
    Entry(usize, usize, Symbol),
    /// A sentence that quantifies it.
    Sentence(usize, usize, Symbol),
    /// An operator of a formula.
    Operator(usize, usize, usize, Symbol),
    /// The argument as a whole.
    Argument(usize, Key),
}

/// A place of a name in one argument, with what binds it there.
#[derive(Clone, Debug)]
pub(super) struct Usage {
    key: Key,
    formula: usize,
    place: Place,
    binding: Binding,
    /// What the name is used for.
    usage: Use,
    /// It is all that its formula says.
    alone: bool,
}

#[derive(Clone, PartialEq, Eq, Debug)]
enum Binding {
    Entry(usize),
    Sentence(usize),
    Operator(Range<usize>),
    Argument,
}

/// What an entry that introduces a name says of it.
#[derive(Clone, Debug)]
struct Introduced {
    entry: usize,
    name: Symbol,
    origin: Origin,
    span: Span,
    sentence: Span,
    rests_on: Vec<Symbol>,
    may_depend: Vec<Symbol>,
}

/// The names of one argument.
#[derive(Clone, Debug, Default)]
pub(super) struct Local {
    usages: Vec<Usage>,
    introduced: Vec<Introduced>,
    /// What the exercise lets be any value, and where.
    stated: Vec<(Symbol, Span)>,
    names: Names,
    unread: Vec<(usize, Range<usize>)>,
}

impl Reader<'_> {
    /// The places of names in the argument's own sentences and in what it repeats.
    pub(super) fn local_names(&self, frame: &Frame) -> Local {
        let names = &self.lexicon.names;
        let mut local = Local {
            names: names.clone(),
            ..Local::default()
        };
        for (number, placed) in frame.sentences.iter().enumerate() {
            for (token, statement) in placed.sentence.tokens.iter().enumerate() {
                let Some(statement) = statement.statement() else {
                    continue;
                };
                let Some(formula) = self.formulas.get(statement.formula) else {
                    continue;
                };
                let found = places::of_statement(formula.content.text(), &statement.statement);
                local.take(statement.formula, &found, |place| {
                    self.binding(place, number, token)
                });
            }
        }
        for entry in 0..self.protos.len() {
            for name in self.introduces(entry) {
                local.introduced.push(self.introduced(entry, name));
            }
            let proto = &self.protos[entry];
            if let Content::Binding(binding) = &proto.entry.content
                && self.is_stated(entry)
                && proto.entry.role == Some(Role::Let)
            {
                let bound = binding.bound.iter().map(|bound| bound.name.clone());
                local
                    .stated
                    .extend(bound.map(|name| (name, proto.entry.span)));
            }
        }
        local
    }

    /// What binds a name in a statement of a sentence, as far as its operators do not.
    fn binding(&self, place: &Place, sentence: usize, token: usize) -> Binding {
        let own = symbol(&place.name);
        let brings = |position: &usize| self.introduces(*position).contains(&own);
        let entries = self.entries_of(sentence);
        let here: Vec<usize> = entries
            .clone()
            .filter(|position| self.protos[*position].token == Some(token))
            .collect();
        if let Some(position) = here.iter().copied().find(|position| brings(position)) {
            return Binding::Entry(position);
        }
        for position in &here {
            let scope = &self.protos[*position].entry.scope;
            let mut around = scope.iter().copied().filter(|other| brings(other));
            let near = around.clone().find(|other| entries.contains(other));
            let latest = near.or_else(|| around.next_back());
            if let Some(latest) = latest {
                return Binding::Entry(latest);
            }
        }
        // "For every ε > 0 there is N such that …": the sentence keeps its names together.
        let quantified = self.sentence_quantifies(sentence, &own);
        match entries.clone().find(|position| brings(position)) {
            Some(position) => Binding::Entry(position),
            None if quantified => Binding::Sentence(sentence),
            None => Binding::Argument,
        }
    }

    /// The entries of a sentence.
    fn entries_of(&self, sentence: usize) -> Range<usize> {
        let start = self
            .protos
            .partition_point(|proto| proto.sentence < sentence);
        let end = self
            .protos
            .partition_point(|proto| proto.sentence <= sentence);
        start..end
    }

    /// Whether the sentence is a definition, spelled out, that quantifies the name.
    fn sentence_quantifies(&self, sentence: usize, name: &Symbol) -> bool {
        let spans = self
            .protos
            .iter()
            .filter(|proto| proto.sentence == sentence);
        let Some(span) = spans.map(|proto| proto.entry.sentence).next() else {
            return false;
        };
        let formal = self.formals.iter().filter(|formal| formal.span == span);
        let spelled = self.spelled.iter().filter(|spelled| spelled.span == span);
        formal
            .flat_map(|formal| &formal.quantified)
            .chain(spelled.flat_map(|spelled| &spelled.quantified))
            .any(|quantified| quantified.name == *name)
    }

    /// The names that an entry brings in anew. A condition only restricts what is known, and what
    /// the exercise says of its indices, points and parameters holds for all of it.
    fn introduces(&self, entry: usize) -> Vec<Symbol> {
        let proto = &self.protos[entry];
        match &proto.entry.content {
            Content::Binding(_) if proto.entry.role == Some(Role::Condition) => Vec::new(),
            Content::Binding(binding) => {
                let given = self.is_stated(entry);
                let bound = binding.bound.iter().map(|bound| bound.name.clone());
                bound
                    .filter(|name| !given || self.is_picked(name))
                    .collect()
            }
            Content::Unread { .. } if proto.entry.role == Some(Role::Let) => {
                proto.speaks_of.clone()
            }
            _ => Vec::new(),
        }
    }

    /// Whether the name is a tolerance or a threshold.
    fn is_picked(&self, name: &Symbol) -> bool {
        let usage = self.lexicon.names.usage_of(name);
        matches!(usage, Use::Tolerance | Use::Threshold)
    }

    /// Whether what the entry binds holds for all of its exercise.
    fn is_stated(&self, entry: usize) -> bool {
        let entry = &self.protos[entry].entry;
        entry.zone == Zone::Statement && matches!(entry.role, Some(Role::Range | Role::Let))
    }

    fn introduced(&self, entry: usize, name: Symbol) -> Introduced {
        let proto = &self.protos[entry];
        let (origin, conditions): (Origin, &[Condition]) = match &proto.entry.content {
            Content::Binding(binding) => {
                let bound = binding.bound.iter().find(|bound| bound.name == name);
                let origin = match bound.map(|bound| bound.introduction) {
                    Some(Introduction::Chosen) => Origin::Chosen,
                    Some(Introduction::Existing) => Origin::Existing,
                    _ if proto.entry.role == Some(Role::Choice) => Origin::Chosen,
                    _ if proto.entry.role == Some(Role::Let) => Origin::Arbitrary,
                    _ => Origin::Ranging,
                };
                (origin, &binding.conditions)
            }
            _ => (Origin::Arbitrary, &[]),
        };
        let mut rests_on: Vec<Symbol> = conditions
            .iter()
            .filter(|condition| condition.variables().contains(&name))
            .flat_map(Condition::variables)
            .filter(|other| *other != name)
            .collect();
        rests_on.sort();
        rests_on.dedup();
        let fixed =
            proto.entry.scope.iter().filter(|other| {
                **other < entry && self.protos[**other].entry.role == Some(Role::Let)
            });
        let mut may_depend: Vec<Symbol> = fixed
            .flat_map(|other| self.introduces(*other))
            .filter(|other| *other != name)
            .collect();
        may_depend.sort();
        may_depend.dedup();
        Introduced {
            entry,
            span: proto.entry.span,
            sentence: proto.entry.sentence,
            name,
            origin,
            rests_on,
            may_depend,
        }
    }
}

impl Local {
    fn take(&mut self, formula: usize, found: &Places, binding: impl Fn(&Place) -> Binding) {
        let alone = found.places.len() == 1 && found.unread.is_empty();
        for place in &found.places {
            self.usages.push(Usage {
                key: key(&place.name, &self.names),
                formula,
                alone,
                usage: self.names.usage(&place.name),
                place: place.clone(),
                binding: match &place.binder {
                    Some(operator) => Binding::Operator(operator.clone()),
                    None => binding(place),
                },
            });
        }
        let unread = found.unread.iter().cloned();
        self.unread.extend(unread.map(|range| (formula, range)));
    }

    /// Takes what stands in no sentence: formulas of headings.
    fn take_rest(&mut self, number: usize, formula: &DraftFormula) {
        for segment in &formula.parsed.segments {
            let found = places::of_segment(formula.content.text(), segment);
            self.take(number, &found, |_| Binding::Argument);
        }
    }
}

fn key(name: &Name, names: &Names) -> Key {
    let plain = Name {
        primes: 0,
        superscript: None,
        ..name.clone()
    };
    // x′ is another point than x, f′ is the derivative of f.
    let primes = match names.usage(&plain) {
        Use::Other => 0,
        _ => name.primes as usize,
    };
    let numbered = name
        .subscript
        .as_deref()
        .is_some_and(|index| matches!(index.kind, TermKind::Number(_)));
    let indexed = name.subscript.is_some()
        && (names.is_member(name)
            || names.is_indexed(&name.base) && (numbered || names.usage(&plain) == Use::Other));
    let spelling = if indexed {
        name.base.clone()
    } else {
        symbol(&Name { primes: 0, ..plain }).as_str().to_owned()
    };
    Key {
        name: format!("{spelling}{}", "′".repeat(primes)),
        indexed,
    }
}
