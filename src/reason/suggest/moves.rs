//! How a walk can move about a tree: what it takes to come to a step from where the machine and the
//! mechanic stand, and how both stand after it. Steps are come to as the stepper comes to them:
//! through the cheapest gates that are missing, and not at all where no gates lead there.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use crate::reason::costs::{step_minutes, zone_minutes};
use crate::reason::situation::Situation;
use crate::safety::{Deed, Demand, GateId, State, Way, changes, changes_on_cannot, changes_on_undo, way_to};
use crate::tree::{Course, Kind, StepIx};

/// How the machine stands, and where the mechanic's body is.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(in crate::reason) struct Standing {
    pub(in crate::reason) state: State,
    pub(in crate::reason) now: Situation,
    pub(in crate::reason) zone: Option<String>,
}

/// A standing by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(in crate::reason) struct Spot(u32);

impl Spot {
    const fn at(self) -> usize {
        self.0 as usize
    }
}

/// Coming to a step.
#[derive(Debug, Clone)]
pub(in crate::reason) struct Arrival {
    /// The gates on the way that are no steps of the tree.
    pub(in crate::reason) gates: Vec<GateId>,
    /// Minutes of these gates, of the way to the step's zone and of the step itself.
    pub(in crate::reason) minutes: f64,
    /// How all stands while the step is done.
    pub(in crate::reason) spot: Spot,
}

type Arrivals = HashMap<(StepIx, Spot), Option<Rc<Arrival>>>;

/// The moves over one tree, worked out once each.
pub(in crate::reason) struct Moves<'a> {
    course: &'a Course,
    spots: RefCell<Vec<Rc<Standing>>>,
    numbers: RefCell<HashMap<Rc<Standing>, Spot>>,
    arrivals: RefCell<Arrivals>,
    left: RefCell<HashMap<(StepIx, usize, Spot), Spot>>,
    aside: RefCell<HashMap<(StepIx, Spot), Option<Spot>>>,
    /// Steps with the same demands share a number, so that a way is looked for once.
    demands: Vec<usize>,
    ways: RefCell<HashMap<(usize, State), Way>>,
}

impl<'a> Moves<'a> {
    pub(in crate::reason) fn over(course: &'a Course) -> Self {
        let mut seen: Vec<StepIx> = Vec::new();
        let demands = course.tree().iter().map(|(ix, _)| {
            let asks = |ix: StepIx| (course.demands(ix), &course.prepared(ix).by_gates);
            let same = seen.iter().position(|known| asks(*known) == asks(ix));
            same.unwrap_or_else(|| {
                seen.push(ix);
                seen.len() - 1
            })
        });
        Self {
            course,
            demands: demands.collect(),
            spots: RefCell::default(),
            numbers: RefCell::default(),
            arrivals: RefCell::default(),
            left: RefCell::default(),
            aside: RefCell::default(),
            ways: RefCell::default(),
        }
    }

    pub(in crate::reason) fn course(&self) -> &'a Course {
        self.course
    }

    /// How a job begins.
    pub(in crate::reason) fn start(&self) -> Spot {
        let state = State::at_start(self.course.vocabulary());
        self.number(Standing { now: Situation::of(&state, self.course.vocabulary()), state, zone: None })
    }

    pub(in crate::reason) fn number(&self, standing: Standing) -> Spot {
        if let Some(known) = self.numbers.borrow().get(&standing) {
            return *known;
        }
        let standing = Rc::new(standing);
        let spot = Spot(u32::try_from(self.spots.borrow().len()).unwrap_or(u32::MAX));
        self.spots.borrow_mut().push(standing.clone());
        self.numbers.borrow_mut().insert(standing, spot);
        spot
    }

    pub(in crate::reason) fn standing(&self, spot: Spot) -> Rc<Standing> {
        self.spots.borrow()[spot.at()].clone()
    }

    /// Comes to a step; `None` where no gates lead to what it needs.
    pub(in crate::reason) fn arrive(&self, ix: StepIx, from: Spot) -> Option<Rc<Arrival>> {
        if let Some(known) = self.arrivals.borrow().get(&(ix, from)) {
            return known.clone();
        }
        let arrival = self.arrival(ix, from).map(Rc::new);
        self.arrivals.borrow_mut().insert((ix, from), arrival.clone());
        arrival
    }

    fn arrival(&self, ix: StepIx, from: Spot) -> Option<Arrival> {
        let vocabulary = self.course.vocabulary();
        let step = self.course.tree().step(ix);
        let mut standing = (*self.standing(from)).clone();
        let mut minutes = 0.0;
        let mut through = Vec::new();
        match self.way(ix, &standing.state) {
            Way::InForce => {}
            Way::Gates { gates, minutes: gate_minutes } => {
                for gate in &gates {
                    standing.state.apply_all(&changes(&Deed::Gate(*gate), vocabulary), vocabulary);
                }
                standing.now = standing.now.with_state(&standing.state, vocabulary);
                minutes += gate_minutes.value();
                through = gates;
            }
            Way::None => return None,
        }
        if step.zone.is_some() && step.zone != standing.zone {
            minutes += zone_minutes(step.zone.as_deref(), vocabulary).value();
            standing.zone.clone_from(&step.zone);
        }
        minutes += step_minutes(step, vocabulary, self.course.tree().model.as_deref()).value();
        Some(Arrival { gates: through, minutes, spot: self.number(standing) })
    }

    /// How all stands when a step is turned away from before it is done, for a jump: what it, or the gate before it, may
    /// have begun is not known. `None` where only the guard is left: there is no way on from there.
    pub(in crate::reason) fn turn_away(&self, ix: StepIx, from: Spot) -> Option<Spot> {
        if let Some(known) = self.aside.borrow().get(&(ix, from)) {
            return *known;
        }
        let aside = self.turned_away(ix, from);
        self.aside.borrow_mut().insert((ix, from), aside);
        aside
    }

    fn turned_away(&self, ix: StepIx, from: Spot) -> Option<Spot> {
        let vocabulary = self.course.vocabulary();
        let mut standing = (*self.standing(from)).clone();
        let own = match &self.course.tree().step(ix).kind {
            Kind::Gate(gate) => vocabulary.gate(&gate.gate),
            _ => None,
        };
        // As the stepper comes to it: without what the tree would have prepared.
        let missing = match way_to(&standing.state, self.course.demands(ix), vocabulary) {
            Way::InForce => None,
            Way::Gates { gates, .. } => gates.first().copied(),
            Way::None => return None,
        };
        match missing.or(own) {
            Some(gate) => standing.state.apply_all(&changes_on_undo(gate, vocabulary), vocabulary),
            None => {
                for deed in self.course.deeds(ix) {
                    standing.state.apply_all(&changes_on_cannot(deed, vocabulary), vocabulary);
                }
            }
        }
        standing.now = standing.now.with_state(&standing.state, vocabulary);
        Some(self.number(standing))
    }

    fn way(&self, ix: StepIx, state: &State) -> Way {
        let (vocabulary, prepared) = (self.course.vocabulary(), self.course.prepared(ix));
        if !prepared.by_steps.iter().all(|demand| demand.holds(state, vocabulary)) {
            return Way::None;
        }
        let key = (self.demands[ix.at()], state.clone());
        if let Some(known) = self.ways.borrow().get(&key) {
            return known.clone();
        }
        let asked: Vec<Demand> = self.course.demands(ix).iter().chain(&prepared.by_gates).cloned().collect();
        let way = way_to(state, &asked, vocabulary);
        self.ways.borrow_mut().insert(key, way.clone());
        way
    }

    /// How all stands after a step was left along one of its ways.
    pub(in crate::reason) fn leave(&self, ix: StepIx, way: usize, at: Spot) -> Spot {
        if let Some(known) = self.left.borrow().get(&(ix, way, at)) {
            return *known;
        }
        let vocabulary = self.course.vocabulary();
        let step = self.course.tree().step(ix);
        let mut standing = (*self.standing(at)).clone();
        let gate = match &step.kind {
            Kind::Gate(gate) => vocabulary.gate(&gate.gate).map(Deed::Gate),
            _ => None,
        };
        let deeds = gate.as_ref().map_or(self.course.deeds(ix), std::slice::from_ref);
        for deed in deeds {
            standing.state.apply_all(&changes(deed, vocabulary), vocabulary);
        }
        for deed in self.course.shown_on(ix, way) {
            standing.state.apply_all(&changes(&deed, vocabulary), vocabulary);
        }
        standing.now = standing.now.after(step, vocabulary).with_state(&standing.state, vocabulary);
        let spot = self.number(standing);
        self.left.borrow_mut().insert((ix, way, at), spot);
        spot
    }
}
