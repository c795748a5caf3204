//! What `job archive` says: the sums of a folder of jobs, as text, as a page, or as JSON.
//!
//! The JSON, format 1: `{"format":1,"jobs","minutes":{"jobs","middle","least","most"}?,"findings":[{"machine","tree",
//! "fault","jobs"}],"proofs_failed","jobs_with_failed_proof","jobs_with_finding","gates_cannot":[{"gate","count"}],
//! "again":[{"serial","first","second","days"}],"open":[…],"waiting":[…],"copies":[{"files":[…],"parted":bool}],"suspects":{"right","of"}?}`.

use std::io::Write;

use clap::ValueEnum;
use serde_json::json;

use super::list::{Filter, archive};
use crate::cli::job_place::JobsFolder;
use crate::cli::{Ending, Failure, Outcome};
use crate::diag::{Lang, visible_line};
use crate::job::{Archive, Disk, JobName, JobPlace, Standing, archive_html, archive_lines, leader_was_found};

/// In which form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people
    Text,
    /// One page with a plot
    Html,
    /// For programs
    Json,
}

/// Sums the folder.
pub(super) fn run(
    jobs: &JobsFolder,
    filter: &Filter,
    (format, suspects, lang): (Format, Option<usize>, &Lang),
    out: &mut dyn Write,
) -> Outcome {
    let sums = archive(jobs, filter)?;
    let suspects = suspects.map(|most| right(jobs, &sums, most)).transpose()?;
    match format {
        Format::Text => {
            for line in archive_lines(&sums, suspects, lang) {
                writeln!(out, "{}", visible_line(&line))?;
            }
        }
        Format::Html => write!(out, "{}", archive_html(&sums, suspects, lang))?,
        Format::Json => crate::cli::answer::json_line(&as_json(&sums, suspects), out)?,
    }
    Ok(Ending::Fine)
}

/// In how many of the last jobs with a proved finding the likeliest suspect was the one found.
fn right(jobs: &JobsFolder, sums: &Archive, most: usize) -> Result<(usize, usize), Failure> {
    let folder = jobs.path()?;
    let mut last: Vec<_> = sums
        .jobs
        .iter()
        .filter(|job| !job.found.is_empty() && job.summary.standing.word() == "repaired")
        .filter_map(|job| Some((job.begun()?.started.wall_ms, job.summary.name.as_str())))
        .collect();
    last.sort_unstable_by(|a, b| b.cmp(a));
    let (mut right, mut of) = (0, 0);
    for (_, name) in last.into_iter().take(most) {
        let Ok(name) = name.parse::<JobName>() else { continue };
        if let Some(was_right) = leader_was_found(&Disk, &JobPlace::named(&folder, &name)) {
            of += 1;
            right += usize::from(was_right);
        }
    }
    Ok((right, of))
}

fn as_json(sums: &Archive, suspects: Option<(usize, usize)>) -> serde_json::Value {
    let findings: Vec<_> = sums
        .findings()
        .into_iter()
        .map(|((machine, tree, fault), jobs)| json!({"machine": machine, "tree": tree, "fault": fault, "jobs": jobs}))
        .collect();
    let again: Vec<_> = sums
        .repeats()
        .into_iter()
        .map(|r| json!({"serial": r.serial, "first": r.jobs[0], "second": r.jobs[1], "days": r.days}))
        .collect();
    let gates: Vec<_> =
        sums.gates_cannot().into_iter().map(|(gate, count)| json!({"gate": gate, "count": count})).collect();
    let tenth = |minutes: f64| (minutes * 10.0).round() / 10.0;
    let minutes = sums.minutes().map(|(count, middle, least, most)| {
        json!({"jobs": count, "middle": tenth(middle), "least": tenth(least), "most": tenth(most)})
    });
    let copies: Vec<_> = sums
        .copies
        .iter()
        .map(|one| json!({"files": one.names().collect::<Vec<_>>(), "parted": one.has_parted()}))
        .collect();
    let (failed, in_jobs, found) = sums.proofs();
    json!({
        "format": 1,
        "jobs": sums.jobs.len(),
        "minutes": minutes,
        "findings": findings,
        "proofs_failed": failed,
        "jobs_with_failed_proof": in_jobs,
        "jobs_with_finding": found,
        "gates_cannot": gates,
        "again": again,
        "open": sums.standing(Standing::Open),
        "waiting": sums.standing(Standing::Waiting),
        "copies": copies,
        "suspects": suspects.map(|(right, of)| json!({"right": right, "of": of})),
    })
}
