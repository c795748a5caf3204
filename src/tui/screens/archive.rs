//! The archive: the jobs of the folder, summed, with a plot of the findings.

use super::Leaf;
use crate::job::{Archive, ArchiveJob, Disk, JobPlace, archive_lines, survey_briefly};
use crate::safety::Words;
use crate::tui::session::Session;
use crate::tui::words::say;

const TITLE: Words = say(
    "ARCHIVE   `loomwalk job archive` filters it and writes it as a page",
    "ARCHIVO   `loomwalk job archive` lo filtra y lo escribe como página",
);

/// The archive of the folder.
pub(super) fn archive(session: &Session) -> Result<Leaf, String> {
    let fold = |place: &JobPlace, found| ArchiveJob::of(place, &found);
    let found = survey_briefly(&Disk, &session.around.jobs, &|_, _| {}, fold).map_err(|e| e.to_string())?;
    let lines = archive_lines(&Archive::of(&Disk, found), None);
    Ok(Leaf::of_lines(session.word(TITLE), lines, |line| !line.starts_with(' ')))
}
