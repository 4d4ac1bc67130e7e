//! The open drafts: their texts as the editor has them, and their latest reviews.

use super::aside::Moment;
use super::diagnostics::Published;
use super::outbox::Outbox;
use super::place::{Drift, of};
use crate::aided::Reading;
use checks::Review;
use source::Format;
use source::text::position::Encoding;
use source::text::rope::EditorText;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::watch;
use tower_lsp::lsp_types::notification::PublishDiagnostics;
use tower_lsp::lsp_types::{
    Diagnostic, PublishDiagnosticsParams, TextDocumentContentChangeEvent, TextDocumentItem, Url,
};

/// A draft at one moment. Cloning it costs nothing.
#[derive(Clone, Debug)]
pub(crate) struct Snapshot {
    /// Our own count of states; the editor's versions may repeat or skip.
    pub(crate) revision: u64,
    /// The editor's version.
    pub(crate) version: i32,
    /// The text.
    pub(crate) text: EditorText,
    /// Its language.
    pub(crate) format: Format,
}

/// A finished review with the text that it speaks of.
#[derive(Debug)]
pub(crate) struct Reviewed {
    /// The state of the draft.
    pub(crate) revision: u64,
    /// The text.
    pub(crate) text: String,
    /// What the engine says.
    pub(crate) review: Review,
    /// What was published of it.
    pub(crate) published: Vec<Published>,
}

/// The latest review seen from the present text.
pub(crate) struct Current {
    /// The present text.
    pub(crate) text: String,
    /// Its version.
    pub(crate) version: i32,
    /// Its language.
    pub(crate) format: Format,
    /// The latest review.
    pub(crate) reviewed: Arc<Reviewed>,
    /// From the reviewed text to the present one.
    pub(crate) drift: Drift,
}

/// A reading with the state of the draft that was read.
pub(crate) type Read = Option<(u64, Arc<Reading>)>;
impl Current {
    /// The draft as it was reviewed.
    pub(super) fn moment(&self, url: Url) -> Moment {
        Moment {
            url,
            revision: self.reviewed.revision,
            text: self.reviewed.text.clone(),
            format: self.format,
        }
    }
}

/// A question about a draft: the text as it was when the question came, and its reviews.
pub(crate) struct Question {
    /// The draft as it was.
    pub(crate) snapshot: Snapshot,
    /// The latest reading.
    pub(crate) read: Arc<Mutex<Read>>,
    reviews: watch::Receiver<Option<Arc<Reviewed>>>,
}

impl Question {
    /// The byte at a position of the protocol in the text as it was.
    pub(crate) fn offset(
        &self,
        position: tower_lsp::lsp_types::Position,
        encoding: Encoding,
    ) -> usize {
        self.snapshot.text.offset(of(position), encoding)
    }

    /// A review of the text as it was, if it comes in time; else as [`Self::current`].
    pub(crate) async fn fresh(
        mut self,
        patience: std::time::Duration,
        most: std::time::Duration,
    ) -> Option<Current> {
        let revision = self.snapshot.revision;
        let of_now = |reviewed: &Option<Arc<Reviewed>>| {
            reviewed
                .as_ref()
                .is_some_and(|one| revision <= one.revision)
        };
        // Too late is no fault: an older review is told of, too.
        let _ = tokio::time::timeout(patience, self.reviews.wait_for(of_now)).await;
        self.current(most).await
    }

    /// The text as it was, and its version.
    pub(crate) fn text(&self) -> (String, i32) {
        (self.snapshot.text.to_string(), self.snapshot.version)
    }

    /// Which state of the draft that was.
    pub(crate) fn revision(&self) -> u64 {
        self.snapshot.revision
    }

    /// The draft as it was.
    pub(super) fn moment(&self, url: &Url) -> Moment {
        Moment {
            url: url.clone(),
            revision: self.snapshot.revision,
            text: self.snapshot.text.to_string(),
            format: self.snapshot.format,
        }
    }

    /// The latest review; waits for the first one, at most that long.
    pub(crate) async fn current(mut self, most: std::time::Duration) -> Option<Current> {
        let first = self.reviews.wait_for(Option::is_some);
        let reviewed = tokio::time::timeout(most, first)
            .await
            .ok()?
            .ok()?
            .clone()?;
        let text = self.snapshot.text.to_string();
        let drift = Drift::between(&reviewed.text, &text);
        Some(Current {
            text,
            version: self.snapshot.version,
            format: self.snapshot.format,
            reviewed,
            drift,
        })
    }
}

struct Document {
    /// Distinguishes this opening of the draft from earlier ones.
    opening: u64,
    snapshot: Snapshot,
    snapshots: watch::Sender<Snapshot>,
    reviews: watch::Receiver<Option<Arc<Reviewed>>>,
    read: Arc<Mutex<Read>>,
}

/// What follows an opened draft: its states and the place for its reviews.
pub(crate) struct Opened {
    /// Which opening of the draft.
    pub(crate) opening: u64,
    /// Its states, newest only; closed with the draft.
    pub(crate) snapshots: watch::Receiver<Snapshot>,
    /// Where its reviews go.
    pub(crate) reviews: watch::Sender<Option<Arc<Reviewed>>>,
}

#[derive(Default)]
struct Shelf {
    count: u64,
    open: BTreeMap<Url, Document>,
}

/// The open drafts. Everything that changes one or publishes about one does so under one lock.
pub(crate) struct Documents {
    shelf: Mutex<Shelf>,
    outbox: Outbox,
}

impl Documents {
    /// No drafts.
    pub(crate) fn new(outbox: Outbox) -> Self {
        Self {
            shelf: Mutex::new(Shelf::default()),
            outbox,
        }
    }

    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        // A panic elsewhere leaves the shelf whole: every change to it is a single step.
        self.shelf.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Opens a draft; one that was open already is opened anew.
    pub(crate) fn open(&self, item: TextDocumentItem) -> Opened {
        let mut shelf = self.shelf();
        shelf.count += 1;
        let opening = shelf.count;
        let format = format(&item.language_id, &item.uri, &item.text);
        let snapshot = Snapshot {
            revision: opening,
            version: item.version,
            text: EditorText::new(&item.text),
            format,
        };
        let (snapshots, followed) = watch::channel(snapshot.clone());
        let (sender, reviews) = watch::channel(None);
        let document = Document {
            opening,
            snapshot,
            snapshots,
            reviews,
            read: Arc::default(),
        };
        shelf.open.insert(item.uri, document);
        Opened {
            opening,
            snapshots: followed,
            reviews: sender,
        }
    }

    /// Applies edits in their order. Whole texts are taken at any time, whatever was announced.
    /// False if the draft is not open.
    pub(crate) fn change(
        &self,
        url: &Url,
        version: i32,
        changes: Vec<TextDocumentContentChangeEvent>,
        encoding: Encoding,
    ) -> bool {
        let mut shelf = self.shelf();
        shelf.count += 1;
        let revision = shelf.count;
        let Some(document) = shelf.open.get_mut(url) else {
            return false;
        };
        let snapshot = &mut document.snapshot;
        for change in changes {
            match change.range {
                None => snapshot.text.replace_all(&change.text),
                Some(range) => {
                    let (start, end) = (of(range.start), of(range.end));
                    snapshot
                        .text
                        .replace_range(start, end, encoding, &change.text);
                }
            }
        }
        snapshot.version = version;
        snapshot.revision = revision;
        document.snapshots.send_replace(snapshot.clone());
        true
    }

    /// Closes a draft and clears what was published about it.
    pub(crate) fn close(&self, url: &Url) {
        let mut shelf = self.shelf();
        if shelf.open.remove(url).is_some() {
            self.publish(url, Vec::new(), None);
        }
    }

    /// Publishes diagnostics of a state, unless the draft has moved on or was closed meanwhile.
    pub(crate) fn publish_for(
        &self,
        url: &Url,
        opening: u64,
        revision: u64,
        diagnostics: Vec<Diagnostic>,
    ) {
        let shelf = self.shelf();
        if let Some(document) = shelf.open.get(url) {
            let same = document.opening == opening && document.snapshot.revision == revision;
            if same {
                self.publish(url, diagnostics, Some(document.snapshot.version));
            }
        }
    }

    fn publish(&self, url: &Url, diagnostics: Vec<Diagnostic>, version: Option<i32>) {
        self.outbox
            .notify::<PublishDiagnostics>(&PublishDiagnosticsParams {
                uri: url.clone(),
                diagnostics,
                version,
            });
    }

    /// A question about an open draft.
    pub(crate) fn ask(&self, url: &Url) -> Option<Question> {
        let shelf = self.shelf();
        shelf.open.get(url).map(|document| Question {
            snapshot: document.snapshot.clone(),
            reviews: document.reviews.clone(),
            read: Arc::clone(&document.read),
        })
    }
}

/// The language of a draft: by the editor's name for it, then by its ending, then by its text.
fn format(language: &str, url: &Url, text: &str) -> Format {
    match language.to_ascii_lowercase().as_str() {
        "markdown" | "quarto" | "rmd" | "rmarkdown" | "qmd" => Format::Markdown,
        "latex" | "tex" | "plaintex" => Format::Latex,
        _ => crate::collect::format_by_ending(Path::new(url.path()))
            .unwrap_or_else(|| Format::sniff(text)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_language_decides_then_the_ending_then_the_text() {
        let tex = "\\documentclass{article}";
        for (language, url, text, expected) in [
            ("markdown", "file:///a.tex", tex, Format::Markdown),
            ("plaintex", "file:///a.md", "x", Format::Latex),
            ("plaintext", "file:///a.tex", "x", Format::Latex),
            ("", "file:///a.Rmd", tex, Format::Markdown),
            ("", "untitled:Untitled-1", tex, Format::Latex),
            ("", "untitled:Untitled-1", "x", Format::Markdown),
        ] {
            let url = Url::parse(url).unwrap();
            assert_eq!(format(language, &url, text), expected, "{language} {url}");
        }
    }
}
