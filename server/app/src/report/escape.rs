//! Text from drafts made harmless for terminals and message boxes: nothing in a draft may move
//! the cursor, hide text or reverse its direction.

use std::borrow::Cow;

/// Whether a character acts on its surroundings instead of showing itself.
fn acts(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{061C}' | '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}'
                | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}'
                | '\u{E0000}'..='\u{E007F}'
        )
}

/// The text on one line: white space becomes single spaces, what acts is written as `\u{…}`.
pub(crate) fn one_line(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    visible(&words.join(" ")).into_owned()
}

/// The text with everything that acts written as `\u{…}`; newlines too.
pub(crate) fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(acts) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 16);
    for character in text.chars() {
        if acts(character) {
            shown.extend(character.escape_unicode());
        } else {
            shown.push(character);
        }
    }
    Cow::Owned(shown)
}

/// The same, line by line: newlines stay.
pub(crate) fn visible_lines(text: &str) -> String {
    let lines: Vec<Cow<'_, str>> = text.lines().map(visible).collect();
    lines.join("\n")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_acts_is_shown() {
        assert_eq!(visible("a\u{1b}[31mb"), "a\\u{1b}[31mb");
        assert_eq!(visible("x\u{202E}y\u{2066}"), "x\\u{202e}y\\u{2066}");
        assert_eq!(visible("fₙ(x) → ε ∈ ℝ 😀"), "fₙ(x) → ε ∈ ℝ 😀");
        assert_eq!(one_line(" a\n\tb\u{7}  c "), "a b\\u{7} c");
        assert_eq!(visible_lines("a\r\nb\u{9b}"), "a\nb\\u{9b}");
    }

    #[test]
    fn what_joins_characters_stays() {
        // Emoji sequences and combining marks show themselves.
        for text in ["👩\u{200D}🔬", "x\u{0304}", "ℝ\u{FE0E}"] {
            assert_eq!(visible(text), text);
        }
    }
}
