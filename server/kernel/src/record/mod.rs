//! Evidence as text: written down with a version, read back as data, and judged anew by
//! [`crate::recheck`] before it counts. Nothing in here is trusted.

mod code;
mod form;
mod table;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

use crate::goal::Problem;
use crate::recheck::{
    Certificate, Counterexample, Proof, Separation, Witness, confirm, separate, verify,
};
use crate::verdict::Point;
use code::Coded;
pub use form::{Form, FormError};

/// The version of the text form. It grows when keywords are added; none is ever changed.
const VERSION: u32 = 1;
const HEAD: &str = "majorant-evidence";

/// What a record says, before it is judged.
#[derive(Clone, PartialEq, Debug)]
pub enum Record {
    /// A proof of the problem.
    Proof(Problem, Proof),
    /// A point at which the problem's claim fails.
    Point(Problem, Point),
    /// Points at which the problem's term stays away from 0.
    Witness(Problem, Witness),
}

code::coded!(Record {
    "proof" Proof(problem, proof),
    "counterexample" Point(problem, point),
    "separation" Witness(problem, witness),
});

/// Evidence that was judged anew.
#[derive(Clone, Debug)]
pub enum Evidence {
    /// The problem's claim is true.
    Proved(Certificate),
    /// The problem's claim is false at a point.
    Refuted(Counterexample),
    /// The problem's term does not tend to 0.
    Separated(Separation),
}

impl Record {
    /// The record of a certificate.
    #[must_use]
    pub fn of_certificate(certificate: &Certificate) -> Self {
        Self::Proof(certificate.problem().clone(), certificate.proof().clone())
    }

    /// The record of a counterexample to the problem.
    #[must_use]
    pub fn of_counterexample(problem: &Problem, counterexample: &Counterexample) -> Self {
        Self::Point(problem.clone(), counterexample.point().clone())
    }

    /// The record of a distance from 0.
    #[must_use]
    pub fn of_separation(separation: &Separation) -> Self {
        Self::Witness(separation.problem().clone(), separation.witness().clone())
    }

    /// The problem that the record speaks of.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        match self {
            Self::Proof(problem, _) | Self::Point(problem, _) | Self::Witness(problem, _) => {
                problem
            }
        }
    }

    /// The record as a form.
    #[must_use]
    pub fn form(&self) -> Form {
        Form::tagged(HEAD, vec![VERSION.form(), Coded::form(self)])
    }

    /// The record as text.
    #[must_use]
    pub fn write(&self) -> String {
        format!("{}\n", self.form())
    }

    /// The record of a form; `None` if it is none of a version that is known.
    #[must_use]
    pub fn of_form(form: &Form) -> Option<Self> {
        match form.parts()? {
            (HEAD, [version, record]) if u32::value(version)? <= VERSION => Coded::value(record),
            _ => None,
        }
    }

    /// The record of a text.
    ///
    /// # Errors
    /// The place at which the text is no form; 0 if it is a form but no record.
    pub fn read(text: &str) -> Result<Self, FormError> {
        Self::of_form(&Form::read(text)?).ok_or(FormError { at: 0 })
    }

    /// Judges what the record says; evidence if all of it holds.
    #[must_use]
    pub fn judge(self) -> Option<Evidence> {
        Some(match self {
            Self::Proof(problem, proof) => Evidence::Proved(verify(&problem, proof)?),
            Self::Point(problem, point) => Evidence::Refuted(confirm(&problem, &point)?),
            Self::Witness(problem, witness) => Evidence::Separated(separate(&problem, witness)?),
        })
    }
}
