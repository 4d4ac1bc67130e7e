//! Reports of `majorant review` for mark books and code hosts, as files and on standard output.

#[allow(dead_code)]
mod program;

use program::Folder;
use serde_json::Value;

const FALSE_STEP: &str = "**Exercise 1.** Let $a_n = \\frac{1}{n}$. Show that $a_n \\to 0$.\n\n\
**Proof.** Let $ε > 0$. Choose $N > 1/ε$. Then for all $n > N$ we have \
$|a_n - 0| = \\frac{1}{n} \\le \\frac{1}{2n} < ε$.\n";

#[test]
fn the_mark_book_has_a_row_for_everybody() {
    let folder = Folder::with(&[
        ("class/=cmd.md", FALSE_STEP),
        ("class/blank.md", "Nothing.\n"),
    ]);
    folder.write("class/latin.md", b"na\xefve");
    let output = folder.run(&["review", "--format", "csv", "class"]);
    assert_eq!(output.status.code(), Some(2));
    let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
    let rows: Vec<csv::StringRecord> = reader
        .records()
        .map(|record| record.expect("a row of as many cells as the first"))
        .collect();
    let drafts: Vec<&str> = rows.iter().filter_map(|row| row.get(0)).collect();
    assert_eq!(
        drafts,
        ["class/=cmd.md", "class/blank.md", "class/latin.md"]
    );
    assert_eq!(rows[0].get(9), Some("false"));
    assert!(
        rows[0]
            .get(12)
            .is_some_and(|message| message.contains("n = ")),
        "{rows:?}"
    );
    let bare = folder
        .command()
        .args(["review", "--format", "csv", "=cmd.md"])
        .current_dir(folder.path().join("class"))
        .output();
    let bare = String::from_utf8(bare.expect("the program can be started").stdout).expect("UTF-8");
    assert!(bare.contains("\r\n'=cmd.md,"), "{bare}");
}

#[test]
fn code_hosts_are_told_every_finding() {
    let folder = Folder::with(&[("class/a b.md", FALSE_STEP)]);
    let read = |format: &str| -> Value {
        let output = folder.run(&["review", "--format", format, "class"]);
        assert_eq!(output.status.code(), Some(1));
        serde_json::from_slice(&output.stdout).expect("one object")
    };
    let (log, report) = (read("sarif"), read("json"));
    let results = log["runs"][0]["results"].as_array().expect("a list");
    let findings = report["drafts"][0]["findings"].as_array().expect("a list");
    assert_eq!(results.len(), findings.len());
    assert_eq!(results[0]["ruleId"], findings[0]["check"]);
    assert_eq!(
        results[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"],
        "class/a%20b.md"
    );
}
