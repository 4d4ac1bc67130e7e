//! Runs of `majorant scratch`: status, messages, and the draft that it writes.

#[allow(dead_code)]
mod program;

use program::Folder;
use std::process::Output;

const WITHIN_REACH: &str = "# Sheet\n\n**Exercise 1.** Show that $\\frac{3n+1}{n+2} \\to 3$.\n";

const BEYOND: &str = "**Exercise 1.** Let $a_n = \\sin(n^2)$. Show that $a_n \\to 0$.\n";

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("drafts are UTF-8")
}

fn complaints(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("messages are UTF-8")
}

#[test]
fn a_draft_comes_back_with_its_proof() {
    let folder = Folder::with(&[("sheet.md", WITHIN_REACH)]);
    let written = folder.run(&["scratch", "sheet.md"]);
    assert_eq!(written.status.code(), Some(0), "{}", complaints(&written));
    let text = out(&written);
    assert!(text.starts_with(WITHIN_REACH.trim_end()), "{text}");
    assert!(
        text.contains("**Scratch work.**") && text.contains("**Proof.**"),
        "{text}"
    );
    let again = folder.run(&["scratch", "sheet.md", "--output", "solutions.md"]);
    assert_eq!(again.status.code(), Some(0));
    assert_eq!(out(&again), "");
    let review = folder.run(&["review", "--no-cache", "solutions.md"]);
    assert_eq!(review.status.code(), Some(0), "{}", out(&review));
    // What has a proof is left alone.
    let twice = folder.run(&["scratch", "solutions.md"]);
    assert_eq!(twice.status.code(), Some(0));
    assert_eq!(out(&twice), text);
}

#[test]
fn what_is_beyond_us_is_said_in_a_comment() {
    let folder = Folder::with(&[("sheet.md", BEYOND)]);
    let written = folder.run(&["scratch", "sheet.md"]);
    assert_eq!(written.status.code(), Some(1));
    assert!(
        out(&written).contains("<!-- No proof was written here: "),
        "{}",
        out(&written)
    );
    assert!(complaints(&written).contains("sheet.md: Exercise 1: "));
    assert!(!out(&written).contains("Proof."));
}

#[test]
fn bad_input_is_one_line_and_status_two() {
    let folder = Folder::with(&[("a.md", "x"), ("b.md", "y")]);
    for (path, part) in [("missing.md", "no such file"), (".", "give one draft")] {
        let output = folder.run(&["scratch", path]);
        assert_eq!(output.status.code(), Some(2), "{path}");
        let told = complaints(&output);
        assert!(told.contains(part) && told.lines().count() == 1, "{told}");
    }
}
