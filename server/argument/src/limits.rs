//! Limits of reading formulas and sentences: one table with units and reasons.

/// How deep terms and statements may nest, in levels. A deeper part is unread: the readers are
/// recursive, and proofs that people write stay below twenty.
pub const NESTING: usize = 40;

/// How many signs of one kind (connectives of a statement, set operations, slashes in a row) may
/// build upon each other before the rest is unread, a count. They nest in the tree, so that this
/// bounds its depth like [`NESTING`].
pub const IN_A_ROW: usize = 40;

/// How many names a list before a relation may hold (`x, y ∈ D`), a count; bounds look-ahead.
pub const LISTED_NAMES: usize = 12;

/// Longest argument of a command that is taken literally (a colour, a label, a font's letter), in
/// bytes; bounds look-ahead in sources that lack a brace.
pub const LITERAL_ARGUMENT: usize = 120;

/// How deep `$…$` inside `\text{…}` inside `$…$` may go, in levels.
pub const TEXT_NESTING: usize = 4;

/// How many nodes the value of a formula may have once definitions are unfolded, a count. A
/// formula beyond is unread; it would cost more to decide than any step is worth.
pub const UNFOLDED_NODES: usize = 20_000;
/// Signs ∘ of one formula that are written as nested applications: each looks at all brackets.
pub(crate) const COMPOSITIONS: usize = 32;
