//! Sessions of the built server over its pipes: how it starts, survives and ends.

#[allow(dead_code)]
mod client;
#[allow(dead_code)]
mod program;

use client::{Client, Dice, Reference, frame, modern, range};
use program::{Folder, Guarded};
use serde_json::{Value, json};
use std::process::{ChildStdin, Stdio};

/// A draft with one false step behind characters that every encoding counts differently.
const DRAFT: &str = "**Exercise 1.** Let $a_n = \\frac{1}{n}$. Show that $a_n \\to 0$.\n\n\
**Proof.** 😀 Let $ε > 0$. Choose $N > 1/ε$. Then for all $n > N$ we have 𝔽 \
$|a_n - 0| = \\frac{1}{n} \\le \\frac{1}{2n} < ε$.\n";

struct Session {
    client: Client,
    child: Guarded,
    folder: Folder,
}

impl Session {
    fn start() -> Self {
        Self::start_with(&["serve", "--stdio"])
    }

    fn start_with(arguments: &[&str]) -> Self {
        let folder = Folder::new();
        let mut child = folder
            .command()
            .args(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("the program can be started");
        let output = child.stdout.take().expect("a pipe from the server");
        let input = child.stdin.take().expect("a pipe to the server");
        Self {
            client: Client::new(output, input),
            child: Guarded(child),
            folder,
        }
    }

    fn ready() -> Self {
        let mut session = Self::start();
        session.client.initialize(modern());
        session
    }

    fn uri(&self) -> String {
        format!("file://{}/draft.md", self.folder.path().display())
    }

    fn code(&mut self) -> Option<i32> {
        self.client.wait_for_end();
        self.child.wait().code()
    }
}

/// The editor's end of the pipe stays open while this lives.
type OpenPipe = Option<ChildStdin>;

#[test]
fn exit_ends_the_process_while_the_pipe_stays_open() {
    for arguments in [&["serve"][..], &["serve", "--stdio"][..]] {
        let mut session = Session::start_with(arguments);
        session.client.initialize(modern());
        session.client.call("shutdown", Value::Null);
        session.client.notify("exit", Value::Null);
        assert_eq!(session.code(), Some(0));
    }
}

#[test]
fn exit_without_shutdown_is_code_one() {
    let mut session = Session::ready();
    session.client.notify("exit", Value::Null);
    assert_eq!(session.code(), Some(1));
    let mut session = Session::start();
    session.client.notify("exit", Value::Null);
    assert_eq!(session.code(), Some(1));
}

#[test]
fn messages_behind_exit_hold_up_nothing() {
    let mut session = Session::ready();
    session.client.call("shutdown", Value::Null);
    session.client.notify("exit", Value::Null);
    session.client.notify("initialized", json!({}));
    session.client.request("textDocument/hover", json!({}));
    assert_eq!(session.code(), Some(0));
}

/// Ends the server's input and waits for the code.
fn end_of_input(mut session: Session) -> Option<i32> {
    let (_, nowhere) = std::io::pipe().expect("a pipe");
    // The old client, and with it the editor's end of the pipe, is dropped.
    drop(std::mem::replace(
        &mut session.client,
        Client::new(std::io::empty(), nowhere),
    ));
    session.child.wait().code()
}

#[test]
fn the_end_of_input_ends_the_server() {
    assert_eq!(end_of_input(Session::start()), Some(1));
    let mut session = Session::ready();
    let uri = session.uri();
    session.client.open(&uri, "markdown", 0, DRAFT);
    session.client.ask_hover(&uri, 0, 30);
    assert_eq!(end_of_input(session), Some(1));
    let mut session = Session::ready();
    session.client.call("shutdown", Value::Null);
    assert_eq!(end_of_input(session), Some(0));
    // In the middle of a frame.
    let mut session = Session::ready();
    session.client.raw(b"Content-Length: 100\r\n\r\n{");
    assert_eq!(end_of_input(session), Some(1));
}

#[cfg(target_os = "linux")]
#[test]
fn the_editors_death_ends_the_server() {
    let mut editor = std::process::Command::new("cat")
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()
        .expect("some process to play the editor");
    let mut session = Session::start();
    let params = json!({"processId": editor.id(), "capabilities": {}});
    session.client.call("initialize", params);
    session.client.is_alive();
    let _pipe: OpenPipe = editor.stdin.take();
    editor.kill().expect("the editor can be killed");
    // Even while nobody has waited for it yet.
    assert_eq!(session.code(), Some(1));
    editor.wait().expect("the editor has ended");
}

#[test]
fn a_process_that_cannot_be_seen_is_not_watched() {
    let mut session = Session::start();
    // No system gives out this number.
    let params = json!({"processId": u32::MAX - 1, "capabilities": {}});
    session.client.call("initialize", params);
    let uri = session.uri();
    session.client.open(&uri, "markdown", 0, DRAFT);
    session.client.diagnostics(&uri, json!(0));
    session.client.is_alive();
}

#[test]
fn shutdown_takes_any_parameters() {
    for params in [Some(Value::Null), Some(json!({})), Some(json!([])), None] {
        let mut session = Session::ready();
        let mut message = json!({"jsonrpc": "2.0", "id": 99, "method": "shutdown"});
        if let Some(params) = params {
            message["params"] = params;
        }
        session.client.send(&message);
        let answer = session.client.answer(99);
        assert_eq!(answer.get("error"), None, "{answer}");
        assert_eq!(answer["result"], Value::Null);
        session.client.notify("exit", Value::Null);
        assert_eq!(session.code(), Some(0));
    }
}

#[test]
fn requests_outside_of_the_session_are_refused() {
    let mut session = Session::start();
    let client = &mut session.client;
    let answer = client.call("textDocument/hover", client::place("file:///a.md", 0, 0));
    assert_eq!(answer["error"]["code"], -32002);
    client.open("file:///a.md", "markdown", 0, "before the session");
    client.initialize(modern());
    let answer = client.call("initialize", json!({"capabilities": {}}));
    assert_eq!(answer["error"]["code"], -32600);
    client.call("shutdown", Value::Null);
    let answer = client.call("textDocument/hover", client::place("file:///a.md", 0, 0));
    assert_eq!(answer["error"]["code"], -32600);
    client.notify("exit", Value::Null);
    assert_eq!(session.code(), Some(0));
}

#[test]
fn unknown_methods_are_refused_or_ignored() {
    let mut session = Session::ready();
    let client = &mut session.client;
    let answer = client.call("workspace/noSuchThing", json!({"a": 1}));
    assert_eq!(answer["error"]["code"], -32601);
    client.notify("workspace/noSuchThing", json!({}));
    client.notify("$/noSuchThing", json!({}));
    client.is_alive();
    let answer = client.call("textDocument/hover", json!({"wrong": true}));
    assert_eq!(answer["error"]["code"], -32602);
    assert_eq!(client.untaken().len(), 0);
}

/// What is refused, and with which code; `None` where the server may also stay silent.
fn broken_messages() -> Vec<(Vec<u8>, i64)> {
    let plain = |text: &str| frame(text);
    vec![
        (plain("{\"jsonrpc\":\"2.0\",\"id\":"), -32700),
        (b"Content-Length: 4\r\n\r\n\"\xff\xfe\"".to_vec(), -32700),
        (b"Content-Length: twelve\r\n\r\n{}".to_vec(), -32700),
        (b"Content-Length: -5\r\n\r\n{}".to_vec(), -32700),
        (b"Content-Type: text/plain\r\n\r\n{}".to_vec(), -32700),
        (b"Content-Length: 99999999999\r\n\r\n{}".to_vec(), -32700),
        (
            b"Content-Length: 5\r\n\r\n{\"jsonrpc\":\"2.0\"}".to_vec(),
            -32700,
        ),
        (b"Content-Length: 0\r\n\r\n".to_vec(), -32700),
        (b"no header at all, only rubbish\r\n".to_vec(), -32700),
        (plain(&"[".repeat(100_000)), -32700),
        (plain("[]"), -32600),
        (
            plain("[{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"shutdown\"}]"),
            -32600,
        ),
        (plain("17"), -32600),
        (plain("null"), -32600),
        (plain("{}"), -32600),
        (plain("{\"jsonrpc\":\"2.0\",\"method\":17}"), -32600),
        (plain("{\"method\":\"textDocument/hover\"}"), -32600),
        (
            plain("{\"jsonrpc\":\"1.0\",\"id\":5,\"method\":\"x\"}"),
            -32600,
        ),
    ]
}

#[test]
fn broken_messages_cost_an_answer_and_no_session() {
    let mut session = Session::ready();
    let client = &mut session.client;
    for (bytes, code) in broken_messages() {
        client.raw(&bytes);
        let shown = String::from_utf8_lossy(&bytes[..bytes.len().min(80)]).into_owned();
        // Bytes without any header are seen as such when the next frame begins.
        let id = client.request("majorant/no such method", json!({}));
        let refusal = client.wait(&shown, |one| one["error"]["code"] == code);
        assert!(refusal["error"]["message"].is_string());
        assert_eq!(client.answer(id)["error"]["code"], -32601, "{shown}");
    }
    assert_eq!(client.untaken().len(), 0, "one answer each");
}

#[test]
fn unusual_headers_are_read() {
    let mut session = Session::ready();
    let body = r#"{"jsonrpc":"2.0","id":"x","method":"shutdown"}"#;
    let type_header = "Content-Type: application/vscode-jsonrpc; charset=utf-8";
    let text = format!(
        "{type_header}\r\nX-One: 1\r\nX-Two: 2\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    session.client.raw(text.as_bytes());
    let answer = session.client.wait("an answer", |one| one["id"] == "x");
    assert_eq!(answer["result"], Value::Null);
}

#[test]
fn frames_may_come_in_pieces() {
    let mut session = Session::ready();
    let body = r#"{"jsonrpc":"2.0","id":"pieces","method":"workspace/none"}"#;
    for byte in frame(body) {
        session.client.raw(&[byte]);
    }
    session
        .client
        .wait("an answer", |one| one["id"] == "pieces");
}

#[test]
fn a_uri_that_is_none_harms_nothing() {
    let mut session = Session::ready();
    let client = &mut session.client;
    client.open("untitled", "markdown", 0, DRAFT);
    client.replace("untitled", 1, "x");
    let answer = client.call("textDocument/hover", client::place("untitled", 0, 0));
    assert_eq!(answer["error"]["code"], -32602);
    client.open("untitled:Untitled-1", "markdown", 0, DRAFT);
    client.diagnostics("untitled:Untitled-1", json!(0));
}

#[test]
fn edits_of_drafts_that_are_not_open_are_told() {
    let mut session = Session::ready();
    let client = &mut session.client;
    client.replace("file:///closed.md", 1, "x");
    let log = client.wait("a log message", |one| one["method"] == "window/logMessage");
    assert!(
        log["params"]["message"]
            .as_str()
            .is_some_and(|text| text.contains("not open"))
    );
    client.close("file:///closed.md");
    client.is_alive();
}

#[test]
fn positions_beyond_everything_are_clamped() {
    let mut session = Session::ready();
    let uri = session.uri();
    let client = &mut session.client;
    client.open(&uri, "markdown", 0, DRAFT);
    client.diagnostics(&uri, json!(0));
    let most = u64::from(u32::MAX);
    for (line, character) in [(0, 0), (2, 12), (2, 13), (2, most), (most, 0), (most, most)] {
        let id = client.ask_hover(&uri, line, character);
        assert!(client.answer(id).get("error").is_none());
    }
    let everywhere = [
        ((0, most), (most, most)),
        ((most, most), (0, 0)),
        ((2, 12), (2, 13)),
    ];
    for (version, (from, to)) in (1..).zip(everywhere) {
        let change = json!([{"range": range(from, to), "text": "😀"}]);
        client.change(&uri, version, change);
    }
    client.diagnostics(&uri, json!(3));
}

/// What the server publishes for a text that it has never seen before.
fn fresh(client: &mut Client, name: &str, text: &str) -> Value {
    let uri = format!("file:///fresh/{name}.md");
    client.open(&uri, "markdown", 0, text);
    let diagnostics = client.diagnostics(&uri, json!(0));
    client.close(&uri);
    without_places(diagnostics)
}

/// Related places name the draft, which differs here.
fn without_places(mut diagnostics: Value) -> Value {
    for diagnostic in diagnostics.as_array_mut().into_iter().flatten() {
        if let Some(fields) = diagnostic.as_object_mut() {
            fields.remove("relatedInformation");
        }
    }
    diagnostics
}

#[test]
fn a_thousand_edits_end_where_a_fresh_draft_begins() {
    let mut session = Session::start();
    let client = &mut session.client;
    client.initialize(json!({"general": {"positionEncodings": ["utf-16"]}}));
    let uri = "file:///edited/draft.md";
    let mut reference = Reference {
        text: DRAFT.to_owned(),
    };
    client.open(uri, "markdown", 0, DRAFT);
    let parts = ["\n", "x ", "😀", "ε", "", "$n$ ", "\r\n", "word "];
    let mut dice = Dice(2026);
    for version in 1..=1000 {
        // The first lines stay as they are, so that there is something to find.
        let from = (3 + dice.below(30) as u64, dice.below(20) as u64);
        let to = (from.0, from.1 + dice.below(3) as u64);
        let new = dice.pick(&parts);
        reference.edit(from, to, new);
        client.change(
            uri,
            version,
            json!([{"range": range(from, to), "text": new}]),
        );
        if version % 10 == 0 {
            client.ask_hover(uri, from.0, from.1);
        }
    }
    let edited = without_places(client.diagnostics(uri, json!(1000)));
    assert_eq!(edited, fresh(client, "reference", &reference.text));
    let text = &reference.text;
    assert!(
        text.starts_with(DRAFT) && DRAFT.len() + 200 < text.len(),
        "{text}"
    );
}

#[test]
fn a_false_step_is_marked_where_it_stands() {
    let mut session = Session::ready();
    let uri = session.uri();
    let client = &mut session.client;
    client.open(&uri, "markdown", 7, DRAFT);
    let diagnostics = client.diagnostics(&uri, json!(7));
    let errors: Vec<&Value> = diagnostics
        .as_array()
        .expect("a list")
        .iter()
        .filter(|one| one["severity"] == 1)
        .collect();
    assert_eq!(errors.len(), 1, "{diagnostics}");
    assert_eq!(errors[0]["source"], "majorant");
    let line = DRAFT.lines().nth(2).expect("a third line");
    let at = |end: &str| {
        errors[0]["range"][end]["character"]
            .as_u64()
            .expect("a column") as usize
    };
    let marked = &line[at("start")..at("end")];
    assert!(marked.contains("\\le \\frac{1}{2n}"), "{marked}");
    let column = line.find("\\le").expect("the step") as u64;
    let hover = client.hover(&uri, 2, column);
    let text = hover["contents"]["value"].as_str().expect("a text");
    assert!(text.starts_with("**False**"), "{text}");
    client.replace(&uri, 8, &DRAFT.replace("\\frac{1}{2n}", "\\frac{2}{2n}"));
    let diagnostics = client.diagnostics(&uri, json!(8));
    let no_errors = diagnostics
        .as_array()
        .expect("a list")
        .iter()
        .all(|one| one["severity"] != 1);
    assert!(no_errors, "{diagnostics}");
    client.close(&uri);
    assert_eq!(client.diagnostics(&uri, Value::Null), json!([]));
}

/// Some question about names, parts or marks, which may ask about anything.
fn random_question(dice: &mut Dice, uri: &str) -> (&'static str, Value) {
    let methods = [
        "definition",
        "references",
        "documentHighlight",
        "prepareRename",
        "rename",
        "semanticTokens/full",
        "semanticTokens/range",
        "foldingRange",
        "selectionRange",
        "inlayHint",
        "codeLens",
        "completion",
    ];
    let names = ["m", "N_1", "\\delta", "", "x + 1", "😀"];
    let (line, character) = (dice.below(5), dice.below(80));
    let position = json!({"line": line, "character": character});
    let params = json!({
        "textDocument": {"uri": uri},
        "position": position,
        "positions": [position, {"line": 0, "character": 0}],
        "range": range((0, 3), (line as u64, 9)),
        "context": {"includeDeclaration": true},
        "newName": dice.pick(&names),
    });
    (*dice.pick(&methods), params)
}

/// One random move of a session; some are sound, some are not.
fn random_move(client: &mut Client, dice: &mut Dice, version: i32) {
    let uris = [
        "file:///r/a.md",
        "file:///r/b.tex",
        "untitled:c",
        "not a uri",
    ];
    let uri = *dice.pick(&uris);
    let texts = [
        DRAFT,
        "",
        "\\begin{proof} $x",
        "$$ \\frac{",
        "# 1\n\n$n \\ge 1$",
        "😀\r𝔽",
    ];
    let place = |dice: &mut Dice| (dice.below(5) as u64, dice.below(80) as u64);
    match dice.below(17) {
        0 | 1 => client.open(
            uri,
            dice.pick::<&str>(&["markdown", "latex", "odd"]),
            version,
            dice.pick::<&str>(&texts),
        ),
        2..5 => {
            let (from, to) = (place(dice), place(dice));
            let text = *dice.pick(&texts);
            client.change(
                uri,
                version,
                json!([{"range": range(from, to), "text": text}]),
            );
        }
        5 => client.close(uri),
        6 | 7 => {
            let (line, character) = place(dice);
            let id = client.ask_hover(uri, line, character);
            if dice.below(2) == 0 {
                client.notify("$/cancelRequest", json!({"id": id}));
            }
        }
        8 => {
            let params = json!({"textDocument": {"uri": uri}, "range": range((0, 0), (9, 9)),
                "context": {"diagnostics": []}});
            client.request("textDocument/codeAction", params);
        }
        9 => {
            client.request(
                "textDocument/documentSymbol",
                json!({"textDocument": {"uri": uri}}),
            );
        }
        10 => client.notify(
            "textDocument/didSave",
            json!({"textDocument": {"uri": uri}}),
        ),
        11 => client.notify("textDocument/didChange", json!({"wrong": dice.below(9)})),
        12 => client.notify("initialized", json!(null)),
        13..16 => {
            let (method, params) = random_question(dice, uri);
            client.request(&format!("textDocument/{method}"), params);
        }
        _ => {
            let broken = broken_messages();
            // Frames that only end with a later one would swallow a sound message.
            let (bytes, _) = dice.pick(&broken);
            client.raw(bytes);
        }
    }
}

#[test]
fn random_sessions_are_survived() {
    for seed in [3, 5, 8, 13, 21] {
        let mut session = Session::ready();
        let mut dice = Dice(seed);
        for version in 0..150 {
            random_move(&mut session.client, &mut dice, version);
        }
        session.client.is_alive();
        session.client.call("shutdown", json!({}));
        session.client.notify("exit", Value::Null);
        assert_eq!(session.code(), Some(0), "seed {seed}");
    }
}
