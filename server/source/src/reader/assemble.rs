//! Puts containers, words and formulas together into a document, for both languages.

use super::bare;
use super::block::{
    Block, BlockKind, Container, ContainerKind, Delimiter, Document, MathPiece, Notice, NoticeKind,
    Piece, ProsePiece, Style,
};
use super::{Format, join};
use crate::limits;
use crate::text::mapped::Mapped;
use crate::text::span::Span;
use std::collections::BTreeSet;
use std::ops::Range;

/// A part of a block before bare formulas are found in it.
#[derive(Clone, Debug)]
pub(crate) enum Run {
    /// Words of one style.
    Text(Mapped, Style),
    /// An index or power set by HTML (`_{`, `^{`, `}`): part of a formula, or nothing.
    Script(&'static str, Span, Style),
    /// Words set as code, in which nothing is a formula.
    Code(Mapped, Style),
    Math(MathPiece, Style),
}

/// A block before bare formulas are found in it.
#[derive(Clone, Debug)]
pub(crate) struct RawBlock {
    pub(crate) kind: BlockKind,
    pub(crate) containers: Vec<usize>,
    pub(crate) runs: Vec<Run>,
}

/// Names a container that was opened.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Handle(usize);

/// Collects what a reader finds, in the order of the draft.
pub(crate) struct Assembler {
    format: Format,
    containers: Vec<Container>,
    /// Containers that are open; those beyond the depth limit have no number.
    open: Vec<(Handle, Option<usize>)>,
    opened: usize,
    kind: BlockKind,
    runs: Vec<Run>,
    blocks: Vec<RawBlock>,
    pub(crate) notices: Vec<Notice>,
}

impl Assembler {
    pub(crate) fn new(format: Format) -> Self {
        Self {
            format,
            containers: Vec::new(),
            open: Vec::new(),
            opened: 0,
            kind: BlockKind::Paragraph,
            runs: Vec::new(),
            blocks: Vec::new(),
            notices: Vec::new(),
        }
    }

    pub(crate) fn notice(&mut self, kind: NoticeKind, span: Span) {
        self.notices.push(Notice { kind, span });
    }

    /// Opens a container at `span` (its opening mark); ends the block before it.
    pub(crate) fn open(&mut self, kind: ContainerKind, span: Span) -> Handle {
        self.end_block();
        let handle = Handle(self.opened);
        self.opened += 1;
        if limits::CONTAINER_DEPTH <= self.open.len() {
            if self.open.len() == limits::CONTAINER_DEPTH {
                self.notice(NoticeKind::LimitExceeded("depth of containers"), span);
            }
            self.open.push((handle, None));
        } else {
            self.open.push((handle, Some(self.containers.len())));
            self.containers.push(Container { kind, span });
        }
        handle
    }

    /// Closes a container, and all that were opened inside it, at byte `end`.
    pub(crate) fn close(&mut self, handle: Handle, end: usize) {
        self.end_block();
        let Some(place) = self.open.iter().rposition(|&(open, _)| open == handle) else {
            return;
        };
        for (_, container) in self.open.drain(place..) {
            if let Some(container) = container {
                let span = &mut self.containers[container].span;
                span.end = span.end.max(end);
            }
        }
    }

    /// The innermost open environment of that name.
    pub(crate) fn open_environment(&self, name: &str) -> Option<Handle> {
        self.open.iter().rev().find_map(|&(handle, container)| {
            let kind = &self.containers[container?].kind;
            matches!(kind, ContainerKind::Environment { name: open, .. } if open == name)
                .then_some(handle)
        })
    }

    /// Ends the block and starts one of that kind.
    pub(crate) fn begin_block(&mut self, kind: BlockKind) {
        self.end_block();
        self.kind = kind;
    }

    /// Ends the block, if there is something in it.
    pub(crate) fn end_block(&mut self) {
        let kind = std::mem::replace(&mut self.kind, BlockKind::Paragraph);
        let runs = std::mem::take(&mut self.runs);
        let blank = runs.iter().all(|run| match run {
            Run::Text(content, _) => content.text().trim().is_empty(),
            Run::Script(..) => true,
            Run::Math(..) | Run::Code(..) => false,
        });
        if blank {
            return;
        }
        let containers = self
            .open
            .iter()
            .take(limits::CONTAINER_DEPTH)
            .filter_map(|&(_, container)| container)
            .collect();
        self.blocks.push(RawBlock {
            kind,
            containers,
            runs,
        });
    }

    /// Appends a part of `source` as words.
    pub(crate) fn words(&mut self, source: &Mapped, range: Range<usize>, style: Style) {
        self.append(style, |content| content.push_mapped(source, range));
    }

    /// Appends words that stand in the draft at `start`.
    pub(crate) fn verbatim(&mut self, text: &str, start: usize, style: Style) {
        self.append(style, |content| content.push_verbatim(text, start));
    }

    /// Appends words that stand for `span`.
    pub(crate) fn replacement(&mut self, text: &str, span: Span, style: Style) {
        self.append(style, |content| content.push_replacement(text, span));
    }

    pub(crate) fn script(&mut self, mark: &'static str, span: Span, style: Style) {
        self.runs.push(Run::Script(mark, span, style));
    }

    /// Appends words that stand for `span` and in which nothing is a formula: references, and the
    /// parentheses of footnotes.
    pub(crate) fn label(&mut self, text: &str, span: Span, style: Style) {
        let mut content = Mapped::new();
        content.push_replacement(text, span);
        self.code(content, style);
    }

    /// Appends words set as code.
    pub(crate) fn code(&mut self, content: Mapped, style: Style) {
        if !content.is_empty() {
            self.runs.push(Run::Code(content, style));
        }
    }

    pub(crate) fn math(&mut self, piece: MathPiece, style: Style) {
        self.runs.push(Run::Math(piece, style));
    }

    fn append(&mut self, style: Style, write: impl FnOnce(&mut Mapped)) {
        if let Some(Run::Text(content, last)) = self.runs.last_mut()
            && *last == style
        {
            write(content);
            return;
        }
        let mut content = Mapped::new();
        write(&mut content);
        if !content.is_empty() {
            self.runs.push(Run::Text(content, style));
        }
    }

    /// Closes everything at byte `end` and gives the document.
    pub(crate) fn finish(mut self, end: usize, includes: Vec<(String, Span)>) -> Document {
        self.end_block();
        for (_, container) in std::mem::take(&mut self.open) {
            if let Some(container) = container {
                let span = &mut self.containers[container].span;
                span.end = span.end.max(end);
            }
        }
        let raw = join::join(join::split_headings(std::mem::take(&mut self.blocks)));
        let blocks = finish_blocks(&raw);
        self.notices.sort_by_key(|notice| notice.span);
        Document {
            format: self.format,
            containers: self.containers,
            blocks,
            notices: self.notices,
            includes,
        }
    }
}

/// A stretch of a block's words between delimited formulas, all struck or none.
struct Stretch {
    content: Mapped,
    struck: bool,
    /// Where a style begins, by byte of the content.
    styles: Vec<(usize, Style)>,
    /// Marks of HTML indices, which vanish outside formulas.
    scripts: Vec<Range<usize>>,
}

enum Part {
    Words(Stretch),
    Code(ProsePiece),
    Math(MathPiece),
}

/// Finds bare formulas in all blocks. Letters that occur in one of them are formulas too where
/// they stand alone, so that "there is N with n > N" has the same N twice.
fn finish_blocks(raw: &[RawBlock]) -> Vec<Block> {
    let parts: Vec<Vec<Part>> = raw.iter().map(|block| stretches(&block.runs)).collect();
    let mut scans: Vec<Vec<Option<bare::Scan<'_>>>> = parts
        .iter()
        .map(|parts| parts.iter().map(scan_part).collect())
        .collect();
    let mut letters = BTreeSet::new();
    for scan in scans.iter().flatten().flatten() {
        scan.collect_letters(&mut letters);
    }
    for scan in scans.iter_mut().flatten().flatten() {
        scan.add_lone_letters(&letters);
    }
    raw.iter()
        .zip(&parts)
        .zip(&scans)
        .filter_map(|((block, parts), scans)| finish_block(block, parts, scans))
        .collect()
}

fn scan_part(part: &Part) -> Option<bare::Scan<'_>> {
    match part {
        Part::Words(stretch) => Some(bare::scan(stretch.content.text())),
        Part::Math(_) | Part::Code(_) => None,
    }
}

fn finish_block(
    block: &RawBlock,
    parts: &[Part],
    scans: &[Option<bare::Scan<'_>>],
) -> Option<Block> {
    let mut pieces = Vec::new();
    for (part, scan) in parts.iter().zip(scans) {
        match (part, scan) {
            (Part::Math(math), _) => pieces.push(Piece::Math(math.clone())),
            (Part::Code(prose), _) => pieces.push(Piece::Prose(prose.clone())),
            (Part::Words(stretch), Some(scan)) => stretch.pieces(&scan.ranges(), &mut pieces),
            (Part::Words(stretch), None) => stretch.pieces(&[], &mut pieces),
        }
    }
    trim_pieces(&mut pieces);
    let mut spans = pieces.iter().map(Piece::span);
    let first = spans.next()?;
    Some(Block {
        kind: block.kind,
        span: spans.fold(first, Span::to),
        containers: block.containers.clone(),
        pieces,
    })
}

fn stretches(runs: &[Run]) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for run in runs {
        let style = match run {
            Run::Text(_, style) | Run::Script(_, _, style) => *style,
            Run::Code(content, style) => {
                parts.push(Part::Code(ProsePiece {
                    content: content.clone(),
                    style: *style,
                }));
                continue;
            }
            Run::Math(math, style) => {
                let mut math = math.clone();
                math.struck |= style.struck;
                parts.push(Part::Math(math));
                continue;
            }
        };
        let joins = matches!(parts.last(), Some(Part::Words(last)) if last.struck == style.struck);
        if !joins {
            parts.push(Part::Words(Stretch {
                content: Mapped::new(),
                struck: style.struck,
                styles: Vec::new(),
                scripts: Vec::new(),
            }));
        }
        if let Some(Part::Words(stretch)) = parts.last_mut() {
            stretch.append(run, style);
        }
    }
    parts
}

impl Stretch {
    fn append(&mut self, run: &Run, style: Style) {
        let start = self.content.len();
        if self.styles.last().is_none_or(|&(_, last)| last != style) {
            self.styles.push((start, style));
        }
        match run {
            Run::Text(content, _) => self.content.push_mapped(content, 0..content.len()),
            Run::Script(mark, span, _) => {
                self.content.push_replacement(mark, *span);
                self.scripts.push(start..self.content.len());
            }
            Run::Math(..) | Run::Code(..) => {}
        }
    }

    fn pieces(&self, formulas: &[Range<usize>], pieces: &mut Vec<Piece>) {
        let mut at = 0;
        for formula in formulas {
            self.prose(at..formula.start, pieces);
            let content = self.content.slice(formula.clone());
            pieces.push(Piece::Math(MathPiece {
                span: content.whole(),
                unknown_macros: super::formula::unknown_macros(&content),
                content,
                delimiter: Delimiter::Bare,
                struck: self.struck,
            }));
            at = formula.end;
        }
        self.prose(at..self.content.len(), pieces);
    }

    /// Pieces of one style each, without the marks of HTML indices.
    fn prose(&self, range: Range<usize>, pieces: &mut Vec<Piece>) {
        let first = self
            .styles
            .partition_point(|&(start, _)| start <= range.start)
            .saturating_sub(1);
        for (index, &(start, style)) in self.styles.iter().enumerate().skip(first) {
            if range.end <= start {
                break;
            }
            let end = self
                .styles
                .get(index + 1)
                .map_or(self.content.len(), |&(next, _)| next);
            let (from, to) = (start.max(range.start), end.min(range.end));
            let mut content = Mapped::new();
            let mut at = from;
            let scripts = self.scripts.partition_point(|mark| mark.end <= from);
            for mark in self.scripts[scripts..]
                .iter()
                .take_while(|mark| mark.start < to)
            {
                content.push_mapped(&self.content, at..mark.start.max(at));
                at = mark.end;
            }
            if at < to {
                content.push_mapped(&self.content, at..to);
            }
            if !content.is_empty() {
                pieces.push(Piece::Prose(ProsePiece { content, style }));
            }
        }
    }
}

/// Takes white space off both ends of a block.
fn trim_pieces(pieces: &mut Vec<Piece>) {
    while let Some(Piece::Prose(prose)) = pieces.last_mut() {
        let length = prose.content.text().trim_end().len();
        prose.content.truncate(length);
        if !prose.content.is_empty() {
            break;
        }
        pieces.pop();
    }
    let blank = |piece: &Piece| match piece {
        Piece::Prose(prose) => prose.content.text().trim().is_empty(),
        Piece::Math(_) => false,
    };
    let leading = pieces.iter().take_while(|piece| blank(piece)).count();
    pieces.drain(..leading);
    if let Some(Piece::Prose(prose)) = pieces.first_mut() {
        let length = prose.content.len();
        let start = length - prose.content.text().trim_start().len();
        if 0 < start {
            prose.content = prose.content.slice(start..length);
        }
    }
}
