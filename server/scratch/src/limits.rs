//! Limits of seeking and writing, each with its unit and reason.

use kernel::Budget;

/// Effort for one question while seeking: candidates that need more are not for a first course.
pub(crate) const QUESTION: Budget = Budget {
    evaluations: 6_000,
    confirmations: 40,
    proof_steps: 60_000,
};

/// Terms of an expansion that are kept: three tell the leading one after two cancellations.
pub(crate) const EXPANSION_TERMS: usize = 4;

/// Nested operations of an expression that are expanded; deeper ones are not for a draft.
pub(crate) const EXPANSION_DEPTH: usize = 40;

/// Indices at which a guess is held against numbers before it is put to the kernel.
pub(crate) const INDICES: [f64; 6] = [3.0, 5.0, 10.0, 29.0, 100.0, 411.0];

/// Relative agreement that makes a guess worth a question to the kernel.
pub(crate) const AGREEMENT: f64 = 1e-7;

/// Values from which on a formula may hold instead of from the first index.
pub(crate) const STARTS: [i64; 4] = [1, 2, 3, 5];

/// Halvings of the golden section search: each gains 0.2 digits.
pub(crate) const SECTION_STEPS: usize = 90;

/// Nodes of an expression that is still worth showing to a student.
pub(crate) const SHOWN_NODES: usize = 60;

/// Variants of an answer that are put to review: each costs a review of one exercise.
pub(crate) const VARIANTS: usize = 5;

/// Changes of an exercise that are tried for each variant that is wanted: most are of another
/// kind or beyond us.
pub(crate) const VARIANT_TRIES: usize = 12;
