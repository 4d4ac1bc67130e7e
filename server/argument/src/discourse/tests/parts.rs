//! Arguments and zones: how a draft is split.

use super::super::outline::Zone;
use super::{argument, check, read, text};

fn titles(draft: &str) -> Vec<Option<String>> {
    read(draft)
        .1
        .arguments
        .into_iter()
        .map(|argument| argument.title)
        .collect()
}

fn named(titles: &[&str]) -> Vec<Option<String>> {
    titles
        .iter()
        .map(|title| Some((*title).to_owned()))
        .collect()
}

#[test]
fn a_draft_without_markers_is_one_argument_without_title() {
    let draft = "Let $a_n=\\frac1n$. Show that $a_n\\to0$.\n\nLet $\\varepsilon>0$. Then $\\frac1n<\\varepsilon$ for all $n>\\frac1\\varepsilon$.";
    assert_eq!(titles(draft), vec![None]);
}

#[test]
fn headings_bold_words_and_numbers_title_arguments() {
    assert_eq!(
        titles("## Exercise 1\n\nLet $a_n=1/n$.\n\n## Exercise 2\n\nLet $b_n=1/n$."),
        named(&["Exercise 1", "Exercise 2"])
    );
    assert_eq!(
        titles("**Problem 3.** Let $a_n=1/n$.\n\n**Problem 4.** Let $b_n=1/n$."),
        named(&["Problem 3", "Problem 4"])
    );
    assert_eq!(
        titles("Ex. 1 Let $a_n=1/n$. Show $a_n\\to0$.\n\nEx. 2 Let $b_n=1/n$. Show $b_n\\to0$."),
        named(&["Ex. 1", "Ex. 2"])
    );
    assert_eq!(
        titles("(1) aₙ = 1/n; claim: aₙ → 0.\n\n(2) bₙ = 2/n; claim: bₙ → 0."),
        named(&["1", "2"])
    );
}

#[test]
fn environments_title_arguments() {
    let draft = "\\begin{document}\\begin{exercise}Let $a_n=\\frac1n$. Show $a_n\\to0$.\\end{exercise}\\begin{proof}$\\frac1n\\le1$.\\end{proof}\\begin{exercise}Let $b_n=\\frac2n$.\\end{exercise}\\end{document}";
    assert_eq!(titles(draft), named(&["Exercise 1", "Exercise 2"]));
    let zones: Vec<Zone> = argument(draft)
        .entries
        .iter()
        .map(|entry| entry.zone)
        .collect();
    assert_eq!(zones, vec![Zone::Statement, Zone::Statement, Zone::Proof]);
}

#[test]
fn parts_inherit_the_definition_and_have_their_own_domain() {
    let draft = "**Exercise 2.** Let $f_n(x)=\\frac{1}{1+nx}$. Show that $f_n\\to0$ uniformly (a) on $[1,\\infty)$, (b) on $[a,\\infty)$ for every $a>0$.\n\n**Solution.** (a) For $x\\ge1$ we have $f_n(x)\\le\\frac1n$.\n\n(b) For $x\\ge a$ we have $f_n(x)\\le\\frac1{na}$.";
    assert_eq!(
        titles(draft),
        named(&["Exercise 2", "Exercise 2(a)", "Exercise 2(b)"])
    );
    check(
        draft,
        r"# Exercise 2
        definition: f_n(x)=\frac{1}{1+nx}
        aim: f_n\to0
        # Exercise 2(a)
        range: x\ge1
        step: f_n(x)\le\frac1n
        # Exercise 2(b)
        range: a>0
        range: x\ge a
        step: f_n(x)\le\frac1{na}",
    );
    let (_, outline) = read(draft);
    assert!(outline.arguments[0].aim.is_none());
    let second = &outline.arguments[2];
    assert_eq!(second.definitions.len(), 1);
    let error = second.error.as_ref().expect("an error term");
    assert!(error.uniform);
    assert_eq!(format!("{:?}", error.points), "[x]");
}

#[test]
fn numbered_questions_about_one_sequence_are_parts() {
    let draft = "Let $f_n(x)=\\frac xn$ for $x\\ge0$.\n\n1. Show that $f_n\\to0$ pointwise.\n2. Is the convergence uniform on $[0,\\infty)$?\n\n**Solution.**\n\n1. Fix $x\\ge0$. Then $\\frac xn\\to0$.\n2. No, since $f_n(n)=1$.";
    assert_eq!(
        titles(draft),
        vec![None, Some("1".to_owned()), Some("2".to_owned())]
    );
}

#[test]
fn scratch_work_stands_before_the_word_proof() {
    let draft = "**Exercise 1.** Let $a_n=\\frac{1}{n+1}$. Show $a_n\\to0$.\n\n**Scratch work.** We want $\\frac{1}{n+1}<\\varepsilon$, so $n>\\frac1\\varepsilon$.\n\n**Proof.** Let $\\varepsilon>0$.";
    let zones: Vec<(String, Zone)> = argument(draft)
        .entries
        .iter()
        .map(|entry| (text(draft, entry), entry.zone))
        .collect();
    assert_eq!(zones[1].1, Zone::Statement);
    assert_eq!(
        zones[2],
        ("\\frac{1}{n+1}<\\varepsilon".to_owned(), Zone::Scratch)
    );
    assert_eq!(zones.last().expect("an entry").1, Zone::Proof);
}
