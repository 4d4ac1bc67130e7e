//! The error term in numbers, for pictures: curves at several indices with their greatest values
//! and a bound free of the point, and the supremum along the index.
//!
//! What is marked was proved. Where that leaves nothing to mark, or where the error term is not
//! known to be defined on the whole domain, there is no portrait, but a reason.

mod fixed;
mod parts;
mod sizes;
mod trace;
mod window;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

use crate::exercise::Subject;
use crate::limits;
use crate::seek::numeric::Sampler;
use crate::seek::{Asker, Family, Findings, study};
use kernel::show::plain;
use kernel::{Expr, Node};
use parts::Part;

pub use sizes::{Power, Sizes};

/// A point of the picture: (x, e_n(x)), or (n, sup e_n).
pub type Dot = [f64; 2];

/// All that a picture of an error term shows.
#[derive(Clone, PartialEq, Debug)]
pub struct Portrait {
    /// The error term on each part of the domain, in Unicode mathematics.
    pub error: Vec<String>,
    /// The index.
    pub index: String,
    /// The index from which on everything that is told holds.
    pub from: i64,
    /// Names for which values were put, with these values.
    pub fixed: Vec<(String, String)>,
    /// The supremum as a formula in the index, if it is proved.
    pub supremum: Option<String>,
    /// A bound free of the point as a formula in the index, if one is proved.
    pub bound: Option<String>,
    /// What the error term never falls below at the points of a witness, if there is one.
    pub witness: Option<String>,
    /// Whether the convergence is uniform, if that is proved.
    pub uniform: Option<bool>,
    /// The curves; `None` for sequences of numbers.
    pub scene: Option<Scene>,
    /// The supremum along the index; `None` if it is not known, or 0 somewhere.
    pub sizes: Option<Sizes>,
}

/// Curves of the error term over a part of the domain.
#[derive(Clone, PartialEq, Debug)]
pub struct Scene {
    /// The point's name.
    pub point: String,
    /// What is seen of the domain.
    pub from: f64,
    /// Its other end.
    pub to: f64,
    /// Whether the domain goes on to the left of it, and to the right.
    pub beyond: [bool; 2],
    /// The greatest value seen.
    pub top: f64,
    /// The curves by their index.
    pub curves: Vec<Curve>,
}

/// The error term at one index.
#[derive(Clone, PartialEq, Debug)]
pub struct Curve {
    /// The index.
    pub index: i64,
    /// Its parts from left to right.
    pub lines: Vec<Vec<Dot>>,
    /// Values at single points that stand apart.
    pub single: Vec<Dot>,
    /// Where its greatest value is, or is approached, inside what is seen.
    pub greatest: Option<Greatest>,
    /// Its supremum.
    pub supremum: Option<f64>,
    /// A proved bound.
    pub bound: Option<f64>,
    /// The point of a witness against uniform convergence, with its value.
    pub witness: Option<Dot>,
    /// Whether it leaves the picture at the top.
    pub cut: bool,
}

/// A place of a supremum.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Greatest {
    /// The place and the supremum.
    pub dot: Dot,
    /// Whether it is a value of the curve.
    pub attained: bool,
}

/// What decides on a portrait: the sequence and its limit, and not what the draft calls them.
#[must_use]
pub fn key(subject: &Subject) -> String {
    format!("{:?}, {:?}", subject.family, subject.limit)
}

/// The portrait of a sequence.
///
/// # Errors
/// Why there is none, in words.
pub fn portrait(subject: &Subject, asker: Asker<'_>) -> Result<Portrait, &'static str> {
    let (family, limit, fixed) = fixed::fix(&subject.family, subject.limit.as_ref())?;
    if limit.iter().chain([&family.term]).any(repeats) {
        return Err("it is a sum or a product of many terms");
    }
    let given = limit.filter(|limit| limit.unknown_functions().is_empty());
    let findings = study(&family, given.as_ref(), asker).ok_or("the limit was not proved")?;
    let mut parts = parts::parts(&family, &findings, asker)?;
    let known = Known::of(&family, &findings, &parts);
    let from = known
        .from
        .ok_or("neither its supremum, nor a bound, nor points that show something are known")?;
    let scene = match &family.point {
        None => None,
        Some(point) => Some(window::scene(point, &mut parts, known.clone())?),
    };
    let sizes = sizes::sizes(&family, &mut parts, known);
    if scene.is_none() && sizes.is_none() {
        return Err("its values leave nothing to draw");
    }
    Ok(Portrait {
        error: parts.iter().map(Part::text).collect(),
        index: family.index.as_str().to_owned(),
        from,
        fixed: fixed
            .iter()
            .map(|(name, value)| (name.as_str().to_owned(), plain(value)))
            .collect(),
        supremum: match parts.as_slice() {
            [part] => part.supremum.as_ref().map(|own| plain(&own.value)),
            _ => None,
        },
        bound: findings.majorant.as_ref().map(|own| plain(&own.bound)),
        witness: findings.witness.as_ref().map(|own| plain(&own.bound)),
        uniform: findings.uniform,
        scene,
        sizes,
    })
}

/// Whether it has sums or products over an index, whose values at many points take long and are
/// known to few digits.
fn repeats(expr: &Expr) -> bool {
    let mut found = false;
    expr.visit(&mut |part| {
        found |= matches!(part.node(), Node::Sum { .. } | Node::Product { .. });
    });
    found
}

/// What was proved, as functions of the index.
#[derive(Clone)]
struct Known {
    bound: Option<Sampler>,
    witness: Option<Sampler>,
    /// Whether the supremum is known on every part.
    suprema: bool,
    /// From which index on; `None` if nothing was proved.
    from: Option<i64>,
}

impl Known {
    fn of(family: &Family, findings: &Findings, parts: &[Part]) -> Self {
        let bound = findings
            .majorant
            .as_ref()
            .and_then(|own| Some((own.from, Sampler::new(family, &own.bound)?)));
        let witness = findings
            .witness
            .as_ref()
            .and_then(|own| Some((own.from, Sampler::new(family, &own.point)?)));
        let suprema = family.point.is_some() && parts.iter().all(Part::is_bounded);
        let starts = [
            bound.as_ref().map(|own| own.0),
            witness.as_ref().map(|own| own.0),
            suprema.then_some(family.first),
            parts
                .iter()
                .filter_map(|part| part.supremum.as_ref())
                .map(|own| own.from)
                .max(),
        ];
        // Where one of them is known, the others only have to hold at the shown indices as well.
        let anything = bound.is_some() || witness.is_some() || suprema;
        let from = starts.into_iter().flatten().max();
        Self {
            bound: bound.map(|own| own.1),
            witness: witness.map(|own| own.1),
            suprema,
            from: from
                .filter(|_| anything)
                .map(|own| own.max(family.first).max(limits::FIRST_DRAWN)),
        }
    }
}
