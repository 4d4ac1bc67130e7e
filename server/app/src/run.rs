//! One run of `review`: every draft that was asked for, reviewed in parallel, in order.

use crate::aided::{self, Aided};
use crate::collect::{Collection, Draft, Served, Skipped, collect};
use crate::limits;
use crate::merge::Positions;
use crate::progress::Watch;
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
    /// Files of other kinds that lie beside drafts and were not read.
    pub(crate) others: Vec<String>,
    /// Where its entries belong, if it is a part of a run.
    pub(crate) shard: Option<Positions>,
}

/// Why a draft was left out of a run that was told to stop.
pub(crate) const INTERRUPTED: &str = "the run was interrupted before it was reviewed";

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
        // A run with fewer drafts than shards leaves some of them nothing to do.
        let nothing = self.drafts.is_empty() && self.shard.is_none();
        if !self.skipped.is_empty() || nothing {
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

/// What reviews one draft unless it is told to stop; the program hands over [`engine`], tests
/// their own.
pub(crate) type Engine<'a> = &'a (dyn Fn(&Draft, &AtomicBool) -> Option<Aided> + Sync);

/// How a run is done.
#[derive(Clone, Copy)]
pub(crate) struct Plan<'a> {
    /// Threads; `None`: one a processor.
    pub(crate) jobs: Option<u16>,
    /// Who looks on, and may stop it.
    pub(crate) watch: &'a Watch,
    /// What reviews a draft.
    pub(crate) engine: Engine<'a>,
    /// Which part of the drafts to review; `None`: all of them.
    pub(crate) shard: Option<Shard>,
}

/// A part of a run: every `of`-th draft, beginning with the `number`-th.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Shard {
    /// From 1 to `of`.
    pub(crate) number: usize,
    /// How many parts there are.
    pub(crate) of: usize,
}

impl Shard {
    /// `I/K` with I from 1 to K.
    ///
    /// # Errors
    /// In words, if it is not that.
    pub(crate) fn read(text: &str) -> Result<Self, String> {
        let parts = text.split_once('/').and_then(|(number, of)| {
            let shard = Self {
                number: number.trim().parse().ok()?,
                of: of.trim().parse().ok()?,
            };
            (1..=shard.of).contains(&shard.number).then_some(shard)
        });
        parts.ok_or_else(|| "a shard is I/K with I from 1 to K, for instance 2/4".to_owned())
    }

    fn holds(self, position: usize) -> bool {
        position % self.of == self.number - 1
    }
}

/// The engine of the program.
pub(crate) fn engine(draft: &Draft, stop: &AtomicBool) -> Option<Aided> {
    aided::review(
        &draft.text,
        draft.format,
        &draft.companions,
        &draft.course,
        stop,
    )
}

/// Reviews everything that `paths` asks for.
///
/// # Errors
/// One line in words if the threads could not be had or settings cannot be used.
pub(crate) fn run(paths: &[PathBuf], courses: &mut Courses, plan: Plan<'_>) -> Result<Run, String> {
    pool(plan.jobs)?.install(|| Ok(review_all(collect(paths, courses)?, plan)))
}

/// Threads with room for deep drafts; `None`: one a processor.
///
/// # Errors
/// One line in words if they could not be had.
pub(crate) fn pool(jobs: Option<u16>) -> Result<rayon::ThreadPool, String> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.map_or(0, usize::from))
        .stack_size(limits::STACK_BYTES)
        .build()
        .map_err(|error| format!("cannot start threads: {error}"))
}

fn review_all(collection: Collection, plan: Plan<'_>) -> Run {
    let Collection {
        drafts,
        skipped,
        served,
        others,
    } = collection;
    let known = skipped.len();
    // What was skipped before any review is told by the first shard.
    let first = plan.shard.is_none_or(|shard| shard.number == 1);
    let mut skipped: Vec<(usize, Skipped)> = if first {
        skipped.into_iter().enumerate().collect()
    } else {
        Vec::new()
    };
    let drafts: Vec<(usize, Draft)> = drafts
        .into_iter()
        .enumerate()
        .filter(|(position, _)| plan.shard.is_none_or(|shard| shard.holds(*position)))
        .collect();
    plan.watch.begin(drafts.len());
    // One draft at a time is handed out: a long one must not keep short ones waiting behind it.
    let results: Vec<(usize, Result<ReviewedDraft, Skipped>)> = drafts
        .into_par_iter()
        .with_max_len(1)
        .map(|(position, draft)| {
            let result = review_one(draft, plan);
            plan.watch.advance();
            (position, result)
        })
        .collect();
    plan.watch.end();
    let mut reviewed = Vec::with_capacity(results.len());
    let mut positions = Vec::with_capacity(results.len());
    for (position, result) in results {
        match result {
            Ok(one) => {
                reviewed.push(one);
                positions.push(position);
            }
            Err(one) => skipped.push((known + position, one)),
        }
    }
    Run {
        drafts: reviewed,
        shard: plan.shard.map(|Shard { number, of }| Positions {
            number,
            of,
            drafts: positions,
            skipped: skipped.iter().map(|(position, _)| *position).collect(),
        }),
        skipped: skipped.into_iter().map(|(_, one)| one).collect(),
        served,
        others,
    }
}

/// A fault of ours in one draft must not cost the reviews of all others.
fn review_one(draft: Draft, plan: Plan<'_>) -> Result<ReviewedDraft, Skipped> {
    let skipped = |reason: &str| Skipped {
        path: draft.path.clone(),
        reason: reason.to_owned(),
    };
    if plan.watch.stopped() {
        return Err(skipped(INTERRUPTED));
    }
    let stop = plan.watch.stop();
    match catch_unwind(AssertUnwindSafe(|| (plan.engine)(&draft, stop))) {
        Ok(Some(Aided { review, unmatched })) => Ok(ReviewedDraft {
            draft,
            review,
            unmatched,
        }),
        Ok(None) if plan.watch.stopped() => Err(skipped(INTERRUPTED)),
        Ok(None) | Err(_) => Err(skipped(
            "the review broke off: a fault of this program, not of the draft",
        )),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// A folder of drafts for one test, removed at its end.
    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for number in 0..6 {
            let file = folder.path().join(format!("{number}.md"));
            std::fs::write(file, format!("draft {number}")).unwrap();
        }
        folder
    }

    fn go(engine: Engine<'_>, watch: &Watch) -> Run {
        let folder = folder();
        let plan = Plan {
            jobs: Some(1),
            watch,
            engine,
            shard: None,
        };
        let paths = [folder.path().to_owned()];
        run(&paths, &mut Courses::default(), plan).unwrap()
    }

    #[test]
    fn an_interrupted_run_reports_what_is_done() {
        let watch = Watch::silent();
        let run = go(
            &|draft, stop| {
                if draft.text == "draft 2" {
                    stop.store(true, std::sync::atomic::Ordering::Relaxed);
                    return None;
                }
                Some(Aided::default())
            },
            &watch,
        );
        assert_eq!(run.drafts.len(), 2);
        assert_eq!(run.skipped.len(), 4);
        assert!(run.skipped.iter().all(|one| one.reason == INTERRUPTED));
        assert_eq!(run.status(), 2);
    }

    #[test]
    fn a_draft_that_breaks_the_program_costs_only_itself() {
        let run = go(
            &|draft, _| {
                assert!(draft.text != "draft 3", "a fault of ours");
                Some(Aided::default())
            },
            &Watch::silent(),
        );
        assert_eq!(run.drafts.len(), 5);
        assert!(run.skipped[0].path.ends_with("/3.md"));
        assert!(run.skipped[0].reason.contains("a fault of this program"));
    }
}
