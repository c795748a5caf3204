//! `author`: the editor, with everything that is wrong told as it is typed.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::tree::Shipped;
use crate::tui::{Author, Clock, is_terminal, run};

use super::disk::sources_of;
use super::job_place::JobsFolder;
use super::screens::surroundings;
use super::{Ending, Failure, Outcome};

/// Writes a tree, a machine file or shared groups, with everything that is wrong told as it is typed.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: loomwalk author no-horn.yaml")]
pub(super) struct Args {
    /// The file; a name that is not taken yet begins a new one
    file: PathBuf,
    /// The file may name others inside this folder only [default: the parent of the file's folder]
    #[arg(long, value_name = "DIR")]
    root: Option<PathBuf>,
    /// Dark on light, for the sun
    #[arg(long)]
    light: bool,
}

/// Runs the screen.
pub(super) fn run_author(args: &Args, _out: &mut dyn Write) -> Outcome {
    let file = &args.file;
    let name = file.to_string_lossy();
    if !file.exists() && Shipped::named(&name).is_some() {
        return Err(Failure::usage(format!("{name} is inside the program and cannot be changed there"))
            .hint("write a file of your own; `loomwalk draft` begins one from a machine file"));
    }
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(Failure::file(format!("there is no folder {}", folder.display())));
    }
    if !is_terminal() {
        return Err(Failure::usage("`author` is a screen and needs a terminal")
            .hint("`loomwalk check` tells what is wrong with a file without one"));
    }
    let around = surroundings(&JobsFolder::default(), "en", args.light)?;
    let sources = Arc::from(sources_of(file, args.root.as_deref())?);
    let mut author = Author::new(file, sources, (around.palette, around.letters))
        .map_err(|why| Failure::file(format!("{name}: {why}")))?;
    run(&mut author, Clock::start())?;
    Ok(Ending::Fine)
}
