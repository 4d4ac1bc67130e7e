//! Names alone: "let x", "for all n", "choose N", "on D".

use super::super::attribute::{Attributes, attributes, is_restricting, unread_attribute};
use super::*;

impl Reader<'_> {
    pub(super) fn range_of_names(
        &mut self,
        context: &Context<'_>,
        position: usize,
        names: &[&Name],
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        if names
            .iter()
            .any(|name| self.lexicon.names.usage(name) == Use::Other && self.is_function(name))
        {
            self.push(
                context,
                Some(position),
                whole,
                Some(Role::Mention),
                Content::Mention,
            );
            return;
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let content = if utterance.large {
            Content::Unread {
                reason: "it does not tell how large is large enough".to_owned(),
                names: symbols.clone(),
            }
        } else if utterance.same {
            self.bound_before(context, utterance, names)
        } else {
            self.described(context, utterance, names, set_behind(context, position))
        };
        let proto = self.push(context, Some(position), whole, Some(Role::Range), content);
        self.protos[proto].speaks_of = symbols;
    }

    /// "for these n": the range of n that was said last; "for this N": nothing new.
    fn bound_before(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        names: &[&Name],
    ) -> Content {
        let mut bound = Vec::new();
        let mut conditions = Vec::new();
        for name in names {
            let own = symbol(name);
            let before = self.protos.iter().rev().find_map(|proto| {
                let Content::Binding(binding) = &proto.entry.content else {
                    return None;
                };
                let says = proto.entry.zone == context.zone
                    && binding.bound.iter().any(|bound| bound.name == own)
                    && binding
                        .conditions
                        .iter()
                        .any(|condition| condition.variables().contains(&own));
                says.then_some((proto.entry.role, binding))
            });
            match before {
                Some((Some(Role::Choice | Role::Let), _)) => {}
                Some((_, binding)) => {
                    let about = binding
                        .conditions
                        .iter()
                        .filter(|condition| condition.variables().contains(&own))
                        .cloned();
                    join(&mut conditions, about.collect());
                    bound.push(self.bound(name, utterance, None, Introduction::Arbitrary));
                }
                None => {
                    return Content::Unread {
                        reason: format!("it does not tell which {own} is meant"),
                        names: vec![own],
                    };
                }
            }
        }
        if bound.is_empty() {
            return Content::Mention;
        }
        Content::Binding(Binding { bound, conditions })
    }

    /// "where x is bounded": words that restrict what they speak of.
    pub(super) fn restricts_in_words(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        names: &[&Name],
    ) -> bool {
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let said = attributes(context, utterance, &symbols);
        said.unread.is_some() || !said.conditions.is_empty()
    }

    /// Names that run through the set, and are what the words beside them say.
    pub(super) fn described(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        names: &[&Name],
        set: Option<&Term>,
    ) -> Content {
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let said = attributes(context, utterance, &symbols);
        if let Some(word) = said.unread {
            return unread_attribute(&word, symbols);
        }
        let mut content = self.names_in_set(utterance, names, set);
        if let Content::Binding(binding) = &mut content {
            join(&mut binding.conditions, said.conditions);
        }
        content
    }

    /// Names that run through the set, else through their domain.
    pub(super) fn names_in_set(
        &self,
        utterance: &Utterance,
        names: &[&Name],
        set: Option<&Term>,
    ) -> Content {
        let mut conditions = Vec::new();
        for name in names {
            let more = match set {
                Some(set) => self.lexicon.member(set, &Expr::variable(&symbol(name))),
                None => Ok(self.domain_of(name)),
            };
            match more {
                Ok(more) => join(&mut conditions, more),
                Err(lost) => return lost.content(),
            }
        }
        let bound = names
            .iter()
            .map(|name| self.bound(name, utterance, set, Introduction::Arbitrary))
            .collect();
        Content::Binding(Binding { bound, conditions })
    }

    pub(super) fn is_function(&self, name: &Name) -> bool {
        let own = symbol(name);
        self.lexicon
            .definition(&own, 0)
            .is_some_and(|definition| !definition.parameters.is_empty())
            || name.subscript.is_some() && self.lexicon.defines(&Symbol::new(&name.base), 1)
            || ["f", "g", "h", "F", "G", "φ"].contains(&name.base.as_str())
    }

    /// Adds what the exercise says of a name, and n ≥ 1 of an index of which nothing says where it
    /// begins ("for all integers m ≥ 0").
    pub(super) fn join_domain(&self, conditions: &mut Vec<Condition>, name: &Name) {
        let own = symbol(name);
        let begins = conditions.iter().any(|condition| {
            let (lower, bound) = match condition {
                Condition::Holds(left, Relation::GreaterEqual | Relation::Greater, right) => {
                    (left, right)
                }
                Condition::Holds(left, Relation::LessEqual | Relation::Less, right) => {
                    (right, left)
                }
                _ => return false,
            };
            lower.as_variable() == Some(&own) && bound.as_number().is_some()
        });
        let mut domain = self.domain_of(name);
        domain.retain(|condition| !begins || *condition != at_least_one(&own));
        join(conditions, domain);
    }

    /// What the exercise says of a name, and n ≥ 1 of an index.
    pub(super) fn domain_of(&self, name: &Name) -> Vec<Condition> {
        let own = symbol(name);
        if let Some(domain) = self.lexicon.domains.get(&own) {
            return domain.conditions.clone();
        }
        match self.lexicon.names.usage(name) {
            Use::Index => vec![at_least_one(&own)],
            Use::Tolerance => vec![Condition::Holds(
                Expr::variable(&own),
                Relation::Greater,
                Expr::integer(0),
            )],
            _ => Vec::new(),
        }
    }

    pub(super) fn bound(
        &self,
        name: &Name,
        utterance: &Utterance,
        set: Option<&Term>,
        introduction: Introduction,
    ) -> Bound {
        let said = utterance
            .integer
            .map(|integer| if integer { Kind::Integer } else { Kind::Real });
        let by_set = set.and_then(elaborate::domain_kind);
        let habit = self.lexicon.habitual_kind(name);
        let given = self
            .lexicon
            .domains
            .get(&symbol(name))
            .and_then(|domain| domain.kind);
        Bound {
            name: symbol(name),
            kind: by_set.or(said).or(given).unwrap_or(habit),
            introduction,
            inner: Vec::new(),
        }
    }

    /// "Let x be nonnegative with x < 5": what was said of the names where they were announced.
    pub(super) fn said_of_subjects(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        names: &[Symbol],
    ) -> Attributes {
        let mut found = Attributes::default();
        for (subject, own) in announced(context, utterance, names) {
            if let Some(subject) = context.reading.utterances.get(subject) {
                // "The smallest index m with m ≥ n" is told by what follows.
                let mut said = attributes(context, subject, &own);
                said.unread = said.unread.filter(|word| is_restricting(word));
                found.join(said);
            }
        }
        found
    }

    /// "Let x and y be points of [1, ∞) with x < y": in which sets the names were announced.
    pub(super) fn sets_of_subjects<'a>(
        &self,
        context: &Context<'a>,
        utterance: &Utterance,
        names: &[Symbol],
    ) -> Vec<(Symbol, &'a Term)> {
        announced(context, utterance, names)
            .into_iter()
            .filter_map(|(subject, own)| set_behind(context, subject).map(|set| (own, set)))
            .flat_map(|(own, set)| own.into_iter().map(move |name| (name, set)))
            .collect()
    }

    /// Whether what is said of announced names binds them itself: "let x be a number with x < 5".
    /// "Let x and y be numbers with |x − y| < δ" only tells more of points that are let in.
    fn binds_announced(&self, statement: &Statement, names: &[&Name]) -> bool {
        let points = names
            .iter()
            .all(|name| self.lexicon.names.usage(name) == Use::Point);
        let binds = || {
            shape::subject_names(statement)
                .iter()
                .any(|own| names.iter().any(|name| symbol(name) == symbol(own)))
        };
        matches!(statement.kind, StatementKind::Chain { .. }) && (!points || binds())
    }

    pub(super) fn let_names(
        &mut self,
        context: &Context<'_>,
        position: usize,
        names: &[&Name],
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let restated = context.reading.utterances[position + 1..]
            .iter()
            .any(|later| {
                later.subjects.contains(&position)
                    && matches!(later.mode, Mode::Let | Mode::Define)
                    && (later.spoken.is_some()
                        || context
                            .statement(later)
                            .is_some_and(|statement| self.binds_announced(statement, names)))
            });
        let known = names.iter().all(|name| {
            let usage = self.lexicon.names.usage(name);
            matches!(
                usage,
                Use::Index | Use::Point | Use::Tolerance | Use::Threshold
            )
        });
        let function = names.iter().any(|name| self.is_function(name));
        let defined_here = !context.defined.is_empty();
        if restated || function && (defined_here || self.lexicon.family.is_some()) {
            self.push(
                context,
                Some(position),
                whole,
                Some(Role::Mention),
                Content::Mention,
            );
            return;
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let set = set_behind(context, position);
        // "Let a and b be positive real numbers"
        let told = context.last_of_list(utterance).integer.is_some()
            || !attributes(context, utterance, &symbols)
                .conditions
                .is_empty();
        let content = if known || utterance.integer.is_some() || set.is_some() || told {
            self.described(context, utterance, names, set)
        } else {
            Content::Unread {
                reason: "what is said of it in words is not read".to_owned(),
                names: symbols.clone(),
            }
        };
        let proto = self.push(context, Some(position), whole, Some(Role::Let), content);
        self.protos[proto].speaks_of = symbols;
    }

    pub(super) fn choose_names(
        &mut self,
        context: &Context<'_>,
        position: usize,
        names: &[&Name],
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let followed = context.reading.utterances[position + 1..]
            .iter()
            .any(|later| later.subjects.contains(&position));
        // "(such an N exists)" speaks of what was picked already.
        let known = names
            .iter()
            .all(|name| self.is_bound(&symbol(name), context.zone));
        // "converges to some L": what it is called, and nothing that is picked.
        let limits = names
            .iter()
            .all(|name| self.limit_names.contains(&symbol(name)));
        if followed || known || limits || names.iter().any(|name| self.is_function(name)) {
            self.push(
                context,
                Some(position),
                whole,
                Some(Role::Mention),
                Content::Mention,
            );
            return;
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let content = if utterance.large {
            Content::Unread {
                reason: "it does not tell how large it is picked".to_owned(),
                names: symbols.clone(),
            }
        } else if names
            .iter()
            .all(|name| self.lexicon.names.usage(name) != Use::Other)
        {
            let introduction = introduction(utterance);
            let mut conditions = Vec::new();
            for name in names {
                if self.lexicon.names.usage(name) != Use::Threshold {
                    join(&mut conditions, self.domain_of(name));
                }
            }
            let bound = names
                .iter()
                .map(|name| self.bound(name, utterance, None, introduction))
                .collect();
            Content::Binding(Binding { bound, conditions })
        } else {
            Content::Unread {
                reason: "how it is picked is said in words that are not read".to_owned(),
                names: symbols.clone(),
            }
        };
        let proto = self.push(context, Some(position), whole, Some(Role::Choice), content);
        self.protos[proto].speaks_of = symbols;
    }

    /// "on [0, 1]": restricts the points of the claims around it.
    pub(super) fn domain(
        &mut self,
        context: &Context<'_>,
        position: usize,
        set: &Term,
        whole: Span,
    ) {
        let points = self.lexicon.points().to_vec();
        let mut conditions = Vec::new();
        let mut lost = None;
        for point in &points {
            match self.lexicon.member(set, &Expr::variable(point)) {
                Ok(more) => conditions.extend(more),
                Err(found) => lost = Some(found),
            }
        }
        let here = &context.reading.utterances[position];
        let group = context.group(here);
        let of_convergence = group.tends || group.converges.is_some() || group.uniform.is_some();
        // "On [a, ∞) we have …, so …" goes on, "… on [a, ∞), since there …" serves its stretch;
        // behind a convergence it is that statement's own domain.
        let claims_here = context.zone != Zone::Statement
            && context
                .reading
                .utterances
                .iter()
                .enumerate()
                .any(|(place, other)| {
                    let reached = match position < place {
                        true => other.reach == here.reach || !here.backward,
                        false => other.reach == here.reach && !of_convergence,
                    };
                    reached
                        && matches!(other.mode, Mode::Claim | Mode::Reason)
                        && context.statement(other).is_some_and(|statement| {
                            shape::links(statement)
                                .iter()
                                .any(|link| matches!(link.sign, Sign::Relation(_)))
                        })
                });
        if points.is_empty() || !claims_here {
            self.push(
                context,
                Some(position),
                whole,
                Some(Role::Mention),
                Content::Mention,
            );
            return;
        }
        let content = match lost {
            Some(lost) => Content::Unread {
                reason: lost.reason,
                names: points.clone(),
            },
            None => Content::Binding(Binding {
                bound: points
                    .iter()
                    .map(|point| Bound {
                        name: point.clone(),
                        kind: Kind::Real,
                        introduction: Introduction::Arbitrary,
                        inner: Vec::new(),
                    })
                    .collect(),
                conditions,
            }),
        };
        let proto = self.push(context, Some(position), whole, Some(Role::Range), content);
        self.protos[proto].speaks_of = points;
    }
}

/// Which of the names the objects are that an utterance speaks of, with their utterances.
fn announced(
    context: &Context<'_>,
    utterance: &Utterance,
    names: &[Symbol],
) -> Vec<(usize, Vec<Symbol>)> {
    utterance
        .subjects
        .iter()
        .filter_map(|subject| {
            let statement = context.statement(context.reading.utterances.get(*subject)?)?;
            let own: Vec<Symbol> = shape::subject_names(statement)
                .into_iter()
                .map(symbol)
                .filter(|name| names.contains(name))
                .collect();
            Some((*subject, own))
        })
        .collect()
}
