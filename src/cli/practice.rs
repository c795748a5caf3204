//! `practice`: a machine in the yard with a hidden fault, walked by an apprentice. The log stays the apprentice's own.

mod plain;

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::disk::Root;
use super::job_place::{JobsFolder, data_folder};
use super::screens::{show, surroundings};
use super::walk::{holder, refused};
use super::{Failure, Outcome};
use crate::job::{JobPlace, Shelf};
use crate::practice::{Asked, Level, NotPrepared, log_words, prepared};
use crate::tree::examine;
use crate::tui::{App, Clock};

/// Practises on a simulated machine with a hidden fault.
#[derive(Debug, Args)]
#[command(after_help = "Example: loomwalk practice tern/no-lift-no-tilt --seed 7")]
pub(super) struct PracticeArgs {
    /// The tree: a path, or the name of a shipped one
    tree: String,
    /// The same number is the same machine with the same fault and the same readings
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// For an instructor: this fault, as `loomwalk faults` names it
    #[arg(long, value_name = "NAME")]
    fault: Option<String>,
    /// Which faults are hidden
    #[arg(long, value_enum, default_value = "any")]
    level: LevelWord,
    /// Where the logs lie [default: loomwalk/practice in your data folder]
    #[arg(long, value_name = "DIR")]
    logs: Option<PathBuf>,
    /// One fact a line, no bars or boxes: for screen readers and pipes
    #[arg(long)]
    plain: bool,
    /// Dark on light, for the sun
    #[arg(long)]
    light: bool,
    /// The language
    #[arg(long, default_value = "en", value_name = "CODE")]
    lang: String,
    #[command(flatten)]
    root: Root,
}

/// The words for a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum LevelWord {
    /// The commonest, at their usual severity
    Common,
    /// Any that the tree can find, by share
    Any,
    /// What is rare, comes and goes, or hides under load
    Rare,
}

impl From<LevelWord> for Level {
    fn from(word: LevelWord) -> Self {
        match word {
            LevelWord::Common => Self::Common,
            LevelWord::Any => Self::Any,
            LevelWord::Rare => Self::Rare,
        }
    }
}

/// Runs it.
pub(super) fn run(args: &PracticeArgs, out: &mut dyn Write) -> Outcome {
    let clock = Clock::start();
    let opened = args.root.open(&args.tree)?;
    let course = refused(examine(&opened.source, opened.sources.as_ref()))?;
    let folder = match &args.logs {
        Some(folder) => folder.clone(),
        None => data_folder()?.join("practice"),
    };
    let shelf = Shelf::new(&folder);
    let at = clock.now();
    let asked = Asked {
        seed: args.seed,
        fault: args.fault.clone(),
        level: args.level.into(),
        lang: args.lang.clone(),
    };
    let sitting = prepared(&course, &shelf, &asked, &holder(at))?;
    if !args.plain && crate::tui::is_terminal() {
        let around = surroundings(&JobsFolder::default(), &args.lang, args.light)?;
        return show(App::practising(around, sitting, shelf, at), clock, out);
    }
    plain::run(sitting, &shelf, out)
}

impl From<NotPrepared> for Failure {
    fn from(error: NotPrepared) -> Self {
        match error {
            NotPrepared::NoMachine => Self::looked(error).hint("`machine:` in the tree names one"),
            NotPrepared::NoFault { near: None, .. } => {
                Self::usage(error).hint("`loomwalk faults` lists them")
            }
            NotPrepared::NoFault { .. } | NotPrepared::NoSymptom { .. } => Self::usage(error),
            NotPrepared::Nothing => Self::looked(error),
            NotPrepared::Shelf(error) => Self::file(log_words(&error)),
            NotPrepared::Log(fault) => Self::file(log_words(&fault)),
        }
    }
}

/// Where a log lies, for a message.
fn lies(place: &JobPlace) -> String {
    place.file().display().to_string()
}
