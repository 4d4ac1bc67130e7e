//! The refuter finds what is false and leaves alone what is true.

use super::*;
use crate::expr::{Condition, Expr, Relation, Symbol};
use crate::goal::{Goal, Hypothesis, Kind, Origin, Variable};
use crate::verdict::value_at;

fn problem(
    variables: &[(&str, Kind)],
    hypotheses: &[(Expr, Relation, Expr)],
    goal: (Expr, Relation, Expr),
) -> Problem {
    Problem {
        variables: variables
            .iter()
            .map(|(name, kind)| Variable {
                name: Symbol::new(name),
                kind: *kind,
            })
            .collect(),
        hypotheses: hypotheses
            .iter()
            .map(|(left, relation, right)| Hypothesis {
                condition: Condition::Holds(left.clone(), *relation, right.clone()),
                origin: Origin::Assumption,
            })
            .collect(),
        goal: Goal::Holds(goal.0, goal.1, goal.2),
    }
}

fn found(problem: &Problem) -> Option<Box<Counterexample>> {
    match refute(problem, 24_000, 120, &AtomicBool::new(false)) {
        Outcome::Found(counterexample) => Some(counterexample),
        _ => None,
    }
}

fn v(name: &str) -> Expr {
    Expr::named(name)
}

fn int(value: i64) -> Expr {
    Expr::integer(value)
}

#[test]
fn a_threshold_that_is_one_too_small() {
    // N ≥ 1/ε − 1, n > N ⊢ 1/n < ε fails where 1/ε is an integer.
    let claim = problem(
        &[
            ("ε", Kind::Real),
            ("N", Kind::Integer),
            ("n", Kind::Integer),
        ],
        &[
            (v("ε"), Relation::Greater, int(0)),
            (v("N"), Relation::GreaterEqual, int(1)),
            (
                v("N"),
                Relation::GreaterEqual,
                int(1).over(&v("ε")).minus(&int(1)),
            ),
            (v("n"), Relation::Greater, v("N")),
        ],
        (int(1).over(&v("n")), Relation::Less, v("ε")),
    );
    let found = found(&claim).expect("false");
    let n = value_at(found.point(), &Symbol::new("n")).and_then(Expr::as_number);
    assert!(n.is_some_and(|n| n <= RBig::from(4)));
}

#[test]
fn different_hypotheses_bound_different_variables() {
    let near = |a: &str, b: &str| v(a).minus(&v(b)).abs();
    let quarter = v("ε").over(&int(4));
    let claim = |part: Expr, relation| {
        problem(
            &[
                ("a", Kind::Real),
                ("b", Kind::Real),
                ("c", Kind::Real),
                ("ε", Kind::Real),
            ],
            &[
                (v("ε"), Relation::Greater, int(0)),
                (near("a", "c"), Relation::LessEqual, quarter.clone()),
                (near("b", "c"), Relation::LessEqual, part),
            ],
            (near("a", "b"), relation, v("ε")),
        )
    };
    let three_quarters = v("ε").times(&Expr::ratio(3, 4));
    assert!(found(&claim(three_quarters.clone(), Relation::Less)).is_some());
    assert!(found(&claim(three_quarters, Relation::LessEqual)).is_none());
}

#[test]
fn undefined_sides_refute_unless_a_hypothesis_excludes_them() {
    let goal = (v("x").over(&v("x")), Relation::Equal, int(1));
    let open = problem(&[("x", Kind::Real)], &[], goal.clone());
    assert!(found(&open).expect("0/0").is_undefined());
    let closed = problem(
        &[("x", Kind::Real)],
        &[(v("x").abs(), Relation::Greater, int(0))],
        goal.clone(),
    );
    assert!(found(&closed).is_none());
    // A point where a hypothesis is undefined is no witness.
    let guarded = problem(
        &[("x", Kind::Real)],
        &[(int(1).over(&v("x")), Relation::Greater, int(-1_000_000))],
        goal,
    );
    assert!(found(&guarded).is_none_or(|point| !point.is_undefined()));
}

#[test]
fn unknown_functions_have_tables() {
    let f = |x: Expr| -> Expr { crate::expr::Node::Apply(Symbol::new("f"), vec![x]).into() };
    let claim = problem(
        &[("x", Kind::Real), ("y", Kind::Real)],
        &[(f(v("x")).minus(&f(v("y"))).abs(), Relation::Less, int(1))],
        (f(v("x")), Relation::Less, f(v("y"))),
    );
    let point = found(&claim).expect("false").point().clone();
    assert!(point.len() >= 3, "{point:?}");
    // Equal arguments have equal values.
    let reflexive = problem(
        &[("x", Kind::Real), ("y", Kind::Real)],
        &[(v("x"), Relation::Equal, v("y"))],
        (f(v("x")), Relation::Equal, f(v("y"))),
    );
    assert!(found(&reflexive).is_none());
}

#[test]
fn hypotheses_that_can_be_met_have_a_point() {
    let meetable = problem(
        &[("x", Kind::Real)],
        &[
            (v("x").power(&int(2)), Relation::Equal, int(2)),
            (v("x"), Relation::Greater, int(0)),
        ],
        (v("x"), Relation::Less, int(2)),
    );
    assert!(satisfiable_point(&meetable).is_some());
    let contradictory = problem(
        &[("x", Kind::Real)],
        &[
            (v("x"), Relation::Greater, int(1)),
            (v("x"), Relation::Less, int(0)),
        ],
        (v("x"), Relation::Less, int(2)),
    );
    assert!(satisfiable_point(&contradictory).is_none());
}

#[test]
fn real_and_integer_variables_differ() {
    // n > N and N ≥ 1/ε − 1 give 1/n ≤ ε for integers only.
    let claim = |kind| {
        problem(
            &[("ε", Kind::Real), ("N", kind), ("n", kind)],
            &[
                (v("ε"), Relation::Greater, int(0)),
                (v("N"), Relation::GreaterEqual, int(1)),
                (v("n"), Relation::GreaterEqual, int(1)),
                (
                    v("N"),
                    Relation::GreaterEqual,
                    int(1).over(&v("ε")).minus(&int(1)),
                ),
                (v("n"), Relation::Greater, v("N")),
            ],
            (int(1).over(&v("n")), Relation::LessEqual, v("ε")),
        )
    };
    assert!(found(&claim(Kind::Integer)).is_none());
    assert!(found(&claim(Kind::Real)).is_some());
}

#[test]
fn squares_of_squares_are_solved_for_few_values() {
    let x = Expr::variable(&Symbol::new("x"));
    let mut nested = x.clone();
    for _ in 0..40 {
        nested = nested.power(&Expr::integer(2)).plus(&Expr::integer(6));
    }
    let goal = (nested, Relation::GreaterEqual, Expr::integer(7));
    let condition = Condition::Holds(goal.0, goal.1, goal.2);
    assert!(solve::boundaries(&condition, &x).len() <= 32);
}
