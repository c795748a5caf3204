//! `job`: what is in the folder, one job, and whether a journal is whole and unaltered.

mod archive;
mod list;
mod show;
mod verify;

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::job_place::JobsFolder;
use super::{Ending, Outcome};
use crate::diag::Lang;
use crate::job::{Kept, PrintedHead};

/// The arguments of `job`.
#[derive(Debug, Args)]
pub(super) struct JobLine {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, Subcommand)]
enum Act {
    /// Lists the jobs in the folder
    #[command(after_help = "Example: loomwalk job list --since 2026-03-01 --format csv")]
    List {
        #[command(flatten)]
        filter: list::Filter,
        #[arg(long, value_enum, default_value = "text")]
        format: ListFormat,
        #[command(flatten)]
        jobs: JobsFolder,
    },
    /// Sums the jobs in the folder: findings, minutes, proofs that failed, machines that came again
    #[command(after_help = "Example: loomwalk job archive --machine tern --format html > archive.html")]
    Archive {
        #[command(flatten)]
        filter: list::Filter,
        #[arg(long, value_enum, default_value = "text")]
        format: archive::Format,
        /// Looks also how often the likeliest suspect was the one found, in so many of the last jobs
        #[arg(long, value_name = "JOBS")]
        suspects: Option<usize>,
        /// The language
        #[arg(long, default_value = "en", value_name = "CODE")]
        lang: String,
        #[command(flatten)]
        jobs: JobsFolder,
    },
    /// Shows one job: what is known of it, and every event
    #[command(after_help = "Example: loomwalk job show 0318")]
    Show {
        #[command(flatten)]
        which: Which,
    },
    /// Says whether the journal of a job is whole and unaltered; changes nothing
    #[command(after_help = "Example: loomwalk job verify 0318 --head 37:9f3a…")]
    Verify {
        #[command(flatten)]
        which: Which,
        /// The head as the report prints it: also, is the job the same to its last event
        #[arg(long, value_name = "HASH")]
        head: Option<PrintedHead>,
        /// Another file of the job: also, which of the two goes on from the other, or where they part
        #[arg(value_name = "OTHER")]
        other: Option<PathBuf>,
    },
}

#[derive(Debug, Args)]
struct Which {
    /// A name in the jobs folder, a path, or - for standard input
    job: PathBuf,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    #[command(flatten)]
    jobs: JobsFolder,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum ListFormat {
    /// For people
    Text,
    /// For spreadsheets
    Csv,
    /// For programs
    Json,
}

/// Does what was asked for.
pub(super) fn run(line: JobLine, out: &mut dyn Write) -> Outcome {
    match line.act {
        Act::List { filter, format, jobs } => list::run(&jobs, &filter, format, out),
        Act::Archive { filter, format, suspects, lang, jobs } => {
            archive::run(&jobs, &filter, (format, suspects, &Lang::new(&lang)), out)
        }
        Act::Show { which } => {
            let (name, found) = which.jobs.read::<Kept>(&which.job)?;
            show::run(name, &found, which.format, out)
        }
        Act::Verify { which, head, other } => {
            let (name, found) = which.jobs.read::<Kept>(&which.job)?;
            let other = other.map(|other| which.jobs.read::<Kept>(&other)).transpose()?;
            verify::run((name, &found), (head.as_ref(), other), which.format, out)
        }
    }
}

fn ending(is_fine: bool) -> Ending {
    if is_fine { Ending::Fine } else { Ending::Wrong }
}
