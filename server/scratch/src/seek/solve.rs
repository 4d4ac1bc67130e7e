//! Zeros of a derivative, solved by hand's means: factors apart, linear, quadratic and pure
//! equations, and powers, roots, exponentials and logarithms undone. Candidates only.

use super::simplify;
use dashu::base::Signed;
use dashu::rational::RBig;
use kernel::algebra::Poly;
use kernel::recheck::Context;
use kernel::{Constant, Expr, Function, Node, Symbol};

/// Values of the variable at which the expression may vanish.
pub(crate) fn zeros(context: &Context, expr: &Expr, variable: &Symbol) -> Vec<Expr> {
    let Some(form) = context.normal(expr) else {
        return Vec::new();
    };
    let (_, monomial, rest) = form.numerator().split();
    let mut found = Vec::new();
    for (atom, _) in monomial.factors() {
        if atom.mentions(variable) {
            invert(context, atom, &Expr::integer(0), variable, &mut found);
        }
    }
    solve_poly(context, &rest, variable, &mut found);
    found
        .iter()
        .map(|own| simplify::short(context, own))
        .collect()
}

fn solve_poly(context: &Context, poly: &Poly, variable: &Symbol, found: &mut Vec<Expr>) {
    let atoms: Vec<Expr> = poly
        .atoms()
        .into_iter()
        .filter(|atom| atom.mentions(variable))
        .collect();
    let [atom] = atoms.as_slice() else {
        return;
    };
    for value in roots(&poly.coefficients_in(atom)) {
        invert(context, atom, &value, variable, found);
    }
}

/// Roots of Σ c_k t^k for the shapes that have a formula worth writing.
fn roots(coefficients: &[Poly]) -> Vec<Expr> {
    let at = |k: usize| coefficients[k].to_expr();
    let degree = coefficients.len() - 1;
    let between =
        |range: std::ops::Range<usize>| range.into_iter().all(|k| coefficients[k].is_zero());
    match degree {
        0 => Vec::new(),
        1 => vec![at(0).negative().over(&at(1))],
        _ if between(1..degree) => {
            let ratio = at(0).negative().over(&at(degree));
            let degree = u32::try_from(degree).unwrap_or(u32::MAX);
            let root: Expr = Node::Root(degree, ratio).into();
            vec![root.clone(), root.negative()]
        }
        2 => {
            let four = Expr::integer(4);
            let square = at(1).power(&Expr::integer(2));
            let discriminant = square.minus(&four.times(&at(2)).times(&at(0)));
            let below = Expr::integer(2).times(&at(2));
            [discriminant.sqrt(), discriminant.sqrt().negative()]
                .iter()
                .map(|root| at(1).negative().plus(root).over(&below))
                .collect()
        }
        _ => Vec::new(),
    }
}

/// Solves atom = value.
fn invert(context: &Context, atom: &Expr, value: &Expr, variable: &Symbol, found: &mut Vec<Expr>) {
    if found.len() > 12 {
        return;
    }
    match atom.node() {
        Node::Variable(_) => found.push(value.clone()),
        Node::Pow(base, exponent) if !exponent.mentions(variable) => {
            let inverse = Expr::integer(1).over(exponent);
            continue_with(context, base, &value.power(&inverse), variable, found);
        }
        Node::Pow(base, exponent) if matches!(base.node(), Node::Constant(Constant::E)) => {
            continue_with(
                context,
                exponent,
                &value.call(Function::Log),
                variable,
                found,
            );
        }
        Node::Root(degree, inner) => {
            let power = Expr::integer(i64::from(*degree));
            continue_with(context, inner, &value.power(&power), variable, found);
        }
        Node::Call(Function::Log, inner) => {
            let base: Expr = Node::Constant(Constant::E).into();
            continue_with(context, inner, &base.power(value), variable, found);
        }
        Node::Call(Function::Cos, inner) if *value == Expr::integer(0) => {
            let quarter: Expr = Node::Constant(Constant::Pi).into();
            let quarter = quarter.over(&Expr::integer(2));
            continue_with(context, inner, &quarter, variable, found);
        }
        Node::Call(Function::Sin, inner) if *value == Expr::integer(0) => {
            let half: Expr = Node::Constant(Constant::Pi).into();
            continue_with(context, inner, &half, variable, found);
        }
        Node::Call(Function::Atan | Function::Sinh | Function::Asin, inner)
            if *value == Expr::integer(0) =>
        {
            continue_with(context, inner, value, variable, found);
        }
        _ => {}
    }
}

/// Solves inner = value for expressions that are linear in one atom.
fn continue_with(
    context: &Context,
    inner: &Expr,
    value: &Expr,
    variable: &Symbol,
    found: &mut Vec<Expr>,
) {
    let gap = inner.minus(value);
    let Some(form) = context.normal(&gap) else {
        return;
    };
    let (_, monomial, rest) = form.numerator().split();
    if monomial
        .factors()
        .iter()
        .any(|(atom, _)| atom.mentions(variable))
    {
        found.push(Expr::integer(0));
    }
    solve_poly(context, &rest, variable, found);
}

/// Whether a number is a nonnegative integer that fits.
pub(crate) fn small_integer(value: &RBig) -> Option<i64> {
    if !value.is_int() || value.is_negative() {
        return None;
    }
    i64::try_from(value.numerator().clone()).ok()
}
