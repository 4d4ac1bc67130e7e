//! Quotations found again in a draft: occurrences, delimiters, sentences.

use source::Span;

/// Text with every run of white space made one blank, and where each byte of it came from.
struct Collapsed {
    text: String,
    /// Byte of the original for every byte of `text`.
    origin: Vec<usize>,
    /// One past the last byte of the original.
    end: usize,
}

impl Collapsed {
    fn new(text: &str, block: Span) -> Self {
        let mut collapsed = Self {
            text: String::new(),
            origin: Vec::new(),
            end: block.end,
        };
        let mut blank = true;
        for (at, character) in text[block.range()].char_indices() {
            if character.is_whitespace() {
                if !blank {
                    collapsed.push(' ', block.start + at);
                }
                blank = true;
            } else {
                collapsed.push(character, block.start + at);
                blank = false;
            }
        }
        collapsed
    }

    fn push(&mut self, character: char, origin: usize) {
        self.text.push(character);
        for byte in 0..character.len_utf8() {
            self.origin.push(origin + byte);
        }
    }

    fn original(&self, start: usize, end: usize) -> Span {
        let from = self.origin.get(start).copied().unwrap_or(self.end);
        let to = end.checked_sub(1).and_then(|last| self.origin.get(last));
        Span::new(from, to.map_or(from, |last| last + 1))
    }
}

/// A text with every run of white space made one blank, and none at the ends.
#[must_use]
pub fn collapse(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The places in a block where a quote stands, white space collapsed on both sides. Occurrences
/// may overlap.
#[must_use]
pub fn occurrences(text: &str, block: Span, quote: &str) -> Vec<Span> {
    let collapsed = Collapsed::new(text, block);
    let quote = collapse(quote);
    let mut found = Vec::new();
    let Some(step) = quote.chars().next().map(char::len_utf8) else {
        return found;
    };
    let mut at = 0;
    while let Some(place) = collapsed.text[at..].find(&quote).map(|place| at + place) {
        found.push(collapsed.original(place, place + quote.len()));
        at = place + step;
    }
    found
}

/// Delimiters of mathematics, longer ones first.
const DELIMITERS: [(&str, &str); 4] = [("$$", "$$"), ("\\[", "\\]"), ("\\(", "\\)"), ("$", "$")];

/// A span without the delimiters of mathematics around the whole of it, and without white space
/// at its ends. Only a pair is taken off, and only if the same sign does not stand inside:
/// `$a$ and $b$` stays.
#[must_use]
pub fn inner(text: &str, span: Span) -> Span {
    let trimmed = trim(text, span);
    let piece = &text[trimmed.range()];
    for (open, close) in DELIMITERS {
        let inside = piece
            .strip_prefix(open)
            .and_then(|rest| rest.strip_suffix(close));
        if let Some(inside) = inside.filter(|inside| !inside.contains(close)) {
            let start = trimmed.start + open.len();
            return trim(text, Span::new(start, start + inside.len()));
        }
    }
    trimmed
}

fn trim(text: &str, span: Span) -> Span {
    let piece = &text[span.range()];
    let start = span.start + (piece.len() - piece.trim_start().len());
    Span::new(start, start + piece.trim().len())
}

/// Abbreviations whose full stop ends no sentence.
const ABBREVIATIONS: [&str; 12] = [
    "i.e", "e.g", "resp", "cf", "w.r.t", "s.t", "eq", "Eq", "no", "Thm", "Prop", "Ex",
];

/// The sentence around a place: from the last full stop, question or exclamation mark outside
/// mathematics to the next one, at most the run of lines without an empty one between them.
/// A display that stands alone between empty lines belongs to the sentence that it carries on,
/// so that runs are joined while the text before them does not end a sentence.
#[must_use]
pub fn sentence(text: &str, place: Span) -> Span {
    let ends = sentence_ends(text);
    let start = ends
        .iter()
        .copied()
        .rfind(|end| *end <= place.start)
        .unwrap_or(0);
    let end = ends
        .iter()
        .copied()
        .find(|end| place.end <= *end)
        .unwrap_or(text.len());
    trim(text, Span::new(start, end))
}

/// One past every mark that ends a sentence.
fn sentence_ends(text: &str) -> Vec<usize> {
    let mut ends = Vec::new();
    let mut in_display = false;
    let mut in_inline = false;
    let mut characters = text.char_indices().peekable();
    while let Some((at, character)) = characters.next() {
        match character {
            '\\' => match characters.next() {
                Some((_, '[')) => in_display = true,
                Some((_, ']')) => in_display = false,
                Some((_, '(')) => in_inline = true,
                Some((_, ')')) => in_inline = false,
                _ => {}
            },
            '$' if characters.next_if(|(_, next)| *next == '$').is_some() => {
                in_display = !in_display;
            }
            '$' => in_inline = !in_inline,
            '\n' => {
                let blank = text[at + 1..]
                    .lines()
                    .next()
                    .is_some_and(|line| line.trim().is_empty());
                if blank && !in_display {
                    // No formula in a line outlives an empty line, however broken the source.
                    in_inline = false;
                }
            }
            '.' | '?' | '!' if !in_display && !in_inline => {
                let after = characters
                    .peek()
                    .is_none_or(|(_, next)| next.is_whitespace());
                if after && !abbreviated(&text[..at]) {
                    ends.push(at + character.len_utf8());
                }
            }
            _ => {}
        }
    }
    ends
}

fn abbreviated(before: &str) -> bool {
    ABBREVIATIONS.iter().any(|short| {
        before
            .strip_suffix(short)
            .is_some_and(|rest| !rest.ends_with(char::is_alphanumeric))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(text: &str) -> Span {
        Span::new(0, text.len())
    }

    #[test]
    fn white_space_is_collapsed_on_both_sides() {
        let text = "We get $a\n   < b$ and $a < b$ again.";
        let found = occurrences(text, whole(text), "a <  b");
        let texts: Vec<_> = found.iter().map(|span| &text[span.range()]).collect();
        assert_eq!(texts, ["a\n   < b", "a < b"]);
    }

    #[test]
    fn delimiters_are_taken_off_as_a_pair() {
        for (text, expected) in [
            ("$a$", "a"),
            (" \\( a \\) ", "a"),
            ("$$ a $$", "a"),
            ("$a$ and $b$", "$a$ and $b$"),
            ("a", "a"),
        ] {
            assert_eq!(&text[inner(text, whole(text)).range()], expected);
        }
    }

    #[test]
    fn sentences_end_outside_mathematics() {
        let text = "Let $a = 1. $ be. Then, i.e. now,\n$$ b. $$\nfor all $n$. Done.";
        let at = text.find("b.").expect("it stands there");
        let found = sentence(text, Span::new(at, at + 1));
        assert_eq!(
            &text[found.range()],
            "Then, i.e. now,\n$$ b. $$\nfor all $n$."
        );
    }
}
