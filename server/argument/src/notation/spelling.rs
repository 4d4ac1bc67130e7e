//! Which spellings of formulas are read, and as what: every command and sign that is known is put
//! to the lexer, so that a page of them says what is done.

use super::lex::{Tok, commands, plain};
use super::syntax::{Operator, Quantifier, Sign};
use super::unicode;
use std::collections::{BTreeMap, BTreeSet};

/// The signs beyond letters that people type: Latin, mathematical and full-width ones.
const SIGNS: [std::ops::RangeInclusive<char>; 2] = ['!'..='\u{2bff}', '\u{3000}'..='\u{ffef}'];

/// Commands of packages and courses that many drafts use without a definition, and that are read
/// all the same. A draft's own definition goes before.
const CUSTOMARY: &str = "
tag* vspace* index hypertarget vskip setlength tn mathbfit operatorname* eps ep epsi
eqslantless eqslantgtr eq eqcolon eqdef Coloneqq tendsto uto isin subseteqq Implies imp tg
cotg ctg cosec atan arctg asin acos sh ch th signum ld Sup Inf Lim Max Min mvert flatfrac
framebox mathstrike hl bbox abs lrabs norm floor ceil set Set infinity oo hdots slash all ex
suchthat backepsilon hspace* R RR Reals reals real N NN Naturals naturals nat Z ZZ Integers
integers Q QQ Rationals C CC Complex d dd diff e
";

/// Spellings of one meaning.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spelling {
    /// The part of notation to which it belongs.
    pub topic: &'static str,
    /// What is read.
    pub meaning: String,
    /// How it may be typed, in alphabetical order.
    pub typed: Vec<String>,
}

type Found = BTreeMap<(Topic, String), BTreeSet<String>>;

fn add(found: &mut Found, meaning: Option<(Topic, String)>, typed: String) {
    if let Some(key) = meaning {
        found.entry(key).or_default().insert(typed);
    }
}

/// All spellings, topic by topic.
#[must_use]
pub fn spellings() -> Vec<Spelling> {
    let mut found = Found::new();
    let commands = source::reader::known_math_commands().chain(CUSTOMARY.split_whitespace());
    for name in commands {
        add(&mut found, of_command(name), format!("\\{name}"));
    }
    for (typed, token) in plain::long_signs() {
        add(&mut found, of_token(token), (*typed).to_owned());
    }
    for sign in SIGNS.into_iter().flatten() {
        let Some(token) = plain::character(sign) else {
            continue;
        };
        let meaning = of_token(&token);
        // A letter that stands for itself alone needs no row.
        let itself = token == Tok::Letter(sign.to_string());
        if !itself || meaning.as_ref().is_some_and(|own| found.contains_key(own)) {
            add(&mut found, meaning, sign.to_string());
        }
    }
    for word in plain::unmarked_words() {
        let meaning = of(Topic::Words, "words of the sentence, also inside a formula");
        add(&mut found, meaning, word.to_owned());
    }
    found
        .into_iter()
        .map(|((topic, meaning), typed)| Spelling {
            topic: topic.word(),
            meaning,
            typed: typed.into_iter().collect(),
        })
        .collect()
}

/// The parts of notation in the order of the page.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Topic {
    Letters,
    Constants,
    Arithmetic,
    Functions,
    Operators,
    Relations,
    Logic,
    Sets,
    Brackets,
    Words,
    Layout,
    Unread,
}

impl Topic {
    fn word(self) -> &'static str {
        match self {
            Self::Letters => "Letters",
            Self::Constants => "Numbers and constants",
            Self::Arithmetic => "Arithmetic",
            Self::Functions => "Functions",
            Self::Operators => "Operators with a range",
            Self::Relations => "Relations",
            Self::Logic => "Logic",
            Self::Sets => "Sets",
            Self::Brackets => "Brackets and bars",
            Self::Words => "Words",
            Self::Layout => "Without meaning of its own",
            Self::Unread => "Known and not read",
        }
    }
}

fn of(topic: Topic, meaning: &str) -> Option<(Topic, String)> {
    Some((topic, meaning.to_owned()))
}

/// What a command means, `None` if it is not read.
fn of_command(name: &str) -> Option<(Topic, String)> {
    if commands::is_ignored(name) {
        return of(Topic::Layout, "spacing, size and style: left out");
    }
    if commands::dropped_arguments(name).is_some() {
        return of(Topic::Layout, "left out with what is in its braces");
    }
    if commands::is_text(name) {
        return of(Topic::Words, "words of the sentence, inside a formula");
    }
    if commands::is_font(name) {
        return of(Topic::Letters, "the same letters in another face");
    }
    of_token(&commands::token(name)?)
}

/// What a token means, `None` for what is no notation by itself.
fn of_token(token: &Tok) -> Option<(Topic, String)> {
    let owned = |topic, meaning: String| Some((topic, meaning));
    match token {
        Tok::Letter(letter) => owned(Topic::Letters, format!("the letter {letter}")),
        Tok::Decoration(mark) => owned(Topic::Letters, format!("a name with a mark: x{mark}")),
        Tok::Prime(_) => of(Topic::Letters, "a prime: another name, or a derivative"),
        Tok::Under => of(Topic::Letters, "an index"),
        Tok::Pi => of(Topic::Constants, "π"),
        Tok::Infinity => of(Topic::Constants, "∞"),
        Tok::Vulgar(over, under) => owned(Topic::Constants, format!("{over}/{under}")),
        Tok::Percent => of(Topic::Constants, "a hundredth"),
        Tok::Plus => of(Topic::Arithmetic, "a sum"),
        Tok::Minus => of(Topic::Arithmetic, "a difference, or the other sign"),
        Tok::PlusMinus => of(Topic::Arithmetic, "both signs"),
        Tok::Times => of(Topic::Arithmetic, "a product"),
        Tok::Slash | Tok::Fraction | Tok::Over => of(Topic::Arithmetic, "a fraction"),
        Tok::Caret => of(Topic::Arithmetic, "a power, or an index above"),
        Tok::Bang => of(Topic::Arithmetic, "a factorial"),
        Tok::Choose | Tok::Binomial => of(Topic::Arithmetic, "a binomial coefficient"),
        Tok::Root(degree, _) => owned(Topic::Arithmetic, format!("a root of degree {degree}")),
        Tok::Dots => of(Topic::Arithmetic, "what goes on likewise"),
        Tok::Compose => of(Topic::Functions, "one function after another"),
        Tok::Function(function) => owned(
            Topic::Functions,
            unicode::function_name(*function).to_owned(),
        ),
        Tok::Reciprocal(name) => owned(Topic::Functions, (*name).to_owned()),
        Tok::Logarithm(None) => of(Topic::Functions, "the logarithm, to the base below if any"),
        Tok::Logarithm(Some(base)) => {
            owned(Topic::Functions, format!("the logarithm to base {base}"))
        }
        Tok::Operator(operator) => of(Topic::Operators, operator_word(*operator)),
        Tok::Extremum(true) => of(Topic::Operators, "the largest"),
        Tok::Extremum(false) => of(Topic::Operators, "the smallest"),
        Tok::Series(false) => of(Topic::Operators, "a sum over an index"),
        Tok::Series(true) => of(Topic::Operators, "a product over an index"),
        Tok::Integral => of(Topic::Operators, "an integral"),
        Tok::Sign(Sign::About) => of(Topic::Relations, "said, and not decided (≈)"),
        Tok::Sign(sign) => owned(Topic::Relations, unicode::sign(*sign).to_owned()),
        Tok::Not => of(Topic::Relations, "denies the sign behind it"),
        Tok::Stack(_) => of(Topic::Relations, "a sign with a note above or below"),
        Tok::LabelledArrow => of(Topic::Relations, "→ with a note"),
        other => of_structure(other),
    }
}

/// Logic, sets, brackets and layout.
fn of_structure(token: &Tok) -> Option<(Topic, String)> {
    let owned = |topic, meaning: String| Some((topic, meaning));
    match token {
        Tok::Connective(connective) => {
            let sign = unicode::connective_sign(*connective);
            owned(Topic::Logic, sign.to_owned())
        }
        Tok::Quantifier(Quantifier::ForAll) => of(Topic::Logic, "∀"),
        Tok::Quantifier(Quantifier::Exists) => of(Topic::Logic, "∃"),
        Tok::SuchThat => of(Topic::Logic, "such that"),
        Tok::Words(words) => owned(Topic::Logic, format!("the word “{words}”")),
        Tok::NumberSet(name) => owned(Topic::Sets, format!("the set of numbers {name}")),
        Tok::EmptySet => of(Topic::Sets, "∅"),
        Tok::SetOperation(sign) => owned(Topic::Sets, sign.to_string()),
        Tok::MapsTo => of(Topic::Sets, "↦"),
        Tok::Open(sign) | Tok::Close(sign) => owned(Topic::Brackets, format!("the bracket {sign}")),
        Tok::Around(sign) => owned(
            Topic::Brackets,
            format!("{sign} around what is in its braces"),
        ),
        Tok::Bar | Tok::MidBar => of(
            Topic::Brackets,
            "a bar: a size, or “such that” inside a set",
        ),
        Tok::DoubleBar => of(Topic::Brackets, "a norm"),
        Tok::BraceOpen | Tok::BraceClose => of(Topic::Brackets, "holds together, unseen"),
        Tok::Comma | Tok::Semicolon | Tok::Colon | Tok::Period => {
            of(Topic::Layout, "parts statements")
        }
        Tok::Gap => of(Topic::Layout, "a wide gap, which parts statements"),
        Tok::Row | Tok::Align => of(Topic::Layout, "rows and their columns"),
        Tok::Transparent | Tok::Braced => of(Topic::Layout, "what is in its braces alone counts"),
        Tok::Struck => of(Topic::Layout, "crossed out: not asserted"),
        Tok::Unreadable(reason) => owned(Topic::Unread, (*reason).to_owned()),
        _ => None,
    }
}

fn operator_word(operator: Operator) -> &'static str {
    match operator {
        Operator::Supremum => "the supremum",
        Operator::Infimum => "the infimum",
        Operator::Limit => "the limit",
        Operator::LimitSuperior => "the limit superior",
        Operator::LimitInferior => "the limit inferior",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed_as(meaning: &str) -> Vec<String> {
        let rows = spellings().into_iter();
        rows.filter(|row| row.meaning == meaning)
            .flat_map(|row| row.typed)
            .collect()
    }

    #[test]
    fn spellings_stand_under_what_they_are_read_as() {
        for (meaning, typed) in [
            ("≤", vec!["\\le", "\\leqslant", "<=", "≤", "⩽"]),
            ("the letter ε", vec!["\\epsilon", "\\varepsilon", "ε", "ϵ"]),
            ("⇒", vec!["\\implies", "=>", "⟹"]),
            ("the supremum", vec!["\\sup"]),
            ("a fraction", vec!["\\frac", "\\over", "/"]),
            ("sin", vec!["\\sin"]),
        ] {
            let known = typed_as(meaning);
            for spelling in typed {
                assert!(
                    known.iter().any(|own| own == spelling),
                    "{meaning}: {known:?}"
                );
            }
        }
    }

    #[test]
    fn letters_that_stand_for_themselves_have_no_row() {
        assert!(typed_as("the letter x").len() < 10);
        assert!(typed_as("the letter 一").is_empty());
    }

    #[test]
    fn every_command_of_the_lexer_is_shown() {
        let shown: BTreeSet<String> = spellings().into_iter().flat_map(|row| row.typed).collect();
        // The names stand between quotation marks in the lexer's own table.
        let table = include_str!("lex/commands.rs");
        let (_, table) = table.split_once("fn is_ignored").expect("the table");
        let mut names = 0;
        for name in table.split('"').skip(1).step_by(2) {
            let plain = name.trim_end_matches('*');
            let is_name = !plain.is_empty() && plain.chars().all(|c| c.is_ascii_alphabetic());
            if is_name && of_command(name).is_some() {
                names += 1;
                assert!(
                    shown.contains(&format!("\\{name}")),
                    "\\{name} is not shown"
                );
            }
        }
        assert!(names > 200, "only {names} names");
    }

    #[test]
    fn no_spelling_has_two_meanings() {
        let mut seen = BTreeSet::new();
        for row in spellings() {
            for typed in row.typed {
                assert!(seen.insert(typed.clone()), "{typed} stands twice");
            }
        }
    }
}
