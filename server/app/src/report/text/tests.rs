//! The report for people against its golden text and its promises.

use super::*;
use crate::report::example;
use checks::Review;

fn rendered(run: &Run, columns: usize) -> String {
    let paint = Paint::plain();
    let details = true;
    let by_folder = false;
    render(
        run,
        Style {
            paint,
            columns,
            details,
            by_folder,
        },
    )
}

#[test]
fn the_example_reads_well() {
    assert_eq!(rendered(&example::run(), 92), include_str!("example.txt"));
}

#[test]
fn no_line_is_wider_than_asked() {
    for columns in [72, 92, 120] {
        let text = rendered(&example::run(), columns);
        for line in text.lines() {
            assert!(width(line) <= columns, "{columns}: {line}");
        }
    }
}

#[test]
fn colours_change_no_letter() {
    let paint = Paint::coloured();
    let style = Style {
        paint,
        columns: 92,
        details: true,
        by_folder: false,
    };
    let coloured = render(&example::run(), style);
    assert!(coloured.contains('\u{1b}'));
    let mut bare = String::new();
    let mut inside = false;
    for character in coloured.chars() {
        match character {
            '\u{1b}' => inside = true,
            'm' if inside => inside = false,
            _ if inside => {}
            _ => bare.push(character),
        }
    }
    assert_eq!(bare, rendered(&example::run(), 92));
}

#[test]
fn nothing_from_a_draft_reaches_the_terminal_unescaped() {
    let mut run = example::run();
    let hostile = "\u{1b}]0;title\u{7}\u{202E}";
    let one = &mut run.drafts[0];
    one.draft.path.push_str(hostile);
    one.draft.text = one.draft.text.replace("😀", hostile);
    let review: &mut Review = &mut one.review;
    review.arguments[0].title = Some(hostile.into());
    review.arguments[0].aim = Some(hostile.into());
    for claim in &mut review.claims {
        claim.evidence = Some(hostile.into());
    }
    let finding = &mut review.findings[0];
    finding.message = hostile.into();
    finding.related[0].message = hostile.into();
    if let Some(replacement) = &mut finding.replacement {
        replacement.text = hostile.into();
    }
    if let Some(shown) = &mut finding.counterexample {
        shown.left = hostile.into();
    }
    let text = rendered(&run, 92);
    assert!(!text.contains(['\u{1b}', '\u{7}', '\u{202E}']), "{text}");
}

#[test]
fn the_advice_stands_once_at_the_end() {
    let text = rendered(&example::run(), 92);
    assert_eq!(text.matches("a person decides").count(), 1);
    assert!(text.trim_end().ends_with("a person decides."));
}

fn class(drafts: usize) -> Run {
    let mut run = example::run();
    for number in 0..drafts {
        let mut draft = example::run().drafts.remove(0);
        draft.draft.path = format!("sheets/a-rather-long-name-of-a-script-number-{number}.md");
        for finding in &mut draft.review.findings {
            finding.check = checks::catalogue::find(finding.check.name).unwrap();
        }
        run.drafts.push(draft);
    }
    run
}

#[test]
fn a_class_has_a_table_and_its_mistakes() {
    let paint = Paint::plain();
    for columns in [80, 92, 100] {
        let style = Style {
            paint,
            columns,
            details: false,
            by_folder: false,
        };
        let text = render(&class(9), style);
        assert!(
            text.lines().all(|line| width(line) <= columns.max(100)),
            "{text}"
        );
        for told in [
            "Scripts in sheets/",
            "script",
            "number-8.md",
            "5: bound-fails",
            "bound-fails  in 10 of 11 scripts",
            "For example sheets/",
            "--details shows",
            "a person decides",
        ] {
            assert!(text.contains(told), "{told}: {text}");
        }
        assert!(!text.contains("^^^"), "{text}");
        let detailed = render(
            &class(9),
            Style {
                details: true,
                ..style
            },
        );
        assert!(detailed.contains("^^^") && detailed.contains("bound-fails  in 10"));
    }
}
