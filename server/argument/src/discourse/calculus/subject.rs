//! Which function a sentence about derivatives speaks of: the one that it names, else those that
//! stand at hand.

use super::super::entry::Reader;
use super::super::outline::{Assertion, Content, Subject};
use super::super::shape;
use super::super::supremum::{absolute, points_of};
use super::grammar::{About, is_zero};
use crate::notation::syntax::{Name, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Expr, Relation, Symbol};

/// How many entries back a function may stand of which a sentence speaks without its name.
const SPOKEN: usize = 12;

/// The function of a term that is written as its derivative: `f_n'(x)`, `f_n'`, `\frac{d}{dx} f`.
pub(super) fn derived(term: &Term) -> Option<Term> {
    let at = |kind: TermKind| Term {
        kind,
        range: term.range.clone(),
    };
    match &term.kind {
        TermKind::Name(name) if name.primes > 0 => Some(at(TermKind::Name(Name {
            primes: name.primes - 1,
            ..name.clone()
        }))),
        TermKind::Juxtaposed(parts) => match parts.as_slice() {
            [first, argument] if matches!(argument.kind, TermKind::Group(_)) => {
                let first = derived(first)?;
                Some(at(TermKind::Juxtaposed(vec![first, argument.clone()])))
            }
            _ => None,
        },
        TermKind::Derivative {
            order: 1,
            body: Some(body),
            ..
        } => Some((**body).clone()),
        TermKind::Primed(inner, 1) => Some((**inner).clone()),
        _ => None,
    }
}

/// `f_n'(x) = 0`: the derivative.
pub(super) fn is_derivative_zero(statement: &Statement) -> Option<&Term> {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &statement.kind
    else {
        return None;
    };
    let [link] = links.as_slice() else {
        return None;
    };
    let equal = link.sign == Sign::Relation(Relation::Equal);
    let vanishes = equal && link.right.as_ref().is_some_and(is_zero);
    (vanishes && derived(first).is_some_and(|function| is_at_points(&function))).then_some(first)
}

/// Whether a function stands without an argument, or with a name as its argument.
fn is_at_points(term: &Term) -> bool {
    match &term.kind {
        TermKind::Juxtaposed(parts) => match parts.as_slice() {
            [first, argument] if shape::bare_name(first).is_some() => {
                shape::bare_name(argument).is_some()
            }
            _ => true,
        },
        _ => true,
    }
}

impl Reader<'_> {
    /// The functions that may be meant, each with its point; none if the text names one that is
    /// not known.
    pub(super) fn subjects(&self, about: About<'_>) -> Vec<Subject> {
        match about {
            About::Function(term) => self.function_of(term).into_iter().collect(),
            About::Derivative(term) => derived(term)
                .and_then(|function| self.function_of(&function))
                .into_iter()
                .collect(),
            About::Unnamed => self.at_hand(),
        }
    }

    /// `f_n`, `f_n(x)`, `|f_n − f|`: the value at a point, and the point.
    fn function_of(&self, term: &Term) -> Option<Subject> {
        // φ(t) where t stands for x^n: by which of them it is differentiated is not told.
        let abbreviated = shape::application(term).is_some_and(|(_, arguments)| {
            arguments
                .iter()
                .filter_map(|argument| shape::bare_name(argument))
                .any(|name| {
                    let own = crate::notation::elaborate::symbol(name);
                    self.lexicon.definition(&own, 0).is_some()
                })
        });
        if abbreviated {
            return None;
        }
        let value = match self.named_function(term) {
            Some(subject) => return Some(subject),
            None => self.lexicon.pointwise(term).ok()?,
        };
        // x alone is a point and no function.
        if value.as_variable().is_some() {
            return None;
        }
        let [point] = points_of(&self.lexicon, &value).try_into().ok()?;
        Some(Subject {
            function: value,
            point,
            spare: false,
        })
    }

    /// A function that a definition gives, by its name alone or at its own point.
    fn named_function(&self, term: &Term) -> Option<Subject> {
        let name = shape::bare_name(term)?;
        if name.primes > 0 || name.superscript.is_some() {
            return None;
        }
        let own = crate::notation::elaborate::symbol(name);
        let base = Symbol::new(&name.base);
        let definition = self
            .lexicon
            .definition(&own, 0)
            .filter(|definition| definition.parameters.len() == 1)
            .or_else(|| {
                let index = name.subscript.as_deref().and_then(shape::bare_name)?;
                self.lexicon.definition(&base, 1).filter(|definition| {
                    definition.parameters.len() == 2
                        && definition.parameters[0] == crate::notation::elaborate::symbol(index)
                })
            })?;
        Some(Subject {
            function: definition.value.clone(),
            point: definition.parameters.last()?.clone(),
            spare: false,
        })
    }

    /// The functions of which the argument speaks.
    fn at_hand(&self) -> Vec<Subject> {
        // "v_n'(x) = …. The derivative is positive …" speaks of v_n, known or not.
        let unknown = self.protos.iter().rev().take(SPOKEN).any(|proto| {
            proto.entry.derivative
                && matches!(&proto.entry.content,
                    Content::Assertion(Assertion::Relation { left, .. })
                        if !left.unknown_functions().is_empty())
        });
        if unknown {
            return Vec::new();
        }
        let mut found: Vec<Subject> = Vec::new();
        let mut add = |function: Expr, point: &Symbol, spare: bool| {
            let subject = Subject {
                function,
                point: point.clone(),
                spare,
            };
            if subject.function.mentions(point) && !found.contains(&subject) {
                found.push(subject);
            }
        };
        if let Some(family) = &self.lexicon.family
            && let [point] = family.points.as_slice()
        {
            add(family.term.clone(), point, false);
            if let Some(limit) = self
                .lexicon
                .limit
                .as_ref()
                .filter(|limit| !limit.as_number().is_some_and(|number| number.is_zero()))
            {
                add(family.term.minus(limit), point, false);
                add(limit.minus(&family.term), point, true);
            }
        }
        for definition in &self.lexicon.definitions {
            if definition.parameters.len() == definition.subscripts + 1
                && let Some(point) = definition.parameters.last()
            {
                add(definition.value.clone(), point, false);
            }
        }
        // "The error is |f_n(x) − f(x)| = x/n. Its largest value …": what stands in the text.
        let recent = self.protos.iter().rev().take(SPOKEN);
        for proto in recent.filter(|proto| !proto.entry.derivative) {
            let Content::Assertion(Assertion::Relation { left, right, .. }) = &proto.entry.content
            else {
                continue;
            };
            for (side, spare) in [(left, false), (right, true)] {
                if let [point] = points_of(&self.lexicon, side).as_slice() {
                    add(side.clone(), point, spare);
                }
            }
        }
        found
    }
}

/// |f| of each other than itself; `named` says that the text names f rather than |f|.
pub(super) fn in_bars(subjects: &[Subject], named: bool) -> Vec<Subject> {
    subjects
        .iter()
        .filter(|subject| absolute(&subject.function) != subject.function)
        .map(|subject| Subject {
            function: absolute(&subject.function),
            point: subject.point.clone(),
            spare: subject.spare || named,
        })
        .collect()
}
