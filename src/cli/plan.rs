//! `plan`: expected minutes of an order of tests, the best order found, and what no order can beat.

mod matrix;
mod tree;

use std::io::Write;
use std::path::PathBuf;

use super::disk::Root;
use super::{Failure, Outcome};

/// Expected minutes of a tree as written, in the best order found, and what no order can beat.
///
/// Example: loomwalk plan tern/no-lift-no-tilt --order
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The tree: a path, or the name of a shipped one
    #[arg(required_unless_present = "matrix")]
    tree: Option<String>,
    /// Instead of a tree, a table of faults, tests and outcomes as JSON; - reads it from standard input
    #[arg(long, value_name = "FILE", conflicts_with = "tree")]
    matrix: Option<PathBuf>,
    /// Prints the best order found as a tree
    #[arg(long, conflicts_with = "matrix")]
    order: bool,
    /// How to print it [default: text for a tree, json for a table]
    #[arg(long, value_enum)]
    format: Option<Format>,
    #[command(flatten)]
    root: Root,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

/// Runs the command.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    match (&args.matrix, &args.tree) {
        (Some(path), _) => matrix::run(path, args.format.unwrap_or(Format::Json), out),
        (None, Some(tree)) => tree::run(tree, args, out),
        (None, None) => Err(Failure::usage("which tree?")),
    }
}
