//! Scratch work by calculus: whether derivatives, their zeros and signs, and greatest and least
//! values are what the text says.

mod charging;
mod cure;
mod ends;
mod extremum;
mod telling;

pub(crate) use self::charging::follows_from;
pub(crate) use self::ends::apart;
pub(crate) use self::telling::{check_of_failure, check_of_link, tell, told_of_relation};

use crate::analysis::VerdictWord;
use crate::engine::{Engine, Judgement, shown};
use crate::scope::Setting;
use argument::{Calculus, Slope, Subject};
use kernel::{Condition, Expr, Function, Kind, Node, Origin, Relation, Symbol, calculus, show};

/// Judges a claim; where the text leaves open which function is meant, it is false only if it is
/// false of each.
/// `governed` says that the text tells for which index it holds.
pub(crate) fn judge(
    engine: &Engine<'_>,
    setting: &Setting,
    said: &Calculus,
    governed: bool,
) -> Judgement {
    let judgement = of_each(engine, setting, said);
    if !judgement.is_refuted() {
        return judgement;
    }
    let names = said.names();
    if said
        .subjects
        .iter()
        .any(|subject| !subject.function.unknown_functions().is_empty())
        || said
            .conditions
            .iter()
            .chain(said.slope.within())
            .any(speaks_of_unknown)
        || said
            .slope
            .values()
            .iter()
            .any(|value| !value.unknown_functions().is_empty())
    {
        return Judgement::unsettled(
            "it speaks of something of which not everything is known here",
            judgement.reading,
        );
    }
    // "n ≥ 2" often stays unsaid.
    let later = names
        .iter()
        .filter(|name| **name != said.point && setting.kind(name) == Kind::Integer)
        .fold(setting.clone(), |setting, name| {
            setting.and(
                Condition::Holds(
                    Expr::variable(name),
                    Relation::GreaterEqual,
                    Expr::integer(3),
                ),
                Origin::Assumption,
            )
        });
    if governed {
        return judgement;
    }
    let later = of_each(engine, &later, said);
    if later.is_refuted() {
        return later;
    }
    Judgement::unsettled("false for small indices only", judgement.reading)
}

/// Whether a condition speaks of a function of which nothing is known.
fn speaks_of_unknown(condition: &Condition) -> bool {
    let mut unknown = false;
    condition.visit(&mut |part| unknown |= !part.unknown_functions().is_empty());
    unknown
}

/// Where several functions may be meant, the first of which it is true decides.
fn of_each(engine: &Engine<'_>, setting: &Setting, said: &Calculus) -> Judgement {
    let mut open: Option<Judgement> = None;
    let mut refuted: Option<Judgement> = None;
    for subject in &said.subjects {
        let question = Question::of(engine, setting, said, subject);
        let judgement = question.judge(&said.slope);
        match judgement.verdict {
            VerdictWord::Proved if !subject.spare => return judgement,
            VerdictWord::Proved => {
                let words = "it does not tell of which function";
                open.get_or_insert(Judgement::unsettled(words, judgement.reading));
            }
            VerdictWord::Refuted => {
                refuted.get_or_insert(judgement);
            }
            _ => {
                open.get_or_insert(judgement);
            }
        }
    }
    open.or(refuted).unwrap_or_else(|| {
        Judgement::unsettled("it does not tell of which function", String::new())
    })
}

/// A claim about one function.
pub(crate) struct Question<'a> {
    engine: &'a Engine<'a>,
    /// Without the claim's own domain.
    setting: Setting,
    /// The domain.
    conditions: &'a [Condition],
    point: &'a Symbol,
    function: &'a Expr,
}

/// How a place lies to the domain, for all values of the other names.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Lies {
    Inside,
    Outside,
    Open,
}

impl<'a> Question<'a> {
    pub(crate) fn of(
        engine: &'a Engine<'a>,
        setting: &Setting,
        said: &'a Calculus,
        subject: &'a Subject,
    ) -> Self {
        Self {
            engine,
            setting: setting.clone().naming(&said.point, Kind::Real),
            conditions: &said.conditions,
            point: &said.point,
            function: &subject.function,
        }
    }

    fn judge(&self, slope: &Slope) -> Judgement {
        let derivative = self.derivative();
        match slope {
            Slope::Extremum {
                greatest,
                local,
                places,
                value,
            } => self.extremum((*greatest, *local), places, value.as_ref()),
            _ => match derivative {
                Some(derivative) => self.of_derivative(slope, &derivative),
                None => Judgement::unsettled("this derivative is not formed", String::new()),
            },
        }
    }

    /// The derivative as the rules of differentiation give it.
    pub(crate) fn derivative(&self) -> Option<Expr> {
        calculus::differentiate(self.function, self.point)
    }

    /// The claim, with an expression in place of the derivative.
    pub(crate) fn of_derivative(&self, slope: &Slope, derivative: &Expr) -> Judgement {
        match slope {
            Slope::Derivative { value } => self.equals(derivative, value),
            Slope::Zeros { places, only } => self.zeros(derivative, places, *only),
            Slope::Sign {
                relation,
                within,
                of_derivative,
            } => self.sign(derivative, *relation, within, *of_derivative),
            Slope::Extremum { .. } => {
                Judgement::unsettled("this speaks of no derivative", String::new())
            }
        }
    }

    fn equals(&self, derivative: &Expr, value: &Expr) -> Judgement {
        let mut judgement = self.engine.relation(
            &self.domain(false),
            derivative,
            Relation::Equal,
            value,
            true,
        );
        judgement.reading = format!(
            "the derivative of {} is {}",
            show::plain(self.function),
            show::plain(value)
        );
        in_words(
            undefined_is_open(judgement),
            "the derivative",
            "what stands here",
        )
    }

    /// The setting within the domain; `interior` leaves out its ends.
    fn domain(&self, interior: bool) -> Setting {
        self.within(&[], interior)
    }

    fn within(&self, further: &[Condition], interior: bool) -> Setting {
        let mut inside = self.setting.clone();
        for condition in self.conditions.iter().chain(further) {
            inside = inside.and(condition.clone(), Origin::Domain);
        }
        if interior {
            let given: Vec<Condition> = inside
                .hypotheses
                .iter()
                .map(|(hypothesis, _)| hypothesis.condition.clone())
                .filter(|condition| condition.variables().contains(self.point))
                .collect();
            for condition in given {
                for strict in strict(&condition) {
                    inside = inside.and(strict, Origin::Domain);
                }
            }
        }
        inside
    }

    /// What makes a place one of the domain.
    fn membership(&self, place: &Expr) -> Vec<Condition> {
        self.domain(false)
            .hypotheses
            .iter()
            .filter(|(hypothesis, _)| hypothesis.condition.variables().contains(self.point))
            .map(|(hypothesis, _)| hypothesis.condition.substitute(self.point, place))
            .collect()
    }

    /// The setting without anything about the point.
    fn elsewhere(&self) -> Setting {
        let mut setting = self.setting.clone();
        setting
            .hypotheses
            .retain(|(hypothesis, _)| !hypothesis.condition.variables().contains(self.point));
        setting
    }

    fn lies(&self, place: &Expr) -> Lies {
        let setting = self.elsewhere();
        let conditions = self.membership(place);
        let all = |relation: &dyn Fn(Relation) -> Relation, condition: &Condition| {
            matches!(condition, Condition::Holds(left, own, right)
                if self.engine.proves(&setting.holds(left, relation(*own), right)))
        };
        if conditions
            .iter()
            .all(|condition| all(&|relation| relation, condition))
        {
            return Lies::Inside;
        }
        if conditions
            .iter()
            .any(|condition| all(&Relation::negated, condition))
        {
            return Lies::Outside;
        }
        Lies::Open
    }

    /// The setting of a place, which is supposed to lie in the domain.
    fn at(&self, place: &Expr) -> Setting {
        self.membership(place)
            .into_iter()
            .fold(self.elsewhere(), |setting, condition| {
                setting.and(condition, Origin::Assumption)
            })
    }

    fn zeros(&self, derivative: &Expr, places: &[Expr], only: bool) -> Judgement {
        let reading = format!(
            "the derivative of {} vanishes{} at {} = {}",
            show::plain(self.function),
            if only { " exactly" } else { "" },
            self.point,
            listed(places)
        );
        let zero = Expr::integer(0);
        let mut inside: Vec<&Expr> = Vec::new();
        for place in places {
            if self.lies(place) == Lies::Outside {
                continue;
            }
            let there = derivative.substitute(self.point, place);
            let mut judgement =
                self.engine
                    .relation(&self.at(place), &there, Relation::Equal, &zero, true);
            if judgement.verdict != VerdictWord::Proved {
                judgement.reading = reading;
                let name = format!("the derivative at {}", show::plain(place));
                return in_words(undefined_is_open(judgement), &name, "and not");
            }
            inside.push(place);
        }
        if inside.is_empty() {
            return Judgement::unsettled("these places lie outside of the domain", reading);
        }
        if !only {
            return Judgement::proved("the derivative is 0 there".to_owned(), reading);
        }
        self.no_other(derivative, &inside, reading)
    }

    /// Whether the derivative vanishes nowhere else inside of the domain.
    fn no_other(&self, derivative: &Expr, places: &[&Expr], reading: String) -> Judgement {
        let zero = Expr::integer(0);
        let point = Expr::variable(self.point);
        let (left, right) = match places {
            [one] => (point.clone(), (*one).clone()),
            several => (
                Expr::product_of(several.iter().map(|place| point.minus(place)).collect()),
                zero.clone(),
            ),
        };
        let vanishing = self.domain(true).and(
            Condition::Holds(derivative.clone(), Relation::Equal, zero),
            Origin::Assumption,
        );
        let mut judgement = self.engine.quickly(|| {
            self.engine
                .relation(&vanishing, &left, Relation::Equal, &right, true)
        });
        judgement.reading.clone_from(&reading);
        if judgement.is_refuted() {
            let mut judgement = undefined_is_open(judgement);
            if let Some(counterexample) = &judgement.counterexample {
                let at = crate::wording::place(&shown(counterexample));
                judgement.evidence = format!("{at}the derivative is 0, too");
            }
            return judgement;
        }
        let between = || self.keeps_sign_between(derivative, places);
        if judgement.verdict == VerdictWord::Proved || between() {
            return Judgement::proved(
                "the derivative is 0 there, and nowhere else".to_owned(),
                reading,
            );
        }
        judgement
    }

    /// Whether the derivative is positive or negative throughout on every stretch between places
    /// that are in order.
    fn keeps_sign_between(&self, derivative: &Expr, places: &[&Expr]) -> bool {
        let below = |left: &Expr, right: &Expr| {
            self.engine
                .proves(&self.elsewhere().holds(left, Relation::Less, right))
        };
        let mut order: Vec<&Expr> = places.to_vec();
        for at in 1..order.len() {
            let mut back = at;
            while back > 0 && below(order[back], order[back - 1]) {
                order.swap(back, back - 1);
                back -= 1;
            }
            if back > 0 && !below(order[back - 1], order[back]) {
                return false;
            }
        }
        let point = Expr::variable(self.point);
        (0..=order.len()).all(|at| {
            let mut stretch = Vec::new();
            if let Some(low) = at.checked_sub(1).and_then(|low| order.get(low)) {
                stretch.push(Condition::Holds(
                    (*low).clone(),
                    Relation::Less,
                    point.clone(),
                ));
            }
            if let Some(high) = order.get(at) {
                stretch.push(Condition::Holds(
                    point.clone(),
                    Relation::Less,
                    (*high).clone(),
                ));
            }
            let setting = self.within(&stretch, true);
            [Relation::Greater, Relation::Less]
                .into_iter()
                .any(|relation| {
                    let problem = setting.holds(derivative, relation, &Expr::integer(0));
                    self.engine.proves(&problem)
                })
        })
    }

    fn sign(
        &self,
        derivative: &Expr,
        relation: Relation,
        within: &[Condition],
        of_derivative: bool,
    ) -> Judgement {
        let zero = Expr::integer(0);
        let conditions: Vec<String> = within.iter().map(show::condition).collect();
        let reading = format!(
            "the derivative of {} is {} 0 for {}",
            show::plain(self.function),
            relation.sign(),
            conditions.join(", ")
        );
        let decide = |interior: bool| {
            let setting = self.within(within, interior);
            let mut judgement = self
                .engine
                .relation(&setting, derivative, relation, &zero, true);
            judgement.reading.clone_from(&reading);
            in_words(undefined_is_open(judgement), "the derivative", "against")
        };
        // A continuous function rises on an interval as soon as it does inside of it.
        let inside = decide(true);
        if !of_derivative || inside.verdict != VerdictWord::Proved {
            return inside;
        }
        let closed = decide(false);
        if closed.is_refuted() {
            return Judgement::unsettled("true inside, and not at the ends", closed.reading);
        }
        closed
    }
}

/// What a claim would give to later lines, if it were true.
pub(crate) fn granted(said: &Calculus) -> Option<Condition> {
    let [subject, ..] = said.subjects.as_slice() else {
        return None;
    };
    match &said.slope {
        Slope::Derivative { value } => Some(Condition::Holds(
            calculus::differentiate(&subject.function, &said.point)?,
            Relation::Equal,
            value.clone(),
        )),
        Slope::Extremum {
            greatest,
            local: false,
            places,
            value,
        } => {
            let bound = match (value, places.first()) {
                (Some(value), _) => value.clone(),
                (None, Some(place)) => subject.function.substitute(&said.point, place),
                (None, None) => return None,
            };
            let relation = if *greatest {
                Relation::LessEqual
            } else {
                Relation::GreaterEqual
            };
            Some(Condition::Holds(subject.function.clone(), relation, bound))
        }
        _ => None,
    }
}

/// The greatest or least value that a claim names, or that stands at the place it names.
pub(crate) fn named_value(said: &Calculus) -> Option<Expr> {
    match granted(said)? {
        Condition::Holds(_, Relation::LessEqual | Relation::GreaterEqual, bound) => Some(bound),
        _ => None,
    }
}

/// "1/n, −1/n"
fn listed(places: &[Expr]) -> String {
    let shown: Vec<String> = places.iter().map(show::plain).collect();
    shown.join(", ")
}

/// The numbers of a refutation, with names for its sides: "at n = 1: the value 1/2, and not 1".
fn in_words(mut judgement: Judgement, left: &str, right: &str) -> Judgement {
    if let Some(counterexample) = judgement
        .counterexample
        .as_ref()
        .filter(|_| judgement.verdict == VerdictWord::Refuted)
    {
        judgement.evidence = crate::wording::sides(&shown(counterexample), left, right);
    }
    judgement
}

/// What is undefined at a point says nothing of the claim there.
fn undefined_is_open(judgement: Judgement) -> Judgement {
    let undefined = judgement
        .counterexample
        .as_ref()
        .is_some_and(kernel::Counterexample::is_undefined);
    if undefined || judgement.missing.is_some() {
        return Judgement::unsettled(&judgement.evidence, judgement.reading);
    }
    judgement
}

/// The strict forms of a condition that compares.
fn strict(condition: &Condition) -> Vec<Condition> {
    match condition {
        Condition::Holds(left, Relation::LessEqual, right) => {
            vec![Condition::Holds(
                left.clone(),
                Relation::Less,
                right.clone(),
            )]
        }
        Condition::Holds(left, Relation::GreaterEqual, right) => vec![Condition::Holds(
            left.clone(),
            Relation::Greater,
            right.clone(),
        )],
        _ => Vec::new(),
    }
}

/// Whether an expression has neither corners nor jumps.
fn is_smooth(expr: &Expr) -> bool {
    let mut smooth = true;
    expr.visit(&mut |part| {
        smooth &= !matches!(
            part.node(),
            Node::Call(
                Function::Abs | Function::Floor | Function::Ceil | Function::Sign,
                _
            ) | Node::Min(_)
                | Node::Max(_)
                | Node::Piecewise(_)
        );
    });
    smooth
}
