//! One run of `review`: every draft that was asked for, reviewed in parallel, in order.

use crate::aided::{self, Aided};
use crate::collect::{Collection, Draft, Served, Skipped, collect};
use crate::limits;
use crate::settings::Courses;
use checks::{Review, Severity, Tally};
use rayon::prelude::*;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

/// A draft with its review.
#[derive(Debug)]
pub(crate) struct ReviewedDraft {
    /// The draft.
    pub(crate) draft: Draft,
    /// What the engine says about it.
    pub(crate) review: Review,
    /// Arguments that answer no exercise of the sheet (positions in the review).
    pub(crate) unmatched: Vec<usize>,
}

/// What a run found.
#[derive(Debug, Default)]
pub(crate) struct Run {
    /// Drafts in the order of the report.
    pub(crate) drafts: Vec<ReviewedDraft>,
    /// What could not be reviewed.
    pub(crate) skipped: Vec<Skipped>,
    /// Files read for their macros only.
    pub(crate) served: Vec<Served>,
}

/// Sums over a run.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Totals {
    /// Drafts reviewed.
    pub(crate) drafts: usize,
    /// Arguments in them.
    pub(crate) arguments: usize,
    /// Sums of the tallies.
    pub(crate) tally: Tally,
    /// Findings of severity error.
    pub(crate) errors: usize,
    /// Findings of severity warning.
    pub(crate) warnings: usize,
}

impl Run {
    /// The sums.
    pub(crate) fn totals(&self) -> Totals {
        let mut totals = Totals {
            drafts: self.drafts.len(),
            ..Totals::default()
        };
        for ReviewedDraft { review, .. } in &self.drafts {
            totals.arguments += review.arguments.len();
            for argument in &review.arguments {
                totals.tally.proved += argument.tally.proved;
                totals.tally.refuted += argument.tally.refuted;
                totals.tally.unsettled += argument.tally.unsettled;
                totals.tally.unread += argument.tally.unread;
            }
            totals.errors += count(review, Severity::Error);
            totals.warnings += count(review, Severity::Warning);
        }
        totals
    }

    /// The exit status of the contract: 2 if something could not be done, else 1 if there is an
    /// error, else 0.
    pub(crate) fn status(&self) -> u8 {
        if !self.skipped.is_empty() || self.drafts.is_empty() {
            2
        } else {
            u8::from(0 < self.totals().errors)
        }
    }
}

/// How many findings of that severity a review has.
pub(crate) fn count(review: &Review, severity: Severity) -> usize {
    let same = |finding: &&checks::Finding| finding.severity == severity;
    review.findings.iter().filter(same).count()
}

/// What reviews one draft; the program hands over [`engine`], tests their own.
pub(crate) type Engine = fn(&Draft) -> Option<Aided>;

/// The engine of the program: never called off.
pub(crate) fn engine(draft: &Draft) -> Option<Aided> {
    let never = AtomicBool::new(false);
    aided::review(
        &draft.text,
        draft.format,
        &draft.companions,
        &draft.course,
        &never,
    )
}

/// Reviews everything that `paths` asks for with `jobs` threads (`None`: one a processor).
///
/// # Errors
/// One line in words if the threads could not be had or settings cannot be used.
pub(crate) fn run(
    paths: &[PathBuf],
    courses: &mut Courses,
    jobs: Option<u16>,
    engine: Engine,
) -> Result<Run, String> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.map_or(0, usize::from))
        .stack_size(limits::STACK_BYTES)
        .build()
        .map_err(|error| format!("cannot start threads: {error}"))?;
    pool.install(|| Ok(review_all(collect(paths, courses)?, engine)))
}

fn review_all(collection: Collection, engine: Engine) -> Run {
    let Collection {
        drafts,
        mut skipped,
        served,
    } = collection;
    let results: Vec<Result<ReviewedDraft, Skipped>> = drafts
        .into_par_iter()
        .map(|draft| review_one(draft, engine))
        .collect();
    let mut reviewed = Vec::with_capacity(results.len());
    for result in results {
        match result {
            Ok(one) => reviewed.push(one),
            Err(one) => skipped.push(one),
        }
    }
    Run {
        drafts: reviewed,
        skipped,
        served,
    }
}

/// A fault of ours in one draft must not cost the reviews of all others.
fn review_one(draft: Draft, engine: Engine) -> Result<ReviewedDraft, Skipped> {
    match catch_unwind(AssertUnwindSafe(|| engine(&draft))) {
        Ok(Some(Aided { review, unmatched })) => Ok(ReviewedDraft {
            draft,
            review,
            unmatched,
        }),
        Ok(None) | Err(_) => Err(Skipped {
            path: draft.path,
            reason: "the review broke off: a fault of this program, not of the draft".to_owned(),
        }),
    }
}
