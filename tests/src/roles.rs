//! Sentences whose formulas have a known role: parsed, read, and compared with what is said of
//! them.

use crate::draft::{files_below, project, relative};
use argument::{Convention, Entry, Role};
use source::{Companions, Format, Span};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// A small draft with marked formulas.
#[derive(Clone, PartialEq, Debug)]
pub struct Passage {
    /// File, position in it and topic.
    pub name: String,
    /// The text without the marks.
    pub text: String,
    /// Its language.
    pub format: Format,
    /// Its marked formulas in order.
    pub marked: Vec<Marked>,
}

/// A formula with its role.
#[derive(Clone, PartialEq, Debug)]
pub struct Marked {
    /// Where the formula stands in [`Passage::text`], with its signs of mathematics.
    pub span: Span,
    /// What it says, one row each: the roles of which one is to be said, the likeliest first.
    pub roles: Vec<Vec<Role>>,
}

/// The passages below a folder of the corpus.
///
/// # Panics
/// If a file cannot be read or departs from the format.
#[must_use]
pub fn passages(half: &str) -> Vec<Passage> {
    let folder = project().join("tests/corpora/roles").join(half);
    let mut passages = Vec::new();
    for path in files_below(&folder) {
        let text =
            fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let name = relative(&path, &folder);
        for (position, entry) in text.split("=== ").skip(1).enumerate() {
            let (head, body) = entry.split_once('\n').expect("a text below its heading");
            let (language, topic) = head.split_once(": ").expect("a topic");
            let format = match language {
                "md" => Format::Markdown,
                "tex" => Format::Latex,
                other => panic!("{name}: no language {other:?}"),
            };
            let name = format!("{half}/{name} {} ({language}, {topic})", position + 1);
            passages.push(passage(name, body, format));
        }
    }
    passages
}

fn passage(name: String, body: &str, format: Format) -> Passage {
    let mut text = String::new();
    let mut marked = Vec::new();
    let mut opened = None;
    let mut rest = body;
    while let Some(at) = rest.find(['⟦', '⟧', '«']) {
        text.push_str(&rest[..at]);
        let sign = rest[at..].chars().next().unwrap_or_default();
        rest = &rest[at + sign.len_utf8()..];
        match sign {
            '⟦' => opened = Some(text.len()),
            '«' => {
                let (label, after) = rest.split_once('»').expect("a closed mark");
                rest = after;
                let start = opened.take().or_else(|| formula_before(&text));
                let start = start.unwrap_or_else(|| panic!("{name}: no formula before {label}"));
                marked.push(Marked {
                    span: Span::new(start, text.len()),
                    roles: label
                        .split(',')
                        .map(|row| alternatives(&name, row))
                        .collect(),
                });
            }
            _ => {}
        }
    }
    text.push_str(rest);
    Passage {
        name,
        text,
        format,
        marked,
    }
}

/// Where the formula begins that ends with the text.
fn formula_before(text: &str) -> Option<usize> {
    const PAIRS: [(&str, &str); 4] = [("\\)", "\\("), ("\\]", "\\["), ("$$", "$$"), ("$", "$")];
    if let Some(name) = text
        .strip_suffix('}')
        .and_then(|own| own.rsplit('{').next())
    {
        return text.rfind(&format!("\\begin{{{name}}}"));
    }
    let (close, open) = PAIRS.iter().find(|(close, _)| text.ends_with(close))?;
    text[..text.len() - close.len()].rfind(open)
}

fn alternatives(name: &str, row: &str) -> Vec<Role> {
    row.split('/')
        .map(|word| {
            let role = Role::ALL.into_iter().find(|role| role.word() == word);
            role.unwrap_or_else(|| panic!("{name}: no role {word:?}"))
        })
        .collect()
}

/// Of one role: how often it is right, how often it is said, how often that is so.
#[derive(Clone, Copy, Default, PartialEq, Eq, Debug)]
pub struct Figure {
    /// Formulas with this role.
    pub marked: usize,
    /// Those of them of which it, or what is as right, is said.
    pub found: usize,
    /// Formulas of which it is said.
    pub said: usize,
    /// Those of them of which it is right.
    pub right: usize,
}

/// The figures of passages by role, and what differs, one line each.
#[must_use]
pub fn compare(passages: &[Passage]) -> (BTreeMap<Role, Figure>, Vec<String>) {
    let mut figures: BTreeMap<Role, Figure> = BTreeMap::new();
    let mut differences = Vec::new();
    for passage in passages {
        let document = source::read(&passage.text, passage.format, &Companions::new());
        let outline = argument::read(&passage.text, &document, &Convention::default());
        let entries: Vec<&Entry> = outline
            .arguments
            .iter()
            .flat_map(|argument| &argument.entries)
            .collect();
        for own in &passage.marked {
            let said = said_of(&entries, own.span);
            let missed = own.roles.iter().filter(|row| {
                let found = row.iter().any(|role| said.contains(role));
                let figure = figures.entry(row[0]).or_default();
                figure.marked += 1;
                figure.found += usize::from(found);
                !found
            });
            let missed = missed.count();
            let mut wrong = 0;
            for role in &said {
                let right = own.roles.iter().any(|row| row.contains(role));
                let figure = figures.entry(*role).or_default();
                figure.said += 1;
                figure.right += usize::from(right);
                wrong += usize::from(!right);
            }
            if 0 < missed + wrong {
                let words: Vec<&str> = said.iter().map(|role| role.word()).collect();
                differences.push(format!(
                    "{}: {} is {:?}, read as {words:?}",
                    passage.name,
                    &passage.text[own.span.range()],
                    own.roles,
                ));
            }
        }
    }
    (figures, differences)
}

/// The roles of a formula: of the entries that end in it; where there are none, of those that it
/// is a part of (a conclusion is its sentence).
fn said_of(entries: &[&Entry], formula: Span) -> BTreeSet<Role> {
    let roles = |take: &dyn Fn(Span) -> bool| -> BTreeSet<Role> {
        let entries = entries.iter().filter(|entry| take(entry.span));
        entries.filter_map(|entry| entry.role).collect()
    };
    let own = roles(&|entry| formula.start < entry.end && entry.end <= formula.end);
    if own.is_empty() {
        roles(&|entry| entry.start < formula.end && formula.start < entry.end)
    } else {
        own
    }
}
