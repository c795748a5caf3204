//! The archive: the jobs of the folder, summed, with a plot of the findings.

use super::{Effect, Shown, scrolled};
use crate::job::{Archive, ArchiveJob, Disk, JobPlace, archive_lines, survey_briefly};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;

/// Its lines.
pub(in crate::tui) struct ArchiveScreen {
    scroll: usize,
    lines: Vec<String>,
}

impl ArchiveScreen {
    /// The archive of the folder.
    pub(in crate::tui) fn of(session: &Session) -> Result<Self, String> {
        let fold = |place: &JobPlace, found| ArchiveJob::of(place, &found);
        let found =
            survey_briefly(&Disk, &session.around.jobs, &|_, _| {}, fold).map_err(|e| e.to_string())?;
        Ok(Self { scroll: 0, lines: archive_lines(&Archive::of(&Disk, found), None) })
    }
}

impl Shown for ArchiveScreen {
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
        framed.head.text(
            Role::Strong,
            1,
            "ARCHIVE   `loomwalk job archive` filters it and writes it as a page",
        );
        for line in &self.lines {
            let role = if line.starts_with(' ') { Role::Plain } else { Role::Strong };
            framed.body.text(role, 1, line);
        }
        framed
    }
}
