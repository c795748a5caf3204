//! What a fault looks like: the volts at every point a probe reaches, in every setup that helps, and
//! the ohms at rest. Two faults with one signature cannot be told apart with a meter.

use super::case::Case;
use super::day::Day;
use super::family::Machine;
use super::model::{ConnectorId, Owner, Parts};
use super::network::Place;
use super::power::Power;
use super::rig::Rig;
use super::settled::OVER_RANGE;
use crate::units::{Ohms, Volts};

/// Two readings in volts are one within this, or within [`CLOSE`] of their size.
const CLOSE_VOLTS: f64 = 0.02;
/// Two readings are one within this share of their size.
const CLOSE: f64 = 0.03;
/// Two readings in ohms are one within this, or within [`CLOSE`] of their size.
const CLOSE_OHMS: f64 = 0.5;

/// The setups that a signature is taken in.
pub(super) struct Sights<'m> {
    machine: &'m Machine,
    rest: Vec<Rig<'m>>,
    work: Vec<Rig<'m>>,
    isolated: Rig<'m>,
    /// One place for every node that a probe reaches.
    places: Vec<Place>,
}

/// What is read in all of them.
#[derive(Debug, Clone)]
pub(super) struct Signature {
    rest: Vec<f64>,
    work: Vec<f64>,
    /// Infinite where it is over range.
    ohms: Vec<f64>,
}

impl<'m> Sights<'m> {
    pub(super) fn new(day: &Day<'m>) -> Self {
        let machine = day.machine();
        let mut rest: Vec<Rig<'m>> =
            [Power::Off, Power::Live].map(|power| day.rig(&machine.resting(power))).into();
        let work: Vec<Rig<'m>> = day.trials().rigs.clone();
        for at in 0..machine.parts().connectors.len() {
            let mut setup = machine.resting(Power::Live);
            setup.unplugged.push(ConnectorId::new(at));
            rest.push(day.rig(&setup));
        }
        let isolated = day.rig(&machine.resting(Power::Isolated));
        Self { machine, rest, work, isolated, places: places(machine) }
    }

    /// The signature of a machine with these faults.
    pub(super) fn of(&self, case: &Case<'_, 'm>) -> Signature {
        let volts = |rigs: &[Rig<'m>]| rigs.iter().flat_map(|rig| self.volts(case, rig)).collect();
        let dead = case.dead(&self.isolated);
        let circuit = &self.isolated.harness.circuit;
        let resistances = circuit.resistances(&dead.solution);
        let ohms = |place: &Place| {
            let ohms = circuit.ohms(&dead.solution, &resistances, *place).map_or(f64::INFINITY, Ohms::value);
            if ohms > OVER_RANGE.value() { f64::INFINITY } else { ohms }
        };
        Signature {
            rest: volts(&self.rest),
            work: volts(&self.work),
            ohms: self.places.iter().map(ohms).collect(),
        }
    }

    fn volts(&self, case: &Case<'_, 'm>, rig: &Rig<'m>) -> Vec<f64> {
        let settled = case.settle(rig);
        let mut all = Vec::with_capacity(self.places.len());
        for place in &self.places {
            let volts = settled.open_volts(*place);
            all.push(volts.0.value());
            if settled.chatters() {
                all.push(volts.1.value());
            }
        }
        debug_assert!(std::ptr::eq(self.machine, rig.machine));
        all
    }
}

/// One place a node, of the points that a probe reaches: a rub is inside its loom.
fn places(machine: &Machine) -> Vec<Place> {
    let parts: &Parts = machine.parts();
    let mut places: Vec<Place> = Vec::new();
    for point in &parts.points {
        let known = places.iter().any(|p| machine.harness().circuit.one_node(*p, point.place));
        if !known && !matches!(point.owner, Owner::Rub(..)) {
            places.push(point.place);
        }
    }
    places
}

impl Signature {
    pub(super) fn same_at_rest(&self, other: &Self) -> bool {
        close(&self.rest, &other.rest, CLOSE_VOLTS) && close(&self.ohms, &other.ohms, CLOSE_OHMS)
    }

    pub(super) fn same_at_work(&self, other: &Self) -> bool {
        close(&self.work, &other.work, CLOSE_VOLTS)
    }

    pub(super) fn same(&self, other: &Self) -> bool {
        self.same_at_work(other) && self.same_at_rest(other)
    }
}

fn close(a: &[f64], b: &[f64], least: f64) -> bool {
    let near = |(a, b): (&f64, &f64)| {
        a.total_cmp(b).is_eq() || (a - b).abs() <= least.max(CLOSE * a.abs().min(b.abs()))
    };
    a.len() == b.len() && a.iter().zip(b).all(near)
}

impl super::settled::Settled<'_, '_> {
    /// The open-circuit volts of a place to the frame, least and most; what floats reads zero.
    fn open_volts(&self, place: Place) -> (Volts, Volts) {
        let (_, frames) = self.inside();
        let volts = frames.iter().map(|f| f.solution.volts(place).map_or(0.0, Volts::value));
        let (least, most) = volts.fold((f64::MAX, f64::MIN), |(least, most), v| (least.min(v), most.max(v)));
        (Volts(least), Volts(most))
    }
}
