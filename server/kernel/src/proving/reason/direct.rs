//! The reason of a direct proof: how the claim reads, which inequalities enter, how they add up.

use super::terms::{LONGEST, compared, list, written};
use super::{combination, lemma, of_claim, series};
use crate::algebra::{Poly, Signed};
use crate::calculus;
use crate::expr::{Expr, Function, Node, Relation};
use crate::goal::{Goal, Problem};
use crate::proving::prune::pruned;
use crate::recheck::{Context, Sign, Step, parts};
use dashu::rational::RBig;

/// What the steps say, one sentence after the other.
pub(super) fn of_steps(problem: &Problem, steps: &[Step], depth: usize) -> Option<String> {
    let steps = pruned(problem, steps);
    let mut context = Context::of(problem);
    let mut said: Vec<String> = Vec::new();
    for (place, step) in steps.iter().enumerate() {
        let text = match step {
            Step::Lemma(own, arguments) => {
                let simple = |value: &Expr| shortest(&context, value);
                let part = needed(&context, &steps[place..], &problem.goal);
                lemma::words(
                    *own,
                    part,
                    &arguments.iter().map(simple).collect::<Vec<_>>(),
                )
            }
            _ => of_step(&context, step, depth),
        };
        said.extend(text.filter(|text| !said.contains(text)));
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
                | Step::Squeeze { .. }
                | Step::Termwise { .. }
        )
    });
    let own = of_claim(&problem.goal).map_or(0, |text| text.chars().count());
    let read = reading(problem, &context)
        .filter(|(_, claim)| !known || claim.chars().count() < own)
        .filter(|read| !said.iter().any(|own| own.contains(&read.1)));
    if let Some((how, claim)) = read {
        said.insert(0, format!("{how}: it remains to show {claim}"));
    }
    Some(said.join("; "))
}

/// Which of the inequalities of a lemma, the first step, is enough; none if several are needed.
fn needed(context: &Context, steps: &[Step], goal: &Goal) -> Option<usize> {
    let (first, later) = steps.split_first()?;
    let mut after = context.clone();
    after.step(first)?;
    let start = context.facts().len();
    let given = after.facts().get(start..)?;
    (0..given.len()).find(|place| {
        let mut alone = context.clone();
        for (own, (poly, sign)) in given.iter().enumerate() {
            if own == *place {
                alone.record(poly, *sign);
            } else {
                // Keeps the places of later facts.
                alone.record(&Poly::zero(), Sign::Zero);
            }
        }
        later.iter().all(|step| alone.step(step).is_some()) && parts::closes(&alone, goal)
    })
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
    let factor = Expr::product_of(factors);
    let how = format!("multiply by {} > 0", written(&factor));
    let side = |own: &Expr| Some(written(&context.normal(&own.times(&factor))?.to_expr()));
    let claim = if numerator.as_constant().is_some() {
        // All that depends on the variables stands on both sides.
        format!("{} {} {}", side(left)?, relation.sign(), side(right)?)
    } else {
        compared(&numerator, *relation)
    };
    Some((how, claim))
}

/// A claim that needs no step.
fn by_inspection(problem: &Problem, context: &Context) -> Option<String> {
    let Goal::Holds(left, relation, right) = &problem.goal else {
        return None;
    };
    let mut squares = false;
    for side in [left, right] {
        side.visit(&mut |part| squares |= matches!(part.node(), Node::Call(Function::Cos, _)));
    }
    if *relation == Relation::Equal {
        return Some(agreement(context, left, right, squares));
    }
    if *relation == Relation::NotEqual {
        return Some("a product that is not 0 has no factor that is 0".to_owned());
    }
    let form = context.normal(&left.minus(right))?;
    let numerator = context.signed_numerator(&form);
    let why = inspected(context, &numerator);
    Some(match reading(problem, context) {
        Some((how, claim)) => match why {
            Some(why) => format!("{how}: {claim}, {why}"),
            None => format!("{how}: {claim}"),
        },
        None => why.map_or_else(
            || compared(&numerator, *relation),
            |why| format!("{}, {why}", compared(&numerator, *relation)),
        ),
    })
}

/// Why two sides that simplify to the same are equal.
fn agreement(context: &Context, left: &Expr, right: &Expr, squares: bool) -> String {
    let mut slope = None;
    left.visit(&mut |part| {
        if let Node::Derivative { variable, body } = part.node() {
            slope = calculus::differentiate(body, variable).or(slope.take());
        }
    });
    if let Some(slope) = slope.map(|slope| written(&slope))
        && slope.chars().count() <= LONGEST
    {
        return format!("the rules of differentiation give {slope}; simplify");
    }
    let value = context.normal(left).map(|form| written(&form.to_expr()));
    let known = if squares {
        " with sin² + cos² = 1"
    } else {
        ""
    };
    match value.filter(|value| value.chars().count() <= LONGEST) {
        Some(value) if value == written(right) => {
            format!("the left side simplifies{known} to {value}")
        }
        Some(value) => format!("both sides simplify{known} to {value}"),
        None => format!("expand both sides{known}: the same terms remain"),
    }
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
            let below = |strict: bool| if strict { "<" } else { "≤" };
            let above = |strict: bool| if strict { ">" } else { "≥" };
            match (&range.low, &range.high) {
                (Some((low, open)), Some((high, closed))) => Some(format!(
                    "{} {} {name} {} {}",
                    text(low, false),
                    below(*open && !constant),
                    below(*closed && !constant),
                    text(high, true)
                )),
                (Some((low, open)), None) => {
                    Some(format!("{name} {} {}", above(*open), text(low, false)))
                }
                (None, Some((high, open))) => {
                    Some(format!("{name} {} {}", below(*open), text(high, true)))
                }
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
pub(super) fn of_step(context: &Context, step: &Step, depth: usize) -> Option<String> {
    match step {
        Step::Known(..) | Step::Bracket(..) => None,
        Step::Lemma(own, arguments) => {
            let simple = |value: &Expr| shortest(context, value);
            lemma::words(
                *own,
                None,
                &arguments.iter().map(simple).collect::<Vec<_>>(),
            )
        }
        Step::Combine(terms, multiples) => combination::combination(context, terms, multiples),
        Step::Refute(value, sign, steps) => {
            combination::refuted(context, value, *sign, steps, depth)
        }
        Step::Divide(_, factor) => {
            let own = context.normal(factor)?;
            let value = own.as_poly()?.primitive().1;
            (value.as_constant().is_none())
                .then(|| format!("divide by {} > 0", written(&value.to_expr())))
        }
        Step::Whole(place) => {
            let whole = context.facts().get(*place)?.0.integral();
            Some(format!(
                "{} gives {}, since both sides are integers",
                compared(&whole, Relation::Greater),
                compared(&whole.minus(&Poly::one()), Relation::GreaterEqual)
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
            let asked = match &claim.goal {
                Goal::Holds(_, Relation::Equal | Relation::NotEqual, _) => of_claim(&claim.goal)?,
                Goal::Holds(_, relation, _) => {
                    let strict = matches!(relation, Relation::Less | Relation::Greater);
                    let sign = if strict { ">" } else { "≥" };
                    format!("{} {sign} 0", super::difference_shown(claim, &claim.goal)?)
                }
                _ => return None,
            };
            Some(match (put.is_empty(), inner) {
                (true, Some(inner)) => inner,
                (true, None) => return None,
                (false, Some(inner)) => {
                    format!("with {} it remains to show {asked}: {inner}", list(&put))
                }
                (false, None) => format!("with {} it remains to show {asked}", list(&put)),
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
        } => series::telescoped(context, sum, primitive, *relation),
        Step::Termwise {
            relation: Relation::Equal,
            ..
        } => None,
        Step::Termwise { .. } => Some("compare the sums term by term".to_owned()),
        Step::Peel(_) => Some("split off the first term".to_owned()),
        Step::Split(_, at) => Some(format!("split the sum behind the index {}", written(at))),
        Step::Squeeze {
            sum, lower, upper, ..
        } => series::squeezed(context, sum, lower, upper),
        Step::Geometric(sum, ratio) => series::geometric(context, sum, ratio),
    }
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
    if above == below {
        let named = if power == 2 {
            "square".to_owned()
        } else {
            format!("power with exponent {power}")
        };
        return Some(format!("{a} and {b} have the same {named}, {above}"));
    }
    // What is simple already stands once.
    let pair = |own: String, value: String, turned: bool| match (own == value, turned) {
        (true, _) => own,
        (false, false) => format!("{own} = {value}"),
        (false, true) => format!("{value} = {own}"),
    };
    let (first, last) = (
        pair(mark(larger), above, false),
        pair(mark(&smaller), below, true),
    );
    let chain = format!("{first} ≥ {last}");
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
