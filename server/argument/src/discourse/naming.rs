//! Which places of a draft speak of the same thing under the same name: from where a name is
//! introduced to where another binding of it begins.

use super::building::Frame;
use super::entry::Reader;
use super::names::{Names, Use};
use super::outline::{Argument, Content, Introduction, Role, Zone};
use super::token::DraftFormula;
use crate::notation::elaborate::symbol;
use crate::notation::places::{self, Place, Places};
use crate::notation::syntax::{Name, TermKind};
use kernel::{Condition, Symbol};
use source::Span;
use std::collections::{BTreeMap, BTreeSet};
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
                let given =
                    proto.entry.zone == Zone::Statement && proto.entry.role == Some(Role::Range);
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
        let base = name.as_str().split('_').next().unwrap_or_default();
        let usage = self.lexicon.names.usage(&Name {
            base: base.to_owned(),
            subscript: None,
            superscript: None,
            primes: 0,
        });
        matches!(usage, Use::Tolerance | Use::Threshold)
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

/// Places that belong together, found step by step.
#[derive(Default)]
struct Union {
    numbers: BTreeMap<Home, usize>,
    parents: Vec<usize>,
}

impl Union {
    fn number(&mut self, home: Home) -> usize {
        let next = self.parents.len();
        let number = *self.numbers.entry(home).or_insert(next);
        if number == next {
            self.parents.push(next);
        }
        number
    }

    fn root(&mut self, mut number: usize) -> usize {
        while self.parents[number] != number {
            self.parents[number] = self.parents[self.parents[number]];
            number = self.parents[number];
        }
        number
    }

    fn join(&mut self, one: Home, other: Home) {
        let (one, other) = (self.number(one), self.number(other));
        let (one, other) = (self.root(one), self.root(other));
        self.parents[one.max(other)] = one.min(other);
    }
}

/// The names of a draft, and parts of its formulas that were not understood and may hold more.
pub(super) fn namings(
    frames: &[Frame],
    arguments: &[Argument],
    mut locals: Vec<Local>,
    formulas: &[DraftFormula],
) -> (Vec<Naming>, Vec<Span>) {
    add_rest(&mut locals, arguments, formulas);
    let mut union = Union::default();
    for (number, local) in locals.iter().enumerate() {
        for usage in &local.usages {
            let own = symbol(&usage.place.name);
            let home = match &usage.binding {
                Binding::Entry(entry) => Home::Entry(number, *entry, own),
                Binding::Sentence(sentence) => Home::Sentence(number, *sentence, own),
                Binding::Operator(range) => {
                    Home::Operator(usage.formula, range.start, range.end, own)
                }
                Binding::Argument => Home::Argument(number, usage.key.clone()),
            };
            union.join(place_of(usage), home);
        }
    }
    inherit(&mut union, frames, arguments, &locals, formulas);
    let namings = collect(&mut union, arguments, &locals, formulas);
    let unread = locals.iter().flat_map(|local| &local.unread);
    let mut unread: Vec<Span> = unread
        .filter_map(|(formula, range)| Some(formulas.get(*formula)?.place(range)))
        .collect();
    unread.sort();
    unread.dedup();
    (namings, unread)
}

fn place_of(usage: &Usage) -> Home {
    let Range { start, end } = usage.place.whole;
    Home::Place(usage.formula, start, end)
}

/// Formulas that no sentence holds belong to the argument in which they stand.
fn add_rest(locals: &mut [Local], arguments: &[Argument], formulas: &[DraftFormula]) {
    let mut seen = vec![false; formulas.len()];
    for usage in locals.iter().flat_map(|local| &local.usages) {
        seen[usage.formula] = true;
    }
    for (number, formula) in formulas.iter().enumerate().filter(|(at, _)| !seen[*at]) {
        let holds = |argument: &Argument| argument.span.contains(formula.span);
        let before = |argument: &Argument| argument.span.start <= formula.span.start;
        let home = arguments
            .iter()
            .position(holds)
            .or_else(|| arguments.iter().rposition(before))
            .unwrap_or(0);
        if let Some(local) = locals.get_mut(home) {
            local.take_rest(number, formula);
        }
    }
}

/// What a part does not define itself, its exercise or a part before does.
fn inherit(
    union: &mut Union,
    frames: &[Frame],
    arguments: &[Argument],
    locals: &[Local],
    formulas: &[DraftFormula],
) {
    for (number, (frame, argument)) in frames.iter().zip(arguments).enumerate() {
        let own: BTreeSet<&Key> = locals[number]
            .usages
            .iter()
            .filter(|usage| usage.binding == Binding::Argument)
            .map(|usage| &usage.key)
            .collect();
        for key in own {
            let definition = argument.definitions.iter().rev().find(|definition| {
                definition.name.as_str() == key.name && (0 < definition.subscripts) == key.indexed
            });
            let home = Home::Argument(number, key.clone());
            match definition {
                Some(definition) if !argument.span.contains(definition.span) => {
                    let mut usages = locals.iter().flat_map(|local| &local.usages);
                    let there = usages.find(|usage| {
                        usage.key == *key && definition.span.contains(mention(usage, formulas).span)
                    });
                    if let Some(there) = there {
                        union.join(home, place_of(there));
                    }
                }
                Some(_) => {}
                None => {
                    if let Some(parent) = frame.parent {
                        union.join(home, Home::Argument(parent, key.clone()));
                    }
                }
            }
        }
    }
}

/// Where a usage stands in the draft.
fn mention(usage: &Usage, formulas: &[DraftFormula]) -> Mention {
    let range =
        if usage.key.indexed || usage.place.name.primes > 0 && !usage.key.name.ends_with('′') {
            &usage.place.base
        } else {
            &usage.place.whole
        };
    let Some(formula) = formulas.get(usage.formula) else {
        return Mention {
            span: Span::default(),
            exact: false,
        };
    };
    // "x^2_n" has its index behind a power.
    let torn = formula
        .content
        .text()
        .get(range.clone())
        .is_some_and(|text| {
            text.contains('^') && !usage.place.name.base.ends_with(['*', '+', '-'])
        });
    match formula.content.typed(range.clone()).filter(|_| !torn) {
        Some(span) => Mention { span, exact: true },
        None => Mention {
            span: formula.place(range),
            exact: false,
        },
    }
}

/// A name while its places are gathered, with where it is introduced.
struct Gathered {
    naming: Naming,
    introduced: Option<Span>,
}

fn collect(
    union: &mut Union,
    arguments: &[Argument],
    locals: &[Local],
    formulas: &[DraftFormula],
) -> Vec<Naming> {
    let mut found: BTreeMap<usize, Gathered> = BTreeMap::new();
    for (local, argument) in locals.iter().zip(arguments) {
        for usage in &local.usages {
            let at = union.number(place_of(usage));
            let gathered = found.entry(union.root(at)).or_insert_with(|| Gathered {
                naming: Naming {
                    name: Symbol::new(&usage.key.name),
                    indexed: usage.key.indexed,
                    origin: Origin::Given,
                    places: Vec::new(),
                    introduced: 0,
                    rests_on: Vec::new(),
                    may_depend: Vec::new(),
                },
                introduced: None,
            });
            gathered.take(usage, mention(usage, formulas), local, argument);
        }
    }
    let mut namings: Vec<Naming> = found.into_values().map(Gathered::finished).collect();
    namings.sort_by(|a, b| (a.places.first(), &a.name).cmp(&(b.places.first(), &b.name)));
    namings
}

impl Gathered {
    fn take(&mut self, usage: &Usage, place: Mention, local: &Local, argument: &Argument) {
        let naming = &mut self.naming;
        naming.places.push(place);
        match &usage.binding {
            Binding::Operator(_) => naming.origin = Origin::Inside,
            Binding::Entry(entry) => {
                let own = symbol(&usage.place.name);
                let first = local.introduced.partition_point(|one| one.entry < *entry);
                let mut of_entry = local.introduced[first..]
                    .iter()
                    .take_while(|one| one.entry == *entry);
                if let Some(one) = of_entry.find(|one| one.name == own) {
                    naming.origin = one.origin;
                    naming.rests_on.clone_from(&one.rests_on);
                    naming.may_depend.clone_from(&one.may_depend);
                    // "Take $N$ with $b^N < ε$" introduces N before it says what N is.
                    let ahead = usage.alone
                        && one.origin != Origin::Ranging
                        && one.sentence.contains(place.span)
                        && place.span.end <= one.span.start;
                    if ahead || one.span.contains(place.span) {
                        self.introduced.get_or_insert(place.span);
                    }
                }
            }
            Binding::Argument => {
                let defined = argument.definitions.iter().any(|definition| {
                    definition.name.as_str() == usage.key.name
                        && (0 < definition.subscripts) == usage.key.indexed
                        && definition.span.contains(place.span)
                });
                if defined {
                    naming.origin = Origin::Defined;
                    self.introduced.get_or_insert(place.span);
                }
            }
            Binding::Sentence(_) => naming.origin = Origin::Ranging,
        }
    }

    fn finished(self) -> Naming {
        let mut naming = self.naming;
        naming.places.sort();
        naming.places.dedup();
        let introduces = |mention: &Mention| Some(mention.span) == self.introduced;
        naming.introduced = naming.places.iter().position(introduces).unwrap_or(0);
        naming
    }
}
