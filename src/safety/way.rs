//! The cheapest gates that lead from what is in force to what is needed.
//!
//! Dijkstra over states, an edge a gate whose own needs hold, its weight the gate's minutes. Only
//! gates that can help are tried: those that set a facet that is needed, by the goal or by such a gate.
//! Where the power is not known, `park` comes first; and no gate is done again for its side effect.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap, HashSet};

use crate::units::Minutes;

use super::changes::changes;
use super::conditions::Facet;
use super::deed::Deed;
use super::demands::demands;
use super::gates::{Gate, GateId};
use super::need::{Atom, Demand};
use super::state::{Change, State};
use super::vocabulary::Vocabulary;

/// The most states looked at; beyond it there is said to be no way.
const STATE_LIMIT: usize = 20_000;

/// How what is needed can be put in force.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// It is in force.
    InForce,
    /// By these gates, in this order.
    Gates {
        /// The gates.
        gates: Vec<GateId>,
        /// What they take together.
        minutes: Minutes,
    },
    /// By no gates: keep everybody away, then refer.
    None,
}

struct Try {
    id: GateId,
    cost: u64,
    demands: Vec<Demand>,
    changes: Vec<Change>,
}

/// The cheapest gates after which every demand surely holds; the earlier gate of the table where two
/// ways cost the same.
#[must_use]
pub fn way_to(state: &State, needed: &[Demand], vocabulary: &Vocabulary) -> Way {
    let met = |state: &State| needed.iter().all(|demand| demand.holds(state, vocabulary));
    if met(state) {
        return Way::InForce;
    }
    let tries = helpful(needed, vocabulary);
    let mut cheapest = HashMap::from([(state.clone(), 0)]);
    let mut queue = BinaryHeap::from([Reverse((0, Vec::new(), state.clone()))]);
    let mut done = HashSet::new();
    while let Some(Reverse((cost, trail, here))) = queue.pop() {
        if met(&here) {
            let gates = trail.iter().map(|number: &usize| tries[*number].id).collect();
            return Way::Gates { gates, minutes: from_cost(cost) };
        }
        if done.len() >= STATE_LIMIT || !done.insert(here.clone()) {
            continue;
        }
        for (number, gate) in tries.iter().enumerate() {
            let is_open = gate.demands.iter().all(|demand| demand.holds(&here, vocabulary));
            if !is_open || !is_sensible(gate.id, &here, vocabulary) {
                continue;
            }
            let mut next = here.clone();
            next.apply_all(&gate.changes, vocabulary);
            let next_cost = cost + gate.cost;
            // Equal ways are kept too: the queue then takes the one earlier in the table's order.
            if cheapest.get(&next).is_none_or(|known| next_cost <= *known) {
                cheapest.insert(next.clone(), next_cost);
                let trail = trail.iter().copied().chain([number]).collect();
                queue.push(Reverse((next_cost, trail, next)));
            }
        }
    }
    Way::None
}

/// False for a gate other than `park` where the power is not known, and for a gate that would only
/// turn the power off on the way because what it is for is so already.
fn is_sensible(id: GateId, state: &State, vocabulary: &Vocabulary) -> bool {
    let GateId::BuiltIn(gate) = id else { return state.values(Facet::POWER, vocabulary).is_one() };
    let purpose = match gate {
        Gate::Park => return true,
        Gate::LowerArms | Gate::SupportArms => Facet::ARMS,
        Gate::ReleasePressure => Facet::PRESSURE,
        Gate::ReleaseLockout => Facet::LOCK,
        _ => return state.values(Facet::POWER, vocabulary).is_one(),
    };
    let is_so = |(facet, values): &(Facet, super::Values)| {
        *facet == purpose && state.is_within(*facet, *values, vocabulary)
    };
    state.values(Facet::POWER, vocabulary).is_one() && !gate.row().sets.iter().any(is_so)
}

/// The gates that set something needed, directly or for one another. `keep-away` is no way to
/// anything: it is where the walk goes when there is none.
fn helpful(needed: &[Demand], vocabulary: &Vocabulary) -> Vec<Try> {
    let mut wanted: HashSet<Facet> = needed.iter().flat_map(facets_of).collect();
    let mut open: Vec<Try> = vocabulary
        .gates()
        .filter(|id| *id != GateId::BuiltIn(Gate::KeepAway))
        .map(|id| {
            let deed = Deed::Gate(id);
            let (demands, changes) = (demands(&deed, vocabulary), changes(&deed, vocabulary));
            Try { id, cost: to_cost(id.minutes(vocabulary)), demands, changes }
        })
        .collect();
    let mut taken: Vec<Try> = Vec::new();
    loop {
        let helps = |gate: &Try| gate.changes.iter().filter_map(|c| c.facet()).any(|f| wanted.contains(&f));
        let (more, rest): (Vec<Try>, Vec<Try>) = open.into_iter().partition(helps);
        if more.is_empty() {
            break;
        }
        wanted.extend(more.iter().flat_map(|gate| gate.demands.iter()).flat_map(facets_of));
        taken.extend(more);
        open = rest;
    }
    taken.sort_by_key(|gate| gate.id);
    taken
}

fn facets_of(demand: &Demand) -> Vec<Facet> {
    let facet = |atom: &Atom| match atom {
        Atom::Within(facet, _) => Some(*facet),
        Atom::None(_) => None,
    };
    demand.need.alternatives().iter().flatten().filter_map(facet).collect()
}

/// Thousandths of a minute, so that equal ways compare equal.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // `as` saturates, and minutes are checked
fn to_cost(minutes: Minutes) -> u64 {
    (minutes.value() * 1000.0).round().clamp(0.0, 1e12) as u64
}

#[allow(clippy::cast_precision_loss)] // sums stay far below 2^53
fn from_cost(cost: u64) -> Minutes {
    Minutes(cost as f64 / 1000.0)
}
