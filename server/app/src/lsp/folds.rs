//! What can be folded away, and what a selection grows to: the parts of a draft.

use super::editor::Editor;
use super::place::{clamp, range};
use super::reading::Present;
use source::text::position::LineIndex;
use source::{BlockKind, ContainerKind, Span};
use tower_lsp::lsp_types::{FoldingRange, FoldingRangeKind, SelectionRange};

/// Arguments with their headings, proofs, environments, items and displays of several lines.
pub(crate) fn folds(present: &Present, editor: &Editor) -> Vec<FoldingRange> {
    let reading = &present.reading;
    let lines = LineIndex::new(&present.text);
    let line_of = |offset: usize| lines.report(offset).line - 1;
    let arguments = reading.arguments.iter();
    let arguments = arguments.map(|argument| with_heading(present, argument.span));
    let proofs = reading
        .arguments
        .iter()
        .filter_map(|argument| argument.proof);
    let containers = reading.containers.iter().map(|(_, span)| *span);
    let displays = reading.formulas.iter().filter(|formula| formula.display);
    let mut found: Vec<(usize, usize)> = arguments
        .chain(proofs)
        .chain(containers)
        .chain(displays.map(|formula| formula.span))
        .map(|span| {
            let text = present.text.get(span.range()).unwrap_or_default();
            let end = span.start + text.trim_end().len();
            (line_of(span.start), line_of(end))
        })
        .filter(|(start, end)| start < end)
        .collect();
    found.sort_unstable();
    found.dedup();
    if let Some(most) = editor.features.folds {
        // The longest are the outermost.
        found.sort_by_key(|(start, end)| (std::cmp::Reverse(end - start), *start));
        found.truncate(most as usize);
        found.sort_unstable();
    }
    found
        .into_iter()
        .map(|(start, end)| FoldingRange {
            start_line: clamp(start),
            end_line: clamp(end),
            kind: Some(FoldingRangeKind::Region),
            ..FoldingRange::default()
        })
        .collect()
}

/// An argument with the heading right above it, or with the line that opens its environment.
pub(crate) fn with_heading(present: &Present, argument: Span) -> Span {
    let blocks = &present.reading.blocks;
    let before = blocks
        .iter()
        .rev()
        .find(|(_, span)| span.end <= argument.start);
    if let Some((BlockKind::Heading(_), heading)) = before {
        return Span::new(heading.start, argument.end);
    }
    let opens = |span: &Span| {
        let between = present.text.get(span.start..argument.start);
        between.is_some_and(|text| text.matches('\n').count() <= 1)
    };
    let containers = present.reading.containers.iter();
    let start = containers
        .filter(|(kind, _)| matches!(kind, ContainerKind::Environment { .. }))
        .map(|(_, span)| span)
        .find(|span| opens(span))
        .map_or(argument.start, |span| span.start);
    Span::new(start, argument.end)
}

/// What the selection at a byte grows to: name, term, relation, formula, sentence, paragraph, what
/// encloses it, argument, draft.
pub(crate) fn selection(present: &Present, offset: usize, editor: &Editor) -> SelectionRange {
    let reading = &present.reading;
    let names = reading.names.iter().flat_map(|named| &named.naming.places);
    let entries = reading.entries.iter();
    let mut spans: Vec<Span> = names
        .map(|place| place.span)
        .chain(reading.terms.iter().copied())
        .chain(entries.flat_map(|entry| [entry.span, entry.sentence]))
        .chain(reading.formulas.iter().map(|formula| formula.span))
        .chain(reading.blocks.iter().map(|(_, span)| *span))
        .chain(reading.containers.iter().map(|(_, span)| *span))
        .chain(reading.arguments.iter().map(|argument| argument.span))
        .chain([Span::new(0, present.text.len())])
        .filter(|span| span.start <= offset && offset <= span.end)
        .collect();
    // The end of a span belongs to it only where no other begins.
    spans.sort_by_key(|span| (span.len(), span.end == offset, span.start));
    let lines = LineIndex::new(&present.text);
    let mut nested: Vec<Span> = Vec::new();
    for span in spans {
        match nested.last() {
            Some(last) if *last == span || !span.contains(*last) => {}
            _ => nested.push(span),
        }
    }
    let grown = nested.iter().rev().fold(None, |parent, span| {
        Some(SelectionRange {
            range: range(&lines, *span, editor.encoding),
            parent: parent.map(Box::new),
        })
    });
    grown.unwrap_or(SelectionRange {
        range: range(&lines, Span::new(offset, offset), editor.encoding),
        parent: None,
    })
}
