//! Uniform convergence, and convergence of numbers: the error term, its supremum by calculus, the
//! bound solved for n, and the proof with its threshold.

use super::tex::{interval, tex, within};
use super::{Answer, Writer};
use crate::exercise::Task;
use crate::seek::{End, ErrorShape, Interval, Majorant, Place, Supremum};
use kernel::calculus::differentiate;
use kernel::{Expr, Relation, Symbol};

impl Writer<'_> {
    /// Answers that show uniform convergence, or convergence of a sequence of numbers.
    pub(super) fn uniform(&self, task: Task) -> Vec<Answer> {
        let Some(majorant) = &self.findings.majorant else {
            return Vec::new();
        };
        let told = self.calculus(true);
        let untold = self.calculus(false);
        let mut tried = vec![(told.clone(), false), (told, true), (untold, false)];
        tried.retain(|(explained, _)| !explained.is_empty());
        tried.dedup();
        tried.push((Vec::new(), false));
        let mut all: Vec<Answer> = tried
            .into_iter()
            .map(|(explained, short)| Answer {
                scratch: self.scratch(majorant, &explained),
                proof: self.proof(majorant, task, short),
            })
            .collect();
        all.push(Answer {
            scratch: Vec::new(),
            proof: self.proof(majorant, task, true),
        });
        all
    }

    fn scratch(&self, majorant: &Majorant, explained: &[String]) -> Vec<String> {
        let Some(error) = &self.findings.error else {
            return Vec::new();
        };
        let names = &self.names;
        let mut paragraphs = Vec::new();
        let mut opening = String::new();
        if self.subject.limit.is_none() && self.subject.family.point.is_some() {
            opening = format!(
                "Keep $x$ fixed and let ${n}$ grow: then ${member} \\to {limit}$.{named} ",
                named = match self.names.limit_name {
                    Some(_) => format!(" So put ${}$.", names.limit_defined()),
                    None => String::new(),
                },
                n = names.n(),
                member = names.member(),
                limit = tex(&names.limit),
            )
            .replace("$x$", &format!("${}$", names.x()));
        }
        opening.push_str("The error term is\n");
        opening.push_str(
            &self
                .page
                .display(&format!("{} = {}.", names.gap(), tex(&error.shown))),
        );
        paragraphs.push(opening);
        paragraphs.extend(explained.iter().cloned());
        paragraphs.push(self.solving(majorant, error, !explained.is_empty()));
        paragraphs
    }

    /// How N is found.
    fn solving(&self, majorant: &Majorant, error: &ErrorShape, calculus: bool) -> String {
        let (free, points) = match &self.subject.family.point {
            Some(_) => (
                format!(", and it will serve all ${}$ at once", self.names.x()),
                format!(
                    " for all ${} \\in {}$",
                    self.names.x(),
                    interval(&self.subject.family.domain)
                ),
            ),
            None => Default::default(),
        };
        let epsilon = Expr::named("ε");
        let bound = majorant.shape.at(&self.subject.family.n());
        let threshold = majorant.shape.threshold(&epsilon);
        let from = if self.subject.family.first < majorant.from {
            format!(" for ${} \\ge {}$", self.names.n(), majorant.from)
        } else {
            String::new()
        };
        let known = match &self.findings.supremum {
            Some(supremum) if !majorant.sharp && supremum.value != bound => format!(
                "A simpler bound is enough: we have ${} \\le {}${from}, and ",
                tex(&supremum.value),
                tex(&bound),
            ),
            _ if error.shown == bound => "Now ".to_owned(),
            Some(_) if calculus => "Now ".to_owned(),
            _ => format!(
                "We have ${} \\le {}${from}{points}, and ",
                tex(&error.shown),
                tex(&bound),
            ),
        };
        format!(
            "{known}${bound} < \\varepsilon$ as soon as ${n} > {threshold}$. This tells how to choose $N${free}.",
            bound = tex(&bound),
            n = self.names.n(),
            threshold = tex(&threshold),
        )
    }

    /// The supremum as it is written, in one form throughout.
    fn greatest(&self, supremum: &Supremum) -> Expr {
        match &self.findings.majorant {
            Some(own) if own.sharp => own.shape.at(&self.subject.family.n()),
            _ => supremum.value.clone(),
        }
    }

    /// How the supremum is found.
    fn calculus(&self, told: bool) -> Vec<String> {
        let (Some(supremum), Some(error), Some(point)) = (
            &self.findings.supremum,
            &self.findings.error,
            &self.subject.family.point,
        ) else {
            return Vec::new();
        };
        let Place::At(place) = &supremum.place else {
            return Vec::new();
        };
        let Some(derivative) = &supremum.derivative else {
            return self.at_end(supremum, place, told);
        };
        let g = self.names.fresh(&["g", "h", "q", "v"]);
        let g = super::tex::name(&g);
        let x = self.names.x();
        let mut paragraphs = Vec::new();
        if error.even {
            paragraphs.push(self.mirrored());
        }
        let domain = interval(&error.half);
        let inner = error.half.interior();
        let inside = if inner == Interval::default() {
            "Its derivative is".to_owned()
        } else {
            let inside = within(&inner, &Expr::variable(point));
            format!("For ${inside}$ its derivative is")
        };
        paragraphs.push(format!(
            "Where is it largest? For a fixed ${fixed}$ let ${g}({x}) = {smooth}$. {inside}\n{display}",
            fixed = self.fixed(supremum),
            smooth = tex(&error.smooth),
            display = self
                .page
                .display(&format!("{g}'({x}) = {}.", tex(derivative))),
        ));
        let sides = self.sides(error, place, point);
        paragraphs.push(format!(
            "We have {sides}, so ${g}$ has its maximum on ${domain}$ at ${x} = {place}$, and its value there is ${g}{argument} = {value}$.",
            place = tex(place),
            argument = super::tex::brackets(&tex(place)),
            value = tex(&self.greatest(supremum)),
        ));
        paragraphs
    }

    /// The signs of the derivative on both sides of its zero.
    fn sides(&self, error: &ErrorShape, place: &Expr, point: &Symbol) -> String {
        let g = super::tex::name(&self.names.fresh(&["g", "h", "q", "v"]));
        let x = Expr::variable(point);
        let end = |value: &Expr, closed| {
            Some(End {
                value: value.clone(),
                closed,
            })
        };
        let mut before = error.half.interior();
        before.high = end(place, false);
        let mut after = error.half.interior();
        after.low = end(place, false);
        format!(
            "${g}'({spelled}) > 0$ for ${before}$ and ${g}'({spelled}) < 0$ for ${after}$",
            spelled = tex(&x),
            before = within(&before, &x),
            after = within(&after, &x),
        )
    }

    /// The greatest value at an end of the domain; `told` names the monotony.
    fn at_end(&self, supremum: &Supremum, place: &Expr, told: bool) -> Vec<String> {
        let Some(error) = &self.findings.error else {
            return Vec::new();
        };
        let is = |end: &Option<End>| end.as_ref().is_some_and(|end| end.value == *place);
        let upper = is(&error.half.high);
        if !error.smooth.mentions(&self.names_point())
            || !error.signed
            || !upper && !is(&error.half.low)
        {
            return Vec::new();
        }
        if told && !self.is_monotone(error, upper) {
            return Vec::new();
        }
        let x = self.names.x();
        let g = super::tex::name(&self.names.fresh(&["g", "h", "q", "v"]));
        let mut paragraphs = Vec::new();
        if error.even {
            paragraphs.push(self.mirrored());
        }
        let (smooth, value, domain) = (
            tex(&error.smooth),
            tex(&self.greatest(supremum)),
            interval(&error.half),
        );
        let place = tex(place);
        paragraphs.push(if told {
            format!(
                "For a fixed ${fixed}$ the function ${g}({x}) = {smooth}$ is {way} on ${domain}$, so it is largest at ${x} = {place}$, with the value ${g}{argument} = {value}$.",
                argument = super::tex::brackets(&place),
                fixed = self.fixed(supremum),
                way = if upper { "increasing" } else { "decreasing" },
            )
        } else {
            format!(
                "It is largest where ${x}$ is as {way} as it can be, at ${x} = {place}$: we have ${smooth} \\le {value}$ for all ${x} \\in {domain}$.",
                way = if upper { "large" } else { "small" },
            )
        });
        paragraphs
    }

    /// Whether the kernel proves the sign of the derivative inside the interval: the sentence
    /// that says so is no formula that a review could hold against it.
    fn is_monotone(&self, error: &ErrorShape, rising: bool) -> bool {
        let inside = self.subject.family.on(error.half.interior());
        let relation = if rising {
            Relation::GreaterEqual
        } else {
            Relation::LessEqual
        };
        differentiate(&error.smooth, &self.names_point()).is_some_and(|slope| {
            let zero = Expr::integer(0);
            self.asker
                .holds(&inside, inside.first, &slope, relation, &zero)
        })
    }

    /// The index with the range for which the supremum is the one that is told.
    fn fixed(&self, supremum: &Supremum) -> String {
        if supremum.from <= self.subject.family.first {
            self.names.n()
        } else {
            format!("{} \\ge {}", self.names.n(), supremum.from)
        }
    }

    fn mirrored(&self) -> String {
        format!(
            "It has the same value at ${x}$ and at $-{x}$, so it is enough to look at ${x} \\ge 0$.",
            x = self.names.x()
        )
    }

    fn names_point(&self) -> Symbol {
        let family = &self.subject.family;
        family.point.clone().unwrap_or_else(|| family.index.clone())
    }

    /// The proof; `short` leaves out the links between the error term and the bound.
    fn proof(&self, majorant: &Majorant, task: Task, short: bool) -> Vec<String> {
        let names = &self.names;
        let family = &self.subject.family;
        let epsilon = Expr::named("ε");
        let large = Expr::named("N");
        let threshold = tex(&majorant.shape.threshold(&epsilon));
        let mut paragraphs = Vec::new();
        let functions = family.point.is_some();
        if functions && self.subject.limit.is_none() {
            let yes = if task.decide { "Yes. " } else { "" };
            paragraphs.push(format!(
                "{yes}For fixed ${x} \\in {domain}$ we have ${member} \\to {limit}$, so the pointwise limit is ${named}$. We show that the convergence is uniform.",
                x = names.x(),
                domain = interval(&family.domain),
                member = names.member(),
                limit = tex(&names.limit),
                named = names.limit_defined(),
            ));
        } else if task.decide {
            paragraphs.push("Yes.".to_owned());
        }
        let least = if family.first < majorant.from {
            format!("$N \\ge {}$ and ", majorant.from)
        } else {
            String::new()
        };
        let mut links = Vec::new();
        let mut last = None;
        let mut link = |relation: &str, value: &Expr| {
            if last.as_ref() != Some(value) {
                links.push(format!("{relation} {}", tex(value)));
                last = Some(value.clone());
            }
        };
        if let Some(error) = &self.findings.error
            && !short
        {
            link("=", &error.shown);
        }
        if let (Some(supremum), false) = (&self.findings.supremum, short)
            && functions
        {
            link("\\le", &self.greatest(supremum));
        }
        let at_n = majorant.shape.at(&family.n());
        link("\\le", &at_n);
        link("\\le", &majorant.shape.at(&large));
        links.push("< \\varepsilon.".to_owned());
        let points = if functions {
            format!(" and all ${} \\in {}$", names.x(), interval(&family.domain))
        } else {
            String::new()
        };
        paragraphs.push(format!(
            "Let $\\varepsilon > 0$. Choose $N \\in \\mathbb{{N}}$ with {least}$N > {threshold}$. For all ${n} \\ge N${points} we have\n{chain}",
            n = names.n(),
            chain = self.page.chain(&names.gap(), &links),
        ));
        paragraphs.push(if functions {
            format!(
                "Here $N$ does not depend on ${x}$. Hence ${sequence} \\to {limit}$ uniformly on ${domain}$.",
                x = names.x(),
                sequence = names.sequence(),
                limit = names.limit_function(),
                domain = interval(&family.domain),
            )
        } else {
            format!("Hence ${} \\to {}$.", names.member(), names.limit())
        });
        paragraphs
    }
}
