//! Thresholds and distances that are said to exist for more at once than what is known gives.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told, condition_of};
use crate::relation;
use crate::wording;
use argument::{Assertion, Binding, Content, Entry, Introduction, Role, Zone};
use kernel::{Condition, Expr, Function, Kind, Node, Relation, Symbol};
use std::collections::BTreeSet;

/// Words with which one δ serves all members of a sequence, or one N all points: what they tell
/// is not read, so nothing is called a mistake beside them.
const SERVING: [&str; 16] = [
    "equi",
    "compact",
    "lipschitz",
    "hölder",
    "holder",
    "derivative",
    "mean",
    "dini",
    "monoton",
    "cover",
    "finite",
    "periodic",
    "heine",
    "cantor",
    "arzel",
    "polynomial",
];

/// How far apart the names of a list stand: a comma and a gap.
const LISTED: usize = 2;

/// Words that may tell what keeps a function away from 0.
const KEEPING: [&str; 8] = [
    "away",
    "closed",
    "minimum",
    "attain",
    "infimum",
    "inf",
    "below",
    "reciprocal",
];

/// Tells of objects that exist for one point, or one member, and are picked for all at once.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let served = |stem: &str| engine.argument.says(&[stem]);
    if engine.argument.says(&SERVING) {
        return;
    }
    let entries = &engine.argument.entries;
    for (position, entry) in entries.iter().enumerate() {
        let (Some(Role::Choice), Content::Binding(binding), Zone::Proof) =
            (entry.role, &entry.content, entry.zone)
        else {
            continue;
        };
        let Some(name) = existing(binding) else {
            continue;
        };
        let ranged = ranged_in(entries, entry);
        if let Some(point) = from_below(entries, entry, &name, &ranged)
            && !engine.argument.says(&KEEPING)
        {
            judged.findings.push(
                Told::new(
                    &catalogue::CONCLUSION_NOT_REACHED,
                    entry.sentence,
                    wording::picked_from_below(name.0.as_str(), point.as_str()),
                )
                .at(position),
            );
            continue;
        }
        let said = entries
            .iter()
            .filter(|other| other.sentence == entry.sentence)
            .flat_map(statements)
            .find_map(|condition| places(&condition));
        let Some((function, one, other)) = said else {
            continue;
        };
        // "Let |f_n(x) − f_n(y)| ≤ L |x − y| for all n": what is supposed of it may serve.
        let supposed = entries.iter().any(|other| {
            matches!(other.role, Some(Role::Assumption | Role::Let))
                && statements(other)
                    .iter()
                    .any(|said| speaks_of(said, &function))
        });
        if supposed {
            continue;
        }
        let wide = |expr: &Expr| {
            expr.as_variable()
                .filter(|name| ranged.contains(name))
                .cloned()
        };
        let told = match (one.as_slice(), other.as_slice()) {
            // |f_n(x) − f(x)| < …
            ([index, point], [same]) if point == same && name.1 == Kind::Integer => wide(point)
                .filter(|_| !served("unif") && is_pointwise(engine) && index.as_number().is_none())
                .map(|point| {
                    (
                        &catalogue::THRESHOLD_DEPENDS_ON_POINT,
                        wording::picked_for_all_points(name.0.as_str(), point.as_str()),
                    )
                }),
            // |f_n(x) − f_n(a)| < …
            ([index, left], [same, right]) if index == same && left != right => {
                wide(index).filter(|_| name.1 == Kind::Real).map(|index| {
                    (
                        &catalogue::QUANTIFIERS_OUT_OF_ORDER,
                        wording::picked_for_all_members(name.0.as_str(), index.as_str()),
                    )
                })
            }
            // |g(s) − g(t)| < …
            ([left], [right]) if left != right && name.1 == Kind::Real => wide(left)
                .zip(wide(right))
                .filter(|_| !served("uniformly cont") && !served("uniform cont"))
                .filter(|_| !closed(entries, entry, &ranged))
                .map(|(_, point)| {
                    (
                        &catalogue::DELTA_DEPENDS_ON_POINT,
                        wording::picked_for_all_pairs(name.0.as_str(), point.as_str()),
                    )
                }),
            _ => None,
        };
        if let Some((check, message)) = told {
            judged
                .findings
                .push(Told::new(check, entry.sentence, message).at(position));
        }
    }
}

/// The point for which |f(x)| ≥ c is said with one c for all points, though of f no more is known
/// than that it has no zeros.
fn from_below(
    entries: &[Entry],
    choice: &Entry,
    (name, kind): &(&Symbol, Kind),
    ranged: &BTreeSet<&Symbol>,
) -> Option<Symbol> {
    let value = |expr: &Expr| match expr.node() {
        Node::Call(Function::Abs, inner) => inner.clone(),
        _ => expr.clone(),
    };
    let bound = entries
        .iter()
        .filter(|other| other.sentence == choice.sentence)
        // "|q(x)| ≥ c for all x ∈ D with some constant c > 0", said of what is supposed.
        .filter(|other| {
            other.role != Some(Role::Assumption) || choice.span.start < other.span.start
        })
        .flat_map(statements)
        .find_map(|condition| match condition {
            Condition::Holds(left, Relation::GreaterEqual | Relation::Greater, right)
                if right.as_variable() == Some(*name) =>
            {
                Some(value(&left))
            }
            Condition::Holds(left, Relation::LessEqual | Relation::Less, right)
                if left.as_variable() == Some(*name) =>
            {
                Some(value(&right))
            }
            _ => None,
        })?;
    let Node::Apply(function, arguments) = bound.node() else {
        return None;
    };
    let [point] = arguments.as_slice() else {
        return None;
    };
    let point = point.as_variable().filter(|point| ranged.contains(point))?;
    // "Let |f(x)| ≥ m > 0 on D" gives what is picked.
    let given = entries.iter().any(|other| {
        matches!(other.role, Some(Role::Assumption | Role::Let))
            && other.sentence != choice.sentence
            && statements(other).iter().any(|said| {
                speaks_of(said, function)
                    && matches!(said, Condition::Holds(_, relation, bound)
                        if *relation != Relation::NotEqual && bound.as_number().is_none())
            })
    });
    (*kind == Kind::Real && !given).then(|| point.clone())
}

/// The one name that a choice takes because it exists.
fn existing(binding: &Binding) -> Option<(&Symbol, Kind)> {
    match binding.bound.as_slice() {
        [bound] if bound.introduction == Introduction::Existing => Some((&bound.name, bound.kind)),
        _ => None,
    }
}

/// The names over which the sentence of a choice ranges.
fn ranged_in<'a>(entries: &'a [Entry], choice: &Entry) -> BTreeSet<&'a Symbol> {
    // "For all real p, q": the second name of a list is read as a mention.
    let listed = entries.windows(2).filter_map(|pair| {
        let close = pair[1].span.start.saturating_sub(pair[0].span.end) <= LISTED;
        match pair[1].names.as_slice() {
            [name]
                if close
                    && pair[0].sentence == choice.sentence
                    && pair[0].role == Some(Role::Range)
                    && pair[1].role == Some(Role::Mention) =>
            {
                Some(name)
            }
            _ => None,
        }
    });
    entries
        .iter()
        .filter(|other| other.sentence == choice.sentence && other.role == Some(Role::Range))
        .filter_map(|other| match &other.content {
            Content::Binding(binding) => Some(&binding.bound),
            _ => None,
        })
        .flatten()
        .filter(|bound| bound.introduction == Introduction::Arbitrary)
        .map(|bound| &bound.name)
        .chain(listed)
        .collect()
}

/// The comparisons that an entry makes.
fn statements(entry: &Entry) -> Vec<Condition> {
    match &entry.content {
        Content::Binding(binding) => binding.conditions.clone(),
        _ => condition_of(entry).into_iter().collect(),
    }
}

/// The function of `|F(…) − F(…)| < c` that is not known, and where it is taken, the place with more
/// arguments first: `f_n(x)` and its limit `f(x)` bear one name.
fn places(condition: &Condition) -> Option<(Symbol, Vec<Expr>, Vec<Expr>)> {
    let Condition::Holds(left, Relation::Less | Relation::LessEqual, _) = condition else {
        return None;
    };
    let (first, second) = relation::distance(left)?;
    let (Node::Apply(name, one), Node::Apply(other, two)) = (first.node(), second.node()) else {
        return None;
    };
    let (longer, shorter) = if one.len() < two.len() {
        (two, one)
    } else {
        (one, two)
    };
    (name == other).then(|| (name.clone(), longer.clone(), shorter.clone()))
}

/// Whether a comparison speaks of a function.
fn speaks_of(condition: &Condition, function: &Symbol) -> bool {
    matches!(condition, Condition::Holds(left, _, right)
        if left.unknown_functions().contains(function)
            || right.unknown_functions().contains(function))
}

/// Whether the argument says of its sequence that it converges at each point, and nowhere that it
/// converges uniformly, in words or by quantifiers.
fn is_pointwise(engine: &Engine<'_>) -> bool {
    let mut said = engine
        .argument
        .entries
        .iter()
        .filter_map(|entry| match &entry.content {
            Content::Assertion(Assertion::Convergence {
                error,
                negated: false,
            }) if entry.role != Some(Role::Rejected) && !error.points.is_empty() => {
                Some(error.uniform)
            }
            _ => None,
        });
    engine.argument.formals.is_empty() && said.next() == Some(false) && said.all(|uniform| !uniform)
}

/// Whether the sentence takes its points from a closed bounded interval, where continuity gives
/// one distance for all of them.
fn closed(entries: &[Entry], choice: &Entry, ranged: &BTreeSet<&Symbol>) -> bool {
    let conditions: Vec<&Condition> = entries
        .iter()
        .filter(|other| other.sentence == choice.sentence)
        .filter_map(|other| match &other.content {
            Content::Binding(binding) => Some(&binding.conditions),
            _ => None,
        })
        .flatten()
        .collect();
    let bounded = |name: &Symbol, relation: Relation| {
        conditions.iter().any(|condition| {
            matches!(condition, Condition::Holds(left, own, _)
                if left.as_variable() == Some(name) && *own == relation)
        })
    };
    ranged
        .iter()
        .any(|name| bounded(name, Relation::GreaterEqual) && bounded(name, Relation::LessEqual))
}
