//! Members at which a claim fails: computed one after the other, never assumed.

use super::members::{self, Members};
use crate::engine::Engine;
use crate::limits::LARGEST_UNSPOKEN_START;
use kernel::numerics::{self, Assignment};
use kernel::{Condition, Counterexample, Expr, Node, Origin, Problem, Relation, Symbol, refuting};
use std::collections::BTreeSet;

/// How many indices are tried from the first on.
const TRIED: i64 = 12;

/// At how many indices a claim must fail that fails as far as members can be computed.
const SEVERAL: usize = 3;

/// How a claim fared at computed members.
pub(super) enum Failure {
    /// It fails, also far out where the text writes no range.
    Certain(Box<Counterexample>),
    /// It fails at first indices only; from where on it may hold.
    OnlyAtFirst(Box<Counterexample>, Condition),
    /// Nothing was found at so many indices.
    None(usize),
}

/// Tries a claim at the first members, in order.
pub(super) fn failure(
    engine: &Engine<'_>,
    members: &Members<'_>,
    whole: &Problem,
    index_is_governed: bool,
) -> Failure {
    let places = members.places_of(whole);
    let runs: BTreeSet<Symbol> = places.iter().flat_map(|place| place.variables()).collect();
    let mut runs = runs.iter();
    let (index, None) = (runs.next(), runs.next()) else {
        return Failure::None(0);
    };
    let Some(index) = index else {
        return match fails_at(engine, members, whole, None).flatten() {
            Some(found) => Failure::Certain(Box::new(found)),
            None => Failure::None(1),
        };
    };
    let first = members
        .recursions()
        .iter()
        .map(|recursion| recursion.first)
        .min()
        .unwrap_or(1);
    let start = members::least(whole, index).unwrap_or(first);
    let far = i64::from(LARGEST_UNSPOKEN_START);
    let mut early: Option<Counterexample> = None;
    let (mut failed, mut last, mut tried) = (Vec::new(), start, 0);
    for at in start..start.max(far) + TRIED {
        let Some(outcome) = fails_at(engine, members, whole, Some((index, at))) else {
            continue;
        };
        (last, tried) = (at, tried + 1);
        let Some(found) = outcome else {
            continue;
        };
        failed.push(at);
        // Where no range is written, what fails early must fail again far out.
        let chosen = early.take().unwrap_or(found);
        if index_is_governed || at >= far {
            return Failure::Certain(Box::new(chosen));
        }
        early = Some(chosen);
    }
    let (Some(found), Some(&latest)) = (early, failed.last()) else {
        return Failure::None(tried);
    };
    // As far as members could be computed.
    if last < far && latest == last && failed.len() >= SEVERAL {
        return Failure::Certain(Box::new(found));
    }
    let from = Condition::Holds(
        Expr::variable(index),
        Relation::GreaterEqual,
        Expr::integer(latest + 1),
    );
    Failure::OnlyAtFirst(Box::new(found), from)
}

/// Whether the claim fails at one index for some values of all other names, and where; `None` if
/// members of which it speaks have no known value.
fn fails_at(
    engine: &Engine<'_>,
    members: &Members<'_>,
    whole: &Problem,
    place: Option<(&Symbol, i64)>,
) -> Option<Option<Counterexample>> {
    let mut valued = true;
    let mut table: Vec<(Expr, Expr)> = Vec::new();
    let mut value = |side: &Expr| put_in(members, side, place, &mut table, &mut valued);
    let with_values = members::mapped(whole, &mut value);
    if !valued {
        return None;
    }
    let closed = whole
        .variables
        .iter()
        .all(|variable| place.is_some_and(|(index, _)| variable.name == *index));
    let numbers = table.iter().all(|(_, value)| is_shown(value));
    let at = place.map(|(index, at)| (Expr::variable(index), Expr::integer(at)));
    if closed {
        let point: Vec<(Expr, Expr)> = at.clone().into_iter().collect();
        if numbers {
            let full = point.iter().cloned().chain(table).collect();
            if let Some(found) = refuting::at(whole, &full) {
                return Some(Some(found));
            }
        }
        return Some(refuting::at(&with_values, &point));
    }
    let there = at.into_iter().fold(with_values, |problem, (index, at)| {
        problem.assuming(Condition::Holds(index, Relation::Equal, at), Origin::Range)
    });
    Some(engine.fails(&there))
}

/// The expression with the values of its members at an index; notes them.
fn put_in(
    members: &Members<'_>,
    expr: &Expr,
    place: Option<(&Symbol, i64)>,
    table: &mut Vec<(Expr, Expr)>,
    valued: &mut bool,
) -> Expr {
    if let Node::Apply(name, given) = expr.node()
        && members.recursion(name).is_some()
        && let [index] = given.as_slice()
    {
        let index = match place {
            Some((name, at)) => index.substitute(name, &Expr::integer(at)),
            None => index.clone(),
        };
        let at = numerics::exact(&index, &Assignment::new())
            .and_then(|index| Expr::number(index.as_rational()?).as_shift())
            .map(|(_, at)| at);
        let Some((at, value)) = at.and_then(|at| Some((at, members.value(name, at)?))) else {
            *valued = false;
            return expr.clone();
        };
        let own: Expr = Node::Apply(name.clone(), vec![Expr::integer(at)]).into();
        if !table.iter().any(|(known, _)| *known == own) {
            table.push((own, value.clone()));
        }
        return value;
    }
    expr.map_children(&mut |child| put_in(members, child, place, table, valued))
}

/// Whether a value can be shown as it is: built from numerals, roots and constants.
fn is_shown(value: &Expr) -> bool {
    let mut shown = true;
    let mut nodes = 0;
    value.visit(&mut |part| {
        nodes += 1;
        shown &= matches!(
            part.node(),
            Node::Number(_)
                | Node::Constant(_)
                | Node::Add(_)
                | Node::Mul(_)
                | Node::Neg(_)
                | Node::Div(..)
                | Node::Pow(..)
                | Node::Root(2, _)
        );
    });
    shown && nodes <= 60
}
