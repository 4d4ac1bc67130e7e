//! Exercises as text, for sheets of variants.

use super::page::Page;
use super::tex::{condition, interval, name, tex};
use crate::exercise::{Subject, Task};
use kernel::Symbol;

/// What is asked about a sequence, in our own words.
#[must_use]
pub fn statement(subject: &Subject, task: Task, page: Page) -> String {
    let family = &subject.family;
    let own = subject
        .name
        .clone()
        .unwrap_or_else(|| Symbol::new(if family.point.is_some() { "f" } else { "a" }));
    let sequence = format!("{}_{}", name(&own), name(&family.index));
    let given = if family.conditions.is_empty() {
        String::new()
    } else {
        let all: Vec<String> = family.conditions.iter().map(condition).collect();
        format!("Let ${}$. ", all.join("$ and $"))
    };
    let Some(point) = &family.point else {
        let defined = page.display(&format!("{sequence} = {}.", tex(&family.term)));
        return match &subject.limit {
            Some(limit) if !task.find_limit => {
                format!(
                    "{given}Let\n{defined}\nShow that ${sequence} \\to {}$.",
                    tex(limit)
                )
            }
            _ => format!(
                "{given}Let\n{defined}\nFind the limit of $({sequence})$ and prove that it is the limit."
            ),
        };
    };
    let x = name(point);
    let domain = interval(&family.domain);
    let defined = page.display(&format!("{sequence}({x}) = {}", tex(&family.term)));
    let opening = format!("{given}For ${x} \\in {domain}$ let\n{defined}");
    let limit = subject.limit.as_ref().map(tex);
    let asked = match (limit, task) {
        (Some(limit), Task { uniform: true, .. }) => {
            format!("Show that ${sequence} \\to {limit}$ uniformly on ${domain}$.")
        }
        (None, Task { uniform: true, .. }) => {
            format!("Show that $({sequence})$ converges uniformly on ${domain}$.")
        }
        (
            Some(limit),
            Task {
                not_uniform: true, ..
            },
        ) => format!(
            "Show that ${sequence} \\to {limit}$ pointwise on ${domain}$ but not uniformly."
        ),
        (
            None,
            Task {
                not_uniform: true, ..
            },
        ) => {
            format!("Show that the convergence is not uniform on ${domain}$.")
        }
        (_, Task { decide: true, .. }) => format!(
            "Find the pointwise limit and decide whether the convergence is uniform on ${domain}$."
        ),
        (Some(limit), _) => {
            format!("Show that ${sequence} \\to {limit}$ pointwise on ${domain}$.")
        }
        (None, _) => format!("Find the pointwise limit of $({sequence})$ on ${domain}$."),
    };
    format!("{opening}\n{asked}")
}
