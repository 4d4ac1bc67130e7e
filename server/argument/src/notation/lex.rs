//! Formula text into tokens: TeX commands, Unicode and plain-text spellings alike.

pub(super) mod commands;
pub(super) mod plain;
mod scan;
mod tex;

use super::syntax::{Connective, Operator, Quantifier, Sign};
use kernel::Function;
use scan::{command, entity, number, script_run, space, word_run};
use std::ops::Range;
use tex::Place;

/// A token and where it stands.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Token {
    /// What it is.
    pub(super) kind: Tok,
    /// Bytes of the formula's text.
    pub(super) range: Range<usize>,
    /// Whether white space or a spacing command stands before it.
    pub(super) spaced: bool,
}

/// Where a stacked label stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Arity {
    /// `\overset`, `\stackrel`
    Above,
    /// `\underset`
    Below,
}

/// Environments inside a formula.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Environment {
    /// `cases` and its kin.
    Cases,
    /// `array`: cases after a brace, else rows.
    Array,
    /// Matrices.
    Matrix,
}

/// The kinds of token.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Tok {
    Number(String),
    /// A letter or a name of several letters.
    Letter(String),
    Pi,
    Infinity,
    Dots,
    NumberSet(char),
    EmptySet,
    Vulgar(&'static str, &'static str),
    Plus,
    Minus,
    PlusMinus,
    Times,
    /// ∘ between functions.
    Compose,
    Slash,
    Caret,
    Under,
    Prime(u32),
    Bang,
    Percent,
    /// `(`, `[`, `\{`, ⌊, ⌈, ⟨, `\lvert` (as `|`), `\lVert` (as `‖`).
    Open(char),
    /// The closing ones, by their own character.
    Close(char),
    /// `\left` with its delimiter (`.` for none).
    Left(char),
    /// `\right` with its delimiter.
    Right(char),
    /// A TeX brace, invisible.
    BraceOpen,
    BraceClose,
    Bar,
    /// `\mid`, `\middle|`
    MidBar,
    DoubleBar,
    Comma,
    Semicolon,
    Colon,
    Period,
    Gap,
    Row,
    Align,
    SuchThat,
    Sign(Sign),
    Not,
    Connective(Connective),
    Quantifier(Quantifier),
    MapsTo,
    Fraction,
    Over,
    Choose,
    Binomial,
    /// A root of that degree; `true` for the TeX command, which takes one token or group.
    Root(u32, bool),
    Function(Function),
    /// cot, sec, csc and their hyperbolic kin.
    Reciprocal(&'static str),
    /// A logarithm with its base, `None` for the natural one.
    Logarithm(Option<&'static str>),
    Operator(Operator),
    /// max (else min).
    Extremum(bool),
    /// Π (else Σ).
    Series(bool),
    Integral,
    SetOperation(char),
    /// `\abs{…}`, `\norm{…}`, `\floor{…}`, `\set{…}`: the opening delimiter that it stands for.
    Around(char),
    Decoration(char),
    Stack(Arity),
    LabelledArrow,
    /// `\underbrace`
    Braced,
    /// `\boxed`: its argument alone counts.
    Transparent,
    Struck,
    Begin(Environment),
    End(Environment),
    Words(String),
    /// A command or character that is not known, as typed.
    Unknown(String),
    /// Known and not readable: the reason.
    Unreadable(&'static str),
}

/// Tokens of a formula. Total and linear in the text.
pub(super) fn lex(text: &str) -> Vec<Token> {
    let mut lexer = Lexer {
        text,
        is_tex: text.contains('\\'),
        tokens: Vec::new(),
        spaced: false,
    };
    lexer.run(0..text.len(), 0);
    lexer.tokens
}

struct Lexer<'t> {
    text: &'t str,
    is_tex: bool,
    tokens: Vec<Token>,
    spaced: bool,
}

impl<'t> Lexer<'t> {
    fn run(&mut self, range: Range<usize>, depth: usize) {
        let mut at = range.start;
        while at < range.end {
            let rest = &self.text[at..range.end];
            let left = self.step(rest, at, depth);
            // Every step takes at least one character; the guard keeps totality evident.
            let next = range.end - left.len();
            at = if next > at {
                next
            } else {
                at + rest.chars().next().map_or(1, char::len_utf8)
            };
        }
    }

    fn push(&mut self, kind: Tok, range: Range<usize>) {
        self.tokens.push(Token {
            kind,
            range,
            spaced: std::mem::take(&mut self.spaced),
        });
    }

    /// Reads one thing at the start of `rest`, which stands at `at`; gives what is left.
    fn step<'r>(&mut self, rest: &'r str, at: usize, depth: usize) -> &'r str {
        if let Ok((left, _)) = space(rest) {
            self.spaced = true;
            return left;
        }
        if let Ok((left, name)) = command(rest) {
            let place = Place {
                at,
                end: at + rest.len(),
                depth,
            };
            return self.command(name, left, place);
        }
        if self.ends_integral_with_integrand(rest) {
            let (digit, left) = rest.split_at(1);
            self.push(Tok::Number(digit.to_owned()), at..at + 1);
            return left;
        }
        if let Ok((left, kind)) = number(rest) {
            self.push(kind, at..at + rest.len() - left.len());
            return left;
        }
        if let Some((kind, length)) = self.long_sign(rest) {
            self.push(kind, at..at + length);
            return &rest[length..];
        }
        if let Ok((left, run)) = word_run(rest) {
            self.word(run, at, left);
            return left;
        }
        if let Ok((left, run)) = script_run(plain::superscript, rest) {
            self.script(Tok::Caret, run, at, plain::superscript);
            return left;
        }
        if let Ok((left, run)) = script_run(plain::subscript, rest) {
            self.script(Tok::Under, run, at, plain::subscript);
            return left;
        }
        if let Ok((left, kind)) = entity(rest) {
            self.push(kind, at..at + rest.len() - left.len());
            return left;
        }
        self.character(rest, at)
    }

    /// `\int_0^10\,dx`: for TeX the upper end is 1 and the integrand 0; it is what the reader of
    /// the printed page sees, and there is no other integrand.
    fn ends_integral_with_integrand(&self, rest: &str) -> bool {
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        if !self.is_tex || digits < 2 || self.spaced {
            return false;
        }
        let kinds: Vec<&Tok> = self
            .tokens
            .iter()
            .rev()
            .take(6)
            .map(|token| &token.kind)
            .collect();
        let upper = matches!(kinds.first(), Some(Tok::Caret))
            && kinds.iter().any(|kind| **kind == Tok::Integral);
        let behind = rest[digits..].trim_start_matches([' ', '~']);
        let behind = [r"\,", r"\;", r"\:", r"\!"]
            .iter()
            .find_map(|gap| behind.strip_prefix(gap))
            .unwrap_or(behind)
            .trim_start();
        let mut letters = behind.chars();
        upper && letters.next() == Some('d') && letters.next().is_some_and(char::is_alphabetic)
    }

    fn long_sign(&self, rest: &str) -> Option<(Tok, usize)> {
        let (kind, length) = plain::long_sign(rest)?;
        // In TeX sources `n!=1` is a factorial before an equals sign; ≠ has its command there.
        let glued_factorial = rest.starts_with("!=") && self.is_tex && !self.spaced;
        // The bar of `|x|->0` closes an absolute value; `↦` needs something before its bar.
        let closing_bar = rest.starts_with("|->") && !self.spaced;
        // `a+-b` adds −b in TeX sources; ± has its command there.
        let two_signs = rest.starts_with("+-") && self.is_tex;
        (!glued_factorial && !closing_bar && !two_signs).then_some((kind, length))
    }

    fn character<'r>(&mut self, rest: &'r str, at: usize) -> &'r str {
        let mut characters = rest.chars();
        let Some(c) = characters.next() else {
            return rest;
        };
        let range = at..at + c.len_utf8();
        match c {
            '$' | '~' => self.spaced = true,
            '"' => self.push(Tok::Prime(2), range),
            '\u{338}' => {
                if let Some(last) = self.tokens.last_mut()
                    && let Some(negated) = negated(&last.kind)
                {
                    last.kind = negated;
                    last.range.end = range.end;
                }
            }
            '\u{300}'..='\u{36f}' | '\u{20d7}' => {
                if let Some(last) = self.tokens.last_mut()
                    && let Tok::Letter(letter) = &mut last.kind
                {
                    letter.push(c);
                    last.range.end = range.end;
                }
            }
            '\u{200b}'..='\u{200f}'
            | '\u{2060}'..='\u{2064}'
            | '\u{feff}'
            | '\u{fe00}'..='\u{fe0f}' => {}
            // The end of a proof, set into its last formula.
            '∎' | '□' | '■' | '▪' | '◻' | '☐' | '⬜' | '✓' | '✔' | '✗' | '✘' =>
                {}
            _ => {
                let kind = plain::character(c).unwrap_or_else(|| Tok::Unknown(c.to_string()));
                self.push(kind, range);
            }
        }
        characters.as_str()
    }

    /// A run of ASCII letters: one word, or letters of their own.
    fn word(&mut self, run: &str, at: usize, left: &str) {
        let before_is_free = self.spaced || self.tokens.is_empty();
        let alone = before_is_free && left.chars().next().is_none_or(char::is_whitespace);
        if let Some(mut kind) = plain::word(run, alone) {
            // "there exists" is said in words, a lone "exists" stands for the sign.
            let behind_word = matches!(
                self.tokens.last(),
                Some(Token {
                    kind: Tok::Words(_),
                    ..
                })
            );
            if behind_word && matches!(kind, Tok::Quantifier(_)) {
                kind = Tok::Words(run.to_owned());
            }
            let named = matches!(kind, Tok::Letter(_));
            let end = at + run.len();
            self.push(kind, at..end);
            // `eps0` without a space: an index, as in `x0`.
            if named && left.starts_with(|c: char| c.is_ascii_digit()) && !self.is_tex {
                self.push(Tok::Under, end..end);
            }
            return;
        }
        let glued = plain::glued_function(run);
        if let Some(length) = glued
            && let Some(kind) = plain::word(&run[..length], false)
        {
            self.push(kind, at..at + length);
        }
        for (offset, letter) in run.char_indices().skip(glued.unwrap_or(0)) {
            let start = at + offset;
            self.push(
                Tok::Letter(letter.to_string()),
                start..start + letter.len_utf8(),
            );
        }
    }

    /// A run of Unicode superscripts or subscripts, as a mark and a braced group.
    fn script(&mut self, mark: Tok, run: &str, at: usize, plain: fn(char) -> Option<char>) {
        self.spaced = false;
        let end = at + run.len();
        self.push(mark, at..at);
        self.push(Tok::BraceOpen, at..at);
        let mut digits: Option<Range<usize>> = None;
        let mut numeral = String::new();
        for (offset, c) in run.char_indices() {
            let Some(c_plain) = plain(c) else { continue };
            let range = at + offset..at + offset + c.len_utf8();
            if c_plain.is_ascii_digit() {
                numeral.push(c_plain);
                digits = Some(digits.map_or(range.start, |so_far| so_far.start)..range.end);
                continue;
            }
            if let Some(place) = digits.take() {
                self.push(Tok::Number(std::mem::take(&mut numeral)), place);
            }
            let kind = plain::character(c_plain).unwrap_or_else(|| Tok::Unknown(c.to_string()));
            self.push(kind, range);
        }
        if let Some(place) = digits {
            self.push(Tok::Number(numeral), place);
        }
        self.push(Tok::BraceClose, end..end);
    }
}

/// The sign that says the opposite.
pub(super) fn negated(kind: &Tok) -> Option<Tok> {
    Some(match kind {
        Tok::Sign(Sign::Relation(relation)) => Tok::Sign(Sign::Relation(relation.negated())),
        Tok::Sign(Sign::In) => Tok::Sign(Sign::NotIn),
        Tok::SuchThat => Tok::Sign(Sign::NotIn),
        Tok::Quantifier(Quantifier::Exists) => {
            Tok::Unreadable("a crossed-out quantifier is not read")
        }
        Tok::Connective(Connective::Implies | Connective::Equivalent) => {
            Tok::Unreadable("a crossed-out arrow is not read")
        }
        // ↛, ⊄ and their kin deny what goals cannot say; the rest of the chain stays readable.
        Tok::Sign(_) => Tok::Sign(Sign::About),
        _ => return None,
    })
}
