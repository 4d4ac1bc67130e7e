//! Differentiation of expressions, as a formula that holds wherever it is defined.
//!
//! The formula may be undefined at a point where the derivative exists (`√(x⁴)` at 0); it is
//! never defined with another value, which is what evaluators and the prover rely on.

use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};

/// The derivative of `expr` by `variable`, or `None` where no formula of our operations is known
/// (unknown functions, series, floor, factorials of the variable …).
///
/// Wherever the body and the returned formula are both defined, the body is differentiable (at
/// an end point of its domain: from inside) and the formula is the derivative.
#[must_use]
pub fn differentiate(expr: &Expr, variable: &Symbol) -> Option<Expr> {
    if !expr.mentions(variable) {
        return Some(Expr::integer(0));
    }
    match expr.node() {
        Node::Number(_) | Node::Constant(_) => Some(Expr::integer(0)),
        Node::Variable(_) => Some(Expr::integer(1)),
        Node::Add(terms) => terms
            .iter()
            .map(|term| differentiate(term, variable))
            .collect::<Option<Vec<_>>>()
            .map(sum),
        Node::Mul(factors) => differentiate_product(factors, variable),
        Node::Neg(inner) => differentiate(inner, variable).map(|d| negative(&d)),
        Node::Div(numerator, denominator) => {
            differentiate_quotient(numerator, denominator, variable)
        }
        Node::Pow(base, exponent) => differentiate_power(expr, base, exponent, variable),
        Node::Root(degree, radicand) => {
            let inner = differentiate(radicand, variable)?;
            let k = i64::from(*degree);
            let lowered = if *degree == 2 {
                expr.clone()
            } else {
                expr.power(&Expr::integer(k - 1))
            };
            Some(quotient(&inner, &product(vec![Expr::integer(k), lowered])))
        }
        Node::Call(function, argument) => {
            let inner = differentiate(argument, variable)?;
            let outer = differentiate_function(*function, argument, expr)?;
            Some(product(vec![inner, outer]))
        }
        Node::Min(items) => differentiate_extreme(items, Relation::Less, variable),
        Node::Max(items) => differentiate_extreme(items, Relation::Greater, variable),
        Node::Sum {
            index,
            from,
            to: Some(to),
            body,
        } => {
            if from.mentions(variable) || to.mentions(variable) || index == variable {
                return None;
            }
            Some(
                Node::Sum {
                    index: index.clone(),
                    from: from.clone(),
                    to: Some(to.clone()),
                    body: differentiate(body, variable)?,
                }
                .into(),
            )
        }
        Node::Derivative {
            variable: inner_variable,
            body,
        } => differentiate(&differentiate(body, inner_variable)?, variable),
        Node::Piecewise(branches) => differentiate_pieces(branches, variable),
        Node::Sum { .. } | Node::Product { .. } | Node::Apply(..) => None,
    }
}

fn differentiate_product(factors: &[Expr], variable: &Symbol) -> Option<Expr> {
    let mut terms = Vec::new();
    for (position, factor) in factors.iter().enumerate() {
        if !factor.mentions(variable) {
            continue;
        }
        let mut changed = factors.to_vec();
        changed[position] = differentiate(factor, variable)?;
        terms.push(product(changed));
    }
    Some(sum(terms))
}

fn differentiate_quotient(numerator: &Expr, denominator: &Expr, variable: &Symbol) -> Option<Expr> {
    let upper = differentiate(numerator, variable)?;
    if !denominator.mentions(variable) {
        return Some(quotient(&upper, denominator));
    }
    let lower = differentiate(denominator, variable)?;
    let difference = sum(vec![
        product(vec![upper, denominator.clone()]),
        negative(&product(vec![numerator.clone(), lower])),
    ]);
    Some(quotient(&difference, &denominator.power(&Expr::integer(2))))
}

fn differentiate_power(
    whole: &Expr,
    base: &Expr,
    exponent: &Expr,
    variable: &Symbol,
) -> Option<Expr> {
    if !exponent.mentions(variable) {
        let inner = differentiate(base, variable)?;
        let lowered = match exponent.as_number() {
            Some(k) if k.is_one() => return Some(inner),
            Some(k) => power(base, &Expr::number(k - dashu::rational::RBig::ONE)),
            None => power(base, &sum(vec![exponent.clone(), Expr::integer(-1)])),
        };
        return Some(product(vec![exponent.clone(), lowered, inner]));
    }
    let rise = differentiate(exponent, variable)?;
    if matches!(base.node(), Node::Constant(Constant::E)) {
        return Some(product(vec![rise, whole.clone()]));
    }
    let logarithm = base.call(Function::Log);
    if !base.mentions(variable) {
        return Some(product(vec![rise, logarithm, whole.clone()]));
    }
    let inner = differentiate(base, variable)?;
    let rate = sum(vec![
        product(vec![rise, logarithm]),
        quotient(&product(vec![exponent.clone(), inner]), base),
    ]);
    Some(product(vec![whole.clone(), rate]))
}

/// The derivative of a named function at its argument.
fn differentiate_function(function: Function, argument: &Expr, whole: &Expr) -> Option<Expr> {
    let one = Expr::integer(1);
    let square = |u: &Expr| u.power(&Expr::integer(2));
    Some(match function {
        Function::Exp => whole.clone(),
        Function::Log => quotient(&one, argument),
        Function::Sin => argument.call(Function::Cos),
        Function::Cos => negative(&argument.call(Function::Sin)),
        Function::Tan => one.plus(&square(whole)),
        Function::Atan => quotient(&one, &one.plus(&square(argument))),
        Function::Asin => quotient(&one, &one.minus(&square(argument)).sqrt()),
        Function::Acos => negative(&quotient(&one, &one.minus(&square(argument)).sqrt())),
        Function::Sinh => argument.call(Function::Cosh),
        Function::Cosh => argument.call(Function::Sinh),
        Function::Tanh => one.minus(&square(whole)),
        // Undefined at 0, where |u| has a corner (a `Sign` would be 0 there).
        Function::Abs => quotient(argument, whole),
        Function::Floor | Function::Ceil | Function::Sign | Function::Factorial => return None,
    })
}

/// Min or max: the derivative of the strictly extreme item, undefined at ties.
fn differentiate_extreme(items: &[Expr], relation: Relation, variable: &Symbol) -> Option<Expr> {
    if !items.iter().all(is_continuous) {
        return None;
    }
    let mut branches = Vec::new();
    for (position, item) in items.iter().enumerate() {
        let others = items
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != position)
            .map(|(_, other)| Condition::Holds(item.clone(), relation, other.clone()))
            .collect();
        branches.push((Condition::And(others), differentiate(item, variable)?));
    }
    Some(Node::Piecewise(branches).into())
}

/// Pieces: the derivative of a piece in the interior of the set where that piece applies.
fn differentiate_pieces(branches: &[(Condition, Expr)], variable: &Symbol) -> Option<Expr> {
    let mut changed = Vec::new();
    for (position, (condition, value)) in branches.iter().enumerate() {
        let mut inside = vec![interior(condition, true, variable)?];
        for (earlier, _) in &branches[..position] {
            inside.push(interior(earlier, false, variable)?);
        }
        changed.push((Condition::And(inside), differentiate(value, variable)?));
    }
    Some(Node::Piecewise(changed).into())
}

/// A condition that describes inner points, in `variable`, of the set where `condition` has the
/// truth value `holds`.
fn interior(condition: &Condition, holds: bool, variable: &Symbol) -> Option<Condition> {
    match condition {
        Condition::Holds(left, relation, right) => {
            let relation = if holds { *relation } else { relation.negated() };
            if !left.mentions(variable) && !right.mentions(variable) {
                return Some(Condition::Holds(left.clone(), relation, right.clone()));
            }
            if !is_continuous(left) || !is_continuous(right) {
                return None;
            }
            let open = match relation {
                Relation::LessEqual => Relation::Less,
                Relation::GreaterEqual => Relation::Greater,
                // Single points have no interior.
                Relation::Equal => return Some(Condition::Or(Vec::new())),
                other => other,
            };
            Some(Condition::Holds(left.clone(), open, right.clone()))
        }
        Condition::And(items) | Condition::Or(items) => {
            let items = items
                .iter()
                .map(|item| interior(item, holds, variable))
                .collect::<Option<Vec<_>>>()?;
            if matches!(condition, Condition::And(_)) == holds {
                Some(Condition::And(items))
            } else {
                Some(Condition::Or(items))
            }
        }
        Condition::Not(inner) => interior(inner, !holds, variable),
        Condition::Integer(value) => {
            if value.mentions(variable) {
                None
            } else if holds {
                Some(condition.clone())
            } else {
                Some(Condition::Not(Box::new(condition.clone())))
            }
        }
    }
}

/// Whether the expression is built of operations that are continuous where defined.
fn is_continuous(expr: &Expr) -> bool {
    let mut continuous = true;
    expr.visit(&mut |part| {
        if matches!(
            part.node(),
            Node::Call(
                Function::Floor | Function::Ceil | Function::Sign | Function::Factorial,
                _
            ) | Node::Piecewise(_)
                | Node::Apply(..)
                | Node::Derivative { .. }
                | Node::Sum { .. }
                | Node::Product { .. }
        ) {
            continuous = false;
        }
    });
    continuous
}

/// Whether the expression is continuous in `variable` on every interval on which it is defined.
pub(crate) fn is_continuous_in(expr: &Expr, variable: &Symbol) -> bool {
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
        Node::Pow(base, exponent) if exponent.mentions(variable) => {
            matches!(base.node(), Node::Constant(_))
                || base
                    .as_number()
                    .is_some_and(|value| dashu::rational::RBig::ZERO < value)
        }
        _ => true,
    };
    let children = expr.children();
    own && children.iter().all(|own| is_continuous_in(own, variable))
}

/// Carries out every derivative inside; `None` if one has no formula.
///
/// The result may be defined where the differentiated body was not (`1/x` for `log x` at −1).
#[must_use]
pub fn without_derivatives(expr: &Expr) -> Option<Expr> {
    let mut complete = true;
    let changed = carry_out(expr, &mut complete);
    complete.then_some(changed)
}

fn carry_out(expr: &Expr, complete: &mut bool) -> Expr {
    if let Node::Derivative { variable, body } = expr.node() {
        let body = carry_out(body, complete);
        return differentiate(&body, variable).unwrap_or_else(|| {
            *complete = false;
            expr.clone()
        });
    }
    expr.map_children(&mut |child| carry_out(child, complete))
}

// Constructors that drop zeros and ones, so that formulas stay readable and cheap.

fn is_number(expr: &Expr, value: i64) -> bool {
    expr.as_number()
        .is_some_and(|number| number == dashu::rational::RBig::from(value))
}

fn sum(terms: Vec<Expr>) -> Expr {
    Expr::sum_of(
        terms
            .into_iter()
            .filter(|term| !is_number(term, 0))
            .collect(),
    )
}

fn product(factors: Vec<Expr>) -> Expr {
    if factors.iter().any(|factor| is_number(factor, 0)) {
        return Expr::integer(0);
    }
    let kept: Vec<Expr> = factors
        .into_iter()
        .filter(|factor| !is_number(factor, 1))
        .collect();
    Expr::product_of(kept)
}

fn negative(expr: &Expr) -> Expr {
    match expr.node() {
        Node::Number(value) => Expr::number(-value.clone()),
        Node::Neg(inner) => inner.clone(),
        _ => expr.negative(),
    }
}

fn quotient(numerator: &Expr, denominator: &Expr) -> Expr {
    if is_number(denominator, 1) || is_number(numerator, 0) && denominator.as_number().is_some() {
        numerator.clone()
    } else {
        numerator.over(denominator)
    }
}

fn power(base: &Expr, exponent: &Expr) -> Expr {
    if is_number(exponent, 1) {
        base.clone()
    } else if is_number(exponent, 0) {
        Expr::integer(1)
    } else {
        base.power(exponent)
    }
}
