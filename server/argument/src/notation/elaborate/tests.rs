//! Formulas in many spellings against the expressions that they mean.

mod printing;
mod round_trip;
mod sets;
mod table;

use super::*;
use crate::notation::convention::Pattern;
use crate::notation::parse::parse;
use crate::notation::syntax::{Formula, Segment, StatementKind};
use printing::{conditions_text, text};

/// Names of a usual exercise: indices, a point, a tolerance, f_n(x) = x^n/n with limit 0, an
/// unknown sequence a_n, an unknown function g.
pub(super) fn vocabulary() -> Vocabulary {
    let mut names = Vocabulary::new();
    for name in ["n", "m", "k", "N", "j"] {
        names.declare_variable(&Symbol::new(name), Kind::Integer);
    }
    for name in ["x", "y", "t", "ε", "δ", "a", "b", "c", "M"] {
        names.declare_variable(&Symbol::new(name), Kind::Real);
    }
    let (n, x) = (Symbol::new("n"), Symbol::new("x"));
    let value = Expr::named("x")
        .power(&Expr::named("n"))
        .over(&Expr::named("n"));
    names.define(&Symbol::new("f"), vec![n, x.clone()], 1, value);
    names.define(&Symbol::new("f"), vec![x], 0, Expr::integer(0));
    names.declare_unknown(&Symbol::new("a"), 1, Some(0));
    names.declare_unknown(&Symbol::new("g"), 0, Some(1));
    names.declare_variable(&Symbol::new("a"), Kind::Real);
    names.declare_unknown(&Symbol::new("b"), 1, Some(0));
    names
}

/// The only term of a formula.
pub(super) fn only_term(formula: &Formula) -> Option<&Term> {
    match formula.segments.as_slice() {
        [Segment::Statement(statement)] => match &statement.kind {
            StatementKind::Term(term) => Some(term),
            _ => None,
        },
        _ => None,
    }
}

/// A formula's value, or why it has none.
pub(super) fn read(source: &str, convention: &Convention) -> String {
    let formula = parse(source);
    match only_term(&formula) {
        None => format!(
            "not one term: {}",
            crate::notation::unicode::formula(&formula)
        ),
        Some(found) => match term(found, &vocabulary(), convention) {
            Ok(expr) => text(&expr),
            Err(unreadable) => format!("unreadable: {}", unreadable.reason),
        },
    }
}

/// A formula's statements, each as conditions.
pub(super) fn read_statement(source: &str) -> String {
    let formula = parse(source);
    let mut all = Vec::new();
    for segment in &formula.segments {
        match segment {
            Segment::Statement(statement) => {
                match conditions(statement, &vocabulary(), &Convention::default()) {
                    Ok(found) => all.push(conditions_text(&found)),
                    Err(unreadable) => all.push(format!("unreadable: {}", unreadable.reason)),
                }
            }
            Segment::Words { text, .. } => all.push(format!("\"{text}\"")),
            Segment::Separator { .. } => {}
        }
    }
    all.join(" ; ")
}
