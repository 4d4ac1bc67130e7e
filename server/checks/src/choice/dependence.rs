//! On what a choice depends, and what would free it from the point.

use super::*;

/// The points on whose value a choice depends though its aim is uniform.
pub(super) fn depends_on(
    engine: &Engine<'_>,
    setting: &Setting,
    before: &Setting,
    binding: &Binding,
    name: &Symbol,
    points: &[Symbol],
) -> Vec<Symbol> {
    let uniform = engine
        .argument
        .error
        .as_ref()
        .is_some_and(|error| error.uniform);
    // An argument that ends in "not uniform" speaks of thresholds for fixed points.
    let denies = |assertion: &argument::Assertion| {
        matches!(
            assertion,
            argument::Assertion::Convergence { negated: true, .. }
        )
    };
    let entries = engine.argument.entries.iter();
    let denied = entries
        .filter_map(|entry| match &entry.content {
            Content::Assertion(assertion) => Some(assertion),
            _ => None,
        })
        .chain(
            engine
                .argument
                .aim
                .as_ref()
                .and_then(|aim| aim.assertion.as_ref()),
        )
        .any(denies);
    if !uniform || denied {
        return Vec::new();
    }
    // What the choice says, and what earlier choices that it uses say, each with the names for all
    // values of which it is said: c of "|f(x)| ≥ c for all x" depends on no x.
    // What it is picked for, "N with |f_n(x) − f(x)| < ε for all n ≥ N", bounds it by nothing.
    let bounds = |condition: &&Condition| condition.variables().contains(name);
    let own = binding.conditions.iter().filter(bounds);
    let mut conditions: Vec<(Condition, &[Symbol])> =
        own.map(|condition| (condition.clone(), &[][..])).collect();
    let mut seen: BTreeSet<Symbol> = BTreeSet::from([name.clone()]);
    let mut at = 0;
    while at < conditions.len() {
        for other in conditions[at].0.variables() {
            if setting.chosen.contains_key(&other) && seen.insert(other.clone()) {
                conditions.extend(
                    before
                        .hypotheses
                        .iter()
                        .filter(|(hypothesis, _)| hypothesis.condition.variables().contains(&other))
                        .filter_map(|(hypothesis, from)| {
                            let served = &engine.argument.entries[(*from)?].for_all;
                            Some((hypothesis.condition.clone(), served.as_slice()))
                        }),
                );
            }
        }
        at += 1;
    }
    points
        .iter()
        .filter(|point| {
            conditions
                .iter()
                .filter(|(_, served)| !served.contains(point))
                .any(|(condition, _)| depends_by_value(engine, before, condition, point, &seen))
        })
        .cloned()
        .collect()
}

/// Whether a side of a condition takes different values at different points (x that cancels is
/// harmless).
pub(super) fn depends_by_value(
    engine: &Engine<'_>,
    before: &Setting,
    condition: &Condition,
    point: &Symbol,
    chosen: &BTreeSet<Symbol>,
) -> bool {
    let Condition::Holds(left, _, right) = condition else {
        return condition.variables().contains(point);
    };
    // A range for the point alone (x ∈ D) is no dependence.
    if condition
        .variables()
        .iter()
        .all(|name| !chosen.contains(name))
    {
        return false;
    }
    [left, right].into_iter().any(|side| {
        if !side.mentions(point) {
            return false;
        }
        let other = Symbol::new(&format!("{point}′"));
        let moved = side.substitute(point, &Expr::variable(&other));
        let mut names = side.variables();
        names.insert(other.clone());
        let mut problem = before.problem(&names, Goal::Holds(side.clone(), Relation::Equal, moved));
        let twins: Vec<_> = problem
            .hypotheses
            .iter()
            .filter(|hypothesis| hypothesis.condition.variables().contains(point))
            .map(|hypothesis| kernel::Hypothesis {
                condition: hypothesis
                    .condition
                    .substitute(point, &Expr::variable(&other)),
                origin: hypothesis.origin,
            })
            .collect();
        problem.hypotheses.extend(twins);
        !engine.proves(&problem)
    })
}

pub(super) fn dependence(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Told {
    let entry = &engine.argument.entries[outcome.entry];
    let points: Vec<&str> = outcome.depends.iter().map(Symbol::as_str).collect();
    let name = outcome.name.as_str();
    let cure = cure_by_supremum(engine, outcome)
        .map(|bound| wording::cure_by_supremum(name, &bound))
        .or_else(|| {
            let error = engine.argument.error.as_ref()?;
            let problem = uniform_problem(engine)?;
            if let Some(separation) = proving::stays_away(&problem, &mut engine.fuel()) {
                let why = wording::no_cure(&separation);
                return Some(wording::none_serves(name, &why));
            }
            let tolerance = outcome.setting.tolerances(&error.points).first().cloned()?;
            let bound = proving::threshold(&problem, &tolerance, &mut engine.fuel())?;
            serves(engine, outcome, &bound).then(|| wording::cure_by_majorant(name, &bound))
        })
        .unwrap_or_default();
    Told::new(
        &catalogue::THRESHOLD_DEPENDS_ON_POINT,
        entry.span,
        wording::depends_on_point(name, &points.join(", "), &cure),
    )
    .at(outcome.entry)
}

/// The value of the written bound at an end of the domain, where it bounds all others.
pub(super) fn cure_by_supremum(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Expr> {
    let [point] = outcome.depends.as_slice() else {
        return None;
    };
    let Content::Binding(binding) = &engine.argument.entries[outcome.entry].content else {
        return None;
    };
    let written = binding
        .conditions
        .iter()
        .find_map(|condition| match condition {
            Condition::Holds(left, _, right) if left.as_variable() == Some(&outcome.name) => {
                right.mentions(point).then(|| right.clone())
            }
            _ => None,
        })?;
    let error = engine.argument.error.as_ref()?;
    let ends = error
        .conditions
        .iter()
        .filter_map(|condition| match condition {
            Condition::Holds(left, _, right) if left.as_variable() == Some(point) => {
                right.as_number().map(Expr::number)
            }
            _ => None,
        });
    let setting = Setting::of(engine.argument, &[]);
    ends.map(|end| simplified(&written.substitute(point, &end)))
        .find(|candidate| {
            engine.proves(&setting.holds(&written, Relation::LessEqual, candidate))
                && serves(engine, outcome, candidate)
        })
}

/// Numerals below powers and products carried out, so that a cure reads 9/ε, not 3²/ε.
pub(super) fn simplified(expr: &Expr) -> Expr {
    let inner = expr.map_children(&mut |child| simplified(child));
    if inner.variables().is_empty()
        && let Some(value) = kernel::numerics::exact(&inner, &kernel::numerics::Assignment::new())
            .and_then(|value| value.as_rational())
    {
        return Expr::number(value);
    }
    inner
}
