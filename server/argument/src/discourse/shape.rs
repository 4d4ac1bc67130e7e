//! The shape of a statement: what can be told from how it is written, before names are known.

use crate::notation::syntax::{Link, Name, Sign, Statement, StatementKind, Term, TermKind};
use kernel::Relation;

/// The name that a term literally is, brackets and spacing aside, and what a threshold is chosen
/// from: `N(ε)`, `δ(ε, x)` are called N and δ.
pub(super) fn bare_name(term: &Term) -> Option<&Name> {
    match &term.kind {
        TermKind::Name(name) => Some(name),
        TermKind::Group(inner) => bare_name(inner),
        TermKind::Juxtaposed(_) => application(term)
            .filter(|(name, arguments)| {
                matches!(name.base.as_str(), "N" | "δ")
                    && arguments.iter().all(|argument| {
                        bare_name(argument).is_some_and(|from| from.base != name.base)
                    })
            })
            .map(|(name, _)| name),
        _ => None,
    }
}

/// The names of a term that is a name or a list of names (`x`, `a, b`).
pub(super) fn bare_names(term: &Term) -> Option<Vec<&Name>> {
    match &term.kind {
        TermKind::List(items) => items.iter().map(bare_name).collect(),
        _ => bare_name(term).map(|name| vec![name]),
    }
}

/// The names of an announced object: `N`, `N ∈ ℕ`.
pub(super) fn subject_names(statement: &Statement) -> Vec<&Name> {
    match &statement.kind {
        StatementKind::Term(term) => bare_names(term).unwrap_or_default(),
        _ => restriction(statement)
            .map(|restriction| restriction.names)
            .unwrap_or_default(),
    }
}

/// The name of a term that is an application `f(x)`, `f_n(x)`, or a sequence as a whole `(f_n)`,
/// or that is a name.
pub(super) fn head_name(term: &Term) -> Option<&Name> {
    match &term.kind {
        TermKind::Name(name) => Some(name),
        TermKind::Juxtaposed(factors) => match factors.as_slice() {
            [first, argument] if matches!(argument.kind, TermKind::Group(_)) => bare_name(first),
            _ => None,
        },
        TermKind::Sequence { term, .. } => head_name(term),
        TermKind::Group(inner) => head_name(inner),
        _ => None,
    }
}

/// Whether the term is an application `f(x)`, `f_n(x)` with names as arguments.
pub(super) fn application(term: &Term) -> Option<(&Name, Vec<&Term>)> {
    let TermKind::Juxtaposed(factors) = &term.kind else {
        return None;
    };
    let [first, argument] = factors.as_slice() else {
        return None;
    };
    let name = bare_name(first)?;
    let TermKind::Group(inside) = &argument.kind else {
        return None;
    };
    let arguments = match &inside.kind {
        TermKind::List(items) => items.iter().collect(),
        _ => vec![&**inside],
    };
    Some((name, arguments))
}

/// A name as the author sees it, without primes: `N_1`, `ε`, `f`.
pub(super) fn spelling(name: &Name) -> String {
    match name.subscript.as_deref().map(subscript_text) {
        Some(Some(subscript)) => format!("{}_{subscript}", name.base),
        _ => name.base.clone(),
    }
}

fn subscript_text(term: &Term) -> Option<String> {
    match &term.kind {
        TermKind::Number(text) => Some(text.clone()),
        TermKind::Name(name) => Some(spelling(name)),
        TermKind::Group(inner) => subscript_text(inner),
        _ => None,
    }
}

/// Whether a term is a set: an interval, a number set, braces, an operation on sets.
pub(super) fn is_set(term: &Term) -> bool {
    match &term.kind {
        TermKind::Interval { .. }
        | TermKind::NumberSet { .. }
        | TermKind::SetOf(_)
        | TermKind::SetBuilder { .. }
        | TermKind::SetOperation { .. } => true,
        TermKind::Group(inner) => is_set(inner),
        // `(0, 1)` and `[0, 1]` may be read as a pair in brackets.
        TermKind::List(_) => false,
        _ => false,
    }
}

/// The links of a chain.
pub(super) fn links(statement: &Statement) -> &[Link] {
    match &statement.kind {
        StatementKind::Chain { links, .. } => links,
        _ => &[],
    }
}

/// The leftmost operand of a chain, or the term.
pub(super) fn first_term(statement: &Statement) -> Option<&Term> {
    match &statement.kind {
        StatementKind::Chain { first, .. } => first.as_ref(),
        StatementKind::Term(term) => Some(term),
        _ => None,
    }
}

/// Whether the statement is a chain that begins with its relation.
pub(super) fn opens_with_relation(statement: &Statement) -> bool {
    matches!(&statement.kind, StatementKind::Chain { first: None, .. })
}

/// A statement about bare names: which names, on which side of which sign.
#[derive(Clone, Debug)]
pub(super) struct Restriction<'a> {
    /// The names that it restricts.
    pub(super) names: Vec<&'a Name>,
    /// The sign, with the names on its left.
    pub(super) sign: Sign,
    /// The other side.
    pub(super) other: Option<&'a Term>,
}

/// What a statement restricts, if it has the shape `name R term`, `term R name`,
/// `term R name R term`, `names ∈ set`.
pub(super) fn restriction(statement: &Statement) -> Option<Restriction<'_>> {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &statement.kind
    else {
        return None;
    };
    let link = links.first()?;
    // δ ≤ x ≤ 1 restricts x.
    if let [low, high] = links.as_slice()
        && ascends(low.sign)
        && ascends(high.sign)
        && bare_name(first).is_some()
        && let Some(names) = low.right.as_ref().and_then(bare_names)
    {
        return Some(Restriction {
            names,
            sign: high.sign,
            other: high.right.as_ref(),
        });
    }
    if let Some(names) = bare_names(first)
        && (!is_order_or_membership(link.sign) || links.len() <= 2)
    {
        return Some(Restriction {
            names,
            sign: link.sign,
            other: link.right.as_ref(),
        });
    }
    // |x| ≤ R restricts x.
    if let TermKind::Bars(inside) = &first.kind
        && let Some(name) = bare_name(inside)
        && name.subscript.is_none()
        && links.len() == 1
        && link.sign != Sign::Relation(Relation::Equal)
    {
        return Some(Restriction {
            names: vec![name],
            sign: link.sign,
            other: link.right.as_ref(),
        });
    }
    let right = link.right.as_ref()?;
    if links.len() <= 2
        && let Some(names) = bare_names(right)
        && let Sign::Relation(relation) = link.sign
        && relation != Relation::Equal
        && !has_bars(first)
        && (is_plain(first)
            || !names
                .iter()
                .any(|name| super::names::is_tolerance(&name.base)))
    {
        return Some(Restriction {
            names,
            sign: Sign::Relation(relation.flipped()),
            other: Some(first),
        });
    }
    None
}

fn ascends(sign: Sign) -> bool {
    matches!(sign, Sign::Relation(Relation::Less | Relation::LessEqual))
}

/// `|x − 3| < δ` restricts x rather than δ.
fn has_bars(term: &Term) -> bool {
    if matches!(term.kind, TermKind::Bars(_) | TermKind::Norm(..)) {
        return true;
    }
    let mut found = false;
    visit_term(term, &mut |part| {
        if let Part::Term(inner) = part {
            found |= has_bars(inner);
        }
    });
    found
}

/// A numeral or a name: `0 < ε` restricts ε, `1/n < ε` is a claim.
fn is_plain(term: &Term) -> bool {
    matches!(term.kind, TermKind::Number(_) | TermKind::Name(_))
}

/// Whether the sign orders or says membership (so that it can restrict a name).
pub(super) fn is_order_or_membership(sign: Sign) -> bool {
    match sign {
        Sign::In | Sign::NotIn => true,
        Sign::Relation(relation) => relation != Relation::Equal,
        _ => false,
    }
}

/// Every name that occurs in a term or statement, in the order of the text.
pub(super) fn names_of(statement: &Statement) -> Vec<&Name> {
    let mut found = Vec::new();
    names_in_statement(statement, &mut found);
    found
}

/// Every name that occurs in a term, in the order of the text.
pub(super) fn names_in(term: &Term) -> Vec<&Name> {
    let mut found = Vec::new();
    names_in_term(term, &mut found);
    found
}

/// A direct part of a term.
#[derive(Clone, Copy, Debug)]
pub(super) enum Part<'a> {
    /// An operand.
    Term(&'a Term),
    /// A condition below an operator or in braces.
    Statement(&'a Statement),
}

fn names_in_statement<'a>(statement: &'a Statement, found: &mut Vec<&'a Name>) {
    visit_statement(statement, &mut |part| names_in_part(part, found));
}

fn names_in_part<'a>(part: Part<'a>, found: &mut Vec<&'a Name>) {
    match part {
        Part::Term(term) => names_in_term(term, found),
        Part::Statement(statement) => names_in_statement(statement, found),
    }
}

fn names_in_term<'a>(term: &'a Term, found: &mut Vec<&'a Name>) {
    if let TermKind::Name(name) = &term.kind {
        found.push(name);
    }
    visit_term(term, &mut |part| names_in_part(part, found));
}

/// Calls `see` on the direct parts of a statement.
pub(super) fn visit_statement<'a>(statement: &'a Statement, see: &mut dyn FnMut(Part<'a>)) {
    match &statement.kind {
        StatementKind::Term(term) => see(Part::Term(term)),
        StatementKind::Chain { first, links } => {
            for term in first
                .iter()
                .chain(links.iter().filter_map(|link| link.right.as_ref()))
            {
                see(Part::Term(term));
            }
        }
        StatementKind::Quantified { bound, body, .. } => {
            for part in bound.iter().chain(body.as_deref()) {
                see(Part::Statement(part));
            }
        }
        StatementKind::Connected { left, right, .. } => {
            for part in left.as_deref().into_iter().chain(right.as_deref()) {
                see(Part::Statement(part));
            }
        }
        StatementKind::Mapping { name, from, to } => {
            for term in [name, from, to] {
                see(Part::Term(term));
            }
        }
        StatementKind::MapsTo {
            name,
            argument,
            value,
        } => {
            for term in name.iter().chain([argument, value]) {
                see(Part::Term(term));
            }
        }
        StatementKind::Unread(_) => {}
    }
}

/// Calls `see` on the direct parts of a term; subscripts of names count as parts.
pub(super) fn visit_term<'a>(term: &'a Term, see: &mut dyn FnMut(Part<'a>)) {
    match &term.kind {
        TermKind::Number(_)
        | TermKind::Pi
        | TermKind::Infinity
        | TermKind::Dots
        | TermKind::NumberSet { .. }
        | TermKind::Foreign(_)
        | TermKind::Unread(_) => {}
        TermKind::Name(name) => {
            for part in [&name.subscript, &name.superscript].into_iter().flatten() {
                see(Part::Term(part));
            }
        }
        TermKind::Sum(items) => items.iter().for_each(|(_, item)| see(Part::Term(item))),
        TermKind::Juxtaposed(items)
        | TermKind::Product(items)
        | TermKind::List(items)
        | TermKind::SetOf(items)
        | TermKind::Extremum { items, .. } => items.iter().for_each(|item| see(Part::Term(item))),
        TermKind::Negative(a)
        | TermKind::Bars(a)
        | TermKind::Floor(a)
        | TermKind::Ceil(a)
        | TermKind::Group(a)
        | TermKind::Factorial(a)
        | TermKind::Primed(a, _)
        | TermKind::OneSided(a, _)
        | TermKind::Struck(a) => see(Part::Term(a)),
        TermKind::PlusMinus(a, b) | TermKind::Root(a, b) => {
            for part in a.iter().chain([b]) {
                see(Part::Term(part));
            }
        }
        TermKind::Norm(a, b) => {
            for part in [a].into_iter().chain(b) {
                see(Part::Term(part));
            }
        }
        TermKind::Slash {
            numerator,
            denominator,
            trailing,
        } => {
            see(Part::Term(numerator));
            see(Part::Term(denominator));
            trailing.iter().for_each(|item| see(Part::Term(item)));
        }
        TermKind::Fraction(a, b)
        | TermKind::Power(a, b)
        | TermKind::Binomial(a, b)
        | TermKind::Interval {
            low: a, high: b, ..
        }
        | TermKind::SetOperation {
            left: a, right: b, ..
        } => {
            see(Part::Term(a));
            see(Part::Term(b));
        }
        TermKind::Call {
            base,
            power,
            argument,
            ..
        } => {
            for part in base.iter().chain(power).chain([argument]) {
                see(Part::Term(part));
            }
        }
        TermKind::Over { below, body, .. } => {
            below.iter().for_each(|part| see(Part::Statement(part)));
            body.iter().for_each(|part| see(Part::Term(part)));
        }
        _ => visit_operator(term, see),
    }
}

/// Calls `see` on the parts of sums with limits, integrals, sets, sequences and cases.
fn visit_operator<'a>(term: &'a Term, see: &mut dyn FnMut(Part<'a>)) {
    match &term.kind {
        TermKind::Series {
            below, above, body, ..
        } => {
            below.iter().for_each(|part| see(Part::Statement(part)));
            for part in above.iter().chain([body]) {
                see(Part::Term(part));
            }
        }
        TermKind::Integral { from, to, body, .. } => {
            for part in from.iter().chain(to).chain([body]) {
                see(Part::Term(part));
            }
        }
        TermKind::Derivative { body, .. } => body.iter().for_each(|part| see(Part::Term(part))),
        TermKind::SetBuilder {
            element,
            conditions,
        } => {
            see(Part::Term(element));
            conditions
                .iter()
                .for_each(|part| see(Part::Statement(part)));
        }
        TermKind::Sequence { term, index } => {
            see(Part::Term(term));
            index.iter().for_each(|part| see(Part::Statement(part)));
        }
        TermKind::Cases(rows) => rows.iter().for_each(|(value, _)| see(Part::Term(value))),
        TermKind::EvaluatedAt(a, at) => {
            see(Part::Term(a));
            see(Part::Statement(at));
        }
        // All others were seen to before.
        _ => {}
    }
}

/// `du = 2x\,dx`: an equation of differentials, as a substitution writes it.
pub(super) fn is_of_differentials(statement: &Statement) -> bool {
    let differential = |term: &Term| match &term.kind {
        TermKind::Product(factors) | TermKind::Juxtaposed(factors) => {
            factors.windows(2).any(|pair| {
                matches!((bare_name(&pair[0]), bare_name(&pair[1])), (Some(d), Some(variable))
                if d.base == "d" && d.subscript.is_none() && variable.base != "d")
            })
        }
        _ => false,
    };
    let first = first_term(statement).is_some_and(|first| match &first.kind {
        TermKind::Product(factors) | TermKind::Juxtaposed(factors) => {
            factors.len() == 2 && differential(first)
        }
        _ => false,
    });
    let links = links(statement);
    first
        && !links.is_empty()
        && links.iter().all(|link| {
            link.sign == Sign::Relation(Relation::Equal)
                && link.right.as_ref().is_some_and(differential)
        })
}
