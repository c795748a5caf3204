//! `walk`: a tree walked and recorded, by a person in plain mode or by an answers file.

mod begin;
mod plain;
mod scripted;
mod suggests;

pub(super) use begin::holder;
pub(super) use plain::page_lines;

use std::io::{IsTerminal, Write};
use std::path::PathBuf;

use clap::Args;

use super::disk::Root;
use super::job_place::JobsFolder;
use super::screens::{show, surroundings};
use super::{Failure, Outcome};
use crate::diag::{Locator, Paint, problem_text};
use crate::tree::{Examined, Walkable, examine};
use crate::tui::{App, Clock};

/// Walks a tree and records a job.
#[derive(Debug, Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
#[command(after_help = "Example: loomwalk walk tern/no-lift-no-tilt --job 0318")]
pub(super) struct WalkArgs {
    /// The tree: a path, or the name of a shipped one
    tree: String,
    /// The job's name [default: made from the day and the tree]
    #[arg(long, value_name = "NAME")]
    job: Option<String>,
    #[command(flatten)]
    jobs: JobsFolder,
    /// Goes on with the job
    #[arg(long)]
    resume: bool,
    /// Goes on with it even where another file of the same job has gone on from it
    #[arg(long, requires = "resume")]
    even_so: bool,
    /// One fact a line, no bars or boxes: for screen readers and pipes
    #[arg(long)]
    plain: bool,
    /// Dark on light, for the sun
    #[arg(long)]
    light: bool,
    /// Walks by this file, without asking
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
    /// The language
    #[arg(long, default_value = "en", value_name = "CODE")]
    lang: String,
    #[command(flatten)]
    root: Root,
}

/// Runs it.
pub(super) fn run(args: &WalkArgs, out: &mut dyn Write) -> Outcome {
    let clock = Clock::start();
    if let Some(answers) = &args.answers {
        return scripted::run(args, answers, clock, out);
    }
    if !args.plain && crate::tui::is_terminal() {
        return on_screen(args, clock, out);
    }
    plain::run(args, clock, std::io::stdin().is_terminal(), out)
}

/// Walks on the screen.
fn on_screen(args: &WalkArgs, clock: Clock, out: &mut dyn Write) -> Outcome {
    let at = clock.now();
    let around = surroundings(&args.jobs, &args.lang, args.light)?;
    let app = if args.resume {
        App::gone_on(around, &begin::job_place(args, "", at)?, at).map_err(Failure::looked)?
    } else {
        let course = walkable(args)?;
        match args.job.as_deref().map(str::parse).transpose().map_err(Failure::usage)? {
            Some(name) => App::begun(around, &course, Some(&name), at).map_err(Failure::file)?,
            None => App::asking(around, course, at),
        }
    };
    show(app, clock, out)
}

/// The tree by its name, if it may be walked; else every problem on standard error, and exit 1.
fn walkable(args: &WalkArgs) -> Result<Walkable, Failure> {
    let opened = args.root.open(&args.tree)?;
    let examined = examine(&opened.source, opened.sources.as_ref());
    refused(examined)
}

/// The walkable course of an examined tree, or its problems told.
pub(super) fn refused(examined: Examined) -> Result<Walkable, Failure> {
    if examined.problems.refused() || examined.course.is_none() {
        let mut locator = Locator::new(&examined.files);
        let mut err = std::io::stderr().lock();
        let mut count = 0;
        for problem in examined.problems.list().iter().filter(|p| p.weight == crate::diag::Weight::Refused) {
            count += 1;
            let _ = writeln!(err, "{}", problem_text(problem, &examined.files, &mut locator, Paint::Plain));
        }
        return Err(Failure::looked(format!("this tree cannot be walked: {count} problems refuse it"))
            .hint("`loomwalk check` shows them; nothing switches them off"));
    }
    examined.walkable().ok_or_else(|| Failure::looked("this tree cannot be walked"))
}
