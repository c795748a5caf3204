//! `schema`: the JSON Schema of a file, for editors.

use std::io::Write;

use crate::author;

use super::{Ending, Outcome};

/// JSON Schema (draft 2020-12) of a kind of file, for editors that complete keys and mark errors.
///
/// Example: loomwalk schema tree > tree.schema.json
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kind of file
    #[arg(value_enum)]
    kind: FileKind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum FileKind {
    /// A tree
    Tree,
    /// A machine file
    Machine,
    /// Groups of steps shared between trees
    Shared,
}

/// Runs the command.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let schema = match args.kind {
        FileKind::Tree => author::tree_schema(),
        FileKind::Machine => author::machine_schema(),
        FileKind::Shared => author::shared_schema(),
    };
    writeln!(out, "{schema:#}")?;
    Ok(Ending::Fine)
}
