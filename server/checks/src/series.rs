//! Series: whether Σ f_k(x) converges, by comparison with k^(−p), q^k and 1/k, or as alternating.

mod blocks;

use crate::analysis::VerdictWord;
use crate::catalogue;
use crate::check::Severity;
use crate::conclusion::{convergence_problem, unless_protected, whereabouts};
use crate::engine::{Engine, Judgement};
use crate::judge::{Judged, Told, is_proved, is_refuted, relation_of};
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Content, ErrorTerm, Role};
use kernel::recheck::{Proof, Shape};
use kernel::{Expr, Function, Goal, Node, Origin, Problem, Relation, Symbol, proving, show};

/// Weights k^w, w > 1, under which terms that tend to 0 (or stay bounded) are summable:
/// numerator and denominator of w. Common practice: comparison with Σ k^(−w).
const WEIGHTS: [(i64, i64); 3] = [(3, 2), (11, 10), (101, 100)];

/// From which index on the terms of an alternating series must fall.
const FALLING_FROM: [i64; 2] = [1, 20];

/// Judges "Σ f_k(x) converges (uniformly)", or that it diverges.
pub(crate) fn judge(
    engine: &Engine<'_>,
    setting: &Setting,
    terms: &ErrorTerm,
    diverges: bool,
) -> Judgement {
    let points: &[Symbol] = if terms.uniform { &terms.points } else { &[] };
    let problem = convergence_problem(setting, terms, points);
    let index = &terms.index;
    let reading = format!(
        "the series of the terms {} ({index} = 1, 2, …) {}{}",
        show::plain(&terms.term),
        if diverges { "diverges" } else { "converges" },
        whereabouts(&problem, terms),
    );
    let shown = summable(engine, &problem).or_else(|| alternating(engine, &problem, &terms.term));
    if let Some(why) = shown {
        return if diverges {
            unless_protected(setting, &problem, why, reading)
        } else {
            Judgement::proved(why, reading)
        };
    }
    if let Some(why) = not_summable(engine, &problem, terms) {
        let judgement = unless_protected(setting, &problem, why.clone(), reading.clone());
        return if diverges && judgement.is_refuted() {
            Judgement::proved(why, reading)
        } else {
            judgement
        };
    }
    Judgement::unsettled(
        "not decided: the terms were compared with k^(−p), q^k and 1/k",
        reading,
    )
}

/// Why Σ |term| converges, uniformly in the problem's points: a certified bound by c k^(−p) with
/// p > 1, or by a geometric sequence.
fn summable(engine: &Engine<'_>, problem: &Problem) -> Option<String> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    let words = |bound: &Expr| {
        format!(
            "{} ≤ {} for all large {index}, and the series of these bounds converges",
            show::plain(term),
            show::plain(bound)
        )
    };
    if let Some((bound, certificate)) = proving::majorant(problem, &mut engine.fuel())
        && let Proof::Majorant(own) = certificate.proof()
    {
        let enough = match &own.shape {
            Shape::Zero | Shape::Geometric(..) => true,
            Shape::Power(p) => *p > Expr::integer(1).as_number()?,
            Shape::Logarithm(_) => false,
        };
        if enough {
            return Some(words(&bound));
        }
    }
    let running = Expr::variable(index);
    WEIGHTS.iter().find_map(|(above, below)| {
        let weight = running.power(&Expr::ratio(*above, *below));
        let weighted = problem.with_goal(Goal::TendsToZero {
            term: weight.times(term),
            index: index.clone(),
            points: points.clone(),
        });
        let (bound, _) = proving::majorant(&weighted, &mut engine.fuel())?;
        Some(words(&bound.over(&weight)))
    })
}

/// Why Σ (−1)^k b_k converges: b falls and tends to 0 (Leibniz; the remainder is at most the
/// first term left out, so this is uniform where b tends to 0 uniformly).
fn alternating(engine: &Engine<'_>, problem: &Problem, term: &Expr) -> Option<String> {
    let Goal::TendsToZero { index, points, .. } = &problem.goal else {
        return None;
    };
    let sign = alternating_sign(term, index)?;
    let sizes = term.replace(&sign, &Expr::integer(1));
    // The sign must be a factor of the whole term: −1 in its place turns the term round.
    let turned = term.replace(&sign, &Expr::integer(-1));
    let factor = Goal::Holds(turned, Relation::Equal, sizes.negative());
    engine
        .proves(&from(&problem.with_goal(factor), index, 1))
        .then_some(())?;
    let running = Expr::variable(index);
    let next = sizes.substitute(index, &running.plus(&Expr::integer(1)));
    let falls = problem.with_goal(Goal::Holds(next, Relation::LessEqual, sizes.clone()));
    FALLING_FROM
        .iter()
        .any(|start| engine.proves(&from(&falls, index, *start)))
        .then_some(())?;
    let null = problem.with_goal(Goal::TendsToZero {
        term: sizes.abs(),
        index: index.clone(),
        points: points.clone(),
    });
    engine.proves(&null).then(|| {
        format!(
            "the signs alternate, and {} falls to 0",
            show::plain(&sizes)
        )
    })
}

fn from(problem: &Problem, index: &Symbol, start: i64) -> Problem {
    let late = kernel::Condition::Holds(
        Expr::variable(index),
        Relation::GreaterEqual,
        Expr::integer(start),
    );
    problem.assuming(late, Origin::Range)
}

/// (−1)^(k + j) inside a term.
fn alternating_sign(term: &Expr, index: &Symbol) -> Option<Expr> {
    let steps_by_one = |exponent: &Expr| match exponent.node() {
        Node::Variable(name) => name == index,
        Node::Add(items) => {
            let (running, others): (Vec<&Expr>, Vec<&Expr>) = items
                .iter()
                .partition(|item| item.as_variable() == Some(index));
            running.len() == 1
                && others
                    .iter()
                    .all(|item| item.as_number().is_some_and(|number| number.is_int()))
        }
        _ => false,
    };
    let mut sign: Option<Expr> = None;
    term.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && base.as_number() == Expr::integer(-1).as_number()
            && steps_by_one(exponent)
        {
            sign.get_or_insert(part.clone());
        }
    });
    sign
}

/// Why Σ term does not converge: the terms do not tend to 0, or do not change sign and are at
/// least c/k along a progression.
fn not_summable(engine: &Engine<'_>, problem: &Problem, terms: &ErrorTerm) -> Option<String> {
    let Goal::TendsToZero {
        term,
        index,
        points,
    } = &problem.goal
    else {
        return None;
    };
    if let Some(separation) = proving::stays_away(problem, &mut engine.fuel()) {
        return Some(format!(
            "The terms do not tend to 0. {}",
            wording::no_cure(&separation)
        ));
    }
    if !points.is_empty() {
        return blocks::stay_large(engine, problem, &terms.term);
    }
    if !terms.points.is_empty() {
        return None;
    }
    let signed = [Relation::GreaterEqual, Relation::LessEqual]
        .into_iter()
        .any(|relation| {
            let goal = Goal::Holds(terms.term.clone(), relation, Expr::integer(0));
            engine.proves(&from(&problem.with_goal(goal), index, 2))
        });
    signed.then_some(())?;
    let running = Expr::variable(index);
    // Divergent series to compare with: Σ 1/k, and Σ 1/(k log k) by the integral test (common
    // practice).
    let weights = [
        (running.clone(), "the harmonic series does"),
        (
            running.times(&running.call(Function::Log)),
            "the series of 1/(k\u{b7}log(k)) does, whose sums grow like log(log(k))",
        ),
    ];
    weights.into_iter().find_map(|(weight, known)| {
        let weighted = problem.with_goal(Goal::TendsToZero {
            term: weight.times(term),
            index: index.clone(),
            points: Vec::new(),
        });
        let separation = proving::stays_away(&weighted, &mut engine.fuel())?;
        let which = match separation.witness().stride {
            1 => "for all large".to_owned(),
            stride => format!("for every {stride}th large"),
        };
        Some(format!(
            "Its terms do not change sign and {which} {index} their size is at least {}, so it diverges as {known}.",
            show::plain(&quotient(separation.bound(), &weight))
        ))
    })
}

/// bound / k with one fraction bar.
fn quotient(bound: &Expr, index: &Expr) -> Expr {
    match bound.as_number() {
        Some(value) if !value.is_int() => {
            let above = Expr::big(value.numerator().clone());
            let below = Expr::big(value.denominator().clone().into());
            above.over(&below.times(index))
        }
        _ => bound.over(index),
    }
}

/// Tells of majorants whose series diverges, and of false conclusions about series.
pub(crate) fn tell(engine: &Engine<'_>, draft: &str, judged: &mut Judged) {
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        let Content::Assertion(Assertion::Series { terms, diverges }) = &entry.content else {
            continue;
        };
        let Some(judgement) = judged.judgements[position].clone() else {
            continue;
        };
        let concludes = entry.role == Some(Role::Conclusion);
        let proved = judgement.verdict == VerdictWord::Proved;
        if concludes && !*diverges && (!proved || names_the_test(draft, entry)) {
            tell_poor_majorant(engine, judged, terms, position);
        }
        let faulty = judged
            .findings
            .iter()
            .any(|told| told.severity == Severity::Error);
        if !judgement.is_refuted() || concludes && faulty {
            continue;
        }
        let (check, message) = if concludes || *diverges {
            (
                &catalogue::CONCLUSION_FALSE,
                wording::conclusion_false(&judgement.reading, &judgement.evidence),
            )
        } else {
            (
                &catalogue::MAJORANT_NOT_SUMMABLE,
                wording::not_summable(&judgement.reading, &judgement.evidence),
            )
        };
        judged
            .findings
            .push(Told::new(check, entry.span, message).at(position));
    }
}

/// Whether the sentence draws its conclusion by a majorant: then a true conclusion does not make
/// up for bounds that have no convergent sum.
fn names_the_test(draft: &str, entry: &argument::Entry) -> bool {
    let sentence = draft.get(entry.sentence.range()).unwrap_or_default();
    let sentence = sentence.to_lowercase();
    ["weierstrass", "m-test", "$m$-test", "majorant"]
        .iter()
        .any(|word| sentence.contains(word))
}

/// A conclusion that is not proved, drawn from bounds of the terms of which the best known one
/// is not summable: told at that bound.
fn tell_poor_majorant(
    engine: &Engine<'_>,
    judged: &mut Judged,
    terms: &ErrorTerm,
    conclusion: usize,
) {
    let already = judged
        .findings
        .iter()
        .any(|told| told.check.name == catalogue::MAJORANT_NOT_SUMMABLE.name)
        || engine.argument.entries[..conclusion]
            .iter()
            .enumerate()
            .any(|(position, entry)| {
                matches!(entry.content, Content::Assertion(Assertion::Series { .. }))
                    && is_refuted(judged, position)
            });
    if already {
        return;
    }
    let bounds: Vec<(usize, &Expr)> = engine.argument.entries[..conclusion]
        .iter()
        .enumerate()
        .filter(|(position, _)| is_proved(&judged.judgements, *position))
        .filter_map(|(position, entry)| {
            let (_, relation, right) = relation_of(entry)?;
            let up = matches!(relation, Relation::Less | Relation::LessEqual);
            let names = right.variables();
            let bare = names.contains(&terms.index)
                && !terms.points.iter().any(|point| names.contains(point));
            (up && bare && bounds_terms(engine, terms, right)).then_some((position, right))
        })
        .collect();
    let setting = Setting::of(engine.argument, &[]);
    let poor = |bound: &Expr| {
        let own = ErrorTerm {
            error: crate::conclusion::absolute(bound),
            term: bound.clone(),
            points: Vec::new(),
            uniform: false,
            conditions: Vec::new(),
            ..terms.clone()
        };
        let problem = convergence_problem(&setting, &own, &[]);
        not_summable(engine, &problem, &own)
    };
    let whys: Option<Vec<String>> = bounds.iter().map(|(_, bound)| poor(bound)).collect();
    let (Some(whys), Some((position, bound))) = (whys, bounds.last()) else {
        return;
    };
    let Some(why) = whys.last() else { return };
    let reading = format!("the series of the bounds {} converges", show::plain(bound));
    let told = Told::new(
        &catalogue::MAJORANT_NOT_SUMMABLE,
        engine.argument.entries[*position].span,
        wording::not_summable(&reading, why),
    )
    .at(*position);
    judged.findings.push(told);
}

/// Whether |term| ≤ bound on the domain of the series.
fn bounds_terms(engine: &Engine<'_>, terms: &ErrorTerm, bound: &Expr) -> bool {
    let setting = Setting::of(engine.argument, &[]);
    let problem = convergence_problem(&setting, terms, &[]);
    let goal = Goal::Holds(terms.error.clone(), Relation::LessEqual, bound.clone());
    engine.proves(&from(&problem.with_goal(goal), &terms.index, 1))
}

/// Whether the text shows a series' convergence: the conclusion is proved, and a step before it
/// bounds the terms or names a series that converges.
pub(crate) fn is_reached(engine: &Engine<'_>, judged: &Judged) -> bool {
    let conclusion = engine
        .argument
        .entries
        .iter()
        .enumerate()
        .find_map(|(position, entry)| match &entry.content {
            Content::Assertion(Assertion::Series { terms, .. })
                if entry.role == Some(Role::Conclusion)
                    && is_proved(&judged.judgements, position) =>
            {
                Some((position, terms))
            }
            _ => None,
        });
    conclusion.is_some_and(|(conclusion, terms)| {
        (0..conclusion).any(|position| {
            is_proved(&judged.judgements, position)
                && match &engine.argument.entries[position].content {
                    Content::Assertion(Assertion::Series { .. }) => true,
                    Content::Assertion(Assertion::Relation { left, .. }) => {
                        *left == terms.error || *left == terms.term
                    }
                    _ => false,
                }
        })
    })
}
