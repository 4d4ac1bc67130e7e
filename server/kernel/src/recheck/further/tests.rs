//! The further inequalities hold wherever their conditions do, and are refused elsewhere.

use super::*;
use crate::expr::{Condition, Relation, Symbol};
use crate::numerics::{Assignment, Truth, truth};
use crate::proving::tests::text::problem;
use crate::recheck::{Context, Proof, Step, verify};

const LEMMAS: [(Lemma, usize); 11] = [
    (Lemma::ExpStrict, 1),
    (Lemma::LogStrict, 1),
    (Lemma::SineStrict, 1),
    (Lemma::AtanStrict, 1),
    (Lemma::FactorialBelowPower, 1),
    (Lemma::FactorialBelowHalf, 1),
    (Lemma::AngleSum, 2),
    (Lemma::SineMultiple, 2),
    (Lemma::BernoulliStrict, 2),
    (Lemma::WholeExponentFalls, 3),
    (Lemma::RootStrictOrder, 3),
];

fn values() -> Vec<Expr> {
    let whole = [-3, -1, 0, 1, 2, 3, 5].map(Expr::integer);
    let parts = [(-7, 3), (1, 3), (1, 2), (9, 10), (11, 10), (15, 7)];
    let parts = parts.map(|(a, b)| Expr::ratio(a, b));
    whole.into_iter().chain(parts).collect()
}

fn stands(value: &Expr, sign: Sign) -> Truth {
    let relation = match sign {
        Sign::Zero => Relation::Equal,
        Sign::NonNegative => Relation::GreaterEqual,
        Sign::Positive => Relation::Greater,
        Sign::NonZero => Relation::NotEqual,
    };
    let condition = Condition::Holds(value.clone(), relation, Expr::integer(0));
    truth(&condition, &Assignment::new())
}

fn tuples(length: usize) -> Vec<Vec<Expr>> {
    let mut all = vec![Vec::new()];
    for _ in 0..length {
        all = all
            .iter()
            .flat_map(|prefix: &Vec<Expr>| {
                values().into_iter().map(move |value| {
                    let mut next = prefix.clone();
                    next.push(value);
                    next
                })
            })
            .collect();
    }
    all
}

#[test]
fn conclusions_hold_wherever_the_conditions_do() {
    for (lemma, length) in LEMMAS {
        let mut met = 0;
        for arguments in tuples(length) {
            let own = instance(lemma, &arguments).expect("that many arguments");
            let whole = |value: &Expr| value.as_number().is_some_and(|value| value.is_int());
            let fits = own.integers.iter().all(whole)
                && own
                    .needs
                    .iter()
                    .all(|(value, sign)| stands(value, *sign) == Truth::True);
            if !fits {
                continue;
            }
            met += 1;
            for (value, sign) in &own.gives {
                // A sum of angles is an equation between irrational numbers: only not refuted.
                let held = stands(value, *sign);
                assert!(
                    held == Truth::True || *sign == Sign::Zero && held != Truth::False,
                    "{lemma:?} at {arguments:?}: {value:?} {sign:?}"
                );
            }
        }
        assert!(met >= 3, "{lemma:?} is tried {met} times");
    }
}

#[test]
fn no_instance_without_its_conditions() {
    let refused = [
        ("x |- x > 0", Lemma::ExpStrict, vec!["x"]),
        ("x:(0,oo) |- x > 0", Lemma::LogStrict, vec!["x"]),
        ("x:[0,oo) |- x > 0", Lemma::SineStrict, vec!["x"]),
        ("x:[0,oo) |- x > 0", Lemma::AtanStrict, vec!["x"]),
        ("n:int |- n > 0", Lemma::FactorialBelowHalf, vec!["n"]),
        ("x:[1,oo) |- x > 0", Lemma::FactorialBelowPower, vec!["x"]),
        ("y:[0,oo) x |- x > 0", Lemma::SineMultiple, vec!["y", "x"]),
        (
            "n:int x:(1,oo) |- x > 0",
            Lemma::BernoulliStrict,
            vec!["x", "n"],
        ),
        (
            "n:int x:[0,oo) |- x > 0",
            Lemma::WholeExponentFalls,
            vec!["x", "n", "n"],
        ),
        (
            "n:int x:[0,oo) |- x > 0",
            Lemma::RootStrictOrder,
            vec!["x", "x", "n"],
        ),
    ];
    for (text, lemma, names) in refused {
        let arguments = names.into_iter().map(Expr::named).collect();
        let mut context = Context::of(&problem(text));
        let step = Step::Lemma(lemma, arguments);
        assert!(context.step(&step).is_none(), "{lemma:?} under {text}");
    }
}

#[test]
fn a_series_needs_a_primitive_that_tends_to_zero() {
    let (n, k, one) = (Expr::named("n"), Expr::named("k"), Expr::integer(1));
    let sum: Expr = Node::Sum {
        index: Symbol::new("k"),
        from: n,
        to: None,
        body: one.over(&k.times(&k.plus(&one))),
    }
    .into();
    let exhaust = |primitive: Expr, relation, vanishing: &Proof| Step::Exhaust {
        sum: sum.clone(),
        primitive,
        relation,
        steps: vec![Step::Known(Expr::named("k′"), Sign::Positive)],
        vanishing: Box::new(vanishing.clone()),
    };
    let good = one.over(&k);
    let index = Symbol::new("k");
    let claim = crate::recheck::series::vanishing(&index, &good).expect("only the index");
    let stop = std::sync::atomic::AtomicBool::new(false);
    let proof = crate::proving::prove(&claim, &mut crate::Fuel::new(20_000, &stop));
    let proof = proof.expect("1/k tends to 0");
    assert!(verify(&claim, proof.clone()).is_some());
    let takes = |step: Step| {
        let mut context = Context::of(&problem("n:int |- n > 0"));
        context.step(&step).is_some()
    };
    assert!(takes(exhaust(good.clone(), Relation::Equal, &proof)));
    // Another constant, another difference, no proof of convergence, a free parameter.
    assert!(!takes(exhaust(good.plus(&one), Relation::Equal, &proof)));
    let double = good.times(&Expr::integer(2));
    assert!(!takes(exhaust(double, Relation::Equal, &proof)));
    assert!(!takes(exhaust(good.clone(), Relation::LessEqual, &proof)));
    assert!(!takes(exhaust(
        good.clone(),
        Relation::GreaterEqual,
        &proof
    )));
    let nothing = Proof::Direct(Vec::new());
    assert!(!takes(exhaust(good, Relation::Equal, &nothing)));
    let moved = one.over(&k).plus(&Expr::named("n"));
    assert!(!takes(exhaust(moved, Relation::Equal, &proof)));
}
