//! Asking the worker for suspects and a suggestion whenever the walk has come on, and keeping the answer.

use crate::reason::{Suggester, Whereabouts};
use crate::walk::Walk;

/// The worker, and what it said of the walk as it stands.
#[derive(Debug, Default)]
pub(super) struct Suspects {
    worker: Option<Suggester>,
    /// The number of events that were asked about.
    asked: Option<usize>,
    waits: bool,
    found: Option<Whereabouts>,
}

impl Suspects {
    /// Asks about a walk if it has come on since the last time; what was known no longer counts then.
    pub(super) fn ask(&mut self, walk: &Walk) {
        if self.asked == Some(walk.events()) {
            return;
        }
        self.asked = Some(walk.events());
        self.found = None;
        self.waits = true;
        self.worker.get_or_insert_with(Suggester::new).ask(walk.observed());
    }

    /// Nothing is asked and nothing is known.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Whether an answer is still to come.
    pub(super) const fn waits(&self) -> bool {
        self.waits
    }

    /// Takes the answer in if it is there; true if something came.
    pub(super) fn hear(&mut self) -> bool {
        let Some(worker) = self.worker.as_mut().filter(|_| self.waits) else { return false };
        let Some(found) = worker.answer() else { return false };
        self.waits = false;
        self.found = found;
        true
    }

    /// Waits for the answer.
    pub(super) fn settle(&mut self) {
        if let Some(worker) = self.worker.as_mut().filter(|_| self.waits) {
            self.found = worker.wait();
            self.waits = false;
        }
    }

    /// What is known of this walk as it stands; nothing while it was not asked about yet.
    pub(super) fn found(&self, walk: &Walk) -> Option<&Whereabouts> {
        self.found.as_ref().filter(|_| self.asked == Some(walk.events()))
    }
}
