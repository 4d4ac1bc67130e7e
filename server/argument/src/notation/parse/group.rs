//! Operands: numerals, names, brackets of all kinds, fractions, roots, cases.

use super::{Parser, unread};
use crate::notation::lex::{Environment, Tok};
use crate::notation::syntax::{Name, Term, TermKind};

impl Parser {
    /// An operand without the marks behind it. Takes at least one token unless the group ends.
    pub(super) fn primary(&mut self) -> Term {
        let start = self.start();
        let Some(kind) = self.peek().cloned() else {
            return unread("a term is missing here", self.since(start));
        };
        if self.closing(self.position).is_some() {
            return self.group(&kind);
        }
        match kind {
            Tok::Bar | Tok::MidBar => return self.bars(),
            Tok::DoubleBar => return self.norm(),
            _ => {}
        }
        self.position += 1;
        let kind = match kind {
            Tok::Number(text) => TermKind::Number(text),
            Tok::Letter(base) => TermKind::Name(plain_name(base)),
            Tok::Pi => TermKind::Pi,
            Tok::Infinity => TermKind::Infinity,
            Tok::Dots => TermKind::Dots,
            Tok::NumberSet(letter) => TermKind::NumberSet { letter, mark: None },
            Tok::EmptySet => TermKind::SetOf(Vec::new()),
            Tok::Vulgar(top, bottom) => TermKind::Fraction(
                Box::new(self.made(TermKind::Number(top.to_owned()), start)),
                Box::new(self.made(TermKind::Number(bottom.to_owned()), start)),
            ),
            Tok::Fraction => return self.fraction(start),
            Tok::Binomial => {
                let (top, bottom) = self.two_arguments();
                TermKind::Binomial(Box::new(top), Box::new(bottom))
            }
            Tok::Root(degree, tex) => return self.root(degree, tex, start),
            Tok::Around(c) => return self.around(c, start),
            Tok::Decoration(mark) => return self.decorated(mark, start),
            Tok::Struck => TermKind::Struck(Box::new(self.single_argument())),
            Tok::Stack(_) => return self.stacked(start),
            Tok::Function(_) | Tok::Reciprocal(_) | Tok::Logarithm(_) => {
                return self.named_function(&kind, start);
            }
            Tok::Operator(operator) => return self.operator(operator, start, Vec::new()),
            Tok::Extremum(greatest) => return self.extremum(greatest, start, Vec::new()),
            Tok::Series(product) => return self.series(product, start),
            Tok::Integral => return self.integral(start),
            Tok::Unknown(name) => return self.unknown(&name, start),
            Tok::Unreadable(reason) => TermKind::Unread(reason.to_owned()),
            Tok::Open(_) | Tok::Left(_) | Tok::BraceOpen | Tok::Begin(_) => {
                TermKind::Unread("this opening bracket is never closed".to_owned())
            }
            _ => TermKind::Unread("this sign stands where a term is expected".to_owned()),
        };
        self.made(kind, start)
    }

    /// An unknown command, with the braces that are its arguments.
    fn unknown(&mut self, name: &str, start: usize) -> Term {
        while self.peek() == Some(&Tok::BraceOpen)
            && let Some(close) = self.closing(self.position)
        {
            self.position = close + 1;
        }
        self.made(TermKind::Foreign(name.to_owned()), start)
    }

    /// A matched bracket.
    fn group(&mut self, kind: &Tok) -> Term {
        let start = self.start();
        let open = self.position;
        let Some(close) = self.closing(open) else {
            return unread("this opening bracket is never closed", self.since(start));
        };
        match kind {
            Tok::BraceOpen => self.braced(close),
            Tok::Begin(Environment::Matrix) => {
                self.position = close + 1;
                unread("a matrix is not read", self.since(start))
            }
            Tok::Begin(_) => self.cases(close),
            Tok::Left('{') if self.tokens[close].kind == Tok::Right('.') => self.cases(close),
            Tok::Open('{') | Tok::Left('{') => self.set(close),
            Tok::Open('|') | Tok::Left('|') => {
                self.surrounded(close, |inner| TermKind::Bars(Box::new(inner)))
            }
            Tok::Open('‖') | Tok::Left('‖') => {
                self.surrounded(close, |inner| TermKind::Norm(Box::new(inner), None))
            }
            Tok::Open('⌊') | Tok::Left('⌊') => {
                self.surrounded(close, |inner| TermKind::Floor(Box::new(inner)))
            }
            Tok::Open('⌈') | Tok::Left('⌈') => {
                self.surrounded(close, |inner| TermKind::Ceil(Box::new(inner)))
            }
            Tok::Left('.') => self.left_open(close),
            Tok::Open('⟨') | Tok::Left('⟨') => {
                self.position = close + 1;
                unread("angle brackets are not read", self.since(start))
            }
            _ => self.bracketed(open, close),
        }
    }

    fn surrounded(&mut self, close: usize, make: fn(Term) -> TermKind) -> Term {
        let start = self.start();
        let (inner, complete) = self.inside(close, |parser| parser.term_or_missing());
        if complete {
            self.made(make(inner), start)
        } else {
            unread(
                "what stands between these bars is not understood",
                self.since(start),
            )
        }
    }

    /// `\left. a \right|_{x=b}` and `\left. … \right\}`.
    fn left_open(&mut self, close: usize) -> Term {
        let start = self.start();
        let closing = self.tokens[close].kind.clone();
        let (inner, complete) = self.inside(close, Self::term);
        if !complete {
            return unread(
                "what stands in this bracket is not understood",
                self.since(start),
            );
        }
        if closing == Tok::Right('|') && self.peek() == Some(&Tok::Under) {
            self.position += 1;
            let mut below = self.below();
            if below.is_empty() {
                return unread("the place of evaluation is missing", self.since(start));
            }
            let place = below.remove(0);
            return self.made(
                TermKind::EvaluatedAt(Box::new(inner), Box::new(place)),
                start,
            );
        }
        self.made(TermKind::Group(Box::new(inner)), start)
    }

    /// A TeX brace: invisible, but its content belongs together; holds `\over` and `\choose`.
    fn braced(&mut self, close: usize) -> Term {
        let start = self.start();
        let (inner, complete) = self.inside(close, Self::with_fraction_bar);
        let range = self.since(start);
        if !complete {
            return unread("what stands in these braces is not understood", range);
        }
        Term { range, ..inner }
    }

    /// A term, or two with `\over` or `\choose` between them.
    fn with_fraction_bar(&mut self) -> Term {
        let start = self.start();
        let top = self.listed_terms();
        let over = match self.peek() {
            Some(Tok::Over) => true,
            Some(Tok::Choose) => false,
            _ => return top,
        };
        self.position += 1;
        let bottom = if self.starts_term() {
            self.term()
        } else {
            self.missing("the denominator is missing")
        };
        let (top, bottom) = (Box::new(top), Box::new(bottom));
        let kind = if over {
            TermKind::Fraction(top, bottom)
        } else {
            TermKind::Binomial(top, bottom)
        };
        self.made(kind, start)
    }

    /// `(…)`, `[…]`, `]…[`: a group, a list of arguments, an interval.
    fn bracketed(&mut self, open: usize, close: usize) -> Term {
        let start = self.start();
        let low_closed = matches!(self.tokens[open].kind, Tok::Open('[') | Tok::Left('['));
        let reversed = matches!(self.tokens[open].kind, Tok::Close(_) | Tok::Left(']'));
        let high_closed = matches!(self.tokens[close].kind, Tok::Close(']') | Tok::Right(']'));
        let round_close = matches!(self.tokens[close].kind, Tok::Close(')') | Tok::Right(')'));
        let (inner, complete) = self.inside(close, Self::listed_terms);
        if !complete {
            return unread(
                "what stands in this bracket is not understood",
                self.since(start),
            );
        }
        match inner.kind {
            TermKind::List(items) if items.len() == 2 => {
                let infinite = items.iter().any(is_infinite);
                if low_closed || reversed || !round_close || infinite {
                    let mut ends = items.into_iter();
                    if let (Some(low), Some(high)) = (ends.next(), ends.next()) {
                        let kind = TermKind::Interval {
                            low: Box::new(low),
                            low_closed,
                            high: Box::new(high),
                            high_closed,
                        };
                        return self.made(kind, start);
                    }
                    return unread("an interval lacks an end", self.since(start));
                }
                let list = Term {
                    kind: TermKind::List(items),
                    range: inner.range,
                };
                self.made(TermKind::Group(Box::new(list)), start)
            }
            kind => {
                let inner = Term {
                    kind,
                    range: inner.range,
                };
                self.made(TermKind::Group(Box::new(inner)), start)
            }
        }
    }

    /// `|a|` with bars whose side only the place tells.
    fn bars(&mut self) -> Term {
        let start = self.start();
        self.position += 1;
        self.open_bars += 1;
        let outer_set = std::mem::replace(&mut self.in_set, false);
        let outer_bound = std::mem::replace(&mut self.in_bound, false);
        let inner = self.term_or_missing();
        self.open_bars -= 1;
        self.in_set = outer_set;
        self.in_bound = outer_bound;
        if matches!(self.peek(), Some(Tok::Bar | Tok::MidBar)) {
            self.position += 1;
            return self.made(TermKind::Bars(Box::new(inner)), start);
        }
        unread("this bar has no partner", self.since(start))
    }

    fn term_or_missing(&mut self) -> Term {
        if self.starts_term() {
            self.term()
        } else {
            self.missing("a term is missing here")
        }
    }

    fn norm(&mut self) -> Term {
        let start = self.start();
        self.position += 1;
        self.open_norms += 1;
        let inner = self.term_or_missing();
        self.open_norms -= 1;
        if self.take(&Tok::DoubleBar) {
            return self.made(TermKind::Norm(Box::new(inner), None), start);
        }
        unread("this double bar has no partner", self.since(start))
    }

    /// The argument of a command: a group, or one token.
    pub(super) fn single_argument(&mut self) -> Term {
        if self.peek() == Some(&Tok::BraceOpen)
            && let Some(close) = self.closing(self.position)
        {
            return self.braced(close);
        }
        if self.position < self.end
            && (self.starts_term() || self.is_statement_group(self.position))
        {
            if self.depth >= crate::limits::NESTING {
                return self.factor();
            }
            self.depth += 1;
            let found = self.primary();
            self.depth -= 1;
            return found;
        }
        self.missing("an argument of this command is missing")
    }

    /// Two arguments of a command.
    pub(super) fn two_arguments(&mut self) -> (Term, Term) {
        let first = self.single_argument();
        let second = self.single_argument();
        (first, second)
    }

    fn fraction(&mut self, start: usize) -> Term {
        if let Some(derivative) = self.derivative(start) {
            return derivative;
        }
        let (top, bottom) = self.two_arguments();
        self.made(TermKind::Fraction(Box::new(top), Box::new(bottom)), start)
    }

    /// A root; in plain text √ takes the operand that follows without its power.
    fn root(&mut self, degree: u32, tex: bool, start: usize) -> Term {
        let mut index = None;
        if tex
            && self.peek() == Some(&Tok::Open('['))
            && let Some(close) = self.closing(self.position)
        {
            let (found, _) = self.inside(close, Self::listed_terms);
            index = Some(Box::new(found));
        }
        if degree != 2 {
            index = Some(Box::new(
                self.made(TermKind::Number(degree.to_string()), start),
            ));
        }
        let radicand = if tex {
            self.single_argument()
        } else if self.starts_term() {
            self.factor_without_power()
        } else {
            unread("the root's argument is missing", self.since(start))
        };
        if !tex && self.peek() == Some(&Tok::Caret) {
            let bracketed = matches!(radicand.kind, TermKind::Group(_));
            if !bracketed {
                self.position += 1;
                drop(self.script_argument());
                return unread(
                    "does the power belong under the root? Put parentheses",
                    self.since(start),
                );
            }
        }
        let radicand = without_group(radicand);
        self.made(TermKind::Root(index, Box::new(radicand)), start)
    }

    /// `\abs{…}`, `abs(…)`, `\floor{…}`, `\set{…}`.
    fn around(&mut self, c: char, start: usize) -> Term {
        if c == '{'
            && let Some(close) = self.closing(self.position)
        {
            let found = self.set(close);
            return self.made(found.kind, start);
        }
        self.take(&Tok::Times);
        let inner = without_group(self.single_argument());
        let inner = Box::new(inner);
        let kind = match c {
            '|' => TermKind::Bars(inner),
            '‖' => TermKind::Norm(inner, None),
            '⌊' => TermKind::Floor(inner),
            _ => TermKind::Ceil(inner),
        };
        self.made(kind, start)
    }

    /// `\tilde f`, `\bar{x}`: the mark becomes part of the name.
    fn decorated(&mut self, mark: char, start: usize) -> Term {
        let inner = self.single_argument();
        match inner.kind {
            TermKind::Name(name) => {
                let base = format!("{}{mark}", name.base);
                self.made(TermKind::Name(Name { base, ..name }), start)
            }
            TermKind::Over {
                operator: crate::notation::syntax::Operator::Limit,
                below,
                body: None,
            } => self.made(
                TermKind::Over {
                    operator: crate::notation::syntax::Operator::LimitSuperior,
                    below,
                    body: None,
                },
                start,
            ),
            _ => unread("an accent on something that is no name", self.since(start)),
        }
    }

    /// `\underset{x ∈ D}{\sup} body`.
    fn stacked(&mut self, start: usize) -> Term {
        let below = self.below();
        let inner = match self.peek() {
            Some(Tok::BraceOpen) => {
                let Some(close) = self.closing(self.position) else {
                    return unread("this brace is never closed", self.since(start));
                };
                let kind = self.at(self.position + 1).cloned();
                self.position = close + 1;
                kind
            }
            other => {
                let kind = other.cloned();
                self.position += usize::from(kind.is_some());
                kind
            }
        };
        match inner {
            Some(Tok::Operator(operator)) => self.operator(operator, start, below),
            Some(Tok::Extremum(greatest)) => self.extremum(greatest, start, below),
            _ => unread("this stacked sign is not read", self.since(start)),
        }
    }
}

fn plain_name(base: String) -> Name {
    Name {
        base,
        subscript: None,
        superscript: None,
        primes: 0,
    }
}

/// ±∞
fn is_infinite(term: &Term) -> bool {
    match &term.kind {
        TermKind::Infinity => true,
        TermKind::Negative(inner) => is_infinite(inner),
        TermKind::Sum(terms) => terms.iter().any(|(_, term)| is_infinite(term)),
        _ => false,
    }
}

/// The inside of a bracket that another sign already delimits.
pub(super) fn without_group(term: Term) -> Term {
    let Term { kind, range } = term;
    match kind {
        TermKind::Group(inner) => Term { range, ..*inner },
        kind => Term { kind, range },
    }
}
