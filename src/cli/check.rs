//! `check`: everything wrong with trees, machine files and shared files, with place and what to write.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use serde_json::{Map, Value, json};

use crate::author::{self, FaultsTold, Report};
use crate::diag::{Locator, Paint, Problem, Weight, problem_json, problem_text, visible_line};

use crate::reason::{Effort, TreePlan, plan_tree};
use crate::units::Minutes;

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
    /// Walks every modelled fault through each tree that has a machine
    #[arg(long)]
    faults: bool,
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
            Ok(mut report) => {
                let told = if args.faults { walk_faults(&mut report) } else { None };
                tally.add(&report);
                match args.format {
                    Format::Text => {
                        write_text(&report, out)?;
                        if let Some(told) = &told {
                            write_figures(told, planned(&report).as_ref(), out)?;
                        }
                    }
                    Format::Json => listed.push(report_json(given, &report, told.as_ref())),
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
        Format::Json => crate::cli::answer::json_line(&json!({"format": 1, "files": listed}), out)?,
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
        Some(beyond) => Err(Failure::file(beyond_limits(given, beyond, &report))),
        None => Ok(report),
    }
}

/// The limit in one line, with the place where it was passed, and what to do.
fn beyond_limits(given: &Path, beyond: &Problem, report: &Report) -> String {
    let mut locator = Locator::new(&report.files);
    let at = locator.span(&beyond.place).start;
    let at = locator.position(beyond.place.file_id(), at);
    let (file, wrong, write) = (given.display(), &beyond.wrong, &beyond.write);
    format!("{file}:{}:{}: {wrong}; write {write}", at.line, at.column)
}

/// Walks the faults of a tree that may be walked; what ends badly joins its problems.
fn walk_faults(report: &mut Report) -> Option<FaultsTold> {
    if report.worst() == Some(Weight::Refused) {
        return None;
    }
    let told = author::check_faults(report.course.as_ref()?)?;
    report.problems.extend(told.problems.iter().cloned());
    Some(told)
}

/// The figures for a person: how many faults end how, and how far they are told apart.
fn write_figures(told: &FaultsTold, plan: Option<&TreePlan>, out: &mut dyn Write) -> Result<(), Failure> {
    let f = &told.check.figures;
    let grouped: usize = f.found_in_group.values().sum();
    writeln!(out, "Faults that show the symptom: {}", f.count)?;
    writeln!(
        out,
        "  found alone {}, in a group {grouped}, only if open answers are right {}",
        f.found, f.depends
    )?;
    writeln!(out, "  wrong {}, without a branch {}, in no find {}", f.wrong, f.no_branch, f.unnamed)?;
    let percent = |p: crate::reason::Probability| p.0 * 100.0;
    writeln!(
        out,
        "  of 100 by share: found {:.0}; of these to one fault {:.0}, to two {:.0}, to three {:.0}, to one repair {:.0}",
        percent(f.detected),
        percent(f.isolated[0]),
        percent(f.isolated[1]),
        percent(f.isolated[2]),
        percent(f.one_repair)
    )?;
    if let Some(minutes) = plan.map(|plan| plan.as_written).or(told.check.as_written) {
        write!(out, "  {:.0} min expected as written", minutes.value())?;
        if let Some(plan) = plan {
            let sure = if plan.exact { "in the best order there is" } else { "in the best order found" };
            write!(out, ", {:.0} {sure}", plan.best_found.value())?;
            if let Some(bound) = plan.lower_bound.filter(|bound| bound.value() >= 0.5) {
                write!(out, "; nothing can do better than {:.0}", bound.value())?;
            }
        }
        writeln!(out)?;
    }
    writeln!(out)?;
    Ok(())
}

/// The figures for programs.
fn faults_json(told: &FaultsTold, report: &Report) -> Option<(Value, Value)> {
    let tree = report.course.as_ref()?.tree();
    let machine = tree.model.as_deref()?;
    let f = &told.check.figures;
    let groups: Map<String, Value> =
        f.found_in_group.iter().map(|(size, many)| (size.to_string(), json!(many))).collect();
    let ends: Vec<Value> = told
        .check
        .by_fault
        .iter()
        .map(|end| {
            json!({
                "fault": machine.fault(end.fault).name,
                "share": end.share.value(),
                "end": tree.step(end.end).id,
                "outcome": end.outcome.word(),
            })
        })
        .collect();
    let faults = json!({
        "count": f.count,
        "found": f.found,
        "found_in_group": groups,
        "wrong": f.wrong,
        "no_branch": f.no_branch,
        "unnamed": f.unnamed,
        "depends": f.depends,
        "detected_share": f.detected.0,
        "isolated_share": {
            "1": f.isolated[0].0,
            "2": f.isolated[1].0,
            "3": f.isolated[2].0,
            "one_repair": f.one_repair.0,
        },
        "by_fault": ends,
    });
    Some((faults, minutes_json(told, planned(report).as_ref())))
}

/// The best order of its tests that is found within the effort of a check.
fn planned(report: &Report) -> Option<TreePlan> {
    plan_tree(report.course.as_ref()?, Effort::Check)
}

fn minutes_json(told: &FaultsTold, plan: Option<&TreePlan>) -> Value {
    json!({
        "as_written": plan.map(|plan| plan.as_written).or(told.check.as_written).map(Minutes::value),
        "best_found": plan.map(|plan| plan.best_found.value()),
        "lower_bound": plan.and_then(|plan| plan.lower_bound).map(Minutes::value),
        "exact": plan.is_some_and(|plan| plan.exact),
    })
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
fn report_json(given: &Path, report: &Report, told: Option<&FaultsTold>) -> Value {
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
    if let Some((faults, minutes)) = told.and_then(|told| faults_json(told, report)) {
        fields.insert("faults".to_owned(), faults);
        fields.insert("minutes".to_owned(), minutes);
    }
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
