//! Partial sums of the usual series, as known inequalities speak of them.

use super::work::Work;
use crate::expr::{Expr, Function, Node, Relation, Run, Symbol};
use crate::recheck::{Lemma, Step};
use dashu::rational::RBig;

/// A partial sum of one of the usual series; whether it is one at an unknown, of which nothing else
/// says more.
pub(super) fn known_series(
    work: &mut Work,
    expr: &Expr,
    (index, from, to, body): (&Symbol, &Expr, &Expr, &Expr),
) -> bool {
    let laws: &[Lemma] = match from.as_number() {
        Some(first) if first.is_zero() => &[
            Lemma::ExpPartial,
            Lemma::ExpRemainder,
            Lemma::BinomialPartial,
            Lemma::ExpTaylor,
            Lemma::SineTaylor,
            Lemma::CosineTaylor,
            Lemma::AtanTaylor,
        ],
        Some(first) if first.is_one() => &[
            Lemma::LogPartial,
            Lemma::LogTaylor,
            Lemma::LogRemainder,
            Lemma::ExpPartial,
            Lemma::ExpRemainder,
            Lemma::ExpTaylor,
            Lemma::CosineTaylor,
        ],
        _ => return false,
    };
    let next = to.plus(&Expr::integer(1));
    if from.as_number().is_some_and(|first| first.is_zero())
        && binomial(work, expr, (index, to, body))
    {
        return true;
    }
    for base in series_bases(index, body) {
        let mut found = false;
        for law in laws {
            found |= known_as(work, expr, *law, vec![base.clone(), to.clone()]);
            // A sum with one term more leaves a strict inequality.
            if found && matches!(law, Lemma::ExpPartial | Lemma::LogPartial) {
                work.take(Step::Lemma(*law, vec![base.clone(), next.clone()]));
            }
        }
        if found {
            return !base.variables().is_empty();
        }
    }
    false
}

/// Σ C(n, k) u^k v^(n − k), also with k or with (k − n u)² before it and divided by powers of n.
fn binomial(work: &mut Work, expr: &Expr, (index, n, body): (&Symbol, &Expr, &Expr)) -> bool {
    let (k, one) = (Expr::variable(index), Expr::integer(1));
    let (mut factorial, mut powers) = (false, Vec::new());
    body.visit(&mut |part| match part.node() {
        Node::Call(Function::Factorial, of) => factorial |= of.mentions(index),
        Node::Pow(base, exponent) if exponent.mentions(index) => {
            powers.push((base.clone(), *exponent == k));
        }
        _ => {}
    });
    let base = |own: bool| powers.iter().find(|(_, plain)| *plain == own).cloned();
    let u = base(true).map_or(one.clone(), |(base, _)| base);
    let v = base(false).map_or(one.clone(), |(base, _)| base);
    let squared = n.power(&Expr::integer(2));
    let scales = [one.clone(), one.over(n), one.over(&squared)];
    factorial
        && scales.into_iter().any(|c| {
            let all = vec![u.clone(), v.clone(), c.clone(), n.clone()];
            let one_sided = vec![u.clone(), c, n.clone()];
            known_as(work, expr, Lemma::BinomialSum, all)
                || known_as(work, expr, Lemma::BinomialVariance, one_sided.clone())
                || known_as(work, expr, Lemma::BinomialMean, one_sided)
        })
}

/// What may be u in a series of powers u^k.
pub(super) fn series_bases(index: &Symbol, body: &Expr) -> Vec<Expr> {
    let one = Expr::integer(1);
    let mut bases = vec![one.clone()];
    let mut factorial = false;
    body.visit(&mut |part| {
        factorial |= matches!(part.node(), Node::Call(Function::Factorial, _));
    });
    body.visit(&mut |part| {
        if let Node::Pow(base, exponent) = part.node()
            && exponent.mentions(index)
            && !base.mentions(index)
            && base.as_number() != Some(RBig::NEG_ONE)
            && !bases.contains(base)
        {
            bases.extend([base.clone(), one.over(base)]);
        }
    });
    if bases.len() == 1 && factorial {
        bases.push(Expr::integer(-1));
    }
    bases
}

/// Takes a law of partial sums if they are this sum.
fn known_as(work: &mut Work, expr: &Expr, law: Lemma, arguments: Vec<Expr>) -> bool {
    let mut trial = work.clone();
    let before = trial.len();
    if !trial.take(Step::Lemma(law, arguments)) {
        return false;
    }
    let atoms = trial.context.facts()[before..].iter();
    let other = atoms
        .flat_map(|(poly, _)| poly.atoms())
        .find(|atom| matches!(atom.node(), Node::Sum { .. }));
    let found = other.is_some_and(|mut other| {
        // Σ from 0 is its first term and Σ from 1.
        if let (Some(run), Some(law)) = (Run::of(expr), Run::of(&other))
            && run.from != law.from
        {
            let rest = law.between(run.from.clone(), law.to.cloned());
            if !trial.take(Step::Peel(other.clone())) {
                return false;
            }
            other = rest;
        }
        other == *expr
            || trial.take(Step::Termwise {
                sum: expr.clone(),
                other,
                relation: Relation::Equal,
                steps: Vec::new(),
            })
    });
    if found {
        *work = trial;
    }
    found
}
