//! Finite and infinite sums: geometric ones, telescoping bounds.

use super::establish::{DEPTH, establish, fact_term};
use super::sample::{self, Values};
use super::telescoping::{inner_relation, squeeze, telescope, telescope_falling, termwise};
use super::work::Work;
use crate::expr::{Expr, Function, Node, Relation, Run, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Problem};
use crate::recheck::{Poly, Proof, Sign, Step, parts};
use dashu::rational::RBig;

/// Points at which a primitive is tried.
const PLACES: usize = 4;

/// Adds what is found about the sums on both sides, unless the claim is known already.
pub(super) fn close_all(work: &mut Work, left: &Expr, right: &Expr, fuel: &mut Fuel<'_>) {
    let mut sums = Vec::new();
    for side in [left, right] {
        side.visit(&mut |part| {
            if matches!(part.node(), Node::Sum { .. }) && !sums.contains(part) {
                sums.push(part.clone());
            }
        });
    }
    for (place, sum) in sums.iter().enumerate() {
        for other in &sums[place + 1..] {
            for (sum, other) in [(sum, other), (other, sum)] {
                if is_below(work, sum, other) && fuel.take(20) {
                    termwise(work, sum, other, fuel);
                }
            }
        }
    }
    for sum in &sums {
        let bound = [(left, right), (right, left)]
            .into_iter()
            .find_map(|(own, other)| (own == sum || *own == sum.abs()).then_some(other));
        close_sum(work, sum, Wanted::Bounds(bound), fuel);
    }
}

/// Whether two sums have the same limits, and the terms of the first are the smaller ones at sampled
/// places.
fn is_below(work: &Work, sum: &Expr, other: &Expr) -> bool {
    let (Some(run), Some(against)) = (Run::sum(sum), Run::sum(other)) else {
        return false;
    };
    let gap = against.at(&Expr::variable(run.index)).minus(run.body);
    run.from == against.from
        && run.to == against.to
        && places(work, &run, run.index).all(|at| {
            let [gap, size] = [&gap, run.body].map(|expr| sample::value(expr, &at));
            gap.is_nan() || gap >= -1e-9 * size.abs()
        })
}

/// Sampled points with places in the range of a sum, under this name of its index.
pub(super) fn places<'w>(
    work: &'w Work,
    run: &'w Run<'w>,
    name: &'w Symbol,
) -> impl Iterator<Item = Values> + 'w {
    work.points.iter().take(PLACES).flat_map(move |at| {
        let first = sample::value(run.from, at);
        let last = run.to.map_or(f64::INFINITY, |to| sample::value(to, at));
        [0.0, 1.0, 2.0, 9.0, 60.0]
            .into_iter()
            .map(move |step| first + step)
            .filter(move |place| *place <= last)
            .map(|place| {
                let mut at = at.clone();
                at.insert(name.clone(), place);
                at
            })
    })
}

/// What is to be found about a sum.
#[derive(Clone, Copy)]
pub(super) enum Wanted<'e> {
    /// That it is defined, no matter how.
    Defined,
    /// What bounds it, perhaps a claim.
    Bounds(Option<&'e Expr>),
}

/// Adds what is found about a sum: its closed form, or bounds by telescoping.
pub(super) fn close_sum(work: &mut Work, expr: &Expr, wanted: Wanted<'_>, fuel: &mut Fuel<'_>) {
    let Node::Sum {
        index,
        from,
        to,
        body,
    } = expr.node()
    else {
        return;
    };
    if let Some(to) = to {
        let count = to.minus(from).plus(&Expr::integer(1));
        if let Some(poly) = work.poly(&count) {
            let _ = establish(work, &poly, Sign::NonNegative, 2, fuel);
        }
    }
    let closed = geometric(work, expr, fuel);
    if let (Some(to), false) = (to, closed)
        && super::series::known_series(work, expr, (index, from, to, body))
    {
        return;
    }
    if let (None, [(upper, _), (lower, _)]) =
        (to, super::primitives::alternating(index, body).as_slice())
        && squeeze(work, expr, (lower, upper), fuel)
    {
        return;
    }
    let claims = match wanted {
        Wanted::Bounds(Some(bound)) => claimed(work, (index, from, to.as_ref()), bound),
        _ => Vec::new(),
    };
    let Tried {
        all,
        majorants,
        alternating,
    } = tried(work, (index, from, to.as_ref(), body), &claims, closed);
    let mut majorised = 0;
    for own in &all {
        if matches!(wanted, Wanted::Defined) && work.context.is_defined(expr) {
            return;
        }
        let (primitive, relation) = own;
        // Beside a geometric majorant the slower ones say little.
        if majorised > 0 && !majorants.contains(own) {
            return;
        }
        if !fuel.take(20) {
            return;
        }
        let found = fits(work, expr, primitive, *relation)
            && telescope(work, expr, primitive, *relation, fuel);
        let found = found
            || alternating.contains(own)
                && fits(work, expr, primitive, *relation)
                && falling(work, expr, own, fuel);
        if found && alternating.contains(own) {
            without_end(
                work,
                expr,
                &primitive.substitute(index, from),
                *relation,
                fuel,
            );
        }
        if found && *relation == Relation::Equal {
            // The bounds of the closed form ask for its denominator.
            if let Some(to) = to {
                let end = primitive.substitute(index, &to.plus(&Expr::integer(1)));
                super::solve::known_denominator(work, &end);
            }
            return;
        }
        if found && to.is_none() && *relation == Relation::GreaterEqual {
            later_bound(work, (index, from, body), primitive, fuel);
            // It bounds the series as it was claimed.
            if claims.contains(own) {
                return;
            }
        }
        majorised += usize::from(found && majorants.contains(own));
    }
    if let (Some(first), Some(to), false) = (from.as_number(), to, closed) {
        peeled(work, expr, (index, first, to, body), &claims, fuel);
    }
}

/// Primitives in the order in which they are tried.
struct Tried {
    all: Vec<(Expr, Relation)>,
    /// Of them those above geometric sums.
    majorants: Vec<(Expr, Relation)>,
    /// Of them those for terms of alternating sign.
    alternating: Vec<(Expr, Relation)>,
}

fn tried(
    work: &Work,
    (index, from, to, body): (&Symbol, &Expr, Option<&Expr>, &Expr),
    claims: &[(Expr, Relation)],
    closed: bool,
) -> Tried {
    let mut all = claims.to_vec();
    let mut alternating = Vec::new();
    // A closed form says little of the size where the sign of the ratio is not known.
    let majorants = super::primitives::geometric(work, index, body, to.is_some());
    if closed {
        all.extend(majorants.iter().cloned());
    } else {
        let exact = super::primitives::exact(work, index, (from, to), body);
        all.extend(exact.into_iter().map(|own| (own, Relation::Equal)));
        if to.is_some() {
            all.extend(super::primitives::logarithmic(
                work,
                index,
                (from, to),
                body,
            ));
        }
        all.extend(super::primitives::power_area(index, body));
        all.extend(majorants.iter().cloned());
        if to.is_some() {
            alternating = super::primitives::alternating(index, body);
            all.extend(alternating.iter().cloned());
        }
        all.extend(primitives(index, from, to, body));
        // With the sum in closed form no bound of it is missed.
        all.sort_by_key(|(_, relation)| *relation != Relation::Equal);
    }
    Tried {
        all,
        majorants,
        alternating,
    }
}

/// A bound of an alternating sum by half of t ± |t|.
fn falling(
    work: &mut Work,
    expr: &Expr,
    (primitive, relation): &(Expr, Relation),
    fuel: &mut Fuel<'_>,
) -> bool {
    let Node::Sum { body, .. } = expr.node() else {
        return false;
    };
    let size = Expr::integer(2).times(primitive).minus(body);
    let size = if *relation == Relation::GreaterEqual {
        size
    } else {
        size.negative()
    };
    telescope_falling(work, expr, (primitive, *relation), Some(&size), fuel)
}

/// The same bound from the second term on, which leaves a strict inequality.
fn later_bound(
    work: &mut Work,
    (index, from, body): (&Symbol, &Expr, &Expr),
    primitive: &Expr,
    fuel: &mut Fuel<'_>,
) {
    let rest: Expr = Node::Sum {
        index: index.clone(),
        from: from.plus(&Expr::integer(1)),
        to: None,
        body: body.clone(),
    }
    .into();
    telescope(work, &rest, primitive, Relation::GreaterEqual, fuel);
}

/// The bound of a sum by the first value of its primitive alone.
fn without_end(
    work: &mut Work,
    expr: &Expr,
    start: &Expr,
    relation: Relation,
    fuel: &mut Fuel<'_>,
) {
    let gap = match relation {
        Relation::GreaterEqual => start.minus(expr),
        _ => expr.minus(start),
    };
    super::lemmas::instantiate(work, &[start], fuel);
    if let Some(poly) = work.poly(&gap) {
        let mut part = fuel.attempt(3_000);
        let _ = establish(work, &poly, Sign::NonNegative, DEPTH - 1, &mut part);
        fuel.refund(&part);
    }
}

/// The first sum in an expression.
pub(super) fn first_sum(expr: &Expr) -> Option<Expr> {
    let mut first = None;
    expr.visit(&mut |part| {
        if first.is_none() && matches!(part.node(), Node::Sum { .. }) {
            first = Some(part.clone());
        }
    });
    first
}

/// The first terms apart: 1/k² ≤ 1/(k − 1) − 1/k needs k ≥ 2.
fn peeled(
    work: &mut Work,
    expr: &Expr,
    (index, first, to, body): (&Symbol, RBig, &Expr, &Expr),
    own: &[(Expr, Relation)],
    fuel: &mut Fuel<'_>,
) {
    // 1/(k log k) < log log k − log log(k − 1) needs k ≥ 3.
    let mut logarithmic = false;
    body.visit(&mut |part| logarithmic |= matches!(part.node(), Node::Call(Function::Log, _)));
    let latest = RBig::from(if logarithmic { 2 } else { 1 });
    let (mut whole, mut first) = (expr.clone(), first);
    let mut link = None;
    while first <= latest {
        let known = work.len();
        if !work.take(Step::Peel(whole.clone())) || work.len() == known {
            return;
        }
        // The terms so far and what is left of the sum.
        if let Some(earlier) = link {
            let both = [earlier, work.len() - 1].map(|place| fact_term(vec![place]));
            work.take(Step::Combine(both.into(), Vec::new()));
        }
        link = Some(work.len() - 1);
        first += RBig::ONE;
        let from = Expr::number(first.clone());
        let rest: Expr = Node::Sum {
            index: index.clone(),
            from: from.clone(),
            to: Some(to.clone()),
            body: body.clone(),
        }
        .into();
        let next = primitives(index, &from, Some(to), body);
        let mut found = false;
        for (place, (primitive, relation)) in own.iter().chain(&next).enumerate() {
            if !fuel.take(20) {
                return;
            }
            found |= fits(work, &rest, primitive, *relation)
                && telescope(work, &rest, primitive, *relation, fuel);
            // Beside what is claimed other bounds say little.
            if found && place < own.len() {
                return;
            }
        }
        // A bound that is claimed may begin later, as 1/(k k!) does.
        if found && own.is_empty() {
            return;
        }
        whole = rest;
    }
}

/// The bound that is claimed, as a primitive: Σ t(k) R F(n) follows from F(k) − F(k − 1) R t(k).
pub(super) fn claimed(
    work: &Work,
    (index, from, to): (&Symbol, &Expr, Option<&Expr>),
    bound: &Expr,
) -> Vec<(Expr, Relation)> {
    let end = to.unwrap_or(from);
    let Some(poly) = work.poly(end) else {
        return Vec::new();
    };
    // A name of the end alone, as p in Σ from n + 1 to n + p, is counted first.
    let mut names: Vec<Symbol> = poly
        .atoms()
        .iter()
        .filter_map(|atom| atom.as_variable().cloned())
        .collect();
    names.sort_by_key(|name| to.is_some() && from.mentions(name));
    let Some(n) = names.into_iter().next() else {
        return Vec::new();
    };
    let shift = poly.minus(&Poly::atom(Expr::variable(&n))).to_expr();
    if shift.mentions(&n) || !bound.mentions(&n) {
        return Vec::new();
    }
    // The end of the sum is n + shift.
    let k = Expr::variable(index).minus(&shift);
    let (place, turned) = match to {
        Some(_) => (k.minus(&Expr::integer(1)), true),
        None => (k, false),
    };
    let value = bound.substitute(&n, &place);
    let primitive = if turned { value.negative() } else { value };
    [Relation::Equal, Relation::GreaterEqual, Relation::LessEqual]
        .into_iter()
        .map(|relation| (primitive.clone(), relation))
        .chain([(primitive.negative(), Relation::LessEqual)])
        .collect()
}

/// Whether the changes of a primitive relate so to the terms at sampled places.
pub(super) fn fits(work: &Work, whole: &Expr, primitive: &Expr, relation: Relation) -> bool {
    let Some(run) = Run::of(whole) else {
        return false;
    };
    let next = Expr::variable(run.index).plus(&Expr::integer(1));
    let later = primitive.substitute(run.index, &next);
    places(work, &run, run.index).all(|at| {
        let [here, there, term] =
            [primitive, &later, run.body].map(|expr| sample::value(expr, &at));
        // Powers and factorials beyond all numbers say nothing.
        if term.is_nan() {
            return true;
        }
        let (gap, term) = if run.product {
            (there, term * here)
        } else {
            (here - there, term)
        };
        let slack = 1e-9 * (gap.abs() + term.abs()) + 1e-14 * (here.abs() + there.abs());
        match relation {
            Relation::GreaterEqual | Relation::Greater => gap >= term - slack,
            Relation::LessEqual | Relation::Less => gap <= term + slack,
            _ => (gap - term).abs() <= slack,
        }
    })
}

/// The closed form of a geometric sum as a fact.
pub(super) fn geometric(work: &mut Work, sum: &Expr, fuel: &mut Fuel<'_>) -> bool {
    let endless = Run::of(sum).is_some_and(|run| run.to.is_none());
    ratios(work, sum).into_iter().any(|ratio| {
        if endless {
            // The size of the ratio may take a few steps.
            let one = Expr::integer(1);
            inner_relation(work, &one, Relation::Greater, &ratio, fuel);
            inner_relation(work, &ratio, Relation::Greater, &one.negative(), fuel);
        }
        work.take(Step::Geometric(sum.clone(), ratio))
    })
}

/// The closed form of a geometric sum.
pub(super) fn closed_form(work: &Work, sum: &Expr) -> Option<Expr> {
    let Node::Sum {
        index,
        from,
        to,
        body,
    } = sum.node()
    else {
        return None;
    };
    let ratio = ratios(work, sum).into_iter().find(|ratio| {
        let step = Step::Geometric(sum.clone(), ratio.clone());
        work.clone().take(step)
    })?;
    let one = Expr::integer(1);
    let first = body.substitute(index, from);
    let rest = to.as_ref().map(|to| body.substitute(index, &to.plus(&one)));
    let whole = rest.map_or(first.clone(), |rest| first.minus(&rest));
    Some(whole.over(&one.minus(&ratio)))
}

/// The goal with a geometric sum in closed form.
pub(super) fn by_closed_form(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let sum = &[left, right].into_iter().find_map(first_sum)?;
    let work = Work::of(problem, fuel);
    let closed = closed_form(&work, sum)?;
    let claim = (
        left.replace(sum, &closed),
        *relation,
        right.replace(sum, &closed),
    );
    super::calculus::through(problem, claim, level, fuel)
}

/// What may be the ratio of a sum's terms.
pub(super) fn ratios(work: &Work, sum: &Expr) -> Vec<Expr> {
    let Node::Sum {
        index,
        from,
        to,
        body,
    } = sum.node()
    else {
        return Vec::new();
    };
    let limits = (from, to.as_ref());
    let Some((inner, own)) = parts::inside(&work.context, index, limits, &[body]) else {
        return Vec::new();
    };
    let next = body.substitute(index, &own.plus(&Expr::integer(1)));
    let here = body.substitute(index, &own);
    let mut ratios = Vec::new();
    if let Some(form) = inner.normal(&next.over(&here)) {
        ratios.push(form.to_expr());
    }
    // x^k where x may be 0: the base itself is the ratio.
    body.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && exponent.mentions(index)
            && !base.mentions(index)
        {
            ratios.push(base.clone());
            ratios.push(base.power(&Expr::integer(2)));
        }
    });
    ratios.retain(|ratio| {
        !ratio.mentions(index) && own.as_variable().is_some_and(|own| !ratio.mentions(own))
    });
    ratios
}

/// Guesses for G with G(k) − G(k + 1) R t(k).
pub(super) fn primitives(
    index: &Symbol,
    from: &Expr,
    to: Option<&Expr>,
    body: &Expr,
) -> Vec<(Expr, Relation)> {
    let k = Expr::variable(index);
    let (one, two, zero) = (Expr::integer(1), Expr::integer(2), Expr::integer(0));
    let before = k.minus(&one);
    let mut all = Vec::new();
    let upper = Relation::GreaterEqual;
    // c/(k − 1) where t(k) is about c/k².
    let c = Expr::number(quadratic_rate(index, body).unwrap_or(RBig::ONE));
    for shape in [
        c.over(&k),
        c.over(&before),
        c.over(&k.minus(&Expr::ratio(1, 2))),
        one.over(&two.times(&before.power(&two))),
        one.over(&two.times(&k.times(&before))),
        two.over(&before.sqrt()),
        one.over(&Expr::integer(3).times(&before.power(&Expr::integer(3)))),
    ] {
        all.push((shape.clone(), upper));
        if to.is_some() {
            // Terms of both signs, as sin(k x)/k².
            all.push((shape.negative(), Relation::LessEqual));
        }
    }
    // Terms over factorials: 1/k! ≤ c (1/(k−1)! − 1/k!) · …
    let factorial = one.over(&before.call(Function::Factorial));
    let scaled = k.over(&before.times(&k.call(Function::Factorial)));
    // (k + 1)/(k k!), which leaves a strict inequality.
    let strict = k.plus(&one).over(&k.times(&k.call(Function::Factorial)));
    all.push((scaled, upper));
    all.push((factorial, upper));
    all.push((strict, upper));
    // Below a geometric series with the ratio u/(k + 1) for u^k/k!.
    for base in exponential_bases(index, body) {
        let rate = k.plus(&one).over(&k.plus(&one).minus(&base));
        all.push((body.times(&rate), upper));
    }
    // 1/k! ≤ 2/2^k
    all.push((Expr::integer(4).over(&two.power(&k)), upper));
    // t(k) times (k + c): exact for 1/(k(k+1)) and its like.
    all.push((body.times(&k.plus(&one)), Relation::Equal));
    all.push((body.times(&k), upper));
    if to.is_some() {
        // Σ 1/√k and its like, from below and above, count times first or last term.
        all.push((two.times(&before.sqrt()).negative(), upper));
        all.push((two.times(&k.sqrt()).negative(), Relation::LessEqual));
        all.push((before.call(Function::Log).negative(), upper));
        all.push((k.call(Function::Log).negative(), Relation::LessEqual));
        let first = body.substitute(index, from);
        all.push((k.times(&first).negative(), upper));
        all.push((k.times(&first).negative(), Relation::LessEqual));
        if let Some(to) = to {
            let last = body.substitute(index, to);
            all.push((k.times(&last).negative(), upper));
            all.push((k.times(&last).negative(), Relation::LessEqual));
        }
        all.push((zero, Relation::LessEqual));
        // Sums of powers of the index.
        let square = k.times(&before).over(&two).negative();
        let cube = Expr::product_of(vec![k.clone(), before.clone(), two.times(&k).minus(&one)])
            .over(&Expr::integer(6))
            .negative();
        all.push((square, Relation::Equal));
        all.push((cube, Relation::Equal));
    }
    all
}

/// u where a term holds u^k beside a factorial.
fn exponential_bases(index: &Symbol, body: &Expr) -> Vec<Expr> {
    let (mut bases, mut factorial): (Vec<Expr>, bool) = (Vec::new(), false);
    body.visit(&mut |part| match part.node() {
        Node::Pow(base, exponent) if exponent.mentions(index) && !base.mentions(index) => {
            bases.push(base.clone());
        }
        Node::Call(Function::Factorial, inner) => factorial |= inner.mentions(index),
        _ => {}
    });
    bases.retain(|_| factorial);
    bases
}

/// c with t(k) k² → c, if it is simple.
fn quadratic_rate(index: &Symbol, body: &Expr) -> Option<RBig> {
    let at = |k: f64| {
        let value = sample::value(body, &[(index.clone(), k)].into());
        value * k * k
    };
    let (near, far) = (at(1e5), at(1e7));
    let exact = RBig::try_from((far * 36.0).round()).ok()? / RBig::from(36);
    let error = (far - exact.to_f64().value()).abs();
    let settled = (near - far).abs() < 1e-3 * far && error < 1e-4;
    (settled && exact > RBig::ZERO).then_some(exact)
}
