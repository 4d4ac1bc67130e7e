//! One run of `scratch`: a draft read, and written again with scratch work and proofs in it.

use crate::aided;
use crate::cli::ScratchArguments;
use crate::collect::{Collection, collect, shown};
use crate::progress::Watch;
use crate::run;
use crate::settings::Courses;

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

/// Writes what is asked for.
///
/// # Errors
/// One line in words if it cannot be read, is a folder of several drafts, or the work was
/// interrupted.
pub(crate) fn run(
    arguments: &ScratchArguments,
    courses: &mut Courses,
    watch: &Watch,
) -> Result<Outcome, String> {
    let path = &arguments.path;
    let pool = run::pool(None)?;
    pool.install(|| {
        let Collection {
            drafts, skipped, ..
        } = collect(std::slice::from_ref(path), courses)?;
        if let Some(skipped) = skipped.first() {
            return Err(format!("{}: {}", skipped.path, skipped.reason));
        }
        let [draft] = drafts.as_slice() else {
            return Err(format!("{}: give one draft, not a folder", shown(path)));
        };
        let companions = aided::with_macros(&draft.companions, &draft.course);
        let (settings, stop) = (&draft.course.settings, watch.stop());
        let interrupted = "interrupted: nothing was written";
        if let Some(count) = arguments.variants {
            let count = usize::from(count);
            let sheet = scratch::variants(
                &draft.text,
                draft.format,
                &companions,
                settings,
                scratch::Choice {
                    count,
                    seed: arguments.seed,
                },
                stop,
            )
            .ok_or(interrupted)?;
            let missing = sheet.missing;
            let remark = format!("{}: {missing} variants were not found", draft.path);
            return Ok(Outcome {
                text: sheet.text,
                remarks: (0 < missing).then_some(remark).into_iter().collect(),
            });
        }
        let written = scratch::write(&draft.text, draft.format, &companions, settings, stop)
            .ok_or(interrupted)?;
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
