//! Hypotheses in force: from a claim's scope to the variables and hypotheses of a problem.

mod instances;
mod promise;

use argument::{Argument, Assertion, Binding, Content, Entry, Introduction, Role};
use kernel::{
    Condition, Expr, Goal, Hypothesis, Kind, Origin, Problem, Relation, Symbol, Variable,
};
use promise::{guarded, lower_bound, promised_for, within};
use std::collections::{BTreeMap, BTreeSet};

/// How the reason begins why nothing is called false of a name that was never introduced.
pub(crate) const UNSAID: &str = "nothing says what ";

/// What governs a claim, before it is cut down to what the goal depends on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Setting {
    /// Names with their kind, in the order in which the draft binds them.
    variables: Vec<Variable>,
    /// Hypotheses with the entry that they come from (`None`: exercise text or convention).
    pub(crate) hypotheses: Vec<(Hypothesis, Option<usize>)>,
    /// What was not understood: the names that it protects (empty: all), and why.
    protections: Vec<(Vec<Symbol>, String)>,
    /// The same of names that the exercise gives, until the text binds them anew.
    /// With it, whether a domain was written that was not understood: then only a domain of its
    /// own lifts it.
    given_protections: BTreeMap<Symbol, (bool, String)>,
    /// Names that the scope binds to chosen or existing objects, with the entry.
    pub(crate) chosen: BTreeMap<Symbol, usize>,
    /// Assumptions that their own sentence makes for all values of names ("|b_n| ≤ M for all n"),
    /// with what it says of those names.
    promises: Vec<(usize, BTreeMap<Symbol, Vec<Condition>>)>,
    /// What the exercise says of its names.
    given: Vec<Condition>,
    /// Promises for n ≥ N₁ that are not known to hold the n at hand: the ranges, the promise.
    pub(crate) unreached: Vec<(Vec<Condition>, Condition)>,
}

impl Setting {
    /// The setting of a scope.
    pub(crate) fn of(argument: &Argument, scope: &[usize]) -> Self {
        let mut setting = Self::default();
        for given in &argument.givens {
            setting.introduce(&given.name, given.kind);
            for condition in &given.conditions {
                setting.assume(condition, Origin::Domain, None);
                setting.given.push(condition.clone());
            }
            if let Some(reason) = &given.unread {
                setting
                    .given_protections
                    .insert(given.name.clone(), (given.span.is_some(), reason.clone()));
            }
        }
        for &position in scope {
            if let Some(entry) = argument.entries.get(position) {
                setting.enter(argument, entry, position);
            }
        }
        let mut entries = scope.iter().filter_map(|at| argument.entries.get(*at));
        if entries.any(|entry| setting.lost_supposition(entry)) {
            let reason = "a supposition of which the values at hand are not put in";
            setting.protections.push((Vec::new(), reason.to_owned()));
        }
        setting
    }

    /// Whether a supposition that shall be led to a contradiction is no longer in force as it was
    /// said, as its names were taken anew: "suppose |f(x) − f(y)| ≤ L|x − y| for all x and y. With
    /// x = t …". What follows from its instances is not derived here.
    fn lost_supposition(&self, entry: &Entry) -> bool {
        let Content::Binding(binding) = &entry.content else {
            return false;
        };
        entry.role == Some(Role::Rejected)
            && binding.conditions.iter().any(|condition| {
                !self
                    .hypotheses
                    .iter()
                    .any(|(known, _)| known.condition == *condition)
            })
    }

    fn enter(&mut self, argument: &Argument, entry: &Entry, position: usize) {
        if matches!(entry.role, Some(Role::Assumption | Role::Rejected)) {
            self.promises
                .push((position, promised_for(argument, entry)));
        }
        match &entry.content {
            Content::Binding(binding) => self.bind(argument, entry, binding, position),
            Content::Assertion(assertion)
                if matches!(
                    entry.role,
                    Some(Role::Assumption | Role::Condition | Role::Range | Role::Let)
                ) =>
            {
                match assertion {
                    Assertion::Relation {
                        left,
                        relation,
                        right,
                    } => self.assume(
                        &Condition::Holds(left.clone(), *relation, right.clone()),
                        Origin::Assumption,
                        Some(position),
                    ),
                    Assertion::All(conditions) => {
                        for condition in conditions {
                            self.assume(condition, Origin::Assumption, Some(position));
                        }
                    }
                    _ => self.protections.push((
                        Vec::new(),
                        "an assumption in force cannot be used here".to_owned(),
                    )),
                }
            }
            // Under a supposition that shall be led to a contradiction anything may follow.
            Content::Unread { reason, .. } if entry.role == Some(Role::Rejected) => {
                self.protections.push((Vec::new(), reason.clone()));
            }
            Content::Assertion(Assertion::Convergence { .. })
                if entry.role == Some(Role::Rejected) =>
            {
                self.protections.push((
                    Vec::new(),
                    "a convergence that shall be led to a contradiction".to_owned(),
                ));
            }
            Content::Unread { reason, names } => {
                self.protections.push((names.clone(), reason.clone()));
            }
            _ => {}
        }
    }

    fn bind(&mut self, argument: &Argument, entry: &Entry, binding: &Binding, position: usize) {
        // "On [a, ∞) with a > 0": what the sentence says with a name before it says what the
        // name is speaks of the same bearer.
        let said_ahead = |from: usize, name: &Symbol| {
            argument.entries.get(from).is_some_and(|other| {
                other.sentence == entry.sentence
                    && match &other.content {
                        Content::Binding(before) => {
                            // "Let a ≠ 0 and a ≠ 3": both are said of the same a.
                            let both_let =
                                entry.role == Some(Role::Let) && other.role == Some(Role::Let);
                            both_let || before.bound.iter().all(|bound| bound.name != *name)
                        }
                        _ => false,
                    }
            })
        };
        let origin = match entry.role {
            Some(Role::Choice) => Origin::Choice,
            Some(Role::Range | Role::Condition) => Origin::Range,
            Some(Role::Assumption) => Origin::Assumption,
            _ => Origin::Domain,
        };
        for bound in &binding.bound {
            let restates = binding
                .conditions
                .iter()
                .any(|condition| condition.variables().contains(&bound.name));
            // A name that is bound anew loses what was said of its older bearer. A binding that
            // says nothing ("fix x") keeps the domain that the exercise gives, and a choice that
            // was made from a point stays tied to it when the text says "for all x" after it; so
            // does what an existing threshold promises ("a_n < ε for all n > N") for a new n.
            // "[a, ∞) with a > 0", said of the a of the exercise again: the same a.
            let repeats = restates
                && bound.introduction == Introduction::Arbitrary
                && binding.conditions.iter().all(|condition| {
                    !condition.variables().contains(&bound.name)
                        || self
                            .hypotheses
                            .iter()
                            .any(|(known, from)| from.is_none() && known.condition == *condition)
                });
            let promised: BTreeSet<usize> = self
                .promises
                .iter()
                .map(|(entry, _)| *entry)
                .filter(|entry| self.promised(*entry, &bound.name, binding))
                .collect();
            // "For all integers m ≥ 0": where the index begins is said, and no longer 1.
            let begins = bound.kind == Kind::Integer && begins_elsewhere(binding, &bound.name);
            let kept = |hypothesis: &Hypothesis, from: Option<usize>| {
                let names = hypothesis.condition.variables();
                let usual = begins && hypothesis.condition == at_least_one(&bound.name);
                !names.contains(&bound.name)
                    || (from.is_none() && !usual && (repeats || !restates || names.len() == 1))
                    || from.is_some_and(|from| said_ahead(from, &bound.name))
                    || from.is_some_and(|from| promised.contains(&from))
            };
            self.renew(argument, binding, bound, &kept);
            let given = self.given_protections.get(&bound.name);
            if given.is_some_and(|(written, _)| restates || !written) {
                self.given_protections.remove(&bound.name);
            }
            self.variables
                .retain(|variable| variable.name != bound.name);
            self.introduce(&bound.name, bound.kind);
            if bound.introduction == Introduction::Arbitrary {
                self.chosen.remove(&bound.name);
            } else {
                self.chosen.insert(bound.name.clone(), position);
                if bound.kind == Kind::Integer {
                    // Thresholds that are integers are positive ones (common practice).
                    self.assume(&at_least_one(&bound.name), Origin::Domain, Some(position));
                }
            }
        }
        for condition in &binding.conditions {
            if !is_step_of_promise(binding, condition) {
                self.assume(condition, origin, Some(position));
            }
        }
        self.instantiate(argument, binding, position);
    }

    /// "ε = 0.1 gives δ = 0.02": a number that the older bearer of the name could be, for what was
    /// set equal to something of it.
    fn is_instance(&self, binding: &Binding, name: &Symbol, set_equal: &Condition) -> bool {
        matches!(set_equal, Condition::Holds(_, Relation::Equal, _))
            && !self.chosen.contains_key(name)
            && gives_number(binding, name)
    }

    /// Only what is known of chosen integers and of an index beyond them.
    pub(crate) fn among_thresholds(&self) -> Self {
        let mut setting = self.clone();
        setting.protections.clear();
        setting.hypotheses.retain(|(hypothesis, _)| {
            let condition = &hypothesis.condition;
            let simple = matches!(condition, Condition::Holds(left, _, right)
                if left.unknown_functions().is_empty() && right.unknown_functions().is_empty());
            simple
                && condition
                    .variables()
                    .iter()
                    .all(|name| self.kind(name) == Kind::Integer)
        });
        setting
    }

    /// The same setting as if every promise held the index at hand.
    pub(crate) fn as_if_reached(&self) -> Self {
        let mut setting = self.clone();
        for (ranges, promise) in &self.unreached {
            let weak = guarded(ranges, promise);
            for (hypothesis, _) in &mut setting.hypotheses {
                if hypothesis.condition == weak {
                    hypothesis.condition = promise.clone();
                }
            }
        }
        setting
    }

    /// Whether an assumption was made for all values that the name may take now.
    fn promised(&self, from: usize, name: &Symbol, binding: &Binding) -> bool {
        let Some(said) = self
            .promises
            .iter()
            .find(|(entry, _)| *entry == from)
            .and_then(|(_, names)| names.get(name))
        else {
            return false;
        };
        let whole = binding
            .bound
            .iter()
            .any(|bound| bound.name == *name && bound.kind == Kind::Integer);
        let positive = at_least_one(name);
        said.iter().all(|condition| {
            binding.conditions.iter().any(|own| {
                own == condition || strengthens(own, condition) || within(own, condition)
            }) || self.given.contains(condition)
                || whole
                    && (*condition == positive
                        || *condition == Condition::Integer(Expr::variable(name)))
        })
    }

    fn introduce(&mut self, name: &Symbol, kind: Kind) {
        self.variables.push(Variable {
            name: name.clone(),
            kind,
        });
    }

    fn assume(&mut self, condition: &Condition, origin: Origin, from: Option<usize>) {
        // "We restrict to |x − 3| < 1": then it is known of which x the text speaks.
        if from.is_some() && origin == Origin::Assumption {
            let names = condition.variables();
            self.given_protections
                .retain(|name, (written, _)| *written || !names.iter().eq([name]));
        }
        let hypothesis = Hypothesis {
            condition: condition.clone(),
            origin,
        };
        if !self
            .hypotheses
            .iter()
            .any(|(known, _)| *known == hypothesis)
        {
            self.hypotheses.push((hypothesis, from));
        }
    }

    /// Whether the name is bound or given.
    pub(crate) fn knows(&self, name: &Symbol) -> bool {
        self.variables.iter().any(|variable| variable.name == *name)
    }

    /// The names that a goal over `names` depends on through hypotheses.
    pub(crate) fn closure(&self, names: &BTreeSet<Symbol>) -> BTreeSet<Symbol> {
        let mut all = names.clone();
        loop {
            let before = all.len();
            for (hypothesis, _) in &self.hypotheses {
                let inside = hypothesis.condition.variables();
                if inside.iter().any(|name| all.contains(name)) {
                    all.extend(inside);
                }
            }
            if all.len() == before {
                return all;
            }
        }
    }

    /// The problem with exactly the hypotheses over `names`.
    /// All that is in force, without a claim.
    pub(crate) fn whole(&self) -> Problem {
        let mut names: BTreeSet<Symbol> = BTreeSet::new();
        for (hypothesis, _) in &self.hypotheses {
            names.extend(hypothesis.condition.variables());
        }
        self.problem(&names, Goal::Defined(Expr::integer(0)))
    }

    pub(crate) fn problem(&self, names: &BTreeSet<Symbol>, goal: Goal) -> Problem {
        let mut variables: Vec<Variable> = self
            .variables
            .iter()
            .filter(|variable| names.contains(&variable.name))
            .cloned()
            .collect();
        for name in names {
            if !self.knows(name) {
                variables.push(Variable {
                    name: name.clone(),
                    kind: usual_kind(name),
                });
            }
        }
        let about: Vec<&Hypothesis> = self
            .hypotheses
            .iter()
            .map(|(hypothesis, _)| hypothesis)
            .filter(|hypothesis| hypothesis.condition.variables().is_subset(names))
            .collect();
        // What is said twice, or more weakly a second time, stands once.
        let hypotheses = about
            .iter()
            .enumerate()
            .filter(|(position, hypothesis)| {
                !about.iter().enumerate().any(|(other, stronger)| {
                    let same = stronger.condition == hypothesis.condition;
                    same && other < *position
                        || !same && strengthens(&stronger.condition, &hypothesis.condition)
                })
            })
            .map(|(_, hypothesis)| (*hypothesis).clone())
            .collect();
        Problem {
            variables,
            hypotheses,
            goal,
        }
    }

    /// The question left R right under every hypothesis that its names depend on.
    pub(crate) fn holds(&self, left: &Expr, relation: Relation, right: &Expr) -> Problem {
        let mut names = left.variables();
        names.extend(right.variables());
        self.problem(
            &self.closure(&names),
            Goal::Holds(left.clone(), relation, right.clone()),
        )
    }

    /// The question whether a term tends to 0, uniformly in `points`, under every hypothesis on
    /// its points and parameters; of the index only what is said of it alone stays, for a limit
    /// is about all large indices.
    pub(crate) fn vanishing(&self, term: &Expr, index: &Symbol, points: &[Symbol]) -> Problem {
        let mut about = self.clone().naming(index, Kind::Integer);
        about.hypotheses.retain(|(hypothesis, _)| {
            let names = hypothesis.condition.variables();
            !names.contains(index) || names.len() == 1
        });
        let mut names = term.variables();
        names.insert(index.clone());
        names.extend(points.iter().cloned());
        about.problem(
            &about.closure(&names),
            Goal::TendsToZero {
                term: term.clone(),
                index: index.clone(),
                points: points.to_vec(),
            },
        )
    }

    /// What forbids to call a claim about `names` false: something in force that was not
    /// understood, or a name of which nothing is known.
    pub(crate) fn protection(&self, names: &BTreeSet<Symbol>) -> Option<String> {
        self.protection_among(names, names)
    }

    /// The same where what was not understood may speak of more than variables: of functions.
    pub(crate) fn protection_among(
        &self,
        names: &BTreeSet<Symbol>,
        spoken_of: &BTreeSet<Symbol>,
    ) -> Option<String> {
        if let Some((_, reason)) = self.protections.iter().find(|(about, _)| {
            about.is_empty() || about.iter().any(|name| spoken_of.contains(name))
        }) {
            return Some(format!("not understood, and in force here: {reason}"));
        }
        let given = self
            .given_protections
            .iter()
            .find(|(name, _)| names.contains(*name));
        if let Some((_, (_, reason))) = given {
            return Some(reason.clone());
        }
        let apart = self.hypotheses.iter().find_map(|(hypothesis, _)| {
            let (element, set) = hypothesis.condition.as_membership()?;
            let about = element.variables().iter().any(|name| names.contains(name));
            about.then(|| format!("nothing is known of the set {set}"))
        });
        if apart.is_some() {
            return apart;
        }
        names
            .iter()
            .find(|name| !self.knows(name))
            .map(|name| format!("{UNSAID}{name} is"))
    }

    /// Whether what was in force for `names` in an earlier setting still is: a name that was bound
    /// anew since bears nothing of what was shown of its older bearer.
    pub(crate) fn keeps(&self, earlier: &Self, names: &BTreeSet<Symbol>) -> bool {
        let names = earlier.closure(names);
        let same_kind = names
            .iter()
            .all(|name| self.kind(name) == earlier.kind(name));
        same_kind
            && earlier
                .hypotheses
                .iter()
                .filter(|(hypothesis, _)| !hypothesis.condition.variables().is_disjoint(&names))
                .all(|(hypothesis, _)| {
                    self.hypotheses
                        .iter()
                        .any(|(known, _)| known.condition == hypothesis.condition)
                })
    }

    /// The same setting without the hypotheses of one entry.
    pub(crate) fn without(&self, entry: usize) -> Self {
        let mut setting = self.clone();
        setting.hypotheses.retain(|(_, from)| *from != Some(entry));
        setting
    }

    /// Which numbers a name runs through.
    pub(crate) fn kind(&self, name: &Symbol) -> Kind {
        self.variables
            .iter()
            .find(|variable| variable.name == *name)
            .map_or_else(|| usual_kind(name), |variable| variable.kind)
    }

    /// Whether more is said of an index than how large it is: that it is even, say.
    pub(crate) fn keeps_to_a_subsequence(&self, index: &Symbol) -> bool {
        self.hypotheses.iter().any(|(hypothesis, _)| {
            let condition = &hypothesis.condition;
            let whole =
                matches!(condition, Condition::Integer(what) if what.as_variable() == Some(index));
            !(whole || matches!(condition, Condition::Holds(..)))
                && condition.variables().contains(index)
        })
    }

    /// Whether what is said of an index leaves all whole numbers from some on.
    pub(crate) fn runs_on(&self, index: &Symbol) -> bool {
        self.hypotheses.iter().all(|(hypothesis, _)| {
            let condition = &hypothesis.condition;
            let below = match condition {
                Condition::Holds(left, Relation::Greater | Relation::GreaterEqual, _) => {
                    left.as_variable() == Some(index)
                }
                Condition::Holds(_, Relation::Less | Relation::LessEqual, right) => {
                    right.as_variable() == Some(index)
                }
                Condition::Integer(value) => value.as_variable() == Some(index),
                _ => false,
            };
            below || !condition.variables().contains(index)
        })
    }

    /// What is said of a variable that moves toward a place, apart from what stays: its domain,
    /// the setting without it, and whether anything else was said that ties it to other names.
    pub(crate) fn parted(&self, variable: &Symbol) -> (Vec<Condition>, Self, bool) {
        let (mut domain, mut tied) = (Vec::new(), false);
        let mut rest = self.clone();
        rest.hypotheses.retain(|(hypothesis, _)| {
            let names = hypothesis.condition.variables();
            if !names.contains(variable) {
                return true;
            }
            if names.len() == 1 || hypothesis.origin == Origin::Domain {
                domain.push(hypothesis.condition.clone());
            } else {
                tied = true;
            }
            false
        });
        (domain, rest, tied)
    }

    /// Adds a hypothesis.
    pub(crate) fn and(mut self, condition: Condition, origin: Origin) -> Self {
        self.assume(&condition, origin, None);
        self
    }

    /// Adds a name, if it is not known.
    pub(crate) fn naming(mut self, name: &Symbol, kind: Kind) -> Self {
        if !self.knows(name) {
            self.introduce(name, kind);
        }
        self
    }

    /// The tolerances: names of which it is said that they are positive reals, no points.
    pub(crate) fn tolerances(&self, points: &[Symbol]) -> Vec<Symbol> {
        let mut found: Vec<Symbol> = self
            .variables
            .iter()
            .filter(|variable| variable.kind == Kind::Real && !points.contains(&variable.name))
            .filter(|variable| is_tolerance_name(&variable.name))
            .map(|variable| variable.name.clone())
            .collect();
        // The one introduced last is the one at hand.
        found.reverse();
        found.sort_by_key(|name| !name.as_str().starts_with('ε'));
        found
    }
}

/// Whether `stronger` is the strict form of `weaker`, or says it of the same sides turned round.
fn strengthens(stronger: &Condition, weaker: &Condition) -> bool {
    match (lower_bound(stronger), lower_bound(weaker)) {
        (Some((a, true, b)), Some((c, false, d))) => a == c && b == d,
        _ => false,
    }
}

/// Whether a condition of what exists is a step of the estimate in it ("there is N such that
/// f_n ≤ 1/n < ε"): asserted like any step, and not what the existing N promises.
fn is_step_of_promise(binding: &Binding, condition: &Condition) -> bool {
    let tolerant = |condition: &Condition| condition.variables().iter().any(is_tolerance_name);
    let exists = binding
        .bound
        .iter()
        .any(|bound| bound.introduction == Introduction::Existing);
    let names = condition.variables();
    exists
        && binding.conditions.iter().any(tolerant)
        && !tolerant(condition)
        && !binding
            .bound
            .iter()
            .any(|bound| names.contains(&bound.name))
}

/// Whether a name is used for tolerances (ε, e.g. with a mark; η).
pub(crate) fn is_tolerance_name(name: &Symbol) -> bool {
    matches!(name.as_str().chars().next(), Some('ε' | 'η' | 'e'))
}

/// What an unbound name usually runs through (common practice).
fn usual_kind(name: &Symbol) -> Kind {
    match name.as_str().chars().next() {
        Some('n' | 'm' | 'k' | 'N' | 'K' | 'j') => Kind::Integer,
        _ => Kind::Real,
    }
}

/// The problem in words: "for all integers n ≥ 1 and all real x with 0 ≤ x".
pub(crate) fn quantified(problem: &Problem) -> String {
    let mut kinds: Vec<String> = Vec::new();
    for (kind, word) in [(Kind::Integer, "integers"), (Kind::Real, "real")] {
        let names: Vec<&str> = problem
            .variables
            .iter()
            .filter(|variable| variable.kind == kind)
            .map(|variable| variable.name.as_str())
            .collect();
        if !names.is_empty() {
            kinds.push(format!("all {word} {}", names.join(", ")));
        }
    }
    let conditions: Vec<String> = problem
        .hypotheses
        .iter()
        .map(|hypothesis| kernel::show::condition(&hypothesis.condition))
        .collect();
    if kinds.is_empty() {
        return String::new();
    }
    let with = if conditions.is_empty() {
        String::new()
    } else {
        format!(" with {}", conditions.join(", "))
    };
    format!("for {}{with}: ", kinds.join(" and "))
}

/// n ≥ 1, what every index is of which nothing else is said (common practice).
pub(crate) fn at_least_one(name: &Symbol) -> Condition {
    Condition::Holds(
        Expr::variable(name),
        Relation::GreaterEqual,
        Expr::integer(1),
    )
}

/// Whether a binding says that an integer begins at another number than 1, or nowhere.
fn begins_elsewhere(binding: &Binding, name: &Symbol) -> bool {
    let own = Expr::variable(name);
    let one = at_least_one(name);
    let lower =
        |condition: &Condition| lower_bound(condition).is_some_and(|(larger, _, _)| *larger == own);
    let numeric = |condition: &Condition| match condition {
        Condition::Holds(left, _, right) => {
            left.as_number().is_some() || right.as_number().is_some()
        }
        _ => false,
    };
    let about = || {
        binding
            .conditions
            .iter()
            .filter(|condition| condition.variables().contains(name))
    };
    let integers = about().any(|condition| *condition == Condition::Integer(own.clone()));
    let bounded = about().any(lower);
    about().any(|condition| lower(condition) && numeric(condition) && *condition != one)
        && !about().any(|condition| *condition == one)
        || integers && !bounded
}

/// Whether a binding says of a name only which number it is.
fn gives_number(binding: &Binding, name: &Symbol) -> bool {
    !binding.conditions.is_empty()
        && binding.conditions.iter().all(|condition| {
            matches!(condition, Condition::Holds(left, Relation::Equal, right)
                if left.as_variable() == Some(name) && right.as_number().is_some())
        })
}
