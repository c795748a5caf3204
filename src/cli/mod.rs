//! Arguments, one file a command, failures to exit codes.
//!
//! Results go to standard output, messages to standard error. Exit: 0 done and nothing wrong; 1 done, and something
//! is wrong with what was looked at; 2 could not be done.

mod answer;
mod author;
mod codes;
mod check;
mod disk;
mod draft;
mod draw;
mod explain;
mod failure;
mod faults;
mod job;
mod job_place;
mod learn;
mod machine_file;
mod phone;
mod plan;
mod practice;
mod screens;
mod report;
mod review;
mod schema;
mod predict;
mod rank;
mod typed;
mod wire;
mod walk;

use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

pub use failure::{Failure, Kind};

/// How a command that could be done ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Nothing is wrong.
    Fine,
    /// Something is wrong with what was looked at.
    Wrong,
}

/// What a command comes back with.
pub type Outcome = Result<Ending, Failure>;

/// Finds the fault on the electrics of a mobile machine: from the call to the proved repair.
#[derive(Debug, Parser)]
#[command(name = "loomwalk", version, propagate_version = true, disable_help_subcommand = true)]
struct Line {
    /// Dark on light, for the sun
    #[arg(long)]
    light: bool,
    #[command(subcommand)]
    command: Option<Command>,
}

/// The commands; each has a file of its own.
#[derive(Debug, Subcommand)]
enum Command {
    Author(author::Args),
    Check(check::Args),
    Draft(draft::Args),
    Draw(draw::Args),
    Explain(explain::Args),
    Schema(schema::Args),
    /// Jobs: what is in the folder, one job, is its journal whole
    Job(job::JobLine),
    Phone(phone::Args),
    Plan(plan::Args),
    Learn(learn::LearnArgs),
    Practice(practice::PracticeArgs),
    Predict(predict::Args),
    Faults(faults::Args),
    Rank(rank::Args),
    /// Sums for a repair: resistance, drop, size, splice, sleeve, fuse, bundle, and where along the wire
    Wire(wire::Wire),
    /// Trouble codes of a controller
    Codes(codes::Codes),
    Report(report::ReportArgs),
    Review(review::ReviewArgs),
    Walk(walk::WalkArgs),
}

/// Runs the program with these arguments and says how it went.
#[must_use]
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    // The table of all commands is not made where there is nothing to look up in it.
    let parsed = match args.len() {
        0 | 1 => Ok(Line { light: false, command: None }),
        _ => parsed(args),
    };
    let line = match parsed {
        Ok(line) => line,
        Err(said) => {
            // Help and version are results; anything else is a message.
            if said.use_stderr() {
                let failure =
                    Failure::usage(one_line(&said.to_string())).hint("`--help` after the command tells more");
                return failure.told(&mut std::io::stderr().lock());
            }
            return match said.print().and_then(|()| std::io::stdout().flush()) {
                Ok(()) => ExitCode::SUCCESS,
                Err(error) => Failure::from(error).told(&mut std::io::stderr().lock()),
            };
        }
    };
    let mut out = std::io::stdout().lock();
    let done = dispatch(line, &mut out).and_then(|ending| {
        out.flush()?;
        Ok(ending)
    });
    match done {
        Ok(Ending::Fine) => ExitCode::SUCCESS,
        Ok(Ending::Wrong) => ExitCode::from(1),
        Err(failure) => failure.told(&mut std::io::stderr().lock()),
    }
}

/// Width of help in columns where nobody knows that of the terminal; the library's own.
const WIDE: usize = 100;

/// The line taken apart. A width of no columns, as some callers hand on that know none, would print help word by word.
fn parsed(args: Vec<OsString>) -> Result<Line, clap::Error> {
    let asks =
        std::io::stdin().is_terminal() || std::io::stdout().is_terminal() || std::io::stderr().is_terminal();
    let is_unknown =
        !asks && std::env::var("COLUMNS").is_ok_and(|columns| columns.trim().parse() == Ok(0_usize));
    let command = if is_unknown { Line::command().term_width(WIDE) } else { Line::command() };
    command.try_get_matches_from(args).and_then(|matches| Line::from_arg_matches(&matches))
}

/// What is wrong with the arguments in one line: the message with what it lists, and what was probably meant; how the
/// command is used is left to its help.
fn one_line(said: &str) -> String {
    let parts = said.split("\n\n").take_while(|part| !part.starts_with("Usage:"));
    let lines = parts.map(|part| {
        let mut lines = part.lines().map(str::trim).filter(|line| !line.is_empty());
        let first = lines.next().unwrap_or_default();
        let rest: Vec<&str> = lines.collect();
        let gap = if rest.is_empty() { "" } else { " " };
        format!("{first}{gap}{}", rest.join(", "))
    });
    let line = lines.filter(|line| !line.starts_with("For more information")).collect::<Vec<_>>().join("; ");
    line.trim_start_matches("error: ").to_owned()
}

fn dispatch(line: Line, out: &mut dyn Write) -> Outcome {
    match line.command {
        None if crate::tui::is_terminal() => {
            let clock = crate::tui::Clock::start();
            let around = screens::surroundings(&job_place::JobsFolder::default(), "en", line.light)?;
            screens::show(crate::tui::App::new(around, clock.now()), clock, out)
        }
        None => Err(Failure::usage("no command was given").hint("`loomwalk --help` lists them")),
        Some(Command::Job(line)) => job::run(line, out),
        Some(Command::Author(args)) => author::run_author(&args, out),
        Some(Command::Check(args)) => check::run(&args, out),
        Some(Command::Draft(args)) => draft::run(&args, out),
        Some(Command::Draw(args)) => draw::run(&args, out),
        Some(Command::Explain(args)) => explain::run(&args, out),
        Some(Command::Schema(args)) => schema::run(&args, out),
        Some(Command::Phone(args)) => phone::run(&args, out),
        Some(Command::Learn(args)) => learn::run(&args, out),
        Some(Command::Practice(args)) => practice::run(&args, out),
        Some(Command::Plan(args)) => plan::run(&args, out),
        Some(Command::Predict(args)) => predict::run(&args, out),
        Some(Command::Faults(args)) => faults::run(&args, out),
        Some(Command::Rank(args)) => rank::run(&args, out),
        Some(Command::Wire(wire)) => wire.run(out),
        Some(Command::Codes(codes)) => codes.run(out),
        Some(Command::Review(args)) => review::run(&args, out),
        Some(Command::Report(args)) => report::run(&args, out),
        Some(Command::Walk(args)) => walk::run(&args, out),
    }
}
