//! What words say of a sequence of numbers as a whole: "(a_n) is increasing", "the sequence is
//! bounded below by 1".

use super::assertion::Said;
use super::entry::{Context, Reader};
use super::lexicon::Family;
use super::outline::{Assertion, Content};
use super::shape;
use super::token::TokenKind;
use super::utterance::{Group, Mode, Spoken, Utterance};
use crate::notation::elaborate::symbol;
use crate::notation::syntax::{Statement, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Relation};

/// Words between a subject and what is said of it.
const REACH: usize = 10;

/// Words that leave open whether something is said of the subject, or of what.
const OPEN: [&str; 22] = [
    "not",
    "isn't",
    "never",
    "neither",
    "nor",
    "if",
    "whether",
    "when",
    "that's",
    "which",
    "whose",
    "subsequence",
    "would",
    "might",
    "eventually",
    "finally",
    "error",
    "errors",
    "terms",
    "differences",
    "quotients",
    "ratios",
];

/// A sequence of which a clause speaks, and for which indices.
pub(super) struct Subject<'a> {
    family: Family,
    range: Option<&'a Statement>,
}

impl Subject<'_> {
    /// The sequence.
    pub(super) fn family(&self) -> &Family {
        &self.family
    }
}

impl Reader<'_> {
    /// The sequence of numbers of which the words before a token say something: the one that
    /// stands there, or "the sequence" where the argument has but one.
    pub(super) fn subject<'a>(&self, context: &Context<'a>, before: usize) -> Option<Subject<'a>> {
        let before = before.min(context.tokens.len());
        let mut words: Vec<&str> = Vec::new();
        for (at, token) in context.tokens[..before].iter().enumerate().rev() {
            if words.len() > REACH {
                return None;
            }
            match &token.kind {
                TokenKind::Word { text, .. } => {
                    if OPEN.contains(&text.as_str()) {
                        return None;
                    }
                    let named = text == "sequence"
                        && at
                            .checked_sub(1)
                            .and_then(|before| context.tokens[before].word())
                            .is_some_and(|word| matches!(word, "the" | "this" | "our" | "whole"));
                    // "The sequence (a_n) is": what it is called stands behind.
                    if named {
                        let family = self.only_sequence()?;
                        return Some(Subject {
                            family,
                            range: None,
                        });
                    }
                    // "It is decreasing" in an argument that speaks of nothing else.
                    if text == "it" && words.len() <= 8 && self.speaks_of_no_function() {
                        return Some(Subject {
                            family: self.only_sequence()?,
                            range: None,
                        });
                    }
                    words.push(text);
                }
                TokenKind::Statement(statement) => {
                    let StatementKind::Term(term) = &statement.statement.kind else {
                        return None;
                    };
                    return self.sequence_of(term);
                }
                _ => return None,
            }
        }
        None
    }

    /// The sequence as a whole that a term names: `(a_n)`, `(a_n)_{n ≥ 2}`, `a_n`.
    fn sequence_of<'a>(&self, term: &'a Term) -> Option<Subject<'a>> {
        let range = match &term.kind {
            TermKind::Sequence { index, .. } => index.as_deref(),
            TermKind::Name(_) => None,
            TermKind::Group(inner) => return self.sequence_of(inner),
            _ => return None,
        };
        let family = self.lexicon.family_of(term)?;
        let known =
            self.lexicon.is_recursive(&family.name) || self.lexicon.defines(&family.name, 1);
        (known && family.points.is_empty()).then_some(Subject { family, range })
    }

    /// The one sequence of numbers that the argument defines.
    fn only_sequence(&self) -> Option<Family> {
        let mut recursive = self.lexicon.recursive.keys();
        match (recursive.next(), recursive.next()) {
            (Some(_), Some(_)) => None,
            _ => self.lexicon.family.clone().filter(|family| {
                let known = self.lexicon.is_recursive(&family.name)
                    || self.lexicon.defines(&family.name, 1);
                known && family.points.is_empty()
            }),
        }
    }

    fn speaks_of_no_function(&self) -> bool {
        self.lexicon
            .definitions
            .iter()
            .all(|definition| definition.parameters.is_empty())
    }

    /// "(a_n) is increasing", as a relation of neighbours; false if it speaks of no such sequence.
    pub(super) fn monotone_sequence(
        &mut self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
        trend: (bool, usize),
    ) -> bool {
        let open = group.negated
            || group.doubt.is_some()
            || members
                .iter()
                .any(|(_, utterance)| utterance.mode == Mode::Condition);
        let mode = group.mode.unwrap_or(Mode::Claim);
        let said = matches!(mode, Mode::Claim | Mode::Where | Mode::Reason | Mode::Aim);
        let Some(assertion) = self.trend(context, group, trend).filter(|_| said && !open) else {
            return false;
        };
        let mode = if mode == Mode::Where {
            Mode::Claim
        } else {
            mode
        };
        let role = self.claim_role_of(context, mode);
        let span = context.group_span(group);
        let reach = members
            .last()
            .map_or(usize::MAX, |(_, utterance)| utterance.reach);
        let proto = self.push(
            context,
            None,
            span,
            Some(role),
            Content::Assertion(assertion),
        );
        self.protos[proto].reach = reach;
        true
    }

    /// "(a_n) is increasing", "the sequence is strictly decreasing", as a relation of neighbours.
    fn trend(
        &self,
        context: &Context<'_>,
        group: &Group,
        (rises, at): (bool, usize),
    ) -> Option<Assertion> {
        let subject = self.subject(context, at)?;
        let end = group.tokens.1.min(context.tokens.len());
        let strict = context.tokens[at.min(end)..end]
            .iter()
            .chain(&context.tokens[at.saturating_sub(3)..at])
            .any(|token| token.word() == Some("strictly"));
        let relation = match (rises, strict) {
            (true, true) => Relation::Greater,
            (true, false) => Relation::GreaterEqual,
            (false, true) => Relation::Less,
            (false, false) => Relation::LessEqual,
        };
        let own = &subject.family.term;
        let index = &subject.family.index;
        let later = own.substitute(index, &Expr::shifted(index, 1));
        self.of_all(&subject, later, relation, own.clone())
    }

    /// The entry of "… is bounded above by 2"; false if it is said of no sequence of numbers.
    pub(super) fn bound_told(
        &mut self,
        context: &Context<'_>,
        position: usize,
        bound: &Term,
        spoken: Spoken,
    ) -> bool {
        let utterance = &context.reading.utterances[position];
        let Spoken::Relation(relation) = spoken else {
            return false;
        };
        let Some(assertion) = self.bounded(context, utterance.token, relation, bound) else {
            return false;
        };
        let role = self.claim_role(context, utterance);
        let meaning = Ok(Said::Assertion(Box::new(assertion)));
        let span = context.group_span(context.group(utterance));
        self.said(context, position, span, role, meaning, utterance.doubt);
        self.carry = None;
        true
    }

    /// "… is bounded above by 2", of each member.
    fn bounded(
        &self,
        context: &Context<'_>,
        before: usize,
        relation: Relation,
        bound: &Term,
    ) -> Option<Assertion> {
        let words: Vec<&str> = context.words_before(before).take(4).collect();
        if !words.contains(&"bounded") || relation == Relation::Equal {
            return None;
        }
        let subject = self.subject(context, before)?;
        let bound = self.lexicon.term(bound).ok()?;
        let own = subject.family.term.clone();
        (!bound.mentions(&subject.family.index))
            .then(|| self.of_all(&subject, own, relation, bound))?
    }

    /// A relation of all members, or of those in the range that stands at the sequence.
    fn of_all(
        &self,
        subject: &Subject<'_>,
        left: Expr,
        relation: Relation,
        right: Expr,
    ) -> Option<Assertion> {
        let Some(range) = subject.range else {
            return Some(Assertion::Relation {
                left,
                relation,
                right,
            });
        };
        // "(a_n)_n" only names the index.
        if matches!(&range.kind, StatementKind::Term(term)
            if shape::bare_name(term).is_some_and(|name| symbol(name) == subject.family.index))
        {
            return Some(Assertion::Relation {
                left,
                relation,
                right,
            });
        }
        let from = self.lexicon.conditions(range).ok()?;
        Some(Assertion::Implication {
            from,
            to: vec![Condition::Holds(left, relation, right)],
            both: false,
        })
    }
}
