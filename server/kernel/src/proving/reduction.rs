//! Goals as instances of claims in one variable, and integer variables.

use super::calculus::is_transcendental;
use super::define::define;
use super::establish::{DEPTH, establish};
use super::sample;
use super::solve::{fresh, solve as search};
use super::work::Work;
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use crate::recheck::{Lemma, Proof, Sign, Signed, Step, parts};
use dashu::rational::RBig;
use std::collections::BTreeSet;

/// Steps of fuel for the step of an induction.
const STEP: u64 = 30_000;

/// A claim about other variables of which the goal is an instance.
fn by_instance(
    problem: &Problem,
    claim: &Problem,
    (values, laws): (Vec<(Symbol, Expr)>, &[Step]),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    if !sample::is_plausible(claim, fuel) {
        return None;
    }
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let proof = search(claim, level, fuel)?;
    let mut work = Work::of(problem, fuel);
    for law in laws {
        work.take(law.clone());
    }
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

/// x and k only in the power x^k, where x has a bound: a claim about that power as a real number.
pub(super) fn power_as_unknown(
    problem: &Problem,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let mut powers: BTreeSet<Expr> = BTreeSet::new();
    for side in [left, right] {
        side.visit(&mut |part| {
            if let Node::Pow(base, exponent) = part.node()
                && base.as_variable().is_some()
                && exponent.as_variable().is_some()
            {
                powers.insert(part.clone());
            }
        });
    }
    let power = powers.pop_first().filter(|_| powers.is_empty())?;
    let Node::Pow(base, exponent) = power.node() else {
        return None;
    };
    let (x, k) = (base.as_variable()?, exponent.as_variable()?);
    let u = fresh(problem, "u");
    let unknown = Expr::variable(&u);
    let put = |side: &Expr| {
        let size = base.abs().power(exponent);
        let own = side
            .replace(&size, &unknown.abs())
            .replace(&power, &unknown);
        (!own.mentions(x) && !own.mentions(k)).then_some(own)
    };
    let goal = Goal::Holds(put(left)?, *relation, put(right)?);
    let work = Work::of(problem, fuel);
    let context = &work.context;
    let above = context.sign_of_expr(base).at_least;
    let size = if above { base.clone() } else { base.abs() };
    let (most, _) = context.range_of(context.normal(&size)?.as_poly()?).high?;
    let first = first_value(problem, k, fuel).filter(|first| (1..=8).contains(first))?;
    let whole = context.is_integer(exponent) && most <= RBig::ONE;
    let bound = most.pow(isize::try_from(first).ok()?);
    let (most, bound) = (Expr::number(most), Expr::number(bound));
    let low = if above {
        Expr::integer(0)
    } else {
        bound.negative()
    };
    let mut claim = problem.with_goal(goal);
    claim
        .variables
        .retain(|own| own.name != *x && own.name != *k);
    claim.hypotheses.retain(|own| {
        let names = own.condition.variables();
        !names.contains(x) && !names.contains(k)
    });
    claim.variables.push(Variable {
        name: u.clone(),
        kind: Kind::Real,
    });
    claim.hypotheses.extend([
        bounded(&u, Relation::GreaterEqual, low),
        bounded(&u, Relation::LessEqual, bound),
    ]);
    let mut values: Vec<(Symbol, Expr)> = claim
        .variables
        .iter()
        .filter(|own| own.name != u)
        .map(|own| (own.name.clone(), Expr::variable(&own.name)))
        .collect();
    values.push((u, power.clone()));
    let laws = vec![
        Step::Lemma(Lemma::AbsoluteValue, vec![power.clone()]),
        Step::Lemma(
            Lemma::PowerMonotone,
            vec![size, most.clone(), exponent.clone()],
        ),
        Step::Lemma(
            Lemma::WholeExponentFalls,
            vec![most, Expr::integer(first), exponent.clone()],
        ),
    ];
    let mut part = fuel.part(fuel.left() / 2);
    let found = whole.then(|| by_instance(problem, &claim, (values, &laws), level, &mut part));
    fuel.refund(&part);
    found?
}

fn bounded(name: &Symbol, relation: Relation, bound: Expr) -> Hypothesis {
    Hypothesis {
        condition: Condition::Holds(Expr::variable(name), relation, bound),
        origin: Origin::Domain,
    }
}

/// x = t n^p or x = t^(1/n): the claim depends on t alone after division by a power of n.
pub(super) fn one_variable(
    problem: &Problem,
    names: &[Symbol],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let (gap, strict) = parts::difference(&problem.goal)?;
    if !is_transcendental(&gap) || names.len() < 2 {
        return None;
    }
    let work = Work::of(problem, fuel);
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
                let Some(claim) = free_claim(problem, &gap, (x, &value), (&t, low), n, relation)
                else {
                    continue;
                };
                let back = own.over(&scale);
                let found =
                    by_instance(problem, &claim, (vec![(t.clone(), back)], &[]), level, fuel);
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
    changed
        .hypotheses
        .retain(|own| !own.condition.variables().contains(x));
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
pub(super) fn whole(
    problem: &Problem,
    name: &Symbol,
    count: usize,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let own = Expr::variable(name);
    let first = first_value(problem, name, fuel)?;
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
            if let Some(proof) = by_instance(problem, &claim, (values, &[]), level, fuel) {
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
    if let Some(proof) = by_instance(problem, &real, (identity(problem), &[]), level, fuel) {
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
    let mut part = fuel.attempt(STEP);
    let found = super::solve::leaf_without_sums(&step, &mut part)
        .map(Proof::Direct)
        .or_else(|| super::difference::by_difference(&step, level, &mut part));
    fuel.refund(&part);
    Some(Proof::Induction {
        variable: name.clone(),
        from: first,
        step: Box::new(found?),
        base: Box::new(search(&base, level.min(2), fuel)?),
    })
}

/// Induction over an integer up to which a sum or product runs, before it is taken apart otherwise.
pub(super) fn along_limits(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    let mut names: BTreeSet<Symbol> = BTreeSet::new();
    for side in [left, right] {
        side.visit(&mut |part| match part.node() {
            Node::Sum { to: Some(to), .. } | Node::Product { to, .. } => {
                names.extend(to.variables());
            }
            _ => {}
        });
    }
    names
        .into_iter()
        .filter(|name| {
            problem
                .variable(name)
                .is_some_and(|v| v.kind == Kind::Integer)
        })
        .find_map(|name| {
            let first = first_value(problem, &name, fuel)?;
            let mut part = fuel.part(fuel.left() / 2);
            let found = induction(problem, &name, first, level, &mut part);
            fuel.refund(&part);
            found
        })
}

/// The least value that an integer may have.
pub(super) fn first_value(problem: &Problem, name: &Symbol, fuel: &Fuel<'_>) -> Option<i64> {
    let range = Work::of(problem, fuel)
        .context
        .range_of_atom(&Expr::variable(name));
    let (low, open) = range.low?;
    let first = if open {
        RBig::from(low.floor()) + RBig::ONE
    } else {
        RBig::from(low.ceil())
    };
    i64::try_from(first.numerator().clone()).ok()
}

/// The first value apart, where one situation does for all later ones.
pub(super) fn first_apart(
    problem: &Problem,
    name: &Symbol,
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let first = first_value(problem, name, fuel)?;
    let later = first.checked_add(1)?;
    let late = Condition::Holds(
        Expr::variable(name),
        Relation::GreaterEqual,
        Expr::integer(later),
    );
    let case = problem.assuming(late, Origin::Domain);
    let mut part = fuel.attempt(fuel.left() / 2);
    let tail = super::solve::leaf(&case, &mut part);
    fuel.refund(&part);
    let single = parts::with_value(problem, name, &Expr::integer(first))?;
    Some(Proof::Values {
        variable: name.clone(),
        from: first,
        tail: Box::new(Proof::Direct(tail?)),
        single: vec![search(&single, level.min(3), fuel)?],
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
