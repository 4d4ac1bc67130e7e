//! Edits of a text, and the way back from the edited text.

use super::nowhere;
use source::Span;
use std::ops::Range;

/// A stretch of a text and what stands there instead.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Edit {
    pub(super) range: Range<usize>,
    pub(super) text: String,
}

/// An edited text.
#[derive(Debug)]
pub(super) struct Edited {
    pub(super) text: String,
    /// Every edit: where it was, and where its text is now.
    pieces: Vec<(Range<usize>, Range<usize>)>,
}

impl Edited {
    /// Carries out `edits`, which lie apart from each other.
    pub(super) fn new(text: &str, mut edits: Vec<Edit>) -> Self {
        edits.sort_by_key(|edit| edit.range.start);
        let mut edited = String::with_capacity(text.len());
        let mut pieces = Vec::with_capacity(edits.len());
        let mut at = 0;
        for Edit { range, text: new } in edits {
            edited.push_str(text.get(at..range.start).unwrap_or_default());
            let start = edited.len();
            edited.push_str(&new);
            at = range.end;
            pieces.push((range, start..edited.len()));
        }
        edited.push_str(text.get(at..).unwrap_or_default());
        Self {
            text: edited,
            pieces,
        }
    }

    /// Whether nothing was edited.
    pub(super) fn is_plain(&self) -> bool {
        self.pieces.is_empty()
    }

    /// The span in the text before; `None` if it lies within an edit.
    pub(super) fn back(&self, span: Span) -> Option<Span> {
        let within = self
            .pieces
            .iter()
            .any(|(_, new)| new.start <= span.start && span.end <= new.end && !new.is_empty());
        if within {
            return None;
        }
        let start = self.offset(span.start, true);
        let end = self.offset(span.end, false);
        Some(Span::new(start, end.max(start)))
    }

    /// The span in the text before, or the place of the edit in which it lies.
    pub(super) fn place(&self, span: Span) -> Span {
        self.back(span).unwrap_or_else(|| {
            self.pieces
                .iter()
                .find(|(_, new)| new.start <= span.start && span.end <= new.end)
                .map_or(nowhere(0), |(old, _)| Span::new(old.start, old.end))
        })
    }

    fn offset(&self, offset: usize, starts: bool) -> usize {
        let before = self.pieces.partition_point(|(_, new)| {
            if starts {
                new.start <= offset
            } else {
                new.start < offset
            }
        });
        let Some((old, new)) = before.checked_sub(1).and_then(|last| self.pieces.get(last)) else {
            return offset;
        };
        if new.end <= offset {
            old.end + (offset - new.end)
        } else if starts {
            old.end
        } else {
            old.start
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_find_their_way_back() {
        let edit = |range: Range<usize>, text: &str| Edit {
            range,
            text: text.to_owned(),
        };
        let edited = Edited::new("0123456789", vec![edit(5..7, ""), edit(2..2, "abc")]);
        assert_eq!(edited.text, "01abc234789");
        assert_eq!(edited.back(Span::new(0, 2)), Some(Span::new(0, 2)));
        assert_eq!(edited.back(Span::new(2, 5)), None);
        assert_eq!(edited.place(Span::new(3, 4)), Span::new(2, 2));
        assert_eq!(edited.back(Span::new(3, 7)), Some(Span::new(2, 4)));
        assert_eq!(edited.back(Span::new(5, 8)), Some(Span::new(2, 5)));
        assert_eq!(edited.back(Span::new(8, 11)), Some(Span::new(7, 10)));
        assert_eq!(edited.back(Span::new(6, 10)), Some(Span::new(3, 9)));
    }
}
