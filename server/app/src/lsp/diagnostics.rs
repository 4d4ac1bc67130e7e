//! A review as diagnostics.

use super::editor::Editor;
use super::place::range;
use super::policy::{NOT_READ, Notice, notices};
use crate::report::escape::{one_line, visible_lines};
use crate::report::words::counted;
use checks::{Finding, Review, Severity};
use source::text::position::LineIndex;
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Url,
};

/// The name by which editors show where a diagnostic comes from.
pub(crate) const SOURCE: &str = "majorant";

/// A diagnostic with the finding that it shows.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Published {
    /// As sent.
    pub(crate) diagnostic: Diagnostic,
    /// Position of the finding in the review.
    pub(crate) finding: Option<usize>,
}

/// What is published of a review.
pub(crate) fn of(review: &Review, text: &str, url: &Url, editor: &Editor) -> Vec<Published> {
    let lines = LineIndex::new(text);
    let place = |span| range(&lines, span, editor.encoding);
    notices(review)
        .into_iter()
        .filter_map(|notice| match notice {
            Notice::Finding(index) => {
                let finding = review.findings.get(index)?;
                let related = related(finding, &lines, url, editor);
                Some(Published {
                    diagnostic: Diagnostic {
                        range: place(finding.span),
                        message: message(finding, &lines, editor),
                        related_information: related,
                        ..bare(finding.check.name, finding.severity)
                    },
                    finding: Some(index),
                })
            }
            Notice::NothingChecked {
                span,
                unread,
                reason,
            } => {
                let formulas = counted(unread, "formula was", "formulas were");
                let because = if reason.is_empty() {
                    String::new()
                } else {
                    format!(" The first: {}.", one_line(&reason).trim_end_matches('.'))
                };
                let message =
                    format!("Nothing here was checked: {formulas} not understood.{because}");
                Some(Published {
                    diagnostic: Diagnostic {
                        range: place(span),
                        message,
                        ..bare(NOT_READ, Severity::Hint)
                    },
                    finding: None,
                })
            }
        })
        .collect()
}

fn bare(code: &str, severity: Severity) -> Diagnostic {
    Diagnostic {
        severity: Some(match severity {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
            Severity::Information => DiagnosticSeverity::INFORMATION,
            Severity::Hint => DiagnosticSeverity::HINT,
        }),
        code: Some(NumberOrString::String(code.to_owned())),
        source: Some(SOURCE.to_owned()),
        ..Diagnostic::default()
    }
}

/// The message; where an editor shows no related places, with their lines below.
fn message(finding: &Finding, lines: &LineIndex<'_>, editor: &Editor) -> String {
    let mut message = visible_lines(&finding.message);
    if !editor.related_places {
        for related in &finding.related {
            let line = lines.report(related.span.start).line;
            message.push_str(&format!("\nLine {line}: {}", one_line(&related.message)));
        }
    }
    message
}

fn related(
    finding: &Finding,
    lines: &LineIndex<'_>,
    url: &Url,
    editor: &Editor,
) -> Option<Vec<DiagnosticRelatedInformation>> {
    let places = finding
        .related
        .iter()
        .map(|related| DiagnosticRelatedInformation {
            location: Location {
                uri: url.clone(),
                range: range(lines, related.span, editor.encoding),
            },
            message: one_line(&related.message),
        });
    (editor.related_places && !finding.related.is_empty()).then(|| places.collect())
}

/// The diagnostic for a draft that is too large.
pub(crate) fn too_large() -> Diagnostic {
    let most = source::limits::DRAFT_BYTES >> 20;
    Diagnostic {
        message: format!("This draft is larger than {most} MiB and is not reviewed."),
        ..bare(NOT_READ, Severity::Hint)
    }
}
