//! What a circuit's own states are, and what is seen in a solved network.
//!
//! Controllers fed and awake, outputs on, loads pulled in, diodes conducting, sources at their most: all off at first,
//! updated together after each solve.

use super::circuit::{Circuit, Solution, Values};
use super::logic::Seen;
use super::model::{
    ControlId, ControllerId, Drive, ElementId, FunctionId, InputId, Level, OutputId, Parts, PullUp,
};
use super::network::Place;
use super::parts::{DIODE, Kind, Rests};
use super::power::{Power, serves};
use super::rig::Rig;
use crate::units::{Amps, Volts};

/// Above this current a charger charges (our choice, no source).
const CHARGES: f64 = 0.1;

/// What a fault or a tripped device does beyond values: it holds states.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Held {
    /// Relay contacts that do not move, and whether they are closed.
    pub(super) stuck: Vec<(ElementId, bool)>,
    pub(super) dead_controllers: Vec<ControllerId>,
    pub(super) dead_inputs: Vec<InputId>,
    pub(super) dead_outputs: Vec<OutputId>,
    /// Elements that are open whatever the state.
    pub(super) open: Vec<ElementId>,
    /// Diodes that conduct both ways.
    pub(super) shorted: Vec<ElementId>,
    /// The volts of a battery that is low whatever charges it.
    pub(super) supply: Option<Volts>,
    /// Functions that something not electrical stops.
    pub(super) stopped: Vec<FunctionId>,
}

/// One set of states, as bits: fed, awake, outputs, loads or diodes by element.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct States {
    pub(super) fed: Vec<bool>,
    pub(super) awake: Vec<bool>,
    pub(super) on: Vec<bool>,
    /// Per element: a load pulled in, a diode conducting, a source that gives all it can.
    pub(super) active: Vec<bool>,
    /// The battery is being charged by the source that charges it.
    pub(super) charged: bool,
}

impl States {
    /// All off.
    pub(super) fn off(parts: &Parts) -> Self {
        Self {
            fed: vec![false; parts.controllers.len()],
            awake: vec![false; parts.controllers.len()],
            on: vec![false; parts.outputs.len()],
            active: vec![false; parts.elements.len()],
            charged: false,
        }
    }

    /// Puts what these states conduct into the values.
    pub(super) fn put(&self, rig: &Rig<'_>, held: &Held, values: &mut Values) {
        let parts = rig.machine.parts();
        for (at, controller) in parts.controllers.iter().enumerate() {
            if let Some((_, asleep)) = controller.feed.sleep {
                let ohms = if self.awake[at] { controller.feed.ohms } else { asleep };
                values.put(rig.harness.feeds[at], 1.0 / ohms.value(), 0.0);
            }
        }
        if parts.supply.charged_by.is_some() && held.supply.is_none() {
            rig.put_supply(values, rig.battery_volts(self.charged));
        }
        self.put_inputs(rig, held, values);
        self.put_outputs(rig, held, values);
        for id in rig.machine.moving() {
            self.put_moving(*id, rig, held, values);
        }
    }

    fn put_inputs(&self, rig: &Rig<'_>, held: &Held, values: &mut Values) {
        for (at, input) in rig.machine.parts().inputs.iter().enumerate() {
            let Some((branch, (to, ohms))) = rig.harness.inputs[at].pull_up.zip(input.pull_up) else {
                continue;
            };
            let dead = held.dead_inputs.contains(&InputId::new(at));
            if !self.fed[input.controller.at()] || dead {
                values.open(branch);
                continue;
            }
            let siemens = 1.0 / ohms.value();
            let volts = match to {
                PullUp::Volts(volts) => volts.value(),
                PullUp::Plus => 0.0,
            };
            values.put(branch, siemens, siemens * volts);
        }
    }

    fn put_outputs(&self, rig: &Rig<'_>, held: &Held, values: &mut Values) {
        for (at, output) in rig.machine.parts().outputs.iter().enumerate() {
            let branch = rig.harness.outputs[at];
            let works = self.on[at] && self.fed[output.controller.at()];
            if !works || held.dead_outputs.contains(&OutputId::new(at)) {
                values.open(branch);
                continue;
            }
            let siemens = 1.0 / output.ohms.value();
            let volts = if let Drive::Rail(volts) = output.drives { volts.value() } else { 0.0 };
            values.put(branch, siemens, siemens * volts);
        }
    }

    /// A relay contact or a diode.
    fn put_moving(&self, id: ElementId, rig: &Rig<'_>, held: &Held, values: &mut Values) {
        let element = rig.machine.parts().element(id);
        let branch = rig.harness.elements[id.at()][0];
        if held.open.contains(&id) {
            values.open(branch);
            return;
        }
        match element.kind {
            Kind::RelayContact { coil, rests } => {
                let moved = self.active[coil.at()];
                let stuck = held.stuck.iter().find(|(stuck, _)| *stuck == id);
                let closed = stuck.map_or(moved == (rests == Rests::Open), |(_, closed)| *closed);
                match element.ohms {
                    Some(ohms) if closed => values.put(branch, 1.0 / ohms.value(), 0.0),
                    _ => values.open(branch),
                }
            }
            Kind::Diode if held.shorted.contains(&id) => values.put(branch, 1.0 / DIODE.1.value(), 0.0),
            Kind::Diode if self.active[id.at()] => {
                let siemens = 1.0 / DIODE.1.value();
                values.put(branch, siemens, siemens * DIODE.0.value());
            }
            Kind::Diode => values.open(branch),
            Kind::Source { most: Some(most), .. } if self.active[id.at()] && values.conducts(branch) => {
                values.put(branch, 0.0, most.value());
            }
            _ => {}
        }
    }
}

/// A solved network with the states it was solved in.
#[derive(Debug, Clone, Default)]
pub(super) struct Frame {
    pub(super) states: States,
    pub(super) values: Values,
    pub(super) solution: Solution,
}

/// What is seen in a frame.
pub(super) struct View<'v> {
    pub(super) rig: &'v Rig<'v>,
    pub(super) held: &'v Held,
    pub(super) frame: &'v Frame,
}

impl View<'_> {
    fn parts(&self) -> &Parts {
        self.rig.machine.parts()
    }

    fn circuit(&self) -> &Circuit {
        &self.rig.harness.circuit
    }

    /// Volts between two places; what floats reads zero.
    fn between(&self, red: Place, black: Place) -> f64 {
        self.frame.solution.between(red, black).map_or(0.0, crate::units::Volts::value)
    }

    fn feed_volts(&self, at: usize) -> f64 {
        let (parts, feed) = (self.parts(), self.parts().controllers[at].feed);
        self.between(parts.place(feed.plus), parts.place(feed.minus))
    }

    fn awake(&self, at: usize) -> bool {
        let (parts, feed) = (self.parts(), self.parts().controllers[at].feed);
        feed.sleep.is_none_or(|(wake, _)| {
            self.between(parts.place(wake), parts.place(feed.minus)) >= feed.least.value()
        })
    }

    fn across(&self, id: ElementId) -> f64 {
        let parts = self.parts();
        let [a, b] = parts.element(id).ends;
        self.between(parts.place(a), parts.place(b))
    }

    /// The states that follow from this frame.
    pub(super) fn next(&self) -> States {
        let parts = self.parts();
        let mut next = States::off(parts);
        for at in 0..parts.controllers.len() {
            next.awake[at] = self.awake(at);
            next.fed[at] = self.fed(ControllerId::new(at));
        }
        for (at, output) in parts.outputs.iter().enumerate() {
            let dead = self.held.dead_outputs.contains(&OutputId::new(at));
            let box_works = self.frame.states.fed[output.controller.at()] && next.fed[output.controller.at()];
            next.on[at] = !dead && box_works && output.when.holds(self);
        }
        for id in self.rig.machine.loads() {
            next.active[id.at()] = self.pulled_in(*id);
        }
        for id in self.rig.machine.moving() {
            match parts.element(*id).kind {
                Kind::Diode => next.active[id.at()] = self.conducting(*id),
                Kind::Source { most: Some(most), .. } => next.active[id.at()] = self.at_most(*id, most),
                _ => {}
            }
        }
        next.charged = parts.supply.charged_by.is_some_and(|source| self.charges(source));
        next
    }

    /// True while a source drives current out of its plus.
    fn charges(&self, source: ElementId) -> bool {
        let Some(branch) = self.rig.harness.elements[source.at()].first() else { return false };
        // The branch runs from its plus, so that what it gives flows against it.
        let amps = self.circuit().amps(&self.frame.values, &self.frame.solution, *branch).value();
        -amps > CHARGES
    }

    /// A source that gives all it can goes on while its volts are below those it would hold at that current;
    /// another begins where it would have to give more.
    fn at_most(&self, id: ElementId, most: Amps) -> bool {
        let branch = self.rig.harness.elements[id.at()][0];
        if !self.frame.states.active[id.at()] {
            return -self.circuit().amps(&self.frame.values, &self.frame.solution, branch).value()
                > most.value();
        }
        let (plus, minus) = self.circuit().ends(branch);
        let full = self.rig.source_volts(branch, most);
        self.frame.solution.between(plus, minus).is_some_and(|volts| volts.value() < full.value())
    }

    /// A diode that conducts goes on while its current is forward; one that does not begins above its drop.
    fn conducting(&self, id: ElementId) -> bool {
        if self.frame.states.active[id.at()] {
            let branch = self.rig.harness.elements[id.at()][0];
            return self.circuit().amps(&self.frame.values, &self.frame.solution, branch).value() > 0.0;
        }
        self.across(id) > DIODE.0.value()
    }

    /// True if a function works here: its logic holds, the power serves, nothing else stops it.
    pub(super) fn works(&self, id: FunctionId) -> bool {
        let function = &self.parts().functions[id.at()];
        serves(self.power(), function.power) && !self.held.stopped.contains(&id) && function.works.holds(self)
    }
}

impl Seen for View<'_> {
    /// None while the controller is not fed: it reads nothing then.
    fn level(&self, input: InputId) -> Option<Level> {
        let volts = self.volts(input)?;
        let input = &self.parts().inputs[input.at()];
        Some(if input.low_below.is_some_and(|low| volts < low.value()) {
            Level::Low
        } else if input.high_from.is_some_and(|high| volts >= high.value()) {
            Level::High
        } else {
            Level::Neither
        })
    }

    fn volts(&self, id: InputId) -> Option<f64> {
        let parts = self.parts();
        let input = &parts.inputs[id.at()];
        let minus = parts.controllers[input.controller.at()].feed.minus;
        self.fed(input.controller).then(|| self.between(parts.place(input.pin), parts.place(minus)))
    }

    fn state(&self, control: ControlId) -> usize {
        self.rig.setup.state(control)
    }

    fn power(&self) -> Power {
        self.rig.setup.power
    }

    /// Both the volts across it and its own current have to be enough: an open coil has the volts
    /// without the current, a shorted one the current without the turns.
    fn pulled_in(&self, load: ElementId) -> bool {
        let element = self.parts().element(load);
        let (Kind::Load { pulls_in: Some(least) }, Some(ohms)) = (&element.kind, element.ohms) else {
            return false;
        };
        let branch = self.rig.harness.elements[load.at()][0];
        let amps = self.circuit().amps(&self.frame.values, &self.frame.solution, branch).value().abs();
        let volts = self.across(load).abs().min(amps * ohms.value());
        !self.held.shorted.contains(&load) && volts >= least.value()
    }

    fn fed(&self, id: ControllerId) -> bool {
        let least = self.parts().controllers[id.at()].feed.least.value();
        !self.held.dead_controllers.contains(&id) && self.feed_volts(id.at()) >= least && self.awake(id.at())
    }

    fn on(&self, output: OutputId) -> bool {
        self.frame.states.on[output.at()]
    }
}
