//! Ratios of running times in one run, printed as the table that README quotes: the batch tape
//! against the same formulas compiled by rustc and against meval, intervals against doubles, whole
//! decisions against a script with SymPy and Z3. Ratios depend little on the machine.
//!
//! `cargo bench -p tests`; `MAJORANT_PYTHON` names the interpreter with SymPy and Z3.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]
#![allow(missing_docs, reason = "a bench has no callers")]

use kernel::numerics::tape::{Batch, Compiler, LANES};
use kernel::numerics::{Assignment, Precision, Value, enclose};
use kernel::recheck::verify;
use kernel::record::Record;
use kernel::{Budget, Expr, Kind, Symbol, Verdict, decide};
use std::collections::BTreeMap;
use std::hint::black_box;
use std::process::Command;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};
use tests::obligations::{expression, read};

/// A formula over a batch of n and x.
type Formula = fn(&[f64; LANES], &[f64; LANES], &mut [f64; LANES]);

/// Formulas in n and x: text, and the loop over a batch that rustc makes of it.
macro_rules! formulas {
    ($($text:literal, |$n:ident, $x:ident| $body:expr;)*) => {
        [$(($text, {
            #[inline(never)]
            fn run(all_n: &[f64; LANES], all_x: &[f64; LANES], out: &mut [f64; LANES]) {
                for ((out, $n), $x) in out.iter_mut().zip(all_n).zip(all_x) {
                    let ($n, $x) = (*$n, *$x);
                    *out = $body;
                }
            }
            run as Formula
        })),*]
    };
}

const ALGEBRAIC: [(&str, Formula); 5] = formulas! {
    "x/(2+3*n*x**2)", |n, x| x / (2.0 + 3.0 * n * x * x);
    "n*x/(1+n**2*x**2)", |n, x| n * x / (1.0 + n * n * (x * x));
    "sqrt(x**2+1/n)-abs(x)", |n, x| (x * x + 1.0 / n).sqrt() - x.abs();
    "abs(x**3/(1+n*x**2)-x/n)", |n, x| (x * x * x / (1.0 + n * (x * x)) - x / n).abs();
    "(3*n+1)/(2*n+5)-3/2+x*(1-x)*(2*x-1)/n",
        |n, x| (3.0 * n + 1.0) / (2.0 * n + 5.0) - 1.5 + x * (1.0 - x) * (2.0 * x - 1.0) / n;
};
const TRANSCENDENTAL: [(&str, Formula); 5] = formulas! {
    "x*exp(-n*x)", |n, x| x * core_math::exp(-n * x);
    "abs(sin(n*x))/n", |n, x| core_math::sin(n * x).abs() / n;
    "atan(n*x)-x/(1+x)", |n, x| core_math::atan(n * x) - x / (1.0 + x);
    "log(2+x/n)*cos(x)", |n, x| core_math::log(2.0 + x / n) * core_math::cos(x);
    "x**n*(1-x)", |n, x| core_math::pow(x, n) * (1.0 - x);
};

/// The best of many rounds, each long enough to be measured and short enough to run undisturbed
/// on a machine with other work.
fn best(mut work: impl FnMut()) -> f64 {
    let mut repeats = 1_u32;
    loop {
        let start = Instant::now();
        (0..repeats).for_each(|_| work());
        if start.elapsed() > Duration::from_micros(200) {
            break;
        }
        repeats *= 2;
    }
    (0..400)
        .map(|_| {
            let start = Instant::now();
            (0..repeats).for_each(|_| work());
            start.elapsed().as_secs_f64() / f64::from(repeats)
        })
        .fold(f64::INFINITY, f64::min)
}

fn geometric_mean(values: &[f64]) -> f64 {
    (values.iter().map(|value| value.ln()).sum::<f64>() / values.len() as f64).exp()
}

struct Times {
    compiled: f64,
    tape: f64,
    meval: f64,
    interval: f64,
}

fn measure(text: &str, formula: Formula) -> Times {
    let mut n = [0.0; LANES];
    let mut x = [0.0; LANES];
    for lane in 0..LANES {
        n[lane] = (lane % 37 + 1) as f64;
        x[lane] = (lane + 1) as f64 / (LANES + 2) as f64;
    }
    let mut out = [0.0; LANES];
    let compiled = best(|| formula(black_box(&n), black_box(&x), black_box(&mut out)));

    let expr = expression(text).expect("readable");
    let integer = |name: &Symbol| name.as_str() == "n";
    let mut compiler = Compiler::new(&integer);
    let register = compiler.expression(&expr);
    let tape = compiler.finish();
    let mut batch = Batch::new(&tape);
    for (place, input) in tape.inputs().iter().enumerate() {
        *batch.input(place) = if *input == Expr::named("n") { n } else { x };
    }
    let tape_time = best(|| {
        black_box(&mut batch).run(black_box(&tape));
    });
    for (a, b) in batch.value(register).iter().zip(&out) {
        assert!((a - b).abs() <= 1e-12 * (1.0 + a.abs()), "{text}: {a} {b}");
    }

    let other: meval::Expr = text
        .replace("**", "^")
        .replace("log(", "ln(")
        .parse()
        .expect("readable");
    let function = other.bind2("n", "x").expect("two variables");
    let meval_time = best(|| {
        for lane in 0..LANES {
            black_box(function(n[lane], x[lane]));
        }
    });

    let points: Vec<Assignment> = (0..LANES)
        .map(|lane| {
            let number =
                |value: f64| Value::Exact(dashu::rational::RBig::try_from(value).expect("finite"));
            Assignment::new()
                .with(&Symbol::new("n"), Kind::Integer, number(n[lane]))
                .with(
                    &Symbol::new("x"),
                    Kind::Real,
                    number((x[lane] * 1024.0).round() / 1024.0),
                )
        })
        .collect();
    let interval = best(|| {
        for point in &points {
            black_box(enclose(&expr, point, Precision::Double));
        }
    });
    let scale = 1e9 / LANES as f64;
    Times {
        compiled: compiled * scale,
        tape: tape_time * scale,
        meval: meval_time * scale,
        interval: interval * scale,
    }
}

fn evaluation(title: &str, formulas: &[(&str, Formula)]) -> [f64; 3] {
    println!("\n{title}: nanoseconds for one point");
    println!(
        "{:40} {:>9} {:>9} {:>9} {:>9}",
        "formula", "compiled", "tape", "meval", "interval"
    );
    let mut ratios = [Vec::new(), Vec::new(), Vec::new()];
    for (text, formula) in formulas {
        let times = measure(text, *formula);
        println!(
            "{text:40} {:9.2} {:9.2} {:9.2} {:9.2}",
            times.compiled, times.tape, times.meval, times.interval
        );
        ratios[0].push(times.tape / times.compiled);
        ratios[1].push(times.meval / times.tape);
        ratios[2].push(times.interval / times.tape);
    }
    ratios.map(|own| geometric_mean(&own))
}

fn percentile(times: &mut [f64], share: f64) -> f64 {
    times.sort_by(f64::total_cmp);
    times[((times.len() - 1) as f64 * share).round() as usize]
}

struct Decided {
    times: BTreeMap<String, f64>,
    checks: Vec<f64>,
    sizes: Vec<f64>,
    settled: usize,
    /// Of all together; the clock ticks too coarsely for a single claim.
    processor: f64,
}

/// Processor time of this thread in seconds, which other work on the machine does not lengthen; the
/// script measures the same. Where the system does not tell, the time since `start`.
fn processor_time(start: Instant) -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split(' ').next()?.parse::<f64>().ok())
        .map_or_else(|| start.elapsed().as_secs_f64(), |own| own / 1e9)
}

fn decisions() -> Decided {
    let stop = AtomicBool::new(false);
    let origin = Instant::now();
    let all = read(include_str!("../data/obligations.json")).expect("all are understood");
    let mut decided = Decided {
        times: BTreeMap::new(),
        checks: Vec::new(),
        sizes: Vec::new(),
        settled: 0,
        processor: 0.0,
    };
    let begun = processor_time(origin);
    for own in all {
        let start = Instant::now();
        let verdict = decide(&own.problem, &Budget::STANDARD, &stop);
        decided.times.insert(own.id, start.elapsed().as_secs_f64());
        match verdict {
            Verdict::Proved(certificate) => {
                decided.settled += 1;
                let start = Instant::now();
                black_box(verify(certificate.problem(), certificate.proof().clone()));
                decided.checks.push(start.elapsed().as_secs_f64());
                decided
                    .sizes
                    .push(Record::of_certificate(&certificate).write().len() as f64);
            }
            Verdict::Refuted(_) => decided.settled += 1,
            Verdict::Unsettled(_) => {}
        }
    }
    decided.processor = processor_time(origin) - begun;
    decided
}

/// Seconds of the script for each claim, and how many it settled.
fn script() -> Option<(BTreeMap<String, f64>, usize)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = std::env::var("MAJORANT_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let output = Command::new(python)
        .arg(folder.join("oracles/decide.py"))
        .arg(folder.join("data/obligations.json"))
        .output()
        .ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let (mut times, mut settled) = (BTreeMap::new(), 0);
    for line in text.lines() {
        let own: serde_json::Value = serde_json::from_str(line).ok()?;
        times.insert(own["id"].as_str()?.to_owned(), own["seconds"].as_f64()?);
        settled += usize::from(matches!(own["verdict"].as_str()?, "true" | "false"));
    }
    (!times.is_empty()).then_some((times, settled))
}

fn main() {
    let algebraic = evaluation("algebraic", &ALGEBRAIC);
    let transcendental = evaluation("transcendental", &TRANSCENDENTAL);
    let mut decided = decisions();
    let count = decided.times.len();
    let mut times: Vec<f64> = decided.times.values().copied().collect();
    println!(
        "\n{count} claims: {} settled; milliseconds: median {:.2}, 95 of 100 below {:.2}, longest {:.1}",
        decided.settled,
        1e3 * percentile(&mut times, 0.5),
        1e3 * percentile(&mut times, 0.95),
        1e3 * percentile(&mut times, 1.0),
    );
    println!(
        "judging a certificate: milliseconds: median {:.2}, 95 of 100 below {:.2}; bytes as text: median {:.0}, longest {:.0}",
        1e3 * percentile(&mut decided.checks, 0.5),
        1e3 * percentile(&mut decided.checks, 0.95),
        percentile(&mut decided.sizes, 0.5),
        percentile(&mut decided.sizes, 1.0),
    );
    let script = script();
    if let Some((other, settled)) = &script {
        let mut theirs: Vec<f64> = other.values().copied().collect();
        println!(
            "the script: {settled} settled; milliseconds: median {:.1}, 95 of 100 below {:.0}",
            1e3 * percentile(&mut theirs, 0.5),
            1e3 * percentile(&mut theirs, 0.95),
        );
    }
    println!("\n| what | ratio | aim |\n|---|---|---|");
    println!(
        "| tape : compiled formula, algebraic | {:.2} | 1.5 at most |",
        algebraic[0]
    );
    println!(
        "| tape : compiled formula, transcendental | {:.2} | 1.15 at most |",
        transcendental[0]
    );
    println!(
        "| meval : tape, algebraic | {:.0} | 20 at least |",
        algebraic[1]
    );
    println!(
        "| meval : tape, transcendental | {:.0} | |",
        transcendental[1]
    );
    println!("| intervals : doubles, algebraic | {:.0} | |", algebraic[2]);
    println!(
        "| intervals : doubles, transcendental | {:.0} | |",
        transcendental[2]
    );
    match script {
        Some((other, _)) => {
            println!(
                "| SymPy and Z3 script : decision, all claims together | {:.0} | 50 at least |",
                other.values().sum::<f64>() / decided.processor
            );
        }
        None => println!("| SymPy and Z3 script : decision | not measured: no such Python | |"),
    }
}
