//! What names mean at a place of a draft.

use super::integral::Computed;
use crate::notation::syntax::{Name, Term, TermKind};
use crate::notation::unicode;
use kernel::{Condition, Expr, Kind, Symbol};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a name means.
#[derive(Clone, PartialEq, Debug)]
pub enum Meaning {
    /// A variable, index or parameter.
    Variable(Kind),
    /// A function, sequence or quantity with a known value.
    Defined {
        /// Index names, then argument names.
        parameters: Vec<Symbol>,
        /// How many of them are written as subscripts (or superscripts).
        subscripts: usize,
        /// The value, free of other definitions.
        value: Expr,
    },
    /// A function or sequence of which only hypotheses are known.
    Unknown {
        /// How many indices it takes.
        subscripts: usize,
        /// How many arguments it takes, `None` if the draft does not tell.
        arguments: Option<usize>,
    },
    /// A set: what holds of `element` if it belongs to it.
    Set {
        /// The name that the conditions use for the element.
        element: Symbol,
        /// What holds of it.
        conditions: Vec<Condition>,
        /// Which numbers its elements are, if known.
        kind: Option<Kind>,
    },
}

/// Names with their meanings, by canonical spelling (see [`symbol`]). Cheap to clone: clones share
/// their entries until one of them is extended.
///
/// One name may mean several things that differ in the number of indices: `f_n` and its limit
/// `f`, the sequence `a_n` and its limit `a`. A new meaning replaces that with as many indices.
/// The letter `e` is the base of the natural logarithm unless it is declared.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Vocabulary {
    entries: Arc<BTreeMap<Symbol, Vec<Meaning>>>,
    /// Where functions without their arguments are taken; empty: such a function is no number.
    points: Arc<[Symbol]>,
    /// Integrals that were computed on the way.
    computed: Computed,
}

impl Vocabulary {
    /// No names but e and π.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The same names, where a function that stands without its arguments (`|f_n − f|`) means its
    /// value at these points.
    #[must_use]
    pub fn at_points(&self, points: &[Symbol]) -> Self {
        Self {
            entries: Arc::clone(&self.entries),
            points: points.into(),
            computed: self.computed.clone(),
        }
    }

    /// Integrals that were computed on the way.
    pub(super) fn computed(&self) -> &Computed {
        &self.computed
    }

    /// Where functions without their arguments are taken.
    pub(super) fn points(&self) -> &[Symbol] {
        &self.points
    }

    /// Declares a variable, index or parameter.
    pub fn declare_variable(&mut self, name: &Symbol, kind: Kind) {
        self.add(name, Meaning::Variable(kind));
    }

    /// Defines a function, sequence or quantity: `parameters` are index names, then argument
    /// names; `subscripts` of them are written as indices. `value` must be free of definitions,
    /// as [`term`](super::term) makes it.
    pub fn define(
        &mut self,
        name: &Symbol,
        parameters: Vec<Symbol>,
        subscripts: usize,
        value: Expr,
    ) {
        let meaning = Meaning::Defined {
            parameters,
            subscripts,
            value,
        };
        self.add(name, meaning);
    }

    /// Declares a function or sequence of which only hypotheses are known.
    pub fn declare_unknown(&mut self, name: &Symbol, subscripts: usize, arguments: Option<usize>) {
        self.add(
            name,
            Meaning::Unknown {
                subscripts,
                arguments,
            },
        );
    }

    /// Declares a set by what holds of its elements.
    pub fn declare_set(
        &mut self,
        name: &Symbol,
        element: Symbol,
        conditions: Vec<Condition>,
        kind: Option<Kind>,
    ) {
        self.add(
            name,
            Meaning::Set {
                element,
                conditions,
                kind,
            },
        );
    }

    /// Forgets a name.
    pub fn forget(&mut self, name: &Symbol) {
        if self.entries.contains_key(name) {
            Arc::make_mut(&mut self.entries).remove(name);
        }
    }

    /// Whether the name means anything here.
    #[must_use]
    pub fn is_declared(&self, name: &Symbol) -> bool {
        self.entries.contains_key(name)
    }

    /// Everything the name means.
    #[must_use]
    pub fn meanings(&self, name: &Symbol) -> &[Meaning] {
        self.entries.get(name).map_or(&[], Vec::as_slice)
    }

    /// Which numbers a variable runs through.
    #[must_use]
    pub fn kind(&self, name: &Symbol) -> Option<Kind> {
        self.meanings(name)
            .iter()
            .find_map(|meaning| match meaning {
                Meaning::Variable(kind) => Some(*kind),
                _ => None,
            })
    }

    /// The names in their order.
    pub fn names(&self) -> impl Iterator<Item = &Symbol> {
        self.entries.keys()
    }

    fn add(&mut self, name: &Symbol, meaning: Meaning) {
        let indices = meaning.indices();
        let known = Arc::make_mut(&mut self.entries)
            .entry(name.clone())
            .or_default();
        known.retain(|other| other.indices() != indices);
        known.push(meaning);
    }
}

impl Meaning {
    /// How many indices the name carries in this meaning.
    pub(super) fn indices(&self) -> usize {
        self.subscripts().unwrap_or(0)
    }

    /// How many indices a function takes.
    pub(super) fn subscripts(&self) -> Option<usize> {
        match self {
            Self::Defined { subscripts, .. } | Self::Unknown { subscripts, .. } => {
                Some(*subscripts)
            }
            Self::Variable(_) | Self::Set { .. } => None,
        }
    }

    /// How many arguments in parentheses it takes, `None` if that is not known.
    pub(super) fn arguments(&self) -> Option<usize> {
        match self {
            Self::Defined {
                parameters,
                subscripts,
                ..
            } => Some(parameters.len().saturating_sub(*subscripts)),
            Self::Unknown { arguments, .. } => *arguments,
            Self::Variable(_) | Self::Set { .. } => Some(0),
        }
    }
}

/// The canonical spelling of a name with its marks, for a name of its own: the base in Unicode;
/// then `_` and the index (`N_1`, `n_0`, `N_ε`, `x_max`; an index of several signs in braces:
/// `x_{n + 1}`); then `^(…)` for an index written above; then a prime `′` for each prime.
///
/// Whether a name with an index is a name of its own or an application is settled by the
/// vocabulary, in this order: the canonical spelling itself is declared: that name; the base is a
/// function or sequence with as many indices: an application (`a_n`, `a_1`, `f_{2n}(x)`); the
/// index mentions an integer variable in scope: an application of an unknown sequence; else a
/// name of its own.
#[must_use]
pub fn symbol(name: &Name) -> Symbol {
    let mut spelling = name.base.clone();
    if let Some(index) = &name.subscript {
        let text = index_text(index);
        if is_plain(index) {
            spelling.push('_');
            spelling.push_str(&text);
        } else {
            spelling.push_str(&format!("_{{{text}}}"));
        }
    }
    if let Some(index) = &name.superscript {
        spelling.push_str(&format!("^({})", unicode::term(index)));
    }
    spelling.push_str(&"′".repeat(name.primes.min(9) as usize));
    Symbol::new(&spelling)
}

fn is_plain(index: &Term) -> bool {
    match &index.kind {
        TermKind::Number(_) | TermKind::Pi | TermKind::Infinity => true,
        TermKind::Name(_) => true,
        TermKind::Group(inner) => is_plain(inner),
        _ => false,
    }
}

fn index_text(index: &Term) -> String {
    match &index.kind {
        TermKind::Name(name) => symbol(name).as_str().to_owned(),
        TermKind::Group(inner) => index_text(inner),
        _ => unicode::term(index),
    }
}
