//! What a "not" beside words about convergence denies.

use crate::discourse::phrase::{Family, phrase};
use crate::discourse::token::Token;

/// Words that may stand between "not" and what it denies.
const BETWEEN: [&str; 24] = [
    "be", "been", "being", "have", "yet", "even", "any", "also", "in", "general", "the", "a", "an",
    "longer", "possibly", "all", "at", "here", "indeed", "only", "to", "of", "kind", "sort",
];

/// Words with which a denied convergence is told behind its name: "uniform convergence does not
/// hold".
const HOLDING: [&str; 14] = [
    "hold", "holds", "occur", "occurs", "take", "given", "true", "the", "present", "possible",
    "so", "happen", "case", "valid",
];

/// Whether a negation among the tokens of a clause denies something else than the convergence:
/// "uniform convergence does not permit …".
pub(super) fn denies_another(tokens: &[Token]) -> bool {
    let mut at = 0;
    while at < tokens.len() {
        let (family, length) = phrase(&tokens[at..])
            .map_or((None, 1), |(family, length)| (Some(family), length.max(1)));
        if family == Some(Family::Not) && !of_convergence(&tokens[..at], &tokens[at..], length) {
            return true;
        }
        at += length;
    }
    false
}

fn of_convergence(before: &[Token], rest: &[Token], length: usize) -> bool {
    let tells = |word: &str| {
        word.starts_with("converg") || word.starts_with("unif") || word.starts_with("pointwise")
    };
    // "does not converge" may be one phrase.
    if rest[..length.min(rest.len())]
        .iter()
        .filter_map(Token::word)
        .any(tells)
    {
        return true;
    }
    let Some(next) = rest[length.min(rest.len())..]
        .iter()
        .find(|token| !token.word().is_some_and(|word| BETWEEN.contains(&word)))
    else {
        return true;
    };
    let Some(word) = next.word() else {
        return true;
    };
    let named = before.iter().filter_map(Token::word).any(tells);
    tells(word)
        || word.starts_with("tend")
        || word.starts_with("cauchy")
        || word.starts_with("summab")
        || named && HOLDING.contains(&word)
}
