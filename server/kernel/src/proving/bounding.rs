//! Sums and products through a bound of them: a primitive is chosen in floating point such that
//! the claim with the bound in place of the sum still looks true; only then is it proved.

use super::candidates;
use super::define::{define, strengthen};
use super::establish::{establish, fact_term};
use super::memory::situation;
use super::reduction::{along_limits, first_value};
use super::sample;
use super::series::known_series;
use super::solve::{leaf_without_sums, solve as search};
use super::sums::{claimed, closed_form, fits, geometric};
use super::telescoping::{squeeze, telescope, telescope_falling};
use super::work::Work;
use crate::expr::{Condition, Expr, Node, Relation, Run, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Origin, Problem};
use crate::recheck::{Proof, Sign, Signed, Step, Term, parts};
use dashu::rational::RBig;

/// Bounds that are tried at most.
const BOUNDS: usize = 3;
/// Primitives that give the same bound, of which one may be easier to show.
const WAYS: usize = 2;
/// Steps of fuel for showing one bound.
const NEAR: u64 = 6_000;
/// Terms that are split off at most.
const PEELED: i64 = 4;
/// Terms split off one by one from a sum that begins at a name.
const PEELED_UNKNOWN: i64 = 1;

/// A bound of a sum or product, and how it is found.
#[derive(Clone)]
struct Bound {
    /// whole R value
    relation: Relation,
    value: Expr,
    /// Terms split off first.
    peeled: i64,
    /// What bounds the rest, and how its change relates to the term.
    primitive: (Expr, Relation),
}

/// Sums and products up to an integer, by induction.
pub(super) fn up_to(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let mut part = fuel.part(fuel.left() / 2);
    let found = along_limits(problem, level, &mut part);
    fuel.refund(&part);
    found
}

/// Searches the goal through a bound of one of its sums or products.
pub(super) fn solve(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let whole = first(problem, fuel)?;
    let gap = match relation {
        Relation::Less | Relation::LessEqual => right.minus(left),
        _ => left.minus(right),
    };
    let strict = matches!(relation, Relation::Less | Relation::Greater);
    let wanted = match relation {
        Relation::Equal => Relation::Equal,
        Relation::NotEqual => return None,
        _ => direction(problem, &gap, &whole, fuel)?,
    };
    // What is known of the usual series says more.
    if let Some(run) = Run::sum(&whole)
        && let Some(to) = run.to
        && known_series(
            &mut Work::of(problem, fuel),
            &whole,
            (run.index, run.from, to, run.body),
        )
    {
        return None;
    }
    let other = [(left, right), (right, left)]
        .into_iter()
        .find_map(|(own, other)| (*own == whole || *own == whole.abs()).then_some(other));
    // A geometric sum beside other terms is taken in closed form.
    let finite = Run::sum(&whole).is_some_and(|run| run.to.is_some());
    if other.is_none() && finite && closed_form(&Work::of(problem, fuel), &whole).is_some() {
        return None;
    }
    let all = bounds(problem, &whole, (wanted, other), fuel);
    let mut tried = 0;
    for bound in all {
        if tried >= BOUNDS {
            return None;
        }
        let Some(kind) = plausible(
            problem,
            &gap.replace(&whole, &bound.value),
            (wanted, strict),
        ) else {
            continue;
        };
        if !fuel.take(20) {
            return None;
        }
        tried += 1;
        let ways: &[bool] = match kind {
            Kind::Clear => &[false],
            Kind::Touching => &[false, true],
            Kind::Tight => &[true],
        };
        for sharp in ways {
            let mut part = fuel.part(fuel.left() / 2);
            let found = through(problem, (&whole, &gap), (&bound, *sharp), level, &mut part);
            fuel.refund(&part);
            if found.is_some() {
                return found;
            }
        }
    }
    None
}

/// The sums and products in an expression.
pub(super) fn runs(expr: &Expr, all: &mut Vec<Expr>) {
    expr.visit(&mut |part| {
        if Run::of(part).is_some() && !all.contains(part) {
            all.push(part.clone());
        }
    });
}

/// The first sum or product between integers that are not both numerals, or without end, of which
/// nothing was shown.
fn first(problem: &Problem, fuel: &Fuel<'_>) -> Option<Expr> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let mut told = Vec::new();
    for hypothesis in &problem.hypotheses {
        if hypothesis.origin == Origin::Earlier {
            hypothesis
                .condition
                .visit(&mut |part| runs(part, &mut told));
        }
    }
    let context = &situation(problem, fuel).context;
    let mut all = Vec::new();
    runs(left, &mut all);
    runs(right, &mut all);
    all.into_iter().find(|whole| {
        let known = |name: &Symbol| problem.variable(name).is_some();
        Run::of(whole).is_some_and(|run| {
            run.to
                .is_none_or(|to| to.as_number().is_none() && context.is_whole(to))
        }) && whole.variables().iter().all(known)
            && !told.contains(whole)
    })
}

/// Whether the goal asks for a bound above (≤) or below (≥).
fn direction(problem: &Problem, gap: &Expr, whole: &Expr, fuel: &Fuel<'_>) -> Option<Relation> {
    let unknown = Expr::named("Σ");
    let name = unknown.as_variable()?;
    let moved = gap.replace(whole, &unknown);
    situation(problem, fuel).fewer.iter().find_map(|at| {
        let near = sample::value(whole, at);
        let near = if near.is_finite() { near } else { 0.5 };
        let value = |expr: &Expr, own: f64| {
            let mut at = at.clone();
            at.insert(name.clone(), own);
            sample::value(expr, &at)
        };
        let more = near + near.abs() * 0.01 + 1e-3;
        let (here, there) = (value(&moved, near), value(&moved, more));
        let differ = here.is_finite() && there.is_finite() && here != there;
        differ.then_some(if here < there {
            Relation::GreaterEqual
        } else {
            Relation::LessEqual
        })
    })
}

/// How the claim with a bound in place of the sum looks.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// True with room to spare, or an equation.
    Clear,
    /// An equation in places, as far out.
    Touching,
    /// An equation everywhere: a strict claim needs a strict bound.
    Tight,
}

fn plausible(problem: &Problem, gap: &Expr, (wanted, strict): (Relation, bool)) -> Option<Kind> {
    let (mut touching, mut apart) = (false, false);
    for at in &sample::points(problem, 30) {
        let value = sample::value(gap, at);
        if !value.is_finite() {
            continue;
        }
        let scale = size(gap, at);
        let close = value.abs() <= 1e-10 * scale;
        if wanted == Relation::Equal {
            close.then_some(())?;
        } else if value < 0.0 && !close {
            return None;
        }
        touching |= close && strict;
        apart |= !close;
    }
    Some(match (touching, apart) {
        (false, _) => Kind::Clear,
        (true, true) => Kind::Touching,
        (true, false) => Kind::Tight,
    })
}

/// The size of the summands, against which a difference is small.
fn size(expr: &Expr, at: &sample::Values) -> f64 {
    match expr.node() {
        Node::Add(items) => items.iter().map(|item| size(item, at)).sum(),
        Node::Neg(inner) => size(inner, at),
        _ => sample::value(expr, at).abs(),
    }
}

/// Bounds in the order in which they are tried.
fn bounds(
    problem: &Problem,
    whole: &Expr,
    (wanted, other): (Relation, Option<&Expr>),
    fuel: &mut Fuel<'_>,
) -> Vec<Bound> {
    let Some(run) = Run::of(whole) else {
        return Vec::new();
    };
    let mut work = Work::of(problem, fuel);
    let mut all: Vec<Bound> = Vec::new();
    // Terms that move with the limit are not split off one by one.
    let depends = run.to.is_some_and(|to| {
        let names = run.body.variables();
        to.variables().iter().any(|name| names.contains(name))
    });
    let most = if wanted == Relation::Equal {
        0
    } else if run.from.as_number().is_some() && !depends {
        PEELED
    } else {
        PEELED_UNKNOWN
    };
    for peeled in 0..=most {
        let from = shifted(run.from, peeled);
        let rest = run.between(from.clone(), run.to.cloned());
        let Some(own) = Run::of(&rest) else { continue };
        let mut found = if run.product {
            candidates::of_product(&work, &own, fuel)
        } else {
            candidates::of_sum(&work, &own, fuel)
        };
        if let Some(other) = other.filter(|_| peeled == 0) {
            let claimed = own_bound(&work, &own, other);
            // The claim of a block from n + 1 to n + p is one of many ways to count its terms.
            let block = run
                .to
                .is_some_and(|to| to.variables().iter().any(|name| run.from.mentions(name)));
            let place = if block { found.len() } else { 0 };
            found.splice(place..place, claimed);
        }
        for (primitive, link) in found {
            let fitting = link == Relation::Equal || link.flipped() == wanted;
            let signed = run.to.is_none() && link == Relation::GreaterEqual;
            if !fuel.take(1) {
                return all;
            }
            if !(fitting || signed) || !fits(&work, &rest, &primitive, link) {
                continue;
            }
            if !fitting && !fits(&work, &negative(&own), &primitive, link) {
                continue;
            }
            let Some(value) = value(&mut work, &run, peeled, (&primitive, !fitting), fuel) else {
                continue;
            };
            if all.iter().filter(|own| own.value == value).count() >= WAYS {
                continue;
            }
            all.push(Bound {
                relation: wanted,
                value,
                peeled,
                primitive: (primitive, link),
            });
        }
    }
    all
}

/// The series of the negative terms.
fn negative(run: &Run) -> Expr {
    Node::Sum {
        index: run.index.clone(),
        from: run.from.clone(),
        to: run.to.cloned(),
        body: run.body.negative(),
    }
    .into()
}

/// The claimed bound as a primitive.
fn own_bound(work: &Work, run: &Run, other: &Expr) -> Vec<(Expr, Relation)> {
    let all = claimed(work, (run.index, run.from, run.to), other);
    if !run.product {
        return all;
    }
    // A product of factors has the bound itself as primitive.
    let own = all
        .into_iter()
        .map(|(own, relation)| (own.negative(), relation));
    own.map(|(own, relation)| {
        let form = work.context.normal(&own);
        (form.map_or(own, |form| form.to_expr()), relation)
    })
    .collect()
}

fn shifted(from: &Expr, steps: i64) -> Expr {
    match from.as_number() {
        _ if steps == 0 => from.clone(),
        Some(value) => Expr::number(value + RBig::from(steps)),
        None => from.plus(&Expr::integer(steps)),
    }
}

/// The first terms and what the primitive says of the rest; `turned` for a bound below from one of
/// the absolute values.
fn value(
    work: &mut Work,
    run: &Run,
    peeled: i64,
    (primitive, turned): (&Expr, bool),
    fuel: &mut Fuel<'_>,
) -> Option<Expr> {
    let at = |place: &Expr| primitive.substitute(run.index, place);
    let start = at(&shifted(run.from, peeled));
    let end = run.to.map(|to| at(&to.plus(&Expr::integer(1))));
    let simple = |work: &Work, value: &Expr| work.context.normal(value).map(|form| form.to_expr());
    let joined = |rest: Expr| {
        let terms = (0..peeled)
            .rev()
            .map(|step| run.at(&shifted(run.from, step)));
        terms.fold(rest, |rest, term| run.joined(&term, &rest))
    };
    let (whole, end) = match end {
        Some(end) if run.product => (joined(end.over(&start)), None),
        None if turned => (joined(start.negative()), None),
        end => (joined(start), end),
    };
    if simple(work, &whole).is_none() {
        let mut part = fuel.attempt(800);
        define(work, &whole, &mut part);
        fuel.refund(&part);
    }
    let whole = simple(work, &whole)?;
    let end = match end {
        Some(end) => simple(work, &end)?,
        None => Expr::integer(0),
    };
    if end.as_number().is_some() || whole.as_number().is_some_and(|value| value.is_zero()) {
        return simple(work, &whole.minus(&end));
    }
    Some(whole.minus(&end))
}

/// The goal by a bound: that it is one, the goal with it in place of the sum, and back.
fn through(
    problem: &Problem,
    (whole, gap): (&Expr, &Expr),
    (bound, strict): (&Bound, bool),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let run = Run::of(whole)?;
    if let Some(found) = late(problem, &run, (whole, gap), (bound, strict), level, fuel) {
        return found;
    }
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let sharp = |own: Relation| match own {
        Relation::LessEqual if strict => Relation::Less,
        Relation::GreaterEqual if strict => Relation::Greater,
        other => other,
    };
    let near = sharp(bound.relation);
    let claim = Condition::Holds(whole.clone(), near, bound.value.clone());
    let case = problem.with_goal(Goal::Holds(whole.clone(), near, bound.value.clone()));
    let mut part = fuel.part(NEAR.min(fuel.left() / 2));
    let steps = telescoped(&case, &run, (whole, bound), near, &mut part);
    fuel.refund(&part);
    let steps = steps?;
    // The bound may be the claim itself.
    let mut context = situation(problem, fuel).context.clone();
    let follow = steps.iter().all(|step| context.step(step).is_some());
    if follow && parts::closes(&context, &problem.goal) {
        return Some(Proof::Direct(steps));
    }
    let first = Box::new(Proof::Direct(steps));
    let between = problem.assuming(claim.clone(), Origin::Earlier);
    let mut part = fuel.attempt(4_000);
    let rest = leaf_without_sums(&between, &mut part);
    fuel.refund(&part);
    if let Some(rest) = rest {
        let rest = Box::new(Proof::Direct(rest));
        return Some(Proof::Through { claim, first, rest });
    }
    let relation = if strict {
        relation.weakened()
    } else {
        *relation
    };
    let [left, right] = [left, right].map(|side| side.replace(whole, &bound.value));
    let second = Condition::Holds(left.clone(), relation, right.clone());
    // The claim without the sum comes first, so that its proof sees nothing of the sum.
    let supposing = problem.assuming(second.clone(), Origin::Earlier);
    let later = supposing.assuming(claim.clone(), Origin::Earlier);
    let mut part = fuel.attempt(6_000);
    let last = leaf_without_sums(&later, &mut part);
    fuel.refund(&part);
    let last = Proof::Direct(last?);
    let case = supposing.with_goal(case.goal);
    let mut part = fuel.part(NEAR.min(fuel.left() / 2));
    let first = telescoped(&case, &run, (whole, bound), near, &mut part);
    fuel.refund(&part);
    let first = Box::new(Proof::Direct(first?));
    let far = problem.with_goal(Goal::Holds(left, relation, right));
    let far = search(&far, level, fuel)?;
    Some(Proof::Through {
        claim: second,
        first: Box::new(far),
        rest: Box::new(Proof::Through {
            claim,
            first,
            rest: Box::new(last),
        }),
    })
}

/// Where so many terms are split off that the first values of the upper limit have fewer, these are
/// looked at one by one. The outer value is `None` if there is no need.
fn late(
    problem: &Problem,
    run: &Run,
    (whole, gap): (&Expr, &Expr),
    (bound, strict): (&Bound, bool),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Option<Proof>> {
    let n = run.to?.as_variable()?.clone();
    let from = run.from.as_number()?;
    let from = i64::try_from(from.numerator().clone()).ok()?;
    let (least, need) = (first_value(problem, &n, fuel)?, from + bound.peeled - 1);
    (least < need).then(|| {
        let single = (least..need)
            .map(|value| {
                let case = parts::with_value(problem, &n, &Expr::integer(value))?;
                search(&case, level.min(3), fuel)
            })
            .collect::<Option<Vec<_>>>()?;
        let later = Condition::Holds(
            Expr::variable(&n),
            Relation::GreaterEqual,
            Expr::integer(need),
        );
        let tail = problem.assuming(later, Origin::Domain);
        let tail = through(&tail, (whole, gap), (bound, strict), level, fuel)?;
        Some(Proof::Values {
            variable: n,
            from: least,
            single,
            tail: Box::new(tail),
        })
    })
}

/// The steps that show the bound.
fn telescoped(
    case: &Problem,
    run: &Run,
    (whole, bound): (&Expr, &Bound),
    relation: Relation,
    fuel: &mut Fuel<'_>,
) -> Option<Vec<Step>> {
    let mut work = Work::of(case, fuel);
    strengthen(&mut work);
    let from = shifted(run.from, bound.peeled);
    let rest = run.between(from.clone(), run.to.cloned());
    let one = Expr::integer(1);
    if let Some(to) = run.to {
        let count = work.poly(&to.plus(&one).minus(&from))?;
        let strict = matches!(relation, Relation::Less | Relation::Greater);
        let sign = if strict {
            Sign::Positive
        } else {
            Sign::NonNegative
        };
        establish(&mut work, &count, sign, 2, fuel).then_some(())?;
    }
    let at = |place: &Expr| bound.primitive.0.substitute(run.index, place);
    define(&mut work, &at(&from), fuel).then_some(())?;
    let (primitive, link) = &bound.primitive;
    let link = if *link == Relation::Equal || relation == Relation::Equal {
        Relation::Equal
    } else if relation.flipped().weakened() == *link {
        relation.flipped()
    } else {
        *link
    };
    known_to_converge(&mut work, &rest, run, link, fuel).then_some(())?;
    let before = work.len();
    let shown = run.to.is_none() && link == Relation::Equal && geometric(&mut work, &rest, fuel)
        || telescope(&mut work, &rest, primitive, link, fuel)
        || alternating(&mut work, &rest, primitive, link, fuel);
    shown.then_some(())?;
    let place = (before..work.len()).next()?;
    joined(
        &mut work,
        (run, whole),
        (bound, &rest, relation, place),
        fuel,
    )?;
    define(&mut work, &bound.value, fuel).then_some(())?;
    parts::closes(&work.context, &case.goal).then_some(work.steps)
}

/// A bound below of a series asks for its convergence first.
fn known_to_converge(
    work: &mut Work,
    rest: &Expr,
    run: &Run,
    link: Relation,
    fuel: &mut Fuel<'_>,
) -> bool {
    if run.to.is_some() || !matches!(link, Relation::Less | Relation::LessEqual) {
        return true;
    }
    let Some(own) = Run::of(rest) else {
        return false;
    };
    let above = Relation::GreaterEqual;
    candidates::of_sum(work, &own, fuel)
        .into_iter()
        .filter(|(primitive, link)| *link == above && fits(work, rest, primitive, above))
        .collect::<Vec<_>>()
        .into_iter()
        .take(BOUNDS)
        .any(|(primitive, _)| telescope(work, rest, &primitive, above, fuel))
}

/// A bound of an alternating sum by half of t ± |t|.
fn alternating(
    work: &mut Work,
    rest: &Expr,
    primitive: &Expr,
    link: Relation,
    fuel: &mut Fuel<'_>,
) -> bool {
    let Some(run) = Run::of(rest) else {
        return false;
    };
    let all = super::primitives::alternating(run.index, run.body);
    let [(upper, _), (lower, _)] = all.as_slice() else {
        return false;
    };
    let size = upper.minus(lower);
    if run.to.is_none() {
        return squeeze(work, rest, (lower, upper), fuel);
    }
    telescope_falling(work, rest, (primitive, link), Some(&size), fuel)
}

/// Puts the terms that were split off and the bound of the rest together.
fn joined(
    work: &mut Work,
    (run, whole): (&Run, &Expr),
    (bound, rest, relation, place): (&Bound, &Expr, Relation, usize),
    fuel: &mut Fuel<'_>,
) -> Option<()> {
    let mut links = Vec::new();
    for step in (0..bound.peeled).rev() {
        let part = run.between(shifted(run.from, step), run.to.cloned());
        work.take(Step::Peel(part)).then_some(())?;
        links.push((work.len() - 1, step));
    }
    let (gap, sign) = Sign::of_relation(whole, relation, &bound.value);
    let poly = work.poly(&gap)?;
    if work.knows(&poly, sign) {
        return Some(());
    }
    // c · fact of the rest ∓ D · equations, where D is the denominator of that fact, and c the
    // product of the factors before.
    let before = |step: i64| {
        let terms = (0..step).map(|own| run.at(&shifted(run.from, own)));
        Expr::product_of(terms.filter(|_| run.product).collect())
    };
    let scale = work
        .context
        .normal(&before(bound.peeled))
        .and_then(|form| form.as_poly()?.as_constant());
    if let Some(divisor) = divisor(work, rest, bound, fuel)
        && let Some(coefficient) = scale.filter(RBig::is_positive)
    {
        let turned = matches!(relation, Relation::Greater | Relation::GreaterEqual);
        let factor = if turned { divisor } else { divisor.negative() };
        let multiples = links
            .iter()
            .map(|(own, step)| (*own, factor.times(&before(*step))))
            .collect();
        let term = Term {
            coefficient,
            ..fact_term(vec![place])
        };
        let taken = work.take(Step::Combine(vec![term], multiples));
        if taken && work.knows(&poly, sign) {
            return Some(());
        }
    }
    let mut part = fuel.attempt(4_000);
    let done = establish(work, &poly, sign, 3, &mut part);
    fuel.refund(&part);
    done.then_some(())
}

/// The denominator of the difference of the rest and its bound.
fn divisor(work: &mut Work, rest: &Expr, bound: &Bound, fuel: &mut Fuel<'_>) -> Option<Expr> {
    let own = Run::of(rest)?;
    let value = value(work, &own, 0, (&bound.primitive.0, false), fuel)?;
    let form = work.context.normal(&value.minus(rest))?;
    let mut whole = Expr::integer(1);
    for (factor, power) in form.denominator() {
        for _ in 0..*power {
            whole = whole.times(&factor.to_expr());
        }
    }
    Some(whole)
}
