//! Expressions made short for the eye: normal forms where they are shorter, and bars resolved.

use dashu::base::Signed;
use dashu::rational::RBig;
use kernel::algebra::Poly;
use kernel::recheck::{Context, Fraction};
use kernel::{Constant, Expr, Function, Node, Relation};

/// How long an expression looks: its nodes, fractions inside fractions counted twice.
#[must_use]
pub fn length(expr: &Expr) -> usize {
    let own = match expr.node() {
        Node::Neg(_) => 0,
        Node::Number(value) if value.is_int() => 1,
        Node::Number(_) => 5,
        Node::Call(..) | Node::Root(..) => 2,
        _ => 1,
    };
    own + expr.children().into_iter().map(length).sum::<usize>()
}

/// The shorter of an expression and its normal form.
#[must_use]
pub fn short(context: &Context, expr: &Expr) -> Expr {
    let expr = &polished(expr);
    match context.normal(expr).map(|form| spelled(&form)) {
        Some(form) if length(&form) <= length(expr) => form,
        _ => expr.clone(),
    }
}

/// A fraction without fractions in its numerator.
fn spelled(form: &Fraction) -> Expr {
    let (content, _) = form.numerator().primitive();
    let divisor = RBig::from(content.denominator().clone());
    let plain = polished(&form.to_expr());
    if divisor.is_one() || form.numerator().count() < 2 {
        return plain;
    }
    let above = form.numerator().scaled(&divisor).to_expr();
    let below = match form.to_expr().node() {
        Node::Div(_, below) => below.clone(),
        _ => Expr::integer(1),
    };
    polished(&above.over(&product(&[Expr::number(divisor), below])))
}

/// Leaves out zeros, ones, and signs that cancel; turns u⁻¹ into fractions.
#[must_use]
pub fn polished(expr: &Expr) -> Expr {
    let expr = expr.map_children(&mut polished);
    let is = |own: &Expr, value: i64| own.as_number() == Some(RBig::from(value));
    match expr.node() {
        Node::Add(items) => {
            let mut terms = Vec::new();
            for item in items {
                match item.node() {
                    Node::Add(inner) => terms.extend(inner.iter().cloned()),
                    _ => terms.push(item.clone()),
                }
            }
            terms.retain(|item| !is(item, 0));
            // No sum begins with a minus if it need not.
            if terms.first().is_some_and(is_negative) {
                let (rising, falling): (Vec<Expr>, Vec<Expr>) =
                    terms.into_iter().partition(|item| !is_negative(item));
                terms = rising.into_iter().chain(falling).collect();
            }
            Expr::sum_of(terms)
        }
        Node::Mul(items) => {
            let whole = product(items);
            without_fraction(&whole).unwrap_or(whole)
        }
        Node::Neg(inner) => match inner.node() {
            Node::Neg(own) => own.clone(),
            Node::Number(value) => Expr::number(-value.clone()),
            // −(a − b) is b − a.
            Node::Add(items) => {
                let turned: Vec<Expr> = items
                    .iter()
                    .map(|item| polished(&item.negative()))
                    .collect();
                let (rising, falling): (Vec<Expr>, Vec<Expr>) = turned
                    .into_iter()
                    .partition(|item| !matches!(item.node(), Node::Neg(_)));
                Expr::sum_of(rising.into_iter().chain(falling).collect())
            }
            _ => expr,
        },
        Node::Div(above, below) => quotient(&expr, above, below),
        Node::Pow(base, exponent) => {
            if is(exponent, 1) {
                return base.clone();
            }
            match exponent.as_number() {
                Some(power) if power == RBig::from(-1) => Expr::integer(1).over(base),
                Some(power) if power.is_negative() && !matches!(base.node(), Node::Constant(_)) => {
                    Expr::integer(1).over(&polished(&base.power(&Expr::number(-power))))
                }
                Some(power) if power == RBig::from(1) / RBig::from(2) => base.sqrt(),
                _ => expr,
            }
        }
        Node::Root(_, inner) if is(inner, 1) || is(inner, 0) => inner.clone(),
        Node::Call(Function::Abs, inner) => match inner.node() {
            Node::Number(value) => Expr::number(if value.is_negative() {
                -value.clone()
            } else {
                value.clone()
            }),
            Node::Neg(own) => own.abs(),
            _ => expr,
        },
        _ => expr,
    }
}

/// A quotient made short.
fn quotient(expr: &Expr, above: &Expr, below: &Expr) -> Expr {
    let is = |own: &Expr, value: i64| own.as_number() == Some(RBig::from(value));
    if is(below, 1) || is(above, 0) {
        return above.clone();
    }
    if let Some(shorter) = without_root(above, below) {
        return polished(&shorter);
    }
    match (above.node(), below.node()) {
        (Node::Neg(own), _) => polished(&own.over(below)).negative(),
        (Node::Div(own, inner), _) => {
            polished(&own.over(&product(&[inner.clone(), below.clone()])))
        }
        (_, Node::Div(own, inner)) => polished(&product(&[above.clone(), inner.clone()]).over(own)),
        (Node::Number(value), _) if !value.is_int() && RBig::ZERO < *value => {
            let (own, inner) = value.clone().into_parts();
            let inner = Expr::number(RBig::from(inner));
            let own = Expr::number(RBig::from(own));
            match below.node() {
                Node::Number(value) => Expr::number(
                    own.as_number().unwrap_or(RBig::ONE)
                        / (inner.as_number().unwrap_or(RBig::ONE) * value),
                ),
                _ => own.over(&product(&[inner, below.clone()])),
            }
        }
        (Node::Number(first), Node::Number(second)) if !second.is_zero() => {
            Expr::number(first / second)
        }
        (Node::Number(value), _) if value.is_negative() => {
            Expr::number(-value.clone()).over(below).negative()
        }
        // u/e^v is u e^(−v).
        _ => match exponential(below) {
            Some((rest, exponent)) => {
                let base: Expr = Node::Constant(Constant::E).into();
                let power = base.power(&polished(&exponent.negative()));
                let rest = polished(&above.over(&rest));
                match rest.node() {
                    Node::Div(above, below) => product(&[above.clone(), power]).over(below),
                    _ => product(&[rest, power]),
                }
            }
            None => expr.clone(),
        },
    }
}

fn factors(expr: &Expr) -> Vec<Expr> {
    match expr.node() {
        Node::Mul(items) => items.clone(),
        _ => vec![expr.clone()],
    }
}

/// (p/q)·u as pu/q.
fn without_fraction(expr: &Expr) -> Option<Expr> {
    let mut all = factors(expr);
    let fraction = |own: &Expr| matches!(own.node(), Node::Number(value) if !value.is_int());
    let place = all.iter().position(fraction).filter(|_| 1 < all.len())?;
    let (above, below) = all.remove(place).as_number()?.into_parts();
    all.insert(0, Expr::number(RBig::from(above)));
    let (above, below) = (product(&all), Expr::number(RBig::from(below)));
    Some(match above.node() {
        Node::Neg(inner) => inner.over(&below).negative(),
        _ => polished(&above.over(&below)),
    })
}

/// u√v/v as u/√v.
fn without_root(above: &Expr, below: &Expr) -> Option<Expr> {
    let (mut above, mut below) = (factors(above), factors(below));
    let (place, inner) = above.iter().enumerate().find_map(|(place, own)| {
        let Node::Root(2, inner) = own.node() else {
            return None;
        };
        Some((place, below.iter().position(|own| own == inner)?))
    })?;
    below[inner] = above.remove(place);
    Some(Expr::product_of(above).over(&Expr::product_of(below)))
}

fn is_negative(expr: &Expr) -> bool {
    match expr.node() {
        Node::Neg(_) => true,
        Node::Number(value) => value.is_negative(),
        _ => false,
    }
}

/// A divisor as rest · e^v with a v that is no number.
fn exponential(below: &Expr) -> Option<(Expr, Expr)> {
    let exponent = |own: &Expr| match own.node() {
        Node::Pow(base, exponent)
            if matches!(base.node(), Node::Constant(Constant::E))
                && !exponent.variables().is_empty() =>
        {
            Some(exponent.clone())
        }
        Node::Call(Function::Exp, inner) if !inner.variables().is_empty() => Some(inner.clone()),
        _ => None,
    };
    match below.node() {
        Node::Mul(items) => {
            let place = items.iter().position(|own| exponent(own).is_some())?;
            let mut rest = items.clone();
            let own = rest.remove(place);
            Some((Expr::product_of(rest), exponent(&own)?))
        }
        _ => Some((Expr::integer(1), exponent(below)?)),
    }
}

fn product(items: &[Expr]) -> Expr {
    let mut negative = false;
    let mut factors: Vec<Expr> = Vec::new();
    for item in items {
        let mut item = item.clone();
        if let Node::Neg(inner) = item.node() {
            negative = !negative;
            item = inner.clone();
        }
        match item.node() {
            Node::Mul(inner) => factors.extend(inner.iter().cloned()),
            Node::Number(value) if value.is_zero() => return Expr::integer(0),
            Node::Number(value) if value.is_one() => {}
            Node::Number(value) if value.is_negative() => {
                negative = !negative;
                let size = Expr::number(-value.clone());
                if size != Expr::integer(1) {
                    factors.insert(0, size);
                }
            }
            _ => factors.push(item),
        }
    }
    let mut merged: Vec<(Expr, i64)> = Vec::new();
    for factor in factors {
        match merged.iter_mut().find(|(own, _)| *own == factor) {
            Some((_, count)) if factor.as_number().is_none() => *count += 1,
            _ => merged.push((factor, 1)),
        }
    }
    let factors = merged.into_iter().map(|(factor, count)| match count {
        1 => factor,
        _ => factor.power(&Expr::integer(count)),
    });
    let whole = Expr::product_of(factors.collect());
    if negative { whole.negative() } else { whole }
}

/// Values of functions at special numbers (cos 0, log 1, e⁰, arctan 0).
#[must_use]
pub fn at_numbers(context: &Context, expr: &Expr) -> Expr {
    let changed = expr.map_children(&mut |child| at_numbers(context, child));
    let zero_inside = |inner: &Expr| context.sign_of_expr(inner).stands(Relation::Equal);
    match changed.node() {
        Node::Call(function, inner) if zero_inside(inner) => match function {
            Function::Exp | Function::Cos | Function::Cosh => Expr::integer(1),
            Function::Log | Function::Acos => changed,
            _ => Expr::integer(0),
        },
        Node::Call(Function::Log, inner) if *inner == Expr::integer(1) => Expr::integer(0),
        Node::Call(Function::Exp, inner) => {
            let base: Expr = Node::Constant(Constant::E).into();
            base.power(inner)
        }
        _ => changed,
    }
}

/// |u| with its bars resolved as far as signs are known: each factor of the normal form apart.
#[must_use]
pub fn size(context: &Context, expr: &Expr) -> Expr {
    let Some(form) = context.normal(expr) else {
        return polished(&expr.abs());
    };
    let known = context.sign_of_fraction(&form);
    if known.stands(Relation::Equal) {
        return Expr::integer(0);
    }
    let plain = polished(&expr.clone());
    if known.stands(Relation::GreaterEqual) {
        return better(context, &plain, &form);
    }
    if known.stands(Relation::LessEqual) {
        let turned = polished(&plain.negative());
        let flipped = context.normal(&turned).unwrap_or(form);
        return better(context, &turned, &flipped);
    }
    let (content, monomial, rest) = form.numerator().split();
    let content = if content.is_negative() {
        -content
    } else {
        content
    };
    let mut factors = vec![Expr::number(content)];
    for (atom, power) in monomial.factors() {
        factors.push(powered(&bars(context, atom), *power));
    }
    if rest.as_constant().is_none() {
        factors.push(bars_of(context, &rest));
    }
    let below = form
        .denominator()
        .iter()
        .map(|(factor, power)| powered(&bars_of(context, factor), *power));
    let below = Expr::product_of(below.collect());
    polished(&polished(&Expr::product_of(factors)).over(&below))
}

fn powered(base: &Expr, power: u32) -> Expr {
    if power == 1 {
        return base.clone();
    }
    // |x|² is x².
    let base = match base.node() {
        Node::Call(Function::Abs, inner) if power.is_multiple_of(2) => inner.clone(),
        _ => base.clone(),
    };
    base.power(&Expr::integer(i64::from(power)))
}

fn bars_of(context: &Context, poly: &Poly) -> Expr {
    let known = context.sign_of(poly);
    if known.stands(Relation::GreaterEqual) {
        poly.to_expr()
    } else if known.stands(Relation::LessEqual) {
        poly.negative().to_expr()
    } else {
        bars(context, &poly.to_expr())
    }
}

fn bars(context: &Context, expr: &Expr) -> Expr {
    let known = context.sign_of_expr(expr);
    if known.stands(Relation::GreaterEqual) {
        expr.clone()
    } else {
        expr.abs()
    }
}

/// The spelling of the two that is shorter.
fn better(context: &Context, plain: &Expr, form: &Fraction) -> Expr {
    let form = spelled(form);
    let plain = short(context, plain);
    if length(&form) <= length(&plain) {
        form
    } else {
        plain
    }
}

/// (b^e)^k for a positive numeral k as b^(k e), wherever it stands.
pub fn one_exponent(expr: &Expr) -> Expr {
    let expr = expr.map_children(&mut |child| one_exponent(child));
    if let Node::Pow(inner, outer) = expr.node()
        && let Node::Pow(base, exponent) = inner.node()
        && let Some(times) = outer.as_number()
        && times.is_int()
        && !times.is_negative()
        && !times.is_zero()
    {
        return base.power(&outer.times(exponent));
    }
    expr
}
