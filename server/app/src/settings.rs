//! `majorant.toml`: what a course agrees upon, read strictly, and found beside the drafts or above.

mod exercise;
mod read;

pub(crate) use exercise::Exercise;
pub(crate) use read::nearest;

use crate::collect::{in_words, shown};
use argument::Content;
use checks::Settings;
use source::{Companions, Format};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The name of the file.
pub(crate) const FILE: &str = "majorant.toml";

/// What a course agrees upon.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Course {
    /// The file that says so, as shown; empty without one.
    pub(crate) file: String,
    /// For the engine.
    pub(crate) settings: Settings,
    /// Definitions of the course's usual macros, as LaTeX.
    pub(crate) macros: String,
    /// What the sheet fixes.
    pub(crate) exercises: Vec<Exercise>,
    /// The text of the file: equal texts are equal courses.
    pub(crate) source: String,
}

impl Course {
    /// The course that a file describes.
    ///
    /// # Errors
    /// One line in words, with the file and its line.
    pub(crate) fn open(file: &Path) -> Result<Self, String> {
        let path = shown(file);
        let text = fs::read_to_string(file).map_err(|error| match error.kind() {
            std::io::ErrorKind::InvalidData => format!("{path}: not UTF-8 text"),
            _ => format!("{path}: {}", in_words(&error)),
        })?;
        let mut course = read::course(&text).map_err(|reason| format!("{path}: {reason}"))?;
        course.file = path;
        Ok(course)
    }
}

impl Course {
    /// Formulas of the sheet that were not understood.
    fn unread(&self) -> Vec<String> {
        let path = &self.file;
        let mut remarks = Vec::new();
        let companions = Companions::from([(source::COURSE.to_owned(), self.macros.clone())]);
        for exercise in &self.exercises {
            let domain = exercise.domain.as_deref();
            let domain = domain.map_or_else(String::new, |domain| format!(" Let ${domain}$."));
            let text = format!("{}{domain}", exercise.statement);
            let text = text.as_str();
            let document = source::read(text, Format::Markdown, &companions);
            let outline = argument::read(text, &document, &self.settings.convention);
            let entries = outline.arguments.iter().flat_map(|one| &one.entries);
            for entry in entries {
                if let Content::Unread { reason, .. } = &entry.content {
                    let formula = text.get(entry.span.range()).unwrap_or_default();
                    let name = exercise.name();
                    remarks.push(format!(
                        "{path}: {name}: {formula} was not understood: {reason}"
                    ));
                }
            }
        }
        remarks
    }
}

/// Finds the course of each draft, reading every file once.
#[derive(Debug, Default)]
pub(crate) struct Courses {
    /// One course for all, if it was named.
    only: Option<Arc<Course>>,
    /// By folder what holds in it, by file what it says.
    known: BTreeMap<PathBuf, Arc<Course>>,
    usual: Arc<Course>,
}

impl Courses {
    /// `named`: the file to use for every draft, instead of those that lie beside them.
    ///
    /// # Errors
    /// One line in words if that file cannot be used.
    pub(crate) fn new(named: Option<&Path>) -> Result<Self, String> {
        let only = named.map(Course::open).transpose()?.map(Arc::new);
        Ok(Self {
            only,
            ..Self::default()
        })
    }

    /// The course of a draft: the nearest `majorant.toml` in its folder or above.
    ///
    /// # Errors
    /// One line in words if that file cannot be used.
    pub(crate) fn of(&mut self, draft: &Path) -> Result<Arc<Course>, String> {
        if let Some(only) = &self.only {
            return Ok(Arc::clone(only));
        }
        let folder = match draft.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let Ok(real) = fs::canonicalize(folder) else {
            return Ok(Arc::clone(&self.usual));
        };
        if let Some(known) = self.known.get(&real) {
            return Ok(Arc::clone(known));
        }
        // As the command line names it where it can be named so, for the reports.
        let named = folder
            .ancestors()
            .filter(|above| !above.as_os_str().is_empty());
        let file = named
            .chain(real.ancestors())
            .map(|above| above.join(FILE))
            .find(|file| file.is_file());
        let course = match file {
            Some(file) => self.opened(&file)?,
            None => Arc::clone(&self.usual),
        };
        self.known.insert(real, Arc::clone(&course));
        Ok(course)
    }

    /// The course of a file, read once.
    fn opened(&mut self, file: &Path) -> Result<Arc<Course>, String> {
        let real = fs::canonicalize(file).unwrap_or_else(|_| file.to_owned());
        if let Some(known) = self.known.get(&real) {
            return Ok(Arc::clone(known));
        }
        let course = Arc::new(Course::open(file)?);
        self.known.insert(real, Arc::clone(&course));
        Ok(course)
    }
}

impl Courses {
    /// What the files say and could not be understood, each file once.
    pub(crate) fn remarks(&self) -> Vec<String> {
        let mut files: Vec<&Course> = self
            .only
            .iter()
            .chain(self.known.values())
            .map(Arc::as_ref)
            .collect();
        files.sort_by_key(|course| &course.file);
        files.dedup_by_key(|course| &course.file);
        files.into_iter().flat_map(Course::unread).collect()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
