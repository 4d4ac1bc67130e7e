//! Entries before their scopes are known, and the state of reading one argument.

use super::lexicon::Lexicon;
use super::minimal::{with_least, with_size_in_words};
use super::outline::{Aim, Content, Entry, Role, Zone};
use super::shape;
use super::token::{DraftFormula, Token, is_of_list};
use super::utterance::{Group, Mode, Reading, Utterance};
use crate::notation::elaborate;
use crate::notation::syntax::{Statement, StatementKind, Term, TermKind};
use crate::notation::walk::first_foreign;
use kernel::{Expr, Symbol};
use source::Span;

use super::lexicon::Lost;

/// An entry with what decides its scope.
#[derive(Clone, Debug)]
pub(super) struct Proto {
    /// The entry; its scope is still empty.
    pub(super) entry: Entry,
    /// Which sentence of the argument.
    pub(super) sentence: usize,
    /// Which utterance of the sentence, `None` for claims in words.
    pub(super) utterance: Option<usize>,
    /// The token of its sentence that holds its formula.
    pub(super) token: Option<usize>,
    /// The stretch of the sentence that a range behind a claim governs.
    pub(super) reach: usize,
    /// A range behind what it governs.
    pub(super) backward: bool,
    /// A case of a case distinction.
    pub(super) case: bool,
    /// Repeated from the exercise's head: is not given out.
    pub(super) borrowed: bool,
    /// Names that it introduces or restricts, for the order of rebinding.
    pub(super) speaks_of: Vec<Symbol>,
    /// Belongs to an aim, a definition or a rejected clause: governs nothing later.
    pub(super) local: bool,
    /// Said with "if": governs its sentence, not the paragraph.
    pub(super) conditional: bool,
    /// "Yes" or "No" to the question of the aim.
    pub(super) answer: Option<bool>,
    /// The aim, supposed in order to solve it for a threshold: no choice rests on it.
    pub(super) wished: bool,
}

/// What is known of a sentence for scopes.
#[derive(Clone, Copy, Debug)]
pub(super) struct SentenceFacts {
    /// It carries on the sentence before (so, hence, then).
    pub(super) carries_on: bool,
    /// First of its paragraph.
    pub(super) opens_paragraph: bool,
    /// A contradiction is reached in it.
    pub(super) discharges: bool,
    /// It ends a case distinction.
    pub(super) cases_done: bool,
    /// It begins a new line of thought: ranges of earlier sentences are over.
    pub(super) restarts: bool,
    /// It asserts something: "if 1/n < ε we are done" does not, and binds nothing later.
    pub(super) claims: bool,
}

/// An operand with its value.
#[derive(Clone, Debug)]
pub(super) struct Operand {
    /// As written.
    pub(super) term: Term,
    /// Its value, or why there is none.
    pub(super) value: Result<Expr, Lost>,
    /// Where it stands.
    pub(super) span: Span,
}

/// The right end of the chain before, for chains that begin with a relation.
#[derive(Clone, Debug)]
pub(super) struct Carry {
    /// The operand.
    pub(super) operand: Operand,
    /// Its chain, and the position of the next link.
    pub(super) chain: (usize, usize),
}

/// A chain that ended with its relation.
#[derive(Clone, Debug)]
pub(super) struct Pending {
    /// The left operand.
    pub(super) operand: Operand,
    /// The sign.
    pub(super) sign: crate::notation::syntax::Sign,
    /// Where the link begins.
    pub(super) start: Span,
    /// Its chain and position.
    pub(super) chain: (usize, usize),
    /// The entry that waits for its right side.
    pub(super) proto: usize,
}

/// A definition that was found before the sentence's entries are made.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ahead {
    /// The utterance that holds it.
    pub(super) utterance: usize,
    /// Its position among the definitions.
    pub(super) definition: usize,
    /// The link of the chain that defines.
    pub(super) link: usize,
    /// The link's right side is what gets the name.
    pub(super) names_right: bool,
}

/// The state of reading one argument.
pub(super) struct Reader<'a> {
    /// The draft.
    pub(super) draft: &'a str,
    /// The draft's formulas.
    pub(super) formulas: &'a [DraftFormula],
    /// What names mean.
    pub(super) lexicon: Lexicon,
    /// Entries so far.
    pub(super) protos: Vec<Proto>,
    /// Facts of the sentences so far.
    pub(super) sentences: Vec<SentenceFacts>,
    /// Number of the next chain.
    pub(super) next_chain: usize,
    /// The right end of the chain before.
    pub(super) carry: Option<Carry>,
    /// The formula of that chain.
    pub(super) carry_formula: Option<usize>,
    /// The last formula that was more than a range.
    pub(super) last_formula: Option<usize>,
    /// The right end of the last reason, with its formula: only rows of that formula go on there.
    pub(super) reason_carry: Option<(Option<usize>, Carry)>,
    /// A term alone, for a chain that begins with its relation right behind it: sentence,
    /// utterance, operand.
    pub(super) bare: Option<(usize, usize, Operand)>,
    /// A chain that waits for its right side.
    pub(super) pending: Option<Pending>,
    /// For which set the last question about a convergence was asked, if it says so.
    pub(super) asked: Option<Result<Vec<kernel::Condition>, Lost>>,
    /// Whether nothing answered that question yet.
    pub(super) unanswered: bool,
    /// Whether the sentence before asks about an inequality.
    pub(super) asks_relation: bool,
    /// Whether uniform continuity was said, and whether it was denied or asked.
    pub(super) continuity: (bool, bool),
    /// Definitions that were spelled out.
    pub(super) formals: Vec<super::outline::Formal>,
    /// What is known of its sets, and what was drawn on them.
    pub(super) sets: super::compact::Sets,
    /// Statements that were spelled out by quantifiers.
    pub(super) spelled: Vec<super::outline::Spelled>,
    /// The sentence before speaks of a negation.
    pub(super) denial_announced: bool,
    /// Names that stand for limits.
    pub(super) limit_names: std::collections::BTreeSet<kernel::Symbol>,
    /// Sets that were named in the paragraph and of which nothing was made.
    pub(super) loose_sets: Vec<Term>,
    /// The aims found, in order.
    pub(super) aims: Vec<Aim>,
    /// The sentence before ended in an aim that may be rewritten in the next.
    pub(super) aim_goes_on: bool,
    /// The derivative with which a sentence ended, and which sentence it was.
    pub(super) slope_spoken: Option<(usize, Term)>,
    /// What may be meant by its names.
    pub(super) meanings: super::general::Meanings,
    /// Where ambiguous spellings occur.
    pub(super) patterns: Vec<(crate::notation::convention::Pattern, Span)>,
}

/// One sentence while its entries are made.
pub(super) struct Context<'a> {
    /// The draft's formulas.
    pub(super) formulas: &'a [DraftFormula],
    /// Its tokens.
    pub(super) tokens: &'a [Token],
    /// What the clause grammar found.
    pub(super) reading: &'a Reading,
    /// Its zone.
    pub(super) zone: Zone,
    /// Its span.
    pub(super) span: Span,
    /// Its position in the argument.
    pub(super) sentence: usize,
    /// Tokens before this one are repeated from the exercise's head.
    pub(super) borrowed: usize,
    /// Definitions found ahead.
    pub(super) defined: Vec<Ahead>,
    /// Utterances that define a sequence by its members.
    pub(super) recursive: Vec<usize>,
    /// Utterances that say where a case of a definition holds.
    pub(super) places: Vec<usize>,
    /// Utterances that name a set.
    pub(super) named_sets: Vec<usize>,
    /// Rewritings of a wish from the sentence before stand in it.
    pub(super) wish: bool,
}

impl<'a> Context<'a> {
    /// The statement of an utterance.
    pub(super) fn statement(&self, utterance: &Utterance) -> Option<&'a Statement> {
        self.tokens
            .get(utterance.token)
            .and_then(Token::statement)
            .map(|token| &token.statement)
    }

    /// The last of the names that are listed from an utterance on: what is said of a list ("x and
    /// y be nonnegative") is said behind it, of each.
    pub(super) fn last_of_list<'u>(&self, utterance: &'u Utterance) -> &'u Utterance
    where
        'a: 'u,
    {
        let names_only = |other: &Utterance| {
            self.statement(other).is_some_and(|statement| {
                matches!(&statement.kind, StatementKind::Term(term)
                    if shape::bare_names(term).is_some())
            })
        };
        let mut last = utterance;
        for next in &self.reading.utterances {
            if next.token <= last.token {
                continue;
            }
            let between = self
                .tokens
                .get(last.token + 1..next.token)
                .unwrap_or_default();
            let listed = between.iter().all(is_of_list);
            if !listed || next.mode != last.mode || !names_only(next) || !names_only(last) {
                break;
            }
            last = next;
        }
        last
    }

    /// Position of the formula of an utterance.
    pub(super) fn formula(&self, utterance: &Utterance) -> Option<usize> {
        self.tokens
            .get(utterance.token)
            .and_then(Token::statement)
            .map(|token| token.formula)
    }

    /// The clause of an utterance.
    pub(super) fn group(&self, utterance: &Utterance) -> &'a Group {
        static NONE: Group = Group {
            tokens: (0, 0),
            uniform: None,
            adverb: false,
            pointwise: false,
            converges: None,
            diverges: None,
            tends: false,
            negated: false,
            monotone: None,
            mode: None,
            answer: None,
            doubt: None,
            therefore: false,
        };
        self.reading.groups.get(utterance.group).unwrap_or(&NONE)
    }

    /// The tokens of a clause.
    pub(super) fn group_tokens(&self, group: &Group) -> &'a [Token] {
        let end = group.tokens.1.min(self.tokens.len());
        &self.tokens[group.tokens.0.min(end)..end]
    }

    /// The words right before a token, the nearest first.
    pub(super) fn words_before(&self, token: usize) -> impl Iterator<Item = &'a str> + use<'a> {
        self.tokens[..token.min(self.tokens.len())]
            .iter()
            .rev()
            .map_while(Token::word)
    }

    /// The clause's words and formulas as a span, without the mark that closes it.
    pub(super) fn group_span(&self, group: &Group) -> Span {
        let tokens = self.group_tokens(group);
        let meaningful = |token: &&Token| {
            token.word().is_some()
                || token.statement().is_some()
                || matches!(token.kind, super::token::TokenKind::Arrow(_))
        };
        let first = tokens.iter().find(meaningful);
        let last = tokens.iter().rev().find(meaningful);
        match (first, last) {
            (Some(first), Some(last)) => self.delimited(first).to(self.delimited(last)),
            _ => self.span,
        }
    }

    /// A token's place, with the delimiters of its formula where it is all of it.
    pub(super) fn delimited(&self, token: &Token) -> Span {
        let formula = token
            .statement()
            .filter(|statement| !statement.display)
            .and_then(|statement| self.formulas.get(statement.formula));
        match formula {
            Some(formula) if formula.parsed.segments.len() <= 1 => formula.span,
            _ => token.span,
        }
    }

    /// Whether the sentence asks or wants a convergence.
    pub(super) fn asks_convergence(&self) -> bool {
        // "(c) The convergence is uniform on [a, ∞)": what an exercise states is asked.
        let states = self.zone == Zone::Statement && self.defined.is_empty();
        self.reading.groups.iter().any(|group| {
            (group.mode == Some(Mode::Aim) || states)
                && (group.converges.is_some() || group.uniform.is_some() || group.tends)
        })
    }

    /// Utterances of the sentence that are said in that mode, with their positions.
    pub(super) fn in_mode(&self, mode: Mode) -> impl Iterator<Item = (usize, &'a Utterance)> {
        self.reading
            .utterances
            .iter()
            .enumerate()
            .filter(move |(_, utterance)| utterance.mode == mode)
    }
}

/// A formula that says nothing is a mention, unless a sign in it is not known: what reads like a
/// term may then be a statement ("x ⋈ n").
fn told(statement: &Statement, role: Option<Role>) -> (Option<Role>, Content) {
    // A sign that stands alone marks something (the end of a proof, a tick) and states nothing.
    let alone = matches!(&statement.kind, StatementKind::Term(term)
        if matches!(term.kind, TermKind::Foreign(_)));
    match first_foreign(statement).filter(|_| !alone) {
        Some(name) => {
            let reason = elaborate::foreign(name);
            let names = elaborate::statement_names(statement);
            (None, Content::Unread { reason, names })
        }
        None => (role, Content::Mention),
    }
}

impl Reader<'_> {
    /// Adds an entry.
    pub(super) fn push(
        &mut self,
        context: &Context<'_>,
        position: Option<usize>,
        span: Span,
        role: Option<Role>,
        content: Content,
    ) -> usize {
        let utterance = position.and_then(|position| context.reading.utterances.get(position));
        let (role, content) = match utterance.and_then(|utterance| context.statement(utterance)) {
            Some(statement) if matches!(content, Content::Mention) => told(statement, role),
            _ => (role, content),
        };
        let content = match utterance {
            Some(utterance) => {
                with_size_in_words(context, utterance, with_least(context, utterance, content))
            }
            None => content,
        };
        // What was repeated from the exercise's head stands elsewhere.
        let own = utterance.is_none_or(|utterance| context.borrowed <= utterance.token);
        let span = if own && context.borrowed > 0 {
            Span::new(span.start.max(context.span.start), span.end)
        } else {
            span
        };
        let mode = utterance.map(|utterance| utterance.mode);
        let base = utterance.map(|utterance| utterance.base);
        self.protos.push(Proto {
            entry: Entry {
                span,
                sentence: context.span,
                role,
                zone: context.zone,
                content,
                scope: Vec::new(),
                chain: None,
                reason_for: None,
                case: mode == Some(Mode::Condition)
                    || utterance.is_some_and(|utterance| utterance.case),
                guard: None,
                names: utterance
                    .and_then(|utterance| context.statement(utterance))
                    .map(bases)
                    .unwrap_or_default(),
                renames: None,
                perhaps: Vec::new(),
                for_all: Vec::new(),
                drawn: utterance.is_some_and(|utterance| {
                    let opens = context.reading.carries_on && position == Some(0);
                    opens || utterance.therefore || utterance.link.is_some()
                }),
                derivative: false,
                beside: false,
                scales: None,
            },
            sentence: context.sentence,
            utterance: position,
            token: utterance.map(|utterance| utterance.token),
            reach: utterance.map_or(usize::MAX, |utterance| utterance.reach),
            backward: utterance.is_some_and(|utterance| utterance.backward),
            case: utterance.is_some_and(|utterance| utterance.case),
            borrowed: utterance.is_some_and(|utterance| utterance.token < context.borrowed),
            speaks_of: Vec::new(),
            local: matches!(base, Some(Mode::Aim | Mode::Define | Mode::Reject)),
            conditional: mode == Some(Mode::Condition),
            answer: None,
            wished: false,
        });
        self.protos.len() - 1
    }

    /// Where a part of an utterance's formula stands.
    pub(super) fn place(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        range: &std::ops::Range<usize>,
    ) -> Span {
        context
            .formula(utterance)
            .and_then(|formula| self.formulas.get(formula))
            .map_or(context.span, |formula| formula.place(range))
    }
}

/// The letters of the names in a statement, each once.
fn bases(statement: &Statement) -> Vec<Symbol> {
    let mut found: Vec<Symbol> = shape::names_of(statement)
        .iter()
        .map(|name| Symbol::new(&name.base))
        .collect();
    found.sort();
    found.dedup();
    found
}
