//! Reports of a run: for people, for programs, for mark books, for code hosts, for students.

pub(crate) mod class;
pub(crate) mod csv;
pub(crate) mod escape;
pub(crate) mod feedback;
pub(crate) mod html;
pub(crate) mod json;
pub(crate) mod paint;
pub(crate) mod sarif;
pub(crate) mod snippet;
pub(crate) mod text;
pub(crate) mod words;
pub(crate) mod wrap;

#[cfg(test)]
pub(crate) mod example;
