//! Signs of polynomials: the polynomial core of the search.

use super::eliminate;
use super::linear;
use super::sample;
use super::work::Work;
use crate::expr::{Expr, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use crate::recheck::{Poly, Proof, Sign, Signed, Step, Term};
use dashu::rational::RBig;

/// How deep sub-goals are nested.
pub(super) const DEPTH: usize = 4;

/// Derives the sign of a polynomial; on success the work knows it.
pub(super) fn establish(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    if work.knows(target, sign) {
        return true;
    }
    if depth == 0 || !fuel.take(4) {
        return false;
    }
    match sign {
        Sign::Zero => {
            target.as_constant().is_none()
                && establish(work, target, Sign::NonNegative, depth, fuel)
                && establish(work, &target.negative(), Sign::NonNegative, depth, fuel)
        }
        Sign::NonZero => {
            establish(work, target, Sign::Positive, depth, fuel)
                || establish(work, &target.negative(), Sign::Positive, depth, fuel)
        }
        Sign::NonNegative | Sign::Positive => positive(work, target, sign, depth, fuel),
    }
}

fn positive(work: &mut Work, target: &Poly, sign: Sign, depth: usize, fuel: &mut Fuel<'_>) -> bool {
    if target.as_constant().is_some() || !work.allows(target, sign) {
        return false;
    }
    if let Some(done) = by_monomial(work, target, sign, depth, fuel) {
        return done;
    }
    linear::refute(work, target, sign, 1, fuel)
        || eliminate::by_bound(work, target, sign, (depth, true), fuel)
        || eliminate::by_root_factor(work, target, sign, depth, fuel)
        || by_roots(work, target, sign)
        || by_discriminant(work, target, sign, depth, fuel)
        || by_squares(work, target, sign)
        || eliminate::by_double_zero(work, target, sign, depth, fuel)
        || eliminate::by_bound(work, target, sign, (depth, false), fuel)
        || by_radical(work, target, sign, depth, fuel)
        || by_scaling(work, target, sign)
        || by_whole(work, target, sign, depth, fuel)
        || by_factor(work, target, sign, depth, fuel)
        || linear::refute(work, target, sign, 2, fuel)
        || eliminate::by_circle(work, target, sign, depth, fuel)
        || eliminate::by_coefficients(work, target, sign, depth, fuel)
        || linear::refute(work, target, sign, 3, fuel)
        || radical_contradiction(work, target, sign, depth, fuel)
}

/// Splits a monomial factor of known sign off.
fn by_monomial(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> Option<bool> {
    let (content, monomial, rest) = target.split();
    if monomial.factors().is_empty() {
        return None;
    }
    let factor = Poly::monomial(monomial).scaled(&content);
    let own = work.context.sign_of(&factor);
    let strict = sign == Sign::Positive;
    if strict && !own.differs {
        return None;
    }
    let part = if own.at_least {
        rest
    } else if own.at_most {
        rest.negative()
    } else {
        return None;
    };
    if establish(work, &part, sign, depth, fuel) {
        return Some(work.knows(target, sign));
    }
    // The factor may be 0 where the rest is negative.
    own.differs.then_some(false)
}

/// An integer above −1 is at least 0.
fn by_whole(work: &mut Work, target: &Poly, sign: Sign, depth: usize, fuel: &mut Fuel<'_>) -> bool {
    let (content, primitive) = target.primitive();
    let whole = if content.is_negative() {
        primitive.negative()
    } else {
        primitive
    };
    if sign != Sign::NonNegative || depth <= 1 || !work.context.is_integer(&whole.to_expr()) {
        return false;
    }
    let above = whole.plus(&Poly::constant(RBig::ONE));
    if !establish(work, &above, Sign::Positive, depth - 1, fuel) {
        return false;
    }
    place(work, &above, Sign::Positive).is_some_and(|place| work.take(Step::Whole(place)))
        && work.knows(target, sign)
}

/// Adds A² ≥ B² for facts A ≥ B with roots inside, A and B ≥ 0.
pub(super) fn square_facts(work: &mut Work) {
    for own in 0..work.len() {
        let (poly, sign) = work.context.facts()[own].clone();
        let roots = poly
            .atoms()
            .iter()
            .any(|atom| matches!(atom.node(), Node::Root(..)));
        if !roots || poly.count() > 4 || !matches!(sign, Sign::NonNegative | Sign::Positive) {
            continue;
        }
        // A + B, for the fact A − B.
        let sum = poly.terms().fold(Poly::zero(), |sum, (monomial, value)| {
            let size = if value.is_negative() {
                -value
            } else {
                value.clone()
            };
            sum.plus(&Poly::monomial(monomial.clone()).scaled(&size))
        });
        if sum == poly {
            continue;
        }
        for known in [Sign::Positive, Sign::NonNegative] {
            if work.knows(&sum, known)
                && let Some(other) = place(work, &sum, known)
            {
                work.take(Step::Combine(vec![fact_term(vec![own, other])], Vec::new()));
                break;
            }
        }
    }
}

/// One atom: counts roots over its range.
fn by_roots(work: &mut Work, target: &Poly, sign: Sign) -> bool {
    let atoms = target.atoms();
    if atoms.len() != 1 {
        return false;
    }
    let Some(atom) = atoms.into_iter().next() else {
        return false;
    };
    let range = work.context.range_of_atom(&atom);
    work.take(Step::Roots {
        value: target.to_expr(),
        atom,
        low: range.low,
        high: range.high,
        sign,
    })
}

/// a v² + b v + c with a > 0: 4 a p = (2 a v + b)² + (4 a c − b²).
fn by_discriminant(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    for atom in target.atoms() {
        let coefficients = target.coefficients_in(&atom);
        let [c, b, a] = coefficients.as_slice() else {
            continue;
        };
        if depth <= 1 {
            return false;
        }
        let four = RBig::from(4);
        let rest = work
            .context
            .reduced(&a.times(c).scaled(&four).minus(&b.times(b)));
        let trial = &mut work.clone();
        if !establish(trial, a, Sign::Positive, 2.min(depth - 1), fuel) {
            continue;
        }
        let fine = (rest.is_zero() && sign == Sign::NonNegative)
            || establish(trial, &rest, sign, depth - 1, fuel);
        if !fine {
            continue;
        }
        let square = a
            .scaled(&RBig::from(2))
            .times(&Poly::atom(atom.clone()))
            .plus(b);
        let mut terms = vec![square_term(&square)];
        if !rest.is_zero() {
            let Some(place) = place(trial, &rest, sign) else {
                continue;
            };
            terms.push(fact_term(vec![place]));
        }
        let done = trial.take(Step::Combine(terms, Vec::new()))
            && (trial.knows(target, sign)
                || trial.take(Step::Divide(trial.len() - 1, a.to_expr())))
            && trial.knows(target, sign);
        if done {
            *work = trial.clone();
            return true;
        }
    }
    false
}

fn square_term(square: &Poly) -> Term {
    Term {
        coefficient: RBig::ONE,
        facts: Vec::new(),
        squares: vec![square.to_expr()],
    }
}

pub(super) fn fact_term(facts: Vec<usize>) -> Term {
    Term {
        coefficient: RBig::ONE,
        facts,
        squares: Vec::new(),
    }
}

/// The place of a fact that states this sign; what is known by inspection becomes a fact first.
pub(super) fn place(work: &mut Work, poly: &Poly, sign: Sign) -> Option<usize> {
    let found = work
        .context
        .facts()
        .iter()
        .position(|(own, known)| own == poly && (*known == sign || *known == Sign::Positive));
    if found.is_some() {
        return found;
    }
    work.take(Step::Known(poly.to_expr(), sign))
        .then(|| work.len() - 1)
}

/// A − B with A ≥ 0 where A² ≥ B² is known already.
fn by_squares(work: &mut Work, target: &Poly, sign: Sign) -> bool {
    if !(2..=3).contains(&target.count()) {
        return false;
    }
    let (mut larger, mut smaller) = (Poly::zero(), Poly::zero());
    for (monomial, value) in target.terms() {
        let term = Poly::monomial(monomial.clone()).scaled(value);
        if work.context.sign_of(&term).at_least {
            larger = larger.plus(&term);
        } else {
            smaller = smaller.minus(&term);
        }
    }
    let gap = larger.times(&larger).minus(&smaller.times(&smaller));
    let gap = work.context.reduced(&gap);
    work.knows(&gap, sign)
        && work.take(Step::Compare {
            larger: larger.to_expr(),
            smaller: smaller.to_expr(),
            power: 2,
        })
        && work.knows(target, sign)
}

/// How many terms a sum may have that is squared: squares of long ones cost more than any fuel
/// tells.
const SQUARED: usize = 24;

/// P + Q s with s = √A: compares Q s with |P|, or P with |Q s|, by their squares.
fn by_radical(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    if depth <= 1 || target.terms().nth(SQUARED).is_some() {
        return false;
    }
    for atom in target.atoms() {
        if !matches!(atom.node(), Node::Root(2, _)) {
            continue;
        }
        let coefficients = target.coefficients_in(&atom);
        let [p, q] = coefficients.as_slice() else {
            continue;
        };
        let part = q.times(&Poly::atom(atom.clone()));
        for (larger, smaller, base) in [(&part, p, q), (p, &part, p)] {
            let trial = &mut work.clone();
            let gap = trial
                .context
                .reduced(&larger.times(larger).minus(&smaller.times(smaller)));
            if !trial.allows(&gap, sign)
                || !establish(trial, base, Sign::NonNegative, 2.min(depth - 1), fuel)
            {
                continue;
            }
            if (gap.is_zero() && sign == Sign::NonNegative)
                || establish(trial, &gap, sign, depth - 1, fuel)
            {
                let done = trial.take(Step::Compare {
                    larger: larger.to_expr(),
                    smaller: smaller.to_expr(),
                    power: 2,
                }) && trial.knows(target, sign);
                if done {
                    *work = trial.clone();
                    return true;
                }
            }
        }
    }
    false
}

/// The same under the opposite of the goal: then Q ≥ 0 gives P ≤ 0, which may be what the
/// comparison of squares needs.
fn radical_contradiction(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    if depth <= 2 || target.terms().nth(SQUARED).is_some() {
        return false;
    }
    for atom in target.atoms() {
        if !matches!(atom.node(), Node::Root(2, _)) {
            continue;
        }
        let coefficients = target.coefficients_in(&atom);
        let [p, q] = coefficients.as_slice() else {
            continue;
        };
        let part = q.times(&Poly::atom(atom.clone()));
        let mut other = work.opened(target, sign);
        let base = other.len() - 1;
        let own = other.context.sign_of(q);
        let (larger, smaller) = if own.at_least {
            let Some(known) = place(&mut other, &part, Sign::NonNegative) else {
                continue;
            };
            let terms = vec![fact_term(vec![base]), fact_term(vec![known])];
            if !other.take(Step::Combine(terms, Vec::new())) {
                continue;
            }
            (&part, p)
        } else if other.context.sign_of(p).at_least {
            (p, &part)
        } else {
            continue;
        };
        let gap = other
            .context
            .reduced(&larger.times(larger).minus(&smaller.times(smaller)));
        if !establish(&mut other, &gap, sign, depth - 2, fuel) {
            continue;
        }
        let step = Step::Compare {
            larger: larger.to_expr(),
            smaller: smaller.to_expr(),
            power: 2,
        };
        if other.take(step) && other.context.is_absurd() {
            return work.take(Step::Refute(target.to_expr(), sign, other.steps));
        }
    }
    false
}

/// Atoms x, n (and roots of n) with all terms on one line of exponents: x = t n^p makes it a
/// polynomial in t.
fn by_scaling(work: &mut Work, target: &Poly, sign: Sign) -> bool {
    let atoms: Vec<Expr> = target.atoms().into_iter().collect();
    if !(2..=4).contains(&atoms.len()) {
        return false;
    }
    for n in &atoms {
        let positive = work.context.sign_of(&Poly::atom(n.clone()));
        if !positive.has(Sign::Positive) {
            continue;
        }
        for x in atoms.iter().filter(|x| *x != n) {
            // Every other atom is a power of n.
            let rest = atoms.iter().filter(|atom| *atom != x);
            let Some(powers) = rest
                .map(|atom| Some((atom.clone(), power_of(atom, n)?)))
                .collect::<Option<Vec<_>>>()
            else {
                continue;
            };
            if let Some(step) = scaled(work, target, (x, n), &powers, sign) {
                let trial = &mut work.clone();
                if trial.take(step) && trial.knows(target, sign) {
                    *work = trial.clone();
                    return true;
                }
            }
        }
    }
    false
}

/// p with atom = n^p.
fn power_of(atom: &Expr, n: &Expr) -> Option<RBig> {
    match atom.node() {
        _ if atom == n => Some(RBig::ONE),
        Node::Root(k, inner) if inner == n => Some(RBig::ONE / RBig::from(*k)),
        _ => None,
    }
}

fn scaled(
    work: &Work,
    target: &Poly,
    (x, n): (&Expr, &Expr),
    powers: &[(Expr, RBig)],
    sign: Sign,
) -> Option<Step> {
    let terms: Vec<(i64, RBig, RBig)> = target
        .terms()
        .map(|(monomial, value)| {
            let weight = powers.iter().fold(RBig::ZERO, |sum, (atom, power)| {
                sum + RBig::from(monomial.exponent(atom)) * power
            });
            (i64::from(monomial.exponent(x)), weight, value.clone())
        })
        .collect();
    let first = terms.first()?;
    let other = terms.iter().find(|term| term.0 != first.0)?;
    // x^i n^j with j = c + s i: t = x n^s.
    let slope = (&other.1 - &first.1) / RBig::from(other.0 - first.0);
    let on_line = terms
        .iter()
        .all(|term| &term.1 - &first.1 == &slope * RBig::from(term.0 - first.0));
    if !on_line {
        return None;
    }
    let name = Symbol::new("t");
    let t = Expr::variable(&name);
    let poly = Expr::sum_of(
        terms
            .iter()
            .map(|(i, _, value)| Expr::number(value.clone()).times(&t.power(&Expr::integer(*i))))
            .collect(),
    );
    let nonnegative = work.context.sign_of(&Poly::atom(x.clone())).at_least;
    let low = nonnegative.then_some((RBig::ZERO, false));
    let relation = if sign == Sign::Positive {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    let zero = Expr::integer(0);
    let problem = Problem {
        variables: vec![Variable {
            name: name.clone(),
            kind: Kind::Real,
        }],
        hypotheses: nonnegative
            .then(|| Hypothesis {
                condition: crate::expr::Condition::Holds(
                    t.clone(),
                    Relation::GreaterEqual,
                    zero.clone(),
                ),
                origin: Origin::Domain,
            })
            .into_iter()
            .collect(),
        goal: Goal::Holds(poly.clone(), relation, zero),
    };
    let proof = Proof::Direct(vec![Step::Roots {
        value: poly,
        atom: t,
        low,
        high: None,
        sign,
    }]);
    let value = x.times(&n.power(&Expr::number(slope)));
    Some(Step::Instance(
        Box::new(problem),
        Box::new(proof),
        vec![(name, value)],
    ))
}

/// The coefficient of a function divides the target: (n + 1) f − (n + 1) g.
fn by_coefficient(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    for atom in target.atoms() {
        if atom.as_variable().is_some() {
            continue;
        }
        for divisor in target.coefficients_in(&atom) {
            if divisor.count() < 2 || divisor.count() > 4 || divisor.as_constant().is_some() {
                continue;
            }
            let Some(quotient) = target.divided(&divisor) else {
                continue;
            };
            let own = work.context.sign_of(&divisor);
            if !own.has(Sign::Positive) || quotient.as_constant().is_some() {
                continue;
            }
            if !establish(work, &quotient, sign, depth - 1, fuel) {
                return false;
            }
            let places = [
                place(work, &divisor, Sign::Positive),
                place(work, &quotient, sign),
            ];
            let [Some(first), Some(second)] = places else {
                return false;
            };
            let step = Step::Combine(vec![fact_term(vec![first, second])], Vec::new());
            return work.take(step) && work.knows(target, sign);
        }
    }
    false
}

/// A fact divides the target: the sign of the quotient decides.
fn by_factor(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    depth: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    if depth <= 1 {
        return false;
    }
    if by_coefficient(work, target, sign, depth, fuel) {
        return true;
    }
    let facts: Vec<(usize, Poly, Sign)> = work
        .context
        .facts()
        .iter()
        .enumerate()
        .filter(|(_, (poly, own))| {
            matches!(own, Sign::NonNegative | Sign::Positive) && poly.degree() > 0
        })
        .map(|(place, (poly, own))| (place, poly.clone(), *own))
        .take(40)
        .collect();
    for (place_of, poly, own) in facts {
        if sign == Sign::Positive && own != Sign::Positive {
            continue;
        }
        if !fuel.take(1) {
            return false;
        }
        let Some(quotient) = target.divided(&poly) else {
            continue;
        };
        if quotient.as_constant().is_some() {
            continue;
        }
        let trial = &mut work.clone();
        if !establish(trial, &quotient, sign, depth - 1, fuel) {
            continue;
        }
        let Some(other) = place(trial, &quotient, sign) else {
            continue;
        };
        let step = Step::Combine(vec![fact_term(vec![place_of, other])], Vec::new());
        if trial.take(step) && trial.knows(target, sign) {
            *work = trial.clone();
            return true;
        }
    }
    false
}

impl Work {
    /// Whether the sampled points allow the polynomial to have that sign.
    pub(super) fn allows(&self, target: &Poly, sign: Sign) -> bool {
        if self.points.is_empty() {
            return true;
        }
        let terms: Vec<Expr> = target
            .terms()
            .map(|(monomial, value)| Poly::monomial(monomial.clone()).scaled(value).to_expr())
            .collect();
        self.points.iter().all(|at| {
            let values: Vec<f64> = terms.iter().map(|term| sample::value(term, at)).collect();
            let sum: f64 = values.iter().sum();
            let size: f64 = values.iter().map(|value| value.abs()).sum();
            if !sum.is_finite() {
                return true;
            }
            match sign {
                Sign::Positive | Sign::NonNegative => sum >= -1e-9 * size,
                Sign::NonZero | Sign::Zero => true,
            }
        })
    }

    /// The same situation with the opposite of a sign supposed; without sampled points.
    pub(super) fn opened(&self, target: &Poly, sign: Sign) -> Self {
        let mut context = self.context.clone();
        let opposite = if sign == Sign::Positive {
            Sign::NonNegative
        } else {
            Sign::Positive
        };
        context.record(&target.negative(), opposite);
        Self::new(context)
    }
}
