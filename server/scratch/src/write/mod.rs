//! Scratch work and proofs as text, in several variants from the most telling to the plainest;
//! whoever asks takes the first that a review finds right.

mod negative;
mod page;
mod pointwise;
mod statement;
mod tex;
mod uniform;

pub use page::{Names, Page};
pub use statement::statement;

use crate::exercise::{Exercise, Part, Subject};
use crate::seek::{Asker, Findings, study};

/// An answer in parts.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Answer {
    /// Paragraphs of scratch work; may be empty.
    pub scratch: Vec<String>,
    /// Paragraphs of the proof.
    pub proof: Vec<String>,
}

impl Answer {
    /// One part of the answer as text; `None` if there is none.
    #[must_use]
    pub fn part(&self, page: Page, exercise: &Exercise, part: Part) -> Option<String> {
        let own = match part {
            Part::Both => self.clone(),
            Part::ScratchWork => Self {
                scratch: self.scratch.clone(),
                proof: Vec::new(),
            },
            Part::Proof => Self {
                scratch: Vec::new(),
                proof: self.proof.clone(),
            },
        };
        let empty = own.scratch.is_empty() && own.proof.is_empty();
        (!empty).then(|| own.text(page, exercise))
    }

    /// The answer as text.
    #[must_use]
    pub fn text(&self, page: Page, exercise: &Exercise) -> String {
        if exercise.bare {
            let paragraphs: Vec<&str> = self
                .scratch
                .iter()
                .chain(&self.proof)
                .map(String::as_str)
                .collect();
            return paragraphs.join("\n\n");
        }
        let mut parts = Vec::new();
        if !self.scratch.is_empty() {
            let body = self.scratch.join("\n\n");
            parts.push(format!("{}{body}", page.heading("Scratch work")));
        }
        let task = exercise.task;
        if self.proof.is_empty() {
            return parts.join("\n\n");
        }
        if task.decide || task.find_limit {
            let body = self.proof.join("\n\n");
            parts.push(format!("{}{body}", page.heading("Solution")));
        } else {
            parts.push(page.proof(&self.proof));
        }
        parts.join("\n\n")
    }
}

/// Answers to an exercise, the best first; none, with the reason in words, if it is beyond us.
///
/// # Errors
/// The reason in words.
pub fn answers(exercise: &Exercise, page: Page, asker: Asker<'_>) -> Result<Vec<Answer>, String> {
    let subject = exercise.subject.as_ref().map_err(|own| (*own).to_owned())?;
    let findings = study(&subject.family, subject.limit.as_ref(), asker).ok_or_else(|| {
        if subject.limit.is_some() {
            "no proof was found that this is the limit".to_owned()
        } else {
            "the pointwise limit was not found".to_owned()
        }
    })?;
    let task = exercise.task;
    let limit = findings
        .limit
        .expr(&subject.family)
        .ok_or("the pointwise limit was not found")?;
    let pieces = findings.limit.formula().is_none();
    let limit_name = subject.limit_name.clone().or_else(|| {
        // A limit by cases, or one that depends on the point, needs a name of its own.
        let varies = pieces
            || subject
                .family
                .point
                .iter()
                .any(|point| limit.mentions(point));
        (varies && subject.limit.is_none())
            .then(|| subject.name.clone())
            .flatten()
    });
    let names = Names::new(subject, limit, limit_name);
    let writer = Writer {
        subject,
        findings: &findings,
        names,
        page,
        asker,
    };
    if task.uniform || task.decide && findings.uniform == Some(true) {
        if findings.uniform == Some(false) {
            return Err("the convergence is not uniform".to_owned());
        }
        let found = writer.uniform(task);
        return nonempty(
            found,
            "no bound without the point was found that tends to 0",
        );
    }
    if task.not_uniform || task.decide {
        if findings.uniform == Some(true) {
            return Err("the convergence is uniform".to_owned());
        }
        let found = writer.negative(task);
        return nonempty(found, "no points were found at which the error stays large");
    }
    nonempty(writer.pointwise(task), "no estimate was found")
}

fn nonempty(found: Vec<Answer>, reason: &str) -> Result<Vec<Answer>, String> {
    if found.is_empty() {
        Err(reason.to_owned())
    } else {
        Ok(found)
    }
}

/// What the parts of an answer need.
struct Writer<'a> {
    subject: &'a Subject,
    findings: &'a Findings,
    names: Names<'a>,
    page: Page,
    asker: Asker<'a>,
}
