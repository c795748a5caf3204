//! `job`: what is in the folder, one job, and whether a journal is whole and unaltered.

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::job_place::JobsFolder;
use super::{Ending, Outcome};

mod verify;

/// The arguments of `job`.
#[derive(Debug, Args)]
pub(super) struct JobLine {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, Subcommand)]
enum Act {
    /// Says whether the journal of a job is whole and unaltered; changes nothing
    #[command(after_help = "Example: loomwalk job verify 0318 --head 37:9f3a…")]
    Verify {
        /// A name in the jobs folder, a path, or - for standard input
        job: PathBuf,
        /// The head as the report prints it: also, is the job the same to its last event
        #[arg(long, value_name = "HASH")]
        head: Option<crate::job::PrintedHead>,
        #[arg(long, value_enum, default_value = "text")]
        format: Format,
        #[command(flatten)]
        jobs: JobsFolder,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

/// Does what was asked for.
pub(super) fn run(line: JobLine, out: &mut dyn Write) -> Outcome {
    match line.act {
        Act::Verify { job, head, format, jobs } => {
            let (name, found) = jobs.read::<serde::de::IgnoredAny>(&job)?;
            let told = verify::Told::new(name, found.verdict(), head.as_ref());
            match format {
                Format::Text => told.as_text(out)?,
                Format::Json => told.as_json(out)?,
            }
            Ok(if told.is_fine() { Ending::Fine } else { Ending::Wrong })
        }
    }
}
