//! Factors: names with their marks, numerals, powers and the other signs behind an operand.

use super::meant::is_indexed;
use super::{Parser, unread};
use crate::limits::NESTING;
use crate::notation::lex::Tok;
use crate::notation::syntax::{Name, Term, TermKind};

impl Parser {
    /// An operand with its powers, indices, primes and factorials.
    pub(super) fn factor(&mut self) -> Term {
        let start = self.start();
        if self.depth >= NESTING {
            self.position = self
                .closing(self.position)
                .map_or(self.end, |close| close + 1);
            return unread(
                "this part is nested too deeply to be read",
                self.since(start),
            );
        }
        self.depth += 1;
        let base = self.primary();
        let whole = self.with_marks(base, start, true);
        self.depth -= 1;
        whole
    }

    /// An operand with its index but without its power, as √ takes it in plain text.
    pub(super) fn factor_without_power(&mut self) -> Term {
        let start = self.start();
        if self.depth >= NESTING {
            return self.factor();
        }
        self.depth += 1;
        let base = self.primary();
        let whole = self.with_marks(base, start, false);
        self.depth -= 1;
        whole
    }

    /// The signs behind an operand.
    pub(super) fn with_marks(&mut self, mut term: Term, start: usize, powers: bool) -> Term {
        let mut marks = 0;
        loop {
            let before = self.position;
            term = match self.peek() {
                Some(Tok::Caret) if powers => self.raised(term, start),
                Some(Tok::Under) => self.indexed(term, start),
                Some(Tok::Prime(_)) => self.primed(term, start),
                Some(Tok::Bang) => self.factorial(term, start),
                Some(Tok::Percent) => {
                    let range = self.tokens[self.position].range.clone();
                    self.position += 1;
                    let hundred = Term {
                        kind: TermKind::Number("100".to_owned()),
                        range,
                    };
                    self.made(TermKind::Fraction(Box::new(term), Box::new(hundred)), start)
                }
                Some(Tok::Number(digits)) if self.is_glued_digit(&term, digits) => {
                    self.glued_digits(term, start)
                }
                Some(Tok::Bar | Tok::Right('|')) if self.is_evaluation() => {
                    self.evaluated(term, start)
                }
                _ => return term,
            };
            marks += 1;
            if self.position == before || marks > NESTING {
                return term;
            }
        }
    }

    pub(super) fn made(&self, kind: TermKind, start: usize) -> Term {
        Term {
            kind,
            range: self.since(start),
        }
    }

    /// `n0`, `x2`: a letter with digits and no mark between them.
    fn is_glued_digit(&self, term: &Term, digits: &str) -> bool {
        let plain_letter = match &term.kind {
            TermKind::Name(name) => {
                name.subscript.is_none()
                    && name.superscript.is_none()
                    && name.primes == 0
                    && name.base.chars().count() == 1
            }
            _ => false,
        };
        plain_letter
            && !digits.contains('.')
            && !self.spaced()
            && self.position > 0
            && matches!(self.tokens[self.position - 1].kind, Tok::Letter(_))
            && term.range.end == self.tokens[self.position].range.start
    }

    fn glued_digits(&mut self, term: Term, start: usize) -> Term {
        let range = self.tokens[self.position].range.clone();
        let Some(Tok::Number(digits)) = self.peek().cloned() else {
            return term;
        };
        self.position += 1;
        let TermKind::Name(name) = term.kind else {
            return term;
        };
        if digits != "0" && digits != "1" {
            let letter = name.base;
            return unread(
                format!(
                    "is {letter}{digits} the power {letter}^{digits} or the name {letter}_{digits}?"
                ),
                self.since(start),
            );
        }
        let index = Term {
            kind: TermKind::Number(digits),
            range,
        };
        self.made(
            TermKind::Name(Name {
                subscript: Some(Box::new(index)),
                ..name
            }),
            start,
        )
    }

    fn raised(&mut self, term: Term, start: usize) -> Term {
        self.position += 1;
        if let Some(count) = self.primes_in_script() {
            return self.add_primes(term, count, start);
        }
        if let Some(mark) = self.star_in_script() {
            return match term.kind {
                TermKind::Name(name) => {
                    let base = format!("{}{mark}", name.base);
                    self.made(TermKind::Name(Name { base, ..name }), start)
                }
                TermKind::NumberSet { letter, mark: None } => self.made(
                    TermKind::NumberSet {
                        letter,
                        mark: Some(mark.to_owned()),
                    },
                    start,
                ),
                _ if mark == "*" => unread("a star on a term is not read", self.since(start)),
                kind => {
                    let inner = self.made(kind, start);
                    self.made(TermKind::OneSided(Box::new(inner), mark == "+"), start)
                }
            };
        }
        if let TermKind::NumberSet { letter, .. } = term.kind {
            let exponent = self.script_argument();
            let mark = crate::notation::unicode::term(&exponent);
            return self.made(
                TermKind::NumberSet {
                    letter,
                    mark: Some(format!("^{mark}")),
                },
                start,
            );
        }
        // `x^1/n`: nobody raises to the power 1.
        if matches!(self.peek(), Some(Tok::Number(digits)) if digits == "1")
            && self.at(self.position + 1) == Some(&Tok::Slash)
        {
            self.position += 1;
            let range = self.since(start);
            return unread("where does this exponent end? Put it into braces", range);
        }
        let in_parentheses = self.is_parenthesised_script();
        let exponent = self.script_argument();
        match (term.kind, in_parentheses) {
            (TermKind::Name(name), true) if name.superscript.is_none() && name.primes == 0 => {
                let inner = match exponent.kind {
                    TermKind::Group(inner) => *inner,
                    _ => exponent,
                };
                self.made(
                    TermKind::Name(Name {
                        superscript: Some(Box::new(inner)),
                        ..name
                    }),
                    start,
                )
            }
            (kind, _) => {
                let base = Term {
                    kind,
                    range: term.range,
                };
                let exponent = if self.peek() == Some(&Tok::Caret) && self.depth < NESTING {
                    let inner = exponent.range.start;
                    self.depth += 1;
                    let tower = self.raised(exponent, inner);
                    self.depth -= 1;
                    tower
                } else {
                    exponent
                };
                self.made(TermKind::Power(Box::new(base), Box::new(exponent)), start)
            }
        }
    }

    /// `^\prime`, `^{\prime\prime}`: the number of primes.
    fn primes_in_script(&mut self) -> Option<u32> {
        if let Some(Tok::Prime(count)) = self.peek() {
            let count = *count;
            self.position += 1;
            return Some(count);
        }
        let close = self.closing(self.position)?;
        let mut count = 0;
        for at in self.position + 1..close {
            match self.tokens[at].kind {
                Tok::Prime(more) => count += more,
                _ => return None,
            }
        }
        if count == 0 || self.peek() != Some(&Tok::BraceOpen) {
            return None;
        }
        self.position = close + 1;
        Some(count)
    }

    /// `^*`, `^+`, `^{-}`: a mark that is no exponent.
    fn star_in_script(&mut self) -> Option<&'static str> {
        let (at, next) = match self.closing(self.position) {
            Some(close) if close == self.position + 2 => (self.position + 1, close + 1),
            Some(_) => return None,
            None => (self.position, self.position + 1),
        };
        let mark = match self.at(at)? {
            Tok::Times => "*",
            Tok::Plus => "+",
            Tok::Minus => "-",
            _ => return None,
        };
        // `2^-n` has an exponent behind its sign.
        if next == self.position + 1 && self.starts_term_at(next) && mark != "*" {
            return None;
        }
        self.position = next;
        Some(mark)
    }

    /// `^+` or `^-` at the cursor: from which side a place is approached.
    pub(super) fn side_mark(&mut self) -> Option<bool> {
        if self.peek() != Some(&Tok::Caret) {
            return None;
        }
        let before = self.position;
        self.position += 1;
        match self.star_in_script() {
            Some("+") => Some(true),
            Some("-") => Some(false),
            _ => {
                self.position = before;
                None
            }
        }
    }

    /// Whether the script at the cursor is one bracket: `^{(n)}`, `^(n)`.
    fn is_parenthesised_script(&self) -> bool {
        let opens = |index| matches!(self.at(index), Some(Tok::Open('(') | Tok::Left('(')));
        if opens(self.position) {
            return self.closing(self.position).is_some();
        }
        let Some(close) = self.closing(self.position) else {
            return false;
        };
        opens(self.position + 1) && self.closing(self.position + 1) == Some(close - 1)
    }

    /// What stands behind `^` or `_`: a group, or one token.
    pub(super) fn script_argument(&mut self) -> Term {
        let start = self.start();
        match self.peek() {
            Some(Tok::BraceOpen) if self.closing(self.position).is_some() => self.script_group(),
            Some(Tok::Minus | Tok::Plus) => {
                let negative = self.peek() == Some(&Tok::Minus);
                self.position += 1;
                let inner = self.script_argument();
                // `e^-nx`: the typeset power ends after the sign, the meant one nobody knows.
                let unclear =
                    matches!(self.peek(), Some(Tok::Letter(_) | Tok::Number(_))) && !self.spaced();
                if unclear {
                    return unread(
                        "where does this exponent end? Put it into braces",
                        self.since(start),
                    );
                }
                let kind = if negative {
                    TermKind::Negative(Box::new(inner))
                } else {
                    inner.kind
                };
                self.made(kind, start)
            }
            Some(Tok::Words(words)) => {
                let base = words.clone();
                self.position += 1;
                self.made(
                    TermKind::Name(Name {
                        base,
                        subscript: None,
                        superscript: None,
                        primes: 0,
                    }),
                    start,
                )
            }
            Some(Tok::Extremum(greatest)) => {
                let base = if *greatest { "max" } else { "min" };
                self.word_index(base, start)
            }
            Some(_) if self.starts_term() && self.depth < NESTING => {
                self.depth += 1;
                let found = self.primary();
                self.depth -= 1;
                found
            }
            _ => self.missing("an exponent or index is missing"),
        }
    }

    fn word_index(&mut self, base: &str, start: usize) -> Term {
        self.position += 1;
        self.made(
            TermKind::Name(Name {
                base: base.to_owned(),
                subscript: None,
                superscript: None,
                primes: 0,
            }),
            start,
        )
    }

    fn script_group(&mut self) -> Term {
        let start = self.start();
        let Some(close) = self.closing(self.position) else {
            return unread("this brace is never closed", self.since(start));
        };
        let (found, complete) = self.inside(close, |parser| {
            let start = parser.start();
            match (parser.peek(), close - parser.position) {
                (Some(Tok::Extremum(true)), 1) => return parser.word_index("max", start),
                (Some(Tok::Extremum(false)), 1) => return parser.word_index("min", start),
                (Some(Tok::Plus), 1) => return parser.word_index("+", start),
                (Some(Tok::Minus), 1) => return parser.word_index("−", start),
                (Some(Tok::Words(_)), 1) => return parser.script_argument(),
                _ => {}
            }
            parser.listed_terms()
        });
        let range = self.since(start);
        if complete {
            Term { range, ..found }
        } else {
            unread("this index or exponent is not understood", range)
        }
    }

    /// Terms with commas between them, one as itself.
    pub(super) fn listed_terms(&mut self) -> Term {
        let start = self.start();
        let mut items = Vec::new();
        loop {
            if !self.starts_term() {
                break;
            }
            items.push(self.term());
            if !matches!(self.peek(), Some(Tok::Comma | Tok::Semicolon)) {
                break;
            }
            self.position += 1;
        }
        match (items.len(), items.pop()) {
            (1, Some(only)) => only,
            (_, Some(last)) => {
                items.push(last);
                self.made(TermKind::List(items), start)
            }
            (_, None) => unread("a term is missing here", self.since(start)),
        }
    }

    /// `_` behind an operand.
    fn indexed(&mut self, term: Term, start: usize) -> Term {
        match term.kind {
            TermKind::Name(name) if name.subscript.is_none() => {
                self.position += 1;
                let index = self.script_argument();
                self.made(
                    TermKind::Name(Name {
                        subscript: Some(Box::new(index)),
                        ..name
                    }),
                    start,
                )
            }
            TermKind::Bars(inner) => {
                self.position += 1;
                let index = self.script_argument();
                let inner = match inner.kind {
                    TermKind::Bars(innermost) => innermost,
                    _ => inner,
                };
                self.made(TermKind::Norm(inner, Some(Box::new(index))), start)
            }
            TermKind::Norm(inner, None) => {
                self.position += 1;
                let index = self.script_argument();
                self.made(TermKind::Norm(inner, Some(Box::new(index))), start)
            }
            TermKind::NumberSet { letter, mark } => {
                let from = self.position + 1;
                self.position += 1;
                let below = self.below();
                let written = self.mark_text(from);
                drop(below);
                let mark = Some(mark.map_or(written.clone(), |known| format!("{known}{written}")));
                self.made(TermKind::NumberSet { letter, mark }, start)
            }
            TermKind::Group(inner)
            | TermKind::Sequence {
                term: inner,
                index: None,
            } if self.is_sequence_index(&inner) => self.sequence_index(inner, start),
            TermKind::SetOf(mut items) if items.len() == 1 => match items.pop() {
                Some(only) => self.sequence_index(Box::new(only), start),
                None => term_without_index(self, start),
            },
            TermKind::Power(base, exponent) if matches!(&base.kind, TermKind::Name(name) if name.subscript.is_none()) =>
            {
                let inner_start = base.range.start;
                let named = self.indexed(*base, inner_start);
                // The index is written behind the power, so that the name's range covers both.
                self.made(TermKind::Power(Box::new(named), exponent), start)
            }
            _ => term_without_index(self, start),
        }
    }

    /// The marks of a number set as written, relations in ASCII: `>0`, `>=0`, `0`, `+`.
    fn mark_text(&self, from: usize) -> String {
        let mut text = String::new();
        for token in &self.tokens[from..self.position] {
            use crate::notation::syntax::Sign;
            use kernel::Relation::{Greater, GreaterEqual, Less, LessEqual, NotEqual};
            match &token.kind {
                Tok::Number(digits) => text.push_str(digits),
                Tok::Letter(letter) => text.push_str(letter),
                Tok::Plus => text.push('+'),
                Tok::Minus => text.push('-'),
                Tok::Times => text.push('*'),
                Tok::Sign(Sign::Relation(Greater)) => text.push('>'),
                Tok::Sign(Sign::Relation(GreaterEqual)) => text.push_str(">="),
                Tok::Sign(Sign::Relation(Less)) => text.push('<'),
                Tok::Sign(Sign::Relation(LessEqual)) => text.push_str("<="),
                Tok::Sign(Sign::Relation(NotEqual)) => text.push_str("!="),
                Tok::BraceOpen | Tok::BraceClose => {}
                _ => text.push('?'),
            }
        }
        text
    }

    /// Whether the `_` at the cursor makes a sequence of the bracket before it.
    fn is_sequence_index(&self, inner: &Term) -> bool {
        is_indexed(inner)
            || match self.at(self.position + 1) {
                Some(Tok::BraceOpen) => self.shape.holds_statement[self.position + 1],
                Some(Tok::Letter(letter)) => matches!(letter.as_str(), "n" | "k" | "m" | "j"),
                _ => false,
            }
    }

    fn sequence_index(&mut self, term: Box<Term>, start: usize) -> Term {
        self.position += 1;
        let mut below = self.below();
        let index = (!below.is_empty()).then(|| Box::new(below.remove(0)));
        // `_{n=1}^{∞}`: the upper end says nothing more.
        if self.peek() == Some(&Tok::Caret) {
            self.position += 1;
            drop(self.script_argument());
        }
        self.made(TermKind::Sequence { term, index }, start)
    }

    fn primed(&mut self, term: Term, start: usize) -> Term {
        let mut count = 0;
        while let Some(Tok::Prime(more)) = self.peek() {
            count += more;
            self.position += 1;
        }
        self.add_primes(term, count, start)
    }

    fn add_primes(&self, term: Term, count: u32, start: usize) -> Term {
        match term.kind {
            TermKind::Name(name) => {
                let primes = name.primes.saturating_add(count);
                self.made(TermKind::Name(Name { primes, ..name }), start)
            }
            TermKind::Group(_) => self.made(TermKind::Primed(Box::new(term), count), start),
            _ => unread(
                "a prime on something that is no function",
                self.since(start),
            ),
        }
    }

    fn factorial(&mut self, term: Term, start: usize) -> Term {
        self.position += 1;
        if self.peek() == Some(&Tok::Bang) {
            while self.take(&Tok::Bang) {}
            return unread("a double factorial is not read", self.since(start));
        }
        self.made(TermKind::Factorial(Box::new(term)), start)
    }

    /// A bar with an index behind an operand: `x^2|_{x=0}`.
    fn is_evaluation(&self) -> bool {
        self.open_bars == 0 && self.at(self.position + 1) == Some(&Tok::Under)
    }

    fn evaluated(&mut self, term: Term, start: usize) -> Term {
        self.position += 2;
        let mut below = self.below();
        if below.is_empty() {
            return unread("the place of evaluation is missing", self.since(start));
        }
        let place = below.remove(0);
        self.made(
            TermKind::EvaluatedAt(Box::new(term), Box::new(place)),
            start,
        )
    }
}

fn term_without_index(parser: &mut Parser, start: usize) -> Term {
    parser.position += 1;
    drop(parser.script_argument());
    unread("an index on something that is no name", parser.since(start))
}
