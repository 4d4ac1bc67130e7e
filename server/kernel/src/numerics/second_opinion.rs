//! The second opinion: an independent evaluator is asked for both sides of a counterexample.
//!
//! Each side is printed in the syntax of `meval`, with the values of the point in place of the
//! variables, and evaluated there. A value that differs from our enclosure by more than 10^−6 of
//! the largest intermediate magnitude is a disagreement. What it cannot evaluate is no opinion.

use crate::recheck::Counterexample;

/// What the independent evaluator says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Opinion {
    /// At least one side was evaluated, and every one that was has the value we say.
    Agrees,
    /// A side has another value.
    Disagrees,
    /// It could not evaluate either side, or it is not part of this build.
    None,
}

/// Asks for both sides of a counterexample.
#[cfg(not(feature = "second-opinion"))]
#[must_use]
pub fn second_opinion(_counterexample: &Counterexample) -> Opinion {
    Opinion::None
}

#[cfg(feature = "second-opinion")]
pub use asking::second_opinion;

#[cfg(feature = "second-opinion")]
mod asking {
    use super::{Counterexample, Opinion};
    use crate::expr::{Condition, Constant, Expr, Function, Node};
    use crate::goal::Kind;
    use crate::numerics::{Assignment, Definedness, Precision, Value, enclose};
    use crate::verdict::{Point, SideValue, value_at};

    /// Largest difference that is put down to rounding, relative to intermediate magnitudes.
    const TOLERANCE: f64 = 1e-6;

    /// Asks for both sides of a counterexample.
    #[must_use]
    pub fn second_opinion(counterexample: &Counterexample) -> Opinion {
        let Condition::Holds(left, _, right) = counterexample.failed() else {
            return Opinion::None;
        };
        let point = counterexample.point();
        let mut opinion = Opinion::None;
        for (side, value) in [
            (left, counterexample.left()),
            (right, counterexample.right()),
        ] {
            match side_opinion(side, value, point) {
                Opinion::Disagrees => return Opinion::Disagrees,
                Opinion::Agrees => opinion = Opinion::Agrees,
                Opinion::None => {}
            }
        }
        opinion
    }

    fn side_opinion(side: &Expr, value: &SideValue, point: &Point) -> Opinion {
        let (low, high) = match value {
            SideValue::Undefined => return Opinion::None,
            SideValue::Enclosed { low, high } => (*low, *high),
            SideValue::Exact(expr) => {
                enclose(expr, &Assignment::new(), Precision::Double).doubles()
            }
        };
        let Some(text) = print(side, point) else {
            return Opinion::None;
        };
        let Some(theirs) = meval::eval_str(&text)
            .ok()
            .filter(|value| value.is_finite())
        else {
            return Opinion::None;
        };
        let Some(size) = magnitude(side, point) else {
            return Opinion::None;
        };
        let off = (low - theirs).max(theirs - high).max(0.0);
        if off <= TOLERANCE * size {
            Opinion::Agrees
        } else {
            Opinion::Disagrees
        }
    }

    /// The largest absolute value of a sub-expression at the point; `None` on overflow.
    fn magnitude(side: &Expr, point: &Point) -> Option<f64> {
        let mut assignment = Assignment::new();
        for (what, value) in point {
            if let Some(name) = what.as_variable() {
                let value = match value.as_number() {
                    Some(number) => Value::Exact(number),
                    None => Value::Closed(value.clone()),
                };
                // The kind matters for exponents only, and integers are integers in any kind.
                let kind = match &value {
                    Value::Exact(number) if number.is_int() => Kind::Integer,
                    _ => Kind::Real,
                };
                assignment.set(name, kind, value);
            }
        }
        let mut largest = 0.0f64;
        side.visit(&mut |part| {
            let enclosure = enclose(part, &assignment, Precision::Double);
            let (low, high) = enclosure.doubles();
            largest = if enclosure.definedness == Definedness::Undefined {
                f64::INFINITY
            } else {
                largest.max(low.abs()).max(high.abs())
            };
        });
        largest.is_finite().then_some(largest)
    }

    /// The expression in the evaluator's syntax, fully parenthesised, values in place of
    /// variables; `None` for what it does not know.
    pub(super) fn print(expr: &Expr, point: &Point) -> Option<String> {
        let joined = |items: &[Expr], sign: &str| -> Option<String> {
            let items: Option<Vec<String>> = items.iter().map(|item| print(item, point)).collect();
            Some(format!("({})", items?.join(sign)))
        };
        Some(match expr.node() {
            Node::Number(value) => {
                if value.is_int() {
                    format!("({})", value.numerator())
                } else {
                    format!("(({})/({}))", value.numerator(), value.denominator())
                }
            }
            Node::Constant(Constant::Pi) => "pi".to_owned(),
            Node::Constant(Constant::E) => "e".to_owned(),
            Node::Variable(name) => print(value_at(point, name)?, &Point::new())?,
            Node::Add(items) => joined(items, "+")?,
            Node::Mul(items) => joined(items, "*")?,
            Node::Neg(inner) => format!("(0-{})", print(inner, point)?),
            Node::Div(a, b) => format!("({}/{})", print(a, point)?, print(b, point)?),
            Node::Pow(a, b) => format!("({}^{})", print(a, point)?, print(b, point)?),
            Node::Root(2, inner) => format!("sqrt({})", print(inner, point)?),
            Node::Min(items) => format!("min{}", joined(items, ",")?),
            Node::Max(items) => format!("max{}", joined(items, ",")?),
            Node::Call(function, argument) => {
                format!("{}({})", name(*function)?, print(argument, point)?)
            }
            _ => return None,
        })
    }

    fn name(function: Function) -> Option<&'static str> {
        Some(match function {
            Function::Exp => "exp",
            Function::Log => "ln",
            Function::Sin => "sin",
            Function::Cos => "cos",
            Function::Tan => "tan",
            Function::Atan => "atan",
            Function::Asin => "asin",
            Function::Acos => "acos",
            Function::Sinh => "sinh",
            Function::Cosh => "cosh",
            Function::Tanh => "tanh",
            Function::Abs => "abs",
            // Rounding and signs jump: a different last digit would read as a disagreement.
            Function::Floor | Function::Ceil | Function::Sign | Function::Factorial => {
                return None;
            }
        })
    }
}

#[cfg(all(test, feature = "second-opinion"))]
mod tests {
    use super::asking::print;
    use crate::expr::{Expr, Function, Node, Symbol};
    use crate::goal::Kind;
    use crate::numerics::tape::tests::expression;
    use crate::numerics::{Assignment, Definedness, Precision, Value, enclose};
    use dashu::rational::RBig;
    use proptest::prelude::*;

    #[test]
    fn the_other_evaluator_reads_our_print() {
        let x = Expr::named("x");
        let expr = Expr::integer(-1)
            .power(&Expr::integer(3))
            .times(&x.negative().call(Function::Exp))
            .minus(&Node::Max(vec![x.clone(), Expr::integer(2)]).into());
        let point = vec![(x, Expr::ratio(1, 2))];
        let text = print(&expr, &point).expect("printable");
        let value = meval::eval_str(&text).expect("readable");
        assert!((value + (-0.5f64).exp() + 2.0).abs() < 1e-12);
        assert!(print(&Expr::integer(3).call(Function::Factorial), &Vec::new()).is_none());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn both_evaluators_agree(expr in expression(), a in -9i64..=9, b in 1i64..=4, k in 0i64..=5) {
            let (x, n) = (Expr::named("x"), Expr::named("n"));
            let point = vec![(x, Expr::ratio(a, b)), (n, Expr::integer(k))];
            let assignment = Assignment::new()
                .with(&Symbol::new("x"), Kind::Real, Value::Exact(RBig::from(a) / RBig::from(b)))
                .with(&Symbol::new("n"), Kind::Integer, Value::Exact(RBig::from(k)));
            let ours = enclose(&expr, &assignment, Precision::Bits(128));
            if let Some(text) = print(&expr, &point)
                && let Ok(theirs) = meval::eval_str(&text)
                && theirs.is_finite()
                && ours.definedness == Definedness::Defined
            {
                // A common scale only: conditioning is the business of the caller.
                let (low, high) = ours.doubles();
                let mut size = 1.0f64;
                expr.visit(&mut |part| {
                    let (low, high) = enclose(part, &assignment, Precision::Double).doubles();
                    size = size.max(low.abs()).max(high.abs());
                });
                if size < 1e6 {
                    prop_assert!(low - 1e-6 * size <= theirs && theirs <= high + 1e-6 * size);
                }
            }
        }
    }
}
