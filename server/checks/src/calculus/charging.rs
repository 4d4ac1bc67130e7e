//! One mistake, one finding: what a wrong derivative, a wrong zero or a wrong sign entails.

use super::Question;
use crate::analysis::VerdictWord;
use crate::engine::Engine;
use crate::judge::relation_of;
use crate::scope::Setting;
use argument::{Assertion, Calculus, Content, Entry, Slope};
use kernel::{Condition, Expr, Relation};

/// Whether a false line of calculus was drawn from an earlier false one.
pub(crate) fn follows_from(engine: &Engine<'_>, earlier: &Entry, line: &Entry) -> bool {
    let places = wrong_places(engine, earlier);
    match &line.content {
        Content::Assertion(Assertion::Calculus(said)) => {
            // A chart with its signs exchanged is one mistake.
            if earlier.sentence == line.sentence && is_sign(earlier) && is_sign(line) {
                return true;
            }
            let slope = wrong_derivative(earlier);
            let by_slope = slope.is_some_and(|slope| follows_from_slope(engine, line, said, slope));
            by_slope || rests_on(said, &places, is_sign(earlier))
        }
        // "sup |f_n| = f_n(p)" with the wrong place p.
        Content::Assertion(Assertion::Extremum { value, points, .. }) => {
            let [point] = points.as_slice() else {
                return false;
            };
            subjects(earlier).iter().any(|function| {
                places.iter().any(|place| {
                    let there = function.substitute(point, place);
                    there == *value || there.abs() == *value
                })
            })
        }
        _ => false,
    }
}

fn is_sign(entry: &Entry) -> bool {
    matches!(&entry.content, Content::Assertion(Assertion::Calculus(said))
        if matches!(said.slope, Slope::Sign { .. }))
}

/// What the text wrongly gives for a derivative.
fn wrong_derivative(entry: &Entry) -> Option<&Expr> {
    match &entry.content {
        Content::Assertion(Assertion::Calculus(Calculus {
            slope: Slope::Derivative { value },
            ..
        })) => Some(value),
        _ if entry.derivative => {
            let (_, relation, right) = relation_of(entry)?;
            (relation == Relation::Equal).then_some(right)
        }
        _ => None,
    }
}

/// Whether the claim is what the wrong derivative would give.
fn follows_from_slope(engine: &Engine<'_>, line: &Entry, said: &Calculus, slope: &Expr) -> bool {
    let setting = Setting::of(engine.argument, &line.scope);
    said.subjects.iter().any(|subject| {
        let question = Question::of(engine, &setting, said, subject);
        let zeros = Slope::Zeros {
            places: match &said.slope {
                Slope::Extremum { places, .. } => places.clone(),
                _ => Vec::new(),
            },
            only: false,
        };
        let claim = match &said.slope {
            Slope::Extremum { places, .. } if places.is_empty() => return false,
            Slope::Extremum { .. } => &zeros,
            other => other,
        };
        question.of_derivative(claim, slope).verdict == VerdictWord::Proved
    })
}

/// The places that a false claim names, as far as they are wrong themselves.
fn wrong_places(engine: &Engine<'_>, entry: &Entry) -> Vec<Expr> {
    let mut places = named_places(entry);
    if let Content::Assertion(Assertion::Calculus(said)) = &entry.content {
        let setting = Setting::of(engine.argument, &entry.scope);
        let right = |place: &Expr| {
            said.subjects
                .iter()
                .any(|subject| Question::of(engine, &setting, said, subject).is_zero_at(place))
        };
        places.retain(|place| !right(place));
    }
    places
}

/// The places that a false claim names.
fn named_places(entry: &Entry) -> Vec<Expr> {
    let Content::Assertion(Assertion::Calculus(said)) = &entry.content else {
        return Vec::new();
    };
    match &said.slope {
        Slope::Zeros { places, .. } | Slope::Extremum { places, .. } => places.clone(),
        Slope::Sign { within, .. } => within
            .iter()
            .flat_map(|condition| sides(condition, said))
            .collect(),
        Slope::Derivative { .. } => Vec::new(),
    }
}

/// The sides of a condition that are free of the variable.
fn sides(condition: &Condition, said: &Calculus) -> Vec<Expr> {
    match condition {
        Condition::Holds(left, _, right) => [left, right]
            .into_iter()
            .filter(|side| !side.mentions(&said.point))
            .cloned()
            .collect(),
        _ => Vec::new(),
    }
}

fn subjects(entry: &Entry) -> Vec<Expr> {
    match &entry.content {
        Content::Assertion(Assertion::Calculus(said)) => said
            .subjects
            .iter()
            .map(|subject| subject.function.clone())
            .collect(),
        _ => Vec::new(),
    }
}

/// Whether a claim speaks of one of the places, which were wrong before.
fn rests_on(said: &Calculus, places: &[Expr], by_sign: bool) -> bool {
    // Ends like 0 stand in every sign chart, but a wrong sign makes them a place of the maximum.
    let extremum = matches!(said.slope, Slope::Extremum { .. });
    let names = |place: &Expr| {
        (place.as_number().is_none() || by_sign && extremum) && places.contains(place)
    };
    match &said.slope {
        Slope::Zeros { places, .. } | Slope::Extremum { places, .. } => places.iter().any(names),
        Slope::Sign { within, .. } => within
            .iter()
            .flat_map(|condition| sides(condition, said))
            .any(|side| names(&side)),
        Slope::Derivative { .. } => false,
    }
}
