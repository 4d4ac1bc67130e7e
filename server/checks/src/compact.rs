//! What is drawn from continuity on an interval that lacks an end, and holds on compact ones.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told};
use crate::wording;

/// Tells of the first such sentence.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    if let Some((span, lacking)) = engine.argument.lacking.first() {
        judged.findings.push(Told::new(
            &catalogue::CONCLUSION_NOT_REACHED,
            *span,
            wording::lacks_compactness(*lacking),
        ));
    }
}
