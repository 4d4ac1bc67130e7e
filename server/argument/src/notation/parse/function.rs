//! Named functions with their arguments, with and without parentheses.

use super::group::without_group;
use super::{Parser, unread};
use crate::notation::lex::Tok;
use crate::notation::syntax::{Term, TermKind};
use kernel::Function;

/// A function with its argument, before it becomes a term.
struct Called {
    base: Option<Box<Term>>,
    power: Option<Box<Term>>,
    argument: Term,
    delimited: bool,
}

impl Parser {
    /// `\sin^2 x`, `\log_2 n`, `\exp(-nx)`; the function's own token is already taken.
    pub(super) fn named_function(&mut self, kind: &Tok, start: usize) -> Term {
        let mut base = None;
        let mut power = None;
        loop {
            match self.peek() {
                Some(Tok::Caret) if power.is_none() => {
                    self.position += 1;
                    power = Some(Box::new(self.script_argument()));
                }
                Some(Tok::Under) if base.is_none() => {
                    self.position += 1;
                    base = Some(Box::new(self.script_argument()));
                }
                _ => break,
            }
        }
        let Some((argument, delimited)) = self.argument() else {
            let at = self.since(start);
            return unread("the argument of this function is missing", at);
        };
        let called = Called {
            base,
            power,
            argument,
            delimited,
        };
        match kind {
            Tok::Function(function) => self.call(*function, called, start),
            Tok::Logarithm(implied) => {
                let base = called.base.or_else(|| {
                    implied.map(|digits| {
                        Box::new(Term {
                            kind: TermKind::Number(digits.to_owned()),
                            range: start..start,
                        })
                    })
                });
                self.call(Function::Log, Called { base, ..called }, start)
            }
            Tok::Reciprocal(name) => self.reciprocal(name, called, start),
            _ => unread("this function is not read", self.since(start)),
        }
    }

    fn call(&self, function: Function, called: Called, start: usize) -> Term {
        if called.base.is_some() && function != Function::Log {
            return unread("an index on a function that takes none", self.since(start));
        }
        self.made(
            TermKind::Call {
                function,
                base: called.base,
                power: called.power,
                argument: Box::new(called.argument),
                delimited: called.delimited,
            },
            start,
        )
    }

    /// cot, sec and their kin, as quotients of the functions that the kernel knows.
    fn reciprocal(&self, name: &str, called: Called, start: usize) -> Term {
        let (top, bottom) = match name {
            "cot" => (Some(Function::Cos), Function::Sin),
            "coth" => (Some(Function::Cosh), Function::Sinh),
            "sec" => (None, Function::Cos),
            "csc" => (None, Function::Sin),
            "sech" => (None, Function::Cosh),
            _ => (None, Function::Sinh),
        };
        let range = self.since(start);
        let of = |function| Term {
            kind: TermKind::Call {
                function,
                base: None,
                power: called.power.clone(),
                argument: Box::new(called.argument.clone()),
                delimited: called.delimited,
            },
            range: range.clone(),
        };
        let numerator = top.map_or_else(
            || Term {
                kind: TermKind::Number("1".to_owned()),
                range: range.clone(),
            },
            of,
        );
        self.made(
            TermKind::Fraction(Box::new(numerator), Box::new(of(bottom))),
            start,
        )
    }

    /// A function's argument, and whether brackets or braces delimit it.
    fn argument(&mut self) -> Option<(Term, bool)> {
        match self.peek()? {
            Tok::Open('(' | '[') | Tok::Left('(' | '[' | '{' | '.')
                if self.closing(self.position).is_some() =>
            {
                if self.is_statement_group(self.position) {
                    return None;
                }
                Some((without_group(self.primary()), true))
            }
            Tok::BraceOpen if self.closing(self.position).is_some() => {
                let start = self.start();
                let found = self.primary();
                // Braces are invisible: a power or further factors belong to what is seen.
                let inner_bracket = matches!(found.kind, TermKind::Group(_));
                if self.peek() == Some(&Tok::Caret) && !inner_bracket {
                    let marked = self.with_marks(found, start, true);
                    return Some((marked, false));
                }
                Some((without_group(found), true))
            }
            Tok::Open('|') | Tok::Left('|') | Tok::Bar if self.starts_term() => {
                Some((self.primary(), true))
            }
            Tok::Minus | Tok::Plus => {
                let start = self.start();
                let negative = self.peek() == Some(&Tok::Minus);
                self.position += 1;
                if !self.starts_term() {
                    return None;
                }
                let inner = self.undelimited();
                let kind = if negative {
                    TermKind::Negative(Box::new(inner))
                } else {
                    inner.kind
                };
                Some((self.made(kind, start), false))
            }
            _ if self.starts_term() && self.continues_product() => {
                Some((self.undelimited(), false))
            }
            _ => None,
        }
    }

    /// The factors that follow up to the next function or sign, a slash among them.
    fn undelimited(&mut self) -> Term {
        let start = self.start();
        let first = self.factor();
        let numerator = self.argument_factors(first, start);
        // `\ln ε / \ln x` divides two functions.
        let function_behind = matches!(
            self.at(self.position + 1),
            Some(Tok::Function(_) | Tok::Reciprocal(_) | Tok::Logarithm(_) | Tok::Operator(_))
        );
        if self.peek() != Some(&Tok::Slash) || function_behind {
            return numerator;
        }
        self.position += 1;
        let denominator = self.signed_factor(Self::factor);
        let mut trailing = Vec::new();
        while self.continues_argument() {
            trailing.push(self.factor());
        }
        self.made(
            TermKind::Slash {
                numerator: Box::new(numerator),
                denominator: Box::new(denominator),
                trailing,
            },
            start,
        )
    }

    fn argument_factors(&mut self, first: Term, start: usize) -> Term {
        if ends_with_function(&first) {
            return first;
        }
        let mut factors = vec![first];
        while self.continues_argument() {
            factors.push(self.factor());
        }
        match (factors.len(), factors.pop()) {
            (1, Some(only)) => only,
            (_, Some(last)) => {
                factors.push(last);
                self.made(TermKind::Juxtaposed(factors), start)
            }
            (_, None) => unread(
                "the argument of this function is missing",
                self.since(start),
            ),
        }
    }

    /// Whether the next factor still belongs to an argument without parentheses.
    fn continues_argument(&self) -> bool {
        let stops = matches!(
            self.peek(),
            Some(
                Tok::Function(_)
                    | Tok::Reciprocal(_)
                    | Tok::Logarithm(_)
                    | Tok::Operator(_)
                    | Tok::Extremum(_)
                    | Tok::Series(_)
                    | Tok::Integral
                    | Tok::Dots
            )
        );
        !stops && self.continues_product()
    }
}

/// `\sin \cos x y`: the inner function has taken what follows.
fn ends_with_function(term: &Term) -> bool {
    matches!(term.kind, TermKind::Call { .. })
}
