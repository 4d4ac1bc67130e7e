//! The parts of a domain on which the limit has one formula, each with its error term.

use crate::seek::numeric::{Sampler, constant};
use crate::seek::{
    Asker, End, Family, Findings, Interval, Piece, Place, Supremum, error, pointwise, simplify,
    supremum,
};
use kernel::show::plain;
use kernel::{Expr, Function, Goal, Node, Relation};

/// A part of the domain.
pub(super) struct Part {
    /// Its lower end; −∞ if it has none.
    pub(super) low: f64,
    /// Its upper end; ∞ if it has none.
    pub(super) high: f64,
    /// Whether its ends belong to it.
    pub(super) closed: [bool; 2],
    /// The error term there.
    pub(super) error: Sampler,
    /// Its supremum there.
    pub(super) supremum: Option<Supremum>,
    /// The supremum and its place at an index.
    pub(super) height: Option<Sampler>,
    pub(super) place: Option<Sampler>,
    /// Whether its formula can jump.
    pub(super) jumps: bool,
    shown: Expr,
    /// Where it is, in words of mathematics.
    place_in_words: String,
}

impl Part {
    /// Whether it is one point.
    pub(super) fn is_single(&self) -> bool {
        self.low >= self.high
    }

    /// Whether its greatest value is known.
    pub(super) fn is_bounded(&self) -> bool {
        self.is_single() || self.supremum.is_some()
    }

    /// The greatest value at an index.
    pub(super) fn height_at(&mut self, n: f64) -> Option<f64> {
        if self.is_single() {
            return Some(self.error.at(n, self.low));
        }
        self.height.as_mut().map(|own| own.at(n, 0.0))
    }

    /// The error term in words of mathematics, with where it is so.
    pub(super) fn text(&self) -> String {
        let text = format!("{} {}", plain(&self.shown), self.place_in_words);
        text.trim_end().to_owned()
    }
}

/// The parts from left to right.
///
/// # Errors
/// Why they cannot be drawn, in words.
pub(super) fn parts(
    family: &Family,
    findings: &Findings,
    asker: Asker<'_>,
) -> Result<Vec<Part>, &'static str> {
    let pieces = pieces(family, findings, asker).ok_or("the cases of its limit were not found")?;
    if pieces.is_empty() {
        return Err("the cases of its limit were not found");
    }
    pieces
        .iter()
        .map(|piece| {
            let own = family.on(piece.domain.clone());
            let known = findings.error.as_ref().filter(|_| pieces.len() == 1);
            if let Some(place) = piece.single() {
                return part(&own, &value_at(&own, place, &piece.value), None, asker);
            }
            let shape = known
                .cloned()
                .unwrap_or_else(|| error(&own, &piece.value, asker));
            let most = if pieces.len() == 1 {
                findings.supremum.clone()
            } else {
                supremum(&own, &shape, asker)
            };
            part(&own, &shape.shown, most, asker)
        })
        .collect()
}

fn part(
    family: &Family,
    shown: &Expr,
    supremum: Option<Supremum>,
    asker: Asker<'_>,
) -> Result<Part, &'static str> {
    let defined = Goal::Defined(shown.clone());
    if !asker.proves(&family.problem(family.first, defined)) {
        return Err("it was not proved to be defined on the whole domain");
    }
    let unreadable = "its values cannot be computed";
    let side = |end: &Option<End>, far: f64| match end {
        Some(own) => constant(family, &own.value).ok_or(unreadable),
        None => Ok(far),
    };
    let closed = |end: &Option<End>| end.as_ref().is_some_and(|own| own.closed);
    let domain = &family.domain;
    let low = side(&domain.low, f64::NEG_INFINITY)?;
    let high = side(&domain.high, f64::INFINITY)?;
    Ok(Part {
        low,
        high,
        closed: [closed(&domain.low), closed(&domain.high)],
        error: Sampler::new(family, shown).ok_or(unreadable)?,
        height: supremum
            .as_ref()
            .and_then(|own| Sampler::new(family, &own.value)),
        place: supremum.as_ref().and_then(|own| match &own.place {
            Place::At(place) => Sampler::new(family, place),
            Place::Toward { .. } => None,
        }),
        supremum,
        jumps: jumps(shown),
        shown: shown.clone(),
        place_in_words: in_words(family, low >= high),
    })
}

/// The error term at one point.
fn value_at(family: &Family, place: &Expr, limit: &Expr) -> Expr {
    let gap = family.term.minus(limit).abs();
    let there = family
        .point
        .as_ref()
        .map_or(gap.clone(), |point| gap.substitute(point, place));
    let context = family.context(family.first);
    simplify::short(&context, &simplify::at_numbers(&context, &there))
}

/// "on [0, 1)" or "at x = 1"; nothing for a sequence of numbers.
fn in_words(family: &Family, single: bool) -> String {
    let Interval { low, high } = &family.domain;
    let value = |end: &Option<End>, far: &str| {
        end.as_ref()
            .map_or_else(|| far.to_owned(), |own| plain(&own.value))
    };
    if family.point.is_none() {
        return String::new();
    }
    if low.is_none() && high.is_none() {
        return "on ℝ".to_owned();
    }
    if single {
        let name = family.point.as_ref().map_or("x", |own| own.as_str());
        return format!("at {name} = {}", value(low, ""));
    }
    let closed = |end: &Option<End>| end.as_ref().is_some_and(|own| own.closed);
    format!(
        "on {}{}, {}{}",
        if closed(low) { '[' } else { '(' },
        value(low, "−∞"),
        value(high, "∞"),
        if closed(high) { ']' } else { ')' },
    )
}

/// The parts as intervals with formulas of the limit; a limit that the draft gives by cases is
/// found again by the engine's own cases, with which it is proved to agree.
fn pieces(family: &Family, findings: &Findings, asker: Asker<'_>) -> Option<Vec<Piece>> {
    let given = findings.limit.given.as_ref();
    let Some(given) = given.filter(|own| matches!(own.node(), Node::Piecewise(_))) else {
        return Some(findings.limit.pieces.clone());
    };
    let own = pointwise(family, None, asker)?.pieces;
    let agrees = |piece: &Piece| {
        let part = family.on(piece.domain.clone());
        asker.holds(&part, family.first, given, Relation::Equal, &piece.value)
    };
    own.iter().all(agrees).then_some(own)
}

/// Whether an expression has a step somewhere, perhaps.
fn jumps(expr: &Expr) -> bool {
    let mut found = false;
    expr.visit(&mut |part| {
        found |= matches!(
            part.node(),
            Node::Piecewise(_) | Node::Call(Function::Floor | Function::Ceil | Function::Sign, _)
        );
    });
    found
}
