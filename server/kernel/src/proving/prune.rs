//! Leaves out the steps that a direct proof does not need, so that its reason tells no detours.

use crate::goal::Problem;
use crate::recheck::{Context, Step, Term, parts};

/// The steps that are needed to close the problem's goal, with the places of facts renumbered.
pub(super) fn pruned(problem: &Problem, steps: &[Step]) -> Vec<Step> {
    let mut contexts = vec![Context::of(problem)];
    for step in steps {
        let mut next = contexts[contexts.len() - 1].clone();
        if parts::closes(&next, &problem.goal) || next.step(step).is_none() {
            break;
        }
        contexts.push(next);
    }
    let mut kept: Vec<Step> = Vec::new();
    for place in (0..contexts.len() - 1).rev() {
        let (before, after) = (&contexts[place], &contexts[place + 1]);
        let removed = (before.facts().len(), after.facts().len());
        if let Some(rest) = renumbered(&kept, removed)
            && closes(before, &rest, problem)
        {
            kept = rest;
        } else {
            kept.insert(0, steps[place].clone());
        }
    }
    kept
}

fn closes(context: &Context, steps: &[Step], problem: &Problem) -> bool {
    let mut own = context.clone();
    steps.iter().all(|step| own.step(step).is_some()) && parts::closes(&own, &problem.goal)
}

/// The steps as they read when the facts from `first` up to `end` are missing; none if a step
/// needs one of them.
fn renumbered(steps: &[Step], (first, end): (usize, usize)) -> Option<Vec<Step>> {
    let moved = |place: usize| match place {
        _ if place < first => Some(place),
        _ if place < end => None,
        _ => Some(place - (end - first)),
    };
    steps
        .iter()
        .map(|step| {
            Some(match step {
                Step::Combine(terms, multiples) => Step::Combine(
                    terms
                        .iter()
                        .map(|term| {
                            let facts = term.facts.iter().map(|place| moved(*place));
                            Some(Term {
                                facts: facts.collect::<Option<_>>()?,
                                ..term.clone()
                            })
                        })
                        .collect::<Option<_>>()?,
                    multiples
                        .iter()
                        .map(|(place, factor)| Some((moved(*place)?, factor.clone())))
                        .collect::<Option<_>>()?,
                ),
                Step::Divide(place, factor) => Step::Divide(moved(*place)?, factor.clone()),
                Step::Whole(place) => Step::Whole(moved(*place)?),
                Step::Refute(value, sign, inner) => {
                    Step::Refute(value.clone(), *sign, renumbered(inner, (first, end))?)
                }
                Step::Telescope {
                    sum,
                    primitive,
                    relation,
                    steps,
                } => Step::Telescope {
                    sum: sum.clone(),
                    primitive: primitive.clone(),
                    relation: *relation,
                    steps: renumbered(steps, (first, end))?,
                },
                Step::Termwise {
                    sum,
                    other,
                    relation,
                    steps,
                } => Step::Termwise {
                    sum: sum.clone(),
                    other: other.clone(),
                    relation: *relation,
                    steps: renumbered(steps, (first, end))?,
                },
                Step::Exhaust {
                    sum,
                    primitive,
                    relation,
                    steps,
                    vanishing,
                } => Step::Exhaust {
                    sum: sum.clone(),
                    primitive: primitive.clone(),
                    relation: *relation,
                    steps: renumbered(steps, (first, end))?,
                    vanishing: vanishing.clone(),
                },
                Step::Squeeze {
                    sum,
                    lower,
                    upper,
                    steps,
                    vanishing,
                } => Step::Squeeze {
                    sum: sum.clone(),
                    lower: lower.clone(),
                    upper: upper.clone(),
                    steps: renumbered(steps, (first, end))?,
                    vanishing: vanishing.clone(),
                },
                other => other.clone(),
            })
        })
        .collect()
}
