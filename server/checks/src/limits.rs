//! Limits of judging: one table with units and reasons.

/// Where no range is written, a claim that holds from this index on at the latest is taken for
/// one whose range was left unspoken.
pub(crate) const LARGEST_UNSPOKEN_START: u32 = 10;

/// Spelling patterns whose second readings are tried in one argument (2^k readings of the whole).
pub(crate) const PATTERNS: usize = 3;
