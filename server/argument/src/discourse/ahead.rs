//! What a sentence defines and which domains it states, found before its entries are made, so
//! that "… where f(x) = x" serves the whole sentence.

mod domain;

use super::entry::{Ahead, Context, Reader};
use super::lexicon::Domain;
use super::names::Use;
use super::outline::{Content, Zone};
use super::shape;
use super::token::{Mark, Token};
use super::utter::membership_set;
use super::utterance::{Mode, Spoken, Utterance};
use crate::notation::elaborate::{self, symbol};
use crate::notation::syntax::{Link, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Relation, Symbol};

/// A definition that a statement may make.
struct Candidate<'a> {
    name: Symbol,
    parameters: Vec<Symbol>,
    subscripts: usize,
    /// Where its value may stand: the first of them that has one counts.
    values: Vec<&'a Term>,
    link: usize,
    names_right: bool,
}

/// The names that a mapping gives sets as well, where each is a formula of its own:
/// "f_n, f, g : D → ℝ".
fn listed_before<'a>(context: &'a Context<'_>, position: usize) -> Vec<&'a Term> {
    let utterances = &context.reading.utterances;
    let mut listed = Vec::new();
    let mut next = utterances[position].token;
    for utterance in utterances[..position].iter().rev() {
        let between = context
            .tokens
            .get(utterance.token + 1..next)
            .unwrap_or_default();
        let joined =
            matches!(between, [mark] if mark.is(Mark::Comma) || mark.word() == Some("and"));
        let name = context
            .statement(utterance)
            .and_then(|statement| match &statement.kind {
                StatementKind::Term(term) if matches!(term.kind, TermKind::Name(_)) => Some(term),
                _ => None,
            });
        let (true, Some(name)) = (joined, name) else {
            break;
        };
        listed.push(name);
        next = utterance.token;
    }
    listed
}

impl Reader<'_> {
    /// Finds the sentence's definitions and domains.
    pub(super) fn look_ahead(&mut self, context: &mut Context<'_>) {
        self.pieces_ahead(context);
        for (position, utterance) in context.reading.utterances.iter().enumerate() {
            if context
                .statement(utterance)
                .is_some_and(|statement| self.lexicon.name_set(statement))
            {
                context.named_sets.push(position);
            }
        }
        for position in 0..context.reading.utterances.len() {
            if self.defined_at(context, position).is_some() {
                continue;
            }
            let utterance = &context.reading.utterances[position];
            let Some(statement) = context.statement(utterance) else {
                continue;
            };
            let span = self.place(context, utterance, &statement.range);
            match &statement.kind {
                StatementKind::Mapping { name, from, .. } => {
                    self.lexicon.set_mapping(name, from, span);
                    for name in listed_before(context, position) {
                        self.lexicon.set_mapping(name, from, span);
                    }
                }
                StatementKind::MapsTo {
                    name: Some(name),
                    argument,
                    value,
                } => {
                    if let Some((name, mut parameters, subscripts)) = self.lexicon.definable(name)
                        && let Some(argument) = shape::bare_name(argument)
                    {
                        parameters.truncate(subscripts);
                        parameters.push(symbol(argument));
                        if let Ok(value) =
                            self.lexicon.defined_value(&parameters, subscripts, value)
                        {
                            let definition = self
                                .lexicon
                                .define(name, parameters, subscripts, value, span);
                            context.defined.push(Ahead {
                                utterance: position,
                                definition,
                                link: 0,
                                names_right: false,
                            });
                        }
                    }
                }
                StatementKind::Chain { .. } => {
                    self.recursion_ahead(context, position, statement, span);
                    self.chain_ahead(context, position, statement, span);
                }
                _ => {}
            }
        }
        self.forget_cases(context);
        self.domains_ahead(context);
        self.functions_on_named_set(context);
    }

    fn chain_ahead(
        &mut self,
        context: &mut Context<'_>,
        position: usize,
        statement: &Statement,
        span: source::Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let Some(mut candidate) = self.candidate(context, utterance, statement) else {
            return;
        };
        // "Hint: for (b), try g(y) = y²" gives g no value.
        let tried = context.tokens[..utterance.token]
            .iter()
            .rev()
            .map_while(Token::word)
            .any(|word| matches!(word, "try" | "trying"));
        if tried && !candidate.parameters.is_empty() {
            return;
        }
        self.second_name(context, position, &candidate, span);
        let value = candidate.values.iter().find_map(|value| {
            let Candidate {
                parameters,
                subscripts,
                ..
            } = &candidate;
            let (parameters, value) = self
                .lexicon
                .defined_value(parameters, *subscripts, value)
                .map(|value| (parameters.clone(), value))
                .ok()
                .or_else(|| {
                    let indices = &parameters[..*subscripts];
                    self.lexicon.defined_by_functions(indices, value)
                })?;
            let circular = value.unknown_functions().contains(&candidate.name);
            (!circular).then_some((parameters, value))
        });
        let value = value.map(|(parameters, value)| {
            candidate.parameters = parameters;
            value
        });
        let Some(value) = value else {
            // Known to be a function at least: what is claimed of it stays undecided.
            if !candidate.parameters.is_empty()
                && !self.lexicon.vocabulary.is_declared(&candidate.name)
            {
                let arguments = candidate.parameters.len() - candidate.subscripts;
                self.lexicon.vocabulary.declare_unknown(
                    &candidate.name,
                    candidate.subscripts,
                    Some(arguments),
                );
            }
            return;
        };
        let limit_is = utterance.names_limit();
        let Candidate {
            name,
            parameters,
            subscripts,
            link,
            names_right,
            ..
        } = candidate;
        let defined = name.clone();
        // A part that is about functions of its own: "(d) Is g_n(x) = x f_n(x) …".
        if context.zone == Zone::Statement
            && self.lexicon.family_inherited
            && subscripts == 1
            && parameters.len() > 1
        {
            self.lexicon.family = None;
            self.lexicon.family_inherited = false;
        }
        let definition =
            self.lexicon
                .define(name, parameters.clone(), subscripts, value.clone(), span);
        if subscripts == 0 && limit_is {
            self.lexicon.name_limit(&defined, &parameters, &value);
        }
        context.defined.push(Ahead {
            utterance: position,
            definition,
            link,
            names_right,
        });
    }

    /// "f(x) = g(x) = x": both names get the value.
    fn second_name(
        &mut self,
        context: &mut Context<'_>,
        position: usize,
        candidate: &Candidate<'_>,
        span: source::Span,
    ) {
        let [second, value, ..] = candidate.values.as_slice() else {
            return;
        };
        let mode = context.reading.utterances[position].mode;
        let Some((name, parameters, subscripts)) = self.named(second, mode) else {
            return;
        };
        let alike = parameters == candidate.parameters && !parameters.is_empty();
        if !alike || name == candidate.name || self.lexicon.defines(&name, subscripts) {
            return;
        }
        let Ok(value) = self.lexicon.defined_value(&parameters, subscripts, value) else {
            return;
        };
        let functions = value.unknown_functions();
        if functions.contains(&name) || functions.contains(&candidate.name) {
            return;
        }
        let definition = self
            .lexicon
            .define(name, parameters, subscripts, value, span);
        context.defined.push(Ahead {
            utterance: position,
            definition,
            link: candidate.link + 1,
            names_right: false,
        });
    }

    fn candidate<'s>(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &'s Statement,
    ) -> Option<Candidate<'s>> {
        let spoken = utterance
            .spoken
            .is_some_and(|(spoken, _)| spoken != Spoken::Tends);
        if utterance.link.is_some() || spoken {
            return None;
        }
        let StatementKind::Chain {
            first: Some(first),
            links,
        } = &statement.kind
        else {
            return None;
        };
        if let Some(candidate) = self.left_candidate(context, utterance, first, links) {
            return Some(candidate);
        }
        // `x²/(n + x) =: h_n(x)`
        if let Some((last, before)) = links.split_last()
            && last.sign == Sign::Defines
            && let Some(right) = &last.right
            && let Some((name, parameters, subscripts)) = self.named(right, utterance.mode)
        {
            let value = before
                .last()
                .and_then(|link| link.right.as_ref())
                .unwrap_or(first);
            return Some(Candidate {
                name,
                parameters,
                subscripts,
                values: vec![value],
                link: links.len() - 1,
                names_right: true,
            });
        }
        // `f_n → f = 0`
        let at = links
            .iter()
            .position(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo))?;
        let (name, mut parameters, subscripts) =
            self.named(links[at].right.as_ref()?, utterance.mode)?;
        let next = links.get(at + 1)?;
        if subscripts > 0
            || self.lexicon.defines(&name, 0)
            || !matches!(next.sign, Sign::Defines | Sign::Relation(Relation::Equal))
        {
            return None;
        }
        if parameters.is_empty() {
            parameters = self.lexicon.points().to_vec();
        }
        Some(Candidate {
            name,
            parameters,
            subscripts,
            values: vec![next.right.as_ref()?],
            link: at + 1,
            names_right: false,
        })
    }

    /// The name of a term that may be defined: no index, point, tolerance, threshold.
    fn named(&self, term: &Term, mode: Mode) -> Option<(Symbol, Vec<Symbol>, usize)> {
        let (name, parameters, subscripts) = self.lexicon.definable(term)?;
        // What its members make of a sequence is a claim about it.
        if subscripts == 1 && self.lexicon.is_recursive(&name) {
            return None;
        }
        if parameters.is_empty() {
            let written = shape::head_name(term)?;
            let usage = self.lexicon.names.usage(written);
            let point = self
                .lexicon
                .family
                .as_ref()
                .is_some_and(|family| family.points.contains(&name));
            let abbreviation = mode == Mode::Define && usage == Use::Point && !point;
            if usage != Use::Other && !abbreviation || written.base == "e" {
                return None;
            }
        }
        Some((name, parameters, subscripts))
    }

    fn left_candidate<'s>(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        first: &'s Term,
        links: &'s [Link],
    ) -> Option<Candidate<'s>> {
        let link = links.first()?;
        let defines = link.sign == Sign::Defines;
        if !defines && link.sign != Sign::Relation(Relation::Equal) {
            return None;
        }
        let (name, mut parameters, subscripts) = self.named(first, utterance.mode)?;
        if !defines && restricts_named(context, utterance, &parameters[subscripts..]) {
            return None;
        }
        let fresh = !self.lexicon.defines(&name, subscripts);
        let naming = matches!(utterance.mode, Mode::Let | Mode::Define | Mode::Where);
        // "Write q = 1/(1 + h) with h > 0" of a q that is known introduces h.
        let introduces = || {
            link.right.as_ref().is_some_and(|right| {
                shape::names_in(right)
                    .iter()
                    .any(|name| self.is_unheard_of(name, context.zone))
            })
        };
        if !fresh && parameters.is_empty() && !defines && introduces() {
            return None;
        }
        let function_letter = ["f", "g", "h", "F", "G", "φ"].contains(&name.as_str());
        if parameters.is_empty()
            && function_letter
            && let Some(family) = &self.lexicon.family
        {
            parameters = family.points.clone();
        }
        let admitted = match utterance.mode {
            _ if defines => true,
            Mode::Let => true,
            // "… is attained at x = 2/√n, where f_n = 1/8": a value of f_n, at a point.
            Mode::Where if !fresh && self.lexicon.takes_more(&name, subscripts, &parameters) => {
                false
            }
            // "Put q = 1 − x, then f_n(x) = x n q^n": what is known is not defined anew.
            Mode::Define | Mode::Where => {
                fresh || context.zone == Zone::Statement || parameters.len() <= subscripts
            }
            // "For x ≠ 0 … so g(x) = 0" gives g on a part only.
            Mode::Claim
                if !utterance.limit_is
                    && subscripts == 0
                    && leaves_out(context, utterance, &parameters) =>
            {
                false
            }
            // "On (0, 1] take f(x) = x and f_n(x) = x + 1/n": an example of its own.
            Mode::Choose
                if !fresh && self.takes_anew(context, utterance, &parameters, subscripts) =>
            {
                link.right.as_ref().is_some_and(|right| {
                    shape::names_in(right)
                        .iter()
                        .any(|name| parameters.contains(&symbol(name)))
                })
            }
            Mode::Claim if !fresh && self.exemplifies(context, utterance, (&name, subscripts)) => {
                true
            }
            // "Therefore T(z) = z", where x_{n+1} = T(x_n) for any such T.
            Mode::Claim | Mode::Aim if subscripts == 0 && self.lexicon.iterates(&name) => false,
            Mode::Claim | Mode::Aim | Mode::Choose => {
                fresh
                    && (!parameters.is_empty() || utterance.limit_is || utterance.spoken.is_some())
            }
            // "since f(x) = 0": only what the zone of the exercise says names something.
            _ => fresh && context.zone == Zone::Statement && !parameters.is_empty(),
        };
        if !admitted
            || utterance.doubt.is_some() && !utterance.limit_is && !defines
            || naming
                && !fresh
                && parameters.is_empty()
                && utterance.mode == Mode::Where
                && self.lexicon.defines(&name, 0)
        {
            return None;
        }
        let values = links
            .iter()
            .take_while(|link| matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal)))
            .filter_map(|link| link.right.as_ref())
            .collect();
        Some(Candidate {
            name,
            parameters,
            subscripts,
            values,
            link: 0,
            names_right: false,
        })
    }

    /// Whether a verb right before a function's formula, or a list of such, picks the function.
    fn takes_anew(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        parameters: &[Symbol],
        subscripts: usize,
    ) -> bool {
        let before = utterance
            .token
            .checked_sub(1)
            .and_then(|before| context.tokens.get(before));
        let verb = before
            .and_then(Token::word)
            .is_some_and(|word| ["take", "consider", "put", "set", "let"].contains(&word));
        let position = context
            .reading
            .utterances
            .iter()
            .position(|own| own.token == utterance.token)
            .unwrap_or_default();
        let listed = before
            .is_some_and(|before| before.is(Mark::Comma) || before.word() == Some("and"))
            && context
                .defined
                .iter()
                .any(|ahead| ahead.utterance + 1 == position);
        subscripts < parameters.len() && (verb || listed)
    }
}

/// "There is exactly one number z with T(z) = z": said of the z that the sentence names before it.
fn restricts_named(context: &Context<'_>, utterance: &Utterance, points: &[Symbol]) -> bool {
    let [point] = points else {
        return false;
    };
    let named = context.reading.utterances.iter().rev().find(|other| {
        other.token < utterance.token
            && context.statement(other).is_some_and(|statement| {
                matches!(&statement.kind, StatementKind::Term(term)
                    if shape::bare_name(term).is_some_and(|name| symbol(name) == *point))
            })
    });
    named.is_some_and(|named| {
        let between = &context.tokens[named.token + 1..utterance.token];
        between.iter().all(|token| token.word().is_some())
            && between.iter().any(|token| {
                matches!(
                    token.word(),
                    Some("with" | "such" | "satisfying" | "which" | "where" | "satisfies")
                )
            })
    })
}

/// Whether the sentence speaks, before the utterance, of one value of the names or of all but one.
fn leaves_out(context: &Context<'_>, utterance: &Utterance, names: &[Symbol]) -> bool {
    context.reading.utterances.iter().any(|other| {
        other.token < utterance.token
            && matches!(other.mode, Mode::Range | Mode::Condition)
            && context
                .statement(other)
                .and_then(shape::restriction)
                .is_some_and(|restriction| {
                    matches!(
                        restriction.sign,
                        Sign::Relation(Relation::Equal | Relation::NotEqual)
                    ) && restriction
                        .names
                        .iter()
                        .any(|name| names.contains(&symbol(name)))
                })
    })
}
