//! What a choice is for: the inequality that it shall make true.

use super::*;

/// The names of which a choice speaks.
fn names_of(binding: &Binding) -> BTreeSet<Symbol> {
    let said = binding.conditions.iter();
    said.flat_map(Condition::variables).collect()
}

/// What a choice is for: the first chain below it that leads from the error term to something of
/// the tolerance alone; else such a chain from something else that speaks of the index; else the
/// error term against the tolerance.
pub(super) fn aim(
    engine: &Engine<'_>,
    position: usize,
    name: &Symbol,
    before: &Setting,
    points: &[Symbol],
) -> Option<(Condition, Option<usize>)> {
    let entries = &engine.argument.entries;
    // "N := ⌈1/(xε)⌉" beside an ε_0 that another sentence speaks of.
    let Content::Binding(binding) = &entries.get(position)?.content else {
        return None;
    };
    let named: BTreeSet<Symbol> = names_of(binding);
    let tolerances = before.tolerances(points);
    let tolerance = tolerances
        .iter()
        .find(|tolerance| named.contains(tolerance))
        .or(tolerances.first())?
        .clone();
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
    let mut beside = None;
    for chain in chains {
        let links: Vec<_> = links_of(engine.argument, chain)
            .filter_map(|(_, entry)| relation_of(entry))
            .collect();
        let (Some((left, _, _)), Some((_, last, right))) = (links.first(), links.last()) else {
            continue;
        };
        let only_tolerance =
            right.variables().iter().all(|other| *other == tolerance) && right.mentions(&tolerance);
        if !only_tolerance
            || left
                .variables()
                .is_subset(&BTreeSet::from([tolerance.clone(), name.clone()]))
        {
            continue;
        }
        let strict = links
            .iter()
            .any(|(_, relation, _)| *relation == Relation::Less);
        let upward = leads_up(*last) && links.iter().all(|(_, relation, _)| leads_up(*relation));
        // A chain about something else (2√n > 1/ε, a side estimate) is not what N is for.
        let about = match &engine.argument.error {
            Some(_) => crate::relation::is_error(engine, left),
            None => true,
        };
        let relation = if strict {
            Relation::Less
        } else {
            Relation::LessEqual
        };
        let aim = Condition::Holds((*left).clone(), relation, (*right).clone());
        if upward && about {
            return Some((aim, Some(chain)));
        }
        // "Take N ≥ 1/ε; then f_n(x) < ε for all n ≥ N": what the choice's own sentence says.
        let own = links_of(engine.argument, chain)
            .all(|(_, entry)| entry.sentence == entries[position].sentence);
        let distance = own || matches!(left.node(), Node::Call(Function::Abs, _));
        if upward && distance && **right == Expr::variable(&tolerance) {
            beside.get_or_insert((aim, Some(chain)));
        }
    }
    if beside.is_some() {
        return beside;
    }
    let error = engine.argument.error.as_ref()?;
    // "∀N ∃n ≥ N: |f_n(x)| ≥ ε_0" picks the index itself.
    if *name == error.index
        || estimates_another(engine, position, &error.index)
        || speaks_of_others(entries, position, &error.error)
    {
        return None;
    }
    // A δ is picked for distances: what the argument says of a sequence beside is not its aim.
    let moves = |condition: &Condition| {
        let names = condition.variables();
        names.contains(name)
            && (names.contains(&error.index)
                || error.points.iter().any(|point| names.contains(point)))
    };
    let tied = entries.iter().any(|entry| match &entry.content {
        Content::Binding(binding) => binding.conditions.iter().any(moves),
        _ => crate::judge::condition_of(entry).is_some_and(|said| moves(&said)),
    });
    if name.as_str().starts_with(['δ', 'η', 'ρ', 'r']) && !tied {
        return None;
    }
    let aim = Condition::Holds(
        error.error.clone(),
        Relation::Less,
        Expr::variable(&tolerance),
    );
    Some((aim, None))
}

/// Whether a choice is made beside something that was not read, or by what it does to functions of
/// which the error term does not speak: "pick N with |f_n(x) − f(x)| < ε for all n ≥ N", where an example gave f_n a value later.
fn speaks_of_others(entries: &[argument::Entry], position: usize, error: &Expr) -> bool {
    let entry = &entries[position];
    // "for all n ≥ N := ⌈4/ε²⌉: … < ε" of something that was not read.
    let unread = entries[position..].iter().any(|other| {
        other.sentence == entry.sentence && matches!(other.content, Content::Unread { .. })
    });
    let Content::Binding(binding) = &entry.content else {
        return unread;
    };
    let known = error.unknown_functions();
    let mut others = unread;
    for condition in &binding.conditions {
        condition.visit(&mut |part| {
            others |= matches!(part.node(), Node::Apply(function, _) if !known.contains(function));
        });
    }
    others
}

/// Whether the last distance that was estimated before the choice is not the argument's own: then
/// nothing tells what the choice is for.
fn estimates_another(engine: &Engine<'_>, position: usize, index: &Symbol) -> bool {
    engine.argument.entries[..position]
        .iter()
        .rev()
        .filter(|entry| entry.role == Some(Role::Step))
        .filter(|entry| matches!(entry.chain, Some((_, 0))))
        .filter_map(relation_of)
        .find(|(left, relation, _)| {
            leads_up(*relation)
                && left.mentions(index)
                && matches!(left.node(), Node::Call(Function::Abs, _))
        })
        .is_some_and(|(left, _, _)| !crate::relation::is_error(engine, left))
}
