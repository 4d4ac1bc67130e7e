//! Parts of a draft: roles as tokens, folds, what a selection grows to.

use super::*;

const DRAFT: &str = "# Exercise 1\n\nLet $f_n(x) = \\frac{x}{n}$ on $[0,1]$. Show that $f_n \\to 0$ uniformly.\n\n\
**Proof.** Let $ε > 0$. 😀 Choose $N > 1/ε$. For all $n > N$ and $x \\in [0,1]$:\n\
> $$\n> |f_n(x)|\n>   \\le \\frac1n < ε.\n> $$\n\n\
Hence $f_n \\to 0$ uniformly.\n";

fn asking(encoding: &str) -> Value {
    json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {
            "semanticTokens": {"requests": {"full": {"delta": false}, "range": true},
                "tokenTypes": [], "tokenModifiers": [], "formats": ["relative"]},
            "foldingRange": {}, "selectionRange": {},
        },
    })
}

/// Tokens as line, text, type and modifiers; columns in UTF-16.
fn told(legend: &Value, answer: &Value) -> Vec<(usize, String, String)> {
    let data: Vec<usize> = answer["result"]["data"]
        .as_array()
        .unwrap()
        .iter()
        .map(|number| number.as_u64().unwrap() as usize)
        .collect();
    let (mut line, mut column) = (0, 0);
    data.chunks(5)
        .map(|token| {
            line += token[0];
            column = if token[0] == 0 {
                column + token[1]
            } else {
                token[1]
            };
            let units: Vec<u16> = DRAFT.lines().nth(line).unwrap().encode_utf16().collect();
            let text = String::from_utf16(&units[column..column + token[2]]).unwrap();
            let mut words = vec![legend["tokenTypes"][token[3]].as_str().unwrap()];
            let modifiers = legend["tokenModifiers"].as_array().unwrap().iter();
            let on = modifiers
                .enumerate()
                .filter(|(at, _)| token[4] >> at & 1 == 1);
            words.extend(on.map(|(_, name)| name.as_str().unwrap()));
            (line, text, words.join(" "))
        })
        .collect()
}

#[test]
fn formulas_are_tokens_by_their_role() {
    let mut session = Session::start(telling_engine());
    let client = &mut session.client;
    let announced = client.initialize(asking("utf-16"));
    let provider = &announced["semanticTokensProvider"];
    assert_eq!(
        (&provider["full"], &provider["range"]),
        (&json!(true), &json!(true))
    );
    client.open(URI, "markdown", 0, DRAFT);
    let params = json!({"textDocument": {"uri": URI}});
    let answer = client.call("textDocument/semanticTokens/full", params);
    let all = told(&provider["legend"], &answer);
    let expected = [
        (2, "f_n(x) = \\frac{x}{n}", "function definition"),
        (2, "f_n \\to 0", "interface aim"),
        (4, "ε > 0", "parameter let"),
        (4, "N > 1/ε", "variable choice claim"),
        (4, "n > N", "parameter range"),
        (4, "x \\in [0,1]", "parameter range"),
        // A formula of several lines, without the marks of the quotation.
        (6, "|f_n(x)|", "property step claim"),
        (7, "\\le \\frac1n < ε", "property step claim"),
        (10, "f_n \\to 0", "property conclusion claim"),
    ];
    let expected: Vec<(usize, String, String)> = expected
        .iter()
        .map(|(line, text, words)| (*line, (*text).to_owned(), (*words).to_owned()))
        .collect();
    assert_eq!(all, expected);
    let params = json!({"textDocument": {"uri": URI}, "range": range((4, 30), (6, 5))});
    let answer = client.call("textDocument/semanticTokens/range", params);
    assert_eq!(told(&provider["legend"], &answer), expected[3..7]);
    assert_eq!(session.end(), 0);
}

#[test]
fn parts_of_several_lines_fold() {
    let ask = |capabilities: Value| {
        let mut session = Session::with(telling_engine(), capabilities);
        let client = &mut session.client;
        client.open(URI, "markdown", 0, DRAFT);
        let params = json!({"textDocument": {"uri": URI}});
        let answer = client.call("textDocument/foldingRange", params);
        assert_eq!(session.end(), 0);
        let folds = answer["result"].as_array().unwrap().clone();
        let line = |fold: &Value, end: &str| fold[end].as_u64().unwrap();
        folds
            .iter()
            .map(|fold| (line(fold, "startLine"), line(fold, "endLine")))
            .collect::<Vec<_>>()
    };
    // The exercise with its heading, its proof, the quotation and the display in it.
    let all = [(0, 10), (4, 10), (5, 8)];
    assert_eq!(ask(asking("utf-8")), all);
    let few = json!({"textDocument": {"foldingRange": {"rangeLimit": 2}}});
    assert_eq!(ask(few), all[..2]);
}

#[test]
fn a_selection_grows_from_the_name_to_the_draft() {
    let mut session = Session::with(telling_engine(), asking("utf-8"));
    let client = &mut session.client;
    client.open(URI, "markdown", 0, DRAFT);
    let line = DRAFT.lines().nth(4).unwrap();
    let column = line.find("ε$. For").unwrap();
    let params = json!({"textDocument": {"uri": URI},
        "positions": [{"line": 4, "character": column}, {"line": 0, "character": 3}]});
    let answer = client.call("textDocument/selectionRange", params);
    let mut texts = Vec::new();
    let mut part = &answer["result"][0];
    while part.is_object() {
        let start = &part["range"]["start"];
        let end = &part["range"]["end"];
        let column = |place: &Value| place["character"].as_u64().unwrap() as usize;
        texts.push(if start["line"] == end["line"] {
            line[column(start)..column(end)].to_owned()
        } else {
            format!("lines {} to {}", start["line"], end["line"])
        });
        part = &part["parent"];
    }
    assert_eq!(
        texts,
        [
            "ε",
            "1/ε",
            "N > 1/ε",
            "$N > 1/ε$",
            "Choose $N > 1/ε$.",
            line,
            "lines 2 to 10",
            "lines 0 to 11"
        ]
    );
    assert_eq!(answer["result"].as_array().unwrap().len(), 2);
    assert_eq!(session.end(), 0);
}

#[test]
fn parts_are_announced_to_editors_that_ask_for_them() {
    let providers = [
        "semanticTokensProvider",
        "foldingRangeProvider",
        "selectionRangeProvider",
    ];
    for (capabilities, expected) in [(json!({}), false), (asking("utf-8"), true)] {
        let mut session = Session::start(telling_engine());
        let announced = session.client.initialize(capabilities);
        for name in providers {
            assert_eq!(announced.get(name).is_some(), expected, "{name}");
        }
        assert_eq!(session.end(), 0);
    }
}
