//! Tests of whole answers on small drafts.

use crate::exercise::{Draft, Part, Studied, lacking, subjects, unanswered, with};
use crate::{Choice, Written, variants, write, write_part};
use argument::Convention;
use checks::Settings;
use source::{Companions, Format};
use std::sync::atomic::AtomicBool;

fn written(text: &str, format: Format) -> Written {
    let stop = AtomicBool::new(false);
    write(
        text,
        format,
        &Companions::new(),
        &Settings::default(),
        &stop,
    )
    .unwrap()
}

fn places(text: &str, format: Format) -> Vec<(Option<String>, String)> {
    let draft = Draft {
        text,
        format,
        companions: &Companions::new(),
        convention: &Convention::default(),
    };
    unanswered(draft)
        .into_iter()
        .map(|own| {
            let before = &text[..own.place];
            let from = before.len().saturating_sub(12);
            let from = (from..).find(|at| before.is_char_boundary(*at)).unwrap();
            (own.title, before[from..].to_owned())
        })
        .collect()
}

#[test]
fn answered_exercises_are_left_alone() {
    let text = "**Exercise 1.** Show that $\\frac1n \\to 0$.\n\n**Proof.** Let $\\varepsilon > 0$. \
                Choose $N > \\frac1\\varepsilon$. For $n \\ge N$ we have $\\frac1n < \\varepsilon$.\n";
    assert!(places(text, Format::Markdown).is_empty());
    assert_eq!(written(text, Format::Markdown).text, text);
}

#[test]
fn answers_stand_behind_their_exercise() {
    let text = "**Exercise 1.** Show that $\\frac1n \\to 0$.\n\n**Exercise 2.** Show that \
                $\\frac2n \\to 0$. Be careful.\n\nEnd of the sheet.\n";
    let found = places(text, Format::Markdown);
    assert_eq!(found[0].1, "ac1n \\to 0$.");
    assert!(found[1].0.as_deref().is_some_and(|own| own.contains('2')));
    let text = "\\begin{problem}\nShow that $\\frac1n \\to 0$.\n\\end{problem}\nMore.\n";
    assert_eq!(places(text, Format::Latex)[0].1, "end{problem}");
}

#[test]
fn a_list_item_keeps_its_answer() {
    let text = "1. Show that $\\frac1n \\to 0$.\n\n2. Show that $\\frac2n \\to 0$.\n";
    let own = written(text, Format::Markdown);
    assert!(own.outcomes.iter().all(|own| own.trouble.is_none()));
    assert!(own.text.contains("\n   **Proof.** Let"), "{}", own.text);
    assert_eq!(
        own.text
            .lines()
            .filter(|line| line.starts_with("2. "))
            .count(),
        1
    );
}

#[test]
fn a_false_exercise_gets_a_comment() {
    let text = "**Exercise 1.** Let $f_n(x) = x^n$ for $x \\in [0,1)$. Show that $f_n \\to 0$ \
                uniformly on $[0,1)$.\n";
    let own = written(text, Format::Markdown);
    let trouble = own.outcomes[0].trouble.as_deref();
    assert_eq!(trouble, Some("the convergence is not uniform"));
    assert!(
        own.text
            .contains("<!-- No proof was written here: the convergence is not uniform. -->")
    );
    // A second run does not say it twice.
    assert_eq!(written(&own.text, Format::Markdown).text, own.text);
}

#[test]
fn other_kinds_of_exercise_are_named() {
    let text = "**Exercise 1.** Show that $\\sum_{n=1}^{\\infty} \\frac{1}{n^2}$ converges.\n";
    let own = written(text, Format::Markdown);
    assert!(own.outcomes[0].trouble.is_some());
}

#[test]
fn comments_do_not_swallow_what_follows() {
    let text = "\\begin{enumerate} \\item Show that $\\sin(n^2) \\to 0$. \\item Nothing to do. \
                \\end{enumerate}\n";
    let own = written(text, Format::Latex);
    for line in own
        .text
        .lines()
        .filter(|line| line.trim_start().starts_with('%'))
    {
        assert!(!line.contains("\\item"), "{line}");
    }
}

#[test]
fn the_same_draft_gives_the_same_text() {
    let text = "**Exercise 1.** Let $f_n(x) = \\frac{x}{1+nx^2}$. Show that $f_n \\to 0$ uniformly \
                on $\\mathbb{R}$.\n";
    assert_eq!(
        written(text, Format::Markdown),
        written(text, Format::Markdown)
    );
}

#[test]
fn variants_are_new_solved_and_the_same_again() {
    let text = "**Exercise 1.** Let $f_n(x) = \\frac{x}{n+x}$ for $x \\in [0,3]$. Show that \
                $f_n \\to 0$ uniformly on $[0,3]$.\n";
    let made = |seed| {
        let stop = AtomicBool::new(false);
        let choice = Choice { count: 2, seed };
        let (none, usual) = (Companions::new(), Settings::default());
        variants(text, Format::Markdown, &none, &usual, choice, &stop).unwrap()
    };
    let sheet = made(7);
    assert_eq!(sheet.missing, 0);
    assert_eq!(sheet, made(7));
    assert_ne!(sheet.text, made(8).text);
    let (tasks, solutions) = sheet.text.split_once("# Solutions").unwrap();
    assert_eq!(tasks.matches("uniformly on").count(), 2);
    assert_eq!(solutions.matches("**Proof.**").count(), 2);
    assert!(!tasks.contains("\\frac{x}{n + x}\n$$\nShow that $f_n \\to 0$ uniformly on $[0, 3]$"));
}

#[test]
fn a_name_that_is_used_again_means_its_own_exercise() {
    let text = "1. Let $a_n = \\frac{2n+1}{5n}$. Find the limit of $(a_n)$.\n\n2. Let $a_n = \
                \\frac{2}{n}$. Show that $a_n \\to 0$.\n\n3. Let $a_n = \\frac{n}{n+7}$. Find the \
                limit of $(a_n)$.\n";
    let own = written(text, Format::Markdown);
    for (outcome, limit) in own.outcomes.iter().zip(["\\frac{2}{5}", "0", "1"]) {
        assert_eq!(outcome.trouble, None);
        assert!(
            outcome.text.contains(&format!("a_n \\to {limit}$.")),
            "{}",
            outcome.text
        );
    }
}

#[test]
fn nothing_is_called_monotone_that_is_not() {
    let text = "**Exercise 1.** Let $f_n(x) = \\frac{x^2}{n}$ for $x \\in [-1,2]$. Show that $f_n \
                \\to 0$ uniformly on $[-1,2]$.\n";
    let own = written(text, Format::Markdown);
    assert_eq!(own.outcomes[0].trouble, None);
    assert!(!own.text.contains("increasing"), "{}", own.text);
    let rising = written(&text.replace("[-1,2]", "[0,2]"), Format::Markdown);
    assert!(rising.text.contains("increasing"), "{}", rising.text);
}

#[test]
fn an_exercise_is_answered_in_full_or_not_at_all() {
    for asked in [
        "Show that $f_n \\to 0$ uniformly on $[1,\\infty)$ but not uniformly on $[0,1]$.",
        "Is the convergence uniform on $[0,1]$? Is it on $[1,\\infty)$?",
        "Show that $f_n \\to 0$ locally uniformly on $(0,\\infty)$.",
    ] {
        let text = format!("**Exercise 1.** Let $f_n(x) = \\frac{{nx}}{{1+n^2x^2}}$. {asked}\n");
        let own = written(&text, Format::Markdown);
        assert!(own.outcomes[0].trouble.is_some(), "{}", own.text);
    }
}

const SHEET: &str = "**Exercise 1.** Let $f_n(x) = \\frac{x}{1+nx}$ for $x \\in [0, 1]$. Show that \
                     $f_n \\to 0$ uniformly on $[0, 1]$.\n\n**Exercise 2.** Show that \
                     $\\frac1n \\to 0$.\n";

/// The draft with one part written after the first exercise that lacks it.
fn with_part(text: &str, part: Part) -> Result<String, String> {
    let stop = AtomicBool::new(false);
    let settings = Settings::default();
    let draft = Draft {
        text,
        format: Format::Markdown,
        companions: &Companions::new(),
        convention: &settings.convention,
    };
    let exercise = lacking(draft, part).remove(0);
    let written = write_part(draft, &exercise, part, &settings, &stop).unwrap();
    written.map(|own| with(text, exercise.place, &own))
}

#[test]
fn scratch_work_and_proof_come_one_after_the_other() {
    let worked = with_part(SHEET, Part::ScratchWork).unwrap();
    let between = worked.find("**Scratch work.**").unwrap();
    assert!(between < worked.find("**Exercise 2.**").unwrap());
    assert!(!worked.contains("**Proof.**"));
    // Its exercise has scratch work now, and lacks the proof alone.
    let draft = Draft {
        text: &worked,
        format: Format::Markdown,
        companions: &Companions::new(),
        convention: &Convention::default(),
    };
    let titles = |part: Part| -> Vec<String> {
        let own = lacking(draft, part).into_iter();
        own.filter_map(|own| own.title).collect()
    };
    assert_eq!(titles(Part::ScratchWork), ["Exercise 2"]);
    assert_eq!(titles(Part::Both), ["Exercise 2"]);
    assert_eq!(titles(Part::Proof), ["Exercise 1", "Exercise 2"]);
    let proved = with_part(&worked, Part::Proof).unwrap();
    let proof = proved.find("**Proof.**").unwrap();
    assert!(between < proof && proof < proved.find("**Exercise 2.**").unwrap());
    assert_eq!(proved.matches("**Scratch work.**").count(), 1);
}

#[test]
fn a_proof_is_drafted_without_scratch_work() {
    let proved = with_part(SHEET, Part::Proof).unwrap();
    assert!(
        proved.contains("**Proof.** Let $\\varepsilon > 0$"),
        "{proved}"
    );
    assert!(!proved.contains("**Scratch work.**"));
}

#[test]
fn what_is_false_is_not_drafted() {
    let text = "**Exercise 1.** Let $f_n(x) = \\frac{x}{n}$ for $x \\in \\mathbb{R}$. Show that \
                $f_n \\to 0$ uniformly on $\\mathbb{R}$.\n";
    for part in [Part::ScratchWork, Part::Proof] {
        let reason = with_part(text, part).unwrap_err();
        assert_eq!(reason, "the convergence is not uniform");
    }
}

fn studied(text: &str) -> Vec<Option<(Vec<String>, String)>> {
    let draft = Draft {
        text,
        format: Format::Markdown,
        companions: &Companions::new(),
        convention: &Convention::default(),
    };
    let quoted = |own: Studied| {
        let spans = own.spans.iter().map(|span| text[span.range()].to_owned());
        (
            spans.collect(),
            format!("{:?}", own.subject.family.domain.high),
        )
    };
    let all = subjects(draft).into_iter();
    all.map(|own| own.map(quoted)).collect()
}

#[test]
fn answered_or_not_an_argument_is_about_its_sequence() {
    let proof = "\n\n**Proof.** Let $\\varepsilon > 0$. Choose $N > \\frac1\\varepsilon$. For \
                 $n \\ge N$ and $x \\in [0, 1]$ we have $|f_n(x) - 0| \\le \\frac1n < \
                 \\varepsilon$. Hence $f_n \\to 0$ uniformly on $[0, 1]$.\n";
    let exercise = SHEET.split("\n\n").next().unwrap();
    for text in [exercise.to_owned(), format!("{exercise}{proof}")] {
        let found = studied(&text);
        let [Some((spans, domain))] = found.as_slice() else {
            panic!("{found:?}");
        };
        assert!(domain.contains("value: 1"), "{domain}");
        assert!(spans[0].starts_with("f_n(x) = "), "{spans:?}");
        let claims = spans.iter().any(|own| own.starts_with("|f_n(x) - 0| \\le"));
        assert_eq!(claims, text.contains("**Proof.**"), "{spans:?}");
    }
    assert_eq!(
        studied("**Exercise 1.** Show that $\\sqrt2$ is irrational.\n"),
        [None]
    );
}

#[test]
fn a_remark_about_a_larger_domain_leaves_open_which_is_meant() {
    let text = "**Exercise 1.** Let $f_n(x) = \\frac{nx}{n+x}$ for $x \\in [0, 3]$. Determine the \
                pointwise limit and show that the convergence is uniform on $[0, 3]$.\n\n\
                **Solution.** The pointwise limit is $f(x) = x$. For $x \\in [0, 3]$ we have \
                $|f_n(x) - x| = \\frac{x^2}{n+x} \\le \\frac9n$.\n";
    assert!(studied(text)[0].is_some());
    let remark = "\nRemark: the formula makes sense for every $x \\ge 0$, and the pointwise limit \
                  is the same there. So $f_n \\to f$ uniformly on $[0, \\infty)$ as well.\n";
    assert_eq!(studied(&format!("{text}{remark}")), [None]);
}

#[test]
fn inside_an_item_there_is_no_scratch_work_alone() {
    let text = "\\begin{exercise}\n\\begin{enumerate}\n\\item Show that $\\frac1n \\to 0$.\n\
                \\item Show that $\\frac2n \\to 0$.\n\\end{enumerate}\n\\end{exercise}\n";
    let draft = Draft {
        text,
        format: Format::Latex,
        companions: &Companions::new(),
        convention: &Convention::default(),
    };
    let bare = lacking(draft, Part::ScratchWork);
    assert_eq!(bare.len(), 2);
    for own in &bare {
        assert!(
            own.bare
                && own
                    .subject
                    .as_ref()
                    .is_err_and(|own| own.contains("no heading"))
        );
    }
    assert!(
        lacking(draft, Part::Proof)
            .iter()
            .all(|own| own.subject.is_ok())
    );
}
