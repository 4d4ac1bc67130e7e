//! Drafts in many hands: which role every formula plays, under which scope; and laws that hold
//! for any text.

mod calculus;
mod hands;
mod laws;
mod meanings;
mod naming;
mod parts;
mod recursion;

use super::outline::{Argument, Content, Entry, Outline, Role};
use crate::Convention;
use source::{Companions, Document, Format};

/// A draft, read: Markdown, or LaTeX where it shows a command that only LaTeX has.
fn read(draft: &str) -> (Document, Outline) {
    let tex = draft.contains("\\begin{document}")
        || draft.contains("\\begin{proof}")
        || draft.contains("\\section");
    let format = if tex { Format::Latex } else { Format::Markdown };
    let document = source::read(draft, format, &Companions::new());
    let outline = super::read(draft, &document, &Convention::default());
    (document, outline)
}

/// An entry's text on one line.
fn text(draft: &str, entry: &Entry) -> String {
    draft[entry.span.range()]
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

/// An entry as `role: text`; `?` for an unknown role, `!` behind the role of an unread entry.
fn line(draft: &str, entry: &Entry) -> String {
    let role = entry.role.map_or("?", Role::word);
    let unread = if matches!(entry.content, Content::Unread { .. }) {
        "!"
    } else {
        ""
    };
    format!("{role}{unread}: {}", text(draft, entry))
}

/// Every argument's entries, mentions left out, titles between `#`.
fn lines(draft: &str) -> Vec<String> {
    let (_, outline) = read(draft);
    let mut lines = Vec::new();
    for argument in &outline.arguments {
        if let Some(title) = &argument.title {
            lines.push(format!("# {title}"));
        }
        let told = argument
            .entries
            .iter()
            .filter(|entry| entry.role != Some(Role::Mention));
        lines.extend(told.map(|entry| line(draft, entry)));
    }
    lines
}

/// Compares the lines with what is expected, one a line.
fn check(draft: &str, expected: &str) {
    let expected: Vec<String> = expected
        .lines()
        .map(|line| line.trim().to_owned())
        .filter(|line| !line.is_empty())
        .collect();
    assert_eq!(lines(draft), expected, "in {draft}");
}

/// The first argument.
fn argument(draft: &str) -> Argument {
    read(draft)
        .1
        .arguments
        .into_iter()
        .next()
        .expect("an argument")
}

/// The texts of the entries in force at the claim with that text.
fn scope(draft: &str, claim: &str) -> Vec<String> {
    let argument = argument(draft);
    let entry = argument
        .entries
        .iter()
        .find(|entry| text(draft, entry) == claim)
        .unwrap_or_else(|| panic!("no entry {claim} in {draft}"));
    entry
        .scope
        .iter()
        .map(|position| text(draft, &argument.entries[*position]))
        .collect()
}
