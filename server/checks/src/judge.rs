//! One argument, judged: every claim's verdict, then the findings at their roots.

use crate::analysis::{Settings, VerdictWord};
use crate::approach::Question;
use crate::check::{Check, Severity};
use crate::choice::{self, ChoiceOutcome};
use crate::conclusion;
use crate::engine::{Engine, FALSE_ELSEWHERE, Judgement, elsewhere, shown};
use crate::finding::{Related, Replacement, Shown};
use crate::scope::Setting;
use crate::sign;
use crate::{
    backwards, calculus, catalogue, cauchy, delta, established, exchange, existence, negation,
    order, picked, plausible, recursion, relation, series, theorem, witness, wording,
};
use argument::{Argument, Assertion, Content, Entry, Perhaps, Role, Zone};
use kernel::{Condition, Expr, Node, Origin, Relation, Symbol};
use source::Span;
use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;

/// What judging one argument gives; entries by position.
#[derive(Debug, Default)]
pub(crate) struct Judged {
    /// For every entry its judgement, `None` if it is no claim.
    pub(crate) judgements: Vec<Option<Judgement>>,
    /// The findings, not yet in order.
    pub(crate) findings: Vec<Told>,
    /// Whether the text reached its aim.
    pub(crate) established: Option<bool>,
}

/// A finding before it is numbered.
#[derive(Clone, Debug)]
pub(crate) struct Told {
    pub(crate) check: &'static Check,
    pub(crate) severity: Severity,
    pub(crate) span: Span,
    pub(crate) message: String,
    pub(crate) counterexample: Option<Shown>,
    pub(crate) related: Vec<Related>,
    pub(crate) replacement: Option<Replacement>,
    pub(crate) entry: Option<usize>,
}

impl Told {
    pub(crate) fn new(check: &'static Check, span: Span, message: String) -> Self {
        Self {
            check,
            severity: check.severity,
            span,
            message,
            counterexample: None,
            related: Vec::new(),
            replacement: None,
            entry: None,
        }
    }

    pub(crate) fn at(mut self, entry: usize) -> Self {
        self.entry = Some(entry);
        self
    }

    pub(crate) fn showing(mut self, counterexample: Option<&kernel::Counterexample>) -> Self {
        self.counterexample = counterexample.map(shown);
        self
    }
}

/// A relation between expressions that an entry asserts.
pub(crate) fn relation_of(entry: &Entry) -> Option<(&Expr, Relation, &Expr)> {
    match &entry.content {
        Content::Assertion(Assertion::Relation {
            left,
            relation,
            right,
        }) => Some((left, *relation, right)),
        _ => None,
    }
}

/// The links of a chain with their positions, in order.
pub(crate) fn links_of(argument: &Argument, chain: usize) -> impl Iterator<Item = (usize, &Entry)> {
    argument
        .entries
        .iter()
        .enumerate()
        .filter(move |(_, entry)| entry.chain.is_some_and(|(number, _)| number == chain))
}

/// Whether a link says that its right side is no smaller than its left side.
pub(crate) fn leads_up(relation: Relation) -> bool {
    matches!(
        relation,
        Relation::Less | Relation::LessEqual | Relation::Equal
    )
}

/// Judges an argument.
pub(crate) fn judge(
    draft: &str,
    argument: &Argument,
    settings: &Settings,
    stop: &AtomicBool,
) -> Judged {
    let engine = Engine::new(argument, settings, stop);
    let mut judged = Judged {
        judgements: vec![None; argument.entries.len()],
        ..Judged::default()
    };
    // Names that may have got another meaning on the way.
    let mut renamed: BTreeSet<Symbol> = BTreeSet::new();
    for (position, entry) in argument.entries.iter().enumerate() {
        if engine.is_stopped() {
            return judged;
        }
        renamed.extend(another_start(&engine, entry));
        if is_judged(entry) {
            judged.judgements[position] = assertion(&engine, draft, position, &judged.judgements)
                .map(|judgement| guarded(&engine, entry, judgement))
                .map(|judgement| means_another(entry, &mut renamed, judgement));
        } else if recursion::announces(&engine, entry) {
            // "Claim: a_n ≤ 2": what is announced is no claim yet, but may be known to be false.
            judged.judgements[position] = assertion(&engine, draft, position, &judged.judgements)
                .map(|judgement| guarded(&engine, entry, judgement))
                .map(|judgement| means_another(entry, &mut renamed, judgement))
                .filter(Judgement::is_refuted);
        }
    }
    plausible::spare_opposites(&engine, &mut judged.judgements);
    let mut choices: Vec<ChoiceOutcome> = Vec::new();
    for (position, entry) in argument.entries.iter().enumerate() {
        if entry.role == Some(Role::Choice)
            && let Content::Binding(binding) = &entry.content
            && let Some(outcome) = choice::judge(&engine, position, binding, &judged.judgements)
        {
            let mut outcome = outcome;
            if outcome.judgement.is_refuted()
                && let Some(reason) = entry.guard
            {
                outcome.judgement = Judgement::unsettled(reason, outcome.judgement.reading);
            }
            judged.judgements[position] = Some(outcome.judgement.clone());
            choices.push(outcome);
        }
    }
    let charged = charge(&engine, &judged, &choices);
    relation::tell(&engine, draft, &mut judged, &charged);
    choice::tell(&engine, &mut judged, &choices, &charged);
    relation::tell_missing(&engine, &mut judged);
    choice::tell_unbound(&engine, draft, &mut judged);
    order::tell(&engine, &mut judged);
    negation::tell(&engine, &mut judged);
    witness::tell(&engine, &mut judged);
    delta::tell(&engine, &mut judged);
    picked::tell(&engine, &mut judged);
    cauchy::tell(&engine, &mut judged);
    exchange::tell(&engine, &mut judged);
    theorem::tell(&engine, &mut judged);
    existence::tell(&engine, &mut judged);
    sign::tell(&engine, draft, &mut judged);
    backwards::tell(&engine, &mut judged);
    tell_unread(argument, &mut judged);
    series::tell(&engine, draft, &mut judged);
    established::tell(&engine, &mut judged, &choices);
    lower_beside(argument, &mut judged);
    judged
}

/// No conclusion rests on a remark, a warning or a check by numbers: what is wrong there is worth
/// knowing, and no mistake of the proof. What a remark concludes itself is.
fn lower_beside(argument: &Argument, judged: &mut Judged) {
    for told in &mut judged.findings {
        let concludes = told
            .entry
            .and_then(|entry| argument.entries.get(entry))
            .is_some_and(|entry| entry.role == Some(Role::Conclusion) && entry.drawn);
        if concludes {
            continue;
        }
        let beside = match told.entry.and_then(|entry| argument.entries.get(entry)) {
            Some(entry) => entry.beside,
            None => argument
                .entries
                .iter()
                .any(|entry| entry.beside && entry.span.contains(told.span)),
        };
        if beside && matches!(told.severity, Severity::Error | Severity::Warning) {
            told.severity = Severity::Information;
        }
    }
}

/// The recursive sequence that a condition lets begin with another member than it does: "if
/// x_1 = 4 instead, …". What follows may speak of that other sequence.
fn another_start(engine: &Engine<'_>, entry: &Entry) -> Option<Symbol> {
    let Content::Binding(binding) = &entry.content else {
        return None;
    };
    let setting = Setting::of(engine.argument, &[]);
    binding.conditions.iter().find_map(|condition| {
        let Condition::Holds(left, relation, right) = condition else {
            return None;
        };
        let Node::Apply(name, _) = left.node() else {
            return None;
        };
        let known = engine
            .argument
            .recursions
            .iter()
            .any(|own| own.name == *name);
        if !known || !left.variables().is_empty() {
            return None;
        }
        let fixed = *relation == Relation::Equal && right.variables().is_empty();
        let differs = fixed
            && engine
                .relation(&setting, left, Relation::Equal, right, true)
                .is_refuted();
        // "If x_1 > b, …", where x_1 < b was given.
        let excluded = || {
            let there = setting.clone().and(condition.clone(), Origin::Assumption);
            !engine.can_be_met(&there.whole())
        };
        (differs || excluded()).then(|| name.clone())
    })
}

/// A false equation that may give a known name another meaning is no mistake, and what is said of
/// the name behind it may rest on that meaning.
fn means_another(entry: &Entry, renamed: &mut BTreeSet<Symbol>, judgement: Judgement) -> Judgement {
    if let Some(name) = &entry.renames
        && (judgement.is_refuted() || judgement.evidence == FALSE_ELSEWHERE)
    {
        renamed.insert(name.clone());
    }
    // Claims in words name nothing themselves.
    let told: Vec<Symbol> = match &entry.content {
        Content::Assertion(
            Assertion::Limit { term, .. }
            | Assertion::Convergence {
                error: argument::ErrorTerm { term, .. },
                ..
            },
        ) => term.unknown_functions().into_iter().collect(),
        _ => Vec::new(),
    };
    if judgement.is_refuted()
        && entry
            .names
            .iter()
            .chain(&told)
            .any(|name| renamed.contains(name))
    {
        return Judgement::unsettled(
            "a name in it may have been given another meaning",
            judgement.reading,
        );
    }
    judgement
}

/// What the words around a claim leave open forbids to call it false, unless it is false under
/// each restriction that they may mean.
fn guarded(engine: &Engine<'_>, entry: &Entry, judgement: Judgement) -> Judgement {
    if !judgement.is_refuted() && judgement.missing.is_none() {
        return judgement;
    }
    if let Some(reason) = entry.guard
        && !recursion::is_of_limit(engine, entry)
    {
        return Judgement::unsettled(reason, judgement.reading);
    }
    let open = Judgement::unsettled(
        "the words around it may restrict the values of which it speaks",
        judgement.reading.clone(),
    );
    // What is only not true for all values stays so, or is open.
    if !judgement.is_refuted() {
        return if entry.perhaps.is_empty() {
            judgement
        } else {
            open
        };
    }
    let mut last = judgement;
    for perhaps in &entry.perhaps {
        let (Perhaps::Within(conditions), Some((left, relation, right))) =
            (perhaps, relation_of(entry))
        else {
            return open;
        };
        let within = conditions.iter().fold(
            Setting::of(engine.argument, &entry.scope),
            |setting, own| setting.and(own.clone(), Origin::Range),
        );
        let again = engine.relation(&within, left, relation, right, true);
        if !again.is_refuted() {
            return open;
        }
        last = Judgement {
            reading: open.reading.clone(),
            ..again
        };
    }
    if last.is_refuted()
        && let Some((left, relation, right)) = relation_of(entry)
    {
        let setting = Setting::of(engine.argument, &entry.scope);
        let problem = setting.holds(left, relation, right);
        let saved_by = |restrictions: Vec<Condition>| {
            let none = restrictions.is_empty();
            let within = restrictions
                .into_iter()
                .fold(setting.clone(), |setting, own| {
                    setting.and(own, Origin::Range)
                });
            !none
                && !engine
                    .relation(&within, left, relation, right, true)
                    .is_refuted()
        };
        let vicinity = elsewhere::vicinity(engine, &setting, &problem);
        if saved_by(vicinity.into_iter().collect()) {
            return Judgement::unsettled(
                "false far away, and the text may mean points that are near",
                last.reading,
            );
        }
        if saved_by(elsewhere::nearby(engine, &setting, entry, &problem)) {
            return Judgement::unsettled(
                "false as it stands, and what is said of its names nearby may be meant",
                last.reading,
            );
        }
        if elsewhere::anywhere(engine, entry, &problem)
            .into_iter()
            .any(saved_by)
        {
            return Judgement::unsettled(
                "false as it stands, and true under what is said of its names elsewhere",
                last.reading,
            );
        }
    }
    last
}

/// Whether an entry is judged by itself here (choices are judged apart).
fn is_judged(entry: &Entry) -> bool {
    entry
        .role
        .is_some_and(|role| role.is_claim() && role != Role::Choice)
}

fn assertion(
    engine: &Engine<'_>,
    draft: &str,
    position: usize,
    before: &[Option<Judgement>],
) -> Option<Judgement> {
    let entry = &engine.argument.entries[position];
    let Content::Assertion(said) = &entry.content else {
        return None;
    };
    let setting = Setting::of(engine.argument, &entry.scope);
    let judgement = decided(engine, draft, (position, said), &setting, before);
    // Links prove nothing from a contradiction by themselves; nothing else may, nor refute.
    let leans = judgement.is_refuted()
        || judgement.is_proved() && !matches!(said, Assertion::Relation { .. });
    if leans && !engine.can_be_met(&setting.whole()) {
        return Some(Judgement::unsettled(
            "no values satisfy what is in force here",
            judgement.reading,
        ));
    }
    Some(judgement)
}

fn decided(
    engine: &Engine<'_>,
    draft: &str,
    (position, said): (usize, &Assertion),
    setting: &Setting,
    before: &[Option<Judgement>],
) -> Judgement {
    let entry = &engine.argument.entries[position];
    match said {
        Assertion::Relation {
            left,
            relation: sign,
            right,
        } => relation::judge(
            engine,
            draft,
            position,
            setting,
            (left, *sign, right),
            before,
        ),
        Assertion::All(conditions) => relation::all(engine, setting, conditions),
        Assertion::Implication { from, to, both } => {
            let rough = entry.zone == Zone::Scratch;
            relation::implication(engine, setting, from, to, *both, rough)
        }
        Assertion::Convergence { error, negated } => {
            conclusion::convergence(engine, setting, error, *negated)
        }
        Assertion::Series { terms, diverges } => series::judge(engine, setting, terms, *diverges),
        Assertion::Limit {
            term,
            variable,
            toward,
            value,
            conditions,
            negated,
        } => conclusion::limit(
            engine,
            setting,
            &conclusion::Limit {
                question: Question {
                    term,
                    variable,
                    toward,
                    conditions,
                },
                value,
                negated: *negated,
            },
        ),
        Assertion::Calculus(said) => {
            let governed = relation::is_index_governed(engine, draft, entry);
            calculus::judge(engine, setting, said, governed)
        }
        Assertion::Extremum {
            greatest,
            term,
            points,
            conditions,
            relation: sign,
            value,
        } => conclusion::extremum(
            engine,
            setting,
            &conclusion::Extreme {
                greatest: *greatest,
                term,
                points,
                conditions,
                relation: *sign,
                value,
            },
        ),
    }
}

/// To which root each refuted entry is charged: `None` for a root of its own.
pub(crate) type Charges = Vec<Option<usize>>;

/// One mistake, one finding: charges refuted lines and choices to the mistake that makes them
/// false.
fn charge(engine: &Engine<'_>, judged: &Judged, choices: &[ChoiceOutcome]) -> Charges {
    let mut charges: Charges = vec![None; judged.judgements.len()];
    let lines: Vec<usize> = (0..judged.judgements.len())
        .filter(|position| is_refuted(judged, *position))
        .filter(|position| {
            let entry = &engine.argument.entries[*position];
            granted_by(entry).is_some() || is_calculus(entry)
        })
        .collect();
    for &line in &lines {
        let calculus = is_calculus(&engine.argument.entries[line]);
        charges[line] = lines
            .iter()
            .copied()
            .take_while(|earlier| *earlier < line)
            .filter(|earlier| calculus || charges[*earlier].is_none())
            .find(|earlier| relation::follows_from(engine, judged, *earlier, line))
            .map(|earlier| charges[earlier].unwrap_or(earlier));
        if charges[line].is_none() {
            charges[line] = choices
                .iter()
                .filter(|outcome| outcome.judgement.is_refuted() || outcome.is_at_fault())
                .find(|outcome| choice::explains(engine, outcome, line))
                .map(|outcome| outcome.entry);
        }
    }
    // What was announced is false because a line of its proof is.
    for &line in &lines {
        if charges[line].is_none() && recursion::announces(engine, &engine.argument.entries[line]) {
            charges[line] = lines
                .iter()
                .copied()
                .find(|later| *later > line && charges[*later].is_none())
                .filter(|later| !recursion::announces(engine, &engine.argument.entries[*later]));
        }
    }
    for outcome in choices
        .iter()
        .filter(|outcome| outcome.judgement.is_refuted())
    {
        charges[outcome.entry] = lines
            .iter()
            .copied()
            .filter(|line| charges[*line].is_none())
            .find(|line| choice::follows_from(engine, outcome, *line));
    }
    // A line that was charged to a choice goes with the choice to the line that explains both.
    for line in lines {
        if let Some(root) = charges[line]
            && let Some(deeper) = charges[root]
        {
            charges[line] = Some(deeper);
        }
    }
    charges
}

pub(crate) fn is_refuted(judged: &Judged, position: usize) -> bool {
    judged.judgements[position]
        .as_ref()
        .is_some_and(Judgement::is_refuted)
}

fn is_calculus(entry: &Entry) -> bool {
    matches!(entry.content, Content::Assertion(Assertion::Calculus(_)))
}

/// The places that go wrong only because of `root`.
pub(crate) fn consequences(engine: &Engine<'_>, charges: &Charges, root: usize) -> Vec<Related> {
    charges
        .iter()
        .enumerate()
        .filter(|(_, charge)| **charge == Some(root))
        .map(|(position, _)| Related {
            span: engine.argument.entries[position].span,
            message: "fails only because of this".to_owned(),
        })
        .collect()
}

fn tell_unread(argument: &Argument, judged: &mut Judged) {
    for (position, entry) in argument.entries.iter().enumerate() {
        if let Content::Unread { reason, .. } = &entry.content {
            judged.findings.push(
                Told::new(&catalogue::NOT_READ, entry.span, wording::not_read(reason)).at(position),
            );
        }
    }
}

/// The condition that a relation entry asserts.
pub(crate) fn condition_of(entry: &Entry) -> Option<Condition> {
    relation_of(entry)
        .map(|(left, relation, right)| Condition::Holds(left.clone(), relation, right.clone()))
}

/// What an entry would give to later lines, if it were true: a relation, or that nothing exceeds
/// the greatest value that it names.
pub(crate) fn granted_by(entry: &Entry) -> Option<Condition> {
    match &entry.content {
        Content::Assertion(Assertion::Extremum {
            greatest,
            term,
            value,
            relation: Relation::Equal | Relation::LessEqual | Relation::GreaterEqual,
            ..
        }) => {
            let relation = if *greatest {
                Relation::LessEqual
            } else {
                Relation::GreaterEqual
            };
            Some(Condition::Holds(term.clone(), relation, value.clone()))
        }
        Content::Assertion(Assertion::Calculus(said)) => calculus::granted(said),
        _ => condition_of(entry),
    }
}

/// Whether an entry was judged as proved.
pub(crate) fn is_proved(judged: &[Option<Judgement>], position: usize) -> bool {
    judged[position]
        .as_ref()
        .is_some_and(|judgement| judgement.verdict == VerdictWord::Proved)
}
