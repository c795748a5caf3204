//! Where the mechanic's body can be, and what must be in force there.
//!
//! A machine file adds zones, and needs to any zone; a built-in zone never loses one.

use crate::units::Minutes;

use super::conditions::{Arms, Cab, Facet, Fact, Power};
use super::need::{Atom, Demand};
use super::own::CabKind;
use super::rules::SafetyRule as Rule;
use super::vocabulary::{STANDS, Vocabulary};
use super::words::{Words, say};

/// A place for the mechanic's body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Zone {
    /// In the seat.
    Seat,
    /// On the ground, clear of anything raised.
    Outside,
    /// At the engine.
    EngineBay,
    /// Under the tilted cab.
    UnderCab,
    /// Under the raised arms.
    UnderArms,
    /// Under the machine.
    UnderMachine,
    /// A zone of the machine file, by its number.
    Own(u16),
}

impl Zone {
    /// The built-in zones.
    pub const ALL: [Self; 6] =
        [Self::Seat, Self::Outside, Self::EngineBay, Self::UnderCab, Self::UnderArms, Self::UnderMachine];

    /// The built-in zone of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|zone| zone.built_in_name() == Some(name))
    }

    /// What the zone is called in a file.
    #[must_use]
    pub fn name(self, vocabulary: &Vocabulary) -> &str {
        match self {
            Self::Own(at) => vocabulary.own_zones.get(usize::from(at)).map_or("", |zone| &zone.name),
            _ => self.built_in_name().unwrap_or_default(),
        }
    }

    /// What a built-in zone is called on screen.
    #[must_use]
    pub const fn words(self) -> Option<Words> {
        Some(match self {
            Self::Seat => say("in the seat", "en el asiento"),
            Self::Outside => say("outside, clear of anything raised", "afuera, lejos de todo lo levantado"),
            Self::EngineBay => say("at the engine", "en el motor"),
            Self::UnderCab => say("under the cab", "debajo de la cabina"),
            Self::UnderArms => say("under the arms", "debajo de los brazos"),
            Self::UnderMachine => say("under the machine", "debajo de la máquina"),
            Self::Own(_) => return None,
        })
    }

    /// How long it takes to get there, as the machine file says.
    #[must_use]
    pub fn minutes(self, vocabulary: &Vocabulary) -> Minutes {
        let further = || vocabulary.further_zones.get(&self).and_then(|further| further.minutes);
        match self {
            Self::Own(at) => vocabulary.own_zones.get(usize::from(at)).map(|zone| zone.minutes),
            _ => further(),
        }
        .unwrap_or(Minutes(0.0))
    }

    const fn built_in_name(self) -> Option<&'static str> {
        Some(match self {
            Self::Seat => "seat",
            Self::Outside => "outside",
            Self::EngineBay => "engine-bay",
            Self::UnderCab => "under-cab",
            Self::UnderArms => "under-arms",
            Self::UnderMachine => "under-machine",
            Self::Own(_) => return None,
        })
    }
}

/// What must be in force to be in the zone.
#[must_use]
pub fn zone_demands(zone: Zone, vocabulary: &Vocabulary) -> Vec<Demand> {
    let held = Arms::Down.only().or(Arms::Supported.only());
    let still = Power::Off.only().or(Power::Isolated.only());
    let not_running = still.or(Power::Live.only());
    let yes = Fact::Yes.only();
    let within = |rule, facet, allowed| Demand::one(rule, Atom::Within(facet, allowed));
    let mut demands = match zone {
        Zone::Outside => Vec::new(),
        Zone::Seat => vec![within(Rule::SeatCabUp, Facet::CAB, Cab::Down.only())],
        Zone::EngineBay => vec![within(Rule::EngineBayRunning, Facet::POWER, not_running)],
        Zone::UnderCab if vocabulary.cab() == CabKind::Fixed => vec![Demand::never(Rule::UnderCabFixed)],
        Zone::UnderCab => vec![
            within(Rule::UnderCabNotSupported, Facet::CAB, Cab::Supported.only()),
            within(Rule::UnderCabArmsRaised, Facet::ARMS, held),
            within(Rule::UnderCabRunning, Facet::POWER, not_running),
        ],
        Zone::UnderArms => vec![
            within(Rule::UnderArmsNotParked, Facet::PARKED, yes),
            within(Rule::UnderArmsNotSupported, Facet::ARMS, Arms::Supported.only()),
            within(Rule::UnderArmsPower, Facet::POWER, still),
        ],
        Zone::UnderMachine => vec![
            within(Rule::UnderMachineNotParked, Facet::PARKED, yes),
            stands(vocabulary),
            within(Rule::UnderMachineArmsRaised, Facet::ARMS, held),
            within(Rule::UnderMachinePower, Facet::POWER, still),
        ],
        Zone::Own(at) => return own_zone(at, vocabulary),
    };
    let further = vocabulary.further_zones.get(&zone).map_or(&[][..], |further| &further.needs);
    demands.extend(further.iter().map(|(facet, allowed)| within(Rule::ZoneNeed, *facet, *allowed)));
    demands
}

fn own_zone(at: u16, vocabulary: &Vocabulary) -> Vec<Demand> {
    let Some(own) = vocabulary.own_zones.get(usize::from(at)) else {
        return vec![Demand::never(Rule::NoZone)];
    };
    let need = |(facet, allowed): &(Facet, _)| Demand::one(Rule::ZoneNeed, Atom::Within(*facet, *allowed));
    own.needs.iter().map(need).collect()
}

/// On stands is a condition of the machine file; a machine without it is never worked on from below.
fn stands(vocabulary: &Vocabulary) -> Demand {
    let rule = Rule::UnderMachineNoStands;
    let on = |facet| vocabulary.value(facet, STANDS.1).map(|value| Atom::Within(facet, value));
    vocabulary.condition(STANDS.0).and_then(on).map_or(Demand::never(rule), |atom| Demand::one(rule, atom))
}
