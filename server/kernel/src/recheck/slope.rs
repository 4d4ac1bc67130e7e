//! The checker's own differentiation, with the conditions under which the rule applies.

use super::proof::Sign;
use crate::expr::{Expr, Function, Node, Symbol};

/// Conditions: values with the signs that they must have.
pub(crate) type Conditions = Vec<(Expr, Sign)>;

/// The derivative by `variable`, and open conditions under which the expression is
/// differentiable at a point with that derivative.
pub(crate) fn differentiate(expr: &Expr, variable: &Symbol) -> Option<(Expr, Conditions)> {
    let mut conditions = Vec::new();
    let slope = slope(expr, variable, &mut conditions)?;
    Some((slope, conditions))
}

fn slope(expr: &Expr, by: &Symbol, needs: &mut Conditions) -> Option<Expr> {
    if !expr.mentions(by) {
        return Some(Expr::integer(0));
    }
    match expr.node() {
        Node::Variable(_) => Some(Expr::integer(1)),
        Node::Add(items) => {
            let parts: Option<Vec<_>> = items.iter().map(|item| slope(item, by, needs)).collect();
            Some(Expr::sum_of(parts?))
        }
        Node::Mul(items) => {
            let mut sum = Vec::new();
            for (place, item) in items.iter().enumerate() {
                if !item.mentions(by) {
                    continue;
                }
                let mut factors = items.clone();
                factors[place] = slope(item, by, needs)?;
                sum.push(Expr::product_of(factors));
            }
            Some(Expr::sum_of(sum))
        }
        Node::Neg(inner) => Some(slope(inner, by, needs)?.negative()),
        Node::Div(u, v) => {
            needs.push((v.clone(), Sign::NonZero));
            let du = slope(u, by, needs)?;
            if !v.mentions(by) {
                return Some(du.over(v));
            }
            let dv = slope(v, by, needs)?;
            let square = v.power(&Expr::integer(2));
            Some(du.times(v).minus(&u.times(&dv)).over(&square))
        }
        Node::Pow(base, exponent) => power(expr, base, exponent, by, needs),
        Node::Root(degree, inner) => {
            let sign = if degree % 2 == 0 {
                Sign::Positive
            } else {
                Sign::NonZero
            };
            needs.push((inner.clone(), sign));
            let k = i64::from(*degree);
            let lower = expr.power(&Expr::integer(k - 1));
            Some(slope(inner, by, needs)?.over(&Expr::integer(k).times(&lower)))
        }
        Node::Call(function, inner) => {
            let inner_slope = slope(inner, by, needs)?;
            Some(call(*function, expr, inner, needs)?.times(&inner_slope))
        }
        Node::Derivative { variable, body } => {
            let first = slope(body, variable, needs)?;
            slope(&first, by, needs)
        }
        _ => None,
    }
}

/// (b^x)' = x b^(x−1) b' for an exponent without the variable, else b^x (x' log b + x b'/b).
/// Both for b > 0; for a literal integer x > 0 any b, for x < 0 any b ≠ 0.
fn power(
    expr: &Expr,
    base: &Expr,
    exponent: &Expr,
    by: &Symbol,
    needs: &mut Conditions,
) -> Option<Expr> {
    let one = Expr::integer(1);
    let base_slope = slope(base, by, needs)?;
    if !exponent.mentions(by) {
        let literal = exponent.as_number().filter(dashu::rational::RBig::is_int);
        return match literal {
            Some(value) => {
                if value < dashu::rational::RBig::ZERO {
                    needs.push((base.clone(), Sign::NonZero));
                }
                let lower = Expr::number(&value - dashu::rational::RBig::ONE);
                Some(Expr::product_of(vec![
                    Expr::number(value),
                    base.power(&lower),
                    base_slope,
                ]))
            }
            None => {
                needs.push((base.clone(), Sign::Positive));
                Some(Expr::product_of(vec![
                    exponent.clone(),
                    base.power(&exponent.minus(&one)),
                    base_slope,
                ]))
            }
        };
    }
    needs.push((base.clone(), Sign::Positive));
    let exponent_slope = slope(exponent, by, needs)?;
    let first = exponent_slope.times(&base.call(Function::Log));
    let second = exponent.times(&base_slope).over(base);
    Some(expr.times(&first.plus(&second)))
}

fn call(function: Function, expr: &Expr, u: &Expr, needs: &mut Conditions) -> Option<Expr> {
    let one = Expr::integer(1);
    let square = u.power(&Expr::integer(2));
    Some(match function {
        Function::Exp => expr.clone(),
        Function::Log => {
            needs.push((u.clone(), Sign::Positive));
            one.over(u)
        }
        Function::Sin => u.call(Function::Cos),
        Function::Cos => u.call(Function::Sin).negative(),
        Function::Tan => {
            let cosine = u.call(Function::Cos);
            needs.push((cosine.clone(), Sign::NonZero));
            one.over(&cosine.power(&Expr::integer(2)))
        }
        Function::Atan => one.over(&one.plus(&square)),
        Function::Asin | Function::Acos => {
            let inner = one.minus(&square);
            needs.push((inner.clone(), Sign::Positive));
            let slope = one.over(&inner.sqrt());
            if function == Function::Asin {
                slope
            } else {
                slope.negative()
            }
        }
        Function::Sinh => u.call(Function::Cosh),
        Function::Cosh => u.call(Function::Sinh),
        Function::Tanh => one.minus(&expr.power(&Expr::integer(2))),
        Function::Abs => {
            needs.push((u.clone(), Sign::NonZero));
            u.call(Function::Sign)
        }
        Function::Floor | Function::Ceil | Function::Sign | Function::Factorial => return None,
    })
}

/// Whether the expression is continuous in `variable` on every interval on which it is defined.
pub(super) fn is_continuous(expr: &Expr, variable: &Symbol) -> bool {
    if !expr.mentions(variable) {
        return true;
    }
    let own = match expr.node() {
        Node::Sum { .. }
        | Node::Product { .. }
        | Node::Derivative { .. }
        | Node::Apply(..)
        | Node::Piecewise(_)
        | Node::Call(Function::Floor | Function::Ceil | Function::Sign | Function::Factorial, _) => {
            false
        }
        // A power whose exponent varies: continuous where the base is positive; a base that is a
        // positive number is.
        Node::Pow(base, exponent) if exponent.mentions(variable) => match base.node() {
            Node::Constant(_) => true,
            _ => base
                .as_number()
                .is_some_and(|value| value > dashu::rational::RBig::ZERO),
        },
        _ => true,
    };
    own && expr
        .children()
        .iter()
        .all(|child| is_continuous(child, variable))
}
