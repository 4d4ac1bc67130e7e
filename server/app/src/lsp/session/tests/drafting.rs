//! Sessions with the real engine: pictures in hovers, scratch work and proofs as actions.

use super::*;

const SHEET: &str = "**Exercise 1.** Let $f_n(x) = \\frac{x}{1+nx}$ for $x \\in [0, 1]$. Show that \
                     $f_n \\to 0$ uniformly on $[0, 1]$.\n\n**Exercise 2.** Let $g_n(x) = \
                     \\frac{x}{n}$ for $x \\in \\mathbb{R}$. Show that $g_n \\to 0$ uniformly on \
                     $\\mathbb{R}$.\n\n**Exercise 3.** Show that $\\sqrt{2}$ is irrational.\n";

/// What an editor says that works actions out late, and shows those that cannot be taken.
fn resolving() -> Value {
    let mut own = modern();
    let actions = &mut own["textDocument"]["codeAction"];
    actions["dataSupport"] = json!(true);
    actions["disabledSupport"] = json!(true);
    actions["resolveSupport"] = json!({"properties": ["edit"]});
    own
}

/// A session in which the sheet is open, after its first review.
fn opened(capabilities: Value) -> Session {
    let mut session = Session::with(reviewing(), capabilities);
    session.client.open(URI, "markdown", 0, SHEET);
    session.client.diagnostics(URI, json!(0));
    session
}

/// The source actions at a line of the sheet.
fn offered(client: &mut Client, line: u64) -> Vec<Value> {
    let params = json!({
        "textDocument": {"uri": URI},
        "range": range((line, 20), (line, 20)),
        "context": {"diagnostics": [], "only": ["source.majorant"]},
    });
    let answer = client.call("textDocument/codeAction", params);
    answer["result"].as_array().cloned().unwrap_or_default()
}

/// The only edit of an action.
fn edit_of(action: &Value) -> Value {
    action["edit"]["documentChanges"][0]["edits"][0].clone()
}

#[test]
fn the_kinds_are_announced_and_resolving_where_it_is_understood() {
    for (capabilities, resolves) in [(modern(), Value::Null), (resolving(), json!(true))] {
        let mut session = Session::start(reviewing());
        let announced = session.client.initialize(capabilities);
        let provider = &announced["codeActionProvider"];
        assert_eq!(
            provider["codeActionKinds"],
            json!([
                "quickfix",
                "source.majorant.scratchWork",
                "source.majorant.proof"
            ])
        );
        assert_eq!(provider["resolveProvider"], resolves);
        assert_eq!(session.end(), 0);
    }
}

#[test]
fn a_chosen_action_is_worked_out_and_its_edit_is_found_right() {
    let mut session = opened(resolving());
    let client = &mut session.client;
    let found = offered(client, 0);
    let titles: Vec<&str> = found
        .iter()
        .filter_map(|own| own["title"].as_str())
        .collect();
    assert_eq!(
        titles,
        [
            "Write out the scratch work of Exercise 1",
            "Draft the proof of Exercise 1"
        ]
    );
    assert!(found.iter().all(|own| own.get("edit").is_none()));
    let mut text = SHEET.to_owned();
    for (version, part) in [(1, "**Scratch work.**"), (2, "**Proof.**")] {
        let wanted = if version == 1 {
            "scratch work"
        } else {
            "proof"
        };
        let found = offered(client, 0);
        let action = found
            .iter()
            .find(|own| {
                own["title"]
                    .as_str()
                    .is_some_and(|own| own.contains(wanted))
            })
            .unwrap();
        let resolved = client.call("codeAction/resolve", action.clone());
        let edit = edit_of(&resolved["result"]);
        let new = edit["newText"].as_str().unwrap();
        assert!(new.contains(part), "{new}");
        // The sheet has no columns that encodings count differently.
        let place = &edit["range"]["start"];
        let mut lines = text.split_inclusive('\n');
        let line = usize::try_from(place["line"].as_u64().unwrap()).unwrap();
        let before: usize = lines.by_ref().take(line).map(str::len).sum();
        let at = before + usize::try_from(place["character"].as_u64().unwrap()).unwrap();
        text.insert_str(at, new);
        client.replace(URI, version, &text);
        assert_eq!(client.diagnostics(URI, json!(version)), json!([]), "{text}");
    }
    // Both are there now.
    assert_eq!(offered(client, 0), [] as [Value; 0]);
    assert!(text.find("**Scratch work.**") < text.find("**Proof.**"));
    assert!(text.find("**Proof.**") < text.find("**Exercise 2.**"));
    assert_eq!(session.end(), 0);
}

#[test]
fn an_action_of_an_older_state_is_refused() {
    let mut session = opened(resolving());
    let client = &mut session.client;
    let action = offered(client, 0).remove(0);
    client.replace(URI, 1, &format!("{SHEET}\nMore.\n"));
    let answer = client.call("codeAction/resolve", action);
    assert_eq!(answer["error"]["code"], -32801);
    assert_eq!(session.end(), 0);
}

#[test]
fn what_cannot_be_written_is_told() {
    let mut session = opened(resolving());
    let client = &mut session.client;
    // It is false, which is known only once it is worked out.
    let action = offered(client, 2).remove(1);
    let resolved = client.call("codeAction/resolve", action);
    assert_eq!(resolved["result"].get("edit"), None);
    let told = client.wait("a message", |one| one["method"] == "window/showMessage");
    assert_eq!(
        told["params"]["message"],
        "Draft the proof of Exercise 2: the convergence is not uniform."
    );
    // Of another kind, which is seen at once.
    for action in offered(client, 4) {
        let reason = action["disabled"]["reason"].as_str().unwrap();
        assert!(
            reason.starts_with("It asks for something other"),
            "{reason}"
        );
        assert!(action.get("edit").is_none() && action.get("data").is_none());
    }
    assert_eq!(session.end(), 0);
}

#[test]
fn editors_that_resolve_nothing_get_the_edit_at_once_or_a_reason() {
    let mut session = opened(modern());
    let client = &mut session.client;
    // On a slow machine the first questions come too early.
    let found = (0..20)
        .map(|_| offered(client, 0))
        .find(|found| found.len() == 2)
        .unwrap();
    for (action, part) in found.iter().zip(["**Scratch work.**", "**Proof.**"]) {
        let edit = edit_of(action);
        assert!(edit["newText"].as_str().unwrap().contains(part));
        assert_eq!(edit["range"]["start"], edit["range"]["end"]);
    }
    assert_eq!(offered(client, 2), [] as [Value; 0]);
    for part in ["Write out the scratch work", "Draft the proof"] {
        let told = client.wait("a message", |one| one["method"] == "window/showMessage");
        let expected = format!("{part} of Exercise 2: the convergence is not uniform.");
        assert_eq!(told["params"]["message"], expected);
    }
    assert_eq!(session.end(), 0);
}

#[test]
fn a_whole_file_and_a_named_fault_ask_for_no_exercise() {
    let mut session = opened(modern());
    let client = &mut session.client;
    let fault = json!({"range": range((0, 0), (0, 1)), "message": "none of ours"});
    for (asked, diagnostics) in [
        (range((0, 0), (9, 0)), json!([])),
        (range((0, 20), (0, 20)), json!([fault])),
    ] {
        assert_eq!(super::actions(client, asked, diagnostics), [] as [Value; 0]);
    }
    assert_eq!(session.end(), 0);
}

/// The hover over the definition of the first exercise, for an editor of that name.
fn hovered(name: &str, capabilities: Value, options: Value) -> String {
    let mut session = Session::start(reviewing());
    let client = &mut session.client;
    let params = json!({"processId": null, "rootUri": null, "capabilities": capabilities,
        "clientInfo": {"name": name}, "initializationOptions": options});
    client.call("initialize", params);
    client.notify("initialized", json!({}));
    client.open(URI, "markdown", 0, SHEET);
    client.diagnostics(URI, json!(0));
    // The first hover may come before its picture is drawn; a later one finds it.
    let mut value = String::new();
    for _ in 0..100 {
        let hover = client.hover(URI, 0, 24);
        value = hover["contents"]["value"].as_str().unwrap().to_owned();
        if value.contains("error term is") {
            break;
        }
    }
    assert_eq!(session.end(), 0);
    value
}

#[test]
fn hovers_show_the_error_term_as_the_editor_can() {
    let caption = "The error term is x/(n·x + 1) on";
    let drawn = hovered("Visual Studio Code", modern(), Value::Null);
    assert!(drawn.contains("](data:image/svg+xml;base64,") && drawn.contains(caption));
    assert!(!drawn.contains('●'));
    let wished = hovered("some editor", modern(), json!({"pictures": true}));
    assert_eq!(wished, drawn);
    for (name, options) in [
        ("some editor", Value::Null),
        ("Visual Studio Code", json!({"pictures": false})),
    ] {
        let letters = hovered(name, modern(), options);
        assert!(
            !letters.contains("data:") && letters.contains(caption),
            "{letters}"
        );
        assert!(letters.contains("```text\neₙ(x)\n") && letters.contains('●'));
    }
    let plain = hovered("Visual Studio Code", json!({}), Value::Null);
    assert!(
        !plain.contains("data:") && !plain.contains("```"),
        "{plain}"
    );
    assert!(plain.contains('●') && plain.contains(caption));
}

#[test]
fn hovers_elsewhere_have_no_picture() {
    let mut session = opened(modern());
    let hover = session.client.hover(URI, 4, 32);
    let value = hover["contents"]["value"].as_str().unwrap_or_default();
    assert!(!value.contains("error term"), "{value}");
    assert_eq!(session.end(), 0);
}
