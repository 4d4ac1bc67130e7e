//! Reads formulas and sentences: what each formula says, which role it plays, under which scope.
//!
//! Readers are total: what was not understood is an entry with its reason.

pub mod discourse;
pub mod limits;
pub mod notation;

pub use discourse::outline::{
    Aim, Argument, Assertion, Binding, Bound, Content, Definition, Entry, ErrorTerm, Formal, Given,
    Introduction, LimitValue, Notion, Outline, Perhaps, Quantified, Quantifier, Role, Run, Toward,
    Zone,
};
pub use discourse::read;
pub use notation::convention::{Convention, Pattern};
