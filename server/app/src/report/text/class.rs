//! The report of a class: a table of all arguments, and the mistakes by frequency.

use super::Page;
use crate::limits;
use crate::report::class::{self, Mistake, Script};
use crate::report::escape::{one_line, visible};
use crate::report::paint::Ink;
use crate::report::words;
use crate::report::wrap::{hang, shorten, width, wrap};
use crate::run::{ReviewedDraft, Run};
use checks::ArgumentReport;
use source::text::position::LineIndex;

/// Heads of the columns between the titles and the first mistake.
const HEADS: [&str; 5] = ["holds", "false", "open", "unread", "shown"];

/// Head of the last column.
const LAST_HEAD: &str = "first mistake (line: check)";

/// Most columns of an argument's title.
const TITLE_COLUMNS: usize = 14;

/// Fewest and most columns of a script's name.
const NAME_COLUMNS: (usize, usize) = (20, 34);

/// A row of the table.
#[derive(Default)]
struct Row {
    /// The folder of the script, with `/` at its end.
    folder: String,
    script: String,
    title: String,
    cells: [String; 5],
    mistake: String,
    faulty: bool,
}

impl Page {
    /// The table, and the mistakes of the class.
    pub(super) fn class(&mut self, run: &Run, by_folder: bool) {
        let scripts = class::scripts(run, by_folder);
        let common = class::common_folder(run);
        if !common.is_empty() {
            let said = format!("Scripts in {}", visible(common));
            let said = self.ink(Ink::Title, &said);
            self.push(said);
            self.gap();
        }
        self.table(&scripts);
        self.gap();
        self.exercises(run);
        self.gap();
        self.mistakes(&scripts);
    }

    fn table(&mut self, scripts: &[Script<'_>]) {
        let rows: Vec<Row> = scripts.iter().flat_map(rows).collect();
        let longest =
            |cell: fn(&Row) -> &String| rows.iter().map(|row| width(cell(row))).max().unwrap_or(0);
        let title = longest(|row| &row.title).clamp(8, TITLE_COLUMNS);
        let mistake = longest(|row| &row.mistake).max(LAST_HEAD.len());
        let numbers: usize = HEADS.iter().map(|head| head.len() + 1).sum();
        // A table may be a little wider than running text.
        let columns = self.style.columns.max(limits::TABLE_COLUMNS);
        let rest = columns.saturating_sub(title + numbers + mistake + 3);
        let name = longest(|row| &row.script)
            .clamp(6, NAME_COLUMNS.1)
            .min(rest.max(NAME_COLUMNS.0));
        let line = |script: &str, title_text: &str, cells: &[&str], mistake: &str| {
            let mut line = format!("{} {}", fill(script, name), fill(title_text, title));
            for (cell, head) in cells.iter().zip(HEADS) {
                line.push_str(&format!(" {cell:>0$}", head.len()));
            }
            format!("{line}  {mistake}").trim_end().to_owned()
        };
        let head = line("script", "argument", &HEADS, LAST_HEAD);
        let head = self.ink(Ink::Title, &head);
        self.push(head);
        let mut before = ("", "");
        for row in &rows {
            if row.folder != before.0 {
                self.gap();
                let folder = self.ink(Ink::Title, &row.folder);
                self.push(folder);
            }
            // A script's name stands before its first argument only.
            let script = if (row.folder.as_str(), row.script.as_str()) == before {
                String::new()
            } else {
                keep_end(&row.script, name)
            };
            before = (&row.folder, &row.script);
            let cells: Vec<&str> = row.cells.iter().map(String::as_str).collect();
            let title = shorten(&row.title, title);
            let room = columns.saturating_sub(width(&line(&script, &title, &cells, "")) + 2);
            let told = line(&script, &title, &cells, &shorten(&row.mistake, room));
            let told = if row.faulty {
                told
            } else {
                self.ink(Ink::Faint, &told)
            };
            self.push(told);
        }
    }

    /// How each exercise went.
    fn exercises(&mut self, run: &Run) {
        let exercises = class::exercises(run);
        if exercises.is_empty() {
            return;
        }
        let longest = exercises.iter().map(|one| width(&one.number)).max();
        let number = longest.unwrap_or(0).max("exercise".len());
        let head = format!(
            "{} answers shown with a mistake  most frequent first mistake",
            fill("exercise", number)
        );
        let head = self.ink(Ink::Title, &head);
        self.push(head);
        for one in exercises {
            let usual = one
                .usual
                .map_or_else(String::new, |(check, times)| format!("{check} ({times})"));
            let line = format!(
                "{} {:>7} {:>5} {:>14}  {usual}",
                fill(&one.number, number),
                one.answers,
                one.shown,
                one.faulty
            );
            self.push(line.trim_end().to_owned());
        }
    }

    fn mistakes(&mut self, scripts: &[Script<'_>]) {
        let mistakes = class::mistakes(scripts);
        if mistakes.is_empty() {
            return;
        }
        let head = self.ink(Ink::Title, "What went wrong, most frequent first");
        self.push(head);
        for mistake in &mistakes {
            self.gap();
            self.mistake(mistake, scripts);
        }
    }

    fn mistake(&mut self, mistake: &Mistake<'_>, scripts: &[Script<'_>]) {
        let columns = self.style.columns;
        let times = mistake.places.len();
        let often = if times == mistake.scripts.len() {
            String::new()
        } else {
            format!(", {times} times")
        };
        let severities = mistake.places.iter().map(|place| place.finding.severity);
        let severity = severities.min().unwrap_or(mistake.check.severity);
        let name = self.ink(Ink::Severity(severity), mistake.check.name);
        let counted = words::counted(scripts.len(), "script", "scripts");
        self.push(format!(
            "{name}  in {} of {counted}{often}",
            mistake.scripts.len()
        ));
        self.push(wrap(mistake.check.summary, columns, super::INDENT));
        let place = &mistake.places[mistake.example];
        let path = one_line(&place.reviewed.draft.path);
        let text = &place.reviewed.draft.text;
        let line = LineIndex::new(text).report(place.finding.span.start).line;
        let quote = one_line(text.get(place.finding.span.range()).unwrap_or_default());
        let quote = shorten(&quote, super::CLAIM_COLUMNS);
        let example = format!("For example {path}:{line}: {quote}");
        self.push(hang(&example, columns, super::INDENT, super::INDENT + 2));
        let message = one_line(&words::whole(place.finding));
        self.push(wrap(&message, columns, super::INDENT + 2));
        let mut others: Vec<String> = mistake
            .places
            .iter()
            .enumerate()
            .filter(|(at, _)| *at != mistake.example)
            .map(|(_, place)| {
                let lines = LineIndex::new(&place.reviewed.draft.text);
                let line = lines.report(place.finding.span.start).line;
                let script = &scripts[place.script];
                let file = match script.drafts.as_slice() {
                    [_] => script.name.as_str(),
                    _ => place.reviewed.draft.path.as_str(),
                };
                format!("{}:{line}", one_line(file))
            })
            .collect();
        let more = others.len().saturating_sub(limits::OTHER_PLACES);
        if 1 < more {
            others.truncate(limits::OTHER_PLACES);
            others.push(format!("and {more} more places"));
        }
        if !others.is_empty() {
            let also = format!("Also in {}", others.join(", "));
            self.push(hang(&also, columns, super::INDENT, super::INDENT + 2));
        }
    }
}

fn rows(script: &Script<'_>) -> Vec<Row> {
    let name = one_line(&script.name);
    let (folder, name) = match name.rfind('/') {
        Some(slash) => name.split_at(slash + 1),
        None => ("", name.as_str()),
    };
    let (folder, name) = (folder.to_owned(), name.to_owned());
    let mut rows = Vec::new();
    for (_, reviewed) in &script.drafts {
        let lines = LineIndex::new(&reviewed.draft.text);
        for argument in &reviewed.review.arguments {
            rows.push(Row {
                folder: folder.clone(),
                script: name.clone(),
                ..row(reviewed, argument, &lines)
            });
        }
    }
    if rows.is_empty() {
        rows.push(Row {
            folder,
            script: name,
            title: "none found".to_owned(),
            ..Row::default()
        });
    }
    rows
}

/// An argument's row, its script left open.
fn row(reviewed: &ReviewedDraft, argument: &ArgumentReport, lines: &LineIndex<'_>) -> Row {
    let line = |offset| lines.report(offset).line;
    let first = argument
        .first_finding
        .and_then(|position| reviewed.review.findings.get(position));
    let tally = argument.tally;
    let number = |count: usize| match count {
        0 => "·".to_owned(),
        _ => count.to_string(),
    };
    Row {
        title: argument
            .title
            .as_deref()
            .map_or_else(|| format!("line {}", line(argument.span.start)), one_line),
        cells: [
            number(tally.proved),
            number(tally.refuted),
            number(tally.unsettled),
            number(tally.unread),
            words::shown(argument).to_owned(),
        ],
        mistake: first.map_or_else(String::new, |finding| {
            format!("{}: {}", line(finding.span.start), finding.check.name)
        }),
        faulty: first.is_some() || argument.established != Some(true),
        ..Row::default()
    }
}

/// The text in exactly that many columns.
fn fill(text: &str, columns: usize) -> String {
    let used = width(text);
    format!("{text}{:1$}", "", columns.saturating_sub(used))
}

/// The end of a path, which tells scripts apart.
fn keep_end(path: &str, columns: usize) -> String {
    if width(path) <= columns {
        return path.to_owned();
    }
    path.char_indices()
        .map(|(at, _)| &path[at..])
        .find(|rest| width(rest) < columns)
        .map_or_else(String::new, |rest| format!("…{rest}"))
}
