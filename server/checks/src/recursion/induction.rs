//! Proofs about all members: by the equation itself, or by induction.

use super::facts::Fact;
use super::members::{self, Lowered, Members};
use crate::engine::Engine;
use kernel::numerics::{self, Assignment, Truth};
use kernel::{
    Condition, Expr, Function, Goal, Kind, Node, Origin, Problem, Relation, Symbol, Variable,
    Verdict, proving,
};
use std::collections::BTreeSet;

/// A proof in words; or why none may be given though the kernel has one; or nothing.
pub(super) type Outcome = Option<Result<String, &'static str>>;

/// Proves a claim about members: from what is assumed, the equation and what is known of all
/// members; else by induction.
pub(super) fn proved(
    engine: &Engine<'_>,
    members: &Members<'_>,
    facts: &[Fact],
    whole: &Problem,
) -> Outcome {
    let indices = members.indices_of(whole)?;
    for keep in keeps(&indices) {
        let Some((problem, informed)) = in_force(members, facts, whole, keep) else {
            continue;
        };
        if let Verdict::Proved(certificate) = engine.quickly(|| engine.ask(&problem)) {
            if supposes_falsehood(&problem) || !engine.can_be_met(&problem) {
                return Some(Err("no values satisfy what is in force here"));
            }
            let words = proving::reason::explain(&certificate)
                .unwrap_or_else(|| "true for all these values".to_owned());
            return Some(Ok(if informed {
                words.replace("as assumed", "as assumed or shown by induction")
            } else {
                words
            }));
        }
    }
    inductive(engine, members, facts, whole).map(Ok)
}

/// Whether a hypothesis about numbers is false: "if a_1 = √2" where a_1 is 1.
fn supposes_falsehood(problem: &Problem) -> bool {
    problem
        .hypotheses
        .iter()
        .map(|hypothesis| &hypothesis.condition)
        .filter(|condition| condition.variables().is_empty())
        .any(|condition| numerics::truth(condition, &Assignment::new()) == Truth::False)
}

/// How many of the earliest members to keep: as few as the equation allows, else all that occur.
fn keeps(indices: &BTreeSet<(Option<Symbol>, i64)>) -> Vec<i64> {
    let span = span_of(indices);
    if span > 1 && span <= 4 {
        vec![1, span]
    } else {
        vec![1]
    }
}

/// Over how many neighbours the indices reach.
fn span_of(indices: &BTreeSet<(Option<Symbol>, i64)>) -> i64 {
    let places = || {
        indices
            .iter()
            .filter(|(name, _)| name.is_some())
            .map(|(_, by)| *by)
    };
    match (places().min(), places().max()) {
        (Some(low), Some(high)) => high - low + 1,
        _ => 1,
    }
}

/// The problem in terms of its earliest members, with what is known of them.
fn in_force(
    members: &Members<'_>,
    facts: &[Fact],
    whole: &Problem,
    keep: i64,
) -> Option<(Problem, bool)> {
    let bare = members.lowered(whole, keep)?;
    let mut informed = whole.clone();
    for (index, by) in &bare.kept {
        let whole_numbers = whole
            .variable(index)
            .is_some_and(|variable| variable.kind == Kind::Integer);
        let Some(least) = members::least(whole, index).filter(|_| whole_numbers) else {
            continue;
        };
        for fact in facts.iter().filter(|fact| least + by >= fact.from) {
            let inside = fact.span == 1
                || (0..fact.span).all(|step| bare.kept.contains(&(index.clone(), by + step)));
            // What a fact says of later members is lowered with the rest; what would bring in
            // members that the problem does not speak of is left out.
            if inside || keep == 1 {
                let there = fact.about(&Expr::shifted(index, *by));
                informed = informed.assuming(there, Origin::Earlier);
            }
        }
    }
    let more = informed.hypotheses.len() > whole.hypotheses.len();
    let lowered = members.lowered(&informed, keep)?;
    Some((with_equations_put_in(lowered), more))
}

/// The problem with the right side of each hypothesis `member = …` in the member's place.
fn with_equations_put_in(lowered: Lowered) -> Problem {
    let Lowered {
        mut problem,
        stand_ins,
        ..
    } = lowered;
    loop {
        let found = problem.hypotheses.iter().position(|hypothesis| {
            matches!(&hypothesis.condition, Condition::Holds(left, Relation::Equal, right)
                if left.as_variable().is_some_and(|name| stand_ins.contains(name) && !right.mentions(name)))
        });
        let Some(found) = found else {
            return problem;
        };
        let Condition::Holds(left, _, right) = problem.hypotheses.remove(found).condition else {
            return problem;
        };
        let Some(name) = left.as_variable().cloned() else {
            return problem;
        };
        problem = members::mapped(&problem, &mut |side| side.substitute(&name, &right));
        problem.variables.retain(|variable| variable.name != name);
    }
}

/// Proof by induction of a claim about all members: nothing but how large its index is may be
/// assumed of them.
fn inductive(
    engine: &Engine<'_>,
    members: &Members<'_>,
    facts: &[Fact],
    whole: &Problem,
) -> Option<String> {
    let (claim, index, start) = inducible(members, whole)?;
    let all = Claims {
        claims: std::slice::from_ref(&claim),
        index: &index,
        start,
    };
    hold_throughout(engine, members, facts, whole, &all)
        .iter()
        .all(|holds| *holds)
        .then(|| {
            format!("by induction: true for {index} = {start}, and with it for the next {index}")
        })
}

/// The claim, its index and from where on, if it is about all members from there on.
fn inducible(members: &Members<'_>, whole: &Problem) -> Option<(Condition, Symbol, i64)> {
    let Goal::Holds(left, sign, right) = &whole.goal else {
        return None;
    };
    // What is known of first members restricts none of the others.
    let assumes = whole.hypotheses.iter().any(|hypothesis| {
        claim_indices(members, &hypothesis.condition)
            .is_none_or(|indices| indices.iter().any(|(name, _)| name.is_some()))
    });
    let indices = members.indices_of(whole)?;
    let mut runs = indices.iter().filter_map(|(name, _)| name.clone());
    let index = runs
        .next()
        .filter(|index| runs.all(|other| other == *index))?;
    if assumes || whole.variable(&index)?.kind != Kind::Integer || !only_bounded(whole, &index) {
        return None;
    }
    let claim = Condition::Holds(left.clone(), *sign, right.clone());
    let start = members::least(whole, &index)?;
    Some((claim, index, start))
}

/// The problem with a number ≥ 0 of its own for every absolute value that depends on variables:
/// it says more, and is often easier.
fn with_distances(problem: &Problem) -> Option<Problem> {
    let mut distances: Vec<(Expr, Symbol)> = Vec::new();
    let mut general = members::mapped(problem, &mut |side| distant(side, &mut distances));
    if distances.is_empty() {
        return None;
    }
    for (_, name) in distances {
        general.variables.push(Variable {
            name: name.clone(),
            kind: Kind::Real,
        });
        let positive = Condition::Holds(
            Expr::variable(&name),
            Relation::GreaterEqual,
            Expr::integer(0),
        );
        general = general.assuming(positive, Origin::Domain);
    }
    Some(general)
}

fn distant(expr: &Expr, distances: &mut Vec<(Expr, Symbol)>) -> Expr {
    if matches!(expr.node(), Node::Call(Function::Abs, _)) && !expr.variables().is_empty() {
        if let Some((_, name)) = distances.iter().find(|(known, _)| known == expr) {
            return Expr::variable(name);
        }
        let name = Symbol::new(&format!("d\u{2032}{}", distances.len()));
        distances.push((expr.clone(), name.clone()));
        return Expr::variable(&name);
    }
    expr.map_children(&mut |child| distant(child, distances))
}

/// Whether the hypotheses say of the index only from where on.
fn only_bounded(whole: &Problem, index: &Symbol) -> bool {
    whole
        .hypotheses
        .iter()
        .map(|hypothesis| &hypothesis.condition)
        .filter(|condition| condition.variables().contains(index))
        .all(|condition| match condition {
            Condition::Holds(left, relation, right) => {
                let upward = left.as_variable() == Some(index)
                    && matches!(relation, Relation::Greater | Relation::GreaterEqual)
                    && right.as_number().is_some();
                let turned = right.as_variable() == Some(index)
                    && matches!(relation, Relation::Less | Relation::LessEqual)
                    && left.as_number().is_some();
                upward || turned
            }
            Condition::Integer(value) => value.as_variable() == Some(index),
            _ => false,
        })
}

/// Claims about all members from an index on, to be proved together.
pub(super) struct Claims<'a> {
    /// The claims.
    pub(super) claims: &'a [Condition],
    /// Their index.
    pub(super) index: &'a Symbol,
    /// From where on.
    pub(super) start: i64,
}

/// Which of the claims hold for the first indices, and for each further one if all of them do
/// for those before it: base and step, each certified by the kernel. All hold if none fails.
pub(super) fn hold_throughout(
    engine: &Engine<'_>,
    members: &Members<'_>,
    facts: &[Fact],
    whole: &Problem,
    all: &Claims<'_>,
) -> Vec<bool> {
    let order = members.order();
    let step = Step {
        engine,
        members,
        facts,
        whole,
        all,
        by_equation: true,
    };
    all.claims
        .iter()
        .map(|claim| {
            (0..order).all(|next| step.holds_at(claim, all.start + next)) && step.holds_next(claim)
        })
        .collect()
}

/// Whether a claim holds by the equation and one further fact, which may be met.
pub(super) fn given(
    engine: &Engine<'_>,
    members: &Members<'_>,
    fact: &Fact,
    whole: &Problem,
) -> bool {
    in_force(members, std::slice::from_ref(fact), whole, 1).is_some_and(|(problem, _)| {
        engine.quickly(|| engine.proves(&problem)) && engine.can_be_met(&problem)
    })
}

/// Whether a claim would hold by induction if the members were tied by the given fact and not by
/// their equation.
pub(super) fn would_hold(
    engine: &Engine<'_>,
    members: &Members<'_>,
    instead: &Fact,
    whole: &Problem,
) -> bool {
    let Some((claim, index, start)) = inducible(members, whole) else {
        return false;
    };
    let step = Step {
        engine,
        members,
        facts: std::slice::from_ref(instead),
        whole,
        all: &Claims {
            claims: std::slice::from_ref(&claim),
            index: &index,
            start,
        },
        by_equation: false,
    };
    step.holds_at(&claim, start) && step.holds_next(&claim)
}

/// An induction over the index of its claims.
struct Step<'a> {
    engine: &'a Engine<'a>,
    members: &'a Members<'a>,
    /// What is known of all members, or supposed of them.
    facts: &'a [Fact],
    /// What is known of parameters.
    whole: &'a Problem,
    all: &'a Claims<'a>,
    /// Whether the equation may be used.
    by_equation: bool,
}

impl Step<'_> {
    /// Whether a claim holds at one index.
    fn holds_at(&self, claim: &Condition, at: i64) -> bool {
        let index = self.all.index;
        let mut problem = self.whole.clone();
        problem
            .hypotheses
            .retain(|hypothesis| !hypothesis.condition.variables().contains(index));
        problem.variables.retain(|variable| variable.name != *index);
        let Condition::Holds(left, relation, right) = claim.substitute(index, &Expr::integer(at))
        else {
            return false;
        };
        self.members
            .lowered(&problem.with_goal(Goal::Holds(left, relation, right)), 1)
            .is_some_and(|lowered| self.proves(&lowered.problem))
    }

    /// Whether all claims at neighbours give this one at the next index.
    fn holds_next(&self, claim: &Condition) -> bool {
        let index = self.all.index;
        let order = self.members.order();
        let from = Condition::Holds(
            Expr::variable(index),
            Relation::GreaterEqual,
            Expr::integer(self.all.start),
        );
        let mut step = self.whole.assuming(from, Origin::Domain);
        for back in 0..order {
            for supposed in self.all.claims {
                let there = supposed.substitute(index, &Expr::shifted(index, back));
                step = step.assuming(there, Origin::Assumption);
            }
        }
        let next = claim.substitute(index, &Expr::shifted(index, order));
        let Condition::Holds(left, relation, right) = next else {
            return false;
        };
        let step = step.with_goal(Goal::Holds(
            members::tidy(&left),
            relation,
            members::tidy(&right),
        ));
        let Some(indices) = claim_indices(self.members, claim) else {
            return false;
        };
        // At last with all members of the step as they are, tied by what is known of them alone.
        let apart = span_of(&indices) + order;
        let mut keeps = if self.by_equation {
            keeps(&indices)
        } else {
            Vec::new()
        };
        keeps.push(apart);
        keeps.into_iter().any(|keep| {
            in_force(self.members, self.facts, &step, keep).is_some_and(|(problem, _)| {
                self.proves(&problem)
                    || keep == apart
                        && with_distances(&problem).is_some_and(|problem| self.proves(&problem))
            })
        })
    }

    fn proves(&self, problem: &Problem) -> bool {
        self.engine.quickly(|| self.engine.proves(problem))
    }
}

fn claim_indices(
    members: &Members<'_>,
    claim: &Condition,
) -> Option<BTreeSet<(Option<Symbol>, i64)>> {
    let mut found = BTreeSet::new();
    let mut readable = true;
    let _ = claim.map(&mut |side| {
        readable &= members.indices(side, &mut found);
        side.clone()
    });
    readable.then_some(found)
}
