//! What is known about the formula under the pointer, in words.

use super::about::{self, Line};
use super::aside::Picture;
use super::documents::Current;
use super::editor::Editor;
use super::place::range;
use super::reading::Present;
use crate::limits;
use crate::picture;
use crate::report::escape::one_line;
use crate::report::words;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use checks::ClaimReport;
use source::Span;
use source::text::position::LineIndex;
use tower_lsp::lsp_types::{Hover, HoverContents, MarkupContent, MarkupKind};

/// Most claims told at once: the middle of a chain belongs to two links.
const MOST: usize = 2;

/// The hover at a byte of the current text.
pub(crate) fn at(
    current: &Current,
    present: &Present,
    offset: usize,
    editor: &Editor,
) -> Option<Hover> {
    let mut found: Vec<(Span, &ClaimReport)> = current
        .reviewed
        .review
        .claims
        .iter()
        .filter_map(|claim| Some((current.drift.newer(claim.span)?, claim)))
        .filter(|(span, _)| span.start <= offset && offset <= span.end)
        .collect();
    // The end of a span belongs to it only where nothing else begins.
    if found.iter().any(|(span, _)| offset < span.end) {
        found.retain(|(span, _)| offset < span.end);
    }
    found.sort_by_key(|(span, claim)| (claim.verdict.is_none(), span.len(), span.start));
    // Beside a claim, the bare role of a formula inside it says nothing new.
    if found
        .first()
        .is_some_and(|(_, claim)| claim.verdict.is_some())
    {
        found.retain(|(_, claim)| claim.verdict.is_some());
    }
    found.truncate(MOST);
    let name = about::lines(present, current, offset);
    let span = match found.first() {
        Some((span, _)) => *span,
        None => present.name_at(offset)?.1,
    };
    let mut texts: Vec<String> = found
        .iter()
        .map(|(_, claim)| words_of(claim, editor))
        .collect();
    texts.extend(name.map(|lines| of_name(&lines, editor)));
    let (kind, rule) = if editor.markdown {
        (MarkupKind::Markdown, "\n\n---\n\n")
    } else {
        (MarkupKind::PlainText, "\n\n")
    };
    let lines = LineIndex::new(&current.text);
    Some(Hover {
        contents: HoverContents::Markup(MarkupContent {
            kind,
            value: texts.join(rule),
        }),
        range: Some(range(&lines, span, editor.encoding)),
    })
}

/// Everything about a claim, in the markup that the editor draws.
pub(crate) fn words_of(claim: &ClaimReport, editor: &Editor) -> String {
    if editor.markdown {
        markdown(claim)
    } else {
        plain(claim)
    }
}

/// What is told of a name, each line as a paragraph of its own.
fn of_name(lines: &[Line], editor: &Editor) -> String {
    let written = lines.iter().map(|line| match line {
        Line::Formula(text) if editor.markdown => code(text),
        Line::Words(text) if editor.markdown => escape(text),
        Line::Formula(text) | Line::Words(text) => text.clone(),
    });
    let rule = if editor.markdown { "\n\n" } else { "\n" };
    written.collect::<Vec<_>>().join(rule)
}

/// The hover with the picture of an error term below it: drawn, or in letters where the editor
/// draws no pictures.
pub(super) fn with_picture(mut hover: Hover, picture: &Picture, editor: &Editor) -> Hover {
    let HoverContents::Markup(content) = &mut hover.contents else {
        return hover;
    };
    let Picture { chart, caption } = picture;
    let drawn = Some(chart)
        .filter(|_| editor.markdown && editor.pictures)
        .and_then(picture::alone)
        .filter(|text| text.len() <= limits::PICTURE_BYTES);
    let shown = match drawn {
        Some(text) => format!(
            "![{}](data:image/svg+xml;base64,{})",
            escape(&one_line(&chart.title)),
            STANDARD.encode(text)
        ),
        None if editor.markdown => {
            format!(
                "```text\n{}```",
                picture::letters(chart).replace("```", "'''")
            )
        }
        None => picture::letters(chart),
    };
    let caption = one_line(caption);
    let more = if editor.markdown {
        format!("\n\n---\n\n{shown}\n\n{}", escape(&caption))
    } else {
        format!("\n\n{shown}\n{caption}")
    };
    content.value.push_str(&more);
    hover
}

/// Verdict and role in one line.
fn head(claim: &ClaimReport) -> (String, Option<&'static str>) {
    let role = claim.role.map(|role| role.word());
    let verdict = claim
        .verdict
        .map(|verdict| capital(words::verdict(verdict)));
    match verdict {
        Some(verdict) => (verdict, role.map(as_noun)),
        None => (role.map_or("Formula", described).to_owned(), None),
    }
}

fn as_noun(role: &'static str) -> &'static str {
    match role {
        "choice" => "a choice",
        "conclusion" => "the conclusion",
        "reason" => "a reason",
        "step" => "a step",
        other => other,
    }
}

/// What a formula that claims nothing does.
fn described(role: &str) -> &'static str {
    match role {
        "definition" => "A definition",
        "let" => "Introduces a name",
        "assumption" => "An assumption",
        "range" => "Says for which values this holds",
        "aim" => "What is to be shown",
        "condition" => "A condition",
        "rejected" => "Not claimed here",
        "mention" => "Named here, nothing claimed",
        _ => "Formula",
    }
}

fn markdown(claim: &ClaimReport) -> String {
    let (verdict, role) = head(claim);
    let mut parts = vec![match role {
        Some(role) => format!("**{verdict}** ({role})"),
        None => format!("**{verdict}**"),
    }];
    if let Some(reading) = &claim.reading {
        // In a fence nothing of the mathematics can be taken for markup.
        parts.push(format!(
            "```text\n{}\n```",
            one_line(reading).replace("```", "'''")
        ));
    }
    if let Some(shown) = &claim.counterexample {
        let (point, _) = words::sides(shown);
        let point = if point.is_empty() {
            "Here".to_owned()
        } else {
            format!("At {}", code(&point))
        };
        parts.push(format!(
            "{point}:\n\n- left side: {}\n- right side: {}",
            code(&shown.left),
            code(&shown.right)
        ));
    }
    if let Some(evidence) = claim.evidence.as_deref().filter(|one| !told(claim, one)) {
        parts.push(escape(&one_line(evidence)));
    }
    parts.join("\n\n")
}

fn plain(claim: &ClaimReport) -> String {
    let (verdict, role) = head(claim);
    let mut parts = vec![match role {
        Some(role) => format!("{verdict} ({role})"),
        None => verdict,
    }];
    parts.extend(claim.reading.as_deref().map(one_line));
    parts.extend(
        claim
            .counterexample
            .as_ref()
            .map(words::counterexample)
            .map(|one| one_line(&one)),
    );
    let evidence = claim.evidence.as_deref().filter(|one| !told(claim, one));
    parts.extend(evidence.map(one_line));
    parts.join("\n")
}

/// Whether the evidence says no more than the numbers that are shown anyway.
fn told(claim: &ClaimReport, evidence: &str) -> bool {
    let shown = claim.counterexample.as_ref();
    shown.is_some_and(|shown| words::tells(evidence, shown))
}

/// Inline code that may hold backticks.
fn code(text: &str) -> String {
    let text = one_line(text).replace('`', "'");
    format!("`{text}`")
}

/// Text that Markdown shows as it stands.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if matches!(
            character,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '$' | '~'
        ) {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::report::example;

    #[test]
    fn a_false_claim_shows_both_sides() {
        let review = example::review();
        let text = markdown(&review.claims[1]);
        assert!(text.starts_with("**False**\n\n```text\n"), "{text}");
        assert!(text.contains("At `n = 1, x = 1`:\n\n- left side: `1/2`\n- right side: `≈ 0.49`"));
        let text = plain(&review.claims[1]);
        assert!(text.contains("the left side is 1/2 and the right side is about 0.49"));
        assert!(!text.contains('`') && !text.contains('*'));
    }

    #[test]
    fn mathematics_is_no_markup() {
        assert_eq!(
            escape("a_n * b_n |x| \\le <c>"),
            "a\\_n \\* b\\_n \\|x\\| \\\\le \\<c\\>"
        );
        assert_eq!(code("a`b"), "`a'b`");
    }
}
