//! Laws of the numeric layers, on random expressions and on hand-picked traps.

use super::*;
use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use crate::goal::Kind;
use dashu::rational::RBig;
use std::cmp::Ordering;

fn x() -> Expr {
    Expr::named("x")
}

fn n() -> Expr {
    Expr::named("n")
}

fn int(value: i64) -> Expr {
    Expr::integer(value)
}

fn ratio(a: i64, b: i64) -> RBig {
    RBig::from(a) / RBig::from(b)
}

fn pi() -> Expr {
    Node::Constant(Constant::Pi).into()
}

fn at(values: &[(&str, Kind, RBig)]) -> Assignment {
    let mut assignment = Assignment::new();
    for (name, kind, value) in values {
        assignment.set(&Symbol::new(name), *kind, Value::Exact(value.clone()));
    }
    assignment
}

/// Both precisions enclose the digits given, and the finer is narrow.
fn encloses(expr: &Expr, digits: &str) {
    let (whole, fraction) = digits.split_once('.').expect("a decimal point");
    let scale = RBig::from(10).pow(isize::try_from(fraction.len()).expect("short"));
    let number: dashu::integer::IBig = format!("{whole}{fraction}").parse().expect("digits");
    let low = (RBig::from(number.clone()) - RBig::ONE) / &scale;
    let high = (RBig::from(number) + RBig::ONE) / &scale;
    for precision in LADDER {
        let found = enclose(expr, &Assignment::new(), precision);
        assert_eq!(found.definedness, Definedness::Defined, "{expr:?}");
        let (a, b) = (found.low.expect("finite"), found.high.expect("finite"));
        assert!(
            a <= high && b >= low,
            "{expr:?} at {precision:?}: [{a}, {b}]"
        );
        if let Precision::Bits(bits) = precision {
            let width = &b - &a;
            let allowed = RBig::ONE / RBig::from(2).pow(isize::try_from(bits - 16).expect("short"));
            assert!(
                width <= allowed * RBig::from(4096),
                "{expr:?} at {precision:?} too wide"
            );
        }
    }
}

#[test]
fn elementary_functions_have_known_digits() {
    let call = |value: Expr, function| value.call(function);
    encloses(&pi(), "3.141592653589793238462643383279502884197");
    encloses(
        &Node::Constant(Constant::E).into(),
        "2.718281828459045235360287471352662497757",
    );
    encloses(
        &call(int(2), Function::Log),
        "0.693147180559945309417232121458176568076",
    );
    encloses(
        &call(int(3), Function::Log),
        "1.098612288668109691395245236922525704647",
    );
    encloses(
        &call(Expr::ratio(1, 10), Function::Exp),
        "1.105170918075647624811707826490246668225",
    );
    encloses(
        &call(int(-5), Function::Exp),
        "0.006737946999085467096636048423148424249",
    );
    encloses(
        &call(int(1), Function::Sin),
        "0.841470984807896506652502321630298999623",
    );
    encloses(
        &call(int(100), Function::Cos),
        "0.862318872287683934101938513950842535510",
    );
    encloses(
        &call(int(-2), Function::Sin),
        "-0.909297426825681695396019865911744842702",
    );
    encloses(
        &call(int(1), Function::Tan),
        "1.557407724654902230506974807458360173087",
    );
    encloses(
        &call(int(1), Function::Atan),
        "0.785398163397448309615660845819875721049",
    );
    encloses(
        &call(int(10), Function::Atan),
        "1.471127674303734591852875571761730851855",
    );
    encloses(
        &call(Expr::ratio(1, 3), Function::Asin),
        "0.339836909454121937096392513391764066389",
    );
    encloses(
        &call(Expr::ratio(1, 3), Function::Acos),
        "1.230959417340774682134929178247987375710",
    );
    encloses(
        &call(int(1), Function::Sinh),
        "1.175201193643801456882381850595600815155",
    );
    encloses(
        &call(int(1), Function::Cosh),
        "1.543080634815243778477905620757061682601",
    );
    encloses(
        &call(int(1), Function::Tanh),
        "0.761594155955764888119458282604793590412",
    );
    encloses(&int(2).sqrt(), "1.414213562373095048801688724209698078569");
    encloses(
        &Node::Root(3, int(2)).into(),
        "1.259921049894873164767210607278228350570",
    );
    encloses(
        &Node::Root(5, int(-2)).into(),
        "-1.148698354997035006798626946777927589443",
    );
}

fn sum_from_one(body: Expr) -> Expr {
    Node::Sum {
        index: Symbol::new("k"),
        from: int(1),
        to: None,
        body,
    }
    .into()
}

#[test]
fn series_are_enclosed() {
    let k = Expr::named("k");
    let check = |expr: &Expr, low: f64, high: f64| {
        let found = enclose(expr, &Assignment::new(), Precision::Double);
        assert_eq!(found.definedness, Definedness::Defined, "{expr:?}");
        let (a, b) = found.doubles();
        assert!(
            a <= high && low <= b && b - a < 1e-4,
            "{expr:?}: [{a}, {b}]"
        );
    };
    let basel = std::f64::consts::PI.powi(2) / 6.0;
    check(&sum_from_one(int(1).over(&k.power(&int(2)))), basel, basel);
    check(
        &sum_from_one(int(1).over(&k.call(Function::Factorial))),
        1.718_281_828,
        1.718_281_829,
    );
    check(
        &sum_from_one(int(1).over(&k.times(&k.plus(&int(1))))),
        1.0,
        1.0,
    );
    check(&sum_from_one(k.over(&int(2).power(&k))), 2.0, 2.0);
    let alternating = int(-1).power(&k.plus(&int(1))).over(&k);
    let found = enclose(
        &sum_from_one(alternating),
        &Assignment::new(),
        Precision::Double,
    );
    let (a, b) = found.doubles();
    let log2 = std::f64::consts::LN_2;
    assert!(a <= log2 && log2 <= b && b - a < 0.01, "[{a}, {b}]");
    // Geometric series with rational data are exact.
    let geometric = sum_from_one(Expr::ratio(2, 3).power(&k));
    let found = enclose(&geometric, &Assignment::new(), Precision::Double);
    assert_eq!(found.exact, Some(RBig::from(2)));
    // A divergent series stays unknown.
    let harmonic = enclose(
        &sum_from_one(int(1).over(&k)),
        &Assignment::new(),
        Precision::Double,
    );
    assert_eq!(harmonic.definedness, Definedness::Unknown);
}

#[test]
fn definedness_is_data() {
    let check = |expr: &Expr, value: RBig, expected| {
        let point = at(&[("x", Kind::Real, value)]);
        assert_eq!(definedness(expr, &point), expected, "{expr:?}");
    };
    check(&int(1).over(&x()), RBig::ZERO, Definedness::Undefined);
    check(&x().sqrt(), ratio(-1, 1), Definedness::Undefined);
    check(&x().sqrt(), RBig::ZERO, Definedness::Defined);
    check(&x().call(Function::Log), RBig::ZERO, Definedness::Undefined);
    let disguised = int(1).over(&int(2).sqrt().times(&int(2).sqrt()).minus(&int(2)));
    check(&disguised, RBig::ZERO, Definedness::Undefined);
    check(&x().power(&x()), RBig::ZERO, Definedness::Unknown);
    check(&x().power(&int(0)), RBig::ZERO, Definedness::Defined);
    check(&x().power(&int(-1)), RBig::ZERO, Definedness::Undefined);
    check(
        &x().power(&Expr::ratio(1, 2)),
        ratio(-1, 1),
        Definedness::Undefined,
    );
    check(
        &x().power(&Expr::ratio(1, 3)),
        ratio(-1, 1),
        Definedness::Unknown,
    );
    check(&x().call(Function::Asin), ratio(1, 1), Definedness::Defined);
    check(
        &x().call(Function::Asin),
        ratio(11, 10),
        Definedness::Undefined,
    );
    check(
        &x().times(&pi()).call(Function::Tan),
        ratio(1, 2),
        Definedness::Undefined,
    );
    check(
        &x().call(Function::Factorial),
        ratio(1, 2),
        Definedness::Undefined,
    );
}

#[test]
fn integer_exponents_are_repeated_multiplication() {
    let sign = int(-1).power(&n().times(&n().plus(&int(1))).over(&int(2)));
    let point = at(&[("n", Kind::Integer, RBig::from(5))]);
    assert_eq!(
        enclose(&sign, &point, Precision::Double).exact,
        Some(RBig::NEG_ONE)
    );
    // The same exponent of a real variable: authors differ, so nothing is concluded.
    let point = at(&[("n", Kind::Real, RBig::from(5))]);
    assert_eq!(definedness(&sign, &point), Definedness::Unknown);
}

#[test]
fn irrational_exponents_are_no_integers() {
    let power = x().power(&int(2).sqrt());
    let point = at(&[("x", Kind::Real, ratio(-2, 1))]);
    assert_ne!(definedness(&power, &point), Definedness::Defined);
    let point = at(&[("x", Kind::Real, ratio(2, 1))]);
    assert_eq!(definedness(&power, &point), Definedness::Defined);
}

#[test]
fn huge_powers_do_not_stall() {
    let point = at(&[
        ("n", Kind::Integer, RBig::from(1_000_000_007)),
        ("x", Kind::Real, ratio(3, 7)),
    ]);
    let power = x().power(&n());
    assert_eq!(compare(&power, &int(1), &point), Some(Ordering::Less));
    // Below 2^−200000 the sign is no longer known; what matters is that it costs nothing.
    assert_eq!(compare(&power, &int(0), &point), None);
    let factorial = n().call(Function::Factorial);
    let tower = n().power(&n());
    assert!(matches!(
        compare(&factorial, &tower, &point),
        None | Some(Ordering::Less)
    ));
    let point = at(&[("n", Kind::Integer, RBig::from(2000))]);
    assert_eq!(compare(&factorial, &tower, &point), Some(Ordering::Less));
}

#[test]
fn ties_are_decided_by_normal_forms() {
    let tie = |left: Expr, right: Expr| {
        assert_eq!(
            compare(&left, &right, &Assignment::new()),
            Some(Ordering::Equal),
            "{left:?} = {right:?}"
        );
    };
    let two = int(2);
    tie(two.sqrt().times(&int(3).sqrt()), int(6).sqrt());
    tie(int(1).over(&two.sqrt()), two.sqrt().over(&two));
    tie(int(8).sqrt(), two.times(&two.sqrt()));
    tie(
        int(1).over(&int(3).sqrt().minus(&two.sqrt())),
        int(3).sqrt().plus(&two.sqrt()),
    );
    tie(
        int(3).plus(&two.times(&two.sqrt())).sqrt(),
        int(1).plus(&two.sqrt()),
    );
    tie(
        int(4).call(Function::Log),
        two.times(&two.call(Function::Log)),
    );
    tie(
        two.call(Function::Log).times(&int(3)).call(Function::Exp),
        int(8),
    );
    tie(
        int(1).call(Function::Exp).power(&two),
        two.call(Function::Exp),
    );
    tie(pi().over(&int(6)).call(Function::Sin), Expr::ratio(1, 2));
    tie(
        pi().times(&Expr::ratio(7, 4)).call(Function::Cos),
        two.sqrt().over(&two),
    );
    tie(int(1).call(Function::Atan), pi().over(&int(4)));
    tie(int(-1).call(Function::Asin), pi().over(&int(-2)));
    tie(two.call(Function::Sin).abs(), two.call(Function::Sin));
    tie(
        two.sqrt().minus(&int(3).sqrt()).abs(),
        int(3).sqrt().minus(&two.sqrt()),
    );
    tie(
        int(54).power(&Expr::ratio(1, 3)),
        int(3).times(&Node::Root(3, two.clone()).into()),
    );
    assert_eq!(
        compare(&pi(), &Expr::ratio(355, 113), &Assignment::new()),
        Some(Ordering::Less)
    );
}

#[test]
fn derivatives_say_nothing_where_the_formula_fails() {
    let derivative = |body: Expr| -> Expr {
        Node::Derivative {
            variable: Symbol::new("x"),
            body,
        }
        .into()
    };
    let zero = at(&[("x", Kind::Real, RBig::ZERO)]);
    // √(x⁴) = x² has a derivative at 0, the formula 4x³/(2√(x⁴)) has no value there.
    let smooth = derivative(x().power(&int(4)).sqrt());
    assert_eq!(definedness(&smooth, &zero), Definedness::Unknown);
    let minus_one = at(&[("x", Kind::Real, RBig::NEG_ONE)]);
    let log = derivative(x().call(Function::Log));
    assert_eq!(definedness(&log, &minus_one), Definedness::Undefined);
    let corner = derivative(x().abs());
    assert_ne!(definedness(&corner, &zero), Definedness::Defined);
}

#[test]
fn conditions_over_boxes() {
    let box_ = Assignment::new().with(
        &Symbol::new("x"),
        Kind::Real,
        Value::Between(Some(ratio(1, 2)), None),
    );
    let positive = Condition::Holds(x(), Relation::Greater, int(0));
    assert_eq!(truth(&positive, &box_), Truth::True);
    let less = Condition::Holds(x(), Relation::Less, int(1));
    assert_eq!(truth(&less, &box_), Truth::Unknown);
    let undefined = Condition::Holds(x().negative().sqrt(), Relation::Less, int(1));
    assert_eq!(truth(&undefined, &box_), Truth::Undefined);
}

#[test]
fn pieces_choose_by_condition() {
    let pieces: Expr = Node::Piecewise(vec![
        (Condition::Holds(x(), Relation::Less, int(0)), int(1)),
        (Condition::Holds(x(), Relation::Greater, int(0)), int(2)),
    ])
    .into();
    let value = |at_x: RBig| enclose(&pieces, &at(&[("x", Kind::Real, at_x)]), Precision::Double);
    assert_eq!(value(ratio(-1, 3)).exact, Some(RBig::ONE));
    assert_eq!(value(ratio(1, 3)).exact, Some(RBig::from(2)));
    assert_eq!(value(RBig::ZERO).definedness, Definedness::Undefined);
}

mod laws {
    use super::*;
    use crate::calculus::differentiate;
    use crate::numerics::tape::tests::expression;
    use proptest::prelude::*;

    fn boxed(low: &RBig, high: &RBig, k: i64) -> Assignment {
        at(&[("n", Kind::Integer, RBig::from(k))]).with(
            &Symbol::new("x"),
            Kind::Real,
            Value::Between(Some(low.clone()), Some(high.clone())),
        )
    }

    fn point(value: &RBig, k: i64) -> Assignment {
        at(&[
            ("n", Kind::Integer, RBig::from(k)),
            ("x", Kind::Real, value.clone()),
        ])
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(600))]

        #[test]
        fn boxes_enclose_their_points(
            expr in expression(), a in -8i64..=8, b in 1i64..=4, width in 1i64..=6, part in 0i64..=4, k in 0i64..=4
        ) {
            let low = ratio(a, b);
            let high = &low + ratio(width, 8);
            let inner = &low + (&high - &low) * ratio(part, 4);
            for precision in [Precision::Double, Precision::Bits(96)] {
                let over = enclose(&expr, &boxed(&low, &high, k), precision);
                let here = enclose(&expr, &point(&inner, k), Precision::Bits(160));
                if here.definedness == Definedness::Defined {
                    prop_assert_ne!(over.definedness, Definedness::Undefined, "{:?}", &expr);
                    if let (Some(low), Some(value)) = (&over.low, &here.high) {
                        prop_assert!(low <= value, "{:?}", &expr);
                    }
                    if let (Some(high), Some(value)) = (&over.high, &here.low) {
                        prop_assert!(value <= high, "{:?}", &expr);
                    }
                }
                if here.definedness == Definedness::Undefined {
                    prop_assert_ne!(over.definedness, Definedness::Defined, "{:?}", &expr);
                }
            }
        }

        /// The mean value theorem: the difference quotient is a value of the derivative.
        #[test]
        fn derivatives_enclose_difference_quotients(
            expr in expression(), a in -8i64..=8, b in 1i64..=4, k in 0i64..=4
        ) {
            let x = Symbol::new("x");
            if let Some(formula) = differentiate(&expr, &x) {
                let low = ratio(a, b);
                let high = &low + ratio(1, 64);
                let over = boxed(&low, &high, k);
                let slope = enclose(&formula, &over, Precision::Bits(96));
                let inside = enclose(&expr, &over, Precision::Bits(96));
                if slope.definedness == Definedness::Defined && inside.definedness == Definedness::Defined {
                    let ends = [&low, &high].map(|end| enclose(&expr, &point(end, k), Precision::Bits(160)));
                    if let [Some(a), Some(b), Some(c), Some(d)] =
                        [&ends[0].low, &ends[0].high, &ends[1].low, &ends[1].high]
                    {
                        let width = &high - &low;
                        let least = (c - b) / &width;
                        let most = (d - a) / &width;
                        if let Some(low) = &slope.low {
                            prop_assert!(*low <= most, "{:?}: {:?}", &expr, &formula);
                        }
                        if let Some(high) = &slope.high {
                            prop_assert!(least <= *high, "{:?}: {:?}", &expr, &formula);
                        }
                    }
                }
            }
        }

        /// Normal forms and intervals never disagree on a value.
        #[test]
        fn normal_forms_lie_in_their_enclosures(expr in expression(), a in -8i64..=8, b in 1i64..=4, k in 0i64..=4) {
            let here = point(&ratio(a, b), k);
            if let Some(value) = exact(&expr, &here) {
                let enclosure = enclose(&expr, &here, Precision::Bits(160));
                prop_assert_ne!(enclosure.definedness, Definedness::Undefined, "{:?}", &expr);
                if let Some(shown) = value.to_expr() {
                    let again = enclose(&shown, &Assignment::new(), Precision::Bits(160));
                    if let (Some(low), Some(high)) = (&enclosure.low, &again.high) {
                        prop_assert!(low <= high, "{:?} is not {:?}", &expr, &shown);
                    }
                    if let (Some(high), Some(low)) = (&enclosure.high, &again.low) {
                        prop_assert!(low <= high, "{:?} is not {:?}", &expr, &shown);
                    }
                }
            }
        }
    }
}
