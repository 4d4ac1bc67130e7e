//! Reports of a run: for people, for programs.

pub(crate) mod escape;
pub(crate) mod json;
pub(crate) mod paint;
pub(crate) mod snippet;
pub(crate) mod text;
pub(crate) mod words;
pub(crate) mod wrap;

#[cfg(test)]
pub(crate) mod example;
