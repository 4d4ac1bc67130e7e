//! A draft as it is at the moment of a question, read and not reviewed: answers about names and
//! parts need no verdicts, and must not speak of an older text.

use super::compute::Ended;
use super::documents::Question;
use super::follow::{Desk, with_asked};
use crate::aided::{Named, Reading};
use argument::Origin;
use source::{Format, Span};
use std::sync::{Arc, PoisonError};
use tower_lsp::lsp_types::Url;

/// The text of the moment, read.
pub(crate) struct Present {
    /// The text.
    pub(crate) text: String,
    /// Its version.
    pub(crate) version: i32,
    /// Its language.
    pub(crate) format: Format,
    /// What it says.
    pub(crate) reading: Arc<Reading>,
}

/// The draft as it was when the question came. `None` if it is too large, or reading it fails by
/// a fault of ours.
pub(crate) async fn present(desk: &Desk, url: &Url, question: Question) -> Option<Present> {
    let snapshot = question.snapshot;
    let text = snapshot.text.to_string();
    if source::limits::DRAFT_BYTES < text.len() {
        return None;
    }
    let (url, read, engine) = (url.clone(), question.read, desk.engine.clone());
    let job = move || {
        let mut latest = read.lock().unwrap_or_else(PoisonError::into_inner);
        // Editors ask several things about one state.
        let known = latest
            .as_ref()
            .filter(|(revision, _)| *revision == snapshot.revision)
            .map(|(_, reading)| Arc::clone(reading));
        let reading = known
            .unwrap_or_else(|| Arc::new(with_asked(&url, &text, snapshot.format, &*engine.read)));
        *latest = Some((snapshot.revision, Arc::clone(&reading)));
        Present {
            text,
            version: snapshot.version,
            format: snapshot.format,
            reading,
        }
    };
    match desk.answers.run(job).await {
        Ended::Done(present) => Some(present),
        Ended::Panicked => None,
    }
}

impl Present {
    /// The name at a byte, and its place there.
    pub(crate) fn name_at(&self, offset: usize) -> Option<(&Named, Span)> {
        let places = self.reading.names.iter().flat_map(|named| {
            let places = named.naming.places.iter();
            places.map(move |place| (named, *place))
        });
        places
            .filter(|(_, place)| place.span.start <= offset && offset <= place.span.end)
            // The end of a name belongs to it only where no other begins, and the index of a
            // name goes before the name.
            .min_by_key(|(_, place)| {
                (
                    place.span.end == offset,
                    !place.exact,
                    place.span.len(),
                    place.span.start,
                )
            })
            .map(|(named, place)| (named, place.span))
    }

    /// The names that are renamed with a name: an index, a point or a parameter is bound anew in
    /// many sentences of an argument, and stays the same letter in all of them.
    pub(crate) fn renamed_with<'a>(&'a self, named: &'a Named) -> Vec<&'a Named> {
        let joins = |one: &Named| {
            let binds = matches!(
                one.naming.origin,
                Origin::Given | Origin::Ranging | Origin::Arbitrary | Origin::Inside
            );
            let same =
                one.naming.name == named.naming.name && one.naming.indexed == named.naming.indexed;
            binds && same && one.naming.runs()
        };
        let mut found = vec![named];
        // The index of a sum can have another letter without any change elsewhere.
        if named.naming.origin == Origin::Inside || !joins(named) {
            return found;
        }
        let mut rest: Vec<&Named> = self
            .reading
            .names
            .iter()
            .filter(|one| *one != named && joins(one))
            .collect();
        let mut arguments: Vec<Span> = self.arguments_of(named).collect();
        // Parts share what their exercise defines.
        while let Some(at) = rest
            .iter()
            .position(|one| self.arguments_of(one).any(|one| arguments.contains(&one)))
        {
            let next = rest.swap_remove(at);
            arguments.extend(self.arguments_of(next));
            found.push(next);
        }
        found
    }

    /// The arguments in which places of a name stand.
    pub(crate) fn arguments_of<'a>(&'a self, named: &'a Named) -> impl Iterator<Item = Span> + 'a {
        let arguments = self.reading.arguments.iter().map(|argument| argument.span);
        arguments.filter(|argument| {
            let mut places = named.naming.places.iter();
            places.any(|place| argument.contains(place.span))
        })
    }
}
