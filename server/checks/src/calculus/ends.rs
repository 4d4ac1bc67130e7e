//! Equations that are proved inside of a domain and at its end apart: derivatives of powers such
//! as x^n, whose form at 0 is another one than elsewhere.

use crate::analysis::VerdictWord;
use crate::engine::{Engine, Judgement};
use crate::scope::Setting;
use kernel::{Condition, Expr, Kind, Origin, Relation};

/// The judgement of an equation that holds where x > c, and at c, and x ≥ c is in force.
pub(crate) fn apart(
    engine: &Engine<'_>,
    setting: &Setting,
    left: &Expr,
    right: &Expr,
) -> Option<Judgement> {
    let (point, end) =
        setting
            .hypotheses
            .iter()
            .find_map(|(hypothesis, _)| match &hypothesis.condition {
                Condition::Holds(point, Relation::GreaterEqual, end)
                    if left.mentions(point.as_variable()?)
                        && setting.kind(point.as_variable()?) == Kind::Real
                        && end.as_number().is_some() =>
                {
                    Some((point.as_variable()?.clone(), end.clone()))
                }
                _ => None,
            })?;
    let at = Expr::variable(&point);
    let inside = setting.clone().and(
        Condition::Holds(at, Relation::Greater, end.clone()),
        Origin::Assumption,
    );
    let there = [left, right].map(|side| side.substitute(&point, &end));
    let mut elsewhere = setting.clone();
    elsewhere
        .hypotheses
        .retain(|(hypothesis, _)| !hypothesis.condition.variables().contains(&point));
    let proved = |setting: &Setting, left: &Expr, right: &Expr| {
        let judgement = engine.relation(setting, left, Relation::Equal, right, true);
        (judgement.verdict == VerdictWord::Proved).then_some(judgement)
    };
    engine.quickly(|| {
        let inner = proved(&inside, left, right)?;
        proved(&elsewhere, &there[0], &there[1])?;
        Some(inner)
    })
}
