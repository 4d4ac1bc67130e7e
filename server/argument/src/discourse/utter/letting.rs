//! "Let …" and "… where …": what introduces names, and what is supposed of them.

use super::*;
use crate::discourse::attribute::{attributes, unread_attribute};

impl Reader<'_> {
    /// "Let |f| ≤ K on ℝ", where f(x) is written: a bound of a function.
    fn bounds_function(&self, statement: &Statement, restriction: &shape::Restriction<'_>) -> bool {
        let single = shape::first_term(statement).and_then(shape::bare_name);
        single.is_none()
            && restriction
                .names
                .iter()
                .any(|name| self.lexicon.names.is_applied(&name.base))
    }

    pub(super) fn let_statement(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let announced = utterance
            .subjects
            .iter()
            .any(|subject| self.announces_threshold(context, *subject));
        if announced {
            self.choose(context, position, statement, whole);
            return;
        }
        let tends = shape::links(statement)
            .iter()
            .any(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo));
        // A member of a sequence is no number of its own: a_1, a_{n+1} and a_n go together.
        let free = |restriction: &shape::Restriction<'_>| {
            restriction
                .names
                .iter()
                .all(|name| !self.lexicon.names.is_member(name))
                && !self.bounds_function(statement, restriction)
        };
        let Some(restriction) =
            shape::restriction(statement).filter(|restriction| !tends && free(restriction))
        else {
            self.assume(context, position, statement, whole, Role::Assumption);
            return;
        };
        let equal = matches!(
            restriction.sign,
            Sign::Relation(Relation::Equal) | Sign::Defines
        );
        let picks = restriction
            .names
            .iter()
            .any(|name| match self.lexicon.names.usage(name) {
                Use::Threshold => !is_membership(statement) || equal,
                Use::Tolerance | Use::Index | Use::Point => equal,
                Use::Other => false,
            });
        let threshold_set = is_membership(statement)
            && restriction
                .names
                .iter()
                .all(|name| self.lexicon.names.usage(name) == Use::Threshold);
        if picks || threshold_set {
            self.choose(context, position, statement, whole);
            return;
        }
        if equal {
            self.name(context, position, statement, whole);
            return;
        }
        let mut names: Vec<&Name> = restriction.names.clone();
        if let Some(other) = restriction.other
            && let Some(name) = shape::bare_name(other)
            && self.is_new(name, context.zone)
        {
            names.push(name);
        }
        for link in shape::links(statement) {
            if let Some(name) = link.right.as_ref().and_then(shape::bare_name)
                && self.is_new(name, context.zone)
                && !names.contains(&name)
                && !matches!(link.sign, Sign::In | Sign::Subset)
            {
                names.push(name);
            }
        }
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        for name in &names {
            self.lexicon.declare(name);
        }
        let content = self
            .let_in(context, utterance, statement, &names)
            .unwrap_or_else(Lost::content);
        let proto = self.push(context, Some(position), whole, Some(Role::Let), content);
        self.protos[proto].speaks_of = symbols;
    }

    /// What a let binds: the names with what the statement, the words around it, and the sets in
    /// which they were announced say of them.
    fn let_in(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        statement: &Statement,
        names: &[&Name],
    ) -> Result<Content, Lost> {
        let symbols: Vec<Symbol> = names.iter().map(|name| symbol(name)).collect();
        let mut said = attributes(context, utterance, &symbols);
        said.join(self.said_of_subjects(context, utterance, &symbols));
        let mut conditions = self.lexicon.conditions(statement)?;
        if let Some(word) = said.unread {
            return Ok(unread_attribute(&word, symbols));
        }
        join(&mut conditions, said.conditions);
        for (name, set) in self.sets_of_subjects(context, utterance, &symbols) {
            let more = self.lexicon.member(set, &Expr::variable(&name))?;
            join(&mut conditions, more);
        }
        let set = membership_set(statement);
        let mut bound = Vec::new();
        for name in names {
            if set.is_none() && self.lexicon.names.usage(name) != Use::Threshold {
                self.join_domain(&mut conditions, name);
            }
            // "q = 1/(1 + h) with h > 0": one h.
            if !self.chosen_in(context.sentence, &symbol(name))
                && !self.adds_to_condition(&symbol(name), context, utterance)
            {
                bound.push(self.bound(name, utterance, set, Introduction::Arbitrary));
            }
        }
        Ok(Content::Binding(Binding { bound, conditions }))
    }

    pub(super) fn where_statement(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let Some(restriction) = shape::restriction(statement) else {
            if utterance.verb == Some(Family::Aim) {
                self.wish(context, position, statement);
            } else {
                let role = self.claim_role_of(context, Mode::Claim);
                self.links(context, position, statement, role);
            }
            return;
        };
        let equal = matches!(
            restriction.sign,
            Sign::Relation(Relation::Equal) | Sign::Defines
        );
        // "…, where f_n = 1/8": the value of a known function, at a point that words tell.
        let valued = equal
            && restriction.names.first().is_some_and(|name| {
                let subscripts = usize::from(name.subscript.is_some());
                let (base, given) = (Symbol::new(&name.base), vec![symbol(name); subscripts]);
                self.lexicon.takes_more(&base, subscripts, &given)
            });
        if valued {
            let lost = self
                .lexicon
                .lost(statement, "what is said of this place is said in words");
            self.push(context, Some(position), whole, None, lost.content());
            return;
        }
        let usage = restriction
            .names
            .first()
            .map(|name| self.lexicon.names.usage(name));
        match usage {
            Some(Use::Threshold) => self.choose(context, position, statement, whole),
            Some(Use::Tolerance | Use::Index | Use::Point) if equal => {
                self.choose(context, position, statement, whole);
            }
            Some(Use::Tolerance | Use::Index | Use::Point) => {
                self.range(context, position, statement, whole);
            }
            Some(Use::Other) if !equal => self.let_statement(context, position, statement, whole),
            _ => self.name(context, position, statement, whole),
        }
    }
}
