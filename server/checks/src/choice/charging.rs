//! Which false lines a choice explains, and which line explains a choice.

use super::*;

/// Lower bounds for a threshold that are large enough for any honest estimate.
pub(super) fn large_enough(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Vec<Expr> {
    let points = engine
        .argument
        .error
        .as_ref()
        .map(|error| error.points.clone())
        .unwrap_or_default();
    let mut found = Vec::new();
    if let Some(tolerance) = outcome.setting.tolerances(&points).first() {
        let tolerance = Expr::variable(tolerance);
        for power in [1, 2, 4] {
            let thousand = Expr::integer(1000);
            found.push(
                thousand
                    .over(&tolerance.power(&Expr::integer(power)))
                    .plus(&thousand),
            );
        }
    }
    found
}

/// Whether a false line is true once the chosen threshold is large enough.
pub(crate) fn explains(engine: &Engine<'_>, outcome: &ChoiceOutcome, line: usize) -> bool {
    let entry = &engine.argument.entries[line];
    if !entry.scope.contains(&outcome.entry) {
        return false;
    }
    let Some((left, relation, right)) = relation_of(entry) else {
        return false;
    };
    // "… ≤ 1/N = ε": what the choice ought to have been solved from.
    let names: BTreeSet<Symbol> = &left.variables() | &right.variables();
    if relation == Relation::Equal
        && names.len() == 2
        && names.contains(&outcome.name)
        && names.iter().any(crate::scope::is_tolerance_name)
    {
        return true;
    }
    let setting = Setting::of(engine.argument, &entry.scope).without(outcome.entry);
    // What a choice by existence promises, if it were there.
    if outcome.baseless.is_some()
        && let Content::Binding(binding) = &engine.argument.entries[outcome.entry].content
    {
        let granted = binding
            .conditions
            .iter()
            .fold(setting.clone(), |setting, condition| {
                setting.and(condition.clone(), Origin::Earlier)
            });
        return engine.proves(&granted.holds(left, relation, right));
    }
    // "… < ε" of something that tends to 0 is true from some threshold on.
    if let Some(error) = &engine.argument.error
        && matches!(relation, Relation::Less | Relation::LessEqual)
        && !right.variables().is_empty()
        && right
            .variables()
            .iter()
            .all(crate::scope::is_tolerance_name)
    {
        let moving = if left.mentions(&error.index) {
            left.clone()
        } else {
            left.substitute(&outcome.name, &Expr::variable(&error.index))
        };
        let points: Vec<Symbol> = error
            .points
            .iter()
            .filter(|point| moving.mentions(point) && !chosen_from(engine, outcome, point))
            .cloned()
            .collect();
        let asked = Setting::of(engine.argument, &[]).vanishing(
            &crate::conclusion::absolute(&moving),
            &error.index,
            &points,
        );
        if moving.mentions(&error.index) && engine.proves(&asked) {
            return true;
        }
    }
    let name = Expr::variable(&outcome.name);
    let large = large_enough(engine, outcome)
        .into_iter()
        .map(|bound| vec![Condition::Holds(name.clone(), Relation::Greater, bound)]);
    large.chain(small_enough(engine, outcome)).any(|better| {
        let setting = better
            .into_iter()
            .fold(setting.clone(), |setting, condition| {
                setting.and(condition, Origin::Choice)
            });
        engine.proves(&setting.holds(left, relation, right))
    })
}

/// Upper bounds for a δ that is small enough for most honest estimates.
fn small_enough(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Vec<Condition>> {
    let points = engine
        .argument
        .error
        .as_ref()
        .map(|error| error.points.clone())
        .unwrap_or_default();
    let tolerance = outcome.setting.tolerances(&points).first().cloned()?;
    if !outcome.name.as_str().starts_with(['δ', 'η']) {
        return None;
    }
    let name = Expr::variable(&outcome.name);
    let part = |whole: Expr| whole.over(&Expr::integer(1000));
    Some(vec![
        Condition::Holds(name.clone(), Relation::Greater, Expr::integer(0)),
        Condition::Holds(
            name.clone(),
            Relation::LessEqual,
            part(Expr::variable(&tolerance)),
        ),
        Condition::Holds(name, Relation::LessEqual, part(Expr::integer(1))),
    ])
}

/// Whether a choice that does not serve would serve if a false line were true.
pub(crate) fn follows_from(engine: &Engine<'_>, outcome: &ChoiceOutcome, line: usize) -> bool {
    let (Some(granted), Some(Condition::Holds(left, relation, right))) = (
        granted_by(&engine.argument.entries[line]),
        outcome.aim.clone(),
    ) else {
        return false;
    };
    // What the choice is for is no reason for it.
    let entry = &engine.argument.entries[line];
    let own_aim = entry.scope.contains(&outcome.entry)
        && matches!(&granted, Condition::Holds(_, _, bound)
            if !bound.variables().is_empty()
                && bound.variables().iter().all(crate::scope::is_tolerance_name));
    if own_aim {
        return false;
    }
    let setting = outcome.setting.clone().and(granted, Origin::Earlier);
    engine.proves(&setting.holds(&left, relation, &right))
}

/// Whether a choice is made from a point: then it is asked at that point alone.
fn chosen_from(engine: &Engine<'_>, outcome: &ChoiceOutcome, point: &Symbol) -> bool {
    match &engine.argument.entries[outcome.entry].content {
        Content::Binding(binding) => binding
            .conditions
            .iter()
            .any(|condition| condition.variables().contains(point)),
        _ => false,
    }
}
