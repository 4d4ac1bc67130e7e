//! The files that a draft includes: read for macros, never from outside the draft's folder.

use crate::collect::read_text;
use crate::limits;
use source::{Companions, Format};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// A file that a draft includes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Companion {
    /// As written in the draft.
    pub(crate) name: String,
    /// The real file.
    pub(crate) file: PathBuf,
    /// Its text.
    pub(crate) text: String,
}

/// The companions of a draft that stands in `folder` (`None`: nowhere, so that it has none).
/// Files named by companions are found as well, seen from the draft's folder.
pub(crate) fn find(text: &str, format: Format, folder: Option<&Path>) -> Vec<Companion> {
    let mut found: Vec<Companion> = Vec::new();
    let Some(folder) = folder else {
        return found;
    };
    let mut names = includes(text, format);
    if names.is_empty() {
        return found;
    }
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let Ok(root) = fs::canonicalize(folder) else {
        return found;
    };
    let mut seen = BTreeSet::new();
    while let Some(name) = names.pop() {
        if limits::COMPANIONS <= found.len() || !seen.insert(name.clone()) {
            continue;
        }
        if let Some((file, text)) = resolve(&name, &root) {
            names.extend(includes(&text, Format::Latex));
            found.push(Companion { name, file, text });
        }
    }
    found
}

/// The companions' texts by the name as written.
pub(crate) fn texts(found: &[Companion]) -> Companions {
    found
        .iter()
        .map(|companion| (companion.name.clone(), companion.text.clone()))
        .collect()
}

/// Names of included files, as written, last first.
fn includes(text: &str, format: Format) -> Vec<String> {
    // Reading a draft only to learn that it includes nothing would double the work.
    if !text.contains("\\inp") && !text.contains("\\inc") {
        return Vec::new();
    }
    let document = source::read(text, format, &Companions::new());
    let names = document.includes.into_iter().map(|(name, _)| name);
    names.rev().collect()
}

/// The file of that name beside or below `root`, with and without its ending.
fn resolve(name: &str, root: &Path) -> Option<(PathBuf, String)> {
    let relative = Path::new(name);
    let leaves =
        |component: Component<'_>| !matches!(component, Component::Normal(_) | Component::CurDir);
    if relative.components().any(leaves) {
        return None;
    }
    let plain = root.join(relative);
    let mut with_ending = plain.clone().into_os_string();
    with_ending.push(".tex");
    [PathBuf::from(with_ending), plain]
        .into_iter()
        .filter_map(|path| fs::canonicalize(path).ok())
        // A link may still lead out of the folder.
        .filter(|path| path.starts_with(root))
        .find_map(|path| read_text(&path).ok().map(|text| (path, text)))
}
