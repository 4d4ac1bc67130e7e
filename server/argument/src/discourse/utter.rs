//! From utterances to entries: the role that a statement plays, and its content.

mod binding;
mod carry;
mod choice;
mod claim;
mod letting;
pub(super) mod link;
mod name;
mod power;
mod row;
mod scaling;
mod spoken;

use super::assertion::{Said, link, motion_said};
use super::entry::{Carry, Context, Operand, Pending, Reader};
use super::lexicon::Lost;
use super::names::Use;
use super::outline::{
    Assertion, Binding, Bound, Content, Introduction, LimitValue, Role, Toward, Zone,
};
use super::phrase::Family;
use super::said_shape::is_membership;
use super::shape;
use super::token::{Mark, Token, TokenKind};
use super::utterance::{Left, Mode, Spoken, Utterance};
use crate::notation::elaborate::{self, symbol};
use crate::notation::syntax::{Link, Name, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Kind, Relation, Symbol};
use source::Span;

impl Reader<'_> {
    /// Makes the entries of one utterance.
    pub(super) fn utter(&mut self, context: &Context<'_>, position: usize) {
        let utterance = &context.reading.utterances[position];
        let Some(statement) = context.statement(utterance) else {
            return;
        };
        let whole = self.place(context, utterance, &statement.range);
        if belongs_to(context, utterance.token) {
            let mention = Some(Role::Mention);
            self.push(context, Some(position), whole, mention, Content::Mention);
            return;
        }
        match &statement.kind {
            StatementKind::Unread(reason) => {
                let content = self.unread(context, utterance, statement, reason);
                self.push(context, Some(position), whole, None, content);
            }
            StatementKind::Mapping { .. } => {
                self.push(
                    context,
                    Some(position),
                    whole,
                    Some(Role::Definition),
                    Content::Mention,
                );
            }
            StatementKind::MapsTo { .. } => {
                let content = match self.defined_at(context, position) {
                    Some(definition) => Content::Definition(definition),
                    None => self.unread(
                        context,
                        utterance,
                        statement,
                        "it does not tell which function this defines",
                    ),
                };
                self.push(
                    context,
                    Some(position),
                    whole,
                    Some(Role::Definition),
                    content,
                );
            }
            StatementKind::Term(term) => self.term(context, position, term, whole),
            // "The < becomes ≤ in the limit": the sign itself is spoken of.
            StatementKind::Chain { first: None, links }
                if matches!(links.as_slice(), [link] if link.right.is_none())
                    && context
                        .tokens
                        .get(utterance.token.wrapping_sub(1))
                        .is_some_and(|before| before.word().is_some()) =>
            {
                let mention = Some(Role::Mention);
                self.push(context, Some(position), whole, mention, Content::Mention);
            }
            StatementKind::Chain { .. } if context.named_sets.contains(&position) => {
                let defines = Some(Role::Definition);
                self.push(context, Some(position), whole, defines, Content::Mention);
            }
            // "n → n + 1": names the step of an induction.
            StatementKind::Chain {
                first: Some(first),
                links,
            } if self.is_induction_step(first, links) => {
                let mention = Some(Role::Mention);
                self.push(context, Some(position), whole, mention, Content::Mention);
            }
            StatementKind::Chain { links, .. } => {
                let before = self.carry.as_ref().map(|carry| carry.operand.span);
                self.chain(context, position, statement, whole);
                let after = self.carry.as_ref().map(|carry| carry.operand.span);
                if before == after {
                    self.carry_from(context, position, links);
                }
            }
            StatementKind::Quantified { .. } | StatementKind::Connected { .. } => {
                let content = self.unread(
                    context,
                    utterance,
                    statement,
                    "quantifiers are nested here in a way that is not read",
                );
                self.push(context, Some(position), whole, None, content);
            }
        }
    }

    /// `n → n + 1`
    fn is_induction_step(&self, first: &Term, links: &[Link]) -> bool {
        let [link] = links else {
            return false;
        };
        let (Some(name), Some(right)) = (shape::bare_name(first), &link.right) else {
            return false;
        };
        let next = self
            .lexicon
            .term(right)
            .ok()
            .and_then(|right| right.as_shift());
        link.sign == Sign::TendsTo
            && self.lexicon.names.usage(name) == Use::Index
            && next.is_some_and(|(own, by)| own == Some(symbol(name)) && by == 1)
    }

    fn unread(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &Statement,
        reason: &str,
    ) -> Content {
        let unknown = context
            .formula(utterance)
            .and_then(|formula| self.formulas.get(formula))
            .and_then(|formula| formula.unknown_macros.first().cloned());
        let reason = match unknown {
            Some(name) if !reason.contains(&name) => {
                format!("{reason}; the macro {name} is defined nowhere")
            }
            _ => reason.to_owned(),
        };
        Content::Unread {
            reason,
            names: elaborate::statement_names(statement),
        }
    }

    pub(super) fn defined_at(&self, context: &Context<'_>, position: usize) -> Option<usize> {
        context
            .defined
            .iter()
            .find(|ahead| ahead.utterance == position)
            .map(|ahead| ahead.definition)
    }

    /// An operand with its value.
    pub(super) fn operand(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        term: &Term,
    ) -> Operand {
        Operand {
            term: term.clone(),
            value: self.lexicon.term(term),
            span: self.place(context, utterance, &term.range),
        }
    }

    // Terms

    fn term(&mut self, context: &Context<'_>, position: usize, term: &Term, whole: Span) {
        let before = self.protos.len();
        self.said_of_term(context, position, term, whole);
        if scaling::scales(context, &context.reading.utterances[position])
            && let Ok(factor) = self.lexicon.term(term)
            && let Some(proto) = self.protos.get_mut(before)
        {
            proto.entry.scales = Some(factor);
        }
    }

    fn said_of_term(&mut self, context: &Context<'_>, position: usize, term: &Term, whole: Span) {
        let utterance = &context.reading.utterances[position];
        if let Some((spoken, left)) = utterance.spoken {
            self.spoken(context, position, term, spoken, left, whole);
            return;
        }
        if let Some(relation) = utterance.zero {
            let left = self.operand(context, utterance, term);
            let zero = zero_operand(whole);
            let meaning = link(
                self,
                context,
                utterance,
                &left,
                Sign::Relation(relation),
                &zero,
            );
            let role = self.claim_role(context, utterance);
            self.said(context, position, whole, role, meaning, utterance.doubt);
            return;
        }
        if self.completes(context, position, term, whole) {
            return;
        }
        if !matches!(
            utterance.mode,
            Mode::Domain | Mode::Range | Mode::Condition | Mode::Let
        ) && !utterance.aside
        {
            self.bare = Some((
                context.sentence,
                position,
                self.operand(context, utterance, term),
            ));
        }
        let names = shape::bare_names(term);
        match (utterance.mode, names) {
            (Mode::Range | Mode::Condition, Some(names)) if !names.is_empty() => {
                self.range_of_names(context, position, &names, whole);
            }
            (Mode::Where, Some(names)) if self.restricts_in_words(context, utterance, &names) => {
                self.let_names(context, position, &names, whole);
            }
            (Mode::Let, Some(names)) => self.let_names(context, position, &names, whole),
            (Mode::Choose | Mode::Exists, Some(names)) => {
                self.choose_names(context, position, &names, whole)
            }
            // "Apply this with ε/2 and obtain N with …": picked by what gives it.
            (Mode::Claim, Some(names))
                if context.zone != Zone::Statement
                    && names.iter().all(|name| {
                        self.lexicon.names.usage(name) == Use::Threshold
                            && !self.is_bound(&symbol(name), context.zone)
                    })
                    && context
                        .tokens
                        .get(utterance.token + 1)
                        .is_some_and(|next| matches!(next.word(), Some("with" | "such"))) =>
            {
                self.choose_names(context, position, &names, whole);
            }
            (Mode::Domain, _) => self.domain(context, position, term, whole),
            (Mode::Range, None) => {
                let lost =
                    Lost::because("it is not read how far this goes", elaborate::names(term));
                self.push(
                    context,
                    Some(position),
                    whole,
                    Some(Role::Range),
                    lost.content(),
                );
            }
            _ => {
                self.push(
                    context,
                    Some(position),
                    whole,
                    Some(Role::Mention),
                    Content::Mention,
                );
            }
        }
    }

    /// A term that completes a chain which ended with its relation.
    fn completes(
        &mut self,
        context: &Context<'_>,
        position: usize,
        term: &Term,
        whole: Span,
    ) -> bool {
        let utterance = &context.reading.utterances[position];
        if matches!(
            utterance.mode,
            Mode::Domain | Mode::Range | Mode::Condition | Mode::Motion
        ) || utterance.aside
        {
            return false;
        }
        let Some(pending) = self.pending.take() else {
            return false;
        };
        let right = self.operand(context, utterance, term);
        let meaning = link(
            self,
            context,
            utterance,
            &pending.operand,
            pending.sign,
            &right,
        );
        let span = pending.start.to(right.span);
        let content = content_of(meaning, utterance.doubt);
        if let Some(proto) = self.protos.get_mut(pending.proto) {
            proto.entry.span = span;
            proto.entry.content = content;
        }
        let _ = whole;
        self.carry = Some(Carry {
            operand: right,
            chain: (pending.chain.0, pending.chain.1 + 1),
        });
        self.carry_formula = context.formula(utterance);
        true
    }

    // Chains

    fn chain(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        if self.defined_at(context, position).is_some() {
            self.definition(context, position, statement);
            return;
        }
        if context.recursive.contains(&position) {
            self.recursion_told(context, position, statement, whole);
            return;
        }
        match utterance.mode {
            Mode::Motion => {
                let content = match motion_said(&self.lexicon, statement) {
                    Some((variable, toward)) => Content::Motion { variable, toward },
                    None => Content::Mention,
                };
                self.push(context, Some(position), whole, Some(Role::Mention), content);
            }
            Mode::Range | Mode::Condition | Mode::Domain => {
                self.range(context, position, statement, whole)
            }
            Mode::Let => self.let_statement(context, position, statement, whole),
            Mode::Choose | Mode::Exists => self.choose(context, position, statement, whole),
            Mode::Define => self.define(context, position, statement, whole),
            Mode::Where => self.where_statement(context, position, statement, whole),
            Mode::Assume => self.assume(context, position, statement, whole, Role::Assumption),
            Mode::Contradiction => self.assume(context, position, statement, whole, Role::Rejected),
            Mode::Reject => self.links(context, position, statement, Role::Rejected),
            Mode::Claim => self.claim(context, position, statement, whole),
            Mode::Reason if self.is_place(statement) => {
                let lost = self
                    .lexicon
                    .lost(statement, "it is not read how far this goes");
                let range = Some(Role::Range);
                self.push(context, Some(position), whole, range, lost.content());
            }
            Mode::Reason => self.links(context, position, statement, Role::Reason),
            Mode::Aim => self.wish(context, position, statement),
        }
    }

    /// "from n = 5 on": an index or point set to a value gives no reason.
    fn is_place(&self, statement: &Statement) -> bool {
        shape::restriction(statement).is_some_and(|restriction| {
            restriction.sign == Sign::Relation(Relation::Equal)
                && restriction
                    .names
                    .iter()
                    .all(|name| matches!(self.lexicon.names.usage(name), Use::Index | Use::Point))
        })
    }

    /// A claim that was not read step by step still ends somewhere: a row that begins with its
    /// relation goes on from there, not from an older chain.
    fn carry_from(&mut self, context: &Context<'_>, position: usize, links: &[Link]) {
        let utterance = &context.reading.utterances[position];
        let Some(right) = links.last().and_then(|link| link.right.as_ref()) else {
            return;
        };
        if utterance.aside
            || utterance.mode != Mode::Claim
            || row::remarks_on_its_row(context, utterance)
            || self.is_bracketed(context, utterance)
        {
            return;
        }
        // "from n = 3 on. Together ≤ …", "at the point x = n this is …": no estimate goes on from
        // a place.
        let place = utterance.place
            || context
                .statement(utterance)
                .is_some_and(|statement| links.len() == 1 && self.is_place(statement));
        if place {
            self.carry = None;
            return;
        }
        let operand = self.operand(context, utterance, right);
        self.next_chain += 1;
        self.carry = Some(Carry {
            operand,
            chain: (self.next_chain - 1, 0),
        });
        self.carry_formula = context.formula(utterance);
    }

    /// A chain of which a link names something; its other links are asserted.
    fn definition(&mut self, context: &Context<'_>, position: usize, statement: &Statement) {
        let utterance = &context.reading.utterances[position];
        let role = match utterance.mode {
            Mode::Let | Mode::Define | Mode::Where | Mode::Choose => {
                self.claim_role_of(context, Mode::Claim)
            }
            mode => self.claim_role_of(context, mode),
        };
        self.links(context, position, statement, role);
    }

    // Roles of claims

    // Links
}

/// The statement with a carried left operand where it begins with its relation.
fn complete(statement: &Statement, carried: Option<&Term>) -> Statement {
    let mut statement = statement.clone();
    if let StatementKind::Chain {
        first: first @ None,
        ..
    } = &mut statement.kind
    {
        *first = carried.cloned();
    }
    statement
}

fn content_of(meaning: Result<Said, Lost>, doubt: Option<&'static str>) -> Content {
    match (meaning, doubt) {
        (Ok(Said::Nothing), _) => Content::Mention,
        (Ok(Said::Assertion(assertion)), None) => Content::Assertion(*assertion),
        (Ok(Said::Assertion(assertion)), Some(doubt)) => Content::Unread {
            reason: doubt.to_owned(),
            names: names_in(&assertion),
        },
        (Err(lost), _) => lost.content(),
    }
}

fn names_in(assertion: &Assertion) -> Vec<Symbol> {
    match assertion {
        Assertion::Relation { left, right, .. } => {
            let mut names = left.variables();
            names.extend(right.variables());
            names.into_iter().collect()
        }
        _ => Vec::new(),
    }
}

fn introduction(utterance: &Utterance) -> Introduction {
    if utterance.mode == Mode::Exists {
        Introduction::Existing
    } else {
        Introduction::Chosen
    }
}

/// The set of `x ∈ D`.
pub(super) fn membership_set(statement: &Statement) -> Option<&Term> {
    let link = shape::links(statement).first()?;
    (link.sign == Sign::In)
        .then_some(link.right.as_ref())
        .flatten()
}

/// "x be any point of [0, 3]": the set behind the name.
fn set_behind<'a>(context: &Context<'a>, position: usize) -> Option<&'a Term> {
    let between = [
        "be",
        "is",
        "any",
        "a",
        "an",
        "point",
        "points",
        "number",
        "numbers",
        "arbitrary",
        "real",
        "two",
        "three",
        "both",
        "in",
        "of",
        "from",
        "the",
        "interval",
        "element",
        "elements",
        "member",
        "members",
        "set",
        "fixed",
        "given",
        "some",
        "inside",
        "taken",
        "belongs",
        "to",
        "lies",
        "domain",
        "runs",
        "through",
        "all",
    ];
    let utterance = context.last_of_list(context.reading.utterances.get(position)?);
    let next = context
        .reading
        .utterances
        .iter()
        .find(|next| next.token > utterance.token)?;
    let words = context.tokens.get(utterance.token + 1..next.token)?;
    let joined = !words.is_empty()
        && words
            .iter()
            .all(|token| token.word().is_some_and(|word| between.contains(&word)))
        && words.iter().any(|token| {
            token.word().is_some_and(|word| {
                ["in", "of", "from", "to", "through", "inside", "all"].contains(&word)
            })
        });
    let StatementKind::Term(set) = &context.statement(next)?.kind else {
        return None;
    };
    (joined && shape::is_set(&super::lexicon::as_set(set))).then_some(set)
}

/// The set in which the announced object lies: `N ∈ ℕ` in "choose N ∈ ℕ with …".
fn subject_set<'a>(context: &Context<'a>, utterance: &Utterance) -> Option<&'a Term> {
    utterance.subjects.iter().find_map(|subject| {
        let subject = context.reading.utterances.get(*subject)?;
        membership_set(context.statement(subject)?)
    })
}

fn mentions_tolerance(statement: &Statement) -> bool {
    shape::names_of(statement)
        .iter()
        .any(|name| super::names::is_tolerance(&name.base))
}

/// n ≥ 1
pub(super) fn at_least_one(name: &Symbol) -> Condition {
    Condition::Holds(
        Expr::variable(name),
        Relation::GreaterEqual,
        Expr::integer(1),
    )
}

/// Whether every condition sets its left side equal to something integer-valued.
fn integer_valued(conditions: &[Condition]) -> bool {
    conditions.iter().all(|condition| match condition {
        Condition::Holds(_, Relation::Equal, value) => kernel::goal::is_integer(value, &|name| {
            ["n", "m", "k", "N"].contains(&name.as_str())
                || name.as_str().starts_with("N_")
                || name.as_str().starts_with("n_")
        }),
        _ => false,
    })
}

fn end_of(span: Span) -> Span {
    Span::new(span.end, span.end)
}

fn zero_operand(span: Span) -> Operand {
    Operand {
        term: Term {
            kind: TermKind::Number("0".to_owned()),
            range: 0..0,
        },
        value: Ok(Expr::integer(0)),
        span: end_of(span),
    }
}

/// Adds conditions that are not there yet.
fn join(conditions: &mut Vec<Condition>, more: Vec<Condition>) {
    for condition in more {
        if !conditions.contains(&condition) {
            conditions.push(condition);
        }
    }
}

/// Whether the content introduces the name.
fn binds(content: &Content, name: &Symbol) -> bool {
    matches!(content, Content::Binding(binding) if binding.bound.iter().any(|bound| bound.name == *name))
}

/// "The N which belongs to ε = 1/2": the formula tells which N is meant, and claims nothing.
fn belongs_to(context: &Context<'_>, token: usize) -> bool {
    let mut before = context.words_before(token);
    before.next() == Some("to")
        && before.next().is_some_and(|word| {
            [
                "belongs",
                "belong",
                "belonging",
                "corresponds",
                "correspond",
                "corresponding",
            ]
            .contains(&word)
        })
}
