//! What the writer picks: thresholds, δ, witnesses.

use super::*;
use crate::discourse::attribute::{attributes, unread_attribute};
use crate::discourse::entry::Proto;
use kernel::{Function, Node};

impl Reader<'_> {
    /// "let N be an integer with …"
    pub(super) fn announces_threshold(&self, context: &Context<'_>, subject: usize) -> bool {
        let Some(statement) = context
            .reading
            .utterances
            .get(subject)
            .and_then(|subject| context.statement(subject))
        else {
            return false;
        };
        shape::subject_names(statement)
            .iter()
            .any(|name| self.lexicon.names.usage(name) == Use::Threshold)
    }

    /// What a clause picks: the names of its announced objects, else those that the statement
    /// restricts, else the thresholds that it mentions.
    fn picked<'n>(
        &self,
        context: &Context<'n>,
        utterance: &Utterance,
        statement: &'n Statement,
    ) -> Vec<&'n Name> {
        let mut names: Vec<&Name> = Vec::new();
        for subject in &utterance.subjects {
            let subject = context.reading.utterances.get(*subject);
            if let Some(subject) = subject.and_then(|subject| context.statement(subject)) {
                names.extend(shape::subject_names(subject));
            }
        }
        if names.is_empty() {
            match shape::restriction(statement) {
                Some(restriction) => names.extend(restriction.names),
                None => {
                    names.extend(
                        shape::names_of(statement)
                            .into_iter()
                            .filter(|name| self.lexicon.names.usage(name) == Use::Threshold),
                    );
                    // "Then pick N ≥ n_0 with |f_n(x) − f(x)| < δ": N, and not the δ at hand.
                    let before = self.picked_before(context, utterance);
                    let known = !names.is_empty()
                        && names
                            .iter()
                            .all(|name| self.is_chosen(&symbol(name), context));
                    if known && let Some(own) = before {
                        names = vec![own];
                    }
                }
            }
        }
        // "Take J ≥ 1 with 3^J ≥ 1/ε": what the clause picked before.
        if names.is_empty() {
            let picked: Vec<Symbol> = context
                .reading
                .utterances
                .iter()
                .filter(|other| {
                    other.token < utterance.token
                        && matches!(other.mode, Mode::Choose | Mode::Exists)
                })
                .filter_map(|other| shape::restriction(context.statement(other)?))
                .flat_map(|restriction| restriction.names)
                .filter(|name| self.lexicon.names.usage(name) == Use::Other)
                .map(symbol)
                .collect();
            let own = shape::names_of(statement);
            let alone = own.iter().all(|name| {
                picked.contains(&symbol(name)) || self.lexicon.names.usage(name) == Use::Tolerance
            });
            if alone {
                names.extend(
                    own.into_iter()
                        .filter(|name| picked.contains(&symbol(name))),
                );
            }
        }
        names.dedup_by(|a, b| symbol(a) == symbol(b));
        names
    }

    /// The one threshold that the sentence picked by a restriction right before an utterance.
    fn picked_before<'n>(&self, context: &Context<'n>, utterance: &Utterance) -> Option<&'n Name> {
        let before = context
            .reading
            .utterances
            .iter()
            .rfind(|other| other.token < utterance.token)?;
        let picks = before.mode == utterance.mode && before.mode == Mode::Choose;
        let restriction = shape::restriction(context.statement(before)?).filter(|_| picks)?;
        match restriction.names.as_slice() {
            [name] if self.lexicon.names.usage(name) == Use::Threshold => Some(name),
            _ => None,
        }
    }

    /// A statement by which the writer picks something.
    pub(super) fn choose(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let followed = is_membership(statement)
            && context.reading.utterances[position + 1..]
                .iter()
                .any(|later| later.subjects.contains(&position));
        // "Take x, y ∈ [0, ∞) with |x − y| < δ": any such points.
        let nearby = utterance.mode == Mode::Choose
            && context.reading.utterances[position + 1..]
                .iter()
                .filter(|later| later.subjects.contains(&position))
                .filter_map(|later| context.statement(later))
                .any(|later| self.tells_how_near(context, later, &shape::subject_names(statement)));
        if followed && !nearby {
            let mention = Some(Role::Mention);
            self.push(context, Some(position), whole, mention, Content::Mention);
            return;
        }
        let restriction = shape::restriction(statement);
        let equal = restriction.as_ref().is_some_and(|restriction| {
            matches!(
                restriction.sign,
                Sign::Relation(Relation::Equal) | Sign::Defines
            )
        });
        let all = |names: &[&Name], kinds: &[Use]| {
            names
                .iter()
                .all(|name| kinds.contains(&self.lexicon.names.usage(name)))
        };
        // "Take ε > 0", "pick x ∈ D": any such value, not one that the writer picks.
        let any = [Use::Tolerance, Use::Index, Use::Point];
        let arbitrary = !equal
            && utterance.mode == Mode::Choose
            && utterance.subjects.is_empty()
            && restriction
                .as_ref()
                .is_some_and(|found| all(&found.names, &any));
        if arbitrary || nearby {
            self.let_statement(context, position, statement, whole);
            return;
        }
        if self.is_nearness_of_points_at_hand(context, statement) {
            self.assume(context, position, statement, whole, Role::Assumption);
            return;
        }
        let names = self.picked(context, utterance, statement);
        // "There is N such that |a_n − a| < ε (n ≥ N)": for which n, and no property of N alone.
        let ranges = !equal
            && !utterance.subjects.is_empty()
            && restriction.as_ref().is_some_and(|found| {
                all(&found.names, &[Use::Index, Use::Point])
                    && found
                        .names
                        .iter()
                        .all(|name| !names.iter().any(|own| symbol(own) == symbol(name)))
            });
        if ranges {
            self.range(context, position, statement, whole);
            return;
        }
        // "Put t = x/n and multiply by n: |f_n(x) − x| = … ≤ …": an estimate picks nothing.
        let estimate = restriction.is_none() && shape::links(statement).len() > 2;
        // "There is B > 0 such that |b_n| ≤ B for all n": what is known of B from now on.
        if names.is_empty() && self.is_property_of_a_choice(context, statement) {
            self.assume(context, position, statement, whole, Role::Assumption);
            return;
        }
        if names.is_empty() || estimate {
            let role = self.claim_role_of(context, Mode::Claim);
            self.links(context, position, statement, role);
            return;
        }
        if equal && all(&names, &[Use::Other]) {
            self.name(context, position, statement, whole);
            return;
        }
        if self.remarks_on_chosen(context, &names) {
            let mention = Some(Role::Mention);
            self.push(context, Some(position), whole, mention, Content::Mention);
            return;
        }
        for name in &names {
            self.lexicon.declare(name);
        }
        let sets = self.sets_taken_over(context, &names);
        let mut content = self.choice_of(context, utterance, statement, &names, equal);
        join_sets(&mut content, sets);
        let proto = self.push(context, Some(position), whole, Some(Role::Choice), content);
        // "We show … for all n ≥ N, where N := 1/ε" chooses for what comes.
        if equal {
            self.protos[proto].local = false;
        }
        self.protos[proto].speaks_of = names.iter().map(|name| symbol(name)).collect();
    }

    /// "N > 1/ε would do", said of an N that was chosen: a remark.
    fn remarks_on_chosen(&self, context: &Context<'_>, names: &[&Name]) -> bool {
        names
            .iter()
            .all(|name| self.is_chosen(&symbol(name), context))
            && context.tokens.iter().any(|token| {
                token
                    .word()
                    .is_some_and(|word| ["would", "could", "also", "even"].contains(&word))
            })
    }

    /// Whether a statement says of points that its own sentence let in how near they are: "take
    /// x, y ≥ 0 with |x − y| < δ", where δ was chosen before.
    pub(super) fn is_nearness_of_points_at_hand(
        &self,
        context: &Context<'_>,
        statement: &Statement,
    ) -> bool {
        let names = shape::names_of(statement);
        let points: Vec<&Name> = names
            .into_iter()
            .filter(|name| {
                self.protos.iter().any(|proto| {
                    proto.sentence == context.sentence
                        && proto.entry.role == Some(Role::Let)
                        && binds(&proto.entry.content, &symbol(name))
                })
            })
            .collect();
        self.tells_how_near(context, statement, &points)
    }

    /// Whether a statement bounds the distance of points from each other, or from what was there
    /// before, by something that was chosen before.
    fn tells_how_near(
        &self,
        context: &Context<'_>,
        statement: &Statement,
        points: &[&Name],
    ) -> bool {
        let conditions = self.lexicon.conditions(statement).unwrap_or_default();
        let [Condition::Holds(left, relation, right)] = conditions.as_slice() else {
            return false;
        };
        let points: Vec<Symbol> = points
            .iter()
            .filter(|name| self.lexicon.names.usage(name) == Use::Point)
            .map(|name| symbol(name))
            .collect();
        let distance = match left.node() {
            Node::Call(Function::Abs, inner) => match inner.node() {
                Node::Add(terms) => terms.iter().all(|term| match term.node() {
                    Node::Neg(inner) => inner.as_variable().is_some(),
                    _ => term.as_variable().is_some(),
                }),
                _ => false,
            },
            _ => false,
        };
        let bounds = right.variables();
        distance
            && matches!(relation, Relation::Less | Relation::LessEqual)
            && left.variables().iter().any(|name| points.contains(name))
            && !bounds.is_empty()
            && bounds.iter().all(|name| self.is_chosen(name, context))
    }

    /// Whether a statement about sequences or functions that are not known tells what an object
    /// satisfies that its sentence picks.
    fn is_property_of_a_choice(&self, context: &Context<'_>, statement: &Statement) -> bool {
        let names = elaborate::statement_names(statement);
        let picked = self.protos.iter().any(|proto| {
            proto.sentence == context.sentence
                && proto.entry.role == Some(Role::Choice)
                && names.iter().any(|name| binds(&proto.entry.content, name))
        });
        picked
            && self
                .lexicon
                .conditions(statement)
                .is_ok_and(|conditions| conditions.iter().any(mentions_unknown))
    }

    fn choice_of(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &Statement,
        names: &[&Name],
        equal: bool,
    ) -> Content {
        let mut conditions = match self.lexicon.conditions(statement) {
            Ok(conditions) => conditions,
            Err(mut lost) => {
                lost.names.extend(names.iter().map(|name| symbol(name)));
                return lost.content();
            }
        };
        if let Some(doubt) = utterance.doubt {
            return Content::Unread {
                reason: doubt.to_owned(),
                names: names.iter().map(|name| symbol(name)).collect(),
            };
        }
        // "Choose x positive with x < 1/2"
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let mut said = attributes(context, utterance, &symbols);
        said.join(self.said_of_subjects(context, utterance, &symbols));
        if let Some(word) = said.unread {
            return unread_attribute(&word, symbols);
        }
        join(&mut conditions, said.conditions);
        let announced = subject_set(context, utterance);
        let set = announced.or_else(|| membership_set(statement));
        let inner = ranged_behind(context, utterance);
        let mut bound = Vec::new();
        for name in names {
            if self.chosen_in(context.sentence, &symbol(name)) {
                continue;
            }
            let mut one = self.bound(name, utterance, set, introduction(utterance));
            one.inner.clone_from(&inner);
            let index = self.lexicon.names.usage(name) == Use::Index;
            // A threshold that is set equal to something need not be an integer.
            let free = set.is_none() && utterance.integer.is_none() && equal;
            if free && !index && !integer_valued(&conditions) {
                one.kind = Kind::Real;
            }
            if index {
                self.join_domain(&mut conditions, name);
            }
            bound.push(one);
        }
        for name in names {
            let more =
                announced.map(|set| self.lexicon.member(set, &Expr::variable(&symbol(name))));
            if let Some(Ok(more)) = more {
                join(&mut conditions, more);
            }
        }
        Content::Binding(Binding { bound, conditions })
    }

    /// "N ∈ ℕ, N ≥ 1/ε": which numbers the names are was told by formulas of their own, which are
    /// only mentioned from now on.
    fn sets_taken_over(&mut self, context: &Context<'_>, names: &[&Name]) -> Vec<Binding> {
        let mut found = Vec::new();
        for name in names {
            let own = symbol(name);
            let placed = self
                .protos
                .iter_mut()
                .rev()
                .find(|proto| proto.sentence == context.sentence && tells_set_of(proto, &own));
            if let Some(proto) = placed
                && let Content::Binding(binding) =
                    std::mem::replace(&mut proto.entry.content, Content::Mention)
            {
                proto.entry.role = Some(Role::Mention);
                found.push(binding);
            }
        }
        found
    }

    /// Whether all that the sentence has told of a name yet is to which set it belongs.
    pub(super) fn is_placed(&self, context: &Context<'_>, name: Option<&Symbol>) -> bool {
        let Some(name) = name else {
            return false;
        };
        self.protos
            .iter()
            .rev()
            .take_while(|proto| proto.sentence == context.sentence)
            .find(|proto| binds(&proto.entry.content, name))
            .is_some_and(|proto| tells_set_of(proto, name))
    }

    /// Whether an earlier sentence of the zone chose the name.
    fn is_chosen(&self, name: &Symbol, context: &Context<'_>) -> bool {
        self.protos.iter().any(|proto| {
            proto.sentence < context.sentence
                && proto.entry.zone == context.zone
                && proto.entry.role == Some(Role::Choice)
                && binds(&proto.entry.content, name)
        })
    }

    /// Whether the sentence has picked that name already: what follows adds a condition.
    pub(super) fn chosen_in(&self, sentence: usize, name: &Symbol) -> bool {
        self.protos.iter().any(|proto| {
            proto.sentence == sentence
                && matches!(proto.entry.role, Some(Role::Choice | Role::Let))
                && binds(&proto.entry.content, name)
        })
    }

    /// "an integer N greater than 1/ε"
    pub(super) fn spoken_choice(
        &mut self,
        context: &Context<'_>,
        position: usize,
        term: &Term,
        sign: Sign,
        subject: usize,
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let Some(other) = context.reading.utterances.get(subject) else {
            return;
        };
        let Some(statement) = context.statement(other) else {
            return;
        };
        let names = shape::subject_names(statement);
        for name in &names {
            self.lexicon.declare(name);
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let content = match (sign, self.lexicon.term(term)) {
            (Sign::Relation(relation), Ok(value)) if !symbols.is_empty() => {
                let mut conditions = Vec::new();
                for name in &symbols {
                    conditions.push(Condition::Holds(
                        Expr::variable(name),
                        relation,
                        value.clone(),
                    ));
                }
                let bound = names
                    .iter()
                    .map(|name| self.bound(name, other, None, introduction(utterance)))
                    .map(|mut bound| {
                        if utterance.integer == Some(true) || other.integer == Some(true) {
                            bound.kind = Kind::Integer;
                        }
                        bound
                    })
                    .collect();
                Content::Binding(Binding { bound, conditions })
            }
            (_, Err(lost)) => lost.content(),
            _ => Lost::because("how it is picked is not read", symbols.clone()).content(),
        };
        let threshold = names
            .iter()
            .any(|name| self.lexicon.names.usage(name) == Use::Threshold);
        let role = if utterance.mode == Mode::Let && !threshold {
            Role::Let
        } else {
            Role::Choice
        };
        let proto = self.push(context, Some(position), whole, Some(role), content);
        self.protos[proto].speaks_of = symbols;
    }
}

/// The names over which the sentence ranges behind the object that it announces.
fn ranged_behind(context: &Context<'_>, utterance: &Utterance) -> Vec<Symbol> {
    let Some(subject) = utterance.subjects.iter().min() else {
        return Vec::new();
    };
    context.reading.utterances[subject + 1..]
        .iter()
        .filter(|other| other.mode == Mode::Range)
        .filter_map(|other| context.statement(other))
        .flat_map(shape::subject_names)
        .map(symbol)
        .collect()
}

/// Adds to a choice what was told before of the sets of its names.
fn join_sets(choice: &mut Content, sets: Vec<Binding>) {
    let Content::Binding(binding) = choice else {
        return;
    };
    for set in sets {
        binding.conditions.extend(set.conditions);
        for bound in &mut binding.bound {
            if let Some(own) = set.bound.iter().find(|own| own.name == bound.name) {
                bound.kind = own.kind;
            }
        }
    }
}

/// Whether an entry picks one name of which it tells the set only: `N ∈ ℕ`.
fn tells_set_of(proto: &Proto, name: &Symbol) -> bool {
    let Content::Binding(binding) = &proto.entry.content else {
        return false;
    };
    let whole = Condition::Integer(Expr::variable(name));
    proto.entry.role == Some(Role::Choice)
        && matches!(binding.bound.as_slice(), [bound] if bound.name == *name)
        && binding.conditions.contains(&whole)
        && binding.conditions.iter().all(|condition| match condition {
            Condition::Holds(left, _, right) => {
                left.as_variable() == Some(name) && right.as_number().is_some()
            }
            other => *other == whole,
        })
}

/// Whether a comparison speaks of a sequence or function that is not known.
fn mentions_unknown(condition: &Condition) -> bool {
    matches!(condition, Condition::Holds(left, _, right)
        if !left.unknown_functions().is_empty() || !right.unknown_functions().is_empty())
}
