//! From a name to where it is introduced, and to all its places.

use super::editor::Editor;
use super::place::range;
use super::reading::Present;
use source::text::position::LineIndex;
use tower_lsp::lsp_types::{DocumentHighlight, DocumentHighlightKind, Location, Url};

/// Where the name at a byte is introduced.
pub(crate) fn definition(
    present: &Present,
    offset: usize,
    editor: &Editor,
    url: &Url,
) -> Option<Location> {
    let (named, _) = present.name_at(offset)?;
    let naming = &named.naming;
    let place = naming.places.get(naming.introduced)?;
    let lines = LineIndex::new(&present.text);
    Some(Location {
        uri: url.clone(),
        range: range(&lines, place.span, editor.encoding),
    })
}

/// All places of the name at a byte, with or without the one that introduces it.
pub(crate) fn references(
    present: &Present,
    offset: usize,
    introduction: bool,
    editor: &Editor,
    url: &Url,
) -> Option<Vec<Location>> {
    let (named, _) = present.name_at(offset)?;
    let naming = &named.naming;
    let lines = LineIndex::new(&present.text);
    let places = naming.places.iter().enumerate();
    let wanted = places.filter(|(at, _)| introduction || *at != naming.introduced);
    let locations = wanted.map(|(_, place)| Location {
        uri: url.clone(),
        range: range(&lines, place.span, editor.encoding),
    });
    Some(locations.collect())
}

/// The same as highlights: the introduction is marked as what gives the name its value.
pub(crate) fn highlights(
    present: &Present,
    offset: usize,
    editor: &Editor,
) -> Option<Vec<DocumentHighlight>> {
    let (named, _) = present.name_at(offset)?;
    let naming = &named.naming;
    let lines = LineIndex::new(&present.text);
    let places = naming.places.iter().enumerate();
    let marks = places.map(|(at, place)| DocumentHighlight {
        range: range(&lines, place.span, editor.encoding),
        kind: Some(if at == naming.introduced {
            DocumentHighlightKind::WRITE
        } else {
            DocumentHighlightKind::READ
        }),
    });
    Some(marks.collect())
}
