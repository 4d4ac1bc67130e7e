//! Statements about limits, suprema and convergence: their truth, whatever the text has shown.

mod cases;

use crate::analysis::VerdictWord;
use crate::approach::{self, Question};
use crate::engine::{Engine, Judgement};
use crate::recursion;
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Content, Entry, ErrorTerm, LimitValue, Role, Toward};
use cases::{at_a_corner, case_by_case};
use kernel::{
    Condition, Expr, Function, Goal, Kind, Node, Origin, Problem, Relation, Symbol, proving, show,
};
use std::collections::BTreeSet;

/// Judges "f_n → f (uniformly)", or its negation.
pub(crate) fn convergence(
    engine: &Engine<'_>,
    setting: &Setting,
    error: &ErrorTerm,
    negated: bool,
) -> Judgement {
    let points: &[Symbol] = if error.uniform { &error.points } else { &[] };
    let problem = convergence_problem(setting, error, points);
    let words = format!(
        "{} → {} as {} → ∞{}",
        show::plain(&error.term),
        show::plain(&error.limit),
        error.index,
        whereabouts(&problem, error),
    );
    let reading = if negated {
        format!("not: {words}")
    } else {
        words
    };
    let said = Said {
        negated,
        local: error.pointed,
        points: if error.pointed { &[] } else { &error.points },
    };
    // What tends to 0 uniformly does so at each point, and the bound is easier to find.
    if points.is_empty()
        && !error.points.is_empty()
        && !setting.keeps_to_a_subsequence(&error.index)
    {
        let together = convergence_problem(setting, error, &error.points);
        if engine.proves(&together) {
            return vanishes(engine, setting, &together, &said, reading);
        }
    }
    // "For even n": a limit along a subsequence.
    let parity = setting.keeps_to_a_subsequence(&error.index);
    if parity && !error.points.is_empty() {
        return Judgement::unsettled("not decided along a part of the indices only", reading);
    }
    if error.points.is_empty()
        && let Some(judgement) = recursion::limit(
            engine,
            setting,
            (&error.term, &error.index),
            (&LimitValue::Number(error.limit.clone()), negated),
            &reading,
        )
    {
        return judgement;
    }
    if !parity {
        let judgement = vanishes(engine, setting, &problem, &said, reading.clone());
        if judgement.verdict != VerdictWord::Unsettled || !error.points.is_empty() {
            return judgement;
        }
    }
    let question = Question {
        term: &error.term,
        variable: &error.index,
        toward: &Toward::Infinity,
        conditions: &[],
    };
    let value = LimitValue::Number(error.limit.clone());
    approach::judge(engine, setting, &question, &value, negated, reading)
}

/// Whether a statement about a limit is a step on the way, not what the argument is about.
pub(crate) fn is_on_the_way(entry: &Entry, error: &ErrorTerm) -> bool {
    matches!(entry.role, Some(Role::Step | Role::Reason)) && !error.uniform
}

/// For which points a convergence is said, and whether uniformly: ", uniformly for x ≥ 0".
pub(crate) fn whereabouts(problem: &Problem, error: &ErrorTerm) -> String {
    let places: Vec<String> = problem
        .hypotheses
        .iter()
        .map(|hypothesis| &hypothesis.condition)
        .filter(|condition| {
            let names = condition.variables();
            error.points.iter().any(|point| names.contains(point))
        })
        .map(show::condition)
        .collect();
    let uniformly = if error.uniform && !error.points.is_empty() {
        ", uniformly"
    } else {
        ""
    };
    match (places.is_empty(), uniformly.is_empty()) {
        (true, true) => String::new(),
        (true, false) => format!("{uniformly} in all {}", names_of(&error.points)),
        (false, true) => format!(", for {}", places.join(", ")),
        (false, false) => format!("{uniformly} for {}", places.join(", ")),
    }
}

fn names_of(names: &[Symbol]) -> String {
    names
        .iter()
        .map(Symbol::as_str)
        .collect::<Vec<_>>()
        .join(", ")
}

/// The question of a convergence, under the statement's own domain.
pub(crate) fn convergence_problem(
    setting: &Setting,
    error: &ErrorTerm,
    points: &[Symbol],
) -> Problem {
    let mut names = error.error.variables();
    names.insert(error.index.clone());
    names.extend(error.points.iter().cloned());
    // A domain may lean on parameters ([0, a]), and they on what is known of them (a < 1).
    let domain: Vec<&Condition> = error
        .conditions
        .iter()
        .filter(|condition| {
            condition
                .variables()
                .iter()
                .any(|name| names.contains(name))
        })
        .collect();
    names.extend(domain.iter().flat_map(|condition| condition.variables()));
    let fixed: BTreeSet<Symbol> = names
        .iter()
        .filter(|name| **name != error.index && !error.points.contains(name))
        .cloned()
        .collect();
    let mut moving = error.points.clone();
    moving.push(error.index.clone());
    names.extend(
        setting
            .closure(&fixed)
            .into_iter()
            .filter(|name| !moving.contains(name)),
    );
    let named = setting.clone().naming(&error.index, Kind::Integer);
    let mut problem = named.problem(
        &names,
        Goal::TendsToZero {
            term: error.error.clone(),
            index: error.index.clone(),
            points: points.to_vec(),
        },
    );
    // A statement about functions is about all of its domain, whatever range the text speaks of
    // just here; one about f_n(x) is about the points in force.
    problem.hypotheses.retain(|hypothesis| {
        let inside = hypothesis.condition.variables();
        let about_points = error.points.iter().any(|point| inside.contains(point));
        !(inside.contains(&error.index) || !error.pointed && about_points)
    });
    for condition in domain {
        let known = |hypothesis: &kernel::Hypothesis| hypothesis.condition == *condition;
        if !problem.hypotheses.iter().any(known) {
            problem = problem.assuming(condition.clone(), Origin::Domain);
        }
    }
    problem
}

fn vanishes(
    engine: &Engine<'_>,
    setting: &Setting,
    problem: &Problem,
    said: &Said<'_>,
    reading: String,
) -> Judgement {
    if let kernel::Verdict::Proved(certificate) = engine.ask(problem) {
        let words = proving::reason::explain(&certificate)
            .unwrap_or_else(|| "the error term tends to 0".to_owned());
        return if said.negated {
            unless_protected(setting, problem, words, reading)
        } else {
            Judgement::proved(words, reading)
        };
    }
    if let Some(separation) = proving::stays_away(problem, &mut engine.fuel()) {
        let apart = Apart {
            why: wording::no_cure(&separation),
            fixed: BTreeSet::new(),
        };
        return separated(setting, problem, said, apart, reading);
    }
    if let Some(apart) = at_a_corner(engine, setting, problem, said.local) {
        return separated(setting, problem, said, apart, reading);
    }
    case_by_case(engine, setting, problem, said, &reading).unwrap_or_else(|| {
        Judgement::unsettled(
            "not decided: neither a bound that tends to 0 nor a witness was found",
            reading,
        )
    })
}

/// How a convergence is said.
struct Said<'a> {
    /// It is denied.
    negated: bool,
    /// It is a statement on the way, about the points in force.
    local: bool,
    /// The points of which a denial says that one of them is enough.
    points: &'a [Symbol],
}

/// That a term stays away from 0.
struct Apart {
    /// Where, in words.
    why: String,
    /// The names that were given a value, or restricted to a case, for it.
    fixed: BTreeSet<Symbol>,
}

/// What stays away from 0 somewhere refutes a convergence and proves its denial; both need every
/// restriction of the points, for the witness might lie outside of one that was not understood.
/// A denial speaks of all parameters: one value of a parameter does not prove it.
fn separated(
    setting: &Setting,
    problem: &Problem,
    said: &Said<'_>,
    apart: Apart,
    reading: String,
) -> Judgement {
    let judgement = unless_protected(setting, problem, apart.why.clone(), reading.clone());
    if !(said.negated && judgement.is_refuted()) {
        return judgement;
    }
    if apart.fixed.iter().any(|name| !said.points.contains(name)) {
        return Judgement::unsettled(
            "not decided: the error stays away from 0 for some values of the parameters, and all are meant",
            reading,
        );
    }
    Judgement::proved(apart.why, reading)
}

/// Refuted in words, unless something in force that was not understood forbids it.
pub(crate) fn unless_protected(
    setting: &Setting,
    problem: &Problem,
    why: String,
    reading: String,
) -> Judgement {
    // The index of a limit needs no words.
    let moves = |name: &Symbol| {
        matches!(&problem.goal, Goal::TendsToZero { index, .. } if index == name)
            && !setting.knows(name)
    };
    let names = problem
        .variables
        .iter()
        .map(|variable| variable.name.clone())
        .filter(|name| !moves(name))
        .collect();
    match setting.protection(&names) {
        Some(reason) => Judgement::unsettled(&reason, reading),
        None => Judgement::refuted_in_words(why, reading),
    }
}

/// A statement about a limit.
pub(crate) struct Limit<'a> {
    pub(crate) question: Question<'a>,
    pub(crate) value: &'a LimitValue,
    pub(crate) negated: bool,
}

/// Judges the limit of a term at a place.
pub(crate) fn limit(engine: &Engine<'_>, setting: &Setting, said: &Limit<'_>) -> Judgement {
    let Question {
        term,
        variable,
        toward,
        conditions,
    } = said.question;
    let what = show::plain(term);
    let place = match toward {
        Toward::Infinity => "∞".to_owned(),
        Toward::MinusInfinity => "−∞".to_owned(),
        Toward::Point(point) => show::plain(point),
        Toward::Above(point) => format!("{}⁺", show::plain(point)),
        Toward::Below(point) => format!("{}⁻", show::plain(point)),
    };
    let statement = match (said.value, said.negated) {
        (LimitValue::Number(value), _) => format!("{what} → {}", show::plain(value)),
        (LimitValue::Infinity, _) => format!("{what} → ∞"),
        (LimitValue::MinusInfinity, _) => format!("{what} → −∞"),
        (LimitValue::Exists, false) => format!("{what} has a limit"),
        (LimitValue::Exists, true) => format!("{what} has no limit"),
    };
    let not = match said.value {
        LimitValue::Exists => "",
        _ if said.negated => "not: ",
        _ => "",
    };
    let reading = format!("{not}{statement} as {variable} → {place}");
    let plain = setting.kind(variable) == Kind::Integer
        && conditions.is_empty()
        && !setting.keeps_to_a_subsequence(variable);
    if matches!(toward, Toward::Infinity)
        && conditions.is_empty()
        && let Some(judgement) = recursion::limit(
            engine,
            setting,
            (term, variable),
            (said.value, said.negated),
            &reading,
        )
    {
        return judgement;
    }
    if let (Toward::Infinity, LimitValue::Number(value), true) = (toward, said.value, plain) {
        let difference = if value.as_number() == Expr::integer(0).as_number() {
            term.clone()
        } else {
            term.minus(value)
        };
        let difference = absolute(&difference);
        let problem = setting.vanishing(&difference, variable, &[]);
        // What tends to 0 uniformly does so at each point, and the bound is easier to find.
        let points: Vec<Symbol> = engine
            .argument
            .error
            .iter()
            .flat_map(|error| error.points.iter())
            .filter(|point| difference.mentions(point))
            .cloned()
            .collect();
        let together = problem.with_goal(Goal::TendsToZero {
            term: difference,
            index: variable.clone(),
            points: points.clone(),
        });
        let problem = if !points.is_empty() && engine.proves(&together) {
            together
        } else {
            problem
        };
        let own = Said {
            negated: said.negated,
            local: true,
            points: &[],
        };
        let first = vanishes(engine, setting, &problem, &own, reading.clone());
        if first.verdict != VerdictWord::Unsettled {
            return first;
        }
    }
    approach::judge(
        engine,
        setting,
        &said.question,
        said.value,
        said.negated,
        reading,
    )
}

/// A supremum or infimum compared with a value.
pub(crate) struct Extreme<'a> {
    pub(crate) greatest: bool,
    pub(crate) term: &'a Expr,
    pub(crate) points: &'a [Symbol],
    pub(crate) conditions: &'a [Condition],
    pub(crate) relation: Relation,
    pub(crate) value: &'a Expr,
}

/// Judges a supremum (infimum) against a value that is free of the points.
pub(crate) fn extremum(engine: &Engine<'_>, setting: &Setting, extreme: &Extreme<'_>) -> Judgement {
    let mut inside = setting.clone();
    for point in extreme.points {
        inside = inside.naming(point, Kind::Real);
    }
    for condition in extreme.conditions {
        inside = inside.and(condition.clone(), Origin::Domain);
    }
    let bounding = if extreme.greatest {
        Relation::LessEqual
    } else {
        Relation::GreaterEqual
    };
    let word = if extreme.greatest { "sup" } else { "inf" };
    let reading = format!(
        "{word} over {} of {} {} {}",
        extreme
            .points
            .iter()
            .map(Symbol::as_str)
            .collect::<Vec<_>>()
            .join(", "),
        show::plain(extreme.term),
        extreme.relation.sign(),
        show::plain(extreme.value)
    );
    let bounds_all =
        matches!(extreme.relation, Relation::Equal) || extreme.relation.weakened() == bounding;
    if extreme.relation.weakened() == bounding.flipped() {
        if !engine.can_be_met(&inside.holds(extreme.term, bounding, extreme.value)) {
            return Judgement::unsettled("no values satisfy what is in force here", reading);
        }
        return match attained(engine, &inside, extreme, extreme.relation) {
            Some(place) => Judgement::proved(format!("see {place}"), reading),
            None => Judgement::unsettled("no place was found where it is that large", reading),
        };
    }
    if !bounds_all {
        return Judgement::unsettled(
            "this kind of statement about a supremum is not decided yet",
            reading,
        );
    }
    let mut judgement = engine.relation(&inside, extreme.term, bounding, extreme.value, true);
    judgement.reading = reading.clone();
    if judgement.verdict != VerdictWord::Proved || extreme.relation == bounding {
        return judgement;
    }
    if extreme.relation.weakened() == bounding {
        return match stays_within(engine, &inside, extreme, bounding) {
            Some(nearer) => Judgement::proved(
                format!("it is {} {}", bounding.sign(), show::plain(&nearer)),
                reading,
            ),
            None => {
                Judgement::unsettled("whether the supremum stays below was not decided", reading)
            }
        };
    }
    match attained(engine, &inside, extreme, Relation::Equal) {
        Some(place) => Judgement::proved(
            format!("{}; attained at {place}", judgement.evidence),
            reading,
        ),
        None => Judgement::unsettled(
            "an upper bound, but no place was found where it is attained",
            reading,
        ),
    }
}

/// A value that the argument names for the same extremum, which bounds the term and is strictly
/// on the near side of the one claimed.
fn stays_within(
    engine: &Engine<'_>,
    inside: &Setting,
    extreme: &Extreme<'_>,
    bounding: Relation,
) -> Option<Expr> {
    engine.argument.entries.iter().find_map(|entry| {
        let Content::Assertion(Assertion::Extremum {
            greatest,
            term,
            value,
            relation: Relation::Equal | Relation::LessEqual | Relation::GreaterEqual,
            ..
        }) = &entry.content
        else {
            return None;
        };
        let same = *greatest == extreme.greatest && term == extreme.term;
        (same
            && engine.proves(&inside.holds(extreme.term, bounding, value))
            && engine.proves(&inside.holds(value, extreme.relation, extreme.value)))
        .then(|| value.clone())
    })
}

/// A place where the term compares so with the value, proved for all indices: ends of the domain,
/// c n^p, points of which the value speaks, and those that the argument names.
fn attained(
    engine: &Engine<'_>,
    inside: &Setting,
    extreme: &Extreme<'_>,
    relation: Relation,
) -> Option<String> {
    let [point] = extreme.points else {
        return None;
    };
    let names = extreme.value.variables();
    let mut places: Vec<Expr> = inside
        .hypotheses
        .iter()
        .filter_map(|(hypothesis, _)| match &hypothesis.condition {
            Condition::Holds(left, _, right) if left.as_variable() == Some(point) => {
                Some(right.clone())
            }
            _ => None,
        })
        .collect();
    places.push(Expr::integer(0));
    if let Some(own) = point.as_str().strip_suffix('′') {
        places.push(Expr::named(own));
    }
    places.extend(
        engine
            .argument
            .definitions
            .iter()
            .filter(|definition| definition.parameters.len() == definition.subscripts)
            .map(|definition| definition.value.clone()),
    );
    if let Some(index) = engine
        .argument
        .error
        .as_ref()
        .map(|error| Expr::variable(&error.index))
    {
        for (above, below) in [(1, 1), (1, 2), (2, 1), (1, 3), (3, 1), (3, 2), (2, 3)] {
            let ratio = Expr::ratio(above, below);
            let forms = [
                ratio.over(&index),
                Node::Root(2, ratio.over(&index)).into(),
                ratio.over(&index.sqrt()),
                ratio.times(&index),
                ratio.times(&index).sqrt(),
            ];
            places.extend(forms);
        }
    }
    let others = inside.closure(&names);
    places.into_iter().find_map(|place| {
        let mut all = others.clone();
        all.extend(place.variables());
        let conditions: Vec<Condition> = inside
            .hypotheses
            .iter()
            .map(|(hypothesis, _)| &hypothesis.condition)
            .filter(|condition| condition.variables().contains(point))
            .map(|condition| condition.substitute(point, &place))
            .collect();
        let there = extreme.term.substitute(point, &place);
        all.extend(there.variables());
        let holds = |goal: Goal| {
            let mut problem = inside.problem(&all, goal);
            problem
                .hypotheses
                .retain(|hypothesis| !hypothesis.condition.variables().contains(point));
            problem.variables.retain(|variable| variable.name != *point);
            engine.proves(&problem)
        };
        let inside_domain = conditions.iter().all(|condition| match condition {
            Condition::Holds(left, relation, right) => {
                holds(Goal::Holds(left.clone(), *relation, right.clone()))
            }
            _ => false,
        });
        (inside_domain && holds(Goal::Holds(there.clone(), relation, extreme.value.clone())))
            .then(|| format!("{point} = {}", show::plain(&place)))
    })
}

/// |term| where it is not an absolute value already.
pub(crate) fn absolute(term: &Expr) -> Expr {
    match term.node() {
        Node::Call(Function::Abs, _) => term.clone(),
        _ => term.abs(),
    }
}
