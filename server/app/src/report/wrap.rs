//! Breaking lines at spaces by display width.

use unicode_width::UnicodeWidthStr;

/// Columns that a text takes on a terminal.
pub(crate) fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// `text` in lines of at most `columns`, every line behind `indent` spaces. Newlines in the text
/// begin new lines; a word longer than a line stands alone and is not broken.
pub(crate) fn wrap(text: &str, columns: usize, indent: usize) -> String {
    hang(text, columns, indent, indent)
}

/// As [`wrap`], but lines after the first stand behind `hanging` spaces.
pub(crate) fn hang(text: &str, columns: usize, indent: usize, hanging: usize) -> String {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        let mut margin = if lines.is_empty() { indent } else { hanging };
        for word in paragraph.split_whitespace() {
            let needed = margin + width(&line) + usize::from(!line.is_empty()) + width(word);
            if columns < needed && !line.is_empty() {
                lines.push(format!("{:margin$}{line}", ""));
                line.clear();
                margin = hanging;
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        if !line.is_empty() {
            lines.push(format!("{:margin$}{line}", ""));
        }
    }
    lines.join("\n")
}

/// The text cut to `columns`, an ellipsis in place of what is cut off.
pub(crate) fn shorten(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let mut kept = String::new();
    for character in text.chars() {
        kept.push(character);
        if columns < width(&kept) + 1 {
            kept.pop();
            break;
        }
    }
    kept.push('…');
    kept
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces() {
        assert_eq!(wrap("aa bb cc dd", 7, 2), "  aa bb\n  cc dd");
        assert_eq!(hang("aa bb cc", 5, 0, 2), "aa bb\n  cc");
        assert_eq!(wrap("one\ntwo", 80, 1), " one\n two");
        assert_eq!(wrap("unbreakable b", 4, 0), "unbreakable\nb");
        assert_eq!(wrap("", 4, 2), "");
    }

    #[test]
    fn wide_characters_count_twice() {
        assert_eq!(width("ε→ₙ"), 3);
        assert_eq!(width("😀"), 2);
        assert_eq!(shorten("abcdef", 4), "abc…");
        assert_eq!(shorten("😀😀😀", 4), "😀…");
        assert_eq!(shorten("abc", 3), "abc");
    }
}
