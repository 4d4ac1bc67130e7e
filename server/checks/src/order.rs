//! The order of quantifiers in definitions that the text spells out.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told};
use crate::wording;
use argument::{Formal, Notion, Quantified};

/// Tells of spelled-out definitions in which a threshold comes after what it must not depend on.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    for formal in &engine.argument.formals {
        let Some(notion) = formal.notion.filter(|notion| *notion != Notion::Pointwise) else {
            continue;
        };
        if let Some((early, late)) = out_of_order(formal) {
            judged.findings.push(Told::new(
                &catalogue::QUANTIFIERS_OUT_OF_ORDER,
                formal.span,
                wording::out_of_order(notion, early.name.as_str(), late.name.as_str()),
            ));
        }
    }
}

/// A name that is quantified before the threshold and otherwise than it, with the threshold.
fn out_of_order(formal: &Formal) -> Option<(&Quantified, &Quantified)> {
    let at = formal.quantified.iter().position(|name| name.chosen)?;
    let threshold = &formal.quantified[at];
    formal.quantified[..at]
        .iter()
        .find(|name| !name.tolerance && name.quantifier != threshold.quantifier)
        .map(|early| (early, threshold))
}
