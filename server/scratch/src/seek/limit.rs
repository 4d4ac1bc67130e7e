//! The pointwise limit: by pieces where the expansion depends on the point, each piece proved.

use super::expand::{Limit, limit};
use super::family::{Asker, End, Family, Interval};
use super::{numeric, simplify, solve};
use kernel::{Condition, Expr, Node, Relation};

/// A part of the domain with the limit there.
#[derive(Clone, PartialEq, Debug)]
pub struct Piece {
    /// The part; a single point is a closed interval from it to itself.
    pub domain: Interval,
    /// The limit there, in the point.
    pub value: Expr,
}

/// A pointwise limit.
#[derive(Clone, PartialEq, Debug)]
pub struct Pointwise {
    /// Parts of the domain from left to right. One, if one formula serves.
    pub pieces: Vec<Piece>,
    /// The limit as the exercise gives it, if it does.
    pub given: Option<Expr>,
}

impl Piece {
    /// The single point that the part consists of.
    #[must_use]
    pub fn single(&self) -> Option<&Expr> {
        match (&self.domain.low, &self.domain.high) {
            (Some(low), Some(high)) if low.value == high.value => Some(&low.value),
            _ => None,
        }
    }
}

impl Pointwise {
    /// The limit as one formula, if it is one.
    #[must_use]
    pub fn formula(&self) -> Option<Expr> {
        match (&self.given, self.pieces.as_slice()) {
            (Some(given), _) if !matches!(given.node(), Node::Piecewise(_)) => Some(given.clone()),
            (_, [piece]) => Some(piece.value.clone()),
            _ => None,
        }
    }

    /// The limit as one expression, by cases if need be.
    #[must_use]
    pub fn expr(&self, family: &Family) -> Option<Expr> {
        if let Some(given) = &self.given {
            return Some(given.clone());
        }
        if let [piece] = self.pieces.as_slice() {
            return Some(piece.value.clone());
        }
        let x = family.x()?;
        let branches = self.pieces.iter().map(|piece| {
            let conditions = match piece.single() {
                Some(point) => {
                    vec![Condition::Holds(x.clone(), Relation::Equal, point.clone())]
                }
                None => piece.domain.conditions(&x),
            };
            (Condition::And(conditions), piece.value.clone())
        });
        Some(Node::Piecewise(branches.collect()).into())
    }
}

/// What the pointwise limit is: the given one, or a guess.
#[must_use]
pub fn pointwise(family: &Family, given: Option<&Expr>, asker: Asker<'_>) -> Option<Pointwise> {
    if let Some(given) = given {
        let pieces = vec![Piece {
            domain: family.domain.clone(),
            value: given.clone(),
        }];
        return Some(Pointwise {
            pieces,
            given: Some(given.clone()),
        });
    }
    let mut pieces = Vec::new();
    collect(family, asker, 4, &mut pieces)?;
    Some(Pointwise {
        pieces: joined(family, pieces, asker),
        given: None,
    })
}

/// Whether the kernel proves that it is the limit: on the pieces, or on the parts on which an
/// expansion tells them apart.
#[must_use]
pub fn is_limit(family: &Family, limit: &Pointwise, asker: Asker<'_>) -> bool {
    let proved = |domain: &Interval, value: &Expr| {
        asker.vanishes(&family.on(domain.clone()), &family.term.minus(value), false)
    };
    let whole = |piece: &Piece| proved(&piece.domain, &piece.value);
    if limit.pieces.iter().all(whole) {
        return true;
    }
    let [piece] = limit.pieces.as_slice() else {
        return false;
    };
    let mut parts = Vec::new();
    collect(family, asker, 4, &mut parts).is_some()
        && 1 < parts.len()
        && parts.iter().all(|part| proved(&part.domain, &piece.value))
}

fn collect(family: &Family, asker: Asker<'_>, depth: usize, pieces: &mut Vec<Piece>) -> Option<()> {
    let context = family.context(family.first);
    match limit(family, &family.term, &family.index, asker) {
        Limit::Value(value) => {
            pieces.push(Piece {
                domain: family.domain.clone(),
                value: simplify::short(&context, &value),
            });
            Some(())
        }
        Limit::Undecided(value) if 0 < depth => {
            let point = family.point.as_ref()?;
            let mut places: Vec<(f64, Expr)> = solve::zeros(&context, &value, point)
                .into_iter()
                .chain([Expr::integer(0), Expr::integer(1), Expr::integer(-1)])
                .filter(|place| !place.mentions(point) && !place.mentions(&family.index))
                .filter_map(|place| Some((numeric::constant(family, &place)?, place)))
                .filter(|(at, _)| vanishes_at(family, &value, *at))
                .collect();
            places.sort_by(|left, right| left.0.total_cmp(&right.0));
            places.dedup_by(|left, right| left.0.to_bits() == right.0.to_bits());
            let parts = cut(family, &places)?;
            if parts.len() < 2 {
                return None;
            }
            for part in parts {
                part_limit(family, &part, asker, depth - 1, pieces)?;
            }
            Some(())
        }
        _ => None,
    }
}

/// Whether a value vanishes at a point, in doubles, or its size is 1 there (|x| − 1).
fn vanishes_at(family: &Family, value: &Expr, at: f64) -> bool {
    numeric::Sampler::new(family, value).is_some_and(|mut sampler| {
        let own = sampler.at(1.0, at);
        own.abs() < 1e-9
    })
}

fn part_limit(
    family: &Family,
    part: &Interval,
    asker: Asker<'_>,
    depth: usize,
    pieces: &mut Vec<Piece>,
) -> Option<()> {
    let single = match (&part.low, &part.high) {
        (Some(low), Some(high)) if low.value == high.value => Some(low.value.clone()),
        _ => None,
    };
    let Some(place) = single else {
        return collect(&family.on(part.clone()), asker, depth, pieces);
    };
    let point = family.point.as_ref()?;
    let there = family.term.substitute(point, &place);
    let there = simplify::short(&family.context(family.first), &simplify::polished(&there));
    let value = match limit(family, &there, &family.index, asker) {
        Limit::Value(value) => value,
        _ => return None,
    };
    pieces.push(Piece {
        domain: part.clone(),
        value,
    });
    Some(())
}

/// The domain cut at places inside it: open parts and single points in turns.
fn cut(family: &Family, places: &[(f64, Expr)]) -> Option<Vec<Interval>> {
    let end = |end: &Option<End>, infinite: f64| match end {
        Some(own) => numeric::constant(family, &own.value),
        None => Some(infinite),
    };
    let low = end(&family.domain.low, f64::NEG_INFINITY)?;
    let high = end(&family.domain.high, f64::INFINITY)?;
    let mut parts = Vec::new();
    let mut start = family.domain.low.clone();
    for (at, place) in places {
        let point = |closed| {
            Some(End {
                value: place.clone(),
                closed,
            })
        };
        let is_low = (at - low).abs() < 1e-12;
        let is_high = (at - high).abs() < 1e-12;
        if *at < low && !is_low || high < *at && !is_high {
            continue;
        }
        let belongs = |end: &Option<End>| end.as_ref().is_some_and(|own| own.closed);
        if is_low && !belongs(&family.domain.low) || is_high && !belongs(&family.domain.high) {
            continue;
        }
        if !is_low {
            parts.push(Interval {
                low: start,
                high: point(false),
            });
        }
        parts.push(Interval {
            low: point(true),
            high: point(true),
        });
        start = point(false);
        if is_high {
            return Some(parts);
        }
    }
    parts.push(Interval {
        low: start,
        high: family.domain.high.clone(),
    });
    Some(parts)
}

/// Joins neighbours that one formula serves.
fn joined(family: &Family, pieces: Vec<Piece>, asker: Asker<'_>) -> Vec<Piece> {
    let Some(point) = &family.point else {
        return pieces;
    };
    let mut all: Vec<Piece> = Vec::new();
    for piece in pieces {
        if let Some(last) = all.last_mut() {
            let value = if last.single().is_some() && piece.single().is_none() {
                same_at(
                    family,
                    last.single(),
                    &piece.value,
                    &last.value,
                    asker,
                    point,
                )
                .then(|| piece.value.clone())
            } else if piece.single().is_some() {
                same_at(
                    family,
                    piece.single(),
                    &last.value,
                    &piece.value,
                    asker,
                    point,
                )
                .then(|| last.value.clone())
            } else {
                mirrored(last, &piece, point)
                    .or_else(|| (last.value == piece.value).then(|| last.value.clone()))
            };
            if let Some(value) = value {
                last.domain.high = piece.domain.high;
                last.value = value;
                continue;
            }
        }
        all.push(piece);
    }
    all
}

/// One formula in |x| for formulas that are each other's mirror image at 0.
fn mirrored(left: &Piece, right: &Piece, point: &kernel::Symbol) -> Option<Expr> {
    let zero = Expr::integer(0);
    let meets = right
        .domain
        .low
        .as_ref()
        .is_some_and(|end| end.value == zero);
    let x = Expr::variable(point);
    let turned = simplify::polished(&right.value.substitute(point, &x.negative()));
    (meets && turned == left.value).then(|| right.value.substitute(point, &x.abs()))
}

fn same_at(
    family: &Family,
    place: Option<&Expr>,
    formula: &Expr,
    value: &Expr,
    asker: Asker<'_>,
    point: &kernel::Symbol,
) -> bool {
    place.is_some_and(|place| {
        let there = formula.substitute(point, place);
        there == *value
            || asker.holds(
                &Family {
                    point: None,
                    ..family.clone()
                },
                family.first,
                &there,
                Relation::Equal,
                value,
            )
    })
}
