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

#[test]
fn sums_compare_term_by_term() {
    let (k, j, one) = (Expr::named("k"), Expr::named("j"), Expr::integer(1));
    let sum = |index: &Expr, to: Option<Expr>, body: Expr| -> Expr {
        Node::Sum {
            index: index.as_variable().expect("a name").clone(),
            from: one.clone(),
            to,
            body,
        }
        .into()
    };
    let end = || Some(Expr::named("n"));
    let takes = |first: &Expr, second: &Expr, relation| {
        let mut context = Context::of(&problem("n:int j |- n > 0"));
        let step = Step::Termwise {
            sum: first.clone(),
            other: second.clone(),
            relation,
            steps: Vec::new(),
        };
        context.step(&step).is_some()
    };
    let twice = Expr::integer(2).times(&k);
    let (first, other) = (sum(&k, end(), twice), sum(&j, end(), j.plus(&j)));
    assert!(takes(&first, &other, Relation::Equal));
    assert!(takes(&first, &other, Relation::LessEqual));
    assert!(!takes(&first, &other, Relation::Less));
    // Greater terms, another end, no end, a free name in place of the index.
    let greater = sum(&j, end(), j.plus(&j).plus(&one));
    assert!(!takes(&first, &greater, Relation::Equal));
    assert!(takes(&first, &greater, Relation::LessEqual));
    assert!(!takes(&first, &greater, Relation::GreaterEqual));
    let longer = sum(&j, Some(Expr::named("n").plus(&one)), j.plus(&j));
    assert!(!takes(&first, &longer, Relation::Equal));
    assert!(!takes(
        &sum(&k, None, k.clone()),
        &sum(&j, None, j.clone()),
        Relation::Equal
    ));
    assert!(!takes(
        &sum(&k, end(), j.clone()),
        &sum(&j, end(), j.clone()),
        Relation::Equal
    ));
    // Where a term is not defined nothing is compared.
    let undefined = sum(&k, end(), one.over(&k.minus(&one)));
    assert!(!takes(&undefined, &undefined, Relation::Equal));
}
