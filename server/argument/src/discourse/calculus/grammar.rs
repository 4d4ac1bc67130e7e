//! The sentences in which derivatives, their zeros and signs, and extrema are told, as patterns
//! over the words and formulas of a sentence.

use super::super::shape;
use super::super::token::{Mark, Token, TokenKind};
use super::subject::{derived, is_derivative_zero};
use crate::notation::syntax::{Connective, Name, Sign, Statement, StatementKind, Term};
use kernel::Relation;

/// What a stretch of a sentence says of a function.
#[derive(Debug)]
pub(super) struct Told<'a> {
    /// Its tokens, as a range in the sentence.
    pub(super) tokens: (usize, usize),
    /// Formulas that are read here and nowhere else, by their tokens.
    pub(super) taken: Vec<usize>,
    /// Formulas that name a place: `x_n = 1/n`.
    pub(super) naming: Vec<usize>,
    /// Of what it is said.
    pub(super) about: About<'a>,
    /// The set that it names for the points.
    pub(super) domain: Option<&'a Term>,
    /// What is said.
    pub(super) says: Says<'a>,
}

/// Of what something is said.
#[derive(Clone, Copy, Debug)]
pub(super) enum About<'a> {
    /// The function of that name.
    Function(&'a Term),
    /// The derivative that is written so.
    Derivative(&'a Term),
    /// "It", "the derivative": of the function at hand.
    Unnamed,
}

/// What is said.
#[derive(Debug)]
pub(super) enum Says<'a> {
    /// The derivative is that.
    Derivative(&'a Term),
    /// The derivative vanishes there; `only` says that it does so nowhere else.
    Zeros { places: Vec<Place<'a>>, only: bool },
    /// Signs of the derivative on stretches, each with the words' span; `slope` says that the
    /// words speak of the derivative rather than of the function.
    Signs {
        parts: Vec<(Relation, Stretch<'a>, (usize, usize))>,
        slope: bool,
    },
    /// A greatest or least value.
    Extremum {
        greatest: bool,
        local: bool,
        place: Option<Place<'a>>,
        value: Option<&'a Term>,
    },
    /// "Setting f'(x) = 0": supposed, and no claim.
    Nothing,
}

/// A place: `x = 1/n`, or the bare `1/n`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place<'a> {
    /// The name that is set.
    pub(super) name: Option<&'a Name>,
    /// To what.
    pub(super) term: &'a Term,
}

/// Where a sign holds.
#[derive(Clone, Copy, Debug)]
pub(super) enum Stretch<'a> {
    /// On a set.
    Set(&'a Term),
    /// Where that holds.
    Where(&'a Statement),
    /// Before a place.
    Before(Place<'a>),
    /// Behind a place.
    After(Place<'a>),
}

/// "Its derivative": of the function that the sentence names before.
const ITS: &str = "its derivative";

/// Words that carry nothing here.
const NOISE: [&str; 32] = [
    "the",
    "a",
    "an",
    "its",
    "then",
    "now",
    "also",
    "so",
    "thus",
    "hence",
    "therefore",
    "clearly",
    "easily",
    "obviously",
    "indeed",
    "we",
    "see",
    "that",
    "find",
    "immediately",
    "strictly",
    "monotonically",
    "precisely",
    "just",
    "therein",
    "first",
    "of",
    "here",
    "real",
    "simply",
    "moreover",
    "consequently",
];

/// Words under which nothing of this is asserted in a sentence.
const SUPPOSED: [&str; 31] = [
    "if",
    "suppose",
    "assume",
    "assuming",
    "whether",
    "would",
    "might",
    "could",
    "may",
    "should",
    "want",
    "show",
    "need",
    "guess",
    "unless",
    "claim",
    "why",
    "determine",
    "prove",
    "expect",
    "wrote",
    "writes",
    "student",
    "students",
    "someone",
    "tempting",
    "wrong",
    "wrongly",
    "mistake",
    "false",
    "approximately",
];

/// Words that turn a clause round, or make it speak of something else.
const TURNED: [&str; 18] = [
    "not",
    "isn't",
    "doesn't",
    "don't",
    "cannot",
    "can't",
    "no",
    "never",
    "nor",
    "neither",
    "approximately",
    "about",
    "numerator",
    "factor",
    "denominator",
    "sign",
    "hardly",
    "bracket",
];

/// Words that begin a clause.
const BORDERS: [&str; 10] = [
    "since", "because", "as", "but", "while", "where", "whereas", "and", "for", "with",
];

#[derive(Clone, Copy, Debug)]
enum Item<'a> {
    Word(&'a str),
    Formula(&'a Statement),
    Equivalent,
    Implies,
    Comma,
    Stop,
}

/// A place in a sentence's items.
#[derive(Clone)]
struct Cursor<'i, 'a> {
    items: &'i [(usize, Item<'a>)],
    at: usize,
    taken: Vec<usize>,
    /// Formulas that name a place, and are read as its definition.
    naming: Vec<usize>,
    /// The derivative with which the sentence before ended.
    before: Option<&'a Term>,
}

/// What a sentence says of this kind, in order.
pub(super) fn told<'a>(tokens: &'a [Token], before: Option<&'a Term>) -> Vec<Told<'a>> {
    if tokens.iter().any(|token| token.is(Mark::Question)) {
        return Vec::new();
    }
    let items = items(tokens);
    let leading = leading_set(&items);
    let mut found: Vec<Told<'_>> = Vec::new();
    // The derivative that was set to 0, where, and of which no zero was named yet.
    let mut set: Option<(About<'_>, Option<usize>)> = None;
    let mut at = 0;
    while at < items.len() {
        let mut cursor = Cursor {
            items: &items,
            at,
            taken: Vec::new(),
            naming: Vec::new(),
            before,
        };
        let said = if is_open(&items, at) {
            None
        } else {
            cursor.said().or_else(|| {
                let (about, _) = set?;
                let places = cursor.attempt(|cursor| cursor.places(false))?;
                Some((about, None, Says::Zeros { places, only: true }))
            })
        };
        let Some((about, domain, says)) = said.filter(|_| at < cursor.at) else {
            if let Item::Formula(statement) = items[at].1
                && let Some(term) = is_derivative_zero(statement)
            {
                set = Some((About::Derivative(term), Some(at)));
            }
            at += 1;
            continue;
        };
        // "f_n'(x) = 0, that is, x = 1/n": the equation is part of what is said.
        let from = set
            .take()
            .and_then(|(_, stated)| stated)
            .filter(|stated| *stated < at && restates(&items[stated + 1..at]));
        cursor.taken.extend(from.map(|from| items[from].0));
        set = matches!(says, Says::Nothing).then_some((about, None));
        found.push(Told {
            tokens: (items[from.unwrap_or(at)].0, items[cursor.at - 1].0 + 1),
            taken: cursor.taken,
            naming: cursor.naming,
            about,
            domain: domain.or(leading),
            says,
        });
        at = cursor.at;
    }
    found
}

/// The set with which a sentence begins: "On [0, ∞) …".
fn leading_set<'a>(items: &[(usize, Item<'a>)]) -> Option<&'a Term> {
    let mut cursor = Cursor {
        items,
        at: 0,
        taken: Vec::new(),
        naming: Vec::new(),
        before: None,
    };
    cursor.domain()
}

/// "that is", "i.e.", "or"
fn restates(between: &[(usize, Item<'_>)]) -> bool {
    between.iter().all(|(_, item)| match item {
        Item::Word(word) => {
            matches!(
                *word,
                "is" | "ie" | "i.e" | "i.e." | "or" | "equivalently" | "exactly" | "for"
            )
        }
        Item::Comma | Item::Implies | Item::Equivalent => true,
        _ => false,
    })
}

/// Whether the words before a place leave open what is asserted there.
fn is_open(items: &[(usize, Item<'_>)], at: usize) -> bool {
    let word = |position: usize| match items.get(position) {
        Some((_, Item::Word(word))) => Some(*word),
        _ => None,
    };
    let supposed = (0..at).any(|position| {
        let equivalent = word(position + 1) == Some("and")
            || position.checked_sub(1).and_then(word) == Some("only");
        word(position).is_some_and(|found| SUPPOSED.contains(&found))
            && !(word(position) == Some("if") && equivalent)
    });
    let turned = items[..at]
        .iter()
        .rev()
        .take_while(|(_, item)| match item {
            Item::Word(word) => !BORDERS.contains(word),
            Item::Comma | Item::Stop | Item::Implies | Item::Equivalent => false,
            Item::Formula(_) => true,
        })
        .any(|(_, item)| matches!(item, Item::Word(word) if TURNED.contains(word)));
    supposed || turned
}

fn items(tokens: &[Token]) -> Vec<(usize, Item<'_>)> {
    tokens
        .iter()
        .enumerate()
        .filter_map(|(at, token)| {
            let item = match &token.kind {
                TokenKind::Word { text, .. } if NOISE.contains(&text.as_str()) => return None,
                TokenKind::Word { text, .. }
                    if text == "derivative"
                        && at
                            .checked_sub(1)
                            .and_then(|before| tokens[before].word())
                            .is_some_and(|word| word == "its") =>
                {
                    Item::Word(ITS)
                }
                TokenKind::Word { text, .. } => Item::Word(text),
                TokenKind::Statement(statement) => Item::Formula(&statement.statement),
                TokenKind::Arrow(Connective::Equivalent) => Item::Equivalent,
                TokenKind::Arrow(Connective::Implies) => Item::Implies,
                TokenKind::Mark(
                    Mark::Comma
                    | Mark::Open
                    | Mark::Close
                    | Mark::Colon
                    | Mark::Border
                    | Mark::DisplayEnd
                    | Mark::InnerPeriod
                    | Mark::Gap,
                ) => Item::Comma,
                _ => Item::Stop,
            };
            Some((at, item))
        })
        .collect()
}

type Said<'a> = (About<'a>, Option<&'a Term>, Says<'a>);

impl<'a> Cursor<'_, 'a> {
    fn peek(&self) -> Option<Item<'a>> {
        self.items.get(self.at).map(|(_, item)| *item)
    }

    fn word(&mut self, choices: &[&str]) -> bool {
        let found = matches!(self.peek(), Some(Item::Word(word)) if choices.contains(&word));
        self.at += usize::from(found);
        found
    }

    fn words(&mut self, row: &[&[&str]]) -> bool {
        let start = self.at;
        let found = row.iter().all(|choices| self.word(choices));
        if !found {
            self.at = start;
        }
        found
    }

    fn commas(&mut self) {
        while matches!(self.peek(), Some(Item::Comma)) {
            self.at += 1;
        }
    }

    fn formula(&mut self) -> Option<&'a Statement> {
        let Some(Item::Formula(statement)) = self.peek() else {
            return None;
        };
        self.taken.push(self.items[self.at].0);
        self.at += 1;
        Some(statement)
    }

    fn term(&mut self) -> Option<&'a Term> {
        let start = (self.at, self.taken.len());
        let found = self.formula().and_then(|statement| match &statement.kind {
            StatementKind::Term(term) => Some(term),
            _ => None,
        });
        if found.is_none() {
            self.at = start.0;
            self.taken.truncate(start.1);
        }
        found
    }

    /// Runs a pattern; on failure nothing is taken.
    fn attempt<T>(&mut self, pattern: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let (at, taken) = (self.at, self.taken.len());
        let found = pattern(self);
        if found.is_none() {
            self.at = at;
            self.taken.truncate(taken);
        }
        found
    }

    fn said(&mut self) -> Option<Said<'a>> {
        self.attempt(Self::set_to_zero)
            .or_else(|| self.attempt(Self::derivative))
            .or_else(|| self.attempt(Self::extremum))
            .or_else(|| self.attempt(Self::zeros))
            .or_else(|| self.attempt(Self::signs))
    }

    /// "on [0, 1]", "in (0, ∞)"
    fn domain(&mut self) -> Option<&'a Term> {
        self.attempt(|cursor| {
            cursor
                .word(&["on", "over", "in", "inside", "within"])
                .then_some(())?;
            cursor.word(&["interval", "domain", "set", "all", "whole"]);
            cursor.term().filter(|term| names_a_set(term))
        })
    }

    /// `x = 1/n`
    fn place_set(&mut self) -> Option<Place<'a>> {
        self.attempt(|cursor| {
            while cursor.word(&[
                "point", "points", "end", "endpoint", "boundary", "left", "right",
            ]) {}
            let at = cursor.at;
            let statement = cursor.formula()?;
            let StatementKind::Chain {
                first: Some(first),
                links,
            } = &statement.kind
            else {
                return None;
            };
            let name = shape::bare_name(first)?;
            let [link] = links.as_slice() else {
                return None;
            };
            let equal = matches!(link.sign, Sign::Relation(Relation::Equal) | Sign::Defines);
            let term = link.right.as_ref().filter(|_| equal)?;
            // "x_n = 1/n" names a place, which the rest of the text uses.
            if name.subscript.is_some() || name.superscript.is_some() || name.base.len() > 1 {
                let token = cursor.items[at].0;
                cursor.taken.retain(|taken| *taken != token);
                cursor.naming.push(token);
            }
            Some(Place {
                name: Some(name),
                term,
            })
        })
    }

    /// A place behind "at": also the bare value.
    fn place(&mut self) -> Option<Place<'a>> {
        if let Some(place) = self.place_set() {
            return Some(place);
        }
        self.attempt(|cursor| {
            while cursor.word(&[
                "point", "points", "end", "endpoint", "boundary", "left", "right",
            ]) {}
            cursor.term().map(|term| Place { name: None, term })
        })
    }

    /// Places in a row; `None` if the row goes on with something that is no place.
    fn places(&mut self, bare: bool) -> Option<Vec<Place<'a>>> {
        let next = |cursor: &mut Self| {
            if bare {
                cursor.place()
            } else {
                cursor.place_set()
            }
        };
        let mut found = vec![next(self)?];
        loop {
            // "x = 0 (for n ≥ 2)": the restriction is read by itself.
            let _ = self.attempt(|cursor| {
                matches!(cursor.peek(), Some(Item::Comma)).then_some(())?;
                cursor.commas();
                cursor.word(&["for", "if", "when"]).then_some(())?;
                matches!(cursor.peek(), Some(Item::Formula(_))).then_some(())?;
                cursor.at += 1;
                matches!(cursor.peek(), Some(Item::Comma)).then_some(())
            });
            let further = self.attempt(|cursor| {
                cursor.commas();
                cursor.word(&["and", "or"]);
                cursor.word(&["at"]);
                let named = cursor.place_set();
                // "and 0", but not "and f_n(0) = 0".
                named.or_else(|| {
                    cursor
                        .term()
                        .filter(|term| derived(term).is_none())
                        .map(|term| Place { name: None, term })
                })
            });
            match further {
                Some(place) => found.push(place),
                None => return Some(found),
            }
        }
    }

    /// "the derivative of f_n", `f_n'(x)`.
    fn slope(&mut self) -> Option<About<'a>> {
        self.attempt(|cursor| {
            if cursor.word(&[ITS]) {
                return cursor.owner_before();
            }
            if cursor.word(&["derivative"]) {
                cursor.word(&["function"]);
                if let Some(term) = cursor.term() {
                    // "the derivative f_n'(x)" and "the derivative of f_n".
                    return Some(if derived(term).is_some() {
                        About::Derivative(term)
                    } else {
                        About::Function(term)
                    });
                }
                // "the derivative f_n'(x) = A vanishes": the equation is read by itself.
                if let Some(Item::Formula(statement)) = cursor.peek()
                    && let Some(first) = shape::first_term(statement)
                    && derived(first).is_some()
                {
                    cursor.at += 1;
                    return Some(About::Derivative(first));
                }
                return Some(About::Unnamed);
            }
            let term = cursor.term()?;
            derived(term).map(|_| About::Derivative(term))
        })
    }
}

/// `0`
pub(super) fn is_zero(term: &Term) -> bool {
    matches!(&term.kind, crate::notation::syntax::TermKind::Number(text) if text == "0")
}

fn names_a_set(term: &Term) -> bool {
    shape::is_set(&super::super::lexicon::as_set(term))
        || shape::bare_name(term).is_some_and(|name| name.base.starts_with(char::is_uppercase))
}

mod derivative;
mod extremum;
mod signs;
mod zeros;
