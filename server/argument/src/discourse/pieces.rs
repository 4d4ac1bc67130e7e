//! Definitions by cases told in prose: "f(x) = 0 for 0 ≤ x < 1, and f(1) = 1".

use super::attribute::attributes;
use super::entry::{Ahead, Context, Reader};
use super::shape;
use super::token::Token;
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
    /// Whether it is a sequence, given index by index: 0 for f(x), 1 for a_n.
    subscripts: usize,
    /// The argument or index, unless it is a number.
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
        let mut names: Vec<(Symbol, usize)> = found
            .iter()
            .map(|piece| (piece.name.clone(), piece.subscripts))
            .collect();
        names.dedup();
        for (name, subscripts) in names {
            let own: Vec<&Piece> = found
                .iter()
                .filter(|piece| piece.name == name && piece.subscripts == subscripts)
                .collect();
            self.assemble(context, (&name, subscripts), &own);
        }
    }

    /// "a_n = 1 if 4^j ≤ n < 2·4^j for some j, a_n = 0 otherwise": cases that were not put together
    /// give no value.
    pub(super) fn forget_cases(&mut self, context: &mut Context<'_>) {
        let conditional = context.tokens.iter().filter_map(Token::word).any(|word| {
            matches!(
                word,
                "if" | "otherwise" | "else" | "when" | "whenever" | "unless"
            )
        });
        for name in self.several_meanings(context) {
            let mut shape = None;
            let mut values: Vec<&Expr> = Vec::new();
            for definition in context
                .defined
                .iter()
                .filter_map(|ahead| self.lexicon.definitions.get(ahead.definition))
                .filter(|definition| definition.name == name)
            {
                shape = Some((definition.subscripts, definition.parameters.len()));
                values.push(&definition.value);
            }
            let differ = values.windows(2).any(|pair| pair[0] != pair[1]);
            let Some((subscripts, parameters)) = shape.filter(|_| conditional && differ) else {
                continue;
            };
            self.lexicon
                .forget(&name, subscripts, parameters.saturating_sub(subscripts));
            let definitions = &self.lexicon.definitions;
            context.defined.retain(|ahead| {
                definitions
                    .get(ahead.definition)
                    .is_none_or(|definition| definition.name != name)
            });
        }
    }

    fn assemble(
        &mut self,
        context: &mut Context<'_>,
        (name, subscripts): (&Symbol, usize),
        own: &[&Piece],
    ) {
        let Some(parameter) = own
            .iter()
            .find_map(|piece| piece.parameter.clone())
            .or_else(|| {
                Some(
                    self.lexicon
                        .definition(name, subscripts)?
                        .parameters
                        .first()?
                        .clone(),
                )
            })
        else {
            return;
        };
        let begun = self.lexicon.pieces.get(name).cloned().unwrap_or_default();
        if begun.is_empty() && self.lexicon.defines(name, subscripts) {
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
        let definition =
            self.lexicon
                .define_by_cases((name, subscripts), &parameter, &value, first.span);
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
        let (name, subscripts, parameter, argument) = match shape::application(first) {
            Some((written, arguments)) => {
                let [argument] = arguments.as_slice() else {
                    return None;
                };
                let marked = written.subscript.is_some()
                    || written.superscript.is_some()
                    || written.primes > 0;
                if marked {
                    return None;
                }
                let parameter = shape::bare_name(argument).map(symbol);
                (symbol(written), 0, parameter, Some(*argument))
            }
            // a_n by cases of its index.
            None => {
                let (name, mut parameters, subscripts) = self.lexicon.definable(first)?;
                let index = parameters.pop().filter(|_| subscripts == 1)?;
                (name, 1, Some(index), None)
            }
        };
        let at = match &parameter {
            // "since f(x) = 0" defines nothing; "since f(1) = 1" may complete what is known.
            Some(_) if utterance.mode == Mode::Reason => return None,
            Some(_) => None,
            None => Some(self.number(argument?)?),
        };
        let bound: Vec<Symbol> = parameter.iter().cloned().collect();
        let value = links
            .iter()
            .take_while(|link| equal(link.sign))
            .filter_map(|link| link.right.as_ref())
            .find_map(|value| self.lexicon.defined_value(&bound, subscripts, value).ok())
            .filter(|value| !value.unknown_functions().contains(&name))?;
        let (places, condition) = match &parameter {
            Some(parameter) => self.place_of(context, position, parameter)?,
            None => (Vec::new(), None),
        };
        Some(Piece {
            utterance: position,
            places,
            name,
            subscripts,
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
            let bare = matches!(&statement.kind, StatementKind::Term(term)
                if shape::bare_name(term).map(symbol).as_ref() == Some(parameter));
            if bare {
                // "if n is even"
                let said = attributes(context, utterance, std::slice::from_ref(parameter));
                return together(said.conditions).filter(|_| said.unread.is_none());
            }
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
        let (places, conditions): (Vec<usize>, Vec<Condition>) = found.into_iter().unzip();
        Some((places, together(conditions)))
    }

    fn place_said(&self, statement: &Statement, parameter: &Symbol) -> Option<Condition> {
        let names = elaborate::statement_names(statement);
        if !names.contains(parameter) {
            return None;
        }
        together(self.lexicon.conditions(statement).ok()?)
    }
}

/// One condition for several; none for none.
fn together(mut conditions: Vec<Condition>) -> Option<Condition> {
    match conditions.len() {
        0 => None,
        1 => conditions.pop(),
        _ => Some(Condition::And(conditions)),
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
    let steps = [-10, -1, 0, 1, 10].map(Expr::integer);
    let nudge = Expr::integer(1).over(&Expr::integer(64));
    numbers
        .filter(|side| side.variables().is_empty())
        .flat_map(|side| {
            let near = [side.plus(&nudge), side.minus(&nudge)];
            steps
                .clone()
                .map(|step| side.plus(&step))
                .into_iter()
                .chain(near)
        })
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
