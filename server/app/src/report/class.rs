//! A class as a whole: whose script a draft is, and which mistakes were common.

use super::words;
use crate::run::{ReviewedDraft, Run};
use crate::settings::Exercise;
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

/// One exercise over a class, as far as titles tell which it is.
#[derive(Debug, Default)]
pub(crate) struct ByExercise {
    /// Its number: `3`, `3(b)`.
    pub(crate) number: String,
    /// Arguments that answer it.
    pub(crate) answers: usize,
    /// Those that show what was to be shown.
    pub(crate) shown: usize,
    /// Those with an error or a warning.
    pub(crate) faulty: usize,
    /// The most frequent first mistake, and how often it is.
    pub(crate) usual: Option<(&'static str, usize)>,
}

/// The exercises that several scripts answer, in the order of their numbers.
pub(crate) fn exercises(run: &Run) -> Vec<ByExercise> {
    let mut found: BTreeMap<(Vec<usize>, String), ByExercise> = BTreeMap::new();
    let mut firsts: BTreeMap<(String, &str), usize> = BTreeMap::new();
    for reviewed in &run.drafts {
        for argument in &reviewed.review.arguments {
            let claims = words::checked(argument.tally) + argument.tally.unread;
            let title = argument.title.as_deref().filter(|_| 0 < claims);
            let Some(number) = title.and_then(Exercise::number_in) else {
                continue;
            };
            // 10 stands behind 9, and 2(b) behind 2(a).
            let digits = |letter: char| !letter.is_ascii_digit();
            let order = number.split(digits).filter_map(|part| part.parse().ok());
            let entry = found.entry((order.collect(), number.clone())).or_default();
            entry.answers += 1;
            entry.shown += usize::from(argument.established == Some(true));
            let first = argument
                .first_finding
                .and_then(|position| reviewed.review.findings.get(position));
            if let Some(finding) = first {
                entry.faulty += 1;
                let often = firsts
                    .entry((number.clone(), finding.check.name))
                    .or_default();
                *often += 1;
                if entry.usual.is_none_or(|(_, most)| most < *often) {
                    entry.usual = Some((finding.check.name, *often));
                }
            }
            entry.number = number;
        }
    }
    let found = found.into_values();
    found.filter(|exercise| 1 < exercise.answers).collect()
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
    fn exercises_are_counted_by_their_numbers() {
        let mut run = example::run();
        run.drafts[1].review = example::review();
        let titles = ["Q2 (b)", "10."];
        for (argument, title) in run.drafts[1].review.arguments.iter_mut().zip(titles) {
            argument.title = Some(title.into());
        }
        run.drafts[0].review.arguments[0].title = Some("Problem 2(b)".into());
        run.drafts[0].review.arguments[1].title = Some("Exercise 10".into());
        let found = exercises(&run);
        let told: Vec<_> = found
            .iter()
            .map(|one| (one.number.as_str(), one.answers, one.shown, one.faulty))
            .collect();
        assert_eq!(told, [("2(b)", 2, 0, 2), ("10", 2, 2, 0)]);
        assert_eq!(found[0].usual, Some(("bound-fails", 2)));
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
