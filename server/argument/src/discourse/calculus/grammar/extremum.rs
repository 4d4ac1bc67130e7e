//! Greatest and least values: "f_n attains its maximum at x = 1/n", "the maximum is 1/2".

use super::{About, Cursor, Item, Place, Said, Says, derived};
use crate::discourse::shape;
use crate::notation::syntax::{Sign, StatementKind, Term, TermKind};
use kernel::Relation;

/// An extremum as words name it.
struct Named {
    greatest: bool,
    local: bool,
}

/// Words by which a function has an extremum.
const VERBS: [&str; 12] = [
    "has",
    "attains",
    "takes",
    "reaches",
    "assumes",
    "achieves",
    "admits",
    "possesses",
    "is",
    "have",
    "attain",
    "takes",
];

impl<'a> Cursor<'_, 'a> {
    pub(super) fn extremum(&mut self) -> Option<Said<'a>> {
        // "The quotient has its maximum at …": of what was not read before.
        let owned = self.at.checked_sub(1).is_some_and(
            |before| matches!(self.items[before].1, Item::Word(word) if VERBS.contains(&word)),
        );
        if owned {
            return None;
        }
        self.attempt(Self::attains)
            .or_else(|| self.attempt(Self::attained))
            .or_else(|| self.attempt(Self::place_of_extremum))
    }

    /// "global maximum", "largest value"
    fn named(&mut self) -> Option<Named> {
        self.attempt(|cursor| {
            let mut local = false;
            let mut only = true;
            while only {
                local |= cursor.word(&["local", "relative"]);
                only = cursor.word(&[
                    "global", "absolute", "unique", "only", "one", "single", "overall", "exact",
                    "local", "relative",
                ]);
            }
            let greatest = if cursor.word(&["maximum", "max"]) {
                true
            } else if cursor.word(&["minimum", "min"]) {
                false
            } else {
                let greatest = cursor.word(&["maximal", "largest", "greatest"]);
                (greatest || cursor.word(&["minimal", "smallest", "least"])).then_some(())?;
                cursor.word(&["value"]).then_some(())?;
                greatest
            };
            cursor.word(&["value", "point"]);
            Some(Named { greatest, local })
        })
    }

    pub(super) fn owner(&mut self) -> Option<&'a Term> {
        self.attempt(|cursor| {
            cursor.word(&["function"]);
            cursor.term().filter(|term| derived(term).is_none())
        })
    }

    /// "φ(t) = t e^{−t} has …": the equation defines what is spoken of.
    pub(super) fn defined_owner(&mut self) -> Option<&'a Term> {
        self.attempt(|cursor| {
            cursor.word(&["function"]);
            let Some(Item::Formula(statement)) = cursor.peek() else {
                return None;
            };
            let first = shape::first_term(statement)?;
            cursor.at += 1;
            (derived(first).is_none() && shape::application(first).is_some()).then_some(first)
        })
    }

    /// "f_n attains its maximum 1/2 on [0, 1] at x = 1/n"
    fn attains(&mut self) -> Option<Said<'a>> {
        let owner = match self.owner().or_else(|| self.defined_owner()) {
            Some(term) => About::Function(term),
            None => self
                .word(&["it", "function", "and"])
                .then_some(About::Unnamed)?,
        };
        self.commas();
        let mut domain = self.domain();
        if let Some(named) = self.extreme_there() {
            self.word(&["at", "for"]).then_some(())?;
            let place = self.place()?;
            self.another_place().is_none().then_some(())?;
            let value = self.value();
            return Some((owner, domain, said(&named, Some(place), value)));
        }
        self.word(&VERBS).then_some(())?;
        self.word(&["on"]);
        let named = self.named()?;
        domain = domain.or_else(|| self.domain());
        let mut value = self.owner();
        domain = domain.or_else(|| self.domain());
        self.commas();
        self.word(&["at", "in", "for", "exactly", "only"])
            .then_some(())?;
        self.word(&["at"]);
        let place = self.place()?;
        self.another_place().is_none().then_some(())?;
        domain = domain.or_else(|| self.domain());
        value = value.or_else(|| self.value());
        Some((owner, domain, said(&named, Some(place), value)))
    }

    /// "f_n is maximal at …"
    fn extreme_there(&mut self) -> Option<Named> {
        self.attempt(|cursor| {
            cursor.word(&["is", "becomes"]).then_some(())?;
            let greatest =
                cursor.word(&["maximal", "largest", "greatest", "maximised", "maximized"]);
            let least = || ["minimal", "smallest", "least", "minimised", "minimized"];
            (greatest || cursor.word(&least())).then_some(())?;
            Some(Named {
                greatest,
                local: false,
            })
        })
    }

    /// w of a formula that begins with w(3/2).
    fn applied_next(&self) -> Option<&'a Term> {
        let Some(Item::Formula(statement)) = self.peek() else {
            return None;
        };
        match &shape::first_term(statement)?.kind {
            TermKind::Juxtaposed(parts) => match parts.as_slice() {
                [function, _] => shape::bare_name(function).map(|_| function),
                _ => None,
            },
            _ => None,
        }
    }

    /// "the maximum of f_n is f_n(1/n) = 1/2": the place at which the value is taken.
    fn value_at_place(&mut self) -> Option<Place<'a>> {
        self.attempt(|cursor| {
            let Some(Item::Formula(statement)) = cursor.peek() else {
                return None;
            };
            let (_, arguments) = shape::application(shape::first_term(statement)?)?;
            let [term] = arguments.as_slice() else {
                return None;
            };
            let chain = matches!(&statement.kind, StatementKind::Chain { links, .. }
                if matches!(links.first()?.sign, Sign::Relation(Relation::Equal)));
            if chain {
                // The equation is read by itself.
                cursor.at += 1;
            } else {
                cursor.formula();
            }
            matches!(&statement.kind, StatementKind::Term(_))
                .then_some(())
                .or(chain.then_some(()))?;
            Some(Place { name: None, term })
        })
    }

    /// "the maximum of f_n on [0, 1] is attained at x = 1/n and equals 1/2", "the maximum is 1/2"
    fn attained(&mut self) -> Option<Said<'a>> {
        let there = self.word(&["there"]);
        if there {
            self.word(&["is"]).then_some(())?;
        }
        let named = match self.named() {
            Some(named) => named,
            None if self.word(&["supremum"]) => Named {
                greatest: true,
                local: false,
            },
            None => return None,
        };
        let mut domain = self.domain();
        let about = self.owner().map_or(About::Unnamed, About::Function);
        domain = domain.or_else(|| self.domain());
        self.word(&["must", "will", "can"]);
        self.word(&["only"]);
        let verb = self.word(&[
            "is", "be", "occurs", "occur", "lies", "lie", "equals", "attained",
        ]);
        let mut local = named.local;
        local |= self.word(&["local"]);
        let placed = self.attempt(|cursor| {
            cursor.word(&[
                "attained", "taken", "reached", "achieved", "assumed", "located",
            ]);
            let _ = cursor.domain();
            cursor.word(&["only", "exactly"]);
            cursor.word(&["at", "for", "in"]).then_some(())?;
            cursor.place()
        });
        let named = Named { local, ..named };
        if let Some(place) = placed {
            self.another_place().is_none().then_some(())?;
            domain = domain.or_else(|| self.domain());
            let value = self.value();
            return Some((about, domain, said(&named, Some(place), value)));
        }
        verb.then_some(())?;
        self.word(&["equal"]);
        self.word(&["to"]);
        let of_value = self.applied_next();
        if let Some(place) = self.value_at_place() {
            // "The maximum is w(3/2) = …": of w, whatever else is at hand.
            let about = match (about, of_value) {
                (About::Unnamed, Some(function)) => About::Function(function),
                (about, _) => about,
            };
            return (!local).then_some((about, domain, said(&named, Some(place), None)));
        }
        let value = self.owner()?;
        let place = self.attempt(|cursor| {
            cursor.commas();
            cursor.word(&["and", "which"]);
            cursor.word(&["is", "it"]);
            cursor.word(&["is"]);
            cursor.word(&["attained", "taken", "reached", "achieved", "assumed"]);
            cursor.word(&["at"]).then_some(())?;
            cursor.place()
        });
        if place.is_some() {
            self.another_place().is_none().then_some(())?;
        }
        // "the maximum is f_n of something else" needs a number: of a local one only its place
        // tells which is meant.
        (place.is_some() || !local).then_some(())?;
        Some((about, domain, said(&named, place, Some(value))))
    }

    /// "x = 1/n is a maximum point of f_n"
    fn place_of_extremum(&mut self) -> Option<Said<'a>> {
        let place = self.place_set()?;
        self.word(&["is"]).then_some(())?;
        let named = self.named()?;
        self.word(&["point"]);
        let about = self.owner().map_or(About::Unnamed, About::Function);
        let domain = self.domain();
        Some((about, domain, said(&named, Some(place), None)))
    }

    /// A further place behind the first.
    fn another_place(&mut self) -> Option<Place<'a>> {
        self.attempt(|cursor| {
            cursor.commas();
            cursor.word(&["and", "or"]).then_some(())?;
            cursor.word(&["at"]);
            cursor.place_set().or_else(|| {
                let term = cursor.term()?;
                let ends = !matches!(cursor.peek(), Some(Item::Word(_)));
                ends.then_some(Place { name: None, term })
            })
        })
    }

    /// ", with value 1/2", "and equals 1/2", "where it equals 1/2"
    fn value(&mut self) -> Option<&'a Term> {
        self.attempt(|cursor| {
            cursor.commas();
            cursor.word(&["and", "with", "where", "whose", "which", "there", "having"]);
            cursor.word(&["it", "there", "this", "f", "has"]);
            let maximum = cursor.word(&["maximum", "minimum", "maximal", "minimal", "largest"]);
            let value = cursor.word(&["value"]);
            let verb = cursor.word(&["is", "equals", "equal", "takes", "being"]);
            cursor.word(&["value", "equal"]);
            cursor.word(&["to"]);
            (maximum || value || verb).then_some(())?;
            let Some(Item::Formula(statement)) = cursor.peek() else {
                return None;
            };
            matches!(statement.kind, StatementKind::Term(_)).then_some(())?;
            cursor.term()
        })
    }
}

fn said<'a>(named: &Named, place: Option<Place<'a>>, value: Option<&'a Term>) -> Says<'a> {
    Says::Extremum {
        greatest: named.greatest,
        local: named.local,
        place,
        value,
    }
}
