//! A machine on one day: today's battery and temperature, every function tried.

use super::case::Case;
use super::family::Machine;
use super::fault::Knot;
use super::model::{FaultId, FunctionId};
use super::network::Place;
use super::rig::Rig;
use super::setup::{Setup, Today};
use std::sync::OnceLock;

/// The rigs in which a function is tried.
#[derive(Debug, Clone)]
pub(super) struct Tried<'m> {
    pub(super) with: Rig<'m>,
    pub(super) held: Vec<Rig<'m>>,
}

/// A machine with today's battery and temperature.
#[derive(Debug)]
pub struct Day<'m> {
    machine: &'m Machine,
    today: Today,
    tried: OnceLock<Vec<Tried<'m>>>,
}

impl<'m> Day<'m> {
    pub(super) fn new(machine: &'m Machine, today: Today) -> Self {
        Self { machine, today, tried: OnceLock::new() }
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
        Rig::new(self.machine, setup, &self.today, None)
    }

    pub(super) fn rig_with(&self, setup: &Setup, pair: (Place, Place)) -> Rig<'m> {
        Rig::new(self.machine, setup, &self.today, Some(pair))
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

    /// The states tried: each function's own, then what must hold it, in file order.
    pub(super) fn tried(&self) -> &[Tried<'m>] {
        self.tried.get_or_init(|| {
            let functions = 0..self.machine.parts().functions.len();
            functions
                .map(|at| {
                    let (with, held) = self.machine.function_setups(FunctionId::new(at));
                    let held = held.iter().map(|setup| self.rig(setup)).collect();
                    Tried { with: self.rig(&with), held }
                })
                .collect()
        })
    }
}
