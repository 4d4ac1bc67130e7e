//! Formulas that say two things at once, as what each of them says.

use super::shape;
use crate::notation::syntax::{Link, Sign, Statement, StatementKind};
use kernel::Relation;

/// `N = N(ε) > 1/ε` tells on what N depends, and then what holds of N.
pub(super) fn without_dependence(statement: &Statement) -> Statement {
    let mut statement = statement.clone();
    if let StatementKind::Chain {
        first: Some(first),
        links,
    } = &mut statement.kind
        && links.len() > 1
        && let Some(right) = links[0].right.as_ref()
        && links[0].sign == Sign::Relation(Relation::Equal)
        && shape::application(right).is_some()
        && shape::bare_name(right).is_some_and(|name| Some(name) == shape::bare_name(first))
    {
        links.remove(0);
    }
    statement
}

/// `x ∈ D = (0, 2]` says in which set x is, and what the set is called: `x ∈ (0, 2]`, `D = (0, 2]`.
pub(super) fn with_set_named(statement: &Statement) -> Option<(Statement, Statement)> {
    let StatementKind::Chain {
        first: Some(_),
        links,
    } = &statement.kind
    else {
        return None;
    };
    let [member, named] = links.as_slice() else {
        return None;
    };
    let (set, value) = (member.right.as_ref()?, named.right.as_ref()?);
    let capital = shape::bare_name(set)?.base.chars().next()?.is_uppercase();
    let names = matches!(named.sign, Sign::Defines | Sign::Relation(Relation::Equal));
    if member.sign != Sign::In || !names || !capital || !shape::is_set(value) {
        return None;
    }
    let mut inside = statement.clone();
    if let StatementKind::Chain { links, .. } = &mut inside.kind {
        *links = vec![Link {
            right: Some(value.clone()),
            ..member.clone()
        }];
    }
    let naming = Statement {
        range: set.range.start..statement.range.end,
        kind: StatementKind::Chain {
            first: Some(set.clone()),
            links: vec![named.clone()],
        },
    };
    Some((inside, naming))
}
