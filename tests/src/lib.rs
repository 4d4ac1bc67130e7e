//! What the project's tests share: drafts with expectations, exact numbers, rules for reviews.
#![allow(
    clippy::missing_panics_doc,
    reason = "a helper of tests that cannot go on says so by a panic"
)]

pub mod anchor;
pub mod claims;
pub mod corruption;
pub mod draft;
pub mod exact;
pub mod expectation;
pub mod facts;
pub mod families;
pub mod fixtures;
pub mod invariants;
pub mod mutation;
pub mod obligations;
pub mod rewrite;
pub mod roles;
pub mod rust_text;
pub mod verify;
