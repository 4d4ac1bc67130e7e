//! Limits and integrals exchanged without what allows it.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told};
use crate::wording;
use argument::{Assertion, Content};

/// Beginnings of words that may justify an exchange: what they tell is not weighed here.
const ALLOWING: [&str; 11] = [
    "domin", "majoris", "majoriz", "majorant", "lebesgue", "monoton", "beppo", "fatou", "fubini",
    "bounded", "justif",
];

/// Tells of exchanges that rest on pointwise convergence alone, or on uniform convergence over an
/// unbounded interval.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let argument = engine.argument;
    let Some((span, refers)) = argument.exchanges.first() else {
        return;
    };
    // On an unbounded interval no common bound serves.
    let allowing = |stem: &&str| !(argument.endless_integral && **stem == *"bounded");
    let allowing: Vec<&str> = ALLOWING.into_iter().filter(allowing).collect();
    if argument.says(&allowing) {
        return;
    }
    let uniform = argument.says(&["unif"])
        || argument.entries.iter().any(|entry| match &entry.content {
            Content::Assertion(Assertion::Convergence { error, .. }) => error.uniform,
            Content::Assertion(Assertion::Extremum { .. }) => true,
            _ => false,
        });
    let message = match (uniform, argument.endless_integral) {
        // "By (a) we may interchange": what (a) shows stands elsewhere.
        (false, _) if *refers => return,
        (false, _) => wording::exchange_pointwise(),
        (true, true) => wording::exchange_endless(),
        (true, false) => return,
    };
    judged.findings.push(Told::new(
        &catalogue::CONCLUSION_NOT_REACHED,
        *span,
        message,
    ));
}
