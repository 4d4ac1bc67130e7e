//! Scratch work and proofs for exercises that have none yet.
//!
//! What is shown was proved by the kernel while it was sought, and what is written was reviewed
//! as a draft before it is handed over.

pub mod exercise;
mod limits;
pub mod portrait;
pub mod seek;
mod variants;
pub mod write;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

use argument::Role;
use checks::{Settings, VerdictWord};
use exercise::{Draft, Exercise, Part, unanswered, with};
use seek::Asker;
use source::{Companions, Format};
use std::sync::atomic::{AtomicBool, Ordering};
use write::{Page, answers};

pub use variants::{Choice, Sheet, variants};

/// What became of an exercise.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Outcome {
    /// Its title.
    pub title: Option<String>,
    /// What was put in.
    pub text: String,
    /// Why nothing could be written; `None`: it was.
    pub trouble: Option<String>,
}

/// A draft with scratch work and proofs after its exercises.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Written {
    /// The whole draft.
    pub text: String,
    /// What became of each exercise that had no proof.
    pub outcomes: Vec<Outcome>,
}

/// Writes scratch work and a proof after each exercise that has none; a comment where it could
/// not. `None` if the work was called off by `stop`.
#[must_use]
pub fn write(
    text: &str,
    format: Format,
    companions: &Companions,
    settings: &Settings,
    stop: &AtomicBool,
) -> Option<Written> {
    let draft = Draft {
        text,
        format,
        companions,
        convention: &settings.convention,
    };
    let page = Page::of(text, format);
    let mut outcomes: Vec<Outcome> = Vec::new();
    let mut whole = text.to_owned();
    for mut exercise in unanswered(draft) {
        // What was put in before stands before it.
        let shift: usize = outcomes.iter().map(|own| own.text.len()).sum();
        exercise.start += shift;
        exercise.place += shift;
        let so_far = Draft {
            text: &whole,
            ..draft
        };
        let outcome = answer(so_far, &exercise, page, settings, stop);
        if stop.load(Ordering::Relaxed) {
            return None;
        }
        whole = with(&whole, exercise.place, &outcome.text);
        outcomes.push(outcome);
    }
    Some(Written {
        text: whole,
        outcomes,
    })
}

/// Writes one part of an answer, as [`write`] puts it in at the exercise's place. `None` if the work
/// was called off by `stop`.
///
/// # Errors
/// Why it cannot be written, in words.
#[must_use]
pub fn write_part(
    draft: Draft<'_>,
    exercise: &Exercise,
    part: Part,
    settings: &Settings,
    stop: &AtomicBool,
) -> Option<Result<String, String>> {
    let page = Page::of(draft.text, draft.format);
    let found = reviewed_part(draft, exercise, page, part, (settings, stop));
    (!stop.load(Ordering::Relaxed)).then_some(found)
}

fn answer(
    draft: Draft<'_>,
    exercise: &Exercise,
    page: Page,
    settings: &Settings,
    stop: &AtomicBool,
) -> Outcome {
    let trouble = match reviewed_part(draft, exercise, page, Part::Both, (settings, stop)) {
        Ok(text) => {
            return Outcome {
                title: exercise.title.clone(),
                text,
                trouble: None,
            };
        }
        Err(reason) => reason,
    };
    let comment = page.comment(&format!("No proof was written here: {trouble}."));
    let rest = draft.text.get(exercise.place..).unwrap_or_default();
    // A comment of an earlier run says it already.
    let text = if rest.trim_start().starts_with(&comment) {
        String::new()
    } else {
        placed(draft, &comment, exercise)
    };
    Outcome {
        title: exercise.title.clone(),
        text,
        trouble: Some(trouble),
    }
}

/// The first variant of a part that a review finds right, as it is put in.
fn reviewed_part(
    draft: Draft<'_>,
    exercise: &Exercise,
    page: Page,
    part: Part,
    asked: (&Settings, &AtomicBool),
) -> Result<String, String> {
    let all = answers(exercise, page, Asker { stop: asked.1 })?;
    if part == Part::ScratchWork && all.iter().all(|own| own.scratch.is_empty()) {
        return Err("it needs no scratch work".to_owned());
    }
    let mut failed: Vec<String> = Vec::new();
    for one in all.iter().take(limits::VARIANTS) {
        let Some(text) = one.part(page, exercise, part) else {
            continue;
        };
        let text = placed(draft, &text, exercise);
        // Scratch work is worth what the proof that comes of it is worth.
        let whole = match part {
            Part::ScratchWork => placed(draft, &one.text(page, exercise), exercise),
            Part::Both | Part::Proof => text.clone(),
        };
        // A threshold that could not be verified will not be so in other words around it.
        if failed.iter().any(|own| whole.contains(own)) {
            continue;
        }
        match reviewed(draft, exercise, &whole, true, asked) {
            Reviewed::Stands => {}
            Reviewed::Fails(claims) => {
                failed.extend(claims);
                continue;
            }
        }
        let alone = part != Part::ScratchWork
            || matches!(
                reviewed(draft, exercise, &text, false, asked),
                Reviewed::Stands
            );
        if alone {
            return Ok(text);
        }
    }
    Err("a proof was found, but not one of whose lines each could be verified".to_owned())
}

/// A part as it is put in: blank lines around it, every line indented.
fn placed(draft: Draft<'_>, part: &str, exercise: &Exercise) -> String {
    let mut text = String::from("\n");
    for line in part.lines() {
        text.push('\n');
        if !line.is_empty() {
            text.push_str(&exercise.indent);
            text.push_str(line);
        }
    }
    // What stood behind the exercise on its line begins a line of its own.
    let rest = draft.text.get(exercise.place..).unwrap_or_default();
    if !rest.is_empty() && !rest.starts_with(['\n', '\r']) {
        text.push('\n');
    }
    text
}

/// What a review says of an answer.
enum Reviewed {
    /// Every claim is proved, and there is nothing to complain of.
    Stands,
    /// It is not so; choices of a threshold that could not be verified.
    Fails(Vec<String>),
}

/// Reviews the draft with this answer, which must prove something if it `concludes`.
fn reviewed(
    draft: Draft<'_>,
    exercise: &Exercise,
    part: &str,
    concludes: bool,
    (settings, stop): (&Settings, &AtomicBool),
) -> Reviewed {
    let text = with(draft.text, exercise.place, part);
    let inside = |start: usize| exercise.start <= start && start < exercise.place + part.len();
    let Some(review) = checks::review_only(
        &text,
        draft.format,
        draft.companions,
        settings,
        &|argument| {
            let within = |entry: &argument::Entry| {
                exercise.place <= entry.span.start && inside(entry.span.start)
            };
            argument.span.start == exercise.start || argument.entries.iter().any(within)
        },
        stop,
    ) else {
        return Reviewed::Fails(Vec::new());
    };
    let claims: Vec<_> = review
        .claims
        .iter()
        .filter(|claim| inside(claim.span.start))
        .collect();
    let concluded = !concludes
        || claims.iter().any(|claim| {
            claim.verdict == Some(VerdictWord::Proved) && claim.role.is_some_and(Role::is_claim)
        });
    let is_proved =
        |claim: &&checks::ClaimReport| matches!(claim.verdict, None | Some(VerdictWord::Proved));
    let told = |finding: &checks::Finding| inside(finding.span.start);
    if concluded
        && claims.iter().copied().all(|own| is_proved(&own))
        && !review.findings.iter().any(told)
    {
        return Reviewed::Stands;
    }
    let failed = claims
        .iter()
        .copied()
        .filter(|own| !is_proved(own) && own.role == Some(Role::Choice))
        .map(|own| text[own.span.range()].to_owned());
    Reviewed::Fails(failed.collect())
}
