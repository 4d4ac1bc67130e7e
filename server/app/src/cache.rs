//! Reviews kept from earlier runs, by everything that they depend on. A cache that cannot be used
//! costs time and nothing else.

mod stored;

use crate::aided::Aided;
use crate::collect::Draft;
use crate::limits;
use crate::run;
use sha2::{Digest, Sha256};
use source::Format;
use std::fmt::Write as _;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::time::{SystemTime, UNIX_EPOCH};
use stored::Stored;

/// Raised whenever entries are written otherwise than before.
const LAYOUT: u32 = 1;

/// A folder of reviews, or none.
#[derive(Debug)]
pub(crate) struct Cache {
    folder: Option<PathBuf>,
    /// What the program itself contributes to a key.
    program: Vec<u8>,
}

impl Cache {
    /// No cache: every draft is reviewed anew.
    pub(crate) fn none() -> Self {
        Self {
            folder: None,
            program: Vec::new(),
        }
    }

    /// The cache in the platform's folder for caches.
    pub(crate) fn of_platform() -> Self {
        match dirs::cache_dir() {
            Some(folder) => Self::in_folder(folder.join("majorant").join("reviews")),
            None => Self::none(),
        }
    }

    fn in_folder(folder: PathBuf) -> Self {
        let usable = fs::create_dir_all(&folder).is_ok();
        let cache = Self {
            folder: usable.then_some(folder),
            program: program(),
        };
        cache.tidy();
        cache
    }

    /// The review of a draft: from an earlier run, or made now and kept.
    pub(crate) fn review(&self, draft: &Draft, stop: &AtomicBool) -> Option<Aided> {
        let Some(folder) = &self.folder else {
            return run::engine(draft, stop);
        };
        let file = folder.join(self.key(draft));
        if let Some(kept) = read(&file) {
            return Some(kept);
        }
        let aided = run::engine(draft, stop)?;
        keep(folder, &file, &aided);
        Some(aided)
    }

    /// The name of a draft's entry: a hash of its text, its language, the files that it includes,
    /// the settings, and the program.
    fn key(&self, draft: &Draft) -> String {
        let mut hash = Sha256::new();
        // Every part goes in with its length, so that no two lists of parts are alike.
        let mut part = |bytes: &[u8]| {
            hash.update((bytes.len() as u64).to_le_bytes());
            hash.update(bytes);
        };
        part(&self.program);
        part(match draft.format {
            Format::Markdown => b"markdown",
            Format::Latex => b"latex",
        });
        part(draft.text.as_bytes());
        part(draft.course.source.as_bytes());
        for (name, text) in &draft.companions {
            part(name.as_bytes());
            part(text.as_bytes());
        }
        hexadecimal(&hash.finalize())
    }

    /// Removes what killed runs left behind, and the oldest entries if there are too many.
    fn tidy(&self) {
        let Some(entries) = self.folder.as_ref().and_then(|one| fs::read_dir(one).ok()) else {
            return;
        };
        let mut files: Vec<(SystemTime, PathBuf)> = entries
            .flatten()
            .filter_map(|entry| {
                let changed = entry.metadata().ok()?.modified().ok()?;
                Some((changed, entry.path()))
            })
            .collect();
        files.sort();
        let surplus = files.len().saturating_sub(limits::CACHE_ENTRIES);
        let now = SystemTime::now();
        for (number, (changed, file)) in files.iter().enumerate() {
            let unfinished = file.extension().is_some();
            let old = now
                .duration_since(*changed)
                .is_ok_and(|age| limits::CACHE_UNFINISHED < age);
            if number < surplus || unfinished && old {
                // Another run may have removed it already.
                let _ = fs::remove_file(file);
            }
        }
    }
}

/// What tells this program from another build of it: version, features, size and time of its
/// file.
fn program() -> Vec<u8> {
    let mut told = format!(
        "{} {LAYOUT} {}",
        env!("CARGO_PKG_VERSION"),
        cfg!(feature = "second-opinion")
    );
    let file = std::env::current_exe().and_then(fs::metadata);
    if let Ok(metadata) = file {
        let changed = metadata.modified().ok();
        let since = changed.and_then(|changed| changed.duration_since(UNIX_EPOCH).ok());
        // Writing to a text cannot fail.
        let _ = write!(told, " {} {since:?}", metadata.len());
    }
    told.into_bytes()
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// An entry, if it is there and whole.
fn read(file: &Path) -> Option<Aided> {
    let text = fs::read_to_string(file).ok()?;
    let (sum, body) = text.split_once('\n')?;
    if sum != hexadecimal(&Sha256::digest(body)) {
        return None;
    }
    serde_json::from_str::<Stored>(body).ok()?.into_aided()
}

/// Writes an entry under another name and renames it, so that it is there whole or not at all,
/// whoever writes beside us and whatever ends us.
fn keep(folder: &Path, file: &Path, aided: &Aided) {
    let written = || -> Option<()> {
        let body = serde_json::to_string(&Stored::of(aided)).ok()?;
        let sum = hexadecimal(&Sha256::digest(&body));
        let mut unfinished = tempfile::Builder::new()
            .suffix(".part")
            .tempfile_in(folder)
            .ok()?;
        write!(unfinished, "{sum}\n{body}").ok()?;
        unfinished.persist(file).ok()?;
        Some(())
    };
    // Nothing is lost but time.
    let _ = written();
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::sync::Arc;

    const TEXT: &str = "**Exercise 1.** Let $f_n(x) = \\frac{x}{n}$. Show that $f_n \\to 0$ uniformly \
        on $[0, 1]$.\n\n**Proof.** Choose $N > 1/ε$. For $n > N$ we have $|f_n(x)| \\le \\frac{1}{2n} < ε$, \
        $\\oops$ and $n \\le 2n$ for all $n \\ge 1$.\n";

    fn draft(text: &str) -> Draft {
        Draft {
            path: "one.md".into(),
            text: text.into(),
            format: Format::Markdown,
            companions: source::Companions::new(),
            course: Arc::default(),
        }
    }

    fn reviewed(cache: &Cache, draft: &Draft) -> Aided {
        cache.review(draft, &AtomicBool::new(false)).unwrap()
    }

    fn entries(folder: &Path) -> Vec<PathBuf> {
        let files = fs::read_dir(folder).unwrap();
        files.map(|entry| entry.unwrap().path()).collect()
    }

    #[test]
    fn what_is_kept_is_what_was_made() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::in_folder(folder.path().to_owned());
        let made = reviewed(&Cache::none(), &draft(TEXT));
        assert!(!made.review.findings.is_empty() && !made.review.claims.is_empty());
        assert_eq!(reviewed(&cache, &draft(TEXT)), made);
        assert_eq!(entries(folder.path()).len(), 1);
        assert_eq!(reviewed(&cache, &draft(TEXT)), made);
        let stopped = AtomicBool::new(true);
        assert!(
            cache.review(&draft(TEXT), &stopped).is_some(),
            "it is taken from the cache"
        );
        assert!(
            cache
                .review(&draft("Other $1 \\le 2$."), &stopped)
                .is_none()
        );
        assert_eq!(
            entries(folder.path()).len(),
            1,
            "what was called off is not kept"
        );
    }

    #[test]
    fn a_damaged_entry_is_made_anew() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::in_folder(folder.path().to_owned());
        let made = reviewed(&cache, &draft(TEXT));
        let file = entries(folder.path()).remove(0);
        let whole = fs::read(&file).unwrap();
        let flipped: Vec<u8> = whole.iter().map(|byte| byte.wrapping_add(1)).collect();
        for damaged in [&whole[..whole.len() / 2], &flipped, b"", b"\n"] {
            fs::write(&file, damaged).unwrap();
            assert_eq!(read(&file), None);
            assert_eq!(reviewed(&cache, &draft(TEXT)), made);
            assert_eq!(fs::read(&file).unwrap(), whole);
        }
    }

    #[test]
    fn everything_that_matters_is_in_the_key() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::in_folder(folder.path().to_owned());
        let key = |change: &dyn Fn(&mut Draft)| {
            let mut draft = draft(TEXT);
            change(&mut draft);
            cache.key(&draft)
        };
        let usual = key(&|_| {});
        assert_eq!(usual, key(&|draft| draft.path = "two.md".into()));
        let others = [
            key(&|draft| draft.text.push(' ')),
            key(&|draft| draft.format = Format::Latex),
            key(&|draft| {
                draft.companions.insert("a".into(), "b".into());
            }),
            key(&|draft| {
                draft.companions.insert("ab".into(), String::new());
            }),
            key(&|draft| Arc::get_mut(&mut draft.course).unwrap().source.push('x')),
        ];
        for (number, other) in others.iter().enumerate() {
            assert_ne!(*other, usual);
            assert!(!others[..number].contains(other));
        }
    }

    #[test]
    fn an_unusable_folder_costs_only_time() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, "").unwrap();
        let cache = Cache::in_folder(file.join("below"));
        assert_eq!(
            reviewed(&cache, &draft(TEXT)),
            reviewed(&Cache::none(), &draft(TEXT))
        );
    }
}
