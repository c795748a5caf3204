//! Where each fault sits along the wire, and what is wrong there in a few words.
//!
//! The order is that of the circuits in the machine file and of the things in each, turned round where
//! the current flows the other way in the state in which the symptom's function should work.

use crate::diag::{Lang, Text};
use crate::machine::{ChainItem, ElementId, FaultId, FaultKind, Kind, Machine, Parts, PointId};
use crate::reason::outlook::Outlook;

/// Below this a circuit carries nothing, and the file's order stands.
const NO_CURRENT: f64 = 1e-4;

/// Where a fault sits.
#[derive(Debug, Clone, PartialEq)]
pub struct Along {
    /// The circuit, as the machine file calls it; empty for what sits in none.
    pub circuit: String,
    /// The place: `W35`, `X14:4`, `A1:8`, `GND2`.
    pub spot: String,
    /// What is wrong there: "rubbed through, pivot clamp".
    pub words: Text,
}

/// A place in the order: the circuit's number, the thing's number in it, metres along a wire.
type Place = (usize, usize, f64);

/// The listed faults of a machine with their places, and their order along the wire.
pub(super) fn along_the_wire(outlook: &Outlook<'_, '_>, faults: &[FaultId]) -> Vec<(usize, Along)> {
    let machine = outlook.machine();
    let turned = turned(outlook);
    let mut placed: Vec<(Place, usize, Along)> = faults
        .iter()
        .enumerate()
        .map(|(at, fault)| {
            let place = place(machine, *fault, &turned);
            let circuit = machine.parts().chains.get(place.0).map_or("", |chain| &chain.name);
            let (spot, words) = spot_and_words(machine, *fault);
            (place, at, Along { circuit: circuit.to_owned(), spot, words })
        })
        .collect();
    placed.sort_by(|(a, first, _), (b, second, _)| {
        (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)).then(first.cmp(second))
    });
    placed.into_iter().map(|(_, at, along)| (at, along)).collect()
}

/// A fault that is only known by its name: `W35 grounded at pivot-clamp`.
pub(super) fn by_name(fault: &str) -> Along {
    let (spot, words) = fault.split_once(' ').unwrap_or((fault, ""));
    Along { circuit: String::new(), spot: spot.to_owned(), words: Text::plain(words) }
}

/// Of each circuit whether its current flows from its end to its beginning.
fn turned(outlook: &Outlook<'_, '_>) -> Vec<bool> {
    let parts = outlook.machine().parts();
    let Some(rig) = outlook.symptom_rig() else { return vec![false; parts.chains.len()] };
    let healthy = outlook.day.healthy();
    let settled = healthy.settle(&rig);
    let carries = |item: &ChainItem| match item {
        ChainItem::Element(id) => {
            let amps = settled.amps(*id).most.value();
            (amps.abs() > NO_CURRENT).then_some(amps < 0.0)
        }
        ChainItem::Point(_) => None,
    };
    parts.chains.iter().map(|chain| chain.items.iter().find_map(carries).unwrap_or(false)).collect()
}

fn place(machine: &Machine, fault: FaultId, turned: &[bool]) -> Place {
    let parts = machine.parts();
    let nowhere = (parts.chains.len(), 0, 0.0);
    let found = match machine.fault(fault).kind {
        FaultKind::Open(element, stretch) => Some((element, rub_at(parts, element, stretch.checked_sub(1)))),
        FaultKind::Grounded(element, rub) => Some((element, rub_at(parts, element, Some(rub)))),
        FaultKind::Touching(pair) => {
            let [(element, rub), _] = parts.touching[pair as usize];
            Some((element, rub_at(parts, element, Some(rub))))
        }
        FaultKind::Intermittent(steady) => return place(machine, steady, turned),
        FaultKind::Stud(stud) => {
            let point = parts.studs.get(stud as usize).map(|stud| stud.point);
            return point.and_then(|point| point_place(parts, point, turned)).unwrap_or(nowhere);
        }
        FaultKind::PinDead(point) => return point_place(parts, point, turned).unwrap_or(nowhere),
        FaultKind::ControllerDead(id) => {
            let plus = parts.controllers[id.at()].feed.plus;
            return point_place(parts, plus, turned).unwrap_or(nowhere);
        }
        FaultKind::SupplyLow => return (0, 0, -1.0),
        FaultKind::Other => return nowhere,
        _ => machine.fault_elements(fault).first().map(|element| (*element, 0.0)),
    };
    let Some((element, metres)) = found else { return nowhere };
    let chain = parts.elements[element.at()].chain;
    let items = parts.chains.get(chain).map_or(&[][..], |chain| &chain.items);
    let at = items.iter().position(|item| *item == ChainItem::Element(element)).unwrap_or(0);
    turn((chain, at, metres), items.len(), turned)
}

fn point_place(parts: &Parts, point: PointId, turned: &[bool]) -> Option<Place> {
    parts.chains.iter().enumerate().find_map(|(nth, chain)| {
        let at = chain.items.iter().position(|item| *item == ChainItem::Point(point))?;
        Some(turn((nth, at, 0.0), chain.items.len(), turned))
    })
}

fn turn((chain, at, metres): Place, things: usize, turned: &[bool]) -> Place {
    if turned.get(chain).copied().unwrap_or(false) {
        (chain, things - 1 - at.min(things - 1), -metres)
    } else {
        (chain, at, metres)
    }
}

/// Metres along its wire of a rub.
fn rub_at(parts: &Parts, element: ElementId, rub: Option<u32>) -> f64 {
    let Kind::Wire(wire) = &parts.elements[element.at()].kind else { return 0.0 };
    rub.and_then(|rub| wire.rubs.get(rub as usize)).map_or(0.0, |rub| rub.along.value())
}

/// Faults that a find names, one of which it is: `J3 open or does not carry (boom strap, frame end)`. Those of one place
/// stand together, and the place says once what it is; what the machine file does not know stays as it is written.
#[must_use]
pub fn faults_said(machine: &Machine, names: &[String], lang: &Lang) -> String {
    let or = Text::both(" or ", " o ");
    let mut places: Vec<(String, String, Vec<String>)> = Vec::new();
    for name in names {
        let Some((spot, rub, words)) = spot_rub_words(machine, name, lang) else {
            places.push((String::new(), String::new(), vec![name.clone()]));
            continue;
        };
        match places.iter_mut().find(|(known, at, _)| !spot.is_empty() && *known == spot && *at == rub) {
            Some((_, _, all)) => all.push(words),
            None => places.push((spot, rub, vec![words])),
        }
    }
    let said = places.iter().map(|(spot, rub, words)| {
        let space = if spot.is_empty() { "" } else { " " };
        let title = title_of(machine, spot, lang).map_or_else(String::new, |title| format!(" ({title})"));
        format!("{spot}{space}{}{rub}{title}", words.join(or.in_lang(lang)))
    });
    said.collect::<Vec<_>>().join("; ")
}

/// Where a fault sits, the rub that it is named for with a comma before it, and what it is there.
fn spot_rub_words(machine: &Machine, name: &str, lang: &Lang) -> Option<(String, String, String)> {
    let fault = machine.fault_named(name)?;
    let (spot, words) = spot_and_words(machine, fault);
    let words = words.in_lang(lang).to_owned();
    if machine.fault(fault).title.is_some() || spot == "-" {
        return Some((String::new(), String::new(), words));
    }
    let rub =
        name.split_once(" at ").map_or(String::new(), |(_, rub)| format!(", {}", rub.replace('-', " ")));
    let bare = words.strip_suffix(&rub).unwrap_or(&words).to_owned();
    Some((spot, rub, bare))
}

/// What the machine file calls a part, or the plug of a contact.
fn title_of(machine: &Machine, spot: &str, lang: &Lang) -> Option<String> {
    let parts = machine.parts();
    let element = parts.elements.iter().find(|element| element.name == spot)?;
    let title = match &element.kind {
        Kind::Contact { connector, .. } => parts.connectors[connector.at()].title.as_ref(),
        _ => element.title.as_ref(),
    };
    title.map(|title| title.in_lang(lang).to_owned())
}

fn spot_and_words(machine: &Machine, fault: FaultId) -> (String, Text) {
    let known = machine.fault(fault);
    let name = known.name.as_str();
    let spot = name.split(' ').next().unwrap_or(name).to_owned();
    if let Some(title) = &known.title {
        return (if spot == name { String::from("-") } else { spot }, title.clone());
    }
    let rub =
        name.split_once(" at ").map_or(String::new(), |(_, rub)| format!(", {}", rub.replace('-', " ")));
    let both = |en: &str, es: &str| Text::both(&format!("{en}{rub}"), &format!("{es}{rub}"));
    let words = match known.kind {
        FaultKind::Open(element, _) => match machine.parts().elements[element.at()].kind {
            Kind::Fuse { .. } => both("blown", "fundido"),
            Kind::Switch { .. } | Kind::RelayContact { .. } => both("stuck open", "no cierra"),
            _ => both("open", "abierto"),
        },
        FaultKind::Resistive(_) | FaultKind::Stud(_) => both("does not carry", "no conduce bien"),
        FaultKind::Shorted(_) => both("shorted", "en corto"),
        FaultKind::StuckClosed(_) => both("stuck closed", "pegado"),
        FaultKind::Grounded(..) => both("rubbed through", "rozado a masa"),
        FaultKind::Touching(pair) => {
            let [_, (other, _)] = machine.parts().touching[pair as usize];
            let other = &machine.parts().elements[other.at()].name;
            both(&format!("touching {other}"), &format!("toca {other}"))
        }
        FaultKind::Wet(pair) => {
            let [_, other] = machine.parts().wet[pair as usize];
            let other = &machine.parts().elements[other.at()].name;
            both(&format!("wet, over to {other}"), &format!("húmedo, hacia {other}"))
        }
        FaultKind::ControllerDead(_) | FaultKind::PinDead(_) | FaultKind::SourceDead(_) => {
            both("dead", "muerto")
        }
        FaultKind::SupplyLow => return ("B+".to_owned(), Text::both("battery low", "batería baja")),
        FaultKind::Intermittent(_) => both("comes and goes", "intermitente"),
        FaultKind::Other => return ("-".to_owned(), Text::plain(name)),
    };
    (spot, words)
}
