//! The two-ended things of a circuit, and the studs they end on.
//!
//! Healthy values where a file gives none: contact 5 mΩ, closed switch 20 mΩ, fuse 5 mΩ, ground stud
//! 2 mΩ, joint 0.2 mΩ (our choice, no source). A wire is ρ·L/A of its nominal area.

use super::logic::Logic;
use super::model::{ConnectorId, ElementId, PointId};
use crate::diag::Text;
use crate::repair::{Copper, Strand};
use crate::units::{Amps, Celsius, Metres, Ohms, Volts, WireSize};

pub(super) const CONTACT: Ohms = Ohms(0.005);
pub(super) const SWITCH: Ohms = Ohms(0.020);
pub(super) const FUSE: Ohms = Ohms(0.005);
pub(super) const STUD: Ohms = Ohms(0.002);
pub(super) const JOINT: Ohms = Ohms(0.0002);
/// A conducting diode: its drop and what it adds (our choice, no source).
pub(super) const DIODE: (Volts, Ohms) = (Volts(0.7), Ohms(0.05));

/// A named place on a route where a wire can be rubbed through.
#[derive(Debug, Clone, PartialEq)]
pub struct Rub {
    /// Its name, shared by all wires that run there.
    pub name: String,
    /// How far from the wire's end 1.
    pub along: Metres,
    /// The zone, if it differs from the wire's.
    pub zone: Option<String>,
    /// What it rubs on there, if the file says.
    pub against: Option<Text>,
    /// Its point.
    pub point: PointId,
}

/// A wire.
#[derive(Debug, Clone, PartialEq)]
pub struct Wire {
    /// Its size: nominal cross-section or gauge.
    pub size: WireSize,
    /// Length.
    pub length: Metres,
    /// Colour, as written.
    pub colour: Option<String>,
    /// What it may carry, if the file says.
    pub rating: Option<Amps>,
    /// Rubs, from end 1 on.
    pub rubs: Vec<Rub>,
}

/// Which way a relay's contact rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rests {
    /// Open until the coil pulls in.
    Open,
    /// Closed until the coil pulls in.
    Closed,
}

/// A resistance with a wiper.
#[derive(Debug, Clone, PartialEq)]
pub struct Wiper {
    /// The wiper's point.
    pub point: PointId,
    /// Where it stands, as a share of the way from end 1 to end 2, by the state of a control.
    pub stands: Vec<(Logic, f64)>,
}

/// What a two-ended thing is.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A wire.
    Wire(Wire),
    /// One mated pin pair of a connector.
    Contact {
        /// The connector.
        connector: ConnectorId,
        /// The pin's number on it.
        pin: String,
    },
    /// A switch, closed while its logic holds.
    Switch {
        /// When it is closed.
        closed: Logic,
    },
    /// A fuse.
    Fuse {
        /// Its rating.
        rating: Amps,
    },
    /// A load: coil, lamp, motor, horn.
    Load {
        /// From these volts across it up it does its work.
        pulls_in: Option<Volts>,
    },
    /// A resistance that is no load.
    Resistor,
    /// A resistance with a wiper: a sensor or a lever.
    Potentiometer(Wiper),
    /// A contact that a coil moves.
    RelayContact {
        /// The load that moves it.
        coil: ElementId,
        /// Which way it rests.
        rests: Rests,
    },
    /// A bolted terminal.
    Joint,
    /// Conducts from end 1 to end 2 only.
    Diode,
    /// A further source: alternator, second battery.
    Source {
        /// Its volts, end `plus` above the other.
        volts: Volts,
        /// Which end is plus: 0 or 1.
        plus: u8,
        /// When it is on; off it is open.
        when: Logic,
        /// The most that it gives, as an alternator's rated output: from there on it holds these amps
        /// and its volts give way.
        most: Option<Amps>,
    },
}

/// A two-ended thing in a chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// Its designation; a contact's is that of its plug and pin.
    pub name: String,
    /// What it is called.
    pub title: Option<Text>,
    /// What it is.
    pub kind: Kind,
    /// Its resistance when healthy and closed; a wire's follows from its copper, an ideal source has none.
    pub ohms: Option<Ohms>,
    /// Its ends: nearer the chain's start, and the other.
    pub ends: [PointId; 2],
    /// The zone of the body that reaches it.
    pub zone: Option<String>,
    /// The number of its chain.
    pub chain: usize,
}

/// A stud on the frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Stud {
    /// Its designation.
    pub name: String,
    /// Its point.
    pub point: PointId,
    /// Its resistance to the frame.
    pub ohms: Ohms,
}

impl Wire {
    /// The resistance of a stretch of it at a temperature, by its nominal area.
    #[must_use]
    pub fn ohms(&self, length: Metres, celsius: Celsius) -> Ohms {
        let copper = Copper { size: self.size, strand: Strand::Solid, celsius };
        copper.ohms(length).unwrap_or(Ohms(1e-9))
    }

    /// The lengths between its ends and rubs, from end 1 on.
    pub(super) fn stretches(&self) -> Vec<Metres> {
        let mut at = 0.0;
        let mut lengths = Vec::with_capacity(self.rubs.len() + 1);
        for rub in &self.rubs {
            lengths.push(Metres(rub.along.value() - at));
            at = rub.along.value();
        }
        lengths.push(Metres(self.length.value() - at));
        lengths
    }
}
