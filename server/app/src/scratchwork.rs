//! One run of `scratch`: a draft read, and written again with scratch work and proofs in it.

use crate::aided;
use crate::collect::{Collection, collect, shown};
use crate::progress::Watch;
use crate::run;
use crate::settings::Courses;
use std::path::Path;

/// A draft with what was put in.
#[derive(Debug)]
pub(crate) struct Outcome {
    /// The whole draft.
    pub(crate) text: String,
    /// One line for each exercise that has no proof still.
    pub(crate) remarks: Vec<String>,
}

impl Outcome {
    /// 0 if every exercise has a proof, else 1.
    pub(crate) fn status(&self) -> u8 {
        u8::from(!self.remarks.is_empty())
    }
}

/// Writes the draft at `path`.
///
/// # Errors
/// One line in words if it cannot be read, is a folder of several drafts, or the work was
/// interrupted.
pub(crate) fn run(path: &Path, courses: &mut Courses, watch: &Watch) -> Result<Outcome, String> {
    let pool = run::pool(None)?;
    pool.install(|| {
        let Collection {
            drafts, skipped, ..
        } = collect(&[path.to_owned()], courses)?;
        if let Some(skipped) = skipped.first() {
            return Err(format!("{}: {}", skipped.path, skipped.reason));
        }
        let [draft] = drafts.as_slice() else {
            return Err(format!("{}: give one draft, not a folder", shown(path)));
        };
        let companions = aided::with_macros(&draft.companions, &draft.course);
        let written = scratch::write(
            &draft.text,
            draft.format,
            &companions,
            &draft.course.settings,
            watch.stop(),
        )
        .ok_or("interrupted: nothing was written")?;
        let remark = |outcome: &scratch::Outcome| {
            let title = outcome.title.as_deref().unwrap_or("the exercise");
            let trouble = outcome.trouble.as_ref()?;
            Some(format!("{}: {title}: {trouble}", draft.path))
        };
        Ok(Outcome {
            remarks: written.outcomes.iter().filter_map(remark).collect(),
            text: written.text,
        })
    })
}
