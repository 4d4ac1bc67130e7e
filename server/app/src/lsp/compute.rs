//! Threads for reviews, so that no review ever holds up the loop.

use crate::limits;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use tokio::sync::oneshot;

type Work = Box<dyn FnOnce() + Send>;

/// A pool of plain threads with deep stacks. Its queue is bounded by its use: every open draft
/// has at most one review in it, and every question at most one job.
#[derive(Clone)]
pub(crate) struct Pool {
    queue: Sender<Work>,
}

/// How a job ended.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Ended<T> {
    /// With its result.
    Done(T),
    /// By a fault of ours.
    Panicked,
}

impl Pool {
    /// For reviews: one thread fewer than there are processors, at least one: one is left for
    /// the loop.
    ///
    /// # Errors
    /// If no thread can be had.
    pub(crate) fn for_reviews() -> std::io::Result<Self> {
        let processors = std::thread::available_parallelism().map_or(1, usize::from);
        Self::start("review", processors.saturating_sub(1).max(1))
    }

    /// For what an editor waits for while reviews go on: a thread of its own.
    ///
    /// # Errors
    /// If no thread can be had.
    pub(crate) fn for_answers() -> std::io::Result<Self> {
        Self::start("answer", 1)
    }

    /// For pictures and drafted proofs, which take longer: a thread of its own.
    ///
    /// # Errors
    /// If no thread can be had.
    pub(crate) fn for_aside() -> std::io::Result<Self> {
        Self::start("aside", 1)
    }

    fn start(name: &str, threads: usize) -> std::io::Result<Self> {
        let (queue, jobs) = channel();
        let jobs = Arc::new(Mutex::new(jobs));
        for number in 0..threads {
            let jobs = Arc::clone(&jobs);
            std::thread::Builder::new()
                .name(format!("{name} {number}"))
                .stack_size(limits::STACK_BYTES)
                .spawn(move || work(&jobs))?;
        }
        Ok(Self { queue })
    }

    /// Runs `job` on the pool. A job that panics harms nothing but itself.
    pub(crate) async fn run<T: Send + 'static>(
        &self,
        job: impl FnOnce() -> T + Send + 'static,
    ) -> Ended<T> {
        let (answer, answered) = oneshot::channel();
        let work: Work = Box::new(move || {
            let result = catch_unwind(AssertUnwindSafe(job));
            // The asker may have gone.
            let _ = answer.send(result.map_or(Ended::Panicked, Ended::Done));
        });
        if self.queue.send(work).is_err() {
            return Ended::Panicked;
        }
        answered.await.unwrap_or(Ended::Panicked)
    }
}

fn work(jobs: &Mutex<Receiver<Work>>) {
    loop {
        // The lock is held while waiting for a job, never while doing one.
        let job = match jobs.lock() {
            Ok(jobs) => jobs.recv(),
            Err(_) => return,
        };
        match job {
            Ok(job) => job(),
            Err(_) => return,
        }
    }
}
