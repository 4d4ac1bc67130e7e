//! Choices: thresholds that the writer picks, what they depend on, and whether they serve.

use crate::catalogue;
use crate::check::Severity;
use crate::engine::{Engine, Judgement};
use crate::finding::Related;
use crate::judge::{Charges, Judged, Told, condition_of, consequences, relation_of};
use crate::scope::Setting;
use crate::wording;
use argument::{Binding, Content, Introduction, Role, Zone};
use kernel::{Condition, Expr, Goal, Kind, Origin, Problem, Relation, Symbol, Verdict, proving, show};
use std::collections::BTreeSet;

/// A choice, judged.
#[derive(Clone, Debug)]
pub(crate) struct ChoiceOutcome {
    /// Its entry.
    pub(crate) entry: usize,
    /// The chosen name.
    pub(crate) name: Symbol,
    /// Whether it serves its aim.
    pub(crate) judgement: Judgement,
    /// The inequality that it serves, if it was found.
    aim: Option<Condition>,
    /// The setting in which the aim is asked: the choice's scope, the choice, the range.
    setting: Setting,
    /// Points on which it depends though the aim is uniform.
    depends: Vec<Symbol>,
    /// Taken from a limit that does not hold: the term and why.
    baseless: Option<(Expr, String)>,
    /// A value that is undefined in the choice itself.
    undefined: Option<(Condition, kernel::Counterexample)>,
}

impl ChoiceOutcome {
    /// Whether the choice has a fault of scope or definedness of its own.
    pub(crate) fn is_at_fault(&self) -> bool {
        !self.depends.is_empty() || self.undefined.is_some() || self.baseless.is_some()
    }
}

/// Judges a choice; `None` if it chooses nothing that can be judged.
pub(crate) fn judge(
    engine: &Engine<'_>,
    position: usize,
    binding: &Binding,
    judgements: &[Option<Judgement>],
) -> Option<ChoiceOutcome> {
    let entry = &engine.argument.entries[position];
    let bound = binding
        .bound
        .iter()
        .find(|bound| bound.introduction != Introduction::Arbitrary)
        .or(binding.bound.first())?;
    if binding.conditions.is_empty() {
        return None;
    }
    let name = bound.name.clone();
    let error = engine.argument.error.as_ref();
    // A point that is picked is no threshold; a name bound to any value is one only as "n > …".
    let is_index = error.is_some_and(|error| error.index == name);
    if error.is_some_and(|error| error.points.contains(&name))
        || (bound.introduction == Introduction::Arbitrary && !is_index)
    {
        return None;
    }
    let range = range_after(engine, position, &name);
    let mut scope = entry.scope.clone();
    scope.retain(|other| *other != position && Some(*other) != range);
    let before = Setting::of(engine.argument, &scope);
    scope.push(position);
    scope.extend(range);
    let mut setting = Setting::of(engine.argument, &scope);
    if range.is_none()
        && bound.kind == Kind::Integer
        && let Some(error) = error
        && name != error.index
    {
        // No range is written: "n > N" is the kindest reading.
        setting = setting.and(
            Condition::Holds(
                Expr::variable(&error.index),
                Relation::Greater,
                Expr::variable(&name),
            ),
            Origin::Range,
        );
    }
    let points = error.map(|error| error.points.clone()).unwrap_or_default();
    let (aim, chain) = match aim(engine, position, &name, &before, &points) {
        Some((aim, chain)) => (Some(aim), chain),
        None => (None, None),
    };
    let mut outcome = ChoiceOutcome {
        entry: position,
        name: name.clone(),
        judgement: Judgement::unsettled("nothing here says what this choice is for", String::new()),
        aim: aim.clone(),
        setting: setting.clone(),
        depends: Vec::new(),
        baseless: None,
        undefined: undefined(engine, &before, binding, &name),
    };
    // Only what the index must exceed is a threshold; other chosen quantities (t = x/n, a
    // witness) may depend on anything.
    if range.is_some() || is_index {
        outcome.depends = depends_on(engine, &setting, &before, binding, &name, &points);
    }
    if bound.introduction == Introduction::Existing
        && let Some(judgement) = existence(engine, &before, &scope, binding, &mut outcome)
    {
        outcome.judgement = judgement;
        return Some(outcome);
    }
    if let Some(chain) = chain
        && shows(engine, chain, judgements)
    {
        // The text's own chain leads from the left side of the aim to its right side, and every
        // link of it is proved under this choice: the aim follows by transitivity.
        let reading = aim.as_ref().map(show::condition).unwrap_or_default();
        outcome.judgement =
            Judgement::proved("each link of the estimate below it is proved".to_owned(), reading);
        return Some(outcome);
    }
    if let Some(Condition::Holds(left, relation, right)) = &aim {
        outcome.judgement = engine.relation(&setting, left, *relation, right, true);
        let undefined = outcome
            .judgement
            .counterexample
            .as_ref()
            .is_some_and(kernel::Counterexample::is_undefined);
        if undefined {
            outcome.judgement = Judgement::unsettled(
                "the inequality that it is chosen for is undefined for some values",
                outcome.judgement.reading.clone(),
            );
        }
    }
    Some(outcome)
}

/// The entry that says for which index the choice holds: "n > N", "for all n ≥ N".
fn range_after(engine: &Engine<'_>, position: usize, name: &Symbol) -> Option<usize> {
    engine
        .argument
        .entries
        .iter()
        .enumerate()
        .skip(position)
        .chain(engine.argument.entries.iter().enumerate().take(position).rev())
        .find(|(other, entry)| {
            *other != position
                && matches!(
                    entry.role,
                    Some(Role::Range | Role::Let | Role::Condition | Role::Assumption)
                )
                && (*other > position || engine.argument.entries[position].scope.contains(other))
                && match &entry.content {
                    Content::Binding(binding) => binding.conditions.iter().any(|condition| {
                        let names = condition.variables();
                        names.contains(name) && names.len() > 1
                    }),
                    _ => false,
                }
        })
        .map(|(other, _)| other)
}

/// What a choice is for: the first chain below it that ends in something of the tolerance alone,
/// else the error term against the tolerance.
fn aim(
    engine: &Engine<'_>,
    position: usize,
    name: &Symbol,
    before: &Setting,
    points: &[Symbol],
) -> Option<(Condition, Option<usize>)> {
    let tolerance = before.tolerances(points).first().cloned()?;
    let entries = &engine.argument.entries;
    let mut chains: Vec<usize> = Vec::new();
    for entry in entries.iter().skip(position) {
        if let Some((chain, _)) = entry.chain
            && entry.scope.contains(&position)
            && entry.role == Some(Role::Step)
            && !chains.contains(&chain)
        {
            chains.push(chain);
        }
    }
    for chain in chains {
        let links: Vec<_> = entries
            .iter()
            .filter(|entry| entry.chain.is_some_and(|(number, _)| number == chain))
            .filter_map(relation_of)
            .collect();
        let (Some((left, _, _)), Some((_, last, right))) = (links.first(), links.last()) else {
            continue;
        };
        let only_tolerance = right.variables().iter().all(|other| *other == tolerance)
            && right.mentions(&tolerance);
        if !only_tolerance || left.variables().is_subset(&BTreeSet::from([tolerance.clone(), name.clone()])) {
            continue;
        }
        let strict = links
            .iter()
            .any(|(_, relation, _)| *relation == Relation::Less);
        let upward = matches!(
            last,
            Relation::Less | Relation::LessEqual | Relation::Equal
        );
        // A chain about something else (2√n > 1/ε, a side estimate) is not what N is for.
        let about = match &engine.argument.error {
            Some(_) => crate::relation::is_error(engine, left),
            None => true,
        };
        if upward && about {
            let relation = if strict {
                Relation::Less
            } else {
                Relation::LessEqual
            };
            let aim = Condition::Holds((*left).clone(), relation, (*right).clone());
            return Some((aim, Some(chain)));
        }
    }
    let error = engine.argument.error.as_ref()?;
    let aim = Condition::Holds(
        error.error.clone(),
        Relation::Less,
        Expr::variable(&tolerance),
    );
    Some((aim, None))
}

/// Whether every link of a chain is proved and none points the other way.
fn shows(engine: &Engine<'_>, chain: usize, judgements: &[Option<Judgement>]) -> bool {
    engine
        .argument
        .entries
        .iter()
        .enumerate()
        .filter(|(_, entry)| entry.chain.is_some_and(|(number, _)| number == chain))
        .all(|(position, entry)| {
            crate::judge::is_proved(judgements, position)
                && relation_of(entry).is_some_and(|(_, relation, _)| {
                    matches!(
                        relation,
                        Relation::Less | Relation::LessEqual | Relation::Equal
                    )
                })
        })
}

/// The points on whose value a choice depends though its aim is uniform.
fn depends_on(
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
    if !uniform {
        return Vec::new();
    }
    // What the choice says, and what earlier choices that it uses say.
    let mut conditions: Vec<Condition> = binding.conditions.clone();
    let mut seen: BTreeSet<Symbol> = BTreeSet::from([name.clone()]);
    let mut at = 0;
    while at < conditions.len() {
        for other in conditions[at].variables() {
            if setting.chosen.contains_key(&other) && seen.insert(other.clone()) {
                conditions.extend(before.hypotheses.iter().filter_map(|(hypothesis, from)| {
                    (from.is_some() && hypothesis.condition.variables().contains(&other))
                        .then(|| hypothesis.condition.clone())
                }));
            }
        }
        at += 1;
    }
    points
        .iter()
        .filter(|point| {
            conditions
                .iter()
                .any(|condition| depends_by_value(engine, before, condition, point, &seen))
        })
        .cloned()
        .collect()
}

/// Whether a side of a condition takes different values at different points (x that cancels is
/// harmless).
fn depends_by_value(
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
    if condition.variables().iter().all(|name| !chosen.contains(name)) {
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
        let mut problem = before.problem(
            &names,
            Goal::Holds(side.clone(), Relation::Equal, moved),
        );
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

/// Where an expression of the choice itself is undefined.
fn undefined(
    engine: &Engine<'_>,
    before: &Setting,
    binding: &Binding,
    name: &Symbol,
) -> Option<(Condition, kernel::Counterexample)> {
    for condition in &binding.conditions {
        let Condition::Holds(left, _, right) = condition else {
            continue;
        };
        for side in [left, right] {
            let names = side.variables();
            if names.contains(name) || names.is_empty() || names.iter().any(|name| !before.knows(name)) {
                continue;
            }
            let closure = before.closure(&names);
            if before.protection(&closure).is_some() {
                continue;
            }
            let problem = before
                .problem(&closure, Goal::Defined(side.clone()));
            if let Verdict::Refuted(counterexample) = engine.ask(&problem) {
                return Some((condition.clone(), counterexample));
            }
        }
    }
    None
}

/// "There is N with a_n < ε for n > N": the limit is the claim.
fn existence(
    engine: &Engine<'_>,
    before: &Setting,
    scope: &[usize],
    binding: &Binding,
    outcome: &mut ChoiceOutcome,
) -> Option<Judgement> {
    let error = engine.argument.error.as_ref()?;
    let (term, tolerance) = binding.conditions.iter().find_map(|condition| {
        let Condition::Holds(left, Relation::Less | Relation::LessEqual, right) = condition else {
            return None;
        };
        (left.mentions(&error.index)
            && right.variables().iter().all(crate::scope::is_tolerance_name)
            && !right.variables().is_empty())
        .then(|| (left.clone(), right.clone()))
    })?;
    // Points that the text fixed before it chose are fixed; all others are meant all at once.
    let fixed: BTreeSet<Symbol> = scope
        .iter()
        .filter(|position| **position < outcome.entry)
        .filter_map(|position| match &engine.argument.entries[*position].content {
            Content::Binding(binding) => Some(binding.bound.iter().map(|bound| bound.name.clone())),
            _ => None,
        })
        .flatten()
        .collect();
    let together: Vec<Symbol> = error
        .points
        .iter()
        .filter(|point| term.mentions(point) && !fixed.contains(*point))
        .cloned()
        .collect();
    if error.uniform {
        outcome.depends.extend(
            error
                .points
                .iter()
                .filter(|point| term.mentions(point) && fixed.contains(*point))
                .cloned(),
        );
        outcome.depends.sort();
        outcome.depends.dedup();
    }
    let problem = engine.vanishing(before, &term, &error.index, &together);
    let reading = format!(
        "there is {} with {} < {} for all larger {}",
        outcome.name,
        show::plain(&term),
        show::plain(&tolerance),
        error.index
    );
    if engine.proves(&problem) {
        return Some(Judgement::proved(
            format!("{} tends to 0", show::plain(&term)),
            reading,
        ));
    }
    if before.protection(&term.variables()).is_none()
        && let Some(separation) = proving::stays_away(&problem, &mut engine.fuel())
    {
        let why = wording::no_cure(&separation);
        outcome.baseless = Some((term, why.clone()));
        return Some(Judgement {
            verdict: crate::VerdictWord::Refuted,
            evidence: why,
            counterexample: None,
            missing: None,
            reading,
        });
    }
    Some(Judgement::unsettled("whether this becomes small was not decided", reading))
}

/// The aim's problem with the choice replaced by another condition on the chosen name.
fn with_choice(outcome: &ChoiceOutcome, condition: Condition, goal: Goal) -> Problem {
    let setting = outcome
        .setting
        .without(outcome.entry)
        .and(condition, Origin::Choice);
    let names = match &goal {
        Goal::Holds(left, _, right) => {
            let mut names = left.variables();
            names.extend(right.variables());
            names
        }
        _ => BTreeSet::new(),
    };
    setting.problem(&setting.closure(&names), goal)
}

/// Lower bounds for a threshold that are large enough for any honest estimate.
fn large_enough(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Vec<Expr> {
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
    let setting = Setting::of(engine.argument, &entry.scope).without(outcome.entry);
    let mut names = left.variables();
    names.extend(right.variables());
    // What a choice by existence promises, if it were there.
    if outcome.baseless.is_some()
        && let Content::Binding(binding) = &engine.argument.entries[outcome.entry].content
    {
        let granted = binding.conditions.iter().fold(setting.clone(), |setting, condition| {
            setting.and(condition.clone(), Origin::Earlier)
        });
        return engine.proves(&granted.problem(
            &granted.closure(&names),
            Goal::Holds(left.clone(), relation, right.clone()),
        ));
    }
    // "… < ε" of something that tends to 0 is true from some threshold on.
    if let Some(error) = &engine.argument.error
        && matches!(relation, Relation::Less | Relation::LessEqual)
        && !right.variables().is_empty()
        && right.variables().iter().all(crate::scope::is_tolerance_name)
    {
        let moving = if left.mentions(&error.index) {
            left.clone()
        } else {
            left.substitute(&outcome.name, &Expr::variable(&error.index))
        };
        let points: Vec<Symbol> = error
            .points
            .iter()
            .filter(|point| moving.mentions(point))
            .cloned()
            .collect();
        let asked = engine.vanishing(
            &Setting::of(engine.argument, &[]),
            &crate::conclusion::absolute(&moving),
            &error.index,
            &points,
        );
        if moving.mentions(&error.index) && engine.proves(&asked) {
            return true;
        }
    }
    large_enough(engine, outcome).into_iter().any(|bound| {
        let setting = setting.clone().and(
            Condition::Holds(Expr::variable(&outcome.name), Relation::Greater, bound),
            Origin::Choice,
        );
        engine.proves(&setting.problem(
            &setting.closure(&names),
            Goal::Holds(left.clone(), relation, right.clone()),
        ))
    })
}

/// Whether a choice that does not serve would serve if a false line were true.
pub(crate) fn follows_from(engine: &Engine<'_>, outcome: &ChoiceOutcome, line: usize) -> bool {
    let (Some(granted), Some(Condition::Holds(left, relation, right))) = (
        condition_of(&engine.argument.entries[line]),
        outcome.aim.clone(),
    ) else {
        return false;
    };
    let setting = outcome.setting.clone().and(granted, Origin::Earlier);
    let mut names = left.variables();
    names.extend(right.variables());
    engine.proves(&setting.problem(
        &setting.closure(&names),
        Goal::Holds(left, relation, right),
    ))
}

/// Tells of choices that fail at their root.
pub(crate) fn tell(
    engine: &Engine<'_>,
    draft: &str,
    judged: &mut Judged,
    choices: &[ChoiceOutcome],
    charges: &Charges,
) {
    for outcome in choices {
        let span = engine.argument.entries[outcome.entry].span;
        if let Some((condition, counterexample)) = &outcome.undefined {
            let shown = crate::engine::shown(counterexample);
            let mut told = Told::new(
                &catalogue::UNDEFINED_VALUE,
                span,
                wording::undefined(condition, &shown),
            )
            .at(outcome.entry)
            .showing(Some(counterexample));
            if no_error_there(engine, counterexample) {
                told.severity = Severity::Information;
            }
            judged.findings.push(told);
        }
        if let Some((term, why)) = &outcome.baseless {
            let told = Told::new(
                &catalogue::NO_SUCH_THRESHOLD,
                span,
                wording::no_such_threshold(outcome.name.as_str(), &show::plain(term), why),
            )
            .at(outcome.entry);
            judged.findings.push(told);
        } else if !outcome.depends.is_empty() {
            let told = dependence(engine, outcome);
            judged.findings.push(told);
        } else if outcome.judgement.is_refuted()
            && charges[outcome.entry].is_none()
            && let Some(told) = too_small(engine, outcome)
        {
            judged.findings.push(Told {
                related: consequences(engine, charges, outcome.entry),
                ..told
            });
        }
    }
    let _ = draft;
}

/// Whether the error term is 0 at a counterexample's points.
fn no_error_there(engine: &Engine<'_>, counterexample: &kernel::Counterexample) -> bool {
    let Some(error) = &engine.argument.error else {
        return false;
    };
    if error.points.is_empty() {
        return false;
    }
    let setting = error.points.iter().fold(
        Setting::of(engine.argument, &[]),
        |setting, point| match kernel::verdict::value_at(counterexample.point(), point) {
            Some(value) => setting.and(
                Condition::Holds(Expr::variable(point), Relation::Equal, value.clone()),
                Origin::Assumption,
            ),
            None => setting,
        },
    );
    let names = error.error.variables();
    engine.proves(&setting.problem(
        &names,
        Goal::Holds(error.error.clone(), Relation::Equal, Expr::integer(0)),
    ))
}

fn dependence(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Told {
    let entry = &engine.argument.entries[outcome.entry];
    let points: Vec<&str> = outcome.depends.iter().map(Symbol::as_str).collect();
    let name = outcome.name.as_str();
    let mut related = Vec::new();
    let cure = cure_by_supremum(engine, outcome)
        .map(|bound| wording::cure_by_supremum(name, &bound))
        .or_else(|| {
            let error = engine.argument.error.as_ref()?;
            let problem = uniform_problem(engine)?;
            if let Some(separation) = proving::stays_away(&problem, &mut engine.fuel()) {
                let why = wording::no_cure(&separation);
                related.push(Related {
                    span: entry.span,
                    message: why.clone(),
                });
                return Some(why);
            }
            let tolerance = outcome.setting.tolerances(&error.points).first().cloned()?;
            let bound = proving::threshold(&problem, &tolerance, &mut engine.fuel())?;
            serves(engine, outcome, &bound).then(|| wording::cure_by_majorant(name, &bound))
        })
        .unwrap_or_default();
    Told {
        related,
        ..Told::new(
            &catalogue::THRESHOLD_DEPENDS_ON_POINT,
            entry.span,
            wording::depends_on_point(name, &points.join(", "), &cure),
        )
    }
    .at(outcome.entry)
}

/// The `TendsToZero` problem of the argument's error term, uniform in its points.
pub(crate) fn uniform_problem(engine: &Engine<'_>) -> Option<Problem> {
    let error = engine.argument.error.as_ref()?;
    let setting = Setting::of(engine.argument, &[]);
    Some(engine.vanishing(&setting, &error.error, &error.index, &error.points))
}

/// Whether N > bound gives the aim.
fn serves(engine: &Engine<'_>, outcome: &ChoiceOutcome, bound: &Expr) -> bool {
    let Some(Condition::Holds(left, relation, right)) = outcome.aim.clone() else {
        return false;
    };
    let choice = Condition::Holds(
        Expr::variable(&outcome.name),
        Relation::Greater,
        bound.clone(),
    );
    engine.proves(&with_choice(outcome, choice, Goal::Holds(left, relation, right)))
}

/// The value of the written bound at an end of the domain, where it bounds all others.
fn cure_by_supremum(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Expr> {
    let [point] = outcome.depends.as_slice() else {
        return None;
    };
    let Content::Binding(binding) = &engine.argument.entries[outcome.entry].content else {
        return None;
    };
    let written = binding.conditions.iter().find_map(|condition| match condition {
        Condition::Holds(left, _, right) if left.as_variable() == Some(&outcome.name) => {
            right.mentions(point).then(|| right.clone())
        }
        _ => None,
    })?;
    let error = engine.argument.error.as_ref()?;
    let ends = error.conditions.iter().filter_map(|condition| match condition {
        Condition::Holds(left, _, right) if left.as_variable() == Some(point) => {
            right.as_number().map(Expr::number)
        }
        _ => None,
    });
    let setting = Setting::of(engine.argument, &[]);
    ends.map(|end| simplified(&written.substitute(point, &end)))
        .find(|candidate| {
            let mut names = written.variables();
            names.insert(point.clone());
            engine.proves(&setting.problem(
                &setting.closure(&names),
                Goal::Holds(written.clone(), Relation::LessEqual, candidate.clone()),
            )) && serves(engine, outcome, candidate)
        })
}

/// Numerals below powers and products carried out, so that a cure reads 9/ε, not 3²/ε.
fn simplified(expr: &Expr) -> Expr {
    let inner = expr.map_children(&mut |child| simplified(child));
    if inner.variables().is_empty()
        && let Some(value) = kernel::numerics::exact(&inner, &kernel::numerics::Assignment::new())
            .and_then(|value| value.as_rational())
    {
        return Expr::number(value);
    }
    inner
}

fn too_small(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Told> {
    let entry = &engine.argument.entries[outcome.entry];
    let aim @ Condition::Holds(left, relation, right) = outcome.aim.as_ref()? else {
        return None;
    };
    let counterexample = outcome.judgement.counterexample.as_ref()?;
    let shown = crate::engine::shown(counterexample);
    let name = outcome.name.as_str();
    let weak = *relation == Relation::Less && {
        let mut names = left.variables();
        names.extend(right.variables());
        engine.proves(&outcome.setting.problem(
            &outcome.setting.closure(&names),
            Goal::Holds(left.clone(), Relation::LessEqual, right.clone()),
        ))
    };
    let mut told = if weak {
        Told {
            severity: Severity::Information,
            ..Told::new(
                &catalogue::THRESHOLD_TOO_SMALL,
                entry.span,
                wording::not_strict_choice(name, aim, &shown),
            )
        }
    } else {
        let cure = own_threshold(engine, outcome).map(|bound| format!("{name} > {}", show::plain(&bound)));
        Told::new(
            &catalogue::THRESHOLD_TOO_SMALL,
            entry.span,
            wording::too_small(name, aim, &shown, cure.as_deref()),
        )
    };
    told.counterexample = Some(shown);
    Some(told.at(outcome.entry))
}

/// The kernel's own threshold for the same aim, proved to serve.
fn own_threshold(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Expr> {
    let error = engine.argument.error.as_ref()?;
    let tolerance = outcome.setting.tolerances(&error.points).first().cloned()?;
    let problem = uniform_problem(engine)?;
    let bound = proving::threshold(&problem, &tolerance, &mut engine.fuel())?;
    serves(engine, outcome, &bound).then_some(bound)
}

/// Tells of thresholds that are used and never chosen.
pub(crate) fn tell_unbound(engine: &Engine<'_>, _draft: &str, judged: &mut Judged) {
    let mut told: BTreeSet<Symbol> = BTreeSet::new();
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        if entry.zone == Zone::Statement || !matches!(entry.role, Some(Role::Range | Role::Let)) {
            continue;
        }
        let Content::Binding(binding) = &entry.content else {
            continue;
        };
        let setting = Setting::of(engine.argument, &entry.scope);
        for name in binding
            .conditions
            .iter()
            .flat_map(Condition::variables)
            .collect::<BTreeSet<_>>()
        {
            let bound_here = binding.bound.iter().any(|bound| bound.name == name);
            if bound_here || setting.knows(&name) || !is_threshold_name(&name) || !told.insert(name.clone()) {
                continue;
            }
            judged.findings.push(
                Told::new(
                    &catalogue::SYMBOL_NOT_INTRODUCED,
                    entry.span,
                    wording::unbound(name.as_str()),
                )
                .at(position),
            );
        }
    }
}

/// Whether a name is one that writers choose: a threshold or δ.
fn is_threshold_name(name: &Symbol) -> bool {
    matches!(
        name.as_str().chars().next(),
        Some('N' | 'M' | 'K' | 'n' | 'm' | 'k' | 'δ')
    )
}
