//! The report for a mark book: one row an argument, RFC 4180.

use super::escape::one_line;
use crate::run::{ReviewedDraft, Run};
use checks::{Finding, Severity};
use source::text::position::LineIndex;
use std::borrow::Cow;

/// The columns of the contract, in its order.
const COLUMNS: [&str; 13] = [
    "draft",
    "argument",
    "title",
    "proved",
    "refuted",
    "unsettled",
    "unread",
    "errors",
    "warnings",
    "established",
    "first_check",
    "first_line",
    "first_message",
];

/// The report as text. A draft without arguments and a path that was not reviewed have a row as
/// well, so that nobody is missing from the mark book.
///
/// # Errors
/// If a row cannot be written, which no row here is.
pub(crate) fn render(run: &Run) -> Result<String, String> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let mut rows = vec![COLUMNS.map(str::to_owned)];
    for reviewed in &run.drafts {
        if reviewed.review.arguments.is_empty() {
            rows.push(bare(&reviewed.draft.path, "no argument was found"));
        }
        let lines = LineIndex::new(&reviewed.draft.text);
        let arguments = 0..reviewed.review.arguments.len();
        rows.extend(arguments.map(|index| row(reviewed, &lines, index)));
    }
    for skipped in &run.skipped {
        let reason = format!("not reviewed: {}", skipped.reason);
        rows.push(bare(&skipped.path, &reason));
    }
    for row in rows {
        let cells = row.iter().map(|cell| harmless(cell).into_owned());
        writer
            .write_record(cells)
            .map_err(|error| error.to_string())?;
    }
    let bytes = writer.into_inner().map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}

fn bare(path: &str, message: &str) -> [String; 13] {
    let mut row = [const { String::new() }; 13];
    row[0] = path.to_owned();
    row[12] = one_line(message);
    row
}

fn row(reviewed: &ReviewedDraft, lines: &LineIndex<'_>, index: usize) -> [String; 13] {
    let review = &reviewed.review;
    let argument = &review.arguments[index];
    let count = |severity: Severity| {
        let same = |one: &&Finding| one.argument == index && one.severity == severity;
        review.findings.iter().filter(same).count().to_string()
    };
    let first = argument
        .first_finding
        .and_then(|position| review.findings.get(position));
    let of_first = |tell: &dyn Fn(&Finding) -> String| first.map(tell).unwrap_or_default();
    [
        reviewed.draft.path.clone(),
        (index + 1).to_string(),
        argument.title.as_deref().map(one_line).unwrap_or_default(),
        argument.tally.proved.to_string(),
        argument.tally.refuted.to_string(),
        argument.tally.unsettled.to_string(),
        argument.tally.unread.to_string(),
        count(Severity::Error),
        count(Severity::Warning),
        argument
            .established
            .map(|established| established.to_string())
            .unwrap_or_default(),
        of_first(&|finding| finding.check.name.to_owned()),
        of_first(&|finding| lines.report(finding.span.start).line.to_string()),
        of_first(&|finding| one_line(&super::words::whole(finding))),
    ]
}

/// A cell that no spreadsheet takes for a formula.
fn harmless(cell: &str) -> Cow<'_, str> {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        Cow::Owned(format!("'{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::report::example;

    fn read(text: &str) -> Vec<Vec<String>> {
        csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes())
            .records()
            .map(|record| record.unwrap().iter().map(str::to_owned).collect())
            .collect()
    }

    #[test]
    fn every_argument_has_its_row() {
        let text = render(&example::run()).unwrap();
        assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
        let rows = read(&text);
        assert_eq!(rows[0], COLUMNS);
        assert_eq!(
            rows[1][..12],
            [
                "sheets/one.md",
                "1",
                "Exercise 1",
                "1",
                "1",
                "1",
                "1",
                "1",
                "0",
                "false",
                "bound-fails",
                "5"
            ]
        );
        assert!(
            rows[1][12].contains("At n = 1, x = 1 the left side is 1/2"),
            "{rows:?}"
        );
        assert_eq!(rows[2][9..], ["true", "", "", ""]);
        assert_eq!(rows[3][..3], ["sheets/README.md", "", ""]);
        assert_eq!(rows[4][12], "not reviewed: no such file or folder");
    }

    #[test]
    fn no_cell_is_a_formula() {
        for begin in ["=", "+", "-", "@", "\t", "\r"] {
            let mut run = example::run();
            run.drafts[0].draft.path = format!("{begin}1+cmd, \"x\"\n.md");
            run.drafts[0].review.arguments[0].title = Some(format!("{begin}2"));
            let rows = read(&render(&run).unwrap());
            assert_eq!(rows[1][0], format!("'{begin}1+cmd, \"x\"\n.md"));
            assert!(rows[1][2].starts_with('\'') || begin.trim().is_empty());
        }
        assert_eq!(harmless("a=b"), "a=b");
    }
}
