//! Spans as ranges of the protocol, and spans of an older text found again in a newer one.

use source::Span;
use source::text::position::{Encoding, LineIndex, Position as TextPosition};
use tower_lsp::lsp_types::{Position, Range};

/// The protocol's position of a byte.
pub(crate) fn position(lines: &LineIndex<'_>, offset: usize, encoding: Encoding) -> Position {
    let position = lines.position(offset, encoding);
    Position {
        line: clamp(position.line),
        character: clamp(position.column),
    }
}

/// The protocol's range of a span.
pub(crate) fn range(lines: &LineIndex<'_>, span: Span, encoding: Encoding) -> Range {
    Range {
        start: position(lines, span.start, encoding),
        end: position(lines, span.end, encoding),
    }
}

/// A position of the protocol as one of the text.
pub(crate) fn of(position: Position) -> TextPosition {
    TextPosition::new(position.line as usize, position.character as usize)
}

/// A number as the protocol holds it.
pub(crate) fn clamp(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// What stayed the same between two versions of a text: a start and an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Drift {
    /// Bytes at the start that are equal.
    prefix: usize,
    /// Length of the older text without the bytes at its end that are equal.
    older_middle: usize,
    /// The same of the newer text.
    newer_middle: usize,
}

impl Drift {
    /// Compares two texts.
    pub(crate) fn between(older: &str, newer: &str) -> Self {
        let (older, newer) = (older.as_bytes(), newer.as_bytes());
        let same = |(left, right): &(&u8, &u8)| left == right;
        let prefix = older.iter().zip(newer).take_while(same).count();
        // Start and end may overlap: each is used on its own.
        let backwards = older.iter().rev().zip(newer.iter().rev());
        let suffix = backwards.take_while(same).count();
        Self {
            prefix,
            older_middle: older.len() - suffix,
            newer_middle: newer.len() - suffix,
        }
    }

    /// Where a span of the older text stands in the newer one; `None` if it was touched.
    pub(crate) fn newer(self, span: Span) -> Option<Span> {
        if span.end <= self.prefix {
            return Some(span);
        }
        (self.older_middle <= span.start)
            .then(|| Span::new(self.moved(span.start), self.moved(span.end)))
    }

    /// Where a long span stands, though something inside of it was touched; `None` if an end was.
    pub(crate) fn around(self, span: Span) -> Option<Span> {
        let place = |offset: usize| match offset <= self.prefix {
            true => Some(offset),
            false => (self.older_middle <= offset).then(|| self.moved(offset)),
        };
        let (start, end) = (place(span.start)?, place(span.end)?);
        (start <= end).then(|| Span::new(start, end))
    }

    /// A byte of the equal end in the newer text.
    fn moved(self, offset: usize) -> usize {
        offset - self.older_middle + self.newer_middle
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn untouched_spans_are_found_again() {
        let older = "one two three";
        for (newer, part, found) in [
            ("one 2 three", "one", true),
            ("one 2 three", "three", true),
            ("one 2 three", "two", false),
            ("zero one two three", "two", true),
            ("one two three", "two", true),
            ("", "two", false),
            ("one two two three", "three", true),
            ("ε one two three", "one", true),
        ] {
            let start = older.find(part).unwrap();
            let span = Span::new(start, start + part.len());
            let moved = Drift::between(older, newer).newer(span);
            let text = moved.map(|span| &newer[span.range()]);
            assert_eq!(text, found.then_some(part), "{newer}");
        }
    }

    #[test]
    fn long_spans_keep_their_ends() {
        let older = "one two three";
        for (newer, expected) in [
            ("one two three", Some("two three")),
            ("one two or three", Some("two or three")),
            ("ε one two three", Some("two three")),
            ("one two thr", Some("two thr")),
            ("onXo three", None),
        ] {
            let around = Drift::between(older, newer).around(Span::new(4, older.len()));
            assert_eq!(around.map(|span| &newer[span.range()]), expected, "{newer}");
        }
    }
}
