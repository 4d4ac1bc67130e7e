//! The reason of a direct proof: how the claim reads, which inequalities enter, how they add up.

use super::terms::{LONGEST, compared, fact, factor, list, times, written};
use super::{lemma, of_claim};
use crate::algebra::{Poly, Signed};
use crate::expr::{Expr, Function, Node, Relation};
use crate::goal::{Goal, Problem};
use crate::proving::prune::pruned;
use crate::recheck::{Context, Sign, Step, Term, parts};
use dashu::rational::RBig;

/// What the steps say, one sentence after the other.
pub(super) fn of_steps(problem: &Problem, steps: &[Step], depth: usize) -> Option<String> {
    let steps = pruned(problem, steps);
    let mut context = Context::of(problem);
    let mut said: Vec<String> = Vec::new();
    for step in &steps {
        if let Some(text) = of_step(&context, step, depth)
            && !said.contains(&text)
        {
            said.push(text);
        }
        context.step(step)?;
    }
    if said.is_empty() {
        return by_inspection(problem, &context);
    }
    // A known inequality speaks of the claim as it stands; the other steps of what is left of it.
    let known = steps.iter().all(|step| {
        matches!(
            step,
            Step::Lemma(..)
                | Step::Known(..)
                | Step::Geometric(..)
                | Step::Telescope { .. }
                | Step::Exhaust { .. }
        )
    });
    let own = of_claim(&problem.goal).map_or(0, |text| text.chars().count());
    let read = reading(problem, &context)
        .filter(|(_, claim)| !known || claim.chars().count() < own)
        .filter(|read| !said.iter().any(|own| own.contains(&read.1)));
    if let Some((how, claim)) = read {
        said.insert(0, format!("{how} the claim reads {claim}"));
    }
    Some(said.join("; "))
}

/// The value to three decimals, rounded up or down.
fn rounded(value: &RBig, up: bool) -> String {
    let thousands = value * RBig::from(1000);
    let whole = if up {
        thousands.ceil()
    } else {
        thousands.floor()
    };
    let (sign, digits) = match whole.to_string().strip_prefix('-') {
        Some(digits) => ("−", digits.to_owned()),
        None => ("", whole.to_string()),
    };
    let digits = format!("{digits:0>4}");
    let (before, after) = digits.split_at(digits.len() - 3);
    format!("{sign}{before}.{after}")
}

/// Whether the goal follows from what is known at first sight.
pub(super) fn is_by_inspection(problem: &Problem, steps: &[Step]) -> bool {
    pruned(problem, steps)
        .iter()
        .all(|step| matches!(step, Step::Known(..)))
}

/// How the goal reads without its denominators, if it has some: what was done, and the claim.
fn reading(problem: &Problem, context: &Context) -> Option<(String, String)> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let form = context.normal(&left.minus(right))?;
    let mut factors = Vec::new();
    for (own, power) in form.denominator() {
        let known = context.sign_of(own);
        let turned = if known.has(Sign::Positive) {
            own.clone()
        } else if known.at_most {
            own.negative()
        } else if power % 2 == 0 {
            own.power(2)
        } else {
            return None;
        };
        let exponent = if power % 2 == 0 && !known.has(Sign::Positive) && !known.at_most {
            power / 2
        } else {
            *power
        };
        let value = turned.to_expr();
        factors.push(if exponent == 1 {
            value
        } else {
            value.power(&Expr::integer(i64::from(exponent)))
        });
    }
    if factors.is_empty() {
        return None;
    }
    let numerator = context.signed_numerator(&form);
    let factor = written(&Expr::product_of(factors));
    let how = if numerator.as_constant().is_some() {
        format!("multiplied by {factor} > 0 and with common terms cancelled")
    } else {
        format!("multiplied by {factor} > 0")
    };
    Some((how, compared(&numerator, *relation)))
}

/// A claim that needs no step.
fn by_inspection(problem: &Problem, context: &Context) -> Option<String> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let mut squares = false;
    let mut slopes = false;
    for side in [left, right] {
        side.visit(&mut |part| {
            squares |= matches!(part.node(), Node::Call(Function::Cos, _));
            slopes |= matches!(part.node(), Node::Derivative { .. });
        });
    }
    if *relation == Relation::Equal {
        return Some(
            match (slopes, squares) {
                (true, _) => "differentiate and simplify: both sides agree",
                (false, true) => "simplify both sides, with sin² + cos² = 1: they agree",
                _ => "simplify both sides: they agree",
            }
            .to_owned(),
        );
    }
    if *relation == Relation::NotEqual {
        return Some("where a product is not 0, none of its factors is".to_owned());
    }
    let form = context.normal(&left.minus(right))?;
    let numerator = context.signed_numerator(&form);
    let why = inspected(context, &numerator);
    Some(match reading(problem, context) {
        Some((how, claim)) => match why {
            Some(why) => format!("{how} the claim reads {claim}, {why}"),
            None => format!("{how} the claim reads {claim}"),
        },
        None => why.map_or_else(
            || compared(&numerator, *relation),
            |why| format!("{}, {why}", compared(&numerator, *relation)),
        ),
    })
}

/// Why a polynomial has its sign at first sight.
fn inspected(context: &Context, poly: &Poly) -> Option<String> {
    if poly.as_constant().is_some() {
        return None;
    }
    let same = |own: &Poly| own.primitive().1 == poly.primitive().1;
    if context.facts().iter().any(|(own, _)| same(own)) {
        return Some("as assumed".to_owned());
    }
    let all = poly.terms().all(|(monomial, value)| {
        let own = Poly::monomial(monomial.clone()).scaled(value);
        context.sign_of(&own).at_least
    });
    let none = poly.terms().all(|(monomial, value)| {
        let own = Poly::monomial(monomial.clone()).scaled(value);
        context.sign_of(&own).at_most
    });
    if poly.count() > 1 && (all || none) {
        return Some("and each term has this sign".to_owned());
    }
    let bounds: Vec<String> = poly
        .atoms()
        .iter()
        .filter_map(|atom| {
            let range = context.range_of_atom(atom);
            let constant = atom.variables().is_empty();
            let text = |value: &RBig, above: bool| {
                if constant {
                    rounded(value, above)
                } else {
                    written(&Expr::number(value.clone()))
                }
            };
            let name = written(atom);
            match (&range.low, &range.high) {
                (Some((low, _)), Some((high, _))) => Some(format!(
                    "{} ≤ {name} ≤ {}",
                    text(low, false),
                    text(high, true)
                )),
                (Some((low, _)), None) => Some(format!("{name} ≥ {}", text(low, false))),
                (None, Some((high, _))) => Some(format!("{name} ≤ {}", text(high, true))),
                (None, None) => None,
            }
        })
        .take(3)
        .collect();
    (!bounds.is_empty()).then(|| format!("since {}", list(&bounds)))
}

/// The shorter of an expression and its normal form in the situation.
pub(super) fn shortest(context: &Context, value: &Expr) -> Expr {
    let length = |own: &Expr| written(own).chars().count();
    match context.normal(value).map(|form| form.to_expr()) {
        Some(form) if length(&form) <= length(value) => form,
        _ => value.clone(),
    }
}

/// What one step says.
fn of_step(context: &Context, step: &Step, depth: usize) -> Option<String> {
    match step {
        Step::Known(..) | Step::Bracket(..) => None,
        Step::Lemma(own, arguments) => {
            let simple = |value: &Expr| shortest(context, value);
            lemma::words(*own, &arguments.iter().map(simple).collect::<Vec<_>>())
        }
        Step::Combine(terms, multiples) => combination(context, terms, multiples),
        Step::Refute(value, sign, steps) => refuted(context, value, *sign, steps, depth),
        Step::Divide(_, factor) => {
            let own = context.normal(factor)?;
            let value = own.as_poly()?.primitive().1;
            (value.as_constant().is_none())
                .then(|| format!("divide by {} > 0", written(&value.to_expr())))
        }
        Step::Whole(place) => {
            let (poly, _) = context.facts().get(*place)?;
            Some(format!(
                "both sides of {} are integers, so they differ by 1 at least",
                compared(poly, Relation::Greater)
            ))
        }
        Step::Compare {
            larger,
            smaller,
            power,
        } => squared(context, larger, smaller, *power),
        Step::Roots {
            value,
            atom,
            low,
            high,
            sign,
        } => {
            let poly = context.normal(value)?.as_poly()?.clone();
            Some(super::curve::of_roots(
                &poly,
                atom,
                (low.as_ref(), high.as_ref()),
                *sign,
            ))
        }
        Step::Instance(claim, proof, values) => {
            let put: Vec<String> = values
                .iter()
                .filter(|(name, value)| value.as_variable() != Some(name))
                .map(|(name, value)| format!("{name} = {}", written(value)))
                .collect();
            let inner = super::of_proof(claim, proof, depth);
            let asked = of_claim(&claim.goal)?;
            Some(match (put.is_empty(), inner) {
                (true, Some(inner)) => inner,
                (true, None) => return None,
                (false, Some(inner)) => format!("put {}: {asked}; {inner}", list(&put)),
                (false, None) => format!("put {}: {asked}", list(&put)),
            })
        }
        Step::Telescope {
            sum,
            primitive,
            relation,
            ..
        }
        | Step::Exhaust {
            sum,
            primitive,
            relation,
            ..
        } => telescoped(context, sum, primitive, *relation),
        Step::Peel(_) => Some("split off the first term".to_owned()),
        Step::Geometric(sum, ratio) => {
            let shown = written(sum);
            Some(format!(
                "{shown} is a geometric sum with ratio {}: times (1 − ratio) it leaves the first \
                 term minus the one after the last",
                written(ratio)
            ))
        }
    }
}

fn telescoped(
    context: &Context,
    sum: &Expr,
    primitive: &Expr,
    relation: Relation,
) -> Option<String> {
    let Node::Sum {
        index,
        from,
        to,
        body,
    } = sum.node()
    else {
        return None;
    };
    if primitive.as_number().is_some() {
        return None;
    }
    let one = Expr::integer(1);
    let limits = (from, to.as_ref());
    let (inner, own) = parts::inside(context, index, limits, &[body, primitive])?;
    let name = own.as_variable()?.clone();
    let at = |context: &Context, place: &Expr| {
        let put = primitive.substitute(index, place);
        let form = context.normal(&put).map(|form| form.to_expr());
        let simple = form.filter(|form| written(form).len() <= written(&put).len());
        simple
            .unwrap_or(put)
            .substitute(&name, &Expr::variable(index))
    };
    let gap = |first: &Expr, second: &Expr| {
        let minus = written(&first.minus(second));
        if second.as_number().is_some_and(|value| value.is_zero()) {
            written(first)
        } else {
            minus
        }
    };
    let sign = relation.flipped().sign();
    let step = format!(
        "{} {sign} {}",
        written(body),
        gap(&at(&inner, &own), &at(&inner, &own.plus(&one)))
    );
    let whole = match to {
        Some(to) => gap(&at(context, from), &at(context, &to.plus(&one))),
        None => written(&at(context, from)),
    };
    let sign = if to.is_none() { "≤" } else { sign };
    Some(format!(
        "{step}, so the sum telescopes and is {sign} {whole}"
    ))
}

/// larger ≥ |smaller| by powers.
fn squared(context: &Context, larger: &Expr, smaller: &Expr, power: u32) -> Option<String> {
    let turned = context.normal(smaller)?.as_poly()?.clone();
    let (content, _) = turned.primitive();
    let smaller = if content.is_negative() {
        turned.negative().to_expr()
    } else {
        turned.to_expr()
    };
    let raised = |own: &Expr| {
        let value = own.power(&Expr::integer(i64::from(power)));
        Some(written(&context.normal(&value)?.to_expr()))
    };
    let (above, below) = (raised(larger)?, raised(&smaller)?);
    let (a, b) = (written(larger), written(&smaller));
    let mark = |own: &Expr| written(&own.power(&Expr::integer(i64::from(power))));
    let chain = format!("{} = {above} ≥ {below} = {}", mark(larger), mark(&smaller));
    let lead = if power == 2 {
        "compare squares".to_owned()
    } else {
        format!("compare powers with exponent {power}")
    };
    if chain.chars().count() <= LONGEST {
        Some(format!("{lead}: {chain}"))
    } else {
        Some(format!("{lead} of {a} and {b}"))
    }
}

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
            let (content, primitive) = poly.primitive();
            let turned = if content.is_negative() {
                primitive.negative()
            } else {
                primitive
            };
            // The size of the content is counted to the coefficient below.
            factors.push(factor(&turned.to_expr()));
            let used = fact(poly, *sign);
            if !conditions.contains(&used) {
                conditions.push(used);
            }
        }
        for place in &term.facts {
            let (poly, _) = context.facts().get(*place)?;
            size *= crate::algebra::magnitude(&poly.primitive().0);
        }
        linear &= term.squares.is_empty() && term.facts.len() <= 1;
        parts.push(times(&size, &factors.join("·")));
    }
    Some(Sum {
        text: parts.join(" + "),
        conditions,
        linear,
    })
}

fn combination(context: &Context, terms: &[Term], multiples: &[(usize, Expr)]) -> Option<String> {
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
    let (content, primitive) = value.primitive();
    let scale = crate::algebra::magnitude(&content);
    let value = if content.is_negative() {
        primitive.negative()
    } else {
        primitive
    };
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
fn refuted(
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
        let mut conditions: Vec<String> = Vec::new();
        let used = terms.iter().flat_map(|term| &term.facts);
        for own in used.chain(multiples.iter().map(|(own, _)| own)) {
            if let Some((poly, sign)) = context.facts().get(*own) {
                let text = fact(poly, *sign);
                if !conditions.contains(&text) {
                    conditions.push(text);
                }
            }
        }
        let claim = fact(&poly, sign);
        return Some(if conditions.is_empty() {
            format!("{claim}, since the opposite contradicts itself")
        } else {
            format!(
                "{claim} follows from {}: the opposite contradicts them",
                list(&conditions)
            )
        });
    }
    let mut inner = context.clone();
    let opposite = if sign == Sign::Positive {
        Sign::NonNegative
    } else {
        Sign::Positive
    };
    inner.suppose(&poly.negative(), opposite);
    let mut said = Vec::new();
    for step in steps {
        said.extend(of_step(&inner, step, depth));
        inner.step(step)?;
    }
    Some(format!(
        "suppose the opposite, {}: {} gives a contradiction",
        fact(&poly.negative(), opposite),
        said.join("; ")
    ))
}
