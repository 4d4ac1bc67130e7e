//! Inequalities that are multiplied or divided by something of which the sign is not known.

use crate::catalogue;
use crate::engine::{Engine, Judgement, shown};
use crate::judge::{Judged, Told, relation_of};
use crate::relation;
use crate::scope::Setting;
use crate::wording;
use argument::{Content, Entry, Role, Zone};
use kernel::{Condition, Counterexample, Expr, Relation, show};

/// Tells of factors that are positive for some values in force and negative for others.
pub(crate) fn tell(engine: &Engine<'_>, draft: &str, judged: &mut Judged) {
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        let Some(factor) = entry.scales.as_ref() else {
            continue;
        };
        if entry.zone != Zone::Proof
            || entry.beside
            || factor.variables().is_empty()
            || !scales_an_inequality(engine, position)
            || is_told(judged, engine, position)
            || speaks_of_sign(engine, position, factor)
        {
            continue;
        }
        let before = &judged.judgements;
        let (Some(below), Some(above)) = (
            fails(
                engine,
                draft,
                position,
                factor,
                Relation::GreaterEqual,
                before,
            ),
            fails(engine, draft, position, factor, Relation::LessEqual, before),
        ) else {
            continue;
        };
        let message = wording::sign_not_known(&show::plain(factor), &shown(&below), &shown(&above));
        judged.findings.push(
            Told::new(&catalogue::SIGN_NOT_KNOWN, entry.span, message)
                .at(position)
                .showing(Some(&below)),
        );
    }
}

/// Where a factor has not the sign, if there is such a point.
fn fails(
    engine: &Engine<'_>,
    draft: &str,
    position: usize,
    factor: &Expr,
    sign: Relation,
    before: &[Option<Judgement>],
) -> Option<Counterexample> {
    let setting = Setting::of(engine.argument, &engine.argument.entries[position].scope);
    let zero = Expr::integer(0);
    let link = (factor, sign, &zero);
    let judgement = relation::decide(engine, draft, position, &setting, link, before);
    if !judgement.is_refuted() || !engine.can_be_met(&setting.whole()) {
        return None;
    }
    judgement
        .counterexample
        .filter(|found| !found.is_undefined())
}

/// Whether what is multiplied or divided is an inequality: the relation that the sentence draws
/// from it, else the last one before it. Of equations no sign is asked.
fn scales_an_inequality(engine: &Engine<'_>, position: usize) -> bool {
    let entries = &engine.argument.entries;
    let sentence = entries[position].sentence;
    let compares = |entry: &Entry| {
        relation_of(entry)
            .map(|(_, sign, _)| !matches!(sign, Relation::Equal | Relation::NotEqual))
            .filter(|_| !matches!(entry.role, Some(Role::Range | Role::Condition)))
    };
    let drawn = entries[position + 1..]
        .iter()
        .take_while(|entry| entry.sentence == sentence)
        .find_map(compares);
    let before = || entries[..position].iter().rev().find_map(compares);
    drawn.or_else(before).unwrap_or(false)
}

/// Whether what the sentence draws from it is false, and told with its numbers: one mistake.
fn is_told(judged: &Judged, engine: &Engine<'_>, position: usize) -> bool {
    let entries = &engine.argument.entries;
    judged.findings.iter().any(|told| {
        told.entry.is_some_and(|other| {
            other > position && entries[other].sentence == entries[position].sentence
        })
    })
}

/// "Dividing by L (allowed, L > 0)": whether the sentence compares the factor with 0.
fn speaks_of_sign(engine: &Engine<'_>, position: usize, factor: &Expr) -> bool {
    let entries = &engine.argument.entries;
    let zero = Expr::integer(0);
    let compares = |left: &Expr, right: &Expr| {
        left == factor && *right == zero || right == factor && *left == zero
    };
    entries.iter().any(|other| {
        other.sentence == entries[position].sentence
            && match &other.content {
                Content::Binding(binding) => binding.conditions.iter().any(|condition| {
                    matches!(condition, Condition::Holds(left, _, right) if compares(left, right))
                }),
                _ => relation_of(other).is_some_and(|(left, _, right)| compares(left, right)),
            }
    })
}
