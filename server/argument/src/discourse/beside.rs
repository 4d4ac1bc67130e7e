//! Which places of a draft stand beside its argument: remarks, warnings, checks by numbers, told
//! by the label of their paragraph, their heading or their environment.

use super::outline::Argument;
use source::Span;

/// How far into a paragraph its label may reach, in bytes.
const LABEL: usize = 60;

/// How the label of a paragraph beside the argument begins.
const LABELS: [&str; 45] = [
    "remark",
    "rem.",
    "rmk",
    "note:",
    "note.",
    "nb",
    "n.b.",
    "warning",
    "caution",
    "beware",
    "careful",
    "attention",
    "sanity check",
    "check:",
    "check.",
    "check by numbers",
    "cross-check",
    "cross check",
    "numerical",
    "numbers",
    "in numbers",
    "test:",
    "test with",
    "plausibility",
    "illustration",
    "typical error",
    "typical mistake",
    "common error",
    "common mistake",
    "frequent",
    "usual error",
    "wrong idea",
    "what goes wrong",
    "what went wrong",
    "comment",
    "side remark",
    "side note",
    "grading",
    "by the way",
    "digression",
    "pitfall",
    "trap",
    "history",
    "outlook",
    "sharpness",
];

/// Environments beside the argument.
const ENVIRONMENTS: [&str; 6] = ["remark", "rem", "remarks", "note", "warning", "comment"];

/// Marks the entries that stand in a paragraph that is labelled as a remark, under such a heading,
/// or in such an environment.
pub(super) fn mark(draft: &str, arguments: &mut [Argument]) {
    let places = |of: &[&str]| {
        let mut found: Vec<usize> = of
            .iter()
            .flat_map(|border| {
                let each = draft.match_indices(border);
                each.map(|(at, _)| at + border.len())
            })
            .collect();
        found.sort_unstable();
        found
    };
    let paragraphs = places(&["\n\n", "\\item", "\n- ", "\n* ", "\n> ", "\\par "]);
    let mut headings = places(&[
        "\n#",
        "\\section*{",
        "\\section{",
        "\\subsection*{",
        "\\subsection{",
    ]);
    headings.splice(..0, draft.starts_with('#').then_some(0));
    let environments = environments(draft);
    let labelled = |at: usize| draft.get(at..).is_some_and(is_label);
    for entry in arguments.iter_mut().flat_map(|own| &mut own.entries) {
        let start = entry.span.start;
        let before = |borders: &[usize]| borders.partition_point(|border| *border <= start);
        let paragraph = before(&paragraphs);
        let heading = before(&headings);
        // The first heading is the title of all ("Note: a series and its tail").
        entry.beside = labelled(paragraph.checked_sub(1).map_or(0, |own| paragraphs[own]))
            || heading > 1 && labelled(headings[heading - 1])
            || environments.iter().any(|own| own.contains(entry.span));
    }
}

/// Where the environments beside the argument stand; one that is not closed runs to the end.
fn environments(draft: &str) -> Vec<Span> {
    let mut found = Vec::new();
    for name in ENVIRONMENTS {
        let end = format!("\\end{{{name}}}");
        for (start, _) in draft.match_indices(&format!("\\begin{{{name}}}")) {
            let length = draft[start..].find(&end);
            found.push(Span::new(
                start,
                length.map_or(draft.len(), |length| start + length),
            ));
        }
    }
    found
}

fn is_label(text: &str) -> bool {
    let mut end = LABEL.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let mut label = text[..end].to_lowercase();
    for markup in [
        "\\noindent",
        "\\smallskip",
        "\\medskip",
        "\\bigskip",
        "\\begin",
    ] {
        label = label.replace(markup, " ");
    }
    for command in [
        "\\emph{",
        "\\textbf{",
        "\\textit{",
        "\\paragraph{",
        "\\subparagraph{",
        "\\underline{",
        "\\it ",
        "\\bf ",
    ] {
        label = label.replace(command, "");
    }
    let label = label.trim_start_matches(|sign: char| {
        sign.is_whitespace()
            || matches!(
                sign,
                '*' | '_' | '#' | '(' | '[' | '>' | '-' | '{' | '"' | '“' | '⚠'
            )
    });
    LABELS.iter().any(|known| label.starts_with(known))
}
