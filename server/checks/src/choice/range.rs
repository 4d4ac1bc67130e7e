//! For which index and points a choice is made.

use super::*;

/// The entry that says for which index the choice holds: "n > N", "for all n ≥ N".
pub(super) fn range_after(engine: &Engine<'_>, position: usize, name: &Symbol) -> Option<usize> {
    engine
        .argument
        .entries
        .iter()
        .enumerate()
        .skip(position)
        .chain(
            engine
                .argument
                .entries
                .iter()
                .enumerate()
                .take(position)
                .rev(),
        )
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

/// The scope and setting in which the aim of a choice is asked: what was before, the choice, and
/// the range of the index that it governs.
pub(super) fn governed(
    engine: &Engine<'_>,
    position: usize,
    bound: &argument::Bound,
    range: Option<usize>,
    mut scope: Vec<usize>,
) -> (Vec<usize>, Setting) {
    scope.push(position);
    scope.extend(range);
    scope.extend(range.iter().flat_map(|range| beside(engine, *range)));
    scope.extend(
        range
            .iter()
            .flat_map(|range| let_in(engine, position, *range)),
    );
    scope.sort_unstable();
    scope.dedup();
    let mut setting = Setting::of(engine.argument, &scope);
    if range.is_none()
        && bound.kind == Kind::Integer
        && let Some(error) = &engine.argument.error
        && bound.name != error.index
    {
        // No range is written: "n > N" is the kindest reading.
        setting = setting.and(
            Condition::Holds(
                Expr::variable(&error.index),
                Relation::Greater,
                Expr::variable(&bound.name),
            ),
            Origin::Range,
        );
    }
    (scope, setting)
}

/// The ranges for other names that stand beside a range: "for all x with 0 < |x − a| < δ", or that
/// it lists.
fn beside(engine: &Engine<'_>, range: usize) -> Vec<usize> {
    let entries = &engine.argument.entries;
    let names = match &entries[range].content {
        Content::Binding(binding) => binding
            .conditions
            .iter()
            .flat_map(Condition::variables)
            .collect(),
        _ => BTreeSet::new(),
    };
    let binds = |other: usize| match &entries[other].content {
        Content::Binding(binding) => {
            let bound = binding.bound.iter().map(|bound| bound.name.clone());
            let said = binding.conditions.iter().flat_map(Condition::variables);
            bound.chain(said).any(|name| names.contains(&name))
        }
        _ => false,
    };
    let ranges = |other: usize| {
        entries[other].sentence == entries[range].sentence
            && entries[other].role == Some(Role::Range)
    };
    // "for n ≥ N and all x ∈ [0, r]"
    let listed = (range + 1..entries.len()).take_while(|other| ranges(*other));
    (0..range)
        .filter(|other| ranges(*other) && binds(*other))
        .chain(listed)
        .collect()
}

/// What lets in, behind a choice, the points of which its range speaks: "put δ = ε². Let x, y ≥ 0
/// with |x − y| < δ".
fn let_in(engine: &Engine<'_>, position: usize, range: usize) -> Vec<usize> {
    let entries = &engine.argument.entries;
    let Content::Binding(ranged) = &entries[range].content else {
        return Vec::new();
    };
    let names: BTreeSet<Symbol> = ranged
        .conditions
        .iter()
        .flat_map(Condition::variables)
        .collect();
    entries[range]
        .scope
        .iter()
        .copied()
        .filter(|other| *other > position && entries[*other].role == Some(Role::Let))
        .filter(|other| match &entries[*other].content {
            Content::Binding(binding) => binding
                .bound
                .iter()
                .any(|bound| names.contains(&bound.name)),
            _ => false,
        })
        .collect()
}
