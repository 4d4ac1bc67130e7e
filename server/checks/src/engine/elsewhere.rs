//! Restrictions that the text gives in another place, and that it may mean here as well.

use super::Engine;
use crate::scope::Setting;
use argument::{Assertion, Content, Entry, Role};
use kernel::{Condition, Expr, Kind, Node, Origin, Problem, Relation};

/// What the text says anywhere of a single name of which nothing is said in force: "a > 0" in the
/// heading of the part before. Only restrictions that can hold together with the others.
pub(super) fn said(
    engine: &Engine<'_>,
    setting: &Setting,
    problem: &Problem,
) -> Vec<Condition> {
    let mut found: Vec<Condition> = Vec::new();
    let mut together = problem.clone();
    for variable in &problem.variables {
        let name = &variable.name;
        let restricted = problem
            .hypotheses
            .iter()
            .any(|hypothesis| hypothesis.condition.variables().iter().eq([name]));
        if restricted || variable.kind == Kind::Integer || setting.chosen.contains_key(name) {
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
            let new = condition.variables().iter().eq([name])
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

/// The restrictions that an entry puts on names; values say nothing of other places.
fn restrictions(entry: &Entry) -> Vec<Condition> {
    let restricts = matches!(
        entry.role,
        Some(Role::Let | Role::Range | Role::Condition | Role::Assumption)
    );
    if !restricts {
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

/// A sum from `k = n + 1` to `m` is written where it has terms.
pub(super) fn filled_sums(sides: &[&Expr]) -> Vec<Condition> {
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
