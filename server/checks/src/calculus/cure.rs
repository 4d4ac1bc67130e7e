//! What would be right: the derivative in a short form, a place where it vanishes, the place and
//! the value of an extremum. Each is proved before it is told.

use super::{Lies, Question};
use crate::analysis::VerdictWord;
use crate::engine::Engine;
use crate::scope::Setting;
use argument::Slope;
use kernel::algebra::Context;
use kernel::{Expr, Relation, show};

impl Question<'_> {
    /// What would be right in place of the claim, in words.
    pub(super) fn cure(&self, slope: &Slope) -> Option<String> {
        match slope {
            Slope::Derivative { .. } => {
                Some(format!("The derivative is {}", self.short_derivative()?))
            }
            Slope::Zeros { .. } => {
                let place = self.first_place(|place| self.is_zero_at(place))?;
                Some(format!(
                    "The derivative vanishes at {} = {}",
                    self.point,
                    show::plain(&place)
                ))
            }
            Slope::Extremum {
                greatest,
                local: false,
                ..
            } => {
                let place = self.first_place(|place| {
                    self.engine
                        .quickly(|| self.everywhere(*greatest, place))
                        .verdict
                        == VerdictWord::Proved
                })?;
                let there = self.function.substitute(self.point, &place);
                let value = short(self.engine, &self.at(&place), &there);
                Some(format!(
                    "The {} value is attained at {} = {} and is {value}",
                    if *greatest { "greatest" } else { "least" },
                    self.point,
                    show::plain(&place)
                ))
            }
            _ => None,
        }
    }

    /// The derivative, as short as it is known.
    fn short_derivative(&self) -> Option<String> {
        Some(short(self.engine, &self.domain(false), &self.derivative()?))
    }

    /// Whether the derivative is known to vanish at a place.
    pub(super) fn is_zero_at(&self, place: &Expr) -> bool {
        self.derivative().is_some_and(|derivative| {
            let there = derivative.substitute(self.point, place);
            let problem = self
                .at(place)
                .holds(&there, Relation::Equal, &Expr::integer(0));
            self.engine.quickly(|| self.engine.proves(&problem))
        })
    }

    /// The first of the places that people meet, in the domain, that serves.
    fn first_place(&self, serves: impl Fn(&Expr) -> bool) -> Option<Expr> {
        self.usual_places()
            .into_iter()
            .find(|place| self.lies(place) == Lies::Inside && serves(place))
    }

    /// c n^p for small c and p, n/(n + 1), and the ends of the domain.
    fn usual_places(&self) -> Vec<Expr> {
        let one = Expr::integer(1);
        let mut places = Vec::new();
        for name in self.function.variables() {
            if name == *self.point {
                continue;
            }
            let index = Expr::variable(&name);
            places.extend([
                one.over(&index),
                one.over(&index.sqrt()),
                index.over(&index.plus(&one)),
                index.sqrt(),
                index.clone(),
                Expr::integer(2).over(&index),
                one.over(&Expr::integer(2).times(&index)),
                one.over(&Expr::integer(2).times(&index).sqrt()),
                one.over(&index.power(&Expr::integer(2))),
            ]);
        }
        places.extend([Expr::integer(0), one.clone(), one.over(&Expr::integer(2))]);
        places.extend(
            self.domain(false)
                .hypotheses
                .iter()
                .filter_map(|(hypothesis, _)| match &hypothesis.condition {
                    kernel::Condition::Holds(left, _, right)
                        if left.as_variable() == Some(self.point) =>
                    {
                        Some(right.clone())
                    }
                    _ => None,
                }),
        );
        places
    }
}

/// An expression as short as it is known to be.
pub(super) fn short(engine: &Engine<'_>, setting: &Setting, long: &Expr) -> String {
    let problem = setting.holds(long, Relation::Equal, long);
    let short = Context::of(&problem)
        .normal(long)
        .map(|fraction| fraction.to_expr())
        .filter(|short| {
            show::plain(short).len() < show::plain(long).len()
                && engine.proves(&setting.holds(long, Relation::Equal, short))
        });
    show::plain(short.as_ref().unwrap_or(long))
}
