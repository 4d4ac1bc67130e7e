//! The only converter between bytes and positions: lines, and columns in UTF-8, UTF-16, UTF-32.
//!
//! Lines end at LF, CRLF or CR only. Positions out of range are clamped: a line beyond the last
//! to the end of the text, a column beyond the line to its end (before the line's terminator),
//! a column inside a character (a surrogate pair, a UTF-8 sequence) to that character's start.

use ropey::Rope;

/// What a column counts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Encoding {
    /// Bytes of UTF-8.
    Utf8,
    /// Units of UTF-16.
    Utf16,
    /// Unicode scalar values.
    Utf32,
}

/// A place in a text, line and column from 0.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug, Default)]
pub struct Position {
    /// Line, from 0.
    pub line: usize,
    /// Column, from 0, in the units of an [`Encoding`].
    pub column: usize,
}

impl Position {
    /// The position of `line` and `column`, both from 0.
    #[must_use]
    pub fn new(line: usize, column: usize) -> Self {
        Self { line, column }
    }
}

/// A place as reports show it: line and column from 1, columns in Unicode scalar values, a
/// byte-order mark without a column.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct ReportPosition {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in Unicode scalar values.
    pub column: usize,
}

/// Bytes between two checkpoints of [`LineIndex`]; a conversion scans at most twice as many.
const STRIDE: usize = 256;

/// Characters counted from the start of the text to a checkpoint.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    scalars: usize,
    /// Characters that take two units of UTF-16.
    pairs: usize,
}

impl Tally {
    fn add(&mut self, byte: u8) {
        // Every byte but a continuation starts a character; four-byte ones lie beyond U+FFFF.
        self.scalars += usize::from(byte & 0xC0 != 0x80);
        self.pairs += usize::from(0xF0 <= byte);
    }

    fn units(self, encoding: Encoding) -> usize {
        match encoding {
            Encoding::Utf16 => self.scalars + self.pairs,
            Encoding::Utf8 | Encoding::Utf32 => self.scalars,
        }
    }
}

/// The lines of a text, built once, for many conversions. Conversions take time logarithmic in
/// the number of lines, however long a line is.
#[derive(Clone, Debug)]
pub struct LineIndex<'text> {
    text: &'text str,
    /// First byte of every line.
    starts: Vec<usize>,
    /// Counts at every multiple of [`STRIDE`].
    tallies: Vec<Tally>,
}

impl<'text> LineIndex<'text> {
    /// Reads the lines of `text`.
    #[must_use]
    pub fn new(text: &'text str) -> Self {
        let bytes = text.as_bytes();
        let mut starts = vec![0];
        let mut tallies = Vec::with_capacity(bytes.len() / STRIDE + 1);
        let mut tally = Tally::default();
        for (at, &byte) in bytes.iter().enumerate() {
            if at.is_multiple_of(STRIDE) {
                tallies.push(tally);
            }
            tally.add(byte);
            let carriage_return = byte == b'\r' && bytes.get(at + 1) != Some(&b'\n');
            if byte == b'\n' || carriage_return {
                starts.push(at + 1);
            }
        }
        if bytes.len().is_multiple_of(STRIDE) {
            tallies.push(tally);
        }
        Self {
            text,
            starts,
            tallies,
        }
    }

    /// How many lines there are; an empty text has one.
    #[must_use]
    pub fn line_count(&self) -> usize {
        self.starts.len()
    }

    /// First byte of a line from 0; the end of the text for lines beyond the last.
    #[must_use]
    pub fn line_start(&self, line: usize) -> usize {
        self.starts.get(line).copied().unwrap_or(self.text.len())
    }

    /// One past the last byte of a line from 0, its terminator left out.
    #[must_use]
    pub fn line_end(&self, line: usize) -> usize {
        let Some(&next) = self.starts.get(line.saturating_add(1)) else {
            return self.text.len();
        };
        let start = self.line_start(line);
        let bytes = self.text.as_bytes();
        let mut end = next;
        if start < end && bytes[end - 1] == b'\n' {
            end -= 1;
            if start < end && bytes[end - 1] == b'\r' {
                end -= 1;
            }
        } else if start < end && bytes[end - 1] == b'\r' {
            end -= 1;
        }
        end
    }

    /// The position of a byte; bytes beyond the end or inside a character are moved back.
    #[must_use]
    pub fn position(&self, offset: usize, encoding: Encoding) -> Position {
        let offset = floor_boundary(self.text, offset);
        let line = self.starts.partition_point(|&start| start <= offset) - 1;
        let start = self.starts[line];
        let column = match encoding {
            Encoding::Utf8 => offset - start,
            _ => self.tally(offset).units(encoding) - self.tally(start).units(encoding),
        };
        Position { line, column }
    }

    /// The byte at a position, clamped as the module says.
    #[must_use]
    pub fn offset(&self, position: Position, encoding: Encoding) -> usize {
        let start = self.line_start(position.line);
        let end = self.line_end(position.line);
        if encoding == Encoding::Utf8 {
            return floor_boundary(self.text, start.saturating_add(position.column).min(end));
        }
        let wanted = self
            .tally(start)
            .units(encoding)
            .saturating_add(position.column);
        let first = self
            .tallies
            .partition_point(|tally| tally.units(encoding) <= wanted);
        let mut at = (first.saturating_sub(1) * STRIDE).max(start);
        // A checkpoint may fall inside a character, whose start was counted before it.
        at = ceil_boundary(self.text, at);
        let mut units = self.tally(at).units(encoding);
        for character in self.text[at..end.max(at)].chars() {
            let next = units + width(character, encoding);
            if wanted < next {
                break;
            }
            units = next;
            at += character.len_utf8();
        }
        at.min(end)
    }

    /// The position of a byte as reports show it.
    #[must_use]
    pub fn report(&self, offset: usize) -> ReportPosition {
        let position = self.position(offset, Encoding::Utf32);
        let marks = usize::from(position.line == 0 && self.text.starts_with('\u{FEFF}'));
        ReportPosition {
            line: position.line + 1,
            column: position.column.saturating_sub(marks) + 1,
        }
    }

    fn tally(&self, offset: usize) -> Tally {
        let checkpoint = (offset / STRIDE).min(self.tallies.len() - 1);
        let mut tally = self.tallies[checkpoint];
        for &byte in &self.text.as_bytes()[checkpoint * STRIDE..offset] {
            tally.add(byte);
        }
        tally
    }
}

/// The position of a byte in a rope; bytes beyond the end or inside a character are moved back.
#[must_use]
pub fn rope_position(rope: &Rope, offset: usize, encoding: Encoding) -> Position {
    let character = rope.byte_to_char(offset.min(rope.len_bytes()));
    let line = rope.char_to_line(character);
    let start = rope.line_to_char(line);
    let column = match encoding {
        Encoding::Utf8 => rope.char_to_byte(character) - rope.char_to_byte(start),
        Encoding::Utf16 => rope.char_to_utf16_cu(character) - rope.char_to_utf16_cu(start),
        Encoding::Utf32 => character - start,
    };
    Position { line, column }
}

/// The byte of a rope at a position, clamped as the module says.
#[must_use]
pub fn rope_offset(rope: &Rope, position: Position, encoding: Encoding) -> usize {
    if rope.len_lines() <= position.line {
        return rope.len_bytes();
    }
    let start = rope.line_to_char(position.line);
    let mut end = rope.line_to_char(position.line + 1);
    if position.line + 1 < rope.len_lines() && start < end {
        let terminator = rope.char(end - 1);
        end -= 1;
        if terminator == '\n' && start < end && rope.char(end - 1) == '\r' {
            end -= 1;
        }
    }
    let character = match encoding {
        Encoding::Utf8 => {
            let wanted = rope.char_to_byte(start).saturating_add(position.column);
            rope.byte_to_char(wanted.min(rope.len_bytes()))
        }
        Encoding::Utf16 => {
            let wanted = rope.char_to_utf16_cu(start).saturating_add(position.column);
            rope.utf16_cu_to_char(wanted.min(rope.len_utf16_cu()))
        }
        Encoding::Utf32 => start.saturating_add(position.column),
    };
    rope.char_to_byte(character.min(end))
}

/// The last character border at or before `offset`.
pub(crate) fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn ceil_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at += 1;
    }
    at
}

fn width(character: char, encoding: Encoding) -> usize {
    match encoding {
        Encoding::Utf8 => character.len_utf8(),
        Encoding::Utf16 => character.len_utf16(),
        Encoding::Utf32 => 1,
    }
}
