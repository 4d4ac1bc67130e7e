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

const BARE_ANSWER: &str = "## Q2\n\nLet $ε > 0$ and choose $N > 1/ε$. For $n > N$ and \
$x \\in [0, 1]$ we have $|f_n(x)| \\le \\frac{1}{n} < \\eps$.\n\n## Q7\n\n$1 < 2$.\n";

const SHEET: &str = "[macros]\neps = '\\varepsilon'\n[[exercise]]\nnumber = 2\nstatement = \
'Let $f_n(x) = \\frac{x}{n+x}$ for $x \\in [0, 1]$. Show that $f_n \\to 0$ uniformly.'\n";

#[test]
fn settings_hold_for_what_lies_beside_and_below() {
    let folder = Folder::with(&[
        ("course/majorant.toml", SHEET),
        ("course/scripts/one.md", BARE_ANSWER),
        ("other/two.md", BARE_ANSWER),
        ("named.toml", SHEET),
    ]);
    let established = |arguments: &[&str]| -> Vec<Value> {
        let output = folder.run(arguments);
        let report: Value = serde_json::from_slice(&output.stdout).expect("one object");
        let arguments = report["drafts"][0]["arguments"].as_array().cloned();
        arguments
            .expect("a list")
            .iter()
            .flat_map(|one| [one["established"].clone(), one["on_sheet"].clone()])
            .collect()
    };
    let found = established(&["review", "--format", "json", "course"]);
    assert_eq!(
        (&found[0], &found[1]),
        (&Value::Bool(true), &Value::Bool(true))
    );
    assert_eq!(found[3], Value::Bool(false));
    let without = established(&["review", "--format", "json", "other"]);
    assert!(without[0] != true && without[1].is_null(), "{without:?}");
    let named = [
        "review",
        "--format",
        "json",
        "--settings",
        "named.toml",
        "other",
    ];
    assert_eq!(established(&named), found);
    let text = folder.run(&["review", "course"]);
    let text = String::from_utf8_lossy(&text.stdout).into_owned();
    assert!(
        text.contains("course/scripts/one.md: Q7 answers no exercise of"),
        "{text}"
    );
}

#[test]
fn settings_that_cannot_be_used_stop_the_run() {
    let folder = Folder::with(&[
        ("a/majorant.toml", "[conventoins]\n"),
        ("a/one.md", FALSE_STEP),
        (
            "good.toml",
            "[severity]\nstep-fails = \"hint\"\nstep-reversed = \"hint\"\n",
        ),
    ]);
    let bad = folder.run(&["review", "a"]);
    assert_eq!(bad.status.code(), Some(2));
    let told = String::from_utf8_lossy(&bad.stderr).into_owned();
    assert!(
        told.contains("majorant.toml: line 1") && told.contains("did you mean \"conventions\"?"),
        "{told}"
    );
    assert_eq!(
        folder
            .run(&["review", "--settings", "none.toml", "a"])
            .status
            .code(),
        Some(2)
    );
    let lenient = folder.run(&["review", "--settings", "good.toml", "a"]);
    assert_eq!(
        lenient.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&lenient.stdout)
    );
}

/// A draft that takes a while: many claims that are not alike.
fn long_draft(seed: usize) -> String {
    let steps = (0..12).map(|step| {
        let (a, b) = (seed * 31 + step * 7 + 3, seed + step + 2);
        format!(
            "$|\\sin({a}x) - \\sin({b}x)| \\le {}$ for all real $x$.\n",
            2
        )
    });
    format!("**Exercise 1.** We have\n\n{}", steps.collect::<String>())
}

#[test]
fn a_class_has_a_table_and_details_on_demand() {
    let folder = Folder::with(&[("class/scan.pdf", "%PDF"), ("class/majorant.toml", "")]);
    for number in 0..6 {
        folder.write(&format!("class/s{number}/a.md"), FALSE_STEP.as_bytes());
        folder.write(&format!("class/s{number}/b.md"), BARE_ANSWER.as_bytes());
    }
    let text = |arguments: &[&str]| {
        let output = folder.run(arguments);
        assert!(output.stderr.is_empty(), "progress is for terminals");
        let text = String::from_utf8(output.stdout).expect("UTF-8");
        assert!(
            text.lines().all(|line| line.chars().count() <= 100),
            "{text}"
        );
        text
    };
    let class = text(&["review", "class"]);
    assert!(
        class.contains("step-reversed  in 6 of 12 scripts"),
        "{class}"
    );
    assert!(class.contains("Of other kinds, and not read: class/scan.pdf."));
    assert!(!class.contains("majorant.toml is"));
    assert!(!class.contains("^^^"));
    let by_folder = text(&["review", "--by-folder", "class"]);
    assert!(
        by_folder.contains("step-reversed  in 6 of 6 scripts"),
        "{by_folder}"
    );
    let details = text(&["review", "--details", "class"]);
    assert_eq!(details.matches("a.md:3:").count(), 1 + 6, "{details}");
    let few = text(&["review", "class/s1"]);
    assert!(few.contains("^^^") && !few.contains("most frequent first"));
}

#[cfg(unix)]
#[test]
fn an_interrupt_leaves_a_partial_report() {
    let folder = Folder::new();
    for number in 0..200 {
        folder.write(
            &format!("class/{number:03}.md"),
            long_draft(number).as_bytes(),
        );
    }
    let child = folder
        .command()
        .args([
            "review",
            "--format",
            "json",
            "--jobs",
            "1",
            "--output",
            "report.json",
            "class",
        ])
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the program can be started");
    std::thread::park_timeout(std::time::Duration::from_millis(1500));
    let sent = std::process::Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(sent.expect("a signal can be sent").success());
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        told.contains("interrupted: ") && told.lines().count() == 1,
        "{told}"
    );
    let report = std::fs::read(folder.path().join("report.json")).expect("a report");
    let report: Value = serde_json::from_slice(&report).expect("one object");
    let count = |key: &str| report[key].as_array().map_or(0, Vec::len);
    assert_eq!(count("drafts") + count("skipped"), 200);
    assert!(0 < count("skipped"), "the class is too short for this test");
}

#[test]
fn every_script_has_its_feedback_and_keeps_its_text() {
    let folder = Folder::with(&[("class/one.md", FALSE_STEP), ("class/two.tex", FALSE_STEP)]);
    let written = folder.run(&["review", "class", "--feedback", "class/feedback"]);
    assert_eq!(written.status.code(), Some(1));
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("a file");
    let feedback = read("class/feedback/one.md");
    assert!(feedback.contains("a person decides the mark"), "{feedback}");
    assert!(
        feedback.contains("Try it: put") && !feedback.contains("\\ge"),
        "{feedback}"
    );
    // The next run does not review the feedback.
    let again = folder.run(&[
        "review",
        "class",
        "--feedback",
        "class/feedback",
        "--show-fixes",
    ]);
    let again = String::from_utf8_lossy(&again.stdout).into_owned();
    assert!(again.contains("2 drafts"), "{again}");
    assert!(read("class/feedback/one.md").contains("\\ge"));
    assert!(read("class/feedback/two.md").contains("# Feedback on two.tex"));
    // A slip of the pen must not cost the scripts.
    let slip = folder.run(&["review", "class", "--feedback", "class"]);
    assert_eq!(slip.status.code(), Some(2));
    assert_eq!(read("class/one.md"), FALSE_STEP);
    assert_eq!(
        folder
            .run(&["review", "class", "--show-fixes"])
            .status
            .code(),
        Some(2)
    );
}
