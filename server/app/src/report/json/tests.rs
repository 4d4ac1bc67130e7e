//! The report for programs against its golden text.

use super::*;
use crate::report::example;

/// The golden text: key by key in the order of the contract.
#[test]
fn the_example_is_reported_to_the_letter() {
    let expected = include_str!("example.json").replace("VERSION", env!("CARGO_PKG_VERSION"));
    let rendered = render(&example::run()).unwrap();
    assert_eq!(rendered, expected);
}

#[test]
fn an_empty_run_is_one_object() {
    let rendered = render(&Run::default()).unwrap();
    let value: serde_json::Value = serde_json::from_str(&rendered).unwrap();
    assert_eq!(value["format"], 1);
    assert_eq!(value["drafts"], serde_json::json!([]));
    assert_eq!(value["totals"]["drafts"], 0);
}

#[test]
fn a_byte_order_mark_has_no_column() {
    let mut run = example::run();
    run.drafts.truncate(1);
    run.drafts[0].draft.text.insert(0, '\u{FEFF}');
    let review = &mut run.drafts[0].review;
    review.findings.truncate(1);
    review.findings[0].span = Span::new(3, 4);
    let value: serde_json::Value = serde_json::from_str(&render(&run).unwrap()).unwrap();
    assert_eq!(value["drafts"][0]["findings"][0]["start"]["column"], 1);
}
