//! What holds of all members: candidates from the argument and from the first members, proved by
//! induction, one by one or together.

use super::induction;
use super::members::{self, Members};
use crate::engine::Engine;
use crate::scope::Setting;
use argument::{Argument, Assertion, Content, Recursion, Role};
use kernel::numerics::{self, Assignment, Truth};
use kernel::{Condition, Expr, Goal, Kind, Node, Origin, Problem, Relation, Symbol};
use std::collections::BTreeSet;

/// Members at which a candidate is tried before anything is proved.
const TRIED: i64 = 8;

/// Most candidates that are tried.
const CANDIDATES: usize = 24;

/// A condition that holds of all members from some index on.
#[derive(Clone, Debug)]
pub(super) struct Fact {
    /// The condition, at its own index; its earliest member has the plain index.
    condition: Condition,
    index: Symbol,
    /// From which index on.
    pub(super) from: i64,
    /// Over how many neighbours it speaks.
    pub(super) span: i64,
}

impl Fact {
    /// The condition at an index.
    pub(super) fn about(&self, index: &Expr) -> Condition {
        self.condition.substitute(&self.index, index)
    }

    /// The condition at its own index, and that index.
    pub(super) fn parts(&self) -> (&Condition, &Symbol) {
        (&self.condition, &self.index)
    }
}

/// The facts of an argument's recursive sequences.
pub(super) fn proved(engine: &Engine<'_>, members: &Members<'_>) -> Vec<Fact> {
    let setting = Setting::of(engine.argument, &[]);
    let mut waiting: Vec<Fact> = Vec::new();
    for recursion in members.recursions() {
        for condition in guesses(members, recursion) {
            admit(members, recursion, &condition, &mut waiting);
        }
        for condition in said(engine.argument) {
            admit(members, recursion, &condition, &mut waiting);
        }
    }
    waiting.truncate(CANDIDATES);
    let mut known: Vec<Fact> = Vec::new();
    // One by one, as long as a new fact may help another.
    loop {
        let before = known.len();
        waiting.retain(|fact| {
            let from = stands_from(engine, members, &setting, &known, fact);
            if let Some(from) = from {
                known.push(Fact {
                    from,
                    ..fact.clone()
                });
            }
            from.is_none()
        });
        if known.len() == before || waiting.is_empty() {
            break;
        }
    }
    together(engine, members, &setting, &mut known, waiting);
    known
}

/// From where on the known facts give another by induction: where parameters hide whether it
/// holds of the first member, perhaps from the next on.
fn stands_from(
    engine: &Engine<'_>,
    members: &Members<'_>,
    setting: &Setting,
    known: &[Fact],
    fact: &Fact,
) -> Option<i64> {
    let later = i64::from(!members.parameters().is_empty());
    (fact.from..=fact.from + later).find(|from| {
        let fact = Fact {
            from: *from,
            ..fact.clone()
        };
        stands(engine, members, setting, known, &fact)
    })
}

/// Whether the known facts give another by induction.
fn stands(
    engine: &Engine<'_>,
    members: &Members<'_>,
    setting: &Setting,
    known: &[Fact],
    fact: &Fact,
) -> bool {
    let from = Condition::Holds(
        Expr::variable(&fact.index),
        Relation::GreaterEqual,
        Expr::integer(fact.from),
    );
    let problem = question(setting, members, fact).assuming(from, Origin::Domain);
    matches!(
        induction::proved(engine, members, known, &problem),
        Some(Ok(_))
    )
}

/// Candidates none of which is inductive alone may be so together: those that fail although all
/// are supposed are left out, until none fails.
fn together(
    engine: &Engine<'_>,
    members: &Members<'_>,
    setting: &Setting,
    known: &mut Vec<Fact>,
    mut waiting: Vec<Fact>,
) {
    while waiting.len() > 1 {
        let index = waiting[0].index.clone();
        let start = waiting.iter().map(|fact| fact.from).max().unwrap_or(1);
        let claims: Vec<Condition> = waiting
            .iter()
            .map(|fact| fact.about(&Expr::variable(&index)))
            .collect();
        let all = induction::Claims {
            claims: &claims,
            index: &index,
            start,
        };
        let problem = question(setting, members, &waiting[0]);
        let hold = induction::hold_throughout(engine, members, known, &problem, &all);
        if !hold.contains(&false) {
            known.extend(
                waiting
                    .into_iter()
                    .zip(claims)
                    .map(|(fact, condition)| Fact {
                        condition,
                        index: index.clone(),
                        from: start,
                        ..fact
                    }),
            );
            return;
        }
        let mut hold = hold.into_iter();
        waiting.retain(|_| hold.next().unwrap_or(false));
    }
}

/// The question of a fact: its names, and what is known of parameters.
fn question(setting: &Setting, members: &Members<'_>, fact: &Fact) -> Problem {
    let setting = setting.clone().naming(&fact.index, Kind::Integer);
    let mut names = fact.condition.variables();
    names.extend(members.parameters());
    let names = setting.closure(&names);
    let goal = match &fact.condition {
        Condition::Holds(left, relation, right) => {
            Goal::Holds(left.clone(), *relation, right.clone())
        }
        _ => Goal::Defined(Expr::integer(0)),
    };
    let mut problem = setting.problem(&names, goal);
    problem
        .hypotheses
        .retain(|hypothesis| !hypothesis.condition.variables().contains(&fact.index));
    problem
}

/// Every relation that the argument speaks of.
fn said(argument: &Argument) -> Vec<Condition> {
    let mut found: Vec<Condition> = Vec::new();
    for entry in &argument.entries {
        if entry.role == Some(Role::Definition) {
            continue;
        }
        match &entry.content {
            Content::Assertion(Assertion::Relation {
                left,
                relation,
                right,
            }) => found.push(Condition::Holds(left.clone(), *relation, right.clone())),
            Content::Assertion(Assertion::All(conditions)) => found.extend(conditions.clone()),
            Content::Assertion(Assertion::Implication { from, to, .. }) => {
                found.extend(from.iter().chain(to).cloned());
            }
            Content::Binding(binding) => found.extend(binding.conditions.clone()),
            _ => {}
        }
    }
    found.extend(chains(argument));
    found
}

/// What the chains say from end to end.
fn chains(argument: &Argument) -> Vec<Condition> {
    let last = argument
        .entries
        .iter()
        .filter_map(|entry| entry.chain.map(|(chain, _)| chain))
        .max();
    (0..=last.unwrap_or(0))
        .filter_map(|chain| end_to_end(argument, chain))
        .collect()
}

/// The first side of a chain against its last, where its signs lead one way.
pub(super) fn end_to_end(argument: &Argument, chain: usize) -> Option<Condition> {
    let mut links = crate::judge::links_of(argument, chain)
        .filter_map(|(_, entry)| crate::judge::relation_of(entry));
    let (first, mut sign, mut last) = links.next()?;
    let mut several = false;
    for (_, next, right) in links {
        sign = joined(sign, next)?;
        last = right;
        several = true;
    }
    several.then(|| Condition::Holds(first.clone(), sign, last.clone()))
}

/// What two links say together.
fn joined(first: Relation, second: Relation) -> Option<Relation> {
    use Relation::{Equal, Greater, GreaterEqual, Less, LessEqual};
    Some(match (first, second) {
        (Equal, other) | (other, Equal) => other,
        (LessEqual, LessEqual) => LessEqual,
        (Less | LessEqual, Less | LessEqual) => Less,
        (GreaterEqual, GreaterEqual) => GreaterEqual,
        (Greater | GreaterEqual, Greater | GreaterEqual) => Greater,
        _ => return None,
    })
}

/// What often holds of a recursive sequence: it keeps its sign, its side of the first member, its
/// direction.
fn guesses(members: &Members<'_>, recursion: &Recursion) -> Vec<Condition> {
    let member = |by: i64| -> Expr {
        Node::Apply(
            recursion.name.clone(),
            vec![Expr::shifted(&recursion.index, by)],
        )
        .into()
    };
    let mut found = vec![Condition::Holds(
        member(0),
        Relation::Greater,
        Expr::integer(0),
    )];
    let first = members.value(&recursion.name, recursion.first);
    for relation in [Relation::GreaterEqual, Relation::LessEqual] {
        if let Some(first) = &first {
            found.push(Condition::Holds(member(0), relation, first.clone()));
        }
        found.push(Condition::Holds(member(1), relation, member(0)));
    }
    found
}

/// Adds a condition about one index of the sequence, if its first members do not contradict it.
fn admit(
    members: &Members<'_>,
    recursion: &Recursion,
    condition: &Condition,
    found: &mut Vec<Fact>,
) {
    let Some(fact) = normal(members, recursion, condition) else {
        return;
    };
    let known = |other: &Fact| other.condition == fact.condition;
    if found.iter().any(known) {
        return;
    }
    if let Some(from) = no_sooner(members, recursion, &fact.condition) {
        found.push(Fact { from, ..fact });
    }
}

/// A condition about one index of the sequence and parameters, as it would be a fact: of its
/// index, the earliest member plain.
pub(super) fn normal(
    members: &Members<'_>,
    recursion: &Recursion,
    condition: &Condition,
) -> Option<Fact> {
    let Condition::Holds(left, relation, right) = condition else {
        return None;
    };
    let mut indices = BTreeSet::new();
    if !members.indices(left, &mut indices) || !members.indices(right, &mut indices) {
        return None;
    }
    let names: BTreeSet<&Symbol> = indices
        .iter()
        .filter_map(|(name, _)| name.as_ref())
        .collect();
    let (Some(index), 1) = (names.first().copied(), names.len()) else {
        return None;
    };
    let places = || {
        indices
            .iter()
            .filter(|(name, _)| name.is_some())
            .map(|(_, by)| *by)
    };
    let (low, high) = (places().min()?, places().max()?);
    let parameters = members.parameters();
    let closed = condition
        .variables()
        .iter()
        .all(|name| name == index || parameters.contains(name));
    let speaks = condition_names(condition).contains(&recursion.name);
    if !closed || !speaks || high - low > 3 || left == right {
        return None;
    }
    let own = Expr::shifted(&recursion.index, -low);
    let put = |side: &Expr| members::tidy(&side.substitute(index, &own));
    Some(Fact {
        condition: Condition::Holds(put(left), *relation, put(right)),
        index: recursion.index.clone(),
        from: recursion.first,
        span: high - low + 1,
    })
}

fn condition_names(condition: &Condition) -> BTreeSet<Symbol> {
    let mut found = BTreeSet::new();
    condition.visit(&mut |part| {
        if let Node::Apply(name, _) = part.node() {
            found.insert(name.clone());
        }
    });
    found
}

/// From which of the first two indices on the computed members satisfy a condition.
fn no_sooner(members: &Members<'_>, recursion: &Recursion, condition: &Condition) -> Option<i64> {
    let fails = |at: i64| {
        members
            .at(condition, &recursion.index, at)
            .filter(|there| there.variables().is_empty())
            .is_some_and(|there| numerics::truth(&there, &Assignment::new()) == Truth::False)
    };
    let first = recursion.first;
    if (first + 1..first + TRIED).any(fails) {
        return None;
    }
    Some(if fails(first) { first + 1 } else { first })
}
