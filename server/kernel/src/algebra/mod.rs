//! Exact arithmetic on rational numbers: sparse polynomials, ranges, counts of roots, enclosures of
//! constants. It knows nothing of claims and proofs.

pub(crate) mod bracket;
mod poly;
mod range;
pub(crate) mod roots;
mod signed;

pub use poly::{Monomial, Poly};
pub(crate) use range::End;
pub use range::Range;
pub(crate) use signed::{Signed, magnitude, whole};
