//! What both sides of a relation are multiplied or divided by, told in words.

use crate::discourse::entry::Context;
use crate::discourse::utterance::Utterance;

/// Words for what is done to both sides by something.
const SCALING: [&str; 10] = [
    "dividing",
    "divide",
    "divided",
    "divides",
    "division",
    "multiplying",
    "multiply",
    "multiplied",
    "multiplies",
    "multiplication",
];

/// Words for taking a common factor away, which stands right behind them.
const CANCELLING: [&str; 4] = ["cancelling", "canceling", "cancel", "cancels"];

/// How many words may stand between: "dividing both sides of this inequality by".
const APART: usize = 7;

/// Words that tell what is done to a fraction, and to no relation, or that the sign is thought of.
const ELSEWHERE: [&str; 26] = [
    "numerator",
    "denominator",
    "numerators",
    "denominators",
    "fraction",
    "fractions",
    "top",
    "bottom",
    "conjugate",
    "expand",
    "expanding",
    "expanded",
    "extend",
    "term",
    "terms",
    "integrand",
    "positive",
    "negative",
    "nonnegative",
    "sign",
    "reverses",
    "reversed",
    "flips",
    "turns",
    "turned",
    "nonzero",
];

/// Whether the words before a term say that both sides of a relation are multiplied or divided by
/// it.
pub(super) fn scales(context: &Context<'_>, utterance: &Utterance) -> bool {
    let mut words = context.words_before(utterance.token);
    let scaled = match words.next() {
        Some("by" | "with") => words.take(APART).any(|word| SCALING.contains(&word)),
        Some(word) => CANCELLING.contains(&word),
        None => false,
    };
    scaled
        && !context
            .tokens
            .iter()
            .filter_map(|token| token.word())
            .any(|word| ELSEWHERE.contains(&word))
}
