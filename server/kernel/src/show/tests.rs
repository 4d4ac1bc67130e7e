//! What a person would type.

use super::{decimal, grammar, plain};
use crate::expr::{Constant, Expr, Function, Node, Symbol};

fn v(name: &str) -> Expr {
    Expr::named(name)
}

fn int(value: i64) -> Expr {
    Expr::integer(value)
}

#[test]
fn plain_is_what_a_person_types() {
    let (x, n) = (v("x"), v("n"));
    let square = x.power(&int(2));
    let check = |expr: &Expr, text: &str| assert_eq!(plain(expr), text);
    let denominator = int(2).plus(&Node::Mul(vec![int(3), n.clone(), square.clone()]).into());
    check(&x.abs().over(&denominator), "|x|/(2 + 3n·x²)");
    check(&n.plus(&int(1)).sqrt().minus(&n.sqrt()), "√(n + 1) − √n");
    check(&x.power(&n.plus(&int(1))), "x^(n+1)");
    check(&n.times(&x).negative().call(Function::Exp), "e^(−n·x)");
    check(&int(-1).power(&n), "(−1)^n");
    check(&x.minus(&v("y").minus(&int(1))), "x − (y − 1)");
    check(&x.minus(&int(-2)), "x − (−2)");
    check(&x.plus(&int(-2)), "x − 2");
    check(&x.over(&n.times(&v("y"))), "x/(n·y)");
    check(&x.over(&n).over(&v("y")), "x/n/y");
    check(&x.over(&n.over(&v("y"))), "x/(n/y)");
    check(&Expr::ratio(1, 2).times(&x), "(1/2)·x");
    check(&Expr::ratio(-1, 2).power(&int(2)), "(−1/2)²");
    check(&x.sqrt().power(&int(2)), "(√x)²");
    check(&n.plus(&int(1)).call(Function::Factorial), "(n + 1)!");
    check(&x.negative().power(&int(2)), "(−x)²");
    check(&square.negative(), "−x²");
    check(&int(2).times(&int(3)), "2·3");
    check(&int(2).times(&n.plus(&int(1))), "2(n + 1)");
    check(&x.power(&n).power(&int(2)), "(x^n)²");
    let sum: Expr = Node::Sum {
        index: Symbol::new("k"),
        from: n.plus(&int(1)),
        to: None,
        body: v("r").power(&v("k")),
    }
    .into();
    check(&sum, "Σ_(k=n+1)^∞ r^k");
    check(&n.times(&x).call(Function::Sin), "sin(n·x)");
    check(
        &Node::Min(vec![int(1), v("ε").over(&int(5))]).into(),
        "min(1, ε/5)",
    );
    check(&int(2).sqrt().times(&x), "√2·x");
}

#[test]
fn grammar_is_ascii() {
    let pi: Expr = Node::Constant(Constant::Pi).into();
    let check = |expr: &Expr, text: &str| assert_eq!(grammar(expr), text);
    check(&Expr::ratio(-3, 2), "-3/2");
    check(&int(2).over(&int(3)).sqrt(), "sqrt(2/3)");
    check(&pi.over(&int(2)), "pi/2");
    check(&int(3).times(&int(5).sqrt()).over(&int(10)), "3*sqrt(5)/10");
    check(&int(2).call(Function::Exp), "e^2");
    check(&Expr::ratio(1, 2).call(Function::Exp), "e^(1/2)");
    check(&Node::Root(3, int(2)).into(), "2^(1/3)");
    check(
        &Node::Apply(Symbol::new("f"), vec![Expr::ratio(1, 2)]).into(),
        "f(1/2)",
    );
}

#[test]
fn decimals_have_the_digits_that_matter() {
    assert_eq!(decimal(0.331, 0.337), "0.334");
    assert_eq!(decimal(0.29, 0.31), "0.3");
    assert_eq!(decimal(-2.5, -2.5), "-2.5");
    assert_eq!(decimal(0.0, 0.0), "0");
    assert_eq!(decimal(1234.0, 1240.0), "1240");
    assert_eq!(decimal(1.0e-9, 1.0e-9), "1e-9");
    assert_eq!(decimal(0.00012, 0.00012), "0.00012");
}
