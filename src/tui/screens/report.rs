//! The report as it will be handed over.

use super::{Effect, Shown, scrolled};
use crate::job::{Disk, JournalState, Kept, Reader, Report, markdown, read_journal, replay};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;

/// Its text.
#[derive(Debug)]
pub(in crate::tui) struct ReportScreen {
    scroll: usize,
    text: String,
}

impl ReportScreen {
    /// The report of the job under way, from what its file holds.
    pub(in crate::tui) fn of(session: &Session) -> Result<Self, String> {
        let recorded = session.job().ok_or("there is no job")?;
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
}

impl Shown for ReportScreen {
    fn place(&self, _: &Session) -> Place {
        Place::Leaf
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        scrolled(&mut self.scroll, message)
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Leaf, "");
        framed.scroll = self.scroll;
        let title = say(
            "THE REPORT   for the shop; `loomwalk report` writes it to a file",
            "EL INFORME   para el taller; `loomwalk report` lo escribe en un archivo",
        );
        framed.head.text(Role::Strong, 1, session.word(title));
        for line in self.text.lines() {
            let role = if line.starts_with('#') { Role::Strong } else { Role::Plain };
            framed.body.text(role, 1, line);
        }
        framed
    }
}
