//! Members of sequences that are defined by recursion: their values, and problems in terms of the
//! earliest members that they speak of.

use argument::Recursion;
use kernel::numerics::{self, Assignment};
use kernel::{Condition, Expr, Goal, Kind, Node, Problem, Relation, Symbol, Variable};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Longest value of a member that is kept: nodes, and words of numerals.
const VALUE_EXTENT: usize = 150;

/// How many steps behind the first member a value is still computed: each is one deeper call.
const FARTHEST: i64 = 128;

/// Longest side of a condition in terms of earlier members.
const LOWERED_EXTENT: usize = 2_000;

/// The recursive sequences of an argument.
pub(crate) struct Members<'a> {
    recursions: &'a [Recursion],
    values: RefCell<HashMap<(Symbol, i64), Option<Expr>>>,
}

/// A problem in which members are variables of their own.
pub(crate) struct Lowered {
    /// The problem.
    pub(crate) problem: Problem,
    /// Which members stayed: index, how far from it.
    pub(crate) kept: BTreeSet<(Symbol, i64)>,
    /// The variables that stand for them.
    pub(crate) stand_ins: BTreeSet<Symbol>,
}

impl<'a> Members<'a> {
    pub(crate) fn of(recursions: &'a [Recursion]) -> Self {
        Self {
            recursions,
            values: RefCell::default(),
        }
    }

    pub(crate) fn recursions(&self) -> &'a [Recursion] {
        self.recursions
    }

    /// The recursion of that name.
    pub(crate) fn recursion(&self, name: &Symbol) -> Option<&'a Recursion> {
        self.recursions.iter().find(|one| one.name == *name)
    }

    /// The names beside indices of which equations and first members speak.
    pub(crate) fn parameters(&self) -> BTreeSet<Symbol> {
        self.recursions
            .iter()
            .flat_map(|own| {
                let mut names = own.next.variables();
                names.remove(&own.index);
                names.extend(own.starts.iter().flat_map(|(_, value)| value.variables()));
                names
            })
            .collect()
    }

    /// How far the equations lead back at most.
    pub(crate) fn order(&self) -> i64 {
        self.recursions.iter().map(order_of).max().unwrap_or(1)
    }

    /// Whether an expression speaks of a recursive sequence.
    pub(crate) fn occur_in(&self, expr: &Expr) -> bool {
        !self.recursions.is_empty()
            && expr
                .unknown_functions()
                .iter()
                .any(|name| self.recursion(name).is_some())
    }

    /// Whether a condition speaks of a recursive sequence.
    pub(crate) fn occur_in_condition(&self, condition: &Condition) -> bool {
        let mut found = false;
        condition.visit(&mut |part| {
            if let Node::Apply(name, _) = part.node() {
                found |= self.recursion(name).is_some();
            }
        });
        found
    }

    /// The value of a member: a number, or an expression in the parameters.
    pub(crate) fn value(&self, name: &Symbol, at: i64) -> Option<Expr> {
        let key = (name.clone(), at);
        if let Some(known) = self.values.borrow().get(&key) {
            return known.clone();
        }
        let found = self.computed(name, at);
        self.values.borrow_mut().insert(key, found.clone());
        found
    }

    fn computed(&self, name: &Symbol, at: i64) -> Option<Expr> {
        let recursion = self.recursion(name)?;
        if let Some((_, value)) = recursion.starts.iter().find(|(own, _)| *own == at) {
            return Some(folded(value));
        }
        let back = at.checked_sub(order_of(recursion))?;
        if back < recursion.first || back.saturating_sub(recursion.first) > FARTHEST {
            return None;
        }
        let next = recursion
            .next
            .substitute(&recursion.index, &Expr::integer(back));
        let value = folded(&self.with_values(&next)?);
        (!value.exceeds(VALUE_EXTENT)).then_some(value)
    }

    /// The expression with values for its members; `None` if one of them is not known.
    pub(crate) fn with_values(&self, expr: &Expr) -> Option<Expr> {
        if !self.occur_in(expr) {
            return Some(expr.clone());
        }
        if let Node::Apply(name, given) = expr.node()
            && self.recursion(name).is_some()
        {
            let [index] = given.as_slice() else {
                return None;
            };
            return match index.as_shift()? {
                (None, at) => self.value(name, at),
                _ => None,
            };
        }
        let mut all = true;
        let changed = expr.map_children(&mut |child| {
            self.with_values(child).unwrap_or_else(|| {
                all = false;
                child.clone()
            })
        });
        all.then_some(changed)
    }

    /// The condition with an index put in and values for its members.
    pub(crate) fn at(&self, condition: &Condition, index: &Symbol, at: i64) -> Option<Condition> {
        let there = condition.substitute(index, &Expr::integer(at));
        let mut all = true;
        let valued = there.map(&mut |side| {
            self.with_values(side).unwrap_or_else(|| {
                all = false;
                side.clone()
            })
        });
        all.then_some(valued)
    }

    /// Every member that an expression speaks of, with its index.
    pub(crate) fn indices(&self, expr: &Expr, found: &mut BTreeSet<(Option<Symbol>, i64)>) -> bool {
        let mut readable = true;
        expr.visit(&mut |part| {
            if let Node::Apply(name, given) = part.node()
                && self.recursion(name).is_some()
            {
                match given.as_slice() {
                    [index] => match index.as_shift() {
                        Some(shift) => {
                            found.insert(shift);
                        }
                        None => readable = false,
                    },
                    _ => readable = false,
                }
            }
        });
        readable
    }

    /// The members of which a problem's goal and hypotheses speak; `None` if an index is not of
    /// the form n + k.
    pub(crate) fn indices_of(&self, problem: &Problem) -> Option<BTreeSet<(Option<Symbol>, i64)>> {
        let mut found = BTreeSet::new();
        let mut readable = true;
        for side in sides(problem) {
            readable &= self.indices(&side, &mut found);
        }
        readable.then_some(found)
    }

    /// The index of every member of which a problem's goal and hypotheses speak, in whatever form.
    pub(crate) fn places_of(&self, problem: &Problem) -> Vec<Expr> {
        let mut found = Vec::new();
        for side in sides(problem) {
            side.visit(&mut |part| {
                if let Node::Apply(name, given) = part.node()
                    && self.recursion(name).is_some()
                {
                    found.extend(given.iter().cloned());
                }
            });
        }
        found
    }

    /// The problem with later members put back to the `keep` earliest ones of each index, and
    /// these as variables of their own.
    pub(crate) fn lowered(&self, problem: &Problem, keep: i64) -> Option<Lowered> {
        let indices = self.indices_of(problem)?;
        let mut lowest: BTreeMap<Symbol, i64> = BTreeMap::new();
        for (name, by) in &indices {
            if let Some(name) = name {
                let low = lowest.entry(name.clone()).or_insert(*by);
                *low = (*low).min(*by);
            }
        }
        let back = Back {
            members: self,
            lowest: &lowest,
            bounds: lowest
                .keys()
                .filter_map(|name| Some((name.clone(), least(problem, name)?)))
                .collect(),
            keep,
        };
        let mut small = true;
        let mut lower = |side: &Expr| {
            let lowered = back.lowered(side);
            small &= !lowered.exceeds(LOWERED_EXTENT);
            lowered
        };
        let mut changed = mapped(problem, &mut lower);
        if !small {
            return None;
        }
        for recursion in self.recursions {
            for condition in &recursion.conditions {
                changed = changed.assuming(condition.clone(), kernel::Origin::Domain);
            }
        }
        let mut kept = BTreeSet::new();
        let mut variables: Vec<Variable> = Vec::new();
        let mut stand_in = |side: &Expr| self.with_variables(side, &mut kept, &mut variables);
        let mut changed = mapped(&changed, &mut stand_in);
        let stand_ins = variables.iter().map(|own| own.name.clone()).collect();
        changed.variables.extend(variables);
        for name in names_of(&changed) {
            changed.variable(&name)?;
        }
        Some(Lowered {
            problem: changed,
            kept,
            stand_ins,
        })
    }

    /// The expression with a variable for every member.
    fn with_variables(
        &self,
        expr: &Expr,
        kept: &mut BTreeSet<(Symbol, i64)>,
        variables: &mut Vec<Variable>,
    ) -> Expr {
        if let Node::Apply(name, given) = expr.node()
            && self.recursion(name).is_some()
            && let [index] = given.as_slice()
        {
            if let Some((Some(index), by)) = index.as_shift() {
                kept.insert((index, by));
            }
            let own = stand_in(name, index);
            if !variables.iter().any(|known| known.name == own) {
                variables.push(Variable {
                    name: own.clone(),
                    kind: Kind::Real,
                });
            }
            return Expr::variable(&own);
        }
        expr.map_children(&mut |child| self.with_variables(child, kept, variables))
    }
}

/// Puts later members back to earlier ones.
struct Back<'a, 'b> {
    members: &'b Members<'a>,
    /// The lowest shift of each index.
    lowest: &'b BTreeMap<Symbol, i64>,
    /// How small each index may be, where that is known.
    bounds: BTreeMap<Symbol, i64>,
    keep: i64,
}

impl Back<'_, '_> {
    fn lowered(&self, expr: &Expr) -> Expr {
        if let Node::Apply(name, given) = expr.node()
            && let Some(recursion) = self.members.recursion(name)
            && let [index] = given.as_slice()
            && let Some(shift) = index.as_shift()
        {
            return self.member(recursion, shift);
        }
        expr.map_children(&mut |child| self.lowered(child))
    }

    fn member(&self, recursion: &Recursion, shift: (Option<Symbol>, i64)) -> Expr {
        let order = order_of(recursion);
        let own = |index: Expr| -> Expr { Node::Apply(recursion.name.clone(), vec![index]).into() };
        let back = match shift {
            (None, at) => {
                if let Some(value) = self.members.value(&recursion.name, at) {
                    return value;
                }
                let back = at.saturating_sub(order);
                if back < recursion.first || back.saturating_sub(recursion.first) > FARTHEST {
                    return own(Expr::integer(at));
                }
                Expr::integer(back)
            }
            (Some(name), by) => {
                let lowest = self.lowest.get(&name).copied().unwrap_or(by);
                let reaches = self
                    .bounds
                    .get(&name)
                    .is_some_and(|least| least + lowest >= recursion.first);
                if !reaches || by < lowest + self.keep.max(order) {
                    return own(Expr::shifted(&name, by));
                }
                Expr::shifted(&name, by - order)
            }
        };
        self.lowered(&recursion.next.substitute(&recursion.index, &back))
    }
}

/// The variable that stands for a member: `a_n`, `a_{n + 1}`.
fn stand_in(name: &Symbol, index: &Expr) -> Symbol {
    let shown = kernel::show::plain(index);
    Symbol::new(&if shown.contains(' ') {
        format!("{name}_{{{shown}}}")
    } else {
        format!("{name}_{shown}")
    })
}

/// How far a recursion leads back.
pub(crate) fn order_of(recursion: &Recursion) -> i64 {
    i64::try_from(recursion.order).unwrap_or(1)
}

/// The largest whole number that the hypotheses name as a lower bound of the index.
pub(crate) fn least(problem: &Problem, index: &Symbol) -> Option<i64> {
    let bound = |condition: &Condition| {
        let Condition::Holds(left, relation, right) = condition else {
            return None;
        };
        let (relation, number) = if left.as_variable() == Some(index) {
            (*relation, right)
        } else if right.as_variable() == Some(index) {
            (relation.flipped(), left)
        } else {
            return None;
        };
        let (None, number) = number.as_shift()? else {
            return None;
        };
        match relation {
            Relation::GreaterEqual | Relation::Equal => Some(number),
            Relation::Greater => number.checked_add(1),
            _ => None,
        }
    };
    problem
        .hypotheses
        .iter()
        .filter_map(|hypothesis| bound(&hypothesis.condition))
        .max()
}

/// The sides of goal and hypotheses.
fn sides(problem: &Problem) -> Vec<Expr> {
    let mut found = Vec::new();
    if let Goal::Holds(left, _, right) = &problem.goal {
        found.push(left.clone());
        found.push(right.clone());
    }
    for hypothesis in &problem.hypotheses {
        let _ = hypothesis.condition.map(&mut |side| {
            found.push(side.clone());
            side.clone()
        });
    }
    found
}

/// The problem with changed sides.
pub(crate) fn mapped(problem: &Problem, change: &mut dyn FnMut(&Expr) -> Expr) -> Problem {
    let mut changed = problem.clone();
    if let Goal::Holds(left, relation, right) = &problem.goal {
        changed.goal = Goal::Holds(change(left), *relation, change(right));
    }
    for hypothesis in &mut changed.hypotheses {
        hypothesis.condition = hypothesis.condition.map(&mut *change);
    }
    changed
}

fn names_of(problem: &Problem) -> BTreeSet<Symbol> {
    sides(problem)
        .iter()
        .flat_map(|side| side.variables())
        .collect()
}

/// A constant in its shortest form.
fn folded(value: &Expr) -> Expr {
    if !value.variables().is_empty() || !value.unknown_functions().is_empty() {
        return value.clone();
    }
    numerics::exact(value, &Assignment::new())
        .and_then(|exact| exact.as_rational())
        .map_or_else(|| value.clone(), Expr::number)
}

/// Indices in their shortest form.
pub(crate) fn tidy(expr: &Expr) -> Expr {
    let inner = expr.map_children(&mut tidy);
    if let Node::Apply(name, given) = inner.node() {
        let given = given
            .iter()
            .map(|index| match index.as_shift() {
                Some((Some(name), by)) => Expr::shifted(&name, by),
                _ => index.clone(),
            })
            .collect();
        return Node::Apply(name.clone(), given).into();
    }
    inner
}
