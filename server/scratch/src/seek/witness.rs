//! Points x_n at which the error term stays away from 0: the proof that convergence is not
//! uniform.

use super::error;
use super::family::{Asker, Family, Interval};
use super::limit::{Piece, Pointwise};
use super::numeric::Sampler;
use super::simplify;
use super::supremum::{Place, Supremum};
use kernel::{Constant, Expr, Node, Relation};

/// Points with a bound, proved.
#[derive(Clone, PartialEq, Debug)]
pub struct Witness {
    /// x_n.
    pub point: Expr,
    /// |f_n(x_n) − f(x_n)|, made short.
    pub value: Expr,
    /// A positive number that it never falls below.
    pub bound: Expr,
    /// From which index on.
    pub from: i64,
    /// f(x_n).
    pub limit: Expr,
    /// The part of the domain in which they lie.
    pub part: Interval,
}

const TRIED: [f64; 9] = [1.0, 2.0, 3.0, 5.0, 10.0, 37.0, 100.0, 1000.0, 100_000.0];

/// A candidate that numbers do not speak against.
struct Candidate {
    piece: Piece,
    point: Expr,
    value: Expr,
    limit: Expr,
    least: f64,
    from: i64,
}

/// Finds points and proves that they serve.
#[must_use]
pub fn witness(
    family: &Family,
    limit: &Pointwise,
    supremum: Option<&Supremum>,
    asker: Asker<'_>,
) -> Option<Witness> {
    let point = family.point.as_ref()?;
    let mut found: Vec<Candidate> = Vec::new();
    for piece in &limit.pieces {
        if piece.single().is_some() {
            continue;
        }
        let part = family.on(piece.domain.clone());
        let shape = error(&part, &piece.value, asker);
        let context = part.context(part.first);
        let mut places = Vec::new();
        if let Some(Supremum {
            place: Place::At(place),
            ..
        }) = supremum
        {
            places.push(place.clone());
        }
        places.extend(usual(&part));
        for place in places {
            let at = |own: &Expr| own.substitute(point, &place);
            let value = simplify::at_numbers(&context, &at(&shape.smooth));
            let value = simplify::size(&without_point(&part).context(part.first), &value);
            let Some((from, least)) = stays(&part, &place, &value) else {
                continue;
            };
            found.push(Candidate {
                limit: simplify::short(&context, &at(&piece.value)),
                piece: piece.clone(),
                point: place,
                value,
                least,
                from,
            });
        }
    }
    let rank = |own: &Candidate| {
        let varies = usize::from(own.value.mentions(&family.index));
        12 * varies + simplify::length(&own.point) + simplify::length(&own.value)
    };
    found.sort_by_key(rank);
    found
        .into_iter()
        .take(8)
        .find_map(|own| prove(family, own, asker))
}

fn without_point(family: &Family) -> Family {
    Family {
        point: None,
        ..family.clone()
    }
}

fn prove(family: &Family, own: Candidate, asker: Asker<'_>) -> Option<Witness> {
    let point = family.point.as_ref()?;
    let plain = without_point(family);
    // Where the point lies in the piece, the limit is the piece's.
    let gap = family.term.minus(&own.piece.value).abs();
    let error = gap.substitute(point, &own.point);
    let inside = own.piece.domain.conditions(&own.point);
    if !asker.all_hold(&plain, own.from, &inside)
        || !asker.holds(&plain, own.from, &error, Relation::Equal, &own.value)
    {
        return None;
    }
    let bounds = if own.value.mentions(&family.index) {
        bounds_below(own.least)
    } else {
        vec![own.value.clone()]
    };
    let positive = |bound: &Expr| {
        asker.holds(
            &plain,
            own.from,
            bound,
            Relation::Greater,
            &Expr::integer(0),
        ) && asker.holds(&plain, own.from, &own.value, Relation::GreaterEqual, bound)
    };
    let bound = bounds.into_iter().find(positive)?;
    Some(Witness {
        point: own.point,
        value: own.value,
        bound,
        from: own.from,
        limit: own.limit,
        part: own.piece.domain,
    })
}

/// Simple numbers that are not above a positive one.
fn bounds_below(least: f64) -> Vec<Expr> {
    let mut all = Vec::new();
    let least = least * (1.0 + 1e-9);
    for (above, below) in [
        (2, 1),
        (1, 1),
        (1, 2),
        (1, 3),
        (1, 4),
        (1, 5),
        (1, 10),
        (1, 20),
    ] {
        if f64::from(above) / f64::from(below) <= least {
            all.push(Expr::ratio(i64::from(above), i64::from(below)));
        }
    }
    all.truncate(3);
    all
}

/// From which index on the points lie in the domain and the value stays away from 0, by numbers,
/// with the least value.
fn stays(part: &Family, place: &Expr, value: &Expr) -> Option<(i64, f64)> {
    let mut sampler = Sampler::new(part, value)?;
    let conditions = part.domain.conditions(place);
    let mut sides = Vec::new();
    for condition in &conditions {
        let kernel::Condition::Holds(left, relation, right) = condition else {
            return None;
        };
        sides.push((
            Sampler::new(part, left)?,
            *relation,
            Sampler::new(part, right)?,
        ));
    }
    for from in [part.first, 2, 3] {
        if from < part.first {
            continue;
        }
        #[allow(clippy::cast_precision_loss)]
        let start = from as f64;
        let mut least = f64::INFINITY;
        let serves = TRIED.iter().filter(|n| start <= **n).all(|n| {
            let own = sampler.at(*n, 0.0);
            least = least.min(own);
            0.04 < own
                && sides.iter_mut().all(|(left, relation, right)| {
                    left.at(*n, 0.0)
                        .partial_cmp(&right.at(*n, 0.0))
                        .is_some_and(|ordering| relation.admits(ordering))
                })
        });
        if serves {
            return Some((from, least));
        }
    }
    None
}

/// Points that people try: near each end at several speeds, and out to infinity.
fn usual(part: &Family) -> Vec<Expr> {
    let n = part.n();
    let one = Expr::integer(1);
    let two = Expr::integer(2);
    let pi: Expr = Node::Constant(Constant::Pi).into();
    let small = [
        one.over(&n),
        one.over(&n.sqrt()),
        one.over(&n.power(&two)),
        one.over(&two.times(&n)),
        two.over(&n),
        pi.over(&two.times(&n)),
        pi.over(&n),
        one.over(&n.plus(&one)),
        one.over(&two.power(&n)),
    ];
    let large = [
        n.clone(),
        n.power(&two),
        n.sqrt(),
        two.times(&n),
        n.times(&pi),
        n.times(&pi).over(&two),
        n.plus(&one),
        two.power(&n),
        Node::Constant(Constant::E).into(),
    ];
    let root = two.power(&one.over(&n).negative());
    let mut all = Vec::new();
    match &part.domain.low {
        Some(low) => {
            for own in &small {
                all.push(simplify::polished(&low.value.plus(own)));
            }
            if low.value == Expr::integer(0) && part.domain.high.is_some() {
                all.push(one.minus(&root));
            }
            if low.value != Expr::integer(0) {
                all.extend(small.iter().cloned());
            }
            if part.domain.high.is_none() {
                all.extend(large.iter().cloned());
                all.extend(
                    large
                        .iter()
                        .map(|own| simplify::polished(&low.value.plus(own))),
                );
            }
        }
        None => {
            all.extend(small.iter().chain(&large).cloned());
            all.extend(large.iter().map(Expr::negative));
        }
    }
    if let Some(high) = &part.domain.high {
        if high.value == one {
            all.push(root);
        } else {
            all.push(simplify::polished(&high.value.times(&root)));
        }
        for own in &small {
            all.push(simplify::polished(&high.value.minus(own)));
        }
        if part.domain.low.is_none() {
            all.extend(large.iter().map(Expr::negative));
        }
    }
    all
}
