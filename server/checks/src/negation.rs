//! Negations that a text spells out: each quantifier turns into the other, and what is promised
//! into its opposite.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told};
use crate::wording;
use argument::{Quantified, Quantifier, Spelled};
use kernel::Relation;

/// Tells of sentences that are called a negation and keep a quantifier, or keep "if … then".
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let spelled = &engine.argument.spelled;
    for (position, negation) in spelled.iter().enumerate() {
        if !negation.denies {
            continue;
        }
        let original = spelled[..position]
            .iter()
            .rev()
            .find(|original| !original.denies && denied(original, negation));
        let fault = match original {
            Some(original) => against(original, negation),
            None => by_itself(negation),
        };
        if let Some(message) = fault {
            judged.findings.push(Told::new(
                &catalogue::NEGATION_WRONG,
                negation.span,
                message,
            ));
        }
    }
}

/// Whether a sentence promises the opposite of what another promises, of the same names.
fn denied(original: &Spelled, negation: &Spelled) -> bool {
    let (Some(promise), Some(opposite)) = (original.promised.last(), negation.promised.last())
    else {
        return false;
    };
    promise.1.negated() == opposite.1
        && letters(&promise.0) == letters(&opposite.0)
        && original.quantified.len() == negation.quantified.len()
        && original
            .quantified
            .iter()
            .all(|name| partner(name, negation).is_some())
}

/// What is wrong with the negation of a sentence that the text spells out before it.
fn against(original: &Spelled, negation: &Spelled) -> Option<String> {
    let kept = original.quantified.iter().find_map(|name| {
        let own = partner(name, negation)?;
        (own.quantifier == name.quantifier).then_some(own)
    });
    if let Some(kept) = kept {
        return Some(wording::negation_keeps(kept.name.as_str(), kept.quantifier));
    }
    // ∃ε ∀N is not ∀N ∃ε.
    let order = |spelled: &Spelled| -> Vec<String> {
        spelled
            .quantified
            .iter()
            .filter(|name| name.tolerance || name.chosen)
            .map(|name| letters(name.name.as_str()))
            .collect()
    };
    let (before, now) = (order(original), order(negation));
    if before != now
        && let [first, second] = before.as_slice()
    {
        return Some(wording::negation_reorders(first, second));
    }
    // The supposition of "if A then B" stays.
    if let ([(_, supposed, _), _], [(_, kept, _), _]) =
        (original.promised.as_slice(), negation.promised.as_slice())
        && original.implies
        && *kept == supposed.negated()
    {
        return Some(wording::negation_of_supposition());
    }
    (original.implies && negation.implies && original.promised.len() == negation.promised.len())
        .then(wording::negation_implies)
}

/// What is wrong with a sentence that says how a convergence or continuity fails: the tolerance
/// comes first, then whatever threshold is offered, then what fails there.
fn by_itself(negation: &Spelled) -> Option<String> {
    let (_, relation, right) = negation.promised.last()?;
    let tolerance = negation.quantified.iter().find(|name| name.tolerance)?;
    let chosen = negation.quantified.iter().find(|name| name.chosen)?;
    let fails = matches!(relation, Relation::GreaterEqual | Relation::Greater)
        && letters(right) == letters(tolerance.name.as_str());
    if !fails || negation.implies {
        return None;
    }
    let place = |wanted: &Quantified| {
        negation
            .quantified
            .iter()
            .position(|name| name.name == wanted.name)
    };
    let wrong = negation.quantified.iter().find(|name| {
        let right = if name.chosen {
            Quantifier::ForAll
        } else {
            Quantifier::Exists
        };
        // "∀L ∃ε ∀δ ∃x": what stands before both is not theirs.
        let own = name.tolerance || place(name) >= place(chosen).min(place(tolerance));
        own && name.quantifier != right
    });
    if let Some(wrong) = wrong {
        return Some(wording::negation_keeps(
            wrong.name.as_str(),
            wrong.quantifier,
        ));
    }
    (place(chosen) < place(tolerance)).then(|| {
        wording::negation_reorders(
            &letters(tolerance.name.as_str()),
            &letters(chosen.name.as_str()),
        )
    })
}

/// The same name in the other sentence, whatever index it bears: ε and ε₀.
fn partner<'s>(name: &Quantified, other: &'s Spelled) -> Option<&'s Quantified> {
    let own = letters(name.name.as_str());
    other
        .quantified
        .iter()
        .find(|candidate| letters(candidate.name.as_str()) == own)
}

/// A formula without the index 0 of its names.
fn letters(written: &str) -> String {
    written
        .replace("_{0}", "")
        .replace("_0", "")
        .replace('₀', "")
        .replace(['\\', '{', '}'], "")
        .replace("varepsilon", "ε")
        .replace("epsilon", "ε")
}
