//! Definite integrals: computed where they are read, so that what follows speaks of numbers.

use super::domain::infinite;
use super::{Elaborator, Failure, symbol};
use crate::notation::syntax::{Name, Term, TermKind};
use kernel::{Condition, Expr, Kind, Node, Relation, Symbol, Variable};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Integrals that were computed, or tried in vain: a draft is read more than once.
#[derive(Clone, Debug, Default)]
pub(super) struct Computed(Arc<Mutex<HashMap<Integral, Option<Expr>>>>);

/// What was computed says nothing of what names mean.
impl PartialEq for Computed {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

#[derive(Clone, PartialEq, Eq, Hash, Debug)]
struct Integral {
    body: Expr,
    variable: Symbol,
    from: Expr,
    /// ∞ if there is none.
    to: Option<Expr>,
    integers: Vec<Symbol>,
}

impl Computed {
    fn value(&self, integral: &Integral) -> Option<Expr> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known
            .entry(integral.clone())
            .or_insert_with(|| integral.value())
            .clone()
    }
}

impl Integral {
    /// The closed form, for all integers for which it was proved: all, those other than 0, from 0
    /// on, from 1 on; and all other reals. It has no value for other integers.
    fn value(&self) -> Option<Expr> {
        let mut names = self.body.variables();
        names.extend(self.from.variables());
        names.extend(self.to.iter().flat_map(Expr::variables));
        names.remove(&self.variable);
        let others: Vec<Variable> = names
            .into_iter()
            .map(|name| Variable {
                kind: match self.integers.contains(&name) {
                    true => Kind::Integer,
                    false => Kind::Real,
                },
                name,
            })
            .collect();
        let integers: Vec<Expr> = others
            .iter()
            .filter(|variable| variable.kind == Kind::Integer)
            .map(|variable| Expr::variable(&variable.name))
            .collect();
        let bounds = [
            (Relation::NotEqual, 0),
            (Relation::GreaterEqual, 0),
            (Relation::GreaterEqual, 1),
        ];
        let bounded = bounds.iter().filter(|_| !integers.is_empty());
        std::iter::once(None)
            .chain(bounded.map(Some))
            .find_map(|bound| {
                let known: Vec<Condition> = bound
                    .into_iter()
                    .flat_map(|(relation, least)| {
                        let told = |own: &Expr| {
                            Condition::Holds(own.clone(), *relation, Expr::integer(*least))
                        };
                        integers.iter().map(told)
                    })
                    .collect();
                let (body, variable, from) = (&self.body, &self.variable, &self.from);
                let value = match &self.to {
                    Some(to) => {
                        kernel::integral::definite(body, variable, (from, to), &others, &known)
                    }
                    None => kernel::integral::improper(body, variable, from, &others, &known),
                }?;
                // Only there was it shown to be the integral.
                Some(match known.as_slice() {
                    [] => value,
                    [one] => Node::Piecewise(vec![(one.clone(), value)]).into(),
                    _ => Node::Piecewise(vec![(Condition::And(known), value)]).into(),
                })
            })
    }
}

impl Elaborator<'_> {
    /// `\int_a^b body \,dx` in closed form. Functions that stand without their argument are taken
    /// at the variable of integration.
    pub(super) fn integral(&self, term: &Term) -> Result<Expr, Failure> {
        let TermKind::Integral {
            from,
            to,
            body,
            variable,
        } = &term.kind
        else {
            return Err(Failure::at(term, "this is no integral"));
        };
        let (from, to) = match (from.as_deref(), to.as_deref()) {
            (Some(from), Some(to)) => (from, to),
            (Some(set), None) => match &set.kind {
                TermKind::Interval { low, high, .. } => (low.as_ref(), high.as_ref()),
                _ => {
                    return Err(Failure::at(
                        term,
                        "over which interval this is taken is not read",
                    ));
                }
            },
            _ => {
                return Err(Failure::at(
                    term,
                    "over which interval this is taken is not read",
                ));
            }
        };
        if infinite(from).is_some() || infinite(to) == Some(true) {
            return Err(Failure::at(term, "integrals from −∞ are not decided"));
        }
        let inside = differential_inside(body);
        let (variable, body) = match (&inside, variable.as_str(), self.vocabulary.points()) {
            (Some((name, rest)), "", _) => (symbol(name), rest),
            (None, "", [point]) => (point.clone(), body.as_ref()),
            (None, "", _) => (Symbol::new("x"), body.as_ref()),
            (_, name, _) => (Symbol::new(name), body.as_ref()),
        };
        let mut inside = self.vocabulary.at_points(std::slice::from_ref(&variable));
        inside.declare_variable(&variable, Kind::Real);
        let integral = Integral {
            body: self.under(&inside).value(body)?,
            from: self.value(from)?,
            to: match infinite(to) {
                Some(_) => None,
                None => Some(self.value(to)?),
            },
            integers: self.integers(),
            variable,
        };
        if !integral.body.unknown_functions().is_empty() {
            return Err(Failure::at(
                term,
                "integrals of unknown functions are not decided",
            ));
        }
        self.vocabulary
            .computed()
            .value(&integral)
            .ok_or_else(|| Failure::at(term, "this integral was not computed"))
    }

    fn integers(&self) -> Vec<Symbol> {
        self.vocabulary
            .names()
            .filter(|name| self.vocabulary.kind(name) == Some(Kind::Integer))
            .cloned()
            .collect()
    }
}

/// `\frac{dx}{1+x^2}`, `dx/x`: the variable, and the integrand without the differential.
fn differential_inside(body: &Term) -> Option<(Name, Term)> {
    let with = |kind: TermKind| Term {
        kind,
        range: body.range.clone(),
    };
    match &body.kind {
        TermKind::Group(inner) => differential_inside(inner),
        TermKind::Negative(inner) => {
            let (name, rest) = differential_inside(inner)?;
            Some((name, with(TermKind::Negative(Box::new(rest)))))
        }
        TermKind::Fraction(above, below) => {
            let (name, rest) = without_differential(above)?;
            let kind = TermKind::Fraction(Box::new(rest), below.clone());
            Some((name, with(kind)))
        }
        TermKind::Slash {
            numerator,
            denominator,
            trailing,
        } => {
            let (name, rest) = without_differential(numerator)?;
            let kind = TermKind::Slash {
                numerator: Box::new(rest),
                denominator: denominator.clone(),
                trailing: trailing.clone(),
            };
            Some((name, with(kind)))
        }
        TermKind::Juxtaposed(items) => {
            let (last, before) = items.split_last()?;
            let (name, rest) = differential_inside(last)?;
            let mut items = before.to_vec();
            items.push(rest);
            Some((name, with(TermKind::Juxtaposed(items))))
        }
        _ => None,
    }
}

/// `2x\,dx` as x and 2x; 1 where nothing stands before the differential.
fn without_differential(above: &Term) -> Option<(Name, Term)> {
    let TermKind::Juxtaposed(items) = &above.kind else {
        return None;
    };
    let [before @ .., sign, point] = items.as_slice() else {
        return None;
    };
    let (TermKind::Name(sign), TermKind::Name(name)) = (&sign.kind, &point.kind) else {
        return None;
    };
    let plain = sign.base == "d" && sign.subscript.is_none() && sign.superscript.is_none();
    let kind = match before {
        [] => TermKind::Number("1".to_owned()),
        [one] => one.kind.clone(),
        more => TermKind::Juxtaposed(more.to_vec()),
    };
    plain.then(|| {
        let rest = Term {
            kind,
            range: above.range.clone(),
        };
        (name.clone(), rest)
    })
}
