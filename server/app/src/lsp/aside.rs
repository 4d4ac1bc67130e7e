//! Work beside the reviews: pictures for hovers and answers to exercises. It has a thread of its
//! own, so that no review waits for it, and keeps what it found while the draft stays as it is.

use super::compute::{Ended, Pool};
use super::place::Drift;
use crate::aided;
use crate::companions;
use crate::limits;
use crate::picture::{self, Chart};
use crate::settings::{Course, Courses};
use scratch::exercise::{Draft, Exercise, Part, Studied, lacking};
use scratch::portrait::{key, portrait};
use scratch::seek::Asker;
use source::{Companions, Format};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tower_lsp::lsp_types::Url;

/// A draft at the moment of a question.
#[derive(Clone, Debug)]
pub(super) struct Moment {
    /// Which draft.
    pub(super) url: Url,
    /// Which state of it.
    pub(super) revision: u64,
    /// Its text.
    pub(super) text: String,
    /// Its language.
    pub(super) format: Format,
}

/// The picture of an error term, in the forms that editors show.
#[derive(Debug)]
pub(super) struct Picture {
    /// The chart.
    pub(super) chart: Chart,
    /// What it shows, in sentences.
    pub(super) caption: String,
}

/// An answer, or why there is none.
pub(super) type Answer = Arc<Result<String, String>>;

/// The thread and what it found.
#[derive(Clone)]
pub(crate) struct Aside {
    pool: Pool,
    shelf: Arc<Mutex<Shelf>>,
}

#[derive(Default)]
struct Shelf {
    /// The latest state of a draft that was asked about, and what was found in it.
    latest: Option<(Url, u64)>,
    subjects: Option<Arc<Vec<Option<Studied>>>>,
    lacking: BTreeMap<Part, Arc<Vec<Exercise>>>,
    answers: BTreeMap<(usize, Part), Answer>,
    /// By the sequence: an edit elsewhere changes nothing of it.
    pictures: BTreeMap<String, Option<Arc<Picture>>>,
}

impl Shelf {
    /// Forgets what was found in other states of drafts.
    fn turn_to(&mut self, moment: &Moment) -> &mut Self {
        let own = (moment.url.clone(), moment.revision);
        if self.latest.as_ref() != Some(&own) {
            self.latest = Some(own);
            self.subjects = None;
            self.lacking.clear();
            self.answers.clear();
        }
        if limits::KEPT_PICTURES < self.pictures.len() {
            self.pictures.clear();
        }
        self
    }
}

/// Calls a job off when nobody waits for it any more.
struct Wanted(Arc<AtomicBool>);

impl Drop for Wanted {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl Aside {
    /// Starts the thread.
    ///
    /// # Errors
    /// If it cannot be had.
    pub(crate) fn start() -> std::io::Result<Self> {
        Ok(Self {
            pool: Pool::for_aside()?,
            shelf: Arc::default(),
        })
    }

    /// The picture for a place of the draft, if it is drawn soon; else it is kept for the next
    /// question.
    pub(super) async fn picture(
        &self,
        moment: Moment,
        drift: Drift,
        offset: usize,
    ) -> Option<Arc<Picture>> {
        let shelf = Arc::clone(&self.shelf);
        let job = self
            .pool
            .run(move || picture_at(&shelf, &moment, drift, offset));
        match tokio::time::timeout(limits::PICTURE_WAIT, job).await {
            Ok(Ended::Done(found)) => found,
            Ok(Ended::Panicked) | Err(_) => None,
        }
    }

    /// The exercises of the draft that have no such part.
    pub(super) async fn lacking(&self, moment: Moment, part: Part) -> Arc<Vec<Exercise>> {
        let shelf = Arc::clone(&self.shelf);
        let job = self.pool.run(move || exercises(&shelf, &moment, part));
        match job.await {
            Ended::Done(found) => found,
            Ended::Panicked => Arc::default(),
        }
    }

    /// The answer to the exercise that begins at `start`, if it is there soon; else it is kept for
    /// the next question.
    pub(super) async fn answer_soon(
        &self,
        moment: Moment,
        start: usize,
        part: Part,
    ) -> Option<Answer> {
        let stop = Arc::default();
        self.answered(moment, start, part, (stop, limits::ANSWER_WAIT))
            .await
    }

    /// The answer to the exercise that begins at `start`; `None` if it takes too long. Nobody
    /// waits for it any more once this is dropped, and it is called off.
    pub(super) async fn answer(&self, moment: Moment, start: usize, part: Part) -> Option<Answer> {
        let wanted = Wanted(Arc::default());
        let stop = Arc::clone(&wanted.0);
        self.answered(moment, start, part, (stop, limits::ANSWER_LONGEST))
            .await
    }

    async fn answered(
        &self,
        moment: Moment,
        start: usize,
        part: Part,
        (stop, most): (Arc<AtomicBool>, Duration),
    ) -> Option<Answer> {
        let shelf = Arc::clone(&self.shelf);
        let job = self
            .pool
            .run(move || answer(&shelf, &moment, start, part, &stop));
        match tokio::time::timeout(most, job).await {
            Ok(Ended::Done(found)) => found,
            Ok(Ended::Panicked) => Some(Arc::new(Err("a fault of majorant".to_owned()))),
            Err(_) => None,
        }
    }
}

fn opened(shelf: &Mutex<Shelf>) -> MutexGuard<'_, Shelf> {
    // A panic elsewhere leaves the shelf whole: every change to it is a single step.
    shelf.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Files and agreements of a draft. Settings that cannot be used are told by its reviews.
fn surroundings(moment: &Moment) -> (Companions, Arc<Course>) {
    let file = moment.url.to_file_path().ok();
    let folder = file.as_deref().and_then(Path::parent);
    let found = companions::find(&moment.text, moment.format, folder);
    let course = file
        .as_deref()
        .and_then(|file| Courses::default().of(file).ok())
        .unwrap_or_default();
    (companions::texts(&found), course)
}

fn picture_at(
    shelf: &Mutex<Shelf>,
    moment: &Moment,
    drift: Drift,
    offset: usize,
) -> Option<Arc<Picture>> {
    let known = opened(shelf).turn_to(moment).subjects.clone();
    let subjects = known.unwrap_or_else(|| {
        let (companions, course) = surroundings(moment);
        let found = aided::subjects(&moment.text, moment.format, &companions, &course);
        let found = Arc::new(found);
        opened(shelf).turn_to(moment).subjects = Some(Arc::clone(&found));
        found
    });
    let here = |studied: &&Studied| {
        let spans = studied.spans.iter().filter_map(|span| drift.newer(*span));
        spans
            .into_iter()
            .any(|span| span.start <= offset && offset <= span.end)
    };
    let studied = subjects.iter().flatten().find(here)?;
    let key = key(&studied.subject);
    let known = opened(shelf).pictures.get(&key).cloned();
    known.unwrap_or_else(|| {
        let stop = AtomicBool::new(false);
        let found = portrait(&studied.subject, Asker { stop: &stop }).ok();
        let found = found.and_then(|portrait| {
            let chart = picture::charts(&portrait).into_iter().next()?;
            let caption = picture::caption(&portrait);
            Some(Arc::new(Picture { chart, caption }))
        });
        opened(shelf).pictures.insert(key, found.clone());
        found
    })
}

fn exercises(shelf: &Mutex<Shelf>, moment: &Moment, part: Part) -> Arc<Vec<Exercise>> {
    let known = opened(shelf).turn_to(moment).lacking.get(&part).cloned();
    known.unwrap_or_else(|| {
        let (companions, course) = surroundings(moment);
        let companions = aided::with_macros(&companions, &course);
        let found = Arc::new(lacking(draft(moment, &companions, &course), part));
        let kept = Arc::clone(&found);
        opened(shelf).turn_to(moment).lacking.insert(part, kept);
        found
    })
}

fn draft<'a>(moment: &'a Moment, companions: &'a Companions, course: &'a Course) -> Draft<'a> {
    Draft {
        text: &moment.text,
        format: moment.format,
        companions,
        convention: &course.settings.convention,
    }
}

fn answer(
    shelf: &Mutex<Shelf>,
    moment: &Moment,
    start: usize,
    part: Part,
    stop: &AtomicBool,
) -> Option<Answer> {
    let known = opened(shelf)
        .turn_to(moment)
        .answers
        .get(&(start, part))
        .cloned();
    if known.is_some() {
        return known;
    }
    let exercises = exercises(shelf, moment, part);
    let exercise = exercises.iter().find(|own| own.start == start)?;
    let (companions, course) = surroundings(moment);
    let companions = aided::with_macros(&companions, &course);
    let draft = draft(moment, &companions, &course);
    let found = scratch::write_part(draft, exercise, part, &course.settings, stop)?;
    let found = Arc::new(found);
    let kept = Arc::clone(&found);
    opened(shelf)
        .turn_to(moment)
        .answers
        .insert((start, part), kept);
    Some(found)
}
