//! `phone`: the phone sheet of a tree: what to ask before driving out, and what to load.

use std::io::Write;
use std::path::PathBuf;

use crate::author;
use crate::diag::Lang;

use super::disk::{Root, form_of, write_file};
use super::{Ending, Failure, Outcome};

/// The questions for the telephone in an order worth asking, with room for answers, and what to load.
///
/// The same questions come first in a walk: what was answered on the telephone is recorded there, and the job goes on
/// at the machine with `walk --resume`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: loomwalk phone tern/no-lift-no-tilt -o phone.html")]
pub(super) struct Args {
    /// The tree: a path, or the name of a shipped one
    tree: String,
    /// The language
    #[arg(long, default_value = "en")]
    lang: String,
    /// The form; that of the file's ending, if not given, and otherwise text
    #[arg(long, value_enum)]
    format: Option<Form>,
    /// Writes it to this file instead of standard output
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrites the file if it is there
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    root: Root,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Form {
    /// For the screen or a printer
    Text,
    /// A page to print
    Html,
}

/// Runs the command. A tree that is refused has its sheet all the same, and is told about.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let opened = args.root.open(&args.tree)?;
    let report = author::check(&opened.source, opened.sources.as_ref());
    let refused = report.count(crate::diag::Weight::Refused);
    let Some(course) = report.course else {
        return Err(Failure::looked(format!("{} is no tree that can be read", args.tree))
            .hint("`loomwalk check` tells what is wrong with it"));
    };
    let sheet = author::phone_sheet(&course, &Lang::new(&args.lang));
    let text = match form_of(args.format, args.output.as_deref(), Form::Text) {
        Form::Text => author::phone_text(&sheet),
        Form::Html => author::phone_html(&sheet),
    };
    match &args.output {
        None => out.write_all(text.as_bytes())?,
        Some(path) => write_file(path, text.as_bytes(), args.force)?,
    }
    if refused > 0 {
        return Err(Failure::looked(format!("{} is refused and cannot be walked", args.tree))
            .hint("`loomwalk check` tells why; the sheet may be used all the same"));
    }
    Ok(Ending::Fine)
}
