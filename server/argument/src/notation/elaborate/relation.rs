//! Chains into links, statements into conditions.

use super::domain::{infinite, together};
use super::{Elaborator, Failure, PlusMinus, Unreadable};
use crate::notation::syntax::{Connective, Link, Sign, Statement, StatementKind, Term, TermKind};
use crate::notation::walk;
use kernel::{Condition, Expr, Relation};
use std::ops::Range;

/// One link of a chain with its meaning.
#[derive(Clone, PartialEq, Debug)]
pub struct LinkMeaning {
    /// From the left operand to the right one; from the sign where the left operand stands
    /// elsewhere.
    pub range: Range<usize>,
    /// The sign.
    pub sign: Sign,
    /// What the link says.
    pub content: Result<LinkContent, Unreadable>,
}

/// What a link says.
#[derive(Clone, PartialEq, Debug)]
pub enum LinkContent {
    /// left R right (`:=` counts as =).
    Relation {
        /// Left side.
        left: Expr,
        /// The relation.
        relation: Relation,
        /// Right side.
        right: Expr,
    },
    /// Several at once: memberships, lists (`x, y > 0`), both signs of ±.
    Conditions(Vec<Condition>),
    /// left → right.
    TendsTo {
        /// What moves.
        left: Expr,
        /// Whereto; `None` for +∞ or −∞.
        right: Option<Expr>,
        /// Whereto it moves without bound: −∞ (else +∞). Meaningless with a `right`.
        to_minus_infinity: bool,
        /// Written as uniform convergence.
        uniform: bool,
    },
    /// The right side stands elsewhere: what is on the left.
    Open {
        /// Left side.
        left: Expr,
    },
}

impl Elaborator<'_> {
    pub(super) fn links(&self, statement: &Statement, carried: Option<&Expr>) -> Vec<LinkMeaning> {
        let StatementKind::Chain { first, links } = &statement.kind else {
            let content = self
                .statement_conditions(statement)
                .map(LinkContent::Conditions)
                .map_err(|failure| failure.within_statement(statement));
            return vec![LinkMeaning {
                range: statement.range.clone(),
                sign: Sign::About,
                content,
            }];
        };
        let mut found = Vec::new();
        let mut left = first.as_ref();
        for (position, link) in links.iter().enumerate() {
            let operand = match left {
                Some(term) => Operand::Term(term),
                None if position == 0 => match carried {
                    Some(expr) => Operand::Carried(expr),
                    None => Operand::Missing,
                },
                None => Operand::Missing,
            };
            found.push(self.link(&operand, link));
            left = link.right.as_ref();
        }
        found
    }

    fn link(&self, left: &Operand<'_>, link: &Link) -> LinkMeaning {
        let start = match left {
            Operand::Term(term) => term.range.start,
            _ => link.sign_range.start,
        };
        let end = link
            .right
            .as_ref()
            .map_or(link.sign_range.end, |right| right.range.end);
        let content = self.link_content(left, link).map_err(|failure| {
            let mut names = Vec::new();
            if let Operand::Term(term) = left {
                names = super::names(term);
            }
            if let Some(right) = &link.right {
                for name in super::names(right) {
                    if !names.contains(&name) {
                        names.push(name);
                    }
                }
            }
            Unreadable {
                reason: failure.reason,
                names,
                range: failure.range,
            }
        });
        LinkMeaning {
            range: start..end.max(start),
            sign: link.sign,
            content,
        }
    }

    fn link_content(&self, left: &Operand<'_>, link: &Link) -> Result<LinkContent, Failure> {
        let Some(right) = &link.right else {
            let left = self.operand(left, link)?;
            return Ok(LinkContent::Open { left });
        };
        match link.sign {
            Sign::Relation(relation) => self.relation(left, relation, right, link),
            Sign::Defines => self.relation(left, Relation::Equal, right, link),
            Sign::In => {
                let mut all = Vec::new();
                for element in self.operands(left, link)? {
                    all.extend(self.elements(right, &element)?);
                }
                Ok(LinkContent::Conditions(all))
            }
            Sign::NotIn => {
                let mut all = Vec::new();
                for element in self.operands(left, link)? {
                    let inside = together(self.membership(right, &element)?);
                    all.push(Condition::Not(Box::new(inside)));
                }
                Ok(LinkContent::Conditions(all))
            }
            Sign::TendsTo | Sign::TendsDownTo | Sign::TendsUpTo | Sign::TendsUniformlyTo => {
                let left = self.operand(left, link)?;
                let to = infinite(right);
                let right = match to {
                    Some(_) => None,
                    None => Some(self.value(right)?),
                };
                Ok(LinkContent::TendsTo {
                    left,
                    right,
                    to_minus_infinity: to == Some(true),
                    uniform: link.sign == Sign::TendsUniformlyTo,
                })
            }
            Sign::Subset => Err(refused(link, "an inclusion of sets is not decided")),
            Sign::About => Err(refused(
                link,
                "this sign makes no claim that can be decided",
            )),
        }
    }

    fn relation(
        &self,
        left: &Operand<'_>,
        relation: Relation,
        right: &Term,
        link: &Link,
    ) -> Result<LinkContent, Failure> {
        let both_signs = left.has_plus_minus() || has_plus_minus(right);
        if both_signs && self.plus_minus == PlusMinus::Refused {
            let mut all = Vec::new();
            for sign in [PlusMinus::Plus, PlusMinus::Minus] {
                let reading = Elaborator {
                    plus_minus: sign,
                    ..*self
                };
                match reading.relation(left, relation, right, link)? {
                    LinkContent::Relation {
                        left,
                        relation,
                        right,
                    } => all.push(Condition::Holds(left, relation, right)),
                    LinkContent::Conditions(more) => all.extend(more),
                    _ => {}
                }
            }
            // x = ±1 says that one of the two holds; |a ± b| ≤ c says both.
            return Ok(LinkContent::Conditions(
                if relation == Relation::Equal && !left.has_plus_minus() {
                    vec![Condition::Or(all)]
                } else {
                    all
                },
            ));
        }
        let lefts = self.operands(left, link)?;
        if let Some(endless) = infinite(right) {
            // n < ∞ holds of every number.
            let holds = matches!(
                (relation, endless),
                (Relation::Less | Relation::LessEqual, false)
                    | (Relation::Greater | Relation::GreaterEqual, true)
            );
            return if holds {
                Ok(LinkContent::Conditions(Vec::new()))
            } else {
                Err(Failure::at(right, "∞ is no number"))
            };
        }
        if relation == Relation::Equal
            && let TermKind::List(items) = &right.kind
        {
            let mut all = Vec::new();
            for element in &lefts {
                all.extend(self.listed_values(items, element, right)?);
            }
            return Ok(LinkContent::Conditions(all));
        }
        let rights = self.values(right)?;
        if let ([left], [right]) = (lefts.as_slice(), rights.as_slice()) {
            return Ok(LinkContent::Relation {
                left: left.clone(),
                relation,
                right: right.clone(),
            });
        }
        let mut all = Vec::new();
        for left in &lefts {
            for right in &rights {
                all.push(Condition::Holds(left.clone(), relation, right.clone()));
            }
        }
        Ok(LinkContent::Conditions(all))
    }

    /// `n = 1, 2, …`, `x = 0, 1`.
    fn listed_values(
        &self,
        items: &[Term],
        element: &Expr,
        whole: &Term,
    ) -> Result<Vec<Condition>, Failure> {
        if items.iter().any(|item| matches!(item.kind, TermKind::Dots)) {
            return self.dotted_list(items, element, whole);
        }
        let mut choices = Vec::new();
        for item in items {
            choices.push(Condition::Holds(
                element.clone(),
                Relation::Equal,
                self.value(item)?,
            ));
        }
        Ok(vec![Condition::Or(choices)])
    }

    /// Membership behind ∈, where a list with dots counts as a set.
    fn elements(&self, set: &Term, element: &Expr) -> Result<Vec<Condition>, Failure> {
        match &set.kind {
            TermKind::List(items) => self.listed_values(items, element, set),
            _ => self.membership(set, element),
        }
    }

    /// The values of a term or of each item of a list.
    fn values(&self, term: &Term) -> Result<Vec<Expr>, Failure> {
        match &term.kind {
            TermKind::List(items) => items
                .iter()
                .filter(|item| !matches!(item.kind, TermKind::Dots))
                .map(|item| self.value(item))
                .collect(),
            _ => Ok(vec![self.value(term)?]),
        }
    }

    fn operands(&self, left: &Operand<'_>, link: &Link) -> Result<Vec<Expr>, Failure> {
        match left {
            Operand::Term(term) => match infinite(term) {
                Some(_) => Err(Failure::at(term, "∞ is no number")),
                None => self.values(term),
            },
            _ => Ok(vec![self.operand(left, link)?]),
        }
    }

    fn operand(&self, left: &Operand<'_>, link: &Link) -> Result<Expr, Failure> {
        match left {
            Operand::Term(term) => self.value(term),
            Operand::Carried(expr) => Ok((*expr).clone()),
            Operand::Missing => Err(refused(link, "the left side of this relation is missing")),
        }
    }

    /// A statement as conditions that hold together.
    pub(super) fn statement_conditions(
        &self,
        statement: &Statement,
    ) -> Result<Vec<Condition>, Failure> {
        let fail = |reason: &str| {
            Err(Failure {
                reason: reason.to_owned(),
                range: statement.range.clone(),
            })
        };
        match &statement.kind {
            StatementKind::Chain { .. } => {
                let mut all = Vec::new();
                for link in self.links(statement, None) {
                    match link.content {
                        Ok(LinkContent::Relation {
                            left,
                            relation,
                            right,
                        }) => all.push(Condition::Holds(left, relation, right)),
                        Ok(LinkContent::Conditions(more)) => all.extend(more),
                        Ok(_) => return fail("this is no condition on numbers"),
                        Err(found) => {
                            return Err(Failure {
                                reason: found.reason,
                                range: found.range,
                            });
                        }
                    }
                }
                Ok(all)
            }
            StatementKind::Connected {
                left: Some(left),
                connective,
                right: Some(right),
                ..
            } => {
                let mut first = self.statement_conditions(left)?;
                let second = self.statement_conditions(right)?;
                match connective {
                    Connective::And => {
                        first.extend(second);
                        Ok(first)
                    }
                    Connective::Or => {
                        Ok(vec![Condition::Or(vec![together(first), together(second)])])
                    }
                    _ => fail("an implication stands where a condition is expected"),
                }
            }
            StatementKind::Unread(reason) => fail(reason),
            StatementKind::Quantified { .. } => {
                fail("a quantified statement is no plain condition")
            }
            _ => fail("a relation is missing here"),
        }
    }
}

/// A link's left side.
enum Operand<'t> {
    Term(&'t Term),
    Carried(&'t Expr),
    Missing,
}

impl Operand<'_> {
    fn has_plus_minus(&self) -> bool {
        matches!(self, Self::Term(term) if has_plus_minus(term))
    }
}

fn has_plus_minus(term: &Term) -> bool {
    let mut found = false;
    walk::terms(term, &mut |inner| {
        found |= matches!(inner.kind, TermKind::PlusMinus(..));
    });
    found
}

fn refused(link: &Link, reason: &str) -> Failure {
    Failure {
        reason: reason.to_owned(),
        range: link.sign_range.clone(),
    }
}
