//! Exercises that have scratch work and lack the proof.

use super::{Draft, Exercise, Part, first_word, lacking};
use argument::{Argument, Zone};
use source::Document;

/// The word with which scratch work is headed.
pub(super) const HEADING: &str = "scratch";

/// Where the scratch work of an exercise begins; `None` if it has none.
pub(super) fn start(draft: Draft<'_>, document: &Document, argument: &Argument) -> Option<usize> {
    let inside = |at: usize| argument.span.start <= at && at < argument.span.end;
    let first = argument
        .entries
        .iter()
        .filter(|own| own.zone == Zone::Scratch)
        .map(|own| own.span.start)
        .min();
    document
        .blocks
        .iter()
        .filter(|block| inside(block.span.start))
        .find(|block| {
            first_word(draft, block) == HEADING
                || first.is_some_and(|first| block.span.range().contains(&first))
        })
        .map(|block| block.span.start)
}

/// The exercise as it was before its scratch work, which begins at `start`: points and bounds of
/// the scratch work are none of what is asked.
pub(super) fn before(draft: Draft<'_>, argument: &Argument, start: usize) -> Option<Exercise> {
    let (head, tail) = (
        draft.text.get(..start)?,
        draft.text.get(argument.span.end..)?,
    );
    let text = format!("{head}\n\n{tail}");
    let bare = Draft {
        text: &text,
        ..draft
    };
    lacking(bare, Part::Both)
        .into_iter()
        .find(|own| own.start == argument.span.start)
}
