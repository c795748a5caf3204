//! `review`: a finished path, event by event, or two beside each other.

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde_json::json;

use super::job_place::JobsFolder;
use super::screens::{show, surroundings};
use super::{Ending, Failure, Outcome};
use crate::diag::{Lang, visible_line};
use crate::job::{Kept, Names, Review, replay, review_json, review_lines};
use crate::tui::{App, Clock};
use crate::walk::{Event, Moment};

/// Reviews a job: what each step ruled out and took, gates, and what would have been quicker then.
#[derive(Debug, Args)]
#[command(after_help = "Example: loomwalk review 0318 --format json")]
pub(super) struct ReviewArgs {
    /// A name in the jobs folder, a path, or - for standard input; two to see them one after the other
    #[arg(num_args = 1..=2, required = true, value_name = "JOB")]
    job: Vec<PathBuf>,
    #[command(flatten)]
    jobs: JobsFolder,
    /// In which form [default: on a terminal the screen, else text]
    #[arg(long, value_enum)]
    format: Option<Format>,
    /// Leaves out who did the job and who confirmed what
    #[arg(long)]
    no_names: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

/// Runs it.
pub(super) fn run(args: &ReviewArgs, out: &mut dyn Write) -> Outcome {
    let names = if args.no_names { Names::LeftOut } else { Names::Told };
    let mut reviewed = Vec::new();
    for job in &args.job {
        reviewed.push(review_of(args, job)?);
    }
    let impossible = reviewed.iter().any(|(_, _, whole)| !whole);
    if args.format.is_none() && crate::tui::is_terminal() {
        let clock = Clock::start();
        let around = surroundings(&args.jobs, "en", false)?;
        let jobs = reviewed.into_iter().map(|(name, review, _)| (name, review)).collect();
        return show(App::reviewing(around, jobs, names, clock.now()), clock, out);
    }
    match args.format.unwrap_or(Format::Text) {
        Format::Json => {
            let mut all: Vec<serde_json::Value> =
                reviewed.iter().map(|(_, review, _)| review_json(review, names)).collect();
            let whole = if all.len() == 1 { all.remove(0) } else { json!({"format": 1, "jobs": all}) };
            crate::cli::answer::json_line(&whole, out)?;
        }
        Format::Text => {
            for (at, (name, review, whole)) in reviewed.iter().enumerate() {
                if at > 0 {
                    writeln!(out)?;
                }
                writeln!(out, "Review of {}", visible_line(name))?;
                if !whole {
                    writeln!(
                        out,
                        "What the journal says after this cannot be what happened; it is left out."
                    )?;
                }
                for line in review_lines(review, names, &Lang::default()) {
                    writeln!(out, "{}", visible_line(&line))?;
                }
            }
        }
    }
    Ok(if impossible { Ending::Wrong } else { Ending::Fine })
}

/// The name of a job, its review, and whether all of its events are in it.
fn review_of(args: &ReviewArgs, job: &std::path::Path) -> Result<(String, Review, bool), Failure> {
    let (name, found) = args.jobs.read::<Kept>(job)?;
    let replayed = replay(&found.records).map_err(Failure::looked)?;
    let course = std::sync::Arc::new(replayed.walk.course().clone());
    let events: Vec<(Moment, &Event)> = found.records.iter().map(|r| (r.at, r.event.event())).collect();
    let whole = replayed.impossible.is_none() && found.damage.is_empty();
    Ok((name, Review::of(&course, events), whole))
}
