//! What each deed does to what is known of the machine.
//!
//! A condition is lost by what can change it, not only by a gate; nothing gives a value back. Every
//! change sets constants or makes not known, whatever was before: that makes the safety check exact.

use super::conditions::{Arms, Facet, Fact, NamedKind, Power, Pressure, Values};
use super::deed::{Deed, StepKind, Watch};
use super::gates::{Gate, GateId};
use super::own::{LostBy, Moves};
use super::state::Change;
use super::vocabulary::Vocabulary;

const YES: Values = Fact::Yes.only();
const NO: Values = Fact::No.only();

/// A gate could not be done, or there is no way to what is needed: `keep-away` is open from here.
pub const STUCK: Change = Change::Set(Facet::STUCK, YES);

/// What the deed changes, in order, when it is done.
#[must_use]
pub fn changes(deed: &Deed, vocabulary: &Vocabulary) -> Vec<Change> {
    let mut changes = trace(deed);
    match deed {
        Deed::Gate(gate) => changes.extend(gate_changes(*gate, vocabulary)),
        Deed::Watch(watch) => changes.extend(watch_changes(watch, vocabulary)),
        Deed::Cut(_) => changes.push(Change::Set(Facet::WHOLE, NO)),
        Deed::OpenHydraulics => {
            changes.extend([Change::Set(Facet::WHOLE, NO), Change::Set(Facet::HOT, NO)]);
        }
        Deed::Repair(_) => changes.extend([
            Change::Set(Facet::WHOLE, NO),
            Change::Set(Facet::REPAIRED, YES),
            Change::NoneOf(NamedKind::Shown),
        ]),
        Deed::Found => changes.extend([
            Change::Set(Facet::FOUND, YES),
            Change::Set(Facet::REPAIRED, NO),
            Change::NoneOf(NamedKind::Shown),
        ]),
        _ => changes.extend(named_changes(deed, vocabulary)),
    }
    changes
}

/// What becomes of the machine when the step was begun and could not be done: whatever it sets or
/// loses is not known; after a gate the walk is stuck.
#[must_use]
pub fn changes_on_cannot(deed: &Deed, vocabulary: &Vocabulary) -> Vec<Change> {
    let mut cannot: Vec<Change> = changes(deed, vocabulary).into_iter().map(begun).collect();
    if matches!(deed, Deed::Gate(_)) {
        cannot.push(STUCK);
    }
    cannot
}

/// What is not known any more when the walk goes back over a gate that was begun, or jumps from it.
#[must_use]
pub fn changes_on_undo(gate: GateId, vocabulary: &Vocabulary) -> Vec<Change> {
    changes(&Deed::Gate(gate), vocabulary).into_iter().map(begun).collect()
}

/// A change that was begun and perhaps not made. That the machine was touched, and that it does not
/// stand any more as it was left, is so from the first hand on it.
fn begun(change: Change) -> Change {
    match change {
        Change::Set(Facet::TOUCHED, _) | Change::Set(Facet::LEFT, NO) | Change::NoneOf(_) => change,
        Change::Set(facet, _) | Change::Unknown(facet) => Change::Unknown(facet),
    }
}

/// What any hand on the machine does: it is touched, and it does not stand any more as it was left.
fn trace(deed: &Deed) -> Vec<Change> {
    let touched = Change::Set(Facet::TOUCHED, YES);
    let disturbed = vec![touched, Change::Set(Facet::LEFT, NO)];
    match deed {
        Deed::Step(StepKind::PhoneAsk | StepKind::Find)
        | Deed::BeIn(_)
        | Deed::PowerIs(_)
        | Deed::Found
        | Deed::Shown { .. }
        | Deed::Close(_)
        | Deed::Refer
        | Deed::Forbidden(_) => Vec::new(),
        Deed::Step(StepKind::Ask) | Deed::Gate(GateId::BuiltIn(Gate::Leave | Gate::KeepAway)) => {
            vec![touched]
        }
        _ => disturbed,
    }
}

fn gate_changes(id: GateId, vocabulary: &Vocabulary) -> Vec<Change> {
    let sets: &[(Facet, Values)] = match id {
        GateId::BuiltIn(gate) => gate.row().sets,
        GateId::Own(at) => vocabulary.own_gates.get(usize::from(at)).map_or(&[], |own| own.sets.as_slice()),
    };
    let mut changes: Vec<Change> = sets.iter().map(|(facet, values)| Change::Set(*facet, *values)).collect();
    for (facet, values) in sets {
        if *facet == Facet::POWER {
            changes.extend(power_changes(*values, vocabulary));
        }
    }
    changes
}

/// What follows from the power: the engine lifts and charges, and heat is over unless isolated.
fn power_changes(power: Values, vocabulary: &Vocabulary) -> Vec<Change> {
    let mut changes = Vec::new();
    if !power.is_within(Power::Isolated.only()) {
        changes.push(Change::Set(Facet::HOT, NO));
    }
    if !power.and(Power::Running.only()).is_empty() {
        changes.push(Change::Set(Facet::ARMS, Arms::Raised.only()));
        changes.push(Change::Set(Facet::PRESSURE, Pressure::Charged.only()));
        changes.extend(own_lost(vocabulary, |_, lost_by| *lost_by == LostBy::Running));
    }
    changes
}

fn watch_changes(watch: &Watch, vocabulary: &Vocabulary) -> Vec<Change> {
    let mut changes = Vec::new();
    for moved in &watch.moves {
        match moved {
            Moves::Arms => changes.push(Change::Set(Facet::ARMS, Arms::Raised.only())),
            Moves::Travel => changes.push(Change::Set(Facet::PARKED, NO)),
            Moves::Own(_) => {}
        }
        changes.extend(own_lost(vocabulary, |name, lost_by| {
            *lost_by == LostBy::Moves(moved.clone()) || *moved == Moves::Own(name.to_owned())
        }));
    }
    changes
}

fn own_lost(vocabulary: &Vocabulary, is_lost: impl Fn(&str, &LostBy) -> bool) -> Vec<Change> {
    let lost = |(facet, by): &&(Facet, Vec<LostBy>)| by.iter().any(|by| is_lost(vocabulary.name(*facet), by));
    vocabulary.lost_by.iter().filter(lost).map(|(facet, _)| Change::Unknown(*facet)).collect()
}

fn named_changes(deed: &Deed, vocabulary: &Vocabulary) -> Vec<Change> {
    let (kind, name, becomes) = match deed {
        Deed::Unplug { plug, .. } => (NamedKind::Apart, plug, YES),
        Deed::Plug { plug, .. } => (NamedKind::Apart, plug, NO),
        Deed::Tie { control, .. } => (NamedKind::Tied, control, YES),
        Deed::Untie { control, .. } => (NamedKind::Tied, control, NO),
        Deed::Bridge { bridge } => (NamedKind::Bridged, bridge, YES),
        Deed::Unbridge { bridge } => (NamedKind::Bridged, bridge, NO),
        Deed::Fit { point } => (NamedKind::Fitted, point, YES),
        Deed::Unfit { point } => (NamedKind::Fitted, point, NO),
        Deed::Shown { proof } => (NamedKind::Shown, proof, YES),
        _ => return Vec::new(),
    };
    let mut changes = Vec::new();
    if becomes == YES && matches!(kind, NamedKind::Apart | NamedKind::Tied | NamedKind::Bridged) {
        changes.push(Change::Set(Facet::WHOLE, NO));
    }
    changes.extend(vocabulary.find(kind, name).map(|facet| Change::Set(facet, becomes)));
    changes
}
