//! Records are read as they were written, and nothing else is.

use super::*;
use crate::expr::{Condition, Expr, Node, Symbol};
use crate::fuel::{Budget, Fuel};
use crate::proving::prove;
use crate::proving::tests::text::{expr, null_problem, problem};
use proptest::prelude::*;
use std::sync::atomic::AtomicBool;

fn proved(problem: &Problem) -> Record {
    let stop = AtomicBool::new(false);
    let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
    Record::Proof(problem.clone(), prove(problem, &mut fuel).unwrap())
}

#[test]
fn a_record_is_read_as_it_was_written() {
    let records = [
        proved(&problem("n:int x |- abs(sin(x/n)) <= abs(x)/n")),
        proved(&problem("n:int |- 2^n >= n + 1")),
        proved(&null_problem("n:int x:[0,1] |- x/n", &["x"])),
        // An equation used in the goal, and a series that is split.
        proved(&null_problem(
            "n:int |- sum(1/k^2, k, 1, n) - series(1/k^2, k, 1)",
            &[],
        )),
        Record::Point(problem("x |- x^2 > 0"), vec![(expr("x"), expr("0"))]),
    ];
    for record in records {
        let text = record.write();
        let back = Record::read(&text).unwrap();
        assert_eq!(back, record, "{text}");
        assert_eq!(back.write(), text);
        assert!(back.judge().is_some(), "{text}");
    }
}

#[test]
fn what_is_written_by_hand_is_judged() {
    let text = r#"
        (majorant-evidence 1 (proof
            (problem ((variable "a" real) (variable "b" real)) ()
                (holds (+ ((^ "a" 2) (^ "b" 2))) >= (* (2 "a" "b"))))
            (direct ((combine ((term 1 () ((+ ("a" (- "b")))))) ())))))"#;
    let record = Record::read(text).unwrap();
    assert!(matches!(record.judge(), Some(Evidence::Proved(_))));
    let false_one = text.replace("(* (2 ", "(* (3 ");
    assert!(Record::read(&false_one).unwrap().judge().is_none());
    for wrong in [
        text.replace("evidence 1", "evidence 2"),
        text.replace("(direct", "(indirect"),
        text.replace("(term 1", "(term 1/0"),
        text.replace("(term 1", "(term one"),
        text.replace("(* (2 \"a\" \"b\"))", "(* (2))"),
        text.replacen('(', "((", 1),
        text.replacen(')', "", 1),
    ] {
        assert!(Record::read(&wrong).is_err(), "{wrong}");
    }
}

#[test]
fn names_may_be_anything() {
    for name in ["x", "N_1", "ε", "a b", "\"", "\\", "(", "1", "n′"] {
        let own = Expr::variable(&Symbol::new(name));
        let claim = problem("y |- y >= y").with_goal(crate::goal::Goal::Defined(own));
        let record = Record::Point(claim, Vec::new());
        assert_eq!(Record::read(&record.write()).unwrap(), record);
    }
}

#[test]
fn depth_and_length_are_bounded() {
    let deep = "(".repeat(1_000_000) + &")".repeat(1_000_000);
    assert!(Form::read(&deep).is_err());
    let long = " ".repeat(crate::limits::RECORD_BYTES + 1);
    assert!(Form::read(&long).is_err());
}

fn trees() -> impl Strategy<Value = Expr> {
    let leaf = prop_oneof![
        (-9_i64..9, 1_i64..5).prop_map(|(a, b)| Expr::ratio(a, b)),
        "[a-zε\" ]{1,3}".prop_map(|name| Expr::named(&name)),
        Just(expr("pi")),
    ];
    leaf.prop_recursive(4, 24, 3, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 2..4).prop_map(|all| Node::Add(all).into()),
            prop::collection::vec(inner.clone(), 1..3).prop_map(|all| Node::Max(all).into()),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| a.over(&b)),
            (2_u32..5, inner.clone()).prop_map(|(k, a)| Node::Root(k, a).into()),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| Node::Piecewise(vec![(
                Condition::Not(Box::new(Condition::Integer(a.clone()))),
                b
            )])
            .into()),
            (inner.clone(), inner.clone(), any::<bool>()).prop_map(|(a, b, ends)| Node::Sum {
                index: Symbol::new("k"),
                from: a.clone(),
                to: ends.then_some(a),
                body: b,
            }
            .into()),
        ]
    })
}

proptest! {
    /// Any expression comes back as it was.
    #[test]
    fn expressions_come_back(tree in trees()) {
        let form = Coded::form(&tree);
        prop_assert_eq!(Expr::value(&Form::read(&form.to_string()).unwrap()), Some(tree));
    }

    /// Any text is read as a form or not, without failing.
    #[test]
    fn any_text_is_read_or_refused(text in "[a-z0-9() \"\\\\]{0,60}") {
        if let Ok(form) = Form::read(&text) {
            prop_assert_eq!(Form::read(&form.to_string()), Ok(form));
        }
    }
}
