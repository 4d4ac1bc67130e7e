//! The invariants of the house that can be read off its files.

use checks::catalogue::CHECKS;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use tests::draft::{files_below, project, relative};
use tests::rust_text::{code_lines, code_only, functions};

/// Crates that touch no file, clock, thread, environment or network.
const RESTRICTED: [&str; 5] = ["source", "kernel", "argument", "checks", "scratch"];

/// Which crates of ours a crate may name, and which of others (`None`: any).
type Arrows = (
    &'static str,
    &'static [&'static str],
    Option<&'static [&'static str]>,
);

const ARROWS: [Arrows; 6] = [
    ("source", &[], Some(&["nom", "pulldown-cmark", "ropey"])),
    ("kernel", &[], Some(&["core-math", "dashu", "meval"])),
    ("argument", &["kernel", "source"], Some(&["nom"])),
    ("checks", &["argument", "kernel", "source"], Some(&[])),
    (
        "scratch",
        &["argument", "checks", "kernel", "source"],
        Some(&["dashu"]),
    ),
    (
        "app",
        &["argument", "checks", "kernel", "scratch", "source"],
        None,
    ),
];

const OURS: [&str; 7] = [
    "source", "kernel", "argument", "checks", "scratch", "app", "tests",
];

/// What may lie at the top of the project; folders that version control ignores are left out.
const TOP: [&str; 13] = [
    ".cargo",
    ".ci",
    ".gitignore",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "editor-config",
    "samples",
    "server",
    "tests",
    "rustfmt.toml",
];

/// Folders that are made by tools and not kept.
const IGNORED: [&str; 5] = [".git", "target", "node_modules", "__pycache__", ".venv"];

const MAX_FILE_LINES: usize = 600;
const MAX_FUNCTION_LINES: usize = 100;

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The kept files of the project, by path below it.
fn kept_files() -> Vec<(String, PathBuf)> {
    let root = project();
    let entries = fs::read_dir(&root).expect("the project can be listed");
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.expect("the project can be listed").path();
        if path.is_dir() {
            if !IGNORED.iter().any(|name| path.ends_with(name)) {
                files.extend(files_below(&path));
            }
        } else {
            files.push(path);
        }
    }
    files
        .into_iter()
        .map(|path| (relative(&path, &root), path))
        .filter(|(name, _)| !name.split('/').any(|part| IGNORED.contains(&part)))
        .collect()
}

fn rust_files() -> Vec<(String, String)> {
    kept_files()
        .into_iter()
        .filter(|(name, _)| name.ends_with(".rs"))
        .map(|(name, path)| (name, read(&path)))
        .collect()
}

/// Names in the sections of a manifest whose heading satisfies `wanted`.
fn dependencies(manifest: &str, wanted: impl Fn(&str) -> bool) -> Vec<String> {
    let mut names = Vec::new();
    let mut inside = false;
    for line in manifest.lines().map(str::trim) {
        if let Some(heading) = line.strip_prefix('[') {
            let heading = heading.trim_end_matches(']');
            inside = wanted(heading);
            let table = heading.rsplit_once("dependencies.");
            names.extend(
                table
                    .filter(|(before, _)| wanted(&format!("{before}dependencies")))
                    .map(|(_, name)| name.to_owned()),
            );
        } else if inside && !line.starts_with('#') {
            let name = line.split(['=', '.', ' ']).next().unwrap_or_default();
            if !name.is_empty() {
                names.push(name.trim_matches('"').to_owned());
            }
        }
    }
    names
}

fn none(faults: &[String]) {
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn i1_crates_depend_as_the_arrows_say() {
    let mut faults = Vec::new();
    for (name, ours, others) in ARROWS {
        let manifest = read(&project().join(format!("server/{name}/Cargo.toml")));
        for dependency in dependencies(&manifest, |heading| {
            heading.ends_with("dependencies") && !heading.contains("dev-")
        }) {
            let allowed = if OURS.contains(&dependency.as_str()) {
                ours.contains(&dependency.as_str())
            } else {
                others.is_none_or(|others| others.contains(&dependency.as_str()))
            };
            if !allowed {
                faults.push(format!("{name} must not depend on {dependency}"));
            }
        }
        let development = dependencies(&manifest, |heading| heading == "dev-dependencies");
        for dependency in development {
            if OURS.contains(&dependency.as_str()) && !ours.contains(&dependency.as_str()) {
                faults.push(format!(
                    "{name} must not depend on {dependency}, not even in tests"
                ));
            }
        }
    }
    none(&faults);
}

#[test]
fn i1_every_crate_of_the_server_has_its_arrows() {
    let folders = fs::read_dir(project().join("server")).expect("server can be listed");
    let there: BTreeSet<String> = folders
        .map(|entry| {
            entry
                .expect("server can be listed")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    let known: BTreeSet<String> = ARROWS.iter().map(|(name, ..)| (*name).to_owned()).collect();
    assert_eq!(there, known);
}

#[test]
fn i2_protocol_types_and_json_live_in_app_only() {
    let banned = ["lsp_types", "tower_lsp", "serde_json", "serde"];
    none(&words_in_restricted_crates(&banned));
}

#[test]
fn i6_the_judge_of_evidence_uses_nothing_of_the_searches() {
    // Types of numbers and expressions, questions and answers; `numerics` where points are judged.
    let open = ["algebra", "calculus", "expr", "goal", "verdict"];
    let mut faults = Vec::new();
    let mut seen = 0;
    for (name, source) in rust_files() {
        let judging = name.contains("kernel/src/recheck/") && !name.ends_with("/tests.rs");
        let arithmetic = name.contains("kernel/src/algebra/");
        if !judging && !arithmetic {
            continue;
        }
        seen += 1;
        let code = code_only(&source);
        for (at, _) in code.match_indices("crate::") {
            let rest = &code[at + "crate::".len()..];
            let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_');
            let module = &rest[..end.unwrap_or(rest.len())];
            let allowed =
                open.contains(&module) || (module == "numerics" && name.ends_with("/confirm.rs"));
            if !allowed {
                faults.push(format!("{name} uses crate::{module}"));
            }
        }
    }
    assert!(seen > 12, "{seen} files");
    none(&faults);
}

#[test]
fn i3_restricted_crates_touch_no_file_clock_thread_environment_or_network() {
    let modules = ["fs", "time", "thread", "env", "net", "process", "os"];
    let mut faults = Vec::new();
    for (name, source) in restricted_sources() {
        let code: String = code_only(&source)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        for module in modules {
            for path in [format!("std::{module}"), format!("std :: {module}")] {
                let used = code.match_indices(&path).any(|(at, _)| {
                    !code[at + path.len()..].starts_with(|c: char| c.is_alphanumeric() || c == '_')
                });
                if used {
                    faults.push(format!("{name} names {path}"));
                }
            }
            for (at, _) in code.match_indices("std::{") {
                let group = &code[at..code[at..].find(';').map_or(code.len(), |end| at + end)];
                let words = group.split(|c: char| !(c.is_alphanumeric() || c == '_'));
                if words.into_iter().any(|word| word == module) {
                    faults.push(format!("{name} may name std::{module}"));
                }
            }
        }
    }
    none(&faults);
}

fn restricted_sources() -> Vec<(String, String)> {
    let files: Vec<_> = rust_files()
        .into_iter()
        .filter(|(name, _)| {
            RESTRICTED
                .iter()
                .any(|part| name.starts_with(&format!("server/{part}/src/")))
        })
        .collect();
    assert!(!files.is_empty());
    files
}

fn words_in_restricted_crates(banned: &[&str]) -> Vec<String> {
    let mut faults = Vec::new();
    for (name, source) in restricted_sources() {
        let code = code_only(&source);
        let mut words = code.split(|c: char| !(c.is_alphanumeric() || c == '_'));
        if let Some(word) = words.find(|word| banned.contains(word)) {
            faults.push(format!("{name} names {word}"));
        }
    }
    faults
}

#[test]
fn i10_every_check_has_its_files_and_fixtures() {
    let root = project();
    let catalogue = root.join("server/checks/src/catalogue");
    let mut faults = Vec::new();
    assert!(!CHECKS.is_empty(), "the catalogue is empty");
    for check in CHECKS {
        let name = check.name;
        let page = catalogue.join(format!("{name}.md"));
        match fs::read_to_string(&page) {
            Ok(text) if text.trim() == check.page.trim() && !text.trim().is_empty() => {}
            Ok(_) => faults.push(format!(
                "{name}: its page is empty or not the one in the program"
            )),
            Err(error) => faults.push(format!("{name}.md: {error}")),
        }
        if check.summary.trim().is_empty() {
            faults.push(format!("{name} has no summary"));
        }
        for (begin, end) in [
            ("fires-", ".md"),
            ("fires-", ".tex"),
            ("silent-", ".md"),
            ("silent-", ".tex"),
        ] {
            if !has_fixture(&root.join("tests/fixtures").join(name), begin, end) {
                faults.push(format!("{name} has no fixture {begin}*{end}"));
            }
        }
    }
    none(&faults);
}

fn has_fixture(folder: &Path, begin: &str, end: &str) -> bool {
    let Ok(entries) = fs::read_dir(folder) else {
        return false;
    };
    entries.flatten().any(|entry| {
        let name = entry.file_name().to_string_lossy().into_owned();
        name.starts_with(begin) && name.ends_with(end)
    })
}

#[test]
fn i10_every_folder_of_fixtures_belongs_to_a_check() {
    let folders = fs::read_dir(project().join("tests/fixtures")).expect("fixtures can be listed");
    let mut faults = Vec::new();
    for folder in folders {
        let name = folder
            .expect("fixtures can be listed")
            .file_name()
            .to_string_lossy()
            .into_owned();
        if name != "drafts" && checks::catalogue::find(&name).is_none() {
            faults.push(format!("there is no check {name}"));
        }
    }
    none(&faults);
}

#[test]
fn i10_every_page_of_the_catalogue_belongs_to_a_check() {
    let folder = project().join("server/checks/src/catalogue");
    let mut faults = Vec::new();
    for path in files_below(&folder) {
        let name = relative(&path, &folder);
        let known = |stem: &str| checks::catalogue::find(&stem.replace('_', "-")).is_some();
        if name.strip_suffix(".md").is_some_and(|stem| !known(stem)) {
            faults.push(format!("there is no check for {name}"));
        }
    }
    none(&faults);
}

#[test]
fn check_names_are_unique_and_spelled_alike() {
    let names: BTreeSet<&str> = CHECKS.iter().map(|check| check.name).collect();
    assert_eq!(names.len(), CHECKS.len(), "a name occurs twice");
    for name in names {
        let spelled =
            name.contains('-') && name.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        assert!(spelled, "{name}");
    }
}

#[test]
fn i11_every_file_begins_with_its_duty_and_stays_short() {
    let mut faults = Vec::new();
    for (name, source) in rust_files() {
        let duty = source
            .lines()
            .next()
            .and_then(|line| line.strip_prefix("//! "));
        if duty.is_none_or(|duty| duty.trim().is_empty()) {
            faults.push(format!("{name} does not begin with `//!` and its duty"));
        }
        let code = code_only(&source);
        let lines = code_lines(&code);
        if MAX_FILE_LINES <= lines {
            faults.push(format!("{name} has {lines} lines of code"));
        }
        for (function, lines) in functions(&code) {
            if MAX_FUNCTION_LINES <= lines {
                faults.push(format!("{name}: {function} has {lines} lines"));
            }
        }
    }
    none(&faults);
}

#[test]
fn i12_the_readme_lists_the_checks_of_the_catalogue() {
    let readme = read(&project().join("README.md"));
    let mut listed: Vec<String> = Vec::new();
    let mut faults = Vec::new();
    for line in readme.lines() {
        let row = line
            .trim_start()
            .strip_prefix("| `")
            .or(line.trim_start().strip_prefix("- `"));
        let Some((name, rest)) = row.and_then(|row| row.split_once('`')) else {
            continue;
        };
        let severity = checks::catalogue::find(name).map(|check| check.severity.word());
        match severity {
            Some(word) if rest.contains(word) => listed.push(name.to_owned()),
            Some(word) => faults.push(format!("the row of {name} does not say `{word}`")),
            None => {}
        }
    }
    none(&faults);
    let registry: Vec<String> = CHECKS.iter().map(|check| check.name.to_owned()).collect();
    assert_eq!(
        listed, registry,
        "rows that begin with a check's name, in the order of the guide"
    );
}

#[test]
fn common_parts_of_lint_files_are_equal() {
    // What one crate bans for itself stands below this line of its file.
    let border = "# Of this crate alone";
    let path = |name: &&str| project().join(format!("server/{name}/.clippy.toml"));
    let there: Vec<&str> = RESTRICTED
        .iter()
        .copied()
        .filter(|name| path(name).exists())
        .collect();
    assert!(
        there.is_empty() || there.len() == RESTRICTED.len(),
        "only {there:?} have one"
    );
    let common: BTreeSet<String> = there
        .iter()
        .map(|name| {
            read(&path(name))
                .split(border)
                .next()
                .unwrap_or_default()
                .trim()
                .to_owned()
        })
        .collect();
    assert!(common.len() <= 1, "the common parts differ: {common:#?}");
}

#[test]
fn the_top_of_the_project_holds_what_belongs_there() {
    let entries = fs::read_dir(project()).expect("the project can be listed");
    let mut faults = Vec::new();
    for entry in entries {
        let name = entry.expect("the project can be listed").file_name();
        let name = name.to_string_lossy();
        if !TOP.contains(&name.as_ref()) && !IGNORED.contains(&name.as_ref()) {
            faults.push(format!("{name} does not belong at the top"));
        }
    }
    none(&faults);
}

#[test]
fn no_file_names_a_place_on_somebodys_machine() {
    // Put together here, so that this file does not name them itself.
    let banned: Vec<String> = [
        ("/wo", "rk/"),
        ("/tmp/", "target"),
        ("/ro", "ot/"),
        ("/ho", "me/"),
    ]
    .iter()
    .map(|(begin, end)| format!("{begin}{end}"))
    .collect();
    let mut faults = Vec::new();
    for (name, path) in kept_files() {
        let Ok(text) = fs::read_to_string(&path) else {
            continue;
        };
        for place in banned.iter().filter(|place| text.contains(place.as_str())) {
            faults.push(format!("{name} names {place}"));
        }
    }
    none(&faults);
}

#[test]
fn every_dependency_has_its_reason() {
    let developers = read(&project().join("DEVELOPERS.md"));
    let manifest = read(&project().join("Cargo.toml"));
    let mut names: BTreeSet<String> =
        dependencies(&manifest, |heading| heading == "workspace.dependencies")
            .into_iter()
            .collect();
    for (name, path) in kept_files() {
        if name.ends_with("Cargo.toml") {
            names.extend(dependencies(&read(&path), |heading| {
                !heading.starts_with("workspace") && heading.ends_with("dependencies")
            }));
        }
    }
    let requirements = read(&project().join("tests/oracles/requirements.txt"));
    names.extend(
        requirements
            .lines()
            .filter(|line| !line.starts_with('#') && !line.trim().is_empty())
            .filter_map(|line| line.split("==").next().map(|name| name.trim().to_owned())),
    );
    let mut faults = Vec::new();
    for name in names.iter().filter(|name| !OURS.contains(&name.as_str())) {
        let quoted = format!("`{name}`");
        let reason = developers.lines().any(|line| {
            line.split_once(&quoted)
                .is_some_and(|(_, after)| 20 <= after.trim().len())
        });
        if !reason {
            faults.push(format!(
                "{name} has no line with its reason in DEVELOPERS.md"
            ));
        }
    }
    none(&faults);
}

#[test]
fn every_python_requirement_is_pinned() {
    let requirements = read(&project().join("tests/oracles/requirements.txt"));
    let mut pinned = 0;
    for line in requirements.lines().filter(|line| !line.trim().is_empty()) {
        assert!(line.starts_with('#') || line.contains("=="), "{line}");
        pinned += usize::from(line.contains("=="));
    }
    assert!(0 < pinned);
}
