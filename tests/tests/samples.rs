//! The reviews of the demo course say what `samples.expect` expects.

use source::Span;
use std::collections::BTreeSet;
use std::fs;
use tests::draft::{drafts_below, in_parallel, project, reviewed};
use tests::expectation::{Listed, in_list};
use tests::fixtures::report;
use tests::invariants;
use tests::verify::{Unlisted, departures};

fn listed() -> Vec<Listed> {
    let path = project().join("tests/samples.expect");
    let list =
        fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    in_list(&list).unwrap_or_else(|problem| panic!("samples.expect: {problem}"))
}

#[test]
fn every_sample_says_what_is_expected() {
    let listed = listed();
    let samples = drafts_below(&project().join("samples"));
    let results = in_parallel(&samples, |sample| {
        let mut expectations: Vec<_> = listed
            .iter()
            .filter(|listed| listed.path == sample.name)
            .flat_map(|listed| listed.expectations.clone())
            .collect();
        for expectation in &mut expectations {
            expectation.block = Span::new(0, sample.text.len());
        }
        let review = reviewed(&sample.text, sample.format);
        let mut problems = departures(
            &sample.text,
            &review,
            &expectations,
            Unlisted::FailIfSerious,
        );
        problems.extend(invariants::faults(&sample.text, &review));
        (sample.name.clone(), problems)
    });
    let clean = results.iter().all(|(_, problems)| problems.is_empty());
    assert!(clean, "{}", report(&results));
}

#[test]
fn the_list_names_every_sample_once_and_nothing_else() {
    let names: Vec<String> = listed().into_iter().map(|listed| listed.path).collect();
    let unique: BTreeSet<&String> = names.iter().collect();
    assert_eq!(unique.len(), names.len(), "a sample is named twice");
    let samples = drafts_below(&project().join("samples"));
    let there: BTreeSet<&String> = samples.iter().map(|sample| &sample.name).collect();
    assert_eq!(unique, there);
}
