//! One change in the text of a draft that is known to be right.

use crate::draft::{Draft, project};
use crate::expectation::without_comments;
use std::fs;

/// A change of a right draft.
#[derive(Clone, Copy, Debug)]
pub struct Mutation {
    /// The file below `tests/fixtures/drafts`.
    pub draft: &'static str,
    /// Texts and what replaces them; each occurs exactly once.
    pub changes: &'static [(&'static str, &'static str)],
    /// Why the changed draft is false (numbers on which it fails), or why it is still right.
    pub because: &'static str,
    /// Checks one of which must find it; none where it is still right.
    pub found_by: &'static [&'static str],
}

/// The text of a right draft, without expectations.
#[must_use]
pub fn right_draft(name: &str) -> Draft {
    let path = project().join("tests/fixtures/drafts").join(name);
    let text =
        fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let format = crate::draft::format_of(&path).expect("a draft's ending");
    let text = without_comments(&text, format);
    Draft {
        name: name.to_owned(),
        path,
        text,
        format,
    }
}

impl Mutation {
    /// The changed draft.
    ///
    /// # Panics
    /// If a text to be replaced does not occur exactly once: then the draft was edited and the
    /// reason given for the mutation must be thought through again.
    #[must_use]
    pub fn apply(&self) -> Draft {
        let mut draft = right_draft(self.draft);
        for (from, to) in self.changes {
            let count = draft.text.matches(from).count();
            assert_eq!(count, 1, "`{from}` occurs {count} times in {}", self.draft);
            draft.text = draft.text.replace(from, to);
        }
        draft
    }
}

/// A text with a one-letter name replaced wherever it stands in a run of letters that is one of
/// `runs` and no control word; prose and commands stay.
#[must_use]
pub fn renamed(text: &str, from: char, to: char, runs: &[&str]) -> String {
    let mut output = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        if !first.is_ascii_alphabetic() {
            output.push(first);
            rest = &rest[first.len_utf8()..];
            continue;
        }
        let length = rest
            .find(|c: char| !c.is_ascii_alphabetic())
            .unwrap_or(rest.len());
        let (run, after) = rest.split_at(length);
        if !output.ends_with('\\') && runs.contains(&run) {
            output.extend(run.chars().map(|c| if c == from { to } else { c }));
        } else {
            output.push_str(run);
        }
        rest = after;
    }
    output
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_renamed_in_formulas_only() {
        let text = "Now $f_n(x) \\in \\frac1n e^{-nx}$ in n.";
        let expected = "Now $f_m(x) \\in \\frac1m e^{-mx}$ in m.";
        assert_eq!(renamed(text, 'n', 'm', &["n", "nx"]), expected);
    }
}
