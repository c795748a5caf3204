//! Where a fault sits in a line.

use crate::machine::{ElementId, FaultId, FaultKind, Kind, Machine};

/// A thing of a line, or a rub on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seat {
    /// The designation of the thing.
    pub thing: String,
    /// The name of the rub, where it is one.
    pub rub: Option<String>,
}

/// Where a fault sits in a line; none for what has no place.
#[must_use]
pub fn seat_of(machine: &Machine, fault: FaultId) -> Option<Seat> {
    let parts = machine.parts();
    let thing = |name: &str| Seat { thing: name.to_owned(), rub: None };
    let on_wire = |id: ElementId, rub: Option<u32>| {
        let element = &parts.elements[id.at()];
        let rub = match &element.kind {
            Kind::Wire(wire) => rub.and_then(|rub| wire.rubs.get(rub as usize)).map(|rub| rub.name.clone()),
            _ => None,
        };
        Some(Seat { thing: element.name.clone(), rub })
    };
    match machine.fault(fault).kind {
        FaultKind::Open(id, stretch) => on_wire(id, stretch.checked_sub(1)),
        FaultKind::Grounded(id, rub) => on_wire(id, Some(rub)),
        FaultKind::Touching(pair) => {
            let [(id, rub), _] = *parts.touching.get(pair as usize)?;
            on_wire(id, Some(rub))
        }
        FaultKind::Wet(pair) => on_wire(parts.wet.get(pair as usize)?[0], None),
        FaultKind::Resistive(id)
        | FaultKind::Shorted(id)
        | FaultKind::StuckClosed(id)
        | FaultKind::SourceDead(id) => on_wire(id, None),
        FaultKind::Stud(stud) => Some(thing(&parts.studs.get(stud as usize)?.name)),
        FaultKind::PinDead(point) => Some(thing(&parts.points.get(point.at())?.name)),
        FaultKind::ControllerDead(id) => {
            let plus = parts.controllers.get(id.at())?.feed.plus;
            Some(thing(&parts.points.get(plus.at())?.name))
        }
        FaultKind::SupplyLow => Some(thing("B+")),
        FaultKind::Intermittent(steady) => seat_of(machine, steady),
        FaultKind::Other => None,
    }
}
