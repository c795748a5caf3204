//! Every name in a tree that the machine file has to know: points, plugs, wires, controls, functions, faults, zones.

use std::collections::HashSet;

use crate::diag::{Place, Problems, nearest};
use crate::machine::{FaultKind, Located, Machine};

use super::course::Course;
use super::model::{Act, Ask, Find, Kind, Leads, Observe, Read, Step};

/// Tells every name that nobody knows.
pub(super) fn check_names(course: &Course, problems: &mut Problems) {
    let tree = course.tree();
    let mut told = HashSet::new();
    // A port that a gauge is read at is a place to fit one on, though no circuit has it.
    let gauges: HashSet<&str> = tree.steps.iter().filter_map(gauge).collect();
    for step in &tree.steps {
        let mut names = Names { step, gauges: &gauges, told: &mut told, problems };
        if let Some(machine) = tree.model.as_deref() {
            names.setup(machine);
            names.kind(machine);
        }
    }
    let Some(machine) = tree.model.as_deref() else { return };
    let place = super::load::route(tree.file, &["symptom"]);
    let known: Vec<&str> = machine.parts().functions.iter().map(|f| f.name.as_str()).collect();
    for (function, _) in &tree.symptom {
        if machine.function(function).is_none() {
            unknown("function", function, &known, place.key(function).as_key(), problems);
        }
    }
}

/// Where a gauge is read.
fn gauge(step: &Step) -> Option<&str> {
    match &step.kind {
        Kind::Read(read) => match &read.leads {
            Leads::At(at) => Some(at),
            _ => None,
        },
        _ => None,
    }
}

struct Names<'n> {
    step: &'n Step,
    gauges: &'n HashSet<&'n str>,
    told: &'n mut HashSet<(Place, String)>,
    problems: &'n mut Problems,
}

impl Names<'_> {
    fn tell(&mut self, what: &str, name: &str, known: &[&str], key: &str) {
        let place = self.step.place.key(key);
        // The copies of a group are one place in a file, and one mistake.
        if self.told.insert((place.clone(), name.to_owned())) {
            unknown(what, name, known, place, self.problems);
        }
    }

    fn setup(&mut self, machine: &Machine) {
        let controls: Vec<&str> = machine.parts().controls.iter().map(|c| c.name.as_str()).collect();
        for (control, state) in self.step.with.clone() {
            let Some(id) = machine.control(&control) else {
                self.tell("control", &control, &controls, "with");
                continue;
            };
            let states: Vec<&str> =
                machine.parts().controls[id.at()].states.iter().map(String::as_str).collect();
            if !states.contains(&state.as_str()) {
                self.tell(&format!("state of {control}"), &state, &states, "with");
            }
        }
    }

    fn kind(&mut self, machine: &Machine) {
        let step = self.step;
        match &step.kind {
            Kind::Ask(Ask { observe: Some(Observe::Function(name)), .. })
                if machine.function(name).is_none() =>
            {
                let known: Vec<&str> = machine.parts().functions.iter().map(|f| f.name.as_str()).collect();
                self.tell("function", name, &known, "observe");
            }
            Kind::Look(look) => {
                // What is not electrical has no place in the circuits: it is looked for by its own name.
                for place in look.places.iter().filter(|place| !is_own(machine, place)) {
                    self.thing(machine, place, "places");
                }
            }
            Kind::Read(read) => self.read(machine, read),
            Kind::Do(action) => {
                for (act, names) in &action.acts {
                    for name in names {
                        self.act(machine, *act, name);
                    }
                }
            }
            Kind::Find(find) => self.find(machine, find),
            _ => {}
        }
    }

    fn read(&mut self, machine: &Machine, read: &Read) {
        let keyed: Vec<(&str, &str)> = match &read.leads {
            Leads::RedBlack { red, black } => [("red", Some(red)), ("black", black.as_ref())]
                .into_iter()
                .filter_map(|(k, p)| Some((k, p?.as_str())))
                .collect(),
            Leads::Across(a, b) => vec![("across", a), ("across", b)],
            Leads::Around(wire) => {
                self.thing(machine, wire, "around");
                Vec::new()
            }
            Leads::At(_) => Vec::new(),
        };
        let points: Vec<&str> = machine.parts().points.iter().map(|p| p.name.as_str()).collect();
        for (key, point) in keyed {
            if !point.is_empty() && machine.point(point).is_none() {
                self.tell("point", point, &points, key);
            }
        }
        for moved in &read.while_moves {
            self.thing(machine, moved, "while");
        }
        for plug in &read.apart {
            self.plug(machine, plug, "apart");
        }
        for fault in read.tells.iter().filter(|fault| !is_own(machine, fault)) {
            let faults = machine.faults().iter().map(|fault| fault.name.as_str());
            let known: Vec<&str> = faults.filter(|name| is_own(machine, name)).collect();
            self.tell("fault of the machine's own", fault, &known, "tells");
        }
    }

    fn act(&mut self, machine: &Machine, act: Act, name: &str) {
        let key = Act::ALL.iter().find(|(_, a)| *a == act).map_or("do", |(key, _)| *key);
        match act {
            Act::Unplugs | Act::Plugs => self.plug(machine, name, key),
            Act::Cuts => self.thing(machine, name, key),
            Act::Ties | Act::Unties => {
                if machine.control(name).is_none() {
                    let known: Vec<&str> = machine.parts().controls.iter().map(|c| c.name.as_str()).collect();
                    self.tell("control", name, &known, key);
                }
            }
            Act::Fits | Act::Unfits => {
                let is_known = machine.point(name).is_some() || machine.element(name).is_some();
                if !is_known && !self.gauges.contains(name) {
                    let points: Vec<&str> = machine.parts().points.iter().map(|p| p.name.as_str()).collect();
                    self.tell("point", name, &points, key);
                }
            }
            Act::Opens | Act::Shuts | Act::Bridges | Act::Unbridges => {}
        }
    }

    fn plug(&mut self, machine: &Machine, name: &str, key: &str) {
        if machine.connector(name).is_none() {
            let known: Vec<&str> = machine.parts().connectors.iter().map(|c| c.name.as_str()).collect();
            self.tell("connector", name, &known, key);
        }
    }

    /// Anything that has a place: a point, wire, plug, rub, controller.
    fn thing(&mut self, machine: &Machine, name: &str, key: &str) {
        let bare = machine.zone_named(name) == Located::Nowhere && machine.element(name).is_none();
        if bare {
            let parts = machine.parts();
            let known: Vec<&str> = parts
                .points
                .iter()
                .map(|p| p.name.as_str())
                .chain(parts.elements.iter().map(|e| e.name.as_str()))
                .chain(parts.connectors.iter().map(|c| c.name.as_str()))
                .collect();
            self.tell("place", name, &known, key);
        }
    }

    fn find(&mut self, machine: &Machine, find: &Find) {
        for fault in &find.faults {
            if machine.fault_named(fault).is_none() {
                let known: Vec<&str> = machine.faults().iter().map(|f| f.name.as_str()).collect();
                self.tell("fault", fault, &known, "find");
            }
        }
    }
}

/// Is it a fault that the machine file adds, which sits in no circuit?
fn is_own(machine: &Machine, name: &str) -> bool {
    machine.fault_named(name).map(|id| machine.fault(id).kind) == Some(FaultKind::Other)
}

fn unknown(what: &str, name: &str, known: &[&str], place: Place, problems: &mut Problems) {
    let meant = if problems.can_guess() { nearest(name, known.iter().copied()) } else { None };
    let write = match meant {
        Some(meant) => format!("`{meant}`, if that is meant"),
        None if known.len() <= 12 && !known.is_empty() => {
            format!("one of {}", known.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", "))
        }
        None => format!("a {what} of the machine; `loomwalk predict` and `loomwalk faults` list them"),
    };
    problems.refuse("unknown-name", place).says(
        format!("there is no {what} `{name}`"),
        "The mechanic would look for something that is not on the machine.",
        write,
    );
}
