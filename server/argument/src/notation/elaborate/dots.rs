//! Sums and products with dots, where the pattern is plain.

use super::exact::same;
use super::{Elaborator, Failure};
use crate::notation::syntax::{Term, TermKind};
use kernel::{Expr, Function, Kind, Node, Symbol};

/// A bound index that no author writes.
const INDEX: &str = "k";

/// First values of the index that are tried.
const FIRST_INDICES: std::ops::RangeInclusive<i64> = -1..=3;

impl Elaborator<'_> {
    /// `1 + r + … + r^n`: a general term is read off the last term, and must give the first ones.
    pub(super) fn dotted_sum(&self, terms: &[(bool, Term)], whole: &Term) -> Result<Expr, Failure> {
        let refused = || Failure::at(whole, "the dots could not be filled in");
        let dots = dots_at(terms.iter().map(|(_, term)| term)).ok_or_else(refused)?;
        let values = |part: &[(bool, Term)]| {
            part.iter()
                .map(|(negative, term)| self.signed(*negative, term))
                .collect::<Result<Vec<_>, _>>()
        };
        let first = values(&terms[..dots])?;
        let last = values(&terms[dots + 1..])?;
        if first.is_empty() {
            return Err(refused());
        }
        let Some((end, rest)) = last.split_first() else {
            let (index, from, body) =
                geometric(&first, self.fresh_index(&first)).ok_or_else(refused)?;
            return Ok(Node::Sum {
                index,
                from,
                to: None,
                body,
            }
            .into());
        };
        let found = self.general(&first, end).ok_or_else(refused)?;
        let sum: Expr = Node::Sum {
            index: found.index,
            from: Expr::integer(found.from),
            to: Some(found.to),
            body: found.body,
        }
        .into();
        let mut all = vec![sum];
        all.extend(rest.iter().cloned());
        Ok(Expr::sum_of(all))
    }

    /// `1·2·…·n` and `n(n−1)⋯1` are factorials; other products are found like sums. The factors
    /// are groups side by side between explicit signs.
    pub(super) fn dotted_product(&self, groups: &[&[Term]], whole: &Term) -> Result<Expr, Failure> {
        let refused = || Failure::at(whole, "the dots could not be filled in");
        let mut first = Vec::new();
        let mut last = Vec::new();
        let mut passed = false;
        for group in groups {
            let mut parts = group.split(|item| matches!(item.kind, TermKind::Dots));
            if let Some(part) = parts.next() {
                let values = self.factors(part)?;
                if passed { &mut last } else { &mut first }.extend(values);
            }
            for part in parts {
                if passed {
                    return Err(refused());
                }
                passed = true;
                last.extend(self.factors(part)?);
            }
        }
        if last.len() > 1 {
            // n(n−1)⋯2·1: read from the other end.
            std::mem::swap(&mut first, &mut last);
            first.reverse();
            last.reverse();
            last = last.split_off(last.len().saturating_sub(1));
        }
        let [end] = last.as_slice() else {
            return Err(refused());
        };
        let found = self.general(&first, end).ok_or_else(refused)?;
        if found.body.as_variable() == Some(&found.index) && found.from == 1 {
            return Ok(found.to.call(Function::Factorial));
        }
        Ok(Node::Product {
            index: found.index,
            from: Expr::integer(found.from),
            to: found.to,
            body: found.body,
        }
        .into())
    }

    /// An index name that occurs nowhere in the terms.
    fn fresh_index(&self, terms: &[Expr]) -> Symbol {
        let taken = |name: &Symbol| terms.iter().any(|term| term.mentions(name));
        let mut name = INDEX.to_owned();
        while taken(&Symbol::new(&name)) {
            name.push('′');
        }
        Symbol::new(&name)
    }

    /// The general term that has `end` as its last and `first` as its first values.
    fn general(&self, first: &[Expr], end: &Expr) -> Option<General> {
        let mut all = first.to_vec();
        all.push(end.clone());
        let index = self.fresh_index(&all);
        let place = Expr::variable(&index);
        for upper in end.variables() {
            if self.vocabulary.kind(&upper) == Some(Kind::Real)
                || first.iter().any(|term| term.mentions(&upper))
            {
                continue;
            }
            let body = end.substitute(&upper, &place);
            // A sequence's own terms are told by their index alone; else two terms are needed.
            let enough = first.len() >= 2 || matches!(end.node(), Node::Apply(..));
            if !enough {
                continue;
            }
            for from in FIRST_INDICES {
                let fits = first
                    .iter()
                    .zip(from..)
                    .all(|(term, at)| same(term, &body.substitute(&index, &Expr::integer(at))));
                if fits {
                    return Some(General {
                        index,
                        from,
                        to: Expr::variable(&upper),
                        body,
                    });
                }
            }
        }
        None
    }
}

struct General {
    index: Symbol,
    from: i64,
    to: Expr,
    body: Expr,
}

/// The one place of dots.
fn dots_at<'t>(terms: impl Iterator<Item = &'t Term>) -> Option<usize> {
    let mut found = terms
        .enumerate()
        .filter(|(_, term)| matches!(term.kind, TermKind::Dots))
        .map(|(at, _)| at);
    let first = found.next()?;
    found.next().is_none().then_some(first)
}

/// `1 + r + r² + …`: first value times a constant ratio, from three terms at least.
fn geometric(terms: &[Expr], index: Symbol) -> Option<(Symbol, Expr, Expr)> {
    let [first, second, third, ..] = terms else {
        return None;
    };
    if !same(&third.times(first), &second.times(second)) {
        return None;
    }
    let ratio = if same(first, &Expr::integer(1)) {
        second.clone()
    } else {
        second.over(first)
    };
    for pair in terms.windows(2) {
        if !same(&pair[1], &pair[0].times(&ratio)) {
            return None;
        }
    }
    let power = ratio.power(&Expr::variable(&index));
    let body = if same(first, &Expr::integer(1)) {
        power
    } else {
        first.times(&power)
    };
    Some((index, Expr::integer(0), body))
}

/// The number `steps` after a literal number.
pub(super) fn successor(first: &Expr, steps: usize) -> Option<Expr> {
    let value = first.as_number()?;
    let more = Expr::integer(i64::try_from(steps).ok()?).as_number()?;
    Some(Expr::number(value + more))
}
