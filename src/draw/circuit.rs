//! A circuit as a line: one row for each thing on it, in the order of the machine file, and one for each rub on a wire.
//!
//! Pure data: what a row is, what it is called, which points a probe can go to on it. Screen and drawing make lines of it.

use crate::diag::{Lang, Text};
use crate::machine::{ChainItem, ConnectorId, Element, FaultId, FaultKind, Kind, Machine, Owner, PointId};

/// What a row is; each has a mark of its own, so that shape tells it and not colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowKind {
    /// A pin, a terminal, a splice: a place.
    Place,
    /// A stud on the frame.
    Ground,
    /// A wire.
    Wire,
    /// A place where the wire of the row above can be rubbed through.
    Rub,
    /// A mated pin pair.
    Contact,
    /// A switch or a relay's contact.
    Switch,
    /// A fuse.
    Fuse,
    /// What does the work, or a resistance.
    Load,
}

/// One row of a circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitRow {
    /// What it is.
    pub kind: RowKind,
    /// What it is called: `W31`, `X14:3`, `A1:7`; a rub by its name.
    pub name: String,
    /// What more is to be said of it.
    pub words: Text,
    /// Where a probe can go, from the circuit's beginning on.
    pub points: Vec<PointId>,
    /// The connector it belongs to.
    pub connector: Option<ConnectorId>,
    /// The wire that a rub is on, or the row's own name.
    pub of: String,
}

/// A circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitLine {
    /// Its name in the machine file.
    pub name: String,
    /// Its rows.
    pub rows: Vec<CircuitRow>,
}

/// A connector as one looks at it.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Its designation.
    pub name: String,
    /// Where it sits, and from which side the rows are seen.
    pub words: Text,
    /// The pins, row by row; true for the one in question.
    pub rows: Vec<Vec<(String, bool)>>,
}

/// A circuit of a machine by its place in the file.
#[must_use]
pub fn circuit_line(machine: &Machine, circuit: usize) -> Option<CircuitLine> {
    let chain = machine.parts().chains.get(circuit)?;
    let mut rows = Vec::new();
    for item in &chain.items {
        match item {
            ChainItem::Point(point) => rows.push(place_row(machine, *point)),
            ChainItem::Element(id) => element_rows(machine, &machine.parts().elements[id.at()], &mut rows),
        }
    }
    Some(CircuitLine { name: chain.name.clone(), rows })
}

/// The circuits on which a point stands.
#[must_use]
pub fn circuits_of(machine: &Machine, point: PointId) -> Vec<usize> {
    let parts = machine.parts();
    let holds = |item: &ChainItem| match item {
        ChainItem::Point(own) => *own == point,
        ChainItem::Element(id) => ends_and_rubs(&parts.elements[id.at()]).contains(&point),
    };
    (0..parts.chains.len()).filter(|at| parts.chains[*at].items.iter().any(holds)).collect()
}

/// The face of the connector that a point belongs to, where the file shows it.
#[must_use]
pub fn face_of(machine: &Machine, point: PointId) -> Option<Face> {
    let parts = machine.parts();
    let (Owner::Side(id, _) | Owner::End(id, _)) = parts.points.get(point.at())?.owner else { return None };
    let Kind::Contact { connector, pin } = &parts.elements[id.at()].kind else { return None };
    let body = parts.connectors.get(connector.at())?;
    if body.rows.is_empty() {
        return None;
    }
    let rows = body.rows.iter().map(|row| row.iter().map(|own| (own.clone(), own == pin)).collect());
    let words = join(&[body.title.as_ref(), body.location.as_ref(), body.view.as_ref()]);
    Some(Face { name: body.name.clone(), words, rows: rows.collect() })
}

/// The row at which a fault sits: the name of the thing, and of the rub where it is one.
#[must_use]
pub fn seat_of(machine: &Machine, fault: FaultId) -> Option<(String, Option<String>)> {
    let parts = machine.parts();
    let on_wire = |id: crate::machine::ElementId, rub: Option<u32>| {
        let element = &parts.elements[id.at()];
        let rub = match &element.kind {
            Kind::Wire(wire) => rub.and_then(|rub| wire.rubs.get(rub as usize)).map(|rub| rub.name.clone()),
            _ => None,
        };
        Some((element.name.clone(), rub))
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
        FaultKind::Stud(stud) => Some((parts.studs.get(stud as usize)?.name.clone(), None)),
        FaultKind::PinDead(point) => Some((parts.points.get(point.at())?.name.clone(), None)),
        FaultKind::ControllerDead(id) => {
            Some((parts.points.get(parts.controllers.get(id.at())?.feed.plus.at())?.name.clone(), None))
        }
        FaultKind::SupplyLow => Some(("B+".to_owned(), None)),
        FaultKind::Intermittent(steady) => seat_of(machine, steady),
        FaultKind::Other => None,
    }
}

fn ends_and_rubs(element: &Element) -> Vec<PointId> {
    let mut points = element.ends.to_vec();
    if let Kind::Wire(wire) = &element.kind {
        points.extend(wire.rubs.iter().map(|rub| rub.point));
    }
    points
}

fn place_row(machine: &Machine, point: PointId) -> CircuitRow {
    let parts = machine.parts();
    let known = &parts.points[point.at()];
    let (kind, words) = match known.owner {
        Owner::Stud(_) | Owner::Frame => (RowKind::Ground, Text::both("to the frame", "al chasis")),
        Owner::Controller(id) => {
            let title = parts.controllers[id.at()].title.as_ref();
            (RowKind::Place, join(&[title, Some(&Text::both("pin", "terminal"))]))
        }
        _ => (RowKind::Place, Text::default()),
    };
    let name = known.name.clone();
    CircuitRow { kind, of: name.clone(), name, words, points: vec![point], connector: None }
}

fn element_rows(machine: &Machine, element: &Element, rows: &mut Vec<CircuitRow>) {
    let (kind, connector) = match &element.kind {
        Kind::Wire(_) => (RowKind::Wire, None),
        Kind::Contact { connector, .. } => (RowKind::Contact, Some(*connector)),
        Kind::Switch { .. } | Kind::RelayContact { .. } => (RowKind::Switch, None),
        Kind::Fuse { .. } => (RowKind::Fuse, None),
        Kind::Joint => (RowKind::Place, None),
        _ => (RowKind::Load, None),
    };
    rows.push(CircuitRow {
        kind,
        name: element.name.clone(),
        words: words_of(machine, element),
        points: element.ends.to_vec(),
        connector,
        of: element.name.clone(),
    });
    if let Kind::Wire(wire) = &element.kind {
        rows.extend(wire.rubs.iter().map(|rub| CircuitRow {
            kind: RowKind::Rub,
            name: rub.name.replace('-', " "),
            words: Text::plain(format!("{}", rub.along)),
            points: vec![rub.point],
            connector: None,
            of: element.name.clone(),
        }));
    }
}

fn words_of(machine: &Machine, element: &Element) -> Text {
    let title = element.title.as_ref();
    match &element.kind {
        Kind::Wire(wire) => {
            let colour = wire.colour.as_ref().map_or_else(String::new, |colour| format!(", {colour}"));
            Text::plain(format!("{}, {}{colour}", wire.size, wire.length))
        }
        Kind::Contact { connector, .. } => {
            let body = &machine.parts().connectors[connector.at()];
            join(&[body.title.as_ref()])
        }
        Kind::Fuse { rating } => join(&[title, Some(&Text::plain(rating.to_string()))]),
        Kind::Switch { .. } => title.cloned().unwrap_or_else(|| Text::both("switch", "interruptor")),
        Kind::RelayContact { .. } => {
            title.cloned().unwrap_or_else(|| Text::both("relay contact", "contacto de relé"))
        }
        _ => title.cloned().unwrap_or_default(),
    }
}

/// What there is of these, with commas between, in both languages.
fn join(texts: &[Option<&Text>]) -> Text {
    let in_lang = |code: &str| {
        let lang = Lang::new(code);
        let words: Vec<&str> =
            texts.iter().flatten().map(|text| text.in_lang(&lang)).filter(|text| !text.is_empty()).collect();
        words.join(", ")
    };
    Text::both(&in_lang("en"), &in_lang("es"))
}
