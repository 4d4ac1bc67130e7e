//! What the sheet says of an exercise, put where scripts answer it.

use super::edit::Edit;
use crate::settings::{Course, Exercise};
use argument::{Argument, Convention};
use checks::Review;
use kernel::Symbol;
use source::{Companions, Document, Format, Piece};
use std::collections::{BTreeMap, BTreeSet};

/// The statements of the sheet, each at the beginning of its answer.
pub(super) fn edits(
    text: &str,
    format: Format,
    companions: &Companions,
    course: &Course,
) -> Vec<Edit> {
    let says = |one: &Exercise| !one.statement.is_empty() || one.domain.is_some();
    if !course.exercises.iter().any(says) {
        return Vec::new();
    }
    let convention = &course.settings.convention;
    let document = source::read(text, format, companions);
    let outline = argument::read(text, &document, convention);
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
        if is_part_of_another(&titles, position, exercise) {
            continue;
        }
        let Some(text) = missing(argument, exercise, format, companions, convention) else {
            continue;
        };
        let at = before(&document, argument.span.start);
        edits.insert(
            at,
            Edit {
                range: at..at,
                text,
            },
        );
    }
    edits.into_values().collect()
}

/// What the sheet says and the answer leaves out. An answer that names its own sequence states its
/// own exercise, and a second statement in other words would only be in its way; but it may leave
/// out where the point lies.
fn missing(
    argument: &Argument,
    exercise: &Exercise,
    format: Format,
    companions: &Companions,
    convention: &Convention,
) -> Option<String> {
    let statement = &exercise.statement;
    if !statement.is_empty() && !states_itself(argument, statement, companions, convention) {
        // An answer that does not say either what it shows is the proof alone.
        let proof = match (&argument.aim, format) {
            (Some(_), _) => "",
            (None, Format::Markdown) => "**Proof.** ",
            (None, Format::Latex) => "\\textbf{Proof.} ",
        };
        return Some(format!("{statement} {proof}"));
    }
    let domain = exercise.domain.as_deref()?;
    let points = argument
        .definitions
        .iter()
        .flat_map(|definition| definition.parameters.iter().skip(definition.subscripts));
    let stated = points.into_iter().any(|point| {
        argument
            .givens
            .iter()
            .any(|given| given.name == *point && given.span.is_some())
    });
    (!stated).then(|| format!("Let ${domain}$. "))
}

/// Whether the answer defines the sequence of the exercise, or has an aim about another one that it
/// defines; bounds M_n and points x_n of a bare answer are neither.
fn states_itself(
    argument: &Argument,
    statement: &str,
    companions: &Companions,
    convention: &Convention,
) -> bool {
    let sequences = |argument: &Argument| -> BTreeSet<Symbol> {
        let definitions = argument.definitions.iter();
        definitions
            .filter(|definition| 0 < definition.subscripts)
            .map(|definition| definition.name.clone())
            .collect()
    };
    let own = sequences(argument);
    if own.is_empty() {
        return !argument.recursions.is_empty();
    }
    let document = source::read(statement, Format::Markdown, companions);
    let outline = argument::read(statement, &document, convention);
    let of_sheet = outline.arguments.iter().flat_map(sequences);
    argument.aim.is_some() || of_sheet.into_iter().any(|name| own.contains(&name))
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
