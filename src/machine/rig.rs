//! A machine set up for a reading: its values with controls set, plugs apart and power chosen.
//!
//! What a setup fixes is put in once here; what a fault or a state changes comes on top.

use super::circuit::Values;
use super::day::Day;
use super::family::Machine;
use super::harness::{Harness, SourceBranch, halves};
use super::logic::Seen;
use super::model::{ControlId, ControllerId, ElementId, InputId, Level, OutputId};
use super::network::{Branch, Place};
use super::parts::Kind;
use super::power::Power;
use super::setup::{Lamp, Setup, Today};
use crate::units::{Amps, Ohms, Volts};
use std::sync::Arc;

/// A bridging lead (our choice, no source).
const LEAD: Ohms = Ohms(0.01);

/// A machine in one setup, on one day.
#[derive(Debug, Clone)]
pub struct Rig<'m> {
    pub(super) machine: &'m Machine,
    pub(super) setup: Setup,
    today: Today,
    pub(super) harness: Arc<Harness>,
    pub(super) values: Values,
    /// A meter in the amps range, or another branch that a reading puts between two points.
    pub(super) inserted: Option<Branch>,
}

/// Only what a setup fixes can be seen: for the logic of switches and sources.
struct Fixed<'s>(&'s Setup);

impl Seen for Fixed<'_> {
    fn level(&self, _: InputId) -> Option<Level> {
        None
    }
    fn volts(&self, _: InputId) -> Option<f64> {
        None
    }
    fn state(&self, control: ControlId) -> usize {
        self.0.state(control)
    }
    fn power(&self) -> Power {
        self.0.power()
    }
    fn pulled_in(&self, _: ElementId) -> bool {
        false
    }
    fn fed(&self, _: ControllerId) -> bool {
        false
    }
    fn on(&self, _: OutputId) -> bool {
        false
    }
}

impl<'m> Rig<'m> {
    /// Sets the machine up; `pair`, if any, gets a branch of its own, absent for now.
    pub(super) fn new(day: &Day<'m>, setup: &Setup, pair: Option<(Place, Place)>) -> Self {
        let (machine, today) = (day.machine(), day.today());
        let parts = machine.parts();
        let mut pairs: Vec<(Place, Place)> =
            setup.bridged.iter().map(|[a, b]| (parts.place(*a), parts.place(*b))).collect();
        pairs.extend(setup.lamp.map(|lamp| (parts.place(lamp.leads[0]), parts.place(lamp.leads[1]))));
        pairs.extend(pair);
        let (harness, extra) = day.harness(pairs);
        let values = harness.base.clone();
        let inserted = pair.and(extra.last().copied());
        let mut rig = Self { machine, setup: setup.clone(), today: *today, harness, values, inserted };
        rig.put(today);
        rig.put_extra(&extra);
        rig
    }

    /// The setup.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    fn put(&mut self, today: &Today) {
        let mut values = std::mem::take(&mut self.values);
        let parts = self.machine.parts();
        if (today.celsius.value() - 20.0).abs() > 1e-9 {
            self.harness.warm(parts, today.celsius, &mut values);
        }
        self.put_supply(&mut values, self.battery_volts(self.machine.parts().supply.charged_by.is_none()));
        for at in 0..parts.elements.len() {
            self.put_element(ElementId::new(at), today, &mut values);
        }
        for wire in &self.setup.cut {
            for branch in &self.harness.elements[wire.at()] {
                values.open(*branch);
            }
        }
        self.values = values;
    }

    /// What the battery holds: today's volts at rest, charging volts while the engine runs and it is
    /// charged. Charging volts are the regulator's, whatever the battery has today.
    pub(super) fn battery_volts(&self, charged: bool) -> Volts {
        let supply = &self.machine.parts().supply;
        let rest = self.today.volts.unwrap_or(supply.volts);
        let charging = self.setup.power == Power::Running && charged;
        let held = supply.charging.filter(|_| charging && supply.charged_by.is_some());
        if let Some(held) = held {
            return held;
        }
        let volts = if charging { supply.charging.unwrap_or(rest) } else { rest };
        Volts(volts.value() * self.today.scale)
    }

    /// Puts the battery at these volts. Isolated without an isolator it is off: taken out, or, if
    /// ideal, at nothing.
    pub(super) fn put_supply(&self, values: &mut Values, volts: Volts) {
        let off = self.setup.power == Power::Isolated && self.machine.parts().supply.isolator.is_none();
        put_source(self.harness.supply, values, (!off).then_some(volts));
    }

    fn put_element(&self, id: ElementId, today: &Today, values: &mut Values) {
        let element = self.machine.parts().element(id);
        let branches = &self.harness.elements[id.at()];
        match &element.kind {
            Kind::Contact { connector, .. } if self.setup.unplugged.contains(connector) => {
                values.open(branches[0]);
            }
            Kind::Switch { closed } if !closed.holds(&Fixed(&self.setup)) => values.open(branches[0]),
            Kind::Potentiometer(wiper) => {
                let stands = wiper.stands.iter().find(|(logic, _)| logic.holds(&Fixed(&self.setup)));
                let (first, second) = halves(element.ohms, stands.map_or(0.5, |(_, share)| *share));
                values.put(branches[0], 1.0 / first.value(), 0.0);
                values.put(branches[1], 1.0 / second.value(), 0.0);
            }
            Kind::Source { volts, when, .. } => {
                let on = when.holds(&Fixed(&self.setup));
                let is_charger = self.machine.parts().supply.charged_by == Some(id);
                let scale = if is_charger { 1.0 } else { today.scale };
                self.put_further(id, values, on.then(|| Volts(volts.value() * scale)));
            }
            _ => {}
        }
    }

    /// Sets a further source; without volts it is open, or, if ideal, at nothing.
    pub(super) fn put_further(&self, id: ElementId, values: &mut Values, volts: Option<Volts>) {
        let ideal = self.harness.ideals.iter().find(|(element, _)| *element == id);
        let branch = ideal.map(|(_, ideal)| SourceBranch::Ideal(*ideal));
        let behind = || self.harness.elements[id.at()].first().map(|b| SourceBranch::Behind(*b));
        if let Some(branch) = branch.or_else(behind) {
            put_source(branch, values, volts);
        }
    }

    /// What a source behind a resistance holds while it gives these amps.
    pub(super) fn source_volts(&self, branch: Branch, amps: Amps) -> Volts {
        let ohms = 1.0 / self.values.siemens(branch);
        Volts((self.values.drive(branch) - amps.value()) * ohms)
    }

    fn put_extra(&mut self, extra: &[Branch]) {
        let bridges = self.setup.bridged.len();
        for branch in &extra[..bridges.min(extra.len())] {
            self.values.put(*branch, 1.0 / LEAD.value(), 0.0);
        }
        if let (Some(lamp), Some(branch)) = (self.setup.lamp, extra.get(bridges)) {
            self.values.put(*branch, lamp.siemens(self.machine.parts().supply.volts), 0.0);
        }
    }
}

impl Lamp {
    /// A lamp's conductance hot, at the nominal volts of its kind: 12 V, or 24 V on a machine of that.
    fn siemens(self, supply: Volts) -> f64 {
        let nominal = if supply.value() > 18.0 { 24.0 } else { 12.0 };
        self.watts.value().max(0.0) / (nominal * nominal)
    }
}

/// Sets a source's volts; without volts it is open, or, if ideal, at nothing.
fn put_source(source: SourceBranch, values: &mut Values, volts: Option<Volts>) {
    match (source, volts) {
        (SourceBranch::Behind(branch), Some(volts)) => {
            let siemens = values.siemens(branch);
            values.put(branch, siemens, siemens * volts.value());
        }
        (SourceBranch::Behind(branch), None) => values.open(branch),
        (SourceBranch::Ideal(ideal), volts) => values.set_ideal(ideal, volts.unwrap_or(Volts(0.0))),
    }
}
