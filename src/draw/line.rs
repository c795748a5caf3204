//! A circuit as a line: what stands in it in the order in which the current flows, and where it can be probed.
//!
//! Pure data, for a drawing and for a screen alike. The current is that of the healthy machine in the function's state
//! in which the chain carries most; a chain that never carries any stands as its file writes it.

use std::collections::BTreeSet;

use crate::diag::Text;
use crate::machine::{ChainItem, Day, Element, ElementId, FunctionId, Kind, Machine, Owner, Parts, PointId};
use crate::safety::Words;
use crate::units::{Amps, Metres};

/// Below this a chain carries nothing (our choice, no source).
const STILL: Amps = Amps(1e-6);

/// A chain of a machine file, laid out as a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its name in the file.
    pub name: String,
    /// What stands in it, in the order in which the current flows.
    pub stands: Vec<Stand>,
    /// The number of its chain in [`Parts::chains`].
    pub chain: usize,
}

/// One thing in a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// Its designation: `A1:7`, `W31`, `X14:3`, `GND2`.
    pub name: String,
    /// What it is called.
    pub title: Option<Text>,
    /// How it is drawn.
    pub shape: Shape,
    /// What it is worth, in the machine file's units: `0.75 mm², 1.9 m, violet/grey`, `10 A`, `8.2 Ω`.
    pub detail: String,
    /// The zone of the body that reaches it.
    pub zone: Option<String>,
    /// Where a probe can go, in the order of the current: one point of a place, two of what has two ends.
    pub points: Vec<PointId>,
    /// The rubs of a wire, in the order of the current.
    pub rubs: Vec<RubAlong>,
    /// What has two ends, if it does.
    pub element: Option<ElementId>,
    /// The other lines that meet here.
    pub meets: Vec<String>,
}

/// A rub along a wire.
#[derive(Debug, Clone, PartialEq)]
pub struct RubAlong {
    /// Its name.
    pub name: String,
    /// Its point, as far as a probe can go there at all.
    pub point: PointId,
    /// How far along the wire in the order of the current, from 0 to 1.
    pub share: f64,
    /// The same as a length.
    pub along: Metres,
    /// What it rubs against, where that is known.
    pub against: Option<Text>,
}

/// How a thing is drawn, by the signs of IEC 60617.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shape {
    /// A terminal, splice or stud that is not on the frame.
    Place,
    /// A controller's pin.
    Pin,
    /// A stud on the frame.
    Ground,
    /// A wire.
    Wire,
    /// A contact of a connector.
    Contact,
    /// A switch, or a contact that a coil moves.
    Switch,
    /// A fuse.
    Fuse,
    /// A coil, lamp, motor or horn.
    Load,
    /// A resistance, with a wiper or without.
    Resistor,
    /// A bolted terminal.
    Joint,
    /// A diode.
    Diode,
    /// A battery, alternator or other source.
    Source,
}

impl Shape {
    /// The trade's word for it.
    #[must_use]
    pub const fn word(self) -> Words {
        match self {
            Self::Place => say("point", "punto"),
            Self::Pin => say("pin", "terminal"),
            Self::Ground => say("ground", "masa"),
            Self::Wire => say("wire", "cable"),
            Self::Contact => say("contact", "contacto"),
            Self::Switch => say("switch", "interruptor"),
            Self::Fuse => say("fuse", "fusible"),
            Self::Load => say("load", "consumo"),
            Self::Resistor => say("resistor", "resistencia"),
            Self::Joint => say("joint", "unión"),
            Self::Diode => say("diode", "diodo"),
            Self::Source => say("source", "fuente"),
        }
    }
}

const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

/// Every circuit of a machine as a line, in file order.
#[must_use]
pub fn lines(day: &Day<'_>) -> Vec<Line> {
    let machine = day.machine();
    let against = turned(day);
    let lines = machine.parts().chains.iter().enumerate().map(|(at, chain)| {
        let mut stands: Vec<Stand> =
            chain.items.iter().map(|item| stand(machine, *item, at, against[at])).collect();
        if against[at] {
            stands.reverse();
        }
        Line { name: chain.name.clone(), stands, chain: at }
    });
    lines.collect()
}

/// The lines that these functions hang on, in file order: their loads with what feeds them and where their current
/// goes, the coils that move their contacts, and the inputs that their outputs wait for.
#[must_use]
pub fn lines_of(day: &Day<'_>, functions: &[FunctionId]) -> Vec<Line> {
    let all = lines(day);
    let of = |function: &FunctionId| super::reach::chains_of(day.machine(), *function, &all);
    let wanted: BTreeSet<usize> = functions.iter().flat_map(of).collect();
    all.into_iter().filter(|line| wanted.contains(&line.chain)).collect()
}

/// The lines that a point stands in, by their numbers.
#[must_use]
pub fn lines_at(machine: &Machine, lines: &[Line], point: PointId) -> Vec<usize> {
    let meets = |line: &Line| {
        let mut points = line.stands.iter().flat_map(Stand::all_points);
        points.any(|own| own == point || machine.is_one_place(own, point))
    };
    lines.iter().enumerate().filter(|(_, line)| meets(line)).map(|(at, _)| at).collect()
}

impl Stand {
    /// Every point of it, rubs too.
    pub fn all_points(&self) -> impl Iterator<Item = PointId> + '_ {
        self.points.iter().copied().chain(self.rubs.iter().map(|rub| rub.point))
    }
}

/// Per chain: does the current flow against the order of the file?
fn turned(day: &Day<'_>) -> Vec<bool> {
    let machine = day.machine();
    let chains = &machine.parts().chains;
    let mut most = vec![0.0_f64; chains.len()];
    let case = day.healthy();
    for function in machine.function_ids() {
        let (with, _) = machine.function_setups(function);
        let rig = day.rig(&with);
        let settled = case.settle(&rig);
        for (chain, most) in chains.iter().zip(&mut most) {
            for element in elements(&chain.items) {
                let shown = settled.amps(element);
                let amps = f64::midpoint(shown.least.value(), shown.most.value());
                // Of an ideal source the network tells no current.
                if !shown.floating && amps.abs() > most.abs().max(STILL.value()) {
                    *most = amps;
                }
            }
        }
    }
    most.into_iter().map(|amps| amps < 0.0).collect()
}

fn elements(items: &[ChainItem]) -> impl Iterator<Item = ElementId> + '_ {
    items.iter().filter_map(|item| match item {
        ChainItem::Element(id) => Some(*id),
        ChainItem::Point(_) => None,
    })
}

fn stand(machine: &Machine, item: ChainItem, chain: usize, against: bool) -> Stand {
    match item {
        ChainItem::Point(point) => place(machine, point, chain),
        ChainItem::Element(id) => two_ended(machine, id, against),
    }
}

fn place(machine: &Machine, id: PointId, chain: usize) -> Stand {
    let parts = machine.parts();
    let point = &parts.points[id.at()];
    let (shape, title) = match point.owner {
        Owner::Controller(box_) => (Shape::Pin, parts.controllers[box_.at()].title.clone()),
        Owner::Stud(_) | Owner::Frame => (Shape::Ground, None),
        _ => (Shape::Place, None),
    };
    let others = parts.chains.iter().enumerate().filter(|(at, _)| *at != chain);
    let meets = others
        .filter(|(_, other)| points_of(parts, &other.items).iter().any(|p| machine.is_one_place(*p, id)))
        .map(|(_, other)| other.name.clone());
    Stand {
        name: point.name.clone(),
        title,
        shape,
        detail: String::new(),
        zone: point.zone.clone(),
        points: vec![id],
        rubs: Vec::new(),
        element: None,
        meets: meets.collect(),
    }
}

/// Every point of a chain, the ends of its things among them.
fn points_of(parts: &Parts, items: &[ChainItem]) -> BTreeSet<PointId> {
    let mut points = BTreeSet::new();
    for item in items {
        match item {
            ChainItem::Point(id) => drop(points.insert(*id)),
            ChainItem::Element(id) => points.extend(parts.elements[id.at()].ends),
        }
    }
    points
}

fn two_ended(machine: &Machine, id: ElementId, against: bool) -> Stand {
    let element = &machine.parts().elements[id.at()];
    let mut points = element.ends.to_vec();
    let mut rubs = Vec::new();
    if let Kind::Wire(wire) = &element.kind {
        rubs.extend(wire.rubs.iter().map(|rub| {
            let (from_start, length) = (rub.along.value(), wire.length.value());
            let along = if against { length - from_start } else { from_start };
            RubAlong {
                name: rub.name.clone(),
                point: rub.point,
                share: along / length,
                along: Metres(along),
                against: rub.against.clone(),
            }
        }));
    }
    if against {
        points.reverse();
        rubs.reverse();
    }
    let body = match &element.kind {
        Kind::Contact { connector, .. } => machine.parts().connectors[connector.at()].title.as_ref(),
        _ => None,
    };
    Stand {
        name: element.name.clone(),
        title: element.title.as_ref().or(body).cloned(),
        shape: shape(&element.kind),
        detail: detail(element),
        zone: element.zone.clone(),
        points,
        rubs,
        element: Some(id),
        meets: Vec::new(),
    }
}

const fn shape(kind: &Kind) -> Shape {
    match kind {
        Kind::Wire(_) => Shape::Wire,
        Kind::Contact { .. } => Shape::Contact,
        Kind::Switch { .. } | Kind::RelayContact { .. } => Shape::Switch,
        Kind::Fuse { .. } => Shape::Fuse,
        Kind::Load { .. } => Shape::Load,
        Kind::Resistor | Kind::Potentiometer(_) => Shape::Resistor,
        Kind::Joint => Shape::Joint,
        Kind::Diode => Shape::Diode,
        Kind::Source { .. } => Shape::Source,
    }
}

fn detail(element: &Element) -> String {
    let ohms = || element.ohms.map_or_else(String::new, |ohms| ohms.to_string());
    match &element.kind {
        Kind::Wire(wire) => {
            let mut words = vec![wire.size.to_string(), wire.length.to_string()];
            words.extend(wire.colour.clone());
            words.join(", ")
        }
        Kind::Fuse { rating } => rating.to_string(),
        Kind::Source { volts, .. } => volts.to_string(),
        Kind::Load { .. } | Kind::Resistor | Kind::Potentiometer(_) => ohms(),
        _ => String::new(),
    }
}
