//! Reads formulas and sentences: what each formula says, which role it plays, under which scope.
//!
//! Readers are total: what was not understood is an entry with its reason.

pub mod discourse;
pub mod limits;
pub mod notation;

pub use discourse::names::Use;
pub use discourse::naming::{Mention, Naming, Origin};
pub use discourse::outline::{
    Aim, Argument, Assertion, Binding, Bound, Calculus, Content, Definition, Entry, ErrorTerm,
    Formal, Given, Introduction, Lacking, LimitValue, Notion, Outline, Perhaps, Quantified,
    Quantifier, Recursion, Role, Run, Slope, Spelled, Subject, Toward, Zone,
};
pub use discourse::read;
pub use notation::convention::{Convention, Pattern};
