//! Takes in what a machine file adds, and says what cannot be taken and why.
//!
//! A need under the name of a built-in gate or zone is added to those it has, so that it can only
//! narrow; a gate sets conditions of the machine file only.

use crate::units::Minutes;

use super::conditions::{BUILT_IN, Facet, FacetKind, Values};
use super::gates::Gate;
use super::own::{LostBy, OwnCondition, OwnFault, OwnGate, OwnNeed, OwnSafety, OwnZone};
use super::vocabulary::{OwnGateEntry, OwnZoneEntry, Vocabulary};
use super::zones::Zone;

const OWN_LIMIT: usize = 256;
const VALUE_LIMIT: usize = 16;
const OWN_GATE_MINUTES: Minutes = Minutes(3.0);

pub(super) fn add_own(vocabulary: &mut Vocabulary, own: &OwnSafety) -> Vec<OwnFault> {
    let mut faults = Vec::new();
    for (what, count) in
        [("condition", own.conditions.len()), ("gate", own.gates.len()), ("zone", own.zones.len())]
    {
        if count > OWN_LIMIT {
            faults.push(OwnFault::TooMany { what, limit: OWN_LIMIT });
        }
    }
    if !faults.is_empty() {
        return faults;
    }
    for condition in &own.conditions {
        add_condition(vocabulary, condition, &mut faults);
    }
    for gate in &own.gates {
        add_gate(vocabulary, gate, &mut faults);
    }
    for zone in &own.zones {
        add_zone(vocabulary, zone, &mut faults);
    }
    faults
}

fn add_condition(vocabulary: &mut Vocabulary, own: &OwnCondition, faults: &mut Vec<OwnFault>) {
    let name = own.name.clone();
    if BUILT_IN.iter().any(|facet| facet.name == name) {
        return faults.push(OwnFault::BuiltInCondition { name });
    }
    if vocabulary.condition(&name).is_some() {
        return faults.push(OwnFault::Twice { what: "condition", name });
    }
    let mut distinct = own.values.clone();
    distinct.sort_unstable();
    distinct.dedup();
    if distinct.len() != own.values.len() || !(2..=VALUE_LIMIT).contains(&distinct.len()) {
        return faults.push(OwnFault::Values { name });
    }
    let mut at_start = Values(0);
    for value in &own.at_start {
        match own.values.iter().position(|v| v == value) {
            Some(place) => at_start = at_start.or(Values::only(place)),
            None => faults.push(no_value("at-start", &name, value)),
        }
    }
    if at_start.is_empty() {
        at_start = (0..own.values.len()).fold(Values(0), |all, place| all.or(Values::only(place)));
    }
    let facet = vocabulary.add(name, own.values.clone(), at_start, FacetKind::Own);
    let lost_by = if own.lost_by.is_empty() { vec![LostBy::Running] } else { own.lost_by.clone() };
    vocabulary.lost_by.push((facet, lost_by));
}

fn add_gate(vocabulary: &mut Vocabulary, own: &OwnGate, faults: &mut Vec<OwnFault>) {
    let place = format!("gate {}", own.name);
    let needs = resolve_needs(vocabulary, &place, &own.needs, faults);
    check_minutes(&place, own.minutes, faults);
    if let Some(gate) = Gate::named(&own.name) {
        for (condition, _) in &own.sets {
            faults.push(OwnFault::SetsBuiltIn { gate: own.name.clone(), condition: condition.clone() });
        }
        let further = vocabulary.further_gates.entry(gate).or_default();
        further.needs.extend(needs);
        further.items.extend(own.items.iter().cloned());
        further.minutes = own.minutes.or(further.minutes);
        return;
    }
    if vocabulary.gate(&own.name).is_some() {
        return faults.push(OwnFault::Twice { what: "gate", name: own.name.clone() });
    }
    if own.sets.is_empty() || own.items.is_empty() {
        faults.push(OwnFault::EmptyGate { gate: own.name.clone() });
    }
    let sets = resolve_sets(vocabulary, own, faults);
    let (name, items) = (own.name.clone(), own.items.clone());
    let minutes = own.minutes.unwrap_or(OWN_GATE_MINUTES);
    vocabulary.own_gates.push(OwnGateEntry { name, needs, sets, items, minutes });
}

fn resolve_sets(vocabulary: &Vocabulary, own: &OwnGate, faults: &mut Vec<OwnFault>) -> Vec<(Facet, Values)> {
    let mut sets: Vec<(Facet, Values)> = Vec::new();
    for (condition, value) in &own.sets {
        let place = format!("gate {}", own.name);
        let (gate, named) = (own.name.clone(), condition.clone());
        let Some(facet) = vocabulary.condition(condition) else {
            faults.push(OwnFault::NoCondition { place, condition: named });
            continue;
        };
        if vocabulary.kind(facet) != FacetKind::Own {
            faults.push(OwnFault::SetsBuiltIn { gate, condition: named });
        } else if sets.iter().any(|(other, _)| *other == facet) {
            faults.push(OwnFault::SetsTwice { gate, condition: named });
        } else if let Some(values) = vocabulary.value(facet, value) {
            sets.push((facet, values));
        } else {
            faults.push(no_value(&place, condition, value));
        }
    }
    sets
}

fn add_zone(vocabulary: &mut Vocabulary, own: &OwnZone, faults: &mut Vec<OwnFault>) {
    let place = format!("zone {}", own.name);
    let needs = resolve_needs(vocabulary, &place, &own.needs, faults);
    check_minutes(&place, own.minutes, faults);
    if let Some(zone) = Zone::named(&own.name) {
        let further = vocabulary.further_zones.entry(zone).or_default();
        further.needs.extend(needs);
        further.minutes = own.minutes.or(further.minutes);
        return;
    }
    let name = own.name.clone();
    if vocabulary.zone(&name).is_some() {
        return faults.push(OwnFault::Twice { what: "zone", name });
    }
    let minutes = own.minutes.unwrap_or(Minutes(0.0));
    vocabulary.own_zones.push(OwnZoneEntry { name, needs, minutes });
}

fn resolve_needs(
    vocabulary: &Vocabulary,
    place: &str,
    needs: &[OwnNeed],
    faults: &mut Vec<OwnFault>,
) -> Vec<(Facet, Values)> {
    let mut resolved = Vec::new();
    for need in needs {
        let condition = need.condition.clone();
        let Some(facet) = vocabulary.condition(&condition) else {
            faults.push(OwnFault::NoCondition { place: place.to_owned(), condition });
            continue;
        };
        let mut allowed = Values(0);
        for value in &need.values {
            match vocabulary.value(facet, value) {
                Some(one) => allowed = allowed.or(one),
                None => faults.push(no_value(place, &condition, value)),
            }
        }
        if need.values.is_empty() {
            faults.push(OwnFault::NothingAllowed { place: place.to_owned(), condition });
        }
        resolved.push((facet, allowed));
    }
    resolved
}

fn check_minutes(place: &str, minutes: Option<Minutes>, faults: &mut Vec<OwnFault>) {
    if minutes.is_some_and(|m| !m.value().is_finite() || m.value() < 0.0) {
        faults.push(OwnFault::Minutes { place: place.to_owned() });
    }
}

fn no_value(place: &str, condition: &str, value: &str) -> OwnFault {
    let (place, condition, value) = (place.to_owned(), condition.to_owned(), value.to_owned());
    OwnFault::NoValue { place, condition, value }
}
