//! The majorant program: reviews drafts, serves editors, prints its guide.

mod aided;
mod cache;
mod cli;
mod collect;
mod companions;
mod guide;
mod limits;
mod lsp;
mod merge;
mod picture;
mod processor;
mod progress;
mod report;
mod run;
mod scratchwork;
mod settings;

use cache::Cache;
use clap::Parser;
use clap::error::ErrorKind;
use cli::{
    Arguments, Command, Format, GuideArguments, MergeArguments, ReviewArguments, ScratchArguments,
};
use progress::Watch;
use report::paint::Paint;
use report::text::Style;
use run::{Plan, Run};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

/// Something could not be done as asked.
const FAILED: u8 = 2;

fn main() -> ExitCode {
    if let Some(reason) = processor::shortfall() {
        complain(&reason);
        return ExitCode::from(FAILED);
    }
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return misunderstood(&error),
    };
    let status = match arguments.command {
        Command::Review(review_arguments) => review(&review_arguments),
        Command::Scratch(scratch_arguments) => write_scratch(&scratch_arguments),
        Command::Merge(merge_arguments) => merge(&merge_arguments),
        Command::Serve(_) => lsp::serve(),
        Command::Guide(guide_arguments) => show_guide(&guide_arguments),
    };
    match status {
        Ok(status) => ExitCode::from(status),
        Err(reason) => {
            complain(&reason);
            ExitCode::from(FAILED)
        }
    }
}

/// Help and version were asked for; anything else is a mistake, told in one line.
fn misunderstood(error: &clap::Error) -> ExitCode {
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            // A reader that is gone needs no help.
            let _ = error.print();
            ExitCode::SUCCESS
        }
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            let _ = error.print();
            ExitCode::from(FAILED)
        }
        _ => {
            complain(&cli::complaint(error));
            ExitCode::from(FAILED)
        }
    }
}

fn review(arguments: &ReviewArguments) -> Result<u8, String> {
    let mut courses = settings::Courses::new(arguments.settings.as_deref())?;
    let watch = Watch::of_terminal();
    let cache = if arguments.no_cache {
        Cache::none()
    } else {
        Cache::of_platform()
    };
    let plan = Plan {
        jobs: arguments.jobs,
        watch: &watch,
        engine: &|draft, stop| cache.review(draft, stop),
        shard: arguments.shard,
    };
    let run = run::run(&arguments.paths, &mut courses, plan)?;
    for remark in courses.remarks() {
        complain(&remark);
    }
    complain_of_skipped(&run);
    let text = match arguments.format {
        Format::Json => report::json::render(&run).map_err(|error| error.to_string())?,
        Format::Sarif => report::sarif::render(&run).map_err(|error| error.to_string())?,
        Format::Html => report::html::render(&run, arguments.by_folder),
        Format::Csv => report::csv::render(&run)?,
        Format::Text => report::text::render(&run, style(arguments)),
    };
    deliver(&text, arguments.output.as_deref())?;
    if let Some(folder) = &arguments.feedback {
        report::feedback::write(&run, arguments.by_folder, arguments.show_fixes, folder)?;
    }
    Ok(run.status())
}

fn write_scratch(arguments: &ScratchArguments) -> Result<u8, String> {
    let mut courses = settings::Courses::new(arguments.settings.as_deref())?;
    let outcome = scratchwork::run(arguments, &mut courses, &Watch::of_terminal())?;
    for remark in courses.remarks().iter().chain(&outcome.remarks) {
        complain(remark);
    }
    deliver(&outcome.text, arguments.output.as_deref())?;
    Ok(outcome.status())
}

fn merge(arguments: &MergeArguments) -> Result<u8, String> {
    let (text, status) = merge::merge(&arguments.files)?;
    deliver(&text, arguments.output.as_deref())?;
    Ok(status)
}

/// Writes a report to its file, or to standard output.
fn deliver(text: &str, file: Option<&Path>) -> Result<(), String> {
    match file {
        None => print(text),
        Some(file) => std::fs::write(file, text).map_err(|error| {
            let shown = collect::shown(file);
            format!("cannot write {shown}: {}", collect::in_words(&error))
        }),
    }
}

/// One line for each path that could not be reviewed, and one for all that an interrupt left out.
fn complain_of_skipped(run: &Run) {
    let mut interrupted = 0;
    for skipped in &run.skipped {
        if skipped.reason == run::INTERRUPTED {
            interrupted += 1;
        } else {
            complain(&format!("{}: {}", skipped.path, skipped.reason));
        }
    }
    if 0 < interrupted {
        let drafts = report::words::counted(interrupted, "draft was", "drafts were");
        complain(&format!("interrupted: {drafts} not reviewed"));
    }
}

fn style(arguments: &ReviewArguments) -> Style {
    let paint = if arguments.output.is_some() {
        Paint::plain()
    } else {
        Paint::for_standard_output()
    };
    Style {
        paint,
        columns: limits::REPORT_COLUMNS,
        details: arguments.details,
        by_folder: arguments.by_folder,
    }
}

fn show_guide(arguments: &GuideArguments) -> Result<u8, String> {
    let text = match &arguments.check {
        None => guide::list(limits::REPORT_COLUMNS),
        Some(name) => guide::page(name)?,
    };
    print(&text)?;
    Ok(0)
}

/// Writes to standard output. A reader that went away early (`| head`) is no failure.
fn print(text: &str) -> Result<(), String> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(format!("cannot write the report: {error}"))
        }
        _ => Ok(()),
    }
}

/// One line on standard error.
fn complain(reason: &str) {
    let line = format!("majorant: {}\n", report::escape::one_line(reason));
    // Without a standard error there is nobody to tell.
    let _ = io::stderr().write_all(line.as_bytes());
}
