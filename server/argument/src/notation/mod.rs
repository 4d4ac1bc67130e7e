//! Formulas: TeX and Unicode mathematics into syntax, syntax into expressions.

pub mod convention;
pub mod elaborate;
mod lex;
pub mod parse;
pub(crate) mod places;
pub mod spelling;
pub mod syntax;
pub mod unicode;
pub mod walk;
