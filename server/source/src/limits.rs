//! Limits of reading: one table with units and reasons.

/// Largest draft that programs should hand to [`crate::read`], in bytes: a thousand pages of
/// mathematics are about 4 MiB; what is larger is no draft of a proof.
pub const DRAFT_BYTES: usize = 8 << 20;

/// Most containers around a block (quotes in lists in quotes …). Deeper ones are not recorded,
/// so that deeply nested input costs linear memory.
pub const CONTAINER_DEPTH: usize = 64;

/// Deepest braces inside one formula that parsers are asked to follow; readers themselves never
/// recurse on depth, and a formula beyond it is given whole with a notice.
pub const FORMULA_DEPTH: usize = 256;

/// Macros inside expansions of macros, counted in calls: honest definitions stay below ten.
pub const MACRO_DEPTH: usize = 64;

/// Calls expanded for one call in the draft.
pub const EXPANSIONS_PER_CALL: usize = 2_000;

/// Bytes copied for one call in the draft, arguments included.
pub const EXPANSION_BYTES_PER_CALL: usize = 1 << 20;

/// Calls expanded for one draft.
pub const EXPANSIONS_PER_DRAFT: usize = 400_000;

/// Bytes copied by expansions for one draft: four times the largest draft.
pub const EXPANSION_BYTES_PER_DRAFT: usize = 32 << 20;

/// Files read for their macros through `\input` inside files read for their macros.
pub const INCLUDES: usize = 64;

/// Longest strong line, in characters, that is taken for a heading.
pub const HEADING_CHARACTERS: usize = 90;

/// Open groups and environments that the end of an environment is looked for in, innermost first;
/// it keeps drafts with thousands of unclosed ones linear.
pub const OPEN_THINGS: usize = 512;
