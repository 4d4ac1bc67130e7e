//! What happens on a way: a limit, growth beyond all bounds, or neither; and statements about it.

use super::{Question, Way, ways};
use crate::conclusion::absolute;
use crate::engine::{Engine, Judgement};
use crate::scope::Setting;
use argument::LimitValue;
use kernel::numerics::{self, Assignment, Precision, Value};
use kernel::recheck::Separation;
use kernel::{Constant, Expr, Function, Goal, Kind, Node, Relation, proving, show};

/// What happens on a way, shown by evidence.
#[derive(Clone, Debug)]
pub(crate) enum Outcome {
    /// It tends to a number.
    Number(Expr),
    /// It tends to ∞ (`true`) or −∞.
    Infinite(bool),
    /// It tends to no number; the words say why.
    None(String),
}

impl Outcome {
    /// In words that follow a place: "it tends to 1".
    pub(crate) fn words(&self) -> String {
        match self {
            Self::Number(value) => format!("it tends to {}", show::plain(value)),
            Self::Infinite(true) => "it tends to ∞".to_owned(),
            Self::Infinite(false) => "it tends to −∞".to_owned(),
            Self::None(_) => "it has no limit".to_owned(),
        }
    }
}

/// Values of what grows at which limits are guessed.
const FAR: [i64; 3] = [10_000, 1_000_000, 100_000_000];
/// How near a value far out is to the limit, in relation to its size.
const NEAR: f64 = 2e-3;
/// Denominators that a guess may have.
const LARGEST_DENOMINATOR: i32 = 12;
/// Numerators that a guess may have.
const LARGEST_NUMERATOR: f64 = 1e6;
/// Beyond this a value is taken for one that grows.
const LARGE: f64 = 5.0;

/// Judges that the term tends to the value, or that it does not.
pub(crate) fn judge(
    engine: &Engine<'_>,
    setting: &Setting,
    question: &Question<'_>,
    value: &LimitValue,
    negated: bool,
    reading: String,
) -> Judgement {
    let ways = match ways(engine, setting, question) {
        Ok(ways) => ways,
        Err(reason) => return Judgement::unsettled(&format!("not decided: {reason}"), reading),
    };
    let found = match value {
        LimitValue::Number(value) => number(engine, &ways, value),
        LimitValue::Infinity => infinite(engine, &ways, true),
        LimitValue::MinusInfinity => infinite(engine, &ways, false),
        LimitValue::Exists => exists(engine, &ways),
    };
    let Some((holds, words)) = found else {
        return Judgement::unsettled(
            "not decided: neither a bound that tends to 0 nor a witness was found",
            reading,
        );
    };
    if !ways.iter().all(|way| engine.can_be_met(&way.base)) {
        return Judgement::unsettled("no values satisfy what is in force here", reading);
    }
    if holds && !negated {
        return Judgement::proved(words, reading);
    }
    if let Some(reason) = protection(setting, question, &ways) {
        return Judgement::unsettled(&reason, reading);
    }
    if holds == negated {
        Judgement::refuted_in_words(words, reading)
    } else {
        Judgement::proved(words, reading)
    }
}

/// What forbids to call a statement about this limit false.
fn protection(setting: &Setting, question: &Question<'_>, ways: &[Way]) -> Option<String> {
    let variable = question.variable;
    let mut names: std::collections::BTreeSet<_> = ways
        .iter()
        .flat_map(|way| way.base.variables.iter().map(|own| own.name.clone()))
        .filter(|name| !ways.iter().any(|way| way.run == *name))
        .collect();
    if setting.knows(variable) {
        names.insert(variable.clone());
    }
    if let Some(reason) = setting.protection(&names) {
        return Some(reason);
    }
    let (_, _, tied) = setting.parted(variable);
    (tied && setting.kind(variable) == Kind::Real)
        .then(|| format!("not decided: something in force ties {variable} to other names"))
}

/// What happens on all ways together, and in which words; `None` if it was not found out.
pub(crate) fn outcome(
    engine: &Engine<'_>,
    setting: &Setting,
    question: &Question<'_>,
) -> Option<Outcome> {
    let ways = ways(engine, setting, question).ok()?;
    joint(engine, &ways)
}

fn joint(engine: &Engine<'_>, ways: &[Way]) -> Option<Outcome> {
    let mut all: Option<(&Way, Outcome)> = None;
    for way in ways {
        let next = of_way(engine, way)?;
        let Some((first, known)) = &all else {
            all = Some((way, next));
            continue;
        };
        let same = match (known, &next) {
            (Outcome::Number(a), Outcome::Number(b)) => {
                if equal(engine, way, a, b, Relation::Equal) {
                    true
                } else if equal(engine, way, a, b, Relation::NotEqual) {
                    false
                } else {
                    return None;
                }
            }
            (Outcome::Infinite(a), Outcome::Infinite(b)) => a == b,
            (Outcome::None(_), _) => return Some(known.clone()),
            (_, Outcome::None(_)) => return Some(next),
            _ => false,
        };
        if !same {
            return Some(Outcome::None(format!(
                "for {} {}, for {} {}",
                first.words,
                known.words(),
                way.words,
                next.words()
            )));
        }
    }
    all.map(|(_, outcome)| outcome)
}

fn equal(engine: &Engine<'_>, way: &Way, a: &Expr, b: &Expr, relation: Relation) -> bool {
    let bare = way
        .base
        .with_goal(Goal::Holds(a.clone(), relation, b.clone()));
    engine.proves(&bare)
}

fn of_way(engine: &Engine<'_>, way: &Way) -> Option<Outcome> {
    let values: Vec<f64> = FAR.iter().filter_map(|far| value_at(way, *far)).collect();
    let last = values.last().copied();
    let grows = match values.as_slice() {
        [.., before, last] => last.abs() > before.abs() + 1e-3 && last.abs() > LARGE,
        _ => true,
    };
    if grows {
        for upward in [true, false] {
            let unlikely = last.is_some_and(|last| (last > 0.0) != upward);
            if !unlikely && engine.proves(&way.vanishing(reciprocal(&way.term, upward))) {
                return Some(Outcome::Infinite(upward));
            }
        }
    }
    for guess in guesses(way, last) {
        if engine.proves(&way.vanishing(absolute(&way.term.minus(&guess)))) {
            return Some(Outcome::Number(guess));
        }
    }
    wavers(engine, way).map(Outcome::None)
}

/// Shows that the term tends to no number: two values far out stay apart.
fn wavers(engine: &Engine<'_>, way: &Way) -> Option<String> {
    let apart = |along: &[Expr]| along[0].minus(&along[1]).abs();
    let problem = way.wandering(&apart, 2);
    let separation = proving::stays_away(&problem, &mut engine.fuel())?;
    Some(match way.kind {
        Kind::Integer => format!(
            "two successive values stay at least {} apart again and again, so there is no limit",
            show::plain(separation.bound())
        ),
        Kind::Real => {
            let values: Vec<String> = separation
                .values()
                .iter()
                .map(|(_, value)| at_run(way, value))
                .collect();
            format!(
                "its values at {} stay at least {} apart, so there is no limit",
                values.join(" and at "),
                show::plain(separation.bound())
            )
        }
    })
}

/// The place at which what grows has the value.
fn at_run(way: &Way, value: &Expr) -> String {
    way.with
        .strip_prefix("with ")
        .and_then(|with| with.strip_suffix(": "))
        .map_or_else(
            || format!("{} = {}", way.run, show::plain(value)),
            |with| format!("{} = {} ({with})", way.run, show::plain(value)),
        )
}

/// 1/max(±term, 1): tends to 0 exactly if the term tends to ±∞.
fn reciprocal(term: &Expr, upward: bool) -> Expr {
    let own = if upward {
        term.clone()
    } else {
        term.negative()
    };
    let one = Expr::integer(1);
    one.over(&Expr::from(Node::Max(vec![own, one.clone()])))
}

/// The claim that the term tends to a number: whether it holds, and why.
fn number(engine: &Engine<'_>, ways: &[Way], value: &Expr) -> Option<(bool, String)> {
    let difference = |term: &Expr| {
        if value.as_number().is_some_and(|value| value.is_zero()) {
            absolute(term)
        } else {
            absolute(&term.minus(value))
        }
    };
    let mut words = Vec::new();
    let mut all = true;
    for way in ways {
        let problem = way.vanishing(difference(&way.term));
        match engine.ask(&problem) {
            kernel::Verdict::Proved(certificate) => {
                let why = proving::reason::explain(&certificate)
                    .unwrap_or_else(|| "the distance tends to 0".to_owned());
                words.push(format!("{}{why}", way.with));
            }
            _ => {
                all = false;
                let apart = way.wandering(&|along| difference(&along[0]), 1);
                if let Some(separation) = proving::stays_away(&apart, &mut engine.fuel()) {
                    return Some((false, kept_apart(way, &separation, value)));
                }
            }
        }
    }
    if all {
        words.dedup();
        return Some((true, words.join("; ")));
    }
    // Another limit is looked for only where values far out tell which.
    for way in ways.iter().filter(|way| value_at(way, FAR[0]).is_some()) {
        let Some(other) = engine.quickly(|| of_way(engine, way)) else {
            continue;
        };
        let why = match &other {
            Outcome::Number(found) if equal(engine, way, found, value, Relation::NotEqual) => {
                format!("for {} {}", way.words, other.words())
            }
            Outcome::Number(_) => continue,
            Outcome::Infinite(_) => format!("for {} {}", way.words, other.words()),
            Outcome::None(why) => format!("for {}: {why}", way.words),
        };
        return Some((false, why));
    }
    None
}

fn kept_apart(way: &Way, separation: &Separation, value: &Expr) -> String {
    let places: Vec<String> = separation
        .values()
        .iter()
        .map(|(_, own)| at_run(way, own))
        .collect();
    let place = if places.is_empty() {
        String::new()
    } else {
        format!(" at {}", places.join(", "))
    };
    format!(
        "again and again for {} its distance from {}{place} is at least {}",
        way.words,
        show::plain(value),
        show::plain(separation.bound())
    )
}

/// The claim that the term tends to ±∞.
fn infinite(engine: &Engine<'_>, ways: &[Way], upward: bool) -> Option<(bool, String)> {
    let sign = if upward { "∞" } else { "−∞" };
    let mut all = true;
    for way in ways {
        if engine.proves(&way.vanishing(reciprocal(&way.term, upward))) {
            continue;
        }
        all = false;
        let bounded = way.wandering(&|along| reciprocal(&along[0], upward), 1);
        if let Some(separation) = proving::stays_away(&bounded, &mut engine.fuel()) {
            let places: Vec<String> = separation
                .values()
                .iter()
                .map(|(_, own)| format!(" at {}", at_run(way, own)))
                .collect();
            let bound = Expr::integer(1).over(separation.bound());
            let bound = simplest(&if upward { bound } else { bound.negative() });
            return Some((
                false,
                format!(
                    "again and again for {} its value{} is {} {}, so it does not tend to {sign}",
                    way.words,
                    places.concat(),
                    if upward { "at most" } else { "at least" },
                    show::plain(&bound)
                ),
            ));
        }
    }
    if all {
        let words = if upward {
            "its reciprocal tends to 0 from above, so it grows beyond all bounds"
        } else {
            "its reciprocal tends to 0 from below, so it falls below all bounds"
        };
        return Some((true, words.to_owned()));
    }
    ways.iter().find_map(|way| {
        value_at(way, FAR[0])?;
        let other = engine.quickly(|| of_way(engine, way))?;
        match other {
            Outcome::Infinite(found) if found == upward => None,
            Outcome::None(_) => None,
            other => Some((false, format!("for {} {}", way.words, other.words()))),
        }
    })
}

/// A number as such, where the expression is one.
fn simplest(expr: &Expr) -> Expr {
    numerics::enclose(expr, &Assignment::new(), Precision::Double)
        .exact
        .map_or_else(|| expr.clone(), Expr::number)
}

/// The claim that there is a limit, a number.
fn exists(engine: &Engine<'_>, ways: &[Way]) -> Option<(bool, String)> {
    let outcome = joint(engine, ways)?;
    Some(match outcome {
        Outcome::None(why) => (false, why),
        Outcome::Infinite(_) => (false, outcome.words()),
        Outcome::Number(_) => (true, outcome.words()),
    })
}

/// The value at a large value of what grows, if there are no other names.
fn value_at(way: &Way, far: i64) -> Option<f64> {
    if way.term.variables().iter().any(|name| *name != way.run) {
        return None;
    }
    let at = Assignment::new().with(&way.run, way.kind, Value::Closed(Expr::integer(far)));
    let (low, high) = numerics::enclose(&way.term, &at, Precision::Bits(160)).doubles();
    let value = low.midpoint(high);
    value.is_finite().then_some(value)
}

/// What the limit may be: simple numbers near the last value, and the value at the place.
fn guesses(way: &Way, last: Option<f64>) -> Vec<Expr> {
    let mut all = Vec::new();
    let Some(value) = last else {
        all.extend(limit_by_values(way));
        return all;
    };
    let near = |size: f64| (value - size).abs() < NEAR * (1.0 + value.abs());
    all.extend(ratio(value));
    let pi: Expr = Node::Constant(Constant::Pi).into();
    let e: Expr = Node::Constant(Constant::E).into();
    for (unit, size) in [(&pi, std::f64::consts::PI), (&e, std::f64::consts::E)] {
        for exponent in [1, 2, -1] {
            let scale = size.powi(exponent);
            if let Some(factor) = ratio(value / scale)
                && factor.as_number().is_some_and(|factor| !factor.is_zero())
            {
                let power = match exponent {
                    1 => unit.clone(),
                    other => unit.power(&Expr::integer(i64::from(other))),
                };
                all.push(factor.times(&power));
            }
        }
    }
    for inside in [2, 3, 5, 6, 7] {
        let root = f64::from(inside).sqrt();
        if let Some(factor) = ratio(value / root)
            && near(root * (value / root))
        {
            let own = Expr::integer(i64::from(inside)).sqrt();
            all.push(factor.times(&own));
        }
        let log = f64::from(inside).ln();
        if let Some(factor) = ratio(value / log) {
            let own = Expr::integer(i64::from(inside)).call(Function::Log);
            all.push(factor.times(&own));
        }
    }
    // The nearest first.
    let distance = |expr: &Expr| {
        let (low, high) = numerics::enclose(expr, &Assignment::new(), Precision::Double).doubles();
        (low.midpoint(high) - value).abs()
    };
    all.sort_by(|a, b| distance(a).total_cmp(&distance(b)));
    all.truncate(GUESSES);
    all
}

/// So many guesses of one limit are tried.
const GUESSES: usize = 3;

/// A fraction with a small denominator near the value.
fn ratio(value: f64) -> Option<Expr> {
    (1..=LARGEST_DENOMINATOR).find_map(|denominator| {
        let numerator = (value * f64::from(denominator)).round();
        let near = (value - numerator / f64::from(denominator)).abs() < NEAR;
        if !near || numerator.abs() > LARGEST_NUMERATOR {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "whole and small")]
        let whole = Expr::integer(numerator as i64);
        Some(match denominator {
            1 => whole,
            _ => whole.over(&Expr::integer(i64::from(denominator))),
        })
    })
}

/// With parameters: 1/t and the like replaced by 0.
fn limit_by_values(way: &Way) -> Vec<Expr> {
    let run = Expr::variable(&way.run);
    let mut place = None;
    way.term.visit(&mut |part| {
        if let Node::Div(above, below) = part.node()
            && *below == run
            && !above.mentions(&way.run)
        {
            place.get_or_insert(part.clone());
        }
    });
    let mut all = vec![Expr::integer(0), Expr::integer(1)];
    if let Some(small) = place {
        let there = way.term.replace(&small, &Expr::integer(0));
        if !there.mentions(&way.run) {
            all.insert(0, there);
        }
    }
    all
}
