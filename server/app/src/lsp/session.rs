//! The loop of a session: messages in the order of the wire, each first polled in that order.
//!
//! tower-lsp's own loop is not used: it lets handlers overtake each other, stops reading while
//! four of them wait, and ends with the first broken frame.

use super::aside::Aside;
use super::compute::Pool;
use super::documents::Documents;
use super::follow::{Desk, Engine};
use super::frames::{Frame, Frames};
use super::outbox::{Outbox, Writer};
use super::server::{Server, Session};
use crate::limits;
use futures::{FutureExt, Sink, SinkExt, StreamExt};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use tokio::sync::mpsc::{Receiver, channel};
use tower_lsp::jsonrpc::{Error, ErrorCode, Id, Request, Response};
use tower_lsp::lsp_types::MessageType;
use tower_lsp::{ExitedError, LspService};
use tower_service::Service;

/// A request that panics, for tests alone.
#[cfg(test)]
const PANIC: &str = "majorant/panic";

/// Serves one editor until it leaves; returns the exit code of the protocol.
///
/// # Errors
/// If threads or the runtime cannot be had.
pub(crate) fn serve(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    engine: Engine,
) -> std::io::Result<u8> {
    let (outbox, writer) = Outbox::start(output)?;
    let frames = read_frames(input)?;
    let pools = (Pool::for_reviews()?, Pool::for_answers()?, Aside::start()?);
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_time()
        .build()?;
    let code = runtime.block_on(run(frames, outbox.clone(), &writer, pools, engine));
    // What still waits (a hover before its first review) is dropped with the runtime.
    runtime.shutdown_background();
    outbox.close();
    writer.finish(limits::LAST_WORDS);
    Ok(code)
}

/// Starts the thread that reads frames.
fn read_frames(input: impl Read + Send + 'static) -> std::io::Result<Receiver<Frame>> {
    let (sender, frames) = channel(limits::WAITING_FRAMES);
    std::thread::Builder::new()
        .name("from editor".to_owned())
        .spawn(move || {
            let mut reader = Frames::new(input);
            while let Some(frame) = reader.next() {
                if sender.blocking_send(frame).is_err() {
                    return;
                }
            }
        })?;
    Ok(frames)
}

async fn run(
    mut frames: Receiver<Frame>,
    outbox: Outbox,
    writer: &Writer,
    (pool, answers, aside): (Pool, Pool, Aside),
    engine: Engine,
) -> u8 {
    let session = Arc::new(Session::default());
    let desk = Desk {
        documents: Arc::new(Documents::new(outbox.clone())),
        pool,
        answers,
        aside,
        engine,
        outbox: outbox.clone(),
    };
    let state = Arc::clone(&session);
    let builder = LspService::build(move |_| Server::new(desk, state));
    #[cfg(test)]
    let builder = builder.custom_method(PANIC, Server::panic);
    let (service, socket) = builder.finish();
    let (mut to_client, from_client) = socket.split();
    let mut router = Router {
        service,
        answers: from_client,
        outbox: outbox.clone(),
    };
    let mut gone = writer.gone.clone();
    let mut watch = tokio::time::interval(limits::PARENT_WATCH);
    loop {
        tokio::select! {
            biased;
            Some(request) = to_client.next() => outbox.post(&request),
            _ = gone.changed() => return 1,
            frame = frames.recv() => match frame {
                None => return session.exit_code(),
                Some(Frame::Broken(why)) => outbox.post(&refusal(Value::Null, -32700, &why)),
                Some(Frame::Message(message)) => {
                    if method(&message) == Some("exit") {
                        return session.exit_code();
                    }
                    router.route(message).await;
                }
            },
            _ = watch.tick() => if session.is_orphaned() { return 1 },
        }
    }
}

fn method(message: &Value) -> Option<&str> {
    message.get("method").and_then(Value::as_str)
}

fn refusal(id: Value, code: i64, message: &str) -> Value {
    json!({"jsonrpc": "2.0", "id": id, "error": {"code": code, "message": message}})
}

/// Hands messages to tower-lsp.
struct Router<A> {
    service: LspService<Server>,
    /// Where answers to requests of ours go.
    answers: A,
    outbox: Outbox,
}

impl<A: Sink<Response> + Unpin> Router<A> {
    async fn route(&mut self, mut message: Value) {
        if message.get("method").is_none() {
            return self.answer(message).await;
        }
        let is = |name| method(&message) == Some(name);
        let (starts, ends) = (is("initialize"), is("shutdown"));
        if let (true, Some(fields)) = (ends, message.as_object_mut()) {
            // Editors send null or {} where tower-lsp wants nothing.
            fields.remove("params");
        }
        let id = usable_id(&message);
        let request = match serde_json::from_value::<Request>(message) {
            Ok(request) => request,
            Err(error) => {
                let why = format!("not a request: {error}");
                return self.outbox.post(&refusal(id, -32600, &why));
            }
        };
        let id = request.id().cloned();
        let Ok(future) = catch_unwind(AssertUnwindSafe(|| self.service.call(request))) else {
            return broke_off(&self.outbox, id);
        };
        let outbox = self.outbox.clone();
        let mut future = AssertUnwindSafe(future)
            .catch_unwind()
            .map(move |ended| settle(&outbox, id, ended))
            .boxed();
        if starts {
            // Nothing may overtake the first message.
            future.await;
        } else if futures::poll!(&mut future).is_pending() {
            tokio::spawn(future);
        }
    }

    /// An answer of the editor to a request of ours; anything else is a mistake.
    async fn answer(&mut self, message: Value) {
        let id = usable_id(&message);
        let is_answer = message.get("result").is_some() || message.get("error").is_some();
        if !is_answer {
            let why = "neither a request nor an answer";
            return self.outbox.post(&refusal(id, -32600, why));
        }
        if let Ok(response) = serde_json::from_value::<Response>(message) {
            // Answers that nobody waits for any more make the framework panic.
            let sent = AssertUnwindSafe(self.answers.send(response)).catch_unwind();
            let _ = sent.await;
        }
    }
}

/// The message's id if an answer can carry it.
fn usable_id(message: &Value) -> Value {
    let id = message.get("id").cloned().unwrap_or_default();
    if id.is_i64() || id.is_string() {
        id
    } else {
        Value::Null
    }
}

type Ended = std::thread::Result<Result<Option<Response>, ExitedError>>;

fn settle(outbox: &Outbox, id: Option<Id>, ended: Ended) {
    match ended {
        Ok(Ok(Some(response))) => outbox.post(&response),
        Ok(_) => {}
        Err(_) => broke_off(outbox, id),
    }
}

/// A handler panicked: the editor gets an answer, the session goes on.
fn broke_off(outbox: &Outbox, id: Option<Id>) {
    let why = "A request broke off: a fault of majorant.";
    outbox.log(MessageType::ERROR, why.to_owned());
    if let Some(id) = id {
        let error = Error {
            code: ErrorCode::InternalError,
            message: why.into(),
            data: None,
        };
        outbox.post(&Response::from_error(id, error));
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
