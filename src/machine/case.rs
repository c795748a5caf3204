//! A machine with faults in it, after the operator has already tried everything.
//!
//! States tried: each function's `with`, then what must hold it, in file order. What opened meanwhile
//! stays open for these faults everywhere.

use super::circuit::Values;
use super::day::Day;
use super::fault::{Fault, FaultKind, Knot, Measured};
use super::model::{FunctionId, InputId, OutputId, PointId};
use super::parts::Kind;
use super::rig::Rig;
use super::settle::{Opened, dead_frame, frames, open_one, view};
use super::settled::Settled;
use super::states::{Frame, Held};
use crate::units::{Ohms, Volts};

/// What a function does in the states that are made for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// It works where it should.
    pub works: bool,
    /// Per held state, in file order: it works although it must not.
    pub unheld: Vec<bool>,
}

/// A machine with faults in it, on one day.
#[derive(Debug, Clone)]
pub struct Case<'d, 'm> {
    pub(super) day: &'d Day<'m>,
    knots: Vec<Knot>,
    pub(super) opened: Opened,
    functions: Vec<Seen>,
}

impl<'d, 'm> Case<'d, 'm> {
    /// Puts the faults in and tries every function.
    pub(super) fn new(day: &'d Day<'m>, knots: &[Knot]) -> Self {
        let comes_and_goes =
            |knot: &Knot| matches!(day.machine().fault(knot.fault).kind, FaultKind::Intermittent(_));
        let mut case = Self { knots: knots.to_vec(), ..Self::bare(day) };
        // Nothing is moved while the functions are tried: what comes and goes does not show.
        if knots.iter().all(comes_and_goes) {
            (case.opened, case.functions) = day.healthy_tried().clone();
        } else {
            case.try_functions();
        }
        case
    }

    /// What has opened and what each function does with nothing wrong.
    pub(super) fn healthy_tried(day: &'d Day<'m>) -> (Opened, Vec<Seen>) {
        let mut case = Self::bare(day);
        case.try_functions();
        (case.opened, case.functions)
    }

    pub(super) fn bare(day: &'d Day<'m>) -> Self {
        Self { day, knots: Vec::new(), opened: Opened::default(), functions: Vec::new() }
    }

    /// The faults in it.
    #[must_use]
    pub fn knots(&self) -> &[Knot] {
        &self.knots
    }

    /// What a function does in its own states.
    #[must_use]
    pub fn function(&self, id: FunctionId) -> &Seen {
        &self.functions[id.at()]
    }

    /// Sets the machine up and lets its states settle.
    #[must_use]
    pub fn settle<'r>(&self, rig: &'r Rig<'m>) -> Settled<'r, 'm> {
        let moved = self.effective(rig);
        let mut opened = self.opened.clone();
        let (held, frames) = self.settled(rig, &moved, &mut opened, &mut Frame::default());
        Settled::new(rig, held, opened, frames)
    }

    /// The machine with every source dead, for ohms.
    pub(super) fn dead(&self, rig: &Rig<'m>) -> Frame {
        let knots = self.effective(rig);
        let (values, held) = self.faulted(rig, &knots, &self.opened);
        dead_frame(rig, &values, &held)
    }

    /// True if a branch conducts with these faults in and what has opened open.
    pub(super) fn conducts(&self, rig: &Rig<'m>, branch: super::network::Branch) -> bool {
        self.faulted(rig, &self.effective(rig), &self.opened).0.conducts(branch)
    }

    fn try_functions(&mut self) {
        let trials = self.day.trials();
        let mut tried = Tried { works: vec![None; trials.rigs.len()], scratch: Frame::default() };
        loop {
            let before = self.opened.count();
            self.functions.clear();
            for (at, (with, held)) in trials.functions.iter().enumerate() {
                let works = self.works(*with, at, &mut tried);
                let unheld = held.iter().map(|rig| self.works(*rig, at, &mut tried)).collect();
                self.functions.push(Seen { works, unheld });
            }
            // What opened late was not yet open when the first functions were tried.
            if self.opened.count() == before {
                return;
            }
        }
    }

    /// Does a function work in one of the rigs tried? Settled anew only if something opened since.
    fn works(&mut self, at: usize, function: usize, tried: &mut Tried) -> bool {
        if let Some((open, works)) = &tried.works[at]
            && *open == self.opened.count()
        {
            return works[function];
        }
        let rig = &self.day.trials().rigs[at];
        let mut opened = std::mem::take(&mut self.opened);
        let (held, mut frames) = self.settled(rig, &self.effective(rig), &mut opened, &mut tried.scratch);
        self.opened = opened;
        let all = |id| frames.iter().all(|frame| view(rig, &held, frame).works(id));
        let works: Vec<bool> = self.day.machine().function_ids().map(all).collect();
        let own = works[function];
        tried.works[at] = Some((self.opened.count(), works));
        tried.scratch = frames.pop().unwrap_or_default();
        own
    }

    /// Settles, opens one device, settles again, until nothing more opens.
    fn settled(
        &self,
        rig: &Rig<'m>,
        knots: &[Knot],
        opened: &mut Opened,
        scratch: &mut Frame,
    ) -> (Held, Vec<Frame>) {
        loop {
            let (values, held) = self.faulted(rig, knots, opened);
            let mut frames = frames(rig, &values, &held, std::mem::take(scratch));
            if !open_one(rig, &frames, opened) {
                return (held, frames);
            }
            *scratch = frames.pop().unwrap_or_default();
        }
    }

    /// The faults as they show in a setup: an intermittent one only while its place is moved.
    fn effective(&self, rig: &Rig<'m>) -> Vec<Knot> {
        let machine = self.day.machine();
        let show = |knot: &Knot| {
            let FaultKind::Intermittent(steady) = machine.fault(knot.fault).kind else { return Some(*knot) };
            let moved = machine.is_moved(steady, rig.setup());
            moved.then(|| Knot { fault: steady, severity: machine.fault(steady).nominal })
        };
        self.knots.iter().filter_map(show).collect()
    }

    fn faulted(&self, rig: &Rig<'m>, knots: &[Knot], opened: &Opened) -> (Values, Held) {
        let mut change = Change { rig, values: rig.values.clone(), held: Held::default() };
        for knot in knots {
            change.put(self.day.machine().fault(knot.fault), knot.severity);
        }
        for fuse in &opened.fuses {
            change.values.open(rig.harness.elements[fuse.at()][0]);
        }
        change.held.dead_outputs.extend(&opened.outputs);
        (change.values, change.held)
    }
}

/// What was seen in the rigs so far.
struct Tried {
    /// Per rig: how much was open, and which functions worked.
    works: Vec<Option<(usize, Vec<bool>)>>,
    /// The last frame: what the next one shares with it is not eliminated again.
    scratch: Frame,
}

/// The values and held states of a rig while faults are put in.
struct Change<'r, 'm> {
    rig: &'r Rig<'m>,
    values: Values,
    held: Held,
}

impl Change<'_, '_> {
    fn put(&mut self, fault: &Fault, severity: f64) {
        self.held.stopped.extend(&fault.stops);
        let harness = &self.rig.harness;
        match fault.kind {
            FaultKind::Open(element, stretch) => {
                if let Some(branch) = harness.elements[element.at()].get(stretch as usize) {
                    self.values.open(*branch);
                }
                self.held.open.push(element);
                self.held.stuck.push((element, false));
            }
            FaultKind::Resistive(element) => {
                if let Some(branch) = harness.elements[element.at()].last() {
                    self.add(*branch, severity);
                }
            }
            FaultKind::Stud(stud) => self.add(harness.studs[stud as usize], severity),
            FaultKind::Shorted(element) => self.short(element, severity),
            FaultKind::StuckClosed(element) => {
                self.held.stuck.push((element, true));
                let (part, branch) =
                    (self.rig.machine.parts().element(element), harness.elements[element.at()][0]);
                if let (Kind::Switch { .. }, Some(ohms)) = (&part.kind, part.ohms) {
                    self.values.put(branch, 1.0 / ohms.value(), 0.0);
                }
            }
            FaultKind::Grounded(element, rub) => {
                self.join(harness.rubs[element.at()][rub as usize], severity);
            }
            FaultKind::Touching(pair) => self.join(harness.touching[pair as usize], severity),
            FaultKind::Wet(pair) => self.join(harness.wet[pair as usize], severity),
            _ => self.put_box(fault, severity),
        }
    }

    fn put_box(&mut self, fault: &Fault, severity: f64) {
        let parts = self.rig.machine.parts();
        match fault.kind {
            FaultKind::ControllerDead(id) => {
                let controller = &parts.controllers[id.at()];
                self.held.dead_controllers.push(id);
                self.held.dead_inputs.extend(&controller.inputs);
                self.held.dead_outputs.extend(&controller.outputs);
            }
            FaultKind::PinDead(pin) => self.kill_pin(pin),
            FaultKind::SupplyLow => {
                self.held.supply = Some(Volts(severity));
                self.rig.put_supply(&mut self.values, Volts(severity));
            }
            FaultKind::SourceDead(element) => self.rig.put_further(element, &mut self.values, None),
            _ => {}
        }
    }

    fn kill_pin(&mut self, pin: PointId) {
        let parts = self.rig.machine.parts();
        let inputs = parts.inputs.iter().enumerate().filter(|(_, i)| i.pin == pin);
        self.held.dead_inputs.extend(inputs.map(|(at, _)| InputId::new(at)));
        let outputs = parts.outputs.iter().enumerate().filter(|(_, o)| o.pin == pin);
        self.held.dead_outputs.extend(outputs.map(|(at, _)| OutputId::new(at)));
    }

    /// A load shorted has the severity across it; a diode conducts both ways.
    fn short(&mut self, element: super::model::ElementId, severity: f64) {
        self.held.shorted.push(element);
        let branch = self.rig.harness.elements[element.at()].first();
        if let Some(branch) = branch.filter(|branch| self.values.conducts(**branch)) {
            self.values.put(*branch, 1.0 / severity, 0.0);
        }
    }

    /// Resistance in series with what is there; what is open stays open.
    fn add(&mut self, branch: super::network::Branch, ohms: f64) {
        let siemens = self.values.siemens(branch);
        if siemens > 0.0 {
            self.values.put(branch, 1.0 / (1.0 / siemens + ohms), 0.0);
        }
    }

    fn join(&mut self, branch: super::network::Branch, ohms: f64) {
        self.values.put(branch, 1.0 / Ohms(ohms).value(), 0.0);
    }
}

impl Fault {
    /// Keeps a severity asked for within what makes sense: finite and above zero.
    pub(super) fn sane(&self, severity: f64) -> f64 {
        if self.measured == Measured::Fixed || !severity.is_finite() || severity <= 0.0 {
            self.nominal
        } else {
            severity.clamp(1e-6, 1e12)
        }
    }
}
