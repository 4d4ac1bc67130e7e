//! The guide: a check's page, pages on settings and comments, or the list of all.

use crate::report::wrap::hang;
use crate::settings::nearest;
use checks::catalogue::{CHECKS, find};

mod read;

/// A page that belongs to no check: name, one sentence, and what writes it.
type Topic = (&'static str, &'static str, fn() -> String);

const TOPICS: [Topic; 4] = [
    (
        "comments",
        "What comments in a draft can tell the program.",
        || include_str!("guide/comments.md").to_owned(),
    ),
    (
        "notation",
        "How formulas may be typed, sign by sign.",
        read::notation,
    ),
    (
        "phrases",
        "What words tell of formulas, phrase by phrase.",
        read::phrases,
    ),
    (
        "settings",
        "What a course can agree upon in majorant.toml.",
        || include_str!("guide/settings.md").to_owned(),
    ),
];

/// The list of checks: name, usual severity, one sentence; then the other pages.
pub(crate) fn list(columns: usize) -> String {
    let longest = CHECKS
        .iter()
        .map(|check| check.name.len())
        .max()
        .unwrap_or(0);
    let mut out = String::new();
    let checks = CHECKS
        .iter()
        .map(|check| (check.name, check.severity.word(), check.summary));
    let topics = TOPICS
        .iter()
        .map(|(name, summary, _)| (*name, "page", *summary));
    for (name, kind, summary) in checks.chain(topics) {
        let line = format!("{name:longest$}  {kind:11}  ");
        let margin = line.len();
        let summary = hang(summary, columns.max(margin + 24), margin, margin);
        out.push_str(&line);
        out.push_str(summary.trim_start());
        out.push('\n');
    }
    out
}

/// The page of a check.
///
/// # Errors
/// One line in words if there is no such check.
pub(crate) fn page(name: &str) -> Result<String, String> {
    let topic = TOPICS.iter().find(|(topic, ..)| *topic == name);
    find(name)
        .map(|check| check.page.to_owned())
        .or_else(|| topic.map(|(.., page)| page()))
        .map(|page| format!("{}\n", page.trim_end()))
        .ok_or_else(|| no_such_check(name))
}

fn no_such_check(name: &str) -> String {
    match nearest(name, CHECKS.iter().map(|check| check.name)) {
        Some(near) => format!("there is no check {name:?}; did you mean {near}?"),
        None => format!("there is no check {name:?}; majorant guide lists all"),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_check_is_listed_and_has_its_page() {
        let list = list(92);
        assert_eq!(
            list.lines().filter(|line| !line.starts_with(' ')).count(),
            CHECKS.len() + TOPICS.len()
        );
        for (topic, summary, _) in TOPICS {
            assert!(list.contains(summary));
            assert!(page(topic).unwrap().starts_with(&format!("# {topic}\n")));
        }
        for check in CHECKS {
            assert!(list.contains(check.name));
            assert!(page(check.name).unwrap().ends_with('\n'));
        }
    }

    #[test]
    fn pages_of_what_is_read_show_every_row() {
        let phrases = page("phrases").unwrap();
        for row in argument::discourse::phrase::rows() {
            let line = format!("\n- {}\n", row.phrase);
            assert!(phrases.contains(&line), "{}", row.phrase);
        }
        let notation = page("notation").unwrap();
        for row in argument::notation::spelling::spellings() {
            assert!(notation.contains(&format!("\n- {}: ", row.meaning)));
        }
        assert!(notation.contains("\\varepsilon"));
    }

    #[test]
    fn unknown_names_are_refused() {
        assert!(
            page("no such check at all")
                .unwrap_err()
                .contains("lists all")
        );
        if let Some(check) = CHECKS.first() {
            let misspelt = format!("{}x", check.name);
            assert!(page(&misspelt).unwrap_err().contains(check.name));
        }
    }
}
