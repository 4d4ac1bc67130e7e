//! Claims about sequences that are defined by recursion: decided by the equation between their
//! members, by induction, and by computing members.
//!
//! The kernel knows no recursion. What it is asked are questions about single members, which are
//! numbers or variables like any other: the base and the step of an induction, each with its own
//! certificate, and the claim at computed members. That base and step together give all members
//! is said here and nowhere else.

mod counter;
mod facts;
mod induction;
mod limit;
mod members;

pub(crate) use limit::judge as limit;
pub(crate) use members::Members;

use crate::analysis::VerdictWord;
use crate::engine::{Engine, Judgement};
use crate::scope::Setting;
use argument::{Entry, Role, Zone};
use facts::Fact;
use kernel::{Condition, Expr, Goal, Kind, Origin, Relation, Symbol, Verdict};
use std::cell::OnceCell;

/// What is known of an argument's recursive sequences.
pub(crate) struct Recursions<'a> {
    /// Their members.
    pub(crate) members: Members<'a>,
    facts: OnceCell<Vec<Fact>>,
    limit: OnceCell<Option<limit::Known>>,
}

impl<'a> Recursions<'a> {
    pub(crate) fn of(argument: &'a argument::Argument) -> Self {
        Self {
            members: Members::of(&argument.recursions),
            facts: OnceCell::new(),
            limit: OnceCell::new(),
        }
    }

    /// The limit of the one recursive sequence of the argument, where it is known as a number.
    fn limit(&self, engine: &Engine<'_>) -> Option<&limit::Known> {
        self.limit
            .get_or_init(|| limit::known(engine, &self.members))
            .as_ref()
    }

    /// Whether what is in force leaves all large indices; what is assumed of members restricts
    /// none.
    fn runs_on(&self, setting: &Setting, index: &Symbol) -> bool {
        let mut about = setting.clone();
        about
            .hypotheses
            .retain(|(own, _)| !self.members.occur_in_condition(&own.condition));
        about.runs_on(index)
    }

    /// What was proved of all members: what the argument says of them, and what lies near.
    fn facts(&self, engine: &Engine<'_>) -> &[Fact] {
        self.facts
            .get_or_init(|| facts::proved(engine, &self.members))
    }
}

/// Judges left R right where it speaks of a recursive sequence.
pub(crate) fn relation(
    engine: &Engine<'_>,
    setting: &Setting,
    (left, sign, right): (&Expr, Relation, &Expr),
    index_is_governed: bool,
) -> Option<Judgement> {
    let members = &engine.recursions.members;
    if !members.occur_in(left) && !members.occur_in(right) {
        return of_limit(engine, setting, (left, sign, right));
    }
    let mut names = left.variables();
    names.extend(right.variables());
    names.extend(members.parameters());
    let all = setting.closure(&names);
    let whole = setting.problem(&all, Goal::Holds(left.clone(), sign, right.clone()));
    let claim = Condition::Holds(left.clone(), sign, right.clone());
    let reading = format!(
        "{}{}",
        crate::scope::quantified(&whole),
        kernel::show::condition(&claim)
    );
    let facts = engine.recursions.facts(engine);
    match induction::proved(engine, members, facts, &whole) {
        Some(Ok(words)) => return Some(Judgement::proved(words, reading)),
        Some(Err(obstacle)) => return Some(Judgement::unsettled(obstacle, reading)),
        None => {}
    }
    let mut spoken_of = all.clone();
    spoken_of.extend(left.unknown_functions());
    spoken_of.extend(right.unknown_functions());
    if let Some(reason) = setting.protection_among(&all, &spoken_of) {
        return Some(Judgement::unsettled(&reason, reading));
    }
    let failure = counter::failure(engine, members, &whole, index_is_governed);
    Some(match failure {
        counter::Failure::Certain(counterexample) => {
            crate::engine::refuted(*counterexample, reading)
        }
        counter::Failure::OnlyAtFirst(counterexample, from) => {
            let later = whole.assuming(from.clone(), kernel::Origin::Assumption);
            let holds = matches!(
                induction::proved(engine, members, facts, &later),
                Some(Ok(_))
            );
            if holds {
                Judgement {
                    missing: Some(kernel::show::condition(&from)),
                    counterexample: Some(*counterexample),
                    ..Judgement::unsettled(
                        "false as it stands, true under a hypothesis that is not stated",
                        reading,
                    )
                }
            } else {
                Judgement::unsettled(
                    "false at the first indices, and no range is written",
                    reading,
                )
            }
        }
        counter::Failure::None(tried) => Judgement {
            verdict: VerdictWord::Unsettled,
            ..Judgement::unsettled(
                &format!(
                    "not decided: {tried} computed members show nothing against it, and no proof was found"
                ),
                reading,
            )
        },
    })
}

/// The name of a limit of which alone an expression or another speaks.
fn limit_name<'a>(engine: &'a Engine<'_>, left: &Expr, right: &Expr) -> Option<&'a Symbol> {
    let mut names = left.variables();
    names.extend(right.variables());
    let name = names.first().filter(|_| names.len() == 1)?;
    engine.argument.limits.iter().find(|own| *own == name)
}

/// Judges a relation of a number that the text knows as the limit of the one recursive sequence.
fn of_limit(
    engine: &Engine<'_>,
    setting: &Setting,
    (left, sign, right): (&Expr, Relation, &Expr),
) -> Option<Judgement> {
    let name = limit_name(engine, left, right)?;
    let limit = engine.recursions.limit(engine)?;
    let is_limit = Condition::Holds(Expr::variable(name), Relation::Equal, limit.value.clone());
    let names = std::iter::once(name.clone()).collect();
    let problem = setting
        .clone()
        .naming(name, Kind::Real)
        .problem(&names, Goal::Holds(left.clone(), sign, right.clone()))
        .assuming(is_limit, Origin::Assumption);
    let claim = Condition::Holds(left.clone(), sign, right.clone());
    let reading = format!("for the limit {name}: {}", kernel::show::condition(&claim));
    match engine.quickly(|| engine.ask(&problem)) {
        Verdict::Proved(_) if engine.can_be_met(&problem) => Some(Judgement::proved(
            format!(
                "the limit is {}: {}",
                kernel::show::plain(&limit.value),
                limit.words
            ),
            reading,
        )),
        Verdict::Refuted(found) => Some(crate::engine::refuted(found, reading)),
        _ => None,
    }
}

/// Whether a false relation of the limit may only name a candidate for it: no word says that it
/// is concluded, or several values are named.
pub(crate) fn may_be_candidate(engine: &Engine<'_>, draft: &str, position: usize) -> bool {
    let entries = &engine.argument.entries;
    let entry = &entries[position];
    let Some((left, _, right)) = crate::judge::relation_of(entry) else {
        return false;
    };
    if limit_name(engine, left, right).is_none() {
        return false;
    }
    let several = entries.iter().enumerate().any(|(other, said)| {
        other != position
            && said.sentence == entry.sentence
            && crate::judge::relation_of(said).is_some_and(|(left, sign, right)| {
                sign == Relation::Equal
                    && left.as_variable().is_some()
                    && limit_name(engine, left, right).is_some()
                    && right.variables().is_empty()
            })
    });
    let sentence = draft.get(entry.sentence.range()).unwrap_or_default();
    let words: Vec<String> = sentence
        .split(|letter: char| !letter.is_alphabetic())
        .map(str::to_lowercase)
        .collect();
    let says = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
    several || !says(&CONCLUDING) || says(&WEIGHING)
}

/// Whether an entry's relation was judged by what is known of a recursive sequence.
pub(crate) fn decides(engine: &Engine<'_>, entry: &Entry) -> bool {
    let members = &engine.recursions.members;
    is_of_limit(engine, entry)
        || crate::judge::relation_of(entry)
            .is_some_and(|(left, _, right)| members.occur_in(left) || members.occur_in(right))
}

/// Whether an entry was judged at the known limit of which it speaks.
pub(crate) fn is_of_limit(engine: &Engine<'_>, entry: &Entry) -> bool {
    crate::judge::relation_of(entry).is_some_and(|(left, _, right)| {
        limit_name(engine, left, right).is_some() && engine.recursions.limit(engine).is_some()
    })
}

/// Words with which a value is concluded.
const CONCLUDING: [&str; 10] = [
    "so",
    "hence",
    "thus",
    "therefore",
    "conclude",
    "must",
    "follows",
    "consequently",
    "gives",
    "means",
];

/// Words with which values are weighed.
const WEIGHING: [&str; 20] = [
    "or",
    "either",
    "not",
    "cannot",
    "impossible",
    "possible",
    "excluded",
    "exclude",
    "excludes",
    "reject",
    "rejected",
    "discard",
    "discarded",
    "candidate",
    "candidates",
    "solution",
    "solutions",
    "root",
    "roots",
    "contradiction",
];

/// Whether a false line about members would be true if an earlier false line, or the chain in
/// which it stands, were what ties the members together.
pub(crate) fn follows_from(engine: &Engine<'_>, earlier: usize, line: usize) -> bool {
    let members = &engine.recursions.members;
    let entries = &engine.argument.entries;
    let Some((left, sign, right)) = crate::judge::relation_of(&entries[line]) else {
        return false;
    };
    if !members.occur_in(left) && !members.occur_in(right) {
        return false;
    }
    let setting = Setting::of(engine.argument, &entries[line].scope);
    let mut names = left.variables();
    names.extend(right.variables());
    names.extend(members.parameters());
    let goal = Goal::Holds(left.clone(), sign, right.clone());
    let whole = setting.problem(&setting.closure(&names), goal);
    let chain = entries[earlier]
        .chain
        .and_then(|(chain, _)| facts::end_to_end(engine.argument, chain));
    crate::judge::condition_of(&entries[earlier])
        .into_iter()
        .chain(chain)
        .filter_map(|granted| {
            members
                .recursions()
                .iter()
                .find_map(|recursion| facts::normal(members, recursion, &granted))
        })
        .any(|granted| {
            induction::given(engine, members, &granted, &whole)
                || induction::would_hold(engine, members, &granted, &whole)
        })
}

/// Whether an announced claim is about members alone: then it is false or not, whatever the text
/// goes on to choose.
pub(crate) fn announces(engine: &Engine<'_>, entry: &Entry) -> bool {
    let members = &engine.recursions.members;
    let Some((left, _, right)) = crate::judge::relation_of(entry) else {
        return false;
    };
    entry.role == Some(Role::Aim)
        && entry.zone != Zone::Statement
        && (members.occur_in(left) || members.occur_in(right))
}
