//! A machine on one day: today's battery and temperature, every function tried.

use super::case::{Case, Seen};
use super::family::Machine;
use super::fault::Knot;
use super::harness::Harness;
use super::model::{FaultId, Parts};
use super::network::{Branch, Place};
use super::rig::Rig;
use super::settle::Opened;
use super::setup::{Setup, Today};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The rigs in which functions are tried, each once.
#[derive(Debug)]
pub(super) struct Trials<'m> {
    pub(super) rigs: Vec<Rig<'m>>,
    /// Per function: the number of the rig for its own state, and those for what must hold it.
    pub(super) functions: Vec<(usize, Vec<usize>)>,
}

/// A harness with further branches, and these branches.
type Extended = (Arc<Harness>, Vec<Branch>);

/// A machine with today's battery and temperature.
#[derive(Debug)]
pub struct Day<'m> {
    machine: &'m Machine,
    today: Today,
    trials: OnceLock<Trials<'m>>,
    healthy: OnceLock<(Opened, Vec<Seen>)>,
    extended: Mutex<HashMap<Vec<(Place, Place)>, Extended>>,
}

impl<'m> Day<'m> {
    pub(super) fn new(machine: &'m Machine, today: Today) -> Self {
        Self { machine, today, trials: OnceLock::new(), healthy: OnceLock::new(), extended: Mutex::default() }
    }

    /// The machine.
    #[must_use]
    pub fn machine(&self) -> &'m Machine {
        self.machine
    }

    /// What was measured today.
    #[must_use]
    pub fn today(&self) -> &Today {
        &self.today
    }

    /// Sets the machine up. Worth keeping while many faults are tried in one setup.
    #[must_use]
    pub fn rig(&self, setup: &Setup) -> Rig<'m> {
        Rig::new(self, setup, None)
    }

    pub(super) fn rig_with(&self, setup: &Setup, pair: (Place, Place)) -> Rig<'m> {
        Rig::new(self, setup, Some(pair))
    }

    /// The machine with nothing wrong.
    #[must_use]
    pub fn healthy(&self) -> Case<'_, 'm> {
        Case::new(self, &[])
    }

    /// The healthy machine before any function was tried.
    pub(super) fn bare(&self) -> Case<'_, 'm> {
        Case::bare(self)
    }

    /// The machine with these faults in it, all at once.
    #[must_use]
    pub fn case(&self, knots: &[Knot]) -> Case<'_, 'm> {
        Case::new(self, knots)
    }

    /// The knots of a fault: one for each of its severities.
    pub fn knots(&self, fault: FaultId) -> impl Iterator<Item = Knot> + use<'m> {
        let machine = self.machine;
        machine.fault(fault).spread.iter().map(move |severity| Knot { fault, severity: *severity })
    }

    /// What the healthy machine does when everything is tried; worked out once.
    pub(super) fn healthy_tried(&self) -> &(Opened, Vec<Seen>) {
        self.healthy.get_or_init(|| Case::healthy_tried(self))
    }

    /// The machine's harness, or one with branches, absent for now, between these places; each once.
    pub(super) fn harness(&self, pairs: Vec<(Place, Place)>) -> Extended {
        if pairs.is_empty() {
            return (Arc::clone(self.machine.harness()), Vec::new());
        }
        let mut known = self.extended.lock().unwrap_or_else(PoisonError::into_inner);
        let frame = self.machine.parts().place(Parts::FRAME);
        let extended = known.entry(pairs).or_insert_with_key(|pairs| {
            let (more, extra) = self.machine.harness().with_extra(pairs, frame);
            (Arc::new(more), extra)
        });
        extended.clone()
    }

    /// The states tried: each function's own, then what must hold it, in file order.
    pub(super) fn trials(&self) -> &Trials<'m> {
        self.trials.get_or_init(|| {
            let mut rigs: Vec<Rig<'m>> = Vec::new();
            let mut rig = |setup: &Setup| {
                rigs.iter().position(|rig| rig.setup() == setup).unwrap_or_else(|| {
                    rigs.push(self.rig(setup));
                    rigs.len() - 1
                })
            };
            let functions = self.machine.function_ids().map(|id| {
                let (with, held) = self.machine.function_setups(id);
                (rig(&with), held.iter().map(&mut rig).collect())
            });
            let functions = functions.collect();
            Trials { rigs, functions }
        })
    }
}
