//! Sets as conditions on an element.

use super::value::foreign;
use super::vocabulary::{Meaning, symbol};
use super::{Elaborator, Failure};
use crate::notation::syntax::{Sign, Statement, StatementKind, Term, TermKind};
use kernel::{Condition, Expr, Kind, Relation, Symbol};

impl Elaborator<'_> {
    /// What holds of `element` if it belongs to `set`.
    pub(super) fn membership(&self, set: &Term, element: &Expr) -> Result<Vec<Condition>, Failure> {
        match &set.kind {
            TermKind::Interval {
                low,
                low_closed,
                high,
                high_closed,
            } => self.interval(element, (low, *low_closed), (high, *high_closed)),
            TermKind::NumberSet { letter, mark } => self
                .number_set(*letter, mark.as_deref(), element)
                .ok_or_else(|| Failure::at(set, "membership in this set cannot be expressed")),
            TermKind::SetOf(items) => self.listed(items, element, set),
            TermKind::SetBuilder {
                element: name,
                conditions,
            } => self.builder(name, conditions, element),
            TermKind::SetOperation {
                operator,
                left,
                right,
            } => self.operation(*operator, left, right, element),
            TermKind::Name(name) => self.named_set(&symbol(name), element, set),
            TermKind::Group(inner) => match &inner.kind {
                TermKind::List(items) if items.len() == 2 => {
                    self.interval(element, (&items[0], false), (&items[1], false))
                }
                _ => self.membership(inner, element),
            },
            TermKind::Unread(reason) => Err(Failure::at(set, reason.clone())),
            TermKind::Foreign(name) => Err(Failure::at(set, foreign(name))),
            _ => Err(Failure::at(set, "this is not understood as a set")),
        }
    }

    fn interval(
        &self,
        element: &Expr,
        low: (&Term, bool),
        high: (&Term, bool),
    ) -> Result<Vec<Condition>, Failure> {
        let mut conditions = Vec::new();
        if infinite(low.0).is_none() {
            let relation = if low.1 {
                Relation::GreaterEqual
            } else {
                Relation::Greater
            };
            let bound = self.value(low.0)?;
            conditions.push(Condition::Holds(element.clone(), relation, bound));
        } else if infinite(low.0) == Some(false) {
            return Err(Failure::at(low.0, "an interval that begins at +∞"));
        }
        if infinite(high.0).is_none() {
            let relation = if high.1 {
                Relation::LessEqual
            } else {
                Relation::Less
            };
            let bound = self.value(high.0)?;
            conditions.push(Condition::Holds(element.clone(), relation, bound));
        } else if infinite(high.0) == Some(true) {
            return Err(Failure::at(high.0, "an interval that ends at −∞"));
        }
        Ok(conditions)
    }

    /// `{0, 1}`, `{1, 2, …}`, `{1, …, n}`.
    fn listed(
        &self,
        items: &[Term],
        element: &Expr,
        set: &Term,
    ) -> Result<Vec<Condition>, Failure> {
        if items.iter().any(|item| matches!(item.kind, TermKind::Dots)) {
            return self.dotted_list(items, element, set);
        }
        let mut choices = Vec::new();
        for item in items {
            let value = self.value(item)?;
            choices.push(Condition::Holds(element.clone(), Relation::Equal, value));
        }
        Ok(vec![match choices.len() {
            1 => choices.remove(0),
            _ => Condition::Or(choices),
        }])
    }

    /// Integers in a row with dots: `1, 2, …`, `0, 1, …, n − 1`.
    pub(super) fn dotted_list(
        &self,
        items: &[Term],
        element: &Expr,
        set: &Term,
    ) -> Result<Vec<Condition>, Failure> {
        let refused = || Failure::at(set, "the dots could not be filled in");
        let dots = items
            .iter()
            .position(|item| matches!(item.kind, TermKind::Dots))
            .ok_or_else(refused)?;
        let first = items.first().filter(|_| dots > 0).ok_or_else(refused)?;
        let first = self.value(first)?;
        for (step, item) in items[..dots].iter().enumerate() {
            let value = self.value(item)?;
            let wanted = super::dots::successor(&first, step);
            if step > 0 && wanted.and_then(|wanted| wanted.as_number()) != value.as_number() {
                return Err(refused());
            }
        }
        let mut conditions = vec![
            Condition::Integer(element.clone()),
            Condition::Holds(element.clone(), Relation::GreaterEqual, first),
        ];
        match &items[dots + 1..] {
            [] => {}
            [last] => {
                let last = self.value(last)?;
                conditions.push(Condition::Holds(element.clone(), Relation::LessEqual, last));
            }
            _ => return Err(refused()),
        }
        Ok(conditions)
    }

    /// `{x ∈ D : condition}`, for an element that is a name.
    fn builder(
        &self,
        name: &Term,
        statements: &[Statement],
        element: &Expr,
    ) -> Result<Vec<Condition>, Failure> {
        let TermKind::Name(written) = &name.kind else {
            return Err(Failure::at(name, "a set of values is not read as a domain"));
        };
        let own = symbol(written);
        let mut inside = self.vocabulary.clone();
        inside.declare_variable(&own, Kind::Real);
        let reading = self.under(&inside);
        let mut conditions = Vec::new();
        for statement in statements {
            for condition in reading.statement_conditions(statement)? {
                conditions.push(condition.substitute(&own, element));
            }
        }
        Ok(conditions)
    }

    fn operation(
        &self,
        operator: char,
        left: &Term,
        right: &Term,
        element: &Expr,
    ) -> Result<Vec<Condition>, Failure> {
        let mut first = self.membership(left, element)?;
        let second = self.membership(right, element)?;
        Ok(match operator {
            '∪' => vec![Condition::Or(vec![together(first), together(second)])],
            '∖' => {
                first.push(without(second));
                first
            }
            _ => {
                first.extend(second);
                first
            }
        })
    }

    fn named_set(
        &self,
        name: &Symbol,
        element: &Expr,
        set: &Term,
    ) -> Result<Vec<Condition>, Failure> {
        for meaning in self.vocabulary.meanings(name) {
            if let Meaning::Set {
                element: own,
                conditions,
                ..
            } = meaning
            {
                return Ok(conditions
                    .iter()
                    .map(|condition| condition.substitute(own, element))
                    .collect());
            }
        }
        // A letter that is no set in the draft stands for the number set that it resembles, for
        // nothing belongs to a number.
        let letter = match name.as_str() {
            "R" => 'R',
            "N" => 'N',
            "Z" => 'Z',
            other if names_a_set(other) => {
                return Ok(vec![Condition::membership(other, element)]);
            }
            _ => {
                return Err(Failure::at(
                    set,
                    format!("the set {name} is not known here"),
                ));
            }
        };
        self.number_set(letter, None, element)
            .ok_or_else(|| Failure::at(set, "membership in this set cannot be expressed"))
    }

    /// ℕ as the course has it, every other set by its mark.
    fn number_set(
        &self,
        letter: char,
        mark: Option<&str>,
        element: &Expr,
    ) -> Option<Vec<Condition>> {
        let mark = match (letter, mark) {
            ('N', None | Some("")) if self.convention.zero_is_natural => Some("0"),
            _ => mark,
        };
        number_set(letter, mark, element)
    }
}

/// Whether a name is one that sets have: one capital letter (common practice).
fn names_a_set(name: &str) -> bool {
    let mut letters = name.chars();
    letters.next().is_some_and(char::is_uppercase) && letters.all(|mark| !mark.is_alphabetic())
}

/// One condition for several.
pub(super) fn together(mut conditions: Vec<Condition>) -> Condition {
    match conditions.len() {
        1 => conditions.remove(0),
        _ => Condition::And(conditions),
    }
}

/// The opposite of a list of conditions; a relation becomes its opposite relation.
fn without(mut conditions: Vec<Condition>) -> Condition {
    if conditions.len() == 1
        && let Some(only) = conditions.pop()
    {
        return opposite(only);
    }
    Condition::Not(Box::new(Condition::And(conditions)))
}

fn opposite(condition: Condition) -> Condition {
    match condition {
        Condition::Holds(left, relation, right) => {
            Condition::Holds(left, relation.negated(), right)
        }
        Condition::Or(items) => Condition::And(items.into_iter().map(opposite).collect()),
        other => Condition::Not(Box::new(other)),
    }
}

/// Whether a term is ∞, and then whether −∞.
pub(crate) fn infinite(term: &Term) -> Option<bool> {
    match &term.kind {
        TermKind::Infinity => Some(false),
        TermKind::Negative(inner) => infinite(inner).map(|negative| !negative),
        TermKind::Group(inner) => infinite(inner),
        TermKind::Sum(terms) if terms.len() == 1 => {
            infinite(&terms[0].1).map(|negative| negative != terms[0].0)
        }
        _ => None,
    }
}

/// ℝ, ℕ, ℤ with a mark; `None` for ℚ, ℂ and marks that are not understood.
fn number_set(letter: char, mark: Option<&str>, element: &Expr) -> Option<Vec<Condition>> {
    let integer = || Condition::Integer(element.clone());
    let holds = |relation, value| Condition::Holds(element.clone(), relation, value);
    let zero = || Expr::integer(0);
    let mark = mark.unwrap_or_default().trim_start_matches('^');
    let mark = mark
        .strip_prefix('(')
        .and_then(|inner| inner.strip_suffix(')'))
        .unwrap_or(mark);
    let bound = relation_mark(mark);
    let mut conditions = match letter {
        'N' => match mark {
            "" | "+" | "*" | "×" => {
                vec![integer(), holds(Relation::GreaterEqual, Expr::integer(1))]
            }
            "0" => vec![integer(), holds(Relation::GreaterEqual, zero())],
            _ => vec![integer()],
        },
        'Z' => match mark {
            "" => vec![integer()],
            "+" => vec![integer(), holds(Relation::GreaterEqual, Expr::integer(1))],
            "-" => vec![integer(), holds(Relation::LessEqual, Expr::integer(-1))],
            "*" => vec![integer(), holds(Relation::NotEqual, zero())],
            _ => vec![integer()],
        },
        'R' => match mark {
            "" => Vec::new(),
            "+" | "*+" | "+*" | "++" => vec![holds(Relation::Greater, zero())],
            "0+" | "+0" => vec![holds(Relation::GreaterEqual, zero())],
            "-" => vec![holds(Relation::Less, zero())],
            "*" | "×" => vec![holds(Relation::NotEqual, zero())],
            _ => Vec::new(),
        },
        _ => return None,
    };
    let known = matches!(
        mark,
        "" | "+" | "-" | "*" | "×" | "*+" | "+*" | "++" | "0+" | "+0"
    ) || letter == 'N' && mark == "0";
    match (known, bound) {
        (true, _) => {
            if letter == 'N' && matches!(mark, "-" | "*+" | "+*" | "++" | "0+" | "+0") {
                return None;
            }
        }
        (false, Some((relation, value))) => conditions.push(holds(relation, value)),
        (false, None) => return None,
    }
    Some(conditions)
}

/// `>0`, `>=2`, `!=0`.
fn relation_mark(mark: &str) -> Option<(Relation, Expr)> {
    let signs = [
        (">=", Relation::GreaterEqual),
        ("<=", Relation::LessEqual),
        ("!=", Relation::NotEqual),
        (">", Relation::Greater),
        ("<", Relation::Less),
    ];
    let (sign, relation) = signs.iter().find(|(sign, _)| mark.starts_with(sign))?;
    let rest = &mark[sign.len()..];
    let digits = rest.strip_prefix('-').unwrap_or(rest);
    if digits.is_empty() || !digits.chars().all(|c| c.is_ascii_digit()) {
        return None;
    }
    let value = super::value::number(digits)?;
    Some((
        *relation,
        if rest.len() == digits.len() {
            value
        } else {
            value.negative()
        },
    ))
}

/// Which numbers a written set has, as far as its spelling tells.
pub(super) fn kind(set: &Term) -> Option<Kind> {
    match &set.kind {
        TermKind::NumberSet { letter, .. } => match letter {
            'N' | 'Z' => Some(Kind::Integer),
            'R' => Some(Kind::Real),
            _ => None,
        },
        TermKind::Interval { .. } => Some(Kind::Real),
        TermKind::Name(name) if name.subscript.is_none() && name.primes == 0 => {
            match name.base.as_str() {
                "N" | "Z" => Some(Kind::Integer),
                "R" => Some(Kind::Real),
                _ => None,
            }
        }
        TermKind::Group(inner) => match &inner.kind {
            TermKind::List(items) if items.len() == 2 => Some(Kind::Real),
            _ => kind(inner),
        },
        TermKind::SetOf(items) => {
            let whole = |item: &Term| match &item.kind {
                TermKind::Number(text) => !text.contains('.'),
                TermKind::Dots => true,
                _ => false,
            };
            let dotted = items.iter().any(|item| matches!(item.kind, TermKind::Dots));
            Some(if dotted || items.iter().all(whole) {
                Kind::Integer
            } else {
                Kind::Real
            })
        }
        TermKind::SetBuilder { conditions, .. } => {
            conditions
                .iter()
                .find_map(|condition| match &condition.kind {
                    StatementKind::Chain { links, .. } => links.iter().find_map(|link| {
                        (link.sign == Sign::In)
                            .then(|| link.right.as_ref().and_then(kind))
                            .flatten()
                    }),
                    _ => None,
                })
        }
        TermKind::SetOperation {
            operator,
            left,
            right,
        } => match (operator, kind(left), kind(right)) {
            ('∖', found, _) => found,
            ('∩', Some(Kind::Integer), _) | ('∩', _, Some(Kind::Integer)) => {
                Some(Kind::Integer)
            }
            (_, Some(first), Some(second)) if first == second => Some(first),
            (_, Some(_), Some(_)) => Some(Kind::Real),
            _ => None,
        },
        _ => None,
    }
}
