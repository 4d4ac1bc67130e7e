//! The draft as text: spans, mapped excerpts, positions, the editor's rope.

pub mod mapped;
pub mod position;
pub mod rope;
pub mod span;

#[cfg(test)]
mod tests;
