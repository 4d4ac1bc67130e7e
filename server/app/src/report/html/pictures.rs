//! Pictures of error terms in a page. A class works on few sequences: each is drawn once, in a
//! store that is not seen, and every argument about it uses that drawing.

use super::names;
use crate::aided;
use crate::limits;
use crate::picture::{self, Chart, Drawing};
use crate::report::words;
use crate::run::{self, ReviewedDraft, Run};
use maud::{Markup, PreEscaped, html};
use rayon::prelude::*;
use scratch::exercise::{Studied, Subject};
use scratch::portrait::{key, portrait};
use scratch::seek::Asker;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::AtomicBool;

/// The pictures of one sequence.
struct Picture {
    caption: String,
    charts: Vec<(Chart, Drawing)>,
}

/// The pictures of a run.
pub(super) struct Pictures {
    all: Vec<Picture>,
    /// Which of them belongs to an argument: by the draft's position, and the argument's.
    of: Vec<Vec<Option<usize>>>,
    /// Sequences that are not drawn because there are too many.
    left_out: usize,
}

impl Pictures {
    /// Draws what can be drawn. Without threads there are no pictures, and the page stands all
    /// the same.
    pub(super) fn of(run: &Run) -> Self {
        let drawn = run::pool(None).map(|pool| pool.install(|| draw(&run.drafts)));
        drawn.unwrap_or(Self {
            all: Vec::new(),
            of: Vec::new(),
            left_out: 0,
        })
    }

    /// The drawings, once each.
    pub(super) fn store(&self) -> Markup {
        html! {
            @if !self.all.is_empty() {
                svg hidden aria-hidden="true" {
                    @for (number, picture) in self.all.iter().enumerate() {
                        @for (position, (_, drawing)) in picture.charts.iter().enumerate() {
                            g id=(names::drawing(number, position)) {
                                (PreEscaped(&drawing.body))
                            }
                        }
                    }
                }
            }
        }
    }

    /// How many sequences were left out because there are too many.
    pub(super) fn left_out(&self) -> Markup {
        html! {
            @if 0 < self.left_out {
                p.legend {
                    (words::counted(self.left_out, "further sequence", "further sequences"))
                    " were left without pictures, to keep the page short."
                }
            }
        }
    }

    /// The pictures beside an argument, if there are any.
    pub(super) fn of_argument(&self, draft: usize, argument: usize) -> Markup {
        let number = self
            .of
            .get(draft)
            .and_then(|own| own.get(argument).copied().flatten());
        let Some((number, picture)) = number.and_then(|own| Some((own, self.all.get(own)?))) else {
            return html! {};
        };
        html! {
            details.picture {
                summary { "Picture of the error term" }
                figure {
                    @for (position, (chart, drawing)) in picture.charts.iter().enumerate() {
                        @let title = names::seen(draft, argument, position, "title");
                        @let about = names::seen(draft, argument, position, "about");
                        svg viewBox=(drawing.view) role="img"
                            aria-labelledby=(title) aria-describedby=(about) {
                            title id=(title) { (chart.title) }
                            desc id=(about) { (chart.description) }
                            use href={ "#" (names::drawing(number, position)) } {}
                        }
                    }
                    figcaption { (picture.caption) }
                }
            }
        }
    }
}

fn draw(drafts: &[ReviewedDraft]) -> Pictures {
    let subjects: Vec<Vec<Option<Studied>>> = drafts
        .par_iter()
        .with_max_len(1)
        .map(|reviewed| {
            let draft = &reviewed.draft;
            let read =
                || aided::subjects(&draft.text, draft.format, &draft.companions, &draft.course);
            // A fault of ours must cost a picture at most, and never the page.
            catch_unwind(AssertUnwindSafe(read)).unwrap_or_default()
        })
        .collect();
    let mut order: Vec<&Subject> = Vec::new();
    let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
    for studied in subjects.iter().flatten().flatten() {
        numbers.entry(key(&studied.subject)).or_insert_with(|| {
            order.push(&studied.subject);
            order.len() - 1
        });
    }
    let late = order.len().saturating_sub(limits::PAGE_SEQUENCES);
    order.truncate(limits::PAGE_SEQUENCES);
    let studied: Vec<Option<Picture>> = order
        .into_par_iter()
        .with_max_len(1)
        .map(|subject| {
            catch_unwind(AssertUnwindSafe(|| one(subject)))
                .ok()
                .flatten()
        })
        .collect();
    let mut places = Vec::with_capacity(studied.len());
    let mut pictures = Pictures {
        all: Vec::new(),
        of: Vec::new(),
        left_out: late,
    };
    for picture in studied {
        let room = pictures.all.len() < limits::PAGE_PICTURES;
        pictures.left_out += usize::from(picture.is_some() && !room);
        places.push(picture.filter(|_| room).map(|picture| {
            pictures.all.push(picture);
            pictures.all.len() - 1
        }));
    }
    let place = |studied: &Option<Studied>| {
        let number = numbers.get(&key(&studied.as_ref()?.subject))?;
        places.get(*number).copied().flatten()
    };
    pictures.of = subjects
        .iter()
        .map(|draft| draft.iter().map(place).collect())
        .collect();
    pictures
}

fn one(subject: &Subject) -> Option<Picture> {
    let stop = AtomicBool::new(false);
    let portrait = portrait(subject, Asker { stop: &stop }).ok()?;
    let charts: Vec<(Chart, Drawing)> = picture::charts(&portrait)
        .into_iter()
        .filter_map(|chart| {
            let drawing = picture::on_page(&chart)?;
            (drawing.body.len() <= limits::PICTURE_BYTES).then_some((chart, drawing))
        })
        .collect();
    (!charts.is_empty()).then(|| Picture {
        caption: picture::caption(&portrait),
        charts,
    })
}
