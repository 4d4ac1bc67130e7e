//! Right drafts with one seeded fault, which must be found, or one harmless change, which must not.
//!
//! Every fault is false by construction: the numbers beside it break it. Nobody asks the program
//! whether it is one.

use checks::Severity;
use tests::draft::{Draft, in_parallel, reviewed};
use tests::fixtures::report;
use tests::mutation::{Mutation, renamed, right_draft};
use tests::verify::describe;

const THRESHOLD: &[&str] = &["threshold-too-small"];
const BOUND: &[&str] = &["bound-fails"];
const STEP: &[&str] = &["step-fails"];
const REVERSED: &[&str] = &["step-reversed", "bound-fails"];

const fn fault(
    draft: &'static str,
    changes: &'static [(&'static str, &'static str)],
    because: &'static str,
    found_by: &'static [&'static str],
) -> Mutation {
    Mutation {
        draft,
        changes,
        because,
        found_by,
    }
}

const fn harmless(
    draft: &'static str,
    changes: &'static [(&'static str, &'static str)],
    because: &'static str,
) -> Mutation {
    Mutation {
        draft,
        changes,
        because,
        found_by: &[],
    }
}

const SCRATCH: &str = "right-01-scratch-and-proof.md";
const UNICODE: &str = "right-02-typed-in-unicode.md";
const MAXIMUM: &str = "right-03-maximum.md";
const CEILING: &str = "right-04-sequence-with-ceiling.md";
const POINTWISE: &str = "right-05-not-uniform.md";
const LETTERS: &str = "right-06-other-letters.md";
const ROOTS: &str = "right-07-roots.tex";
const GEOMETRIC: &str = "right-08-geometric.tex";
const LOGARITHM: &str = "right-09-logarithm.tex";
const PARTS: &str = "right-10-two-parts.tex";
const TWO: &str = "right-11-two-thresholds.tex";
const ARCTANGENT: &str = "right-12-arctangent.tex";

const FAULTS: [Mutation; 25] = [
    fault(
        SCRATCH,
        &[(
            r"$N > \frac{3}{\varepsilon}$",
            r"$N > \frac{1}{\varepsilon}$",
        )],
        "ε = 1/100, N = 101, n = 102, x = 2: 3/104 > 1/100",
        THRESHOLD,
    ),
    fault(
        SCRATCH,
        &[(r"\le \frac{3}{n+x} \le", r"\le \frac{2}{n+x} \le")],
        "x = 2: |1 − x²| = 3 > 2",
        STEP,
    ),
    fault(
        SCRATCH,
        &[(r"n+x} \le \frac{3}{n}.", r"n+x} \le \frac{1}{n}.")],
        "x = 2, n = 10: 3/12 > 1/10",
        BOUND,
    ),
    fault(
        UNICODE,
        &[("4 + n²x² ≥ 4n|x|", "4 + n²x² ≥ 5n|x|")],
        "n = 1, x = 2: 8 < 10",
        STEP,
    ),
    fault(
        UNICODE,
        &[("4 + n²x² ≥ 4n|x|", "4 + n²x² ≤ 4n|x|")],
        "n = 1, x = 0: 4 > 0",
        REVERSED,
    ),
    fault(
        UNICODE,
        &[("Choose N > 1/(4ε)", "Choose N > 1/(8ε)")],
        "ε = 1/100, N = 13, n = 14, x = 1/7: 1/56 > 1/100",
        THRESHOLD,
    ),
    fault(
        MAXIMUM,
        &[(r"\le \frac{4}{n^2e^2} \le", r"\le \frac{3}{n^2e^2} \le")],
        "n = 1, x = 2: 4/e² > 3/e²",
        BOUND,
    ),
    fault(
        MAXIMUM,
        &[(r"x(2 - nx)e", r"x(2 + nx)e")],
        "n = 1, x = 1: 1/e against 3/e",
        &["step-fails", "derivative-wrong"],
    ),
    fault(
        CEILING,
        &[(r"< \frac{5}{2n} <", r"> \frac{5}{2n} <")],
        "n = 1: 5/3 < 5/2",
        REVERSED,
    ),
    fault(
        CEILING,
        &[(r"\frac{3}{\varepsilon}", r"\frac{1}{\varepsilon}")],
        "ε = 1/10, N = 10, n = 11: 5/23 > 1/10",
        THRESHOLD,
    ),
    fault(
        CEILING,
        &[(r"\frac{5}{2n+1} <", r"\frac{4}{2n+1} <")],
        "a_1 = 1/3, |a_1 − 2| = 5/3, not 4/3",
        STEP,
    ),
    fault(
        POINTWISE,
        &[(r"\frac{n}{n+n} = \frac12", r"\frac{n}{n+n} = \frac13")],
        "n = 1: 1/2 against 1/3",
        STEP,
    ),
    fault(
        POINTWISE,
        &[(r"N > \frac{x}{\varepsilon}", r"N > \frac{x}{3\varepsilon}")],
        "x = 1, ε = 1/30, N = 11, n = 12: 1/13 > 1/30",
        THRESHOLD,
    ),
    fault(
        LETTERS,
        &[(r"m+t^2} \leq \frac1m", r"m+t^2} \leq \frac{1}{2m}")],
        "t = 0: 1/m > 1/(2m)",
        BOUND,
    ),
    fault(
        LETTERS,
        &[(r"M \geq \frac{1}{\epsilon}", r"M \geq \frac{1}{3\epsilon}")],
        "ε = 1/30, M = 10, m = 11, t = 0: 1/11 > 1/30",
        THRESHOLD,
    ),
    fault(
        ROOTS,
        &[(r"N > \frac1\eps", r"N > \frac1{2\eps}")],
        "ε = 1/100, N = 51, n = 52, x = 0: 1/52 > 1/100",
        THRESHOLD,
    ),
    fault(
        ROOTS,
        &[(r"= \frac1n <", r"= \frac1{n^2} <")],
        "n = 2: 1/2 against 1/4",
        STEP,
    ),
    fault(
        GEOMETRIC,
        &[(r"x^n \le a^n", r"x^n \ge a^n")],
        "x = 0, a = 1/2: 0 < a^n",
        REVERSED,
    ),
    fault(
        LOGARITHM,
        &[(r"\frac{x}{n} \le \frac5n", r"\frac{x}{n} \le \frac4n")],
        "x = 5: 5/n > 4/n",
        BOUND,
    ),
    fault(
        LOGARITHM,
        &[(r"\ln(1+t) \le t", r"\ln(1+t) \ge t")],
        "t = 1: ln 2 < 1",
        REVERSED,
    ),
    fault(
        LOGARITHM,
        &[(r"N > \frac{5}{\varepsilon}", r"N > \frac{4}{\varepsilon}")],
        "ε = 1/1000, N = 4001, n = 4002, x = 5: ln(1 + 5/4002) > 0.0012",
        THRESHOLD,
    ),
    fault(
        PARTS,
        &[(r"\le \frac{1}{1+2n} <", r"\le \frac{1}{1+3n} <")],
        "n = 1, x = 2: 1/3 > 1/4",
        BOUND,
    ),
    fault(
        PARTS,
        &[(
            r"N > \frac{1}{x\varepsilon}",
            r"N > \frac{1}{2x\varepsilon}",
        )],
        "x = 1, ε = 1/100, N = 51, n = 52: 1/53 > 1/100",
        THRESHOLD,
    ),
    fault(
        TWO,
        &[(
            r"\frac{2}{\varepsilon}\right",
            r"\frac{1}{2\varepsilon}\right",
        )],
        "ε = 1/100, N = 50, n = 51: 52/2601 > 1/100",
        THRESHOLD,
    ),
    fault(
        ARCTANGENT,
        &[(r"< \frac{\pi}{2n} <", r"< \frac{\pi}{3n} <")],
        "n = 1, x = 10: arctan 10 > π/3",
        BOUND,
    ),
];

const HARMLESS: [Mutation; 12] = [
    harmless(
        SCRATCH,
        &[(
            r"$N > \frac{3}{\varepsilon}$",
            r"$N > \frac{50}{\varepsilon}$",
        )],
        "a larger threshold",
    ),
    harmless(
        SCRATCH,
        &[
            (
                "Let $\\varepsilon > 0$.",
                "Let $\\varepsilon > 0$ be arbitrary.",
            ),
            ("Choose", "Pick"),
        ],
        "other words",
    ),
    harmless(
        UNICODE,
        &[("4 + n²x² ≥ 4n|x|", "4 + n²x² ≥ 3n|x|")],
        "a weaker inequality",
    ),
    harmless(
        UNICODE,
        &[("Choose N > 1/(4ε)", "Choose N > 1/ε")],
        "a larger threshold",
    ),
    harmless(
        CEILING,
        &[(r"< \frac{5}{2n} <", r"\le \frac{5}{2n} \le")],
        "weaker relations",
    ),
    harmless(
        CEILING,
        &[(r"\frac{3}{\varepsilon}", r"\frac{7}{\varepsilon}")],
        "a larger threshold",
    ),
    harmless(
        LETTERS,
        &[("be given and take", "be arbitrary and choose")],
        "other words",
    ),
    harmless(
        ROOTS,
        &[(r"N > \frac1\eps", r"N > \frac2\eps")],
        "a larger threshold",
    ),
    harmless(
        LOGARITHM,
        &[
            (r"N > \frac{5}{\varepsilon}", r"N > \frac{6}{\varepsilon}"),
            (r"\le \frac5n < \frac5N <", r"\le \frac6n < \frac6N <"),
        ],
        "slack in the last steps",
    ),
    harmless(
        LOGARITHM,
        &[("Choose $N", "Let $N \\in \\mathbb{N}$ with $N")],
        "other words",
    ),
    harmless(
        PARTS,
        &[
            (
                r"\frac{1}{1+2n} < \frac{1}{2n}",
                r"\frac{1}{1+2n} \le \frac{1}{n}",
            ),
            (r"As $\frac{1}{2n} \to 0$", r"As $\frac{1}{n} \to 0$"),
        ],
        "a coarser bound",
    ),
    harmless(
        ARCTANGENT,
        &[(
            r"N > \frac{\pi}{2\varepsilon}",
            r"N > \frac{2}{\varepsilon}",
        )],
        "2 > π/2",
    ),
];

/// Draft, letter, new letter, the runs of letters in which it stands.
const RENAMINGS: [(&str, char, char, &[&str]); 6] = [
    (SCRATCH, 'n', 'm', &["n", "nx"]),
    (SCRATCH, 'x', 't', &["x", "nx"]),
    (LOGARITHM, 'x', 'y', &["x"]),
    (LOGARITHM, 'n', 'k', &["n"]),
    (PARTS, 'n', 'm', &["n", "nx"]),
    (ARCTANGENT, 'N', 'K', &["N"]),
];

fn serious(draft: &Draft) -> Vec<String> {
    let review = reviewed(&draft.text, draft.format);
    let serious = |severity| matches!(severity, Severity::Error | Severity::Warning);
    let findings = review
        .findings
        .iter()
        .filter(|finding| serious(finding.severity));
    findings
        .map(|finding| describe(&draft.text, finding))
        .collect()
}

fn none_departs(results: &[(String, Vec<String>)]) {
    assert!(
        results.iter().all(|(_, problems)| problems.is_empty()),
        "{}",
        report(results)
    );
}

#[test]
fn the_drafts_are_right_before_they_are_changed() {
    let names = [
        SCRATCH, UNICODE, MAXIMUM, CEILING, POINTWISE, LETTERS, ROOTS, GEOMETRIC, LOGARITHM, PARTS,
        TWO, ARCTANGENT,
    ];
    none_departs(&in_parallel(&names, |name| {
        ((*name).to_owned(), serious(&right_draft(name)))
    }));
}

#[test]
fn seeded_faults_are_found() {
    none_departs(&in_parallel(&FAULTS, |mutation| {
        let draft = mutation.apply();
        let review = reviewed(&draft.text, draft.format);
        let found = review.findings.iter().any(|finding| {
            finding.severity == Severity::Error && mutation.found_by.contains(&finding.check.name)
        });
        let name = format!(
            "{} {:?} ({})",
            mutation.draft, mutation.changes, mutation.because
        );
        let problem = format!(
            "none of {:?}; found: {:?}",
            mutation.found_by,
            serious(&draft)
        );
        (name, if found { Vec::new() } else { vec![problem] })
    }));
}

#[test]
fn harmless_changes_stay_silent() {
    none_departs(&in_parallel(&HARMLESS, |mutation| {
        assert!(mutation.found_by.is_empty());
        let name = format!(
            "{} {:?} ({})",
            mutation.draft, mutation.changes, mutation.because
        );
        (name, serious(&mutation.apply()))
    }));
}

#[test]
fn renaming_changes_nothing() {
    none_departs(&in_parallel(&RENAMINGS, |(name, from, to, runs)| {
        let mut draft = right_draft(name);
        let text = renamed(&draft.text, *from, *to, runs);
        assert_ne!(text, draft.text, "{name}: {from} does not occur");
        draft.text = text;
        (format!("{name}: {from} as {to}"), serious(&draft))
    }));
}
