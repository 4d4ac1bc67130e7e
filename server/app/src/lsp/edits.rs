//! Several changes of a draft as one edit of the protocol.

use super::editor::Editor;
use super::place::{clamp, range};
use source::Span;
use source::text::position::LineIndex;
use std::collections::HashMap;
use tower_lsp::lsp_types::{
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, Position, Range,
    TextDocumentEdit, TextEdit, Url, WorkspaceEdit,
};

/// A stretch of a text and what shall stand there.
pub(crate) type Change = (Span, String);

/// Changes that lie apart, in the order of the text, as an edit of that version of the draft.
pub(crate) fn workspace_edit(
    text: &str,
    version: i32,
    changes: &[Change],
    editor: &Editor,
    url: &Url,
) -> WorkspaceEdit {
    let lines = LineIndex::new(text);
    let edits: Vec<TextEdit> = if editor.counts_as_agreed {
        let exact = changes.iter().map(|(span, new)| TextEdit {
            range: range(&lines, *span, editor.encoding),
            new_text: new.clone(),
        });
        exact.collect()
    } else {
        whole_lines(text, &lines, changes)
    };
    if editor.versioned_edits {
        let document = TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier {
                uri: url.clone(),
                version: Some(version),
            },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        };
        return WorkspaceEdit {
            document_changes: Some(DocumentChanges::Edits(vec![document])),
            ..WorkspaceEdit::default()
        };
    }
    WorkspaceEdit {
        changes: Some(HashMap::from([(url.clone(), edits)])),
        ..WorkspaceEdit::default()
    }
}

/// The changes as replacements of whole lines, which have no columns to be counted wrongly.
fn whole_lines(text: &str, lines: &LineIndex<'_>, changes: &[Change]) -> Vec<TextEdit> {
    let line_of = |offset: usize| lines.report(offset).line - 1;
    let mut edits = Vec::new();
    let mut rest = changes;
    while let Some((first, _)) = rest.first() {
        let top = line_of(first.start);
        let mut bottom = line_of(first.end);
        let mut count = 1;
        while let Some((span, _)) = rest.get(count)
            && line_of(span.start) <= bottom
        {
            bottom = bottom.max(line_of(span.end));
            count += 1;
        }
        let (start, end) = (lines.line_start(top), lines.line_start(bottom + 1));
        let (own, others) = rest.split_at(count);
        edits.push(TextEdit {
            range: Range {
                start: Position::new(clamp(top), 0),
                end: Position::new(clamp(bottom + 1), 0),
            },
            new_text: applied(text, start..end, own),
        });
        rest = others;
    }
    edits
}

/// A stretch of a text with the changes inside of it carried out.
pub(crate) fn applied(text: &str, within: std::ops::Range<usize>, changes: &[Change]) -> String {
    let mut new = String::with_capacity(within.len());
    let mut at = within.start;
    for (span, change) in changes {
        new.push_str(text.get(at..span.start).unwrap_or_default());
        new.push_str(change);
        at = span.end;
    }
    new.push_str(text.get(at..within.end).unwrap_or_default());
    new
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_of_one_line_are_one_edit() {
        let text = "ε one\nε two ε\nthree\nfour ε";
        let spans = text.match_indices('ε');
        let changes: Vec<Change> = spans
            .map(|(at, old)| (Span::new(at, at + old.len()), "e".to_owned()))
            .collect();
        let lines = LineIndex::new(text);
        let edits = whole_lines(text, &lines, &changes);
        let seen: Vec<(u32, u32, &str)> = edits
            .iter()
            .map(|edit| (edit.range.start.line, edit.range.end.line, &*edit.new_text))
            .collect();
        assert_eq!(
            seen,
            [(0, 1, "e one\n"), (1, 2, "e two e\n"), (3, 4, "four e")]
        );
    }
}
