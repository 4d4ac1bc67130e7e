//! The sequence under study: its term, its domain, and questions about it.

use crate::limits;
use kernel::{
    Condition, Expr, Goal, Hypothesis, Kind, Origin, Problem, Relation, Symbol, Variable, decide,
};
use std::sync::atomic::AtomicBool;

/// An end of an interval.
#[derive(Clone, PartialEq, Debug)]
pub struct End {
    /// The number, free of index and point.
    pub value: Expr,
    /// Whether it belongs to the interval.
    pub closed: bool,
}

/// An interval of the real line; `None` is an end at infinity.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Interval {
    /// Its lower end.
    pub low: Option<End>,
    /// Its upper end.
    pub high: Option<End>,
}

/// A sequence of functions or of numbers with all that restricts its names.
#[derive(Clone, PartialEq, Debug)]
pub struct Family {
    /// f_n(x), or a_n.
    pub term: Expr,
    /// The index n.
    pub index: Symbol,
    /// The first index.
    pub first: i64,
    /// The point x; `None` for a sequence of numbers.
    pub point: Option<Symbol>,
    /// Where the point runs.
    pub domain: Interval,
    /// What restricts the parameters.
    pub conditions: Vec<Condition>,
}

fn holds(left: &Expr, relation: Relation, right: &Expr) -> Condition {
    Condition::Holds(left.clone(), relation, right.clone())
}

impl Interval {
    /// What it says of a value that lies in it.
    #[must_use]
    pub fn conditions(&self, value: &Expr) -> Vec<Condition> {
        let mut all = Vec::new();
        if let Some(low) = &self.low {
            let relation = if low.closed {
                Relation::LessEqual
            } else {
                Relation::Less
            };
            all.push(holds(&low.value, relation, value));
        }
        if let Some(high) = &self.high {
            let relation = if high.closed {
                Relation::LessEqual
            } else {
                Relation::Less
            };
            all.push(holds(value, relation, &high.value));
        }
        all
    }

    /// The interval without its ends.
    #[must_use]
    pub fn interior(&self) -> Self {
        let open = |end: &Option<End>| {
            end.as_ref().map(|own| End {
                value: own.value.clone(),
                closed: false,
            })
        };
        Self {
            low: open(&self.low),
            high: open(&self.high),
        }
    }

    /// The interval that conditions on `point` describe; `None` if they describe anything else.
    #[must_use]
    pub fn of(conditions: &[&Condition], point: &Symbol, index: &Symbol) -> Option<Self> {
        let mut found = Self::default();
        for condition in conditions {
            found.take(condition, point, index)?;
        }
        Some(found)
    }

    fn take(&mut self, condition: &Condition, point: &Symbol, index: &Symbol) -> Option<()> {
        match condition {
            Condition::And(items) => items
                .iter()
                .try_for_each(|item| self.take(item, point, index)),
            Condition::Holds(left, relation, right) => {
                let (relation, value) = if left.as_variable() == Some(point) {
                    (*relation, right)
                } else if right.as_variable() == Some(point) {
                    (relation.flipped(), left)
                } else {
                    return self.symmetric(left, *relation, right, point);
                };
                if value.mentions(point) || value.mentions(index) {
                    return None;
                }
                self.bound(relation, value.clone())
            }
            _ => None,
        }
    }

    /// |x| ≤ a.
    fn symmetric(
        &mut self,
        left: &Expr,
        relation: Relation,
        right: &Expr,
        point: &Symbol,
    ) -> Option<()> {
        let (size, relation, value) = if right.mentions(point) {
            (right, relation.flipped(), left)
        } else {
            (left, relation, right)
        };
        let within = matches!(relation, Relation::Less | Relation::LessEqual);
        if *size != Expr::variable(point).abs() || !within {
            return None;
        }
        self.bound(relation, value.clone())?;
        self.bound(relation.flipped(), value.negative())
    }

    fn bound(&mut self, relation: Relation, value: Expr) -> Option<()> {
        let (place, closed) = match relation {
            Relation::Less => (&mut self.high, false),
            Relation::LessEqual => (&mut self.high, true),
            Relation::Greater => (&mut self.low, false),
            Relation::GreaterEqual => (&mut self.low, true),
            Relation::Equal | Relation::NotEqual => return None,
        };
        // Of two bounds on one side the tighter number counts; what cannot be compared is left.
        let tighter = match place.as_ref() {
            None => true,
            Some(own) => {
                let (old, new) = (own.value.as_number()?, value.as_number()?);
                if matches!(relation, Relation::Less | Relation::LessEqual) {
                    new < old || new == old && !closed
                } else {
                    old < new || new == old && !closed
                }
            }
        };
        if tighter {
            *place = Some(End { value, closed });
        }
        Some(())
    }

    /// Whether the interval is its own mirror image at 0.
    #[must_use]
    pub fn is_symmetric(&self) -> bool {
        match (&self.low, &self.high) {
            (None, None) => true,
            (Some(low), Some(high)) => {
                let mirrored = match (low.value.as_number(), high.value.as_number()) {
                    (Some(low), Some(high)) => low == -high,
                    _ => low.value == high.value.negative(),
                };
                mirrored && low.closed == high.closed
            }
            _ => false,
        }
    }

    /// The parts left of 0, at 0, and right of 0, as far as they are not empty; `None` where an
    /// end is no number, or 0 does not belong to the interval.
    #[must_use]
    pub fn parts_at_zero(&self) -> Option<Vec<Self>> {
        let zero = |closed| {
            Some(End {
                value: Expr::integer(0),
                closed,
            })
        };
        let side = |end: &Option<End>| match end {
            None => Some(std::cmp::Ordering::Greater),
            Some(end) => {
                let size = end.value.as_number()?;
                let size = if self.high.as_ref() == Some(end) {
                    size
                } else {
                    -size
                };
                Some(size.cmp(&dashu::rational::RBig::ZERO))
            }
        };
        let mut parts = vec![Self {
            low: zero(true),
            high: zero(true),
        }];
        for (end, right) in [(&self.low, false), (&self.high, true)] {
            match side(end)? {
                std::cmp::Ordering::Less => return None,
                std::cmp::Ordering::Equal if end.as_ref().is_some_and(|own| !own.closed) => {
                    return None;
                }
                std::cmp::Ordering::Equal => {}
                std::cmp::Ordering::Greater if right => parts.push(Self {
                    low: zero(false),
                    high: self.high.clone(),
                }),
                std::cmp::Ordering::Greater => parts.push(Self {
                    low: self.low.clone(),
                    high: zero(false),
                }),
            }
        }
        Some(parts)
    }

    /// Its part right of 0, 0 included; for intervals that are their own mirror image.
    #[must_use]
    pub fn right_half(&self) -> Self {
        Self {
            low: Some(End {
                value: Expr::integer(0),
                closed: true,
            }),
            high: self.high.clone(),
        }
    }
}

impl Family {
    /// The index as an expression.
    #[must_use]
    pub fn n(&self) -> Expr {
        Expr::variable(&self.index)
    }

    /// The point as an expression.
    #[must_use]
    pub fn x(&self) -> Option<Expr> {
        self.point.as_ref().map(Expr::variable)
    }

    /// The names that are neither index nor point, in the order of their letters.
    #[must_use]
    pub fn parameters(&self) -> Vec<Symbol> {
        let mut names = self.term.variables();
        for condition in &self.conditions {
            names.extend(condition.variables());
        }
        for end in [&self.domain.low, &self.domain.high].into_iter().flatten() {
            names.extend(end.value.variables());
        }
        names
            .into_iter()
            .filter(|name| *name != self.index && Some(name) != self.point.as_ref())
            .collect()
    }

    /// The same functions on another interval.
    #[must_use]
    pub fn on(&self, domain: Interval) -> Self {
        Self {
            domain,
            ..self.clone()
        }
    }

    /// A question about all indices from `start` on, all points of the domain, and the
    /// parameters.
    #[must_use]
    pub fn problem(&self, start: i64, goal: Goal) -> Problem {
        let mut variables = vec![Variable {
            name: self.index.clone(),
            kind: Kind::Integer,
        }];
        let real = |name: &Symbol| Variable {
            name: name.clone(),
            kind: Kind::Real,
        };
        variables.extend(self.parameters().iter().map(real));
        let mut conditions = vec![holds(
            &self.n(),
            Relation::GreaterEqual,
            &Expr::integer(start),
        )];
        conditions.extend(self.conditions.iter().cloned());
        if let Some(point) = &self.point {
            variables.push(real(point));
            conditions.extend(self.domain.conditions(&Expr::variable(point)));
        }
        Problem {
            variables,
            hypotheses: conditions
                .into_iter()
                .map(|condition| Hypothesis {
                    condition,
                    origin: Origin::Domain,
                })
                .collect(),
            goal,
        }
    }

    /// The signs that are known for indices from `start` on.
    #[must_use]
    pub fn context(&self, start: i64) -> kernel::recheck::Context {
        let zero = Expr::integer(0);
        let goal = Goal::Holds(zero.clone(), Relation::Equal, zero.clone());
        let problem = self.problem(start, goal);
        let context = kernel::recheck::Context::of(&problem);
        let Some(x) = self.x() else {
            return context;
        };
        // The sign of the point, where an end tells it.
        let beyond = |end: &Option<End>, relation| {
            let own = end.as_ref()?;
            let known = context.sign_of_expr(&own.value);
            known
                .stands(relation)
                .then(|| problem.assuming(holds(&x, relation, &zero), Origin::Domain))
        };
        beyond(&self.domain.low, Relation::Greater)
            .or_else(|| beyond(&self.domain.high, Relation::Less))
            .map_or(context, |known| kernel::recheck::Context::of(&known))
    }
}

/// Puts questions to the kernel.
#[derive(Clone, Copy)]
pub struct Asker<'a> {
    /// Calls the work off.
    pub stop: &'a AtomicBool,
}

impl Asker<'_> {
    /// Whether the kernel proves it; the certificate was re-verified.
    #[must_use]
    pub fn proves(&self, problem: &Problem) -> bool {
        decide(problem, &limits::QUESTION, self.stop).is_proved()
    }

    /// Whether `left R right` for all indices from `start` on and all points of the domain.
    #[must_use]
    pub fn holds(
        &self,
        family: &Family,
        start: i64,
        left: &Expr,
        relation: Relation,
        right: &Expr,
    ) -> bool {
        self.proves(&family.problem(start, Goal::Holds(left.clone(), relation, right.clone())))
    }

    /// Whether the condition, a relation, holds likewise.
    #[must_use]
    pub fn all_hold(&self, family: &Family, start: i64, conditions: &[Condition]) -> bool {
        conditions.iter().all(|condition| match condition {
            Condition::Holds(left, relation, right) => {
                self.holds(family, start, left, *relation, right)
            }
            _ => false,
        })
    }

    /// Whether `term` tends to 0 as the index grows, for each fixed point of the domain; with
    /// `uniform`, its supremum over the domain does.
    #[must_use]
    pub fn vanishes(&self, family: &Family, term: &Expr, uniform: bool) -> bool {
        let asked = |family: &Family, points: Vec<Symbol>| {
            self.proves(&family.problem(
                family.first,
                Goal::TendsToZero {
                    term: term.clone(),
                    index: family.index.clone(),
                    points,
                },
            ))
        };
        let point: Vec<Symbol> = family.point.iter().cloned().collect();
        if uniform {
            return asked(family, point);
        }
        if asked(family, Vec::new()) {
            return true;
        }
        // What holds uniformly holds at each point, and what holds on parts holds on the whole.
        !point.is_empty()
            && (asked(family, point)
                || family.domain.parts_at_zero().is_some_and(|parts| {
                    parts
                        .into_iter()
                        .all(|part| asked(&family.on(part), Vec::new()))
                }))
    }
}
