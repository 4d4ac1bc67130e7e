//! Drafts by many hands that had not seen the program: right ones are left alone, and of the
//! wrong ones those that are told stay told.

use checks::Severity;
use std::collections::BTreeSet;
use std::fs;
use tests::draft::{drafts_below, in_parallel, project, reviewed};
use tests::invariants;

/// The drafts of a folder of the corpus, each with its errors and warnings and the rules that its
/// review breaks.
fn told(folder: &str) -> Vec<(String, Vec<String>, Vec<String>)> {
    let drafts = drafts_below(&project().join("tests/corpora/hands").join(folder));
    in_parallel(&drafts, |draft| {
        let review = reviewed(&draft.text, draft.format);
        let serious = review
            .findings
            .iter()
            .filter(|finding| matches!(finding.severity, Severity::Error | Severity::Warning))
            .map(|finding| format!("{}: {}", finding.check.name, finding.message))
            .collect();
        let faults = invariants::faults(&draft.text, &review);
        (draft.name.clone(), serious, faults)
    })
}

#[test]
fn right_drafts_are_left_alone() {
    let alarms: Vec<String> = told("right")
        .into_iter()
        .filter(|(_, serious, faults)| !serious.is_empty() || !faults.is_empty())
        .map(|(name, serious, faults)| format!("{name}: {serious:?} {faults:?}"))
        .collect();
    assert!(alarms.is_empty(), "{}", alarms.join("\n"));
}

#[test]
fn mistakes_that_are_told_stay_told() {
    let list = project().join("tests/corpora/hands/untold.txt");
    let list = fs::read_to_string(&list).unwrap_or_else(|error| panic!("{error}"));
    let expected: BTreeSet<&str> = list
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .collect();
    let results = told("wrong");
    let untold: BTreeSet<&str> = results
        .iter()
        .filter(|(_, serious, _)| serious.is_empty())
        .filter_map(|(name, _, _)| name.rsplit('/').next())
        .collect();
    assert_eq!(untold, expected, "what is told now leaves the list");
    let faults: Vec<&String> = results.iter().flat_map(|(_, _, faults)| faults).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}
