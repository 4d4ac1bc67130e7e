//! Scratch work by calculus: what a text says of derivatives, their zeros and signs, and of
//! greatest and least values, as claims.

mod grammar;
mod subject;

use self::grammar::{About, Place, Says, Stretch, Told};
use self::subject::derived;
use super::entry::{Carry, Context, Operand, Reader};
use super::lexicon::Lost;
use super::outline::{Assertion, Calculus, Content, Role, Slope, Subject, Zone};
use super::shape;
use super::token::Token;
use super::utterance::{Mode, Reading};
use crate::notation::elaborate::symbol;
use crate::notation::syntax::{Statement, Term, TermKind};
use kernel::{Condition, Expr, Relation, Symbol};
use source::Span;

/// The claims of a sentence, and the utterances whose formulas they hold.
#[derive(Default)]
pub(super) struct Claims {
    /// Each with the utterance at which it is said.
    claims: Vec<Claim>,
    /// Utterances that are read here and nowhere else.
    taken: Vec<usize>,
}

/// A claim of a sentence.
struct Claim {
    at: usize,
    span: Span,
    role: Role,
    content: Content,
    conditional: bool,
    value: Option<Operand>,
}

impl Claims {
    /// Whether the utterance at that position is read as part of a claim.
    pub(super) fn holds(&self, position: usize) -> bool {
        self.taken.contains(&position)
    }
}

impl Reader<'_> {
    /// What a sentence says of derivatives and extrema; nothing of a sentence that states a task.
    pub(super) fn calculus_claims(&self, context: &Context<'_>) -> Claims {
        let mut claims = Claims::default();
        if context.zone == Zone::Statement {
            return claims;
        }
        for told in grammar::told(context.tokens, self.slope_before(context.sentence)) {
            if told.tokens.0 < context.borrowed {
                continue;
            }
            let taken: Vec<usize> = told
                .taken
                .iter()
                .filter_map(|token| {
                    context
                        .reading
                        .utterances
                        .iter()
                        .position(|utterance| utterance.token == *token)
                })
                .collect();
            let Some(at) = first_utterance(context, &told) else {
                continue;
            };
            let Some(role) = role_of(context, &told, at) else {
                continue;
            };
            let made = self.calculus_claim(context, &told, at, role);
            if made.is_empty() {
                continue;
            }
            claims.claims.extend(made);
            claims.taken.extend(taken);
        }
        claims
    }

    /// "at x_n = 1/n": gives the place its name.
    pub(super) fn name_places(&self, tokens: &[Token], zone: Zone, reading: &mut Reading) {
        if zone == Zone::Statement {
            return;
        }
        let before = self.slope_before(self.sentences.len());
        let naming: Vec<usize> = grammar::told(tokens, before)
            .into_iter()
            .flat_map(|told| told.naming)
            .collect();
        for utterance in &mut reading.utterances {
            if naming.contains(&utterance.token) {
                utterance.mode = Mode::Define;
                utterance.base = Mode::Define;
            }
        }
    }

    /// The derivative with which the sentence before this one ends.
    fn slope_before(&self, sentence: usize) -> Option<&Term> {
        self.slope_spoken
            .as_ref()
            .filter(|(spoken, _)| spoken + 1 == sentence)
            .map(|(_, term)| term)
    }

    /// The formulas of the sentence that tell where something rises or falls, by their tokens.
    pub(super) fn stretches(&self, context: &Context<'_>) -> Vec<usize> {
        let before = self.slope_before(context.sentence);
        grammar::told(context.tokens, before)
            .into_iter()
            .filter(|told| matches!(told.says, Says::Signs { .. }))
            .flat_map(|told| told.taken)
            .collect()
    }

    /// Remembers the derivative with which a sentence ends.
    pub(super) fn note_slope(&mut self, context: &Context<'_>) {
        // Rows that begin with their relation go on from the row before.
        let last = context
            .tokens
            .iter()
            .rev()
            .filter_map(Token::statement)
            .find_map(|last| shape::first_term(&last.statement));
        if let Some(term) = last.filter(|term| derived(term).is_some()) {
            self.slope_spoken = Some((context.sentence, term.clone()));
        }
    }

    /// Makes the entries of the claims that are said at an utterance.
    pub(super) fn calculus_at(&mut self, context: &Context<'_>, claims: &Claims, position: usize) {
        for claim in claims.claims.iter().filter(|claim| claim.at == position) {
            let proto = self.push(
                context,
                Some(position),
                claim.span,
                Some(claim.role),
                claim.content.clone(),
            );
            self.protos[proto].conditional = claim.conditional;
            // A claim in words stands for itself; what governs its sentence governs it.
            self.protos[proto].backward = false;
            self.protos[proto].local = false;
            // "… with value 1/n, which tends to 0" goes on from the value.
            self.carry = claim.value.clone().map(|operand| Carry {
                operand,
                chain: (self.next_chain, 0),
            });
            self.carry_formula = context.formula(&context.reading.utterances[position]);
            self.next_chain += 1;
        }
    }

    fn calculus_claim(
        &self,
        context: &Context<'_>,
        told: &Told<'_>,
        at: usize,
        role: Role,
    ) -> Vec<Claim> {
        let subjects = self.subjects(told.about);
        let span = span_of(context, told.tokens);
        let claim = |span: Span, role: Role, content: Content| Claim {
            at,
            span,
            role,
            content,
            conditional: false,
            value: self.value_told(context, told, at),
        };
        if subjects.is_empty() {
            return Vec::new();
        }
        let one = |slope: Result<Calculus, Lost>| match slope {
            Ok(slope) => vec![claim(
                span,
                role,
                Content::Assertion(Assertion::Calculus(slope)),
            )],
            Err(_) => Vec::new(),
        };
        match &told.says {
            Says::Nothing => self
                .supposed_zero(&subjects, at, span)
                .into_iter()
                .collect(),
            Says::Derivative(value) => one(self.derivative_claim(subjects, value)),
            Says::Zeros { places, only } => one(self.zeros_claim(told, subjects, places, *only)),
            Says::Extremum {
                greatest,
                local,
                place,
                value,
            } => one(self.extremum_claim(
                told,
                subjects,
                (*greatest, *local),
                place.as_ref(),
                *value,
            )),
            Says::Signs { parts, slope } => parts
                .iter()
                .map_while(|(relation, stretch, tokens)| {
                    self.sign_claim(told, &subjects, *relation, stretch, *slope)
                        .ok()
                        .map(|slope| {
                            claim(
                                span_of(context, *tokens),
                                role,
                                Content::Assertion(Assertion::Calculus(slope)),
                            )
                        })
                })
                .collect::<Vec<_>>()
                .into_iter()
                .collect(),
        }
    }

    /// The value that a claim names at its end.
    fn value_told(&self, context: &Context<'_>, told: &Told<'_>, at: usize) -> Option<Operand> {
        let term = match &told.says {
            Says::Derivative(value) => value,
            Says::Extremum { value, .. } => (*value)?,
            _ => return None,
        };
        let token = told.taken.iter().find(|token| {
            context.tokens[**token]
                .statement()
                .and_then(|statement| shape::first_term(&statement.statement))
                .is_some_and(|first| std::ptr::eq(first, term))
        });
        let utterance = token
            .and_then(|token| {
                let mut all = context.reading.utterances.iter();
                all.find(|utterance| utterance.token == *token)
            })
            .unwrap_or(&context.reading.utterances[at]);
        Some(self.operand(context, utterance, term))
    }

    /// "Setting f_n'(x) = 0": holds for the rest of the sentence.
    fn supposed_zero(&self, subjects: &[Subject], at: usize, span: Span) -> Option<Claim> {
        let [subject] = subjects else {
            return None;
        };
        let left = kernel::calculus::differentiate(&subject.function, &subject.point)?;
        Some(Claim {
            at,
            span,
            role: Role::Condition,
            content: Content::Assertion(Assertion::Relation {
                left,
                relation: Relation::Equal,
                right: Expr::integer(0),
            }),
            conditional: true,
            value: None,
        })
    }

    fn derivative_claim(&self, subjects: Vec<Subject>, value: &Term) -> Result<Calculus, Lost> {
        let value = self.lexicon.term(value)?;
        self.about(subjects, None, None, Slope::Derivative { value })
    }

    fn zeros_claim(
        &self,
        told: &Told<'_>,
        subjects: Vec<Subject>,
        places: &[Place<'_>],
        only: bool,
    ) -> Result<Calculus, Lost> {
        let name = places.iter().find_map(|place| place.name).map(point_of);
        let mut values = Vec::new();
        for place in places {
            if place
                .name
                .is_some_and(|own| name.as_ref() != Some(&point_of(own)))
            {
                return Err(Lost::because("these are places of two names", Vec::new()));
            }
            values.extend(self.place_values(place.term)?);
        }
        let slope = Slope::Zeros {
            places: values,
            only,
        };
        self.about(subjects, name, told.domain, slope)
    }

    fn extremum_claim(
        &self,
        told: &Told<'_>,
        mut subjects: Vec<Subject>,
        (greatest, local): (bool, bool),
        place: Option<&Place<'_>>,
        value: Option<&Term>,
    ) -> Result<Calculus, Lost> {
        let name = place.and_then(|place| place.name).map(point_of);
        let places = place
            .map(|place| self.place_values(place.term))
            .transpose()?
            .unwrap_or_default();
        let value = value.map(|value| self.lexicon.term(value)).transpose()?;
        // "The maximum of f_n" often means the one of |f_n|.
        if greatest {
            let named = !matches!(told.about, About::Unnamed);
            subjects.extend(subject::in_bars(&subjects, named));
        }
        let slope = Slope::Extremum {
            greatest,
            local,
            places,
            value,
        };
        self.about(subjects, name, told.domain, slope)
    }

    fn sign_claim(
        &self,
        told: &Told<'_>,
        subjects: &[Subject],
        relation: Relation,
        stretch: &Stretch<'_>,
        of_derivative: bool,
    ) -> Result<Calculus, Lost> {
        let point = match stretch {
            Stretch::Where(statement) => shape::restriction(statement)
                .filter(|restriction| restriction.names.len() == 1)
                .and_then(|restriction| restriction.names.first().map(|name| point_of(name)))
                .or_else(|| {
                    subjects
                        .iter()
                        .map(|subject| subject.point.clone())
                        .find(|point| {
                            crate::notation::elaborate::statement_names(statement).contains(point)
                        })
                }),
            Stretch::Before(place) | Stretch::After(place) => place.name.map(point_of),
            Stretch::Set(_) => None,
        }
        .or_else(|| subjects.first().map(|subject| subject.point.clone()))
        .ok_or_else(|| Lost::because("it does not tell where", Vec::new()))?;
        let at = Expr::variable(&point);
        let within = match stretch {
            Stretch::Set(set) => self.lexicon.member(set, &at)?,
            Stretch::Where(statement) => self.lexicon.conditions(statement)?,
            Stretch::Before(place) => vec![Condition::Holds(
                at,
                Relation::Less,
                self.lexicon.term(place.term)?,
            )],
            Stretch::After(place) => vec![Condition::Holds(
                at,
                Relation::Greater,
                self.lexicon.term(place.term)?,
            )],
        };
        let slope = Slope::Sign {
            relation,
            within,
            of_derivative,
        };
        self.about(subjects.to_vec(), Some(point), told.domain, slope)
    }

    /// The values of `1/n`, `±1/n`, `0, 1/n`; each free of the points.
    fn place_values(&self, term: &Term) -> Result<Vec<Expr>, Lost> {
        let at = |kind: TermKind| Term {
            kind,
            range: term.range.clone(),
        };
        Ok(match &term.kind {
            TermKind::PlusMinus(None, inner) => {
                let value = self.lexicon.term(inner)?;
                vec![value.clone(), value.negative()]
            }
            TermKind::PlusMinus(Some(left), right) => {
                let left = self.lexicon.term(left)?;
                let right = self.lexicon.term(right)?;
                vec![left.plus(&right), left.minus(&right)]
            }
            TermKind::Fraction(upper, lower) if matches!(upper.kind, TermKind::PlusMinus(..)) => {
                let lower = self.lexicon.term(lower)?;
                self.place_values(upper)?
                    .iter()
                    .map(|value| value.over(&lower))
                    .collect()
            }
            TermKind::List(items) => {
                let mut values = Vec::new();
                for item in items {
                    values.extend(self.place_values(item)?);
                }
                values
            }
            TermKind::Group(inner) => self.place_values(inner)?,
            kind => vec![self.lexicon.term(&at(kind.clone()))?],
        })
    }

    /// The claim about those of the functions that have the point, on the set that is named, else
    /// on the domain of the point.
    fn about(
        &self,
        mut subjects: Vec<Subject>,
        point: Option<Symbol>,
        set: Option<&Term>,
        slope: Slope,
    ) -> Result<Calculus, Lost> {
        let unknown = || Lost::because("it does not tell of which function", Vec::new());
        let point = point
            .or_else(|| subjects.first().map(|subject| subject.point.clone()))
            .ok_or_else(unknown)?;
        subjects.retain(|subject| subject.point == point);
        let free = slope.values().iter().all(|value| !value.mentions(&point));
        if subjects.is_empty() || !free {
            return Err(unknown());
        }
        let mut conditions = Vec::new();
        if let Some(set) = set {
            conditions = self.lexicon.member(set, &Expr::variable(&point))?;
        } else if let Some(domain) = self.lexicon.domains.get(&point) {
            if let Some(reason) = &domain.unread {
                return Err(Lost::because(reason, vec![point]));
            }
            conditions.clone_from(&domain.conditions);
        }
        Ok(Calculus {
            subjects,
            point,
            conditions,
            slope,
        })
    }
}

/// x of `x = 1/n`, `x_n = 1/n`, `x^* = 1/n`.
fn point_of(name: &crate::notation::syntax::Name) -> Symbol {
    let plain = name.subscript.is_none() && name.superscript.is_none() && name.primes == 0;
    match name.base.chars().next() {
        Some(letter) if !plain || name.base.chars().count() > 1 => {
            Symbol::new(letter.encode_utf8(&mut [0; 4]))
        }
        _ => symbol(name),
    }
}

/// The utterance at which a claim is said: the first one of its formulas.
fn first_utterance(context: &Context<'_>, told: &Told<'_>) -> Option<usize> {
    context
        .reading
        .utterances
        .iter()
        .position(|utterance| (told.tokens.0..told.tokens.1).contains(&utterance.token))
}

/// The role of a claim at an utterance; `None` where nothing is asserted there.
fn role_of(context: &Context<'_>, told: &Told<'_>, at: usize) -> Option<Role> {
    let utterance = &context.reading.utterances[at];
    let group = context.group(utterance);
    if group.negated || group.doubt.is_some() {
        return None;
    }
    match utterance.base {
        Mode::Reason => Some(Role::Reason),
        Mode::Claim
        | Mode::Range
        | Mode::Where
        | Mode::Choose
        | Mode::Define
        | Mode::Exists
        | Mode::Domain => Some(Role::Step),
        // "Solving f_n'(x) = 0 …" wants nothing.
        Mode::Aim
            if context.tokens[told.tokens.0]
                .word()
                .is_some_and(|word| matches!(word, "solving" | "solve" | "set")) =>
        {
            Some(Role::Step)
        }
        _ => None,
    }
}

fn span_of(context: &Context<'_>, tokens: (usize, usize)) -> Span {
    let inside = &context.tokens[tokens.0..tokens.1];
    let said = |token: &&Token| token.word().is_some() || token.statement().is_some();
    match (inside.iter().find(said), inside.iter().rev().find(said)) {
        (Some(first), Some(last)) => context.delimited(first).to(context.delimited(last)),
        _ => context.span,
    }
}

/// Whether a term is written as a derivative.
pub(super) fn is_derivative(term: &Term) -> bool {
    derived(term).is_some()
        || matches!(
            &term.kind,
            TermKind::Primed(..) | TermKind::Derivative { .. }
        )
}

/// Whether a statement says that a derivative is 0.
pub(super) fn is_zero_of_derivative(statement: &Statement) -> bool {
    subject::is_derivative_zero(statement).is_some()
}
