//! Limits and suprema taken apart: operator, what moves or ranges, whereto, the body.

use super::domain::{self, infinite};
use super::vocabulary::{Vocabulary, symbol};
use super::{Elaborator, Failure, Unreadable};
use crate::discourse::outline::Toward;
use crate::notation::convention::Convention;
use crate::notation::syntax::{Operator, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Kind, Relation, Symbol};

/// A limit, taken apart.
#[derive(Clone, PartialEq, Debug)]
pub struct LimitParts {
    /// lim, lim sup or lim inf.
    pub operator: Operator,
    /// What moves, `None` for a bare `lim`.
    pub variable: Option<Symbol>,
    /// Whereto it moves, `None` where nothing is written below.
    pub toward: Option<Toward>,
    /// Further conditions below.
    pub conditions: Vec<Condition>,
    /// What the limit is taken of, `None` if it stands elsewhere.
    pub body: Option<Expr>,
}

/// A supremum, infimum, maximum or minimum over a set, taken apart.
#[derive(Clone, PartialEq, Debug)]
pub struct ExtremumParts {
    /// Supremum or maximum (else infimum or minimum).
    pub greatest: bool,
    /// The names that it runs over, as written below (`x` in `\sup_{x ∈ D}`, `\sup_x`).
    pub points: Vec<Symbol>,
    /// Which numbers each of them is.
    pub kinds: Vec<Kind>,
    /// What holds of them.
    pub conditions: Vec<Condition>,
    /// A set written without a name (`\sup_{[0,1]}`, `\sup_D`): its place is for the caller, who
    /// knows the point's name.
    pub set: Option<Term>,
    /// What it is taken of.
    pub body: Expr,
}

/// Takes a limit apart; `None` if the term is none.
///
/// # Errors
/// What stands below or the body is not understood.
#[must_use]
pub fn limit_parts(
    term: &Term,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Option<Result<LimitParts, Unreadable>> {
    match &term.kind {
        TermKind::Group(inner) => limit_parts(inner, vocabulary, convention),
        TermKind::Over {
            operator:
                operator @ (Operator::Limit | Operator::LimitSuperior | Operator::LimitInferior),
            below,
            body,
        } => {
            let elaborator = Elaborator::new(vocabulary, convention);
            let parts = elaborator.limit(*operator, below, body.as_deref());
            Some(parts.map_err(|failure| failure.within(term)))
        }
        _ => None,
    }
}

/// Takes a supremum (maximum, infimum, minimum) over a set apart; `None` if the term is none.
///
/// # Errors
/// What stands below or the body is not understood.
#[must_use]
pub fn extremum_parts(
    term: &Term,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Option<Result<ExtremumParts, Unreadable>> {
    match &term.kind {
        TermKind::Group(inner) => extremum_parts(inner, vocabulary, convention),
        TermKind::Over {
            operator: operator @ (Operator::Supremum | Operator::Infimum),
            below,
            body,
        } => {
            let elaborator = Elaborator::new(vocabulary, convention);
            let greatest = *operator == Operator::Supremum;
            let parts = elaborator.over_points(greatest, below, body.as_deref(), term);
            Some(parts.map_err(|failure| failure.within(term)))
        }
        _ => None,
    }
}

impl Elaborator<'_> {
    fn limit(
        &self,
        operator: Operator,
        below: &[Statement],
        body: Option<&Term>,
    ) -> Result<LimitParts, Failure> {
        let mut variable = None;
        let mut toward = None;
        let mut rest = Vec::new();
        for statement in below {
            match approach(statement) {
                Some((name, place)) if variable.is_none() => {
                    variable = Some(name);
                    toward = Some(self.toward(place)?);
                }
                _ => match &statement.kind {
                    StatementKind::Term(term) if variable.is_none() => match &term.kind {
                        TermKind::Name(name) => variable = Some(symbol(name)),
                        _ => {
                            return Err(Failure::at(
                                term,
                                "what stands below the limit is not understood",
                            ));
                        }
                    },
                    _ => rest.push(statement),
                },
            }
        }
        let mut inside = self.vocabulary.clone();
        if let Some(name) = &variable
            && !inside.is_declared(name)
        {
            let kind = match toward {
                Some(Toward::Infinity) | None if is_index_letter(name) => Kind::Integer,
                _ => Kind::Real,
            };
            inside.declare_variable(name, kind);
        }
        let reading = self.under(&inside);
        let mut conditions = Vec::new();
        for statement in rest {
            conditions.extend(reading.statement_conditions(statement)?);
        }
        let body = body.map(|body| reading.value(body)).transpose()?;
        Ok(LimitParts {
            operator,
            variable,
            toward,
            conditions,
            body,
        })
    }

    fn toward(&self, place: &Term) -> Result<Toward, Failure> {
        match infinite(place) {
            Some(false) => Ok(Toward::Infinity),
            Some(true) => Ok(Toward::MinusInfinity),
            None => match one_sided(place) {
                Some((place, true)) => self.value(&place).map(Toward::Above),
                Some((place, false)) => self.value(&place).map(Toward::Below),
                None => self.value(place).map(Toward::Point),
            },
        }
    }

    fn over_points(
        &self,
        greatest: bool,
        below: &[Statement],
        body: Option<&Term>,
        term: &Term,
    ) -> Result<ExtremumParts, Failure> {
        let Some(body) = body else {
            return Err(Failure::at(
                term,
                "what the supremum is taken of is missing",
            ));
        };
        let mut inside = self.vocabulary.clone();
        let mut points = Vec::new();
        let mut set = None;
        let mut rest = Vec::new();
        for statement in below {
            match &statement.kind {
                StatementKind::Term(term) => match written_points(term) {
                    Some(names) if !names.iter().all(|name| is_set_name(name, self.vocabulary)) => {
                        for name in names {
                            points.push((name, Kind::Real));
                        }
                    }
                    _ => set = Some(term.clone()),
                },
                StatementKind::Chain { .. } => {
                    for (name, kind) in bound_points(statement) {
                        if !points.iter().any(|(known, _)| *known == name) {
                            points.push((name, kind));
                        }
                    }
                    rest.push(statement);
                }
                _ => rest.push(statement),
            }
        }
        for (name, kind) in &points {
            inside.declare_variable(name, *kind);
        }
        let reading = self.under(&inside);
        let mut conditions = Vec::new();
        for statement in rest {
            conditions.extend(reading.statement_conditions(statement)?);
        }
        let body = reading.value(body)?;
        let (points, kinds) = points.into_iter().unzip();
        Ok(ExtremumParts {
            greatest,
            points,
            kinds,
            conditions,
            set,
            body,
        })
    }
}

/// Whereto a variable moves, read as a statement says it.
///
/// # Errors
/// The place is not understood.
pub fn toward(
    place: &Term,
    vocabulary: &Vocabulary,
    convention: &Convention,
) -> Result<Toward, Unreadable> {
    let elaborator = Elaborator::new(vocabulary, convention);
    elaborator
        .toward(place)
        .map_err(|failure| failure.within(place))
}

/// The place of c⁺ or c⁻, and whether it is approached from above.
fn one_sided(place: &Term) -> Option<(Term, bool)> {
    match &place.kind {
        TermKind::OneSided(inner, above) => Some(((**inner).clone(), *above)),
        TermKind::Group(inner) => one_sided(inner),
        TermKind::Name(name) => {
            let mark = name.base.chars().last()?;
            let base = name.base.strip_suffix(['+', '-'])?;
            (!base.is_empty()).then(|| {
                let name = crate::notation::syntax::Name {
                    base: base.to_owned(),
                    ..name.clone()
                };
                let kind = TermKind::Name(name);
                let range = place.range.clone();
                (Term { kind, range }, mark == '+')
            })
        }
        _ => None,
    }
}

/// `n → ∞` below a limit.
fn approach(statement: &Statement) -> Option<(Symbol, &Term)> {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &statement.kind
    else {
        return None;
    };
    let (TermKind::Name(name), [link]) = (&first.kind, links.as_slice()) else {
        return None;
    };
    match (link.sign, &link.right) {
        (Sign::TendsTo, Some(place)) => Some((symbol(name), place)),
        _ => None,
    }
}

/// Names below an operator without a relation: `x`, `x, y`.
fn written_points(term: &Term) -> Option<Vec<Symbol>> {
    match &term.kind {
        TermKind::Name(name) => Some(vec![symbol(name)]),
        TermKind::List(items) => items
            .iter()
            .map(|item| match &item.kind {
                TermKind::Name(name) => Some(symbol(name)),
                _ => None,
            })
            .collect(),
        _ => None,
    }
}

fn is_set_name(name: &Symbol, vocabulary: &Vocabulary) -> bool {
    let capital = name.as_str().chars().next().is_some_and(char::is_uppercase);
    let declared_set = vocabulary
        .meanings(name)
        .iter()
        .any(|meaning| matches!(meaning, super::Meaning::Set { .. }));
    declared_set || capital && vocabulary.kind(name).is_none()
}

/// The names that a condition below an operator runs over: those left of ∈, those between
/// bounds, those that a relation compares.
fn bound_points(statement: &Statement) -> Vec<(Symbol, Kind)> {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &statement.kind
    else {
        return Vec::new();
    };
    let kind = links
        .iter()
        .find(|link| link.sign == Sign::In)
        .and_then(|link| link.right.as_ref())
        .and_then(domain::kind);
    let by_habit = |name: &Symbol| {
        kind.unwrap_or(if is_index_letter(name) {
            Kind::Integer
        } else {
            Kind::Real
        })
    };
    let names = |term: &Term| {
        written_points(term)
            .unwrap_or_default()
            .into_iter()
            .map(|name| {
                let kind = by_habit(&name);
                (name, kind)
            })
            .collect::<Vec<_>>()
    };
    let own = names(first);
    if !own.is_empty() {
        return own;
    }
    if let TermKind::Bars(inner) = &first.kind {
        return names(inner);
    }
    match links.as_slice() {
        [low, _]
            if matches!(
                low.sign,
                Sign::Relation(Relation::Less | Relation::LessEqual)
            ) =>
        {
            low.right.as_ref().map(names).unwrap_or_default()
        }
        _ => Vec::new(),
    }
}

fn is_index_letter(name: &Symbol) -> bool {
    matches!(name.as_str(), "n" | "m" | "k" | "j" | "i" | "l" | "ℓ" | "N")
}
