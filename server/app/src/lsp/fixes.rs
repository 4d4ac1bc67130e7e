//! Quick fixes: replacements that the engine has proved to mend a fault.

use super::diagnostics::Published;
use super::documents::Current;
use super::editor::Editor;
use super::place::{clamp, range};
use crate::report::escape::one_line;
use crate::report::wrap::shorten;
use checks::Replacement;
use source::Span;
use source::text::position::LineIndex;
use std::collections::HashMap;
use tower_lsp::lsp_types::{
    CodeAction, CodeActionContext, CodeActionKind, CodeActionOrCommand, Diagnostic,
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, Position, Range,
    TextDocumentEdit, TextEdit, Url, WorkspaceEdit,
};

/// Columns of a quotation in a fix's title.
const QUOTE_COLUMNS: usize = 40;

/// A finding of the review that has a replacement, seen in the current text.
struct Fixable<'current> {
    published: &'current Published,
    replacement: &'current Replacement,
    /// Where the replaced text stands now.
    target: Span,
    /// Where the finding stands now.
    range: Range,
}

/// The fixes for what an editor asks about.
pub(crate) fn at(
    current: &Current,
    asked: Range,
    context: &CodeActionContext,
    editor: &Editor,
    url: &Url,
) -> Vec<CodeActionOrCommand> {
    let wanted = context.only.as_ref().is_none_or(|kinds| {
        kinds
            .iter()
            .any(|kind| kind.as_str().is_empty() || *kind == CodeActionKind::QUICKFIX)
    });
    if !wanted {
        return Vec::new();
    }
    let lines = LineIndex::new(&current.text);
    let fixable = fixable(current, &lines, editor);
    select(&fixable, asked, &context.diagnostics)
        .into_iter()
        .map(|one| CodeActionOrCommand::CodeAction(action(one, current, editor, url)))
        .collect()
}

fn fixable<'current>(
    current: &'current Current,
    lines: &LineIndex<'_>,
    editor: &Editor,
) -> Vec<Fixable<'current>> {
    let findings = &current.reviewed.review.findings;
    current
        .reviewed
        .published
        .iter()
        .filter_map(|published| {
            let finding = findings.get(published.finding?)?;
            let replacement = finding.replacement.as_ref()?;
            let place = current.drift.newer(finding.span)?;
            Some(Fixable {
                published,
                replacement,
                target: current.drift.newer(replacement.span)?,
                range: range(lines, place, editor.encoding),
            })
        })
        .collect()
}

/// Those that the editor named, by code, message and line (columns may be counted in any way,
/// and a whole file may be given as the range); if it named none of ours, those in the range;
/// if there are none, those on its lines.
fn select<'all>(
    all: &'all [Fixable<'all>],
    asked: Range,
    named: &[Diagnostic],
) -> Vec<&'all Fixable<'all>> {
    let is_named = |one: &&Fixable<'_>| {
        let own = &one.published.diagnostic;
        named.iter().any(|diagnostic| {
            let line = diagnostic.range.start.line;
            diagnostic.code == own.code
                && diagnostic.message == own.message
                && (line == own.range.start.line || line == one.range.start.line)
        })
    };
    let in_range =
        |one: &&Fixable<'_>| one.range.start <= asked.end && asked.start <= one.range.end;
    let on_lines = |one: &&Fixable<'_>| {
        one.range.start.line <= asked.end.line && asked.start.line <= one.range.end.line
    };
    let tries: [&dyn Fn(&&Fixable<'_>) -> bool; 3] = [&is_named, &in_range, &on_lines];
    tries
        .iter()
        .map(|choose| all.iter().filter(|one| choose(one)).collect::<Vec<_>>())
        .find(|chosen| !chosen.is_empty())
        .unwrap_or_default()
}

fn action(one: &Fixable<'_>, current: &Current, editor: &Editor, url: &Url) -> CodeAction {
    let new = shorten(&one_line(&one.replacement.text), QUOTE_COLUMNS);
    let old = current.text.get(one.target.range()).unwrap_or_default();
    let old = shorten(&one_line(old), QUOTE_COLUMNS);
    let title = if old.is_empty() {
        format!("Insert {new}")
    } else {
        format!("Write {new} in place of {old}")
    };
    CodeAction {
        title,
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: Some(vec![one.published.diagnostic.clone()]),
        edit: Some(edit_at(
            (&current.text, current.version),
            one.target,
            &one.replacement.text,
            editor,
            url,
        )),
        is_preferred: Some(true),
        ..CodeAction::default()
    }
}

/// The edit of a draft, given as text and version, that puts `new` in the place of the target.
pub(super) fn edit_at(
    (text, version): (&str, i32),
    target: Span,
    new: &str,
    editor: &Editor,
    url: &Url,
) -> WorkspaceEdit {
    let lines = LineIndex::new(text);
    let edit = if editor.counts_as_agreed {
        TextEdit {
            range: range(&lines, target, editor.encoding),
            new_text: new.to_owned(),
        }
    } else {
        whole_lines(target, new, text, &lines)
    };
    if editor.versioned_edits {
        let document = TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier {
                uri: url.clone(),
                version: Some(version),
            },
            edits: vec![OneOf::Left(edit)],
        };
        return WorkspaceEdit {
            document_changes: Some(DocumentChanges::Edits(vec![document])),
            ..WorkspaceEdit::default()
        };
    }
    WorkspaceEdit {
        changes: Some(HashMap::from([(url.clone(), vec![edit])])),
        ..WorkspaceEdit::default()
    }
}

/// The edit as a replacement of whole lines, which has no columns to be counted wrongly.
fn whole_lines(target: Span, new: &str, text: &str, lines: &LineIndex<'_>) -> TextEdit {
    let first = lines.report(target.start).line - 1;
    let last = lines.report(target.end).line - 1;
    let start = lines.line_start(first);
    let end = lines.line_start(last + 1);
    let before = text.get(start..target.start).unwrap_or_default();
    let after = text.get(target.end..end).unwrap_or_default();
    TextEdit {
        range: Range {
            start: Position::new(clamp(first), 0),
            end: Position::new(clamp(last + 1), 0),
        },
        new_text: format!("{before}{new}{after}"),
    }
}
