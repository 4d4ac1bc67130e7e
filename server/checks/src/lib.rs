//! From claims to goals, from verdicts to findings.
//!
//! [`review`] is a pure function of a draft's text and settings; command line, reports and
//! editor all show what it returns.

pub mod analysis;
mod approach;
mod backwards;
mod calculus;
pub mod catalogue;
mod cauchy;
pub mod check;
mod choice;
mod conclusion;
mod delta;
mod engine;
mod established;
mod exchange;
mod existence;
pub mod finding;
mod judge;
mod limits;
mod negation;
mod order;
mod picked;
mod plausible;
mod readings;
mod recursion;
mod relation;
mod scope;
mod series;
mod sign;
mod theorem;
mod witness;
mod wording;

pub use analysis::{
    ArgumentReport, ClaimReport, Review, Settings, Tally, VerdictWord, review, review_only,
};
pub use check::{Check, Severity};
pub use finding::{Finding, Related, Replacement, Shown};
