//! Reads one argument: its sentences in order, then givens, scopes, reasons.

use super::building::{Frame, Placed};
use super::calculus;
use super::clause;
use super::entry::{Context, Reader, SentenceFacts};
use super::lexicon::{Domain, Lexicon};
use super::manner;
use super::names::{Use, is_tolerance};
use super::naming::Local;
use super::outline::{Aim, Argument, Assertion, Content, Role};
use super::shape;
use super::solving;
use super::theorem;
use super::token::{DraftFormula, Mark, Token};
use super::utterance::Mode;
use crate::notation::elaborate::{self, symbol};
use crate::notation::syntax::{Sign, StatementKind};
use source::Span;
use std::collections::BTreeSet;

/// A paragraph with fewer tokens may be a formula to which the one before it leads.
const LABEL: usize = 40;

/// Whether the sentence asks about an inequality and not about a convergence: "could one use
/// |f_n(x)| ≤ |x|/n instead?"
fn asks_relation(context: &Context<'_>) -> bool {
    let asks = context
        .tokens
        .last()
        .is_some_and(|last| last.is(Mark::Question));
    asks && !context.asks_convergence()
        && context
            .reading
            .utterances
            .iter()
            .filter_map(|utterance| context.statement(utterance))
            .flat_map(shape::links)
            .any(|link| matches!(link.sign, Sign::Relation(_)))
}

/// Reads an argument that inherits `lexicon`; gives it with what its names mean at the end and
/// where they stand.
pub(super) fn read(
    draft: &str,
    frame: &Frame,
    formulas: &[DraftFormula],
    lexicon: Lexicon,
) -> (Argument, Lexicon, Local) {
    let mut reader = Reader {
        draft,
        formulas,
        lexicon,
        protos: Vec::new(),
        sentences: Vec::new(),
        next_chain: 0,
        carry: None,
        carry_formula: None,
        last_formula: None,
        reason_carry: None,
        bare: None,
        pending: None,
        asked: None,
        unanswered: false,
        asks_relation: false,
        aims: Vec::new(),
        aim_goes_on: false,
        continuity: (false, false),
        formals: Vec::new(),
        spelled: Vec::new(),
        sets: super::compact::Sets::default(),
        denial_announced: false,
        limit_names: std::collections::BTreeSet::new(),
        meanings: super::general::Meanings::default(),
        loose_sets: Vec::new(),
        slope_spoken: None,
        patterns: Vec::new(),
    };
    reader.survey(frame);
    for placed in &frame.sentences {
        reader.sentence(placed);
    }
    reader.finish(frame)
}

impl Reader<'_> {
    /// Learns how names are used, before any sentence is read.
    fn survey(&mut self, frame: &Frame) {
        for placed in &frame.sentences {
            self.lexicon.names.learn(&placed.sentence.tokens);
            let tokens = placed.sentence.tokens.iter();
            let words: Vec<&str> = tokens.filter_map(Token::word).collect();
            let uniform = words
                .windows(2)
                .filter(|pair| pair[0].starts_with("unif"))
                .map(|pair| match pair[0] {
                    "unif" => format!("uniformly {}", pair[1]),
                    _ => pair.join(" "),
                });
            self.lexicon.words.extend(uniform);
            let notes = manner::notes(&placed.sentence.tokens);
            self.lexicon
                .words
                .extend(notes.into_iter().map(str::to_owned));
            let words = words.into_iter().map(str::to_owned);
            self.lexicon.words.extend(words);
        }
        for placed in &frame.sentences {
            self.lexicon.names.learn_thresholds(&placed.sentence.tokens);
        }
        for placed in &frame.sentences {
            self.learn_limits(&placed.sentence.tokens);
        }
        let sentences: Vec<&[Token]> = frame
            .sentences
            .iter()
            .map(|placed| placed.sentence.tokens.as_slice())
            .collect();
        self.learn_recursions(&sentences);
        self.survey_meanings(frame);
        self.survey_sets(sentences.iter().copied());
        for placed in &frame.sentences {
            for token in &placed.sentence.tokens {
                let Some(statement) = token.statement() else {
                    continue;
                };
                for name in shape::names_of(&statement.statement) {
                    let usage = self.lexicon.names.usage(name);
                    // A member of a sequence, z_n, is no number of its own.
                    if usage != Use::Other
                        && name.primes == 0
                        && name.superscript.is_none()
                        && !self.lexicon.names.is_member(name)
                    {
                        self.lexicon.declare(name);
                    }
                }
            }
        }
    }

    fn sentence(&mut self, placed: &Placed) {
        let sentence = &placed.sentence;
        self.begin_meanings(&sentence.tokens, placed.zone, placed.opens_paragraph);
        self.denial_announced &= !placed.opens_paragraph || sentence.tokens.len() < LABEL;
        let opening = if placed.headline {
            Some(Mode::Aim)
        } else {
            self.announced(sentence.span())
        };
        let mut reading = clause::read(&sentence.tokens, &self.lexicon.names, opening);
        self.note_announcement(&sentence.tokens, sentence.span());
        self.strike(&sentence.tokens, &mut reading);
        self.name_places(&sentence.tokens, placed.zone, &mut reading);
        let number = self.sentences.len();
        let goes_on = self.aim_goes_on && reading.carries_on;
        self.sentences.push(SentenceFacts {
            carries_on: reading.carries_on,
            opens_paragraph: placed.opens_paragraph,
            discharges: reading.discharges,
            cases_done: reading.cases_done,
            claims: false,
            restarts: reading.cases_done || self.restarts(&sentence.tokens, &reading),
        });
        let mut context = Context {
            formulas: self.formulas,
            tokens: &sentence.tokens,
            reading: &reading,
            zone: placed.zone,
            span: sentence_span(&sentence.tokens, placed.borrowed),
            sentence: number,
            borrowed: placed.borrowed,
            defined: Vec::new(),
            recursive: Vec::new(),
            places: Vec::new(),
            named_sets: Vec::new(),
            wish: goes_on,
        };
        if sentence.cell {
            self.cell(&context);
            return;
        }
        let from = self.protos.len();
        self.suppose_sequences(&context);
        self.look_ahead(&mut context);
        self.note_examples(&context);
        let formal = self.formal_parts(&context);
        let calculus = match &formal {
            Some(_) => calculus::Claims::default(),
            None => self.calculus_claims(&context),
        };
        for position in 0..reading.utterances.len() {
            if formal.as_ref().is_some_and(|parts| parts.holds(position)) {
                continue;
            }
            if calculus.holds(position) {
                self.calculus_at(&context, &calculus, position);
                continue;
            }
            self.utter(&context, position);
            self.calculus_at(&context, &calculus, position);
            let utterance = &reading.utterances[position];
            if !matches!(
                utterance.mode,
                Mode::Range | Mode::Condition | Mode::Motion | Mode::Domain
            ) {
                self.last_formula = context.formula(utterance);
            }
        }
        match formal {
            // What it names in words is what it spells out.
            Some(parts) => self.formal(&context, parts),
            None => self.claims_in_words(&context),
        }
        self.name_general_term(&context);
        self.note_slope(&context);
        self.note_spelled(&context);
        self.note_compactness(&context, placed.opens_paragraph);
        self.note_continuity(&sentence.tokens, placed.zone);
        self.guard(&context, from, placed.opens_paragraph);
        self.further_question(&context);
        self.asks_relation = asks_relation(&context);
        self.note_aims(&context, from.min(self.protos.len()));
        self.aim_goes_on = self.ends_in_wish(&context, from, goes_on);
        self.note_patterns(&sentence.tokens);
    }

    /// What a table's cell says stands under the heads of its row and column, which are not read.
    fn cell(&mut self, context: &Context<'_>) {
        for (position, utterance) in context.reading.utterances.iter().enumerate() {
            let Some(statement) = context.statement(utterance) else {
                continue;
            };
            let whole = self.place(context, utterance, &statement.range);
            if matches!(statement.kind, StatementKind::Term(_)) {
                let mention = Some(Role::Mention);
                self.push(context, Some(position), whole, mention, Content::Mention);
            } else {
                let lost = self
                    .lexicon
                    .lost(statement, "what a table says in its cells is not read");
                // "[0, q] with fixed 0 < q < 1": something is known of q, whoever uses it.
                for name in shape::names_of(statement) {
                    let own = symbol(name);
                    if self.lexicon.names.usage(name) == Use::Other {
                        self.lexicon.domains.entry(own).or_insert_with(|| Domain {
                            unread: Some(lost.reason.clone()),
                            ..Domain::default()
                        });
                    }
                }
                self.push(context, Some(position), whole, None, lost.content());
            }
        }
    }

    /// Whether the sentence's last relation is a wish about the tolerance.
    fn ends_in_wish(&self, context: &Context<'_>, from: usize, before: bool) -> bool {
        let last = context.reading.utterances.iter().rev().find(|utterance| {
            context
                .statement(utterance)
                .is_some_and(|statement| !shape::links(statement).is_empty())
        });
        let Some(last) = last else {
            return before && context.reading.utterances.is_empty();
        };
        let tolerant = context.statement(last).is_some_and(|statement| {
            shape::names_of(statement)
                .iter()
                .any(|name| is_tolerance(&name.base))
        });
        let wished = last.mode == Mode::Aim
            || self.protos[from.min(self.protos.len())..]
                .iter()
                .rev()
                .find(|proto| proto.utterance.is_some())
                .is_some_and(|proto| proto.entry.role == Some(Role::Aim));
        tolerant && wished
    }

    /// Whether a sentence begins a new line of thought: it introduces the tolerance or supposes
    /// something, so that ranges of the sentences before are over.
    fn restarts(&self, tokens: &[Token], reading: &super::utterance::Reading) -> bool {
        reading
            .groups
            .iter()
            .any(|group| matches!(group.mode, Some(Mode::Assume | Mode::Contradiction)))
            || reading.utterances.iter().any(|utterance| {
                matches!(utterance.mode, Mode::Let | Mode::Range | Mode::Choose)
                    && tokens
                        .get(utterance.token)
                        .and_then(Token::statement)
                        .is_some_and(|token| {
                            shape::restriction(&token.statement).is_some_and(|restriction| {
                                restriction
                                    .names
                                    .iter()
                                    .any(|name| is_tolerance(&name.base))
                            })
                        })
            })
    }

    /// Crossed-out text is rejected, whatever it says.
    fn strike(&self, tokens: &[Token], reading: &mut super::utterance::Reading) {
        for utterance in &mut reading.utterances {
            if tokens
                .get(utterance.token)
                .is_some_and(|token| token.style.struck)
            {
                utterance.mode = Mode::Reject;
                utterance.link = None;
            }
        }
    }

    fn note_patterns(&mut self, tokens: &[Token]) {
        let formulas: BTreeSet<usize> = tokens
            .iter()
            .filter_map(Token::statement)
            .map(|statement| statement.formula)
            .collect();
        for formula in formulas {
            let Some(formula) = self.formulas.get(formula) else {
                continue;
            };
            for (pattern, range) in
                elaborate::patterns_in(&formula.parsed, &self.lexicon.vocabulary)
            {
                if !self.patterns.iter().any(|(known, _)| *known == pattern) {
                    self.patterns.push((pattern, formula.place(&range)));
                }
            }
        }
    }

    fn finish(mut self, frame: &Frame) -> (Argument, Lexicon, Local) {
        self.resolve();
        self.late_answers();
        self.contradictions();
        self.aims.sort_by_key(|aim| aim.span.start);
        let aim = self.main_aim();
        let error = match aim.as_ref().and_then(|aim| aim.assertion.as_ref()) {
            Some(Assertion::Convergence { error, .. }) => Some(error.clone()),
            _ => self.concluded().or_else(|| {
                let uniform = self
                    .aims
                    .iter()
                    .any(|aim| aim.text.to_lowercase().contains("unif"));
                self.general_error(uniform)
                    .or_else(|| self.lexicon.current_error(uniform))
            }),
        };
        let aim = aim.map(|mut aim| {
            let question = aim.assertion.is_none() && self.answered();
            if aim.assertion.is_none()
                && !question
                && let Some(error) = &error
            {
                aim.assertion = self.assertion_of_words(&aim, error);
            }
            aim
        });
        for proto in &self.protos {
            if matches!(
                proto.entry.role,
                Some(Role::Step | Role::Reason | Role::Conclusion)
            ) {
                self.sentences[proto.sentence].claims = true;
            }
        }
        self.lexicon
            .limits_before
            .extend(self.limit_names.iter().cloned());
        self.find_scopes();
        if self.suppose_aims(error.as_ref()) {
            self.find_scopes();
        }
        self.reasons();
        let names = self.local_names(frame);
        let givens = self.givens();
        let entries = self.given_out();
        let runs = solving::runs(&entries, error.as_ref());
        let span = frame
            .sentences
            .iter()
            .map(|placed| sentence_span(&placed.sentence.tokens, placed.borrowed))
            .reduce(Span::to)
            .unwrap_or_default();
        let pattern_set = self.patterns.iter().map(|(pattern, _)| *pattern).collect();
        let argument = Argument {
            title: frame.title.clone(),
            span,
            aim,
            error,
            definitions: self.lexicon.definitions.clone(),
            recursions: self.lexicon.recursions(),
            limits: self.limit_names.iter().cloned().collect(),
            givens,
            entries,
            words: self.lexicon.words.clone(),
            exchanges: super::exchange::exchanges(frame),
            endless_integral: super::exchange::runs_endlessly(frame),
            uniform_continuity: self.continuity.0 && !self.continuity.1,
            formals: self.formals,
            spelled: self.spelled,
            lacking: self.sets.lacking,
            alternating_comparison: theorem::compares_alternating(frame, self.draft),
            composed_limit: theorem::composes_limits(frame),
            supremum_below: theorem::bounds_supremum_strictly(frame, self.draft),
            runs,
            patterns: self.patterns,
            pattern_set,
        };
        (argument, self.lexicon, names)
    }

    /// The inequality or equation that the statement claims.
    fn stated_relation(&self) -> Option<Aim> {
        self.protos
            .iter()
            .find_map(|proto| match &proto.entry.content {
                Content::Assertion(assertion)
                    if proto.entry.role == Some(Role::Aim)
                        && proto.entry.zone == super::outline::Zone::Statement =>
                {
                    let typed = self.draft.get(proto.entry.span.range()).unwrap_or_default();
                    Some(Aim {
                        text: typed.split_whitespace().collect::<Vec<_>>().join(" "),
                        span: proto.entry.span,
                        assertion: Some(assertion.clone()),
                    })
                }
                _ => None,
            })
    }

    /// What the argument says it has shown, where it states no aim.
    fn concluded(&self) -> Option<super::outline::ErrorTerm> {
        self.protos
            .iter()
            .find_map(|proto| match (&proto.entry.role, &proto.entry.content) {
                (
                    Some(Role::Conclusion),
                    Content::Assertion(Assertion::Convergence { error, .. }),
                ) => Some(error.clone()),
                _ => None,
            })
    }

    fn answered(&self) -> bool {
        self.aims.iter().any(|aim| aim.text.ends_with('?'))
    }

    fn assertion_of_words(
        &self,
        aim: &Aim,
        error: &super::outline::ErrorTerm,
    ) -> Option<Assertion> {
        let text = aim.text.to_lowercase();
        let open = ["whether", "is the", "does", "do ", "disprove", "?"]
            .iter()
            .any(|word| text.contains(word));
        let negated = text.starts_with("not ")
            || text.starts_with("no ")
            || [" not ", " no ", "isn't", "doesn't", "fails"]
                .iter()
                .any(|word| text.contains(word));
        let pointwise = text.contains("pointwise");
        (!(open || negated && pointwise)).then(|| Assertion::Convergence {
            error: error.clone(),
            negated,
        })
    }

    /// The aim that the argument is about: uniform before pointwise, stated before proved.
    fn main_aim(&self) -> Option<Aim> {
        let uniform = |aim: &&Aim| match &aim.assertion {
            Some(Assertion::Convergence { error, .. }) => error.uniform,
            _ => false,
        };
        let uniform_words = |aim: &&Aim| aim.text.to_lowercase().contains("unif");
        self.aims
            .iter()
            .find(uniform)
            .or_else(|| self.aims.iter().find(uniform_words))
            .or_else(|| {
                self.aims
                    .iter()
                    .find(|aim| matches!(aim.assertion, Some(Assertion::Convergence { .. })))
            })
            .or_else(|| self.aims.iter().find(|aim| aim.assertion.is_some()))
            .or_else(|| self.aims.first())
            .cloned()
            .or_else(|| self.stated_relation())
    }

    /// "No." before the limit was named: its meaning is known at the end.
    fn late_answers(&mut self) {
        let uniform = self
            .aims
            .iter()
            .any(|aim| aim.text.to_lowercase().contains("unif"));
        let Some(error) = self.lexicon.current_error(uniform) else {
            return;
        };
        for proto in &mut self.protos {
            if let Some(answer) = proto.answer {
                proto.entry.role = Some(Role::Conclusion);
                proto.entry.content = Content::Assertion(Assertion::Convergence {
                    error: error.clone(),
                    negated: !answer,
                });
            }
        }
    }

    /// A supposition from which a contradiction follows is rejected.
    fn contradictions(&mut self) {
        for sentence in 0..self.sentences.len() {
            if !self.sentences[sentence].discharges {
                continue;
            }
            let suppositions: Vec<usize> = (0..self.protos.len())
                .filter(|position| {
                    let proto = &self.protos[*position];
                    proto.entry.role == Some(Role::Assumption)
                        && !proto.case
                        && proto.sentence <= sentence
                })
                .collect();
            let convergence = suppositions.iter().rev().find(|position| {
                matches!(
                    self.protos[**position].entry.content,
                    Content::Assertion(Assertion::Convergence { .. }) | Content::Unread { .. }
                )
            });
            if let Some(position) = convergence.or(suppositions.last()).copied() {
                self.protos[position].entry.role = Some(Role::Rejected);
            }
        }
    }

    /// Ties reasons to their claims.
    fn reasons(&mut self) {
        let claims = |proto: &super::entry::Proto| {
            matches!(
                proto.entry.role,
                Some(Role::Step | Role::Conclusion | Role::Choice)
            )
        };
        for position in 0..self.protos.len() {
            if self.protos[position].entry.role != Some(Role::Reason) {
                continue;
            }
            let sentence = self.protos[position].sentence;
            let here = |other: &usize| self.protos[*other].sentence == sentence;
            let before = (0..position)
                .rev()
                .take_while(here)
                .find(|other| claims(&self.protos[*other]));
            let after = (position + 1..self.protos.len())
                .take_while(here)
                .find(|other| claims(&self.protos[*other]));
            self.protos[position].entry.reason_for = before.or(after);
        }
    }

    /// The entries in the order of the text, without those repeated from the head.
    fn given_out(&mut self) -> Vec<super::outline::Entry> {
        let mut order: Vec<usize> = (0..self.protos.len())
            .filter(|position| !self.protos[*position].borrowed)
            .collect();
        order.sort_by_key(|position| {
            let span = self.protos[*position].entry.span;
            (span.start, span.end, *position)
        });
        let mut place = vec![usize::MAX; self.protos.len()];
        for (new, old) in order.iter().enumerate() {
            place[*old] = new;
        }
        order
            .iter()
            .map(|old| {
                let mut entry = self.protos[*old].entry.clone();
                entry.scope = entry
                    .scope
                    .iter()
                    .map(|position| place[*position])
                    .filter(|position| *position != usize::MAX)
                    .collect();
                entry.scope.sort_unstable();
                entry.reason_for = entry
                    .reason_for
                    .map(|position| place[position])
                    .filter(|position| *position != usize::MAX);
                entry
            })
            .collect()
    }
}

/// The span of a sentence's own tokens.
fn sentence_span(tokens: &[Token], borrowed: usize) -> Span {
    tokens[borrowed.min(tokens.len())..]
        .iter()
        .map(|token| token.span)
        .filter(|span| !span.is_empty())
        .reduce(Span::to)
        .unwrap_or_default()
}
