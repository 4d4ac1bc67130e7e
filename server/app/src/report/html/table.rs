//! The overview of a page: every argument in a table, and the mistakes of the class with bars.

use super::names;
use crate::report::class::{self, Mistake, Script};
use crate::report::escape::{one_line, visible};
use crate::report::words;
use crate::run::Run;
use checks::Severity;
use maud::{Markup, html};
use source::text::position::LineIndex;

/// Heads of the table's columns, and whether they sort by number.
const HEADS: [(&str, bool); 8] = [
    ("Script", false),
    ("Argument", false),
    ("Holds", true),
    ("False", true),
    ("Open", true),
    ("Unread", true),
    ("Shown", false),
    ("First mistake", false),
];

/// The table of all arguments with its filter.
pub(super) fn overview(scripts: &[Script<'_>]) -> Markup {
    html! {
        section id="overview" aria-labelledby="overview-head" {
            h2 id="overview-head" { "Overview" }
            form.controls role="search" {
                label for="words" { "Show rows with " }
                input id="words" type="search" autocomplete="off" spellcheck="false";
                label for="state" { " among " }
                select id="state" {
                    option value="" { "all arguments" }
                    option value="mistake" { "those with a mistake" }
                    option value="unshown" { "those not shown" }
                    option value="open" { "those with something undecided or not understood" }
                }
                output id="count" for="words state" aria-live="polite" {}
            }
            div.scroll tabindex="0" role="region" aria-labelledby="overview-head" {
                table id="arguments" {
                    thead { tr {
                        @for (head, number) in HEADS {
                            th scope="col" aria-sort="none" data-number[number] {
                                button type="button" { (head) }
                            }
                        }
                    } }
                    tbody { @for (number, script) in scripts.iter().enumerate() {
                        (rows(script, number))
                    } }
                }
            }
        }
    }
}

fn rows(script: &Script<'_>, number: usize) -> Markup {
    let target = format!("#{}", names::script(number));
    let empty = script
        .drafts
        .iter()
        .all(|(_, reviewed)| reviewed.review.arguments.is_empty());
    html! {
        @if empty {
            tr data-script=(names::script(number)) {
                th scope="row" { a href=(target) { bdi { (visible(&script.name)) } } }
                td { "none found" }
                @for _ in 2..HEADS.len() { td {} }
            }
        }
        @for &(position, reviewed) in &script.drafts {
            @let lines = LineIndex::new(&reviewed.draft.text);
            @for (index, argument) in reviewed.review.arguments.iter().enumerate() {
                @let first = argument.first_finding
                    .and_then(|at| reviewed.review.findings.get(at).map(|one| (at, one)));
                @let tally = argument.tally;
                tr data-script=(names::script(number))
                    data-mistake[first.is_some()]
                    data-unshown[argument.established == Some(false)]
                    data-open[0 < tally.unsettled + tally.unread] {
                    th scope="row" { a href=(target) { bdi { (visible(&script.name)) } } }
                    td { a href={ "#" (names::argument(position, index)) } {
                        bdi { (argument.title.as_deref().map_or_else(
                            || format!("line {}", lines.report(argument.span.start).line),
                            one_line,
                        )) }
                    } }
                    @for count in [tally.proved, tally.refuted, tally.unsettled, tally.unread] {
                        td.number { (count) }
                    }
                    td { (words::shown(argument)) }
                    td data-sort=[first.map(|(_, one)| one.check.name)] {
                        @if let Some((at, one)) = first {
                            a href={ "#" (names::finding(position, at)) } { (one.check.name) }
                            " (line " (lines.report(one.span.start).line) ")"
                        }
                    }
                }
            }
        }
    }
}

/// How each exercise went, if several scripts answer it.
pub(super) fn exercises(run: &Run) -> Markup {
    let exercises = class::exercises(run);
    html! {
        @if !exercises.is_empty() {
            section id="exercises" aria-labelledby="exercises-head" {
                h2 id="exercises-head" { "By exercise" }
                table.exercises {
                    thead { tr {
                        th scope="col" { "Exercise" }
                        th.number scope="col" { "Answers" }
                        th.number scope="col" { "Shown" }
                        th.number scope="col" { "With a mistake" }
                        th scope="col" { "Most frequent first mistake" }
                    } }
                    tbody { @for one in &exercises { tr {
                        th scope="row" { (visible(&one.number)) }
                        td.number { (one.answers) }
                        td.number { (one.shown) }
                        td.number { (one.faulty) }
                        td { @if let Some((check, times)) = one.usual {
                            a href={ "#" (names::check(check)) } { (check) } " (" (times) ")"
                        } }
                    } } }
                }
            }
        }
    }
}

/// The mistakes of the class, most frequent first.
pub(super) fn mistakes(mistakes: &[Mistake<'_>], scripts: &[Script<'_>]) -> Markup {
    let most = mistakes
        .first()
        .map_or(1, |mistake| mistake.scripts.len().max(1));
    html! {
        section id="mistakes" aria-labelledby="mistakes-head" {
            h2 id="mistakes-head" { "What went wrong, most frequent first" }
            @if mistakes.is_empty() { p { "No errors, no warnings." } }
            @for mistake in mistakes { (self::mistake(mistake, scripts, most)) }
        }
    }
}

fn mistake(mistake: &Mistake<'_>, scripts: &[Script<'_>], most: usize) -> Markup {
    let times = mistake.places.len();
    let share = 100 * mistake.scripts.len() / most;
    let place = &mistake.places[mistake.example];
    let text = &place.reviewed.draft.text;
    let severity = mistake
        .places
        .iter()
        .map(|place| place.finding.severity)
        .min()
        .map_or("error", Severity::word);
    html! {
        article.mistake id=(names::check(mistake.check.name)) {
            h3 { (mistake.check.name) }
            p {
                "In " (mistake.scripts.len()) " of "
                (words::counted(scripts.len(), "script", "scripts"))
                @if times != mistake.scripts.len() { ", " (times) " times" }
                ". " (mistake.check.summary)
            }
            svg.bar.(severity) width="100%" height="10" aria-hidden="true" {
                rect width={ (share) "%" } height="10" rx="2" {}
            }
            p.example {
                "For example "
                a href={ "#" (names::finding(place.draft, place.position)) } {
                    bdi { (visible(&scripts[place.script].name)) }
                    ", line " (LineIndex::new(text).report(place.finding.span.start).line)
                }
                ": " code { (one_line(text.get(place.finding.span.range()).unwrap_or_default())) }
            }
            p { (one_line(&words::whole(place.finding))) }
            @if 1 < times {
                details {
                    summary { "All " (times) " places" }
                    ul { @for place in &mistake.places {
                        @let text = &place.reviewed.draft.text;
                        li {
                            a href={ "#" (names::finding(place.draft, place.position)) } {
                                bdi { (visible(&scripts[place.script].name)) }
                                ", line "
                                (LineIndex::new(text).report(place.finding.span.start).line)
                            }
                            ": "
                            code { (one_line(text.get(place.finding.span.range()).unwrap_or_default())) }
                        }
                    } }
                }
            }
        }
    }
}
