//! What a machine file becomes while it is read: parts, names, places, and every problem.

use crate::diag::{Entries, FileId, Form, Node, Place as FilePlace, Problems, Text, nearest};
use crate::machine::model::{
    Connector, Control, ControllerId, ElementId, InputId, OutputId, Owner, Parts, Point, PointId, Supply,
};
use crate::machine::network::Place;
use crate::machine::parts::{Kind, Stud};
use crate::units::{Minutes, QuantityError, Volts, Written};
use std::collections::{BTreeMap, HashMap, HashSet};

/// The longest name that is one.
const LONGEST_NAME: usize = 64;

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Named {
    Point(PointId),
    Splice(PointId),
    Stud(PointId),
    Element(ElementId),
    Connector(usize),
    Controller(ControllerId),
}

/// A machine being read.
pub(super) struct Draft<'p> {
    pub(super) file: FileId,
    pub(super) problems: &'p mut Problems,
    pub(super) parts: Parts,
    pub(super) names: HashMap<String, Named>,
    pub(super) points: HashMap<String, PointId>,
    pub(super) controls: HashMap<String, usize>,
    pub(super) inputs: HashMap<String, InputId>,
    pub(super) outputs: HashMap<String, OutputId>,
    pub(super) zones: Vec<String>,
    /// Names of all loads, known before the chains are read: a relay's contact may come before its coil.
    pub(super) load_names: HashSet<String>,
    /// Where each element stands in the file.
    pub(super) element_at: Vec<FilePlace>,
    pub(super) controller_at: Vec<FilePlace>,
    /// Wires by the rub they run over.
    pub(super) rubs: BTreeMap<String, Vec<(ElementId, String)>>,
}

impl<'p> Draft<'p> {
    /// Begins with the frame and the battery's two terminals.
    pub(super) fn new(file: FileId, problems: &'p mut Problems) -> Self {
        let supply =
            Supply { volts: Volts(12.0), ohms: None, charging: None, charged_by: None, isolator: None };
        let parts = Parts {
            supply,
            controls: Vec::new(),
            connectors: Vec::new(),
            chains: Vec::new(),
            elements: Vec::new(),
            studs: Vec::new(),
            points: Vec::new(),
            controllers: Vec::new(),
            inputs: Vec::new(),
            outputs: Vec::new(),
            functions: Vec::new(),
            others: Vec::new(),
            touching: Vec::new(),
            wet: Vec::new(),
            places: 0,
            joins: Vec::new(),
        };
        let mut draft = Self {
            file,
            problems,
            parts,
            names: HashMap::new(),
            points: HashMap::new(),
            controls: HashMap::new(),
            inputs: HashMap::new(),
            outputs: HashMap::new(),
            zones: Vec::new(),
            load_names: HashSet::new(),
            element_at: Vec::new(),
            controller_at: Vec::new(),
            rubs: BTreeMap::new(),
        };
        for (name, owner) in [("frame", Owner::Frame), ("B-", Owner::Own), ("B+", Owner::Own)] {
            let place = draft.new_place();
            let point = draft.add_point(name, owner, place);
            draft.names.insert(name.to_owned(), Named::Point(point));
        }
        draft
    }

    pub(super) fn new_place(&mut self) -> Place {
        let at = u32::try_from(self.parts.places).expect("a file has fewer places than u32 counts");
        self.parts.places += 1;
        Place(at)
    }

    /// Adds a point; an address that is there already is told by who claims the name.
    pub(super) fn add_point(&mut self, name: &str, owner: Owner, place: Place) -> PointId {
        let id = PointId::new(self.parts.points.len());
        self.parts.points.push(Point { name: name.to_owned(), owner, zone: None, place });
        self.points.insert(name.to_owned(), id);
        id
    }

    /// A point that an element brings along: a new one, or one of its own that a chain named before.
    pub(super) fn claim_point(&mut self, name: &str, owner: Owner, place: Place, at: &FilePlace) -> PointId {
        match self.points.get(name).copied() {
            Some(point) if self.parts.points[point.at()].owner == Owner::Own => {
                let held = self.parts.place(point);
                self.parts.joins.push((held, place));
                self.parts.points[point.at()].owner = owner;
                point
            }
            Some(_) => {
                self.used_twice(name, at.clone());
                self.add_point(name, owner, place)
            }
            None => self.add_point(name, owner, place),
        }
    }

    /// Takes a name for something new; false, and told, if it is taken or no name at all.
    pub(super) fn claim(&mut self, name: &str, named: Named, at: FilePlace) -> bool {
        if !self.is_name(name, at.clone()) {
            return false;
        }
        if self.names.contains_key(name) {
            self.used_twice(name, at);
            return false;
        }
        self.names.insert(name.to_owned(), named);
        true
    }

    pub(super) fn used_twice(&mut self, name: &str, at: FilePlace) {
        self.problems.refuse("name-used-twice", at).says(
            format!("the name `{name}` is already taken"),
            "On the drawing and in the hand it must be one thing; a reading there would mean two places.",
            "a name of its own",
        );
    }

    /// Tells a name that cannot be one.
    pub(super) fn is_name(&mut self, name: &str, at: FilePlace) -> bool {
        let fits = |c: char| c.is_alphanumeric() || "-+_./:".contains(c);
        let good = !name.is_empty() && name.chars().count() <= LONGEST_NAME && name.chars().all(fits);
        if !good {
            self.problems.refuse("bad-name", at).says(
                format!("`{}` cannot be a name", crate::diag::visible_line(name)),
                "Names are typed at the machine and stand in journals.",
                "letters, digits, `-`, `+`, `.`, `/`, at most 64, as `W31` or `GND2`",
            );
        }
        good
    }

    pub(super) fn open<'n, 'a>(
        &mut self,
        node: &'n Node<'a>,
        form: &'static Form,
    ) -> Option<Entries<'n, 'a>> {
        Entries::open(node, self.file, form, self.problems)
    }

    pub(super) fn word<'n>(&mut self, entries: &Entries<'n, '_>, key: &str) -> Option<&'n str> {
        entries.word(key, self.problems)
    }

    pub(super) fn place(&self, node: &Node<'_>) -> FilePlace {
        FilePlace::Bytes(self.file, node.span)
    }

    pub(super) fn title(&mut self, entries: &Entries<'_, '_>) -> Option<Text> {
        self.text(entries, "title")
    }

    pub(super) fn text(&mut self, entries: &Entries<'_, '_>, key: &str) -> Option<Text> {
        Text::read(entries.get(key)?, self.file, self.problems)
    }

    /// A quantity above zero under a key.
    pub(super) fn quantity<T: Written>(&mut self, entries: &Entries<'_, '_>, key: &str) -> Option<T> {
        self.quantity_of(entries.get(key)?)
    }

    pub(super) fn quantity_of<T: Written>(&mut self, node: &Node<'_>) -> Option<T> {
        let place = self.place(node);
        let Some(text) = node.scalar() else {
            self.problems.refuse("wrong-kind", place).says(
                format!("a quantity is wanted here, this is {}", node.kind()),
                "Without it nothing can be computed.",
                "a number with its unit",
            );
            return None;
        };
        match T::parse_above_zero(text) {
            Ok(value) => Some(value),
            Err(error) => {
                self.wrong_quantity(&error, place);
                None
            }
        }
    }

    pub(super) fn wrong_quantity(&mut self, error: &QuantityError, place: FilePlace) {
        self.problems.refuse("wrong-quantity", place).says(
            error.to_string(),
            "Every reading that depends on it would be computed wrong.",
            format!("`{}`", error.write),
        );
    }

    /// Minutes: a plain number, or a time with its unit.
    pub(super) fn minutes(&mut self, entries: &Entries<'_, '_>) -> Option<Minutes> {
        let node = entries.get("minutes")?;
        let plain = node.scalar().and_then(|text| text.trim().parse::<f64>().ok());
        match plain {
            Some(value) if value.is_finite() && (0.0..=10_000.0).contains(&value) => Some(Minutes(value)),
            Some(_) => {
                let place = self.place(node);
                self.problems.refuse("wrong-quantity", place).says(
                    "this is no working time",
                    "Plans would be made with it.",
                    "minutes from 0 up, as `4`",
                );
                None
            }
            None => self.quantity_of(node),
        }
    }

    /// A zone's name, checked.
    pub(super) fn zone(&mut self, entries: &Entries<'_, '_>) -> Option<String> {
        let name = self.word(entries, "zone")?;
        if self.zones.iter().any(|zone| zone == name) {
            return Some(name.to_owned());
        }
        let place = self.place(entries.get("zone")?);
        let zones = self.zones.clone();
        self.dangling("zone", name, place, zones.iter().map(String::as_str));
        None
    }

    /// Tells a name that leads nowhere, with what was probably meant.
    pub(super) fn dangling<'k>(
        &mut self,
        what: &str,
        name: &str,
        place: FilePlace,
        known: impl Iterator<Item = &'k str>,
    ) {
        // In a file full of mistakes a few names are enough to guess from.
        let most = if self.problems.list().len() < 100 { usize::MAX } else { 20 };
        let known: Vec<&str> = known.take(most).collect();
        let meant = nearest(name, known.iter().copied());
        let few = || {
            if known.is_empty() {
                return format!("a {what} that is there; this file has none");
            }
            let listed: Vec<String> = known.iter().take(12).map(|k| format!("`{k}`")).collect();
            format!("one of {}", listed.join(", "))
        };
        self.problems.refuse("dangling-name", place).says(
            format!("there is no {what} `{name}`"),
            "What is named here and is not there can be neither found nor measured.",
            meant.map_or_else(few, |m| format!("`{m}`, if that is meant")),
        );
    }

    pub(super) fn control(&mut self, name: &str, place: FilePlace) -> Option<usize> {
        let found = self.controls.get(name).copied();
        if found.is_none() {
            let names: Vec<String> = self.parts.controls.iter().map(|c| c.name.clone()).collect();
            self.dangling("control", name, place, names.iter().map(String::as_str));
        }
        found
    }

    /// The number of a control's state.
    pub(super) fn state(&mut self, control: usize, state: &str, place: FilePlace) -> Option<usize> {
        let Control { name, states, .. } = self.parts.controls[control].clone();
        let found = states.iter().position(|s| s == state);
        if found.is_none() {
            self.dangling(&format!("state of `{name}`"), state, place, states.iter().map(String::as_str));
        }
        found
    }

    /// The connector of a contact. One that the file does not describe is taken as it is, unless its
    /// name looks like a slip for one that is described.
    pub(super) fn connector(&mut self, name: &str, place: FilePlace) -> Option<usize> {
        if let Some(Named::Connector(at)) = self.names.get(name) {
            return Some(*at);
        }
        let names: Vec<String> = self.parts.connectors.iter().map(|c| c.name.clone()).collect();
        if nearest(name, names.iter().map(String::as_str).take(400)).is_some() {
            self.dangling("connector", name, place, names.iter().map(String::as_str));
            return None;
        }
        let at = self.parts.connectors.len();
        if !self.claim(name, Named::Connector(at), place.clone()) {
            return None;
        }
        self.problems.warn("connector-not-described", place).says(
            format!("the connector `{name}` is not under `connectors:`"),
            "Nobody is told where it sits, and no zone is known for a reading there.",
            format!("`{name}: {{title: …, where: …, zone: …}}` under `connectors:`"),
        );
        self.parts.connectors.push(Connector {
            name: name.to_owned(),
            title: None,
            location: None,
            zone: None,
            view: None,
            rows: Vec::new(),
            minutes: None,
            contacts: Vec::new(),
        });
        Some(at)
    }

    pub(super) fn load(&mut self, name: &str, place: FilePlace) -> Option<ElementId> {
        let is_load = |id: &ElementId| matches!(self.parts.element(*id).kind, Kind::Load { .. });
        if let Some(Named::Element(id)) = self.names.get(name)
            && is_load(id)
        {
            return Some(*id);
        }
        let elements = self.parts.elements.iter();
        let loads: Vec<String> =
            elements.filter(|e| matches!(e.kind, Kind::Load { .. })).map(|e| e.name.clone()).collect();
        self.dangling("load", name, place, loads.iter().map(String::as_str));
        None
    }

    pub(super) fn add_stud(&mut self, stud: Stud) {
        self.parts.studs.push(stud);
    }
}
