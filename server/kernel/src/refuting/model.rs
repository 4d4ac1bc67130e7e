//! The problem prepared for search: quantities, their constant bounds, solved boundaries, tapes.

use super::solve::{FACTOR, boundaries, occurrences, solutions};
use crate::expr::{Condition, Expr, Function, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Problem};
use crate::numerics::tape::{Batch, Compiler, Register, Tape, Tree};
use crate::numerics::{Assignment, Definedness, Precision, enclose};
use std::collections::BTreeSet;

/// A constant bound of a quantity.
#[derive(Clone, Debug)]
pub(super) struct Bound {
    /// Its value.
    pub(super) value: f64,
    /// Whether the bound itself is excluded.
    pub(super) strict: bool,
}

/// A quantity whose value a point gives: a variable, or an application of an unknown function.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    pub(super) what: Expr,
    pub(super) kind: Kind,
    pub(super) low: Option<Bound>,
    pub(super) high: Option<Bound>,
    /// The expression that an equality gives it, in other slots.
    pub(super) tied: Option<Expr>,
}

/// A boundary of a hypothesis, solved for a slot.
#[derive(Clone, Debug)]
pub(super) struct Boundary {
    pub(super) hypothesis: usize,
    pub(super) slot: usize,
    /// Slots that must have values before.
    pub(super) needs: Vec<usize>,
    pub(super) program: Program,
}

/// A tape with one result and the places its inputs come from.
#[derive(Clone, Debug)]
pub(super) struct Program {
    pub(super) tape: Tape,
    pub(super) batch: Batch,
    pub(super) result: Register,
    /// For every input the slot it is read from; `None` for the boundary factor.
    pub(super) sources: Vec<Option<usize>>,
}

/// The goal on the tape.
#[derive(Clone, Debug)]
pub(super) enum Target {
    /// left R right
    Relation(Box<Tree>, Register, Register),
    /// The value is defined.
    Defined(Register),
}

/// Everything the search needs to know.
#[derive(Clone, Debug)]
pub(super) struct Model {
    pub(super) slots: Vec<Slot>,
    /// Order in which slots can be given values so that tied ones come after what they need.
    pub(super) boundaries: Vec<Boundary>,
    pub(super) ties: Vec<Option<Program>>,
    pub(super) main: Program,
    pub(super) hypotheses: Vec<Tree>,
    pub(super) target: Target,
    /// Whether sine, cosine or tangent occur: then multiples of π are worth trying.
    pub(super) waves: bool,
    /// Whether an endless sum occurs: a confirmation then costs as much as many others.
    pub(super) endless: bool,
    /// Whether equality at a point already refutes the goal.
    pub(super) strict: bool,
}

impl Model {
    /// Prepares a problem; `None` for goals and terms that points cannot refute.
    pub(super) fn new(problem: &Problem) -> Option<Self> {
        let goal_sides = match &problem.goal {
            Goal::Holds(left, _, right) => vec![left.clone(), right.clone()],
            Goal::Defined(expr) => vec![expr.clone()],
            Goal::TendsToZero { .. } => return None,
        };
        let mut slots = slots(problem, &goal_sides)?;
        bound_slots(problem, &mut slots);
        let used = tie_slots(problem, &mut slots);
        let mut boundaries = solve_hypotheses(problem, &slots, &used);
        boundaries.extend(kinks(problem, &goal_sides, &slots));
        if let Goal::Defined(expr) = &problem.goal {
            boundaries.extend(edges(problem, expr, &slots));
        }
        let ties = slots
            .iter()
            .map(|slot| {
                slot.tied
                    .as_ref()
                    .map(|expr| program(expr, problem, &slots))
            })
            .collect();
        let integer = |name: &Symbol| is_integer(problem, name);
        let mut compiler = Compiler::new(&integer);
        let hypotheses = problem
            .hypotheses
            .iter()
            .map(|hypothesis| compiler.condition(&hypothesis.condition))
            .collect();
        let mut strict = false;
        let target = match &problem.goal {
            Goal::Holds(left, relation, right) => {
                strict = !relation.admits(std::cmp::Ordering::Equal);
                let test = compiler.relation(left, *relation, right);
                Target::Relation(Box::new(Tree::Test(test)), test.left, test.right)
            }
            Goal::Defined(expr) => Target::Defined(compiler.expression(expr)),
            Goal::TendsToZero { .. } => return None,
        };
        let tape = compiler.finish();
        let main = Program::new(tape, 0, &slots);
        Some(Self {
            waves: occurs(&goal_sides, problem, &|part| {
                matches!(
                    part.node(),
                    Node::Call(Function::Sin | Function::Cos | Function::Tan, _)
                )
            }),
            endless: occurs(&goal_sides, problem, &|part| {
                matches!(part.node(), Node::Sum { to: None, .. })
            }),
            slots,
            boundaries,
            ties,
            main,
            hypotheses,
            target,
            strict,
        })
    }
}

impl Program {
    fn new(tape: Tape, result: Register, slots: &[Slot]) -> Self {
        let sources = tape
            .inputs()
            .iter()
            .map(|input| slots.iter().position(|slot| slot.what == *input))
            .collect();
        Self {
            batch: Batch::new(&tape),
            tape,
            result,
            sources,
        }
    }
}

fn program(expr: &Expr, problem: &Problem, slots: &[Slot]) -> Program {
    let integer = |name: &Symbol| is_integer(problem, name);
    let mut compiler = Compiler::new(&integer);
    let result = compiler.expression(expr);
    Program::new(compiler.finish(), result, slots)
}

fn is_integer(problem: &Problem, name: &Symbol) -> bool {
    problem
        .variable(name)
        .is_some_and(|variable| variable.kind == Kind::Integer)
}

/// Variables first, then applications of unknown functions, inner ones before outer ones;
/// `None` if an unknown function is applied to a bound index.
fn slots(problem: &Problem, goal_sides: &[Expr]) -> Option<Vec<Slot>> {
    let mut slots: Vec<Slot> = problem
        .variables
        .iter()
        .map(|variable| Slot::new(Expr::variable(&variable.name), variable.kind))
        .collect();
    let mut applications = BTreeSet::new();
    let mut see = |part: &Expr| {
        if matches!(part.node(), Node::Apply(..)) {
            applications.insert(part.clone());
        }
    };
    for side in goal_sides {
        side.visit(&mut see);
    }
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut see);
    }
    let mut applications: Vec<Expr> = applications.into_iter().collect();
    applications.sort_by_key(nesting);
    for application in applications {
        let known = application
            .variables()
            .iter()
            .all(|name| problem.variable(name).is_some());
        if !known {
            return None;
        }
        slots.push(Slot::new(application, Kind::Real));
    }
    Some(slots)
}

fn nesting(expr: &Expr) -> usize {
    let inner = expr.children().into_iter().map(nesting).max().unwrap_or(0);
    inner + usize::from(matches!(expr.node(), Node::Apply(..)))
}

impl Slot {
    fn new(what: Expr, kind: Kind) -> Self {
        Self {
            what,
            kind,
            low: None,
            high: None,
            tied: None,
        }
    }

    /// The lower bound as a number.
    pub(super) fn least(&self) -> f64 {
        self.low
            .as_ref()
            .map_or(f64::NEG_INFINITY, |bound| bound.value)
    }

    /// The upper bound as a number.
    pub(super) fn most(&self) -> f64 {
        self.high
            .as_ref()
            .map_or(f64::INFINITY, |bound| bound.value)
    }
}

/// Whether a part of some kind occurs in the goal or in a hypothesis.
fn occurs(goal_sides: &[Expr], problem: &Problem, wanted: &dyn Fn(&Expr) -> bool) -> bool {
    let mut found = false;
    let mut see = |part: &Expr| found |= wanted(part);
    for side in goal_sides {
        side.visit(&mut see);
    }
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut see);
    }
    found
}

/// The parts of a conjunction.
fn conjuncts<'a>(condition: &'a Condition, all: &mut Vec<&'a Condition>) {
    match condition {
        Condition::And(items) => items.iter().for_each(|item| conjuncts(item, all)),
        other => all.push(other),
    }
}

/// Reads bounds by constants off the hypotheses.
fn bound_slots(problem: &Problem, slots: &mut [Slot]) {
    for hypothesis in &problem.hypotheses {
        let mut parts = Vec::new();
        conjuncts(&hypothesis.condition, &mut parts);
        for part in parts {
            let Condition::Holds(left, relation, right) = part else {
                continue;
            };
            read_bound(slots, left, *relation, right);
            read_bound(slots, right, relation.flipped(), left);
        }
    }
}

fn read_bound(slots: &mut [Slot], what: &Expr, relation: Relation, bound: &Expr) {
    let Some(slot) = slots.iter_mut().find(|slot| slot.what == *what) else {
        return;
    };
    let Some(value) = constant(bound) else {
        return;
    };
    let strict = matches!(relation, Relation::Less | Relation::Greater);
    let found = Bound { value, strict };
    match relation {
        Relation::Greater | Relation::GreaterEqual if value >= slot.least() => {
            slot.low = Some(found);
        }
        Relation::Less | Relation::LessEqual if value <= slot.most() => slot.high = Some(found),
        _ => {}
    }
}

/// The value of an expression without free quantities.
fn constant(expr: &Expr) -> Option<f64> {
    if !expr.variables().is_empty() || !expr.unknown_functions().is_empty() {
        return None;
    }
    let enclosure = enclose(expr, &Assignment::new(), Precision::Double);
    let (low, high) = enclosure.doubles();
    (enclosure.definedness == Definedness::Defined && low.is_finite() && high.is_finite())
        .then_some(low + (high - low) / 2.0)
}

/// Gives slots the expressions that equalities determine; returns which hypotheses were used.
fn tie_slots(problem: &Problem, slots: &mut [Slot]) -> Vec<usize> {
    let mut used = Vec::new();
    for (number, hypothesis) in problem.hypotheses.iter().enumerate() {
        let mut parts = Vec::new();
        conjuncts(&hypothesis.condition, &mut parts);
        for part in parts {
            if let Condition::Holds(left, Relation::Equal, right) = part
                && tie(slots, left, right)
            {
                used.push(number);
            }
        }
    }
    used
}

/// Ties one slot by left = right, if that closes no circle. Plain `v = expr` first, the later
/// variable before the earlier one.
fn tie(slots: &mut [Slot], left: &Expr, right: &Expr) -> bool {
    let mut order: Vec<usize> = (0..slots.len()).rev().collect();
    order.sort_by_key(|slot| slots[*slot].what != *left && slots[*slot].what != *right);
    for slot in order {
        if slots[slot].tied.is_some() {
            continue;
        }
        let found = solutions(left, right, &slots[slot].what);
        let Some(expr) = found.into_iter().next() else {
            continue;
        };
        if !reaches(slots, &expr, slot) {
            slots[slot].tied = Some(expr);
            return true;
        }
    }
    false
}

/// Whether the value of `expr` depends on a slot.
fn reaches(slots: &[Slot], expr: &Expr, slot: usize) -> bool {
    needs(slots, expr).into_iter().any(|other| {
        other == slot
            || slots[other]
                .tied
                .as_ref()
                .is_some_and(|tied| reaches(slots, tied, slot))
    })
}

/// The slots that occur in an expression.
pub(super) fn needs(slots: &[Slot], expr: &Expr) -> Vec<usize> {
    (0..slots.len())
        .filter(|slot| occurrences(expr, &slots[*slot].what) > 0)
        .collect()
}

/// Solves every hypothesis that is no mere bound for every slot that occurs in it once.
fn solve_hypotheses(problem: &Problem, slots: &[Slot], used: &[usize]) -> Vec<Boundary> {
    let mut found = Vec::new();
    for (number, hypothesis) in problem.hypotheses.iter().enumerate() {
        if used.contains(&number) {
            continue;
        }
        let mut parts = Vec::new();
        alternatives(&hypothesis.condition, &mut parts);
        // A tie put in may leave a quantity that the hypothesis does not name.
        let untied: Vec<Condition> = parts.iter().map(|part| without_ties(part, slots)).collect();
        for part in parts.into_iter().chain(&untied) {
            for (slot, description) in slots.iter().enumerate() {
                if description.tied.is_some() {
                    continue;
                }
                for expr in boundaries(part, &description.what) {
                    let needed = needs(slots, &expr);
                    if needed.is_empty() && is_bound(part, &description.what) {
                        continue;
                    }
                    found.push(Boundary {
                        hypothesis: number,
                        slot,
                        program: program(&expr, problem, slots),
                        needs: needed,
                    });
                }
            }
        }
    }
    found
}

/// The condition with the values of tied slots put in.
fn without_ties(condition: &Condition, slots: &[Slot]) -> Condition {
    let put = |expr: &Expr| {
        slots.iter().fold(expr.clone(), |expr, slot| {
            match (slot.what.as_variable(), &slot.tied) {
                (Some(name), Some(tied)) => expr.substitute(name, tied),
                _ => expr,
            }
        })
    };
    condition.map(&mut |expr| put(expr))
}

/// Where two members of a minimum or maximum are equal: the worst case often lies there.
fn kinks(problem: &Problem, goal_sides: &[Expr], slots: &[Slot]) -> Vec<Boundary> {
    let mut members = Vec::new();
    let mut see = |part: &Expr| {
        if let Node::Min(items) | Node::Max(items) = part.node() {
            members.push(items.clone());
        }
    };
    for side in goal_sides {
        side.visit(&mut see);
    }
    for hypothesis in &problem.hypotheses {
        hypothesis.condition.visit(&mut see);
    }
    let equalities = members.iter().filter_map(|items| match items.as_slice() {
        [first, second, ..] => Some((first.clone(), second.clone())),
        _ => None,
    });
    solved(problem, equalities.collect(), slots)
}

/// Where a divisor, a radicand or the argument of a logarithm is 0.
fn edges(problem: &Problem, expr: &Expr, slots: &[Slot]) -> Vec<Boundary> {
    let mut equalities = Vec::new();
    expr.visit(&mut |part| {
        if let Node::Div(_, edge) | Node::Root(_, edge) | Node::Call(Function::Log, edge) =
            part.node()
        {
            equalities.push((edge.clone(), Expr::integer(0)));
        }
    });
    solved(problem, equalities, slots)
}

/// Equalities that no hypothesis states, solved for every slot that occurs once.
fn solved(problem: &Problem, equalities: Vec<(Expr, Expr)>, slots: &[Slot]) -> Vec<Boundary> {
    let mut found = Vec::new();
    for (number, (left, right)) in equalities.into_iter().enumerate() {
        let equal = Condition::Holds(left, Relation::Equal, right);
        for (slot, description) in slots.iter().enumerate() {
            if description.tied.is_some() {
                continue;
            }
            for expr in boundaries(&equal, &description.what) {
                found.push(Boundary {
                    hypothesis: problem.hypotheses.len() + number,
                    slot,
                    program: program(&expr, problem, slots),
                    needs: needs(slots, &expr),
                });
            }
        }
    }
    found
}

/// All relations inside a condition.
fn alternatives<'a>(condition: &'a Condition, all: &mut Vec<&'a Condition>) {
    match condition {
        Condition::And(items) | Condition::Or(items) => {
            items.iter().for_each(|item| alternatives(item, all));
        }
        Condition::Not(inner) => alternatives(inner, all),
        other => all.push(other),
    }
}

/// Whether the condition is a constant bound of the quantity.
fn is_bound(condition: &Condition, what: &Expr) -> bool {
    match condition {
        Condition::Holds(left, _, right) => {
            left == what && constant(right).is_some() || right == what && constant(left).is_some()
        }
        _ => false,
    }
}

/// The boundary factor as an input.
pub(super) fn is_factor(input: &Expr) -> bool {
    input
        .as_variable()
        .is_some_and(|name| name.as_str() == FACTOR)
}
