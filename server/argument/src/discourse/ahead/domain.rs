//! Where points and parameters live, told before anything is claimed of them.

use super::*;

impl Reader<'_> {
    /// "Take D = [0, 1], f_n(x) = e^(−x/n)": the functions of the sentence live on the set.
    pub(super) fn functions_on_named_set(&mut self, context: &Context<'_>) {
        let [position] = context.named_sets.as_slice() else {
            return;
        };
        if context.in_mode(Mode::Domain).next().is_some() {
            return;
        }
        let mut points: Vec<Symbol> = Vec::new();
        for ahead in &context.defined {
            if let Some(own) = self.lexicon.definitions.get(ahead.definition) {
                points.extend(own.parameters.iter().skip(own.subscripts).cloned());
            }
        }
        points.dedup();
        let utterance = &context.reading.utterances[*position];
        let Some(statement) = context.statement(utterance) else {
            return;
        };
        if let Some(set) = shape::links(statement)
            .last()
            .and_then(|link| link.right.as_ref())
        {
            let span = self.place(context, utterance, &statement.range);
            self.lexicon.set_domain(&points, set, span);
        }
    }

    /// Domains of points and parameters that the sentence states.
    pub(super) fn domains_ahead(&mut self, context: &Context<'_>) {
        let defines = !context.defined.is_empty()
            || context.reading.utterances.iter().any(|utterance| {
                context.statement(utterance).is_some_and(|statement| {
                    matches!(statement.kind, StatementKind::Mapping { .. })
                })
            });
        let states = context.zone == Zone::Statement;
        let stretches = if states {
            Vec::new()
        } else {
            self.stretches(context)
        };
        for (position, utterance) in context.reading.utterances.iter().enumerate() {
            let Some(statement) = context.statement(utterance) else {
                continue;
            };
            // Where one case of a definition holds, or something rises, is no domain.
            if context.places.contains(&position) || stretches.contains(&utterance.token) {
                continue;
            }
            let span = self.place(context, utterance, &statement.range);
            match utterance.mode {
                Mode::Domain => {
                    let Some(set) = shape::first_term(statement) else {
                        continue;
                    };
                    let points = self.lexicon.points().to_vec();
                    let missing = !points.is_empty()
                        && points
                            .iter()
                            .any(|point| !self.lexicon.domains.contains_key(point));
                    // "Uniform on [0, b]? On [0, ∞)?" asks; where the functions live is said before.
                    let asked = context.asks_convergence() && !points.is_empty() && !missing;
                    let stated = states && (self.lexicon.part || !asked);
                    // "On [0, 1/n] it is at most …": all functions of a family live on one set.
                    let moving = !states && self.moves(set);
                    if stated || missing && !moving || self.takes_functions(context) {
                        self.lexicon.set_domain(&points, set, span);
                        // "f_n on [0, ∞) and g_n on ℝ": x lives in as many sets.
                        if context.defined.len() > 1 && context.in_mode(Mode::Domain).count() > 1 {
                            self.lexicon
                                .loosen_domain(&points, "several sets are named for it at once");
                        }
                    }
                }
                Mode::Range
                | Mode::Let
                | Mode::Condition
                | Mode::Where
                | Mode::Claim
                | Mode::Assume
                    if (states || defines || says_throughout(context.tokens))
                        && utterance.link.is_none()
                        && utterance.doubt.is_none() =>
                {
                    self.restriction_ahead(context, utterance, statement, span);
                    if says_throughout(context.tokens) {
                        for name in shape::names_of(statement).into_iter().map(symbol) {
                            if let Some(domain) = self.lexicon.domains.get(&name) {
                                self.lexicon.standing.insert(name, domain.clone());
                            }
                        }
                    }
                }
                _ => {}
            }
        }
    }

    /// "(ii) False. Take g_n(x) = x(1 − x)^n on [0, 1]": a part that asks about functions in general
    /// takes its own, which live where it says.
    fn takes_functions(&self, context: &Context<'_>) -> bool {
        let functions = |definition: usize| {
            self.lexicon
                .definitions
                .get(definition)
                .is_some_and(|own| own.subscripts == 1 && own.parameters.len() > 1)
        };
        let taken = context
            .defined
            .iter()
            .any(|ahead| functions(ahead.definition));
        let before = self.protos.iter().any(|proto| {
            matches!(proto.entry.content, Content::Definition(definition) if functions(definition))
        });
        taken && !before && self.lexicon.part
    }

    /// A bound that mentions a threshold or the tolerance is no domain.
    fn is_local(&self, statement: &Statement) -> bool {
        shape::names_of(statement)
            .iter()
            .any(|other| match self.lexicon.names.usage(other) {
                Use::Tolerance => true,
                Use::Threshold => other.base != "δ",
                _ => false,
            })
    }

    fn restriction_ahead(
        &mut self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &Statement,
        span: source::Span,
    ) {
        let Some(restriction) = shape::restriction(statement) else {
            return;
        };
        let order = shape::is_order_or_membership(restriction.sign);
        let mut names = restriction.names.clone();
        for link in shape::links(statement) {
            if let Some(name) = link.right.as_ref().and_then(shape::bare_name)
                && !matches!(link.sign, Sign::In | Sign::Subset)
            {
                names.push(name);
            }
        }
        names.dedup_by(|a, b| symbol(a) == symbol(b));
        for name in names {
            let usage = self.lexicon.names.usage(name);
            let known_function =
                self.lexicon.defines(&Symbol::new(&name.base), 1) && name.subscript.is_some();
            let parameter = usage == Use::Threshold && name.base == "δ";
            if !order
                || known_function
                || matches!(usage, Use::Threshold | Use::Tolerance) && !parameter
                || name.primes > 0
            {
                continue;
            }
            // "if x = 0 …" speaks of a case, not of the domain.
            if utterance.mode == Mode::Condition && usage == Use::Point {
                continue;
            }
            if utterance.mode == Mode::Claim
                && usage == Use::Other
                && context.zone != Zone::Statement
            {
                continue;
            }
            let own = symbol(name);
            if utterance.mode == Mode::Range && restricted_anew(context, utterance, &own) {
                continue;
            }
            let set = membership_set(statement);
            // "Let m ≥ x": of x nothing new is said.
            let beside = !restriction.names.contains(&name);
            if beside && (usage == Use::Point || self.lexicon.domains.contains_key(&own)) {
                continue;
            }
            let known =
                self.lexicon.domains.get(&own).is_some_and(|domain| {
                    domain.span.is_some_and(|old| !context.span.contains(old))
                });
            if known && context.zone != Zone::Statement {
                continue;
            }
            if self.is_local(statement) {
                continue;
            }
            let (conditions, unread) = match self.lexicon.conditions(statement) {
                Ok(conditions) => (conditions, None),
                Err(lost) => (Vec::new(), Some(lost.reason)),
            };
            let kind = set
                .and_then(elaborate::domain_kind)
                .or(utterance.integer.map(|integer| {
                    if integer {
                        kernel::Kind::Integer
                    } else {
                        kernel::Kind::Real
                    }
                }));
            let same_sentence =
                self.lexicon.domains.get(&own).is_some_and(|domain| {
                    domain.span.is_some_and(|old| context.span.contains(old))
                });
            // "Let c > 0. … (c) Let c ≠ 2": one number less, and no other domain.
            let leaves_one = restriction.sign == Sign::Relation(Relation::NotEqual);
            let entry = self.lexicon.domains.entry(own).or_default();
            if set.is_some() || !same_sentence && !leaves_one && entry.span.is_some() {
                *entry = Domain::default();
            }
            entry.conditions.extend(conditions);
            entry.span = Some(span);
            entry.unread = unread;
            entry.kind = kind
                .or(entry.kind)
                .or(
                    Some(self.lexicon.names.usage(name)).map(|usage| match usage {
                        Use::Index => kernel::Kind::Integer,
                        _ => kernel::Kind::Real,
                    }),
                );
        }
    }
}

/// "The limit is 0 for |q| < 1 and 1 for q = 1": each range is of its own value, none is the domain.
fn restricted_anew(context: &Context<'_>, utterance: &Utterance, name: &Symbol) -> bool {
    let ranges = |other: &Utterance| matches!(other.mode, Mode::Range | Mode::Condition);
    let all = &context.reading.utterances;
    all.iter().any(|other| {
        let between = utterance.token.min(other.token)..utterance.token.max(other.token);
        ranges(other)
            && all
                .iter()
                .any(|claim| between.contains(&claim.token) && !ranges(claim))
            && context
                .statement(other)
                .and_then(shape::restriction)
                .is_some_and(|restriction| restriction.names.iter().any(|own| symbol(own) == *name))
    })
}

/// "Throughout q ∈ ℝ, |q| < 1": said for all that follows.
fn says_throughout(tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens.iter().map_while(Token::word).take(3).collect();
    matches!(
        words.as_slice(),
        ["throughout", ..]
            | ["in", "what", "follows"]
            | ["in", "the", "sequel"]
            | ["from", "now", "on"]
    )
}
