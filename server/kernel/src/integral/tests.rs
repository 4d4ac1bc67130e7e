//! Closed forms against Simpson's rule, and integrals that have no closed form here.

use super::*;
use crate::numerics::{Assignment, Precision, Value, enclose};
use crate::proving::tests::text::expr;
use dashu::rational::RBig;

const NAMES: [(&str, Kind); 3] = [("n", Kind::Integer), ("a", Kind::Real), ("R", Kind::Real)];

fn integral(body: &str, from: &str, to: &str) -> Option<Expr> {
    let others: Vec<Variable> = NAMES
        .iter()
        .map(|(name, kind)| Variable {
            name: Symbol::new(name),
            kind: *kind,
        })
        .collect();
    let known: Vec<Condition> = NAMES
        .iter()
        .map(|(name, _)| {
            Condition::Holds(Expr::named(name), Relation::GreaterEqual, Expr::integer(1))
        })
        .collect();
    let ends = (&expr(from), &expr(to));
    definite(&expr(body), &Symbol::new("x"), ends, &others, &known)
}

/// The value at n, a = 2, R = 3 and, if it is told, x.
fn value(of: &Expr, n: i64, x: Option<RBig>) -> f64 {
    let exact = |number: i64| Value::Exact(RBig::from(number));
    let mut at = Assignment::new()
        .with(&Symbol::new("n"), Kind::Integer, exact(n))
        .with(&Symbol::new("a"), Kind::Real, exact(2))
        .with(&Symbol::new("R"), Kind::Real, exact(3));
    if let Some(x) = x {
        at = at.with(&Symbol::new("x"), Kind::Real, Value::Exact(x));
    }
    let found = enclose(of, &at, Precision::Double);
    let (low, high) = (
        found.low.expect("it is bounded"),
        found.high.expect("it is bounded"),
    );
    (low.to_f64().value() + high.to_f64().value()) / 2.0
}

fn simpson(body: &Expr, from: &Expr, to: &Expr, n: i64) -> f64 {
    let rational = |of: &Expr| {
        let rounded = (value(of, n, None) * 1024.0).round();
        RBig::from(rounded as i64) / RBig::from(1024)
    };
    let (from, to) = (rational(from), rational(to));
    let count = 400_i64;
    let width = (to - &from) / RBig::from(count);
    let total: f64 = (0..=count)
        .map(|place| {
            let x = &from + &width * RBig::from(place);
            let weight = match place {
                0 => 1.0,
                _ if place == count => 1.0,
                _ if place % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * value(body, n, Some(x))
        })
        .sum();
    total * width.to_f64().value() / 3.0
}

#[test]
fn closed_forms_agree_with_simpsons_rule() {
    let all = [
        ("x^n", "0", "1"),
        ("n*x^n*(1-x)", "0", "1"),
        ("n*x*(1-x)^n", "0", "1"),
        ("n^2*x*(1-x)^n", "0", "1"),
        ("x^2*(1-x)^n", "0", "1"),
        ("1/(1+n*x)", "0", "1"),
        ("n*x/(1+n*x)", "0", "1"),
        ("n*x/(n+x)", "0", "R"),
        ("n/(n+x^2)", "0", "1"),
        ("n/(n^2+x^2)", "0", "R"),
        ("n*x/(1+n*x^2)", "0", "1"),
        ("x/(1+n^2*x^2)^2", "0", "1"),
        ("x^2/(n+x^2)", "0", "1"),
        ("exp(-n*x)", "0", "1"),
        ("n*x*exp(-n*x)", "0", "1"),
        ("n^2*x^2*exp(-n*x)", "0", "a"),
        ("2*n*x*exp(-n*x^2)", "0", "1"),
        ("exp(x)*n/(n+3)", "0", "1"),
        ("sin(n*x)/n", "0", "3"),
        ("x*cos(n*x)", "0", "3"),
        ("x^2*sin(n*x)", "0", "1"),
        ("n*sin(x/n)", "0", "1"),
        ("log(x)", "1", "R"),
        ("x*log(x)", "1", "R"),
        ("log(1+x/n)", "0", "1"),
        ("atan(n*x)", "0", "1"),
        ("sqrt(x+n)", "0", "1"),
        ("1/sqrt(x+n)", "0", "1"),
        ("x*sqrt(x^2+n)", "0", "1"),
        ("1/x^2", "n", "n+1"),
        ("1/x", "n", "2*n"),
        ("(x-1)^2+x/n", "0", "2"),
        ("1/(x-4)", "1", "3"),
        ("x^3", "a", "0"),
    ];
    for (body, from, to) in all {
        let found = integral(body, from, to);
        let found = found.unwrap_or_else(|| panic!("no closed form of {body}"));
        for n in [1, 2, 5] {
            let closed = value(&found, n, None);
            let near = simpson(&expr(body), &expr(from), &expr(to), n);
            assert!(
                (closed - near).abs() < 1e-4,
                "{body} for n = {n}: {closed} beside {near}, from {found:?}"
            );
        }
    }
}

#[test]
fn poles_and_unknown_integrals_have_no_value() {
    for (body, from, to) in [
        ("1/x", "-1", "1"),
        ("1/x^2", "-1", "1"),
        ("1/(2*x-1)^2", "0", "1"),
        ("1/x", "0", "1"),
        ("exp(-x^2)", "0", "1"),
        ("floor(x)", "0", "2"),
        ("f(x)", "0", "1"),
        ("1/(x-a)", "0", "3"),
    ] {
        assert!(
            integral(body, from, to).is_none(),
            "{body} over [{from}, {to}]"
        );
    }
}

#[test]
fn an_integrable_pole_of_the_slope_is_no_obstacle() {
    let found = integral("1/sqrt(x)", "0", "1").expect("2√x serves");
    assert!((value(&found, 1, None) - 2.0).abs() < 1e-9);
}
