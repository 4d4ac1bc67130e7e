//! A class as a whole: whose script a draft is, and which mistakes were common.

use super::words;
use crate::run::{ReviewedDraft, Run};
use checks::catalogue::CHECKS;
use checks::{Check, Finding, Severity};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// What one student handed in: a draft, or the drafts of a folder.
#[derive(Debug)]
pub(crate) struct Script<'run> {
    /// The path below what all have in common.
    pub(crate) name: String,
    /// Its drafts, with their positions in the run.
    pub(crate) drafts: Vec<(usize, &'run ReviewedDraft)>,
}

/// One kind of mistake in a class.
#[derive(Debug)]
pub(crate) struct Mistake<'run> {
    /// The check.
    pub(crate) check: &'static Check,
    /// Positions of the scripts that have it.
    pub(crate) scripts: BTreeSet<usize>,
    /// Every place, in order.
    pub(crate) places: Vec<Place<'run>>,
    /// The place that shows it best: with numbers, and short.
    pub(crate) example: usize,
}

/// A finding and its draft.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place<'run> {
    /// The script (position).
    pub(crate) script: usize,
    /// The draft (position in the run).
    pub(crate) draft: usize,
    /// The draft.
    pub(crate) reviewed: &'run ReviewedDraft,
    /// The finding (position in the review).
    pub(crate) position: usize,
    /// The finding.
    pub(crate) finding: &'run Finding,
}

/// The folder that all paths have in common, with `/` at its end; empty without one.
pub(crate) fn common_folder(run: &Run) -> &str {
    let mut paths = run.drafts.iter().map(|one| one.draft.path.as_str());
    let Some(first) = paths.next() else {
        return "";
    };
    let mut common = first.rfind('/').map_or(0, |slash| slash + 1);
    for path in paths {
        while !path.starts_with(&first[..common]) {
            common = first[..common.saturating_sub(1)]
                .rfind('/')
                .map_or(0, |slash| slash + 1);
        }
    }
    &first[..common]
}

/// The scripts in the order of the drafts: a draft each, or all of a first folder together.
pub(crate) fn scripts(run: &Run, by_folder: bool) -> Vec<Script<'_>> {
    let common = common_folder(run).len();
    let mut scripts: Vec<Script<'_>> = Vec::new();
    let mut known: BTreeMap<&str, usize> = BTreeMap::new();
    for (position, reviewed) in run.drafts.iter().enumerate() {
        let below = reviewed.draft.path.get(common..).unwrap_or_default();
        let name = match below.split_once('/') {
            Some((folder, _)) if by_folder => folder,
            _ => below,
        };
        let index = *known.entry(name).or_insert_with(|| {
            scripts.push(Script {
                name: name.to_owned(),
                drafts: Vec::new(),
            });
            scripts.len() - 1
        });
        scripts[index].drafts.push((position, reviewed));
    }
    scripts
}

/// Errors and warnings by check: what most scripts have comes first.
pub(crate) fn mistakes<'run>(scripts: &[Script<'run>]) -> Vec<Mistake<'run>> {
    let mut found: Vec<Mistake<'run>> = CHECKS
        .iter()
        .map(|check| Mistake {
            check,
            scripts: BTreeSet::new(),
            places: Vec::new(),
            example: 0,
        })
        .collect();
    for (number, script) in scripts.iter().enumerate() {
        for &(draft, reviewed) in &script.drafts {
            for (position, finding) in reviewed.review.findings.iter().enumerate() {
                let kind = found
                    .iter_mut()
                    .find(|mistake| mistake.check.name == finding.check.name)
                    .filter(|_| finding.severity <= Severity::Warning);
                if let Some(mistake) = kind {
                    mistake.scripts.insert(number);
                    mistake.places.push(Place {
                        script: number,
                        draft,
                        reviewed,
                        position,
                        finding,
                    });
                }
            }
        }
    }
    found.retain(|mistake| !mistake.places.is_empty());
    for mistake in &mut found {
        let places = mistake.places.iter().enumerate();
        let best = places.min_by_key(|(at, place)| {
            let bare = place.finding.counterexample.is_none();
            (bare, words::whole(place.finding).chars().count(), *at)
        });
        mistake.example = best.map_or(0, |(at, _)| at);
    }
    found.sort_by_key(|mistake| {
        (
            Reverse(mistake.scripts.len()),
            Reverse(mistake.places.len()),
        )
    });
    found
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::report::example;

    #[test]
    fn scripts_are_named_below_what_they_share() {
        let mut run = example::run();
        assert_eq!(common_folder(&run), "sheets/");
        run.drafts[0].draft.path = "class/ann/1.md".into();
        run.drafts[1].draft.path = "class/ann/b/2.md".into();
        assert_eq!(common_folder(&run), "class/ann/");
        run.drafts[1].draft.path = "class/anna/2.md".into();
        assert_eq!(common_folder(&run), "class/");
        let names = |by_folder| -> Vec<String> {
            let scripts = scripts(&run, by_folder).into_iter();
            scripts.map(|script| script.name).collect()
        };
        assert_eq!(names(false), ["ann/1.md", "anna/2.md"]);
        assert_eq!(names(true), ["ann", "anna"]);
        run.drafts[1].draft.path = "other.md".into();
        assert_eq!(common_folder(&run), "");
        assert_eq!(common_folder(&Run::default()), "");
    }

    #[test]
    fn common_mistakes_are_counted_by_script() {
        let mut run = example::run();
        run.drafts[1].review = example::review();
        let mut twice = run.drafts[1].review.findings[0].clone();
        twice.counterexample = None;
        run.drafts[1].review.findings.insert(0, twice);
        let mut warning = example::review().findings[0].clone();
        warning.check = checks::catalogue::find("symbol-not-introduced").unwrap();
        warning.severity = Severity::Warning;
        run.drafts[0].review.findings.push(warning);
        for draft in &mut run.drafts {
            for finding in &mut draft.review.findings {
                if finding.check.name == "bound-fails" {
                    finding.check = checks::catalogue::find("bound-fails").unwrap();
                }
            }
        }
        let scripts = scripts(&run, false);
        let found = mistakes(&scripts);
        let counts: Vec<_> = found
            .iter()
            .map(|one| (one.check.name, one.scripts.len(), one.places.len()))
            .collect();
        assert_eq!(
            counts,
            [("bound-fails", 2, 3), ("symbol-not-introduced", 1, 1)]
        );
        assert_eq!(found[0].example, 0);
    }
}
