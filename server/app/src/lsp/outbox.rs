//! Everything that goes to the editor, in the order in which it was posted.

use serde::Serialize;
use serde_json::json;
use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;
use tokio::sync::watch;
use tower_lsp::lsp_types::notification::{LogMessage, Notification, ShowMessage};
use tower_lsp::lsp_types::request::Request;
use tower_lsp::lsp_types::{LogMessageParams, MessageType, ShowMessageParams};

/// Posts messages; a clone posts into the same queue. Posting never waits, so that it may be
/// done while documents are locked: that is what keeps diagnostics in the order of edits.
#[derive(Clone, Debug)]
pub(crate) struct Outbox {
    queue: Sender<Post>,
    /// How many requests were posted: each has an id of its own.
    requests: Arc<AtomicU64>,
}

#[derive(Debug)]
enum Post {
    Message(Vec<u8>),
    /// Write what is queued, then end.
    Close,
}

/// The writing thread, seen from the loop.
pub(crate) struct Writer {
    /// Turns true when nothing can be written any more.
    pub(crate) gone: watch::Receiver<bool>,
    finished: Receiver<()>,
}

impl Outbox {
    /// Starts the thread that writes to `output`.
    ///
    /// # Errors
    /// If the thread cannot be had.
    pub(crate) fn start(output: impl Write + Send + 'static) -> std::io::Result<(Self, Writer)> {
        let (queue, posts) = channel();
        let (lost, gone) = watch::channel(false);
        let (done, finished) = channel();
        std::thread::Builder::new()
            .name("to editor".to_owned())
            .spawn(move || {
                if write_all(output, &posts).is_err() {
                    lost.send_replace(true);
                }
                // Nobody waits if the loop has ended without asking for it.
                let _ = done.send(());
            })?;
        let requests = Arc::default();
        Ok((Self { queue, requests }, Writer { gone, finished }))
    }

    /// Posts a message.
    pub(crate) fn post(&self, message: &impl Serialize) {
        if let Ok(body) = serde_json::to_vec(message) {
            // An editor that is gone reads no messages; the loop ends by itself.
            let _ = self.queue.send(Post::Message(body));
        }
    }

    /// Posts a notification.
    pub(crate) fn notify<N: Notification>(&self, params: &N::Params) {
        self.post(&json!({"jsonrpc": "2.0", "method": N::METHOD, "params": params}));
    }

    /// Posts a request whose answer tells nothing: nobody waits for it.
    pub(crate) fn request<R: Request<Params = ()>>(&self) {
        let number = self.requests.fetch_add(1, Ordering::Relaxed);
        let id = format!("majorant {number}");
        self.post(&json!({"jsonrpc": "2.0", "id": id, "method": R::METHOD}));
    }

    /// Posts a line for the editor's log.
    pub(crate) fn log(&self, kind: MessageType, message: String) {
        self.notify::<LogMessage>(&LogMessageParams { typ: kind, message });
    }

    /// Posts a line for a message box.
    pub(crate) fn show(&self, kind: MessageType, message: String) {
        self.notify::<ShowMessage>(&ShowMessageParams { typ: kind, message });
    }

    /// Asks the writer to end after what was posted before.
    pub(crate) fn close(&self) {
        let _ = self.queue.send(Post::Close);
    }
}

impl Writer {
    /// Waits until everything is written, but no longer than `most`.
    pub(crate) fn finish(&self, most: Duration) {
        let _ = self.finished.recv_timeout(most);
    }
}

fn write_all(mut output: impl Write, posts: &Receiver<Post>) -> std::io::Result<()> {
    while let Ok(Post::Message(body)) = posts.recv() {
        write!(output, "Content-Length: {}\r\n\r\n", body.len())?;
        output.write_all(&body)?;
        output.flush()?;
    }
    Ok(())
}
