//! Bounds of the error term that are free of x and can be solved for n, and their inverses.

use super::error::ErrorShape;
use super::expand;
use super::family::{Asker, Family};
use super::numeric::{self, Sampler};
use super::supremum::{Supremum, power_of};
use super::{simplify, solve};
use crate::limits;
use dashu::rational::RBig;
use kernel::recheck::Context;
use kernel::{Constant, Expr, Function, Node, Relation};

/// The shape of a bound that can be solved for n.
#[derive(Clone, PartialEq, Debug)]
pub enum Shape {
    /// c/n^(above/below) with positive `above` and `below`.
    Power {
        /// c, free of n.
        constant: Expr,
        /// Numerator of the exponent.
        above: i64,
        /// Denominator of the exponent.
        below: i64,
    },
    /// c·q^n with 0 < q < 1.
    Geometric {
        /// c, free of n.
        constant: Expr,
        /// q.
        ratio: Expr,
    },
}

/// A bound of the error term, proved for all indices from `from` on.
#[derive(Clone, PartialEq, Debug)]
pub struct Majorant {
    /// The bound as a formula in n.
    pub bound: Expr,
    /// From which index on it holds.
    pub from: i64,
    /// Its shape.
    pub shape: Shape,
    /// Whether it is the supremum itself.
    pub sharp: bool,
}

impl Shape {
    /// The bound at an index.
    #[must_use]
    pub fn at(&self, n: &Expr) -> Expr {
        match self {
            Self::Power {
                constant,
                above,
                below,
            } => {
                let power = power_of(n, *above, *below);
                simplify::polished(&constant.over(&power))
            }
            Self::Geometric { constant, ratio } => {
                let power = match ratio.node() {
                    // e^(−n), not (1/e)^n.
                    Node::Pow(base, exponent) if matches!(base.node(), Node::Constant(_)) => {
                        base.power(&simplify::polished(&exponent.times(n)))
                    }
                    _ => ratio.power(n),
                };
                simplify::polished(&constant.times(&power))
            }
        }
    }

    /// What n has to exceed for the bound to be less than the tolerance.
    #[must_use]
    pub fn threshold(&self, tolerance: &Expr) -> Expr {
        match self {
            Self::Power {
                constant,
                above,
                below,
            } => {
                let raised = |own: &Expr| {
                    if *below == 1 {
                        own.clone()
                    } else {
                        powered(own, *below)
                    }
                };
                let quotient = raised(constant).over(&raised(tolerance));
                let quotient = simplify::polished(&quotient);
                match above {
                    1 => quotient,
                    degree => Node::Root(u32::try_from(*degree).unwrap_or(2), quotient).into(),
                }
            }
            Self::Geometric { constant, ratio } => {
                let above = constant.over(tolerance).call(Function::Log);
                match ratio.node() {
                    Node::Pow(base, exponent) if matches!(base.node(), Node::Constant(_)) => {
                        simplify::polished(&above.over(&exponent.negative()))
                    }
                    _ => {
                        let below = simplify::polished(&Expr::integer(1).over(ratio));
                        let below = match ratio.as_number() {
                            Some(ratio) => Expr::number(RBig::ONE / ratio),
                            None => below,
                        };
                        simplify::polished(&above.over(&below.call(Function::Log)))
                    }
                }
            }
        }
    }
}

/// (√c)^k and the like without nested roots.
fn powered(base: &Expr, power: i64) -> Expr {
    let exponent = Expr::integer(power);
    match base.node() {
        Node::Number(value) => Expr::number(value.pow(isize::try_from(power).unwrap_or(1))),
        Node::Root(degree, inner) if i64::from(*degree) == power => inner.clone(),
        _ => base.power(&exponent),
    }
}

/// Finds and proves a bound that tends to 0 and can be solved for n.
#[must_use]
pub fn majorant(
    family: &Family,
    shape: &ErrorShape,
    supremum: Option<&Supremum>,
    asker: Asker<'_>,
) -> Option<Majorant> {
    if family.point.is_some() && supremum.is_none() {
        return direct(family, shape, asker);
    }
    let plain = Family {
        point: None,
        ..family.clone()
    };
    let (base, from) = match supremum {
        Some(supremum) => (supremum.value.clone(), supremum.from),
        None => (shape.shown.clone(), family.first),
    };
    if base == Expr::integer(0) {
        return None;
    }
    let context = plain.context(from);
    if let Some(own) = exact(&plain, &context, &base, asker) {
        return Some(Majorant {
            bound: base,
            from,
            shape: own,
            sharp: supremum.is_some(),
        });
    }
    for own in candidates(&plain, &base, asker) {
        let bound = own.at(&plain.n());
        for start in limits::STARTS {
            if from <= start && asker.holds(&plain, start, &base, Relation::LessEqual, &bound) {
                return Some(Majorant {
                    bound,
                    from: start,
                    shape: own,
                    sharp: false,
                });
            }
        }
    }
    if supremum.is_some() {
        return direct(family, shape, asker);
    }
    None
}

/// The shape of a formula that has one.
fn exact(plain: &Family, context: &Context, base: &Expr, asker: Asker<'_>) -> Option<Shape> {
    let n = plain.n();
    for (above, below) in [(1, 1), (1, 2), (2, 1), (3, 1), (3, 2), (1, 3), (2, 3)] {
        let scaled = base.times(&power_of(&n, above, below));
        let constant = simplify::short(context, &scaled);
        if !constant.mentions(&plain.index) {
            return Some(Shape::Power {
                constant,
                above,
                below,
            });
        }
    }
    let (constant, ratio) = geometric(base, plain)?;
    let small = asker.holds(
        plain,
        plain.first,
        &ratio,
        Relation::Less,
        &Expr::integer(1),
    ) && asker.holds(
        plain,
        plain.first,
        &Expr::integer(0),
        Relation::Less,
        &ratio,
    );
    small.then_some(Shape::Geometric { constant, ratio })
}

/// c·q^n as it is spelled.
fn geometric(base: &Expr, plain: &Family) -> Option<(Expr, Expr)> {
    let one = Expr::integer(1);
    match base.node() {
        Node::Pow(own, exponent) => {
            if *exponent == plain.n() && !own.mentions(&plain.index) {
                return Some((one, own.clone()));
            }
            let rate = rate(exponent, plain)?;
            (matches!(own.node(), Node::Constant(Constant::E))).then(|| (one, own.power(&rate)))
        }
        Node::Mul(factors) => {
            let (with, without): (Vec<Expr>, Vec<Expr>) = factors
                .iter()
                .cloned()
                .partition(|own| own.mentions(&plain.index));
            let [only] = with.as_slice() else {
                return None;
            };
            let (constant, ratio) = geometric(only, plain)?;
            let constant = simplify::polished(&constant.times(&Expr::product_of(without)));
            Some((constant, ratio))
        }
        Node::Div(above, below) => {
            if !below.mentions(&plain.index) {
                let (constant, ratio) = geometric(above, plain)?;
                return Some((simplify::polished(&constant.over(below)), ratio));
            }
            if above.mentions(&plain.index) {
                let (first, upper) = geometric(above, plain)?;
                let (second, lower) = geometric(below, plain)?;
                let quotient = |above: &Expr, below: &Expr| simplify::polished(&above.over(below));
                return Some((quotient(&first, &second), quotient(&upper, &lower)));
            }
            let (constant, ratio) = geometric(below, plain)?;
            let ratio = match ratio.as_number() {
                Some(value) => Expr::number(RBig::ONE / value),
                None => simplify::polished(&one.over(&ratio)),
            };
            Some((simplify::polished(&above.over(&constant)), ratio))
        }
        _ => None,
    }
}

/// c in an exponent c·n.
fn rate(exponent: &Expr, plain: &Family) -> Option<Expr> {
    let context = plain.context(plain.first);
    let rate = simplify::short(&context, &exponent.over(&plain.n()));
    (!rate.mentions(&plain.index)).then_some(rate)
}

/// Bounds c/n^p, the sharpest exponent first and the smallest simple c first.
fn candidates(plain: &Family, base: &Expr, asker: Asker<'_>) -> Vec<Shape> {
    let (lead, powers) = match expand::decay(plain, base, &plain.index, asker) {
        Some((lead, Some(power))) => {
            let power = -power;
            let (Some(above), Ok(below)) = (
                solve::small_integer(&RBig::from(power.numerator().clone())),
                i64::try_from(power.denominator().clone()),
            ) else {
                return Vec::new();
            };
            let slow = lead.mentions(&plain.index);
            let mut powers = vec![(above, below)];
            if slow {
                // log n and bounded oscillations: half of the exponent is left.
                let half = if above % 2 == 0 {
                    (above / 2, below)
                } else {
                    (above, below * 2)
                };
                powers.push(half);
            } else if above != below {
                powers.extend(
                    [(1, 1), (1, 2)]
                        .into_iter()
                        .filter(|own| own.0 * below < own.1 * above),
                );
            }
            ((!slow).then_some(lead), powers)
        }
        // Exponentially small, or not expanded.
        _ => (None, vec![(1, 1), (1, 2), (2, 1)]),
    };
    let tiny = lead.is_none();
    let mut all = Vec::new();
    if tiny {
        all.extend(ratio(plain, base));
    }
    for (place, (above, below)) in powers.into_iter().enumerate() {
        let mut constants = Vec::new();
        if place == 0
            && let Some(lead) = &lead
        {
            constants.push(lead.clone());
        }
        constants.extend(fitting(plain, base, above, below));
        if place == 0
            && let Some(lead) = &lead
            && !plain.parameters().is_empty()
        {
            constants.push(simplify::polished(&Expr::integer(2).times(lead)));
        }
        all.extend(constants.into_iter().map(|constant| Shape::Power {
            constant,
            above,
            below,
        }));
    }
    all
}

/// c·q^n with a simple q that numbers suggest.
fn ratio(plain: &Family, base: &Expr) -> Vec<Shape> {
    if !plain.parameters().is_empty() {
        return Vec::new();
    }
    let Some(mut sampler) = Sampler::new(plain, base) else {
        return Vec::new();
    };
    let quotient = sampler.at(31.0, 0.0) / sampler.at(30.0, 0.0);
    let simple = numeric::fraction((quotient * 1e6).round() / 1e6);
    let Some((above, below)) = simple.filter(|own| 0 < own.0 && own.0 < own.1 && own.1 <= 12)
    else {
        return Vec::new();
    };
    [1, 2]
        .into_iter()
        .map(|constant| Shape::Geometric {
            constant: Expr::integer(constant),
            ratio: Expr::ratio(above, below),
        })
        .collect()
}

/// Simple numbers that are just large enough, by numbers.
fn fitting(plain: &Family, base: &Expr, above: i64, below: i64) -> Vec<Expr> {
    if !plain.parameters().is_empty() {
        return Vec::new();
    }
    let scaled = base.times(&power_of(&plain.n(), above, below));
    let Some(mut sampler) = Sampler::new(plain, &scaled) else {
        return Vec::new();
    };
    let indices = (1..=40)
        .map(f64::from)
        .chain([64.0, 100.0, 300.0, 1e3, 1e4, 1e5]);
    #[allow(clippy::cast_precision_loss)]
    let values: Vec<f64> = indices
        .filter(|n| plain.first as f64 <= *n)
        .map(|n| sampler.at(n, 0.0))
        .collect();
    if values.iter().any(|value| !value.is_finite()) {
        return Vec::new();
    }
    let needed = values.iter().copied().fold(0.0, f64::max);
    if 1e4 <= needed || needed <= 0.0 {
        return Vec::new();
    }
    rounded_up(needed)
}

/// The next simple numbers above a positive one.
fn rounded_up(needed: f64) -> Vec<Expr> {
    let slack = needed * (1.0 - 1e-12);
    let mut found = Vec::new();
    for denominator in [4i64, 2, 1] {
        #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
        let above = (slack * denominator as f64).ceil() as i64;
        found.push(Expr::ratio(above.max(1), denominator));
    }
    #[allow(clippy::cast_possible_truncation)]
    let next = slack.ceil() as i64;
    found.push(Expr::integer(next + 1));
    found.push(Expr::integer(2 * next));
    found.dedup();
    found
}

/// A bound c/n^p of the error term itself, where its supremum is not known or not solvable.
fn direct(family: &Family, shape: &ErrorShape, asker: Asker<'_>) -> Option<Majorant> {
    let points = numeric::grid(family, &family.domain)?;
    let mut sampler = Sampler::new(family, &shape.shown)?;
    let mut greatest = Vec::new();
    for n in [
        1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 20.0, 50.0, 100.0, 1000.0,
    ] {
        greatest.push((n, numeric::peak(&mut sampler, n, &points)?.value));
    }
    let (last, before) = (greatest[10], greatest[9]);
    if 0.7 * before.1 <= last.1 {
        return None;
    }
    for (above, below) in [(2, 1), (1, 1), (1, 2), (1, 3)] {
        #[allow(clippy::cast_precision_loss)]
        let exponent = above as f64 / below as f64;
        let scaled: Vec<f64> = greatest
            .iter()
            .map(|(n, value)| value * n.powf(exponent))
            .collect();
        if 1.05 * scaled[9] < scaled[10] {
            continue;
        }
        let needed = scaled.iter().copied().fold(0.0, f64::max);
        if 1e4 <= needed {
            continue;
        }
        for constant in rounded_up(needed) {
            let own = Shape::Power {
                constant,
                above,
                below,
            };
            let bound = own.at(&family.n());
            if asker.holds(
                family,
                family.first,
                &shape.shown,
                Relation::LessEqual,
                &bound,
            ) {
                return Some(Majorant {
                    bound,
                    from: family.first,
                    shape: own,
                    sharp: false,
                });
            }
        }
    }
    None
}

/// A bound C(x)/n^p of the error term at a fixed point, proved on the whole domain.
#[must_use]
pub fn pointwise_bound(family: &Family, shape: &ErrorShape, asker: Asker<'_>) -> Option<Majorant> {
    let (lead, power) = expand::decay(family, &shape.shown, &family.index, asker)?;
    let power = -power?;
    if lead.mentions(&family.index) || power <= RBig::ZERO {
        return None;
    }
    let above = i64::try_from(power.numerator().clone()).ok()?;
    let below = i64::try_from(power.denominator().clone()).ok()?;
    let context = family.context(family.first);
    let lead = simplify::size(&context, &lead);
    [1i64, 2, 4].into_iter().find_map(|factor| {
        let own = Shape::Power {
            constant: simplify::short(&context, &Expr::integer(factor).times(&lead)),
            above,
            below,
        };
        let bound = own.at(&family.n());
        let holds = asker.holds(
            family,
            family.first,
            &shape.shown,
            Relation::LessEqual,
            &bound,
        );
        holds.then(|| Majorant {
            bound,
            from: family.first,
            shape: own,
            sharp: false,
        })
    })
}
