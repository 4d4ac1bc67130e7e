//! Progress on a terminal, and the wish to stop.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// How a run tells of itself while it goes on, and is told to stop.
#[derive(Clone, Debug)]
pub(crate) struct Watch {
    bar: ProgressBar,
    stop: Arc<AtomicBool>,
}

impl Watch {
    /// Says nothing and goes on.
    #[cfg(test)]
    pub(crate) fn silent() -> Self {
        Self {
            bar: ProgressBar::hidden(),
            stop: Arc::default(),
        }
    }

    /// Shows progress if standard error is a terminal, and stops at the first interrupt from the
    /// keyboard; the second one ends the program.
    pub(crate) fn of_terminal() -> Self {
        let watch = Self {
            bar: if std::io::stderr().is_terminal() {
                ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr())
            } else {
                ProgressBar::hidden()
            },
            stop: Arc::default(),
        };
        let stop = Arc::clone(&watch.stop);
        let bar = watch.bar.clone();
        // Without a handler an interrupt ends the program, which is no harm.
        let _ = ctrlc::set_handler(move || {
            if stop.swap(true, Ordering::Relaxed) {
                std::process::exit(INTERRUPTED);
            }
            bar.set_message("stopping: what is done will be reported");
        });
        watch
    }

    /// So many drafts are to be reviewed.
    pub(crate) fn begin(&self, drafts: usize) {
        if drafts < 2 {
            return;
        }
        self.bar.set_length(drafts as u64);
        let style = "{bar:24} {pos} of {len} drafts, about {eta} left {msg}";
        if let Ok(style) = ProgressStyle::with_template(style) {
            self.bar.set_style(style.progress_chars("━╸ "));
        }
        self.bar.enable_steady_tick(TICK);
    }

    /// One more is done.
    pub(crate) fn advance(&self) {
        self.bar.inc(1);
    }

    /// All are done: the line of progress goes.
    pub(crate) fn end(&self) {
        self.bar.finish_and_clear();
    }

    /// Whether the run shall stop.
    pub(crate) fn stop(&self) -> &AtomicBool {
        &self.stop
    }

    /// Whether it was told so.
    pub(crate) fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

/// Status of a program that an interrupt ended, by custom.
const INTERRUPTED: i32 = 130;

/// How often the line of progress is drawn anew.
const TICK: Duration = Duration::from_millis(200);
