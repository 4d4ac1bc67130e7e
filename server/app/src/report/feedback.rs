//! Feedback for each student: one Markdown file a script, kind and exact, with one hint toward
//! the cure and the cure itself only where it was asked for.

mod hint;

use super::class::{self, Script};
use super::escape::one_line;
use super::words;
use crate::collect::{in_words, shown};
use crate::run::{ReviewedDraft, Run};
use checks::{ArgumentReport, ClaimReport, Finding, Severity, VerdictWord};
use source::text::position::LineIndex;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// The first line of every file of ours, by which it may be written anew.
const MARK: &str = "<!-- majorant: feedback -->";

/// Claims that hold and are quoted.
const QUOTED: usize = 2;

/// Columns of a quotation.
const QUOTE_COLUMNS: usize = 120;

/// Writes one file for each script below `folder`.
///
/// # Errors
/// One line in words if a file cannot be written, or is not one of ours.
pub(crate) fn write(
    run: &Run,
    by_folder: bool,
    show_fixes: bool,
    folder: &Path,
) -> Result<(), String> {
    let failed = |path: &Path, error: &std::io::Error| {
        format!("cannot write {}: {}", shown(path), in_words(error))
    };
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let own = fs::canonicalize(folder).map_err(|error| failed(folder, &error))?;
    let inside = run.drafts.iter().find(|one| {
        let real = fs::canonicalize(&one.draft.path);
        real.is_ok_and(|real| real.starts_with(&own))
    });
    if let Some(one) = inside {
        let (folder, script) = (shown(folder), &one.draft.path);
        return Err(format!(
            "{folder} holds scripts ({script}): choose another folder"
        ));
    }
    let mut taken = BTreeSet::new();
    let mut files = Vec::new();
    for script in class::scripts(run, by_folder) {
        let file = folder.join(place(&script.name, &mut taken));
        if fs::read_to_string(&file).is_ok_and(|text| !text.starts_with(MARK)) {
            let path = shown(&file);
            return Err(format!(
                "{path} is there already and is no feedback of ours"
            ));
        }
        files.push((file, feedback(&script, show_fixes)));
    }
    // Nobody wants feedback reviewed: a folder of it below the class is left out of the next run.
    let ignore = folder.join(".ignore");
    if !ignore.exists() {
        fs::write(&ignore, "*\n").map_err(|error| failed(&ignore, &error))?;
    }
    for (file, text) in files {
        if let Some(parent) = file.parent() {
            fs::create_dir_all(parent).map_err(|error| failed(parent, &error))?;
        }
        fs::write(&file, text).map_err(|error| failed(&file, &error))?;
    }
    Ok(())
}

/// Where a script's feedback goes: its own name with the ending of Markdown, never outside.
fn place(name: &str, taken: &mut BTreeSet<PathBuf>) -> PathBuf {
    let inside: PathBuf = Path::new(name)
        .components()
        .filter(|component| matches!(component, Component::Normal(_)))
        .collect();
    let mut whole = inside.clone().into_os_string();
    whole.push(".md");
    let known = inside.extension().is_some();
    let plain = inside.with_extension("md");
    let mut chosen = if known && !taken.contains(&plain) {
        plain
    } else {
        PathBuf::from(whole)
    };
    while !taken.insert(chosen.clone()) {
        let mut next = chosen.into_os_string();
        next.push(".md");
        chosen = PathBuf::from(next);
    }
    chosen
}

/// The feedback on a script.
fn feedback(script: &Script<'_>, show_fixes: bool) -> String {
    let mut out = vec![
        MARK.to_owned(),
        format!("# Feedback on {}", plain(&script.name)),
        "A program has checked the claims of this script one by one. It can misread a sentence, \
         and it knows nothing of what was said in class: a person decides the mark."
            .to_owned(),
    ];
    for (_, reviewed) in &script.drafts {
        if 1 < script.drafts.len() {
            out.push(format!("# {}", plain(&reviewed.draft.path)));
        }
        if reviewed.review.arguments.is_empty() {
            out.push("No argument was found here.".to_owned());
        }
        let scene = Scene {
            reviewed,
            lines: LineIndex::new(&reviewed.draft.text),
            show_fixes,
        };
        for index in 0..reviewed.review.arguments.len() {
            scene.argument(index, &mut out);
        }
    }
    out.join("\n\n") + "\n"
}

struct Scene<'a> {
    reviewed: &'a ReviewedDraft,
    lines: LineIndex<'a>,
    show_fixes: bool,
}

impl Scene<'_> {
    fn line(&self, offset: usize) -> usize {
        self.lines.report(offset).line
    }

    /// What the student typed, as code.
    fn typed(&self, span: source::Span) -> String {
        let text = self
            .reviewed
            .draft
            .text
            .get(span.range())
            .unwrap_or_default();
        code(&super::wrap::shorten(&one_line(text), QUOTE_COLUMNS))
    }

    fn argument(&self, index: usize, out: &mut Vec<String>) {
        let review = &self.reviewed.review;
        let argument: &ArgumentReport = &review.arguments[index];
        if argument.tally == checks::Tally::default() {
            return;
        }
        let title = argument.title.as_deref().map_or_else(
            || format!("Line {}", self.line(argument.span.start)),
            one_line,
        );
        out.push(format!("## {}", plain(&title)));
        self.what_holds(index, argument, out);
        let findings = review
            .findings
            .iter()
            .filter(|finding| finding.argument == index && finding.severity <= Severity::Warning);
        let findings: Vec<&Finding> = findings.collect();
        if let Some((first, others)) = findings.split_first() {
            self.first(first, out);
            self.others(others, out);
        }
        self.open(index, out);
    }

    fn what_holds(&self, index: usize, argument: &ArgumentReport, out: &mut Vec<String>) {
        if words::all_is_well(&self.reviewed.review, index) {
            out.push(words::all_hold(argument.tally));
            return;
        }
        let proved: Vec<&ClaimReport> = self
            .reviewed
            .review
            .claims
            .iter()
            .filter(|claim| claim.argument == index && claim.verdict == Some(VerdictWord::Proved))
            .collect();
        // The longest ones took the most work.
        let mut quoted = proved.clone();
        quoted.sort_by_key(|claim| std::cmp::Reverse(claim.span.end - claim.span.start));
        quoted.truncate(QUOTED);
        quoted.sort_by_key(|claim| claim.span.start);
        let quoted: Vec<String> = quoted
            .iter()
            .map(|claim| {
                format!(
                    "{} (line {})",
                    self.typed(claim.span),
                    self.line(claim.span.start)
                )
            })
            .collect();
        if !quoted.is_empty() {
            let count = words::counted(proved.len(), "claim holds", "claims hold");
            let such = if quoted.len() < proved.len() {
                ", among them "
            } else {
                ": "
            };
            out.push(format!(
                "What is right: {count}{such}{}.",
                quoted.join(" and ")
            ));
        }
        if let Some(established) = words::established(argument) {
            out.push(established.to_owned());
        }
    }

    /// The first mistake: the place, what is wrong, numbers to try, one hint.
    fn first(&self, finding: &Finding, out: &mut Vec<String>) {
        let line = self.line(finding.span.start);
        out.push(format!("The first thing to look at is in line {line}:"));
        out.push(format!("> {}", self.typed(finding.span)));
        let message = one_line(&finding.message);
        let (head, rest) = words::head_and_rest(&message);
        out.push(plain(head));
        if let Some(shown) = &finding.counterexample {
            let (point, both) = words::sides(shown);
            let put = if point.is_empty() {
                String::new()
            } else {
                format!("put {}: ", plain(&point))
            };
            out.push(format!("Try it: {put}{}.", plain(&both)));
        }
        let evidence: Vec<String> = sentences(rest)
            .into_iter()
            .filter(|sentence| hint::is_evidence(sentence))
            .map(plain)
            .collect();
        if !evidence.is_empty() {
            out.push(evidence.join(" "));
        }
        out.push(format!("A hint: {}", hint::of(finding.check)));
        if self.show_fixes {
            self.cure(finding, rest, out);
        }
        let later: Vec<String> = finding
            .related
            .iter()
            .map(|related| {
                format!(
                    "line {}: {}",
                    self.line(related.span.start),
                    plain(&one_line(&related.message))
                )
            })
            .collect();
        if !later.is_empty() {
            out.push(format!(
                "It bears on other lines as well: {}.",
                later.join("; ")
            ));
        }
    }

    /// The whole cure, as far as it is known.
    fn cure(&self, finding: &Finding, rest: &str, out: &mut Vec<String>) {
        let told: Vec<String> = sentences(rest)
            .into_iter()
            .filter(|sentence| {
                let numbers = finding.counterexample.as_ref();
                !hint::is_evidence(sentence)
                    && !numbers.is_some_and(|shown| words::tells(sentence, shown))
            })
            .map(plain)
            .collect();
        if !told.is_empty() {
            out.push(format!("What would be right: {}", told.join(" ")));
        }
        if let Some(replacement) = &finding.replacement {
            let new = code(&one_line(&replacement.text));
            let old = self.typed(replacement.span);
            out.push(format!("This would mend it: {new} in place of {old}."));
        }
    }

    fn others(&self, findings: &[&Finding], out: &mut Vec<String>) {
        if findings.is_empty() {
            return;
        }
        let mut told = vec!["When that is mended, look at:".to_owned()];
        for finding in findings {
            let (line, typed) = (self.line(finding.span.start), self.typed(finding.span));
            told.push(format!("- line {line}, {typed}: {}", finding.check.summary));
        }
        out.push(told.join("\n"));
    }

    /// What was not decided or not understood is no reproach.
    fn open(&self, index: usize, out: &mut Vec<String>) {
        for (verdict, head) in [
            (
                VerdictWord::Unsettled,
                "Not decided, which is no reproach (a sentence that says why may help):",
            ),
            (
                VerdictWord::Unread,
                "Not understood by the program, and so not checked:",
            ),
        ] {
            let claims = self.reviewed.review.claims.iter();
            let mut told: Vec<String> = claims
                .filter(|claim| claim.argument == index && claim.verdict == Some(verdict))
                .map(|claim| {
                    format!(
                        "- line {}: {}",
                        self.line(claim.span.start),
                        self.typed(claim.span)
                    )
                })
                .collect();
            if !told.is_empty() {
                told.insert(0, head.to_owned());
                out.push(told.join("\n"));
            }
        }
    }
}

/// The sentences of a message.
fn sentences(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let (head, more) = words::head_and_rest(rest);
        found.push(head);
        rest = more;
    }
    found
}

/// Text in which nothing is markup.
fn plain(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len() + 8);
    for character in one_line(text).chars() {
        if "\\`*_{}[]<>#|~$!&".contains(character) {
            escaped.push('\\');
        }
        escaped.push(character);
    }
    // What begins a list or a rule at the beginning of a line.
    if escaped.starts_with(['+', '-', '=']) {
        escaped.insert(0, '\\');
    }
    escaped
}

/// Text as code, whatever backticks it holds.
fn code(text: &str) -> String {
    let longest = text
        .split(|character| character != '`')
        .map(str::len)
        .max()
        .unwrap_or(0);
    let fence = "`".repeat(longest + 1);
    if text.starts_with('`') || text.ends_with('`') {
        format!("{fence} {text} {fence}")
    } else {
        format!("{fence}{text}{fence}")
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
