//! What holds for any text: readers end, and every place that they name lies in the text.

use argument::notation::parse::parse;
use argument::notation::syntax::Segment;
use argument::notation::{unicode, walk};
use argument::{Content, Convention};
use source::{COURSE, Companions, Document, Format, Piece, Span, read};

/// A law by the name of its target.
pub type Law = (&'static str, fn(&str));

/// Every law.
pub const LAWS: [Law; 5] = [
    ("markdown", markdown),
    ("latex", latex),
    ("notation", notation),
    ("sentences", sentences),
    ("macros", macros),
];

/// Markdown is read.
///
/// # Panics
/// If a place does not lie in the text.
pub fn markdown(text: &str) {
    document(text, &read(text, Format::Markdown, &Companions::new()));
}

/// LaTeX is read.
///
/// # Panics
/// If a place does not lie in the text.
pub fn latex(text: &str) {
    document(text, &read(text, Format::Latex, &Companions::new()));
}

/// A formula is parsed, and shown in plain signs.
///
/// # Panics
/// If a part does not lie in the formula.
pub fn notation(text: &str) {
    let formula = parse(text);
    let lies = |range: &std::ops::Range<usize>| {
        assert!(text.get(range.clone()).is_some(), "{range:?} in {text:?}");
    };
    for segment in &formula.segments {
        match segment {
            Segment::Statement(statement) => lies(&statement.range),
            Segment::Words { range, .. } | Segment::Separator { range, .. } => lies(range),
        }
        walk::segment_terms(segment, &mut |term| lies(&term.range));
    }
    let _ = unicode::formula(&formula);
}

/// The sentences of a draft in Markdown are read: every formula has its entry, every entry its
/// place.
///
/// # Panics
/// If a formula has no entry, or an entry names a place or an entry that is none.
pub fn sentences(text: &str) {
    let document = read(text, Format::Markdown, &Companions::new());
    let outline = argument::read(text, &document, &Convention::default());
    for argument in &outline.arguments {
        for entry in &argument.entries {
            within(text, entry.span);
            within(text, entry.sentence);
            let other = entry.scope.iter().chain(&entry.reason_for);
            for position in other {
                assert!(*position < argument.entries.len(), "{text:?}");
            }
            if let Content::Definition(position) = entry.content {
                assert!(position < argument.definitions.len(), "{text:?}");
            }
        }
    }
    let pieces = document.blocks.iter().flat_map(|block| &block.pieces);
    for piece in pieces {
        let Piece::Math(math) = piece else { continue };
        let touched = outline.arguments.iter().any(|argument| {
            argument
                .entries
                .iter()
                .any(|entry| entry.span.start < math.span.end && math.span.start < entry.span.end)
        });
        assert!(touched, "no entry for {:?} in {text:?}", math.span);
    }
}

/// Macros of the draft, of a file that it includes and of the course are expanded.
///
/// # Panics
/// If a place does not lie in the text.
pub fn macros(text: &str) {
    let companions = Companions::from([
        (COURSE.to_owned(), text.to_owned()),
        ("preamble".to_owned(), text.to_owned()),
    ]);
    let draft = format!("\\input{{preamble}}\n{text}\n$\\a{{x}}\\b[y]{{z}}$");
    document(&draft, &read(&draft, Format::Latex, &companions));
    document(&draft, &read(&draft, Format::Markdown, &companions));
}

fn within(text: &str, span: Span) {
    assert!(text.get(span.range()).is_some(), "{span:?} in {text:?}");
}

/// Every place of a document lies in its text.
fn document(text: &str, document: &Document) {
    for block in &document.blocks {
        within(text, block.span);
        for piece in &block.pieces {
            within(text, piece.span());
            let Piece::Math(math) = piece else { continue };
            let content = math.content.text();
            within(text, math.content.span(0..content.len()));
            for (_, span) in &math.unknown_macros {
                within(text, *span);
            }
        }
    }
    for container in &document.containers {
        within(text, container.span);
    }
    for notice in &document.notices {
        within(text, notice.span);
    }
}
