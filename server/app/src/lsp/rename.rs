//! Another name for one binding: every place of it and no other, or a reason why not. An index, a
//! point or a parameter is renamed in all of its argument. What the change makes of the draft is read before it
//! is offered.

use super::edits::{Change, applied};
use super::reading::Present;
use crate::aided::{Named, Reading};
use argument::notation::elaborate::symbol;
use argument::notation::parse::parse;
use argument::notation::syntax::{Name, Segment, StatementKind, TermKind};
use argument::notation::unicode;
use argument::{Mention, Naming, Origin, Use};
use source::Span;
use source::text::position::LineIndex;

/// Letters that everybody takes for something else in a formula.
const TAKEN: [&str; 2] = ["e", "d"];

/// What a new name is given to.
struct Target<'a> {
    named: &'a Named,
    /// Every binding that is renamed with it, itself among them.
    group: Vec<&'a Named>,
    /// All their places in the order of the text.
    places: Vec<Mention>,
    /// The arguments in which they stand.
    arguments: Vec<Span>,
}

impl<'a> Target<'a> {
    fn at(present: &'a Present, offset: usize) -> Result<(Self, Span), String> {
        let (named, span) = present
            .name_at(offset)
            .ok_or("There is no name of a formula here.")?;
        let group = present.renamed_with(named);
        let all = group.iter().flat_map(|one| &one.naming.places);
        let mut places: Vec<Mention> = all.copied().collect();
        places.sort();
        places.dedup();
        let arguments = group.iter().flat_map(|one| present.arguments_of(one));
        let target = Self {
            named,
            arguments: arguments.collect(),
            group,
            places,
        };
        target.is_replaceable(present)?;
        Ok((target, span))
    }

    fn holds(&self, span: Span) -> bool {
        self.arguments.iter().any(|one| one.contains(span))
    }

    /// Whether all places can be changed.
    fn is_replaceable(&self, present: &Present) -> Result<(), String> {
        let name = &self.named.naming.name;
        if self.group.iter().any(|one| one.elsewhere) {
            return Err(format!(
                "{name} stands also in the sheet or in a comment that is read, and is not changed there."
            ));
        }
        if let Some(place) = self.places.iter().find(|place| !place.exact) {
            let typed = present.text.get(place.span.range()).unwrap_or_default();
            return Err(format!(
                "{name} stands also inside of “{typed}” in line {}: change it there by hand.",
                line(present, place.span.start)
            ));
        }
        let places = self.places.iter();
        let mut spellings: Vec<&str> = places
            .filter_map(|place| present.text.get(place.span.range()))
            .collect();
        spellings.sort_unstable();
        spellings.dedup();
        let unread = present.reading.unread.iter().find(|unread| {
            let text = present.text.get(unread.range()).unwrap_or_default();
            self.holds(**unread) && spellings.iter().any(|spelling| text.contains(spelling))
        });
        match unread {
            Some(unread) => Err(format!(
                "Line {} was not understood and may speak of {name} too.",
                line(present, unread.start)
            )),
            None => Ok(()),
        }
    }

    /// Whether nothing has the new name where the old one stands. A letter with and without an
    /// index are two names, but f is taken for the limit of f_n.
    fn is_free(&self, present: &Present, spelling: &str) -> Result<(), String> {
        let others = present.reading.names.iter().map(|other| &other.naming);
        let taken = others
            .filter(|other| other.name.as_str() == spelling)
            .flat_map(|other| &other.places)
            .find(|place| self.holds(place.span));
        match taken {
            Some(place) => Err(format!(
                "{spelling} already has a meaning here, see line {}.",
                line(present, place.span.start)
            )),
            None => Ok(()),
        }
    }
}

/// The place at a byte whose name can be changed, and the name as typed there.
///
/// # Errors
/// Why there is none, in one sentence.
pub(crate) fn prepare(present: &Present, offset: usize) -> Result<(Span, String), String> {
    let (_, span) = Target::at(present, offset)?;
    let typed = present.text.get(span.range()).unwrap_or_default();
    Ok((span, typed.to_owned()))
}

/// The changes that give the name at a byte another spelling; `read` reads the changed draft.
///
/// # Errors
/// Why it cannot be done, in one sentence.
pub(crate) fn changes(
    present: &Present,
    offset: usize,
    new: &str,
    read: &dyn Fn(&str) -> Reading,
) -> Result<Vec<Change>, String> {
    let (target, _) = Target::at(present, offset)?;
    let named = target.named;
    let new = bare(new);
    let name = single(new).ok_or_else(|| {
        format!("“{new}” is no single name: write a letter, or a letter with a fixed index.")
    })?;
    let spelling = symbol(&name).as_str().to_owned();
    if named.naming.indexed && name.subscript.is_some() {
        return Err("The index runs and stays as it is: give the letter alone.".to_owned());
    }
    if TAKEN.contains(&spelling.as_str()) {
        return Err(format!("{spelling} has a meaning of its own in formulas."));
    }
    if spelling == named.naming.name.as_str() {
        return Ok(Vec::new());
    }
    target.is_free(present, &spelling)?;
    let mut trouble = None;
    for braces in [Braces::BehindKnownCommands, Braces::BehindAnyCommand] {
        let places = target.places.iter();
        let changes: Vec<Change> = places
            .map(|place| {
                Ok((
                    place.span,
                    spelled(present, place.span, new, &name, braces)?,
                ))
            })
            .collect::<Result<_, String>>()?;
        let text = applied(&present.text, 0..present.text.len(), &changes);
        let moved = Moved {
            changes: &changes,
            text: &present.text,
            new,
        };
        let after = read(&text);
        match difference(present, &target, &spelling, &moved, &after) {
            Some(at) => {
                trouble = trouble.or_else(|| {
                    let why = other_use(&target, &moved, &after).unwrap_or_default();
                    Some((at, why))
                });
            }
            None => return Ok(changes),
        }
    }
    let (at, why) = trouble.unwrap_or((offset, String::new()));
    Err(format!(
        "With the name {new} line {} would be read differently{why}.",
        line(present, at)
    ))
}

/// In words that the new name is used for something else than the old one.
fn other_use(target: &Target<'_>, moved: &Moved<'_>, after: &Reading) -> Option<String> {
    let naming = &target.named.naming;
    let first = moved.place(naming.places.first()?.span.start, true);
    let begins = |one: &&Named| {
        let places = one.naming.places.iter();
        places
            .map(|place| place.span.start)
            .any(|start| start == first)
    };
    let now = after.names.iter().find(begins)?;
    let kind = match naming.usage {
        Use::Index => "an index",
        Use::Point => "a point",
        Use::Tolerance => "a tolerance",
        Use::Threshold => "a threshold",
        Use::Other => "a parameter",
    };
    (usage(&now.naming) != usage(naming)).then(|| {
        format!(
            ": {} is taken for {kind}, {} is not",
            naming.name, moved.new
        )
    })
}

/// Where a name of several signs needs braces.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Braces {
    BehindKnownCommands,
    /// A macro of the draft may take one sign, too: `\half N`.
    BehindAnyCommand,
}

fn line(present: &Present, offset: usize) -> usize {
    LineIndex::new(&present.text).report(offset).line
}

/// A name as somebody types it into a box, without delimiters.
fn bare(new: &str) -> &str {
    let new = new.trim();
    let inner = new
        .strip_prefix('$')
        .and_then(|rest| rest.strip_suffix('$'))
        .or_else(|| {
            new.strip_prefix("\\(")
                .and_then(|rest| rest.strip_suffix("\\)"))
        });
    inner.unwrap_or(new).trim()
}

fn single(new: &str) -> Option<Name> {
    let formula = parse(new);
    let [Segment::Statement(statement)] = formula.segments.as_slice() else {
        return None;
    };
    let StatementKind::Term(term) = &statement.kind else {
        return None;
    };
    match &term.kind {
        TermKind::Name(name) if name.primes == 0 && name.superscript.is_none() => {
            Some(name.clone())
        }
        _ => None,
    }
}

/// What is typed for the new name at a place.
fn spelled(
    present: &Present,
    span: Span,
    new: &str,
    name: &Name,
    braces: Braces,
) -> Result<String, String> {
    let text = &present.text;
    let old = text.get(span.range()).unwrap_or_default();
    let bare = present
        .reading
        .formulas
        .iter()
        .any(|formula| formula.bare && formula.span.contains(span));
    let plain = unicode::name(name);
    let lowers = |table: fn(&str) -> Option<String>| {
        // The small signs of Unicode, which stand for a letter below or above.
        let own = ["n", "i", "k", "m", "x", "j"];
        own.iter()
            .any(|letter| table(letter).as_deref() == Some(old))
    };
    for table in [unicode::subscript, unicode::superscript] {
        if lowers(table) {
            return table(&plain).ok_or_else(|| {
                format!(
                    "There is no small sign for {plain}, which line {} would need.",
                    line(present, span.start)
                )
            });
        }
    }
    if bare {
        return Ok(plain);
    }
    let before = text.get(..span.start).unwrap_or_default();
    let after = text.get(span.end..).unwrap_or_default();
    let mut spelled = new.to_owned();
    let single_sign = name.subscript.is_none();
    if !single_sign && is_argument(before, braces) {
        return Ok(format!("{{{spelled}}}"));
    }
    if ends_in_command(before) && spelled.starts_with(|letter: char| letter.is_ascii_alphabetic()) {
        spelled.insert(0, ' ');
    }
    if ends_in_command(&spelled) && after.starts_with(|letter: char| letter.is_ascii_alphabetic()) {
        spelled.push(' ');
    }
    Ok(spelled)
}

/// Whether a text ends in a command, which letters behind it would make another.
fn ends_in_command(text: &str) -> bool {
    let run = text.trim_end_matches(|letter: char| letter.is_ascii_alphabetic());
    run.len() < text.len() && run.ends_with('\\')
}

/// Whether what follows is taken by a command or a mark that takes one sign.
fn is_argument(before: &str, braces: Braces) -> bool {
    let before = before.trim_end();
    let takes = |text: &str| match braces {
        Braces::BehindAnyCommand => ends_in_command(text),
        Braces::BehindKnownCommands => [
            "\\frac", "\\dfrac", "\\tfrac", "\\cfrac", "\\binom", "\\sqrt",
        ]
        .iter()
        .any(|command| text.ends_with(command)),
    };
    let mut shorter = before.chars();
    shorter.next_back();
    before.ends_with(['^', '_']) || takes(before) || takes(shorter.as_str().trim_end())
}

/// Where places stand behind changes.
struct Moved<'a> {
    changes: &'a [Change],
    text: &'a str,
    new: &'a str,
}

impl Moved<'_> {
    /// The byte in the changed text; of a changed place, where the new name begins.
    fn place(&self, offset: usize, starts: bool) -> usize {
        let mut moved = offset;
        for (span, new) in self.changes {
            if span.end <= offset && !(starts && span.start == offset) {
                moved = moved + new.len() - span.len();
            } else if starts && span.start == offset {
                let old = self.text.get(span.range()).unwrap_or_default();
                let lead = new.find(self.new).filter(|_| old != new);
                moved += lead.unwrap_or(0);
            }
        }
        moved
    }

    fn start(&self, span: Span) -> usize {
        self.place(span.start, false)
    }
}

/// The first byte of the old text that the changed draft reads differently: names that belong
/// together otherwise, or formulas with other roles.
fn difference(
    present: &Present,
    target: &Target<'_>,
    spelling: &str,
    moved: &Moved<'_>,
    after: &Reading,
) -> Option<usize> {
    let reading = &present.reading;
    let own = target.places.first().map(|place| place.span.start);
    let entries = |one: &Reading, start: &dyn Fn(Span) -> usize| -> Vec<_> {
        let entries = one.entries.iter();
        entries
            .map(|entry| (start(entry.span), entry.role, entry.sense.clone()))
            .collect()
    };
    let before = entries(reading, &|span| moved.start(span));
    let now = entries(after, &|span| span.start);
    if let Some(at) = first_difference(&before, &now) {
        let entry = reading.entries.get(at);
        return entry.map(|entry| entry.span.start).or(own);
    }
    let mut expected: Vec<(Vec<usize>, String, bool, Option<Use>)> = reading
        .names
        .iter()
        .map(|other| {
            let naming = &other.naming;
            let places = naming.places.iter();
            let starts = places
                .map(|place| moved.place(place.span.start, true))
                .collect();
            // ε in N_ε is part of that name.
            let name = if target.group.contains(&other) {
                spelling.to_owned()
            } else {
                renamed(
                    naming.name.as_str(),
                    target.named.naming.name.as_str(),
                    spelling,
                )
            };
            (starts, name, naming.indexed, usage(naming))
        })
        .collect();
    let mut found: Vec<(Vec<usize>, String, bool, Option<Use>)> = after
        .names
        .iter()
        .map(|other| {
            let naming = &other.naming;
            let starts = naming.places.iter().map(|place| place.span.start).collect();
            (
                starts,
                naming.name.as_str().to_owned(),
                naming.indexed,
                usage(naming),
            )
        })
        .collect();
    expected.sort();
    found.sort();
    if expected == found && reading.unread.len() == after.unread.len() {
        return None;
    }
    own
}

/// What a name is used for, where that makes a difference: not inside of a sum.
fn usage(naming: &Naming) -> Option<Use> {
    (naming.origin != Origin::Inside).then_some(naming.usage)
}

fn first_difference<T: PartialEq>(one: &[T], other: &[T]) -> Option<usize> {
    let common = one.iter().zip(other).position(|(a, b)| a != b);
    common.or_else(|| (one.len() != other.len()).then(|| one.len().min(other.len())))
}

/// A name whose index is the changed one.
fn renamed(name: &str, old: &str, new: &str) -> String {
    match name.split_once('_') {
        Some((base, index)) if index == old => format!("{base}_{new}"),
        _ => name.to_owned(),
    }
}
