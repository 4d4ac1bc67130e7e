//! Proofs that start from what they are to show, and whether their steps can be turned round.

use crate::analysis::VerdictWord;
use crate::catalogue;
use crate::check::Severity;
use crate::engine::Engine;
use crate::finding::Related;
use crate::judge::{Judged, Told, condition_of, is_refuted, links_of};
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Content, Entry, Role, Run, Zone};
use kernel::{Condition, Origin};
use source::Span;

/// Tells of runs from the aim to a threshold, and from a stated inequality to a true one.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    for run in &engine.argument.runs {
        if let Some(told) = run_to_threshold(engine, judged, run) {
            judged.findings.push(told);
        }
    }
    if let Some(told) = run_to_truth(engine, judged) {
        judged.findings.push(told);
    }
}

fn run_to_threshold(engine: &Engine<'_>, judged: &mut Judged, run: &Run) -> Option<Told> {
    let entries = &engine.argument.entries;
    let choice = (run.to + 1..entries.len()).find(|position| {
        entries[*position].zone == Zone::Proof && entries[*position].role == Some(Role::Choice)
    })?;
    if (run.from..=run.to).any(|position| is_refuted(judged, position))
        || runs_forward(engine, choice)
    {
        return None;
    }
    let span = entries[run.from].span;
    // The choice that was drawn from it carries the mistake.
    if let Some(root) = judged
        .findings
        .iter_mut()
        .find(|told| told.entry == Some(choice) && told.severity <= Severity::Warning)
    {
        root.related.push(Related {
            span,
            message: "comes from here, where the steps run from the aim and need not hold the other way round".to_owned(),
        });
        return None;
    }
    let Condition::Holds(left, relation, right) = &run.aim else {
        return None;
    };
    let scope = &entries[run.from].scope;
    let setting =
        Setting::of(engine.argument, scope).and(run.condition.clone(), Origin::Assumption);
    let back = engine.quickly(|| engine.relation(&setting, left, *relation, right, true));
    let (severity, outcome) = match back.verdict {
        VerdictWord::Proved => (Severity::Hint, wording::Return::Holds),
        VerdictWord::Refuted => (Severity::Warning, wording::Return::Fails(&back.evidence)),
        _ => (Severity::Hint, wording::Return::Open),
    };
    let message = wording::runs_to_threshold(&run.aim, &run.condition, &outcome);
    Some(told(run.from, span, severity, message).showing(back.counterexample.as_ref()))
}

fn told(entry: usize, span: Span, severity: Severity, message: String) -> Told {
    Told {
        severity,
        ..Told::new(&catalogue::ARGUMENT_RUNS_BACKWARDS, span, message).at(entry)
    }
}

/// Whether the text goes on from its choice: an estimate in several links, or one that is not
/// the aim itself.
fn runs_forward(engine: &Engine<'_>, choice: usize) -> bool {
    let argument = engine.argument;
    let aims: Vec<&Condition> = argument.runs.iter().map(|run| &run.aim).collect();
    argument
        .entries
        .iter()
        .enumerate()
        .skip(choice + 1)
        .filter(|(_, entry)| entry.zone == Zone::Proof && states(entry))
        .any(|(_, entry)| {
            let links = entry
                .chain
                .map_or(1, |(chain, _)| links_of(argument, chain).count());
            links > 1
                || match &entry.content {
                    Content::Assertion(Assertion::Implication { .. }) => true,
                    _ => condition_of(entry).is_none_or(|said| !aims.contains(&&said)),
                }
        })
}

/// Whether an entry is a step or reason of its own, conclusions about convergence aside.
fn states(entry: &Entry) -> bool {
    matches!(entry.role, Some(Role::Step | Role::Reason))
        && matches!(
            entry.content,
            Content::Assertion(
                Assertion::Relation { .. } | Assertion::All(_) | Assertion::Implication { .. }
            )
        )
}

/// "x/(1 + x²) ≤ 1/2, so 2x ≤ 1 + x², so 0 ≤ (1 − x)², which is true."
fn run_to_truth(engine: &Engine<'_>, judged: &Judged) -> Option<Told> {
    let argument = engine.argument;
    let Some(Assertion::Relation {
        left,
        relation,
        right,
    }) = argument.aim.as_ref().and_then(|aim| aim.assertion.as_ref())
    else {
        return None;
    };
    let aim = Condition::Holds(left.clone(), *relation, right.clone());
    let claims: Vec<usize> = (0..argument.entries.len())
        .filter(|position| {
            let entry = &argument.entries[*position];
            entry.zone == Zone::Proof && entry.role.is_some_and(Role::is_claim)
        })
        .collect();
    let (first, rest) = claims.split_first()?;
    let starts = match &argument.entries[*first].content {
        Content::Assertion(Assertion::Implication {
            from, both: false, ..
        }) => *from == [aim.clone()],
        _ => condition_of(&argument.entries[*first]).as_ref() == Some(&aim),
    };
    let entries = || rest.iter().map(|position| &argument.entries[*position]);
    let alone = |entry: &Entry| {
        entry
            .chain
            .is_none_or(|(chain, _)| links_of(argument, chain).count() == 1)
    };
    let drawn = !rest.is_empty()
        && entries().all(|entry| {
            states(entry) && alone(entry) && entry.drawn && entry.role == Some(Role::Step)
        });
    let returns = entries().any(|entry| match &entry.content {
        Content::Assertion(Assertion::Implication { to, .. }) => to.contains(&aim),
        _ => condition_of(entry).as_ref() == Some(&aim),
    });
    let sound = claims.iter().all(|position| !is_refuted(judged, *position));
    let implied = match &argument.entries[*first].content {
        Content::Assertion(Assertion::Implication { .. }) => true,
        _ => alone(&argument.entries[*first]),
    };
    (starts && implied && drawn && !returns && sound).then(|| {
        let span = argument.entries[*first].span;
        told(*first, span, Severity::Hint, wording::runs_to_truth(&aim))
    })
}
