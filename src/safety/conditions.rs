//! What of the machine's state matters for safety, and the values each can have.
//!
//! A *facet* is one such thing: a condition a gate can put in force, or a fact the tool tracks by
//! itself. What is known of a facet is a set of values; "not known" is the set of all of them, the
//! empty set never occurs and would satisfy nothing.

use super::words::{Words, say};

/// A set of values of one facet, one bit a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Values(pub(super) u32);

impl Values {
    /// The values in either set.
    #[must_use]
    pub const fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// The values in both sets.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// True if no value is left.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// True if there is at least one value and each is also in `allowed`.
    #[must_use]
    pub const fn is_within(self, allowed: Self) -> bool {
        self.0 != 0 && self.0 & !allowed.0 == 0
    }

    /// True if exactly one value is left: it is known.
    #[must_use]
    pub const fn is_one(self) -> bool {
        self.0.is_power_of_two()
    }

    /// The set with the value of this place in the facet's list of values.
    #[must_use]
    pub const fn only(place: usize) -> Self {
        Self(1 << place)
    }

    /// The places, in the facet's list of values, of the values in this set.
    pub fn places(self) -> impl Iterator<Item = usize> {
        (0..32).filter(move |place| self.0 >> place & 1 == 1)
    }
}

macro_rules! values {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $value:ident),+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name { $($(#[$vdoc])* $value),+ }

        impl $name {
            /// The set that holds this value only.
            #[must_use]
            pub const fn only(self) -> Values {
                Values::only(self as usize)
            }
        }
    };
}

values!(
    /// The energy of the machine.
    Power {
        /// Engine turning, cranking included.
        Running,
        /// Key on, engine stopped.
        Live,
        /// Key out, in the pocket; the harness may still be fed.
        Off,
        /// Locked out and shown dead.
        Isolated
    }
);
values!(
    /// The cab that tilts.
    Cab {
        /// Down and latched.
        Down,
        /// Up and not held.
        Raised,
        /// Up and on its support.
        Supported
    }
);
values!(
    /// Every raised part.
    Arms {
        /// Up and not held.
        Raised,
        /// On the ground.
        Down,
        /// On their support device or cribbing.
        Supported
    }
);
values!(
    /// Pressure held in the hydraulics.
    Pressure {
        /// There can be pressure behind any joint.
        Charged,
        /// Shown released.
        Released
    }
);
values!(
    /// The mechanic's lock.
    Lock {
        /// On, also while a live test has it off for a measurement.
        On,
        /// Taken off by who put it on.
        Off
    }
);
values!(
    /// A fact that is so or is not.
    Fact {
        /// It is not so.
        No,
        /// It is so.
        Yes
    }
);

/// One thing that is known about the machine: a condition or a tracked fact, by its number in a
/// [`Vocabulary`](super::Vocabulary).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Facet(pub(super) u16);

impl Facet {
    /// Condition `power`, values [`Power`].
    pub const POWER: Self = Self(0);
    /// Condition `cab`, values [`Cab`].
    pub const CAB: Self = Self(1);
    /// Condition `arms`, values [`Arms`].
    pub const ARMS: Self = Self(2);
    /// Condition `pressure`, values [`Pressure`].
    pub const PRESSURE: Self = Self(3);
    /// Condition `parked`, values [`Fact`].
    pub const PARKED: Self = Self(4);
    /// Condition `lock`, values [`Lock`].
    pub const LOCK: Self = Self(5);
    /// Condition `whole`, values [`Fact`].
    pub const WHOLE: Self = Self(6);
    /// Tracked: anything but a phone question has been done; values [`Fact`].
    pub const TOUCHED: Self = Self(7);
    /// Tracked: a gate could not be done; values [`Fact`].
    pub const STUCK: Self = Self(8);
    /// Tracked: the machine was left as `leave` or `keep-away` says; values [`Fact`].
    pub const LEFT: Self = Self(9);
    /// Tracked: `hot-work` is in force; values [`Fact`].
    pub const HOT: Self = Self(10);
    /// Tracked: a finding was named; values [`Fact`].
    pub const FOUND: Self = Self(11);
    /// Tracked: the finding was repaired; values [`Fact`].
    pub const REPAIRED: Self = Self(12);
}

/// How a built-in facet is written, what it can be, and what it is when a job begins.
pub(super) struct BuiltIn {
    pub(super) name: &'static str,
    pub(super) values: &'static [&'static str],
    pub(super) at_start: Values,
    /// A condition can lapse; a tracked fact says what the tool itself has recorded.
    pub(super) kind: FacetKind,
}

/// What sort of thing a facet is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FacetKind {
    /// A state of the machine, built in; not known again once the mechanic was away.
    Condition,
    /// A state of the machine that its machine file adds; lapses like a built-in one.
    Own,
    /// A fact about what was recorded so far.
    Tracked,
    /// A fact about one named thing that a step left apart, tied, bridged, fitted or shown.
    Named(NamedKind),
}

/// What a step can leave behind on a thing that has a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum NamedKind {
    /// A connector is apart.
    Apart,
    /// A control is tied.
    Tied,
    /// A bridge is on.
    Bridged,
    /// A meter lead is fitted on a point.
    Fitted,
    /// A proof was shown since the last finding and repair.
    Shown,
}

impl NamedKind {
    /// Every kind.
    pub const ALL: [Self; 5] = [Self::Apart, Self::Tied, Self::Bridged, Self::Fitted, Self::Shown];

    /// The word before the name, as in `apart:X14`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Apart => "apart",
            Self::Tied => "tied",
            Self::Bridged => "bridged",
            Self::Fitted => "fitted",
            Self::Shown => "shown",
        }
    }

    /// The word in front of the name on screen.
    #[must_use]
    pub const fn words(self) -> Words {
        match self {
            Self::Apart => say("apart", "desconectado"),
            Self::Tied => say("tied", "atado"),
            Self::Bridged => say("bridged", "puenteado"),
            Self::Fitted => say("lead fitted", "punta puesta"),
            Self::Shown => say("shown", "comprobado"),
        }
    }
}

const ANY4: Values = Values(0b1111);
const ANY3: Values = Values(0b111);
const ANY2: Values = Values(0b11);
const NO_YES: &[&str] = &["no", "yes"];
const NO: Values = Fact::No.only();

const fn condition(name: &'static str, values: &'static [&'static str], at_start: Values) -> BuiltIn {
    BuiltIn { name, values, at_start, kind: FacetKind::Condition }
}

const fn tracked(name: &'static str) -> BuiltIn {
    BuiltIn { name, values: NO_YES, at_start: NO, kind: FacetKind::Tracked }
}

/// The built-in facets, in the order of the constants of [`Facet`]; values in the order of their enums.
pub(super) const BUILT_IN: [BuiltIn; 13] = [
    condition("power", &["running", "live", "off", "isolated"], ANY4),
    condition("cab", &["down", "raised", "supported"], ANY3),
    condition("arms", &["raised", "down", "supported"], ANY3),
    condition("pressure", &["charged", "released"], Pressure::Charged.only()),
    condition("parked", NO_YES, NO),
    condition("lock", &["on", "off"], Lock::Off.only()),
    condition("whole", NO_YES, ANY2),
    tracked("touched"),
    tracked("stuck"),
    tracked("left"),
    tracked("hot"),
    tracked("found"),
    tracked("repaired"),
];
