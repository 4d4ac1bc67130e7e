//! Instances of known inequalities that two functions call for together.

use super::establish::establish;
use super::work::Work;
use crate::expr::{Constant, Expr, Function, Node};
use crate::fuel::Fuel;
use crate::recheck::{Lemma, Poly, Sign, Signed, Step};
use dashu::rational::RBig;

/// Pairs of angles of which half the sum or difference is looked for.
const ANGLES: usize = 6;
/// Factors split off from a power at most.
const SHIFTS: u32 = 3;
/// Bounds of two bases that are tried.
const BOUNDS: usize = 4;
/// Pairs of exponentials that are compared.
const EXPONENTS: usize = 6;

/// The instances for two functions.
pub(super) fn pair(work: &Work, left: &Expr, right: &Expr) -> Vec<Step> {
    match (left.node(), right.node()) {
        (Node::Call(f, u), Node::Call(g, v)) if f == g => calls(work, *f, u, v),
        (Node::Root(k, u), Node::Root(l, v)) if k == l => {
            let k = Expr::integer(i64::from(*k));
            [(u, v), (v, u)]
                .into_iter()
                .map(|(u, v)| {
                    Step::Lemma(Lemma::RootMonotone, vec![u.clone(), v.clone(), k.clone()])
                })
                .collect()
        }
        (Node::Call(Function::Log, u), _) => beside_logarithm(u, right),
        (_, Node::Call(Function::Log, u)) => beside_logarithm(u, left),
        (Node::Call(Function::Exp, u), Node::Pow(b, x))
        | (Node::Pow(b, x), Node::Call(Function::Exp, u))
            if u == x =>
        {
            let e = Expr::from(Node::Constant(Constant::E));
            [(&e, b), (b, &e)]
                .into_iter()
                .map(|(c, b)| {
                    let arguments = vec![c.clone(), b.clone(), x.clone()];
                    Step::Lemma(Lemma::PowerMonotone, arguments)
                })
                .collect()
        }
        (Node::Call(Function::Factorial, n), Node::Pow(u, m))
        | (Node::Pow(u, m), Node::Call(Function::Factorial, n))
            if n == m =>
        {
            let arguments = vec![u.clone(), n.clone()];
            vec![Step::Lemma(Lemma::FactorialExp, arguments)]
        }
        (Node::Pow(b, x), Node::Pow(c, y)) => powers(work, (b, x), (c, y)),
        _ => Vec::new(),
    }
}

/// Each lemma at both orders of two arguments.
fn both(names: &[Lemma], u: &Expr, v: &Expr) -> Vec<Step> {
    names
        .iter()
        .flat_map(|name| {
            [
                Step::Lemma(*name, vec![u.clone(), v.clone()]),
                Step::Lemma(*name, vec![v.clone(), u.clone()]),
            ]
        })
        .collect()
}

/// One function at two places.
fn calls(work: &Work, function: Function, u: &Expr, v: &Expr) -> Vec<Step> {
    match function {
        Function::Sin => both(&[Lemma::Lipschitz, Lemma::SineMonotone], u, v),
        Function::Cos => both(&[Lemma::Lipschitz, Lemma::CosineMonotone], u, v),
        Function::Atan => {
            let names = [
                Lemma::AtanOrder,
                Lemma::Lipschitz,
                Lemma::AtanMonotone,
                Lemma::AtanDifference,
            ];
            let mut steps = both(&names, u, v);
            steps.extend(both(&[Lemma::AtanBetween], u, v));
            steps.extend(both(&[Lemma::AtanBetween], &u.negative(), &v.negative()));
            steps.extend([u, v].map(|own| Step::Lemma(Lemma::AtanReciprocal, vec![own.clone()])));
            steps
        }
        Function::Exp => {
            let mut steps = both(&[Lemma::ExpMonotone], u, v);
            steps.extend(both(&[Lemma::ExpMonotone], u, &v.negative()));
            steps.extend(both(&[Lemma::ExpMonotone], &u.negative(), v));
            // eᵘ − eᵛ ≤ eᵘ (u − v)
            for gap in [u.minus(v), v.minus(u)] {
                steps.push(Step::Lemma(Lemma::ExpTangent, vec![gap]));
            }
            steps.extend(chords(work, u, v));
            steps
        }
        Function::Log => {
            let mut steps = both(&[Lemma::LogMonotone], u, v);
            // log u − log v = log(u/v)
            for quotient in [u.over(v), v.over(u)] {
                steps.push(Step::Lemma(Lemma::LogTangent, vec![quotient]));
            }
            steps
        }
        _ => Vec::new(),
    }
}

/// log u beside an exponential, a root of u or a power of u.
fn beside_logarithm(u: &Expr, other: &Expr) -> Vec<Step> {
    let e = Expr::from(Node::Constant(Constant::E));
    match other.node() {
        // N > eᵛ gives log N > v.
        Node::Call(Function::Exp, _) => both(&[Lemma::LogStrictMonotone], u, other),
        // Tangents at the root that stands there: log u ≤ k (√u − 1), e log u ≤ k √u.
        Node::Root(k, v) if u == v && *k > 2 => {
            let root = Expr::from(Node::Root(*k, u.clone()));
            [root.over(&e), root]
                .into_iter()
                .map(|of| Step::Lemma(Lemma::LogTangent, vec![of]))
                .collect()
        }
        Node::Root(2, v) if u == v => {
            let fourth = Expr::from(Node::Root(4, u.clone()));
            vec![
                Step::Lemma(Lemma::LogMinimum, vec![other.clone()]),
                Step::Lemma(Lemma::LogTangent, vec![fourth.over(&e)]),
            ]
        }
        Node::Pow(b, _) if u == b => [Lemma::LogMinimum, Lemma::LogTangent]
            .into_iter()
            .map(|name| Step::Lemma(name, vec![other.clone()]))
            .collect(),
        _ => Vec::new(),
    }
}

/// Two powers with one exponent or one base.
fn powers(work: &Work, (b, x): (&Expr, &Expr), (c, y): (&Expr, &Expr)) -> Vec<Step> {
    let mut steps = Vec::new();
    if x == y {
        for (c, b) in [(b, c), (c, b)] {
            for name in [Lemma::PowerMonotone, Lemma::PowerDifference] {
                steps.push(Step::Lemma(name, vec![c.clone(), b.clone(), x.clone()]));
            }
            // (n + 1)ⁿ and nⁿ: Bernoulli for their quotient.
            let gap = work.poly(&b.minus(c));
            if gap.is_some_and(|gap| gap.as_constant().is_some()) {
                for name in [Lemma::Bernoulli, Lemma::BernoulliFalling] {
                    steps.push(Step::Lemma(name, vec![b.over(c), x.clone()]));
                }
            }
            // |bⁿ| ≤ cⁿ for |b| ≤ c
            let own = work.context.sign_of_expr(b);
            if !own.at_least && !own.at_most {
                let arguments = vec![b.abs(), c.clone(), x.clone()];
                steps.push(Step::Lemma(Lemma::PowerMonotone, arguments));
                steps.push(Step::Lemma(Lemma::AbsoluteValue, vec![b.power(x)]));
            }
        }
        let arguments = vec![b.clone(), c.clone(), x.clone()];
        steps.push(Step::Lemma(Lemma::PowerMean, arguments));
    }
    if b == c {
        steps.extend(shifts(work, b, (x, y)));
        for (x, y) in [(x, y), (y, x)] {
            for name in [
                Lemma::ExponentMonotone,
                Lemma::ExponentFalls,
                Lemma::WholeExponentFalls,
                Lemma::PowerChord,
            ] {
                steps.push(Step::Lemma(name, vec![b.clone(), x.clone(), y.clone()]));
            }
        }
    }
    steps
}

/// b^(x + 2) = b b^(x + 1) = b² b^x where the base may be 0.
fn shifts(work: &Work, b: &Expr, (x, y): (&Expr, &Expr)) -> Vec<Step> {
    let gap = work.poly(&x.minus(y)).and_then(|gap| gap.as_constant());
    let Some(gap) = gap.filter(|gap| gap.is_int() && !work.context.sign_of_expr(b).differs) else {
        return Vec::new();
    };
    let (high, size) = if gap.is_positive() {
        (x, gap)
    } else {
        (y, -gap)
    };
    (0..SHIFTS)
        .map(RBig::from)
        .take_while(|step| *step < size)
        .map(|step| {
            let exponent = high.minus(&Expr::number(step));
            Step::Lemma(Lemma::PowerStep, vec![b.clone(), exponent])
        })
        .collect()
}

/// Sharper bounds of log u and of log u − log v.
pub(super) fn sharp_logarithms(calls: &[Expr]) -> Vec<Step> {
    let logarithms: Vec<&Expr> = calls
        .iter()
        .filter_map(|call| match call.node() {
            Node::Call(Function::Log, u) => Some(u),
            _ => None,
        })
        .collect();
    let mut quotients: Vec<Expr> = logarithms.iter().copied().cloned().collect();
    for (place, u) in logarithms.iter().enumerate() {
        for v in &logarithms[place + 1..] {
            quotients.extend([u.over(v), v.over(u)]);
        }
    }
    quotients
        .iter()
        .flat_map(|own| {
            let above = own.minus(&Expr::integer(1));
            [Lemma::LogTrapezoid, Lemma::LogLower]
                .map(|name| Step::Lemma(name, vec![above.clone()]))
        })
        .collect()
}

/// |bˣ − cˣ| where a power M^(x − 1) stands beside them, or where M is the greater of them.
pub(super) fn differences(work: &Work, calls: &[Expr]) -> Vec<Step> {
    let all: Vec<(&Expr, &Expr)> = calls
        .iter()
        .filter_map(|call| match call.node() {
            Node::Pow(base, exponent) => Some((base, exponent)),
            _ => None,
        })
        .collect();
    let one = Expr::integer(1);
    let mut steps = Vec::new();
    for (place, (b, x)) in all.iter().enumerate() {
        for (c, _) in all[place + 1..].iter().filter(|(_, y)| y == x) {
            let before = work.poly(&x.minus(&one));
            let beside = all
                .iter()
                .filter(|(_, y)| work.poly(y) == before)
                .map(|(bound, _)| *bound);
            for bound in beside.chain([*b, *c]).take(BOUNDS) {
                for (u, v) in [(b, c), (c, b)] {
                    let arguments = [*u, *v, bound, *x].map(Expr::clone).to_vec();
                    steps.push(Step::Lemma(Lemma::PowerLipschitz, arguments));
                }
            }
        }
    }
    steps
}

/// e^(x w) and e^(y w) as powers of e^w, below the chord of each other.
fn chords(work: &Work, u: &Expr, v: &Expr) -> Vec<Step> {
    let [Some(u), Some(v)] = [u, v].map(|own| work.poly(own)) else {
        return Vec::new();
    };
    let (Some((first, _)), Some((second, _))) = (u.single(), v.single()) else {
        return Vec::new();
    };
    let mut common = Poly::one();
    for (atom, power) in first.factors() {
        let shared = (*power).min(second.exponent(atom));
        common = common.times(&Poly::atom(atom.clone()).power(shared));
    }
    let mut steps = Vec::new();
    for unit in [common.clone(), common.negative()] {
        let [Some(x), Some(y)] = [&u, &v].map(|own| own.divided(&unit)) else {
            continue;
        };
        let base = unit.to_expr().call(Function::Exp);
        for (x, y) in [(&x, &y), (&y, &x)] {
            let arguments = vec![base.clone(), x.to_expr(), y.to_expr()];
            steps.push(Step::Lemma(Lemma::PowerChord, arguments));
        }
    }
    steps
}

/// Bounds e^u − e^v for those in a polynomial whose exponents are known to be within the distance
/// 1; whether there are any.
pub(super) fn near_exponentials(work: &mut Work, poly: &Poly, fuel: &mut Fuel<'_>) -> bool {
    let before = work.len();
    let atoms = poly.atoms();
    let exponents: Vec<&Expr> = atoms
        .iter()
        .filter_map(|atom| match atom.node() {
            Node::Call(Function::Exp, u) if !u.variables().is_empty() => Some(u),
            _ => None,
        })
        .collect();
    for (u, v) in exponents
        .iter()
        .flat_map(|u| exponents.iter().map(move |v| (*u, *v)))
        .filter(|(u, v)| u != v)
        .take(EXPONENTS)
    {
        let (Some(gap), true) = (work.poly(&u.minus(v)), fuel.take(4)) else {
            continue;
        };
        let near = Poly::one().minus(&gap);
        if !work.knows(&gap, Sign::NonNegative) || !work.allows(&near, Sign::NonNegative) {
            continue;
        }
        let mut part = fuel.attempt(200);
        if establish(work, &near, Sign::NonNegative, 1, &mut part) {
            work.take(Step::Lemma(Lemma::ExpNear, vec![u.clone(), v.clone()]));
        }
        fuel.refund(&part);
    }
    before < work.len()
}

/// sin x ± sin y and the like as products, where half of x + y or of x − y occurs.
pub(super) fn half_angles(work: &Work, calls: &[Expr]) -> Vec<Step> {
    let circular: Vec<Poly> = calls
        .iter()
        .filter_map(|call| match call.node() {
            Node::Call(Function::Sin | Function::Cos, u) => work.poly(u),
            _ => None,
        })
        .collect();
    let mut steps = Vec::new();
    for (place, x) in circular.iter().enumerate() {
        for y in &circular[place + 1..] {
            let half = RBig::ONE / RBig::from(2);
            let mean = x.plus(y).scaled(&half);
            let gap = x.minus(y).scaled(&half);
            let occurs = |own: &Poly| circular.contains(own) || circular.contains(&own.negative());
            if gap.is_zero() || !(occurs(&mean) || occurs(&gap)) || steps.len() > 2 * ANGLES {
                continue;
            }
            for own in [&mean, &gap] {
                steps.push(Step::Lemma(Lemma::CircleBound, vec![own.to_expr()]));
            }
            for gap in [gap.clone(), gap.negative()] {
                let arguments = vec![mean.to_expr(), gap.to_expr()];
                steps.push(Step::Lemma(Lemma::AngleSum, arguments));
            }
        }
    }
    steps
}

/// x bˣ (1 − b) where that product stands written out.
pub(super) fn humps(work: &Work, seen: &[&Expr], calls: &[Expr]) -> Vec<Step> {
    let polys: Vec<Poly> = seen.iter().filter_map(|expr| work.poly(expr)).collect();
    let occurs = |expr: &Expr| {
        let own = work.poly(expr);
        let own = own.as_ref().and_then(Poly::single);
        own.is_some_and(|(own, _)| {
            let mut all = polys.iter().flat_map(Poly::terms);
            all.any(|(monomial, _)| monomial == own)
        })
    };
    calls
        .iter()
        .filter_map(|call| match call.node() {
            Node::Pow(b, x) => Some((call.times(x), b, x)),
            _ => None,
        })
        .filter(|(product, b, _)| occurs(product) && occurs(&product.times(b)))
        .map(|(_, b, x)| Step::Lemma(Lemma::PowerHump, vec![b.clone(), x.clone()]))
        .collect()
}

/// The least value of t log t for the powers t = uᵏ that stand beside log u.
pub(super) fn logarithms(seen: &[&Expr], calls: &[Expr]) -> Vec<Step> {
    let mut steps = Vec::new();
    for call in calls {
        let Node::Call(Function::Log, u) = call.node() else {
            continue;
        };
        for expr in seen {
            expr.visit(&mut |part| {
                if let Node::Pow(base, exponent) = part.node()
                    && base == u
                    && exponent.as_number().is_some()
                {
                    let step = Step::Lemma(Lemma::LogMinimum, vec![part.clone()]);
                    if !steps.contains(&step) {
                        steps.push(step);
                    }
                }
            });
        }
    }
    steps
}
