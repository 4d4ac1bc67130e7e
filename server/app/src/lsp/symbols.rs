//! The outline of a draft: its arguments.

use super::documents::Current;
use super::editor::Editor;
use super::place::range;
use crate::report::escape::one_line;
use crate::report::words;
use checks::ArgumentReport;
use source::Span;
use source::text::position::LineIndex;
use tower_lsp::lsp_types::{
    DocumentSymbol, DocumentSymbolResponse, Location, SymbolInformation, SymbolKind, Url,
};

/// The arguments as symbols.
pub(crate) fn of(current: &Current, editor: &Editor, url: &Url) -> DocumentSymbolResponse {
    let lines = LineIndex::new(&current.text);
    let arguments = current
        .reviewed
        .review
        .arguments
        .iter()
        .filter_map(|argument| Some((current.drift.around(argument.span)?, argument)));
    if editor.symbol_tree {
        let tree = arguments.map(|(span, argument)| symbol(span, argument, &lines, editor));
        return DocumentSymbolResponse::Nested(tree.collect());
    }
    let flat = arguments.map(|(span, argument)| flat(span, argument, &lines, editor, url));
    DocumentSymbolResponse::Flat(flat.collect())
}

fn name(argument: &ArgumentReport, line: usize) -> String {
    let title = argument.title.as_deref().map(one_line);
    title
        .filter(|title| !title.is_empty())
        .or_else(|| argument.aim.as_deref().map(one_line))
        .filter(|name| !name.is_empty())
        .unwrap_or_else(|| format!("Argument in line {line}"))
}

#[allow(deprecated)] // The field cannot be left out of the literal.
fn symbol(
    span: Span,
    argument: &ArgumentReport,
    lines: &LineIndex<'_>,
    editor: &Editor,
) -> DocumentSymbol {
    let line = lines.report(span.start).line;
    let head = Span::new(
        span.start,
        lines.line_end(line - 1).clamp(span.start, span.end),
    );
    DocumentSymbol {
        name: name(argument, line),
        detail: Some(words::tally(argument.tally)),
        kind: SymbolKind::CLASS,
        tags: None,
        deprecated: None,
        range: range(lines, span, editor.encoding),
        selection_range: range(lines, head, editor.encoding),
        children: None,
    }
}

#[allow(deprecated)] // The field cannot be left out of the literal.
fn flat(
    span: Span,
    argument: &ArgumentReport,
    lines: &LineIndex<'_>,
    editor: &Editor,
    url: &Url,
) -> SymbolInformation {
    SymbolInformation {
        name: name(argument, lines.report(span.start).line),
        kind: SymbolKind::CLASS,
        tags: None,
        deprecated: None,
        location: Location {
            uri: url.clone(),
            range: range(lines, span, editor.encoding),
        },
        container_name: None,
    }
}
