//! A small language client for tests: frames over any pipe, answers by id, notifications by
//! condition, always with a deadline.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// How long anything may take before a test fails: far more than any machine needs.
pub(crate) const DEADLINE: Duration = Duration::from_secs(120);

/// A client at the other end of a server's pipes.
pub(crate) struct Client {
    output: Box<dyn Write + Send>,
    incoming: Receiver<Value>,
    /// Messages that came while something else was waited for.
    seen: Vec<Value>,
    next: i64,
}

impl Client {
    /// Reads the server's messages from `input` and writes to `output`.
    pub(crate) fn new(
        input: impl Read + Send + 'static,
        output: impl Write + Send + 'static,
    ) -> Self {
        let (sender, incoming) = channel();
        std::thread::spawn(move || {
            let mut input = BufReader::new(input);
            while let Some(message) = read(&mut input) {
                if sender.send(message).is_err() {
                    return;
                }
            }
        });
        Self {
            output: Box::new(output),
            incoming,
            seen: Vec::new(),
            next: 1,
        }
    }

    /// Writes bytes as they are. Whether the server is still there is seen by what it answers.
    pub(crate) fn raw(&mut self, bytes: &[u8]) {
        let _ = self.output.write_all(bytes);
        let _ = self.output.flush();
    }

    /// Sends a message.
    pub(crate) fn send(&mut self, message: &Value) {
        self.raw(&frame(&message.to_string()));
    }

    /// Sends a notification.
    pub(crate) fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Sends a request and returns its id.
    pub(crate) fn request(&mut self, method: &str, params: Value) -> i64 {
        let id = self.next;
        self.next += 1;
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
        id
    }

    /// The answer to a request.
    pub(crate) fn answer(&mut self, id: i64) -> Value {
        self.wait(&format!("the answer to request {id}"), |message| {
            message["id"] == id && message.get("method").is_none()
        })
    }

    /// Sends a request and waits for its answer.
    pub(crate) fn call(&mut self, method: &str, params: Value) -> Value {
        let id = self.request(method, params);
        self.answer(id)
    }

    /// The first message that was not taken yet and satisfies `wanted`.
    pub(crate) fn wait(&mut self, what: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        if let Some(at) = self.seen.iter().position(&wanted) {
            return self.seen.remove(at);
        }
        let end = Instant::now() + DEADLINE;
        loop {
            let left = end.saturating_duration_since(Instant::now());
            match self.incoming.recv_timeout(left) {
                Ok(message) if wanted(&message) => return message,
                Ok(message) => self.seen.push(message),
                Err(RecvTimeoutError::Timeout) => panic!("waited too long for {what}"),
                Err(RecvTimeoutError::Disconnected) => {
                    panic!(
                        "the server left while {what} was waited for; it sent {:?}",
                        self.seen
                    )
                }
            }
        }
    }

    /// The diagnostics of a draft at a version.
    pub(crate) fn diagnostics(&mut self, uri: &str, version: Value) -> Value {
        let message = self.wait(&format!("diagnostics of version {version}"), |message| {
            message["method"] == "textDocument/publishDiagnostics"
                && message["params"]["uri"] == uri
                && message["params"].get("version").unwrap_or(&Value::Null) == &version
        });
        message["params"]["diagnostics"].clone()
    }

    /// All messages so far that were waited for by nobody.
    pub(crate) fn untaken(&mut self) -> &[Value] {
        self.seen.extend(self.incoming.try_iter());
        &self.seen
    }

    /// Waits until the server has closed its output.
    pub(crate) fn wait_for_end(&mut self) {
        let end = Instant::now() + DEADLINE;
        loop {
            let left = end.saturating_duration_since(Instant::now());
            match self.incoming.recv_timeout(left) {
                Ok(message) => self.seen.push(message),
                Err(RecvTimeoutError::Disconnected) => return,
                Err(RecvTimeoutError::Timeout) => panic!("the server did not end"),
            }
        }
    }

    /// The first two messages of a session, with these client capabilities.
    pub(crate) fn initialize(&mut self, capabilities: Value) -> Value {
        let params = json!({"processId": null, "rootUri": null, "capabilities": capabilities});
        let answer = self.call("initialize", params);
        self.notify("initialized", json!({}));
        answer["result"]["capabilities"].clone()
    }

    /// Opens a draft.
    pub(crate) fn open(&mut self, uri: &str, language: &str, version: i32, text: &str) {
        let item = json!({"uri": uri, "languageId": language, "version": version, "text": text});
        self.notify("textDocument/didOpen", json!({"textDocument": item}));
    }

    /// Replaces a draft's whole text.
    pub(crate) fn replace(&mut self, uri: &str, version: i32, text: &str) {
        self.change(uri, version, json!([{"text": text}]));
    }

    /// Edits a draft.
    pub(crate) fn change(&mut self, uri: &str, version: i32, changes: Value) {
        let document = json!({"uri": uri, "version": version});
        let params = json!({"textDocument": document, "contentChanges": changes});
        self.notify("textDocument/didChange", params);
    }

    /// Closes a draft.
    pub(crate) fn close(&mut self, uri: &str) {
        self.notify(
            "textDocument/didClose",
            json!({"textDocument": {"uri": uri}}),
        );
    }

    /// Asks for a hover and returns the request's id.
    pub(crate) fn ask_hover(&mut self, uri: &str, line: u64, character: u64) -> i64 {
        self.request("textDocument/hover", place(uri, line, character))
    }

    /// The hover at a position.
    pub(crate) fn hover(&mut self, uri: &str, line: u64, character: u64) -> Value {
        let id = self.ask_hover(uri, line, character);
        self.answer(id)["result"].clone()
    }

    /// Shows that the session still answers.
    pub(crate) fn is_alive(&mut self) {
        let answer = self.call("majorant/no such method", json!({}));
        assert_eq!(answer["error"]["code"], -32601, "{answer}");
    }
}

/// A position in a draft.
pub(crate) fn place(uri: &str, line: u64, character: u64) -> Value {
    json!({"textDocument": {"uri": uri}, "position": {"line": line, "character": character}})
}

/// A range as the protocol has it.
pub(crate) fn range(from: (u64, u64), to: (u64, u64)) -> Value {
    json!({
        "start": {"line": from.0, "character": from.1},
        "end": {"line": to.0, "character": to.1},
    })
}

/// A body as a frame.
pub(crate) fn frame(body: &str) -> Vec<u8> {
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

/// Capabilities of an editor that offers UTF-8 columns and everything that changes answers.
pub(crate) fn modern() -> Value {
    json!({
        "general": {"positionEncodings": ["utf-16", "utf-8"]},
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {
            "publishDiagnostics": {"relatedInformation": true},
            "hover": {"contentFormat": ["markdown", "plaintext"]},
            "codeAction": {"codeActionLiteralSupport": {"codeActionKind": {"valueSet": []}}},
            "documentSymbol": {"hierarchicalDocumentSymbolSupport": true},
        },
    })
}

fn read(input: &mut impl BufRead) -> Option<Value> {
    let mut length = None;
    loop {
        let mut line = String::new();
        if input.read_line(&mut line).ok()? == 0 {
            return None;
        }
        let line = line.trim_end();
        if line.is_empty() {
            break;
        }
        if let Some(value) = line.strip_prefix("Content-Length: ") {
            length = value.parse().ok();
        }
    }
    let mut body = vec![0; length.expect("every frame of the server has a length")];
    input.read_exact(&mut body).ok()?;
    Some(serde_json::from_slice(&body).expect("every message of the server is JSON"))
}

/// A generator of numbers that look random: the same for the same seed on every machine.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// A number below `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % end as u64) as usize
    }

    /// One of several.
    pub(crate) fn pick<'all, T>(&mut self, all: &'all [T]) -> &'all T {
        &all[self.below(all.len())]
    }
}

/// A text as an editor holds it, edited by UTF-16 positions: written as simply as possible and
/// apart from the server's own way.
#[derive(Clone, Default)]
pub(crate) struct Reference {
    /// The text.
    pub(crate) text: String,
}

impl Reference {
    /// The byte at a UTF-16 position, clamped as the protocol wants.
    pub(crate) fn offset(&self, line: u64, character: u64) -> usize {
        let mut rest = self.text.as_str();
        for _ in 0..line {
            match line_end(rest) {
                Some((_, next)) => rest = &rest[next..],
                None => return self.text.len(),
            }
        }
        let start = self.text.len() - rest.len();
        let line = &rest[..line_end(rest).map_or(rest.len(), |(end, _)| end)];
        let mut units = 0;
        for (at, letter) in line.char_indices() {
            units += letter.len_utf16() as u64;
            if character < units {
                return start + at;
            }
        }
        start + line.len()
    }

    /// Replaces a range.
    pub(crate) fn edit(&mut self, from: (u64, u64), to: (u64, u64), new: &str) {
        let (from, to) = (self.offset(from.0, from.1), self.offset(to.0, to.1));
        self.text.replace_range(from.min(to)..from.max(to), new);
    }
}

/// Where the first line ends and the next begins.
fn line_end(text: &str) -> Option<(usize, usize)> {
    let at = text.find(['\n', '\r'])?;
    let length = if text[at..].starts_with("\r\n") { 2 } else { 1 };
    Some((at, at + length))
}
