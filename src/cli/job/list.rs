//! What `job list` says: a table for people, CSV by RFC 4180 for spreadsheets, JSON for programs.
//!
//! The JSON, format 1: `{"format":1,"folder","jobs":[{"name","journal":"whole"|"torn"|"damaged"|
//! "unreadable","stands":"open"|"waiting"|"repaired"|"not-reproduced"|"temporary"|"referred"|
//! "guarded","events","begun":{"at","last","tree","revision","version","minutes","details":{…}}|
//! null}]}`. A damaged or torn job is listed, and makes the command exit 1.

use std::io::{self, Write};

use serde_json::json;

use super::{ListFormat, ending};
use crate::cli::Outcome;
use crate::cli::job_place::JobsFolder;
use crate::diag::visible_line;
use crate::job::{Begun, Condition, Disk, JournalError, Summary, Survey, rfc3339, survey};

/// Lists the jobs of the folder.
pub(super) fn run(jobs: &JobsFolder, format: ListFormat, out: &mut dyn Write) -> Outcome {
    let folder = jobs.path()?;
    let all = survey(&Disk, &folder, |place, found| Summary::of(place.name(), &found))?;
    let rows: Vec<Row> = all.into_iter().map(Row::from).collect();
    let folder = folder.to_string_lossy();
    match format {
        ListFormat::Text => as_table(&rows, &folder, out)?,
        ListFormat::Csv => as_csv(&rows, out)?,
        ListFormat::Json => {
            let jobs: Vec<_> = rows.iter().map(Row::json).collect();
            writeln!(out, "{}", json!({"format": 1, "folder": folder, "jobs": jobs}))?;
        }
    }
    Ok(ending(rows.iter().all(|row| row.journal() == "whole")))
}

struct Row {
    name: String,
    outcome: Result<Summary, JournalError>,
}

impl From<Survey<Summary>> for Row {
    fn from(found: Survey<Summary>) -> Self {
        Self { name: found.place.name(), outcome: found.outcome }
    }
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

fn cells(row: &Row) -> [String; 7] {
    let of_begun = |cell: fn(&Begun) -> String| row.begun().map_or_else(String::new, cell);
    [
        row.name.clone(),
        of_begun(|begun| begun.started.to_string()),
        of_begun(|begun| begun.tree.clone()),
        of_begun(|begun| begun.details.serial.clone().unwrap_or_default()),
        row.stands().replace('-', " "),
        row.minutes(),
        row.journal().to_owned(),
    ]
    .map(|cell| visible_line(&cell).into_owned())
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
    ];
    write!(out, "{}\r\n", heads.join(","))?;
    for row in rows {
        let fields: Vec<String> = csv_fields(row).iter().map(|field| quoted(field)).collect();
        write!(out, "{}\r\n", fields.join(","))?;
    }
    Ok(())
}

fn csv_fields(row: &Row) -> [String; 16] {
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
    ]
}

/// A field by RFC 4180: in quotes where it holds a comma, a quote or a line break.
fn quoted(field: &str) -> String {
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
    }
}
