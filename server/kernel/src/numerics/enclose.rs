//! Evaluation of expressions in intervals, with definedness as data.
//!
//! Beside its interval every value carries its exact rational value as long as that is known
//! and short, so that ties between rationals are decided and integer exponents are certain.

use super::assignment::{Assignment, Value};
use super::interval::Interval;
use super::scalar::Scalar;
use super::special::{exact_call, factorial, rational_root, stirling};
use super::{exact, power, series};
use crate::calculus::differentiate;
use crate::expr::{Condition, Constant, Expr, Function, Node, Symbol};
use crate::goal::is_integer;
use crate::limits;
use dashu::base::{BitTest, Signed};
use dashu::rational::RBig;
use std::cmp::Ordering;

/// Whether an expression is defined at a point or on a set of points.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Definedness {
    /// Surely defined (everywhere on the set).
    Defined,
    /// Not decided.
    Unknown,
    /// Surely undefined (everywhere on the set).
    Undefined,
}

impl Definedness {
    /// Of an operation whose operands have these.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        self.max(other)
    }
}

/// Whether a statement holds at a point or on a set of points.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Truth {
    /// Both sides defined and the statement true.
    True,
    /// Both sides defined and the statement false.
    False,
    /// A side is surely undefined.
    Undefined,
    /// Not decided.
    Unknown,
}

/// A value in an interval.
#[derive(Clone, Debug)]
pub(super) struct Ball<S> {
    /// Where the value lies, if it is defined.
    pub(super) interval: Interval<S>,
    /// Whether it is defined.
    pub(super) definedness: Definedness,
    /// The exact value (if defined), where known, rational and short.
    pub(super) exact: Option<RBig>,
}

impl<S: Scalar> Ball<S> {
    pub(super) fn of(interval: Interval<S>, definedness: Definedness) -> Self {
        Self {
            interval,
            definedness,
            exact: None,
        }
    }

    pub(super) fn undefined() -> Self {
        Self::of(Interval::whole(), Definedness::Undefined)
    }

    pub(super) fn unknown() -> Self {
        Self::of(Interval::whole(), Definedness::Unknown)
    }

    /// The same value, defined only if `other` is as well.
    pub(super) fn provided(mut self, other: Definedness) -> Self {
        self.definedness = self.definedness.and(other);
        self
    }
}

/// One evaluation: what is known, and how much effort a value may cost.
pub(super) struct Evaluator<'a, S: Scalar> {
    pub(super) assignment: &'a Assignment,
    /// Bound indices of sums and products, innermost last.
    pub(super) bound: Vec<(Symbol, RBig)>,
    pub(super) context: S::Context,
    /// Longest exact value kept, in bits.
    pub(super) exact_bits: usize,
    /// Whether ties between irrational values are decided by normal forms.
    pub(super) ties: bool,
    /// Terms of sums and products that may still be added.
    pub(super) terms_left: u64,
}

impl<'a, S: Scalar> Evaluator<'a, S> {
    pub(super) fn new(
        assignment: &'a Assignment,
        context: S::Context,
        exact_bits: usize,
        ties: bool,
    ) -> Self {
        Self {
            assignment,
            bound: Vec::new(),
            context,
            exact_bits,
            ties,
            terms_left: if exact_bits > limits::QUICK_EXACT_BITS {
                limits::BIG_SUM_TERMS
            } else {
                limits::SUM_TERMS
            },
        }
    }

    /// A ball around an exact value; the exact value is dropped if it is long.
    pub(super) fn exactly(&self, value: RBig) -> Ball<S> {
        let interval = Interval::ratio(&value, self.context);
        let length = value.numerator().bit_len() + value.denominator().bit_len();
        Ball {
            interval,
            definedness: Definedness::Defined,
            exact: (length <= self.exact_bits).then_some(value),
        }
    }

    /// Whether the variable runs through integers.
    pub(super) fn integer_variable(&self, name: &Symbol) -> bool {
        self.bound.iter().any(|(index, _)| index == name) || self.assignment.is_integer(name)
    }

    /// Whether the exponent has integer values by its form, or is made of integer quantities.
    pub(super) fn integer_exponent(&self, exponent: &Expr) -> bool {
        is_integer(exponent, &|name| self.integer_variable(name))
            || exponent
                .variables()
                .iter()
                .all(|name| self.integer_variable(name))
                && exponent.unknown_functions().is_empty()
    }

    /// The value of an expression.
    pub(super) fn ball(&mut self, expr: &Expr) -> Ball<S> {
        match expr.node() {
            Node::Number(value) => self.exactly(value.clone()),
            Node::Constant(Constant::Pi) => {
                Ball::of(Interval::pi(self.context), Definedness::Defined)
            }
            Node::Constant(Constant::E) => Ball::of(
                Interval::point(S::small(1)).exp(self.context),
                Definedness::Defined,
            ),
            Node::Variable(name) => self.variable(name),
            Node::Add(items) => self.fold(items, Self::add),
            Node::Mul(items) => self.fold(items, Self::multiply),
            Node::Min(items) => self.fold(items, |_, a, b| extreme(a, b, Ordering::Less)),
            Node::Max(items) => self.fold(items, |_, a, b| extreme(a, b, Ordering::Greater)),
            Node::Neg(inner) => {
                let inner = self.ball(inner);
                Ball {
                    interval: inner.interval.negated(),
                    definedness: inner.definedness,
                    exact: inner.exact.map(|value| -value),
                }
            }
            Node::Div(numerator, denominator) => self.quotient(numerator, denominator),
            Node::Pow(base, exponent) => power::power(self, base, exponent),
            Node::Root(degree, radicand) => self.root(*degree, radicand),
            Node::Call(function, argument) => self.call(*function, argument),
            Node::Sum {
                index,
                from,
                to: Some(to),
                body,
            } => self.repeated(index, from, to, body, true),
            Node::Product {
                index,
                from,
                to,
                body,
            } => self.repeated(index, from, to, body, false),
            Node::Sum {
                index,
                from,
                to: None,
                body,
            } => series::series(self, index, from, body),
            Node::Derivative { variable, body } => self.derivative(variable, body),
            Node::Apply(function, arguments) => self.application(function, arguments),
            Node::Piecewise(branches) => self.pieces(branches),
        }
    }

    fn variable(&mut self, name: &Symbol) -> Ball<S> {
        if let Some((_, value)) = self.bound.iter().rev().find(|(index, _)| index == name) {
            return self.exactly(value.clone());
        }
        match self.assignment.value(name) {
            Some(value) => self.known(value),
            None => Ball::of(Interval::whole(), Definedness::Defined),
        }
    }

    fn known(&self, value: &Value) -> Ball<S> {
        match value {
            Value::Exact(value) => self.exactly(value.clone()),
            Value::Closed(expr) => {
                let nothing = Assignment::new();
                Evaluator::new(&nothing, self.context, self.exact_bits, self.ties).ball(expr)
            }
            Value::Between(low, high) => {
                let low = low.as_ref().map_or(S::infinity(false), |low| {
                    Interval::ratio(low, self.context).low
                });
                let high = high.as_ref().map_or(S::infinity(true), |high| {
                    Interval::ratio(high, self.context).high
                });
                Ball::of(Interval::new(low, high), Definedness::Defined)
            }
        }
    }

    fn fold(
        &mut self,
        items: &[Expr],
        join: impl Fn(&Self, Ball<S>, Ball<S>) -> Ball<S>,
    ) -> Ball<S> {
        let mut balls = items.iter();
        let Some(first) = balls.next() else {
            return Ball::undefined();
        };
        let mut total = self.ball(first);
        for item in balls {
            let next = self.ball(item);
            total = join(self, total, next);
        }
        total
    }

    pub(super) fn add(&self, a: Ball<S>, b: Ball<S>) -> Ball<S> {
        let definedness = a.definedness.and(b.definedness);
        if let (Some(x), Some(y)) = (&a.exact, &b.exact) {
            return self.exactly(x + y).provided(definedness);
        }
        Ball::of(a.interval.add(&b.interval, self.context), definedness)
    }

    pub(super) fn multiply(&self, a: Ball<S>, b: Ball<S>) -> Ball<S> {
        let definedness = a.definedness.and(b.definedness);
        if let (Some(x), Some(y)) = (&a.exact, &b.exact) {
            return self.exactly(x * y).provided(definedness);
        }
        let zero = |ball: &Ball<S>| ball.exact.as_ref().is_some_and(RBig::is_zero);
        if zero(&a) || zero(&b) {
            return self.exactly(RBig::ZERO).provided(definedness);
        }
        Ball::of(a.interval.mul(&b.interval, self.context), definedness)
    }

    /// Whether the expression is exactly 0, decided by its normal form.
    pub(super) fn is_exactly_zero(&self, expr: &Expr) -> bool {
        self.ties
            && exact::evaluate_within(expr, self.assignment, &self.bound)
                .is_some_and(|value| value.is_zero())
    }

    fn quotient(&mut self, numerator: &Expr, denominator: &Expr) -> Ball<S> {
        let over = self.ball(numerator);
        let under = self.ball(denominator);
        let definedness = over.definedness.and(under.definedness);
        if let Some(divisor) = &under.exact {
            if divisor.is_zero() {
                return Ball::undefined();
            }
            if let Some(dividend) = &over.exact {
                return self.exactly(dividend / divisor).provided(definedness);
            }
        }
        if !under.interval.contains_zero() {
            return Ball::of(
                over.interval.div(&under.interval, self.context),
                definedness,
            );
        }
        if under.interval.is_zero() || self.is_exactly_zero(denominator) {
            return Ball::undefined();
        }
        Ball::of(
            over.interval.div(&under.interval, self.context),
            definedness,
        )
        .provided(Definedness::Unknown)
    }

    fn root(&mut self, degree: u32, radicand: &Expr) -> Ball<S> {
        let inner = self.ball(radicand);
        if degree < 2 {
            return if degree == 1 {
                inner
            } else {
                Ball::undefined()
            };
        }
        if let Some(root) = inner
            .exact
            .as_ref()
            .and_then(|value| rational_root(value, degree))
        {
            return self.exactly(root).provided(inner.definedness);
        }
        let domain = if !degree.is_multiple_of(2) || inner.interval.low.sign() != Ordering::Less {
            Definedness::Defined
        } else if inner.interval.is_negative() {
            return Ball::undefined();
        } else if self.is_exactly_zero(radicand) {
            return self.exactly(RBig::ZERO).provided(inner.definedness);
        } else {
            Definedness::Unknown
        };
        Ball::of(inner.interval.root(degree, self.context), inner.definedness).provided(domain)
    }

    fn call(&mut self, function: Function, argument: &Expr) -> Ball<S> {
        let inner = self.ball(argument);
        if let Some(value) = inner.exact.as_ref().and_then(|u| exact_call(function, u)) {
            return self.exactly(value).provided(inner.definedness);
        }
        let (u, context) = (&inner.interval, self.context);
        let mut domain = Definedness::Defined;
        let value = match function {
            Function::Exp => u.exp(context),
            Function::Log => {
                domain = self.positive(argument, u);
                u.at_least(&S::zero()).log(context)
            }
            Function::Sin => u.sin(context),
            Function::Cos => u.cos(context),
            Function::Tan => match u.tan(context) {
                Some(value) => value,
                None => return self.tangent_pole(argument).provided(inner.definedness),
            },
            Function::Atan => u.atan(context),
            Function::Asin | Function::Acos => {
                domain = self.within_one(argument, u);
                if function == Function::Asin {
                    u.asin(context)
                } else {
                    u.acos(context)
                }
            }
            Function::Sinh => u.sinh(context),
            Function::Cosh => u.cosh(context),
            Function::Tanh => u.tanh(context),
            Function::Abs => u.abs(),
            Function::Floor => return self.integer_part(argument, &inner, false),
            Function::Ceil => return self.integer_part(argument, &inner, true),
            Function::Sign => return self.sign(argument, &inner),
            Function::Factorial => return self.factorial(argument, &inner),
        };
        if domain == Definedness::Undefined {
            return Ball::undefined();
        }
        Ball::of(value, inner.definedness).provided(domain)
    }

    /// Whether `u` > 0.
    fn positive(&self, argument: &Expr, u: &Interval<S>) -> Definedness {
        if u.is_positive() {
            Definedness::Defined
        } else if u.high.sign() != Ordering::Greater || self.is_exactly_zero(argument) {
            Definedness::Undefined
        } else {
            Definedness::Unknown
        }
    }

    /// Whether −1 ≤ `u` ≤ 1.
    fn within_one(&self, argument: &Expr, u: &Interval<S>) -> Definedness {
        let size = u.abs();
        let one = S::small(1);
        if size.high.order(&one) != Ordering::Greater {
            return Definedness::Defined;
        }
        if size.low.order(&one) == Ordering::Greater {
            return Definedness::Undefined;
        }
        let one = Expr::integer(1);
        if self.is_exactly_zero(&argument.minus(&one)) || self.is_exactly_zero(&argument.plus(&one))
        {
            Definedness::Defined
        } else {
            Definedness::Unknown
        }
    }

    fn tangent_pole(&self, argument: &Expr) -> Ball<S> {
        if self.is_exactly_zero(&argument.call(Function::Cos)) {
            Ball::undefined()
        } else {
            Ball::unknown()
        }
    }

    fn integer_part(&self, argument: &Expr, inner: &Ball<S>, up: bool) -> Ball<S> {
        let u = &inner.interval;
        let interval = if up {
            u.ceil(self.context)
        } else {
            u.floor(self.context)
        };
        if interval.low.order(&interval.high) == Ordering::Equal
            && let Some(value) = interval.low.exact()
        {
            return self.exactly(value).provided(inner.definedness);
        }
        // A value that is an integer in disguise (⌊√2 · √2⌋).
        if self.ties
            && let Some(value) = exact::evaluate_within(argument, self.assignment, &self.bound)
                .and_then(|value| value.as_rational())
            && value.is_int()
        {
            return self.exactly(value).provided(inner.definedness);
        }
        Ball::of(interval, inner.definedness)
    }

    fn sign(&self, argument: &Expr, inner: &Ball<S>) -> Ball<S> {
        let u = &inner.interval;
        let value = if u.is_positive() {
            1
        } else if u.is_negative() {
            -1
        } else if u.is_zero() || self.is_exactly_zero(argument) {
            0
        } else {
            let low = if u.low.sign() == Ordering::Less {
                -1
            } else {
                0
            };
            let high = if u.high.sign() == Ordering::Greater {
                1
            } else {
                0
            };
            return Ball::of(
                Interval::new(S::small(low), S::small(high)),
                inner.definedness,
            );
        };
        self.exactly(RBig::from(value)).provided(inner.definedness)
    }

    fn factorial(&self, argument: &Expr, inner: &Ball<S>) -> Ball<S> {
        let u = &inner.interval;
        if let Some(value) = &inner.exact {
            if !value.is_int() || value.is_negative() {
                return Ball::undefined();
            }
            if let Ok(n) = u32::try_from(value.numerator().clone())
                && n <= limits::EXACT_FACTORIAL
            {
                return self
                    .exactly(RBig::from(factorial(n)))
                    .provided(inner.definedness);
            }
        }
        if u.is_negative() {
            return Ball::undefined();
        }
        let defined = u.low.sign() != Ordering::Less
            && is_integer(argument, &|name| self.integer_variable(name));
        let domain = if defined {
            Definedness::Defined
        } else {
            Definedness::Unknown
        };
        let value = stirling(&u.at_least(&S::zero()), self.context);
        Ball::of(value, inner.definedness).provided(domain)
    }

    /// Σ or Π over an exact finite range.
    fn repeated(
        &mut self,
        index: &Symbol,
        from: &Expr,
        to: &Expr,
        body: &Expr,
        sum: bool,
    ) -> Ball<S> {
        let (first, last) = (self.ball(from), self.ball(to));
        let definedness = first.definedness.and(last.definedness);
        let (Some(first), Some(last)) = (first.exact, last.exact) else {
            return Ball::unknown().provided(definedness);
        };
        if !first.is_int() || !last.is_int() {
            return Ball::unknown().provided(definedness);
        }
        let mut total = self
            .exactly(RBig::from(i32::from(!sum)))
            .provided(definedness);
        let count = &last - &first + RBig::ONE;
        if count.is_negative() || count.is_zero() {
            return total;
        }
        if count > RBig::from(self.terms_left) {
            return Ball::unknown().provided(definedness);
        }
        let mut k = first;
        while k <= last && self.terms_left > 0 {
            self.terms_left -= 1;
            self.bound.push((index.clone(), k.clone()));
            let term = self.ball(body);
            self.bound.pop();
            total = if sum {
                self.add(total, term)
            } else {
                self.multiply(total, term)
            };
            k += RBig::ONE;
        }
        if k <= last {
            return Ball::unknown().provided(definedness);
        }
        total
    }

    fn derivative(&mut self, variable: &Symbol, body: &Expr) -> Ball<S> {
        let inside = self.ball(body).definedness;
        if inside == Definedness::Undefined {
            return Ball::undefined();
        }
        let Some(formula) = differentiate(body, variable) else {
            return Ball::unknown();
        };
        let mut value = self.ball(&formula);
        if value.definedness == Definedness::Undefined {
            // The formula says nothing here; the derivative may exist all the same.
            value = Ball::unknown();
        }
        value.provided(inside)
    }

    fn application(&mut self, function: &Symbol, arguments: &[Expr]) -> Ball<S> {
        let mut at = Vec::with_capacity(arguments.len());
        let mut definedness = Definedness::Defined;
        for argument in arguments {
            let value = self.ball(argument);
            definedness = definedness.and(value.definedness);
            at.push(value.exact);
        }
        let at: Option<Vec<RBig>> = at.into_iter().collect();
        match at.and_then(|at| self.assignment.application(function, &at)) {
            Some(value) => self.known(value).provided(definedness),
            None => Ball::unknown().provided(definedness),
        }
    }

    fn pieces(&mut self, branches: &[(Condition, Expr)]) -> Ball<S> {
        let mut candidates: Option<Ball<S>> = None;
        let join = |candidates: Option<Ball<S>>, next: Ball<S>| match candidates {
            None => next,
            Some(before) => {
                // One of several: undefined only if all are.
                let definedness = if before.definedness == next.definedness {
                    next.definedness
                } else {
                    Definedness::Unknown
                };
                Ball::of(before.interval.hull(&next.interval), definedness)
            }
        };
        for (condition, value) in branches {
            match self.truth(condition) {
                Truth::True => {
                    let value = self.ball(value);
                    return join(candidates, value);
                }
                Truth::False => {}
                Truth::Unknown => {
                    let value = self.ball(value);
                    candidates = Some(join(candidates, value));
                }
                Truth::Undefined => return Ball::unknown(),
            }
        }
        join(candidates, Ball::undefined())
    }
}

impl Truth {
    /// Of a decided statement.
    #[must_use]
    pub fn of(holds: bool) -> Self {
        if holds { Self::True } else { Self::False }
    }
}

/// The lesser or the greater of two values.
fn extreme<S: Scalar>(a: Ball<S>, b: Ball<S>, which: Ordering) -> Ball<S> {
    let definedness = a.definedness.and(b.definedness);
    let ordering = match (&a.exact, &b.exact) {
        (Some(x), Some(y)) => Some(x.cmp(y)),
        _ => a.interval.compare(&b.interval),
    };
    match ordering {
        Some(ordering) if ordering == which => a.provided(definedness),
        Some(_) => b.provided(definedness),
        None if which == Ordering::Less => Ball::of(a.interval.min(&b.interval), definedness),
        None => Ball::of(a.interval.max(&b.interval), definedness),
    }
}
