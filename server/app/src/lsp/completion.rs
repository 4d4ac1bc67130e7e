//! Completion: in a formula the names in force there with what they are, at the start of a line
//! templates of proofs.

use super::about;
use super::editor::Editor;
use super::place::range;
use super::reading::Present;
use super::templates::{self, Defaults};
use crate::aided::Named;
use argument::Origin;
use source::Span;
use source::text::position::LineIndex;
use std::collections::BTreeMap;
use tower_lsp::lsp_types::{
    CompletionItem, CompletionItemKind, CompletionTextEdit, InsertTextFormat, TextEdit,
};

/// What may stand at a byte.
pub(crate) fn at(present: &Present, offset: usize, editor: &Editor) -> Vec<CompletionItem> {
    let word = word_before(&present.text, offset);
    if is_in_formula(present, offset) {
        names(present, offset, word, editor)
    } else if opens_line(&present.text, word.start) && begins_template(&present.text, word) {
        proofs(present, offset, word, editor)
    } else {
        Vec::new()
    }
}

/// The part of a name or command that is typed already.
fn word_before(text: &str, offset: usize) -> Span {
    let before = text.get(..offset).unwrap_or_default();
    let rest = before.trim_end_matches(|letter: char| letter.is_alphabetic());
    let start = match rest.strip_suffix('\\') {
        Some(command) => command.len(),
        None => rest.len(),
    };
    Span::new(start, offset)
}

/// Whether a formula stands around the byte; one that is still being typed has no end yet.
fn is_in_formula(present: &Present, offset: usize) -> bool {
    let mut formulas = present.reading.formulas.iter();
    if formulas.any(|formula| formula.inside.start <= offset && offset <= formula.inside.end) {
        return true;
    }
    let before = present.text.get(..offset).unwrap_or_default();
    let line = before.rsplit('\n').next().unwrap_or_default();
    let mut escaped = false;
    let marks = line.chars().filter(|letter| {
        let counts = *letter == '$' && !escaped;
        escaped = *letter == '\\' && !escaped;
        counts
    });
    marks.count() % 2 == 1
}

fn opens_line(text: &str, start: usize) -> bool {
    let before = text.get(..start).unwrap_or_default();
    before
        .rsplit('\n')
        .next()
        .unwrap_or_default()
        .trim()
        .is_empty()
}

/// Whether the word is a beginning of what templates are called: whoever writes a sentence is not
/// to be disturbed.
fn begins_template(text: &str, word: Span) -> bool {
    let word = text.get(word.range()).unwrap_or_default().to_lowercase();
    templates::ALL
        .iter()
        .any(|template| template.label.to_lowercase().starts_with(&word))
}

fn names(present: &Present, offset: usize, word: Span, editor: &Editor) -> Vec<CompletionItem> {
    let lines = LineIndex::new(&present.text);
    let replaced = range(&lines, word, editor.encoding);
    in_force(present, offset)
        .into_iter()
        .enumerate()
        .map(|(position, named)| {
            let naming = &named.naming;
            let label = about::shown(named);
            let text = typed(present, named).unwrap_or_else(|| label.clone());
            CompletionItem {
                label,
                kind: Some(match naming.origin {
                    Origin::Defined => CompletionItemKind::FUNCTION,
                    _ => CompletionItemKind::VARIABLE,
                }),
                detail: Some(about::origin(present, named)),
                sort_text: Some(format!("{position:04}")),
                filter_text: Some(text.clone()),
                text_edit: Some(CompletionTextEdit::Edit(TextEdit {
                    range: replaced,
                    new_text: text,
                })),
                ..CompletionItem::default()
            }
        })
        .collect()
}

/// The name as the draft has it, with the index where one runs.
fn typed(present: &Present, named: &Named) -> Option<String> {
    let exact = named.naming.places.iter().find(|place| place.exact)?;
    let name = present.text.get(exact.span.range())?;
    if !named.naming.indexed {
        return Some(name.to_owned());
    }
    let behind = present.text.get(exact.span.end..)?;
    let small = |letter: char| ('\u{2080}'..='\u{209c}').contains(&letter);
    let length = match behind.strip_prefix('_') {
        Some(index) if index.starts_with('{') => 1 + index.find('}')? + 1,
        Some(index) => 1 + index.chars().next()?.len_utf8(),
        None => behind.len() - behind.trim_start_matches(small).len(),
    };
    Some(format!("{name}{}", behind.get(..length)?))
}

/// Of each spelling the binding in force at a byte: the latest that was introduced before it.
/// The latest come first.
fn in_force(present: &Present, offset: usize) -> Vec<&Named> {
    let here = present
        .reading
        .arguments
        .iter()
        .map(|argument| argument.span)
        .rfind(|span| span.start <= offset);
    let mut latest: BTreeMap<(&str, bool), (usize, &Named)> = BTreeMap::new();
    for named in &present.reading.names {
        let naming = &named.naming;
        let Some(introduced) = naming.places.get(naming.introduced) else {
            continue;
        };
        let start = introduced.span.start;
        let near = present.arguments_of(named).any(|one| Some(one) == here);
        if naming.origin == Origin::Inside || offset <= start || !near {
            continue;
        }
        let key = (naming.name.as_str(), naming.indexed);
        let before = latest.get(&key).is_none_or(|(other, _)| *other <= start);
        if before {
            latest.insert(key, (start, named));
        }
    }
    let mut found: Vec<(usize, &Named)> = latest.into_values().collect();
    found.sort_by_key(|(start, _)| std::cmp::Reverse(*start));
    found.into_iter().map(|(_, named)| named).collect()
}

fn proofs(present: &Present, offset: usize, word: Span, editor: &Editor) -> Vec<CompletionItem> {
    let lines = LineIndex::new(&present.text);
    let replaced = range(&lines, word, editor.encoding);
    let defaults = defaults(present, offset);
    templates::ALL
        .iter()
        .map(|template| {
            let plain = template.plain(present.format, &defaults);
            let text = if editor.features.snippets {
                template.snippet(present.format, &defaults)
            } else {
                plain.clone()
            };
            CompletionItem {
                label: template.label.to_owned(),
                kind: Some(CompletionItemKind::SNIPPET),
                detail: Some("template of a proof".to_owned()),
                documentation: Some(tower_lsp::lsp_types::Documentation::String(plain)),
                insert_text_format: Some(if editor.features.snippets {
                    InsertTextFormat::SNIPPET
                } else {
                    InsertTextFormat::PLAIN_TEXT
                }),
                text_edit: Some(CompletionTextEdit::Edit(TextEdit {
                    range: replaced,
                    new_text: text,
                })),
                ..CompletionItem::default()
            }
        })
        .collect()
}

/// The sequence of which the exercise above speaks.
fn defaults(present: &Present, offset: usize) -> Defaults {
    let mut sequences = in_force(present, offset)
        .into_iter()
        .filter(|named| named.naming.origin == Origin::Defined && named.naming.indexed);
    Defaults {
        sequence: sequences
            .next_back()
            .map(|named| named.naming.name.as_str().to_owned()),
    }
}
