//! The Cauchy condition: one threshold for all pairs of members, and not for neighbours alone.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told, leads_up, links_of, relation_of};
use crate::relation::distance;
use crate::scope::is_tolerance_name;
use crate::wording;
use argument::{Content, Entry, Introduction, Role, Zone};
use kernel::{Expr, Kind, Symbol};
use std::collections::BTreeSet;

/// Tells of a threshold that depends on the distance of two indices, and of neighbours that are
/// compared where all pairs are meant.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let words = &engine.argument.words;
    // For each p a threshold of its own: that is shown of sequences that are not Cauchy, too.
    if !words.contains("cauchy") || words.contains("not cauchy") {
        return;
    }
    tell_dependence(engine, judged);
    // "… is not a Cauchy sequence"
    if !words.contains("not") {
        tell_neighbours(engine, judged);
    }
}

/// "Let p be given. Choose N ≥ p/ε": N serves this p alone.
fn tell_dependence(engine: &Engine<'_>, judged: &mut Judged) {
    let entries = &engine.argument.entries;
    let steps: BTreeSet<Symbol> = entries
        .iter()
        .filter_map(relation_of)
        .filter_map(|(left, _, _)| pair(left))
        .filter_map(|pair| match pair {
            Pair::Apart(other) => Some(other),
            Pair::Neighbours => None,
        })
        .collect();
    for (position, entry) in entries.iter().enumerate() {
        let (Some(Role::Choice), Content::Binding(binding), Zone::Proof) =
            (entry.role, &entry.content, entry.zone)
        else {
            continue;
        };
        let [bound] = binding.bound.as_slice() else {
            continue;
        };
        if bound.introduction != Introduction::Chosen || bound.kind != Kind::Integer {
            continue;
        }
        // "N > p/ε"; that |a_m − a_n| < ε for all m, n ≥ N is what it is picked for.
        let apart = binding.conditions.iter().find_map(|condition| {
            let named = condition.variables();
            let bounds = named.contains(&bound.name) && named.iter().any(is_tolerance_name);
            steps
                .iter()
                .find(|name| bounds && named.contains(*name) && **name != bound.name)
        });
        if let Some(apart) = apart {
            judged.findings.push(
                Told::new(
                    &catalogue::QUANTIFIERS_OUT_OF_ORDER,
                    entry.span,
                    wording::cauchy_depends(bound.name.as_str(), apart.as_str()),
                )
                .at(position),
            );
        }
    }
}

/// "|s_{n+1} − s_n| < ε for n ≥ N, so (s_n) is a Cauchy sequence."
fn tell_neighbours(engine: &Engine<'_>, judged: &mut Judged) {
    let entries = &engine.argument.entries;
    let chains: BTreeSet<usize> = entries
        .iter()
        .filter(|entry| entry.zone == Zone::Proof && entry.role == Some(Role::Step))
        .filter_map(|entry| entry.chain.map(|(chain, _)| chain))
        .collect();
    let below_tolerance = |chain: usize| {
        let links: Vec<_> = links_of(engine.argument, chain)
            .filter_map(|(position, entry)| Some((position, relation_of(entry)?)))
            .collect();
        let (Some((position, first)), Some((_, last))) = (links.first(), links.last()) else {
            return None;
        };
        let small = last.2.as_variable().is_some_and(is_tolerance_name)
            && links.iter().all(|(_, link)| leads_up(link.1));
        (small && pair(first.0) == Some(Pair::Neighbours)).then_some(*position)
    };
    let Some(position) = chains.into_iter().find_map(below_tolerance) else {
        return;
    };
    if entries.iter().any(speaks_of_two) {
        return;
    }
    let entry = &entries[position];
    judged.findings.push(
        Told::new(
            &catalogue::CONCLUSION_NOT_REACHED,
            entry.sentence,
            wording::only_neighbours(),
        )
        .at(position),
    );
}

/// Whether an entry speaks of a second index beside n: m, p, …
fn speaks_of_two(entry: &Entry) -> bool {
    let second = |name: &Symbol| {
        let base = name.as_str().split(['_', '′']).next().unwrap_or_default();
        ["m", "p", "k", "l", "j", "i", "r", "q", "ℓ"].contains(&base)
    };
    match &entry.content {
        Content::Unread { names, .. } => names.iter().any(second),
        Content::Binding(binding) => binding.bound.iter().any(|bound| second(&bound.name)),
        Content::Assertion(_) => relation_of(entry).is_some_and(|(left, _, right)| {
            left.variables()
                .iter()
                .chain(&right.variables())
                .any(second)
        }),
        _ => false,
    }
}

/// How far apart two members of a sequence are whose distance is taken.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Pair {
    /// a_{n+1} and a_n
    Neighbours,
    /// a_{n+p} or a_p, and a_n: the other name.
    Apart(Symbol),
}

/// |a_{n+p} − a_n|
fn pair(expr: &Expr) -> Option<Pair> {
    let (one, other) = distance(expr)?;
    shift(other, one).or_else(|| shift(one, other))
}

/// Which of its indices must be moved, and how, for `from` to become `to`.
fn shift(from: &Expr, to: &Expr) -> Option<Pair> {
    from.variables().into_iter().find_map(|index| {
        let own = Expr::variable(&index);
        if from.substitute(&index, &own.plus(&Expr::integer(1))) == *to {
            return Some(Pair::Neighbours);
        }
        let apart = to
            .variables()
            .into_iter()
            .filter(|name| *name != index && !from.mentions(name));
        apart.into_iter().find_map(|name| {
            let by = Expr::variable(&name);
            let moved = [own.plus(&by), by.plus(&own), by.clone()];
            moved
                .iter()
                .any(|moved| from.substitute(&index, moved) == *to)
                .then_some(Pair::Apart(name))
        })
    })
}
