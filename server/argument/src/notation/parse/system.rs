//! A brace before several statements: `{ a_1 = 2, a_{n+1} = √(2 + a_n)` in rows.

use crate::notation::syntax::{Segment, Separator, Statement, StatementKind, Term, TermKind};

/// The segments with every brace whose rows are statements, not cases of a value, put apart.
pub(super) fn apart(segments: Vec<Segment>) -> Vec<Segment> {
    let mut found = Vec::with_capacity(segments.len());
    for segment in segments {
        match segment {
            Segment::Statement(Statement {
                kind:
                    StatementKind::Term(Term {
                        kind: TermKind::Cases(rows),
                        ..
                    }),
                ..
            }) if !rows.is_empty() && rows.iter().all(is_statement) => {
                for (position, row) in rows.into_iter().enumerate() {
                    if position > 0 {
                        let start = row.0.range.start;
                        found.push(Segment::Separator {
                            kind: Separator::Row,
                            range: start..start,
                        });
                    }
                    found.extend(statement(row));
                }
            }
            other => found.push(other),
        }
    }
    found
}

/// Whether what stands behind a row's term begins with a relation.
fn is_statement((_, behind): &(Term, Vec<Segment>)) -> bool {
    matches!(
        behind.first(),
        Some(Segment::Statement(Statement {
            kind: StatementKind::Chain { first: None, .. },
            ..
        }))
    )
}

/// A row's statement, and what follows it.
fn statement((term, behind): (Term, Vec<Segment>)) -> Vec<Segment> {
    let mut behind = behind.into_iter();
    let mut found = Vec::new();
    if let Some(Segment::Statement(Statement {
        kind: StatementKind::Chain { first: None, links },
        range,
    })) = behind.next()
    {
        let range = term.range.start..range.end;
        found.push(Segment::Statement(Statement {
            kind: StatementKind::Chain {
                first: Some(term),
                links,
            },
            range,
        }));
    }
    found.extend(behind);
    found
}
