//! The machine with each of the suspects in it: what they would show at a reading, as chances of its cells.

use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

use super::cells::{Cell, Cells, Predicted, Shows};
use super::chance::Probability;
use super::constants::{CONTRADICTS, JUMPS_WHILE_MOVED};
use super::evidence::{Harness, Listed, intermittent_chance};
use super::outlook::Outlook;
use super::scale::Scale;
use super::severities::Severities;
use super::sighting::Sighting;
use super::situation::Situation;
use crate::machine::{Case, FaultId, FaultKind, Knot};
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
    /// Another fault that is there too.
    pub(super) beside: Option<Knot>,
    /// By fault, between its severities; of a fault that comes and goes its steady form.
    pub(super) fine: OnceCell<Vec<Severities<'a, 'm>>>,
    pub(super) points: RefCell<Points>,
}

/// What the suspects show at a point in a situation.
pub(super) struct AtPoint {
    pub(super) cells: Cells,
    /// By listed fault, its steady form between neighbouring severities.
    steady: Vec<Vec<(Shows, Shows)>>,
    healthy: Shows,
    /// By listed fault: is its place moved while the reading is taken?
    harness: Vec<Harness>,
}

/// By listed fault, in each of its spans of severity.
pub(super) type Chances = Vec<Vec<Probability>>;

impl<'a, 'm> Modelled<'a, 'm> {
    /// The listed faults between their severities.
    pub(super) fn fine(&self) -> &[Severities<'a, 'm>] {
        self.fine.get_or_init(|| self.faults.iter().map(|fault| self.severities(*fault)).collect())
    }

    /// The machine with a listed fault that comes and goes, while nothing shows.
    pub(super) fn at_rest(&self, fault: usize) -> Case<'a, 'm> {
        let knot = self.outlook.machine().knot(self.faults[fault], None);
        self.outlook.day.case(&self.beside.into_iter().chain([knot]).collect::<Vec<_>>())
    }

    fn severities(&self, fault: FaultId) -> Severities<'a, 'm> {
        let (day, machine) = (self.outlook.day, self.outlook.machine());
        let with = |knot: Knot| match self.beside {
            Some(other) => day.case(&[other, knot]),
            None => day.case(&[knot]),
        };
        if let FaultKind::Intermittent(steady) = machine.fault(fault).kind {
            return Severities::at_one(with(machine.knot(steady, None)));
        }
        Severities::between(&machine.fault(fault).spread, |severity| {
            let knot = Knot { fault, severity };
            let alone = day.case(&[knot]);
            let shows = self.outlook.shows_symptom(&alone);
            shows.then(|| if self.beside.is_some() { with(knot) } else { alone })
        })
    }

    pub(super) fn read(
        &self,
        ix: StepIx,
        reading: &Reading,
        now: &Situation,
        listed: &[Listed],
    ) -> Option<(Chances, Probability)> {
        self.weighed(&*self.point(ix, now)?, reading, listed)
    }

    /// How probable a reading is under each listed fault.
    pub(super) fn weighed(
        &self,
        point: &AtPoint,
        reading: &Reading,
        listed: &[Listed],
    ) -> Option<(Chances, Probability)> {
        if self.scale(reading.measure())?.measure() != point.cells.measure() {
            return None;
        }
        let seen = Sighting::new(&point.cells, self.outlook.meter, reading);
        Some((point.chances(&seen, listed), seen.even()))
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
        let all = |fault: &Severities<'a, 'm>| shows(&fault.cases.iter().collect::<Vec<_>>());
        let predicted: Vec<Predicted> = self.fine().iter().map(all).collect::<Option<_>>()?;
        // Edges at what lies between severities too would leave a slight fault little in any cell.
        let at_own = |cases: &Vec<Case<'a, 'm>>| shows(&cases.iter().collect::<Vec<_>>());
        let own: Vec<Predicted> = self.cases.iter().map(at_own).collect::<Option<_>>()?;
        let cells = Cells::new(self.scale(measure)?, own.iter().chain([&healthy]));
        let spans = |(fault, shown): (&Severities<'a, 'm>, &Predicted)| {
            fault.spans.iter().map(|(one, other)| (shown[*one], shown[*other])).collect()
        };
        Some(AtPoint {
            steady: self.fine().iter().zip(&predicted).map(spans).collect(),
            healthy: *healthy.first()?,
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

impl AtPoint {
    /// How probable what was seen is under each listed fault.
    pub(super) fn chances(&self, seen: &Sighting, listed: &[Listed]) -> Chances {
        let good = self.chance_of(seen, (self.healthy, self.healthy));
        let of_fault = |(at, spans): (usize, &Vec<(Shows, Shows)>)| {
            let one = |ends: &(Shows, Shows)| Probability(self.of_ends(seen, (at, *ends), good, listed));
            spans.iter().map(one).collect()
        };
        self.steady.iter().enumerate().map(of_fault).collect()
    }

    /// The same under one listed fault in one of its spans of severity.
    pub(super) fn chance(&self, seen: &Sighting, (fault, span): (usize, usize), listed: &[Listed]) -> f64 {
        let good = self.chance_of(seen, (self.healthy, self.healthy));
        self.of_ends(seen, (fault, self.steady[fault][span]), good, listed)
    }

    fn of_ends(
        &self,
        seen: &Sighting,
        (fault, ends): (usize, (Shows, Shows)),
        good: f64,
        listed: &[Listed],
    ) -> f64 {
        let steady = self.chance_of(seen, ends);
        if listed[fault].intermittent {
            return come_and_go(self.harness[fault], seen.cell, steady, good);
        }
        steady
    }

    fn chance_of(&self, seen: &Sighting, ends: (Shows, Shows)) -> f64 {
        seen.chance_by(|cell| self.cells.chance(cell, ends)).value()
    }
}

/// A fault that comes and goes: while moved it shows half the time, and half of that it jumps; at rest it reads good.
fn come_and_go(harness: Harness, seen: Cell, steady: f64, good: f64) -> f64 {
    let shows = |steady| intermittent_chance(Probability(steady), Probability(good), harness).value();
    if harness == Harness::AtRest {
        return shows(steady);
    }
    let jumping = if seen == Cell::Jumps { 1.0 - CONTRADICTS } else { 0.0 };
    shows((1.0 - JUMPS_WHILE_MOVED) * steady + JUMPS_WHILE_MOVED * jumping)
}
