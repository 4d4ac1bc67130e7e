//! Sentences that spell out a definition by its quantifiers: "for every ε > 0 there is N such that
//! …". They assert no step, and their order is what a careful reader looks at.

use super::entry::{Context, Reader};
use super::names::Use;
use super::outline::{Content, Formal, Notion, Quantified, Role};
use super::shape;
use super::utterance::Mode;
use crate::notation::elaborate::symbol;
use crate::notation::syntax::{Name, Quantifier, Sign, Statement, StatementKind, Term, TermKind};
use kernel::Relation;

/// The parts of a definition, as they come.
#[derive(Default)]
pub(super) struct Parts {
    /// The utterance with which it begins.
    start: Option<usize>,
    /// The utterance behind its last one.
    end: usize,
    quantified: Vec<Quantified>,
    tolerance: Option<Quantifier>,
    threshold: Option<Quantifier>,
    compared: bool,
}

impl Parts {
    /// Whether the utterance at that position belongs to the definition.
    pub(super) fn holds(&self, position: usize) -> bool {
        self.start.is_some_and(|start| start <= position) && position < self.end
    }
}

impl Reader<'_> {
    /// The definition that a sentence spells out; `None` if it does more.
    pub(super) fn formal_parts(&self, context: &Context<'_>) -> Option<Parts> {
        let mut parts = Parts::default();
        let mut before = 0;
        let mut last = None;
        for (position, utterance) in context.reading.utterances.iter().enumerate() {
            let statement = context.statement(utterance)?;
            if parts.compared && utterance.aside {
                break;
            }
            if utterance.mode == Mode::Reason {
                return None;
            }
            let words = &context.tokens[before..utterance.token.max(before)];
            before = utterance.token + 1;
            let words: Vec<&str> = words.iter().filter_map(|token| token.word()).collect();
            let said = quantifier(&words);
            if said.is_some() || words.contains(&"that") || words.contains(&"have") {
                last = said;
            }
            let took = self.part(&mut parts, statement, last);
            if took && parts.start.is_none() {
                parts.start = Some(position);
            }
            parts.end = position + 1;
            // "f_n → f uniformly, that is, for every ε > 0 …": the convergence is said by itself.
            if !took && (parts.start.is_some() || !announces(statement)) {
                return None;
            }
        }
        let opposite = match (parts.tolerance?, parts.threshold?) {
            (Quantifier::ForAll, other) => other == Quantifier::Exists,
            (Quantifier::Exists, other) => other == Quantifier::ForAll,
        };
        (opposite && parts.compared && parts.start.is_some()).then_some(parts)
    }

    /// Notes the definition; its formulas are no claims.
    pub(super) fn formal(&mut self, context: &Context<'_>, parts: Parts) {
        let utterances = context.reading.utterances.iter().enumerate();
        for (position, utterance) in utterances.filter(|(position, _)| parts.holds(*position)) {
            if let Some(statement) = context.statement(utterance) {
                let whole = self.place(context, utterance, &statement.range);
                let everything = shape::restriction(statement).is_some_and(|restriction| {
                    parts.quantified.iter().any(|name| {
                        name.quantifier == Quantifier::ForAll
                            && restriction.names.iter().any(|own| symbol(own) == name.name)
                    })
                });
                let role = if everything { Role::Range } else { Role::Aim };
                self.push(context, Some(position), whole, Some(role), Content::Mention);
            }
        }
        if context.borrowed == 0 {
            self.formals.push(Formal {
                span: context.span,
                quantified: parts.quantified,
                notion: notion(context),
            });
        }
    }

    /// Takes one formula as a part; `false` if it is none.
    fn part(&self, parts: &mut Parts, statement: &Statement, said: Option<Quantifier>) -> bool {
        let names = bound_names(statement);
        let simple = shape::links(statement)
            .iter()
            .all(|link| link.sign != Sign::Defines && link.right.as_ref().is_some_and(is_simple));
        if let (Some(names), Some(quantifier), true) = (names, said, simple) {
            for name in names {
                let usage = self.lexicon.names.usage(name);
                match usage {
                    Use::Tolerance
                        if parts
                            .quantified
                            .iter()
                            .all(|before| before.quantifier == quantifier) =>
                    {
                        parts.tolerance = Some(quantifier);
                    }
                    Use::Threshold => parts.threshold = Some(quantifier),
                    _ => {}
                }
                parts.quantified.push(Quantified {
                    name: symbol(name),
                    quantifier,
                    chosen: usage == Use::Threshold,
                    tolerance: usage == Use::Tolerance,
                });
            }
            return true;
        }
        // What is promised: one comparison with the tolerance or with δ.
        let links = shape::links(statement);
        let ordered = links.iter().all(
            |link| matches!(link.sign, Sign::Relation(relation) if relation != Relation::Equal),
        );
        let alone = |term: &Term| {
            shape::names_in(term).iter().all(|name| {
                matches!(
                    self.lexicon.names.usage(name),
                    Use::Tolerance | Use::Threshold
                )
            }) && !shape::names_in(term).is_empty()
        };
        let compares = links
            .last()
            .and_then(|link| link.right.as_ref())
            .is_some_and(alone);
        // 0 < |x − c| < δ is one comparison, |f| ≤ 1/n < ε are two steps.
        let single = links.len() == 1
            || links.len() == 2 && shape::first_term(statement).is_some_and(is_zero);
        parts.compared |= ordered && compares && single;
        ordered && compares && single
    }
}

/// The names that a part behind a quantifier binds.
pub(super) fn bound_names(statement: &Statement) -> Option<Vec<&Name>> {
    match &statement.kind {
        StatementKind::Term(term) => shape::bare_names(term),
        _ => shape::restriction(statement).map(|restriction| restriction.names),
    }
}

/// Whether a statement before the quantifiers only says of what the definition speaks.
fn announces(statement: &Statement) -> bool {
    matches!(statement.kind, StatementKind::Term(_))
        || shape::links(statement)
            .iter()
            .all(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo))
}

/// What stands on the other side of a quantified name: a set, a name, a numeral.
fn is_simple(term: &Term) -> bool {
    shape::bare_name(term).is_some()
        || shape::is_set(&super::lexicon::as_set(term))
        || matches!(term.kind, TermKind::Number(_) | TermKind::NumberSet { .. })
}

pub(super) fn is_zero(term: &Term) -> bool {
    matches!(&term.kind, TermKind::Number(digits) if digits == "0")
}

/// The quantifier that words put before a formula.
pub(super) fn quantifier(words: &[&str]) -> Option<Quantifier> {
    words
        .iter()
        .enumerate()
        .rev()
        .find_map(|(position, word)| match *word {
            "all" | "every" | "each" | "any" => words[..position]
                .iter()
                .rev()
                .take(2)
                .any(|before| matches!(*before, "for" | "to" | "given" | "and"))
                .then_some(Quantifier::ForAll),
            "exists" | "exist" | "find" => Some(Quantifier::Exists),
            // "our assumption gives an ε > 0"
            "gives" | "yields" | "provides" => words
                .get(position + 1)
                .is_some_and(|next| matches!(*next, "a" | "an" | "some" | "us"))
                .then_some(Quantifier::Exists),
            "is" | "are" | "be" => words[..position]
                .iter()
                .rev()
                .take(2)
                .any(|before| *before == "there")
                .then_some(Quantifier::Exists),
            _ => None,
        })
}

/// Which notion the sentence names beside its quantifiers.
fn notion(context: &Context<'_>) -> Option<Notion> {
    let mut found = None;
    for word in context.tokens.iter().filter_map(|token| token.word()) {
        match word {
            "pointwise" => return Some(Notion::Pointwise),
            "uniformly" | "uniform" | "uniformity" => found = Some(Notion::Uniform),
            "cauchy" => found = found.or(Some(Notion::Cauchy)),
            _ => {}
        }
    }
    found
}
