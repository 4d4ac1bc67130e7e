//! The page against its promises: one file, nothing from outside, strangers' text as text.

use super::*;
use crate::report::example;

#[test]
fn the_page_holds_what_it_must() {
    let page = render(&example::run(), false);
    for told in [
        "Content-Security-Policy",
        "default-src &#39;none&#39;",
        "id=\"overview\"",
        "First mistake",
        "<math",
        "To try by hand",
        "<th scope=\"row\">left side</th><td>1/2</td>",
        "The text as typed",
        "Not understood, so not checked",
        "no such file or folder",
        "a person decides",
    ] {
        let plain = told.replace("&#39;", "'");
        assert!(page.contains(told) || page.contains(&plain), "{told}");
    }
    for outside in ["http://", "https://", "src=", "@import", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
}

#[test]
fn strangers_text_is_text() {
    let mut run = example::run();
    let hostile = "<script>alert(1)</script>\u{202E}\"'><img src=x onerror=alert(1)>";
    let one = &mut run.drafts[0];
    one.draft.path = format!("a/{hostile}.md");
    one.draft.text = one.draft.text.replace("😀", hostile);
    one.draft
        .text
        .push_str("\n\n$\\text{</math><script>alert(2)</script>}$\n\n<script>alert(3)</script>\n");
    let review = &mut one.review;
    review.arguments[0].title = Some(hostile.into());
    for claim in &mut review.claims {
        claim.evidence = Some(hostile.into());
        claim.reading = Some(hostile.into());
    }
    let finding = &mut review.findings[0];
    finding.message = hostile.into();
    finding.related[0].message = hostile.into();
    if let Some(replacement) = &mut finding.replacement {
        replacement.text = hostile.into();
    }
    if let Some(shown) = &mut finding.counterexample {
        shown.left = hostile.into();
        shown.values[0].0 = hostile.into();
    }
    let page = render(&run, false);
    assert_eq!(page.matches("<script").count(), 1);
    assert!(!page.contains("<img") && !page.contains('\u{202E}'));
}

#[test]
fn a_rejected_passage_is_marked() {
    let mut run = example::run();
    let text = &mut run.drafts[1].draft.text;
    text.push_str("\n\n<!-- majorant: reject -->\n\nWrong $2 < 1$.\n\n<!-- majorant: end -->\n");
    let page = render(&run, false);
    assert!(
        page.contains("(rejected by its author) </span>Wrong "),
        "{page}"
    );
    assert_eq!(page.matches("rejected by its author").count(), 1);
}

#[test]
fn a_sequence_is_drawn_once_and_used_beside_its_arguments() {
    let mut run = example::run();
    let mut again = example::run().drafts.remove(0);
    again.draft.path = "class/again.md".to_owned();
    run.drafts.push(again);
    let page = render(&run, false);
    // The sequence of functions with two pictures, the sequence of numbers with one.
    let uses = |name: &str| page.matches(&format!("<use href=\"#{name}\"")).count();
    for name in ["drawing-0-0", "drawing-0-1", "drawing-1-0"] {
        let drawn = page.matches(&format!("id=\"{name}\"")).count();
        assert_eq!((name, drawn, uses(name)), (name, 1, 2));
    }
    assert_eq!(uses("drawing-2-0"), 0);
    assert!(page.contains("The error term is x/(n + x) on [0, 1]. Its supremum is 1/(n + 1)"));
    // What stands for a picture is named once for each place.
    for part in ["title", "about"] {
        for place in ["seen-0-0-0", "seen-2-0-0"] {
            let id = format!(" id=\"{place}-{part}\"");
            assert_eq!(page.matches(&id).count(), 1, "{id}");
        }
    }
    let labelled = page.matches("aria-labelledby=\"seen-").count();
    assert_eq!(labelled, page.matches("role=\"img\"").count());
}
