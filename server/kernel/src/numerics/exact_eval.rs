//! Evaluation of expressions to exact normal forms.

use super::assignment::{Assignment, Value};
use super::big::Big;
use super::enclose::{Definedness, Evaluator, Truth};
use super::exact::{Atom, Exact, Monomial, Sum, factored, rational_power};
use super::special::factorial;
use crate::calculus::differentiate;
use crate::expr::{Condition, Constant, Expr, Function, Node, Symbol};
use crate::limits;
use dashu::base::Signed;
use dashu::integer::UBig;
use dashu::rational::RBig;
use std::cmp::Ordering;

/// Bits at which signs are looked up.
const SIGN_BITS: u32 = 192;

/// One exact evaluation.
pub(super) struct Exactly<'a> {
    assignment: &'a Assignment,
    bound: Vec<(Symbol, RBig)>,
    steps_left: u32,
}

impl<'a> Exactly<'a> {
    pub(super) fn new(assignment: &'a Assignment, bound: &[(Symbol, RBig)]) -> Self {
        Self {
            assignment,
            bound: bound.to_vec(),
            steps_left: limits::EXACT_STEPS,
        }
    }

    /// The exact value, `None` if it is undefined or not expressible.
    pub(super) fn value(&mut self, expr: &Expr) -> Option<Exact> {
        self.steps_left = self.steps_left.checked_sub(1)?;
        match expr.node() {
            Node::Number(value) => Some(Exact::rational(value.clone())),
            Node::Constant(Constant::Pi) => Some(Exact::atom(Atom::Pi, RBig::ONE)),
            Node::Constant(Constant::E) => Some(Exact::atom(Atom::Exp(Monomial::new()), RBig::ONE)),
            Node::Variable(name) => self.variable(name),
            Node::Add(items) => self.fold(items, Exact::add),
            Node::Mul(items) => self.fold(items, Exact::mul),
            Node::Neg(inner) => Some(self.value(inner)?.negated()),
            Node::Div(numerator, denominator) => {
                let over = self.value(numerator)?;
                let under = self.value(denominator)?;
                if !under.is_surely_nonzero() && self.sign(denominator)? == Ordering::Equal {
                    return None;
                }
                over.div(&under)
            }
            Node::Pow(base, exponent) => self.power(base, exponent),
            Node::Root(degree, radicand) => self.root(*degree, radicand),
            Node::Call(function, argument) => self.call(*function, argument),
            Node::Min(items) => self.extreme(items, Ordering::Less),
            Node::Max(items) => self.extreme(items, Ordering::Greater),
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
            Node::Sum { to: None, .. } => {
                let (exact, definedness) = self.ball(expr);
                exact
                    .filter(|_| definedness == Definedness::Defined)
                    .map(Exact::rational)
            }
            Node::Derivative { variable, body } => {
                if self.ball(body).1 != Definedness::Defined {
                    return None;
                }
                self.value(&differentiate(body, variable)?)
            }
            Node::Apply(function, arguments) => {
                let mut at = Vec::new();
                for argument in arguments {
                    at.push(self.value(argument)?.as_rational()?);
                }
                let value = self.assignment.application(function, &at)?;
                exact_value(value)
            }
            Node::Piecewise(branches) => {
                for (condition, value) in branches {
                    match self.truth(condition) {
                        Truth::True => return self.value(value),
                        Truth::False => {}
                        _ => return None,
                    }
                }
                None
            }
        }
    }

    fn variable(&mut self, name: &Symbol) -> Option<Exact> {
        if let Some((_, value)) = self.bound.iter().rev().find(|(index, _)| index == name) {
            return Some(Exact::rational(value.clone()));
        }
        exact_value(self.assignment.value(name)?)
    }

    fn fold(
        &mut self,
        items: &[Expr],
        join: impl Fn(&Exact, &Exact) -> Option<Exact>,
    ) -> Option<Exact> {
        let (first, rest) = items.split_first()?;
        let mut total = self.value(first)?;
        for item in rest {
            let next = self.value(item)?;
            total = join(&total, &next)?;
        }
        Some(total)
    }

    /// Exact rational value (if known) and definedness, by intervals without normal forms.
    fn ball(&self, expr: &Expr) -> (Option<RBig>, Definedness) {
        let mut evaluator = self.evaluator();
        let ball = evaluator.ball(expr);
        (ball.exact, ball.definedness)
    }

    fn evaluator(&self) -> Evaluator<'a, Big> {
        let mut evaluator = Evaluator::new(self.assignment, SIGN_BITS, limits::EXACT_BITS, false);
        evaluator.bound.clone_from(&self.bound);
        evaluator
    }

    fn truth(&self, condition: &Condition) -> Truth {
        self.evaluator().truth(condition)
    }

    /// How a value compares with 0; by normal form, then by intervals.
    fn sign(&mut self, expr: &Expr) -> Option<Ordering> {
        let value = self.value(expr)?;
        if value.is_zero() {
            return Some(Ordering::Equal);
        }
        if let Some(rational) = value.as_rational() {
            return Some(rational.cmp(&RBig::ZERO));
        }
        let interval = self.evaluator().ball(expr).interval;
        if interval.is_positive() {
            Some(Ordering::Greater)
        } else if interval.is_negative() {
            Some(Ordering::Less)
        } else {
            None
        }
    }

    fn extreme(&mut self, items: &[Expr], which: Ordering) -> Option<Exact> {
        let (first, rest) = items.split_first()?;
        let mut best = first.clone();
        for item in rest {
            // All items must be defined, so every one is evaluated.
            self.value(item)?;
            if self.sign(&item.minus(&best))? == which {
                best = item.clone();
            }
        }
        self.value(&best)
    }

    fn power(&mut self, base: &Expr, exponent: &Expr) -> Option<Exact> {
        let integer = self.evaluator().integer_exponent(exponent);
        let v = self.value(exponent)?;
        let u = self.value(base)?;
        match v.as_rational() {
            Some(value) if value.is_int() => {
                let positive = self.sign(base)? == Ordering::Greater;
                if !integer && !positive {
                    return None;
                }
                self.integer_power(&u, base, &value)
            }
            Some(value) => {
                let sign = self.sign(base)?;
                if sign == Ordering::Equal && value.is_positive() {
                    return Some(Exact::rational(RBig::ZERO));
                }
                if sign != Ordering::Greater {
                    return None;
                }
                if let Some(power) = u.monomial_power(&value) {
                    return Some(power);
                }
                let degree = u32::try_from(value.denominator().clone()).ok()?;
                let root = Self::root_of(degree, &u)?;
                raise(&root, i64::try_from(value.numerator().clone()).ok()?)
            }
            None => {
                if self.sign(base)? != Ordering::Greater {
                    return None;
                }
                exponential(&logarithm(&u)?.mul(&v)?)
            }
        }
    }

    fn integer_power(&mut self, u: &Exact, base: &Expr, exponent: &RBig) -> Option<Exact> {
        if exponent.is_zero() {
            return Some(Exact::rational(RBig::ONE));
        }
        if let Some(rational) = u.as_rational() {
            if rational.is_zero() {
                return exponent.is_positive().then(|| Exact::rational(RBig::ZERO));
            }
            let power = super::power::short_power(
                &rational,
                exponent.numerator(),
                super::exact::COEFFICIENT_BITS,
            )?;
            return Some(Exact::rational(power));
        }
        if exponent.is_negative() && self.sign(base)? == Ordering::Equal {
            return None;
        }
        if let Some(power) = u.monomial_power(exponent) {
            return Some(power);
        }
        raise(u, i64::try_from(exponent.numerator().clone()).ok()?)
    }

    fn root(&mut self, degree: u32, radicand: &Expr) -> Option<Exact> {
        if degree < 2 {
            return None;
        }
        let u = self.value(radicand)?;
        match self.sign(radicand)? {
            Ordering::Equal => Some(Exact::rational(RBig::ZERO)),
            Ordering::Greater => Self::root_of(degree, &u),
            Ordering::Less if !degree.is_multiple_of(2) => {
                Some(Self::root_of(degree, &u.negated())?.negated())
            }
            Ordering::Less => None,
        }
    }

    /// The root of a value that is > 0.
    fn root_of(degree: u32, u: &Exact) -> Option<Exact> {
        let power = RBig::ONE / RBig::from(degree);
        if let Some(root) = u.monomial_power(&power) {
            return Some(root);
        }
        if degree == 2
            && let Some(root) = Self::denested(u)
        {
            return Some(root);
        }
        // √(a/b) = √a / √b only for known signs of both.
        u.as_sum()?;
        Some(Exact::atom(
            Atom::Root(degree, Box::new(u.clone())),
            RBig::ONE,
        ))
    }

    /// √(a + b√c) = √((a + d)/2) ± √((a − d)/2) with d = √(a² − b²c) rational.
    fn denested(u: &Exact) -> Option<Exact> {
        let sum = u.as_sum()?;
        if sum.0.len() != 2 {
            return None;
        }
        let a = sum.0.get(&Monomial::new())?.clone();
        let (monomial, b) = sum.0.iter().find(|(monomial, _)| !monomial.is_empty())?;
        let radical = Exact::whole(Sum::monomial(monomial.clone(), b.clone()));
        let square = radical.mul(&radical)?.as_rational()?;
        let d = super::special::rational_root(&(&a * &a - square), 2)?;
        let two = RBig::from(2);
        let (high, low) = ((&a + &d) / &two, (&a - &d) / &two);
        if !high.is_positive() || low.is_negative() || low.is_zero() {
            return None;
        }
        let half = RBig::ONE / two;
        let first = Exact::whole(rational_power(&high, &half)?);
        let second = Exact::whole(rational_power(&low, &half)?);
        if b.is_negative() {
            first.add(&second.negated())
        } else {
            first.add(&second)
        }
    }

    fn call(&mut self, function: Function, argument: &Expr) -> Option<Exact> {
        let u = self.value(argument)?;
        match function {
            Function::Exp => exponential(&u),
            Function::Log => {
                (self.sign(argument)? == Ordering::Greater).then_some(())?;
                logarithm(&u)
            }
            Function::Sin | Function::Cos => wave(function, &u),
            Function::Tan => {
                let sine = wave(Function::Sin, &u)?;
                let cosine = wave(Function::Cos, &u)?;
                if self.sign(&argument.call(Function::Cos))? == Ordering::Equal {
                    return None;
                }
                sine.div(&cosine)
            }
            Function::Atan => arc(function, &u),
            Function::Asin | Function::Acos => {
                let one = Expr::integer(1);
                let inside = self.sign(&one.minus(argument))? != Ordering::Less
                    && self.sign(&one.plus(argument))? != Ordering::Less;
                inside.then_some(())?;
                let sine = arc(Function::Asin, &u)?;
                if function == Function::Asin {
                    return Some(sine);
                }
                let half = RBig::ONE / RBig::from(2);
                Exact::atom(Atom::Pi, RBig::ONE)
                    .scaled(&half)
                    .add(&sine.negated())
            }
            Function::Sinh | Function::Cosh | Function::Tanh => hyperbolic(function, &u),
            Function::Abs => match self.sign(argument)? {
                Ordering::Less => Some(u.negated()),
                _ => Some(u),
            },
            Function::Sign => {
                let sign = self.sign(argument)? as i32;
                Some(Exact::rational(RBig::from(sign)))
            }
            Function::Floor | Function::Ceil => {
                let up = function == Function::Ceil;
                if let Some(value) = u.as_rational() {
                    let whole = if up { value.ceil() } else { value.floor() };
                    return Some(Exact::rational(RBig::from(whole)));
                }
                self.ball(&argument.call(function)).0.map(Exact::rational)
            }
            Function::Factorial => {
                let n = u.as_rational().filter(RBig::is_int)?;
                let n = u32::try_from(n.numerator().clone()).ok()?;
                (n <= limits::EXACT_FACTORIAL).then(|| Exact::rational(RBig::from(factorial(n))))
            }
        }
    }

    fn repeated(
        &mut self,
        index: &Symbol,
        from: &Expr,
        to: &Expr,
        body: &Expr,
        sum: bool,
    ) -> Option<Exact> {
        let first = self.value(from)?.as_rational().filter(RBig::is_int)?;
        let last = self.value(to)?.as_rational().filter(RBig::is_int)?;
        if &last - &first > RBig::from(limits::EXACT_TERMS) {
            return None;
        }
        let mut total = Exact::rational(RBig::from(i32::from(!sum)));
        let mut k = first;
        while k <= last {
            self.bound.push((index.clone(), k.clone()));
            let term = self.value(body);
            self.bound.pop();
            total = if sum {
                total.add(&term?)?
            } else {
                total.mul(&term?)?
            };
            k += RBig::ONE;
        }
        Some(total)
    }
}

fn exact_value(value: &Value) -> Option<Exact> {
    match value {
        Value::Exact(value) => Some(Exact::rational(value.clone())),
        Value::Closed(expr) => Exactly::new(&Assignment::new(), &[]).value(expr),
        Value::Between(..) => None,
    }
}

/// u ^ k by repeated multiplication; u ≠ 0 is known where k < 0.
fn raise(u: &Exact, k: i64) -> Option<Exact> {
    if k.unsigned_abs() > 64 {
        return None;
    }
    let mut power = Exact::rational(RBig::ONE);
    for _ in 0..k.unsigned_abs() {
        power = power.mul(u)?;
    }
    if k < 0 {
        Exact::rational(RBig::ONE).div(&power)
    } else {
        Some(power)
    }
}

/// e^(Σ q m) = Π (e^m)^q, where e^(q log p) = p^q.
fn exponential(u: &Exact) -> Option<Exact> {
    let Some(sum) = u.as_sum() else {
        return Some(opaque(Function::Exp, u));
    };
    let mut total = Exact::rational(RBig::ONE);
    for (monomial, coefficient) in &sum.0 {
        let factor = match single_log(monomial) {
            Some(prime) => Exact::whole(rational_power(&RBig::from(prime.clone()), coefficient)?),
            None => Exact::atom(Atom::Exp(monomial.clone()), coefficient.clone()),
        };
        total = total.mul(&factor)?;
    }
    Some(total)
}

fn single_log(monomial: &Monomial) -> Option<&UBig> {
    match monomial.iter().next() {
        Some((Atom::Log(prime), exponent)) if monomial.len() == 1 && exponent.is_one() => {
            Some(prime)
        }
        _ => None,
    }
}

/// log of a value that is > 0.
fn logarithm(u: &Exact) -> Option<Exact> {
    let Some((monomial, coefficient)) = u.as_sum().and_then(Sum::single) else {
        return Some(opaque(Function::Log, u));
    };
    let expressible = monomial
        .keys()
        .all(|atom| matches!(atom, Atom::Prime(_) | Atom::Exp(_)));
    if !expressible || coefficient.is_negative() {
        return Some(opaque(Function::Log, u));
    }
    let mut total = Exact::rational(RBig::ZERO);
    let (_, numerator) = coefficient.numerator().clone().into_parts();
    for (number, sign) in [(&numerator, 1), (coefficient.denominator(), -1)] {
        for (prime, power) in factored(number)? {
            let part = Exact::atom(Atom::Log(prime), RBig::ONE);
            total = total.add(&part.scaled(&RBig::from(i64::from(power) * sign)))?;
        }
    }
    for (atom, exponent) in monomial {
        let part = match atom {
            Atom::Prime(prime) => Exact::atom(Atom::Log(prime.clone()), RBig::ONE),
            Atom::Exp(inner) => Exact::whole(Sum::monomial(inner.clone(), RBig::ONE)),
            _ => return None,
        };
        total = total.add(&part.scaled(exponent))?;
    }
    Some(total)
}

fn opaque(function: Function, u: &Exact) -> Exact {
    Exact::atom(Atom::Call(function, Box::new(u.clone())), RBig::ONE)
}

/// Whether the first coefficient is negative: picks one of u and −u.
fn leads_negative(u: &Exact) -> bool {
    u.numerator.0.values().next().is_some_and(RBig::is_negative)
}

/// √number / divisor
fn surd(number: u32, divisor: u32) -> Option<Exact> {
    let half = RBig::ONE / RBig::from(2);
    let root = Exact::whole(rational_power(&RBig::from(number), &half)?);
    Some(root.scaled(&(RBig::ONE / RBig::from(divisor))))
}

/// Sine or cosine: known at multiples of π/6 and π/4, else opaque up to the sign of u.
fn wave(function: Function, u: &Exact) -> Option<Exact> {
    if u.is_zero() {
        return Some(Exact::rational(RBig::from(i32::from(
            function == Function::Cos,
        ))));
    }
    let over_pi = u.as_sum().and_then(Sum::single).and_then(|(monomial, q)| {
        let pi = monomial.len() == 1
            && monomial
                .get(&Atom::Pi)
                .is_some_and(|exponent| exponent.is_one());
        pi.then(|| q.clone())
    });
    if let Some(turns) = over_pi
        && let Some(value) = table(function, &turns)
    {
        return Some(value);
    }
    if leads_negative(u) {
        let mirrored = opaque(function, &u.negated());
        return Some(if function == Function::Sin {
            mirrored.negated()
        } else {
            mirrored
        });
    }
    Some(opaque(function, u))
}

/// sin or cos of turns · π in the table of multiples of π/12 that are multiples of π/6 or π/4.
fn table(function: Function, turns: &RBig) -> Option<Exact> {
    let twelfths = turns * RBig::from(12);
    if !twelfths.is_int() {
        return None;
    }
    let period = RBig::from(24);
    let mut k = &twelfths - (&twelfths / &period).floor() * period;
    if function == Function::Cos {
        // cos t = sin(t + π/2)
        k += RBig::from(6);
    }
    let k = i64::try_from(k.numerator().clone()).ok()? % 24;
    let (k, negative) = if k >= 12 { (k - 12, true) } else { (k, false) };
    let k = if k > 6 { 12 - k } else { k };
    let value = match k {
        0 => Exact::rational(RBig::ZERO),
        2 => Exact::rational(RBig::ONE / RBig::from(2)),
        3 => surd(2, 2)?,
        4 => surd(3, 2)?,
        6 => Exact::rational(RBig::ONE),
        _ => return None,
    };
    Some(if negative { value.negated() } else { value })
}

/// atan or asin at the values of the table, else opaque up to the sign of u.
fn arc(function: Function, u: &Exact) -> Option<Exact> {
    if u.is_zero() {
        return Some(Exact::rational(RBig::ZERO));
    }
    if leads_negative(u) {
        return Some(arc(function, &u.negated())?.negated());
    }
    // π divided by the number given.
    let known = if function == Function::Atan {
        vec![(surd(3, 3)?, 6), (surd(1, 1)?, 4), (surd(3, 1)?, 3)]
    } else {
        vec![(surd(1, 2)?, 6), (surd(2, 2)?, 4), (surd(1, 1)?, 2)]
    };
    for (value, part) in known {
        if value == *u {
            let part = RBig::ONE / RBig::from(part);
            return Some(Exact::atom(Atom::Pi, RBig::ONE).scaled(&part));
        }
    }
    if function == Function::Asin && surd(3, 2)? == *u {
        let third = RBig::ONE / RBig::from(3);
        return Some(Exact::atom(Atom::Pi, RBig::ONE).scaled(&third));
    }
    Some(opaque(function, u))
}

fn hyperbolic(function: Function, u: &Exact) -> Option<Exact> {
    let rise = exponential(u)?;
    let fall = exponential(&u.negated())?;
    let half = RBig::ONE / RBig::from(2);
    let sinh = rise.add(&fall.negated())?.scaled(&half);
    let cosh = rise.add(&fall)?.scaled(&half);
    match function {
        Function::Sinh => Some(sinh),
        Function::Cosh => Some(cosh),
        _ => sinh.div(&cosh),
    }
}

/// Whether two expressions have equal values, by normal form.
pub(super) fn equal(left: &Expr, right: &Expr, assignment: &Assignment) -> bool {
    Exactly::new(assignment, &[])
        .value(&left.minus(right))
        .is_some_and(|difference| difference.is_zero())
}
