//! What an argument's names mean: definitions, domains of points, candidates for limits.

mod domain;
mod statement;

use super::names::{Names, Use};
use super::outline::{Definition, ErrorTerm, Given, Toward};
use super::pieces::Pieces;
use super::recursion::Recursive;
use super::shape;
use crate::notation::convention::Convention;
use crate::notation::elaborate::{self, Unreadable, Vocabulary, symbol};
use crate::notation::syntax::{Name, Statement, Term, TermKind};
use kernel::{Condition, Expr, Kind, Node, Relation, Symbol};
use source::Span;
use std::collections::{BTreeMap, BTreeSet};

/// Why a part of a statement has no meaning, and the names that it speaks of.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Lost {
    /// In words that help the author.
    pub(super) reason: String,
    /// Names that occur.
    pub(super) names: Vec<Symbol>,
}

impl From<Unreadable> for Lost {
    fn from(unreadable: Unreadable) -> Self {
        Self {
            reason: unreadable.reason,
            names: unreadable.names,
        }
    }
}

/// A sequence of functions or numbers, as it is spoken of: f_n with its index and points.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Family {
    /// `f`
    pub(super) name: Symbol,
    /// `n`
    pub(super) index: Symbol,
    /// `x`; none for number sequences.
    pub(super) points: Vec<Symbol>,
    /// f_n(x)
    pub(super) term: Expr,
}

/// A domain that the draft states for a name.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Domain {
    /// What holds of the name.
    pub(super) conditions: Vec<Condition>,
    /// Where it is stated.
    pub(super) span: Option<Span>,
    /// Why it could not be read.
    pub(super) unread: Option<String>,
    /// Which numbers it holds.
    pub(super) kind: Option<Kind>,
}

/// What names mean, as far as an argument was read.
#[derive(Clone, Debug, Default)]
pub(super) struct Lexicon {
    /// For the elaborator.
    pub(super) vocabulary: Vocabulary,
    /// How ambiguous spellings are read.
    pub(super) convention: Convention,
    /// How names are used.
    pub(super) names: Names,
    /// The words of the prose so far, each once.
    pub(super) words: BTreeSet<String>,
    /// In the order of the text.
    pub(super) definitions: Vec<Definition>,
    /// Domains of points and parameters.
    pub(super) domains: BTreeMap<Symbol, Domain>,
    /// Domains that the text gives for all that follows ("throughout, |q| < 1").
    pub(super) standing: BTreeMap<Symbol, Domain>,
    /// Sets on which functions are defined, by the function's name.
    sets: BTreeMap<Symbol, (Term, Span)>,
    /// The sequence of which the argument speaks.
    pub(super) family: Option<Family>,
    /// Whether this is a part of an exercise, which may have a domain of its own.
    pub(super) part: bool,
    /// Whether that sequence is the one of the exercise to which this part belongs.
    pub(super) family_inherited: bool,
    /// The limit that the draft names for it.
    pub(super) limit: Option<Expr>,
    /// The name under which that limit was given.
    pub(super) limit_named: Option<Symbol>,
    /// Sequences that a statement speaks of anew, whatever was defined under their names before.
    forgotten: BTreeSet<Symbol>,
    /// Sequences that stand for any in what is stated.
    pub(super) general: BTreeSet<Symbol>,
    /// Names that an argument before knows as limits.
    pub(super) limits_before: BTreeSet<Symbol>,
    /// Functions whose values were told case by case.
    pub(super) pieces: BTreeMap<Symbol, Pieces>,
    /// Sequences that equations between their members define.
    pub(super) recursive: BTreeMap<Symbol, Recursive>,
}

/// `(0, 1)` behind "on" is an interval, whatever brackets say elsewhere.
pub(super) fn as_set(term: &Term) -> Term {
    if let TermKind::Group(inner) = &term.kind {
        if let TermKind::List(items) = &inner.kind
            && let [low, high] = items.as_slice()
        {
            return Term {
                kind: TermKind::Interval {
                    low: Box::new(low.clone()),
                    low_closed: false,
                    high: Box::new(high.clone()),
                    high_closed: false,
                },
                range: term.range.clone(),
            };
        }
        return as_set(inner);
    }
    term.clone()
}

impl Lexicon {
    /// No names but those that everybody knows.
    pub(super) fn new(convention: &Convention) -> Self {
        Self {
            convention: convention.clone(),
            ..Self::default()
        }
    }

    /// A term's value.
    pub(super) fn term(&self, term: &Term) -> Result<Expr, Lost> {
        elaborate::term(term, &self.vocabulary, &self.convention).map_err(Lost::from)
    }

    /// The names where functions without their argument are taken at the points of the sequence
    /// at hand.
    pub(super) fn at_points(&self) -> Vocabulary {
        self.vocabulary.at_points(self.points())
    }

    /// The points of the sequence at hand, none for numbers.
    pub(super) fn points(&self) -> &[Symbol] {
        self.family.as_ref().map_or(&[], |family| &family.points)
    }

    /// The value of a term in which functions stand without their argument, at the points.
    pub(super) fn pointwise(&self, term: &Term) -> Result<Expr, Lost> {
        elaborate::term(term, &self.at_points(), &self.convention).map_err(Lost::from)
    }

    /// Takes another sequence as the one at hand.
    pub(super) fn turn_to(&mut self, family: &Family) {
        if self
            .family
            .as_ref()
            .is_none_or(|own| own.name != family.name)
        {
            self.family = Some(family.clone());
            self.limit = None;
        }
        self.family_inherited = false;
    }

    /// Whereto something moves.
    pub(super) fn toward(&self, place: &Term) -> Result<Toward, Lost> {
        elaborate::toward(place, &self.vocabulary, &self.convention).map_err(Lost::from)
    }

    /// What holds of `element` in the set.
    pub(super) fn member(&self, set: &Term, element: &Expr) -> Result<Vec<Condition>, Lost> {
        elaborate::domain(&as_set(set), element, &self.vocabulary, &self.convention)
            .map_err(Lost::from)
    }

    /// A reason with the statement's names.
    pub(super) fn lost(&self, statement: &Statement, reason: &str) -> Lost {
        Lost {
            reason: reason.to_owned(),
            names: elaborate::statement_names(statement),
        }
    }

    /// Which numbers a name runs through by habit.
    pub(super) fn habitual_kind(&self, name: &Name) -> Kind {
        match self.names.usage(name) {
            Use::Index => Kind::Integer,
            Use::Threshold if name.base != "δ" && !self.convention.real_thresholds => {
                Kind::Integer
            }
            _ => Kind::Real,
        }
    }

    /// Declares the names of a term as variables so that sequences find their indices.
    pub(super) fn declare(&mut self, name: &Name) {
        let own = symbol(name);
        // a_1 is a member of its sequence, not a number of its own.
        let member = name.subscript.is_some() && self.is_recursive(&Symbol::new(&name.base));
        if !member && !self.vocabulary.is_declared(&own) {
            let kind = self.habitual_kind(name);
            self.vocabulary.declare_variable(&own, kind);
        }
    }

    /// Of a function with so many indices and arguments no value is known any more: "if
    /// |a_{n+1} − a_n| ≤ C q^n for all n", a theorem's hypothesis, speaks of any such sequence.
    pub(super) fn forget(&mut self, name: &Symbol, subscripts: usize, arguments: usize) {
        self.vocabulary.forget(name);
        self.vocabulary
            .declare_unknown(name, subscripts, Some(arguments));
        self.forgotten.insert(name.clone());
        if self
            .family
            .as_ref()
            .is_some_and(|family| family.name == *name)
        {
            self.family = None;
            self.limit = None;
        }
    }

    /// Whether a value is known for the name with that many indices.
    pub(super) fn defines(&self, name: &Symbol, subscripts: usize) -> bool {
        self.definition(name, subscripts).is_some()
    }

    /// Whether the name stands for functions of more than those parameters.
    pub(super) fn takes_more(&self, name: &Symbol, subscripts: usize, given: &[Symbol]) -> bool {
        self.definition(name, subscripts)
            .is_some_and(|known| known.parameters.len() > given.len())
    }

    /// The latest definition of the name with that many indices.
    pub(super) fn definition(&self, name: &Symbol, subscripts: usize) -> Option<&Definition> {
        self.definitions
            .iter()
            .rev()
            .find(|definition| definition.name == *name && definition.subscripts == subscripts)
            .filter(|definition| !self.forgotten.contains(&definition.name))
    }

    /// The name and parameters of a left side that may be defined: `f_n(x)`, `a_n`, `M`.
    pub(super) fn definable(&self, term: &Term) -> Option<(Symbol, Vec<Symbol>, usize)> {
        if let Some((name, arguments)) = shape::application(term) {
            if name.primes > 0 || name.superscript.is_some() || self.is_member(name) {
                return None;
            }
            let arguments: Option<Vec<Symbol>> = arguments
                .into_iter()
                .map(|argument| {
                    let argument = shape::bare_name(argument)?;
                    let variable =
                        !matches!(self.names.usage(argument), Use::Index | Use::Threshold);
                    // f(y_k) with a sequence y: a value of f.
                    let (base, indices) = self.indexed(argument);
                    // T(x_n) = x_{n+1}: of a sequence that a recursion gives, too.
                    let known = self.defines(&base, indices.len()) || self.is_recursive(&base);
                    let member = !indices.is_empty() && known || self.names.is_member(argument);
                    (argument.primes == 0 && variable && !member).then(|| symbol(argument))
                })
                .collect();
            let arguments = arguments?;
            let mut seen = std::collections::BTreeSet::new();
            if !arguments
                .iter()
                .all(|argument| seen.insert(argument.clone()))
            {
                return None;
            }
            let (base, mut parameters) = self.indexed(name);
            let subscripts = parameters.len();
            parameters.extend(arguments);
            return Some((base, parameters, subscripts));
        }
        let name = match &term.kind {
            TermKind::Sequence { term, .. } => shape::bare_name(term)?,
            _ => shape::bare_name(term)?,
        };
        if name.primes > 0 || name.superscript.is_some() || self.is_member(name) {
            return None;
        }
        let (base, parameters) = self.indexed(name);
        let subscripts = parameters.len();
        Some((base, parameters, subscripts))
    }

    /// Whether the name is a certain member of a sequence, `f_N`, `f_{2n}`, `f_1`: no name of its
    /// own that could be defined.
    fn is_member(&self, name: &Name) -> bool {
        let Some(subscript) = name.subscript.as_deref() else {
            return false;
        };
        let index = shape::bare_name(subscript).map(|index| self.names.usage(index));
        let base = Symbol::new(&name.base);
        let known = self.defines(&base, 1) || self.is_recursive(&base);
        match index {
            Some(Use::Index) => false,
            Some(Use::Threshold) => {
                name.base.chars().all(char::is_alphabetic)
                    && (known || shape::bare_name(subscript).is_some_and(|index| index.base == "N"))
            }
            _ => known,
        }
    }

    /// The base and index of a name whose subscript is an index; else the name itself.
    fn indexed(&self, name: &Name) -> (Symbol, Vec<Symbol>) {
        let index = name
            .subscript
            .as_deref()
            .and_then(shape::bare_name)
            .filter(|index| index.subscript.is_none() && self.names.usage(index) == Use::Index);
        match index {
            Some(index) => (Symbol::new(&name.base), vec![symbol(index)]),
            None => (
                symbol(&Name {
                    primes: 0,
                    ..name.clone()
                }),
                Vec::new(),
            ),
        }
    }

    /// Defines what a left side names; gives the position among the definitions.
    pub(super) fn define(
        &mut self,
        name: Symbol,
        parameters: Vec<Symbol>,
        subscripts: usize,
        value: Expr,
        span: Span,
    ) -> usize {
        self.forgotten.remove(&name);
        self.vocabulary
            .define(&name, parameters.clone(), subscripts, value.clone());
        self.definitions.push(Definition {
            name: name.clone(),
            parameters: parameters.clone(),
            subscripts,
            value: value.clone(),
            span,
        });
        if subscripts == 1
            && let Some((index, points)) = parameters.split_first()
        {
            let first = self
                .family
                .as_ref()
                .is_none_or(|family| family.name == name);
            let functions_first = self
                .family
                .as_ref()
                .is_some_and(|family| family.points.is_empty())
                && !points.is_empty();
            if first || functions_first {
                self.family = Some(Family {
                    name: name.clone(),
                    index: index.clone(),
                    points: points.to_vec(),
                    term: value,
                });
                self.limit = None;
            }
            if let Some((set, span)) = self.sets.get(&name).cloned() {
                self.set_domain(points, &set, span);
            }
        }
        self.definitions.len() - 1
    }

    /// Gives a function of one point, or a sequence, its value by cases: anew, or in place of what
    /// was known of it; gives the position among the definitions.
    pub(super) fn define_by_cases(
        &mut self,
        (name, subscripts): (&Symbol, usize),
        parameter: &Symbol,
        value: &Expr,
        span: Span,
    ) -> usize {
        let known = self
            .definitions
            .iter()
            .position(|definition| definition.name == *name && definition.subscripts == subscripts);
        let parameters = vec![parameter.clone()];
        let Some(known) = known else {
            return self.define(name.clone(), parameters, subscripts, value.clone(), span);
        };
        self.vocabulary
            .define(name, parameters.clone(), subscripts, value.clone());
        self.definitions[known].parameters = parameters;
        self.definitions[known].value = value.clone();
        if let Some(family) = &mut self.family
            && family.name == *name
            && subscripts == 1
        {
            family.term = value.clone();
        }
        known
    }

    /// The named function is the limit of the sequence of which the argument speaks.
    pub(super) fn name_limit(&mut self, name: &Symbol, parameters: &[Symbol], value: &Expr) {
        let Some(family) = &self.family else { return };
        let mut limit = value.clone();
        for (parameter, point) in parameters.iter().zip(&family.points) {
            limit = limit.substitute(parameter, &Expr::variable(point));
        }
        self.limit = Some(limit);
        self.limit_named = Some(name.clone());
    }

    /// The value of a definition's right side, its parameters being variables.
    pub(super) fn defined_value(
        &self,
        parameters: &[Symbol],
        subscripts: usize,
        value: &Term,
    ) -> Result<Expr, Lost> {
        self.defined_under(self.vocabulary.clone(), parameters, subscripts, value)
    }

    fn defined_under(
        &self,
        mut vocabulary: Vocabulary,
        parameters: &[Symbol],
        subscripts: usize,
        value: &Term,
    ) -> Result<Expr, Lost> {
        for (position, parameter) in parameters.iter().enumerate() {
            let kind = if position < subscripts {
                Kind::Integer
            } else {
                Kind::Real
            };
            vocabulary.declare_variable(parameter, kind);
        }
        elaborate::term(value, &vocabulary, &self.convention).map_err(Lost::from)
    }

    /// The value of a function that is defined by functions alone, with its points behind its
    /// indices: `g_n = n f_n`, `h = f − g`.
    pub(super) fn defined_by_functions(
        &self,
        indices: &[Symbol],
        value: &Term,
    ) -> Option<(Vec<Symbol>, Expr)> {
        if self.points().is_empty() {
            return None;
        }
        let parameters: Vec<Symbol> = indices.iter().chain(self.points()).cloned().collect();
        let value = self
            .defined_under(self.at_points(), &parameters, indices.len(), value)
            .ok()?;
        Some((parameters, value))
    }

    /// Whether a function was introduced by its sets alone, in another paragraph than `place`.
    pub(super) fn is_general(&self, name: &Symbol, place: Span, draft: &str) -> bool {
        self.sets.get(name).is_some_and(|(_, span)| {
            draft
                .get(span.end..place.start)
                .is_some_and(|between| between.contains("\n\n"))
        })
    }

    /// Notes f : A → B.
    pub(super) fn set_mapping(&mut self, name: &Term, from: &Term, span: Span) {
        let Some(name) = shape::head_name(name).or_else(|| first_of_list(name)) else {
            return;
        };
        let (base, _) = self.indexed(name);
        self.sets.insert(base.clone(), (from.clone(), span));
        let points = match &self.family {
            Some(family) if family.name == base => family.points.clone(),
            _ => Vec::new(),
        };
        self.set_domain(&points, from, span);
        if let Some(argument) = name.subscript.as_deref().and_then(shape::bare_name) {
            self.declare(argument);
        }
    }

    /// The sequence that a term speaks of: `f_n`, `(f_n)`, `f_n(x)`, `a_n`.
    pub(super) fn family_of(&self, term: &Term) -> Option<Family> {
        let name = shape::head_name(term)?;
        if name.primes > 0 {
            return None;
        }
        let index = name.subscript.as_deref().and_then(shape::bare_name);
        let Some(index) = index else {
            // "f → 0" is no sequence, but "(f_n) = (f_n)_{n}" without its index may be.
            return None;
        };
        let index = symbol(index);
        let base = Symbol::new(&name.base);
        let arguments = shape::application(term)
            .map(|(_, arguments)| arguments)
            .unwrap_or_default();
        let written: Vec<Symbol> = arguments
            .iter()
            .filter_map(|argument| shape::bare_name(argument).map(symbol))
            .collect();
        let points = arguments
            .iter()
            .filter_map(|argument| shape::bare_name(argument))
            .all(|argument| self.names.usage(argument) == Use::Point);
        if written.len() != arguments.len() || !points {
            return None;
        }
        if let Some(definition) = self.definition(&base, 1) {
            let mut points: Vec<Symbol> = definition.parameters[1..].to_vec();
            let mut value = definition
                .value
                .substitute(&definition.parameters[0], &Expr::variable(&index));
            if written.len() == points.len() && !written.is_empty() {
                for (point, written) in points.iter().zip(&written) {
                    value = value.substitute(point, &Expr::variable(written));
                }
                points = written;
            }
            return Some(Family {
                name: base,
                index,
                points,
                term: value,
            });
        }
        // An unknown sequence: points as written, or as its mapping tells.
        let elsewhere = self.names.arguments(&name.base);
        let points = if !written.is_empty() {
            written
        } else if !elsewhere.is_empty() {
            elsewhere.iter().map(|point| Symbol::new(point)).collect()
        } else if self.sets.contains_key(&base) {
            vec![Symbol::new("x")]
        } else {
            Vec::new()
        };
        let mut parameters = vec![Expr::variable(&index)];
        parameters.extend(points.iter().map(Expr::variable));
        Some(Family {
            name: base.clone(),
            index,
            points,
            term: Node::Apply(base, parameters).into(),
        })
    }

    /// The limit that a term writes, as a value at the family's points.
    pub(super) fn limit_of(&self, term: &Term, points: &[Symbol]) -> Result<Expr, Lost> {
        if let TermKind::Name(name) = &term.kind
            && name.subscript.is_none()
            && !points.is_empty()
        {
            let own = symbol(name);
            if let Some(definition) = self.definition(&own, 0) {
                if definition.parameters.len() == points.len() {
                    let mut value = definition.value.clone();
                    for (parameter, point) in definition.parameters.iter().zip(points) {
                        value = value.substitute(parameter, &Expr::variable(point));
                    }
                    return Ok(value);
                }
                if definition.parameters.is_empty() {
                    return Ok(definition.value.clone());
                }
            }
            if self.names.usage(name) == Use::Other
                && ["f", "g", "h", "F", "G", "φ", "u", "s", "S"].contains(&name.base.as_str())
            {
                return Ok(Node::Apply(own, points.iter().map(Expr::variable).collect()).into());
            }
        }
        self.term(term)
    }

    /// The error term |f_n(x) − f(x)| with the domain in force.
    pub(super) fn error_term(&self, family: &Family, limit: &Expr, uniform: bool) -> ErrorTerm {
        let mut conditions = Vec::new();
        conditions.push(Condition::Holds(
            Expr::variable(&family.index),
            Relation::GreaterEqual,
            Expr::integer(1),
        ));
        for point in &family.points {
            if let Some(domain) = self.domains.get(point) {
                conditions.extend(domain.conditions.iter().cloned());
            }
        }
        let mut others = family.term.variables();
        others.extend(limit.variables());
        for name in others {
            if !family.points.contains(&name)
                && name != family.index
                && let Some(domain) = self.domains.get(&name)
            {
                conditions.extend(domain.conditions.iter().cloned());
            }
        }
        self.close(&mut conditions, family);
        ErrorTerm {
            error: error_of(&family.term, limit),
            term: family.term.clone(),
            limit: limit.clone(),
            index: family.index.clone(),
            points: family.points.clone(),
            conditions,
            uniform,
            pointed: false,
        }
    }

    /// Adds what is known of the parameters that the conditions mention: a > 0 for [a, ∞).
    pub(super) fn close(&self, conditions: &mut Vec<Condition>, family: &Family) {
        let mut at = 0;
        while at < conditions.len() && conditions.len() < 64 {
            for name in conditions[at].variables() {
                if family.points.contains(&name) || name == family.index {
                    continue;
                }
                let Some(domain) = self.domains.get(&name) else {
                    continue;
                };
                for condition in &domain.conditions {
                    if !conditions.contains(condition) {
                        conditions.push(condition.clone());
                    }
                }
            }
            at += 1;
        }
    }

    /// The error term of which the argument speaks, once sequence and limit are known.
    pub(super) fn current_error(&self, uniform: bool) -> Option<ErrorTerm> {
        let family = self.family.as_ref()?;
        // A function f beside f_n is what the text means, whatever one line says of one range.
        let by_name = || self.limit_by_name(family);
        let limit = match &self.limit_named {
            Some(_) => self.limit.clone().or_else(by_name),
            None => by_name().or_else(|| self.limit.clone()),
        }?;
        Some(self.error_term(family, &limit, uniform))
    }

    /// f(x) as the limit of f_n(x).
    fn limit_by_name(&self, family: &Family) -> Option<Expr> {
        let definition = self.definition(&family.name, 0)?;
        if definition.parameters.len() != family.points.len() {
            return definition
                .parameters
                .is_empty()
                .then(|| definition.value.clone());
        }
        let mut value = definition.value.clone();
        for (parameter, point) in definition.parameters.iter().zip(&family.points) {
            value = value.substitute(parameter, &Expr::variable(point));
        }
        Some(value)
    }

    /// A name that the text introduces, with what the draft says of it.
    pub(super) fn given(&self, name: &Symbol, kind: Kind) -> Option<Given> {
        let domain = self.domains.get(name)?;
        Some(Given {
            name: name.clone(),
            kind: domain.kind.unwrap_or(kind),
            conditions: domain.conditions.clone(),
            span: domain.span,
            unread: domain.unread.clone(),
        })
    }
}

/// |term − limit|
pub(super) fn error_of(term: &Expr, limit: &Expr) -> Expr {
    let zero = limit.as_number().is_some_and(|number| number.is_zero());
    if zero {
        term.abs()
    } else {
        term.minus(limit).abs()
    }
}

fn items_of(term: &Term) -> Vec<&Term> {
    match &term.kind {
        TermKind::List(items) => items.iter().collect(),
        _ => vec![term],
    }
}

fn first_of_list(term: &Term) -> Option<&Name> {
    match &term.kind {
        TermKind::List(items) => items.first().and_then(shape::head_name),
        _ => None,
    }
}
