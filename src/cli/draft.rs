//! `draft`: a whole tree from the machine model, for an author to reword.

use std::io::Write;
use std::path::{Path, PathBuf};

use crate::author::{self, DraftError, Wanted};
use crate::diag::Source;
use crate::tree::{Shipped, Shows};

use super::disk::{Root, write_file};
use super::{Ending, Failure, Outcome};

/// Writes a whole tree for a symptom of a machine: questions, tests, gates, findings, repairs and proofs.
///
/// The tree is meant to stand beside the machine file. Its texts are plain; reword them.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: loomwalk draft tern/machine --symptom lift=fails,display=works -o no-lift.yaml"
)]
pub(super) struct Args {
    /// The machine file: a path, or the name of a shipped one such as tern/machine
    machine: String,
    /// Functions and what each does: works, fails, or unheld (works when it should be held)
    #[arg(long, value_name = "FUNCTION=SHOWS", required = true, value_delimiter = ',')]
    symptom: Vec<String>,
    /// The tree's name [default: made from the symptom]
    #[arg(long)]
    name: Option<String>,
    /// Write to this file instead of standard output
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrite the file if it exists
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    root: Root,
}

/// Runs the command.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let symptom = args.symptom.iter().map(|part| shown(part)).collect::<Result<Vec<_>, _>>()?;
    let opened = args.root.open(&args.machine)?;
    let machine = Path::new(&opened.source.name);
    let machine =
        machine.file_name().map_or_else(|| "machine.yaml".into(), |n| n.to_string_lossy().into_owned());
    let wanted = Wanted { symptom, name: args.name.clone(), machine };
    let text = author::draft(&opened.source, &wanted).map_err(|why| failed(args, &why))?;
    match &args.output {
        None => out.write_all(text.as_bytes())?,
        Some(path) => {
            write_file(path, text.as_bytes(), args.force)?;
            if Shipped::is_shipped(&opened.source) {
                machine_beside(path, &wanted.machine, &opened.source)?;
            }
        }
    }
    Ok(Ending::Fine)
}

/// A draft of a shipped machine needs its machine file beside it, or nothing can be looked up there.
fn machine_beside(draft: &Path, name: &str, machine: &Source) -> Result<(), Failure> {
    let beside = draft.with_file_name(name);
    let shown = beside.display();
    let mut err = std::io::stderr().lock();
    if !beside.exists() {
        write_file(&beside, machine.text.as_bytes(), false)?;
        writeln!(err, "{shown}: the machine file is written beside the draft, which reads it there")?;
    } else if std::fs::read(&beside).is_ok_and(|there| there != machine.text.as_bytes()) {
        writeln!(
            err,
            "{shown} was there already and is another one: the draft was made for the shipped machine"
        )?;
    }
    Ok(())
}

fn failed(args: &Args, why: &DraftError) -> Failure {
    match why {
        DraftError::Machine | DraftError::NoMachine => Failure::looked(format!("{}: {why}", args.machine)),
        _ => Failure::usage(why),
    }
}

/// `lift=fails` as a function and what it does.
fn shown(part: &str) -> Result<(String, Shows), Failure> {
    let wrong = || {
        Failure::usage(format!("`{part}` is no part of a symptom"))
            .hint("write each as lift=fails, display=works or lift=unheld, with commas between them")
    };
    let (name, shows) = part.split_once('=').ok_or_else(wrong)?;
    let shows = match shows.trim() {
        "works" => Shows::Works,
        "fails" => Shows::Fails,
        "unheld" => Shows::Unheld,
        _ => return Err(wrong()),
    };
    Ok((name.trim().to_owned(), shows))
}
