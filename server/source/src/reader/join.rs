//! Joins paragraphs that a display interrupts, and parts headings written in strong type.

use super::assemble::{RawBlock, Run};
use super::block::{BlockKind, Delimiter};
use crate::limits::HEADING_CHARACTERS;
use crate::text::mapped::Mapped;

/// Joins paragraphs that are halves of one sentence around a display.
pub(crate) fn join(blocks: Vec<RawBlock>) -> Vec<RawBlock> {
    let mut joined: Vec<RawBlock> = Vec::with_capacity(blocks.len());
    for block in blocks {
        match joined.last_mut() {
            Some(last) if continues(last, &block) => last.runs.extend(block.runs),
            _ => joined.push(block),
        }
    }
    joined
}

fn continues(left: &RawBlock, right: &RawBlock) -> bool {
    if left.kind != BlockKind::Paragraph
        || right.kind != BlockKind::Paragraph
        || left.containers != right.containers
    {
        return false;
    }
    let (Some(last), Some(first)) = (last_run(left), first_run(right)) else {
        return false;
    };
    match (display(last), display(first)) {
        (false, true) => !ends_sentence(last),
        (true, false) => begins_in_lower_case(first),
        (true, true) => opens_with_relation(first) && !ends_sentence(last),
        (false, false) => false,
    }
}

fn is_blank(run: &Run) -> bool {
    match run {
        Run::Text(content, _) => content.text().trim().is_empty(),
        Run::Script(..) => true,
        Run::Math(..) | Run::Code(..) => false,
    }
}

fn last_run(block: &RawBlock) -> Option<&Run> {
    block.runs.iter().rev().find(|run| !is_blank(run))
}

fn first_run(block: &RawBlock) -> Option<&Run> {
    block.runs.iter().find(|run| !is_blank(run))
}

fn display(run: &Run) -> bool {
    match run {
        Run::Math(math, _) => matches!(
            math.delimiter,
            Delimiter::Display | Delimiter::Environment(_)
        ),
        _ => false,
    }
}

fn text_of(run: &Run) -> &str {
    match run {
        Run::Text(content, _) | Run::Code(content, _) => content.text(),
        Run::Math(math, _) => math.content.text(),
        Run::Script(..) => "",
    }
}

fn ends_sentence(run: &Run) -> bool {
    text_of(run)
        .trim_end_matches(|c: char| c.is_whitespace() || ")\"'”’*}".contains(c))
        .ends_with(['.', '!', '?'])
}

fn begins_in_lower_case(run: &Run) -> bool {
    let words = matches!(run, Run::Text(..));
    let text = text_of(run).trim_start();
    // "c) …", "ii) …": the next part.
    let label = text
        .split_once(')')
        .is_some_and(|(label, _)| label.len() <= 3 && label.chars().all(char::is_lowercase));
    words && !label && text.starts_with(|c: char| c.is_lowercase() || c == ',')
}

fn opens_with_relation(run: &Run) -> bool {
    const RELATIONS: [&str; 16] = [
        "=",
        "<",
        ">",
        "≤",
        "≥",
        "\\le",
        "\\ge",
        "\\lt",
        "\\gt",
        "\\approx",
        "\\to",
        "→",
        "⇒",
        "\\Rightarrow",
        "\\implies",
        "\\equiv",
    ];
    let text = text_of(run).trim_start_matches(|c: char| c.is_whitespace() || "&{}".contains(c));
    RELATIONS.iter().any(|relation| text.starts_with(relation))
}

/// Makes a heading of the first line of a paragraph that is nothing but strong text.
pub(crate) fn split_headings(blocks: Vec<RawBlock>) -> Vec<RawBlock> {
    let mut output = Vec::with_capacity(blocks.len());
    for block in blocks {
        match strong_line(&block) {
            Some((index, offset)) => split(block, index, offset, &mut output),
            None => output.push(block),
        }
    }
    output
}

/// Level of headings in strong type: below those of `#` and `\section` in use.
const STRONG_LEVEL: u8 = 4;

/// Where the strong line ends: the run, and the byte of its text (of a line break); `None` if the
/// first line is no heading.
fn strong_line(block: &RawBlock) -> Option<(usize, usize)> {
    if block.kind != BlockKind::Paragraph {
        return None;
    }
    let mut line = String::new();
    let mut end = (block.runs.len(), 0);
    for (index, run) in block.runs.iter().enumerate() {
        let (text, style) = match run {
            Run::Text(content, style) | Run::Code(content, style) => (content.text(), style),
            Run::Math(math, style) => (math.content.text(), style),
            Run::Script(_, _, style) => ("", style),
        };
        let words = matches!(run, Run::Text(..));
        if display(run) {
            return None;
        }
        let leading = text.len() - text.trim_start_matches(['\n', ' ', '\t', '\r']).len();
        let start = if line.is_empty() { leading } else { 0 };
        let newline = words
            .then(|| text[start..].find('\n').map(|at| start + at))
            .flatten();
        let part = &text[..newline.unwrap_or(text.len())];
        if !style.strong && (!words || part.chars().any(char::is_alphanumeric)) {
            return None;
        }
        line.push_str(part);
        if HEADING_CHARACTERS < line.chars().count() {
            return None;
        }
        if let Some(newline) = newline {
            end = (index, newline);
            break;
        }
    }
    let rest = block.runs.get(end.0).map(|run| (run, end.1));
    if !line.chars().any(char::is_alphabetic) || is_sentence(&line) || continues_below(block, rest)
    {
        return None;
    }
    Some(end)
}

/// Whether a strong line states something: then it is text, not a heading.
fn is_sentence(line: &str) -> bool {
    line.split(|c: char| !c.is_alphabetic()).any(|word| {
        matches!(
            word,
            "is" | "are"
                | "converges"
                | "converge"
                | "has"
                | "have"
                | "does"
                | "holds"
                | "diverges"
                | "follows"
                | "exists"
                | "exist"
                | "tends"
                | "ist"
                | "gilt"
                | "konvergiert"
                | "Show"
                | "show"
                | "prove"
                | "Prove"
                | "Let"
                | "let"
                | "Zeige"
                | "Since"
                | "Because"
                | "Then"
        )
    })
}

/// Whether the line's sentence goes on in the next line.
fn continues_below(block: &RawBlock, rest: Option<(&Run, usize)>) -> bool {
    let Some((Run::Text(content, _), offset)) = rest else {
        return false;
    };
    let below = content.text()[offset..].trim_start();
    if !below.is_empty() {
        return below.starts_with(|c: char| c.is_lowercase());
    }
    let index = block
        .runs
        .iter()
        .position(|run| matches!(run, Run::Text(text, _) if std::ptr::eq(text, content)));
    let next = index
        .into_iter()
        .flat_map(|index| &block.runs[index + 1..])
        .find(|run| !is_blank(run));
    next.is_some_and(begins_in_lower_case)
}

fn split(mut block: RawBlock, index: usize, offset: usize, output: &mut Vec<RawBlock>) {
    let mut rest = block.runs.split_off(index);
    if let Some(Run::Text(content, style)) = rest.first_mut() {
        let head: Mapped = content.slice(0..offset);
        *content = content.slice(offset..content.len());
        if !head.is_empty() {
            block.runs.push(Run::Text(head, *style));
        }
    }
    let remains = rest.iter().any(|run| !is_blank(run));
    let containers = block.containers.clone();
    block.kind = BlockKind::Heading(STRONG_LEVEL);
    output.push(block);
    if remains {
        output.push(RawBlock {
            kind: BlockKind::Paragraph,
            containers,
            runs: rest,
        });
    }
}
