//! Running text cut into tokens, as far as telling mathematics from words needs.

use crate::reader::commands::{
    is_function_word, is_known_math_command, is_symbol_word, is_text_in_math,
};
use crate::reader::tex::command_at;
use crate::reader::words::{has_vowel, is_prose_word, may_be_product};

/// What a token is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Kind {
    /// Prose; nothing mathematical reaches across it.
    Word,
    /// A single letter, with what is attached to it: digits, primes, indices, powers.
    Letter,
    /// A short run of letters that is no word: `nx`.
    Product,
    Number,
    /// `sin`, `max` …
    Function,
    /// A relation or an arrow.
    Relation,
    /// `+ * / -` and other signs that text uses too.
    Operator,
    /// A sign that only mathematics uses: `√ ∞ ∀ ∪`, `\frac`.
    Sign,
    Open,
    Close,
    Bar,
    Comma,
    Dots,
    /// `:` with something else than an equality sign behind it.
    Colon,
    Factorial,
    Space,
    /// Punctuation and everything else that ends a formula.
    Break,
}

/// A token of running text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Token {
    pub(crate) kind: Kind,
    pub(crate) start: usize,
    pub(crate) end: usize,
    /// It is mathematics whatever stands beside it: a Greek letter, an index, a power.
    pub(crate) strong: bool,
}

impl Token {
    pub(crate) fn text(self, source: &str) -> &str {
        &source[self.start..self.end]
    }

    /// Something that stands for a value.
    pub(crate) fn is_operand(self) -> bool {
        matches!(
            self.kind,
            Kind::Letter | Kind::Product | Kind::Number | Kind::Function | Kind::Sign
        )
    }

    pub(crate) fn is_space(self) -> bool {
        self.kind == Kind::Space
    }
}

/// Cuts `text` into tokens without gaps.
pub(crate) fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let (kind, length, strong) = next_token(text, at);
        let mut token = Token {
            kind,
            start: at,
            end: at + length.max(1),
            strong,
        };
        if matches!(
            kind,
            Kind::Letter | Kind::Function | Kind::Close | Kind::Bar | Kind::Number | Kind::Sign
        ) {
            let end = scripts_end(text, token.end, kind);
            token.strong |= token.end < end && kind != Kind::Close;
            token.end = end;
        }
        at = token.end;
        match tokens.last_mut() {
            Some(last) if last.kind == kind && matches!(kind, Kind::Space | Kind::Word) => {
                last.end = token.end;
            }
            _ => tokens.push(token),
        }
    }
    join_decimal_commas(&mut tokens);
    tokens
}

/// `= 4,4` without a space and no list: whoever reads the formula sees both digits and asks
/// whether the comma is decimal.
fn join_decimal_commas(tokens: &mut Vec<Token>) {
    let mut at = 1;
    while at + 2 < tokens.len() {
        let kinds = [tokens[at].kind, tokens[at + 1].kind, tokens[at + 2].kind];
        let related = tokens[..at]
            .iter()
            .rev()
            .find(|token| !token.is_space())
            .is_some_and(|token| token.kind == Kind::Relation);
        let goes_on = tokens
            .get(at + 3)
            .is_some_and(|token| token.kind == Kind::Comma);
        if related && !goes_on && kinds == [Kind::Number, Kind::Comma, Kind::Number] {
            tokens[at].end = tokens[at + 2].end;
            tokens.drain(at + 1..at + 3);
        }
        at += 1;
    }
}

fn next_token(text: &str, at: usize) -> (Kind, usize, bool) {
    let rest = &text[at..];
    let character = rest.chars().next().unwrap_or(' ');
    let length = character.len_utf8();
    if character.is_whitespace() {
        return (Kind::Space, length, false);
    }
    if character.is_ascii_digit() {
        return number(rest);
    }
    if is_vulgar_fraction(character) {
        return (Kind::Number, length, true);
    }
    if let Some((kind, length)) = sign_pair(rest) {
        return (kind, length, false);
    }
    if is_math_letter(character) {
        return letters_or_greek(rest);
    }
    if is_letter(character) {
        return letters(text, at);
    }
    if character == '\\' {
        return command(text, at);
    }
    let kind = match character {
        '<' | '>' | '=' | '≤' | '≥' | '≠' | '≈' | '≡' | '≪' | '≫' | '⩽' | '⩾' | '∼' | '∝' | '∈'
        | '∉' | '∋' | '⊂' | '⊆' | '⊄' | '⊃' | '⊇' | '→' | '←' | '↔' | '⇒' | '⇐' | '⇔' | '⟶'
        | '⟹' | '⟺' | '↦' | '≔' | '≦' | '≧' | '↗' | '↘' | '↓' | '↑' | '⇉' | '≍' | '⟸' | '⟵' => {
            Kind::Relation
        }
        '+' | '*' | '/' | '-' | '–' | '·' | '^' | '_' | '~' => Kind::Operator,
        '−' | '×' | '÷' | '∙' | '⋅' | '∗' | '∘' | '±' | '∓' | '√' | '∛' | '∑' | '∏' | '∫' | '∞'
        | '∀' | '∃' | '∄' | '∪' | '∩' | '∖' | '∂' | '∇' | '∅' | '¬' | '∧' | '∨' | '⋃' | '⋂'
        | '′' | '″' | 'ⁿ' | '∣' | '∆' => Kind::Sign,
        '(' | '[' | '{' | '⌈' | '⌊' | '⟨' => Kind::Open,
        ')' | ']' | '}' | '⌉' | '⌋' | '⟩' => Kind::Close,
        '|' | '‖' => Kind::Bar,
        ',' => Kind::Comma,
        '…' | '⋯' => Kind::Dots,
        ':' => Kind::Colon,
        '!' => Kind::Factorial,
        _ if is_script(character) || is_other_operator(character) => Kind::Sign,
        _ => Kind::Break,
    };
    (kind, length, kind == Kind::Sign)
}

/// `½`, `¾`: fractions of one sign.
fn is_vulgar_fraction(character: char) -> bool {
    matches!(character, '¼'..='¾' | '\u{2150}'..='\u{215E}')
}

/// Signs of Unicode's mathematical blocks that are not named above, marks of a proof's end aside:
/// they belong to a formula, which then says that it does not know them.
fn is_other_operator(character: char) -> bool {
    matches!(character, '\u{2200}'..='\u{22FF}' | '\u{2A00}'..='\u{2AFF}') && character != '∎'
}

/// Relations and dots written with several characters.
fn sign_pair(rest: &str) -> Option<(Kind, usize)> {
    const RELATIONS: [&str; 17] = [
        "<=>", "<->", "-->", "==>", "<==", "<--", ":=", "=:", "<=", ">=", "!=", "->", "=>", "=<",
        "==", "<<", ">>",
    ];
    if rest.starts_with("...") {
        return Some((Kind::Dots, 3));
    }
    if rest.starts_with("--") && !rest.starts_with("-->") {
        return Some((Kind::Break, 2));
    }
    RELATIONS
        .iter()
        .find(|relation| rest.starts_with(**relation))
        .map(|relation| (Kind::Relation, relation.len()))
}

/// Digits with decimal marks and thousands; behind them a hyphen and a word make a word of it all
/// (`1-Lipschitz`), and letters that are a word an ordinal (`1st`).
fn number(rest: &str) -> (Kind, usize, bool) {
    let bytes = rest.as_bytes();
    let mut end = 0;
    while end < bytes.len() {
        let decimal = bytes[end] == b'.' && bytes.get(end + 1).is_some_and(u8::is_ascii_digit);
        if !(bytes[end].is_ascii_digit() || decimal) {
            break;
        }
        end += 1;
    }
    let hyphen = rest[end..].starts_with('-');
    let word = &rest[end + usize::from(hyphen)..];
    let length = word.find(|c: char| !is_letter(c)).unwrap_or(word.len());
    let ordinal = matches!(&word[..length], "st" | "nd" | "rd" | "th");
    if ordinal || is_prose_word(&word[..length]) && 2 < length && !may_be_product(&word[..length]) {
        return (Kind::Word, end + usize::from(hyphen) + length, false);
    }
    (Kind::Number, end, false)
}

/// A Greek or double-struck letter; a run of three or more is a Greek word.
fn letters_or_greek(rest: &str) -> (Kind, usize, bool) {
    let run = rest.find(|c: char| !is_letter(c)).unwrap_or(rest.len());
    if 3 <= rest[..run].chars().count()
        && rest[..run]
            .chars()
            .all(|c| ('\u{370}'..'\u{400}').contains(&c))
    {
        return (Kind::Word, run, false);
    }
    let length = rest.chars().next().map_or(1, char::len_utf8);
    let hyphenated = hyphenated_length(rest, length);
    if length < hyphenated {
        return (Kind::Word, hyphenated, false);
    }
    (Kind::Letter, length, true)
}

fn letters(text: &str, at: usize) -> (Kind, usize, bool) {
    let rest = &text[at..];
    // A mathematical letter does not belong to the word before it.
    let run = rest
        .find(|c: char| !is_letter(c) || is_math_letter(c))
        .unwrap_or(rest.len());
    let word = &rest[..run];
    if matches!(word, "http" | "https" | "www" | "mailto") {
        let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
        return (Kind::Word, length, false);
    }
    let whole = abbreviation_length(rest)
        .max(hyphenated_length(rest, run))
        .max(snake_length(rest, run));
    if run < whole {
        return (Kind::Word, whole, false);
    }
    if word.chars().count() == 1 {
        let digits = rest[run..]
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(rest.len() - run);
        return (Kind::Letter, run + digits, false);
    }
    if is_function_word(word) {
        return (Kind::Function, run, false);
    }
    if is_symbol_word(word) {
        return (Kind::Letter, run, false);
    }
    if may_be_product(word) && touches_mathematics(text, at, run, word) {
        return (Kind::Product, run, false);
    }
    (Kind::Word, run, false)
}

/// `e.g.`, `w.r.t.`, `Q.E.D.`
fn abbreviation_length(rest: &str) -> usize {
    let mut length = 0;
    let mut letters = 0;
    let mut characters = rest.chars().peekable();
    while let Some(letter) = characters.next().filter(|&c| is_letter(c)) {
        if characters.peek() != Some(&'.') {
            return if 0 < letters && !characters.peek().is_some_and(|&c| is_letter(c)) {
                length + letter.len_utf8()
            } else if letters < 2 {
                0
            } else {
                length
            };
        }
        characters.next();
        letters += 1;
        length += letter.len_utf8() + 1;
    }
    if letters < 2 { 0 } else { length }
}

/// The length of a hyphenated or apostrophised word: `non-zero`, `x-axis`, `N's`, `don't`; of a
/// run without such parts its own length.
fn hyphenated_length(rest: &str, run: usize) -> usize {
    let mut length = run;
    loop {
        let tail = &rest[length..];
        let Some(joint) = tail
            .chars()
            .next()
            .filter(|c| matches!(c, '-' | '\'' | '’' | '‑'))
        else {
            return length;
        };
        let part = &tail[joint.len_utf8()..];
        let letters = part.find(|c: char| !is_letter(c)).unwrap_or(part.len());
        let word = &part[..letters];
        let apostrophe = joint != '-' && joint != '‑';
        let joins = 0 < letters
            && (apostrophe
                || is_prose_word(word)
                || is_prose_word(&rest[..run]) && !may_be_product(&rest[..run]));
        if !joins {
            return length;
        }
        length += joint.len_utf8() + letters;
    }
}

/// `file_name` and `a_file_name` are words; `x_n`, `x_max` and `sup_x` are not.
fn snake_length(rest: &str, run: usize) -> usize {
    if !rest[run..].starts_with('_') {
        return run;
    }
    let second = &rest[run + 1..];
    let length = second.find(|c: char| !is_letter(c)).unwrap_or(second.len());
    let goes_on = is_prose_word(&second[..length]) && second[length..].starts_with('_');
    if !is_prose_word(&rest[..run]) && !goes_on {
        return run;
    }
    rest.find(|c: char| !(c.is_alphanumeric() || c == '_'))
        .unwrap_or(rest.len())
}

/// Whether letters that are no word stand beside something that makes a product of them.
fn touches_mathematics(text: &str, at: usize, run: usize, word: &str) -> bool {
    let before = text[..at].chars().next_back();
    let after = text[at + run..].chars().next();
    let attached =
        |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit() || "+-−*/·^_([|√<>=≤≥)".contains(c));
    // `ny`, `xy`: a letter beside y is a product, whatever words end in y.
    let lower = word.to_ascii_lowercase();
    let beside_y = lower.strip_suffix('y').filter(|rest| rest.len() == 1);
    let product = !has_vowel(beside_y.unwrap_or(&lower));
    // `1/(na)`: brackets behind an operator hold no words.
    let head = text[..at].strip_suffix('(').unwrap_or_default();
    let operated = head.ends_with(['/', '*', '·', '^', '√', '−', '+']);
    if operated && after.is_some_and(|c| c == ')' || "+−*/·^_".contains(c)) {
        return true;
    }
    if attached(before) && (product || before != Some('('))
        || after.is_some_and(|c| "+−*/·^_<>=≤≥".contains(c) || product && c == '(')
    {
        return true;
    }
    let relation = |c: Option<char>| c.is_some_and(|c| "<>=≤≥+−→⟶∈≠≈".contains(c));
    let behind = text[at + run..].trim_start();
    product
        && (relation(text[..at].trim_end().chars().next_back())
            || relation(behind.chars().next())
            || behind.starts_with("->"))
}

/// A command that mathematics knows, with its arguments.
fn command(text: &str, at: usize) -> (Kind, usize, bool) {
    let Some((name, mut end)) = command_at(text, at) else {
        return (Kind::Break, 1, false);
    };
    let letters = name.starts_with(|c: char| c.is_ascii_alphabetic());
    if !letters || !is_known_math_command(name) {
        let kind = if letters { Kind::Word } else { Kind::Break };
        return (kind, end - at, false);
    }
    if is_text_in_math(name) || matches!(name, "begin" | "end" | "label" | "square" | "blacksquare")
    {
        let end = balanced(text, end).unwrap_or(end);
        return (Kind::Word, end - at, false);
    }
    while let Some(group) = balanced(text, end) {
        end = group;
    }
    let relation = matches!(
        name,
        "le" | "leq"
            | "ge"
            | "geq"
            | "lt"
            | "gt"
            | "ne"
            | "neq"
            | "in"
            | "notin"
            | "to"
            | "rightarrow"
            | "approx"
            | "sim"
            | "subset"
            | "subseteq"
            | "implies"
            | "iff"
            | "Rightarrow"
            | "Leftrightarrow"
            | "leqslant"
            | "geqslant"
            | "equiv"
            | "mapsto"
    );
    let kind = if relation {
        Kind::Relation
    } else if matches!(name, "left" | "right" | "big" | "Big" | "quad" | "qquad") {
        Kind::Space
    } else {
        Kind::Sign
    };
    (kind, end - at, true)
}

/// One past a balanced `{…}` or `(…)` that opens at `at`, on one line and not long.
fn balanced(text: &str, at: usize) -> Option<usize> {
    const LONGEST: usize = 256;
    let bytes = text.as_bytes();
    let (open, close) = match bytes.get(at)? {
        b'{' => (b'{', b'}'),
        b'(' => (b'(', b')'),
        _ => return None,
    };
    if open == b'(' && !text[..at].ends_with(['^', '_']) {
        return None;
    }
    let mut depth = 0;
    for (offset, &byte) in bytes[at..].iter().take(LONGEST).enumerate() {
        if byte == open {
            depth += 1;
        } else if byte == close {
            depth -= 1;
            if depth == 0 {
                return Some(at + offset + 1);
            }
        } else if byte == b'\n' {
            return None;
        }
    }
    None
}

/// One past the indices, powers and primes that are attached at `at`.
fn scripts_end(text: &str, start: usize, kind: Kind) -> usize {
    let mut at = start;
    loop {
        let rest = &text[at..];
        let Some(character) = rest.chars().next() else {
            return at;
        };
        at += match character {
            _ if is_script(character) => character.len_utf8(),
            '′' | '″' => character.len_utf8(),
            '\'' if matches!(kind, Kind::Letter | Kind::Close)
                && (at == start || derives(&rest[1..])) =>
            {
                1
            }
            '_' | '^' => match script_argument(text, at + 1) {
                Some(end) => end - at,
                None => return at,
            },
            _ => return at,
        };
    }
}

/// Whether an apostrophe behind an index is a derivative's: `f_n'(x)`, `f_n' = …`.
fn derives(behind: &str) -> bool {
    behind.starts_with('(')
        || behind
            .trim_start_matches([' ', '\''])
            .starts_with(['=', '<', '>', '≤', '≥', '≠', '→'])
}

fn script_argument(text: &str, at: usize) -> Option<usize> {
    if let Some(end) = balanced(text, at) {
        return Some(end);
    }
    let rest = &text[at..];
    let sign = usize::from(rest.starts_with(['-', '+']));
    let sign = if rest.starts_with('−') {
        '−'.len_utf8()
    } else {
        sign
    };
    let argument = &rest[sign..];
    let first = argument.chars().next()?;
    let length = match first {
        '\\' => command_at(argument, 0)?.1,
        _ if first.is_ascii_digit() => argument
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(argument.len()),
        '∞' | '*' => first.len_utf8(),
        _ if is_letter(first) => {
            let word = argument
                .find(|c: char| !is_letter(c))
                .unwrap_or(argument.len());
            let name = &argument[..word];
            let whole = is_function_word(name) || is_symbol_word(name) || is_prose_word(name);
            if whole { word } else { first.len_utf8() }
        }
        _ => return None,
    };
    Some(at + sign + length)
}

/// Unicode's subscripts and superscripts.
pub(crate) fn is_script(character: char) -> bool {
    matches!(character, '²' | '³' | '¹' | '\u{2070}'..='\u{209C}' | '\u{1D62}'..='\u{1D6A}' | '\u{2C7C}' | 'ᵏ' | 'ᵐ' | 'ᵖ' | 'ᵃ' | 'ᵇ' | 'ˣ' | 'ʸ' | 'ᵗ' | 'ʲ' | 'ʰ' | 'ʳ' | 'ˢ' | 'ᵈ' | 'ᵉ' | 'ᶜ' | 'ᶠ' | 'ᵍ' | 'ˡ' | 'ᵒ' | 'ᵘ' | 'ᵛ' | 'ʷ' | 'ᶻ' | 'ᴺ' | 'ᴹ' | 'ᴿ' | 'ᵀ')
}

/// Letters that running text in Latin script never uses: Greek, double-struck, script and
/// mathematical alphabets.
fn is_math_letter(character: char) -> bool {
    matches!(character,
        'Α'..='Ω' | 'α'..='ω' | 'ϵ' | 'ϑ' | 'ϕ' | 'ϱ' | 'ϖ'
        | 'ℝ' | 'ℕ' | 'ℤ' | 'ℚ' | 'ℂ' | 'ℓ' | 'ℱ' | 'ℒ' | 'ℋ'
        | '\u{1D400}'..='\u{1D7FF}')
}

/// A letter on the line: Unicode counts subscripts and superscripts as letters too.
fn is_letter(character: char) -> bool {
    character.is_alphabetic() && !is_script(character)
}
