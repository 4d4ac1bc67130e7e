//! Ambiguous spellings: one reading is chosen for a whole argument, in the author's favour.

use crate::analysis::{Settings, VerdictWord};
use crate::catalogue;
use crate::check::Severity;
use crate::engine::Judgement;
use crate::judge::{Judged, Told, judge};
use crate::limits;
use argument::{Argument, Assertion, Content, Entry, Pattern};
use kernel::{Condition, show};
use source::{Document, Span};
use std::sync::atomic::AtomicBool;

/// An argument under the reading that was meant.
pub(crate) struct Reading {
    pub(crate) argument: Argument,
    pub(crate) judged: Judged,
    /// Where readings part.
    pub(crate) hints: Vec<Told>,
}

/// Judges an argument under every reading of its ambiguous spellings and keeps the one under
/// which the fewest claims fail; the usual one if nothing parts them.
pub(crate) fn choose(
    draft: &str,
    document: &Document,
    usual: &Argument,
    number: usize,
    settings: &Settings,
    stop: &AtomicBool,
) -> Reading {
    let mut best = Reading {
        argument: usual.clone(),
        judged: judge(draft, usual, settings, stop),
        hints: Vec::new(),
    };
    let usual_cost = cost(&best.judged);
    if usual.pattern_set.is_empty() {
        return best;
    }
    let patterns: Vec<Pattern> = usual
        .pattern_set
        .iter()
        .copied()
        .take(limits::PATTERNS)
        .collect();
    let mut best_cost = usual_cost;
    let mut tried = vec![verdicts(usual, &best.judged)];
    for chosen in 1_u32..1 << patterns.len() {
        let second: Vec<Pattern> = patterns
            .iter()
            .enumerate()
            .filter(|(bit, _)| chosen & (1 << bit) != 0)
            .map(|(_, pattern)| *pattern)
            .collect();
        let outline = argument::read(
            draft,
            document,
            &settings.convention.with_second(second.clone()),
        );
        let Some(argument) = outline.arguments.get(number) else {
            continue;
        };
        let judged = judge(draft, argument, settings, stop);
        tried.push(verdicts(argument, &judged));
        let other = cost(&judged);
        if other < best_cost {
            best_cost = other;
            best = Reading {
                hints: hints(usual, &second, true),
                argument: argument.clone(),
                judged,
            };
        } else if best.hints.is_empty() && other != usual_cost {
            best.hints = hints(usual, &second, false);
        }
    }
    spare(&mut best, &tried);
    best
}

/// Where each claim stands and how it ended.
fn verdicts(argument: &Argument, judged: &Judged) -> Vec<(Span, VerdictWord)> {
    argument
        .entries
        .iter()
        .zip(&judged.judgements)
        .filter_map(|(entry, judgement)| Some((entry.span, judgement.as_ref()?.verdict)))
        .collect()
}

/// Charity: a claim is false only if every reading refutes it. One that some reading leaves
/// standing is unsettled, and what was told of it is taken back.
fn spare(best: &mut Reading, tried: &[Vec<(Span, VerdictWord)>]) {
    let mut mixed: Option<Told> = None;
    for (position, entry) in best.argument.entries.iter().enumerate() {
        let Some(judgement) = &mut best.judged.judgements[position] else {
            continue;
        };
        let everywhere = tried
            .iter()
            .all(|reading| reading.contains(&(entry.span, VerdictWord::Refuted)));
        if judgement.is_refuted() && !everywhere {
            *judgement = Judgement::unsettled(
                "not decided: its spelling has another reading, under which it is not false",
                judgement.reading.clone(),
            );
            best.judged
                .findings
                .retain(|told| told.entry != Some(position));
            // One spelling has one reading in an argument: if this line needs another one than
            // the rest, the author should hear it.
            let proved = tried
                .iter()
                .any(|reading| reading.contains(&(entry.span, VerdictWord::Proved)));
            if proved && mixed.is_none() {
                let told = Told::new(
                    &catalogue::READING_AMBIGUOUS,
                    entry.span,
                    crate::wording::mixture(),
                )
                .at(position);
                mixed = Some(Told {
                    severity: Severity::Warning,
                    ..told
                });
            }
        }
    }
    best.judged.findings.extend(mixed);
    let faulty = best
        .judged
        .findings
        .iter()
        .any(|told| told.severity <= Severity::Warning);
    if best.judged.established == Some(false) && !faulty {
        best.judged.established = None;
    }
}

fn cost(judged: &Judged) -> (usize, usize) {
    let count = |verdict: VerdictWord| {
        judged
            .judgements
            .iter()
            .flatten()
            .filter(|judgement| judgement.verdict == verdict)
            .count()
    };
    (
        count(VerdictWord::Refuted),
        count(VerdictWord::Unsettled) + judged.judgements.len()
            - judged.judgements.iter().flatten().count(),
    )
}

fn hints(argument: &Argument, second: &[Pattern], second_taken: bool) -> Vec<Told> {
    argument
        .patterns
        .iter()
        .filter(|(pattern, _)| second.contains(pattern))
        .map(|(pattern, span)| {
            Told::new(
                &catalogue::READING_AMBIGUOUS,
                *span,
                crate::wording::ambiguous(*pattern, second_taken),
            )
        })
        .collect()
}

/// What an entry that is not judged says.
pub(crate) fn of_entry(draft: &str, argument: &Argument, entry: &Entry) -> String {
    let all = |conditions: &[Condition]| {
        conditions
            .iter()
            .map(show::condition)
            .collect::<Vec<_>>()
            .join(", ")
    };
    match &entry.content {
        Content::Binding(binding) if !binding.conditions.is_empty() => all(&binding.conditions),
        Content::Binding(binding) => binding
            .bound
            .iter()
            .map(|bound| bound.name.as_str())
            .collect::<Vec<_>>()
            .join(", "),
        Content::Definition(position) => match argument.definitions.get(*position) {
            Some(definition) => format!(
                "{} stands for {}",
                definition.name,
                show::plain(&definition.value)
            ),
            None => quoted(draft, entry),
        },
        Content::Assertion(Assertion::Relation {
            left,
            relation,
            right,
        }) => show::condition(&Condition::Holds(left.clone(), *relation, right.clone())),
        Content::Assertion(Assertion::All(conditions)) => all(conditions),
        _ => quoted(draft, entry),
    }
}

fn quoted(draft: &str, entry: &Entry) -> String {
    draft
        .get(entry.span.range())
        .unwrap_or_default()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}
