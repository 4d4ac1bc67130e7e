//! Restrictions that the text gives in another place, and that it may mean here as well.

use super::Engine;
use crate::scope::Setting;
use argument::{Argument, Assertion, Content, Entry, Role, Toward};
use kernel::{Condition, Expr, Function, Kind, Node, Origin, Problem, Relation, Symbol};
use source::Span;
use std::collections::BTreeSet;

/// What the text says anywhere of a single name of which nothing is said in force: "a > 0" in the
/// heading of the part before. Only restrictions that can hold together with the others.
pub(in crate::engine) fn said(
    engine: &Engine<'_>,
    setting: &Setting,
    problem: &Problem,
) -> Vec<Condition> {
    let mut found: Vec<Condition> = Vec::new();
    let mut together = problem.clone();
    let known: BTreeSet<&Symbol> = problem
        .variables
        .iter()
        .map(|variable| &variable.name)
        .collect();
    for variable in &problem.variables {
        let name = &variable.name;
        let restricted = problem.hypotheses.iter().any(|hypothesis| {
            let names = hypothesis.condition.variables();
            match variable.kind {
                Kind::Integer => names.contains(name) && !is_convention(&hypothesis.condition),
                Kind::Real => names.iter().eq([name]),
            }
        });
        if restricted || setting.chosen.contains_key(name) {
            continue;
        }
        // Cases part the points; what a case says of a parameter holds for its part of the text.
        let point = engine
            .argument
            .error
            .as_ref()
            .is_some_and(|error| error.points.contains(name));
        let entries = engine.argument.entries.iter();
        for condition in entries
            .filter(|entry| !(point && entry.case))
            .flat_map(restrictions)
        {
            let names = condition.variables();
            // From which index on something holds is asked apart; m > n ties two of them.
            let tied = names.len() > 1 || variable.kind == Kind::Real;
            let new = names.contains(name)
                && tied
                && names.iter().all(|other| known.contains(other))
                && !found.contains(&condition);
            if !new {
                continue;
            }
            let narrower = together.assuming(condition.clone(), Origin::Assumption);
            if engine.can_be_met(&narrower) {
                together = narrower;
                found.push(condition);
            }
        }
    }
    found
}

/// How many sentences before a claim may say of which points it speaks.
const NEAR: usize = 2;

/// What the sentence of a claim and those right before it say of its points beyond what is in
/// force: "we look only at |x − 1| < 1" before "for such x: …". Only what can hold together.
pub(crate) fn nearby(
    engine: &Engine<'_>,
    setting: &Setting,
    entry: &Entry,
    problem: &Problem,
) -> Vec<Condition> {
    let entries = &engine.argument.entries;
    let mut sentences: Vec<Span> = Vec::new();
    for other in entries.iter().rev() {
        let before = other.sentence.start <= entry.sentence.start && other.zone == entry.zone;
        if before && !sentences.contains(&other.sentence) && sentences.len() <= NEAR {
            sentences.push(other.sentence);
        }
    }
    let real = |name: &Symbol| {
        problem
            .variable(name)
            .is_some_and(|variable| variable.kind == Kind::Real)
            && !crate::scope::is_tolerance_name(name)
    };
    // |x − a| < δ speaks of x, whoever chose δ.
    let point = |name: &Symbol| real(name) && !setting.chosen.contains_key(name);
    let mut found: Vec<Condition> = Vec::new();
    let mut together = problem.clone();
    for condition in entries
        .iter()
        .filter(|other| other.zone == entry.zone && sentences.contains(&other.sentence))
        .flat_map(|other| {
            let mut said = restrictions(other);
            if other_link(other, entry) {
                said.extend(stretch(other));
            }
            said
        })
        .chain(entries.iter().filter_map(|other| value_meant(other, entry)))
        .chain(
            entries
                .iter()
                .filter(|other| other.sentence == entry.sentence)
                .filter_map(surroundings),
        )
    {
        let names = condition.variables();
        let known = problem
            .hypotheses
            .iter()
            .any(|hypothesis| hypothesis.condition == condition);
        let about = names.iter().all(real) && names.iter().any(point)
            || matches!(&condition, Condition::Holds(left, relation, right)
                if *relation == Relation::Equal
                    || left.as_variable().is_some() && right.as_variable().is_some());
        if !about || known || found.contains(&condition) {
            continue;
        }
        let narrower = together.assuming(condition.clone(), Origin::Assumption);
        if engine.can_be_met(&narrower) {
            together = narrower;
            found.push(condition);
        }
    }
    found
}

/// So many restrictions of other sentences are tried.
const MOST_ELSEWHERE: usize = 24;

/// What other sentences of the argument say of the names of a claim beyond what is in force,
/// sentence by sentence: a case whose end the text does not mark, a number that a name has in an
/// example. Only what can hold together with what is in force.
pub(crate) fn anywhere(
    engine: &Engine<'_>,
    entry: &Entry,
    problem: &Problem,
) -> Vec<Vec<Condition>> {
    let known: BTreeSet<&Symbol> = problem
        .variables
        .iter()
        .map(|variable| &variable.name)
        .collect();
    let points = engine.argument.error.as_ref().map(|error| &error.points);
    let constant = |condition: &Condition| match condition {
        Condition::Holds(left, Relation::Equal, right) if right.variables().is_empty() => {
            left.as_variable().is_some_and(|name| {
                problem
                    .variable(name)
                    .is_some_and(|variable| variable.kind == Kind::Real)
                    && points.is_none_or(|points| !points.contains(name))
            })
        }
        _ => false,
    };
    // What the claim's own sentence says of a name is what is meant there.
    let told: BTreeSet<Symbol> = engine
        .argument
        .entries
        .iter()
        .filter(|other| other.sentence == entry.sentence && other_link(other, entry))
        .filter_map(|other| match &other.content {
            Content::Binding(binding) => Some(&binding.bound),
            _ => None,
        })
        .flatten()
        .map(|bound| bound.name.clone())
        .collect();
    // Members of a sequence are what they are.
    let of_members = |condition: &Condition| {
        let mut applied = false;
        condition.visit(&mut |part| applied |= matches!(part.node(), Node::Apply(..)));
        applied && !constant(condition)
    };
    let mut found: Vec<Vec<Condition>> = Vec::new();
    let mut sentence: Option<Span> = None;
    for other in &engine.argument.entries {
        if !other_link(other, entry) {
            continue;
        }
        let mut said = restrictions(other);
        said.extend(crate::judge::condition_of(other).filter(&constant));
        if let Content::Binding(binding) = &other.content {
            // "At x = 0 all values are 0" names one point of many.
            let named = |own: &&Condition| {
                let names = own.variables();
                constant(own) && names.iter().all(crate::scope::is_tolerance_name)
            };
            said.extend(binding.conditions.iter().filter(named).cloned());
        }
        if let Content::Assertion(Assertion::Implication { from, .. }) = &other.content {
            said.extend(from.iter().cloned());
        }
        said.retain(|condition| {
            let names = condition.variables();
            let about = names.iter().any(|name| known.contains(name)) || constant(condition);
            let in_force = problem
                .hypotheses
                .iter()
                .any(|hypothesis| hypothesis.condition == *condition);
            let open = names.is_disjoint(&told) && !of_members(condition);
            about && !in_force && open && names.iter().all(|name| known.contains(name))
        });
        if said.is_empty() {
            continue;
        }
        match found.last_mut() {
            Some(group) if sentence == Some(other.sentence) => group.extend(said),
            _ => found.push(said),
        }
        sentence = Some(other.sentence);
    }
    let usual = usually_positive(engine, problem);
    if !usual.is_empty() {
        found.push(usual);
    }
    let mut distinct: Vec<Vec<Condition>> = Vec::new();
    for group in found {
        if !distinct.contains(&group) && distinct.len() < MOST_ELSEWHERE {
            distinct.push(group);
        }
    }
    distinct.retain(|group| {
        let narrower = group.iter().fold(problem.clone(), |problem, condition| {
            problem.assuming(condition.clone(), Origin::Assumption)
        });
        engine.can_be_met(&narrower)
    });
    distinct
}

/// Names of which nothing in force says a bound of their own, indices and parameters, are usually
/// positive: a of [a, ∞), N of S_N.
fn usually_positive(engine: &Engine<'_>, problem: &Problem) -> Vec<Condition> {
    let points = engine.argument.error.as_ref().map(|error| &error.points);
    problem
        .variables
        .iter()
        .filter(|variable| points.is_none_or(|points| !points.contains(&variable.name)))
        .filter(|variable| {
            !problem.hypotheses.iter().any(|hypothesis| {
                hypothesis.condition.variables().iter().eq([&variable.name])
                    && !matches!(hypothesis.condition, Condition::Integer(_))
            })
        })
        .map(|variable| {
            Condition::Holds(
                Expr::variable(&variable.name),
                Relation::Greater,
                Expr::integer(0),
            )
        })
        .collect()
}

/// "Given N: n = N, m = 2N + 3 → …", "Whoever takes k ≥ K …": an equation for a single name, or a
/// comparison of two names, in the claim's own sentence may say which values are meant.
fn value_meant(entry: &Entry, claim: &Entry) -> Option<Condition> {
    let own = other_link(entry, claim) && entry.sentence == claim.sentence;
    if !own || !matches!(entry.role, Some(Role::Step | Role::Reason | Role::Range)) {
        return None;
    }
    crate::judge::condition_of(entry).filter(|condition| {
        matches!(condition, Condition::Holds(left, relation, right)
            if left.as_variable().is_some_and(|name| !right.mentions(name))
                && (*relation == Relation::Equal || right.as_variable().is_some()))
    })
}

/// Whether two entries are links of different chains.
fn other_link(entry: &Entry, claim: &Entry) -> bool {
    entry.span != claim.span && (entry.chain.is_none() || entry.chain != claim.chain)
}

/// "Then −3/2 < x < −1/2": a step that compares a name with a number may say of which values the
/// text speaks.
fn stretch(entry: &Entry) -> Option<Condition> {
    if !matches!(entry.role, Some(Role::Step | Role::Reason)) {
        return None;
    }
    crate::judge::condition_of(entry).filter(|condition| {
        matches!(condition, Condition::Holds(left, relation, right)
            if *relation != Relation::Equal
                && (left.as_variable().is_some() && right.variables().is_empty()
                    || right.as_variable().is_some() && left.variables().is_empty()
                    || matches!(left.node(), Node::Call(Function::Abs, _))
                        && right.as_variable().is_some()))
    })
}

/// How near a point is that is certainly near, as the inverse of its distance from the place.
const NEARNESS: i64 = 16;

/// "For s → ∞ we have …" may speak of large s only, "as x → c" of x near c.
fn surroundings(entry: &Entry) -> Option<Condition> {
    let Content::Motion { variable, toward } = &entry.content else {
        return None;
    };
    let name = Expr::variable(variable);
    let far = Expr::integer(NEARNESS);
    let near = Expr::integer(1).over(&far);
    let (distance, relation, bound) = match toward {
        Toward::Infinity => (name, Relation::Greater, far),
        Toward::MinusInfinity => (name.negative(), Relation::Greater, far),
        Toward::Point(place) | Toward::Above(place) | Toward::Below(place) => {
            let distance = name.minus(place).abs();
            (distance, Relation::Less, near)
        }
    };
    Some(Condition::Holds(distance, relation, bound))
}

/// That the points of a claim are near the place to which the argument lets them go, where
/// nothing in force says how near they are.
pub(crate) fn vicinity(
    engine: &Engine<'_>,
    setting: &Setting,
    problem: &Problem,
) -> Option<Condition> {
    let free = |name: &Symbol| {
        problem
            .variable(name)
            .is_some_and(|variable| variable.kind == Kind::Real)
            && !crate::scope::is_tolerance_name(name)
            && !setting.hypotheses.iter().any(|(hypothesis, from)| {
                from.is_some()
                    && hypothesis.condition.variables().contains(name)
                    && !matches!(
                        hypothesis.condition,
                        Condition::Holds(_, Relation::NotEqual, _)
                    )
            })
    };
    engine
        .argument
        .entries
        .iter()
        .filter_map(crate::judge::condition_of)
        .chain(engine.argument.entries.iter().flat_map(restrictions))
        .find_map(|condition| {
            let Condition::Holds(left, relation, _) = &condition else {
                return None;
            };
            let Node::Call(Function::Abs, distance) = left.node() else {
                return None;
            };
            let upper = matches!(relation, Relation::Less | Relation::LessEqual);
            let names = distance.variables();
            let mut names = names.iter();
            let (Some(name), None) = (names.next(), names.next()) else {
                return None;
            };
            let linear = match distance.node() {
                Node::Variable(_) => true,
                Node::Add(terms) => terms.iter().any(|term| term.as_variable().is_some()),
                _ => false,
            };
            (upper && linear && free(name)).then(|| {
                Condition::Holds(
                    left.clone(),
                    Relation::Less,
                    Expr::integer(1).over(&Expr::integer(NEARNESS)),
                )
            })
        })
}

/// Whether the text anywhere restricts a name in a way that leaves a number out.
pub(crate) fn leaves_out(argument: &Argument, name: &Symbol, value: &Expr) -> bool {
    argument
        .entries
        .iter()
        .flat_map(restrictions)
        .filter(|condition| condition.variables().iter().eq([name]))
        .any(|condition| {
            let Condition::Holds(left, relation, right) = condition.substitute(name, value) else {
                return false;
            };
            match (left.as_number(), right.as_number()) {
                (Some(left), Some(right)) => !relation.admits(left.cmp(&right)),
                _ => false,
            }
        })
}

/// The restrictions that an entry puts on names; values say nothing of other places.
fn restrictions(entry: &Entry) -> Vec<Condition> {
    let restricts = matches!(
        entry.role,
        Some(Role::Let | Role::Range | Role::Condition | Role::Assumption)
    );
    // "The reader may look at the points x_n with n ≥ 2": said for whoever follows.
    let wishes = entry.role == Some(Role::Aim)
        && matches!(
            crate::judge::condition_of(entry),
            Some(Condition::Holds(left, _, right))
                if left.as_variable().is_some() && right.as_number().is_some()
        );
    if !restricts && !wishes {
        return Vec::new();
    }
    let conditions = match &entry.content {
        Content::Binding(binding) => binding.conditions.clone(),
        Content::Assertion(Assertion::All(conditions)) => conditions.clone(),
        _ => crate::judge::condition_of(entry).into_iter().collect(),
    };
    conditions
        .into_iter()
        .filter(
            |condition| matches!(condition, Condition::Holds(_, relation, _) if *relation != Relation::Equal),
        )
        .collect()
}

/// n ≥ 1, by the kind of n.
fn is_convention(condition: &Condition) -> bool {
    match condition {
        Condition::Holds(left, ..) => left
            .as_variable()
            .is_some_and(|name| *condition == crate::scope::at_least_one(name)),
        Condition::Integer(_) => true,
        _ => false,
    }
}

/// Where integrals in closed form are known to be the integrals: the condition of their one case.
pub(in crate::engine) fn computed_integrals(sides: &[&Expr]) -> Vec<Condition> {
    let mut found: Vec<Condition> = Vec::new();
    for side in sides {
        side.visit(&mut |part| {
            if let Node::Piecewise(branches) = part.node()
                && let [(condition, _)] = branches.as_slice()
                && !found.contains(condition)
            {
                found.push(condition.clone());
            }
        });
    }
    found
}

/// A sum from `k = n + 1` to `m` is written where it has terms.
pub(in crate::engine) fn filled_sums(sides: &[&Expr]) -> Vec<Condition> {
    let mut found: Vec<Condition> = Vec::new();
    for side in sides {
        side.visit(&mut |part| {
            let Node::Sum {
                from, to: Some(to), ..
            } = part.node()
            else {
                return;
            };
            // From 1 to n: n ≥ 1 is said by the kind of n.
            let free = !from.variables().is_empty() && !to.variables().is_empty();
            let filled = Condition::Holds(to.clone(), Relation::GreaterEqual, from.clone());
            if free && !found.contains(&filled) {
                found.push(filled);
            }
        });
    }
    found
}
