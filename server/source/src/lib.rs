//! Drafts as text: positions, and Markdown or LaTeX read into the same blocks.
//!
//! Readers are total: any text gives a [`Document`]; what could not be read is a [`Notice`] in it.

pub mod limits;
pub mod reader;
pub mod text;

pub use reader::block::{
    Block, BlockKind, Container, ContainerKind, Delimiter, Document, MathPiece, Notice, NoticeKind,
    Piece, ProsePiece, Style,
};
pub use reader::{COURSE, Companions, Format, read};
pub use text::mapped::Mapped;
pub use text::span::Span;
