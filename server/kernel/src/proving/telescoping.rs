//! Sums, products and series by a primitive: what is to be shown of one term, and the step that follows.

use super::establish::{DEPTH, establish, fact_term, place};
use super::sums::places;
use super::work::Work;
use crate::expr::{Expr, Function, Node, Relation, Run, Symbol};
use crate::fuel::Fuel;
use crate::recheck::{Context, Lemma, Poly, Proof, Sign, Step, parts};
use std::sync::Arc;

pub(super) fn telescope(
    work: &mut Work,
    sum: &Expr,
    primitive: &Expr,
    relation: Relation,
    fuel: &mut Fuel<'_>,
) -> bool {
    telescope_falling(work, sum, (primitive, relation), None, fuel)
}

/// The same; that `size` falls with the index is shown first, as an alternating sum needs it.
pub(super) fn telescope_falling(
    work: &mut Work,
    sum: &Expr,
    (primitive, relation): (&Expr, Relation),
    size: Option<&Expr>,
    fuel: &mut Fuel<'_>,
) -> bool {
    let Some(run) = Run::of(sum) else {
        return false;
    };
    let Some((mut inner, link)) = linked(work, &run, (primitive, relation), size, fuel) else {
        return false;
    };
    let zero = Expr::integer(0);
    if run.to.is_none() && !matches!(relation, Relation::GreaterEqual | Relation::Greater) {
        let Some(vanishing) = vanishes(work, run.index, primitive, fuel) else {
            return false;
        };
        return work.take(Step::Exhaust {
            sum: sum.clone(),
            primitive: primitive.clone(),
            relation,
            steps: inner.steps,
            vanishing: Box::new(vanishing),
        });
    }
    let above = Relation::GreaterEqual;
    let shown = run.to.is_some()
        || (inner_relation(&mut inner, &link.term, above, &zero, fuel)
            || inner_relation(&mut inner, &link.gap, above, &link.term.negative(), fuel))
            && inner_relation(&mut inner, &link.here, above, &zero, fuel);
    let step = Step::Telescope {
        sum: sum.clone(),
        primitive: primitive.clone(),
        relation,
        steps: inner.steps,
    };
    if !shown || work.take(step) {
        return shown;
    }
    // The ends of the primitive have divisors of their own.
    let known = work.len();
    super::define::define(work, &primitive.substitute(run.index, run.from), fuel)
        && known < work.len()
        && telescope(work, sum, primitive, relation, fuel)
}

/// A proof that a primitive tends to 0.
fn vanishes(work: &Work, index: &Symbol, primitive: &Expr, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let problem = parts::vanishing(&work.context, index, primitive)?;
    let mut part = fuel.attempt(8_000);
    let found = super::prove(&problem, &mut part);
    fuel.refund(&part);
    found
}

/// Bounds of an alternating series by two primitives that tend to 0.
pub(super) fn squeeze(
    work: &mut Work,
    sum: &Expr,
    (lower, upper): (&Expr, &Expr),
    fuel: &mut Fuel<'_>,
) -> bool {
    let Some(run) = Run::of(sum) else {
        return false;
    };
    let (above, size) = (Relation::GreaterEqual, upper.minus(lower));
    let Some((mut inner, link)) = linked(work, &run, (upper, above), Some(&size), fuel) else {
        return false;
    };
    let at = |place: &Expr| lower.substitute(run.index, place);
    let gap = at(&link.own).minus(&at(&link.own.plus(&Expr::integer(1))));
    if !inner_relation(&mut inner, &gap, Relation::LessEqual, &link.term, fuel) {
        return false;
    }
    let both = [lower, upper].map(|own| vanishes(work, run.index, own, fuel));
    let [Some(low), Some(high)] = both else {
        return false;
    };
    work.take(Step::Squeeze {
        sum: sum.clone(),
        lower: lower.clone(),
        upper: upper.clone(),
        steps: inner.steps,
        vanishing: vec![low, high],
    })
}

/// A sum below another one, term by term; by the sizes of its terms if it can be.
pub(super) fn termwise(work: &mut Work, sum: &Expr, other: &Expr, fuel: &mut Fuel<'_>) -> bool {
    let (Some(run), Some(against)) = (Run::sum(sum), Run::sum(other)) else {
        return false;
    };
    let Some((mut inner, own)) = within(work, &run, &[run.body, against.body]) else {
        return false;
    };
    let (here, there) = (run.at(&own), against.at(&own));
    let (above, relation) = (Relation::GreaterEqual, Relation::LessEqual);
    if !inner_relation(&mut inner, &here, relation, &there, fuel) {
        return false;
    }
    inner_relation(&mut inner, &here, above, &there.negative(), fuel);
    work.take(Step::Termwise {
        sum: sum.clone(),
        other: other.clone(),
        relation,
        steps: inner.steps,
    })
}

/// One term of a sum or product, and the change of a primitive there.
struct Link {
    own: Expr,
    term: Expr,
    here: Expr,
    gap: Expr,
}

/// The situation of one term, with sampled places in the range, and its index.
fn within(work: &Work, run: &Run, judged: &[&Expr]) -> Option<(Work, Expr)> {
    let limits = (run.from, run.to);
    let (context, own) = parts::inside(&work.context, run.index, limits, judged)?;
    let points = places(work, run, own.as_variable()?).collect();
    let inner = Work {
        points: Arc::new(points),
        ..Work::new(context)
    };
    Some((inner, own))
}

/// The situation of one term in which the primitive is shown to change as it should.
fn linked(
    work: &Work,
    run: &Run,
    (primitive, relation): (&Expr, Relation),
    size: Option<&Expr>,
    fuel: &mut Fuel<'_>,
) -> Option<(Work, Link)> {
    let (mut inner, own) = within(work, run, &[run.body, primitive])?;
    let next = own.plus(&Expr::integer(1));
    let [here, after] = [&own, &next].map(|place| primitive.substitute(run.index, place));
    let term = run.body.substitute(run.index, &own);
    if let Some(size) = size {
        let [here, later] = [&own, &next].map(|place| size.substitute(run.index, place));
        inner_relation(&mut inner, &here, Relation::GreaterEqual, &later, fuel).then_some(())?;
    }
    let (gap, part) = if run.product {
        let zero = Expr::integer(0);
        let above = Relation::GreaterEqual;
        if relation != Relation::Equal {
            inner_relation(&mut inner, &term, above, &zero, fuel).then_some(())?;
        }
        exponentials(
            &mut inner,
            (primitive, run.index),
            [&own, &next],
            &term,
            fuel,
        );
        (after, term.times(&here))
    } else {
        (here.minus(&after), term.clone())
    };
    inner_relation(&mut inner, &gap, relation, &part, fuel).then(|| {
        let link = Link {
            own,
            term,
            here,
            gap,
        };
        (inner, link)
    })
}

/// e^(u + h) = e^u e^h and e^h ≥ 1 + h, where h is the change of an exponent u in a primitive.
fn exponentials(
    inner: &mut Work,
    (primitive, index): (&Expr, &Symbol),
    at: [&Expr; 2],
    term: &Expr,
    fuel: &mut Fuel<'_>,
) {
    let mut exponents = Vec::new();
    primitive.visit(&mut |part| {
        if let Node::Call(Function::Exp, inner) = part.node()
            && inner.mentions(index)
        {
            exponents.push(inner.clone());
        }
    });
    for exponent in exponents {
        let [here, after] = at.map(|place| exponent.substitute(index, place));
        if !super::define::define(inner, &after, fuel) || !super::define::define(inner, &here, fuel)
        {
            continue;
        }
        let Some(change) = inner.context.normal(&after.minus(&here)) else {
            continue;
        };
        let change = change.to_expr();
        let above = Relation::GreaterEqual;
        let power = change.call(Function::Exp);
        inner_relation(inner, &Expr::integer(1).plus(&change), above, term, fuel);
        inner.take(Step::Lemma(Lemma::ExpTangent, vec![change.clone()]));
        if !inner_relation(inner, &power, above, term, fuel) {
            continue;
        }
        let gap = power.minus(term);
        let mut combined = || {
            let form = inner.context.normal(&gap)?;
            let poly = inner.context.signed_numerator(&form);
            let shown = place(inner, &poly, Sign::NonNegative)?;
            inner
                .take(Step::Known(here.call(Function::Exp), Sign::Positive))
                .then_some(())?;
            let positive = inner.len() - 1;
            inner
                .take(Step::Lemma(
                    Lemma::ExpSum,
                    vec![here.clone(), change.clone()],
                ))
                .then_some(())?;
            let below = form.denominator().iter().flat_map(|(factor, power)| {
                std::iter::repeat_n(factor.to_expr(), usize::try_from(*power).unwrap_or(0))
            });
            let divisor = Expr::product_of(below.collect());
            let term = fact_term(vec![shown, positive]);
            Some(Step::Combine(vec![term], vec![(inner.len() - 1, divisor)]))
        };
        if let Some(step) = combined() {
            inner.take(step);
        }
    }
}

pub(super) fn inner_relation(
    inner: &mut Work,
    left: &Expr,
    relation: Relation,
    right: &Expr,
    fuel: &mut Fuel<'_>,
) -> bool {
    if !super::define::define(inner, left, fuel) || !super::define::define(inner, right, fuel) {
        return false;
    }
    let signed = |context: &Context, expr: &Expr| {
        context
            .normal(expr)
            .map(|form| context.signed_numerator(&form))
    };
    let Some(poly) = signed(&inner.context, &left.minus(right)) else {
        return false;
    };
    // Without its lemmas a function is an unknown: little is tried before they are added.
    let transcendental = super::calculus::is_transcendental(&left.minus(right));
    let mut part = fuel.attempt(4_000);
    let mut first = part.part(if transcendental {
        part.left() / 2
    } else {
        part.left()
    });
    let mut done = show(inner, &poly, relation, &mut first);
    part.refund(&first);
    if !done && inner.context.is_defined(left) {
        super::lemmas::instantiate(inner, &[left, right], fuel);
        if let Some(poly) = signed(&inner.context, &left.minus(right)) {
            done = show(inner, &poly, relation, &mut part);
        }
        if !done
            && super::lemmas::instantiate_more(inner, &[left, right], fuel)
            && let Some(poly) = signed(&inner.context, &left.minus(right))
        {
            done = show(inner, &poly, relation, &mut part);
        }
    }
    fuel.refund(&part);
    done && inner.context.holds(left, relation, right)
}

fn show(inner: &mut Work, poly: &Poly, relation: Relation, fuel: &mut Fuel<'_>) -> bool {
    match relation {
        Relation::Greater => establish(inner, poly, Sign::Positive, DEPTH - 1, fuel),
        Relation::Less => establish(inner, &poly.negative(), Sign::Positive, DEPTH - 1, fuel),
        Relation::GreaterEqual => establish(inner, poly, Sign::NonNegative, DEPTH - 1, fuel),
        Relation::LessEqual => {
            establish(inner, &poly.negative(), Sign::NonNegative, DEPTH - 1, fuel)
        }
        _ => {
            let circular =
                |atom: &Expr| matches!(atom.node(), Node::Call(Function::Sin | Function::Cos, _));
            let factorial = |atom: &Expr| matches!(atom.node(), Node::Call(Function::Factorial, _));
            poly.is_zero()
                || poly
                    .atoms()
                    .iter()
                    .any(|atom| circular(atom) || factorial(atom))
                    && establish(inner, poly, Sign::Zero, DEPTH - 1, fuel)
        }
    }
}
