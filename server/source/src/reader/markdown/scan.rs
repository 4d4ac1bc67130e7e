//! The first pass over Markdown: formulas, comments, tags and definitions are found on the raw
//! text and masked by neutral runs of the same length, so that the block parser sees plain words
//! in their place.

use super::html::{Tag, hides_content, tag_at};
use crate::reader::delimiters::{Delimiters, Found, Opener};
use crate::reader::macros::definition_end;
use crate::reader::tex::{bracket_at, command_at, group_at, mark_at};
use crate::reader::words::prose_words;
use std::collections::BTreeMap;
use std::ops::Range;

/// A masked stretch of the draft.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Region {
    pub(super) range: Range<usize>,
    pub(super) kind: RegionKind,
}

/// What stands in a masked stretch.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum RegionKind {
    Formula {
        opener: Opener,
        content: Range<usize>,
        closed: bool,
    },
    /// A macro's definition outside formulas.
    Definition,
    Tag {
        tag: Tag,
        closes: bool,
    },
    /// `\begin{proof}` of an environment that is no formula, with its optional argument.
    Begin {
        name: String,
        title: Option<String>,
    },
    End(String),
    /// `\ref{…}` and such: what is shown for it.
    Words(String),
    /// A sign of mathematics that was typed as another one.
    Sign(&'static str),
    /// Comments, front matter.
    Nothing,
}

/// The draft with its regions masked, byte for byte.
pub(super) struct Scanned {
    pub(super) masked: String,
    pub(super) regions: Vec<Region>,
}

/// The byte that ends of masked runs show: punctuation, as dollar signs are.
const EDGE: u8 = b'%';
/// The byte inside masked runs.
const FILL: u8 = b'x';

/// Scans a draft.
pub(super) fn scan(text: &str) -> Scanned {
    let mut scanner = Scanner {
        text,
        masked: text.as_bytes().to_vec(),
        regions: Vec::new(),
        delimiters: Delimiters::new(text, true),
        at: 0,
        missing: BTreeMap::new(),
        closing: Vec::new(),
        last: BTreeMap::new(),
    };
    scanner.front_matter();
    scanner.line_start();
    while scanner.at < text.len() {
        scanner.step();
    }
    // Only whole characters are masked; should that ever fail, the mask is neutral as a whole.
    let masked = String::from_utf8(scanner.masked).unwrap_or_else(|_| "x".repeat(text.len()));
    Scanned {
        masked,
        regions: scanner.regions,
    }
}

struct Scanner<'text> {
    text: &'text str,
    masked: Vec<u8>,
    regions: Vec<Region>,
    delimiters: Delimiters<'text>,
    at: usize,
    /// Closing marks that do not stand between the key's search and that byte.
    missing: BTreeMap<usize, usize>,
    /// Where arguments of text commands close, innermost last.
    closing: Vec<(usize, Tag)>,
    /// Last places of closing tags, by name.
    last: BTreeMap<String, Option<usize>>,
}

impl<'text> Scanner<'text> {
    fn rest(&self) -> &'text str {
        &self.text[self.at..]
    }

    fn mask(&mut self, range: Range<usize>) {
        let length = range.len();
        for (index, byte) in self.masked[range].iter_mut().enumerate() {
            let edge = index == 0 || index + 1 == length;
            *byte = if edge { EDGE } else { FILL };
        }
    }

    fn region(&mut self, range: Range<usize>, kind: RegionKind) {
        self.mask(range.clone());
        self.at = range.end;
        self.regions.push(Region { range, kind });
    }

    /// Masks by spaces, so that nothing is left for the block parser.
    fn blank(&mut self, range: Range<usize>, keep_lines: bool) {
        for byte in &mut self.masked[range.clone()] {
            if !(keep_lines && matches!(*byte, b'\n' | b'\r')) {
                *byte = b' ';
            }
        }
        self.at = range.end;
        self.regions.push(Region {
            range,
            kind: RegionKind::Nothing,
        });
    }

    fn front_matter(&mut self) {
        let mark = '\u{FEFF}'.len_utf8();
        if self.text.starts_with('\u{FEFF}') {
            self.blank(0..mark, false);
        }
        let start = self.at;
        let mut lines = self.rest().split_inclusive('\n');
        let Some(first) = lines.next().filter(|line| line.trim_end() == "---") else {
            return;
        };
        let mut end = start + first.len();
        for line in lines {
            end += line.len();
            if matches!(line.trim_end(), "---" | "...") {
                self.blank(start..end, true);
                return;
            }
        }
    }

    fn step(&mut self) {
        let rest = self.rest();
        let plain = rest.find(is_special).unwrap_or(rest.len());
        self.at += plain;
        let rest = self.rest();
        let Some(&byte) = rest.as_bytes().first() else {
            return;
        };
        match byte {
            b'\n' => {
                self.at += 1;
                self.line_start();
            }
            b'`' => self.code_span(),
            b'$' => self.formula(),
            b'\\' => self.backslash(),
            b'<' => self.angle(),
            b'*' => self.star(),
            b'~' => self.tilde(),
            b']' => self.link_target(),
            b'}' => self.closing_brace(),
            _ => self.address(),
        }
    }

    /// Skips container marks, and a fenced code block if one opens here.
    fn line_start(&mut self) {
        let bytes = self.text.as_bytes();
        let mut at = self.at;
        loop {
            while matches!(bytes.get(at), Some(b' ' | b'\t' | b'>')) {
                at += 1;
            }
            match list_marker(&bytes[at..]) {
                Some(length) => at += length,
                None => break,
            }
        }
        let rest = &self.text[at..];
        let fence = match rest.as_bytes().first() {
            Some(&byte @ (b'`' | b'~')) => byte,
            _ => return,
        };
        let length = run_length(rest, fence);
        let info = rest[length..].lines().next().unwrap_or_default();
        if length < 3 || fence == b'`' && info.contains('`') {
            return;
        }
        let start = at;
        let content = at + length + info.len();
        let mut line = content;
        let mut close = self.text.len();
        let mut end = self.text.len();
        while let Some(newline) = self.text[line..].find('\n') {
            line += newline + 1;
            let inside = self.text[line..].lines().next().unwrap_or_default();
            let shown = inside.trim_start_matches([' ', '\t', '>']);
            let closing = run_length(shown, fence);
            if length <= closing && shown[closing..].trim().is_empty() {
                close = line;
                end = line + inside.trim_end().len();
                break;
            }
        }
        if info.trim() == "math" {
            let kind = RegionKind::Formula {
                opener: Opener::Dollars,
                content: content..close,
                closed: end < self.text.len() || close < end,
            };
            self.region(start..end, kind);
        } else {
            self.at = end;
        }
    }

    fn code_span(&mut self) {
        let length = run_length(self.rest(), b'`');
        let start = self.at + length;
        self.at = start;
        if self
            .missing
            .get(&length)
            .is_some_and(|&until| start < until)
        {
            return;
        }
        let mut at = start;
        while at < self.text.len() {
            let rest = &self.text[at..];
            let Some(found) = rest.find(['`', '\n']) else {
                at = self.text.len();
                break;
            };
            at += found;
            if self.text.as_bytes()[at] == b'\n' {
                let next = self.text[at + 1..].trim_start_matches([' ', '\t', '>', '\r']);
                if next.is_empty() || next.starts_with('\n') {
                    break;
                }
                at += 1;
                continue;
            }
            let closing = run_length(&self.text[at..], b'`');
            at += closing;
            if closing == length {
                self.at = at;
                return;
            }
        }
        self.missing.insert(length, at);
    }

    /// A formula that opens here, or one character.
    fn formula(&mut self) {
        let at = self.at;
        let opener = self.delimiters.opener_at(at);
        if !opener.is_some_and(|(opener, start)| self.formula_of(opener, start)) {
            self.at = at + self.rest().chars().next().map_or(1, char::len_utf8);
        }
    }

    fn formula_of(&mut self, opener: Opener, start: usize) -> bool {
        let at = self.at;
        let (content, end, closed) = match self.delimiters.find(&opener, start) {
            Found::Formula { content, end } => (content, end, true),
            Found::Unclosed { content, end } => (content, end, false),
            Found::Literal => return false,
        };
        let escaped = matches!(opener, Opener::Parenthesis(_) | Opener::Bracket(_));
        if escaped && (!closed || is_escaped_text(&self.text[content.clone()])) {
            return false;
        }
        let kind = RegionKind::Formula {
            opener,
            content: self.without_backticks(content),
            closed,
        };
        self.region(at..end, kind);
        true
    }

    /// Some sites write inline formulas as code between dollars.
    fn without_backticks(&self, content: Range<usize>) -> Range<usize> {
        let text = &self.text[content.clone()];
        if 2 < text.len() && text.starts_with('`') && text.ends_with('`') {
            content.start + 1..content.end - 1
        } else {
            content
        }
    }

    fn backslash(&mut self) {
        let at = self.at;
        let rest = self.rest();
        // Some processors want the backslash itself escaped.
        let doubled = if rest.starts_with("\\\\(") {
            Some(Opener::Parenthesis("\\\\)"))
        } else if rest.starts_with("\\\\[") {
            Some(Opener::Bracket("\\\\]"))
        } else {
            None
        };
        if let Some(opener) = doubled {
            if !self.formula_of(opener, at + 3) {
                self.at = at + 2;
            }
            return;
        }
        if let Some(mark) = mark_at(self.text, at) {
            return self.environment(mark.name, mark.begins, mark.end);
        }
        if let Some(end) = definition_end(self.text, at) {
            return self.region(at..end, RegionKind::Definition);
        }
        let Some((name, end)) = command_at(self.text, at) else {
            self.at = self.text.len();
            return;
        };
        match name {
            "(" | "[" => self.formula(),
            "ref" | "eqref" | "label" | "tag" => match group_at(self.text, end) {
                Some(inside) => {
                    let shown = if name.ends_with("ref") {
                        format!("({})", self.text[inside.clone()].trim())
                    } else {
                        String::new()
                    };
                    self.region(at..inside.end + 1, RegionKind::Words(shown));
                }
                None => self.at = end,
            },
            _ if name.starts_with(|c: char| c.is_ascii_alphabetic()) => {
                self.text_command(name, end)
            }
            // An escaped sign; a line end after a backslash is left to the loop.
            "\n" | "\r" => self.at = at + 1,
            "{" | " " if self.is_difference(at, end) => {
                self.region(at..at + 1, RegionKind::Sign("∖"));
            }
            _ => self.at = end,
        }
    }

    /// `ℝ\{0}`: a backslash between a set and a brace that is closed without one means the
    /// difference of sets.
    fn is_difference(&self, at: usize, end: usize) -> bool {
        /// Sets that are taken away are short.
        const LONGEST: usize = 64;
        let before = self.text[..at].trim_end_matches(' ').chars().next_back();
        let rest = self.text[at + 1..].trim_start_matches(' ');
        let spaced = self.text[..end].ends_with(' ');
        let set =
            before.is_some_and(|c| c.is_alphabetic() && !c.is_lowercase() || ")]".contains(c));
        let close = rest.bytes().take(LONGEST).position(|byte| byte == b'}');
        let escaped = close.is_some_and(|close| rest[..close].ends_with('\\'));
        set && rest.starts_with('{') && close.is_some() && (spaced || !escaped)
    }

    /// Commands of LaTeX's running text, as some write them in Markdown.
    fn text_command(&mut self, name: &str, end: usize) {
        let at = self.at;
        let tag = match name {
            "textbf" | "underline" => Some(Tag::Strong),
            "emph" | "textit" => Some(Tag::Emphasis),
            "sout" => Some(Tag::Struck),
            "text" | "mbox" | "textrm" => Some(Tag::Other),
            _ => None,
        };
        let group = group_at(self.text, end);
        if let (Some(tag), Some(inside)) = (tag, &group) {
            self.closing.push((inside.end, tag));
            let kind = RegionKind::Tag { tag, closes: false };
            return self.region(at..inside.start, kind);
        }
        let nothing = matches!(
            name,
            "quad"
                | "qquad"
                | "noindent"
                | "medskip"
                | "bigskip"
                | "smallskip"
                | "newpage"
                | "hfill"
                | "qed"
                | "qedhere"
                | "newline"
                | "clearpage"
                | "pagebreak"
                | "centering"
        );
        match (nothing, matches!(name, "vspace" | "hspace"), group) {
            (true, _, _) => self.region(at..end, RegionKind::Words(" ".to_owned())),
            (_, true, Some(inside)) => {
                self.region(at..inside.end + 1, RegionKind::Words(" ".to_owned()));
            }
            _ => self.at = end,
        }
    }

    /// The brace that closes a text command's argument.
    fn closing_brace(&mut self) {
        let at = self.at;
        self.at += 1;
        while self.closing.last().is_some_and(|&(place, _)| place < at) {
            self.closing.pop();
        }
        if let Some(&(_, tag)) = self.closing.last().filter(|&&(place, _)| place == at) {
            self.closing.pop();
            self.region(at..at + 1, RegionKind::Tag { tag, closes: true });
        }
    }

    fn environment(&mut self, name: &str, begins: bool, mark_end: usize) {
        let at = self.at;
        if begins {
            if let Some((opener, start)) = self.delimiters.opener_at(at) {
                if !self.formula_of(opener, start) {
                    self.at = mark_end;
                }
                return;
            }
            // A title with formulas stays text, so that none is lost.
            let title = bracket_at(self.text, mark_end)
                .filter(|inside| !self.text[inside.clone()].contains(['$', '\\']));
            let end = title.as_ref().map_or(mark_end, |inside| inside.end + 1);
            let title = title.map(|inside| self.text[inside].trim().to_owned());
            let name = name.to_owned();
            self.region(at..end, RegionKind::Begin { name, title });
        } else {
            self.region(at..mark_end, RegionKind::End(name.to_owned()));
        }
    }

    fn angle(&mut self) {
        let at = self.at;
        if self.rest().starts_with("<!--")
            && let Some(end) = self.comment_end(at)
        {
            return self.comment(at..end);
        }
        if let Some(written) = tag_at(self.text, at) {
            let letter = written.name.len() == 1 && !written.attributes && !written.closes;
            if !letter || self.closes_later(written.name, at) {
                let mut end = written.end;
                if hides_content(written.name) && !written.closes {
                    end = self.element_end(written.name, end).unwrap_or(end);
                }
                let (tag, closes) = (written.tag, written.closes);
                return self.tag(at..end, tag, closes);
            }
        }
        let target = self.rest()[1..].split(['>', '<', ' ', '\n']).next();
        let link = target.is_some_and(|target| {
            target.starts_with("http") || target.starts_with("mailto:") || target.contains('@')
        });
        if link {
            self.at = at + 1 + target.map_or(0, str::len);
        } else {
            // A relation sign: it must not open a tag.
            self.masked[at] = EDGE;
            self.at = at + 1;
        }
    }

    fn comment_end(&mut self, at: usize) -> Option<usize> {
        let last = self.last_place("-->");
        last.filter(|&last| at + 4 <= last)?;
        self.text[at + 4..]
            .find("-->")
            .map(|found| at + 4 + found + 3)
    }

    fn last_place(&mut self, mark: &str) -> Option<usize> {
        if let Some(&place) = self.last.get(mark) {
            return place;
        }
        let place = self.text.rfind(mark);
        self.last.insert(mark.to_owned(), place);
        place
    }

    fn closes_later(&mut self, name: &str, at: usize) -> bool {
        self.last_place(&format!("</{name}>"))
            .is_some_and(|last| at < last)
    }

    fn element_end(&mut self, name: &str, start: usize) -> Option<usize> {
        let mark = format!("</{name}>");
        self.last_place(&mark).filter(|&last| start <= last)?;
        self.text[start..]
            .find(&mark)
            .map(|found| start + found + mark.len())
    }

    /// A comment that has its lines for itself vanishes with them, so that deleting it changes
    /// nothing; another one leaves a neutral run.
    fn comment(&mut self, range: Range<usize>) {
        match self.own_lines(range.clone()) {
            Some(line) => {
                let before = &self.text[..line];
                let start = before
                    .strip_suffix("\r\n")
                    .or_else(|| before.strip_suffix('\n'))
                    .map_or(line, str::len);
                self.blank(start..range.end, false);
            }
            None => self.region(range, RegionKind::Nothing),
        }
    }

    /// The start of the line, if nothing but container marks stands before the range and nothing
    /// behind it on its lines.
    fn own_lines(&self, range: Range<usize>) -> Option<usize> {
        let line = self.text[..range.start].rfind('\n').map_or(0, |at| at + 1);
        let before = self.text[line..range.start].trim_matches([' ', '\t', '>']);
        let after = self.text[range.end..].lines().next().unwrap_or_default();
        (before.is_empty() && after.trim().is_empty()).then_some(line)
    }

    fn tag(&mut self, range: Range<usize>, tag: Tag, closes: bool) {
        let alone = matches!(tag, Tag::Block(None)) && self.own_lines(range.clone()).is_some();
        if alone {
            self.blank(range, true);
        } else {
            self.region(range, RegionKind::Tag { tag, closes });
        }
    }

    /// A star between values multiplies; it must not open an emphasis.
    fn star(&mut self) {
        let at = self.at;
        let length = run_length(self.rest(), b'*');
        self.at = at + length;
        if length != 1 {
            return;
        }
        let mut before = self.text[..at].chars().rev();
        let mut after = self.text[at + 1..].chars();
        let (left, left_of_it) = (before.next(), before.next());
        let (right, right_of_it) = (after.next(), after.next());
        let value = |side: Option<char>, beyond: Option<char>, bracket: char| {
            side.is_some_and(|side| {
                let single = side.is_alphabetic() && !beyond.is_some_and(char::is_alphabetic);
                side == bracket || side.is_ascii_digit() || single
            })
        };
        if value(left, left_of_it, ')') && value(right, right_of_it, '(') {
            self.masked[at] = EDGE;
        }
    }

    /// A single tilde strikes nothing.
    fn tilde(&mut self) {
        let length = run_length(self.rest(), b'~');
        if length == 1 {
            self.masked[self.at] = EDGE;
        }
        self.at += length;
    }

    /// Skips the target of a link.
    fn link_target(&mut self) {
        /// Longer targets are text.
        const LONGEST: usize = 2048;
        let rest = self.rest();
        self.at += 1;
        if !rest.starts_with("](") {
            return;
        }
        let length = rest[2..]
            .bytes()
            .take(LONGEST)
            .position(|byte| matches!(byte, b')' | b' ' | b'\n' | b'$'));
        let Some(target) = length.map(|length| &rest[2..2 + length]) else {
            return;
        };
        let address = target.contains("://") || target.starts_with(['#', '/', '.']);
        if address {
            self.at += 1 + target.len();
        }
    }

    /// Skips a web address in running text.
    fn address(&mut self) {
        let rest = self.rest();
        let length = if rest.starts_with("http://") || rest.starts_with("https://") {
            rest.find(|c: char| c.is_whitespace() || matches!(c, ')' | '>' | ']'))
                .unwrap_or(rest.len())
        } else {
            1
        };
        self.at += length;
    }
}

fn is_special(c: char) -> bool {
    matches!(
        c,
        '\n' | '`' | '$' | '\\' | '<' | '*' | '~' | ']' | '}' | 'h'
    )
}

fn run_length(text: &str, byte: u8) -> usize {
    text.bytes().take_while(|&next| next == byte).count()
}

/// The length of a list marker with its space.
fn list_marker(bytes: &[u8]) -> Option<usize> {
    let digits = bytes
        .iter()
        .take_while(|byte| byte.is_ascii_digit())
        .count();
    let marker = match (digits, bytes.get(digits)) {
        (0, Some(b'-' | b'*' | b'+')) => 1,
        (1..=9, Some(b'.' | b')')) => digits + 1,
        _ => return None,
    };
    matches!(bytes.get(marker), Some(b' ' | b'\t')).then_some(marker + 1)
}

/// Whether `\(…\)` or `\[…\]` holds escaped brackets with text, not a formula: words, and no sign
/// of mathematics; or a reference number.
fn is_escaped_text(content: &str) -> bool {
    let trimmed = content.trim();
    let mathematical = trimmed.contains(['\\', '^', '_', '=', '<', '>', '+', '|', '≤', '≥', '∈']);
    let number = !trimmed.is_empty() && trimmed.chars().all(|c| c.is_ascii_digit());
    number && trimmed.len() == content.len() && trimmed.len() < 3
        || !mathematical && !prose_words(trimmed).is_empty()
}
