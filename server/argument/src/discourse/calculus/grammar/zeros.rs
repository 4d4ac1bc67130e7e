//! Zeros of a derivative: "f_n'(x) = 0 iff x = 1/n", "which vanishes at x = 1/n", "the only critical
//! point is x = 1/n".

use super::{About, Cursor, Item, Said, Says, derived, is_derivative_zero, is_zero};
use crate::discourse::shape;

impl<'a> Cursor<'_, 'a> {
    /// "f_n'(x) = 0 iff x = 1/n", "which vanishes at x = 1/n", "the only critical point is …"
    pub(super) fn zeros(&mut self) -> Option<Said<'a>> {
        self.attempt(Self::vanishes)
            .or_else(|| self.attempt(Self::critical))
    }

    fn vanishes(&mut self) -> Option<Said<'a>> {
        let zero_stated = matches!(self.peek(), Some(Item::Formula(statement)) if is_derivative_zero(statement).is_some());
        let about = if zero_stated {
            About::Derivative(is_derivative_zero(self.formula()?)?)
        } else {
            let about = match self.slope() {
                Some(about) => about,
                None => {
                    self.commas();
                    let back = self.word(&["and"]);
                    let named = self.word(&["which", "this", "it"]);
                    (named || back).then_some(self.before()?)?
                }
            };
            self.commas();
            self.word(&["and", "which", "this", "it"]);
            let to_zero = self.word(&["vanishes", "vanish"])
                || self
                    .attempt(|cursor| {
                        cursor
                            .word(&["is", "becomes", "equals", "has"])
                            .then_some(())?;
                        cursor.word(&["equal"]);
                        cursor.word(&["to"]);
                        cursor.word(&["only", "unique", "single"]);
                        let word = cursor.word(&["zero", "0", "zeros", "root"]);
                        (word || cursor.term().is_some_and(is_zero)).then_some(())
                    })
                    .is_some();
            to_zero.then_some(about)?
        };
        self.commas();
        let mut only = false;
        let mut linked = false;
        loop {
            let alone = self.word(&["only", "exactly", "iff"])
                || self.words(&[&["if"], &["and"], &["only"], &["if"]])
                || self.words(&[&["is"], &["equivalent"], &["to"]])
                || matches!(self.peek(), Some(Item::Equivalent)) && {
                    self.at += 1;
                    true
                };
            only |= alone;
            let place = self.word(&["at", "for", "when", "where", "in"]);
            linked |= place || alone;
            if !alone && !place {
                break;
            }
        }
        linked.then_some(())?;
        let places = self.places(true)?;
        let domain = self.domain();
        let _ = self.attempt(|cursor| {
            cursor.commas();
            cursor.word(&["and"]).then_some(())?;
            let alone = cursor.words(&[&["only"], &["there", "then", "at"]])
                || cursor.words(&[&["nowhere"], &["else"]]);
            only |= alone;
            alone.then_some(())
        });
        Some((about, domain, Says::Zeros { places, only }))
    }

    /// The function that the sentence names last.
    pub(super) fn owner_before(&self) -> Option<About<'a>> {
        let last = self.items[..self.at]
            .iter()
            .rev()
            .find_map(|(_, item)| match item {
                Item::Formula(statement) => Some(*statement),
                _ => None,
            })?;
        let term = shape::first_term(last)?;
        // "For x > 0 its derivative is …" names no function.
        let function = shape::links(last).is_empty() || shape::application(term).is_some();
        (function && derived(term).is_none()).then_some(About::Function(term))
    }

    /// What stands before: the derivative that a chain gives, or one that was told in words.
    pub(super) fn before(&self) -> Option<About<'a>> {
        let mut formulas = self.items[..self.at]
            .iter()
            .rev()
            .filter_map(|(_, item)| match item {
                Item::Formula(statement) => Some(*statement),
                _ => None,
            });
        let Some(last) = formulas.next() else {
            return self.before.map(About::Derivative);
        };
        if let Some(term) = shape::first_term(last).filter(|term| derived(term).is_some()) {
            return Some(About::Derivative(term));
        }
        let spoken = self.items[..self.at].iter().rev().take(14).any(|(_, item)| {
            matches!(item, Item::Word(word) if word.starts_with("derivative") || word.starts_with("differentiat"))
        });
        spoken.then_some(About::Unnamed)
    }

    /// "the only critical point of f_n is x = 1/n", "f_n has a critical point at x = 1/n"
    fn critical(&mut self) -> Option<Said<'a>> {
        // "the only zero of f_n' is x = 1/n"
        let zeros = self.attempt(|cursor| {
            let only = cursor.word(&["only", "unique", "single", "sole"]);
            let plural = cursor.word(&["zeros", "zeroes", "roots"]);
            (plural || cursor.word(&["zero", "root"])).then_some(())?;
            let about = cursor.slope()?;
            let domain = cursor.domain();
            cursor.commas();
            cursor.word(&["is", "are", "lies", "namely"]);
            cursor.word(&["at"]);
            let places = cursor.places(true)?;
            let only = only || plural;
            Some((about, domain, Says::Zeros { places, only }))
        });
        if zeros.is_some() {
            return zeros;
        }
        let owner = self.attempt(|cursor| {
            let term = cursor.term()?;
            cursor.word(&["has"]).then_some(term)
        });
        let place_first = if owner.is_none() {
            self.attempt(|cursor| {
                let place = cursor.place_set()?;
                cursor.word(&["is"]).then_some(place)
            })
        } else {
            None
        };
        let mut only = false;
        while self.word(&["only", "unique", "single", "one", "sole", "exactly", "two"]) {
            only = true;
        }
        self.word(&["critical", "stationary"]).then_some(())?;
        let plural = match self.peek()? {
            Item::Word("point" | "value") => false,
            Item::Word("points" | "values") => true,
            _ => return None,
        };
        self.at += 1;
        let mut domain = self.domain();
        let about = match owner {
            Some(term) => About::Function(term),
            None => self
                .attempt(|cursor| {
                    let term = cursor.term()?;
                    derived(term).is_none().then_some(About::Function(term))
                })
                .unwrap_or(About::Unnamed),
        };
        domain = domain.or_else(|| self.domain());
        if let Some(place) = place_first {
            return Some((
                about,
                domain,
                Says::Zeros {
                    places: vec![place],
                    only,
                },
            ));
        }
        self.commas();
        self.word(&[
            "is", "are", "occurs", "lies", "namely", "lie", "which", "occur",
        ]);
        self.word(&["at", "is", "given"]);
        self.word(&["by"]);
        self.commas();
        let places = self.places(true)?;
        domain = domain.or_else(|| self.domain());
        only |= plural;
        Some((about, domain, Says::Zeros { places, only }))
    }
}
