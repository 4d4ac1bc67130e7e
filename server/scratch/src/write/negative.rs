//! That convergence is not uniform: the pointwise limit, then points at which the error stays
//! large.

use super::tex::{interval, tex, within};
use super::{Answer, Writer};
use crate::exercise::Task;
use crate::seek::Witness;
use kernel::Expr;

impl Writer<'_> {
    /// Answers that show that the convergence is not uniform.
    pub(super) fn negative(&self, task: Task) -> Vec<Answer> {
        let Some(witness) = &self.findings.witness else {
            return Vec::new();
        };
        // Scratch work, the supremum, and estimates toward the pointwise limit.
        let variants = [
            (true, true, true),
            (true, false, true),
            (true, true, false),
            (true, false, false),
            (false, false, false),
        ];
        variants
            .into_iter()
            .map(|(scratch, supremum, estimates)| {
                let mut proof = self.limit_shown(estimates);
                if let (true, Some(first)) = (task.decide, proof.first_mut()) {
                    first.insert_str(0, "No. ");
                }
                proof.push(self.points(witness, supremum));
                let scratch = if scratch {
                    self.hunt(witness)
                } else {
                    Vec::new()
                };
                Answer { scratch, proof }
            })
            .collect()
    }

    /// How the points are found.
    fn hunt(&self, witness: &Witness) -> Vec<String> {
        let names = &self.names;
        let x = names.x();
        let mut paragraphs = Vec::new();
        if let Some(error) = &self.findings.error {
            paragraphs.push(format!(
                "The error term is\n{}",
                self.page
                    .display(&format!("{} = {}.", names.gap(), tex(&error.shown)))
            ));
        }
        let mut idea = format!(
            "For each fixed ${x}$ the error becomes small, but how fast depends on ${x}$. To see that no single $N$ is enough for all ${x}$, let the point move with ${n}$. A good choice is ${x}_{n} = {point}$",
            n = names.n(),
            point = tex(&witness.point),
        );
        if witness.value.mentions(&self.subject.family.index) {
            idea.push_str(&format!(
                ", because at this point the error is ${} \\ge {}$.",
                tex(&witness.value),
                tex(&witness.bound)
            ));
        } else {
            idea.push_str(&format!(
                ", because at this point the error is ${}$ for all ${} \\ge {}$.",
                tex(&witness.value),
                names.n(),
                witness.from.max(self.subject.family.first)
            ));
        }
        paragraphs.push(idea);
        paragraphs
    }

    /// The points, and what follows.
    fn points(&self, witness: &Witness, supremum: bool) -> String {
        let names = &self.names;
        let family = &self.subject.family;
        let (x, n) = (names.x(), names.n());
        let moving = format!("{x}_{n}");
        let mut links = vec![format!("= {}", tex(&witness.value))];
        if witness.value != witness.bound {
            links.push(format!("\\ge {}", tex(&witness.bound)));
        }
        let gap = names.gap_at(&moving, &witness.point, &witness.limit);
        let from = if witness.from <= family.first {
            format!("${n} \\ge {}$", family.first)
        } else {
            format!("${n} \\ge {}$", witness.from)
        };
        let domain = interval(&family.domain);
        let bound = tex(&witness.bound);
        let drawn = if !supremum {
            String::new()
        } else {
            format!(
                "So $\\sup_{{{x} \\in {domain}}} {} \\ge {bound}$ for all {from}. ",
                names.gap()
            )
        };
        let x_n = Expr::named(&moving);
        let lies = if family.domain.low.is_none() && family.domain.high.is_none() {
            "Then".to_owned()
        } else if witness.part == family.domain {
            format!("Then ${moving} \\in {domain}$ and")
        } else {
            format!(
                "Then ${}$, so ${}({moving}) = {}$, and",
                within(&witness.part, &x_n),
                names.limit_function(),
                tex(&witness.limit)
            )
        };
        format!(
            "For {from} let ${moving} = {point}$. {lies}\n{chain}\n{drawn}Hence the convergence is not uniform on ${domain}$.",
            point = tex(&witness.point),
            chain = self.page.chain(&gap, &with_stop(links)),
        )
    }
}

/// A full stop behind the last link.
fn with_stop(mut links: Vec<String>) -> Vec<String> {
    if let Some(last) = links.last_mut() {
        last.push('.');
    }
    links
}
