//! The editor's text: incremental edits by bytes or positions, and cheap snapshots.

use super::position::{Encoding, Position, rope_offset, rope_position};
use super::span::Span;
use ropey::Rope;

/// A draft while it is edited. A clone is a snapshot: it shares its text and costs nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EditorText {
    rope: Rope,
}

impl EditorText {
    /// The text as opened.
    #[must_use]
    pub fn new(text: &str) -> Self {
        Self {
            rope: Rope::from_str(text),
        }
    }

    /// Its length in bytes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rope.len_bytes()
    }

    /// Whether it has no text.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rope.len_bytes() == 0
    }

    /// How many lines it has; an empty text has one.
    #[must_use]
    pub fn line_count(&self) -> usize {
        self.rope.len_lines()
    }

    /// Replaces the bytes of `span` and returns the span really replaced: ends beyond the text
    /// or inside a character are moved back.
    pub fn replace_span(&mut self, span: Span, replacement: &str) -> Span {
        let start = self.rope.byte_to_char(span.start.min(self.len()));
        let end = self.rope.byte_to_char(span.end.min(self.len())).max(start);
        let replaced = Span::new(self.rope.char_to_byte(start), self.rope.char_to_byte(end));
        self.rope.remove(start..end);
        self.rope.insert(start, replacement);
        replaced
    }

    /// Replaces what stands between two positions (swapped if they are given backwards) and
    /// returns the bytes replaced.
    pub fn replace_range(
        &mut self,
        start: Position,
        end: Position,
        encoding: Encoding,
        replacement: &str,
    ) -> Span {
        let start = self.offset(start, encoding);
        let end = self.offset(end, encoding);
        self.replace_span(Span::new(start.min(end), start.max(end)), replacement)
    }

    /// Replaces the whole text.
    pub fn replace_all(&mut self, text: &str) {
        self.rope = Rope::from_str(text);
    }

    /// The byte at a position.
    #[must_use]
    pub fn offset(&self, position: Position, encoding: Encoding) -> usize {
        rope_offset(&self.rope, position, encoding)
    }

    /// The position of a byte.
    #[must_use]
    pub fn position(&self, offset: usize, encoding: Encoding) -> Position {
        rope_position(&self.rope, offset, encoding)
    }

    /// The text of `span`, its ends moved back to character borders inside the text.
    #[must_use]
    pub fn slice(&self, span: Span) -> String {
        let start = self.rope.byte_to_char(span.start.min(self.len()));
        let end = self.rope.byte_to_char(span.end.min(self.len())).max(start);
        self.rope.slice(start..end).to_string()
    }
}

impl std::fmt::Display for EditorText {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.rope
            .chunks()
            .try_for_each(|chunk| formatter.write_str(chunk))
    }
}
