//! JSON reports of the shards of a run, put together to the report of the whole run.

use crate::collect::{in_words, shown};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use std::path::PathBuf;

/// A report of which only the frame is read: what stands in it is copied as it is written.
#[derive(Serialize, Deserialize)]
struct Report {
    format: u32,
    program: Box<RawValue>,
    drafts: Vec<Box<RawValue>>,
    totals: Totals,
    skipped: Vec<Box<RawValue>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shard: Option<Positions>,
}

#[derive(Serialize, Deserialize, Default, Clone, Copy)]
struct Totals {
    drafts: usize,
    proved: usize,
    refuted: usize,
    unsettled: usize,
    unread: usize,
    errors: usize,
    warnings: usize,
}

/// Which part of a run a report is of, and where its entries belong.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Eq)]
pub(crate) struct Positions {
    /// The shard, from 1.
    pub(crate) number: usize,
    /// How many there are.
    pub(crate) of: usize,
    /// Positions of the drafts in the whole run.
    pub(crate) drafts: Vec<usize>,
    /// Positions of what was skipped.
    pub(crate) skipped: Vec<usize>,
}

/// The report of the whole run, and the status of that run.
///
/// # Errors
/// One line in words if a file is no report of a shard, or the shards do not belong together.
pub(crate) fn merge(files: &[PathBuf]) -> Result<(String, u8), String> {
    let mut reports = Vec::with_capacity(files.len());
    for file in files {
        let path = shown(file);
        let text = std::fs::read_to_string(file)
            .map_err(|error| format!("{path}: {}", in_words(&error)))?;
        let report: Report = serde_json::from_str(&text)
            .map_err(|error| format!("{path}: this is no JSON report ({error})"))?;
        let Some(shard) = report.shard.clone() else {
            return Err(format!("{path}: this is no report of a shard"));
        };
        let fits = shard.drafts.len() == report.drafts.len()
            && shard.skipped.len() == report.skipped.len();
        if !fits {
            return Err(format!("{path}: its positions do not fit its entries"));
        }
        reports.push((path, shard, report));
    }
    belong_together(&reports)?;
    let mut drafts = Vec::new();
    let mut skipped = Vec::new();
    let mut totals = Totals::default();
    let mut frame = None;
    for (_, shard, report) in reports {
        drafts.extend(shard.drafts.into_iter().zip(report.drafts));
        skipped.extend(shard.skipped.into_iter().zip(report.skipped));
        totals = totals.and(report.totals);
        frame.get_or_insert((report.format, report.program));
    }
    let Some((format, program)) = frame else {
        return Err("there is nothing to merge".to_owned());
    };
    let whole = Report {
        format,
        program,
        drafts: in_order(drafts),
        totals,
        skipped: in_order(skipped),
        shard: None,
    };
    let status = if !whole.skipped.is_empty() || whole.drafts.is_empty() {
        2
    } else {
        u8::from(0 < totals.errors)
    };
    let mut text = serde_json::to_string_pretty(&whole).map_err(|error| error.to_string())?;
    text.push('\n');
    Ok((text, status))
}

fn in_order(mut entries: Vec<(usize, Box<RawValue>)>) -> Vec<Box<RawValue>> {
    entries.sort_by_key(|(position, _)| *position);
    entries.into_iter().map(|(_, entry)| entry).collect()
}

/// Every shard of one run by one program, each once.
fn belong_together(reports: &[(String, Positions, Report)]) -> Result<(), String> {
    let Some((first_path, first, report)) = reports.first() else {
        return Ok(());
    };
    let mut seen = vec![false; first.of];
    for (path, shard, other) in reports {
        let same = shard.of == first.of
            && other.format == report.format
            && other.program.get() == report.program.get();
        if !same {
            return Err(format!("{path} and {first_path} are of different runs"));
        }
        let number = shard.number.checked_sub(1);
        match number.and_then(|number| seen.get_mut(number)) {
            Some(seen) if !*seen => *seen = true,
            _ => return Err(format!("{path}: shard {} is there twice", shard.number)),
        }
    }
    match seen.iter().position(|seen| !seen) {
        Some(missing) => Err(format!("shard {} of {} is missing", missing + 1, first.of)),
        None => Ok(()),
    }
}

impl Totals {
    fn and(self, other: Self) -> Self {
        Self {
            drafts: self.drafts + other.drafts,
            proved: self.proved + other.proved,
            refuted: self.refuted + other.refuted,
            unsettled: self.unsettled + other.unsettled,
            unread: self.unread + other.unread,
            errors: self.errors + other.errors,
            warnings: self.warnings + other.warnings,
        }
    }
}
