//! Arrows between two comparisons, `n > N → n² > 1/ε`: what follows, and no limit.

use super::brackets::{self, NO_PARTNER};
use crate::notation::lex::{Tok, Token};
use crate::notation::syntax::{Connective, Sign};
use kernel::Relation;

/// Makes implications of arrows behind which a comparison of the index, the threshold or the
/// tolerance begins.
pub(super) fn implications(tokens: &mut [Token]) {
    let partner = brackets::shape(tokens).partner;
    // Positions outside of all brackets, clause by clause.
    let mut clause: Vec<usize> = Vec::new();
    let mut arrows: Vec<usize> = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let ends = matches!(
            tokens[at].kind,
            Tok::Semicolon | Tok::Period | Tok::Row | Tok::Connective(_) | Tok::Words(_)
        );
        if ends {
            arrows.extend(implying(tokens, &clause));
            clause.clear();
        } else {
            clause.push(at);
        }
        let close = partner[at];
        at = if close != NO_PARTNER && close > at {
            close + 1
        } else {
            at + 1
        };
    }
    arrows.extend(implying(tokens, &clause));
    for arrow in arrows {
        tokens[arrow].kind = Tok::Connective(Connective::Implies);
    }
}

/// The arrows of a clause that stand between two comparisons.
fn implying(tokens: &[Token], clause: &[usize]) -> Vec<usize> {
    let signs: Vec<usize> = (0..clause.len())
        .filter(|place| matches!(tokens[clause[*place]].kind, Tok::Sign(_)))
        .collect();
    let mut found = Vec::new();
    for pair in signs.windows(3) {
        let [before, arrow, behind] = pair else {
            continue;
        };
        let kind = |place: &usize| &tokens[clause[*place]].kind;
        let compares = is_comparison(kind(before));
        let follows = is_comparison(kind(behind))
            || matches!(kind(behind), Tok::Sign(Sign::Defines | Sign::TendsTo));
        // "|x − y| < δ → |f(x) − f(y)| < ε"
        let near = matches!(&tokens[clause[*arrow] - 1].kind, Tok::Letter(letter) if letter == "δ");
        let moves =
            near || (clause[*arrow] + 1..clause[*behind]).any(|at| is_moving(&tokens[at].kind));
        if *kind(arrow) == Tok::Sign(Sign::TendsTo) && compares && follows && moves {
            found.push(clause[*arrow]);
        }
    }
    found
}

fn is_comparison(kind: &Tok) -> bool {
    matches!(
        kind,
        Tok::Sign(Sign::Relation(
            Relation::Less | Relation::LessEqual | Relation::Greater | Relation::GreaterEqual
        ))
    )
}

/// A letter that no limit holds: the index, the threshold, the tolerance.
fn is_moving(kind: &Tok) -> bool {
    matches!(kind, Tok::Letter(letter)
        if ["n", "N", "m", "k", "ε", "δ", "ϵ"].contains(&letter.as_str()))
}
