//! Which drafts a command line asks for, and their texts.

use crate::companions::{self, Companion};
use crate::settings::{Course, Courses};
use ignore::WalkBuilder;
use source::{Companions, Format};
use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A draft with everything that its review needs.
#[derive(Debug, PartialEq)]
pub(crate) struct Draft {
    /// As given on the command line, joined with the path below it.
    pub(crate) path: String,
    /// Its text.
    pub(crate) text: String,
    /// Its language.
    pub(crate) format: Format,
    /// The files that it includes.
    pub(crate) companions: Companions,
    /// What its course agrees upon.
    pub(crate) course: Arc<Course>,
}

/// Something that was asked for and could not be reviewed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Skipped {
    /// As given on the command line, joined with the path below it.
    pub(crate) path: String,
    /// Why, in words.
    pub(crate) reason: String,
}

/// A file that was found by walking but only serves another draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Served {
    /// The file.
    pub(crate) path: String,
    /// The draft that includes it.
    pub(crate) includer: String,
}

/// What a command line asks for.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Collection {
    /// The drafts in the order of the report.
    pub(crate) drafts: Vec<Draft>,
    /// What could not be read, in the order of the command line.
    pub(crate) skipped: Vec<Skipped>,
    /// What was read for its macros only.
    pub(crate) served: Vec<Served>,
    /// Files of other kinds that were found by walking.
    pub(crate) others: Vec<String>,
}

/// A file that may become a draft.
struct Candidate {
    /// As shown.
    path: String,
    /// As opened.
    file: PathBuf,
    /// Named outright, not found by walking.
    named: bool,
    /// Why it is known already that it cannot be read.
    trouble: Option<String>,
    /// What its course agrees upon.
    course: Arc<Course>,
}

/// What became of a candidate.
enum Opened {
    Draft(Draft, Vec<Companion>),
    Skipped(Skipped),
}

/// Finds and reads the drafts of `paths`. Reading runs on the current thread pool.
///
/// # Errors
/// One line in words if the settings of a draft cannot be used.
pub(crate) fn collect(paths: &[PathBuf], courses: &mut Courses) -> Result<Collection, String> {
    let mut collection = Collection::default();
    let mut candidates = Vec::new();
    let mut seen = BTreeMap::new();
    for path in paths {
        let found = find(path, &mut collection.others).unwrap_or_else(|reason| {
            vec![Candidate {
                path: shown(path),
                file: path.clone(),
                named: true,
                trouble: Some(reason),
                course: Arc::default(),
            }]
        });
        for mut candidate in found {
            if candidate.trouble.is_none() {
                candidate.course = courses.of(&candidate.file)?;
            }
            add(candidate, &mut candidates, &mut seen);
        }
    }
    let opened = open_all(&candidates);
    settle(&candidates, opened, &mut collection);
    Ok(collection)
}

/// Adds a candidate unless its file was reached before; a file that is also named outright
/// counts as named.
fn add(candidate: Candidate, candidates: &mut Vec<Candidate>, seen: &mut BTreeMap<PathBuf, usize>) {
    let real = fs::canonicalize(&candidate.file).unwrap_or_else(|_| candidate.file.clone());
    if let Some(&index) = seen.get(&real) {
        let known: &mut Candidate = &mut candidates[index];
        known.named = known.named || candidate.named;
    } else {
        seen.insert(real, candidates.len());
        candidates.push(candidate);
    }
}

fn open_all(candidates: &[Candidate]) -> Vec<Opened> {
    use rayon::prelude::*;
    candidates.par_iter().map(open).collect()
}

/// Sorts what was opened into drafts, skipped files and files that only serve others.
fn settle(candidates: &[Candidate], opened: Vec<Opened>, collection: &mut Collection) {
    let servants = servants(candidates, &opened);
    for (one, includer) in opened.into_iter().zip(servants) {
        match (one, includer) {
            (Opened::Skipped(skipped), _) => collection.skipped.push(skipped),
            (Opened::Draft(draft, _), None) => collection.drafts.push(draft),
            (Opened::Draft(draft, _), Some(includer)) => collection.served.push(Served {
                path: draft.path,
                includer: candidates[includer].path.clone(),
            }),
        }
    }
}

/// For every candidate the draft that it only serves, if it was not named outright. That draft
/// serves no other itself, so that files that include each other in a circle stay drafts.
fn servants(candidates: &[Candidate], opened: &[Opened]) -> Vec<Option<usize>> {
    let mut includers: BTreeMap<&Path, Vec<usize>> = BTreeMap::new();
    for (index, one) in opened.iter().enumerate() {
        if let Opened::Draft(_, companions) = one {
            for companion in companions {
                includers.entry(&companion.file).or_default().push(index);
            }
        }
    }
    let of: Vec<Vec<usize>> = candidates
        .iter()
        .enumerate()
        .map(|(index, candidate)| {
            if includers.is_empty() || candidate.named {
                return Vec::new();
            }
            let real = fs::canonicalize(&candidate.file).unwrap_or_default();
            let mut found = includers.get(real.as_path()).cloned().unwrap_or_default();
            found.retain(|&includer| includer != index);
            found
        })
        .collect();
    of.iter()
        .map(|includers| includers.iter().copied().find(|&one| of[one].is_empty()))
        .collect()
}

/// The candidates of one path of the command line, or why there are none; what else lies there
/// goes to `others`.
fn find(path: &Path, others: &mut Vec<String>) -> Result<Vec<Candidate>, String> {
    let metadata = fs::metadata(path).map_err(|error| in_words(&error))?;
    if !metadata.is_dir() {
        return Ok(vec![Candidate {
            path: shown(path),
            file: path.to_owned(),
            named: true,
            trouble: None,
            course: Arc::default(),
        }]);
    }
    let (mut below, mut beside) = walk(path, true);
    if below.is_empty() {
        let hidden = walk(path, false).0.len();
        return Err(match hidden {
            0 => "no draft in this folder (.md, .markdown, .qmd, .Rmd, .tex)".to_owned(),
            _ => format!("no draft in this folder but {hidden} that ignore files leave out"),
        });
    }
    below.sort_by(|left, right| components(left).cmp(&components(right)));
    beside.sort_by(|left, right| components(left).cmp(&components(right)));
    others.extend(beside.iter().map(|file| shown(file)));
    Ok(below
        .into_iter()
        .map(|file| Candidate {
            path: shown(&file),
            file,
            named: false,
            trouble: None,
            course: Arc::default(),
        })
        .collect())
}

/// The drafts below a folder and the files of other kinds, in no particular order.
fn walk(folder: &Path, respect_ignore_files: bool) -> (Vec<PathBuf>, Vec<PathBuf>) {
    let mut builder = WalkBuilder::new(folder);
    if respect_ignore_files {
        // Ignore files count outside of repositories as well.
        builder.require_git(false);
    } else {
        builder.standard_filters(false);
    }
    builder
        .build()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_some_and(|kind| kind.is_file()))
        .map(ignore::DirEntry::into_path)
        .filter(|file| !serves_drafts(file))
        .partition(|file| format_by_ending(file).is_some())
}

/// Settings, and what LaTeX reads beside a draft.
fn serves_drafts(file: &Path) -> bool {
    let ending = file.extension().and_then(OsStr::to_str);
    file.file_name() == Some(OsStr::new(crate::settings::FILE))
        || matches!(ending, Some("sty" | "cls" | "bib" | "bst"))
}

fn components(path: &Path) -> Vec<&[u8]> {
    path.iter().map(OsStr::as_encoded_bytes).collect()
}

/// The path as reports show it, with `/` between its components.
pub(crate) fn shown(path: &Path) -> String {
    let text = path.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' {
        text.into_owned()
    } else {
        text.replace(std::path::MAIN_SEPARATOR, "/")
    }
}

/// The language that a file's ending tells.
pub(crate) fn format_by_ending(path: &Path) -> Option<Format> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    match ending.as_str() {
        "md" | "markdown" | "qmd" | "rmd" => Some(Format::Markdown),
        "tex" => Some(Format::Latex),
        _ => None,
    }
}

fn open(candidate: &Candidate) -> Opened {
    let text = match &candidate.trouble {
        Some(reason) => Err(reason.clone()),
        None => read_text(&candidate.file),
    };
    match text {
        Err(reason) => Opened::Skipped(Skipped {
            path: candidate.path.clone(),
            reason,
        }),
        Ok(text) => {
            let format = format_by_ending(&candidate.file).unwrap_or_else(|| Format::sniff(&text));
            let found = companions::find(&text, format, candidate.file.parent());
            let companions = companions::texts(&found);
            Opened::Draft(
                Draft {
                    path: candidate.path.clone(),
                    text,
                    format,
                    companions,
                    course: Arc::clone(&candidate.course),
                },
                found,
            )
        }
    }
}

/// The text of a file, or why it cannot be had.
pub(crate) fn read_text(file: &Path) -> Result<String, String> {
    let metadata = fs::metadata(file).map_err(|error| in_words(&error))?;
    if !metadata.is_file() {
        return Err("neither a file nor a folder".to_owned());
    }
    let limit = source::limits::DRAFT_BYTES;
    if (limit as u64) < metadata.len() {
        return Err(format!(
            "larger than {} MiB, which no draft is",
            limit >> 20
        ));
    }
    let bytes = fs::read(file).map_err(|error| in_words(&error))?;
    String::from_utf8(bytes).map_err(|error| {
        let line = 1 + error.as_bytes()[..error.utf8_error().valid_up_to()]
            .iter()
            .filter(|&&byte| byte == b'\n')
            .count();
        format!("not UTF-8 text (line {line})")
    })
}

/// An error of the file system in plain words.
pub(crate) fn in_words(error: &std::io::Error) -> String {
    use std::io::ErrorKind;
    match error.kind() {
        ErrorKind::NotFound => "no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => "no permission to read it".to_owned(),
        _ => error.to_string(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
