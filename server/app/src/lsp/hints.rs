//! Verdicts in the text: a mark behind each claim, and a tally above each argument.

use super::documents::Current;
use super::editor::Editor;
use super::folds::with_heading;
use super::hover;
use super::place::{of, position, range};
use super::policy::is_recognised;
use super::reading::Present;
use crate::report::words;
use checks::VerdictWord;
use source::Span;
use source::text::position::LineIndex;
use tower_lsp::lsp_types::{
    CodeLens, Command, InlayHint, InlayHintLabel, InlayHintTooltip, MarkupContent, MarkupKind,
    Range,
};

/// The marks of a range of the draft.
pub(crate) fn hints(current: &Current, wanted: Range, editor: &Editor) -> Vec<InlayHint> {
    let lines = LineIndex::new(&current.text);
    let from = lines.offset(of(wanted.start), editor.encoding);
    let to = lines.offset(of(wanted.end), editor.encoding);
    let review = &current.reviewed.review;
    let recognised: Vec<bool> = review
        .arguments
        .iter()
        .enumerate()
        .map(|(index, argument)| is_recognised(review, index, argument))
        .collect();
    review
        .claims
        .iter()
        .filter(|claim| recognised.get(claim.argument) == Some(&true))
        .filter_map(|claim| Some((current.drift.newer(claim.span)?.end, claim, claim.verdict?)))
        .filter(|(end, ..)| from <= *end && *end <= to)
        .map(|(end, claim, verdict)| {
            let value = hover::words_of(claim, editor);
            InlayHint {
                position: position(&lines, end, editor.encoding),
                label: InlayHintLabel::String(mark(verdict)),
                kind: None,
                text_edits: None,
                tooltip: Some(if editor.markdown {
                    InlayHintTooltip::MarkupContent(MarkupContent {
                        kind: MarkupKind::Markdown,
                        value,
                    })
                } else {
                    InlayHintTooltip::String(value)
                }),
                padding_left: Some(true),
                padding_right: Some(true),
                data: None,
            }
        })
        .collect()
}

/// What holds is most of a draft and gets a sign alone; everything else is said in words.
fn mark(verdict: VerdictWord) -> String {
    let sign = match verdict {
        VerdictWord::Proved => return "✓".to_owned(),
        VerdictWord::Refuted => "✗",
        VerdictWord::Unsettled | VerdictWord::Unread => "?",
    };
    format!("{sign} {}", words::verdict(verdict))
}

/// The tallies of the arguments in which something was recognised.
pub(crate) fn lenses(current: &Current, present: &Present, editor: &Editor) -> Vec<CodeLens> {
    let review = &current.reviewed.review;
    let lines = LineIndex::new(&current.text);
    review
        .arguments
        .iter()
        .enumerate()
        .filter(|(index, argument)| is_recognised(review, *index, argument))
        .filter_map(|(_, argument)| {
            let span = with_heading(present, current.drift.around(argument.span)?);
            let line = lines.report(span.start).line;
            let title_line = Span::new(lines.line_start(line - 1), lines.line_end(line - 1));
            let mut title = words::tally(argument.tally);
            if let Some(established) = words::established(argument) {
                title.push_str(". ");
                title.push_str(established);
            }
            Some(CodeLens {
                range: range(&lines, title_line, editor.encoding),
                command: Some(Command {
                    title,
                    // Nothing happens on a click: it is only read.
                    command: String::new(),
                    arguments: None,
                }),
                data: None,
            })
        })
        .collect()
}
