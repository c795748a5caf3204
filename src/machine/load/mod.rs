//! From the text of a machine file to a machine: every problem at once, each with its place.
//!
//! The vocabulary of a chain: `pin`, `point`, `splice`, `ground` name a place; `wire`, `contact`,
//! `switch`, `fuse`, `load`, `resistor`, `relay-contact`, `joint`, `potentiometer`, `diode` and
//! `source` have two ends. A sensor with three pins on a shared rail is a `potentiometer` whose ends
//! hang on an output that `drives: rail` and on the rail's return, and whose wiper, terminal 3, is a
//! `point` of the signal's chain. A resistance ladder is resistors and switches between splices. A
//! pair of channels is two inputs and the logic `agree`. A CAN pair is resistors, those in a box under
//! its `inside`. An alternator or second battery is a `source`. What a box draws asleep is its
//! `asleep`, with the pin that wakes it.

mod boxes;
mod chains;
mod draft;
mod fault_lines;
mod forms;
mod head;
mod items;
mod pairs;
mod said;

pub use forms::MACHINE as MACHINE_FORM;

use super::enumerate::{carried, enumerate};
use super::family::Machine;
use super::harness::{Harness, Loop};
use super::model::{Control, ElementId, Parts, Reach};
use super::parts::Kind;
use super::power::Power;
use crate::diag::{Entries, FileId, Limits, Node, Nodes, Place, Problems, Text};
use crate::safety::OwnSafety;
use crate::units::{Ohms, Volts};
use draft::{Draft, Named};
use fault_lines::apply_lines;
use head::named;
use std::collections::HashSet;

/// A machine as far as it could be read, and every problem in its file.
#[derive(Debug)]
pub struct LoadedMachine {
    /// The machine; `None` if anything in the file is refused.
    pub machine: Option<Machine>,
    /// Its name, if that much could be read.
    pub name: Option<String>,
    /// What the file says about safety, for the safety check.
    pub safety: OwnSafety,
    /// All problems.
    pub problems: Problems,
}

/// Largest machine file: some thousand wires.
const LIMITS: Limits = Limits { bytes: 4 << 20, depth: 40, nodes: 200_000, rows: None };
/// Most things that conduct or can come to conduct.
const MOST_ELEMENTS: usize = 4_000;
/// Most functions; every fault is tried in the states of each.
const MOST_FUNCTIONS: usize = 64;

/// Loads a machine from its text.
#[must_use]
pub fn load_machine(text: &str, file: FileId) -> LoadedMachine {
    let mut problems = Problems::default();
    let nodes = Nodes::default();
    let root = nodes.parse_yaml(text, file, LIMITS, &mut problems);
    let Some(root) = root else {
        return LoadedMachine { machine: None, name: None, safety: OwnSafety::default(), problems };
    };
    load_node(&root, file, problems)
}

fn load_node(root: &Node<'_>, file: FileId, mut problems: Problems) -> LoadedMachine {
    let Some(top) = Entries::open(root, file, &forms::MACHINE, &mut problems) else {
        return LoadedMachine { machine: None, name: None, safety: OwnSafety::default(), problems };
    };
    let mut draft = Draft::new(file, &mut problems);
    let safety = draft.read_safety(&top);
    let head = draft.read_head(&top);
    draft.read_all(&top);
    let name = head.as_ref().map(|(name, ..)| name.clone());
    let harness = if draft.problems.refused() { None } else { draft.harness() };
    let machine = head.zip(harness).and_then(|(head, harness)| {
        let mut machine = Machine::new(head, draft.parts.clone(), harness);
        machine.set_carried(carried(&machine));
        let faults = enumerate(&machine);
        let faults = apply_lines(&mut draft, &top, faults);
        machine.set_faults(faults);
        (!draft.problems.refused()).then_some(machine)
    });
    LoadedMachine { machine, name, safety, problems }
}

/// Names in the supply that only the chains explain.
#[derive(Default)]
struct SupplyNames {
    isolator: Option<(String, Place)>,
    charged_by: Option<(String, Place)>,
}

impl Draft<'_> {
    fn read_head(&mut self, top: &Entries<'_, '_>) -> Option<(String, Text, u32)> {
        if let Some(version) = self.word(top, "loomwalk").filter(|v| *v != "1") {
            let place = top.get("loomwalk").map_or_else(|| top.place(), |n| self.place(n));
            self.problems.refuse("format-version", place).says(
                format!("this file says it is of format {version}; format 1 is known"),
                "What a later format means by a key would be a guess.",
                "`loomwalk: 1`",
            );
        }
        let revision = match top.get("revision").and_then(Node::scalar).map(str::trim) {
            None => 0,
            Some(text) => text.parse::<u32>().unwrap_or_else(|_| {
                self.problems.refuse("wrong-kind", top.key_place("revision")).says(
                    "the revision is a whole number",
                    "Nobody could tell which of two files is newer.",
                    "`revision: 4`",
                );
                0
            }),
        };
        let name = self.word(top, "machine").map(str::to_owned);
        let title = self.text(top, "title");
        Some((name?, title?, revision))
    }

    fn read_all(&mut self, top: &Entries<'_, '_>) {
        self.read_controls(top);
        self.read_connectors(top);
        let names = self.read_supply(top);
        self.read_controllers(top);
        let circuits = named(self, top, "circuits");
        self.read_chains(circuits);
        self.resolve_coils(top);
        self.resolve_supply(names);
        self.read_decisions(top);
        self.read_functions(top);
        self.read_parts(top);
        self.pair_up();
    }

    fn read_parts(&mut self, top: &Entries<'_, '_>) {
        for entry in named(self, top, "parts") {
            let Some(part) = self.open(&entry.value, &forms::PART) else { continue };
            let title = self.title(&part);
            self.parts.others.extend(title.map(|title| (entry.key.to_string(), title)));
        }
    }

    /// Reads the battery; isolator and charger are names until the chains are known, the isolator a
    /// control at once.
    fn read_supply(&mut self, top: &Entries<'_, '_>) -> SupplyNames {
        let Some(supply) = top.get("supply").and_then(|node| self.open(node, &forms::SUPPLY)) else {
            return SupplyNames::default();
        };
        let volts: Option<Volts> = self.quantity(&supply, "volts");
        let ohms: Option<Ohms> = self.quantity(&supply, "ohms");
        let charging: Option<Volts> = self.quantity(&supply, "charging");
        self.parts.supply.volts = volts.unwrap_or(self.parts.supply.volts);
        self.parts.supply.ohms = ohms;
        self.parts.supply.charging = charging;
        let name = |draft: &mut Self, key: &str| {
            let name = draft.word(&supply, key)?.to_owned();
            supply.get(key).map(|node| (name, draft.place(node)))
        };
        let names = SupplyNames { isolator: name(self, "isolator"), charged_by: name(self, "charged-by") };
        if names.isolator.is_some() && !self.controls.contains_key("isolator") {
            let on = vec![Power::Live, Power::Off, Power::Running];
            self.add_control(Control {
                name: "isolator".to_owned(),
                title: None,
                states: vec!["on".to_owned(), "off".to_owned()],
                called: vec![None; 2],
                power: vec![on, vec![Power::Isolated]],
                reach: Reach::Anywhere,
            });
        }
        names
    }

    fn resolve_supply(&mut self, names: SupplyNames) {
        let is_switch: fn(&Kind) -> bool = |kind| matches!(kind, Kind::Switch { .. });
        let is_source: fn(&Kind) -> bool = |kind| matches!(kind, Kind::Source { .. });
        if let Some((name, place)) = names.isolator {
            self.parts.supply.isolator = self.of_kind("switch", is_switch, &name, place);
        }
        if let Some((name, place)) = names.charged_by {
            self.parts.supply.charged_by = self.of_kind("source", is_source, &name, place);
        }
    }

    fn of_kind(
        &mut self,
        what: &str,
        wanted: fn(&Kind) -> bool,
        name: &str,
        place: Place,
    ) -> Option<ElementId> {
        if let Some(Named::Element(id)) = self.names.get(name).copied()
            && wanted(&self.parts.element(id).kind)
        {
            return Some(id);
        }
        let all = self.parts.elements.iter().filter(|e| wanted(&e.kind));
        let known: Vec<String> = all.map(|e| e.name.clone()).collect();
        self.dangling(what, name, place, known.iter().map(String::as_str));
        None
    }

    /// Finds the coil of every relay contact, by `coil:` or by its own relay's name.
    fn resolve_coils(&mut self, top: &Entries<'_, '_>) {
        let mut said: Vec<(String, Option<String>, Place)> = Vec::new();
        for chain in named(self, top, "circuits") {
            for item in chain.value.list().unwrap_or_default() {
                let Some(node) = item.get("relay-contact") else { continue };
                let own = node.scalar().unwrap_or_default().trim().to_owned();
                let coil = item.get("coil").and_then(|c| c.scalar()).map(|c| c.trim().to_owned());
                let at = self.place(item.get("coil").unwrap_or(node));
                said.push((own, coil, at));
            }
        }
        let contacts: Vec<ElementId> = (0..self.parts.elements.len())
            .map(ElementId::new)
            .filter(|id| matches!(self.parts.element(*id).kind, Kind::RelayContact { .. }))
            .collect();
        for contact in contacts {
            let name = self.parts.element(contact).name.clone();
            let own = |(written, ..): &&(String, Option<String>, Place)| {
                *written == name || name.strip_prefix(written.as_str()).is_some_and(|rest| rest.len() == 1)
            };
            let Some((written, coil, at)) = said.iter().find(own).cloned() else { continue };
            // `K3a` without a coil belongs to `K3`.
            let bare = written.strip_suffix(|c: char| c.is_ascii_lowercase()).unwrap_or(&written);
            let own = if self.load_names.contains(&written) { written.as_str() } else { bare };
            let coil = coil.unwrap_or_else(|| own.to_owned());
            let found = self.load(&coil, at.clone());
            let Some(found) = found else { continue };
            if let Kind::Load { pulls_in: None } = self.parts.element(found).kind {
                self.problems.refuse("load-without-pull-in", at).says(
                    format!("`{coil}` moves a contact and does not say from which volts up"),
                    "Whether the relay pulls in with a poor feed would be a guess.",
                    format!("`pulls-in: 7 V` at `load: {coil}`"),
                );
            }
            if let Kind::RelayContact { coil, .. } = &mut self.parts.elements[contact.at()].kind {
                *coil = found;
            }
        }
    }

    /// Expands the parts to a network, told what cannot be one.
    fn harness(&mut self) -> Option<Harness> {
        let parts = &self.parts;
        let inside: usize = parts.controllers.iter().map(|c| c.inside.len()).sum();
        let pairs = parts.touching.len() + parts.wet.len();
        let boxes = parts.controllers.len() + parts.inputs.len() + parts.outputs.len() + inside;
        let things = parts.elements.len() + boxes + pairs;
        if things > MOST_ELEMENTS || parts.functions.len() > MOST_FUNCTIONS {
            let functions = parts.functions.len();
            self.problems.refuse("too-large", Place::file(self.file)).says(
                format!(
                    "{things} things and {functions} functions; {MOST_ELEMENTS} and {MOST_FUNCTIONS} are allowed"
                ),
                "Computing every fault of it would hold the laptop up.",
                "the circuits that the trees are about",
            );
            return None;
        }
        let mut harness = self.expanded()?;
        let (frame, minus) = (self.parts.place(Parts::FRAME), self.parts.place(Parts::MINUS));
        let wiring = harness.wiring(&self.parts);
        if wiring.group(frame) != wiring.group(minus) {
            self.parts.joins.push((frame, minus));
            harness = self.expanded()?;
        }
        self.check_boxes(&harness);
        Some(harness)
    }

    fn expanded(&mut self) -> Option<Harness> {
        match Harness::new(&self.parts) {
            Ok(harness) => Some(harness),
            Err(closed) => {
                self.source_loop(closed);
                None
            }
        }
    }

    fn source_loop(&mut self, closed: Loop) {
        let place = closed.element.and_then(|id| self.element_at.get(id.at()).cloned());
        let name = closed.element.map_or("the supply", |id| self.parts.element(id).name.as_str()).to_owned();
        let place = place.unwrap_or_else(|| {
            Place::Route(self.file, vec![crate::diag::Leg::Key("supply".into())], crate::diag::Side::Key)
        });
        self.problems.refuse("source-loop", place).says(
            format!(
                "{name} closes a loop of sources without resistance: {} and {} between the same two places",
                Volts(closed.held),
                Volts(closed.asked)
            ),
            "Nothing would limit the current, so no reading can be computed.",
            "the source's own resistance, as `ohms: 20 mohm`",
        );
    }

    /// A controller that nothing feeds, or whose minus leads nowhere, floats.
    fn check_boxes(&mut self, harness: &Harness) {
        let wiring = harness.wiring(&self.parts);
        let group = |point| wiring.group(self.parts.place(point));
        let further = self.parts.elements.iter().filter(|e| matches!(e.kind, Kind::Source { .. }));
        let mut sources: HashSet<u32> = further.flat_map(|source| source.ends).map(group).collect();
        sources.insert(group(Parts::PLUS));
        let grounds = group(Parts::MINUS);
        let feeds: Vec<(bool, bool)> = self
            .parts
            .controllers
            .iter()
            .map(|c| (sources.contains(&group(c.feed.plus)), group(c.feed.minus) == grounds))
            .collect();
        for (at, (fed, grounded)) in feeds.into_iter().enumerate() {
            let controller = self.parts.controllers[at].clone();
            if fed && grounded {
                continue;
            }
            let pin = if fed { controller.feed.minus } else { controller.feed.plus };
            let pin = self.parts.points[pin.at()].name.clone();
            let lacks = if fed { "the battery's minus" } else { "a source" };
            self.problems.refuse("floating-controller", self.controller_at[at].clone()).says(
                format!("{} floats: no circuit leads from its pin {pin} to {lacks}", controller.name),
                "It could never be fed, and every pin of it would read nothing.",
                format!("a chain that ends with `- pin: {pin}`"),
            );
        }
    }
}
