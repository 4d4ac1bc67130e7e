//! What the words of a sentence leave open: its claims may rest on a place or a supposition that
//! was not read, and are then not called false.

use super::entry::{Context, Reader};
use super::lexicon::as_set;
use super::names::Use;
use super::outline::{Assertion, Content, Perhaps, Role, Zone};
use super::shape;
use super::token::{Mark, Token};
use super::utterance::Mode;
use crate::notation::elaborate::symbol;
use crate::notation::syntax::{Name, Operator, Sign, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Relation, Symbol};
use std::collections::BTreeSet;

/// Words behind "there" with which it names no place.
const EXISTENCE: [&str; 20] = [
    "is", "are", "exists", "exist", "was", "were", "would", "will", "must", "has", "have", "can",
    "cannot", "may", "needs", "need", "should", "remains", "always", "also",
];

impl Reader<'_> {
    /// Marks the claims that the sentence made, from `from` on, with what it leaves open.
    pub(super) fn guard(&mut self, context: &Context<'_>, from: usize, opens_paragraph: bool) {
        if opens_paragraph {
            self.loose_sets.clear();
        }
        if context.zone != Zone::Statement {
            let named = self.named_sets(context, from);
            self.loose_sets.extend(named);
        }
        self.guard_absurd(context, from);
        let everything = if context.reading.discharges {
            Some("it stands where a supposition is led to a contradiction")
        } else if says_there(context.tokens) {
            Some("it is said of a place that is told elsewhere (\u{201c}there\u{201d})")
        } else {
            None
        };
        let of_limits = |names: &BTreeSet<Symbol>| {
            names.iter().any(|name| {
                self.limit_names.contains(name) || self.lexicon.limits_before.contains(name)
            })
        };
        let from = from.min(self.protos.len());
        let mut found = Vec::new();
        for position in from..self.protos.len() {
            self.protos[position].entry.renames = self.renames(context, position);
            let proto = &self.protos[position];
            let claims = matches!(
                proto.entry.role,
                Some(Role::Step | Role::Reason | Role::Conclusion)
            );
            if proto.entry.role == Some(Role::Choice) {
                found.push((position, self.open_meaning(context, position), Vec::new()));
                continue;
            }
            let names = match &proto.entry.content {
                // "It is uniform there."
                Content::Assertion(Assertion::Convergence { .. }) if says_there(context.tokens) => {
                    BTreeSet::new()
                }
                Content::Assertion(
                    Assertion::Convergence { .. }
                    | Assertion::Series { .. }
                    | Assertion::Limit { .. }
                    | Assertion::Extremum { .. },
                ) => {
                    if claims {
                        found.push((position, self.open_meaning(context, position), Vec::new()));
                    }
                    continue;
                }
                Content::Assertion(Assertion::Relation { left, right, .. }) => {
                    let mut names = left.variables();
                    names.extend(right.variables());
                    names
                }
                Content::Assertion(Assertion::All(conditions)) => {
                    conditions.iter().flat_map(Condition::variables).collect()
                }
                Content::Assertion(Assertion::Calculus(said)) => {
                    let mut names = said.names();
                    names.remove(&said.point);
                    names
                }
                // What follows decides of what it speaks.
                Content::Assertion(Assertion::Implication { to, .. }) => {
                    to.iter().flat_map(Condition::variables).collect()
                }
                _ => continue,
            };
            if proto.entry.role == Some(Role::Aim) {
                found.push((position, self.open_aim(context, position), Vec::new()));
                continue;
            }
            if !claims {
                continue;
            }
            let guard = everything
                .or(of_limits(&names).then_some("it speaks of a number that is known as a limit"));
            let guard = guard
                .or(self.open_meaning(context, position))
                .or(self.told_by_cases(context, position))
                .or(self.restates(context, position));
            found.push((position, guard, self.perhaps(&names)));
        }
        let several = self.several_meanings(context);
        for (position, guard, perhaps) in found {
            let names = &self.protos[position].entry.names;
            let guard = guard.or(names
                .iter()
                .any(|name| several.contains(name))
                .then_some("a name in it is given several meanings in one sentence"));
            let entry = &mut self.protos[position].entry;
            entry.guard = entry.guard.or(guard);
            self.protos[position].entry.perhaps = perhaps;
        }
    }

    /// Why an announced claim is none: it is asked, or said with words that leave it open.
    fn open_aim(&self, context: &Context<'_>, position: usize) -> Option<&'static str> {
        let asked = context.tokens.iter().any(|token| token.is(Mark::Question));
        let utterance = self.protos[position]
            .utterance
            .and_then(|utterance| context.reading.utterances.get(utterance));
        let doubt = utterance.and_then(|utterance| utterance.doubt);
        let negated = context.reading.groups.iter().any(|group| group.negated);
        doubt.or((asked || negated).then_some("it is only asked whether this is so"))
    }

    /// Learns which names stand for limits: `a_n → L`, `\lim a_n = L`, "the limit L".
    pub(super) fn learn_limits(&mut self, tokens: &[Token]) {
        let mut since_limit = usize::MAX;
        let mut tends = false;
        for token in tokens {
            if let Some(word) = token.word() {
                since_limit = match word {
                    "limit" => 0,
                    // "converges to some L"
                    "to" if tends => 0,
                    _ => since_limit.saturating_add(1),
                };
                tends = matches!(word, "converges" | "converge" | "tends" | "tend");
            }
            let Some(statement) = token.statement().map(|token| &token.statement) else {
                continue;
            };
            let mut named: Vec<&Name> = Vec::new();
            if since_limit <= 2 {
                named.extend(shape::first_term(statement).and_then(shape::bare_name));
            }
            let mut left = shape::first_term(statement);
            for link in shape::links(statement) {
                let right = link.right.as_ref();
                let tends = matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo);
                let is_limit = |term: &Term| {
                    matches!(
                        term.kind,
                        TermKind::Over {
                            operator: Operator::Limit,
                            ..
                        }
                    )
                };
                let equal = matches!(link.sign, Sign::Relation(Relation::Equal) | Sign::Defines);
                let of_limit = equal && left.is_some_and(is_limit);
                if equal && right.is_some_and(is_limit) {
                    named.extend(left.and_then(shape::bare_name));
                }
                if tends || of_limit {
                    named.extend(right.and_then(shape::bare_name));
                }
                left = right;
            }
            for name in named {
                if self.lexicon.names.usage(name) == Use::Other
                    && !self.lexicon.names.is_member(name)
                {
                    self.limit_names.insert(symbol(name));
                }
            }
        }
    }

    /// A statement that supposes an inequality of a number sequence speaks of any such sequence.
    pub(super) fn suppose_sequences(&mut self, context: &Context<'_>) {
        let states = context.zone == Zone::Statement;
        let mut supposed: Vec<Symbol> = self.sequences_anew(context);
        for utterance in &context.reading.utterances {
            let Some(statement) = context.statement(utterance) else {
                continue;
            };
            let ordered = shape::links(statement).iter().any(
                |link| matches!(link.sign, Sign::Relation(relation) if relation != Relation::Equal),
            );
            // In a proof only what lets them be ("let |a_{n+1} − a_n| ≤ q^n"): "suppose |a_n| < ε"
            // speaks of the sequence at hand.
            let supposes = match utterance.mode {
                Mode::Condition | Mode::Assume => states,
                Mode::Let => !states,
                _ => false,
            };
            if !(ordered && supposes) {
                continue;
            }
            for name in shape::names_of(statement) {
                let base = Symbol::new(&name.base);
                let numbers = self
                    .lexicon
                    .definition(&base, 1)
                    .is_some_and(|definition| definition.parameters.len() == 1);
                if numbers && self.lexicon.names.is_member(name) && !supposed.contains(&base) {
                    supposed.push(base);
                }
            }
        }
        for name in supposed {
            self.lexicon.forget(&name, 1, 0);
        }
    }

    /// Notes what the sentence says of uniform continuity.
    pub(super) fn note_continuity(&mut self, tokens: &[Token], zone: Zone) {
        let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
        let said = words.windows(2).any(|pair| {
            matches!(
                pair,
                ["uniformly" | "unif", "continuous" | "cont"] | ["uniform" | "unif", "continuity"]
            )
        });
        // Continuity on a compact set gives it without one δ for all points.
        self.continuity.1 |= words
            .iter()
            .any(|word| word.starts_with("compact") || matches!(*word, "heine" | "cantor"));
        // What the exercise asks, the proof answers.
        let asked = tokens.iter().any(|token| token.is(Mark::Question));
        if !said || asked && zone == Zone::Statement {
            return;
        }
        let open = words.iter().any(|word| {
            matches!(
                *word,
                "not" | "isn't" | "never" | "no" | "nowhere" | "whether" | "fails" | "were" | "if"
            )
        }) || asked;
        self.continuity.0 |= !open;
        self.continuity.1 |= open;
    }

    fn is_point(&self, name: &Symbol) -> bool {
        let name = Name {
            base: name.as_str().to_owned(),
            subscript: None,
            superscript: None,
            primes: 0,
        };
        self.lexicon.names.usage(&name) == Use::Point
    }

    /// "g(0) = 1 and g(x) = 0 otherwise": a value at a single place beside the formula that defines
    /// the function in the same sentence.
    fn told_by_cases(&self, context: &Context<'_>, position: usize) -> Option<&'static str> {
        let utterance = self.protos[position].utterance?;
        let statement = context.statement(context.reading.utterances.get(utterance)?)?;
        // "f = 0 on [0, 1), f(1) = 1/2, f = 1 on (1, ∞)"
        let first = shape::first_term(statement)?;
        let reach = context.reading.utterances.get(utterance)?.reach;
        let on_a_set = shape::bare_name(first)
            .is_some_and(|name| name.base.starts_with(char::is_lowercase))
            && shape::links(statement).len() == 1
            && context
                .in_mode(Mode::Domain)
                .any(|(other, domain)| other > utterance && domain.reach == reach);
        if on_a_set {
            return Some("the function is told by cases here");
        }
        let (name, arguments) = shape::application(first)?;
        let single = arguments
            .iter()
            .all(|argument| matches!(argument.kind, TermKind::Number(_)));
        let defined = context.defined.iter().any(|ahead| {
            ahead.utterance != utterance
                && self
                    .lexicon
                    .definitions
                    .get(ahead.definition)
                    .is_some_and(|definition| definition.name.as_str() == name.base)
        });
        (single && defined).then_some("the function is told by cases here")
    }

    /// "They lie on the same side, that is, y ≤ 0 or x ≥ 0": signs for what is said in words.
    fn restates(&self, context: &Context<'_>, position: usize) -> Option<&'static str> {
        let utterance = self.protos[position].utterance?;
        let token = context.reading.utterances.get(utterance)?.token;
        let before = context.tokens.get(..token)?;
        let clause = before.len()
            - before
                .iter()
                .rev()
                .take_while(|token| !token.is(Mark::Border) && token.statement().is_none())
                .count();
        let words: Vec<&str> = before[clause..].iter().filter_map(Token::word).collect();
        let said = match words.as_slice() {
            [said @ .., "that", "is"] | [said @ .., "in", "other", "words"] => said,
            [said @ .., "i.e" | "i.e." | "ie" | "meaning"] => said,
            _ => return None,
        };
        let headed = clause == 0 || before[clause - 1].is(Mark::Border);
        (headed && said.len() >= 2).then_some("it repeats in signs what is said in words before it")
    }

    /// "By comparison Σ 1/n converges. This is a contradiction": what was said right before is
    /// meant to be absurd.
    fn guard_absurd(&mut self, context: &Context<'_>, from: usize) {
        if !context.reading.discharges {
            return;
        }
        let before = from.min(self.protos.len());
        let sentence = self.protos[..before].last().map(|proto| proto.sentence);
        let last = self.protos[..before]
            .iter_mut()
            .rev()
            .take_while(|proto| Some(proto.sentence) == sentence);
        for proto in last {
            let near = self
                .draft
                .get(proto.entry.span.end..context.span.start)
                .is_some_and(|between| !between.contains("\n\n"));
            if near {
                proto
                    .entry
                    .guard
                    .get_or_insert("it is led to a contradiction");
            }
        }
    }

    /// What the sets named in the paragraph would say of the points among the names, and what its
    /// words may say of them.
    fn perhaps(&self, names: &BTreeSet<Symbol>) -> Vec<Perhaps> {
        let points: Vec<&Symbol> = names.iter().filter(|name| self.is_point(name)).collect();
        let sets = self.loose_sets.iter().filter(|_| !points.is_empty());
        let within = sets.map(|set| {
            let mut all = Vec::new();
            for point in &points {
                match self.lexicon.member(set, &Expr::variable(point)) {
                    Ok(conditions) => all.extend(conditions),
                    Err(_) => return Perhaps::Unread,
                }
            }
            Perhaps::Within(all)
        });
        within.chain(self.unsaid(names)).collect()
    }

    /// The sets that the sentence names, of which nothing was made, and which are not the points'
    /// known domain.
    fn named_sets(&self, context: &Context<'_>, from: usize) -> Vec<Term> {
        let read = |position: usize| {
            self.protos[from.min(self.protos.len())..]
                .iter()
                .any(|proto| {
                    proto.utterance == Some(position)
                        && matches!(proto.entry.content, Content::Binding(_))
                })
        };
        context
            .reading
            .utterances
            .iter()
            .enumerate()
            .filter_map(|(position, utterance)| {
                let StatementKind::Term(set) = &context.statement(utterance)?.kind else {
                    return None;
                };
                let set = as_set(set);
                (shape::is_set(&set) && !read(position) && !self.is_known_domain(&set))
                    .then_some(set)
            })
            .collect()
    }

    pub(super) fn is_known_domain(&self, set: &Term) -> bool {
        let points = self.lexicon.points().to_vec();
        let known = |point: &Symbol| {
            let domain = self.lexicon.domains.get(point);
            match self.lexicon.member(set, &Expr::variable(point)) {
                Ok(conditions) => conditions.iter().all(|condition| {
                    domain.is_some_and(|domain| domain.conditions.contains(condition))
                }),
                Err(_) => false,
            }
        };
        !points.is_empty() && points.iter().all(known)
    }
}

/// "There |x| ≤ a", not "there is".
fn says_there(tokens: &[Token]) -> bool {
    tokens.iter().enumerate().any(|(position, token)| {
        token.word() == Some("there")
            && tokens
                .get(position + 1)
                .is_none_or(|next| next.word().is_none_or(|word| !EXISTENCE.contains(&word)))
    })
}
