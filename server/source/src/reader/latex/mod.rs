//! LaTeX documents and fragments into blocks.
//!
//! Comments and code go first, then user macros are expanded, then the text is read from left to
//! right with a stack of open groups and environments. What does not close is closed where it
//! must end at the latest.

mod commands;
mod environments;
mod lists;

use super::assemble::Assembler;
use super::block::{BlockKind, Document, NoticeKind, Style};
use super::delimiters::{Delimiters, Found, Opener};
use super::expand::{expand, learn_course};
use super::formula;
use super::macros::Macros;
use super::strip::strip;
use super::tex::{blank_line_follows, group_at};
use super::{Companions, Format};
use crate::text::mapped::Mapped;
use crate::text::span::Span;
use environments::Open;
use std::ops::Range;

/// Reads a LaTeX draft.
pub(crate) fn read(text: &str, companions: &Companions) -> Document {
    let mut macros = Macros::new(companions);
    learn_course(&mut macros);
    let mut notices = Vec::new();
    let whole = Mapped::verbatim(text, Span::new(0, text.len()));
    let source = expand(strip(&whole), &mut macros, &mut notices);
    let mut assembler = Assembler::new(Format::Latex);
    assembler.notices = notices;
    let mut reader = Reader {
        source: &source,
        text: source.text(),
        at: 0,
        end: source.len(),
        macros: &macros,
        assembler,
        delimiters: Delimiters::new(source.text(), false),
        style: Style::default(),
        stack: Vec::new(),
    };
    reader.document();
    reader.close_rest();
    let includes = macros.includes.clone();
    reader.assembler.finish(text.len(), includes)
}

/// The state of reading.
struct Reader<'a> {
    source: &'a Mapped,
    text: &'a str,
    at: usize,
    end: usize,
    macros: &'a Macros<'a>,
    assembler: Assembler,
    delimiters: Delimiters<'a>,
    style: Style,
    stack: Vec<Open>,
}

impl Reader<'_> {
    /// Reads the title and what stands between `\begin{document}` and `\end{document}`; a
    /// fragment is read whole.
    fn document(&mut self) {
        if self.text.starts_with('\u{FEFF}') {
            self.at = '\u{FEFF}'.len_utf8();
        }
        let end = self.text.find("\\end{document}");
        if let Some(begin) = self.text.find("\\begin{document}") {
            self.title(begin);
            self.at = begin + "\\begin{document}".len();
        }
        if let Some(end) = end.filter(|&end| self.at <= end) {
            self.end = end;
        }
        self.run(self.end);
    }

    fn title(&mut self, preamble_end: usize) {
        let Some(found) = self.text[..preamble_end].find("\\title") else {
            return;
        };
        let after = found + "\\title".len();
        let space = super::tex::skip_space(self.text, after);
        if let Some(inside) = group_at(self.text, space) {
            self.assembler.begin_block(BlockKind::Heading(1));
            self.at = inside.start;
            self.run(inside.end);
            self.close_rest();
            self.assembler.end_block();
        }
    }

    fn run(&mut self, end: usize) {
        while self.at < end {
            let rest = &self.text[self.at..end];
            let plain = rest.find(is_special).unwrap_or(rest.len());
            if 0 < plain {
                self.keep(self.at..self.at + plain);
                self.at += plain;
                continue;
            }
            self.special();
        }
    }

    /// Words as they stand.
    fn keep(&mut self, range: Range<usize>) {
        self.assembler.words(self.source, range, self.style);
    }

    /// Words that stand for a range.
    fn put(&mut self, words: &str, range: Range<usize>) {
        let span = self.source.span(range);
        self.assembler.replacement(words, span, self.style);
    }

    /// Words that stand for a range and hold no formula.
    fn put_label(&mut self, words: &str, range: Range<usize>) {
        let span = self.source.span(range);
        self.assembler.label(words, span, self.style);
    }

    fn special(&mut self) {
        let at = self.at;
        let rest = &self.text[at..];
        let mut length = 1;
        match rest.as_bytes()[0] {
            b'\\' => return self.backslash(),
            b'$' => return self.formula_or_sign(),
            b'\n' if blank_line_follows(self.text, at) => {
                self.end_paragraph();
                length = rest.len() - rest.trim_start().len();
            }
            b'{' => self.open_group(),
            b'}' => self.close_group(),
            b'~' => self.put(" ", at..at + 1),
            b'&' if self.in_table() => self.next_cell(),
            b'&' => self.put(" ", at..at + 1),
            b'`' | b'\'' | b'-' => length = self.ligature(rest),
            b'^' | b'_' => {
                let group = group_at(self.text, at + 1);
                length = group.map_or(1, |inside| inside.end + 1 - at);
                self.keep(at..at + length);
            }
            _ => self.keep(at..at + 1),
        }
        self.at = (at + length).min(self.end.max(at + 1));
    }

    fn ligature(&mut self, rest: &str) -> usize {
        const LIGATURES: [(&str, &str); 5] = [
            ("---", "—"),
            ("--", "–"),
            ("``", "“"),
            ("''", "”"),
            ("`", "‘"),
        ];
        let at = self.at;
        for (written, printed) in LIGATURES {
            if rest.starts_with(written) {
                self.put(printed, at..at + written.len());
                return written.len();
            }
        }
        self.keep(at..at + 1);
        1
    }

    /// A formula if one opens here, else the sign itself.
    fn formula_or_sign(&mut self) {
        let at = self.at;
        if !self.formula() {
            let sign = self.text[at..].chars().next().map_or(1, char::len_utf8);
            self.keep(at..at + sign);
            self.at = at + sign;
        }
    }

    /// Reads the formula that opens here, if one does.
    fn formula(&mut self) -> bool {
        let at = self.at;
        let Some((opener, start)) = self.delimiters.opener_at(at) else {
            return false;
        };
        let (content, end, closed) = match self.delimiters.find(&opener, start) {
            Found::Formula { content, end } => (content, end, true),
            Found::Unclosed { content, end } => (content, end, false),
            Found::Literal => {
                if let Opener::Environment(name) = &opener {
                    let span = self.source.span(at..start);
                    let kind = NoticeKind::UnmatchedEnvironment(name.clone());
                    self.assembler.notice(kind, span);
                    self.at = start;
                    return true;
                }
                return false;
            }
        };
        let span = self.source.span(at..end);
        if !closed {
            let kind = match &opener {
                Opener::Environment(name) => NoticeKind::UnmatchedEnvironment(name.clone()),
                _ => NoticeKind::UnclosedMath(self.text[at..start].to_owned()),
            };
            let mark = self.source.span(at..start);
            self.assembler.notice(kind, mark);
        }
        let content = self.source.slice(content);
        let piece = formula::from_expanded(
            content,
            span,
            opener.delimiter(),
            &mut self.assembler.notices,
        );
        if let Some(piece) = piece {
            self.assembler.math(piece, self.style);
        }
        self.at = end;
        true
    }

    fn end_paragraph(&mut self) {
        // Arguments of text commands hold no blank line: what is open lacks its brace.
        while matches!(self.stack.last(), Some(Open::Group { argument: true, .. })) {
            self.pop();
        }
        self.assembler.end_block();
    }
}

fn is_special(c: char) -> bool {
    matches!(
        c,
        '\\' | '$' | '{' | '}' | '~' | '&' | '\n' | '`' | '\'' | '-' | '^' | '_'
    )
}
