//! Every fault that a machine's circuits can have, named as a mechanic would, in file order.

use super::family::Machine;
use super::fault::{Fault, FaultKind, Measured};
use super::model::{ElementId, FaultId, Owner, Parts, PointId};
use super::parts::{Element, Kind, Rub};
use super::setup::Today;
use super::shares;
use std::collections::BTreeSet;

struct List<'m> {
    parts: &'m Parts,
    /// Per element: the load it carries, in ohms, if it is in a load circuit.
    loads: &'m [Option<f64>],
    faults: Vec<Fault>,
}

/// Lists the faults of a machine.
pub(super) fn enumerate(machine: &Machine) -> Vec<Fault> {
    let parts = machine.parts();
    let mut list = List { parts, loads: machine.carried(), faults: Vec::new() };
    for at in 0..parts.elements.len() {
        list.element(ElementId::new(at));
    }
    for (at, stud) in (0u32..).zip(&parts.studs) {
        let (nominal, spread) = shares::STUD;
        list.spread(
            format!("{} resistive", stud.name),
            FaultKind::Stud(at),
            shares::GROUND,
            (nominal, &spread),
        );
    }
    list.touching();
    list.wet();
    list.boxes();
    let twice = if parts.supply.volts.value() > 18.0 { 2.0 } else { 1.0 };
    let (nominal, spread) = shares::LOW;
    let spread = spread.map(|volts| volts * twice);
    let low = (nominal * twice, spread.as_slice());
    list.spread("supply low".to_owned(), FaultKind::SupplyLow, shares::SUPPLY, low);
    list.faults.last_mut().expect("just pushed").measured = Measured::Volts;
    list.intermittent();
    list.faults
}

/// The load that each element carries: volts of the battery over its current, in the function's state
/// in which it carries most; none at 50 mA and less.
pub(super) fn carried(machine: &Machine) -> Vec<Option<f64>> {
    let day = machine.day(Today::default());
    let parts = machine.parts();
    let mut most = vec![(0.0_f64, 0.0_f64); parts.elements.len()];
    for function in machine.function_ids() {
        let (with, _) = machine.function_setups(function);
        let rig = day.rig(&with);
        let settled = day.bare().settle(&rig);
        let across = super::settled::Probes { red: Parts::PLUS, black: Parts::MINUS };
        let volts = settled.volts(across).most.value();
        for (at, most) in most.iter_mut().enumerate() {
            let amps = settled.most_amps(ElementId::new(at)).value();
            if amps > most.0 {
                *most = (amps, volts);
            }
        }
    }
    most.into_iter().map(|(amps, volts)| (amps > shares::LOAD_AMPS).then(|| volts / amps)).collect()
}

impl List<'_> {
    fn push(&mut self, name: String, kind: FaultKind, share: f64) {
        let stops = Vec::new();
        self.faults.push(Fault {
            name,
            kind,
            share,
            measured: Measured::Fixed,
            nominal: 0.0,
            spread: vec![0.0],
            title: None,
            stops,
            seen: None,
        });
    }

    fn spread(&mut self, name: String, kind: FaultKind, share: f64, (nominal, spread): (f64, &[f64])) {
        self.push(name, kind, share);
        let fault = self.faults.last_mut().expect("just pushed");
        fault.measured = Measured::Ohms;
        fault.nominal = nominal;
        fault.spread = spread.to_vec();
    }

    fn element(&mut self, id: ElementId) {
        let parts = self.parts;
        let element = parts.element(id);
        let name = &element.name;
        let open = FaultKind::Open(id, 0);
        match &element.kind {
            Kind::Wire(wire) => self.wire(id, element, &wire.rubs),
            Kind::Contact { .. } | Kind::Joint => {
                self.push(format!("{name} open"), open, shares::CONTACT_OPEN);
                self.resistive(id, shares::CONTACT_RESISTIVE);
            }
            Kind::Switch { .. } => self.stuck(id, name, shares::SWITCH),
            Kind::RelayContact { .. } => self.stuck(id, name, shares::RELAY_CONTACT),
            Kind::Fuse { .. } => self.push(format!("{name} blown"), open, shares::FUSE),
            Kind::Load { .. } => {
                self.push(format!("{name} open"), open, shares::LOAD);
                self.shorted(id, name, shares::LOAD);
            }
            Kind::Resistor | Kind::Potentiometer(_) => {
                self.push(format!("{name} open"), open, shares::RESISTOR);
            }
            Kind::Diode => {
                self.push(format!("{name} open"), open, shares::RESISTOR);
                self.shorted(id, name, shares::RESISTOR);
            }
            Kind::Source { .. } => {
                self.push(format!("{name} dead"), FaultKind::SourceDead(id), shares::SOURCE);
            }
        }
    }

    fn wire(&mut self, id: ElementId, element: &Element, rubs: &[Rub]) {
        let name = &element.name;
        // A break of unknown place lies in the longest stretch.
        let Kind::Wire(wire) = &element.kind else { return };
        let lengths = wire.stretches();
        let longest = (0u32..).zip(&lengths).fold((0, 0.0), |best, (at, length)| {
            if length.value() > best.1 { (at, length.value()) } else { best }
        });
        self.push(format!("{name} open"), FaultKind::Open(id, longest.0), shares::WIRE_OPEN);
        if self.loads[id.at()].is_some() {
            self.resistive(id, shares::WIRE_RESISTIVE);
        }
        for (at, rub) in (0u32..).zip(rubs) {
            let place = &rub.name;
            self.push(format!("{name} open at {place}"), FaultKind::Open(id, at + 1), shares::RUB_OPEN);
            let (nominal, spread) = shares::CHAFE;
            let grounded = format!("{name} grounded at {place}");
            self.spread(grounded, FaultKind::Grounded(id, at), shares::RUB_GROUNDED, (nominal, &spread));
        }
    }

    fn resistive(&mut self, id: ElementId, share: f64) {
        let name = format!("{} resistive", self.parts.element(id).name);
        let kind = FaultKind::Resistive(id);
        if let Some(load) = self.loads[id.at()] {
            let (nominal, spread) = shares::OF_LOAD;
            let spread = spread.map(|times| times * load);
            self.spread(name, kind, share, (nominal * load, &spread));
        } else {
            let (nominal, spread) = shares::SIGNAL;
            self.spread(name, kind, share, (nominal, &spread));
        }
    }

    fn stuck(&mut self, id: ElementId, name: &str, share: f64) {
        self.push(format!("{name} stuck open"), FaultKind::Open(id, 0), share);
        self.push(format!("{name} stuck closed"), FaultKind::StuckClosed(id), share);
    }

    fn shorted(&mut self, id: ElementId, name: &str, share: f64) {
        let only = (shares::SHORTED, [shares::SHORTED].as_slice());
        self.spread(format!("{name} shorted"), FaultKind::Shorted(id), share, only);
    }

    fn touching(&mut self) {
        let parts = self.parts;
        for (at, [(later, rub), (earlier, _)]) in (0u32..).zip(&parts.touching) {
            let Kind::Wire(wire) = &parts.element(*later).kind else { continue };
            let (a, b) = (&parts.element(*later).name, &parts.element(*earlier).name);
            let name = format!("{a} touching {b} at {}", wire.rubs[*rub as usize].name);
            let (nominal, spread) = shares::CHAFE;
            self.spread(name, FaultKind::Touching(at), shares::RUB_TOUCHING, (nominal, &spread));
        }
    }

    fn wet(&mut self) {
        let parts = self.parts;
        for (at, [a, b]) in (0u32..).zip(&parts.wet) {
            let name = format!("{} wet to {}", parts.element(*a).name, parts.element(*b).name);
            let (nominal, spread) = shares::WATER;
            self.spread(name, FaultKind::Wet(at), shares::CONTACT_WET, (nominal, &spread));
        }
    }

    fn boxes(&mut self) {
        let parts = self.parts;
        for (at, controller) in parts.controllers.iter().enumerate() {
            let id = super::model::ControllerId::new(at);
            self.push(format!("{} dead", controller.name), FaultKind::ControllerDead(id), shares::CONTROLLER);
            let pins: BTreeSet<PointId> = controller
                .inputs
                .iter()
                .map(|input| parts.inputs[input.at()].pin)
                .chain(controller.outputs.iter().map(|output| parts.outputs[output.at()].pin))
                .collect();
            for pin in pins {
                debug_assert_eq!(parts.points[pin.at()].owner, Owner::Controller(id));
                let name = format!("{} dead", parts.points[pin.at()].name);
                self.push(name, FaultKind::PinDead(pin), shares::PIN);
            }
        }
    }

    /// Contacts and rubs also fail while moved, hot or wet only: a contact open, a rub to the frame.
    fn intermittent(&mut self) {
        let parts = self.parts;
        let steady: Vec<(String, FaultId)> = self
            .faults
            .iter()
            .enumerate()
            .filter_map(|(at, fault)| {
                let name = match fault.kind {
                    FaultKind::Open(element, _) => {
                        let element = parts.element(element);
                        let contact = matches!(element.kind, Kind::Contact { .. });
                        contact.then(|| format!("{} intermittent", element.name))?
                    }
                    FaultKind::Grounded(element, rub) => {
                        let Kind::Wire(wire) = &parts.element(element).kind else { return None };
                        let rub = &wire.rubs[rub as usize].name;
                        format!("{} intermittent at {rub}", parts.element(element).name)
                    }
                    _ => return None,
                };
                Some((name, FaultId::new(at)))
            })
            .collect();
        for (name, steady) in steady {
            self.push(name, FaultKind::Intermittent(steady), shares::INTERMITTENT);
        }
    }
}
