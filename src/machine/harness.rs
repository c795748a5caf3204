//! From the parts of a machine to its network: one pattern with everything that can ever conduct.
//!
//! Every contact, switch, relay contact and output has its branch; so have every rub to the frame,
//! every touching and every wet pair, at no conductance. What a setup or a fault does is a change of
//! values, never of the pattern, so that one order of elimination serves all.

use super::circuit::{Circuit, Values};
use super::model::{Drive, ElementId, Parts, PullUp};
use super::network::{Branch, Ideal, Network, NetworkError, Place};
use super::parts::{Element, Kind};
use crate::units::{Celsius, Ohms, Volts};

/// Ohms of a branch that is absent for now.
const ABSENT: Ohms = Ohms(f64::INFINITY);

/// How a source stands in the network.
#[derive(Debug, Clone, Copy)]
pub(super) enum SourceBranch {
    /// Behind a resistance.
    Behind(Branch),
    /// Ideal.
    Ideal(Ideal),
}

/// The branches of an input.
#[derive(Debug, Clone, Copy)]
pub(super) struct InputBranches {
    pub(super) pull_up: Option<Branch>,
}

/// A machine as a network, and which branch stands for what.
#[derive(Debug, Clone)]
pub(super) struct Harness {
    pub(super) network: Network,
    pub(super) circuit: Circuit,
    pub(super) base: Values,
    /// Per element: its branches from end 1 on; a wire has one a stretch, a potentiometer two.
    pub(super) elements: Vec<Vec<Branch>>,
    pub(super) studs: Vec<Branch>,
    pub(super) supply: SourceBranch,
    /// Further sources that are ideal, by element.
    pub(super) ideals: Vec<(ElementId, Ideal)>,
    pub(super) feeds: Vec<Branch>,
    pub(super) inputs: Vec<InputBranches>,
    pub(super) outputs: Vec<Branch>,
    /// Per element: from each of its rubs to the frame.
    pub(super) rubs: Vec<Vec<Branch>>,
    pub(super) touching: Vec<Branch>,
    pub(super) wet: Vec<Branch>,
}

/// What stands in a loop of ideal sources.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Loop {
    /// The source that closes it; none if it is the supply, or a joint between two held places.
    pub(super) element: Option<ElementId>,
    pub(super) held: f64,
    pub(super) asked: f64,
}

struct Builder<'p> {
    parts: &'p Parts,
    net: Network,
    elements: Vec<Vec<Branch>>,
    rubs: Vec<Vec<Branch>>,
    ideals: Vec<(ElementId, Ideal)>,
}

impl Harness {
    /// Expands the parts. Quantities were checked as they were read.
    pub(super) fn new(parts: &Parts) -> Result<Self, Loop> {
        let mut net = Network::new();
        for _ in 0..parts.places {
            net.place();
        }
        for (a, b) in &parts.joins {
            net.join(*a, *b).map_err(|fault| Loop::of(fault, None))?;
        }
        let mut builder = Builder { parts, net, elements: Vec::new(), rubs: Vec::new(), ideals: Vec::new() };
        let supply = builder.supply()?;
        for at in 0..parts.elements.len() {
            builder.element(ElementId::new(at))?;
        }
        Ok(builder.finish(supply))
    }

    /// A harness with further branches, absent for now, between these places.
    pub(super) fn with_extra(&self, pairs: &[(Place, Place)], frame: Place) -> (Self, Vec<Branch>) {
        let mut more = self.clone();
        let extra = pairs.iter().map(|(a, b)| absent(&mut more.network, *a, *b)).collect();
        more.circuit = Circuit::new(&more.network, frame);
        more.base = more.circuit.values(&more.network);
        (more, extra)
    }

    /// Sets every wire to a temperature, within what the linear law of copper holds for.
    pub(super) fn warm(&self, parts: &Parts, celsius: Celsius, values: &mut Values) {
        let celsius = Celsius(celsius.value().clamp(-80.0, 300.0));
        for (element, branches) in parts.elements.iter().zip(&self.elements) {
            let Kind::Wire(wire) = &element.kind else { continue };
            for (branch, length) in branches.iter().zip(wire.stretches()) {
                values.put(*branch, 1.0 / wire.ohms(length, celsius).value(), 0.0);
            }
        }
    }

    /// What can conduct joins which places, sources, loads and boxes aside.
    pub(super) fn wiring(&self, parts: &Parts) -> Wiring {
        let mut joined = Network::new();
        for _ in 0..parts.places {
            joined.place();
        }
        let mut join = |(p, q): (Place, Place)| joined.join(p, q).expect("joints alone make no loop");
        parts.joins.iter().copied().for_each(&mut join);
        for (element, branches) in parts.elements.iter().zip(&self.elements) {
            if !matches!(element.kind, Kind::Source { .. } | Kind::Load { .. } | Kind::Resistor) {
                branches.iter().map(|branch| self.circuit.ends(*branch)).for_each(&mut join);
            }
        }
        self.studs.iter().map(|stud| self.circuit.ends(*stud)).for_each(&mut join);
        Wiring(joined)
    }
}

/// Which places something that can conduct joins.
pub(super) struct Wiring(Network);

impl Wiring {
    /// The same number for all places that are joined.
    pub(super) fn group(&self, place: Place) -> u32 {
        self.0.root(place).0.0
    }
}

impl Loop {
    fn of(fault: NetworkError, element: Option<ElementId>) -> Self {
        let (held, asked) = match fault {
            NetworkError::SourceLoop { held, asked } => (held, asked),
            _ => (0.0, 0.0),
        };
        Self { element, held, asked }
    }
}

/// A branch that is there in the pattern and does not conduct.
fn absent(net: &mut Network, a: Place, b: Place) -> Branch {
    net.resistor(a, b, ABSENT).expect("an open branch is sound")
}

fn resistor(net: &mut Network, a: Place, b: Place, ohms: Ohms) -> Branch {
    net.resistor(a, b, ohms).expect("resistances are checked as they are read")
}

impl Builder<'_> {
    fn supply(&mut self) -> Result<SourceBranch, Loop> {
        let supply = &self.parts.supply;
        let (minus, plus) = (self.parts.place(Parts::MINUS), self.parts.place(Parts::PLUS));
        self.source(plus, minus, supply.volts, supply.ohms).map_err(|fault| Loop::of(fault, None))
    }

    fn source(
        &mut self,
        plus: Place,
        minus: Place,
        volts: Volts,
        ohms: Option<Ohms>,
    ) -> Result<SourceBranch, NetworkError> {
        match ohms {
            Some(ohms) => self.net.source(plus, minus, (volts, ohms)).map(SourceBranch::Behind),
            None => self.net.ideal(plus, minus, volts).map(SourceBranch::Ideal),
        }
    }

    fn element(&mut self, id: ElementId) -> Result<(), Loop> {
        let parts = self.parts;
        let element = parts.element(id);
        let (a, b) = (parts.place(element.ends[0]), parts.place(element.ends[1]));
        let mut rubs = Vec::new();
        let branches = match &element.kind {
            Kind::Wire(_) => self.wire(element, &mut rubs),
            Kind::Potentiometer(wiper) => {
                let (middle, half) = (parts.place(wiper.point), halves(element.ohms, 0.5));
                vec![resistor(&mut self.net, a, middle, half.0), resistor(&mut self.net, middle, b, half.1)]
            }
            Kind::Source { volts, plus, .. } => {
                let (plus, minus) = if *plus == 0 { (a, b) } else { (b, a) };
                let made = self.source(plus, minus, *volts, element.ohms);
                match made.map_err(|fault| Loop::of(fault, Some(id)))? {
                    SourceBranch::Behind(branch) => vec![branch],
                    SourceBranch::Ideal(ideal) => {
                        self.ideals.push((id, ideal));
                        Vec::new()
                    }
                }
            }
            Kind::Diode => vec![absent(&mut self.net, a, b)],
            _ => vec![resistor(&mut self.net, a, b, element.ohms.unwrap_or(ABSENT))],
        };
        self.elements.push(branches);
        self.rubs.push(rubs);
        Ok(())
    }

    fn wire(&mut self, element: &Element, rubs: &mut Vec<Branch>) -> Vec<Branch> {
        let Kind::Wire(wire) = &element.kind else { return Vec::new() };
        let frame = self.parts.place(Parts::FRAME);
        let inner: Vec<Place> = wire.rubs.iter().map(|rub| self.parts.place(rub.point)).collect();
        rubs.extend(inner.iter().map(|place| absent(&mut self.net, *place, frame)));
        let last = self.parts.place(element.ends[1]);
        let mut from = self.parts.place(element.ends[0]);
        let mut branches = Vec::new();
        for (to, length) in inner.into_iter().chain([last]).zip(wire.stretches()) {
            branches.push(resistor(&mut self.net, from, to, wire.ohms(length, Celsius(20.0))));
            from = to;
        }
        branches
    }

    fn finish(mut self, supply: SourceBranch) -> Harness {
        let parts = self.parts;
        let frame = parts.place(Parts::FRAME);
        let net = &mut self.net;
        let studs = parts.studs.iter().map(|s| resistor(net, parts.place(s.point), frame, s.ohms)).collect();
        let feeds = feeds(net, parts);
        let inputs = inputs(net, parts);
        let outputs = outputs(net, parts);
        let rub = |(element, rub): (ElementId, u32)| match &parts.element(element).kind {
            Kind::Wire(wire) => parts.place(wire.rubs[rub as usize].point),
            _ => frame,
        };
        let touching = parts.touching.iter().map(|[a, b]| absent(net, rub(*a), rub(*b))).collect();
        let side = |contact: ElementId| parts.place(parts.element(contact).ends[0]);
        let wet = parts.wet.iter().map(|[a, b]| absent(net, side(*a), side(*b))).collect();
        let circuit = Circuit::new(&self.net, frame);
        let base = circuit.values(&self.net);
        let (elements, rubs, ideals) = (self.elements, self.rubs, self.ideals);
        let network = self.net;
        Harness {
            network,
            circuit,
            base,
            elements,
            studs,
            supply,
            ideals,
            feeds,
            inputs,
            outputs,
            rubs,
            touching,
            wet,
        }
    }
}

/// The two halves of a potentiometer whose wiper stands at a share of the way; each keeps a
/// thousandth, the wiper's own track.
pub(super) fn halves(ohms: Option<Ohms>, share: f64) -> (Ohms, Ohms) {
    let (whole, share) = (ohms.unwrap_or(Ohms(1.0)).value(), share.clamp(0.001, 0.999));
    (Ohms(whole * share), Ohms(whole * (1.0 - share)))
}

fn feeds(net: &mut Network, parts: &Parts) -> Vec<Branch> {
    let mut feeds = Vec::new();
    for controller in &parts.controllers {
        let feed = controller.feed;
        feeds.push(resistor(net, parts.place(feed.plus), parts.place(feed.minus), feed.ohms));
        for (a, b, ohms) in &controller.inside {
            resistor(net, parts.place(*a), parts.place(*b), *ohms);
        }
    }
    feeds
}

fn inputs(net: &mut Network, parts: &Parts) -> Vec<InputBranches> {
    let mut all = Vec::new();
    for input in &parts.inputs {
        let feed = parts.controllers[input.controller.at()].feed;
        let (pin, minus) = (parts.place(input.pin), parts.place(feed.minus));
        let pull_up = input.pull_up.map(|(to, _)| match to {
            PullUp::Volts(_) => absent(net, pin, minus),
            PullUp::Plus => absent(net, pin, parts.place(feed.plus)),
        });
        if let Some(ohms) = input.pull_down {
            resistor(net, pin, minus, ohms);
        }
        all.push(InputBranches { pull_up });
    }
    all
}

fn outputs(net: &mut Network, parts: &Parts) -> Vec<Branch> {
    let output = |output: &super::model::Output| {
        let feed = parts.controllers[output.controller.at()].feed;
        let other = match output.drives {
            Drive::Plus => feed.plus,
            Drive::Minus | Drive::Rail(_) => feed.minus,
        };
        (parts.place(output.pin), parts.place(other))
    };
    parts.outputs.iter().map(output).map(|(pin, other)| absent(net, pin, other)).collect()
}
