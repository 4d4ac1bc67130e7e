//! Draft files of the test collections: found, loaded, reviewed.

use checks::{Review, Settings, review};
use source::{Companions, Format};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// The folder of the whole project.
#[must_use]
pub fn project() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().unwrap_or(tests).to_path_buf()
}

/// A draft's file.
#[derive(Clone, PartialEq, Debug)]
pub struct Draft {
    /// Its path below the folder that was searched, with `/`.
    pub name: String,
    /// Where it lies.
    pub path: PathBuf,
    /// Its text.
    pub text: String,
    /// Its language, by the ending.
    pub format: Format,
}

/// The language of a file by its ending; `None` if it is no draft.
#[must_use]
pub fn format_of(path: &Path) -> Option<Format> {
    match path.extension()?.to_str()? {
        "md" | "markdown" | "qmd" | "Rmd" => Some(Format::Markdown),
        "tex" => Some(Format::Latex),
        _ => None,
    }
}

/// All drafts below a folder, by path. The environment variable `MAJORANT_ONLY` keeps those
/// whose path contains it, for work on one of them.
///
/// # Panics
/// If the folder or a file cannot be read, or nothing is left.
#[must_use]
pub fn drafts_below(folder: &Path) -> Vec<Draft> {
    let only = std::env::var("MAJORANT_ONLY").unwrap_or_default();
    let drafts: Vec<Draft> = files_below(folder)
        .into_iter()
        .filter_map(|path| {
            let format = format_of(&path)?;
            let name = relative(&path, folder);
            let text = fs::read_to_string(&path)
                .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            Some(Draft {
                name,
                path,
                text,
                format,
            })
        })
        .filter(|draft| draft.name.contains(&only))
        .collect();
    assert!(!drafts.is_empty(), "no drafts below {}", folder.display());
    drafts
}

/// A path below a folder, written with `/`.
#[must_use]
pub fn relative(path: &Path, folder: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap_or(path);
    let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
    parts.join("/")
}

/// All files below a folder, sorted by path.
///
/// # Panics
/// If a folder cannot be read.
#[must_use]
pub fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        let entries =
            fs::read_dir(&next).unwrap_or_else(|error| panic!("{}: {error}", next.display()));
        for entry in entries {
            let path = entry
                .unwrap_or_else(|error| panic!("{}: {error}", next.display()))
                .path();
            if path.is_dir() {
                open.push(path);
            } else {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The review of a text under the standard settings.
///
/// # Panics
/// If the review was called off, which nobody does here.
#[must_use]
pub fn reviewed(text: &str, format: Format) -> Review {
    let stop = AtomicBool::new(false);
    review(
        text,
        format,
        &Companions::new(),
        &Settings::default(),
        &stop,
    )
    .expect("nobody calls the review off")
}

/// Runs `work` on every item on all processors and returns the results in order.
pub fn in_parallel<Item: Sync, Out: Send>(
    items: &[Item],
    work: impl Fn(&Item) -> Out + Sync,
) -> Vec<Out> {
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, Out)>> = Mutex::new(Vec::new());
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..workers.min(items.len()) {
            let run = || {
                loop {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(place) else { break };
                    let out = work(item);
                    done.lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .push((place, out));
                }
            };
            // Reading recurses with the draft; the default stack of a thread is small.
            let spawned = std::thread::Builder::new()
                .stack_size(16 << 20)
                .spawn_scoped(scope, run);
            spawned.expect("a thread can be started");
        }
    });
    let mut results = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    results.sort_by_key(|(place, _)| *place);
    results.into_iter().map(|(_, out)| out).collect()
}
