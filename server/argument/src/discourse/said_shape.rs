//! Shapes that the clause grammar asks for: motions, memberships, ranges, domains.

use super::names::{Names, Use};
use super::shape;
use crate::notation::syntax::{Sign, Statement, StatementKind, Term, TermKind};
use crate::notation::walk;
use kernel::Relation;

pub(super) fn links_tend(statement: &Statement) -> bool {
    shape::links(statement)
        .iter()
        .any(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo))
}

/// n → ∞, x → c said of a bare name.
pub(super) fn is_motion(statement: &Statement) -> bool {
    let [link] = shape::links(statement) else {
        return false;
    };
    link.sign == Sign::TendsTo
        && shape::first_term(statement)
            .and_then(shape::bare_name)
            .is_some_and(|name| name.subscript.is_none())
        && link.right.as_ref().is_some_and(|right| match &right.kind {
            TermKind::Infinity | TermKind::OneSided(..) => true,
            TermKind::Negative(inner) => matches!(inner.kind, TermKind::Infinity),
            _ => shape::first_term(statement)
                .and_then(shape::bare_name)
                .is_some_and(|name| {
                    ["x", "t", "y", "s", "z", "u", "h"].contains(&name.base.as_str())
                }),
        })
}

/// x ∈ D
pub(super) fn is_membership(statement: &Statement) -> bool {
    shape::links(statement)
        .first()
        .is_some_and(|link| link.sign == Sign::In)
        && shape::restriction(statement).is_some()
}

/// A statement that can stand behind "for all": about bare names, or a list of names.
pub(super) fn is_range_shape(statement: &Statement, names: &Names) -> bool {
    match &statement.kind {
        StatementKind::Term(term) => shape::bare_names(term).is_some(),
        _ => shape::restriction(statement).is_some_and(|restriction| match restriction.sign {
            Sign::Relation(Relation::Equal) => {
                shape::links(statement).len() == 1
                    && restriction
                        .names
                        .iter()
                        .all(|name| name.primes == 0 && names.usage(name) != Use::Threshold)
            }
            sign => {
                shape::is_order_or_membership(sign)
                    && !restriction.names.iter().any(|name| names.is_member(name))
            }
        }),
    }
}

/// A comparison by order whose left side is no single name: |x − 1| < 1.
pub(super) fn is_comparison(statement: &Statement) -> bool {
    let first = shape::first_term(statement);
    let links = shape::links(statement);
    first.is_some_and(|first| shape::bare_names(first).is_none())
        && !links.is_empty()
        && links.iter().all(
            |link| matches!(link.sign, Sign::Relation(relation) if relation != Relation::Equal),
        )
}

/// A distance between simple bounds: 0 < |x − 3| < δ.
pub(super) fn is_vicinity(statement: &Statement) -> bool {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &statement.kind
    else {
        return false;
    };
    let ordered = links
        .iter()
        .all(|link| matches!(link.sign, Sign::Relation(relation) if relation != Relation::Equal));
    let simple = |term: &Term| shape::names_in(term).is_empty() || shape::bare_name(term).is_some();
    let operands: Vec<&Term> = std::iter::once(first)
        .chain(links.iter().filter_map(|link| link.right.as_ref()))
        .collect();
    // |g(x)| ≤ B bounds a value.
    let of_values = |term: &Term| {
        let mut found = false;
        walk::terms(term, &mut |part| {
            found |= shape::application(part).is_some()
        });
        found
    };
    let distances = operands
        .iter()
        .filter(|term| matches!(term.kind, TermKind::Bars(_)) && !of_values(term))
        .count();
    ordered
        && operands.len() == links.len() + 1
        && distances == 1
        && operands
            .iter()
            .all(|term| simple(term) || matches!(term.kind, TermKind::Bars(_)))
}

/// A restriction of names by order or membership.
pub(super) fn is_membership_or_order(statement: &Statement) -> bool {
    shape::restriction(statement)
        .is_some_and(|restriction| shape::is_order_or_membership(restriction.sign))
}

/// A restriction of an index or a point by order or membership.
pub(super) fn is_strict_range(statement: &Statement, names: &Names) -> bool {
    shape::restriction(statement).is_some_and(|restriction| {
        shape::is_order_or_membership(restriction.sign)
            && restriction.names.iter().all(|name| {
                matches!(names.usage(name), Use::Index | Use::Point) && name.primes == 0
            })
    })
}

pub(super) fn is_set_term(statement: &Statement) -> bool {
    matches!(&statement.kind, StatementKind::Term(term) if shape::is_set(term))
}

/// A set, or a pair that may be an interval, or a letter for a set.
pub(super) fn is_domain(term: &Term) -> bool {
    if shape::is_set(term) {
        return true;
    }
    match &term.kind {
        TermKind::Name(name) => name.base.chars().all(char::is_uppercase) && name.primes == 0,
        TermKind::Group(inner) => matches!(&inner.kind, TermKind::List(items) if items.len() == 2),
        _ => false,
    }
}

/// `f_n(x) = …`, `f(x) = …`
pub(super) fn defines_application(statement: &Statement) -> bool {
    shape::links(statement)
        .first()
        .is_some_and(|link| matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal)))
        && shape::first_term(statement).is_some_and(|term| shape::application(term).is_some())
}

/// Whether the statement's leftmost term is a size: |a| ≤ b.
pub(super) fn begins_with_size(statement: &Statement) -> bool {
    shape::first_term(statement)
        .is_some_and(|term| matches!(term.kind, TermKind::Bars(_) | TermKind::Norm(..)))
}

/// A value worked out in at least two equations: a = b = c.
pub(super) fn works_out(statement: &Statement) -> bool {
    let links = shape::links(statement);
    links.len() >= 2
        && links
            .iter()
            .all(|link| link.sign == Sign::Relation(Relation::Equal))
}
