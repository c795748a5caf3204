//! What a machine file adds of its own: conditions, gates, zones, and needs that narrow the built-in ones.
//!
//! Plain data as the machine room read it; [`Vocabulary::new`](super::Vocabulary::new) resolves the
//! names. Nothing here can remove, redefine or widen what is built in.

use crate::diag::Text;
use crate::units::Minutes;

/// The cab of the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CabKind {
    /// It tilts; also what is taken when nobody has said.
    #[default]
    Tilts,
    /// It is fixed: always down, and nobody goes under it.
    Fixed,
}

/// What a function moves when it works.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Moves {
    /// A raised part.
    Arms,
    /// The machine itself, on its wheels or tracks.
    Travel,
    /// What an own condition holds, by the name the machine file uses.
    Own(String),
}

/// What makes an own condition not known.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum LostBy {
    /// The engine turning.
    Running,
    /// A function that moves this.
    Moves(Moves),
}

/// A condition that a machine file adds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnCondition {
    /// Its name.
    pub name: String,
    /// The values it can have.
    pub values: Vec<String>,
    /// Those it can have when a job begins; none named is all.
    pub at_start: Vec<String>,
    /// What makes it not known; none named is the engine turning.
    pub lost_by: Vec<LostBy>,
}

/// A need as a machine file writes it: the condition must have one of these values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnNeed {
    /// The condition's name, built in or own.
    pub condition: String,
    /// The values that are allowed.
    pub values: Vec<String>,
}

/// A gate that a machine file adds; with the name of a built-in gate, needs and items beside its own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnGate {
    /// Its name.
    pub name: String,
    /// What must be in force before it.
    pub needs: Vec<OwnNeed>,
    /// The own conditions it puts in force, each with its value; none under a built-in name.
    pub sets: Vec<(String, String)>,
    /// What is confirmed at it, item by item.
    pub items: Vec<Text>,
    /// How long it takes; 3 minutes if not said.
    pub minutes: Option<Minutes>,
}

/// A zone that a machine file adds; with the name of a built-in zone, needs beside its own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnZone {
    /// Its name.
    pub name: String,
    /// What must be in force there.
    pub needs: Vec<OwnNeed>,
    /// How long it takes to get there.
    pub minutes: Option<Minutes>,
}

/// All that a machine file says about safety.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OwnSafety {
    /// The cab.
    pub cab: CabKind,
    /// Own conditions.
    pub conditions: Vec<OwnCondition>,
    /// Own gates.
    pub gates: Vec<OwnGate>,
    /// Own zones.
    pub zones: Vec<OwnZone>,
}

/// Why something a machine file adds cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OwnFault {
    /// A condition has the name of a built-in condition or tracked fact.
    #[error("condition {name} is built in and cannot be given another meaning")]
    BuiltInCondition {
        /// The name.
        name: String,
    },
    /// Two conditions, gates or zones have one name.
    #[error("{what} {name} is there twice")]
    Twice {
        /// `condition`, `gate` or `zone`.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A condition has no choice of values, too many, or one of them twice.
    #[error("condition {name} needs between 2 and 16 different values")]
    Values {
        /// The condition.
        name: String,
    },
    /// A condition is named that does not exist.
    #[error("{place} names condition {condition}, which there is not")]
    NoCondition {
        /// Where it is named.
        place: String,
        /// The name.
        condition: String,
    },
    /// A value is named that the condition does not have.
    #[error("{place}: condition {condition} has no value {value}")]
    NoValue {
        /// Where it is named.
        place: String,
        /// The condition.
        condition: String,
        /// The value.
        value: String,
    },
    /// A need allows nothing.
    #[error("{place} allows condition {condition} no value at all")]
    NothingAllowed {
        /// Where it stands.
        place: String,
        /// The condition.
        condition: String,
    },
    /// A gate sets a built-in condition, or sets something under a built-in gate's name.
    #[error("gate {gate} cannot set {condition}: a gate of a machine file sets conditions of its own only")]
    SetsBuiltIn {
        /// The gate.
        gate: String,
        /// What it sets.
        condition: String,
    },
    /// A gate sets one condition twice.
    #[error("gate {gate} sets {condition} twice")]
    SetsTwice {
        /// The gate.
        gate: String,
        /// What it sets twice.
        condition: String,
    },
    /// An own gate sets nothing or asks for nothing to be confirmed.
    #[error("gate {gate} needs something to set and at least one item to confirm")]
    EmptyGate {
        /// The gate.
        gate: String,
    },
    /// Minutes are not a time.
    #[error("the minutes of {place} must be a number from 0 up")]
    Minutes {
        /// Where they stand.
        place: String,
    },
    /// There are more own conditions, gates or zones than the tool keeps.
    #[error("more than {limit} {what}s")]
    TooMany {
        /// `condition`, `gate` or `zone`.
        what: &'static str,
        /// The most there can be.
        limit: usize,
    },
}
