//! Telling words from mathematics in plain characters.

use super::commands::{is_function_word, is_symbol_word, is_text_in_math};
use super::tex::{command_at, skip_space};

/// Short words of the languages that drafts are written in: they are never a product of letters.
const SHORT_WORDS: &[&str] = &[
    "ab", "ad", "ai", "al", "all", "als", "am", "an", "and", "any", "are", "as", "at", "au", "auf",
    "aus", "be", "bei", "big", "but", "by", "can", "cf", "da", "das", "dass", "de", "del", "dem",
    "den", "der", "des", "die", "dim", "dir", "do", "du", "ed", "eg", "ein", "el", "en", "end",
    "er", "es", "et", "etc", "far", "few", "for", "ft", "für", "get", "go", "had", "has", "he",
    "how", "id", "ie", "if", "ihr", "il", "im", "in", "is", "ist", "it", "its", "je", "la", "las",
    "le", "les", "let", "lo", "los", "man", "may", "me", "mit", "mr", "ms", "my", "nd", "new",
    "no", "non", "nor", "not", "now", "nur", "of", "off", "old", "on", "one", "op", "or", "our",
    "out", "own", "par", "per", "plus", "pro", "put", "qed", "que", "ra", "rd", "re", "say", "se",
    "see", "set", "she", "si", "sie", "so", "st", "sum", "th", "the", "to", "too", "try", "two",
    "um", "un", "und", "une", "up", "us", "use", "via", "von", "vs", "was", "way", "we", "who",
    "why", "wir", "wo", "wts", "yes", "yet", "you", "zu", "zum", "zur",
];

/// Whether a run of letters is a word of running text: two letters or more, and no function or
/// sign typed by name.
pub(crate) fn is_prose_word(word: &str) -> bool {
    let letters = word.chars().count();
    if letters < 2 || is_function_word(word) || is_symbol_word(word) {
        return false;
    }
    let lower = word.to_lowercase();
    4 <= letters || SHORT_WORDS.contains(&lower.as_str()) || has_vowel(&lower)
}

/// Whether a short run of letters may be a product (`nx`): no known word.
pub(crate) fn may_be_product(word: &str) -> bool {
    let letters = word.chars().count();
    let ascii = word.bytes().all(|byte| byte.is_ascii_alphabetic());
    let lower = word.to_ascii_lowercase();
    ascii && (2..=3).contains(&letters) && !SHORT_WORDS.contains(&lower.as_str())
}

/// Whether the run has a vowel, as nearly every word has.
pub(crate) fn has_vowel(lower: &str) -> bool {
    lower.chars().any(|c| "aeiouyäöüáéíóúàèâêôåøæ".contains(c))
}

/// The prose words of a would-be formula: words outside commands and outside `\text{…}`, each
/// with its place.
pub(crate) fn prose_words(content: &str) -> Vec<usize> {
    let bytes = content.as_bytes();
    let mut words = Vec::new();
    let mut at = 0;
    let mut hidden: Vec<bool> = Vec::new();
    while at < bytes.len() {
        match bytes[at] {
            b'\\' => {
                let Some((name, end)) = command_at(content, at) else {
                    break;
                };
                at = end;
                let brace = skip_space(content, end);
                let names_something = matches!(name, "begin" | "end" | "label" | "operatorname")
                    || name.starts_with("math");
                if (is_text_in_math(name) || names_something) && bytes.get(brace) == Some(&b'{') {
                    hidden.push(true);
                    at = brace + 1;
                }
            }
            b'{' => {
                hidden.push(hidden.last().copied().unwrap_or(false));
                at += 1;
            }
            b'}' => {
                hidden.pop();
                at += 1;
            }
            _ => {
                let rest = &content[at..];
                let length = rest
                    .find(|c: char| !c.is_alphabetic())
                    .unwrap_or(rest.len());
                if length == 0 {
                    at += rest.chars().next().map_or(1, char::len_utf8);
                    continue;
                }
                if !hidden.last().copied().unwrap_or(false) && is_prose_word(&rest[..length]) {
                    words.push(at);
                }
                at += length;
            }
        }
    }
    words
}
