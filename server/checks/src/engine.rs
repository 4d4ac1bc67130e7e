//! Decisions for one argument: the kernel asked under the hypotheses in force, in three zones.

pub(crate) mod elsewhere;

use crate::analysis::{Settings, VerdictWord};
use crate::finding::Shown;
use crate::recursion::{self, Recursions};
use crate::scope::{Setting, is_tolerance_name, quantified};
use argument::{Argument, Assertion, Content, Zone};
use kernel::{
    Budget, Condition, Counterexample, Expr, Fuel, Function, Goal, Kind, Node, Origin, Problem,
    Reason, Relation, Symbol, Verdict, decide, proving, refuting, show,
};
use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};

/// The kernel, asked for one argument; remembers what it was asked.
pub(crate) struct Engine<'a> {
    pub(crate) argument: &'a Argument,
    /// What is known of its recursive sequences.
    pub(crate) recursions: Recursions<'a>,
    stop: &'a AtomicBool,
    effort: Cell<Budget>,
    known: RefCell<HashMap<Problem, (Verdict, Budget)>>,
    met: RefCell<HashMap<Problem, bool>>,
}

/// Why a false claim is not called false where the text restricts its names in another place.
pub(crate) const FALSE_ELSEWHERE: &str =
    "false as it stands, and the text says more of its names in another place";

/// How a claim ended.
#[derive(Clone, Debug)]
pub(crate) struct Judgement {
    /// Its verdict.
    pub(crate) verdict: VerdictWord,
    /// Why, in one line.
    pub(crate) evidence: String,
    /// The point, if refuted.
    pub(crate) counterexample: Option<Counterexample>,
    /// A hypothesis that would make it true, if only that is missing.
    pub(crate) missing: Option<String>,
    /// How it was read.
    pub(crate) reading: String,
}

impl Judgement {
    pub(crate) fn unsettled(evidence: &str, reading: String) -> Self {
        Self {
            verdict: VerdictWord::Unsettled,
            evidence: evidence.to_owned(),
            counterexample: None,
            missing: None,
            reading,
        }
    }

    pub(crate) fn proved(evidence: String, reading: String) -> Self {
        Self {
            verdict: VerdictWord::Proved,
            evidence,
            counterexample: None,
            missing: None,
            reading,
        }
    }

    /// Refuted by a witness that moves with the index, told in words.
    pub(crate) fn refuted_in_words(why: String, reading: String) -> Self {
        Self {
            verdict: VerdictWord::Refuted,
            ..Self::proved(why, reading)
        }
    }

    pub(crate) fn is_proved(&self) -> bool {
        self.verdict == VerdictWord::Proved
    }

    pub(crate) fn is_refuted(&self) -> bool {
        self.verdict == VerdictWord::Refuted
    }
}

impl<'a> Engine<'a> {
    pub(crate) fn new(
        argument: &'a Argument,
        settings: &'a Settings,
        stop: &'a AtomicBool,
    ) -> Self {
        Self {
            argument,
            recursions: Recursions::of(argument),
            stop,
            effort: Cell::new(settings.budget),
            known: RefCell::default(),
            met: RefCell::default(),
        }
    }

    /// Runs a question with a part of the effort.
    pub(crate) fn quickly<T>(&self, question: impl FnOnce() -> T) -> T {
        let whole = self.effort.get();
        self.effort.set(Budget {
            evaluations: whole.evaluations.min(Budget::QUICK.evaluations),
            confirmations: whole.confirmations.min(Budget::QUICK.confirmations),
            proof_steps: whole.proof_steps.min(Budget::QUICK.proof_steps),
        });
        let answer = question();
        self.effort.set(whole);
        answer
    }

    pub(crate) fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// The kernel's verdict, remembered.
    pub(crate) fn ask(&self, problem: &Problem) -> Verdict {
        let budget = self.effort.get();
        if let Some((verdict, spent)) = self.known.borrow().get(problem) {
            // A verdict stands whatever it cost; "unsettled" only speaks for so much effort.
            let settled = !matches!(verdict, Verdict::Unsettled(_));
            if settled || budget.is_within(spent) {
                return verdict.clone();
            }
        }
        let verdict = decide(problem, &budget, self.stop);
        self.known
            .borrow_mut()
            .insert(problem.clone(), (verdict.clone(), budget));
        verdict
    }

    pub(crate) fn proves(&self, problem: &Problem) -> bool {
        self.ask(problem).is_proved()
    }

    /// A point at which a claim fails, found with little effort and no look for a proof.
    pub(crate) fn fails(&self, problem: &Problem) -> Option<Counterexample> {
        let budget = Budget::QUICK;
        match refuting::refute(problem, budget.evaluations, budget.confirmations, self.stop) {
            refuting::Outcome::Found(found) if !self.is_stopped() => Some(*found),
            _ => None,
        }
    }

    /// Fuel for a proof search of its own.
    pub(crate) fn fuel(&self) -> Fuel<'a> {
        Fuel::new(self.effort.get().proof_steps, self.stop)
    }

    /// Whether the problem's hypotheses can be met: a point was found, or at least no
    /// contradiction was shown.
    pub(crate) fn can_be_met(&self, problem: &Problem) -> bool {
        let bare = problem.with_goal(Goal::Defined(Expr::integer(0)));
        if let Some(met) = self.met.borrow().get(&bare) {
            return *met;
        }
        let met = refuting::satisfiable_point(&bare).is_some()
            || proving::contradictory(&bare, &mut self.fuel()).is_none();
        self.met.borrow_mut().insert(bare, met);
        met
    }

    /// Judges left R right under a setting. `written` says that the text states a range for the
    /// index, so that no unspoken "n large enough" may be meant.
    pub(crate) fn relation(
        &self,
        setting: &Setting,
        left: &Expr,
        relation: Relation,
        right: &Expr,
        index_is_governed: bool,
    ) -> Judgement {
        let claim = (left, relation, right);
        if let Some(judgement) = recursion::relation(self, setting, claim, index_is_governed) {
            return judgement;
        }
        let mut names = left.variables();
        names.extend(right.variables());
        let goal = Goal::Holds(left.clone(), relation, right.clone());
        let all = setting.closure(&names);
        let whole = setting.problem(&all, goal.clone());
        let reading = format!(
            "{}{}",
            quantified(&whole),
            show::condition(&Condition::Holds(left.clone(), relation, right.clone()))
        );
        let narrow = setting.problem(&names, goal);
        if let Verdict::Proved(certificate) = self.ask(&narrow) {
            return self.met_or_unsettled(&whole, &certificate, reading);
        }
        let verdict = if narrow == whole {
            self.ask(&narrow)
        } else {
            self.ask(&whole)
        };
        match verdict {
            Verdict::Proved(certificate) => self.met_or_unsettled(&whole, &certificate, reading),
            Verdict::Unsettled(obstacle) => {
                match self.quickly(|| self.ask(&without_ends(&whole))) {
                    Verdict::Proved(certificate) => {
                        self.met_or_unsettled(&whole, &certificate, reading)
                    }
                    _ => Judgement::unsettled(&stood_in_the_way(&obstacle), reading),
                }
            }
            Verdict::Refuted(_) => {
                let computed = under(&whole, elsewhere::computed_integrals(&[left, right]));
                let Verdict::Refuted(counterexample) = self.ask(&computed) else {
                    return Judgement::unsettled(
                        "an integral was not computed for all these values",
                        reading,
                    );
                };
                let mut spoken_of = all.clone();
                spoken_of.extend(left.unknown_functions());
                spoken_of.extend(right.unknown_functions());
                let protection = setting
                    .protection_among(&all, &spoken_of)
                    .or_else(|| beyond_the_text(self.argument, left, right, &counterexample));
                if let Some(reason) = protection {
                    let unsaid = reason.starts_with(crate::scope::UNSAID);
                    let whatever = unsaid
                        .then(|| self.fails_for_all(&whole, setting, relation))
                        .flatten();
                    return match whatever {
                        Some(counterexample) => refuted(counterexample, reading),
                        None => Judgement::unsettled(&reason, reading),
                    };
                }
                if !self.fails_elsewhere(setting, &whole) {
                    return Judgement::unsettled(FALSE_ELSEWHERE, reading);
                }
                if !self.fails_within(&whole, elsewhere::filled_sums(&[left, right])) {
                    return Judgement::unsettled("false only where a sum has no terms", reading);
                }
                let ranges = self.unsaid_ranges(setting, &whole);
                self.between(&whole, counterexample, index_is_governed, ranges, reading)
            }
        }
    }

    /// Whether a relation is false for all values from 1 on of the integers of which nothing says
    /// what they are: then it does not matter which of them are meant.
    fn fails_for_all(
        &self,
        problem: &Problem,
        setting: &Setting,
        relation: Relation,
    ) -> Option<Counterexample> {
        let Goal::Holds(left, _, right) = &problem.goal else {
            return None;
        };
        let unsaid: Vec<&kernel::Variable> = problem
            .variables
            .iter()
            .filter(|variable| !setting.knows(&variable.name))
            .collect();
        if unsaid.iter().any(|variable| variable.kind != Kind::Integer) {
            return None;
        }
        let from_one = unsaid
            .iter()
            .map(|variable| crate::scope::at_least_one(&variable.name));
        let opposite = Goal::Holds(left.clone(), relation.negated(), right.clone());
        let within = under(problem, from_one.collect());
        let never = self.quickly(|| self.proves(&within.with_goal(opposite)));
        match self.ask(&within) {
            Verdict::Refuted(counterexample) if never => Some(counterexample),
            _ => None,
        }
    }

    /// Whether a refuted problem stays refuted under what the text says of its names in other
    /// places.
    pub(crate) fn fails_elsewhere(&self, setting: &Setting, problem: &Problem) -> bool {
        self.fails_within(problem, elsewhere::said(self, setting, problem))
    }

    /// Whether a refuted problem stays refuted under restrictions that may be meant.
    fn fails_within(&self, problem: &Problem, restrictions: Vec<Condition>) -> bool {
        if restrictions.is_empty() {
            return true;
        }
        matches!(self.ask(&under(problem, restrictions)), Verdict::Refuted(_))
    }

    fn met_or_unsettled(
        &self,
        whole: &Problem,
        certificate: &kernel::Certificate,
        reading: String,
    ) -> Judgement {
        if !self.can_be_met(whole) {
            return Judgement::unsettled("no values satisfy what is in force here", reading);
        }
        let words = proving::reason::explain(certificate)
            .unwrap_or_else(|| "true for all these values".to_owned());
        Judgement::proved(words, reading)
    }

    /// False as stated: refuted if also false under the strongest hypotheses that an author
    /// could mean, else unsettled with the hypothesis that is missing.
    fn between(
        &self,
        problem: &Problem,
        counterexample: Counterexample,
        index_is_governed: bool,
        ranges: Vec<(Condition, String)>,
        reading: String,
    ) -> Judgement {
        let mut unspoken = self.unspoken(problem, index_is_governed);
        unspoken.extend(ranges);
        if !unspoken.is_empty() {
            let meant = unspoken.iter().map(|(condition, _)| condition.clone());
            let strongest = under(problem, meant.collect());
            match self.ask(&strongest) {
                Verdict::Refuted(stronger) => {
                    // The point of the text's own hypotheses is the simpler one; it stands if it
                    // does not lean on a large tolerance or a threshold below 0.
                    let chosen = if unspoken
                        .iter()
                        .filter(|(condition, _)| {
                            !matches!(condition, Condition::Holds(_, Relation::GreaterEqual, _))
                        })
                        .all(|(condition, _)| admits(condition, &counterexample))
                    {
                        counterexample
                    } else {
                        stronger
                    };
                    return refuted(chosen, reading);
                }
                Verdict::Proved(_) => {
                    let missing = self.smallest_missing(problem, &unspoken);
                    return Judgement {
                        missing: Some(missing),
                        counterexample: Some(counterexample),
                        ..Judgement::unsettled(
                            "false as it stands, true under a hypothesis that is not stated",
                            reading,
                        )
                    };
                }
                Verdict::Unsettled(obstacle) => {
                    return Judgement::unsettled(&stood_in_the_way(&obstacle), reading);
                }
            }
        }
        refuted(counterexample, reading)
    }

    /// "n > N" for thresholds that are in force and that nothing ties to the index: the range
    /// was said in words that were not read ("for such n"), or left out.
    fn unsaid_ranges(&self, setting: &Setting, problem: &Problem) -> Vec<(Condition, String)> {
        let Some(index) = self.argument.error.as_ref().map(|error| &error.index) else {
            return Vec::new();
        };
        if problem.variable(index).is_none() {
            return Vec::new();
        }
        setting
            .chosen
            .keys()
            .filter(|name| *name != index && problem.variable(name).is_some())
            .filter(|name| {
                !problem.hypotheses.iter().any(|hypothesis| {
                    let names = hypothesis.condition.variables();
                    names.contains(*name) && names.contains(index)
                })
            })
            .map(|name| {
                let range = Condition::Holds(
                    Expr::variable(index),
                    Relation::Greater,
                    Expr::variable(name),
                );
                (range, format!("{index} > {name}"))
            })
            .collect()
    }

    /// Hypotheses that authors leave unspoken: small tolerances, indices from some n₀ on where
    /// no range is written, positive real thresholds.
    fn unspoken(&self, problem: &Problem, index_is_governed: bool) -> Vec<(Condition, String)> {
        let mut found = Vec::new();
        for variable in &problem.variables {
            let value = Expr::variable(&variable.name);
            let says =
                |bound: &Expr, relation| Condition::Holds(value.clone(), relation, bound.clone());
            if variable.kind == Kind::Real && is_tolerance_name(&variable.name) {
                found.push((
                    says(&Expr::integer(1), Relation::LessEqual),
                    format!("{} ≤ 1", variable.name),
                ));
            } else if variable.kind == Kind::Real
                && variable.name.as_str().starts_with(['N', 'M', 'K'])
            {
                found.push((
                    says(&Expr::integer(0), Relation::Greater),
                    format!("{} > 0", variable.name),
                ));
            } else if variable.kind == Kind::Integer && !index_is_governed {
                let from = i64::from(crate::limits::LARGEST_UNSPOKEN_START);
                found.push((
                    says(&Expr::integer(from), Relation::GreaterEqual),
                    format!("{} ≥ {from}", variable.name),
                ));
            }
        }
        found
    }

    /// The fewest of the unspoken hypotheses that make the claim true, in words.
    fn smallest_missing(&self, problem: &Problem, unspoken: &[(Condition, String)]) -> String {
        for (condition, words) in unspoken {
            if let Condition::Holds(value, Relation::GreaterEqual, _) = condition {
                for start in 2..=i64::from(crate::limits::LARGEST_UNSPOKEN_START) {
                    let from = Condition::Holds(
                        value.clone(),
                        Relation::GreaterEqual,
                        Expr::integer(start),
                    );
                    if self.proves(&problem.assuming(from, Origin::Assumption)) {
                        return format!("{} ≥ {start}", show::plain(value));
                    }
                }
            } else if self.proves(&problem.assuming(condition.clone(), Origin::Assumption)) {
                return words.clone();
            }
        }
        unspoken
            .iter()
            .map(|(_, words)| words.as_str())
            .collect::<Vec<_>>()
            .join(", ")
    }
}

/// What a counterexample leans on that no author would accept: free values of a function of
/// which the text says more than hypotheses can carry, or the corner of an absolute value whose
/// derivative was taken piece by piece.
fn beyond_the_text(
    argument: &Argument,
    left: &Expr,
    right: &Expr,
    counterexample: &Counterexample,
) -> Option<String> {
    let mut unknown = left.unknown_functions();
    unknown.extend(right.unknown_functions());
    if let Some(function) = unknown
        .iter()
        .find(|function| !is_free_sequence(argument, function))
    {
        return Some(format!(
            "not decided: it speaks of {function}, of which not everything is known here"
        ));
    }
    // "1/a_n" of any sequence: that a_n ≠ 0 may be said in words.
    if counterexample.is_undefined() && !unknown.is_empty() {
        return Some("not decided: values of an unknown function may be excluded".to_owned());
    }
    // "s(x) = x²·(1 + x²)/x² for x ≠ 0, and s(0) = 0": the formula was not meant there.
    if counterexample.is_undefined() && left.variables().is_empty() && right.variables().is_empty()
    {
        return Some("not decided: the formula has no value at this place".to_owned());
    }
    let mut corner = false;
    for side in [left, right] {
        side.visit(&mut |part| {
            if let Node::Div(_, below) = part.node() {
                corner |= matches!(below.node(), Node::Call(Function::Abs, _));
            }
        });
    }
    (corner && counterexample.is_undefined())
        .then(|| "not decided where the absolute value has its corner".to_owned())
}

/// Whether an unknown function is any sequence with a limit, as a theorem gives it (b_n → b), and
/// the argument speaks of its member b_n with a plain index only: then each single member may
/// have any value that the hypotheses allow. A recursion, a sum or a neighbour b_{n+1} ties values
/// together.
fn is_free_sequence(argument: &Argument, function: &Symbol) -> bool {
    let given = argument.entries.iter().any(|entry| {
        entry.zone == Zone::Statement
            && entry.role != Some(argument::Role::Aim)
            && matches!(&entry.content, Content::Assertion(Assertion::Convergence { error, .. })
                if error.limit.as_variable().is_some()
                    && matches!(error.term.node(), Node::Apply(name, _) if name == function))
    });
    if !given {
        return false;
    }
    let mut members: Vec<Vec<Expr>> = Vec::new();
    let mut see = |part: &Expr| {
        if let Node::Apply(name, given) = part.node()
            && name == function
            && !members.contains(given)
        {
            members.push(given.clone());
        }
    };
    for definition in &argument.definitions {
        definition.value.visit(&mut see);
    }
    for entry in &argument.entries {
        match &entry.content {
            Content::Assertion(Assertion::Relation { left, right, .. }) => {
                left.visit(&mut see);
                right.visit(&mut see);
            }
            Content::Assertion(Assertion::All(conditions)) => {
                conditions
                    .iter()
                    .for_each(|condition| condition.visit(&mut see));
            }
            Content::Assertion(Assertion::Implication { from, to, .. }) => {
                from.iter()
                    .chain(to)
                    .for_each(|condition| condition.visit(&mut see));
            }
            Content::Binding(binding) => {
                binding
                    .conditions
                    .iter()
                    .for_each(|condition| condition.visit(&mut see));
            }
            _ => {}
        }
    }
    members.iter().all(|given| {
        matches!(given.as_slice(), [index] if index.as_variable().is_some_and(|name| {
            matches!(name.as_str().chars().next(), Some('n' | 'm' | 'k'))
        }))
    })
}

/// Whether a counterexample's values satisfy a simple bound.
fn admits(condition: &Condition, counterexample: &Counterexample) -> bool {
    let Condition::Holds(left, relation, right) = condition else {
        return false;
    };
    let Some(name) = left.as_variable() else {
        return false;
    };
    let (Some(value), Some(bound)) = (
        kernel::verdict::value_at(counterexample.point(), name).and_then(Expr::as_number),
        right.as_number(),
    ) else {
        return false;
    };
    relation.admits(value.cmp(&bound))
}

pub(crate) fn refuted(counterexample: Counterexample, reading: String) -> Judgement {
    Judgement {
        verdict: VerdictWord::Refuted,
        evidence: crate::wording::numbers(&shown(&counterexample)),
        counterexample: Some(counterexample),
        missing: None,
        reading,
    }
}

/// The problem without numeric ends of real variables: what holds on all of ℝ is sometimes easier
/// to prove than on an interval, and says more.
fn without_ends(problem: &Problem) -> Problem {
    let is_end = |hypothesis: &kernel::Hypothesis| {
        let Condition::Holds(left, _, right) = &hypothesis.condition else {
            return false;
        };
        let names = hypothesis.condition.variables();
        let real = names.iter().all(|name| {
            problem
                .variable(name)
                .is_some_and(|variable| variable.kind == Kind::Real)
                && !is_tolerance_name(name)
        });
        hypothesis.origin == Origin::Domain
            && names.len() == 1
            && real
            && (left.as_variable().is_some() || right.as_variable().is_some())
    };
    let mut loose = problem.clone();
    loose.hypotheses.retain(|hypothesis| !is_end(hypothesis));
    loose
}

/// A counterexample in the grammar of the contract.
pub(crate) fn shown(counterexample: &Counterexample) -> Shown {
    let (left, right) = show::sides(counterexample);
    Shown {
        values: counterexample
            .point()
            .iter()
            .map(|(what, value)| (show::grammar(what), show::grammar(value)))
            .collect(),
        left,
        right,
    }
}

fn stood_in_the_way(obstacle: &kernel::Obstacle) -> String {
    match obstacle.reason {
        Reason::OutOfReach if obstacle.trials > 0 => format!(
            "not decided: {} trials found nothing against it, and no proof was found",
            obstacle.trials
        ),
        Reason::OutOfReach => "not decided: no proof was found".to_owned(),
        Reason::NoPointFound => {
            "not decided: no values were found that satisfy everything in force here".to_owned()
        }
        Reason::Contradiction => "no values satisfy what is in force here".to_owned(),
        Reason::SecondOpinionDisagrees => {
            "not decided: two evaluations disagree, which is a fault of this program".to_owned()
        }
        Reason::Stopped => "called off".to_owned(),
    }
}

/// The problem under restrictions that may be meant.
fn under(problem: &Problem, restrictions: Vec<Condition>) -> Problem {
    restrictions
        .into_iter()
        .fold(problem.clone(), |problem, condition| {
            problem.assuming(condition, Origin::Assumption)
        })
}
