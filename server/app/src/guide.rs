//! The guide: a check's page, or the list of all checks.

use crate::report::wrap::hang;
use checks::Check;
use checks::catalogue::{CHECKS, find};

/// The list of checks: name, usual severity, one sentence.
pub(crate) fn list(columns: usize) -> String {
    let longest = CHECKS
        .iter()
        .map(|check| check.name.len())
        .max()
        .unwrap_or(0);
    let mut out = String::new();
    for check in CHECKS {
        let severity = check.severity.word();
        let line = format!("{:longest$}  {severity:11}  ", check.name);
        let margin = line.len();
        let summary = hang(check.summary, columns.max(margin + 24), margin, margin);
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
    find(name)
        .map(|check| format!("{}\n", check.page.trim_end()))
        .ok_or_else(|| no_such_check(name))
}

fn no_such_check(name: &str) -> String {
    let near = CHECKS
        .iter()
        .map(|check| (distance(name, check), check.name))
        .min();
    match near {
        Some((steps, near)) if steps <= 4 => {
            format!("there is no check {name:?}; did you mean {near}?")
        }
        _ => format!("there is no check {name:?}; majorant guide lists all"),
    }
}

/// Letters to change, insert or remove to get from one name to the other.
fn distance(name: &str, check: &Check) -> usize {
    let wanted: Vec<char> = check.name.chars().collect();
    let mut row: Vec<usize> = (0..=wanted.len()).collect();
    for (at, letter) in name.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = at + 1;
        for (column, &other) in wanted.iter().enumerate() {
            let change = diagonal + usize::from(letter != other);
            diagonal = row[column + 1];
            row[column + 1] = change.min(diagonal + 1).min(row[column] + 1);
        }
    }
    row[wanted.len()]
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
            CHECKS.len()
        );
        for check in CHECKS {
            assert!(list.contains(check.name));
            assert!(page(check.name).unwrap().ends_with('\n'));
        }
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
