//! Solving a relation for a quantity that occurs in it once: where its boundary lies.

use crate::expr::{Condition, Expr, Function, Node, Symbol};

/// The name of the factor by which a boundary is missed: 1 is on it.
pub(super) const FACTOR: &str = "\u{0}factor";

/// Most values that one relation is solved for: squares of squares double them at each level.
const BRANCHES: usize = 16;

/// The values of `unknown` at which left = right · factor, one for every branch.
pub(super) fn boundaries(condition: &Condition, unknown: &Expr) -> Vec<Expr> {
    let Condition::Holds(left, _, right) = condition else {
        return Vec::new();
    };
    let factor = Expr::variable(&Symbol::new(FACTOR));
    match (occurrences(left, unknown), occurrences(right, unknown)) {
        (1, 0) => isolate(left, unknown, right.times(&factor)),
        (0, 1) => isolate(right, unknown, left.times(&factor)),
        _ => Vec::new(),
    }
}

/// The values of `unknown` at which left = right, without a factor.
pub(super) fn solutions(left: &Expr, right: &Expr, unknown: &Expr) -> Vec<Expr> {
    match (occurrences(left, unknown), occurrences(right, unknown)) {
        (1, 0) => isolate(left, unknown, right.clone()),
        (0, 1) => isolate(right, unknown, left.clone()),
        _ => Vec::new(),
    }
}

/// How often a quantity occurs; inside the argument of an unknown function counts as well.
pub(super) fn occurrences(expr: &Expr, unknown: &Expr) -> usize {
    let mut count = 0;
    expr.visit(&mut |part| count += usize::from(part == unknown));
    count
}

fn isolate(expr: &Expr, unknown: &Expr, target: Expr) -> Vec<Expr> {
    if expr == unknown {
        return vec![target];
    }
    let inside = |part: &Expr| occurrences(part, unknown) > 0;
    match expr.node() {
        Node::Add(items) => {
            let Some(position) = items.iter().position(inside) else {
                return Vec::new();
            };
            let others = without(items, position);
            let target = target.minus(&Expr::sum_of(others));
            isolate(&items[position], unknown, target)
        }
        Node::Mul(items) => {
            let Some(position) = items.iter().position(inside) else {
                return Vec::new();
            };
            let others = without(items, position);
            let target = target.over(&Expr::product_of(others));
            isolate(&items[position], unknown, target)
        }
        Node::Neg(inner) => isolate(inner, unknown, target.negative()),
        Node::Div(over, under) if inside(over) => isolate(over, unknown, target.times(under)),
        Node::Div(over, under) => isolate(under, unknown, over.over(&target)),
        Node::Pow(base, exponent) if inside(base) => {
            isolate_power(base, exponent, unknown, &target)
        }
        Node::Pow(base, exponent) => {
            let target = target.call(Function::Log).over(&base.call(Function::Log));
            isolate(exponent, unknown, target)
        }
        Node::Root(degree, radicand) => {
            let target = target.power(&Expr::integer(i64::from(*degree)));
            isolate(radicand, unknown, target)
        }
        Node::Call(function, argument) => isolate_call(*function, argument, unknown, &target),
        Node::Min(items) | Node::Max(items) => match items.iter().find(|item| inside(item)) {
            Some(item) => isolate(item, unknown, target),
            None => Vec::new(),
        },
        _ => Vec::new(),
    }
}

fn without(items: &[Expr], position: usize) -> Vec<Expr> {
    items
        .iter()
        .enumerate()
        .filter(|(other, _)| *other != position)
        .map(|(_, item)| item.clone())
        .collect()
}

fn isolate_power(base: &Expr, exponent: &Expr, unknown: &Expr, target: &Expr) -> Vec<Expr> {
    let degree = exponent
        .as_number()
        .filter(dashu::rational::RBig::is_int)
        .and_then(|value| u32::try_from(value.numerator().clone()).ok());
    let root = match degree {
        Some(0) => return Vec::new(),
        Some(1) => target.clone(),
        Some(k) => Node::Root(k, target.clone()).into(),
        None => target.power(&Expr::integer(1).over(exponent)),
    };
    let mut found = isolate(base, unknown, root.clone());
    if degree.is_none_or(|k| k.is_multiple_of(2)) && found.len() < BRANCHES {
        found.extend(isolate(base, unknown, root.negative()));
    }
    found
}

fn isolate_call(function: Function, argument: &Expr, unknown: &Expr, target: &Expr) -> Vec<Expr> {
    let inverse = match function {
        Function::Exp => Function::Log,
        Function::Log => Function::Exp,
        Function::Sin => Function::Asin,
        Function::Cos => Function::Acos,
        Function::Tan => Function::Atan,
        Function::Atan => Function::Tan,
        Function::Asin => Function::Sin,
        Function::Acos => Function::Cos,
        Function::Floor | Function::Ceil => return isolate(argument, unknown, target.clone()),
        Function::Abs => {
            let mut found = isolate(argument, unknown, target.clone());
            if found.len() < BRANCHES {
                found.extend(isolate(argument, unknown, target.negative()));
            }
            return found;
        }
        _ => return Vec::new(),
    };
    isolate(argument, unknown, target.call(inverse))
}
