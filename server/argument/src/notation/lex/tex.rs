//! TeX commands with what follows them: literal arguments, text, fonts, delimiters, environments.

use super::scan::{balanced_length, big_side, delimiter, literal, single, tidy_words};
use super::{Environment, Lexer, Tok, commands, plain};
use crate::limits::TEXT_NESTING;
use std::ops::Range;

/// Where a command stands, and how far its text may reach.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub(super) at: usize,
    pub(super) end: usize,
    pub(super) depth: usize,
}

impl Place {
    /// From the command's backslash to where `left` begins.
    fn to(self, left: &str) -> Range<usize> {
        self.at..self.end - left.len()
    }
}

impl Lexer<'_> {
    pub(super) fn command<'r>(&mut self, name: &str, left: &'r str, place: Place) -> &'r str {
        let starred = left.strip_prefix('*');
        if let Some(after) = starred
            && (name == "tag" || name == "operatorname" || name.ends_with("space"))
        {
            return self.command_with_argument(name, after, place);
        }
        self.command_with_argument(name, left, place)
    }

    fn command_with_argument<'r>(&mut self, name: &str, left: &'r str, place: Place) -> &'r str {
        if let Some(count) = commands::dropped_arguments(name) {
            self.spaced = true;
            let mut left = left;
            for _ in 0..count {
                left = literal(left).map_or(left, |(after, _)| after);
            }
            return left;
        }
        if commands::is_text(name) {
            return self.text_command(left, place);
        }
        if commands::is_font(name) {
            return self.font(name, left, place);
        }
        match name {
            "left" | "right" | "middle" => return self.sized(name, left, place),
            "begin" | "end" => return self.environment(name == "begin", left, place),
            "textcolor" => {
                let after = literal(left).map_or(left, |(after, _)| after);
                self.push(Tok::Transparent, place.to(after));
                return after;
            }
            "hspace" => {
                let after = literal(left).map_or(left, |(after, _)| after);
                self.push(Tok::Gap, place.to(after));
                return after;
            }
            "\\" => {
                let after = behind_row(left);
                self.push(Tok::Row, place.to(after));
                return after;
            }
            "operatornamewithlimits" => return self.font("operatorname", left, place),
            _ => {}
        }
        if let Some(side) = big_side(name) {
            return self.big(side, left, place);
        }
        if commands::is_ignored(name) {
            self.spaced = true;
            return left;
        }
        let (kind, left) = match commands::token(name) {
            Some(kind) => (kind, left),
            None => (Tok::Unknown(format!("\\{name}")), left),
        };
        self.push(kind, place.to(left));
        left
    }

    /// `\left(`, `\right]`, `\middle|`.
    fn sized<'r>(&mut self, name: &str, left: &'r str, place: Place) -> &'r str {
        let Ok((after, delimiter)) = delimiter(left) else {
            self.spaced = true;
            return left;
        };
        let kind = match (name, delimiter) {
            ("left", c) => Tok::Left(c),
            ("right", c) => Tok::Right(c),
            (_, '|') => Tok::MidBar,
            (_, '/') => Tok::Slash,
            _ => {
                self.spaced = true;
                return after;
            }
        };
        self.push(kind, place.to(after));
        after
    }

    /// `\bigl|`: a bar whose side is known; other delimiters are what they are.
    fn big<'r>(&mut self, opens: bool, left: &'r str, place: Place) -> &'r str {
        let Ok((after, found)) = delimiter(left) else {
            self.spaced = true;
            return left;
        };
        let sided = if matches!(found, '|' | '‖') {
            if opens {
                Tok::Open(found)
            } else {
                Tok::Close(found)
            }
        } else {
            self.spaced = true;
            return left;
        };
        self.push(sided, place.to(after));
        after
    }

    fn environment<'r>(&mut self, begins: bool, left: &'r str, place: Place) -> &'r str {
        let Some((mut after, name)) = literal(left) else {
            self.spaced = true;
            return left;
        };
        let kind = match name.trim_end_matches('*') {
            "cases" | "dcases" | "rcases" | "numcases" => Environment::Cases,
            "array" | "tabular" => Environment::Array,
            "matrix" | "pmatrix" | "bmatrix" | "vmatrix" | "Vmatrix" | "Bmatrix"
            | "smallmatrix" => Environment::Matrix,
            _ => {
                self.spaced = true;
                return after;
            }
        };
        if begins && kind == Environment::Array {
            after = literal(after).map_or(after, |(rest, _)| rest);
        }
        let token = if begins {
            Tok::Begin(kind)
        } else {
            Tok::End(kind)
        };
        self.push(token, place.to(after));
        after
    }

    /// `\mathbb{R}`, `\mathrm{const}`, `\operatorname{sgn}`.
    fn font<'r>(&mut self, name: &str, left: &'r str, place: Place) -> &'r str {
        let Some((after, content)) = literal(left).or_else(|| single(left)) else {
            self.spaced = true;
            return left;
        };
        let content = content
            .replace("\\rm", "")
            .replace("\\,", " ")
            .replace('~', " ");
        let content = content.trim();
        match font_token(name, content) {
            Some(kind) => {
                self.push(kind, place.to(after));
                after
            }
            // The face means nothing for longer content: read it as if it were not there.
            None => {
                self.spaced = true;
                left
            }
        }
    }

    /// `\text{…}`: words, and between dollars formulas again.
    fn text_command<'r>(&mut self, left: &'r str, place: Place) -> &'r str {
        let trimmed = left.trim_start();
        let Some(inside) = trimmed.strip_prefix('{') else {
            return left;
        };
        let length = balanced_length(inside);
        let content = &inside[..length];
        let after = inside[length..]
            .strip_prefix('}')
            .unwrap_or(&inside[length..]);
        let start = place.end - inside.len();
        if place.depth >= TEXT_NESTING || !content.contains('$') {
            self.words(content, place.to(after));
            return after;
        }
        let mut at = start;
        for (index, part) in content.split('$').enumerate() {
            let range = at..at + part.len();
            at = range.end + 1;
            if index % 2 == 1 {
                self.spaced = true;
                self.run(range, place.depth + 1);
                self.spaced = true;
            } else {
                self.words(part, range);
            }
        }
        after
    }

    /// Words as a token; a lone name or sign in text face is what it is in a formula.
    fn words(&mut self, content: &str, range: Range<usize>) {
        let words = tidy_words(content);
        let kind = match words.as_str() {
            "" => {
                self.spaced = true;
                return;
            }
            "," => Tok::Comma,
            ";" => Tok::Semicolon,
            ":" => Tok::Colon,
            "." => Tok::Period,
            // A bracket in text face belongs to the words: `\text{(since $2^n > 0$)}`.
            single if single.chars().count() == 1 && !single.contains(['(', ')', '[', ']']) => {
                single
                    .chars()
                    .next()
                    .and_then(plain::character)
                    .unwrap_or(Tok::Words(words.clone()))
            }
            _ => plain::named(&words).unwrap_or(Tok::Words(words)),
        };
        self.spaced = true;
        self.push(kind, range);
        self.spaced = true;
    }
}

/// The token of letters set in another face.
fn font_token(font: &str, content: &str) -> Option<Tok> {
    let mut characters = content.chars();
    let first = characters.next()?;
    if characters.next().is_none() {
        let struck = matches!(font, "mathbb" | "Bbb" | "mathds");
        let bold = matches!(font, "mathbf" | "boldsymbol" | "bm" | "bold");
        if (struck || bold) && "RNZQC".contains(first) {
            return Some(Tok::NumberSet(first));
        }
        if matches!(font, "mathcal" | "mathscr" | "mathfrak") && first.is_ascii_uppercase() {
            let offset = u32::from(first) - u32::from('A');
            let script = char::from_u32(0x1D4D0 + offset).unwrap_or(first);
            return Some(Tok::Letter(script.to_string()));
        }
        if struck && first == '1' {
            return Some(Tok::Letter("𝟙".to_owned()));
        }
        return first
            .is_alphabetic()
            .then(|| plain::character(first))
            .flatten();
    }
    if let Some(kind) = plain::named(content) {
        return Some(kind);
    }
    if !content
        .chars()
        .all(|c| c.is_alphabetic() || c == ' ' || c == '.')
    {
        return None;
    }
    if content.contains(' ') || content.contains('.') {
        return Some(Tok::Words(content.to_owned()));
    }
    match plain::word(content, true) {
        Some(Tok::Words(_)) | None => {}
        Some(other) => return Some(other),
    }
    if matches!(
        font,
        "mathrm" | "operatorname" | "operatorname*" | "mathop" | "mathsf" | "mathtt"
    ) {
        let is_word = matches!(
            content,
            "if" | "for" | "and" | "or" | "otherwise" | "else" | "where" | "since" | "all" | "with"
        );
        return Some(if is_word {
            Tok::Words(content.to_owned())
        } else {
            Tok::Letter(content.to_owned())
        });
    }
    None
}

/// What stands behind a row break's star and extra space: `\\\\*[2pt]`.
fn behind_row(left: &str) -> &str {
    let starred = left.strip_prefix('*').unwrap_or(left);
    let length = starred
        .trim_start_matches([' ', '\t'])
        .strip_prefix('[')
        .and_then(|inside| inside.split_once(']'));
    match length {
        Some((length, after)) if is_length(length) => after,
        _ => starred,
    }
}

/// `2pt`, `-0.5ex`, `1 \\baselineskip`
fn is_length(text: &str) -> bool {
    let unit = text.trim().trim_start_matches(|c: char| {
        c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | ' ')
    });
    let units = ["pt", "ex", "em", "mm", "cm", "in", "mu", "bp", "pc", "sp"];
    units.contains(&unit) || unit.starts_with('\\') && unit.ends_with("skip")
}
