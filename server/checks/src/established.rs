//! Conclusions: what the text claims to have shown against what it has shown.

use crate::analysis::VerdictWord;
use crate::catalogue;
use crate::check::Severity;
use crate::choice::ChoiceOutcome;
use crate::conclusion::is_on_the_way;
use crate::engine::Engine;
use crate::judge::{Judged, Told, is_proved, leads_up, links_of, relation_of};
use crate::relation::is_error;
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Content, Role, Zone};
use kernel::{Expr, Goal, Relation, Symbol};
use std::collections::BTreeSet;

/// Tells of conclusions that are false or not shown, and says whether the aim was reached.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged, choices: &[ChoiceOutcome]) {
    let faulty = judged
        .findings
        .iter()
        .any(|told| told.severity == Severity::Error);
    let reached = is_reached(engine, judged, choices);
    let all_read = engine
        .argument
        .entries
        .iter()
        .all(|entry| !matches!(entry.content, Content::Unread { .. }))
        // What was not decided may be the very thing that shows it.
        && !judged
            .judgements
            .iter()
            .flatten()
            .any(|judgement| judgement.verdict == VerdictWord::Unsettled)
        && !judged
            .findings
            .iter()
            .any(|told| told.severity == Severity::Warning);
    let mut false_conclusion = false;
    let mut gap = false;
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        let Content::Assertion(Assertion::Convergence { error, negated }) = &entry.content else {
            continue;
        };
        let Some(judgement) = &judged.judgements[position] else {
            continue;
        };
        let statement = judgement.reading.clone();
        let why = judgement.evidence.clone();
        let concludes = matches!(
            entry.role,
            Some(Role::Conclusion | Role::Step | Role::Reason)
        ) && (*negated || !is_on_the_way(entry, error));
        if judgement.is_refuted()
            && concludes
            && !judged.findings.iter().any(|told| {
                told.severity == Severity::Error && told.check.name == "threshold-depends-on-point"
            })
            && !(faulty && entry.role != Some(Role::Conclusion))
        {
            let is_aim = engine
                .argument
                .error
                .as_ref()
                .is_some_and(|aim| aim.error == error.error);
            // A mistake above that leads to this conclusion is the root; the conclusion is told
            // by itself where the text has none, or where it speaks of something else.
            if !faulty || !is_aim {
                false_conclusion = true;
                // Said twice ("Yes. … Hence uniformly"): the later, fuller sentence carries it.
                judged
                    .findings
                    .retain(|told| told.check.name != catalogue::CONCLUSION_FALSE.name);
                judged.findings.push(
                    Told::new(
                        &catalogue::CONCLUSION_FALSE,
                        entry.span,
                        wording::conclusion_false(&statement, &why),
                    )
                    .at(position),
                );
            }
        } else if entry.role == Some(Role::Conclusion)
            && entry.guard.is_none()
            && judgement.verdict == VerdictWord::Proved
            && (error.uniform && !error.points.is_empty()
                || error.points.is_empty()
                    && !leans_on_limits(engine, position)
                    && !engine.recursions.members.occur_in(&error.term))
            && !*negated
            && !faulty
            && all_read
            && !reached
        {
            gap = true;
            judged.findings.push(
                Told::new(
                    &catalogue::CONCLUSION_NOT_REACHED,
                    entry.span,
                    wording::conclusion_not_reached(&statement),
                )
                .at(position),
            );
        }
    }
    let warned = judged
        .findings
        .iter()
        .any(|told| told.severity == Severity::Warning);
    judged.established = if faulty || warned || false_conclusion || gap {
        Some(false)
    } else if reached {
        Some(true)
    } else {
        None
    };
}

/// Whether a number sequence's argument speaks of limits, suprema or choices on its way: then
/// what it shows is more than estimates, and is not judged to be too little.
fn leans_on_limits(engine: &Engine<'_>, conclusion: usize) -> bool {
    engine
        .argument
        .entries
        .iter()
        .enumerate()
        .filter(|(position, entry)| *position != conclusion && entry.zone == Zone::Proof)
        .any(|(_, entry)| {
            entry.role == Some(Role::Choice)
                || entry.role.is_some_and(Role::is_claim)
                    && matches!(
                        entry.content,
                        Content::Assertion(
                            Assertion::Limit { .. }
                                | Assertion::Convergence { .. }
                                | Assertion::Extremum { .. }
                                | Assertion::Calculus(_)
                                | Assertion::Implication { .. }
                        )
                    )
        })
}

/// Whether the text shows what a convergence needs: a proved chain from the error term to a
/// bound without the points that tends to 0, or to the tolerance under a choice that serves.
fn is_reached(engine: &Engine<'_>, judged: &Judged, choices: &[ChoiceOutcome]) -> bool {
    if crate::series::is_reached(engine, judged) {
        return true;
    }
    let Some(error) = &engine.argument.error else {
        return false;
    };
    if choices.iter().any(|outcome| {
        outcome.judgement.verdict == VerdictWord::Proved
            && !outcome.beside
            && engine.argument.entries[outcome.entry].zone == Zone::Proof
    }) {
        return true;
    }
    let mut chains: Vec<usize> = engine
        .argument
        .entries
        .iter()
        .filter(|entry| entry.role.is_some_and(Role::is_claim))
        .filter_map(|entry| entry.chain.map(|(chain, _)| chain))
        .collect();
    chains.dedup();
    chains.into_iter().any(|chain| {
        let links: Vec<usize> = links_of(engine.argument, chain)
            .map(|(position, _)| position)
            .collect();
        let proved = links
            .iter()
            .all(|link| is_proved(&judged.judgements, *link));
        let relations: Vec<_> = links
            .iter()
            .filter_map(|link| relation_of(&engine.argument.entries[*link]))
            .collect();
        // "0 ≤ f_n(x) ≤ x^n ≤ 2^−n": the estimate begins where the error term stands.
        let begins = relations
            .iter()
            .position(|(left, _, _)| is_error(engine, left) || supports(engine, left));
        proved
            && begins.is_some_and(|begins| {
                relations[begins..].iter().any(|(_, relation, right)| {
                    leads_up(*relation)
                        && is_null_majorant(engine, right, &error.index, &error.points)
                })
            })
    }) || judged
        .judgements
        .iter()
        .enumerate()
        .any(|(position, judgement)| {
            // sup |f_n − f| = … , or |f_n − f| ≤ … as a claim of its own, proved.
            judgement
                .as_ref()
                .is_some_and(|judgement| judgement.verdict == VerdictWord::Proved)
                && match &engine.argument.entries[position].content {
                    Content::Assertion(Assertion::Extremum { value, .. }) => {
                        is_null_majorant(engine, value, &error.index, &error.points)
                    }
                    Content::Assertion(Assertion::Calculus(said)) => {
                        crate::calculus::named_value(said).is_some_and(|value| {
                            is_null_majorant(engine, &value, &error.index, &error.points)
                        })
                    }
                    _ => false,
                }
        })
}

/// Whether an expression bounds the error term as it stands.
fn supports(engine: &Engine<'_>, left: &Expr) -> bool {
    let Some(error) = &engine.argument.error else {
        return false;
    };
    let names: BTreeSet<Symbol> = error.error.variables();
    if !left.variables().is_subset(&names) {
        return false;
    }
    let setting = Setting::of(engine.argument, &[]);
    engine.proves(&setting.problem(
        &names,
        Goal::Holds(error.error.clone(), Relation::LessEqual, left.clone()),
    ))
}

pub(crate) fn is_null_majorant(
    engine: &Engine<'_>,
    bound: &Expr,
    index: &Symbol,
    points: &[Symbol],
) -> bool {
    bound.mentions(index)
        && !points.iter().any(|point| bound.mentions(point))
        && engine.proves(&Setting::of(engine.argument, &[]).vanishing(
            &crate::conclusion::absolute(bound),
            index,
            &[],
        ))
}
