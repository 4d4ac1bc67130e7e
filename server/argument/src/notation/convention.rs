//! Spellings with two readings, and the choice of one reading for a whole argument.

use std::collections::BTreeSet;

/// A spelling pattern that careful writers read differently.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Pattern {
    /// `1/2n`: 1/(2n), or (1/2)n. Also `M/2\epsilon`, `x/n(1+x)`.
    SlashProduct,
    /// `\sin x/2`: (sin x)/2, or sin(x/2).
    FunctionSlash,
    /// `\sin x y`, `\log n x`: sin(xy), or (sin x) y.
    FunctionProduct,
    /// A name before parentheses whose nature the draft does not tell: `c(x+1)` as a product, or
    /// as an application.
    NameParenthesis,
    /// `\ln(1+x)^2`: (ln(1+x))², or ln((1+x)²).
    FunctionPower,
}

/// One reading for every pattern, and what a course agrees upon: patterns in the set take their
/// second (less usual) reading.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Debug, Default)]
pub struct Convention {
    second: BTreeSet<Pattern>,
    /// ℕ without a mark begins with 0, not with 1.
    pub zero_is_natural: bool,
    /// Thresholds of which nothing else is said are real numbers, not integers.
    pub real_thresholds: bool,
}

impl Convention {
    /// The convention that reads the given patterns in their second way and agrees with this one
    /// in everything else.
    #[must_use]
    pub fn with_second(&self, patterns: impl IntoIterator<Item = Pattern>) -> Self {
        Self {
            second: patterns.into_iter().collect(),
            ..self.clone()
        }
    }

    /// Whether `pattern` takes its second reading.
    #[must_use]
    pub fn takes_second(&self, pattern: Pattern) -> bool {
        self.second.contains(&pattern)
    }
}
