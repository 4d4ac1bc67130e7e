//! What an expression does as one of its variables grows: an expansion in descending powers of
//! that variable, found symbolically. It is a guess until the kernel has proved what it gives.

use crate::limits;
use crate::seek::family::{Asker, Family};
use dashu::base::Signed;
use dashu::rational::RBig;
use kernel::calculus::differentiate;
use kernel::recheck::Context;
use kernel::{Constant, Expr, Function, Node, Relation, Symbol};
use std::cell::RefCell;
use std::cmp::Ordering;

/// An expansion c₁ v^p₁ + c₂ v^p₂ + … with p₁ > p₂ > …; coefficients may hold bounded
/// oscillations (sin(v x)).
#[derive(Clone, Debug, Default)]
pub(crate) struct Series {
    /// Exponents and coefficients, the leading one first.
    pub(crate) terms: Vec<(RBig, Expr)>,
    /// Terms with this exponent or a lower one are not known; `None`: there are none.
    pub(crate) cut: Option<RBig>,
}

/// What an expression does.
#[derive(Clone, Debug)]
pub(crate) enum Growth {
    /// Powers of the variable.
    Powers(Series),
    /// Less than every power, like e^(−v).
    Tiny,
    /// More than every power, like ±e^v; whether it is positive.
    Huge(bool),
}

/// Expands expressions in one variable.
pub(crate) struct Expander<'a> {
    /// What grows.
    variable: Symbol,
    /// Signs that are known.
    context: Context,
    family: &'a Family,
    asker: Asker<'a>,
    /// The first value whose sign decides and is not known.
    pub(crate) unknown: RefCell<Option<Expr>>,
}

fn zero() -> Expr {
    Expr::integer(0)
}

impl Series {
    fn constant(value: Expr) -> Self {
        Self {
            terms: vec![(RBig::ZERO, value)],
            cut: None,
        }
    }

    fn is_exact_zero(&self) -> bool {
        self.terms.is_empty() && self.cut.is_none()
    }

    fn scaled(&self, power: &RBig, factor: &Expr, expander: &Expander<'_>) -> Self {
        Self {
            terms: self
                .terms
                .iter()
                .map(|(own, value)| (own + power, expander.simple(&value.times(factor))))
                .collect(),
            cut: self.cut.as_ref().map(|cut| cut + power),
        }
    }

    fn without_leading(&self) -> Self {
        Self {
            terms: self.terms[1..].to_vec(),
            cut: self.cut.clone(),
        }
    }
}

impl<'a> Expander<'a> {
    pub(crate) fn new(family: &'a Family, variable: &Symbol, asker: Asker<'a>) -> Self {
        Self {
            variable: variable.clone(),
            context: family.context(family.first),
            family,
            asker,
            unknown: RefCell::new(None),
        }
    }

    fn simple(&self, expr: &Expr) -> Expr {
        super::simplify::short(&self.context, expr)
    }

    /// The sign of a value; remembers the value if it is not known.
    fn sign(&self, expr: &Expr) -> Option<Ordering> {
        let known = self.context.sign_of_expr(expr);
        if known.stands(Relation::Equal) {
            return Some(Ordering::Equal);
        }
        if known.stands(Relation::Greater) {
            return Some(Ordering::Greater);
        }
        if known.stands(Relation::Less) {
            return Some(Ordering::Less);
        }
        if !expr.mentions(&self.variable) {
            for (relation, ordering) in [
                (Relation::Greater, Ordering::Greater),
                (Relation::Less, Ordering::Less),
            ] {
                if self
                    .asker
                    .holds(self.family, self.family.first, expr, relation, &zero())
                {
                    return Some(ordering);
                }
            }
        }
        self.unknown
            .borrow_mut()
            .get_or_insert_with(|| expr.clone());
        None
    }

    /// Sorts, adds up equal exponents, drops zeros and what is beyond the cut.
    fn tidy(&self, terms: Vec<(RBig, Expr)>, cut: Option<RBig>) -> Series {
        let mut merged: Vec<(RBig, Vec<Expr>)> = Vec::new();
        for (power, value) in terms {
            if cut.as_ref().is_some_and(|cut| power <= *cut) {
                continue;
            }
            match merged.iter_mut().find(|(own, _)| *own == power) {
                Some((_, values)) => values.push(value),
                None => merged.push((power, vec![value])),
            }
        }
        merged.sort_by(|left, right| right.0.cmp(&left.0));
        let mut kept: Vec<(RBig, Expr)> = merged
            .into_iter()
            .map(|(power, values)| (power, self.simple(&Expr::sum_of(values))))
            .filter(|(_, value)| !self.context.sign_of_expr(value).stands(Relation::Equal))
            .collect();
        let mut cut = cut;
        if limits::EXPANSION_TERMS < kept.len() {
            cut = Some(kept[limits::EXPANSION_TERMS].0.clone());
            kept.truncate(limits::EXPANSION_TERMS);
        }
        Series { terms: kept, cut }
    }

    fn add(&self, left: &Series, right: &Series) -> Series {
        let cut = match (&left.cut, &right.cut) {
            (Some(left), Some(right)) => Some(left.max(right).clone()),
            (own, None) | (None, own) => own.clone(),
        };
        let terms = left.terms.iter().chain(&right.terms).cloned().collect();
        self.tidy(terms, cut)
    }

    fn multiply(&self, left: &Series, right: &Series) -> Series {
        if left.is_exact_zero() || right.is_exact_zero() {
            return Series::default();
        }
        let top = |series: &Series| {
            series
                .terms
                .first()
                .map(|(power, _)| power.clone())
                .or_else(|| series.cut.clone())
        };
        let reach = |cut: &Option<RBig>, other: &Series| Some(cut.as_ref()? + top(other)?);
        let cut = match (reach(&left.cut, right), reach(&right.cut, left)) {
            (Some(first), Some(second)) => Some(first.max(second)),
            (first, second) => first.or(second),
        };
        let mut terms = Vec::new();
        for (first, value) in &left.terms {
            for (second, other) in &right.terms {
                terms.push((first + second, value.times(other)));
            }
        }
        self.tidy(terms, cut)
    }

    /// Σ c_k u^k for a u that tends to 0, as far as terms are kept.
    fn compose(&self, coefficients: &[Expr], small: &Series) -> Option<Series> {
        let step = match small.terms.first() {
            Some((power, _)) => power.clone(),
            None => small.cut.clone()?,
        };
        let mut sum = Series::default();
        let mut power = Series::constant(Expr::integer(1));
        for coefficient in coefficients {
            sum = self.add(&sum, &power.scaled(&RBig::ZERO, coefficient, self));
            power = self.multiply(&power, small);
        }
        let rest = step * RBig::from(i64::try_from(coefficients.len()).ok()?);
        let cut = sum.cut.clone().map_or(rest.clone(), |cut| cut.max(rest));
        Some(self.tidy(sum.terms, Some(cut)))
    }

    /// (leading term) · (1 + u) with u → 0.
    fn split(&self, series: &Series) -> Option<(RBig, Expr, Series)> {
        let (power, lead) = series.terms.first()?.clone();
        if lead.mentions(&self.variable) {
            return None;
        }
        let inverse = self.simple(&Expr::integer(1).over(&lead));
        let rest = series
            .without_leading()
            .scaled(&-power.clone(), &inverse, self);
        Some((power, lead, rest))
    }

    /// The q-th power of a series with a positive leading coefficient (any, if q is an integer).
    fn raise(&self, series: &Series, exponent: &RBig) -> Option<Series> {
        let (power, lead, rest) = self.split(series)?;
        if !exponent.is_int() && self.sign(&lead)? != Ordering::Greater {
            return None;
        }
        if exponent.is_int() && self.sign(&lead)? == Ordering::Equal {
            return None;
        }
        let mut binomial = vec![RBig::ONE];
        for k in 0..limits::EXPANSION_TERMS {
            let k = RBig::from(i64::try_from(k).ok()?);
            let last = binomial.last()?.clone();
            binomial.push(last * (exponent - &k) / (k + RBig::ONE));
        }
        let coefficients: Vec<Expr> = binomial.into_iter().map(Expr::number).collect();
        let inner = if rest.is_exact_zero() {
            Series::constant(Expr::integer(1))
        } else {
            self.compose(&coefficients, &rest)?
        };
        let lead = match *exponent == RBig::from(1) / RBig::from(2) {
            true => lead.sqrt(),
            false => lead.power(&Expr::number(exponent.clone())),
        };
        Some(inner.scaled(&(power * exponent), &self.simple(&lead), self))
    }

    /// f(c + u) by Taylor's formula.
    fn taylor(&self, function: Function, centre: &Expr, small: &Series) -> Option<Series> {
        let name = Symbol::new("\u{1}u");
        let mut derivative = Expr::variable(&name).call(function);
        let mut coefficients = Vec::new();
        let mut factorial = 1i64;
        for k in 0..=limits::EXPANSION_TERMS {
            factorial *= i64::try_from(k.max(1)).ok()?;
            let value = derivative.substitute(&name, centre);
            let value = super::simplify::at_numbers(&self.context, &value);
            coefficients.push(self.simple(&value.over(&Expr::integer(factorial))));
            derivative = differentiate(&derivative, &name)?;
            if small.is_exact_zero() {
                return Some(Series::constant(coefficients.remove(0)));
            }
        }
        self.compose(&coefficients, small)
    }

    /// What the expression does; `None` if it is not known.
    pub(crate) fn expand(&self, expr: &Expr, depth: usize) -> Option<Growth> {
        if depth == 0 || self.asker.stop.load(std::sync::atomic::Ordering::Relaxed) {
            return None;
        }
        let depth = depth - 1;
        if !expr.mentions(&self.variable) {
            let terms = vec![(RBig::ZERO, expr.clone())];
            return Some(Growth::Powers(self.tidy(terms, None)));
        }
        match expr.node() {
            Node::Variable(_) => Some(Growth::Powers(Series {
                terms: vec![(RBig::ONE, Expr::integer(1))],
                cut: None,
            })),
            Node::Add(terms) => {
                let terms = terms
                    .iter()
                    .map(|term| self.expand(term, depth))
                    .collect::<Option<Vec<_>>>()?;
                self.total(terms)
            }
            Node::Neg(inner) => {
                let minus = Growth::Powers(Series::constant(Expr::integer(-1)));
                self.times(self.expand(inner, depth)?, minus)
            }
            Node::Mul(factors) => {
                let one = Growth::Powers(Series::constant(Expr::integer(1)));
                factors.iter().try_fold(one, |own, factor| {
                    self.times(own, self.expand(factor, depth)?)
                })
            }
            Node::Div(numerator, denominator) => {
                let below = self.inverse(self.expand(denominator, depth)?)?;
                self.times(self.expand(numerator, depth)?, below)
            }
            Node::Pow(base, exponent) => self.power(base, exponent, depth),
            Node::Root(degree, inner) => {
                let exponent = RBig::ONE / RBig::from(*degree);
                match self.expand(inner, depth)? {
                    Growth::Powers(series) if series.is_exact_zero() => {
                        Some(Growth::Powers(series))
                    }
                    Growth::Powers(series) => Some(Growth::Powers(self.raise(&series, &exponent)?)),
                    Growth::Tiny => Some(Growth::Tiny),
                    Growth::Huge(true) => Some(Growth::Huge(true)),
                    Growth::Huge(false) => None,
                }
            }
            Node::Call(function, inner) => self.call(*function, inner, depth),
            _ => None,
        }
    }

    fn total(&self, terms: Vec<Growth>) -> Option<Growth> {
        let mut sum = Series::default();
        let (mut huge, mut tiny) = (None, false);
        for term in terms {
            match term {
                Growth::Powers(series) => sum = self.add(&sum, &series),
                Growth::Tiny => tiny = true,
                Growth::Huge(positive) if huge.is_none_or(|own| own == positive) => {
                    huge = Some(positive);
                }
                Growth::Huge(_) => return None,
            }
        }
        Some(match huge {
            Some(positive) => Growth::Huge(positive),
            None if tiny && sum.terms.is_empty() => Growth::Tiny,
            None => Growth::Powers(sum),
        })
    }

    fn times(&self, left: Growth, right: Growth) -> Option<Growth> {
        Some(match (left, right) {
            (Growth::Powers(left), Growth::Powers(right)) => {
                Growth::Powers(self.multiply(&left, &right))
            }
            (Growth::Tiny, Growth::Powers(_) | Growth::Tiny)
            | (Growth::Powers(_), Growth::Tiny) => Growth::Tiny,
            (Growth::Huge(positive), Growth::Powers(series))
            | (Growth::Powers(series), Growth::Huge(positive)) => {
                if series.is_exact_zero() {
                    return Some(Growth::Powers(series));
                }
                let (_, lead) = series.terms.first()?;
                match self.sign(lead)? {
                    Ordering::Equal => return None,
                    ordering => Growth::Huge(positive == (ordering == Ordering::Greater)),
                }
            }
            (Growth::Huge(left), Growth::Huge(right)) => Growth::Huge(left == right),
            (Growth::Huge(_), Growth::Tiny) | (Growth::Tiny, Growth::Huge(_)) => return None,
        })
    }

    fn inverse(&self, growth: Growth) -> Option<Growth> {
        Some(match growth {
            Growth::Powers(series) => Growth::Powers(self.raise(&series, &-RBig::ONE)?),
            Growth::Huge(_) => Growth::Tiny,
            // Of which sign is not known.
            Growth::Tiny => return None,
        })
    }

    fn power(&self, base: &Expr, exponent: &Expr, depth: usize) -> Option<Growth> {
        if !exponent.mentions(&self.variable) {
            let settles = |growth: &Growth| {
                let Growth::Powers(series) = growth else {
                    return false;
                };
                series
                    .terms
                    .first()
                    .is_some_and(|(power, _)| power.is_zero())
            };
            let number = self.context.normal(exponent);
            let number = number.and_then(|form| form.as_poly()?.as_constant());
            return match (self.expand(base, depth)?, number) {
                (Growth::Powers(series), Some(exponent)) => {
                    if series.is_exact_zero() && RBig::ZERO < exponent {
                        return Some(Growth::Powers(series));
                    }
                    Some(Growth::Powers(self.raise(&series, &exponent)?))
                }
                (Growth::Tiny, Some(exponent)) if RBig::ZERO < exponent => Some(Growth::Tiny),
                (Growth::Huge(true), Some(exponent)) if RBig::ZERO < exponent => {
                    Some(Growth::Huge(true))
                }
                (growth, None) if settles(&growth) => {
                    let logarithm = base.call(Function::Log);
                    self.call(Function::Exp, &exponent.times(&logarithm), depth)
                }
                _ => None,
            };
        }
        if matches!(base.node(), Node::Constant(Constant::E)) {
            return self.call(Function::Exp, exponent, depth);
        }
        if !base.mentions(&self.variable) {
            return self.geometric(base, exponent, depth);
        }
        // u^v = e^(v log u)
        let logarithm = base.call(Function::Log);
        self.call(Function::Exp, &exponent.times(&logarithm), depth)
    }

    /// b^v for a base that stays.
    fn geometric(&self, base: &Expr, exponent: &Expr, depth: usize) -> Option<Growth> {
        let one = Expr::integer(1);
        let rising = match self.expand(exponent, depth)? {
            Growth::Powers(series) => {
                let (power, lead) = series.terms.first()?.clone();
                if power <= RBig::ZERO {
                    // b^(1/n) and the like.
                    let logarithm = base.call(Function::Log);
                    return self.call(Function::Exp, &exponent.times(&logarithm), depth);
                }
                self.sign(&lead)? == Ordering::Greater
            }
            Growth::Huge(positive) => positive,
            Growth::Tiny => return None,
        };
        if self.context.sign_of_expr(base).stands(Relation::Equal) {
            return rising.then(|| Growth::Powers(Series::default()));
        }
        match (self.sign(&base.abs().minus(&one))?, rising) {
            (Ordering::Less, true) | (Ordering::Greater, false) => Some(Growth::Tiny),
            (Ordering::Equal, _) => match self.sign(base)? {
                Ordering::Greater => Some(Growth::Powers(Series::constant(one))),
                // ±1 in turns.
                _ => Some(Growth::Powers(Series::constant(base.power(exponent)))),
            },
            _ => match self.sign(base)? {
                Ordering::Greater => Some(Growth::Huge(true)),
                _ => None,
            },
        }
    }

    fn call(&self, function: Function, inner: &Expr, depth: usize) -> Option<Growth> {
        let series = match self.expand(inner, depth)? {
            Growth::Powers(series) => series,
            Growth::Tiny => {
                let value = match function {
                    Function::Exp | Function::Cos | Function::Cosh => Expr::integer(1),
                    Function::Log => return None,
                    Function::Acos => zero().call(function),
                    _ => return Some(Growth::Tiny),
                };
                return Some(Growth::Powers(Series::constant(value)));
            }
            Growth::Huge(positive) => return self.far(function, inner, positive, None),
        };
        if series.is_exact_zero() {
            let value = super::simplify::at_numbers(&self.context, &zero().call(function));
            return Some(Growth::Powers(self.tidy(vec![(RBig::ZERO, value)], None)));
        }
        if function == Function::Abs {
            let positive = match series.terms.first() {
                Some((_, lead)) => self.sign(lead)? != Ordering::Less,
                None => true,
            };
            let sign = Expr::integer(if positive { 1 } else { -1 });
            return Some(Growth::Powers(series.scaled(&RBig::ZERO, &sign, self)));
        }
        match series.terms.first() {
            Some((power, lead)) if RBig::ZERO < *power => {
                if matches!(function, Function::Sin | Function::Cos) {
                    // A bounded oscillation.
                    return Some(Growth::Powers(Series::constant(inner.call(function))));
                }
                let positive = match self.sign(lead)? {
                    Ordering::Greater => true,
                    Ordering::Less => false,
                    Ordering::Equal => return None,
                };
                self.far(function, inner, positive, Some(&series))
            }
            Some((power, lead)) if power.is_zero() => {
                if lead.mentions(&self.variable) {
                    return None;
                }
                let small = series.without_leading();
                Some(Growth::Powers(self.taylor(function, lead, &small)?))
            }
            _ => {
                if function == Function::Log {
                    return None;
                }
                Some(Growth::Powers(self.taylor(function, &zero(), &series)?))
            }
        }
    }

    /// A function of an argument that tends to ±∞, as a series if one is known.
    fn far(
        &self,
        function: Function,
        inner: &Expr,
        positive: bool,
        series: Option<&Series>,
    ) -> Option<Growth> {
        let sign = Expr::integer(if positive { 1 } else { -1 });
        Some(match function {
            Function::Exp if positive => Growth::Huge(true),
            Function::Exp => Growth::Tiny,
            Function::Sinh => Growth::Huge(positive),
            Function::Cosh => Growth::Huge(true),
            Function::Tanh => Growth::Powers(Series::constant(sign)),
            Function::Atan => {
                let quarter: Expr = Node::Constant(Constant::Pi).into();
                let limit = sign.times(&quarter.over(&Expr::integer(2)));
                let limit = Series::constant(self.simple(&limit));
                let Some(series) = series else {
                    return Some(Growth::Powers(limit));
                };
                let inverse = self.raise(series, &-RBig::ONE)?;
                let coefficients = [zero(), Expr::integer(-1), zero(), Expr::ratio(1, 3), zero()];
                Growth::Powers(self.add(&limit, &self.compose(&coefficients, &inverse)?))
            }
            Function::Log if positive => self.logarithm(series?)?,
            Function::Abs => Growth::Huge(true),
            Function::Sin | Function::Cos => Growth::Powers(Series::constant(inner.call(function))),
            _ => return None,
        })
    }

    /// log of a growing series: its slow part, log v, is kept as a coefficient.
    fn logarithm(&self, series: &Series) -> Option<Growth> {
        let (power, lead, rest) = self.split(series)?;
        let slow = Expr::number(power).times(&Expr::variable(&self.variable).call(Function::Log));
        let mut sum = Series::constant(self.simple(&slow.plus(&lead.call(Function::Log))));
        if !rest.is_exact_zero() {
            let coefficients = [
                zero(),
                Expr::integer(1),
                Expr::ratio(-1, 2),
                Expr::ratio(1, 3),
                Expr::ratio(-1, 4),
            ];
            sum = self.add(&sum, &self.compose(&coefficients, &rest)?);
        }
        Some(Growth::Powers(sum))
    }
}

/// Where a term goes.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Limit {
    /// To a value free of what grows.
    Value(Expr),
    /// To +∞ or −∞ (positive or not).
    Infinite(bool),
    /// That depends on the sign of a value.
    Undecided(Expr),
    /// It is not known.
    Unknown,
}

/// The guessed limit of a term as `variable` grows.
pub(crate) fn limit(family: &Family, term: &Expr, variable: &Symbol, asker: Asker<'_>) -> Limit {
    let expander = Expander::new(family, variable, asker);
    let growth = expander.expand(term, limits::EXPANSION_DEPTH);
    let found = match growth {
        Some(Growth::Tiny) => Some(Limit::Value(zero())),
        Some(Growth::Huge(positive)) => Some(Limit::Infinite(positive)),
        Some(Growth::Powers(series)) => leading(&expander, &series),
        None => None,
    };
    let unknown = expander.unknown.borrow().clone();
    match (found, unknown) {
        (Some(found), _) => found,
        (None, Some(value)) => Limit::Undecided(value),
        (None, None) => Limit::Unknown,
    }
}

fn leading(expander: &Expander<'_>, series: &Series) -> Option<Limit> {
    let Some((power, lead)) = series.terms.first() else {
        let vanishes = series.cut.as_ref().is_none_or(|cut| *cut < RBig::ZERO);
        return vanishes.then(|| Limit::Value(zero()));
    };
    if power.is_negative() {
        return Some(Limit::Value(zero()));
    }
    if power.is_zero() && !lead.mentions(&expander.variable) {
        return Some(Limit::Value(lead.clone()));
    }
    if lead.mentions(&expander.variable) {
        return None;
    }
    match expander.sign(lead)? {
        Ordering::Equal => None,
        ordering => Some(Limit::Infinite(ordering == Ordering::Greater)),
    }
}

/// The leading term c·v^p of a term that tends to 0 like a power; p < 0. Less than every power
/// is `None` as its exponent.
pub(crate) fn decay(
    family: &Family,
    term: &Expr,
    variable: &Symbol,
    asker: Asker<'_>,
) -> Option<(Expr, Option<RBig>)> {
    let expander = Expander::new(family, variable, asker);
    match expander.expand(term, limits::EXPANSION_DEPTH)? {
        Growth::Tiny => Some((Expr::integer(1), None)),
        Growth::Huge(_) => None,
        Growth::Powers(series) => {
            let (power, lead) = series.terms.first()?.clone();
            power.is_negative().then_some((lead, Some(power)))
        }
    }
}
