//! Sums of products of facts in a teacher's words: what is added, multiplied and compared.

use super::terms::{LONGEST, fact, factor, list, times, written};
use crate::algebra::{Poly, Signed, magnitude};
use crate::expr::Expr;
use crate::recheck::{Context, Sign, Step, Term};
use dashu::rational::RBig;

struct Sum {
    text: String,
    conditions: Vec<String>,
    linear: bool,
}

/// Σ c · Π facts · Π squares as it is read, and what is used of the facts.
fn summands(context: &Context, terms: &[Term], scale: &RBig) -> Option<Sum> {
    let (mut parts, mut conditions, mut linear) = (Vec::new(), Vec::new(), true);
    for term in terms {
        let mut factors = Vec::new();
        let mut size = &term.coefficient / scale;
        for square in &term.squares {
            let (content, own) = context.normal(square)?.as_poly()?.primitive();
            size *= &content * &content;
            factors.push(written(&own.to_expr().power(&Expr::integer(2))));
        }
        for place in &term.facts {
            let (poly, sign) = context.facts().get(*place)?;
            // The size of the content is counted to the coefficient below.
            factors.push(factor(&poly.integral().to_expr()));
            let used = fact(poly, *sign);
            if !conditions.contains(&used) {
                conditions.push(used);
            }
        }
        for place in &term.facts {
            let (poly, _) = context.facts().get(*place)?;
            size *= magnitude(&poly.primitive().0);
        }
        linear &= term.squares.is_empty() && term.facts.len() <= 1;
        parts.push(times(&size, &product(&factors)));
    }
    Some(Sum {
        text: parts.join(" + "),
        conditions,
        linear,
    })
}

/// Whether a pair of parentheses stands around the whole text.
fn is_bracketed(text: &str) -> bool {
    let mut depth = 0_usize;
    text.starts_with('(')
        && text.char_indices().all(|(at, own)| {
            depth = match own {
                '(' => depth + 1,
                ')' => depth.saturating_sub(1),
                _ => depth,
            };
            0 < depth || at + 1 == text.len()
        })
}

/// Factors one after the other; a sum or a name that stands twice is squared.
fn product(factors: &[String]) -> String {
    let mut shown: Vec<String> = Vec::new();
    for (place, own) in factors.iter().enumerate() {
        let simple = is_bracketed(own) || own.chars().all(char::is_alphabetic);
        let count = factors.iter().filter(|other| *other == own).count();
        match (simple, count) {
            (true, 2) if factors[..place].contains(own) => {}
            (true, 2) => shown.push(format!("{own}²")),
            _ => shown.push(own.clone()),
        }
    }
    shown.join("·")
}

pub(super) fn combination(
    context: &Context,
    terms: &[Term],
    multiples: &[(usize, Expr)],
) -> Option<String> {
    if let ([only], []) = (terms, multiples)
        && let ([], [square]) = (only.facts.as_slice(), only.squares.as_slice())
    {
        let own = context.normal(square)?.as_poly()?.primitive().1;
        return Some(format!(
            "{} ≥ 0",
            written(&own.to_expr().power(&Expr::integer(2)))
        ));
    }
    let mut after = context.clone();
    after.step(&Step::Combine(terms.to_vec(), multiples.to_vec()))?;
    let (value, sign) = after.facts().last()?.clone();
    let scale = magnitude(&value.primitive().0);
    let value = value.integral();
    let sum = summands(
        context,
        terms,
        &if scale.is_zero() { RBig::ONE } else { scale },
    )?;
    told(context, (&value, sign), sum, multiples)
}

/// "V = sum ≥ 0, where …" or "add …".
fn told(
    context: &Context,
    (value, sign): (&Poly, Sign),
    sum: Sum,
    multiples: &[(usize, Expr)],
) -> Option<String> {
    let mut conditions = sum.conditions;
    for (place, _) in multiples {
        let (poly, sign) = context.facts().get(*place)?;
        let used = fact(poly, *sign);
        if !conditions.contains(&used) {
            conditions.push(used);
        }
    }
    let claim = fact(value, sign);
    if sum.linear && !conditions.is_empty() {
        return Some(if conditions.len() == 1 {
            claim
        } else {
            format!("add {}: {claim}", list(&conditions))
        });
    }
    let relation = if sign == Sign::Positive { ">" } else { "≥" };
    let identity = format!("{} = {} {relation} 0", written(&value.to_expr()), sum.text);
    if multiples.is_empty() && identity.chars().count() <= LONGEST {
        return Some(if conditions.is_empty() {
            identity
        } else {
            format!("{identity}, where {}", list(&conditions))
        });
    }
    (!conditions.is_empty()).then(|| {
        format!(
            "{claim} follows from {} (multiply and add)",
            list(&conditions)
        )
    })
}

/// The opposite of value ≥ 0 leads to a contradiction: value is itself a sum of what is ≥ 0.
pub(super) fn refuted(
    context: &Context,
    value: &Expr,
    sign: Sign,
    steps: &[Step],
    depth: usize,
) -> Option<String> {
    let poly = context.signed_numerator(&context.normal(value)?);
    let place = context.facts().len();
    if let [Step::Combine(terms, multiples)] = steps {
        let (own, others): (Vec<&Term>, Vec<&Term>) =
            terms.iter().partition(|term| term.facts.contains(&place));
        let others: Vec<Term> = others.into_iter().cloned().collect();
        if let [
            Term {
                coefficient,
                facts,
                squares,
            },
        ] = own.as_slice()
            && facts.len() == 1
            && squares.is_empty()
        {
            let sum = summands(context, &others, coefficient)?;
            return told(context, (&poly, sign), sum, multiples);
        }
        return multiplied(context, (&poly, sign), (terms, place), multiples);
    }
    let mut inner = context.clone();
    let opposite = if sign == Sign::Positive {
        Sign::NonNegative
    } else {
        Sign::Positive
    };
    inner.record(&poly.negative(), opposite);
    let mut said = Vec::new();
    for step in steps {
        said.extend(super::direct::of_step(&inner, step, depth));
        inner.step(step)?;
    }
    let opposite = fact(&poly.negative(), opposite);
    Some(if said.is_empty() {
        format!("{opposite} cannot be")
    } else {
        format!(
            "suppose {opposite}: a contradiction, since {}",
            said.join("; ")
        )
    })
}

/// A value whose product with positive factors is a sum of what has that sign.
fn multiplied(
    context: &Context,
    (poly, sign): (&Poly, Sign),
    (terms, opposite): (&[Term], usize),
    multiples: &[(usize, Expr)],
) -> Option<String> {
    let claim = fact(poly, sign);
    let (own, others): (Vec<&Term>, Vec<&Term>) = terms
        .iter()
        .partition(|term| term.facts.contains(&opposite));
    let single = own.iter().all(|term| {
        term.facts
            .iter()
            .filter(|place| **place == opposite)
            .count()
            == 1
    });
    let others: Vec<Term> = others.into_iter().cloned().collect();
    let factors: Vec<Term> = own
        .into_iter()
        .map(|term| Term {
            facts: term
                .facts
                .iter()
                .copied()
                .filter(|own| *own != opposite)
                .collect(),
            ..term.clone()
        })
        .collect();
    let mut used: Vec<String> = Vec::new();
    let places = others.iter().chain(&factors).flat_map(|term| &term.facts);
    for place in places.chain(multiples.iter().map(|(own, _)| own)) {
        if let Some((poly, sign)) = context.facts().get(*place) {
            used.extend(Some(fact(poly, *sign)).filter(|text| !used.contains(text)));
        }
    }
    let value = |own: &Term| {
        let mut product = Poly::constant(own.coefficient.clone());
        for place in &own.facts {
            product = product.times(&context.facts().get(*place)?.0);
        }
        for square in &own.squares {
            product = product.times(&context.normal(square)?.as_poly()?.power(2));
        }
        Some(product)
    };
    let factor = factors
        .iter()
        .try_fold(Poly::zero(), |sum, own| Some(sum.plus(&value(own)?)))?;
    if used.is_empty() {
        return Some(claim);
    }
    let basis = list(&used);
    if factor.as_constant().is_some() || !single {
        return Some(format!("{claim} follows from {basis} (multiply and add)"));
    }
    // factor · value = others + a constant, up to equations.
    let shown = written(&factor.integral().to_expr());
    let known = others
        .iter()
        .try_fold(Poly::zero(), |sum, own| Some(sum.plus(&value(own)?)))?;
    let rest = context.reduced(&factor.times(poly).minus(&known));
    let scale = magnitude(&poly.primitive().0) * magnitude(&factor.primitive().0);
    let exact = multiples.is_empty() && rest.as_constant().is_some_and(|own| !own.is_negative());
    let relation = if sign == Sign::Positive { ">" } else { "≥" };
    let text = |sum: &[Term]| Some(summands(context, sum, &scale)?.text);
    let identity = format!(
        "{}·{} = {}{} {relation} 0",
        super::terms::factor(&factor.integral().to_expr()),
        super::terms::factor(&poly.integral().to_expr()),
        text(&others)?,
        match rest.as_constant() {
            Some(own) if own.is_positive() => {
                format!(" + {}", written(&Expr::number(own / &scale)))
            }
            _ => String::new(),
        }
    );
    Some(
        if exact && !others.is_empty() && identity.chars().count() <= LONGEST {
            format!("{claim}, since {identity} by {basis}")
        } else {
            format!("{claim} follows from {basis} (multiply by {shown} and add)")
        },
    )
}
