//! The report as it will be handed over.

use super::Leaf;
use crate::job::{Disk, JournalState, Kept, Reader, Report, markdown, read_journal, replay};
use crate::safety::Words;
use crate::tui::session::Session;
use crate::tui::words::say;

const TITLE: Words = say(
    "THE REPORT   for the shop; `loomwalk report` writes it to a file",
    "EL INFORME   para el taller; `loomwalk report` lo escribe en un archivo",
);

/// The report of the job under way, from what its file holds.
pub(super) fn report(session: &Session) -> Result<Leaf, String> {
    let recorded = session.job().ok_or("there is no job")?;
    let found = read_journal::<Kept>(&Disk, recorded.place()).map_err(|e| e.to_string())?;
    let verdict = found.verdict();
    let replayed = replay(&found.records).map_err(|e| e.to_string())?;
    let name = recorded.place().name();
    let text = markdown(&Report {
        name: &name,
        walk: &replayed.walk,
        version: &replayed.version,
        journal: JournalState::of(&verdict, &replayed),
        reader: Reader::Shop,
    });
    let lines = text.lines().map(str::to_owned).collect();
    Ok(Leaf::of_lines(session.word(TITLE), lines, |line| line.starts_with('#')))
}
