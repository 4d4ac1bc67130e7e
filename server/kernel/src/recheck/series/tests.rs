//! The value of a series needs a primitive that fits, and that tends to 0.

use super::*;
use crate::expr::{Function, Node};
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
    let claim = vanishing(&Context::default(), &index, &good).expect("only the index");
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

#[test]
fn series_compare_where_the_greater_one_converges() {
    use Relation::{Equal, Greater, GreaterEqual, Less, LessEqual};
    let (n, k, one, two) = (
        Expr::named("n"),
        Expr::named("k"),
        Expr::integer(1),
        Expr::integer(2),
    );
    let series = |body: &Expr| run(false, n.clone(), None, body);
    let power = Expr::ratio(1, 2).power(&k);
    let great = series(&power);
    let converges = |sum: &Expr| Step::Geometric(sum.clone(), Expr::ratio(1, 2));
    let compare = |sum: &Expr, other: &Expr, relation| Step::Termwise {
        sum: sum.clone(),
        other: other.clone(),
        relation,
        steps: vec![Step::Known(
            Expr::ratio(1, 2).power(&Expr::named("k′")),
            Sign::Positive,
        )],
    };
    let after = |known: &[Step], step: &Step, claim: Option<(&Expr, Relation, &Expr)>| {
        let mut context = Context::of(&problem("n:int |- n > 0"));
        let known = known.iter().all(|step| context.step(step).is_some());
        assert!(known, "{step:?}");
        context.step(step).is_some()
            && claim.is_none_or(|(left, relation, right)| context.holds(left, relation, right))
    };
    let known = [converges(&great)];
    let half = series(&power.times(&Expr::ratio(1, 2)));
    let good = compare(&half, &great, LessEqual);
    assert!(after(&known, &good, Some((&half, LessEqual, &great))));
    assert!(after(
        &known,
        &good,
        Some((&half, GreaterEqual, &great.negative()))
    ));
    // Nothing is known of the greater one; turned round; an end, or another beginning.
    assert!(!after(&[], &good, None));
    assert!(!after(&known, &compare(&great, &half, LessEqual), None));
    let ended = run(
        false,
        n.clone(),
        Some(n.plus(&two)),
        &power.times(&Expr::ratio(1, 2)),
    );
    assert!(!after(&known, &compare(&ended, &great, LessEqual), None));
    let later = run(false, n.plus(&two), None, &power.times(&Expr::ratio(1, 2)));
    assert!(!after(&known, &compare(&later, &great, LessEqual), None));
    // Terms that are below but not small in size, or above: such series may diverge.
    for (body, relation) in [
        (k.negative(), LessEqual),
        (k.negative(), Less),
        (power.minus(&one), Less),
        (k.clone(), Greater),
        (k.clone(), GreaterEqual),
    ] {
        let step = compare(&series(&body), &great, relation);
        assert!(!after(&known, &step, None), "{body:?} {relation:?}");
    }
    // Of a series that converges, a bound from one side is enough, and no more follows.
    let quarter = series(&power.times(&Expr::integer(-3)));
    let both = [converges(&great), converges(&quarter)];
    let step = compare(&quarter, &great, LessEqual);
    assert!(after(&both, &step, Some((&quarter, LessEqual, &great))));
    assert!(!after(&both, &step, Some((&quarter, Equal, &great))));
    assert!(!after(&known, &step, None));
}

/// Whether a step is taken under the hypotheses.
fn takes(hypotheses: &str, step: &Step) -> bool {
    let mut context = Context::of(&problem(&format!("{hypotheses} |- n > 0")));
    context.step(step).is_some()
}

/// Whether the step gives the relation.
fn gives(hypotheses: &str, step: &Step, (left, relation, right): (&Expr, Relation, &Expr)) -> bool {
    let mut context = Context::of(&problem(&format!("{hypotheses} |- n > 0")));
    context.step(step).is_some() && context.holds(left, relation, right)
}

fn run(product: bool, from: Expr, to: Option<Expr>, body: &Expr) -> Expr {
    let index = &Symbol::new("k");
    Run {
        index,
        from: &from,
        to: to.as_ref(),
        body,
        product,
    }
    .between(from.clone(), to.clone())
}

fn telescope(sum: &Expr, primitive: &Expr, relation: Relation) -> Step {
    Step::Telescope {
        sum: sum.clone(),
        primitive: primitive.clone(),
        relation,
        steps: vec![Step::Known(Expr::named("k′"), Sign::Positive)],
    }
}

#[test]
fn a_strict_primitive_bounds_strictly_where_there_is_a_term() {
    use Relation::{Greater, GreaterEqual, Less};
    let (n, k, one) = (Expr::named("n"), Expr::named("k"), Expr::integer(1));
    // −k² − (−(k + 1)²) = 2 k + 1 > 2 k
    let term = Expr::integer(2).times(&k);
    let square = k.power(&Expr::integer(2)).negative();
    let sum = run(false, one.clone(), Some(n.clone()), &term);
    let bound = n.plus(&one).power(&Expr::integer(2)).minus(&one);
    let claim = (&sum, Less, &bound);
    assert!(gives("n:int", &telescope(&sum, &square, Greater), claim));
    assert!(!gives(
        "n:int",
        &telescope(&sum, &square, GreaterEqual),
        claim
    ));
    assert!(!takes("n:int", &telescope(&sum, &square, Less)));
    // Without a term both sides are 0.
    let free = run(false, one.clone(), Some(n.minus(&one)), &term);
    let from_zero = "n:int";
    assert!(!takes(from_zero, &telescope(&free, &square, Greater)));
    assert!(takes(from_zero, &telescope(&free, &square, GreaterEqual)));
}

#[test]
fn a_product_telescopes_by_quotients_of_a_sign() {
    use Relation::{Equal, GreaterEqual, LessEqual};
    let (n, k, one) = (Expr::named("n"), Expr::named("k"), Expr::integer(1));
    let factor = k.plus(&one).over(&k);
    let product = run(true, one.clone(), Some(n.clone()), &factor);
    let value = n.plus(&one);
    let step = telescope(&product, &k, Equal);
    assert!(gives("n:int", &step, (&product, Equal, &value)));
    assert!(!takes("n:int", &telescope(&product, &k.plus(&one), Equal)));
    let square = k.power(&Expr::integer(2));
    assert!(takes("n:int", &telescope(&product, &square, GreaterEqual)));
    assert!(!takes("n:int", &telescope(&product, &square, LessEqual)));
    assert!(!gives("n:int", &step, (&product, Equal, &n)));
    // −2 · 1 ≤ 1 for each factor −2, but (−2)² is greater than 1.
    let turned = run(true, one.clone(), Some(n), &Expr::integer(-2));
    assert!(!takes("n:int", &telescope(&turned, &one, GreaterEqual)));
}

#[test]
fn a_series_of_terms_of_both_signs_is_bounded_by_their_sizes() {
    use Relation::{GreaterEqual, LessEqual};
    let (k, one) = (Expr::named("k"), Expr::integer(1));
    let wave = Expr::named("x").call(Function::Sin);
    let step = |body: &Expr, primitive: &Expr| Step::Telescope {
        sum: run(false, Expr::named("n").plus(&one), None, body),
        primitive: primitive.clone(),
        relation: GreaterEqual,
        steps: vec![Step::Known(Expr::named("k′").minus(&one), Sign::Positive)],
    };
    let body = wave.over(&k.times(&k.minus(&one)));
    let primitive = one.over(&k.minus(&one));
    let sum = run(false, Expr::named("n").plus(&one), None, &body);
    let n = Expr::named("n");
    let (above, below) = (one.over(&n), one.over(&n).negative());
    let good = step(&body, &primitive);
    assert!(gives("n:int x", &good, (&sum, LessEqual, &above)));
    assert!(gives("n:int x", &good, (&sum, GreaterEqual, &below)));
    // Half of it is too little, and a primitive that is negative bounds nothing.
    assert!(!takes(
        "n:int x",
        &step(&body, &primitive.times(&Expr::ratio(1, 2)))
    ));
    assert!(!takes("n:int x", &step(&body, &primitive.minus(&one))));
    // Terms that stay below a bound from above alone need not converge.
    let falling = one.negative();
    assert!(!takes("n:int x", &step(&falling, &primitive)));
}

#[test]
fn a_series_lies_between_primitives_that_vanish() {
    use Relation::{GreaterEqual, LessEqual};
    let (n, k, one) = (Expr::named("n"), Expr::named("k"), Expr::integer(1));
    let body = one.over(&k.times(&k.plus(&one)));
    let sum = run(false, n.clone(), None, &body);
    let stop = std::sync::atomic::AtomicBool::new(false);
    let null = |primitive: &Expr| {
        let claim = vanishing(&Context::default(), &Symbol::new("k"), primitive)?;
        crate::proving::prove(&claim, &mut crate::Fuel::new(60_000, &stop))
    };
    let exact = one.over(&k);
    let half = exact.times(&Expr::ratio(1, 2));
    let double = exact.times(&Expr::integer(2));
    let [proof, less, more] = [&exact, &half, &double].map(|own| null(own).expect("it vanishes"));
    let squeeze = |lower: &Expr, upper: &Expr, proofs: &[&Proof]| Step::Squeeze {
        sum: sum.clone(),
        lower: lower.clone(),
        upper: upper.clone(),
        steps: vec![Step::Known(Expr::named("k′"), Sign::Positive)],
        vanishing: proofs.iter().map(|own| (*own).clone()).collect(),
    };
    let good = squeeze(&half, &double, &[&less, &more]);
    let [low, high] = [&half, &double].map(|own| own.substitute(&Symbol::new("k"), &n));
    assert!(gives("n:int", &good, (&sum, LessEqual, &high)));
    assert!(gives("n:int", &good, (&sum, GreaterEqual, &low)));
    // Turned round, too great or too small, a proof left out, of something else, or none; moved by 1.
    for forged in [
        squeeze(&double, &half, &[&more, &less]),
        squeeze(&exact, &half, &[&proof, &less]),
        squeeze(&double, &exact, &[&more, &proof]),
        squeeze(&half, &double, &[&less]),
        squeeze(&half, &double, &[&less, &Proof::Direct(Vec::new())]),
        squeeze(&half, &double.plus(&one), &[&less, &more]),
    ] {
        assert!(!takes("n:int", &forged));
    }
}

#[test]
fn sums_are_split_between_their_limits() {
    let (n, m, k, one) = (
        Expr::named("n"),
        Expr::named("m"),
        Expr::named("k"),
        Expr::integer(1),
    );
    let sum = run(false, one.clone(), Some(n.clone()), &one.over(&k));
    let split = |at: &Expr| Step::Split(sum.clone(), at.clone());
    assert!(takes("n:int m:int | m <= n", &split(&m)));
    assert!(!takes("n:int m:int", &split(&m)));
    assert!(!takes("n:int m:[1,oo) | m <= n", &split(&m)));
    assert!(!takes("n:int m:int | m <= n", &split(&m.negative())));
    // A series has a first term only where the rest converges.
    let series = run(false, one, None, &k);
    assert!(!takes("n:int", &Step::Peel(series)));
}

#[test]
fn a_series_is_split_where_it_or_its_rest_converges() {
    let (n, k, one) = (Expr::named("n"), Expr::named("k"), Expr::integer(1));
    let after = n.plus(&one);
    let power = Expr::ratio(1, 2).power(&k);
    let whole = run(false, one.clone(), None, &power);
    let (begin, rest) = (
        run(false, one.clone(), Some(n.clone()), &power),
        run(false, after.clone(), None, &power),
    );
    let ratio = Expr::ratio(1, 2);
    let split = |series: &Expr, at: &Expr| Step::Split(series.clone(), at.clone());
    let parts = begin.plus(&rest);
    let taken = |text: &str, steps: &[Step]| {
        let mut context = Context::of(&problem(&format!("{text} |- n > 0")));
        let done = steps.iter().all(|step| context.step(step).is_some());
        done && context.holds(&whole, Relation::Equal, &parts)
    };
    // Convergence may be known of the whole or of the rest; without it nothing is split.
    for known in [&whole, &rest] {
        let known = Step::Geometric(known.clone(), ratio.clone());
        assert!(taken("n:int", &[known, split(&whole, &n)]));
    }
    assert!(!taken("n:int", &[split(&whole, &n)]));
    // A place that is before the beginning or no integer, or a beginning that is none.
    let known = || Step::Geometric(whole.clone(), ratio.clone());
    assert!(!taken("n:int", &[known(), split(&whole, &n.negative())]));
    assert!(!taken("n:[1,oo)", &[known(), split(&whole, &n)]));
    let half = run(false, Expr::ratio(1, 2), None, &power);
    assert!(!takes("n:int", &split(&half, &n)));
    // What diverges has no rest that converges, whatever is known of another series.
    let harmonic = run(false, one.clone(), None, &one.over(&k));
    assert!(!takes("n:int", &split(&harmonic, &n)));
    // The rest of Σ 1/(k (k − 3)) from 4 on converges, but the terms before are not all defined.
    let three = k.minus(&Expr::integer(3));
    let body = one.over(&k.times(&three));
    let (series, late) = (
        run(false, one.clone(), None, &body),
        run(false, after, None, &body),
    );
    let above = Step::Telescope {
        sum: late,
        primitive: Expr::integer(4).over(&k.minus(&Expr::integer(3))),
        relation: Relation::GreaterEqual,
        steps: vec![Step::Known(
            Expr::named("k′").minus(&Expr::integer(4)),
            Sign::NonNegative,
        )],
    };
    let mut context = Context::of(&problem("n:int | n >= 9 |- n > 0"));
    let _ = context.step(&above);
    assert!(context.step(&split(&series, &n)).is_none());
}

#[test]
fn a_power_is_a_limit_of_a_sum_where_it_is_an_integer() {
    let (n, k, one) = (Expr::named("n"), Expr::named("k"), Expr::integer(1));
    let to = |exponent: &Expr| {
        let end = Expr::integer(2).power(exponent);
        run(false, one.clone(), Some(end), &one.over(&k))
    };
    let context = Context::of(&problem("n:int |- n > 0"));
    assert!(context.is_defined(&to(&n)));
    assert!(!context.is_defined(&to(&n.negative())));
    assert!(!context.is_defined(&to(&Expr::ratio(1, 2))));
}
