//! What a draft says before anything in it is decided: its names, the roles of its formulas and
//! its parts, for an editor that cannot wait for verdicts.

use super::edit::Edited;
use super::{note, sheet, with_macros};
use crate::settings::Course;
use argument::notation::parse::parse;
use argument::notation::walk::segment_terms;
use argument::{Assertion, Content, Entry, Introduction, Mention, Naming, Role, Zone};
use kernel::Kind;
use source::{
    BlockKind, Companions, ContainerKind, Delimiter, Document, Format, MathPiece, Piece, Span,
};
use std::mem::{Discriminant, discriminant};

/// A draft, read. All spans point into the draft as typed.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Reading {
    /// Its names.
    pub(crate) names: Vec<Named>,
    /// Parts of formulas that were not understood and may hold more names.
    pub(crate) unread: Vec<Span>,
    /// Its formulas and claims in words, in order.
    pub(crate) entries: Vec<EntryPlace>,
    /// Its arguments, in order.
    pub(crate) arguments: Vec<ArgumentPlace>,
    /// Its formulas, in order.
    pub(crate) formulas: Vec<FormulaPlace>,
    /// The terms of its formulas and of their parts.
    pub(crate) terms: Vec<Span>,
    /// Its paragraphs, headings and cells.
    pub(crate) blocks: Vec<(BlockKind, Span)>,
    /// What encloses them: environments, items, quotes.
    pub(crate) containers: Vec<(ContainerKind, Span)>,
}

/// A name with its places.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Named {
    /// The name; its places stand in the draft as typed.
    pub(crate) naming: Naming,
    /// It stands also where the draft as typed has nothing: in the sheet, or in a comment of the
    /// author that is read.
    pub(crate) elsewhere: bool,
}

/// An entry's place, and what is made of it.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct EntryPlace {
    /// Where it stands.
    pub(crate) span: Span,
    /// Its sentence.
    pub(crate) sentence: Span,
    /// Its role.
    pub(crate) role: Option<Role>,
    /// What is made of it, whatever its names are.
    pub(crate) sense: Sense,
}

/// What is made of an entry, whatever its names are: equal senses under other names say the same.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Sense {
    content: Discriminant<Content>,
    assertion: Option<Discriminant<Assertion>>,
    bound: Vec<(Kind, Introduction)>,
    conditions: usize,
}

impl Sense {
    fn of(entry: &Entry) -> Self {
        let binding = match &entry.content {
            Content::Binding(binding) => Some(binding),
            _ => None,
        };
        let bound = binding.into_iter().flat_map(|binding| &binding.bound);
        Self {
            content: discriminant(&entry.content),
            assertion: match &entry.content {
                Content::Assertion(assertion) => Some(discriminant(assertion)),
                _ => None,
            },
            bound: bound.map(|one| (one.kind, one.introduction)).collect(),
            conditions: binding.map_or(0, |binding| binding.conditions.len()),
        }
    }
}

/// An argument's place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct ArgumentPlace {
    /// Where it stands.
    pub(crate) span: Span,
    /// Its proof or solution.
    pub(crate) proof: Option<Span>,
}

/// A formula's place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct FormulaPlace {
    /// With its delimiters.
    pub(crate) span: Span,
    /// Without them.
    pub(crate) inside: Span,
    /// In a display of its own.
    pub(crate) display: bool,
    /// Typed in the running text.
    pub(crate) bare: bool,
}

/// Reads a draft of a course.
pub(crate) fn read(
    draft: &str,
    format: Format,
    companions: &Companions,
    course: &Course,
) -> Reading {
    let companions = &*with_macros(companions, course);
    let noted = Edited::new(draft, note::find(draft, format).edits);
    let edits = sheet::edits(&noted.text, format, companions, course);
    let stated = Edited::new(&noted.text, edits);
    let document = source::read(&stated.text, format, companions);
    let outline = argument::read(&stated.text, &document, &course.settings.convention);
    let back = |span: Span| {
        let span = stated.back(span)?;
        noted.back(span)
    };
    let place = |span: Span| noted.place(stated.place(span));
    let entries = outline
        .arguments
        .iter()
        .flat_map(|argument| &argument.entries);
    Reading {
        names: outline
            .names
            .into_iter()
            .filter_map(|naming| named(naming, &back))
            .collect(),
        unread: outline.unread.into_iter().filter_map(back).collect(),
        entries: entries
            .filter_map(|entry| {
                Some(EntryPlace {
                    span: back(entry.span)?,
                    sentence: place(entry.sentence),
                    role: entry.role,
                    sense: Sense::of(entry),
                })
            })
            .collect(),
        arguments: outline
            .arguments
            .iter()
            .map(|argument| ArgumentPlace {
                span: place(argument.span),
                proof: argument
                    .entries
                    .iter()
                    .filter(|entry| entry.zone == Zone::Proof)
                    .map(|entry| place(entry.sentence))
                    .reduce(Span::to),
            })
            .collect(),
        formulas: formulas(&document, &back),
        terms: terms(&document, &back),
        blocks: document
            .blocks
            .iter()
            .filter_map(|block| Some((block.kind, with_emphasis(draft, back(block.span)?))))
            .collect(),
        containers: document
            .containers
            .into_iter()
            .filter_map(|container| Some((container.kind, back(container.span)?)))
            .collect(),
    }
}

/// A block with the marks of emphasis at its ends.
fn with_emphasis(draft: &str, span: Span) -> Span {
    let marks = ['*', '_'];
    let before = draft.get(..span.start).unwrap_or_default();
    let behind = draft.get(span.end..).unwrap_or_default();
    let closing = behind.len() - behind.trim_start_matches(marks).len();
    Span::new(before.trim_end_matches(marks).len(), span.end + closing)
}

fn maths(document: &Document) -> impl Iterator<Item = &MathPiece> {
    let pieces = document.blocks.iter().flat_map(|block| &block.pieces);
    pieces.filter_map(|piece| match piece {
        Piece::Math(math) => Some(math),
        Piece::Prose(_) => None,
    })
}

fn formulas(document: &Document, back: &dyn Fn(Span) -> Option<Span>) -> Vec<FormulaPlace> {
    maths(document)
        .filter_map(|math| {
            Some(FormulaPlace {
                span: back(math.span)?,
                inside: back(math.content.whole())?,
                display: !matches!(math.delimiter, Delimiter::Inline | Delimiter::Bare),
                bare: math.delimiter == Delimiter::Bare,
            })
        })
        .collect()
}

fn terms(document: &Document, back: &dyn Fn(Span) -> Option<Span>) -> Vec<Span> {
    let mut found = Vec::new();
    for math in maths(document) {
        for segment in &parse(math.content.text()).segments {
            segment_terms(segment, &mut |term| {
                found.extend(back(math.content.span(term.range.clone())));
            });
        }
    }
    found.sort();
    found.dedup();
    found
}

/// A name with its places in the draft as typed; `None` if it has none there.
fn named(mut naming: Naming, back: &dyn Fn(Span) -> Option<Span>) -> Option<Named> {
    let introduced = naming.places.get(naming.introduced).copied();
    let count = naming.places.len();
    let there = |mention: &Mention| {
        Some(Mention {
            span: back(mention.span)?,
            exact: mention.exact,
        })
    };
    let introduced = introduced.as_ref().and_then(there);
    naming.places = naming.places.iter().filter_map(there).collect();
    if naming.places.is_empty() {
        return None;
    }
    let found = naming
        .places
        .iter()
        .position(|one| Some(*one) == introduced);
    naming.introduced = found.unwrap_or(0);
    Some(Named {
        elsewhere: naming.places.len() < count,
        naming,
    })
}
