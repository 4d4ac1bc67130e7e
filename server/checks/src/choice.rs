//! Choices: thresholds that the writer picks, what they depend on, and whether they serve.

mod aim;
mod charging;
mod dependence;
mod range;
mod reach;
mod telling;

use aim::aim;
pub(crate) use charging::{explains, follows_from};
use dependence::depends_on;
use range::{governed, range_after};
pub(crate) use telling::{tell, tell_unbound};

use crate::catalogue;
use crate::check::Severity;
use crate::engine::{Engine, Judgement};
use crate::judge::{
    Charges, Judged, Told, consequences, granted_by, leads_up, links_of, relation_of,
};
use crate::plausible;
use crate::scope::Setting;
use crate::wording;
use argument::{Binding, Content, Introduction, Role, Zone};
use kernel::{
    Condition, Expr, Function, Goal, Kind, Node, Origin, Problem, Relation, Symbol, Verdict,
    proving, show,
};
use std::collections::BTreeSet;

/// A choice, judged.
#[derive(Clone, Debug)]
pub(crate) struct ChoiceOutcome {
    /// Its entry.
    pub(crate) entry: usize,
    /// The chosen name.
    pub(crate) name: Symbol,
    /// Whether it serves its aim.
    pub(crate) judgement: Judgement,
    /// The inequality that it serves, if it was found.
    aim: Option<Condition>,
    /// Whether that speaks of something else than the argument's error term.
    pub(crate) beside: bool,
    /// The setting in which the aim is asked: the choice's scope, the choice, the range.
    setting: Setting,
    /// Points on which it depends though the aim is uniform.
    depends: Vec<Symbol>,
    /// Taken from a limit that does not hold: the term and why.
    baseless: Option<(Expr, String)>,
    /// A value that is undefined in the choice itself.
    undefined: Option<(Condition, kernel::Counterexample)>,
}

impl ChoiceOutcome {
    /// Whether the choice has a fault of scope or definedness of its own.
    pub(crate) fn is_at_fault(&self) -> bool {
        !self.depends.is_empty() || self.undefined.is_some() || self.baseless.is_some()
    }
}

/// Judges a choice; `None` if it chooses nothing that can be judged.
pub(crate) fn judge(
    engine: &Engine<'_>,
    position: usize,
    binding: &Binding,
    judgements: &[Option<Judgement>],
) -> Option<ChoiceOutcome> {
    let entry = &engine.argument.entries[position];
    let bound = binding
        .bound
        .iter()
        .find(|bound| bound.introduction != Introduction::Arbitrary)
        .or(binding.bound.first())?;
    if binding.conditions.is_empty() {
        return None;
    }
    let name = bound.name.clone();
    let error = engine.argument.error.as_ref();
    // A point that is picked is no threshold; a name bound to any value is one only as "n > …".
    let is_index = error.is_some_and(|error| error.index == name);
    if error.is_some_and(|error| error.points.contains(&name))
        || (bound.introduction == Introduction::Arbitrary && !is_index)
        || crate::scope::is_tolerance_name(&name)
        || picks_nothing(binding, &name)
        || is_index && follows_any(engine, position, binding, &name)
    {
        return None;
    }
    let range = range_after(engine, position, &name);
    let other = bound.introduction == Introduction::Chosen
        && (!is_threshold_name(&name) || is_side_quantity(&name, binding));
    let auxiliary = helps_another(engine, position, &name) || other;
    if range.is_none() && !is_index && auxiliary || other && is_point_name(&name) {
        return None;
    }
    let mut scope = entry.scope.clone();
    scope.retain(|other| *other != position && Some(*other) != range);
    let before = Setting::of(engine.argument, &scope);
    let (scope, setting) = governed(engine, position, bound, range, scope);
    let points = error.map(|error| error.points.clone()).unwrap_or_default();
    let (aim, chain) = match aim(engine, position, &name, &before, &points) {
        Some((aim, chain)) => (Some(aim), chain),
        None => (None, None),
    };
    let mut outcome = ChoiceOutcome {
        entry: position,
        name: name.clone(),
        judgement: Judgement::unsettled("nothing here says what this choice is for", String::new()),
        beside: aim.as_ref().is_some_and(|aim| is_beside(engine, aim)),
        aim: aim.clone(),
        setting: setting.clone(),
        depends: Vec::new(),
        baseless: None,
        undefined: undefined(engine, &before, binding, &name),
    };
    // Only what the index must exceed is a threshold; other chosen quantities (t = x/n, a
    // witness) may depend on anything.
    let by_existence = bound.introduction == Introduction::Existing
        && error.is_some_and(|error| {
            binding
                .conditions
                .iter()
                .any(|condition| condition.variables().contains(&error.index))
        });
    if (range.is_some() || is_index) && !by_existence && is_for_all_points(engine, &setting) {
        outcome.depends = depends_on(engine, &setting, &before, binding, &name, &points);
    }
    if bound.introduction == Introduction::Existing
        && let Some(judgement) = existence(engine, &before, &scope, binding, &mut outcome)
    {
        outcome.judgement = judgement;
        return Some(outcome);
    }
    if let Some(chain) = chain
        && shows(engine, chain, &scope, &setting, judgements)
    {
        // The text's own chain leads from the left side of the aim to its right side, and every
        // link of it is proved under this choice: the aim follows by transitivity.
        let reading = aim.as_ref().map(show::condition).unwrap_or_default();
        outcome.judgement = Judgement::proved(
            "each link of the estimate below it is proved".to_owned(),
            reading,
        );
        return Some(outcome);
    }
    if let Some(aim) = &aim {
        outcome.judgement = serving(engine, &setting, aim, chain.map(|chain| (chain, &*scope)));
    }
    if bound.introduction == Introduction::Chosen
        && !outcome.judgement.is_proved()
        && !outcome.judgement.is_refuted()
        && let Some((range, judgement)) = reach::falls_short(engine, position, &setting)
    {
        outcome.aim = Some(range);
        outcome.judgement = judgement;
    }
    Some(outcome)
}

/// Whether what the argument shows is said of the points at hand: where only a conclusion tells
/// it ("on [c, ∞) it is uniform"), its set must be the one in force.
fn is_for_all_points(engine: &Engine<'_>, setting: &Setting) -> bool {
    let argument = engine.argument;
    let Some(error) = &argument.error else {
        return true;
    };
    argument.aim.is_some()
        || error
            .conditions
            .iter()
            .filter(|condition| {
                let names = condition.variables();
                error.points.iter().any(|point| names.contains(point))
            })
            .all(|condition| {
                setting
                    .hypotheses
                    .iter()
                    .any(|(known, _)| known.condition == *condition)
            })
}

/// Whether a choice gives its aim: under what was before it and the range that it governs, and,
/// before it is called too small, under all that the estimate below it works with.
fn serving(
    engine: &Engine<'_>,
    setting: &Setting,
    aim: &Condition,
    estimate: Option<(usize, &[usize])>,
) -> Judgement {
    let Condition::Holds(left, relation, right) = aim else {
        return Judgement::unsettled("nothing here says what this choice is for", String::new());
    };
    let mut judgement = engine.relation(setting, left, *relation, right, true);
    if judgement.is_refuted() && plausible::is_untied(setting, (left, *relation, right)) {
        return Judgement::unsettled(
            "nothing in it ties it to the tolerance, and one tolerance may be meant",
            judgement.reading,
        );
    }
    if judgement.is_refuted()
        && let Some((chain, scope)) = estimate
    {
        // What the text says of the points after the choice ("let |x| ≤ R") restricts them too.
        let there = at_work(engine, chain, scope);
        let there = engine.relation(&there, left, *relation, right, true);
        judgement = if there.is_refuted() {
            there
        } else {
            Judgement::unsettled(
                "not decided: it fails only for values that the estimate below it leaves out",
                judgement.reading,
            )
        };
    }
    let undefined = judgement
        .counterexample
        .as_ref()
        .is_some_and(kernel::Counterexample::is_undefined);
    if undefined {
        return Judgement::unsettled(
            "the inequality that it is chosen for is undefined for some values",
            judgement.reading,
        );
    }
    judgement
}

/// Whether the conditions only say among which numbers the name is ("let N ∈ ℕ"): any of them may
/// be meant.
fn picks_nothing(binding: &Binding, name: &Symbol) -> bool {
    let own = Expr::variable(name);
    binding.conditions.iter().all(|condition| match condition {
        Condition::Integer(inner) => *inner == own,
        Condition::Holds(left, Relation::GreaterEqual | Relation::Greater, right) => {
            *left == own
                && [0, 1]
                    .iter()
                    .any(|least| right.as_number() == Expr::integer(*least).as_number())
        }
        _ => false,
    })
}

/// Whether an index is picked beyond a number that may be any ("for every N there is n ≥ N",
/// "let N be given and n = N"): a witness, no threshold.
fn follows_any(engine: &Engine<'_>, position: usize, binding: &Binding, index: &Symbol) -> bool {
    let before: BTreeSet<Symbol> = binding
        .conditions
        .iter()
        .flat_map(Condition::variables)
        .filter(|name| name != index)
        .collect();
    let any = |name: &Symbol| {
        engine.argument.entries[position]
            .scope
            .iter()
            .rev()
            .find_map(|other| match &engine.argument.entries[*other].content {
                Content::Binding(earlier) => earlier
                    .bound
                    .iter()
                    .find(|bound| bound.name == *name)
                    .map(|bound| {
                        bound.introduction == Introduction::Arbitrary
                            || picks_nothing(earlier, name)
                    }),
                _ => None,
            })
            .unwrap_or(false)
    };
    !before.is_empty() && before.iter().all(any)
}

/// Whether thresholds usually have such names: capitals, indices with a mark, δ (common practice).
/// "Put t = x/n" names something else.
fn is_threshold_name(name: &Symbol) -> bool {
    let mut letters = name.as_str().chars();
    let first = letters.next();
    let marked = letters.next().is_some();
    first.is_some_and(|first| {
        first.is_uppercase()
            || matches!(first, 'δ' | 'η')
            || matches!(first, 'n' | 'm' | 'k' | 'j' | 'p' | 'r')
            || marked && first.is_lowercase() && !matches!(first, 'x' | 'y' | 'z' | 't' | 'u')
    })
}

/// "(choose R ≥ |x|)": a capital that no tolerance has to do with.
fn is_side_quantity(name: &Symbol, binding: &Binding) -> bool {
    let from_tolerance = binding.conditions.iter().any(|condition| {
        condition
            .variables()
            .iter()
            .any(crate::scope::is_tolerance_name)
    });
    !telling::is_threshold_name(name) && !from_tolerance
}

/// Whether points usually have such names (common practice).
fn is_point_name(name: &Symbol) -> bool {
    matches!(
        name.as_str().chars().next(),
        Some('x' | 'y' | 'z' | 't' | 'u' | 'v' | 'w')
    )
}

/// Whether the chosen name serves to choose another one below it, which the index exceeds: "take k
/// with 1/k < x, then N ≥ k/ε".
fn helps_another(engine: &Engine<'_>, position: usize, name: &Symbol) -> bool {
    let entries = engine.argument.entries.iter().enumerate();
    entries.skip(position + 1).any(|(other, entry)| {
        let (Some(Role::Choice), Content::Binding(binding)) = (entry.role, &entry.content) else {
            return false;
        };
        entry.scope.contains(&position)
            && binding
                .conditions
                .iter()
                .any(|condition| condition.variables().contains(name))
            && binding
                .bound
                .iter()
                .any(|bound| range_after(engine, other, &bound.name).is_some())
    })
}

/// Whether an inequality starts from something else than the argument's error term.
fn is_beside(engine: &Engine<'_>, aim: &Condition) -> bool {
    engine.argument.error.is_some()
        && matches!(aim, Condition::Holds(left, _, _)
            if !crate::relation::is_error(engine, left))
}

/// The setting of a choice together with all that is in force at the end of a chain, cases aside.
fn at_work(engine: &Engine<'_>, chain: usize, scope: &[usize]) -> Setting {
    let mut all = scope.to_vec();
    if let Some((_, last)) = links_of(engine.argument, chain).last() {
        let lasting = |position: &&usize| !engine.argument.entries[**position].case;
        all.extend(last.scope.iter().filter(lasting));
    }
    all.sort_unstable();
    all.dedup();
    Setting::of(engine.argument, &all)
}

/// Whether every link of a chain is proved, none points the other way, and none leans on more
/// than the choice and its range: a link under a case ("if x ≤ 1") shows only the case.
fn shows(
    engine: &Engine<'_>,
    chain: usize,
    scope: &[usize],
    setting: &Setting,
    judgements: &[Option<Judgement>],
) -> bool {
    let adds_nothing = |position: &usize| {
        scope.contains(position)
            || match &engine.argument.entries[*position].content {
                Content::Binding(binding) => binding.conditions.iter().all(|condition| {
                    setting
                        .hypotheses
                        .iter()
                        .any(|(hypothesis, _)| hypothesis.condition == *condition)
                }),
                _ => false,
            }
    };
    links_of(engine.argument, chain).all(|(position, entry)| {
        crate::judge::is_proved(judgements, position)
            && entry.scope.iter().all(adds_nothing)
            && relation_of(entry).is_some_and(|(_, relation, _)| leads_up(relation))
    })
}

/// Where an expression of the choice itself is undefined.
fn undefined(
    engine: &Engine<'_>,
    before: &Setting,
    binding: &Binding,
    name: &Symbol,
) -> Option<(Condition, kernel::Counterexample)> {
    for condition in &binding.conditions {
        let Condition::Holds(left, _, right) = condition else {
            continue;
        };
        for side in [left, right] {
            let names = side.variables();
            if names.contains(name)
                || names.is_empty()
                || names.iter().any(|name| !before.knows(name))
            {
                continue;
            }
            let closure = before.closure(&names);
            if before.protection(&closure).is_some() {
                continue;
            }
            let problem = before.problem(&closure, Goal::Defined(side.clone()));
            if let Verdict::Refuted(counterexample) = engine.ask(&problem)
                && engine.fails_elsewhere(before, &problem)
            {
                return Some((condition.clone(), counterexample));
            }
        }
    }
    None
}

/// What is left of a bound where its tolerances are 0.
fn right_at_zero(tolerance: &Expr) -> Expr {
    tolerance
        .variables()
        .iter()
        .fold(tolerance.clone(), |bound, name| {
            bound.substitute(name, &Expr::integer(0))
        })
}

/// "There is N with a_n < ε for n > N": the limit is the claim.
fn existence(
    engine: &Engine<'_>,
    before: &Setting,
    scope: &[usize],
    binding: &Binding,
    outcome: &mut ChoiceOutcome,
) -> Option<Judgement> {
    let error = engine.argument.error.as_ref()?;
    let (term, tolerance) = binding.conditions.iter().find_map(|condition| {
        let Condition::Holds(left, Relation::Less | Relation::LessEqual, right) = condition else {
            return None;
        };
        (left.mentions(&error.index)
            && right
                .variables()
                .iter()
                .all(crate::scope::is_tolerance_name)
            && !right.variables().is_empty())
        .then(|| (left.clone(), right.clone()))
    })?;
    // Points that the text fixed before it chose are fixed; all others are meant all at once.
    let inner: BTreeSet<&Symbol> = binding
        .bound
        .iter()
        .flat_map(|bound| &bound.inner)
        .collect();
    let mut fixed: BTreeSet<Symbol> = scope
        .iter()
        .filter(|position| **position < outcome.entry)
        .filter_map(
            |position| match &engine.argument.entries[*position].content {
                Content::Binding(binding) => {
                    Some(binding.bound.iter().map(|bound| bound.name.clone()))
                }
                _ => None,
            },
        )
        .flatten()
        .collect();
    fixed.retain(|name| !inner.contains(name));
    let together: Vec<Symbol> = error
        .points
        .iter()
        .filter(|point| term.mentions(point) && !fixed.contains(*point))
        .cloned()
        .collect();
    if error.uniform {
        outcome.depends.extend(
            error
                .points
                .iter()
                .filter(|point| term.mentions(point) && fixed.contains(*point))
                .cloned(),
        );
        outcome.depends.sort();
        outcome.depends.dedup();
    }
    if !estimate_holds(engine, outcome, binding, (&term, &tolerance)) {
        return Some(Judgement::unsettled(
            "a step of the estimate in it was not proved",
            show::plain(&term),
        ));
    }
    // "|a_n| < 3/4 + ε": what becomes small is what is left beside 3/4.
    let rest = right_at_zero(&tolerance);
    let small = engine.proves(&before.holds(&rest, Relation::Equal, &Expr::integer(0)));
    let vanishing = if small {
        term.clone()
    } else {
        term.minus(&rest)
    };
    let problem = before.vanishing(&vanishing, &error.index, &together);
    // "a_n < 2 − ε": what tends to 2 does not come below it.
    let leaves_room = engine.proves(&before.holds(&tolerance, Relation::Greater, &rest));
    let reading = format!(
        "there is {} with {} < {} for all larger {}",
        outcome.name,
        show::plain(&term),
        show::plain(&tolerance),
        error.index
    );
    if leaves_room && engine.proves(&problem) {
        return Some(Judgement::proved(
            format!("{} tends to 0", show::plain(&vanishing)),
            reading,
        ));
    }
    if small
        && before.protection(&term.variables()).is_none()
        && let Some(separation) = proving::stays_away(&problem, &mut engine.fuel())
    {
        let why = wording::no_cure(&separation);
        outcome.baseless = Some((term, why.clone()));
        return Some(Judgement::refuted_in_words(why, reading));
    }
    Some(Judgement::unsettled(
        "whether this becomes small was not decided",
        reading,
    ))
}

/// Whether the estimate that leads to the promised "term < tolerance" is proved: in "we have
/// |f_n| ≤ 1/n < ε" its steps are asserted too.
fn estimate_holds(
    engine: &Engine<'_>,
    outcome: &ChoiceOutcome,
    binding: &Binding,
    (term, tolerance): (&Expr, &Expr),
) -> bool {
    let setting = outcome.setting.without(outcome.entry);
    !term_is_derived(binding, term)
        || binding.conditions.iter().all(|condition| match condition {
            Condition::Holds(left, relation, right) => {
                condition.variables().contains(&outcome.name)
                    || (left, right) == (term, tolerance)
                    || engine.proves(&setting.holds(left, *relation, right))
            }
            _ => true,
        })
}

/// Whether the term that becomes small is the end of an estimate: another condition has it on its
/// right.
fn term_is_derived(binding: &Binding, term: &Expr) -> bool {
    binding
        .conditions
        .iter()
        .any(|condition| matches!(condition, Condition::Holds(_, _, right) if right == term))
}

/// The `TendsToZero` problem of the argument's error term, uniform in its points.
pub(crate) fn uniform_problem(engine: &Engine<'_>) -> Option<Problem> {
    let error = engine.argument.error.as_ref()?;
    let setting = Setting::of(engine.argument, &[]);
    Some(crate::conclusion::convergence_problem(
        &setting,
        error,
        &error.points,
    ))
}

/// Whether N > bound gives the aim.
fn serves(engine: &Engine<'_>, outcome: &ChoiceOutcome, bound: &Expr) -> bool {
    let Some(Condition::Holds(left, relation, right)) = outcome.aim.clone() else {
        return false;
    };
    let choice = Condition::Holds(
        Expr::variable(&outcome.name),
        Relation::Greater,
        bound.clone(),
    );
    let setting = outcome
        .setting
        .without(outcome.entry)
        .and(choice, Origin::Choice);
    engine.proves(&setting.holds(&left, relation, &right))
}
