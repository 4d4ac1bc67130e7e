//! The place of a finding in its draft: the rows it spans with carets below.

use super::escape::visible;
use super::paint::{Ink, Paint};
use super::wrap::width;
use crate::limits;
use source::Span;
use source::text::position::LineIndex;
use std::ops::Range;

/// Columns of context that are kept before a mark in a row that is too long.
const CONTEXT: usize = 24;

/// Rows with carets for `span`, every row behind `indent` spaces and a line number.
pub(crate) fn snippet(text: &str, lines: &LineIndex<'_>, span: Span, look: &Look) -> Vec<String> {
    let rows = marked_rows(text, lines, span);
    let gutter = rows.last().map_or(0, |row| row.number.to_string().len());
    let columns = look
        .columns
        .saturating_sub(look.indent + gutter + 3)
        .max(20);
    let mut out = Vec::new();
    let left_out = left_out(rows.len());
    for (index, row) in rows.iter().enumerate() {
        if left_out.contains(&index) {
            if index == left_out.start {
                out.push(look.row("", gutter, "…"));
            }
            continue;
        }
        let view = View::of(row, columns);
        out.push(look.row(&row.number.to_string(), gutter, &view.text));
        let carets = look.paint.ink(look.ink, &"^".repeat(view.marked));
        out.push(look.row("", gutter, &format!("{:1$}{carets}", "", view.before)));
    }
    out
}

/// How snippets look.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look {
    /// Colours.
    pub(crate) paint: Paint,
    /// Ink of the carets.
    pub(crate) ink: Ink,
    /// Columns of the report.
    pub(crate) columns: usize,
    /// Spaces before every row.
    pub(crate) indent: usize,
}

impl Look {
    fn row(&self, number: &str, gutter: usize, content: &str) -> String {
        let head = self.paint.ink(Ink::Faint, &format!("{number:>gutter$} │"));
        let row = format!("{:1$}{head} {content}", "", self.indent);
        row.trim_end().to_owned()
    }
}

/// A row of the draft and the bytes in it that are marked.
struct Row<'text> {
    number: usize,
    text: &'text str,
    mark: Range<usize>,
}

/// The rows that a span touches with content; at least the first.
fn marked_rows<'text>(text: &'text str, lines: &LineIndex<'_>, span: Span) -> Vec<Row<'text>> {
    let first = lines.report(span.start).line - 1;
    let last = lines.report(span.end).line - 1;
    let mut rows = Vec::new();
    for line in first..=last.max(first) {
        let (start, end) = (lines.line_start(line), lines.line_end(line));
        let row = text.get(start..end).unwrap_or_default();
        let from = span.start.clamp(start, end) - start;
        let to = span.end.clamp(start, end) - start;
        let marked = row.get(from..to).unwrap_or_default();
        let from = from + (marked.len() - marked.trim_start().len());
        let to = (from + marked.trim().len()).max(from);
        if line == first || from < to {
            rows.push(Row {
                number: line + 1,
                text: row,
                mark: from..to,
            });
        }
    }
    rows
}

/// Which rows of a long span are not shown.
fn left_out(rows: usize) -> Range<usize> {
    if rows <= limits::SNIPPET_ROWS {
        return rows..rows;
    }
    let head = limits::SNIPPET_ROWS.div_ceil(2);
    head..rows - (limits::SNIPPET_ROWS - head)
}

/// A row as shown: cut to the width, with the place of its mark in columns.
struct View {
    text: String,
    before: usize,
    marked: usize,
}

impl View {
    fn of(row: &Row<'_>, columns: usize) -> Self {
        let head = display(&row.text[..row.mark.start]);
        let mark = display(&row.text[row.mark.clone()]);
        let tail = display(&row.text[row.mark.end..]);
        let (mut before, mut marked) = (width(&head), width(&mark));
        if before + marked + width(&tail) <= columns {
            return Self {
                text: format!("{head}{mark}{tail}"),
                before,
                marked: marked.max(1),
            };
        }
        let room = columns.saturating_sub(marked + 4);
        let after = width(&tail).min(room.saturating_sub(before.min(CONTEXT)));
        let head = keep_end(&head, room.saturating_sub(after).max(8).min(before));
        before = width(&head);
        let mark = keep_start(&mark, columns.saturating_sub(before + 2).max(8));
        marked = width(&mark);
        let tail = keep_start(&tail, columns.saturating_sub(before + marked).max(1));
        Self {
            text: format!("{head}{mark}{tail}"),
            before,
            marked: marked.max(1),
        }
    }
}

/// A row's text with tabs as spaces and everything that acts made visible.
fn display(text: &str) -> String {
    visible(&text.replace('\t', "    ")).into_owned()
}

/// The end of `text` in at most `columns` columns, behind `…` if something is cut off.
fn keep_end(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let kept = text
        .char_indices()
        .map(|(at, _)| &text[at..])
        .find(|rest| width(rest) < columns)
        .unwrap_or_default();
    // A cut inside a word is harder to find again in the draft.
    let word = kept
        .find(' ')
        .filter(|&at| at < 12)
        .map_or(kept, |at| &kept[at..]);
    format!("…{word}")
}

/// The start of `text` in at most `columns` columns, before `…` if something is cut off.
fn keep_start(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let mut end = 0;
    let mut used = 1;
    for (at, character) in text.char_indices() {
        used += width(character.encode_utf8(&mut [0; 4]));
        if columns < used {
            break;
        }
        end = at + character.len_utf8();
    }
    format!("{}…", &text[..end])
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn shown(text: &str, part: &str, columns: usize) -> String {
        let start = text.find(part).unwrap();
        let look = Look {
            paint: Paint::plain(),
            ink: Ink::Faint,
            columns,
            indent: 0,
        };
        let span = Span::new(start, start + part.len());
        snippet(text, &LineIndex::new(text), span, &look).join("\n")
    }

    #[test]
    fn carets_stand_below_the_part() {
        let text = "a\nLet ε > 0 😀 and $n>N$ here\n";
        assert_eq!(
            shown(text, "$n>N$", 80),
            "2 │ Let ε > 0 😀 and $n>N$ here\n  │                  ^^^^^"
        );
    }

    #[test]
    fn long_rows_are_cut_around_the_mark() {
        let text = format!("{}HERE{}", "word ".repeat(60), " more".repeat(60));
        let out = shown(&text, "HERE", 60);
        let rows: Vec<&str> = out.lines().collect();
        assert!(rows.iter().all(|row| width(row) <= 60), "{out}");
        let caret = rows[1].chars().position(|c| c == '^').unwrap();
        let under: String = rows[0].chars().skip(caret).take(4).collect();
        assert_eq!(under, "HERE", "{out}");
        assert!(rows[0].contains('…'));
    }

    #[test]
    fn a_mark_wider_than_the_report_is_cut() {
        let text = format!("start {} end", "x".repeat(500));
        let out = shown(&text, &"x".repeat(500), 50);
        assert!(out.lines().all(|row| width(row) <= 50), "{out}");
    }

    #[test]
    fn several_rows() {
        let text = "one two\n   three\n\nfour five";
        assert_eq!(
            shown(text, "two\n   three\n\nfour", 80),
            "1 │ one two\n  │     ^^^\n2 │    three\n  │    ^^^^^\n4 │ four five\n  │ ^^^^"
        );
        let many: String = (0..20).map(|n| format!("row{n}\n")).collect();
        assert!(shown(&many, many.trim_end(), 80).contains("…"));
        assert!(shown(&many, many.trim_end(), 80).lines().count() <= 13);
    }

    #[test]
    fn an_empty_span_has_one_caret() {
        let look = Look {
            paint: Paint::plain(),
            ink: Ink::Faint,
            columns: 80,
            indent: 2,
        };
        let rows = snippet("", &LineIndex::new(""), Span::new(0, 0), &look);
        assert_eq!(rows, ["  1 │", "    │ ^"]);
    }
}
