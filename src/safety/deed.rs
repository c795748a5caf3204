//! What a step does, or asks a person to do, in terms of safety.
//!
//! A step is a list of deeds, made from its fields by who knows the file. Names are those of plugs,
//! controls, bridges and points in the file; a name the vocabulary has not learned is never in force.

use super::conditions::{NamedKind, Values};
use super::gates::GateId;
use super::own::Moves;
use super::rules::SafetyRule;
use super::zones::Zone;

/// The kind of a step, as far as safety asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StepKind {
    /// A question that an operator answers by telephone.
    PhoneAsk,
    /// A question at the machine.
    Ask,
    /// An inspection.
    Look,
    /// A reading.
    Read,
    /// An action.
    Do,
    /// A finding is named; nothing is done yet.
    Find,
}

/// Where the body is for a step, as the file says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Place {
    /// In this zone.
    In(Zone),
    /// Nobody says.
    Unsaid,
    /// The step says one zone, the machine another.
    Contradicted {
        /// As the step says.
        written: Zone,
        /// As the machine file says.
        by_machine: Zone,
    },
}

/// From where a control can be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reach {
    /// From anywhere.
    Anywhere,
    /// From the seat only.
    SeatOnly,
    /// From the seat, or tied there before the cab is raised.
    SeatOrTied,
}

/// What a plug or a cable carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Line {
    /// A signal, or a load behind a fuse.
    Signal,
    /// The battery or a feed.
    Feed,
}

/// What the model says of a place with the isolator open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WhenIsolated {
    /// Nothing there could push more than 0.1 A into the frame.
    Dead,
    /// Something could.
    StillLive,
    /// There is no model; the lockout's own readings must do.
    NoModel,
}

/// Which source a point has in the setup of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Source {
    /// One, in these states of the power, by the model or by the author's word.
    With(Values),
    /// None that anybody names.
    None,
}

/// How a battery or feed current is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ammeter {
    /// By clamp.
    Clamp,
    /// In line, through a fuse, up to 10 A.
    InLineFused,
    /// In line otherwise, or not said.
    InLine,
}

/// How a leak is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LeakSearch {
    /// With a card, from a distance.
    CardAtADistance,
    /// Close up.
    CloseUp,
}

/// What a function needs to work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Drive {
    /// The engine.
    Engine,
    /// The key on, no engine.
    KeyOn,
}

/// Why a function is watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Watched {
    /// The step watches it.
    Asked,
    /// The step's setup makes it work, though it watches something else.
    BySetup,
}

/// Whether a repair needs heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Heat {
    /// Splice, sleeve, solder; also when the repair does not say.
    Needed,
    /// The repair says that it needs none.
    NotNeeded,
}

/// As what a job is closed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Closing {
    /// Repaired, with these proofs to be shown, by the names of [`Deed::Shown`].
    Repaired {
        /// `works`, and `held` ones where an interlock holds the function.
        proofs: Vec<String>,
    },
    /// Not reproduced.
    NotReproduced,
    /// Temporarily.
    Temporary,
    /// An interlock was not shown to hold: never closed, tagged out and referred.
    InterlockNotShown,
}

/// Function watched: what it needs and moves, and from where it is watched.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Watch {
    /// What it needs to work.
    pub drive: Drive,
    /// What it moves.
    pub moves: Vec<Moves>,
    /// From where; nobody saying is refused.
    pub from: Option<Zone>,
    /// Why.
    pub why: Watched,
}

/// One thing a step does or asks of a person.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Deed {
    /// The step itself, by its kind.
    Step(StepKind),
    /// A gate.
    Gate(GateId),
    /// The body is there.
    BeIn(Place),
    /// The step's setup takes the power to be one of these.
    PowerIs(Values),
    /// A control is set in the step's setup.
    SetControl {
        /// The control.
        control: String,
        /// From where it can be set.
        reach: Reach,
    },
    /// A control is tied.
    Tie {
        /// The control.
        control: String,
        /// From where it can be set.
        reach: Reach,
    },
    /// A tie comes off.
    Untie {
        /// The control.
        control: String,
        /// From where it can be set.
        reach: Reach,
    },
    /// A connector is unplugged.
    Unplug {
        /// The connector.
        plug: String,
        /// What it carries.
        line: Line,
    },
    /// A connector is plugged together.
    Plug {
        /// The connector.
        plug: String,
        /// What it carries.
        line: Line,
    },
    /// A wire is cut, stripped or crimped, or a battery or feed cable undone.
    Cut(WhenIsolated),
    /// A bridge is put on.
    Bridge {
        /// The bridge.
        bridge: String,
    },
    /// A bridge comes off.
    Unbridge {
        /// The bridge.
        bridge: String,
    },
    /// A meter lead is fitted on a point.
    Fit {
        /// The point.
        point: String,
    },
    /// A meter lead comes off a point.
    Unfit {
        /// The point.
        point: String,
    },
    /// Hydraulics are opened or a gauge is fitted.
    OpenHydraulics,
    /// A leak is looked for.
    LookForLeaks(LeakSearch),
    /// Ohms are read; the connectors are those which, all apart, leave the part on its own.
    ReadOhms {
        /// Both ends of the part; none if nobody knows.
        ends: Vec<String>,
    },
    /// Ohms are read on the CAN pair; the connectors are those which, all apart, leave every
    /// controller unfed.
    ReadCanOhms {
        /// The feeds of the controllers; none if nobody knows.
        feeds: Vec<String>,
    },
    /// Volts or amps are read.
    ReadFed(Source),
    /// Battery or feed current is read.
    ReadFeedCurrent(Ammeter),
    /// A reading at points in the engine bay, or at points of which nobody knows the zone: with the
    /// engine running only by leads fitted before, from the seat or outside. To be said of every such
    /// reading, whatever its setup: the engine may be running there on some path.
    ReadByLeads {
        /// Red and black.
        points: Vec<String>,
        /// Where the mechanic is meanwhile; nobody saying is refused.
        from: Option<Zone>,
    },
    /// A function is watched, not by telephone.
    Watch(Watch),
    /// Something is spliced, sleeved or soldered with heat.
    Heat,
    /// A finding is repaired.
    Repair(Heat),
    /// A finding is named.
    Found,
    /// A proof was shown; stands on the answer or band that shows it, not on the step.
    Shown {
        /// The proof's name.
        proof: String,
    },
    /// The job is closed.
    Close(Closing),
    /// The job is handed over, or waits.
    Refer,
    /// What a rule forbids outright, as found by who knows the file or the machine: a circuit above
    /// 60 V d.c. or 30 V a.c., a phone question with hands on, and the like.
    Forbidden(SafetyRule),
}

impl Deed {
    /// The named things it speaks of.
    #[must_use]
    pub fn names(&self) -> Vec<(NamedKind, &str)> {
        match self {
            Self::SetControl { control, .. } | Self::Tie { control, .. } | Self::Untie { control, .. } => {
                vec![(NamedKind::Tied, control)]
            }
            Self::Unplug { plug, .. } | Self::Plug { plug, .. } => vec![(NamedKind::Apart, plug)],
            Self::Bridge { bridge } | Self::Unbridge { bridge } => vec![(NamedKind::Bridged, bridge)],
            Self::Fit { point } | Self::Unfit { point } => vec![(NamedKind::Fitted, point)],
            Self::ReadOhms { ends: plugs } | Self::ReadCanOhms { feeds: plugs } => {
                all(NamedKind::Apart, plugs)
            }
            Self::ReadByLeads { points, .. } => all(NamedKind::Fitted, points),
            Self::Shown { proof } => vec![(NamedKind::Shown, proof)],
            Self::Close(Closing::Repaired { proofs }) => all(NamedKind::Shown, proofs),
            _ => Vec::new(),
        }
    }
}

fn all(kind: NamedKind, names: &[String]) -> Vec<(NamedKind, &str)> {
    names.iter().map(|name| (kind, name.as_str())).collect()
}
