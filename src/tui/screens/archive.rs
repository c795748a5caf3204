//! The archive: the jobs of the folder, summed, with a plot of the findings. It opens at once and is read beside the
//! screen: ten thousand jobs take seconds.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::Duration;

use super::{Effect, Shown, scrolled};
use crate::diag::visible_line;
use crate::job::{Archive, ArchiveJob, Disk, JobPlace, archive_lines, survey_briefly};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;

const TITLE: Words = say(
    "ARCHIVE   `loomwalk job archive` filters it and writes it as a page",
    "ARCHIVO   `loomwalk job archive` lo filtra y lo escribe como página",
);
const READING: Words = say("Jobs read", "Trabajos leídos");
const OF: Words = say("of", "de");
const NO_JOBS: Words = say("There are no jobs in this folder:", "No hay trabajos en esta carpeta:");
const OTHER_FOLDER: Words = say(
    "A walk makes one. `loomwalk job archive --jobs FOLDER` reads another folder.",
    "Un recorrido crea uno. `loomwalk job archive --jobs CARPETA` lee otra carpeta.",
);
const BROKE_OFF: Words = say("The folder of jobs cannot be read", "No se puede leer la carpeta de trabajos");

/// The first frame waits no longer than this; most folders are read in less.
const PATIENCE: Duration = Duration::from_millis(15);

type Found = Result<Archive, String>;

/// What was found, or how far the reading has come.
pub(in crate::tui) struct ArchiveScreen {
    scroll: usize,
    coming: Option<Receiver<Found>>,
    found: Found,
    count: Arc<Count>,
    /// How many were read when it was last asked.
    told: usize,
}

/// How many jobs are read, and of how many.
#[derive(Debug, Default)]
struct Count {
    read: AtomicUsize,
    all: AtomicUsize,
}

impl ArchiveScreen {
    /// Begins to read the folder.
    pub(super) fn of(session: &Session) -> Self {
        let (send, coming) = channel();
        let count = Arc::new(Count::default());
        let (folder, counted) = (session.around.jobs.clone(), Arc::clone(&count));
        std::thread::spawn(move || send.send(read(&folder, &counted)));
        let soon = coming.recv_timeout(PATIENCE).ok();
        let coming = if soon.is_none() { Some(coming) } else { None };
        Self { scroll: 0, coming, found: soon.unwrap_or_else(|| Ok(Archive::default())), count, told: 0 }
    }
}

fn read(folder: &Path, count: &Count) -> Found {
    let progress = |read, all| {
        count.all.store(all, Ordering::Relaxed);
        count.read.fetch_max(read, Ordering::Relaxed);
    };
    let fold = |place: &JobPlace, found| ArchiveJob::of(place, &found);
    let found = survey_briefly(&Disk, folder, &progress, fold).map_err(|error| error.to_string())?;
    Ok(Archive::of(&Disk, found))
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

    fn thinks(&self) -> bool {
        self.coming.is_some()
    }

    fn hear_thoughts(&mut self) -> bool {
        let Some(coming) = &self.coming else { return false };
        match coming.try_recv() {
            Ok(found) => self.found = found,
            Err(TryRecvError::Disconnected) => self.found = Err(String::new()),
            Err(TryRecvError::Empty) => {
                let read = self.count.read.load(Ordering::Relaxed);
                return std::mem::replace(&mut self.told, read) != read;
            }
        }
        self.coming = None;
        true
    }

    fn think_through(&mut self) {
        if let Some(coming) = self.coming.take() {
            self.found = coming.recv().unwrap_or_else(|_| Err(String::new()));
        }
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Leaf, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, session.word(TITLE));
        match &self.found {
            _ if self.coming.is_some() => {
                let all = self.count.all.load(Ordering::Relaxed);
                let (reading, of) = (session.word(READING), session.word(OF));
                framed.body.text(Role::Plain, 1, &format!("{reading}: {} {of} {all}", self.told));
            }
            Ok(archive) if *archive == Archive::default() => {
                let folder = session.around.jobs.display().to_string();
                framed.body.text(Role::Strong, 1, session.word(NO_JOBS));
                framed.body.text(Role::Plain, 3, &visible_line(&folder));
                framed.body.text(Role::Plain, 1, session.word(OTHER_FOLDER));
            }
            Ok(archive) => {
                for line in archive_lines(archive, None, &session.lang()) {
                    let role = if line.starts_with(' ') { Role::Plain } else { Role::Strong };
                    framed.body.text(role, 1, &line);
                }
            }
            Err(why) => framed.body.text(Role::Strong, 1, &format!("{}. {why}", session.word(BROKE_OFF))),
        }
        framed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_far_it_has_come_is_told_until_it_is_there() {
        let (send, coming) = channel();
        let count = Arc::new(Count::default());
        let mut screen = ArchiveScreen {
            scroll: 0,
            coming: Some(coming),
            found: Ok(Archive::default()),
            count: Arc::clone(&count),
            told: 0,
        };
        assert!(screen.thinks() && !screen.hear_thoughts());
        count.read.store(7, Ordering::Relaxed);
        assert!(screen.hear_thoughts() && !screen.hear_thoughts(), "once for each number");
        send.send(Ok(Archive::default())).expect("somebody listens");
        assert!(screen.hear_thoughts() && !screen.thinks());
    }

    #[test]
    fn a_folder_is_counted_as_it_is_read() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["0318", "0319"] {
            std::fs::write(folder.path().join(format!("{name}.job.jsonl")), "nothing").expect("written");
        }
        let count = Count::default();
        assert!(read(folder.path(), &count).is_ok());
        assert_eq!((count.read.into_inner(), count.all.into_inner()), (2, 2));
    }
}
