//! Definitions by cases told in prose: "f(x) = 0 for 0 ≤ x < 1, and f(1) = 1".

use super::entry::{Ahead, Context, Reader};
use super::shape;
use super::utterance::Mode;
use crate::notation::elaborate::{self, symbol};
use crate::notation::syntax::{Sign, Statement, StatementKind, Term};
use kernel::numerics::{Assignment, Truth, Value, truth};
use kernel::{Condition, Expr, Kind, Node, Relation, Symbol};
use source::Span;

/// The pieces of a function that is given by cases, with where it was begun.
pub(super) type Pieces = Vec<(Condition, Expr)>;

/// One case: where it is said, and what it says.
struct Piece {
    utterance: usize,
    /// The utterances that say where it holds.
    places: Vec<usize>,
    name: Symbol,
    /// The argument, unless it is a number.
    parameter: Option<Symbol>,
    /// The number at which the value is given.
    at: Option<Expr>,
    condition: Option<Condition>,
    value: Expr,
    span: Span,
}

impl Reader<'_> {
    /// Finds functions of one point that the sentence defines by cases, or whose definition by
    /// cases it carries on.
    pub(super) fn pieces_ahead(&mut self, context: &mut Context<'_>) {
        let found: Vec<Piece> = (0..context.reading.utterances.len())
            .filter_map(|position| self.piece(context, position))
            .collect();
        let mut names: Vec<Symbol> = found.iter().map(|piece| piece.name.clone()).collect();
        names.dedup();
        for name in names {
            let own: Vec<&Piece> = found.iter().filter(|piece| piece.name == name).collect();
            self.assemble(context, &name, &own);
        }
    }

    fn assemble(&mut self, context: &mut Context<'_>, name: &Symbol, own: &[&Piece]) {
        let Some(parameter) = own
            .iter()
            .find_map(|piece| piece.parameter.clone())
            .or_else(|| {
                Some(
                    self.lexicon
                        .definition(name, 0)?
                        .parameters
                        .first()?
                        .clone(),
                )
            })
        else {
            return;
        };
        let begun = self.lexicon.pieces.get(name).cloned().unwrap_or_default();
        if begun.is_empty() && self.lexicon.defines(name, 0) {
            return;
        }
        let mut pieces: Pieces = begun.clone();
        let mut taken: Vec<&Piece> = Vec::new();
        for piece in own {
            let Some(condition) = piece.place(&parameter) else {
                continue;
            };
            if pieces
                .iter()
                .all(|(other, _)| apart(other, &condition, &parameter))
            {
                pieces.push((condition, piece.value.clone()));
                taken.push(piece);
            }
        }
        let Some(first) = taken.first() else {
            return;
        };
        // What holds at one number, and nothing else known: no definition.
        if begun.is_empty() && own.iter().all(|piece| piece.parameter.is_none()) {
            return;
        }
        self.lexicon.pieces.insert(name.clone(), pieces.clone());
        if pieces.len() == 1 {
            // So far it is an ordinary definition.
            return;
        }
        // The value at a number stands first, so that an open neighbour cannot hide it.
        pieces.sort_by_key(|(condition, _)| !is_equation(condition));
        let value: Expr = Node::Piecewise(pieces).into();
        let names_limit = taken
            .iter()
            .any(|piece| context.reading.utterances[piece.utterance].names_limit());
        let definition = self
            .lexicon
            .define_by_cases(name, &parameter, &value, first.span);
        if names_limit || self.lexicon.limit_named.as_ref() == Some(name) {
            self.lexicon
                .name_limit(name, std::slice::from_ref(&parameter), &value);
        }
        for piece in &taken {
            context.defined.push(Ahead {
                utterance: piece.utterance,
                definition,
                link: 0,
                names_right: false,
            });
            context.places.extend(&piece.places);
        }
    }

    /// A value that an utterance gives to a function of one point.
    fn piece(&self, context: &Context<'_>, position: usize) -> Option<Piece> {
        let utterance = &context.reading.utterances[position];
        let said = matches!(
            utterance.mode,
            Mode::Claim | Mode::Let | Mode::Define | Mode::Where | Mode::Aim | Mode::Reason
        );
        if !said || utterance.link.is_some() || utterance.doubt.is_some() {
            return None;
        }
        let statement = context.statement(utterance)?;
        let StatementKind::Chain {
            first: Some(first),
            links,
        } = &statement.kind
        else {
            return None;
        };
        let equal = |sign: Sign| matches!(sign, Sign::Defines | Sign::Relation(Relation::Equal));
        let (written, arguments) = shape::application(first)?;
        let [argument] = arguments.as_slice() else {
            return None;
        };
        if written.subscript.is_some() || written.superscript.is_some() || written.primes > 0 {
            return None;
        }
        let name = symbol(written);
        let parameter = shape::bare_name(argument).map(symbol);
        let at = match &parameter {
            // "since f(x) = 0" defines nothing; "since f(1) = 1" may complete what is known.
            Some(_) if utterance.mode == Mode::Reason => return None,
            Some(_) => None,
            None => Some(self.number(argument)?),
        };
        let bound: Vec<Symbol> = parameter.iter().cloned().collect();
        let value = links
            .iter()
            .take_while(|link| equal(link.sign))
            .filter_map(|link| link.right.as_ref())
            .find_map(|value| self.lexicon.defined_value(&bound, 0, value).ok())
            .filter(|value| !value.unknown_functions().contains(&name))?;
        let (places, condition) = match &parameter {
            Some(parameter) => self.place_of(context, position, parameter)?,
            None => (Vec::new(), None),
        };
        Some(Piece {
            utterance: position,
            places,
            name,
            parameter,
            at,
            condition,
            value,
            span: self.place(context, utterance, &statement.range),
        })
    }

    fn number(&self, term: &Term) -> Option<Expr> {
        let value = self.lexicon.term(term).ok()?;
        (value.variables().is_empty() && value.unknown_functions().is_empty()).then_some(value)
    }

    /// Where the utterance says that its value holds: the ranges and conditions for the
    /// parameter behind it, else those before it.
    fn place_of(
        &self,
        context: &Context<'_>,
        position: usize,
        parameter: &Symbol,
    ) -> Option<(Vec<usize>, Option<Condition>)> {
        let utterances = &context.reading.utterances;
        let restricts = |other: usize| -> Option<Condition> {
            let utterance = &utterances[other];
            if !matches!(utterance.mode, Mode::Range | Mode::Condition) {
                return None;
            }
            let statement = context.statement(utterance)?;
            self.place_said(statement, parameter)
        };
        let behind: Vec<(usize, Condition)> = (position + 1..utterances.len())
            .map_while(|other| {
                utterances[other]
                    .backward
                    .then(|| restricts(other).map(|condition| (other, condition)))
                    .flatten()
            })
            .collect();
        let found = if behind.is_empty() {
            (0..position)
                .rev()
                .map_while(|other| {
                    (!utterances[other].backward)
                        .then(|| restricts(other).map(|condition| (other, condition)))
                        .flatten()
                })
                .collect()
        } else {
            behind
        };
        let (places, mut conditions): (Vec<usize>, Vec<Condition>) = found.into_iter().unzip();
        let condition = if conditions.len() == 1 {
            conditions.pop()
        } else {
            (!conditions.is_empty()).then(|| Condition::And(conditions))
        };
        Some((places, condition))
    }

    fn place_said(&self, statement: &Statement, parameter: &Symbol) -> Option<Condition> {
        let names = elaborate::statement_names(statement);
        if !names.contains(parameter) {
            return None;
        }
        let mut conditions = self.lexicon.conditions(statement).ok()?;
        if conditions.len() == 1 {
            conditions.pop()
        } else {
            (!conditions.is_empty()).then(|| Condition::And(conditions))
        }
    }
}

impl Piece {
    /// Where it holds, as a condition on the parameter.
    fn place(&self, parameter: &Symbol) -> Option<Condition> {
        match (&self.at, &self.condition) {
            (Some(at), _) => Some(Condition::Holds(
                Expr::variable(parameter),
                Relation::Equal,
                at.clone(),
            )),
            (None, Some(condition)) if self.parameter.as_ref() == Some(parameter) => {
                Some(condition.clone())
            }
            _ => None,
        }
    }
}

fn is_equation(condition: &Condition) -> bool {
    matches!(condition, Condition::Holds(_, Relation::Equal, _))
}

/// Whether two places have no point in common, told from sample points: enough to tell a further
/// case from a claim about a case that is known.
fn apart(a: &Condition, b: &Condition, parameter: &Symbol) -> bool {
    let alone = |condition: &Condition| condition.variables().iter().all(|name| name == parameter);
    if !alone(a) || !alone(b) {
        return a != b;
    }
    let numbers = [a, b].into_iter().flat_map(sides);
    let quarters = (-32..=32).map(|quarter| Expr::integer(quarter).over(&Expr::integer(4)));
    numbers
        .filter(|side| side.variables().is_empty())
        .chain(quarters)
        .all(|point| {
            let here = Assignment::new().with(parameter, Kind::Real, Value::Closed(point));
            truth(a, &here) != Truth::True || truth(b, &here) != Truth::True
        })
}

fn sides(condition: &Condition) -> Vec<Expr> {
    let mut found = Vec::new();
    condition.visit(&mut |expr| found.push(expr.clone()));
    found
}
