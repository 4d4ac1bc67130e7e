//! The reason of a proof in a teacher's words, read off its certificate.

use crate::expr::{Condition, Expr, Relation};
use crate::goal::{Goal, Problem};
use crate::recheck::{Certificate, Context, Lemma, Poly, Proof, Shape, Sign, Step, parts};
use crate::show::plain;

/// One line that says why the statement holds; `None` where nothing short can be said.
#[must_use]
pub fn explain(certificate: &Certificate) -> Option<String> {
    of_proof(certificate.problem(), certificate.proof(), 6)
}

fn of_proof(problem: &Problem, proof: &Proof, depth: usize) -> Option<String> {
    let depth = depth.checked_sub(1)?;
    match proof {
        Proof::Direct(steps) => of_steps(problem, steps),
        Proof::Cases {
            on,
            against,
            branches,
            ..
        } => {
            // The case that says most speaks for all.
            let said: Vec<String> = branches
                .iter()
                .filter_map(|(relation, branch)| {
                    let case = Condition::Holds(on.clone(), *relation, against.clone());
                    let case = problem.assuming(case, crate::goal::Origin::Assumption);
                    of_proof(&case, branch, depth)
                })
                .collect();
            let rank = |text: &&String| {
                let put = text.starts_with("put ") && !text.contains(';');
                2 * u8::from(put) + u8::from(text.starts_with("multiply by"))
            };
            said.iter().min_by_key(rank).cloned()
        }
        Proof::Either { branches, .. } => branches
            .iter()
            .find_map(|branch| of_proof(problem, branch, depth)),
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
            of_proof(&case, rest, depth)
                .or_else(|| Some(format!("put {variable} = {} in", plain(value))))
        }
        Proof::Through { claim, first, rest } => {
            let Condition::Holds(left, relation, right) = claim else {
                return None;
            };
            let goal = Goal::Holds(left.clone(), *relation, right.clone());
            let why = of_proof(&problem.with_goal(goal), first, depth);
            if logarithmic(rest) {
                return Some(match why {
                    Some(why) => format!("take logarithms; {why}"),
                    None => "take logarithms of both sides".to_owned(),
                });
            }
            why
        }
        Proof::Values {
            variable,
            tail,
            single,
            from,
        } => {
            let last = from + i64::try_from(single.len()).ok()? - 1;
            let why = of_proof(problem, tail, depth);
            Some(match why {
                Some(why) => format!("check {variable} = {from} to {last} one by one; then {why}"),
                None => format!(
                    "check {variable} = {from} to {last} one by one, then all larger {variable} at once"
                ),
            })
        }
        Proof::Parity { variable, .. } => Some(format!("look at even and odd {variable}")),
        Proof::Induction { variable, from, .. } => Some(format!(
            "by induction on {variable}, starting at {variable} = {from}"
        )),
        Proof::Monotone { .. } | Proof::Concave { .. } | Proof::Majorant(_) => {
            of_analysis(problem, proof)
        }
    }
}

/// Monotone and concave differences, majorants.
fn of_analysis(problem: &Problem, proof: &Proof) -> Option<String> {
    match proof {
        Proof::Monotone {
            variable,
            rising,
            end,
            ..
        } => {
            let (gap, _) = parts::difference(&problem.goal)?;
            let word = if *rising { "increases" } else { "decreases" };
            Some(format!(
                "{} {word} in {variable}, so its value at {variable} = {} decides",
                plain(&gap),
                plain(end)
            ))
        }
        Proof::Concave {
            variable,
            left,
            right,
            ..
        } => {
            let (gap, _) = parts::difference(&problem.goal)?;
            Some(format!(
                "{} is concave in {variable} and not negative at {} and {}",
                plain(&gap),
                plain(left),
                plain(right)
            ))
        }
        Proof::Majorant(own) => {
            let Goal::TendsToZero { term, index, .. } = &problem.goal else {
                return None;
            };
            let bound = parts::majorant_bound(&own.coefficient, &own.shape, index);
            let since = if own.start > 1 {
                format!(" for {index} ≥ {}", own.start)
            } else {
                String::new()
            };
            match own.shape {
                Shape::Zero => Some(format!("{} is 0", plain(term))),
                _ => Some(format!(
                    "|{}| ≤ {}{since}, which tends to 0",
                    plain(term),
                    plain(&bound)
                )),
            }
        }
        _ => None,
    }
}

fn logarithmic(proof: &Proof) -> bool {
    matches!(proof, Proof::Direct(steps) if steps.iter().any(|step| {
        matches!(step, Step::Lemma(Lemma::LogOrder | Lemma::LogStrictOrder, _))
    }))
}

fn of_steps(problem: &Problem, steps: &[Step]) -> Option<String> {
    let used = used_lemmas(problem, steps);
    if let Some(text) = steps.iter().rev().find_map(of_step) {
        return Some(match used.first() {
            Some(lemma) => format!("{lemma}; {text}"),
            None => text,
        });
    }
    if !used.is_empty() {
        return Some(used.join(" and "));
    }
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    if *relation == Relation::Equal {
        return Some("both sides have the same normal form".to_owned());
    }
    // A denominator of known sign was cleared.
    let context = Context::of(problem);
    let form = context.normal(&left.minus(right))?;
    let factor = form
        .denominator()
        .iter()
        .filter(|(_, power)| *power % 2 == 1)
        .filter_map(|(factor, _)| {
            let own = context.sign_of(factor);
            if own.has(Sign::Positive) {
                Some(factor.clone())
            } else if own.at_most {
                Some(factor.negative())
            } else {
                None
            }
        })
        .max_by_key(Poly::count)?;
    let numerator = context.signed_numerator(&form);
    let factor = plain(&factor.to_expr());
    let reading = match relation {
        Relation::Less | Relation::LessEqual => numerator.negative(),
        _ => numerator,
    };
    let sign = match relation {
        Relation::Less | Relation::Greater => ">",
        Relation::NotEqual => "≠",
        _ => "≥",
    };
    Some(format!(
        "multiply by {factor} > 0: what is left is {} {sign} 0",
        plain(&reading.to_expr())
    ))
}

fn unsigned(expr: &Expr) -> &Expr {
    match expr.node() {
        crate::expr::Node::Neg(inner) => inner,
        _ => expr,
    }
}

/// What a single step says.
fn of_step(step: &Step) -> Option<String> {
    match step {
        Step::Combine(terms, _) => terms
            .iter()
            .flat_map(|term| &term.squares)
            .next()
            .map(|square| format!("({})² ≥ 0", plain(square))),
        Step::Compare {
            larger,
            smaller,
            power,
        } => {
            let word = if *power == 2 {
                "square both sides"
            } else {
                "take powers of both sides"
            };
            Some(format!(
                "{word}: compare {} with {}",
                plain(larger),
                plain(unsigned(smaller))
            ))
        }
        Step::Roots { value, atom, .. } => Some(format!(
            "{} has no sign change in {}",
            plain(value),
            plain(atom)
        )),
        Step::Instance(claim, proof, values) => {
            let (name, value) = values.first()?;
            let substitution = if value.as_variable() == Some(name) {
                None
            } else {
                Some(format!("put {name} = {}", plain(value)))
            };
            let inner = of_proof(claim, proof, 3);
            match (substitution, inner) {
                (Some(put), Some(inner)) => Some(format!("{put}; {inner}")),
                (one, other) => one.or(other),
            }
        }
        Step::Telescope { primitive, .. } | Step::Exhaust { primitive, .. } => {
            Some(format!("the sum telescopes with {}", plain(primitive)))
        }
        Step::Geometric(_, ratio) => Some(format!("geometric sum with ratio {}", plain(ratio))),
        Step::Refute(_, _, steps) => steps.iter().find_map(of_step),
        _ => None,
    }
}

/// The lemmas whose facts the closing combination uses, in words; if none is named, the last.
fn used_lemmas(problem: &Problem, steps: &[Step]) -> Vec<String> {
    let mut context = Context::of(problem);
    let mut owners: Vec<(usize, usize, &Step)> = Vec::new();
    for step in steps {
        let before = context.facts().len();
        if context.step(step).is_none() {
            return Vec::new();
        }
        if matches!(step, Step::Lemma(..)) {
            owners.push((before, context.facts().len(), step));
        }
    }
    let places = |steps: &[Step]| -> Vec<usize> {
        steps
            .iter()
            .rev()
            .find_map(|step| match step {
                Step::Combine(terms, _) => Some(
                    terms
                        .iter()
                        .flat_map(|term| term.facts.iter().copied())
                        .collect(),
                ),
                Step::Refute(_, _, inner) => inner.iter().rev().find_map(|step| match step {
                    Step::Combine(terms, _) => Some(
                        terms
                            .iter()
                            .flat_map(|term| term.facts.iter().copied())
                            .collect(),
                    ),
                    _ => None,
                }),
                _ => None,
            })
            .unwrap_or_default()
    };
    let mut used = places(steps);
    // A lemma may state the goal itself.
    if let Goal::Holds(left, _, right) = &problem.goal
        && let Some(form) = context.normal(&left.minus(right))
    {
        let goal = context.signed_numerator(&form).split().2;
        let facts = context.facts().iter().enumerate();
        used.extend(
            facts
                .filter(|(_, (poly, _))| poly.split().2 == goal)
                .map(|(place, _)| place),
        );
    }
    let mut words: Vec<String> = Vec::new();
    for (from, to, step) in owners {
        let takes_part = used.iter().any(|place| (from..to).contains(place));
        if let Step::Lemma(lemma, arguments) = step
            && takes_part
            && words.len() < 2
            && let Some(text) = lemma_words(*lemma, arguments)
            && !words.contains(&text)
        {
            words.push(text);
        }
    }
    words
}

fn lemma_words(lemma: Lemma, arguments: &[Expr]) -> Option<String> {
    let first = arguments.first()?;
    let u = plain(first);
    let second = arguments.get(1).map(plain).unwrap_or_default();
    let text = match lemma {
        Lemma::ExpTangent => format!("since eᵗ ≥ 1 + t, with t = {u}"),
        Lemma::ExpSecond => format!("since eᵗ ≥ 1 + t + t²/2 for t ≥ 0, with t = {u}"),
        Lemma::ExpThird => format!("since eᵗ ≥ 1 + t + t²/2 + t³/6, with t = {u}"),
        Lemma::ExpBelowOne => format!("since eᵗ ≤ 1 for t ≤ 0, with t = {u}"),
        Lemma::ExpUpper => format!("since eᵗ ≤ 1 + t + t² for t ≤ 1, with t = {u}"),
        Lemma::ExpThroughOrigin => format!("since eᵗ ≥ e t, with t = {u}"),
        Lemma::LogTangent => format!("since ln t ≤ t − 1, with t = {u}"),
        Lemma::LogLower => format!("since ln(1 + t) ≥ 2t/(2 + t) for t ≥ 0, with t = {u}"),
        Lemma::LogSeries => {
            format!("since t − t²/2 ≤ ln(1 + t) ≤ t − t²/2 + t³/3 for t ≥ 0, with t = {u}")
        }
        Lemma::LogMinimum => format!("since t ln t ≥ −1/e, with t = {u}"),
        Lemma::LogMonotone => "since the logarithm increases".to_owned(),
        Lemma::CircleBound => format!("since |sin t| ≤ 1 and |cos t| ≤ 1, with t = {u}"),
        Lemma::SineLinear => format!("since |sin t| ≤ |t|, with t = {u}"),
        Lemma::SineCubic => format!("since sin t ≥ t − t³/6 for t ≥ 0, with t = {u}"),
        Lemma::CosineSquare => format!("since cos t ≥ 1 − t²/2, with t = {u}"),
        Lemma::CosineFourth => format!("since cos t ≤ 1 − t²/2 + t⁴/24, with t = {u}"),
        Lemma::Lipschitz => {
            format!("since a difference of values of sin, cos, arctan is at most |{u} − {second}|")
        }
        Lemma::AtanBound => "since |arctan t| < π/2".to_owned(),
        Lemma::AtanLinear => format!("since 0 ≤ arctan t ≤ t for t ≥ 0, with t = {u}"),
        Lemma::PowerSmall => {
            format!(
                "since 0 ≤ b ≤ 1 gives bᵏ ≤ b and bᵏ(1 + k(1 − b)) ≤ 1, with b = {u}, k = {second}"
            )
        }
        Lemma::Bernoulli => {
            format!("by Bernoulli's inequality bᵏ ≥ 1 + k(b − 1), with b = {u}, k = {second}")
        }
        Lemma::Binomial | Lemma::BinomialThird => {
            format!("by the first terms of the binomial expansion of ({u})^{second}")
        }
        Lemma::PowerMonotone => format!("since powers increase: {u} ≤ {second}"),
        Lemma::FactorialGrowth => format!("since k! ≥ 2ᵏ⁻¹, with k = {u}"),
        Lemma::RootMonotone => format!("since roots increase: {u} ≥ {second}"),
        Lemma::FloorBound => format!("since ⌊t⌋ ≤ t < ⌊t⌋ + 1, with t = {u}"),
        Lemma::CeilBound => format!("since t ≤ ⌈t⌉ < t + 1, with t = {u}"),
        Lemma::MinBelow => "since a minimum is at most each of its members".to_owned(),
        Lemma::MaxAbove => "since a maximum is at least each of its members".to_owned(),
        Lemma::AbsoluteValue => "since |t| ≥ t and |t| ≥ −t".to_owned(),
        _ => return None,
    };
    Some(text)
}
