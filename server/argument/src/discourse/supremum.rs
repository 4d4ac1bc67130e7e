//! Suprema and sup norms: what they assert, and uniform convergence said by them.

use super::assertion::{Meaning, Said, index_of};
use super::entry::Operand;
use super::lexicon::{Lexicon, Lost, error_of};
use super::outline::{Assertion, ErrorTerm};
use crate::notation::elaborate::{self, ExtremumParts, Unreadable};
use crate::notation::syntax::{Operator, Term, TermKind};
use kernel::{Condition, Expr, Node, Relation, Symbol};

/// `sup … R value`
pub(super) fn extremum(
    lexicon: &Lexicon,
    left: &Operand,
    relation: Relation,
    right: &Operand,
) -> Option<Meaning> {
    let parts = match parts_of(lexicon, &left.term)? {
        Ok(parts) => parts,
        Err(unreadable) => return Some(Err(unreadable.into())),
    };
    let value = match &right.value {
        Ok(value) => value.clone(),
        Err(lost) => return Some(Err(lost.clone())),
    };
    let mut conditions = parts.conditions;
    let mut points = parts.points;
    if points.is_empty() {
        points = points_of(lexicon, &parts.body);
    }
    if points.is_empty() {
        return Some(Err(Lost::because(
            "it does not tell over which points the extremum is taken",
            elaborate::names(&left.term),
        )));
    }
    if let Some(set) = &parts.set {
        for point in &points {
            match lexicon.member(set, &Expr::variable(point)) {
                Ok(more) => conditions.extend(more),
                Err(lost) => return Some(Err(lost)),
            }
        }
    } else if conditions.is_empty() {
        for point in &points {
            if let Some(domain) = lexicon.domains.get(point) {
                if let Some(reason) = &domain.unread {
                    return Some(Err(Lost::because(reason, points)));
                }
                conditions.extend(domain.conditions.iter().cloned());
            }
        }
    }
    let mut body = parts.body;
    // "|f_n(x)| ≤ sup |f_n|": the x of the supremum is another one.
    for point in points.iter_mut().filter(|point| value.mentions(point)) {
        let own = Symbol::new(&format!("{point}′"));
        let inside = Expr::variable(&own);
        body = body.substitute(point, &inside);
        for condition in &mut conditions {
            *condition = condition.substitute(point, &inside);
        }
        *point = own;
    }
    Some(Ok(Said::of(Assertion::Extremum {
        greatest: parts.greatest,
        term: body,
        points,
        conditions,
        relation,
        value,
    })))
}

/// A supremum norm `‖f_n − f‖` as the supremum that it is.
pub(super) fn supremum_of(lexicon: &Lexicon, term: &Term) -> Term {
    let at = |kind: TermKind| Term {
        kind,
        range: term.range.clone(),
    };
    match &term.kind {
        TermKind::Group(inner) => supremum_of(lexicon, inner),
        TermKind::Norm(inner, _) if !lexicon.points().is_empty() => at(TermKind::Over {
            operator: Operator::Supremum,
            below: Vec::new(),
            body: Some(Box::new(at(TermKind::Bars(inner.clone())))),
        }),
        _ => term.clone(),
    }
}

/// What stands under a supremum, functions without their argument taken at the points.
fn parts_of(lexicon: &Lexicon, term: &Term) -> Option<Result<ExtremumParts, Unreadable>> {
    let term = supremum_of(lexicon, term);
    elaborate::extremum_parts(&term, &lexicon.at_points(), &lexicon.convention)
}

/// The points that occur in an expression: of the sequence at hand, else names used as points.
pub(super) fn points_of(lexicon: &Lexicon, body: &Expr) -> Vec<Symbol> {
    let variables = body.variables();
    if let Some(family) = &lexicon.family {
        let points: Vec<Symbol> = family
            .points
            .iter()
            .filter(|point| variables.contains(*point))
            .cloned()
            .collect();
        if !points.is_empty() {
            return points;
        }
    }
    variables
        .into_iter()
        .filter(|name| ["x", "y", "t", "z", "s"].contains(&name.as_str()))
        .take(1)
        .collect()
}

/// `sup_x |e_n(x)| → 0`: uniform convergence of what stands under the supremum.
pub(super) fn supremum_vanishes(lexicon: &Lexicon, term: &Term) -> Option<Meaning> {
    let parts = match parts_of(lexicon, term)? {
        Ok(parts) => parts,
        Err(unreadable) => return Some(Err(unreadable.into())),
    };
    if !parts.greatest {
        return Some(Err(Lost::because(
            "the limit of an infimum is not decided",
            elaborate::names(term),
        )));
    }
    let Some(index) = index_of(lexicon, &parts.body) else {
        return Some(Err(Lost::because(
            "it does not tell what moves in the limit",
            elaborate::names(term),
        )));
    };
    let mut conditions = parts.conditions;
    let points = if parts.points.is_empty() {
        points_of(lexicon, &parts.body)
    } else {
        parts.points
    };
    if let Some(set) = &parts.set {
        for point in &points {
            match lexicon.member(set, &Expr::variable(point)) {
                Ok(more) => conditions.extend(more),
                Err(lost) => return Some(Err(lost)),
            }
        }
    } else if conditions.is_empty() {
        for point in &points {
            if let Some(domain) = lexicon.domains.get(point) {
                conditions.extend(domain.conditions.iter().cloned());
            }
        }
    }
    conditions.insert(
        0,
        Condition::Holds(
            Expr::variable(&index),
            Relation::GreaterEqual,
            Expr::integer(1),
        ),
    );
    let same_family =
        lexicon
            .family
            .as_ref()
            .zip(lexicon.limit.as_ref())
            .filter(|(family, limit)| {
                parts.body == error_of(&family.term, limit)
                    || parts.body == family.term.minus(limit).abs()
            });
    let (term, limit) = match same_family {
        Some((family, limit)) => (family.term.clone(), limit.clone()),
        None => (parts.body.clone(), Expr::integer(0)),
    };
    Some(Ok(Said::of(Assertion::Convergence {
        error: ErrorTerm {
            error: absolute(&parts.body),
            term,
            limit,
            index,
            points,
            conditions,
            uniform: true,
            pointed: false,
        },
        negated: false,
    })))
}

pub(super) fn absolute(body: &Expr) -> Expr {
    match body.node() {
        Node::Call(kernel::Function::Abs, _) => body.clone(),
        _ => body.abs(),
    }
}
