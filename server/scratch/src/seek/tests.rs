//! Tests of seeking on the shapes that each part is made for.

use super::expand::{Limit, limit};
use super::family::{Asker, End, Family, Interval};
use super::{Place, Shape, error, study, supremum};
use kernel::expr::text;
use kernel::show::plain;
use kernel::{Condition, Expr, Symbol};
use std::sync::atomic::AtomicBool;

fn conditions(source: &str) -> Vec<Condition> {
    text::conditions(source, &|name| Some(vec![Expr::named(name)])).unwrap()
}

fn formula(source: &str) -> Expr {
    match conditions(&format!("u = {source}")).remove(0) {
        Condition::Holds(_, _, right) => right,
        other => panic!("{other:?}"),
    }
}

fn family(term: &str, domain: &str) -> Family {
    let (x, n) = (Symbol::new("x"), Symbol::new("n"));
    let (own, others): (Vec<Condition>, Vec<Condition>) = conditions(domain)
        .into_iter()
        .partition(|condition| condition.variables().contains(&x));
    let refs: Vec<&Condition> = own.iter().collect();
    Family {
        term: formula(term),
        index: n.clone(),
        first: 1,
        point: term.contains('x').then(|| x.clone()),
        domain: Interval::of(&refs, &x, &n).unwrap(),
        conditions: others,
    }
}

fn asked<T>(question: impl FnOnce(Asker<'_>) -> T) -> T {
    let stop = AtomicBool::new(false);
    question(Asker { stop: &stop })
}

#[test]
fn limits_come_from_expansions() {
    for (term, domain, wanted) in [
        ("(3*n + 1)/(n + 2)", "", "3"),
        ("n*(( x + 1/n)^(1/2) - x^(1/2))", "x > 0", "1/(2√x)"),
        ("n*log(1 + x/n)", "x > 0", "x"),
        ("(1 + x/n)^n", "x > 0", "e^x"),
        ("n*sin(x/n)", "", "x"),
        ("x*n*e^(-n*x)", "x > 0", "0"),
        ("atan(n*x)", "x > 0", "π/2"),
        ("log(n)/n", "", "0"),
        ("sin(n*x)/n", "", "0"),
        ("x^n", "0 <= x, x < 1", "0"),
    ] {
        let own = family(term, domain);
        let found = asked(|asker| limit(&own, &own.term, &own.index, asker));
        let Limit::Value(value) = found else {
            panic!("{term}: {found:?}");
        };
        assert_eq!(plain(&value), wanted, "{term}");
    }
}

#[test]
fn what_has_no_limit_is_given_none() {
    for (term, domain) in [("sin(n*x)", "x > 0"), ("n*x", "x > 0"), ("(-1)^n", "")] {
        let own = family(term, domain);
        let found = asked(|asker| limit(&own, &own.term, &own.index, asker));
        assert!(!matches!(found, Limit::Value(_)), "{term}: {found:?}");
    }
}

#[test]
fn suprema_are_attained_or_approached() {
    for (term, domain, value, place) in [
        ("x/(1 + n*x^2)", "x >= 0", "1/(2√n)", Some("1/√n")),
        ("x/n", "0 <= x, x <= 2", "2/n", Some("2")),
        ("1/(n + x)", "x >= 0", "1/n", Some("0")),
        ("x/(n + x)", "x >= 0", "1", None),
        ("x/n", "a > 0, 0 <= x, x <= a", "a/n", Some("a")),
    ] {
        let own = family(term, domain);
        let found = asked(|asker| {
            let shape = error(&own, &Expr::integer(0), asker);
            supremum(&own, &shape, asker).unwrap()
        });
        assert_eq!(plain(&found.value), value, "{term}");
        match (&found.place, place) {
            (Place::At(own), Some(place)) => assert_eq!(plain(own), place, "{term}"),
            (Place::Toward { upper: true }, None) => {}
            other => panic!("{term}: {other:?}"),
        }
    }
}

#[test]
fn thresholds_invert_their_bounds() {
    let epsilon = Expr::named("ε");
    let power = |above, below| Shape::Power {
        constant: Expr::ratio(3, 2),
        above,
        below,
    };
    assert_eq!(plain(&power(1, 1).threshold(&epsilon)), "3/(2ε)");
    assert_eq!(plain(&power(1, 2).threshold(&epsilon)), "9/(4ε²)");
    assert_eq!(plain(&power(2, 1).threshold(&epsilon)), "√(3/(2ε))");
    let geometric = Shape::Geometric {
        constant: Expr::integer(1),
        ratio: Expr::ratio(1, 2),
    };
    assert_eq!(plain(&geometric.threshold(&epsilon)), "log(1/ε)/log(2)");
}

#[test]
fn a_false_limit_is_not_taken() {
    let own = family("x^n", "0 <= x, x <= 1");
    assert!(asked(|asker| study(&own, Some(&Expr::integer(0)), asker)).is_none());
    let own = family("x/n", "0 <= x, x <= 1");
    assert!(asked(|asker| study(&own, Some(&Expr::integer(1)), asker)).is_none());
}

#[test]
fn witnesses_stay_away_from_zero() {
    let own = family("x^n", "0 <= x, x <= 1");
    let found = asked(|asker| study(&own, None, asker)).unwrap();
    assert_eq!(found.uniform, Some(false));
    let witness = found.witness.unwrap();
    assert_eq!(plain(&witness.value), "1/2");
    assert_eq!(plain(&witness.point), "2^(−1/n)");
}

#[test]
fn intervals_are_read_from_conditions() {
    let (x, n) = (Symbol::new("x"), Symbol::new("n"));
    let read = |source: &str| {
        let all = conditions(source);
        Interval::of(&all.iter().collect::<Vec<_>>(), &x, &n)
    };
    let closed = |value| {
        Some(End {
            value: Expr::integer(value),
            closed: true,
        })
    };
    let between = Interval {
        low: closed(0),
        high: closed(2),
    };
    assert_eq!(read("0 <= x, x <= 2"), Some(between.clone()));
    assert_eq!(read("x >= 0, x <= 3, x <= 2"), Some(between));
    assert_eq!(read("x != 0"), None);
    assert_eq!(read("x >= n"), None);
    let parts = read("-1 <= x, x < 2").unwrap().parts_at_zero().unwrap();
    assert_eq!(parts.len(), 3);
    assert_eq!(read("0 < x, x < 2").unwrap().parts_at_zero(), None);
}
