//! Places of a draft joined into names, across its arguments.

use super::{Binding, Home, Key, Local, Mention, Naming, Origin, Usage};
use crate::discourse::building::Frame;
use crate::discourse::outline::Argument;
use crate::discourse::token::DraftFormula;
use crate::notation::elaborate::symbol;
use kernel::Symbol;
use source::Span;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

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
pub(in crate::discourse) fn namings(
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
                    usage: usage.usage,
                },
                introduced: None,
            });
            gathered.take(usage, mention(usage, formulas), local, argument);
        }
    }
    let mut namings: Vec<Naming> = found.into_values().map(Gathered::finished).collect();
    // Nobody brought it in: it is the number.
    namings.retain(|naming| naming.name.as_str() != "e" || naming.origin != Origin::Given);
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
                let own = symbol(&usage.place.name);
                let let_be =
                    |(name, span): &(Symbol, Span)| *name == own && span.contains(place.span);
                if defined {
                    naming.origin = Origin::Defined;
                } else if naming.origin == Origin::Given && local.stated.iter().any(let_be) {
                    naming.origin = Origin::Arbitrary;
                } else {
                    return;
                }
                self.introduced.get_or_insert(place.span);
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
