//! For which values of a name a promise or an assumption was made, and whether they hold a new one.

use argument::{Argument, Binding, Content, Entry, Introduction, Role};
use kernel::{Condition, Expr, Function, Hypothesis, Kind, Node, Relation, Symbol};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// The names that an entry's own sentence quantifies for it, with what it says of each.
pub(super) fn promised_for(argument: &Argument, entry: &Entry) -> BTreeMap<Symbol, Vec<Condition>> {
    let mut names = BTreeMap::new();
    for other in &argument.entries {
        let Content::Binding(binding) = &other.content else {
            continue;
        };
        if other.role != Some(Role::Range) || other.sentence != entry.sentence {
            continue;
        }
        for bound in &binding.bound {
            if !entry.for_all.contains(&bound.name) {
                continue;
            }
            let about = binding
                .conditions
                .iter()
                .filter(|condition| condition.variables().contains(&bound.name));
            names.insert(bound.name.clone(), about.cloned().collect());
        }
    }
    names
}

/// For which values of a name the property of a picked object was promised.
pub(super) enum Promised {
    /// For those that satisfy the conditions: the sentence that makes the promise says so.
    For(Vec<Condition>),
    /// For the one that was at hand when the object was picked.
    AtHand,
}

/// For which values of a name a condition of the object that an entry picks was promised; `None`
/// for what says how large the object is ("N ≥ 1/(xε)"), and is no promise.
pub(super) fn promised(
    argument: &Argument,
    from: usize,
    name: &Symbol,
    promise: &Condition,
) -> Option<Promised> {
    let entry = argument.entries.get(from)?;
    let Content::Binding(picked) = &entry.content else {
        return None;
    };
    let ranges = ranges_of(argument, from);
    let names = promise.variables();
    let exists = picked
        .bound
        .iter()
        .any(|bound| bound.introduction == Introduction::Existing);
    let binds =
        |binding: &Binding, name: &Symbol| binding.bound.iter().any(|bound| bound.name == *name);
    let fixed = |name: &Symbol| {
        entry.scope.iter().any(|position| {
            matches!(&argument.entries[*position].content, Content::Binding(binding)
                if binds(binding, name))
        })
    };
    let ranged = |name: &Symbol| ranges.iter().any(|(_, binding)| binds(binding, name));
    // "Pick N with |a_n| < ε": n is not said, and runs.
    let runs = |name: &Symbol| {
        !binds(picked, name) && (ranged(name) || is_index(argument, name) && !fixed(name))
    };
    if !exists && !names.iter().any(runs) {
        return None;
    }
    let own: Vec<&Binding> = ranges
        .iter()
        .map(|(_, binding)| *binding)
        .filter(|binding| binds(binding, name))
        .collect();
    if !own.is_empty() {
        let conditions = own
            .iter()
            .flat_map(|binding| &binding.conditions)
            .filter(|condition| condition.variables().contains(name));
        return Some(Promised::For(conditions.cloned().collect()));
    }
    if fixed(name) {
        return Some(Promised::AtHand);
    }
    let given = argument.givens.iter().filter(|given| given.name == *name);
    let mut conditions: Vec<Condition> = given
        .flat_map(|given| given.conditions.iter().cloned())
        .collect();
    // Nothing says from where on: from the picked number on.
    if runs(name) {
        let from = picked
            .bound
            .iter()
            .filter(|bound| bound.kind == Kind::Integer && !names.contains(&bound.name));
        conditions.extend(from.map(|bound| {
            Condition::Holds(
                Expr::variable(name),
                Relation::GreaterEqual,
                Expr::variable(&bound.name),
            )
        }));
    }
    Some(Promised::For(conditions))
}

/// Whether a name runs through integers as far as the exercise tells.
fn is_index(argument: &Argument, name: &Symbol) -> bool {
    argument
        .givens
        .iter()
        .any(|given| given.name == *name && given.kind == Kind::Integer)
}

/// The ranges in the sentence of an entry that belong to what it promises: those behind it up to
/// the next property ("|a_n − a| < ε/2 for n ≥ N₁, and |b_n − b| < ε/2 for n ≥ N₂"), else those
/// before it ("for all n ≥ N₁ we have |a_n − a| < ε/2").
fn ranges_of(argument: &Argument, from: usize) -> Vec<(usize, &Binding)> {
    let entries = &argument.entries;
    let sentence = entries[from].sentence;
    let ranged = |position: usize| match (&entries[position].content, entries[position].role) {
        (Content::Binding(binding), Some(Role::Range)) => Some((position, binding)),
        _ => None,
    };
    let near = |position: &usize| {
        entries[*position].sentence == sentence && entries[*position].role != Some(Role::Choice)
    };
    let behind: Vec<_> = (from + 1..entries.len())
        .take_while(near)
        .filter_map(ranged)
        .collect();
    let before = (0..from).rev().take_while(near).filter_map(ranged);
    let known: BTreeSet<&Symbol> = behind
        .iter()
        .flat_map(|(_, binding)| binding.bound.iter().map(|bound| &bound.name))
        .collect();
    let before: Vec<_> = before
        .filter(|(position, binding)| {
            entries[from].scope.contains(position)
                && binding
                    .bound
                    .iter()
                    .all(|bound| !known.contains(&bound.name))
        })
        .collect();
    behind.into_iter().chain(before).collect()
}

/// Whether a relation of the argument has a term as a part of it.
pub(super) fn speaks_of(argument: &Argument, term: &Expr) -> bool {
    argument.entries.iter().any(|entry| {
        let mut found = false;
        if let Some((left, _, right)) = crate::judge::relation_of(entry) {
            for side in [left, right] {
                side.visit(&mut |part| found |= part == term);
            }
        }
        found
    })
}

/// A promise that holds within its ranges only.
pub(super) fn guarded(ranges: &[Condition], promise: &Condition) -> Condition {
    let beyond = ranges
        .iter()
        .map(|range| Condition::Not(Box::new(range.clone())));
    Condition::Or(beyond.chain([promise.clone()]).collect())
}

/// A comparison as larger side, strictness, smaller side.
pub(super) fn lower_bound(condition: &Condition) -> Option<(&Expr, bool, &Expr)> {
    let Condition::Holds(left, relation, right) = condition else {
        return None;
    };
    match relation {
        Relation::Greater => Some((left, true, right)),
        Relation::GreaterEqual => Some((left, false, right)),
        Relation::Less => Some((right, true, left)),
        Relation::LessEqual => Some((right, false, left)),
        Relation::Equal | Relation::NotEqual => None,
    }
}

/// The same, and a value, which bounds from below as well.
fn lower_or_value(condition: &Condition) -> Option<(&Expr, bool, &Expr)> {
    match condition {
        Condition::Holds(left, Relation::Equal, right) => Some((left, false, right)),
        _ => lower_bound(condition),
    }
}

/// Whether a lower bound of an index follows from what is said of it now: n ≥ N₁ from n ≥ N with
/// N = max{N₁, N₂}.
pub(super) fn is_within(
    range: &Condition,
    now: &[Condition],
    known: &[(Hypothesis, Option<usize>)],
) -> bool {
    if now.contains(range) {
        return true;
    }
    let Some((index, strict, bound)) = lower_bound(range) else {
        return false;
    };
    now.iter()
        .filter_map(lower_or_value)
        .any(|(name, above, own)| {
            name == index
                && match reaches(own, bound, known, 4) {
                    Some(beyond) => !strict || above || beyond,
                    None => false,
                }
        })
}

/// Whether a ≥ b is told by maxima and lower bounds of names, and whether even a > b is.
fn reaches(
    a: &Expr,
    b: &Expr,
    known: &[(Hypothesis, Option<usize>)],
    depth: usize,
) -> Option<bool> {
    if a == b {
        return Some(false);
    }
    let depth = depth.checked_sub(1)?;
    if let Node::Max(items) = a.node() {
        return items.iter().find_map(|item| reaches(item, b, known, depth));
    }
    if let Some(more) = a.minus(b).as_number() {
        return (more >= Expr::integer(0).as_number()?)
            .then(|| Some(more) > Expr::integer(0).as_number());
    }
    if let Node::Call(Function::Ceil, inner) = a.node() {
        return reaches(inner, b, known, depth);
    }
    known.iter().find_map(|(hypothesis, _)| {
        let (own, strict, below) = lower_or_value(&hypothesis.condition)?;
        (own == a && own.as_variable().is_some()).then_some(())?;
        reaches(below, b, known, depth).map(|beyond| beyond || strict)
    })
}

/// Whether a condition on a name by a number follows from another one: x = 0 or x > 1 from x ≥ 0.
pub(super) fn within(own: &Condition, condition: &Condition) -> bool {
    let about = |condition: &Condition| {
        let Condition::Holds(left, relation, right) = condition else {
            return None;
        };
        match (left.as_variable(), right.as_number()) {
            (Some(name), Some(number)) => Some((name.clone(), *relation, number)),
            _ => Some((
                right.as_variable()?.clone(),
                relation.flipped(),
                left.as_number()?,
            )),
        }
    };
    let (Some((name, is, value)), Some((other, must, bound))) = (about(own), about(condition))
    else {
        return false;
    };
    let sign = value.cmp(&bound);
    let reaches = |far: Ordering| {
        sign == far
            || sign == Ordering::Equal
                && (is == must || matches!(is, Relation::Less | Relation::Greater))
    };
    name == other
        && match (is, must) {
            (Relation::Equal, _) => must.admits(sign),
            (
                Relation::Greater | Relation::GreaterEqual,
                Relation::Greater | Relation::GreaterEqual,
            ) => reaches(Ordering::Greater),
            (Relation::Less | Relation::LessEqual, Relation::Less | Relation::LessEqual) => {
                reaches(Ordering::Less)
            }
            _ => false,
        }
}
