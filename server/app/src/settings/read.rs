//! The text of `majorant.toml` as a course; every key that is not known is an error.

use super::{Course, Exercise};
use crate::report::escape::one_line;
use checks::Severity;
use checks::catalogue::{CHECKS, find};
use source::text::position::LineIndex;
use std::fmt::Write;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Keys of the file, and of its tables.
const TABLES: [&str; 4] = ["conventions", "severity", "macros", "exercise"];
const CONVENTIONS: [&str; 2] = ["naturals", "thresholds"];
const EXERCISE: [&str; 4] = ["number", "title", "statement", "domain"];

/// All of them, for the test of the guide.
#[cfg(test)]
pub(super) const KEYS: [&[&str]; 3] = [&TABLES, &CONVENTIONS, &EXERCISE];

/// A table with the places of its keys.
type Table<'text> = DeTable<'text>;

/// What a key may have as its value.
type Value<'text> = Spanned<DeValue<'text>>;

/// A fault of the file.
struct Fault {
    at: usize,
    reason: String,
}

impl Fault {
    fn new(at: usize, reason: impl Into<String>) -> Self {
        Self {
            at,
            reason: reason.into(),
        }
    }
}

/// The course that the text describes.
///
/// # Errors
/// One line in words that begins with the line of the fault.
pub(super) fn course(text: &str) -> Result<Course, String> {
    let lines = LineIndex::new(text);
    let told = |fault: Fault| format!("line {}: {}", lines.report(fault.at).line, fault.reason);
    let table = DeTable::parse(text).map_err(|error| {
        let at = error.span().map_or(0, |span| span.start);
        told(Fault::new(at, one_line(error.message())))
    })?;
    let mut course = read(table.get_ref()).map_err(told)?;
    text.clone_into(&mut course.source);
    Ok(course)
}

fn read(table: &Table<'_>) -> Result<Course, Fault> {
    keys(table, &TABLES, "the file")?;
    let mut course = Course::default();
    if let Some(value) = table.get("conventions") {
        conventions(inner(value)?, &mut course)?;
    }
    if let Some(value) = table.get("severity") {
        severities(inner(value)?, &mut course)?;
    }
    if let Some(value) = table.get("macros") {
        macros(inner(value)?, &mut course)?;
    }
    if let Some(value) = table.get("exercise") {
        let at = value.span().start;
        let DeValue::Array(entries) = value.get_ref() else {
            return Err(Fault::new(at, "exercises begin with [[exercise]]"));
        };
        for entry in entries.iter() {
            let exercise = exercise(entry)?;
            course.exercises.push(exercise);
        }
    }
    Ok(course)
}

fn inner<'a, 'text>(value: &'a Value<'text>) -> Result<&'a Table<'text>, Fault> {
    match value.get_ref() {
        DeValue::Table(table) => Ok(table),
        _ => Err(Fault::new(value.span().start, "this is no table")),
    }
}

/// Every key of the table is one of the known ones.
fn keys(table: &Table<'_>, known: &[&str], place: &str) -> Result<(), Fault> {
    for (key, _) in table.iter() {
        let name: &str = key.get_ref();
        if !known.contains(&name) {
            let near = nearest(name, known.iter().copied())
                .map_or_else(String::new, |near| format!("; did you mean {near:?}?"));
            let all = known.join(", ");
            let reason = format!("there is no key {name:?} in {place}{near} (known: {all})");
            return Err(Fault::new(key.span().start, reason));
        }
    }
    Ok(())
}

/// The known name that is most like the given one.
pub(crate) fn nearest<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    known
        .map(|other| (strsim::damerau_levenshtein(name, other), other))
        .min()
        .filter(|(steps, other)| *steps <= other.len().max(6) / 2)
        .map(|(_, other)| other)
}

fn conventions(table: &Table<'_>, course: &mut Course) -> Result<(), Fault> {
    keys(table, &CONVENTIONS, "[conventions]")?;
    let convention = &mut course.settings.convention;
    if let Some(value) = table.get("naturals") {
        convention.zero_is_natural = match number(value).as_deref() {
            Some("0") => true,
            Some("1") => false,
            _ => return Err(Fault::new(value.span().start, "naturals is 0 or 1")),
        };
    }
    if let Some(value) = table.get("thresholds") {
        convention.real_thresholds = match value.get_ref().as_str() {
            Some("real") => true,
            Some("integer") => false,
            _ => {
                let reason = "thresholds is \"integer\" or \"real\"";
                return Err(Fault::new(value.span().start, reason));
            }
        };
    }
    Ok(())
}

/// An integer as it is written.
fn number(value: &Value<'_>) -> Option<String> {
    value
        .get_ref()
        .as_integer()
        .map(|integer| integer.to_string())
}

fn severities(table: &Table<'_>, course: &mut Course) -> Result<(), Fault> {
    let names: Vec<&str> = CHECKS.iter().map(|check| check.name).collect();
    for (key, value) in table.iter() {
        let name: &str = key.get_ref();
        let Some(check) = find(name) else {
            let near = nearest(name, names.iter().copied())
                .map_or_else(String::new, |near| format!("; did you mean {near:?}?"));
            let reason = format!("there is no check {name:?}{near} (majorant guide lists all)");
            return Err(Fault::new(key.span().start, reason));
        };
        let severity = match value.get_ref().as_str() {
            Some("error") => Some(Severity::Error),
            Some("warning") => Some(Severity::Warning),
            Some("information") => Some(Severity::Information),
            Some("hint") => Some(Severity::Hint),
            Some("off") => None,
            _ => {
                let reason =
                    "a severity is \"error\", \"warning\", \"information\", \"hint\" or \"off\"";
                return Err(Fault::new(value.span().start, reason));
            }
        };
        course.settings.severities.insert(check.name, severity);
    }
    Ok(())
}

fn macros(table: &Table<'_>, course: &mut Course) -> Result<(), Fault> {
    for (key, value) in table.iter() {
        let written: &str = key.get_ref();
        let name = written.strip_prefix('\\').unwrap_or(written);
        if name.is_empty() || !name.chars().all(|letter| letter.is_ascii_alphabetic()) {
            let reason = format!("a macro's name has letters only: {written:?}");
            return Err(Fault::new(key.span().start, reason));
        }
        let at = value.span().start;
        let Some(body) = value.get_ref().as_str() else {
            return Err(Fault::new(at, "a macro is a text in quotation marks"));
        };
        if !balanced(body) {
            return Err(Fault::new(at, "the braces of this macro do not match"));
        }
        let arguments = (1..=9)
            .rev()
            .find(|number| body.contains(&format!("#{number}")))
            .unwrap_or(0);
        // Writing to a text cannot fail.
        let _ = match arguments {
            0 => writeln!(course.macros, "\\newcommand{{\\{name}}}{{{body}}}"),
            _ => writeln!(
                course.macros,
                "\\newcommand{{\\{name}}}[{arguments}]{{{body}}}"
            ),
        };
    }
    Ok(())
}

fn balanced(body: &str) -> bool {
    let mut depth = 0_usize;
    let mut escaped = false;
    for character in body.chars() {
        match character {
            '{' if !escaped => depth += 1,
            '}' if !escaped => match depth.checked_sub(1) {
                Some(less) => depth = less,
                None => return false,
            },
            _ => {}
        }
        escaped = character == '\\' && !escaped;
    }
    depth == 0 && !escaped
}

fn exercise(entry: &Value<'_>) -> Result<Exercise, Fault> {
    let table = inner(entry)?;
    let at = entry.span().start;
    keys(table, &EXERCISE, "[[exercise]]")?;
    let text = |name: &str| match table.get(name) {
        None => Ok(None),
        Some(value) => match value.get_ref().as_str().map(str::to_owned) {
            Some(text) if !text.trim().is_empty() => Ok(Some(text)),
            _ if name == "number" => number(value).map(Some).ok_or(value),
            _ => Err(value),
        }
        .map_err(|value| {
            let reason = format!("{name} is a text in quotation marks");
            Fault::new(value.span().start, reason)
        }),
    };
    let exercise = Exercise::new(
        text("number")?,
        text("title")?,
        text("statement")?,
        text("domain")?,
    );
    exercise.map_err(|reason| {
        let place = table.iter().next();
        Fault::new(place.map_or(at, |(key, _)| key.span().start), reason)
    })
}
