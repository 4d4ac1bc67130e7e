//! What a `majorant.toml` may say, and what is told of one that cannot be used.

use super::*;
use checks::Severity;

fn fault(text: &str) -> String {
    read::course(text).unwrap_err()
}

#[test]
fn a_whole_file_is_read() {
    let course = read::course(
        r##"
[conventions]
naturals = 0
thresholds = "real"

[severity]
step-not-strict = "warning"
hypothesis-missing = "off"

[macros]
eps = '\varepsilon'
'\norm' = '\lVert #1 \rVert_{#2}'

[[exercise]]
number = 3
title = "Roots"
statement = """
Let $f_n(x) = x/n$
on $[0, 1]$."""
"##,
    )
    .unwrap();
    assert!(course.settings.convention.zero_is_natural);
    assert!(course.settings.convention.real_thresholds);
    let severities = &course.settings.severities;
    assert_eq!(severities["step-not-strict"], Some(Severity::Warning));
    assert_eq!(severities["hypothesis-missing"], None);
    assert_eq!(
        course.macros,
        "\\newcommand{\\norm}[2]{\\lVert #1 \\rVert_{#2}}\n\\newcommand{\\eps}{\\varepsilon}\n"
    );
    assert_eq!(course.exercises[0].name(), "exercise 3");
    assert_eq!(
        course.exercises[0].statement,
        "Let $f_n(x) = x/n$ on $[0, 1]$."
    );
    assert_eq!(read::course("").unwrap(), Course::default());
}

#[test]
fn what_is_not_known_is_an_error_with_its_line() {
    for (text, told) in [
        (
            "\n[convention]\n",
            "line 2: there is no key \"convention\" in the file; did you mean \"conventions\"?",
        ),
        (
            "[conventions]\nnaturalls = 0",
            "line 2: there is no key \"naturalls\" in [conventions]; did you mean \"naturals\"?",
        ),
        ("[conventions]\nnaturals = 2", "line 2: naturals is 0 or 1"),
        ("[conventions]\nthresholds = 1", "line 2: thresholds is"),
        (
            "[severity]\nstep-failed = \"off\"",
            "line 2: there is no check \"step-failed\"; did you mean \"step-fails\"?",
        ),
        ("[severity]\nstep-fails = \"mild\"", "line 2: a severity is"),
        ("[macros]\neps2 = ''", "line 2: a macro's name has letters"),
        ("[macros]\neps = '{'", "line 2: the braces"),
        ("[[exercise]]\nnumbr = 1", "did you mean \"number\"?"),
        ("[[exercise]]\nstatement = 'x'", "needs a number or a title"),
        ("[[exercise]]\nnumber = 'three'", "holds no number"),
        ("[exercise]\nnumber = 1", "line 1: exercises begin with"),
        ("a = = 1", "line 1: "),
        ("conventions = 1", "line 1: this is no table"),
    ] {
        let fault = fault(text);
        assert!(fault.contains(told), "{text}: {fault}");
        assert!(!fault.contains('\n'), "{fault}");
    }
}

#[test]
fn what_the_sheet_says_and_is_not_understood_is_told_once() {
    let mut course = read::course(
        "[[exercise]]\nnumber = 1\nstatement = 'Let $f_n(x) = \\oops{x}$ for $x \\in [0, 1]$.'",
    )
    .unwrap();
    "majorant.toml".clone_into(&mut course.file);
    let remarks = course.unread();
    assert_eq!(remarks.len(), 1, "{remarks:?}");
    assert!(
        remarks[0].starts_with("majorant.toml: exercise 1: "),
        "{remarks:?}"
    );
    "\\newcommand{\\oops}[1]{#1/n}".clone_into(&mut course.macros);
    assert_eq!(course.unread(), [""; 0]);
}

/// The page of the guide shows a file that is right, and names every key.
#[test]
fn the_guide_tells_the_truth() {
    let page = include_str!("../guide/settings.md");
    let example = page.split("```toml").nth(1).unwrap();
    let example = example.split("```").next().unwrap();
    let course = read::course(example).unwrap();
    assert_eq!(course.unread(), [""; 0]);
    assert_eq!(course.exercises.len(), 1);
    for key in read::KEYS.concat() {
        assert!(example.contains(key), "{key}");
    }
}
