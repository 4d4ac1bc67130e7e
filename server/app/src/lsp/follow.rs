//! One task for every open draft: it waits for a pause, has the newest state reviewed, and
//! publishes. At most one review of a draft is under way; an edit calls it off.

use super::aside::Aside;
use super::compute::{Ended, Pool};
use super::diagnostics;
use super::documents::{Documents, Opened, Reviewed, Snapshot};
use super::editor::Editor;
use super::outbox::Outbox;
use crate::aided::Reading;
use crate::companions;
use crate::limits;
use checks::Review;
use source::{Companions, Format};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tower_lsp::lsp_types::request::{CodeLensRefresh, InlayHintRefreshRequest};
use tower_lsp::lsp_types::{MessageType, Url};

/// What reviews a draft.
pub(crate) type Reviewer = dyn Fn(&Asked<'_>, &AtomicBool) -> Option<Review> + Send + Sync;

/// What reads a draft without deciding anything.
pub(crate) type Reader = dyn Fn(&Asked<'_>) -> Reading + Send + Sync;

/// What reviews and reads drafts; the program hands over [`crate::aided`], tests their own.
#[derive(Clone)]
pub(crate) struct Engine {
    /// Reviews.
    pub(crate) review: Arc<Reviewer>,
    /// Reads.
    pub(crate) read: Arc<Reader>,
}

/// What an engine is asked to review.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Asked<'a> {
    /// The draft.
    pub(crate) text: &'a str,
    /// Its language.
    pub(crate) format: Format,
    /// The files that it includes.
    pub(crate) companions: &'a Companions,
    /// Its file, if it has one.
    pub(crate) file: Option<&'a Path>,
}

/// Everything that following a draft needs.
#[derive(Clone)]
pub(crate) struct Desk {
    /// The open drafts.
    pub(crate) documents: Arc<Documents>,
    /// The threads for reviews.
    pub(crate) pool: Pool,
    /// The thread for readings.
    pub(crate) answers: Pool,
    /// Work beside the reviews.
    pub(crate) aside: Aside,
    /// The engine.
    pub(crate) engine: Engine,
    /// The way to the editor.
    pub(crate) outbox: Outbox,
}

/// Follows a draft until it is closed.
pub(crate) async fn follow(desk: Desk, url: Url, mut opened: Opened, editor: Editor) {
    loop {
        let snapshot = opened.snapshots.borrow_and_update().clone();
        let revision = snapshot.revision;
        let stop = Arc::new(AtomicBool::new(false));
        let job = job(&desk, &url, snapshot, editor, Arc::clone(&stop));
        let review = desk.pool.run(job);
        tokio::pin!(review);
        let ended = tokio::select! {
            biased;
            changed = opened.snapshots.changed() => {
                // The job sees the flag soon; only then the next one may start.
                stop.store(true, Ordering::Relaxed);
                review.as_mut().await;
                if changed.is_err() || !pause(&mut opened).await {
                    return;
                }
                continue;
            }
            ended = &mut review => ended,
        };
        deliver(&desk, &url, &opened, revision, ended);
        refresh(&desk.outbox, editor);
        if opened.snapshots.changed().await.is_err() || !pause(&mut opened).await {
            return;
        }
    }
}

/// Tells the editor that marks and tallies have changed. Nobody waits for its answer, which says
/// nothing.
fn refresh(outbox: &Outbox, editor: Editor) {
    let (hints, lenses) = editor.features.refreshes;
    if hints {
        outbox.request::<InlayHintRefreshRequest>();
    }
    if lenses {
        outbox.request::<CodeLensRefresh>();
    }
}

/// Waits until no edit has come for the debounce time; false if the draft was closed.
async fn pause(opened: &mut Opened) -> bool {
    loop {
        opened.snapshots.borrow_and_update();
        match tokio::time::timeout(limits::DEBOUNCE, opened.snapshots.changed()).await {
            Err(_) => return true,
            Ok(Err(_)) => return false,
            Ok(Ok(())) => {}
        }
    }
}

/// The work for one state: reading companions, reviewing, counting columns.
fn job(
    desk: &Desk,
    url: &Url,
    snapshot: Snapshot,
    editor: Editor,
    stop: Arc<AtomicBool>,
) -> impl FnOnce() -> Option<Reviewed> + Send + 'static {
    let engine = desk.engine.clone();
    let url = url.clone();
    move || {
        if stop.load(Ordering::Relaxed) {
            return None;
        }
        let text = snapshot.text.to_string();
        if source::limits::DRAFT_BYTES < text.len() {
            return Some(Reviewed {
                revision: snapshot.revision,
                text,
                review: Review::default(),
                published: vec![diagnostics::Published {
                    diagnostic: diagnostics::too_large(),
                    finding: None,
                }],
            });
        }
        let review = with_asked(&url, &text, snapshot.format, |asked| {
            (engine.review)(asked, &stop)
        })?;
        let published = diagnostics::of(&review, &text, &url, &editor);
        Some(Reviewed {
            revision: snapshot.revision,
            text,
            review,
            published,
        })
    }
}

/// Asks about a text with what lies beside its file.
pub(crate) fn with_asked<T>(
    url: &Url,
    text: &str,
    format: Format,
    ask: impl FnOnce(&Asked<'_>) -> T,
) -> T {
    let file = url.to_file_path().ok();
    let folder = file.as_deref().and_then(Path::parent);
    let found = companions::find(text, format, folder);
    ask(&Asked {
        text,
        format,
        companions: &companions::texts(&found),
        file: file.as_deref(),
    })
}

fn deliver(desk: &Desk, url: &Url, opened: &Opened, revision: u64, ended: Ended<Option<Reviewed>>) {
    let reviewed = match ended {
        Ended::Done(Some(reviewed)) => reviewed,
        // Called off: an edit is on its way.
        Ended::Done(None) => return,
        Ended::Panicked => {
            let message = format!("The review of {url} broke off: a fault of majorant.");
            desk.outbox.log(MessageType::ERROR, message);
            // Old diagnostics would speak of a text that is gone.
            desk.documents
                .publish_for(url, opened.opening, revision, Vec::new());
            return;
        }
    };
    let published = reviewed.published.iter();
    let diagnostics = published.map(|one| one.diagnostic.clone()).collect();
    let revision = reviewed.revision;
    opened.reviews.send_replace(Some(Arc::new(reviewed)));
    desk.documents
        .publish_for(url, opened.opening, revision, diagnostics);
}
