//! Sequences that are defined by first members and an equation between neighbours.

use super::entry::{Context, Reader};
use super::lexicon::{Family, Lexicon};
use super::names::{Names, Use};
use super::outline::{Assertion, Content, Recursion, Role, Zone};
use super::shape::{self, Part};
use super::token::Token;
use super::utterance::{Mode, Utterance};
use crate::notation::syntax::{
    Link, Name, Segment, Sign, Statement, StatementKind, Term, TermKind,
};
use kernel::{Condition, Expr, Node, Relation, Symbol};
use source::Span;

/// Letters that number members before anything tells so.
const INDEX_LETTERS: [&str; 7] = ["n", "k", "m", "i", "j", "l", "ν"];

/// What was read so far of a sequence that an equation between its members defines.
#[derive(Clone, Debug, Default)]
pub(super) struct Recursive {
    /// First members with their values.
    starts: Vec<(i64, Expr)>,
    /// The equation.
    equation: Option<Equation>,
    /// Two definitions of it do not agree.
    torn: bool,
    /// It comes from the exercise to which the argument belongs.
    inherited: bool,
}

impl Recursive {
    /// Whether the first members that are given include the one with this index.
    pub(super) fn starts_at(&self, digits: &str) -> bool {
        digits
            .parse::<i64>()
            .is_ok_and(|at| self.starts.iter().any(|(own, _)| *own == at))
    }

    /// What a part defines anew replaces what its exercise said.
    fn begin_anew(&mut self) {
        *self = Self::default();
    }
}

#[derive(Clone, Debug)]
struct Equation {
    index: Symbol,
    order: usize,
    /// The value of the member `order` places behind the one with the plain index.
    next: Expr,
    span: Span,
}

/// A member as it is written: the letter of its index, if any, and how far from it.
struct Member<'a> {
    base: &'a str,
    index: Option<&'a str>,
    offset: i64,
}

/// The member that a term literally is: `a_{n+1}`, `x_0`.
fn member<'a>(term: &'a Term, names: &Names) -> Option<Member<'a>> {
    named_member(shape::bare_name(term)?, names)
}

fn named_member<'a>(name: &'a Name, names: &Names) -> Option<Member<'a>> {
    if name.primes > 0 || name.superscript.is_some() {
        return None;
    }
    let (index, offset) = place(name.subscript.as_deref()?)?;
    if let Some(index) = index {
        let known = names.usage(index) == Use::Index;
        let letter = index.subscript.is_none() && INDEX_LETTERS.contains(&index.base.as_str());
        if !known && !letter {
            return None;
        }
    }
    Some(Member {
        base: &name.base,
        index: index.map(|index| index.base.as_str()),
        offset,
    })
}

/// `n + 1`, `n`, `0` as a subscript.
fn place(subscript: &Term) -> Option<(Option<&Name>, i64)> {
    match &subscript.kind {
        TermKind::Number(digits) => Some((None, digits.parse().ok()?)),
        TermKind::Name(name) => Some((Some(name), 0)),
        TermKind::Group(inner) => place(inner),
        TermKind::Sum(items) => match items.as_slice() {
            [(false, first), (minus, second)] => {
                let (Some(name), 0) = place(first)? else {
                    return None;
                };
                let (None, by) = place(second)? else {
                    return None;
                };
                Some((Some(name), if *minus { -by } else { by }))
            }
            _ => None,
        },
        _ => None,
    }
}

/// Every name of a term, also inside subscripts of others.
fn members_in<'a>(term: &'a Term, names: &Names, found: &mut Vec<Member<'a>>) {
    if let TermKind::Name(name) = &term.kind {
        found.extend(named_member(name, names));
    }
    let mut inner: Vec<&'a Term> = Vec::new();
    shape::visit_term(term, &mut |part| {
        if let Part::Term(part) = part {
            inner.push(part);
        }
    });
    for part in inner {
        members_in(part, names, found);
    }
}

/// The link of a chain that may define what stands at its left.
fn defining(statement: &Statement) -> Option<(&Term, &[Link], &Term)> {
    let StatementKind::Chain {
        first: Some(first),
        links,
    } = &statement.kind
    else {
        return None;
    };
    let link = links.first()?;
    let equal = matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal));
    let right = link.right.as_ref().filter(|_| equal)?;
    Some((first, links, right))
}

/// The number to which a statement sets the index: `n = 1`.
fn single_value(statement: &Statement, index: &Symbol) -> Option<i64> {
    let (first, links, right) = defining(statement)?;
    let name = shape::bare_name(first)?;
    let (None, at) = place(right)? else {
        return None;
    };
    (links.len() == 1 && name.base == index.as_str() && name.subscript.is_none()).then_some(at)
}

/// How far the members on the right of `a_{n+1} = …` lie behind it: the farthest.
fn reach(left: &Member<'_>, right: &Term, names: &Names) -> Option<i64> {
    let index = left.index?;
    let mut inside = Vec::new();
    members_in(right, names, &mut inside);
    let own: Vec<&Member<'_>> = inside
        .iter()
        .filter(|other| other.base == left.base && other.index.is_some())
        .collect();
    let behind = own
        .iter()
        .all(|other| other.index == Some(index) && other.offset < left.offset);
    let farthest = own.iter().map(|other| left.offset - other.offset).max()?;
    (behind && farthest <= 3).then_some(farthest)
}

impl Lexicon {
    /// Whether the name is a sequence that an equation between its members defines.
    pub(super) fn is_recursive(&self, name: &Symbol) -> bool {
        self.recursive.contains_key(name)
    }

    /// Whether a recursion is made of an unknown function: x_{n+1} = T(x_n).
    pub(super) fn iterates(&self, function: &Symbol) -> bool {
        self.recursive
            .values()
            .filter_map(|known| known.equation.as_ref())
            .any(|own| own.next.unknown_functions().contains(function))
    }

    /// The sequences of which equation and first members were read without contradiction.
    pub(super) fn recursions(&self) -> Vec<Recursion> {
        let mut found: Vec<Recursion> = self
            .recursive
            .iter()
            .filter(|(_, known)| !known.torn)
            .filter_map(|(name, known)| {
                let equation = known.equation.as_ref()?;
                let mut starts = known.starts.clone();
                starts.sort_by_key(|(at, _)| *at);
                let given = self.given_starts(name);
                let first = starts
                    .first()
                    .map(|(at, _)| *at)
                    .into_iter()
                    .chain(given.iter().map(|(at, _)| *at))
                    .min()
                    .unwrap_or(1);
                let order = i64::try_from(equation.order).ok()?;
                starts.retain(|(at, _)| *at < first + order);
                Some(Recursion {
                    name: name.clone(),
                    index: equation.index.clone(),
                    first,
                    starts,
                    conditions: given
                        .into_iter()
                        .flat_map(|(_, conditions)| conditions)
                        .collect(),
                    order: equation.order,
                    next: equation.next.clone(),
                    span: equation.span,
                })
            })
            .collect();
        // An equation that speaks of sequences of which nothing is known ties nothing.
        loop {
            let known: Vec<Symbol> = found.iter().map(|one| one.name.clone()).collect();
            let before = found.len();
            found.retain(|one| {
                one.next
                    .unknown_functions()
                    .iter()
                    .all(|name| known.contains(name))
            });
            if found.len() == before {
                return found;
            }
        }
    }

    /// What is said of first members that get no value: `a_1 > 0`, `x_0 ∈ (0, 1)`.
    fn given_starts(&self, name: &Symbol) -> Vec<(i64, Vec<Condition>)> {
        self.domains
            .iter()
            .filter_map(|(own, domain)| {
                let (base, at) = own.as_str().split_once('_')?;
                let at = at.parse().ok().filter(|_| base == name.as_str())?;
                let about = |condition: &Condition| {
                    let mut found = false;
                    condition.visit(&mut |part| {
                        found |=
                            matches!(part.node(), Node::Apply(function, _) if function == name);
                    });
                    found
                };
                (domain.unread.is_none() && domain.conditions.iter().any(about))
                    .then(|| (at, domain.conditions.clone()))
            })
            .collect()
    }
}

impl Reader<'_> {
    /// Learns which sequences the argument defines by recursion, before any sentence is read.
    pub(super) fn learn_recursions(&mut self, sentences: &[&[Token]]) {
        for known in self.lexicon.recursive.values_mut() {
            known.inherited = true;
        }
        let mut explicit: Vec<&str> = Vec::new();
        for statement in sentences
            .iter()
            .flat_map(|tokens| tokens.iter())
            .filter_map(Token::statement)
        {
            let Some((first, _, right)) = defining(&statement.statement) else {
                continue;
            };
            let Some(left) = member(first, &self.lexicon.names) else {
                continue;
            };
            let base = Symbol::new(left.base);
            if reach(&left, right, &self.lexicon.names).is_some() {
                let known = explicit.contains(&left.base)
                    || self.lexicon.defines(&base, 1)
                    || self.lexicon.is_recursive(&base);
                if !known {
                    self.lexicon
                        .recursive
                        .insert(base.clone(), Recursive::default());
                    // The limit of x_n is often called x.
                    if !self.lexicon.vocabulary.is_declared(&base) {
                        self.lexicon
                            .vocabulary
                            .declare_variable(&base, kernel::Kind::Real);
                    }
                    self.lexicon.vocabulary.declare_unknown(&base, 1, Some(0));
                }
            } else if left.index.is_some() && left.offset == 0 {
                explicit.push(left.base);
            }
        }
    }

    /// Notes an equation or a first member that defines a recursive sequence.
    pub(super) fn recursion_ahead(
        &mut self,
        context: &mut Context<'_>,
        position: usize,
        statement: &Statement,
        span: Span,
    ) {
        let utterance = &context.reading.utterances[position];
        let Some((first, links, right)) = defining(statement) else {
            return;
        };
        let Some(left) = member(first, &self.lexicon.names) else {
            return;
        };
        let base = Symbol::new(left.base);
        if !self.lexicon.is_recursive(&base) || !self.may_define(context, utterance, links, &base) {
            return;
        }
        // "2. Let a_n = 1/n": the same letter for another sequence.
        let anew = matches!(utterance.mode, Mode::Let | Mode::Define)
            && context.zone == Zone::Statement
            || links.first().is_some_and(|link| link.sign == Sign::Defines);
        let explicit = left.index.is_some()
            && left.offset == 0
            && reach(&left, right, &self.lexicon.names).is_none();
        if explicit
            && anew
            && let Some(known) = self.lexicon.recursive.get_mut(&base)
        {
            known.torn |= known.equation.is_some();
            return;
        }
        let noted = match (left.index, reach(&left, right, &self.lexicon.names)) {
            (Some(index), Some(order)) => {
                let index = Symbol::new(index);
                let place = (left.offset, order);
                match &right.kind {
                    TermKind::Cases(rows) => self.note_cases(&base, &index, place, rows, span),
                    _ => self.note_equation(&base, &index, place, right, span),
                }
            }
            (None, _) => self.note_starts(&base, left.offset, links),
            _ => false,
        };
        if noted && links.len() == 1 {
            context.recursive.push(position);
        }
    }

    /// Whether an equation about members may be the one that defines them.
    fn may_define(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        links: &[Link],
        base: &Symbol,
    ) -> bool {
        if utterance.link.is_some() || utterance.spoken.is_some() || utterance.doubt.is_some() {
            return false;
        }
        let named = matches!(links.first(), Some(link) if link.sign == Sign::Defines);
        match utterance.mode {
            Mode::Reject | Mode::Contradiction | Mode::Condition | Mode::Reason => false,
            // What shall be shown of a known sequence does not define it.
            Mode::Aim if self.has_equation(base) => false,
            Mode::Let | Mode::Define | Mode::Choose => true,
            _ if named || context.zone == Zone::Statement => true,
            // Before its proof begins, or where first members and equation stand together.
            _ => {
                self.lexicon
                    .recursive
                    .get(base)
                    .is_some_and(|known| known.equation.is_none() && !known.starts.is_empty())
                    || self.holds_both(context, base)
            }
        }
    }

    fn has_equation(&self, base: &Symbol) -> bool {
        let known = self.lexicon.recursive.get(base);
        known.is_some_and(|known| known.equation.is_some())
    }

    /// Whether a sentence gives first members and equation of a sequence.
    fn holds_both(&self, context: &Context<'_>, base: &Symbol) -> bool {
        let known = self.lexicon.recursive.get(base);
        if known.is_some_and(|known| known.equation.is_some() && !known.starts.is_empty()) {
            return false;
        }
        let (mut start, mut equation) = (false, false);
        for statement in context.tokens.iter().filter_map(Token::statement) {
            let Some((first, _, right)) = defining(&statement.statement) else {
                continue;
            };
            let Some(left) = member(first, &self.lexicon.names) else {
                continue;
            };
            if left.base == base.as_str() {
                start |= left.index.is_none();
                equation |= reach(&left, right, &self.lexicon.names).is_some();
            }
        }
        start && equation
    }

    /// The equation, if it is the first of its sequence.
    fn note_equation(
        &mut self,
        base: &Symbol,
        index: &Symbol,
        (offset, order): (i64, i64),
        right: &Term,
        span: Span,
    ) -> bool {
        let Ok(value) = self
            .lexicon
            .defined_value(std::slice::from_ref(index), 1, right)
        else {
            return false;
        };
        // The farthest member gets the plain index.
        let plain = Expr::shifted(index, order - offset);
        let next = tidy(&value.substitute(index, &plain));
        let Some(known) = self.lexicon.recursive.get_mut(base) else {
            return false;
        };
        if let Some(before) = &known.equation {
            let own = before
                .next
                .substitute(&before.index, &Expr::variable(index));
            if own == next {
                return false;
            }
            if !known.inherited {
                known.torn = true;
                return false;
            }
            known.begin_anew();
        }
        known.equation = Some(Equation {
            index: index.clone(),
            order: usize::try_from(order).unwrap_or(1),
            next,
            span,
        });
        if self.lexicon.family.is_none() {
            self.lexicon.family = Some(Family {
                name: base.clone(),
                index: index.clone(),
                points: Vec::new(),
                term: Node::Apply(base.clone(), vec![Expr::variable(index)]).into(),
            });
        }
        true
    }

    /// `a_n = 1 if n = 1, a_{n−1}/2 + 1 if n ≥ 2`: first members and the equation in one.
    fn note_cases(
        &mut self,
        base: &Symbol,
        index: &Symbol,
        place: (i64, i64),
        rows: &[(Term, Vec<Segment>)],
        span: Span,
    ) -> bool {
        let mut starts = Vec::new();
        let mut general = None;
        for (value, behind) in rows {
            let mut inside = Vec::new();
            members_in(value, &self.lexicon.names, &mut inside);
            if inside.iter().any(|other| other.base == base.as_str()) {
                if general.replace(value).is_some() {
                    return false;
                }
                continue;
            }
            let at = behind.iter().find_map(|segment| match segment {
                Segment::Statement(statement) => single_value(statement, index),
                _ => None,
            });
            let (Some(at), Ok(value)) = (at, self.lexicon.term(value)) else {
                return false;
            };
            starts.push((at, value));
        }
        let Some(general) = general.filter(|_| !starts.is_empty()) else {
            return false;
        };
        self.note_equation(base, index, place, general, span)
            && starts
                .into_iter()
                .all(|(at, value)| self.note_value(base, &[place.0 + at], value))
    }

    /// First members with their value: `a_1 = 2`, `f_1 = f_2 = 1`.
    fn note_starts(&mut self, base: &Symbol, at: i64, links: &[Link]) -> bool {
        let mut places = vec![at];
        let mut value = None;
        for link in links {
            let equal = matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal));
            let Some(right) = link.right.as_ref().filter(|_| equal) else {
                break;
            };
            match member(right, &self.lexicon.names) {
                Some(other) if other.index.is_none() && other.base == base.as_str() => {
                    places.push(other.offset);
                }
                _ => {
                    value = self.lexicon.term(right).ok();
                    break;
                }
            }
        }
        value.is_some_and(|value| self.note_value(base, &places, value))
    }

    /// The value of first members; whether it tells anything new.
    fn note_value(&mut self, base: &Symbol, places: &[i64], value: Expr) -> bool {
        let Some(known) = self
            .lexicon
            .recursive
            .get_mut(base)
            .filter(|_| value.unknown_functions().is_empty())
        else {
            return false;
        };
        let differs = |place: &i64| {
            known
                .starts
                .iter()
                .any(|(other, before)| other == place && *before != value)
        };
        if known.inherited && places.iter().any(differs) {
            // The equation stays until another one is written.
            let equation = known.equation.take();
            known.begin_anew();
            known.equation = equation;
        }
        let mut noted = false;
        for place in places {
            match known.starts.iter().find(|(other, _)| other == place) {
                Some((_, before)) => known.torn |= *before != value,
                None => {
                    known.starts.push((*place, value.clone()));
                    noted = true;
                }
            }
        }
        noted
    }

    /// The entry of an equation or first member that defines a recursive sequence.
    pub(super) fn recursion_told(
        &mut self,
        context: &Context<'_>,
        position: usize,
        statement: &Statement,
        whole: Span,
    ) {
        let said = defining(statement).and_then(|(left, _, right)| {
            let left = self.lexicon.term(left).ok()?;
            let right = self.lexicon.term(right).ok()?;
            Some(Content::Assertion(Assertion::Relation {
                left,
                relation: Relation::Equal,
                right,
            }))
        });
        self.push(
            context,
            Some(position),
            whole,
            Some(Role::Definition),
            said.unwrap_or(Content::Mention),
        );
    }
}

/// The expression with every index in its shortest form: a(n + 1 − 1) is a(n).
fn tidy(expr: &Expr) -> Expr {
    let inner = expr.map_children(&mut tidy);
    let Node::Apply(name, arguments) = inner.node() else {
        return inner;
    };
    let arguments = arguments
        .iter()
        .map(|argument| match argument.as_shift() {
            Some((Some(name), by)) => Expr::shifted(&name, by),
            _ => argument.clone(),
        })
        .collect();
    Node::Apply(name.clone(), arguments).into()
}
