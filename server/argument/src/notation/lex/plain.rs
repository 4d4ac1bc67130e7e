//! Plain-text and Unicode spellings: words, letters and signs without a backslash.

use super::{Tok, commands};
use crate::notation::syntax::{Connective, Quantifier, Sign};
use kernel::{Function, Relation};

/// Words that people write unmarked into formulas.
const WORDS: &[&str] = &[
    "for",
    "all",
    "any",
    "every",
    "each",
    "then",
    "when",
    "whenever",
    "where",
    "with",
    "and",
    "such",
    "that",
    "since",
    "because",
    "hence",
    "thus",
    "therefore",
    "let",
    "otherwise",
    "else",
    "some",
    "there",
    "exists",
    "exist",
    "not",
    "but",
    "have",
    "has",
    "the",
    "both",
    "even",
    "odd",
    "uniformly",
    "pointwise",
    "large",
    "fixed",
    "given",
    "from",
    "const",
    "choose",
    "take",
    "integer",
    "integers",
    "real",
    "enough",
    "sufficiently",
    "unless",
    "provided",
    "implies",
    "iff",
    "also",
    "are",
    "can",
    "def",
    "only",
    "over",
    "same",
    "still",
    "which",
    "undefined",
    "does",
    "via",
    "per",
    "while",
    "holds",
    "true",
    "false",
];

/// Two-letter words, taken as words only between white space (else they are products).
const SHORT_WORDS: &[&str] = &[
    "if", "or", "as", "is", "on", "so", "of", "at", "by", "we", "be", "it", "to", "If",
];

/// Reads a run of ASCII letters as one token: a function, a Greek letter's name, an operator, a
/// word of the trade. `alone` tells whether white space or nothing surrounds it.
pub(super) fn word(run: &str, alone: bool) -> Option<Tok> {
    if run.len() == 1 {
        return None;
    }
    if run == "sh" || run == "ch" || run == "th" || run == "ld" || run == "lb" {
        return None;
    }
    match run {
        "sqrt" => return Some(Tok::Root(2, false)),
        "cbrt" => return Some(Tok::Root(3, false)),
        "abs" => return Some(Tok::Around('|')),
        "floor" => return Some(Tok::Around('⌊')),
        "ceil" => return Some(Tok::Around('⌈')),
        "infty" | "infinity" | "Infinity" | "oo" => return Some(Tok::Infinity),
        "pi" => return Some(Tok::Pi),
        "exists" => return Some(Tok::Quantifier(Quantifier::Exists)),
        "forall" => return Some(Tok::Quantifier(Quantifier::ForAll)),
        "sum" => return Some(Tok::Series(false)),
        "prod" => return Some(Tok::Series(true)),
        "int" if !alone => return Some(Tok::Integral),
        "leq" | "geq" | "neq" => return commands::token(run),
        "in" if alone => return Some(Tok::Sign(Sign::In)),
        "notin" => return Some(Tok::Sign(Sign::NotIn)),
        "cdot" => return Some(Tok::Times),
        "ldots" | "dots" | "cdots" => return Some(Tok::Dots),
        "mapsto" => return Some(Tok::MapsTo),
        "cup" => return Some(Tok::SetOperation('∪')),
        "setminus" => return Some(Tok::SetOperation('∖')),
        _ => {}
    }
    if let Some(found) = commands::function(run).or_else(|| commands::operator(run)) {
        return Some(found);
    }
    let greek = matches!(run, "eps" | "mu" | "nu" | "xi") || run.len() >= 3 && run != "ell";
    if run != "ep"
        && greek
        && let Some(letter) = commands::letter(run).filter(|_| run != "epsi")
    {
        return Some(Tok::Letter(letter.to_owned()));
    }
    let lower = run.to_ascii_lowercase();
    if WORDS.contains(&lower.as_str()) || alone && SHORT_WORDS.contains(&run) {
        return Some(Tok::Words(run.to_owned()));
    }
    (run.len() >= 4 && !has_function_prefix(run)).then(|| Tok::Words(run.to_owned()))
}

/// Names of functions that may be glued to their argument (`sinx`, `lnn`), longest first.
const GLUED: &[&str] = &[
    "arctan", "arcsin", "arccos", "sqrt", "sinh", "cosh", "tanh", "sin", "cos", "tan", "exp",
    "log", "ln",
];

fn has_function_prefix(run: &str) -> bool {
    glued_function(run).is_some()
}

/// A function's name glued to at most two letters of its argument: the length of the name.
pub(super) fn glued_function(run: &str) -> Option<usize> {
    GLUED
        .iter()
        .find(|name| {
            run.starts_with(**name) && run.len() > name.len() && run.len() <= name.len() + 2
        })
        .map(|name| name.len())
}

/// Signs of several characters, longest first.
const SIGNS: &[(&str, Tok)] = &[
    ("<==>", Tok::Connective(Connective::Equivalent)),
    ("<=>", Tok::Connective(Connective::Equivalent)),
    ("<->", Tok::Connective(Connective::Equivalent)),
    ("==>", Tok::Connective(Connective::Implies)),
    ("-->", Tok::Sign(Sign::TendsTo)),
    ("|->", Tok::MapsTo),
    ("...", Tok::Dots),
    ("s.t.", Tok::SuchThat),
    ("=>", Tok::Connective(Connective::Implies)),
    ("->", Tok::Sign(Sign::TendsTo)),
    ("<=", Tok::Sign(Sign::Relation(Relation::LessEqual))),
    ("=<", Tok::Sign(Sign::Relation(Relation::LessEqual))),
    (">=", Tok::Sign(Sign::Relation(Relation::GreaterEqual))),
    ("!=", Tok::Sign(Sign::Relation(Relation::NotEqual))),
    ("/=", Tok::Sign(Sign::Relation(Relation::NotEqual))),
    (":=", Tok::Sign(Sign::Defines)),
    ("=:", Tok::Sign(Sign::Defines)),
    ("==", Tok::Sign(Sign::Relation(Relation::Equal))),
    ("+-", Tok::PlusMinus),
    ("**", Tok::Caret),
];

/// A sign of several characters at the start of `text`, with its length.
pub(super) fn long_sign(text: &str) -> Option<(Tok, usize)> {
    if let Some(behind) = text.strip_prefix('Σ')
        && behind.starts_with(|c: char| matches!(c, '_' | '^') || subscript(c).is_some())
    {
        // The letter that is typed for the sign: it has limits.
        return Some((Tok::Series(false), 'Σ'.len_utf8()));
    }
    let (spelling, token) = SIGNS
        .iter()
        .find(|(spelling, _)| text.starts_with(spelling))?;
    // `a!=b` may be a factorial: `n!=1`; but a product of a factorial is never compared that way
    // in plain text without spaces, while `!=` is common.
    Some((token.clone(), spelling.len()))
}

/// The signs of several characters with their tokens.
pub(in crate::notation) fn long_signs() -> &'static [(&'static str, Tok)] {
    SIGNS
}

/// The words that are read unmarked in formulas.
pub(in crate::notation) fn unmarked_words() -> impl Iterator<Item = &'static str> {
    WORDS.iter().chain(SHORT_WORDS).copied()
}

/// The token of one character.
pub(in crate::notation) fn character(c: char) -> Option<Tok> {
    ascii(c)
        .or_else(|| relation(c))
        .or_else(|| logic(c))
        .or_else(|| structure(c))
        .or_else(|| letter(c))
}

fn ascii(c: char) -> Option<Tok> {
    Some(match c {
        '+' | '＋' => Tok::Plus,
        '-' | '−' | '–' | '—' | '‐' | '‑' | '－' => Tok::Minus,
        '∘' | '◦' => Tok::Compose,
        '*' | '·' | '⋅' | '×' | '∗' | '•' | '∙' | '⨯' => Tok::Times,
        '/' | '÷' | '∕' | '⁄' => Tok::Slash,
        '^' => Tok::Caret,
        '_' => Tok::Under,
        '\'' | '′' | '’' => Tok::Prime(1),
        '″' => Tok::Prime(2),
        '‴' => Tok::Prime(3),
        '!' => Tok::Bang,
        '(' | '（' => Tok::Open('('),
        ')' | '）' => Tok::Close(')'),
        '[' => Tok::Open('['),
        ']' => Tok::Close(']'),
        '{' => Tok::BraceOpen,
        '}' => Tok::BraceClose,
        '|' | '∣' | '｜' => Tok::Bar,
        '‖' | '∥' => Tok::DoubleBar,
        ',' | '，' => Tok::Comma,
        ';' => Tok::Semicolon,
        ':' | '：' | '∶' => Tok::Colon,
        '.' | '。' => Tok::Period,
        '&' => Tok::Align,
        '%' => Tok::Percent,
        '±' | '∓' => Tok::PlusMinus,
        '…' | '⋯' => Tok::Dots,
        _ => return None,
    })
}

fn relation(c: char) -> Option<Tok> {
    Some(Tok::Sign(match c {
        '=' | '＝' | '≡' => Sign::Relation(Relation::Equal),
        '<' | '＜' | '≱' => Sign::Relation(Relation::Less),
        '>' | '＞' | '≰' => Sign::Relation(Relation::Greater),
        '≤' | '≦' | '⩽' | '≯' => Sign::Relation(Relation::LessEqual),
        '≥' | '≧' | '⩾' | '≮' => Sign::Relation(Relation::GreaterEqual),
        '≠' => Sign::Relation(Relation::NotEqual),
        '≔' | '≕' | '≝' | '≜' => Sign::Defines,
        '→' | '⟶' => Sign::TendsTo,
        '↘' | '↓' => Sign::TendsDownTo,
        '↗' | '↑' => Sign::TendsUpTo,
        '⇉' | '↠' => Sign::TendsUniformlyTo,
        '∈' | '∊' => Sign::In,
        '∉' => Sign::NotIn,
        '⊂' | '⊆' | '⊊' => Sign::Subset,
        '≈' | '∼' | '~' | '≃' | '≅' | '≪' | '≫' | '≲' | '≳' | '∝' | '↛' | '⊄' | '⊈' => {
            Sign::About
        }
        _ => return None,
    }))
}

fn logic(c: char) -> Option<Tok> {
    Some(match c {
        '¬' => Tok::Words("not".to_owned()),
        '∀' => Tok::Quantifier(Quantifier::ForAll),
        '∃' => Tok::Quantifier(Quantifier::Exists),
        '⇒' | '⟹' => Tok::Connective(Connective::Implies),
        '⇐' | '⟸' => Tok::Connective(Connective::ImpliedBy),
        '⇔' | '⟺' | '↔' => Tok::Connective(Connective::Equivalent),
        '∧' => Tok::Connective(Connective::And),
        '∨' => Tok::Connective(Connective::Or),
        '∴' => Tok::Connective(Connective::Therefore),
        '∵' => Tok::Connective(Connective::Because),
        '↦' | '⟼' => Tok::MapsTo,
        '∋' => Tok::SuchThat,
        _ => return None,
    })
}

fn structure(c: char) -> Option<Tok> {
    Some(match c {
        '√' => Tok::Root(2, false),
        '∛' => Tok::Root(3, false),
        '∜' => Tok::Root(4, false),
        '∞' => Tok::Infinity,
        '∑' => Tok::Series(false),
        '∏' => Tok::Series(true),
        '∫' => Tok::Integral,
        '⌊' => Tok::Open('⌊'),
        '⌋' => Tok::Close('⌋'),
        '⌈' => Tok::Open('⌈'),
        '⌉' => Tok::Close('⌉'),
        '⟨' | '〈' => Tok::Open('⟨'),
        '⟩' | '〉' => Tok::Close('⟩'),
        '∪' => Tok::SetOperation('∪'),
        '∩' => Tok::SetOperation('∩'),
        '∖' | '⧵' => Tok::SetOperation('∖'),
        '∅' | '⌀' => Tok::EmptySet,
        'ℝ' => Tok::NumberSet('R'),
        'ℕ' => Tok::NumberSet('N'),
        'ℤ' => Tok::NumberSet('Z'),
        'ℚ' => Tok::NumberSet('Q'),
        'ℂ' => Tok::NumberSet('C'),
        '½' => Tok::Vulgar("1", "2"),
        '⅓' => Tok::Vulgar("1", "3"),
        '⅔' => Tok::Vulgar("2", "3"),
        '¼' => Tok::Vulgar("1", "4"),
        '¾' => Tok::Vulgar("3", "4"),
        '⅕' => Tok::Vulgar("1", "5"),
        '⅖' => Tok::Vulgar("2", "5"),
        '⅗' => Tok::Vulgar("3", "5"),
        '⅘' => Tok::Vulgar("4", "5"),
        '⅙' => Tok::Vulgar("1", "6"),
        '⅚' => Tok::Vulgar("5", "6"),
        '⅛' => Tok::Vulgar("1", "8"),
        '⅜' => Tok::Vulgar("3", "8"),
        '⅝' => Tok::Vulgar("5", "8"),
        '⅞' => Tok::Vulgar("7", "8"),
        _ => return None,
    })
}

fn letter(c: char) -> Option<Tok> {
    let code = c as u32;
    // Mathematical alphabets: Latin faces in blocks of 52 letters, Greek ones in blocks of 58.
    if (0x1D400..=0x1D6A3).contains(&code) {
        let index = (code - 0x1D400) % 52;
        let base = if index < 26 { b'A' } else { b'a' };
        let offset = u8::try_from(index % 26).ok()?;
        let plain = char::from(base + offset);
        let struck = (0x1D538..=0x1D56B).contains(&code);
        if struck && "RNZQC".contains(plain) {
            return Some(Tok::NumberSet(plain));
        }
        return Some(Tok::Letter(plain.to_string()));
    }
    if (0x1D6A8..=0x1D7C9).contains(&code) {
        let index = (code - 0x1D6A8) % 58;
        let plain = match index {
            0..=24 => char::from_u32(0x391 + index),
            26..=50 => char::from_u32(0x3B1 + index - 26),
            51 => Some('∂'),
            52 => Some('ε'),
            53 => Some('θ'),
            54 => Some('κ'),
            55 => Some('φ'),
            56 => Some('ρ'),
            57 => Some('π'),
            _ => None,
        }?;
        return letter(plain);
    }
    let joined = match c {
        'π' | 'ϖ' => return Some(Tok::Pi),
        'ϵ' | 'ɛ' => 'ε',
        'ϕ' | 'ɸ' => 'φ',
        'ϑ' => 'θ',
        'ϱ' => 'ρ',
        'ϰ' => 'κ',
        'ς' => 'σ',
        'µ' => 'μ',
        'Ω' => 'Ω',
        '∆' => 'Δ',
        'ℯ' => 'e',
        other => other,
    };
    joined
        .is_alphabetic()
        .then(|| Tok::Letter(joined.to_string()))
}

/// The plain character of a Unicode superscript.
pub(super) fn superscript(c: char) -> Option<char> {
    Some(match c {
        '⁰' => '0',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁴' => '4',
        '⁵' => '5',
        '⁶' => '6',
        '⁷' => '7',
        '⁸' => '8',
        '⁹' => '9',
        '⁺' => '+',
        '⁻' => '-',
        '⁼' => '=',
        '⁽' => '(',
        '⁾' => ')',
        'ⁿ' => 'n',
        'ⁱ' => 'i',
        'ᵃ' => 'a',
        'ᵇ' => 'b',
        'ᶜ' => 'c',
        'ᵈ' => 'd',
        'ᵉ' => 'e',
        'ᵏ' => 'k',
        'ˡ' => 'l',
        'ᵐ' => 'm',
        'ᵖ' => 'p',
        'ʳ' => 'r',
        'ˢ' => 's',
        'ᵗ' => 't',
        'ᵘ' => 'u',
        'ʲ' => 'j',
        'ʸ' => 'y',
        'ˣ' => 'x',
        'ᶻ' => 'z',
        'ᵅ' => 'α',
        'ᵋ' => 'ε',
        'ᐟ' => '/',
        _ => return None,
    })
}

/// The plain character of a Unicode subscript.
pub(super) fn subscript(c: char) -> Option<char> {
    Some(match c {
        '₀' => '0',
        '₁' => '1',
        '₂' => '2',
        '₃' => '3',
        '₄' => '4',
        '₅' => '5',
        '₆' => '6',
        '₇' => '7',
        '₈' => '8',
        '₉' => '9',
        '₊' => '+',
        '₋' => '-',
        '₌' => '=',
        '₍' => '(',
        '₎' => ')',
        'ₐ' => 'a',
        'ₑ' => 'e',
        'ₕ' => 'h',
        'ᵢ' => 'i',
        'ⱼ' => 'j',
        'ₖ' => 'k',
        'ₗ' => 'l',
        'ₘ' => 'm',
        'ₙ' => 'n',
        'ₒ' => 'o',
        'ₚ' => 'p',
        'ᵣ' => 'r',
        'ₛ' => 's',
        'ₜ' => 't',
        'ᵤ' => 'u',
        'ᵥ' => 'v',
        'ₓ' => 'x',
        'ᵦ' => 'β',
        'ᵧ' => 'γ',
        'ᵨ' => 'ρ',
        'ᵩ' => 'φ',
        _ => return None,
    })
}

/// The function of a name that stands for one, for `\operatorname{sin}` and the like.
pub(super) fn named(run: &str) -> Option<Tok> {
    commands::function(run)
        .or_else(|| commands::operator(run))
        .or_else(|| match run {
            "abs" => Some(Tok::Around('|')),
            "Log" | "Ln" => Some(Tok::Logarithm(None)),
            "Arctan" => Some(Tok::Function(Function::Atan)),
            "lim sup" => commands::operator("limsup"),
            "lim inf" => commands::operator("liminf"),
            _ => None,
        })
}
