//! Prints what is found out about a sequence: `seek 'x/(1 + n*x)' '0 <= x, x <= 1'`.
#![allow(clippy::print_stdout)]

use kernel::expr::text;
use kernel::{Condition, Expr, Symbol};
use scratch::seek::{Asker, Family, Interval, error, pointwise, study, supremum};
use std::sync::atomic::AtomicBool;

fn conditions(source: &str) -> Vec<Condition> {
    let letters = |name: &str| Some(vec![Expr::named(name)]);
    text::conditions(source, &letters).unwrap_or_default()
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [term, rest @ ..] = arguments.as_slice() else {
        return;
    };
    let Some(Condition::Holds(_, _, term)) = conditions(&format!("u = {term}")).pop() else {
        return;
    };
    let domain = rest.first().map(String::as_str).unwrap_or_default();
    let (x, n) = (Symbol::new("x"), Symbol::new("n"));
    let (of_point, others): (Vec<Condition>, Vec<Condition>) = conditions(domain)
        .into_iter()
        .partition(|condition| condition.variables().contains(&x));
    let refs: Vec<&Condition> = of_point.iter().collect();
    let Some(domain) = Interval::of(&refs, &x, &n) else {
        return;
    };
    let family = Family {
        point: term.mentions(&x).then_some(x),
        term,
        index: n,
        first: 1,
        domain,
        conditions: others,
    };
    let stop = AtomicBool::new(false);
    let asker = Asker { stop: &stop };
    println!("{:#?}", study(&family, None, asker));
    if let Some(limit) = pointwise(&family, None, asker).and_then(|own| own.formula()) {
        let shape = error(&family, &limit, asker);
        println!("{shape:#?}");
        println!("{:#?}", supremum(&family, &shape, asker));
    }
}
