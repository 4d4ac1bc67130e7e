//! Laws of positions, ropes and mapped excerpts.

use super::mapped::Mapped;
use super::position::{Encoding, LineIndex, Position, ReportPosition};
use super::rope::EditorText;
use super::span::Span;
use proptest::prelude::*;

const ENCODINGS: [Encoding; 3] = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];

#[test]
fn lines_end_at_three_terminators_only() {
    let text = "a\nb\r\nc\rd\u{2028}e\u{c}f\u{85}g";
    let index = LineIndex::new(text);
    assert_eq!(index.line_count(), 4);
    assert_eq!(EditorText::new(text).line_count(), 4);
    assert_eq!(&text[index.line_start(1)..index.line_end(1)], "b");
    assert_eq!(index.line_end(3), text.len());
}

#[test]
fn columns_count_in_their_encoding() {
    let text = "x\n𝔽ε|f";
    let bar = text.find('|').expect("a bar");
    let index = LineIndex::new(text);
    assert_eq!(index.position(bar, Encoding::Utf8), Position::new(1, 6));
    assert_eq!(index.position(bar, Encoding::Utf16), Position::new(1, 3));
    assert_eq!(index.position(bar, Encoding::Utf32), Position::new(1, 2));
}

#[test]
fn positions_are_clamped() {
    let text = "a𝔽\r\nb";
    let index = LineIndex::new(text);
    let rope = EditorText::new(text);
    for (position, encoding, offset) in [
        (Position::new(0, 2), Encoding::Utf16, 1),
        (Position::new(0, 3), Encoding::Utf8, 1),
        (Position::new(0, 99), Encoding::Utf16, 5),
        (Position::new(0, usize::MAX), Encoding::Utf32, 5),
        (Position::new(0, usize::MAX), Encoding::Utf8, 5),
        (Position::new(7, 0), Encoding::Utf16, text.len()),
        (
            Position::new(usize::MAX, usize::MAX),
            Encoding::Utf16,
            text.len(),
        ),
    ] {
        assert_eq!(index.offset(position, encoding), offset, "{position:?}");
        assert_eq!(rope.offset(position, encoding), offset, "{position:?}");
    }
}

#[test]
fn a_byte_order_mark_has_no_column_in_reports() {
    let text = "\u{FEFF}ε x\ny";
    let index = LineIndex::new(text);
    let at = |offset| index.report(offset);
    assert_eq!(at(0), ReportPosition { line: 1, column: 1 });
    assert_eq!(at(3), ReportPosition { line: 1, column: 1 });
    assert_eq!(at(5), ReportPosition { line: 1, column: 2 });
    assert_eq!(at(text.len()), ReportPosition { line: 2, column: 2 });
}

#[test]
fn excerpts_know_where_they_were_typed() {
    let draft = "a \\R b";
    let mut mapped = Mapped::new();
    mapped.push_verbatim("a ", 0);
    mapped.push_replacement("\\mathbb{R}", Span::new(2, 4));
    mapped.push_verbatim(" b", 4);
    assert_eq!(mapped.text(), "a \\mathbb{R} b");
    assert_eq!(&draft[mapped.span(3..5).range()], "\\R");
    assert_eq!(&draft[mapped.span(0..5).range()], "a \\R");
    assert_eq!(mapped.whole(), Span::new(0, 6));
    let part = mapped.slice(1..4);
    assert_eq!(part.text(), " \\m");
    assert_eq!(part.whole(), Span::new(1, 4));
}

/// Texts with line ends and characters of every width.
fn texts() -> impl Strategy<Value = String> {
    proptest::collection::vec(
        prop_oneof![
            Just("\n".to_owned()),
            Just("\r\n".to_owned()),
            Just("\r".to_owned()),
            Just("ε".to_owned()),
            Just("𝔽".to_owned()),
            Just("\u{2028}".to_owned()),
            "[a-z]{1,3}",
            Just("x".repeat(300)),
        ],
        0..12,
    )
    .prop_map(|parts| parts.concat())
}

#[test]
fn what_was_typed_for_a_part_can_be_replaced_alone() {
    // \\eps x \\abs{y}, with \\eps for ε and \\abs for bars around its argument.
    let draft = r"\eps x \abs{y}";
    let mut mapped = Mapped::new();
    mapped.push_replacement("ε", Span::new(0, 4));
    mapped.push_verbatim(" x ", 4);
    mapped.push_replacement("|", Span::new(7, 14));
    mapped.push_verbatim("y", 12);
    mapped.push_replacement("|", Span::new(7, 14));
    let typed = |part: &str| {
        let start = mapped.text().find(part).expect("a part of the excerpt");
        let span = mapped.typed(start..start + part.len());
        span.map(|span| &draft[span.range()])
    };
    assert_eq!(typed("ε"), Some("\\eps"));
    assert_eq!(typed("x"), Some("x"));
    assert_eq!(typed("y"), Some("y"));
    assert_eq!(typed("|"), None);
    assert_eq!(typed("|y|"), None);
    assert_eq!(typed("ε x"), None);
    assert_eq!(mapped.typed(0..0), None);
}

proptest! {
    // Every place of every text is tried, so few texts are enough.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn positions_round_trip(text in texts()) {
        let index = LineIndex::new(&text);
        let rope = EditorText::new(&text);
        for (offset, _) in text.char_indices().chain([(text.len(), 'x')]) {
            for encoding in ENCODINGS {
                let position = index.position(offset, encoding);
                prop_assert_eq!(rope.position(offset, encoding), position);
                // Between CR and LF a position is the end of the line.
                let split = text[..offset].ends_with('\r') && text[offset..].starts_with('\n');
                let expected = if split { offset - 1 } else { offset };
                prop_assert_eq!(index.offset(position, encoding), expected);
                prop_assert_eq!(rope.offset(position, encoding), expected);
            }
        }
    }
}

proptest! {
    #[test]
    fn rope_and_index_clamp_alike(text in texts(), line in 0_usize..9, column in 0_usize..700) {
        let index = LineIndex::new(&text);
        let rope = EditorText::new(&text);
        for encoding in ENCODINGS {
            let position = Position::new(line, column);
            let offset = index.offset(position, encoding);
            prop_assert!(text.is_char_boundary(offset));
            prop_assert_eq!(rope.offset(position, encoding), offset);
        }
    }

    #[test]
    fn edits_equal_edits_of_the_string(
        text in texts(),
        edits in proptest::collection::vec((0_usize..400, 0_usize..400, texts()), 1..6),
    ) {
        let mut string = text.clone();
        let mut rope = EditorText::new(&text);
        for (start, end, replacement) in edits {
            let snapshot = rope.clone();
            let before = string.clone();
            let span = rope.replace_span(Span::new(start.min(end), start.max(end)), &replacement);
            string.replace_range(span.range(), &replacement);
            prop_assert_eq!(rope.to_string(), string.clone());
            prop_assert_eq!(snapshot.to_string(), before);
        }
    }

    #[test]
    fn edits_by_position_equal_edits_by_bytes(
        text in texts(),
        start in (0_usize..6, 0_usize..9),
        end in (0_usize..6, 0_usize..9),
    ) {
        for encoding in ENCODINGS {
            let mut rope = EditorText::new(&text);
            let (from, to) = (Position::new(start.0, start.1), Position::new(end.0, end.1));
            let span = rope.replace_range(from, to, encoding, "|");
            let mut string = text.clone();
            string.replace_range(span.range(), "|");
            prop_assert_eq!(rope.to_string(), string);
        }
    }
}
