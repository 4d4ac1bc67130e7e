//! Ways on which a variable moves toward a place: each a value that depends on something that grows.

mod outcome;

pub(crate) use outcome::{Outcome, judge, outcome};

use crate::engine::Engine;
use crate::scope::Setting;
use argument::Toward;
use kernel::numerics::{self, Assignment, Truth, Value};
use kernel::{
    Condition, Expr, Function, Goal, Kind, Node, Origin, Problem, Relation, Symbol, Variable,
};
use std::collections::BTreeSet;

/// A term whose limit is asked.
#[derive(Clone, Copy)]
pub(crate) struct Question<'a> {
    /// The term.
    pub(crate) term: &'a Expr,
    /// What moves.
    pub(crate) variable: &'a Symbol,
    /// Whereto.
    pub(crate) toward: &'a Toward,
    /// What restricts it, beyond what is in force.
    pub(crate) conditions: &'a [Condition],
}

/// One way on which the variable moves: from the right, from the left, along all integers.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    /// "x → 0⁺"
    pub(crate) words: String,
    /// "with x = 1/t", where what grows has a name of its own.
    pub(crate) with: String,
    /// What grows.
    run: Symbol,
    /// Whether it runs through integers or reals.
    kind: Kind,
    /// The term on the way.
    term: Expr,
    /// Names, hypotheses and how far what grows has to be at least; any goal.
    base: Problem,
}

/// From these values on what is asked for large values is looked for.
const STARTS: [i64; 6] = [1, 2, 4, 10, 100, 1000];

impl Way {
    /// The question whether the term, changed, tends to 0.
    fn vanishing(&self, term: Expr) -> Problem {
        self.base.with_goal(Goal::TendsToZero {
            term,
            index: self.run.clone(),
            points: Vec::new(),
        })
    }

    /// The same, asked in a form that knows places of all kinds: the supremum over all larger
    /// values, or two of them, as the index grows.
    fn wandering(&self, term: &dyn Fn(&[Expr]) -> Expr, count: usize) -> Problem {
        if self.kind == Kind::Integer {
            let own = Expr::variable(&self.run);
            let along: Vec<Expr> = (0..count)
                .map(|step| match i64::try_from(step) {
                    Ok(step @ 1..) => {
                        let later = own.plus(&Expr::integer(step));
                        self.term.substitute(&self.run, &later)
                    }
                    _ => self.term.clone(),
                })
                .collect();
            return self.vanishing(term(&along));
        }
        let index = self.fresh(&["n", "k", "j"]);
        let points: Vec<Symbol> = ["u", "v"]
            .iter()
            .take(count)
            .map(|name| self.fresh(&[name, &format!("{name}′")]))
            .collect();
        let mut problem = self.base.clone();
        problem.variables.retain(|own| own.name != self.run);
        problem
            .hypotheses
            .retain(|own| !own.condition.variables().contains(&self.run));
        problem.variables.push(Variable {
            name: index.clone(),
            kind: Kind::Integer,
        });
        let at_least = |left: &Expr, right: &Expr| {
            Condition::Holds(left.clone(), Relation::GreaterEqual, right.clone())
        };
        problem = problem.assuming(
            at_least(&Expr::variable(&index), &Expr::integer(1)),
            Origin::Domain,
        );
        for point in &points {
            let own = Expr::variable(point);
            problem.variables.push(Variable {
                name: point.clone(),
                kind: Kind::Real,
            });
            problem = problem.assuming(at_least(&own, &Expr::variable(&index)), Origin::Domain);
            for hypothesis in &self.base.hypotheses {
                if hypothesis.condition.variables().contains(&self.run) {
                    let there = hypothesis.condition.substitute(&self.run, &own);
                    problem = problem.assuming(there, Origin::Domain);
                }
            }
        }
        let along: Vec<Expr> = points
            .iter()
            .map(|point| self.term.substitute(&self.run, &Expr::variable(point)))
            .collect();
        problem.with_goal(Goal::TendsToZero {
            term: term(&along),
            index,
            points,
        })
    }

    /// A name that nothing uses yet.
    fn fresh(&self, wanted: &[&str]) -> Symbol {
        let used = |name: &Symbol| {
            self.base.variable(name).is_some() || self.term.variables().contains(name)
        };
        wanted
            .iter()
            .map(|name| Symbol::new(name))
            .chain((0..).map(|count| Symbol::new(&format!("t_{count}"))))
            .find(|name| !used(name))
            .unwrap_or_else(|| Symbol::new("t"))
    }
}

/// The ways on which the variable may come near its place inside the domain, or why they are not
/// known. Where the term's own meaning leaves out a side (√x, log x), that side is no way.
pub(crate) fn ways(
    engine: &Engine<'_>,
    setting: &Setting,
    question: &Question<'_>,
) -> Result<Vec<Way>, String> {
    let Question {
        term,
        variable,
        toward,
        conditions,
    } = question;
    let whole = setting.kind(variable) == Kind::Integer;
    if whole {
        return match toward {
            Toward::Infinity => along_integers(setting, question).map(|way| vec![way]),
            _ => Err("an integer does not come near a place".to_owned()),
        };
    }
    let (mut domain, rest, _) = setting.parted(variable);
    domain.extend(conditions.iter().cloned());
    let mut names = term.variables();
    if let Toward::Point(place) | Toward::Above(place) | Toward::Below(place) = toward {
        names.extend(place.variables());
        if place.mentions(variable) {
            return Err("the place depends on what moves".to_owned());
        }
    }
    names.extend(domain.iter().flat_map(Condition::variables));
    names.remove(*variable);
    let names = rest.closure(&names);
    let base = rest.problem(&names, Goal::Defined(Expr::integer(0)));
    let mut found = Vec::new();
    for side in sides(toward) {
        let looked = Look {
            engine,
            question,
            base: &base,
            domain: &domain,
        };
        if let Some(way) = looked.along(&side)? {
            found.push(way);
        }
    }
    if found.is_empty() {
        return Err("no points of the domain come near this place".to_owned());
    }
    Ok(found)
}

/// A side from which a place is approached.
enum Side {
    Far(bool),
    Near(Expr, bool),
}

fn sides(toward: &Toward) -> Vec<Side> {
    match toward {
        Toward::Infinity => vec![Side::Far(true)],
        Toward::MinusInfinity => vec![Side::Far(false)],
        Toward::Above(place) => vec![Side::Near(place.clone(), true)],
        Toward::Below(place) => vec![Side::Near(place.clone(), false)],
        Toward::Point(place) => vec![
            Side::Near(place.clone(), true),
            Side::Near(place.clone(), false),
        ],
    }
}

/// A side that is looked at.
struct Look<'a> {
    engine: &'a Engine<'a>,
    question: &'a Question<'a>,
    base: &'a Problem,
    domain: &'a [Condition],
}

impl Look<'_> {
    /// The way along a side; none if the domain, or the meaning of the term, does not reach the
    /// place from there.
    fn along(&self, side: &Side) -> Result<Option<Way>, String> {
        let variable = self.question.variable;
        let run = match side {
            Side::Far(true) => variable.clone(),
            _ => self.fresh(),
        };
        let grows = Expr::variable(&run);
        let mut scales = vec![Expr::integer(1)];
        if let Side::Near(place, _) = side
            && !place.variables().is_empty()
        {
            scales.extend(self.reach(place));
        }
        let mut blocked = None;
        for scale in scales.iter().rev() {
            let value = match side {
                Side::Far(true) => grows.clone(),
                Side::Far(false) => grows.negative(),
                Side::Near(place, above) => near(place, &scale.over(&grows), *above),
            };
            match self.with_value(side, &run, &value)? {
                Found::Way(way) => return Ok(Some(*way)),
                Found::Nothing => return Ok(None),
                Found::Blocked(way) => blocked = Some(way),
            }
        }
        Ok(blocked.map(|way| *way))
    }

    fn with_value(&self, side: &Side, run: &Symbol, value: &Expr) -> Result<Found, String> {
        let variable = self.question.variable;
        let mut base = self.base.clone();
        base.variables.push(Variable {
            name: run.clone(),
            kind: Kind::Real,
        });
        let mut start = STARTS[0];
        for condition in parts_of(self.domain) {
            let there = condition.substitute(variable, value);
            match self.eventually(&base, run, &there) {
                Eventually::From(from) => start = start.max(from),
                Eventually::Never => return Ok(Found::Nothing),
                Eventually::Unknown if self.is_open_at(&condition, side) => {}
                Eventually::Unknown => {
                    return Err(format!(
                        "it is not known whether {} comes near its place with {}",
                        variable,
                        kernel::show::condition(&condition)
                    ));
                }
            }
        }
        let term = tidy(&self.question.term.substitute(variable, value), run);
        let mut defined = false;
        for from in STARTS.into_iter().filter(|from| *from >= start) {
            let there = beyond(&base, run, from);
            if self.is_undefined(&there, &term) {
                return Ok(Found::Nothing);
            }
            if self.proves(&there.with_goal(Goal::Defined(term.clone()))) {
                start = from;
                defined = true;
                break;
            }
        }
        let way = Box::new(Way {
            words: self.words(side),
            with: match side {
                Side::Far(true) => String::new(),
                _ => format!("with {variable} = {}: ", kernel::show::plain(value)),
            },
            run: run.clone(),
            kind: Kind::Real,
            term,
            base: beyond(&base, run, start),
        });
        Ok(if defined {
            Found::Way(way)
        } else {
            Found::Blocked(way)
        })
    }

    fn proves(&self, problem: &Problem) -> bool {
        self.engine.quickly(|| self.engine.proves(problem))
    }

    /// From where on a condition holds, if from some value on it always or never does.
    fn eventually(&self, base: &Problem, run: &Symbol, condition: &Condition) -> Eventually {
        for from in STARTS {
            match self.decided(&beyond(base, run, from), condition) {
                Some(true) => return Eventually::From(from),
                Some(false) => return Eventually::Never,
                None => {}
            }
        }
        Eventually::Unknown
    }

    /// Whether a condition always or never holds under what is said.
    fn decided(&self, under: &Problem, condition: &Condition) -> Option<bool> {
        match condition {
            Condition::Holds(left, relation, right) => {
                let holds = |relation| {
                    self.proves(&under.with_goal(Goal::Holds(
                        left.clone(),
                        relation,
                        right.clone(),
                    )))
                };
                if holds(*relation) {
                    Some(true)
                } else if holds(relation.negated()) {
                    Some(false)
                } else {
                    None
                }
            }
            Condition::And(items) => {
                let all: Vec<_> = items.iter().map(|item| self.decided(under, item)).collect();
                if all.contains(&Some(false)) {
                    return Some(false);
                }
                all.iter().all(|own| *own == Some(true)).then_some(true)
            }
            Condition::Or(items) => {
                let all: Vec<_> = items.iter().map(|item| self.decided(under, item)).collect();
                if all.contains(&Some(true)) {
                    return Some(true);
                }
                all.iter().all(|own| *own == Some(false)).then_some(false)
            }
            Condition::Not(inner) => self.decided(under, inner).map(|own| !own),
            Condition::Integer(_) => None,
        }
    }

    /// Whether a condition holds strictly at the place itself, so that it holds near it.
    fn is_open_at(&self, condition: &Condition, side: &Side) -> bool {
        let (Side::Near(place, _), Condition::Holds(left, relation, right)) = (side, condition)
        else {
            return false;
        };
        let variable = self.question.variable;
        let smooth = |expr: &Expr| expr.as_variable() == Some(variable) || !expr.mentions(variable);
        let strict = match relation {
            Relation::Less | Relation::LessEqual => Relation::Less,
            Relation::Greater | Relation::GreaterEqual => Relation::Greater,
            Relation::NotEqual => Relation::NotEqual,
            Relation::Equal => return false,
        };
        smooth(left)
            && smooth(right)
            && self.proves(&self.base.with_goal(Goal::Holds(
                left.substitute(variable, place),
                strict,
                right.substitute(variable, place),
            )))
    }

    /// Whether some part of the term has no meaning at all under what is said.
    fn is_undefined(&self, under: &Problem, term: &Expr) -> bool {
        let zero = Expr::integer(0);
        let mut needs: Vec<(Expr, Relation, Expr)> = Vec::new();
        // What stands in a case or below a sum need not be asked for here.
        let mut guarded = false;
        term.visit(&mut |part| match part.node() {
            Node::Piecewise(_) | Node::Sum { .. } | Node::Product { .. } => guarded = true,
            Node::Root(degree, inner) if degree % 2 == 0 => {
                needs.push((inner.clone(), Relation::Less, zero.clone()));
            }
            Node::Call(Function::Log, inner) => {
                needs.push((inner.clone(), Relation::LessEqual, zero.clone()));
            }
            Node::Pow(base, exponent)
                if exponent
                    .as_number()
                    .is_none_or(|exponent| !exponent.is_int()) =>
            {
                needs.push((base.clone(), Relation::Less, zero.clone()));
            }
            Node::Call(Function::Asin | Function::Acos, inner) => {
                needs.push((inner.abs(), Relation::Greater, Expr::integer(1)));
            }
            _ => {}
        });
        !guarded
            && needs.into_iter().any(|(left, relation, right)| {
                left.variables()
                    .iter()
                    .any(|name| self.base.variable(name).is_none())
                    && self.proves(&under.with_goal(Goal::Holds(left, relation, right)))
            })
    }

    /// How far one may go from a place with parameters without meeting 0.
    fn reach(&self, place: &Expr) -> Option<Expr> {
        let zero = Expr::integer(0);
        let is = |relation| {
            self.proves(
                &self
                    .base
                    .with_goal(Goal::Holds(place.clone(), relation, zero.clone())),
            )
        };
        if is(Relation::Greater) {
            Some(place.clone())
        } else if is(Relation::Less) {
            Some(place.negative())
        } else if is(Relation::NotEqual) {
            Some(place.abs())
        } else {
            None
        }
    }

    fn fresh(&self) -> Symbol {
        let mut used: BTreeSet<Symbol> = self.question.term.variables();
        used.extend(self.base.variables.iter().map(|own| own.name.clone()));
        used.insert(self.question.variable.clone());
        ["t", "s", "r", "w"]
            .iter()
            .map(|name| Symbol::new(name))
            .chain((0..).map(|count| Symbol::new(&format!("t_{count}"))))
            .find(|name| !used.contains(name))
            .unwrap_or_else(|| Symbol::new("t"))
    }

    fn words(&self, side: &Side) -> String {
        let variable = self.question.variable;
        let both = matches!(self.question.toward, Toward::Point(_));
        match side {
            Side::Far(true) => format!("{variable} → ∞"),
            Side::Far(false) => format!("{variable} → −∞"),
            Side::Near(place, above) => {
                let place = kernel::show::plain(place);
                match (both, above) {
                    (_, true) => format!("{variable} → {place}⁺"),
                    (_, false) => format!("{variable} → {place}⁻"),
                }
            }
        }
    }
}

enum Found {
    /// A way on which the term is defined.
    Way(Box<Way>),
    /// The domain has no points there.
    Nothing,
    /// A way on which the term was not shown to be defined.
    Blocked(Box<Way>),
}

enum Eventually {
    From(i64),
    Never,
    Unknown,
}

fn near(place: &Expr, distance: &Expr, above: bool) -> Expr {
    let zero = place.as_number().is_some_and(|value| value.is_zero());
    match (zero, above) {
        (true, true) => distance.clone(),
        (true, false) => distance.negative(),
        (false, true) => place.plus(distance),
        (false, false) => place.minus(distance),
    }
}

/// a/(1/t) as a t, for the t that grows and is not 0.
fn tidy(expr: &Expr, run: &Symbol) -> Expr {
    let expr = expr.map_children(&mut |part| tidy(part, run));
    let Node::Div(above, below) = expr.node() else {
        return expr;
    };
    match below.node() {
        Node::Div(one, own)
            if own.as_variable() == Some(run)
                && one.as_number().is_some_and(|one| one.is_one()) =>
        {
            if above.as_number().is_some_and(|above| above.is_one()) {
                own.clone()
            } else {
                above.times(own)
            }
        }
        _ => expr,
    }
}

fn beyond(base: &Problem, run: &Symbol, from: i64) -> Problem {
    base.assuming(
        Condition::Holds(
            Expr::variable(run),
            Relation::GreaterEqual,
            Expr::integer(from),
        ),
        Origin::Domain,
    )
}

fn parts_of(conditions: &[Condition]) -> Vec<Condition> {
    let mut all = Vec::new();
    for condition in conditions {
        match condition {
            Condition::And(items) => all.extend(parts_of(items)),
            other => all.push(other.clone()),
        }
    }
    all
}

/// The way of an index through the integers, or through those of one parity.
fn along_integers(setting: &Setting, question: &Question<'_>) -> Result<Way, String> {
    let Question {
        term,
        variable,
        conditions,
        ..
    } = question;
    let extended = conditions
        .iter()
        .fold(setting.clone(), |setting, condition| {
            setting.and(condition.clone(), Origin::Range)
        });
    let mut base = extended.vanishing(term, variable, &[]);
    let own = |condition: &Condition| {
        let names = condition.variables();
        names.len() == 1 && names.contains(*variable)
    };
    let classes: Vec<Condition> = base
        .hypotheses
        .iter()
        .map(|hypothesis| hypothesis.condition.clone())
        .filter(|condition| own(condition) && !is_plain(variable, condition))
        .collect();
    let mut way = Way {
        words: format!("{variable} → ∞"),
        with: String::new(),
        run: (*variable).clone(),
        kind: Kind::Integer,
        term: (*term).clone(),
        base: base.clone(),
    };
    if classes.is_empty() {
        return Ok(way);
    }
    let Some((stride, offset)) = class_of(variable, &classes) else {
        return Err(format!("it is not read which {variable} are meant"));
    };
    let half = way.fresh(&["m", "k", "j"]);
    let value = Expr::integer(stride).times(&Expr::variable(&half));
    let value = match offset {
        0 => value,
        _ => value.plus(&Expr::integer(offset)),
    };
    base.hypotheses
        .retain(|hypothesis| !classes.contains(&hypothesis.condition));
    for hypothesis in &mut base.hypotheses {
        hypothesis.condition = hypothesis.condition.substitute(variable, &value);
    }
    base.variables.retain(|own| own.name != **variable);
    base.variables.push(Variable {
        name: half.clone(),
        kind: Kind::Integer,
    });
    way.base = beyond(&base, &half, 1);
    way.with = format!("with {variable} = {}: ", kernel::show::plain(&value));
    way.words = format!(
        "{variable} → ∞ through {variable} = {}",
        kernel::show::plain(&value)
    );
    way.run = half;
    way.term = term.substitute(variable, &value);
    Ok(way)
}

/// A comparison, or that the index is an integer: neither keeps it to a class.
fn is_plain(index: &Symbol, condition: &Condition) -> bool {
    match condition {
        Condition::Holds(..) => true,
        Condition::Integer(value) => value.as_variable() == Some(index),
        _ => false,
    }
}

/// The residue class to which conditions like n/2 ∈ ℤ keep an index: (modulus, residue).
fn class_of(index: &Symbol, conditions: &[Condition]) -> Option<(i64, i64)> {
    let mut modulus: i64 = 1;
    for condition in conditions {
        modulus = modulus.checked_mul(period(index, condition)?)?;
    }
    if !(2..=12).contains(&modulus) {
        return None;
    }
    let fits: Vec<i64> = (0..modulus)
        .filter(|residue| {
            // Large enough to be beyond every lower bound that is usual.
            let value = Value::Closed(Expr::integer(residue + 1000 * modulus));
            let at = Assignment::new().with(index, Kind::Integer, value);
            conditions
                .iter()
                .all(|condition| numerics::truth(condition, &at) == Truth::True)
        })
        .collect();
    let first = *fits.first()?;
    let stride = modulus.checked_div(i64::try_from(fits.len()).ok()?)?;
    let regular = modulus % stride == 0
        && fits
            .iter()
            .zip(0..)
            .all(|(residue, place)| *residue == first + place * stride);
    (regular && stride >= 2).then_some((stride, first))
}

/// A number after which a condition on an index repeats.
fn period(index: &Symbol, condition: &Condition) -> Option<i64> {
    match condition {
        Condition::Integer(value) => match value.node() {
            Node::Div(above, below) => {
                let linear = match above.node() {
                    Node::Add(items) => items.iter().all(|item| {
                        item.as_variable() == Some(index) || item.as_number().is_some()
                    }),
                    _ => above.as_variable() == Some(index),
                };
                let below = below.as_number()?;
                let below = below
                    .is_int()
                    .then(|| i64::try_from(below.numerator().clone()))?;
                below.ok().filter(|below| linear && *below > 0)
            }
            _ => None,
        },
        Condition::Not(inner) => period(index, inner),
        _ => None,
    }
}
