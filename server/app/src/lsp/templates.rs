//! Templates of proofs in our own words: what has to be filled in, and what stays.

use source::Format;

/// What a draft has for a template.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Defaults {
    /// The letter of the sequence of which an exercise speaks.
    pub(crate) sequence: Option<String>,
}

/// A template. In its text `⟨k:words⟩` is the place k to fill in, with what stands there first;
/// `⟨k⟩` repeats it; `@` is the letter of the sequence.
pub(crate) struct Template {
    /// What editors list.
    pub(crate) label: &'static str,
    /// The letter where no exercise has one.
    letter: &'static str,
    text: &'static str,
}

/// All templates.
pub(crate) static ALL: [Template; 6] = [
    Template {
        label: "Proof that functions converge uniformly",
        letter: "f",
        text: "Let $\\varepsilon > 0$. Choose $N > ⟨1:1/\\varepsilon⟩$. \
               Then for all $n > N$ and all $x \\in ⟨2:[0,1]⟩$ we have\n\
               $$|@_n(x) - ⟨3:0⟩| \\le ⟨4:\\frac{1}{n}⟩ < \\varepsilon.$$\n\
               $N$ does not depend on $x$. Hence $@_n \\to ⟨3⟩$ uniformly on $⟨2⟩$.",
    },
    Template {
        label: "Proof that functions converge uniformly, by a bound without x",
        letter: "f",
        text: "For all $n \\ge 1$ and all $x \\in ⟨1:[0,1]⟩$ we have\n\
               $$|@_n(x) - ⟨2:0⟩| \\le ⟨3:\\frac{1}{n}⟩.$$\n\
               The right side is free of $x$, and $⟨3⟩ \\to 0$. \
               Hence $@_n \\to ⟨2⟩$ uniformly on $⟨1⟩$.",
    },
    Template {
        label: "Proof that functions converge at each point",
        letter: "f",
        text: "Fix $x \\in ⟨1:[0,1]⟩$ and let $\\varepsilon > 0$. \
               Choose $N > ⟨2:x/\\varepsilon⟩$, which may depend on $x$. Then for all $n > N$ we have\n\
               $$|@_n(x) - ⟨3:0⟩| \\le ⟨4:\\frac{x}{n}⟩ < \\varepsilon.$$\n\
               Hence $@_n(x) \\to ⟨3⟩$ for every $x \\in ⟨1⟩$.",
    },
    Template {
        label: "Proof that functions do not converge uniformly",
        letter: "f",
        text: "Let $x_n = ⟨1:n⟩$. Then $x_n \\in ⟨2:[0,\\infty)⟩$, and for all $n \\ge 1$ we have\n\
               $$|@_n(x_n) - ⟨3:0⟩| = ⟨4:1⟩.$$\n\
               Hence $@_n$ does not converge uniformly on $⟨2⟩$.",
    },
    Template {
        label: "Proof that numbers converge",
        letter: "a",
        text: "Let $\\varepsilon > 0$. Choose $N > ⟨1:1/\\varepsilon⟩$. \
               Then for all $n > N$ we have\n\
               $$|@_n - ⟨2:0⟩| \\le ⟨3:\\frac{1}{n}⟩ < \\varepsilon.$$\n\
               Hence $@_n \\to ⟨2⟩$.",
    },
    Template {
        label: "Scratch work: find a threshold",
        letter: "a",
        text: "**Scratch work.** We want $⟨1:\\frac{1}{n}⟩ < \\varepsilon$, \
               which holds for $n > ⟨2:1/\\varepsilon⟩$.",
    },
];

/// A part of a template.
enum Part<'t> {
    Text(&'t str),
    /// Number, and the words that stand there first.
    Place(&'t str, &'t str),
}

impl Template {
    /// The text with the first words of each place.
    pub(crate) fn plain(&self, format: Format, defaults: &Defaults) -> String {
        self.written(format, defaults, &|part| match part {
            Part::Text(text) | Part::Place(_, text) => (*text).to_owned(),
        })
    }

    /// The text in the protocol's grammar of snippets.
    pub(crate) fn snippet(&self, format: Format, defaults: &Defaults) -> String {
        let written = self.written(format, defaults, &|part| match part {
            Part::Text(text) => escaped(text),
            Part::Place(number, words) => format!("${{{number}:{}}}", escaped(words)),
        });
        format!("{written}$0")
    }

    fn written(
        &self,
        format: Format,
        defaults: &Defaults,
        write: &dyn Fn(&Part<'_>) -> String,
    ) -> String {
        let letter = defaults.sequence.as_deref().unwrap_or(self.letter);
        let text = in_format(self.text, format).replace('@', letter);
        let parts = parts(&text);
        parts.iter().map(write).collect()
    }
}

/// The text in the language of the draft.
fn in_format(text: &str, format: Format) -> String {
    let scratch = text.starts_with("**");
    match format {
        Format::Markdown if scratch => format!("{text}\n"),
        Format::Markdown => format!("**Proof.** {text}\n"),
        Format::Latex => {
            let mut rest = text.replacen("**Scratch work.**", "\\emph{Scratch work.}", 1);
            // Displays open and close in turn.
            for bracket in ["\\[", "\\]"] {
                rest = rest.replacen("$$", bracket, 1);
            }
            if scratch {
                format!("{rest}\n")
            } else {
                format!("\\begin{{proof}}\n{rest}\n\\end{{proof}}\n")
            }
        }
    }
}

fn parts(text: &str) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once('⟨') {
        parts.push(Part::Text(before));
        let (place, behind) = behind.split_once('⟩').unwrap_or((behind, ""));
        let (number, words) = match place.split_once(':') {
            Some(both) => both,
            None => (place, first_words(text, place)),
        };
        parts.push(Part::Place(number, words));
        rest = behind;
    }
    parts.push(Part::Text(rest));
    parts
}

/// What stands first at a place that is repeated.
fn first_words<'t>(text: &'t str, number: &str) -> &'t str {
    let mark = format!("⟨{number}:");
    let words = text.split_once(mark.as_str());
    words
        .and_then(|(_, behind)| behind.split_once('⟩'))
        .map_or("", |(words, _)| words)
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        if matches!(letter, '\\' | '$' | '}') {
            out.push('\\');
        }
        out.push(letter);
    }
    out
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use checks::{Settings, VerdictWord};
    use source::Companions;
    use std::sync::atomic::AtomicBool;

    /// An exercise that each template proves with what stands in it first.
    fn exercise(label: &str) -> &'static str {
        match label {
            "Proof that functions do not converge uniformly" => {
                "Let $f_n(x) = \\frac{x}{n}$ for $x \\in [0,\\infty)$. \
                 Show that $f_n$ does not converge uniformly to $0$ on $[0,\\infty)$."
            }
            "Proof that functions converge at each point" => {
                "Let $f_n(x) = \\frac{x}{n}$. Show that $f_n(x) \\to 0$ for every $x \\in [0,1]$."
            }
            _ if label.contains("functions") => {
                "Let $f_n(x) = \\frac{x}{n}$. Show that $f_n \\to 0$ uniformly on $[0,1]$."
            }
            _ => "Let $a_n = \\frac{1}{n}$. Show that $a_n \\to 0$.",
        }
    }

    #[test]
    fn every_template_proves_an_exercise_as_it_stands() {
        for format in [Format::Markdown, Format::Latex] {
            for template in &ALL {
                let text = template.plain(format, &Defaults::default());
                let draft = format!("{}\n\n{text}", exercise(template.label));
                let stop = AtomicBool::new(false);
                let settings = Settings::default();
                let review =
                    checks::review(&draft, format, &Companions::new(), &settings, &stop).unwrap();
                let open = review
                    .claims
                    .iter()
                    .filter(|claim| !matches!(claim.verdict, None | Some(VerdictWord::Proved)));
                let open: Vec<_> = open
                    .map(|claim| (&draft[claim.span.range()], claim))
                    .collect();
                assert!(open.is_empty(), "{draft}\n{open:#?}");
                let told: Vec<&str> = review.findings.iter().map(|one| &*one.message).collect();
                assert!(told.is_empty(), "{draft}\n{told:#?}");
                // Whether a denial was shown is decided for no draft yet.
                let denies = template.label.contains("do not");
                let undecided = denies || template.label.starts_with("Scratch");
                let expected = (!undecided).then_some(true);
                assert_eq!(review.arguments[0].established, expected, "{draft}");
            }
        }
    }

    #[test]
    fn places_are_numbered_and_everything_else_is_escaped() {
        let template = Template {
            label: "",
            letter: "a",
            text: "Let $@_n < ⟨1:\\frac{1}{2}⟩$, so $⟨1⟩$.",
        };
        let defaults = Defaults {
            sequence: Some("b".to_owned()),
        };
        assert_eq!(
            template.snippet(Format::Markdown, &defaults),
            "**Proof.** Let \\$b_n < ${1:\\\\frac{1\\}{2\\}}\\$, so \\$${1:\\\\frac{1\\}{2\\}}\\$.\n$0"
        );
        assert_eq!(
            template.plain(Format::Latex, &defaults),
            "\\begin{proof}\nLet $b_n < \\frac{1}{2}$, so $\\frac{1}{2}$.\n\\end{proof}\n"
        );
    }
}
