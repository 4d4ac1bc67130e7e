//! Finite and infinite sums: short ones written out, definedness, closed forms.

use super::facts::Context;
use super::proof::{Proof, Sign, Step};
use crate::algebra::whole;
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};

/// Sums of at most so many terms are written out.
const LISTED: i64 = 24;

/// The terms of a sum between literal limits.
pub(super) fn listed(index: &Symbol, from: &Expr, to: &Expr, body: &Expr) -> Option<Vec<Expr>> {
    let (from, to) = (whole(&from.as_number()?)?, whole(&to.as_number()?)?);
    if to.checked_sub(from)? >= LISTED {
        return None;
    }
    Some(
        (from..=to)
            .map(|k| body.substitute(index, &Expr::integer(k)))
            .collect(),
    )
}

/// The situation of one term: the index is an integer between the limits. Its name is new to the
/// facts and to the expressions that are judged there: what holds at the name then holds at every
/// index, and nothing that was supposed of a value can speak of it.
pub(crate) fn inside(
    context: &Context,
    index: &Symbol,
    (from, to): (&Expr, Option<&Expr>),
    judged: &[&Expr],
) -> Option<(Context, Expr)> {
    let mut name = Symbol::new(&format!("{index}′"));
    while context.speaks_of(&name)
        || from.mentions(&name)
        || to.is_some_and(|to| to.mentions(&name))
        || judged.iter().any(|expr| expr.mentions(&name))
    {
        name = Symbol::new(&format!("{name}′"));
    }
    let own = Expr::variable(&name);
    let mut inner = context.clone();
    inner.variables.push(Variable {
        name,
        kind: Kind::Integer,
    });
    inner.assume(&Condition::Holds(
        own.clone(),
        Relation::GreaterEqual,
        from.clone(),
    ));
    if let Some(to) = to {
        inner.assume(&Condition::Holds(
            own.clone(),
            Relation::LessEqual,
            to.clone(),
        ));
    }
    // `from ≥ low` and `index ≥ from` give the index its own bound.
    if let Some((low, _)) = inner.range_of(inner.normal(from)?.as_poly()?).low {
        inner.assume(&Condition::Holds(
            own.clone(),
            Relation::GreaterEqual,
            Expr::number(low),
        ));
    }
    Some((inner, own))
}

/// Whether a sum is known to be defined: integer limits, defined terms; a series must be
/// geometric with a ratio of size < 1, or known by a closed form.
pub(super) fn is_defined(
    context: &Context,
    index: &Symbol,
    from: &Expr,
    to: Option<&Expr>,
    body: &Expr,
) -> bool {
    if !context.is_integer(from) || !context.is_defined(from) {
        return false;
    }
    let Some(to) = to else {
        let sum: Expr = Node::Sum {
            index: index.clone(),
            from: from.clone(),
            to: None,
            body: body.clone(),
        }
        .into();
        return context.convergent.contains(&sum);
    };
    if !context.is_integer(to) || !context.is_defined(to) {
        return false;
    }
    if let Some(terms) = listed(index, from, to, body) {
        return terms.iter().all(|term| context.is_defined(term));
    }
    inside(context, index, (from, Some(to)), &[body]).is_some_and(|(inner, own)| {
        inner.is_absurd() || inner.is_defined(&body.substitute(index, &own))
    })
}

/// A ratio q with body(k + 1) = q body(k), free of the index, shown at a fresh index.
pub(super) fn is_geometric(
    context: &Context,
    index: &Symbol,
    from: &Expr,
    body: &Expr,
    ratio: &Expr,
) -> bool {
    if ratio.mentions(index) {
        return false;
    }
    let Some((inner, own)) = inside(context, index, (from, None), &[body, ratio]) else {
        return false;
    };
    let here = body.substitute(index, &own);
    let next = body.substitute(index, &own.plus(&Expr::integer(1)));
    inner.is_defined(&here)
        && inner.is_defined(&next)
        && inner.is_defined(ratio)
        && inner
            .normal(&next.minus(&ratio.times(&here)))
            .is_some_and(|form| form.numerator().is_zero())
}

/// The claim that a primitive tends to 0; `None` if it depends on more than the index.
pub(crate) fn vanishing(index: &Symbol, primitive: &Expr) -> Option<Problem> {
    let alone = primitive.variables().iter().all(|name| name == index);
    let condition = Condition::Holds(
        Expr::variable(index),
        Relation::GreaterEqual,
        Expr::integer(1),
    );
    (alone && primitive.unknown_functions().is_empty()).then(|| Problem {
        variables: vec![Variable {
            name: index.clone(),
            kind: Kind::Integer,
        }],
        hypotheses: vec![Hypothesis {
            condition,
            origin: Origin::Domain,
        }],
        goal: Goal::TendsToZero {
            term: primitive.clone(),
            index: index.clone(),
            points: Vec::new(),
        },
    })
}

impl Context {
    /// Σ from..K t(k) = G(from) − G(K + 1), and the last tends to 0.
    pub(super) fn exhaust(
        &mut self,
        sum: &Expr,
        primitive: &Expr,
        relation: Relation,
        (steps, proof): (&[Step], &Proof),
    ) -> Option<()> {
        let Node::Sum {
            index,
            from,
            to: None,
            body,
        } = sum.node()
        else {
            return None;
        };
        (self.is_integer(from) && self.is_defined(from)).then_some(())?;
        let converges = self.convergent.contains(sum);
        let fits = relation == Relation::Equal || relation == Relation::LessEqual && converges;
        fits.then_some(())?;
        let (mut inner, own) = inside(self, index, (from, None), &[body, primitive])?;
        inner.steps(steps)?;
        let next = own.plus(&Expr::integer(1));
        let at = |place: &Expr| primitive.substitute(index, place);
        let gap = at(&own).minus(&at(&next));
        let term = body.substitute(index, &own);
        (inner.is_absurd() || inner.holds(&gap, relation, &term)).then_some(())?;
        let problem = vanishing(index, primitive)?;
        super::judge::check(&problem, proof, super::judge::DEPTH).then_some(())?;
        let whole = at(from);
        let result = if relation == Relation::Equal {
            (sum.minus(&whole), Sign::Zero)
        } else {
            (sum.minus(&whole), Sign::NonNegative)
        };
        if !converges {
            self.convergent.push(sum.clone());
        }
        self.record_all(&[result])
    }
}

/// Whether |q| < 1 is known.
pub(super) fn is_small(context: &Context, ratio: &Expr) -> bool {
    let one = Expr::integer(1);
    context.sign_of_expr(&one.minus(ratio)).has(Sign::Positive)
        && context.sign_of_expr(&one.plus(ratio)).has(Sign::Positive)
}
