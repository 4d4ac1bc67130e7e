//! Scratch work: sequences with known answers (`tests/data/sequences.txt`), and sheets of
//! exercises (`tests/corpora/scratch`) whose written proofs are reviewed strictly.
#![allow(clippy::print_stderr)]

use checks::{Settings, VerdictWord, review};
use kernel::expr::text;
use kernel::numerics::tape::{Batch, Compiler};
use kernel::{Condition, Expr, Node, Symbol};
use scratch::exercise::{Draft, Part, Subject, lacking, with};
use scratch::portrait::{Portrait, portrait};
use scratch::seek::{Asker, Family, Findings, Interval, study};
use source::{Companions, Format};
use std::sync::atomic::AtomicBool;
use tests::draft::project;

/// One line of the table.
struct Row {
    line: String,
    family: Family,
    /// Values of the limit with conditions on the point.
    limit: Vec<(Expr, Vec<Condition>)>,
    /// `None`: infinite.
    supremum: Option<Expr>,
    uniform: bool,
}

fn conditions(source: &str) -> Vec<Condition> {
    let letters = |name: &str| Some(vec![Expr::named(name)]);
    text::conditions(source, &letters).unwrap_or_else(|| panic!("{source}"))
}

fn formula(source: &str) -> Expr {
    match conditions(&format!("u = {source}")).remove(0) {
        Condition::Holds(_, _, right) => right,
        other => panic!("{other:?}"),
    }
}

fn row(line: &str) -> Row {
    let fields: Vec<&str> = line.split(';').map(str::trim).collect();
    let [term, domain, limit, supremum, uniform] = fields.as_slice() else {
        panic!("{line}");
    };
    let (x, n) = (Symbol::new("x"), Symbol::new("n"));
    let (of_point, of_others): (Vec<Condition>, Vec<Condition>) = conditions(domain)
        .into_iter()
        .partition(|condition| condition.variables().contains(&x));
    let refs: Vec<&Condition> = of_point.iter().collect();
    Row {
        line: line.to_owned(),
        family: Family {
            term: formula(term),
            index: n.clone(),
            first: 1,
            point: Some(x.clone()),
            domain: Interval::of(&refs, &x, &n).expect("the domain is an interval"),
            conditions: of_others,
        },
        limit: limit
            .split('|')
            .map(|piece| match piece.split_once(':') {
                Some((value, place)) => (formula(value), conditions(place)),
                None => (formula(piece), Vec::new()),
            })
            .collect(),
        supremum: (*supremum != "inf").then(|| formula(supremum)),
        uniform: *uniform == "yes",
    }
}

/// The value of an expression in doubles; parameters count as 1/3.
fn value(expr: &Expr, n: f64, x: f64) -> f64 {
    let integer = |name: &Symbol| name.as_str() == "n";
    let mut compiler = Compiler::new(&integer);
    let result = compiler.expression(expr);
    let tape = compiler.finish();
    let mut batch = Batch::new(&tape);
    for (position, input) in tape.inputs().to_vec().iter().enumerate() {
        let own = match input.as_variable().map(Symbol::as_str) {
            Some("n") => n,
            Some("x") => x,
            _ => 1.0 / 3.0,
        };
        batch.input(position).fill(own);
    }
    batch.run(&tape);
    batch.value(result)[0]
}

fn same(left: &Expr, right: &Expr, n: f64, x: f64) -> bool {
    let (left, right) = (value(left, n, x), value(right, n, x));
    (left - right).abs() <= 1e-7 * left.abs().max(1e-3)
}

fn admits(conditions: &[Condition], x: f64) -> bool {
    conditions.iter().all(|condition| {
        let Condition::Holds(left, relation, right) = condition else {
            return false;
        };
        let ordering = value(left, 1.0, x).partial_cmp(&value(right, 1.0, x));
        ordering.is_some_and(|ordering| relation.admits(ordering))
    })
}

/// What is wrong and what is missing in the findings about a row.
fn judge(row: &Row, found: Option<&Findings>) -> (Vec<String>, Vec<String>) {
    let (mut wrong, mut missing) = (Vec::new(), Vec::new());
    let Some(found) = found else {
        return (wrong, vec!["limit".to_owned()]);
    };
    let limit = found
        .limit
        .expr(&row.family)
        .expect("a limit is an expression");
    let x = Expr::named("x");
    for x_value in [
        -2.5, -1.0, -0.4, -0.2, 0.0, 0.1, 0.3, 0.5, 0.9, 1.0, 1.2, 1.5, 2.0, 2.7, 40.0,
    ] {
        if !admits(&row.family.domain.conditions(&x), x_value) {
            continue;
        }
        for (piece, place) in &row.limit {
            if admits(place, x_value) && !same(&limit, piece, 1.0, x_value) {
                wrong.push(format!("limit {limit:?} at {x_value}"));
            }
        }
    }
    match (&row.supremum, &found.supremum) {
        (Some(known), Some(own)) => {
            for n in [5.0, 6.0, 9.0, 40.0] {
                if !same(known, &own.value, n, 0.0) {
                    wrong.push(format!("supremum {:?}", own.value));
                }
            }
        }
        (None, Some(own)) => wrong.push(format!("supremum {:?}", own.value)),
        (Some(_), None) if row.limit.len() == 1 => missing.push("supremum".to_owned()),
        _ => {}
    }
    match found.uniform {
        Some(own) if own != row.uniform => wrong.push("uniform".to_owned()),
        Some(_) => {}
        None => missing.push("uniform".to_owned()),
    }
    if let Some(own) = &found.majorant {
        let shape = own.shape.at(&Expr::named("n"));
        if !matches!(shape.node(), Node::Number(_)) && value(&shape, 1e6, 0.0) > 0.2 {
            wrong.push(format!("majorant {shape:?}"));
        }
    }
    (wrong, missing)
}

#[test]
fn sequences_are_studied_rightly() {
    let text = std::fs::read_to_string(project().join("tests/data/sequences.txt"))
        .expect("the table can be read");
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    let rows: Vec<Row> = text
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#') && line.contains(&only))
        .map(row)
        .collect();
    let stop = AtomicBool::new(false);
    let (mut wrong, mut missing) = (0, 0);
    for row in &rows {
        let found = study(&row.family, None, Asker { stop: &stop });
        let (errors, gaps) = judge(row, found.as_ref());
        if !errors.is_empty() || !gaps.is_empty() {
            eprintln!("{}\n   wrong {errors:?} missing {gaps:?}", row.line);
        }
        wrong += usize::from(!errors.is_empty());
        missing += usize::from(!gaps.is_empty());
    }
    eprintln!(
        "{} sequences, {wrong} wrong, {missing} not found in full",
        rows.len()
    );
    assert_eq!(wrong, 0);
    assert!(missing * 20 <= rows.len(), "{missing} of {}", rows.len());
}

/// The error term of a row in doubles, with these values of its parameters.
fn error_at(row: &Row, at: &dyn Fn(&Expr) -> Expr, n: f64, x: f64) -> f64 {
    let limit = row.limit.iter().find(|(_, place)| admits(place, x));
    let limit = limit.map_or(f64::NAN, |(limit, _)| value(&at(limit), n, x));
    (value(&at(&row.family.term), n, x) - limit).abs()
}

/// What is wrong with the curves and suprema of a portrait.
fn judge_portrait(row: &Row, found: &Portrait) -> Vec<String> {
    let at = |expr: &Expr| {
        found.fixed.iter().fold(expr.clone(), |own, (name, value)| {
            own.substitute(&Symbol::new(name), &formula(value))
        })
    };
    let known = |n: f64| row.supremum.as_ref().map(|own| value(&at(own), n, 0.0));
    let close = |left: f64, right: f64, slack: f64| (left - right).abs() <= slack;
    let mut wrong = Vec::new();
    let scene = found.scene.as_ref().expect("a function has curves");
    for curve in &scene.curves {
        #[allow(clippy::cast_precision_loss)]
        let n = curve.index as f64;
        let mut faulty = |what: &str, x: f64, y: f64| {
            wrong.push(format!("{what} at n = {n}, ({x}, {y})"));
        };
        for line in &curve.lines {
            for dot in line {
                let own = error_at(row, &at, n, dot[0]);
                let crosses = close(dot[1], scene.top, 1e-9 * scene.top);
                let slack = if crosses { 0.01 } else { 1e-6 } * scene.top;
                if !close(dot[1], own, slack) {
                    faulty("point", dot[0], dot[1]);
                }
            }
            // Between its points the line is near the curve, too.
            for pair in line.windows(2) {
                for share in [0.25, 0.5, 0.8] {
                    let x = pair[0][0] + share * (pair[1][0] - pair[0][0]);
                    let y = pair[0][1] + share * (pair[1][1] - pair[0][1]);
                    if !close(y, error_at(row, &at, n, x), 0.012 * scene.top) {
                        faulty("line", x, y);
                    }
                }
            }
        }
        for dot in curve.single.iter().chain(&curve.witness) {
            if !close(dot[1], error_at(row, &at, n, dot[0]), 1e-6 * scene.top) {
                faulty("mark", dot[0], dot[1]);
            }
        }
        match (curve.supremum, known(n)) {
            (Some(own), Some(known)) if close(own, known, 1e-6 * known.max(1e-3)) => {}
            (None, _) => {}
            (own, known) => wrong.push(format!("supremum {own:?} of {known:?} at n = {n}")),
        }
        if curve
            .bound
            .zip(known(n))
            .is_some_and(|(own, known)| own < known * (1.0 - 1e-9))
        {
            wrong.push(format!("bound {:?} at n = {n}", curve.bound));
        }
    }
    for [n, own] in found.sizes.iter().flat_map(|sizes| &sizes.suprema) {
        if !known(*n).is_some_and(|known| close(*own, known, 1e-6 * known.max(1e-3))) {
            wrong.push(format!("supremum {own} at n = {n}"));
        }
    }
    wrong
}

#[test]
fn pictures_show_what_is_so() {
    let text = std::fs::read_to_string(project().join("tests/data/sequences.txt"))
        .expect("the table can be read");
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    let lines = text
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#') && line.contains(&only));
    let stop = AtomicBool::new(false);
    let (mut all, mut drawn, mut wrong) = (0, 0, 0);
    for row in lines.map(row) {
        all += 1;
        let subject = Subject {
            family: row.family.clone(),
            limit: None,
            name: None,
            limit_name: None,
            used: Vec::new(),
        };
        match portrait(&subject, Asker { stop: &stop }) {
            Ok(found) => {
                drawn += 1;
                let faults = judge_portrait(&row, &found);
                if !faults.is_empty() {
                    eprintln!("{}\n   {:?}", row.line, &faults[..faults.len().min(4)]);
                    wrong += 1;
                }
            }
            Err(reason) => eprintln!("{}\n   not drawn: {reason}", row.line),
        }
    }
    eprintln!("{all} sequences, {drawn} drawn, {wrong} wrongly");
    assert_eq!(wrong, 0);
    assert!(all * 9 <= drawn * 10, "{drawn} of {all}");
}

/// Drafts with exercises only, by path.
fn sheets() -> Vec<(String, String, Format)> {
    let folder = project().join("tests/corpora/scratch");
    let mut found: Vec<(String, String, Format)> = std::fs::read_dir(folder)
        .expect("the sheets can be listed")
        .map(|entry| {
            let path = entry.expect("the sheets can be listed").path();
            let format = match path.extension() {
                Some(ending) if ending == "tex" => Format::Latex,
                _ => Format::Markdown,
            };
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            (
                name,
                std::fs::read_to_string(path).expect("a sheet can be read"),
                format,
            )
        })
        .collect();
    found.sort_by(|left, right| left.0.cmp(&right.0));
    found
}

/// Every claim is proved, and there is nothing to tell.
fn review_strictly(name: &str, text: &str, format: Format) {
    let stop = AtomicBool::new(false);
    let (companions, settings) = (Companions::new(), Settings::default());
    let review = review(text, format, &companions, &settings, &stop).expect("nobody calls it off");
    for claim in &review.claims {
        let place = &text[claim.span.range()];
        assert!(
            matches!(claim.verdict, None | Some(VerdictWord::Proved)),
            "{name}: {place}: {:?} {:?}",
            claim.verdict,
            claim.evidence
        );
    }
    let told = |finding: &checks::Finding| format!("{}: {}", finding.check.name, finding.message);
    let told: Vec<String> = review.findings.iter().map(told).collect();
    assert!(told.is_empty(), "{name}: {told:?}");
}

/// The sheet with one part after each exercise that lacks it; how many could not be written, of
/// how many.
fn with_parts(text: &str, format: Format, part: Part) -> (String, usize, usize) {
    let stop = AtomicBool::new(false);
    let (companions, settings) = (Companions::new(), Settings::default());
    let mut whole = text.to_owned();
    let draft = Draft {
        text,
        format,
        companions: &companions,
        convention: &settings.convention,
    };
    let exercises = lacking(draft, part);
    let mut unwritten = 0;
    // From the last to the first: what is put in moves nothing that stands before it.
    for exercise in exercises.iter().rev() {
        let so_far = Draft {
            text: &whole,
            ..draft
        };
        let found = scratch::write_part(so_far, exercise, part, &settings, &stop);
        match found.expect("nobody calls it off") {
            Ok(own) => whole = with(&whole, exercise.place, &own),
            Err(_) => unwritten += 1,
        }
    }
    (whole, unwritten, exercises.len())
}

#[test]
fn parts_that_are_written_alone_stand_a_strict_review() {
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    // One sheet in the plain run: each takes a minute.
    let only = if only.is_empty() { "sheet-1" } else { &only };
    for (name, text, format) in sheets() {
        if !name.contains(only) {
            continue;
        }
        let (worked, without_work, all) = with_parts(&text, format, Part::ScratchWork);
        review_strictly(&name, &worked, format);
        let (proved, without_proof, _) = with_parts(&worked, format, Part::Proof);
        review_strictly(&name, &proved, format);
        eprintln!("{name}: of {all}, {without_work} without work, {without_proof} without proof");
        assert!(without_work * 5 <= all && without_proof * 10 <= all);
    }
}

#[test]
fn what_is_written_stands_a_strict_review() {
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    let stop = AtomicBool::new(false);
    let (companions, settings) = (Companions::new(), Settings::default());
    let (mut all, mut unwritten) = (0, 0);
    for (name, text, format) in sheets() {
        if !name.contains(&only) {
            continue;
        }
        let written = scratch::write(&text, format, &companions, &settings, &stop)
            .expect("nobody calls it off");
        all += written.outcomes.len();
        for outcome in &written.outcomes {
            if let Some(trouble) = &outcome.trouble {
                eprintln!("{name}: {:?}: {trouble}", outcome.title);
                unwritten += 1;
            }
        }
        // Everything that stood in the sheet still stands there, in its order.
        let mut rest = written.text.as_str();
        for line in text.lines().filter(|line| !line.is_empty()) {
            let place = rest.find(line).unwrap_or_else(|| panic!("{name}: {line}"));
            rest = &rest[place + line.len()..];
        }
        review_strictly(&name, &written.text, format);
    }
    eprintln!("{all} exercises, {unwritten} without a proof");
    assert!(!only.is_empty() || 100 <= all, "{all} exercises");
    assert!(unwritten * 20 <= all, "{unwritten} of {all}");
}
