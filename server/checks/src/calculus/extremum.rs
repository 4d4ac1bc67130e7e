//! Greatest and least values with their places: on the whole domain, or near the place.

use super::{Lies, Question, in_words, is_smooth, listed, strict, undefined_is_open};
use crate::analysis::VerdictWord;
use crate::engine::Judgement;
use kernel::{Condition, Expr, Origin, Relation, calculus, show};

impl Question<'_> {
    pub(super) fn extremum(
        &self,
        (greatest, local): (bool, bool),
        places: &[Expr],
        value: Option<&Expr>,
    ) -> Judgement {
        let reading = format!(
            "{} has its {}{} value{}{}",
            show::plain(self.function),
            if greatest { "greatest" } else { "least" },
            if local { " local" } else { "" },
            if places.is_empty() {
                String::new()
            } else {
                format!(" at {} = {}", self.point, listed(places))
            },
            value.map_or_else(String::new, |value| format!(": {}", show::plain(value)))
        );
        let with_reading = |mut judgement: Judgement| {
            judgement.reading.clone_from(&reading);
            undefined_is_open(judgement)
        };
        let compared = |judgement: Judgement, right: &str| {
            in_words(with_reading(judgement), "the value", right)
        };
        if places.is_empty() {
            return match value {
                Some(value) => with_reading(self.value_alone(greatest, value)),
                None => Judgement::unsettled("nothing is said of it", reading),
            };
        }
        let lying: Vec<Lies> = places.iter().map(|place| self.lies(place)).collect();
        if lying.iter().all(|lies| *lies == Lies::Outside) {
            return with_reading(self.outside(&places[0]));
        }
        let mut last = Judgement::unsettled("nothing is said of it", reading.clone());
        for (place, lies) in places.iter().zip(&lying) {
            if *lies == Lies::Outside {
                continue;
            }
            last = if local {
                self.near(greatest, place)
            } else {
                self.everywhere(greatest, place)
            };
            if last.verdict != VerdictWord::Proved {
                return if local {
                    with_reading(last)
                } else {
                    compared(last, "at the named place")
                };
            }
            if let Some(value) = value {
                let there = self.function.substitute(self.point, place);
                let own =
                    self.engine
                        .relation(&self.at(place), &there, Relation::Equal, value, true);
                if own.verdict != VerdictWord::Proved {
                    return compared(own, "and not");
                }
            }
            if *lies == Lies::Open {
                return Judgement::unsettled(
                    "whether this place lies in the domain was not decided",
                    reading,
                );
            }
        }
        with_reading(last)
    }

    /// A greatest or least value without its place.
    fn value_alone(&self, greatest: bool, value: &Expr) -> Judgement {
        let point = [self.point.clone()];
        crate::conclusion::extremum(
            self.engine,
            &self.setting,
            &crate::conclusion::Extreme {
                greatest,
                term: self.function,
                points: &point,
                conditions: self.conditions,
                relation: Relation::Equal,
                value,
            },
        )
    }

    /// The place lies outside of the domain: the condition that it breaks, with numbers.
    fn outside(&self, place: &Expr) -> Judgement {
        let setting = self.elsewhere();
        self.membership(place)
            .iter()
            .find_map(|condition| match condition {
                Condition::Holds(left, relation, right) => {
                    Some(self.engine.relation(&setting, left, *relation, right, true))
                        .filter(Judgement::is_refuted)
                }
                _ => None,
            })
            .unwrap_or_else(|| {
                Judgement::unsettled("this place lies outside of the domain", String::new())
            })
    }

    /// Whether no value on the domain exceeds the one at the place (falls below it).
    pub(super) fn everywhere(&self, greatest: bool, place: &Expr) -> Judgement {
        let bounding = if greatest {
            Relation::LessEqual
        } else {
            Relation::GreaterEqual
        };
        let there = self.function.substitute(self.point, place);
        let setting = self
            .membership(place)
            .into_iter()
            .fold(self.domain(false), |setting, condition| {
                setting.and(condition, Origin::Assumption)
            });
        self.engine
            .relation(&setting, self.function, bounding, &there, true)
    }

    /// A local extremum: proved by the derivatives, or because it is a global one; false where
    /// the derivative is not 0 inside of the domain.
    fn near(&self, greatest: bool, place: &Expr) -> Judgement {
        let global = self.engine.quickly(|| self.everywhere(greatest, place));
        if global.verdict == VerdictWord::Proved {
            return global;
        }
        let unsettled = Judgement::unsettled("not decided", String::new());
        let (Some(slope), true) = (self.derivative(), is_smooth(self.function)) else {
            return unsettled;
        };
        let zero = Expr::integer(0);
        let mut inside = self.at(place);
        for condition in self.membership(place) {
            for strict in strict(&condition) {
                inside = inside.and(strict, Origin::Assumption);
            }
        }
        let flat = self.engine.relation(
            &inside,
            &slope.substitute(self.point, place),
            Relation::Equal,
            &zero,
            true,
        );
        let Some(bend) = calculus::differentiate(&slope, self.point)
            .filter(|_| flat.verdict == VerdictWord::Proved)
        else {
            return flat;
        };
        let there = bend.substitute(self.point, place);
        let strictly = if greatest {
            Relation::Less
        } else {
            Relation::Greater
        };
        let decided = self.engine.relation(&inside, &there, strictly, &zero, true);
        if decided.verdict == VerdictWord::Proved {
            return decided;
        }
        let weakly = self
            .engine
            .relation(&inside, &there, strictly.weakened(), &zero, true);
        if weakly.is_refuted() {
            weakly
        } else {
            unsettled
        }
    }
}
