//! Every fixture's review says what its comments expect, and the comments change nothing.

use tests::draft::{Draft, in_parallel, reviewed};
use tests::fixtures::{change_without_comments, fixtures, judge, report};

fn all_keep(rule: impl Fn(&Draft) -> Vec<String> + Sync) {
    let fixtures = fixtures();
    let results = in_parallel(&fixtures, |fixture| (fixture.name.clone(), rule(fixture)));
    let clean = results.iter().all(|(_, problems)| problems.is_empty());
    assert!(clean, "{}", report(&results));
}

#[test]
fn every_review_says_what_its_draft_expects() {
    all_keep(judge);
}

#[test]
fn deleting_the_expectations_changes_no_finding_but_its_line() {
    all_keep(change_without_comments);
}

#[test]
fn a_second_review_is_the_same() {
    all_keep(|fixture| {
        let once = reviewed(&fixture.text, fixture.format);
        let again = reviewed(&fixture.text, fixture.format);
        if once == again {
            Vec::new()
        } else {
            vec!["two reviews differ".to_owned()]
        }
    });
}
