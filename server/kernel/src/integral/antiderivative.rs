//! Candidates for an antiderivative: powers, exponentials, substitution, parts, division.

use crate::calculus::differentiate;
use crate::expr::{Expr, Function, Node, Symbol};
use crate::recheck::Context;
use dashu::rational::RBig;

/// Highest degree of a polynomial that is handled as one.
const DEGREE: usize = 8;
/// How often products of sums are multiplied out inside each other.
const DEPTH: usize = 4;

/// Antiderivatives worth a trial, the likeliest first. None of them is known to serve.
pub(super) fn candidates(body: &Expr, point: &Symbol) -> Vec<Expr> {
    [false, true]
        .into_iter()
        .filter_map(|mirrored| {
            let rules = Rules { point, mirrored };
            rules.antiderivative(body, DEPTH)
        })
        .collect()
}

/// b^p
struct Factor {
    base: Expr,
    exponent: Expr,
}

struct Rules<'a> {
    point: &'a Symbol,
    /// log(−u) for 1/u: where u is negative.
    mirrored: bool,
}

impl Rules<'_> {
    fn free(&self, expr: &Expr) -> bool {
        !expr.mentions(self.point)
    }

    fn own(&self) -> Expr {
        Expr::variable(self.point)
    }

    fn antiderivative(&self, body: &Expr, depth: usize) -> Option<Expr> {
        if self.free(body) {
            return Some(scaled(body, &self.own()));
        }
        match body.node() {
            Node::Add(items) => {
                let parts = items
                    .iter()
                    .map(|item| self.antiderivative(item, depth))
                    .collect::<Option<Vec<_>>>()?;
                return Some(Expr::sum_of(parts));
            }
            Node::Neg(inner) => return Some(self.antiderivative(inner, depth)?.negative()),
            _ => {}
        }
        let mut all = Vec::new();
        factors(body, &Expr::integer(1), &mut all);
        let (constant, factors): (Vec<Factor>, Vec<Factor>) = all
            .into_iter()
            .partition(|factor| self.free(&factor.base) && self.free(&factor.exponent));
        let constant = Expr::product_of(constant.iter().map(Factor::value).collect());
        let factors = gathered(factors);
        let inner = self
            .single(&factors)
            .or_else(|| self.by_parts(&factors))
            .or_else(|| self.divided(&factors, depth))
            .or_else(|| self.substituted(&factors))
            .or_else(|| self.multiplied_out(&factors, depth))?;
        Some(scaled(&constant, &inner))
    }

    /// One function of a linear argument, or one power of a linear base.
    fn single(&self, factors: &[Factor]) -> Option<Expr> {
        let [factor] = factors else {
            return None;
        };
        if let Some((slope, _)) = self
            .linear(&factor.base)
            .filter(|_| self.free(&factor.exponent))
        {
            let integral = self.power_integral(&factor.base, &factor.exponent);
            return Some(divided(&integral, &slope));
        }
        if factor.exponent != Expr::integer(1) {
            return self.reciprocal_of_square(factor);
        }
        let Node::Call(function, argument) = factor.base.node() else {
            return None;
        };
        let (slope, _) = self.linear(argument)?;
        Some(divided(&of_function(*function, argument)?, &slope))
    }

    /// u^{p+1}/(p + 1), or log u, with u in the place of the variable.
    fn power_integral(&self, base: &Expr, exponent: &Expr) -> Expr {
        let one = Expr::integer(1);
        match exponent.as_number() {
            Some(number) if number == RBig::from(-1) => {
                let inside = if self.mirrored {
                    base.negative()
                } else {
                    base.clone()
                };
                inside.call(Function::Log)
            }
            Some(number) => {
                let raised = Expr::number(number + RBig::ONE);
                divided(&raise(base, &raised), &raised)
            }
            None => {
                let raised = exponent.plus(&one);
                divided(&raise(base, &raised), &raised)
            }
        }
    }

    /// 1/(α t² + γ)
    fn reciprocal_of_square(&self, factor: &Factor) -> Option<Expr> {
        let minus = factor.exponent.as_number()? == RBig::from(-1);
        let coefficients = self.coefficients(&factor.base)?;
        let [constant, linear, square] = coefficients.as_slice() else {
            return None;
        };
        if !minus || !is_zero(linear) {
            return None;
        }
        let ratio = square.over(constant).sqrt();
        let product = square.times(constant).sqrt();
        Some(
            scaled(&self.own(), &ratio)
                .call(Function::Atan)
                .over(&product),
        )
    }

    /// A polynomial times e^u, sin u, cos u, log t or a power of u, for linear u.
    fn by_parts(&self, factors: &[Factor]) -> Option<Expr> {
        let (others, polynomial): (Vec<&Factor>, Vec<&Factor>) = factors
            .iter()
            .partition(|factor| self.natural(factor).is_none());
        let polynomial = polynomial
            .into_iter()
            .try_fold(vec![Expr::integer(1)], |product, factor| {
                convolved(&product, &self.natural(factor)?)
            })?;
        let [other] = others.as_slice() else {
            return None;
        };
        if let Some((slope, offset)) = self.linear(&other.base) {
            return self.free(&other.exponent).then(|| {
                self.in_powers_of(
                    &polynomial,
                    (&slope, &offset),
                    (&other.base, &other.exponent),
                )
            });
        }
        let Node::Call(function, argument) = other.base.node() else {
            return None;
        };
        let (slope, _) = self.linear(argument)?;
        if other.exponent != Expr::integer(1) {
            return None;
        }
        if *function == Function::Log && argument.as_variable() == Some(self.point) {
            let terms = polynomial.iter().enumerate().map(|(degree, coefficient)| {
                let raised = Expr::integer(degree as i64 + 1);
                let power = self.own().power(&raised);
                let with_log = power.times(&other.base).over(&raised);
                let without = power.over(&raised.times(&raised));
                coefficient.times(&with_log.minus(&without))
            });
            return Some(Expr::sum_of(terms.collect()));
        }
        self.repeated(&polynomial, *function, argument, &slope)
    }

    /// P F₁ − P′ F₂ + P″ F₃ − … with the repeated antiderivatives F₁, F₂, … of a function of u = a t + d.
    fn repeated(
        &self,
        polynomial: &[Expr],
        function: Function,
        argument: &Expr,
        slope: &Expr,
    ) -> Option<Expr> {
        let mut terms = Vec::new();
        let mut slopes = polynomial.to_vec();
        let mut order = 1_i64;
        while slopes.iter().any(|coefficient| !is_zero(coefficient)) {
            let (negative, outer) = match (function, order % 4) {
                (Function::Exp, _) => (false, Function::Exp),
                (Function::Sin, 1) => (true, Function::Cos),
                (Function::Sin, 2) => (true, Function::Sin),
                (Function::Sin, 3) | (Function::Cos, 0) => (false, Function::Cos),
                (Function::Sin, _) | (Function::Cos, 1) => (false, Function::Sin),
                (Function::Cos, 2) => (true, Function::Cos),
                (Function::Cos, _) => (true, Function::Sin),
                _ => return None,
            };
            let integral = argument
                .call(outer)
                .over(&slope.power(&Expr::integer(order)));
            let term = self.polynomial(&slopes).times(&integral);
            let alternates = order % 2 == 0;
            terms.push(match negative == alternates {
                true => term,
                false => term.negative(),
            });
            slopes = derived(&slopes);
            order += 1;
        }
        Some(Expr::sum_of(terms))
    }

    /// A polynomial times u^p with u = a t + d: t = (u − d)/a makes it a sum of powers of u.
    fn in_powers_of(
        &self,
        polynomial: &[Expr],
        (slope, offset): (&Expr, &Expr),
        (base, exponent): (&Expr, &Expr),
    ) -> Expr {
        // Horner's scheme with t = u/a − d/a.
        let step = [
            negated(&divided(offset, slope)),
            divided(&Expr::integer(1), slope),
        ];
        let mut shifted: Vec<Expr> = vec![Expr::integer(0)];
        for coefficient in polynomial.iter().rev() {
            shifted = convolved(&shifted, &step).unwrap_or_default();
            match shifted.first_mut() {
                Some(first) => *first = added(first, coefficient),
                None => shifted.push(coefficient.clone()),
            }
        }
        let terms = shifted
            .iter()
            .enumerate()
            .filter(|(_, coefficient)| !is_zero(coefficient))
            .map(|(degree, coefficient)| {
                let exponent = added(exponent, &Expr::integer(degree as i64));
                scaled(coefficient, &self.power_integral(base, &exponent))
            })
            .collect();
        divided(&Expr::sum_of(terms), slope)
    }

    /// A polynomial over α t² + γ: division with remainder.
    fn divided(&self, factors: &[Factor], depth: usize) -> Option<Expr> {
        let at = factors.iter().position(|factor| {
            factor.exponent == Expr::integer(-1)
                && self
                    .coefficients(&factor.base)
                    .is_some_and(|coefficients| coefficients.len() == 3)
        })?;
        let divisor = self.coefficients(&factors[at].base)?;
        let mut rest = factors
            .iter()
            .enumerate()
            .filter(|(position, _)| *position != at)
            .try_fold(vec![Expr::integer(1)], |product, (_, factor)| {
                convolved(&product, &self.natural(factor)?)
            })?;
        if rest.len() < 3 {
            return None;
        }
        let mut quotient = Vec::new();
        while rest.len() >= 3 {
            let leading = rest.pop()?.over(&divisor[2]);
            let shift = rest.len() - 2;
            for (position, own) in divisor[..2].iter().enumerate() {
                let place = &mut rest[shift + position];
                *place = added(place, &leading.times(own).negative());
            }
            quotient.push(leading);
        }
        quotient.reverse();
        let whole = self.antiderivative(&self.polynomial(&quotient), depth)?;
        let below = self.polynomial(&divisor);
        let remainder: Option<Vec<Expr>> = rest
            .iter()
            .enumerate()
            .filter(|(_, coefficient)| !is_zero(coefficient))
            .map(|(degree, coefficient)| {
                let above = self.own().power(&Expr::integer(degree as i64));
                let term = match degree {
                    0 => Expr::integer(1).over(&below),
                    1 => self.own().over(&below),
                    _ => above.over(&below),
                };
                Some(coefficient.times(&self.antiderivative(&term, depth.checked_sub(1)?)?))
            })
            .collect();
        let mut terms = vec![whole];
        terms.extend(remainder?);
        Some(Expr::sum_of(terms))
    }

    /// g′(t) h(g(t)): the substitution u = g(t).
    fn substituted(&self, factors: &[Factor]) -> Option<Expr> {
        factors.iter().enumerate().find_map(|(at, factor)| {
            let others = || {
                let rest = factors
                    .iter()
                    .enumerate()
                    .filter(|(position, _)| *position != at)
                    .map(|(_, factor)| factor.value());
                Expr::product_of(rest.collect())
            };
            let (inner, outer) = match factor.base.node() {
                Node::Call(function, argument) if factor.exponent == Expr::integer(1) => {
                    (argument.clone(), of_function(*function, argument)?)
                }
                _ if self.free(&factor.exponent) => (
                    factor.base.clone(),
                    self.power_integral(&factor.base, &factor.exponent),
                ),
                _ => return None,
            };
            let slope = differentiate(&inner, self.point)?;
            // The others are k g′ with a constant k, which one point tells.
            let at = |expr: &Expr| expr.substitute(self.point, &Expr::integer(1));
            let others = others();
            let (own, given) = (at(&slope), at(&others));
            let difference = others.times(&own).minus(&slope.times(&given));
            let form = Context::default().normal(&difference)?;
            is_zero(&form.to_expr()).then(|| divided(&scaled(&given, &outer), &own))
        })
    }

    /// A product with a sum in it, term by term.
    fn multiplied_out(&self, factors: &[Factor], depth: usize) -> Option<Expr> {
        let depth = depth.checked_sub(1)?;
        let at = factors.iter().position(|factor| {
            matches!(factor.base.node(), Node::Add(_))
                && factor
                    .exponent
                    .as_number()
                    .is_some_and(|number| number == RBig::ONE || number == RBig::from(2))
        })?;
        let Node::Add(items) = factors[at].base.node() else {
            return None;
        };
        let mut rest: Vec<Expr> = factors
            .iter()
            .enumerate()
            .filter(|(position, _)| *position != at)
            .map(|(_, factor)| factor.value())
            .collect();
        if factors[at].exponent != Expr::integer(1) {
            rest.push(factors[at].base.clone());
        }
        let terms = items
            .iter()
            .map(|item| {
                let mut product = vec![item.clone()];
                product.extend(rest.iter().cloned());
                self.antiderivative(&Expr::product_of(product), depth)
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Expr::sum_of(terms))
    }

    /// The coefficients of a factor that is a polynomial.
    fn natural(&self, factor: &Factor) -> Option<Vec<Expr>> {
        self.coefficients(&factor.value())
    }

    /// a and d of a t + d with a ≠ 0 in form.
    fn linear(&self, expr: &Expr) -> Option<(Expr, Expr)> {
        match self.coefficients(expr)?.as_slice() {
            [offset, slope] if !is_zero(slope) => Some((slope.clone(), offset.clone())),
            _ => None,
        }
    }

    /// The coefficients of a polynomial in the variable, by degree.
    fn coefficients(&self, expr: &Expr) -> Option<Vec<Expr>> {
        if self.free(expr) {
            return Some(vec![expr.clone()]);
        }
        match expr.node() {
            Node::Variable(_) => Some(vec![Expr::integer(0), Expr::integer(1)]),
            Node::Neg(inner) => Some(self.coefficients(inner)?.iter().map(negated).collect()),
            Node::Add(items) => items.iter().try_fold(Vec::new(), |mut sum, item| {
                for (degree, coefficient) in self.coefficients(item)?.into_iter().enumerate() {
                    match sum.get_mut(degree) {
                        Some(own) => *own = added(own, &coefficient),
                        None => sum.push(coefficient),
                    }
                }
                Some(sum)
            }),
            Node::Mul(items) => items
                .iter()
                .try_fold(vec![Expr::integer(1)], |product, item| {
                    convolved(&product, &self.coefficients(item)?)
                }),
            Node::Div(above, below) if self.free(below) => Some(
                self.coefficients(above)?
                    .iter()
                    .map(|coefficient| match is_zero(coefficient) {
                        true => coefficient.clone(),
                        false => coefficient.over(below),
                    })
                    .collect(),
            ),
            Node::Pow(base, exponent) => {
                let times = exponent.as_number().filter(RBig::is_int)?;
                let times = usize::try_from(times.numerator().clone()).ok()?;
                if times > DEGREE {
                    return None;
                }
                let own = self.coefficients(base)?;
                (0..times).try_fold(vec![Expr::integer(1)], |product, _| {
                    convolved(&product, &own)
                })
            }
            _ => None,
        }
    }

    fn polynomial(&self, coefficients: &[Expr]) -> Expr {
        let terms = coefficients
            .iter()
            .enumerate()
            .filter(|(_, coefficient)| !is_zero(coefficient))
            .map(|(degree, coefficient)| match degree {
                0 => coefficient.clone(),
                1 => scaled(coefficient, &self.own()),
                _ => scaled(
                    coefficient,
                    &self.own().power(&Expr::integer(degree as i64)),
                ),
            });
        Expr::sum_of(terms.collect())
    }
}

impl Factor {
    fn value(&self) -> Expr {
        if self.exponent == Expr::integer(1) {
            return self.base.clone();
        }
        raise(&self.base, &self.exponent)
    }
}

/// An antiderivative of the function by its argument, in the place of the variable.
fn of_function(function: Function, argument: &Expr) -> Option<Expr> {
    let one = Expr::integer(1);
    let half = Expr::ratio(1, 2);
    let square = || argument.power(&Expr::integer(2));
    Some(match function {
        Function::Exp => argument.call(Function::Exp),
        Function::Sin => argument.call(Function::Cos).negative(),
        Function::Cos => argument.call(Function::Sin),
        Function::Sinh => argument.call(Function::Cosh),
        Function::Cosh => argument.call(Function::Sinh),
        Function::Tan => argument.call(Function::Cos).call(Function::Log).negative(),
        Function::Log => argument
            .times(&argument.call(Function::Log))
            .minus(argument),
        Function::Atan => argument
            .times(&argument.call(Function::Atan))
            .minus(&half.times(&one.plus(&square()).call(Function::Log))),
        _ => return None,
    })
}

/// b^p, with halves as roots: they are defined at b = 0 and differentiate as roots do.
fn raise(base: &Expr, exponent: &Expr) -> Expr {
    let Some(number) = exponent.as_number() else {
        return base.power(exponent);
    };
    let doubled = number.clone() * RBig::from(2);
    if number.is_int() || !doubled.is_int() {
        return match number == RBig::ONE {
            true => base.clone(),
            false => base.power(exponent),
        };
    }
    let whole = Expr::number(number - RBig::from(1) / RBig::from(2));
    match whole.as_number() {
        Some(whole) if whole.is_zero() => base.sqrt(),
        _ => base.power(&whole).times(&base.sqrt()),
    }
}

/// Splits a product into powers.
fn factors(expr: &Expr, exponent: &Expr, found: &mut Vec<Factor>) {
    let whole = exponent.as_number().is_some_and(|number| number.is_int());
    match expr.node() {
        Node::Mul(items) if whole => {
            for item in items {
                factors(item, exponent, found);
            }
        }
        Node::Div(above, below) if whole => {
            factors(above, exponent, found);
            factors(below, &negated(exponent), found);
        }
        Node::Neg(inner) if whole => {
            factors(&Expr::integer(-1), exponent, found);
            factors(inner, exponent, found);
        }
        Node::Pow(base, own) if whole => factors_of_power(base, &scaled(exponent, own), found),
        Node::Root(degree, radicand) if whole => {
            let root = Expr::ratio(1, i64::from(*degree));
            factors_of_power(radicand, &scaled(exponent, &root), found);
        }
        Node::Call(Function::Exp, argument) => found.push(Factor {
            base: scaled(exponent, argument).call(Function::Exp),
            exponent: Expr::integer(1),
        }),
        _ => found.push(Factor {
            base: expr.clone(),
            exponent: exponent.clone(),
        }),
    }
}

/// (b c)^p is b^p c^p for integers p; other powers stay together.
fn factors_of_power(base: &Expr, exponent: &Expr, found: &mut Vec<Factor>) {
    match exponent.as_number() {
        Some(number) if number.is_int() => factors(base, exponent, found),
        _ => found.push(Factor {
            base: base.clone(),
            exponent: exponent.clone(),
        }),
    }
}

/// Powers of one base become one power, exponentials one exponential.
fn gathered(all: Vec<Factor>) -> Vec<Factor> {
    let mut found: Vec<Factor> = Vec::new();
    for factor in all {
        if let Node::Call(Function::Exp, argument) = factor.base.node()
            && let Some(own) = found
                .iter_mut()
                .find(|own| matches!(own.base.node(), Node::Call(Function::Exp, _)))
            && let Node::Call(_, before) = own.base.node()
        {
            own.base = before.plus(argument).call(Function::Exp);
            continue;
        }
        match found.iter_mut().find(|own| own.base == factor.base) {
            Some(own) => own.exponent = added(&own.exponent, &factor.exponent),
            None => found.push(factor),
        }
    }
    found.retain(|factor| !is_zero(&factor.exponent));
    found
}

fn is_zero(expr: &Expr) -> bool {
    expr.as_number().is_some_and(|number| number.is_zero())
}

fn negated(expr: &Expr) -> Expr {
    match expr.as_number() {
        Some(number) => Expr::number(-number),
        None => expr.negative(),
    }
}

fn added(left: &Expr, right: &Expr) -> Expr {
    match (left.as_number(), right.as_number()) {
        (Some(left), Some(right)) => Expr::number(left + right),
        (Some(number), _) if number.is_zero() => right.clone(),
        (_, Some(number)) if number.is_zero() => left.clone(),
        _ => left.plus(right),
    }
}

fn scaled(left: &Expr, right: &Expr) -> Expr {
    match (left.as_number(), right.as_number()) {
        (Some(left), Some(right)) => Expr::number(left * right),
        (Some(number), _) if number == RBig::ONE => right.clone(),
        (_, Some(number)) if number == RBig::ONE => left.clone(),
        _ => left.times(right),
    }
}

fn divided(above: &Expr, below: &Expr) -> Expr {
    match (above.as_number(), below.as_number()) {
        (Some(above), _) if above.is_zero() => Expr::integer(0),
        (_, Some(number)) if number == RBig::ONE => above.clone(),
        (Some(above), Some(below)) if !below.is_zero() => Expr::number(above / below),
        _ => above.over(below),
    }
}

/// The derivative of a polynomial.
fn derived(coefficients: &[Expr]) -> Vec<Expr> {
    coefficients
        .iter()
        .enumerate()
        .skip(1)
        .map(|(degree, coefficient)| scaled(&Expr::integer(degree as i64), coefficient))
        .collect()
}

/// The product of two polynomials, none beyond the highest degree.
fn convolved(left: &[Expr], right: &[Expr]) -> Option<Vec<Expr>> {
    if left.is_empty() || right.is_empty() {
        return Some(Vec::new());
    }
    let length = left.len() + right.len() - 1;
    if length > DEGREE + 1 {
        return None;
    }
    let mut product = vec![Expr::integer(0); length];
    for (i, a) in left.iter().enumerate() {
        for (j, b) in right.iter().enumerate() {
            if !is_zero(a) && !is_zero(b) {
                product[i + j] = added(&product[i + j], &scaled(a, b));
            }
        }
    }
    Some(product)
}
