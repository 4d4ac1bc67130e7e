//! Instances of known inequalities that fit the functions at hand.

use super::pairs;
use super::work::Work;
use crate::expr::{Constant, Expr, Function, Node};
use crate::fuel::Fuel;
use crate::recheck::{Lemma, Poly, Sign, Signed, Step, Term};
use dashu::rational::RBig;
use std::collections::BTreeSet;

/// Steps that one tried instance costs: its sides are brought to normal form.
const COST: u64 = 4;

/// Adds the instances for all functions in the expressions and in the facts, as far as the fuel
/// reaches.
pub(super) fn instantiate(work: &mut Work, seen: &[&Expr], fuel: &mut Fuel<'_>) {
    super::bounds::propagate(work, fuel);
    let before = work.len();
    let calls = called(work, seen);
    for constant in &calls {
        bracket(work, constant);
    }
    for call in &calls {
        try_all(work, single(work, call), fuel);
    }
    for call in &calls {
        try_all(work, at_bounds(work, call), fuel);
    }
    for (place, left) in calls.iter().enumerate() {
        for right in &calls[place + 1..] {
            try_all(work, pairs::pair(work, left, right), fuel);
        }
    }
    try_all(work, pairs::half_angles(work, &calls), fuel);
    try_all(work, pairs::humps(work, seen, &calls), fuel);
    try_all(work, pairs::differences(work, &calls), fuel);
    try_all(work, pairs::logarithms(seen, &calls), fuel);
    // Constants that came with the lemmas, as π/2 with the bounds of arctan.
    let constants: BTreeSet<Expr> = work
        .context
        .facts()
        .iter()
        .flat_map(|(poly, _)| poly.atoms())
        .filter(|atom| atom.variables().is_empty() && !calls.contains(atom))
        .collect();
    for constant in &constants {
        bracket(work, constant);
    }
    round_constants(work, before, fuel);
}

/// Adds what is rarely needed, sharper bounds of logarithms and of roots c^(1/n); whether there are any.
pub(super) fn instantiate_more(work: &mut Work, seen: &[&Expr], fuel: &mut Fuel<'_>) -> bool {
    let before = work.len();
    let calls = called(work, seen);
    try_all(work, pairs::sharp_logarithms(&calls), fuel);
    for call in &calls {
        try_all(work, roots(call), fuel);
    }
    before < work.len()
}

/// The n-th power of a root c^(1/n) is c ≥ 1 + n h + n (n − 1)/2 h².
fn roots(call: &Expr) -> Vec<Step> {
    let Node::Pow(base, exponent) = call.node() else {
        return Vec::new();
    };
    let Node::Div(top, n) = exponent.node() else {
        return Vec::new();
    };
    if top.as_number() != Some(RBig::ONE) {
        return Vec::new();
    }
    let order = vec![base.clone(), Expr::integer(0), exponent.clone()];
    let mut steps = vec![Step::Lemma(Lemma::ExponentMonotone, order)];
    for name in [Lemma::Binomial, Lemma::Bernoulli] {
        steps.push(Step::Lemma(name, vec![call.clone(), n.clone()]));
    }
    steps
}

/// The functions in the expressions and in the facts.
fn called(work: &Work, seen: &[&Expr]) -> Vec<Expr> {
    let mut calls: BTreeSet<Expr> = BTreeSet::new();
    for expr in seen {
        expr.visit(&mut |part| collect(part, &mut calls));
    }
    let atoms: Vec<Expr> = work
        .context
        .facts()
        .iter()
        .flat_map(|(poly, _)| poly.atoms())
        .chain(seen.iter().flat_map(|expr| {
            work.poly(expr)
                .map(|poly| poly.atoms().into_iter().collect::<Vec<_>>())
                .unwrap_or_default()
        }))
        .collect();
    for atom in &atoms {
        atom.visit(&mut |part| collect(part, &mut calls));
    }
    calls.into_iter().take(16).collect()
}

/// A minimum in the hypotheses is at most each of its members, as δ = min{1, ε/3}.
pub(super) fn minima(work: &mut Work) {
    let facts = work.context.facts().iter();
    let atoms: BTreeSet<Expr> = facts.flat_map(|(poly, _)| poly.atoms()).collect();
    for atom in &atoms {
        if let Node::Min(items) = atom.node() {
            work.take(Step::Lemma(Lemma::MinBelow, items.clone()));
        }
    }
}

/// P + c A ≥ 0 with a constant c and A of known sign, also with the bound of c that is weaker: what
/// needs no product is found at once.
fn round_constants(work: &mut Work, before: usize, fuel: &mut Fuel<'_>) {
    for place in before..work.len() {
        let (poly, sign) = work.context.facts()[place].clone();
        if !matches!(sign, Sign::NonNegative | Sign::Positive) || poly.count() > 6 {
            continue;
        }
        for atom in poly.atoms() {
            let coefficients = poly.coefficients_in(&atom);
            let [_, factor] = coefficients.as_slice() else {
                continue;
            };
            if !atom.variables().is_empty() || factor.as_constant().is_some() || !fuel.take(COST) {
                continue;
            }
            let own = work.context.sign_of(factor);
            let range = work.context.range_of_atom(&atom);
            // c ≥ low takes c A ≤ low A for A ≤ 0; c ≤ high the other one.
            let (end, size) = match (own.at_most, own.at_least) {
                (true, false) => (range.low, factor.negative()),
                (false, true) => (range.high, factor.clone()),
                _ => continue,
            };
            let Some((end, _)) = end else { continue };
            let scale = RBig::from(1_000);
            let end = if own.at_most {
                RBig::from((end * &scale).floor()) / &scale
            } else {
                RBig::from((end * &scale).ceil()) / &scale
            };
            let gap = Poly::atom(atom.clone()).minus(&Poly::constant(end));
            let gap = if own.at_most { gap } else { gap.negative() };
            let facts =
                [&gap, &size].map(|own| super::establish::place(work, own, Sign::NonNegative));
            if let [Some(gap), Some(size)] = facts {
                let term = |facts: Vec<usize>| Term {
                    coefficient: RBig::ONE,
                    facts,
                    squares: Vec::new(),
                };
                let terms = vec![term(vec![place]), term(vec![gap, size])];
                work.take(Step::Combine(terms, Vec::new()));
            }
        }
    }
}

fn try_all(work: &mut Work, steps: Vec<Step>, fuel: &mut Fuel<'_>) {
    for step in steps {
        if !fuel.take(COST) {
            return;
        }
        work.take(step);
    }
}

fn collect(part: &Expr, calls: &mut BTreeSet<Expr>) {
    match part.node() {
        Node::Call(Function::Sinh | Function::Cosh | Function::Tanh, inner) => {
            calls.insert(inner.call(Function::Exp));
        }
        Node::Call(..) | Node::Min(_) | Node::Max(_) | Node::Constant(_) => {
            calls.insert(part.clone());
        }
        Node::Root(..) => {
            calls.insert(part.clone());
        }
        Node::Pow(base, exponent) if exponent.as_number().is_none() => {
            calls.insert(base.power(exponent));
        }
        _ => {}
    }
}

/// Encloses a constant atom between decimals.
fn bracket(work: &mut Work, constant: &Expr) {
    if !constant.variables().is_empty() {
        return;
    }
    let Some(poly) = work.poly(constant) else {
        return;
    };
    for atom in poly.atoms() {
        let range = work.context.range_of_atom(&atom);
        let (Some((low, _)), Some((high, _))) = (range.low, range.high) else {
            continue;
        };
        let scale = RBig::from(1_000_000);
        let low = (RBig::from((low * &scale).floor()) - RBig::ONE) / &scale;
        let high = (RBig::from((high * &scale).ceil()) + RBig::ONE) / &scale;
        work.take(Step::Bracket(atom.clone(), low, high));
    }
}

fn single(work: &Work, call: &Expr) -> Vec<Step> {
    let lemma = |name: Lemma, arguments: Vec<Expr>| Step::Lemma(name, arguments);
    let one = Expr::integer(1);
    match call.node() {
        Node::Call(Function::Exp, u) => {
            let mut steps = Vec::new();
            for u in [u.clone(), u.negative()] {
                for name in [
                    Lemma::ExpTangent,
                    Lemma::ExpSecond,
                    Lemma::ExpThird,
                    Lemma::ExpBelowOne,
                    Lemma::ExpUpper,
                    Lemma::ExpThroughOrigin,
                ] {
                    steps.push(lemma(name, vec![u.clone()]));
                }
            }
            // Tangents at other points: e^(u − c) ≥ 1 + u − c.
            let half = u.over(&Expr::integer(2));
            steps.push(lemma(Lemma::ExpStrict, vec![u.clone()]));
            steps.push(lemma(Lemma::ExpStrict, vec![u.negative()]));
            steps.push(lemma(Lemma::ExpThroughOrigin, vec![half]));
            for shift in [Expr::ratio(1, 2), Expr::integer(2)] {
                steps.push(lemma(Lemma::ExpTangent, vec![u.minus(&shift)]));
                steps.push(lemma(Lemma::ExpTangent, vec![u.negative().minus(&shift)]));
            }
            steps
        }
        Node::Call(Function::Log, u) => {
            let root = Expr::from(Node::Root(2, u.clone()));
            let e = Expr::from(Node::Constant(Constant::E));
            vec![
                lemma(Lemma::LogStrict, vec![u.clone()]),
                // Tangents through the origin: log u ≤ u/e, log u ≤ 2 √u/e.
                lemma(Lemma::LogTangent, vec![u.over(&e)]),
                lemma(Lemma::LogTangent, vec![root.over(&e)]),
                lemma(Lemma::LogTangent, vec![u.clone()]),
                lemma(Lemma::LogTangent, vec![one.over(u)]),
                lemma(Lemma::LogLower, vec![u.minus(&one)]),
                lemma(Lemma::LogSeries, vec![u.minus(&one)]),
                lemma(Lemma::LogTangent, vec![root]),
                lemma(Lemma::LogMinimum, vec![u.clone()]),
                lemma(Lemma::LogMonotone, vec![one.clone(), u.clone()]),
                lemma(Lemma::LogMonotone, vec![u.clone(), one]),
            ]
        }
        Node::Call(Function::Sin | Function::Cos | Function::Tan, u) => {
            let mut steps = vec![
                lemma(Lemma::CircleBound, vec![u.clone()]),
                lemma(Lemma::CosineSquare, vec![u.clone()]),
                lemma(Lemma::CosineFourth, vec![u.clone()]),
                lemma(Lemma::CosineSign, vec![u.clone()]),
                lemma(Lemma::SinePositive, vec![u.clone()]),
                lemma(Lemma::CosinePositive, vec![u.clone()]),
            ];
            steps.extend(angles(work, u));
            for u in [u.clone(), u.negative()] {
                for name in [
                    Lemma::SineLinear,
                    Lemma::SineCubic,
                    Lemma::SineSign,
                    Lemma::SineChord,
                    Lemma::TanLinear,
                    Lemma::TanStrict,
                    Lemma::SineStrict,
                ] {
                    steps.push(lemma(name, vec![u.clone()]));
                }
            }
            steps
        }
        Node::Call(Function::Atan, u) => arctangent(u),
        Node::Call(Function::Factorial, n) => [
            Lemma::FactorialGrowth,
            Lemma::FactorialBelowPower,
            Lemma::FactorialBelowHalf,
            Lemma::FactorialMean,
        ]
        .into_iter()
        .map(|name| lemma(name, vec![n.clone()]))
        .collect(),
        Node::Call(Function::Abs, u) if is_signed(work, u) => Vec::new(),
        Node::Call(Function::Abs, u) => vec![lemma(Lemma::AbsoluteValue, vec![u.clone()])],
        Node::Call(Function::Floor, u) => vec![lemma(Lemma::FloorBound, vec![u.clone()])],
        Node::Call(Function::Ceil, u) => vec![lemma(Lemma::CeilBound, vec![u.clone()])],
        Node::Min(items) => vec![lemma(Lemma::MinBelow, items.clone())],
        Node::Max(items) => vec![lemma(Lemma::MaxAbove, items.clone())],
        Node::Pow(base, exponent) => powers(work, base, exponent),
        Node::Root(degree, inner) => root_bounds(work, *degree, inner),
        _ => Vec::new(),
    }
}

fn arctangent(u: &Expr) -> Vec<Step> {
    // arctan u = π/2 − arctan(1/u), with the bounds of the latter.
    let inverse = Expr::integer(1).over(u);
    let mut steps = vec![
        Step::Lemma(Lemma::AtanBound, vec![u.clone()]),
        Step::Lemma(Lemma::AtanReciprocal, vec![u.clone()]),
        Step::Lemma(Lemma::AtanStrict, vec![inverse]),
    ];
    for u in [u.clone(), u.negative()] {
        for name in [Lemma::AtanLinear, Lemma::AtanCubic, Lemma::AtanStrict] {
            steps.push(Step::Lemma(name, vec![u.clone()]));
        }
    }
    steps
}

/// Whether the normal form opens |u|.
fn is_signed(work: &Work, u: &Expr) -> bool {
    let own = work.context.sign_of_expr(u);
    own.at_least || own.at_most
}

/// An angle taken apart: a sum of two, a double, a multiple by an integer.
fn angles(work: &Work, u: &Expr) -> Vec<Step> {
    let Some(poly) = work.poly(u) else {
        return Vec::new();
    };
    let terms: Vec<Expr> = poly
        .terms()
        .map(|(monomial, value)| Poly::monomial(monomial.clone()).scaled(value).to_expr())
        .collect();
    let [first, rest @ ..] = terms.as_slice() else {
        return Vec::new();
    };
    if !rest.is_empty() {
        let rest = Expr::sum_of(rest.to_vec());
        return vec![Step::Lemma(Lemma::AngleSum, vec![first.clone(), rest])];
    }
    let Some((monomial, value)) = poly.terms().next() else {
        return Vec::new();
    };
    let mut steps = Vec::new();
    let part = Poly::monomial(monomial.clone()).to_expr();
    if *value == RBig::from(2) {
        steps.push(Step::Lemma(Lemma::AngleSum, vec![part.clone(), part]));
    } else if *value == RBig::from(3) {
        steps.push(Step::Lemma(Lemma::AngleTriple, vec![part]));
    } else if *value == RBig::from(4) {
        steps.push(Step::Lemma(Lemma::AngleFourfold, vec![part]));
    }
    for (atom, _) in monomial.factors() {
        if work.context.is_integer(atom)
            && let Some(rest) = poly.divided(&Poly::atom(atom.clone()))
            && rest.as_constant().is_none()
        {
            let arguments = vec![atom.clone(), rest.to_expr()];
            for name in [Lemma::SineMultiple, Lemma::CosineMultiple] {
                steps.push(Step::Lemma(name, arguments.clone()));
            }
        }
    }
    steps
}

/// Monotone functions between the bounds of their arguments.
fn at_bounds(work: &Work, call: &Expr) -> Vec<Step> {
    let (inner, names): (&Expr, &[Lemma]) = match call.node() {
        Node::Call(Function::Exp, u) => (u, &[Lemma::ExpMonotone]),
        Node::Call(Function::Log, u) => (u, &[Lemma::LogMonotone]),
        Node::Call(Function::Sin, u) => (u, &[Lemma::SineMonotone]),
        Node::Call(Function::Cos, u) => (u, &[Lemma::CosineMonotone]),
        _ => return Vec::new(),
    };
    let mut ends: Vec<Expr> = Vec::new();
    if let Some(poly) = work.poly(inner) {
        let range = work.context.range_of(&poly);
        let both = [range.low, range.high].into_iter().flatten();
        // Ends with long decimals stem from brackets of constants and help nobody.
        let short = |value: &RBig| value.denominator() <= &dashu::integer::UBig::from(100_u8);
        ends.extend(
            both.filter(|(end, _)| short(end))
                .map(|(end, _)| Expr::number(end)),
        );
    }
    if let Node::Call(Function::Log, _) = call.node() {
        return logarithms_of_bounds(work, inner)
            .into_iter()
            .chain(between(inner, names, &ends))
            .collect();
    }
    for (poly, _) in work.context.facts() {
        // A bound of a variable by a constant such as π/4.
        let Some(own) = inner.as_variable().map(|_| inner) else {
            break;
        };
        if let [rest, factor] = poly.coefficients_in(own).as_slice() {
            let constant = rest.to_expr();
            if let (Some(factor), true) = (factor.as_constant(), constant.variables().is_empty()) {
                let end = rest.scaled(&(RBig::NEG_ONE / factor)).to_expr();
                if !ends.contains(&end) {
                    ends.push(end);
                }
            }
        }
    }
    between(inner, names, &ends)
}

fn between(inner: &Expr, names: &[Lemma], ends: &[Expr]) -> Vec<Step> {
    ends.iter()
        .take(4)
        .flat_map(|end| {
            names.iter().flat_map(move |name| {
                [
                    Step::Lemma(*name, vec![inner.clone(), end.clone()]),
                    Step::Lemma(*name, vec![end.clone(), inner.clone()]),
                ]
            })
        })
        .collect()
}

/// n > e^(1/ε) gives log n > 1/ε.
fn logarithms_of_bounds(work: &Work, inner: &Expr) -> Vec<Step> {
    let facts = work.context.facts().iter();
    let bounds = facts.filter_map(|(poly, sign)| {
        let coefficients = poly.coefficients_in(inner);
        let ([rest, factor], Sign::Positive) = (coefficients.as_slice(), sign) else {
            return None;
        };
        let factor = factor.as_constant().filter(|own| *own > RBig::ZERO)?;
        let exponential = |atom: &Expr| matches!(atom.node(), Node::Call(Function::Exp, _));
        let bound = rest.scaled(&(RBig::NEG_ONE / factor)).to_expr();
        rest.atoms().iter().any(exponential).then_some(bound)
    });
    bounds
        .take(2)
        .map(|bound| Step::Lemma(Lemma::LogStrictMonotone, vec![bound, inner.clone()]))
        .collect()
}

/// A root lies between the roots of the bounds of its radicand.
fn root_bounds(work: &Work, degree: u32, inner: &Expr) -> Vec<Step> {
    let Some(poly) = work.poly(inner).filter(|poly| poly.as_constant().is_none()) else {
        return Vec::new();
    };
    let range = work.context.range_of(&poly);
    let k = Expr::integer(i64::from(degree));
    let mut steps = Vec::new();
    if let Some((low, _)) = range.low.filter(|(low, _)| *low > RBig::ZERO) {
        let low = Expr::number(low);
        steps.push(Step::Lemma(
            Lemma::RootMonotone,
            vec![poly.to_expr(), low, k.clone()],
        ));
    }
    if let Some((high, _)) = range.high.filter(|(high, _)| *high >= RBig::ZERO) {
        let high = Expr::number(high);
        steps.push(Step::Lemma(
            Lemma::RootMonotone,
            vec![high, poly.to_expr(), k.clone()],
        ));
    }
    // √(x² + n²) ≥ n
    for (monomial, value) in poly.terms() {
        let pure = monomial
            .factors()
            .iter()
            .all(|(_, power)| power % degree == 0);
        if poly.count() > 1 && pure && value.is_positive() && !monomial.factors().is_empty() {
            let term = Poly::monomial(monomial.clone()).scaled(value).to_expr();
            let arguments = vec![poly.to_expr(), term, k.clone()];
            steps.push(Step::Lemma(Lemma::RootMonotone, arguments));
        }
    }
    steps
}

fn powers(work: &Work, base: &Expr, exponent: &Expr) -> Vec<Step> {
    let mut steps = Vec::new();
    let one = Expr::integer(1);
    // The exponent itself, and the terms that the normal form separates.
    let mut exponents = vec![exponent.clone()];
    if let Some(poly) = work.poly(exponent) {
        for (monomial, _) in poly.terms() {
            let term = Poly::monomial(monomial.clone()).to_expr();
            if !monomial.factors().is_empty() && term != *exponent {
                exponents.push(term);
            }
        }
    }
    let mut bases = vec![base.clone()];
    let sign = work.context.sign_of_expr(base);
    if base.as_variable().is_some() && sign.at_most && work.context.is_integer(exponent) {
        // ±bⁿ ≤ |b|ⁿ
        steps.push(Step::Lemma(
            Lemma::AbsoluteValue,
            vec![base.power(exponent)],
        ));
    }
    if sign.has(Sign::Positive) {
        bases.push(one.over(base));
    }
    for n in &exponents {
        for b in &bases {
            for name in [
                Lemma::PowerSign,
                Lemma::PowerSmall,
                Lemma::PowerSmaller,
                Lemma::PowerBetween,
                Lemma::Bernoulli,
                Lemma::BernoulliStrict,
                Lemma::Binomial,
                Lemma::BinomialThird,
                Lemma::PowerBelowExp,
                Lemma::PowerExp,
                Lemma::PowerExpLower,
                Lemma::PowerExpNear,
                Lemma::WholePowerBelowExp,
                Lemma::PowerWhole,
            ] {
                steps.push(Step::Lemma(name, vec![b.clone(), n.clone()]));
            }
            steps.push(Step::Lemma(
                Lemma::BernoulliReal,
                vec![b.clone(), n.clone()],
            ));
            // b^(1/n) ≤ 1 + (b − 1)/n
            let arguments = vec![b.clone(), n.clone(), one.clone()];
            steps.push(Step::Lemma(Lemma::PowerChord, arguments));
            // (1 + t)^(n + 1) ≥ e for t = 1/n.
            steps.push(Step::Lemma(Lemma::PowerExp, vec![b.clone(), n.plus(&one)]));
        }
    }
    steps
}
