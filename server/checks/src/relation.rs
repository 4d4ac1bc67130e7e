//! Steps: relations, implications, and what is told of the false ones.

use crate::approach::{self, Question};
use crate::calculus;
use crate::catalogue;
use crate::check::Severity;
use crate::engine::{Engine, Judgement};
use crate::finding::Replacement;
use crate::judge::{
    Charges, Judged, Told, condition_of, consequences, granted_by, is_proved, is_refuted, links_of,
    relation_of,
};
use crate::plausible;
use crate::recursion;
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Binding, Content, Entry, Toward};
use kernel::{Condition, Expr, Function, Goal, Kind, Node, Origin, Relation};
use std::collections::BTreeSet;

/// Judges one link, and does not call false what may be no claim about all values.
pub(crate) fn judge(
    engine: &Engine<'_>,
    draft: &str,
    position: usize,
    setting: &Setting,
    link: (&Expr, Relation, &Expr),
    before: &[Option<Judgement>],
) -> Judgement {
    let judgement = decide(engine, draft, position, setting, link, before);
    if judgement.is_refuted()
        && let Some(doubt) = plausible::doubt(engine, draft, position, setting, link)
    {
        return Judgement::unsettled(doubt, judgement.reading);
    }
    judgement
}

/// Decides a link; an unsettled one is tried again with what was proved before it.
pub(crate) fn decide(
    engine: &Engine<'_>,
    draft: &str,
    position: usize,
    setting: &Setting,
    (left, sign, right): (&Expr, Relation, &Expr),
    before: &[Option<Judgement>],
) -> Judgement {
    let entry = &engine.argument.entries[position];
    let governed = is_index_governed(engine, draft, entry);
    let judgement = engine.quickly(|| engine.relation(setting, left, sign, right, governed));
    if judgement.verdict != crate::VerdictWord::Unsettled || judgement.missing.is_some() {
        return judgement;
    }
    let scope: BTreeSet<usize> = entry.scope.iter().copied().collect();
    let mut richer = setting.clone();
    let mut added = false;
    for (earlier, other) in engine.argument.entries.iter().enumerate() {
        let usable = earlier < position || other.reason_for == Some(position);
        if usable
            && is_proved(before, earlier)
            && other.scope.iter().all(|inner| scope.contains(inner))
            && let Some(condition) = condition_of(other)
            && setting.keeps(
                &Setting::of(engine.argument, &other.scope),
                &condition.variables(),
            )
        {
            richer = richer.and(condition, Origin::Earlier);
            added = true;
        }
    }
    if added {
        let again = engine.quickly(|| engine.relation(&richer, left, sign, right, governed));
        if again.verdict == crate::VerdictWord::Proved {
            return again;
        }
    }
    let last = engine.relation(setting, left, sign, right, governed);
    if last.verdict == crate::VerdictWord::Unsettled && sign == Relation::Equal {
        let reading = last.reading.clone();
        return calculus::apart(engine, setting, left, right)
            .map_or(last, |apart| Judgement { reading, ..apart });
    }
    last
}

/// Whether the text says for which index the sentence holds.
pub(crate) fn is_index_governed(engine: &Engine<'_>, draft: &str, entry: &Entry) -> bool {
    entry.scope.iter().any(|position| {
        let other = &engine.argument.entries[*position];
        let Content::Binding(Binding { bound, conditions }) = &other.content else {
            return false;
        };
        let index = bound.iter().any(|bound| bound.kind == Kind::Integer);
        let says_more = conditions.iter().any(|condition| {
            !matches!(condition, Condition::Holds(_, Relation::GreaterEqual, one)
                if one.as_number() == Expr::integer(1).as_number())
        });
        let text = draft.get(other.span.range()).unwrap_or_default();
        index && (says_more || text.contains(['1', '0']))
    })
}

/// Judges several relations as one claim.
pub(crate) fn all(engine: &Engine<'_>, setting: &Setting, conditions: &[Condition]) -> Judgement {
    let mut last = Judgement::unsettled("nothing to decide", String::new());
    for condition in conditions {
        let Condition::Holds(left, relation, right) = condition else {
            return Judgement::unsettled(
                "this kind of statement is not decided yet",
                String::new(),
            );
        };
        last = engine.relation(setting, left, *relation, right, true);
        if last.verdict != crate::VerdictWord::Proved {
            return last;
        }
    }
    last
}

/// Judges "if from then to". In rough work a direction is wrong only if neither holds.
pub(crate) fn implication(
    engine: &Engine<'_>,
    setting: &Setting,
    from: &[Condition],
    to: &[Condition],
    both: bool,
    rough: bool,
) -> Judgement {
    let forward = directed(engine, setting, from, to);
    if !both && !rough {
        return forward;
    }
    if rough && forward.verdict == crate::VerdictWord::Proved {
        return forward;
    }
    let backward = directed(engine, setting, to, from);
    if rough {
        return if backward.verdict == crate::VerdictWord::Proved {
            backward
        } else if forward.is_refuted() && !backward.is_refuted() {
            Judgement::unsettled(&backward.evidence, backward.reading)
        } else {
            forward
        };
    }
    if forward.verdict == crate::VerdictWord::Proved {
        backward
    } else {
        forward
    }
}

fn directed(
    engine: &Engine<'_>,
    setting: &Setting,
    from: &[Condition],
    to: &[Condition],
) -> Judgement {
    let assumed = from.iter().fold(setting.clone(), |setting, condition| {
        setting.and(condition.clone(), Origin::Assumption)
    });
    all(engine, &assumed, to)
}

/// Whether a false line is true once an earlier false line is granted.
pub(crate) fn follows_from(
    engine: &Engine<'_>,
    judged: &Judged,
    earlier: usize,
    line: usize,
) -> bool {
    let entries = &engine.argument.entries;
    let same_chain = match (entries[earlier].chain, entries[line].chain) {
        (Some((a, _)), Some((b, _))) => a == b,
        _ => false,
    };
    let undefined = |position: usize| {
        judged.judgements[position]
            .as_ref()
            .and_then(|judgement| judgement.counterexample.as_ref())
            .is_some_and(kernel::Counterexample::is_undefined)
    };
    if same_chain && undefined(earlier) && undefined(line) {
        return true;
    }
    if drawn_from_derivative(engine, earlier, line)
        || calculus::follows_from(engine, &entries[earlier], &entries[line])
        || recursion::follows_from(engine, earlier, line)
    {
        return true;
    }
    let (Some(granted), Some((left, relation, right))) =
        (granted_by(&entries[earlier]), relation_of(&entries[line]))
    else {
        return false;
    };
    let setting = Setting::of(engine.argument, &entries[line].scope).and(granted, Origin::Earlier);
    let problem = setting.holds(left, relation, right);
    engine.proves(&problem) && (same_chain || engine.can_be_met(&problem))
}

/// Whether a false greatest or least value stands behind a false line about the derivative of the
/// same function: then it was drawn from it.
fn drawn_from_derivative(engine: &Engine<'_>, earlier: usize, line: usize) -> bool {
    let entries = &engine.argument.entries;
    let (Some((chain, _)), Content::Assertion(Assertion::Extremum { term, points, .. })) =
        (entries[earlier].chain, &entries[line].content)
    else {
        return false;
    };
    let [point] = points.as_slice() else {
        return false;
    };
    let first = links_of(engine.argument, chain)
        .next()
        .and_then(|(_, entry)| relation_of(entry));
    // |f_n − f| has the derivative of what stands between the bars, up to its sign.
    let inside = match term.node() {
        Node::Call(Function::Abs, inside) => inside,
        _ => term,
    };
    let (Some((left, _, _)), Some(derivative)) =
        (first, kernel::calculus::differentiate(inside, point))
    else {
        return false;
    };
    let setting = Setting::of(engine.argument, &entries[earlier].scope);
    [derivative.clone(), derivative.negative()]
        .iter()
        .any(|derivative| engine.proves(&setting.holds(left, Relation::Equal, derivative)))
}

/// Tells of every false step at a root.
pub(crate) fn tell(engine: &Engine<'_>, draft: &str, judged: &mut Judged, charges: &Charges) {
    for position in 0..judged.judgements.len() {
        let entry = &engine.argument.entries[position];
        if !is_refuted(judged, position) || charges[position].is_some() {
            continue;
        }
        let told = match &entry.content {
            Content::Assertion(Assertion::Relation { .. }) => step(engine, draft, position, judged),
            Content::Assertion(Assertion::Calculus(_)) => calculus::tell(engine, position, judged),
            Content::Assertion(
                Assertion::All(_) | Assertion::Implication { .. } | Assertion::Extremum { .. },
            ) => Some(plain_failure(engine, draft, position, judged)),
            Content::Assertion(Assertion::Limit { .. }) => {
                Some(wrong_limit(engine, position, judged))
            }
            Content::Assertion(Assertion::Convergence { error, negated }) => {
                (crate::conclusion::is_on_the_way(entry, error) && !negated)
                    .then(|| wrong_limit(engine, position, judged))
            }
            _ => None,
        };
        if let Some(mut told) = told {
            told.related = consequences(engine, charges, position);
            judged.findings.push(told);
        }
    }
}

fn wrong_limit(engine: &Engine<'_>, position: usize, judged: &Judged) -> Told {
    let entry = &engine.argument.entries[position];
    let (reading, evidence) = judged.judgements[position]
        .as_ref()
        .map(|judgement| (judgement.reading.as_str(), judgement.evidence.as_str()))
        .unwrap_or_default();
    let question = match &entry.content {
        Content::Assertion(Assertion::Limit {
            term,
            variable,
            toward,
            conditions,
            ..
        }) => Some(Question {
            term,
            variable,
            toward,
            conditions,
        }),
        Content::Assertion(Assertion::Convergence { error, .. }) => Some(Question {
            term: &error.term,
            variable: &error.index,
            toward: &Toward::Infinity,
            conditions: &[],
        }),
        _ => None,
    };
    let setting = Setting::of(engine.argument, &entry.scope);
    let right = question
        .and_then(|question| engine.quickly(|| approach::outcome(engine, &setting, &question)));
    Told::new(
        &catalogue::LIMIT_WRONG,
        entry.span,
        wording::limit_wrong(reading, evidence, right.as_ref()),
    )
    .at(position)
}

fn plain_failure(engine: &Engine<'_>, draft: &str, position: usize, judged: &Judged) -> Told {
    let entry = &engine.argument.entries[position];
    let counterexample = judged.judgements[position]
        .as_ref()
        .and_then(|judgement| judgement.counterexample.as_ref());
    let evidence = judged.judgements[position]
        .as_ref()
        .map(|judgement| judgement.evidence.as_str())
        .unwrap_or_default();
    let source = draft.get(entry.span.range()).unwrap_or_default();
    Told::new(
        calculus::check_of_failure(entry),
        entry.span,
        wording::fails(source, evidence),
    )
    .at(position)
    .showing(counterexample)
}

fn step(engine: &Engine<'_>, draft: &str, position: usize, judged: &Judged) -> Option<Told> {
    let entry = &engine.argument.entries[position];
    let (left, relation, right) = relation_of(entry)?;
    let judgement = judged.judgements[position].as_ref()?;
    let counterexample = judgement.counterexample.as_ref()?;
    let shown = crate::engine::shown(counterexample);
    let setting = Setting::of(engine.argument, &entry.scope);
    let holds = |relation: Relation| engine.proves(&setting.holds(left, relation, right));
    let claim = Condition::Holds(left.clone(), relation, right.clone());
    let mut told = if counterexample.is_undefined() {
        Told::new(
            &catalogue::UNDEFINED_VALUE,
            entry.span,
            wording::undefined(&claim, &shown),
        )
    } else if relation != relation.weakened() && holds(relation.weakened()) {
        Told::new(
            &catalogue::STEP_NOT_STRICT,
            entry.span,
            wording::not_strict(&claim, &shown),
        )
    } else if let Some(told) = calculus::told_of_relation(engine, judged, position) {
        told
    } else if is_bound(engine, entry, relation, right) {
        Told::new(
            &catalogue::BOUND_FAILS,
            entry.span,
            wording::bound_fails(&claim, &shown),
        )
    } else if relation != relation.flipped() && holds(relation.flipped()) {
        let mut told = Told::new(
            &catalogue::STEP_REVERSED,
            entry.span,
            wording::reversed(&claim, &shown),
        );
        told.replacement = turned_round(draft, entry);
        told
    } else {
        Told::new(
            calculus::check_of_link(engine, entry),
            entry.span,
            wording::step_fails(&claim, &shown),
        )
    };
    told.counterexample = Some(shown);
    Some(told.at(position))
}

/// Whether a link bounds the error term, or a chain from it, by something free of the points.
fn is_bound(engine: &Engine<'_>, entry: &Entry, relation: Relation, right: &Expr) -> bool {
    let Some(error) = &engine.argument.error else {
        return false;
    };
    if error.points.is_empty() || !matches!(relation, Relation::Less | Relation::LessEqual) {
        return false;
    }
    if error.points.iter().any(|point| right.mentions(point)) {
        return false;
    }
    let Some((left, _, _)) = relation_of(entry) else {
        return false;
    };
    let starts_at_error = entry.chain.is_some_and(|(chain, _)| {
        links_of(engine.argument, chain)
            .next()
            .and_then(|(_, first)| relation_of(first))
            .is_some_and(|(first, _, _)| is_error(engine, first))
    });
    (starts_at_error || is_error(engine, left))
        && error.points.iter().any(|point| left.mentions(point))
}

/// Whether an expression is the argument's error term: by form, or by a proved equality.
pub(crate) fn is_error(engine: &Engine<'_>, expr: &Expr) -> bool {
    let Some(error) = &engine.argument.error else {
        return false;
    };
    if *expr == error.error {
        return true;
    }
    let names: BTreeSet<_> = error.error.variables();
    if expr.variables() != names {
        return false;
    }
    let setting = Setting::of(engine.argument, &[]);
    engine.proves(&setting.problem(
        &names,
        Goal::Holds(expr.clone(), Relation::Equal, error.error.clone()),
    ))
}

/// The step with its relation sign turned round, where exactly one sign stands in its text.
fn turned_round(draft: &str, entry: &Entry) -> Option<Replacement> {
    const PAIRS: &[(&str, &str)] = &[
        ("\\leqslant", "\\geqslant"),
        ("\\leq", "\\geq"),
        ("\\le", "\\ge"),
        ("≤", "≥"),
        ("<", ">"),
    ];
    let text = draft.get(entry.span.range())?;
    for (less, greater) in PAIRS {
        for (from, to) in [(less, greater), (greater, less)] {
            let mut places = text.match_indices(from).filter(|(at, _)| {
                let after = text[at + from.len()..].chars().next();
                !from.starts_with('\\') || !after.is_some_and(char::is_alphabetic)
            });
            if let (Some((at, _)), None) = (places.next(), places.next()) {
                let mut turned = text.to_owned();
                turned.replace_range(at..at + from.len(), to);
                return Some(Replacement {
                    span: entry.span,
                    text: turned,
                });
            }
        }
    }
    None
}

/// Tells of claims that are true only under a hypothesis that is not stated.
pub(crate) fn tell_missing(engine: &Engine<'_>, judged: &mut Judged) {
    for position in 0..judged.judgements.len() {
        let entry = &engine.argument.entries[position];
        if let Some(judgement) = &judged.judgements[position]
            && let Some(missing) = judgement.missing.clone()
        {
            let claim = match condition_of(entry) {
                Some(condition) => kernel::show::condition(&condition),
                None => wording::purpose(&judgement.reading),
            };
            let told = Told::new(
                &catalogue::HYPOTHESIS_MISSING,
                entry.span,
                wording::missing(&claim, &missing, judgement.counterexample.as_ref()),
            )
            .at(position)
            .showing(judgement.counterexample.as_ref());
            judged.findings.push(Told {
                severity: Severity::Information,
                ..told
            });
        }
    }
}

/// A and B of |A − B|.
pub(crate) fn distance(expr: &Expr) -> Option<(&Expr, &Expr)> {
    let Node::Call(Function::Abs, inside) = expr.node() else {
        return None;
    };
    let Node::Add(items) = inside.node() else {
        return None;
    };
    let [one, other] = items.as_slice() else {
        return None;
    };
    match other.node() {
        Node::Neg(other) => Some((one, other)),
        _ => None,
    }
}
