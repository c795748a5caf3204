//! What each deed needs to be in force, rule by rule.
//!
//! A name the vocabulary has not learned, a zone nobody gives, a list that should name something and
//! is empty: each is a demand that nothing can meet.

use super::conditions::{Arms, Cab, Facet, Fact, NamedKind, Power, Pressure, Values};
use super::deed::{Ammeter, Closing, Deed, Drive, Heat, LeakSearch, Line, Place, Reach, Source, Watch};
use super::deed::{Watched, WhenIsolated};
use super::gates::{Gate, GateId};
use super::need::{Atom, Demand, Need};
use super::own::{CabKind, LostBy};
use super::rules::SafetyRule as Rule;
use super::vocabulary::Vocabulary;
use super::zones::{Zone, zone_demands};

const YES: Values = Fact::Yes.only();
const NO: Values = Fact::No.only();
const ISOLATED: Values = Power::Isolated.only();
const STILL: Values = Power::Off.only().or(ISOLATED);
const NOT_RUNNING: Values = STILL.or(Power::Live.only());

/// What must surely be in force for the deed, before any of it is done.
#[must_use]
pub fn demands(deed: &Deed, vocabulary: &Vocabulary) -> Vec<Demand> {
    if deed.names().into_iter().any(|(kind, name)| vocabulary.find(kind, name).is_none()) {
        return vec![Demand::never(Rule::NameUnknown)];
    }
    match deed {
        Deed::Gate(gate) => gate_demands(*gate, vocabulary),
        Deed::BeIn(place) => place_demands(*place, vocabulary),
        Deed::PowerIs(allowed) => vec![within(Rule::SetupContradicts, Facet::POWER, *allowed)],
        Deed::SetControl { .. } | Deed::Tie { .. } | Deed::Untie { .. } => control_demands(deed, vocabulary),
        Deed::Unplug { line, .. } | Deed::Plug { line, .. } => vec![match line {
            Line::Signal => within(Rule::UnplugLive, Facet::POWER, STILL),
            Line::Feed => within(Rule::UndoFeedLive, Facet::POWER, ISOLATED),
        }],
        Deed::Cut(WhenIsolated::StillLive) => {
            vec![within(Rule::CutLive, Facet::POWER, ISOLATED), Demand::never(Rule::StillLive)]
        }
        Deed::Cut(WhenIsolated::Dead | WhenIsolated::NoModel) => {
            vec![within(Rule::CutLive, Facet::POWER, ISOLATED)]
        }
        Deed::Bridge { .. } | Deed::Unbridge { .. } => vec![within(Rule::BridgeLive, Facet::POWER, STILL)],
        Deed::Fit { .. } => vec![within(Rule::FitLeadsLive, Facet::POWER, STILL)],
        Deed::OpenHydraulics => hydraulics_demands(),
        Deed::LookForLeaks(LeakSearch::CloseUp) => {
            vec![within(Rule::LeakByHand, Facet::PRESSURE, Pressure::Released.only())]
        }
        Deed::ReadOhms { .. }
        | Deed::ReadCanOhms { .. }
        | Deed::ReadFed(_)
        | Deed::ReadFeedCurrent(_)
        | Deed::ReadByLeads { .. } => reading_demands(deed, vocabulary),
        Deed::Watch(watch) => watch_demands(watch),
        Deed::Heat => vec![within(Rule::HeatEarly, Facet::HOT, YES)],
        Deed::Repair(heat) => repair_demands(*heat),
        Deed::Close(closing) => close_demands(closing, vocabulary),
        Deed::Refer => refer_demands(),
        Deed::Forbidden(rule) => vec![Demand::never(*rule)],
        Deed::Step(_)
        | Deed::Unfit { .. }
        | Deed::LookForLeaks(LeakSearch::CardAtADistance)
        | Deed::Found
        | Deed::Shown { .. } => Vec::new(),
    }
}

fn within(rule: Rule, facet: Facet, allowed: Values) -> Demand {
    Demand::one(rule, Atom::Within(facet, allowed))
}

fn gate_demands(id: GateId, vocabulary: &Vocabulary) -> Vec<Demand> {
    match id {
        GateId::BuiltIn(Gate::RaiseCab) if vocabulary.cab() == CabKind::Fixed => {
            vec![Demand::never(Rule::GateCabFixed)]
        }
        GateId::BuiltIn(gate) => {
            let ours = gate.row().needs.iter().map(|(rule, atom)| Demand::one(*rule, *atom));
            let further = vocabulary.further_gates.get(&gate).map_or(&[][..], |further| &further.needs);
            ours.chain(further.iter().map(|(facet, allowed)| within(Rule::GateNeed, *facet, *allowed)))
                .collect()
        }
        GateId::Own(at) => own_gate_demands(at, vocabulary),
    }
}

/// A gate of the machine file has its own needs; what it sets and the engine's turning loses again,
/// it cannot set while the engine may be turning.
fn own_gate_demands(at: u16, vocabulary: &Vocabulary) -> Vec<Demand> {
    let Some(own) = vocabulary.own_gates.get(usize::from(at)) else {
        return vec![Demand::never(Rule::GateNeed)];
    };
    let need = |(facet, allowed): &(Facet, Values)| within(Rule::GateNeed, *facet, *allowed);
    let mut demands: Vec<Demand> = own.needs.iter().map(need).collect();
    let is_lost_running = |(facet, lost_by): &(Facet, Vec<LostBy>)| {
        own.sets.iter().any(|(set, _)| set == facet) && lost_by.contains(&LostBy::Running)
    };
    if vocabulary.lost_by.iter().any(is_lost_running) {
        demands.push(within(Rule::GateRunning, Facet::POWER, NOT_RUNNING));
    }
    demands
}

fn place_demands(place: Place, vocabulary: &Vocabulary) -> Vec<Demand> {
    match place {
        Place::In(zone) => zone_demands(zone, vocabulary),
        Place::Unsaid => vec![Demand::never(Rule::NoZone)],
        Place::Contradicted { by_machine, .. } => {
            let mut demands = vec![Demand::never(Rule::WrongZone)];
            demands.extend(zone_demands(by_machine, vocabulary));
            demands
        }
    }
}

fn control_demands(deed: &Deed, vocabulary: &Vocabulary) -> Vec<Demand> {
    let cab_down = Atom::Within(Facet::CAB, Cab::Down.only());
    match deed {
        Deed::SetControl { reach: Reach::SeatOnly, .. } => {
            vec![Demand::one(Rule::ControlOutOfReach, cab_down)]
        }
        Deed::SetControl { control, reach: Reach::SeatOrTied } => {
            let tied = all_are(NamedKind::Tied, std::slice::from_ref(control), vocabulary);
            let need = Need::any_of(std::iter::once(vec![cab_down]).chain(tied).collect());
            vec![Demand { rule: Rule::ControlOutOfReach, need }]
        }
        Deed::Tie { reach: Reach::SeatOrTied, .. }
        | Deed::Untie { reach: Reach::SeatOrTied | Reach::SeatOnly, .. } => {
            vec![Demand::one(Rule::TieCabUp, cab_down)]
        }
        Deed::Tie { reach: Reach::SeatOnly, .. } => vec![Demand::never(Rule::TieImpossible)],
        _ => Vec::new(),
    }
}

fn hydraulics_demands() -> Vec<Demand> {
    vec![
        within(Rule::HydraulicsPressurised, Facet::PRESSURE, Pressure::Released.only()),
        within(Rule::HydraulicsArmsRaised, Facet::ARMS, Arms::Down.only().or(Arms::Supported.only())),
        within(Rule::HydraulicsPower, Facet::POWER, STILL),
    ]
}

fn reading_demands(deed: &Deed, vocabulary: &Vocabulary) -> Vec<Demand> {
    let isolated_or_apart = |rule, plugs: &[String]| {
        let isolated = vec![Atom::Within(Facet::POWER, ISOLATED)];
        let apart = all_are(NamedKind::Apart, plugs, vocabulary);
        Demand { rule, need: Need::any_of(std::iter::once(isolated).chain(apart).collect()) }
    };
    match deed {
        Deed::ReadOhms { ends } => vec![isolated_or_apart(Rule::OhmsOnLive, ends)],
        Deed::ReadCanOhms { feeds } => vec![isolated_or_apart(Rule::CanOhmsFed, feeds)],
        Deed::ReadFed(Source::With(powers)) => vec![within(Rule::DeadMeter, Facet::POWER, *powers)],
        Deed::ReadFed(Source::None) => vec![Demand::never(Rule::DeadMeter)],
        Deed::ReadFeedCurrent(Ammeter::InLine) => vec![Demand::never(Rule::FeedCurrentInLine)],
        Deed::ReadByLeads { points, from } => {
            let is_clear = matches!(from, Some(Zone::Seat | Zone::Outside));
            let fitted = all_are(NamedKind::Fitted, points, vocabulary).filter(|_| is_clear);
            let not_running = vec![Atom::Within(Facet::POWER, NOT_RUNNING)];
            let need = Need::any_of(std::iter::once(not_running).chain(fitted).collect());
            vec![Demand { rule: Rule::EngineRunningLeads, need }]
        }
        _ => Vec::new(),
    }
}

fn watch_demands(watch: &Watch) -> Vec<Demand> {
    let running = Power::Running.only();
    let power = match watch.drive {
        Drive::Engine => running,
        Drive::KeyOn => running.or(Power::Live.only()),
    };
    let by_rule = |asked| match watch.why {
        Watched::Asked => asked,
        Watched::BySetup => Rule::MovingSetup,
    };
    let mut demands = vec![
        within(by_rule(Rule::WatchPower), Facet::POWER, power),
        within(by_rule(Rule::WatchCabUp), Facet::CAB, Cab::Down.only()),
        within(by_rule(Rule::WatchNotWhole), Facet::WHOLE, YES),
        within(by_rule(Rule::WatchLockedOut), Facet::LOCK, super::Lock::Off.only()),
        within(by_rule(Rule::WatchNotParked), Facet::PARKED, YES),
    ];
    if !matches!(watch.from, Some(Zone::Seat | Zone::Outside)) {
        demands.push(Demand::never(by_rule(Rule::WatchFromDanger)));
    }
    demands
}

fn repair_demands(heat: Heat) -> Vec<Demand> {
    let mut demands = vec![within(Rule::RepairNotIsolated, Facet::POWER, ISOLATED)];
    if heat == Heat::Needed {
        demands.push(within(Rule::HeatEarly, Facet::HOT, YES));
    }
    demands
}

fn close_demands(closing: &Closing, vocabulary: &Vocabulary) -> Vec<Demand> {
    if *closing == Closing::InterlockNotShown {
        return vec![Demand::never(Rule::InterlockNotShown)];
    }
    let mut demands = vec![
        or_untouched(Rule::CloseNotLeft, Atom::Within(Facet::LEFT, YES)),
        or_untouched(Rule::CloseCabUp, Atom::Within(Facet::CAB, Cab::Down.only())),
        or_untouched(Rule::CloseNotWhole, Atom::Within(Facet::WHOLE, YES)),
        or_untouched(Rule::CloseLocked, Atom::Within(Facet::LOCK, super::Lock::Off.only())),
        or_untouched(Rule::CloseBridged, Atom::None(NamedKind::Bridged)),
        or_untouched(Rule::CloseLeadsOn, Atom::None(NamedKind::Fitted)),
    ];
    if let Closing::Repaired { proofs } = closing {
        demands.push(within(Rule::CloseNotFound, Facet::FOUND, YES));
        demands.push(within(Rule::CloseNotRepaired, Facet::REPAIRED, YES));
        let need = all_are(NamedKind::Shown, proofs, vocabulary)
            .map_or(Need::never(), |shown| Need::any_of(vec![shown]));
        demands.push(Demand { rule: Rule::CloseNotProved, need });
    }
    demands
}

/// A bridge still on at a hand-over is let pass only after a `cannot` of a gate: taking it off needs
/// the machine made safe, and that is just what could not be done.
fn refer_demands() -> Vec<Demand> {
    let none_on = vec![Atom::None(NamedKind::Bridged)];
    let stuck = vec![Atom::Within(Facet::STUCK, YES)];
    vec![
        or_untouched(Rule::ReferNotLeft, Atom::Within(Facet::LEFT, YES)),
        Demand { rule: Rule::BridgeLeft, need: Need::any_of(vec![none_on, stuck]) },
    ]
}

fn or_untouched(rule: Rule, atom: Atom) -> Demand {
    let untouched = Atom::Within(Facet::TOUCHED, NO);
    Demand { rule, need: Need::any_of(vec![vec![atom], vec![untouched]]) }
}

/// All of these are so; nothing if none is named or one is not known.
fn all_are(kind: NamedKind, names: &[String], vocabulary: &Vocabulary) -> Option<Vec<Atom>> {
    let atom = |name: &String| Some(Atom::Within(vocabulary.find(kind, name)?, YES));
    names.iter().map(atom).collect::<Option<Vec<_>>>().filter(|atoms| !atoms.is_empty())
}
