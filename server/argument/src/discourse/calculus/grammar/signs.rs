//! Signs of a derivative, and where a function rises and falls: "increasing on (0, 1/n) and
//! decreasing on (1/n, ∞)", "positive before 1/n, negative after".

use super::{About, Cursor, Place, Said, Says, Stretch, derived};
use crate::notation::syntax::StatementKind;
use kernel::Relation;

impl<'a> Cursor<'_, 'a> {
    pub(super) fn signs(&mut self) -> Option<Said<'a>> {
        let start = self.at;
        let (about, slope) = match self.slope() {
            Some(about) => (about, true),
            None => match self.attempt(|cursor| {
                cursor.word(&["function"]);
                cursor.term().filter(|term| derived(term).is_none())
            }) {
                Some(term) => (About::Function(term), false),
                None if self.word(&["function"]) => (About::Unnamed, false),
                None => (self.which()?, true),
            },
        };
        self.commas();
        let mut parts: Vec<(Relation, Stretch<'a>, (usize, usize))> = Vec::new();
        let mut last: Option<Place<'a>> = None;
        loop {
            let begin = if parts.is_empty() { start } else { self.at };
            let part = self.attempt(|cursor| {
                if !parts.is_empty() {
                    cursor.commas();
                    cursor.word(&["and", "but", "while", "whereas", "or"]);
                    cursor.word(&["it"]);
                }
                let relation = cursor.sign(slope)?;
                let stretch = cursor.stretch(last)?;
                Some((relation, stretch))
            });
            let Some((relation, stretch)) = part else {
                break;
            };
            if let Stretch::Before(place) | Stretch::After(place) = stretch {
                last = Some(place);
            }
            let tokens = (self.items[begin].0, self.items[self.at - 1].0 + 1);
            parts.push((relation, stretch, tokens));
        }
        (!parts.is_empty()).then_some((about, None, Says::Signs { parts, slope }))
    }

    /// "…, which is positive for x < 1/n", of a derivative.
    fn which(&mut self) -> Option<About<'a>> {
        self.commas();
        self.word(&["and"]);
        let about = self.before();
        self.word(&["which", "it", "this"]).then_some(())?;
        about
    }

    fn sign(&mut self, slope: bool) -> Option<Relation> {
        self.word(&["is", "are"]);
        if slope {
            return [
                ("positive", Relation::Greater),
                ("negative", Relation::Less),
                ("nonnegative", Relation::GreaterEqual),
                ("non-negative", Relation::GreaterEqual),
                ("nonpositive", Relation::LessEqual),
                ("non-positive", Relation::LessEqual),
            ]
            .into_iter()
            .find(|(word, _)| self.word(&[word]))
            .map(|(_, relation)| relation);
        }
        self.word(&["monotone", "monotonic", "monotonously"]);
        if self.word(&["increasing", "increases", "rises", "grows", "rising"]) {
            return Some(Relation::GreaterEqual);
        }
        self.word(&["decreasing", "decreases", "falls", "falling"])
            .then_some(Relation::LessEqual)
    }

    fn stretch(&mut self, last: Option<Place<'a>>) -> Option<Stretch<'a>> {
        if let Some(set) = self.domain() {
            return Some(Stretch::Set(set));
        }
        if self.word(&["before", "until", "left", "up", "below"])
            || self.words(&[&["to"], &["left"]])
        {
            self.word(&["to"]);
            self.word(&["point"]);
            return self.bounded_by(last).map(Stretch::Before);
        }
        if self.word(&[
            "after",
            "afterwards",
            "beyond",
            "right",
            "behind",
            "thereafter",
        ]) || self.words(&[&["to"], &["right"]])
        {
            return self.bounded_by(last).map(Stretch::After);
        }
        self.attempt(|cursor| {
            cursor
                .word(&["for", "when", "where", "if", "whenever"])
                .then_some(())?;
            cursor.word(&["all", "every"]);
            let statement = cursor.formula()?;
            matches!(statement.kind, StatementKind::Chain { .. })
                .then_some(Stretch::Where(statement))
        })
    }

    fn bounded_by(&mut self, last: Option<Place<'a>>) -> Option<Place<'a>> {
        let named = self.place();
        if named.is_none() {
            self.word(&["it", "this"]);
            self.word(&["point"]);
        }
        named.or(last)
    }
}
