//! The fault dictionary: every fault at every severity, ready to be read at any point in any setup.
//!
//! One elimination order serves them all, so that everything that asks "what would it read if …" can
//! ask freely. Each entry has already been tried by the operator: what opened is open.

use super::case::Case;
use super::day::Day;
use super::fault::{FaultKind, Knot};
use super::model::{FaultId, FunctionId};
use super::rig::Rig;
use super::settled::{Probes, Shown};
use crate::units::{Amps, Ohms, Volts};

/// How many faults are tried at once: as many cores as a van laptop has.
const WORKERS: usize = 4;

/// How a function behaves, as a symptom tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Behaviour {
    /// It works where it should.
    Works,
    /// It does not; chattering is failing.
    Fails,
    /// It works in a state in which it should be held.
    Unheld,
}

/// A symptom: functions and how each behaves.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Symptom(pub Vec<(FunctionId, Behaviour)>);

/// What a meter measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Volts.
    Volts,
    /// Ohms, every source dead.
    Ohms,
    /// Amps.
    Amps,
}

/// What a meter shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Display {
    /// Volts, the same at least and at most unless something chatters.
    Volts(Shown<Volts>),
    /// Ohms.
    Ohms(Ohms),
    /// `OL`: more ohms than the meter shows.
    OverRange,
    /// Amps.
    Amps(Shown<Amps>),
}

/// A fault at one severity, tried.
#[derive(Debug, Clone)]
pub struct Entry<'d, 'm> {
    /// The fault and its severity.
    pub knot: Knot,
    /// Its part of the fault's share: the share is split evenly over the severities.
    pub share: f64,
    /// The machine with it.
    pub case: Case<'d, 'm>,
    /// For what shows only while moved, hot or wet: the machine while it shows.
    pub moved: Option<Case<'d, 'm>>,
}

/// Every fault at every severity.
#[derive(Debug, Clone)]
pub struct Dictionary<'d, 'm> {
    healthy: Case<'d, 'm>,
    entries: Vec<Entry<'d, 'm>>,
}

impl<'m> Day<'m> {
    /// Tries every fault at every severity.
    #[must_use]
    pub fn dictionary(&self) -> Dictionary<'_, 'm> {
        self.dictionary_of(self.machine().fault_ids())
    }

    /// Tries these faults at every severity, several at once; the order is that of the faults.
    ///
    /// # Panics
    /// Never of itself: it passes on what a worker panicked with.
    #[must_use]
    pub fn dictionary_of(&self, faults: impl IntoIterator<Item = FaultId>) -> Dictionary<'_, 'm> {
        let knots: Vec<Knot> = faults.into_iter().flat_map(|fault| self.knots(fault)).collect();
        let healthy = self.healthy();
        let part = knots.len().div_ceil(WORKERS).max(1);
        let entries = std::thread::scope(|scope| {
            let work = |part: &[Knot]| part.iter().map(|knot| self.entry(*knot)).collect::<Vec<_>>();
            let workers: Vec<_> = knots.chunks(part).map(|part| scope.spawn(move || work(part))).collect();
            let done = workers
                .into_iter()
                .map(|worker| worker.join().unwrap_or_else(|cause| std::panic::resume_unwind(cause)));
            done.flatten().collect()
        });
        Dictionary { healthy, entries: self.with_moved(entries) }
    }

    fn entry(&self, knot: Knot) -> Entry<'_, 'm> {
        let fault = self.machine().fault(knot.fault);
        let severities = u32::try_from(fault.spread.len().max(1)).unwrap_or(u32::MAX);
        Entry { knot, share: fault.share / f64::from(severities), case: self.case(&[knot]), moved: None }
    }

    /// What comes and goes is, while moved, like the steady fault at its nominal severity.
    fn with_moved<'d>(&'d self, mut entries: Vec<Entry<'d, 'm>>) -> Vec<Entry<'d, 'm>> {
        let machine = self.machine();
        let mut moved = Vec::new();
        for (at, entry) in entries.iter().enumerate() {
            let FaultKind::Intermittent(steady) = machine.fault(entry.knot.fault).kind else { continue };
            let knot = machine.knot(steady, None);
            let known = entries.iter().find(|entry| entry.knot == knot);
            moved.push((at, known.map_or_else(|| self.case(&[knot]), |known| known.case.clone())));
        }
        for (at, case) in moved {
            entries[at].moved = Some(case);
        }
        entries
    }
}

impl<'d, 'm> Dictionary<'d, 'm> {
    /// The machine with nothing wrong.
    #[must_use]
    pub fn healthy(&self) -> &Case<'d, 'm> {
        &self.healthy
    }

    /// Every entry, in the order of the faults and their severities.
    #[must_use]
    pub fn entries(&self) -> &[Entry<'d, 'm>] {
        &self.entries
    }

    /// The entries of one fault.
    pub fn of(&self, fault: FaultId) -> impl Iterator<Item = &Entry<'d, 'm>> {
        self.entries.iter().filter(move |entry| entry.knot.fault == fault)
    }

    /// The entries that show a symptom. What shows only while moved counts as it is while it shows.
    pub fn showing<'s>(&'s self, symptom: &'s Symptom) -> impl Iterator<Item = &'s Entry<'d, 'm>> {
        self.entries.iter().filter(move |entry| entry.shows(symptom))
    }

    /// The faults of which at least one severity shows a symptom, each once, in file order.
    #[must_use]
    pub fn suspects(&self, symptom: &Symptom) -> Vec<FaultId> {
        let mut faults: Vec<FaultId> = self.showing(symptom).map(|entry| entry.knot.fault).collect();
        faults.dedup();
        faults
    }
}

impl Entry<'_, '_> {
    /// True if the machine with this fault shows the symptom.
    #[must_use]
    pub fn shows(&self, symptom: &Symptom) -> bool {
        self.moved.as_ref().unwrap_or(&self.case).shows(symptom)
    }
}

impl<'m> Case<'_, 'm> {
    /// True if a function behaves like this.
    #[must_use]
    pub fn behaves(&self, function: FunctionId, behaviour: Behaviour) -> bool {
        let seen = self.function(function);
        match behaviour {
            Behaviour::Works => seen.works,
            Behaviour::Fails => !seen.works,
            Behaviour::Unheld => seen.unheld.contains(&true),
        }
    }

    /// True if every function of a symptom behaves as it says.
    #[must_use]
    pub fn shows(&self, symptom: &Symptom) -> bool {
        symptom.0.iter().all(|(function, behaviour)| self.behaves(*function, *behaviour))
    }

    /// What a meter shows in a setup.
    #[must_use]
    pub fn display(&self, rig: &Rig<'m>, quantity: Quantity, probes: Probes) -> Display {
        match quantity {
            Quantity::Volts => Display::Volts(self.settle(rig).volts(probes)),
            Quantity::Ohms => self.ohms(rig, probes).map_or(Display::OverRange, Display::Ohms),
            Quantity::Amps => Display::Amps(self.amps(rig.setup(), probes)),
        }
    }
}
