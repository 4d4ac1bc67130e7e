//! Where a formula that is opened at some place ends, in either language.

use super::block::Delimiter;
use super::commands::{is_math_environment, is_text_in_math};
use super::tex::{ARGUMENT_BYTES, command_at, mark_at, skip_space};
use super::words::prose_words;
use std::collections::BTreeMap;
use std::ops::Range;

/// An opening delimiter.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Opener {
    /// `$`
    Dollar,
    /// `$$`
    Dollars,
    /// `\(`; the text is what closes it (`\)`, in Markdown also `\\)`).
    Parenthesis(&'static str),
    /// `\[`; the text is what closes it.
    Bracket(&'static str),
    /// `\begin{name}`
    Environment(String),
}

impl Opener {
    /// The delimiter that a formula opened so has.
    pub(crate) fn delimiter(&self) -> Delimiter {
        match self {
            Self::Dollar | Self::Parenthesis(_) => Delimiter::Inline,
            Self::Dollars | Self::Bracket(_) => Delimiter::Display,
            Self::Environment(name) if name == "math" => Delimiter::Inline,
            Self::Environment(name) => Delimiter::Environment(name.clone()),
        }
    }
}

/// What was found behind an opening delimiter.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Found {
    /// A formula: its inside, and one past its closing delimiter.
    Formula { content: Range<usize>, end: usize },
    /// A formula whose delimiter is missing: the inside is what looks like mathematics.
    Unclosed { content: Range<usize>, end: usize },
    /// No formula: the sign stands for itself.
    Literal,
}

/// Finds the ends of formulas in one text. It remembers which closing delimiters are missing, so
/// that many opening ones take linear time in all.
#[derive(Debug)]
pub(crate) struct Delimiters<'text> {
    text: &'text str,
    /// `>` at the start of a line is no text (inside Markdown's quotes a line of it is blank).
    quotes: bool,
    /// No closing delimiter of that kind stands before that byte.
    missing: BTreeMap<&'static str, usize>,
    missing_environments: BTreeMap<String, usize>,
}

impl<'text> Delimiters<'text> {
    pub(crate) fn new(text: &'text str, quotes: bool) -> Self {
        Self {
            text,
            quotes,
            missing: BTreeMap::new(),
            missing_environments: BTreeMap::new(),
        }
    }

    /// The opening delimiter at `at`, and one past it.
    pub(crate) fn opener_at(&self, at: usize) -> Option<(Opener, usize)> {
        let rest = &self.text[at..];
        if rest.starts_with("$$") {
            return Some((Opener::Dollars, at + 2));
        }
        if rest.starts_with('$') {
            return Some((Opener::Dollar, at + 1));
        }
        if rest.starts_with("\\(") {
            return Some((Opener::Parenthesis("\\)"), at + 2));
        }
        if rest.starts_with("\\[") {
            return Some((Opener::Bracket("\\]"), at + 2));
        }
        let mark = mark_at(self.text, at)?;
        (mark.begins && is_math_environment(mark.name))
            .then(|| (Opener::Environment(mark.name.to_owned()), mark.end))
    }

    /// What stands behind the opening delimiter that ends at `start`.
    pub(crate) fn find(&mut self, opener: &Opener, start: usize) -> Found {
        match opener {
            Opener::Dollar => self.dollar(start),
            Opener::Dollars => self.dollars(start),
            Opener::Parenthesis(closer) | Opener::Bracket(closer) => self.paired(start, closer),
            Opener::Environment(name) => self.environment(start, name),
        }
    }

    fn dollar(&mut self, start: usize) -> Found {
        let Some(close) = self.closing(start, "$") else {
            return self.unclosed(start, true);
        };
        let content = &self.text[start..close];
        match dollar_kind(content, &self.text[close + 1..]) {
            DollarKind::Formula => Found::Formula {
                content: start..close,
                end: close + 1,
            },
            DollarKind::Price => Found::Literal,
            DollarKind::Unclosed => self.unclosed(start, true),
        }
    }

    fn dollars(&mut self, start: usize) -> Found {
        if let Some(close) = self.closing(start, "$$") {
            return Found::Formula {
                content: start..close,
                end: close + 2,
            };
        }
        if let Some(close) = self.block_closing(start, 2, "$$") {
            return Found::Formula {
                content: start..close,
                end: close + 2,
            };
        }
        // `$$ a = b $`: one sign was forgotten.
        match self.closing(start, "$") {
            Some(close) if prose_words(&self.text[start..close]).len() < 3 => Found::Unclosed {
                content: start..close,
                end: close + 1,
            },
            _ => self.unclosed(start, false),
        }
    }

    /// A display's mark alone on a line closes one alone on a line across blank lines, if nothing
    /// else opens between and the inside does not read as prose.
    fn block_closing(&self, start: usize, opener: usize, closer: &str) -> Option<usize> {
        if !blank_before(&self.text[..start - opener]) || !blank_after(&self.text[start..]) {
            return None;
        }
        let window = crate::text::position::floor_boundary(self.text, start + ARGUMENT_BYTES);
        let close = start + self.text[start..window].find(closer)?;
        let content = &self.text[start..close];
        let fits = !content.contains('$')
            && !content.contains("\\[")
            && blank_before(content)
            && blank_after(&self.text[close + closer.len()..])
            && prose_words(content).len() < 3;
        fits.then_some(close)
    }

    fn paired(&mut self, start: usize, closer: &'static str) -> Found {
        let close = self.closing(start, closer).or_else(|| {
            let display = closer.ends_with(']');
            display
                .then(|| self.block_closing(start, closer.len(), closer))
                .flatten()
        });
        match close {
            Some(close) => Found::Formula {
                content: start..close,
                end: close + closer.len(),
            },
            None => self.unclosed(start, false),
        }
    }

    /// The closing delimiter before the next blank line. Those inside `\text{…}` are skipped, as
    /// long as its braces close.
    fn closing(&mut self, start: usize, closer: &'static str) -> Option<usize> {
        if self.missing.get(closer).is_some_and(|&until| start < until) {
            return None;
        }
        let bytes = self.text.as_bytes();
        let mut braces: Vec<bool> = Vec::new();
        let mut fallback = None;
        let mut at = start;
        while at < bytes.len() {
            let inside_text = braces.last().copied().unwrap_or(false);
            if bytes[at] == closer.as_bytes()[0] && self.text[at..].starts_with(closer) {
                if !inside_text {
                    return Some(at);
                }
                fallback = fallback.or(Some(at));
                // Past here the text would have to close its braces: look no further than the
                // longest honest one.
                if fallback.is_some_and(|first| first + 2048 < at) {
                    return fallback;
                }
            }
            match bytes[at] {
                b'\\' => {
                    let (next, opens_text) = self.command(at);
                    if next.is_some_and(|(name, _)| stops_formula(name)) {
                        break;
                    }
                    at = next.map_or(bytes.len(), |(_, end)| end);
                    if opens_text {
                        braces.push(true);
                    }
                    continue;
                }
                b'{' => braces.push(inside_text),
                b'}' => drop(braces.pop()),
                b'\n' if self.blank_line_follows(at) => break,
                _ => {}
            }
            at += 1;
        }
        if fallback.is_none() {
            self.missing.insert(closer, at);
        }
        fallback
    }

    /// The command at `at`: name and end; with `\text{` the end is past the brace.
    fn command(&self, at: usize) -> (Option<(&'text str, usize)>, bool) {
        let Some((name, end)) = command_at(self.text, at) else {
            return (None, false);
        };
        let brace = skip_space(self.text, end);
        if is_text_in_math(name) && self.text.as_bytes().get(brace) == Some(&b'{') {
            return (Some((name, brace + 1)), true);
        }
        (Some((name, end)), false)
    }

    fn environment(&mut self, start: usize, name: &str) -> Found {
        let known_missing = self.missing_environments.get(name);
        if known_missing.is_some_and(|&until| start < until) {
            return self.unclosed(start, false);
        }
        let mut depth = 0_usize;
        let mut at = start;
        while let Some(found) = self.text[at..].find('\\') {
            at += found;
            let Some(mark) = mark_at(self.text, at) else {
                at = command_at(self.text, at).map_or(self.text.len(), |(_, end)| end);
                continue;
            };
            if mark.begins {
                if mark.name == name && !nests(name) {
                    break;
                }
                depth += 1;
            } else if mark.name == name && (depth == 0 || !nests(name)) {
                return Found::Formula {
                    content: start..at,
                    end: mark.end,
                };
            } else if 0 < depth {
                depth -= 1;
            } else if is_math_environment(mark.name) {
                return Found::Unclosed {
                    content: start..at,
                    end: mark.end,
                };
            } else {
                break;
            }
            at = mark.end;
        }
        if self.text.len() <= at || !self.text[at..].contains('\\') {
            at = self.text.len();
        }
        self.missing_environments.insert(name.to_owned(), at);
        self.unclosed(start, false)
    }

    /// What looks like mathematics behind an opening delimiter that nothing closes.
    fn unclosed(&self, start: usize, price: bool) -> Found {
        let end = self.paragraph_end(start);
        let rest = &self.text[start..end];
        if price && starts_like_price(rest) {
            return Found::Literal;
        }
        let length = prose_words(rest).first().copied().unwrap_or(rest.len());
        let content =
            rest[..length].trim_end_matches(|c: char| c.is_whitespace() || ",;:(".contains(c));
        if content.trim().is_empty() {
            return Found::Literal;
        }
        let end = start + content.len();
        Found::Unclosed {
            content: start..end,
            end,
        }
    }

    /// The next blank line, or a command that no formula contains; at most some thousand bytes.
    fn paragraph_end(&self, start: usize) -> usize {
        const LONGEST: usize = 4096;
        let bytes = self.text.as_bytes();
        let mut at = start;
        while at < bytes.len() && at < start + LONGEST {
            match bytes[at] {
                b'\n' if self.blank_line_follows(at) => return at,
                b'$' => return at,
                b'\\' => {
                    let Some((name, end)) = command_at(self.text, at) else {
                        break;
                    };
                    if stops_formula(name) || matches!(name, "(" | "[") {
                        return at;
                    }
                    at = end;
                    continue;
                }
                _ => {}
            }
            at += 1;
        }
        crate::text::position::floor_boundary(self.text, at)
    }

    fn blank_line_follows(&self, newline: usize) -> bool {
        let rest = &self.text.as_bytes()[newline + 1..];
        let mut marks = 0;
        for &byte in rest {
            match byte {
                b' ' | b'\t' | b'\r' => {}
                b'>' if self.quotes && marks < 8 => marks += 1,
                b'\n' => return marks == 0 || self.in_quote(newline),
                _ => return false,
            }
        }
        true
    }

    /// Whether the line that ends at `newline` is part of a quote.
    fn in_quote(&self, newline: usize) -> bool {
        let line = self.text[..newline].rsplit('\n').next();
        line.is_some_and(|line| line.trim_start().starts_with('>'))
    }
}

/// Whether the last line of a text has nothing but container marks.
fn blank_before(text: &str) -> bool {
    let mut line = text.chars().rev().take_while(|&c| c != '\n');
    line.all(|c| c.is_whitespace() || c == '>')
}

/// Whether the first line of a text has nothing but container marks.
fn blank_after(text: &str) -> bool {
    let mut line = text.chars().take_while(|&c| c != '\n');
    line.all(|c| c.is_whitespace() || c == '>')
}

/// Commands that cannot stand in a formula: behind an unclosed delimiter, text goes on there.
fn stops_formula(name: &str) -> bool {
    matches!(
        name,
        "item" | "section" | "subsection" | "subsubsection" | "paragraph" | "chapter"
    )
}

/// Environments that may stand inside themselves.
fn nests(name: &str) -> bool {
    matches!(
        name,
        "array" | "cases" | "dcases" | "aligned" | "matrix" | "pmatrix" | "gathered"
    )
}

enum DollarKind {
    Formula,
    /// Money.
    Price,
    /// The closing sign opens another formula.
    Unclosed,
}

/// What `$content$` is, by its spaces, its words and what follows.
fn dollar_kind(content: &str, after: &str) -> DollarKind {
    if content.is_empty() {
        return DollarKind::Price;
    }
    let next = after.chars().next().unwrap_or(' ');
    let price = starts_like_price(content);
    if price && next.is_ascii_digit() {
        let plain = content
            .chars()
            .all(|c| c.is_ascii_digit() || " .,-–/".contains(c));
        if plain || !prose_words(content).is_empty() {
            return DollarKind::Price;
        }
    }
    let leads = content.starts_with(char::is_whitespace);
    let trails = content.ends_with(char::is_whitespace);
    if leads || !trails || prose_words(content).is_empty() {
        return DollarKind::Formula;
    }
    let opens = next.is_alphanumeric() || "\\|(-{[".contains(next);
    match (price, opens) {
        (true, _) => DollarKind::Price,
        (false, true) => DollarKind::Unclosed,
        (false, false) => DollarKind::Formula,
    }
}

/// Whether text behind a dollar sign starts as an amount of money does: a number, and then no
/// sign of a formula.
fn starts_like_price(content: &str) -> bool {
    let rest = content.trim_start_matches(|c: char| c.is_ascii_digit() || ".,".contains(c));
    if rest.len() == content.len() || !content.starts_with(|c: char| c.is_ascii_digit()) {
        return false;
    }
    let next = rest.trim_start().chars().next();
    next.is_none_or(|c| {
        c.is_alphabetic() && rest.starts_with(char::is_whitespace) || ".,;:!?)-–/$".contains(c)
    })
}
