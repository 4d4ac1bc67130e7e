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

    fn by_variable(&mut self) {
        let _ = self.attempt(|cursor| {
            cursor.word(&["with"]);
            cursor.word(&["respect", "by", "in"]).then_some(())?;
            cursor.word(&["to"]);
            cursor.term()
        });
    }

    /// "setting f_n'(x) = 0 gives x = 1/n"
    fn set_to_zero(&mut self) -> Option<Said<'a>> {
        let picks = self.word(&["setting", "set", "equating", "putting", "put"]);
        let begins = picks || self.word(&["solving", "solve", "from", "solution", "solutions"]);
        begins.then_some(())?;
        let loose = self.words(&[&["equation"]]);
        self.word(&["to"]);
        let about = match self.peek() {
            Some(Item::Formula(statement)) if is_derivative_zero(statement).is_some() => {
                self.formula();
                About::Derivative(is_derivative_zero(statement)?)
            }
            _ => {
                let about = self.slope();
                let named = self.word(&["it", "this"]) || about.is_some() || picks;
                (named && !loose && self.to_zero()).then_some(about.unwrap_or(About::Unnamed))?
            }
        };
        let found = self.attempt(|cursor| {
            cursor.commas();
            cursor.word(&["and"]);
            // "solving for x"
            let _ = cursor.attempt(|cursor| {
                cursor.word(&["solving"]);
                cursor.word(&["for"]).then_some(())?;
                cursor.term()
            });
            cursor.word(&[
                "gives", "yields", "obtain", "get", "gets", "obtains", "leads", "shows", "implies",
                "means", "results", "follows", "have", "forces", "is", "are",
            ]);
            if matches!(cursor.peek(), Some(Item::Implies | Item::Equivalent)) {
                cursor.at += 1;
            }
            cursor.word(&["to", "in"]);
            cursor.word(&["only", "critical"]);
            cursor.word(&["critical", "solution"]);
            cursor.word(&["point", "points"]);
            let places = cursor.places(false)?;
            Some(Says::Zeros { places, only: true })
        });
        Some((about, None, found.unwrap_or(Says::Nothing)))
    }

    fn to_zero(&mut self) -> bool {
        self.attempt(|cursor| {
            cursor.word(&["equal", "equals", "is"]);
            cursor.word(&["to"]);
            if cursor.word(&["zero", "0"]) {
                return Some(());
            }
            let term = cursor.term()?;
            is_zero(term).then_some(())
        })
        .is_some()
    }

    /// "the derivative of f_n is …", "differentiating f_n gives …"
    fn derivative(&mut self) -> Option<Said<'a>> {
        let about = if self.word(&["differentiating", "differentiation", "differentiate"]) {
            let about = self.attempt(|cursor| {
                cursor.word(&["function"]);
                let term = cursor.term()?;
                derived(term).is_none().then_some(About::Function(term))
            });
            self.by_variable();
            let _ = self.attempt(|cursor| {
                cursor.word(&["by", "using", "with"]).then_some(())?;
                cursor.word(&["quotient", "product", "chain", "power"]);
                cursor.word(&["rule"]).then_some(())
            });
            self.commas();
            self.word(&["and"]);
            self.word(&[
                "gives", "yields", "obtain", "get", "obtains", "gets", "shows", "results",
                "produces", "leads", "have",
            ])
            .then_some(())?;
            self.word(&["to", "in"]);
            about.unwrap_or(About::Unnamed)
        } else if let Some(about) = self.attempt(|cursor| {
            let owner = cursor.owner().or_else(|| cursor.defined_owner())?;
            cursor
                .words(&[&["has"], &["derivative"]])
                .then_some(About::Function(owner))
        }) {
            about
        } else {
            let about = self.attempt(|cursor| {
                if cursor.word(&[ITS]) {
                    return cursor.owner_before();
                }
                cursor.word(&["derivative"]).then_some(())?;
                cursor.word(&["function"]);
                let term = cursor.attempt(|cursor| {
                    let term = cursor.term()?;
                    derived(term).is_none().then_some(term)
                });
                Some(term.map_or(About::Unnamed, About::Function))
            })?;
            self.by_variable();
            self.word(&["is", "equals", "reads", "becomes", "comes"])
                .then_some(())?;
            self.words(&[&["given"], &["by"]]);
            self.word(&["equal"]);
            self.word(&["out", "as", "to"]);
            about
        };
        self.commas();
        let value = match self.peek()? {
            Item::Formula(statement) => match &statement.kind {
                StatementKind::Term(term) => {
                    self.formula();
                    term
                }
                // "Differentiating gives A = B": the chain is read as a chain, too.
                StatementKind::Chain {
                    first: Some(first),
                    links,
                } if derived(first).is_none()
                    && matches!(links.first()?.sign, Sign::Relation(Relation::Equal)) =>
                {
                    self.at += 1;
                    first
                }
                _ => return None,
            },
            _ => return None,
        };
        if is_zero(value) || derived(value).is_some() {
            return None;
        }
        // "… times a factor", "up to sign".
        let left_open = matches!(
            self.peek(),
            Some(Item::Word(
                "up" | "times"
                    | "multiplied"
                    | "plus"
                    | "at"
                    | "for"
                    | "when"
                    | "on"
                    | "where"
                    | "only"
                    | "everywhere"
            ))
        );
        (!left_open).then_some((about, None, Says::Derivative(value)))
    }

    /// "f_n'(x) = 0 iff x = 1/n", "which vanishes at x = 1/n", "the only critical point is …"
    fn zeros(&mut self) -> Option<Said<'a>> {
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
    fn owner_before(&self) -> Option<About<'a>> {
        let last = self.items[..self.at]
            .iter()
            .rev()
            .find_map(|(_, item)| match item {
                Item::Formula(statement) => Some(*statement),
                _ => None,
            })?;
        let term = shape::first_term(last)?;
        Some(match derived(term) {
            Some(_) => return None,
            None => About::Function(term),
        })
    }

    /// What stands before: the derivative that a chain gives, or one that was told in words.
    fn before(&self) -> Option<About<'a>> {
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

/// `0`
pub(super) fn is_zero(term: &Term) -> bool {
    matches!(&term.kind, crate::notation::syntax::TermKind::Number(text) if text == "0")
}

fn names_a_set(term: &Term) -> bool {
    shape::is_set(&super::super::lexicon::as_set(term))
        || shape::bare_name(term).is_some_and(|name| name.base.starts_with(char::is_uppercase))
}

mod extremum;
mod signs;
