//! Limits of the program: one table with units and reasons.

use std::time::Duration;

/// Stack of every thread that reads or decides, in bytes: readers follow nesting up to their own
/// limits, and an overflow cannot be caught.
pub(crate) const STACK_BYTES: usize = 16 << 20;

/// Largest message from an editor, in bytes: a draft at its largest, escaped, fits in.
pub(crate) const MESSAGE_BYTES: usize = 64 << 20;

/// Longest header block of a message, in bytes: real ones have fewer than 200.
pub(crate) const HEADER_BYTES: usize = 8 << 10;

/// Messages that wait between the reading thread and the loop.
pub(crate) const WAITING_FRAMES: usize = 256;

/// Pause after an edit before the draft is reviewed: a quick typist's keys are closer together.
pub(crate) const DEBOUNCE: Duration = Duration::from_millis(80);

/// How long a question about a draft that was never reviewed waits for its first review.
pub(crate) const FIRST_REVIEW: Duration = Duration::from_secs(10);

/// How long a question about marks waits for the review of the present text, where the editor
/// cannot be told to ask anew: most reviews after an edit end sooner.
pub(crate) const FRESH_REVIEW: Duration = Duration::from_secs(2);

/// How often the server looks whether the editor is still alive.
pub(crate) const PARENT_WATCH: Duration = Duration::from_millis(500);

/// How long a server that ends waits until its last answers are written.
pub(crate) const LAST_WORDS: Duration = Duration::from_millis(500);

/// Files read for macros through one draft's `\input`, and how deep they may name each other.
pub(crate) const COMPANIONS: usize = source::limits::INCLUDES;

/// Entries of the cache before the oldest go: some hundred megabytes at most.
pub(crate) const CACHE_ENTRIES: usize = 20_000;

/// How long an unfinished entry of the cache is left alone: its run may still be at work.
pub(crate) const CACHE_UNFINISHED: Duration = Duration::from_secs(24 * 3600);

/// Width of the text report in columns where the terminal does not say.
pub(crate) const REPORT_COLUMNS: usize = 92;

/// Width of the table of a class, in columns.
pub(crate) const TABLE_COLUMNS: usize = 100;

/// Places of a kind of mistake that the text report on a class lists beside the example.
pub(crate) const OTHER_PLACES: usize = 15;

/// Most drafts whose text report shows every finding in its place without being asked.
pub(crate) const FEW_DRAFTS: usize = 5;

/// Longest formula that a page typesets, in bytes; longer ones are shown as typed.
pub(crate) const PAGE_FORMULA_BYTES: usize = 4 << 10;

/// Rows of a draft shown for one finding before the middle is left out.
pub(crate) const SNIPPET_ROWS: usize = 6;

/// Sequences of which a page shows pictures: a sheet has a dozen.
pub(crate) const PAGE_PICTURES: usize = 60;

/// Sequences that are studied for the pictures of a page, in the order of its drafts: each takes a
/// tenth of a second.
pub(crate) const PAGE_SEQUENCES: usize = 240;

/// Longest picture in a page or a hover, in bytes: four times the usual one, and editors cut off
/// hovers of 100,000 characters.
pub(crate) const PICTURE_BYTES: usize = 48 << 10;

/// Pictures that the language server keeps.
pub(crate) const KEPT_PICTURES: usize = 64;

/// How long a hover waits for its picture: beyond that it comes without one.
pub(crate) const PICTURE_WAIT: Duration = Duration::from_millis(250);

/// How long a list of actions waits for an answer that it has to hold itself.
pub(crate) const ANSWER_WAIT: Duration = Duration::from_secs(2);

/// How long somebody who has chosen to have an answer waits for it.
pub(crate) const ANSWER_LONGEST: Duration = Duration::from_secs(30);
