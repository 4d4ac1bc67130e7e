//! Runs of `majorant review` and `majorant guide`: exit status, messages, the report's shape.

#[allow(dead_code)]
mod program;

use program::Folder;
use serde_json::Value;
use std::process::Output;

const FALSE_STEP: &str = "**Exercise 1.** Let $a_n = \\frac{1}{n}$. Show that $a_n \\to 0$.\n\n\
**Proof.** Let $ε > 0$. Choose $N > 1/ε$. Then for all $n > N$ we have \
$|a_n - 0| = \\frac{1}{n} \\le \\frac{1}{2n} < ε$.\n";

const TRUE_STEPS: &str = "**Exercise 1.** Let $a_n = \\frac{1}{n}$. Show that $a_n \\to 0$.\n\n\
**Proof.** Let $ε > 0$. Choose $N > 1/ε$. Then for all $n > N$ we have \
$|a_n - 0| = \\frac{1}{n} < \\frac{1}{N} < ε$.\n";

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("reports are UTF-8")
}

fn complaints(output: &Output) -> Vec<String> {
    let text = String::from_utf8(output.stderr.clone()).expect("messages are UTF-8");
    text.lines().map(str::to_owned).collect()
}

fn json(output: &Output) -> Value {
    serde_json::from_str(&out(output)).expect("one JSON object")
}

#[test]
fn the_status_tells_errors_from_none() {
    let folder = Folder::with(&[("false.md", FALSE_STEP), ("true.md", TRUE_STEPS)]);
    let right = folder.run(&["review", "true.md"]);
    assert_eq!(right.status.code(), Some(0), "{}", out(&right));
    assert_eq!(complaints(&right), [""; 0]);
    let wrong = folder.run(&["review", "false.md"]);
    assert_eq!(wrong.status.code(), Some(1), "{}", out(&wrong));
    assert!(
        out(&wrong).contains("\\le \\frac{1}{2n}"),
        "{}",
        out(&wrong)
    );
    assert_eq!(complaints(&wrong), [""; 0]);
    assert_eq!(folder.run(&["review", "."]).status.code(), Some(1));
}

#[test]
fn what_cannot_be_done_is_one_line_and_status_two() {
    let folder = Folder::with(&[("empty/notes.txt", "x"), ("a.md", "x")]);
    for (arguments, part) in [
        (
            &["review", "missing.md"][..],
            "missing.md: no such file or folder",
        ),
        (&["review", "empty"], "empty: no draft in this folder"),
        (&["review"], "<PATH>"),
        (&["review", "--format", "poem", "a.md"], "poem"),
        (&["review", "--jobs", "0", "a.md"], "--jobs"),
        (&["review", "--nonsense", "a.md"], "--nonsense"),
        (
            &["review", "--output", "no/such/folder", "a.md"],
            "no/such/folder",
        ),
        (&["dance"], "dance"),
        (&["guide", "no-such-check"], "no-such-check"),
    ] {
        let output = folder.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let complaints = complaints(&output);
        assert_eq!(complaints.len(), 1, "{complaints:?}");
        assert!(complaints[0].starts_with("majorant: "), "{complaints:?}");
        assert!(complaints[0].contains(part), "{complaints:?}");
    }
}

#[test]
fn the_rest_is_reviewed_beside_what_cannot_be_read() {
    let folder = Folder::with(&[("good.md", TRUE_STEPS)]);
    folder.write("latin.md", b"na\xefve");
    folder.write("big.md", &vec![b'x'; 20 << 20]);
    let output = folder.run(&["review", "--format", "json", "missing.md", "."]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(complaints(&output).len(), 3);
    let report = json(&output);
    assert_eq!(report["totals"]["drafts"], 1);
    assert_eq!(report["drafts"][0]["path"], "./good.md");
    let skipped: Vec<(&str, &str)> = report["skipped"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|one| Some((one["path"].as_str()?, one["reason"].as_str()?)))
        .collect();
    assert_eq!(
        skipped,
        [
            ("missing.md", "no such file or folder"),
            ("./big.md", "larger than 8 MiB, which no draft is"),
            ("./latin.md", "not UTF-8 text (line 1)"),
        ]
    );
}

fn keys(value: &Value) -> Vec<&str> {
    let fields = value.as_object().map(|fields| fields.keys());
    fields.into_iter().flatten().map(String::as_str).collect()
}

fn has_keys(value: &Value, wanted: &[&str]) {
    for key in wanted {
        assert!(keys(value).contains(key), "{key} is missing in {value}");
    }
}

fn is_place(value: &Value) {
    for key in ["line", "column"] {
        assert!(
            value[key].as_u64().is_some_and(|number| 1 <= number),
            "{value}"
        );
    }
}

fn is_optional_text(value: &Value) {
    assert!(value.is_null() || value.is_string(), "{value}");
}

fn is_span(value: &Value) {
    is_place(&value["start"]);
    is_place(&value["end"]);
    let place = |end: &str| (value[end]["line"].as_u64(), value[end]["column"].as_u64());
    assert!(place("start") <= place("end"), "{value}");
}

fn is_argument(argument: &Value) {
    is_optional_text(&argument["title"]);
    is_optional_text(&argument["aim"]);
    is_span(argument);
    for key in ["proved", "refuted", "unsettled", "unread"] {
        assert!(argument["tally"][key].is_u64(), "{argument}");
    }
    has_keys(argument, &["title", "aim", "established", "first_finding"]);
    let established = &argument["established"];
    assert!(established.is_null() || established.is_boolean());
}

fn is_claim(claim: &Value, arguments: usize) {
    is_span(claim);
    assert!(claim["text"].is_string());
    has_keys(
        claim,
        &["reading", "role", "verdict", "evidence", "argument"],
    );
    is_optional_text(&claim["reading"]);
    is_optional_text(&claim["evidence"]);
    let roles = "step reason choice conclusion definition let assumption range aim condition \
        rejected mention";
    for (key, words) in [
        ("role", roles),
        ("verdict", "proved refuted unsettled unread"),
    ] {
        let word = claim[key].as_str();
        assert!(claim[key].is_null() || words.split(' ').any(|one| word == Some(one)));
    }
    assert!(
        claim["argument"]
            .as_u64()
            .is_some_and(|index| index < arguments as u64)
    );
}

fn is_finding(finding: &Value) {
    is_span(finding);
    let severities = ["error", "warning", "information", "hint"];
    assert!(severities.iter().any(|one| finding["severity"] == *one));
    assert!(finding["check"].is_string() && finding["message"].is_string());
    has_keys(
        finding,
        &[
            "counterexample",
            "related",
            "replacement",
            "argument",
            "claim",
        ],
    );
    if !finding["counterexample"].is_null() {
        has_keys(&finding["counterexample"], &["values", "left", "right"]);
        assert!(finding["counterexample"]["values"].is_object());
    }
    for related in finding["related"].as_array().expect("a list") {
        is_span(related);
        assert!(related["message"].is_string());
    }
    if !finding["replacement"].is_null() {
        is_span(&finding["replacement"]);
        assert!(finding["replacement"]["text"].is_string());
    }
}

#[test]
fn the_json_has_the_shape_of_the_contract() {
    let folder = Folder::with(&[("a/false.md", FALSE_STEP), ("a/true.md", TRUE_STEPS)]);
    let output = folder.run(&["review", "--format", "json", "a"]);
    let report = json(&output);
    has_keys(
        &report,
        &["format", "program", "drafts", "totals", "skipped"],
    );
    assert_eq!(report["format"], 1);
    assert_eq!(report["program"]["name"], "majorant");
    let totals = [
        "drafts",
        "proved",
        "refuted",
        "unsettled",
        "unread",
        "errors",
        "warnings",
    ];
    has_keys(&report["totals"], &totals);
    let drafts = report["drafts"].as_array().expect("a list");
    let paths: Vec<&str> = drafts
        .iter()
        .filter_map(|one| one["path"].as_str())
        .collect();
    assert_eq!(paths, ["a/false.md", "a/true.md"]);
    let mut claims = 0;
    for draft in drafts {
        let arguments = draft["arguments"].as_array().expect("a list");
        arguments.iter().for_each(is_argument);
        for claim in draft["claims"].as_array().expect("a list") {
            is_claim(claim, arguments.len());
            claims += 1;
        }
        draft["findings"]
            .as_array()
            .expect("a list")
            .iter()
            .for_each(is_finding);
    }
    assert!(0 < claims, "{report}");
    let errors = drafts
        .iter()
        .flat_map(|draft| draft["findings"].as_array().into_iter().flatten());
    let errors = errors
        .filter(|finding| finding["severity"] == "error")
        .count();
    assert_eq!(report["totals"]["errors"], errors);
    assert_eq!(output.status.code(), Some(i32::from(0 < errors)));
}

#[test]
fn the_report_is_the_same_with_any_number_of_jobs() {
    let folder = Folder::new();
    for number in 0..24 {
        let text = if number % 3 == 0 {
            FALSE_STEP
        } else {
            TRUE_STEPS
        };
        folder.write(&format!("class/{number}/script.md"), text.as_bytes());
    }
    for format in ["json", "text"] {
        let one = folder.run(&[
            "review",
            "--no-cache",
            "--format",
            format,
            "--jobs",
            "1",
            "class",
        ]);
        let two = folder.run(&[
            "review",
            "--no-cache",
            "--format",
            format,
            "--jobs",
            "2",
            "class",
        ]);
        assert_eq!(one.stdout, two.stdout);
        assert_eq!(one.status.code(), two.status.code());
        assert!(!one.stdout.is_empty());
    }
}

#[test]
fn a_report_can_be_written_to_a_file() {
    let folder = Folder::with(&[("a.md", TRUE_STEPS)]);
    let arguments = ["review", "--format", "json", "a.md"];
    let shown = folder.run(&arguments);
    let written = folder.run(&["review", "--format", "json", "--output", "out.json", "a.md"]);
    assert!(written.stdout.is_empty());
    let file = std::fs::read(folder.path().join("out.json")).expect("a report");
    assert_eq!(file, shown.stdout);
}

#[test]
fn hostile_drafts_are_survived() {
    let deep = format!(
        "Show that ${}x{}$ holds.\n",
        "(".repeat(10_000),
        ")".repeat(10_000)
    );
    let braces = format!(
        "${}1{} \\le 2$\n",
        "\\frac{1}{".repeat(10_000),
        "}".repeat(10_000)
    );
    let folder = Folder::with(&[
        ("deep.md", &deep),
        ("braces.tex", &braces),
        ("quotes.md", &">".repeat(10_000)),
        (
            "unclosed.md",
            "**Proof.** We have $n \\le 2n and so on.\n\nMore text.\n",
        ),
        ("environments.tex", &"\\begin{proof}".repeat(10_000)),
        ("empty.md", ""),
        ("mark.md", "\u{FEFF}**Proof.** $1 \\le 2$."),
        ("returns.md", "one\rtwo $1 \\le 2$\r\rthree"),
        ("zero.md", "a\0b $1 \\le 2$"),
    ]);
    let output = folder.run(&["review", "--format", "json", "."]);
    let report = json(&output);
    assert_eq!(report["totals"]["drafts"], 9, "{report}");
    assert_eq!(
        report["skipped"].as_array().map(Vec::len),
        Some(0),
        "{report}"
    );
    assert!(
        matches!(output.status.code(), Some(0 | 1)),
        "{:?}",
        output.status
    );
    assert!(
        folder
            .run(&["review", "."])
            .status
            .code()
            .is_some_and(|code| code < 2)
    );
}

#[test]
fn no_colours_without_a_terminal() {
    let folder = Folder::with(&[("false.md", FALSE_STEP)]);
    assert!(!out(&folder.run(&["review", "false.md"])).contains('\u{1b}'));
}

#[test]
fn the_text_says_once_that_a_person_decides() {
    let folder = Folder::with(&[("false.md", FALSE_STEP), ("true.md", TRUE_STEPS)]);
    let text = out(&folder.run(&["review", "."]));
    assert_eq!(text.matches("a person decides").count(), 1, "{text}");
}

#[test]
fn a_readme_is_reviewed_and_has_nothing() {
    let folder = Folder::with(&[("README.md", "# A course\n\nRead the lectures first.\n")]);
    let output = folder.run(&["review", "--format", "json", "README.md"]);
    assert_eq!(output.status.code(), Some(0));
    let report = json(&output);
    assert_eq!(report["totals"]["drafts"], 1);
    assert_eq!(
        report["drafts"][0]["findings"].as_array().map(Vec::len),
        Some(0)
    );
}

#[test]
fn help_and_version_are_no_mistakes() {
    let folder = Folder::new();
    for arguments in [
        &["--help"][..],
        &["--version"],
        &["review", "--help"],
        &["guide"],
    ] {
        let output = folder.run(arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}");
        assert!(output.stderr.is_empty());
    }
}

#[test]
fn every_check_of_the_list_has_a_page() {
    let folder = Folder::new();
    let list = out(&folder.run(&["guide"]));
    let names = list.lines().filter(|line| !line.starts_with(' '));
    let names: Vec<&str> = names
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(names.contains(&"step-fails"), "{list}");
    for name in names {
        let page = folder.run(&["guide", name]);
        assert_eq!(page.status.code(), Some(0));
        assert!(out(&page).contains(name), "{name}");
    }
}
