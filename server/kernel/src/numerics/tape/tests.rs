//! The tape agrees with intervals wherever both speak.

use super::{Batch, Compiler, LANES};
use crate::expr::{Constant, Expr, Function, Node, Symbol};
use crate::goal::Kind;
use crate::numerics::{Assignment, Definedness, Precision, Value, enclose};
use dashu::rational::RBig;
use proptest::prelude::*;

fn leaf() -> impl Strategy<Value = Expr> {
    prop_oneof![
        (-4i64..=6).prop_map(Expr::integer),
        ((-9i64..=9), (1i64..=7)).prop_map(|(a, b)| Expr::ratio(a, b)),
        Just(Expr::named("x")),
        Just(Expr::named("n")),
        Just(Node::Constant(Constant::Pi).into()),
        Just(Node::Constant(Constant::E).into()),
    ]
}

pub(crate) fn expression() -> impl Strategy<Value = Expr> {
    leaf().prop_recursive(4, 24, 3, |inner| {
        let function = prop_oneof![
            Just(Function::Exp),
            Just(Function::Log),
            Just(Function::Sin),
            Just(Function::Cos),
            Just(Function::Atan),
            Just(Function::Tanh),
            Just(Function::Sinh),
            Just(Function::Cosh),
            Just(Function::Asin),
            Just(Function::Acos),
            Just(Function::Abs),
            Just(Function::Floor),
            Just(Function::Ceil),
            Just(Function::Sign),
            Just(Function::Tan),
        ];
        prop_oneof![
            prop::collection::vec(inner.clone(), 2..4).prop_map(|items| Node::Add(items).into()),
            prop::collection::vec(inner.clone(), 2..4).prop_map(|items| Node::Mul(items).into()),
            prop::collection::vec(inner.clone(), 2..3).prop_map(|items| Node::Min(items).into()),
            prop::collection::vec(inner.clone(), 2..3).prop_map(|items| Node::Max(items).into()),
            inner.clone().prop_map(|a| a.negative()),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| a.over(&b)),
            (inner.clone(), -3i64..5).prop_map(|(a, k)| a.power(&Expr::integer(k))),
            inner.clone().prop_map(|a| a.power(&Expr::named("n"))),
            (inner.clone(), 2u32..5).prop_map(|(a, k)| Node::Root(k, a).into()),
            (function, inner).prop_map(|(f, a)| a.call(f)),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn tape_agrees_with_intervals(expr in expression(), a in -12i64..=12, b in 1i64..=5, k in 0i64..=6) {
        let integer = |name: &Symbol| name.as_str() == "n";
        let mut compiler = Compiler::new(&integer);
        let result = compiler.expression(&expr);
        let magnitude = compiler.magnitude(&expr);
        let tape = compiler.finish();
        let mut batch = Batch::new(&tape);
        let x = RBig::from(a) / RBig::from(b);
        for (position, input) in tape.inputs().iter().enumerate() {
            let value = if input == &Expr::named("x") { x.to_f64().value() } else { k as f64 };
            *batch.input(position) = [value; LANES];
        }
        batch.run(&tape);
        let value = batch.value(result)[7];
        let size = batch.value(magnitude)[7];
        let assignment = Assignment::new()
            .with(&Symbol::new("x"), Kind::Real, Value::Exact(x))
            .with(&Symbol::new("n"), Kind::Integer, Value::Exact(RBig::from(k)));
        let fine = enclose(&expr, &assignment, Precision::Bits(192));
        let coarse = enclose(&expr, &assignment, Precision::Double);
        // Coarse and fine enclosures speak of the same value.
        if fine.definedness == Definedness::Defined {
            prop_assert_ne!(coarse.definedness, Definedness::Undefined);
            let (a, b) = fine.doubles();
            let (c, d) = coarse.doubles();
            prop_assert!(c <= b && a <= d, "{:?}: [{a}, {b}] and [{c}, {d}]", expr);
        }
        if coarse.definedness == Definedness::Undefined {
            prop_assert_ne!(fine.definedness, Definedness::Defined);
        }
        // The exact value lies in the enclosures.
        if let (Some(exact), Some(low), Some(high)) = (&fine.exact, &coarse.low, &coarse.high) {
            prop_assert!(low <= exact && exact <= high);
        }
        // The tape is near, unless a discontinuity or overflow came between.
        let jumps = {
            let mut jumps = false;
            expr.visit(&mut |part| jumps |= matches!(
                part.node(),
                Node::Call(Function::Floor | Function::Ceil | Function::Sign | Function::Tan, _)
                    | Node::Div(..) | Node::Pow(..)
            ));
            jumps
        };
        if !jumps && fine.definedness == Definedness::Defined && value.is_finite() && size < 1e12 {
            let (low, high) = coarse.doubles();
            let slack = 1e-6 * (1.0 + size + value.abs());
            prop_assert!(low - slack <= value && value <= high + slack, "{expr:?}: {value} not in [{low}, {high}]");
        }
        if coarse.definedness == Definedness::Undefined && !jumps {
            prop_assert!(!value.is_finite() || value.abs() > 1e-300 || value == 0.0);
        }
    }
}

#[test]
fn sums_run_lane_by_lane() {
    let k = Expr::named("k");
    let n = Expr::named("n");
    let sum: Expr = Node::Sum {
        index: Symbol::new("k"),
        from: Expr::integer(1),
        to: Some(n.clone()),
        body: k.times(&n),
    }
    .into();
    let series: Expr = Node::Sum {
        index: Symbol::new("k"),
        from: n.clone(),
        to: None,
        body: Expr::integer(1).over(&k.power(&Expr::integer(2))),
    }
    .into();
    let integer = |_: &Symbol| true;
    let mut compiler = Compiler::new(&integer);
    let (a, b) = (compiler.expression(&sum), compiler.expression(&series));
    let tape = compiler.finish();
    let mut batch = Batch::new(&tape);
    for lane in 0..LANES {
        batch.input(0)[lane] = lane as f64;
    }
    batch.run(&tape);
    assert_eq!(batch.value(a)[4], 40.0);
    assert_eq!(batch.value(a)[0], 0.0);
    let basel = std::f64::consts::PI.powi(2) / 6.0;
    assert!((batch.value(b)[1] - basel).abs() < 1e-3);
    assert!((batch.value(b)[2] - basel + 1.0).abs() < 1e-3);
}

#[test]
fn undefined_is_not_a_number() {
    let x = Expr::named("x");
    let integer = |_: &Symbol| false;
    let mut compiler = Compiler::new(&integer);
    let registers = [
        compiler.expression(&Expr::integer(1).over(&x)),
        compiler.expression(&x.call(Function::Log)),
        compiler.expression(&x.minus(&Expr::integer(1)).sqrt()),
        compiler.expression(&x.power(&Expr::integer(-2))),
        compiler.expression(&x.power(&x)),
    ];
    let tape = compiler.finish();
    let mut batch = Batch::new(&tape);
    batch.run(&tape);
    for register in registers {
        assert!(batch.value(register)[0].is_nan());
    }
}

/// Pairs of operations that are fused give to the last bit what they give one by one.
#[test]
fn fused_operations_round_like_single_ones() {
    let (x, y, z) = (Expr::named("x"), Expr::named("y"), Expr::named("z"));
    let nan_or = |a: f64, b: f64| if b == 0.0 { f64::NAN } else { a / b };
    type Inner = (fn(&Expr, &Expr) -> Expr, fn(f64, f64) -> f64);
    let inner: [Inner; 4] = [
        (Expr::plus, |a, b| a + b),
        (Expr::minus, |a, b| a - b),
        (Expr::times, |a, b| a * b),
        (|a, _| a.power(&Expr::integer(2)), |a, _| a * a),
    ];
    let values = [0.0, -0.0, 0.1, -1.0 / 3.0, 7e8, 1e-300, -2.5];
    for (build, value) in inner {
        let t = build(&x, &y);
        let all = [
            t.plus(&z),
            Node::Add(vec![z.clone(), t.clone()]).into(),
            t.minus(&z),
            Node::Add(vec![z.clone(), t.negative()]).into(),
            t.times(&z),
            t.over(&z),
            z.over(&t),
        ];
        for (place, expr) in all.iter().enumerate() {
            let mut compiler = Compiler::new(&|_| false);
            let register = compiler.expression(expr);
            let tape = compiler.finish();
            let done = |operation: &super::Operation| matches!(operation, super::Operation::Done);
            assert_eq!(tape.operations.iter().filter(|own| done(own)).count(), 1);
            let mut batch = Batch::new(&tape);
            for a in values {
                for b in values {
                    for c in values {
                        for (position, input) in tape.inputs().iter().enumerate() {
                            let own = [(&x, a), (&y, b), (&z, c)];
                            let own = own
                                .iter()
                                .find(|(name, _)| *name == input)
                                .expect("one of three")
                                .1;
                            *batch.input(position) = [own; LANES];
                        }
                        batch.run(&tape);
                        let t = value(a, b);
                        let wanted = match place {
                            0 | 1 => t + c,
                            2 => t - c,
                            3 => c - t,
                            4 => t * c,
                            5 => nan_or(t, c),
                            _ => nan_or(c, t),
                        };
                        let got = batch.value(register)[LANES - 1];
                        assert!(
                            got == wanted || (got.is_nan() && wanted.is_nan()),
                            "{expr:?} at {a}, {b}, {c}: {got} and {wanted}"
                        );
                    }
                }
            }
        }
    }
}

/// A value that is read from outside is not fused away.
#[test]
fn values_that_are_read_stay() {
    let x = Expr::named("x");
    let square = x.times(&x);
    let mut compiler = Compiler::new(&|_| false);
    let inner = compiler.expression(&square);
    let outer = compiler.expression(&square.plus(&Expr::integer(1)));
    let folded = compiler.expression(&Expr::ratio(3, 2).minus(&Expr::integer(1)));
    let tape = compiler.finish();
    let mut batch = Batch::new(&tape);
    *batch.input(0) = [3.0; LANES];
    batch.run(&tape);
    assert_eq!(batch.value(inner)[5], 9.0);
    assert_eq!(batch.value(outer)[5], 10.0);
    assert_eq!(batch.value(folded)[5], 0.5);
}
