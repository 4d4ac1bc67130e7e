//! The value of a series needs a primitive that fits, and that tends to 0.

use super::*;
use crate::proving::tests::text::problem;
use crate::recheck::verify;

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
    let claim = vanishing(&index, &good).expect("only the index");
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
