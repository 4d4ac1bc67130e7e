//! Chains link by link, carried operands, relations told in words, implications.

use super::row::remarks_on_its_row;
use super::*;
use crate::discourse::calculus::{is_derivative, is_zero_of_derivative};

/// Parts of terms: what is said of them is not said of the chain before.
pub(super) const PARTS_OF_TERMS: [&str; 34] = [
    "root",
    "roots",
    "base",
    "square",
    "cube",
    "cosine",
    "sine",
    "exponential",
    "logarithm",
    "log",
    "constant",
    "coefficient",
    "sum",
    "total",
    "product",
    "quotient",
    "remainder",
    "ratio",
    "denominator",
    "denom",
    "numerator",
    "numer",
    "num",
    "bracket",
    "brackets",
    "parenthesis",
    "fraction",
    "factor",
    "exponent",
    "radicand",
    "lhs",
    "left-hand",
    "slope",
    "integrand",
];

/// Whether the word names a part of a term.
pub(in crate::discourse) fn is_part_of_a_term(word: &str) -> bool {
    PARTS_OF_TERMS.contains(&word)
}

impl Reader<'_> {
    /// One entry for every link of a chain.
    pub(in crate::discourse) fn links(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        role: Role,
    ) {
        let utterance = &context.reading.utterances[position];
        let StatementKind::Chain { first, links } = &statement.kind else {
            return;
        };
        if shape::is_of_differentials(statement) || self.continues_differential(context, utterance)
        {
            let whole = self.place(context, utterance, &statement.range);
            let mention = Some(Role::Mention);
            self.push(context, Some(position), whole, mention, Content::Mention);
            return;
        }
        if let Some((connective, before)) = utterance.link {
            self.implication(context, position, statement, connective, before, role);
            return;
        }
        match first {
            Some(first) => {
                let completed = self.pending.is_some()
                    && self.completes(context, position, first, context.span);
                if let Some((spoken, left)) = utterance.spoken
                    && !completed
                {
                    let whole = self.place(context, utterance, &first.range);
                    self.spoken(context, position, first, spoken, left, whole);
                    let chain = self
                        .carry
                        .as_ref()
                        .map_or((self.next_chain, 0), |carry| carry.chain);
                    self.next_chain = self.next_chain.max(chain.0 + 1);
                    let left = self.operand(context, utterance, first);
                    let begin = Carry {
                        operand: left,
                        chain,
                    };
                    self.links_from(context, position, begin, links, role, None);
                    return;
                }
                let chain = match (&self.carry, completed) {
                    (Some(carry), true) => carry.chain,
                    _ => {
                        self.next_chain += 1;
                        (self.next_chain - 1, 0)
                    }
                };
                let left = self.operand(context, utterance, first);
                let begin = Carry {
                    operand: left,
                    chain,
                };
                self.links_from(context, position, begin, links, role, None);
            }
            None => {
                let tends = links.first().is_some_and(|link| link.sign == Sign::TendsTo);
                let power = tends
                    .then(|| self.power_spoken_of(context, utterance))
                    .flatten()
                    .map(|operand| {
                        self.next_chain += 1;
                        Carry {
                            operand,
                            chain: (self.next_chain - 1, 0),
                        }
                    });
                let Some(carry) = power.or_else(|| self.carried(context, position)) else {
                    let lost = self.lexicon.lost(
                        statement,
                        "it begins with its relation, and what stands on its left was not found",
                    );
                    let whole = self.place(context, utterance, &statement.range);
                    self.push(context, Some(position), whole, None, lost.content());
                    return;
                };
                let start = links
                    .first()
                    .map(|link| self.place(context, utterance, &link.sign_range));
                self.links_from(context, position, carry, links, role, start);
            }
        }
    }

    /// What a chain that begins with its relation goes on from: the term right before it, else
    /// the end of the chain before.
    pub(super) fn carried(&mut self, context: &Context<'_>, position: usize) -> Option<Carry> {
        let bare = self
            .bare
            .take()
            .filter(|(sentence, before, _)| *sentence == context.sentence && before + 1 == position)
            .filter(|(_, before, _)| self.stands_alone(context, *before, position))
            .map(|(_, _, operand)| {
                self.next_chain += 1;
                Carry {
                    operand,
                    chain: (self.next_chain - 1, 0),
                }
            });
        let formula = context
            .reading
            .utterances
            .get(position)
            .and_then(|utterance| context.formula(utterance));
        let of_reason = self
            .reason_carry
            .as_ref()
            .filter(|(reason, _)| *reason == formula && self.carry_formula != formula)
            .map(|(_, carry)| carry.clone());
        if self.means_something_earlier(context, position) {
            return None;
        }
        if bare.is_none()
            && let Some(related) = self.related(context, position)
        {
            return related;
        }
        // "Such n are automatically ≥ 2": said of the name right before it.
        let named = bare.is_none()
            && position
                .checked_sub(1)
                .and_then(|before| {
                    let before = context.reading.utterances.get(before)?;
                    let here = context.reading.utterances.get(position)?;
                    let between = context.tokens.get(before.token + 1..here.token)?;
                    let words = between.iter().all(|token| token.word().is_some());
                    let term = matches!(context.statement(before)?.kind, StatementKind::Term(_));
                    Some(term && words && !between.is_empty())
                })
                .unwrap_or(false);
        if named {
            return None;
        }
        // "… from n = 3 on. Together ≤ …", "so 1 + x > 1 and the last fraction is ≤ …": no estimate
        // goes on from a number that stands in another formula.
        let goes_on = |carry: &&Carry| {
            self.carry_formula == formula
                || carry
                    .operand
                    .value
                    .as_ref()
                    .is_ok_and(|value| value.as_number().is_none())
        };
        // "n > 1/(na ²) < ε": what stands right before it was not read, and may be its left side.
        let reaches = |carry: &&Carry| {
            !self
                .protos
                .iter()
                .rev()
                .take_while(|proto| proto.sentence == context.sentence)
                .filter(|proto| proto.utterance.is_some() && proto.entry.role.is_none())
                .any(|proto| {
                    matches!(proto.entry.content, Content::Unread { .. })
                        && proto.entry.span.start >= carry.operand.span.end
                })
        };
        bare.or(of_reason)
            .or_else(|| self.carry.as_ref().filter(goes_on).filter(reaches).cloned())
    }

    pub(super) fn links_from(
        &mut self,
        context: &Context<'_>,
        position: usize,
        begin: Carry,
        links: &[Link],
        role: Role,
        start: Option<Span>,
    ) {
        let utterance = &context.reading.utterances[position];
        let first = begin.operand;
        let (number, mut step) = begin.chain;
        // What equals f_n(x) tends to its limit when f_n(x) does.
        let mut head = self.lexicon.family_of(&first.term).map(|_| first.clone());
        let mut left = first;
        let mut start = start;
        for (index, one) in links.iter().enumerate() {
            let begins = start.take().unwrap_or(left.span);
            let Some(right) = &one.right else {
                let pending = (left, one, begins, (number, step));
                self.leave_open(context, position, pending, role);
                return;
            };
            let right = self.operand(context, utterance, right);
            let span = begins.to(right.span);
            let ahead = context
                .defined
                .iter()
                .find(|ahead| ahead.utterance == position && ahead.link == index);
            if let Some(ahead) = ahead {
                // Where the chain's right end is what gets the name, only the name is new.
                let span = if ahead.names_right && index > 0 {
                    self.place(context, utterance, &one.sign_range)
                        .to(right.span)
                } else {
                    span
                };
                let content = Content::Definition(ahead.definition);
                self.push(
                    context,
                    Some(position),
                    span,
                    Some(Role::Definition),
                    content,
                );
                if !ahead.names_right {
                    left = right;
                }
                continue;
            }
            let placed = utterance.place
                && one.sign == Sign::Relation(Relation::Equal)
                && shape::bare_name(&left.term).is_some();
            let meaning = if placed {
                Err(Lost::because(
                    "what is said of this place is said in words",
                    elaborate::names(&left.term),
                ))
            } else {
                let tends = matches!(one.sign, Sign::TendsTo | Sign::TendsUniformlyTo);
                let from = head.as_ref().filter(|_| tends).unwrap_or(&left).clone();
                link(self, context, utterance, &from, one.sign, &right)
            };
            if !matches!(one.sign, Sign::Relation(Relation::Equal) | Sign::Defines) {
                head = None;
            }
            self.adopt_limit(&meaning);
            let role = self.role_of_link(context, role, one, &left, &right);
            let proto = self.said(context, position, span, role, meaning, utterance.doubt);
            self.protos[proto].entry.chain = Some((number, step));
            if is_derivative(&left.term) {
                self.mark_derivative(context, proto);
            }
            step += 1;
            left = right;
        }
        if utterance.aside
            || remarks_on_its_row(context, utterance)
            || self.is_bracketed(context, utterance)
        {
            return;
        }
        let carry = Carry {
            operand: left,
            chain: (number, step),
        };
        let formula = context.formula(utterance);
        // A reason interrupts the chain of the claim that it supports.
        if role == Role::Reason {
            self.reason_carry = Some((formula, carry));
        } else {
            self.carry = Some(carry);
            self.carry_formula = formula;
        }
    }

    /// A link whose right side stands in a later formula, or nowhere.
    fn leave_open(
        &mut self,
        context: &Context<'_>,
        position: usize,
        (left, link, start, chain): (Operand, &Link, Span, (usize, usize)),
        role: Role,
    ) {
        let utterance = &context.reading.utterances[position];
        let span = start.to(self.place(context, utterance, &link.sign_range));
        let lost = Lost::because("its right side was not found", elaborate::names(&left.term));
        let proto = self.push(context, Some(position), span, Some(role), lost.content());
        self.protos[proto].entry.chain = Some(chain);
        self.pending = Some(Pending {
            operand: left,
            sign: link.sign,
            start,
            chain,
            proto,
        });
    }

    /// Notes that an entry's left side is written as a derivative.
    fn mark_derivative(&mut self, context: &Context<'_>, proto: usize) {
        let entry = &mut self.protos[proto].entry;
        entry.derivative = true;
        if places_in_words(context) {
            entry.guard = Some("where this holds is said in words");
        }
    }

    pub(super) fn implication(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        connective: crate::notation::syntax::Connective,
        before: usize,
        role: Role,
    ) {
        use crate::notation::syntax::Connective;
        let utterance = &context.reading.utterances[position];
        let other = &context.reading.utterances[before];
        let Some(first) = context.statement(other) else {
            return;
        };
        let whole = self.place(context, utterance, &statement.range);
        let start = self.place(context, other, &first.range);
        // "N = 99: the bound gives only ≤ 1/100": a noun is on the left.
        let between = &context.tokens[(other.token + 1).min(utterance.token)..utterance.token];
        let goes_on = between
            .iter()
            .filter_map(Token::word)
            .all(|word| LEADING_ON.contains(&word));
        let carried = self
            .carry
            .as_ref()
            .filter(|_| goes_on)
            .map(|carry| carry.operand.term.clone());
        let completed = |statement: &Statement| complete(statement, carried.as_ref());
        let from = self.lexicon.conditions(first);
        let to = self.lexicon.conditions(&completed(statement));
        // The antecedent's own entries give way, unless it is an implication's consequent already.
        let chained = other.link.is_some();
        if !chained && from.is_ok() && to.is_ok() {
            self.protos.retain(|proto| {
                proto.sentence != context.sentence
                    || proto.utterance != Some(before)
                    || !matches!(
                        proto.entry.role,
                        Some(Role::Step | Role::Aim | Role::Reason) | None
                    )
            });
        }
        let content = match (from, to) {
            (Ok(from), Ok(to)) => {
                let (from, to, both) = match connective {
                    Connective::ImpliedBy => (to, from, false),
                    Connective::Equivalent => (from, to, true),
                    _ => (from, to, false),
                };
                Content::Assertion(Assertion::Implication { from, to, both })
            }
            (Err(lost), _) | (_, Err(lost)) => Content::Unread {
                reason: format!(
                    "an implication of which a side is not read: {}",
                    lost.reason
                ),
                names: lost.names,
            },
        };
        let unread = matches!(content, Content::Unread { .. });
        let role = match role {
            Role::Aim if is_wanted(context, other) => Role::Aim,
            Role::Aim if context.zone != Zone::Statement && !unread => Role::Step,
            other => other,
        };
        let span = if unread { whole } else { start.to(whole) };
        let role = if unread { None } else { Some(role) };
        let proto = self.push(context, Some(position), span, role, content);
        self.protos[proto].entry.derivative = is_zero_of_derivative(first);
        let right = shape::links(statement)
            .last()
            .and_then(|link| link.right.as_ref());
        if let Some(right) = right {
            self.carry = Some(Carry {
                operand: self.operand(context, utterance, right),
                chain: (self.next_chain, 0),
            });
            self.carry_formula = context.formula(utterance);
            self.next_chain += 1;
        }
    }
}

/// "We need δ such that A implies B": the implication is what is wanted of δ, and no step toward it.
fn is_wanted(context: &Context<'_>, antecedent: &Utterance) -> bool {
    let mut before = context.tokens[..antecedent.token]
        .iter()
        .rev()
        .map_while(Token::word);
    antecedent.mode == Mode::Aim
        && before.next() == Some("that")
        && matches!(before.next(), Some("such" | "so"))
}

/// Words between the sides of an implication that leave the left side of the second to the first.
const LEADING_ON: [&str; 30] = [
    "gives",
    "give",
    "giving",
    "yields",
    "yield",
    "implies",
    "imply",
    "implying",
    "so",
    "hence",
    "thus",
    "therefore",
    "then",
    "it",
    "which",
    "is",
    "are",
    "and",
    "also",
    "we",
    "get",
    "have",
    "obtain",
    "that",
    "this",
    "means",
    "consequently",
    "follows",
    "if",
    "iff",
];

/// "To the left of this point f_n' > 0": where it holds is told by words.
fn places_in_words(context: &Context<'_>) -> bool {
    context.tokens.iter().filter_map(Token::word).any(|word| {
        matches!(
            word,
            "left"
                | "before"
                | "after"
                | "afterwards"
                | "beyond"
                | "outside"
                | "inside"
                | "between"
                | "elsewhere"
                | "otherwise"
                | "there"
                | "until"
                | "near"
        )
    })
}

/// Whether an utterance stands behind "of", "on" and the like.
pub(super) fn behind_of(context: &Context<'_>, utterance: usize) -> bool {
    context
        .reading
        .utterances
        .get(utterance)
        .and_then(|utterance| utterance.token.checked_sub(1))
        .and_then(|before| context.tokens.get(before))
        .and_then(super::super::token::Token::word)
        .is_some_and(|word| {
            [
                "of", "on", "than", "from", "to", "without", "no", "by", "after", "with", "for",
                "in", "at", "over",
            ]
            .contains(&word)
        })
}
