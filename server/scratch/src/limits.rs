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

/// Indices at which a portrait draws the error term, the first set whose places can be told
/// apart; they come after the first index from which everything that is marked holds.
pub(crate) const INDICES_DRAWN: [[i64; 3]; 3] = [[2, 5, 20], [2, 4, 8], [2, 3, 4]];

/// The least index that is drawn: index 0 has no place on a logarithmic axis.
pub(crate) const FIRST_DRAWN: i64 = 1;

/// Indices at which a portrait shows the supremum: near to each other on a logarithmic axis.
pub(crate) const SIZES: [i64; 19] = [
    1, 2, 3, 4, 5, 7, 10, 14, 20, 30, 50, 70, 100, 140, 200, 300, 500, 700, 1000,
];

/// Fewer suprema than that show no tendency.
pub(crate) const FEWEST_SIZES: usize = 4;

/// Greatest distance of a logarithm from a fitted power: five percent of the value.
pub(crate) const MISFIT: f64 = 0.05;

/// How near a fitted exponent has to be to a fraction to be written as that fraction.
pub(crate) const NEAR_FRACTION: f64 = 0.02;

/// Values below that are too small to be told from rounding.
pub(crate) const LEAST: f64 = 1e-12;

/// Stretches that a curve is cut into before it is refined.
pub(crate) const STRETCHES: i32 = 96;

/// Refinements of a curve: the last tells a step from a steep slope.
pub(crate) const HALVINGS: i32 = 10;

/// Points of one curve before it is thinned; one that needs more is a blot.
pub(crate) const CURVE_POINTS: usize = 1_500;

/// Distance of a curve from its chord at which it is refined, as a share of the picture's height.
pub(crate) const BEND: f64 = 0.002;

/// Distance below which a point of a curve is left out, as a share of the picture's height.
pub(crate) const FLAT: f64 = 0.0007;

/// A difference of neighbours that is a step, as a share of the picture's height.
pub(crate) const STEP: f64 = 0.02;

/// How near to an open end a curve begins, as a share of its width.
pub(crate) const NEAR: f64 = 1e-6;

/// Least distance of a marked place from an end that it is not, as a share of the width.
pub(crate) const APART: f64 = 1.0 / 80.0;

/// Width of what is seen of an unbounded domain where nothing tells it.
pub(crate) const WIDTH: f64 = 10.0;

/// Ratio of the widths that curves need, beyond which the widest is not shown to its end.
pub(crate) const SPREAD: f64 = 40.0;

/// How far a bound may lie above all values and still be seen, as a ratio.
pub(crate) const LOOSE: f64 = 1.6;

/// How far values are shown above those at witnesses, as a ratio, where they have no bound.
pub(crate) const ABOVE_WITNESS: f64 = 2.2;

/// Room above the greatest value, as a ratio.
pub(crate) const HEADROOM: f64 = 1.06;
