//! Goals rewritten before calculus: logarithms of products, cleared denominators.

use super::calculus::{closed_ends, is_transcendental, through};
use super::define::define;
use super::establish::{DEPTH, establish};
use super::memory::situation;
use super::sample;
use super::solve::{compare, solve as search};
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Kind, Origin, Problem};
use crate::recheck::{Lemma, Poly, Proof, Sign, Signed, Step, parts};
use dashu::rational::RBig;

/// Whether the goal is already a logarithm or arcus tangent plus a quotient, compared with 0.
fn is_divided(goal: &Goal) -> bool {
    let Goal::Holds(left, _, right) = goal else {
        return false;
    };
    let Node::Add(items) = left.node() else {
        return false;
    };
    let [first, _] = items.as_slice() else {
        return false;
    };
    let inner = match first.node() {
        Node::Neg(inner) => inner,
        _ => first,
    };
    right.as_number() == Some(RBig::ZERO)
        && matches!(inner.node(), Node::Call(Function::Log | Function::Atan, _))
}

/// The primitive numerator of left − right, with the relation that is to be shown.
fn numerator(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<(Work, Expr, Poly, Relation)> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) || is_divided(&problem.goal) {
        return None;
    }
    let mut work = Work::of(problem, fuel);
    if !define(&mut work, &gap, fuel) {
        return None;
    }
    let relation = if strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    let poly = work.poly(&gap)?;
    let (content, _, rest) = poly.split();
    let rest = if content.is_negative() {
        rest.negative()
    } else {
        rest
    };
    Some((work, gap, rest, relation))
}

/// The goal divided by the coefficient of a logarithm or arcus tangent, so that its derivative
/// is rational.
pub(super) fn through_logarithm(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (work, _, rest, relation) = numerator(problem, fuel)?;
    let real = |poly: &Poly| {
        poly.atoms().iter().any(|atom| {
            atom.variables()
                .iter()
                .any(|name| problem.variable(name).is_some_and(|v| v.kind == Kind::Real))
        })
    };
    for atom in rest.atoms() {
        if !matches!(atom.node(), Node::Call(Function::Log | Function::Atan, _)) {
            continue;
        }
        let coefficients = rest.coefficients_in(&atom);
        let [p, q] = coefficients.as_slice() else {
            continue;
        };
        // A constant coefficient is no hindrance, nor is one that is constant along all reals.
        if q.as_constant().is_some() || real(&rest) && !real(q) {
            continue;
        }
        let own = work.context.sign_of(q);
        if !own.differs || !(own.at_least || own.at_most) {
            continue;
        }
        let (p, q, l) = if own.at_least {
            (p.clone(), q.clone(), atom.clone())
        } else {
            (p.clone(), q.negative(), atom.negative())
        };
        let Some(quotient) = work.context.normal(&p.to_expr().over(&q.to_expr())) else {
            continue;
        };
        let claim = (l.plus(&quotient.to_expr()), relation, Expr::integer(0));
        if let Some(proof) = through(problem, claim, level, fuel) {
            return Some(proof);
        }
    }
    None
}

/// The goal cleared of denominators and positive factors.
pub(super) fn through_numerator(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (_, gap, rest, relation) = numerator(problem, fuel)?;
    let zero = Expr::integer(0);
    let simple = rest.to_expr();
    if simple == gap || rest.count() > 24 {
        return None;
    }
    let form = Goal::Holds(simple.clone(), relation, zero.clone());
    if form == problem.goal || goal_is(&problem.goal, &simple) {
        return None;
    }
    through(problem, (simple, relation, zero), level, fuel)
}

/// c^(1/n) ≤ u from c ≤ u^n, the same with <, and u ≤ c^(1/n) from u^n ≤ c.
pub(super) fn by_root_order(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let (gap, strict) = parts::difference(&problem.goal)?;
    let (base, n) = integer_root(&gap)?;
    let known = situation(problem, fuel);
    let context = &known.context;
    let one = Expr::integer(1);
    let root = base.power(&one.over(&n));
    // gap = ±(u − c^(1/n)), or what is left after it was moved to the other side.
    let turned = context
        .normal(&gap.plus(&root))
        .is_none_or(|form| integer_root(&form.to_expr()).is_some());
    let other = match (left == &root, right == &root, turned) {
        (true, ..) => right.clone(),
        (_, true, _) => left.clone(),
        (.., false) => context.normal(&gap.plus(&root))?.to_expr(),
        (.., true) => context.normal(&root.minus(&gap))?.to_expr(),
    };
    if integer_root(&other).is_some() || turned && strict {
        return None;
    }
    let relation = if strict {
        Relation::Less
    } else {
        Relation::LessEqual
    };
    let powered = other.power(&n);
    let (low, high) = if turned {
        (powered, base.clone())
    } else {
        (base.clone(), powered)
    };
    let claim = Condition::Holds(low.clone(), relation, high.clone());
    let case = problem.with_goal(Goal::Holds(low, relation, high));
    if !sample::is_plausible(&case, fuel) {
        return None;
    }
    let later = problem.assuming(claim.clone(), Origin::Earlier);
    let mut rest = Work::of(&later, fuel);
    if !define(&mut rest, left, fuel) || !define(&mut rest, right, fuel) {
        return None;
    }
    let poly = rest.poly(&other)?;
    let lemma = match (turned, strict) {
        (true, _) => Lemma::RootAbove,
        (_, true) => Lemma::RootStrictOrder,
        _ => Lemma::RootOrder,
    };
    let step = Step::Lemma(lemma, vec![other, base, n]);
    if !establish(&mut rest, &poly, Sign::NonNegative, DEPTH - 1, fuel) || !rest.take(step) {
        return None;
    }
    let first = search(&case, level, fuel)?;
    Some(Proof::Through {
        claim,
        first: Box::new(first),
        rest: Box::new(Proof::Direct(rest.steps)),
    })
}

/// log u ≤ v from u ≤ e^v, v ≤ log u from e^v ≤ u, and the same with <.
pub(super) fn by_exponential_order(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let (gap, strict) = parts::difference(&problem.goal)?;
    let mut logarithms = Vec::new();
    gap.visit(&mut |part| {
        if let Node::Call(Function::Log, u) = part.node()
            && !u.variables().is_empty()
            && !logarithms.contains(u)
        {
            logarithms.push(u.clone());
        }
    });
    let [u] = logarithms.as_slice() else {
        return None;
    };
    let known = situation(problem, fuel);
    let log = u.call(Function::Log);
    let above = known.context.normal(&gap.minus(&log))?;
    let below = known.context.normal(&gap.plus(&log))?;
    let free = |form: &crate::recheck::Fraction| {
        let mut seen = false;
        form.to_expr()
            .visit(&mut |part| seen |= matches!(part.node(), Node::Call(Function::Log, _)));
        !seen
            && u.variables()
                .iter()
                .all(|name| !form.to_expr().mentions(name))
    };
    // gap = log u − v or v − log u
    let (lesser, greater) = if free(&above) {
        (above.to_expr().negative().call(Function::Exp), u.clone())
    } else if free(&below) {
        (u.clone(), below.to_expr().call(Function::Exp))
    } else {
        return None;
    };
    let (relation, lemma) = if strict {
        (Relation::Less, Lemma::LogStrictMonotone)
    } else {
        (Relation::LessEqual, Lemma::LogMonotone)
    };
    let claim = Condition::Holds(lesser.clone(), relation, greater.clone());
    let case = problem.with_goal(Goal::Holds(lesser.clone(), relation, greater.clone()));
    if !sample::is_plausible(&case, fuel) {
        return None;
    }
    let later = problem.assuming(claim.clone(), Origin::Earlier);
    let mut rest = Work::of(&later, fuel);
    if !define(&mut rest, left, fuel)
        || !define(&mut rest, right, fuel)
        || !rest.take(Step::Lemma(lemma, vec![lesser, greater]))
    {
        return None;
    }
    let first = search(&case, level, fuel)?;
    Some(Proof::Through {
        claim,
        first: Box::new(first),
        rest: Box::new(Proof::Direct(rest.steps)),
    })
}

/// c and n of the first c^(1/n) in an expression.
fn integer_root(expr: &Expr) -> Option<(Expr, Expr)> {
    let mut found = None;
    expr.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && let Node::Div(one, n) = exponent.node()
            && one.as_number() == Some(RBig::ONE)
            && !n.variables().is_empty()
            && found.is_none()
        {
            found = Some((base.clone(), n.clone()));
        }
    });
    found
}

/// Goals between products with powers or exponentials are taken to logarithms before all else,
/// ends at which a side is 0 split off.
pub(super) fn logarithm_first(
    problem: &Problem,
    names: &[Symbol],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (greater, smaller, _) = products(problem, fuel)?;
    let mut powers = false;
    for side in [&greater, &smaller] {
        side.visit(&mut |part| {
            powers |= match part.node() {
                Node::Pow(_, exponent) => exponent.as_number().is_none(),
                Node::Call(Function::Exp | Function::Factorial, _) => true,
                _ => false,
            };
        });
    }
    if !powers {
        return None;
    }
    for name in names {
        if problem.variable(name)?.kind != Kind::Real {
            continue;
        }
        let own = Expr::variable(name);
        for bound in &closed_ends(problem, name) {
            let vanishes = [&greater, &smaller].iter().any(|side| {
                let at_end = side.substitute(name, bound);
                sample::points(problem, 3)
                    .iter()
                    .map(|at| sample::value(&at_end, at))
                    .any(|value| value.is_nan() || value == 0.0)
            });
            if vanishes {
                let all = [Relation::Equal, Relation::Greater, Relation::Less];
                return compare(problem, &own, bound, &all, level + 1, fuel);
            }
        }
    }
    by_logarithm(problem, level, fuel)
}

/// The two sides (greater, smaller) if each is a product; a difference of two terms counts.
fn products(problem: &Problem, fuel: &Fuel<'_>) -> Option<(Expr, Expr, bool)> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let (greater, smaller, strict) = match relation {
        Relation::Less => (right, left, true),
        Relation::LessEqual => (right, left, false),
        Relation::Greater => (left, right, true),
        Relation::GreaterEqual => (left, right, false),
        _ => return None,
    };
    if smaller.as_number() != Some(RBig::ZERO) {
        return Some((greater.clone(), smaller.clone(), strict));
    }
    let work = Work::of(problem, fuel);
    let poly = work.poly(greater)?;
    let terms: Vec<_> = poly.terms().collect();
    let [(first, a), (second, b)] = terms.as_slice() else {
        return None;
    };
    let term = |monomial: &crate::recheck::Monomial, value: &RBig| {
        Poly::monomial(monomial.clone()).scaled(value).to_expr()
    };
    match (a.is_negative(), b.is_negative()) {
        (true, false) => Some((term(second, b), term(first, &-*a), strict)),
        (false, true) => Some((term(first, a), term(second, &-*b), strict)),
        _ => None,
    }
}

fn goal_is(goal: &Goal, simple: &Expr) -> bool {
    matches!(goal, Goal::Holds(left, _, right)
        if left == simple && right.as_number() == Some(RBig::ZERO))
}

/// log left ≤ log right, both sides positive.
fn by_logarithm(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let (greater, smaller, strict) = products(problem, fuel)?;
    let (greater, smaller) = (&greater, &smaller);
    let mut work = Work::of(problem, fuel);
    if !define(&mut work, left, fuel) || !define(&mut work, right, fuel) {
        return None;
    }
    for side in [greater, smaller] {
        let poly = work.poly(side)?;
        if !establish(&mut work, &poly, Sign::Positive, DEPTH - 1, fuel) {
            return None;
        }
    }
    let log = |side: &Expr| work.context.normal(&side.call(Function::Log));
    let gap = log(greater)?.to_expr().minus(&log(smaller)?.to_expr());
    // Only a logarithm that came apart is progress.
    if gap
        == greater
            .call(Function::Log)
            .minus(&smaller.call(Function::Log))
    {
        return None;
    }
    let relation = if strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    let gap = work.context.normal(&gap)?.to_expr();
    let zero = Expr::integer(0);
    let case = problem.with_goal(Goal::Holds(gap.clone(), relation, zero.clone()));
    let claim = Condition::Holds(gap, relation, zero);
    let later = problem.assuming(claim.clone(), Origin::Earlier);
    let mut rest = Work::of(&later, fuel);
    if !define(&mut rest, left, fuel) || !define(&mut rest, right, fuel) {
        return None;
    }
    for side in [greater, smaller] {
        let poly = rest.poly(side)?;
        if !establish(&mut rest, &poly, Sign::Positive, DEPTH - 1, fuel) {
            return None;
        }
    }
    let order = if strict {
        Lemma::LogStrictOrder
    } else {
        Lemma::LogOrder
    };
    if !rest.take(Step::Lemma(order, vec![greater.clone(), smaller.clone()])) {
        return None;
    }
    let first = search(&case, level, fuel)?;
    Some(Proof::Through {
        claim,
        first: Box::new(first),
        rest: Box::new(Proof::Direct(rest.steps)),
    })
}
