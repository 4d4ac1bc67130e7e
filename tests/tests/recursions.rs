//! Claims about sequences that are defined by recursion against their members: what is proved
//! holds of every member that is computed here, and what is refuted fails at one of the first.

use checks::VerdictWord;
use source::Format;
use tests::draft::{in_parallel, reviewed};

/// Members that are computed.
const MEMBERS: usize = 1_000;
/// A refuted claim fails at one of so many.
const FIRST: usize = 30;
/// What rounding may hide.
const NOISE: f64 = 1e-9;

/// A recursion: the right side of its equation in TeX and as a function.
type Recursion = (&'static str, fn(f64) -> f64);

const RECURSIONS: [Recursion; 12] = [
    (r"\frac{a_n}{2} + 1", |a| a / 2.0 + 1.0),
    (r"1 - \frac{a_n}{3}", |a| 1.0 - a / 3.0),
    (r"a_n + \frac{1}{100}", |a| a + 0.01),
    (r"\frac{99 a_n}{100} + \frac{1}{50}", |a| 0.99 * a + 0.02),
    (r"2a_n - 1", |a| 2.0 * a - 1.0),
    (r"\sqrt{2 + a_n}", |a| (2.0 + a).sqrt()),
    (r"\frac{1}{1 + a_n}", |a| 1.0 / (1.0 + a)),
    (r"\frac{a_n^2 + 3}{4}", |a| (a * a + 3.0) / 4.0),
    (r"\frac{a_n}{1 + a_n}", |a| a / (1.0 + a)),
    (r"\frac{1}{2}\left(a_n + \frac{3}{a_n + 1}\right)", |a| {
        (a + 3.0 / (a + 1.0)) / 2.0
    }),
    (r"\frac{a_n + 2}{a_n + 3}", |a| (a + 2.0) / (a + 3.0)),
    (r"a_n^2 - a_n + 1", |a| a * a - a + 1.0),
];

const STARTS: [(&str, f64); 4] = [("0", 0.0), (r"\frac12", 0.5), ("1", 1.0), ("2", 2.0)];

const BOUNDS: [(&str, f64); 6] = [
    ("0", 0.0),
    (r"\frac12", 0.5),
    ("1", 1.0),
    (r"\frac32", 1.5),
    ("2", 2.0),
    ("3", 3.0),
];

/// A claim in TeX with what it says of two neighbours, or of the limit.
enum Says {
    Of(Box<dyn Fn(f64, f64) -> f64 + Sync + Send>),
    Limit(f64),
}

fn claims() -> Vec<(String, Says)> {
    let mut all: Vec<(String, Says)> = Vec::new();
    for (text, bound) in BOUNDS {
        all.push((
            format!(r"a_n \le {text}"),
            Says::Of(Box::new(move |a, _| bound - a)),
        ));
        all.push((
            format!(r"a_n \ge {text}"),
            Says::Of(Box::new(move |a, _| a - bound)),
        ));
        all.push((
            format!(r"\lim_{{n\to\infty}} a_n = {text}"),
            Says::Limit(bound),
        ));
    }
    all.push((
        r"a_{n+1} \ge a_n".to_owned(),
        Says::Of(Box::new(|a, next| next - a)),
    ));
    all.push((
        r"a_{n+1} \le a_n".to_owned(),
        Says::Of(Box::new(|a, next| a - next)),
    ));
    all
}

/// How a verdict departs from the members, if it does.
fn departs(verdict: VerdictWord, says: &Says, members: &[f64]) -> bool {
    match says {
        Says::Of(slack) => {
            let fails = |upto: usize| {
                members[..upto]
                    .windows(2)
                    .any(|pair| slack(pair[0], pair[1]) < -NOISE)
            };
            match verdict {
                VerdictWord::Proved => fails(MEMBERS),
                VerdictWord::Refuted => !fails(FIRST),
                _ => false,
            }
        }
        Says::Limit(value) => {
            let last = members[MEMBERS - 1];
            let near = last.is_finite() && (last - value).abs() < 0.05;
            match verdict {
                VerdictWord::Proved => !near,
                VerdictWord::Refuted => last.is_finite() && (last - value).abs() < NOISE,
                _ => false,
            }
        }
    }
}

#[test]
fn verdicts_agree_with_the_members() {
    let drafts: Vec<(Recursion, (&str, f64))> = RECURSIONS
        .into_iter()
        .flat_map(|recursion| STARTS.map(|start| (recursion, start)))
        .collect();
    let results = in_parallel(&drafts, |((next, step), (start, first))| {
        let members: Vec<f64> = std::iter::successors(Some(*first), |a| Some(step(*a)))
            .take(MEMBERS)
            .collect();
        let (mut departures, mut decided, mut all) = (Vec::new(), 0_usize, 0_usize);
        for (claim, says) in claims() {
            let draft = format!(
                "**Exercise.** Let $a_1 = {start}$ and $a_{{n+1}} = {next}$.\n\n**Solution.** We have ${claim}$ for all $n \\ge 1$.\n"
            );
            let review = reviewed(&draft, Format::Markdown);
            let verdicts = review.claims.iter().filter_map(|claim| claim.verdict);
            for verdict in verdicts {
                all += 1;
                decided += usize::from(matches!(
                    verdict,
                    VerdictWord::Proved | VerdictWord::Refuted
                ));
                if departs(verdict, &says, &members) {
                    departures.push(format!("{draft} {verdict:?}"));
                }
            }
        }
        (departures, decided, all)
    });
    let departures: Vec<&String> = results.iter().flat_map(|(found, _, _)| found).collect();
    assert!(departures.is_empty(), "{departures:#?}");
    let (decided, all) = results
        .iter()
        .fold((0, 0), |(decided, all), (_, more, whole)| {
            (decided + more, all + whole)
        });
    assert!(decided * 100 >= all * 95, "{decided} of {all} decided");
}
