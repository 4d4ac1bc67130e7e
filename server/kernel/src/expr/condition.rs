//! Conditions: their parts, and the same statement over other expressions.

use super::{Condition, Expr, Node, Relation, Symbol};
use std::collections::BTreeSet;

/// Marks the indicator function of a set of which nothing is known.
const MEMBER: &str = "∈";

impl Condition {
    /// That `element` belongs to a set of which nothing but its name is known: the value 1 of an
    /// unknown function of the element.
    #[must_use]
    pub fn membership(set: &str, element: &Expr) -> Self {
        let indicator = Node::Apply(
            Symbol::new(&format!("{MEMBER}{set}")),
            vec![element.clone()],
        );
        Self::Holds(indicator.into(), Relation::Equal, Expr::integer(1))
    }

    /// The element and the name of the set, of a [`Condition::membership`].
    #[must_use]
    pub fn as_membership(&self) -> Option<(&Expr, &str)> {
        let Self::Holds(left, Relation::Equal, _) = self else {
            return None;
        };
        let Node::Apply(function, arguments) = left.node() else {
            return None;
        };
        let set = function.as_str().strip_prefix(MEMBER)?;
        Some((arguments.first()?, set))
    }

    /// Calls `see` on every expression inside and their sub-expressions.
    pub fn visit(&self, see: &mut dyn FnMut(&Expr)) {
        match self {
            Self::Holds(left, _, right) => {
                left.visit(see);
                right.visit(see);
            }
            Self::And(items) | Self::Or(items) => {
                for item in items {
                    item.visit(see);
                }
            }
            Self::Not(inner) => inner.visit(see),
            Self::Integer(value) => value.visit(see),
        }
    }

    /// The same statement over changed sides.
    #[must_use]
    pub fn map(&self, change: &mut dyn FnMut(&Expr) -> Expr) -> Condition {
        match self {
            Self::Holds(left, relation, right) => {
                Self::Holds(change(left), *relation, change(right))
            }
            Self::And(items) => Self::And(items.iter().map(|item| item.map(change)).collect()),
            Self::Or(items) => Self::Or(items.iter().map(|item| item.map(change)).collect()),
            Self::Not(inner) => Self::Not(Box::new(inner.map(change))),
            Self::Integer(value) => Self::Integer(change(value)),
        }
    }

    /// The members of nested conjunctions, the last first.
    #[must_use]
    pub fn conjuncts(&self) -> Vec<Condition> {
        match self {
            Self::And(items) => items.iter().rev().flat_map(Self::conjuncts).collect(),
            other => vec![other.clone()],
        }
    }

    /// The members of a disjunction; a negated conjunction is one.
    #[must_use]
    pub fn alternatives(&self) -> Option<Vec<Condition>> {
        match self {
            Self::Or(items) => Some(items.clone()),
            Self::Not(inner) => match inner.as_ref() {
                Self::And(items) => {
                    let denied = |item: &Self| Self::Not(Box::new(item.clone()));
                    Some(items.iter().map(denied).collect())
                }
                Self::Not(item) => item.alternatives(),
                _ => None,
            },
            _ => None,
        }
    }

    /// The same statement over changed sides, if all of them can be changed.
    #[must_use]
    pub fn try_map(&self, change: &mut dyn FnMut(&Expr) -> Option<Expr>) -> Option<Condition> {
        let mut complete = true;
        let changed = self.map(&mut |side| {
            change(side).unwrap_or_else(|| {
                complete = false;
                side.clone()
            })
        });
        complete.then_some(changed)
    }

    /// Replaces the free variable `name` by `value`.
    #[must_use]
    pub fn substitute(&self, name: &Symbol, value: &Expr) -> Condition {
        self.map(&mut |side| side.substitute(name, value))
    }

    /// The free variables, in the order of their names.
    #[must_use]
    pub fn variables(&self) -> BTreeSet<Symbol> {
        match self {
            Self::Holds(left, _, right) => {
                let mut all = left.variables();
                all.extend(right.variables());
                all
            }
            Self::And(items) | Self::Or(items) => {
                items.iter().flat_map(Condition::variables).collect()
            }
            Self::Not(inner) => inner.variables(),
            Self::Integer(value) => value.variables(),
        }
    }
}
