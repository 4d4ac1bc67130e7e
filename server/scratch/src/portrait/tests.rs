//! Portraits of sequences whose suprema are known in closed form.

use super::*;
use crate::seek::{Asker, Interval};
use kernel::expr::text;
use kernel::{Condition, Expr, Symbol};
use std::sync::atomic::AtomicBool;

fn conditions(source: &str) -> Vec<Condition> {
    let letters = |name: &str| Some(vec![Expr::named(name)]);
    text::conditions(source, &letters).unwrap()
}

fn term(source: &str) -> Expr {
    match conditions(&format!("u = {source}")).pop() {
        Some(Condition::Holds(_, _, term)) => term,
        _ => panic!("{source} is no term"),
    }
}

fn of(source: &str, domain: &str) -> Result<Portrait, &'static str> {
    let (x, n) = (Symbol::new("x"), Symbol::new("n"));
    let (of_point, others): (Vec<Condition>, Vec<Condition>) = conditions(domain)
        .into_iter()
        .partition(|condition| condition.variables().contains(&x));
    let refs: Vec<&Condition> = of_point.iter().collect();
    let term = term(source);
    let family = Family {
        point: term.mentions(&x).then(|| x.clone()),
        term,
        domain: Interval::of(&refs, &x, &n).unwrap(),
        index: n,
        first: 1,
        conditions: others,
    };
    let subject = Subject {
        family,
        limit: None,
        name: None,
        limit_name: None,
        used: Vec::new(),
    };
    let stop = AtomicBool::new(false);
    portrait(&subject, Asker { stop: &stop })
}

fn close(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-9 * right.abs().max(1.0)
}

/// The curves of a portrait that has some.
fn scene(source: &str, domain: &str) -> Scene {
    of(source, domain).unwrap().scene.unwrap()
}

#[test]
fn greatest_values_stand_where_they_are() {
    let portrait = of("x/(1 + n*x)", "0 <= x, x <= 1").unwrap();
    assert_eq!(portrait.error, ["x/(n·x + 1) on [0, 1]"]);
    assert_eq!(portrait.supremum.as_deref(), Some("1/(n + 1)"));
    assert_eq!(portrait.bound.as_deref(), Some("1/n"));
    assert_eq!(portrait.uniform, Some(true));
    let scene = portrait.scene.unwrap();
    assert_eq!((scene.from, scene.to, scene.beyond), (0.0, 1.0, [false; 2]));
    let indices: Vec<i64> = scene.curves.iter().map(|own| own.index).collect();
    assert_eq!(indices, [1, 2, 5, 20]);
    for (curve, n) in scene.curves.iter().zip([1.0, 2.0, 5.0, 20.0]) {
        let greatest = curve.greatest.unwrap();
        assert!(greatest.attained && !curve.cut);
        assert!(close(greatest.dot[0], 1.0) && close(greatest.dot[1], 1.0 / (n + 1.0)));
        assert!(close(curve.bound.unwrap(), 1.0 / n));
        let [line] = curve.lines.as_slice() else {
            panic!("{:?}", curve.lines);
        };
        // The line ends in the mark, and every point of it lies on the curve.
        assert_eq!(line.last(), Some(&greatest.dot));
        assert!(
            line.iter()
                .all(|own| close(own[1], own[0] / (1.0 + n * own[0])))
        );
        assert!(line.is_sorted_by(|left, right| left[0] < right[0]));
    }
}

#[test]
fn lines_between_points_are_near_the_curve() {
    let scene = scene("n*x/(1 + n^2*x^2)", "");
    for curve in &scene.curves {
        #[allow(clippy::cast_precision_loss)]
        let n = curve.index as f64;
        for pair in curve.lines.iter().flat_map(|line| line.windows(2)) {
            let x = pair[0][0].midpoint(pair[1][0]);
            let drawn = pair[0][1].midpoint(pair[1][1]);
            let value = (n * x).abs() / (1.0 + n * n * x * x);
            assert!(
                (drawn - value).abs() <= 0.005 * scene.top,
                "{x}: {drawn} for {value}"
            );
        }
    }
}

#[test]
fn a_limit_by_cases_leaves_points_apart() {
    let portrait = of("x^n", "0 <= x, x <= 1").unwrap();
    assert_eq!(portrait.error, ["x^n on [0, 1)", "0 at x = 1"]);
    assert_eq!(portrait.uniform, Some(false));
    assert_eq!(portrait.witness.as_deref(), Some("1/2"));
    for curve in portrait.scene.unwrap().curves {
        assert_eq!(curve.single, [[1.0, 0.0]]);
        let greatest = curve.greatest.unwrap();
        assert_eq!((greatest.dot, greatest.attained), ([1.0, 1.0], false));
        // The line comes near to the open end and does not fall to the point apart.
        let last = curve.lines[0].last().unwrap();
        assert!(last[0] < 1.0 && 0.99 < last[1]);
        assert!(close(curve.witness.unwrap()[1], 0.5));
    }
}

#[test]
fn what_has_no_bound_leaves_the_picture_and_says_so() {
    let pole = scene("1/(n*x)", "0 < x, x <= 1");
    for curve in &pole.curves {
        assert!(curve.cut && curve.supremum.is_none() && curve.greatest.is_none());
        let line = &curve.lines[0];
        assert!(line.iter().all(|own| own[1] <= pole.top));
        assert!(close(line[0][1], pole.top), "cut at the top");
    }
    let slope = scene("x/n", "");
    assert_eq!(slope.beyond, [true, true]);
    assert!(slope.curves.iter().all(|own| own.supremum.is_none()));
    // The witness of every curve is seen, also the farthest.
    assert!(slope.curves.iter().all(|own| own.witness.is_some()));
}

#[test]
fn an_unbounded_domain_shows_where_something_happens() {
    for (source, domain, least) in [
        ("exp(-n*x)/n", "x >= 0", 1.0),
        ("x/(n^2 + x^2)", "x >= 0", 8.0),
        ("x^2/(x^2 + n)", "", 9.0),
    ] {
        let scene = scene(source, domain);
        assert!(
            scene.beyond[1] && least <= scene.to,
            "{source}: {}",
            scene.to
        );
        assert!(scene.to <= 200.0 * least, "{source}: {}", scene.to);
    }
}

#[test]
fn other_names_get_values_that_satisfy_what_restricts_them() {
    let portrait = of("x^n", "0 <= x, x <= q, 0 < q, q < 1").unwrap();
    assert_eq!(portrait.fixed, [("q".to_owned(), "1/2".to_owned())]);
    assert!(close(portrait.scene.unwrap().to, 0.5));
    let three = of("a*b*c*x/n", "0 <= x, x <= 1");
    assert_eq!(three, Err("it depends on more than two other names"));
    let none = of("a*x/n", "0 <= x, x <= 1, a > 2000");
    assert_eq!(
        none,
        Err("no simple values were found for the other names in it")
    );
}

#[test]
fn powers_are_fitted_only_where_they_fit() {
    for (source, domain, exponent) in [
        ("x/(1 + n*x^2)", "", (-1, 2)),
        ("x/(1 + n*x)", "0 <= x, x <= 1", (-1, 1)),
        ("3/n^2 + 1", "", (-2, 1)),
        ("x^n", "0 <= x, x <= 1", (0, 1)),
    ] {
        let sizes = of(source, domain).unwrap().sizes.unwrap();
        assert_eq!(sizes.power.unwrap().fraction, Some(exponent), "{source}");
    }
    let geometric = of("(1/2)^n", "").unwrap();
    assert!(geometric.scene.is_none());
    let sizes = geometric.sizes.unwrap();
    assert_eq!(sizes.power, None);
    // Powers of 1/2 are exact, and stop where they cannot be told from 0.
    assert_eq!(sizes.suprema[2], [3.0, 0.125]);
    assert!(sizes.suprema.iter().all(|own| 1e-12 <= own[1]));
}

#[test]
fn what_would_mislead_is_not_drawn() {
    // e_n = 0 at every even index, and everywhere.
    assert_eq!(
        of("(1 + (-1)^n)/n", "").err(),
        Some("its values leave nothing to draw")
    );
    assert!(of("0*n + x", "0 <= x, x <= 1").is_err());
    // No limit.
    assert_eq!(of("(-1)^n", "").err(), Some("the limit was not proved"));
    // A sum whose values take long.
    let sum = of("x*sum(k, 1, n, 1/k^2)", "0 <= x, x <= 1");
    assert_eq!(sum.err(), Some("it is a sum or a product of many terms"));
    // A domain without width.
    assert_eq!(
        of("x/n", "1 <= x, x <= 1").err(),
        Some("its domain is a point")
    );
    // Not defined at 0.
    assert!(of("1/(n*x)", "-1 <= x, x <= 1").is_err());
}

#[test]
fn the_same_sequence_has_the_same_portrait() {
    let twice = [0; 2].map(|_| of("sin(n*x)/n", "").unwrap());
    assert_eq!(twice[0], twice[1]);
}

#[test]
fn steps_are_no_slopes() {
    for curve in scene("floor(x)/n", "0 <= x, x <= 2").curves {
        let [low, high] = curve.lines.as_slice() else {
            panic!("{:?}", curve.lines);
        };
        assert!(low.iter().all(|own| own[0] < 1.0 && own[1] == 0.0));
        #[allow(clippy::cast_precision_loss)]
        let value = 1.0 / curve.index as f64;
        assert!(high.iter().all(|own| 1.0 <= own[0] && own[1] == value));
        assert_eq!(curve.single, [[2.0, 2.0 * value]]);
        assert_eq!(curve.greatest.unwrap().dot, [2.0, 2.0 * value]);
    }
}
