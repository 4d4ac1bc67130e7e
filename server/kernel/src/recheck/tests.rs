//! The checker alone: forged and corrupted proofs must fail.

use super::proof::Term;
use super::*;
use crate::algebra::{bracket, magnitude};
use crate::expr::{Expr, Function, Relation, Symbol};
use crate::fuel::{Budget, Fuel};
use crate::goal::{Goal, Origin};
use crate::proving::prove;
use crate::proving::tests::text::{expr, null_problem, problem};
use dashu::rational::RBig;
use proptest::prelude::*;
use std::sync::atomic::AtomicBool;

fn proof_of(problem: &Problem) -> Proof {
    let stop = AtomicBool::new(false);
    let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
    prove(problem, &mut fuel).unwrap()
}

fn term(facts: &[usize], squares: &[&str]) -> Term {
    Term {
        coefficient: RBig::ONE,
        facts: facts.to_vec(),
        squares: squares.iter().map(|text| expr(text)).collect(),
    }
}

fn passes(text: &str, steps: Vec<Step>) -> bool {
    verify(&problem(text), Proof::Direct(steps)).is_some()
}

#[test]
fn the_last_term_is_split_off_only_where_there_is_one() {
    let follows = |text: &str| passes(text, Vec::new());
    let sum = "sum(k, k, m, n + 1) = sum(k, k, m, n) + n + 1";
    assert!(follows(&format!("m:int n:int | m <= n + 1 |- {sum}")));
    assert!(!follows(&format!("m:int n:int |- {sum}")));
    // Up to n + 1 < m nothing is summed, but the right side is n + 1 all the same.
    assert!(!follows(&format!("m:int n:int | n + 1 < m |- {sum}")));
    let first = "sum(k, k, m + 2, n) = sum(k, k, m + 1, n) - m - 1";
    assert!(follows(&format!("m:int n:int | m + 1 <= n |- {first}")));
    assert!(!follows(&format!("m:int n:int |- {first}")));
}

#[test]
fn a_combination_is_recomputed() {
    let square = |text: &str| vec![Step::Combine(vec![term(&[], &[text])], Vec::new())];
    assert!(passes("a b |- a^2 + b^2 >= 2*a*b", square("a - b")));
    assert!(!passes("a b |- a^2 + b^2 >= 2*a*b", square("a + b")));
    // A square is never strict.
    assert!(!passes("a b |- a^2 + b^2 > 2*a*b", square("a - b")));
    let negative = Term {
        coefficient: RBig::NEG_ONE,
        ..term(&[], &["a - b"])
    };
    assert!(!passes(
        "a b |- 2*a*b >= a^2 + b^2",
        vec![Step::Combine(vec![negative], Vec::new())]
    ));
    // Only what exists may be combined.
    assert!(!passes(
        "a:[0,oo) |- a >= 0",
        vec![Step::Combine(vec![term(&[7], &[])], Vec::new())]
    ));
}

#[test]
fn strictness_belongs_to_the_bound_not_to_the_variable() {
    // E ≥ 2 gives E − 2 ≥ 0; that E > 0 does not make E − 2 strict.
    assert!(passes("x:[2,oo) |- x >= 2", Vec::new()));
    assert!(!passes("x:[2,oo) |- x > 2", Vec::new()));
    for sign in [Sign::Positive, Sign::NonZero] {
        assert!(!passes(
            "x:[2,oo) |- x > 2",
            vec![Step::Known(expr("x - 2"), sign)]
        ));
    }
    let steps = vec![Step::Combine(vec![term(&[0], &[])], Vec::new())];
    assert!(!passes("x:[2,oo) |- x > 2", steps));
}

#[test]
fn logarithms_need_positive_arguments() {
    let order = |lemma| {
        vec![Step::Lemma(
            lemma,
            vec![expr("exp(x)"), expr("(1 + x/n)^n")],
        )]
    };
    let text = "n:int x |- (1 + x/n)^n <= exp(x)";
    assert!(!passes(text, order(Lemma::LogOrder)));
    assert!(!passes(text, order(Lemma::LogStrictOrder)));
    assert!(!passes(
        "x |- log(x) <= x - 1",
        vec![Step::Lemma(Lemma::LogTangent, vec![expr("x")])]
    ));
    assert!(passes(
        "x:(0,oo) |- log(x) <= x - 1",
        vec![Step::Lemma(Lemma::LogTangent, vec![expr("x")])]
    ));
}

#[test]
fn roots_are_compared_by_squares_only_with_known_signs() {
    // P = y, Q = −y, A ≥ 1: neither side of y − y √A ≥ 0 may be squared.
    for domain in ["y", "y:[0,oo)", "y:(-oo,0]"] {
        let text = format!("{domain} a:[1,oo) |- y - y*sqrt(a) >= 0");
        for (larger, smaller) in [("-y*sqrt(a)", "y"), ("y", "-y*sqrt(a)"), ("y*sqrt(a)", "y")] {
            let step = Step::Compare {
                larger: expr(larger),
                smaller: expr(smaller),
                power: 2,
            };
            assert!(
                !passes(&text, vec![step]) || domain == "y:(-oo,0]",
                "{text}"
            );
        }
    }
    let text = "x:[1,oo) |- x >= sqrt(x)";
    let compare = |power| {
        vec![Step::Compare {
            larger: expr("x"),
            smaller: expr("sqrt(x)"),
            power,
        }]
    };
    let product = Step::Combine(vec![term(&[0, 0], &[]), term(&[0], &[])], Vec::new());
    let mut steps = vec![product];
    steps.extend(compare(2));
    assert!(passes(text, steps));
    assert!(!passes("x:[0,oo) |- x >= sqrt(x)", compare(2)));
    assert!(!passes(text, compare(1)));
}

#[test]
fn counting_roots_respects_the_range() {
    let roots = |low: Option<i64>, sign| {
        vec![Step::Roots {
            value: expr("x^2 - 1"),
            atom: expr("x"),
            low: low.map(|low| (RBig::from(low), false)),
            high: None,
            sign,
        }]
    };
    assert!(passes(
        "x:[1,oo) |- x^2 >= 1",
        roots(Some(1), Sign::NonNegative)
    ));
    assert!(!passes(
        "x:[1,oo) |- x^2 > 1",
        roots(Some(1), Sign::Positive)
    ));
    assert!(!passes(
        "x:[0,oo) |- x^2 >= 1",
        roots(Some(1), Sign::NonNegative)
    ));
    assert!(!passes(
        "x:[1,oo) |- x^2 >= 1",
        roots(None, Sign::NonNegative)
    ));
}

#[test]
fn only_integers_are_strengthened() {
    let steps = || vec![Step::Whole(0)];
    assert!(passes("n:int | n > 1 |- n >= 2", vec![Step::Whole(1)]));
    assert!(!passes("n:(1,oo) |- n >= 2", steps()));
    assert!(!passes("n:(1,oo) m:int |- n >= 2", steps()));
    assert!(!passes("x:(0,oo) |- 1/x >= 1", steps()));
}

#[test]
fn constants_are_enclosed() {
    let bracket = |low: (i64, i64), high: (i64, i64)| {
        vec![Step::Bracket(
            expr("pi"),
            RBig::from(low.0) / RBig::from(low.1),
            RBig::from(high.0) / RBig::from(high.1),
        )]
    };
    assert!(passes("x |- pi < 22/7", bracket((3, 1), (22, 7))));
    assert!(!passes("x |- pi < 311/99", bracket((3, 1), (311, 99))));
    assert!(!passes("x |- pi > 22/7", bracket((22, 7), (23, 7))));
    assert!(passes("x |- e*e < 739/100", Vec::new()));
    assert!(!passes("x |- e*e < 738/100", Vec::new()));
}

#[test]
fn cases_cover_all_signs() {
    let text = problem("x |- abs(x) >= 0");
    let cases = |relations: &[Relation]| Proof::Cases {
        on: expr("x"),
        against: expr("0"),
        defined: Box::new(Proof::Direct(Vec::new())),
        branches: relations
            .iter()
            .map(|relation| (*relation, Proof::Direct(Vec::new())))
            .collect(),
    };
    assert!(verify(&text, cases(&[Relation::GreaterEqual, Relation::Less])).is_some());
    assert!(verify(&text, cases(&[Relation::Greater, Relation::Less])).is_none());
    assert!(verify(&text, cases(&[Relation::NotEqual])).is_none());
    let undefined = Proof::Cases {
        on: expr("1/x"),
        against: expr("0"),
        defined: Box::new(Proof::Direct(Vec::new())),
        branches: vec![
            (Relation::GreaterEqual, Proof::Direct(Vec::new())),
            (Relation::Less, Proof::Direct(Vec::new())),
        ],
    };
    assert!(verify(&text, undefined).is_none());
}

#[test]
fn monotone_proofs_need_their_anchor_and_continuity() {
    let nothing = || Box::new(Proof::Direct(Vec::new()));
    let monotone = |rising, end: &str| Proof::Monotone {
        variable: Symbol::new("x"),
        rising,
        end: expr(end),
        defined: nothing(),
        smooth: nothing(),
        slope: nothing(),
        strict_slope: false,
        start: nothing(),
    };
    assert!(verify(&problem("x:[1,oo) |- x + log(x) >= 1"), monotone(true, "1")).is_some());
    // Not an end point; a falling claim; an end at which the logarithm is undefined.
    assert!(verify(&problem("x:[1,oo) |- x + log(x) >= 1"), monotone(true, "2")).is_none());
    assert!(
        verify(
            &problem("x:[1,oo) |- x + log(x) >= 1"),
            monotone(false, "1")
        )
        .is_none()
    );
    assert!(verify(&problem("x:(0,oo) |- x + log(x) >= 0"), monotone(true, "0")).is_none());
    // A jump: −1/x has slope > 0 on both sides of its pole.
    assert!(
        verify(
            &problem("x:[-1,oo) | x != 0 |- -1/x >= 1"),
            monotone(true, "-1")
        )
        .is_none()
    );
    assert!(
        verify(
            &problem("x:[0,oo) |- floor(x) - x >= 0"),
            monotone(false, "0")
        )
        .is_none()
    );
    // An integer variable has no slope.
    assert!(verify(&problem("x:int |- x >= 1"), monotone(true, "1")).is_none());
}

#[test]
fn derivatives_exist_around_their_points() {
    // Defined at 0 only.
    assert!(!passes(
        "x | x = 0 |- D(x^(3/2) + (-x)^(3/2), x) = 0",
        Vec::new()
    ));
    assert!(!passes("x | x = 0 |- D(abs(x), x) = 0", Vec::new()));
    assert!(!passes("x:[0,oo) |- D(sqrt(x), x) >= 0", Vec::new()));
    assert!(!passes("x |- D(floor(x), x) = 0", Vec::new()));
    assert!(!passes("x |- D(log(x), x) = 1/x", Vec::new()));
    assert!(passes("x:(0,oo) |- D(log(x), x) = 1/x", Vec::new()));
    assert!(passes("x:(0,oo) |- D(x^(3/2), x) >= 0", Vec::new()));
    assert!(passes("x |- D(x^3, x) >= 0", Vec::new()));
}

#[test]
fn induction_starts_and_steps() {
    let induction = |from, base: Vec<Step>, step: Vec<Step>| Proof::Induction {
        variable: Symbol::new("n"),
        from,
        base: Box::new(Proof::Direct(base)),
        step: Box::new(Proof::Direct(step)),
    };
    let text = problem("n:int |- 2^n >= n + 1");
    let combine = || {
        vec![Step::Combine(
            vec![
                Term {
                    coefficient: RBig::from(2),
                    ..term(&[1], &[])
                },
                term(&[0], &[]),
                term(&[], &[]),
            ],
            Vec::new(),
        )]
    };
    assert!(verify(&text, induction(1, Vec::new(), combine())).is_some());
    assert!(verify(&text, induction(2, Vec::new(), combine())).is_none());
    assert!(verify(&text, induction(1, Vec::new(), Vec::new())).is_none());
    let wrong = problem("n:int |- 2^n >= n + 2");
    assert!(verify(&wrong, induction(1, Vec::new(), combine())).is_none());
}

#[test]
fn instances_meet_their_hypotheses() {
    let claim = problem("t:[0,oo) |- t^2 + t >= 0");
    let proof = proof_of(&claim);
    let step = |value: &str| {
        vec![Step::Instance(
            Box::new(claim.clone()),
            Box::new(proof.clone()),
            vec![(Symbol::new("t"), expr(value))],
        )]
    };
    assert!(passes("x:[0,oo) |- x^2 + x >= 0", step("x")));
    assert!(!passes("x |- x^2 + x >= 0", step("x")));
    assert!(!passes("x |- x^2 + x >= 0", step("1/x")));
    let whole = problem("m:int |- m >= 1");
    let step = Step::Instance(
        Box::new(whole),
        Box::new(Proof::Direct(Vec::new())),
        vec![(Symbol::new("m"), expr("x"))],
    );
    assert!(!passes("x:(0,oo) |- x >= 1", vec![step]));
}

#[test]
fn majorants_are_free_of_points_and_tend_to_zero() {
    let text = null_problem("n:int x:[0,1] |- x/n", &["x"]);
    let majorant = |coefficient: &str, shape| {
        Proof::Majorant(Box::new(Majorant {
            coefficient: expr(coefficient),
            shape,
            start: 1,
            bound: Box::new(Proof::Direct(Vec::new())),
            conditions: vec![Proof::Direct(Vec::new())],
        }))
    };
    assert!(verify(&text, majorant("1", Shape::Power(RBig::ONE))).is_some());
    assert!(verify(&text, majorant("x", Shape::Power(RBig::ONE))).is_none());
    assert!(verify(&text, majorant("n", Shape::Power(RBig::from(2)))).is_none());
    assert!(verify(&text, majorant("1", Shape::Power(RBig::ZERO))).is_none());
    assert!(verify(&text, majorant("1", Shape::Power(RBig::NEG_ONE))).is_none());
    assert!(verify(&text, majorant("1/2", Shape::Power(RBig::ONE))).is_none());
}

#[test]
fn witnesses_lie_in_the_domain() {
    let text = null_problem("n:int x:[0,1) |- x^n", &["x"]);
    let witness = |value: &str| Witness {
        parameters: Vec::new(),
        values: vec![(Symbol::new("x"), expr(value))],
        bound: expr("1/2"),
        stride: 1,
        offset: 0,
        start: 2,
        proofs: vec![Proof::Direct(Vec::new()); 5],
    };
    assert!(separate(&text, witness("1")).is_none());
    assert!(separate(&text, witness("x")).is_none());
    let closed = null_problem("n:int x:[0,1] |- x^n", &["x"]);
    assert!(separate(&closed, witness("1")).is_some());
    // An integer has no value between integers.
    let whole = null_problem("n:int x:int | x <= 3 |- x/2", &["x"]);
    assert!(separate(&whole, witness("1")).is_some());
    assert!(separate(&whole, witness("3/2")).is_none());
    let mut short = witness("1");
    short.proofs.pop();
    assert!(separate(&closed, short).is_none());
}

#[test]
fn the_distance_from_zero_is_fixed_and_has_a_case() {
    let witness = |bound: Expr, parameters: &[(&str, &str)], shown: usize| Witness {
        parameters: parameters
            .iter()
            .map(|(name, value)| (Symbol::new(name), expr(value)))
            .collect(),
        values: Vec::new(),
        bound,
        stride: 1,
        offset: 0,
        start: 1,
        proofs: vec![Proof::Direct(Vec::new()); 2 + shown],
    };
    // 1/n ≥ 1/n′ where n′ runs with n is no distance.
    let null = null_problem("n:int |- 1/n", &[]);
    let moving = expr("1/q").substitute(&Symbol::new("q"), &Expr::named("n′"));
    assert!(separate(&null, witness(moving, &[], 1)).is_none());
    // Contradictory hypotheses prove any distance, of nothing.
    let empty = null_problem("n:int b | b > 1; b < 0 |- b/n", &[]);
    for value in ["2", "-1", "1/2"] {
        assert!(separate(&empty, witness(expr("1"), &[("b", value)], 1)).is_none());
    }
    let away = null_problem("n:int b | b > 1 |- b", &[]);
    assert!(separate(&away, witness(expr("1"), &[("b", "2")], 1)).is_some());
    assert!(separate(&away, witness(expr("1"), &[("b", "1")], 1)).is_none());
    assert!(separate(&away, witness(expr("1"), &[], 1)).is_none());
}

#[test]
fn the_index_of_a_sum_is_new_to_its_situation() {
    // Within a sum's range its index is called k′. A case about that name must not restrict the
    // index: here each case would show a bound of the terms on its own side of 17/10 only.
    let text = problem("n:int | n = 6 |- sum(k, k, 1, n) <= 17*n/10");
    let half = |relation, primitive: &str, bound: &str, steps: Vec<Step>| {
        let case = Condition::Holds(Expr::named("k′"), relation, expr("17/10"));
        let Goal::Holds(sum, ..) = &text.goal else {
            unreachable!()
        };
        let claim = Condition::Holds(sum.clone(), Relation::LessEqual, expr(bound));
        let telescope = Step::Telescope {
            sum: sum.clone(),
            primitive: expr(primitive),
            relation: Relation::GreaterEqual,
            steps,
        };
        let known = text
            .assuming(case, Origin::Assumption)
            .assuming(claim.clone(), Origin::Earlier);
        let proof = Proof::Through {
            claim,
            first: Box::new(Proof::Direct(vec![telescope])),
            rest: Box::new(proof_of(&known)),
        };
        (relation, proof)
    };
    let index = Expr::named("k′");
    let above = Step::Roots {
        value: index.times(&index).minus(&index).minus(&expr("1")),
        atom: index.clone(),
        low: Some((RBig::from(17) / RBig::from(10), true)),
        high: None,
        sign: Sign::Positive,
    };
    let forged = Proof::Cases {
        on: index,
        against: expr("17/10"),
        defined: Box::new(Proof::Direct(Vec::new())),
        branches: vec![
            half(Relation::LessEqual, "-17*k/10", "17*n/10", Vec::new()),
            half(
                Relation::Greater,
                "98*(k - 1)/k^2 - k*(k - 1)/2",
                "n*(n + 1)/2 - 98*n/(n + 1)^2",
                vec![above],
            ),
        ],
    };
    assert!(verify(&text, forged).is_none());
    // Nor may the primitive or the ratio speak of it.
    let own = |text: &str| expr(text).substitute(&Symbol::new("q"), &Expr::named("k′"));
    let steps = [
        Step::Telescope {
            sum: expr("sum(k, k, 1, n)"),
            primitive: own("-k*q"),
            relation: Relation::GreaterEqual,
            steps: Vec::new(),
        },
        Step::Geometric(expr("sum(fact(k), k, 0, n)"), own("q + 1")),
    ];
    for step in steps {
        assert_eq!(Context::of(&text).step(&step), None, "{step:?}");
    }
}

#[test]
fn an_equation_is_used_where_no_name_of_it_is_bound() {
    let proves = |text: &str, hypothesis| {
        let rest = Box::new(Proof::Direct(Vec::new()));
        verify(&problem(text), Proof::Rewrite { hypothesis, rest }).is_some()
    };
    let equation = "n:int c | sum(1/k, k, 1, n) = c";
    let used = format!("{equation} |- sum(1/k, k, 1, n)^2 + n = c^2 + n");
    assert!(proves(&used, 1));
    // The bound of n is no equation; there is no third hypothesis.
    assert!(!proves(&used, 0));
    assert!(!proves(&used, 2));
    // An order, a difference and one of two equations are none either.
    for other in ["c <= 2", "c != 2", "c = 2 or c = 3"] {
        assert!(!proves(&format!("c | {other} |- c = 2"), 0), "{other}");
    }
    // k = 1 speaks of another k than the index, on either side and within a sum of sums.
    for claim in [
        "n:int k | k = 1 |- sum(k, k, 1, n) = sum(1, k, 1, n)",
        "n:int k | k = 1 |- sum(1, k, 1, n) = sum(k, k, 1, n)",
        "n:int k c | c = k |- sum(c, k, 1, n) = sum(k, k, 1, n)",
        "n:int k c | c = 2*k |- sum(sum(c, k, 1, j), j, 1, n) = sum(sum(2*k, k, 1, j), j, 1, n)",
        "n:int j c | c = j |- sum(sum(c, k, 1, j), j, 1, n) = sum(sum(j, k, 1, j), j, 1, n)",
    ] {
        assert!(!proves(claim, 1), "{claim}");
    }
    // What holds at a point says nothing of a derivative there.
    assert!(!proves("x | x^2 = 4 |- D(x^2, x) = 0", 0));
    assert!(!proves("x c | c = x^2 |- D(c, x) = 2*x", 0));
    assert!(proves("x c d | c = d |- D(c*x, x) = d", 0));
    // A limit is no relation.
    let null = null_problem("n:int c | c = 0 |- c", &[]);
    let rest = Box::new(Proof::Direct(Vec::new()));
    assert!(
        verify(
            &null,
            Proof::Rewrite {
                hypothesis: 1,
                rest
            }
        )
        .is_none()
    );
}

#[test]
fn certificates_keep_their_problem() {
    let own = problem("x:[0,oo) |- x + 1 > 0");
    let certificate = verify(&own, Proof::Direct(Vec::new())).unwrap();
    assert_eq!(certificate.problem(), &own);
    assert_eq!(certificate.proof(), &Proof::Direct(Vec::new()));
    let other = own.with_goal(Goal::Holds(expr("x - 1"), Relation::Greater, expr("0")));
    assert!(verify(&other, Proof::Direct(Vec::new())).is_none());
}

proptest! {
    /// Brackets of constants contain the correctly rounded value.
    #[test]
    fn enclosures_contain_the_value(numerator in -400_i64..400, denominator in 1_i64..60) {
        let x = Expr::ratio(numerator, denominator);
        let value = numerator as f64 / denominator as f64;
        let mut pairs = vec![
            (x.call(Function::Sin), core_math::sin(value)),
            (x.call(Function::Cos), core_math::cos(value)),
            (x.call(Function::Atan), core_math::atan(value)),
        ];
        if value.abs() < 40.0 {
            pairs.push((x.call(Function::Exp), core_math::exp(value)));
        }
        if numerator > 0 {
            pairs.push((x.call(Function::Log), core_math::log(value)));
            pairs.push((x.sqrt(), value.sqrt()));
        }
        for (constant, float) in pairs {
            let Some(range) = bracket::enclose(&constant) else {
                prop_assert!(value.abs() > 12.0);
                continue;
            };
            let (low, high) = (range.low.unwrap().0, range.high.unwrap().0);
            prop_assert!(low <= high);
            let float_exact = RBig::try_from(float).unwrap();
            // One rounding of the argument and one of the value.
            let slack = (RBig::ONE + magnitude(&float_exact)) / RBig::from(1_i64 << 40);
            prop_assert!(&low - &slack <= float_exact && float_exact <= &high + &slack);
            prop_assert!(&high - &low < slack);
        }
    }

    /// Normal forms keep the value: both expressions agree at random rational points.
    #[test]
    fn normal_forms_keep_the_value(a in 1_i64..9, b in 1_i64..9, c in -5_i64..6) {
        for text in [
            "(x + y)^3/(x*y) - x/(y + 1)",
            "sqrt(8*x^2*y/3) + abs(-2*x*(y + 1))",
            "x^3*sqrt(y)*sqrt(x*y)/sqrt(x)",
            "log(x*y/6) - 2*log(sqrt(x)) + exp(2*log(y))",
            "exp(x - y/2)*exp(-x)/exp(1/2)",
            "abs(c)*max(x, y, c) - min(x, c)",
            "(x/y)^(2*x)*(1/x)^x",
            "sin(-x)*cos(-y) + atan(-c)",
        ] {
            let own = problem(&format!("x:(0,oo) y:(0,oo) c |- {text} >= 0"));
            let Goal::Holds(left, ..) = &own.goal else { unreachable!() };
            let form = Context::of(&own).normal(left).unwrap().to_expr();
            let put = |expr: &Expr| {
                expr.substitute(&Symbol::new("x"), &Expr::ratio(a, 2))
                    .substitute(&Symbol::new("y"), &Expr::ratio(b, 3))
                    .substitute(&Symbol::new("c"), &Expr::integer(c))
            };
            let at = |expr: &Expr| crate::proving::tests::rough(&put(expr));
            let (first, second) = (at(left), at(&form));
            prop_assert!((first - second).abs() <= 1e-9 * (1.0 + first.abs()), "{text}: {first} {second}");
        }
    }
}
