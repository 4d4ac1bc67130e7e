//! Which places of a draft stand beside its argument: remarks, warnings, checks by numbers, told
//! by the label of their paragraph, their heading or their environment.

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

/// Whether a place stands in a paragraph that is labelled as a remark, under such a heading, or in
/// such an environment.
pub(super) fn stands_beside(draft: &str, span: Span) -> bool {
    let before = draft.get(..span.start).unwrap_or_default();
    let paragraph = ["\n\n", "\\item", "\n- ", "\n* ", "\n> ", "\\par "]
        .iter()
        .filter_map(|border| before.rfind(border).map(|at| at + border.len()))
        .max()
        .unwrap_or(0);
    is_label(draft.get(paragraph..).unwrap_or_default())
        || heading(before).is_some_and(is_label)
        || in_environment(before)
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

/// What stands in the last heading, if another one stands before it: the first one is the title of
/// all ("Note: a series and its tail").
fn heading(before: &str) -> Option<&str> {
    let mut headings: Vec<usize> = before.match_indices("\n#").map(|(at, _)| at + 1).collect();
    headings.extend(before.starts_with('#').then_some(0));
    for command in [
        "\\section*{",
        "\\section{",
        "\\subsection*{",
        "\\subsection{",
    ] {
        let places = before.match_indices(command);
        headings.extend(places.map(|(at, _)| at + command.len()));
    }
    let last = headings.iter().max().filter(|_| headings.len() > 1)?;
    before.get(*last..)
}

fn in_environment(before: &str) -> bool {
    ENVIRONMENTS.iter().any(|name| {
        let opened = before.rfind(&format!("\\begin{{{name}}}"));
        opened.is_some_and(|opened| !before[opened..].contains(&format!("\\end{{{name}}}")))
    })
}
