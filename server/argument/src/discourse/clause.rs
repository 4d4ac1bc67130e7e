//! The clause grammar: walks a sentence's phrases and statements and tells how each statement
//! is said. Names are known by use only; values and meanings come later.

mod family;
mod introduce;
mod mark;
mod range;
mod relation;
mod turn;

use super::names::{Names, Use};
use super::phrase::{Family, phrase};
use super::said_shape::{
    begins_with_size, defines_application, is_comparison, is_domain, is_membership,
    is_membership_or_order, is_motion, is_range_shape, is_set_term, is_strict_range, is_vicinity,
    links_tend,
};
use super::shape;
use super::token::{Mark, StatementToken, Token, TokenKind};
use super::utterance::{Group, Left, Mode, Reading, Spoken, Utterance};
use crate::notation::syntax::{Connective, Sign, Statement, StatementKind};
use kernel::Relation;

/// Reads a sentence that is said in a certain way from its first word on: what a headline says is
/// to be shown, what a list says behind "suppose that" is supposed.
pub(super) fn read(tokens: &[Token], names: &Names, opening: Option<Mode>) -> Reading {
    let mut walk = Walk {
        tokens,
        names,
        reading: Reading::default(),
        base: opening.unwrap_or(Mode::Claim),
        above: None,
        verb: None,
        reach: 0,
        since_base: 0,
        integer: None,
        doubt: None,
        large: false,
        therefore: false,
        spoken: None,
        link: None,
        subjects: Vec::new(),
        case: false,
        limit_is: None,
        same: false,
        place: false,
        brackets: Vec::new(),
        last_statement: None,
        words_since: 0,
        contradiction: false,
        joined: false,
        property: None,
        meant_case: false,
    };
    walk.reading.groups.push(Group {
        mode: opening,
        ..Group::default()
    });
    let mut at = 0;
    while at < tokens.len() {
        at += walk.step(at);
    }
    walk.finish()
}

/// What a bracket interrupts.
#[derive(Clone, Copy)]
struct Outside {
    base: Mode,
    above: Option<Mode>,
    verb: Option<Family>,
}

/// How a statement is said, and where it stands to what it governs.
struct SaidAs {
    mode: Mode,
    backward: bool,
    aside: bool,
}

struct Walk<'a> {
    tokens: &'a [Token],
    names: &'a Names,
    reading: Reading,
    /// How the clause is said.
    base: Mode,
    /// A range or condition on top of it.
    above: Option<Mode>,
    verb: Option<Family>,
    reach: usize,
    /// Statements since `base` was set.
    since_base: usize,
    integer: Option<bool>,
    doubt: Option<&'static str>,
    large: bool,
    therefore: bool,
    spoken: Option<(Spoken, Left)>,
    link: Option<(Connective, usize)>,
    subjects: Vec<usize>,
    case: bool,
    /// Behind "the limit is": the next token.
    limit_is: Option<usize>,
    /// "for these n", "for this N": what is meant was bound before.
    same: bool,
    place: bool,
    brackets: Vec<Outside>,
    /// The last statement's utterance.
    last_statement: Option<usize>,
    /// Words since then.
    words_since: usize,
    contradiction: bool,
    /// "and" stands between the last statement and here.
    joined: bool,
    /// How many utterances stood before a range went on with a property: "for all x, y with
    /// |x − y| < δ and …".
    property: Option<usize>,
    /// The sentence speaks of one of the cases before: "in the first case".
    meant_case: bool,
}

impl Walk<'_> {
    fn step(&mut self, at: usize) -> usize {
        match &self.tokens[at].kind {
            TokenKind::Word { .. } => {
                let found = phrase(&self.tokens[at..]);
                let length = found.map_or(1, |(_, length)| length);
                if let Some((family, length)) = found {
                    self.family(family, at, length);
                } else if self.quantifies_alone(at) {
                    self.range(Family::ForAll, at, at + 1);
                }
                self.words_since += length;
                length
            }
            TokenKind::Mark(mark) => {
                self.mark(*mark, at);
                1
            }
            TokenKind::Arrow(connective) => {
                self.arrow(*connective, at);
                1
            }
            TokenKind::Statement(statement) => {
                self.statement(statement, at);
                1
            }
        }
    }

    /// "We first demand |x − 1| < 1/3": how near the points shall be is supposed from then on.
    fn demands(&self, statement: &Statement, at: usize) -> bool {
        let verbs = self.tokens[..at]
            .iter()
            .rev()
            .map_while(Token::word)
            .take(5);
        is_vicinity(statement)
            && verbs.into_iter().any(|word| {
                matches!(
                    word,
                    "demand" | "require" | "insist" | "restrict" | "keep" | "agree" | "impose"
                )
            })
    }

    /// "Every k ≥ K then satisfies …": a quantifier right before its range, without "for".
    fn quantifies_alone(&self, at: usize) -> bool {
        matches!(
            self.tokens[at].word(),
            Some("every" | "any" | "each" | "all")
        ) && self.base == Mode::Claim
            && self
                .tokens
                .get(at + 1)
                .and_then(Token::statement)
                .is_some_and(|next| {
                    !matches!(next.statement.kind, StatementKind::Term(_))
                        && is_range_shape(&next.statement, self.names)
                })
    }

    fn mode(&self) -> Mode {
        self.above.unwrap_or(self.base)
    }

    fn set(&mut self, base: Mode) {
        self.base = base;
        self.above = None;
        self.verb = None;
        self.since_base = 0;
        self.subjects.clear();
        self.integer = None;
        self.case = false;
        self.limit_is = None;
        self.place = false;
        if !matches!(base, Mode::Let | Mode::Choose | Mode::Exists) {
            self.large = false;
        }
        let group = self.group();
        group.mode = Some(base);
    }

    fn group(&mut self) -> &mut Group {
        if self.reading.groups.is_empty() {
            self.reading.groups.push(Group::default());
        }
        let last = self.reading.groups.len() - 1;
        &mut self.reading.groups[last]
    }

    /// A new clause begins at token `at`.
    fn new_group(&mut self, at: usize) {
        let mode = self.base;
        let group = self.group();
        group.tokens.1 = at;
        if group.tokens.0 < at {
            self.reading.groups.push(Group {
                tokens: (at, at),
                mode: Some(mode),
                ..Group::default()
            });
        }
        self.doubt = None;
        self.spoken = None;
    }

    fn new_reach(&mut self, at: usize) {
        self.reach += 1;
        self.new_group(at);
    }

    /// The next token behind `at` that is a statement, words between them skipped, up to a mark.
    fn next_statement(&self, at: usize) -> Option<(&StatementToken, usize)> {
        for (offset, token) in self.tokens[at..].iter().enumerate() {
            match &token.kind {
                TokenKind::Statement(statement) => return Some((statement, at + offset)),
                TokenKind::Word { .. } => {}
                TokenKind::Mark(Mark::Gap) => {}
                _ => return None,
            }
        }
        None
    }

    fn has_statement_between(&self, from: usize, to: usize) -> bool {
        self.tokens[from..to]
            .iter()
            .any(|token| token.statement().is_some())
    }

    fn opens_sentence(&self, at: usize) -> bool {
        !self.has_statement_between(0, at)
    }

    fn words_before(&self, at: usize) -> usize {
        self.tokens[..at]
            .iter()
            .filter(|token| !matches!(token.kind, TokenKind::Mark(_)))
            .count()
    }

    fn statement(&mut self, token: &StatementToken, at: usize) {
        if self.base == Mode::Domain {
            self.base = Mode::Claim;
        }
        let statement = &token.statement;
        // "The error is bounded by |f_n(x)| ≤ 1/n": the formula says it all.
        let complete =
            shape::first_term(statement).is_some() && !shape::links(statement).is_empty();
        // "n > 5, which is the same as 2n > 10": an inequality for an inequality.
        let ordered = || {
            shape::links(statement).iter().all(|link| {
                matches!(link.sign, Sign::Relation(relation)
                    if !matches!(relation, Relation::Equal | Relation::NotEqual))
            })
        };
        let same = || {
            let before = self.tokens[..at].iter().rev().map_while(Token::word);
            before.take(3).eq(["as", "same", "the"])
        };
        if let Some(last) = self
            .last_statement
            .filter(|_| complete && ordered() && same())
        {
            self.spoken = None;
            self.link.get_or_insert((Connective::Equivalent, last));
        }
        if complete && (token.display || begins_with_size(statement)) {
            self.spoken = None;
        }
        let said = self.said(token, at);
        let equality = self.tells_of_equality(at);
        let mode = match said.mode {
            _ if equality => Mode::Claim,
            Mode::Aim | Mode::Claim | Mode::Assume if self.demands(statement, at) => Mode::Let,
            mode => mode,
        };
        if equality {
            self.doubt = Some("it tells where equality holds, which is not decided");
            self.link = None;
        }
        // "The limit function is not continuous at 0" names no limit.
        let limit_is = self.limit_is.take().is_some_and(|from| {
            self.tokens[from.min(at)..at]
                .iter()
                .all(may_stand_before_limit)
        });
        let utterance = Utterance {
            token: at,
            mode,
            base: self.base,
            verb: self.verb,
            group: self.reading.groups.len().saturating_sub(1),
            reach: self.reach,
            backward: said.backward,
            // "A ⇒ ∀n ≥ N: B": the range stands inside, A implies B.
            link: self.link.take_if(|_| mode != Mode::Range),
            spoken: self.spoken.take(),
            zero: None,
            integer: self.integer.take(),
            large: std::mem::take(&mut self.large),
            doubt: self.doubt.or(self
                .meant_case
                .then_some("which case is meant is said in words")),
            therefore: std::mem::take(&mut self.therefore),
            subjects: self.subjects.clone(),
            case: self.case,
            limit_is,
            same: mode == Mode::Range && std::mem::take(&mut self.same),
            place: self.place,
            aside: said.aside,
        };
        let position = self.reading.utterances.len();
        let names_only = match &statement.kind {
            StatementKind::Term(term) => shape::bare_names(term).is_some(),
            _ => is_membership(statement),
        };
        if matches!(mode, Mode::Let | Mode::Choose | Mode::Exists) && names_only {
            self.subjects.push(position);
        }
        if self.above.is_none() || self.above == Some(Mode::Claim) {
            self.since_base += 1;
        }
        if self.above == Some(Mode::Claim)
            || self.above == Some(Mode::Domain)
            || self.above == Some(Mode::Motion)
        {
            self.above = None;
        }
        if links_tend(statement) && self.mode() != Mode::Motion && !is_motion(statement) {
            self.group().tends = true;
        }
        self.reading.utterances.push(utterance);
        self.last_statement = Some(position);
        self.words_since = 0;
        self.joined = false;
    }

    /// "… with equality iff x = 1": no range of the claim before, and nothing that follows from it.
    fn tells_of_equality(&self, at: usize) -> bool {
        let mut when = false;
        for token in self.tokens[..at].iter().rev() {
            match &token.kind {
                TokenKind::Word { text, .. } => match text.as_str() {
                    "iff" | "if" | "only" | "when" | "for" | "at" | "exactly" | "precisely" => {
                        when = true;
                    }
                    "equality" => return when,
                    _ => {}
                },
                TokenKind::Statement(statement) => {
                    let lone = shape::opens_with_relation(&statement.statement)
                        && shape::links(&statement.statement)
                            .iter()
                            .all(|link| link.right.is_none());
                    return lone && when;
                }
                TokenKind::Mark(Mark::Period | Mark::Semicolon | Mark::InnerPeriod) => {
                    return false;
                }
                _ => {}
            }
        }
        false
    }

    /// "The bracket is positive for x³ < 2/n and negative for …": where a sign is told.
    fn follows_sign(&self, at: usize) -> bool {
        let mut words = self.tokens[..at].iter().rev().map_while(Token::word);
        matches!(words.next(), Some("for" | "when" | "if" | "iff" | "where"))
            && words.find(|word| *word != "only").is_some_and(|word| {
                matches!(
                    word,
                    "positive" | "negative" | "nonnegative" | "nonpositive" | "zero" | "vanishes"
                )
            })
    }

    /// In which way the statement at `at` is said.
    fn said(&mut self, token: &StatementToken, at: usize) -> SaidAs {
        let statement = &token.statement;
        let mut mode = self.mode();
        // Behind a display "for" and "on" are over.
        if mode == Mode::Domain && !matches!(statement.kind, StatementKind::Term(_)) {
            self.above = None;
            mode = self.base;
        }
        if mode == Mode::Range
            && self.since_above()
            && token.opens_row
            && self.spoken.is_none()
            && (token.display || !self.in_property())
            && !is_range_shape(statement, self.names)
        {
            self.above = None;
            mode = self.base;
        }
        if mode == Mode::Reason && token.display && token.opens_row && self.since_base > 0 {
            self.new_group(at);
            self.set(Mode::Claim);
            mode = Mode::Claim;
        }
        // "With δ = ε/5 and 0 < |x − 3| < δ": of the points for which it was picked.
        if matches!(mode, Mode::Where | Mode::Choose)
            && self.joined
            && self.picked_something()
            && is_vicinity(statement)
        {
            mode = Mode::Condition;
        }
        if mode == Mode::Claim && self.names_parity(statement, at) {
            mode = Mode::Range;
        }
        let remark = self.is_remark(token, at);
        let aside = self.in_brackets() || remark;
        let restricted =
            is_strict_range(statement, self.names) && self.link.is_none() && self.spoken.is_none();
        let mut backward = false;
        if mode == Mode::Claim
            && restricted
            && (aside && !self.concludes_in_brackets(at)
                || self.follows_claim(at)
                || is_membership(statement) && !self.therefore && !self.follows_assertion(at))
        {
            mode = Mode::Range;
            backward = self.claim_before() && !self.is_said_of_apart(at);
        } else if matches!(mode, Mode::Range | Mode::Condition | Mode::Domain) {
            backward = self.claim_before() && !self.claim_follows(at) && !self.is_said_of_apart(at)
                || self.lists_with_range_before(at);
        } else if mode == Mode::Claim && remark {
            mode = Mode::Reason;
        }
        if self.follows_sign(at) && (is_comparison(statement) || restricted) {
            if !matches!(mode, Mode::Range | Mode::Condition) {
                mode = Mode::Condition;
            }
            backward = true;
        }
        if is_motion(statement)
            && matches!(
                mode,
                Mode::Claim
                    | Mode::Range
                    | Mode::Condition
                    | Mode::Let
                    | Mode::Define
                    | Mode::Choose
            )
        {
            mode = Mode::Motion;
        }
        SaidAs {
            mode,
            backward,
            aside,
        }
    }

    /// "… for all n ≥ N, x ∈ A, and let …": the second of a list ranges as the first one does.
    fn lists_with_range_before(&self, at: usize) -> bool {
        self.reading.utterances.last().is_some_and(|last| {
            last.mode == Mode::Range
                && last.backward
                && last.token < at
                && self.tokens[last.token + 1..at]
                    .iter()
                    .all(|token| token.is(Mark::Comma) || token.word() == Some("and"))
        })
    }

    /// "odd n: a_n < 0", "n even ⇒ …": for which indices something is said.
    fn names_parity(&self, statement: &Statement, at: usize) -> bool {
        let StatementKind::Term(term) = &statement.kind else {
            return false;
        };
        let parity = |place: Option<usize>| {
            place
                .and_then(|place| self.tokens.get(place)?.word())
                .is_some_and(|word| matches!(word, "odd" | "even"))
        };
        let (before, behind) = (parity(at.checked_sub(1)), parity(Some(at + 1)));
        let next = self.tokens.get(at + 1 + usize::from(behind));
        shape::bare_names(term).is_some()
            && (before || behind)
            && next.is_some_and(|next| {
                matches!(
                    next.kind,
                    TokenKind::Mark(Mark::Colon | Mark::Comma) | TokenKind::Arrow(_)
                )
            })
    }

    /// "(in particular x ≠ 1, so that …)": the brackets draw a conclusion.
    fn concludes_in_brackets(&self, at: usize) -> bool {
        self.therefore
            && !at
                .checked_sub(1)
                .is_some_and(|last| self.tokens[last].is(Mark::Open))
    }

    fn finish(mut self) -> Reading {
        let end = self.tokens.len();
        if let Some(last) = self.reading.groups.last_mut() {
            last.tokens.1 = end;
        }
        if self.contradiction {
            for utterance in &mut self.reading.utterances {
                if utterance.mode == Mode::Assume {
                    utterance.mode = Mode::Contradiction;
                }
            }
        }
        self.reading
    }
}

/// What may stand between "the limit is" and the limit.
fn may_stand_before_limit(token: &Token) -> bool {
    match token.word() {
        Some(word) => [
            "the",
            "function",
            "equal",
            "to",
            "given",
            "by",
            "then",
            "just",
            "again",
            "clearly",
            "therefore",
            "constant",
            "constantly",
            "identically",
            "zero",
            "here",
            "now",
            "of",
            "course",
            "thus",
            "everywhere",
            "simply",
            "obviously",
            "as",
            "follows",
        ]
        .contains(&word),
        None => true,
    }
}

fn has(tokens: &[Token], from: usize, to: usize, word: &str) -> bool {
    tokens[from..to.min(tokens.len())]
        .iter()
        .any(|token| token.word() == Some(word))
}
