//! For which values of a name a promise or an assumption was made, and whether they hold a new one.

use argument::{Argument, Content, Entry, Role};
use kernel::{Condition, Expr, Function, Hypothesis, Node, Relation, Symbol};
use std::cmp::Ordering;
use std::collections::BTreeMap;

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

/// For which values of a name behind it an existing object was promised, beyond what every index
/// is.
pub(super) fn promised_range(argument: &Argument, from: usize, name: &Symbol) -> Vec<Condition> {
    let Some(entry) = argument.entries.get(from) else {
        return Vec::new();
    };
    // "|a_n − a| < ε/2 for n ≥ N₁, and |b_n − b| < ε/2 for n ≥ N₂": up to the next property.
    argument.entries[from + 1..]
        .iter()
        .take_while(|other| other.sentence == entry.sentence && other.role != Some(Role::Choice))
        .filter(|other| other.role == Some(Role::Range))
        .filter_map(|other| match &other.content {
            Content::Binding(binding) => Some(&binding.conditions),
            _ => None,
        })
        .flatten()
        .filter(|condition| {
            matches!(condition, Condition::Holds(..))
                && condition.variables().contains(name)
                && condition.variables().len() > 1
        })
        .cloned()
        .collect()
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
