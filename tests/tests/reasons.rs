//! Why true claims hold, in words: the expected reasons stand in one file that people read.

use kernel::proving::reason::explain;
use kernel::{Budget, Goal, Problem, Verdict, decide, show};
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;
use tests::fixtures::REWRITE;
use tests::{claims, obligations};

fn items() -> Vec<(String, Problem)> {
    let obligations = obligations::read(include_str!("../data/obligations.json"))
        .expect("all entries are understood")
        .into_iter()
        .filter(|own| own.truth)
        .map(|own| (own.id, own.problem));
    let claims = claims::read(include_str!("../data/claims.txt"))
        .expect("all claims are understood")
        .into_iter()
        .map(|own| (own.name, own.problem));
    claims.chain(obligations).collect()
}

/// The claim as a person types it, with what is assumed.
fn shown(problem: &Problem) -> String {
    let goal = match &problem.goal {
        Goal::Holds(left, relation, right) => format!(
            "{} {} {}",
            show::plain(left),
            relation.sign(),
            show::plain(right)
        ),
        Goal::Defined(value) => format!("{} is defined", show::plain(value)),
        Goal::TendsToZero { term, .. } => format!("{} → 0", show::plain(term)),
    };
    let assumed: Vec<String> = problem
        .hypotheses
        .iter()
        .map(|own| show::condition(&own.condition))
        .collect();
    if assumed.is_empty() {
        goal
    } else {
        format!("{goal}   for {}", assumed.join(", "))
    }
}

/// Each claim, and below it the reason that is given. With `MAJORANT_REWRITE` set the file is
/// rewritten, and the test fails all the same: read what has changed.
#[test]
fn reasons_are_as_written_down() {
    let stop = AtomicBool::new(false);
    let mut text = String::new();
    let mut explained = 0;
    for (name, problem) in items() {
        let Verdict::Proved(certificate) = decide(&problem, &Budget::STANDARD, &stop) else {
            continue;
        };
        let reason = explain(&certificate);
        explained += usize::from(reason.is_some());
        let reason = reason.unwrap_or_else(|| "-".to_owned());
        let _ = writeln!(text, "{name}: {}\n    {reason}", shown(&problem));
    }
    assert!(explained >= 100, "{explained}");
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("reasons.expect");
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    if expected != text && std::env::var_os(REWRITE).is_some() {
        std::fs::write(&path, &text).expect("written");
    }
    let first = text
        .lines()
        .zip(expected.lines().chain(std::iter::repeat("")))
        .find(|(new, old)| new != old);
    assert_eq!(first, None, "reasons differ from tests/reasons.expect");
    assert_eq!(expected, text);
}
