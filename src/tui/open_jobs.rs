//! The jobs of the folder that are still open, looked for beside the screen: a folder of ten thousand takes seconds, and
//! no frame waits for that.

use std::path::Path;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::Duration;

use crate::job::{Disk, JobPlace, Standing, Summary, survey_briefly};

/// The first frame waits no longer than this for them; most folders are read in less.
const PATIENCE: Duration = Duration::from_millis(15);

/// What was found, and what is still being looked for.
#[derive(Debug, Default)]
pub(super) struct OpenJobs {
    /// The one gone on with last comes first.
    found: Vec<Summary>,
    looking: Option<Receiver<Vec<Summary>>>,
    /// It took longer than the first frame could wait: the place of the last job is kept free, so that no line moves
    /// under a finger.
    late: bool,
}

impl OpenJobs {
    /// Looks again; what was known no longer counts.
    pub(super) fn look(&mut self, folder: &Path) {
        if !folder.is_dir() {
            *self = Self::default();
            return;
        }
        let (send, looking) = channel();
        let folder = folder.to_owned();
        std::thread::spawn(move || send.send(open_in(&folder)));
        let soon = looking.recv_timeout(PATIENCE).ok();
        self.late = soon.is_none();
        self.looking = self.late.then_some(looking);
        self.found = soon.unwrap_or_default();
    }

    /// What was found.
    pub(super) fn found(&self) -> &[Summary] {
        &self.found
    }

    /// Whether it is still looking.
    pub(super) const fn looks(&self) -> bool {
        self.looking.is_some()
    }

    /// Whether the place of the last job is kept free.
    pub(super) const fn is_late(&self) -> bool {
        self.late
    }

    /// Takes in what was found; true if something came.
    pub(super) fn hear(&mut self) -> bool {
        match self.looking.as_ref().map(Receiver::try_recv) {
            None | Some(Err(TryRecvError::Empty)) => false,
            Some(found) => {
                self.came(found.ok());
                true
            }
        }
    }

    /// Waits for what is found.
    pub(super) fn settle(&mut self) {
        if let Some(looking) = &self.looking {
            let found = looking.recv().ok();
            self.came(found);
        }
    }

    fn came(&mut self, found: Option<Vec<Summary>>) {
        self.looking = None;
        self.found = found.unwrap_or_default();
    }
}

fn open_in(folder: &Path) -> Vec<Summary> {
    let fold = |place: &JobPlace, found| Summary::of(place.name(), &found);
    let found = survey_briefly(&Disk, folder, &|_, _| {}, fold).unwrap_or_default();
    let mut jobs: Vec<Summary> = found.into_iter().filter_map(|one| one.outcome.ok()).collect();
    jobs.retain(|job| !matches!(job.standing, Standing::Ended(_)) && job.begun.is_some());
    jobs.sort_by_key(|job| std::cmp::Reverse(job.begun.as_ref().map(|b| b.last.wall_ms)));
    jobs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_late_is_taken_in_and_its_place_stays_free() {
        let (send, looking) = channel();
        let mut jobs = OpenJobs { looking: Some(looking), late: true, ..OpenJobs::default() };
        assert!(!jobs.hear() && jobs.looks());
        send.send(Vec::new()).expect("somebody listens");
        assert!(jobs.hear() && !jobs.looks() && jobs.is_late());
        assert!(!jobs.hear());
    }

    #[test]
    fn a_folder_that_is_not_there_holds_none() {
        let mut jobs = OpenJobs::default();
        jobs.look(Path::new("no/such/folder"));
        jobs.settle();
        assert!(jobs.found().is_empty() && !jobs.looks());
    }
}
