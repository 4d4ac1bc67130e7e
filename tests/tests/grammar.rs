//! The printed grammar of counterexample values reads back as the same number.

use kernel::expr::{Constant, Expr, Node};
use kernel::numerics::{Assignment, Precision, enclose};
use kernel::show::grammar;
use proptest::prelude::*;
use tests::obligations::expression;

fn value() -> impl Strategy<Value = Expr> {
    let leaf = prop_oneof![
        (0i64..=30).prop_map(Expr::integer),
        ((-9i64..=9), (1i64..=9)).prop_map(|(a, b)| Expr::ratio(a, b)),
        Just(Node::Constant(Constant::Pi).into()),
        Just(Node::Constant(Constant::E).into()),
    ];
    leaf.prop_recursive(4, 20, 3, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 2..4).prop_map(|items| Node::Add(items).into()),
            prop::collection::vec(inner.clone(), 2..4).prop_map(|items| Node::Mul(items).into()),
            inner.clone().prop_map(|a: Expr| a.negative()),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| a.over(&b)),
            (inner.clone(), 0i64..4).prop_map(|(a, k)| a.power(&Expr::integer(k))),
            inner.clone().prop_map(|a: Expr| a.sqrt()),
            inner.prop_map(|a: Expr| a.abs()),
        ]
    })
}

proptest! {
    #[test]
    fn printed_values_read_back(expr in value()) {
        let text = grammar(&expr);
        let again = expression(&text);
        prop_assert!(again.is_some(), "{} is not read", text);
        if let Some(again) = again {
            let nothing = Assignment::new();
            let a = enclose(&expr, &nothing, Precision::Bits(128));
            let b = enclose(&again, &nothing, Precision::Bits(128));
            prop_assert_eq!(a.definedness, b.definedness, "{}", &text);
            if let (Some(low), Some(high)) = (&a.low, &b.high) {
                prop_assert!(low <= high, "{}", &text);
            }
            if let (Some(low), Some(high)) = (&b.low, &a.high) {
                prop_assert!(low <= high, "{}", &text);
            }
        }
    }
}
