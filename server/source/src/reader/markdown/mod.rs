//! Markdown into blocks: the draft is scanned and masked, pulldown-cmark parses the masked text
//! for its blocks, and words and formulas are taken from the draft itself.

mod html;
mod scan;

use super::assemble::{Assembler, Handle};
use super::block::{BlockKind, ContainerKind, Document, NoticeKind, Style};
use super::delimiters::Opener;
use super::expand::learn_course;
use super::formula;
use super::macros::Macros;
use super::tex::{brace_pairs, command_at};
use super::{Companions, Format};
use crate::text::mapped::Mapped;
use crate::text::span::Span;
use html::Tag as HtmlTag;
use pulldown_cmark::{CodeBlockKind, Event, Options, Parser, Tag, TagEnd};
use scan::{Region, RegionKind, Scanned, scan};
use std::ops::Range;

/// Reads a Markdown draft.
pub(crate) fn read(text: &str, companions: &Companions) -> Document {
    let mut macros = Macros::new(companions);
    learn_course(&mut macros);
    let Scanned { masked, regions } = scan(text);
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_TASKLISTS
        | Options::ENABLE_FOOTNOTES;
    let mut reader = Reader {
        text,
        masked: &masked,
        regions: &regions,
        macros,
        assembler: Assembler::new(Format::Markdown),
        containers: Vec::new(),
        lists: Vec::new(),
        quotes: 0,
        marks: Marks::default(),
        tags: Marks::default(),
        code: false,
        numbered: 0,
    };
    for (event, range) in Parser::new_ext(&masked, options).into_offset_iter() {
        reader.event(event, range);
    }
    reader.assembler.finish(text.len(), Vec::new())
}

/// How many marks of each style are open.
#[derive(Clone, Copy, Default)]
struct Marks {
    strong: usize,
    emphasis: usize,
    struck: usize,
}

struct Reader<'a> {
    text: &'a str,
    masked: &'a str,
    regions: &'a [Region],
    macros: Macros<'a>,
    assembler: Assembler,
    containers: Vec<Handle>,
    /// Number of the next item of every open list; none for bullets.
    lists: Vec<Option<u64>>,
    quotes: usize,
    /// Open emphasis of Markdown.
    marks: Marks,
    /// Open emphasis of HTML.
    tags: Marks,
    /// Inside a block of code.
    code: bool,
    /// The number at the head of the last line that was numbered by hand: `(3)`, `3)`.
    numbered: u64,
}

impl Reader<'_> {
    fn event(&mut self, event: Event<'_>, range: Range<usize>) {
        match event {
            Event::Start(tag) => self.start(&tag, range),
            Event::End(tag) => self.end(tag, range),
            Event::Text(words) if !self.code => self.words(&words, range),
            Event::Code(words) => self.code_span(&words, range),
            Event::SoftBreak | Event::HardBreak => self.line_break(range),
            Event::Rule => self.end_block(),
            _ => {}
        }
    }

    fn start(&mut self, tag: &Tag<'_>, range: Range<usize>) {
        match tag {
            Tag::Paragraph => {
                if let Some(number) = line_number(&self.text[range]) {
                    self.numbered = number;
                }
                self.begin_block(BlockKind::Paragraph);
            }
            Tag::Heading { level, .. } => {
                let kind = self.heading_kind(*level as u8, range);
                self.begin_block(kind);
            }
            Tag::BlockQuote(_) => {
                self.quotes += 1;
                self.open(ContainerKind::Quote, range);
            }
            Tag::CodeBlock(CodeBlockKind::Fenced(_)) => {
                self.end_block();
                self.code = true;
            }
            Tag::CodeBlock(CodeBlockKind::Indented) => {
                self.end_block();
                self.code = !self.holds_mathematics(range);
            }
            Tag::List(first) => {
                self.end_block();
                self.lists.push(*first);
            }
            Tag::Item => {
                let depth = u8::try_from(self.lists.len()).unwrap_or(u8::MAX);
                let label = match self.lists.last_mut() {
                    Some(Some(number)) => {
                        *number += 1;
                        (*number - 1).to_string()
                    }
                    _ => String::new(),
                };
                self.open(ContainerKind::Item { label, depth }, range);
            }
            Tag::TableCell => self.begin_block(BlockKind::Cell),
            Tag::FootnoteDefinition(_) => self.end_block(),
            Tag::Emphasis => self.marks.emphasis += 1,
            Tag::Strong => self.marks.strong += 1,
            Tag::Strikethrough => self.marks.struck += 1,
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd, range: Range<usize>) {
        match tag {
            TagEnd::Paragraph | TagEnd::Heading(_) | TagEnd::TableCell => self.end_block(),
            TagEnd::FootnoteDefinition | TagEnd::Table => self.end_block(),
            TagEnd::BlockQuote(_) => {
                self.quotes = self.quotes.saturating_sub(1);
                self.close(range.end);
            }
            TagEnd::Item => self.close(range.end),
            TagEnd::CodeBlock => {
                self.code = false;
                self.end_block();
            }
            TagEnd::List(_) => {
                self.end_block();
                self.lists.pop();
            }
            TagEnd::Emphasis => self.marks.emphasis = self.marks.emphasis.saturating_sub(1),
            TagEnd::Strong => self.marks.strong = self.marks.strong.saturating_sub(1),
            TagEnd::Strikethrough => self.marks.struck = self.marks.struck.saturating_sub(1),
            _ => {}
        }
    }

    fn open(&mut self, kind: ContainerKind, range: Range<usize>) {
        self.reset_tags();
        let span = Span::new(range.start, range.end);
        let handle = self.assembler.open(kind, span);
        self.containers.push(handle);
    }

    fn close(&mut self, end: usize) {
        self.reset_tags();
        if let Some(handle) = self.containers.pop() {
            self.assembler.close(handle, end);
        }
    }

    fn begin_block(&mut self, kind: BlockKind) {
        self.reset_tags();
        self.assembler.begin_block(kind);
    }

    fn end_block(&mut self) {
        self.reset_tags();
        self.assembler.end_block();
    }

    /// Emphasis of HTML ends with its block, crossed-out text only with its closing tag.
    fn reset_tags(&mut self) {
        self.tags.strong = 0;
        self.tags.emphasis = 0;
    }

    fn style(&self) -> Style {
        Style {
            strong: 0 < self.marks.strong + self.tags.strong,
            emphasis: 0 < self.marks.emphasis + self.tags.emphasis,
            struck: 0 < self.marks.struck + self.tags.struck,
        }
    }

    /// A line of hyphens under a paragraph makes a heading of it; where the paragraph is long or
    /// has a display, it was meant to part blocks.
    fn heading_kind(&self, level: u8, range: Range<usize>) -> BlockKind {
        const LONGEST: usize = 160;
        let underlined = !self.text[range.clone()].trim_start().starts_with('#');
        let lines = self.text[range.clone()].trim_end().lines().count();
        let display = self.regions_in(range.clone()).iter().any(|region| {
            matches!(&region.kind, RegionKind::Formula { opener, .. } if !matches!(opener, Opener::Dollar | Opener::Parenthesis(_)))
        });
        if underlined && (2 < lines || LONGEST < range.len() || display) {
            BlockKind::Paragraph
        } else {
            BlockKind::Heading(level)
        }
    }

    /// Indented text is code for Markdown; with formulas in it, it was meant as text.
    fn holds_mathematics(&self, range: Range<usize>) -> bool {
        let formulas = self.regions_in(range.clone()).iter();
        let signs = ['ε', '≤', '≥', '∈', '∀', '→', 'ₙ', '∞', '√', 'δ', '−'];
        formulas
            .into_iter()
            .any(|region| matches!(region.kind, RegionKind::Formula { .. }))
            || self.text[range].contains(signs)
    }

    /// Regions that overlap a range.
    fn regions_in(&self, range: Range<usize>) -> &[Region] {
        let first = self
            .regions
            .partition_point(|region| region.range.end <= range.start);
        let count = self.regions[first..].partition_point(|region| region.range.start < range.end);
        &self.regions[first..first + count]
    }

    fn words(&mut self, words: &str, range: Range<usize>) {
        let first = self
            .regions
            .partition_point(|region| region.range.end <= range.start);
        if self.masked.get(range.clone()) != Some(words) {
            // An entity, or a text that the parser made up.
            let style = self.style();
            let span = Span::new(range.start, range.end);
            self.assembler.replacement(words, span, style);
            return;
        }
        let mut at = range.start;
        let regions = self.regions;
        for region in &regions[first..] {
            if range.end <= region.range.start {
                break;
            }
            self.keep(at..region.range.start.max(at));
            at = at.max(region.range.end);
            if range.start <= region.range.start {
                self.region(region);
            }
        }
        if at < range.end {
            self.keep(at..range.end);
        }
    }

    fn keep(&mut self, range: Range<usize>) {
        let style = self.style();
        self.assembler
            .verbatim(&self.text[range.clone()], range.start, style);
    }

    fn code_span(&mut self, words: &str, range: Range<usize>) {
        let style = self.style();
        let content = match self.text[range.clone()].find(words) {
            Some(offset) => {
                let start = range.start + offset;
                Mapped::verbatim(self.text, Span::new(start, start + words.len()))
            }
            None => {
                let mut content = Mapped::new();
                content.push_replacement(words, Span::new(range.start, range.end));
                content
            }
        };
        self.assembler.code(content, style);
    }

    fn line_break(&mut self, range: Range<usize>) {
        // Lines that are numbered one by one stand each for itself.
        if let Some(number) = line_number(&self.text[range.end..])
            && number == self.numbered + 1
            && (number > 1 || self.counts_on(range.end))
        {
            self.numbered = number;
            self.end_block();
            self.begin_block(BlockKind::Paragraph);
            return;
        }
        let style = self.style();
        if self.text[range.clone()].starts_with('\n') {
            self.assembler.verbatim("\n", range.start, style);
        } else {
            let span = Span::new(range.start, range.end);
            self.assembler.replacement("\n", span, style);
        }
    }

    /// Whether a line behind the one that begins at `from`, in the same paragraph, has number 2.
    fn counts_on(&self, from: usize) -> bool {
        self.text[from..]
            .lines()
            .take_while(|line| !line.trim().is_empty())
            .any(|line| line_number(line) == Some(2))
    }

    fn region(&mut self, region: &Region) {
        let range = region.range.clone();
        let span = Span::new(range.start, range.end);
        match &region.kind {
            RegionKind::Formula {
                opener,
                content,
                closed,
            } => self.formula(opener, content.clone(), *closed, span),
            RegionKind::Definition => {
                let text = &self.text[range];
                if let Some((name, end)) = command_at(text, 0) {
                    self.macros.define(name, text, end, &brace_pairs(text));
                }
            }
            RegionKind::Tag { tag, closes } => self.tag(*tag, *closes, span),
            RegionKind::Begin { name, title } => {
                let kind = ContainerKind::Environment {
                    name: name.clone(),
                    title: title.clone(),
                };
                self.assembler.open(kind, span);
            }
            RegionKind::End(name) => match self.assembler.open_environment(name) {
                Some(handle) => self.assembler.close(handle, span.end),
                None => {
                    let kind = NoticeKind::UnmatchedEnvironment(name.clone());
                    self.assembler.notice(kind, span);
                }
            },
            RegionKind::Words(words) => {
                let style = self.style();
                self.assembler.label(words, span, style);
            }
            RegionKind::Sign(sign) => {
                let style = self.style();
                self.assembler.replacement(sign, span, style);
            }
            RegionKind::Nothing => {}
        }
    }

    fn formula(&mut self, opener: &Opener, content: Range<usize>, closed: bool, span: Span) {
        if !closed {
            let mark = Span::new(span.start, content.start);
            let kind = match opener {
                Opener::Environment(name) => NoticeKind::UnmatchedEnvironment(name.clone()),
                _ => NoticeKind::UnclosedMath(self.text[mark.range()].to_owned()),
            };
            self.assembler.notice(kind, mark);
        }
        let source = self.source(content);
        let style = self.style();
        let notices = &mut self.assembler.notices;
        let delimiter = opener.delimiter();
        let piece = formula::from_source(source, span, delimiter, &mut self.macros, notices);
        if let Some(piece) = piece {
            self.assembler.math(piece, style);
        }
    }

    /// A formula's source without the marks of the quotes and the indents of the lists around it.
    fn source(&self, content: Range<usize>) -> Mapped {
        let mut source = Mapped::new();
        let contained = 0 < self.quotes || !self.lists.is_empty();
        let mut at = content.start;
        for (index, line) in self.text[content].split_inclusive('\n').enumerate() {
            let mut cut = 0;
            if 0 < index && contained {
                let blanks = |from: usize| {
                    let rest = &line[from..];
                    rest.len() - rest.trim_start_matches([' ', '\t']).len()
                };
                cut = blanks(0);
                for _ in 0..self.quotes {
                    if !line[cut..].starts_with('>') {
                        break;
                    }
                    cut += 1;
                    cut += blanks(cut);
                }
            }
            push_unescaped(&mut source, &line[cut..], at + cut);
            at += line.len();
        }
        source
    }

    fn tag(&mut self, tag: HtmlTag, closes: bool, span: Span) {
        let style = self.style();
        let count = |open: &mut usize| {
            *open = if closes {
                open.saturating_sub(1)
            } else {
                *open + 1
            };
        };
        match tag {
            HtmlTag::Block(level) => {
                self.end_block();
                if let Some(level) = level.filter(|_| !closes) {
                    self.begin_block(BlockKind::Heading(level));
                }
            }
            HtmlTag::LineBreak => self.assembler.replacement("\n", span, style),
            HtmlTag::Strong => count(&mut self.tags.strong),
            HtmlTag::Emphasis => count(&mut self.tags.emphasis),
            HtmlTag::Struck => count(&mut self.tags.struck),
            HtmlTag::Subscript | HtmlTag::Superscript if closes => {
                self.assembler.script("}", span, style);
            }
            HtmlTag::Subscript => self.assembler.script("_{", span, style),
            HtmlTag::Superscript => self.assembler.script("^{", span, style),
            HtmlTag::Other => {}
        }
    }
}

/// Appends a formula's source; HTML's names of the relation signs stand for the signs.
fn push_unescaped(source: &mut Mapped, text: &str, start: usize) {
    const NAMES: [(&str, &str); 3] = [("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")];
    let mut kept = 0;
    let mut at = 0;
    while let Some(found) = text[at..].find('&') {
        at += found;
        let named = NAMES.iter().find(|(name, _)| text[at..].starts_with(name));
        let Some((name, sign)) = named else {
            at += 1;
            continue;
        };
        source.push_verbatim(&text[kept..at], start + kept);
        source.push_replacement(sign, Span::new(start + at, start + at + name.len()));
        at += name.len();
        kept = at;
    }
    source.push_verbatim(&text[kept..], start + kept);
}

/// The number of a line that was numbered by hand: `(3) …`, `3) …`.
fn line_number(line: &str) -> Option<u64> {
    const LONGEST: usize = 3;
    let line = line.trim_start_matches([' ', '\t']);
    let line = line.strip_prefix('(').unwrap_or(line);
    let digits = line
        .bytes()
        .take(LONGEST)
        .take_while(u8::is_ascii_digit)
        .count();
    let (number, rest) = line.split_at(digits);
    let closed = rest.starts_with(") ") || rest.starts_with(")\t");
    closed.then(|| number.parse().ok())?
}
