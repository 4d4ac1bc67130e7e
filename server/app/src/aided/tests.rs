//! Reviews with the sheet's statements and with comments of the author.

use super::*;
use crate::settings::Exercise;

fn course(exercises: &[(&str, &str)]) -> Course {
    let exercises = exercises.iter().map(|(number, statement)| {
        let statement = Some((*statement).to_owned());
        Exercise::new(Some((*number).to_owned()), None, statement, None).unwrap()
    });
    Course {
        exercises: exercises.collect(),
        ..Course::default()
    }
}

fn reviewed(text: &str, format: Format, course: &Course) -> Aided {
    let never = AtomicBool::new(false);
    let aided = review(text, format, &Companions::new(), course, &never).unwrap();
    for argument in &aided.review.arguments {
        assert!(text.get(argument.span.range()).is_some());
    }
    for claim in &aided.review.claims {
        assert!(text.get(claim.span.range()).is_some());
    }
    for finding in &aided.review.findings {
        assert!(text.get(finding.span.range()).is_some());
        assert!(
            finding
                .claim
                .is_none_or(|claim| claim < aided.review.claims.len())
        );
    }
    aided
}

const STATEMENT: &str =
    "Let $f_n(x) = \\frac{x}{n+x}$ for $x \\in [0, 1]$. Show that $f_n \\to 0$ uniformly.";

/// The verdicts with their claims as typed.
fn verdicts(text: &str, review: &Review) -> Vec<(String, &'static str)> {
    review
        .claims
        .iter()
        .filter_map(|claim| Some((text[claim.span.range()].to_owned(), claim.verdict?.word())))
        .collect()
}

#[test]
fn an_answer_without_its_statement_is_read_with_that_of_the_sheet() {
    let answers = [
        ("**Exercise 3.** ", Format::Markdown),
        ("## Q3\n\n", Format::Markdown),
        ("3. ", Format::Markdown),
        ("\\section*{Exercise 3}\n", Format::Latex),
        ("\\begin{exercise}[3]\n", Format::Latex),
        ("\\textbf{3.} ", Format::Latex),
    ];
    for (label, format) in answers {
        let text = format!(
            "{label}Let $\\varepsilon > 0$ and choose $N > 1/\\varepsilon$. For $n > N$ and \
             $x \\in [0, 1]$ we have $|f_n(x)| \\le \\frac{{1}}{{n}} < \\varepsilon$.\n"
        );
        let course = course(&[("3", STATEMENT)]);
        let aided = reviewed(&text, format, &course);
        let review = &aided.review;
        assert_eq!(review.arguments.len(), 1, "{label}: {review:#?}");
        assert_eq!(
            review.arguments[0].established,
            Some(true),
            "{label}: {review:#?}"
        );
        assert_eq!(review.findings, [], "{label}");
        assert!(
            verdicts(&text, review).contains(&("|f_n(x)| \\le \\frac{1}{n}".to_owned(), "proved")),
            "{label}: {:?}",
            verdicts(&text, review)
        );
        assert_eq!(aided.unmatched, [0_usize; 0]);
        let tally = review.arguments[0].tally;
        assert_eq!(tally.proved, verdicts(&text, review).len());
        // Without the sheet nothing is known of f.
        let alone = reviewed(&text, format, &Course::default());
        assert_ne!(alone.review.arguments[0].established, Some(true));
    }
}

#[test]
fn a_false_step_is_found_at_its_place() {
    let text = "# Sheet\n\n**Exercise 3.** $|f_n(x)| \\le \\frac{1}{2n}$ for all $x \\in [0, 1]$, \
                so $f_n \\to 0$ uniformly.\n\n**Exercise 4.** $1 + 1 = 2$.\n";
    let aided = reviewed(text, Format::Markdown, &course(&[("3", STATEMENT)]));
    let finding = &aided.review.findings[0];
    assert_eq!(&text[finding.span.range()], "|f_n(x)| \\le \\frac{1}{2n}");
    assert_eq!(finding.severity, Severity::Error);
    assert_eq!(aided.review.arguments[0].first_finding, Some(0));
    assert_eq!(aided.unmatched, [1]);
}

#[test]
fn bounds_and_limits_of_a_bare_answer_are_no_statement() {
    let text = "**Exercise 3.** The limit is $f(x) = 0$. Let $M_n = \\frac{1}{n}$. Then \
                $|f_n(x) - f(x)| \\le M_n$ for all $x \\in [0, 1]$, and $M_n \\to 0$. Hence $f_n \\to f$ \
                uniformly on $[0, 1]$.\n";
    let review = reviewed(text, Format::Markdown, &course(&[("3", STATEMENT)])).review;
    assert_eq!(review.arguments[0].established, Some(true), "{review:#?}");
    assert_eq!(review.findings, []);
}

#[test]
fn a_script_that_repeats_the_statement_loses_nothing() {
    let text = format!(
        "**Exercise 3.** {STATEMENT}\n\n**Proof.** Let $\\varepsilon > 0$ and choose \
         $N > 1/\\varepsilon$. For $n > N$ and $x \\in [0, 1]$ we have \
         $|f_n(x)| \\le \\frac{{1}}{{n}} < \\varepsilon$.\n"
    );
    let alone = reviewed(&text, Format::Markdown, &Course::default()).review;
    let with = reviewed(&text, Format::Markdown, &course(&[("3", STATEMENT)])).review;
    assert_eq!(verdicts(&text, &with), verdicts(&text, &alone));
    assert_eq!(with.findings, alone.findings);
    assert_eq!(with.arguments[0].established, Some(true));
}

#[test]
fn the_sheet_gives_a_domain_that_a_script_leaves_out() {
    let text = |domain: &str| {
        format!(
            "**Exercise 3.** Let $f_n(x) = \\frac{{x}}{{n}}${domain}. Show that $f_n \\to 0$ \
             uniformly.\n\n**Proof.** Let $\\varepsilon > 0$ and choose $N > 2/\\varepsilon$. For \
             $n > N$ we have $|f_n(x)| \\le \\frac{{2}}{{n}} < \\varepsilon$.\n"
        )
    };
    let exercise = Exercise::new(Some("3".into()), None, None, Some("x \\in [0, 2]".into()));
    let course = Course {
        exercises: vec![exercise.unwrap()],
        ..Course::default()
    };
    let without = text("");
    let review = reviewed(&without, Format::Markdown, &course).review;
    assert_eq!(review.arguments[0].established, Some(true), "{review:#?}");
    // A script that says where its point lies is read as it stands.
    let own = text(" for $x \\in [0, 3]$");
    let review = reviewed(&own, Format::Markdown, &course).review;
    assert!(
        review
            .findings
            .iter()
            .any(|one| one.severity == Severity::Error)
    );
}

#[test]
fn a_comment_gives_a_missing_domain() {
    let text = |comment: &str| {
        format!(
            "**Exercise 1.** Let $f_n(x) = \\frac{{x}}{{n}}$.{comment} Show that $f_n \\to 0$ \
             uniformly.\n\n**Proof.** Let $\\varepsilon > 0$ and choose $N > 2/\\varepsilon$. For \
             $n > N$ we have $|f_n(x)| \\le \\frac{{2}}{{n}} < \\varepsilon$.\n"
        )
    };
    let usual = Course::default();
    let text_with = text(" <!-- majorant: read Let $x \\in [0, 2]$. -->");
    let with = reviewed(&text_with, Format::Markdown, &usual).review;
    assert_eq!(with.arguments[0].established, Some(true), "{with:#?}");
    let without = reviewed(&text(""), Format::Markdown, &usual).review;
    assert_ne!(without.arguments[0].established, Some(true));
}

#[test]
fn a_comment_rejects_a_passage() {
    for (text, format) in [
        (
            "**Proof.** We have $2 \\le 3$.\n\n<!-- majorant: reject -->\nHence $3 \\le 2$.\n\
             <!-- majorant: end -->\n\nThus $4 \\le 5$.\n",
            Format::Markdown,
        ),
        (
            "\\begin{proof}We have $2 \\le 3$.\n% majorant: reject\nHence $3 \\le 2$.\n\
             % majorant: end\nThus $4 \\le 5$.\n\\end{proof}\n",
            Format::Latex,
        ),
    ] {
        let review = reviewed(text, format, &Course::default()).review;
        let claims = [("2 \\le 3", "proved"), ("4 \\le 5", "proved")];
        let claims: Vec<_> = claims.iter().map(|(a, b)| ((*a).to_owned(), *b)).collect();
        assert_eq!(verdicts(text, &review), claims);
        assert_eq!(review.findings, []);
    }
}

#[test]
fn a_comment_that_is_not_understood_is_told() {
    let text = "**Proof.** We have $2 \\le 3$.\n\n<!-- majorant: rejekt -->\n";
    let review = reviewed(text, Format::Markdown, &Course::default()).review;
    assert_eq!(review.findings.len(), 1);
    assert_eq!(
        &text[review.findings[0].span.range()],
        "<!-- majorant: rejekt -->"
    );
    assert_eq!(review.arguments[0].first_finding, None);
}

#[test]
fn conventions_decide_what_is_natural_and_what_a_threshold_is() {
    let text = "Let $a_n = \\frac{1}{n}$ for $n \\in \\mathbb{N}$. We have $a_n \\le 1$ for all \
                $n \\in \\mathbb{N}$.\n";
    let usual = reviewed(text, Format::Markdown, &Course::default()).review;
    assert!(
        verdicts(text, &usual)
            .iter()
            .all(|(_, verdict)| *verdict == "proved")
    );
    let mut from_zero = Course::default();
    from_zero.settings.convention.zero_is_natural = true;
    let from_zero = reviewed(text, Format::Markdown, &from_zero).review;
    let refuted = |part: &str| {
        verdicts(text, &from_zero)
            .iter()
            .any(|(claim, verdict)| claim.contains(part) && *verdict == "refuted")
    };
    assert!(refuted("a_n \\le 1"), "{:?}", verdicts(text, &from_zero));
    // Only an integer above 1/2 is at least 1.
    let text = "Choose $N > \\frac12$. Then $N \\ge 1$.\n";
    let integer = reviewed(text, Format::Markdown, &Course::default()).review;
    assert!(verdicts(text, &integer).contains(&("N \\ge 1".to_owned(), "proved")));
    let mut real = Course::default();
    real.settings.convention.real_thresholds = true;
    let real = reviewed(text, Format::Markdown, &real).review;
    assert!(verdicts(text, &real).contains(&("N \\ge 1".to_owned(), "refuted")));
}

#[test]
fn a_check_can_be_switched_off_and_others_weighed_anew() {
    let text = "**Proof.** We have $2 \\le 1$.\n";
    let mut course = Course::default();
    let usual = reviewed(text, Format::Markdown, &course).review;
    let name = usual.findings[0].check.name;
    course
        .settings
        .severities
        .insert(name, Some(Severity::Hint));
    let weak = reviewed(text, Format::Markdown, &course).review;
    assert_eq!(weak.findings[0].severity, Severity::Hint);
    assert_eq!(weak.arguments[0].first_finding, None);
    assert_eq!(weak.claims, usual.claims);
    course.settings.severities.insert(name, None);
    assert_eq!(
        reviewed(text, Format::Markdown, &course).review.findings,
        []
    );
}

#[test]
fn names_of_the_sheet_stand_elsewhere_too() {
    let text = "**Exercise 3.** Let $\\varepsilon > 0$ and choose $N > 1/\\varepsilon$. For $n > N$ \
                we have $|f_n(x)| \\le \\frac{1}{n} < \\varepsilon$ on $[0, 1]$.\n";
    let course = course(&[("3", STATEMENT)]);
    let reading = read(text, Format::Markdown, &Companions::new(), &course);
    let told: Vec<(String, bool, bool, Vec<&str>)> = reading
        .names
        .iter()
        .map(|named| {
            let places = named.naming.places.iter();
            let typed = places.map(|place| &text[place.span.range()]).collect();
            let name = named.naming.name.as_str().to_owned();
            (name, named.naming.indexed, named.elsewhere, typed)
        })
        .collect();
    let epsilon = "\\varepsilon";
    let name = |name: &str, indexed, elsewhere, typed: &[&'static str]| {
        (name.to_owned(), indexed, elsewhere, typed.to_vec())
    };
    for expected in [
        name("ε", false, false, &[epsilon; 3]),
        name("N", false, false, &["N"; 2]),
        name("f", true, true, &["f"]),
    ] {
        assert!(told.contains(&expected), "{expected:?} in {told:?}");
    }
    assert_eq!(reading.formulas.len(), 5);
    for formula in &reading.formulas {
        assert!(text[formula.span.range()].starts_with('$'), "{formula:?}");
    }
    assert!(
        reading
            .entries
            .iter()
            .all(|entry| text.get(entry.span.range()).is_some())
    );
}
