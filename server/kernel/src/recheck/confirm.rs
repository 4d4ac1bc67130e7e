//! The only maker of counterexamples: it puts a given point into hypotheses and claim, in exact
//! arithmetic and outward-rounded intervals, and accepts it only if nothing is left to doubt.

use super::Counterexample;
use crate::expr::{Condition, Expr, Node, Relation};
use crate::goal::{Goal, Kind, Problem};
use crate::numerics::{
    Assignment, Definedness, Precision, Truth, Value, definedness, enclose, exact, truth,
};
use crate::verdict::{Point, SideValue};
use dashu::base::BitTest;
use dashu::rational::RBig;
use std::collections::BTreeSet;

/// Exact rational sides are shown up to this length in bits (about 19 digits in all).
const SHOWN_BITS: usize = 64;

/// Confirms a counterexample; evidence if every hypothesis holds at the point and the claim fails
/// there, because its relation is false or because a side of it is undefined.
#[must_use]
pub fn confirm(problem: &Problem, point: &Point) -> Option<Counterexample> {
    let (left, relation, right) = match &problem.goal {
        Goal::Holds(left, relation, right) => (left, *relation, right),
        Goal::Defined(expr) => (expr, Relation::Equal, expr),
        Goal::TendsToZero { .. } => return None,
    };
    let failed = Condition::Holds(left.clone(), relation, right.clone());
    let assignment = admitted(problem, point)?;
    let (left, right) = if truth(&failed, &assignment) == Truth::False {
        (side(left, &assignment)?, side(right, &assignment)?)
    } else {
        undefined_sides(left, right, &assignment)?
    };
    Some(Counterexample {
        point: point.clone(),
        left,
        right,
        failed,
    })
}

/// Whether the point gives every variable a value of its kind and satisfies all hypotheses.
#[must_use]
pub fn satisfies(problem: &Problem, point: &Point) -> bool {
    admitted(problem, point).is_some()
}

/// The assignment of a point that satisfies all hypotheses, each of them defined there.
fn admitted(problem: &Problem, point: &Point) -> Option<Assignment> {
    let assignment = assignment(problem, point)?;
    problem
        .hypotheses
        .iter()
        .all(|hypothesis| truth(&hypothesis.condition, &assignment) == Truth::True)
        .then_some(assignment)
}

/// Reads a point: one closed, defined value for every variable, integers for integer variables,
/// and at most one value for every application of an unknown function.
fn assignment(problem: &Problem, point: &Point) -> Option<Assignment> {
    let mut assignment = Assignment::new();
    let mut seen = BTreeSet::new();
    for (what, value) in point {
        let value = closed(value)?;
        match what.node() {
            Node::Variable(name) => {
                let variable = problem.variable(name)?;
                let integral = matches!(&value, Value::Exact(number) if number.is_int());
                if variable.kind == Kind::Integer && !integral {
                    return None;
                }
                if !seen.insert(what.clone()) {
                    return None;
                }
                assignment.set(name, variable.kind, value);
            }
            Node::Apply(function, arguments) => {
                let arguments = arguments
                    .iter()
                    .map(|argument| match closed(argument)? {
                        Value::Exact(number) => Some(number),
                        _ => None,
                    })
                    .collect::<Option<Vec<RBig>>>()?;
                if assignment.application(function, &arguments).is_some() {
                    return None;
                }
                assignment.set_application(function, arguments, value);
            }
            _ => return None,
        }
    }
    let complete = problem
        .variables
        .iter()
        .all(|variable| assignment.value(&variable.name).is_some());
    complete.then_some(assignment)
}

/// The value of an expression without variables and unknown functions, if it is defined.
fn closed(value: &Expr) -> Option<Value> {
    if let Some(number) = value.as_number() {
        return Some(Value::Exact(number));
    }
    if !value.variables().is_empty() || !value.unknown_functions().is_empty() {
        return None;
    }
    let nothing = Assignment::new();
    if let Some(number) = exact(value, &nothing).and_then(|value| value.as_rational()) {
        return Some(Value::Exact(number));
    }
    (definedness(value, &nothing) == Definedness::Defined).then(|| Value::Closed(value.clone()))
}

/// The sides of a claim of which one is surely undefined.
fn undefined_sides(
    left: &Expr,
    right: &Expr,
    assignment: &Assignment,
) -> Option<(SideValue, SideValue)> {
    let undefined = |side: &Expr| definedness(side, assignment) == Definedness::Undefined;
    let gone = [undefined(left), undefined(right)];
    let value = |gone: bool, own: &Expr| match gone {
        true => Some(SideValue::Undefined),
        false => side(own, assignment),
    };
    gone.contains(&true).then_some(())?;
    Some((value(gone[0], left)?, value(gone[1], right)?))
}

/// The value of a side: exact where that is short, else enclosed; nothing where no bounds are
/// found, as numbers that cannot be tried by hand show nothing.
fn side(expr: &Expr, assignment: &Assignment) -> Option<SideValue> {
    if let Some(value) = exact(expr, assignment) {
        if let Some(number) = value.as_rational() {
            if number.numerator().bit_len() + number.denominator().bit_len() <= SHOWN_BITS {
                return Some(SideValue::Exact(Expr::number(number)));
            }
        } else if value.is_small() {
            return value.to_expr().map(SideValue::Exact);
        }
    }
    let enclosure = enclose(expr, assignment, Precision::Bits(128));
    let (low, high) = enclosure.doubles();
    let bounded = low.is_finite() && high.is_finite();
    bounded.then_some(SideValue::Enclosed { low, high })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::expr::{Constant, Function, Symbol};
    use crate::goal::{Hypothesis, Origin, Variable};

    fn problem(hypotheses: Vec<Condition>, goal: Goal) -> Problem {
        let variable = |name: &str, kind| Variable {
            name: Symbol::new(name),
            kind,
        };
        Problem {
            variables: vec![variable("n", Kind::Integer), variable("x", Kind::Real)],
            hypotheses: hypotheses
                .into_iter()
                .map(|condition| Hypothesis {
                    condition,
                    origin: Origin::Assumption,
                })
                .collect(),
            goal,
        }
    }

    fn point(n: Expr, x: Expr) -> Point {
        vec![(Expr::named("n"), n), (Expr::named("x"), x)]
    }

    fn int(value: i64) -> Expr {
        Expr::integer(value)
    }

    /// x ≤ 1 − 1/n ⊢ x² < 1/4
    fn claim() -> Problem {
        let x = Expr::named("x");
        let bound = int(1).minus(&int(1).over(&Expr::named("n")));
        problem(
            vec![Condition::Holds(x.clone(), Relation::LessEqual, bound)],
            Goal::Holds(x.power(&int(2)), Relation::Less, Expr::ratio(1, 4)),
        )
    }

    #[test]
    fn a_tie_refutes_a_strict_claim_at_an_attained_boundary() {
        let found = confirm(&claim(), &point(int(2), Expr::ratio(1, 2))).expect("fails there");
        assert_eq!(found.left(), &SideValue::Exact(Expr::ratio(1, 4)));
        assert!(!found.is_undefined());
    }

    #[test]
    fn what_is_no_witness_is_rejected() {
        let rejected = |n: Expr, x: Expr| assert!(confirm(&claim(), &point(n, x)).is_none());
        rejected(int(2), Expr::ratio(51, 100));
        rejected(int(2), Expr::ratio(49, 100));
        rejected(Expr::ratio(5, 2), Expr::ratio(1, 2));
        rejected(int(0), int(-1));
        rejected(int(2), int(1).over(&int(0)));
        rejected(int(2), Expr::named("n"));
        let short = vec![(Expr::named("n"), int(2))];
        assert!(confirm(&claim(), &short).is_none());
        let mut twice = point(int(2), Expr::ratio(1, 2));
        twice.push((Expr::named("x"), int(0)));
        assert!(confirm(&claim(), &twice).is_none());
    }

    #[test]
    fn irrational_values_are_admitted() {
        let x = Expr::named("x");
        let claim = problem(
            vec![Condition::Holds(x.power(&int(2)), Relation::Equal, int(2))],
            Goal::Holds(x, Relation::Less, int(0)),
        );
        let found = confirm(&claim, &point(int(1), int(2).sqrt())).expect("√2 is not negative");
        assert_eq!(found.left(), &SideValue::Exact(int(2).sqrt()));
        assert!(confirm(&claim, &point(int(1), int(2).sqrt().negative())).is_none());
    }

    #[test]
    fn undefined_sides_are_told_apart() {
        let x = Expr::named("x");
        let claim = problem(
            vec![],
            Goal::Holds(
                int(1).over(&x),
                Relation::Less,
                x.plus(&int(1)).call(Function::Log),
            ),
        );
        let found = confirm(&claim, &point(int(1), int(0))).expect("1/0");
        assert_eq!(found.left(), &SideValue::Undefined);
        assert_eq!(found.right(), &SideValue::Exact(int(0)));
        let pole: Expr = Node::Constant(Constant::Pi).into();
        let tangent = problem(vec![], Goal::Defined(Expr::named("x").call(Function::Tan)));
        assert!(confirm(&tangent, &point(int(1), pole.over(&int(2)))).is_some());
        assert!(confirm(&tangent, &point(int(1), pole)).is_none());
    }

    #[test]
    fn equal_arguments_have_one_value() {
        let f = |argument: Expr| -> Expr { Node::Apply(Symbol::new("f"), vec![argument]).into() };
        let claim = problem(
            vec![],
            Goal::Holds(f(Expr::named("x")), Relation::Equal, f(Expr::named("n"))),
        );
        let mut table = point(int(1), int(1));
        table.push((f(int(1)), int(3)));
        assert!(confirm(&claim, &table).is_none());
        table.push((f(int(2).over(&int(2))), int(4)));
        assert!(confirm(&claim, &table).is_none());
        let mut apart = point(int(1), int(2));
        apart.push((f(int(1)), int(3)));
        apart.push((f(int(2)), int(4)));
        assert!(confirm(&claim, &apart).is_some());
    }
}
