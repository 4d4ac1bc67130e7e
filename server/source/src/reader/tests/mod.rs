//! What readers make of small drafts. Spans are tested by quoting the draft at them.

mod bare;
mod joining;
mod latex;
mod laws;
mod macros;
mod markdown;

use super::block::{
    Block, BlockKind, ContainerKind, Delimiter, Document, MathPiece, NoticeKind, Piece,
};
use super::{Companions, Format, read};

fn markdown(draft: &str) -> Document {
    read(draft, Format::Markdown, &Companions::new())
}

fn latex(draft: &str) -> Document {
    read(draft, Format::Latex, &Companions::new())
}

fn pieces(document: &Document) -> impl Iterator<Item = &Piece> {
    document.blocks.iter().flat_map(|block| &block.pieces)
}

fn formulas(document: &Document) -> Vec<&MathPiece> {
    pieces(document)
        .filter_map(|piece| match piece {
            Piece::Math(math) => Some(math),
            Piece::Prose(_) => None,
        })
        .collect()
}

/// The contents of the formulas, white space at their ends left out.
fn contents(document: &Document) -> Vec<&str> {
    formulas(document)
        .into_iter()
        .map(|math| math.content.text().trim())
        .collect()
}

/// What the draft has at the spans of the formulas.
fn quotes<'draft>(draft: &'draft str, document: &Document) -> Vec<&'draft str> {
    formulas(document)
        .into_iter()
        .map(|math| &draft[math.span.range()])
        .collect()
}

/// A block with formulas in angle brackets: `Let ⟨x⟩ be`. Struck and strong pieces are marked.
fn shown(block: &Block) -> String {
    let mut output = String::new();
    for piece in &block.pieces {
        match piece {
            Piece::Prose(prose) => {
                let mark = match (prose.style.strong, prose.style.struck) {
                    (_, true) => "~",
                    (true, _) => "*",
                    _ => "",
                };
                output.push_str(mark);
                output.push_str(prose.content.text());
                output.push_str(mark);
            }
            Piece::Math(math) => {
                output.push('⟨');
                output.push_str(math.content.text().trim());
                output.push('⟩');
            }
        }
    }
    output
}

fn blocks(document: &Document) -> Vec<String> {
    document.blocks.iter().map(shown).collect()
}

/// Labels of the items around each block, outermost first.
fn labels(document: &Document) -> Vec<Vec<&str>> {
    document
        .blocks
        .iter()
        .map(|block| {
            block
                .containers
                .iter()
                .filter_map(|&container| match &document.containers[container].kind {
                    ContainerKind::Item { label, .. } => Some(label.as_str()),
                    _ => None,
                })
                .collect()
        })
        .collect()
}
