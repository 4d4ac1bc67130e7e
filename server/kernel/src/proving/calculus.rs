//! One real variable: monotone and concave differences, substitutions, logarithms, induction.

use super::define::define;
use super::establish::{DEPTH, establish};
use super::sample;
use super::solve::{compare, fresh, solve as search};
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use crate::recheck::{Lemma, Poly, Proof, Sign, Signed, Step, parts};
use dashu::rational::RBig;

/// Searches a proof by calculus.
pub(super) fn solve(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let level = level.checked_sub(1)?;
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    if matches!(relation, Relation::Equal | Relation::NotEqual) {
        return None;
    }
    let mut gap_variables = left.variables();
    gap_variables.extend(right.variables());
    let names: Vec<Symbol> = problem
        .variables
        .iter()
        .map(|variable| variable.name.clone())
        .filter(|name| gap_variables.contains(name))
        .collect();
    let real = |name: &&Symbol| problem.variable(name).is_some_and(|v| v.kind == Kind::Real);
    type Tactic<'t> = &'t dyn Fn(&mut Fuel<'_>) -> Option<Proof>;
    let tactics: [(u64, Tactic<'_>); 9] = [
        (3, &|fuel| by_root_order(problem, level, fuel)),
        (2, &|fuel| logarithm_first(problem, &names, level, fuel)),
        (2, &|fuel| through_logarithm(problem, level, fuel)),
        (3, &|fuel| one_variable(problem, &names, level, fuel)),
        (2, &|fuel| {
            let mut own = names.iter().filter(real);
            own.find_map(|name| along(problem, name, level, fuel))
        }),
        (3, &|fuel| through_numerator(problem, level, fuel)),
        (2, &|fuel| {
            let mut own = names.iter().filter(|name| !real(name));
            own.find_map(|name| whole(problem, name, names.len(), level, fuel))
        }),
        (2, &|fuel| at_boundary(problem, &names, level, fuel)),
        (1, &|fuel| {
            let mut own = names.iter().filter(real);
            own.find_map(|name| by_sign(problem, name, level, fuel))
        }),
    ];
    for (share, tactic) in tactics {
        let mut part = fuel.part(fuel.left() / share);
        let found = tactic(&mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    None
}

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

fn is_transcendental(expr: &Expr) -> bool {
    let mut found = false;
    expr.visit(&mut |part| {
        found |= match part.node() {
            Node::Call(function, _) => !matches!(
                function,
                Function::Abs | Function::Floor | Function::Ceil | Function::Sign
            ),
            Node::Pow(_, exponent) => exponent.as_number().is_none(),
            _ => false,
        };
    });
    found
}

/// Searches the goal through an intermediate claim from which one situation closes it.
fn through(
    problem: &Problem,
    claim: (Expr, Relation, Expr),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (left, relation, right) = claim;
    let goal = Goal::Holds(left.clone(), relation, right.clone());
    let case = problem.with_goal(goal);
    if !sample::is_plausible(&case) {
        return None;
    }
    let condition = Condition::Holds(left, relation, right);
    let later = problem.assuming(condition.clone(), Origin::Earlier);
    let mut part = fuel.part(8_000);
    let rest = super::solve::leaf(&later, &mut part);
    fuel.refund(&part);
    let rest = rest?;
    let first = search(&case, level, fuel)?;
    Some(Proof::Through {
        claim: condition,
        first: Box::new(first),
        rest: Box::new(Proof::Direct(rest)),
    })
}

/// The primitive numerator of left − right, with the relation that is to be shown.
fn numerator(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<(Work, Expr, Poly, Relation)> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) || is_divided(&problem.goal) {
        return None;
    }
    let mut work = Work::of(problem);
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
fn through_logarithm(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (work, _, rest, relation) = numerator(problem, fuel)?;
    for atom in rest.atoms() {
        if !matches!(atom.node(), Node::Call(Function::Log | Function::Atan, _)) {
            continue;
        }
        let coefficients = rest.coefficients_in(&atom);
        let [p, q] = coefficients.as_slice() else {
            continue;
        };
        // All logarithms with the same coefficient go together.
        if q.as_constant().is_some() {
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
fn through_numerator(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (_, gap, rest, relation) = numerator(problem, fuel)?;
    let zero = Expr::integer(0);
    let simple = rest.to_expr();
    if simple == gap || rest.len() > 24 {
        return None;
    }
    let form = Goal::Holds(simple.clone(), relation, zero.clone());
    if form == problem.goal || goal_is(&problem.goal, &simple) {
        return None;
    }
    through(problem, (simple, relation, zero), level, fuel)
}

/// c^(1/n) ≤ u from c ≤ u^n.
fn by_root_order(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let (smaller, greater) = match relation {
        Relation::LessEqual => (left, right),
        Relation::GreaterEqual => (right, left),
        _ => return None,
    };
    let Node::Pow(base, exponent) = smaller.node() else {
        return None;
    };
    let n = match exponent.node() {
        Node::Div(one, n) if one.as_number() == Some(RBig::ONE) => n,
        _ => return None,
    };
    let powered = greater.power(n);
    let claim = Condition::Holds(base.clone(), Relation::LessEqual, powered.clone());
    let case = problem.with_goal(Goal::Holds(base.clone(), Relation::LessEqual, powered));
    let later = problem.assuming(claim.clone(), Origin::Earlier);
    let mut rest = Work::of(&later);
    if !define(&mut rest, left, fuel) || !define(&mut rest, right, fuel) {
        return None;
    }
    let poly = rest.poly(greater)?;
    let step = Step::Lemma(
        Lemma::RootOrder,
        vec![greater.clone(), base.clone(), n.clone()],
    );
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

/// Goals between products with powers or exponentials are taken to logarithms before all else,
/// ends at which a side is 0 split off.
fn logarithm_first(
    problem: &Problem,
    names: &[Symbol],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (greater, smaller, _) = products(problem)?;
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
        let (_, lower, upper) = parts::bounds(problem, name);
        let own = Expr::variable(name);
        for (bound, _) in lower.iter().chain(&upper) {
            let strict = lower
                .iter()
                .chain(&upper)
                .any(|(other, open)| other == bound && *open);
            if strict || bound.as_number().is_none() {
                continue;
            }
            let vanishes = [&greater, &smaller].iter().any(|side| {
                let at_end = side.substitute(name, bound);
                sample::points(problem, 3)
                    .iter()
                    .any(|at| !(sample::value(&at_end, at).abs() > 0.0))
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
fn products(problem: &Problem) -> Option<(Expr, Expr, bool)> {
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
    let work = Work::of(problem);
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

/// Monotone from an end, concave, or split at a critical point.
fn along(problem: &Problem, name: &Symbol, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    let (slope, _) = parts::differentiate(&gap, name)?;
    let (_, lower, upper) = parts::bounds(problem, name);
    let points = sample::points(problem, 40);
    let values: Vec<f64> = points
        .iter()
        .map(|at| sample::value(&slope, at))
        .filter(|value| value.is_finite())
        .collect();
    let rises = values.iter().all(|value| *value >= -1e-9);
    let falls = values.iter().all(|value| *value <= 1e-9);
    let strictly = values.iter().all(|value| value.abs() > 1e-12);
    for (rising, fits, bounds) in [(true, rises, &lower), (false, falls, &upper)] {
        if !fits {
            continue;
        }
        for (end, open) in bounds {
            let strict_slope = strict && *open && strictly;
            let found = monotone(problem, name, rising, end, strict_slope, level, fuel);
            if found.is_some() {
                return found;
            }
        }
    }
    if let ([(left, _), ..], [(right, _), ..]) = (lower.as_slice(), upper.as_slice()) {
        if let Some(proof) = concave(problem, name, left, right, level, fuel) {
            return Some(proof);
        }
    }
    if rises || falls {
        return None;
    }
    for point in critical(problem, name, &slope, fuel) {
        let both = [Relation::GreaterEqual, Relation::LessEqual];
        let own = Expr::variable(name);
        let already = lower.iter().chain(&upper).any(|(bound, _)| *bound == point);
        if already {
            continue;
        }
        if let Some(proof) = compare(problem, &own, &point, &both, level, fuel) {
            return Some(proof);
        }
    }
    None
}

fn monotone(
    problem: &Problem,
    name: &Symbol,
    rising: bool,
    end: &Expr,
    strict_slope: bool,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let [closed, smooth, slope, start] =
        parts::monotone_parts(problem, name, rising, end, strict_slope)?;
    if !sample::is_plausible(&start) || !sample::is_plausible(&slope) {
        return None;
    }
    let defined = search(&closed, 1, fuel)?;
    let smooth = search(&smooth, 1, fuel)?;
    let start = search(&start, level, fuel)?;
    let slope = search(&slope, level, fuel)?;
    Some(Proof::Monotone {
        variable: name.clone(),
        rising,
        end: end.clone(),
        defined: Box::new(defined),
        smooth: Box::new(smooth),
        slope: Box::new(slope),
        strict_slope,
        start: Box::new(start),
    })
}

fn concave(
    problem: &Problem,
    name: &Symbol,
    left: &Expr,
    right: &Expr,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let [closed, smooth, bend, first, last] = parts::concave_parts(problem, name, left, right)?;
    if ![&bend, &first, &last].into_iter().all(sample::is_plausible) {
        return None;
    }
    Some(Proof::Concave {
        variable: name.clone(),
        left: left.clone(),
        right: right.clone(),
        defined: Box::new(search(&closed, 1, fuel)?),
        smooth: Box::new(search(&smooth, 1, fuel)?),
        ends: Box::new((search(&first, level, fuel)?, search(&last, level, fuel)?)),
        bend: Box::new(search(&bend, level, fuel)?),
    })
}

/// Zeros of the slope in closed form: roots of factors that are linear, or pure squares.
fn critical(problem: &Problem, name: &Symbol, slope: &Expr, fuel: &mut Fuel<'_>) -> Vec<Expr> {
    let mut work = Work::of(problem);
    if !define(&mut work, slope, fuel) {
        return Vec::new();
    }
    let Some(poly) = work.poly(slope) else {
        return Vec::new();
    };
    let (_, _, rest) = poly.split();
    let own = Expr::variable(name);
    let free = |part: &Poly| {
        !part
            .atoms()
            .iter()
            .any(|atom| atom.mentions(name))
    };
    let coefficients = rest.coefficients_in(&own);
    match coefficients.as_slice() {
        [b, a] if free(a) && free(b) => vec![b.negative().to_expr().over(&a.to_expr())],
        [c, b, a] if free(a) && free(b) && free(c) && b.is_zero() => {
            vec![c.negative().to_expr().over(&a.to_expr()).sqrt()]
        }
        [c, b, a] if free(a) && free(b) && free(c) => {
            let root = b
                .times(b)
                .minus(&a.times(c).scaled(&RBig::from(4)))
                .to_expr()
                .sqrt();
            let double = a.scaled(&RBig::from(2)).to_expr();
            let minus = b.negative().to_expr();
            vec![
                minus.plus(&root).over(&double),
                minus.minus(&root).over(&double),
            ]
        }
        _ => Vec::new(),
    }
}

/// log left ≤ log right, both sides positive.
fn by_logarithm(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let (greater, smaller, strict) = products(problem)?;
    let (greater, smaller) = (&greater, &smaller);
    let mut work = Work::of(problem);
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
    if gap == greater.call(Function::Log).minus(&smaller.call(Function::Log)) {
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
    let mut rest = Work::of(&later);
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

/// An end point at which the logarithm or a factor is not positive is split off.
fn at_boundary(
    problem: &Problem,
    names: &[Symbol],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (gap, _) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) {
        return None;
    }
    for name in names {
        if problem.variable(name)?.kind != Kind::Real {
            continue;
        }
        let (_, lower, upper) = parts::bounds(problem, name);
        let own = Expr::variable(name);
        for (bound, open) in lower.iter().chain(&upper) {
            let strict = lower
                .iter()
                .chain(&upper)
                .any(|(other, open)| other == bound && *open);
            if *open || strict || bound.as_number().is_none() {
                continue;
            }
            let slope = parts::differentiate(&gap, name).map(|(slope, _)| slope);
            let singular = slope.is_none_or(|slope| {
                let at_end = slope.substitute(name, bound);
                sample::points(problem, 3)
                    .iter()
                    .any(|at| !sample::value(&at_end, at).is_finite())
            });
            if !singular {
                continue;
            }
            let all = [Relation::Equal, Relation::Greater, Relation::Less];
            return compare(problem, &own, bound, &all, level, fuel);
        }
    }
    None
}

/// Cases by the sign of a real variable that is unbounded.
fn by_sign(problem: &Problem, name: &Symbol, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let (_, lower, upper) = parts::bounds(problem, name);
    let own = Expr::variable(name);
    let known = Work::of(problem).context.sign_of_expr(&own);
    if known.at_least || known.at_most || !(lower.is_empty() || upper.is_empty()) {
        return None;
    }
    let both = [Relation::GreaterEqual, Relation::LessEqual];
    compare(problem, &own, &Expr::integer(0), &both, level, fuel)
}

/// A claim about other variables of which the goal is an instance.
fn by_instance(
    problem: &Problem,
    claim: &Problem,
    values: Vec<(Symbol, Expr)>,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    if !sample::is_plausible(claim) {
        return None;
    }
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let proof = search(claim, level, fuel)?;
    let mut work = Work::of(problem);
    for expr in [left, right]
        .into_iter()
        .chain(values.iter().map(|(_, value)| value))
    {
        if !define(&mut work, expr, fuel) {
            return None;
        }
    }
    for hypothesis in &claim.hypotheses {
        if let Condition::Holds(a, relation, b) = &hypothesis.condition {
            let put = |expr: &Expr| {
                values.iter().fold(expr.clone(), |expr, (name, value)| {
                    expr.substitute(name, value)
                })
            };
            let gap = put(a).minus(&put(b));
            let sign = match relation {
                Relation::Greater | Relation::Less => Sign::Positive,
                _ => Sign::NonNegative,
            };
            let gap = match relation {
                Relation::Less | Relation::LessEqual => gap.negative(),
                _ => gap,
            };
            let poly = work.poly(&gap)?;
            if !establish(&mut work, &poly, sign, DEPTH - 1, fuel) {
                return None;
            }
        }
    }
    let step = Step::Instance(Box::new(claim.clone()), Box::new(proof), values);
    if !work.take(step) {
        return None;
    }
    let (gap, strict) = parts::difference(&problem.goal)?;
    let poly = work.poly(&gap)?;
    let sign = if strict {
        Sign::Positive
    } else {
        Sign::NonNegative
    };
    let _ = relation;
    establish(&mut work, &poly, sign, DEPTH - 1, fuel).then_some(Proof::Direct(work.steps))
}

fn bounded(name: &Symbol, relation: Relation, bound: Expr) -> Hypothesis {
    Hypothesis {
        condition: Condition::Holds(Expr::variable(name), relation, bound),
        origin: Origin::Domain,
    }
}

/// x = t n^p or x = t^(1/n): the claim depends on t alone after division by a power of n.
fn one_variable(
    problem: &Problem,
    names: &[Symbol],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) || names.len() < 2 {
        return None;
    }
    let work = Work::of(problem);
    let relation = if strict {
        Relation::Greater
    } else {
        Relation::GreaterEqual
    };
    for n in names {
        let base = Expr::variable(n);
        if !work.context.sign_of_expr(&base).has(Sign::Positive) {
            continue;
        }
        for x in names.iter().filter(|x| *x != n) {
            if problem.variable(x)?.kind != Kind::Real {
                continue;
            }
            let own = Expr::variable(x);
            let sign = work.context.sign_of_expr(&own);
            if !sign.at_least {
                continue;
            }
            let t = fresh(problem, "t");
            let new = Expr::variable(&t);
            for (p, q) in [(-1, 1), (1, 1), (-1, 2), (1, 2), (-2, 1)] {
                let scale = base.power(&Expr::ratio(p, q));
                let value = new.times(&scale);
                let low = if sign.differs {
                    Relation::Greater
                } else {
                    Relation::GreaterEqual
                };
                let Some(claim) =
                    free_claim(problem, &gap, (x, &value), (&t, low), n, relation)
                else {
                    continue;
                };
                let back = own.over(&scale);
                let found = by_instance(problem, &claim, vec![(t.clone(), back)], level, fuel);
                if found.is_some() {
                    return found;
                }
            }
        }
    }
    None
}

/// The claim in t if n cancels out of the normal form.
fn free_claim(
    problem: &Problem,
    gap: &Expr,
    (x, value): (&Symbol, &Expr),
    (t, low): (&Symbol, Relation),
    n: &Symbol,
    relation: Relation,
) -> Option<Problem> {
    let mut changed = problem.clone();
    changed.variables.push(Variable {
        name: t.clone(),
        kind: Kind::Real,
    });
    changed.hypotheses.retain(|own| !own.condition.variables().contains(x));
    changed.hypotheses.push(bounded(t, low, Expr::integer(0)));
    let work = Work::new(crate::recheck::Context::of(&changed));
    let poly = work.poly(&gap.substitute(x, value))?;
    let (content, _, rest) = poly.split();
    let rest = if content.is_negative() {
        rest.negative()
    } else {
        rest
    };
    let only = rest
        .atoms()
        .iter()
        .all(|atom| !atom.mentions(n) && !atom.mentions(x));
    if !only {
        return None;
    }
    let simple = rest.to_expr();
    let used = simple.variables();
    Some(Problem {
        variables: changed
            .variables
            .iter()
            .filter(|own| used.contains(&own.name))
            .cloned()
            .collect(),
        hypotheses: changed
            .hypotheses
            .iter()
            .filter(|own| own.condition.variables().iter().all(|v| used.contains(v)))
            .cloned()
            .collect(),
        goal: Goal::Holds(simple, relation, Expr::integer(0)),
    })
}

/// An integer variable: as a real one, as a reciprocal, by a finite prefix, by induction.
fn whole(
    problem: &Problem,
    name: &Symbol,
    count: usize,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let own = Expr::variable(name);
    let range = Work::of(problem)
        .context
        .range_of_atom(&own);
    let (low, open) = range.low?;
    let first = if open {
        RBig::from(low.floor()) + RBig::ONE
    } else {
        RBig::from(low.ceil())
    };
    let first = i64::try_from(first.numerator().clone()).ok()?;
    let identity = |problem: &Problem| -> Vec<(Symbol, Expr)> {
        problem
            .variables
            .iter()
            .map(|variable| (variable.name.clone(), Expr::variable(&variable.name)))
            .collect()
    };
    if count == 1 && first >= 1 {
        let s = fresh(problem, "s");
        let inverse = Expr::integer(1).over(&Expr::variable(&s));
        if let Some(mut claim) = parts::with_value(problem, name, &inverse) {
            claim.hypotheses = vec![
                bounded(&s, Relation::Greater, Expr::integer(0)),
                bounded(&s, Relation::LessEqual, Expr::ratio(1, first)),
            ];
            claim.variables.push(Variable {
                name: s.clone(),
                kind: Kind::Real,
            });
            let mut values = identity(problem);
            values.retain(|(own, _)| own != name);
            values.push((s, Expr::integer(1).over(&own)));
            if let Some(proof) = by_instance(problem, &claim, values, level, fuel) {
                return Some(proof);
            }
        }
    }
    let mut real = problem.clone();
    for variable in &mut real.variables {
        if variable.name == *name {
            variable.kind = Kind::Real;
        }
    }
    if let Some(proof) = by_instance(problem, &real, identity(problem), level, fuel) {
        return Some(proof);
    }
    if let Some(proof) = induction(problem, name, first, level, fuel) {
        return Some(proof);
    }
    prefix(problem, name, first, level, fuel)
}

fn induction(
    problem: &Problem,
    name: &Symbol,
    first: i64,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let own = Expr::variable(name);
    let mut free = problem.clone();
    free.hypotheses
        .retain(|item| !item.condition.variables().contains(name));
    let base = parts::with_value(&free, name, &Expr::integer(first))?;
    let next = own.plus(&Expr::integer(1));
    let step = free
        .assuming(
            Condition::Holds(own, Relation::GreaterEqual, Expr::integer(first)),
            Origin::Domain,
        )
        .assuming(
            Condition::Holds(left.clone(), *relation, right.clone()),
            Origin::Earlier,
        )
        .with_goal(Goal::Holds(
            left.substitute(name, &next),
            *relation,
            right.substitute(name, &next),
        ));
    let base = search(&base, level.min(2), fuel)?;
    let mut part = fuel.part(30_000);
    let steps = super::solve::leaf(&step, &mut part);
    fuel.refund(&part);
    Some(Proof::Induction {
        variable: name.clone(),
        from: first,
        base: Box::new(base),
        step: Box::new(Proof::Direct(steps?)),
    })
}

/// The first values one by one, the later ones at once.
fn prefix(
    problem: &Problem,
    name: &Symbol,
    first: i64,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let own = Expr::variable(name);
    if problem.hypotheses.len() > 12 || level < 7 {
        return None;
    }
    for length in [1, 3, 7] {
        let later = first.checked_add(length)?;
        let condition = Condition::Holds(own.clone(), Relation::GreaterEqual, Expr::integer(later));
        let case = problem.assuming(condition, Origin::Domain);
        let mut part = fuel.part(fuel.left() / 3);
        let tail = search(&case, 4, &mut part);
        fuel.refund(&part);
        let Some(tail) = tail else { continue };
        let single = (first..later)
            .map(|value| {
                let case = parts::with_value(problem, name, &Expr::integer(value))?;
                search(&case, level, fuel)
            })
            .collect::<Option<Vec<_>>>()?;
        return Some(Proof::Values {
            variable: name.clone(),
            from: first,
            single,
            tail: Box::new(tail),
        });
    }
    None
}
