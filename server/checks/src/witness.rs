//! Witness points: whether the points x_n that shall show something lie in the domain.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told};
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Content, Definition, ErrorTerm, Role, Zone};
use kernel::{Condition, Expr, Goal, Kind, Origin, Relation, Symbol, Verdict, show};

/// From which index on a witness must be outside of the domain for good to be told of.
const LATE: i64 = 5;

/// Tells of sequences of points that leave the domain, in arguments against a convergence.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let Some(error) = &engine.argument.error else {
        return;
    };
    let denies = engine.argument.entries.iter().any(|entry| {
        matches!(
            entry.content,
            Content::Assertion(Assertion::Convergence { negated: true, .. })
        )
    });
    if !denies {
        return;
    }
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        let (Content::Definition(definition), Zone::Proof) = (&entry.content, entry.zone) else {
            continue;
        };
        if matches!(entry.role, Some(Role::Rejected | Role::Aim)) || entry.guard.is_some() {
            continue;
        }
        let Some(definition) = engine.argument.definitions.get(*definition) else {
            continue;
        };
        if let Some((condition, values)) = outside(engine, error, definition) {
            let message = wording::witness_outside(
                &format!("{}_{}", definition.name, definition.parameters[0]),
                &show::plain(&definition.value),
                &show::condition(&condition),
                &values,
            );
            judged
                .findings
                .push(Told::new(&catalogue::WITNESS_FAILS, entry.span, message).at(position));
        }
    }
}

/// The condition of the domain that a sequence of points violates from some index on, with a
/// value to try.
fn outside(
    engine: &Engine<'_>,
    error: &ErrorTerm,
    definition: &Definition,
) -> Option<(Condition, String)> {
    let ([index], 1) = (definition.parameters.as_slice(), definition.subscripts) else {
        return None;
    };
    let point = error
        .points
        .iter()
        .find(|point| **point == definition.name)?;
    let plain = Setting::of(engine.argument, &[]).naming(index, Kind::Integer);
    error
        .conditions
        .iter()
        .filter(|condition| condition.variables() == [point.clone()].into())
        .find_map(|condition| {
            let Condition::Holds(left, relation, right) = condition else {
                return None;
            };
            let there = |side: &Expr| side.substitute(point, &definition.value);
            let (left, right) = (there(left), there(right));
            let mut names = left.variables();
            names.extend(right.variables());
            names.insert(index.clone());
            if names.iter().any(|name| name != index) {
                return None;
            }
            let late = at_least(index, LATE);
            let claim = plain.problem(
                &names,
                Goal::Holds(left.clone(), relation.negated(), right.clone()),
            );
            engine
                .proves(&claim.assuming(late, Origin::Range))
                .then_some(())?;
            let goal = Goal::Holds(left, *relation, right);
            let asked = plain
                .problem(&names, goal)
                .assuming(at_least(index, 1), Origin::Domain);
            let values = match engine.ask(&asked) {
                Verdict::Refuted(counterexample) => {
                    crate::wording::numbers(&crate::engine::shown(&counterexample))
                }
                _ => return None,
            };
            Some((condition.clone(), values))
        })
}

fn at_least(index: &Symbol, least: i64) -> Condition {
    Condition::Holds(
        Expr::variable(index),
        Relation::GreaterEqual,
        Expr::integer(least),
    )
}
