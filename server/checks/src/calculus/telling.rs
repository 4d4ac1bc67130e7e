//! What is told of a false claim of calculus: which, the numbers, and what would be right.

use super::Question;
use crate::catalogue;
use crate::check::Check;
use crate::engine::{Engine, shown};
use crate::judge::{Judged, Told, links_of, relation_of};
use crate::scope::Setting;
use crate::wording;
use argument::{Assertion, Content, Entry, Slope};
use kernel::{Relation, show};

/// The finding of a refuted claim.
pub(crate) fn tell(engine: &Engine<'_>, position: usize, judged: &Judged) -> Option<Told> {
    let entry = &engine.argument.entries[position];
    let Content::Assertion(Assertion::Calculus(said)) = &entry.content else {
        return None;
    };
    let judgement = judged.judgements[position].as_ref()?;
    let setting = Setting::of(engine.argument, &entry.scope);
    // Where the text does not name the function, the first one that may be meant is spoken of.
    let question = Question::of(engine, &setting, said, said.subjects.first()?);
    let cure = engine.quickly(|| question.cure(&said.slope));
    let told = Told::new(
        check_of(&said.slope),
        entry.span,
        wording::calculus(
            opening(&said.slope),
            &judgement.reading,
            &judgement.evidence,
            cure.as_deref(),
        ),
    );
    Some(told.at(position).showing(judgement.counterexample.as_ref()))
}

fn check_of(slope: &Slope) -> &'static Check {
    match slope {
        Slope::Derivative { .. } => &catalogue::DERIVATIVE_WRONG,
        Slope::Zeros { .. } => &catalogue::CRITICAL_POINT_WRONG,
        Slope::Sign { .. } => &catalogue::SIGN_CHART_WRONG,
        Slope::Extremum { .. } => &catalogue::EXTREMUM_WRONG,
    }
}

fn opening(slope: &Slope) -> &'static str {
    match slope {
        Slope::Derivative { .. } => "This derivative is wrong",
        Slope::Zeros { .. } => "This is wrong about where the derivative vanishes",
        Slope::Sign { .. } => "This is wrong about the sign of the derivative",
        Slope::Extremum { .. } => "This is wrong about the extreme value or its place",
    }
}

/// The check of a false statement that is no link of a chain: an implication, a supremum.
pub(crate) fn check_of_failure(entry: &Entry) -> &'static Check {
    match &entry.content {
        Content::Assertion(Assertion::Implication { .. }) if entry.derivative => {
            &catalogue::CRITICAL_POINT_WRONG
        }
        Content::Assertion(Assertion::Extremum {
            relation: Relation::Equal,
            ..
        }) => &catalogue::EXTREMUM_WRONG,
        _ => &catalogue::STEP_FAILS,
    }
}

/// The check of a false link: of a chain that begins with a supremum, the value that it gives.
pub(crate) fn check_of_link(engine: &Engine<'_>, entry: &Entry) -> &'static Check {
    let of_extremum = entry.chain.is_some_and(|(chain, _)| {
        links_of(engine.argument, chain)
            .next()
            .is_some_and(|(_, first)| {
                matches!(
                    first.content,
                    Content::Assertion(Assertion::Extremum {
                        relation: Relation::Equal,
                        ..
                    })
                )
            })
    });
    let equal = relation_of(entry).is_some_and(|(_, relation, _)| relation == Relation::Equal);
    if of_extremum && equal {
        &catalogue::EXTREMUM_WRONG
    } else {
        &catalogue::STEP_FAILS
    }
}

/// The finding of a false relation whose left side is written as a derivative; `None` if it is
/// not.
pub(crate) fn told_of_relation(
    engine: &Engine<'_>,
    judged: &Judged,
    position: usize,
) -> Option<Told> {
    let entry = &engine.argument.entries[position];
    let (left, relation, right) = relation_of(entry).filter(|_| entry.derivative)?;
    let zero = right.as_number().is_some_and(|number| number.is_zero());
    let slope = match (relation, zero) {
        (Relation::Equal, false) => Slope::Derivative {
            value: right.clone(),
        },
        (Relation::Equal, true) => Slope::Zeros {
            places: Vec::new(),
            only: false,
        },
        (Relation::NotEqual, _) | (_, false) => return None,
        (_, true) => Slope::Sign {
            relation,
            within: Vec::new(),
            of_derivative: true,
        },
    };
    let judgement = judged.judgements[position].as_ref()?;
    let cure = match slope {
        Slope::Derivative { .. } => {
            let setting = Setting::of(engine.argument, &entry.scope);
            Some(format!(
                "The derivative is {}",
                super::cure::short(engine, &setting, left)
            ))
        }
        _ => None,
    };
    let counterexample = judgement.counterexample.as_ref()?;
    let (reading, other) = match slope {
        Slope::Derivative { .. } => (
            format!("the derivative is {}", show::plain(right)),
            "what stands here",
        ),
        _ => (
            format!("the derivative is {} 0 here", relation.sign()),
            "against",
        ),
    };
    let numbers = wording::sides(&shown(counterexample), "the derivative", other);
    let told = Told::new(
        check_of(&slope),
        entry.span,
        wording::calculus(opening(&slope), &reading, &numbers, cure.as_deref()),
    );
    Some(told.at(position).showing(judgement.counterexample.as_ref()))
}
