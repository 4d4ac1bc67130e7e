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

/// The drafts that a list of the corpus names.
fn listed(list: &str) -> BTreeSet<String> {
    let list = project().join("tests/corpora/hands").join(list);
    fs::read_to_string(&list)
        .unwrap_or_else(|error| panic!("{error}"))
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .map(str::to_owned)
        .collect()
}

/// The drafts of which something holds, by their file names.
fn those<'a>(
    results: &'a [(String, Vec<String>, Vec<String>)],
    holds: impl Fn(&[String]) -> bool + 'a,
) -> BTreeSet<String> {
    results
        .iter()
        .filter(|(_, serious, _)| holds(serious))
        .filter_map(|(name, _, _)| name.rsplit('/').next().map(str::to_owned))
        .collect()
}

#[test]
fn right_drafts_are_left_alone() {
    let results = told("right");
    let known = listed("alarms.txt");
    let alarmed = those(&results, |serious| !serious.is_empty());
    let new: Vec<String> = results
        .iter()
        .filter(|(name, serious, faults)| {
            let own = name.rsplit('/').next().unwrap_or_default();
            !faults.is_empty() || !serious.is_empty() && !known.contains(own)
        })
        .map(|(name, serious, faults)| format!("{name}: {serious:?} {faults:?}"))
        .collect();
    assert!(new.is_empty(), "{}", new.join("\n"));
    assert_eq!(alarmed, known, "what is left alone now leaves the list");
}

#[test]
fn mistakes_that_are_told_stay_told() {
    let results = told("wrong");
    let untold = those(&results, <[String]>::is_empty);
    assert_eq!(
        untold,
        listed("untold.txt"),
        "what is told now leaves the list"
    );
    let faults: Vec<&String> = results.iter().flat_map(|(_, _, faults)| faults).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}
