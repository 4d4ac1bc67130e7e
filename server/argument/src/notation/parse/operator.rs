//! Operators with something below: lim, sup, max, sums, products, integrals, d/dx.

use super::statement::unread_statement;
use super::{Parser, unread};
use crate::limits::NESTING;
use crate::notation::lex::Tok;
use crate::notation::syntax::{
    Link, Operator, Segment, Sign, Statement, StatementKind, Term, TermKind,
};

impl Parser {
    /// What stands below an operator or behind `_`: statements in a group, or one operand.
    pub(super) fn below(&mut self) -> Vec<Statement> {
        let start = self.start();
        if self.depth >= NESTING {
            self.position = self
                .closing(self.position)
                .map_or(self.end, |close| close + 1);
            return vec![unread_statement(
                "this part is nested too deeply to be read",
                self.since(start),
            )];
        }
        if let Some(close) = self.closing(self.position)
            && matches!(self.peek(), Some(Tok::BraceOpen | Tok::Open('(')))
        {
            self.depth += 1;
            let (segments, _) = self.inside(close, |parser| {
                let mut segments = Vec::new();
                parser.segments(&mut segments);
                segments
            });
            self.depth -= 1;
            return segments
                .into_iter()
                .filter_map(|segment| match segment {
                    Segment::Statement(statement) => Some(statement),
                    _ => None,
                })
                .collect();
        }
        let term = self.script_argument();
        vec![Statement {
            range: term.range.clone(),
            kind: StatementKind::Term(term),
        }]
    }

    /// Reads `_…` (what stands below) and `^…` (above) behind an operator.
    fn limits(&mut self, below: &mut Vec<Statement>) -> Option<Term> {
        let mut above = None;
        loop {
            match self.peek() {
                Some(Tok::Under) => {
                    self.position += 1;
                    below.append(&mut self.below());
                }
                Some(Tok::Caret) if above.is_none() => {
                    self.position += 1;
                    above = Some(self.script_argument());
                }
                _ => return above,
            }
        }
    }

    /// `\sup`, `\inf`, `\lim`, … with body; the operator's token is taken.
    pub(super) fn operator(
        &mut self,
        mut operator: Operator,
        start: usize,
        mut below: Vec<Statement>,
    ) -> Term {
        // `\lim\sup`
        if operator == Operator::Limit {
            let joined = match self.peek() {
                Some(Tok::Operator(Operator::Supremum)) => Some(Operator::LimitSuperior),
                Some(Tok::Operator(Operator::Infimum)) => Some(Operator::LimitInferior),
                _ => None,
            };
            if let Some(joined) = joined {
                operator = joined;
                self.position += 1;
            }
        }
        drop(self.limits(&mut below));
        if below.is_empty() && !matches!(operator, Operator::Supremum | Operator::Infimum) {
            below.extend(self.plain_approach());
        }
        if matches!(operator, Operator::Supremum | Operator::Infimum)
            && let Some(found) = self.over_set(operator, start, &mut below)
        {
            return found;
        }
        self.over(operator, start, below)
    }

    /// `lim n→∞ a_n` without an index mark: a name, an arrow, one operand.
    fn plain_approach(&mut self) -> Option<Statement> {
        let Some(Tok::Sign(arrow @ (Sign::TendsTo | Sign::TendsDownTo | Sign::TendsUpTo))) =
            self.at(self.position + 1).cloned()
        else {
            return None;
        };
        if !matches!(self.peek(), Some(Tok::Letter(_))) {
            return None;
        }
        let start = self.start();
        let name = self.primary();
        let sign_range = self.tokens[self.position].range.clone();
        self.position += 1;
        let right = self.starts_term().then(|| {
            let start = self.start();
            let term = self.script_argument();
            match self.side_mark() {
                Some(above) => self.made(TermKind::OneSided(Box::new(term), above), start),
                None => term,
            }
        });
        let (sign, right) = super::chain::approach(arrow, right, true);
        Some(Statement {
            range: self.since(start),
            kind: StatementKind::Chain {
                first: Some(name),
                links: vec![Link {
                    sign,
                    sign_range,
                    right,
                }],
            },
        })
    }

    fn over(&mut self, operator: Operator, start: usize, below: Vec<Statement>) -> Term {
        let body = self.body().map(Box::new);
        self.made(
            TermKind::Over {
                operator,
                below,
                body,
            },
            start,
        )
    }

    /// The product that an operator governs, if one follows.
    fn body(&mut self) -> Option<Term> {
        if self.depth >= NESTING {
            return None;
        }
        let signed =
            matches!(self.peek(), Some(Tok::Minus)) && self.starts_term_at(self.position + 1);
        let follows = signed
            || !matches!(self.peek(), Some(Tok::Plus | Tok::Minus | Tok::PlusMinus))
                && self.starts_term();
        if !follows || self.closes_bars() {
            return None;
        }
        self.depth += 1;
        let start = self.start();
        let found = if signed {
            self.position += 1;
            let inner = self.product();
            self.made(TermKind::Negative(Box::new(inner)), start)
        } else {
            self.product()
        };
        self.depth -= 1;
        Some(found)
    }

    /// Whether the bar at the cursor closes an open absolute value.
    fn closes_bars(&self) -> bool {
        match self.peek() {
            Some(Tok::Bar | Tok::MidBar) => {
                self.open_bars > 0 && self.shape.bars_after[self.position].is_multiple_of(2)
            }
            Some(Tok::DoubleBar) => self.open_norms > 0,
            _ => false,
        }
    }

    /// `\sup\{ f(x) : x ∈ D \}`: element and conditions of the set are body and conditions.
    fn over_set(
        &mut self,
        operator: Operator,
        start: usize,
        below: &mut Vec<Statement>,
    ) -> Option<Term> {
        let close = self.closing(self.position)?;
        let is_set = match self.peek()? {
            Tok::Open('{') => true,
            Tok::Left('{') => self.tokens[close].kind != Tok::Right('.'),
            Tok::BraceOpen => {
                self.shape.holds_list[self.position] || self.shape.holds_statement[self.position]
            }
            _ => false,
        };
        if !is_set || self.depth >= NESTING {
            return None;
        }
        self.depth += 1;
        let set = self.set(close);
        self.depth -= 1;
        let greatest = operator == Operator::Supremum;
        let kind = match set.kind {
            TermKind::SetBuilder {
                element,
                mut conditions,
            } => {
                below.append(&mut conditions);
                TermKind::Over {
                    operator,
                    below: std::mem::take(below),
                    body: Some(element),
                }
            }
            TermKind::SetOf(mut items) if below.is_empty() && items.len() != 1 => {
                TermKind::Extremum {
                    greatest,
                    items: std::mem::take(&mut items),
                }
            }
            TermKind::SetOf(items) => TermKind::Over {
                operator,
                below: std::mem::take(below),
                body: items.into_iter().next().map(Box::new),
            },
            TermKind::Sequence { term, index } => {
                below.extend(index.map(|index| *index));
                TermKind::Over {
                    operator,
                    below: std::mem::take(below),
                    body: Some(term),
                }
            }
            other => other,
        };
        Some(self.made(kind, start))
    }

    /// `\max`, `\min`: of listed values, or over a set.
    pub(super) fn extremum(
        &mut self,
        greatest: bool,
        start: usize,
        mut below: Vec<Statement>,
    ) -> Term {
        drop(self.limits(&mut below));
        let operator = if greatest {
            Operator::Supremum
        } else {
            Operator::Infimum
        };
        if let Some(found) = self.over_set(operator, start, &mut below) {
            return found;
        }
        if below.is_empty()
            && matches!(
                self.peek(),
                Some(Tok::Open('(' | '[') | Tok::Left('(' | '['))
            )
            && let Some(close) = self.closing(self.position)
            && self.shape.holds_list[self.position]
            && !self.shape.holds_statement[self.position]
        {
            let (list, complete) = self.inside(close, Self::listed_terms);
            if !complete {
                return unread("these values are not understood", self.since(start));
            }
            let items = match list.kind {
                TermKind::List(items) => items,
                _ => vec![list],
            };
            return self.made(TermKind::Extremum { greatest, items }, start);
        }
        self.over(operator, start, below)
    }

    /// `\sum_{k=1}^{n} body`; the sign's token is taken.
    pub(super) fn series(&mut self, product: bool, start: usize) -> Term {
        let mut below = Vec::new();
        let above = self.limits(&mut below).map(Box::new);
        let below = if below.is_empty() {
            None
        } else {
            Some(Box::new(below.remove(0)))
        };
        let Some(body) = self.body() else {
            return unread("what is to be summed is missing", self.since(start));
        };
        self.made(
            TermKind::Series {
                product,
                below,
                above,
                body: Box::new(body),
            },
            start,
        )
    }

    /// `\int_a^b body \,dx`; the sign's token is taken.
    pub(super) fn integral(&mut self, start: usize) -> Term {
        let mut from = None;
        let mut to = None;
        loop {
            match self.peek() {
                Some(Tok::Under) if from.is_none() => {
                    self.position += 1;
                    from = Some(Box::new(self.script_argument()));
                }
                Some(Tok::Caret) if to.is_none() => {
                    self.position += 1;
                    to = Some(Box::new(self.script_argument()));
                }
                _ => break,
            }
        }
        if self.depth >= NESTING || !self.starts_term() {
            return unread("the integrand is missing", self.since(start));
        }
        self.depth += 1;
        let outer = std::mem::replace(&mut self.in_integral, true);
        let body = self.sum();
        self.in_integral = outer;
        self.depth -= 1;
        let variable = if self.is_differential() {
            let name = match self.at(self.position + 1) {
                Some(Tok::Letter(letter)) => letter.clone(),
                _ => String::new(),
            };
            self.position += 2;
            name
        } else {
            String::new()
        };
        self.made(
            TermKind::Integral {
                from,
                to,
                body: Box::new(body),
                variable,
            },
            start,
        )
    }

    /// `\frac{d}{dx} body`, `\frac{df}{dx}`, with the cursor at the numerator; `None`, and
    /// nothing taken, if it is an ordinary fraction.
    pub(super) fn derivative(&mut self, start: usize) -> Option<Term> {
        let top_close = self.closing(self.position);
        let (top_from, top_to, next) = match top_close {
            Some(close) => (self.position + 1, close, close + 1),
            None => (self.position, self.position + 1, self.position + 1),
        };
        let bottom_close = self.closing(next)?;
        if self.at(next) != Some(&Tok::BraceOpen) || !self.is_letter_d(top_from) {
            return None;
        }
        if !self.is_letter_d(next + 1) {
            return None;
        }
        let Some(Tok::Letter(variable)) = self.at(next + 2).cloned() else {
            return None;
        };
        let (above, after_d) = self.order_at(top_from + 1, top_to);
        let (below, after_variable) = self.order_at(next + 3, bottom_close);
        if above != below || after_variable != bottom_close {
            return None;
        }
        let inner = if after_d < top_to {
            self.position = after_d;
            let outer = std::mem::replace(&mut self.end, top_to);
            let body = self.juxtaposed();
            let complete = self.position == top_to;
            self.end = outer;
            Some(if complete {
                body
            } else {
                unread(
                    "what is to be differentiated is not understood",
                    self.since(start),
                )
            })
        } else {
            None
        };
        self.position = bottom_close + 1;
        let body = inner.or_else(|| self.differentiated()).map(Box::new);
        Some(self.made(
            TermKind::Derivative {
                variable,
                order: above,
                body,
            },
            start,
        ))
    }

    fn is_letter_d(&self, index: usize) -> bool {
        matches!(self.at(index), Some(Tok::Letter(letter)) if letter == "d" || letter == "∂")
    }

    /// `^2` at `from`: the order, and one past it.
    fn order_at(&self, from: usize, end: usize) -> (u32, usize) {
        if from >= end || self.at(from) != Some(&Tok::Caret) {
            return (1, from);
        }
        let (digits, next) = match self.closing(from + 1) {
            Some(close) => (self.at(from + 2), close + 1),
            None => (self.at(from + 1), from + 2),
        };
        match digits {
            Some(Tok::Number(digits)) => match digits.parse() {
                Ok(order) if order <= 8 => (order, next),
                _ => (1, from),
            },
            _ => (1, from),
        }
    }

    /// What a derivative's sign governs: a bracket alone, or the product that follows.
    fn differentiated(&mut self) -> Option<Term> {
        let bracket = matches!(
            self.peek(),
            Some(Tok::Open('(' | '[') | Tok::Left('(' | '['))
        ) && self.closing(self.position).is_some()
            && !self.is_statement_group(self.position);
        if bracket && self.depth < NESTING {
            self.depth += 1;
            let found = self.primary();
            self.depth -= 1;
            return Some(found);
        }
        self.body()
    }
}
