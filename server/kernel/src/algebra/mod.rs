//! Exact arithmetic: sparse polynomials over atoms, ranges, counts of roots, enclosures of
//! constants, and normal forms in the light of known signs. It knows nothing of proofs.

pub(crate) mod bracket;
mod domain;
mod facts;
mod functions;
mod normal;
mod poly;
mod powers;
mod range;
pub(crate) mod roots;
mod signed;
pub(crate) mod sums;

pub use facts::{Context, Known, Sign};
pub use normal::Fraction;
pub use poly::{Monomial, Poly};
pub(crate) use range::End;
pub use range::Range;
pub(crate) use signed::{Signed, magnitude, whole};
