//! What is to be found out about a sequence, each result guessed first and then proved: pointwise
//! limit, error term, its supremum, a threshold, or a witness against uniform convergence.

pub mod error;
mod expand;
pub mod family;
pub mod limit;
pub(crate) mod numeric;
pub mod simplify;
mod solve;
pub mod supremum;
pub mod threshold;
pub mod witness;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

pub use error::{ErrorShape, error};
pub use family::{Asker, End, Family, Interval};
pub use limit::{Piece, Pointwise, pointwise};
pub use supremum::{Place, Supremum, supremum};
pub use threshold::{Majorant, Shape, majorant};
pub use witness::{Witness, witness};

use kernel::Expr;

/// All that was found and proved about a sequence of functions or numbers.
#[derive(Clone, Debug)]
pub struct Findings {
    /// The pointwise limit.
    pub limit: Pointwise,
    /// The error term, where the limit has one formula.
    pub error: Option<ErrorShape>,
    /// Its supremum over the domain.
    pub supremum: Option<Supremum>,
    /// Whether the convergence is uniform; `None` if that was not decided.
    pub uniform: Option<bool>,
    /// A bound of the error term that can be solved for n.
    pub majorant: Option<Majorant>,
    /// Points that show that it is not uniform.
    pub witness: Option<Witness>,
}

/// Studies a sequence; nothing of the result is unproved. `given` is the limit that the exercise names; `None` if the limit is not
/// found or not proved.
#[must_use]
pub fn study(family: &Family, given: Option<&Expr>, asker: Asker<'_>) -> Option<Findings> {
    let limit = pointwise(family, given, asker)?;
    let mut findings = Findings {
        error: None,
        supremum: None,
        uniform: None,
        majorant: None,
        witness: None,
        limit,
    };
    let formula = findings.limit.formula();
    if let Some(limit) = &formula {
        let shape = error(family, limit, asker);
        findings.supremum = supremum(family, &shape, asker);
        findings.majorant = majorant(family, &shape, findings.supremum.as_ref(), asker);
        findings.error = Some(shape);
    }
    if findings.majorant.is_some() {
        // A bound that tends to 0 proves the limit as well.
        findings.uniform = Some(true);
        return Some(findings);
    }
    if findings
        .error
        .as_ref()
        .is_some_and(|error| error.shown == Expr::integer(0))
        || !limit::is_limit(family, &findings.limit, asker)
    {
        return None;
    }
    if family.point.is_some() {
        findings.witness = witness(family, &findings.limit, findings.supremum.as_ref(), asker);
        findings.uniform = findings.witness.is_some().then_some(false);
    }
    Some(findings)
}
