//! Roles of formulas in sentences by many hands: how many are found, how many of those that are
//! said are right, and that neither falls.

use argument::Role;
use std::fmt::Write as _;
use std::fs;
use tests::draft::project;
use tests::fixtures::REWRITE;
use tests::roles::{Figure, compare, passages};

const HALVES: [&str; 2] = ["unseen", "families"];

/// The figures as text: a row for each half and role, with what it counts.
fn table() -> (String, Vec<String>) {
    let mut text = String::from(
        "# Written by the test `roles` with MAJORANT_REWRITE=1. A ratio may only rise.\n\
         # half role: found of those marked, right of those said\n",
    );
    let mut differences = Vec::new();
    for half in HALVES {
        let (figures, told) = compare(&passages(half));
        differences.extend(told);
        for role in Role::ALL {
            let own = figures.get(&role).copied().unwrap_or_default();
            let Figure {
                marked,
                found,
                said,
                right,
            } = own;
            let word = role.word();
            let _ = writeln!(
                text,
                "{half} {word}: {found} of {marked}, {right} of {said}"
            );
        }
    }
    (text, differences)
}

/// The rows of a table: what they are of, and their two ratios.
fn rows(table: &str) -> Vec<(&str, [(u64, u64); 2])> {
    let ratio = |text: &str| {
        let (part, whole) = text.split_once(" of ").expect("a ratio");
        let number = |text: &str| text.parse().expect("a number");
        (number(part), number(whole))
    };
    let rows = table.lines().filter(|line| !line.starts_with('#'));
    rows.map(|row| {
        let (name, ratios) = row.split_once(": ").expect("a row");
        let (found, right) = ratios.split_once(", ").expect("two ratios");
        (name, [ratio(found), ratio(right)])
    })
    .collect()
}

/// A ratio of nothing is whole: what is never said is never said wrongly.
fn below(new: (u64, u64), old: (u64, u64)) -> bool {
    let whole = |(part, of): (u64, u64)| if of == 0 { (1, 1) } else { (part, of) };
    let ((part, of), (part_before, of_before)) = (whole(new), whole(old));
    part * of_before < part_before * of
}

#[test]
fn no_figure_falls() {
    let path = project().join("tests/corpora/roles/figures.txt");
    let (new, differences) = table();
    let stored = fs::read_to_string(&path).unwrap_or_default();
    let told = differences.join("\n");
    if std::env::var_os("MAJORANT_TELL").is_some() {
        panic!("{told}\n{new}");
    }
    if stored == new {
        return;
    }
    let now = rows(&new);
    let fallen: Vec<&str> = rows(&stored)
        .into_iter()
        .filter(|(name, ratios)| {
            let Some((_, now)) = now.iter().find(|(own, _)| own == name) else {
                return true;
            };
            now.iter()
                .zip(ratios)
                .any(|(now, before)| below(*now, *before))
        })
        .map(|(name, _)| name)
        .collect();
    if fallen.is_empty() && std::env::var_os(REWRITE).is_some() {
        fs::write(&path, &new).expect("the figures can be written");
    }
    panic!("{told}\nthe figures are out of date; fallen: {fallen:?}");
}
