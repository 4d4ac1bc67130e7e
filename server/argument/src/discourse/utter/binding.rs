//! Statements that bind or restrict: ranges, lets, names for values, suppositions.

use super::super::attribute::{attributes, unread_attribute};
use super::*;

/// Where an utterance stands in its sentence.
fn position_of(context: &Context<'_>, utterance: &Utterance) -> usize {
    context
        .reading
        .utterances
        .iter()
        .position(|other| other.token == utterance.token)
        .unwrap_or(0)
}

/// "y ≤ R + 1: then …": a case of what was let before, at the head of its item.
fn is_item_of_cases(context: &Context<'_>, utterance: &Utterance) -> bool {
    let heads = context.tokens[..utterance.token]
        .iter()
        .all(|token| matches!(token.kind, TokenKind::Mark(_)));
    heads
        && context
            .tokens
            .get(utterance.token + 1)
            .is_some_and(|next| next.is(Mark::Colon))
}

impl Reader<'_> {
    pub(super) fn range(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        // `n > N := 1/ε` ranges and chooses at once.
        if let Some((range, choice)) = range_and_choice(statement) {
            let utterance = &context.reading.utterances[position];
            let choice_span = self.place(context, utterance, &choice.range);
            let range_span = self.place(context, utterance, &range.range);
            self.choose(context, position, &choice, choice_span);
            self.range(context, position, &range, range_span);
            return;
        }
        let utterance = &context.reading.utterances[position];
        let restriction = shape::restriction(statement);
        let conditional = utterance.mode == Mode::Condition;
        // "If N > 1/ε, then …" picks N where nothing else does.
        // So does "for n ≥ N with N > 1/ε".
        let within = |name: &Name| {
            context.reading.utterances[..position].iter().any(|before| {
                before.mode == Mode::Range
                    && before.reach == utterance.reach
                    && context
                        .statement(before)
                        .is_some_and(|ranged| shape::names_of(ranged).contains(&name))
            })
        };
        let names_limit = |restriction: &shape::Restriction<'_>| {
            utterance.mode == Mode::Range && restriction.names.iter().all(|name| within(name))
        };
        let picks = restriction
            .as_ref()
            .is_some_and(|restriction| conditional || names_limit(restriction))
            && restriction.as_ref().is_some_and(|restriction| {
                restriction.names.iter().all(|name| {
                    self.lexicon.names.usage(name) == Use::Threshold
                        && !self.is_bound(&symbol(name), context.zone)
                })
            });
        if picks {
            self.choose(context, position, statement, whole);
            return;
        }
        let governs_name = restriction.as_ref().is_some_and(|restriction| {
            restriction.names.iter().all(|name| {
                matches!(
                    self.lexicon.names.usage(name),
                    Use::Index | Use::Point | Use::Tolerance | Use::Other
                )
            })
        });
        let role = if conditional && !(governs_name && restriction.is_some()) {
            Role::Condition
        } else {
            Role::Range
        };
        let mut names: Vec<&Name> = Vec::new();
        if let Some(restriction) = &restriction {
            names.extend(&restriction.names);
        } else if conditional {
            // "If |x − 3| < δ" speaks of every such x.
            names.extend(shape::names_of(statement).into_iter().filter(|name| {
                self.lexicon.names.usage(name) == Use::Point
                    && !self.lexicon.domains.contains_key(&symbol(name))
            }));
            names.dedup_by(|a, b| symbol(a) == symbol(b));
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let content = self.range_of(context, utterance, statement, &names);
        let proto = self.push(context, Some(position), whole, Some(role), content);
        self.protos[proto].speaks_of = symbols;
    }

    /// What a range binds and what it says of known names.
    fn range_of(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &Statement,
        names: &[&Name],
    ) -> Content {
        if utterance.large {
            return Content::Unread {
                reason: "it does not tell how large is large enough".to_owned(),
                names: elaborate::statement_names(statement),
            };
        }
        let mut conditions = match self.lexicon.conditions(statement) {
            Ok(conditions) => conditions,
            Err(lost) => return lost.content(),
        };
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let said = attributes(context, utterance, &symbols);
        if let Some(word) = said.unread {
            return unread_attribute(&word, symbols);
        }
        join(&mut conditions, said.conditions);
        let set = membership_set(statement);
        let mut bound = Vec::new();
        for name in names {
            let threshold = self.lexicon.names.usage(name) == Use::Threshold;
            // "for k ≥ x (and k ≥ 1)": the same k.
            let added = utterance.aside
                && context.reading.utterances[..position_of(context, utterance)]
                    .last()
                    .filter(|before| before.mode == Mode::Range && before.reach == utterance.reach)
                    .and_then(|before| shape::restriction(context.statement(before)?))
                    .is_some_and(|before| before.names.contains(name));
            let restricts = added
                || (utterance.mode == Mode::Condition || is_item_of_cases(context, utterance))
                    && (threshold
                        || self.is_fixed(&symbol(name), context)
                            && !self.is_next_case(&symbol(name), context, utterance));
            let compared = self.compares_held(name, statement, context.zone);
            // "(in particular x ≠ −2)": of the x at hand.
            let excludes = self.is_bound(&symbol(name), context.zone)
                && shape::restriction(statement).is_some_and(|restriction| {
                    restriction.sign == Sign::Relation(Relation::NotEqual)
                });
            if excludes
                || restricts
                || self.adds_to_condition(&symbol(name), context, utterance)
                || compared
                || self.is_function(name)
                || self.has_value(name, context)
            {
                continue;
            }
            if set.is_none() {
                self.join_domain(&mut conditions, name);
            }
            bound.push(self.bound(name, utterance, set, Introduction::Arbitrary));
        }
        Content::Binding(Binding { bound, conditions })
    }

    /// Whether a let of the zone, or a range of the same sentence, holds the name fixed, so that
    /// a condition restricts it further.
    pub(super) fn is_fixed(&self, name: &Symbol, context: &Context<'_>) -> bool {
        self.protos.iter().any(|proto| {
            proto.entry.zone == context.zone
                && (matches!(proto.entry.role, Some(Role::Let | Role::Choice))
                    || proto.sentence == context.sentence)
                && !proto.local
                && binds(&proto.entry.content, name)
        })
    }

    /// "If x and y are positive with x < y": of the x of which the sentence has just told
    /// something, and not of any x.
    pub(super) fn adds_to_condition(
        &self,
        name: &Symbol,
        context: &Context<'_>,
        utterance: &Utterance,
    ) -> bool {
        let joined = utterance
            .token
            .checked_sub(1)
            .and_then(|before| context.tokens.get(before)?.word())
            .is_some_and(|word| matches!(word, "with" | "satisfying" | "and"));
        joined
            && self.protos.iter().any(|proto| {
                proto.sentence == context.sentence
                    && matches!(proto.entry.role, Some(Role::Condition | Role::Assumption))
                    && matches!(&proto.entry.content,
                        Content::Assertion(Assertion::Relation { left, right, .. })
                        if left.as_variable() == Some(name) && right.as_number().is_some())
            })
    }

    /// "In the case u < v", of two numbers that were introduced: a case, whichever way it is said.
    fn compares_held(&self, name: &Name, statement: &Statement, zone: Zone) -> bool {
        let other = shape::restriction(statement)
            .and_then(|restriction| restriction.other)
            .and_then(shape::bare_name);
        other.is_some_and(|other| {
            let usage = self.lexicon.names.usage(name);
            matches!(usage, Use::Other | Use::Point)
                && self.lexicon.names.usage(other) == usage
                && self.is_held(&symbol(name), zone)
                && self.is_held(&symbol(other), zone)
        })
    }

    /// Whether a let or a choice of the zone holds the name.
    pub(super) fn is_held(&self, name: &Symbol, zone: Zone) -> bool {
        self.protos.iter().any(|proto| {
            proto.entry.zone == zone
                && matches!(proto.entry.role, Some(Role::Let | Role::Choice))
                && !proto.local
                && binds(&proto.entry.content, name)
        })
    }

    /// Whether the sentence gave the name a value, or the one before a value that moves: "put
    /// q = 1 − x. Then …, since q^n → 0 for q < 1".
    fn has_value(&self, name: &Name, context: &Context<'_>) -> bool {
        let moves = self.lexicon.names.usage(name) == Use::Other;
        let name = &symbol(name);
        self.protos.iter().any(|proto| {
            let Content::Binding(binding) = &proto.entry.content else {
                return false;
            };
            let here = proto.sentence == context.sentence;
            let just_before = moves
                && proto.sentence + 1 == context.sentence
                && binding
                    .bound
                    .iter()
                    .all(|bound| bound.kind == kernel::Kind::Real);
            (here || just_before)
                && matches!(proto.entry.role, Some(Role::Let | Role::Choice))
                && binding.conditions.iter().any(|condition| {
                    matches!(condition, Condition::Holds(left, Relation::Equal, right)
                        if left.as_variable() == Some(name)
                            && (here || !right.variables().is_empty()))
                })
        })
    }

    /// Whether a condition on the name follows another one in a later stretch of its sentence:
    /// "if x < 1, then …; if x = 1, then …" are cases of one x.
    fn is_next_case(&self, name: &Symbol, context: &Context<'_>, utterance: &Utterance) -> bool {
        self.protos.iter().any(|proto| {
            proto.sentence == context.sentence
                && proto.conditional
                && proto.reach < utterance.reach
                && binds(&proto.entry.content, name)
        })
    }

    /// Whether a let or a lasting range introduced the name in this zone.
    pub(super) fn is_bound(&self, name: &Symbol, zone: Zone) -> bool {
        self.protos.iter().any(|proto| {
            proto.entry.zone == zone
                && matches!(
                    proto.entry.role,
                    Some(Role::Let | Role::Choice | Role::Range)
                )
                && !proto.backward
                && !proto.local
                && binds(&proto.entry.content, name)
        })
    }

    /// Whether nothing was said of a name so far that may stand for a number.
    pub(in crate::discourse) fn is_unheard_of(&self, name: &Name, zone: Zone) -> bool {
        let own = symbol(name);
        let family = self.lexicon.family.as_ref();
        // h is a small number as often as a function.
        let number = name.base == "h" && name.subscript.is_none();
        matches!(self.lexicon.names.usage(name), Use::Other | Use::Point)
            && name.base != "e"
            && !self.lexicon.names.is_member(name)
            && (number || !self.is_function(name))
            && !self.is_bound(&own, zone)
            && !self.lexicon.defines(&own, 0)
            && !self.lexicon.domains.contains_key(&own)
            && !family.is_some_and(|family| family.points.contains(&own))
    }

    /// Whether a let that mentions the name on its other side introduces it as well: `0 < a < b`.
    pub(super) fn is_new(&self, name: &Name, zone: Zone) -> bool {
        let own = symbol(name);
        self.lexicon.names.usage(name) == Use::Other
            && !self.lexicon.names.is_member(name)
            && !self.is_function(name)
            && !self.is_bound(&own, zone)
            && (zone == Zone::Statement || !self.lexicon.domains.contains_key(&own))
    }

    /// "We define δ := min{1, ε/8}" chooses; other names are only named.
    pub(super) fn define(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let threshold = context.zone != Zone::Statement
            && shape::restriction(statement).is_some_and(|restriction| {
                !restriction.names.is_empty()
                    && restriction
                        .names
                        .iter()
                        .all(|name| self.lexicon.names.usage(name) == Use::Threshold)
            });
        if threshold {
            self.choose(context, position, statement, whole);
        } else {
            self.name(context, position, statement, whole);
        }
    }

    /// A name for a value that is no function of what was seen ahead: `M = 2/n`.
    pub(super) fn name(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        // "Consider x, y ≥ 0 such that |x − y| < δ"
        if self.is_nearness_of_points_at_hand(context, statement) {
            self.assume(context, position, statement, whole, Role::Assumption);
            return;
        }
        let utterance = &context.reading.utterances[position];
        let content = match self.lexicon.conditions(statement) {
            Err(lost) => lost.content(),
            Ok(conditions) => match shape::restriction(statement) {
                Some(restriction) => {
                    // "Write q = 1/(1 + h)" of a q that is known: h is what is new.
                    let known = restriction.names.iter().all(|name| {
                        self.is_bound(&symbol(name), context.zone)
                            || self.lexicon.defines(&symbol(name), 0)
                    });
                    let new: Vec<&Name> = restriction
                        .other
                        .map(shape::names_in)
                        .unwrap_or_default()
                        .into_iter()
                        .filter(|name| known && self.is_unheard_of(name, context.zone))
                        .collect();
                    let named = if new.is_empty() {
                        &restriction.names
                    } else {
                        &new
                    };
                    let bound = named
                        .iter()
                        .filter(|name| !self.chosen_in(context.sentence, &symbol(name)))
                        .map(|name| {
                            self.bound(
                                name,
                                utterance,
                                membership_set(statement),
                                Introduction::Arbitrary,
                            )
                        })
                        .collect();
                    Content::Binding(Binding { bound, conditions })
                }
                None => {
                    let names = shape::names_of(statement);
                    let mut new = names
                        .iter()
                        .filter(|name| self.is_unheard_of(name, context.zone));
                    let first = new.next().copied();
                    match (first, new.all(|name| Some(*name) == first)) {
                        // "The error is given by |f_n(x) − f(x)| = …": claimed of what is known.
                        (None, _) if context.zone != Zone::Statement => {
                            let role = self.claim_role_of(context, Mode::Claim);
                            self.links(context, position, statement, role);
                            return;
                        }
                        // "Write 1/|q| = 1 + h": h is what is new.
                        (Some(name), true) => {
                            let bound = self.bound(name, utterance, None, Introduction::Arbitrary);
                            Content::Binding(Binding {
                                bound: vec![bound],
                                conditions,
                            })
                        }
                        _ => self.unread(
                            context,
                            utterance,
                            statement,
                            "it does not tell what is named here",
                        ),
                    }
                }
            },
        };
        let role = if matches!(content, Content::Binding(_)) {
            Role::Let
        } else {
            Role::Definition
        };
        self.push(context, Some(position), whole, Some(role), content);
    }

    pub(super) fn assume(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
        role: Role,
    ) {
        let utterance = &context.reading.utterances[position];
        let tends = shape::links(statement)
            .iter()
            .any(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo));
        if tends {
            let before = self.protos.len();
            self.links(context, position, statement, role);
            // "Let ε > 0, M_n → 0, so there is N …", where M_n → 0 was claimed before.
            let (earlier, own) = self.protos.split_at_mut(before);
            for proto in own.iter_mut().filter(|_| role == Role::Assumption) {
                let claimed = earlier.iter().any(|other| {
                    other.entry.role.is_some_and(Role::is_claim)
                        && other.entry.content == proto.entry.content
                });
                if claimed {
                    proto.entry.role = Some(Role::Reason);
                }
            }
            return;
        }
        // What is supposed of z_n is supposed of a member of its sequence, of no new number.
        let names: Vec<&Name> = shape::restriction(statement)
            .map(|restriction| restriction.names)
            .unwrap_or_default()
            .into_iter()
            .filter(|name| !self.lexicon.names.is_member(name))
            .collect();
        for name in &names {
            if !self.is_function(name) {
                self.lexicon.declare(name);
            }
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        // "Suppose ε > 0 is given" introduces it.
        let introduces = role == Role::Assumption
            && !utterance.case
            && !names.is_empty()
            && names.iter().all(|name| {
                matches!(
                    self.lexicon.names.usage(name),
                    Use::Tolerance | Use::Index | Use::Point
                ) && !self.is_fixed(&symbol(name), context)
                    && !self.adds_to_condition(&symbol(name), context, utterance)
            });
        let role = if introduces { Role::Let } else { role };
        let content = match self.lexicon.conditions(statement) {
            Err(lost) => lost.content(),
            Ok(mut conditions) => {
                if introduces && membership_set(statement).is_none() {
                    for name in &names {
                        self.join_domain(&mut conditions, name);
                    }
                }
                let bound = names
                    .iter()
                    .filter(|name| {
                        !self.is_bound(&symbol(name), context.zone)
                            && !utterance.case
                            && !self.is_function(name)
                    })
                    .map(|name| {
                        self.bound(
                            name,
                            utterance,
                            membership_set(statement),
                            Introduction::Arbitrary,
                        )
                    })
                    .collect();
                Content::Binding(Binding { bound, conditions })
            }
        };
        let proto = self.push(context, Some(position), whole, Some(role), content);
        self.protos[proto].speaks_of = symbols;
        self.protos[proto].entry.for_all = for_all(context);
    }
}

/// The names that the sentence quantifies with "all", "every", "each" or "any".
fn for_all(context: &Context<'_>) -> Vec<Symbol> {
    context
        .reading
        .utterances
        .iter()
        .filter(|utterance| utterance.mode == Mode::Range)
        .filter(|utterance| {
            context
                .words_before(utterance.token)
                .take(3)
                .any(|word| ["all", "every", "each", "any"].contains(&word))
        })
        .filter_map(|utterance| context.statement(utterance))
        .flat_map(elaborate::statement_names)
        .collect()
}

/// The range and the choice of `n > N := 1/ε`.
fn range_and_choice(statement: &Statement) -> Option<(Statement, Statement)> {
    let StatementKind::Chain { first, links } = &statement.kind else {
        return None;
    };
    let at = links
        .iter()
        .position(|link| link.sign == Sign::Defines)
        .filter(|at| *at > 0)?;
    let name = links[at - 1].right.clone()?;
    let part = |first: Option<Term>, links: &[Link]| {
        let start = first
            .as_ref()
            .map_or(statement.range.start, |term| term.range.start);
        let end = links
            .last()
            .and_then(|link| link.right.as_ref())
            .map_or(start, |term| term.range.end);
        Statement {
            kind: StatementKind::Chain {
                first,
                links: links.to_vec(),
            },
            range: start..end,
        }
    };
    Some((
        part(first.clone(), &links[..at]),
        part(Some(name), &links[at..]),
    ))
}
