//! Whole sessions against engines made for the purpose: one that tells the text it was given,
//! one that waits at a gate, one that panics.

// Not every helper of the shared client is needed here.
#[allow(dead_code)]
#[path = "../../../../../tests/processes/client.rs"]
mod client;
mod drafting;
mod marks;
mod names;
mod parts;

use super::serve;
use crate::aided;
use crate::lsp::follow::Engine;
use crate::settings::Course;
use checks::{
    ArgumentReport, Check, ClaimReport, Finding, Related, Replacement, Review, Severity, Tally,
    VerdictWord,
};
use client::{Client, Dice, Reference, modern, range};
use serde_json::{Value, json};
use source::Span;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex};

const URI: &str = "file:///nowhere/draft.md";

static TELLS: Check = Check {
    name: "tells",
    summary: "",
    severity: Severity::Error,
    page: "",
};

/// A number that two texts share only if they are equal, in practice.
fn print_of(text: &str) -> String {
    let mix = |sum: u64, byte: u8| (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    let sum = text.bytes().fold(0xcbf2_9ce4_8422_2325, mix);
    format!("{} bytes, {sum:016x}", text.len())
}

/// A review that tells the text, and finds every `BAD` (which should be `GOOD`).
fn telling(text: &str) -> Review {
    let finding = |span, message, replacement| Finding {
        check: &TELLS,
        severity: Severity::Error,
        span,
        message,
        counterexample: None,
        related: vec![Related {
            span: Span::new(0, 0),
            message: "the start".into(),
        }],
        replacement,
        argument: 0,
        claim: None,
    };
    let mut findings = vec![finding(Span::new(0, 0), print_of(text), None)];
    let mut claims = Vec::new();
    for (at, bad) in text.match_indices("BAD") {
        let span = Span::new(at, at + bad.len());
        let text = "GOOD".to_owned();
        let replacement = Some(Replacement { span, text });
        findings.push(finding(span, "BAD is not good.".into(), replacement));
        claims.push(ClaimReport {
            span,
            reading: Some("BAD is *good*".into()),
            role: None,
            verdict: Some(VerdictWord::Refuted),
            evidence: Some("it is not".into()),
            counterexample: None,
            argument: 0,
        });
    }
    let argument = ArgumentReport {
        title: None,
        aim: Some("to be good".into()),
        span: Span::new(0, text.len()),
        tally: Tally {
            refuted: 1,
            ..Tally::default()
        },
        established: None,
        first_finding: None,
    };
    Review {
        arguments: vec![argument],
        claims,
        findings,
    }
}

fn engine(review: impl Fn(&str, &AtomicBool) -> Option<Review> + Send + Sync + 'static) -> Engine {
    Engine {
        review: Arc::new(move |asked, stop| review(asked.text, stop)),
        read: Arc::new(|asked| {
            let course = Course::default();
            aided::read(asked.text, asked.format, asked.companions, &course)
        }),
    }
}

/// The real engine.
fn reviewing() -> Engine {
    engine(|text, stop| {
        let companions = source::Companions::new();
        let settings = checks::Settings::default();
        checks::review(text, source::Format::Markdown, &companions, &settings, stop)
    })
}

fn telling_engine() -> Engine {
    engine(|text, _| Some(telling(text)))
}

/// A session with its server on a thread of its own; the thread ends with the exit code.
struct Session {
    client: Client,
    server: std::thread::JoinHandle<u8>,
}

impl Session {
    fn start(engine: Engine) -> Self {
        let (input, to_server) = std::io::pipe().unwrap();
        let (from_server, output) = std::io::pipe().unwrap();
        let server = std::thread::spawn(move || serve(input, output, engine).unwrap());
        Self {
            client: Client::new(from_server, to_server),
            server,
        }
    }

    fn with(engine: Engine, capabilities: Value) -> Self {
        let mut session = Self::start(engine);
        session.client.initialize(capabilities);
        session
    }

    fn end(mut self) -> u8 {
        self.client.call("shutdown", Value::Null);
        self.client.notify("exit", Value::Null);
        self.server.join().unwrap()
    }
}

/// A door that engines wait at; a stopped review leaves without passing.
#[derive(Default)]
struct Gate {
    open: Mutex<bool>,
    opened: Condvar,
    waiting: AtomicUsize,
}

impl Gate {
    fn pass(&self, stop: &AtomicBool) -> bool {
        self.waiting.fetch_add(1, Ordering::SeqCst);
        let mut open = self.open.lock().unwrap();
        while !*open && !stop.load(Ordering::Relaxed) {
            let pause = std::time::Duration::from_millis(2);
            open = self.opened.wait_timeout(open, pause).unwrap().0;
        }
        *open
    }

    fn open(&self) {
        *self.open.lock().unwrap() = true;
        self.opened.notify_all();
    }

    fn wait_for_somebody(&self) {
        while self.waiting.load(Ordering::SeqCst) == 0 {
            std::thread::yield_now();
        }
    }
}

/// An engine that waits where the text says WAIT.
fn gated() -> (Arc<Gate>, Engine) {
    let gate = Arc::new(Gate::default());
    let shared = Arc::clone(&gate);
    let engine = engine(move |text, stop| {
        if text.contains("WAIT") && !shared.pass(stop) {
            return None;
        }
        Some(telling(text))
    });
    (gate, engine)
}

/// The first line of the first message: what was told of the text.
fn message_of(diagnostics: &Value) -> String {
    let message = diagnostics[0]["message"].as_str().unwrap_or_default();
    message.lines().next().unwrap_or_default().to_owned()
}

/// A random edit, in range or beyond it.
fn random_edit(dice: &mut Dice) -> ((u64, u64), (u64, u64), String) {
    let parts = [
        "", "a", "ε", "😀", "\n", "\r\n", "\r", "𝔽x", "$x$", "\u{2028}", "\u{c}",
    ];
    let from = (dice.below(40) as u64, dice.below(12) as u64);
    let to = match dice.below(8) {
        0 => (from.0 + 1, dice.below(12) as u64),
        1..4 => (from.0, from.1 + dice.below(4) as u64),
        _ => from,
    };
    let new = (0..dice.below(4)).map(|_| *dice.pick(&parts)).collect();
    (from, to, new)
}

fn edits_reach_the_reference(seed: u64, hovers: bool) {
    let mut session = Session::with(
        telling_engine(),
        json!({
            "general": {"positionEncodings": ["utf-16"]},
        }),
    );
    let client = &mut session.client;
    let mut reference = Reference::default();
    let mut dice = Dice(seed);
    client.open(URI, "markdown", 0, "");
    let mut questions = Vec::new();
    for version in 1..=1000 {
        let (from, to, new) = random_edit(&mut dice);
        reference.edit(from, to, &new);
        client.change(
            URI,
            version,
            json!([{"range": range(from, to), "text": new}]),
        );
        if hovers && version % 3 == 0 {
            questions.push(client.ask_hover(URI, from.0, from.1));
        }
    }
    assert!(
        100 < reference.text.chars().count(),
        "the edits have eaten the text"
    );
    let diagnostics = client.diagnostics(URI, json!(1000));
    assert_eq!(message_of(&diagnostics), print_of(&reference.text));
    for id in questions {
        assert!(client.answer(id).get("error").is_none());
    }
    let versions: Vec<i64> = client
        .untaken()
        .iter()
        .filter_map(|message| message["params"]["version"].as_i64())
        .collect();
    assert!(versions.is_sorted(), "{versions:?}");
    assert_eq!(session.end(), 0);
}

#[test]
fn a_thousand_edits_reach_the_reference() {
    for seed in [7, 1_000_003] {
        edits_reach_the_reference(seed, false);
    }
}

#[test]
fn edits_among_questions_keep_their_order() {
    edits_reach_the_reference(11, true);
}

#[test]
fn several_changes_of_one_message_apply_one_after_another() {
    let mut session = Session::with(telling_engine(), modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 5, "one");
    client.change(
        URI,
        9,
        json!([
            {"range": range((0, 3), (0, 3)), "text": "\ntwo"},
            {"range": range((1, 0), (1, 0)), "text": "ε"},
            {"text": "all 😀 new"},
            {"range": range((0, 6), (0, 99)), "text": "!"},
        ]),
    );
    let diagnostics = client.diagnostics(URI, json!(9));
    // Column 6 in UTF-8 lies inside the emoji and moves back to its start.
    assert_eq!(message_of(&diagnostics), print_of("all !"));
    assert_eq!(session.end(), 0);
}

#[test]
fn a_pair_split_over_two_edits_is_survived() {
    let mut session = Session::with(
        telling_engine(),
        json!({
            "general": {"positionEncodings": ["utf-16"]},
        }),
    );
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "ab");
    for (version, half, column) in [(1, "\\ud83d", 1), (2, "\\ude00", 2)] {
        let at = range((0, column), (0, column));
        let body = format!(
            r#"{{"jsonrpc":"2.0","method":"textDocument/didChange","params":{{"textDocument":{{"uri":"{URI}","version":{version}}},"contentChanges":[{{"range":{at},"text":"{half}"}}]}}}}"#
        );
        client.raw(&client::frame(&body));
    }
    client.change(
        URI,
        3,
        json!([{"range": range((0, 3), (0, 4)), "text": "c"}]),
    );
    let diagnostics = client.diagnostics(URI, json!(3));
    assert_eq!(message_of(&diagnostics), print_of("a\u{FFFD}\u{FFFD}c"));
    assert_eq!(session.end(), 0);
}

#[test]
fn waiting_questions_are_cancelled_at_once() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "WAIT");
    gate.wait_for_somebody();
    // More than the four slots of the framework's own loop.
    let ids: Vec<i64> = (0..20).map(|_| client.ask_hover(URI, 0, 0)).collect();
    for id in &ids {
        client.notify("$/cancelRequest", json!({"id": id}));
        assert_eq!(client.answer(*id)["error"]["code"], -32800);
    }
    gate.open();
    client.diagnostics(URI, json!(0));
    assert_eq!(session.end(), 0);
}

#[test]
fn many_waiting_questions_hold_up_nothing() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, modern());
    let client = &mut session.client;
    client.open("file:///ready.md", "markdown", 0, "BAD");
    client.diagnostics("file:///ready.md", json!(0));
    client.open(URI, "markdown", 0, "WAIT");
    gate.wait_for_somebody();
    let ids: Vec<i64> = (0..400).map(|_| client.ask_hover(URI, 0, 0)).collect();
    for version in 1..200 {
        client.replace(URI, version, "WAIT more");
    }
    client.is_alive();
    assert!(client.hover("file:///ready.md", 0, 1).is_object());
    gate.open();
    for id in ids {
        assert!(client.answer(id).get("error").is_none());
    }
    assert_eq!(session.end(), 0);
}

#[test]
fn an_edit_calls_off_the_review_under_way() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 1, "WAIT");
    gate.wait_for_somebody();
    // The gate stays shut: only a review that was called off lets the next one begin.
    client.replace(URI, 2, "done");
    assert_eq!(
        message_of(&client.diagnostics(URI, json!(2))),
        print_of("done")
    );
    assert!(
        client
            .untaken()
            .iter()
            .all(|message| message["params"]["version"] != 1)
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn a_panicking_review_costs_one_review() {
    let mut session = Session::with(
        engine(|text, _| {
            assert!(!text.contains("PANIC"), "asked for by the test");
            Some(telling(text))
        }),
        modern(),
    );
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "fine");
    client.diagnostics(URI, json!(0));
    client.replace(URI, 1, "PANIC");
    let log = client.wait("a log message", |one| one["method"] == "window/logMessage");
    assert!(
        log["params"]["message"]
            .as_str()
            .unwrap()
            .contains("broke off")
    );
    assert_eq!(client.diagnostics(URI, json!(1)), json!([]));
    client.replace(URI, 2, "fine again");
    assert_eq!(
        message_of(&client.diagnostics(URI, json!(2))),
        print_of("fine again")
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn a_panicking_handler_costs_one_request() {
    let mut session = Session::with(telling_engine(), modern());
    let client = &mut session.client;
    let answer = client.call(super::PANIC, json!({}));
    assert_eq!(answer["error"]["code"], -32603, "{answer}");
    client.notify(super::PANIC, json!({}));
    client.is_alive();
    assert_eq!(session.end(), 0);
}

#[test]
fn answers_that_nobody_waits_for_are_ignored() {
    let mut session = Session::with(telling_engine(), modern());
    let client = &mut session.client;
    for id in [json!(0), json!(77), json!("x"), json!(null)] {
        client.send(&json!({"jsonrpc": "2.0", "id": id, "result": null}));
        client.send(&json!({"jsonrpc": "2.0", "id": id, "error": {"code": 1, "message": ""}}));
    }
    client.is_alive();
    assert_eq!(session.end(), 0);
}

#[test]
fn closing_clears_and_reopening_begins_anew() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 3, "BAD");
    assert_eq!(
        client.diagnostics(URI, json!(3)).as_array().unwrap().len(),
        2
    );
    client.close(URI);
    assert_eq!(client.diagnostics(URI, Value::Null), json!([]));
    assert_eq!(client.hover(URI, 0, 1), Value::Null);
    client.open(URI, "markdown", 3, "WAIT");
    gate.wait_for_somebody();
    client.close(URI);
    assert_eq!(client.diagnostics(URI, Value::Null), json!([]));
    client.open(URI, "markdown", 3, "new");
    assert_eq!(
        message_of(&client.diagnostics(URI, json!(3))),
        print_of("new")
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn every_encoding_marks_the_right_text() {
    let text = "ε ∈ 𝔽 😀 BAD x";
    for (offered, announced, column) in [
        (json!(["utf-8", "utf-16", "utf-32"]), json!("utf-8"), 17),
        (json!(["utf-16"]), json!("utf-16"), 10),
        (json!(["utf-32"]), json!("utf-16"), 10),
        (Value::Null, Value::Null, 10),
    ] {
        let mut session = Session::start(telling_engine());
        let client = &mut session.client;
        let answer = client.initialize(json!({"general": {"positionEncodings": offered}}));
        assert_eq!(
            answer.get("positionEncoding").unwrap_or(&Value::Null),
            &announced
        );
        let sync = if offered.is_null() { 1 } else { 2 };
        assert_eq!(answer["textDocumentSync"]["change"], sync);
        client.open(URI, "markdown", 0, text);
        let diagnostics = client.diagnostics(URI, json!(0));
        let bad = &diagnostics[1];
        assert_eq!(bad["range"], range((0, column), (0, column + 3)));
        assert_eq!(bad["source"], "majorant");
        assert_eq!(bad["code"], "tells");
        assert_eq!(bad["severity"], 1);
        let hover = client.hover(URI, 0, column + 1);
        assert_eq!(hover["range"], bad["range"]);
        assert_eq!(hover["contents"]["kind"], "plaintext");
        assert_eq!(
            hover["contents"]["value"],
            "False\nBAD is *good*\nit is not"
        );
        assert_eq!(session.end(), 0);
    }
}

#[test]
fn related_places_and_markdown_where_the_editor_has_them() {
    let mut session = Session::with(telling_engine(), modern());
    session.client.open(URI, "markdown", 0, "BAD");
    let diagnostics = session.client.diagnostics(URI, json!(0));
    assert_eq!(diagnostics[1]["message"], "BAD is not good.");
    let related = &diagnostics[1]["relatedInformation"][0];
    assert_eq!(related["location"]["uri"], URI);
    let hover = session.client.hover(URI, 0, 0);
    let expected = "**False**\n\n```text\nBAD is *good*\n```\n\nit is not";
    assert_eq!(hover["contents"]["value"], expected);
    assert_eq!(session.end(), 0);

    let mut session = Session::with(telling_engine(), json!({}));
    session.client.open(URI, "markdown", 0, "BAD");
    let diagnostics = session.client.diagnostics(URI, json!(0));
    assert_eq!(
        diagnostics[1]["message"],
        "BAD is not good.\nLine 1: the start"
    );
    assert_eq!(session.end(), 0);
}

fn actions(client: &mut Client, asked: Value, diagnostics: Value) -> Vec<Value> {
    let params = json!({
        "textDocument": {"uri": URI},
        "range": asked,
        "context": {"diagnostics": diagnostics},
    });
    let answer = client.call("textDocument/codeAction", params);
    answer["result"].as_array().cloned().unwrap_or_default()
}

#[test]
fn fixes_go_by_name_then_range_then_line() {
    let mut session = Session::with(telling_engine(), modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 4, "BAD 😀 BAD\nBAD");
    let published = client.diagnostics(URI, json!(4));
    // The whole file as range, one diagnostic named, its columns counted wrongly, no source.
    let mut named = published[3].clone();
    named["range"] = range((1, 7), (1, 9));
    named.as_object_mut().unwrap().remove("source");
    let found = actions(client, range((0, 0), (9, 0)), json!([named]));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0]["title"], "Write GOOD in place of BAD");
    assert_eq!(found[0]["kind"], "quickfix");
    let edit = &found[0]["edit"]["documentChanges"][0];
    assert_eq!(edit["textDocument"], json!({"uri": URI, "version": 4}));
    assert_eq!(
        edit["edits"][0],
        json!({"range": range((1, 0), (1, 3)), "newText": "GOOD"})
    );
    // None named: the range; nothing in the range: its lines.
    let found = actions(client, range((0, 9), (0, 10)), json!([]));
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0]["edit"]["documentChanges"][0]["edits"][0]["range"],
        range((0, 9), (0, 12))
    );
    assert_eq!(actions(client, range((0, 5), (0, 6)), json!([])).len(), 2);
    assert_eq!(actions(client, range((5, 0), (5, 0)), json!([])).len(), 0);
    let params = json!({"textDocument": {"uri": URI}, "range": range((0, 0), (0, 1)),
        "context": {"diagnostics": [], "only": ["refactor"]}});
    assert_eq!(
        client.call("textDocument/codeAction", params)["result"],
        json!([])
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn editors_without_encodings_get_whole_lines() {
    let mut session = Session::with(telling_engine(), json!({}));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "x\r\nε 😀 BAD ε\r\nBAD");
    client.diagnostics(URI, json!(0));
    let found = actions(client, range((1, 0), (1, 0)), json!([]));
    let edit = &found[0]["edit"]["changes"][URI][0];
    assert_eq!(
        *edit,
        json!({"range": range((1, 0), (2, 0)), "newText": "ε 😀 GOOD ε\r\n"})
    );
    let found = actions(client, range((2, 0), (2, 0)), json!([]));
    let edit = &found[0]["edit"]["changes"][URI][0];
    assert_eq!(
        *edit,
        json!({"range": range((2, 0), (3, 0)), "newText": "GOOD"})
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn answers_from_an_older_review_move_with_the_text() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "first BAD\nlast BAD");
    client.diagnostics(URI, json!(0));
    // The newer text is never reviewed while the gate is shut.
    client.change(
        URI,
        1,
        json!([{"range": range((0, 0), (0, 0)), "text": "WAIT\n"}]),
    );
    assert_eq!(client.hover(URI, 1, 7)["range"], range((1, 6), (1, 9)));
    assert_eq!(client.hover(URI, 2, 5)["range"], range((2, 5), (2, 8)));
    let found = actions(client, range((2, 5), (2, 8)), json!([]));
    let edit = &found[0]["edit"]["documentChanges"][0];
    assert_eq!(edit["edits"][0]["range"], range((2, 5), (2, 8)));
    assert_eq!(edit["textDocument"]["version"], 1);
    // What was touched is not spoken of any more.
    client.change(
        URI,
        2,
        json!([{"range": range((1, 7), (1, 8)), "text": "O"}]),
    );
    assert_eq!(client.hover(URI, 1, 7), Value::Null);
    gate.open();
    client.diagnostics(URI, json!(2));
    assert_eq!(session.end(), 0);
}

#[test]
fn symbols_are_the_arguments() {
    let mut session = Session::with(telling_engine(), modern());
    session.client.open(URI, "markdown", 0, "one\ntwo");
    let params = json!({"textDocument": {"uri": URI}});
    let answer = session
        .client
        .call("textDocument/documentSymbol", params.clone());
    let symbol = &answer["result"][0];
    assert_eq!(symbol["name"], "to be good");
    assert_eq!(symbol["range"], range((0, 0), (1, 3)));
    assert_eq!(symbol["selectionRange"], range((0, 0), (0, 3)));
    assert_eq!(session.end(), 0);
    let mut session = Session::with(telling_engine(), json!({}));
    session.client.open(URI, "markdown", 0, "one\ntwo");
    let answer = session.client.call("textDocument/documentSymbol", params);
    assert_eq!(answer["result"][0]["location"]["uri"], URI);
    assert_eq!(session.end(), 0);
}

#[test]
fn a_draft_above_the_limit_is_told() {
    let mut session = Session::with(telling_engine(), modern());
    let client = &mut session.client;
    client.open(
        URI,
        "markdown",
        0,
        &"x".repeat(source::limits::DRAFT_BYTES + 1),
    );
    assert!(message_of(&client.diagnostics(URI, json!(0))).contains("not reviewed"));
    client.replace(URI, 1, "small");
    assert_eq!(
        message_of(&client.diagnostics(URI, json!(1))),
        print_of("small")
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn the_editor_may_leave_without_a_word() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, modern());
    session.client.open(URI, "markdown", 0, "WAIT");
    gate.wait_for_somebody();
    session.client.ask_hover(URI, 0, 0);
    let Session { client, server } = session;
    drop(client);
    assert_eq!(server.join().unwrap(), 1);
    gate.open();
}
