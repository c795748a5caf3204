//! `check`: everything wrong with trees, machine files and shared files, with place and what to write.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use serde_json::{Map, Value, json};

use crate::author::{self, Report};
use crate::diag::{Locator, Paint, Weight, problem_json, problem_text, visible_line};

use super::answer::Format;
use super::disk;
use super::{Ending, Failure, Outcome};

/// Checks trees, machine files and shared files.
///
/// Example: loomwalk check --strict trees/tern/no-lift-no-tilt.yaml
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Files, shipped trees by name, or - for standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Warnings count too: exit 1
    #[arg(long)]
    strict: bool,
    /// For a person, or for another program
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Files may name others inside this folder only [default: the parent of the file's folder]
    #[arg(long, value_name = "DIR")]
    root: Option<PathBuf>,
}

/// Limits that make a file none that could be looked at.
const LIMITS: [&str; 2] = ["too-large", "too-deep"];

/// Runs the command: every file that can be read is checked, whatever becomes of the others.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let mut tally = Tally::default();
    let mut listed = Vec::new();
    let mut failed: Option<Failure> = None;
    for given in &args.files {
        match look(given, args.root.as_deref()) {
            Ok(report) => {
                tally.add(&report);
                match args.format {
                    Format::Text => write_text(&report, out)?,
                    Format::Json => listed.push(report_json(given, &report)),
                }
            }
            Err(failure) => {
                if let Some(earlier) = failed.replace(failure) {
                    let _ = earlier.told(&mut std::io::stderr().lock());
                }
            }
        }
    }
    match args.format {
        Format::Text if tally.files > 0 => writeln!(out, "{}", tally.said())?,
        Format::Text => {}
        Format::Json => writeln!(out, "{}", json!({"format": 1, "files": listed}))?,
    }
    match failed {
        Some(failure) => Err(failure),
        None if tally.is_wrong(args.strict) => Ok(Ending::Wrong),
        None => Ok(Ending::Fine),
    }
}

fn look(given: &Path, root: Option<&Path>) -> Result<Report, Failure> {
    let opened = disk::open(given, root)?;
    let report = author::check(&opened.source, opened.sources.as_ref());
    match report.problems.iter().find(|problem| LIMITS.contains(&problem.rule)) {
        Some(beyond) => Err(Failure::file(format!("{}: {}", given.display(), beyond.wrong))),
        None => Ok(report),
    }
}

fn write_text(report: &Report, out: &mut dyn Write) -> Result<(), Failure> {
    let colour = std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    let paint = if colour { Paint::Colour } else { Paint::Plain };
    let mut locator = Locator::new(&report.files);
    for problem in &report.problems {
        writeln!(out, "{}", problem_text(problem, &report.files, &mut locator, paint))?;
    }
    Ok(())
}

/// One file for programs. A problem in a file that this one uses carries that file's name.
fn report_json(given: &Path, report: &Report) -> Value {
    let mut locator = Locator::new(&report.files);
    let problems: Vec<Value> = report
        .problems
        .iter()
        .map(|problem| {
            let mut told = problem_json(problem, &mut locator);
            let file = problem.place.file_id();
            if file != report.file
                && let (Some(fields), Some(source)) = (told.as_object_mut(), report.files.get(file))
            {
                fields.insert("file".to_owned(), json!(source.name));
            }
            told
        })
        .collect();
    let mut fields = Map::new();
    fields.insert("file".to_owned(), json!(given.to_string_lossy()));
    fields.insert("kind".to_owned(), json!(report.kind.word()));
    fields.insert("problems".to_owned(), Value::Array(problems));
    if report.beyond > 0 {
        fields.insert("not_listed".to_owned(), json!(report.beyond));
    }
    Value::Object(fields)
}

/// What was found in all files together.
#[derive(Debug, Default)]
struct Tally {
    files: usize,
    refused: usize,
    errors: usize,
    warnings: usize,
    beyond: usize,
}

impl Tally {
    fn add(&mut self, report: &Report) {
        self.files += 1;
        self.refused += report.count(Weight::Refused);
        self.errors += report.count(Weight::Error);
        self.warnings += report.count(Weight::Warning);
        self.beyond += report.beyond;
    }

    fn is_wrong(&self, strict: bool) -> bool {
        self.refused + self.errors > 0 || (strict && self.warnings > 0)
    }

    fn said(&self) -> String {
        let files = counted(self.files, "file", "files");
        let parts: Vec<String> = [
            (self.refused, format!("{} refused", self.refused)),
            (self.errors, counted(self.errors, "error", "errors")),
            (self.warnings, counted(self.warnings, "warning", "warnings")),
            (self.beyond, format!("{} more not listed", self.beyond)),
        ]
        .into_iter()
        .filter(|(many, _)| *many > 0)
        .map(|(_, said)| said)
        .collect();
        if parts.is_empty() {
            format!("nothing wrong in {files}")
        } else {
            visible_line(&format!("{} in {files}; `loomwalk explain RULE` says more", parts.join(", ")))
                .into_owned()
        }
    }
}

fn counted(many: usize, one: &str, more: &str) -> String {
    format!("{many} {}", if many == 1 { one } else { more })
}
