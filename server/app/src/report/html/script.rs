//! One script of a page: its text with the verdicts in place, its findings behind the passages
//! that they speak of, and the text as typed.

use super::formula::{SIGNS, Sign, formula};
use super::names;
use super::pictures::Pictures;
use crate::aided;
use crate::report::class::Script;
use crate::report::escape::{one_line, visible, visible_lines};
use crate::report::text::listed_as_unread;
use crate::report::words;
use crate::run::ReviewedDraft;
use checks::{ArgumentReport, ClaimReport, Finding, VerdictWord};
use maud::{Markup, html};
use source::text::position::LineIndex;
use source::{Block, BlockKind, ContainerKind, Document, Piece, Span};
use std::collections::BTreeMap;

/// The section of a script.
pub(super) fn script(script: &Script<'_>, number: usize, pictures: &Pictures) -> Markup {
    html! {
        section.script id=(names::script(number)) aria-labelledby=(names::script_head(number)) {
            h2 id=(names::script_head(number)) { bdi { (visible(&script.name)) } }
            @for &(position, reviewed) in &script.drafts {
                (draft(reviewed, position, 1 < script.drafts.len(), pictures))
            }
            p.up { a href="#overview" { "Back to the overview" } }
        }
    }
}

/// A draft while its page is written.
struct Scene<'a> {
    reviewed: &'a ReviewedDraft,
    text: &'a str,
    lines: LineIndex<'a>,
    document: Document,
    rejected: Vec<Span>,
    position: usize,
    pictures: &'a Pictures,
}

impl Scene<'_> {
    fn line(&self, offset: usize) -> usize {
        self.lines.report(offset).line
    }

    /// The block in which the offset stands, or the last one before it.
    fn block_of(&self, offset: usize) -> usize {
        let before = self
            .document
            .blocks
            .partition_point(|block| block.span.start <= offset);
        before.saturating_sub(1)
    }
}

fn draft(reviewed: &ReviewedDraft, position: usize, several: bool, pictures: &Pictures) -> Markup {
    let text = reviewed.draft.text.as_str();
    let mut companions = reviewed.draft.companions.clone();
    companions.insert(
        source::COURSE.to_owned(),
        reviewed.draft.course.macros.clone(),
    );
    let scene = Scene {
        reviewed,
        text,
        lines: LineIndex::new(text),
        document: source::read(text, reviewed.draft.format, &companions),
        rejected: aided::rejected(text, reviewed.draft.format),
        position,
        pictures,
    };
    let review = &reviewed.review;
    let mut heads: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, argument) in review.arguments.iter().enumerate() {
        let block = scene.block_of(argument.span.start);
        heads.entry(block).or_default().push(index);
    }
    let mut told: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, finding) in review.findings.iter().enumerate() {
        if listed_as_unread(finding) {
            continue;
        }
        let block = scene.block_of(finding.span.start);
        told.entry(block).or_default().push(index);
    }
    html! {
        @if several { h3 { bdi { (visible(&reviewed.draft.path)) } } }
        @else { p.path { bdi { (visible(&reviewed.draft.path)) } } }
        @if review.arguments.is_empty() { p { "No argument was found in it." } }
        @for (number, block) in scene.document.blocks.iter().enumerate() {
            @for &index in heads.get(&number).into_iter().flatten() {
                (argument(&scene, index))
            }
            (self::block(&scene, block))
            @for &index in told.get(&number).into_iter().flatten() {
                (finding(&scene, index))
            }
        }
        (open_claims(&scene))
        details.typed {
            summary { "The text as typed, with line numbers" }
            (as_typed(&scene))
        }
    }
}

/// What is said of an argument before it begins.
fn argument(scene: &Scene<'_>, index: usize) -> Markup {
    let review = &scene.reviewed.review;
    let argument: &ArgumentReport = &review.arguments[index];
    let title = argument.title.as_deref().map_or_else(
        || format!("Line {}", scene.line(argument.span.start)),
        one_line,
    );
    let first = argument
        .first_finding
        .and_then(|position| review.findings.get(position).map(|one| (position, one)));
    let well = words::all_is_well(review, index);
    html! {
        div.argument.well[well] id=(names::argument(scene.position, index)) {
            h4 { bdi { (title) } }
            p {
                (words::tally(argument.tally)) ". "
                @if let Some(established) = words::established(argument) { (established) " " }
                @if let Some((position, one)) = first {
                    "First mistake: "
                    a href={ "#" (names::finding(scene.position, position)) } {
                        (one.check.name) ", line " (scene.line(one.span.start))
                    }
                    "."
                }
                @if scene.reviewed.unmatched.contains(&index) {
                    " It answers no exercise of the sheet."
                }
            }
            (scene.pictures.of_argument(scene.position, index))
        }
    }
}

/// A block of the draft's text, with a mark behind each claim.
fn block(scene: &Scene<'_>, block: &Block) -> Markup {
    let rejected = scene
        .rejected
        .iter()
        .any(|span| span.start <= block.span.start && block.span.end <= span.end);
    let content = html! {
        @if rejected { span.where { "(rejected by its author) " } }
        @for piece in &block.pieces { (self::piece(scene, piece)) }
    };
    let item = block.containers.iter().rev().find_map(|&container| {
        match scene
            .document
            .containers
            .get(container)
            .map(|one| &one.kind)
        {
            Some(ContainerKind::Item { label, .. }) => Some((container, label)),
            _ => None,
        }
    });
    // The label stands before the first block of its item only.
    let label = item.filter(|(container, _)| {
        scene
            .document
            .blocks
            .iter()
            .find(|other| other.containers.contains(container))
            .is_some_and(|first| first.span == block.span)
    });
    let label = label.map(|(_, label)| {
        if label.is_empty() {
            "•"
        } else {
            label.as_str()
        }
    });
    match block.kind {
        BlockKind::Heading(_) => html! { p.heading { (content) } },
        BlockKind::Cell => html! { p.cell { (content) } },
        BlockKind::Paragraph => html! {
            p.item[item.is_some()] {
                @if let Some(label) = label { span.label { (visible(label)) " " } }
                (content)
            }
        },
    }
}

fn piece(scene: &Scene<'_>, piece: &Piece) -> Markup {
    match piece {
        Piece::Math(math) => {
            let claims = ending(scene, math.span);
            let signs: Vec<Sign> = claims
                .iter()
                .filter_map(|&claim| {
                    let claim = &scene.reviewed.review.claims[claim];
                    let (sign, ..) = told(claim.verdict?);
                    let end = claim.span.end;
                    Some(Sign { end, sign })
                })
                .collect();
            let (formula, signed) = formula(scene.text, math, &signs);
            html! {
                @if math.struck { s { (formula) } } @else { (formula) }
                // Where the signs are in the formula, the buttons repeat them in their order.
                span.marks.repeated[signed] { @for claim in claims { (mark(scene, claim)) } }
            }
        }
        Piece::Prose(prose) => {
            let text = prose.content.text();
            let mut parts = Vec::new();
            let mut from = 0;
            for claim in ending(scene, prose.content.whole()) {
                let end = scene.reviewed.review.claims[claim].span.end;
                let cut = text
                    .char_indices()
                    .map(|(at, letter)| at + letter.len_utf8())
                    .find(|&at| end <= prose.content.span(0..at).end)
                    .unwrap_or(text.len())
                    .max(from);
                parts.push((&text[from..cut], Some(claim)));
                from = cut;
            }
            parts.push((&text[from..], None));
            html! {
                @for (part, claim) in parts {
                    @if prose.style.struck { s { (visible_lines(part)) } }
                    @else if prose.style.strong { strong { (spaced(part)) } }
                    @else if prose.style.emphasis { em { (spaced(part)) } }
                    @else { (spaced(part)) }
                    @if let Some(claim) = claim { (mark(scene, claim)) }
                }
            }
        }
    }
}

/// Words with white space as single spaces; those at the ends stay.
fn spaced(text: &str) -> String {
    let begins = text.starts_with(char::is_whitespace);
    let ends = text.len() > 1 && text.ends_with(char::is_whitespace);
    let words = one_line(text);
    format!(
        "{}{words}{}",
        if begins { " " } else { "" },
        if ends { " " } else { "" }
    )
}

/// The claims that end within the span, in their order.
fn ending(scene: &Scene<'_>, span: Span) -> Vec<usize> {
    let claims = scene.reviewed.review.claims.iter().enumerate();
    let mut found: Vec<(usize, usize)> = claims
        .filter(|(_, claim)| {
            claim.verdict.is_some() && span.start < claim.span.end && claim.span.end <= span.end
        })
        .map(|(index, claim)| (claim.span.end, index))
        .collect();
    found.sort_unstable();
    found.into_iter().map(|(_, index)| index).collect()
}

/// Sign, class and words of a verdict.
fn told(verdict: VerdictWord) -> (&'static str, &'static str, &'static str) {
    let (sign, class) = match verdict {
        VerdictWord::Proved => SIGNS[0],
        VerdictWord::Refuted => SIGNS[1],
        VerdictWord::Unsettled => SIGNS[2],
        VerdictWord::Unread => SIGNS[3],
    };
    (sign, class, words::verdict(verdict))
}

/// The mark of a claim: a button that opens its note.
fn mark(scene: &Scene<'_>, index: usize) -> Markup {
    let claim: &ClaimReport = &scene.reviewed.review.claims[index];
    let Some(verdict) = claim.verdict else {
        return html! {};
    };
    let (sign, class, word) = told(verdict);
    let id = names::claim(scene.position, index);
    let typed = scene.text.get(claim.span.range()).unwrap_or_default();
    html! {
        button.mark.(class) type="button" popovertarget=(id) title=(word)
            aria-label={ (word) ": " (one_line(typed)) } { (sign) }
        span.note popover="auto" id=(id) {
            strong { (sign) " " (word) }
            @if let Some(reading) = &claim.reading { span.reading { (one_line(reading)) } }
            @if let Some(evidence) = &claim.evidence { span { (one_line(evidence)) } }
            code { (one_line(typed)) }
            span.where { "line " (scene.line(claim.span.start)) }
        }
    }
}

/// A finding: what is wrong, the numbers line by line, what would mend it.
fn finding(scene: &Scene<'_>, index: usize) -> Markup {
    let finding: &Finding = &scene.reviewed.review.findings[index];
    let severity = finding.severity.word();
    let message = visible_lines(&finding.message);
    let (head, rest) = words::head_and_rest(&message);
    // The table tells the numbers already.
    let rest = match (&finding.counterexample, words::head_and_rest(rest)) {
        (Some(shown), (sentence, more)) if words::tells(sentence, shown) => more,
        _ => rest,
    };
    let typed = scene.text.get(finding.span.range()).unwrap_or_default();
    html! {
        aside.finding.(severity) id=(names::finding(scene.position, index))
            aria-label={ (severity) ", line " (scene.line(finding.span.start)) } {
            p { strong.severity { (severity) } " " (head) }
            p.where {
                "line " (scene.line(finding.span.start)) ", "
                a href={ "#" (names::check(finding.check.name)) } { (finding.check.name) }
                ": " code { (one_line(typed)) }
            }
            @if let Some(shown) = &finding.counterexample {
                table.numbers {
                    caption { "To try by hand" }
                    @for (name, value) in &shown.values {
                        tr { th scope="row" { (visible(name)) } td { (visible(value)) } }
                    }
                    tr { th scope="row" { "left side" } td { (visible(&shown.left)) } }
                    tr { th scope="row" { "right side" } td { (visible(&shown.right)) } }
                }
            }
            @if !rest.is_empty() { p { (rest) } }
            @for related in &finding.related {
                p.related {
                    "line " (scene.line(related.span.start)) ", "
                    code { (one_line(scene.text.get(related.span.range()).unwrap_or_default())) }
                    ": " (one_line(&related.message))
                }
            }
            @if let Some(replacement) = &finding.replacement {
                p { "This would mend it: " code { (one_line(&replacement.text)) } }
            }
        }
    }
}

/// What was not decided and not understood, in a list.
fn open_claims(scene: &Scene<'_>) -> Markup {
    let of = |verdict: VerdictWord| -> Vec<&ClaimReport> {
        let claims = scene.reviewed.review.claims.iter();
        claims
            .filter(|claim| claim.verdict == Some(verdict))
            .collect()
    };
    html! {
        @for (verdict, head) in [
            (VerdictWord::Unsettled, "Not decided"),
            (VerdictWord::Unread, "Not understood, so not checked"),
        ] {
            @let claims = of(verdict);
            @if !claims.is_empty() {
                p.open-head { (head) " (" (claims.len()) ")" }
                ul.open {
                    @for claim in claims {
                        li {
                            "line " (scene.line(claim.span.start)) ": "
                            code { (one_line(scene.text.get(claim.span.range()).unwrap_or_default())) }
                            @if let Some(evidence) = &claim.evidence { " " (one_line(evidence)) }
                        }
                    }
                }
            }
        }
    }
}

/// The draft line by line; what is false or open is marked.
fn as_typed(scene: &Scene<'_>) -> Markup {
    let lines = 0..scene.text.lines().count();
    html! {
        ol.lines {
            @for line in lines {
                @let start = scene.lines.line_start(line);
                @let end = scene.lines.line_end(line);
                li { (typed_line(scene, start, end)) }
            }
        }
    }
}

/// A line cut where claims begin and end; a stretch belongs to the smallest claim around it.
fn typed_line(scene: &Scene<'_>, start: usize, end: usize) -> Markup {
    let claims: Vec<&ClaimReport> = scene
        .reviewed
        .review
        .claims
        .iter()
        .filter(|claim| claim.verdict.is_some() && claim.span.start < end && start < claim.span.end)
        .collect();
    let mut cuts = vec![start, end];
    for claim in &claims {
        cuts.push(claim.span.start.clamp(start, end));
        cuts.push(claim.span.end.clamp(start, end));
    }
    cuts.sort_unstable();
    cuts.dedup();
    html! {
        @for pair in cuts.windows(2) {
            @let part = scene.text.get(pair[0]..pair[1]).unwrap_or_default();
            @let around = claims
                .iter()
                .filter(|claim| claim.span.start <= pair[0] && pair[1] <= claim.span.end)
                .min_by_key(|claim| claim.span.end - claim.span.start);
            @match around.and_then(|claim| Some((claim, claim.verdict?))) {
                Some((claim, verdict)) => {
                    @let (sign, class, word) = told(verdict);
                    span.part.(class) {
                        (visible(part))
                        @if claim.span.end == pair[1] { sup title=(word) { (sign) } }
                    }
                }
                None => (visible(part)),
            }
        }
    }
}
