//! The command line: what can be asked of the program.

use crate::run::Shard;
use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Reads written convergence proofs and checks every claim.
#[derive(Parser, Debug)]
#[command(name = "majorant", version, about, max_term_width = 92)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Subcommand, Debug)]
pub(crate) enum Command {
    /// Review drafts and folders of drafts (.md, .markdown, .qmd, .Rmd, .tex)
    ///
    /// Exit status: 0 if there is no finding of severity error, 1 if there is at least one, 2 if
    /// something could not be done as asked.
    Review(ReviewArguments),
    /// Write scratch work and a proof after each exercise of a draft that has none
    ///
    /// Everything that is written was proved, and reviewed as part of the draft; where that did
    /// not succeed a comment says so. Exit status: 0 if every exercise has a proof now, 1 if some
    /// have none, 2 if something could not be done as asked.
    Scratch(ScratchArguments),
    /// Put the JSON reports of all shards together to the report of one run
    Merge(MergeArguments),
    /// Serve an editor on standard input and output (Language Server Protocol)
    Serve(ServeArguments),
    /// Print a check's page, or the list of checks
    Guide(GuideArguments),
}

/// Arguments of `review`.
#[derive(clap::Args, Debug)]
pub(crate) struct ReviewArguments {
    /// Drafts and folders
    #[arg(required = true, value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// How to report
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
    /// Write the report to this file
    #[arg(long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Use these settings instead of the majorant.toml beside the drafts or above them
    #[arg(long, value_name = "FILE")]
    pub(crate) settings: Option<PathBuf>,
    /// In the text report, show every finding in its place, however many drafts there are
    #[arg(long)]
    pub(crate) details: bool,
    /// Take all drafts of a first folder for one script (one folder a student)
    #[arg(long)]
    pub(crate) by_folder: bool,
    /// Review every draft anew, and keep nothing for later runs
    #[arg(long)]
    pub(crate) no_cache: bool,
    /// Review only the I-th of K parts, so that several processes or machines share the work
    #[arg(long, value_name = "I/K", value_parser = Shard::read)]
    pub(crate) shard: Option<Shard>,
    /// Also write feedback for each student, one Markdown file a script, into this folder
    #[arg(long, value_name = "DIR")]
    pub(crate) feedback: Option<PathBuf>,
    /// In the feedback, show what would be right, not only a hint
    #[arg(long, requires = "feedback")]
    pub(crate) show_fixes: bool,
    /// How many drafts are reviewed at the same time (default: as many as there are processors)
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) jobs: Option<u16>,
}

/// Arguments of `scratch`.
#[derive(clap::Args, Debug)]
pub(crate) struct ScratchArguments {
    /// A draft with exercises
    #[arg(value_name = "PATH")]
    pub(crate) path: PathBuf,
    /// Instead, write K exercises of the same kind for each that has no proof, with solutions
    #[arg(long, value_name = "K", value_parser = clap::value_parser!(u8).range(1..=50))]
    pub(crate) variants: Option<u8>,
    /// Where the choice of variants begins: the same number gives the same exercises
    #[arg(long, value_name = "S", requires = "variants", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Write the draft with its proofs to this file
    #[arg(long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Use these settings instead of the majorant.toml beside the draft or above it
    #[arg(long, value_name = "FILE")]
    pub(crate) settings: Option<PathBuf>,
}

/// Arguments of `merge`.
#[derive(clap::Args, Debug)]
pub(crate) struct MergeArguments {
    /// The reports of `review --format json --shard I/K`, in any order
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Write the report to this file
    #[arg(long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
}

/// Arguments of `serve`.
#[derive(clap::Args, Debug)]
pub(crate) struct ServeArguments {
    /// Accepted because editors append it; standard input and output are used in any case
    #[arg(long)]
    pub(crate) stdio: bool,
}

/// Arguments of `guide`.
#[derive(clap::Args, Debug)]
pub(crate) struct GuideArguments {
    /// A check's name, as it stands in brackets in a report
    pub(crate) check: Option<String>,
}

/// The kinds of report.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Format {
    /// For people
    Text,
    /// For programs
    Json,
    /// For code hosts (SARIF 2.1.0)
    Sarif,
    /// For mark books: one row an argument
    Csv,
    /// For a browser, on screen and on paper: one page that needs nothing else
    Html,
}

/// The complaint about a command line in one line, as far as clap's first line says it.
pub(crate) fn complaint(error: &clap::Error) -> String {
    let rendered = error.render().to_string();
    let mut lines = rendered
        .lines()
        .map(str::trim)
        .take_while(|line| !line.is_empty());
    let head = lines.next().unwrap_or("error: bad command line").to_owned();
    // Missing arguments stand on lines of their own below the first.
    let rest: Vec<&str> = lines.collect();
    let head = head.strip_prefix("error: ").unwrap_or(&head).to_owned();
    let joined = if rest.is_empty() {
        head
    } else {
        format!("{head} {}", rest.join(" "))
    };
    format!("{joined} (majorant --help tells more)")
}
