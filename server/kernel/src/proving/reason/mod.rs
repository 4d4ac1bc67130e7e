//! The reason of a proof in a teacher's words, read off its certificate: which square, which known
//! inequality, which case, which side is monotone, with the expressions at hand.

mod combination;
mod curve;
mod direct;
mod lemma;
mod series;
mod terms;
mod triangle;

use crate::calculus;
use crate::expr::{Condition, Expr, Relation, Symbol};
use crate::goal::{Goal, Origin, Problem};
use crate::recheck::{Certificate, Context, Lemma, Proof, Shape, Step, parts};
use crate::show;
use terms::written;

/// So many proofs inside each other are told.
const DEPTH: usize = 10;

/// Longer reasons are cut behind a sentence, in characters: nobody reads more in a margin.
const LENGTH: usize = 480;

/// One line that says why the statement holds; `None` where nothing short can be said.
#[must_use]
pub fn explain(certificate: &Certificate) -> Option<String> {
    of_proof(certificate.problem(), certificate.proof(), DEPTH).map(|text| shortened(&text))
}

/// The first sentences of a long reason.
fn shortened(text: &str) -> String {
    if text.chars().count() <= LENGTH {
        return text.to_owned();
    }
    let mut kept = String::new();
    for sentence in text.split("; ") {
        if !kept.is_empty() {
            if kept.chars().count() + sentence.chars().count() > LENGTH {
                break;
            }
            kept.push_str("; ");
        }
        kept.push_str(sentence);
    }
    if kept.len() == text.len() {
        return kept;
    }
    // What was opened and not closed again would read as an error.
    let (open, closed) = (kept.matches('(').count(), kept.matches(')').count());
    let open = open.saturating_sub(closed);
    format!("{kept}; and so on{}", ")".repeat(open))
}

fn of_proof(problem: &Problem, proof: &Proof, depth: usize) -> Option<String> {
    let depth = depth.checked_sub(1)?;
    match proof {
        Proof::Direct(steps) => direct::of_steps(problem, steps, depth),
        Proof::Cases { .. } => triangle::inequality(problem)
            .or_else(|| of_cases(&gathered(problem, proof, String::new(), depth))),
        Proof::Either {
            hypothesis,
            branches,
        } => {
            let members = problem
                .hypotheses
                .get(*hypothesis)?
                .condition
                .alternatives()?;
            let cases: Vec<(String, Option<String>)> = members
                .iter()
                .zip(branches)
                .map(|(member, branch)| {
                    let mut case = problem.clone();
                    case.hypotheses[*hypothesis].condition = member.clone();
                    (show::condition(member), of_proof(&case, branch, depth))
                })
                .collect();
            of_cases(&cases)
        }
        Proof::Replace { .. } => replaced(problem, proof, depth),
        Proof::Rewrite { hypothesis, rest } => {
            of_proof(&parts::rewritten(problem, *hypothesis)?, rest, depth)
        }
        Proof::Through { claim, first, rest } => through(problem, claim, (first, rest), depth),
        Proof::Values { .. } | Proof::Parity { .. } | Proof::Induction { .. } => {
            of_integers(problem, proof, depth)
        }
        Proof::Monotone { .. } | Proof::Concave { .. } | Proof::Majorant(_) => {
            of_analysis(problem, proof, depth)
        }
    }
}

/// An equation for a variable carried out.
fn replaced(problem: &Problem, proof: &Proof, depth: usize) -> Option<String> {
    match proof {
        Proof::Replace {
            hypothesis,
            variable,
            rest,
        } => {
            let case = parts::replaced(problem, *hypothesis, variable)?;
            let value = match &problem.hypotheses.get(*hypothesis)?.condition {
                Condition::Holds(left, _, right) if left.as_variable() == Some(variable) => right,
                Condition::Holds(left, _, _) => left,
                _ => return None,
            };
            let put = format!("with {variable} = {}", written(value));
            Some(match of_proof(&case, rest, depth) {
                Some(why) => format!("{put}: {why}"),
                None => put,
            })
        }
        _ => None,
    }
}

/// Values one by one, even and odd ones, induction.
fn of_integers(problem: &Problem, proof: &Proof, depth: usize) -> Option<String> {
    match proof {
        Proof::Values {
            variable,
            tail,
            single,
            from,
        } => {
            let later = from + i64::try_from(single.len()).ok()?;
            let case = Condition::Holds(
                Expr::variable(variable),
                Relation::GreaterEqual,
                Expr::integer(later),
            );
            let why = of_proof(&problem.assuming(case, Origin::Domain), tail, depth);
            let checked = match single.len() {
                0 => String::new(),
                1 => format!("{variable} = {from} is checked directly; "),
                _ => format!(
                    "{variable} = {from}, …, {} are checked one by one; ",
                    later - 1
                ),
            };
            Some(match why {
                Some(why) => format!("{checked}for {variable} ≥ {later}: {why}"),
                None => format!("{checked}all larger {variable} at once"),
            })
        }
        Proof::Parity {
            variable,
            half,
            even,
            odd,
        } => {
            let mut cases = Vec::new();
            for (shift, branch) in [(0, even), (1, odd)] {
                let double = Expr::integer(2).times(&Expr::variable(half));
                let value = match shift {
                    0 => double,
                    _ => double.plus(&Expr::integer(1)),
                };
                let case = parts::with_value(problem, variable, &value)?;
                let label = format!("{variable} = {}", written(&value));
                cases.push((label, of_proof(&case, branch, depth)));
            }
            of_cases(&cases)
        }
        Proof::Induction {
            variable,
            from,
            step,
            ..
        } => {
            let next = format!("{variable} + 1");
            let why = parts::induction_step(problem, variable, *from)
                .and_then(|case| of_proof(&case, step, depth));
            let lead = format!(
                "by induction on {variable}: {variable} = {from} is checked directly, and the \
                 claim for {variable} gives that for {next}"
            );
            Some(match why {
                Some(why) => format!("{lead}: {why}"),
                None => lead,
            })
        }
        _ => None,
    }
}

/// The cases of nested distinctions with their conditions joined.
fn gathered(
    problem: &Problem,
    proof: &Proof,
    label: String,
    depth: usize,
) -> Vec<(String, Option<String>)> {
    let Proof::Cases {
        on,
        against,
        branches,
        ..
    } = proof
    else {
        return vec![(label, of_proof(problem, proof, depth))];
    };
    let mut all = Vec::new();
    for (relation, branch) in branches {
        let case = Condition::Holds(on.clone(), *relation, against.clone());
        let gap = Context::of(problem).normal(&on.minus(against));
        let shown = match gap.as_ref().and_then(crate::recheck::Fraction::as_poly) {
            Some(poly) => terms::compared(poly, *relation),
            None => show::condition(&case),
        };
        let label = if label.is_empty() {
            shown
        } else {
            format!("{label}, {shown}")
        };
        let case = problem.assuming(case, Origin::Assumption);
        all.extend(gathered(&case, branch, label, depth));
    }
    all
}

/// The words of a reason without its mathematics: cases with the same words are alike.
fn manner(text: &str) -> Vec<&str> {
    text.split(|own: char| !own.is_ascii_alphabetic())
        .filter(|word| word.len() > 2)
        .collect()
}

/// The reasons of cases: one if all are the same, else the fullest ones with their conditions.
fn of_cases(cases: &[(String, Option<String>)]) -> Option<String> {
    let told: Vec<(&str, &str)> = cases
        .iter()
        .filter_map(|(label, why)| Some((label.as_str(), why.as_deref()?)))
        .collect();
    // Of equally telling cases the first: the search looks at x ≥ 0 before x ≤ 0.
    let (first, why) = *told.iter().rev().max_by_key(|(label, why)| {
        // A single value says less than a range, and what only restates the claim less than a
        // square or a known inequality.
        let single = label.contains(" = ");
        let plain = why.starts_with("multiply by") && !why.contains(';');
        (!single, !plain, manner(why).len().min(12))
    })?;
    if told.iter().all(|(_, own)| *own == why) && told.len() == cases.len() {
        return Some(why.to_owned());
    }
    let mut text = format!("for {first}: {why}");
    if text.ends_with("alike") || text.ends_with("alike or simpler") {
        return Some(text);
    }
    let others: Vec<&(&str, &str)> = told.iter().filter(|(label, _)| *label != first).collect();
    let alike = others.iter().all(|(_, own)| manner(own) == manner(why));
    if others.is_empty() || (alike && told.len() == cases.len()) {
        text.push_str(match cases.len() {
            1 => "",
            2 => "; the other case is alike",
            _ => "; the other cases are alike",
        });
    } else if let [(label, own)] = others.as_slice()
        && text.chars().count() + own.chars().count() < 2 * terms::LONGEST
    {
        text.push_str(&format!("; for {label}: {own}"));
    } else {
        text.push_str("; the other cases are alike or simpler");
    }
    Some(text)
}

/// An intermediate claim, and what it is good for.
fn through(
    problem: &Problem,
    claim: &Condition,
    (first, rest): (&Proof, &Proof),
    depth: usize,
) -> Option<String> {
    let Condition::Holds(left, relation, right) = claim else {
        return None;
    };
    let goal = Goal::Holds(left.clone(), *relation, right.clone());
    let why = of_proof(&problem.with_goal(goal.clone()), first, depth);
    let shown = of_claim(&goal)?;
    let because = |why: Option<String>| {
        let why = why.map_or_else(String::new, |why| format!(": {why}"));
        // What was announced need not be said again.
        why.strip_suffix(&format!(": {shown}"))
            .unwrap_or(&why)
            .to_owned()
    };
    if let Some(how) = undone(rest) {
        let gap = difference_shown(problem, &goal);
        let shown = gap.map_or_else(|| shown.clone(), |gap| format!("{gap} ≥ 0"));
        return Some(format!("{how}: {}", sufficient(&shown, why)));
    }
    // An equation from both inequalities.
    let halves = |claim: &Condition| {
        matches!((&problem.goal, claim),
            (Goal::Holds(a, Relation::Equal, b), Condition::Holds(c, _, d)) if a == c && b == d)
    };
    if halves(claim)
        && let Proof::Through {
            claim: second,
            first: other,
            ..
        } = rest
        && halves(second)
        && let Condition::Holds(left, relation, right) = second
    {
        let goal = Goal::Holds(left.clone(), *relation, right.clone());
        let case = problem
            .assuming(claim.clone(), Origin::Earlier)
            .with_goal(goal);
        return match (why, of_proof(&case, other, depth)) {
            (Some(one), Some(other)) if one == other => Some(one),
            (Some(one), Some(other)) => Some(format!("for ≤: {one}; for ≥: {other}")),
            (one, other) => one.or(other),
        };
    }
    let case = problem.assuming(claim.clone(), Origin::Earlier);
    if matches!(rest, Proof::Direct(steps) if direct::is_by_inspection(&case, steps)) {
        return Some(sufficient(&shown, why));
    }
    match (why, of_proof(&case, rest, depth)) {
        // One known inequality gives both.
        (Some(why), Some(then)) if why.contains(&then) => Some(why),
        (Some(why), Some(then)) if then.contains(&why) => Some(then),
        (why, Some(then)) => Some(format!("first {shown}{}; then {then}", because(why))),
        (Some(why), None) => Some(why),
        (None, None) => None,
    }
}

/// What is enough, and why it holds; a curve is named by its own sentence.
fn sufficient(shown: &str, why: Option<String>) -> String {
    match why {
        Some(why) if why.starts_with("f(") || why.starts_with("it suffices") => why,
        Some(why) => format!("it suffices that {shown}: {why}"),
        None => format!("it suffices that {shown}"),
    }
}

/// The operation that leads back from an intermediate claim to the goal.
fn undone(rest: &Proof) -> Option<&'static str> {
    let Proof::Direct(steps) = rest else {
        return None;
    };
    steps.iter().find_map(|step| match step {
        Step::Lemma(Lemma::LogOrder | Lemma::LogStrictOrder, _) => Some("take logarithms"),
        Step::Lemma(Lemma::RootOrder | Lemma::RootAbove, _) => {
            Some("take n-th powers of both sides")
        }
        _ => None,
    })
}

/// What a goal claims.
fn of_claim(goal: &Goal) -> Option<String> {
    match goal {
        Goal::Holds(left, relation, right) => Some(format!(
            "{} {} {}",
            written(left),
            relation.sign(),
            written(right)
        )),
        _ => None,
    }
}

/// The difference of a goal's sides that is claimed to be ≥ 0, simplified where that is shorter.
fn difference_shown(case: &Problem, goal: &Goal) -> Option<String> {
    let Goal::Holds(left, relation, right) = goal else {
        return None;
    };
    let (larger, smaller) = match relation {
        Relation::Less | Relation::LessEqual => (right, left),
        _ => (left, right),
    };
    let is_zero = |side: &Expr| side.as_number().is_some_and(|own| own.is_zero());
    let gap = if is_zero(smaller) {
        larger.clone()
    } else if is_zero(larger) {
        smaller.negative()
    } else {
        larger.minus(smaller)
    };
    Some(simplified(&Context::of(case), &gap))
}

/// The shorter of an expression and its normal form in the situation, as text.
fn simplified(context: &Context, value: &Expr) -> String {
    written(&direct::shortest(context, value))
}

/// The derivative of a difference: in normal form, else as the rules of school give it.
fn derived(case: &Problem, gap: &Expr, variable: &Symbol, value: &Expr) -> String {
    let context = Context::of(case);
    match (
        context.normal(value),
        calculus::differentiate(gap, variable),
    ) {
        (None, Some(slope)) => written(&slope),
        _ => simplified(&context, value),
    }
}

/// Monotone and concave differences, majorants.
fn of_analysis(problem: &Problem, proof: &Proof, depth: usize) -> Option<String> {
    match proof {
        Proof::Monotone {
            variable,
            rising,
            end,
            slope,
            strict_slope,
            start,
            ..
        } => {
            let cases = parts::monotone_parts(problem, variable, *rising, end, *strict_slope)?;
            let [_, _, bent, begun] = &cases;
            let shown = difference_shown(bent, &problem.goal)?;
            let Goal::Holds(value, relation, _) = &bent.goal else {
                return None;
            };
            let (gap, _) = parts::difference(&problem.goal)?;
            let derivative = derived(bent, &gap, variable, value);
            let word = if *rising { "increases" } else { "decreases" };
            let plain = matches!(slope.as_ref(), Proof::Direct(steps)
                if direct::is_by_inspection(bent, steps));
            let why = of_proof(bent, slope, depth)
                .filter(|why| !plain && why.chars().count() < terms::LONGEST)
                .filter(|why| why.starts_with("f(") || !why.contains("; "))
                .map_or_else(String::new, |why| match why.strip_prefix("f(") {
                    // A second function has a name of its own.
                    Some(_) => format!(" ({})", why.replace("f(", "g(").replace(" f ", " g ")),
                    None => format!(" ({why})"),
                });
            let Goal::Holds(value, least, _) = &begun.goal else {
                return None;
            };
            let first = simplified(&Context::of(begun), value);
            let begins = of_proof(begun, start, depth.min(2))
                .filter(|why| first.parse::<f64>().is_err() && why.chars().count() < terms::LONGEST)
                .map_or_else(String::new, |why| format!(" ({why})"));
            let first = match first.as_str() {
                "0" => first,
                _ => format!("{first} {} 0", least.sign()),
            };
            Some(format!(
                "f({variable}) = {shown} has the derivative {derivative} {} 0{why}, so f {word} and \
                 f({variable}) ≥ f({}) = {first}{begins}",
                relation.sign(),
                written(end),
            ))
        }
        Proof::Concave {
            variable,
            left,
            right,
            strict_bend,
            ..
        } => {
            let cases = parts::concave_parts(problem, variable, left, right, *strict_bend)?;
            let [_, _, bent, low, high] = &cases;
            let value = |case: &Problem| match &case.goal {
                Goal::Holds(value, _, _) => Some(simplified(&Context::of(case), value)),
                _ => None,
            };
            Some(format!(
                "f({variable}) = {} has the second derivative {} ≤ 0, so f is concave and lies \
                 above the chord between its end points, f({}) = {} and f({}) = {}",
                difference_shown(bent, &problem.goal)?,
                value(bent)?,
                written(left),
                value(low)?,
                written(right),
                value(high)?,
            ))
        }
        Proof::Majorant(own) => {
            let Goal::TendsToZero { term, index, .. } = &problem.goal else {
                return None;
            };
            if own.shape == Shape::Zero {
                return Some(format!("{} is 0", written(term)));
            }
            let bound = parts::majorant_bound(&own.coefficient, &own.shape, index);
            let all = parts::majorant_parts(problem, &own.coefficient, &own.shape, own.start)?;
            let since = if own.start > 1 {
                format!(" for {index} ≥ {}", own.start)
            } else {
                String::new()
            };
            let why = of_proof(all.first()?, &own.bound, depth)
                .filter(|why| why.contains(char::is_alphabetic))
                .filter(|why| why.chars().count() < 2 * terms::LONGEST)
                .map_or_else(String::new, |why| format!(" ({why})"));
            Some(format!(
                "{} ≤ {}{since}{why}, and this bound tends to 0",
                written(&parts::size(term)),
                written(&bound)
            ))
        }
        _ => None,
    }
}
