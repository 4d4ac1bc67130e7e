//! What the sheet says of an exercise, put where scripts answer it.

use super::edit::Edit;
use crate::settings::{Course, Exercise};
use checks::Review;
use source::{Companions, Document, Format, Piece};
use std::collections::BTreeMap;

/// The statements of the sheet, each at the beginning of its answer.
pub(super) fn edits(
    text: &str,
    format: Format,
    companions: &Companions,
    course: &Course,
) -> Vec<Edit> {
    if course.exercises.iter().all(|one| one.statement.is_empty()) {
        return Vec::new();
    }
    let document = source::read(text, format, companions);
    let outline = argument::read(text, &document, &course.settings.convention);
    let titles: Vec<Option<&str>> = outline
        .arguments
        .iter()
        .map(|argument| argument.title.as_deref())
        .collect();
    let mut edits = BTreeMap::new();
    for (position, argument) in outline.arguments.iter().enumerate() {
        let Some(exercise) = answered(&titles, position, &course.exercises) else {
            continue;
        };
        if exercise.statement.is_empty() || is_part_of_another(&titles, position, exercise) {
            continue;
        }
        let at = before(&document, argument.span.start);
        // An answer that says nothing of what it shows is the proof alone.
        let bare = argument.aim.is_none() && argument.definitions.is_empty();
        let proof = match (bare, format) {
            (false, _) => "",
            (true, Format::Markdown) => "**Proof.** ",
            (true, Format::Latex) => "\\textbf{Proof.} ",
        };
        edits.insert(
            at,
            Edit {
                range: at..at,
                text: format!("{} {proof}", exercise.statement),
            },
        );
    }
    edits.into_values().collect()
}

/// The exercise that the argument answers. A sheet of one exercise is answered by a draft that
/// numbers nothing.
fn answered<'course>(
    titles: &[Option<&str>],
    position: usize,
    exercises: &'course [Exercise],
) -> Option<&'course Exercise> {
    let title = titles.get(position).copied().flatten();
    match (title, exercises) {
        (None, [only]) if titles.len() == 1 => Some(only),
        (None, _) => None,
        (Some(title), _) => {
            // A part's own entry goes before that of its exercise.
            let mut found: Vec<&Exercise> = exercises
                .iter()
                .filter(|exercise| exercise.is_answered_by(title))
                .collect();
            found.sort_by_key(|exercise| !exercise.is_part());
            found.first().copied()
        }
    }
}

/// Whether the answer is one part of several and the head before them answers the same exercise,
/// so that the part inherits what stands there.
fn is_part_of_another(titles: &[Option<&str>], position: usize, exercise: &Exercise) -> bool {
    let part = |title: &str| Exercise::names_part(title);
    let own = titles.get(position).copied().flatten();
    own.is_some_and(part)
        && titles[..position]
            .iter()
            .flatten()
            .any(|title| !part(title) && exercise.is_answered_by(title))
}

/// The start of the formula whose content begins at `at`, or `at` itself.
fn before(document: &Document, at: usize) -> usize {
    document
        .blocks
        .iter()
        .flat_map(|block| &block.pieces)
        .filter_map(|piece| match piece {
            Piece::Math(math) => Some(math.span),
            Piece::Prose(_) => None,
        })
        .find(|span| span.start <= at && at < span.end)
        .map_or(at, |span| span.start)
}

/// Arguments that answer no exercise of a sheet that lists them.
pub(super) fn unmatched(review: &Review, course: &Course) -> Vec<usize> {
    if course.exercises.is_empty() {
        return Vec::new();
    }
    let titles: Vec<Option<&str>> = review
        .arguments
        .iter()
        .map(|argument| argument.title.as_deref())
        .collect();
    (0..titles.len())
        .filter(|&position| answered(&titles, position, &course.exercises).is_none())
        .collect()
}
