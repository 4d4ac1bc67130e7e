//! Claims in words: "the convergence is uniform", "No", "h is increasing", "the limit is …".

mod denial;
mod estimates;
mod subject;
mod topic;

use self::denial::denies_another;
use self::topic::{is_of_the_notion, is_topic};
use super::assertion::{Said, with_domain};
use super::entry::{Context, Reader};
use super::lexicon::{Family, Lost};
use super::names::Use;
use super::outline::{Aim, Assertion, Content, Role, Slope, Zone};
use super::shape;
use super::token::{Mark, Token, TokenKind};
use super::utterance::{Group, Mode, Spoken, Utterance};
use crate::notation::syntax::{Sign, StatementKind, TermKind};
use crate::notation::unicode;
use kernel::{Expr, Relation};

/// Whether a clause only names a notion, as its topic or beside functions that have a property, and
/// claims no convergence.
fn names_only(context: &Context<'_>, group: &Group, named: bool) -> bool {
    let tokens = context.group_tokens(group);
    // "f unif. cont. on D?" asks of no convergence.
    let of_functions = |word: &str| {
        ["cont", "lipsch", "bound", "bdd", "equi"]
            .iter()
            .any(|kind| word.starts_with(kind))
    };
    if !named && tokens.iter().filter_map(Token::word).any(of_functions) {
        return true;
    }
    let words = tokens.iter().filter(|token| token.word().is_some()).count();
    let behind = context.tokens.get(group.tokens.1);
    if is_topic(tokens) || behind.is_some_and(is_of_the_notion) {
        return true;
    }
    // "(1) Uniform convergence: there is m with …" names what is used.
    let labels = behind.is_some_and(|token| token.is(Mark::Colon));
    if labels && words <= 2 && !group.negated && group.diverges.is_none() && !group.therefore {
        return true;
    }
    let of_a_limit = super::building::has_word(tokens, &["limit", "convergence", "convergent"]);
    !named && !of_a_limit && words > 8
}

impl Reader<'_> {
    /// Makes the entries of what a sentence claims in words, and notes its aims.
    pub(super) fn claims_in_words(&mut self, context: &Context<'_>) {
        for (position, group) in context.reading.groups.iter().enumerate() {
            if group.tokens.1 <= context.borrowed {
                continue;
            }
            let members: Vec<(usize, &Utterance)> = context
                .reading
                .utterances
                .iter()
                .enumerate()
                .filter(|(_, utterance)| utterance.group == position)
                .collect();
            if let Some(answer) = group.answer {
                self.answer(context, group, answer);
            }
            self.monotone(context, group, &members);
            self.limit_named(context, group, &members);
            self.convergence(context, group, &members);
            self.supposition(context, position, group);
        }
    }

    /// "Suppose it were.": a supposition of which nothing was read protects what follows.
    fn supposition(&mut self, context: &Context<'_>, position: usize, group: &Group) {
        if !matches!(group.mode, Some(Mode::Assume | Mode::Contradiction)) {
            return;
        }
        let span = context.group_span(group);
        let read = self.protos.iter().any(|proto| {
            proto.sentence == context.sentence
                && (proto.utterance.is_none() && proto.entry.span == span
                    || proto.utterance.is_some_and(|utterance| {
                        context
                            .reading
                            .utterances
                            .get(utterance)
                            .is_some_and(|utterance| {
                                utterance.group == position
                                    && !matches!(proto.entry.role, Some(Role::Mention))
                            })
                    }))
        });
        if !read && self.supposes_aim(context, group, span) {
            return;
        }
        if !read {
            let lost = Lost::because(
                "what is supposed is said in words that are not read",
                Vec::new(),
            );
            self.push(context, None, span, Some(Role::Assumption), lost.content());
        }
    }

    /// "We want |a_n| < ε. Assume this.": the wish of the sentence before is supposed.
    fn supposes_aim(&mut self, context: &Context<'_>, group: &Group, span: source::Span) -> bool {
        let words: Vec<&str> = context
            .group_tokens(group)
            .iter()
            .filter_map(Token::word)
            .collect();
        let plain = words.iter().all(|word| {
            matches!(
                *word,
                "assume"
                    | "suppose"
                    | "now"
                    | "so"
                    | "let"
                    | "us"
                    | "that"
                    | "this"
                    | "it"
                    | "is"
                    | "holds"
                    | "true"
                    | "we"
                    | "were"
                    | "had"
                    | "already"
            )
        });
        let wish = self.protos.iter().rev().find(|proto| {
            proto.sentence < context.sentence
                && proto.entry.role == Some(Role::Aim)
                && matches!(
                    proto.entry.content,
                    Content::Assertion(Assertion::Relation { .. })
                )
        });
        let near = wish.filter(|wish| plain && wish.sentence + 1 == context.sentence);
        let Some(content) = near.map(|wish| wish.entry.content.clone()) else {
            return false;
        };
        self.push(context, None, span, Some(Role::Assumption), content);
        true
    }

    fn says_tends(&self, context: &Context<'_>, members: &[(usize, &Utterance)]) -> bool {
        members.iter().any(|(_, utterance)| {
            utterance.mode != Mode::Motion
                && (matches!(utterance.spoken, Some((Spoken::Tends, _)))
                    || context.statement(utterance).is_some_and(|statement| {
                        shape::links(statement)
                            .iter()
                            .any(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo))
                    }))
        })
    }

    fn convergence(
        &mut self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
    ) {
        let named = group.converges.is_some() || group.diverges.is_some();
        if !named && group.uniform.is_none() || self.says_tends(context, members) {
            return;
        }
        let mode = group.mode.unwrap_or(Mode::Claim);
        let role = match mode {
            Mode::Claim | Mode::Where => self.claim_role_of(context, Mode::Claim),
            Mode::Reason | Mode::Aim | Mode::Assume | Mode::Contradiction | Mode::Reject => {
                self.claim_role_of(context, mode)
            }
            _ => return,
        };
        let tokens = context.group_tokens(group);
        if names_only(context, group, named) {
            return;
        }
        let ranged = members
            .iter()
            .any(|(_, utterance)| utterance.mode == Mode::Condition);
        let family = self.family_in(context, group, members);
        let spoken_of = family.as_ref().map(|family| family.name.clone());
        let uniform = group.uniform.is_some();
        if role == Role::Aim {
            self.note_asked(context, members);
        }
        let span = context.group_span(group);
        let meaning = if group.negated && denies_another(tokens) {
            Err(Lost::because(
                "it is not read what is denied here",
                Vec::new(),
            ))
        } else {
            self.series_said(context, group, members)
                .unwrap_or_else(|| self.convergence_said(context, group, members, family, uniform))
        };
        let text = self.text_of(tokens);
        let content = match meaning {
            Err(lost) => {
                if role == Role::Aim {
                    self.aims.push(Aim {
                        text,
                        span,
                        assertion: None,
                    });
                    return;
                }
                lost.content()
            }
            Ok(_) if (group.doubt.is_some() || ranged) && role == Role::Step => Lost::because(
                "the words around it leave open whether it is asserted",
                Vec::new(),
            )
            .content(),
            Ok(Said::Assertion(assertion)) => Content::Assertion(*assertion),
            Ok(Said::Nothing) => return,
        };
        if role == Role::Aim
            && let Content::Assertion(assertion) = &content
        {
            let question = tokens
                .iter()
                .chain(context.tokens)
                .any(|token| token.is(super::token::Mark::Question));
            let assertion = (!question).then(|| assertion.clone());
            self.aims.push(Aim {
                text,
                span,
                assertion,
            });
        }
        let unread = matches!(content, Content::Unread { .. });
        let role = match role {
            Role::Step if unread => None,
            Role::Step if self.concludes(context, &content) => Some(Role::Conclusion),
            other => Some(other),
        };
        let reach = members
            .first()
            .map_or(usize::MAX, |(_, utterance)| utterance.reach);
        let unnamed = matches!(content, Content::Assertion(Assertion::Convergence { .. }))
            && spoken_of.is_some_and(|name| self.is_unnamed_among_others(context, &name));
        let proto = self.push(context, None, span, role, content);
        self.protos[proto].reach = reach;
        self.protos[proto].borrowed = group.tokens.0 < context.borrowed;
        if unnamed {
            let guard = &mut self.protos[proto].entry.guard;
            guard.get_or_insert("several sequences are at hand, and it does not name this one");
        }
    }

    fn convergence_said(
        &mut self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
        family: Option<Family>,
        uniform: bool,
    ) -> Result<Said, Lost> {
        if let Some(said) = self.existence(context, group, members, family.as_ref(), uniform)? {
            return Ok(said);
        }
        let Some(family) = family else {
            return Err(Lost::because(
                "it does not tell which sequence converges",
                Vec::new(),
            ));
        };
        let own = self
            .lexicon
            .family
            .as_ref()
            .is_some_and(|own| own.name == family.name);
        if own && self.lexicon.limit.is_none() {
            self.lexicon.limit = self.limit_of_estimates(&family);
        }
        let limit = if own {
            self.lexicon.current_error(uniform).map(|error| error.limit)
        } else {
            None
        };
        let Some(limit) = limit else {
            return Err(Lost::because(
                "it does not tell to which limit",
                vec![family.name.clone()],
            ));
        };
        if uniform && family.points.is_empty() {
            return Err(Lost::because(
                "a sequence of numbers has no points in which to be uniform",
                vec![family.name.clone()],
            ));
        }
        // "On [a, ∞) with a > 0 it is uniform": the domain stands before the clause.
        let ahead = || {
            context
                .reading
                .utterances
                .iter()
                .rev()
                .skip_while(|utterance| group.tokens.0 <= utterance.token)
                .take_while(|utterance| utterance.mode != Mode::Claim)
                .find(|utterance| utterance.mode == Mode::Domain)
        };
        let stand_in = members
            .first()
            .map(|(_, utterance)| *utterance)
            .or_else(ahead)
            .cloned();
        let error = match stand_in {
            Some(utterance) => with_domain(self, context, &utterance, &family, &limit, uniform)?,
            None => self.lexicon.error_term(&family, &limit, uniform),
        };
        Ok(Said::Assertion(Box::new(Assertion::Convergence {
            error,
            negated: group.negated,
        })))
    }

    /// "Yes", "No" to a question about the convergence.
    fn answer(&mut self, context: &Context<'_>, group: &Group, answer: bool) {
        let asked = self.aims.iter().any(|aim| aim.assertion.is_none());
        let uniform = self
            .aims
            .iter()
            .any(|aim| aim.text.to_lowercase().contains("unif"));
        if !asked || context.zone == Zone::Statement || self.asks_relation {
            return;
        }
        let span = context.group_span(group);
        let Some(mut error) = self.lexicon.current_error(uniform) else {
            let lost = Lost::because("it does not tell to which limit", Vec::new());
            let proto = self.push(context, None, span, None, lost.content());
            self.protos[proto].answer = Some(answer);
            return;
        };
        self.unanswered = false;
        // "Uniform on [0, ∞)? No." answers for the set that was asked.
        match self.asked.clone() {
            Some(Ok(domain)) => {
                error.conditions.retain(|condition| {
                    let names = condition.variables();
                    !error.points.iter().any(|point| names.contains(point))
                });
                error.conditions.extend(domain);
            }
            Some(Err(lost)) => {
                self.push(context, None, span, None, lost.content());
                return;
            }
            None => {}
        }
        let content = Content::Assertion(Assertion::Convergence {
            error,
            negated: !answer,
        });
        self.push(context, None, span, Some(Role::Conclusion), content);
    }

    /// Remembers for which set a convergence is asked.
    fn note_asked(&mut self, context: &Context<'_>, members: &[(usize, &Utterance)]) {
        let points = self.lexicon.points().to_vec();
        let reach = members.first().map(|(_, utterance)| utterance.reach);
        let stated = reach
            .map(|reach| super::assertion::stated_domain(self, context, reach, &points))
            .transpose();
        let asked = match stated {
            Ok(domain) => domain.flatten().map(Ok),
            Err(lost) => Some(Err(lost)),
        };
        let several = self.unanswered && self.asked.is_some() && self.asked != asked;
        self.asked = if several {
            Some(Err(Lost::because(
                "it does not tell for which of the sets this answers",
                points,
            )))
        } else {
            asked
        };
        self.unanswered = true;
    }

    /// "On [1, ∞)?": a question that goes on from the one before.
    pub(super) fn further_question(&mut self, context: &Context<'_>) {
        let asks = context
            .tokens
            .last()
            .is_some_and(|last| last.is(Mark::Question));
        let members: Vec<(usize, &Utterance)> = context.in_mode(Mode::Domain).collect();
        if asks && self.asked.is_some() && !members.is_empty() && !context.asks_convergence() {
            self.note_asked(context, &members);
        }
    }

    /// "h is increasing on [0, 3]", as the sign of the derivative.
    fn monotone(&mut self, context: &Context<'_>, group: &Group, members: &[(usize, &Utterance)]) {
        let Some((rises, at)) = group.monotone else {
            return;
        };
        if context.zone == Zone::Statement || self.reads_signs(context) {
            return;
        }
        if self.monotone_sequence(context, group, members, (rises, at)) {
            return;
        }
        if !matches!(group.mode, None | Some(Mode::Claim | Mode::Reason)) {
            return;
        }
        let Some((_, utterance)) = members
            .iter()
            .rev()
            .find(|(_, utterance)| utterance.token < at)
        else {
            return;
        };
        if matches!(utterance.mode, Mode::Condition | Mode::Assume) || supposes(context, at) {
            return;
        }
        let span = context.group_span(group);
        let lost = |names| {
            Lost::because(
                "that something increases or decreases is not read here",
                names,
            )
            .content()
        };
        let Some(StatementKind::Term(term)) = context
            .statement(utterance)
            .map(|statement| &statement.kind)
        else {
            return;
        };
        // "The sequence (c_n(x))_n is decreasing": in n, not in x.
        let told = context.tokens.get(at + 1).and_then(Token::word) == Some("in")
            && context
                .tokens
                .get(at + 2)
                .and_then(Token::statement)
                .and_then(|token| shape::first_term(&token.statement))
                .and_then(shape::bare_name)
                .is_some_and(|name| self.lexicon.names.usage(name) == Use::Index);
        let in_index = told || matches!(term.kind, TermKind::Sequence { .. });
        let content = match self.slope(term).filter(|_| !in_index) {
            Some(slope) if group.doubt.is_none() && !group.negated => {
                let relation = if rises {
                    Relation::GreaterEqual
                } else {
                    Relation::LessEqual
                };
                Content::Assertion(Assertion::Relation {
                    left: slope,
                    relation,
                    right: Expr::integer(0),
                })
            }
            _ => lost(crate::notation::elaborate::names(term)),
        };
        let role = match (&content, group.mode) {
            (Content::Unread { .. }, _) => None,
            (_, Some(Mode::Reason)) => Some(Role::Reason),
            _ => Some(Role::Step),
        };
        let reach = utterance.reach;
        let proto = self.push(context, None, span, role, content);
        self.protos[proto].reach = reach;
        self.protos[proto].entry.derivative = true;
    }

    /// Whether a stretch on which something rises or falls was read in the sentence.
    fn reads_signs(&self, context: &Context<'_>) -> bool {
        self.protos.iter().any(|proto| {
            let Content::Assertion(Assertion::Calculus(said)) = &proto.entry.content else {
                return false;
            };
            proto.sentence == context.sentence && matches!(said.slope, Slope::Sign { .. })
        })
    }

    /// The derivative of a function by its one point.
    fn slope(&self, term: &crate::notation::syntax::Term) -> Option<Expr> {
        let name = shape::head_name(term)?;
        let own = crate::notation::elaborate::symbol(name);
        let definition = self
            .lexicon
            .definition(&own, 0)
            .filter(|definition| definition.parameters.len() == 1)
            .or_else(|| {
                let base = kernel::Symbol::new(&name.base);
                self.lexicon.definition(&base, 1).filter(|definition| {
                    definition.parameters.len() == 2 && name.subscript.is_some()
                })
            })?;
        let point = definition.parameters.last()?;
        kernel::calculus::differentiate(&definition.value, point)
    }

    /// "The limit is 0", "the pointwise limit is f(x) = x".
    fn limit_named(
        &mut self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
    ) {
        let Some((_, utterance)) = members.iter().find(|(_, utterance)| utterance.limit_is) else {
            return;
        };
        if context.zone == Zone::Statement
            || !matches!(utterance.mode, Mode::Claim | Mode::Define | Mode::Where)
        {
            return;
        }
        let Some(family) = self.lexicon.family.clone() else {
            return;
        };
        let value = match context
            .statement(utterance)
            .map(|statement| &statement.kind)
        {
            Some(StatementKind::Term(term)) => self.lexicon.limit_of(term, &family.points).ok(),
            Some(StatementKind::Chain { .. }) => self.lexicon.limit.clone(),
            _ => None,
        };
        let Some(value) = value.filter(|value| !value.mentions(&family.index)) else {
            return;
        };
        // "Answer: the limit is 1", where limits of integrals are asked for as well: of which?
        let of_integrals = !family.points.is_empty()
            && self.lexicon.limit.as_ref() != Some(&value)
            && self.formulas.iter().any(|formula| {
                let text = formula.content.text();
                text.contains("\\int") || text.contains('∫')
            });
        if of_integrals {
            return;
        }
        super::assertion::adopt(&mut self.lexicon, &family, &value);
        if group.doubt.is_some() {
            return;
        }
        let Ok(error) = with_domain(self, context, utterance, &family, &value, false) else {
            return;
        };
        let content = Content::Assertion(Assertion::Convergence {
            error,
            negated: false,
        });
        let proto = self.push(
            context,
            None,
            context.group_span(group),
            Some(Role::Step),
            content,
        );
        self.protos[proto].reach = utterance.reach;
    }

    /// Words and formulas on one line.
    pub(super) fn text_of(&self, tokens: &[Token]) -> String {
        let mut parts: Vec<String> = Vec::new();
        for token in tokens {
            match &token.kind {
                TokenKind::Word { text, .. } => {
                    let typed = self
                        .draft
                        .get(token.span.range())
                        .filter(|typed| typed.to_lowercase() == *text);
                    parts.push(typed.map_or_else(|| text.clone(), str::to_owned));
                }
                TokenKind::Statement(statement) => {
                    parts.push(unicode::statement(&statement.statement))
                }
                _ => {}
            }
        }
        parts.join(" ")
    }

    /// Notes the aims among the sentence's entries.
    pub(super) fn note_aims(&mut self, context: &Context<'_>, from: usize) {
        let mut found = Vec::new();
        for proto in &self.protos[from.min(self.protos.len())..] {
            if proto.entry.role != Some(Role::Aim) || proto.utterance.is_none() {
                continue;
            }
            let Content::Assertion(assertion) = &proto.entry.content else {
                continue;
            };
            if !matches!(
                assertion,
                Assertion::Convergence { .. } | Assertion::Limit { .. }
            ) {
                continue;
            }
            let utterance = proto
                .utterance
                .and_then(|position| context.reading.utterances.get(position));
            let tokens = utterance.map_or(context.tokens, |utterance| {
                context.group_tokens(context.group(utterance))
            });
            found.push(Aim {
                text: self.text_of(tokens),
                span: proto.entry.span,
                assertion: Some(assertion.clone()),
            });
        }
        self.aims.extend(found);
    }
}

/// Whether the words before a token only suppose what they say.
fn supposes(context: &Context<'_>, at: usize) -> bool {
    context.tokens[..at.min(context.tokens.len())]
        .iter()
        .filter_map(Token::word)
        .any(|word| matches!(word, "if" | "were" | "suppose" | "assume" | "whether"))
}
