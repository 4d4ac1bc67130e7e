//! What is shown in the text and offered at the cursor: marks, tallies, names, templates.

use super::*;
use crate::lsp::follow::Engine;

const DRAFT: &str = "# Exercise 1\n\nLet $f_n(x) = \\frac{x}{n}$ on $[0,1]$. Show that $f_n \\to 0$ uniformly.\n\n\
**Proof.** Let $ε > 0$. Choose $N > 1/(2ε)$. For all $n > N$ and $x \\in [0,1]$:\n\
$$|f_n(x) - 0| \\le \\frac1n < ε.$$\n\n";

fn asking(snippets: bool) -> Value {
    json!({
        "general": {"positionEncodings": ["utf-8"]},
        "workspace": {"inlayHint": {"refreshSupport": true}, "codeLens": {"refreshSupport": true}},
        "textDocument": {
            "inlayHint": {}, "codeLens": {},
            "hover": {"contentFormat": ["plaintext"]},
            "completion": {"completionItem": {"snippetSupport": snippets}},
        },
    })
}

fn hints(client: &mut Client, from: u64, to: u64) -> Vec<Value> {
    let params = json!({"textDocument": {"uri": URI}, "range": range((from, 0), (to, 0))});
    let answer = client.call("textDocument/inlayHint", params);
    answer["result"].as_array().unwrap().clone()
}

#[test]
fn each_claim_has_a_mark_behind_it() {
    let mut session = Session::with(reviewing(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let marks = hints(client, 0, 99);
    let seen: Vec<(String, String)> = marks
        .iter()
        .map(|mark| {
            let place = |key: &str| mark["position"][key].as_u64().unwrap() as usize;
            let line = DRAFT.lines().nth(place("line")).unwrap();
            let before = line[..place("character")].rsplit(' ').next().unwrap();
            (
                before.to_owned(),
                mark["label"].as_str().unwrap().to_owned(),
            )
        })
        .collect();
    let pair = |before: &str, label: &str| (before.to_owned(), label.to_owned());
    assert_eq!(
        seen,
        [
            pair("1/(2ε)", "✗ false"),
            pair("\\frac1n", "✓"),
            pair("ε", "✗ false"),
        ]
    );
    let reason = marks[0]["tooltip"].as_str().unwrap();
    assert!(reason.starts_with("False (a choice)"), "{reason}");
    assert_eq!(hints(client, 5, 6).len(), 2);
    assert_eq!(session.end(), 0);
}

#[test]
fn a_tally_stands_above_the_title() {
    let mut session = Session::with(reviewing(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let params = json!({"textDocument": {"uri": URI}});
    let answer = client.call("textDocument/codeLens", params);
    let lenses = answer["result"].as_array().unwrap();
    assert_eq!(lenses.len(), 1);
    assert_eq!(
        lenses[0]["range"]["start"],
        json!({"line": 0, "character": 0})
    );
    let title = lenses[0]["command"]["title"].as_str().unwrap();
    let expected = "3 claims: 1 holds, 2 are false. What was to be shown is not shown yet.";
    assert_eq!(title, expected);
    assert_eq!(session.end(), 0);
}

#[test]
fn marks_of_an_edited_text_are_its_own_or_stand_where_they_stood() {
    let gate = Arc::new(Gate::default());
    let door = Arc::clone(&gate);
    let real = reviewing();
    let waits = Engine {
        review: Arc::new(move |asked, stop| {
            if asked.text.contains("WAIT") && !door.pass(stop) {
                return None;
            }
            (real.review)(asked, stop)
        }),
        read: reviewing().read,
    };
    // An editor that can be told to ask anew gets what is known at once.
    let mut session = Session::with(waits.clone(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    client.diagnostics(URI, json!(0));
    client.replace(URI, 1, &DRAFT.replace("For all", "WAIT. For all"));
    assert_eq!(hints(client, 0, 99).len(), 3);
    let params = json!({"textDocument": {"uri": URI}});
    let answer = client.call("textDocument/codeLens", params.clone());
    assert_eq!(answer["result"].as_array().unwrap().len(), 1);
    gate.open();
    assert_eq!(session.end(), 0);
    // One that cannot gets those of the present text.
    let mut session = Session::with(
        waits,
        json!({"textDocument": {"inlayHint": {}, "codeLens": {}}}),
    );
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    client.diagnostics(URI, json!(0));
    client.replace(URI, 1, &DRAFT.replace("1/(2ε)", "1/ε"));
    let marks = hints(client, 0, 99);
    assert!(marks.iter().all(|mark| mark["label"] == "✓"), "{marks:?}");
    assert_eq!(session.end(), 0);
}

#[test]
fn drafts_that_are_no_proofs_have_no_marks() {
    let mut session = Session::with(reviewing(), asking(false));
    let client = &mut session.client;
    client.open(
        URI,
        "markdown",
        0,
        "# Notes\n\nBecause $1 < 2$ we have $2 < 3$.\n",
    );
    assert_eq!(hints(client, 0, 9), [] as [Value; 0]);
    let params = json!({"textDocument": {"uri": URI}});
    let answer = client.call("textDocument/codeLens", params);
    assert_eq!(answer["result"], json!([]));
    assert_eq!(session.end(), 0);
}

#[test]
fn marks_are_asked_for_anew_after_each_review() {
    let methods = |client: &mut Client| {
        let seen = client.untaken().iter();
        seen.filter_map(|one| Some(one["method"].as_str()?.to_owned()))
            .filter(|method| method.ends_with("/refresh"))
            .count()
    };
    let mut session = Session::with(telling_engine(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "BAD");
    for version in 1..3 {
        for method in ["workspace/inlayHint/refresh", "workspace/codeLens/refresh"] {
            let request = client.wait(method, |one| one["method"] == method);
            // Answers tell nothing, and their absence holds up nothing.
            if version == 1 {
                client.send(&json!({"jsonrpc": "2.0", "id": request["id"], "result": null}));
            }
        }
        client.replace(URI, version, "BAD again");
        client.diagnostics(URI, json!(version));
    }
    assert_eq!(session.end(), 0);
    // Nobody is asked who does not say that it answers.
    let mut session = Session::with(telling_engine(), modern());
    let client = &mut session.client;
    client.open(URI, "markdown", 0, "BAD");
    client.diagnostics(URI, json!(0));
    client.is_alive();
    assert_eq!(methods(client), 0);
    assert_eq!(session.end(), 0);
}

fn offered(client: &mut Client, line: u64, character: usize) -> Vec<Value> {
    let params = client::place(URI, line, character as u64);
    let answer = client.call("textDocument/completion", params);
    answer["result"].as_array().unwrap().clone()
}

fn field<'a>(items: &'a [Value], name: &str) -> Vec<&'a str> {
    items
        .iter()
        .map(|item| item[name].as_str().unwrap())
        .collect()
}

#[test]
fn names_in_force_are_offered_in_formulas() {
    let text = format!("{DRAFT}Thus $\\v\n");
    let mut session = Session::with(telling_engine(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, &text);
    // The formula is still open: there is no closing delimiter yet.
    let items = offered(client, 7, "Thus $\\v".len());
    let names = field(&items, "label");
    assert_eq!(names, ["x", "n", "N", "ε", "f_n"]);
    let details = field(&items, "detail");
    assert_eq!(details[2], "chosen in line 5, may depend on ε");
    assert_eq!(details[3], "any value, fixed in line 5");
    assert_eq!(details[4], "defined in line 3");
    let edit = &items[4]["textEdit"];
    assert_eq!(edit["newText"], "f_n");
    assert_eq!(edit["range"], range((7, 6), (7, 8)));
    // Before the choice there is no N, and in running text there are no names at all.
    let line = text.lines().nth(4).unwrap();
    let early = offered(client, 4, line.find("ε > 0").unwrap());
    assert!(!field(&early, "label").contains(&"N"), "{early:?}");
    assert!(offered(client, 4, line.find("Choose").unwrap() + 3).is_empty());
    assert_eq!(session.end(), 0);
}

#[test]
fn templates_are_offered_at_the_start_of_a_line() {
    let text = format!("{DRAFT}Pro\n");
    for snippets in [false, true] {
        let mut session = Session::with(telling_engine(), asking(snippets));
        let client = &mut session.client;
        client.open(URI, "markdown", 0, &text);
        let items = offered(client, 7, 3);
        let first = &items[0];
        assert_eq!(first["label"], "Proof that functions converge uniformly");
        assert_eq!(first["insertTextFormat"], if snippets { 2 } else { 1 });
        assert_eq!(first["textEdit"]["range"], range((7, 0), (7, 3)));
        let new = first["textEdit"]["newText"].as_str().unwrap();
        assert_eq!(new.contains("${1:"), snippets, "{new}");
        assert_eq!(session.end(), 0);
    }
    // A sentence is not taken for a template.
    let mut session = Session::with(telling_engine(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, &format!("{DRAFT}The\n"));
    assert!(offered(client, 7, 3).is_empty());
    assert_eq!(session.end(), 0);
    let mut session = Session::with(telling_engine(), asking(false));
    let client = &mut session.client;
    client.open(URI, "latex", 0, "Let $g_k(x) = x/k$.\n\n");
    let items = offered(client, 2, 0);
    let new = items[0]["textEdit"]["newText"].as_str().unwrap();
    assert!(new.starts_with("\\begin{proof}\n"), "{new}");
    assert!(new.contains("|g_n(x) - 0|"), "{new}");
    assert_eq!(session.end(), 0);
}

#[test]
fn a_hover_tells_where_a_name_was_chosen_and_what_would_serve() {
    let mut session = Session::with(reviewing(), asking(false));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let line = DRAFT.lines().nth(4).unwrap();
    let mut told = |line: u64, column: usize| {
        let hover = client.hover(URI, line, column as u64);
        hover["contents"]["value"].as_str().unwrap().to_owned()
    };
    let range = told(4, line.find("N$ and").unwrap());
    for part in [
        "N: chosen in line 5, may depend on ε.\nN > 1/(2ε)\nThis choice: false.",
        "N > 1/ε works.",
    ] {
        assert!(range.contains(part), "{range}");
    }
    let claim = told(5, 3);
    let expected = "\n\nf_n: defined in line 3.\nf_n(x) = \\frac{x}{n}";
    assert!(
        claim.starts_with("True") && claim.contains(expected),
        "{claim}"
    );
    assert_eq!(session.end(), 0);
}

#[test]
fn marks_and_offers_are_announced_to_editors_that_ask_for_them() {
    let providers = [
        "inlayHintProvider",
        "codeLensProvider",
        "completionProvider",
    ];
    for (capabilities, expected) in [(json!({}), false), (asking(true), true)] {
        let mut session = Session::start(telling_engine());
        let announced = session.client.initialize(capabilities);
        for name in providers {
            assert_eq!(announced.get(name).is_some(), expected, "{name}");
        }
        assert_eq!(session.end(), 0);
    }
}
