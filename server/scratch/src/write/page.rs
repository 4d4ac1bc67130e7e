//! The draft's language: headings, displays, proofs, comments, and names as the draft spells them.

use super::tex::{name, tex};
use crate::exercise::Subject;
use kernel::{Expr, Symbol};
use source::Format;

/// How the draft is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Page {
    /// Its language.
    pub format: Format,
    /// Whether a proof environment is known there.
    pub proofs: bool,
}

impl Page {
    /// The habits of a draft.
    #[must_use]
    pub fn of(text: &str, format: Format) -> Self {
        let known = [
            "amsthm",
            "ntheorem",
            "{amsart}",
            "{amsbook}",
            "\\begin{proof}",
        ];
        Self {
            format,
            proofs: format == Format::Latex && known.iter().any(|own| text.contains(own)),
        }
    }

    /// The habits of a fragment without a preamble.
    #[must_use]
    pub fn plain(format: Format) -> Self {
        Self {
            format,
            proofs: false,
        }
    }

    /// An exercise with its number.
    #[must_use]
    pub fn numbered(self, number: usize, words: &str) -> String {
        format!("{}{words}\n", self.heading(&format!("Exercise {number}")))
    }

    /// Exercises, and then the same with their solutions.
    #[must_use]
    pub fn sheet(self, tasks: &[String], solutions: &[String]) -> String {
        let section = |words: &str| match self.format {
            Format::Markdown => format!("# {words}"),
            Format::Latex => format!("\\section*{{{words}}}"),
        };
        format!(
            "{}\n\n{}\n{}\n\n{}",
            section("Exercises"),
            tasks.join("\n"),
            section("Solutions"),
            solutions.join("\n")
        )
    }

    /// A formula on a line of its own.
    #[must_use]
    pub fn display(self, formula: &str) -> String {
        match self.format {
            Format::Markdown => format!("$$\n{formula}\n$$"),
            Format::Latex => format!("\\[\n{formula}\n\\]"),
        }
    }

    /// A chain of relations, each on a row of its own if they are many.
    #[must_use]
    pub fn chain(self, first: &str, links: &[String]) -> String {
        let whole = format!("{first} {}", links.join(" "));
        let seen = whole
            .replace("\\left", "")
            .replace("\\right", "")
            .replace("\\frac", "");
        if seen.len() < 90 {
            return self.display(&whole);
        }
        let rows: Vec<String> = links.iter().map(|link| format!("&{link}")).collect();
        let rows = format!(
            "\\begin{{aligned}}\n{first} {}\n\\end{{aligned}}",
            rows.join(" \\\\\n")
        );
        self.display(&rows)
    }

    /// The heading of a part.
    #[must_use]
    pub fn heading(self, words: &str) -> String {
        match self.format {
            Format::Markdown => format!("**{words}.** "),
            Format::Latex => format!("\\textbf{{{words}.}} "),
        }
    }

    /// A proof of these paragraphs.
    #[must_use]
    pub fn proof(self, paragraphs: &[String]) -> String {
        let body = paragraphs.join("\n\n");
        if self.proofs {
            format!("\\begin{{proof}}\n{body}\n\\end{{proof}}")
        } else {
            format!("{}{body}", self.heading("Proof"))
        }
    }

    /// A comment that readers of the finished page do not see.
    #[must_use]
    pub fn comment(self, words: &str) -> String {
        match self.format {
            Format::Markdown => format!("<!-- {} -->", words.replace("--", "- -")),
            Format::Latex => format!("% {}", words.replace('\n', " ")),
        }
    }
}

/// Names of the sequence, its limit and its letters, spelled in TeX.
#[derive(Clone, Debug)]
pub struct Names<'a> {
    subject: &'a Subject,
    /// The limit function's name, where it has one.
    pub limit_name: Option<Symbol>,
    /// The limit as a formula.
    pub limit: Expr,
}

impl<'a> Names<'a> {
    /// The names for a subject with that limit.
    #[must_use]
    pub fn new(subject: &'a Subject, limit: Expr, limit_name: Option<Symbol>) -> Self {
        Self {
            subject,
            limit_name,
            limit,
        }
    }

    /// The index.
    #[must_use]
    pub fn n(&self) -> String {
        name(&self.subject.family.index)
    }

    /// The point.
    #[must_use]
    pub fn x(&self) -> String {
        self.subject
            .family
            .point
            .as_ref()
            .map_or(String::new(), name)
    }

    /// f_n, or the term itself where the draft gives no name.
    #[must_use]
    pub fn sequence(&self) -> String {
        match &self.subject.name {
            Some(own) => format!("{}_{}", name(own), self.n()),
            None => tex(&self.subject.family.term),
        }
    }

    /// f_n(x), or a_n.
    #[must_use]
    pub fn member(&self) -> String {
        match (&self.subject.name, &self.subject.family.point) {
            (Some(_), Some(_)) => format!("{}({})", self.sequence(), self.x()),
            _ => self.sequence(),
        }
    }

    /// f_n at another point.
    #[must_use]
    pub fn member_at(&self, spelled: &str, value: &Expr) -> String {
        match (&self.subject.name, &self.subject.family.point) {
            (Some(_), _) => format!("{}({spelled})", self.sequence()),
            (None, Some(point)) => tex(&self.subject.family.term.substitute(point, value)),
            (None, None) => self.sequence(),
        }
    }

    /// f(x), or the limit's formula.
    #[must_use]
    pub fn limit(&self) -> String {
        match (&self.limit_name, &self.subject.family.point) {
            (Some(own), Some(_)) => format!("{}({})", name(own), self.x()),
            _ => tex(&self.limit),
        }
    }

    /// f(x) = …, or the limit's formula.
    #[must_use]
    pub fn limit_defined(&self) -> String {
        match &self.limit_name {
            Some(_) => format!("{} = {}", self.limit(), tex(&self.limit)),
            None => tex(&self.limit),
        }
    }

    /// f, or the limit's formula.
    #[must_use]
    pub fn limit_function(&self) -> String {
        match &self.limit_name {
            Some(own) => name(own),
            None => tex(&self.limit),
        }
    }

    /// |f_n(x) − f(x)|.
    #[must_use]
    pub fn gap(&self) -> String {
        spell_gap(&self.member(), &self.limit())
    }

    /// |f_n(x_n) − f(x_n)|, with f(x_n) as given.
    #[must_use]
    pub fn gap_at(&self, spelled: &str, value: &Expr, limit: &Expr) -> String {
        let limit = match &self.limit_name {
            Some(own) => format!("{}({spelled})", name(own)),
            None => tex(limit),
        };
        spell_gap(&self.member_at(spelled, value), &limit)
    }

    /// A name that the draft does not use, the first of these.
    #[must_use]
    pub fn fresh(&self, wanted: &[&str]) -> Symbol {
        let family = &self.subject.family;
        let taken = |own: &str| {
            let own = Symbol::new(own);
            self.subject.used.contains(&own)
                || family.parameters().contains(&own)
                || family.index == own
                || family.point.as_ref() == Some(&own)
        };
        let free = wanted.iter().find(|own| !taken(own));
        Symbol::new(free.unwrap_or(&wanted[0]))
    }
}

/// |a − b|; a sum is put in parentheses.
fn spell_gap(member: &str, limit: &str) -> String {
    let compound = limit.contains(" + ") || limit.contains(" - ") || limit.starts_with('-');
    let limit = if compound {
        format!("\\left({limit}\\right)")
    } else {
        limit.to_owned()
    };
    if member.contains("\\frac") || limit.contains("\\frac") || limit.contains('|') {
        format!("\\left|{member} - {limit}\\right|")
    } else {
        format!("|{member} - {limit}|")
    }
}
