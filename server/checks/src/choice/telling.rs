//! What is told of choices that fail.

use super::*;

/// Tells of choices that fail at their root.
pub(crate) fn tell(
    engine: &Engine<'_>,
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
            let told = super::dependence::dependence(engine, outcome);
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
}

/// Whether the error term is 0 at a counterexample's points.
pub(super) fn no_error_there(engine: &Engine<'_>, counterexample: &kernel::Counterexample) -> bool {
    let Some(error) = &engine.argument.error else {
        return false;
    };
    if error.points.is_empty() {
        return false;
    }
    let setting = error
        .points
        .iter()
        .fold(
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

pub(super) fn too_small(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Told> {
    let entry = &engine.argument.entries[outcome.entry];
    let aim @ Condition::Holds(left, relation, right) = outcome.aim.as_ref()? else {
        return None;
    };
    let counterexample = outcome.judgement.counterexample.as_ref()?;
    let shown = crate::engine::shown(counterexample);
    let name = outcome.name.as_str();
    let weak = *relation == Relation::Less
        && engine.proves(&outcome.setting.holds(left, Relation::LessEqual, right));
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
        let cure =
            own_threshold(engine, outcome).map(|bound| format!("{name} > {}", show::plain(&bound)));
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
pub(super) fn own_threshold(engine: &Engine<'_>, outcome: &ChoiceOutcome) -> Option<Expr> {
    let error = engine.argument.error.as_ref()?;
    let tolerance = outcome.setting.tolerances(&error.points).first().cloned()?;
    let problem = uniform_problem(engine)?;
    let bound = proving::threshold(&problem, &tolerance, &mut engine.fuel())?;
    serves(engine, outcome, &bound).then_some(bound)
}

/// Names that the exercise supposes: "let there be an n₀ with a_n ≤ b_n for all n ≥ n₀".
fn given_by_statement(argument: &argument::Argument) -> impl Iterator<Item = Symbol> {
    let stated = || {
        argument
            .entries
            .iter()
            .filter(|entry| entry.zone == Zone::Statement)
    };
    stated()
        .filter_map(move |entry| match &entry.content {
            Content::Binding(binding) => stated()
                .any(|other| {
                    other.sentence == entry.sentence
                        && matches!(other.role, Some(Role::Choice | Role::Assumption))
                })
                .then_some(binding),
            _ => None,
        })
        .flat_map(|binding| binding.conditions.iter().flat_map(Condition::variables))
}

/// Tells of thresholds that are used and never chosen.
pub(crate) fn tell_unbound(engine: &Engine<'_>, draft: &str, judged: &mut Judged) {
    // Each is told once, and none that stands beside what is given without numbers.
    let mut told: BTreeSet<Symbol> = engine
        .argument
        .entries
        .iter()
        .filter(|entry| speaks_of_unknown(engine, entry))
        .filter_map(|entry| match &entry.content {
            Content::Binding(binding) => Some(binding),
            _ => None,
        })
        .flat_map(|binding| binding.conditions.iter().flat_map(Condition::variables))
        .chain(given_by_statement(engine.argument))
        .collect();
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        if entry.zone == Zone::Statement || !matches!(entry.role, Some(Role::Range | Role::Let)) {
            continue;
        }
        // "If |x_k − a| < η for all k ≥ K, then …": K is any such index.
        let supposed =
            engine.argument.entries.iter().any(|other| {
                other.sentence == entry.sentence && other.role == Some(Role::Condition)
            });
        // A range that is only named, "restrictions such as n ≥ N", uses nothing.
        let claims = engine.argument.entries.iter().any(|other| {
            other.sentence == entry.sentence && other.role.is_some_and(Role::is_claim)
        });
        if entry.role == Some(Role::Range) && (!claims || supposed) {
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
            // "for n ≥ N > 1/ε": chosen in passing.
            let chosen_here = binding.conditions.iter().any(|condition| {
                let names = condition.variables();
                names.contains(&name)
                    && !binding
                        .bound
                        .iter()
                        .any(|bound| names.contains(&bound.name))
            });
            let unread = engine.argument.entries.iter().any(|other| {
                matches!(&other.content, Content::Unread { names, .. } if names.contains(&name))
            });
            if bound_here
                || chosen_here
                || unread
                || is_said_to_exist(draft, engine.argument.span.start, entry.span.start, &name)
                || setting.knows(&name)
                || !is_threshold_name(&name)
                || !told.insert(name.clone())
            {
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

/// Whether the name stands right behind "there is" or ∃ somewhere before the place, though nothing
/// was made of it: "∃N₁: n ≥ N₁ ⇒ …".
fn is_said_to_exist(draft: &str, from: usize, to: usize, name: &Symbol) -> bool {
    /// How far "there is" may stand before the name, in bytes.
    const NEAR: usize = 24;
    let text = draft.get(from..to).unwrap_or_default();
    let plain = name.as_str();
    let braced = match plain.split_once('_') {
        Some((base, index)) => format!("{base}_{{{index}}}"),
        None => plain.to_owned(),
    };
    [plain, braced.as_str()].into_iter().any(|written| {
        text.match_indices(written).any(|(at, _)| {
            let mut start = at.saturating_sub(NEAR);
            while !text.is_char_boundary(start) {
                start -= 1;
            }
            ["exist", "\u{2203}", "there", "find"]
                .iter()
                .any(|word| text[start..at].contains(word))
        })
    })
}

/// Whether the sentence claims something that was not read, or of functions that are not known:
/// "the first term is < ε/2 for n ≥ N₁" finds N₁ by what is given.
fn speaks_of_unknown(engine: &Engine<'_>, range: &argument::Entry) -> bool {
    let entries = &engine.argument.entries;
    entries
        .iter()
        .filter(|entry| entry.sentence == range.sentence)
        .any(|entry| match &entry.content {
            Content::Unread { .. } => true,
            _ => crate::judge::relation_of(entry).is_some_and(|(left, _, right)| {
                [left, right]
                    .iter()
                    .any(|side| !side.unknown_functions().is_empty())
            }),
        })
}

/// Whether a name is one that writers choose: a threshold or δ.
pub(super) fn is_threshold_name(name: &Symbol) -> bool {
    matches!(
        name.as_str().chars().next(),
        Some('N' | 'M' | 'K' | 'n' | 'm' | 'k' | 'δ')
    )
}
