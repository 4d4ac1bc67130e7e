//! Proofs by monotonicity and concavity in one real variable: the problems that they reduce to.

use super::judge::compared;
use crate::algebra::Sign;
use crate::calculus::{differentiate, is_continuous_in};
use crate::expr::{Condition, Expr, Node, Relation, Symbol};
use crate::goal::{Goal, Kind, Origin, Problem};

/// A bound of a variable and whether it is strict.
type Bound = (Expr, bool);

/// The hypotheses without a variable, and its lower and upper bounds. Other hypotheses about the
/// variable are left out, which makes the statement stronger.
pub(crate) fn bounds(problem: &Problem, variable: &Symbol) -> (Problem, Vec<Bound>, Vec<Bound>) {
    let mut free = problem.clone();
    free.hypotheses.clear();
    let (mut lower, mut upper) = (Vec::new(), Vec::new());
    for hypothesis in &problem.hypotheses {
        for part in hypothesis.condition.conjuncts() {
            if !part.variables().contains(variable) {
                free = free.assuming(part, hypothesis.origin);
                continue;
            }
            let Condition::Holds(left, relation, right) = part else {
                continue;
            };
            let (bound, relation) = match (left.as_variable(), right.as_variable()) {
                (Some(own), _) if own == variable => (right, relation),
                (_, Some(own)) if own == variable => (left, relation.flipped()),
                _ => continue,
            };
            let strict = matches!(relation, Relation::Less | Relation::Greater);
            match relation {
                Relation::Equal | Relation::NotEqual => {}
                _ if bound.mentions(variable) => {}
                Relation::Greater | Relation::GreaterEqual => lower.push((bound, strict)),
                Relation::Less | Relation::LessEqual => upper.push((bound, strict)),
            }
        }
    }
    (free, lower, upper)
}

/// left R right as `difference ≥ 0` or `> 0`.
pub(crate) fn difference(goal: &Goal) -> Option<(Expr, bool)> {
    let Goal::Holds(left, relation, right) = goal else {
        return None;
    };
    match Sign::of_relation(left, *relation, right) {
        (gap, Sign::Positive) => Some((gap, true)),
        (gap, Sign::NonNegative) => Some((gap, false)),
        _ => None,
    }
}

/// >, ≥, < or ≤.
fn relation(above: bool, strict: bool) -> Relation {
    match (above, strict) {
        (true, true) => Relation::Greater,
        (true, false) => Relation::GreaterEqual,
        (false, true) => Relation::Less,
        (false, false) => Relation::LessEqual,
    }
}

/// The bound that is this end; a strict one is preferred: it makes the variable differ from the
/// end.
fn chosen(all: &[Bound], end: &Expr) -> Option<Bound> {
    let own = all.iter().filter(|(bound, _)| bound == end);
    own.max_by_key(|(_, strict)| *strict).cloned()
}

/// A goal `gap ≥ 0` or `gap > 0` as a function of one variable.
struct Curve {
    own: Expr,
    gap: Expr,
    strict: bool,
    free: Problem,
    lower: Vec<Bound>,
    upper: Vec<Bound>,
}

impl Curve {
    fn of(problem: &Problem, variable: &Symbol) -> Option<Self> {
        let (gap, strict) = difference(&problem.goal)?;
        let (free, lower, upper) = bounds(problem, variable);
        let real = problem.variable(variable)?.kind == Kind::Real;
        (real && is_continuous_in(&gap, variable)).then_some(Self {
            own: Expr::variable(variable),
            gap,
            strict,
            free,
            lower,
            upper,
        })
    }

    /// The problem under `value ≥ end` (`above`) or `value ≤ end`, or their strict forms.
    fn bounded(
        problem: &Problem,
        value: &Expr,
        (above, strict): (bool, bool),
        end: &Expr,
    ) -> Problem {
        let bound = Condition::Holds(value.clone(), relation(above, strict), end.clone());
        problem.assuming(bound, Origin::Domain)
    }

    fn at(&self, variable: &Symbol, end: &Expr) -> Option<Expr> {
        self.gap.instantiated(&[(variable.clone(), end.clone())])
    }
}

/// The problems to which a monotone difference reduces: that it is defined from the end on, that it
/// has a derivative inside, the sign of that, and the claim at the end.
pub(crate) fn monotone_parts(
    problem: &Problem,
    variable: &Symbol,
    rising: bool,
    end: &Expr,
    strict_slope: bool,
) -> Option<[Problem; 4]> {
    let curve = Curve::of(problem, variable)?;
    let (near, far) = if rising {
        (&curve.lower, &curve.upper)
    } else {
        (&curve.upper, &curve.lower)
    };
    let (_, near_strict) = chosen(near, end)?;
    let under = |start: Problem, value: &Expr, strict: &dyn Fn(bool) -> bool| {
        far.iter().fold(start, |problem, (bound, own)| {
            Curve::bounded(&problem, value, (!rising, strict(*own)), bound)
        })
    };
    let from = |strict| Curve::bounded(&curve.free, &curve.own, (rising, strict), end);
    let closed = under(from(false), &curve.own, &|own| own);
    let open = under(from(true), &curve.own, &|_| true);
    let start = under(curve.free.clone(), end, &|own| own || near_strict);
    let slope = differentiate(&curve.gap, variable)?;
    // Off the end a strictly monotone difference is above its value there.
    let start_strict = curve.strict && !(strict_slope && near_strict);
    let value = curve.at(variable, end)?;
    Some([
        closed.with_goal(Goal::Defined(curve.gap.clone())),
        open.with_goal(Goal::Defined(derivative(variable, &curve.gap))),
        open.with_goal(compared(slope, relation(rising, strict_slope))),
        start.with_goal(compared(value, relation(true, start_strict))),
    ])
}

/// The problems to which a concave difference reduces: that it is defined between the ends, that it
/// has a second derivative inside, the sign of that, and the claim at the left and right end.
pub(crate) fn concave_parts(
    problem: &Problem,
    variable: &Symbol,
    left: &Expr,
    right: &Expr,
    strict_bend: bool,
) -> Option<[Problem; 5]> {
    let curve = Curve::of(problem, variable)?;
    let (low, high) = (chosen(&curve.lower, left)?, chosen(&curve.upper, right)?);
    // A strictly concave function is above its smaller end value inside.
    let strict = curve.strict && !(strict_bend && low.1 && high.1);
    let between = |strict| {
        let problem = Curve::bounded(&curve.free, &curve.own, (true, strict), left);
        Curve::bounded(&problem, &curve.own, (false, strict), right)
    };
    let bend = differentiate(&differentiate(&curve.gap, variable)?, variable)?;
    let twice = derivative(variable, &derivative(variable, &curve.gap));
    let ends = Curve::bounded(&curve.free, left, (false, false), right);
    let at = |end| Some(compared(curve.at(variable, end)?, relation(true, strict)));
    Some([
        between(false).with_goal(Goal::Defined(curve.gap.clone())),
        between(true).with_goal(Goal::Defined(twice)),
        between(true).with_goal(compared(bend, relation(false, strict_bend))),
        ends.with_goal(at(left)?),
        ends.with_goal(at(right)?),
    ])
}

fn derivative(variable: &Symbol, body: &Expr) -> Expr {
    Node::Derivative {
        variable: variable.clone(),
        body: body.clone(),
    }
    .into()
}
