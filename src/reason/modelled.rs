//! The machine with each of the suspects in it: what they would show at a reading, as chances of its cells.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::cells::{Cell, CellChances, Cells, Predicted};
use super::chance::Probability;
use super::constants::{CONTRADICTS, GOOD, JUMPS_WHILE_MOVED};
use super::evidence::{Harness, Listed, intermittent_chance};
use super::outlook::Outlook;
use super::scale::Scale;
use super::sighting::Sighting;
use super::situation::Situation;
use crate::machine::{Case, FaultId};
use crate::tree::{Kind, Step, StepIx};
use crate::units::{Amps, Measure, Reading, Volts};

/// The most amps that a meter shows. Common practice, no source.
const MOST_AMPS: Amps = Amps(20.0);

/// What is shown at a step in a situation, worked out once.
type Points = HashMap<(StepIx, Situation), Option<Rc<AtPoint>>>;

/// The machine with each of the suspects in it.
pub(super) struct Modelled<'a, 'm> {
    pub(super) outlook: Outlook<'a, 'm>,
    pub(super) healthy: Case<'a, 'm>,
    pub(super) faults: Vec<FaultId>,
    /// By fault, at each of its severities that shows the symptom; of a fault that comes and goes its
    /// steady form.
    pub(super) cases: Vec<Vec<Case<'a, 'm>>>,
    pub(super) points: RefCell<Points>,
}

/// What the suspects show at a point in a situation.
pub(super) struct AtPoint {
    pub(super) cells: Cells,
    /// By listed fault, its steady form.
    pub(super) steady: Vec<CellChances>,
    pub(super) healthy: CellChances,
    /// By listed fault: is its place moved while the reading is taken?
    pub(super) harness: Vec<Harness>,
}

pub(super) type Chances = (Vec<Option<Probability>>, Probability);

impl<'a, 'm> Modelled<'a, 'm> {
    pub(super) fn read(
        &self,
        ix: StepIx,
        reading: &Reading,
        now: &Situation,
        listed: &[Listed],
    ) -> Option<Chances> {
        self.weighed(&*self.point(ix, now)?, reading, listed)
    }

    /// How probable a reading is under each listed fault.
    pub(super) fn weighed(&self, point: &AtPoint, reading: &Reading, listed: &[Listed]) -> Option<Chances> {
        if self.scale(reading.measure())?.measure() != point.cells.measure() {
            return None;
        }
        let seen = Sighting::new(&point.cells, self.outlook.meter, reading);
        let chances = point.steady.iter().enumerate().map(|(at, steady)| {
            if !listed[at].intermittent {
                return Some(seen.chance(steady));
            }
            come_and_go(point.harness[at], &seen, steady, &point.healthy)
        });
        Some((chances.collect(), seen.even()))
    }

    pub(super) fn point(&self, ix: StepIx, now: &Situation) -> Option<Rc<AtPoint>> {
        let key = (ix, now.clone());
        if let Some(known) = self.points.borrow().get(&key) {
            return known.clone();
        }
        let point = self.shown_at(ix, now).map(Rc::new);
        self.points.borrow_mut().insert(key, point.clone());
        point
    }

    fn shown_at(&self, ix: StepIx, now: &Situation) -> Option<AtPoint> {
        let Kind::Read(read) = &self.outlook.tree.step(ix).kind else { return None };
        let harness = self.faults.iter().map(|fault| self.outlook.is_moved(ix, now, *fault)).collect();
        self.at_point(read.measure, harness, |cases| self.outlook.predicted(ix, now, cases))
    }

    /// What the suspects show at a reading that is no step of the tree.
    pub(super) fn shown_off_tree(&self, step: &Step, now: &Situation) -> Option<AtPoint> {
        let Kind::Read(read) = &step.kind else { return None };
        let rig = self.outlook.rig_of(step, now)?;
        let machine = self.outlook.machine();
        let harness = |fault: &FaultId| {
            if machine.is_moved(*fault, rig.setup()) { Harness::Moved } else { Harness::AtRest }
        };
        let harness = self.faults.iter().map(harness).collect();
        self.at_point(read.measure, harness, |cases| self.outlook.predicted_off_tree((step, &rig), cases))
    }

    fn at_point(
        &self,
        measure: Measure,
        harness: Vec<Harness>,
        shows: impl Fn(&[&Case<'a, 'm>]) -> Option<Predicted>,
    ) -> Option<AtPoint> {
        let healthy = shows(&[&self.healthy])?;
        let predicted = self.cases.iter().map(|cases| shows(&cases.iter().collect::<Vec<_>>()));
        let predicted: Vec<Predicted> = predicted.collect::<Option<_>>()?;
        let cells = Cells::new(self.scale(measure)?, predicted.iter().chain([&healthy]));
        Some(AtPoint {
            steady: predicted.iter().map(|predicted| cells.chances(predicted)).collect(),
            healthy: cells.chances(&healthy),
            harness,
            cells,
        })
    }

    fn scale(&self, measure: Measure) -> Option<Scale> {
        let supply = &self.outlook.machine().parts().supply;
        let most = supply.charging.map_or(supply.volts.value(), Volts::value);
        let today = self.outlook.day.today().volts.map_or(0.0, Volts::value);
        match measure {
            Measure::Volts => Some(Scale::volts(Volts(most.max(supply.volts.value()).max(today)))),
            Measure::Ohms => Some(Scale::ohms()),
            Measure::Amps => Some(Scale::amps(MOST_AMPS)),
            _ => None,
        }
    }
}

/// A fault that comes and goes: while moved it shows half the time, and half of that it jumps; at rest a
/// good reading says nothing of it.
fn come_and_go(
    harness: Harness,
    seen: &Sighting,
    steady: &CellChances,
    healthy: &CellChances,
) -> Option<Probability> {
    let good = seen.chance(healthy);
    let steady = seen.chance(steady);
    if harness == Harness::AtRest {
        let says_nothing = good.value() >= GOOD;
        return (!says_nothing).then(|| intermittent_chance(steady, good, harness));
    }
    let jumping = if seen.cell == Cell::Jumps { 1.0 - CONTRADICTS } else { 0.0 };
    let shown = (1.0 - JUMPS_WHILE_MOVED) * steady.value() + JUMPS_WHILE_MOVED * jumping;
    Some(intermittent_chance(Probability(shown), good, harness))
}
