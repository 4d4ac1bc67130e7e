//! What the prose of an argument does that no formula tells: limits exchanged, limits only supposed.

use super::shape;
use super::token::{Mark, Token};
use crate::notation::syntax::{Operator, Sign, Statement, Term, TermKind};
use crate::notation::walk;
use kernel::Relation;

/// Words under which a sentence exchanges nothing: it denies, asks, or speaks of the theorem.
const OPEN: [&str; 30] = [
    "not",
    "cannot",
    "can't",
    "never",
    "no",
    "nor",
    "whether",
    "if",
    "unless",
    "would",
    "might",
    "could",
    "need",
    "needs",
    "require",
    "requires",
    "required",
    "enough",
    "sufficient",
    "necessary",
    "suffices",
    "when",
    "fails",
    "fail",
    "wrong",
    "false",
    "illegal",
    "unjustified",
    "conversely",
    "question",
];

/// What the words of a sentence say of convergence, beside the words themselves.
pub(super) fn notes(tokens: &[Token]) -> Vec<&'static str> {
    let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
    let stem = |stems: &[&str]| {
        words
            .iter()
            .any(|word| stems.iter().any(|stem| word.starts_with(stem)))
    };
    let has = |wanted: &[&str]| words.iter().any(|word| wanted.contains(word));
    let denied = has(&["not", "no", "never", "neither", "nor", "isn't", "cannot"]);
    let mut found = Vec::new();
    // "is not a Cauchy sequence"
    if words
        .windows(3)
        .any(|three| three[2] == "cauchy" && three[..2].contains(&"not"))
    {
        found.push("not cauchy");
    }
    if stem(&["monoton", "increas", "decreas", "ris", "fall"]) && !denied {
        found.push("said monotone");
    }
    let limit = stem(&["limit", "converg"]);
    let supposes = has(&[
        "suppose",
        "assume",
        "assuming",
        "provided",
        "should",
        "candidate",
    ]);
    // "If we pass to the limit" supposes none.
    let hypothetical = has(&["if"]) && (stem(&["converg"]) || has(&["has", "is", "had", "were"]));
    if limit && (supposes || hypothetical || stem(&["exist"])) {
        found.push("limit supposed");
    }
    found
}

/// Whether a sentence exchanges a limit and an integral and leaves no doubt of it.
pub(super) fn exchanges(tokens: &[Token]) -> bool {
    let words = || tokens.iter().filter_map(Token::word);
    let exchanged = words().any(|word| {
        ["interchang", "exchang", "swap", "permut", "commut"]
            .iter()
            .any(|stem| word.starts_with(stem))
    });
    // "the limit may be taken inside the integral", "passage to the limit under the integral sign"
    let moved = words().any(|word| word == "limit" || word == "limits")
        && words().any(|word| matches!(word, "inside" | "under" | "into"))
        && words().any(|word| word.starts_with("integral"));
    let exchanged = exchanged || moved || tokens.iter().any(swaps_endless);
    let integrals = words().any(|word| word.starts_with("integra"))
        || tokens
            .iter()
            .filter_map(Token::statement)
            .any(|token| integrates(&token.statement).is_some());
    let open = words().any(|word| OPEN.contains(&word))
        || tokens.iter().any(|token| token.is(Mark::Question));
    exchanged && integrals && !open
}

/// Whether a formula equates the limit of an integral over an unbounded interval and the integral
/// of the limit.
fn swaps_endless(token: &Token) -> bool {
    let Some(own) = token.statement() else {
        return false;
    };
    let statement = &own.statement;
    let links = shape::links(statement);
    let sides: Vec<&Term> = shape::first_term(statement)
        .into_iter()
        .chain(links.iter().filter_map(|link| link.right.as_ref()))
        .collect();
    let limit_outside = |term: &Term| matches!(&term.kind, TermKind::Over { operator: Operator::Limit, body: Some(body), .. } if has_integral(body));
    let limit_inside =
        |term: &Term| matches!(&term.kind, TermKind::Integral { body, .. } if has_limit(body));
    let swapped = sides.windows(2).enumerate().any(|(at, pair)| {
        let equal = links
            .get(at)
            .is_some_and(|link| link.sign == Sign::Relation(Relation::Equal));
        equal
            && (limit_outside(pair[0]) && limit_inside(pair[1])
                || limit_inside(pair[0]) && limit_outside(pair[1]))
    });
    swapped && integrates(statement) == Some(true)
}

fn has_integral(term: &Term) -> bool {
    let mut found = false;
    walk::terms(term, &mut |part| {
        found |= matches!(part.kind, TermKind::Integral { .. })
    });
    found
}

fn has_limit(term: &Term) -> bool {
    let mut found = false;
    walk::terms(term, &mut |part| {
        found |= matches!(
            &part.kind,
            TermKind::Over {
                operator: Operator::Limit,
                ..
            }
        );
    });
    found
}

/// Whether the sentence says by what it does something: "by (a) we may interchange …".
pub(super) fn refers(tokens: &[Token]) -> bool {
    tokens.iter().any(|token| token.word() == Some("by"))
}

/// Whether a statement holds an integral, and whether one of them runs to infinity.
pub(super) fn integrates(statement: &Statement) -> Option<bool> {
    let endless = |end: &Option<Box<Term>>| {
        end.as_deref().is_some_and(|end| {
            let bare = match &end.kind {
                TermKind::Negative(inner) => inner,
                _ => end,
            };
            matches!(bare.kind, TermKind::Infinity)
        })
    };
    let mut found = None;
    walk::statement_terms(statement, &mut |term| {
        if let TermKind::Integral { from, to, .. } = &term.kind {
            let own = endless(from) || endless(to);
            found = Some(found.unwrap_or(false) || own);
        }
    });
    found
}
