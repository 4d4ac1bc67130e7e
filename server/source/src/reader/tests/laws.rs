//! Laws that hold for every draft.

use super::*;
use crate::text::span::Span;
use proptest::prelude::*;

/// Drafts pieced together from what readers treat specially.
fn drafts() -> impl Strategy<Value = String> {
    let parts = prop_oneof![
        prop::sample::select(vec![
            "$",
            "$$",
            "\\(",
            "\\)",
            "\\[",
            "\\]",
            "\\begin{align}",
            "\\end{align}",
            "\\begin{proof}",
            "\\end{proof}",
            "\\begin{enumerate}",
            "\\end{enumerate}",
            "\\item ",
            "{",
            "}",
            "\\",
            "%",
            "&",
            "\n",
            "\n\n",
            "\r\n",
            "> ",
            "- ",
            "1. ",
            "    ",
            "```",
            "`",
            "*",
            "**",
            "~~",
            "_",
            "|",
            "|-|\n",
            "<b>",
            "</b>",
            "<sub>",
            "</sub>",
            "<!-- ",
            " -->",
            "<div>\n",
            "<",
            "&lt;",
            "# ",
            "---\n",
            "[",
            "](",
            ")",
            "\\text{",
            "\\textbf{",
            "\\emph{",
            "\\newcommand{\\q}[1]{(#1)}",
            "\\q",
            "\\q{",
            "\\def\\r{\\q}",
            "\\verb|",
            "\\section{",
            "\\footnote{",
            "\\\"o",
            "ε",
            "ₙ",
            "𝔽",
            "≤",
            "→",
            "x",
            "n",
            "f(",
            "a ",
            "word ",
            "= ",
            "1/2",
            "5 ",
            ". ",
            ", ",
            "!",
            "'",
            "''",
            "\\begin{cases}",
            "\\end{cases}",
            "\\begin{tabular}{c}",
            "\\\\",
            "\\eqref{",
            "\\ensuremath{",
            "\u{FEFF}",
            "\u{2028}",
            "\\input{x}",
            "\\begin{verbatim}",
        ])
        .prop_map(str::to_owned),
        "[a-zA-Z0-9 ]{0,6}",
        any::<char>().prop_map(String::from),
    ];
    proptest::collection::vec(parts, 0..40).prop_map(|parts| parts.concat())
}

fn check_span(draft: &str, span: Span) -> Result<(), TestCaseError> {
    prop_assert!(span.start <= span.end && span.end <= draft.len());
    prop_assert!(draft.is_char_boundary(span.start) && draft.is_char_boundary(span.end));
    Ok(())
}

/// Spans lie in the draft and on character borders; containers exist.
fn check_document(draft: &str, document: &Document) -> Result<(), TestCaseError> {
    for block in &document.blocks {
        prop_assert!(!block.pieces.is_empty());
        check_span(draft, block.span)?;
        for &container in &block.containers {
            prop_assert!(container < document.containers.len());
        }
        for piece in &block.pieces {
            check_span(draft, piece.span())?;
            prop_assert!(block.span.contains(piece.span()));
            let content = match piece {
                Piece::Prose(prose) => &prose.content,
                Piece::Math(math) => &math.content,
            };
            prop_assert!(!content.is_empty());
            for (at, character) in content.text().char_indices() {
                check_span(draft, content.span(at..at + character.len_utf8()))?;
            }
            if let Piece::Math(math) = piece {
                for (_, span) in &math.unknown_macros {
                    check_span(draft, *span)?;
                }
            }
        }
    }
    for container in &document.containers {
        check_span(draft, container.span)?;
    }
    for notice in &document.notices {
        check_span(draft, notice.span)?;
    }
    Ok(())
}

/// Pieces stand in the order of the draft and do not overlap.
fn check_order(document: &Document) -> Result<(), TestCaseError> {
    let mut end = 0;
    for piece in pieces(document) {
        let span = piece.span();
        prop_assert!(end <= span.start, "{:?}", piece);
        end = span.end;
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn markdown_is_total(draft in drafts()) {
        let document = markdown(&draft);
        check_document(&draft, &document)?;
        check_order(&document)?;
    }

    #[test]
    fn latex_is_total(draft in drafts()) {
        let document = latex(&draft);
        check_document(&draft, &document)?;
        // The pieces of an expansion all stand for the call.
        if !draft.contains("\\q") && !draft.contains("\\r") {
            check_order(&document)?;
        }
    }

    #[test]
    fn any_text_is_read(draft in any::<String>()) {
        check_document(&draft, &markdown(&draft))?;
        check_document(&draft, &latex(&draft))?;
    }

    #[test]
    fn every_formula_is_found_once_in_order(
        places in proptest::collection::vec(
            (0_usize..9, prop::sample::select(vec!["$#$", "$ # $", "$$#$$", "\\(#\\)", "\\[#\\]"])),
            1..10,
        )
    ) {
        let mut draft = String::new();
        for (index, (place, delimiters)) in places.iter().enumerate() {
            let formula = delimiters.replace('#', &format!("v_{{{index}}} < |x|*y*z"));
            draft.push_str(&match place {
                0 => format!("Words {formula} and more.\n\n"),
                1 => format!("> Quoted {formula}\n> more.\n\n"),
                2 => format!("- item {formula}\n\n"),
                3 => format!("# Heading {formula}\n\n"),
                4 => format!("\n\n| a | b |\n|---|---|\n| {formula} | c |\n\n"),
                5 => format!("**Strong {formula}** *and*\n"),
                6 => format!("<p>HTML {formula}</p>\n"),
                7 => format!("1. one\n\n       deep {formula}\n\n"),
                _ => format!("line {formula}, "),
            });
        }
        let document = markdown(&draft);
        let found: Vec<_> = contents(&document).into_iter().map(str::to_owned).collect();
        let expected: Vec<_> = (0..places.len()).map(|index| format!("v_{{{index}}} < |x|*y*z")).collect();
        prop_assert_eq!(found, expected, "{}", draft);
    }

    #[test]
    fn formulas_of_simple_drafts_are_those_of_the_parser(
        parts in proptest::collection::vec(
            prop_oneof![
                "[a-z]{4,8} ".prop_map(|word| (word, false)),
                "[a-z]_[a-z]".prop_map(|formula| (formula, true)),
            ],
            1..12,
        )
    ) {
        use pulldown_cmark::{Event, Options, Parser};
        let draft: String = parts
            .iter()
            .map(|(part, formula)| if *formula { format!(" ${part}$ ") } else { part.clone() })
            .collect();
        let expected: Vec<String> = Parser::new_ext(&draft, Options::ENABLE_MATH)
            .filter_map(|event| match event {
                Event::InlineMath(formula) => Some(formula.to_string()),
                _ => None,
            })
            .collect();
        let document = markdown(&draft);
        let delimited: Vec<String> = formulas(&document)
            .into_iter()
            .filter(|math| math.delimiter == Delimiter::Inline)
            .map(|math| math.content.text().to_owned())
            .collect();
        prop_assert_eq!(delimited, expected);
    }
}
