//! Pointwise convergence and limits of numbers: an estimate at a fixed point, or piece by piece.

use super::tex::{interval, place, tex, within};
use super::{Answer, Writer};
use crate::exercise::Task;
use crate::seek::{self, Interval, threshold};
use kernel::{Expr, Node};

impl Writer<'_> {
    /// Answers that show pointwise convergence, or convergence of numbers.
    pub(super) fn pointwise(&self, task: Task) -> Vec<Answer> {
        if self.subject.family.point.is_none() {
            return self.uniform(task);
        }
        let mut all = Vec::new();
        all.extend(self.by_threshold());
        for estimates in [true, false] {
            all.push(Answer {
                scratch: Vec::new(),
                proof: self.limit_shown(estimates),
            });
        }
        all.dedup();
        all
    }

    /// The proof with a threshold that may depend on the point.
    fn by_threshold(&self) -> Option<Answer> {
        let error = self.findings.error.as_ref()?;
        let family = &self.subject.family;
        let own = threshold::pointwise_bound(family, error, self.asker)?;
        let names = &self.names;
        let (x, n) = (names.x(), names.n());
        let epsilon = Expr::named("ε");
        let at_n = own.shape.at(&family.n());
        let solved = tex(&own.shape.threshold(&epsilon));
        let mut links = vec![format!("= {}", tex(&error.shown))];
        if at_n != error.shown {
            links.push(format!("\\le {}", tex(&at_n)));
        }
        links.push(format!("\\le {}", tex(&own.shape.at(&Expr::named("N")))));
        links.push("< \\varepsilon.".to_owned());
        let scratch = vec![
            format!(
                "Keep ${x}$ fixed. The error term is\n{}",
                self.page
                    .display(&format!("{} = {}.", names.gap(), tex(&error.shown)))
            ),
            format!(
                "{known}We have ${bound} < \\varepsilon$ as soon as ${n} > {solved}$. Here $N$ may depend on ${x}$, since ${x}$ is chosen first.",
                known = if at_n == error.shown {
                    String::new()
                } else {
                    format!("We have ${} \\le {}$. ", tex(&error.shown), tex(&at_n))
                },
                bound = tex(&at_n),
            ),
        ];
        let proof = vec![
            format!(
                "Let ${x} \\in {domain}$ and $\\varepsilon > 0$. Choose $N \\in \\mathbb{{N}}$ with $N > {solved}$. For all ${n} \\ge N$ we have\n{chain}",
                domain = interval(&family.domain),
                chain = self.page.chain(&names.gap(), &links),
            ),
            format!(
                "Hence ${} \\to {}$ pointwise on ${}$.",
                names.sequence(),
                names.limit_function(),
                interval(&family.domain)
            ),
        ];
        Some(Answer { scratch, proof })
    }

    /// Paragraphs that show the pointwise limit, each piece with its reason; with `estimates`, by
    /// a bound where one is known.
    pub(super) fn limit_shown(&self, estimates: bool) -> Vec<String> {
        let names = &self.names;
        let family = &self.subject.family;
        let (x, n) = (names.x(), names.n());
        let domain = interval(&family.domain);
        let Some(point) = family.x() else {
            return Vec::new();
        };
        let pieces = &self.findings.limit.pieces;
        if let Some(limit) = self.findings.limit.formula() {
            let bound = self
                .findings
                .error
                .as_ref()
                .filter(|_| estimates)
                .and_then(|error| {
                    let own = threshold::pointwise_bound(family, error, self.asker)?;
                    Some((error, own))
                });
            let reason = match bound {
                Some((error, own)) => {
                    let at_n = own.shape.at(&family.n());
                    let mut links = vec![format!("= {}", tex(&error.shown))];
                    if at_n != error.shown {
                        links.push(format!("\\le {}", tex(&at_n)));
                    }
                    format!(
                        "For fixed ${x} \\in {domain}$ we have\n{}\nand ${} \\to 0$ as ${n} \\to \\infty$.",
                        self.page.chain(&names.gap(), &with_comma(links)),
                        tex(&at_n),
                    )
                }
                None => self.at_zero_apart(estimates).unwrap_or_else(|| {
                    format!(
                        "For fixed ${x} \\in {domain}$ we have ${} \\to {}$ as ${n} \\to \\infty${}.",
                        names.member(),
                        tex(&limit),
                        self.because(&family.domain, estimates),
                    )
                }),
            };
            let end = if self.subject.limit.is_some() {
                format!(
                    " So ${} \\to {}$ pointwise on ${domain}$.",
                    names.sequence(),
                    names.limit_function()
                )
            } else {
                format!(" So the pointwise limit is ${}$.", names.limit_defined())
            };
            return vec![format!("{reason}{end}")];
        }
        let mut sentences: Vec<String> = Vec::new();
        for piece in pieces {
            let words = match piece.single() {
                Some(own) => self.at_point(piece, own),
                None => format!(
                    "For ${}$ we have ${} \\to {}$ as ${n} \\to \\infty${}.",
                    place(piece, &point),
                    names.member(),
                    tex(&piece.value),
                    self.because(&piece.domain, estimates),
                ),
            };
            sentences.push(words);
        }
        let name = names.limit_function();
        sentences.push(format!(
            "So ${} \\to {name}$ pointwise on ${domain}$ with\n{}",
            names.sequence(),
            self.page
                .display(&format!("{name}({x}) = {}", tex(&names.limit))),
        ));
        vec![sentences.join(" ")]
    }

    /// The range of the point as a reason, where it is what makes powers small.
    fn because(&self, domain: &Interval, told: bool) -> String {
        let family = &self.subject.family;
        let (Some(point), Some(x)) = (&family.point, family.x()) else {
            return String::new();
        };
        let mut power = false;
        family.term.visit(&mut |part| {
            if let Node::Pow(base, exponent) = part.node() {
                power |= exponent.mentions(&family.index)
                    && (base.mentions(point) || exponent.mentions(point));
            }
        });
        let restricted = domain.low.is_some() || domain.high.is_some();
        if told && power && restricted {
            format!(", because ${}$", within(domain, &x))
        } else {
            String::new()
        }
    }

    /// The limit at 0, and by an estimate to the right of it, for domains that begin at 0.
    fn at_zero_apart(&self, estimates: bool) -> Option<String> {
        let family = &self.subject.family;
        let limit = self.findings.limit.formula()?;
        let point = family.point.as_ref()?;
        let zero = Expr::integer(0);
        let begins = family.domain.low.as_ref()?;
        if !estimates || begins.value != zero || !begins.closed {
            return None;
        }
        let mut domain = family.domain.clone();
        domain.low.as_mut()?.closed = false;
        let part = family.on(domain);
        let error = seek::error(&part, &limit, self.asker);
        let own = threshold::pointwise_bound(&part, &error, self.asker)?;
        let at_n = own.shape.at(&family.n());
        let mut links = vec![format!("= {}", tex(&error.shown))];
        if at_n != error.shown {
            links.push(format!("\\le {}", tex(&at_n)));
        }
        let single = seek::Piece {
            domain: seek::Interval {
                low: Some(begins.clone()),
                high: Some(begins.clone()),
            },
            value: limit.substitute(point, &zero),
        };
        Some(format!(
            "{} For fixed ${}$ we have\n{}\nand ${} \\to 0$ as ${n} \\to \\infty$.",
            self.at_point(&single, &zero),
            within(&part.domain, &Expr::variable(point)),
            self.page.chain(&self.names.gap(), &with_comma(links)),
            tex(&at_n),
            n = self.names.n(),
        ))
    }

    /// The limit at a single point.
    fn at_point(&self, piece: &seek::Piece, own: &Expr) -> String {
        let names = &self.names;
        let family = &self.subject.family;
        let spelled = tex(own);
        let value = family.point.as_ref().map_or(own.clone(), |point| {
            let there = family.term.substitute(point, own);
            let context = family.context(family.first);
            let zero = |part: &Expr| context.sign_of_expr(part).stands(kernel::Relation::Equal);
            if zero(&there.minus(&piece.value)) {
                piece.value.clone()
            } else {
                seek::simplify::short(&context, &there)
            }
        });
        let member = names.member_at(&spelled, own);
        if value.mentions(&family.index) {
            format!(
                "For ${} = {spelled}$ we have ${member} = {} \\to {}$ as ${n} \\to \\infty$.",
                names.x(),
                tex(&value),
                tex(&piece.value),
                n = names.n(),
            )
        } else {
            format!(
                "For ${} = {spelled}$ we have ${member} = {}$ for all ${}$.",
                names.x(),
                tex(&value),
                names.n()
            )
        }
    }
}

fn with_comma(mut links: Vec<String>) -> Vec<String> {
    if let Some(last) = links.last_mut() {
        last.push(',');
    }
    links
}
