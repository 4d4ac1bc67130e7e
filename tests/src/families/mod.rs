//! Generated claims whose truth is known by construction: families with sharp constants, tightened
//! and loosened.

mod analytic;
mod approach;
mod discrete;
mod elementary;
mod estimates;
mod exercises;
mod integers;
mod lectures;
mod limits;
mod sequences;

use crate::obligations::{condition, expression};
use kernel::expr::{Condition, Expr, Symbol};
use kernel::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use std::collections::BTreeSet;

/// One claim with its truth.
#[derive(Clone, Debug)]
pub struct Item {
    /// The kind of claim.
    pub topic: &'static str,
    /// The claim in words of the generator.
    pub text: String,
    /// Whether it is true.
    pub truth: bool,
    /// The claim.
    pub problem: Problem,
}

/// All items in a fixed order; neighbours are of one family.
#[must_use]
pub fn all() -> Vec<Item> {
    let mut families = Families::default();
    elementary::add(&mut families);
    analytic::add(&mut families);
    sequences::add(&mut families);
    discrete::add(&mut families);
    integers::add(&mut families);
    estimates::add(&mut families);
    exercises::add(&mut families);
    lectures::add(&mut families);
    limits::add(&mut families);
    approach::add(&mut families);
    families.items
}

/// Whether a supremum is reached somewhere in the domain.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sup {
    Attained,
    Approached,
}

/// The items made so far.
#[derive(Default)]
struct Families {
    topic: &'static str,
    turn: u32,
    items: Vec<Item>,
}

/// Names of integers; all others are real.
const INTEGERS: [&str; 6] = ["n", "m", "k", "N", "j", "p"];

impl Families {
    fn topic(&mut self, topic: &'static str) {
        self.topic = topic;
    }

    /// A claim `left R right` under conditions separated by `;`.
    fn claim(&mut self, given: &str, goal: &str, truth: bool) {
        self.with(given, goal, &[], truth);
    }

    fn holds(&mut self, given: &str, goals: &[&str]) {
        for goal in goals {
            self.claim(given, goal, true);
        }
    }

    fn fails(&mut self, given: &str, goals: &[&str]) {
        for goal in goals {
            self.claim(given, goal, false);
        }
    }

    /// A claim in which names stand for expressions that the text cannot say.
    fn with(&mut self, given: &str, goal: &str, values: &[(&str, Expr)], truth: bool) {
        let Some(Condition::Holds(left, relation, right)) = condition(goal) else {
            panic!("{goal} is not understood");
        };
        let put = |expr: &Expr| {
            values.iter().fold(expr.clone(), |expr, (name, value)| {
                expr.substitute(&Symbol::new(name), value)
            })
        };
        let goal_of = Goal::Holds(put(&left), relation, put(&right));
        let mut names = left.variables();
        names.extend(right.variables());
        for (name, value) in values {
            names.remove(&Symbol::new(name));
            names.extend(value.variables());
        }
        self.push(given, goal, names, goal_of, truth);
    }

    /// Whether the term is defined under the conditions.
    fn defined(&mut self, given: &str, term: &str, truth: bool) {
        let expr = parsed(term);
        let names = expr.variables();
        let text = format!("{term} is defined");
        self.push(given, &text, names, Goal::Defined(expr), truth);
    }

    /// Whether sup |term| over the points (one letter each) tends to 0 with n.
    fn tends(&mut self, given: &str, term: &str, points: &str, truth: bool) {
        let expr = parsed(term);
        let mut names = expr.variables();
        names.insert(Symbol::new("n"));
        let points: Vec<Symbol> = points
            .chars()
            .map(|name| Symbol::new(&name.to_string()))
            .collect();
        let text = format!("{term} → 0, sup over {points:?}");
        let goal = Goal::TendsToZero {
            term: expr,
            index: Symbol::new("n"),
            points,
        };
        self.push(given, &text, names, goal, truth);
    }

    /// Whether a term that the text cannot say tends to 0 with an index.
    fn tends_along(&mut self, given: &str, text: String, term: Expr, index: &str, truth: bool) {
        let mut names = term.variables();
        names.insert(Symbol::new(index));
        let goal = Goal::TendsToZero {
            term,
            index: Symbol::new(index),
            points: Vec::new(),
        };
        self.push(given, &text, names, goal, truth);
    }

    /// A claim about n ≥ 1 under a condition that the text cannot say.
    fn claim_when(&mut self, when: &Condition, goal: &str, truth: bool) {
        self.claim("n>=1", goal, truth);
        if let Some(item) = self.items.last_mut() {
            item.text = format!("{} under {when:?}", item.text);
            item.problem = item.problem.assuming(when.clone(), Origin::Assumption);
        }
    }

    fn push(
        &mut self,
        given: &str,
        text: &str,
        mut names: BTreeSet<Symbol>,
        goal: Goal,
        truth: bool,
    ) {
        let mut hypotheses = Vec::new();
        for part in given
            .split(';')
            .map(str::trim)
            .filter(|part| !part.is_empty())
        {
            let Some(own) = condition(part) else {
                panic!("{part} is not understood");
            };
            names.extend(own.variables());
            hypotheses.push(Hypothesis {
                condition: own,
                origin: Origin::Assumption,
            });
        }
        let variables = names
            .into_iter()
            .map(|name| Variable {
                kind: if INTEGERS.contains(&name.as_str()) {
                    Kind::Integer
                } else {
                    Kind::Real
                },
                name,
            })
            .collect();
        self.items.push(Item {
            topic: self.topic,
            text: format!("[{given}] {text}"),
            truth,
            problem: Problem {
                variables,
                hypotheses,
                goal,
            },
        });
    }

    /// `1 ± 10^−d` as text, with another d from 1 to 5 each time.
    fn factor(&mut self, above: bool) -> String {
        self.turn += 1;
        let scale = 10_u64.pow(1 + self.turn % 5);
        let top = if above { scale + 1 } else { scale - 1 };
        format!("{top}/{scale}")
    }

    /// `term ≤ bound` with `bound > 0` the supremum of `term` (for some value of the parameters
    /// at least): loosened it stays true, tightened it fails, and strict it holds exactly if the
    /// supremum is not attained.
    fn sharp(&mut self, given: &str, term: &str, bound: &str, sup: Sup) {
        self.claim(given, &format!("{term} <= {bound}"), true);
        let strict = format!("{term} < {bound}");
        self.claim(given, &strict, sup == Sup::Approached);
        let loose = self.factor(true);
        self.claim(given, &format!("{term} <= {loose}*({bound})"), true);
        for _ in 0..2 {
            let tight = self.factor(false);
            self.claim(given, &format!("{term} <= {tight}*({bound})"), false);
        }
    }

    /// The same for `term ≥ bound > 0`, an infimum.
    fn sharp_below(&mut self, given: &str, term: &str, bound: &str, sup: Sup) {
        self.claim(given, &format!("{term} >= {bound}"), true);
        let strict = format!("{term} > {bound}");
        self.claim(given, &strict, sup == Sup::Approached);
        let loose = self.factor(false);
        self.claim(given, &format!("{term} >= {loose}*({bound})"), true);
        for _ in 0..2 {
            let tight = self.factor(true);
            self.claim(given, &format!("{term} >= {tight}*({bound})"), false);
        }
    }

    /// Equality for all values: it holds with ≤ and ≥, fails with <, > and any factor; the left
    /// side is positive somewhere.
    fn identity(&mut self, given: &str, left: &str, right: &str) {
        self.claim(given, &format!("{left} = {right}"), true);
        self.claim(given, &format!("{left} <= {right}"), true);
        self.claim(given, &format!("{left} < {right}"), false);
        let tight = self.factor(false);
        self.claim(given, &format!("{left} <= {tight}*({right})"), false);
        let loose = self.factor(true);
        self.claim(given, &format!("{left} = {loose}*({right})"), false);
    }
}

fn parsed(text: &str) -> Expr {
    match expression(text) {
        Some(expr) => expr,
        None => panic!("{text} is not understood"),
    }
}

/// `value` where the condition holds, else `other`.
fn piecewise(when: &str, value: &str, other: &str) -> Expr {
    let Some(when) = condition(when) else {
        panic!("{when} is not understood");
    };
    let always = Condition::And(Vec::new());
    kernel::Node::Piecewise(vec![(when, parsed(value)), (always, parsed(other))]).into()
}
