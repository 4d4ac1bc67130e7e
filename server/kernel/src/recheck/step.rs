//! The derivations inside one situation: each adds facts that follow from those already there.

use super::facts::Context;
use super::proof::{Sign, Step, Term};
use crate::algebra::{Poly, Signed, bracket, roots};
use crate::expr::{Expr, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Problem};
use dashu::rational::RBig;

/// The largest number of factors of one summand, so that no product outgrows the memory.
const FACTORS: usize = 8;

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
                let instance = super::lemma::instance(*lemma, arguments)?;
                let met = instance
                    .needs
                    .iter()
                    .all(|(value, sign)| self.sign_of_expr(value).has(*sign))
                    && instance.integers.iter().all(|value| self.is_integer(value));
                met.then_some(())?;
                self.record_all(&instance.gives)?;
            }
            Step::Roots {
                value,
                atom,
                low,
                high,
                sign,
            } => {
                let poly = self.signed_numerator(&self.normal(value)?);
                let dense = poly.univariate(atom)?;
                let beyond = |end: &Option<(RBig, bool)>, below: bool| {
                    end.as_ref().is_none_or(|(end, open)| {
                        let gap = Poly::atom(atom.clone()).minus(&Poly::constant(end.clone()));
                        let gap = if below { gap } else { gap.negative() };
                        self.sign_of(&gap).has(if *open {
                            Sign::Positive
                        } else {
                            Sign::NonNegative
                        })
                    })
                };
                let strict = *sign == Sign::Positive;
                let fine = (strict || *sign == Sign::NonNegative)
                    && beyond(low, true)
                    && beyond(high, false)
                    && roots::is_positive(&dense, low.as_ref(), high.as_ref(), strict);
                fine.then_some(())?;
                self.record(&poly, *sign);
            }
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
            Step::Peel(sum) => self.peel(sum)?,
            Step::Geometric(sum, ratio) => self.geometric(sum, ratio)?,
        }
        Some(())
    }

    /// Takes all steps.
    pub(super) fn steps(&mut self, steps: &[Step]) -> Option<()> {
        steps.iter().try_for_each(|step| self.step(step))
    }

    /// Σ c · Π facts · Π squares + Σ factor · equation. Strict iff a summand has only strict
    /// factors: no squares, and every fact > 0 (the empty product is 1).
    fn combination(&self, terms: &[Term], multiples: &[(usize, Expr)]) -> Option<(Poly, Sign)> {
        let mut sum = Poly::zero();
        let (mut strict, mut only_equations) = (false, true);
        for term in terms {
            term.coefficient.is_positive().then_some(())?;
            let mut product = Poly::constant(term.coefficient.clone());
            let mut positive = true;
            let mut zero = false;
            (term.facts.len() + term.squares.len() <= FACTORS).then_some(())?;
            for place in &term.facts {
                let (poly, sign) = self.facts.get(*place)?;
                (*sign != Sign::NonZero).then_some(())?;
                positive &= *sign == Sign::Positive;
                zero |= *sign == Sign::Zero;
                product = product.times(poly);
            }
            for square in &term.squares {
                let form = self.normal(square)?;
                product = product.times(form.as_poly()?).times(form.as_poly()?);
                positive = false;
            }
            strict |= positive;
            only_equations &= zero;
            sum = sum.plus(&product);
        }
        for (place, factor) in multiples {
            let (poly, sign) = self.facts.get(*place)?;
            (*sign == Sign::Zero).then_some(())?;
            let factor = self.normal(factor)?;
            sum = sum.plus(&poly.times(factor.as_poly()?));
        }
        let sign = match (strict, only_equations) {
            (true, _) => Sign::Positive,
            (false, true) => Sign::Zero,
            (false, false) => Sign::NonNegative,
        };
        Some((sum, sign))
    }

    fn divide(&mut self, place: usize, factor: &Expr) -> Option<()> {
        let (poly, sign) = self.facts.get(place)?.clone();
        let form = self.normal(factor)?;
        let divisor = form.as_poly()?;
        let own = self.sign_of(divisor);
        let quotient = poly.divided(divisor)?;
        match sign {
            Sign::NonZero => {
                self.record(divisor, sign);
                self.record(&quotient, sign);
            }
            Sign::Zero => {
                own.differs.then_some(())?;
                self.record(&quotient, sign);
            }
            // A product > 0 of which one factor is ≥ 0 has both factors > 0.
            Sign::Positive => {
                if own.at_least {
                    self.record(divisor, sign);
                    self.record(&quotient, sign);
                } else {
                    own.at_most.then_some(())?;
                    self.record(&quotient.negative(), sign);
                }
            }
            Sign::NonNegative => {
                own.differs.then_some(())?;
                if own.at_least {
                    self.record(&quotient, sign);
                } else {
                    own.at_most.then_some(())?;
                    self.record(&quotient.negative(), sign);
                }
            }
        }
        Some(())
    }

    fn compare(&mut self, larger: &Expr, smaller: &Expr, power: u32) -> Option<()> {
        (2..=12).contains(&power).then_some(())?;
        let (larger, smaller) = (
            self.normal(larger)?.as_poly()?.clone(),
            self.normal(smaller)?.as_poly()?.clone(),
        );
        let even = power.is_multiple_of(2);
        if even {
            self.sign_of(&larger).at_least.then_some(())?;
        }
        let gap = self.reduced(&larger.power(power).minus(&smaller.power(power)));
        let own = self.sign_of(&gap);
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
        let (poly, sign) = self.facts.get(place)?.clone();
        let strict = sign == Sign::Positive || self.sign_of(&poly).has(Sign::Positive);
        strict.then_some(())?;
        let (content, primitive) = poly.primitive();
        let whole = primitive
            .atoms()
            .iter()
            .all(|atom| self.is_whole_atom(atom));
        whole.then_some(())?;
        let turned = if content.is_negative() {
            primitive.negative()
        } else {
            primitive
        };
        self.record(&turned.minus(&Poly::one()), Sign::NonNegative);
        Some(())
    }

    fn is_whole_atom(&self, atom: &Expr) -> bool {
        self.is_integer(atom)
            || matches!(atom.node(), Node::Pow(base, exponent)
                if self.is_integer(base)
                    && self.is_integer(exponent)
                    && self.sign_of_expr(exponent).at_least)
    }

    /// A statement proved on its own holds for all values that meet its hypotheses.
    fn instance(
        &mut self,
        problem: &Problem,
        proof: &super::Proof,
        values: &[(Symbol, Expr)],
    ) -> Option<()> {
        let value = |name: &Symbol| values.iter().find(|(own, _)| own == name).map(|(_, v)| v);
        for variable in &problem.variables {
            let own = value(&variable.name)?;
            let fits =
                self.is_defined(own) && (variable.kind == Kind::Real || self.is_integer(own));
            fits.then_some(())?;
        }
        let bound = |name: &Symbol| problem.variable(name).is_some();
        let Goal::Holds(left, relation, right) = &problem.goal else {
            return None;
        };
        let carried = |expr: &Expr| -> Option<Expr> {
            expr.variables().iter().all(bound).then_some(())?;
            super::judge::instantiated(expr, values)
        };
        for hypothesis in &problem.hypotheses {
            let mut fits = true;
            let condition = hypothesis.condition.map(&mut |expr| {
                carried(expr).unwrap_or_else(|| {
                    fits = false;
                    expr.clone()
                })
            });
            (fits && self.judged(&condition) == Some(true)).then_some(())?;
        }
        super::judge::check(problem, proof, super::judge::DEPTH).then_some(())?;
        let (left, right) = (carried(left)?, carried(right)?);
        let gap = match relation {
            Relation::Less | Relation::LessEqual => right.minus(&left),
            _ => left.minus(&right),
        };
        let sign = match relation {
            Relation::Less | Relation::Greater => Sign::Positive,
            Relation::LessEqual | Relation::GreaterEqual => Sign::NonNegative,
            Relation::Equal => Sign::Zero,
            Relation::NotEqual => Sign::NonZero,
        };
        self.record_all(&[(gap, sign)])
    }

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

    /// G(k) − G(k + 1) R t(k) for all k in the range gives G(from) − G(to + 1) R Σ t(k). For a
    /// series with t ≥ 0 and G ≥ 0: it converges, with a sum ≤ G(from).
    fn telescope(
        &mut self,
        sum: &Expr,
        primitive: &Expr,
        relation: Relation,
        steps: &[Step],
    ) -> Option<()> {
        let Node::Sum {
            index,
            from,
            to,
            body,
        } = sum.node()
        else {
            return None;
        };
        (self.is_integer(from) && self.is_defined(from)).then_some(())?;
        let (mut inner, own) =
            super::series::inside(self, index, (from, to.as_ref()), &[body, primitive])?;
        inner.steps(steps)?;
        let next = own.plus(&Expr::integer(1));
        let at = |place: &Expr| primitive.substitute(index, place);
        let gap = at(&own).minus(&at(&next));
        let term = body.substitute(index, &own);
        let shown = inner.is_absurd() || inner.holds(&gap, relation, &term);
        shown.then_some(())?;
        if let Some(to) = to {
            let count = to.minus(from).plus(&Expr::integer(1));
            let fits =
                self.is_integer(to) && self.is_defined(to) && self.sign_of_expr(&count).at_least;
            fits.then_some(())?;
            let whole = at(from).minus(&at(&to.plus(&Expr::integer(1))));
            let gap = match relation {
                Relation::GreaterEqual | Relation::Equal => whole.minus(sum),
                Relation::LessEqual => sum.minus(&whole),
                _ => return None,
            };
            let sign = if relation == Relation::Equal {
                Sign::Zero
            } else {
                Sign::NonNegative
            };
            return self.record_all(&[(gap, sign)]);
        }
        let zero = Expr::integer(0);
        let fits = matches!(relation, Relation::GreaterEqual | Relation::Equal)
            && inner.holds(&term, Relation::GreaterEqual, &zero)
            && inner.holds(&at(&own), Relation::GreaterEqual, &zero);
        fits.then_some(())?;
        self.record_all(&[
            (at(from).minus(sum), Sign::NonNegative),
            (sum.clone(), Sign::NonNegative),
        ])?;
        self.convergent.push(sum.clone());
        Some(())
    }

    /// Σ from..to t(k) = t(from) + Σ from+1..to t(k) for from ≤ to.
    fn peel(&mut self, sum: &Expr) -> Option<()> {
        let Node::Sum {
            index,
            from,
            to: Some(to),
            body,
        } = sum.node()
        else {
            return None;
        };
        let fits = self.is_integer(from)
            && self.is_integer(to)
            && self.is_defined(from)
            && self.is_defined(to)
            && self.sign_of_expr(&to.minus(from)).at_least;
        fits.then_some(())?;
        let next = match from.as_number() {
            Some(value) => Expr::number(value + RBig::ONE),
            None => from.plus(&Expr::integer(1)),
        };
        let rest: Expr = Node::Sum {
            index: index.clone(),
            from: next,
            to: Some(to.clone()),
            body: body.clone(),
        }
        .into();
        let first = body.substitute(index, from);
        self.record_all(&[(sum.minus(&first).minus(&rest), Sign::Zero)])
    }

    /// (1 − q) Σ t(k) = t(from) − t(to + 1), and for a series with |q| < 1 the same without the
    /// last term.
    fn geometric(&mut self, sum: &Expr, ratio: &Expr) -> Option<()> {
        let Node::Sum {
            index,
            from,
            to,
            body,
        } = sum.node()
        else {
            return None;
        };
        let fits = self.is_integer(from)
            && self.is_defined(from)
            && super::series::is_geometric(self, index, from, body, ratio);
        fits.then_some(())?;
        let first = body.substitute(index, from);
        let total = Expr::integer(1).minus(ratio).times(sum);
        let value = if let Some(to) = to {
            let next = to.plus(&Expr::integer(1));
            let fits = self.is_integer(to)
                && self.is_defined(to)
                && self.sign_of_expr(&next.minus(from)).at_least;
            fits.then_some(())?;
            first.minus(&body.substitute(index, &next))
        } else {
            super::series::is_small(self, ratio).then_some(())?;
            first
        };
        self.record_all(&[(total.minus(&value), Sign::Zero)])?;
        if to.is_none() {
            self.convergent.push(sum.clone());
        }
        Some(())
    }
}
