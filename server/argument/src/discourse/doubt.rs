//! Words under which a claim is not what its formula alone says: what would be, what exists, what
//! is said of a noun, what is written in another language.

use super::entry::Context;
use super::phrase::{Family as Phrase, phrase};
use super::shape;
use super::token::{Mark, Token};
use super::utterance::{Left, Mode, Utterance};
use crate::notation::syntax::Sign;
use kernel::Relation;

/// Why what a formula claims is left open by the words of its sentence.
pub(super) fn doubted(
    context: &Context<'_>,
    utterance: Option<&Utterance>,
) -> Option<&'static str> {
    if let Some(utterance) = utterance {
        if is_enough(context, utterance) {
            return Some("it is said to be enough, not to hold");
        }
        if is_of_a_noun(context, utterance) {
            return Some("what it is said of is told by a noun");
        }
        if is_placed_in_words(context, utterance) {
            return Some("where this holds is said in words");
        }
        if is_used(context, utterance) {
            return Some("it says with which value something is used");
        }
        if is_under_existence(context, utterance) || is_of_some_point(context, utterance) {
            return Some("its formula says that something exists with it");
        }
    }
    if says_parity(context.tokens) {
        return Some("for which numbers it is said is told in words");
    }
    if supposes_the_contrary(context.tokens) {
        return Some("its sentence supposes the contrary");
    }
    if leaves_out_in_words(context.tokens) {
        return Some("which values are left out is told in words");
    }
    is_foreign(context.tokens).then_some("its sentence is not in English")
}

/// The words of which a clause may consist that claims a convergence without a formula: with any
/// other it may say something else ("absolute convergence we do not have", "no longer uniform").
pub(super) const PLAIN: [&str; 84] = [
    "the",
    "a",
    "this",
    "that",
    "these",
    "it",
    "its",
    "is",
    "are",
    "be",
    "does",
    "do",
    "did",
    "not",
    "cannot",
    "can",
    "isn't",
    "doesn't",
    "converge",
    "converges",
    "convergent",
    "converging",
    "convergence",
    "uniform",
    "uniformly",
    "unif",
    "pointwise",
    "ptw",
    "conv",
    "diverge",
    "diverges",
    "divergent",
    "divergence",
    "sequence",
    "sequences",
    "series",
    "functions",
    "function",
    "to",
    "towards",
    "zero",
    "limit",
    "on",
    "in",
    "at",
    "of",
    "for",
    "all",
    "every",
    "each",
    "and",
    "so",
    "hence",
    "thus",
    "therefore",
    "consequently",
    "then",
    "we",
    "conclude",
    "have",
    "see",
    "shows",
    "proves",
    "that's",
    "why",
    "which",
    "whole",
    "entire",
    "interval",
    "line",
    "domain",
    "set",
    "real",
    "yes",
    "no",
    "indeed",
    "also",
    "but",
    "although",
    "though",
    "either",
    "however",
    "only",
    "consequence",
];

/// Nouns of which a relation behind them is said, whatever stands before.
const NOUNS: [&str; 16] = [
    "denominator",
    "numerator",
    "bracket",
    "factor",
    "sum",
    "difference",
    "product",
    "quotient",
    "side",
    "distance",
    "error",
    "value",
    "rest",
    "remainder",
    "expression",
    "term",
];

/// Words under which a sentence speaks of what would be, or of what is not so.
const UNREAL: [&str; 14] = [
    "would",
    "wouldn't",
    "otherwise",
    "tempting",
    "temptation",
    "hope",
    "hopefully",
    "pretend",
    "imagine",
    "naive",
    "naively",
    "wrongly",
    "seemingly",
    "expect",
];

/// "For ε = 1 and every index k there is a point at which |h_k| ≥ ε": a claim under "there is".
fn is_of_some_point(context: &Context<'_>, utterance: &Utterance) -> bool {
    let words: Vec<&str> = context.tokens[..utterance.token]
        .iter()
        .filter_map(Token::word)
        .collect();
    let place = |first: &[&str], second: &[&str]| {
        words
            .windows(2)
            .rposition(|pair| first.contains(&pair[0]) && second.contains(&pair[1]))
    };
    let all = words
        .iter()
        .position(|word| matches!(*word, "every" | "all" | "each" | "given" | "any"));
    let some = place(&["there"], &["is", "are", "exists", "exist"])
        .max(place(&["can", "may"], &["find", "choose", "pick"]));
    matches!((all, some), (Some(all), Some(some)) if all < some)
}

/// "The right-hand side is ≤ ε", "the index from which on |a_n| < ε holds": what is said of it, or
/// on which side it stands, is told by nouns.
fn is_of_a_noun(context: &Context<'_>, utterance: &Utterance) -> bool {
    let words: Vec<&str> = context.tokens[..utterance.token]
        .iter()
        .rev()
        .map_while(Token::word)
        .collect();
    let of_a_formula = utterance
        .spoken
        .is_some_and(|(_, left)| matches!(left, Left::Utterance(_)));
    let elsewhere = words.iter().any(|word| {
        NOUNS.contains(word)
            || matches!(
                *word,
                "they"
                    | "it"
                    | "these"
                    | "both"
                    | "others"
                    | "values"
                    | "terms"
                    | "numbers"
                    | "members"
                    | "by"
            )
    });
    if of_a_formula && elsewhere {
        return true;
    }
    let carried = context
        .statement(utterance)
        .is_some_and(shape::opens_with_relation);
    carried
        && words
            .first()
            .is_some_and(|word| matches!(*word, "is" | "are" | "stays" | "becomes"))
        && words.len() > 2
        // "⇒ denominator ≥ 3"
        || carried && words.first().is_some_and(|word| NOUNS.contains(word))
        || words.iter().take(4).any(|word| *word == "which")
            && words.iter().take(4).any(|word| *word == "from")
}

/// "2^{n−1} > 1000 is enough": what stands before is a condition, no claim.
fn is_enough(context: &Context<'_>, utterance: &Utterance) -> bool {
    context
        .tokens
        .get(utterance.token + 1..)
        .and_then(phrase)
        .is_some_and(|(family, _)| family == Phrase::WillDo)
}

/// "positive for x < 1/n and ≤ 0 after it": a relation without a left side, with its place behind.
fn is_placed_in_words(context: &Context<'_>, utterance: &Utterance) -> bool {
    let bare = context
        .statement(utterance)
        .is_some_and(shape::opens_with_relation);
    let behind = context
        .tokens
        .get(utterance.token + 1)
        .and_then(Token::word);
    bare && behind.is_some_and(|word| {
        matches!(
            word,
            "after"
                | "afterwards"
                | "before"
                | "beyond"
                | "behind"
                | "outside"
                | "inside"
                | "elsewhere"
                | "otherwise"
                | "there"
                | "left"
                | "right"
        )
    })
}

/// "Use ε = 1: there is δ > 0 with …": the value with which a definition is applied.
fn is_used(context: &Context<'_>, utterance: &Utterance) -> bool {
    let before = utterance
        .token
        .checked_sub(1)
        .and_then(|before| context.tokens.get(before)?.word());
    let equation = context.statement(utterance).is_some_and(|statement| {
        shape::first_term(statement).and_then(shape::bare_name).is_some()
            && matches!(shape::links(statement), [link] if link.sign == Sign::Relation(Relation::Equal))
    });
    equation && matches!(before, Some("use" | "using" | "apply" | "applying"))
}

/// "∀ε > 0 ∃δ > 0 ∀x, y: |x − y| < δ → |f(x) − f(y)| < ε": one formula, which says more than its
/// last comparison.
fn is_under_existence(context: &Context<'_>, utterance: &Utterance) -> bool {
    let formula = context.formula(utterance);
    formula.is_some()
        && context.reading.utterances.iter().any(|other| {
            other.token < utterance.token
                && context.formula(other) == formula
                && other.mode == Mode::Exists
        })
}

/// "Let n be an odd number with n ≥ N": parity in words, which no formula tells.
fn says_parity(tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
    let parity = |word: &str| matches!(word, "odd" | "even");
    // A letter of the prose is no formula.
    let letter = |word: &str| matches!(word, "n" | "k" | "m" | "j");
    words.windows(2).any(|pair| {
        parity(pair[0])
            && (matches!(
                pair[1],
                "number" | "integer" | "index" | "one" | "natural" | "with" | "indices"
            ) || letter(pair[1]))
            || letter(pair[0]) && parity(pair[1])
    })
}

/// "From contrary: let ∃L > 0 ∀x, y: …": what it says is supposed.
fn supposes_the_contrary(tokens: &[Token]) -> bool {
    tokens
        .iter()
        .take(5)
        .filter_map(Token::word)
        .any(|word| matches!(word, "contrary" | "opposite"))
}

/// "for x, y ≥ 0, not both 0": values are left out that no formula leaves out.
fn leaves_out_in_words(tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
    words
        .windows(2)
        .any(|pair| pair[0] == "not" && matches!(pair[1], "both" | "all"))
}

/// Words of other languages that stand in nearly every sentence, and are none in English.
const FOREIGN: [&str; 39] = [
    "der", "das", "und", "ist", "nicht", "für", "auf", "ein", "eine", "mit", "wir", "sei", "gilt",
    "dann", "le", "les", "des", "est", "pour", "une", "dans", "que", "donc", "soit", "el", "los",
    "las", "es", "para", "una", "por", "entonces", "sea", "il", "che", "della", "per", "quindi",
    "dla",
];

/// Whether the sentence is written in another language, as far as its small words tell.
fn is_foreign(tokens: &[Token]) -> bool {
    let words = || tokens.iter().filter_map(Token::word);
    let foreign = words().filter(|word| FOREIGN.contains(word)).count();
    let english = words()
        .filter(|word| {
            matches!(
                *word,
                "the" | "is" | "and" | "for" | "of" | "we" | "that" | "so" | "with" | "all"
            )
        })
        .count();
    foreign >= 1 && english == 0 && (foreign >= 2 || words().any(|word| !word.is_ascii()))
}

/// Whether tokens end in "suppose that", "assume the following:".
fn ends_in_supposing(tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens
        .iter()
        .rev()
        .skip_while(|token| token.is(Mark::Colon))
        .map_while(Token::word)
        .take(5)
        .collect();
    words
        .iter()
        .any(|word| matches!(*word, "suppose" | "assume" | "supposing" | "assuming"))
        && words
            .first()
            .is_some_and(|last| matches!(*last, "that" | "following" | "suppose" | "assume"))
}

/// Whether a sentence sets a task about what a list says behind it: "Show that the following limits
/// hold."
fn asks_for_the_following(tokens: &[Token]) -> bool {
    let mut words = tokens.iter().filter_map(Token::word);
    let task = words.next().is_some_and(|word| {
        matches!(
            word,
            "show" | "prove" | "verify" | "establish" | "decide" | "disprove" | "check"
        )
    });
    task && words.any(|word| word == "following")
        && tokens.iter().all(|token| token.statement().is_none())
}

/// How the items of a list are said that a sentence announces.
pub(super) fn announces_list(tokens: &[Token]) -> Option<Mode> {
    if ends_in_supposing(tokens) {
        Some(Mode::Assume)
    } else {
        asks_for_the_following(tokens).then_some(Mode::Aim)
    }
}

/// Whether an item of a list begins between two sentences, and nothing else stands there.
pub(super) fn lists(between: &str) -> bool {
    let bare = |line: &str| {
        line.trim_start()
            .trim_start_matches(|mark: char| {
                mark.is_ascii_alphanumeric() || "(*-+.)[]".contains(mark)
            })
            .trim()
            .is_empty()
    };
    between.contains("\\item") && !between.contains("\\end")
        || between.contains('\n')
            && between
                .rsplit('\n')
                .next()
                .is_some_and(|line| !line.trim().is_empty() && bare(line))
}

/// Whether the sentence speaks of what would be.
pub(super) fn is_unreal(tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
    words.iter().enumerate().any(|(position, word)| {
        let wish = || {
            words
                .get(position + 1)
                .is_some_and(|next| matches!(*next, "like" | "want"))
        };
        UNREAL.contains(word) && !wish()
    }) || is_subjunctive(&words)
}

/// "If this were true for all n, then …", "Were A for all x, …", "Had we chosen N = …, …".
fn is_subjunctive(words: &[&str]) -> bool {
    let conditional = words.iter().position(|word| *word == "if");
    let were = conditional.is_some_and(|start| {
        words[start..]
            .iter()
            .any(|word| matches!(*word, "were" | "had"))
    });
    let inverted = match words {
        ["were", ..] => true,
        ["had", second, ..] => matches!(*second, "we" | "i" | "one" | "it" | "this" | "the"),
        _ => false,
    };
    were || inverted
}
