//! Conditions, gates, zones, and the rules no author can switch off: data and pure functions.
//!
//! Knows what can be in force at a machine ([`State`]), what a step does or asks of a person
//! ([`Deed`]), what that needs ([`demands`]) and changes ([`changes`]), which gates put it in force
//! ([`way_to`]), and the words said at them. Must not know files, trees, circuits, events or screens:
//! who knows those makes deeds, and holds the answers against paths (the check) or against one state
//! (the walk). Fails closed: what is not known, not named or not said is never in force.

mod cautions;
mod changes;
mod conditions;
mod dead;
mod deed;
mod demands;
mod describe;
mod gates;
mod items;
mod items_back;
mod items_safe;
mod need;
mod own;
mod resolve;
mod rules;
mod rules_es;
mod state;
mod vocabulary;
mod way;
mod words;
mod zones;

pub use cautions::cautions;
pub use changes::{STUCK, changes, changes_on_cannot, changes_on_undo};
pub use conditions::{Arms, Cab, Facet, FacetKind, Fact, Lock, NamedKind, Power, Pressure, Values};
pub use dead::{NotShownDead, Supply, is_high_voltage, shows};
pub use deed::{
    Ammeter, Closing, Deed, Drive, Heat, LeakSearch, Line, Place, Reach, Source, StepKind, Watch, Watched,
    WhenIsolated,
};
pub use demands::demands;
pub use describe::{NowPart, machine_now, machine_now_line, stands_in_words};
pub use gates::{Gate, GateId};
pub use items::{Confirm, Item, Shown};
pub use items_back::TRAVEL_CHECK;
pub use need::{Atom, Demand, Missing, Need};
pub use own::{CabKind, LostBy, Moves, OwnCondition, OwnFault, OwnGate, OwnNeed, OwnSafety, OwnZone};
pub use rules::SafetyRule;
pub use state::{Change, State};
pub use vocabulary::{NAME_LIMIT, TooManyNames, Vocabulary};
pub use way::{Way, way_to};
pub use words::{Caution, DEFER, STOP_USE, Signal, Words};
pub use zones::{Zone, zone_demands};
