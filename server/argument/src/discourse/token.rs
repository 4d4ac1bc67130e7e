//! A block as one sequence of words, marks and statements: prose and formulas alike.
//!
//! Quantifiers and connectives in symbols become the words they stand for, so that one grammar
//! reads `∀n ≥ N: A`, "for all $n ≥ N$ we have $A$" and `A \text{ for all } n ≥ N`.

mod unfold;

use super::proximity::said_distances;
use super::shape;
use crate::notation::syntax::{
    Connective, Formula, Quantifier, Segment, Separator, Statement, StatementKind, Term, TermKind,
};
use source::{Block, Delimiter, Mapped, Piece, Span, Style};
use std::ops::Range;

/// A token with its place in the draft.
#[derive(Clone, Debug)]
pub(super) struct Token {
    /// What it is.
    pub(super) kind: TokenKind,
    /// Where it stands.
    pub(super) span: Span,
    /// The style of the words around it.
    pub(super) style: Style,
    /// The formula inside which it stands.
    pub(super) inner: Option<usize>,
}

/// The kinds of token.
#[derive(Clone, Debug)]
pub(super) enum TokenKind {
    /// A word in lower case (numerals of the prose too); abbreviations without their points.
    Word {
        /// The word.
        text: String,
        /// Written with a capital.
        capital: bool,
    },
    /// Punctuation and borders.
    Mark(Mark),
    /// A statement of a formula.
    Statement(Box<StatementToken>),
    /// ⇒, ⇐, ⇔ between statements.
    Arrow(Connective),
}

/// Punctuation and borders between tokens.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mark {
    /// `.` of the prose
    Period,
    /// `.` at the end of or inside a formula
    InnerPeriod,
    /// `?`
    Question,
    /// `!`
    Exclamation,
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// `:`
    Colon,
    /// `(` or `[` of the prose
    Open,
    /// `)` or `]` of the prose
    Close,
    /// a dash of the prose
    Dash,
    /// a wide gap inside a formula
    Gap,
    /// a new row of a formula
    Row,
    /// the end of a display
    DisplayEnd,
    /// the border between two blocks of one sentence
    Border,
    /// the end of a proof: ∎, □
    Tombstone,
}

/// A statement with the formula that it belongs to.
#[derive(Clone, Debug)]
pub(super) struct StatementToken {
    /// Position of its formula among the draft's formulas.
    pub(super) formula: usize,
    /// The statement.
    pub(super) statement: Statement,
    /// First of its formula, or of a row in it.
    pub(super) opens_row: bool,
    /// In a display.
    pub(super) display: bool,
    /// Nothing but brackets stands around it in its formula or cell: `$(n \ge 2)$`.
    pub(super) bracketed: bool,
}

/// A formula of the draft with what parsing gave.
#[derive(Clone, Debug)]
pub(super) struct DraftFormula {
    /// Its text with the map into the draft.
    pub(super) content: Mapped,
    /// What parsing gave.
    pub(super) parsed: Formula,
    /// Where it stands, delimiters included.
    pub(super) span: Span,
    /// Macros that are defined nowhere.
    pub(super) unknown_macros: Vec<String>,
    /// Crossed out.
    pub(super) struck: bool,
}

impl DraftFormula {
    /// Where a part of the formula stands in the draft; inside the formula's own span.
    pub(super) fn place(&self, range: &Range<usize>) -> Span {
        let span = self.content.span(range.clone());
        if span.is_empty() || !self.span.contains(span) {
            self.span
        } else {
            span
        }
    }

    /// Whether brackets stand directly around a part of the formula.
    fn is_bracketed(&self, range: &Range<usize>) -> bool {
        let text = self.content.text();
        let (Some(before), Some(within), Some(behind)) = (
            text.get(..range.start),
            text.get(range.clone()),
            text.get(range.end..),
        ) else {
            return false;
        };
        let wrapped = |within: &str| within.starts_with('(') && within.ends_with(')');
        wrapped(within.trim())
            || before.trim_end().ends_with(['(', '['])
                && behind
                    .trim_start()
                    .trim_start_matches("\\right")
                    .starts_with([')', ']'])
    }
}

impl Token {
    /// A word that the writer left out, right before this token.
    pub(super) fn behind_word(&self, word: &str) -> Token {
        Token {
            kind: TokenKind::Word {
                text: word.to_owned(),
                capital: true,
            },
            span: Span::new(self.span.start, self.span.start),
            style: self.style,
            inner: None,
        }
    }

    /// The word, if it is one.
    pub(super) fn word(&self) -> Option<&str> {
        match &self.kind {
            TokenKind::Word { text, .. } => Some(text),
            _ => None,
        }
    }

    /// Whether it is that mark.
    pub(super) fn is(&self, mark: Mark) -> bool {
        matches!(self.kind, TokenKind::Mark(found) if found == mark)
    }

    /// The statement, if it is one.
    pub(super) fn statement(&self) -> Option<&StatementToken> {
        match &self.kind {
            TokenKind::Statement(token) => Some(token),
            _ => None,
        }
    }

    fn capital(&self) -> bool {
        matches!(self.kind, TokenKind::Word { capital: true, .. })
    }

    /// Whether a sentence may begin here although the one before has no full stop.
    pub(super) fn opens_sentence(&self) -> bool {
        self.capital()
            && !matches!(
                self.word(),
                Some(
                    "i" | "wts" | "bernoulli" | "archimedes" | "cauchy" | "weierstrass" | "taylor"
                )
            )
    }
}

/// The tokens of a block; its formulas are appended to `formulas`.
pub(super) fn tokens(
    block: &Block,
    parse: &dyn Fn(&str) -> Formula,
    formulas: &mut Vec<DraftFormula>,
) -> Vec<Token> {
    let mut tokens = Vec::new();
    for piece in &block.pieces {
        match piece {
            Piece::Prose(prose) => {
                prose_tokens(
                    prose.content.text(),
                    &prose.content,
                    prose.style,
                    &mut tokens,
                );
            }
            Piece::Math(math) => {
                let formula = DraftFormula {
                    content: math.content.clone(),
                    parsed: parse(math.content.text()),
                    span: math.span,
                    unknown_macros: math
                        .unknown_macros
                        .iter()
                        .map(|(name, _)| name.clone())
                        .collect(),
                    struck: math.struck,
                };
                let display = !matches!(math.delimiter, Delimiter::Inline | Delimiter::Bare);
                let mut flat = Flattening {
                    position: formulas.len(),
                    formula: &formula,
                    display,
                    opens_row: true,
                    tokens: &mut tokens,
                };
                flat.formula(&formula.parsed);
                if display {
                    let end = Span::new(math.span.end, math.span.end);
                    push(
                        &mut tokens,
                        TokenKind::Mark(Mark::DisplayEnd),
                        end,
                        Style::default(),
                    );
                }
                formulas.push(formula);
            }
        }
    }
    numerals(&mut tokens, formulas);
    said_distances(&mut tokens, formulas);
    tokens
}

/// "tends to 0", "at most 3", "to the zero function": numerals of the prose that stand for a
/// side of a relation become terms.
fn numerals(tokens: &mut [Token], formulas: &mut Vec<DraftFormula>) {
    for at in 1..tokens.len() {
        let Some(word) = tokens[at].word() else {
            continue;
        };
        let digits = match word {
            "zero" => "0",
            "one" if tokens[at - 1].word() == Some("to") => "1",
            other if other.chars().all(|digit| digit.is_ascii_digit()) && other.len() <= 6 => other,
            _ => continue,
        };
        let opener = tokens[..at]
            .iter()
            .rev()
            .find_map(|before| match before.word() {
                Some(
                    "the" | "constant" | "function" | "limit" | "value" | "number" | "identically",
                ) => None,
                other => Some(other),
            });
        if !matches!(
            opener,
            Some(Some(
                "to" | "than" | "most" | "least" | "equals" | "exceeds" | "by"
            ))
        ) {
            continue;
        }
        let content = {
            let mut mapped = Mapped::new();
            mapped.push_replacement(digits, tokens[at].span);
            mapped
        };
        let statement = Statement {
            kind: StatementKind::Term(Term {
                kind: TermKind::Number(digits.to_owned()),
                range: 0..digits.len(),
            }),
            range: 0..digits.len(),
        };
        let span = tokens[at].span;
        tokens[at].kind = TokenKind::Statement(Box::new(StatementToken {
            formula: formulas.len(),
            statement: statement.clone(),
            opens_row: false,
            display: false,
            bracketed: false,
        }));
        formulas.push(DraftFormula {
            content,
            parsed: Formula {
                segments: vec![Segment::Statement(statement)],
            },
            span,
            unknown_macros: Vec::new(),
            struck: tokens[at].style.struck,
        });
    }
}

fn push(tokens: &mut Vec<Token>, kind: TokenKind, span: Span, style: Style) {
    tokens.push(Token {
        kind,
        span,
        style,
        inner: None,
    });
}

struct Flattening<'a> {
    position: usize,
    formula: &'a DraftFormula,
    display: bool,
    opens_row: bool,
    tokens: &'a mut Vec<Token>,
}

impl Flattening<'_> {
    fn style(&self) -> Style {
        Style {
            struck: self.formula.struck,
            ..Style::default()
        }
    }

    fn push(&mut self, kind: TokenKind, range: &Range<usize>) {
        let style = self.style();
        push(self.tokens, kind, self.formula.place(range), style);
        self.mark_inner(1);
    }

    fn mark_inner(&mut self, count: usize) {
        let from = self.tokens.len().saturating_sub(count);
        for token in &mut self.tokens[from..] {
            token.inner = Some(self.position);
        }
    }

    fn words(&mut self, words: &str, range: &Range<usize>) {
        let span = self.formula.place(range);
        let mut mapped = Mapped::new();
        mapped.push_replacement(words, span);
        let style = self.style();
        let before = self.tokens.len();
        prose_tokens(words, &mapped, style, self.tokens);
        self.mark_inner(self.tokens.len() - before);
    }

    fn formula(&mut self, formula: &Formula) {
        for segment in &formula.segments {
            match segment {
                Segment::Statement(statement) => self.statement(statement),
                Segment::Words { text, range } => self.words(text, range),
                Segment::Separator { kind, range } => {
                    let mark = match kind {
                        Separator::Comma => Mark::Comma,
                        Separator::Semicolon => Mark::Semicolon,
                        Separator::Colon => Mark::Colon,
                        Separator::Period => Mark::InnerPeriod,
                        Separator::Gap => Mark::Gap,
                        Separator::Row => Mark::Row,
                    };
                    self.push(TokenKind::Mark(mark), range);
                    self.opens_row = mark == Mark::Row;
                }
            }
        }
    }

    fn statement(&mut self, statement: &Statement) {
        match &statement.kind {
            StatementKind::Quantified {
                quantifier,
                bound,
                body,
            } => self.quantified(statement, *quantifier, bound, body.as_deref()),
            StatementKind::Connected {
                left,
                connective,
                connective_range,
                right,
            } => {
                if let Some(left) = left {
                    self.statement(left);
                }
                match connective {
                    Connective::And => self.words("and", connective_range),
                    Connective::Or => self.words("or", connective_range),
                    Connective::Therefore => self.words("therefore", connective_range),
                    Connective::Because => self.words("because", connective_range),
                    Connective::Implies | Connective::ImpliedBy | Connective::Equivalent => {
                        self.push(TokenKind::Arrow(*connective), connective_range);
                    }
                }
                if let Some(right) = right {
                    self.statement(right);
                }
            }
            _ => {
                if let Some((inside, naming)) = unfold::with_set_named(statement) {
                    self.statement(&inside);
                    self.statement(&naming);
                    return;
                }
                let token = StatementToken {
                    formula: self.position,
                    statement: unfold::without_dependence(statement),
                    opens_row: std::mem::take(&mut self.opens_row),
                    display: self.display,
                    bracketed: self.formula.is_bracketed(&statement.range),
                };
                self.push(TokenKind::Statement(Box::new(token)), &statement.range);
            }
        }
    }

    fn quantified(
        &mut self,
        statement: &Statement,
        quantifier: Quantifier,
        bound: &[Statement],
        body: Option<&Statement>,
    ) {
        let start = statement.range.start;
        let sign = start
            ..bound
                .first()
                .map_or(statement.range.end, |first| first.range.start);
        self.words(
            match quantifier {
                Quantifier::ForAll => "for all",
                Quantifier::Exists => "there exists",
            },
            &sign,
        );
        for (position, part) in bound.iter().enumerate() {
            if position > 0 {
                self.words("and", &part.range);
            }
            self.statement(part);
        }
        if let Some(body) = body {
            let border = body.range.start..body.range.start;
            match quantifier {
                Quantifier::ForAll => {
                    if !matches!(body.kind, StatementKind::Quantified { .. }) {
                        self.push(TokenKind::Mark(Mark::Colon), &border);
                    }
                }
                Quantifier::Exists => self.words("such that", &border),
            }
            self.statement(body);
        }
    }
}

/// Shorthands of quick notes, with a stroke.
const SHORTHANDS: [(&str, &str); 3] = [("w/o", "without"), ("w/", "with"), ("b/c", "because")];

/// Abbreviations that end in a full stop, without their points.
const ABBREVIATIONS: [&str; 46] = [
    "nec", "ptw", "fct", "mon", "ie", "eg", "st", "wrt", "wlog", "resp", "cf", "unif", "ptwise",
    "pt", "suff", "approx", "thm", "eq", "fig", "min", "max", "conv", "denom", "num", "numer",
    "cand", "dep", "def", "defn", "ineq", "lem", "prop", "cor", "ex", "incr", "decr", "diff",
    "cont", "bdd", "seq", "fn", "abs", "const", "pos", "neg", "vs",
];

/// What short forms of words stand for, with a full stop or without.
const SHORT_FORMS: [(&str, &str); 11] = [
    ("fa", "for all"),
    ("suff", "sufficient"),
    ("nec", "necessary"),
    ("ptw", "pointwise"),
    ("ptwise", "pointwise"),
    ("incr", "increasing"),
    ("decr", "decreasing"),
    ("bdd", "bounded"),
    ("seq", "sequence"),
    ("fct", "function"),
    ("mon", "monotone"),
];

fn prose_tokens(text: &str, mapped: &Mapped, style: Style, tokens: &mut Vec<Token>) {
    let mut rest = text.char_indices().peekable();
    while let Some((start, character)) = rest.next() {
        if character.is_alphanumeric() {
            let end = word_end(text, start);
            let (word, end) = abbreviation(text, start, end);
            while rest.peek().is_some_and(|(at, _)| *at < end) {
                rest.next();
            }
            let capital = character.is_uppercase();
            let full = SHORT_FORMS.iter().find(|(short, _)| *short == word);
            let words = full.map_or(word.as_str(), |(_, full)| full);
            for word in words.split(' ') {
                let text = word.to_owned();
                let kind = TokenKind::Word { text, capital };
                push(tokens, kind, mapped.span(start..end), style);
            }
            continue;
        }
        let span = mapped.span(start..start + character.len_utf8());
        if let Some(kind) = mark_of(character) {
            push(tokens, kind, span, style);
        }
    }
}

fn mark_of(character: char) -> Option<TokenKind> {
    Some(TokenKind::Mark(match character {
        '.' => Mark::Period,
        '?' => Mark::Question,
        '!' => Mark::Exclamation,
        ',' => Mark::Comma,
        ';' => Mark::Semicolon,
        ':' => Mark::Colon,
        '(' | '[' => Mark::Open,
        ')' | ']' => Mark::Close,
        '–' | '—' => Mark::Dash,
        '∎' | '□' | '■' | '▪' | '◻' | '☐' | '⬜' => Mark::Tombstone,
        '⇒' | '⟹' => return Some(TokenKind::Arrow(Connective::Implies)),
        '⇐' | '⟸' => return Some(TokenKind::Arrow(Connective::ImpliedBy)),
        '⇔' | '⟺' => return Some(TokenKind::Arrow(Connective::Equivalent)),
        _ => return None,
    }))
}

/// The end of the word that begins at `start`: letters and digits, with inner apostrophes,
/// hyphens, and points between digits.
fn word_end(text: &str, start: usize) -> usize {
    let mut end = start;
    let mut characters = text[start..].char_indices().peekable();
    while let Some((offset, character)) = characters.next() {
        let next = characters.peek().map(|(_, next)| *next);
        let before_digit = end > start
            && text[start..end]
                .chars()
                .all(|c| c.is_ascii_digit() || c == '.');
        let inner = match character {
            '\'' | '’' | '-' => end > start && next.is_some_and(char::is_alphabetic),
            '.' => before_digit && next.is_some_and(|next| next.is_ascii_digit()),
            _ => character.is_alphanumeric(),
        };
        if !inner {
            break;
        }
        end = start + offset + character.len_utf8();
    }
    end
}

/// The word in lower case; `i.e.`, `s. t.` and the like as one word without points, which then
/// end no sentence.
fn abbreviation(text: &str, start: usize, end: usize) -> (String, usize) {
    let word = text[start..end].to_lowercase().replace('’', "'");
    let mut letters = String::new();
    let mut at = start;
    loop {
        let mut characters = text[at..].chars();
        match (characters.next(), characters.next()) {
            (Some(letter), Some('.')) if letter.is_alphabetic() => {
                letters.extend(letter.to_lowercase());
                at += letter.len_utf8() + 1;
                let after = text[at..].trim_start_matches([' ', '\u{a0}', '\u{2009}', '\u{202f}']);
                let skipped = text[at..].len() - after.len();
                if after.chars().next().is_some_and(char::is_alphabetic)
                    && after.chars().nth(1) == Some('.')
                    && skipped <= 3
                {
                    at += skipped;
                }
            }
            _ => break,
        }
    }
    if letters.chars().count() >= 2 {
        return (letters, at);
    }
    if ABBREVIATIONS.contains(&word.as_str()) && text[end..].starts_with('.') {
        let next = text[end + 1..].trim_start().chars().next();
        if next.is_none_or(|next| !next.is_uppercase()) {
            return (word, end + 1);
        }
    }
    for (short, long) in SHORTHANDS {
        if let Some(rest) = short.strip_prefix(word.as_str())
            && text[end..].starts_with(rest)
        {
            return (long.to_owned(), end + rest.len());
        }
    }
    (word, end)
}
/// What stands between the members of a list: "and", a comma.
pub(super) fn is_of_list(token: &Token) -> bool {
    token.word() == Some("and") || matches!(token.kind, TokenKind::Mark(Mark::Comma))
}
