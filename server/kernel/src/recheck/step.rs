//! The derivations inside one situation: each adds facts that follow from those already there.

use super::judge::{DEPTH, check};
use super::proof::{Proof, Sign, Step, Term};
use crate::algebra::{Context, End, Poly, Signed, bracket, roots};
use crate::expr::{Condition, Expr, Symbol};
use crate::goal::{Goal, Kind, Problem};

/// The largest number of factors of one summand, so that no product outgrows the memory.
const FACTORS: usize = 8;
/// The largest power by which values are compared, for the same reason.
const POWER: u32 = 12;

impl Context {
    /// Takes one step; `None` if it does not follow, and then nothing has changed. The places of
    /// the new facts are the last.
    #[must_use]
    pub fn step(&mut self, step: &Step) -> Option<()> {
        match step {
            Step::Known(value, sign) => {
                let poly = self.signed_numerator(&self.normal(value)?);
                self.sign_of(&poly).has(*sign).then_some(())?;
                self.record(&poly, *sign);
            }
            Step::Combine(terms, multiples) => {
                let (poly, sign) = self.combination(terms, multiples)?;
                self.record(&poly, sign);
            }
            Step::Divide(place, factor) => self.divide(*place, factor)?,
            Step::Compare {
                larger,
                smaller,
                power,
            } => self.compare(larger, smaller, *power)?,
            Step::Whole(place) => self.strengthen(*place)?,
            Step::Lemma(lemma, arguments) => {
                let (given, claims) = lemma.row()?.at(arguments)?;
                let met = given.iter().all(|condition| match condition {
                    Condition::Holds(left, relation, right) => {
                        let (gap, sign) = Sign::of_relation(left, *relation, right);
                        self.sign_of_expr(&gap).has(sign)
                    }
                    Condition::Integer(value) => self.is_integer(value),
                    _ => false,
                });
                met.then_some(())?;
                self.record_all(&claims)?;
            }
            Step::Roots {
                value,
                atom,
                low,
                high,
                sign,
            } => self.roots(value, atom, (low.as_ref(), high.as_ref()), *sign)?,
            Step::Bracket(value, low, high) => {
                let range = bracket::enclose(value)?;
                let inside = range.low.is_some_and(|(own, _)| *low < own)
                    && range.high.is_some_and(|(own, _)| own < *high);
                inside.then_some(())?;
                self.record_all(&[
                    (value.minus(&Expr::number(low.clone())), Sign::Positive),
                    (Expr::number(high.clone()).minus(value), Sign::Positive),
                ])?;
            }
            Step::Instance(problem, proof, values) => self.instance(problem, proof, values)?,
            Step::Refute(value, sign, steps) => self.refute(value, *sign, steps)?,
            Step::Telescope {
                sum,
                primitive,
                relation,
                steps,
            } => self.telescope(sum, primitive, *relation, steps)?,
            Step::Exhaust {
                sum,
                primitive,
                relation,
                steps,
                vanishing,
            } => self.exhaust(sum, primitive, *relation, (steps, vanishing))?,
            Step::Termwise {
                sum,
                other,
                relation,
                steps,
            } => self.termwise(sum, other, *relation, steps)?,
            Step::Peel(sum) => self.peel(sum)?,
            Step::Split(sum, at) => self.split(sum, at)?,
            Step::Squeeze {
                sum,
                lower,
                upper,
                steps,
                vanishing,
            } => self.squeeze(sum, (lower, upper), (steps, vanishing))?,
            Step::Geometric(sum, ratio) => self.geometric(sum, ratio)?,
        }
        Some(())
    }

    /// Takes all steps.
    pub(super) fn steps(&mut self, steps: &[Step]) -> Option<()> {
        steps.iter().try_for_each(|step| self.step(step))
    }

    fn poly(&self, expr: &Expr) -> Option<Poly> {
        self.normal(expr)?.as_poly().cloned()
    }

    /// Σ c · Π facts · Π squares + Σ factor · equation. Strict iff a summand has only strict
    /// factors: no squares, and every fact > 0 (the empty product is 1). An equation iff every
    /// summand has a fact = 0.
    fn combination(&self, terms: &[Term], multiples: &[(usize, Expr)]) -> Option<(Poly, Sign)> {
        let mut sum = Poly::zero();
        let (mut strict, mut only_equations) = (false, true);
        for term in terms {
            let fits =
                term.coefficient.is_positive() && term.facts.len() + term.squares.len() <= FACTORS;
            fits.then_some(())?;
            let mut product = Poly::constant(term.coefficient.clone());
            let (mut positive, mut zero) = (term.squares.is_empty(), false);
            for place in &term.facts {
                let (poly, sign) = self.facts().get(*place)?;
                (*sign != Sign::NonZero).then_some(())?;
                positive &= *sign == Sign::Positive;
                zero |= *sign == Sign::Zero;
                product = product.times(poly);
            }
            for square in &term.squares {
                product = product.times(&self.poly(square)?.power(2));
            }
            strict |= positive;
            only_equations &= zero;
            sum = sum.plus(&product);
        }
        for (place, factor) in multiples {
            let (poly, sign) = self.facts().get(*place)?;
            (*sign == Sign::Zero).then_some(())?;
            sum = sum.plus(&poly.times(&self.poly(factor)?));
        }
        let sign = match (strict, only_equations) {
            (true, _) => Sign::Positive,
            (false, true) => Sign::Zero,
            (false, false) => Sign::NonNegative,
        };
        Some((sum, sign))
    }

    /// From divisor · quotient R 0 the sign of the quotient. A product ≠ 0 has both factors ≠ 0,
    /// so a factor ≥ 0 of a product > 0 is > 0, and the other one too.
    fn divide(&mut self, place: usize, factor: &Expr) -> Option<()> {
        let (poly, sign) = self.facts().get(place)?.clone();
        let divisor = self.poly(factor)?;
        let own = self.sign_of(&divisor);
        let quotient = poly.divided(&divisor)?;
        let nonzero = matches!(sign, Sign::NonZero | Sign::Positive);
        (nonzero || own.differs).then_some(())?;
        if sign == Sign::NonZero || sign == Sign::Positive && own.at_least {
            self.record(&divisor, sign);
        }
        if matches!(sign, Sign::Zero | Sign::NonZero) || own.at_least {
            self.record(&quotient, sign);
        } else {
            own.at_most.then_some(())?;
            self.record(&quotient.negative(), sign);
        }
        Some(())
    }

    /// a ≥ 0 and a^k ≥ b^k, k even, give a ≥ |b|; for odd k a^k ≥ b^k gives a ≥ b.
    fn compare(&mut self, larger: &Expr, smaller: &Expr, power: u32) -> Option<()> {
        (2..=POWER).contains(&power).then_some(())?;
        let (larger, smaller) = (self.poly(larger)?, self.poly(smaller)?);
        let even = power.is_multiple_of(2);
        (!even || self.sign_of(&larger).at_least).then_some(())?;
        let own = self.sign_of(&self.reduced(&larger.power(power).minus(&smaller.power(power))));
        own.at_least.then_some(())?;
        let sign = if own.differs {
            Sign::Positive
        } else {
            Sign::NonNegative
        };
        self.record(&larger.minus(&smaller), sign);
        if even {
            self.record(&larger.plus(&smaller), sign);
        }
        Some(())
    }

    /// p > 0 with integer coefficients and integer atoms gives p − 1 ≥ 0.
    fn strengthen(&mut self, place: usize) -> Option<()> {
        let (poly, sign) = self.facts().get(place)?.clone();
        let whole = poly.integral();
        let fits = (sign == Sign::Positive || self.sign_of(&poly).has(Sign::Positive))
            && self.has_whole_atoms(&whole);
        fits.then_some(())?;
        self.record(&whole.minus(&Poly::one()), Sign::NonNegative);
        Some(())
    }

    /// The sign of a polynomial in one atom over a range in which the atom is known to lie.
    fn roots(
        &mut self,
        value: &Expr,
        atom: &Expr,
        (low, high): (Option<&End>, Option<&End>),
        sign: Sign,
    ) -> Option<()> {
        let poly = self.signed_numerator(&self.normal(value)?);
        let above = |(end, open): &End, gap: &dyn Fn(Poly, Poly) -> Poly| {
            let gap = gap(Poly::atom(atom.clone()), Poly::constant(end.clone()));
            let own = self.sign_of(&gap);
            own.at_least && (own.differs || !open)
        };
        let strict = sign == Sign::Positive;
        let fits = (strict || sign == Sign::NonNegative)
            && low.is_none_or(|end| above(end, &|atom, end| atom.minus(&end)))
            && high.is_none_or(|end| above(end, &|atom, end| end.minus(&atom)))
            && roots::is_positive(&poly.univariate(atom)?, low, high, strict);
        fits.then_some(())?;
        self.record(&poly, sign);
        Some(())
    }

    /// A statement proved on its own holds for all values that meet its hypotheses.
    fn instance(
        &mut self,
        problem: &Problem,
        proof: &Proof,
        values: &[(Symbol, Expr)],
    ) -> Option<()> {
        let fits = problem.variables.iter().all(|variable| {
            values
                .iter()
                .find(|(name, _)| *name == variable.name)
                .is_some_and(|(_, own)| {
                    self.is_defined(own) && (variable.kind == Kind::Real || self.is_integer(own))
                })
        });
        fits.then_some(())?;
        let bound = |name: &Symbol| problem.variable(name).is_some();
        let mut carried = |expr: &Expr| {
            expr.variables().iter().all(bound).then_some(())?;
            expr.instantiated(values)
        };
        let Goal::Holds(left, relation, right) = &problem.goal else {
            return None;
        };
        for hypothesis in &problem.hypotheses {
            let condition = hypothesis.condition.try_map(&mut carried)?;
            (self.judge(&condition) == Some(true)).then_some(())?;
        }
        check(problem, proof, DEPTH).then_some(())?;
        self.record_all(&[Sign::of_relation(
            &carried(left)?,
            *relation,
            &carried(right)?,
        )])
    }

    /// A sign whose opposite, together with what is known, contradicts itself by the steps.
    fn refute(&mut self, value: &Expr, sign: Sign, steps: &[Step]) -> Option<()> {
        let poly = self.signed_numerator(&self.normal(value)?);
        let mut other = self.clone();
        match sign {
            Sign::NonNegative => other.record(&poly.negative(), Sign::Positive),
            Sign::Positive => other.record(&poly.negative(), Sign::NonNegative),
            Sign::NonZero => other.record(&poly, Sign::Zero),
            Sign::Zero => return None,
        };
        other.steps(steps)?;
        other.is_absurd().then_some(())?;
        self.record(&poly, sign);
        Some(())
    }
}
