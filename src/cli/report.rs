//! `report`: a job written up, for the customer, the office or the shop.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::disk::{form_of, write_file};
use super::job_place::JobsFolder;
use super::{Ending, Failure, Outcome};
use crate::job::{
    JournalState, Kept, Reader, Remnant, Report, Review, html, json, json_text, markdown, replay,
};

/// Writes a job up.
#[derive(Debug, Args)]
#[command(after_help = "Example: loomwalk report 0318 --for customer -o 0318.html")]
pub(super) struct ReportArgs {
    /// The job: a name in the jobs folder, a path, or - for standard input
    job: PathBuf,
    #[command(flatten)]
    jobs: JobsFolder,
    /// The form; that of the file's ending, if not given, and otherwise md
    #[arg(long, value_enum)]
    format: Option<Form>,
    /// Whom it is for
    #[arg(long = "for", value_enum, default_value = "shop", value_name = "READER")]
    reader: For,
    /// Writes it to this file instead of standard output
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrites the file if it is there
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Form {
    Md,
    Html,
    Json,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum For {
    Customer,
    Office,
    Shop,
}

/// Runs it: exit 1 where the journal is damaged, torn, or cannot be what happened; the report is written all the same.
pub(super) fn run(args: &ReportArgs, out: &mut dyn Write) -> Outcome {
    let (name, found) = args.jobs.read::<Kept>(&args.job)?;
    let verdict = found.verdict();
    let reader = match args.reader {
        For::Customer => Reader::Customer,
        For::Office => Reader::Office,
        For::Shop => Reader::Shop,
    };
    let form = form_of(args.format, args.output.as_deref(), Form::Md);
    let (text, is_sound) = match replay(&found.records) {
        Ok(replayed) => {
            let mut journal = JournalState::of(&verdict, &replayed).telling(&found.records);
            if reader == Reader::Shop {
                let events = found.records.iter().map(|record| (record.at, record.event.event()));
                let course = std::sync::Arc::new(replayed.walk.course().clone());
                journal = journal.reviewed(Review::brief(&course, events));
            }
            let is_sound = journal.whole && replayed.impossible.is_none();
            let (walk, version) = (&replayed.walk, replayed.version.as_str());
            (written(&Report { name: &name, walk, version, journal, reader }, form), is_sound)
        }
        Err(fault) => {
            let rest = Remnant::of(&name, &fault, (&verdict, &found.records), reader);
            let text = match form {
                Form::Md => rest.markdown(),
                Form::Html => rest.html(),
                Form::Json => json_text(&rest.json()),
            };
            (text, false)
        }
    };
    match &args.output {
        Some(file) => {
            spare_the_job(file, args)?;
            write_file(file, text.as_bytes(), args.force)?;
        }
        None => out.write_all(text.as_bytes())?,
    }
    Ok(if is_sound { Ending::Fine } else { Ending::Wrong })
}

fn written(report: &Report<'_>, form: Form) -> String {
    match form {
        Form::Md => markdown(report),
        Form::Html => html(report),
        Form::Json => json_text(&json(report)),
    }
}

/// A report never takes the place of the journal that it is made from, `--force` or not.
fn spare_the_job(file: &Path, args: &ReportArgs) -> Result<(), Failure> {
    if args.job == Path::new("-") {
        return Ok(());
    }
    let journal = args.jobs.place(&args.job)?;
    let is_same = match (file.canonicalize(), journal.file().canonicalize()) {
        (Ok(file), Ok(journal)) => file == journal,
        _ => false,
    };
    if is_same {
        return Err(
            Failure::usage(format!("{} is the job itself", file.display())).hint("`-o` takes another name")
        );
    }
    Ok(())
}
