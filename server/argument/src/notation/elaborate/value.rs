//! Terms into expressions.

use super::application::{Dependence, dependence};
use super::call::Head;
use super::{Elaborator, Failure, PlusMinus};
use crate::notation::convention::Pattern;
use crate::notation::syntax::{Name, Term, TermKind};
use kernel::{Constant, Expr, Function, Node, Symbol};

impl Elaborator<'_> {
    /// A term's value.
    pub(super) fn value(&self, term: &Term) -> Result<Expr, Failure> {
        match &term.kind {
            TermKind::Number(text) => {
                number(text).ok_or_else(|| Failure::at(term, "this numeral is not read"))
            }
            TermKind::Name(name) => self.name(name, term),
            TermKind::Pi => Ok(Node::Constant(Constant::Pi).into()),
            TermKind::Sum(terms) => self.sum(terms, term),
            TermKind::Negative(inner) => Ok(self.value(inner)?.negative()),
            TermKind::PlusMinus(left, right) => self.plus_minus(left.as_deref(), right, term),
            TermKind::Juxtaposed(factors) => {
                if factors.iter().any(is_dots) {
                    return self.dotted_product(&[factors], term);
                }
                Ok(Expr::product_of(self.factors(factors)?))
            }
            TermKind::Product(factors) => {
                if factors.iter().any(holds_dots) {
                    let groups: Vec<&[Term]> = factors.iter().map(side_by_side).collect();
                    return self.dotted_product(&groups, term);
                }
                let factors = factors
                    .iter()
                    .map(|factor| self.value(factor))
                    .collect::<Result<Vec<_>, _>>()?;
                Ok(Expr::product_of(factors))
            }
            TermKind::Slash {
                numerator,
                denominator,
                trailing,
            } => self.slash(numerator, denominator, trailing),
            TermKind::Fraction(top, bottom) => Ok(self.value(top)?.over(&self.value(bottom)?)),
            TermKind::Power(base, exponent) => self.power(base, exponent),
            TermKind::Root(index, radicand) => self.root(index.as_deref(), radicand),
            TermKind::Bars(inner) => Ok(self.value(inner)?.abs()),
            TermKind::Floor(inner) => Ok(self.value(inner)?.call(Function::Floor)),
            TermKind::Ceil(inner) => Ok(self.value(inner)?.call(Function::Ceil)),
            TermKind::Group(inner) => self.value(inner),
            TermKind::Factorial(inner) => Ok(self.value(inner)?.call(Function::Factorial)),
            TermKind::Binomial(top, bottom) => {
                let (n, k) = (self.value(top)?, self.value(bottom)?);
                let factorial = |expr: &Expr| expr.call(Function::Factorial);
                Ok(factorial(&n).over(&factorial(&k).times(&factorial(&n.minus(&k)))))
            }
            TermKind::Call { .. } => self.call(term),
            TermKind::Integral { .. } => self.integral(term),
            TermKind::Extremum { greatest, items } => self.extremum(*greatest, items),
            _ => self.operated(term),
        }
    }

    /// Sums with limits, derivatives, cases; and what is no number.
    fn operated(&self, term: &Term) -> Result<Expr, Failure> {
        match &term.kind {
            TermKind::Series {
                product,
                below,
                above,
                body,
            } => self.series(*product, below.as_deref(), above.as_deref(), body, term),
            TermKind::Derivative {
                variable,
                order,
                body,
            } => self.derivative(variable, *order, body.as_deref(), term),
            TermKind::Primed(inner, order) => self.primed(inner, *order, term),
            TermKind::Cases(rows) => self.cases(rows, term),
            TermKind::EvaluatedAt(inner, place) => self.evaluated(inner, place, term),
            other => Err(Failure::at(term, no_number(other))),
        }
    }

    fn plus_minus(&self, left: Option<&Term>, right: &Term, term: &Term) -> Result<Expr, Failure> {
        let right = self.value(right)?;
        let signed = match self.plus_minus {
            PlusMinus::Plus => right,
            PlusMinus::Minus => right.negative(),
            PlusMinus::Refused => {
                return Err(Failure::at(term, "± stands for two numbers here"));
            }
        };
        match left {
            Some(left) => Ok(Node::Add(vec![self.value(left)?, signed]).into()),
            None => Ok(signed),
        }
    }

    fn sum(&self, terms: &[(bool, Term)], whole: &Term) -> Result<Expr, Failure> {
        if terms.iter().any(|(_, term)| is_dots(term)) {
            return self.dotted_sum(terms, whole);
        }
        let terms = terms
            .iter()
            .map(|(negative, term)| self.signed(*negative, term))
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Expr::sum_of(terms))
    }

    pub(super) fn signed(&self, negative: bool, term: &Term) -> Result<Expr, Failure> {
        let value = self.value(term)?;
        Ok(if negative { value.negative() } else { value })
    }

    /// Factors side by side, names joined with their arguments.
    pub(super) fn factors(&self, items: &[Term]) -> Result<Vec<Expr>, Failure> {
        let mut values = Vec::with_capacity(items.len());
        let mut at = 0;
        while at < items.len() {
            let item = &items[at];
            let next = items.get(at + 1);
            if let Some(next) = next {
                if let Some(value) = self.application(item, next)? {
                    values.push(value);
                    at += 2;
                    continue;
                }
                clear_product(item, next)?;
            }
            values.push(self.value(item)?);
            at += 1;
        }
        Ok(values)
    }

    /// `f_n(x)`, `f^2(x)`, `f(x)^2`, `f(x)!`, `f(x)'`: a name that applies to the bracket behind it.
    fn application(&self, item: &Term, next: &Term) -> Result<Option<Expr>, Failure> {
        let (name, raised) = match &item.kind {
            TermKind::Name(name) => (name, None),
            TermKind::Power(base, exponent) => match &base.kind {
                TermKind::Name(name) => (name, Some(exponent.as_ref())),
                _ => return Ok(None),
            },
            _ => return Ok(None),
        };
        let Some((bracket, behind)) = bracket_of(next) else {
            return Ok(None);
        };
        // g(f_n) is the composition, g (f_n − f) a product.
        let lone = match &bracket.kind {
            TermKind::Group(inner) => matches!(inner.kind, TermKind::Name(_)),
            other => matches!(other, TermKind::Name(_)),
        };
        if !lone && self.holds_functions(bracket) {
            return Ok(None);
        }
        self.check_application(name, item)?;
        let shown = dependence(name, bracket).is_some();
        if !self.applies(name) && (shown || !self.applies_to_letter(name, bracket)) {
            return match dependence(name, bracket) {
                Some(Dependence::Shown) if behind.is_none() => self.value(item).map(Some),
                None if !matches!(bracket.kind, TermKind::List(_)) => Ok(None),
                _ => Err(Failure::at(
                    item,
                    "is this a product or a value of a function?",
                )),
            };
        }
        let arguments = match &bracket.kind {
            TermKind::List(items) => items
                .iter()
                .map(|item| self.value(item))
                .collect::<Result<Vec<_>, _>>()?,
            TermKind::Interval { .. } => {
                return Err(Failure::at(next, "the image of an interval is not read"));
            }
            _ => vec![self.value(bracket)?],
        };
        let primed = Name {
            primes: name.primes
                + match behind {
                    Some(TermKind::Primed(_, count)) => *count,
                    _ => 0,
                },
            ..name.clone()
        };
        let mut value = self.applied(&primed, arguments, item)?;
        if let Some(exponent) = raised {
            if is_minus_one(exponent) {
                return Err(Failure::at(
                    item,
                    "is this the inverse function or the reciprocal?",
                ));
            }
            value = power(&value, &self.value(exponent)?);
        }
        match behind {
            Some(TermKind::Power(_, exponent)) => {
                value = power(&value, &self.value(exponent)?);
            }
            Some(TermKind::Factorial(_)) => value = value.call(Function::Factorial),
            _ => {}
        }
        Ok(Some(value))
    }

    /// `a/b c`: the factors behind the slash belong to the denominator, or, in the second
    /// reading, follow the quotient.
    fn slash(
        &self,
        numerator: &Term,
        denominator: &Term,
        trailing: &[Term],
    ) -> Result<Expr, Failure> {
        let differential = matches!(&denominator.kind, TermKind::Name(name) if name.base == "d")
            && !trailing.is_empty()
            && !self.vocabulary.is_declared(&Symbol::new("d"));
        if differential {
            return Err(Failure::at(
                denominator,
                "write a derivative as \\frac{d}{dx}",
            ));
        }
        let top = self.value(numerator)?;
        let mut items = vec![denominator.clone()];
        items.extend(trailing.iter().cloned());
        let mut factors = self.factors(&items)?;
        if trailing.is_empty() || factors.len() == 1 {
            return Ok(top.over(&Expr::product_of(factors)));
        }
        if self.convention.takes_second(Pattern::SlashProduct) {
            let first = factors.remove(0);
            factors.insert(0, top.over(&first));
            return Ok(Expr::product_of(factors));
        }
        Ok(top.over(&Expr::product_of(factors)))
    }

    fn power(&self, base: &Term, exponent: &Term) -> Result<Expr, Failure> {
        let value = self.value(exponent)?;
        if let TermKind::Name(name) = &base.kind
            && name.base == "e"
            && name.subscript.is_none()
            && name.primes == 0
            && !self.vocabulary.is_declared(&Symbol::new("e"))
        {
            return Ok(value.call(Function::Exp));
        }
        if let TermKind::Call {
            function,
            base: logarithm_base,
            power: own,
            argument,
            delimited: true,
        } = &base.kind
            && self.convention.takes_second(Pattern::FunctionPower)
        {
            let head = Head {
                function: *function,
                base: logarithm_base
                    .as_deref()
                    .map(|base| self.value(base))
                    .transpose()?,
                power: own.as_deref(),
            };
            let inner = power(&self.value(argument)?, &value);
            return self.call_at(&head, &inner, base);
        }
        Ok(power(&self.value(base)?, &value))
    }

    fn root(&self, index: Option<&Term>, radicand: &Term) -> Result<Expr, Failure> {
        let inner = self.value(radicand)?;
        let Some(index) = index else {
            return Ok(inner.sqrt());
        };
        if let TermKind::Number(text) = &index.kind {
            return match text.parse::<u32>() {
                Ok(degree) if degree >= 2 => Ok(Node::Root(degree, inner).into()),
                _ => Err(Failure::at(index, "a root of this degree is not read")),
            };
        }
        let degree = self.value(index)?;
        Ok(inner.power(&Expr::integer(1).over(&degree)))
    }

    fn extremum(&self, greatest: bool, items: &[Term]) -> Result<Expr, Failure> {
        let mut values = Vec::new();
        for item in items {
            if is_dots(item) {
                return Err(Failure::at(item, "the dots could not be filled in"));
            }
            values.push(self.value(item)?);
        }
        Ok(match (greatest, values.is_empty()) {
            (_, true) => Expr::integer(0),
            (true, false) => Node::Max(values).into(),
            (false, false) => Node::Min(values).into(),
        })
    }
}

/// The power of two values; e to a power is the exponential function.
pub(super) fn power(base: &Expr, exponent: &Expr) -> Expr {
    if matches!(base.node(), Node::Constant(Constant::E)) {
        exponent.call(Function::Exp)
    } else {
        base.power(exponent)
    }
}

/// A bracket, also under one mark: the content and the mark.
fn bracket_of(term: &Term) -> Option<(&Term, Option<&TermKind>)> {
    match &term.kind {
        TermKind::Group(inner) => Some((inner, None)),
        TermKind::Interval { .. } => Some((term, None)),
        TermKind::Power(base, _) | TermKind::Factorial(base) | TermKind::Primed(base, _) => {
            match &base.kind {
                TermKind::Group(inner) => Some((inner, Some(&term.kind))),
                _ => None,
            }
        }
        _ => None,
    }
}

/// Refuses neighbours whose product nobody means: `1 2`, `2½`, `x (a, b)`.
fn clear_product(item: &Term, next: &Term) -> Result<(), Failure> {
    let number = matches!(item.kind, TermKind::Number(_));
    match &next.kind {
        TermKind::Number(_) if number => Err(Failure::at(
            next,
            "two numerals side by side: is a sign missing?",
        )),
        TermKind::Fraction(top, bottom)
            if number
                && matches!(top.kind, TermKind::Number(_))
                && matches!(bottom.kind, TermKind::Number(_)) =>
        {
            Err(Failure::at(next, "is this a mixed number or a product?"))
        }
        _ => Ok(()),
    }
}

fn is_dots(term: &Term) -> bool {
    match &term.kind {
        TermKind::Dots => true,
        TermKind::Group(inner) => is_dots(inner),
        _ => false,
    }
}

/// Whether a factor is `…` or has it side by side with others: `2⋯n`.
fn holds_dots(factor: &Term) -> bool {
    side_by_side(factor).iter().any(is_dots)
}

fn side_by_side(factor: &Term) -> &[Term] {
    match &factor.kind {
        TermKind::Juxtaposed(items) => items,
        _ => std::slice::from_ref(factor),
    }
}

pub(super) fn is_minus_one(exponent: &Term) -> bool {
    match &exponent.kind {
        TermKind::Negative(inner) => matches!(&inner.kind, TermKind::Number(text) if text == "1"),
        TermKind::Group(inner) => is_minus_one(inner),
        _ => false,
    }
}

/// An exact number from a numeral with a decimal point.
pub(super) fn number(text: &str) -> Option<Expr> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let scale = "0".repeat(part.len());
    let value = format!("{whole}{part}/1{scale}").parse().ok()?;
    Some(Expr::number(value))
}

/// Why a sign or command without a meaning is not read.
pub(crate) fn foreign(name: &str) -> String {
    let what = if name.starts_with('\\') {
        "command"
    } else {
        "sign"
    };
    format!("the {what} {name} is not known here")
}

/// Why a term is no number.
fn no_number(kind: &TermKind) -> String {
    match kind {
        TermKind::Unread(reason) => reason.clone(),
        TermKind::Foreign(name) => foreign(name),
        TermKind::Infinity => "∞ is no number".to_owned(),
        TermKind::Dots => "the dots could not be filled in".to_owned(),
        TermKind::Over { operator, .. } => {
            use crate::notation::syntax::Operator::{Infimum, Supremum};
            match operator {
                Supremum | Infimum => "a supremum or infimum inside a term is not read".to_owned(),
                _ => "a limit inside a term is not read".to_owned(),
            }
        }
        TermKind::Norm(..) => "a norm is not read as a number here".to_owned(),
        TermKind::Sequence { .. } => {
            "a whole sequence stands where a number is expected".to_owned()
        }
        TermKind::List(_) => "a list stands where a number is expected".to_owned(),
        TermKind::Struck(_) => "this part is crossed out".to_owned(),
        TermKind::OneSided(..) => "a limit from one side is not read".to_owned(),
        _ => "a set stands where a number is expected".to_owned(),
    }
}
