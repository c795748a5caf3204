//! What `job list` says: a table for people, CSV by RFC 4180 for spreadsheets, JSON for programs.
//!
//! The JSON, format 1: `{"format":1,"folder","jobs":[{"name","journal":"whole"|"torn"|"damaged"|
//! "unreadable","stands":"open"|"waiting"|"repaired"|"not-reproduced"|"temporary"|"referred"|
//! "guarded","waits_for","events","begun":{"at","last","tree","revision","version","minutes","details":{…}}|
//! null}],"copies":[{"files":[…],"parted":bool,"shared"}]}`; `copies` are jobs that lie in several files,
//! `shared` how many events all their ends share. A damaged or torn job, and one continued in two places, is listed
//! and makes the command exit 1.

use std::collections::HashSet;
use std::io::{self, IsTerminal, Write};

use clap::Args;
use indicatif::{ProgressBar, ProgressDrawTarget};
use serde_json::json;

use super::{ListFormat, ending};
use crate::cli::job_place::JobsFolder;
use crate::cli::{Failure, Outcome};
use crate::diag::{visible, visible_line};
use crate::job::{
    Archive, ArchiveJob, Begun, Condition, Copies, Disk, Facts, JournalError, Standing, Summary, Survey,
    copies_of, rfc3339, survey_briefly,
};

/// Lines told on jobs that lie in several files.
const MOST_LINES: usize = 40;

/// Which jobs are listed.
#[derive(Debug, Clone, Default, Args)]
pub(super) struct Filter {
    /// Only jobs on this machine
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,
    /// Only jobs by this tree
    #[arg(long, value_name = "NAME")]
    tree: Option<String>,
    /// Only jobs whose finding names this, or part of it
    #[arg(long, value_name = "TEXT")]
    fault: Option<String>,
    /// Only jobs on the machine of this serial
    #[arg(long, value_name = "SERIAL")]
    serial: Option<String>,
    /// Only jobs that have not ended
    #[arg(long)]
    open: bool,
    /// Only jobs begun on this day or later, as 2026-03-02
    #[arg(long, value_name = "DAY")]
    since: Option<String>,
}

impl Filter {
    /// True if the tree inside a job must be read to tell.
    fn asks_the_tree(&self) -> bool {
        self.machine.is_some() || self.fault.is_some()
    }

    /// Lets a job through or not; one of which nothing is known goes through where nothing is asked.
    pub(super) fn keeps(&self, job: &ArchiveJob) -> bool {
        let begun = job.begun();
        let is = |asked: &Option<String>, own: &dyn Fn() -> Option<String>| {
            asked.as_ref().is_none_or(|asked| own().is_some_and(|own| own.eq_ignore_ascii_case(asked)))
        };
        let tree = self.tree.as_ref().map(|name| name.rsplit('/').next().unwrap_or(name).to_owned());
        let names = |fault: &String| {
            let fault = fault.to_lowercase();
            job.found.iter().any(|found| found.to_lowercase().contains(&fault))
        };
        is(&self.machine, &|| Some(job.machine.clone()))
            && is(&tree, &|| begun.map(|begun| begun.tree.clone()))
            && is(&self.serial, &|| begun?.details.serial.clone())
            && self.fault.as_ref().is_none_or(names)
            && (!self.open || !matches!(job.summary.standing, Standing::Ended(_)))
            && self.since.as_ref().is_none_or(|since| begun.is_some_and(|b| b.started.date() >= *since))
    }

    fn is_any(&self) -> bool {
        self.asks_the_tree()
            || self.tree.is_some()
            || self.serial.is_some()
            || self.open
            || self.since.is_some()
    }

    /// The day, if one was given, is one.
    fn checked(&self) -> Result<(), Failure> {
        let is_day = |day: &String| day.parse::<jiff::civil::Date>().is_ok_and(|d| d.to_string() == *day);
        match self.since.as_ref().filter(|day| !is_day(day)) {
            Some(day) => Err(Failure::usage(format!("`{day}` is no day")).hint("write it as 2026-03-02")),
            None => Ok(()),
        }
    }
}

/// The jobs of the folder that the filter lets through, read with a bar on a terminal.
pub(super) fn archive(jobs: &JobsFolder, filter: &Filter) -> Result<Archive, Failure> {
    filter.checked()?;
    Ok(Archive::of(&Disk, read(jobs)?).only(|job| filter.keeps(job)))
}

fn read(jobs: &JobsFolder) -> Result<Vec<Survey<ArchiveJob>>, Failure> {
    let folder = jobs.path()?;
    let bar = ProgressBar::hidden();
    if std::io::stderr().is_terminal() {
        bar.set_draw_target(ProgressDrawTarget::stderr());
    }
    let progress = |done: usize, of: usize| {
        // A bar drawn for every file would cost more than the files.
        if done.is_multiple_of(64) || done == of {
            bar.set_length(of as u64);
            bar.set_position(done as u64);
        }
    };
    let found = survey_briefly(&Disk, &folder, &progress, |place, found| ArchiveJob::of(place, &found));
    bar.finish_and_clear();
    Ok(found?)
}

/// Lists the jobs of the folder.
pub(super) fn run(jobs: &JobsFolder, filter: &Filter, format: ListFormat, out: &mut dyn Write) -> Outcome {
    filter.checked()?;
    let mut facts = Facts::default();
    let mut rows = Vec::new();
    let surveyed = read(jobs)?;
    let mut copies = copies_of(&Disk, &surveyed);
    for Survey { place, outcome } in surveyed {
        let outcome = outcome.map(|mut job| {
            if filter.asks_the_tree()
                && let Some(known) = facts.of(&Disk, &place, job.texts)
            {
                job.with(known);
            }
            job
        });
        // What cannot be read is told where everything is asked for.
        if outcome.as_ref().map_or(!filter.is_any(), |job| filter.keeps(job)) {
            rows.push(Row { name: place.name(), outcome: outcome.map(|job| job.summary) });
        }
    }
    let listed: HashSet<&str> = rows.iter().map(|row| row.name.as_str()).collect();
    copies.retain(|one| one.names().any(|name| listed.contains(name)));
    let folder = jobs.path()?;
    let folder = folder.to_string_lossy();
    match format {
        ListFormat::Text => {
            as_table(&rows, &folder, out)?;
            copies_as_text(&copies, out)?;
        }
        ListFormat::Csv => as_csv(&rows, out)?,
        ListFormat::Json => {
            let jobs: Vec<_> = rows.iter().map(Row::json).collect();
            let copies: Vec<_> = copies.iter().map(copies_json).collect();
            let told = json!({"format": 1, "folder": folder, "jobs": jobs, "copies": copies});
            crate::cli::answer::json_line(&told, out)?;
        }
    }
    let is_fine = rows.iter().all(|row| row.journal() == "whole") && !copies.iter().any(Copies::has_parted);
    Ok(ending(is_fine))
}

struct Row {
    name: String,
    outcome: Result<Summary, JournalError>,
}

impl Row {
    fn summary(&self) -> Option<&Summary> {
        self.outcome.as_ref().ok()
    }

    fn begun(&self) -> Option<&Begun> {
        self.summary()?.begun.as_ref()
    }

    fn journal(&self) -> &'static str {
        self.summary().map_or("unreadable", |summary| summary.condition.word())
    }

    fn stands(&self) -> &'static str {
        self.summary().filter(|summary| summary.begun.is_some()).map_or("", |summary| summary.standing.word())
    }

    fn minutes(&self) -> String {
        self.begun().map_or_else(String::new, |begun| format!("{:.0}", begun.worked.value()))
    }

    fn json(&self) -> serde_json::Value {
        let begun = self.begun().map(|begun| {
            json!({
                "at": rfc3339(begun.started),
                "last": rfc3339(begun.last),
                "tree": begun.tree,
                "revision": begun.revision,
                "version": begun.version,
                "minutes": (begun.worked.value() * 10.0).round() / 10.0,
                "details": begun.details,
            })
        });
        json!({
            "name": self.name,
            "journal": self.journal(),
            "stands": self.begun().map(|_| self.stands()),
            "waits_for": self.summary().map(|summary| summary.waits_for.as_str()).filter(|why| !why.is_empty()),
            "events": self.summary().map(|summary| summary.events),
            "begun": begun,
        })
    }
}

fn as_table(rows: &[Row], folder: &str, out: &mut dyn Write) -> io::Result<()> {
    if rows.is_empty() {
        return writeln!(out, "No jobs in {}.", visible_line(folder));
    }
    let heads = ["Job", "Begun", "Tree", "Serial", "Stands", "Minutes", "Journal"];
    let lines: Vec<[String; 7]> = rows.iter().map(cells).collect();
    let widths: [usize; 7] = std::array::from_fn(|at| {
        let longest = lines.iter().map(|line| line[at].chars().count()).max().unwrap_or(0);
        longest.max(heads[at].len())
    });
    for line in std::iter::once(&heads.map(str::to_owned)).chain(&lines) {
        let padded: Vec<String> =
            line.iter().zip(widths).map(|(cell, width)| format!("{cell:width$}")).collect();
        writeln!(out, "{}", padded.join("  ").trim_end())?;
    }
    for row in rows {
        match &row.outcome {
            Err(error) => writeln!(out, "{}", visible_line(&error.to_string()))?,
            Ok(summary) if summary.condition != Condition::Whole => {
                writeln!(out, "See `loomwalk job verify {}`.", visible_line(&row.name))?;
            }
            Ok(_) => {}
        }
    }
    Ok(())
}

/// What lies in several files, those continued in several places first.
fn copies_as_text(copies: &[Copies], out: &mut dyn Write) -> io::Result<()> {
    let (parted, rest): (Vec<&Copies>, Vec<&Copies>) = copies.iter().partition(|one| one.has_parted());
    let lines: Vec<String> = parted.into_iter().chain(rest).flat_map(Copies::lines).collect();
    if !lines.is_empty() {
        writeln!(out)?;
    }
    for line in lines.iter().take(MOST_LINES) {
        writeln!(out, "{}", visible_line(line))?;
    }
    if lines.len() > MOST_LINES {
        let more = lines.len() - MOST_LINES;
        writeln!(out, "and {more} more lines on jobs that lie in several files; `--format json` has all")?;
    }
    Ok(())
}

fn copies_json(copies: &Copies) -> serde_json::Value {
    let files: Vec<&str> = copies.names().collect();
    json!({"files": files, "parted": copies.has_parted(), "shared": copies.shared})
}

fn cells(row: &Row) -> [String; 7] {
    let of_begun = |cell: fn(&Begun) -> String| row.begun().map_or_else(String::new, cell);
    [
        row.name.clone(),
        of_begun(|begun| begun.started.to_string()),
        of_begun(|begun| begun.tree.clone()),
        of_begun(|begun| begun.details.serial.clone().unwrap_or_default()),
        row.summary().filter(|summary| summary.begun.is_some()).map_or_else(String::new, Summary::stands),
        row.minutes(),
        row.journal().to_owned(),
    ]
    .map(|cell| cropped(&visible_line(&cell)))
}

/// Longest cell of the table.
const WIDEST: usize = 40;

/// A cell as it stands in the table; the other forms have it whole.
fn cropped(cell: &str) -> String {
    if cell.chars().count() <= WIDEST {
        return cell.to_owned();
    }
    cell.chars().take(WIDEST - 1).chain(['…']).collect()
}

fn as_csv(rows: &[Row], out: &mut dyn Write) -> io::Result<()> {
    let heads = [
        "job",
        "begun",
        "last",
        "tree",
        "revision",
        "stands",
        "minutes",
        "events",
        "journal",
        "number",
        "serial",
        "hours",
        "customer",
        "site",
        "complaint",
        "mechanic",
        "waits for",
    ];
    write!(out, "{}\r\n", heads.join(","))?;
    for row in rows {
        let fields: Vec<String> = csv_fields(row).iter().map(|field| quoted(&visible(field))).collect();
        write!(out, "{}\r\n", fields.join(","))?;
    }
    Ok(())
}

fn csv_fields(row: &Row) -> [String; 17] {
    let of_begun = |field: fn(&Begun) -> Option<String>| row.begun().and_then(field).unwrap_or_default();
    [
        row.name.clone(),
        of_begun(|begun| Some(rfc3339(begun.started))),
        of_begun(|begun| Some(rfc3339(begun.last))),
        of_begun(|begun| Some(begun.tree.clone())),
        of_begun(|begun| Some(begun.revision.to_string())),
        row.stands().to_owned(),
        row.minutes(),
        row.summary().map_or_else(String::new, |summary| summary.events.to_string()),
        row.journal().to_owned(),
        of_begun(|begun| begun.details.number.clone()),
        of_begun(|begun| begun.details.serial.clone()),
        of_begun(|begun| begun.details.hours.map(|hours| hours.to_string())),
        of_begun(|begun| begun.details.customer.clone()),
        of_begun(|begun| begun.details.site.clone()),
        of_begun(|begun| begun.details.complaint.clone()),
        of_begun(|begun| begun.details.mechanic.clone()),
        row.summary().map_or_else(String::new, |summary| summary.waits_for.clone()),
    ]
}

/// A field by RFC 4180: in quotes where it holds a comma, a quote or a line break. A field that a spreadsheet would
/// take for a formula (it begins with `=`, `+`, `-`, `@`, a tab or a return) gets an apostrophe before it.
fn quoted(field: &str) -> String {
    let is_formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let apostrophe = if is_formula { "'" } else { "" };
    let field = &format!("{apostrophe}{field}");
    if field.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::quoted;

    // RFC 4180, section 2, rules 5 to 7.
    #[test]
    fn fields_are_quoted_where_they_must_be() {
        assert_eq!(quoted("4417"), "4417");
        assert_eq!(quoted("says \"dead\", again"), "\"says \"\"dead\"\", again\"");
        assert_eq!(quoted("a\nb"), "\"a\nb\"");
        assert_eq!(quoted("=1+2"), "'=1+2");
        assert_eq!(quoted("@sum(a,b)"), "\"'@sum(a,b)\"");
    }
}
