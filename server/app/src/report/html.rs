//! The report as one page that needs nothing else: overview, mistakes of the class, every script
//! with its verdicts in place. Everything from drafts is text, by the types of the markup.

mod formula;
mod names;
mod pictures;
mod script;
mod table;

use super::class;
use super::escape::visible;
use super::words;
use crate::run::{INTERRUPTED, Run};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

/// The page's own script and style, the only ones that its policy lets through.
const SCRIPT: &str = include_str!("html/page.js");
const STYLE: &str = include_str!("html/page.css");

/// The report as a page.
pub(crate) fn render(run: &Run, by_folder: bool) -> String {
    let scripts = class::scripts(run, by_folder);
    let mistakes = class::mistakes(&scripts);
    let pictures = pictures::Pictures::of(run);
    let folder = class::common_folder(run);
    let title = if folder.is_empty() {
        "Review".to_owned()
    } else {
        format!("Review of {}", visible(folder.trim_end_matches('/')))
    };
    let policy = format!(
        "default-src 'none'; script-src '{}'; style-src '{}'; base-uri 'none'; form-action 'none'",
        hash(SCRIPT),
        hash(STYLE)
    );
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                a.skip href="#overview" { "Skip to the overview" }
                header {
                    h1 { bdi { (title) } }
                    (totals(run, scripts.len()))
                    nav aria-label="Parts of this page" {
                        a href="#overview" { "Overview" } " "
                        a href="#mistakes" { "Mistakes of the class" } " "
                        a href="#scripts" { "Scripts" }
                    }
                }
                main {
                    (table::overview(&scripts))
                    (table::exercises(run))
                    (table::mistakes(&mistakes, &scripts))
                    (left_out(run))
                    div id="scripts" {
                        (legend())
                        (pictures.left_out())
                        @for (number, script) in scripts.iter().enumerate() {
                            (script::script(script, number, &pictures))
                        }
                    }
                }
                (pictures.store())
                footer { p { "majorant " (env!("CARGO_PKG_VERSION")) ". " (ADVICE) } }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    };
    let mut page = page.into_string();
    page.push('\n');
    page
}

/// What every report says of itself.
const ADVICE: &str = "This is advice from a program. Where it bears on a mark, a person decides.";

/// The source expression of a policy that admits exactly this text.
fn hash(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

fn totals(run: &Run, scripts: usize) -> Markup {
    let totals = run.totals();
    html! {
        p {
            (words::counted(scripts, "script", "scripts")) ", "
            (words::counted(totals.arguments, "argument", "arguments")) ". "
            (words::tally(totals.tally)) ". "
            (words::counted(totals.errors, "error", "errors")) ", "
            (words::counted(totals.warnings, "warning", "warnings")) ". "
            (ADVICE)
        }
    }
}

/// The marks, explained.
fn legend() -> Markup {
    html! {
        p.legend {
            "Marks behind a claim: "
            span.mark.proved { "✓" } " true, "
            span.mark.refuted { "✗" } " false, "
            span.mark.unsettled { "?" } " not decided, "
            span.mark.unread { "…" } " not understood. A mark opens how the claim was read and why. "
            button type="button" id="sources" aria-pressed="false" { "Show formulas as typed" }
        }
    }
}

/// What was not reviewed, and why.
fn left_out(run: &Run) -> Markup {
    if run.skipped.is_empty() && run.others.is_empty() && run.served.is_empty() {
        return html! {};
    }
    let interrupted = run
        .skipped
        .iter()
        .filter(|skipped| skipped.reason == INTERRUPTED)
        .count();
    html! {
        section id="left-out" aria-labelledby="left-out-head" {
            h2 id="left-out-head" { "Not reviewed" }
            ul {
                @for skipped in run.skipped.iter().filter(|one| one.reason != INTERRUPTED) {
                    li { bdi { (visible(&skipped.path)) } ": " (visible(&skipped.reason)) }
                }
                @if 0 < interrupted {
                    li { (words::counted(interrupted, "draft", "drafts")) ": " (INTERRUPTED) }
                }
                @for served in &run.served {
                    li { bdi { (visible(&served.path)) } " was read for the macros of "
                        bdi { (visible(&served.includer)) } " only" }
                }
                @for other in &run.others {
                    li { bdi { (visible(other)) } " is of another kind" }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests;
