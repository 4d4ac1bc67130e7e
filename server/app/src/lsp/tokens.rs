//! Formulas by the part that they play: semantic tokens for an editor's colours.

use super::editor::Editor;
use super::place::{clamp, of};
use super::reading::Present;
use argument::Role;
use source::text::position::{Encoding, LineIndex};
use source::{ContainerKind, Span};
use tower_lsp::lsp_types::{
    Range, SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokensLegend,
};

/// The roles that are shown, in the order of their modifiers.
const ROLES: &[Role] = Role::ALL.split_last().expect("there are roles").1;

/// The modifier of everything that is judged.
const CLAIM: &str = "claim";

/// Standard types of tokens, so that every theme has a colour for them; a modifier says the role.
const TYPES: [SemanticTokenType; 6] = [
    SemanticTokenType::PROPERTY,
    SemanticTokenType::VARIABLE,
    SemanticTokenType::FUNCTION,
    SemanticTokenType::PARAMETER,
    SemanticTokenType::INTERFACE,
    SemanticTokenType::COMMENT,
];

/// Types and modifiers in the order of their numbers.
pub(crate) fn legend() -> SemanticTokensLegend {
    let roles = ROLES.iter().map(|role| role.word());
    SemanticTokensLegend {
        token_types: TYPES.to_vec(),
        token_modifiers: roles
            .chain([CLAIM])
            .map(SemanticTokenModifier::new)
            .collect(),
    }
}

fn type_of(role: Role) -> SemanticTokenType {
    match role {
        Role::Step | Role::Reason | Role::Conclusion => SemanticTokenType::PROPERTY,
        Role::Choice => SemanticTokenType::VARIABLE,
        Role::Definition => SemanticTokenType::FUNCTION,
        Role::Let | Role::Assumption | Role::Range | Role::Condition => {
            SemanticTokenType::PARAMETER
        }
        Role::Aim => SemanticTokenType::INTERFACE,
        Role::Rejected | Role::Mention => SemanticTokenType::COMMENT,
    }
}

/// The tokens of the draft, or of a range of it.
pub(crate) fn of_draft(
    present: &Present,
    wanted: Option<Range>,
    editor: &Editor,
) -> Vec<SemanticToken> {
    let lines = LineIndex::new(&present.text);
    let wanted = wanted.map(|range| {
        let start = lines.offset(of(range.start), editor.encoding);
        let end = lines.offset(of(range.end), editor.encoding);
        Span::new(start, end.max(start))
    });
    let inside = |span: &Span| {
        wanted.is_none_or(|wanted| span.start < wanted.end && wanted.start < span.end)
    };
    let marked = marked(present);
    let containers = present.reading.containers.iter();
    let quotes: Vec<Span> = containers
        .filter(|(kind, _)| *kind == ContainerKind::Quote)
        .map(|(_, span)| *span)
        .collect();
    let rows = marked.iter().flat_map(|(span, role)| {
        let quoted = quotes.iter().any(|quote| quote.contains(*span));
        let rows = rows(&present.text, &lines, *span, quoted).into_iter();
        rows.map(|row| (row, *role))
    });
    encoded(
        rows.filter(|(span, _)| inside(span)),
        &lines,
        editor.encoding,
    )
}

/// Stretches with their roles, apart from each other, in order. A formula inside of a longer
/// claim has its own role.
fn marked(present: &Present) -> Vec<(Span, Role)> {
    let mut marked: Vec<(Span, Role)> = Vec::new();
    let entries = present.reading.entries.iter();
    let mut entries: Vec<(Span, Role)> = entries
        .filter_map(|entry| Some((entry.span, entry.role?)))
        .filter(|(_, role)| *role != Role::Mention)
        .collect();
    entries.sort_by_key(|(span, _)| span.start);
    let longest = entries.iter().map(|(span, _)| span.len()).max();
    let longest = longest.unwrap_or(0);
    for formula in &present.reading.formulas {
        let own = formula.inside;
        // What begins further ahead ends before the formula begins.
        let first = entries.partition_point(|(span, _)| span.start + longest < own.start);
        let touching: Vec<(Span, Role)> = entries[first..]
            .iter()
            .take_while(|(span, _)| span.start < own.end)
            .filter(|(span, _)| own.start < span.end)
            .copied()
            .collect();
        let mut cuts: Vec<usize> = touching
            .iter()
            .flat_map(|(span, _)| [span.start, span.end])
            .map(|cut| cut.clamp(own.start, own.end))
            .chain([own.start, own.end])
            .collect();
        cuts.sort_unstable();
        cuts.dedup();
        for pair in cuts.windows(2) {
            let part = Span::new(pair[0], pair[1]);
            let holds = touching.iter().filter(|(span, _)| span.contains(part));
            // What is said first of a stretch that two links share is the link that ends there.
            let Some((_, role)) = holds.min_by_key(|(span, _)| span.len()) else {
                continue;
            };
            match marked.last_mut() {
                Some((last, same)) if last.end == part.start && same == role => last.end = part.end,
                _ => marked.push((part, *role)),
            }
        }
    }
    // Claims in words alone.
    let mut formulas: Vec<Span> = present
        .reading
        .formulas
        .iter()
        .map(|one| one.span)
        .collect();
    formulas.sort();
    marked.extend(entries.iter().filter(|(span, _)| {
        let next = formulas.partition_point(|formula| formula.end <= span.start);
        formulas
            .get(next)
            .is_none_or(|formula| span.end <= formula.start)
    }));
    marked.sort_by_key(|(span, _)| (span.start, span.end));
    let mut end = 0;
    marked.retain(|(span, _)| {
        let apart = end <= span.start;
        end = if apart { span.end } else { end };
        apart
    });
    marked
}

/// The parts of a span line by line, without white space around them and marks of quotations.
fn rows(text: &str, lines: &LineIndex<'_>, span: Span, quoted: bool) -> Vec<Span> {
    let first = lines.report(span.start).line - 1;
    let last = lines.report(span.end).line - 1;
    (first..=last)
        .filter_map(|line| {
            let start = lines.line_start(line).max(span.start);
            let end = lines.line_end(line).min(span.end);
            let text = text.get(start..end)?;
            let mark = |letter: char| quoted && first < line && letter == '>';
            let inner =
                text.trim_start_matches(|letter: char| letter.is_whitespace() || mark(letter));
            let start = end - inner.len();
            let inner = inner.trim_end();
            (!inner.is_empty()).then(|| Span::new(start, start + inner.len()))
        })
        .collect()
}

/// Each token relative to the one before, as the protocol has it.
fn encoded(
    rows: impl Iterator<Item = (Span, Role)>,
    lines: &LineIndex<'_>,
    encoding: Encoding,
) -> Vec<SemanticToken> {
    let mut before = (0, 0);
    rows.map(|(span, role)| {
        let start = lines.position(span.start, encoding);
        let end = lines.position(span.end, encoding);
        let (line, column) = before;
        before = (start.line, start.column);
        let from = if start.line == line { column } else { 0 };
        SemanticToken {
            delta_line: clamp(start.line - line),
            delta_start: clamp(start.column - from),
            length: clamp(end.column - start.column),
            token_type: number(&TYPES, &type_of(role)),
            token_modifiers_bitset: modifiers(role),
        }
    })
    .collect()
}

fn number<T: PartialEq>(all: &[T], one: &T) -> u32 {
    clamp(all.iter().position(|other| other == one).unwrap_or(0))
}

fn modifiers(role: Role) -> u32 {
    let own = 1 << number(ROLES, &role);
    if role.is_claim() {
        own | 1 << ROLES.len()
    } else {
        own
    }
}
