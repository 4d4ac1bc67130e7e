//! Statements that must be proved, and neighbours of them that must never be.

pub(crate) mod text;

use super::establish::{DEPTH, establish};
use super::work::Work;
use crate::expr::{Expr, Symbol};
use crate::fuel::{Budget, Fuel};
use crate::goal::{Goal, Problem};
use crate::recheck::{Context, Sign, verify};
use proptest::prelude::*;
use std::sync::atomic::AtomicBool;
use text::{expr, null_problem, problem};

fn is_proved(problem: &Problem) -> bool {
    let stop = AtomicBool::new(false);
    let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
    super::prove(problem, &mut fuel)
        .and_then(|proof| {
            let certificate = verify(problem, proof);
            assert!(certificate.is_some(), "a proposed proof fails: {problem:?}");
            certificate
        })
        .is_some()
}

fn check(rows: &str, expected: bool) {
    let wrong: Vec<&str> = rows
        .lines()
        .map(str::trim)
        .filter(|row| !row.is_empty())
        .filter(|row| is_proved(&problem(row)) != expected)
        .collect();
    assert!(wrong.is_empty(), "expected {expected}: {wrong:#?}");
}

#[test]
fn polynomial_core() {
    check(
        "a b |- a^2 + b^2 >= 2*a*b
         a b c |- a^2 + b^2 + c^2 >= a*b + b*c + c*a
         a:(0,oo) b:(0,oo) |- a/b + b/a >= 2
         x |- x^4 - 3*x^3 + 4*x^2 - 3*x + 2 > 0
         n:int x |- abs(x/(3 + 5*n*x^2)) <= 1/(2*sqrt(15*n))
         n:int |- (4*n + 1)/(n^2 + 1) <= 5/n
         n:int x:[0,1] |- x/(1 + n*x) <= 1/(n + 1)
         x:[0,2] y:[0,3] |- x*y <= 6
         n:int |- n^2 + n >= 2",
        true,
    );
}

#[test]
fn unknown_functions_are_bounded_by_what_is_supposed_of_them() {
    let stop = AtomicBool::new(false);
    let left = |text: &str| {
        let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
        let problem = null_problem(text, &["x"]);
        let proof = super::prove(&problem, &mut fuel);
        let shown = proof.is_some_and(|proof| verify(&problem, proof).is_some());
        (shown, fuel.left())
    };
    for known in [
        "n:int x m:(0,oo) | abs(f(x)) <= m |- f(x)/n",
        "n:int x m:(0,oo) | abs(f(n, x) - f(x)) <= m/n |- f(n, x) - f(x)",
        "n:int x | abs(f(n, x) - f(x)) <= 2/n |- f(n, x) - f(x)",
        "n:int x |- sin(f(x))/n",
    ] {
        assert!(left(known).0, "{known}");
    }
    // Where nothing is said of a function, or too little, little is searched.
    for unknown in [
        "n:int x |- f(n, x) - f(x)",
        "n:int x |- f(x)/n",
        "n:int x m:(0,oo) | abs(f(n, x) - f(x)) <= m |- f(n, x) - f(x)",
        "n:int x | abs(f(n, 0)) <= 1/n |- f(n, x)",
    ] {
        let (shown, fuel) = left(unknown);
        assert!(!shown, "{unknown}");
        assert!(fuel > Budget::STANDARD.proof_steps / 2, "{unknown}: {fuel}");
    }
    check(
        "x y | abs(f(x) - f(y)) <= abs(x - y); abs(x - y) < 1 |- abs(f(x) - f(y)) < 1
         x y | f(x) = f(y) |- f(x)^2 + f(y) = f(y)^2 + f(x)",
        true,
    );
}

#[test]
fn absolute_values_and_choices() {
    check(
        "a b |- abs(abs(a) - abs(b)) <= abs(a - b)
         a b c d | abs(a - c) < e; abs(b - d) < e |- abs(a + b - c - d) < 2*e
         eps:(0,oo) delta:(0,oo) x | delta = min(1, eps/7); abs(x - 3) < delta |- abs(x^2 - 9) < eps
         eps:(0,oo) delta:(0,oo) x | delta = min(1, eps*2); abs(x - 2) < delta |- abs(1/x - 1/2) < eps
         x | x > 1 or x < -1 |- x^2 > 1
         x y |- max(x, y) + min(x, y) = x + y
         x y |- max(x, y) >= (x + y)/2",
        true,
    );
}

#[test]
fn thresholds() {
    check(
        "eps:(0,oo) N:int n:int | N > 3/eps; n > N |- 3/n < eps
         eps:(0,oo) N:int n:int | N >= 1/eps - 1; n > N |- 1/n <= eps
         eps:(0,oo) N:int n:int | N >= 4/eps^2; n > N |- 2/sqrt(n) < eps
         eps:(0,oo) N:int n:int | N = ceil(5/eps); n >= N + 1 |- 5/n < eps
         eps:(0,oo) N:int n:int | N = floor(5/eps) + 1; n >= N |- 5/n < eps",
        true,
    );
    check(
        "eps:(0,oo) N:int n:int | N > 3/eps; n > N |- 4/n < eps
         eps:(0,oo) N:int n:int | N >= 1/eps - 1; n > N |- 1/n < eps
         eps:(0,oo) N:[1,oo) n:[1,oo) | N >= 1/eps - 1; n > N |- 1/n <= eps
         eps:(0,oo) N:int n:int | N = floor(5/eps); n >= N |- 5/n < eps",
        false,
    );
}

#[test]
fn roots() {
    check(
        "n:int |- sqrt(n + 1) - sqrt(n) <= 1/(2*sqrt(n))
         n:int |- sqrt(n^2 + 3*n) - n <= 3/2
         n:int x |- sqrt(x^2 + 1/n) - abs(x) <= 1/sqrt(n)
         x:[0,oo) y:[0,oo) |- sqrt(x*y) <= (x + y)/2
         x:[0,oo) |- sqrt(x^2) = x
         x |- sqrt(x^2) = abs(x)
         eps:(0,oo) x:[0,oo) y:[0,oo) | abs(x - y) < eps^2 |- abs(sqrt(x) - sqrt(y)) < eps
         n:int |- n^(1/n) <= 1 + sqrt(2/n)",
        true,
    );
    check(
        "x |- sqrt(x^2) = x
         n:int |- sqrt(n + 1) - sqrt(n) <= 1/(2*sqrt(n + 1))
         x |- sqrt(x - 1)*sqrt(x - 1) = x - 1
         y a:[1,oo) |- y - y*sqrt(a) >= 0",
        false,
    );
}

#[test]
fn transcendental_functions() {
    check(
        "n:int x:[0,oo) |- log(1 + x/n) <= x/n
         n:int |- log(1 + 1/n) >= 1/(n + 1)
         n:int |- log(n)/n <= 2/sqrt(n)
         x:[0,oo) |- atan(x) >= x/(1 + x)
         x:[0,oo) |- abs(log(1 + x) - x + x^2/2) <= x^3/3
         n:int x |- n*(exp(x/n) - 1) >= x
         n:int x:[0,oo) |- x*exp(-n*x) <= 1/(e*n)
         n:int x:[0,oo) |- n*x*exp(-n*x^2) <= 43*sqrt(n)/100
         n:int x |- abs(sin(n*x))/n^2 <= 1/n^2
         n:int x |- 1 - cos(x/n) <= x^2/(2*n^2)
         x:[0,pi/2] |- sin(x) >= 2*x/pi
         x y |- abs(cos(x) - cos(y)) <= abs(x - y)
         x |- sin(x)^2 + cos(x)^2 = 1
         x |- cosh(x) >= 1",
        true,
    );
    check(
        "x |- sin(x) <= x
         n:int x |- (1 + x/n)^n <= exp(x)
         n:int |- log(1 + 1/n) >= 5/(5*n + 2)
         x |- exp(x) <= 1 + x + x^2
         x:(0,oo) |- x*log(x) >= -1/3
         x |- log(x^2) = 2*log(x)",
        false,
    );
}

#[test]
fn powers() {
    check(
        "n:int |- (1 + 1/n)^n <= 3
         n:int |- (1 + 1/n)^n >= 2
         n:int |- (1 + 1/n)^(n + 1) >= e
         n:int x:[0,1] |- x^n*(1 - x) <= 1/(e*n)
         n:int x:[0,1] |- x^n - x^(2*n) <= 1/4
         n:int x:[0,1/2] |- x^n <= 1/n
         n:int x |- x^2/(1 + x^2)^n <= 1/n
         n:int | n >= 4 |- 2^n >= n^2
         n:int x:[0,2] |- x^n/fact(n) <= 2
         n:int |- (-1)^n*(-1)^n = 1
         n:int x:[-1,1] |- abs(x^n) <= 1",
        true,
    );
    check(
        "n:int |- (1 + 1/n)^n > 2
         n:int x:[0,1] |- x^n <= x^(n + 1)
         n:int |- 2^n >= n^2
         n:int x:[0,1] |- x^n - x^(2*n) < 1/4
         n:int x |- (1 + x)^n >= 1 + n*x",
        false,
    );
}

#[test]
fn sums_and_derivatives() {
    check(
        "n:int r:(0,1) |- series(r^k, k, n + 1) = r^(n + 1)/(1 - r)
         n:int r:(0,1) |- sum(r^k, k, 0, n) <= 1/(1 - r)
         n:int |- series(1/k^2, k, n + 1) <= 1/n
         n:int |- sum(1/(k*(k + 1)), k, 1, n) = 1 - 1/(n + 1)
         n:int |- sum(k, k, 1, n) = n*(n + 1)/2
         n:int |- sum(1/k, k, n + 1, 2*n) <= 1
         n:int x |- D(x/(2 + n*x^2), x) = (2 - n*x^2)/(2 + n*x^2)^2
         n:int x |- D(atan(n*x), x) = n/(1 + n^2*x^2)
         x:(0,oo) |- D(x*log(x), x) = log(x) + 1",
        true,
    );
    check(
        "n:int r:(0,1) |- series(r^k, k, n + 1) = r^n/(1 - r)
         n:int r |- series(r^k, k, n + 1) = r^(n + 1)/(1 - r)
         x |- D(abs(x), x) = sign(x)
         n:int x |- D(sin(n*x), x) = cos(n*x)",
        false,
    );
}

#[test]
fn definedness_is_part_of_a_claim() {
    check(
        "x |- x/x = 1
         x |- 1/x - 1/x = 0
         x |- 0*log(x) = 0
         x y:[0,oo) |- y^x >= 0
         x |- x^(-2) >= 0
         n:int x | x >= -n |- log(1 + x/n) <= x/n
         x |- sqrt(x - 1)
         x |- 1/(x^2 - 2)",
        false,
    );
    check(
        "x | x != 0 |- x/x = 1
         x:(0,oo) |- 0*log(x) = 0
         x y:(0,oo) |- y^x > 0
         x | x > 1/n |- x - x = 0
         n:int |- 0^n = 0
         x |- x^0 = 1
         x | abs(x - 1) < 1/2 |- 1/x
         x |- 1/(x^2 + 2)",
        true,
    );
}

#[test]
fn unknown_functions_are_atoms() {
    check(
        "x y eps:(0,oo) | abs(f(x) - g(x)) < eps/3; abs(g(x) - g(y)) < eps/3; abs(g(y) - f(y)) < eps/3 |- abs(f(x) - f(y)) < eps
         n:int x | abs(f(n, x)) <= 1/n |- abs(f(n, x))/n <= 1/n^2",
        true,
    );
    check(
        "x y eps:(0,oo) | abs(f(x) - g(x)) < eps/3; abs(g(x) - g(y)) < eps/3; abs(g(y) - f(y)) < eps/2 |- abs(f(x) - f(y)) < eps",
        false,
    );
}

#[test]
fn hypotheses_that_contradict_each_other_are_reported() {
    let stop = AtomicBool::new(false);
    let found = |text: &str| {
        let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
        super::contradictory(&problem(text), &mut fuel).is_some()
    };
    assert!(found("x | x > 1; x < 0 |- x = x"));
    assert!(found("n:int | n < 1 |- n = n"));
    assert!(found("n:int | 2*n > 3; 2*n < 4 |- n = n"));
    assert!(found("x y | x^2 + y^2 < 2*x*y |- x = x"));
    assert!(!found("x | x > 1; x < 2 |- x = x"));
    assert!(!found("x:[0,1] n:int |- x = n"));
}

#[test]
fn null_sequences() {
    let stop = AtomicBool::new(false);
    let fuel = || Fuel::new(Budget::STANDARD.proof_steps, &stop);
    for (text, points) in [
        ("n:int x |- x/(2 + 3*n*x^2)", ["x"].as_slice()),
        ("n:int x:[0,1/2] |- x^n", &["x"]),
        ("n:int x:[0,oo) b:(0,oo) | x <= b |- x/(x + n)", &["x"]),
        ("n:int x |- x/n", &[]),
        ("n:int r:(-1,1) |- r^n", &[]),
        ("n:int |- log(n)/n", &[]),
    ] {
        let problem = null_problem(text, points);
        let (bound, certificate) =
            super::majorant(&problem, &mut fuel()).unwrap_or_else(|| panic!("{text}"));
        assert!(
            points
                .iter()
                .all(|name| !bound.mentions(&Symbol::new(name)))
        );
        assert_eq!(certificate.problem(), &problem);
        assert!(super::stays_away(&problem, &mut fuel()).is_none(), "{text}");
    }
    for (text, points) in [
        ("n:int x:[0,1) |- x^n", ["x"].as_slice()),
        ("n:int x |- x/n", &["x"]),
        ("n:int x |- n*x/(1 + n^2*x^2)", &["x"]),
        ("n:int |- (-1)^n", &[]),
        ("n:int x:[0,1] |- n*x*(1 - x)^n", &["x"]),
    ] {
        let problem = null_problem(text, points);
        let found = super::stays_away(&problem, &mut fuel());
        assert!(found.is_some(), "{text}");
        assert!(
            super::tends_to_zero(&problem, &mut fuel()).is_none(),
            "{text}"
        );
    }
}

#[test]
fn thresholds_come_from_majorants() {
    let stop = AtomicBool::new(false);
    let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
    let problem = null_problem("n:int x |- x/(1 + n*x^2)", &["x"]);
    let found = super::threshold(&problem, &Symbol::new("eps"), &mut fuel);
    assert_eq!(
        found,
        Some(expr("1/2").simple().over(&expr("eps")).power(&expr("2")))
    );
}

trait Simple {
    fn simple(&self) -> Expr;
}

impl Simple for Expr {
    /// A quotient of numerals as one numeral.
    fn simple(&self) -> Expr {
        Context::default().normal(self).unwrap().to_expr()
    }
}

#[test]
fn sharp_constants_are_not_beaten() {
    // Each is sharp: with the constant reduced by 1/1000 it is false.
    for text in [
        "n:int x |- abs(x/(2 + 3*n*x^2)) <= C/(2*sqrt(6*n))",
        "n:int x:[0,oo) |- x*exp(-n*x) <= C/(e*n)",
        "n:int x:[0,1] |- x^n - x^(2*n) <= C/4",
        "n:int |- sqrt(n + 1) - sqrt(n) <= C/(2*sqrt(n))",
        "n:int x:[0,oo) |- log(1 + x/n) <= C*x/n",
        "a b |- 2*a*b <= C*(a^2 + b^2)",
        "n:int x |- abs(sin(x/n)) <= C*abs(x)/n",
        "x:(0,oo) |- -x*log(x) <= C/e",
    ] {
        assert!(is_proved(&problem(&text.replace('C', "1"))), "{text}");
        assert!(
            !is_proved(&problem(&text.replace('C', "(999/1000)"))),
            "{text}"
        );
    }
}

#[test]
fn reasons_are_given_in_words() {
    let stop = AtomicBool::new(false);
    let say = |text: &str| {
        let problem = problem(text);
        let mut fuel = Fuel::new(Budget::STANDARD.proof_steps, &stop);
        let proof = super::prove(&problem, &mut fuel).unwrap();
        super::reason::explain(&verify(&problem, proof).unwrap())
    };
    let reason = say("n:int x:[0,oo) |- log(1 + x/n) <= x/n").unwrap();
    assert!(reason.contains("log t ≤ t − 1"), "{reason}");
    let reason = say("x y |- x^2 + y^2 >= 2*x*y").unwrap();
    assert!(reason.contains('²'), "{reason}");
    let reason = say("n:int |- (n - 1)/(n + 2) < 1").unwrap();
    assert!(reason.contains("n + 2"), "{reason}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// A polynomial that is negative at a known admissible point is never proved to be ≥ 0, even
    /// without the sampled points that would stop the search early.
    #[test]
    fn false_polynomial_inequalities_are_not_proved(
        coefficients in prop::collection::vec(-4_i64..5, 10),
        at in (0_i64..6, 0_i64..6),
        scale in 1_i64..4,
    ) {
        let (x, y) = (Expr::named("x"), Expr::named("y"));
        let powers = [(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3)];
        let poly = Expr::sum_of(coefficients.iter().zip(powers).map(|(c, (i, j))| {
            Expr::product_of(vec![
                Expr::integer(*c),
                x.power(&Expr::integer(i)),
                y.power(&Expr::integer(j)),
            ])
        }).collect());
        let put = |expr: &Expr| expr
            .substitute(&Symbol::new("x"), &Expr::ratio(at.0, scale))
            .substitute(&Symbol::new("y"), &Expr::ratio(at.1, scale));
        let value = Context::default().normal(&put(&poly)).unwrap();
        let value = value.numerator().as_constant().unwrap();
        prop_assume!(value < dashu::rational::RBig::ZERO);
        let problem = problem("x:[0,oo) y:[0,oo) |- x >= 0")
            .with_goal(Goal::Holds(poly.clone(), crate::expr::Relation::GreaterEqual, Expr::integer(0)));
        let stop = AtomicBool::new(false);
        let mut fuel = Fuel::new(20_000, &stop);
        let mut work = Work::new(Context::of(&problem));
        let target = work.poly(&poly).unwrap();
        prop_assert!(!establish(&mut work, &target, Sign::NonNegative, DEPTH, &mut fuel));
        prop_assert!(!is_proved(&problem));
    }
}

/// A rough value of a constant expression.
pub(crate) fn rough(expr: &Expr) -> f64 {
    super::sample::value(expr, &super::sample::Values::new())
}

#[test]
fn half_turns_change_the_sign_of_whole_multiples_only() {
    check(
        "n:int |- cos(n*pi) = (-1)^n
         n:int |- sin(n*pi) = 0
         n:int x |- sin(x + n*pi) = (-1)^n*sin(x)
         n:int x |- cos(x + 2*n*pi) = cos(x)
         n:int x:[0,1] |- tan(x + n*pi) = tan(x)",
        true,
    );
    check(
        "n:int |- cos(n*pi) = 1
         n:int |- cos(n*pi) = -1
         n:int x |- sin(x + n*pi) = sin(x)
         n:int x |- sin(x + n*pi/2) = (-1)^n*sin(x)
         t x |- sin(x + t*pi) = cos(t*pi)*sin(x)
         t |- sin(t*pi) = 0
         n:int x |- cos(x + n^2*pi) = cos(x)",
        false,
    );
}

#[test]
fn null_sequences_by_parity_need_both_parities() {
    let stop = AtomicBool::new(false);
    let fuel = || Fuel::new(Budget::STANDARD.proof_steps, &stop);
    for text in [
        "n:int |- (1 + (-1)^n)/n",
        "n:int |- ((-1)^n*n + 1)/(n^2 + 1)",
    ] {
        let problem = null_problem(text, &[]);
        assert!(
            super::tends_to_zero(&problem, &mut fuel()).is_some(),
            "{text}"
        );
    }
    for text in [
        "n:int |- 1 + (-1)^n",
        "n:int |- 1 - (-1)^n",
        "n:int |- (1 + (-1)^n)/2 + 1/n",
        "n:int |- cos(n*pi)",
    ] {
        let problem = null_problem(text, &[]);
        assert!(
            super::tends_to_zero(&problem, &mut fuel()).is_none(),
            "{text}"
        );
    }
}
