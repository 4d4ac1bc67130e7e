//! The sequence of which a clause without a formula speaks, or that it speaks of another.

use crate::discourse::entry::{Context, Reader};
use crate::discourse::lexicon::Family;
use crate::discourse::names::Use;
use crate::discourse::shape;
use crate::discourse::token::Token;
use crate::discourse::utterance::{Group, Mode, Utterance};
use crate::notation::syntax::{Segment, StatementKind, Term};
use crate::notation::walk;
use kernel::Symbol;

/// Nouns for what is made of a sequence and is not the sequence itself.
const OTHERS: [&str; 17] = [
    "quotient",
    "quotients",
    "integral",
    "integrals",
    "integrands",
    "derivative",
    "derivatives",
    "product",
    "products",
    "subsequence",
    "subsequences",
    "reciprocal",
    "reciprocals",
    "differences",
    "majorant",
    "majorants",
    "composition",
];

impl Reader<'_> {
    /// The sequence of which a clause speaks: the one that it names, else the argument's own.
    pub(super) fn family_in(
        &self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
    ) -> Option<Family> {
        let named_here = |utterance: &Utterance| match context
            .statement(utterance)
            .map(|statement| &statement.kind)
        {
            Some(StatementKind::Term(term)) => Some(term),
            _ => None,
        };
        // "(f_n') does not converge" speaks of a sequence of its own, known or not.
        let of_another = members.iter().any(|(_, utterance)| {
            !matches!(
                utterance.mode,
                Mode::Domain | Mode::Range | Mode::Condition | Mode::Motion
            ) && named_here(utterance).is_some_and(|term| {
                self.lexicon.family_of(term).is_none()
                    && shape::head_name(term)
                        .is_some_and(|name| name.primes > 0 || name.subscript.is_some())
            })
        });
        members
            .iter()
            .filter_map(|(_, utterance)| self.lexicon.family_of(named_here(utterance)?))
            .next()
            .or_else(|| {
                // "(q_n) is a Cauchy sequence and converges".
                let first = members
                    .first()
                    .map_or(group.tokens.0, |(_, first)| first.token);
                let subject = self.subject(context, first)?;
                Some(subject.family().clone()).filter(|_| !of_another)
            })
            .or_else(|| {
                self.lexicon
                    .family
                    .clone()
                    .filter(|family| !of_another && !self.estimates_another(context, family))
                    .filter(|family| !self.points_elsewhere(context, group, family))
            })
    }

    /// "Not uniform: put in x_n from above", where the argument has f_n and g_n: whether a
    /// sentence does not name the sequence of which it was read to speak, and others are at hand.
    pub(super) fn is_unnamed_among_others(&self, context: &Context<'_>, name: &Symbol) -> bool {
        let pointed = self
            .lexicon
            .definition(name, 1)
            .is_some_and(|own| own.parameters.len() > 1);
        let others = self.lexicon.definitions.iter().any(|known| {
            known.subscripts == 1
                && known.name != *name
                && (known.parameters.len() > 1) == pointed
                && self.is_at_hand(&known.name)
        });
        let named = context
            .reading
            .utterances
            .iter()
            .filter_map(|utterance| context.statement(utterance))
            .flat_map(shape::names_of)
            .any(|own| own.base == name.as_str());
        others && !named
    }

    /// Whether the argument speaks of a sequence: what only another part of the exercise speaks of
    /// is not meant by "the convergence".
    pub(in crate::discourse) fn is_at_hand(&self, sequence: &Symbol) -> bool {
        self.protos
            .iter()
            .any(|proto| proto.entry.names.contains(sequence))
    }

    /// "So |g(f_n) − g(f)| ≥ 2: not uniform" speaks of g ∘ f_n: what the sentence estimates is made
    /// of the argument's own sequence.
    fn estimates_another(&self, context: &Context<'_>, family: &Family) -> bool {
        let own = |term: &Term| {
            shape::names_in(term)
                .iter()
                .any(|name| name.base == family.name.as_str())
        };
        let composes = |term: &Term| {
            shape::application(term).is_some_and(|(name, arguments)| {
                name.base != family.name.as_str()
                    && self.lexicon.names.usage(name) != Use::Index
                    && arguments.iter().any(|argument| own(argument))
            })
        };
        let mut found = false;
        for utterance in &context.reading.utterances {
            if let Some(statement) = context.statement(utterance) {
                walk::statement_terms(statement, &mut |term| found |= composes(term));
            }
        }
        // "Not uniform." behind a display.
        if context.reading.utterances.is_empty()
            && let Some(last) = self.last_formula.and_then(|last| self.formulas.get(last))
        {
            for segment in &last.parsed.segments {
                walk::segment_terms(segment, &mut |term| found |= composes(term));
            }
        }
        found
    }

    /// "… = (−1)^k. This sequence has no limit": it is the last term before, which is not of the
    /// argument's own sequence.
    fn points_elsewhere(&self, context: &Context<'_>, group: &Group, family: &Family) -> bool {
        let words: Vec<&str> = context
            .group_tokens(group)
            .iter()
            .filter_map(Token::word)
            .collect();
        // "The difference quotient has no limit as x → 0."
        let of_others = words.windows(3).any(|three| {
            ["the", "these", "its", "their", "this"].contains(&three[0])
                && three[1..].iter().any(|word| OTHERS.contains(word))
        });
        if of_others {
            return true;
        }
        let pointed = words
            .windows(2)
            .any(|pair| pair[0] == "this" && ["sequence", "expression", "term"].contains(&pair[1]));
        let last = self
            .last_formula
            .and_then(|last| self.formulas.get(last))
            .and_then(|formula| formula.parsed.segments.last());
        let mut end = None;
        if let Some(Segment::Statement(statement)) = last {
            end = shape::links(statement)
                .last()
                .and_then(|link| link.right.as_ref())
                .or(shape::first_term(statement));
        }
        pointed
            && end.is_some_and(|end| {
                shape::names_in(end)
                    .iter()
                    .all(|name| name.base != family.name.as_str())
            })
    }
}
