//! Visits the parts of a syntax tree.

use super::syntax::{Segment, Statement, StatementKind, Term, TermKind};

/// Calls `see` on `term` and on every term below it, outer ones first.
pub fn terms<'t>(term: &'t Term, see: &mut dyn FnMut(&'t Term)) {
    see(term);
    each_part(term, &mut |part| match part {
        Part::Term(inner) => terms(inner, see),
        Part::Statement(inner) => statement_terms(inner, see),
        Part::Segment(inner) => segment_terms(inner, see),
    });
}

/// Calls `see` on every term of a segment.
pub fn segment_terms<'t>(segment: &'t Segment, see: &mut dyn FnMut(&'t Term)) {
    if let Segment::Statement(statement) = segment {
        statement_terms(statement, see);
    }
}

/// Calls `see` on every term of a statement, outer ones first.
pub fn statement_terms<'t>(statement: &'t Statement, see: &mut dyn FnMut(&'t Term)) {
    match &statement.kind {
        StatementKind::Term(term) => terms(term, see),
        StatementKind::Chain { first, links } => {
            if let Some(first) = first {
                terms(first, see);
            }
            for right in links.iter().filter_map(|link| link.right.as_ref()) {
                terms(right, see);
            }
        }
        StatementKind::Quantified { bound, body, .. } => {
            for inner in bound {
                statement_terms(inner, see);
            }
            if let Some(body) = body {
                statement_terms(body, see);
            }
        }
        StatementKind::Connected { left, right, .. } => {
            for side in [left, right].into_iter().flatten() {
                statement_terms(side, see);
            }
        }
        StatementKind::Mapping { name, from, to } => {
            for inner in [name, from, to] {
                terms(inner, see);
            }
        }
        StatementKind::MapsTo {
            name,
            argument,
            value,
        } => {
            for inner in name.iter().chain([argument, value]) {
                terms(inner, see);
            }
        }
        StatementKind::Unread(_) => {}
    }
}

/// The first sign or command in a statement that has no meaning.
#[must_use]
pub fn first_foreign(statement: &Statement) -> Option<&str> {
    let mut found = None;
    statement_terms(statement, &mut |term| {
        if let TermKind::Foreign(name) = &term.kind {
            found.get_or_insert(name.as_str());
        }
    });
    found
}

/// What stands directly inside of a term.
pub(super) enum Part<'t> {
    /// An operand.
    Term(&'t Term),
    /// A condition below an operator or in braces.
    Statement(&'t Statement),
    /// A part of what stands behind a case's value.
    Segment(&'t Segment),
}

/// Calls `see` on what stands directly inside `term`.
pub(super) fn each_part<'t>(term: &'t Term, see: &mut dyn FnMut(Part<'t>)) {
    let mut all = |inner: &[&'t Term]| {
        for term in inner {
            see(Part::Term(term));
        }
    };
    match &term.kind {
        TermKind::Number(_)
        | TermKind::Pi
        | TermKind::Infinity
        | TermKind::Dots
        | TermKind::NumberSet { .. }
        | TermKind::Foreign(_)
        | TermKind::Unread(_) => {}
        TermKind::Name(name) => {
            for mark in [&name.subscript, &name.superscript].into_iter().flatten() {
                all(&[mark]);
            }
        }
        TermKind::Sum(items) => all(&items.iter().map(|(_, item)| item).collect::<Vec<_>>()),
        TermKind::Juxtaposed(items)
        | TermKind::Product(items)
        | TermKind::List(items)
        | TermKind::SetOf(items)
        | TermKind::Extremum { items, .. } => all(&items.iter().collect::<Vec<_>>()),
        TermKind::Negative(a)
        | TermKind::Bars(a)
        | TermKind::Floor(a)
        | TermKind::Ceil(a)
        | TermKind::Group(a)
        | TermKind::Factorial(a)
        | TermKind::Primed(a, _)
        | TermKind::OneSided(a, _)
        | TermKind::Struck(a) => all(&[a]),
        TermKind::PlusMinus(left, right) => {
            if let Some(left) = left {
                all(&[left]);
            }
            all(&[right]);
        }
        TermKind::Slash {
            numerator,
            denominator,
            trailing,
        } => {
            all(&[numerator, denominator]);
            all(&trailing.iter().collect::<Vec<_>>());
        }
        TermKind::Fraction(a, b) | TermKind::Power(a, b) | TermKind::Binomial(a, b) => all(&[a, b]),
        TermKind::Interval {
            low: a, high: b, ..
        }
        | TermKind::SetOperation {
            left: a, right: b, ..
        } => all(&[a, b]),
        TermKind::Root(mark, inner) => {
            if let Some(mark) = mark {
                all(&[mark]);
            }
            all(&[inner]);
        }
        TermKind::Norm(inner, mark) => {
            all(&[inner]);
            if let Some(mark) = mark {
                all(&[mark]);
            }
        }
        _ => each_governed(term, see),
    }
}

/// Parts of operators, which hold statements besides terms.
fn each_governed<'t>(term: &'t Term, see: &mut dyn FnMut(Part<'t>)) {
    match &term.kind {
        TermKind::Call {
            base,
            power,
            argument,
            ..
        } => {
            for inner in [base, power].into_iter().flatten() {
                see(Part::Term(inner));
            }
            see(Part::Term(argument));
        }
        TermKind::Over { below, body, .. } => {
            for inner in below {
                see(Part::Statement(inner));
            }
            if let Some(body) = body {
                see(Part::Term(body));
            }
        }
        TermKind::Series {
            below, above, body, ..
        } => {
            if let Some(below) = below {
                see(Part::Statement(below));
            }
            if let Some(above) = above {
                see(Part::Term(above));
            }
            see(Part::Term(body));
        }
        TermKind::Integral { from, to, body, .. } => {
            for inner in [from, to].into_iter().flatten() {
                see(Part::Term(inner));
            }
            see(Part::Term(body));
        }
        TermKind::Derivative {
            body: Some(body), ..
        } => see(Part::Term(body)),
        TermKind::SetBuilder {
            element,
            conditions,
        } => {
            see(Part::Term(element));
            for inner in conditions {
                see(Part::Statement(inner));
            }
        }
        TermKind::Sequence { term, index } => {
            see(Part::Term(term));
            if let Some(index) = index {
                see(Part::Statement(index));
            }
        }
        TermKind::Cases(rows) => {
            for (value, condition) in rows {
                see(Part::Term(value));
                for inner in condition {
                    see(Part::Segment(inner));
                }
            }
        }
        TermKind::EvaluatedAt(inner, place) => {
            see(Part::Term(inner));
            see(Part::Statement(place));
        }
        _ => {}
    }
}
