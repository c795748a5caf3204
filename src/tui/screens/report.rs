//! The report as it will be handed over.

use crate::job::{Disk, JournalState, Kept, Reader, Report, markdown, read_journal, replay};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::session::Session;
use crate::tui::theme::Role;

/// Its text.
#[derive(Debug)]
pub(in crate::tui) struct ReportScreen {
    pub(in crate::tui) scroll: usize,
    text: String,
}

impl ReportScreen {
    /// The report of the job under way, from what its file holds.
    pub(in crate::tui) fn of(session: &Session) -> Result<Self, String> {
        let recorded = session.recorded.as_ref().ok_or("there is no job")?;
        let found = read_journal::<Kept>(&Disk, recorded.place()).map_err(|e| e.to_string())?;
        let verdict = found.verdict();
        let replayed = replay(&found.records).map_err(|e| e.to_string())?;
        let name = recorded.place().name();
        let report = Report {
            name: &name,
            walk: &replayed.walk,
            version: &replayed.version,
            journal: JournalState::of(&verdict, &replayed),
            reader: Reader::Shop,
        };
        Ok(Self { scroll: 0, text: markdown(&report) })
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(width, session.around.letters, Place::Report, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, "THE REPORT   for the shop; `loomwalk report` writes it to a file");
        for line in self.text.lines() {
            let role = if line.starts_with('#') { Role::Strong } else { Role::Plain };
            framed.body.text(role, 1, line);
        }
        framed
    }
}
