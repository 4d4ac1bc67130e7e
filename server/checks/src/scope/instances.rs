//! What is known of a name that is bound anew, and of indices for which a promise holds as well.

use super::promise::{self, Promised, guarded, is_within, lower_bound, within};
use super::{Setting, at_least_one, strengthens};
use argument::{Argument, Binding, Bound, Introduction};
use kernel::{Condition, Expr, Hypothesis, Kind, Origin, Symbol};

impl Setting {
    /// Drops what was said of the older bearer of a name, but for what is kept, and for what was
    /// promised for every bearer.
    pub(super) fn renew(
        &mut self,
        argument: &Argument,
        binding: &Binding,
        bound: &Bound,
        kept: &dyn Fn(&Hypothesis, Option<usize>) -> bool,
    ) {
        let all = std::mem::take(&mut self.hypotheses);
        for (mut hypothesis, from) in all.clone() {
            if kept(&hypothesis, from) {
                self.hypotheses.push((hypothesis, from));
                continue;
            }
            let existing = hypothesis.origin == Origin::Choice
                && (bound.introduction == Introduction::Arbitrary
                    || self.is_instance(binding, &bound.name, &hypothesis.condition))
                && from.is_some_and(|from| self.chosen.values().any(|entry| *entry == from));
            if !existing {
                continue;
            }
            match from.and_then(|from| {
                promise::promised(argument, from, &bound.name, &hypothesis.condition)
            }) {
                None => {}
                // "Let x be given. There is N with |f_n(x)| < ε for n ≥ N": at that x.
                Some(Promised::AtHand) => {
                    self.protections.push((
                        vec![bound.name.clone()],
                        "what was promised for another value may be meant".to_owned(),
                    ));
                    continue;
                }
                // "for n ≥ N₁" is what it was promised for: it serves a new n that is so large.
                Some(Promised::For(ranges)) => {
                    let beyond: Vec<Condition> = ranges
                        .into_iter()
                        .filter(|range| !self.is_promised(range, binding, &bound.name, &all))
                        .collect();
                    if !beyond.is_empty() {
                        let promise = hypothesis.condition;
                        hypothesis.condition = guarded(&beyond, &promise);
                        if beyond.iter().all(|range| range.variables().len() > 1) {
                            self.unreached.push((beyond, promise));
                        }
                    }
                }
            }
            self.hypotheses.push((hypothesis, from));
        }
    }

    /// "|a_n − L| < ε for all n ≥ N. Let m ≥ N": what was promised for all n holds for m, and for
    /// n + 1 and 2n where n is so large and the argument speaks of them.
    pub(super) fn instantiate(&mut self, argument: &Argument, binding: &Binding, position: usize) {
        let mut found = Vec::new();
        for bound in &binding.bound {
            if bound.kind != Kind::Integer || bound.introduction != Introduction::Arbitrary {
                continue;
            }
            for (hypothesis, from) in &self.hypotheses {
                let (Origin::Choice, Some(from)) = (hypothesis.origin, from) else {
                    continue;
                };
                // What was promised of an N that is picked anew by now is not of this one.
                if !self.chosen.values().any(|entry| entry == from) {
                    continue;
                }
                let promise = &hypothesis.condition;
                let names = promise.variables();
                for name in &names {
                    let Some(Promised::For(ranges)) =
                        promise::promised(argument, *from, name, promise)
                    else {
                        continue;
                    };
                    let own = Expr::variable(&bound.name);
                    let serves = |range: &Condition| {
                        let range = range.substitute(name, &own);
                        self.is_promised(&range, binding, &bound.name, &self.hypotheses)
                    };
                    if ranges.is_empty() || !ranges.iter().all(serves) {
                        continue;
                    }
                    if bound.name != *name {
                        if !names.contains(&bound.name) {
                            found.push(promise.substitute(name, &own));
                        }
                        continue;
                    }
                    let upward = |range: &Condition| {
                        lower_bound(range).is_some_and(|(larger, _, smaller)| {
                            *larger == own && !smaller.mentions(&bound.name)
                        }) || *range == Condition::Integer(own.clone())
                    };
                    let next = Some(own.plus(&Expr::integer(1)));
                    // Twice a negative index would come before it.
                    let positive = at_least_one(&bound.name);
                    let double = self
                        .hypotheses
                        .iter()
                        .any(|(known, _)| known.condition == positive)
                        .then(|| Expr::integer(2).times(&own));
                    let later = [next, double].into_iter().flatten();
                    for later in &later
                        .filter(|_| ranges.iter().all(upward))
                        .collect::<Vec<_>>()
                    {
                        if promise::speaks_of(argument, later) {
                            found.push(promise.substitute(name, later));
                        }
                    }
                }
            }
        }
        for condition in found {
            self.assume(&condition, Origin::Range, Some(position));
        }
    }

    /// Whether a value that a name takes anew is one for which a promise was made.
    fn is_promised(
        &self,
        range: &Condition,
        binding: &Binding,
        name: &Symbol,
        known: &[(Hypothesis, Option<usize>)],
    ) -> bool {
        let own = &binding.conditions;
        let integer = binding
            .bound
            .iter()
            .any(|bound| bound.name == *name && bound.kind == Kind::Integer);
        let restated = own
            .iter()
            .any(|condition| condition.variables().contains(name));
        is_within(range, own, known)
            || own
                .iter()
                .any(|own| strengthens(own, range) || within(own, range))
            || !restated && self.given.contains(range)
            || integer
                && (*range == at_least_one(name)
                    || *range == Condition::Integer(Expr::variable(name)))
    }
}
