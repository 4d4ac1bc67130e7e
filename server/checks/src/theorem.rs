//! Theorems that are used or stated without a hypothesis of theirs.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told};
use crate::wording;

/// Tells of the first sentence of each kind.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    let argument = engine.argument;
    let compact = argument
        .lacking
        .first()
        .map(|(span, lacking)| (*span, wording::lacks_compactness(*lacking)));
    let compared = argument
        .alternating_comparison
        .map(|span| (span, wording::limit_comparison_of_signs()));
    let composed = argument
        .composed_limit
        .map(|span| (span, wording::limit_of_a_composition()));
    let below = argument
        .supremum_below
        .map(|span| (span, wording::supremum_of_smaller_numbers()));
    for (span, message) in [compact, compared, composed, below].into_iter().flatten() {
        judged
            .findings
            .push(Told::new(&catalogue::CONCLUSION_NOT_REACHED, span, message));
    }
}
