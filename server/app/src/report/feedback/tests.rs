//! Feedback on the example: what it tells and what it keeps to itself.

use super::*;
use crate::report::example;

#[test]
fn the_cure_is_told_only_if_asked_for() {
    let mut run = example::run();
    for finding in &mut run.drafts[0].review.findings {
        finding.check = checks::catalogue::find(finding.check.name).unwrap();
    }
    let scripts = class::scripts(&run, false);
    let kept = feedback(&scripts[0], false);
    assert!(kept.starts_with(MARK));
    for told in [
        "# Feedback on one.md",
        "a person decides the mark",
        "What is right: 1 claim holds: `N > 1/ε` (line 5).",
        "The first thing to look at is in line 5:\n\n> `|f_n(x)| \\le \\frac{1}{2n}`",
        "The bound \\|fₙ(x)\\| ≤ 1/(2n) fails.",
        "Try it: put n = 1, x = 1: the left side is 1/2 and the right side is about 0.49.",
        "A hint: Ask where on the domain",
        "Not decided, which is no reproach",
        "Not understood by the program",
        "## Exercise 2\n\nBoth claims hold",
    ] {
        assert!(kept.contains(told), "{told}\n{kept}");
    }
    assert!(
        !kept.contains("majorant) is 1/n") && !kept.contains("\\frac{1}{n}`"),
        "{kept}"
    );
    let whole = feedback(&scripts[0], true);
    assert!(
        whole.contains("What would be right: A bound without x (a majorant) is 1/n."),
        "{whole}"
    );
    assert!(whole.contains("This would mend it: `\\frac{1}{n}` in place of `\\frac{1}{2n}`."));
}

#[test]
fn nothing_is_markup_that_was_not_meant() {
    assert_eq!(plain("a*b_c <b>"), "a\\*b\\_c \\<b\\>");
    assert_eq!(plain("- x"), "\\- x");
    assert_eq!(code("a`b``c"), "```a`b``c```");
    assert_eq!(code("`x"), "`` `x ``");
}

#[test]
fn files_stay_in_their_folder_and_apart() {
    let mut taken = BTreeSet::new();
    let mut place = |name: &str| place(name, &mut taken).to_string_lossy().into_owned();
    assert_eq!(place("a/one.tex"), "a/one.md");
    assert_eq!(place("a/one.md"), "a/one.md.md");
    assert_eq!(place("../../x.md"), "x.md");
    assert_eq!(place("/etc/x.tex"), "etc/x.md");
    assert_eq!(place("ann"), "ann.md");
}

#[test]
fn what_is_not_ours_is_not_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let run = example::run();
    write(&run, false, false, folder.path()).unwrap();
    write(&run, false, true, folder.path()).unwrap();
    fs::write(folder.path().join("one.md"), "A script.").unwrap();
    let refused = write(&run, false, false, folder.path()).unwrap_err();
    assert!(refused.contains("one.md is there already"), "{refused}");
    assert_eq!(
        fs::read_to_string(folder.path().join("one.md")).unwrap(),
        "A script."
    );
}
