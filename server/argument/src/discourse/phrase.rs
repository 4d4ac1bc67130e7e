//! The one table of phrases: what words announce about the formulas around them.
//!
//! A pattern is a row of words; `a|b` is a choice, `?` after a word makes it optional. Between
//! two words of a pattern small adverbs may stand ("we *now* choose").

use super::token::Token;
use kernel::Relation;
mod meaning;
mod table;
mod told;

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// What a phrase announces.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Family {
    /// An arbitrary object: let, fix, given.
    Let,
    /// The writer picks: choose, take, put.
    Choose,
    /// Picked by existence: there is, we can find.
    Exists,
    /// A range: for all, for every.
    ForAll,
    /// `for`: a range or a reason, as what follows tells.
    For,
    /// A condition: if, whenever.
    If,
    /// A claim begins: then, we have, it holds that.
    Assert,
    /// A claim begins, unless something stronger governs: is, moreover, here.
    Weak,
    /// The sentence turns: but, however.
    But,
    /// To get, to have: an aim at the head of a sentence, else a result.
    ToGet,
    /// "which holds if": a condition of what was just claimed.
    HoldsIf,
    /// `at`: a place where something holds.
    At,
    /// Yes or No as an answer.
    Yes,
    /// A claim follows from what was said: so, hence, it follows that.
    Therefore,
    /// The same in other words: that is, i.e., in other words.
    Restate,
    /// A claim in support of another: since, because.
    Reason,
    /// `as`: a reason, or a limit ("as n → ∞").
    As,
    /// `by`, `using`: a reason if a statement follows.
    By,
    /// To be shown: we want, need, show that, claim.
    Aim,
    /// It suffices to: an aim, unless a choice follows.
    Suffices,
    /// What stands before is to be shown: must hold, has to be proved.
    AimBefore,
    /// A question: is, does, whether, determine.
    Ask,
    /// Supposed: assume, suppose.
    Assume,
    /// The supposition is made to be contradicted.
    Contradiction,
    /// The contradiction is reached.
    Discharge,
    /// Deliberately false.
    Reject,
    /// The statement before is said to be false.
    RejectBefore,
    /// Names something: define, denote by.
    Define,
    /// What the picked or named object satisfies: such that, with, satisfying.
    SuchThat,
    /// A relation in words between what stands before and after: is at most.
    Compare(Relation),
    /// A relation to 0 in words: is positive.
    CompareZero(Relation),
    /// tends to, converges to.
    Tends,
    /// works, will do: what stands before is a choice.
    WillDo,
    /// if and only if.
    Equivalent,
    /// implies, gives.
    Implies,
    /// otherwise.
    Otherwise,
    /// A case begins.
    Case,
    /// All cases are done.
    CasesDone,
    /// on, over, in: a domain follows.
    On,
    /// uniformly.
    Uniform,
    /// pointwise, for each fixed.
    Pointwise,
    /// the convergence is, converges.
    Converge,
    /// diverges.
    Diverge,
    /// and.
    And,
    /// or.
    Or,
    /// where.
    Where,
    /// The claim is negated: not, no, never, cannot.
    Not,
    /// Words under which a formula need not be asserted: would, might, maybe.
    Doubt,
    /// n large enough: a range whose threshold is not told.
    Large,
    /// increasing.
    Increasing,
    /// decreasing.
    Decreasing,
    /// The proof is done: as desired, QED.
    Done,
    /// integer, natural number.
    IntegerWord,
    /// real number.
    RealWord,
    /// attains its maximum, critical point: said of the place that follows.
    Place,
    /// is defined as, be given by.
    GivenBy,
    /// The pointwise limit is …
    LimitIs,
}

/// A row of the table of phrases, for people.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Row {
    /// What the phrase tells of the formulas around it.
    pub meaning: String,
    /// The phrase: `a/b` is a choice, `[a]` may be left out.
    pub phrase: String,
}

/// The table of phrases as the sentence grammar reads it, meanings in the order of their first
/// row.
#[must_use]
pub fn rows() -> Vec<Row> {
    let mut rows: Vec<(usize, Row)> = Vec::new();
    let mut meanings: Vec<String> = Vec::new();
    for (family, pattern) in table() {
        let meaning = meaning::of(*family);
        let place = meanings
            .iter()
            .position(|known| *known == meaning)
            .unwrap_or_else(|| {
                meanings.push(meaning.clone());
                meanings.len() - 1
            });
        let words: Vec<String> = pattern.split(' ').map(word_for_people).collect();
        let phrase = words.join(" ");
        rows.push((place, Row { meaning, phrase }));
    }
    rows.sort_by_key(|(place, _)| *place);
    rows.into_iter().map(|(_, row)| row).collect()
}

fn word_for_people(word: &str) -> String {
    let choices = word.trim_end_matches('?').replace('|', "/");
    if word.ends_with('?') {
        format!("[{choices}]")
    } else {
        choices
    }
}

/// Adverbs that may stand between the words of a phrase.
const BETWEEN: [&str; 24] = [
    "now",
    "also",
    "again",
    "simply",
    "just",
    "clearly",
    "obviously",
    "easily",
    "indeed",
    "thus",
    "therefore",
    "hence",
    "then",
    "first",
    "immediately",
    "directly",
    "finally",
    "even",
    "only",
    "always",
    "still",
    "already",
    "certainly",
    "instead",
];

/// All rows in order.
fn table() -> impl Iterator<Item = &'static (Family, &'static str)> {
    table::PHRASES.iter().chain(told::PHRASES)
}

struct Pattern {
    family: Family,
    words: Vec<(Vec<&'static str>, bool)>,
}

/// The patterns by their first word.
static INDEX: LazyLock<BTreeMap<&'static str, Vec<Pattern>>> = LazyLock::new(|| {
    let mut index: BTreeMap<&'static str, Vec<Pattern>> = BTreeMap::new();
    for (family, text) in table() {
        let words: Vec<(Vec<&'static str>, bool)> = text
            .split(' ')
            .map(|word| {
                let optional = word.ends_with('?');
                (word.trim_end_matches('?').split('|').collect(), optional)
            })
            .collect();
        let mut from = 0;
        while let Some((first, optional)) = words.get(from) {
            for start in first {
                index.entry(start).or_default().push(Pattern {
                    family: *family,
                    words: words[from..].to_vec(),
                });
            }
            if !optional {
                break;
            }
            from += 1;
        }
    }
    index
});

/// The longest phrase at the start of `tokens`: its family and how many tokens it takes.
pub(super) fn phrase(tokens: &[Token]) -> Option<(Family, usize)> {
    let first = tokens.first()?.word()?;
    let mut best: Option<(Family, usize, usize)> = None;
    for pattern in INDEX.get(first)? {
        if let Some((length, matched)) = matches(&pattern.words, tokens)
            && best.is_none_or(|(_, _, most)| matched > most)
        {
            best = Some((pattern.family, length, matched));
        }
    }
    best.map(|(family, length, _)| (family, length))
}

/// How many tokens the pattern takes and how many of its words matched.
fn matches(pattern: &[(Vec<&'static str>, bool)], tokens: &[Token]) -> Option<(usize, usize)> {
    let mut at = 0;
    let mut matched = 0;
    for (choices, optional) in pattern {
        let mut here = at;
        let found = loop {
            let Some(word) = tokens.get(here).and_then(Token::word) else {
                break false;
            };
            if choices.contains(&word) {
                break true;
            }
            if matched == 0 || !BETWEEN.contains(&word) {
                break false;
            }
            here += 1;
        };
        if found {
            at = here + 1;
            matched += 1;
        } else if !optional {
            return None;
        }
    }
    (matched > 0).then_some((at, matched))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::discourse::token::TokenKind;
    use source::{Span, Style};

    fn word(text: &str) -> Token {
        Token {
            kind: TokenKind::Word {
                text: text.to_owned(),
                capital: false,
            },
            span: Span::default(),
            style: Style::default(),
            inner: None,
        }
    }

    /// Each row takes its own words, all of them, in one of its spellings: else no draft could
    /// ever use it.
    #[test]
    fn no_row_stands_in_the_shade_of_another() {
        let shaded: Vec<String> = table()
            .filter(|(family, pattern)| {
                let choices: Vec<Vec<&str>> = pattern
                    .split(' ')
                    .map(|word| word.trim_end_matches('?').split('|').collect())
                    .collect();
                let most = choices.iter().map(Vec::len).max().unwrap_or_default();
                !(0..most).any(|turn| {
                    let tokens: Vec<Token> = choices
                        .iter()
                        .map(|words| word(words[turn % words.len()]))
                        .collect();
                    phrase(&tokens) == Some((*family, tokens.len()))
                })
            })
            .map(|(family, pattern)| format!("{family:?}: {pattern:?}"))
            .collect();
        assert!(shaded.is_empty(), "never what counts: {shaded:#?}");
    }
}
