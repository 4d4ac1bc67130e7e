//! Markdown and LaTeX into the same blocks.

mod assemble;
mod bare;
pub mod block;
mod commands;
mod delimiters;
mod expand;
mod formula;
mod join;
mod latex;
mod macros;
mod markdown;
mod strip;
mod tex;
mod words;

pub use commands::{is_known_math_command, known_math_commands};

use block::Document;
use std::collections::BTreeMap;

/// The language of a draft.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Format {
    /// Markdown of any flavour.
    Markdown,
    /// LaTeX, whole documents and fragments.
    Latex,
}

impl Format {
    /// The format that the text looks like, for drafts without a telling name.
    #[must_use]
    pub fn sniff(text: &str) -> Self {
        let tex = [
            "\\documentclass",
            "\\begin{document}",
            "\\section",
            "\\begin{proof}",
        ];
        if tex.iter().any(|mark| text.contains(mark)) {
            Self::Latex
        } else {
            Self::Markdown
        }
    }
}

/// Texts of files that a draft includes (`\input{preamble}`), by the name as written in the
/// draft; read for macros only.
pub type Companions = BTreeMap<String, String>;

/// The companion that no draft can name: the course's usual macros, known before the draft's own.
pub const COURSE: &str = "";

/// Reads a draft. Total: any text gives a document.
#[must_use]
pub fn read(text: &str, format: Format, companions: &Companions) -> Document {
    match format {
        Format::Markdown => markdown::read(text, companions),
        Format::Latex => latex::read(text, companions),
    }
}

#[cfg(test)]
mod tests;
