//! Limits of kernel effort: one table with units and reasons.

/// Terms that one evaluation adds up over all finite sums and products inside: keeps nested sums
/// from stalling.
pub const SUM_TERMS: u64 = 4_000;
/// The same with big floats, of which each operation costs some hundred times as much.
pub const BIG_SUM_TERMS: u64 = 300;
/// Terms of a series that are added before the rest is bounded.
pub const SERIES_TERMS: u32 = 400;
/// Largest n whose factorial is computed exactly (2500 digits); beyond it by Stirling's bounds.
pub const EXACT_FACTORIAL: u32 = 1_000;
/// Longest exact rational kept beside a big interval, in bits.
pub const EXACT_BITS: usize = 8_192;
/// Longest exact rational kept beside a double interval, in bits.
pub const QUICK_EXACT_BITS: usize = 256;
/// Nodes that one exact evaluation visits.
pub const EXACT_STEPS: u32 = 20_000;
/// Terms of a finite sum that are added exactly.
pub const EXACT_TERMS: u32 = 200;
/// Evaluations of the refuter before its pattern search starts.
pub const PATTERN_SEARCH_AFTER: u64 = 12_000;
/// Evaluations of the refuter after which its grids reach to 10^±12.
pub const WIDE_AFTER: u64 = 12_000;
/// Points from which the pattern search starts.
pub const NEAR_POINTS: usize = 24;
/// Suspected ties of one problem that are decided exactly, where a tie refutes.
pub const TIE_TESTS: u64 = 60;
/// Differences within rounding errors that are judged where only a true difference refutes.
pub const DOUBTFUL_TESTS: u64 = 24;
/// Suspected undefined values of one problem that are judged.
pub const UNDEFINED_TESTS: u64 = 24;
/// Confirmations that one with an endless sum counts for.
pub const ENDLESS_COST: u64 = 4;
/// Roundings of one suspected tie that are judged.
pub const ATTEMPTS_PER_TIE: usize = 2;
/// Roundings of one suspicious point that are confirmed.
pub const ATTEMPTS_PER_POINT: usize = 6;
/// Confirmations spent on making a counterexample simpler.
pub const SIMPLIFICATIONS: usize = 24;
/// Relative violation below which a simpler counterexample is not preferred.
pub const VISIBLE_VIOLATION: f64 = 1e-3;
/// Batches in which a point that satisfies all hypotheses is looked for.
pub const SATISFIABLE_BATCHES: u64 = 48;
/// Points that are judged when looking for one that satisfies all hypotheses.
pub const SATISFIABLE_ATTEMPTS: u64 = 200;
/// Evaluations of the refuter before the prover has its turn.
pub const FIRST_EVALUATIONS: u64 = 2_560;
/// Operations of a usual problem on the tape; heavier ones are charged in proportion.
pub const USUAL_WEIGHT: u64 = 1_000;
/// Highest charge for one evaluation, so that nested sums still see a few batches.
pub const HIGHEST_CHARGE: u64 = 24;
/// Longest text of a record of evidence, in bytes: a text from outside must not fill the memory.
pub const RECORD_BYTES: usize = 1 << 22;
/// Deepest nesting of such a text: it is judged recursively and must not fill the stack.
pub const RECORD_DEPTH: usize = 200;
/// A form that is printed on one line has at most so many characters.
pub const RECORD_WIDTH: usize = 96;
