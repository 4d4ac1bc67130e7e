//! Statements that claim, and the role of what they claim.

use super::*;

/// "n = (1 + x_n)^n": no place, but an equation.
fn speaks_of_itself(restriction: &shape::Restriction<'_>) -> bool {
    restriction.other.is_some_and(|other| {
        shape::names_in(other)
            .iter()
            .any(|name| restriction.names.iter().any(|own| own.base == name.base))
    })
}

impl Reader<'_> {
    pub(super) fn claim(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        if utterance.link.is_none()
            && utterance.spoken.is_none()
            && let Some(restriction) = shape::restriction(statement)
        {
            let usage = restriction
                .names
                .first()
                .map_or(Use::Other, |name| self.lexicon.names.usage(name));
            let order = shape::is_order_or_membership(restriction.sign);
            let first = restriction.names.first().map(|name| symbol(name));
            let known = first
                .as_ref()
                .is_some_and(|name| self.is_bound(name, context.zone));
            let wishes_index = usage == Use::Index && order && mentions_tolerance(statement);
            // "x ≠ 0: by the mean inequality …": the case of which its item speaks.
            let heads = (context.tokens[..utterance.token]
                .iter()
                .rev()
                .take_while(|token| !token.is(Mark::Border))
                .all(|token| matches!(token.kind, TokenKind::Mark(_)))
                || self.heads_a_row(context.tokens, utterance.token))
                && context
                    .tokens
                    .get(utterance.token + 1)
                    .is_some_and(|next| next.is(Mark::Colon));
            if heads
                && matches!(usage, Use::Point | Use::Index)
                && restriction.sign != Sign::Defines
                && context.zone != Zone::Statement
            {
                self.range(context, position, statement, whole);
                return;
            }
            // "n := N": whatever is known of the name, it is named anew.
            if restriction.sign == Sign::Defines && context.zone != Zone::Statement {
                self.choose(context, position, statement, whole);
                return;
            }
            match usage {
                Use::Tolerance if order && !known => {
                    self.let_statement(context, position, statement, whole);
                    return;
                }
                Use::Tolerance
                    if restriction.sign == Sign::Relation(Relation::Equal)
                        && context.zone != Zone::Statement
                        && restriction
                            .other
                            .is_some_and(|other| shape::names_in(other).is_empty()) =>
                {
                    self.choose(context, position, statement, whole);
                    return;
                }
                Use::Threshold
                    if context.zone != Zone::Statement
                        && (!known || order && self.is_placed(context, first.as_ref())) =>
                {
                    if context.zone == Zone::Scratch && utterance.therefore && self.aim_goes_on {
                        self.links(context, position, statement, Role::Aim);
                    } else {
                        self.choose(context, position, statement, whole);
                    }
                    return;
                }
                Use::Index if wishes_index && !self.index_in_force(context, first.as_ref()) => {
                    self.links(context, position, statement, Role::Aim);
                    return;
                }
                // "The worst point is x = a": which x this is is told in words.
                Use::Point | Use::Index
                    if restriction.sign == Sign::Relation(Relation::Equal)
                        && context.zone != Zone::Statement
                        && !speaks_of_itself(&restriction)
                        && !first
                            .as_ref()
                            .is_some_and(|name| self.is_held(name, context.zone)) =>
                {
                    let lost = self
                        .lexicon
                        .lost(statement, "what is said of this place is said in words");
                    self.push(context, Some(position), whole, None, lost.content());
                    return;
                }
                _ if order && context.zone == Zone::Statement => {
                    self.let_statement(context, position, statement, whole);
                    return;
                }
                _ => {}
            }
        }
        let role = self.claim_role(context, utterance);
        self.links(context, position, statement, role);
    }

    /// Whether a range or let for the index governs the sentence.
    pub(super) fn index_in_force(&self, context: &Context<'_>, index: Option<&Symbol>) -> bool {
        let Some(index) = index else { return false };
        let ranged = context.reading.utterances.iter().any(|utterance| {
            matches!(utterance.mode, Mode::Range | Mode::Condition | Mode::Let)
                && context
                    .statement(utterance)
                    .is_some_and(|statement| elaborate::statement_names(statement).contains(index))
        });
        ranged
            || self.protos.iter().any(|proto| {
                proto.entry.zone == context.zone
                    && proto.entry.role == Some(Role::Let)
                    && binds(&proto.entry.content, index)
            })
    }

    /// A wish: what the writer wants to reach, and its rewritings.
    pub(super) fn wish(&mut self, context: &Context<'_>, position: usize, statement: &Statement) {
        // "… uniformly on [a, ∞), a > 0": a parameter of the aim.
        let parameter = shape::restriction(statement).is_some_and(|restriction| {
            shape::is_order_or_membership(restriction.sign)
                && restriction
                    .names
                    .iter()
                    .all(|name| self.is_new(name, context.zone))
        });
        if parameter && context.reading.utterances[position].link.is_none() {
            let whole = self.place(
                context,
                &context.reading.utterances[position],
                &statement.range,
            );
            self.let_statement(context, position, statement, whole);
            return;
        }
        // "I will show that ε = 1 is such a number": that one is picked.
        let picked = context.zone != Zone::Statement
            && shape::restriction(statement).is_some_and(|restriction| {
                restriction.sign == Sign::Relation(Relation::Equal)
                    && restriction
                        .names
                        .iter()
                        .all(|name| self.lexicon.names.usage(name) == Use::Tolerance)
                    && restriction
                        .other
                        .is_some_and(|other| shape::names_in(other).is_empty())
            });
        if picked {
            let utterance = &context.reading.utterances[position];
            let whole = self.place(context, utterance, &statement.range);
            self.choose(context, position, statement, whole);
            return;
        }
        self.links(context, position, statement, Role::Aim);
    }

    /// The role of what a clause asserts.
    pub(in crate::discourse) fn claim_role(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
    ) -> Role {
        self.claim_role_of(context, utterance.mode)
    }

    pub(in crate::discourse) fn claim_role_of(&self, context: &Context<'_>, mode: Mode) -> Role {
        match mode {
            Mode::Reason => Role::Reason,
            Mode::Aim => Role::Aim,
            Mode::Reject | Mode::Contradiction => Role::Rejected,
            Mode::Assume => Role::Assumption,
            Mode::Condition | Mode::Range => Role::Condition,
            _ if context.zone == Zone::Statement => Role::Aim,
            _ => Role::Step,
        }
    }

    /// Adds an asserting entry, or an unread one.
    pub(in crate::discourse) fn said(
        &mut self,
        context: &Context<'_>,
        position: usize,
        span: Span,
        role: Role,
        meaning: Result<Said, Lost>,
        doubt: Option<&'static str>,
    ) -> usize {
        let nothing = matches!(meaning, Ok(Said::Nothing));
        let doubt = doubt.filter(|_| matches!(role, Role::Step | Role::Reason | Role::Conclusion));
        let convergence = match &meaning {
            Ok(Said::Assertion(assertion)) => matches!(**assertion, Assertion::Convergence { .. }),
            _ => false,
        };
        // A negated convergence carries its negation itself.
        let doubt = doubt.filter(|_| !convergence);
        let content = content_of(meaning, doubt);
        let utterance = &context.reading.utterances[position];
        let role = if nothing {
            Role::Mention
        } else if role == Role::Step && self.concludes(context, &content) {
            Role::Conclusion
        } else {
            role
        };
        let span = if role == Role::Conclusion {
            context.group_span(context.group(utterance)).to(span)
        } else {
            span
        };
        let role = if doubt.is_some() { None } else { Some(role) };
        self.push(context, Some(position), span, role, content)
    }

    /// Whether an assertion in the proof states the convergence that the argument is about.
    pub(in crate::discourse) fn concludes(&self, context: &Context<'_>, content: &Content) -> bool {
        if context.zone != Zone::Proof {
            return false;
        }
        if let Content::Assertion(Assertion::Limit { term, .. }) = content {
            return self
                .lexicon
                .family
                .as_ref()
                .is_some_and(|family| family.points.is_empty() && family.term == *term);
        }
        if let Content::Assertion(Assertion::Series { terms, .. }) = content {
            return terms.uniform
                || self.aims.iter().any(|aim| {
                    matches!(&aim.assertion, Some(Assertion::Series { terms: aimed, .. })
                        if aimed.points.is_empty() == terms.points.is_empty() && !aimed.uniform)
                });
        }
        let Content::Assertion(Assertion::Convergence { error, negated }) = content else {
            return false;
        };
        if error.points.is_empty() || error.uniform || *negated {
            return true;
        }
        let aimed_pointwise = self
            .aims
            .iter()
            .any(|aim| matches!(&aim.assertion, Some(Assertion::Convergence { error, .. }) if !error.uniform));
        let aimed_uniform = self
            .aims
            .iter()
            .any(|aim| matches!(&aim.assertion, Some(Assertion::Convergence { error, .. }) if error.uniform));
        aimed_pointwise && !aimed_uniform
    }

    /// `lim f_n(x) = f(x)` names the candidate for the limit.
    pub(super) fn adopt_limit(&mut self, meaning: &Result<Said, Lost>) {
        let Ok(Said::Assertion(assertion)) = meaning else {
            return;
        };
        if let Assertion::Limit {
            term,
            variable,
            value: LimitValue::Number(value),
            toward: Toward::Infinity,
            negated: false,
            ..
        } = &**assertion
            && let Some(family) = self.lexicon.family.clone()
            && *term == family.term
            && *variable == family.index
        {
            super::super::assertion::adopt(&mut self.lexicon, &family, value);
        }
    }

    /// Estimates in scratch work are steps, the comparison with the tolerance is what is wanted.
    pub(super) fn role_of_link(
        &self,
        context: &Context<'_>,
        role: Role,
        link: &Link,
        left: &Operand,
        right: &Operand,
    ) -> Role {
        let tolerant = |operand: &Operand| {
            shape::names_in(&operand.term)
                .iter()
                .any(|name| super::super::names::is_tolerance(&name.base))
        };
        let ordered = shape::is_order_or_membership(link.sign);
        if context.zone == Zone::Scratch
            && role == Role::Step
            && ordered
            && (tolerant(left) || tolerant(right))
            && !self.governed(context)
        {
            return Role::Aim;
        }
        if role == Role::Step && context.wish && (tolerant(left) || tolerant(right)) {
            return Role::Aim;
        }
        role
    }

    /// Whether a range, condition or choice of the sentence can make a comparison with ε true.
    pub(super) fn governed(&self, context: &Context<'_>) -> bool {
        let here = context.reading.utterances.iter().any(|utterance| {
            matches!(
                utterance.mode,
                Mode::Range | Mode::Condition | Mode::Choose | Mode::Exists | Mode::Reason
            )
        });
        here || self.protos.iter().any(|proto| {
            proto.entry.zone == Zone::Scratch
                && matches!(proto.entry.role, Some(Role::Choice | Role::Let))
                && !proto.borrowed
        })
    }

    /// `0 < x < 2/n : +  f_n goes up`: a row of signs behind anything but words.
    fn heads_a_row(&self, tokens: &[Token], at: usize) -> bool {
        let opens = at
            .checked_sub(1)
            .and_then(|before| tokens.get(before))
            .is_none_or(|before| {
                let gap = before.span.end..tokens[at].span.start;
                let new_line = self.draft.get(gap).is_some_and(|gap| gap.contains('\n'));
                new_line || before.word().is_none()
            });
        let told = tokens.get(at + 2).is_some_and(|next| match &next.kind {
            TokenKind::Word { text, .. } => [
                "positive",
                "negative",
                "increasing",
                "decreasing",
                "plus",
                "minus",
                "rising",
                "falling",
            ]
            .contains(&text.as_str()),
            TokenKind::Statement(statement) => {
                matches!(
                    &statement.statement.kind,
                    StatementKind::Term(_) | StatementKind::Unread(_)
                )
            }
            _ => false,
        });
        opens && told
    }
}
