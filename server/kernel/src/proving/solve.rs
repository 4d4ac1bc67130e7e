//! The order of tactics on a problem: substitution, cases, one situation, calculus.

use super::bounding;
use super::chain;
use super::define::{define, intrinsic, strengthen};
use super::difference;
use super::eliminate;
use super::establish::{DEPTH, establish, square_facts};
use super::lemmas;
use super::linear;
use super::memory::{Effort, is_hopeless, note_failure, situation};
use super::pairs;
use super::sample;
use super::work::Work;
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::fuel::Fuel;
use crate::goal::{Goal, Problem};
use crate::recheck::{Context, Poly, Proof, Sign, Step, parts};
use dashu::rational::RBig;

/// How deep cases, substitutions and intermediate claims are nested.
pub(super) const LEVEL: usize = 9;

/// Fuel that must be left for what is rarely needed.
const SPARE: u64 = 10_000;

/// Searches a proof of a `Holds` or `Defined` problem.
pub(super) fn solve(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    if level == 0 || !fuel.take(10 + size(&problem.goal) / 4) {
        return None;
    }
    let effort = Effort::of(level, fuel);
    if is_hopeless(problem, effort, fuel) {
        return None;
    }
    let found = search(problem, level, fuel);
    if found.is_none() {
        note_failure(problem, effort, fuel);
    }
    found
}

/// Nodes of a goal: it is looked at in many points before it is searched.
fn size(goal: &Goal) -> u64 {
    let mut count = 0;
    if let Goal::Holds(left, _, right) = goal {
        for side in [left, right] {
            side.visit(&mut |_| count += 1);
        }
    }
    count
}

fn search(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Proof> {
    if let Some(found) = by_substitution(problem, level, fuel) {
        return found;
    }
    if let Some((hypothesis, members)) = problem
        .hypotheses
        .iter()
        .enumerate()
        .find_map(|(place, own)| Some((place, own.condition.alternatives()?)))
    {
        let branches = members
            .iter()
            .map(|member| {
                let mut case = problem.clone();
                case.hypotheses.get_mut(hypothesis)?.condition = member.clone();
                solve(&case, level - 1, fuel)
            })
            .collect::<Option<Vec<_>>>()?;
        return Some(Proof::Either {
            hypothesis,
            branches,
        });
    }
    if !sample::is_plausible(problem, fuel) {
        return None;
    }
    // What telescopes is told as such: the first, hasty search comes to it.
    if LEVEL <= level + 1
        && !fuel.is_hasty()
        && let Some(found) = bounding::up_to(problem, level - 1, fuel)
    {
        return Some(found);
    }
    if LEVEL <= level + 2
        && let Some(found) = difference::by_difference(problem, level - 1, fuel)
    {
        return Some(found);
    }
    if let Goal::Holds(left, relation @ (Relation::Equal | Relation::NotEqual), right) =
        &problem.goal
    {
        return equality(problem, (left, *relation, right), level, fuel);
    }
    let context = situation(problem, fuel).context.clone();
    if context.is_absurd() {
        return Some(Proof::Direct(Vec::new()));
    }
    if let Some((claim, steps)) = positive_variable(problem, &context, fuel) {
        let case = problem.assuming(claim.clone(), crate::goal::Origin::Earlier);
        return Some(Proof::Through {
            claim,
            first: Box::new(Proof::Direct(steps)),
            rest: Box::new(solve(&case, level, fuel)?),
        });
    }
    if let Some((on, relations)) = split_on(problem, &context) {
        if let Some(found) = chain::before_cases(problem, level, fuel) {
            return Some(found);
        }
        let mut part = fuel.part(fuel.left() / 4 * 3);
        let found = cases(problem, &on, relations, level, &mut part);
        fuel.refund(&part);
        return found.or_else(|| chain::by_middle(problem, level - 1, fuel));
    }
    if LEVEL <= level + 2 {
        let mut part = fuel.part(fuel.left() / 3);
        let found = bounding::solve(problem, level - 1, &mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    if let Some(steps) = leaf(problem, fuel) {
        return Some(Proof::Direct(steps));
    }
    super::calculus::solve(problem, level, fuel)
}

/// A variable that is positive only by way of others, as n ≥ N ≥ 1: calculus and lemmas look at
/// its own bounds.
fn positive_variable(
    problem: &Problem,
    context: &Context,
    fuel: &mut Fuel<'_>,
) -> Option<(Condition, Vec<Step>)> {
    let Goal::Holds(left, _, right) = &problem.goal else {
        return None;
    };
    problem.variables.iter().find_map(|variable| {
        let name = &variable.name;
        let own = Expr::variable(name);
        if !(left.mentions(name) || right.mentions(name))
            || context.sign_of_expr(&own).has(Sign::Positive)
        {
            return None;
        }
        let claim = if variable.kind == crate::goal::Kind::Integer {
            (own, Relation::GreaterEqual, Expr::integer(1))
        } else {
            (own, Relation::Greater, Expr::integer(0))
        };
        let case = problem.with_goal(Goal::Holds(claim.0.clone(), claim.1, claim.2.clone()));
        let mut work = Work::of(&case, fuel);
        strengthen(&mut work);
        let poly = work.poly(&claim.0.minus(&claim.2))?;
        let sign = if claim.1 == Relation::Greater {
            Sign::Positive
        } else {
            Sign::NonNegative
        };
        let mut part = fuel.part(200);
        let done = work.allows(&poly, sign)
            && (work.knows(&poly, sign) || linear::refute(&mut work, &poly, sign, 1, &mut part));
        fuel.refund(&part);
        done.then(|| (Condition::Holds(claim.0, claim.1, claim.2), work.steps))
    })
}

/// Carries an equation out; the outer value is `None` if there is none to carry out.
fn by_substitution(problem: &Problem, level: usize, fuel: &mut Fuel<'_>) -> Option<Option<Proof>> {
    for (hypothesis, own) in problem.hypotheses.iter().enumerate() {
        let Condition::Holds(left, Relation::Equal, right) = &own.condition else {
            continue;
        };
        for (side, value) in [(left, right), (right, left)] {
            let Some(variable) = side.as_variable() else {
                continue;
            };
            if value.mentions(variable) {
                continue;
            }
            let Some(case) = parts::replaced(problem, hypothesis, variable) else {
                continue;
            };
            return Some(solve(&case, level, fuel).map(|rest| Proof::Replace {
                hypothesis,
                variable: variable.clone(),
                rest: Box::new(rest),
            }));
        }
    }
    None
}

fn equality(
    problem: &Problem,
    (left, relation, right): (&Expr, Relation, &Expr),
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let context = situation(problem, fuel).context.clone();
    if context.is_absurd() {
        return Some(Proof::Direct(Vec::new()));
    }
    if let Some((on, relations)) = split_on(problem, &context) {
        return cases(problem, &on, relations, level, fuel);
    }
    if relation == Relation::Equal {
        let mut part = fuel.part(fuel.left() / 4);
        let found = bounding::solve(problem, level - 1, &mut part);
        fuel.refund(&part);
        if found.is_some() {
            return found;
        }
    }
    if let Some(steps) = leaf(problem, fuel) {
        return Some(Proof::Direct(steps));
    }
    let claim = |relation| {
        let goal = Goal::Holds(left.clone(), relation, right.clone());
        move |fuel: &mut Fuel<'_>, problem: &Problem| {
            solve(&problem.with_goal(goal.clone()), level - 1, fuel)
        }
    };
    let through = |relation, first, rest| Proof::Through {
        claim: Condition::Holds(left.clone(), relation, right.clone()),
        first: Box::new(first),
        rest: Box::new(rest),
    };
    if relation == Relation::NotEqual {
        return [Relation::Less, Relation::Greater]
            .into_iter()
            .find_map(|strict| {
                let first = claim(strict)(fuel, problem)?;
                Some(through(strict, first, Proof::Direct(Vec::new())))
            });
    }
    let below = claim(Relation::LessEqual)(fuel, problem)?;
    let above = claim(Relation::GreaterEqual)(fuel, problem)?;
    Some(through(
        Relation::LessEqual,
        below,
        through(Relation::GreaterEqual, above, Proof::Direct(Vec::new())),
    ))
}

/// The cases of the sign of a polynomial.
fn cases(
    problem: &Problem,
    on: &Expr,
    relations: &[Relation],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    // What follows from the hypotheses needs no cases.
    let zero = Expr::integer(0);
    for relation in [Relation::GreaterEqual, Relation::LessEqual] {
        let case = problem.with_goal(Goal::Holds(on.clone(), relation, zero.clone()));
        if relations != WEAK || !sample::is_plausible(&case, fuel) {
            continue;
        }
        let mut part = fuel.attempt(400);
        let steps = leaf(&case, &mut part);
        fuel.refund(&part);
        let Some(steps) = steps else { continue };
        let claim = Condition::Holds(on.clone(), relation, zero.clone());
        let rest = problem.assuming(claim.clone(), crate::goal::Origin::Earlier);
        return Some(Proof::Through {
            claim,
            first: Box::new(Proof::Direct(steps)),
            rest: Box::new(solve(&rest, level - 1, fuel)?),
        });
    }
    let (on, against) = solved(&situation(problem, fuel).context, problem, on)
        .unwrap_or_else(|| (on.clone(), zero));
    compare(problem, &on, &against, relations, level, fuel)
}

/// A comparison with 0 as a bound of one of its variables, which calculus can use; the relations
/// of its cases are symmetric.
fn solved(context: &Context, problem: &Problem, on: &Expr) -> Option<(Expr, Expr)> {
    let form = context.normal(on)?;
    let poly = form.as_poly()?;
    problem.variables.iter().rev().find_map(|variable| {
        let own = Expr::variable(&variable.name);
        let coefficients = poly.coefficients_in(&own);
        let [rest, factor] = coefficients.as_slice() else {
            return None;
        };
        let factor = factor.as_constant()?;
        let simple = rest
            .atoms()
            .iter()
            .all(|atom| !atom.mentions(&variable.name));
        let bound = rest.scaled(&(RBig::NEG_ONE / factor));
        simple.then(|| (own, bound.to_expr()))
    })
}

/// The cases that decide an absolute value, a minimum or a maximum.
const WEAK: &[Relation] = &[Relation::GreaterEqual, Relation::LessEqual];
/// The cases that decide every relation.
const STRICT: &[Relation] = &[Relation::Greater, Relation::Equal, Relation::Less];

/// Cases by how two expressions compare.
pub(super) fn compare(
    problem: &Problem,
    on: &Expr,
    against: &Expr,
    relations: &[Relation],
    level: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Proof> {
    let mut work = Work::of(problem, fuel);
    if !define(&mut work, &on.plus(against), fuel) {
        return None;
    }
    let branches = relations
        .iter()
        .map(|relation| {
            let case = problem.assuming(
                Condition::Holds(on.clone(), *relation, against.clone()),
                crate::goal::Origin::Assumption,
            );
            Some((*relation, solve(&case, level.checked_sub(1)?, fuel)?))
        })
        .collect::<Option<Vec<_>>>()?;
    Some(Proof::Cases {
        on: on.clone(),
        against: against.clone(),
        defined: Box::new(Proof::Direct(work.steps)),
        branches,
    })
}

/// A polynomial on whose sign an absolute value, a minimum or a piece depends, and its cases.
fn split_on(problem: &Problem, context: &Context) -> Option<(Expr, &'static [Relation])> {
    let mut found = None;
    let mut see = |expr: &Expr| {
        if found.is_none() {
            found = undecided(expr, context);
        }
    };
    match &problem.goal {
        Goal::Holds(left, _, right) => {
            left.visit(&mut see);
            right.visit(&mut see);
        }
        Goal::Defined(expr) => expr.visit(&mut see),
        Goal::TendsToZero { .. } => {}
    }
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut see);
    }
    found
}

fn undecided(expr: &Expr, context: &Context) -> Option<(Expr, &'static [Relation])> {
    let weak = |factor: Expr| (factor, WEAK);
    match expr.node() {
        Node::Call(Function::Abs, inner) => {
            unknown_factor(&context.normal(inner)?, context, false).map(weak)
        }
        Node::Call(Function::Sign, inner) => {
            unknown_factor(&context.normal(inner)?, context, true).map(|own| (own, STRICT))
        }
        Node::Min(items) | Node::Max(items) => {
            for (place, a) in items.iter().enumerate() {
                for b in &items[place + 1..] {
                    let Some(form) = context.normal(&a.minus(b)) else {
                        continue;
                    };
                    if let Some(found) = unknown_factor(&form, context, false) {
                        // Unequal integers differ by 1 at least.
                        let whole = context.is_integer(a) && context.is_integer(b);
                        return Some((found, if whole { STRICT } else { WEAK }));
                    }
                }
            }
            None
        }
        Node::Piecewise(branches) => branches.iter().find_map(|(condition, _)| {
            let mut found = None;
            compare_sides(condition, &mut |own| {
                if found.is_none()
                    && context.judge(own).is_none()
                    && let Condition::Holds(left, _, right) = own
                {
                    found = context
                        .normal(&left.minus(right))
                        .and_then(|form| unknown_factor(&form, context, true));
                }
            });
            found.map(|own| (own, STRICT))
        }),
        _ => None,
    }
}

fn compare_sides(condition: &Condition, see: &mut dyn FnMut(&Condition)) {
    match condition {
        Condition::Holds(..) => see(condition),
        Condition::And(items) | Condition::Or(items) => {
            for item in items {
                compare_sides(item, see);
            }
        }
        Condition::Not(inner) => compare_sides(inner, see),
        Condition::Integer(_) => {}
    }
}

/// A factor of unknown sign that holds no absolute value, minimum or maximum itself; if `strict`,
/// the sign of a factor that may be 0 is unknown too.
fn unknown_factor(
    form: &crate::recheck::Fraction,
    context: &Context,
    strict: bool,
) -> Option<Expr> {
    let (_, monomial, rest) = form.numerator().split();
    let atoms = monomial
        .factors()
        .iter()
        .filter(|(_, power)| power % 2 == 1)
        .map(|(atom, _)| Poly::atom(atom.clone()));
    let below = form
        .denominator()
        .iter()
        .filter(|(_, power)| **power % 2 == 1)
        .map(|(factor, _)| factor.clone());
    for factor in atoms.chain([rest]).chain(below) {
        if factor.as_constant().is_some() {
            continue;
        }
        let own = context.sign_of(&factor);
        let known = own.at_least || own.at_most;
        if known && (!strict || own.differs || own.has(Sign::Zero)) {
            continue;
        }
        let inner = factor.atoms().into_iter().any(|atom| {
            let mut split = false;
            atom.visit(&mut |part| {
                split |= matches!(
                    part.node(),
                    Node::Call(Function::Abs, _) | Node::Min(_) | Node::Max(_) | Node::Piecewise(_)
                );
            });
            split
        });
        if !inner {
            // |b^n| = |b|^n: the sign of b decides.
            return match factor.as_atom().map(Expr::node) {
                Some(Node::Pow(base, exponent)) if context.is_integer(exponent) => {
                    let form = context.normal(base)?;
                    unknown_factor(&form, context, strict).or_else(|| Some(factor.to_expr()))
                }
                _ => Some(factor.to_expr()),
            };
        }
    }
    None
}

/// Works in one situation: defines both sides, then derives the goal.
pub(super) fn leaf(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Vec<Step>> {
    in_one_situation(problem, true, fuel)
}

/// The same with sums as unknowns, of which the hypotheses speak.
pub(super) fn leaf_without_sums(problem: &Problem, fuel: &mut Fuel<'_>) -> Option<Vec<Step>> {
    in_one_situation(problem, false, fuel)
}

fn in_one_situation(problem: &Problem, sums: bool, fuel: &mut Fuel<'_>) -> Option<Vec<Step>> {
    let mut work = Work::of(problem, fuel);
    strengthen(&mut work);
    square_facts(&mut work);
    lemmas::minima(&mut work);
    for hypothesis in &problem.hypotheses {
        if let Condition::Holds(left, _, right) = &hypothesis.condition {
            known_denominator(&mut work, &left.minus(right));
        }
    }
    if work.context.is_absurd() {
        return Some(work.steps);
    }
    match &problem.goal {
        Goal::Defined(expr) => {
            if define(&mut work, expr, fuel) || linear::absurd(&mut work, 1, fuel) {
                return Some(work.steps);
            }
            None
        }
        Goal::Holds(left, relation, right) => {
            if !(define(&mut work, left, fuel) && define(&mut work, right, fuel)) {
                return linear::absurd(&mut work, 1, fuel).then_some(work.steps);
            }
            if sums {
                super::sums::close_all(&mut work, left, right, fuel);
            }
            close(&mut work, left, *relation, right, fuel).then_some(work.steps)
        }
        Goal::TendsToZero { .. } => None,
    }
}

/// Derives a relation between two defined expressions.
fn close(
    work: &mut Work,
    left: &Expr,
    relation: Relation,
    right: &Expr,
    fuel: &mut Fuel<'_>,
) -> bool {
    let gap = match relation {
        Relation::Less | Relation::LessEqual => right.minus(left),
        _ => left.minus(right),
    };
    let sign = match relation {
        Relation::Less | Relation::Greater => Sign::Positive,
        Relation::LessEqual | Relation::GreaterEqual => Sign::NonNegative,
        Relation::Equal => Sign::Zero,
        Relation::NotEqual => Sign::NonZero,
    };
    let Some(poly) = work.poly(&gap) else {
        return false;
    };
    if work.knows(&poly, sign) {
        return true;
    }
    sign_denominator(work, &gap, fuel);
    let Some(poly) = work.poly(&gap) else {
        return false;
    };
    if !work.allows(&poly, sign) {
        return linear::absurd(work, 1, fuel);
    }
    intrinsic(work, &poly);
    known_denominator(work, &gap);
    // Without its lemmas a function is an unknown: little is tried before they are added.
    let transcendental = super::calculus::is_transcendental(&gap);
    let mut first = fuel.attempt(if transcendental { 2_000 } else { 8_000 });
    let done = establish(work, &poly, sign, DEPTH, &mut first);
    fuel.refund(&first);
    if done {
        return true;
    }
    let mut near = work.clone();
    if pairs::near_exponentials(&mut near, &poly, fuel) {
        let mut part = fuel.attempt(4_000);
        let done = establish(&mut near, &poly, sign, DEPTH, &mut part);
        fuel.refund(&part);
        if done {
            *work = near;
            return true;
        }
    }
    let before = work.len();
    let mut trial = work.clone();
    eliminate::variables(&mut trial, &poly, false, fuel);
    lemmas::instantiate(&mut trial, &[left, right], fuel);
    sign_denominator(&mut trial, &gap, fuel);
    let Some(poly) = trial.poly(&gap) else {
        return false;
    };
    if trial.len() == before {
        return false;
    }
    intrinsic(&mut trial, &poly);
    let mut second = fuel.attempt(20_000.min(fuel.left() / 5));
    let mut done = establish(&mut trial, &poly, sign, DEPTH, &mut second);
    fuel.refund(&second);
    if !done && !fuel.is_hasty() && SPARE < fuel.left() {
        let before = trial.len();
        eliminate::variables(&mut trial, &poly, true, fuel);
        if !lemmas::instantiate_more(&mut trial, &[left, right], fuel) && trial.len() == before {
            return false;
        }
        let mut third = fuel.attempt(6_000.min(fuel.left() / 8));
        done = establish(&mut trial, &poly, sign, DEPTH, &mut third);
        fuel.refund(&third);
    }
    if done {
        *work = trial;
    }
    done
}

/// Makes a denominator of known sign a fact, so that it may multiply others.
pub(super) fn known_denominator(work: &mut Work, gap: &Expr) {
    let Some(form) = work.context.normal(gap) else {
        return;
    };
    let mut whole = Poly::one();
    for (factor, power) in form.denominator() {
        for _ in 0..*power {
            whole = whole.times(factor);
        }
    }
    if whole.count() > 1 && whole.count() <= 12 && work.knows(&whole, Sign::Positive) {
        work.take(Step::Known(whole.to_expr(), Sign::Positive));
    }
}

/// Tries to find the sign of each factor of the denominator that has an odd exponent.
fn sign_denominator(work: &mut Work, gap: &Expr, fuel: &mut Fuel<'_>) {
    let Some(form) = work.context.normal(gap) else {
        return;
    };
    for (factor, power) in form.denominator() {
        let own = work.context.sign_of(factor);
        if power % 2 == 0 || own.at_least || own.at_most {
            continue;
        }
        let mut part = fuel.attempt(3_000);
        let _ = establish(work, factor, Sign::Positive, 2, &mut part)
            || establish(work, &factor.negative(), Sign::Positive, 2, &mut part);
        fuel.refund(&part);
    }
}

/// A name that does not occur in the problem.
pub(super) fn fresh(problem: &Problem, wanted: &str) -> Symbol {
    let mut name = wanted.to_owned();
    while problem
        .variables
        .iter()
        .any(|variable| variable.name.as_str() == name)
    {
        name.push('′');
    }
    Symbol::new(&name)
}
