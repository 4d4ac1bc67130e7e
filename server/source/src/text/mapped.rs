//! An excerpt that was rewritten (prefixes cut out, macros expanded) and still knows where each
//! of its bytes was typed.

use super::span::Span;
use std::ops::Range;

/// Text with a piecewise map into the draft.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Mapped {
    text: String,
    pieces: Vec<MapPiece>,
}

/// A stretch of the excerpt.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
struct MapPiece {
    /// Where it starts in the excerpt.
    at: usize,
    /// Where it was typed.
    span: Span,
    /// Copied byte by byte (else the whole stretch stands for the whole span).
    verbatim: bool,
}

impl Mapped {
    /// An empty excerpt.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The draft's own text at `span`, byte by byte.
    #[must_use]
    pub fn verbatim(draft: &str, span: Span) -> Self {
        let mut mapped = Self::new();
        mapped.push_verbatim(&draft[span.range()], span.start);
        mapped
    }

    /// Appends text that stands in the draft at `start`, byte by byte.
    pub fn push_verbatim(&mut self, text: &str, start: usize) {
        if text.is_empty() {
            return;
        }
        match self.pieces.last_mut() {
            // Neighbours in the draft stay one piece: long excerpts are copied token by token.
            Some(last) if last.verbatim && last.span.end == start => {
                last.span.end += text.len();
            }
            _ => self.pieces.push(MapPiece {
                at: self.text.len(),
                span: Span::new(start, start + text.len()),
                verbatim: true,
            }),
        }
        self.text.push_str(text);
    }

    /// Appends text that stands for all of `span` (a macro's expansion for its call).
    pub fn push_replacement(&mut self, text: &str, span: Span) {
        if text.is_empty() {
            return;
        }
        match self.pieces.last() {
            Some(last) if !last.verbatim && last.span == span => {}
            _ => self.pieces.push(MapPiece {
                at: self.text.len(),
                span,
                verbatim: false,
            }),
        }
        self.text.push_str(text);
    }

    /// Appends a part of another excerpt.
    pub fn push_mapped(&mut self, other: &Mapped, range: Range<usize>) {
        let first = other
            .pieces
            .partition_point(|piece| piece.at <= range.start)
            .saturating_sub(1);
        for (index, piece) in other.pieces.iter().enumerate().skip(first) {
            if range.end <= piece.at {
                break;
            }
            let piece_end = other
                .pieces
                .get(index + 1)
                .map_or(other.text.len(), |next| next.at);
            let from = piece.at.max(range.start);
            let to = piece_end.min(range.end);
            if from >= to {
                continue;
            }
            let text = &other.text[from..to];
            if piece.verbatim {
                self.push_verbatim(text, piece.span.start + (from - piece.at));
            } else {
                self.push_replacement(text, piece.span);
            }
        }
    }

    /// A part of this excerpt.
    #[must_use]
    pub fn slice(&self, range: Range<usize>) -> Mapped {
        let mut part = Mapped::new();
        part.push_mapped(self, range);
        part
    }

    /// This excerpt without white space at its ends.
    #[must_use]
    pub fn trimmed(&self) -> Mapped {
        let from = self.text.len() - self.text.trim_start().len();
        let to = self.text.trim_end().len().max(from);
        self.slice(from..to)
    }

    /// Drops everything from byte `length` on (a character border).
    pub(crate) fn truncate(&mut self, length: usize) {
        self.text.truncate(length);
        while self.pieces.last().is_some_and(|piece| length <= piece.at) {
            self.pieces.pop();
        }
        if let Some(last) = self.pieces.last_mut().filter(|last| last.verbatim) {
            last.span.end = last.span.start + (self.text.len() - last.at);
        }
    }

    /// Its length in bytes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.text.len()
    }

    /// Whether it has no text.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// The text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Where the bytes `range` of the excerpt were typed: the smallest span of the draft that
    /// covers them. An empty range gives an empty span at its place.
    #[must_use]
    pub fn span(&self, range: Range<usize>) -> Span {
        if range.start >= range.end {
            let at = self.place(range.start);
            return Span::new(at, at);
        }
        let first = self.pieces.partition_point(|piece| piece.at <= range.start);
        let mut found: Option<Span> = None;
        for index in first.saturating_sub(1)..self.pieces.len() {
            let piece = self.pieces[index];
            if piece.at >= range.end {
                break;
            }
            let piece_end = self
                .pieces
                .get(index + 1)
                .map_or(self.text.len(), |next| next.at);
            let span = if piece.verbatim {
                let from = range.start.max(piece.at) - piece.at;
                let to = range.end.min(piece_end) - piece.at;
                Span::new(piece.span.start + from, piece.span.start + to)
            } else {
                piece.span
            };
            found = Some(found.map_or(span, |so_far| so_far.to(span)));
        }
        found.unwrap_or_default()
    }

    /// Where the bytes `range` of the excerpt were typed, if exactly these bytes stand there or
    /// they are all that a macro's call gives: what replaces that span then replaces them and
    /// nothing else.
    #[must_use]
    pub fn typed(&self, range: Range<usize>) -> Option<Span> {
        let first = self.pieces.partition_point(|piece| piece.at <= range.start);
        let index = first.checked_sub(1)?;
        let piece = *self.pieces.get(index)?;
        let piece_end = self
            .pieces
            .get(index + 1)
            .map_or(self.text.len(), |next| next.at);
        if range.is_empty() || piece_end < range.end {
            return None;
        }
        if piece.verbatim {
            let start = piece.span.start + (range.start - piece.at);
            return Some(Span::new(start, start + range.len()));
        }
        let shared = self
            .pieces
            .iter()
            .enumerate()
            .any(|(other, part)| other != index && piece.span.contains(part.span));
        (range == (piece.at..piece_end) && !shared).then_some(piece.span)
    }

    /// The span of the whole excerpt.
    #[must_use]
    pub fn whole(&self) -> Span {
        self.span(0..self.text.len())
    }

    fn place(&self, at: usize) -> usize {
        let index = self.pieces.partition_point(|piece| piece.at <= at);
        match index.checked_sub(1).map(|index| self.pieces[index]) {
            None => self.pieces.first().map_or(0, |piece| piece.span.start),
            Some(piece) if piece.verbatim => {
                (piece.span.start + (at - piece.at)).min(piece.span.end)
            }
            Some(piece) if at == self.text.len() => piece.span.end,
            Some(piece) => piece.span.start,
        }
    }
}
