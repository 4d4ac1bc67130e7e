//! Derivatives, sums with limits, values at a place, case distinctions.

use super::application::differentiated;
use super::{Elaborator, Failure};
use crate::notation::syntax::{Name, Segment, Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Kind, Node, Relation, Symbol};

impl Elaborator<'_> {
    pub(super) fn derivative(
        &self,
        variable: &str,
        order: u32,
        body: Option<&Term>,
        term: &Term,
    ) -> Result<Expr, Failure> {
        let Some(body) = body else {
            return Err(Failure::at(term, "what is to be differentiated is missing"));
        };
        let value = match &body.kind {
            TermKind::Name(name) => self.value_at_variable(name, variable, body)?,
            _ => self.value(body)?,
        };
        let variable = Symbol::new(variable);
        if let Some(found) = differentiated(&value, &variable, order) {
            return Ok(found);
        }
        let mut found = value;
        for _ in 0..order {
            found = Node::Derivative {
                variable: variable.clone(),
                body: found,
            }
            .into();
        }
        Ok(found)
    }

    /// `df/dx`, `d f_n/dx`: the function's name without its argument.
    fn value_at_variable(&self, name: &Name, variable: &str, body: &Term) -> Result<Expr, Failure> {
        if self.applies(name) {
            return self.applied(name, vec![Expr::named(variable)], body);
        }
        self.value(body)
    }

    /// `(x^2)'`: by the one real variable inside.
    pub(super) fn primed(&self, inner: &Term, order: u32, term: &Term) -> Result<Expr, Failure> {
        let value = self.value(inner)?;
        let variables = value.variables();
        let usual = ["x", "t", "y", "z"]
            .into_iter()
            .map(Symbol::new)
            .find(|name| variables.contains(name));
        let only = (variables.len() == 1)
            .then(|| variables.iter().next().cloned())
            .flatten();
        let Some(variable) = usual.or(only) else {
            return Err(Failure::at(
                term,
                "by which variable is this differentiated?",
            ));
        };
        differentiated(&value, &variable, order)
            .ok_or_else(|| Failure::at(term, "this derivative is not formed"))
    }

    pub(super) fn evaluated(
        &self,
        inner: &Term,
        place: &Statement,
        term: &Term,
    ) -> Result<Expr, Failure> {
        let refused = || Failure::at(term, "the place of evaluation is not understood");
        let StatementKind::Chain {
            first: Some(first),
            links,
        } = &place.kind
        else {
            return Err(refused());
        };
        let (TermKind::Name(name), [link]) = (&first.kind, links.as_slice()) else {
            return Err(refused());
        };
        let (Sign::Relation(Relation::Equal), Some(right)) = (link.sign, &link.right) else {
            return Err(refused());
        };
        let value = self.value(inner)?;
        let value = kernel::calculus::without_derivatives(&value).ok_or_else(refused)?;
        Ok(value.substitute(&super::symbol(name), &self.value(right)?))
    }

    pub(super) fn series(
        &self,
        product: bool,
        below: Option<&Statement>,
        above: Option<&Term>,
        body: &Term,
        term: &Term,
    ) -> Result<Expr, Failure> {
        let missing = || Failure::at(term, "the limits of this sum are not written");
        let range = below.and_then(series_range).ok_or_else(missing)?;
        let index = super::symbol(range.index);
        let from = match range.from {
            Some(from) => self.value(from)?,
            None => Expr::integer(i64::from(!self.convention.zero_is_natural)),
        };
        let to = match (range.to, above) {
            (Some(to), None) => self.upper(to)?,
            (None, Some(above)) => self.upper(above)?,
            (None, None) if range.endless => None,
            _ => return Err(missing()),
        };
        let mut inside = self.vocabulary.clone();
        inside.declare_variable(&index, Kind::Integer);
        let body = self.under(&inside).value(body)?;
        if !product {
            return Ok(Node::Sum {
                index,
                from,
                to,
                body,
            }
            .into());
        }
        match to {
            Some(to) => Ok(Node::Product {
                index,
                from,
                to,
                body,
            }
            .into()),
            None => Err(Failure::at(term, "an infinite product is not read")),
        }
    }

    /// The upper end of a sum, `None` for ∞.
    fn upper(&self, above: &Term) -> Result<Option<Expr>, Failure> {
        match &above.kind {
            TermKind::Infinity => Ok(None),
            TermKind::Sum(terms) if terms.len() == 1 => self.upper(&terms[0].1),
            _ => self.value(above).map(Some),
        }
    }

    pub(super) fn cases(
        &self,
        rows: &[(Term, Vec<Segment>)],
        term: &Term,
    ) -> Result<Expr, Failure> {
        let mut branches = Vec::new();
        for (position, (value, condition)) in rows.iter().enumerate() {
            let value = self.value(value)?;
            let condition = self.case_condition(condition, position + 1 == rows.len(), term)?;
            branches.push((condition, value));
        }
        if branches.is_empty() {
            return Err(Failure::at(term, "this case distinction has no cases"));
        }
        Ok(Node::Piecewise(branches).into())
    }

    fn case_condition(
        &self,
        segments: &[Segment],
        last: bool,
        term: &Term,
    ) -> Result<Condition, Failure> {
        let mut conditions = Vec::new();
        let mut otherwise = false;
        for segment in segments {
            match segment {
                Segment::Statement(statement) => {
                    conditions.extend(self.statement_conditions(statement)?);
                }
                Segment::Words { text, .. } => {
                    let text = text.to_lowercase();
                    let text = text.trim_matches(|c: char| !c.is_alphabetic());
                    match text {
                        "if" | "for" | "when" | "whenever" | "and" | "wenn" | "falls" | "für"
                        | "where" | "on" | "with" | "si" | "for all" | "as long as" => {}
                        "otherwise" | "else" | "elsewhere" | "sonst" | "in all other cases"
                        | "sinon" => otherwise = true,
                        // "(because x^n → 0)": why, behind where.
                        "because" | "since" | "as" | "by" if !conditions.is_empty() => break,
                        _ => {
                            let reason = format!(
                                "the words \u{201c}{text}\u{201d} in this case are not understood"
                            );
                            return Err(Failure::at(term, reason));
                        }
                    }
                }
                Segment::Separator { .. } => {}
            }
        }
        if conditions.is_empty() && !(otherwise && last) {
            return Err(Failure::at(term, "a case without its condition"));
        }
        Ok(match conditions.len() {
            1 => conditions.remove(0),
            _ => Condition::And(conditions),
        })
    }
}

/// What stands below a sum.
struct SeriesRange<'t> {
    index: &'t Name,
    from: Option<&'t Term>,
    to: Option<&'t Term>,
    endless: bool,
}

/// `k = 1`, `k ≥ 1`, `1 ≤ k ≤ n`, `k ∈ ℕ`.
fn series_range(below: &Statement) -> Option<SeriesRange<'_>> {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &below.kind
    else {
        return None;
    };
    match (&first.kind, links.as_slice()) {
        (TermKind::Name(index), [link]) => {
            let right = link.right.as_ref()?;
            let natural = matches!(
                &right.kind,
                TermKind::NumberSet {
                    letter: 'N',
                    mark: None
                }
            );
            let (from, endless) = match link.sign {
                Sign::Relation(Relation::Equal) => (Some(right), false),
                Sign::Relation(Relation::GreaterEqual) => (Some(right), true),
                Sign::In if natural => (None, true),
                _ => return None,
            };
            Some(SeriesRange {
                index,
                from,
                to: None,
                endless,
            })
        }
        (_, [low, high]) => {
            let middle = low.right.as_ref()?;
            let TermKind::Name(index) = &middle.kind else {
                return None;
            };
            let weak = Sign::Relation(Relation::LessEqual);
            (low.sign == weak && high.sign == weak).then_some(())?;
            Some(SeriesRange {
                index,
                from: Some(first),
                to: Some(high.right.as_ref()?),
                endless: false,
            })
        }
        _ => None,
    }
}
