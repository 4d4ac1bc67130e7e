//! Limits of recursive sequences that are used and nowhere shown to exist.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told, relation_of};
use crate::relation::distance;
use crate::wording;
use argument::{Assertion, Content, Entry, LimitValue, Role, Zone};
use kernel::{Expr, Relation};

/// Beginnings of words that may tell why the limit exists.
const SHOWING: [&str; 12] = [
    "cauchy", "contract", "banach", "subseq", "nested", "cobweb", "closed", "explicit", "complete",
    "even", "odd", "compare",
];

/// "L = lim a_n, so L = 1 − L²": tells that the equation says what the limit is only if there is
/// one.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let argument = engine.argument;
    let members = &engine.recursions.members;
    if members.recursions().is_empty() {
        return;
    }
    let shown = ["said monotone", "limit supposed"]
        .iter()
        .any(|note| argument.words.contains(*note))
        || argument.says(&SHOWING);
    if shown || argument.entries.iter().any(|entry| compares(engine, entry)) {
        return;
    }
    let concluded = argument.entries.iter().any(|entry| {
        let said = match &entry.content {
            Content::Assertion(Assertion::Convergence {
                error,
                negated: false,
            }) => members.occur_in(&error.term),
            Content::Assertion(Assertion::Limit {
                term,
                negated: false,
                value: LimitValue::Number(_) | LimitValue::Exists,
                ..
            }) => members.occur_in(term),
            _ => false,
        };
        said && matches!(entry.role, Some(Role::Conclusion | Role::Step))
            && entry.zone == Zone::Proof
    });
    let Some(position) = argument.entries.iter().position(is_fixed_point) else {
        return;
    };
    if concluded {
        judged.findings.push(
            Told::new(
                &catalogue::CONCLUSION_NOT_REACHED,
                argument.entries[position].sentence,
                wording::limit_not_shown_to_exist(),
            )
            .at(position),
        );
    }
}

/// L = F(L): an equation between a name and an expression in it.
fn is_fixed_point(entry: &Entry) -> bool {
    entry.zone == Zone::Proof
        && relation_of(entry).is_some_and(|(left, relation, right)| {
            relation == Relation::Equal
                && left.as_variable().is_some_and(|name| right.mentions(name))
        })
}

/// Whether an entry compares members by size or takes a distance from them, or may do so unread.
fn compares(engine: &Engine<'_>, entry: &Entry) -> bool {
    let members = &engine.recursions.members;
    let of_members = |expr: &Expr| members.occur_in(expr);
    if let Content::Unread { names, .. } = &entry.content {
        // "L = lim a_n" speaks of the name alone.
        return names.iter().any(|name| members.recursion(name).is_some())
            && entry.role != Some(Role::Definition);
    }
    relation_of(entry).is_some_and(|(left, relation, right)| {
        let ordered = relation != Relation::Equal;
        let far = [left, right]
            .into_iter()
            .any(|side| distance(side).is_some_and(|(a, b)| of_members(a) || of_members(b)));
        far || ordered && of_members(left) && of_members(right)
    })
}
