//! What the steps walked so far have left: power, plugs apart, wires cut. A machine's setup at a step
//! is the tree's setup with the step's own laid over, in this situation.

use std::collections::BTreeSet;

use crate::machine::{Lamp, Machine, Moved, Probes, Setup, power_named};
use crate::safety::{Deed, Facet, Fact, NamedKind, Power, State, Vocabulary, changes};
use crate::tree::{Act, Kind, Leads, Read, Step, Tree};

/// What a walk has left behind that a reading can depend on.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Situation {
    power: Option<Power>,
    apart: BTreeSet<String>,
    cut: BTreeSet<String>,
}

impl Situation {
    /// The situation after a step was done.
    #[must_use]
    pub fn after(&self, step: &Step, vocabulary: &Vocabulary) -> Self {
        let mut next = self.clone();
        match &step.kind {
            Kind::Gate(gate) => {
                if let Some(power) = vocabulary.gate(&gate.gate).and_then(|id| power_set(id, vocabulary)) {
                    next.power = Some(power);
                }
            }
            Kind::Do(action) => {
                for (act, names) in &action.acts {
                    for name in names {
                        next.note(*act, name);
                    }
                }
            }
            _ => {}
        }
        next
    }

    fn note(&mut self, act: Act, name: &str) {
        match act {
            Act::Unplugs => drop(self.apart.insert(name.to_owned())),
            Act::Plugs => drop(self.apart.remove(name)),
            Act::Cuts => drop(self.cut.insert(name.to_owned())),
            _ => {}
        }
    }

    /// The situation that a walk's state stands for: the power if it is known, and what is surely apart.
    #[must_use]
    pub fn of(state: &State, vocabulary: &Vocabulary) -> Self {
        let powers = [Power::Running, Power::Live, Power::Off, Power::Isolated];
        let power = powers.into_iter().find(|power| state.is_within(Facet::POWER, power.only(), vocabulary));
        let apart = vocabulary
            .named(NamedKind::Apart)
            .into_iter()
            .filter(|(_, facet)| state.is_within(*facet, Fact::Yes.only(), vocabulary))
            .map(|(name, _)| name.to_owned())
            .collect();
        Self { power, apart, cut: BTreeSet::new() }
    }

    /// This situation with these wires cut.
    #[must_use]
    pub fn with_cut(self, cut: BTreeSet<String>) -> Self {
        Self { cut, ..self }
    }

    /// This situation with power and plugs as a walk's state has them; the wires cut stay cut.
    #[must_use]
    pub fn with_state(&self, state: &State, vocabulary: &Vocabulary) -> Self {
        Self { cut: self.cut.clone(), ..Self::of(state, vocabulary) }
    }

    /// The power in force, where a gate has put one in force.
    #[must_use]
    pub const fn power(&self) -> Option<Power> {
        self.power
    }
}

/// The one power that a gate puts in force.
fn power_set(gate: crate::safety::GateId, vocabulary: &Vocabulary) -> Option<Power> {
    let mut state = State::at_start(vocabulary);
    state.apply_all(&changes(&Deed::Gate(gate), vocabulary), vocabulary);
    let powers = [Power::Running, Power::Live, Power::Off, Power::Isolated];
    powers.into_iter().find(|power| state.is_within(Facet::POWER, power.only(), vocabulary))
}

/// The machine as a step finds it; `None` where no such setup can be.
pub(super) fn setup_at(tree: &Tree, machine: &Machine, step: &Step, now: &Situation) -> Option<Setup> {
    let power = step.power.as_deref().and_then(power_named).or(now.power);
    let named = controls(tree, machine, step, power.is_some());
    let all = controls(tree, machine, step, false);
    let with = |pairs: &[(String, String)], power| {
        let pairs: Vec<(&str, &str)> = pairs.iter().map(|(c, s)| (c.as_str(), s.as_str())).collect();
        machine.setup(&pairs, power)
    };
    let mut setup = with(&named, power).or_else(|_| with(&all, None)).ok()?;
    setup.unplugged = now.apart.iter().filter_map(|plug| machine.connector(plug)).collect();
    setup.cut = now.cut.iter().filter_map(|wire| machine.element(wire)).collect();
    if let Kind::Read(read) = &step.kind {
        setup.moved = read.while_moves.iter().filter_map(|name| moved(machine, name)).collect();
        setup.lamp = lamp(machine, read);
    }
    Some(setup)
}

/// The tree's controls with the step's laid over. With the power known, a control that says something
/// about power and that the step does not name is left to fit it.
fn controls(tree: &Tree, machine: &Machine, step: &Step, power_known: bool) -> Vec<(String, String)> {
    let mut pairs = if tree.setup.is_empty() { symptom_controls(tree, machine) } else { tree.setup.clone() };
    let speaks_of_power =
        |control: &str| machine.parts().controls.iter().any(|c| c.name == control && !c.power.is_empty());
    pairs.retain(|(control, _)| !(power_known && speaks_of_power(control)));
    for (control, state) in &step.with {
        pairs.retain(|(own, _)| own != control);
        pairs.push((control.clone(), state.clone()));
    }
    pairs
}

/// The machine as the tree sets it, with the power that goes with that.
pub(super) fn symptom_setup(tree: &Tree, machine: &Machine) -> Option<Setup> {
    let pairs = if tree.setup.is_empty() { symptom_controls(tree, machine) } else { tree.setup.clone() };
    let pairs: Vec<(&str, &str)> = pairs.iter().map(|(c, s)| (c.as_str(), s.as_str())).collect();
    machine.setup(&pairs, None).ok()
}

/// The state in which the symptom's first function should work.
fn symptom_controls(tree: &Tree, machine: &Machine) -> Vec<(String, String)> {
    let parts = machine.parts();
    let first = tree.symptom.first().and_then(|(name, _)| parts.functions.iter().find(|f| f.name == *name));
    let Some(function) = first else { return Vec::new() };
    let names = parts.controls.iter().filter_map(|control| {
        let id = machine.control(&control.name)?;
        let (_, state) = function.with.iter().find(|(own, _)| *own == id)?;
        Some((control.name.clone(), control.states.get(*state)?.clone()))
    });
    names.collect()
}

fn moved(machine: &Machine, name: &str) -> Option<Moved> {
    let plug = machine.connector(name).map(Moved::Connector);
    plug.or_else(|| machine.element(name.split('@').next()?).map(Moved::Wire))
}

fn lamp(machine: &Machine, read: &Read) -> Option<Lamp> {
    let on = probes(machine, &read.leads)?;
    Some(Lamp { leads: [on.red, on.black], watts: read.loaded? })
}

/// Where the leads of a meter go; `None` for a clamp or a gauge, or a point that does not exist.
pub(super) fn probes(machine: &Machine, leads: &Leads) -> Option<Probes> {
    Some(match leads {
        Leads::RedBlack { red, black } => {
            let named = black.as_deref().filter(|name| !name.is_empty());
            let against = named.map_or(Some(machine.frame()), |name| machine.point(name));
            Probes { red: machine.point(red)?, black: against? }
        }
        Leads::Across(a, b) => Probes { red: machine.point(a)?, black: machine.point(b)? },
        Leads::Around(_) | Leads::At(_) => return None,
    })
}
