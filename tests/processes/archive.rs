//! A faculty's archive: the cache under several runs and under a kill, and shards put together.

#[allow(dead_code)]
mod program;

use program::{Folder, Guarded};
use std::path::PathBuf;
use std::process::{Output, Stdio};

const DRAFTS: usize = 60;

/// A class in which some things are right, some wrong, some unreadable.
fn class() -> Folder {
    let folder = Folder::new();
    for number in 0..DRAFTS {
        let (bound, next) = (number % 7 + 1, number + 2);
        let text = format!(
            "**Exercise {number}.** Let $f_n(x) = \\frac{{x}}{{{next} n + x}}$ for $x \\in [0, {bound}]$. \
             Show that $f_n \\to 0$ uniformly.\n\n**Proof.** Let $ε > 0$ and choose $N > {bound}/ε$. \
             For $n > N$ we have $|f_n(x)| \\le \\frac{{{bound}}}{{n}} < ε$ and \
             $|f_n(x)| \\le \\frac{{1}}{{{next} n}}$.\n"
        );
        folder.write(&format!("class/{number:03}.md"), text.as_bytes());
    }
    folder.write("class/031-latin.md", b"na\xefve");
    folder
}

/// The reference: one run without a cache.
fn plain(folder: &Folder) -> Output {
    folder.run(&["review", "class", "--format", "json", "--no-cache"])
}

/// The entries of the cache, which lies below the folder that the program takes for home.
fn entries(folder: &Folder) -> Vec<PathBuf> {
    fn below(folder: PathBuf, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            if entry.path().is_dir() {
                below(entry.path(), found);
            } else {
                found.push(entry.path());
            }
        }
    }
    let mut found = Vec::new();
    for name in [".cache", "Library"] {
        below(folder.path().join(name), &mut found);
    }
    found
}

#[test]
fn results_are_the_same_with_and_without_the_cache() {
    let folder = class();
    let plain = plain(&folder);
    assert_eq!(plain.status.code(), Some(2));
    assert!(entries(&folder).is_empty());
    for _ in 0..2 {
        let cached = folder.run(&["review", "class", "--format", "json"]);
        assert_eq!(cached.stdout, plain.stdout);
        assert_eq!(cached.stderr, plain.stderr);
        assert_eq!(cached.status.code(), Some(2));
        assert_eq!(entries(&folder).len(), DRAFTS);
    }
    // Damage costs time only.
    for (number, entry) in entries(&folder).iter().enumerate() {
        let whole = std::fs::read(entry).expect("an entry");
        let kept = whole.len() * (number % 4) / 4;
        std::fs::write(entry, &whole[..kept]).expect("an entry can be written");
    }
    let cached = folder.run(&["review", "class", "--format", "json"]);
    assert_eq!(cached.stdout, plain.stdout);
}

#[test]
fn a_run_that_is_killed_leaves_a_cache_that_serves() {
    let folder = class();
    for pause in [100, 300, 600] {
        let child = folder
            .command()
            .args(["review", "class", "--format", "json"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        let mut child = Guarded(child.expect("the program can be started"));
        std::thread::park_timeout(std::time::Duration::from_millis(pause));
        let _ = child.0.kill();
        child.wait();
    }
    let after = folder.run(&["review", "class", "--format", "json"]);
    assert_eq!(after.stdout, plain(&folder).stdout);
}

#[test]
fn shards_at_once_give_the_report_of_one_run() {
    let folder = class();
    let plain = plain(&folder);
    let report = |number: usize| format!("shard-{number}.json");
    let children: Vec<Guarded> = (1..=4)
        .map(|number| {
            let child = folder
                .command()
                .args(["review", "class", "--format", "json", "--jobs", "1"])
                .args([
                    "--shard",
                    &format!("{number}/4"),
                    "--output",
                    &report(number),
                ])
                .stderr(Stdio::null())
                .spawn();
            Guarded(child.expect("the program can be started"))
        })
        .collect();
    let statuses: Vec<Option<i32>> = children
        .into_iter()
        .map(|mut child| child.wait().code())
        .collect();
    // The first shard tells of what could not be read.
    assert_eq!(statuses, [Some(2), Some(1), Some(1), Some(1)]);
    let names: Vec<String> = [3, 1, 4, 2].map(report).to_vec();
    let mut arguments = vec!["merge"];
    arguments.extend(names.iter().map(String::as_str));
    let merged = folder.run(&arguments);
    assert_eq!(String::from_utf8_lossy(&merged.stderr), "");
    assert!(merged.stdout == plain.stdout, "the reports differ");
    assert_eq!(merged.status.code(), Some(2));
    // More shards than drafts, and a run without a fault.
    folder.write("few/a.md", b"We have $1 \\le 2$.\n");
    folder.write("few/b.md", b"We have $2 \\le 3$.\n");
    for number in 1..=3 {
        let shard = format!("{number}/3");
        let output = [
            "--format",
            "json",
            "--shard",
            &shard,
            "--output",
            &report(number),
        ];
        let run = folder.run(&[&["review", "few"], &output[..]].concat());
        assert_eq!(run.status.code(), Some(0));
    }
    let merged = folder.run(&["merge", &report(1), &report(2), &report(3)]);
    let whole = folder.run(&["review", "few", "--format", "json"]);
    assert_eq!((merged.stdout, merged.status), (whole.stdout, whole.status));
}

#[test]
fn what_does_not_belong_together_is_not_merged() {
    let folder = Folder::with(&[("a.md", "We have $1 \\le 2$.\n"), ("junk.json", "{}")]);
    let shard = |shard: &str, output: &str| {
        folder.run(&[
            "review", "a.md", "--format", "json", "--shard", shard, "--output", output,
        ])
    };
    shard("1/2", "1.json");
    shard("2/2", "2.json");
    shard("2/3", "other.json");
    folder.run(&[
        "review",
        "a.md",
        "--format",
        "json",
        "--output",
        "whole.json",
    ]);
    for (arguments, told) in [
        (&["merge", "1.json"][..], "shard 2 of 2 is missing"),
        (&["merge", "1.json", "1.json"], "shard 1 is there twice"),
        (&["merge", "1.json", "other.json"], "are of different runs"),
        (&["merge", "whole.json"], "no report of a shard"),
        (&["merge", "junk.json"], "no JSON report"),
        (&["merge", "none.json"], "no such file"),
        (&["review", "a.md", "--shard", "3/2"], "a shard is I/K"),
        (&["review", "a.md", "--shard", "0/2"], "a shard is I/K"),
    ] {
        let output = folder.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(complaint.contains(told), "{complaint}");
        assert_eq!(complaint.lines().count(), 1, "{complaint}");
    }
}
