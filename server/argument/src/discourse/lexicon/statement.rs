//! Statements as conditions: comparisons, memberships, sets that get a name.

use super::super::shape;
use super::{Lexicon, Lost, as_set, items_of};
use crate::notation::elaborate::{self, symbol};
use crate::notation::syntax::{Link, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Relation, Symbol};

impl Lexicon {
    /// A statement as conditions.
    pub(in crate::discourse) fn conditions(
        &self,
        statement: &Statement,
    ) -> Result<Vec<Condition>, Lost> {
        let mut found = Vec::new();
        let StatementKind::Chain {
            first: Some(first),
            links,
        } = &statement.kind
        else {
            return elaborate::conditions(statement, &self.vocabulary, &self.convention)
                .map_err(Lost::from);
        };
        let mut left = first;
        for link in links {
            let Some(right) = &link.right else {
                return Err(self.lost(statement, "it ends with its relation"));
            };
            found.extend(self.link(left, link, right, statement)?);
            left = right;
        }
        Ok(found)
    }

    /// What holds of the elements, one or several (`x, y ∈ D`).
    pub(in crate::discourse) fn members(
        &self,
        elements: &Term,
        set: &Term,
    ) -> Result<Vec<Condition>, Lost> {
        let mut found = Vec::new();
        for item in items_of(elements) {
            found.extend(self.member(set, &self.term(item)?)?);
        }
        Ok(found)
    }

    /// A comparison, each with each where several stand on a side (`x, y ≥ 1`).
    pub(in crate::discourse) fn compared(
        &self,
        left: &Term,
        relation: Relation,
        right: &Term,
    ) -> Result<Vec<Condition>, Lost> {
        let mut found = Vec::new();
        for left in items_of(left) {
            for right in items_of(right) {
                let (left, right) = self.sides(left, right)?;
                found.push(Condition::Holds(left, relation, right));
            }
        }
        Ok(found)
    }

    /// Both sides of a comparison; functions without their argument (`f_n ≥ 0`) at every point.
    fn sides(&self, left: &Term, right: &Term) -> Result<(Expr, Expr), Lost> {
        match (self.term(left), self.term(right)) {
            (Ok(left), Ok(right)) => Ok((left, right)),
            (Err(lost), _) | (_, Err(lost)) => {
                match (self.pointwise(left), self.pointwise(right)) {
                    (Ok(left), Ok(right)) => Ok((left, right)),
                    _ => Err(lost),
                }
            }
        }
    }

    /// Names a set by what holds of its elements, if the statement does (`D = [0, 1]`).
    pub(in crate::discourse) fn name_set(&mut self, statement: &Statement) -> bool {
        let [link] = shape::links(statement) else {
            return false;
        };
        let names = matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal));
        let (Some(name), Some(set)) = (
            shape::first_term(statement).and_then(shape::bare_name),
            link.right.as_ref().map(as_set),
        ) else {
            return false;
        };
        let capital = name.base.chars().next().is_some_and(char::is_uppercase);
        if !names || !capital || name.primes > 0 || !shape::is_set(&set) {
            return false;
        }
        let element = Symbol::new("\u{2}element");
        let Ok(conditions) = self.member(&set, &Expr::variable(&element)) else {
            return false;
        };
        let kind = elaborate::domain_kind(&set);
        self.vocabulary
            .declare_set(&symbol(name), element, conditions, kind);
        true
    }

    fn link(
        &self,
        left: &Term,
        link: &Link,
        right: &Term,
        statement: &Statement,
    ) -> Result<Vec<Condition>, Lost> {
        match link.sign {
            Sign::Relation(Relation::Equal)
                if matches!(right.kind, TermKind::PlusMinus(None, _)) =>
            {
                // x = ±c names two values.
                let TermKind::PlusMinus(_, inner) = &right.kind else {
                    return Ok(Vec::new());
                };
                let (left, value) = (self.term(left)?, self.term(inner)?);
                let equal = |value: Expr| Condition::Holds(left.clone(), Relation::Equal, value);
                Ok(vec![Condition::Or(vec![
                    equal(value.clone()),
                    equal(value.negative()),
                ])])
            }
            // n = 1, 2, …; x = 0, 1: one of these values, not all.
            Sign::In | Sign::Relation(Relation::Equal)
                if matches!(right.kind, TermKind::List(_)) =>
            {
                let single = Statement {
                    kind: StatementKind::Chain {
                        first: Some(left.clone()),
                        links: vec![link.clone()],
                    },
                    ..statement.clone()
                };
                elaborate::conditions(&single, &self.vocabulary, &self.convention)
                    .map_err(Lost::from)
            }
            Sign::In => self.members(left, right),
            Sign::Relation(relation) => self.compared(left, relation, right),
            Sign::Defines => {
                let (left, right) = self.sides(left, right)?;
                Ok(vec![Condition::Holds(left, Relation::Equal, right)])
            }
            _ => elaborate::conditions(statement, &self.vocabulary, &self.convention)
                .map_err(Lost::from),
        }
    }
}
