//! Limits of recursive sequences: what bounds, monotony and the equation leave of them.

use super::facts::Fact;
use super::induction;
use super::members::Members;
use crate::engine::{Engine, Judgement};
use crate::scope::Setting;
use argument::{Assertion, Content, LimitValue, Recursion};
use kernel::numerics::{self, Assignment, Truth};
use kernel::{
    Condition, Expr, Function, Goal, Kind, Node, Origin, Problem, Relation, Symbol, show,
};
use std::collections::BTreeSet;

/// Ratios q that are tried in |a_{n+1} − L| ≤ q |a_n − L|, as fractions.
const RATIOS: [(i64, i64); 5] = [(1, 4), (1, 2), (3, 4), (9, 10), (99, 100)];

/// Largest numerator and denominator of the fixed points that are tried.
const FIXED: (i64, i64) = (12, 4);

/// Judges a statement about the limit of a member of a recursive sequence; `None` if the term is
/// no member, or nothing came out.
pub(crate) fn judge(
    engine: &Engine<'_>,
    setting: &Setting,
    (term, index): (&Expr, &Symbol),
    (value, negated): (&LimitValue, bool),
    reading: &str,
) -> Option<Judgement> {
    let members = &engine.recursions.members;
    let Node::Apply(name, given) = term.node() else {
        return None;
    };
    let recursion = members.recursion(name)?;
    let [at] = given.as_slice() else {
        return None;
    };
    if at.as_shift()?.0.as_ref() != Some(index) || !engine.recursions.runs_on(setting, index) {
        return None;
    }
    let limits = Limits {
        engine,
        setting: setting.clone().naming(&recursion.index, Kind::Integer),
        members,
        facts: engine.recursions.facts(engine),
        recursion,
    };
    let (holds, words) = limits.settled(value)?;
    if holds != negated {
        return Some(Judgement::proved(words, reading.to_owned()));
    }
    let mut names = limits.parameters();
    if let LimitValue::Number(value) = value {
        names.extend(value.variables());
    }
    let mut spoken_of = names.clone();
    spoken_of.insert(name.clone());
    Some(match setting.protection_among(&names, &spoken_of) {
        Some(reason) => Judgement::unsettled(&reason, reading.to_owned()),
        None => Judgement::refuted_in_words(words, reading.to_owned()),
    })
}

/// A limit that was proved.
pub(crate) struct Known {
    /// The limit, a number.
    pub(crate) value: Expr,
    /// Why.
    pub(crate) words: String,
}

/// The limit of the argument's recursive sequence, if there is one such sequence, and it is known
/// as a number.
pub(crate) fn known(engine: &Engine<'_>, members: &Members<'_>) -> Option<Known> {
    let [recursion] = members.recursions() else {
        return None;
    };
    let limits = Limits {
        engine,
        setting: Setting::of(engine.argument, &[]).naming(&recursion.index, Kind::Integer),
        members,
        facts: engine.recursions.facts(engine),
        recursion,
    };
    limits.candidates().into_iter().find_map(|value| {
        let words = limits.reached(&value)?;
        value
            .variables()
            .is_empty()
            .then_some(Known { value, words })
    })
}

/// What is asked about the limit of one sequence.
struct Limits<'a> {
    engine: &'a Engine<'a>,
    setting: Setting,
    members: &'a Members<'a>,
    facts: &'a [Fact],
    recursion: &'a Recursion,
}

/// A bound of all members, or of all but the first ones.
struct Bound {
    relation: Relation,
    value: Expr,
    words: String,
}

impl Limits<'_> {
    /// Whether the sequence has this limit, with the reason.
    fn settled(&self, value: &LimitValue) -> Option<(bool, String)> {
        match value {
            LimitValue::Number(value) => self
                .excluded(value)
                .map(|words| (false, words))
                .or_else(|| self.reached(value).map(|words| (true, words)))
                .or_else(|| self.another(value).map(|words| (false, words))),
            LimitValue::Exists => self
                .monotone_and_bounded()
                .or_else(|| {
                    self.candidates()
                        .iter()
                        .find_map(|value| self.contracts_to(value))
                })
                .map(|words| (true, words)),
            LimitValue::Infinity => self.stays(Relation::LessEqual).map(|words| (false, words)),
            LimitValue::MinusInfinity => self
                .stays(Relation::GreaterEqual)
                .map(|words| (false, words)),
        }
    }

    fn stays(&self, side: Relation) -> Option<String> {
        self.bounds()
            .into_iter()
            .find(|bound| bound.relation.weakened() == side)
            .map(|bound| bound.words)
    }

    /// The names of parameters.
    fn parameters(&self) -> BTreeSet<Symbol> {
        self.members.parameters()
    }

    /// A question about parameters, and about `x` as a real number.
    fn question(&self, x: Option<&Symbol>, conditions: Vec<Condition>, goal: Goal) -> Problem {
        let mut setting = self.setting.clone();
        let mut names = self.parameters();
        if let Some(x) = x {
            setting = setting.naming(x, Kind::Real);
            names.insert(x.clone());
        }
        for condition in conditions {
            names.extend(condition.variables());
            setting = setting.and(condition, Origin::Domain);
        }
        if let Goal::Holds(left, _, right) = &goal {
            names.extend(left.variables());
            names.extend(right.variables());
        }
        let names = setting.closure(&names);
        setting.problem(&names, goal)
    }

    fn proves(&self, problem: &Problem) -> bool {
        self.engine.quickly(|| self.engine.proves(problem))
    }

    fn holds(&self, left: &Expr, relation: Relation, right: &Expr) -> bool {
        self.proves(&self.question(
            None,
            Vec::new(),
            Goal::Holds(left.clone(), relation, right.clone()),
        ))
    }

    fn member(&self, by: i64) -> Expr {
        let index = Expr::shifted(&self.recursion.index, by);
        Node::Apply(self.recursion.name.clone(), vec![index]).into()
    }

    /// What the facts say of single members, and the first members for a monotone sequence.
    fn bounds(&self) -> Vec<Bound> {
        let own = self.member(0);
        let name = &self.recursion.name;
        let mut found: Vec<Bound> = Vec::new();
        for fact in self.facts {
            let (condition, _) = fact.parts();
            let Condition::Holds(left, relation, right) = condition else {
                continue;
            };
            let (relation, value) = if *left == own {
                (*relation, right)
            } else if *right == own {
                (relation.flipped(), left)
            } else {
                continue;
            };
            // A decreasing sequence stays below what its first members are less than.
            let strict = relation != relation.weakened()
                && self
                    .monotone(relation.weakened())
                    .is_some_and(|from| from <= fact.from);
            let free = !self.members.occur_in(value) && !value.mentions(&self.recursion.index);
            let side = relation.weakened();
            if free && matches!(side, Relation::LessEqual | Relation::GreaterEqual) {
                found.push(Bound {
                    relation: if strict { relation } else { side },
                    value: value.clone(),
                    words: format!(
                        "by induction {} for all {} ≥ {}",
                        show::condition(condition),
                        self.recursion.index,
                        fact.from
                    ),
                });
            }
        }
        for (relation, word) in [
            (Relation::LessEqual, "decreases"),
            (Relation::GreaterEqual, "increases"),
        ] {
            let Some(from) = self.monotone(relation) else {
                continue;
            };
            for at in [from, from + 3] {
                if let Some(value) = self.members.value(name, at) {
                    found.push(Bound {
                        relation,
                        words: format!(
                            "by induction {name} {word}, and {name}({at}) = {}",
                            show::plain(&value)
                        ),
                        value,
                    });
                }
            }
        }
        found
    }

    /// From which index on a(n + 1) R a(n) is known.
    fn monotone(&self, relation: Relation) -> Option<i64> {
        let (later, own) = (self.member(1), self.member(0));
        self.facts.iter().find_map(|fact| {
            let Condition::Holds(left, known, right) = fact.parts().0 else {
                return None;
            };
            let says = *left == later && *right == own && known.weakened() == relation
                || *left == own && *right == later && known.flipped().weakened() == relation;
            says.then_some(fact.from)
        })
    }

    /// Monotone and bounded, in words.
    fn monotone_and_bounded(&self) -> Option<String> {
        for (relation, word) in [
            (Relation::LessEqual, "decreases"),
            (Relation::GreaterEqual, "increases"),
        ] {
            if self.monotone(relation).is_some()
                && let Some(bound) = self.stays(relation.flipped())
            {
                let name = &self.recursion.name;
                return Some(format!("{name} {word} by induction, and {bound}"));
            }
        }
        None
    }

    /// The right side of the equation as a function of the member before, where it is one and
    /// continuous wherever it is defined.
    fn function(&self) -> Option<(Symbol, Expr)> {
        if self.recursion.order != 1 {
            return None;
        }
        let x = Symbol::new("x\u{2032}");
        let value = self
            .recursion
            .next
            .replace(&self.member(0), &Expr::variable(&x));
        let alone = value.unknown_functions().is_empty() && !value.mentions(&self.recursion.index);
        (alone && is_continuous(&value)).then_some((x, value))
    }

    /// Why a number is not the limit: the equation does not map it to itself, or the members
    /// keep to one side of a number before it.
    fn excluded(&self, value: &Expr) -> Option<String> {
        let name = &self.recursion.name;
        if let Some((x, function)) = self.function() {
            let image = function.substitute(&x, value);
            if self.holds(&image, Relation::NotEqual, value) {
                return Some(format!(
                    "a limit L satisfies L = {}, which {} does not",
                    show::plain(&function.substitute(&x, &Expr::named("L"))),
                    show::plain(value)
                ));
            }
        }
        self.bounds().into_iter().find_map(|bound| {
            let beyond = bound.relation.negated();
            self.holds(value, beyond, &bound.value).then(|| {
                format!(
                    "{}, so the limit of {name} is {} {}",
                    bound.words,
                    bound.relation.sign(),
                    show::plain(&bound.value)
                )
            })
        })
    }

    /// Why a number is the limit.
    fn reached(&self, value: &Expr) -> Option<String> {
        self.only_fixed_point(value)
            .or_else(|| self.contracts_to(value))
    }

    /// Monotone and bounded, and the only number within the bounds that the equation maps to
    /// itself.
    fn only_fixed_point(&self, value: &Expr) -> Option<String> {
        let words = self.monotone_and_bounded()?;
        let (x, function) = self.function()?;
        let own = Expr::variable(&x);
        let within: Vec<Condition> = self
            .bounds()
            .into_iter()
            .map(|bound| Condition::Holds(own.clone(), bound.relation, bound.value))
            .collect();
        let defined = Goal::Defined(function.clone());
        if !self.proves(&self.question(Some(&x), within.clone(), defined)) {
            return None;
        }
        // On each side of it the equation leads up, or down.
        let alone = [Relation::Less, Relation::Greater].into_iter().all(|side| {
            let mut beside = within.clone();
            beside.push(Condition::Holds(own.clone(), side, value.clone()));
            [Relation::Less, Relation::Greater]
                .into_iter()
                .any(|leads| {
                    let goal = Goal::Holds(function.clone(), leads, own.clone());
                    self.proves(&self.question(Some(&x), beside.clone(), goal))
                })
        });
        alone.then(|| {
            format!(
                "{words}; of the numbers that its limit may be, only {} satisfies the equation",
                show::plain(value)
            )
        })
    }

    /// |a(n + 1) − L| ≤ q |a(n) − L| with q < 1.
    fn contracts_to(&self, value: &Expr) -> Option<String> {
        if !self.comes_near(value) {
            return None;
        }
        let distance = |by: i64| self.member(by).minus(value).abs();
        RATIOS.iter().find_map(|(above, below)| {
            let ratio = Expr::ratio(*above, *below);
            let right = ratio.times(&distance(0));
            let goal = Goal::Holds(distance(1), Relation::LessEqual, right);
            let mut names = self.parameters();
            names.insert(self.recursion.index.clone());
            names.extend(value.variables());
            let from = Condition::Holds(
                Expr::variable(&self.recursion.index),
                Relation::GreaterEqual,
                Expr::integer(self.recursion.first + 1),
            );
            let mut problem = self.setting.problem(&self.setting.closure(&names), goal);
            problem.hypotheses.retain(|hypothesis| {
                !hypothesis
                    .condition
                    .variables()
                    .contains(&self.recursion.index)
            });
            let problem = problem.assuming(from, Origin::Domain);
            let shown = format!(
                "{} ≤ {}·{} for all {} ≥ {}",
                show::plain(&distance(1)),
                show::plain(&ratio),
                show::plain(&distance(0)),
                self.recursion.index,
                self.recursion.first + 1
            );
            matches!(
                induction::proved(self.engine, self.members, self.facts, &problem),
                Some(Ok(_))
            )
            .then_some(shown)
        })
    }

    /// Whether the first members come nearer to a number, as far as it is no parameter's.
    fn comes_near(&self, value: &Expr) -> bool {
        let distance = |at: i64| {
            let member = self.members.value(&self.recursion.name, at)?;
            Some(member.minus(value).abs())
        };
        let first = self.recursion.first;
        let (Some(early), Some(late)) = (distance(first + 1), distance(first + 6)) else {
            return true;
        };
        let nearer = Condition::Holds(late, Relation::LessEqual, early);
        !nearer.variables().is_empty()
            || numerics::truth(&nearer, &Assignment::new()) != Truth::False
    }

    /// Another number that is the limit.
    fn another(&self, value: &Expr) -> Option<String> {
        self.candidates()
            .into_iter()
            .filter(|other| self.holds(other, Relation::NotEqual, value))
            .find_map(|other| {
                let words = self.reached(&other)?;
                let name = &self.recursion.name;
                Some(format!("{name} tends to {}: {words}", show::plain(&other)))
            })
    }

    /// Numbers that may be the limit: those that the argument names, and small fractions that the
    /// equation maps to themselves.
    fn candidates(&self) -> Vec<Expr> {
        let parameters = self.parameters();
        let closed = |value: &Expr| {
            value.unknown_functions().is_empty() && value.variables().is_subset(&parameters)
        };
        let mut found: Vec<Expr> = Vec::new();
        let mut add = |value: &Expr| {
            if closed(value) && !found.contains(value) {
                found.push(value.clone());
            }
        };
        for definition in &self.engine.argument.definitions {
            if definition.parameters.is_empty() {
                add(&definition.value);
            }
        }
        for entry in &self.engine.argument.entries {
            match &entry.content {
                Content::Assertion(Assertion::Relation {
                    left,
                    relation: Relation::Equal,
                    right,
                }) if left.as_variable().is_some() => add(right),
                Content::Assertion(Assertion::Convergence { error, .. }) => add(&error.limit),
                Content::Assertion(Assertion::Limit { value, .. }) => {
                    value.number().into_iter().for_each(&mut add);
                }
                _ => {}
            }
        }
        if let Some((x, function)) = self.function() {
            for below in 1..=FIXED.1 {
                for above in -FIXED.0..=FIXED.0 {
                    let value = Expr::ratio(above, below);
                    let image = function.substitute(&x, &value);
                    let fixed = numerics::exact(&image, &Assignment::new())
                        .and_then(|image| image.as_rational());
                    if fixed.is_some() && fixed == value.as_number() {
                        add(&value);
                    }
                }
            }
        }
        found.retain(|value| {
            self.function().is_none_or(|(x, function)| {
                let fixed = Condition::Holds(
                    function.substitute(&x, value),
                    Relation::Equal,
                    value.clone(),
                );
                !fixed.variables().is_empty()
                    || numerics::truth(&fixed, &Assignment::new()) != Truth::False
            })
        });
        found
    }
}

/// Whether an expression is built from operations that are continuous wherever they are defined.
fn is_continuous(expr: &Expr) -> bool {
    let mut continuous = true;
    expr.visit(&mut |part| {
        continuous &= match part.node() {
            Node::Number(_)
            | Node::Constant(_)
            | Node::Variable(_)
            | Node::Add(_)
            | Node::Mul(_)
            | Node::Neg(_)
            | Node::Div(..)
            | Node::Root(..)
            | Node::Min(_)
            | Node::Max(_) => true,
            Node::Pow(_, exponent) => exponent.as_number().is_some_and(|power| power.is_int()),
            Node::Call(function, _) => matches!(
                function,
                Function::Abs
                    | Function::Exp
                    | Function::Log
                    | Function::Sin
                    | Function::Cos
                    | Function::Atan
            ),
            _ => false,
        };
    });
    continuous
}
