//! Names: where they are introduced, where they stand, and what a new name changes.

use super::*;

const DRAFT: &str = "Let $f_n(x) = \\frac{x}{n}$ on $[0,1]$. Show that $f_n \\to 0$ uniformly.\n\n\
**Proof.** Let $ε > 0$. 😀 Choose $N > 1/ε$. For all $n > N$ and $x \\in [0,1]$:\n\
$$|f_n(x)| \\le \\frac1n < \\frac1N < ε.$$\n\
Now let $ε = 1/10$ and choose $N = 20$. Then $2^{-N} < ε$.\n";

/// The same mathematics behind macros, commands, and in plain characters.
const TEX: &str = "\\newcommand{\\eps}{\\varepsilon}\\newcommand{\\err}{|a_n|}\n\
\\newcommand{\\part}[2]{\\frac{#1}{#2}}\\begin{proof}\nLet $a_n = 1/n$. Let $\\eps>0$. Choose $N>\\part1\\eps$. For $n > N$ we have\n\
$\\err \\le \\frac1n<\\frac1N < \\varepsilon$ and $2\\cdot N\\cdot\\varepsilon > 2$ and $n^N > 1$.\n\\end{proof}\n";

fn asking(prepare: bool) -> Value {
    json!({
        "general": {"positionEncodings": ["utf-8"]},
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {
            "definition": {}, "references": {}, "documentHighlight": {},
            "rename": {"prepareSupport": prepare},
        },
    })
}

fn position(text: &str, at: usize) -> Value {
    let line = text[..at].matches('\n').count();
    let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    json!({"line": line, "character": at - start})
}

/// The position of a quotation's place that is marked by `|`.
fn find(text: &str, quote: &str) -> Value {
    let inside = quote.find('|').unwrap();
    let at = text.find(&quote.replacen('|', "", 1)).unwrap();
    position(text, at + inside)
}

fn ask(client: &mut Client, method: &str, text: &str, quote: &str, more: Value) -> Value {
    let mut params = json!({"textDocument": {"uri": URI}, "position": find(text, quote)});
    for (key, value) in more.as_object().unwrap() {
        params[key] = value.clone();
    }
    client.call(&format!("textDocument/{method}"), params)
}

/// The byte of a position in UTF-8 columns.
fn byte(text: &str, position: &Value) -> usize {
    let line = position["line"].as_u64().unwrap() as usize;
    let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
    start + position["character"].as_u64().unwrap() as usize
}

/// The text with the edits of an answer carried out, from its end to its beginning.
fn edited(text: &str, edits: &Value) -> String {
    let mut text = text.to_owned();
    for edit in edits.as_array().unwrap().iter().rev() {
        let (from, to) = (
            byte(&text, &edit["range"]["start"]),
            byte(&text, &edit["range"]["end"]),
        );
        text.replace_range(from..to, edit["newText"].as_str().unwrap());
    }
    text
}

fn renamed(client: &mut Client, text: &str, quote: &str, new: &str) -> Result<String, String> {
    let answer = ask(client, "rename", text, quote, json!({"newName": new}));
    match answer.get("error") {
        Some(error) => Err(error["message"].as_str().unwrap().to_owned()),
        None => {
            let document = &answer["result"]["documentChanges"][0];
            assert_eq!(document["textDocument"]["version"], 0);
            Ok(edited(text, &document["edits"]))
        }
    }
}

#[test]
fn a_name_leads_to_where_it_was_chosen() {
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let chosen = ask(client, "definition", DRAFT, "\\frac1|N", json!({}));
    assert_eq!(chosen["result"]["uri"], URI);
    let start = &chosen["result"]["range"]["start"];
    assert_eq!(*start, find(DRAFT, "Choose $|N"));
    let defined = ask(client, "definition", DRAFT, "|f_n(x)|", json!({}));
    let defined = if defined["result"].is_null() {
        ask(client, "definition", DRAFT, "f|_n(x)| ", json!({}))
    } else {
        defined
    };
    assert_eq!(
        defined["result"]["range"]["start"],
        find(DRAFT, "Let $|f_n")
    );
    // Between words there is none.
    let nothing = ask(client, "definition", DRAFT, "un|iformly", json!({}));
    assert_eq!(nothing["result"], Value::Null);
    assert_eq!(session.end(), 0);
}

#[test]
fn each_binding_has_its_own_places() {
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let lines = |answer: &Value| -> Vec<u64> {
        let places = answer["result"].as_array().unwrap();
        let line = |place: &Value| place["range"]["start"]["line"].as_u64().unwrap();
        places.iter().map(line).collect()
    };
    for (quote, introduction, expected) in [
        ("Choose $|N", true, vec![2, 2, 3]),
        ("Choose $|N", false, vec![2, 3]),
        ("2^{-|N}", true, vec![4, 4]),
        ("let $|ε", false, vec![4]),
    ] {
        let context = json!({"context": {"includeDeclaration": introduction}});
        let answer = ask(client, "references", DRAFT, quote, context);
        assert_eq!(lines(&answer), expected, "{quote}");
    }
    let answer = ask(client, "documentHighlight", DRAFT, "1/|ε", json!({}));
    assert_eq!(lines(&answer), [2, 2, 3]);
    let kinds = answer["result"].as_array().unwrap().iter();
    let kinds: Vec<u64> = kinds.map(|mark| mark["kind"].as_u64().unwrap()).collect();
    assert_eq!(kinds, [3, 2, 2]);
    assert_eq!(session.end(), 0);
}

#[test]
fn a_new_name_changes_one_binding() {
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let expected = DRAFT
        .replace("Choose $N", "Choose $N_1")
        .replace("$n > N$", "$n > N_1$")
        .replace("\\frac1N", "\\frac1{N_1}");
    for new in ["N_1", " $N_1$ ", "\\(N_1\\)"] {
        let text = renamed(client, DRAFT, "Choose $|N", new);
        assert_eq!(text.as_ref(), Ok(&expected), "{new}");
    }
    let text = renamed(client, DRAFT, "2^{-|N}", "N_2").unwrap();
    let expected = DRAFT
        .replace("choose $N", "choose $N_2")
        .replace("2^{-N}", "2^{-N_2}");
    assert_eq!(text, expected);
    // M picks no threshold to the reader, and "choose $M = 20$" would say something else.
    let refused = renamed(client, DRAFT, "2^{-|N}", "M").unwrap_err();
    assert!(
        refused.contains("line 5 would be read differently"),
        "{refused}"
    );
    let text = renamed(client, DRAFT, "$|f_n \\to", "g").unwrap();
    assert_eq!(text, DRAFT.replace("f_n", "g_n"));
    assert_eq!(renamed(client, DRAFT, "Choose $|N", "N").unwrap(), DRAFT);
    assert_eq!(session.end(), 0);
}

#[test]
fn an_index_and_a_point_stay_one_letter_in_their_argument() {
    let other = "\n# Exercise 2\n\nLet $b_n = 1/n$. Show that $b_n \\to 0$.\n";
    let text = format!("# Exercise 1\n\n{DRAFT}{other}");
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, &text);
    for quote in ["Let $f_|n(x)", "all $|n > N", "\\frac1|n"] {
        let found = renamed(client, &text, quote, "k").unwrap();
        let expected = DRAFT
            .replace("f_n", "f_k")
            .replace("{n}", "{k}")
            .replace("frac1n", "frac1k")
            .replace("$n > N", "$k > N");
        assert_eq!(
            found,
            format!("# Exercise 1\n\n{expected}{other}"),
            "{quote}"
        );
    }
    // Its places are those of one binding all the same.
    let context = json!({"context": {"includeDeclaration": true}});
    let answer = ask(client, "references", &text, "all $|n > N", context);
    assert_eq!(answer["result"].as_array().unwrap().len(), 3, "{answer}");
    assert_eq!(session.end(), 0);
}

#[test]
fn the_index_of_a_sum_is_its_own() {
    let text = "Let $s_n = \\sum_{k=1}^n \\frac{1}{k^2}$ and $t_n = \\sum_{k=1}^n \\frac{1}{k^3}$. \
                Show that $t_n \\le s_n$.\n";
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, text);
    let expected = text.replace("{k=1}^n \\frac{1}{k^3}", "{j=1}^n \\frac{1}{j^3}");
    assert_eq!(renamed(client, text, "{|k^3}", "j").unwrap(), expected);
    let expected = text.replace("^n", "^m").replace("_n", "_m");
    assert_eq!(renamed(client, text, "t_|n \\le", "m").unwrap(), expected);
    assert_eq!(session.end(), 0);
}

#[test]
fn macros_and_commands_are_replaced_as_written() {
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "latex", 0, TEX);
    let text = renamed(client, TEX, "Let $|\\eps", "\\epsilon_0").unwrap();
    let expected = TEX
        .replace("$\\eps>0", "$\\epsilon_0>0")
        .replace("\\part1\\eps$", "\\part1{\\epsilon_0}$")
        .replace("< \\varepsilon$", "< \\epsilon_0$")
        .replace("\\cdot\\varepsilon", "\\cdot{\\epsilon_0}");
    assert_eq!(text, expected);
    let text = renamed(client, TEX, "Choose $|N", "M").unwrap();
    let expected = TEX
        .replace("Choose $N", "Choose $M")
        .replace("> N$", "> M$")
        .replace("\\frac1N", "\\frac1M")
        .replace("\\cdot N", "\\cdot M")
        .replace("n^N", "n^M");
    assert_eq!(text, expected);
    let reason = renamed(client, TEX, "For $|n", "m").unwrap_err();
    assert!(reason.contains("inside of “\\err” in line 4"), "{reason}");
    assert_eq!(session.end(), 0);
}

#[test]
fn typed_plain_names_are_renamed_in_plain_characters() {
    let text = "Let aₙ = 1/n. Show that aₙ → 0.\n\n\
                Proof. Let ε > 0. Choose N > 1/ε. For all n > N we have |aₙ| = 1/n < 1/N < ε.\n";
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, text);
    let expected = text
        .replace("Choose N", "Choose N₁")
        .replace("n > N", "n > N₁")
        .replace("1/N", "1/N₁");
    assert_eq!(renamed(client, text, "Choose |N", "N_1").unwrap(), expected);
    let expected = text.replace('ₙ', "ₖ").replace("1/n", "1/k");
    let expected = expected.replace("all n", "all k");
    assert_eq!(renamed(client, text, "all |n", "k").unwrap(), expected);
    let reason = renamed(client, text, "all |n", "p").unwrap_err();
    assert!(reason.contains("no small sign for p"), "{reason}");
    assert_eq!(session.end(), 0);
}

#[test]
fn names_that_cannot_be_given_are_refused_with_a_reason() {
    let mut session = Session::with(telling_engine(), asking(true));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    for (new, reason) in [
        ("n", "n already has a meaning here, see line 1."),
        ("ε", "ε already has a meaning here"),
        ("N + 1", "is no single name"),
        ("", "is no single name"),
        ("two words", "is no single name"),
        ("\\sin", "is no single name"),
        ("e", "e has a meaning of its own"),
        // What is no threshold to the reader makes another draft of it.
        ("x_n", "would be read differently"),
    ] {
        let refused = renamed(client, DRAFT, "Choose $|N", new).unwrap_err();
        assert!(refused.contains(reason), "{new}: {refused}");
    }
    for (quote, new, reason) in [
        // w is no tolerance to the reader, and nothing says that it is positive or small.
        (
            "let $|ε",
            "w",
            "line 5 would be read differently: ε is taken for a tolerance, w is not.",
        ),
        // A letter without an index would be taken for the limit of the sequence.
        ("$|f_n \\to", "N", "N already has a meaning here"),
    ] {
        let refused = renamed(client, DRAFT, quote, new).unwrap_err();
        assert!(refused.contains(reason), "{new}: {refused}");
    }
    let refused = renamed(client, DRAFT, "$|f_n \\to", "g_n").unwrap_err();
    assert!(refused.contains("give the letter alone"), "{refused}");
    let answer = ask(client, "prepareRename", DRAFT, "un|iformly", json!({}));
    assert_eq!(answer["error"]["code"], -32803);
    let answer = ask(client, "prepareRename", DRAFT, "\\frac1|N", json!({}));
    assert_eq!(answer["result"]["placeholder"], "N");
    assert_eq!(session.end(), 0);
}

#[test]
fn renaming_speaks_of_the_text_of_the_moment() {
    let (gate, engine) = gated();
    let mut session = Session::with(engine, asking(true));
    let client = &mut session.client;
    // No review of this text ends before the gate opens.
    let text = format!("WAIT\n\n{DRAFT}");
    client.open(URI, "markdown", 0, &text);
    gate.wait_for_somebody();
    let expected = text.replace("let $ε = 1/10$", "let $ϵ_0 = 1/10$");
    let expected = expected.replace("< ε$.\n", "< ϵ_0$.\n");
    let found = renamed(client, &text, "let $|ε", "ϵ_0").unwrap();
    assert_eq!(found, expected);
    gate.open();
    assert_eq!(session.end(), 0);
}

#[test]
fn whole_lines_where_columns_may_be_counted_in_any_way() {
    let mut session = Session::with(telling_engine(), json!({"textDocument": {"rename": {}}}));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let line = DRAFT.lines().nth(4).unwrap();
    // One ε stands before it: one unit of UTF-16, and two bytes.
    let column = line.find("N = ").map(|at| at - 1);
    let mut params = json!({"textDocument": {"uri": URI}, "newName": "N_2"});
    params["position"] = json!({"line": 4, "character": column});
    let answer = client.call("textDocument/rename", params);
    let edits = &answer["result"]["changes"][URI];
    assert_eq!(edits.as_array().unwrap().len(), 1, "{answer}");
    assert_eq!(edits[0]["range"], range((4, 0), (5, 0)));
    let expected = line.replace("N = 20", "N_2 = 20").replace("-N", "-N_2") + "\n";
    assert_eq!(edits[0]["newText"], expected);
    assert_eq!(session.end(), 0);
}

#[test]
fn questions_about_names_are_announced_to_editors_that_ask_them() {
    let names = [
        "definitionProvider",
        "referencesProvider",
        "documentHighlightProvider",
        "renameProvider",
    ];
    for (capabilities, expected) in [
        (json!({}), json!([null, null, null, null])),
        (
            json!({"textDocument": {"definition": {}, "rename": {}}}),
            json!([true, null, null, true]),
        ),
        (
            asking(true),
            json!([true, true, true, {"prepareProvider": true}]),
        ),
    ] {
        let mut session = Session::start(telling_engine());
        let announced = session.client.initialize(capabilities);
        let found: Vec<&Value> = names
            .iter()
            .map(|name| announced.get(name).unwrap_or(&Value::Null))
            .collect();
        assert_eq!(json!(found), expected);
        assert_eq!(session.end(), 0);
    }
}
