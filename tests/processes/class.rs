//! A class of 1,000 generated scripts: time by size, cores in use, peak memory, and what the cache
//! and shards give. `MAJORANT_SCRIPTS` sets another number of scripts.
//!
//! Processor time and memory are read from `/proc`; where there is none they are left out. `cargo bench -p app --bench class`.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]
#![allow(clippy::print_stderr, reason = "a bench has nobody else to tell")]
#![allow(missing_docs, reason = "a bench has no callers")]

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// How often a running program is looked at.
const LOOK: Duration = Duration::from_millis(20);

/// Clock ticks of `/proc` in a second.
const TICKS: f64 = 100.0;

/// What a run took.
#[derive(Clone, Copy, Default)]
struct Taken {
    wall: f64,
    processor: f64,
    mebibytes: f64,
}

impl Taken {
    fn busy(self) -> f64 {
        self.processor / self.wall
    }
}

fn main() {
    let scripts: usize = std::env::var("MAJORANT_SCRIPTS")
        .ok()
        .and_then(|number| number.parse().ok())
        .unwrap_or(1000);
    let folder = std::env::temp_dir().join(format!("majorant-class-{}", std::process::id()));
    let mut report = String::new();
    let sizes: Vec<usize> = [8, 4, 2, 1]
        .iter()
        .map(|part| (scripts / part).max(1))
        .collect();
    for &size in &sizes {
        class(&folder.join(size.to_string()), size);
    }
    for &size in &sizes {
        let taken = run(&folder, size, &["--no-cache"]);
        told(&mut report, &format!("{size} scripts"), size, taken);
    }
    let one = run(&folder, scripts, &["--no-cache", "--jobs", "1"]);
    told(&mut report, "the same with one job", scripts, one);
    let first = run(&folder, scripts, &[]);
    told(&mut report, "the same, cache empty", scripts, first);
    let second = run(&folder, scripts, &[]);
    told(&mut report, "the same, cache full", scripts, second);
    let page = run(&folder, scripts, &["--format", "html"]);
    told(&mut report, "as a page, cache full", scripts, page);
    println!("{report}");
    if let Err(error) = fs::remove_dir_all(&folder) {
        eprintln!("{}: {error}", folder.display());
    }
}

fn told(report: &mut String, what: &str, size: usize, taken: Taken) {
    let each = 1000.0 * taken.wall / size as f64;
    let _ = writeln!(
        report,
        "{what:24} {:8.2} s, {each:7.2} ms a script, {:5.2} cores busy, {:6.1} MiB at most",
        taken.wall,
        taken.busy(),
        taken.mebibytes
    );
}

/// One run of the program over a class; its report goes nowhere.
fn run(folder: &Path, size: usize, options: &[&str]) -> Taken {
    let begun = Instant::now();
    let child = Command::new(env!("CARGO_BIN_EXE_majorant"))
        .arg("review")
        .arg(folder.join(size.to_string()))
        .args(options)
        .env("XDG_CACHE_HOME", folder.join("cache"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let mut child = child.expect("the program can be started");
    let mut taken = Taken::default();
    loop {
        look(&child, &mut taken);
        match child.try_wait().expect("a child can be asked") {
            Some(status) => {
                assert_eq!(status.code(), Some(1), "the class holds mistakes");
                break;
            }
            None => sleep(LOOK),
        }
    }
    taken.wall = begun.elapsed().as_secs_f64();
    taken
}

/// Reads what the child has taken so far.
fn look(child: &Child, taken: &mut Taken) {
    let process = PathBuf::from(format!("/proc/{}", child.id()));
    if let Ok(text) = fs::read_to_string(process.join("status")) {
        let peak = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kibibytes = peak.and_then(|rest| rest.split_whitespace().next()?.parse::<f64>().ok());
        taken.mebibytes = kibibytes.map_or(taken.mebibytes, |size| size / 1024.0);
    }
    if let Ok(text) = fs::read_to_string(process.join("stat")) {
        // The name in parentheses may hold spaces; user and system time are fields 14 and 15.
        let fields = text.rsplit(')').next().unwrap_or_default();
        let ticks = fields.split_whitespace().skip(11).take(2);
        let ticks: f64 = ticks.filter_map(|field| field.parse::<f64>().ok()).sum();
        if 0.0 < ticks {
            taken.processor = ticks / TICKS;
        }
    }
}

/// Writes a class: every script has three exercises, right and wrong, and none is like another.
fn class(folder: &Path, size: usize) {
    fs::create_dir_all(folder).expect("a folder can be made");
    for number in 0..size {
        let latex = number % 3 == 0;
        let mut text = if latex {
            "\\documentclass{article}\n\\begin{document}\n".to_owned()
        } else {
            format!("# Sheet 1, script {number}\n\n")
        };
        for exercise in 1..=3 {
            let _ = writeln!(text, "{}\n", answer(number, exercise, latex));
        }
        if latex {
            text.push_str("\\end{document}\n");
        }
        let ending = if latex { "tex" } else { "md" };
        let file = folder.join(format!("script-{number:05}.{ending}"));
        fs::write(file, text).expect("a script can be written");
    }
}

fn answer(number: usize, exercise: usize, latex: bool) -> String {
    let (a, b) = (number % 17 + 1, number / 17 % 13 + 1);
    let c = number / 221 + 2;
    let label = if latex {
        format!("\\section*{{Exercise {exercise}}}\n")
    } else {
        format!("**Exercise {exercise}.** ")
    };
    let proof = if latex {
        "\n\n\\textbf{Proof.} "
    } else {
        "\n\n**Proof.** "
    };
    let body = match (number + exercise) % 5 {
        0 => format!(
            "Let $f_n(x) = \\frac{{{a}x}}{{{c}n+x}}$ for $x \\in [0, {b}]$. Show that $f_n \\to 0$ \
             uniformly.{proof}Let $\\varepsilon > 0$ and choose $N > \\frac{{{}}}{{\\varepsilon}}$. For \
             $n > N$ and $x \\in [0, {b}]$ we have $$|f_n(x)| \\le \\frac{{{a}x}}{{{c}n}} \\le \
             \\frac{{{}}}{{n}} < \\varepsilon.$$",
            a * b,
            a * b
        ),
        1 => format!(
            "Let $a_n = \\frac{{{a}n+{b}}}{{{c}n+1}}$. Show that $a_n \\to \\frac{{{a}}}{{{c}}}$.{proof}\
             We have $$\\left|a_n - \\frac{{{a}}}{{{c}}}\\right| = \\frac{{{}}}{{{c}({c}n+1)}} \\le \
             \\frac{{{}}}{{n}}.$$ Let $\\varepsilon > 0$ and $N > \\frac{{{}}}{{\\varepsilon}}$. Then \
             $|a_n - \\frac{{{a}}}{{{c}}}| < \\varepsilon$ for all $n > N$.",
            (b * c).abs_diff(a),
            (b * c).abs_diff(a) + 1,
            (b * c).abs_diff(a) + 1
        ),
        2 => format!(
            "Let $f_n(x) = \\frac{{x}}{{1+{a}n^2x^2}}$ on $[0, {b}]$. Show that $f_n \\to 0$ \
             uniformly.{proof}Since $1 + {a}n^2x^2 \\ge 2nx$ we have $|f_n(x)| \\le \\frac{{1}}{{2n}}$, \
             and this bound tends to $0$. Hence $f_n \\to 0$ uniformly on $[0, {b}]$."
        ),
        3 => format!(
            "Let $f_n(x) = \\frac{{nx}}{{n+{a}x}}$ for $x \\in [0, {b}]$. Show that $f_n \\to x$ \
             uniformly.{proof}We have $|f_n(x) - x| = \\frac{{{a}x^2}}{{n+{a}x}} \\le \
             \\frac{{{}}}{{n}}$. Let $\\varepsilon > 0$ and choose $N > \\frac{{1}}{{{c}\\varepsilon}}$. \
             Then $|f_n(x) - x| < \\varepsilon$ for all $n > N$ and $x \\in [0, {b}]$.",
            a * b * b
        ),
        _ => format!(
            "Let $f_n(x) = x^n$ for $x \\in [0, \\frac{{{a}}}{{{}}}]$. Show that $f_n \\to 0$ \
             uniformly.{proof}Let $\\varepsilon > 0$. Choose $N > \\frac{{\\ln \\varepsilon}}{{\\ln x}}$. \
             Then $x^n < \\varepsilon$ for all $n > N$.",
            a + b
        ),
    };
    format!("{label}{body}")
}
