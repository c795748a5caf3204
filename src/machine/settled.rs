//! What is seen and measured in a machine whose states have settled.
//!
//! The meter is in the circuit. Volts: 10 MΩ across the probes, V = V(open)/(1 + R(Thévenin)/10 MΩ), the
//! states frozen; what floats reads zero. Where states chatter, each value is that of the cycle.

use super::case::Case;
use super::logic::Seen as _;
use super::model::{Code, ControllerId, ElementId, FunctionId, InputId, Level, OutputId, PointId};
use super::network::Place;
use super::parts::Kind;
use super::rig::Rig;
use super::settle::{Opened, fuse_load, view};
use super::states::{Frame, Held, View};
use crate::units::{Amps, Ohms, Volts};

/// The input resistance of a voltmeter (common practice, no source).
pub const METER: Ohms = Ohms(10e6);
/// The resistance of an ammeter in its 10 A range (our choice, no source).
pub const BURDEN: Ohms = Ohms(0.02);
/// Above this an ohmmeter shows `OL` (our choice, no source).
pub const OVER_RANGE: Ohms = Ohms(50e6);

/// Where the two leads of a meter are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Probes {
    /// The red lead.
    pub red: PointId,
    /// The black lead.
    pub black: PointId,
}

/// What a meter shows, at least and at most over a cycle; both are one where nothing chatters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown<Q> {
    /// The least.
    pub least: Q,
    /// The most.
    pub most: Q,
    /// True if nothing that conducts joins the probes.
    pub floating: bool,
}

/// A state that may chatter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Steady<T> {
    /// It stands still.
    Is(T),
    /// It changes from solve to solve.
    Chatters,
}

impl<T: Copy + PartialEq> Steady<T> {
    fn of(mut values: impl Iterator<Item = T>) -> Option<Self> {
        let first = values.next()?;
        Some(if values.all(|v| v == first) { Self::Is(first) } else { Self::Chatters })
    }

    /// True if it stands still at this.
    pub fn is(self, value: T) -> bool {
        matches!(self, Self::Is(own) if own == value)
    }
}

/// A machine whose states have settled.
#[derive(Debug, Clone)]
pub struct Settled<'r, 'm> {
    rig: &'r Rig<'m>,
    held: Held,
    opened: Opened,
    frames: Vec<Frame>,
}

impl<'r, 'm> Settled<'r, 'm> {
    pub(super) fn new(rig: &'r Rig<'m>, held: Held, opened: Opened, frames: Vec<Frame>) -> Self {
        Self { rig, held, opened, frames }
    }

    /// The rig and the frames, for what looks at the network itself.
    pub(super) fn inside(&self) -> (&Rig<'m>, &[Frame]) {
        (self.rig, &self.frames)
    }

    fn views(&self) -> impl Iterator<Item = View<'_>> {
        self.frames.iter().map(|frame| view(self.rig, &self.held, frame))
    }

    /// True if a set of states repeats without standing still.
    #[must_use]
    pub fn chatters(&self) -> bool {
        self.frames.len() > 1
    }

    /// What a voltmeter shows.
    #[must_use]
    pub fn volts(&self, probes: Probes) -> Shown<Volts> {
        let parts = self.rig.machine.parts();
        let (red, black) = (parts.place(probes.red), parts.place(probes.black));
        let shown = self.frames.iter().map(|frame| loaded(self.rig, frame, red, black));
        let mut range = Shown { least: Volts(f64::MAX), most: Volts(f64::MIN), floating: true };
        for volts in shown {
            range.floating &= volts.is_none();
            let volts = volts.unwrap_or(0.0);
            range.least = Volts(range.least.value().min(volts));
            range.most = Volts(range.most.value().max(volts));
        }
        range
    }

    /// The current through an element, from its end 1 to its end 2: as a clamp around it shows it.
    #[must_use]
    pub fn amps(&self, element: ElementId) -> Shown<Amps> {
        let branch = self.rig.harness.elements[element.at()].first();
        let mut range = Shown { least: Amps(f64::MAX), most: Amps(f64::MIN), floating: branch.is_none() };
        for frame in &self.frames {
            let through = |b: &super::network::Branch| {
                self.rig.harness.circuit.amps(&frame.values, &frame.solution, *b).value()
            };
            let amps = branch.map_or(0.0, through);
            range.least = Amps(range.least.value().min(amps));
            range.most = Amps(range.most.value().max(amps));
        }
        range
    }

    /// The largest current in any stretch of an element, whichever way it flows.
    #[must_use]
    pub fn most_amps(&self, element: ElementId) -> Amps {
        let branches = &self.rig.harness.elements[element.at()];
        let all = self.frames.iter().flat_map(|frame| {
            branches.iter().map(|b| self.rig.harness.circuit.amps(&frame.values, &frame.solution, *b))
        });
        Amps(all.map(|amps| amps.value().abs()).fold(0.0, f64::max))
    }

    /// The current through what the reading put between its probes.
    pub(super) fn inserted_amps(&self) -> Shown<Amps> {
        let mut range = Shown { least: Amps(f64::MAX), most: Amps(f64::MIN), floating: false };
        for frame in &self.frames {
            let amps = self.rig.inserted.map_or(0.0, |branch| {
                self.rig.harness.circuit.amps(&frame.values, &frame.solution, branch).value()
            });
            range.least = Amps(range.least.value().min(amps));
            range.most = Amps(range.most.value().max(amps));
        }
        range
    }

    /// At which level an input is read; none while its controller is not fed.
    #[must_use]
    pub fn level(&self, input: InputId) -> Option<Steady<Option<Level>>> {
        Steady::of(self.views().map(|v| v.level(input)))
    }

    /// True if an output is on.
    ///
    /// # Panics
    /// Never: there is at least one frame.
    #[must_use]
    pub fn on(&self, output: OutputId) -> Steady<bool> {
        Steady::of(self.views().map(|v| v.on(output))).expect("at least one frame")
    }

    /// True if a load has pulled in.
    ///
    /// # Panics
    /// Never: there is at least one frame.
    #[must_use]
    pub fn pulled_in(&self, load: ElementId) -> Steady<bool> {
        Steady::of(self.views().map(|v| v.pulled_in(load))).expect("at least one frame")
    }

    /// True if a controller is fed and awake.
    ///
    /// # Panics
    /// Never: there is at least one frame.
    #[must_use]
    pub fn fed(&self, controller: ControllerId) -> Steady<bool> {
        Steady::of(self.views().map(|v| v.fed(controller))).expect("at least one frame")
    }

    /// True if a function works here: its logic holds throughout, the power serves, nothing stops it.
    #[must_use]
    pub fn works(&self, function: FunctionId) -> bool {
        self.views().all(|v| v.works(function))
    }

    /// True if a function works here at some moment, even if it chatters.
    #[must_use]
    pub fn may_move(&self, function: FunctionId) -> bool {
        self.views().any(|v| v.works(function))
    }

    /// The codes that are active throughout.
    #[must_use]
    pub fn codes(&self) -> Vec<(ControllerId, &'m Code)> {
        let parts = self.rig.machine.parts();
        let mut active = Vec::new();
        for (at, controller) in parts.controllers.iter().enumerate() {
            let id = ControllerId::new(at);
            let set = |code: &&Code| self.views().all(|v| v.fed(id) && code.when.holds(&v));
            active.extend(controller.codes.iter().filter(set).map(|code| (id, code)));
        }
        active
    }

    /// Fuses that have blown.
    #[must_use]
    pub fn fuses_blown(&self) -> Vec<ElementId> {
        let parts = self.rig.machine.parts();
        let is_fuse = |id: &&ElementId| matches!(parts.element(**id).kind, Kind::Fuse { .. });
        let faulty = self.held.open.iter().filter(is_fuse);
        let mut blown: Vec<ElementId> = self.opened.fuses.iter().chain(faulty).copied().collect();
        blown.sort_unstable();
        blown.dedup();
        blown
    }

    /// Fuses above their rating that may still hold.
    #[must_use]
    pub fn fuses_hot(&self) -> Vec<ElementId> {
        let hot = |fuse: &&ElementId| {
            self.frames.iter().map(|f| fuse_load(self.rig, f, **fuse)).fold(0.0, f64::max) > 1.0
        };
        self.rig.machine.fuses().iter().filter(hot).copied().collect()
    }

    /// Outputs that have tripped.
    #[must_use]
    pub fn outputs_tripped(&self) -> &[OutputId] {
        &self.opened.outputs
    }
}

/// Volts with the meter across, the states frozen; none if the probes float against each other.
fn loaded(rig: &Rig<'_>, frame: &Frame, red: Place, black: Place) -> Option<f64> {
    let circuit = &rig.harness.circuit;
    let open = frame.solution.between(red, black)?.value();
    let thevenin = circuit.ohms_between(&frame.solution, red, black)?.value();
    Some(open / (1.0 + thevenin / METER.value()))
}

impl<'m> Case<'_, 'm> {
    /// What an ohmmeter shows, every source dead; none is over range.
    #[must_use]
    pub fn ohms(&self, rig: &Rig<'m>, probes: Probes) -> Option<Ohms> {
        self.ohmmeter(rig).ohms(probes)
    }

    /// An ohmmeter on the machine, for many places in one setup.
    #[must_use]
    pub fn ohmmeter<'r>(&self, rig: &'r Rig<'m>) -> Ohmmeter<'r, 'm> {
        Ohmmeter { rig, frame: self.dead(rig) }
    }

    /// What an ammeter shows. Across the two ends of one thing that conducts it stands in series with
    /// it; otherwise it joins its probes.
    #[must_use]
    pub fn amps(&self, setup: &super::setup::Setup, probes: Probes) -> Shown<Amps> {
        let parts = self.day.machine().parts();
        let pair = (parts.place(probes.red), parts.place(probes.black));
        let mut rig = self.day.rig_with(setup, pair);
        if let Some((element, sign)) = self.day.machine().spanned(probes)
            && let Some(branch) = rig.harness.elements[element.at()].first().copied()
            && self.conducts(&rig, branch)
        {
            let siemens = rig.values.siemens(branch);
            rig.values.put(branch, 1.0 / (1.0 / siemens + BURDEN.value()), 0.0);
            let amps = self.settle(&rig).amps(element);
            return if sign > 0.0 { amps } else { amps.turned() };
        }
        if let Some(branch) = rig.inserted {
            rig.values.put(branch, 1.0 / BURDEN.value(), 0.0);
        }
        self.settle(&rig).inserted_amps()
    }
}

impl Shown<Amps> {
    fn turned(self) -> Self {
        Self { least: Amps(-self.most.value()), most: Amps(-self.least.value()), floating: self.floating }
    }
}

/// A machine with every source dead.
#[derive(Debug, Clone)]
pub struct Ohmmeter<'r, 'm> {
    rig: &'r Rig<'m>,
    frame: Frame,
}

impl Ohmmeter<'_, '_> {
    /// The resistance between the probes, every parallel path included; none is over range.
    #[must_use]
    pub fn ohms(&self, probes: Probes) -> Option<Ohms> {
        let parts = self.rig.machine.parts();
        let (red, black) = (parts.place(probes.red), parts.place(probes.black));
        let ohms = self.rig.harness.circuit.ohms_between(&self.frame.solution, red, black)?;
        (ohms.value() <= OVER_RANGE.value()).then_some(ohms)
    }
}
